//! Writing an archive. The same content gives the same bytes: everything is in an order of its own, and no
//! moment of packing is written down.

use super::json::{About, HistoryJson, MoveJson, PlanJson, RevisionJson, TickJson, WeavingJson};
use super::{ABOUT, FORMAT, HISTORY, PIECES, WEAVINGS};
use crate::id::EventId;
use crate::moves::MoveKind;
use crate::pieces::read_revision;
use crate::store::Store;
use crate::ticks::{find, read_log};
use crate::weavings::{list, read_plans};
use crate::{Error, PieceId, Result, RevisionId, WeavingInfo, write_tick_id};
use rusqlite::{Connection, Row};
use std::io::{Seek, Write};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

impl Store {
    /// Writes everything that is kept (but no device and no token) into one archive.
    ///
    /// # Errors
    /// If the disk, or what is written to, fails.
    pub fn export(&self, to: impl Write + Seek) -> Result<()> {
        let mut pack = Pack { zip: ZipWriter::new(to) };
        self.read(|db| {
            pack.json(ABOUT, &About { format: FORMAT })?;
            let mut all = db.prepare_cached("SELECT id FROM piece ORDER BY id")?;
            let pieces: Vec<PieceId> =
                all.query_map([], |row| row.get(0))?.collect::<rusqlite::Result<_>>()?;
            for &piece in &pieces {
                pack.piece(db, piece)?;
            }
            for &piece in &pieces {
                for info in list(db, piece)? {
                    pack.weaving(db, &info)?;
                }
            }
            Ok(())
        })?;
        pack.zip.finish().and_then(|mut to| Ok(to.flush()?)).map_err(written)
    }
}

struct Pack<W: Write + Seek> {
    zip: ZipWriter<W>,
}

impl<W: Write + Seek> Pack<W> {
    fn file(&mut self, name: &str, bytes: &[u8]) -> Result<()> {
        let options = SimpleFileOptions::default().unix_permissions(0o600);
        self.zip.start_file(name, options).map_err(written)?;
        self.zip.write_all(bytes).map_err(written)
    }

    fn json(&mut self, name: &str, value: &impl serde::Serialize) -> Result<()> {
        let mut text = serde_json::to_string_pretty(value).map_err(written)?;
        text.push('\n');
        self.file(name, text.as_bytes())
    }

    fn piece(&mut self, db: &Connection, piece: PieceId) -> Result<()> {
        let (head, made_at, put_away_at): (RevisionId, i64, Option<i64>) = db
            .prepare_cached("SELECT head, made_at, put_away_at FROM piece WHERE id = ?1")?
            .query_row([piece], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
        let shown = read_revision(db, head)?.text;
        let folder = format!("{PIECES}{}{piece}/", readable(&shown));
        self.file(&format!("{folder}plan.toml"), shown.as_bytes())?;
        let mut revisions = Vec::new();
        let mut ids = db.prepare_cached("SELECT id, redo FROM revision WHERE piece = ?1 ORDER BY seq")?;
        let mut found = ids.query([piece])?;
        while let Some(row) = found.next()? {
            let revision = read_revision(db, row.get(0)?)?;
            let redo = row.get::<_, Option<RevisionId>>(1)?.map(|redo| redo.to_string());
            let file = format!("revisions/{:04}.toml", revisions.len() + 1);
            self.file(&format!("{folder}{file}"), revision.text.as_bytes())?;
            revisions.push(RevisionJson::of(&revision, redo, file));
        }
        let moves = r#"SELECT id, kind, revision, "by", at FROM move WHERE piece = ?1 ORDER BY seq"#;
        let read = |row: &Row<'_>| {
            Ok(MoveJson {
                id: row.get::<_, EventId>(0)?.to_string(),
                kind: row.get::<_, MoveKind>(1)?.name().to_owned(),
                revision: row.get::<_, RevisionId>(2)?.to_string(),
                by: row.get(3)?,
                at: row.get(4)?,
            })
        };
        let moves = db.prepare_cached(moves)?.query_map([piece], read)?.collect::<rusqlite::Result<_>>()?;
        let history = HistoryJson {
            piece: piece.to_string(),
            made_at,
            put_away_at,
            head: head.to_string(),
            revisions,
            moves,
        };
        self.json(&format!("{folder}{HISTORY}"), &history)
    }

    fn weaving(&mut self, db: &Connection, info: &WeavingInfo) -> Result<()> {
        let mut json = WeavingJson::of(info);
        json.plans =
            read_plans(db, info.id)?.iter().map(|(id, plan)| PlanJson::of(id.to_string(), plan)).collect();
        for (id, tick) in read_log(db, info.id, None)?.iter() {
            let by = find(db, id)?.map_or(String::new(), |known| known.by);
            json.ticks.push(TickJson::of(write_tick_id(id), tick, by));
        }
        self.json(&format!("{WEAVINGS}{}.json", info.id), &json)
    }
}

/// The plan's name as part of a file name, with a hyphen after it; empty if there is nothing to show.
fn readable(text: &str) -> String {
    let name = fellmark_note::read(text).map_or(String::new(), |note| note.plan.name);
    let mut readable = String::new();
    for letter in name.chars().take(40) {
        if letter.is_ascii_alphanumeric() {
            readable.push(letter.to_ascii_lowercase());
        } else if !readable.is_empty() && !readable.ends_with('-') {
            readable.push('-');
        }
    }
    if !readable.is_empty() && !readable.ends_with('-') {
        readable.push('-');
    }
    readable
}

fn written(error: impl Into<std::io::Error>) -> Error {
    Error::disk(std::path::Path::new("the archive"), &error.into())
}
