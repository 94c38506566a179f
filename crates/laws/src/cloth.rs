//! What a weaver has on her frame after following the words: rows, turns and links. Worked out here from the
//! documents alone, apart from the program's own walk.

use fellmark_core::side::{Side, Span};

/// A row as a needle wove it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Woven {
    /// The weft's name.
    pub weft: String,
    /// The side its needle started from.
    pub from: Side,
    /// The ends it was woven over, from 0.
    pub span: Span,
    /// Over (`true`) or under each end of the span, from the left.
    pub over: Vec<bool>,
    /// The row of the same yarn before it; `None`: the yarn begins here.
    pub since: Option<usize>,
    /// Whether the yarn was cut after it.
    pub cut: bool,
}

impl Woven {
    /// How it passes an end: `None` where it is not woven.
    #[must_use]
    pub fn passes(&self, end: u32) -> Option<bool> {
        self.span.contains(end).then(|| self.over[(end - self.span.first()) as usize])
    }

    /// The end at its edge where the needle came out.
    #[must_use]
    pub fn exit(&self) -> u32 {
        self.span.edge(self.from.other())
    }

    /// The end at its edge where the needle went in.
    #[must_use]
    pub fn entry(&self) -> u32 {
        self.span.edge(self.from)
    }
}

/// What of another weft a turn is linked with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Its yarn as it came out.
    Yarn,
    /// The tail with which its yarn begins.
    StartingTail,
    /// The tail with which its yarn ends.
    EndingTail,
}

/// Two turns, or a turn and a tail, linked at an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Link {
    /// The row before which the needle was crossed.
    pub row: usize,
    /// The row of the same yarn before it.
    pub since: usize,
    /// The row in which the other came out at this edge, or began there.
    pub other: usize,
    /// What of the other.
    pub part: Part,
    /// Whether the other passes in front of the turn.
    pub in_front: bool,
}

/// How the rows before and after a turn lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lies {
    /// On different faces of the edge end.
    Caught,
    /// Alike at the edge end; the first end at which they differ.
    SlipsTo(u32),
    /// Alike everywhere.
    Everywhere,
}

/// Rows with their links.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cloth {
    /// The rows in the order of weaving.
    pub rows: Vec<Woven>,
    /// The links in the order in which they were tied.
    pub links: Vec<Link>,
}

impl Cloth {
    /// The row of the same yarn that follows.
    #[must_use]
    pub fn next(&self, row: usize) -> Option<usize> {
        (row + 1..self.rows.len()).find(|later| self.rows[*later].since == Some(row))
    }

    /// The end round which the turn goes that row `row` completes: the outermost that either row covers.
    #[must_use]
    pub fn edge(&self, row: usize) -> Option<u32> {
        let since = self.rows[row].since?;
        Some(self.rows[since].span.hull(self.rows[row].span).edge(self.rows[row].from))
    }

    /// The ends in front of which yarn lies from the row of its weft before `row`: those that only one of the two covers.
    #[must_use]
    pub fn led(&self, row: usize) -> std::ops::Range<u32> {
        let Some(since) = self.rows[row].since else { return 0..0 };
        let from = self.rows[row].from;
        let (a, b) = (self.rows[since].span.edge(from), self.rows[row].span.edge(from));
        match from {
            Side::Left => a.min(b)..a.max(b),
            Side::Right => a.min(b) + 1..a.max(b) + 1,
        }
    }

    /// How a turn lies that row `row` completes; `None` if its yarn begins with it.
    #[must_use]
    pub fn lies(&self, row: usize) -> Option<Lies> {
        let (edge, from) = (self.edge(row)?, self.rows[row].from);
        let (before, after) = (&self.rows[self.rows[row].since?], &self.rows[row]);
        // Between the edges of a short row and a long one the yarn lies in front; past the far edge of either
        // the loop has come out.
        let beside = |woven: &Woven, end: u32| match from {
            Side::Left => end < woven.span.first(),
            Side::Right => end > woven.span.last(),
        };
        let passes = |woven: &Woven, end: u32| woven.passes(end).or(beside(woven, end).then_some(true));
        for end in before.span.hull(after.span).travel(from) {
            let (Some(a), Some(b)) = (passes(before, end), passes(after, end)) else { break };
            if a != b {
                return Some(if end == edge { Lies::Caught } else { Lies::SlipsTo(end) });
            }
        }
        Some(Lies::Everywhere)
    }

    /// Whether the yarn of a loose turn lies over its edge end.
    #[must_use]
    pub fn lies_over(&self, row: usize) -> Option<bool> {
        let (edge, since) = (self.edge(row)?, self.rows[row].since?);
        self.rows[since].passes(edge).or_else(|| self.rows[row].passes(edge))
    }

    /// The rows in which a weft's yarn, or a tail of it, may hold the turn that `row` completes at its edge,
    /// by the rule of what holds: those that came out there, the latest first, then those that went in.
    #[must_use]
    pub fn holders(&self, row: usize) -> Vec<(usize, Part)> {
        let Some(since) = self.rows[row].since else { return Vec::new() };
        let (Some(edge), face, side) = (self.edge(row), self.lies_over(row), self.rows[row].from) else {
            return Vec::new();
        };
        let mut all: Vec<(usize, Part, bool)> = (since + 1..row)
            .rev()
            .filter(|s| self.rows[*s].weft != self.rows[row].weft)
            .filter_map(|s| {
                let other = &self.rows[s];
                let at_edge = other.passes(edge).is_some_and(|over| Some(over) != face);
                if !at_edge {
                    return None;
                }
                if other.from == side {
                    if other.entry() != edge {
                        return None;
                    }
                    let Some(came_out) = other.since else {
                        return Some((s, Part::StartingTail, true));
                    };
                    let holds = self.edge(s) == Some(edge)
                        && (came_out < since || self.lies(s) == Some(Lies::Caught));
                    return holds.then_some((s, Part::Yarn, true));
                }
                if other.exit() != edge {
                    return None;
                }
                if other.cut {
                    return Some((s, Part::EndingTail, false));
                }
                let turned = self.next(s).filter(|next| *next < row);
                let holds = turned.is_none_or(|next| {
                    self.lies(next) == Some(Lies::Caught) && self.edge(next) == Some(edge)
                });
                holds.then_some((s, Part::Yarn, false))
            })
            .collect();
        all.sort_by_key(|(_, _, went_in)| *went_in);
        all.into_iter().map(|(s, part, _)| (s, part)).collect()
    }

    /// Whether the turn that `row` completes is linked with another weft: by its own crossing, or by one that
    /// the other's needle made round it.
    #[must_use]
    pub fn is_held(&self, row: usize) -> bool {
        let since = self.rows[row].since;
        self.links.iter().any(|link| {
            let partners = link.part == Part::Yarn && Some(link.other) == since && link.row < row;
            link.row == row || partners && self.edge(link.row) == self.edge(row)
        })
    }
}
