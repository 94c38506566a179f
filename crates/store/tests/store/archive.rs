use crate::common::{MAT, TestWorld, done, open, rows_done, some_row, taken_back, weave};
use fellmark_store::{Came, Change, Changed, Error, Head, Imported, PieceId, Store, WeavingId};
use std::io::{Cursor, Read, Seek, SeekFrom, Write};
use std::path::Path;
use zip::write::SimpleFileOptions;

fn edit(store: &Store, piece: PieceId, text: &str) -> Head {
    let base = store.head(piece).unwrap().revision.id;
    let change = Change { id: None, base, text: text.into(), label: "{}".into(), by: "laptop".into() };
    let Changed::Saved(head) = store.edit(piece, change).unwrap() else { panic!("nobody else is here") };
    head
}

fn undo(store: &Store, piece: PieceId) {
    let base = store.head(piece).unwrap().revision.id;
    let undone = store.undo(piece, base, "laptop").unwrap();
    assert!(matches!(undone, Changed::Saved(_)));
}

fn archive(store: &Store) -> Vec<u8> {
    let mut to = Cursor::new(Vec::new());
    store.export(&mut to).unwrap();
    to.into_inner()
}

fn import(store: &Store, archive: &[u8]) -> Result<Imported, Error> {
    store.import(Cursor::new(archive), "desk").map(|brought| brought.total)
}

/// A store with two pieces, a branch, something undone, and a weaving with rows done and taken back.
fn full(folder: &Path) -> (Store, PieceId, WeavingId) {
    let store = open(folder);
    let (opened, weaving) = weave(&store, MAT);
    edit(&store, opened.piece, &format!("{MAT}# one\n"));
    edit(&store, opened.piece, &format!("{MAT}# two\n"));
    undo(&store, opened.piece);
    edit(&store, opened.piece, &format!("{MAT}# three\n"));
    undo(&store, opened.piece);
    let away = store.open_text("not a plan, but kept", "phone").unwrap();
    store.put_away(away.piece).unwrap();
    let ticks = (0..9).map(|row| done(row, row, some_row(row))).collect();
    store.tick(weaving, ticks).unwrap();
    store.tick(weaving, vec![taken_back(100, 8)]).unwrap();
    (store, opened.piece, weaving)
}

#[test]
fn an_archive_taken_in_elsewhere_is_the_same_and_twice_changes_nothing() {
    let home = tempfile::tempdir().unwrap();
    let (store, piece, weaving) = full(&home.path().join("here"));
    let packed = archive(&store);
    assert_eq!(packed, archive(&store), "the same content gives the same bytes");
    let there = Store::open(&home.path().join("there"), TestWorld::with_seed(9)).unwrap();
    let all = Imported { pieces: 2, revisions: 5, weavings: 1, ticks: 10, moved_on: 0 };
    assert_eq!(import(&there, &packed).unwrap(), all);
    let once = archive(&there);
    assert_eq!(packed, once, "nothing was lost or added on the way");
    assert_eq!(import(&there, &packed).unwrap(), Imported::default());
    assert_eq!(archive(&there), once);
    assert_eq!(import(&store, &once).unwrap(), Imported::default(), "nor on the way back");
    assert_eq!(archive(&store), packed);

    let in_list = |store: &Store| {
        let mut pieces = store.pieces().unwrap();
        pieces.sort_by_key(|piece| piece.id.to_string());
        pieces
    };
    assert_eq!(in_list(&there), in_list(&store), "what was put away is put away there too");
    assert_eq!(in_list(&there).iter().filter(|piece| piece.put_away_at.is_some()).count(), 1);
    assert_eq!(there.head(piece).unwrap(), store.head(piece).unwrap());
    assert_eq!(there.history(piece).unwrap(), store.history(piece).unwrap());
    assert_eq!(there.moves(piece).unwrap(), store.moves(piece).unwrap());
    assert_eq!(there.weaving(weaving).unwrap(), store.weaving(weaving).unwrap());
    assert_eq!(rows_done(&there, weaving), (0..8).collect::<Vec<_>>());
    // Redo leads where it led.
    let base = there.head(piece).unwrap().revision.id;
    let Changed::Saved(head) = there.redo(piece, base, "desk").unwrap() else { panic!("there is a redo") };
    assert!(head.text.ends_with("# three\n"));
}

#[test]
fn what_came_is_told_piece_by_piece() {
    let home = tempfile::tempdir().unwrap();
    let (here, piece, weaving) = full(&home.path().join("here"));
    let there = Store::open(&home.path().join("there"), TestWorld::with_seed(9)).unwrap();
    let bring = |to: &Store, from: &Store| to.import(Cursor::new(archive(from)), "desk").unwrap().each;
    let of = |each: &[Came]| *each.iter().find(|came| came.piece == piece).unwrap();
    let first = bring(&there, &here);
    assert_eq!(first.len(), 2, "each of its pieces");
    // Nine rows were ticked, and one of them was taken back.
    let came = Came { piece, is_new: true, moved_on: false, revisions: 4, weavings: 1, rows: 9 };
    assert_eq!(of(&first), came);
    let none = Came { is_new: false, revisions: 0, weavings: 0, rows: 0, ..came };
    assert_eq!(of(&bring(&there, &here)), none);
    edit(&there, piece, "on there");
    there.tick(weaving, vec![done(200, 20, some_row(20)), taken_back(201, 3)]).unwrap();
    assert_eq!(of(&bring(&here, &there)), Came { moved_on: true, revisions: 1, rows: 1, ..none });
}

#[test]
fn two_machines_hand_their_work_to_and_fro() {
    let home = tempfile::tempdir().unwrap();
    let (here, piece, weaving) = full(&home.path().join("here"));
    let there = Store::open(&home.path().join("there"), TestWorld::with_seed(9)).unwrap();
    import(&there, &archive(&here)).unwrap();
    // The piece goes on there, and rows are woven on both.
    edit(&there, piece, "on there");
    there.tick(weaving, vec![done(200, 20, some_row(20))]).unwrap();
    here.tick(weaving, vec![done(300, 30, some_row(30))]).unwrap();
    let came = import(&here, &archive(&there)).unwrap();
    assert_eq!((came.revisions, came.ticks, came.moved_on), (1, 1, 1));
    assert_eq!(here.head(piece).unwrap().text, "on there");
    assert_eq!(rows_done(&here, weaving), [0, 1, 2, 3, 4, 5, 6, 7, 20, 30]);
    // What is undone here stays undone, whatever comes again.
    undo(&here, piece);
    let before = here.head(piece).unwrap();
    assert_eq!(import(&here, &archive(&there)).unwrap(), Imported::default());
    assert_eq!(here.head(piece).unwrap(), before);
    // Both go on: the head stays, and what came is a branch.
    edit(&here, piece, "on here");
    let on = edit(&there, piece, "further there");
    assert_eq!(import(&here, &archive(&there)).unwrap().moved_on, 0);
    let head = here.head(piece).unwrap();
    assert_eq!(head.text, "on here");
    let Changed::Saved(_) = here.go(piece, head.revision.id, on.revision.id, "desk").unwrap() else {
        panic!()
    };
}

#[test]
fn an_archive_of_format_1_is_taken_in_and_what_is_put_away_here_stays_so() {
    let home = tempfile::tempdir().unwrap();
    let (store, piece, _) = full(&home.path().join("here"));
    // Format 1 is the same without `put_away_at`.
    let first = with(&archive(&store), |name, text| {
        if !name.ends_with(".json") {
            return Some(text);
        }
        let lines = text.lines().filter(|line| !line.contains("\"put_away_at\""));
        Some(lines.map(|line| line.replace("\"format\": 2", "\"format\": 1") + "\n").collect())
    });
    let there = Store::open(&home.path().join("there"), TestWorld::with_seed(9)).unwrap();
    assert_eq!(import(&there, &first).unwrap().pieces, 2);
    assert!(there.pieces().unwrap().iter().all(|piece| piece.put_away_at.is_none()));
    there.put_away(piece).unwrap();
    assert_eq!(import(&there, &first).unwrap(), Imported::default());
    assert_eq!(import(&there, &archive(&store)).unwrap(), Imported::default());
    assert!(there.is_put_away(piece).unwrap());
}

#[test]
fn the_archive_holds_plan_files_and_json_that_others_can_read() {
    let home = tempfile::tempdir().unwrap();
    let (store, piece, weaving) = full(home.path());
    let mut zip = zip::ZipArchive::new(Cursor::new(archive(&store))).unwrap();
    let mut text = |name: &str| {
        let mut text = String::new();
        zip.by_name(name).unwrap().read_to_string(&mut text).unwrap();
        text
    };
    let folder = format!("pieces/tideline-mat-{piece}");
    assert_eq!(text(&format!("{folder}/plan.toml")), format!("{MAT}# one\n"));
    assert_eq!(text(&format!("{folder}/revisions/0001.toml")), MAT);
    let history: serde_json::Value = serde_json::from_str(&text(&format!("{folder}/history.json"))).unwrap();
    assert_eq!(history["revisions"].as_array().unwrap().len(), 4);
    let weaving: serde_json::Value =
        serde_json::from_str(&text(&format!("weavings/{weaving}.json"))).unwrap();
    let row = &weaving["ticks"][1];
    assert_eq!((row["row"].as_u64(), row["woven"]["weft"].as_str()), (Some(2), Some("slate")));
    assert_eq!(row["woven"]["ends"], serde_json::json!([1, 24]));
    assert_eq!(row["woven"]["over"], "111100011111000111110001");
    assert_eq!(weaving["ticks"][9]["woven"], serde_json::Value::Null);
}

/// The archive with one of its files changed.
fn with(archive: &[u8], change: impl Fn(&str, String) -> Option<String>) -> Vec<u8> {
    let mut from = zip::ZipArchive::new(Cursor::new(archive)).unwrap();
    let mut to = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for at in 0..from.len() {
        let mut file = from.by_index(at).unwrap();
        let name = file.name().unwrap().into_owned();
        let mut text = String::new();
        file.read_to_string(&mut text).unwrap();
        if let Some(text) = change(&name, text) {
            to.start_file(&*name, SimpleFileOptions::default()).unwrap();
            to.write_all(text.as_bytes()).unwrap();
        }
    }
    to.finish().unwrap().into_inner()
}

#[test]
fn an_archive_that_does_not_hold_together_changes_nothing_and_says_why() {
    let home = tempfile::tempdir().unwrap();
    let (store, _, _) = full(&home.path().join("here"));
    let packed = archive(&store);
    let replaced = |ending: &'static str, from: &'static str, to: &'static str| {
        let changed = with(&packed, |name, text| {
            Some(if name.ends_with(ending) { text.replacen(from, to, 1) } else { text })
        });
        assert_ne!(changed, with(&packed, |_, text| Some(text)), "{from} stands in {ending}");
        changed
    };
    let broken: Vec<(Vec<u8>, &str)> = vec![
        (b"a letter".to_vec(), "zip"),
        (packed[..packed.len() / 2].to_vec(), "zip"),
        (with(&packed, |name, text| (!name.ends_with("archive.json")).then_some(text)), "no archive"),
        (replaced("archive.json", "\"format\": 2", "\"format\": 3"), "newer Fellmark"),
        (with(&packed, |name, text| (!name.ends_with("0002.toml")).then_some(text)), "0002.toml"),
        (replaced("history.json", "\"parent\": null", "\"parent\": \"00\""), "no id"),
        (replaced("history.json", "\"kind\": \"begin\"", "\"kind\": \"leap\""), "leap"),
        (replaced("history.json", "\"label\"", "\"lable\""), "lable"),
        (
            with(&packed, |name, text| {
                Some(if name.ends_with("0001.toml") { "#".repeat(1 << 21) } else { text })
            }),
            "more than",
        ),
        (with(&packed, |name, text| (!name.starts_with("pieces/")).then_some(text)), "its piece"),
    ];
    let there = Store::open(&home.path().join("there"), TestWorld::with_seed(9)).unwrap();
    let empty = archive(&there);
    for (archive_bytes, word) in &broken {
        let error = import(&there, archive_bytes).expect_err(word).to_string();
        assert!(error.contains(word) && error.contains("Nothing was changed."), "{word}: {error}");
        assert_eq!(archive(&there), empty, "{word}");
    }
    // What contradicts what is kept here is refused as well.
    let other_row = with(&packed, |name, text| {
        Some(if name.starts_with("weavings/") {
            text.replacen("\"row\": 4,", "\"row\": 5,", 1)
        } else {
            text
        })
    });
    let error = import(&store, &other_row).unwrap_err().to_string();
    assert!(error.contains("another one"), "{error}");
    let other_text = with(&packed, |name, text| {
        Some(if name.ends_with("0001.toml") { format!("# {text}") } else { text })
    });
    assert!(import(&store, &other_text).unwrap_err().to_string().contains("another one"));
    assert_eq!(archive(&store), packed);
}

#[test]
fn rows_that_no_piece_has_are_refused() {
    let home = tempfile::tempdir().unwrap();
    let (store, _, _) = full(&home.path().join("here"));
    let packed = archive(&store);
    let there = Store::open(&home.path().join("there"), TestWorld::with_seed(9)).unwrap();
    for (from, to) in [
        ("\"row\": 4,", "\"row\": 0,"),
        ("\"row\": 4,", "\"row\": 20001,"),
        ("\"over\": \"1", "\"over\": \""),
        ("\"over\": \"1", "\"over\": \"x"),
        ("          24\n", "          25\n"),
    ] {
        let changed = with(&packed, |name, text| {
            Some(if name.starts_with("weavings/") { text.replacen(from, to, 1) } else { text })
        });
        assert_ne!(changed, with(&packed, |_, text| Some(text)), "{from}");
        let error = import(&there, &changed).expect_err(to).to_string();
        assert!(error.contains("that no row has"), "{error}");
    }
}

/// A file that has something done each time it is read.
struct Watched<F> {
    file: Cursor<Vec<u8>>,
    at_each: F,
}

impl<F: FnMut()> Read for Watched<F> {
    fn read(&mut self, to: &mut [u8]) -> std::io::Result<usize> {
        (self.at_each)();
        self.file.read(to)
    }
}

impl<F> Seek for Watched<F> {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        self.file.seek(to)
    }
}

#[test]
fn rows_are_ticked_while_an_archive_is_taken_in_piece_by_piece() {
    let home = tempfile::tempdir().unwrap();
    let from = open(&home.path().join("from"));
    for k in 0..6 {
        from.open_text(&format!("# piece {k}"), "laptop").unwrap();
    }
    let packed = archive(&from);
    let there = Store::open(&home.path().join("there"), TestWorld::with_seed(9)).unwrap();
    let (_, weaving) = weave(&there, MAT);
    // How many pieces there are at each read; at each a row is ticked, and the answer is waited for.
    let mut counts = Vec::new();
    let mut row = 0;
    let at_each = || {
        counts.push(there.pieces().unwrap().len());
        there.tick(weaving, vec![done(row, row, some_row(row))]).unwrap();
        row += 1;
    };
    let came = there.import(Watched { file: Cursor::new(packed), at_each }, "desk").unwrap();
    assert_eq!(came.total.pieces, 6);
    let seen: std::collections::BTreeSet<usize> = counts.into_iter().collect();
    assert!(seen.len() >= 6, "each piece was there before the next was read: {seen:?}");
    assert_eq!(rows_done(&there, weaving).len() as u32, row);
}

#[test]
fn what_stops_midway_leaves_whole_pieces_says_so_and_can_be_gone_on_with() {
    let home = tempfile::tempdir().unwrap();
    let (store, piece, _) = full(&home.path().join("here"));
    let packed = archive(&store);
    // A second move of a kind that there is none of, in the second of two pieces.
    let names: Vec<String> = {
        let mut zip = zip::ZipArchive::new(Cursor::new(packed.as_slice())).unwrap();
        let all = (0..zip.len()).map(|at| zip.by_index(at).unwrap().name().unwrap().into_owned());
        all.filter(|name| name.ends_with("history.json")).collect()
    };
    let last = names.iter().max().unwrap();
    assert!(last.contains(&piece.to_string()), "the mat's folder comes after one that has no name");
    let broken = with(&packed, |name, text| {
        Some(if name == last { text.replace("\"kind\": \"undo\"", "\"kind\": \"leap\"") } else { text })
    });
    let there = Store::open(&home.path().join("there"), TestWorld::with_seed(9)).unwrap();
    let error = import(&there, &broken).unwrap_err();
    let Error::Archive { entry, came, .. } = &error else { panic!("{error}") };
    assert_eq!((entry, came.pieces, came.weavings), (last, 1, 0));
    let said = error.to_string();
    assert!(
        said.contains("leap") && said.contains("stays (1 new piece, 1 revision, 0 new weavings)"),
        "{said}"
    );
    assert!(!said.contains("Nothing was changed") && said.contains("taken in again"), "{said}");
    assert_eq!(there.pieces().unwrap().len(), 1, "nothing of the one that is broken");
    let rest = import(&there, &packed).unwrap();
    assert_eq!((rest.pieces, rest.weavings), (1, 1));
    assert_eq!(archive(&there), packed);
}

#[test]
fn a_small_archive_fills_neither_memory_nor_disk() {
    let home = tempfile::tempdir().unwrap();
    let from = open(&home.path().join("from"));
    let opened = from.open_text(&"#".repeat(1 << 20), "laptop").unwrap();
    let packed = archive(&from);
    assert!(packed.len() < 1 << 14);
    let there = Store::open(&home.path().join("there"), TestWorld::with_seed(9)).unwrap();
    assert_eq!(import(&there, &packed).unwrap().pieces, 1, "one such text is a text like any other");
    // Five hundred of them, each a file of its own or all the same one.
    let first = opened.revision.to_string();
    for same in [false, true] {
        let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
        let mut file = |name: &str, bytes: &[u8]| {
            zip.start_file(name, SimpleFileOptions::default()).unwrap();
            zip.write_all(bytes).unwrap();
        };
        file("fellmark-archive.json", br#"{ "format": 2 }"#);
        let mut revisions = Vec::new();
        for k in 0..500_u32 {
            let text = format!("{}.toml", if same { 0 } else { k });
            if !same || k == 0 {
                file(&format!("pieces/a/{text}"), "#".repeat((1 << 20) - 8).as_bytes());
            }
            let parent = (k > 0).then(|| format!("{:032x}", k - 1));
            revisions.push(serde_json::json!({
                "id": format!("{k:032x}"), "parent": parent, "redo": null, "text": text,
                "label": "", "by": "x", "at": 0,
            }));
        }
        let history = serde_json::json!({
            "piece": first, "made_at": 0, "head": format!("{:032x}", 0), "revisions": revisions, "moves": [],
        });
        file("pieces/a/history.json", history.to_string().as_bytes());
        let packed = zip.finish().unwrap().into_inner();
        assert!(packed.len() < 1 << 20, "{}", packed.len());
        let error = import(&there, &packed).unwrap_err().to_string();
        assert!(error.contains("unfolds to more than") && error.contains("Nothing was changed."), "{error}");
    }
    assert_eq!(there.pieces().unwrap().len(), 1);
}
