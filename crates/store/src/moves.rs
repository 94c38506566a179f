//! The record of how a piece's head moved.

use crate::id::EventId;
use crate::store::Store;
use crate::world::World;
use crate::{Error, Missing, PieceId, Result, RevisionId};
use fellmark_core::weaving::Moment;
use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSql, ToSqlOutput, ValueRef};
use rusqlite::{Connection, OptionalExtension, Row, params};

/// One move of a piece's head.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Move {
    /// What moved it.
    pub kind: MoveKind,
    /// Where to.
    pub revision: RevisionId,
    /// The name of the device.
    pub by: String,
    /// When.
    pub at: Moment,
}

/// What moves a head.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MoveKind {
    /// The piece was made.
    Begin,
    /// A change made a new revision.
    Edit,
    /// Back to the revision before.
    Undo,
    /// On to the revision that was undone last.
    Redo,
    /// To any other revision.
    Go,
    /// To what came with an archive.
    Import,
}

impl MoveKind {
    const ALL: [MoveKind; 6] =
        [MoveKind::Begin, MoveKind::Edit, MoveKind::Undo, MoveKind::Redo, MoveKind::Go, MoveKind::Import];

    /// Its stable name.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            MoveKind::Begin => "begin",
            MoveKind::Edit => "edit",
            MoveKind::Undo => "undo",
            MoveKind::Redo => "redo",
            MoveKind::Go => "go",
            MoveKind::Import => "import",
        }
    }

    /// The kind of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<MoveKind> {
        MoveKind::ALL.into_iter().find(|kind| kind.name() == name)
    }
}

impl ToSql for MoveKind {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(self.name().into())
    }
}

impl FromSql for MoveKind {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<MoveKind> {
        MoveKind::named(value.as_str()?).ok_or(FromSqlError::InvalidType)
    }
}

/// Moves a piece's head, records it, and makes redo lead back along the way that now lies below the head.
pub(crate) fn move_head(
    db: &Connection,
    world: &mut dyn World,
    piece: PieceId,
    kind: MoveKind,
    to: RevisionId,
    by: &str,
) -> Result<()> {
    db.prepare_cached("UPDATE piece SET head = ?2 WHERE id = ?1")?.execute(params![piece, to])?;
    match kind {
        MoveKind::Begin | MoveKind::Undo | MoveKind::Redo => {}
        MoveKind::Edit => {
            let lead = "UPDATE revision SET redo = ?1 WHERE id = (SELECT parent FROM revision WHERE id = ?1)";
            db.prepare_cached(lead)?.execute([to])?;
        }
        MoveKind::Go | MoveKind::Import => lead_to(db, to)?,
    }
    let (id, at) = (EventId::new(world), world.now());
    add_known(db, id, piece, kind, to, by, at)
}

/// Makes redo lead to a revision from every one before it.
pub(crate) fn lead_to(db: &Connection, to: RevisionId) -> Result<()> {
    let lead = "WITH RECURSIVE way (id, parent) AS (
            SELECT id, parent FROM revision WHERE id = ?1
            UNION ALL
            SELECT revision.id, revision.parent FROM revision JOIN way ON revision.id = way.parent
        )
        UPDATE revision SET redo = way.id FROM way
        WHERE revision.id = way.parent AND revision.redo IS NOT way.id";
    db.prepare_cached(lead)?.execute([to])?;
    Ok(())
}

/// Records a move, unless it is known.
pub(crate) fn add_known(
    db: &Connection,
    id: EventId,
    piece: PieceId,
    kind: MoveKind,
    revision: RevisionId,
    by: &str,
    at: Moment,
) -> Result<()> {
    let record = r#"INSERT INTO move (id, piece, kind, revision, "by", at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
        ON CONFLICT (id) DO NOTHING"#;
    db.prepare_cached(record)?.execute(params![id, piece, kind, revision, by, at.0])?;
    Ok(())
}

/// Whether some move leads to this revision.
pub(crate) fn leads_to(db: &Connection, revision: RevisionId) -> Result<bool> {
    let sql = "SELECT EXISTS (SELECT 1 FROM revision JOIN move USING (piece)
        WHERE revision.id = ?1 AND move.revision = ?1)";
    Ok(db.prepare_cached(sql)?.query_row([revision], |row| row.get(0))?)
}

impl Store {
    /// How a piece's head moved, the oldest move first.
    ///
    /// # Errors
    /// If there is no such piece, or the disk fails.
    pub fn moves(&self, piece: PieceId) -> Result<Vec<Move>> {
        self.read(|db| {
            let known = db.query_row("SELECT 1 FROM piece WHERE id = ?1", [piece], |_| Ok(())).optional()?;
            known.ok_or(Error::NotThere(Missing::Piece))?;
            let mut all = db.prepare_cached(
                r#"SELECT kind, revision, "by", at FROM move WHERE piece = ?1 ORDER BY seq"#,
            )?;
            let read = |row: &Row<'_>| {
                Ok(Move {
                    kind: row.get(0)?,
                    revision: row.get(1)?,
                    by: row.get(2)?,
                    at: Moment(row.get(3)?),
                })
            };
            Ok(all.query_map([piece], read)?.collect::<rusqlite::Result<_>>()?)
        })
    }
}
