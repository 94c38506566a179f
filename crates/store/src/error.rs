//! What can go wrong, in plain words: what is so, where, and what to do.

use std::fmt;
use std::path::{Path, PathBuf};

/// Why the store could not do what it was asked.
#[derive(Debug)]
pub enum Error {
    /// Another program has the folder open.
    InUse {
        /// The folder.
        folder: PathBuf,
    },
    /// A newer version of the program wrote the file.
    Newer {
        /// The file.
        file: PathBuf,
        /// The file's schema.
        found: u32,
        /// The newest schema known here.
        known: u32,
    },
    /// The file belongs to something else.
    NotOurs {
        /// The file.
        file: PathBuf,
    },
    /// The disk, or the file on it, did not take or give what it should.
    Disk {
        /// The file or folder.
        file: PathBuf,
        /// What is the matter.
        trouble: Trouble,
        /// What the system said.
        said: String,
    },
    /// The system names no folder for data.
    NoDataFolder,
    /// Something that was asked for isn't kept here.
    NotThere(Missing),
    /// The text is longer than any plan may be.
    TooLong {
        /// Bytes it may have.
        most: usize,
    },
    /// The id is taken by something else.
    IdTaken,
    /// Another device has this name.
    NameTaken {
        /// The name.
        name: String,
    },
    /// As many devices as there may be are paired.
    TooManyDevices {
        /// How many that is.
        most: usize,
    },
    /// A row or a count past what any piece may have.
    OutOfBounds,
    /// The archive can't be taken in.
    Archive {
        /// The file within the archive; empty where it is about the archive itself.
        entry: String,
        /// What is the matter with it.
        said: String,
    },
    /// The store was closed, or its writer has failed.
    Closed,
}

/// What is the matter with a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trouble {
    /// No room is left.
    Full,
    /// It may not be written or opened.
    NotAllowed,
    /// Its content is damaged.
    Damaged,
    /// Another program holds it.
    Busy,
    /// Anything else.
    Other,
}

/// What isn't kept here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Missing {
    /// The piece.
    Piece,
    /// The revision, or it is another piece's.
    Revision,
    /// The weaving.
    Weaving,
    /// The device.
    Device,
}

impl Error {
    pub(crate) fn disk(file: &Path, error: &std::io::Error) -> Error {
        use std::io::ErrorKind as Kind;
        let trouble = match error.kind() {
            Kind::StorageFull | Kind::QuotaExceeded | Kind::FileTooLarge => Trouble::Full,
            Kind::PermissionDenied | Kind::ReadOnlyFilesystem => Trouble::NotAllowed,
            _ => Trouble::Other,
        };
        Error::Disk { file: file.to_owned(), trouble, said: error.to_string() }
    }

    pub(crate) fn archive(entry: &str, said: impl Into<String>) -> Error {
        Error::Archive { entry: entry.to_owned(), said: said.into() }
    }

    /// The same with the file that it is about, where that wasn't known yet.
    pub(crate) fn about(self, at: &Path) -> Error {
        match self {
            Error::Disk { file, trouble, said } if file.as_os_str().is_empty() => {
                Error::Disk { file: at.to_owned(), trouble, said }
            }
            other => other,
        }
    }
}

impl From<rusqlite::Error> for Error {
    fn from(error: rusqlite::Error) -> Error {
        use rusqlite::ErrorCode as Code;
        let trouble = match error.sqlite_error_code() {
            Some(Code::DiskFull) => Trouble::Full,
            Some(Code::ReadOnly | Code::CannotOpen | Code::PermissionDenied) => Trouble::NotAllowed,
            Some(Code::DatabaseCorrupt | Code::NotADatabase) => Trouble::Damaged,
            Some(Code::DatabaseBusy | Code::DatabaseLocked) => Trouble::Busy,
            _ => Trouble::Other,
        };
        Error::Disk { file: PathBuf::new(), trouble, said: error.to_string() }
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::InUse { folder } => write!(
                f,
                "Fellmark is open already with the pieces in {}. Go on there, or close it first.",
                folder.display()
            ),
            Error::Newer { file, found, known } => write!(
                f,
                "{} was written by a newer Fellmark (its schema is {found}, this one knows {known} and earlier). \
                 Nothing in it was changed. Open it with the newer Fellmark.",
                file.display()
            ),
            Error::NotOurs { file } => write!(
                f,
                "{} is not one of Fellmark's files. Nothing in it was changed. Name another folder for the pieces.",
                file.display()
            ),
            Error::Disk { file, trouble, said } => {
                let file = file.display();
                match trouble {
                    Trouble::Full => write!(
                        f,
                        "No room is left for {file} ({said}). This change isn't saved; everything before it is. \
                         Make room on the disk and do it again."
                    ),
                    Trouble::NotAllowed => write!(
                        f,
                        "{file} may not be written ({said}). This change isn't saved. \
                         See that the file and its folder belong to you and may be written."
                    ),
                    Trouble::Damaged => write!(
                        f,
                        "{file} is damaged ({said}). Nothing in it was changed. Close Fellmark, move the file to \
                         another place and put the newest file of the folder backups beside it there under its name."
                    ),
                    Trouble::Busy => write!(
                        f,
                        "Another program holds {file} ({said}). This change isn't saved. \
                         Close the other program and do it again."
                    ),
                    Trouble::Other => write!(
                        f,
                        "{file} could not be used ({said}). This change isn't saved. \
                         See whether the disk is in order, and do it again."
                    ),
                }
            }
            Error::NoDataFolder => {
                f.write_str("The system doesn't say where your data belongs. Name a folder for the pieces.")
            }
            Error::NotThere(Missing::Piece) => {
                f.write_str("There is no such piece here. Look for it in the list of pieces.")
            }
            Error::NotThere(Missing::Revision) => {
                f.write_str("This piece has no such revision. Look for it in the piece's history.")
            }
            Error::NotThere(Missing::Weaving) => {
                f.write_str("There is no such weaving here. Look for it beside its piece.")
            }
            Error::NotThere(Missing::Device) => f.write_str("No such device is paired. Pair it again."),
            Error::TooLong { most } => {
                write!(
                    f,
                    "The text is longer than {} KiB, which no plan may be. Make it shorter.",
                    most / 1024
                )
            }
            Error::IdTaken => f.write_str("Something else has this id already. Send it again with a new id."),
            Error::NameTaken { name } => {
                write!(f, "Another device is called {name}. Choose a name that tells them apart.")
            }
            Error::TooManyDevices { most } => {
                write!(f, "{most} devices are paired, and no more may be. Take one off the list first.")
            }
            Error::OutOfBounds => {
                f.write_str("No piece has a row of that number. Load the weaving again and tick its rows.")
            }
            Error::Archive { entry, said } if entry.is_empty() => {
                write!(f, "This file can't be taken in: {said} Nothing was changed.")
            }
            Error::Archive { entry, said } => {
                write!(f, "The archive can't be taken in: in {entry}, {said} Nothing was changed.")
            }
            Error::Closed => f.write_str("The store is closed. Start Fellmark again."),
        }
    }
}

impl std::error::Error for Error {}
