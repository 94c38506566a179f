//! The folder that holds the pieces: private to its owner, and open in one program at a time.

use crate::{Error, Result};
use etcetera::BaseStrategy;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};

/// The name of the folder within the system's folder for data.
const NAME: &str = "fellmark";
const FILE: &str = "fellmark.db";
const LOCK: &str = "fellmark.lock";
const BACKUPS: &str = "backups";

/// Where pieces are kept unless another folder is named: the platform's folder for a user's data.
///
/// # Errors
/// If the system doesn't say where that is.
pub fn data_folder() -> Result<PathBuf> {
    let strategy = etcetera::base_strategy::choose_native_strategy().map_err(|_| Error::NoDataFolder)?;
    Ok(strategy.data_dir().join(NAME))
}

/// A folder, locked for this program for as long as this value lives.
#[derive(Debug)]
pub(crate) struct Folder {
    path: PathBuf,
    lock: File,
}

impl Folder {
    /// Makes the folder if need be, and locks it.
    pub(crate) fn open(path: &Path) -> Result<Folder> {
        let ours = !path.exists() || path.join(FILE).exists() || is_empty(path);
        make_private_folder(path)?;
        if ours {
            make_private(path)?;
        }
        let lock_path = path.join(LOCK);
        let lock = private_file(&lock_path)?;
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Err(Error::InUse { folder: path.to_owned() }),
            Err(TryLockError::Error(error)) => return Err(Error::disk(&lock_path, &error)),
        }
        Ok(Folder { path: path.to_owned(), lock })
    }

    /// The file that holds everything; made empty and private if it isn't there.
    pub(crate) fn file(&self) -> Result<PathBuf> {
        let file = self.path.join(FILE);
        private_file(&file)?;
        make_private(&file)?;
        Ok(file)
    }

    /// The folder for backups; made if it isn't there.
    pub(crate) fn backups(&self) -> PathBuf {
        self.path.join(BACKUPS)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // Closing the file would not be enough: a program that is being started, such as a browser, holds what is open here
        // until it runs.
        let _ = self.lock.unlock();
    }
}

fn is_empty(path: &Path) -> bool {
    fs::read_dir(path).is_ok_and(|mut entries| entries.next().is_none())
}

/// A folder that only its owner may look into, with the folders above it where they are missing.
pub(crate) fn make_private_folder(path: &Path) -> Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(path).map_err(|error| Error::disk(path, &error))
}

/// A file that only its owner may read, opened for writing; what it holds is left as it is.
pub(crate) fn private_file(path: &Path) -> Result<File> {
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path).map_err(|error| Error::disk(path, &error))
}

/// Takes from everybody but the owner what they may do; what the owner may stays.
#[cfg(unix)]
fn make_private(path: &Path) -> Result<()> {
    use std::os::unix::fs::PermissionsExt;
    let of = |error: std::io::Error| Error::disk(path, &error);
    let mode = fs::metadata(path).map_err(of)?.permissions().mode();
    if mode & 0o077 == 0 {
        return Ok(());
    }
    fs::set_permissions(path, fs::Permissions::from_mode(mode & 0o700)).map_err(of)
}

/// Elsewhere the user's own folder is private as it is.
#[cfg(not(unix))]
fn make_private(_path: &Path) -> Result<()> {
    Ok(())
}

/// Sees to it that the names in a folder are on the disk, as far as the system can.
pub(crate) fn sync_folder(path: &Path) -> Result<()> {
    #[cfg(unix)]
    File::open(path).and_then(|folder| folder.sync_all()).map_err(|error| Error::disk(path, &error))?;
    #[cfg(not(unix))]
    let _ = path;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_that_was_left_is_free_though_another_still_holds_its_lock_open() {
        let home = tempfile::tempdir().unwrap();
        let folder = Folder::open(home.path()).unwrap();
        // As a program does that is being started.
        let held = folder.lock.try_clone().unwrap();
        assert!(matches!(Folder::open(home.path()), Err(Error::InUse { .. })));
        drop(folder);
        Folder::open(home.path()).unwrap();
        drop(held);
    }
}
