//! Single keys: of the piece, the loom, the warp, yarns and wefts.

use super::{Steps, set_list};
use crate::choice::Choice;
use crate::near::{as_key, toml_text};
use crate::sheet::Sheet;
use fellmark_core::plan::{Change, ColourRun, Header, LoomKeys, NewYarn, Plan, Purpose, Set, YarnId};
use fellmark_core::quantity::{Mm, Typed};

pub(super) fn change(sheet: &Sheet<'_>, plan: &Plan, change: &Change) -> Option<String> {
    match change {
        Change::WarpEnds(ends) => sheet.set(&["warp"], "ends", &ends.to_string(), Some("width")),
        Change::WeftFrom(weft, side) => {
            set_weft(sheet, &plan.wefts.get(weft.0)?.name, "from", &toml_text(side.word()))
        }
        Change::WeftDoubled(weft, doubled) => {
            set_weft(sheet, &plan.wefts.get(weft.0)?.name, "doubled", &doubled.to_string())
        }
        Change::PieceEdges(edges) => sheet.set(&[], "edges", &toml_text(edges.word()), None),
        Change::NewYarn(new) => new_yarn(sheet, new),
        Change::NewWeft(name, yarn) => {
            set_weft(sheet, name, "yarn", &toml_text(&plan.yarns.get(yarn.0)?.name))
        }
        Change::RemoveYarn(yarn) => sheet.cut_table(&["yarn", yarn_name(plan, *yarn)?]),
        Change::RemoveWeft(weft) => sheet.cut_table(&["weft", &plan.wefts.get(weft.0)?.name]),
        Change::Set(set) => set_key(sheet, plan, set),
        _ => None,
    }
}

fn set_key(sheet: &Sheet<'_>, plan: &Plan, set: &Set) -> Option<String> {
    let top = |key: &str, value: &str| sheet.set(&[], key, &toml_text(value), None);
    match set {
        Set::Name(name) => top("name", name),
        Set::Use(purpose) => top("use", purpose_word(*purpose, sheet.text_of(&["use"]))),
        Set::Shows(surface) => top("shows", surface.word()),
        Set::Finish(finish) => top("finish", finish.word()),
        Set::Finished(Some(size)) => top("finished", &size.typed),
        Set::Finished(None) => sheet.cut(&[], "finished"),
        Set::LongestFloat(Some(length)) => top("longest-float", &length.typed),
        Set::LongestFloat(None) => sheet.cut(&[], "longest-float"),
        Set::Needleful(Some(length)) => {
            let value = toml_text(&length.typed);
            if sheet.has(&["habits"]) {
                return sheet.set(&["habits"], "needleful", &value, None);
            }
            Some(sheet.add_table(&[], "[habits]", &[format!("needleful = {value}")]))
        }
        Set::Needleful(None) if !sheet.has(&["habits"]) => Some(sheet.text().to_owned()),
        Set::Needleful(None) => sheet.cut(&["habits"], "needleful"),
        Set::Loom(keys) => set_loom(sheet, keys),
        Set::WarpWidth(width) => sheet.set(&["warp"], "width", &toml_text(&width.typed), Some("ends")),
        Set::WarpOrder(order) => {
            let write = |run: &ColourRun| {
                let yarn = plan.yarns.get(run.yarn.0).map_or("", |yarn| yarn.name.as_str());
                toml_text(&format!("{} {yarn}", run.ends))
            };
            set_list(sheet, &["warp", "order"], &plan.warp.order, order, write)
        }
        Set::WarpPath(path) => sheet.set(&["warp"], "path", &toml_text(path.word()), None),
        Set::Header(Some(header)) => set_header(sheet, plan, header),
        Set::Header(None) if !sheet.has(&["header"]) => Some(sheet.text().to_owned()),
        Set::Header(None) => sheet.cut_table(&["header"]),
        Set::YarnColour(yarn, colour) => {
            sheet.set(&["yarn", yarn_name(plan, *yarn)?], "colour", &toml_text(&colour.to_string()), None)
        }
        Set::YarnSize(yarn, size, fibre) => {
            let table = ["yarn", yarn_name(plan, *yarn)?];
            let sized = sheet.set(&table, "size", &toml_text(&size.typed), None)?;
            Steps(sized)
                .then(|sheet| sheet.set(&table, "fibre", &toml_text(fibre.name()), None))
                .map(|steps| steps.0)
        }
        Set::YarnKnown(yarn, known) => {
            let table = ["yarn", yarn_name(plan, *yarn)?];
            match known.typed() {
                Some(typed) => sheet.set(&table, known.key(), &toml_text(typed), None),
                None => sheet.cut(&table, known.key()),
            }
        }
        Set::WeftYarn(weft, yarn) => {
            let name = &plan.wefts.get(weft.0)?.name;
            set_weft(sheet, name, "yarn", &toml_text(yarn_name(plan, *yarn)?))
        }
        Set::BandWefts(..) | Set::BandWeave(..) | Set::BandFlag(..) => None,
    }
}

/// The header's table, after that of the warp if there was none.
fn set_header(sheet: &Sheet<'_>, plan: &Plan, header: &Header) -> Option<String> {
    let length = toml_text(&header.length.typed);
    let yarn = header.yarn.map(|yarn| yarn_name(plan, yarn).map(toml_text));
    let yarn = match yarn {
        Some(name) => Some(name?),
        None => None,
    };
    if !sheet.has(&["header"]) {
        let entries = [Some(format!("length = {length}")), yarn.map(|yarn| format!("yarn = {yarn}"))];
        return Some(sheet.add_table(
            &["loom", "warp"],
            "[header]",
            &entries.into_iter().flatten().collect::<Vec<_>>(),
        ));
    }
    let steps = Steps(sheet.set(&["header"], "length", &length, None)?);
    let steps = steps.then(|sheet| match &yarn {
        Some(yarn) => sheet.set(&["header"], "yarn", yarn, None),
        None => sheet.cut(&["header"], "yarn"),
    })?;
    Some(steps.0)
}

fn yarn_name(plan: &Plan, yarn: YarnId) -> Option<&str> {
    plan.yarns.get(yarn.0).map(|yarn| yarn.name.as_str())
}

/// The word for a purpose; another word for the one that is there already stays.
fn purpose_word(purpose: Purpose, now: Option<&str>) -> &str {
    now.filter(|now| Purpose::of(now) == Some(purpose)).unwrap_or(purpose.word())
}

fn set_loom(sheet: &Sheet<'_>, keys: &LoomKeys) -> Option<String> {
    let typed = |length: &Option<Typed<Mm>>| length.as_ref().map(|length| toml_text(&length.typed));
    let act = keys.strands_act.map(|act| toml_text(act.word()));
    let values = [
        ("name", keys.name.as_deref().map(toml_text)),
        ("notches", keys.notches.map(|notches| notches.to_string())),
        ("pitch", typed(&keys.pitch)),
        ("turn-to-turn", typed(&keys.turn_to_turn)),
        ("clear-height", typed(&keys.clear_height)),
        ("out-of-reach", typed(&keys.out_of_reach)),
        ("notch-width", typed(&keys.notch_width)),
        ("notch-depth", typed(&keys.notch_depth)),
        ("strands", keys.strands.map(|strands| strands.to_string())),
        ("strands-act-as", act),
    ];
    let mut steps = Steps(sheet.text().to_owned());
    for (key, value) in values {
        if let Some(value) = value {
            steps = steps.then(|sheet| sheet.set(&["loom"], key, &value, None))?;
        }
    }
    Some(steps.0)
}

/// A weft that has no table yet gets one after the last table of a yarn or weft.
fn set_weft(sheet: &Sheet<'_>, name: &str, key: &str, value: &str) -> Option<String> {
    if sheet.has(&["weft", name]) {
        return sheet.set(&["weft", name], key, value, None);
    }
    add_named(sheet, "weft", &["yarn", "weft"], name, &[(key, value.to_owned())])
}

fn new_yarn(sheet: &Sheet<'_>, new: &NewYarn) -> Option<String> {
    let entries = [
        ("colour", toml_text(&new.colour.to_string())),
        ("size", toml_text(&new.size.typed)),
        ("fibre", toml_text(new.fibre.name())),
    ];
    add_named(sheet, "yarn", &["yarn"], &new.name, &entries)
}

/// A table with a name of its own, after those of its kin.
pub(super) fn add_named(
    sheet: &Sheet<'_>,
    kind: &str,
    kin: &[&str],
    name: &str,
    entries: &[(&str, String)],
) -> Option<String> {
    let lines: Vec<String> = entries.iter().map(|(key, value)| format!("{key} = {value}")).collect();
    if sheet.is_inline(&[kind]) {
        return sheet.set(&[kind], &as_key(name), &format!("{{ {} }}", lines.join(", ")), None);
    }
    Some(sheet.add_table(kin, &format!("[{kind}.{}]", as_key(name)), &lines))
}
