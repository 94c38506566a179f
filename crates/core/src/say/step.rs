//! What to do before and after a row, and what holds at the edge.

use super::{Units, counted, length, list, on_ruler, pass, side, weft, yarn};
use crate::piece::{Piece, PlaceId};
use crate::plan::WeftId;
use crate::quantity::Mm;
use crate::ruler::Choice;
use crate::side::{Pass, Side};
use crate::walk::{EdgeHabit, Grip, Room, Step, Turn, TurnState, Walk};
use std::cmp::Ordering;

/// What a header may be: woven with a yarn, or not.
#[must_use]
pub fn header_of(yarn: Option<&str>) -> String {
    yarn.map_or_else(|| "a strip of card".to_owned(), |yarn| format!("woven with {yarn}"))
}

/// A step as an instruction.
#[must_use]
pub fn step(step: &Step, piece: &Piece, units: Units) -> String {
    match *step {
        Step::Header { length: long, woven: Some((y, rows)) } => {
            let rows = counted(rows, "row", "rows");
            format!(
                "weave a header of {} with {}, about {rows}, over 1 and under 1: it spreads the warp, and comes out again",
                length(long, units),
                yarn(piece, y)
            )
        }
        Step::Header { length: long, woven: None } => {
            let long = length(long, units);
            format!(
                "slip {} {long} wide in as a header, over 1 and under 1: it spreads the warp, and comes out again",
                header_of(None)
            )
        }
        Step::HeaderOut => {
            "secure row 1, with a stitch round every two or three ends, then take the header out".into()
        }
        Step::Measure { width, height, reach } => {
            let reach = reach.map_or_else(String::new, |reach| {
                format!("; a needle reaches no higher than {}", length(reach, units))
            });
            format!(
                "measure here: it should be {} wide, and {} high from the foot of row 1{reach}",
                on_ruler(width, units),
                on_ruler(height, units)
            )
        }
        Step::Room(ref room) => self::room(room, piece, units),
        Step::Scarce { yarn: y, row, surely, last } => scarce(yarn(piece, y), row, surely, last),
        Step::Begin { weft: w, side: s, end, tail, cut } => {
            let cut = cut.map_or_else(String::new, |long| {
                format!("; its needleful is {}", needleful(piece, w, long, units))
            });
            format!(
                "begin {} at {}, leaving a tail of {}{cut}",
                weft(piece, w),
                edge(piece, s, end),
                length(tail, units)
            )
        }
        Step::Join { weft: w, cut, ends } => format!(
            "join {} in this row where its needleful ends, about over {}, both yarns in the same opening; the new needleful is {}",
            weft(piece, w),
            super::ends(ends.first(), ends.last()),
            needleful(piece, w, cut, units)
        ),
        Step::Cross { weft: w, pass: p, other, grip, side: s, end } => {
            let other = gripped(piece, other, grip);
            format!("cross at {}: take {} {} {}", edge(piece, s, end), weft(piece, w), pass(p), other)
        }
        Step::Carry { weft: w, side: s, end, past, up } => {
            let (name, edge) = (weft(piece, w), edge(piece, s, end));
            if past == 0 {
                return format!("take up {name}, which waits at {edge}");
            }
            let rows = counted(past, "row", "rows");
            let up = length(up.max(Mm::ZERO), units);
            format!("take up {name} at {edge}, carried past {rows} ({up})")
        }
        Step::Lead { weft: w, ends } => {
            let name = weft(piece, w);
            format!(
                "lead {name} in front of {} to where its row begins",
                super::ends(ends.first(), ends.last())
            )
        }
        Step::Hill => "lay it in as a hill".into(),
        Step::Beat { apart: Some(apart) } => format!(
            "from here on comb gently: rows are to lie {}, {} from one to the next",
            super::rows_in(apart, units),
            length(apart, units)
        ),
        Step::Beat { apart: None } => "from here on comb the rows down close again".into(),
        Step::Comb { apart: None } => "comb it down".into(),
        Step::Comb { apart: Some(apart) } => {
            format!("comb it down gently, to {} from the row below", length(apart, units))
        }
        Step::Cut { weft: w, side: s, end, tail } => {
            let (name, edge) = (weft(piece, w), edge(piece, s, end));
            format!("cut {name} at {edge}, leaving a tail of {} to knot or darn in", length(tail, units))
        }
    }
}

/// Too little of a yarn, where a needleful is cut of it.
fn scarce(name: &str, row: Option<u32>, surely: bool, last: bool) -> String {
    let row = row.map(|row| row + 1);
    match (row, last) {
        (Some(row), true) if surely => format!(
            "look at what is left of {name}: this needleful is the last that it gives, and runs out in about row {row}"
        ),
        (Some(row), true) => format!(
            "look at what is left of {name}: this needleful may be the last that it gives, up to about row {row}"
        ),
        (Some(row), false) if surely => {
            format!("look at what is left of {name}: it runs out in about row {row}")
        }
        (Some(row), false) => format!("look at what is left of {name}: it may run out in about row {row}"),
        (None, _) => format!("look at what is left of {name}: the warp takes more than there is"),
    }
}

/// What must be open up to the far bar, and for what.
fn room(room: &Room, piece: &Piece, units: Units) -> String {
    let place = &piece.places[room.place.0];
    let follows = follows(room, piece, units);
    let then = if follows.is_empty() {
        String::new()
    } else {
        let follows: Vec<&str> = follows.iter().map(String::as_str).collect();
        format!(", and then {} left for {}", on_ruler(room.left, units), list(&follows))
    };
    format!(
        "measure what is open up to the far bar: it takes {}, {} more of {}{then}",
        on_ruler(room.needed, units),
        counted(room.to_come, "row", "rows"),
        place.name
    )
}

/// What follows a place up to the bar: "4 rows of hem", "1.5 cm that a needle can't reach".
fn follows(room: &Room, piece: &Piece, units: Units) -> Vec<String> {
    let above = &piece.places[room.place.0 + 1..];
    let mut said: Vec<String> = match above {
        // Each band that comes again and again would be a long list.
        [_, _, _, _, ..] => {
            let rows = above.iter().map(|place| place.rows).sum();
            vec![format!(
                "{} in {}",
                counted(rows, "row", "rows"),
                counted(above.len() as u32, "band", "bands")
            )]
        }
        few => few
            .iter()
            .map(|place| format!("{} of {}", counted(place.rows, "row", "rows"), place.name))
            .collect(),
    };
    let beyond = piece.beyond_reach();
    if beyond > Mm::ZERO {
        said.push(format!("{} that a needle can't reach", length(beyond, units)));
    }
    said
}

/// What to do where less or more is open than it takes: two sentences.
#[must_use]
pub fn other_room(room: &Room, piece: &Piece, units: Units) -> [String; 2] {
    let band = &piece.places[room.place.0].name;
    let rows = counted(room.turn, "row", "rows");
    let high = length(room.turn_height, units);
    [
        format!("If less is open, weave fewer rows of {band}: {rows} for every {high} that is missing."),
        // What is reckoned stays as it is: by that they don't fit.
        format!(
            "If more is open, there is room for more rows of {band}: {rows} for every {high}. What you measured counts, \
             even where the piece says then that they don't fit."
        ),
    ]
}

/// One of the numbers of rows there are to choose from where room must be left: "from 3.2 cm: 40 rows, 2 fewer".
#[must_use]
pub fn room_choice(choice: &Choice, room: &Room, piece: &Piece, units: Units) -> String {
    let now = piece.places[room.place.0].rows;
    let changed = match choice.rows.cmp(&now) {
        Ordering::Less => format!("{} fewer", now - choice.rows),
        Ordering::Equal => "as planned".to_owned(),
        Ordering::Greater => format!("{} more", choice.rows - now),
    };
    let rows = counted(choice.rows, "row", "rows");
    format!("from {}: {rows}, {changed}", length(choice.open, units))
}

/// What of a weft another is taken round: "foam", "the starting tail of foam".
#[must_use]
pub fn gripped(piece: &Piece, other: WeftId, grip: Grip) -> String {
    let other = weft(piece, other);
    match grip {
        Grip::Yarn => other.to_owned(),
        Grip::StartingTail => format!("the starting tail of {other}"),
        Grip::EndingTail => format!("the ending tail of {other}"),
    }
}

/// One of many joins of a yarn: "row 12 over ends 10 to 13, 1.2 m".
pub(super) fn join_at(join: &Step, row: u32, piece: &Piece, units: Units) -> String {
    let Step::Join { weft, cut, ends } = *join else { return String::new() };
    let ends = super::ends(ends.first(), ends.last());
    format!("row {} over {ends}, {}", row + 1, needleful(piece, weft, cut, units))
}

/// Many joins of a yarn in one breath.
pub(super) fn join_often(w: WeftId, piece: &Piece, each: &str) -> String {
    format!("join {} as ever, with a new needleful: {each}", weft(piece, w))
}

/// Where a row begins or stops: "the left", or "the left of end 10" where that isn't at the edge of the cloth.
fn edge(piece: &Piece, at: Side, end: u32) -> String {
    let outermost = match at {
        Side::Left => 0,
        Side::Right => piece.end_count().saturating_sub(1),
    };
    let of_end = if end == outermost { String::new() } else { format!(" of end {}", end + 1) };
    format!("the {}{of_end}", side(at))
}

/// "1.2 m", "2.4 m, to lie double".
fn needleful(piece: &Piece, weft: WeftId, cut: Mm, units: Units) -> String {
    let strands = piece.wefts[weft.0].strands;
    let double = if strands > 1 { ", to lie double" } else { "" };
    format!("{}{double}", super::cut(cut * f64::from(strands), units))
}

/// How rows are to be read and what is done with each, in sentences: said once, before the first.
pub const BEFORE_ROWS: [&str; 3] = [
    "Row 1 is at the bottom; ends count from the left.",
    "The words run the way the needle runs.",
    "After every row lay the yarn in as a hill and comb it down.",
];

/// What a needleful and a hill are, in sentences: said where they are first met.
pub const FIRST_MET: [&str; 2] = [
    "A needleful is the length of yarn that is on the needle at once.",
    "A hill: each row is laid in slack, high in its middle, before it is combed down. So it has the yarn to go over and \
     under, and doesn't draw the edges in.",
];

/// What to do from here on where the cloth measures less or more than it should: two sentences.
#[must_use]
pub fn off_width() -> [&'static str; 2] {
    [
        "If it is narrower, give the weft more slack: lay it in as a higher hill before you comb it down, and \
         don't pull at the turns.",
        "If it is wider, give the weft less slack: lay it in as a lower hill, and draw each turn snug round the \
         edge end.",
    ]
}

/// What to do from here on where the cloth is lower or higher than it should be by now: two sentences.
#[must_use]
pub fn off_height() -> [&'static str; 2] {
    [
        "If it is lower, its rows lie closer than was reckoned: comb them more lightly, or it will be shorter.",
        "If it is higher, they lie further apart: comb them harder, or it will be longer.",
    ]
}

/// How a turn lies, and what holds it.
#[must_use]
pub fn turn(turn: &Turn, piece: &Piece) -> String {
    let (name, at) = (weft(piece, turn.weft), side(turn.side));
    let state = match turn.state {
        TurnState::Caught => return format!("{name} wraps the edge end at the {at}"),
        TurnState::LooseAtEdge { slips_to } => {
            format!("{name} is loose at the {at}; by itself it slips in to end {}", slips_to + 1)
        }
        TurnState::LooseEverywhere => {
            format!("{name} is loose at the {at}; by itself row {} comes out", turn.row + 1)
        }
    };
    let Some(hold) = turn.held else {
        return format!("{state}, and nothing holds it");
    };
    let only = if hold.grip == Grip::Yarn { "" } else { "only " };
    let holder = format!("{only}{}", gripped(piece, hold.weft, hold.grip));
    let by = if hold.pass == Pass::Over { "in front of it" } else { "behind it" };
    format!("{state}, but {holder} holds it, passing {by}")
}

/// What the edges of a band are like all along it, in one line; `None` where no needle turns in it.
#[must_use]
pub fn edge_habit(piece: &Piece, walk: &Walk, place: PlaceId) -> Option<String> {
    let [left, right] = Side::BOTH.map(|side| walk.edge_habit(piece, place, side));
    let (one, other) = (habit(piece, left), habit(piece, right));
    match (one, other) {
        (None, None) => None,
        (Some(one), Some(other)) if one == other => Some(format!("at both edges: {one}")),
        (Some(one), Some(other)) => Some(format!("at the left edge: {one}; at the right: {other}")),
        (Some(one), None) => Some(format!("at the left edge: {one}")),
        (None, Some(other)) => Some(format!("at the right edge: {other}")),
    }
}

fn habit(piece: &Piece, habit: EdgeHabit) -> Option<String> {
    Some(match habit {
        EdgeHabit::NoTurn => return None,
        EdgeHabit::Caught => "each turn wraps the edge end".into(),
        EdgeHabit::Crossed { weft: w, pass: p, other } => {
            format!("{} {} {}", weft(piece, w), pass(p), weft(piece, other))
        }
        EdgeHabit::CrossedVariously => "cross as each row says".into(),
        EdgeHabit::Loose => "some turns are loose".into(),
    })
}
