//! Floats: stretches of yarn that pass over, or under, more than one neighbour without interlacing.

use super::{Finding, Kind, Severity, Strand, Where};
use crate::habits::Habits;
use crate::piece::Piece;
use crate::plan::Purpose;
use crate::quantity::Mm;
use crate::side::{Pass, Side, Span, Surface};
use crate::walk::{Turn, Walk};

/// How many of the worst are kept.
const WORST: usize = 3;

/// Below so many thicknesses of its yarn no float snags (the cloth model, section 7: habit, no source).
const THICKNESSES: f64 = 8.0;

/// One float.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Float {
    /// Neighbours it passes: ends for a weft float, rows for a warp float.
    pub count: u32,
    /// Its length.
    pub length: Mm,
    /// First and last row (from 0).
    pub rows: (u32, u32),
    /// Its ends.
    pub ends: Span,
    /// Whether it goes round the edge, through a turn that nothing holds.
    pub round_edge: bool,
}

/// All floats of one kind.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Floats {
    /// How many there are.
    pub count: u32,
    /// How many are longer than advised.
    pub too_long: u32,
    /// The longest, longest first.
    pub worst: Vec<Float>,
    /// The longest of those that are longer than advised, longest first.
    pub snags: Vec<Float>,
}

/// The floats of all four kinds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FloatList {
    /// Weft over ends.
    pub weft_front: Floats,
    /// Weft under ends.
    pub weft_back: Floats,
    /// Warp over rows.
    pub warp_front: Floats,
    /// Warp under rows.
    pub warp_back: Floats,
}

impl FloatList {
    /// The floats of one kind.
    #[must_use]
    pub fn of(&self, strand: Strand, surface: Surface) -> &Floats {
        match (strand, surface) {
            (Strand::Weft, Surface::Front) => &self.weft_front,
            (Strand::Weft, Surface::Back) => &self.weft_back,
            (Strand::Warp, Surface::Front) => &self.warp_front,
            (Strand::Warp, Surface::Back) => &self.warp_back,
        }
    }

    /// The longest of all; `None` where there is none.
    #[must_use]
    pub fn longest(&self) -> Option<Float> {
        let kinds = [&self.weft_front, &self.weft_back, &self.warp_front, &self.warp_back];
        let worst = kinds.into_iter().filter_map(|floats| floats.worst.first());
        worst.copied().max_by(|a, b| a.length.mm().total_cmp(&b.length.mm()))
    }

    fn of_mut(&mut self, strand: Strand, surface: Surface) -> &mut Floats {
        match (strand, surface) {
            (Strand::Weft, Surface::Front) => &mut self.weft_front,
            (Strand::Weft, Surface::Back) => &mut self.weft_back,
            (Strand::Warp, Surface::Front) => &mut self.warp_front,
            (Strand::Warp, Surface::Back) => &mut self.warp_back,
        }
    }
}

impl Floats {
    fn take(&mut self, float: Float, limit: Mm) {
        if float.count < 2 {
            return;
        }
        self.count += 1;
        keep(&mut self.worst, float);
        if float.length > limit {
            self.too_long += 1;
            keep(&mut self.snags, float);
        }
    }
}

/// Keeps the worst, longest first; of equal ones those that were met first.
fn keep(worst: &mut Vec<Float>, float: Float) {
    let place = worst.iter().position(|known| float.length > known.length).unwrap_or(worst.len());
    if place < WORST {
        worst.insert(place, float);
        worst.truncate(WORST);
    }
}

/// The longest float that does for a piece: what the maker says, else the usual.
#[must_use]
pub fn advice(piece: &Piece) -> Mm {
    piece.longest_float.unwrap_or(usual(piece.purpose))
}

/// The longest float that usually does for a purpose (the cloth model, section 7: habit, no source).
#[must_use]
pub fn usual(purpose: Purpose) -> Mm {
    Mm::new(match purpose {
        Purpose::Jewellery => 10.0,
        Purpose::Garment => 12.0,
        Purpose::Sample | Purpose::Bookmark | Purpose::Coaster | Purpose::Mat => 15.0,
        Purpose::Hanging => 30.0,
    })
}

/// Lists all floats. A weft float over `k` ends is `k` spacings long; a warp float reaches from the centre
/// of its first row to that of its last and half a row beyond each. A loop that nothing holds joins the
/// floats of its two rows round the edge; yarn that is led in front of ends from a row to the next joins what lies over
/// next to them.
#[must_use]
pub fn list(piece: &Piece, walk: &Walk, habits: &Habits) -> FloatList {
    let mut list = FloatList::default();
    weft_floats(piece, walk, habits, &mut list);
    warp_floats(piece, habits, &mut list);
    list
}

/// A float is too long past the advice, and only past so many thicknesses of its yarn.
fn limit(piece: &Piece, thickness: Mm) -> Mm {
    let slightly = Mm::new(1e-9);
    advice(piece).max(thickness * THICKNESSES - slightly)
}

fn surface(over: Pass) -> Surface {
    if over.is_over() { Surface::Front } else { Surface::Back }
}

fn weft_floats(piece: &Piece, walk: &Walk, habits: &Habits, list: &mut FloatList) {
    let spacing = piece.spacing();
    let limits: Vec<Mm> =
        piece.wefts.iter().map(|needle| limit(piece, habits.diameter(&piece.yarns[needle.yarn.0]))).collect();
    // Whether a row's first run (at its starting side) or its last was joined with that of another row.
    let joins = |turn: &Turn| turn.is_open() || turn.led.is_some();
    let mut told_with_next = vec![None; piece.rows.len()];
    for turn in walk.turns().filter(|turn| joins(turn)) {
        told_with_next[turn.since as usize] = Some(turn.led.is_some());
    }
    for row in 0..piece.row_count() {
        let from = piece.row(row).from;
        let limit = limits[piece.row(row).weft.0];
        let span = piece.crossings(row).span();
        let runs: Vec<_> = piece.crossings(row).runs(from).collect();
        let mut met = 0;
        for (k, run) in runs.iter().enumerate() {
            let ends = travelled(span, from, met, run.ends);
            met += run.ends;
            // What joins the yarn after it is told with the row that completes the turn.
            match told_with_next[row as usize] {
                Some(led) if k + 1 == runs.len() && (!led || run.pass.is_over()) => continue,
                _ => {}
            }
            let mut float = Float {
                count: run.ends,
                length: spacing * f64::from(run.ends),
                rows: (row, row),
                ends,
                round_edge: false,
            };
            if k == 0
                && let Some(turn) = walk.rows[row as usize].turn.filter(joins)
            {
                let back = piece.crossings(turn.since).runs(from).next();
                let rise = (piece.row(row).height - piece.row(turn.since).height).abs();
                if let Some(led) = turn.led {
                    let back = back.filter(|back| back.pass.is_over()).map_or(0, |back| back.ends);
                    let here = if run.pass.is_over() { run.ends } else { 0 };
                    let count = led.len() + back + here;
                    let before = Float {
                        count,
                        length: spacing * f64::from(count) + rise,
                        rows: (turn.since, row),
                        ends: if here > 0 { led.hull(ends) } else { led },
                        round_edge: false,
                    };
                    list.of_mut(Strand::Weft, Surface::Front).take(before, limit);
                    if here > 0 {
                        continue;
                    }
                } else if let Some(back) = back.filter(|back| back.pass == run.pass) {
                    float.count += back.ends;
                    float.length += spacing * f64::from(back.ends) + rise;
                    float.rows.0 = turn.since;
                    float.round_edge = true;
                }
            }
            list.of_mut(Strand::Weft, surface(run.pass)).take(float, limit);
        }
    }
}

/// The ends that a needle passes after it has met `met` ends of the span.
fn travelled(span: Span, from: Side, met: u32, count: u32) -> Span {
    let range = match from {
        Side::Left => Span::new(span.first() + met, span.first() + met + count - 1),
        Side::Right => Span::new(span.last() + 1 - met - count, span.last() - met),
    };
    range.unwrap_or(span)
}

fn warp_floats(piece: &Piece, habits: &Habits, list: &mut FloatList) {
    // For each end: how the row below passed it, the first row that did so, the last, and how many.
    let mut open: Vec<Option<(bool, u32, u32, u32)>> = vec![None; piece.end_count() as usize];
    let limits: Vec<Mm> = piece.yarns.iter().map(|yarn| limit(piece, habits.diameter(yarn))).collect();
    let half = Mm::new(0.5);
    let close = |list: &mut FloatList, end: u32, (over, first, last, count): (bool, u32, u32, u32)| {
        if count < 2 {
            return;
        }
        let rise = piece.row(last).height - piece.row(first).height;
        // Half a row beyond each of its outermost rows, as far as rows lie apart on average here.
        let beyond = rise / f64::from(count - 1);
        let float = Float {
            count,
            length: rise + beyond.max(half),
            rows: (first, last),
            ends: Span::new(end, end).unwrap_or_else(|| super::all(piece)),
            round_edge: false,
        };
        // Where the weft passes over, the warp floats at the back.
        let surface = if over { Surface::Back } else { Surface::Front };
        let limit = limits[piece.ends[end as usize].yarn.0];
        list.of_mut(Strand::Warp, surface).take(float, limit);
    };
    for row in 0..piece.row_count() {
        let crossings = piece.crossings(row);
        for end in crossings.span().ends() {
            let over = crossings.over(end).unwrap_or(false);
            let known = &mut open[end as usize];
            match known {
                Some((was, _, last, count)) if *was == over => {
                    *last = row;
                    *count += 1;
                }
                _ => {
                    if let Some(done) = known.replace((over, row, row, 1)) {
                        close(list, end, done);
                    }
                }
            }
        }
    }
    for (end, done) in (0..).zip(open) {
        if let Some(done) = done {
            close(list, end, done);
        }
    }
}

/// Floats that are longer than advised, one finding for each of the four kinds.
pub fn findings(piece: &Piece, walk: &Walk, habits: &Habits) -> Vec<Finding> {
    let list = list(piece, walk, habits);
    let kinds = [Strand::Weft, Strand::Warp]
        .into_iter()
        .flat_map(|strand| [Surface::Front, Surface::Back].map(|surface| (strand, surface)));
    kinds
        .filter_map(|(strand, surface)| {
            let floats = list.of(strand, surface);
            let worst = floats.snags.first()?;
            Some(Finding {
                severity: Severity::Warning,
                at: Where {
                    rows: worst.rows,
                    ends: worst.ends,
                    edge: None,
                    band: Some(piece.place_of(worst.rows.1).band),
                },
                kind: Kind::LongFloats {
                    strand,
                    surface,
                    advice: advice(piece),
                    count: floats.too_long,
                    worst: floats.snags.clone(),
                },
            })
        })
        .collect()
}
