//! House rules that the compiler doesn't see.

use std::fs;
use std::path::{Path, PathBuf};

fn sources() -> Vec<(PathBuf, String)> {
    fn collect(folder: &Path, into: &mut Vec<(PathBuf, String)>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                collect(&path, into);
            } else if path.extension().is_some_and(|ext| ext == "rs") {
                let text = fs::read_to_string(&path).unwrap();
                into.push((path, text));
            }
        }
    }
    let mut all = Vec::new();
    collect(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut all);
    assert!(all.len() > 30, "the sources were not found");
    all
}

/// A file's code without its tests and comments.
fn code(text: &str) -> String {
    let code = text.split("#[cfg(test)]").next().unwrap_or_default();
    code.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

fn is_in(path: &Path, room: &str) -> bool {
    path.components().any(|part| part.as_os_str() == room)
        || path.file_stem().is_some_and(|stem| stem == room)
}

/// The texts between quotation marks of a piece of code, one line each.
fn literals(code: &str) -> Vec<String> {
    let lines = code.lines().flat_map(|line| line.split('"').skip(1).step_by(2));
    lines.map(str::to_owned).collect()
}

#[test]
fn sentences_stand_in_say_alone() {
    for (path, text) in sources() {
        if is_in(&path, "say") {
            continue;
        }
        for line in code(&text).lines() {
            // What a broken invariant says, and why a lint is off, nobody who weaves reads.
            if ["expect(", "panic!(", "assert", "reason =", "unreachable!("]
                .iter()
                .any(|word| line.contains(word))
            {
                continue;
            }
            for literal in literals(line) {
                let words =
                    literal.split(' ').filter(|word| word.chars().all(char::is_alphabetic) && word.len() > 1);
                assert!(words.count() < 3, "{}: a sentence outside say: {literal:?}", path.display());
            }
        }
    }
}

#[test]
fn only_piece_reads_bands() {
    for (path, text) in sources() {
        let sees_rows = ["walk", "sound", "cloth", "need", "pack", "warp", "hang"];
        if !sees_rows.iter().any(|room| is_in(&path, room)) || is_in(&path, "say") {
            continue;
        }
        let code = code(&text);
        for word in [
            "Source::",
            "WrittenRow",
            "Weave::",
            "Weave,",
            "Band,",
            "Extent",
            "StackEntry",
            "&Plan",
            ".bands",
        ] {
            assert!(!code.contains(word), "{} reads bands: {word}", path.display());
        }
    }
}

#[test]
fn core_reaches_for_nothing_outside() {
    for (path, text) in sources() {
        let code = code(&text);
        for word in
            ["std::fs", "std::io", "std::env", "std::time", "std::net", "std::thread", "HashMap", "HashSet"]
        {
            assert!(!code.contains(word), "{} reaches outside: {word}", path.display());
        }
    }
}
