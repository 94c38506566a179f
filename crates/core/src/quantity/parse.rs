//! Typed text into quantities.

use super::scan::Scan;
use super::units::{FOOT_IN_MM, INCH_IN_MM, POUND_IN_GRAMS, YARD_IN_MM};
use super::{Gram, Mm};

/// Longer than any yarn that a small frame meets: 100 km.
const LONGEST: Mm = Mm::new(1e8);
/// Heavier than any stock of yarn: 10 tonnes.
const HEAVIEST: Gram = Gram::new(1e7);
/// A thousand times over.
const LARGEST_RATIO: f64 = 1000.0;

/// Why a text is no quantity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum QuantityError {
    /// There is nothing where a number should be.
    Empty,
    /// There is something else where a number should be.
    NotANumber {
        /// What is there.
        found: String,
    },
    /// A comma with three digits after it, which may mean thousands or decimals.
    CommaUnclear {
        /// The number as it is written.
        found: String,
    },
    /// Less than nothing.
    Negative,
    /// A number without a unit.
    NoUnit,
    /// A unit that is not known here.
    UnknownUnit {
        /// The unit as it is written.
        unit: String,
    },
    /// A unit of mass where a length is wanted, or the other way round.
    OtherKind {
        /// The unit as it is written.
        unit: String,
    },
    /// Too large to be meant: over 100 km, 10 t, or a thousand times.
    TooLarge,
    /// Nothing, where there must be something.
    Zero,
    /// Something is left over after the quantity.
    Trailing {
        /// What is left over.
        rest: String,
    },
}

/// A length or a mass: an amount of yarn, as people note it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// By length.
    Length(Mm),
    /// By mass.
    Mass(Gram),
}

/// What one of a unit is, by any of the names people give it (in small letters).
#[must_use]
fn unit(name: &str) -> Option<Amount> {
    let mm = |mm| Some(Amount::Length(Mm::new(mm)));
    let grams = |grams| Some(Amount::Mass(Gram::new(grams)));
    match name.to_lowercase().as_str() {
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => mm(1.0),
        "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => mm(10.0),
        "m" | "metre" | "metres" | "meter" | "meters" => mm(1000.0),
        "km" | "kilometre" | "kilometres" | "kilometer" | "kilometers" => mm(1e6),
        "in" | "inch" | "inches" | "\"" | "″" | "”" => mm(INCH_IN_MM),
        "ft" | "foot" | "feet" => mm(FOOT_IN_MM),
        "yd" | "yds" | "yard" | "yards" => mm(YARD_IN_MM),
        "g" | "gram" | "grams" | "gramme" | "grammes" => grams(1.0),
        "kg" | "kilogram" | "kilograms" | "kilo" | "kilos" => grams(1000.0),
        "oz" | "ounce" | "ounces" => grams(POUND_IN_GRAMS / 16.0),
        "lb" | "lbs" | "pound" | "pounds" => grams(POUND_IN_GRAMS),
        _ => None,
    }
}

impl Amount {
    /// Reads a length or a mass with its unit, such as `22 m` or `50 g`.
    ///
    /// # Errors
    /// Says what is wrong with the text.
    pub fn parse(text: &str) -> Result<Amount, QuantityError> {
        whole(text, Amount::scan)
    }

    /// Reads a number and a unit.
    pub(crate) fn scan(scan: &mut Scan) -> Result<Amount, QuantityError> {
        let number = scan.number()?;
        Amount::scan_unit(scan, number)
    }

    /// Reads a number, or takes 1 if a unit comes at once: the second half of "per 100 g" or "per kg".
    pub(crate) fn scan_per(scan: &mut Scan) -> Result<Amount, QuantityError> {
        let mut ahead = *scan;
        let number = if unit(ahead.word()).is_some() { 1.0 } else { scan.number()? };
        Amount::scan_unit(scan, number)
    }

    fn scan_unit(scan: &mut Scan, number: f64) -> Result<Amount, QuantityError> {
        let name = scan.word();
        if name.is_empty() {
            return Err(QuantityError::NoUnit);
        }
        let amount = match unit(name) {
            Some(Amount::Length(one)) => Amount::Length(one * number),
            Some(Amount::Mass(one)) => Amount::Mass(one * number),
            None => return Err(QuantityError::UnknownUnit { unit: name.to_owned() }),
        };
        let fits = match amount {
            Amount::Length(length) => length <= LONGEST,
            Amount::Mass(mass) => mass <= HEAVIEST,
        };
        if fits { Ok(amount) } else { Err(QuantityError::TooLarge) }
    }

    /// The same, refusing nothing at all.
    pub(crate) fn some(self) -> Result<Amount, QuantityError> {
        let nothing = match self {
            Amount::Length(length) => length == Mm::ZERO,
            Amount::Mass(mass) => mass == Gram::ZERO,
        };
        if nothing { Err(QuantityError::Zero) } else { Ok(self) }
    }
}

/// Reads all of a text with `read`.
pub(crate) fn whole<T>(
    text: &str,
    read: impl Fn(&mut Scan) -> Result<T, QuantityError>,
) -> Result<T, QuantityError> {
    let mut scan = Scan::new(text);
    let value = read(&mut scan)?;
    if scan.at_end() { Ok(value) } else { Err(QuantityError::Trailing { rest: scan.shown() }) }
}

/// The unit that was written, for an error that is about it.
fn written_unit(text: &str) -> String {
    let mut scan = Scan::new(text);
    if scan.number().is_err() {
        return String::new();
    }
    scan.word().to_owned()
}

impl Mm {
    /// Reads a length with its unit: mm, cm, m, km, in, ft or yd (inch, 1 yd = 0.9144 m); a decimal point or
    /// comma or a fraction, such as `6 mm`, `2,5 cm`, `2 1/4 in`, `½"`. Zero is a length.
    ///
    /// # Errors
    /// Says what is wrong with the text.
    pub fn parse(text: &str) -> Result<Mm, QuantityError> {
        match Amount::parse(text)? {
            Amount::Length(length) => Ok(length),
            Amount::Mass(_) => Err(QuantityError::OtherKind { unit: written_unit(text) }),
        }
    }
}

impl Gram {
    /// Reads a mass with its unit: g, kg, oz or lb (1 lb = 453.59237 g). Zero is a mass.
    ///
    /// # Errors
    /// Says what is wrong with the text.
    pub fn parse(text: &str) -> Result<Gram, QuantityError> {
        match Amount::parse(text)? {
            Amount::Mass(mass) => Ok(mass),
            Amount::Length(_) => Err(QuantityError::OtherKind { unit: written_unit(text) }),
        }
    }
}

/// Reads a ratio: `4 %`, `4 percent` or `0.04`, all of them 0.04.
///
/// # Errors
/// Says what is wrong with the text.
pub fn parse_ratio(text: &str) -> Result<f64, QuantityError> {
    whole(text, |scan| {
        let number = scan.number()?;
        let hundredths =
            scan.eat('%') || scan.eat_word("percent") || (scan.eat_word("per") && scan.eat_word("cent"));
        let ratio = if hundredths { number / 100.0 } else { number };
        if ratio <= LARGEST_RATIO { Ok(ratio) } else { Err(QuantityError::TooLarge) }
    })
}

/// Reads a width and a length: `11 cm x 14 cm`, `11 x 14 cm`, `4" × 5 1/2"`; or one of them: `11 cm wide`,
/// `14 cm long`. A width without a unit has that of the length; neither may be nothing.
///
/// # Errors
/// Says what is wrong with the text.
pub fn parse_sides(text: &str) -> Result<(Option<Mm>, Option<Mm>), QuantityError> {
    let with_unit = |scan: &mut Scan, number: f64| {
        let mut unit = *scan;
        match Amount::scan_unit(scan, number)?.some()? {
            Amount::Length(length) => Ok(length),
            Amount::Mass(_) => Err(QuantityError::OtherKind { unit: unit.word().to_owned() }),
        }
    };
    whole(text, |scan| {
        let wide = scan.number()?;
        let mut width = None;
        if !by(scan) {
            let only = with_unit(scan, wide)?;
            if scan.eat_word("wide") {
                return Ok((Some(only), None));
            }
            if scan.eat_word("long") {
                return Ok((None, Some(only)));
            }
            width = Some(only);
            if !by(scan) && !scan.at_end() {
                return Err(QuantityError::Trailing { rest: scan.shown() });
            }
        }
        let long = scan.number()?;
        let unit = *scan;
        let length = with_unit(scan, long)?;
        Ok((Some(width.map_or_else(|| with_unit(&mut { unit }, wide), Ok)?), Some(length)))
    })
}

/// Takes the sign between a width and a length.
fn by(scan: &mut Scan) -> bool {
    ['x', 'X', '×', '*'].into_iter().any(|sign| scan.eat(sign))
}
