//! How closely a band's rows are beaten, as weavers count it: rows per length.

use crate::quantity::{Amount, Mm, QuantityError, Scan};

/// How closely rows are beaten: from one row to the next it is so far at least. Where the weave and the yarn keep rows
/// farther apart, they lie as they must.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beat {
    apart: Mm,
}

/// Why a text is no beat.
#[derive(Debug, Clone, PartialEq)]
pub enum BeatError {
    /// Its number or its length is none.
    Number(QuantityError),
    /// It doesn't say in what length so many rows lie.
    NoLength,
    /// Rows lie closer than any yarn is thick, or farther apart than any cloth holds them.
    OutOfRange,
}

impl From<QuantityError> for BeatError {
    fn from(error: QuantityError) -> BeatError {
        BeatError::Number(error)
    }
}

impl Beat {
    /// The closest that rows lie: no yarn is thinner.
    pub const LEAST: Mm = super::bounds::LEAST;
    /// The farthest apart that they lie: what is more is mistyped. Common practice, no source.
    pub const MOST: Mm = Mm::new(50.0);

    /// Rows that lie so far apart; `None` if no rows of cloth do.
    #[must_use]
    pub fn new(apart: Mm) -> Option<Beat> {
        (Beat::LEAST..=Beat::MOST).contains(&apart).then_some(Beat { apart })
    }

    /// From the middle of one row to that of the next.
    #[must_use]
    pub fn apart(self) -> Mm {
        self.apart
    }

    /// Reads rows per length: `5 rows per cm`, `12 rows per inch`, `5 per cm`, `5 rows/cm`, `25 picks per 2 in` (a pick is
    /// a row).
    ///
    /// # Errors
    /// What is wrong with the text.
    pub fn parse(text: &str) -> Result<Beat, BeatError> {
        let mut scan = Scan::new(text);
        let rows = scan.number()?;
        let _ = ["rows", "row", "picks", "pick"].into_iter().any(|word| scan.eat_word(word));
        if !(scan.eat_word("per") || scan.eat('/')) {
            return Err(BeatError::NoLength);
        }
        let Amount::Length(length) = Amount::scan_per(&mut scan)?.some()? else {
            return Err(BeatError::NoLength);
        };
        if !scan.at_end() {
            return Err(QuantityError::Trailing { rest: scan.shown() }.into());
        }
        // No rows at all lie infinitely far apart.
        Beat::new(length / rows).ok_or(BeatError::OutOfRange)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_per_length_are_read_as_they_are_written() {
        let apart = |text: &str| Beat::parse(text).unwrap().apart().mm();
        for text in [
            "5 rows per cm",
            "5 per cm",
            "5 rows/cm",
            "50 picks per 10 cm",
            "5 Rows per centimetre",
            "10 / 20 mm",
        ] {
            assert_eq!(apart(text), 2.0, "{text}");
        }
        // An inch is 25.4 mm (the international yard of 1959).
        assert!((apart("12 rows per inch") - 25.4 / 12.0).abs() < 1e-12);
        assert!((apart("12 1/2 rows per in") - 25.4 / 12.5).abs() < 1e-12);
        assert!((apart("4,5 rows per cm") - 10.0 / 4.5).abs() < 1e-12);
    }

    #[test]
    fn what_is_no_beat_is_refused() {
        let error = |text: &str| Beat::parse(text).unwrap_err();
        assert_eq!(error("5 rows"), BeatError::NoLength);
        assert_eq!(error("5 mm"), BeatError::NoLength);
        assert_eq!(error("5 rows per 10 g"), BeatError::NoLength);
        assert_eq!(error(""), BeatError::Number(QuantityError::Empty));
        assert_eq!(
            error("5 rows per cm tight"),
            BeatError::Number(QuantityError::Trailing { rest: "tight".into() })
        );
        assert_eq!(error("0 rows per cm"), BeatError::OutOfRange);
        assert_eq!(error("200 rows per cm"), BeatError::OutOfRange);
        assert_eq!(error("1 row per m"), BeatError::OutOfRange);
        assert_eq!(error("5 rows per 0 cm"), BeatError::Number(QuantityError::Zero));
    }
}
