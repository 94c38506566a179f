//! Laws of edits over random plans: what the text becomes is what the plan becomes, notes stay beside their keys
//! and entries, lines that an edit is not about keep their bytes, and an edit taken back gives the same bytes.

use fellmark_core::edit::EditError;
use fellmark_core::habits::Habits;
use fellmark_core::plan::{Band, Edit, Known, Plan, Source, StackEntry};
use fellmark_core::{piece, say};
use fellmark_laws::edits::{edit, noted};
use fellmark_laws::plans::{self, Tape};
use fellmark_laws::run::{Case, on_texts};
use fellmark_note::{ApplyError, Choice as _, apply, read};
use fellmark_report::{EditJson, read_edit};
use serde_json::{Value, json};
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};

/// Every note of a text, and what it stands by, as a library from outside that keeps TOML's layout tells it: the
/// path of the key, or of the list and the element's own text. Several may say the same.
fn notes(text: &str) -> Vec<(String, String)> {
    use toml_edit::{DocumentMut, Item, Table, Value};
    fn note(raw: Option<&str>, at: &str, into: &mut Vec<(String, String)>) {
        for line in raw.unwrap_or_default().lines() {
            if let Some((_, note)) = line.split_once('#') {
                into.push((note.trim().to_owned(), at.to_owned()));
            }
        }
    }
    fn value(value: &Value, at: &str, into: &mut Vec<(String, String)>) {
        note(value.decor().prefix().and_then(|raw| raw.as_str()), at, into);
        note(value.decor().suffix().and_then(|raw| raw.as_str()), at, into);
        if let Value::Array(list) = value {
            let mut before: Option<String> = None;
            for element in list {
                let own = format!("{at} > {}", element.clone().decorated("", ""));
                // Behind a comma a note is told as standing before the next element, on the same line.
                let prefix = element.decor().prefix().and_then(|raw| raw.as_str()).unwrap_or_default();
                let (same_line, rest) = prefix.split_once('\n').unwrap_or(("", prefix));
                note(Some(same_line), before.as_ref().unwrap_or(&own), into);
                note(Some(rest), &own, into);
                note(element.decor().suffix().and_then(|raw| raw.as_str()), &own, into);
                before = Some(own);
            }
            let trailing = list.trailing().as_str().unwrap_or_default();
            let (same_line, rest) = trailing.split_once('\n').unwrap_or((trailing, ""));
            note(Some(same_line), before.as_deref().unwrap_or(at), into);
            note(Some(rest), at, into);
        }
    }
    fn table(here: &Table, at: &str, into: &mut Vec<(String, String)>) {
        note(here.decor().prefix().and_then(|raw| raw.as_str()), at, into);
        note(here.decor().suffix().and_then(|raw| raw.as_str()), at, into);
        for (name, item) in here {
            let path = format!("{at}.{name}");
            if let Some(key) = here.key(name) {
                note(key.leaf_decor().prefix().and_then(|raw| raw.as_str()), &path, into);
            }
            match item {
                Item::Value(inner) => value(inner, &path, into),
                Item::Table(inner) => table(inner, &path, into),
                Item::ArrayOfTables(all) => {
                    for (k, inner) in all.iter().enumerate() {
                        table(inner, &format!("{path}.{k}"), into);
                    }
                }
                Item::None => {}
            }
        }
    }
    let document: DocumentMut = text.parse().unwrap();
    let mut all = Vec::new();
    table(document.as_table(), "", &mut all);
    note(document.trailing().as_str(), "the end", &mut all);
    all
}

fn note_texts(text: &str) -> BTreeSet<String> {
    let of = |line: &str| line.split_once("# ").map(|(_, note)| note.trim().to_owned());
    text.lines().filter_map(of).collect()
}

/// Tables and keys that an edit is about, by the start of their path.
fn about(json: &Value, plan: &Plan) -> Vec<String> {
    let band = |json: &Value| format!(".band.{}", json["band"].as_str().unwrap_or_default());
    let stack = match json["sequence"].as_str() {
        Some(name) => format!(".sequence.{name}.bands"),
        None => ".piece.bands".to_owned(),
    };
    let kind = json["edit"].as_str().unwrap();
    match kind {
        // The border of a fill changes another band; no random plan fills.
        "length" | "band_rows" | "touch" | "write_out" | "toggle" | "band_weave" | "band_wefts"
        | "band_start" | "band_beat" | "band_edges" | "band_step" => vec![band(json)],
        "part" => vec![".piece.bands".to_owned()],
        "warp_ends" | "warp_width" | "warp_order" | "warp_yarn" | "warp_path" => vec![".warp".to_owned()],
        "loom" => vec![".loom".to_owned()],
        "weft_from" | "weft_yarn" | "weft_doubled" | "weft_remove" => {
            vec![format!(".weft.{}", json["weft"].as_str().unwrap())]
        }
        "yarn_colour" | "yarn_size" | "yarn_have" | "yarn_price" | "yarn_wraps" | "yarn_measured"
        | "yarn_halo" => vec![format!(".yarn.{}", json["yarn"].as_str().unwrap())],
        "yarn_new" | "weft_new" => Vec::new(),
        // The yarn, the needle that is called so, and wherever they are named.
        "yarn_rename" => {
            let yarn = json["yarn"].as_str().unwrap();
            let bands = plan.bands.iter().map(|band| format!(".band.{}", band.name));
            let wefts = plan.wefts.iter().map(|weft| format!(".weft.{}", weft.name));
            wefts
                .chain(bands)
                .chain([format!(".yarn.{yarn}"), ".warp".to_owned(), ".header".to_owned()])
                .collect()
        }
        // The band, the stack, and bands that are like it.
        "band_rename" => {
            let id = plan.bands.iter().position(|band| json["band"] == band.name);
            let about = |(k, band): &(usize, &Band)| {
                Some(*k) == id || matches!(band.source, Source::Like(of) if Some(of.0) == id)
            };
            let bands = plan.bands.iter().enumerate().filter(about);
            let bands = bands.map(|(_, band)| format!(".band.{}", band.name));
            let sequences =
                plan.sequences.iter().map(|sequence| format!(".sequence.{}.bands", sequence.name));
            bands.chain(sequences).chain([".piece.bands".to_owned()]).collect()
        }
        // The yarn, and the needles that carry it.
        "yarn_remove" => {
            let yarn = json["yarn"].as_str().unwrap();
            let carries = |weft: &&fellmark_core::plan::Weft| plan.yarns[weft.yarn.0].name == yarn;
            let wefts = plan.wefts.iter().filter(carries).map(|weft| format!(".weft.{}", weft.name));
            wefts.chain([format!(".yarn.{yarn}")]).collect()
        }
        "piece_edges" => vec![".edges".to_owned()],
        "longest_float" => vec![".longest-float".to_owned()],
        "needleful" => vec![".habits".to_owned()],
        kind if kind.starts_with("stack") => vec![stack],
        kind => {
            debug_assert!(!plan.name.is_empty());
            vec![format!(".{kind}")]
        }
    }
}

/// Lines of the old text that are not in the new one, by their numbers: all but the longest common subsequence.
fn lines_lost(old: &str, new: &str) -> Vec<usize> {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.split('\n').collect(), new.split('\n').collect());
    let mut common = vec![vec![0_u16; new.len() + 1]; old.len() + 1];
    for i in (0..old.len()).rev() {
        for j in (0..new.len()).rev() {
            common[i][j] = if old[i] == new[j] {
                common[i + 1][j + 1] + 1
            } else {
                common[i + 1][j].max(common[i][j + 1])
            };
        }
    }
    let (mut lost, mut i, mut j) = (Vec::new(), 0, 0);
    while i < old.len() {
        if j < new.len() && old[i] == new[j] {
            (i, j) = (i + 1, j + 1);
        } else if j < new.len() && common[i][j + 1] >= common[i + 1][j] {
            j += 1;
        } else {
            lost.push(i);
            i += 1;
        }
    }
    lost
}

struct Tried {
    made: BTreeMap<String, u32>,
    refused: BTreeMap<String, u32>,
}

fn on_edits(seed: u64, cases: u32, law: impl Fn(&str, &Plan, &Value, &Edit, &str) -> Result<(), String>) {
    let tried = RefCell::new(Tried { made: BTreeMap::new(), refused: BTreeMap::new() });
    let seeds = Cell::new(0_u64);
    on_texts(seed, cases, noted, |case| {
        seeds.set(seeds.get() + 1);
        let tape: Vec<u16> = numbers(&case.text);
        let mut tape = Tape::new(&tape);
        let mut text = case.text.clone();
        for _ in 0..5 {
            let plan = read(&text).map_err(|problem| format!("{problem:?}\n{text}"))?.plan;
            let ends = piece::make(&plan, &Habits::of(&plan)).map_or(9, |piece| piece.end_count());
            let json = edit(&mut tape, &plan, ends);
            let kind = json["edit"].as_str().unwrap().to_owned();
            let meant = read_edit(&json.to_string(), &plan);
            let done = meant.as_ref().map_or(Err(None), |edit| apply(&text, edit).map_err(Some));
            match (meant, done) {
                (Ok(edit), Ok(new)) => {
                    *tried.borrow_mut().made.entry(kind).or_default() += 1;
                    law(&text, &plan, &json, &edit, &new)
                        .map_err(|broken| format!("{broken}\n{json}\n---\n{text}\n--- becomes\n{new}"))?;
                    text = new;
                }
                (Ok(edit), Err(error)) => {
                    *tried.borrow_mut().refused.entry(kind).or_default() += 1;
                    let error = error.unwrap();
                    let (message, help) = error.words();
                    if message.is_empty() || help.is_empty() {
                        return Err(format!("{error:?} says nothing"));
                    }
                    if matches!(error, ApplyError::Unread(_)) {
                        return Err(format!("{error:?}"));
                    }
                    // What the plan refuses the text refuses in the same words.
                    if let Err(refused) = edit.apply(&plan)
                        && refused != EditError::NotThere
                        && (message, help) != say::edit_error(&refused)
                    {
                        return Err(format!("{refused:?} and {error:?}"));
                    }
                }
                (Err(error), _) => {
                    *tried.borrow_mut().refused.entry(kind).or_default() += 1;
                    if error.message.is_empty() || error.help.is_empty() {
                        return Err(format!("{error:?} says nothing"));
                    }
                }
            }
        }
        Ok(())
    });
    let tried = tried.borrow();
    for (kind, refused) in &tried.refused {
        let made = tried.made.get(kind).copied().unwrap_or_default();
        // A kind that is rarely drawn may be refused every time by chance; four times it would not.
        assert!(made > 0 || *refused < 4, "{kind} was never made, and refused {refused} times");
    }
    assert!(tried.made.len() >= 44, "only {:?}", tried.made);
}

/// Numbers that only depend on a text.
fn numbers(text: &str) -> Vec<u16> {
    let mut state = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    let mut next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as u16
    };
    (0..200).map(|_| next()).collect()
}

#[test]
fn the_text_becomes_what_the_plan_becomes() {
    on_edits(71, 400, |_, plan, _, edit, new| {
        let becomes = edit.apply(plan).map_err(|error| format!("{error:?}"))?;
        let now = read(new).map_err(|problem| format!("{problem:?}"))?.plan;
        if now == becomes { Ok(()) } else { Err(format!("{now:#?}\nis not\n{becomes:#?}")) }
    });
}

/// Several edits that make one change: what the second one names is what the plan holds after the first.
#[test]
fn edits_together_are_the_edits_one_after_the_other() {
    let made = Cell::new(0);
    on_edits(75, 200, |old, plan, first, edit, between| {
        let mut tape_of = numbers(between);
        tape_of.reverse();
        let after = read(between).map_err(|problem| format!("{problem:?}"))?.plan;
        let second = fellmark_laws::edits::edit(&mut Tape::new(&tape_of), &after, 9);
        let both = json!({"edit": "together", "edits": [first, second]});
        let meant = read_edit(&both.to_string(), plan);
        let Ok(next) = read_edit(&second.to_string(), &after) else {
            return meant.map_or(Ok(()), |_| Err(format!("{second} means something together")));
        };
        let meant = meant.map_err(|error| format!("{second}: {error}"))?;
        if meant != Edit::Together(vec![edit.clone(), next.clone()]) {
            return Err(format!("{meant:?}"));
        }
        if EditJson::of(&meant, plan).on(plan).ok() != Some(meant.clone()) {
            return Err(format!("{:?} is told otherwise", EditJson::of(&meant, plan)));
        }
        let one_by_one = apply(between, &next);
        if one_by_one.as_ref().ok() != apply(old, &meant).as_ref().ok() {
            return Err(format!("{second}: {one_by_one:?} and together {:?}", apply(old, &meant)));
        }
        let Ok(text) = one_by_one else { return Ok(()) };
        made.set(made.get() + 1);
        let now = read(&text).map_err(|problem| format!("{problem:?}"))?.plan;
        let becomes = meant.apply(plan).map_err(|error| format!("{error:?}"))?;
        if now == becomes { Ok(()) } else { Err(format!("{second}: {now:#?}\nis not\n{becomes:#?}")) }
    });
    assert!(made.get() > 100, "only {}", made.get());
}

#[test]
fn notes_stay_by_what_they_stood_by() {
    on_edits(72, 300, |old, plan, json, _, new| {
        let mut after: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for (note, at) in notes(new) {
            after.entry(note).or_default().push(at);
        }
        let mut stays = |note: &String, at: &String| {
            let places = after.get_mut(note)?;
            places.iter().position(|now| now == at).map(|found| places.swap_remove(found))
        };
        let (_, moved): (Vec<_>, Vec<_>) =
            notes(old).into_iter().partition(|(note, at)| stays(note, at).is_some());
        let about = about(json, plan);
        // Where entries of one list change places, come or go, the others are what they were.
        let kind = json["edit"].as_str().unwrap();
        let in_one_list =
            ["from", "to", "at"].iter().all(|key| json[key].as_array().is_none_or(|path| path.len() == 1));
        let entries_stay = ["stack_move", "stack_insert", "stack_remove"].contains(&kind) && in_one_list;
        for (note, at) in &moved {
            let concerned = about.iter().any(|about| at.starts_with(about.as_str()));
            match after.get_mut(note).and_then(Vec::pop) {
                // An entry that changed is another; notes of keys that went stay near.
                Some(_) if concerned && !entries_stay => {}
                // A note above an entry that is taken out stays where it was, above the next one.
                Some(_) if kind == "stack_remove" && note.starts_with("above") => {}
                Some(now) => return Err(format!("{note:?} stood by {at} and stands by {now}")),
                None if note_texts(new).iter().any(|other| other.contains(note.as_str())) => {}
                // The line or the table that was taken out, or the touch that was taken back.
                None if concerned
                    && (["touch", "yarn_remove", "weft_remove", "header"].contains(&kind)
                        || (kind == "stack_remove" && note.starts_with("entry"))) => {}
                None => return Err(format!("{note:?} by {at} is lost")),
            }
        }
        Ok(())
    });
}

#[test]
fn only_lines_that_an_edit_is_about_change() {
    on_edits(73, 400, |old, plan, json, _, new| {
        let about = about(json, plan);
        for number in lines_lost(old, new) {
            let lines: Vec<&str> = old.split('\n').collect();
            let line = lines[number];
            let kind = json["edit"].as_str().unwrap();
            // A table that goes takes the empty line above it along.
            if ["yarn_remove", "weft_remove", "header"].contains(&kind) && line.trim().is_empty() {
                continue;
            }
            if line.starts_with('[') {
                // The parts of a band that is woven otherwise are set aside.
                if line.starts_with("[[") && ["band_weave", "write_out"].contains(&kind) {
                    continue;
                }
                let name = line
                    .trim_start_matches('[')
                    .split(']')
                    .next()
                    .unwrap_or_default()
                    .replace(['"', '\''], "");
                let name = name.trim_end_matches(".part");
                if ["yarn_rename", "band_rename", "yarn_remove", "weft_remove", "header"].contains(&kind)
                    && about.contains(&format!(".{name}"))
                {
                    continue;
                }
                return Err(format!("the heading {line:?} changed"));
            }
            let heading = lines[..number].iter().rev().find(|line| line.starts_with('['));
            let section = heading.map(|line| {
                line.trim_start_matches('[').split(']').next().unwrap_or_default().replace(['"', '\''], "")
            });
            let in_it = about.iter().any(|about| match &section {
                None => !about[1..].contains('.'),
                Some(section) => format!(".{section}").starts_with(about.split(".bands").next().unwrap()),
            });
            if !in_it {
                return Err(format!("{line:?} of {section:?} changed"));
            }
        }
        let ends = |text: &str| (text.matches('\n').count(), text.matches("\r\n").count());
        let (lines, crlf) = ends(new);
        if old.contains('\r') && lines != crlf {
            return Err("a line ends otherwise than the others".into());
        }
        Ok(())
    });
}

/// The edit that takes another back, where there is one.
fn inverse(json: &Value, plan: &Plan) -> Option<Value> {
    let band = plan.bands.iter().find(|band| json["band"] == band.name);
    match json["edit"].as_str()? {
        "toggle" => Some(json.clone()),
        "yarn_rename" => Some(json!({"edit": "yarn_rename", "yarn": json["name"], "name": json["yarn"]})),
        "band_rename" => Some(json!({"edit": "band_rename", "band": json["name"], "name": json["band"]})),
        "yarn_new" => Some(json!({"edit": "yarn_remove", "yarn": json["yarn"]})),
        "weft_new" => Some(json!({"edit": "weft_remove", "weft": json["weft"]})),
        // A key that was there and is given up may stand at another place when it comes back.
        "band_start" if band?.start.is_none() || !json["start"].is_null() => {
            Some(json!({"edit": "band_start", "band": json["band"], "start": band?.start}))
        }
        "band_beat" if band?.beat.is_none() || !json["beat"].is_null() => {
            let beat = band?.beat.as_ref().map(|beat| beat.typed.as_str());
            Some(json!({"edit": "band_beat", "band": json["band"], "beat": beat}))
        }
        "band_edges" if band?.edges.is_none() || !json["edges"].is_null() => {
            let edges = band?.edges.map(|edges| edges.word());
            Some(json!({"edit": "band_edges", "band": json["band"], "edges": edges}))
        }
        "yarn_colour" => {
            let yarn = plan.yarns.iter().find(|yarn| json["yarn"] == yarn.name)?;
            Some(json!({"edit": "yarn_colour", "yarn": yarn.name, "colour": yarn.colour.to_string()}))
        }
        "yarn_have" | "yarn_price" | "yarn_wraps" | "yarn_measured" | "yarn_halo" => {
            let yarn = plan.yarns.iter().find(|yarn| json["yarn"] == yarn.name)?;
            let known =
                Known::of(yarn).into_iter().find(|known| json["edit"] == format!("yarn_{}", known.key()))?;
            let (key, typed) = (known.key(), known.typed());
            // As with the other keys.
            (typed.is_none() || !json[key].is_null())
                .then(|| json!({"edit": json["edit"], "yarn": yarn.name, key: typed}))
        }
        "name" => Some(json!({"edit": "name", "name": plan.name})),
        "warp_order" => {
            let order: Vec<String> = plan
                .warp
                .order
                .iter()
                .map(|run| format!("{} {}", run.ends, plan.yarns[run.yarn.0].name))
                .collect();
            Some(json!({"edit": "warp_order", "order": order}))
        }
        "band_rows" => match band?.extent {
            Some(fellmark_core::plan::Extent::Rows(rows)) => {
                Some(json!({"edit": "band_rows", "band": band?.name, "rows": rows}))
            }
            _ => None,
        },
        "stack_times" => {
            let path: Vec<usize> =
                json["at"].as_array()?.iter().map(|at| at.as_u64().unwrap() as usize - 1).collect();
            let mut list = match json["sequence"].as_str() {
                Some(name) => &plan.sequences.iter().find(|s| s.name == name)?.entries,
                None => &plan.stack,
            };
            let mut was = 0;
            for at in path {
                if let StackEntry::Group { times, entries } = &list[at] {
                    (was, list) = (*times, entries);
                }
            }
            let mut back = json.clone();
            back["times"] = json!(was);
            Some(back)
        }
        "stack_move" => {
            let path = |key: &str| -> Vec<u64> {
                json[key].as_array().unwrap().iter().map(|at| at.as_u64().unwrap()).collect()
            };
            let (from, to) = (path("from"), path("to"));
            let here = from.len() - 1;
            // Within one list the way back is plain; between lists the indents may be others.
            (from.len() == to.len() && from[..here] == to[..here]).then(|| {
                let (a, b) = (from[here], to[here]);
                let (now, back) = if b > a { (b - 1, a) } else { (b, a + 1) };
                let with = |at: u64| from[..here].iter().copied().chain([at]).collect::<Vec<u64>>();
                json!({"edit": "stack_move", "sequence": json["sequence"], "from": with(now), "to": with(back)})
            })
        }
        "stack_group" => {
            Some(json!({"edit": "stack_ungroup", "sequence": json["sequence"], "at": json["at"]}))
        }
        "stack_insert" => {
            // What was made for it stays in the plan.
            let remove = json!({"edit": "stack_remove", "sequence": json["sequence"], "at": json["at"]});
            (json["what"]["new"].is_null()).then_some(remove)
        }
        _ => None,
    }
}

#[test]
fn an_edit_taken_back_gives_the_same_bytes() {
    let compared = Cell::new(0);
    on_edits(74, 400, |old, plan, json, _, new| {
        let Some(back) = inverse(json, plan) else { return Ok(()) };
        let now = read(new).unwrap().plan;
        let edit = read_edit(&back.to_string(), &now).map_err(|error| error.to_string())?;
        let again = apply(new, &edit).map_err(|error| format!("{error:?}"))?;
        // A flag that stood there before may stand at another place when it comes back.
        let was_on =
            json["edit"] == "toggle" && old.contains(&format!("{} = ", json["flag"].as_str().unwrap()));
        // Quotes that a name did not need are not known any more after a name that needed them.
        let spaced = ["yarn_rename", "band_rename"].contains(&json["edit"].as_str().unwrap())
            && json["name"].as_str().unwrap().contains(' ');
        let unquoted = |text: &str| -> String {
            let line = |line: &str| match line.starts_with('[') {
                true => line.replace('"', ""),
                false => line.to_owned(),
            };
            text.split('\n').map(line).collect::<Vec<_>>().join("\n")
        };
        compared.set(compared.get() + 1);
        if again == *old
            || (was_on && read(&again).unwrap().plan == *plan)
            || (spaced && unquoted(&again) == unquoted(old))
        {
            Ok(())
        } else {
            Err(format!("{back} gives\n{again}"))
        }
    });
    assert!(compared.get() > 120, "only {} were taken back", compared.get());
}

#[test]
fn rows_written_out_are_the_rows_as_they_were() {
    let written = Cell::new(0);
    on_texts(75, 300, plans::text, |case| {
        for band in &case.plan.bands {
            let json = json!({"edit": "write_out", "band": band.name}).to_string();
            let edit = read_edit(&json, &case.plan).map_err(|error| error.to_string())?;
            let Ok(new) = apply(&case.text, &edit) else { continue };
            written.set(written.get() + 1);
            let after = Case::of(new.clone())?;
            let rows = |case: &Case| -> Vec<(String, u32, bool)> {
                let piece = &case.study.piece;
                let row = |k: u32| {
                    let row = piece.row(k);
                    (
                        piece.wefts[row.weft.0].name.clone(),
                        row.band_row,
                        row.from == fellmark_core::side::Side::Left,
                    )
                };
                (0..piece.row_count()).map(row).collect()
            };
            if after.study.piece.grid != case.study.piece.grid || rows(&after) != rows(case) {
                return Err(format!("{} is another:\n{new}", band.name));
            }
            let id = after.plan.bands.iter().position(|b| b.name == band.name).unwrap();
            if !matches!(after.plan.bands[id].source, fellmark_core::plan::Source::Written(_)) {
                return Err(format!("{} is not written out:\n{new}", band.name));
            }
        }
        Ok(())
    });
    assert!(written.get() > 300, "only {} bands were written out", written.get());
}

#[test]
fn a_touch_shows_and_touched_back_it_is_gone() {
    let vanished = Cell::new(0);
    on_texts(76, 300, plans::text, |case| {
        let tape = numbers(&case.text);
        let mut tape = Tape::new(&tape);
        let piece = &case.study.piece;
        let place = &piece.places[tape.up_to(piece.places.len() as u32 - 1) as usize];
        let row = tape.up_to(place.rows - 1);
        let woven = piece.grid.row(place.first_row + row).unwrap();
        let span = woven.span();
        let end = span.first() + tape.up_to(span.len() - 1);
        let now = woven.over(end).unwrap();
        let touch = |over: bool| {
            let pass = if over { "over" } else { "under" };
            json!({"edit": "touch", "band": place.name, "row": row + 1, "ends": [end + 1, end + 1], "pass": pass}).to_string()
        };
        let make = |text: &str, over: bool| {
            let plan = read(text).unwrap().plan;
            let edit = read_edit(&touch(over), &plan).map_err(|error| error.to_string())?;
            apply(text, &edit).map_err(|error| format!("{error:?}"))
        };
        let seen = |text: &str| {
            let case = Case::of(text.to_owned())?;
            let here = &case.study.piece.places.iter().find(|p| p.first_row == place.first_row).cloned();
            let first = here.as_ref().map_or(0, |p| p.first_row);
            Ok::<_, String>(case.study.piece.grid.row(first + row).and_then(|row| row.over(end)))
        };
        let same = make(&case.text, now)?;
        if seen(&same)? != Some(now) {
            return Err(format!("touched as it is, it is otherwise:\n{same}"));
        }
        let other = make(&case.text, !now)?;
        let heights_same =
            Case::of(other.clone()).is_ok_and(|c| c.study.piece.row_count() == piece.row_count());
        if !heights_same {
            // A length of cloth may come to other rows with other crossings in it.
            return Ok(());
        }
        if seen(&other)? != Some(!now) {
            return Err(format!("row {row} end {end} does not show the touch:\n{other}"));
        }
        let back = make(&other, now)?;
        if seen(&back)? != Some(now) {
            return Err(format!("it does not come back:\n{back}"));
        }
        let touches =
            |text: &str| -> usize { read(text).unwrap().plan.bands.iter().map(|b| b.touched.len()).sum() };
        if touches(&case.text) == 0 {
            if touches(&back) > 0 && piece.places.iter().filter(|p| p.band == place.band).count() == 1 {
                return Err(format!("the touch stays though it says no more than the weave:\n{back}"));
            }
            // A stroke over several ends, taken back run by run, leaves nothing either.
            let last = (end + 4).min(span.last());
            let stroke = |text: &str, first: u32, last: u32, over: bool| {
                let pass = if over { "over" } else { "under" };
                let json = json!({"edit": "touch", "band": place.name, "row": row + 1, "ends": [first + 1, last + 1], "pass": pass});
                let edit = read_edit(&json.to_string(), &read(text).unwrap().plan)
                    .map_err(|error| error.to_string())?;
                apply(text, &edit).map_err(|error| format!("{error:?}"))
            };
            let mut text = stroke(&case.text, end, last, !now)?;
            let same_rows =
                Case::of(text.clone()).is_ok_and(|c| c.study.piece.row_count() == piece.row_count());
            let mut first = end;
            while first <= last && same_rows {
                let over = woven.over(first).unwrap();
                let run = (first..=last).take_while(|&e| woven.over(e) == Some(over)).last().unwrap();
                text = stroke(&text, first, run, over)?;
                first = run + 1;
            }
            let one_place = piece.places.iter().filter(|p| p.band == place.band).count() == 1;
            if same_rows && one_place && touches(&text) > 0 {
                return Err(format!("something stays of a stroke that was taken back:\n{text}"));
            }
            vanished.set(vanished.get() + 1);
        }
        Ok(())
    });
    assert!(vanished.get() > 60, "only {} touches could vanish", vanished.get());
}

#[test]
fn an_edit_as_json_is_the_same_edit() {
    on_edits(77, 300, |_, plan, _, edit, _| {
        let json = serde_json::to_string(&EditJson::of(edit, plan)).unwrap();
        match read_edit(&json, plan) {
            Ok(again) if again == *edit => Ok(()),
            other => Err(format!("{json} is {other:?}, not {edit:?}")),
        }
    });
}

#[test]
fn every_edit_has_words_for_before_and_after() {
    on_edits(78, 400, |_, plan, _, edit, _| {
        for words in [say::edit(edit, plan), say::done(edit, plan)] {
            if words.trim() != words || words.len() < 4 || words.contains("  ") {
                return Err(format!("{words:?}"));
            }
        }
        Ok(())
    });
}
