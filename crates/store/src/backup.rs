//! Backups: whole copies of the file, looked through and named only when they are complete.

use crate::folder::{make_private_folder, private_file, sync_folder};
use crate::schema::look_through;
use crate::{Error, Result};
use fellmark_core::weaving::Moment;
use rusqlite::Connection;
use rusqlite::backup;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Daily backups that are kept.
const KEPT: usize = 7;
const DAY: i64 = 86_400_000;
const ENDING: &str = ".db";

/// A backup.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Backup {
    /// The file.
    pub file: PathBuf,
    /// What it is named for: its day, or the schema it was made before.
    pub name: String,
}

/// The folder of backups.
#[derive(Debug)]
pub(crate) struct Backups {
    folder: PathBuf,
    /// The day of the latest daily backup that was made or tried.
    day: Option<i64>,
}

impl Backups {
    pub(crate) fn new(folder: PathBuf) -> Backups {
        Backups { folder, day: None }
    }

    /// The backups there are, the oldest first, those of days before those of schemas.
    pub(crate) fn list(folder: &Path) -> Vec<Backup> {
        let entries = fs::read_dir(folder).into_iter().flatten().flatten();
        let mut all: Vec<Backup> = entries
            .filter_map(|entry| {
                let name = entry.file_name().into_string().ok()?.strip_suffix(ENDING)?.to_owned();
                Some(Backup { file: entry.path(), name })
            })
            .collect();
        all.sort_by(|a, b| a.name.cmp(&b.name));
        all
    }

    /// Makes today's backup where it is due: once a day, and only if there is something to keep. `None`: it
    /// isn't due.
    pub(crate) fn daily(&mut self, db: &Connection, now: Moment) -> Option<Result<()>> {
        let day = now.0.div_euclid(DAY);
        if self.day == Some(day) {
            return None;
        }
        let make = || {
            if !db.query_row("SELECT EXISTS (SELECT 1 FROM piece)", [], |row| row.get(0))? {
                return Ok(false);
            }
            let name = date(db, now)?;
            if !self.folder.join(format!("{name}{ENDING}")).exists() {
                self.make(db, &name)?;
            }
            self.thin_out()?;
            Ok(true)
        };
        match make() {
            Ok(false) => None,
            made => {
                self.day = Some(day);
                Some(made.map(drop))
            }
        }
    }

    /// Makes the backup that goes before a new schema; it is never thinned out.
    pub(crate) fn before_schema(&mut self, db: &Connection, schema: u32, now: Moment) -> Result<()> {
        let name = format!("before-schema-{schema}-{}", date(db, now)?);
        self.make(db, &name)
    }

    fn make(&self, db: &Connection, name: &str) -> Result<()> {
        make_private_folder(&self.folder)?;
        let unfinished = self.folder.join(format!("{name}.unfinished"));
        let finished = self.folder.join(format!("{name}{ENDING}"));
        let disk = |error: std::io::Error| Error::disk(&unfinished, &error);
        if unfinished.exists() {
            fs::remove_file(&unfinished).map_err(disk)?;
        }
        let made = private_file(&unfinished).and_then(|file| {
            copy(db, &unfinished).map_err(|error| error.about(&unfinished))?;
            file.sync_all().map_err(disk)?;
            fs::rename(&unfinished, &finished).map_err(disk)
        });
        if let Err(error) = made {
            // What is left of it is of no use; that it can't be removed either is no news.
            let _ = fs::remove_file(&unfinished);
            return Err(error);
        }
        sync_folder(&self.folder)
    }

    /// Removes the oldest daily backups past those that are kept.
    fn thin_out(&self) -> Result<()> {
        let mut days = Backups::list(&self.folder);
        days.retain(|backup| backup.name.starts_with(|first: char| first.is_ascii_digit()));
        let too_many = days.len().saturating_sub(KEPT);
        for backup in days.into_iter().take(too_many) {
            fs::remove_file(&backup.file).map_err(|error| Error::disk(&backup.file, &error))?;
        }
        Ok(())
    }
}

/// Copies the whole file, makes the copy one that needs no file beside it, and looks through it.
fn copy(db: &Connection, to: &Path) -> Result<()> {
    let mut copy = Connection::open(to)?;
    backup::Backup::new(db, &mut copy)?.run_to_completion(1024, Duration::ZERO, None)?;
    copy.pragma_update(None, "journal_mode", "DELETE")?;
    look_through(&copy)?;
    copy.close().map_err(|(_, error)| error.into())
}

/// The day of a moment in UTC, as in 2026-11-25.
fn date(db: &Connection, moment: Moment) -> Result<String> {
    Ok(db.query_row("SELECT date(?1, 'unixepoch')", [moment.0.div_euclid(1000)], |row| row.get(0))?)
}
