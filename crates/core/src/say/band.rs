//! How a band is woven, in words.

use super::{counted, list, runs, side};
use crate::plan::{BandId, Flag, Plan, Source, YarnUses};
use crate::side::Side;
use crate::weave::{Step, TurnBack, Weave};

/// A weave: "over 4, under 2, 1 end to the right with each row".
#[must_use]
pub fn weave(weave: &Weave) -> String {
    let mut words = runs(&weave.opening);
    if weave.is_opening_and_opposite() {
        return words + ", then the opposite";
    }
    if weave.opposite {
        words += ", each opening followed by its opposite";
    }
    if weave.step.right % i32::try_from(weave.opening.period()).unwrap_or(i32::MAX) != 0 {
        words += &moved(weave.step);
    }
    if let Some(turn) = weave.turn_rows {
        words += &turned(turn, "step", "steps");
    }
    if let Some(turn) = weave.turn_ends {
        words += &turned(turn, "end", "ends");
    }
    words
}

fn moved(step: Step) -> String {
    let to = side(if step.right < 0 { Side::Left } else { Side::Right });
    let far = counted(step.right.unsigned_abs(), "end", "ends");
    match step.every_rows.get() {
        1 => format!(", {far} to the {to} with each row"),
        2 => format!(", {far} to the {to} with each pair of rows"),
        rows => format!(", {far} to the {to} every {rows} rows"),
    }
}

fn turned(turn: TurnBack, one: &str, many: &str) -> String {
    let how = if turn.broken { "broken" } else { "turning back" };
    format!(", {how} after {}", counted(turn.after.get(), one, many))
}

/// How a band is woven, with what changes the whole of it: "like pools, exchanged".
///
/// # Panics
/// If the plan has no such band.
#[must_use]
pub fn woven(plan: &Plan, band: BandId) -> String {
    let here = &plan.bands[band.0];
    let mut words = match &here.source {
        Source::Weave(of) => weave(of),
        Source::Written(rows) => format!("{} written out", counted(rows.len() as u32, "row", "rows")),
        Source::Parts(parts) => counted(parts.len() as u32, "weave", "weaves side by side"),
        Source::Like(other) => format!("like {}", plan.bands[other.0].name),
    };
    for flag in Flag::ALL.into_iter().filter(|flag| here.flag(*flag)) {
        words += match flag {
            Flag::Exchanged => ", exchanged",
            Flag::Mirrored => ", mirrored",
            Flag::OverForUnder => ", over for under",
        };
    }
    if !here.touched.is_empty() {
        words += ", changed by hand";
    }
    words
}

/// Where a change of a band that stands in so many places shows: "in both places", or nothing where it is one.
#[must_use]
pub fn everywhere(places: u32) -> Option<String> {
    match places {
        0 | 1 => None,
        2 => Some("in both places".into()),
        places => Some(format!("in all {places} places")),
    }
}

/// What it means that a band's rows are written out; said after how often it was changed by hand, where that is often.
#[must_use]
pub fn written_out(touches: Option<u32>) -> String {
    let means = "Written out, its rows stand in the plan one by one, just as they are woven now. How it was woven stays \
                 beside them as a note, and changes them no more.";
    match touches {
        Some(touches) => {
            let changes = counted(touches, "change by hand lies", "changes by hand lie");
            format!("{changes} over its weave. {means}")
        }
        None => means.to_owned(),
    }
}

/// Where a yarn is, after "it is": "in the warp and in hem", "in pools and shoals", or nothing where it is nowhere.
#[must_use]
pub fn yarn_uses(warp: bool, header: bool, bands: &[&str]) -> String {
    let woven = (!bands.is_empty()).then(|| format!("in {}", some(bands)));
    let all = [warp.then_some("in the warp"), header.then_some("in the header"), woven.as_deref()];
    list(&all.into_iter().flatten().collect::<Vec<_>>())
}

/// As many bands are named where there are more.
const BANDS_NAMED: usize = 6;

fn some(bands: &[&str]) -> String {
    if bands.len() <= BANDS_NAMED + 1 {
        return list(bands);
    }
    let more = format!("{} more", bands.len() - BANDS_NAMED);
    let named: Vec<&str> = bands[..BANDS_NAMED].iter().copied().chain([more.as_str()]).collect();
    list(&named)
}

/// A yarn or a weft where it is: "reed in the warp", "slate in hem".
#[must_use]
pub fn yarn_in(name: &str, band: Option<&str>) -> String {
    format!("{name} in {}", band.unwrap_or("the warp"))
}

/// What is made of a yarn, in a sentence.
#[must_use]
pub fn yarn_used(plan: &Plan, uses: &YarnUses) -> String {
    let bands: Vec<&str> = uses.bands.iter().map(|band| plan.bands[band.0].name.as_str()).collect();
    if uses.is_none() {
        "Nothing is made of it yet.".to_owned()
    } else {
        format!("It is {}.", yarn_uses(uses.warp, uses.header, &bands))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::weave::Runs;
    use std::num::NonZeroU32;

    #[test]
    fn a_weave_is_told_by_its_opening_and_how_that_moves() {
        let still = |text: &str| Weave::still(Runs::parse(text).unwrap());
        let moving = |text: &str, right, every: u32| Weave {
            step: Step { right, every_rows: NonZeroU32::new(every).unwrap() },
            ..still(text)
        };
        assert_eq!(weave(&moving("over 1, under 1", 1, 1)), "over 1, under 1, then the opposite");
        let columns = Weave { opposite: true, ..still("over 5, under 3") };
        assert_eq!(weave(&columns), "over 5, under 3, then the opposite");
        assert_eq!(weave(&still("over 2, under 1")), "over 2, under 1");
        assert_eq!(
            weave(&moving("over 2, under 1", -1, 1)),
            "over 2, under 1, 1 end to the left with each row"
        );
        let slope = Weave { opposite: true, ..moving("over 4, under 2", 1, 2) };
        assert_eq!(
            weave(&slope),
            "over 4, under 2, each opening followed by its opposite, 1 end to the right with each pair of rows"
        );
        let after = NonZeroU32::new(6).unwrap();
        let point =
            Weave { turn_rows: Some(TurnBack { after, broken: false }), ..moving("over 2, under 2", 1, 1) };
        assert_eq!(
            weave(&point),
            "over 2, under 2, 1 end to the right with each row, turning back after 6 steps"
        );
    }

    #[test]
    fn where_a_yarn_is_is_told_and_of_many_bands_the_first() {
        assert_eq!(yarn_uses(true, false, &[]), "in the warp");
        assert_eq!(yarn_uses(false, true, &[]), "in the header");
        assert_eq!(
            yarn_uses(true, true, &["hem", "pools"]),
            "in the warp, in the header and in hem and pools"
        );
        assert_eq!(yarn_uses(true, false, &["hem"]), "in the warp and in hem");
        assert_eq!(yarn_uses(false, false, &["hem", "pools"]), "in hem and pools");
        let many = ["a", "b", "c", "d", "e", "f", "g", "h", "i"];
        assert_eq!(yarn_uses(false, false, &many[..7]), "in a, b, c, d, e, f and g");
        assert_eq!(yarn_uses(false, false, &many), "in a, b, c, d, e, f and 3 more");
    }
}
