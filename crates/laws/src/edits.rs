//! Random edits, as a page or a hand could ask for them, and plans whose notes and lines show what an edit leaves
//! alone.

use crate::plans::{self, Tape};
use fellmark_core::plan::{Plan, StackEntry, WeftId};
use serde_json::{Value, json};

/// A plan with notes behind its lines, its stack often line by line.
pub fn noted(tape: &mut Tape<'_>) -> String {
    let crlf = tape.once_in(6);
    let plain = plans::text(tape);
    let mut text = String::new();
    for (number, line) in plain.lines().enumerate() {
        if let Some(entries) = line.strip_prefix("bands = [").filter(|_| tape.once_in(2)) {
            let inner = entries.strip_suffix(']').unwrap();
            text.push_str("bands = [\n");
            if tape.once_in(2) {
                text.push_str("  { times = 2, bands = [\"b0\", \"b0\"] },\n");
            }
            for (k, entry) in top_level(inner).iter().enumerate() {
                if tape.once_in(4) {
                    text.push_str(&format!("  # above {number}.{k}\n"));
                }
                text.push_str(&format!("  {entry}, # entry {number}.{k}\n"));
            }
            text.push_str("]\n");
            continue;
        }
        // Texts may stand between single quotes as well.
        text.push_str(&if tape.once_in(5) { line.replace('"', "'") } else { line.to_owned() });
        if tape.once_in(2) && !line.is_empty() {
            text.push_str(&format!("   # note {number}"));
        }
        text.push('\n');
    }
    if crlf { text.replace('\n', "\r\n") } else { text }
}

/// The elements of a list, parted at the commas outside brackets.
fn top_level(inner: &str) -> Vec<String> {
    let (mut parts, mut depth, mut part) = (Vec::new(), 0, String::new());
    for c in inner.chars() {
        match c {
            '[' | '{' => depth += 1,
            ']' | '}' => depth -= 1,
            ',' if depth == 0 => {
                parts.push(std::mem::take(&mut part).trim().to_owned());
                continue;
            }
            _ => {}
        }
        part.push(c);
    }
    parts.push(part.trim().to_owned());
    parts
}

/// A random edit as JSON, mostly one that fits; names, rows, ends and lines are sometimes wrong on purpose.
pub fn edit(tape: &mut Tape<'_>, plan: &Plan, ends: u32) -> Value {
    let name = |names: Vec<&str>, tape: &mut Tape<'_>| -> String {
        if names.is_empty() || tape.once_in(40) {
            return "nobody".into();
        }
        names[tape.up_to(names.len() as u32 - 1) as usize].to_owned()
    };
    let band = name(plan.bands.iter().map(|b| b.name.as_str()).collect(), tape);
    let weft = name(plan.wefts.iter().map(|w| w.name.as_str()).collect(), tape);
    let yarn = name(plan.yarns.iter().map(|y| y.name.as_str()).collect(), tape);
    let other = name(plan.yarns.iter().map(|y| y.name.as_str()).collect(), tape);
    let in_sequence = !plan.sequences.is_empty() && tape.once_in(4);
    let sequence = in_sequence.then(|| plan.sequences[0].name.clone());
    let list = if in_sequence { &plan.sequences[0].entries } else { &plan.stack };
    let path = |tape: &mut Tape<'_>| -> Vec<u32> {
        let (mut path, mut list) = (Vec::new(), list);
        loop {
            let at = tape.up_to(list.len() as u32);
            path.push(at + u32::from(!tape.once_in(60)));
            match list.get(at as usize) {
                Some(StackEntry::Group { entries, .. }) if tape.once_in(2) => list = entries,
                _ => return path,
            }
        }
    };
    // A group if there is one, as a rule.
    let group = |tape: &mut Tape<'_>| -> Vec<u32> {
        let is_group = |entry: &StackEntry| matches!(entry, StackEntry::Group { .. });
        match list.iter().position(is_group).filter(|_| !tape.once_in(4)) {
            Some(at) => vec![at as u32 + 1],
            None => path(tape),
        }
    };
    let weave = |tape: &mut Tape<'_>| match tape.up_to(3) {
        0 => json!({"weave": "twill 2/1 left"}),
        1 => json!({"opening": "over 3, under 2", "opposite": true, "step": "1 left every pair"}),
        2 => json!({"weave": "satin 5", "turn_ends": "after 4 ends, broken", "step": "2 right"}),
        _ => json!({"opening": "under 1, over 2", "turn_back": "after 3 steps", "step": "1 right"}),
    };
    let with = |mut one: Value, other: Value| {
        one.as_object_mut().unwrap().extend(other.as_object().unwrap().clone());
        one
    };
    let has_group = list.iter().any(|entry| matches!(entry, StackEntry::Group { .. }));
    let kind = match tape.up_to(41) {
        29 | 30 if !has_group => 28,
        kind => kind,
    };
    match kind {
        0..=2 => json!({"edit": "length", "band": band, "rows": tape.up_to(24)}),
        3 => json!({"edit": "band_rows", "band": band, "rows": tape.up_to(24)}),
        4..=8 => {
            let first = tape.from_to(1, ends);
            let last = (first + tape.up_to(3)).min(ends + u32::from(tape.once_in(20)));
            let every = if tape.once_in(4) { json!(tape.from_to(1, 4)) } else { Value::Null };
            let pass = tape.one_of(&["over", "under"]);
            let row = tape.from_to(1, 4);
            json!({"edit": "touch", "band": band, "row": row, "every": every, "ends": [first, last], "pass": pass})
        }
        9 | 10 => json!({"edit": "part", "band": band, "place": tape.from_to(1, 3)}),
        11 | 12 => json!({"edit": "write_out", "band": band}),
        13..=15 => {
            let flag = tape.one_of(&["exchanged", "mirrored", "over-for-under"]);
            json!({"edit": "toggle", "band": band, "flag": flag})
        }
        16 | 17 => with(json!({"edit": "band_weave", "band": band}), weave(tape)),
        18 => {
            let second = if tape.once_in(2) { vec![weft.clone(), yarn] } else { vec![other] };
            json!({"edit": "band_wefts", "band": band, "wefts": second})
        }
        19 => match tape.up_to(6) {
            0 => json!({"edit": "name", "name": "Saltings \"two\""}),
            1 => json!({"edit": "use", "use": "hanging"}),
            2 => json!({"edit": "shows", "shows": "back"}),
            3 => json!({"edit": "finish", "finish": "pinned"}),
            4 => {
                let sizes = [Some("11 cm x 9 cm"), Some("11 cm wide"), Some("9 cm long"), None];
                json!({"edit": "finished", "size": tape.one_of(&sizes)})
            }
            5 => {
                let length = tape.one_of(&[Some("1.5 m"), Some("40 in"), None]);
                json!({"edit": "needleful", "length": length})
            }
            _ => {
                json!({"edit": "longest_float", "length": if tape.once_in(2) { json!("9 mm") } else { Value::Null }})
            }
        },
        20 => match tape.up_to(4) {
            0 => json!({"edit": "loom", "pitch": "5 mm", "out_of_reach": "1 cm", "strands": 2}),
            1 => {
                json!({"edit": "warp_order", "order": [format!("2 {yarn}"), format!("1 {other}"), "1 foam"]})
            }
            2 => json!({"edit": "warp_yarn", "yarn": yarn, "to": other}),
            3 => json!({"edit": "warp_path", "path": "round"}),
            _ => {
                let length = tape.one_of(&[Some("2 cm"), Some("1/2 in"), Some("30 cm"), None]);
                let yarn = length.and_then(|_| tape.once_in(2).then_some(&yarn));
                json!({"edit": "header", "length": length, "yarn": yarn})
            }
        },
        21 => match tape.up_to(7) {
            0 => json!({"edit": "yarn_colour", "yarn": yarn, "colour": "#6f8f3f"}),
            1 => json!({"edit": "yarn_size", "yarn": yarn, "size": "8/2 cotton"}),
            2 => {
                json!({"edit": "yarn_new", "yarn": "samphire", "colour": "#6f8f3f", "size": "300 tex", "fibre": "linen"})
            }
            3 => json!({"edit": "weft_new", "weft": "foam two", "yarn": "foam"}),
            4 => {
                let name = tape.one_of(&["heather", "marsh heather", "slate"]);
                json!({"edit": "yarn_rename", "yarn": yarn, "name": name})
            }
            5 | 6 => {
                let unused = plan.uses().iter().position(|uses| uses.is_none());
                let unused = unused.map(|at| plan.yarns[at].name.clone());
                json!({"edit": "yarn_remove", "yarn": unused.filter(|_| !tape.once_in(6)).unwrap_or(yarn)})
            }
            _ => json!({"edit": "weft_yarn", "weft": weft, "yarn": yarn}),
        },
        22 if tape.once_in(2) => {
            let name = tape.one_of(&["shoals", "deep pools", "hem", "b0"]);
            json!({"edit": "band_rename", "band": band, "name": name})
        }
        22 => json!({"edit": "weft_from", "weft": weft, "from": tape.one_of(&["left", "right"])}),
        23 => json!({"edit": "warp_ends", "ends": tape.up_to(62)}),
        24 | 25 => {
            json!({"edit": "stack_move", "sequence": sequence, "from": path(tape), "to": path(tape)})
        }
        26 | 27 => {
            let what = match tape.up_to(2) {
                0 => json!({"entry": band}),
                1 => json!({"copy": path(tape)}),
                _ => {
                    let new = json!({"wefts": [weft], "rows": tape.from_to(1, 9), "name": tape.one_of(&["bar", "b0"])});
                    json!({"new": with(new, weave(tape))})
                }
            };
            json!({"edit": "stack_insert", "sequence": sequence, "at": path(tape), "what": what})
        }
        28 => {
            let (count, times) = (tape.from_to(0, 2), tape.up_to(3));
            json!({"edit": "stack_group", "sequence": sequence, "at": path(tape), "count": count, "times": times})
        }
        29 => json!({"edit": "stack_times", "sequence": sequence, "at": group(tape), "times": tape.up_to(3)}),
        30 => json!({"edit": "stack_ungroup", "sequence": sequence, "at": group(tape)}),
        31 => json!({"edit": "stack_remove", "sequence": sequence, "at": path(tape)}),
        32 => {
            let named = |at: usize| plan.bands_naming(WeftId(at)).next().is_some();
            let idle = (0..plan.wefts.len()).find(|&at| !named(at)).map(|at| plan.wefts[at].name.clone());
            json!({"edit": "weft_remove", "weft": idle.filter(|_| !tape.once_in(6)).unwrap_or(weft)})
        }
        33 => {
            let starts = [json!(null), json!(1), json!(3)];
            json!({"edit": "band_start", "band": band, "start": starts[tape.up_to(2) as usize]})
        }
        34 => {
            let edges = tape.one_of(&[None, Some("taken"), Some("crossed")]);
            json!({"edit": "band_edges", "band": band, "edges": edges})
        }
        41 => {
            let beats = tape.one_of(&[None, Some("3 rows per cm"), Some("10 rows per inch")]);
            json!({"edit": "band_beat", "band": band, "beat": beats})
        }
        35 => json!({"edit": "piece_edges", "edges": tape.one_of(&["taken", "crossed"])}),
        36 => {
            let (right, every) = (tape.one_of(&[1, -1, 2]), tape.from_to(1, 3));
            json!({"edit": "band_step", "band": band, "right": right, "every_rows": every})
        }
        37 => json!({"edit": "weft_doubled", "weft": weft, "doubled": tape.once_in(2)}),
        39 | 40 => {
            let (key, value) = tape.one_of(&[
                ("have", "22 m"),
                ("price", "4.90 EUR per 50 g"),
                ("wraps", "18 wraps per inch"),
                ("measured", "12.4 g, 31 m"),
                ("halo", "4 mm"),
            ]);
            json!({"edit": format!("yarn_{key}"), "yarn": yarn, key: (!tape.once_in(3)).then_some(value)})
        }
        _ => json!({"edit": "warp_width", "width": tape.one_of(&["9 cm", "24 cm", "6 in"])}),
    }
}
