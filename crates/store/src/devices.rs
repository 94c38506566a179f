//! Devices that were let in: what each may do, and until when. Of their tokens only a hash is kept.

use crate::store::Store;
use crate::world::World;
use crate::{DeviceId, Error, Missing, Result};
use fellmark_core::weaving::Moment;
use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSql, ToSqlOutput, ValueRef};
use rusqlite::{Connection, OptionalExtension, Row, params};
use sha2::{Digest, Sha256};
use std::time::Duration;

/// As many devices may be let in at once.
pub const MOST_DEVICES: usize = 25;

/// How stale "last seen" may be, so that not every request writes.
const SEEN_AGAIN: i64 = 60_000;

/// What a device may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum May {
    /// See everything, and change nothing.
    Follow,
    /// All of that, tick rows while weaving, and change pieces.
    Edit,
}

/// A token's SHA-256: enough to know it again, too little to make it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TokenHash([u8; 32]);

impl TokenHash {
    /// The hash of a token: 32 random bytes, so that it can't be guessed from its hash.
    #[must_use]
    pub fn of(token: &[u8; 32]) -> TokenHash {
        TokenHash(Sha256::digest(token).into())
    }
}

/// A device to be let in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewDevice {
    /// Its name, as its owner calls it.
    pub name: String,
    /// What it may do.
    pub may: May,
    /// The hash of the token it was given.
    pub token: TokenHash,
    /// For how long it is let in after it was last seen.
    pub lasts: Duration,
}

/// A device that was let in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    /// Its id.
    pub id: DeviceId,
    /// Its name.
    pub name: String,
    /// What it may do.
    pub may: May,
    /// When it was let in.
    pub made_at: Moment,
    /// When it was last seen, to the minute.
    pub seen_at: Moment,
    /// When it is let in no longer, unless it is seen before.
    pub ends_at: Moment,
}

const COLUMNS: &str = "id, name, may, made_at, seen_at, ends_at";
const LET_IN: &str = "revoked_at IS NULL AND ends_at > ?1";

fn device(row: &Row<'_>) -> rusqlite::Result<Device> {
    Ok(Device {
        id: row.get(0)?,
        name: row.get(1)?,
        may: row.get(2)?,
        made_at: Moment(row.get(3)?),
        seen_at: Moment(row.get(4)?),
        ends_at: Moment(row.get(5)?),
    })
}

impl ToSql for May {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(match self {
            May::Follow => "follow",
            May::Edit => "edit",
        }
        .into())
    }
}

impl FromSql for May {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<May> {
        match value.as_str()? {
            "follow" => Ok(May::Follow),
            "edit" => Ok(May::Edit),
            _ => Err(FromSqlError::InvalidType),
        }
    }
}

impl Store {
    /// Lets a device in. Those whose time is over, or that were sent away, are forgotten.
    ///
    /// # Errors
    /// If as many are let in as may be, the token is taken, or the disk fails.
    pub fn let_in(&self, new: NewDevice) -> Result<Device> {
        self.write(move |db, world| let_in(db, world, new))
    }

    /// Lets a device in anew, in place of what it was before, which is sent away: both or neither.
    ///
    /// # Errors
    /// If it wasn't there before, as many are let in as may be, the token is taken, or the disk fails.
    pub fn replace(&self, before: DeviceId, new: NewDevice) -> Result<Device> {
        self.write(move |db, world| {
            send_away(db, before, world.now())?;
            let_in(db, world, new)
        })
    }

    /// The device that holds a token, if it is let in at `now`. That it was seen is kept, to the minute, and
    /// its time runs anew.
    ///
    /// # Errors
    /// If the disk fails.
    pub fn device(&self, token: TokenHash, now: Moment) -> Result<Option<Device>> {
        let find = move |db: &Connection| -> Result<Option<Device>> {
            let sql = format!("SELECT {COLUMNS} FROM device WHERE {LET_IN} AND token = ?2");
            Ok(db.prepare_cached(&sql)?.query_row(params![now.0, token.0], device).optional()?)
        };
        let Some(found) = self.read(|db| find(db))? else { return Ok(None) };
        if now.0.saturating_sub(found.seen_at.0) < SEEN_AGAIN {
            return Ok(Some(found));
        }
        self.write(move |db, _| {
            let sql = format!(
                "UPDATE device SET ends_at = ?1 + (ends_at - seen_at), seen_at = ?1 WHERE {LET_IN} AND token = ?2"
            );
            db.prepare_cached(&sql)?.execute(params![now.0, token.0])?;
            find(db)
        })
    }

    /// The devices that are let in at `now`, the one last seen first.
    ///
    /// # Errors
    /// If the disk fails.
    pub fn devices(&self, now: Moment) -> Result<Vec<Device>> {
        self.read(|db| devices(db, now))
    }

    /// Lets a device do more, or less, from now on.
    ///
    /// # Errors
    /// If there is no such device that is let in, or the disk fails.
    pub fn set_may(&self, device: DeviceId, may: May) -> Result<()> {
        self.write(move |db, world| {
            let sql = format!("UPDATE device SET may = ?3 WHERE {LET_IN} AND id = ?2");
            let found = db.prepare_cached(&sql)?.execute(params![world.now().0, device, may])?;
            if found == 0 { Err(Error::NotThere(Missing::Device)) } else { Ok(()) }
        })
    }

    /// Gives a device another name. What it did before keeps the name it had then.
    ///
    /// # Errors
    /// If there is no such device that is let in, another that is let in has the name, or the disk fails.
    pub fn rename_device(&self, device: DeviceId, name: &str) -> Result<()> {
        let name = name.to_owned();
        self.write(move |db, world| {
            let now = world.now().0;
            let taken =
                format!("SELECT EXISTS (SELECT 1 FROM device WHERE {LET_IN} AND id <> ?2 AND name = ?3)");
            if db.prepare_cached(&taken)?.query_row(params![now, device, name], |row| row.get(0))? {
                return Err(Error::NameTaken { name });
            }
            let sql = format!("UPDATE device SET name = ?3 WHERE {LET_IN} AND id = ?2");
            let found = db.prepare_cached(&sql)?.execute(params![now, device, name])?;
            if found == 0 { Err(Error::NotThere(Missing::Device)) } else { Ok(()) }
        })
    }

    /// Sends a device away: its token opens nothing any more.
    ///
    /// # Errors
    /// If there is no such device, or the disk fails.
    pub fn send_away(&self, device: DeviceId) -> Result<()> {
        self.write(move |db, world| send_away(db, device, world.now()))
    }
}

fn send_away(db: &Connection, device: DeviceId, now: Moment) -> Result<()> {
    let sql = "UPDATE device SET revoked_at = coalesce(revoked_at, ?2) WHERE id = ?1";
    let found = db.prepare_cached(sql)?.execute(params![device, now.0])?;
    if found == 0 { Err(Error::NotThere(Missing::Device)) } else { Ok(()) }
}

fn let_in(db: &Connection, world: &mut dyn World, new: NewDevice) -> Result<Device> {
    let now = world.now();
    db.prepare_cached(&format!("DELETE FROM device WHERE NOT ({LET_IN})"))?.execute([now.0])?;
    if devices(db, now)?.len() >= MOST_DEVICES {
        return Err(Error::TooManyDevices { most: MOST_DEVICES });
    }
    let taken = "SELECT EXISTS (SELECT 1 FROM device WHERE token = ?1)";
    if db.prepare_cached(taken)?.query_row([new.token.0], |row| row.get(0))? {
        return Err(Error::IdTaken);
    }
    let device = Device {
        id: DeviceId::new(world),
        name: new.name,
        may: new.may,
        made_at: now,
        seen_at: now,
        ends_at: after(now, millis(new.lasts)),
    };
    let sql = format!("INSERT INTO device ({COLUMNS}, token) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)");
    let Device { id, name, may, made_at, seen_at, ends_at } = &device;
    db.prepare_cached(&sql)?.execute(params![id, name, may, made_at.0, seen_at.0, ends_at.0, new.token.0])?;
    Ok(device)
}

fn devices(db: &Connection, now: Moment) -> Result<Vec<Device>> {
    let sql = format!("SELECT {COLUMNS} FROM device WHERE {LET_IN} ORDER BY seen_at DESC, id");
    Ok(db.prepare_cached(&sql)?.query_map([now.0], device)?.collect::<rusqlite::Result<_>>()?)
}

fn millis(duration: Duration) -> i64 {
    i64::try_from(duration.as_millis()).unwrap_or(i64::MAX)
}

fn after(now: Moment, millis: i64) -> Moment {
    Moment(now.0.saturating_add(millis))
}
