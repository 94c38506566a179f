//! Whatever archive was taken in, what is kept stays readable.

use crate::common::{TestWorld, open};
use fellmark_store::{Error, Imported, MoveKind, PieceId, Store};
use proptest::prelude::*;
use rusqlite::Connection;
use serde_json::{Value, json};
use std::io::{Cursor, Write};
use std::path::Path;
use zip::write::SimpleFileOptions;

/// An id of a kind of thing: few, so that archives share them.
fn id(kind: u8, number: u8) -> String {
    format!("{kind:02x}{number:030x}")
}

pub(crate) fn zipped(files: &[(String, Vec<u8>)]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let about = ("fellmark-archive.json".to_owned(), br#"{ "format": 2 }"#.to_vec());
    for (name, bytes) in std::iter::once(&about).chain(files) {
        zip.start_file(name.as_str(), SimpleFileOptions::default()).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// An archive of histories and weavings, each in an entry of its own.
fn archive(histories: &[Value], weavings: &[Value]) -> Vec<u8> {
    let mut files = Vec::new();
    for (nth, history) in histories.iter().enumerate() {
        for revision in history["revisions"].as_array().unwrap() {
            let file = revision["text"].as_str().unwrap();
            let text = format!("schema = 1\nname = \"{file}\"\n");
            files.push((format!("pieces/{nth}/{file}"), text.into_bytes()));
        }
        files.dedup();
        files.push((format!("pieces/{nth}/history.json"), history.to_string().into_bytes()));
    }
    for (nth, weaving) in weavings.iter().enumerate() {
        files.push((format!("weavings/{nth}.json"), weaving.to_string().into_bytes()));
    }
    zipped(&files)
}

fn take_in(store: &Store, archive: &[u8]) -> Result<Imported, Error> {
    store.import(Cursor::new(archive), "desk").map(|brought| brought.total)
}

/// Reads all that is kept, in every way there is.
fn read_all(store: &Store) {
    for piece in store.pieces().unwrap() {
        let head = store.head(piece.id).unwrap();
        assert_eq!(head.revision.id, piece.head);
        assert_eq!(store.revision(piece.head).unwrap().text, head.text);
        assert!(!store.history(piece.id).unwrap().is_empty());
        let moves = store.moves(piece.id).unwrap();
        assert!(moves.iter().any(|m| m.revision == piece.head), "a move leads to the head");
        for listed in store.weavings(piece.id).unwrap() {
            let weaving = store.weaving(listed.info.id).unwrap();
            assert_eq!((weaving.log.len(), weaving.earlier.len() + 1), (listed.ticks, listed.plans));
        }
    }
    store.export(Cursor::new(Vec::new())).unwrap();
}

fn history(piece: u8, head: &str, revisions: Value, moves: Value) -> Value {
    json!({
        "piece": id(1, piece), "made_at": 5, "put_away_at": null, "head": head,
        "revisions": revisions, "moves": moves,
    })
}

fn revision(id: &str, parent: Option<&str>) -> Value {
    let text = format!("{id}.toml");
    json!({ "id": id, "parent": parent, "redo": null, "text": text, "label": "", "by": "x", "at": 7 })
}

fn a_move(number: u8, revision: &str) -> Value {
    json!({ "id": id(3, number), "kind": "begin", "revision": revision, "by": "x", "at": 7 })
}

fn only_move(store: &Store, piece: u8) -> MoveKind {
    let piece: PieceId = id(1, piece).parse().unwrap();
    let moves = store.moves(piece).unwrap();
    assert_eq!((moves.len(), moves[0].by.as_str()), (1, "desk"));
    moves[0].kind
}

#[test]
fn a_piece_that_comes_with_no_move_is_moved_by_taking_it_in() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let (first, second) = (id(2, 1), id(2, 2));
    let without = archive(&[history(1, &first, json!([revision(&first, None)]), json!([]))], &[]);
    assert_eq!(take_in(&store, &without).unwrap().pieces, 1);
    read_all(&store);
    assert_eq!(only_move(&store, 1), MoveKind::Import);
    // A move that is another piece's here is none of this one's.
    let of_another =
        |piece, at: &str| history(piece, at, json!([revision(at, None)]), json!([a_move(1, at)]));
    let third = id(2, 3);
    take_in(&store, &archive(&[of_another(2, &second)], &[])).unwrap();
    take_in(&store, &archive(&[of_another(3, &third)], &[])).unwrap();
    read_all(&store);
    assert_eq!(only_move(&store, 3), MoveKind::Import);
    // What is known already is moved no second time.
    assert_eq!(take_in(&store, &without).unwrap(), Imported::default());
    assert_eq!(only_move(&store, 1), MoveKind::Import);
}

#[test]
fn a_piece_that_has_lost_its_moves_stands_in_the_list() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let lost = store.open_text("# as an earlier version took it in", "bench").unwrap();
    let other = store.open_text("# moved later", "bench").unwrap();
    drop(store);
    let db = Connection::open(Path::new(home.path()).join("fellmark.db")).unwrap();
    db.execute("DELETE FROM move WHERE piece = (SELECT piece FROM move ORDER BY seq LIMIT 1)", []).unwrap();
    drop(db);
    let store = open(home.path());
    let pieces = store.pieces().unwrap();
    assert_eq!(pieces.iter().map(|piece| piece.id).collect::<Vec<_>>(), [other.piece, lost.piece]);
    assert_eq!(pieces[1].moved_at, pieces[1].made_at);
    store.put_away(lost.piece).unwrap();
    store.export(Cursor::new(Vec::new())).unwrap();
}

prop_compose! {
    /// Nearly always one that holds together: most are taken in.
    fn a_history()(
        piece in 1_u8..4,
        from in 0_u8..3,
        parents in prop::collection::vec(prop::option::weighted(0.3, 0_u8..6), 0..4),
        head in 0_u8..5,
        redo in prop::option::of(0_u8..5),
        moves in prop::collection::vec((0_u8..6, 0_u8..5, 0_usize..12), 0..4),
        at in prop_oneof![4 => 0_i64..9, 1 => Just(i64::MAX), 1 => Just(i64::MIN)],
    ) -> Value {
        // Revisions of a piece are numbered from a place of its own, a little into the next one's.
        let name = |nth: u8| id(2, 4 * piece + from + nth);
        let count = parents.len() as u8 + 1;
        let mut revisions = vec![revision(&name(0), None)];
        for (before, parent) in (0_u8..).zip(&parents) {
            revisions.push(revision(&name(before + 1), Some(&name(parent.unwrap_or(before)))));
        }
        if let (Some(to), Some(first)) = (redo, revisions.first_mut()) {
            first["redo"] = json!(name(to));
        }
        let kinds = ["begin", "edit", "undo", "redo", "go", "import"];
        let moves: Vec<Value> = moves
            .iter()
            .map(|&(number, to, kind)| {
                let kind = kinds.get(kind).copied().unwrap_or("go");
                json!({ "id": id(3, number), "kind": kind, "revision": name(to % count), "by": "", "at": at })
            })
            .collect();
        let mut all = history(piece, &name(head % count), json!(revisions), json!(moves));
        all["made_at"] = json!(at);
        all
    }
}

prop_compose! {
    fn a_weaving()(
        weaving in 1_u8..4,
        piece in 1_u8..4,
        plans in prop::collection::vec((0_u8..4, 0_u8..8, 0_u32..5000, 0_u32..30_000), 0..3),
        ticks in prop::collection::vec((0_u8..6, 0_u32..20_002, any::<bool>(), any::<i64>()), 0..4),
        pace in prop::option::of(any::<f64>()),
    ) -> Value {
        let plan = |&(number, to, ends, rows): &(u8, u8, u32, u32)| json!({
            "id": id(5, number), "revision": id(2, 4 * piece + to), "ends": ends,
            "places": [{ "band": "hem", "rows": rows }], "by": "x", "at": 3,
        });
        let woven = json!({
            "weft": "slate", "yarn": "slate", "strands": 1, "from": "left", "ends": [1, 2], "over": "10",
            "before": [], "after": [],
        });
        let tick = |&(number, row, done, at): &(u8, u32, bool, i64)| json!({
            "id": id(6, number), "row": row, "woven": if done { woven.clone() } else { Value::Null },
            "by": "x", "at": at,
        });
        json!({
            "weaving": id(4, weaving), "piece": id(1, piece), "mirrored": false, "pace_minutes": pace,
            "by": "x", "made_at": 4,
            "plans": plans.iter().map(plan).collect::<Vec<_>>(),
            "ticks": ticks.iter().map(tick).collect::<Vec<_>>(),
        })
    }
}

proptest! {
    // Each opens a store of its own.
    #![proptest_config(ProptestConfig { cases: 32, ..ProptestConfig::default() })]

    #[test]
    fn whatever_was_taken_in_all_that_is_kept_can_be_read(
        archives in prop::collection::vec(
            (prop::collection::vec(a_history(), 1..3), prop::collection::vec(a_weaving(), 0..2)), 1..5
        )
    ) {
        let home = tempfile::tempdir().unwrap();
        let store = open(&home.path().join("here"));
        for (histories, weavings) in &archives {
            // Refused or taken in: either leaves a store that can be read.
            let _ = take_in(&store, &archive(histories, weavings));
            read_all(&store);
        }
        let mut all = Cursor::new(Vec::new());
        store.export(&mut all).unwrap();
        let there = Store::open(&home.path().join("there"), TestWorld::with_seed(9)).unwrap();
        take_in(&there, all.get_ref()).unwrap();
        read_all(&there);
        prop_assert_eq!(there.pieces().unwrap().len(), store.pieces().unwrap().len());
    }
}
