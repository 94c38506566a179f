//! A piece: a plan and a maker's habits, become rows. This is the one place that reads bands and weaves;
//! what follows (the walk, soundness, cloth, need) sees rows, each over its own range of ends.

mod band;
mod header;
mod make;
mod turned;
mod untouched;
mod woven;

pub use header::{Header, HeaderKind};
pub use make::make;
pub(crate) use make::{height_of_rows, rows_of_length};
pub(crate) use untouched::Untouched;

use crate::grid::{self, Grid};
use crate::habits::Habits;
use crate::loom::Loom;
use crate::plan::{BandId, Edges, Finish, KeyPath, Purpose, Wanted, WarpPath, WeftId, YarnId};
use crate::quantity::Mm;
use crate::side::{Pass, Side, Span, Surface};
use crate::thread::Thread;
use crate::weave::lcm;
use crate::yarn::Yarn;

/// A place in the piece's stack, by its number in [`Piece::places`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PlaceId(pub usize);

/// What is to be woven, row by row. Nothing in it is left to choose.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// The piece's name.
    pub name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// The side meant to be seen.
    pub shows: Surface,
    /// On which side of the ends yarn is led where a row stops short of the next: in front ([`Pass::Over`]), as she has it
    /// who weaves it.
    pub leads: Pass,
    /// The longest float the maker is content with, where the plan says it.
    pub longest_float: Option<Mm>,
    /// What is done with it off the loom.
    pub finish: Finish,
    /// The size that it should have when it is finished, where the plan says it.
    pub wanted: Option<Wanted>,
    /// The frame.
    pub loom: Loom,
    /// How the warp is wound.
    pub path: WarpPath,
    /// What spreads the warp below the first row, and comes out again.
    pub header: Option<Header>,
    /// All yarns of the plan.
    pub yarns: Vec<Yarn>,
    /// The ends, from the left: never empty.
    pub ends: Vec<End>,
    /// The needles.
    pub wefts: Vec<Needle>,
    /// The stack, from the bottom up; a band may stand in several places.
    pub places: Vec<Place>,
    /// The rows, row 1 first. Row `i` passes the ends as row `i` of [`Piece::grid`] says.
    pub rows: Vec<Row>,
    /// Over (`true`) and under, each row over its own span.
    pub grid: Grid,
    /// What was decided on the way, for those who ask what became of the plan.
    pub resolved: Vec<Resolved>,
}

/// One end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct End {
    /// Its yarn.
    pub yarn: YarnId,
    /// Its notch, counted from 0 at the left of those used.
    pub notch: u32,
}

/// A weft on its needle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Needle {
    /// The weft's name.
    pub name: String,
    /// Its yarn.
    pub yarn: YarnId,
    /// The side from which its first row starts.
    pub from: Side,
    /// Strands of yarn on the needle: one, or two where it lies doubled.
    pub strands: u32,
}

/// A band where it stands in the stack.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// The band.
    pub band: BandId,
    /// The band's name.
    pub name: String,
    /// Which of this band's places it is, from 1, and how many there are.
    pub nth: (u32, u32),
    /// Its first row, counted from 0.
    pub first_row: u32,
    /// How many rows it has: at least one.
    pub rows: u32,
    /// The ends its rows lie within.
    pub span: Span,
    /// Ends and rows of one repeat of its weave, where it has one.
    pub repeat: Option<(u32, u32)>,
    /// What happens at its edge ends.
    pub edges: Edges,
    /// Its wefts, taken in turn.
    pub wefts: Vec<WeftId>,
}

impl Place {
    /// The rows it holds, counted from 0.
    #[must_use]
    pub fn row_range(&self) -> std::ops::Range<u32> {
        self.first_row..self.first_row + self.rows
    }
}

/// One passage of one needle over one unbroken range of ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// The weft.
    pub weft: WeftId,
    /// Where in the stack it lies.
    pub place: PlaceId,
    /// Its number within the band, from 0.
    pub band_row: u32,
    /// The side the needle starts from.
    pub from: Side,
    /// How far it lies at least above what lies below it, where rows are not to come as close as they can.
    pub apart: Option<Mm>,
    /// The mean height of its centre line above the first row's foot, packed with the likely habits.
    pub height: Mm,
}

/// Something that making the piece decided or found.
#[derive(Debug, Clone, PartialEq)]
pub enum Resolved {
    /// The number of ends that makes the wished width.
    Ends {
        /// As many ends.
        ends: u32,
    },
    /// The number of rows that comes nearest to a wished length.
    Rows {
        /// The band.
        band: BandId,
        /// As many rows.
        rows: u32,
        /// Their height.
        height: Mm,
    },
    /// What a fill band came to.
    Fill {
        /// The band.
        band: BandId,
        /// As many rows.
        rows: u32,
        /// Rows of one repeat of its weave.
        repeat: Option<u32>,
    },
    /// A band began on its next row, since its first opening is the last one below.
    StartedOnNext {
        /// Where.
        place: PlaceId,
    },
    /// A touch lies outside the band's rows or ends and has no effect.
    TouchAsleep {
        /// The band.
        band: BandId,
        /// Which of its touches, from 0.
        touch: usize,
    },
}

/// Why a plan makes no piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceError {
    /// The key of the plan at which it is to be mended.
    pub at: KeyPath,
    /// What is wrong.
    pub kind: PieceErrorKind,
}

/// What keeps a plan from becoming a piece.
#[derive(Debug, Clone, PartialEq)]
pub enum PieceErrorKind {
    /// More ends than the notches take.
    TooManyEnds {
        /// Ends wished for.
        ends: u32,
        /// What the loom takes.
        most: u32,
    },
    /// The width takes no end at all.
    NoEnds,
    /// More rows than any piece may have.
    TooManyRows,
    /// A band that says neither how many rows nor how long.
    NoExtent,
    /// A length in which not one row fits.
    NoRows,
    /// More than one place is filled with what is left, or the same in a repeat.
    SecondFill {
        /// The band that fills as well.
        other: String,
    },
    /// Ends of the band that no part names.
    EndsWithoutPart {
        /// The first of them, from 0.
        end: u32,
    },
    /// A range of ends beyond the last end.
    BeyondTheLastEnd {
        /// The last end, from 0.
        last: u32,
    },
    /// A row or part whose ends all lie outside its band's.
    OutsideItsBand {
        /// The band's ends.
        band: Span,
    },
    /// Exchanging needs two wefts.
    NotTwoWefts,
    /// A band that has no weft.
    NoWeft,
}

/// Ends of these yarns as one strand: the mean over them.
fn warp_thread(yarns: &[Yarn], ends: &[End], loom: &Loom, habits: &Habits) -> Thread {
    let strands = loom.strands_per_end();
    let threads: Vec<Thread> = yarns.iter().map(|yarn| Thread::of(yarn, strands, habits)).collect();
    Thread::mean(ends.iter().map(|end| threads[end.yarn.0]))
}

impl Piece {
    /// Ends of the piece.
    #[must_use]
    pub fn end_count(&self) -> u32 {
        self.ends.len() as u32
    }

    /// Distance between neighbouring ends.
    #[must_use]
    pub fn spacing(&self) -> Mm {
        self.loom.end_spacing()
    }

    /// The yarn of a weft.
    #[must_use]
    pub fn yarn_of(&self, weft: WeftId) -> &Yarn {
        &self.yarns[self.wefts[weft.0].yarn.0]
    }

    /// A row's crossings.
    ///
    /// # Panics
    /// If the piece has no such row.
    #[must_use]
    pub fn crossings(&self, row: u32) -> grid::Row<'_> {
        self.grid.row(row).expect("every row of a piece has its crossings")
    }

    /// The height of the cloth: from the foot of the first row to the mean upper edge of the highest.
    #[must_use]
    pub fn height(&self, habits: &Habits) -> Mm {
        let half: Vec<Mm> =
            (0..self.wefts.len()).map(|w| self.thread(WeftId(w), habits).along / 2.0).collect();
        self.rows.iter().map(|row| row.height + half[row.weft.0]).fold(Mm::ZERO, Mm::max)
    }

    /// A weft as it lies in the cloth.
    #[must_use]
    pub fn thread(&self, weft: WeftId, habits: &Habits) -> Thread {
        Thread::of(self.yarn_of(weft), self.wefts[weft.0].strands, habits)
    }

    /// The warp as one strand: the mean over the ends.
    #[must_use]
    pub fn warp_thread(&self, habits: &Habits) -> Thread {
        warp_thread(&self.yarns, &self.ends, &self.loom, habits)
    }

    /// Ends in which every band's weave comes round; `None` where that takes more ends than there are.
    #[must_use]
    pub fn repeat_ends(&self) -> Option<u32> {
        let repeats = self.places.iter().filter_map(|place| place.repeat).map(|(ends, _)| ends.max(1));
        Some(repeats.fold(1, lcm)).filter(|&ends| ends <= self.end_count())
    }

    /// How many rows there are.
    #[must_use]
    pub fn row_count(&self) -> u32 {
        self.rows.len() as u32
    }

    /// The end at which a row's needle comes out.
    #[must_use]
    pub fn exit(&self, row: u32) -> u32 {
        self.crossings(row).span().edge(self.row(row).from.other())
    }

    /// A row.
    #[must_use]
    pub fn row(&self, row: u32) -> &Row {
        &self.rows[row as usize]
    }

    /// The place a row lies in.
    #[must_use]
    pub fn place_of(&self, row: u32) -> &Place {
        &self.places[self.row(row).place.0]
    }
}
