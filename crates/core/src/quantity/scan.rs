//! Reads typed text from the left: numbers as people write them, words, single signs.

use super::QuantityError;

/// How much of a piece of text an error repeats.
const SHOWN: usize = 24;

/// A place in a typed text. A copy is a place to come back to.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Scan<'a> {
    rest: &'a str,
}

/// The fractions that have a character of their own.
const VULGAR: [(char, f64); 9] = [
    ('½', 1.0 / 2.0),
    ('⅓', 1.0 / 3.0),
    ('⅔', 2.0 / 3.0),
    ('¼', 1.0 / 4.0),
    ('¾', 3.0 / 4.0),
    ('⅛', 1.0 / 8.0),
    ('⅜', 3.0 / 8.0),
    ('⅝', 5.0 / 8.0),
    ('⅞', 7.0 / 8.0),
];

fn vulgar(sign: char) -> Option<f64> {
    VULGAR.iter().find(|(c, _)| *c == sign).map(|(_, value)| *value)
}

impl<'a> Scan<'a> {
    pub(crate) fn new(text: &'a str) -> Scan<'a> {
        Scan { rest: text.trim() }
    }

    /// Whether everything has been read.
    pub(crate) fn at_end(self) -> bool {
        self.rest.trim_start().is_empty()
    }

    /// The next sign that is not a space.
    pub(crate) fn peek(self) -> Option<char> {
        self.rest.trim_start().chars().next()
    }

    /// What is still unread, short enough to be repeated in an error.
    pub(crate) fn shown(self) -> String {
        self.rest.trim_start().chars().take(SHOWN).collect()
    }

    /// Reads this sign if it comes next.
    pub(crate) fn eat(&mut self, sign: char) -> bool {
        match self.rest.trim_start().strip_prefix(sign) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    /// Reads this word if it comes next, in whatever case; a sign by itself counts as a word.
    pub(crate) fn eat_word(&mut self, word: &str) -> bool {
        let mut ahead = *self;
        let found = ahead.word().eq_ignore_ascii_case(word);
        if found {
            *self = ahead;
        }
        found
    }

    /// The next word: a run of letters (a full stop after it is dropped), or else a single sign that is no
    /// digit; empty where a digit or the end comes next.
    pub(crate) fn word(&mut self) -> &'a str {
        let text = self.rest.trim_start();
        let letters = text.find(|c: char| !c.is_alphabetic()).unwrap_or(text.len());
        if letters > 0 {
            let (word, rest) = text.split_at(letters);
            self.rest = rest.strip_prefix('.').unwrap_or(rest);
            return word;
        }
        match text.chars().next() {
            Some(sign) if !sign.is_ascii_digit() => {
                let (word, rest) = text.split_at(sign.len_utf8());
                self.rest = rest;
                word
            }
            _ => "",
        }
    }

    /// A run of digits; empty if there is none right here.
    fn digits(&mut self) -> &'a str {
        let end = self.rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(self.rest.len());
        let (digits, rest) = self.rest.split_at(end);
        self.rest = rest;
        digits
    }

    /// The text up to the next space, for an error.
    fn token(self) -> String {
        self.rest.split_whitespace().next().unwrap_or("").chars().take(SHOWN).collect()
    }

    /// A decimal number, with a point or a comma.
    pub(crate) fn decimal(&mut self) -> Result<f64, QuantityError> {
        self.decimal_and_whole().map(|(value, _)| value)
    }

    /// A decimal number, and whether it was written without point and comma.
    fn decimal_and_whole(&mut self) -> Result<(f64, bool), QuantityError> {
        self.rest = self.rest.trim_start();
        let start = *self;
        let not_a_number = || QuantityError::NotANumber { found: start.token() };
        if start.rest.is_empty() {
            return Err(QuantityError::Empty);
        }
        if let Some(unsigned) = start.rest.strip_prefix(['-', '−']) {
            let number = unsigned.trim_start().starts_with(|c: char| c.is_ascii_digit() || ".,".contains(c));
            return Err(if number { QuantityError::Negative } else { not_a_number() });
        }
        let whole = self.digits();
        let Some(mark) = self.rest.chars().next().filter(|c| *c == '.' || *c == ',') else {
            return match whole.parse() {
                Ok(value) => Ok((value, true)),
                Err(_) => Err(not_a_number()),
            };
        };
        self.rest = self.rest.strip_prefix(mark).unwrap_or(self.rest);
        let part = self.digits();
        if part.is_empty() || self.rest.starts_with(['.', ',']) {
            return Err(not_a_number());
        }
        // 1,250 is one and a quarter to one reader and twelve hundred and fifty to another.
        if mark == ',' && part.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0') {
            return Err(QuantityError::CommaUnclear { found: start.token() });
        }
        match format!("{whole}.{part}").parse() {
            Ok(value) => Ok((value, false)),
            Err(_) => Err(not_a_number()),
        }
    }

    /// A number with or without a fraction: `2.5`, `2,5`, `1/2`, `2 1/4`, `2½`.
    pub(crate) fn number(&mut self) -> Result<f64, QuantityError> {
        self.rest = self.rest.trim_start();
        let start = *self;
        if let Some(value) = self.peek().and_then(vulgar) {
            self.word();
            return Ok(value);
        }
        let (whole, is_whole) = self.decimal_and_whole()?;
        if !is_whole {
            return Ok(whole);
        }
        if let Some(part) = self.peek().and_then(vulgar) {
            self.word();
            return Ok(whole + part);
        }
        let mut ahead = start;
        if let Some(value) = ahead.fraction() {
            *self = ahead;
            return value.ok_or_else(|| QuantityError::NotANumber { found: start.token() });
        }
        ahead = *self;
        if let Some(part) = ahead.fraction() {
            let value = part.ok_or_else(|| QuantityError::NotANumber { found: start.shown() })?;
            *self = ahead;
            return Ok(whole + value);
        }
        Ok(whole)
    }

    /// `Some` if digits, a stroke and digits come next; `Some(None)` if they are no number.
    fn fraction(&mut self) -> Option<Option<f64>> {
        self.rest = self.rest.trim_start();
        let over = self.digits();
        self.rest = self.rest.strip_prefix(['/', '⁄'])?;
        let under = self.digits();
        if over.is_empty() || under.is_empty() {
            return None;
        }
        let (Ok(over), Ok(under)) = (over.parse::<f64>(), under.parse::<f64>()) else { return Some(None) };
        Some(Some(over / under).filter(|value| value.is_finite()))
    }
}
