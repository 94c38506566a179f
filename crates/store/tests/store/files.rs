//! Files of other versions, other programs and other days.

use crate::common::{DAY, MAT, MORNING, TestWorld, done, open, rows_done, some_row, weave};
use fellmark_core::weaving::Moment;
use fellmark_store::{Changed, Error, PieceId, SCHEMA, Store, TokenHash, Trouble, WeavingId};
use rusqlite::Connection;
use std::fs;
use std::path::{Path, PathBuf};

/// One for each schema that ever was, newest last; each stays for ever.
const SAMPLES: [&str; 4] = [
    include_str!("../samples/schema-1.sql"),
    include_str!("../samples/schema-2.sql"),
    include_str!("../samples/schema-3.sql"),
    include_str!("../samples/schema-4.sql"),
];

fn file(folder: &Path) -> PathBuf {
    folder.join("fellmark.db")
}

/// The backups there are, by their names.
fn backups(home: &Path) -> Vec<(String, PathBuf)> {
    let entries = fs::read_dir(home.join("backups")).into_iter().flatten();
    let paths = entries.map(|entry| entry.unwrap().path());
    let mut all: Vec<(String, PathBuf)> =
        paths.map(|path| (path.file_stem().unwrap().to_str().unwrap().to_owned(), path)).collect();
    all.sort();
    all
}

/// Waits until the writer is through, also with the backup that its clock asks for now.
fn backed_up(store: &Store) {
    store.wait_for_backup();
    store.wait_for_backup();
}

fn number(db: &Connection, sql: &str) -> u32 {
    db.query_row(sql, [], |row| row.get(0)).unwrap()
}

#[test]
fn there_is_a_sample_of_every_schema() {
    assert_eq!(SAMPLES.len() as u32, SCHEMA);
}

#[test]
fn files_of_every_earlier_schema_open_with_all_they_hold() {
    for (sample, schema) in SAMPLES.iter().zip(1_u32..) {
        let home = tempfile::tempdir().unwrap();
        Connection::open(file(home.path())).unwrap().execute_batch(sample).unwrap();
        let store = open(home.path());
        assert_eq!(store.came_from_schema(), (schema < SCHEMA).then_some(schema));
        let piece: PieceId = "a0000000000000000000000000000001".parse().unwrap();
        let weaving: WeavingId = "c0000000000000000000000000000001".parse().unwrap();
        let head = store.head(piece).unwrap();
        assert_eq!(head.text, "schema = 1\nname = \"Reed and foam\"\n# two\n");
        assert_eq!(head.revision.label, "{\"edit\":\"warp_ends\",\"ends\":24}");
        assert_eq!(store.history(piece).unwrap().len(), 3);
        assert_eq!(store.moves(piece).unwrap().len(), 6);
        assert_eq!(rows_done(&store, weaving), [0, 2]);
        let kept = store.weaving(weaving).unwrap();
        assert_eq!((kept.plan.counts.ends, kept.plan.counts.rows()), (24, 12));
        assert_eq!(kept.log.rows()[&0].weft, "slate");
        assert_eq!(
            store.is_put_away(piece).unwrap(),
            schema >= 3,
            "before there was such a thing it stood in the list"
        );
        // It goes on from there.
        let Changed::Saved(head) = store.undo(piece, head.revision.id, "bench").unwrap() else { panic!() };
        assert_eq!(head.text, "schema = 1\nname = \"Reed and foam\"\n");
        store.tick(weaving, vec![done(7, 3, some_row(3))]).unwrap();
        let phone = store.device(TokenHash::of(&[7; 32]), Moment(1_772_352_000_000)).unwrap();
        assert_eq!(phone.map(|phone| phone.name), (schema >= 2).then(|| "Phone".to_owned()));
        let before: Vec<_> =
            backups(home.path()).into_iter().filter(|(name, _)| name.starts_with("before")).collect();
        if schema == SCHEMA {
            assert!(before.is_empty());
        } else {
            assert_eq!(before[0].0, format!("before-schema-{}-2026-03-01", schema + 1));
            let backup = Connection::open(&before[0].1).unwrap();
            assert_eq!(number(&backup, "PRAGMA user_version"), schema);
            assert_eq!(number(&backup, "SELECT count(*) FROM revision"), 3);
        }
    }
}

#[test]
fn a_file_of_a_newer_version_is_refused_and_left_as_it_is() {
    let home = tempfile::tempdir().unwrap();
    weave(&open(home.path()), MAT);
    let db = Connection::open(file(home.path())).unwrap();
    db.pragma_update(None, "user_version", 99).unwrap();
    db.close().unwrap();
    let before = fs::read(file(home.path())).unwrap();
    let Err(error) = Store::open(home.path(), TestWorld::new()) else { panic!("it must not open") };
    assert!(matches!(error, Error::Newer { found: 99, known: SCHEMA, .. }));
    let words = error.to_string();
    assert!(
        words.contains("fellmark.db") && words.contains("newer Fellmark") && words.contains("99"),
        "{words}"
    );
    assert_eq!(fs::read(file(home.path())).unwrap(), before);
}

#[test]
fn a_file_of_something_else_is_refused_and_left_as_it_is() {
    let home = tempfile::tempdir().unwrap();
    let db = Connection::open(file(home.path())).unwrap();
    db.execute_batch("CREATE TABLE letters (text)").unwrap();
    db.close().unwrap();
    let before = fs::read(file(home.path())).unwrap();
    assert!(matches!(Store::open(home.path(), TestWorld::new()), Err(Error::NotOurs { .. })));
    assert_eq!(fs::read(file(home.path())).unwrap(), before);
    fs::write(
        file(home.path()),
        "a letter, long enough that it could be a header, but it isn't one at all: ".repeat(9),
    )
    .unwrap();
    let Err(error) = Store::open(home.path(), TestWorld::new()) else { panic!("it must not open") };
    assert!(matches!(error, Error::Disk { trouble: Trouble::Damaged, .. }), "{error}");
    assert!(error.to_string().contains("backups"), "{error}");
}

#[test]
fn a_damaged_file_is_found_after_a_crash_and_the_backup_takes_its_place() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("kept");
    let world = TestWorld::new();
    let store = Store::open(&folder, world.clone()).unwrap();
    let (opened, weaving) = weave(&store, MAT);
    store.tick(weaving, (0..200).map(|row| done(row, row, some_row(row))).collect()).unwrap();
    // The next day's backup has them all.
    world.set(MORNING + DAY);
    backed_up(&store);
    drop(store);
    let mut bytes = fs::read(file(&folder)).unwrap();
    // All pages but the first few, as if another program had written there.
    bytes[4096 * 3..].iter_mut().step_by(7).for_each(|byte| *byte ^= 0x5a);
    fs::write(file(&folder), &bytes).unwrap();
    fs::write(folder.join("fellmark.db-wal"), "").unwrap();
    let Err(error) = Store::open(&folder, TestWorld::new()) else { panic!("it must not open") };
    assert!(matches!(error, Error::Disk { trouble: Trouble::Damaged, .. }), "{error}");
    assert_eq!(fs::read(file(&folder)).unwrap(), bytes, "nothing in it was changed");
    // What the message says to do.
    fs::rename(file(&folder), home.path().join("damaged.db")).unwrap();
    let (_, newest) = backups(&folder).pop().unwrap();
    fs::copy(newest, file(&folder)).unwrap();
    let store = open(&folder);
    assert_eq!(store.head(opened.piece).unwrap().text, MAT);
    assert_eq!(rows_done(&store, weaving).len(), 200);
}

#[test]
fn a_backup_is_made_on_every_day_of_use_and_seven_are_kept() {
    let home = tempfile::tempdir().unwrap();
    let world = TestWorld::new();
    let store = Store::open(home.path(), world.clone()).unwrap();
    let names = || backups(home.path()).into_iter().map(|(name, _)| name).collect::<Vec<_>>();
    store.devices(Moment(0)).unwrap();
    assert_eq!(names(), Vec::<String>::new(), "there is nothing to keep yet");
    let (_, weaving) = weave(&store, MAT);
    for day in 0..10 {
        world.set(MORNING + day * DAY);
        for row in 0..3 {
            let number = day as u32 * 3 + row;
            store.tick(weaving, vec![done(number, number, some_row(number))]).unwrap();
        }
    }
    backed_up(&store);
    let last_seven: Vec<String> = (4..=10).map(|day| format!("2026-03-{day:02}")).collect();
    assert_eq!(names(), last_seven);
    assert_eq!(store.backup_trouble(), None);
    for ((name, file), day) in backups(home.path()).iter().zip(3..) {
        let copy = Connection::open(file).unwrap();
        let check: String = copy.query_row("PRAGMA quick_check", [], |row| row.get(0)).unwrap();
        assert_eq!(check, "ok");
        // The writer looks at the clock after its work: yesterday's last or today's first.
        let ticks = number(&copy, "SELECT count(*) FROM tick");
        assert!((day * 3..=day * 3 + 1).contains(&ticks), "{name}: {ticks}");
    }
    drop(store);
    world.set(MORNING + 20 * DAY);
    let store = Store::open(home.path(), world).unwrap();
    backed_up(&store);
    assert_eq!(names().last().map(String::as_str), Some("2026-03-21"));
    assert_eq!(names().len(), 7);
    let left = fs::read_dir(home.path().join("backups")).unwrap().count();
    assert_eq!(left, 7, "nothing unfinished lies about");
}

#[test]
fn that_a_backup_fails_is_told_and_keeps_nobody_from_working() {
    let home = tempfile::tempdir().unwrap();
    // A file stands where the folder of backups should be.
    fs::write(home.path().join("backups"), "").unwrap();
    let store = open(home.path());
    let (_, weaving) = weave(&store, MAT);
    store.tick(weaving, vec![done(1, 0, some_row(0))]).unwrap();
    store.wait_for_backup();
    let (told, help) = store.backup_trouble().expect("it is told");
    assert!(told.contains("backups") && told.contains("no backup of today"), "{told}");
    assert!(!told.contains("isn't saved") && help.contains("start Fellmark again"), "{told} {help}");
    assert_eq!(rows_done(&store, weaving), [0]);
}
