//! What a maker may know of a yarn, in words.

use super::Units;
use crate::plan::Known;
use crate::yarn::{Fibre, Yarn};

/// What is asked of a yarn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AskedOf {
    /// What it is.
    pub words: &'static str,
    /// An answer, as it may be typed.
    pub example: &'static str,
    /// How to answer.
    pub hint: String,
}

/// What is asked of a yarn of this fibre, whether it is known already or not.
#[must_use]
pub fn known(known: &Known, fibre: Fibre, units: Units) -> AskedOf {
    let example = |metric, inch| match units {
        Units::Metric => metric,
        Units::Inch => inch,
    };
    let such_as = |words, example: &'static str, more: &str| AskedOf {
        words,
        example,
        hint: format!("Such as {example}{more}"),
    };
    match known {
        Known::Have(_) => such_as("how much of it you have", example("22 m", "24 yd"), ", or what it weighs"),
        Known::Price(_) => such_as("what it costs", example("4.90 EUR per 50 g", "4.90 EUR per 2 oz"), ""),
        Known::Wraps(_) => such_as(
            "turns side by side on a ruler",
            example("7 wraps per cm", "18 wraps per inch"),
            ": they say how thick it is",
        ),
        Known::Measured(_) => such_as(
            "a hank you weighed and measured",
            example("12.4 g, 31 m", "0.44 oz, 34 yd"),
            ": it beats the label",
        ),
        Known::Halo(_) => {
            let (brushed, smooth) = (example("4 mm", "1/8 in"), example("0 mm", "0 in"));
            AskedOf {
                words: "how far its fibres stand out",
                example: brushed,
                hint: format!(
                    "Such as {brushed} if it is brushed, {smooth} if it is smooth; without it, as is usual for {}",
                    fibre.name()
                ),
            }
        }
    }
}

/// How a yarn's size may be said, by examples: as labels and rulers say it.
#[must_use]
pub fn size_examples(units: Units) -> [&'static str; 3] {
    match units {
        Units::Metric => ["210 m per 100 g", "8/2 cotton", "7 wraps per cm"],
        Units::Inch => ["230 yd per 100 g", "8/2 cotton", "18 wraps per inch"],
    }
}

/// All that is known of a yarn beside its label, for what holds it.
#[must_use]
pub fn all_known(yarn: &Yarn) -> String {
    let said = |known: &Known| {
        let typed = known.typed()?;
        Some(match known {
            Known::Have(_) => format!("{typed} there"),
            Known::Price(_) | Known::Wraps(_) => typed.to_owned(),
            Known::Measured(_) => format!("a hank of {typed}"),
            Known::Halo(_) => format!("fibres {typed} out"),
        })
    };
    let all: Vec<String> = Known::of(yarn).iter().filter_map(said).collect();
    if all.is_empty() {
        "What else you know of it".to_owned()
    } else {
        format!("Also known: {}", all.join("; "))
    }
}

#[cfg(test)]
mod tests {
    use super::all_known;
    use crate::quantity::{Mm, Typed};
    use crate::yarn::{Fibre, Price, Size, Srgb, Stock, Yarn};

    #[test]
    fn what_is_known_of_a_yarn_is_told_in_a_line() {
        let mut yarn = Yarn {
            name: "slate".into(),
            colour: Srgb::parse("#2d6f73").unwrap(),
            size: Typed::new(Size::Wraps(Mm::new(1.0)), "10 wraps per cm"),
            wraps: None,
            measured: None,
            fibre: Fibre::Wool,
            halo: None,
            price: None,
            have: None,
        };
        assert_eq!(all_known(&yarn), "What else you know of it");
        yarn.have = Some(Typed::new(Stock::Length(Mm::new(22_000.0)), "22 m"));
        yarn.price = Some(Typed::new(Price::parse("4.90 EUR per 50 g").unwrap(), "4.90 EUR per 50 g"));
        yarn.halo = Some(Typed::new(Mm::ZERO, "0 mm"));
        assert_eq!(all_known(&yarn), "Also known: 22 m there; 4.90 EUR per 50 g; fibres 0 mm out");
    }
}
