//! Rebuilds rows and links from the fields of `rows --json`: runs in the direction of travel, sides and steps.
//! It does not look at `crossings` or `turn`, so that these can be held against what it finds.

use crate::cloth::{Cloth, Lies, Link, Part, Woven};
use fellmark_core::side::{Side, Span};
use serde_json::Value;
use std::collections::BTreeMap;

fn text<'a>(value: &'a Value, key: &str) -> Result<&'a str, String> {
    value[key].as_str().ok_or_else(|| format!("no {key} in {value}"))
}

fn count(value: &Value) -> Result<u32, String> {
    value.as_u64().and_then(|n| u32::try_from(n).ok()).ok_or_else(|| format!("{value} is no count"))
}

fn side(value: &Value, key: &str) -> Result<Side, String> {
    match text(value, key)? {
        "left" => Ok(Side::Left),
        "right" => Ok(Side::Right),
        other => Err(format!("{other} is no side")),
    }
}

fn list<'a>(value: &'a Value, key: &str) -> Result<&'a Vec<Value>, String> {
    value[key].as_array().ok_or_else(|| format!("no list {key}"))
}

/// Reads what `rows --json` prints.
///
/// # Errors
/// Says what does not fit together.
pub fn read(json: &Value) -> Result<Cloth, String> {
    let mut cloth = Cloth::default();
    let mut needles: BTreeMap<String, (Side, Option<usize>)> = BTreeMap::new();
    for row in list(json, "rows")? {
        let this = cloth.rows.len();
        let (weft, from) = (text(row, "weft")?.to_owned(), side(row, "from")?);
        let (mut takes, mut led) = (Vec::new(), None);
        for step in list(row, "before")? {
            match text(step, "do")? {
                "begin" => {
                    let yarn = (side(step, "side")?, None);
                    if needles.insert(text(step, "weft")?.into(), yarn).is_some() {
                        return Err(format!("row {this}: begun twice"));
                    }
                }
                "carry" | "measure" | "room" | "scarce" | "header" | "join" | "beat" => {}
                "lead" => {
                    let ends = list(step, "ends")?;
                    led = Some((text(step, "weft")?, count(&ends[0])? - 1..count(&ends[1])?));
                }
                "cross" => takes.push(step),
                other => return Err(format!("{other} before a row")),
            }
        }
        let ends = list(row, "ends")?;
        let (first, last) = (count(&ends[0])?, count(&ends[1])?);
        let span = Span::new(first - 1, last - 1).ok_or("no ends")?;
        let mut over = Vec::new();
        for run in list(row, "runs")? {
            let pass = text(run, "pass")? == "over";
            over.extend(std::iter::repeat_n(pass, count(&run["ends"])? as usize));
        }
        if over.len() != span.len() as usize {
            return Err(format!("row {this}: runs of {} ends", over.len()));
        }
        if from == Side::Right {
            over.reverse();
        }
        let needle = needles.get_mut(&weft).ok_or_else(|| format!("row {this}: no yarn on {weft}"))?;
        if needle.0 != from {
            return Err(format!("row {this}: {weft} does not wait there"));
        }
        let since = needle.1;
        *needle = (from.other(), Some(this));
        let mut cut = false;
        for step in list(row, "after")? {
            if text(step, "do")? == "cut" {
                if needles.remove(text(step, "weft")?).is_none_or(|needle| needle.1 != Some(this)) {
                    return Err(format!("row {this}: cut elsewhere"));
                }
                cut = true;
            }
        }
        cloth.rows.push(Woven { weft, from, span, over, since, cut });
        let passed = cloth.led(cloth.rows.len() - 1);
        let told = led.as_ref().map(|(weft, ends)| (*weft, ends.clone()));
        if told != (!passed.is_empty()).then_some((text(row, "weft")?, passed)) {
            return Err(format!("row {this}: led past {led:?}"));
        }
        for step in takes {
            let link = link(&cloth, this, step)?;
            cloth.links.push(link);
        }
    }
    Ok(cloth)
}

fn link(cloth: &Cloth, row: usize, step: &Value) -> Result<Link, String> {
    let part = match text(step, "grip")? {
        "yarn" => Part::Yarn,
        "starting_tail" => Part::StartingTail,
        "ending_tail" => Part::EndingTail,
        other => return Err(format!("{other} holds nothing")),
    };
    let (woven, weft) = (&cloth.rows[row], text(step, "other")?);
    let since = woven.since.ok_or("a new yarn has no turn")?;
    let at = (side(step, "side")?, Some(count(&step["end"])? - 1));
    if text(step, "weft")? != woven.weft || at != (woven.from, cloth.edge(row)) {
        return Err(format!("row {row}: crossed elsewhere"));
    }
    let holder = cloth.holders(row).into_iter().find(|(s, p)| *p == part && cloth.rows[*s].weft == weft);
    let (other, part) = holder.ok_or_else(|| format!("row {row}: a crossing that can hold nothing"))?;
    Ok(Link { row, since, other, part, in_front: text(step, "pass")? == "under" })
}

/// Whether `crossings` and `turn` say the same as what was found from the other fields.
///
/// # Errors
/// Says which does not.
pub fn agrees(json: &Value, cloth: &Cloth) -> Result<(), String> {
    let ends = count(&json["plan"]["ends"])?;
    for (number, row) in list(json, "rows")?.iter().enumerate() {
        let woven = &cloth.rows[number];
        let crossings: String = (0..ends)
            .map(|end| match woven.passes(end) {
                Some(true) => 'o',
                Some(false) => 'u',
                None => '.',
            })
            .collect();
        if text(row, "crossings")? != crossings || count(&row["number"])? as usize != number + 1 {
            return Err(format!("row {}: its crossings are {crossings}", number + 1));
        }
        let dips = list(row, "runs")?.iter().filter(|run| run["pass"] == "under").count().max(1);
        if count(&row["strokes"])? as usize != dips {
            return Err(format!("row {}: the needle dips {dips} times", number + 1));
        }
        turn_agrees(&row["turn"], cloth, number).map_err(|wrong| format!("row {}: {wrong}", number + 1))?;
    }
    Ok(())
}

fn turn_agrees(turn: &Value, cloth: &Cloth, row: usize) -> Result<(), String> {
    let (Some(lies), Some(since)) = (cloth.lies(row), cloth.rows[row].since) else {
        return if turn.is_null() { Ok(()) } else { Err("no turn".into()) };
    };
    let (state, slips_to) = match lies {
        Lies::Caught => ("caught", None),
        Lies::SlipsTo(end) => ("loose_at_edge", Some(end + 1)),
        Lies::Everywhere => ("loose_everywhere", None),
    };
    let same = side(turn, "side")? == cloth.rows[row].from
        && Some(count(&turn["end"])? - 1) == cloth.edge(row)
        && count(&turn["since_row"])? as usize == since + 1
        && text(turn, "state")? == state
        && turn["slips_to"].as_u64() == slips_to.map(u64::from);
    if !same {
        return Err(format!("{turn} is not {lies:?}"));
    }
    let held = &turn["held_by"];
    if held.is_null() == (lies != Lies::Caught && cloth.is_held(row)) {
        return Err(format!("{turn}: held or not?"));
    }
    if held.is_null() {
        return Ok(());
    }
    let holder = &cloth.rows[count(&held["row"])? as usize - 1];
    let in_front = text(held, "pass")? == "in_front";
    if text(held, "weft")? != holder.weft || Some(in_front) != cloth.lies_over(row) {
        return Err(format!("{held} does not hold"));
    }
    Ok(())
}
