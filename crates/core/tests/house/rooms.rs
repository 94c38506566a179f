//! Which room of the core sees which: ARCHITECTURE.md tells it in a table, and the sources have it so.

use super::sources::{Source, sources};
use std::collections::{BTreeMap, BTreeSet};

/// The rooms that a piece of code names: what follows `crate::`, and `super::` as often as it leads out of the room.
fn named(source: &Source) -> BTreeSet<String> {
    let depth = source.modules().len();
    let mut found = BTreeSet::new();
    let word = |text: &str| -> String {
        text.chars().take_while(|sign| sign.is_ascii_alphanumeric() || *sign == '_').collect()
    };
    let mut take = |rest: &str| match rest.strip_prefix('{') {
        // Of a list each part: `a`, `b::C`, `d::{E, F}`.
        Some(list) => {
            let mut open = 0;
            let mut part = true;
            for (at, sign) in list.char_indices() {
                match sign {
                    '{' => open += 1,
                    '}' if open == 0 => break,
                    '}' => open -= 1,
                    ',' if open == 0 => part = true,
                    sign if part && sign.is_ascii_lowercase() => {
                        found.insert(word(&list[at..]));
                        part = false;
                    }
                    _ => {}
                }
            }
        }
        None => {
            found.insert(word(rest));
        }
    };
    for (at, what) in source.code.match_indices("crate::") {
        take(&source.code[at + what.len()..]);
    }
    let supers = "super::".repeat(depth);
    if depth > 0 {
        for (at, what) in source.code.match_indices(&supers) {
            take(&source.code[at + what.len()..]);
        }
    }
    found
}

/// The rooms that each room's code names, others than itself.
fn uses() -> BTreeMap<String, BTreeSet<String>> {
    let mut all: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for source in sources() {
        let Some(room) = source.room() else { continue };
        let named = named(&source).into_iter().filter(|other| *other != room);
        all.entry(room.clone()).or_default().extend(named);
    }
    all
}

/// The rooms of the table from the top down, each with those that it may use.
fn table() -> Vec<(String, BTreeSet<String>)> {
    let text = include_str!("../../../../ARCHITECTURE.md");
    let lines = text.lines().filter_map(|line| line.strip_prefix("| `core/"));
    lines
        .map(|line| {
            let cells: Vec<&str> = line.split('|').map(str::trim).collect();
            let [room, _, may_use, ""] = cells[..] else { panic!("three cells in a line: {line}") };
            let may_use = may_use.split(", ").filter(|room| !room.is_empty()).map(str::to_owned);
            (room.trim_end_matches('`').to_owned(), may_use.collect())
        })
        .collect()
}

#[test]
fn each_room_uses_what_the_table_says_and_nothing_else() {
    let told: BTreeMap<_, _> = table().into_iter().collect();
    let uses = uses();
    let rooms = |all: &BTreeMap<String, BTreeSet<String>>| all.keys().cloned().collect::<BTreeSet<_>>();
    assert_eq!(rooms(&told), rooms(&uses), "the rooms of ARCHITECTURE.md are not those of the core");
    let list = |rooms: &BTreeSet<String>| rooms.iter().cloned().collect::<Vec<_>>().join(", ");
    let wrong: Vec<String> = uses
        .iter()
        .filter(|(room, used)| told[*room] != **used)
        .map(|(room, used)| format!("core/{room} uses {}, and not {}", list(used), list(&told[room])))
        .collect();
    assert_eq!(wrong, [""; 0], "ARCHITECTURE.md says otherwise");
}

/// So no two rooms need each other, by whatever way.
#[test]
fn every_room_stands_below_those_that_it_uses() {
    let mut above = BTreeSet::new();
    for (room, may_use) in table() {
        for other in may_use {
            assert!(above.contains(&other), "core/{room} stands above core/{other}, which it uses");
        }
        assert!(above.insert(room.clone()), "core/{room} stands twice");
    }
}

#[test]
fn only_piece_reads_bands() {
    let sees_rows = ["walk", "sound", "cloth", "need", "pack", "warp", "hang", "ruler"];
    for source in sources() {
        if !source.room().is_some_and(|room| sees_rows.contains(&room.as_str())) {
            continue;
        }
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
            assert!(!source.code.contains(word), "{} reads bands: {word}", source.path.display());
        }
    }
}

#[test]
fn rooms_are_found_however_they_are_named() {
    let of = |path: &str, code: &str| {
        let source = Source { path: path.into(), code: code.to_owned() };
        named(&source).into_iter().collect::<Vec<_>>()
    };
    assert_eq!(of("walk/turn.rs", "use crate::piece::{Piece, Row};"), ["piece"]);
    assert_eq!(
        of("walk/turn.rs", "use crate::{grid::{self, Grid}, side::Side, yarn};"),
        ["grid", "side", "yarn"]
    );
    assert_eq!(of("walk/mod.rs", "use super::piece::Piece; use self::turn::Turn;"), ["piece"]);
    assert_eq!(of("walk/turn.rs", "use super::Walk; super::super::side::Side::Left"), ["side"]);
}
