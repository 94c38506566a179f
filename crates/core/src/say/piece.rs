//! The piece in two sentences: what was asked, and what follows.

use super::{Mark, Text, Units, yarn};
use crate::cloth::size::Size;
use crate::need::Need;
use crate::piece::Piece;
use crate::plan::{Purpose, WeftId, YarnId};
use crate::quantity::{Estimate, Mm};
use crate::side::{Side, Surface};
use crate::sound::{Finding, Kind, to_mend};
use crate::walk::{TurnState, Walk};
use std::borrow::Borrow;

/// What a piece for this purpose is called.
#[must_use]
pub fn purpose(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::Sample => "sample",
        Purpose::Bookmark => "bookmark",
        Purpose::Coaster => "coaster",
        Purpose::Mat => "mat",
        Purpose::Jewellery => "piece of jewellery",
        Purpose::Garment => "piece to wear",
        Purpose::Hanging => "hanging",
    }
}

/// "reed", "reed and foam", "foam, slate and reed".
#[must_use]
pub fn list<S: Borrow<str>>(names: &[S]) -> String {
    match names {
        [] => String::new(),
        [only] => only.borrow().to_owned(),
        [first @ .., last] => format!("{} and {}", first.join(", "), last.borrow()),
    }
}

/// What may be typed: "Such as 22 m, 50 g or 2 oz".
#[must_use]
pub fn such_as([first, second, third]: [&str; 3]) -> String {
    format!("Such as {first}, {second} or {third}")
}

/// Yarns in the order in which they are first met.
fn met(yarns: impl Iterator<Item = YarnId>) -> Vec<YarnId> {
    let mut met = Vec::new();
    for yarn in yarns {
        if !met.contains(&yarn) {
            met.push(yarn);
        }
    }
    met
}

fn marked_list(mut text: Text, piece: &Piece, yarns: &[YarnId]) -> Text {
    for (k, &id) in yarns.iter().enumerate() {
        let joint = match k {
            0 => "",
            _ if k + 1 == yarns.len() => " and ",
            _ => ", ",
        };
        text = text.plain(joint).marked(yarn(piece, id), Mark::Yarn(id));
    }
    text
}

/// What was asked: "A coaster on the small frame: 24 ends of reed, woven with foam and slate."
#[must_use]
pub fn asked(piece: &Piece, units: Units) -> Text {
    let loom = match &piece.loom.name {
        Some(name) => format!("the {}", name.strip_prefix("the ").unwrap_or(name)),
        None => format!("a frame of {} notches", piece.loom.notches),
    };
    let ends = super::counted(piece.end_count(), "end", "ends");
    let warp = met(piece.ends.iter().map(|end| end.yarn));
    let weft = met(piece.rows.iter().map(|row| piece.wefts[row.weft.0].yarn));
    let text = Text::default()
        .plain("A ")
        .marked(purpose(piece.purpose), Mark::Purpose)
        .plain(" on ")
        .marked(loom, Mark::Loom)
        .plain(": ")
        .marked(ends, Mark::Ends)
        .plain(" of ");
    let text = marked_list(text, piece, &warp).plain(", woven with ");
    let text = marked_list(text, piece, &weft);
    let text = match &piece.header {
        None => text,
        Some(header) => text
            .plain(", above ")
            .marked(format!("a header of {}", super::as_typed(&header.length, units)), Mark::Header),
    };
    match piece.shows {
        Surface::Front => text.plain("."),
        Surface::Back => text.plain(", its good side away from the weaver."),
    }
}

/// What follows, what is not held first: whether it holds, its size when it is finished and on the loom, and the
/// yarn it takes.
#[must_use]
pub fn follows(
    piece: &Piece,
    walk: &Walk,
    findings: &[Finding],
    need: &Need,
    size: &Size,
    units: Units,
) -> Text {
    let sum = |of: fn(&crate::need::YarnNeed) -> Estimate<Mm>| {
        let all = need.yarns.iter().map(of);
        all.reduce(|a, b| a + b)
    };
    let text = Text::default()
        .marked(holds(piece, walk, findings, units), Mark::Holds)
        .plain(" Finished it will be about ")
        .marked(super::likely_sides(size.finished, units), Mark::Size)
        .plain("; on the loom it is about ")
        .marked(super::likely_sides(size.on_loom, units), Mark::Size)
        .plain(format!(", {}.", super::counted(piece.row_count(), "row", "rows")));
    match (sum(|y| y.weft), sum(|y| y.warp), sum(|y| y.header)) {
        (Some(weft), Some(warp), Some(header)) => {
            let [weft, warp, below] = [weft, warp, header].map(|length| super::likely(length, units));
            let all = match header.likely > Mm::ZERO {
                false => format!("{weft} of weft and {warp} of warp"),
                true => format!("{weft} of weft, {warp} of warp and {below} for the header"),
            };
            text.plain(" It takes about ").marked(all, Mark::Need).plain(".")
        }
        _ => text,
    }
}

/// Whether it holds, and by what. It never reassures: "holds" is said only where the cloth hangs together,
/// every turn is caught or held, both edge ends are wrapped, and the ends neither leave the cloth to slide nor the
/// weft without room.
fn holds(piece: &Piece, walk: &Walk, findings: &[Finding], units: Units) -> String {
    let mut errors = to_mend(findings);
    if let Some(first) = errors.next() {
        let more = match errors.count() {
            0 => String::new(),
            more => format!(" {} more to mend.", super::counted(more as u32, "thing", "things")),
        };
        return format!("{}{more}", super::finding(first, piece, units));
    }
    let weak = findings.iter().find(|finding| {
        matches!(
            finding.kind,
            Kind::LooseTurns { .. }
                | Kind::UnwrappedEdge { .. }
                | Kind::FallsApart { .. }
                | Kind::OneEnd
                | Kind::EndsTouch { .. }
                | Kind::WarpTightens { .. }
                | Kind::HeldByTail { .. }
        )
    });
    if let Some(weak) = weak {
        return super::finding(weak, piece, units).to_string();
    }
    let mut caught = 0_u32;
    let mut crossed = [0_u32; 2];
    let mut turns = 0_u32;
    for turn in walk.turns() {
        turns += 1;
        if turn.state == TurnState::Caught {
            caught += 1;
        } else {
            crossed[usize::from(turn.side == Side::Right)] += 1;
        }
    }
    let edges = match (turns, caught) {
        (0, _) => "It ",
        (turns, caught) if caught == turns => "It wraps the edge at every turn and ",
        (_, 0) => "It is crossed at every turn and ",
        _ => "It is crossed where a turn does not wrap the edge, and ",
    };
    match slides(piece, findings) {
        None => format!("{edges}holds."),
        Some(but) => format!("{edges}comes apart nowhere, but {but}"),
    }
}

/// That a cloth which comes apart nowhere slides all the same, where its ends or its rows lie far apart.
fn slides(piece: &Piece, findings: &[Finding]) -> Option<String> {
    let open: Vec<(WeftId, f64)> = findings
        .iter()
        .filter_map(|finding| match finding.kind {
            Kind::OpenSett { weft, ratio } => Some((weft, ratio)),
            _ => None,
        })
        .collect();
    let Some(&(thinnest, ratio)) = open.iter().max_by(|a, b| a.1.total_cmp(&b.1)) else {
        return findings.iter().find_map(|finding| match finding.kind {
            Kind::OpenBeat { band, ratio } => {
                Some(format!("the cloth will slide: {}.", super::open_beat(piece, band, ratio)))
            }
            _ => None,
        });
    };
    let is_all = piece.rows.iter().all(|row| open.iter().any(|&(weft, _)| weft == row.weft));
    let place = match is_all {
        true => String::new(),
        false => {
            let names: Vec<&str> = open.iter().map(|&(weft, _)| super::weft(piece, weft)).collect();
            format!(" where {} {}", list(&names), if names.len() == 1 { "weaves" } else { "weave" })
        }
    };
    Some(format!("the cloth will slide{place}: {}.", super::open_sett(piece, thinnest, ratio)))
}
