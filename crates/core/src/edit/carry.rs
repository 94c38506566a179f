//! Where a line of the stack can be carried to by hand, and what its upper border moves when that is drawn.

use super::stack::list_at;
use super::ways::may_repeat;
use crate::piece::{Piece, Place, PlaceId};
use crate::plan::{BandId, Extent, Plan, SequenceId, Source, StackEntry, StackList, StackPath};

/// A place between lines to which one can be carried.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// Where the line goes, as an edit moves it.
    pub to: StackPath,
    /// How many places of the piece lie below it.
    pub below: usize,
    /// Where the hand is that means it: the nearest to it of all gaps is the one meant.
    pub at: Height,
}

/// A height on the loom, within a place of the piece or a little beyond its lowest or highest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Height {
    /// The place.
    pub within: PlaceId,
    /// The share of its height that lies below: 0 is its lower border, 1 its upper one.
    pub share: f64,
}

/// Gaps that lie at the same border reach so far into the band beside it: with those of its other border a hand finds
/// each (a choice for the hand, no source).
const REACH: f64 = 1.0 / 3.0;

/// Where a line can be carried to, from the bottom up: to each border of the piece at which its list has a place.
///
/// At the end of a repeat lie two places, within it and outside. The line's own list is what is usually meant, and for a
/// line that comes from elsewhere the outer one: that one lies at the border, and the others in the bands that they
/// belong to.
#[must_use]
pub fn gaps(plan: &Plan, piece: &Piece, list: StackList, line: &[usize]) -> Vec<Gap> {
    let Some((_, own)) = line.split_last() else { return Vec::new() };
    let entries = match list {
        StackList::Piece => plan.stack.as_slice(),
        StackList::Sequence(id) => plan.sequences.get(id.0).map_or(&[][..], |held| &held.entries),
    };
    let Some((held, at)) = list_at(entries, line).filter(|(held, at)| *at < held.len()) else {
        return Vec::new();
    };
    let alone = held.len() == 1;
    let repeats = may_repeat(plan, &held[at]);
    let may = |to: &[usize]| {
        let there = &to[..to.len() - 1];
        let in_itself = there.starts_with(line);
        let same = there == own;
        !in_itself && (same || !alone) && (repeats || own.starts_with(there))
    };
    let mut found = Found { plan, piece, wanted: list, place: 0, all: Vec::new() };
    found.list(StackList::Piece, &plan.stack, &mut Vec::new(), false);
    let mut all = found.all;
    all.retain(|(_, to)| may(to));
    all.chunk_by(|a, b| a.0 == b.0).flat_map(|there| at_border(there, own, piece.places.len())).collect()
}

/// Goes through the stack as it is woven, and notes the gaps of one list in the order in which they lie.
struct Found<'a> {
    plan: &'a Plan,
    piece: &'a Piece,
    wanted: StackList,
    place: usize,
    /// The places below, and the path.
    all: Vec<(usize, StackPath)>,
}

impl Found<'_> {
    /// `again` where the same list has been woven just below, whose last gap is this one's first.
    fn list(&mut self, list: StackList, entries: &[StackEntry], above: &mut StackPath, again: bool) {
        for (at, entry) in entries.iter().enumerate() {
            let before = self.place;
            if at == 0 && !again {
                self.gap(list, above, 0);
            }
            match entry {
                StackEntry::Band(band) => {
                    let here = self.piece.places.get(self.place);
                    self.place += usize::from(here.is_some_and(|place| place.band == *band));
                }
                StackEntry::Sequence(SequenceId(id)) => {
                    if let Some(sequence) = self.plan.sequences.get(*id) {
                        let inner = StackList::Sequence(SequenceId(*id));
                        self.list(inner, &sequence.entries, &mut Vec::new(), false);
                    }
                }
                StackEntry::Group { times, entries } => {
                    above.push(at);
                    for turn in 0..*times {
                        let before = self.place;
                        self.list(list, entries, above, turn > 0);
                        if self.place == before {
                            break;
                        }
                    }
                    above.pop();
                }
            }
            // Lines of which nothing is woven have no height: the gaps beside them are one.
            if self.place > before {
                self.gap(list, above, at + 1);
            }
        }
    }

    fn gap(&mut self, list: StackList, above: &[usize], at: usize) {
        if list == self.wanted {
            let to = above.iter().copied().chain([at]).collect();
            self.all.push((self.place, to));
        }
    }
}

/// The gaps that lie at one border, each where a hand finds it.
fn at_border(there: &[(usize, StackPath)], own: &[usize], places: usize) -> Vec<Gap> {
    let is_own = |(_, to): &(usize, StackPath)| to[..to.len() - 1] == *own;
    let outermost = there.iter().map(|(_, to)| to.len()).min();
    let usual = there
        .iter()
        .position(is_own)
        .or_else(|| there.iter().position(|(_, to)| Some(to.len()) == outermost))
        .unwrap_or(0);
    let (under, over) = (usual, there.len() - 1 - usual);
    let gap = |(k, (below, to)): (usize, &(usize, StackPath))| {
        let share = if k <= usual {
            1.0 - REACH * (usual - k) as f64 / under.max(1) as f64
        } else {
            REACH * (k - usual) as f64 / over.max(1) as f64
        };
        // Measured in the place below, or in the one above where that is the nearer or the only one.
        let at = match (k <= usual, *below) {
            (true, 0) => Height { within: PlaceId(0), share: share - 1.0 },
            (true, below) => Height { within: PlaceId(below - 1), share },
            (false, below) if below < places => Height { within: PlaceId(below), share },
            (false, below) => Height { within: PlaceId(below.saturating_sub(1)), share: share + 1.0 },
        };
        Gap { to: to.clone(), below: *below, at }
    };
    if places == 0 { Vec::new() } else { there.iter().enumerate().map(gap).collect() }
}

/// Which place of a piece each place was before a line of its stack was moved; `None` for one that is woven more often now.
/// Nothing where that can't be told: where a band comes or goes because another has more room or less.
///
/// What is told of the line is in the words of [`crate::plan::StackEdit::Move`].
#[must_use]
pub fn were(
    before: (&Plan, &Piece),
    after: (&Plan, &Piece),
    list: StackList,
    from: &[usize],
    to: &[usize],
) -> Option<Vec<Option<PlaceId>>> {
    let places = |(plan, piece): (&Plan, &Piece), line: &[usize]| {
        let mut of_line = OfLine { plan, piece, wanted: list, line: line.to_vec(), mine: Vec::new() };
        of_line.list(StackList::Piece, &plan.stack, &mut Vec::new(), false);
        of_line.mine
    };
    let (was, is) = (places(before, from), places(after, &super::stack::lands(from, to)));
    let numbers = |mine: bool| {
        (0..).map(PlaceId).zip(&was).filter(move |(_, is_mine)| **is_mine == mine).map(|(place, _)| place)
    };
    let (mut carried, mut others) = (numbers(true), numbers(false));
    let were: Vec<Option<PlaceId>> =
        is.iter().map(|mine| if *mine { carried.next() } else { others.next() }).collect();
    let names = |piece: &Piece, place: PlaceId| piece.places.get(place.0).map(|place| place.name.clone());
    let same = |(k, place): (usize, &Option<PlaceId>)| {
        place.map_or(is[k], |place| names(before.1, place) == names(after.1, PlaceId(k)))
    };
    (others.next().is_none() && were.iter().enumerate().all(same)).then_some(were)
}

/// Goes through the stack as it is woven, and tells of each place of the piece whether a line of one list holds it.
struct OfLine<'a> {
    plan: &'a Plan,
    piece: &'a Piece,
    wanted: StackList,
    line: StackPath,
    mine: Vec<bool>,
}

impl OfLine<'_> {
    fn list(&mut self, list: StackList, entries: &[StackEntry], above: &mut StackPath, within: bool) {
        for (at, entry) in entries.iter().enumerate() {
            above.push(at);
            let mine = within || (list == self.wanted && *above == self.line);
            match entry {
                StackEntry::Band(band) => {
                    let here = self.piece.places.get(self.mine.len());
                    if here.is_some_and(|place| place.band == *band) {
                        self.mine.push(mine);
                    }
                }
                StackEntry::Sequence(id) => {
                    if let Some(sequence) = self.plan.sequences.get(id.0) {
                        self.list(StackList::Sequence(*id), &sequence.entries, &mut Vec::new(), mine);
                    }
                }
                StackEntry::Group { times, entries } => {
                    for _ in 0..*times {
                        let before = self.mine.len();
                        self.list(list, entries, above, mine);
                        if self.mine.len() == before {
                            break;
                        }
                    }
                }
            }
            above.pop();
        }
    }
}

/// What the upper border of a place moves when it is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Border {
    /// The band that becomes longer or shorter: its own, or above a fill, which has no length, the one beside it.
    pub band: BandId,
    /// How far the border goes up for each row more of that band, in its rows: below 0 where it goes down, and 0 where it
    /// stays, and what lies below makes room.
    pub by: i32,
}

/// What the upper border of each place moves.
///
/// A band that stands below the border as well lifts it once for each of its places, and so does one that is as long
/// because it is like it. With a fill below the border the
/// top of the piece stays where it is, and what stands above pushes the border down.
#[must_use]
pub fn borders(plan: &Plan, piece: &Piece) -> Vec<Border> {
    let fill = piece.places.iter().position(|place| plan.extent_of(place.band) == Some(&Extent::Fill));
    let count = |places: &[Place], band: BandId| {
        let many = places.iter().filter(|place| as_long_as(plan, place.band, band)).count();
        i32::try_from(many).unwrap_or(i32::MAX)
    };
    let border = |at: usize| {
        let (below, above) = piece.places.split_at(at + 1);
        let band = match above.first() {
            Some(beside) if fill == Some(at) => beside.band,
            _ => piece.places[at].band,
        };
        let by = match fill {
            Some(fill) if fill <= at => -count(above, band),
            _ => count(below, band),
        };
        Border { band, by }
    };
    (0..piece.places.len()).map(border).collect()
}

/// Whether a band is another, or has its length from it.
fn as_long_as(plan: &Plan, band: BandId, other: BandId) -> bool {
    let here = &plan.bands[band.0];
    match here.source {
        _ if band == other => true,
        Source::Like(like) if here.extent.is_none() => as_long_as(plan, like, other),
        _ => false,
    }
}
