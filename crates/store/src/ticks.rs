//! Ticks: rows done and rows taken back.

use crate::store::Store;
use crate::weavings::read_info;
use crate::{Error, Result, WeavingId, woven};
use fellmark_core::plan::bounds;
use fellmark_core::weaving::{Fact, Log, Moment, Tick, TickId};
use rusqlite::types::Type;
use rusqlite::{Connection, OptionalExtension, Row, params};

/// A tick as it comes in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewTick {
    /// Its id, drawn by whoever ticked: sent again, it does no harm.
    pub id: TickId,
    /// The row, from 0.
    pub row: u32,
    /// What is so.
    pub fact: Fact,
    /// When it was ticked, if it was kept on a device meanwhile; `None`: now, and later than all that is known
    /// of its row.
    pub at: Option<Moment>,
    /// The name of the device.
    pub by: String,
}

/// What became of a tick.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ticked {
    /// The tick.
    pub id: TickId,
    /// Its row, from 0.
    pub row: u32,
    /// Whether it wasn't known yet.
    pub new: bool,
    /// Whether the row is done, after all that is known of it.
    pub done: bool,
}

impl Store {
    /// Takes in ticks, all of them or none, and answers when they are on the disk.
    ///
    /// # Errors
    /// If there is no such weaving, a row is past what any piece may have, an id stands for another fact
    /// already, or the disk fails.
    pub fn tick(&self, weaving: WeavingId, ticks: Vec<NewTick>) -> Result<Vec<Ticked>> {
        self.write(move |db, world| {
            read_info(db, weaving)?;
            let now = world.now();
            ticks.into_iter().map(|tick| Ok(take_in(db, weaving, tick, now)?.0)).collect()
        })
    }

    /// The same for who has read the weaving's log, with the log as it is then: what other devices ticked meanwhile is in it
    /// too.
    ///
    /// # Errors
    /// As for [`Store::tick()`].
    pub fn tick_onto(
        &self,
        weaving: WeavingId,
        ticks: Vec<NewTick>,
        mut log: Log,
    ) -> Result<(Vec<Ticked>, Log)> {
        self.write(move |db, world| {
            read_info(db, weaving)?;
            let now = world.now();
            let mut all = Vec::with_capacity(ticks.len());
            for tick in ticks {
                let (ticked, added) = take_in(db, weaving, tick, now)?;
                all.push(ticked);
                if let Some(tick) = added {
                    log.add(ticked.id, tick);
                }
            }
            // No tick goes, so as many are the same ones.
            if count(db, weaving)? != log.len() {
                log = read_log(db, weaving, None)?;
            }
            Ok((all, log))
        })
    }
}

fn count(db: &Connection, weaving: WeavingId) -> Result<usize> {
    let count: u32 = db
        .prepare_cached("SELECT count(*) FROM tick WHERE weaving = ?1")?
        .query_row([weaving], |row| row.get(0))?;
    Ok(count as usize)
}

/// Takes in a tick; with what was added, if it wasn't known.
fn take_in(db: &Connection, weaving: WeavingId, new: NewTick, now: Moment) -> Result<(Ticked, Option<Tick>)> {
    let NewTick { id, row, fact, at, by } = new;
    if row >= bounds::ROWS {
        return Err(Error::OutOfBounds);
    }
    let mut log = read_log(db, weaving, Some(row))?;
    let known = find(db, id)?;
    let added = match &known {
        Some(Kept { weaving: whose, tick, .. })
            if *whose != weaving || tick.row != row || tick.fact != fact =>
        {
            return Err(Error::IdTaken);
        }
        Some(_) => None,
        None => {
            // A clock that is ahead would make its tick outlast every later one.
            let at = at.filter(|&at| at <= now).unwrap_or_else(|| log.moment(row, now));
            let tick = Tick { row, at, fact };
            add(db, weaving, id, &tick, &by, now)?;
            log.add(id, tick.clone());
            Some(tick)
        }
    };
    Ok((Ticked { id, row, new: known.is_none(), done: log.rows().contains_key(&row) }, added))
}

pub(crate) fn add(
    db: &Connection,
    weaving: WeavingId,
    id: TickId,
    tick: &Tick,
    by: &str,
    came_at: Moment,
) -> Result<()> {
    let woven = match &tick.fact {
        Fact::Done(woven) => Some(woven::write(woven)),
        Fact::TakenBack => None,
    };
    let sql = r#"INSERT INTO tick (id, weaving, row, at, woven, "by", came_at) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)"#;
    db.prepare_cached(sql)?.execute(params![id.0, weaving, tick.row, tick.at.0, woven, by, came_at.0])?;
    Ok(())
}

/// A tick that is kept.
pub(crate) struct Kept {
    pub weaving: WeavingId,
    pub tick: Tick,
    pub by: String,
}

/// The tick with an id.
pub(crate) fn find(db: &Connection, id: TickId) -> Result<Option<Kept>> {
    let sql = r#"SELECT row, at, woven, weaving, "by" FROM tick WHERE id = ?1"#;
    let read = |row: &Row<'_>| Ok(Kept { weaving: row.get(3)?, by: row.get(4)?, tick: tick(row)? });
    Ok(db.prepare_cached(sql)?.query_row([id.0], read).optional()?)
}

/// The ticks of a weaving, or those of one of its rows.
pub(crate) fn read_log(db: &Connection, weaving: WeavingId, row: Option<u32>) -> Result<Log> {
    let sql = match row {
        None => "SELECT row, at, woven, id FROM tick WHERE weaving = ?1",
        Some(_) => "SELECT row, at, woven, id FROM tick WHERE weaving = ?1 AND row = ?2",
    };
    let mut ticks = db.prepare_cached(sql)?;
    let mut found = match row {
        None => ticks.query([weaving])?,
        Some(row) => ticks.query(params![weaving, row])?,
    };
    let mut log = Log::new();
    while let Some(row) = found.next()? {
        log.add(TickId(row.get(3)?), tick(row)?);
    }
    Ok(log)
}

fn tick(row: &Row<'_>) -> rusqlite::Result<Tick> {
    let fact = match row.get_ref(2)?.as_blob_or_null()? {
        None => Fact::TakenBack,
        Some(bytes) => Fact::Done(woven::read(bytes).ok_or_else(|| {
            rusqlite::Error::FromSqlConversionFailure(2, Type::Blob, "these bytes are no row".into())
        })?),
    };
    Ok(Tick { row: row.get(0)?, at: Moment(row.get(1)?), fact })
}
