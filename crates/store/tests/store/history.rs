use crate::common::{MAT, TestWorld, done, open, rows_done, some_row, weave};
use fellmark_store::{Change, Changed, Error, Head, Missing, MoveKind, Parted, PieceId, RevisionId, Store};
use proptest::prelude::*;
use std::sync::atomic::{AtomicU32, Ordering};

fn change(base: RevisionId, text: &str) -> Change {
    Change { id: None, base, text: text.into(), label: format!("to {text}"), by: "laptop".into() }
}

fn saved(changed: Changed) -> Head {
    match changed {
        Changed::Saved(head) => head,
        other => panic!("it was not saved: {other:?}"),
    }
}

fn edit(store: &Store, piece: PieceId, text: &str) -> Head {
    let base = store.head(piece).unwrap().revision.id;
    saved(store.edit(piece, change(base, text)).unwrap())
}

fn undo(store: &Store, piece: PieceId) -> Option<Head> {
    match store.undo(piece, store.head(piece).unwrap().revision.id, "laptop").unwrap() {
        Changed::Saved(head) => Some(head),
        Changed::Nothing(_) => None,
        Changed::Stale(_) => panic!("the head is the head"),
    }
}

fn redo(store: &Store, piece: PieceId) -> Option<Head> {
    match store.redo(piece, store.head(piece).unwrap().revision.id, "laptop").unwrap() {
        Changed::Saved(head) => Some(head),
        Changed::Nothing(_) => None,
        Changed::Stale(_) => panic!("the head is the head"),
    }
}

#[derive(Debug, Clone)]
enum Do {
    Edit(u8),
    Undo,
    Redo,
}

fn doings() -> impl Strategy<Value = Vec<Do>> {
    let doing = prop_oneof![3 => any::<u8>().prop_map(Do::Edit), 2 => Just(Do::Undo), 2 => Just(Do::Redo)];
    prop::collection::vec(doing, 0..24)
}

#[test]
fn a_piece_put_away_keeps_all_it_has_and_comes_back() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let (opened, weaving) = weave(&store, MAT);
    store.tick(weaving, vec![done(1, 0, some_row(0))]).unwrap();
    let other = store.open_text("another, which becomes the same", "bench").unwrap();
    edit(&store, other.piece, MAT);
    let before = (store.head(opened.piece).unwrap(), store.history(opened.piece).unwrap());
    let away = || store.pieces().unwrap().into_iter().filter(|piece| piece.put_away_at.is_some());
    store.put_away(opened.piece).unwrap();
    let since = away().next().unwrap().put_away_at;
    store.put_away(opened.piece).unwrap();
    assert_eq!(
        away().map(|piece| (piece.id, piece.put_away_at)).collect::<Vec<_>>(),
        [(opened.piece, since)]
    );
    drop(store);
    let store = open(home.path());
    assert!(store.is_put_away(opened.piece).unwrap(), "also after a restart");
    assert_eq!(before, (store.head(opened.piece).unwrap(), store.history(opened.piece).unwrap()));
    assert_eq!(rows_done(&store, weaving), [0]);
    // It can still be worked on.
    store.tick(weaving, vec![done(2, 1, some_row(1))]).unwrap();
    store.bring_back(opened.piece).unwrap();
    store.bring_back(opened.piece).unwrap();
    assert!(!store.is_put_away(opened.piece).unwrap());
    // A text that two have leads to the one in the list, though the other is later.
    store.put_away(other.piece).unwrap();
    assert_eq!(store.open_text(MAT, "bench").unwrap().piece, opened.piece);
    let nobody: PieceId = "0".repeat(32).parse().unwrap();
    for gone in [store.put_away(nobody), store.bring_back(nobody), store.is_put_away(nobody).map(|_| ())] {
        assert!(matches!(gone, Err(Error::NotThere(Missing::Piece))));
    }
}

#[test]
fn any_history_is_undone_to_its_start_and_redone_to_its_end() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let begun = AtomicU32::new(0);
    // 10,000 histories and more with PROPTEST_CASES.
    proptest!(|(doings in doings())| {
        let start = format!("start {}", begun.fetch_add(1, Ordering::SeqCst));
        let piece = store.open_fresh(&start, "laptop").unwrap().piece;
        // What undo and redo have meant since there are text editors: two stacks.
        let (mut before, mut now, mut after) = (vec![], start.clone(), vec![]);
        let mut made = 1;
        for (k, doing) in doings.iter().enumerate() {
            let shown = match doing {
                Do::Edit(n) => {
                    let text = format!("{k} {n}");
                    before.push(std::mem::replace(&mut now, text.clone()));
                    after.clear();
                    made += 1;
                    Some(edit(&store, piece, &text))
                }
                Do::Undo => {
                    if let Some(text) = before.pop() {
                        after.push(std::mem::replace(&mut now, text));
                    }
                    undo(&store, piece)
                }
                Do::Redo => {
                    if let Some(text) = after.pop() {
                        before.push(std::mem::replace(&mut now, text));
                    }
                    redo(&store, piece)
                }
            };
            let head = store.head(piece).unwrap();
            prop_assert_eq!(&head.text, &now);
            prop_assert_eq!(head.undo.is_some(), !before.is_empty());
            prop_assert_eq!(head.redo.is_some(), !after.is_empty());
            if let Some(shown) = shown {
                prop_assert_eq!(shown, head);
            }
        }
        // Everything that ever was is there still.
        let history = store.history(piece).unwrap();
        prop_assert_eq!(history.len(), made);
        while redo(&store, piece).is_some() {}
        let end = store.head(piece).unwrap();
        let mut steps = 0;
        while undo(&store, piece).is_some() {
            steps += 1;
        }
        prop_assert_eq!(store.head(piece).unwrap().text, start);
        for _ in 0..steps {
            prop_assert!(redo(&store, piece).is_some());
        }
        prop_assert_eq!(store.head(piece).unwrap(), end);
    });
}

#[test]
fn undo_goes_back_to_the_start_after_a_restart() {
    let home = tempfile::tempdir().unwrap();
    let piece = {
        let store = open(home.path());
        let piece = store.open_text("row 0", "laptop").unwrap().piece;
        for k in 1..=300 {
            edit(&store, piece, &format!("row {k}"));
        }
        piece
    };
    let store = Store::open(home.path(), TestWorld::with_seed(2)).unwrap();
    for k in (0..300).rev() {
        assert_eq!(undo(&store, piece).unwrap().text, format!("row {k}"));
    }
    assert_eq!(undo(&store, piece), None);
    assert_eq!(store.moves(piece).unwrap().len(), 601, "undo is recorded too");
    drop(store);
    let store = Store::open(home.path(), TestWorld::with_seed(3)).unwrap();
    assert_eq!(redo(&store, piece).unwrap().text, "row 1", "and so is where redo leads");
}

#[test]
fn a_new_edit_after_an_undo_starts_a_branch_and_the_old_one_is_reached_still() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let piece = store.open_text("pools", "laptop").unwrap().piece;
    let shoals = edit(&store, piece, "shoals");
    let foam = edit(&store, piece, "foam");
    undo(&store, piece);
    undo(&store, piece);
    let samphire = edit(&store, piece, "samphire");
    assert_eq!(redo(&store, piece), None);
    let there = saved(store.go(piece, samphire.revision.id, foam.revision.id, "phone").unwrap());
    assert_eq!((there.text.as_str(), there.undo, there.redo), ("foam", Some(shoals.revision.id), None));
    // Redo leads back along the way that was gone last.
    undo(&store, piece);
    undo(&store, piece);
    assert_eq!(redo(&store, piece).unwrap().text, "shoals");
    assert_eq!(redo(&store, piece).unwrap().text, "foam");
    let kinds: Vec<MoveKind> = store.moves(piece).unwrap().into_iter().map(|moved| moved.kind).collect();
    use MoveKind::{Begin, Edit, Go, Redo, Undo};
    assert_eq!(kinds, [Begin, Edit, Edit, Undo, Undo, Edit, Go, Undo, Undo, Redo, Redo]);
    assert_eq!(store.history(piece).unwrap().len(), 4);
}

#[test]
fn a_change_of_an_old_revision_is_answered_with_what_changed_and_saves_nothing() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let piece = store.open_text("pools", "laptop").unwrap().piece;
    let start = store.head(piece).unwrap().revision;
    let shoals = edit(&store, piece, "shoals").revision;
    undo(&store, piece);
    let reed = edit(&store, piece, "reed").revision;
    let slate = edit(&store, piece, "slate").revision;
    let before = (store.history(piece).unwrap(), store.moves(piece).unwrap());
    let answer = store.edit(piece, change(shoals.id, "foam")).unwrap();
    let Changed::Stale(conflict) = answer else { panic!("{answer:?}") };
    assert_eq!((conflict.base.text.as_str(), conflict.head.text.as_str()), ("shoals", "slate"));
    assert_eq!(conflict.undone, [shoals]);
    assert_eq!(conflict.made, [reed, slate.clone()]);
    for answer in [
        store.undo(piece, start.id, "phone").unwrap(),
        store.redo(piece, start.id, "phone").unwrap(),
        store.go(piece, start.id, slate.id, "phone").unwrap(),
    ] {
        assert!(matches!(answer, Changed::Stale(_)), "{answer:?}");
    }
    assert_eq!(before, (store.history(piece).unwrap(), store.moves(piece).unwrap()));
    // Whoever decides to make it all the same makes it on the head.
    assert_eq!(saved(store.edit(piece, change(slate.id, "foam")).unwrap()).text, "foam");
}

#[test]
fn two_devices_that_change_the_same_revision_at_once_never_lose_one_another_silently() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let opened = store.open_text("pools", "laptop").unwrap();
    let answers: Vec<Changed> = std::thread::scope(|scope| {
        let store = &store;
        let each =
            |k: u32| move || store.edit(opened.piece, change(opened.revision, &format!("by {k}"))).unwrap();
        let devices: Vec<_> = (0..8).map(|k| scope.spawn(each(k))).collect();
        devices.into_iter().map(|device| device.join().unwrap()).collect()
    });
    assert_eq!(answers.iter().filter(|answer| matches!(answer, Changed::Saved(_))).count(), 1);
    assert_eq!(answers.iter().filter(|answer| matches!(answer, Changed::Stale(_))).count(), 7);
}

#[test]
fn a_change_that_is_sent_again_is_made_once() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let opened = store.open_text("pools", "laptop").unwrap();
    let id: RevisionId = "0123456789abcdef0123456789abcdef".parse().unwrap();
    let sent = Change { id: Some(id), ..change(opened.revision, "shoals") };
    let first = saved(store.edit(opened.piece, sent.clone()).unwrap());
    assert_eq!(first.revision.id, id);
    assert_eq!(saved(store.edit(opened.piece, sent.clone()).unwrap()), first);
    assert_eq!(store.history(opened.piece).unwrap().len(), 2);
    let other = Change { text: "foam".into(), ..sent };
    assert!(matches!(store.edit(opened.piece, other), Err(Error::IdTaken)));
    let same = store.edit(opened.piece, change(id, "shoals")).unwrap();
    assert!(matches!(same, Changed::Nothing(head) if head == first), "no change makes no revision");
}

#[test]
fn the_same_text_as_a_known_revision_opens_that_piece() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let mat = store.open_text(MAT, "laptop").unwrap();
    assert!(mat.new);
    let edited = edit(&store, mat.piece, "another");
    let found = store.open_text(MAT, "laptop").unwrap();
    assert_eq!((found.piece, found.revision, found.new), (mat.piece, mat.revision, false));
    assert_eq!(store.head(mat.piece).unwrap(), edited, "its head stays where it is");
    assert!(store.open_text(&format!("{MAT}\n"), "laptop").unwrap().new, "one more line is another text");
    let copy = store.open_fresh(MAT, "laptop").unwrap();
    assert!(copy.new && copy.piece != mat.piece, "the one that had it shows another by now");
    assert!(!store.open_fresh(MAT, "laptop").unwrap().new, "asked again, it is the same");
    assert_eq!(store.open_text(MAT, "laptop").unwrap().piece, copy.piece, "rather the one that shows it");
    let order: Vec<_> = store.pieces().unwrap().into_iter().take(2).map(|piece| piece.id).collect();
    assert_eq!(order[0], copy.piece, "the one that moved last first");
    assert_ne!(order[1], mat.piece, "which moved before the one with a line more was made");
}

#[test]
fn what_is_not_there_is_said() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let here = store.open_text("pools", "laptop").unwrap();
    let other = store.open_text("shoals", "laptop").unwrap();
    let no_piece: PieceId = "ffffffffffffffffffffffffffffffff".parse().unwrap();
    let no_revision: RevisionId = "ffffffffffffffffffffffffffffffff".parse().unwrap();
    let missing = |error: Error| match error {
        Error::NotThere(missing) => missing,
        other => panic!("{other}"),
    };
    assert_eq!(missing(store.head(no_piece).unwrap_err()), Missing::Piece);
    assert_eq!(missing(store.history(no_piece).unwrap_err()), Missing::Piece);
    assert_eq!(missing(store.moves(no_piece).unwrap_err()), Missing::Piece);
    assert_eq!(missing(store.revision(no_revision).unwrap_err()), Missing::Revision);
    for base in [no_revision, other.revision] {
        assert_eq!(missing(store.edit(here.piece, change(base, "x")).unwrap_err()), Missing::Revision);
        assert_eq!(missing(store.go(here.piece, here.revision, base, "x").unwrap_err()), Missing::Revision);
    }
    let long = "#".repeat((1 << 20) + 1);
    assert!(matches!(store.open_text(&long, "laptop"), Err(Error::TooLong { .. })));
    assert!(matches!(store.edit(here.piece, change(here.revision, &long)), Err(Error::TooLong { .. })));
}

#[test]
fn a_piece_is_parted_in_one_step_or_not_at_all() {
    let home = tempfile::tempdir().unwrap();
    let store = open(home.path());
    let opened = store.open_text("pools", "laptop").unwrap();
    let ahead = edit(&store, opened.piece, "shoals").revision.id;
    // Four at once make one piece; the others are told that it has moved on.
    let part = || store.part(opened.piece, ahead, opened.revision, "laptop").unwrap();
    let answers: Vec<Parted> = std::thread::scope(|scope| {
        let asked: Vec<_> = (0..4).map(|_| scope.spawn(part)).collect();
        asked.into_iter().map(|answer| answer.join().unwrap()).collect()
    });
    let apart = answers.iter().filter_map(|answer| match answer {
        Parted::Apart { new, head } => Some((new, head)),
        Parted::Stale(conflict) => {
            assert_eq!(conflict.head.revision.id, opened.revision);
            None
        }
    });
    let [(new, head)] = apart.collect::<Vec<_>>()[..] else { panic!("{answers:?}") };
    assert_eq!((head.revision.id, head.text.as_str()), (opened.revision, "pools"));
    assert_eq!(store.head(new.piece).unwrap().text, "shoals");
    assert_eq!(store.pieces().unwrap().len(), 2);
    // Nothing is made where the second half can't be done.
    let before = store.pieces().unwrap();
    for nowhere in [opened.revision, new.revision] {
        store.part(opened.piece, opened.revision, nowhere, "laptop").unwrap_err();
    }
    assert_eq!(store.pieces().unwrap(), before);
}
