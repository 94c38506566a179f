//! A picture in bands from side to side, each made piece by piece; bands are made side by side by as many
//! threads as there are.

use super::hair;
use super::header::{self, Header};
use super::lay::{Laid, lay};
use super::mark;
use super::noise::unsigned;
use super::scene::Scene;
use super::shade::{Inner, Shades, coarsen};
use super::tile::{Canvas, Kind, Pen, Shown};
use super::view::View;
use std::ops::Range;

/// Px of the fine grid across and up in one piece: what is worked on stays near the processor.
const ACROSS: usize = 256;
const UP: usize = 128;
/// Px up in a piece of a picture that isn't kept: what lies around a piece, and the rows that two bands share, is worked out
/// for both, and less of it where pieces are tall. One that is kept is in smaller ones, so that an edit draws less again.
const TALL: usize = 256;

/// How much wider than their share strands are that lie side by side in one weft.
const TOUCH: f32 = 1.12;

/// What a worker keeps from piece to piece.
#[derive(Default)]
pub(super) struct Desk {
    canvas: Canvas,
    shades: Shades,
    fine: Vec<u32>,
    coarse: Vec<u32>,
}

/// Lines of the picture in one band.
pub(super) fn lines(view: &View) -> usize {
    (UP / view.fine as usize).max(1)
}

/// The same of a picture that isn't kept.
pub(super) fn tall(view: &View) -> usize {
    (TALL / view.fine as usize).max(1)
}

/// Pieces in one band of a whole picture.
pub(super) fn pieces_across(view: &View) -> usize {
    let across = (ACROSS / view.fine as usize).max(1);
    (view.width as usize).div_ceil(across)
}

/// A part of the picture: columns and lines of its pixels, lines from the bottom.
#[derive(Debug, Clone)]
pub(super) struct Part {
    pub(super) columns: Range<u32>,
    pub(super) lines: Range<u32>,
}

impl Desk {
    /// Makes a band; `put` gets pieces of it: where they begin within the band from its left and its bottom, how
    /// wide they are, and their colours from the bottom up. If the marks of its pieces are known (and that of the
    /// scene), pieces whose mark is the same are left out, and the others' marks renewed.
    pub(super) fn band(
        &mut self,
        scene: &Scene<'_>,
        part: &Part,
        known: Option<(u64, &mut [u64])>,
        mut put: impl FnMut(usize, usize, &[u32]),
    ) {
        self.pieces(scene, part, known, |desk, scene, inner, x| {
            let fine = scene.view.fine as usize;
            desk.shades.light(scene, &mut desk.canvas, &scene.shadow, inner);
            desk.fine.resize(inner.width * inner.height, 0);
            desk.shades.smooth(&desk.canvas, inner, &mut desk.fine);
            hair::draw(scene, &desk.canvas, inner, &mut desk.fine);
            if fine == 1 {
                put(x, inner.width, &desk.fine);
            } else {
                desk.coarse.resize(desk.fine.len() / (fine * fine), 0);
                coarsen(fine, &desk.fine, inner.width, &mut desk.coarse);
                put(x / fine, inner.width / fine, &desk.coarse);
            }
        });
    }

    /// What the pixels of a band show; of a finer grid the pixel at the middle counts.
    pub(super) fn shown(
        &mut self,
        scene: &Scene<'_>,
        part: &Part,
        mut put: impl FnMut(usize, usize, &[Shown]),
    ) {
        self.pieces(scene, part, None, |desk, scene, inner, x| {
            let fine = scene.view.fine as usize;
            let (wide, high) = (inner.width / fine, inner.height / fine);
            let canvas = &desk.canvas;
            let shown = |k: usize| {
                let (x, y) = ((k % wide) * fine + fine / 2, (k / wide) * fine + fine / 2);
                canvas.pens[canvas.id[(inner.y + y) * canvas.width + inner.x + x] as usize].shown
            };
            let all: Vec<Shown> = (0..wide * high).map(shown).collect();
            put(x / fine, wide, &all);
        });
    }

    fn pieces(
        &mut self,
        scene: &Scene<'_>,
        part: &Part,
        mut known: Option<(u64, &mut [u64])>,
        mut piece: impl FnMut(&mut Desk, &Scene<'_>, Inner, usize),
    ) {
        let fine = scene.view.fine as usize;
        let (near, far) = scene.shadow.reach();
        let beyond = hair::reach(scene).ceil() as usize;
        let (low, high) = (part.lines.start as usize * fine, part.lines.end as usize * fine);
        let margin = (far + beyond) as f32;
        let within = (low as f32 - margin, high as f32 + margin);
        let laid = lay(scene, within.0, within.1);
        let below = match &scene.header {
            Some(Header::Woven(rows)) => Some((&**rows, lay(rows, within.0, within.1))),
            _ => None,
        };
        let below = below.as_ref().map(|(rows, laid)| (*rows, laid));
        let (left, right) = (part.columns.start as usize * fine, part.columns.end as usize * fine);
        let across = (ACROSS / fine).max(1) * fine;
        let (mut x, mut nth) = (left, 0);
        while x < right {
            let inner = Inner { x: far, y: near, width: across.min(right - x), height: high - low };
            let origin = ((x as i32) - far as i32, (low as i32) - near as i32);
            let size = (inner.width + far + near, inner.height + near + far);
            let mut same = false;
            if let Some((of_scene, marks)) = &mut known
                && let Some(known) = marks.get_mut(nth)
            {
                let canvas = &mut self.canvas;
                ((canvas.x0, canvas.y0), (canvas.width, canvas.height)) = (origin, size);
                canvas.beyond = beyond;
                let mark = mark::of_piece(scene, *of_scene, &laid, below, canvas);
                same = std::mem::replace(known, mark) == mark;
            }
            if !same {
                self.fill(scene, &laid, below, (origin, size), beyond);
                piece(self, scene, inner, x - left);
            }
            (x, nth) = (x + inner.width, nth + 1);
        }
    }

    /// Enters all that lies on a canvas.
    fn fill(
        &mut self,
        scene: &Scene<'_>,
        laid: &Laid,
        below: Option<(&Scene<'_>, &Laid)>,
        (origin, size): ((i32, i32), (usize, usize)),
        beyond: usize,
    ) {
        let canvas = &mut self.canvas;
        let paper = Pen { kind: Kind::Lit, shown: Shown::Paper, ramp: scene.paper_ramp(), seed: 0 };
        canvas.begin(origin, size, paper, scene.paper);
        canvas.beyond = beyond;
        if let Some(wood) = &scene.wood {
            wood.draw(scene, canvas);
        }
        ends(scene, laid, below, canvas);
        if let Some(Header::Card(card)) = scene.header {
            header::draw_card(scene, canvas, card);
        }
        // Rows are known by their pens, which follow one another: nothing else is entered between those of the header and those
        // above it, or its turns would count as rows wherever both lie on one canvas.
        if let Some((header, laid)) = below {
            rows(header, laid, |_| Shown::Header, canvas);
        }
        rows(scene, laid, Shown::Row, canvas);
        if let Some((header, _)) = below {
            header.tubes.iter().for_each(|tube| tube.draw(header, canvas));
        }
        for tube in &scene.tubes {
            tube.draw(scene, canvas);
        }
    }
}

/// Enters the rows; strands that lie side by side in one are entered one by one.
fn rows(scene: &Scene<'_>, laid: &Laid, shown: impl Fn(u32) -> Shown, canvas: &mut Canvas) {
    let window = (canvas.x0 - canvas.beyond as i32, canvas.x0 + (canvas.width + canvas.beyond) as i32);
    let mut split = Vec::new();
    for shape in &laid.rows {
        let weft = scene.wefts[shape.weft];
        let nodes = &laid.nodes[shape.nodes.clone()];
        for nth in 0..weft.strands {
            split.clear();
            split.extend(nodes.iter().map(|node| {
                let half = (node.up + node.down) / 2.0 / weft.strands as f32;
                let y = node.y - node.down + half * (2 * nth + 1) as f32;
                // Uneven as they are, they touch: nothing is seen between them.
                super::lay::Node { y, up: half * TOUCH, down: half * TOUCH, ..*node }
            }));
            let nodes = if weft.strands == 1 { nodes } else { &split };
            let seed = super::noise::hash2(shape.seed, nth);
            let Some((from, columns)) =
                canvas.columns.add(shape, nodes, &scene.skins[weft.yarn], shape.step, window, unsigned(seed))
            else {
                continue;
            };
            let count = columns.len();
            let kind = Kind::Row { first: columns.start, count, from, start: shape.start };
            canvas.row(Pen { kind, shown: shown(shape.row), ramp: weft.yarn, seed });
        }
    }
}

/// Enters the ends.
fn ends(scene: &Scene<'_>, laid: &Laid, below: Option<(&Scene<'_>, &Laid)>, canvas: &mut Canvas) {
    let beyond = canvas.beyond;
    let low = canvas.y0 - beyond as i32;
    let lines = canvas.height + 2 * beyond;
    let (y0, height) = (canvas.y0, canvas.height as i32);
    let line =
        |y: f32| ((y - 0.5).ceil().clamp(-1e9, 1e9) as i32).saturating_sub(y0).clamp(0, height) as usize;
    let yields = yields(scene, below);
    for end in 0..scene.cloth().end_count() {
        let (strand, way) = (scene.end(end), scene.way(end));
        let reach = strand.side + beyond as f32;
        let (foot_at, head_at) = way.limits();
        if !way.touches(canvas.x0 as f32 - reach, canvas.x0 as f32 + canvas.width as f32 + reach) {
            continue;
        }
        let bends = if yields { bends(scene, laid, below, end) } else { Vec::new() };
        let half = strand.side / 2.0 / strand.strands as f32;
        for nth in 0..strand.strands {
            let beside = half * (2 * nth + 1) as f32 - strand.side / 2.0;
            let seed = super::noise::hash2(scene.end_seed(end), nth);
            let skin = &scene.skins[strand.yarn];
            let felt = scene.unit * 1.6;
            let foot = scene.view.y(0.0);
            let from = canvas.rises.add(
                (low, lines),
                |y| way.x(y) + beside,
                half,
                skin,
                (unsigned(seed), foot),
                (&bends, felt),
            );
            let round = (strand.thick / 2.0 / half).clamp(0.3, 1.0);
            let kind = Kind::End { from, round };
            canvas.end(
                Pen { kind, shown: Shown::End(end), ramp: strand.yarn, seed },
                half,
                line(foot_at)..line(head_at),
            );
        }
    }
}

/// Whether any end yields to any weft, the header's too.
pub(super) fn yields(scene: &Scene<'_>, below: Option<(&Scene<'_>, &Laid)>) -> bool {
    let to = |scene: &Scene<'_>| {
        (0..scene.wefts.len())
            .any(|weft| (0..scene.cloth().end_count()).any(|end| scene.rise(weft, end).1 > 0.0))
    };
    to(scene) || below.is_some_and(|(header, _)| to(header))
}

/// Where rows cross an end, and how far it yields to each.
pub(super) fn bends(
    scene: &Scene<'_>,
    laid: &Laid,
    below: Option<(&Scene<'_>, &Laid)>,
    end: u32,
) -> Vec<(f32, f32)> {
    let mut all = below.map_or_else(Vec::new, |(header, laid)| bends(header, laid, None, end));
    let rows = laid.rows.iter().filter_map(|shape| {
        let crossings = scene.study.piece.crossings(shape.row);
        let over = crossings.over(end)?;
        let place = 2 * (end - crossings.span().first()) as usize + 1;
        let node = laid.nodes[shape.nodes.clone()].get(place)?;
        let yields = scene.rise(shape.weft, end).1;
        Some((node.y, if over { -yields } else { yields }))
    });
    all.extend(rows);
    all
}
