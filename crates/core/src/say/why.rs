//! Why: what a figure of the second sentence is made of.

use super::{
    Units, about, course, goes_into, measures, past_reach, rests_on, state, states, takes, thickness_guessed,
    unwoven, weighs,
};
use crate::cloth::measures::Measures;
use crate::cloth::size::Size;
use crate::habits::Habits;
use crate::hang;
use crate::need::{Need, Weight, YarnNeed};
use crate::piece::Piece;
use crate::quantity::{Estimate, Mm};
use crate::sound::{Finding, Kind};
use crate::walk::{TurnState, Walk};

/// Why it holds, or doesn't: how many turns wrap the edge, what holds the others, how many crossings it takes to loosen
/// something, and how far apart the ends stand where that leaves the cloth to slide.
#[must_use]
pub fn holds_because(piece: &Piece, walk: &Walk, findings: &[Finding]) -> Vec<String> {
    let (mut all, mut caught, mut held) = (0_u32, 0_u32, 0_u32);
    for turn in walk.turns() {
        all += 1;
        match turn.state {
            TurnState::Caught => caught += 1,
            TurnState::LooseAtEdge { .. } | TurnState::LooseEverywhere => {
                held += u32::from(turn.held.is_some());
            }
        }
    }
    let turns = super::counted(all, "turn", "turns");
    let rows = super::counted(piece.row_count(), "row", "rows");
    let mut said = vec![format!("It has {rows} and {turns}.")];
    let mut tell = |count: u32, one: &str, many: &str| match count {
        0 => {}
        1 => said.push(format!("One {one}.")),
        _ if count == all => said.push(format!("All {many}.")),
        _ => said.push(format!("{count} {many}.")),
    };
    tell(
        caught,
        "lies over the edge end on one row and under it on the other, and so wraps it",
        "lie over the edge end on one row and under it on the other, and so wrap it",
    );
    tell(
        held,
        "doesn't, and is held by another weft that crosses it",
        "don't, and are held by another weft that crosses them",
    );
    tell(
        all - caught - held,
        "is held by nothing, and slips in or out",
        "are held by nothing, and slip in or out",
    );
    // Counted as if all its turns were cut, so that nothing but its crossings holds it.
    match hang::firmness(&piece.grid) {
        None | Some(0) => {}
        Some(1) => said.push("One crossing woven wrong would let a part of it lift off, were its turns cut.".to_owned()),
        Some(count) => said.push(format!(
            "At the least {count} crossings would have to be woven wrong for a part of it to lift off, were its turns cut."
        )),
    }
    said.extend(findings.iter().filter_map(|finding| match finding.kind {
        Kind::OpenSett { weft, ratio } => Some(whole(&super::open_sett(piece, weft, ratio))),
        Kind::OpenBeat { band, ratio } => Some(whole(&super::open_beat(piece, band, ratio))),
        _ => None,
    }));
    said
}

/// Of what the size is made: it in three states, and what happens between them.
#[must_use]
pub fn size_because(
    size: &Size,
    piece: &Piece,
    weight: Option<&Weight>,
    measured: Option<&Measures>,
    habits: &Habits,
    open: [Estimate<Mm>; 2],
    units: Units,
) -> Vec<String> {
    let states = states(size);
    let lines = states.iter().map(|(name, sides)| whole(&format!("{name}: {}", state(*sides, units))));
    let weighs = weight.map(|weight| weighs(weight, units));
    let measured = measured.map(|measured| measures(measured, units));
    lines
        .chain(past_reach(size, piece, units))
        .chain([unwoven(open, piece, units)])
        .chain(course(size))
        .chain(measured)
        .chain(weighs)
        .chain(thickness_guessed(piece, habits, units))
        .collect()
}

/// Of what the yarn is made, yarn by yarn.
#[must_use]
pub fn need_because(need: &Need, piece: &Piece, units: Units) -> Vec<String> {
    need.yarns.iter().map(|yarn| of_yarn(yarn, piece, units)).collect()
}

fn of_yarn(need: &YarnNeed, piece: &Piece, units: Units) -> String {
    let all = goes_into(need);
    let mut told = format!("{}.", takes(need, piece, units));
    let mut rests: Vec<&str> = Vec::new();
    for (_, estimate) in &all {
        let rest = rests_on(estimate);
        if !rests.contains(&rest) {
            rests.push(rest);
        }
    }
    for rest in rests {
        let mine = all.iter().filter(|(_, estimate)| rests_on(estimate) == rest);
        let list: Vec<String> =
            mine.map(|(name, estimate)| format!("{name} {}", about(*estimate, units))).collect();
        told.push(' ');
        told.push_str(&whole(&format!("{}: {}", of_a_basis(rest), list.join(", "))));
    }
    told
}

/// The lead of what rests on a basis.
fn of_a_basis(rest: &str) -> &'static str {
    match rest {
        "model" => "computed from the cloth",
        "habit" => "what weavers usually do",
        "model and habit" => "computed, and with what weavers usually leave",
        "measured" => "measured",
        _ => "exactly",
    }
}

fn whole(words: &str) -> String {
    format!("{}.", super::sentence(words))
}
