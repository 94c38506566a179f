//! What stands on a label besides the size: what a yarn costs, what a hank weighs.

use super::Size;
use crate::quantity::{Amount, Gram, Mm, QuantityError, Scan, Tex, whole};

/// What a yarn costs: so much money for so much yarn.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// Money, in whole and part of `currency`.
    pub amount: f64,
    /// The currency as it was typed, such as "EUR" or "£".
    pub currency: String,
    /// What that buys: more than nothing.
    pub per: Amount,
}

/// A hank that was weighed and reeled off: it beats the label.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hank {
    /// What it weighed: more than nothing.
    pub mass: Gram,
    /// How long it was: more than nothing.
    pub length: Mm,
}

/// Why a text is no price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PriceError {
    /// The money is no number.
    Money(QuantityError),
    /// The money has no currency.
    NoCurrency,
    /// There is no "per" (or stroke) between the money and the yarn.
    NoPer {
        /// What is there instead.
        found: String,
    },
    /// The amount of yarn can't be read.
    Yarn(QuantityError),
}

/// Why a text is no hank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HankError {
    /// One of the two amounts can't be read.
    Amount(QuantityError),
    /// Two masses or two lengths, where one of each is wanted.
    SameKind,
    /// No yarn is so fine or so heavy: see [`SizeError::OutOfRange`](super::SizeError::OutOfRange).
    OutOfRange,
}

impl Price {
    /// Reads a price such as `6.40 EUR per 100 g`, `£5 per 50 m` or `12 € / kg`.
    ///
    /// # Errors
    /// Says which part of the text is wrong, and how.
    pub fn parse(text: &str) -> Result<Price, PriceError> {
        let mut scan = Scan::new(text);
        let before = currency(&mut scan);
        let amount = scan.decimal().map_err(PriceError::Money)?;
        if amount > 1e9 {
            return Err(PriceError::Money(QuantityError::TooLarge));
        }
        let currency = before.or_else(|| currency(&mut scan)).ok_or(PriceError::NoCurrency)?;
        if !(scan.eat_word("per") || scan.eat('/')) {
            return Err(PriceError::NoPer { found: scan.shown() });
        }
        let per = Amount::scan_per(&mut scan).and_then(Amount::some).map_err(PriceError::Yarn)?;
        if !scan.at_end() {
            return Err(PriceError::Yarn(QuantityError::Trailing { rest: scan.shown() }));
        }
        Ok(Price { amount, currency, per })
    }
}

/// A word or a sign that can be a currency.
fn currency(scan: &mut Scan) -> Option<String> {
    let mut ahead = *scan;
    let word = ahead.word();
    let sign = !word.is_empty() && !word.starts_with(|c: char| "/.,+-−".contains(c));
    if !sign || word.eq_ignore_ascii_case("per") {
        return None;
    }
    *scan = ahead;
    Some(word.to_owned())
}

impl Hank {
    /// Reads a hank such as `52 g, 110 m`, in either order.
    ///
    /// # Errors
    /// Says what is wrong with the text.
    pub fn parse(text: &str) -> Result<Hank, HankError> {
        let pair = |scan: &mut Scan| {
            let first = Amount::scan(scan)?.some()?;
            let _ = [',', ';', '=', '/'].into_iter().any(|sign| scan.eat(sign))
                || ["and", "per", "for"].into_iter().any(|word| scan.eat_word(word));
            Ok((first, Amount::scan(scan)?.some()?))
        };
        match whole(text, pair).map_err(HankError::Amount)? {
            (Amount::Mass(mass), Amount::Length(length)) | (Amount::Length(length), Amount::Mass(mass)) => {
                let hank = Hank { mass, length };
                let possible = Size::Count(hank.tex()).is_possible();
                possible.then_some(hank).ok_or(HankError::OutOfRange)
            }
            _ => Err(HankError::SameKind),
        }
    }

    /// The linear density it shows.
    #[must_use]
    pub fn tex(self) -> Tex {
        Tex::new(self.mass.grams() / self.length.metres() * 1000.0)
    }
}
