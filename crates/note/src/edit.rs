//! Edits of a plan's text: the keys that an edit names change, and nothing else does.

use crate::near::{as_key, toml_text};
use crate::problem::Problem;
use crate::sheet::Sheet;
use crate::words;
use crate::{read, syntax};
use fellmark_core::plan::{Band, BandId, Edges, Edit, Plan, Source, Touch};
use fellmark_core::side::Side;

/// Why an edit can't be made on a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ApplyError {
    /// The text is no plan before the edit.
    Unread(Problem),
    /// The edit names a weft or a band that the plan doesn't have.
    NotThere,
    /// The plan would not hold after the edit. The problem has no place, since the text it is about was not
    /// kept.
    Unfit(Problem),
}

/// The text as it becomes. Every comment stands where it stood, lines that don't hold the edited key keep
/// their bytes, and so does the way lines end.
///
/// # Errors
/// If the text is no plan, or would be none after the edit, or if the edit names what isn't there.
pub fn apply(text: &str, edit: &Edit) -> Result<String, ApplyError> {
    if let Edit::Together(edits) = edit {
        return edits.iter().try_fold(text.to_owned(), |text, edit| apply(&text, edit));
    }
    let plan = read(text).map_err(ApplyError::Unread)?.plan;
    let tree = syntax::tree(text).map_err(ApplyError::Unread)?;
    let edited = edit_sheet(&Sheet::new(text, &tree), &plan, edit).ok_or(ApplyError::NotThere)?;
    match read(&edited) {
        Ok(_) => Ok(edited),
        Err(problem) => Err(ApplyError::Unfit(Problem { at: None, ..problem })),
    }
}

fn edit_sheet(sheet: &Sheet<'_>, plan: &Plan, edit: &Edit) -> Option<String> {
    let band = |id: BandId| plan.bands.get(id.0);
    match *edit {
        Edit::WarpEnds(ends) => sheet.set(&["warp"], "ends", &ends.to_string(), Some("width")),
        Edit::WeftFrom(weft, side) => {
            let side = if side == Side::Left { "\"left\"" } else { "\"right\"" };
            set_weft(sheet, &plan.wefts.get(weft.0)?.name, "from", side)
        }
        Edit::WeftDoubled(weft, doubled) => {
            set_weft(sheet, &plan.wefts.get(weft.0)?.name, "doubled", &doubled.to_string())
        }
        Edit::PieceEdges(edges) => sheet.set(&[], "edges", edges_text(edges), None),
        Edit::BandEdges(id, edges) => sheet.set(&["band", &band(id)?.name], "edges", edges_text(edges), None),
        Edit::BandStart(id, row) => sheet.set(&["band", &band(id)?.name], "start", &row.to_string(), None),
        Edit::BandRows(id, rows) => set_rows(sheet, band(id)?, rows),
        Edit::Touch(id, touch) => add_touch(sheet, band(id)?, touch),
        Edit::BandStep(id, step) => {
            let band = band(id)?;
            matches!(band.source, Source::Weave(_)).then_some(())?;
            sheet.set(&["band", &band.name], "step", &toml_text(&words::write_step(step)), None)
        }
        Edit::Together(_) => None,
    }
}

fn edges_text(edges: Edges) -> &'static str {
    match edges {
        Edges::Crossed => "\"crossed\"",
        Edges::Taken => "\"taken\"",
    }
}

/// A weft that has no table yet gets one after the last table of a yarn or weft.
fn set_weft(sheet: &Sheet<'_>, name: &str, key: &str, value: &str) -> Option<String> {
    if sheet.has(&["weft", name]) {
        return sheet.set(&["weft", name], key, value, None);
    }
    if sheet.is_inline(&["weft"]) {
        return sheet.set(&["weft"], &as_key(name), &format!("{{ {key} = {value} }}"), None);
    }
    Some(sheet.add_table(&["yarn", "weft"], &format!("[weft.{}]", as_key(name)), &format!("{key} = {value}")))
}

/// The number of rows, in the words in which the band says how long it is.
fn set_rows(sheet: &Sheet<'_>, band: &Band, rows: u32) -> Option<String> {
    let table = ["band", band.name.as_str()];
    let length = sheet.text_of(&["band", &band.name, "length"]);
    let written_out = sheet.is_list(&["band", &band.name, "rows"]);
    if written_out || length.is_some_and(|length| words::rows(length).is_some()) {
        return sheet.set(&table, "length", &format!("\"{rows} rows\""), None);
    }
    sheet.set(&table, "rows", &rows.to_string(), Some("length"))
}

/// One line more, or the last one longer if the touch goes on where it ended.
fn add_touch(sheet: &Sheet<'_>, band: &Band, touch: Touch) -> Option<String> {
    let joined = band.touched.last().and_then(|last| last.joined_by(touch));
    let element = toml_text(&words::write_touch(&joined.unwrap_or(touch)));
    let list = ["band", band.name.as_str(), "touched"];
    if !sheet.has(&list) {
        return sheet.set(&list[..2], "touched", &format!("[{element}]"), None);
    }
    if joined.is_some() { sheet.replace_last(&list, &element) } else { sheet.add_element(&list, &element) }
}
