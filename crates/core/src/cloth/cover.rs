//! What the faces of a cloth show.
//!
//! At every place across, strands lie in layers, seen from a face: on an end the rows on this side of it, then
//! the end itself; in a gap the rows that stay on this side, those that change there, those that stay on the
//! other side, then nothing. A strand is as wide as it lies free; on an end it is pressed flat and is as much
//! wider as it is thinner ([`Thread::spread`](crate::thread::Thread::spread)), if the rows beside it leave it
//! room. Where two strands of one layer would overlap they part in proportion to their widths.

use super::{Across, Cloth};
use crate::grid;
use crate::piece::Piece;
use crate::plan::WeftId;
use crate::quantity::Mm;
use crate::side::Surface;
use std::collections::BTreeMap;
use std::ops::Range;

/// What shows somewhere on a face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shows {
    /// A row.
    Row(u32),
    /// An end, bare of weft.
    End(u32),
    /// Nothing: one sees through the gap.
    Nothing,
}

/// A stretch up the cloth at one place across, in which one thing shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Its lower edge, above the foot of the first row.
    pub from: Mm,
    /// Its upper edge.
    pub to: Mm,
    /// What shows.
    pub shows: Shows,
}

impl Seen {
    /// How high it is.
    #[must_use]
    pub fn length(self) -> Mm {
        self.to - self.from
    }
}

/// What a face shows, in shares that add up to 1 (or are all 0 where nothing is woven).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cover {
    /// Each yarn of the plan as weft.
    pub weft: Vec<f64>,
    /// Each yarn of the plan as warp, bare of weft.
    pub warp: Vec<f64>,
    /// Gaps that one sees through.
    pub open: f64,
    /// How much of the bare warp and the gaps lies under hairs that stand out from a weft on this side, where it is known how
    /// far they do ([`Yarn::halo`](crate::yarn::Yarn::halo)): the yarn covers that, but its core doesn't.
    pub veiled: f64,
}

impl Cover {
    /// The share of all bare warp.
    #[must_use]
    pub fn bare_warp(&self) -> f64 {
        self.warp.iter().sum()
    }
}

/// Layers that a place has at most.
const LAYERS: usize = 3;

/// Places that are gone through together, so that each row is looked up once for all of them.
const BLOCK: usize = 16;

/// A strand where it crosses a place.
#[derive(Debug, Clone, Copy)]
struct Strip {
    row: u32,
    centre: f64,
    /// Half of its width.
    half: f64,
    /// Half of the room that it takes for itself.
    room: f64,
    /// How far its hairs stand out beyond its width.
    hair: f64,
}

/// The strands at one place, layer by layer, each from the bottom up.
#[derive(Debug, Clone, Default)]
struct Stack {
    layers: [Vec<Strip>; LAYERS],
}

/// A stretch in mm.
type Stretch = (f64, f64);

/// Half of the widths of a weft's strand: on an end, in a gap, and the room it takes for itself; and its hairs.
type HalfWidths = (f64, f64, f64, f64);

pub(super) fn column(cloth: &Cloth, piece: &Piece, across: Across, surface: Surface) -> Vec<Seen> {
    let number = across.number();
    if number >= places(cloth) {
        return Vec::new();
    }
    let mut stacks = Vec::new();
    fill(&mut stacks, cloth, piece, 0..cloth.row_count(), &[number], surface);
    let mut all = Vec::new();
    if let Some(stack) = stacks.first() {
        let _ = stack.look(behind(across), |seen| all.push(seen));
    }
    all.sort_by(|a, b| a.from.mm().total_cmp(&b.from.mm()));
    all
}

pub(super) fn cover(cloth: &Cloth, piece: &Piece, rows: Range<u32>, surface: Surface) -> Cover {
    let mut weft = vec![0.0; piece.yarns.len()];
    let mut warp = weft.clone();
    let (mut open, mut veiled) = (0.0, 0.0);
    let like = alike(cloth, piece, rows.clone(), surface);
    let firsts: Vec<u32> = (0..places(cloth)).filter(|&place| like[place as usize] == place).collect();
    // How high each yarn as weft shows at the first place of a kind, what is behind, and what of that is veiled.
    let mut shown: BTreeMap<u32, (Vec<f64>, [f64; 2])> = BTreeMap::new();
    let mut stacks = Vec::new();
    for block in firsts.chunks(BLOCK) {
        fill(&mut stacks, cloth, piece, rows.clone(), block, surface);
        for (&place, stack) in block.iter().zip(&stacks) {
            let (mut wefts, mut bare) = (vec![0.0; piece.yarns.len()], 0.0);
            let veiled = stack.look(behind(Across::of(place)), |seen| {
                let height = seen.length().mm();
                match seen.shows {
                    Shows::Row(row) => wefts[piece.wefts[piece.row(row).weft.0].yarn.0] += height,
                    Shows::End(_) | Shows::Nothing => bare += height,
                }
            });
            shown.insert(place, (wefts, [bare, veiled]));
        }
    }
    for place in 0..places(cloth) {
        let across = Across::of(place);
        let width = width(cloth, across);
        let Some((wefts, [bare, hazy])) = shown.get(&like[place as usize]) else { continue };
        weft.iter_mut().zip(wefts).for_each(|(all, height)| *all += height * width);
        veiled += hazy * width;
        match across {
            Across::End(end) => warp[piece.ends[end as usize].yarn.0] += bare * width,
            Across::Gap(_) => open += bare * width,
        }
    }
    let all: f64 = weft.iter().chain(&warp).sum::<f64>() + open;
    if all > 0.0 {
        weft.iter_mut().chain(&mut warp).for_each(|share| *share /= all);
        open /= all;
        veiled /= all;
    }
    Cover { weft, warp, open, veiled }
}

/// For every place the first one at which the same strands lie at the same heights in the same layers: a cloth whose
/// ends come again has few kinds of places.
fn alike(cloth: &Cloth, piece: &Piece, rows: Range<u32>, surface: Surface) -> Vec<u32> {
    let count = places(cloth);
    // No end is a gap, and they part at once.
    let mut like: Vec<u32> = (0..count).map(|place| place % 2).collect();
    // What lies at each place in a row: nothing, or a height and a layer.
    let mut here = vec![0_u64; count as usize];
    // The kinds into which kinds are parted by a row: what they were, what lies there, and their first place.
    let mut parted: Vec<(u32, u64, u32)> = Vec::new();
    for (row, crossings) in rows.filter_map(|row| Some((row, piece.grid.row(row)?))) {
        let lie = cloth.row(row);
        let (first, last) =
            (Across::End(lie.span().first()).number(), Across::End(lie.span().last()).number());
        here[..first as usize].fill(0);
        here[last as usize + 1..].fill(0);
        for ((number, here), height) in (first..).zip(&mut here[first as usize..]).zip(lie.heights()) {
            let layer = layer(crossings, Across::of(number), surface).unwrap_or(LAYERS);
            *here = u64::from(height.to_bits()) << 8 | (layer as u64 + 1);
        }
        parted.clear();
        for place in 0..count {
            let (was, now) = (like[place as usize], here[place as usize]);
            if now == here[was as usize] {
                continue;
            }
            let known = parted.iter().find(|&&(from, lies, _)| from == was && lies == now);
            like[place as usize] = known.map_or(place, |&(_, _, first)| first);
            if known.is_none() {
                parted.push((was, now, place));
            }
        }
    }
    like
}

fn places(cloth: &Cloth) -> u32 {
    cloth.fell.len() as u32
}

/// What shows where no weft does.
fn behind(across: Across) -> Shows {
    match across {
        Across::End(end) => Shows::End(end),
        Across::Gap(_) => Shows::Nothing,
    }
}

/// How wide a place is: an end as its strand lies free, a gap what is left.
fn width(cloth: &Cloth, across: Across) -> f64 {
    let end = |end: u32| cloth.end(end).side_by_side().min(cloth.spacing());
    match across {
        Across::End(at) => end(at).mm(),
        Across::Gap(left) => (cloth.spacing() - (end(left) + end(left + 1)) / 2.0).mm(),
    }
}

/// The strands of some rows at some places, in the place of what `stacks` holds.
fn fill(
    stacks: &mut Vec<Stack>,
    cloth: &Cloth,
    piece: &Piece,
    rows: Range<u32>,
    places: &[u32],
    surface: Surface,
) {
    let half = |width: Mm| width.mm() / 2.0;
    let widths: Vec<HalfWidths> = cloth
        .wefts
        .iter()
        .zip((0..).map(WeftId))
        .map(|(thread, weft)| {
            let hair = piece.yarn_of(weft).halo.as_ref().map_or(0.0, |halo| halo.value.mm());
            (half(thread.spread()), half(thread.side_by_side()), half(thread.along), hair)
        })
        .collect();
    stacks.resize(places.len(), Stack::default());
    stacks.iter_mut().flat_map(|stack| &mut stack.layers).for_each(Vec::clear);
    for (row, crossings) in rows.filter_map(|row| Some((row, piece.grid.row(row)?))) {
        let (_, weft) = cloth.rows[row as usize];
        let lie = cloth.row(row);
        let (on_end, in_gap, room, hair) = widths[weft.0];
        for (&number, stack) in places.iter().zip(&mut *stacks) {
            let across = Across::of(number);
            let Some((height, layer)) = lie.at(across).zip(layer(crossings, across, surface)) else {
                continue;
            };
            let half = if matches!(across, Across::End(_)) { on_end } else { in_gap };
            stack.layers[layer].push(Strip { row, centre: height.mm(), half, room, hair });
        }
    }
}

/// The layer in which a row lies at a place, counted from the face; the last is that of rows that can't be
/// seen but where there is nothing else.
fn layer(row: grid::Row<'_>, across: Across, surface: Surface) -> Option<usize> {
    let near = |end| row.over(end).map(|over| over == (surface == Surface::Front));
    match across {
        Across::End(end) => near(end).map(|near| if near { 0 } else { LAYERS - 1 }),
        Across::Gap(left) => match (near(left)?, near(left + 1)?) {
            (true, true) => Some(0),
            (false, false) => Some(LAYERS - 1),
            _ => Some(1),
        },
    }
}

impl Stack {
    /// Tells what is seen, layer by layer; `behind` is what shows where no strand does. Returns how much of that lies under
    /// hairs.
    fn look(&self, behind: Shows, mut see: impl FnMut(Seen)) -> f64 {
        let strips = || self.layers.iter().flatten();
        let foot = strips().map(|strip| strip.centre - strip.room).fold(f64::INFINITY, f64::min);
        let top = strips().map(|strip| strip.centre + strip.room).fold(f64::NEG_INFINITY, f64::max);
        if foot >= top {
            return 0.0;
        }
        let mut tell = |(from, to): Stretch, shows| {
            see(Seen { from: Mm::new(from), to: Mm::new(to), shows });
        };
        let mut free = vec![(foot, top)];
        // Rows on the far side of an end are hidden by it.
        let seen = if matches!(behind, Shows::End(_)) { LAYERS - 1 } else { LAYERS };
        for layer in &self.layers[..seen] {
            free = cover_with(layer, &free, |stretch, row| tell(stretch, Shows::Row(row)));
        }
        let veiled = veiled(&self.layers[..seen], &free);
        for stretch in free {
            tell(stretch, behind);
        }
        veiled
    }
}

/// How much of the stretches that strands leave free, from the bottom up, lies under their hairs.
fn veiled(layers: &[Vec<Strip>], free: &[Stretch]) -> f64 {
    let hairy = layers.iter().flatten().filter(|strip| strip.hair > 0.0);
    let mut hazes: Vec<Stretch> = hairy
        .map(|strip| (strip.half + strip.hair, strip.centre))
        .map(|(half, centre)| (centre - half, centre + half))
        .collect();
    hazes.sort_by(|a, b| a.0.total_cmp(&b.0));
    // Hairs of neighbours cross: no part counts twice.
    let mut up_to = f64::NEG_INFINITY;
    for haze in &mut hazes {
        *haze = (haze.0.max(up_to), haze.1.max(up_to));
        up_to = haze.1;
    }
    let (mut all, mut first) = (0.0, 0);
    for &(from, to) in free {
        while hazes.get(first).is_some_and(|haze| haze.1 <= from) {
            first += 1;
        }
        let reached = hazes[first..].iter().take_while(|haze| haze.0 < to);
        all += reached.map(|&(low, high)| (high.min(to) - low.max(from)).max(0.0)).sum::<f64>();
    }
    all
}

/// Lays the strands of one layer over the stretches that are still free, tells which of them shows where, and
/// returns what is left.
fn cover_with(layer: &[Strip], free: &[Stretch], mut tell: impl FnMut(Stretch, u32)) -> Vec<Stretch> {
    let mut left = Vec::new();
    let mut free = free.iter().copied();
    let mut open = free.next();
    let mut below = f64::NEG_INFINITY;
    for (at, strip) in layer.iter().enumerate() {
        let upper = strip.centre + strip.half;
        let upper = layer.get(at + 1).map_or(upper, |next| upper.min(parting(strip, next)));
        let lower = (strip.centre - strip.half).max(below).min(upper);
        below = below.max(upper);
        // The free stretches that this strip reaches.
        while let Some((from, to)) = open {
            if from >= upper {
                break;
            }
            if from < lower {
                left.push((from, to.min(lower)));
            }
            let (a, b) = (from.max(lower), to.min(upper));
            if a < b {
                tell((a, b), strip.row);
            }
            open = if to > upper { Some((from.max(upper), to)) } else { free.next() };
        }
    }
    left.extend(open.into_iter().chain(free));
    left
}

/// Where two strands of one layer part if they overlap: at the same part of either's width.
fn parting(low: &Strip, high: &Strip) -> f64 {
    if low.centre + low.half <= high.centre - high.half {
        return f64::INFINITY;
    }
    (low.centre * high.half + high.centre * low.half) / (low.half + high.half)
}
