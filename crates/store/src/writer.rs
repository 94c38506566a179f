//! The one thread that writes. Calls hand it work and wait; each piece of work is a transaction of its own, and
//! its answer is given after the commit, so what was acknowledged is on the disk.

use crate::backup::Backups;
use crate::world::World;
use crate::{Doing, Error, Result};
use rusqlite::{Connection, Transaction, TransactionBehavior};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::mpsc::{Sender, channel, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{self, JoinHandle};

type Work = Box<dyn FnOnce(&mut Desk) + Send>;

/// What the writer has before it.
pub(crate) struct Desk {
    pub db: Connection,
    pub world: Box<dyn World>,
    pub backups: Backups,
    pub file: PathBuf,
}

/// Why the last daily backup could not be made, in words; `None` if it could.
pub(crate) type BackupTrouble = Arc<Mutex<Option<(String, String)>>>;

#[derive(Debug)]
pub(crate) struct Writer {
    /// `None` once it is closing.
    work: Option<Sender<Work>>,
    thread: Option<JoinHandle<()>>,
    pub trouble: BackupTrouble,
}

impl Writer {
    pub(crate) fn start(desk: Desk) -> Result<Writer> {
        let (work, todo) = channel::<Work>();
        let trouble = BackupTrouble::default();
        let told = Arc::clone(&trouble);
        let file = desk.file.clone();
        let run = move || {
            let mut desk = desk;
            desk.back_up(&told);
            while let Ok(work) = todo.recv() {
                // Work that panics has let go of its transaction, which undoes it; whoever waits is told that
                // no answer comes.
                let _ = catch_unwind(AssertUnwindSafe(|| work(&mut desk)));
                desk.back_up(&told);
            }
            // Only advice for the planner of queries; closing goes on without it.
            let _ = desk.db.execute_batch("PRAGMA optimize");
        };
        let thread = thread::Builder::new()
            .name("store-writer".to_owned())
            .spawn(run)
            .map_err(|error| Error::disk(&file, &error))?;
        Ok(Writer { work: Some(work), thread: Some(thread), trouble })
    }

    /// Has work done on the desk, and waits for its answer.
    pub(crate) fn at_desk<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Desk) -> Result<T> + Send + 'static,
    ) -> Result<T> {
        let (answer, wait) = sync_channel(1);
        let work: Work = Box::new(move |desk| {
            let result = work(desk).map_err(|error| error.about(&desk.file));
            // Whoever asked may have stopped waiting.
            let _ = answer.send(result);
        });
        self.work.as_ref().ok_or(Error::Closed)?.send(work).map_err(|_| Error::Closed)?;
        wait.recv().map_err(|_| Error::Closed)?
    }

    /// Has work done in one transaction: all of it is on the disk when the answer comes, or nothing is.
    pub(crate) fn write<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Transaction<'_>, &mut dyn World) -> Result<T> + Send + 'static,
    ) -> Result<T> {
        self.at_desk(move |desk| {
            let write = || {
                let tx = desk.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
                let answer = work(&tx, desk.world.as_mut())?;
                tx.commit()?;
                Ok(answer)
            };
            write().map_err(|error: Error| error.while_doing(Doing::Writing))
        })
    }

    /// Finishes what was handed in and closes the connection.
    pub(crate) fn close(&mut self) {
        self.work = None;
        if let Some(thread) = self.thread.take() {
            // Work that panics is caught; nothing else in the thread can.
            let _ = thread.join();
        }
    }
}

impl Drop for Writer {
    fn drop(&mut self) {
        self.close();
    }
}

impl Desk {
    /// Makes today's backup where it is due. That it fails must not keep anybody from working.
    fn back_up(&mut self, trouble: &BackupTrouble) {
        let now = self.world.now();
        if let Some(made) = self.backups.daily(&self.db, now) {
            *trouble.lock().unwrap_or_else(PoisonError::into_inner) =
                made.err().map(|error| error.about(&self.file).while_doing(Doing::BackingUp).words());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::world::SystemWorld;

    #[test]
    fn work_that_panics_is_undone_and_the_next_is_done() {
        let home = tempfile::tempdir().unwrap();
        let file = home.path().join("kept.db");
        let db = Connection::open(&file).unwrap();
        db.execute_batch("CREATE TABLE piece (id); CREATE TABLE band (name)").unwrap();
        let backups = Backups::new(home.path().join("backups"));
        let desk = Desk { db, world: Box::new(SystemWorld), backups, file };
        let mut writer = Writer::start(desk).unwrap();
        let insert = |db: &Transaction<'_>| db.execute("INSERT INTO band VALUES ('hem')", []);
        let failed = writer.write(move |db, _| -> Result<()> {
            insert(db)?;
            panic!("this test panics on purpose")
        });
        assert!(matches!(failed, Err(Error::Closed)));
        writer.write(move |db, _| Ok(insert(db)?)).unwrap();
        let count =
            |db: &Transaction<'_>| db.query_row("SELECT count(*) FROM band", [], |row| row.get::<_, i64>(0));
        assert_eq!(writer.write(move |db, _| Ok(count(db)?)).unwrap(), 1);
        writer.close();
        assert!(matches!(writer.write(|_, _| Ok(())), Err(Error::Closed)));
    }
}
