//! Keys of bands.

use super::keys::add_named;
use super::{Steps, set_list};
use crate::choice::Choice;
use crate::near::toml_text;
use crate::sheet::Sheet;
use crate::words;
use fellmark_core::plan::{
    Band, BandId, Change, Extent, NewTable, Plan, Set, Source, Touch, WrittenOut, WrittenRow,
};
use fellmark_core::say;
use fellmark_core::side::Span;
use fellmark_core::weave::{Recipe, Runs};

/// What is set aside when a band's rows are written out.
const WOVEN_BY: [&str; 14] = [
    "weave",
    "opening",
    "opposite",
    "step",
    "turn-back",
    "turn-ends",
    "part",
    "like",
    "start",
    "mirrored",
    "over-for-under",
    "exchanged",
    "touched",
    "read",
];

pub(super) fn change(sheet: &Sheet<'_>, plan: &Plan, change: &Change) -> Option<String> {
    let band = |id: &BandId| plan.bands.get(id.0);
    match change {
        Change::BandEdges(id, edges) => {
            let table = ["band", band(id)?.name.as_str()];
            match edges {
                Some(edges) => sheet.set(&table, "edges", &toml_text(edges.word()), None),
                None => sheet.cut(&table, "edges"),
            }
        }
        Change::BandBeat(id, beat) => {
            let table = ["band", band(id)?.name.as_str()];
            match beat {
                Some(beat) => sheet.set(&table, "beat", &toml_text(&beat.typed), None),
                None => sheet.cut(&table, "beat"),
            }
        }
        Change::BandStart(id, row) => {
            let table = ["band", band(id)?.name.as_str()];
            match row {
                Some(row) => sheet.set(&table, "start", &row.to_string(), None),
                None => sheet.cut(&table, "start"),
            }
        }
        Change::BandStep(id, step) => {
            let band = band(id)?;
            matches!(band.source, Source::Weave(_)).then_some(())?;
            sheet.set(&["band", &band.name], "step", &toml_text(&words::write_step(*step)), None)
        }
        Change::BandExtent(id, extent) => set_extent(sheet, &band(id)?.name, extent),
        Change::BandEnds(id, ends) => {
            sheet.set(&["band", &band(id)?.name], "ends", &toml_text(&words::write_ends(*ends)), None)
        }
        Change::Touched(id, touched) => set_touched(sheet, band(id)?, touched),
        Change::WrittenRow(id, at, runs) => set_row(sheet, &band(id)?.name, *at, runs),
        Change::WrittenOut(id, written) => write_out(sheet, plan, band(id)?, written),
        Change::NewBand(table) => new_band(sheet, plan, table),
        Change::Set(Set::BandWefts(id, names)) => set_wefts(sheet, plan, band(id)?, names),
        Change::Set(Set::BandWeave(id, recipe)) => set_weave(sheet, &band(id)?.name, recipe),
        Change::Set(Set::BandFlag(id, flag, on)) => set_flag(sheet, &band(id)?.name, flag.key(), *on),
        _ => None,
    }
}

/// How long a band is, in the words in which it says so.
fn set_extent(sheet: &Sheet<'_>, name: &str, extent: &Extent) -> Option<String> {
    let table = ["band", name];
    let length = sheet.text_of(&["band", name, "length"]);
    let written_out = sheet.is_list(&["band", name, "rows"]);
    let instead = (!written_out).then_some("rows");
    match extent {
        Extent::Length(typed) => sheet.set(&table, "length", &toml_text(&typed.typed), instead),
        Extent::Fill => sheet.set(&table, "length", "\"fill\"", instead),
        Extent::Rows(rows) => {
            let counted = length.is_some_and(|length| words::rows(length).is_some());
            if written_out || counted {
                sheet.set(&table, "length", &format!("\"{rows} rows\""), None)
            } else {
                sheet.set(&table, "rows", &rows.to_string(), Some("length"))
            }
        }
    }
}

/// Touches line by line. The key goes with the last of them, unless a note stands by it.
fn set_touched(sheet: &Sheet<'_>, band: &Band, touched: &[Touch]) -> Option<String> {
    let list = ["band", band.name.as_str(), "touched"];
    let write = |touch: &Touch| toml_text(&words::write_touch(touch));
    if !sheet.has(&list) {
        let all: Vec<String> = touched.iter().map(write).collect();
        return sheet.set(&list[..2], "touched", &format!("[{}]", all.join(", ")), None);
    }
    let text = set_list(sheet, &list, &band.touched, touched, write)?;
    if !touched.is_empty() {
        return Some(text);
    }
    Steps(text)
        .then(|sheet| {
            let place = sheet.place(&list)?;
            let noted = sheet.list(&list, &[])?.1.has_notes()
                || (sheet.on_lines(&list[..2]) && !sheet.note_behind(place.end).is_empty());
            if noted { Some(sheet.text().to_owned()) } else { sheet.cut(&list[..2], "touched") }
        })
        .map(|steps| steps.0)
}

fn set_row(sheet: &Sheet<'_>, name: &str, at: usize, runs: &Runs) -> Option<String> {
    let path = ["band", name, "rows"];
    let value = toml_text(&say::runs(runs));
    if let Some(place) = sheet.place_in_element(&path, &[at], "row") {
        return sheet.put(place, &value);
    }
    let (place, mut list) = sheet.list(&path, &[])?;
    list.replace(at, value)?;
    sheet.put(place, &list.text())
}

fn set_wefts(sheet: &Sheet<'_>, plan: &Plan, band: &Band, names: &[String]) -> Option<String> {
    let path = ["band", band.name.as_str(), "wefts"];
    if !sheet.has(&path) {
        return sheet.set(&path[..2], "wefts", &names_text(names), None);
    }
    let old: Vec<String> = band
        .wefts
        .iter()
        .flatten()
        .filter_map(|weft| plan.wefts.get(weft.0))
        .map(|weft| weft.name.clone())
        .collect();
    set_list(sheet, &path, &old, names, |name| toml_text(name))
}

fn names_text(names: &[String]) -> String {
    let names: Vec<String> = names.iter().map(|name| toml_text(name)).collect();
    format!("[{}]", names.join(", "))
}

/// A flag; one with a note behind it is set to `false` rather than taken out, so that the note stays with it.
fn set_flag(sheet: &Sheet<'_>, name: &str, key: &str, on: bool) -> Option<String> {
    let table = ["band", name];
    let place = sheet.place(&["band", name, key]);
    match place {
        Some(place) if !on && sheet.on_lines(&table) && !sheet.note_behind(place.end).is_empty() => {
            sheet.set(&table, key, "false", None)
        }
        Some(_) if !on => sheet.cut(&table, key),
        None if !on => Some(sheet.text().to_owned()),
        _ => sheet.set(&table, key, "true", None),
    }
}

/// The keys of a weave as they are written, in the manual's order.
fn recipe_keys(recipe: &Recipe) -> Vec<(&'static str, String)> {
    let keys = [
        ("weave", recipe.name.as_ref().map(|name| name.typed.clone())),
        ("opening", recipe.opening.as_ref().map(say::runs)),
        ("step", recipe.step.map(words::write_wanted_step)),
        ("turn-back", recipe.turn_rows.map(words::write_turn_back)),
        ("turn-ends", recipe.turn_ends.map(words::write_turn_ends)),
    ];
    let mut keys: Vec<(&str, String)> =
        keys.into_iter().filter_map(|(key, value)| Some((key, toml_text(&value?)))).collect();
    if recipe.opposite {
        let at = keys.iter().position(|(key, _)| !matches!(*key, "weave" | "opening")).unwrap_or(keys.len());
        keys.insert(at, ("opposite", "true".into()));
    }
    keys
}

fn set_weave(sheet: &Sheet<'_>, name: &str, recipe: &Recipe) -> Option<String> {
    let table = ["band", name];
    let keys = recipe_keys(recipe);
    let is_new = |key: &str| keys.iter().any(|(new, _)| *new == key);
    // What says how the band is woven now gives its line to what will say it.
    let first = ["weave", "opening", "like"].into_iter().find(|&old| sheet.has(&["band", name, old]));
    let mut steps = Steps(sheet.text().to_owned());
    for (k, (key, value)) in keys.iter().enumerate() {
        let instead = first.filter(|old| k == 0 && !is_new(old));
        steps = steps.then(|sheet| sheet.set(&table, key, value, instead))?;
    }
    for old in ["weave", "opening", "step", "turn-back", "turn-ends", "like", "part"] {
        if !is_new(old) {
            steps = steps.then(|sheet| sheet.cut(&table, old))?;
        }
    }
    if !recipe.opposite {
        steps = steps.then(|sheet| set_flag(sheet, name, "opposite", false))?;
    }
    steps = steps.then(|sheet| {
        let listed = sheet.is_list(&["band", name, "rows"]);
        if listed { sheet.cut(&table, "rows") } else { Some(sheet.text().to_owned()) }
    })?;
    Some(steps.0)
}

fn row_text(row: &WrittenRow) -> String {
    let runs = toml_text(&say::runs(&row.runs));
    let of = |ends: Span| format!("{{ row = {runs}, ends = {} }}", toml_text(&words::write_ends(ends)));
    row.ends.map_or(runs.clone(), of)
}

/// The rows of a band written out; what said before how it is woven stays as notes.
fn write_out(sheet: &Sheet<'_>, plan: &Plan, band: &Band, written: &WrittenOut) -> Option<String> {
    let name = band.name.as_str();
    let table = ["band", name];
    let on_lines = sheet.on_lines(&table);
    let rows: Vec<String> = written.rows.iter().map(row_text).collect();
    let newline = sheet.newline();
    let list = if on_lines {
        let lines: String = rows.iter().map(|row| format!("  {row},{newline}")).collect();
        format!("[{newline}{lines}]")
    } else {
        format!("[{}]", rows.join(", "))
    };
    let mut aside: Vec<&str> = WOVEN_BY.to_vec();
    aside.push("rows");
    let keeps_length = match &written.extent {
        Some(Extent::Length(_) | Extent::Fill) => true,
        Some(Extent::Rows(_)) => {
            sheet.text_of(&["band", name, "length"]).is_some_and(|length| words::rows(length).is_some())
        }
        None => false,
    };
    if !keeps_length {
        aside.push("length");
    }
    let heading =
        if on_lines { "written out from:".to_owned() } else { format!("{name} was written out from") };
    let mut steps = Steps(sheet.set_aside(&table, &aside, &heading)?);
    if let Some(wefts) = &written.wefts {
        let names: Option<Vec<String>> =
            wefts.iter().map(|weft| Some(plan.wefts.get(weft.0)?.name.clone())).collect();
        let names = names?;
        steps = steps.then(|sheet| set_wefts(sheet, plan, band, &names))?;
    }
    steps = steps.then(|sheet| sheet.set(&table, "rows", &list, None))?;
    if let Some(extent) = &written.extent {
        steps = steps.then(|sheet| set_extent(sheet, name, extent))?;
    }
    if let Some(beat) = &written.beat {
        steps = steps.then(|sheet| sheet.set(&table, "beat", &toml_text(&beat.typed), None))?;
    }
    if let Some(ends) = written.ends {
        steps = steps.then(|sheet| sheet.set(&table, "ends", &toml_text(&words::write_ends(ends)), None))?;
    }
    if let Some(edges) = written.edges {
        steps = steps.then(|sheet| sheet.set(&table, "edges", &toml_text(edges.word()), None))?;
    }
    Some(steps.0)
}

fn new_band(sheet: &Sheet<'_>, plan: &Plan, table: &NewTable) -> Option<String> {
    let (name, entries) = match table {
        NewTable::Like(name, other) => (name, vec![("like", toml_text(&plan.bands.get(other.0)?.name))]),
        NewTable::Woven(name, new) => {
            let mut entries = vec![("wefts", names_text(&new.wefts))];
            entries.extend(recipe_keys(&new.weave));
            entries.push(("rows", new.rows.to_string()));
            (name, entries)
        }
    };
    add_named(sheet, "band", &["band"], name, &entries)
}
