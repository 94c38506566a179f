//! Rebuilds rows and links from the fields of `rows --json`: runs in the direction of travel, sides and steps.
//! It does not look at `crossings` or `turn`, so that these can be held against what it finds.

use crate::cloth::{Cloth, Link, Part, Woven};
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
        let mut takes = Vec::new();
        for step in list(row, "before")? {
            match text(step, "do")? {
                "begin" => {
                    let yarn = (side(step, "side")?, None);
                    if needles.insert(text(step, "weft")?.into(), yarn).is_some() {
                        return Err(format!("row {this}: begun twice"));
                    }
                }
                "carry" => {}
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
    let at = (side(step, "side")?, count(&step["end"])? - 1);
    if text(step, "weft")? != woven.weft || at != (woven.from, cloth.rows[since].exit()) {
        return Err(format!("row {row}: crossed elsewhere"));
    }
    let holder = cloth.holders(row).into_iter().find(|(s, p)| *p == part && cloth.rows[*s].weft == weft);
    let (other, part) = holder.ok_or_else(|| format!("row {row}: a crossing that can hold nothing"))?;
    Ok(Link { row, since, other, part, in_front: text(step, "pass")? == "under" })
}
