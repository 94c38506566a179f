//! Quantities and yarn sizes of a plan: the core reads them, this says in words why one can't be read.

use crate::near::{either, near, quoted};
use crate::reader::Misread;
use fellmark_core::plan::{Beat, BeatError, Wanted, bounds};
use fellmark_core::quantity::{Mm, QuantityError, Typed, parse_ratio, parse_sides};
use fellmark_core::say::{self, Units};
use fellmark_core::yarn::{
    ColourError, Fibre, Hank, HankError, ParsedSize, Price, PriceError, Size, SizeError, Srgb, Stock,
};

/// A length with its unit.
pub(crate) fn length(text: &str) -> Result<Typed<Mm>, Misread> {
    Mm::parse(text).map(|mm| Typed::new(mm, text)).map_err(|error| {
        quantity(text, &error, "Write a length with its unit, such as \"6 mm\", \"2.5 cm\" or \"1 1/2 in\".")
    })
}

/// A length that is more than nothing.
pub(crate) fn some_length(text: &str) -> Result<Typed<Mm>, Misread> {
    let read = length(text)?;
    if read.value > Mm::ZERO {
        return Ok(read);
    }
    Err(Misread::new(
        format!("{} is nothing at all.", quoted(text)),
        "Write a length that is more than nothing, such as \"6 mm\".",
    ))
}

/// The same length, if anything of a frame is so long.
pub(crate) fn within_a_frame(length: Typed<Mm>) -> Result<Typed<Mm>, Misread> {
    if length.value <= bounds::FRAME {
        return Ok(length);
    }
    Err(Misread::new(
        format!("{} is longer than any frame.", quoted(&length.typed)),
        "Write what you measure on yours, \"10 m\" at the most.",
    ))
}

/// The same length, if a frame has anything so small that yarn goes through or along it.
pub(crate) fn seen_on_a_frame(length: Typed<Mm>) -> Result<Typed<Mm>, Misread> {
    if length.value >= bounds::LEAST {
        return Ok(length);
    }
    Err(Misread::new(
        format!("{} is less than anything of a frame.", quoted(&length.typed)),
        "Write what you measure on yours, \"0.1 mm\" at the least.",
    ))
}

/// How closely rows are beaten.
pub(crate) fn beat(text: &str) -> Result<Typed<Beat>, Misread> {
    let help = "Write how many rows lie in a length, such as \"5 rows per cm\" or \"12 rows per inch\".";
    let shown = quoted(text);
    match Beat::parse(text) {
        Ok(beat) => Ok(Typed::new(beat, text)),
        Err(BeatError::Number(error)) => Err(quantity(text, &error, help)),
        Err(BeatError::NoLength) => Err(Misread::new(format!("{shown} doesn't say in what length."), help)),
        Err(BeatError::OutOfRange) => Err(Misread::new(
            format!("{shown} is no beat of cloth."),
            "Write rows that lie from 0.1 mm to 5 cm apart, such as \"5 rows per cm\".",
        )),
    }
}

/// How far fibres stand out round a yarn.
pub(crate) fn halo(text: &str) -> Result<Typed<Mm>, Misread> {
    /// The longest fibres of brushed yarn stand out about half as far: what is more is mistyped. Common practice, no
    /// source.
    const MOST: f64 = 20.0;
    let read = length(text)?;
    if (Mm::ZERO..=Mm::new(MOST)).contains(&read.value) {
        return Ok(read);
    }
    Err(Misread::new(
        format!("{} is no halo of a yarn.", quoted(text)),
        "Write how far its fibres stand out, from \"0 mm\" to \"20 mm\".",
    ))
}

/// A width and a length, or one of them, more than nothing.
pub(crate) fn wanted(text: &str) -> Result<Typed<Wanted>, Misread> {
    let help = "Write the width and the length, such as \"11 cm x 14 cm\", or one of them: \"11 cm wide\" or \"14 cm long\".";
    match parse_sides(text) {
        Ok((width, length)) => Ok(Typed::new(Wanted { width, length }, text)),
        Err(error) => Err(quantity(text, &error, help)),
    }
}

/// A ratio, as a number or a percentage.
pub(crate) fn ratio(text: &str) -> Result<f64, Misread> {
    parse_ratio(text)
        .map_err(|error| quantity(text, &error, "Write a percentage or a number, such as \"4 %\" or 0.04."))
}

/// A colour.
pub(crate) fn colour(text: &str) -> Result<Srgb, Misread> {
    Srgb::parse(text).map_err(|error| {
        let shown = quoted(text);
        let message = match error {
            ColourError::NoHash => format!("{shown} is no colour: it does not begin with #."),
            ColourError::Length(digits) => {
                format!("{shown} is no colour: it has {digits} digits, and a colour has six or three.")
            }
            ColourError::Digit(sign) => {
                format!(
                    "{shown} is no colour: {} is no digit from 0 to 9 or a to f.",
                    quoted(&sign.to_string())
                )
            }
        };
        Misread::new(message, "Write # and six digits for red, green and blue, such as \"#2d6f73\".")
    })
}

/// What a yarn is made of.
pub(crate) fn fibre(text: &str) -> Result<Fibre, Misread> {
    Fibre::parse(text).ok_or_else(|| {
        let known = || Fibre::ALL.iter().map(|fibre| fibre.name());
        let help = match near(text, known()).as_slice() {
            [] => format!("Write one of {}, or leave it out.", either(known())),
            meant => format!("Did you mean {}?", either(meant.iter().copied())),
        };
        Misread::new(format!("{} is no fibre known here.", quoted(text)), help)
    })
}

/// A yarn's size. `fibre` settles counts that name no system.
pub(crate) fn size(text: &str, fibre: Option<Fibre>) -> Result<ParsedSize, Misread> {
    Size::parse(text, fibre).map_err(|error| size_error(text, &error))
}

/// Turns that were counted on a ruler: how wide each is.
pub(crate) fn wraps(text: &str) -> Result<Typed<Mm>, Misread> {
    let message = match Size::parse(text, None) {
        Ok(ParsedSize { size: Size::Wraps(width), .. }) => return Ok(Typed::new(width, text)),
        Err(error @ (SizeError::WrapsPer | SizeError::Number(_) | SizeError::OutOfRange)) => {
            size_error(text, &error).message
        }
        Ok(_) | Err(_) => format!("{} counts no wraps.", quoted(text)),
    };
    let help = "Write how many turns lie side by side on a ruler, such as \"7 wraps per cm\" or \"18 wraps per inch\".";
    Err(Misread::new(message, help))
}

fn size_error(text: &str, error: &SizeError) -> Misread {
    let [length, count, wraps] = say::size_examples(Units::Metric);
    let usual =
        format!("Write what the label or a ruler says, such as \"{length}\", \"{count}\" or \"{wraps}\".");
    let usual = usual.as_str();
    let shown = quoted(text);
    match error {
        SizeError::Empty if text.trim().is_empty() => Misread::new("The yarn size is empty.", usual),
        SizeError::Empty => Misread::new(format!("{shown} says no size: it has no number."), usual),
        SizeError::Number(error) => quantity(text, error, usual),
        SizeError::NoSystem => Misread::new(
            format!("{shown} does not say how the yarn is counted."),
            "Name the fibre or the system, such as \"8/2 cotton\" or \"Nm 28/2\".",
        ),
        SizeError::SystemUnclear { readings } => {
            let may =
                readings.iter().map(|(system, tex)| format!("{} ({:.0} tex)", system.name(), tex.tex()));
            let may: Vec<String> = may.collect();
            Misread::new(
                format!("{shown} may mean different yarns: {}.", either(may.iter().map(String::as_str))),
                "Write the system beside the number.",
            )
        }
        SizeError::Twice => {
            Misread::new(format!("{shown} names two systems or two fibres."), "Keep one of them.")
        }
        SizeError::UnknownWords { words } => {
            Misread::new(format!("{} is no yarn count and no fibre known here.", quoted(words)), usual)
        }
        SizeError::Stroke => Misread::new(
            format!("The stroke in {shown} has no meaning in this count."),
            "Write the plies as a factor, such as \"50 tex x 2\".",
        ),
        SizeError::Strands => Misread::new(
            format!("The number of strands in {shown} is no whole number from 1 to 200."),
            "Write how many strands are plied, such as \"8/2 cotton\".",
        ),
        SizeError::NoPer => Misread::new(
            format!("{shown} is only half of a size."),
            "Write a length and its mass, such as \"210 m per 100 g\".",
        ),
        SizeError::SameKind => Misread::new(
            format!("{shown} says two lengths or two masses."),
            "Write a length and its mass, such as \"210 m per 100 g\".",
        ),
        SizeError::WrapsPer => Misread::new(
            format!("{shown} counts wraps, but not on a length."),
            "Write the length of ruler they fill, such as \"7 wraps per cm\" or \"18 wraps per inch\".",
        ),
        SizeError::OutOfRange => Misread::new(
            format!("{shown} is finer or thicker than any yarn."),
            "Look at the label once more.",
        ),
    }
}

/// A hank that was weighed and measured.
pub(crate) fn hank(text: &str) -> Result<Typed<Hank>, Misread> {
    let usual = "Write what it weighed and how long it was, such as \"12.4 g, 31 m\".";
    Hank::parse(text).map(|hank| Typed::new(hank, text)).map_err(|error| match error {
        HankError::Amount(error) => quantity(text, &error, usual),
        HankError::SameKind => {
            Misread::new(format!("{} says two masses or two lengths.", quoted(text)), usual)
        }
        HankError::OutOfRange => {
            Misread::new(format!("{} is no weight and length of a yarn.", quoted(text)), usual)
        }
    })
}

/// What a yarn costs.
pub(crate) fn price(text: &str) -> Result<Typed<Price>, Misread> {
    let usual = "Write money, currency and how much that buys, such as \"4.90 EUR per 50 g\".";
    let shown = quoted(text);
    Price::parse(text).map(|price| Typed::new(price, text)).map_err(|error| match error {
        PriceError::Money(error) | PriceError::Yarn(error) => quantity(text, &error, usual),
        PriceError::NoCurrency => Misread::new(format!("{shown} names no currency."), usual),
        PriceError::NoPer { .. } => {
            Misread::new(format!("{shown} does not say how much yarn that buys."), usual)
        }
    })
}

/// How much of a yarn there is.
pub(crate) fn stock(text: &str) -> Result<Typed<Stock>, Misread> {
    Stock::parse(text).map(|stock| Typed::new(stock, text)).map_err(|error| {
        quantity(text, &error, "Write a length or a mass with its unit, such as \"22 m\" or \"50 g\".")
    })
}

fn quantity(text: &str, error: &QuantityError, usual: &str) -> Misread {
    let shown = quoted(text);
    let message = match error {
        QuantityError::Empty => format!("{shown} lacks a number."),
        QuantityError::NotANumber { found } => {
            format!("{shown} has {} where a number should be.", quoted(found))
        }
        QuantityError::CommaUnclear { found } => {
            format!("The comma in {} may mean thousands or tenths.", quoted(found))
        }
        QuantityError::Negative => format!("{shown} is less than nothing."),
        QuantityError::NoUnit => format!("{shown} lacks a unit."),
        QuantityError::UnknownUnit { unit } => format!("{} is no unit known here.", quoted(unit)),
        QuantityError::OtherKind { unit } => format!("{} is a unit of another kind.", quoted(unit)),
        QuantityError::TooLarge => format!("{shown} is larger than anything here can be."),
        QuantityError::Zero => format!("{shown} is nothing at all."),
        QuantityError::Trailing { rest } => format!("{shown} goes on with {}.", quoted(rest)),
    };
    Misread::new(message, usual)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_can_not_be_read_is_named() {
        assert_eq!(length("6").unwrap_err().message, "\"6\" lacks a unit.");
        assert_eq!(length("6 el").unwrap_err().message, "\"el\" is no unit known here.");
        assert_eq!(some_length("0 mm").unwrap_err().message, "\"0 mm\" is nothing at all.");
        assert_eq!(
            colour("2d6f73").unwrap_err().message,
            "\"2d6f73\" is no colour: it does not begin with #."
        );
        assert_eq!(fibre("woll").unwrap_err().help, "Did you mean wool?");
        assert_eq!(hank("12 g, 12 g").unwrap_err().message, "\"12 g, 12 g\" says two masses or two lengths.");
        assert_eq!(wraps("8/2 cotton").unwrap_err().message, "\"8/2 cotton\" counts no wraps.");
        assert_eq!(wraps("7").unwrap_err().message, "\"7\" counts no wraps.");
        assert_eq!(wraps("7 wraps").unwrap_err().message, "\"7 wraps\" counts wraps, but not on a length.");
        assert_eq!(wraps("7 wraps per cm").unwrap().value, Mm::new(10.0 / 7.0));
        assert_eq!(price("4.90 per 50 g").unwrap_err().message, "\"4.90 per 50 g\" names no currency.");
        assert!(size("8/2", None).unwrap_err().help.contains("system"));
    }
}
