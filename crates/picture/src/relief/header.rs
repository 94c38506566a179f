//! The header below the first row, on the loom: rows of waste yarn, or a strip of card.

use super::edges::Edging;
use super::open::Warp;
use super::scene::{Fan, Scene};
use super::tile::{Canvas, Shown};
use crate::header::BEYOND;
use fellmark_core::cloth::size::State;
use fellmark_core::piece::HeaderKind;
use fellmark_core::study::Study;
use fellmark_core::yarn::Srgb;

/// The rows of a header with their edges, laid out.
pub(super) struct Below<'a> {
    study: &'a Study,
    pub(super) edging: Edging<'a>,
}

impl<'a> Below<'a> {
    pub(super) fn new(study: &'a Study) -> Below<'a> {
        Below { study, edging: Edging::new(study, State::OnLoom) }
    }
}

/// A strip of card: left, low, right, high in px, and whether it goes over the first end.
#[derive(Debug, Clone, Copy)]
pub(super) struct Card {
    pub(super) bounds: [f32; 4],
    pub(super) over_first: bool,
}

/// A header, measured for a picture.
pub(super) enum Header<'a> {
    /// Rows: a cloth of its own, whose top is the foot of the first row.
    Woven(Box<Scene<'a>>),
    /// A strip of card.
    Card(Card),
}

/// Lays what is below a piece; it shows with the frame, and with the cloth alone it doesn't.
pub(super) fn lay<'a>(
    piece: &Scene<'_>,
    below: Option<&'a Below<'_>>,
    warp: &Warp,
    ground: Srgb,
) -> Option<Header<'a>> {
    let frame = warp.frame.as_ref()?;
    let header = piece.study.piece.header.as_ref()?;
    let Some(below) = below else {
        let HeaderKind::Card { over_first } = header.kind else { return None };
        let low = piece.view.y(-header.length.value.mm());
        let (first, last) = widest(piece, low);
        let (beyond, opening) = (piece.view.px(BEYOND) + piece.step(), frame.opening());
        let left = (first - beyond).max(piece.view.x(opening.0).min(first - piece.step()));
        let right = (last + beyond).min(piece.view.x(opening.1).max(last + piece.step()));
        let bounds = [left, low, right, piece.view.y(0.0)];
        return Some(Header::Card(Card { bounds, over_first }));
    };
    let view = piece.view.standing_on(-below.study.cloth.highest().mm());
    let mut scene = Scene::cloth_of(below.study, view, None, ground);
    scene.ground = piece.ground;
    let (top, foot) = (piece.view.y(0.0), piece.view.y(-header.length.value.mm()));
    let ((a, b), (c, d)) = (widest(piece, foot), widest(piece, top));
    let wider = if d > c { (b - a) / (d - c) - 1.0 } else { 0.0 };
    scene.fan = Some(Fan { middle: (c + d) / 2.0, top, foot, wider });
    below.edging.add(&mut scene);
    for tube in &mut scene.tubes {
        tube.shown = Shown::Header;
    }
    Some(Header::Woven(Box::new(scene)))
}

/// The first and the last end at a height.
fn widest(piece: &Scene<'_>, y: f32) -> (f32, f32) {
    let last = piece.cloth().end_count().saturating_sub(1);
    (piece.way(0).x(y), piece.way(last).x(y))
}

/// How steeply a strip goes from before one end to behind the next: the more, the longer it lies flat on them.
const STEEP: f32 = 2.2;

/// Draws what lies on a canvas of a strip of card that goes over one end and under the next.
pub(super) fn draw_card(scene: &Scene<'_>, canvas: &mut Canvas, Card { bounds: card, over_first }: Card) {
    let pen = canvas.pen(Shown::Header, scene.card_ramp());
    let count = scene.cloth().end_count().saturating_sub(1) as f32;
    let lift = scene.unit * 0.62;
    let [left, right, low, high] = canvas.within(card);
    for y in low..high {
        let middle = (canvas.y0 + y as i32) as f32 + 0.5;
        // Its edges catch the light above and lie in shade below.
        let edge = ((card[3] - middle).min(middle - card[1])).clamp(0.0, 1.0);
        let (first, last) = widest(scene, middle);
        let step = if count > 0.0 { (last - first) / count } else { scene.step() * 2.0 };
        for x in left..right {
            let at = (canvas.x0 + x as i32) as f32 + 0.5;
            // Beyond the warp it lies as on the last end.
            let across = ((at - first) / step).clamp(0.0, count);
            let turn = across.rem_euclid(2.0);
            let wave = (1.0 - 2.0 * turn.min(2.0 - turn)) * if over_first { 1.0 } else { -1.0 };
            let wave = (wave * STEEP).clamp(-1.0, 1.0);
            let z = lift * wave;
            let cover = edge.min((at - card[0]).min(card[2] - at).clamp(0.0, 1.0));
            let place = y * canvas.width + x;
            if cover > 0.0 && canvas.in_front(place, z) {
                canvas.put(place, z, pen, 0.92 + 0.05 * wave, cover);
            }
        }
    }
}
