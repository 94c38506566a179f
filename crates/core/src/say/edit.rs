//! An edit as something to do, and as something that was done.

use super::stack::{of_stack, often};
use super::{counted, ends, list, pass, purpose, side, surface};
use crate::edit::{EditError, drawn, places_of};
use crate::plan::{
    BandId, Edges, Edit, Flag, Header, Known, LoomKeys, Plan, Set, Source, Touch, TouchedRows, WarpPath,
    WeftId, YarnId, bounds,
};
use crate::side::Side;
use crate::yarn::Size;

/// A verb, now and done, and what follows it.
pub(super) struct Clause {
    verb: (&'static str, &'static str),
    rest: String,
}

const MAKE: (&str, &str) = ("make", "made");
const RENAME: (&str, &str) = ("rename", "renamed");
const BEAT: (&str, &str) = ("beat", "beat");
pub(super) const TAKE: (&str, &str) = ("take", "took");
pub(super) const PUT: (&str, &str) = ("put", "put");
pub(super) const WEAVE: (&str, &str) = ("weave", "wove");

pub(super) fn clause(verb: (&'static str, &'static str), rest: impl Into<String>) -> Clause {
    Clause { verb, rest: rest.into() }
}

/// An edit as an instruction, for a plan that has the bands and wefts it names.
#[must_use]
pub fn edit(edit: &Edit, plan: &Plan) -> String {
    told(edit, plan, |clause| format!("{} {}", clause.verb.0, clause.rest))
}

/// An edit as a thing done to a plan as it was before: "made pools 8 rows".
#[must_use]
pub fn done(edit: &Edit, before: &Plan) -> String {
    told(edit, before, |clause| format!("{} {}", clause.verb.1, clause.rest))
}

fn told(edit: &Edit, plan: &Plan, put: fn(&Clause) -> String) -> String {
    let Edit::Together(edits) = edit else { return put(&of(edit, plan)) };
    if let Some(stroke) = stroke(edits, plan) {
        return put(&stroke);
    }
    // What one of them names may only be there after those before it.
    let mut plan = plan.clone();
    let mut all: Vec<String> = Vec::new();
    for edit in edits {
        all.push(told(edit, &plan, put));
        if let Ok(after) = edit.apply(&plan) {
            plan = after;
        }
    }
    list(&all)
}

/// As many touches are told one by one.
const TOUCHES_TOLD: usize = 2;

/// A stroke over many crossings is told by their number.
fn stroke(edits: &[Edit], plan: &Plan) -> Option<Clause> {
    let touches: Vec<(BandId, Touch)> = edits
        .iter()
        .map(|edit| if let Edit::Touch(band, touch) = edit { Some((*band, *touch)) } else { None })
        .collect::<Option<_>>()?;
    if touches.len() <= TOUCHES_TOLD {
        return None;
    }
    let crossings: u32 = touches.iter().map(|(_, touch)| touch.ends.len()).sum();
    let mut bands: Vec<&str> = Vec::new();
    for (id, _) in &touches {
        let name = band(plan, *id);
        if !bands.contains(&name) {
            bands.push(name);
        }
    }
    let repeated = touches.iter().any(|(_, touch)| matches!(touch.at, TouchedRows::Every { .. }));
    let where_ = if repeated { " in its repeats" } else { "" };
    let change = ("change", "changed");
    Some(clause(
        change,
        format!("{} of {}{where_}", counted(crossings, "crossing", "crossings"), list(&bands)),
    ))
}

pub(super) fn band(plan: &Plan, band: BandId) -> &str {
    plan.bands.get(band.0).map_or("", |band| band.name.as_str())
}

fn weft(plan: &Plan, weft: WeftId) -> &str {
    plan.wefts.get(weft.0).map_or("", |weft| weft.name.as_str())
}

fn yarn(plan: &Plan, yarn: YarnId) -> &str {
    plan.yarns.get(yarn.0).map_or("", |yarn| yarn.name.as_str())
}

pub(super) fn rows(count: u32) -> String {
    counted(count, "row", "rows")
}

fn of(edit: &Edit, plan: &Plan) -> Clause {
    let band = |id: BandId| band(plan, id);
    let weft = |id: WeftId| weft(plan, id);
    match edit {
        Edit::WarpEnds(count) => clause(TAKE, counted(*count, "end", "ends")),
        Edit::WeftFrom(w, s) => clause(("start", "started"), format!("{} from the {}", weft(*w), side(*s))),
        Edit::WeftDoubled(w, doubled) => {
            let how = if *doubled { "doubled" } else { "single" };
            clause(("lay", "laid"), format!("{} {how} on its needle", weft(*w)))
        }
        Edit::PieceEdges(Edges::Taken) => {
            clause(("go", "went"), "over the first end and under the last in every row")
        }
        Edit::PieceEdges(Edges::Crossed) => clause(("leave", "left"), "the edge ends to the weave"),
        Edit::BandEdges(b, Some(Edges::Taken)) => clause(
            ("go", "went"),
            format!("over the first end and under the last in every row of {}", band(*b)),
        ),
        Edit::BandEdges(b, Some(Edges::Crossed)) => {
            clause(("leave", "left"), format!("the edge ends of {} to the weave", band(*b)))
        }
        Edit::BandEdges(b, None) => clause(
            ("treat", "treated"),
            format!("the edge ends of {} {}", band(*b), edges_elsewhere(plan, *b)),
        ),
        Edit::BandBeat(b, Some(beat)) => clause(BEAT, format!("{} to {}", band(*b), beat.typed)),
        Edit::BandBeat(b, None) => {
            clause(BEAT, format!("the rows of {} {}", band(*b), beat_elsewhere(plan, *b)))
        }
        Edit::BandStart(b, Some(row)) => {
            clause(("start", "started"), format!("{} on row {row} of its weave", band(*b)))
        }
        Edit::BandStart(b, None) => {
            // Which row that is the rows below may decide.
            clause(("let", "let"), format!("{} start as it comes", band(*b)))
        }
        Edit::BandRows(b, count) => clause(WEAVE, format!("{} of {}", rows(*count), band(*b))),
        Edit::BandStep(b, step) => {
            let often = match step.every_rows.get() {
                1 => "every row".to_owned(),
                count => format!("every {count} rows"),
            };
            let to = side(if step.right < 0 { Side::Left } else { Side::Right });
            let far = counted(step.right.unsigned_abs(), "end", "ends");
            clause(("move", "moved"), format!("the opening of {} by {far} to the {to} {often}", band(*b)))
        }
        Edit::Touch(b, touch) => touched(band(*b), touch),
        Edit::Length(b, count) => length(plan, *b, *count),
        Edit::Part(b, nth) => {
            clause(("part", "parted"), format!("place {nth} of {} from the others", band(*b)))
        }
        Edit::WriteOut(b) => clause(("write", "wrote"), format!("the rows of {} out", band(*b))),
        Edit::Set(set) => of_set(set, plan),
        Edit::Stack(list, edit) => of_stack(*list, edit, plan),
        Edit::NewYarn(new) => clause(("add", "added"), format!("the yarn {}", new.name)),
        Edit::NewWeft(name, y) => {
            clause(("add", "added"), format!("a needle {name} with {}", yarn(plan, *y)))
        }
        Edit::RenameYarn(y, name) => clause(RENAME, format!("{} to {name}", yarn(plan, *y))),
        Edit::RenameBand(b, name) => clause(RENAME, format!("{} to {name}", band(*b))),
        Edit::RemoveYarn(y) => clause(TAKE, format!("{} out of the plan", yarn(plan, *y))),
        Edit::RemoveWeft(w) => clause(TAKE, format!("the needle {} out of the plan", weft(*w))),
        Edit::Together(_) => clause(MAKE, told(edit, plan, |clause| clause.rest.clone())),
    }
}

/// The band whose habit at the edges a band has where it has none of its own; `None`: the piece's.
fn elsewhere(plan: &Plan, band: BandId) -> Option<&str> {
    let Source::Like(other) = plan.bands.get(band.0)?.source else { return None };
    plan.edges_of(other).map(|_| plan.bands[other.0].name.as_str())
}

/// How closely a band is beaten where it doesn't say so itself.
#[must_use]
pub fn beat_elsewhere(plan: &Plan, band: BandId) -> String {
    let other = plan.bands.get(band.0).and_then(|here| match here.source {
        Source::Like(other) => plan.beat_of(other).map(|_| other),
        _ => None,
    });
    match other {
        Some(other) => format!("as closely as {}", plan.bands[other.0].name),
        None => "as close as they come".to_owned(),
    }
}

/// Where a band has its habit at the edges from if it has none of its own.
#[must_use]
pub fn edges_elsewhere(plan: &Plan, band: BandId) -> String {
    format!("as in {}", elsewhere(plan, band).unwrap_or("the whole piece"))
}

fn touched(band: &str, touch: &Touch) -> Clause {
    let rows = match touch.at {
        TouchedRows::Row(row) => format!("in row {} of {band}", u64::from(row) + 1),
        TouchedRows::Every { rows, from } => {
            format!("in every {rows} rows of {band} from row {}", u64::from(from) + 1)
        }
    };
    let ends = ends(touch.ends.first(), touch.ends.last());
    clause(("go", "went"), format!("{} {ends} {rows}", pass(touch.pass)))
}

fn of_known(known: &Known, yarn: &str) -> Clause {
    const NOTE: (&str, &str) = ("note", "noted");
    const FORGET: (&str, &str) = ("forget", "forgot");
    match (known, known.typed()) {
        (Known::Have(_), Some(have)) => clause(NOTE, format!("that there is {have} of {yarn}")),
        (Known::Have(_), None) => clause(FORGET, format!("how much of {yarn} there is")),
        (Known::Price(_), Some(price)) => clause(NOTE, format!("{price} for {yarn}")),
        (Known::Price(_), None) => clause(FORGET, format!("what {yarn} costs")),
        (Known::Wraps(_), Some(wraps)) => clause(NOTE, format!("{wraps} of {yarn}")),
        (Known::Wraps(_), None) => clause(FORGET, format!("the wraps of {yarn}")),
        (Known::Measured(_), Some(hank)) => clause(NOTE, format!("a hank of {yarn} of {hank}")),
        (Known::Measured(_), None) => clause(FORGET, format!("the measured hank of {yarn}")),
        (Known::Halo(_), Some(halo)) => {
            clause(("let", "let"), format!("the fibres of {yarn} stand out {halo}"))
        }
        (Known::Halo(_), None) => {
            clause(("let", "let"), format!("the fibres of {yarn} stand out as is usual"))
        }
    }
}

/// The border of a fill changes another band, and that is what is told.
fn length(plan: &Plan, asked: BandId, count: u32) -> Clause {
    let (changed, count) = drawn(plan, asked, count).unwrap_or((asked, count));
    let places = u32::try_from(places_of(plan, &plan.stack, changed)).unwrap_or(u32::MAX);
    let everywhere = super::everywhere(places).map_or_else(String::new, |all| format!(" {all}"));
    let made = format!("{} {}{everywhere}", band(plan, changed), rows(count));
    if changed == asked {
        clause(MAKE, made)
    } else {
        clause(MAKE, format!("{made}, which leaves the rest to {}", band(plan, asked)))
    }
}

fn of_set(set: &Set, plan: &Plan) -> Clause {
    let band = |id: &BandId| band(plan, *id);
    match set {
        Set::Name(name) => clause(("call", "called"), format!("it {name}")),
        Set::Use(for_what) => clause(MAKE, format!("it a {}", purpose(*for_what))),
        Set::Shows(side) => clause(("show", "showed"), format!("the {} when it is finished", surface(*side))),
        Set::Finish(finish) => clause(("have", "had"), format!("it {} off the loom", super::finish(*finish))),
        Set::Finished(Some(size)) if size.value.width.is_none() || size.value.length.is_none() => {
            clause(("ask", "asked"), format!("for a finished piece {}", size.typed))
        }
        Set::Finished(Some(size)) => {
            clause(("ask", "asked"), format!("for a finished size of {}", size.typed))
        }
        Set::Finished(None) => clause(("ask", "asked"), "for no finished size"),
        Set::LongestFloat(Some(length)) => {
            clause(("allow", "allowed"), format!("floats of {}", length.typed))
        }
        Set::LongestFloat(None) => clause(("allow", "allowed"), "floats as long as is usual"),
        Set::Needleful(Some(length)) => {
            clause(("cut", "cut"), format!("needlefuls of up to {}", length.typed))
        }
        Set::Needleful(None) => clause(("cut", "cut"), "needlefuls as long as is usual"),
        Set::Loom(keys) => loom(keys),
        Set::WarpWidth(width) => clause(MAKE, format!("the warp {} wide", width.typed)),
        Set::WarpOrder(order) => {
            let runs: Vec<String> =
                order.iter().map(|run| format!("{} {}", run.ends, yarn(plan, run.yarn))).collect();
            let runs: Vec<&str> = runs.iter().map(String::as_str).collect();
            clause(("wind", "wound"), format!("the warp with {}", list(&runs)))
        }
        Set::WarpPath(WarpPath::Zigzag) => clause(("wind", "wound"), "the warp up and down"),
        Set::WarpPath(WarpPath::Round) => clause(("wind", "wound"), "the warp round the frame"),
        Set::Header(Some(Header { length, yarn: Some(y) })) => {
            clause(PUT, format!("{} of header in below it, woven with {}", length.typed, yarn(plan, *y)))
        }
        Set::Header(Some(Header { length, yarn: None })) => {
            clause(PUT, format!("{} of card in below it as its header", length.typed))
        }
        Set::Header(None) => clause(("leave", "left"), "out the header"),
        Set::YarnColour(y, colour) => clause(("dye", "dyed"), format!("{} {colour}", yarn(plan, *y))),
        Set::YarnSize(y, size, fibre) => {
            let (name, fibre) = (yarn(plan, *y), fibre.name());
            // What a label says moves nothing where a hank was weighed.
            let weighed = plan.yarns.get(y.0).is_some_and(|yarn| yarn.measured.is_some());
            let counts = match size.value {
                Size::Count(_) if weighed => "; the hank you weighed counts all the same",
                _ => "",
            };
            clause(TAKE, format!("{name} as {} of {fibre}{counts}", size.typed))
        }
        Set::YarnKnown(y, known) => of_known(known, yarn(plan, *y)),
        Set::WeftYarn(w, y) => {
            clause(("load", "loaded"), format!("the needle {} with {}", weft(plan, *w), yarn(plan, *y)))
        }
        Set::BandWefts(b, names) => {
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            clause(WEAVE, format!("{} with {}", band(b), list(&names)))
        }
        Set::BandWeave(b, recipe) => {
            let how = match (&recipe.name, &recipe.opening) {
                (Some(name), _) => name.typed.clone(),
                (None, Some(opening)) => runs(opening),
                (None, None) => String::new(),
            };
            clause(WEAVE, format!("{} as {how}", band(b)))
        }
        Set::BandFlag(b, flag, on) => flagged(band(b), *flag, *on),
    }
}

fn flagged(band: &str, flag: Flag, on: bool) -> Clause {
    match (flag, on) {
        (Flag::Exchanged, true) => clause(("exchange", "exchanged"), format!("the wefts of {band}")),
        (Flag::Exchanged, false) => clause(PUT, format!("the wefts of {band} back in their places")),
        (Flag::Mirrored, true) => clause(("mirror", "mirrored"), band),
        (Flag::Mirrored, false) => clause(("turn", "turned"), format!("{band} back from its mirror image")),
        (Flag::OverForUnder, true) => clause(("exchange", "exchanged"), format!("over and under in {band}")),
        (Flag::OverForUnder, false) => clause(PUT, format!("over and under back in {band}")),
    }
}

/// "over 5, under 3".
#[must_use]
pub fn runs(runs: &crate::weave::Runs) -> String {
    let runs: Vec<String> =
        runs.runs().iter().map(|run| format!("{} {}", pass(run.pass), run.ends)).collect();
    runs.join(", ")
}

fn loom(keys: &LoomKeys) -> Clause {
    let mut parts: Vec<String> = Vec::new();
    parts.extend(keys.name.as_ref().map(|name| format!("the name {name}")));
    parts.extend(keys.notches.map(|n| counted(n, "notch", "notches")));
    let lengths = [
        ("a pitch", &keys.pitch),
        ("ends", &keys.turn_to_turn),
        ("a clear height", &keys.clear_height),
        ("the top out of reach by", &keys.out_of_reach),
        ("notches wide", &keys.notch_width),
        ("notches deep", &keys.notch_depth),
    ];
    parts.extend(lengths.iter().filter_map(|(what, length)| {
        let typed = &length.as_ref()?.typed;
        Some(match *what {
            "notches wide" | "notches deep" => what.replacen(' ', &format!(" {typed} "), 1),
            "the top out of reach by" => format!("{what} {typed}"),
            what => format!("{what} of {typed}"),
        })
    }));
    parts.extend(keys.strands.map(|n| counted(n, "strand in a notch", "strands in a notch")));
    parts.extend(keys.strands_act.map(|act| match act {
        crate::loom::StrandsAct::AsOneEnd => "strands that act as one end".to_owned(),
        crate::loom::StrandsAct::AsEnds => "strands that act as ends".to_owned(),
    }));
    let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
    clause(("give", "gave"), format!("the loom {}", list(&parts)))
}

/// A path in words, counted from 1: "line 2", "line 2 of line 3".
fn line(path: &[usize]) -> String {
    let lines: Vec<String> = path.iter().rev().map(|at| format!("line {}", at.saturating_add(1))).collect();
    lines.join(" of ")
}

/// Why an edit does not fit a plan, and what to do.
#[must_use]
pub fn edit_error(error: &EditError) -> (String, String) {
    let look = "Look at the plan as it is now, and choose again.";
    match error {
        EditError::NotThere => ("The plan no longer has what this changes.".into(), look.into()),
        EditError::NoSuchWeft(name) => (
            format!("{name} is no weft and no yarn of this plan."),
            "Name one that the plan has, or add the yarn first.".into(),
        ),
        EditError::NoSuchPlace { band, nth, places } => (
            format!("{band} has no place {nth}: it stands in {}.", counted(*places, "place", "places")),
            format!("Choose a place from 1 to {places}, counted from the bottom."),
        ),
        EditError::OnlyPlace(band) => (
            format!("{band} stands in one place only."),
            "Change the band itself: nothing else changes with it.".into(),
        ),
        EditError::NotInPiece(band) => (
            format!("{band} has no rows in the piece."),
            "Put it into the stack first, or make room for it.".into(),
        ),
        EditError::Rows(0) => {
            ("A band has one row at least.".into(), "To be rid of it, take it out of the stack.".into())
        }
        EditError::Rows(rows) => (
            format!("{rows} rows are more than any piece has."),
            format!("Ask for {} or fewer.", bounds::ROWS),
        ),
        EditError::OutsideBand { band, rows, ends } => (
            format!("This lies outside {band}."),
            format!(
                "It has {}, counted from its own bottom, and {}.",
                self::rows(*rows),
                super::ends(ends.first(), ends.last())
            ),
        ),
        EditError::FillAlone(band) => (
            format!("{band} fills what the other bands leave, and there is no other band to make room."),
            "Give it rows or a length of its own instead of the fill.".into(),
        ),
        EditError::NoEntry(path) => (format!("The stack has no {}.", line(path)), look.into()),
        EditError::NoGroup(path) => {
            (format!("{} of the stack is no repeat.", super::sentence(&line(path))), look.into())
        }
        EditError::IntoItself => {
            ("A repeat can't go into itself.".into(), "Choose a place outside it.".into())
        }
        EditError::WouldBeEmpty => (
            "Nothing would be left in this list.".into(),
            "Put something else there first, or take out the whole repeat.".into(),
        ),
        EditError::Times(times) => (
            format!("Nothing is woven {}.", often_or_never(*times)),
            format!("Choose a number from 1 to {}.", bounds::ROWS),
        ),
        EditError::NotAlike(band) => (
            format!("{band} is not woven alike in all its places, so one list of rows does not do."),
            "Give each place a band of its own first, or say on which row the band starts.".into(),
        ),
        EditError::OthersChange(band) => (
            format!("With the rows of {band} written out, other bands that rest on it would change."),
            "Write those out first, or give them a weave of their own.".into(),
        ),
        EditError::IsWrittenOut(band) => {
            (format!("The rows of {band} are written out already."), "Change the rows themselves.".into())
        }
        EditError::NameTaken(name) => (format!("The name {name} is taken."), "Choose another.".into()),
        EditError::YarnInUse { yarn, warp, header, bands } => {
            let bands: Vec<&str> = bands.iter().map(String::as_str).collect();
            (
                format!("{yarn} can't go: it is {}.", super::yarn_uses(*warp, *header, &bands)),
                "Take another yarn there first.".into(),
            )
        }
        EditError::WeftInUse { weft, bands } => {
            let bands: Vec<&str> = bands.iter().map(String::as_str).collect();
            (
                format!("The needle {weft} can't go: it is {}.", super::yarn_uses(false, false, &bands)),
                "Take another one there first.".into(),
            )
        }
        EditError::Nothing => ("This would be empty.".into(), "Name one at least.".into()),
        EditError::NoPiece(error) => super::piece_error(error),
    }
}

fn often_or_never(times: u32) -> String {
    if times == 0 { "no times".into() } else { often(times) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_told_from_the_inside() {
        assert_eq!(line(&[2, 0]), "line 1 of line 3");
    }
}
