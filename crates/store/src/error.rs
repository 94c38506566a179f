//! What can go wrong, in plain words: what is so, where, and what to do.

use crate::Imported;
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
        /// What it was used for.
        to: Doing,
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
        /// What of it was taken in before, and stays.
        came: Imported,
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

/// What a file is used for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Doing {
    /// To be opened.
    #[default]
    Opening,
    /// To be read.
    Reading,
    /// To keep a change.
    Writing,
    /// To be copied to a backup.
    BackingUp,
}

impl Doing {
    /// What became of what was kept.
    fn kept(self) -> &'static str {
        match self {
            Doing::Opening => "Nothing in it was changed.",
            Doing::Reading => "Nothing was changed; what was saved before is as it was.",
            Doing::Writing => "This change isn't saved; everything before it is.",
            Doing::BackingUp => "So there is no backup of today; what you change is saved all the same.",
        }
    }

    fn again(self) -> &'static str {
        match self {
            Doing::Opening | Doing::Reading => "try again",
            Doing::Writing => "do it again",
            Doing::BackingUp => "start Fellmark again: it tries then, and tomorrow",
        }
    }
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
        Error::Disk { file: file.to_owned(), trouble, to: Doing::Opening, said: error.to_string() }
    }

    pub(crate) fn archive(entry: &str, said: impl Into<String>) -> Error {
        Error::Archive { entry: entry.to_owned(), said: said.into(), came: Imported::default() }
    }

    /// The same with the file that it is about, where that wasn't known yet.
    pub(crate) fn about(self, at: &Path) -> Error {
        match self {
            Error::Disk { file, trouble, to, said } if file.as_os_str().is_empty() => {
                Error::Disk { file: at.to_owned(), trouble, to, said }
            }
            other => other,
        }
    }

    /// The same with what the file was used for.
    pub(crate) fn while_doing(self, to: Doing) -> Error {
        match self {
            Error::Disk { file, trouble, said, .. } => Error::Disk { file, trouble, to, said },
            other => other,
        }
    }

    /// What is so, and what to do: a sentence or two each, the second empty where there is nothing to do.
    #[must_use]
    pub fn words(&self) -> (String, String) {
        let (message, help) = match self {
            Error::InUse { folder } => (
                format!("Fellmark is open already with the pieces in {}.", folder.display()),
                "Go on there, or close it first.".to_owned(),
            ),
            Error::Newer { file, found, known } => (
                format!(
                    "{} was written by a newer Fellmark (its schema is {found}, this one knows {known} and \
                     earlier). Nothing in it was changed.",
                    file.display()
                ),
                "Open it with the newer Fellmark.".to_owned(),
            ),
            Error::NotOurs { file } => (
                format!("{} is not one of Fellmark's files. Nothing in it was changed.", file.display()),
                "Name another folder for the pieces.".to_owned(),
            ),
            Error::Disk { file, trouble, to, said } => disk_words(file, *trouble, *to, said),
            Error::NoDataFolder => (
                "The system doesn't say where your data belongs.".to_owned(),
                "Name a folder for the pieces.".to_owned(),
            ),
            Error::NotThere(missing) => {
                let (what, way) = match missing {
                    Missing::Piece => ("There is no such piece here.", "Look for it in the list of pieces."),
                    Missing::Revision => {
                        ("This piece has no such revision.", "Look for it in the piece's history.")
                    }
                    Missing::Weaving => ("There is no such weaving here.", "Look for it beside its piece."),
                    Missing::Device => ("No such device is paired.", "Pair it again."),
                };
                (what.to_owned(), way.to_owned())
            }
            Error::TooLong { most } => (
                format!("The text is longer than {} KiB, which no plan may be.", most / 1024),
                "Make it shorter.".to_owned(),
            ),
            Error::IdTaken => {
                ("Something else has this id already.".to_owned(), "Send it again with a new id.".to_owned())
            }
            Error::NameTaken { name } => (
                format!("Another device is called {name}."),
                "Choose a name that tells them apart.".to_owned(),
            ),
            Error::TooManyDevices { most } => (
                format!("{most} devices are paired, and no more may be."),
                "Take one off the list first.".to_owned(),
            ),
            Error::OutOfBounds => (
                "No piece has a row of that number.".to_owned(),
                "Load the weaving again and tick its rows.".to_owned(),
            ),
            Error::Archive { entry, said, came } => {
                let what = match entry.as_str() {
                    "" => format!("This file can't be taken in: {said}"),
                    entry => format!("The archive can't be taken in: in {entry}, {said}"),
                };
                if came.is_nothing() {
                    (format!("{what} Nothing was changed."), String::new())
                } else {
                    (
                        format!("{what} What came before that in it was taken in and stays ({came})."),
                        "Mended, the archive can be taken in again: it adds what isn't there yet.".to_owned(),
                    )
                }
            }
            Error::Closed => ("The store is closed.".to_owned(), "Start Fellmark again.".to_owned()),
        };
        (message, help)
    }
}

fn disk_words(file: &Path, trouble: Trouble, to: Doing, said: &str) -> (String, String) {
    let (file, kept, again) = (file.display(), to.kept(), to.again());
    match trouble {
        Trouble::Full => (
            format!("No room is left for {file} ({said}). {kept}"),
            format!("Make room on the disk and {again}."),
        ),
        Trouble::NotAllowed => (
            format!("{file} may not be written ({said}). {kept}"),
            format!("See that the file and its folder belong to you and may be written, and {again}."),
        ),
        Trouble::Damaged => (
            format!("{file} is damaged ({said}). Nothing in it was changed."),
            "Close Fellmark, move the file to another place and put the newest file of the folder backups beside \
             it there under its name."
                .to_owned(),
        ),
        Trouble::Busy => (
            format!("Another program holds {file} ({said}). {kept}"),
            format!("Close the other program and {again}."),
        ),
        Trouble::Other => (
            format!("{file} could not be used ({said}). {kept}"),
            format!("See whether the disk is in order, and {again}."),
        ),
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
        Error::Disk { file: PathBuf::new(), trouble, to: Doing::Opening, said: error.to_string() }
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (message, help) = self.words();
        f.write_str(&message)?;
        if help.is_empty() { Ok(()) } else { write!(f, " {help}") }
    }
}

impl std::error::Error for Error {}
