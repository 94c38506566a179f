//! Reading an archive: its files, within bounds, and the JSON in them. Nothing is believed yet.

use super::json::{About, HistoryJson, WeavingJson};
use super::{ABOUT, FORMAT, HISTORY, PIECES, WEAVINGS};
use crate::{Error, Result};
use fellmark_core::plan::bounds;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::io::{Read, Seek};
use zip::ZipArchive;
use zip::result::ZipError;

/// What an archive may hold, so that a small file can't fill the memory.
const MOST_FILES: usize = 500_000;
const MOST_BYTES: u64 = 1 << 30;
const MOST_JSON: u64 = 128 << 20;

/// What stands in an archive, each with the name of the entry it comes from.
pub(super) struct Unpacked {
    pub pieces: Vec<UnpackedPiece>,
    pub weavings: Vec<(String, WeavingJson)>,
}

pub(super) struct UnpackedPiece {
    pub entry: String,
    pub history: HistoryJson,
    /// One for each revision of the history.
    pub texts: Vec<String>,
}

pub(super) fn unpack(from: impl Read + Seek) -> Result<Unpacked> {
    let mut zip = ZipArchive::new(from).map_err(|error| match error {
        ZipError::InvalidArchive(_) | ZipError::UnsupportedArchive(_) => {
            Error::archive("", "it is no zip file, or it is not whole.")
        }
        error => unreadable("", error),
    })?;
    if zip.len() > MOST_FILES {
        return Err(Error::archive("", format!("it holds more than {MOST_FILES} files.")));
    }
    let mut left = MOST_BYTES;
    let about: Option<About> = match find(&mut zip, ABOUT, &mut left)? {
        Some(bytes) => Some(json(ABOUT, &bytes)?),
        None => None,
    };
    match about {
        None => return Err(Error::archive("", format!("it has no {ABOUT}, so it is no archive of pieces."))),
        Some(About { format }) if format > FORMAT => {
            return Err(Error::archive(
                "",
                format!(
                    "a newer Fellmark wrote it (its format is {format}, this one knows {FORMAT}). \
                 Take it in with the newer Fellmark."
                ),
            ));
        }
        Some(_) => {}
    }
    let mut files = BTreeMap::new();
    for at in 0..zip.len() {
        let file = zip.by_index(at).map_err(|error| unreadable("", error))?;
        let name = file.name().map_err(|error| unreadable("", error))?.into_owned();
        if !file.is_file() || !(name.starts_with(PIECES) || name.starts_with(WEAVINGS)) {
            continue;
        }
        let most = if name.ends_with(".json") { MOST_JSON } else { bounds::BYTES as u64 };
        let bytes = read(file, &name, most, &mut left)?;
        files.insert(name, bytes);
    }
    let mut unpacked = Unpacked { pieces: Vec::new(), weavings: Vec::new() };
    for (name, bytes) in &files {
        if let Some(folder) = name.strip_suffix(HISTORY).filter(|folder| folder.starts_with(PIECES)) {
            let history: HistoryJson = json(name, bytes)?;
            let texts = history.revisions.iter().map(|revision| {
                let file = format!("{folder}{}", revision.text);
                let bytes = files.get(&file).ok_or_else(|| {
                    Error::archive(name, format!("the file {:?} is named, but there is none.", revision.text))
                })?;
                String::from_utf8(bytes.clone()).map_err(|_| Error::archive(&file, "the text is not UTF-8."))
            });
            let texts = texts.collect::<Result<_>>()?;
            unpacked.pieces.push(UnpackedPiece { entry: name.clone(), history, texts });
        } else if name.starts_with(WEAVINGS) && name.ends_with(".json") {
            unpacked.weavings.push((name.clone(), json(name, bytes)?));
        }
    }
    Ok(unpacked)
}

fn find<R: Read + Seek>(zip: &mut ZipArchive<R>, name: &str, left: &mut u64) -> Result<Option<Vec<u8>>> {
    match zip.by_name(name) {
        Ok(file) => read(file, name, MOST_JSON, left).map(Some),
        Err(ZipError::FileNotFound) => Ok(None),
        Err(error) => Err(unreadable(name, error)),
    }
}

fn read(file: impl Read, name: &str, most: u64, left: &mut u64) -> Result<Vec<u8>> {
    let most = most.min(*left);
    let mut bytes = Vec::new();
    file.take(most + 1).read_to_end(&mut bytes).map_err(|error| unreadable(name, error.into()))?;
    let length = bytes.len() as u64;
    if length > most {
        return Err(Error::archive(name, "there is more than any piece may hold."));
    }
    *left -= length;
    Ok(bytes)
}

fn json<T: DeserializeOwned>(name: &str, bytes: &[u8]) -> Result<T> {
    serde_json::from_slice(bytes).map_err(|error| Error::archive(name, format!("{error}.")))
}

fn unreadable(name: &str, error: ZipError) -> Error {
    Error::archive(name, format!("it can't be read as a zip file ({error})."))
}
