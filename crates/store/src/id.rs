//! Ids: 16 random bytes, written as 32 hexadecimal digits, so that what two machines made never meets.

use crate::world::World;
use fellmark_core::weaving::TickId;
use rusqlite::ToSql;
use rusqlite::types::{FromSql, FromSqlResult, ToSqlOutput, ValueRef};
use std::fmt;
use std::str::FromStr;

/// A text that is no id.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct IdError;

impl fmt::Display for IdError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("An id is 32 of the digits 0 to 9 and a to f.")
    }
}

impl std::error::Error for IdError {}

macro_rules! id {
    ($(#[$doc:meta])* $vis:vis $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        $vis struct $name([u8; 16]);

        impl $name {
            /// One that nothing has yet.
            $vis fn new(world: &mut dyn World) -> $name {
                let mut bytes = [0; 16];
                world.random(&mut bytes);
                $name(bytes)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&hex(&self.0))
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, concat!(stringify!($name), "({})"), hex(&self.0))
            }
        }

        impl FromStr for $name {
            type Err = IdError;

            fn from_str(text: &str) -> Result<$name, IdError> {
                unhex(text).map($name)
            }
        }

        impl ToSql for $name {
            fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
                Ok(ToSqlOutput::Borrowed(ValueRef::Blob(&self.0)))
            }
        }

        impl FromSql for $name {
            fn column_result(value: ValueRef<'_>) -> FromSqlResult<$name> {
                <[u8; 16]>::column_result(value).map($name)
            }
        }
    };
}
id!(
    /// A piece.
    pub PieceId
);
id!(
    /// A revision of a piece.
    pub RevisionId
);
id!(
    /// A weaving.
    pub WeavingId
);
id!(
    /// A paired device.
    pub DeviceId
);
id!(
    /// A move of a piece's head, or a plan that a weaving follows: never shown, so that archives can be joined.
    pub(crate) EventId
);

/// A tick's id as it is written.
#[must_use]
pub fn write_tick_id(id: TickId) -> String {
    hex(&id.0)
}

/// Reads what [`write_tick_id`] wrote.
///
/// # Errors
/// If it isn't 32 hexadecimal digits.
pub fn read_tick_id(text: &str) -> Result<TickId, IdError> {
    unhex(text).map(TickId)
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn unhex(text: &str) -> Result<[u8; 16], IdError> {
    let mut bytes = [0; 16];
    if text.len() != 32 || !text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f')) {
        return Err(IdError);
    }
    for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
        let digits = std::str::from_utf8(pair).map_err(|_| IdError)?;
        *byte = u8::from_str_radix(digits, 16).map_err(|_| IdError)?;
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_is_read_as_it_is_written() {
        let id = PieceId(std::array::from_fn(|k| (k * 17) as u8));
        assert_eq!(id.to_string(), "00112233445566778899aabbccddeeff");
        assert_eq!(id.to_string().parse(), Ok(id));
        for text in ["", "00112233445566778899AABBCCDDEEFF", "+0112233445566778899aabbccddeeff", "ä"] {
            assert_eq!(text.parse::<PieceId>(), Err(IdError), "{text}");
        }
    }
}
