//! Lengths, masses and ratios as people type them.
//!
//! The inch and the pound are exact by the international agreement of 1959 (1 yd = 0.9144 m,
//! 1 lb = 453.59237 g); the crate `referees` asks GNU units and pint for the same numbers.

use fellmark_core::quantity::{Amount, Gram, Mm, QuantityError, parse_ratio};
use proptest::prelude::*;

#[test]
fn lengths_are_read_in_every_unit_and_spelling() {
    for (text, mm) in [
        ("6 mm", 6.0),
        ("6mm", 6.0),
        ("  22 cm ", 220.0),
        ("2,5 cm", 25.0),
        ("2.5cm", 25.0),
        ("1.2 m", 1200.0),
        ("1,6 km", 1.6e6),
        ("0 mm", 0.0),
        ("0,125 m", 125.0),
        ("1250,125 m", 1_250_125.0),
        (".5 in", 12.7),
        ("9 in", 228.6),
        ("9 in.", 228.6),
        ("9 INCHES", 228.6),
        ("1 inch", 25.4),
        ("9\"", 228.6),
        ("9″", 228.6),
        ("2 1/4 in", 57.15),
        ("1/2 in", 12.7),
        ("½\"", 12.7),
        ("2½ in", 63.5),
        ("2 ½ in", 63.5),
        ("1⁄4 in", 6.35),
        ("3 ft", 914.4),
        ("1 foot", 304.8),
        ("1 yd", 914.4),
        ("2 yards", 1828.8),
        ("100 km", 1e8),
    ] {
        let read = Mm::parse(text).map(Mm::mm);
        assert!(matches!(read, Ok(read) if (read - mm).abs() <= 1e-12 * mm), "{text}: {read:?}");
    }
}

#[test]
fn masses_are_read_in_every_unit() {
    for (text, grams) in [
        ("50 g", 50.0),
        ("1.5 kg", 1500.0),
        ("1 lb", 453.592_37),
        ("2 lbs", 907.184_74),
        ("1 oz", 28.349_523_125),
        ("3/4 oz", 21.262_142_343_75),
    ] {
        let read = Gram::parse(text).map(Gram::grams);
        assert!(matches!(read, Ok(read) if (read - grams).abs() <= 1e-12 * grams), "{text}: {read:?}");
    }
    assert_eq!(Amount::parse("22 m"), Ok(Amount::Length(Mm::new(22_000.0))));
    assert_eq!(Amount::parse("50 g"), Ok(Amount::Mass(Gram::new(50.0))));
}

#[test]
fn ratios_are_read_with_and_without_a_percent_sign() {
    for (text, ratio) in [
        ("4 %", 0.04),
        ("4%", 0.04),
        ("4 percent", 0.04),
        ("4 per cent", 0.04),
        ("0.04", 0.04),
        ("0,04", 0.04),
        ("1/4", 0.25),
        ("150 %", 1.5),
        ("0", 0.0),
    ] {
        assert_eq!(parse_ratio(text), Ok(ratio), "{text}");
    }
    assert_eq!(parse_ratio("2000"), Err(QuantityError::TooLarge));
    assert_eq!(parse_ratio("4 cm"), Err(QuantityError::Trailing { rest: "cm".to_owned() }));
    assert_eq!(parse_ratio("-4 %"), Err(QuantityError::Negative));
}

#[test]
fn each_fault_has_its_own_error() {
    use QuantityError as E;
    let not_a_number = |found: &str| E::NotANumber { found: found.to_owned() };
    for (text, error) in [
        ("", E::Empty),
        ("   ", E::Empty),
        ("6", E::NoUnit),
        ("2 1/4", E::NoUnit),
        ("six mm", not_a_number("six")),
        ("mm", not_a_number("mm")),
        ("inf mm", not_a_number("inf")),
        ("NaN mm", not_a_number("NaN")),
        ("1.2.3 mm", not_a_number("1.2.3")),
        ("1. mm", not_a_number("1.")),
        ("1,234.5 mm", not_a_number("1,234.5")),
        ("1/0 in", not_a_number("1/0")),
        ("2 1/0 in", not_a_number("2 1/0 in")),
        ("0/0 in", not_a_number("0/0")),
        ("- mm", not_a_number("-")),
        ("+6 mm", not_a_number("+6")),
        ("-6 mm", E::Negative),
        ("−6 mm", E::Negative),
        ("-.5 mm", E::Negative),
        // One and a quarter, or twelve hundred and fifty?
        ("1,250 m", E::CommaUnclear { found: "1,250".to_owned() }),
        ("125,250 m", E::CommaUnclear { found: "125,250".to_owned() }),
        ("6 hands", E::UnknownUnit { unit: "hands".to_owned() }),
        ("1e3 mm", E::UnknownUnit { unit: "e".to_owned() }),
        ("6 g", E::OtherKind { unit: "g".to_owned() }),
        ("100001 m", E::TooLarge),
        ("6 mm or so", E::Trailing { rest: "or so".to_owned() }),
        ("1 m 20 cm", E::Trailing { rest: "20 cm".to_owned() }),
    ] {
        assert_eq!(Mm::parse(text), Err(error), "{text:?}");
    }
    assert_eq!(Mm::parse(&format!("{} mm", "9".repeat(400))), Err(E::TooLarge));
    assert_eq!(Gram::parse("6 mm"), Err(E::OtherKind { unit: "mm".to_owned() }));
    assert_eq!(Gram::parse("11000 kg"), Err(E::TooLarge));
}

#[test]
fn an_error_repeats_no_more_than_a_few_signs() {
    let Err(QuantityError::NotANumber { found }) = Mm::parse(&"x".repeat(10_000)) else {
        panic!("that is no number");
    };
    assert!(found.len() <= 24, "{}", found.len());
}

proptest! {
    #[test]
    fn no_text_makes_the_readers_panic(text in "\\PC{0,40}") {
        let _ = (Mm::parse(&text), Gram::parse(&text), Amount::parse(&text), parse_ratio(&text));
    }

    #[test]
    fn what_is_written_is_read_again(mm in 0.0f64..1e8) {
        prop_assert_eq!(Mm::parse(&format!("{mm} mm")), Ok(Mm::new(mm)));
    }

    #[test]
    fn point_and_comma_are_one(whole in 0u32..100_000, part in 0u32..100) {
        let point = Mm::parse(&format!("{whole}.{part:02} cm"));
        prop_assert!(point.is_ok());
        prop_assert_eq!(point, Mm::parse(&format!("{whole},{part:02} cm")));
    }

    #[test]
    fn a_larger_number_is_a_larger_length(a in 0u32..100_000, b in 0u32..100_000) {
        for unit in ["mm", "cm", "in", "ft", "yd"] {
            let read = |n| Mm::parse(&format!("{n} {unit}")).unwrap();
            prop_assert_eq!(a < b, read(a) < read(b));
        }
    }

    #[test]
    fn fractions_add_up(whole in 0u32..1000, over in 0u32..64) {
        let read = Mm::parse(&format!("{whole} {over}/64 in")).unwrap();
        prop_assert!((read.inches() - f64::from(whole * 64 + over) / 64.0).abs() < 1e-12 * 1000.0);
    }
}
