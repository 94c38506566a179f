//! The program as people run it.

use assert_cmd::Command;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn examples() -> Vec<PathBuf> {
    let all = fs::read_dir(root().join("examples")).unwrap().map(|entry| entry.unwrap().path());
    let mut plans: Vec<PathBuf> = all.filter(|path| path.extension().is_some_and(|e| e == "toml")).collect();
    plans.sort();
    assert!(plans.len() >= 6, "examples are missing");
    plans
}

fn example(name: &str) -> PathBuf {
    root().join("examples").join(name).with_extension("toml")
}

struct Said {
    code: i32,
    out: String,
    err: String,
}

fn fellmark<S: AsRef<std::ffi::OsStr>>(args: impl IntoIterator<Item = S>) -> Said {
    run(Command::new(env!("CARGO_BIN_EXE_fellmark")).args(args))
}

fn run(command: &mut Command) -> Said {
    let output = command.output().unwrap();
    Said {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

fn with_input(args: &[&str], input: &str) -> Said {
    run(Command::new(env!("CARGO_BIN_EXE_fellmark")).args(args).write_stdin(input))
}

#[test]
fn every_command_fits_80_columns_and_has_no_colour_in_a_pipe() {
    for plan in examples() {
        for command in ["begin", "check", "rows", "yarn", "warp", "size", "fit"] {
            let wanted = ["--width", "10 cm", "--length", "6 cm"];
            let wanted = if command == "fit" { &wanted[..] } else { &[] };
            let extras = [&[][..], &["--units", "inch"], &["--hand", "left"], &["--back-up"]];
            // Nothing but its units changes a size.
            let extras = if ["size", "fit"].contains(&command) { &extras[..2] } else { &extras[..] };
            for &extra in extras {
                let plan = plan.to_str().unwrap();
                let said = fellmark([command, plan].iter().chain(extra).chain(wanted));
                assert!(said.code < 2, "{command} {plan}: {}", said.err);
                assert!(!said.out.contains('\u{1b}'), "{command} {plan} has colour");
                for line in said.out.lines() {
                    assert!(line.chars().count() <= 80, "{command} {plan}: {line:?}");
                }
            }
        }
    }
}

#[test]
fn check_exits_with_1_for_what_must_be_mended_and_with_0_for_warnings() {
    assert_eq!(fellmark(["check".as_ref(), example("first-try").as_os_str()]).code, 1);
    let good = fellmark(["check".as_ref(), example("tideline-bookmark").as_os_str()]);
    assert_eq!((good.code, good.out.contains("Nothing to mend.")), (0, true));
}

#[test]
fn other_commands_work_on_a_flawed_plan_and_say_so_in_a_line() {
    let plan = example("first-try");
    for command in ["rows", "yarn", "warp", "size"] {
        let said = fellmark([command.as_ref(), plan.as_os_str()]);
        assert_eq!(said.code, 0);
        assert_eq!(said.err.lines().count(), 1, "{}", said.err);
        assert!(said.err.contains("to mend"), "{}", said.err);
    }
}

#[test]
fn the_first_remedy_leaves_least_to_mend_and_comments_stay() {
    let folder = tempfile::tempdir().unwrap();
    let mended = folder.path().join("mended.toml");
    let plan = example("first-try");
    let findings = |plan: &Path| {
        let said = fellmark(["check".as_ref(), plan.as_os_str(), "--json".as_ref()]);
        let json: serde_json::Value = serde_json::from_str(&said.out).unwrap();
        let of = |finding: &serde_json::Value| format!("{} at {}", finding["kind"], finding["place"]["band"]);
        let errors = json["findings"].as_array().unwrap().iter().filter(|f| f["severity"] == "error");
        errors.map(of).collect::<Vec<_>>()
    };
    let said = fellmark([
        "check".as_ref(),
        plan.as_os_str(),
        "--apply".as_ref(),
        "1".as_ref(),
        "-o".as_ref(),
        mended.as_os_str(),
    ]);
    assert_eq!(said.code, 0, "{}", said.err);
    let (before, after) = (findings(&plan), findings(&mended));
    // The first of all leaves least: edge ends that are always taken hold the loose turns of both bands.
    assert_eq!((before.len(), after), (2, vec![]));
    let before = fs::read_to_string(&plan).unwrap();
    let after = fs::read_to_string(&mended).unwrap();
    for line in before.lines().filter(|line| line.starts_with('#')) {
        assert!(after.contains(line), "a comment went: {line}");
    }
    let too_far = fellmark([
        "check".as_ref(),
        plan.as_os_str(),
        "--apply".as_ref(),
        "99".as_ref(),
        "-o".as_ref(),
        mended.as_os_str(),
    ]);
    assert_eq!(too_far.code, 2);
    assert_eq!(fs::read_to_string(&mended).unwrap(), after, "a failed command wrote");
}

#[test]
fn a_plan_on_standard_input_reads_like_a_file() {
    let plan = example("lichen-coaster");
    let text = fs::read_to_string(&plan).unwrap();
    let piped = with_input(&["rows", "-"], &text);
    assert_eq!(piped.out, fellmark(["rows".as_ref(), plan.as_os_str()]).out);
}

#[test]
fn one_row_and_a_stretch_of_rows_can_be_asked_for() {
    let plan = example("marsh-light-panel");
    let plan = plan.to_str().unwrap();
    let numbers = |args: &[&str]| -> Vec<u64> {
        let said = fellmark([&["rows", plan, "--json"], args].concat());
        let json: serde_json::Value = serde_json::from_str(&said.out).unwrap();
        json["rows"].as_array().unwrap().iter().map(|row| row["number"].as_u64().unwrap()).collect()
    };
    assert_eq!(numbers(&["7"]), [7]);
    assert_eq!(numbers(&["3..6"]), [3, 4, 5, 6]);
    assert_eq!(numbers(&["..2"]), [1, 2]);
    for wrong in [&["0"][..], &["9999"], &["6..3"], &["3", "6"], &["three"], &["3-6"]] {
        let said = fellmark([&["rows", plan], wrong].concat());
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{wrong:?}");
        assert_eq!(said.err.lines().count(), 1, "{}", said.err);
    }
    assert!(fellmark(["rows", plan, "103", "110"]).err.contains("as one word: 103..110"));
}

/// The rows before which the width is measured, and what is said of it.
fn measured(out: &str) -> Vec<(u32, String)> {
    let mut found = Vec::new();
    let mut waiting: Option<String> = None;
    for line in out.lines() {
        if let Some(words) = line.trim().strip_prefix("measure here: ") {
            waiting = Some(words.to_owned());
        } else if let Some(words) = waiting.as_mut().filter(|words| !words.ends_with("of row 1")) {
            // It goes on in the next line.
            *words = format!("{words} {}", line.trim());
        } else if line.contains(" from the left") || line.contains(" from the right") {
            let number = line.split_whitespace().find_map(|word| word.parse().ok());
            let number = number.filter(|_| !line.trim().starts_with(char::is_alphabetic));
            // For the left hand the numbers stand at the right.
            let number = number.or_else(|| line.trim_end().rsplit(' ').next()?.parse().ok());
            found.extend(waiting.take().zip(number).map(|(words, number)| (number, words)));
        }
    }
    found
}

#[test]
fn the_width_is_measured_at_the_same_rows_from_either_side_for_either_hand_and_in_either_unit() {
    let mat = example("tideline-mat");
    let mat = mat.to_str().unwrap();
    let front = fellmark(["rows", mat]).out;
    let here = measured(&front);
    assert!(here.len() >= 2, "{front}");
    for command in [&["begin", mat][..], &["rows", mat, "--back-up"], &["rows", mat, "--hand", "left"]] {
        assert_eq!(measured(&fellmark(command).out), here, "{command:?}");
    }
    // 24 ends, 4 mm apart, are 92 mm from the first to the last. Drawn in by 3 % that is 89 mm, and an end and two wraps of
    // weft stand out (the size has a test of its own).
    let json: serde_json::Value = serde_json::from_str(&fellmark(["rows", mat, "--json"]).out).unwrap();
    let size: serde_json::Value = serde_json::from_str(&fellmark(["size", mat, "--json"]).out).unwrap();
    let mut in_json = Vec::new();
    for row in json["rows"].as_array().unwrap() {
        for step in row["before"].as_array().unwrap().iter().filter(|step| step["do"] == "measure") {
            assert_eq!(step["width_mm"], size["on_loom"]["width_mm"]);
            let words = step["words"].as_str().unwrap().strip_prefix("measure here: ").unwrap();
            in_json.push((row["number"].as_u64().unwrap() as u32, words.to_owned()));
            for what in ["if_narrower", "if_wider", "if_lower", "if_higher"] {
                let words = step[what].as_str().unwrap();
                assert_eq!(
                    front.split_whitespace().collect::<Vec<_>>().join(" ").matches(words).count(),
                    1,
                    "{what}"
                );
            }
        }
    }
    assert_eq!(in_json, here);
    let inch = measured(&fellmark(["rows", mat, "--units", "inch"]).out);
    let rows = |all: &[(u32, String)]| all.iter().map(|(row, _)| *row).collect::<Vec<_>>();
    assert_eq!(rows(&inch), rows(&here));
    assert!(inch.iter().all(|(_, words)| words.starts_with("it should be about 3 11/16 in (")), "{inch:?}");
    // Nothing is said of measuring where nothing is measured.
    assert!(!fellmark(["rows", mat, "..4"]).out.contains("measure"));
}

#[test]
fn a_band_that_fills_is_told_what_must_be_left_above_it_and_its_rows_are_an_edit() {
    let mat = example("tideline-mat");
    let mat = mat.to_str().unwrap();
    let json = |plan: &str| -> serde_json::Value {
        serde_json::from_str(&fellmark(["rows", plan, "--json"]).out).unwrap()
    };
    let asked = |rows: &serde_json::Value| {
        let rows = rows["rows"].as_array().unwrap();
        rows.iter()
            .flat_map(|row| row["before"].as_array().unwrap())
            .find(|step| step["do"] == "room")
            .cloned()
    };
    let rows = json(mat);
    let room = asked(&rows).expect("a band that fills");
    let printed = fellmark(["rows", mat]).out.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in ["words", "if_less", "if_more"] {
        assert!(printed.contains(room[words].as_str().unwrap()), "{room}");
    }
    assert!(printed.contains("at [band.rising-tide]"), "{printed}");
    // The last two places are this band and a hem; 15 mm are out of a needle's reach.
    assert!(
        room["words"].as_str().unwrap().contains("4 rows of hem and 1.5 cm that a needle can't reach"),
        "{room}"
    );
    let fewer = &room["choices"].as_array().unwrap()[0];
    let folder = tempfile::tempdir().unwrap();
    let changed = folder.path().join("changed.toml");
    let changed = changed.to_str().unwrap();
    let edited = fellmark(["edit", mat, &fewer["edit"].to_string(), "-o", changed]);
    assert_eq!(edited.code, 0, "{}", edited.err);
    let after = json(changed);
    let of_band = |rows: &serde_json::Value| {
        rows["rows"].as_array().unwrap().iter().filter(|row| row["band"] == "rising-tide").count() as u64
    };
    assert_eq!(of_band(&after), fewer["rows"].as_u64().unwrap());
    // With so many rows fewer it surely fits, and nobody needs to ask.
    assert!(asked(&after).is_none());
    // As a size it is not told without a word that it may reach beyond what can be woven.
    let size = |plan: &str| fellmark(["size", plan]).out.contains("no more than 13.5 cm can be woven");
    assert!(size(mat) && !size(changed));
}

#[test]
fn a_problem_is_one_message_with_its_place_and_nothing_is_written() {
    let text = fs::read_to_string(example("lichen-coaster")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out.txt");
    let out = out.to_str().unwrap();
    let wrong = [
        ("rows  = 4", "rows  = 1000000000"),
        ("ends  = 25", "ends  = 1000000000"),
        ("pitch        = \"4 mm\"", "pitch        = \"4 parsecs\""),
        ("wefts = [\"mud-lark\"]", "wefts = [\"mud-larch\"]"),
        ("schema = 1", "schema = 2"),
        ("weave = \"plain\"", "weave = \"plain\"\nweft = 3"),
        ("\"lichen\",\n", "\"lichen\",\n  { times = 1000000, bands = [\"hem\"] },\n"),
        ("[warp]", "[warp"),
    ];
    for (was, is) in wrong {
        assert!(text.contains(was), "{was}");
        let said = with_input(&["rows", "-", "-o", out], &text.replacen(was, is, 1));
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{is}");
        assert!(said.err.contains("standard input:"), "no place: {}", said.err);
        assert!(!Path::new(out).exists(), "{is}: something was written");
    }
}

#[test]
fn what_is_no_plan_is_told_in_a_line() {
    let folder = tempfile::tempdir().unwrap();
    let missing = fellmark(["check".as_ref(), folder.path().join("none.toml").as_os_str()]);
    assert_eq!((missing.code, missing.err.lines().count()), (2, 1), "{}", missing.err);
    let binary = folder.path().join("binary");
    fs::write(&binary, [b'a', b'\n', 0xff, 0xfe]).unwrap();
    let said = fellmark(["check".as_ref(), binary.as_os_str()]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("binary:2"), "{}", said.err);
    let large = folder.path().join("large");
    fs::write(&large, "#".repeat(2 << 20)).unwrap();
    assert_eq!(fellmark(["check".as_ref(), large.as_os_str()]).code, 2);
    assert_eq!(fellmark(["check".as_ref(), folder.path().as_os_str()]).code, 2);
}

#[test]
fn a_result_replaces_a_file_whole_or_not_at_all() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("rows.txt");
    fs::write(&out, "old").unwrap();
    let plan = example("sandpiper-earrings");
    let said = fellmark(["rows".as_ref(), plan.as_os_str(), "-o".as_ref(), out.as_os_str()]);
    assert_eq!((said.code, said.out.as_str()), (0, ""));
    assert_eq!(fs::read_to_string(&out).unwrap(), fellmark(["rows".as_ref(), plan.as_os_str()]).out);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "something was left beside it");
    let nowhere = folder.path().join("none/rows.txt");
    let said = fellmark(["rows".as_ref(), plan.as_os_str(), "-o".as_ref(), nowhere.as_os_str()]);
    assert_eq!((said.code, said.err.lines().count()), (2, 1), "{}", said.err);
}

#[test]
fn who_stops_reading_changes_no_exit_code() {
    use std::process::{Command, Stdio};
    for (plan, code) in [("tideline-mat", 0), ("first-try", 1)] {
        let plan = example(plan);
        for text in ["check", "rows"] {
            let mut child = Command::new(env!("CARGO_BIN_EXE_fellmark"))
                .args([text.as_ref(), plan.as_os_str()])
                .stdout(Stdio::piped())
                .stderr(Stdio::null())
                .spawn()
                .unwrap();
            drop(child.stdout.take());
            let wanted = if text == "check" { code } else { 0 };
            assert_eq!(child.wait().unwrap().code(), Some(wanted), "{text} {}", plan.display());
        }
    }
}

#[test]
fn what_can_not_be_written_is_told_by_its_own_name() {
    let folder = tempfile::tempdir().unwrap();
    let nowhere = folder.path().join("none/cloth.png");
    let plan = example("sandpiper-earrings");
    let said = fellmark(["picture".as_ref(), plan.as_os_str(), "-o".as_ref(), nowhere.as_os_str()]);
    assert_eq!((said.code, said.err.lines().count()), (2, 1), "{}", said.err);
    assert!(said.err.contains("there is no folder") && !said.err.contains(".fellmark-"), "{}", said.err);
}

#[test]
fn a_new_plan_reads_and_has_nothing_to_mend() {
    for start in ["plain", "columns", "blocks", "diagonal", "satin"] {
        for hand in ["left", "right"] {
            let new = fellmark(["new", start, "--hand", hand, "--name", "Winter \"mat\" \\ one"]);
            assert_eq!(new.code, 0, "{start}: {}", new.err);
            let check = with_input(&["check", "-"], &new.out);
            assert_eq!(check.code, 0, "{start}: {}{}", check.out, check.err);
            assert!(check.out.ends_with("Nothing to mend.\n"), "{start}, {hand} hand: {}", check.out);
        }
    }
    let said = fellmark(["new", "blocks", "--weft", "foam=7 wraps per cm"]);
    assert_eq!((said.code, said.err.lines().count()), (2, 1), "{}", said.err);
    assert_eq!(fellmark(["new", "plain", "--pitch", "4 parsecs"]).code, 2);
    let wide = fellmark(["new", "satin", "--width", "100 cm"]);
    assert_eq!((wide.code, wide.out.as_str(), wide.err.lines().count()), (2, "", 1), "{}", wide.err);
    assert!(wide.err.contains("the notches take 40"), "{}", wide.err);
    assert_eq!(fellmark(["new", "plain", "--warp", "reed"]).code, 2);
}

#[test]
fn every_field_of_the_json_is_described() {
    let docs = fs::read_to_string(root().join("docs/json.md")).unwrap();
    fn keys(value: &serde_json::Value, into: &mut Vec<String>) {
        match value {
            serde_json::Value::Object(fields) => {
                for (key, value) in fields {
                    into.push(key.clone());
                    keys(value, into);
                }
            }
            serde_json::Value::Array(items) => items.iter().for_each(|item| keys(item, into)),
            _ => {}
        }
    }
    let mut all = Vec::new();
    for plan in examples() {
        for command in ["check", "rows", "yarn", "warp", "size", "fit"] {
            let wanted = ["--width", "10 cm", "--length", "6 cm"];
            let wanted = if command == "fit" { &wanted[..] } else { &[] };
            let said = fellmark([command, plan.to_str().unwrap(), "--json"].iter().chain(wanted));
            let json: serde_json::Value = serde_json::from_str(&said.out).unwrap();
            assert_eq!(json["schema"], 1);
            assert!(json["plan"]["rows"].as_u64().unwrap() > 0);
            keys(&json, &mut all);
        }
    }
    all.sort();
    all.dedup();
    assert!(all.len() > 60, "{}", all.len());
    for key in all {
        assert!(docs.contains(&format!("`{key}`")), "docs/json.md says nothing of {key}");
    }
}

#[test]
fn the_parts_of_the_sentences_are_the_sentences_and_every_turn_has_its_reason() {
    for plan in examples() {
        let said = fellmark(["check", plan.to_str().unwrap(), "--json"]);
        let json: serde_json::Value = serde_json::from_str(&said.out).unwrap();
        for (parts, whole) in [("asked_parts", "asked"), ("follows_parts", "follows")] {
            let parts = json[parts].as_array().unwrap();
            let joined: String = parts.iter().map(|part| part["words"].as_str().unwrap()).collect();
            assert_eq!(joined, json[whole].as_str().unwrap());
        }
        // "It has 24 rows and 23 turns.", then each kind of turn with its number.
        let holds: Vec<&str> =
            json["why"]["holds"].as_array().unwrap().iter().map(|words| words.as_str().unwrap()).collect();
        let number = |words: &str| words.split(' ').find_map(|word| word.parse::<u32>().ok());
        let turns: u32 = holds[0].split(' ').filter_map(|word| word.parse().ok()).next_back().unwrap();
        // What follows them is of crossings, not of turns.
        let kinds: u32 = holds[1..]
            .iter()
            .filter(|words| !words.contains("woven wrong"))
            .map(|words| match words.split(' ').next() {
                Some("One") => 1,
                Some("All") => turns,
                _ => number(words).unwrap(),
            })
            .sum();
        assert_eq!(kinds, turns, "{holds:?}");
        let text = fellmark(["check", plan.to_str().unwrap(), "--why"]).out;
        assert!(text.split_whitespace().collect::<Vec<_>>().join(" ").contains(holds[0]), "{text}");
    }
}

#[test]
fn a_choice_taken_is_the_plan_that_it_says_and_comments_stay() {
    let folder = tempfile::tempdir().unwrap();
    let fitted = folder.path().join("fitted.toml");
    let fitted = fitted.to_str().unwrap();
    let plan = example("tideline-mat");
    let plan = plan.to_str().unwrap();
    let wanted = ["fit", plan, "--width", "11 cm", "--length", "12 cm"];
    let said = fellmark([&wanted[..], &["--json"]].concat());
    let json: serde_json::Value = serde_json::from_str(&said.out).unwrap();
    let choices = json["choices"].as_array().unwrap();
    assert!(!choices.is_empty());
    for choice in choices {
        let number = choice["number"].to_string();
        let taken = fellmark([&wanted[..], &["--apply", &number, "-o", fitted]].concat());
        assert_eq!(taken.code, 0, "{}", taken.err);
        let size = fellmark(["size", fitted, "--json"]);
        let size: serde_json::Value = serde_json::from_str(&size.out).unwrap();
        assert_eq!(size["finished"], choice["finished"]);
        assert_eq!((&size["plan"]["ends"], &size["plan"]["rows"]), (&choice["ends"], &choice["rows"]));
        let text = fs::read_to_string(fitted).unwrap();
        let comments = |text: &str| text.lines().filter_map(|line| line.split_once('#')).count();
        assert!(comments(&text) > 0 && comments(&text) == comments(&fs::read_to_string(plan).unwrap()));
    }
    let too_far = fellmark([&wanted[..], &["--apply", "99", "-o", fitted]].concat());
    assert_eq!((too_far.code, too_far.err.lines().count()), (2, 1), "{}", too_far.err);
}

#[test]
fn a_finished_size_comes_from_the_plan_or_from_the_arguments() {
    let plan = example("lichen-coaster");
    let plan = plan.to_str().unwrap();
    let none = fellmark(["fit", plan]);
    assert_eq!((none.code, none.err.lines().count()), (2, 1), "{}", none.err);
    for wrong in ["11", "-3 cm", "0 mm", "eleven"] {
        let said = fellmark(["fit", plan, &format!("--width={wrong}")]);
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{wrong}");
        assert!(said.err.contains("--width"), "{}", said.err);
    }
    let text = fs::read_to_string(plan).unwrap();
    let text = text.replacen("schema = 1", "schema = 1\nfinished = \"10 x 10 cm\"", 1);
    let in_plan = with_input(&["fit", "-"], &text);
    assert_eq!(in_plan.out, fellmark(["fit", plan, "--width", "10 cm", "--length", "10 cm"]).out);
    let wider = with_input(&["fit", "-", "--width", "11 cm"], &text);
    assert!(wider.out.contains("11 x 10 cm"), "{}", wider.out);
    let check = with_input(&["check", "-"], &text);
    assert!(check.out.contains("not 10 cm"), "{}", check.out);
    // One side alone: any other will do.
    for (one, option, length) in [("10 cm wide", "--width", "10 cm"), ("12 cm long", "--length", "12 cm")] {
        let text = text.replacen("10 x 10 cm", one, 1);
        let in_plan = with_input(&["fit", "-"], &text);
        assert_eq!(in_plan.out, fellmark(["fit", plan, option, length]).out);
        assert!(in_plan.out.contains(one), "{}", in_plan.out);
        let size = with_input(&["size", "-"], &text);
        assert!(size.out.contains(&format!("Wanted when it is finished: {one}.")), "{}", size.out);
        let edit = format!("{{\"edit\": \"finished\", \"size\": \"{one}\"}}");
        let edited = fellmark(["edit", plan, &edit]);
        assert!(edited.out.contains(&format!("finished = \"{one}\"")), "{}", edited.out);
    }
}

#[test]
fn a_drawing_is_one_svg_from_either_side() {
    let plan = example("lichen-coaster");
    let plan = plan.to_str().unwrap();
    let draw = |args: &[&str]| fellmark([&["draw", plan], args].concat());
    let front = draw(&[]);
    assert_eq!(front.code, 0, "{}", front.err);
    assert!(front.out.starts_with("<svg") && front.out.trim_end().ends_with("</svg>"));
    let others = [&["--back-up"][..], &["--no-frame"], &["--rows", "5..12"], &["--units", "inch"]];
    for args in others {
        let other = draw(args);
        assert_eq!(other.code, 0, "{}", other.err);
        assert_ne!(other.out, front.out, "{args:?} changes nothing");
    }
    assert_eq!(draw(&["--rows", "0..4"]).code, 2);
    let warp = draw(&["--warp"]);
    assert_eq!(warp.code, 0, "{}", warp.err);
    assert!(warp.out.starts_with("<svg") && warp.out.contains(">start</text>") && warp.out != front.out);
    assert_eq!(draw(&["--warp", "--back-up"]).code, 2);
}

#[test]
fn csv_has_a_line_for_each_row() {
    let plan = example("kelp-headband");
    let said = fellmark(["rows".as_ref(), plan.as_os_str(), "--csv".as_ref()]);
    let lines: Vec<&str> = said.out.split_terminator("\r\n").collect();
    let names = lines[0].split(',').count();
    // RFC 4180: every line has as many fields as the first; quoted fields may hold commas.
    for line in &lines {
        let mut quoted = false;
        let commas = line.chars().filter(|&c| {
            quoted ^= c == '"';
            c == ',' && !quoted
        });
        assert_eq!(commas.count() + 1, names, "{line}");
    }
    let rows = fellmark(["rows".as_ref(), plan.as_os_str(), "--json".as_ref()]);
    let json: serde_json::Value = serde_json::from_str(&rows.out).unwrap();
    assert_eq!(lines.len() - 1, json["rows"].as_array().unwrap().len());
}

#[test]
fn completions_and_manual_pages_name_every_command() {
    let help = fellmark(["--help"]).out;
    for command in [
        "begin",
        "check",
        "edit",
        "rows",
        "yarn",
        "warp",
        "draw",
        "size",
        "fit",
        "new",
        "schema",
        "completions",
        "man",
    ] {
        assert!(help.contains(command), "{command}");
        assert!(fellmark(["completions", "bash"]).out.contains(command));
        let page = fellmark(["man", command]);
        assert_eq!((page.code, page.out.contains(".TH")), (0, true), "{command}");
    }
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        assert!(!fellmark(["completions", shell]).out.is_empty());
    }
    assert_eq!(fellmark(["man", "spin"]).code, 2);
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    for plan in examples() {
        let begin = || fellmark(["begin".as_ref(), plan.as_os_str()]).out;
        assert_eq!(begin(), begin());
    }
}

#[test]
fn an_edit_says_what_was_done_and_its_plan_is_another() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("edited.toml");
    let (plan, out) = (example("tideline-mat"), out.to_str().unwrap().to_owned());
    let plan = plan.to_str().unwrap();
    let longer = r#"{"edit": "length", "band": "pools", "rows": 8}"#;
    let exchanged = r#"{"edit": "toggle", "band": "pools", "flag": "exchanged"}"#;
    let said = fellmark(["edit", plan, longer, exchanged, "-o", &out]);
    assert_eq!((said.code, said.out.as_str()), (0, ""), "{}", said.err);
    assert_eq!(said.err, "Made pools 8 rows in both places.\nExchanged the wefts of pools.\n");
    let (before, after) = (fs::read_to_string(plan).unwrap(), fs::read_to_string(&out).unwrap());
    let changed = before.replacen("rows = 6", "rows = 8", 1);
    let changed = changed.replacen(
        "touched = [\"row 3: under 2\"]\n",
        "touched = [\"row 3: under 2\"]\nexchanged = true\n",
        1,
    );
    assert_eq!(after, changed);
    let piped = with_input(&["edit", "-", longer, exchanged], &before);
    assert_eq!((piped.code, piped.out), (0, after));
}

#[test]
fn an_edit_that_does_not_fit_says_which_why_and_what_to_do() {
    let plan = example("tideline-mat");
    let plan = plan.to_str().unwrap();
    let good = r#"{"edit": "length", "band": "pools", "rows": 8}"#;
    let cases = [
        (r#"{"edit": "length", "band": "pool", "rows": 8}"#, "pool", "pools"),
        (r#"{"edit": "length", "band": "pools"}"#, "rows", "docs/json.md"),
        (r#"{"edit": "shrink"}"#, "shrink", "docs/json.md"),
        (r#"{"edit": "length", "band": "pools", "rows": 0}"#, "one row", "stack"),
        (
            r#"{"edit": "touch", "band": "pools", "row": 99, "ends": [1, 2], "pass": "over"}"#,
            "outside pools",
            "8 rows",
        ),
        (
            r#"{"edit": "touch", "band": "pools", "row": 1, "ends": [1, 4000000000], "pass": "over"}"#,
            "outside pools",
            "ends 1 to",
        ),
        (r#"{"edit": "part", "band": "pools", "place": 9}"#, "no place 9", "1 to 2"),
        (r#"{"edit": "band_weave", "band": "pools", "weave": "twil 2/2"}"#, "twil", "Did you mean twill"),
        (
            r##"{"edit": "yarn_new", "yarn": "x under y", "colour": "#fff", "size": "300 tex"}"##,
            "under",
            "x-under-y",
        ),
        (r#"{"edit": "yarn_remove", "yarn": "slate"}"#, "in hem, pools", "another yarn"),
        (r#"{"edit": "yarn_remove", "yarn": "reed"}"#, "in the warp.", "another yarn"),
        (r#"{"edit": "stack_remove", "at": [77]}"#, "line 77", "Look at the plan"),
        ("length pools 8", "no JSON", "docs/json.md"),
        ("", "no JSON: it breaks off", "docs/json.md"),
        (
            r#"{"edit": "length", "band": "pools", "rows": 2.5}"#,
            "`rows` of the edit “length” can't be 2.5",
            "whole number",
        ),
    ];
    for (edit, what, help) in cases {
        let said = fellmark(["edit", plan, good, edit]);
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{edit}: {}", said.err);
        assert_eq!(said.err.trim_end().lines().count(), 1, "{}", said.err);
        for word in ["Edit 2", what, help] {
            assert!(said.err.contains(word), "{edit}: {:?} lacks {word:?}", said.err);
        }
    }
    assert_eq!(fellmark(["edit", plan]).code, 2);
}

/// Every example of an edit in the documentation fits the plan that the documentation names.
#[test]
fn every_edit_in_the_documentation_is_one_that_can_be_made() {
    let docs = fs::read_to_string(root().join("docs/json.md")).unwrap();
    let (_, block) = docs.split_once("```json-edits\n").unwrap();
    let (block, _) = block.split_once("\n```").unwrap();
    let plan = example("tideline-mat");
    let mut kinds = Vec::new();
    for line in block.lines() {
        let said = fellmark(["edit", plan.to_str().unwrap(), line]);
        assert_eq!(said.code, 0, "{line}: {}", said.err);
        assert_ne!(said.out, fs::read_to_string(&plan).unwrap(), "{line} changes nothing");
        let json: serde_json::Value = serde_json::from_str(line).unwrap();
        let within = json["edits"].as_array().into_iter().flatten();
        kinds.extend(within.chain([&json]).map(|edit| edit["edit"].as_str().unwrap().to_owned()));
    }
    kinds.dedup();
    let named = serde_json::from_str::<fellmark_report::EditJson>(r#"{"edit": ""}"#).unwrap_err().to_string();
    for kind in named.split('`').skip(3).step_by(2) {
        assert!(kinds.iter().any(|known| known == kind), "docs/json.md has no example of {kind}");
    }
    assert!(kinds.len() >= 35, "{}", kinds.len());
}

#[test]
fn what_the_readme_shows_is_what_its_command_prints() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let shown = readme.split("```\n").find(|block| block.starts_with("cloth, rows 1 to ")).unwrap();
    let printed = fellmark(["begin".as_ref(), example("tideline-bookmark").as_os_str()]).out;
    assert!(printed.contains(shown), "{shown}");
}

#[test]
fn one_name_for_the_back_and_a_file_is_named_for_what_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let mat = example("tideline-mat");
    let run = |command: &str, more: &[&str]| {
        let args = [command.as_ref(), mat.as_os_str()].into_iter().chain(more.iter().map(|arg| arg.as_ref()));
        fellmark(args)
    };
    for command in ["picture", "draw"] {
        let said = run(command, &["--side", "back", "-o", "-"]);
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{command}");
        assert!(said.err.starts_with("There is no --side. Write --back-up"), "{}", said.err);
        assert!(!fellmark([command, "--help"]).out.contains("--side"));
    }
    let (front, back) = (run("draw", &[]).out, run("draw", &["--back-up"]).out);
    assert!(front.starts_with("<svg") || front.starts_with("<?xml"), "{}", &front[..40]);
    assert_ne!(front, back);
    for (command, name, ending) in
        [("picture", "mat.jpg", "png"), ("draw", "mat.png", "svg"), ("draw", "mat.PDF", "svg")]
    {
        let path = folder.path().join(name);
        let said = run(command, &["-o", path.to_str().unwrap()]);
        assert_eq!(said.code, 2);
        assert!(said.err.contains(&format!("Name a file that ends in .{ending}")), "{}", said.err);
        assert!(!path.exists());
    }
}

#[test]
fn a_length_below_nothing_is_told_to_be_one() {
    let mat = example("tideline-mat");
    for more in [["--width", "-3 cm"], ["--length", "-1/2 in"]] {
        let said =
            fellmark(["fit".as_ref(), mat.as_os_str()].into_iter().chain(more.map(|arg| arg.as_ref())));
        assert_eq!(said.code, 2, "{}", said.err);
        assert!(!said.err.contains("unexpected") && !said.err.contains("-- "), "{}", said.err);
        assert!(said.err.contains(more[1]) || said.err.contains("more than nothing"), "{}", said.err);
    }
    let said = fellmark(["new", "plain", "--pitch", "-4 mm"]);
    assert_eq!(said.code, 2);
    assert!(!said.err.contains("unexpected"), "{}", said.err);
    let said = fellmark(["new", "columns", "--weft", "foam=7 wraps per cm"]);
    assert_eq!(said.err, "This start weaves with 2 wefts, and 1 was given. Name 2, or none.\n");
}

#[test]
fn what_is_met_first_is_explained_there_and_an_odd_end_has_its_notch_named() {
    let mat = example("tideline-mat");
    let json: serde_json::Value =
        serde_json::from_str(&fellmark(["rows".as_ref(), mat.as_os_str(), "--json".as_ref()]).out).unwrap();
    let steps = json["rows"].as_array().unwrap().iter().flat_map(|row| row["before"].as_array().unwrap());
    let begins: Vec<usize> = steps
        .filter(|step| step["do"] == "begin")
        .map(|step| step["more"].as_array().unwrap().len())
        .collect();
    assert!(begins.len() >= 2 && begins[0] == 2 && begins[1..].iter().all(|&more| more == 0), "{begins:?}");
    let rows = fellmark(["rows".as_ref(), mat.as_os_str()]).out;
    assert_eq!(rows.matches("A needleful is the length of yarn that is on the needle at once.").count(), 1);
    assert!(!fellmark(["rows".as_ref(), mat.as_os_str(), "5..".as_ref()]).out.contains("A needleful is"));

    let columns = fellmark(["new", "columns"]).out;
    assert!(columns.contains("[band.upper-hem]") && columns.contains("\"upper-hem\",\n]"), "{columns}");

    // Seven ends, two to a notch: the fourth notch has one.
    let text = fs::read_to_string(&mat).unwrap().replace("ends = 24", "ends = 7").replace(
        "out-of-reach = \"15 mm\"",
        "out-of-reach = \"15 mm\"\nstrands = 2\nstrands-act-as = \"ends\"",
    );
    let warp = with_input(&["warp", "-"], &text).out.replace("\n ", "").replace("  ", " ");
    assert!(warp.contains("7 ends on 4 of 40 notches"), "{warp}");
    assert!(warp.contains("(ends 1 to 7, every second end)"), "{warp}");
    assert!(warp.contains("2 strands lie in each notch, but one in notch 22, the last:"), "{warp}");
}

/// On the page the border of a fill is drawn, and what lies beside it makes room; what is said of it here is its own.
#[test]
fn a_length_that_is_said_of_a_fill_becomes_its_own() {
    let mat = example("tideline-mat");
    let before = fs::read_to_string(&mat).unwrap();
    assert!(before.contains("length = \"fill\""));
    let length = r#"{"edit": "length", "band": "rising-tide", "rows": 41}"#;
    for edit in [
        length.to_owned(),
        format!(r#"{{"edit": "together", "edits": [{{"edit": "warp_ends", "ends": 22}}, {length}]}}"#),
    ] {
        let done = fellmark(["edit", mat.to_str().unwrap(), &edit]);
        assert_eq!(done.code, 0, "{}", done.err);
        // As a band of two wefts it has whole pairs; all others stay as they are.
        let expected = before.replace("length = \"fill\"", "rows = 42");
        let ends = if edit == length { "ends = 24" } else { "ends = 22" };
        assert_eq!(done.out, expected.replace("ends = 24", ends));
        assert!(done.err.contains("42 rows of rising-tide"), "{}", done.err);
    }
}

/// An end is cloth and what is bare at either bar: together as long as from turn to turn.
#[test]
fn how_much_warp_stays_unwoven_is_told_with_the_size() {
    for name in ["tideline-mat", "tideline-bookmark"] {
        let plan = example(name);
        let plan = plan.to_str().unwrap();
        let json: serde_json::Value = serde_json::from_str(&fellmark(["size", plan, "--json"]).out).unwrap();
        let of = |value: &serde_json::Value, end: &str| value[end].as_f64().unwrap();
        let (near, far) = (&json["unwoven"]["near_mm"], &json["unwoven"]["far_mm"]);
        let woven = &json["on_loom"]["length_mm"];
        let all = of(near, "likely") + of(far, "likely") + of(woven, "likely");
        let text = fs::read_to_string(plan).unwrap();
        let line = text.lines().find(|line| line.starts_with("turn-to-turn")).unwrap();
        let cm: f64 = line.split('"').nth(1).unwrap().trim_end_matches(" cm").parse().unwrap();
        assert!((all - cm * 10.0).abs() < 0.01, "{name}: {all}, {cm} cm");
        // What lies looser leaves less above it.
        assert!(of(far, "low") <= of(far, "likely") && of(far, "likely") <= of(far, "high"), "{far}");
        let words = json["words"].as_array().unwrap().iter().filter_map(|words| words.as_str());
        let words = words.filter(|words| words.contains("unwoven")).collect::<Vec<_>>();
        assert_eq!(words.len(), 1);
        let printed = fellmark(["size", plan]).out.split_whitespace().collect::<Vec<_>>().join(" ");
        let why = fellmark(["check", plan, "--why"]).out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(printed.contains(words[0]) && why.contains(words[0]), "{printed}\n{why}");
    }
}
