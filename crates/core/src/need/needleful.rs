//! Loading the needles: how much yarn to cut at a time, and where one needleful ends and the next begins.
//!
//! A row is begun only with a width and a half of yarn left, so that the join falls inside it, where the yarn
//! runs on the side that is not meant to be seen, away from the edges and not above the last join.

use super::RowLength;
use crate::habits::{Habit, Habits};
use crate::piece::Piece;
use crate::plan::WeftId;
use crate::quantity::Mm;
use crate::side::{Pass, Side, Span, Surface};
use crate::walk::{Stretch, Walk};

/// One length of yarn on a needle.
#[derive(Debug, Clone, PartialEq)]
pub struct Needleful {
    /// The weft.
    pub weft: WeftId,
    /// The length to cut; it lies double on the needle where the weft is doubled, and is then twice this.
    pub length: Mm,
    /// The first row that it weaves.
    pub from_row: u32,
    /// The last row that it weaves whole.
    pub to_row: u32,
    /// Where it joins the needleful before; `None`: it begins with a tail.
    pub join: Option<Join>,
    /// Whether its yarn is cut at its end, with a tail.
    pub is_last: bool,
}

/// Where a needleful overlaps the one before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Join {
    /// The row.
    pub row: u32,
    /// The ends over which both lie in the same opening.
    pub ends: Span,
}

/// What must be left beyond a row itself for it to be begun.
fn spare(piece: &Piece, row: u32, habits: &Habits) -> Mm {
    let width = piece.spacing() * f64::from(piece.crossings(row).span().len() - 1);
    width * (habits.ratio(Habit::RowReserve) - 1.0)
}

/// What a needleful must hold, without a tail, to weave so many rows that are like this one and be joined in the next.
#[must_use]
pub fn holds(piece: &Piece, row: u32, length: RowLength, rows: u32, habits: &Habits) -> Mm {
    length.sum() * f64::from(rows) + spare(piece, row, habits) + habits.length(Habit::NeedleRest)
}

/// Yarn in one overlap.
pub(super) fn overlap(piece: &Piece, habits: &Habits) -> Mm {
    piece.spacing() * habits.ratio(Habit::JoinEnds)
}

/// Loads the needles for every stretch of the walk.
pub(super) fn load(piece: &Piece, walk: &Walk, lengths: &[RowLength], habits: &Habits) -> Vec<Needleful> {
    let (overlap, rest) = (overlap(piece, habits), habits.length(Habit::NeedleRest));
    let mut all = Vec::new();
    for stretch in &walk.stretches {
        load_stretch(piece, stretch, lengths, habits, &mut all);
    }
    // Joins are placed in the order of weaving, whatever wefts they belong to, since each is to lie clear of
    // the last one below it.
    let mut joined: Vec<usize> = (1..all.len()).filter(|&k| !all[k - 1].is_last).collect();
    joined.sort_by_key(|&k| all[k].from_row);
    let mut last: Option<Span> = None;
    for k in joined {
        let join = place_join(piece, all[k].from_row, last, habits);
        last = Some(join.ends);
        all[k].join = Some(join);
        // The old yarn goes on into the row as far as the join and through it, and a rest stays on the needle; the new one
        // weaves the row from the join on.
        let old = way_to(piece, join, lengths[join.row as usize]);
        all[k - 1].length = all[k - 1].length + old + overlap + rest;
        all[k].length = all[k].length - old;
    }
    all
}

/// Shares out the rows of a stretch over as few needlefuls as are comfortable, and over these as evenly as whole rows let it:
/// a last length of two or three rows isn't worth threading.
fn load_stretch(
    piece: &Piece,
    stretch: &Stretch,
    lengths: &[RowLength],
    habits: &Habits,
    all: &mut Vec<Needleful>,
) {
    let comfortable = habits.length(Habit::Needleful);
    let fewest = share_out(piece, stretch, lengths, habits, comfortable);
    let count = fewest.len();
    let mut best = fewest;
    // The longer each may be, the fewer it takes: the shortest with which it takes no more, to the millimetre.
    let (mut low, mut high) = (Mm::ZERO, comfortable);
    while count > 1 && high - low > Mm::new(1.0) {
        let middle = (low + high) / 2.0;
        let shared = share_out(piece, stretch, lengths, habits, middle);
        if shared.len() == count {
            (best, high) = (shared, middle);
        } else {
            low = middle;
        }
    }
    all.extend(best);
}

/// Shares out the rows of a stretch over needlefuls of at most so much, as if a needleful ended with a row: one that is joined
/// at its end lacks the yarn for that, and the one after it has so much too much.
fn share_out(
    piece: &Piece,
    stretch: &Stretch,
    lengths: &[RowLength],
    habits: &Habits,
    most: Mm,
) -> Vec<Needleful> {
    let mut all = Vec::new();
    let rest = habits.length(Habit::NeedleRest);
    let tail = habits.length(Habit::Tail);
    let spare = |row: u32| spare(piece, row, habits);
    let mut rows = stretch.rows.iter().copied().peekable();
    let mut is_joined = false;
    while let Some(first) = rows.next() {
        let start = if is_joined { Mm::ZERO } else { tail };
        let mut used = start + lengths[first as usize].sum();
        let mut last = first;
        let is_last = loop {
            let Some(&next) = rows.peek() else {
                break true;
            };
            let with_next = used + lengths[next as usize].sum();
            let is_final = stretch.rows.last() == Some(&next);
            // After the last row comes a tail; after any other at least the way to a join.
            let after = if is_final { tail.max(rest) } else { spare(next) + rest };
            if with_next + after > most {
                break false;
            }
            used = with_next;
            last = next;
            rows.next();
        };
        let end = if is_last { tail.max(rest) } else { Mm::ZERO };
        all.push(Needleful {
            weft: stretch.weft,
            length: used + end,
            from_row: first,
            to_row: last,
            join: None,
            is_last,
        });
        is_joined = !is_last;
    }
    all
}

/// The yarn that a row takes up to a join in it: round the edge, and its share of what it takes across.
fn way_to(piece: &Piece, join: Join, row: RowLength) -> Mm {
    let span = piece.crossings(join.row).span();
    let met = match piece.row(join.row).from {
        Side::Left => join.ends.first() - span.first(),
        Side::Right => span.last() - join.ends.last(),
    };
    let across = row.path + row.rise + row.slack;
    row.turn + row.carry + across * (f64::from(met) / f64::from((span.len() - 1).max(1)))
}

/// A place for a join in a row: the ends around the middle of a run on the side that is not meant to be seen, a few ends
/// in from the edges, as near the middle of the row as may be and clear of the last join.
fn place_join(piece: &Piece, row: u32, last: Option<Span>, habits: &Habits) -> Join {
    let span = piece.crossings(row).span();
    let count = (habits.ratio(Habit::JoinEnds).round().max(1.0) as u32).min(span.len());
    let middle = f64::from(span.first() + span.last()) / 2.0;
    // A narrow row leaves less at its edges, so that the next join finds a place beside this one.
    let inward = if span.len() < 5 * count { count.div_ceil(2) } else { count };
    let edge = inward.min(span.len().saturating_sub(count) / 2);
    let crossings = piece.crossings(row);
    let from = piece.row(row).from;
    // What shows is the side that is meant to be seen.
    let seen = match piece.shows {
        Surface::Front => Pass::Over,
        Surface::Back => Pass::Under,
    };
    let mut best: Option<((u32, u32, f64, u32), Span)> = None;
    let mut candidates =
        span.first() + edge..=(span.last() + 1 - count).saturating_sub(edge).max(span.first());
    if candidates.is_empty() {
        candidates = span.first()..=span.first();
    }
    for first in candidates {
        let Some(ends) = Span::new(first, first + count - 1) else { continue };
        let shows = ends.ends().filter(|&end| crossings.pass(end) == Some(seen)).count() as u32;
        let above = last.and_then(|last| last.common(ends)).map_or(0, Span::len);
        let off = (f64::from(ends.first() + ends.last()) / 2.0 - middle).abs();
        // Of two places that are as good, the one that the needle comes to first: so a mirrored piece is joined alike.
        let on = match from {
            Side::Left => ends.first() - span.first(),
            Side::Right => span.last() - ends.last(),
        };
        let rank = (above, shows, off, on);
        if best.is_none_or(|(known, _)| rank < known) {
            best = Some((rank, ends));
        }
    }
    Join { row, ends: best.map_or(span, |(_, ends)| ends) }
}
