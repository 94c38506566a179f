//! The needles in time: from which side each row is woven, what is done before and after it, and at each
//! turn whether the weft wraps the edge end or what else holds it.
//!
//! A needle's turn at the edge lies between two successive rows of *that needle*, whatever was woven between.
//! It is *caught* where the two rows lie on different faces of the edge end. Where they don't, the loop slips
//! in to the first end at which the rows differ, or the row comes out whole, unless another weft that came
//! out or went in at that edge on the other face of the edge end was passed round it the right way: whichever
//! lies under the last end comes over the other one.

mod again;
mod steps;
mod turn;

pub use again::{Told, again};
pub use steps::{Room, Step};
pub use turn::{Goes, Grip, Hold, Turn, TurnState};

use crate::habits::{Habit, Habits};
use crate::piece::{Piece, PlaceId};
use crate::plan::WeftId;
use crate::quantity::Mm;
use crate::side::{Pass, Side, Span};

/// What every needle does, row by row.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// One for each row of the piece, in the order in which they are woven.
    pub rows: Vec<RowWalk>,
    /// The stretches of yarn from a beginning to a cut, in the order in which they begin.
    pub stretches: Vec<Stretch>,
}

/// One row, woven.
#[derive(Debug, Clone, PartialEq)]
pub struct RowWalk {
    /// The side the needle starts from.
    pub from: Side,
    /// How often the needle dips under a group of ends; one at least.
    pub strokes: u32,
    /// What is to be done before it, in this order.
    pub before: Vec<Step>,
    /// What is to be done after it, in this order.
    pub after: Vec<Step>,
    /// The turn that this row completes.
    pub turn: Option<Turn>,
    /// The stretch of yarn that weaves it, by its number in [`Walk::stretches`].
    pub stretch: usize,
}

/// A weft from where its yarn begins to where it is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// The weft.
    pub weft: WeftId,
    /// Its rows, counted from 0, in the order in which they are woven: never empty.
    pub rows: Vec<u32>,
}

/// What happens at one edge of a band, all along it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EdgeHabit {
    /// No needle turns here within the band.
    NoTurn,
    /// Each turn wraps the edge end.
    Caught,
    /// Each turn that needs it is crossed, always in the same way.
    Crossed {
        /// The weft that is taken round the other.
        weft: WeftId,
        /// Under or over it.
        pass: Pass,
        /// The other.
        other: WeftId,
    },
    /// Crossings differ from turn to turn, but nothing is left loose.
    CrossedVariously,
    /// At least one turn is loose and nothing holds it.
    Loose,
}

/// Which stretch a row belongs to and what lies before and after it on that stretch.
struct Thread {
    stretch: Vec<usize>,
    previous: Vec<Option<u32>>,
    next: Vec<Option<u32>>,
}

/// Walks the needles through a piece.
#[must_use]
pub fn walk(piece: &Piece, habits: &Habits) -> Walk {
    let (thread, stretches) = thread(piece, habits.length(Habit::Carry));
    let turns = turn::judge(piece, &thread);
    let rows = (0..piece.row_count())
        .map(|row| {
            let from = piece.row(row).from;
            let turn = turns[row as usize];
            RowWalk {
                from,
                strokes: strokes(piece, row),
                before: steps::before(piece, &thread, row, turn.as_ref(), habits),
                after: steps::after(&thread, piece, row, habits),
                turn,
                stretch: thread.stretch[row as usize],
            }
        })
        .collect();
    Walk { rows, stretches }
}

/// Follows every yarn from its beginning to its cuts: a weft that would have to be led or carried further than
/// `carry`, across the ends and up the edge together, is cut and begun again.
fn thread(piece: &Piece, carry: Mm) -> (Thread, Vec<Stretch>) {
    let count = piece.rows.len();
    let mut thread =
        Thread { stretch: Vec::with_capacity(count), previous: vec![None; count], next: vec![None; count] };
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut current: Vec<Option<usize>> = vec![None; piece.wefts.len()];
    for (row, this) in (0_u32..).zip(&piece.rows) {
        let last = current[this.weft.0]
            .and_then(|stretch| Some((stretch, *stretches[stretch].rows.last()?)))
            .filter(|&(_, last)| {
                let led = turn::led(piece, last, row).map_or(0, Span::len);
                this.height - piece.row(last).height + piece.spacing() * f64::from(led) <= carry
            });
        let stretch = match last {
            Some((stretch, last)) => {
                thread.previous[row as usize] = Some(last);
                thread.next[last as usize] = Some(row);
                stretches[stretch].rows.push(row);
                stretch
            }
            None => {
                stretches.push(Stretch { weft: this.weft, rows: vec![row] });
                stretches.len() - 1
            }
        };
        current[this.weft.0] = Some(stretch);
        thread.stretch.push(stretch);
    }
    (thread, stretches)
}

fn strokes(piece: &Piece, row: u32) -> u32 {
    let runs = piece.crossings(row).runs(Side::Left);
    (runs.filter(|run| run.pass == Pass::Under).count() as u32).max(1)
}

impl Walk {
    /// Where the yarn of a row, gripped at a side before a later row is woven, goes from there.
    #[must_use]
    pub fn goes(&self, piece: &Piece, row: u32, grip: Grip, side: Side, before: u32) -> Goes {
        let came_out = piece.row(row).from.other() == side;
        match grip {
            Grip::StartingTail | Grip::EndingTail => Goes::Ends,
            Grip::Yarn if came_out && !self.has_gone_on(row, before) => Goes::Waits,
            Grip::Yarn => Goes::Turns,
        }
    }

    /// Whether the yarn of a row goes on, in another row, before a later one is woven.
    #[must_use]
    pub fn has_gone_on(&self, row: u32, before: u32) -> bool {
        let stretch = self.rows.get(row as usize).and_then(|row| self.stretches.get(row.stretch));
        stretch.is_some_and(|stretch| stretch.rows.iter().any(|&other| row < other && other < before))
    }

    /// The turns that are completed in a place, at one side.
    pub fn turns_in<'a>(
        &'a self,
        piece: &'a Piece,
        place: PlaceId,
        side: Side,
    ) -> impl Iterator<Item = &'a Turn> {
        piece.places[place.0]
            .row_range()
            .filter_map(|row| self.rows[row as usize].turn.as_ref())
            .filter(move |turn| turn.side == side)
    }

    /// All turns, in the order in which they are completed.
    pub fn turns(&self) -> impl Iterator<Item = &Turn> {
        self.rows.iter().filter_map(|row| row.turn.as_ref())
    }

    /// What the edge of a band is like all along one of its places.
    #[must_use]
    pub fn edge_habit(&self, piece: &Piece, place: PlaceId, side: Side) -> EdgeHabit {
        let turns: Vec<&Turn> = self.turns_in(piece, place, side).collect();
        if turns.is_empty() {
            return EdgeHabit::NoTurn;
        }
        if turns.iter().any(|turn| turn.state != TurnState::Caught && turn.held.is_none()) {
            return EdgeHabit::Loose;
        }
        let mut crossings = piece.places[place.0]
            .row_range()
            .flat_map(|row| &self.rows[row as usize].before)
            .filter_map(|step| match *step {
                Step::Cross { weft, pass, other, side: at, .. } if at == side => Some((weft, pass, other)),
                _ => None,
            });
        match crossings.next() {
            None if turns.iter().all(|turn| turn.state == TurnState::Caught) => EdgeHabit::Caught,
            None => EdgeHabit::CrossedVariously,
            Some(first) if crossings.all(|crossing| crossing == first) => {
                EdgeHabit::Crossed { weft: first.0, pass: first.1, other: first.2 }
            }
            Some(_) => EdgeHabit::CrossedVariously,
        }
    }
}
