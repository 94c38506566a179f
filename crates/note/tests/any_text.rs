//! Whatever the text: no panic, one problem, and it stands somewhere in the text.

use fellmark_core::habits::Habits;
use fellmark_core::piece::make;
use fellmark_core::plan::{BandId, Edit};
use fellmark_note::{Problem, apply, read, schema};
use proptest::prelude::*;

const MODEL: &str = include_str!("data/model.toml");
const EVERY_KEY: &str = include_str!("data/every-key.toml");

/// A change of a text at a place (of 1000 parts of its length).
#[derive(Debug, Clone)]
enum Change {
    Put(usize, String),
    Take(usize, usize),
    TakeLine(usize),
    RepeatLine(usize),
    Swap(usize, usize),
    Number(usize, String),
}

fn pieces() -> impl Strategy<Value = String> {
    let known = vec![
        "\"",
        "'",
        "\"\"\"",
        "[",
        "]",
        "[[",
        "]]",
        "{",
        "}",
        ",",
        "=",
        ".",
        "#",
        "\n",
        "\r",
        "\r\n",
        "\\",
        "-1",
        "0",
        "99999999999999999999",
        "1e9",
        "nan",
        "-inf",
        "true",
        "1979-05-27",
        "0x1f",
        "é",
        "😀",
        "\u{feff}",
        "\u{0}",
        "over 3",
        "under",
        "over 0",
        "under 4294967296",
        "every pair",
        "like = \"hem\"\n",
        "rows = 3\n",
        "ends",
        "[band.hem]\n",
        "[weft.reed]\n",
        "part",
        "[[band.hem.part]]\n",
        "{ times = 3, bands = [\"hem\"] }",
        "fill",
        "satin 4096",
        "twill 4095/1",
        "basket 4096 by 20000",
        "\"hem\"",
        "\"tide\"",
        "weave = \"satin 6\"\n",
        "after 1 ends",
        "row 1: over 1 to 4096",
        "\u{202e}",
        "band.hem.rows = 2\n",
        "weft = {}\n",
    ];
    prop_oneof![
        3 => proptest::sample::select(known).prop_map(str::to_string),
        1 => proptest::collection::vec(any::<char>(), 1..4).prop_map(|chars| chars.into_iter().collect()),
    ]
}

fn change() -> impl Strategy<Value = Change> {
    let at = 0..1000_usize;
    prop_oneof![
        4 => (at.clone(), pieces()).prop_map(|(at, piece)| Change::Put(at, piece)),
        2 => (at.clone(), 1..12_usize).prop_map(|(at, length)| Change::Take(at, length)),
        2 => at.clone().prop_map(Change::TakeLine),
        2 => at.clone().prop_map(Change::RepeatLine),
        2 => (at.clone(), at.clone()).prop_map(|(a, b)| Change::Swap(a, b)),
        2 => (at, pieces()).prop_map(|(at, piece)| Change::Number(at, piece)),
    ]
}

fn place(text: &str, at: usize) -> usize {
    let mut byte = text.len() * at / 1000;
    while !text.is_char_boundary(byte) {
        byte -= 1;
    }
    byte
}

fn changed(text: &str, change: &Change) -> String {
    let lines = || text.split_inclusive('\n').map(str::to_string).collect::<Vec<_>>();
    let line = |at: &usize| text.matches('\n').count() * at / 1000;
    match change {
        Change::Put(at, piece) => {
            let at = place(text, *at);
            format!("{}{piece}{}", &text[..at], &text[at..])
        }
        Change::Take(at, length) => {
            let at = place(text, *at);
            let rest: String = text[at..].chars().skip(*length).collect();
            format!("{}{rest}", &text[..at])
        }
        Change::TakeLine(at) => {
            let kept = lines().into_iter().enumerate().filter(|(k, _)| *k != line(at));
            kept.map(|(_, line)| line).collect()
        }
        Change::RepeatLine(at) => {
            let twice = lines().into_iter().enumerate();
            twice.map(|(k, text)| if k == line(at) { text.repeat(2) } else { text }).collect()
        }
        Change::Swap(a, b) => {
            let mut all = lines();
            let last = all.len().saturating_sub(1);
            if !all.is_empty() {
                all.swap(line(a).min(last), line(b).min(last));
            }
            all.concat()
        }
        Change::Number(at, piece) => {
            let at = place(text, *at);
            let Some(start) = text[at..].find('=').map(|offset| at + offset + 1) else { return text.into() };
            let end = text[start..].find('\n').map_or(text.len(), |offset| start + offset);
            format!("{} {piece}{}", &text[..start], &text[end..])
        }
    }
}

fn well_told(text: &str, problem: &Problem) -> Result<(), TestCaseError> {
    if let Some(at) = &problem.at {
        prop_assert!(text.get(at.clone()).is_some(), "{at:?} lies in the text, on whole characters");
        prop_assert!(problem.line_column(text).is_some());
    }
    for sentence in [&problem.message, &problem.help] {
        prop_assert!(sentence.ends_with(['.', '?']), "{sentence}");
        prop_assert!(!sentence.to_lowercase().contains("invalid"), "{sentence}");
        prop_assert!(sentence.len() < 1000 && !sentence.contains('\n'), "{sentence}");
    }
    let drawn = problem.render(text, "plan.toml", false);
    prop_assert!(drawn.contains("plan.toml"), "{drawn}");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn a_changed_plan_reads_or_has_one_problem_that_stands_in_it(
        model: bool,
        changes in proptest::collection::vec(change(), 1..5),
    ) {
        let mut text = if model { MODEL } else { EVERY_KEY }.to_string();
        for change in &changes {
            text = changed(&text, change);
        }
        match read(&text) {
            Ok(note) => {
                prop_assert!(!note.plan.stack.is_empty() && !note.plan.warp.order.is_empty());
                // Whatever reads is a piece or says why not.
                let _ = make(&note.plan, &Habits::of(&note.plan));
                let _ = apply(&text, &Edit::BandRows(BandId(0), 7));
            }
            Err(problem) => well_told(&text, &problem)?,
        }
    }

    #[test]
    fn any_signs_at_all_have_one_problem(text in "(?s).{0,200}") {
        match read(&text) {
            Ok(_) => prop_assert!(false, "no plan is so short"),
            Err(problem) => well_told(&text, &problem)?,
        }
    }
}

#[test]
fn the_plan_with_every_key_reads_and_has_every_key() {
    if let Err(problem) = read(EVERY_KEY) {
        panic!("{}", problem.render(EVERY_KEY, "every-key.toml", false));
    }
    let schema: serde_json::Value = serde_json::from_str(&schema()).unwrap();
    let sections = schema["$defs"].as_object().unwrap().values().chain([&schema]);
    for key in sections.flat_map(|section| section["properties"].as_object().unwrap().keys()) {
        let written = [format!("{key} ="), format!("[{key}"), format!(".{key}]")];
        assert!(written.iter().any(|words| EVERY_KEY.contains(words.as_str())), "{key}");
    }
}
