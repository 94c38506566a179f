//! What is to be done before and after a row, each as a step of its own.

use super::{Grip, Hold, Thread, Turn};
use crate::habits::{Habit, Habits};
use crate::piece::{Piece, PlaceId};
use crate::plan::{WeftId, YarnId};
use crate::quantity::{Estimate, Mm};
use crate::side::{Pass, Side, Span};

/// One thing to do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// Put the header in, before the first row. It comes out when row 1 is secured, so that the rows can't slide down the
    /// open warp. Common practice, no source.
    Header {
        /// How much of the warp it takes.
        length: Mm,
        /// Its yarn and how many rows of it; `None`: a strip of card.
        woven: Option<(YarnId, u32)>,
    },
    /// The piece is woven: take the header out.
    HeaderOut,
    /// Measure the width of the cloth at the fell, and its height.
    Measure {
        /// How wide it should be there, under tension.
        width: Estimate<Mm>,
        /// How high the fell should stand above the foot of the first row.
        height: Estimate<Mm>,
        /// How high a needle reaches, where at the upper end of its spread the fell would stand higher.
        reach: Option<Mm>,
    },
    /// Measure what is open from the fell up to the far bar.
    Room(Room),
    /// Look at what is left of a yarn before a needleful is cut of it: there is too little, or may be.
    Scarce {
        /// The yarn.
        yarn: YarnId,
        /// The row in which it runs out, or may; `None`: the warp already takes more than there is.
        row: Option<u32>,
        /// Whether it surely runs out.
        surely: bool,
        /// Whether the needleful that is cut is the one with which it does: the last that there is yarn for.
        last: bool,
    },
    /// Begin a yarn here and leave a tail.
    Begin {
        /// The weft.
        weft: WeftId,
        /// The side at which it begins.
        side: Side,
        /// The first end that it passes.
        end: u32,
        /// The tail to leave.
        tail: Mm,
        /// How long it is cut for the needle, tail and all; `None` until that is known ([`crate::need::cut`]).
        cut: Option<Mm>,
    },
    /// The needle's yarn ends in the row that comes next: another length joins it there.
    Join {
        /// The weft.
        weft: WeftId,
        /// How long the other is cut.
        cut: Mm,
        /// The ends over which both lie in the same opening.
        ends: Span,
    },
    /// Take this weft round another at the edge, so that each holds the other.
    Cross {
        /// The weft whose row comes next.
        weft: WeftId,
        /// Under or over the other.
        pass: Pass,
        /// The weft that waits there (or whose tail hangs there).
        other: WeftId,
        /// What of the other.
        grip: Grip,
        /// The side at which they meet.
        side: Side,
        /// The edge end.
        end: u32,
    },
    /// Take up a weft that has waited while others were woven.
    Carry {
        /// The weft.
        weft: WeftId,
        /// The side at which it waited.
        side: Side,
        /// The end at which it waited.
        end: u32,
        /// The rows woven meanwhile over the edge end.
        past: u32,
        /// How far it is carried up the edge.
        up: Mm,
    },
    /// Lead a weft in front of ends that only one of its two rows covers.
    Lead {
        /// The weft.
        weft: WeftId,
        /// The ends.
        ends: Span,
    },
    /// From this row on rows are combed down otherwise than before.
    Beat {
        /// How far apart they are to lie from here on; `None`: as close as they come.
        apart: Option<Mm>,
    },
    /// Lay the yarn in as a hill, so that the row gets the length it needs.
    Hill,
    /// Comb it down.
    Comb {
        /// How far it stays from what lies below it, where rows are not to come as close as they can.
        apart: Option<Mm>,
    },
    /// Cut the yarn and leave a tail to secure.
    Cut {
        /// The weft.
        weft: WeftId,
        /// The side at which it ends.
        side: Side,
        /// The last end that it passes.
        end: u32,
        /// The tail to leave.
        tail: Mm,
    },
}

/// What must be open up to the far bar for what is still to come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// The place whose number of rows says whether it is.
    pub place: PlaceId,
    /// Rows of it that are still to come.
    pub to_come: u32,
    /// What is needed up to the bar for those and for all that follows, with what a needle can't reach.
    pub needed: Estimate<Mm>,
    /// What of that must be left when they are woven.
    pub left: Estimate<Mm>,
    /// In how many rows each of its wefts has woven once.
    pub turn: u32,
    /// How high so many rows stand.
    pub turn_height: Mm,
}

/// Up to how many rows a weft is carried past without a word: where two or three take turns, each is carried all the
/// time. Common practice, no source.
const SHORT_CARRY: u32 = 3;

impl Step {
    /// Whether it is done so often that it need not be said each time.
    #[must_use]
    pub fn is_routine(&self) -> bool {
        match self {
            Step::Hill | Step::Comb { .. } => true,
            Step::Carry { past, .. } => *past <= SHORT_CARRY,
            // Where a shape grows by an end, its yarn goes there by itself.
            Step::Lead { ends, .. } => ends.len() == 1,
            Step::Header { .. }
            | Step::HeaderOut
            | Step::Measure { .. }
            | Step::Room(_)
            | Step::Scarce { .. }
            | Step::Beat { .. }
            | Step::Begin { .. }
            | Step::Join { .. }
            | Step::Cross { .. }
            | Step::Cut { .. } => false,
        }
    }
}

impl Step {
    /// Whether it is done at this row alone, also where the row is woven as another is.
    #[must_use]
    pub fn is_of_its_row(&self) -> bool {
        match self {
            Step::Header { .. }
            | Step::HeaderOut
            | Step::Measure { .. }
            | Step::Room(_)
            | Step::Scarce { .. }
            | Step::Beat { .. }
            | Step::Begin { .. }
            | Step::Join { .. }
            | Step::Cut { .. } => true,
            Step::Cross { .. } | Step::Carry { .. } | Step::Lead { .. } | Step::Hill | Step::Comb { .. } => {
                false
            }
        }
    }
}

pub(super) fn before(
    piece: &Piece,
    thread: &Thread,
    row: u32,
    turn: Option<&Turn>,
    habits: &Habits,
) -> Vec<Step> {
    let this = piece.row(row);
    let entry = piece.crossings(row).span().edge(this.from);
    let mut steps = Vec::new();
    if let (0, Some(header)) = (row, &piece.header) {
        let woven = header.rows().and_then(|rows| Some((rows.wefts.first()?.yarn, rows.row_count())));
        steps.push(Step::Header { length: header.length.value, woven });
    }
    // Before the first row there is nothing but what every row is told to do.
    let before = row.checked_sub(1).and_then(|below| piece.row(below).apart);
    if this.apart != before {
        steps.push(Step::Beat { apart: this.apart });
    }
    match thread.previous[row as usize] {
        None => {
            let tail = habits.length(Habit::Tail);
            steps.push(Step::Begin { weft: this.weft, side: this.from, end: entry, tail, cut: None });
        }
        Some(since) if row - since > 1 => {
            let up = this.height - piece.row(since).height;
            let past = turn.map_or(0, |turn| turn.past);
            steps.push(Step::Carry { weft: this.weft, side: this.from, end: piece.exit(since), past, up });
        }
        Some(_) => {}
    }
    if let Some(ends) = turn.and_then(|turn| turn.led) {
        steps.push(Step::Lead { weft: this.weft, ends });
    }
    if let Some(&Turn { end, held: Some(Hold { weft: other, pass, grip, made_here: true, .. }), .. }) = turn {
        // What passes in front of the turn has this weft go under it, and the reverse.
        let pass = pass.opposite();
        steps.push(Step::Cross { weft: this.weft, pass, other, grip, side: this.from, end });
    }
    steps
}

pub(super) fn after(thread: &Thread, piece: &Piece, row: u32, habits: &Habits) -> Vec<Step> {
    let this = piece.row(row);
    let mut steps = vec![Step::Hill, Step::Comb { apart: this.apart }];
    if thread.next[row as usize].is_none() {
        let tail = habits.length(Habit::Tail);
        steps.push(Step::Cut { weft: this.weft, side: this.from.other(), end: piece.exit(row), tail });
    }
    if row + 1 == piece.row_count() && piece.header.is_some() {
        steps.push(Step::HeaderOut);
    }
    steps
}
