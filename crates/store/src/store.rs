//! The store: one folder, one writer, one reader.

use crate::backup::Backups;
use crate::folder::Folder;
use crate::schema::{self, Found};
use crate::world::World;
use crate::writer::{Desk, Writer};
use crate::{Doing, Error, Result};
use rusqlite::{Connection, Transaction};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// The pieces and weavings in one folder. All calls may be made from any thread; they wait for the disk.
/// Dropping it finishes what was handed in and closes the file.
#[derive(Debug)]
pub struct Store {
    /// `None` only while closing: the writer must be the last to close the file, which tidies it up.
    reader: Mutex<Option<Connection>>,
    writer: Writer,
    found: Found,
    file: PathBuf,
    // Last, so that the folder is free only when the file is closed.
    _folder: Folder,
}

impl Store {
    /// Opens the store in a folder, which is made if it isn't there. It is private to its owner. A file of an
    /// older version is backed up and brought up to date; after a crash the file is looked through first.
    ///
    /// # Errors
    /// If another program has it open, a newer version wrote it, it is damaged or not ours, or the disk does
    /// not let us.
    pub fn open(folder: &Path, world: impl World + 'static) -> Result<Store> {
        let mut world: Box<dyn World> = Box::new(world);
        let folder = Folder::open(folder)?;
        let file = folder.file()?;
        let mut backups = Backups::new(folder.backups());
        let (db, found) = schema::open(&file, &mut backups, world.now())?;
        let reader = schema::open_reader(&file)?;
        let writer = Writer::start(Desk { db, world, backups, file: file.clone() })?;
        Ok(Store { reader: Mutex::new(Some(reader)), writer, found, file, _folder: folder })
    }

    /// The file that holds everything.
    #[must_use]
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// Whether the file had not been closed the last time (it was looked through, and is in order).
    #[must_use]
    pub fn was_left_open(&self) -> bool {
        self.found.unclean
    }

    /// The schema the file had before it was brought up to date; `None` if it was new or up to date.
    #[must_use]
    pub fn came_from_schema(&self) -> Option<u32> {
        (1..schema::SCHEMA).contains(&self.found.schema).then_some(self.found.schema)
    }

    /// Why today's backup could not be made, what is so and what to do, for a person to read; `None` if there is
    /// nothing to tell.
    #[must_use]
    pub fn backup_trouble(&self) -> Option<(String, String)> {
        self.writer.trouble.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Waits until the backup that was due at the start, or after what was kept last, was made or has failed.
    pub fn wait_for_backup(&self) {
        // The writer makes it before anything else that it is asked for.
        let _ = self.writer.at_desk(|_| Ok(()));
    }

    pub(crate) fn write<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Transaction<'_>, &mut dyn World) -> Result<T> + Send + 'static,
    ) -> Result<T> {
        self.writer.write(work)
    }

    /// Reads in one transaction, so that all of it is of one moment.
    pub(crate) fn read<T>(&self, work: impl FnOnce(&Transaction<'_>) -> Result<T>) -> Result<T> {
        let mut reader = self.reader.lock().unwrap_or_else(PoisonError::into_inner);
        let db = reader.as_mut().ok_or(Error::Closed)?;
        let read = || {
            let tx = db.transaction()?;
            work(&tx)
        };
        read().map_err(|error: Error| error.about(&self.file).while_doing(Doing::Reading))
    }
}

impl Drop for Store {
    fn drop(&mut self) {
        *self.reader.lock().unwrap_or_else(PoisonError::into_inner) = None;
        self.writer.close();
    }
}
