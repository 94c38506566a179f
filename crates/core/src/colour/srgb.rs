//! A colour as it is written and stored.

use std::fmt;

/// A colour as its sRGB bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Srgb(pub [u8; 3]);

/// Why a text is no colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ColourError {
    /// It does not begin with `#`.
    NoHash,
    /// It has not three or six hexadecimal digits but this many signs.
    Length(usize),
    /// This sign is no hexadecimal digit.
    Digit(char),
}

impl Srgb {
    /// Reads `#a88b4c` or, each digit standing for two, `#ab4`.
    ///
    /// # Errors
    /// Says what is wrong with the text.
    pub fn parse(text: &str) -> Result<Srgb, ColourError> {
        let text = text.trim().strip_prefix('#').ok_or(ColourError::NoHash)?;
        let mut digits = Vec::new();
        for sign in text.chars().take(7) {
            digits
                .push(sign.to_digit(16).and_then(|d| u8::try_from(d).ok()).ok_or(ColourError::Digit(sign))?);
        }
        match digits[..] {
            [r, g, b] => Ok(Srgb([r * 17, g * 17, b * 17])),
            [r, s, g, h, b, c] => Ok(Srgb([r * 16 + s, g * 16 + h, b * 16 + c])),
            _ => Err(ColourError::Length(text.chars().count())),
        }
    }
}

/// Written as `#a88b4c`.
impl fmt::Display for Srgb {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [r, g, b] = self.0;
        write!(f, "#{r:02x}{g:02x}{b:02x}")
    }
}
