//! How much weft a row takes: bent where it changes face, straight elsewhere, round the edge at its turn.

use crate::cloth::peirce;
use crate::habits::{Habit, Habits};
use crate::piece::Piece;
use crate::plan::WeftId;
use crate::quantity::Mm;
use crate::side::Side;
use crate::thread::Thread;
use crate::walk::{TurnState, Walk};

/// The weft that a row takes, by what it goes into. Strands are not counted: a doubled weft takes it twice.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RowLength {
    /// Across the ends.
    pub path: Mm,
    /// Round the edge before the row.
    pub turn: Mm,
    /// Up the edge before the row.
    pub carry: Mm,
    /// Slack laid in as a hill.
    pub slack: Mm,
}

impl RowLength {
    /// All of it.
    #[must_use]
    pub fn sum(self) -> Mm {
        self.path + self.turn + self.carry + self.slack
    }
}

/// The weft that each row takes, with these habits.
#[must_use]
pub fn row_lengths(piece: &Piece, walk: &Walk, habits: &Habits) -> Vec<RowLength> {
    let spacing = piece.spacing();
    let warp = Thread::of_warp(&piece.yarns, &piece.ends, &piece.loom, habits);
    let slack = habits.ratio(Habit::Slack);
    // What a change of face takes, and the distance of warp and weft, weft by weft.
    let at_change: Vec<(Mm, Mm)> = (0..piece.wefts.len())
        .map(|weft| {
            let contact = warp.thick + piece.thread(WeftId(weft), habits).thick;
            (peirce::path_at_change(spacing, contact), contact)
        })
        .collect();
    (0..piece.row_count())
        .map(|row| {
            let this = piece.row(row);
            let (change, contact) = at_change[this.weft.0];
            let crossings = piece.crossings(row);
            let gaps = crossings.span().len() - 1;
            let changes = crossings.runs(Side::Left).count().saturating_sub(1) as u32;
            let path = spacing * f64::from(gaps - changes) + change * f64::from(changes);
            let (turn, carry) = walk.rows[row as usize].turn.map_or((Mm::ZERO, Mm::ZERO), |turn| {
                let round = match turn.state {
                    // Half round the edge end, at the distance of the two yarns' centres.
                    TurnState::Caught => contact * (std::f64::consts::FRAC_PI_2),
                    // Out past the edge end and round the yarn that holds it.
                    TurnState::LooseAtEdge { .. } | TurnState::LooseEverywhere => contact,
                };
                (round, (this.height - piece.row(turn.since).height).abs())
            });
            RowLength { path, turn, carry, slack: path * slack }
        })
        .collect()
}
