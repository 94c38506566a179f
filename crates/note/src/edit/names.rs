//! What is called otherwise gets its new name wherever the old one stands.

use super::{Steps, set_list};
use crate::near::toml_text;
use crate::sheet::Sheet;
use fellmark_core::plan::{BandId, ColourRun, Plan, Source, WeftId, YarnId};

/// A yarn's new name, wherever the old one stands: its table, its needle's, the warp, and the bands.
pub(super) fn rename_yarn(sheet: &Sheet<'_>, plan: &Plan, yarn: YarnId, name: &str) -> Option<String> {
    let old = plan.yarns.get(yarn.0)?.name.as_str();
    let weft = plan.weft_called_like(yarn);
    let mut steps = Steps(sheet.rename_table("yarn", old, name, &[])?);
    for other in plan.wefts.iter().filter(|weft| weft.yarn == yarn) {
        let table = ["weft", other.name.as_str()];
        if sheet.has(&["weft", &other.name, "yarn"]) {
            steps = steps.then(|sheet| sheet.set(&table, "yarn", &toml_text(name), None))?;
        }
    }
    if weft.is_some() && sheet.has(&["weft", old]) {
        steps = steps.then(|sheet| sheet.rename_table("weft", old, name, &[]))?;
    }
    if plan.header.as_ref().is_some_and(|header| header.yarn == Some(yarn)) {
        steps = steps.then(|sheet| sheet.set(&["header"], "yarn", &toml_text(name), None))?;
    }
    let runs = |new: &str| -> Vec<String> {
        let called = |run: &ColourRun| if run.yarn == yarn { new } else { &plan.yarns[run.yarn.0].name };
        plan.warp.order.iter().map(|run| format!("{} {}", run.ends, called(run))).collect()
    };
    let write = |text: &String| toml_text(text);
    steps = steps.then(|sheet| set_list(sheet, &["warp", "order"], &runs(old), &runs(name), write))?;
    for band in &plan.bands {
        let Some(wefts) = &band.wefts else { continue };
        if weft.is_some_and(|weft| wefts.contains(&weft)) {
            let names = |new: &str| -> Vec<String> {
                let called = |id: &WeftId| if Some(*id) == weft { new } else { &plan.wefts[id.0].name };
                wefts.iter().map(|id| called(id).to_owned()).collect()
            };
            let path = ["band", band.name.as_str(), "wefts"];
            steps = steps.then(|sheet| set_list(sheet, &path, &names(old), &names(name), write))?;
        }
    }
    Some(steps.0)
}

/// A band's new name, wherever the old one stands: its table, the stack, sequences, and bands that are like it.
pub(super) fn rename_band(sheet: &Sheet<'_>, plan: &Plan, band: BandId, name: &str) -> Option<String> {
    let old = plan.bands.get(band.0)?.name.as_str();
    let like = plan.bands.iter().filter(|other| matches!(other.source, Source::Like(of) if of == band));
    let mut named = vec![vec!["piece", "bands"]];
    named.extend(plan.sequences.iter().map(|sequence| vec!["sequence", sequence.name.as_str(), "bands"]));
    named.extend(like.map(|other| vec!["band", other.name.as_str(), "like"]));
    sheet.rename_table("band", old, name, &named)
}
