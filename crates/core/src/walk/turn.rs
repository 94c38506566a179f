//! Turns: caught or loose, and what holds a loose one.

use super::Thread;
use crate::piece::Piece;
use crate::plan::WeftId;
use crate::side::{Pass, Side, Span};

/// A turn of a needle at an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Turn {
    /// The weft that turns.
    pub weft: WeftId,
    /// The side at which it turns.
    pub side: Side,
    /// The edge end that it turns round: the outermost that either row covers.
    pub end: u32,
    /// The row that led to the turn.
    pub since: u32,
    /// The row that completes it.
    pub row: u32,
    /// Caught or loose.
    pub state: TurnState,
    /// What holds a loose turn.
    pub held: Option<Hold>,
    /// The ends in front of which its yarn is led, where one of the two rows stops short of the other at this side.
    pub led: Option<Span>,
    /// Rows of others woven meanwhile over the edge end: past so many its yarn is carried.
    pub past: u32,
}

impl Turn {
    /// Whether it is loose with nothing that holds it.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.state != TurnState::Caught && self.held.is_none()
    }

    /// How its yarn passes its edge end: of a loose turn both times, of one that is caught the first time.
    #[must_use]
    pub fn lies(&self, piece: &Piece) -> Pass {
        let here = |row| piece.crossings(row).pass(self.end);
        here(self.since).or_else(|| here(self.row)).unwrap_or(piece.leads)
    }
}

/// Whether a turn wraps the edge end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TurnState {
    /// The two rows lie on different faces of the edge end: the weft wraps it.
    Caught,
    /// They lie on the same face of it, but differ further in.
    LooseAtEdge {
        /// The first end from the edge at which they differ: so far the loop slips in.
        slips_to: u32,
    },
    /// They differ nowhere: the row comes out whole.
    LooseEverywhere,
}

/// What holds a loose turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hold {
    /// The row in which the holding weft came out at this edge or went in (or began there, if its tail holds).
    pub row: u32,
    /// The weft that holds.
    pub weft: WeftId,
    /// Whether it passes in front of the turn ([`Pass::Over`]) or behind it.
    pub pass: Pass,
    /// What of it holds.
    pub grip: Grip,
    /// Whether it is this turn's own crossing, made before the row that completes it; `false`: the other
    /// weft's crossing holds both.
    pub made_here: bool,
}

/// What of a weft holds another's turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grip {
    /// The running yarn.
    Yarn,
    /// Only the tail with which it begins.
    StartingTail,
    /// Only the tail with which it ends.
    EndingTail,
}

/// Where a yarn that another is taken round goes from the edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Goes {
    /// Nowhere: it is a tail.
    Ends,
    /// Its needle waits there.
    Waits,
    /// Into another row.
    Turns,
}

/// Judges the turn that each row completes, in the order of weaving.
pub(super) fn judge(piece: &Piece, thread: &Thread) -> Vec<Option<Turn>> {
    let mut turns: Vec<Option<Turn>> = Vec::with_capacity(piece.rows.len());
    // For a row in which a weft came out at an edge: the turn that was crossed with it there.
    let mut crossed_with: Vec<Option<u32>> = vec![None; piece.rows.len()];
    for row in 0..piece.row_count() {
        let turn = thread.previous[row as usize].map(|since| {
            let side = piece.row(row).from;
            let (end, state) = compare(piece, since, row, side);
            let led = led(piece, since, row);
            let past = (since + 1..row).filter(|&other| piece.crossings(other).span().contains(end)).count();
            let weft = piece.row(row).weft;
            let mut turn = Turn { weft, side, end, since, row, state, held: None, led, past: past as u32 };
            if state != TurnState::Caught {
                turn.held = partner(piece, &turns, &crossed_with, &turn)
                    .or_else(|| crossing(piece, thread, &turns, &turn));
                if let Some(Hold { row: other, made_here: true, grip: Grip::Yarn, .. }) = turn.held {
                    crossed_with[other as usize] = Some(row);
                }
            }
            turn
        });
        turns.push(turn);
    }
    turns
}

/// The ends in front of which a weft is led from one of its rows to its next, where one of them stops short of the
/// other at the side at which it turns.
pub(super) fn led(piece: &Piece, since: u32, row: u32) -> Option<Span> {
    let side = piece.row(row).from;
    let edge = |row: u32| piece.crossings(row).span().edge(side);
    let (a, b) = (edge(since), edge(row));
    match side {
        Side::Left => Span::new(a.min(b), a.max(b).checked_sub(1)?),
        Side::Right => Span::new(a.min(b) + 1, a.max(b)),
    }
}

/// The edge end of a turn, and how the two rows lie to each other from there inward.
///
/// A row that stops short of the other leaves its yarn in front of the ends between (the needle waits in
/// front of the cloth), so beyond its edge it counts as over; seen from the back, as under.
fn compare(piece: &Piece, since: u32, row: u32, side: Side) -> (u32, TurnState) {
    let (a, b) = (piece.crossings(since), piece.crossings(row));
    let hull = a.span().hull(b.span());
    let edge = hull.edge(side);
    let first = if a.span() == b.span() {
        a.first_difference(b, side)
    } else {
        // Past its far edge a row has no yarn any more: there the loop has come out whole.
        let far = |span: crate::side::Span, end: u32| match side {
            Side::Left => end > span.last(),
            Side::Right => end < span.first(),
        };
        hull.travel(side)
            .take_while(|&end| !far(a.span(), end) && !far(b.span(), end))
            .find(|&end| a.pass(end).unwrap_or(piece.leads) != b.pass(end).unwrap_or(piece.leads))
    };
    let state = match first {
        Some(end) if end == edge => TurnState::Caught,
        Some(slips_to) => TurnState::LooseAtEdge { slips_to },
        None => TurnState::LooseEverywhere,
    };
    (edge, state)
}

/// The pass with which another yarn must go by the turn to hold it: in front of a yarn that lies over the
/// edge end, behind one that lies under it.
fn holding_pass(turn_lies: Pass) -> Pass {
    turn_lies
}

/// The hold that another weft's crossing with this one gives: one crossing secures both.
fn partner(piece: &Piece, turns: &[Option<Turn>], crossed_with: &[Option<u32>], turn: &Turn) -> Option<Hold> {
    let other = turns[crossed_with[turn.since as usize]? as usize]?;
    // The other's turn went round this yarn as it came out here; it holds as long as both go round one end.
    (other.end == turn.end).then(|| Hold {
        row: other.since,
        weft: other.weft,
        pass: holding_pass(turn.lies(piece)),
        grip: Grip::Yarn,
        made_here: false,
    })
}

/// The crossing that holds a turn, if there is one: with a yarn that came out at this edge meanwhile, on the
/// other face of the edge end, latest first; failing that with one that went in so, or with the tail of one that
/// began or ended there.
fn crossing(piece: &Piece, thread: &Thread, turns: &[Option<Turn>], turn: &Turn) -> Option<Hold> {
    let lies = turn.lies(piece);
    let opposite = |row: u32| piece.crossings(row).pass(turn.end) == Some(lies.opposite());
    let hold = |row: u32, grip| Hold {
        row,
        weft: piece.row(row).weft,
        pass: holding_pass(lies),
        grip,
        made_here: true,
    };
    let came_out = |row: &u32| {
        piece.row(*row).from.other() == turn.side && piece.exit(*row) == turn.end && opposite(*row)
    };
    let began = |row: &u32| {
        let span = piece.crossings(*row).span();
        piece.row(*row).from == turn.side
            && thread.previous[*row as usize].is_none()
            && span.edge(turn.side) == turn.end
            && opposite(*row)
    };
    // A yarn that has turned again meanwhile holds only if its own turn wraps the edge end: two loops, one
    // inside the other and both loose, slide out one after the other (their linking number is 0).
    let still_there = |row: &u32| match thread.next[*row as usize] {
        Some(next) if next < turn.row => {
            turns[next as usize].is_some_and(|t| t.state == TurnState::Caught && t.end == turn.end)
        }
        Some(_) => true,
        None => false,
    };
    // A yarn that goes in between is linked as one that comes out: the same picture read from the top down. If
    // it came out between as well, its turn lies inside this one and must wrap the edge end.
    let went_in = |row: &u32| {
        let Some(other) = turns[*row as usize].filter(|t| t.side == turn.side && t.end == turn.end) else {
            return false;
        };
        let outside = other.since < turn.since;
        piece.crossings(*row).span().edge(turn.side) == turn.end
            && opposite(*row)
            && (outside || other.state == TurnState::Caught)
    };
    let between = || (turn.since + 1..turn.row).rev().filter(|row| piece.row(*row).weft != turn.weft);
    between()
        .find(|row| came_out(row) && still_there(row))
        .or_else(|| between().find(went_in))
        .map(|row| hold(row, Grip::Yarn))
        .or_else(|| {
            let ended = |row: &u32| came_out(row) && thread.next[*row as usize].is_none();
            between().find(ended).map(|row| hold(row, Grip::EndingTail))
        })
        .or_else(|| between().find(began).map(|row| hold(row, Grip::StartingTail)))
}
