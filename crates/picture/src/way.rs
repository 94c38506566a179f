//! The way of a row across the cloth: where its middle lies, as it is packed, and how it is drawn along that.
//!
//! A row goes through its height at every end. Where it runs straight no end between is drawn; where it bends, one cubic
//! curve goes as far as it keeps to the row.

use crate::cloth::Cloth;
use crate::path::Path;
use fellmark_core::cloth::{Across, Lie};
use fellmark_core::quantity::Mm;
use fellmark_core::side::Side;
use fellmark_core::study::Study;

/// How far a line may leave the row, in mm: less than half of the finest line drawn.
const TOLERANCE: f64 = 0.035;
/// A row that bends no more than this, in mm, all the way across is drawn level.
const LEVEL: f64 = 0.04;
/// How far a row may lie from the line between two ends in their gap, in mm, before that is drawn.
const DIVE: f64 = 0.15;
/// The most places that one line passes where a row bends: what is tried at each place stays bounded.
const FARTHEST: usize = 48;

/// A place on a row's way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spot {
    /// Across the cloth.
    pub(crate) x: f64,
    /// The height of the row's middle.
    pub(crate) y: f64,
    /// How steeply it rises there, to the right.
    pub(crate) slope: f64,
    /// Half the row's width there.
    pub(crate) half: f64,
}

impl Spot {
    /// The same place on a line that runs along the row: `up` is 1 for its upper side, -1 for its lower.
    fn beside(&self, up: f64) -> (f64, f64) {
        (self.x, self.y + up * self.half)
    }
}

/// Where the rows' middles lie.
#[derive(Debug)]
pub(crate) struct Ways {
    /// The height of each row that is drawn level.
    level: Vec<Option<f64>>,
}

impl Ways {
    pub(crate) fn new(study: &Study) -> Ways {
        let level = (0..study.cloth.row_count()).map(|row| {
            let lie = study.cloth.row(row);
            let (low, high) = bounds(lie);
            let dives = |end| changes_face(study, row, end) && dives(lie, end).is_some();
            let is_level = high - low <= LEVEL && !lie.span().ends().any(dives);
            is_level.then(|| lie.mean().mm())
        });
        Ways { level: level.collect() }
    }
}

/// The height at which a row passes the gap to the right of an end, where that is no matter of its ends: another row
/// crosses it there.
fn dives(lie: Lie<'_>, end: u32) -> Option<f64> {
    let at = |place| lie.at(place).map(Mm::mm);
    let (a, gap, b) = (at(Across::End(end))?, at(Across::Gap(end))?, at(Across::End(end + 1))?);
    ((gap - f64::midpoint(a, b)).abs() > DIVE).then_some(gap)
}

/// Whether a row changes face in the gap to the right of an end.
fn changes_face(study: &Study, row: u32, end: u32) -> bool {
    let crossings = study.piece.crossings(row);
    let (a, b) = (crossings.over(end), crossings.over(end + 1));
    a.is_some() && b.is_some() && a != b
}

/// The lowest and the highest that a row's middle lies at an end.
fn bounds(lie: Lie<'_>) -> (f64, f64) {
    let ends = lie.heights().iter().step_by(2).map(|&height| f64::from(height));
    ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), h| (a.min(h), b.max(h)))
}

impl Cloth<'_> {
    /// The height of a row's middle at an end; outside its ends, at the nearest of them.
    pub(crate) fn height_at(&self, row: u32, end: u32) -> f64 {
        if let Some(level) = self.ways().level[row as usize] {
            return level;
        }
        let lie = self.study.cloth.row(row);
        let end = end.clamp(lie.span().first(), lie.span().last());
        lie.at(Across::End(end)).map_or(0.0, Mm::mm)
    }

    /// The height at which a row comes out at one side.
    pub(crate) fn out_height(&self, row: u32, side: Side) -> f64 {
        self.height_at(row, self.study.piece.crossings(row).span().edge(side))
    }

    /// The lowest and the highest that a row's middle lies.
    pub(crate) fn bounds(&self, row: u32) -> (f64, f64) {
        self.ways().level[row as usize]
            .map_or_else(|| bounds(self.study.cloth.row(row)), |level| (level, level))
    }

    /// How steeply a row rises at an end, to the right: that of the ends next to it.
    fn slope_at(&self, row: u32, end: u32) -> f64 {
        let span = self.study.piece.crossings(row).span();
        let (a, b) = (end.saturating_sub(1).max(span.first()), (end + 1).min(span.last()));
        if a == b {
            return 0.0;
        }
        (self.height_at(row, b) - self.height_at(row, a)) / (f64::from(b - a) * self.spacing)
    }

    /// A row's way at an end, where the row is so wide.
    pub(crate) fn spot(&self, row: u32, end: u32, half: f64) -> Spot {
        Spot { x: self.end_at(end), y: self.height_at(row, end), slope: self.slope_at(row, end), half }
    }

    /// A row's way in the middle of the gap to the right of an end: on the curve that leads from it to the next, unless
    /// the row dives there beside another.
    pub(crate) fn spot_in_gap(&self, row: u32, end: u32, half: f64) -> Spot {
        let (a, b) = (self.spot(row, end, half), self.spot(row, end + 1, half));
        let y = f64::midpoint(a.y, b.y) + (a.slope - b.slope) * self.spacing / 8.0;
        let slope = (b.y - a.y) / self.spacing * 1.5 - (a.slope + b.slope) / 4.0;
        let (y, slope) = match dives(self.study.cloth.row(row), end) {
            Some(dive) if self.ways().level[row as usize].is_none() && changes_face(self.study, row, end) => {
                (dive, (b.y - a.y) / self.spacing)
            }
            _ => (y, slope),
        };
        Spot { x: f64::midpoint(a.x, b.x), y, slope, half }
    }

    /// Where a row comes out at one side, level.
    pub(crate) fn spot_out(&self, row: u32, side: Side, half: f64) -> Spot {
        Spot { x: self.comes_out(row, side), y: self.out_height(row, side), slope: 0.0, half }
    }

    /// The whole way of a row, from where it comes out at the left to the right, everywhere as wide.
    pub(crate) fn whole_way(&self, row: u32, half: f64) -> Vec<Spot> {
        let span = self.study.piece.crossings(row).span();
        let mut spots = vec![self.spot_out(row, Side::Left, half)];
        if self.ways().level[row as usize].is_none() {
            for end in span.ends() {
                spots.push(self.spot(row, end, half));
                if changes_face(self.study, row, end) {
                    spots.push(self.spot_in_gap(row, end, half));
                }
            }
        }
        spots.push(self.spot_out(row, Side::Right, half));
        spots
    }
}

/// Draws a line along places of a row, on its upper side (1) or its lower (-1): from the first to the last, the path
/// being at the first already.
pub(crate) fn along(path: &mut Path, spots: &[Spot], up: f64) {
    let mut at = 0;
    while let (Some(here), Some(next)) = (spots.get(at), spots.get(at + 1)) {
        if next.half != here.half {
            // It swells or grows slender.
            let middle = f64::midpoint(here.x, next.x);
            let (from, to) = (here.beside(up), next.beside(up));
            if from.1 == to.1 && here.slope == 0.0 && next.slope == 0.0 {
                path.line_to(to.0, to.1);
            } else {
                let a = (middle, from.1 + here.slope * (middle - here.x));
                let b = (middle, to.1 - next.slope * (next.x - middle));
                path.curve_to(a, b, to);
            }
            at += 1;
            continue;
        }
        let run = spots[at..].iter().take_while(|spot| spot.half == here.half).count();
        let rest = &spots[at..at + run];
        let far = rest.len() - 1;
        let straight = reach(rest, |t, from, to| from.y + (to.y - from.y) * t);
        let smooth = goes_on(here, &rest[straight], rest[1].x - here.x);
        let bent = if straight == far && smooth { far } else { reach(rest, hermite) };
        if bent > straight || !smooth {
            let (from, to) = (here.beside(up), rest[bent].beside(up));
            let third = (to.0 - from.0) / 3.0;
            let a = (from.0 + third, from.1 + here.slope * third);
            let b = (to.0 - third, to.1 - rest[bent].slope * third);
            path.curve_to(a, b, to);
            at += bent;
        } else {
            let (x, y) = rest[straight].beside(up);
            path.line_to(x, y);
            at += straight;
        }
    }
}

/// Whether a straight line between two places leaves and arrives as the row does, as far as is seen within one step.
fn goes_on(from: &Spot, to: &Spot, step: f64) -> bool {
    let chord = (to.y - from.y) / (to.x - from.x);
    // A cubic whose handle is turned so far leaves its chord by 4/27 of it at the most.
    let off = |slope: f64| ((slope - chord) * step).abs() * 4.0 / 27.0;
    off(from.slope) <= TOLERANCE && off(to.slope) <= TOLERANCE
}

/// The row between its two sides, as a shape of straight lines that keep within the lines drawn at its sides.
pub(crate) fn fill(path: &mut Path, spots: &[Spot]) {
    let side =
        |up: f64| spots.iter().map(move |spot| Spot { y: spot.y + up * spot.half, half: 0.0, ..*spot });
    let (upper, lower): (Vec<Spot>, Vec<Spot>) = (side(1.0).collect(), side(-1.0).rev().collect());
    let Some(first) = upper.first() else { return };
    path.move_to(first.x, first.y);
    edged(path, &upper);
    if let Some(first) = lower.first() {
        path.line_to(first.x, first.y);
    }
    edged(path, &lower);
    path.close();
}

/// Draws straight lines along the middle of a row, for what is seen only between the lines at its sides: from the first
/// place to the last, the path being at the first already.
pub(crate) fn edged(path: &mut Path, spots: &[Spot]) {
    let mut at = 0;
    while at + 1 < spots.len() {
        at += reach(&spots[at..], |t, from, to| from.y + (to.y - from.y) * t);
        path.line_to(spots[at].x, spots[at].y);
    }
}

/// How many places from the first one line leads on that keeps to all it passes: one at least.
fn reach(spots: &[Spot], line: impl Fn(f64, &Spot, &Spot) -> f64) -> usize {
    let Some((from, rest)) = spots.split_first() else { return 0 };
    if rest.iter().all(|spot| spot.y == from.y) {
        // Level, however far.
        return rest.len();
    }
    let mut best = 1;
    for (k, to) in (1..).zip(rest).skip(1).take(FARTHEST) {
        let keeps = rest[..k - 1].iter().all(|spot| {
            let t = (spot.x - from.x) / (to.x - from.x);
            (line(t, from, to) - spot.y).abs() <= TOLERANCE
        });
        if keeps {
            best = k;
        } else if k > 2 * best + 2 {
            break;
        }
    }
    best
}

/// The height of the curve that leaves and arrives as steeply as the row does.
fn hermite(t: f64, from: &Spot, to: &Spot) -> f64 {
    let third = (to.x - from.x) / 3.0;
    let (a, b) = (from.y + from.slope * third, to.y - to.slope * third);
    let s = 1.0 - t;
    s * s * s * from.y + 3.0 * s * s * t * a + 3.0 * s * t * t * b + t * t * t * to.y
}

/// Whether the chord from the first place to the last runs within the row at every place between: then what is filled
/// between its side and the chord is the row and nothing else.
pub(crate) fn is_straight(spots: &[Spot]) -> bool {
    let (Some(from), Some(to)) = (spots.first(), spots.last()) else { return true };
    spots.iter().all(|spot| {
        let t = if to.x > from.x { (spot.x - from.x) / (to.x - from.x) } else { 0.0 };
        (from.y + (to.y - from.y) * t - spot.y).abs() <= LEVEL
    })
}
