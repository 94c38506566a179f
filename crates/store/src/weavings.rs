//! Weavings: cloths made from a piece, each with the counts it was begun with.

use crate::id::EventId;
use crate::pieces::read_revision;
use crate::store::Store;
use crate::ticks::read_log;
use crate::{Error, Missing, PieceId, Result, RevisionId, WeavingId};
use fellmark_core::plan::bounds;
use fellmark_core::weaving::{Counts, Log, Moment, PlaceRows};
use rusqlite::{Connection, OptionalExtension, Row, params};

/// A weaving to be begun.
#[derive(Debug, Clone, PartialEq)]
pub struct NewWeaving {
    /// Its id, if the caller chooses it: then asking again does no harm. `None`: whichever is next.
    pub id: Option<WeavingId>,
    /// The revision that is woven.
    pub revision: RevisionId,
    /// The counts it comes to.
    pub counts: Counts,
    /// Whether it is woven mirrored, left for right.
    pub mirrored: bool,
    /// The name of the device.
    pub by: String,
}

/// A weaving that was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Begun {
    /// The weaving.
    pub id: WeavingId,
    /// Whether it was begun just now.
    pub new: bool,
}

/// A weaving without its rows.
#[derive(Debug, Clone, PartialEq)]
pub struct WeavingInfo {
    /// Its id.
    pub id: WeavingId,
    /// The piece it is made from.
    pub piece: PieceId,
    /// Whether it is woven mirrored, left for right.
    pub mirrored: bool,
    /// The name of the device it was begun on.
    pub by: String,
    /// When it was begun.
    pub made_at: Moment,
}

/// A weaving in a list, and how far what is known of it goes. As nothing is ever taken out of that, the same numbers
/// mean the same weaving.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    /// All but its rows.
    pub info: WeavingInfo,
    /// How many ticks there are.
    pub ticks: usize,
    /// How many revisions it has followed.
    pub plans: usize,
}

/// A revision that a weaving follows from some moment on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeavingPlan {
    /// The revision.
    pub revision: RevisionId,
    /// The counts it came to.
    pub counts: Counts,
    /// The name of the device.
    pub by: String,
    /// From when on.
    pub at: Moment,
}

/// A weaving.
#[derive(Debug, Clone, PartialEq)]
pub struct Weaving {
    /// All but its rows.
    pub info: WeavingInfo,
    /// What it follows now.
    pub plan: WeavingPlan,
    /// What it followed before, the oldest first.
    pub earlier: Vec<WeavingPlan>,
    /// Its ticks; [`Log::rows`] has the rows that are done.
    pub log: Log,
}

const COLUMNS: &str = r#"id, piece, mirrored, "by", made_at"#;

fn info(row: &Row<'_>) -> rusqlite::Result<WeavingInfo> {
    Ok(WeavingInfo {
        id: row.get(0)?,
        piece: row.get(1)?,
        mirrored: row.get(2)?,
        by: row.get(3)?,
        made_at: Moment(row.get(4)?),
    })
}

impl Store {
    /// Begins a weaving. Where no id is chosen and one of the piece, the same way round, has no row done, there
    /// is nothing on the loom yet, and it is that one: so asking twice begins one.
    ///
    /// # Errors
    /// If there is no such revision, the counts are past any piece's, the id is taken, or the disk fails.
    pub fn weave(&self, new: NewWeaving) -> Result<Begun> {
        self.write(move |db, world| {
            let piece = read_revision(db, new.revision)?.info.piece;
            let known = match new.id {
                Some(id) => find_info(db, id)?,
                None => unbegun(db, piece, new.mirrored)?,
            };
            if let Some(WeavingInfo { id, piece: whose, .. }) = known {
                return if whose == piece { Ok(Begun { id, new: false }) } else { Err(Error::IdTaken) };
            }
            let id = new.id.unwrap_or_else(|| WeavingId::new(world));
            let at = world.now();
            let NewWeaving { revision, counts, mirrored, by, .. } = new;
            let info = WeavingInfo { id, piece, mirrored, by: by.clone(), made_at: at };
            add_weaving(db, &info)?;
            add_plan(db, id, EventId::new(world), &WeavingPlan { revision, counts, by, at })?;
            Ok(Begun { id, new: true })
        })
    }

    /// Has a weaving follow another revision of its piece from now on. Rows that are done stay as they were
    /// woven; whether they would differ is for the caller to see first
    /// ([`fellmark_core::weaving::differences`]).
    ///
    /// # Errors
    /// If there is no such weaving, its piece has no such revision, the counts are past any piece's, or the
    /// disk fails.
    pub fn follow(&self, weaving: WeavingId, revision: RevisionId, counts: &Counts, by: &str) -> Result<()> {
        let (counts, by) = (counts.clone(), by.to_owned());
        self.write(move |db, world| {
            let info = read_info(db, weaving)?;
            if read_revision(db, revision)?.info.piece != info.piece {
                return Err(Error::NotThere(Missing::Revision));
            }
            // Later than what it replaces, even if a clock was put back.
            let latest = read_plans(db, weaving)?.last().map_or(i64::MIN, |(_, plan)| plan.at.0);
            let at = Moment(world.now().0.max(latest.saturating_add(1)));
            add_plan(db, weaving, EventId::new(world), &WeavingPlan { revision, counts, by, at })
        })
    }

    /// A weaving with its ticks.
    ///
    /// # Errors
    /// If there is no such weaving, or the disk fails.
    pub fn weaving(&self, id: WeavingId) -> Result<Weaving> {
        self.read(|db| {
            let info = read_info(db, id)?;
            let mut earlier: Vec<WeavingPlan> =
                read_plans(db, id)?.into_iter().map(|(_, plan)| plan).collect();
            let plan = earlier.pop().ok_or(Error::NotThere(Missing::Weaving))?;
            Ok(Weaving { info, plan, earlier, log: read_log(db, id, None)? })
        })
    }

    /// The weavings of a piece, the latest first.
    ///
    /// # Errors
    /// If the disk fails.
    pub fn weavings(&self, piece: PieceId) -> Result<Vec<Listed>> {
        self.read(|db| {
            let sql = format!("{LISTED} WHERE piece = ?1 ORDER BY made_at DESC, id");
            Ok(db.prepare_cached(&sql)?.query_map([piece], listed)?.collect::<rusqlite::Result<_>>()?)
        })
    }

    /// The weavings of all pieces, those of one together, the latest first.
    ///
    /// # Errors
    /// If the disk fails.
    pub fn all_weavings(&self) -> Result<Vec<Listed>> {
        self.read(|db| {
            let sql = format!("{LISTED} ORDER BY piece, made_at DESC, id");
            Ok(db.prepare_cached(&sql)?.query_map([], listed)?.collect::<rusqlite::Result<_>>()?)
        })
    }
}

/// What [`listed()`] reads: the numbers from indexes alone.
const LISTED: &str = r#"SELECT id, piece, mirrored, "by", made_at,
    (SELECT count(*) FROM tick WHERE tick.weaving = weaving.id),
    (SELECT count(*) FROM weaving_plan WHERE weaving_plan.weaving = weaving.id)
    FROM weaving"#;

fn listed(row: &Row<'_>) -> rusqlite::Result<Listed> {
    let count = |at: usize| row.get::<_, u32>(at).map(|count| count as usize);
    Ok(Listed { info: info(row)?, ticks: count(5)?, plans: count(6)? })
}

pub(crate) fn list(db: &Connection, piece: PieceId) -> Result<Vec<WeavingInfo>> {
    let sql = format!("SELECT {COLUMNS} FROM weaving WHERE piece = ?1 ORDER BY made_at DESC, id");
    Ok(db.prepare_cached(&sql)?.query_map([piece], info)?.collect::<rusqlite::Result<_>>()?)
}

/// The latest weaving of a piece, this way round, that has no row done.
fn unbegun(db: &Connection, piece: PieceId, mirrored: bool) -> Result<Option<WeavingInfo>> {
    for info in list(db, piece)? {
        if info.mirrored == mirrored && read_log(db, info.id, None)?.rows().is_empty() {
            return Ok(Some(info));
        }
    }
    Ok(None)
}

pub(crate) fn find_info(db: &Connection, id: WeavingId) -> Result<Option<WeavingInfo>> {
    let sql = format!("SELECT {COLUMNS} FROM weaving WHERE id = ?1");
    Ok(db.prepare_cached(&sql)?.query_row([id], info).optional()?)
}

pub(crate) fn read_info(db: &Connection, id: WeavingId) -> Result<WeavingInfo> {
    find_info(db, id)?.ok_or(Error::NotThere(Missing::Weaving))
}

/// What a weaving followed, the latest last.
pub(crate) fn read_plans(db: &Connection, weaving: WeavingId) -> Result<Vec<(EventId, WeavingPlan)>> {
    let sql =
        r#"SELECT seq, id, revision, ends, "by", at FROM weaving_plan WHERE weaving = ?1 ORDER BY at, id"#;
    let mut plans = db.prepare_cached(sql)?;
    let mut rows_of =
        db.prepare_cached("SELECT band, rows FROM weaving_rows WHERE plan = ?1 ORDER BY nth")?;
    let mut all = Vec::new();
    let mut found = plans.query([weaving])?;
    while let Some(row) = found.next()? {
        let read = |row: &Row<'_>| Ok(PlaceRows { band: row.get(0)?, rows: row.get(1)? });
        let places = rows_of.query_map([row.get::<_, i64>(0)?], read)?.collect::<rusqlite::Result<_>>()?;
        let plan = WeavingPlan {
            revision: row.get(2)?,
            counts: Counts { ends: row.get(3)?, places },
            by: row.get(4)?,
            at: Moment(row.get(5)?),
        };
        all.push((row.get(1)?, plan));
    }
    Ok(all)
}

pub(crate) fn add_weaving(db: &Connection, info: &WeavingInfo) -> Result<()> {
    let WeavingInfo { id, piece, mirrored, by, made_at } = info;
    let sql = format!("INSERT INTO weaving ({COLUMNS}) VALUES (?1, ?2, ?3, ?4, ?5)");
    db.prepare_cached(&sql)?.execute(params![id, piece, mirrored, by, made_at.0])?;
    Ok(())
}

pub(crate) fn add_plan(db: &Connection, weaving: WeavingId, id: EventId, plan: &WeavingPlan) -> Result<()> {
    let WeavingPlan { revision, counts, by, at } = plan;
    if counts.ends > bounds::ENDS
        || counts.rows() > bounds::ROWS
        || counts.places.len() > bounds::ROWS as usize
    {
        return Err(Error::OutOfBounds);
    }
    let sql =
        r#"INSERT INTO weaving_plan (id, weaving, revision, ends, "by", at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)"#;
    db.prepare_cached(sql)?.execute(params![id, weaving, revision, counts.ends, by, at.0])?;
    let plan = db.last_insert_rowid();
    let sql = "INSERT INTO weaving_rows (plan, nth, band, rows) VALUES (?1, ?2, ?3, ?4)";
    let mut add = db.prepare_cached(sql)?;
    for (place, nth) in counts.places.iter().zip(0_i64..) {
        add.execute(params![plan, nth, place.band, place.rows])?;
    }
    Ok(())
}
