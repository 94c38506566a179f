//! Adding what an archive holds to what is kept here: of each piece and each weaving all or nothing. Each is a
//! transaction of its own, so that a row done is kept meanwhile.

use super::json::{HistoryJson, MoveJson, PlanJson, RevisionJson, TickJson, WeavingJson};
use super::unpack::{Unpack, UnpackedPiece};
use crate::moves::{self, MoveKind};
use crate::pieces::{self, Revision, RevisionInfo, find_revision, head_id, piece_of, within};
use crate::store::Store;
use crate::ticks;
use crate::weavings::{self, WeavingInfo, WeavingPlan};
use crate::world::World;
use crate::{Error, PieceId, Result, RevisionId, WeavingId, read_tick_id};
use fellmark_core::weaving::Moment;
use rusqlite::{Connection, OptionalExtension, params};
use std::collections::BTreeSet;
use std::fmt;
use std::io::{Read, Seek};
use std::str::FromStr;

/// What an archive brought that wasn't here yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Imported {
    /// Pieces.
    pub pieces: usize,
    /// Revisions, those of new pieces with them.
    pub revisions: usize,
    /// Weavings.
    pub weavings: usize,
    /// Ticks, those of new weavings with them.
    pub ticks: usize,
    /// Pieces known before whose head has moved on, since what came goes on from it.
    pub moved_on: usize,
}

impl Imported {
    /// Whether nothing came.
    pub(crate) fn is_nothing(&self) -> bool {
        *self == Imported::default()
    }

    fn and(self, more: Imported) -> Imported {
        Imported {
            pieces: self.pieces + more.pieces,
            revisions: self.revisions + more.revisions,
            weavings: self.weavings + more.weavings,
            ticks: self.ticks + more.ticks,
            moved_on: self.moved_on + more.moved_on,
        }
    }
}

impl fmt::Display for Imported {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let counted = |count: usize, one: &str| match count {
            1 => format!("1 {one}"),
            count => format!("{count} {one}s"),
        };
        write!(
            f,
            "{}, {}, {}",
            counted(self.pieces, "new piece"),
            counted(self.revisions, "revision"),
            counted(self.weavings, "new weaving")
        )
    }
}

/// What an archive brought of one of its pieces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Came {
    /// The piece.
    pub piece: PieceId,
    /// Whether it was not here at all.
    pub is_new: bool,
    /// Whether it was known, and its head has moved on.
    pub moved_on: bool,
    /// Revisions that were not here.
    pub revisions: usize,
    /// Weavings that were not here.
    pub weavings: usize,
    /// Rows that are done by ticks that were not here.
    pub rows: usize,
}

/// What an archive brought: all of it, and of each of its pieces, those of which nothing is new with them.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Brought {
    /// All together.
    pub total: Imported,
    /// Piece by piece.
    pub each: Vec<Came>,
}

impl Brought {
    fn of(&mut self, piece: PieceId) -> &mut Came {
        let known = self.each.iter().position(|came| came.piece == piece);
        let at = known.unwrap_or_else(|| {
            let none = Came { piece, is_new: false, moved_on: false, revisions: 0, weavings: 0, rows: 0 };
            self.each.push(none);
            self.each.len() - 1
        });
        &mut self.each[at]
    }

    /// Adds what came of another of its entries.
    fn and(&mut self, more: Brought) {
        self.total = self.total.and(more.total);
        for came in more.each {
            let known = self.of(came.piece);
            known.is_new |= came.is_new;
            known.moved_on |= came.moved_on;
            known.revisions += came.revisions;
            known.weavings += came.weavings;
            known.rows += came.rows;
        }
    }
}

impl Store {
    /// Takes an archive in. What is known already stays as it is. A piece's head moves on where the archive's
    /// head is new here and goes on from it; otherwise what is new is a branch beside it.
    ///
    /// # Errors
    /// If it is no archive or a newer version wrote it; then nothing is changed. If something in it does not
    /// hold together or contradicts what is kept here, or the disk fails: nothing of that piece or weaving is
    /// taken in, what came before it stays, and [`Error::Archive`] says what that was. Taking the archive in
    /// again adds what isn't there yet.
    pub fn import(&self, from: impl Read + Seek, by: &str) -> Result<Brought> {
        let mut unpack = Unpack::open(from)?;
        let mut came = Brought::default();
        let stopped = |error, came: Imported| match error {
            Error::Archive { entry, said, .. } => Error::Archive { entry, said, came },
            other => other,
        };
        for entry in unpack.pieces() {
            let piece = unpack.piece(&entry);
            let added = piece.and_then(|piece| {
                self.add_one(entry, by, move |at, world, by| add_piece(at, world, piece, by))
            });
            came.and(added.map_err(|error| stopped(error, came.total))?);
        }
        for entry in unpack.weavings() {
            let weaving = unpack.weaving(&entry);
            let added = weaving.and_then(|weaving| {
                self.add_one(entry, by, move |at, world, _| add_weaving(at, &weaving, world.now()))
            });
            came.and(added.map_err(|error| stopped(error, came.total))?);
        }
        Ok(came)
    }

    fn add_one(
        &self,
        entry: String,
        by: &str,
        add: impl FnOnce(&mut At<'_>, &mut dyn World, &str) -> Result<()> + Send + 'static,
    ) -> Result<Brought> {
        let by = by.to_owned();
        self.write(move |db, world| {
            let mut brought = Brought::default();
            add(&mut At { db, entry: &entry, brought: &mut brought }, world, &by)?;
            Ok(brought)
        })
    }
}

/// The entry that is being added.
struct At<'a> {
    db: &'a Connection,
    entry: &'a str,
    brought: &'a mut Brought,
}

impl At<'_> {
    fn error(&self, said: impl Into<String>) -> Error {
        Error::archive(self.entry, said)
    }

    fn id<T: FromStr>(&self, text: &str) -> Result<T> {
        text.parse().map_err(|_| self.error(format!("{text:?} is no id.")))
    }

    fn optional_id<T: FromStr>(&self, text: &Option<String>) -> Result<Option<T>> {
        text.as_deref().map(|text| self.id(text)).transpose()
    }

    /// A revision of a piece.
    fn revision_of(&self, piece: PieceId, text: &str) -> Result<RevisionId> {
        let id = self.id(text)?;
        match piece_of(self.db, id)? {
            Some(whose) if whose == piece => Ok(id),
            _ => Err(self.error(format!("the piece has no revision {text}."))),
        }
    }
}

fn add_piece(at: &mut At<'_>, world: &mut dyn World, unpacked: UnpackedPiece, by: &str) -> Result<()> {
    let UnpackedPiece { history, texts } = unpacked;
    let HistoryJson { piece, made_at, put_away_at, head: shown, revisions, moves } = &history;
    let (piece, head): (PieceId, RevisionId) = (at.id(piece)?, at.id(shown)?);
    let known = match head_id(at.db, piece) {
        Ok(here) => Some(here),
        Err(Error::NotThere(_)) => None,
        Err(error) => return Err(error),
    };
    if known.is_none() {
        pieces::add_piece(at.db, piece, head, Moment(*made_at), put_away_at.map(Moment))?;
        at.brought.total.pieces += 1;
    }
    let mut new = BTreeSet::new();
    for (json, text) in revisions.iter().zip(texts) {
        let is_first = known.is_none() && new.is_empty();
        if let Some(id) = add_revision(at, piece, json, text, is_first)? {
            new.insert(id);
        }
    }
    at.brought.total.revisions += new.len();
    let came = at.brought.of(piece);
    came.is_new = known.is_none();
    came.revisions += new.len();
    at.revision_of(piece, shown)?;
    for json in revisions {
        let id: RevisionId = at.id(&json.id)?;
        if let Some(redo) = at.optional_id::<RevisionId>(&json.redo)? {
            let sql = "UPDATE revision SET redo = ?2 WHERE id = ?1 AND redo IS NULL
                AND EXISTS (SELECT 1 FROM revision WHERE id = ?2 AND parent = ?1)";
            at.db.prepare_cached(sql)?.execute(params![id, redo])?;
        }
    }
    for json in moves {
        add_move(at, piece, json)?;
    }
    match known {
        // Every head was moved there: where the archive doesn't say by whom, it was by taking it in.
        None if !moves::leads_to(at.db, head)? => {
            moves::move_head(at.db, world, piece, MoveKind::Import, head, by)
        }
        None => moves::lead_to(at.db, head),
        Some(here) if new.contains(&head) && pieces::line(at.db, head)?.iter().any(|r| r.id == here) => {
            at.brought.total.moved_on += 1;
            at.brought.of(piece).moved_on = true;
            moves::move_head(at.db, world, piece, MoveKind::Import, head, by)
        }
        Some(_) => Ok(()),
    }
}

/// Adds a revision whose parent is there; gives its id if it is new.
fn add_revision(
    at: &At<'_>,
    piece: PieceId,
    json: &RevisionJson,
    text: String,
    is_first: bool,
) -> Result<Option<RevisionId>> {
    let id: RevisionId = at.id(&json.id)?;
    let parent: Option<RevisionId> = at.optional_id(&json.parent)?;
    within(&json.label)?;
    if let Some(known) = find_revision(at.db, id)? {
        if known.info.piece != piece || known.info.parent != parent || known.text != text {
            return Err(at.error(format!("revision {id} is another one than the one of that id kept here.")));
        }
        return Ok(None);
    }
    match &json.parent {
        Some(parent) => {
            at.revision_of(piece, parent)?;
        }
        None if is_first => {}
        None => return Err(at.error(format!("revision {id} has no parent, but it is not the first."))),
    }
    let info = RevisionInfo {
        id,
        piece,
        parent,
        label: json.label.clone(),
        by: json.by.clone(),
        at: Moment(json.at),
    };
    pieces::add_revision(at.db, &Revision { info, text })?;
    Ok(Some(id))
}

fn add_move(at: &At<'_>, piece: PieceId, json: &MoveJson) -> Result<()> {
    let revision = at.revision_of(piece, &json.revision)?;
    let kind =
        MoveKind::named(&json.kind).ok_or_else(|| at.error(format!("no head moves by {:?}.", json.kind)))?;
    moves::add_known(at.db, at.id(&json.id)?, piece, kind, revision, &json.by, Moment(json.at))
}

fn add_weaving(at: &mut At<'_>, json: &WeavingJson, now: Moment) -> Result<()> {
    let (id, piece): (WeavingId, PieceId) = (at.id(&json.weaving)?, at.id(&json.piece)?);
    head_id(at.db, piece).map_err(|error| match error {
        Error::NotThere(_) => at.error(format!("its piece {piece} is neither in the archive nor here.")),
        other => other,
    })?;
    match weavings::find_info(at.db, id)? {
        Some(known) if known.piece != piece => {
            return Err(at.error(format!("weaving {id} is kept here with another piece.")));
        }
        Some(_) => {}
        None => {
            let info = WeavingInfo {
                id,
                piece,
                mirrored: json.mirrored,
                by: json.by.clone(),
                made_at: Moment(json.made_at),
            };
            weavings::add_weaving(at.db, &info)?;
            at.brought.total.weavings += 1;
            at.brought.of(piece).weavings += 1;
        }
    }
    for plan in &json.plans {
        add_plan(at, id, piece, plan)?;
    }
    if weavings::read_plans(at.db, id)?.is_empty() {
        return Err(at.error("it follows no revision."));
    }
    let mut rows = BTreeSet::new();
    for tick in &json.ticks {
        if add_tick(at, id, tick, now)? && tick.woven.is_some() {
            rows.insert(tick.row);
        }
    }
    at.brought.of(piece).rows += rows.len();
    Ok(())
}

fn add_plan(at: &At<'_>, weaving: WeavingId, piece: PieceId, json: &PlanJson) -> Result<()> {
    let id = at.id(&json.id)?;
    let known = "SELECT 1 FROM weaving_plan WHERE id = ?1";
    if at.db.prepare_cached(known)?.query_row([id], |_| Ok(())).optional()?.is_some() {
        return Ok(());
    }
    let revision = at.revision_of(piece, &json.revision)?;
    let plan = WeavingPlan { revision, counts: json.counts(), by: json.by.clone(), at: Moment(json.at) };
    weavings::add_plan(at.db, weaving, id, &plan)
}

/// Adds a tick; whether it is new.
fn add_tick(at: &mut At<'_>, weaving: WeavingId, json: &TickJson, now: Moment) -> Result<bool> {
    let id = read_tick_id(&json.id).map_err(|_| at.error(format!("{:?} is no id.", json.id)))?;
    let tick = json
        .tick()
        .ok_or_else(|| at.error(format!("tick {} has a row, ends or figures that no row has.", json.id)))?;
    match ticks::find(at.db, id)? {
        Some(known) if known.weaving != weaving || known.tick != tick => {
            Err(at.error(format!("tick {} is another one than the one of that id kept here.", json.id)))
        }
        Some(_) => Ok(false),
        None => {
            ticks::add(at.db, weaving, id, &tick, &json.by, now)?;
            at.brought.total.ticks += 1;
            Ok(true)
        }
    }
}
