//! Reading an archive: its files, within bounds, and the JSON in them. Nothing is believed yet.
//!
//! Of what it holds no more is in the memory at once than one piece, or one weaving.

use super::json::{About, HistoryJson, WeavingJson};
use super::{ABOUT, FORMAT, HISTORY, PIECES, WEAVINGS};
use crate::{Error, Result};
use fellmark_core::plan::bounds;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::io::{Read, Seek, SeekFrom};
use zip::ZipArchive;
use zip::result::ZipError;

/// What an archive may hold, so that a small file can fill neither the memory nor the disk: so many times its own
/// length, and this much whatever its length. Plans and ticks become a tenth of their length in a zip file.
const MOST_TIMES: u64 = 64;
const MOST_ANYWAY: u64 = 16 << 20;
const MOST_BYTES: u64 = 1 << 30;
const MOST_FILES: usize = 500_000;
const MOST_JSON: u64 = 128 << 20;

/// An archive that is being read.
pub(super) struct Unpack<R> {
    zip: ZipArchive<R>,
    /// The place of each entry in the zip file.
    entries: BTreeMap<String, usize>,
    /// How many bytes it may hold.
    most: u64,
    /// How many of them are left.
    left: u64,
}

/// A piece, as it stands in an archive.
pub(super) struct UnpackedPiece {
    pub history: HistoryJson,
    /// One for each revision of the history.
    pub texts: Vec<String>,
}

impl<R: Read + Seek> Unpack<R> {
    /// Opens an archive and looks through it: what can be seen to be wrong with it without taking it in is said
    /// before anything of it is taken in.
    pub(super) fn open(mut from: R) -> Result<Unpack<R>> {
        let length = from.seek(SeekFrom::End(0)).map_err(|error| unreadable("", error.into()))?;
        let most = length.saturating_mul(MOST_TIMES).clamp(MOST_ANYWAY, MOST_BYTES);
        let mut zip = ZipArchive::new(from).map_err(|error| match error {
            ZipError::InvalidArchive(_) | ZipError::UnsupportedArchive(_) => {
                Error::archive("", "it is no zip file, or it is not whole.")
            }
            error => unreadable("", error),
        })?;
        if zip.len() > MOST_FILES {
            return Err(Error::archive("", format!("it holds more than {MOST_FILES} files.")));
        }
        let mut entries = BTreeMap::new();
        for at in 0..zip.len() {
            let file = zip.by_index_raw(at).map_err(|error| unreadable("", error))?;
            let name = file.name().map_err(|error| unreadable("", error))?.into_owned();
            if file.is_file() {
                entries.insert(name, at);
            }
        }
        let mut unpack = Unpack { zip, entries, most, left: most };
        unpack.look_through()?;
        unpack.left = most;
        Ok(unpack)
    }

    fn look_through(&mut self) -> Result<()> {
        if !self.entries.contains_key(ABOUT) {
            return Err(Error::archive("", format!("it has no {ABOUT}, so it is no archive of pieces.")));
        }
        let About { format } = self.json(ABOUT)?;
        if format > FORMAT {
            return Err(Error::archive(
                "",
                format!(
                    "a newer Fellmark wrote it (its format is {format}, this one knows {FORMAT}). \
                     Take it in with the newer Fellmark."
                ),
            ));
        }
        for entry in self.pieces() {
            let history: HistoryJson = self.json(&entry)?;
            for revision in &history.revisions {
                let (file, at) = self.text_of(&entry, &revision.text)?;
                let length = self.zip.by_index_raw(at).map_err(|error| unreadable(&file, error))?.size();
                self.take(&file, length, bounds::BYTES as u64)?;
            }
        }
        for entry in self.weavings() {
            self.weaving(&entry)?;
        }
        Ok(())
    }

    /// The entries that are pieces.
    pub(super) fn pieces(&self) -> Vec<String> {
        let is_one = |name: &&String| name.starts_with(PIECES) && name.ends_with(HISTORY);
        self.entries.keys().filter(is_one).cloned().collect()
    }

    /// The entries that are weavings.
    pub(super) fn weavings(&self) -> Vec<String> {
        let is_one = |name: &&String| name.starts_with(WEAVINGS) && name.ends_with(".json");
        self.entries.keys().filter(is_one).cloned().collect()
    }

    /// A piece with all its texts.
    pub(super) fn piece(&mut self, entry: &str) -> Result<UnpackedPiece> {
        let history: HistoryJson = self.json(entry)?;
        let texts = history.revisions.iter().map(|revision| {
            let (file, at) = self.text_of(entry, &revision.text)?;
            let bytes = self.bytes(&file, at, bounds::BYTES as u64)?;
            String::from_utf8(bytes).map_err(|_| Error::archive(&file, "the text is not UTF-8."))
        });
        let texts = texts.collect::<Result<_>>()?;
        Ok(UnpackedPiece { history, texts })
    }

    /// A weaving.
    pub(super) fn weaving(&mut self, entry: &str) -> Result<WeavingJson> {
        self.json(entry)
    }

    /// The file that a history names as a revision's text, and its place.
    fn text_of(&self, history: &str, text: &str) -> Result<(String, usize)> {
        let folder = history.strip_suffix(HISTORY).unwrap_or(history);
        let file = format!("{folder}{text}");
        match self.entries.get(&file) {
            Some(&at) => Ok((file, at)),
            None => Err(Error::archive(history, format!("the file {text:?} is named, but there is none."))),
        }
    }

    fn json<T: DeserializeOwned>(&mut self, name: &str) -> Result<T> {
        let none = || Error::archive(name, "there is no such file.");
        let at = *self.entries.get(name).ok_or_else(none)?;
        let bytes = self.bytes(name, at, MOST_JSON)?;
        serde_json::from_slice(&bytes).map_err(|error| Error::archive(name, format!("{error}.")))
    }

    fn bytes(&mut self, name: &str, at: usize, most: u64) -> Result<Vec<u8>> {
        let file = self.zip.by_index(at).map_err(|error| unreadable(name, error))?;
        let mut bytes = Vec::new();
        // One more than may be, so that it is seen where there is more, whatever the zip file says.
        let most_read = most.min(self.left).saturating_add(1);
        file.take(most_read).read_to_end(&mut bytes).map_err(|error| unreadable(name, error.into()))?;
        self.take(name, bytes.len() as u64, most)?;
        Ok(bytes)
    }

    /// Takes so many bytes of those that the archive may hold.
    fn take(&mut self, name: &str, length: u64, most: u64) -> Result<()> {
        if length > most {
            return Err(Error::archive(name, "there is more than any piece may hold."));
        }
        self.left = self.left.checked_sub(length).ok_or_else(|| {
            let most = self.most >> 20;
            Error::archive(
                name,
                format!("the archive unfolds to more than the {most} MiB that its length allows."),
            )
        })?;
        Ok(())
    }
}

fn unreadable(name: &str, error: ZipError) -> Error {
    Error::archive(name, format!("it can't be read as a zip file ({error})."))
}
