//! Prices, hanks, colours and fibre names as people write them, and labels that contradict the ruler.

use fellmark_core::habits::{Habit, Habits};
use fellmark_core::quantity::{Gram, Mm, QuantityError, Tex, Typed};
use fellmark_core::yarn::{
    ColourError, Fibre, Hank, HankError, Price, PriceError, Size, Srgb, Stock, System, ThicknessConflict,
    Yarn,
};
use proptest::prelude::*;

#[test]
fn prices_are_read_with_the_currency_on_either_side() {
    let hundred_grams = Stock::Mass(Gram::new(100.0));
    for (text, amount, currency, per) in [
        ("6.40 EUR per 100 g", 6.4, "EUR", hundred_grams),
        ("6,40 € / 100 g", 6.4, "€", hundred_grams),
        ("6,40€/100g", 6.4, "€", hundred_grams),
        ("£5 per 50 m", 5.0, "£", Stock::Length(Mm::new(50_000.0))),
        ("EUR 12 per kg", 12.0, "EUR", Stock::Mass(Gram::new(1000.0))),
        ("0 kr per m", 0.0, "kr", Stock::Length(Mm::new(1000.0))),
    ] {
        let price = Price { amount, currency: currency.to_owned(), per };
        assert_eq!(Price::parse(text), Ok(price), "{text}");
    }
}

#[test]
fn each_fault_of_a_price_has_its_own_error() {
    use PriceError as E;
    for (text, error) in [
        ("", E::Money(QuantityError::Empty)),
        ("EUR", E::Money(QuantityError::Empty)),
        ("-5 EUR per 50 m", E::Money(QuantityError::Negative)),
        ("1,200 EUR per kg", E::Money(QuantityError::CommaUnclear { found: "1,200".to_owned() })),
        ("5 per 50 m", E::NoCurrency),
        ("5", E::NoCurrency),
        ("5 EUR", E::NoPer { found: String::new() }),
        ("5 EUR a skein", E::NoPer { found: "a skein".to_owned() }),
        ("5 EUR per skein", E::Yarn(QuantityError::NotANumber { found: "skein".to_owned() })),
        ("5 EUR per 50", E::Yarn(QuantityError::NoUnit)),
        ("5 EUR per 0 m", E::Yarn(QuantityError::Zero)),
        ("5 EUR per 50 m post free", E::Yarn(QuantityError::Trailing { rest: "post free".to_owned() })),
    ] {
        assert_eq!(Price::parse(text), Err(error), "{text:?}");
    }
}

#[test]
fn hanks_are_read_in_either_order() {
    let hank = Hank { mass: Gram::new(52.0), length: Mm::new(110_000.0) };
    for text in ["52 g, 110 m", "110 m, 52 g", "52g 110m", "52 g / 110 m", "52,0 g, 110,0 m", "110 m = 52 g"]
    {
        assert_eq!(Hank::parse(text), Ok(hank), "{text}");
    }
    assert!((hank.tex().tex() - 52.0 / 0.110).abs() < 1e-9);
    for (text, error) in [
        ("", HankError::Amount(QuantityError::Empty)),
        ("52 g", HankError::Amount(QuantityError::Empty)),
        ("52 g, 110", HankError::Amount(QuantityError::NoUnit)),
        ("52 g, 0 m", HankError::Amount(QuantityError::Zero)),
        ("52 g, 110 g", HankError::SameKind),
        ("52 kg, 1 m", HankError::OutOfRange),
        ("52 g, 110 m, wet", HankError::Amount(QuantityError::Trailing { rest: ", wet".to_owned() })),
    ] {
        assert_eq!(Hank::parse(text), Err(error), "{text:?}");
    }
}

#[test]
fn colours_are_read_long_and_short() {
    assert_eq!(Srgb::parse("#a88b4c"), Ok(Srgb([0xa8, 0x8b, 0x4c])));
    assert_eq!(Srgb::parse(" #A88B4C "), Ok(Srgb([0xa8, 0x8b, 0x4c])));
    // A digit of the short form is written twice: CSS Color Module Level 4, section 5.2.
    assert_eq!(Srgb::parse("#abc"), Ok(Srgb([0xaa, 0xbb, 0xcc])));
    for (text, error) in [
        ("", ColourError::NoHash),
        ("a88b4c", ColourError::NoHash),
        ("reed", ColourError::NoHash),
        ("#", ColourError::Length(0)),
        ("#a88b", ColourError::Length(4)),
        ("#a88b4c00", ColourError::Length(8)),
        ("#a88b4g", ColourError::Digit('g')),
        ("#a88b4é", ColourError::Digit('é')),
    ] {
        assert_eq!(Srgb::parse(text), Err(error), "{text:?}");
    }
}

#[test]
fn fibres_go_by_their_names() {
    for fibre in Fibre::ALL {
        assert_eq!(Fibre::parse(fibre.name()), Some(fibre));
        assert_eq!(Fibre::parse(&format!(" {} ", fibre.name().to_uppercase())), Some(fibre));
    }
    assert_eq!(Fibre::parse("flax"), Some(Fibre::Linen));
    assert_eq!(Fibre::parse("Merino  wool"), Some(Fibre::Wool));
    assert_eq!(Fibre::parse("samphire"), None);
    assert_eq!(Fibre::parse(""), None);
}

fn yarn(size: Size, wraps_per_cm: Option<f64>, measured: Option<Hank>) -> Yarn {
    Yarn {
        name: "mud-lark".to_owned(),
        colour: Srgb([90, 80, 70]),
        size: Typed::new(size, ""),
        wraps: wraps_per_cm.map(|n| Typed::new(Mm::new(10.0 / n), "")),
        measured: measured.map(|hank| Typed::new(hank, "")),
        halo: None,
        fibre: Fibre::Wool,
        price: None,
        have: None,
    }
}

#[test]
fn a_measured_hank_beats_the_label_and_wraps_beat_the_weight() {
    let habits = Habits::default();
    let loft = habits.ratio(Habit::LoftSoft);
    let label = Size::Count(System::Metric.tex(2.1));
    let hank = Hank { mass: Gram::new(52.0), length: Mm::new(100_000.0) };
    assert_eq!(habits.tex(&yarn(label, None, Some(hank))), Tex::new(520.0));
    assert_eq!(habits.diameter(&yarn(label, None, Some(hank))), Fibre::Wool.diameter(Tex::new(520.0)) * loft);
    assert_eq!(habits.diameter(&yarn(label, Some(8.0), Some(hank))), Mm::new(1.25));
    assert_eq!(habits.tex(&yarn(label, Some(8.0), None)), System::Metric.tex(2.1));
    let by_ruler = yarn(Size::Wraps(Mm::new(1.25)), None, None);
    assert_eq!(habits.tex(&by_ruler), Fibre::Wool.tex_of(Mm::new(1.25) / loft));
    assert_eq!(habits.tex(&yarn(Size::Wraps(Mm::new(1.25)), None, Some(hank))), Tex::new(520.0));
}

/// One yarn is one yarn: by its label, by its wraps, and by both.
#[test]
fn a_yarn_is_as_thick_and_as_heavy_by_its_wraps_as_by_its_label() {
    let habits = Habits::default();
    let label = Size::Count(System::Metric.tex(2.1));
    let by_label = yarn(label, None, None);
    let thick = habits.diameter_between(&by_label);
    assert!(thick.low < thick.likely && thick.likely < thick.high);
    let by_wraps = |width: Mm| yarn(Size::Wraps(width), None, None);
    let same = habits.tex(&by_wraps(thick.likely)) / System::Metric.tex(2.1);
    assert!((same - 1.0).abs() < 1e-12, "{same}");
    // Wherever in the spread of the label the wraps lie, what they make of its weight has the label's in its own spread.
    for width in [thick.low, thick.likely, thick.high] {
        let tex = habits.tex_between(&by_wraps(width));
        assert!(tex.low <= System::Metric.tex(2.1) * (1.0 + 1e-12), "{tex:?}");
        assert!(tex.high >= System::Metric.tex(2.1) * (1.0 - 1e-12), "{tex:?}");
        let both = habits.diameter_between(&yarn(label, Some(10.0 / width.mm()), None));
        assert!((both.low / width - 1.0).abs() < 1e-12 && both.low == both.high);
    }
}

#[test]
fn a_label_and_a_ruler_that_differ_more_than_yarns_do_are_named() {
    let habits = Habits::default();
    let close = Fibre::Wool.diameter(System::Metric.tex(2.1));
    let label = Size::Count(System::Metric.tex(2.1));
    // A wrap so many times as wide as the yarn is thick by its weight, packed close.
    let with =
        |factor: f64| habits.thickness_conflict(&yarn(label, Some(10.0 / (close.mm() * factor)), None));
    // Soft yarn lies up to twice as thick (yarn_thickness.rs), and a quarter more either way is borne.
    for usual in [1.55, 1.2, 2.0, 2.49, 0.97] {
        assert_eq!(with(usual), None, "{usual}");
    }
    for factor in [2.51, 0.95] {
        let Some(ThicknessConflict { by_weight: weight, by_wraps }) = with(factor) else {
            panic!("{factor} is more than yarns do")
        };
        assert_eq!(weight, habits.diameter(&yarn(label, None, None)));
        assert!((by_wraps / close - factor).abs() < 1e-12);
    }
    assert_eq!(habits.thickness_conflict(&yarn(label, None, None)), None);
    let wide = |hank| habits.thickness_conflict(&yarn(Size::Wraps(Mm::new(9.0)), None, hank));
    assert_eq!(wide(None), None);
    // A weighed hank stands for the label.
    assert!(wide(Some(Hank { mass: Gram::new(52.0), length: Mm::new(100_000.0) })).is_some());
}

proptest! {
    #[test]
    fn a_colour_is_read_as_it_is_written(bytes: [u8; 3]) {
        prop_assert_eq!(Srgb::parse(&Srgb(bytes).to_string()), Ok(Srgb(bytes)));
    }

    #[test]
    fn no_text_makes_the_readers_panic(text in "[#£0-9a-f ./,gmEUR-]{0,20}|\\PC{0,30}") {
        let _ = (Srgb::parse(&text), Price::parse(&text), Fibre::parse(&text));
        if let Ok(hank) = Hank::parse(&text) {
            prop_assert!(hank.tex().tex() > 0.0);
        }
    }
}
