//! Facts into words. This is the one room in which sentences stand; no other module of the core holds one.
//!
//! Words are short, kind and exact: what is so, where, what to do. People count rows and ends from 1, rows
//! from the bottom and ends from the left, seen from the front.

mod again;
mod band;
mod caution;
mod changed;
mod colour;
mod edit;
mod finding;
mod fit;
mod floats;
mod lengths;
mod measure;
mod need;
mod off_loom;
mod piece;
mod problem;
mod resolved;
mod row;
mod size;
mod stack;
mod step;
mod warp;
mod weaving;
mod why;
mod yarn;

pub use again::{
    AS_OTHERS, Section, as_others, at_their_rows, begins_again, drawn_rows, headed, measuring, told_once,
};
pub use band::{everywhere, weave, woven, written_out, yarn_in, yarn_used, yarn_uses};
pub use caution::caution;
pub use changed::{changed_below, part, take_out};
pub use edit::{beat_elsewhere, done, edges_elsewhere, edit, edit_error, runs};
pub use finding::{finding, severity, things_to_mend};
pub(crate) use finding::{open_beat, open_sett};
pub use fit::{choice, comes_of, fitted, keeps};
pub use floats::floats;
pub use lengths::{lengthened, lengths};
pub use measure::{Units, about, as_typed, cut, degree, length, likely, mass, on_ruler, rows_in, spread};
pub use need::{goes_into, needlefuls, parts, rests_on, takes};
pub use off_loom::off_the_loom;
pub use piece::{asked, follows, list, purpose, such_as};
pub use problem::piece_error;
pub use resolved::resolved;
pub use row::{
    RowPhrase, comes_from, edge_note, over_ends, row_listed, row_phrases, row_words, unpick_words,
};
pub use size::{
    course, finish, finished_examples, likely_sides, measures, past_reach, sides, state, states,
    thickness_guessed, unwoven, wanted, weighs,
};
pub use stack::called;
pub use step::{
    BEFORE_ROWS, FIRST_MET, edge_habit, gripped, header_of, off_height, off_width, other_room, room_choice,
    step, turn,
};
pub use warp::{TIED, WindingStep, notch_told, picture, wind, winding};
pub use weaving::{far, left};
pub use why::{holds_because, need_because, size_because};
pub use yarn::{AskedOf, all_known, known, size_examples};

use crate::piece::Piece;
use crate::plan::{BandId, Edges, WarpPath, WeftId, YarnId};
use crate::side::{Pass, Side, Surface};
use row::times;
use std::fmt;
use step::{join_at, join_often};

/// What a stretch of words is about, so that a page can link or underline it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// What the piece is for.
    Purpose,
    /// The frame.
    Loom,
    /// The number of ends.
    Ends,
    /// What is put in below the first row.
    Header,
    /// A yarn.
    Yarn(YarnId),
    /// Whether and how it holds.
    Holds,
    /// The size, on the loom and finished.
    Size,
    /// What it takes of yarn.
    Need,
}

/// Words, some of them marked.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Text {
    /// The parts, in order.
    pub parts: Vec<(String, Option<Mark>)>,
}

impl Text {
    /// Adds words that are about nothing in particular.
    #[must_use]
    pub fn plain(mut self, words: impl Into<String>) -> Text {
        self.parts.push((words.into(), None));
        self
    }

    /// Adds marked words.
    #[must_use]
    pub fn marked(mut self, words: impl Into<String>, mark: Mark) -> Text {
        self.parts.push((words.into(), Some(mark)));
        self
    }
}

impl fmt::Display for Text {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.parts.iter().try_for_each(|(words, _)| f.write_str(words))
    }
}

/// Left or right.
#[must_use]
pub fn side(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
    }
}

/// Front or back.
#[must_use]
pub fn surface(surface: Surface) -> &'static str {
    match surface {
        Surface::Front => "front",
        Surface::Back => "back",
    }
}

/// The side meant to be seen, of the two that a weaver has before and behind the cloth.
#[must_use]
pub fn good_side(shows: Surface) -> &'static str {
    match shows {
        Surface::Front => "the front, which you see while weaving",
        Surface::Back => "the back, away from you",
    }
}

/// How a warp is wound.
#[must_use]
pub fn path(path: WarpPath) -> &'static str {
    match path {
        WarpPath::Zigzag => "up one notch and down the next",
        WarpPath::Round => "round and round the frame",
    }
}

/// What the strands of one notch are.
#[must_use]
pub fn strands_act(act: crate::loom::StrandsAct) -> &'static str {
    match act {
        crate::loom::StrandsAct::AsOneEnd => "one end, which the needle takes together",
        crate::loom::StrandsAct::AsEnds => "ends, which the needle may part",
    }
}

/// What happens at the edge ends.
#[must_use]
pub fn edges(edges: Edges) -> &'static str {
    match edges {
        Edges::Crossed => "as the weave has it, wefts crossed where that holds a turn",
        Edges::Taken => "over the first end and under the last in every row",
    }
}

/// From where a picture of the piece is seen.
#[must_use]
pub fn seen_from(surface: Surface) -> &'static str {
    match surface {
        Surface::Front => "It is seen from the front, as it is woven.",
        Surface::Back => "It is seen from the back, turned over like a page.",
    }
}

/// Over or under.
#[must_use]
pub fn pass(pass: Pass) -> &'static str {
    match pass {
        Pass::Over => "over",
        Pass::Under => "under",
    }
}

pub(crate) fn weft(piece: &Piece, weft: WeftId) -> &str {
    &piece.wefts[weft.0].name
}

pub(crate) fn yarn(piece: &Piece, yarn: YarnId) -> &str {
    &piece.yarns[yarn.0].name
}

/// A band's name, as it goes into a sentence.
pub(crate) fn band(piece: &Piece, band: BandId) -> String {
    let place = piece.places.iter().find(|place| place.band == band);
    place.map_or_else(String::new, |place| place.name.clone())
}

/// The first letter made large.
pub(crate) fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// "1 row", "2 rows".
#[must_use]
pub fn counted(count: u32, one: &str, many: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {many}") }
}

/// "row 3" or "rows 3 to 8", from rows counted from 0.
pub(crate) fn rows(first: u32, last: u32) -> String {
    if first == last { format!("row {}", first + 1) } else { format!("rows {} to {}", first + 1, last + 1) }
}

/// "end 3" or "ends 3 to 8", from ends counted from 0.
pub(crate) fn ends(first: u32, last: u32) -> String {
    if first == last { format!("end {}", first + 1) } else { format!("ends {} to {}", first + 1, last + 1) }
}
