//! The file's tables, how an older file becomes a newer one, and how a file is opened.

use crate::backup::Backups;
use crate::{Error, Result};
use fellmark_core::weaving::Moment;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};
use std::path::Path;

/// "Fell" in ASCII: how the file says whose it is (SQLite's `application_id`).
const APPLICATION: u32 = 0x4665_6c6c;

/// Step `k` makes a file of schema `k` one of schema `k + 1`. A step that was ever released stays as it is.
const STEPS: &[&str] = &[
    include_str!("schema/1.sql"),
    include_str!("schema/2.sql"),
    include_str!("schema/3.sql"),
    include_str!("schema/4.sql"),
];

/// The schema that this version writes.
pub const SCHEMA: u32 = STEPS.len() as u32;

/// What opening a file found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Found {
    /// It wasn't closed the last time.
    pub unclean: bool,
    /// The schema it had; 0 if there was nothing in it.
    pub schema: u32,
}

/// Opens the file for writing: looks whose it is, looks through it if it wasn't closed the last time, and brings
/// an older one up to date, with a backup first.
pub(crate) fn open(file: &Path, backups: &mut Backups, now: Moment) -> Result<(Connection, Found)> {
    open_with(file, backups, now, STEPS).map_err(|error| error.about(file))
}

fn open_with(file: &Path, backups: &mut Backups, now: Moment, steps: &[&str]) -> Result<(Connection, Found)> {
    let unclean = left_behind(file, "-wal") || left_behind(file, "-journal");
    let mut db = connect(file)?;
    let schema = whose(&db, file, steps.len() as u32)?;
    if unclean {
        look_through(&db)?;
    }
    // A setting of the file; all others are of the connection.
    db.pragma_update(None, "journal_mode", "WAL")?;
    settings(&db)?;
    if (1..steps.len() as u32).contains(&schema) {
        backups.before_schema(&db, schema + 1, now)?;
    }
    for (step, to) in steps.iter().zip(1_u32..).skip(schema as usize) {
        let tx = db.transaction_with_behavior(TransactionBehavior::Exclusive)?;
        tx.execute_batch(step)?;
        tx.pragma_update(None, "application_id", APPLICATION)?;
        tx.pragma_update(None, "user_version", to)?;
        tx.commit()?;
    }
    Ok((db, Found { unclean, schema }))
}

/// Opens the same file for reading alone.
pub(crate) fn open_reader(file: &Path) -> Result<Connection> {
    let open = || {
        let db = connect(file)?;
        settings(&db)?;
        db.pragma_update(None, "query_only", true)?;
        Ok(db)
    };
    open().map_err(|error: Error| error.about(file))
}

fn connect(file: &Path) -> Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    Ok(Connection::open_with_flags(file, flags)?)
}

/// A commit is on the disk when it is acknowledged (`synchronous`), nothing in the file can run by itself
/// (`trusted_schema`), and what is damaged is noticed early (`cell_size_check`).
fn settings(db: &Connection) -> Result<()> {
    db.busy_timeout(std::time::Duration::from_secs(5))?;
    db.pragma_update(None, "synchronous", "FULL")?;
    db.pragma_update(None, "fullfsync", true)?;
    db.pragma_update(None, "checkpoint_fullfsync", true)?;
    db.pragma_update(None, "foreign_keys", true)?;
    db.pragma_update(None, "trusted_schema", false)?;
    db.pragma_update(None, "cell_size_check", true)?;
    db.set_prepared_statement_cache_capacity(64);
    Ok(())
}

/// Whether SQLite left a file beside this one, which it removes when the last connection closes.
fn left_behind(file: &Path, ending: &str) -> bool {
    let mut beside = file.as_os_str().to_owned();
    beside.push(ending);
    Path::new(&beside).exists()
}

/// The file's schema, if it is ours and not from a newer version. Nothing is written.
fn whose(db: &Connection, file: &Path, known: u32) -> Result<u32> {
    let not_ours = || Error::NotOurs { file: file.to_owned() };
    let number = |pragma: &str| db.pragma_query_value(None, pragma, |row| row.get::<_, i64>(0));
    let application = number("application_id")?;
    let schema = u32::try_from(number("user_version")?).map_err(|_| not_ours())?;
    let empty: bool =
        db.query_row("SELECT NOT EXISTS (SELECT 1 FROM sqlite_schema)", [], |row| row.get(0))?;
    match (application, schema) {
        (0, 0) if empty => Ok(0),
        (application, _) if application != i64::from(APPLICATION) => Err(not_ours()),
        (_, found) if found > known => Err(Error::Newer { file: file.to_owned(), found, known }),
        (_, 0) => Err(not_ours()),
        (_, found) => Ok(found),
    }
}

/// Looks through the whole file for damage.
pub(crate) fn look_through(db: &Connection) -> Result<()> {
    let said: String = db.pragma_query_value(None, "quick_check", |row| row.get(0))?;
    if said == "ok" {
        return Ok(());
    }
    Err(Error::Disk {
        file: Default::default(),
        trouble: crate::Trouble::Damaged,
        to: crate::Doing::Opening,
        said,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Trouble;

    fn number(db: &Connection, sql: &str) -> i64 {
        db.query_row(sql, [], |row| row.get(0)).unwrap()
    }

    #[test]
    fn a_step_that_fails_leaves_the_file_as_it_was_with_a_backup_beside_it() {
        let home = tempfile::tempdir().unwrap();
        let file = home.path().join("kept.db");
        std::fs::write(&file, "").unwrap();
        let mut backups = Backups::new(home.path().join("backups"));
        let now = Moment(1_772_352_000_000);
        let first = "CREATE TABLE band (name TEXT) STRICT; INSERT INTO band VALUES ('hem');";
        open_with(&file, &mut backups, now, &[first]).unwrap();
        // The second half of the second step can't be done: its first half must not stay either.
        let second = "INSERT INTO band VALUES ('tide'); INSERT INTO nowhere VALUES (1);";
        open_with(&file, &mut backups, now, &[first, second]).unwrap_err();
        let (db, found) = open_with(&file, &mut backups, now, &[first]).unwrap();
        assert_eq!(found.schema, 1);
        assert_eq!(number(&db, "SELECT count(*) FROM band"), 1);
        let [backup] = &Backups::list(&home.path().join("backups"))[..] else { panic!("one backup") };
        assert_eq!(backup.name, "before-schema-2-2026-03-01");
        assert_eq!(number(&Connection::open(&backup.file).unwrap(), "SELECT count(*) FROM band"), 1);
    }

    #[test]
    fn no_step_is_taken_without_its_backup() {
        let home = tempfile::tempdir().unwrap();
        let file = home.path().join("kept.db");
        std::fs::write(&file, "").unwrap();
        // A file stands where the folder should be.
        let place = home.path().join("backups");
        std::fs::write(&place, "").unwrap();
        let mut backups = Backups::new(place);
        let steps = ["CREATE TABLE band (name TEXT) STRICT", "DROP TABLE band"];
        open_with(&file, &mut backups, Moment(0), &steps[..1]).unwrap();
        open_with(&file, &mut backups, Moment(0), &steps).unwrap_err();
        let (db, found) = open_with(&file, &mut backups, Moment(0), &steps[..1]).unwrap();
        assert_eq!((found.schema, number(&db, "SELECT count(*) FROM band")), (1, 0));
    }

    #[test]
    fn the_settings_hold_on_both_connections() {
        let home = tempfile::tempdir().unwrap();
        let file = home.path().join("kept.db");
        std::fs::write(&file, "").unwrap();
        let mut backups = Backups::new(home.path().join("backups"));
        let (writer, _) = open(&file, &mut backups, Moment(0)).unwrap();
        let reader = open_reader(&file).unwrap();
        for db in [&writer, &reader] {
            let mode: String = db.query_row("PRAGMA journal_mode", [], |row| row.get(0)).unwrap();
            assert_eq!(mode, "wal");
            for (pragma, value) in [
                ("synchronous", 2),
                ("foreign_keys", 1),
                ("trusted_schema", 0),
                ("cell_size_check", 1),
                ("busy_timeout", 5000),
                ("fullfsync", 1),
            ] {
                assert_eq!(number(db, &format!("PRAGMA {pragma}")), value, "{pragma}");
            }
        }
        assert!(reader.execute("DELETE FROM piece", []).is_err(), "the reader only reads");
        let untidy = "SELECT count(*) FROM sqlite_schema
            WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND sql NOT LIKE '%STRICT%'";
        assert_eq!(number(&writer, untidy), 0, "every table is strict");
        assert_eq!(number(&writer, "PRAGMA user_version"), i64::from(SCHEMA));
    }

    #[test]
    fn a_tick_and_a_revision_can_not_be_changed_even_by_hand() {
        let home = tempfile::tempdir().unwrap();
        let file = home.path().join("kept.db");
        std::fs::write(&file, "").unwrap();
        let (db, _) = open(&file, &mut Backups::new(home.path().join("backups")), Moment(0)).unwrap();
        db.execute_batch(
            "BEGIN;
            INSERT INTO piece VALUES (zeroblob(16), zeroblob(16), 0, NULL);
            INSERT INTO revision VALUES (1, zeroblob(16), zeroblob(16), NULL, NULL, '', zeroblob(32), '', '', 0);
            INSERT INTO weaving VALUES (zeroblob(16), zeroblob(16), 0, '', 0);
            INSERT INTO tick VALUES (zeroblob(16), zeroblob(16), 0, 0, NULL, '', 0);
            COMMIT;",
        )
        .unwrap();
        assert!(db.execute("UPDATE tick SET row = 1", []).is_err());
        assert!(db.execute("UPDATE revision SET text = 'other'", []).is_err());
        assert_eq!(db.execute("UPDATE revision SET redo = NULL", []), Ok(1), "where redo leads may change");
    }

    #[test]
    fn a_file_that_may_not_grow_says_that_no_room_is_left() {
        let home = tempfile::tempdir().unwrap();
        let file = home.path().join("kept.db");
        std::fs::write(&file, "").unwrap();
        let (db, _) = open(&file, &mut Backups::new(home.path().join("backups")), Moment(0)).unwrap();
        let pages = number(&db, "PRAGMA page_count");
        db.pragma_update(None, "max_page_count", pages).unwrap();
        let mut filled = Ok(0);
        for _ in 0..100 {
            filled = filled.and_then(|_| db.execute("CREATE TABLE IF NOT EXISTS room (text TEXT)", []));
            filled = filled.and_then(|_| db.execute("INSERT INTO room VALUES (hex(zeroblob(4096)))", []));
        }
        let error = Error::from(filled.unwrap_err()).about(&file);
        assert!(matches!(error, Error::Disk { trouble: Trouble::Full, .. }), "{error:?}");
        let words = error.to_string();
        assert!(words.contains("kept.db") && words.contains("Make room"), "{words}");
    }
}
