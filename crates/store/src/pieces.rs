//! Pieces and their histories: a tree of revisions, and a head that moves along it.

use crate::moves::{MoveKind, move_head};
use crate::store::Store;
use crate::world::World;
use crate::{Error, Missing, PieceId, Result, RevisionId};
use fellmark_core::plan::bounds;
use fellmark_core::weaving::Moment;
use rusqlite::{Connection, OptionalExtension, Row, params};
use sha2::{Digest, Sha256};

/// A revision without its text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RevisionInfo {
    /// Its id.
    pub id: RevisionId,
    /// Whose it is.
    pub piece: PieceId,
    /// The revision it was made from; `None` for the first.
    pub parent: Option<RevisionId>,
    /// What was done, as whoever did it wrote it down (an edit as JSON); empty for a text brought in.
    pub label: String,
    /// The name of the device that did it.
    pub by: String,
    /// When.
    pub at: Moment,
}

/// A revision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    /// All but its text.
    pub info: RevisionInfo,
    /// The plan's text.
    pub text: String,
}

/// Where a piece is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// The revision that is shown.
    pub revision: RevisionInfo,
    /// Its text.
    pub text: String,
    /// Where undo leads; `None` at the start.
    pub undo: Option<RevisionId>,
    /// Where redo leads; `None` at the end.
    pub redo: Option<RevisionId>,
}

/// A piece in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PieceInfo {
    /// Its id.
    pub id: PieceId,
    /// The revision that is shown.
    pub head: RevisionId,
    /// When it was made.
    pub made_at: Moment,
    /// When its head moved last, or it was made where no move is known.
    pub moved_at: Moment,
    /// When it was put away from the list; `None` where it stands in it.
    pub put_away_at: Option<Moment>,
}

/// A piece that a text was found or made to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Opened {
    /// The piece.
    pub piece: PieceId,
    /// The revision with that text: not always the head.
    pub revision: RevisionId,
    /// Whether it was made just now.
    pub new: bool,
}

/// A change of a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The new revision's id, if the caller chooses it: then sending the change again does no harm.
    pub id: Option<RevisionId>,
    /// The revision that was changed, which should be the head still.
    pub base: RevisionId,
    /// The text as it becomes.
    pub text: String,
    /// What was done: an edit as JSON.
    pub label: String,
    /// The name of the device.
    pub by: String,
}

/// What became of a change, an undo or a redo.
#[must_use]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Changed {
    /// It is done and on the disk; this is the head now.
    Saved(Head),
    /// There was nothing to do: the text is the head's own, or undo or redo lead nowhere.
    Nothing(Head),
    /// The piece has moved on meanwhile. Nothing was saved; the caller decides.
    Stale(Box<Conflict>),
}

/// What became of parting a piece.
#[must_use]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Parted {
    /// There are two pieces now.
    Apart {
        /// The one that what the piece was has become.
        new: Opened,
        /// Where the piece is now.
        head: Box<Head>,
    },
    /// The piece has moved on meanwhile. Nothing was saved; the caller decides.
    Stale(Box<Conflict>),
}

/// What came between.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// The revision that the change was made on.
    pub base: Revision,
    /// The head now.
    pub head: Head,
    /// Revisions between that the head has left behind (undone), the newest first.
    pub undone: Vec<RevisionInfo>,
    /// Revisions between that lead to the head, the oldest first.
    pub made: Vec<RevisionInfo>,
}

const COLUMNS: &str = r#"id, piece, parent, label, "by", at"#;

fn info(row: &Row<'_>) -> rusqlite::Result<RevisionInfo> {
    Ok(RevisionInfo {
        id: row.get(0)?,
        piece: row.get(1)?,
        parent: row.get(2)?,
        label: row.get(3)?,
        by: row.get(4)?,
        at: Moment(row.get(5)?),
    })
}

impl Store {
    /// Brings a text in: the piece that has or had exactly this text, or a new one. The head of a piece that is
    /// found stays where it is.
    ///
    /// # Errors
    /// If the text is too long, or the disk fails.
    pub fn open_text(&self, text: &str, by: &str) -> Result<Opened> {
        let (text, by) = (fitting(text)?, by.to_owned());
        self.write(move |db, world| match with_text(db, &text)? {
            Some((piece, revision)) => Ok(Opened { piece, revision, new: false }),
            None => begin(db, world, &text, &by),
        })
    }

    /// The piece that shows exactly this text, or a new one: one that had it once and shows another by now is
    /// somebody's own work.
    ///
    /// # Errors
    /// If the text is too long, or the disk fails.
    pub fn open_fresh(&self, text: &str, by: &str) -> Result<Opened> {
        let (text, by) = (fitting(text)?, by.to_owned());
        self.write(move |db, world| match with_text(db, &text)? {
            Some((piece, revision)) if head_id(db, piece)? == revision => {
                Ok(Opened { piece, revision, new: false })
            }
            _ => begin(db, world, &text, &by),
        })
    }

    /// Makes what a piece has become, `base`, a piece of its own, and has the piece itself go back to one of its
    /// revisions: both or neither. `base` must be the head still, so a second tap makes no second piece.
    ///
    /// # Errors
    /// If there is no such piece, base or revision, the revision is `base` itself, or the disk fails.
    pub fn part(&self, piece: PieceId, base: RevisionId, back_to: RevisionId, by: &str) -> Result<Parted> {
        let by = by.to_owned();
        self.write(move |db, world| {
            let text = head(db, piece)?.text;
            match go(db, world, piece, base, back_to, &by)? {
                Changed::Saved(head) => {
                    let new = begin(db, world, &text, &by)?;
                    Ok(Parted::Apart { new, head: Box::new(head) })
                }
                Changed::Nothing(_) => Err(Error::NotThere(Missing::Revision)),
                Changed::Stale(conflict) => Ok(Parted::Stale(conflict)),
            }
        })
    }

    /// All pieces, those that were put away among them, the one that moved last first.
    ///
    /// # Errors
    /// If the disk fails.
    pub fn pieces(&self) -> Result<Vec<PieceInfo>> {
        self.read(|db| {
            let mut all = db.prepare_cached(
                "SELECT id, head, made_at, put_away_at,
                    coalesce((SELECT at FROM move WHERE move.piece = piece.id ORDER BY seq DESC LIMIT 1), made_at),
                    (SELECT max(seq) FROM move WHERE move.piece = piece.id) AS moved
                FROM piece ORDER BY moved DESC",
            )?;
            let read = |row: &Row<'_>| {
                Ok(PieceInfo {
                    id: row.get(0)?,
                    head: row.get(1)?,
                    made_at: Moment(row.get(2)?),
                    put_away_at: row.get::<_, Option<i64>>(3)?.map(Moment),
                    moved_at: Moment(row.get(4)?),
                })
            };
            Ok(all.query_map([], read)?.collect::<rusqlite::Result<_>>()?)
        })
    }

    /// Puts a piece away from the list. Nothing of it goes: its history and weavings stay, and whoever has its
    /// address still comes to it.
    ///
    /// # Errors
    /// If there is no such piece, or the disk fails.
    pub fn put_away(&self, piece: PieceId) -> Result<()> {
        self.write(move |db, world| {
            let sql = "UPDATE piece SET put_away_at = coalesce(put_away_at, ?2) WHERE id = ?1";
            let found = db.prepare_cached(sql)?.execute(params![piece, world.now().0])?;
            if found == 0 { Err(Error::NotThere(Missing::Piece)) } else { Ok(()) }
        })
    }

    /// Brings a piece back to the list.
    ///
    /// # Errors
    /// If there is no such piece, or the disk fails.
    pub fn bring_back(&self, piece: PieceId) -> Result<()> {
        self.write(move |db, _| {
            let found =
                db.prepare_cached("UPDATE piece SET put_away_at = NULL WHERE id = ?1")?.execute([piece])?;
            if found == 0 { Err(Error::NotThere(Missing::Piece)) } else { Ok(()) }
        })
    }

    /// Whether a piece is put away.
    ///
    /// # Errors
    /// If there is no such piece, or the disk fails.
    pub fn is_put_away(&self, piece: PieceId) -> Result<bool> {
        self.read(|db| {
            let sql = "SELECT put_away_at IS NOT NULL FROM piece WHERE id = ?1";
            let found = db.prepare_cached(sql)?.query_row([piece], |row| row.get(0)).optional()?;
            found.ok_or(Error::NotThere(Missing::Piece))
        })
    }

    /// Where a piece is.
    ///
    /// # Errors
    /// If there is no such piece, or the disk fails.
    pub fn head(&self, piece: PieceId) -> Result<Head> {
        self.read(|db| head(db, piece))
    }

    /// A revision with its text.
    ///
    /// # Errors
    /// If there is no such revision, or the disk fails.
    pub fn revision(&self, revision: RevisionId) -> Result<Revision> {
        self.read(|db| read_revision(db, revision))
    }

    /// All revisions of a piece, every branch, parents before their children.
    ///
    /// # Errors
    /// If there is no such piece, or the disk fails.
    pub fn history(&self, piece: PieceId) -> Result<Vec<RevisionInfo>> {
        self.read(|db| {
            head_id(db, piece)?;
            let sql = format!("SELECT {COLUMNS} FROM revision WHERE piece = ?1 ORDER BY seq");
            Ok(db.prepare_cached(&sql)?.query_map([piece], info)?.collect::<rusqlite::Result<_>>()?)
        })
    }

    /// Changes a piece: a new revision on top of the head, which must be the one that was changed.
    ///
    /// # Errors
    /// If there is no such piece or base, the text is too long, the id is taken, or the disk fails.
    pub fn edit(&self, piece: PieceId, change: Change) -> Result<Changed> {
        within(&change.text)?;
        within(&change.label)?;
        self.write(move |db, world| {
            let now = head(db, piece)?;
            if let Some(id) = change.id
                && let Some(known) = find_revision(db, id)?
            {
                let same = known.info.piece == piece && known.text == change.text;
                return if same { Ok(Changed::Saved(now)) } else { Err(Error::IdTaken) };
            }
            if now.revision.id != change.base {
                return stale(db, piece, change.base, now);
            }
            if now.text == change.text {
                return Ok(Changed::Nothing(now));
            }
            let id = change.id.unwrap_or_else(|| RevisionId::new(world));
            let revision = Revision {
                info: RevisionInfo {
                    id,
                    piece,
                    parent: Some(change.base),
                    label: change.label,
                    by: change.by,
                    at: world.now(),
                },
                text: change.text,
            };
            add_revision(db, &revision)?;
            move_head(db, world, piece, MoveKind::Edit, id, &revision.info.by)?;
            Ok(Changed::Saved(head(db, piece)?))
        })
    }

    /// Goes back to the revision before `base`, which must be the head still: so a second tap undoes nothing
    /// more.
    ///
    /// # Errors
    /// If there is no such piece or base, or the disk fails.
    pub fn undo(&self, piece: PieceId, base: RevisionId, by: &str) -> Result<Changed> {
        self.step(piece, base, MoveKind::Undo, by)
    }

    /// Goes on to what was undone last, from `base`, which must be the head still.
    ///
    /// # Errors
    /// If there is no such piece or base, or the disk fails.
    pub fn redo(&self, piece: PieceId, base: RevisionId, by: &str) -> Result<Changed> {
        self.step(piece, base, MoveKind::Redo, by)
    }

    /// Goes to any revision of a piece, on whatever branch, from `base`, which must be the head still.
    ///
    /// # Errors
    /// If there is no such piece, base or revision, or the disk fails.
    pub fn go(&self, piece: PieceId, base: RevisionId, to: RevisionId, by: &str) -> Result<Changed> {
        let by = by.to_owned();
        self.write(move |db, world| go(db, world, piece, base, to, &by))
    }

    fn step(&self, piece: PieceId, base: RevisionId, kind: MoveKind, by: &str) -> Result<Changed> {
        let by = by.to_owned();
        self.write(move |db, world| {
            let now = head(db, piece)?;
            if now.revision.id != base {
                return stale(db, piece, base, now);
            }
            let to = if kind == MoveKind::Undo { now.undo } else { now.redo };
            let Some(to) = to else { return Ok(Changed::Nothing(now)) };
            move_head(db, world, piece, kind, to, &by)?;
            Ok(Changed::Saved(head(db, piece)?))
        })
    }
}

/// A text that is no longer than a plan may be.
fn fitting(text: &str) -> Result<String> {
    within(text)?;
    Ok(text.to_owned())
}

/// Whether a text is no longer than a plan may be.
pub(crate) fn within(text: &str) -> Result<()> {
    if text.len() > bounds::BYTES { Err(Error::TooLong { most: bounds::BYTES }) } else { Ok(()) }
}

fn begin(db: &Connection, world: &mut dyn World, text: &str, by: &str) -> Result<Opened> {
    let (piece, id, at) = (PieceId::new(world), RevisionId::new(world), world.now());
    add_piece(db, piece, id, at, None)?;
    let info = RevisionInfo { id, piece, parent: None, label: String::new(), by: by.to_owned(), at };
    add_revision(db, &Revision { info, text: text.to_owned() })?;
    move_head(db, world, piece, MoveKind::Begin, id, by)?;
    Ok(Opened { piece, revision: id, new: true })
}

fn go(
    db: &Connection,
    world: &mut dyn World,
    piece: PieceId,
    base: RevisionId,
    to: RevisionId,
    by: &str,
) -> Result<Changed> {
    let now = head(db, piece)?;
    if now.revision.id != base {
        return stale(db, piece, base, now);
    }
    let there = read_revision(db, to)?;
    if there.info.piece != piece {
        return Err(Error::NotThere(Missing::Revision));
    }
    if to == base {
        return Ok(Changed::Nothing(now));
    }
    move_head(db, world, piece, MoveKind::Go, to, by)?;
    Ok(Changed::Saved(head(db, piece)?))
}

pub(crate) fn add_piece(
    db: &Connection,
    piece: PieceId,
    head: RevisionId,
    made_at: Moment,
    put_away_at: Option<Moment>,
) -> Result<()> {
    let sql = "INSERT INTO piece (id, head, made_at, put_away_at) VALUES (?1, ?2, ?3, ?4)";
    db.prepare_cached(sql)?.execute(params![piece, head, made_at.0, put_away_at.map(|at| at.0)])?;
    Ok(())
}

pub(crate) fn add_revision(db: &Connection, revision: &Revision) -> Result<()> {
    let RevisionInfo { id, piece, parent, label, by, at } = &revision.info;
    let sql = r#"INSERT INTO revision (id, piece, parent, text, digest, label, "by", at)
        VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)"#;
    db.prepare_cached(sql)?.execute(params![
        id,
        piece,
        parent,
        revision.text,
        digest(&revision.text),
        label,
        by,
        at.0
    ])?;
    Ok(())
}

fn digest(text: &str) -> [u8; 32] {
    Sha256::digest(text.as_bytes()).into()
}

/// The piece that has this text: rather one that shows it than one that had it, rather one in the list than one put
/// away, rather a later one.
fn with_text(db: &Connection, text: &str) -> Result<Option<(PieceId, RevisionId)>> {
    let sql = "SELECT revision.piece, revision.id FROM revision JOIN piece ON piece.id = revision.piece
        WHERE revision.digest = ?1 AND revision.text = ?2
        ORDER BY piece.head = revision.id DESC, piece.put_away_at IS NULL DESC, revision.seq DESC LIMIT 1";
    let read = |row: &Row<'_>| Ok((row.get(0)?, row.get(1)?));
    Ok(db.prepare_cached(sql)?.query_row(params![digest(text), text], read).optional()?)
}

pub(crate) fn head_id(db: &Connection, piece: PieceId) -> Result<RevisionId> {
    let head =
        db.prepare_cached("SELECT head FROM piece WHERE id = ?1")?.query_row([piece], |row| row.get(0));
    head.optional()?.ok_or(Error::NotThere(Missing::Piece))
}

fn head(db: &Connection, piece: PieceId) -> Result<Head> {
    let id = head_id(db, piece)?;
    let sql = format!("SELECT {COLUMNS}, text, redo FROM revision WHERE id = ?1");
    let read = |row: &Row<'_>| {
        let revision = info(row)?;
        Ok(Head { undo: revision.parent, text: row.get(6)?, redo: row.get(7)?, revision })
    };
    Ok(db.prepare_cached(&sql)?.query_row([id], read)?)
}

/// The piece that a revision is of.
pub(crate) fn piece_of(db: &Connection, revision: RevisionId) -> Result<Option<PieceId>> {
    let sql = "SELECT piece FROM revision WHERE id = ?1";
    Ok(db.prepare_cached(sql)?.query_row([revision], |row| row.get(0)).optional()?)
}

pub(crate) fn find_revision(db: &Connection, id: RevisionId) -> Result<Option<Revision>> {
    let sql = format!("SELECT {COLUMNS}, text FROM revision WHERE id = ?1");
    let read = |row: &Row<'_>| Ok(Revision { info: info(row)?, text: row.get(6)? });
    Ok(db.prepare_cached(&sql)?.query_row([id], read).optional()?)
}

pub(crate) fn read_revision(db: &Connection, id: RevisionId) -> Result<Revision> {
    find_revision(db, id)?.ok_or(Error::NotThere(Missing::Revision))
}

/// A revision and all before it, the newest first.
pub(crate) fn line(db: &Connection, from: RevisionId) -> Result<Vec<RevisionInfo>> {
    let sql = format!(
        r#"WITH RECURSIVE way AS (
            SELECT seq, {COLUMNS} FROM revision WHERE id = ?1
            UNION ALL
            SELECT r.seq, r.id, r.piece, r.parent, r.label, r."by", r.at
            FROM revision AS r JOIN way ON r.id = way.parent
        ) SELECT {COLUMNS} FROM way ORDER BY seq DESC"#
    );
    Ok(db.prepare_cached(&sql)?.query_map([from], info)?.collect::<rusqlite::Result<_>>()?)
}

fn stale(db: &Connection, piece: PieceId, base: RevisionId, head: Head) -> Result<Changed> {
    let base = read_revision(db, base)?;
    if base.info.piece != piece {
        return Err(Error::NotThere(Missing::Revision));
    }
    let mut undone = line(db, base.info.id)?;
    let mut made = line(db, head.revision.id)?;
    // Both lines end in the piece's first revision; what they share from there on is neither.
    while let (Some(a), Some(b)) = (undone.last(), made.last())
        && a.id == b.id
    {
        undone.pop();
        made.pop();
    }
    made.reverse();
    Ok(Changed::Stale(Box::new(Conflict { base, head, undone, made })))
}
