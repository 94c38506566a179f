//! How much weft a row takes: bent where it changes face, straight elsewhere, round the edge at its turn.

use crate::cloth::{Across, Cloth};
use crate::habits::{Habit, Habits};
use crate::piece::Piece;
use crate::plan::WeftId;
use crate::quantity::Mm;
use crate::racetrack::Crossed;
use crate::side::{Side, Span};
use crate::walk::{TurnState, Walk};

/// The weft that a row takes, by what it goes into. Strands are not counted: a doubled weft takes it twice.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RowLength {
    /// Across the ends.
    pub path: Mm,
    /// More across the ends, where the row is not level.
    pub rise: Mm,
    /// Round the edge before the row, up to it where the weft's last row is the one below.
    pub turn: Mm,
    /// Up the edge before the row, past those that others wove meanwhile, and in front of the ends that only one of
    /// the weft's two rows covers.
    pub carry: Mm,
    /// Slack laid in as a hill.
    pub slack: Mm,
}

impl RowLength {
    /// All of it.
    #[must_use]
    pub fn sum(self) -> Mm {
        self.path + self.rise + self.turn + self.carry + self.slack
    }
}

/// What a row is like in the packed cloth, whatever the habits that are tried out on its yarn: worked out
/// once, since it takes a look at every crossing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Course {
    /// Gaps between its ends, and those in which it changes face.
    gaps: u32,
    changes: u32,
    /// What it takes because it lies higher in one place than in another.
    rise: Mm,
    /// Up the edge before it.
    up: Mm,
    /// Whether the weft is carried up there past rows of others.
    carried: bool,
    /// In front of ends that it is led past before it.
    led: Mm,
}

/// The weft that each row takes, with these habits.
#[must_use]
pub fn row_lengths(piece: &Piece, walk: &Walk, cloth: &Cloth, habits: &Habits) -> Vec<RowLength> {
    lengths(piece, walk, &courses(piece, walk, cloth, habits), habits)
}

/// How each weft crosses the ends.
fn crossed(piece: &Piece, habits: &Habits) -> Vec<Crossed> {
    let warp = piece.warp_thread(habits);
    (0..piece.wefts.len())
        .map(|weft| Crossed::of(&warp, piece.spacing(), &piece.thread(WeftId(weft), habits)))
        .collect()
}

/// What each row is like.
pub(super) fn courses(piece: &Piece, walk: &Walk, cloth: &Cloth, habits: &Habits) -> Vec<Course> {
    let crossed = crossed(piece, habits);
    (0..piece.row_count())
        .map(|row| {
            let crossings = piece.crossings(row);
            let change = crossed[piece.row(row).weft.0].path_at_change();
            let rise = cloth.rise(row, |end| {
                let changes = crossings.over(end) != crossings.over(end + 1);
                if changes { change } else { piece.spacing() }
            });
            let turn = walk.rows[row as usize].turn;
            let up = turn.map_or(Mm::ZERO, |turn| {
                let at_edge = |row: u32| {
                    let lie = cloth.row(row);
                    lie.at(Across::End(lie.span().edge(turn.side))).unwrap_or_default()
                };
                (at_edge(row) - at_edge(turn.since)).abs()
            });
            let gaps = crossings.span().len() - 1;
            let changes = crossings.runs(Side::Left).count().saturating_sub(1) as u32;
            let carried = turn.is_some_and(|turn| turn.past > 0);
            let led = turn.and_then(|turn| turn.led).map_or(0, Span::len);
            let led = piece.spacing() * f64::from(led);
            Course { gaps, changes, rise, up, carried, led }
        })
        .collect()
}

/// The same as [`row_lengths`] where what the rows are like is known already.
pub(super) fn lengths(piece: &Piece, walk: &Walk, courses: &[Course], habits: &Habits) -> Vec<RowLength> {
    let crossed = crossed(piece, habits);
    let spacing = piece.spacing();
    let slack = habits.ratio(Habit::Slack);
    (0..piece.row_count())
        .zip(courses)
        .map(|(row, &Course { gaps, changes, rise, up, carried, led })| {
            let ends = crossed[piece.row(row).weft.0];
            let change = ends.path_at_change();
            let path = spacing * f64::from(gaps - changes) + change * f64::from(changes);
            let turn = walk.rows[row as usize].turn.map_or(Mm::ZERO, |turn| match turn.state {
                // Half round the edge end, at the distance of the two yarns' centres.
                TurnState::Caught => ends.path_round(),
                // Out past the edge end and round the yarn that holds it.
                TurnState::LooseAtEdge { .. } | TurnState::LooseEverywhere => ends.contact + ends.flat,
            });
            let (turn, carry) = if carried { (turn, up) } else { (turn + up, Mm::ZERO) };
            RowLength { path, rise, turn, carry: carry + led, slack: path * slack }
        })
        .collect()
}
