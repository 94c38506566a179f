//! Numbers with the accuracy that is real.

use crate::quantity::{Estimate, Gram, Mm};

/// How a reader measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Millimetres, centimetres, metres, grams.
    #[default]
    Metric,
    /// Inches, yards, ounces.
    Inch,
}

/// A length, to two figures or so: "8 mm", "3.5 cm", "14 cm", "1.2 m", "9 m"; in inches as rulers have them: "5/16 in",
/// "5 1/2 in", "14 in", "9.8 yd".
#[must_use]
pub fn length(length: Mm, units: Units) -> String {
    let mm = length.mm();
    match units {
        Units::Metric if mm.abs() < 9.95 => format!("{} mm", figure(mm, 1)),
        Units::Metric if mm.abs() < 995.0 => format!("{} cm", figure(mm / 10.0, 1)),
        Units::Metric => format!("{} m", figure(mm / 1000.0, 1)),
        Units::Inch if length.inches().abs() < 71.5 => format!("{} in", inches(length.inches())),
        Units::Inch => format!("{} yd", figure(length.inches() / 36.0, 1)),
    }
}

/// A mass: "0.8 g", "12 g", "1.2 kg"; "0.4 oz".
#[must_use]
pub fn mass(mass: Gram, units: Units) -> String {
    let grams = mass.grams();
    match units {
        Units::Metric if grams.abs() < 995.0 => format!("{} g", figure(grams, 1)),
        Units::Metric => format!("{} kg", figure(grams / 1000.0, 1)),
        Units::Inch => format!("{} oz", figure(grams / 28.349_523_125, 2)),
    }
}

/// An estimated length: "about 9 m (8 to 11)". The spread is left out where it doesn't show at this accuracy.
#[must_use]
pub fn about(estimate: Estimate<Mm>, units: Units) -> String {
    let likely = length(estimate.likely, units);
    let (low, high) = (length(estimate.low, units), length(estimate.high, units));
    // The unit is said once where both have it.
    let short = match (low.rsplit_once(' '), high.rsplit_once(' ')) {
        (Some((number, unit)), Some((_, other))) if unit == other => number,
        _ => &low,
    };
    if low == high { format!("about {likely}") } else { format!("about {likely} ({short} to {high})") }
}

/// An estimated length as short as may be: "13 cm (12 to 15)". The spread is left out where it doesn't show at this
/// accuracy, and its unit where all three have the same. What is likely never looks like one of its bounds only because
/// both are rounded: then all three are as a ruler has them.
#[must_use]
pub fn spread(estimate: Estimate<Mm>, units: Units) -> String {
    let all = [estimate.likely, estimate.low, estimate.high].map(|value| length(value, units));
    let [likely, low, high] = &all;
    if low != high && (likely == low || likely == high) && estimate.high < Mm::new(995.0) {
        return ruler(estimate, units);
    }
    if low == high {
        return likely.clone();
    }
    let units = all.each_ref().map(|value| value.rsplit_once(' ').map(|(_, unit)| unit));
    let one_unit = units[0] == units[1] && units[1] == units[2];
    let short = |value: &str| match value.rsplit_once(' ') {
        Some((number, _)) if one_unit => number.to_owned(),
        _ => value.to_owned(),
    };
    format!("{likely} ({} to {})", short(low), short(high))
}

/// An estimated length as it is read off a ruler, to the millimetre or to an eighth of an inch: "about 10.8 cm (10.5 to
/// 11)", "about 4 1/4 in (4 1/8 to 4 3/8)".
#[must_use]
pub fn on_ruler(estimate: Estimate<Mm>, units: Units) -> String {
    format!("about {}", ruler(estimate, units))
}

fn ruler(estimate: Estimate<Mm>, units: Units) -> String {
    let read = |length: Mm| match units {
        Units::Metric => {
            let text = format!("{:.1}", length.mm() / 10.0);
            text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
        }
        Units::Inch => parts(length.inches(), 8),
    };
    let unit = match units {
        Units::Metric => "cm",
        Units::Inch => "in",
    };
    let [likely, low, high] = [estimate.likely, estimate.low, estimate.high].map(read);
    if low == high { format!("{likely} {unit}") } else { format!("{likely} {unit} ({low} to {high})") }
}

/// Inches as they are read off a ruler: the shorter, the finer its marks; what is finer than those in hundredths.
fn inches(value: f64) -> String {
    match value.abs() {
        // Nothing, and less than half of a mark.
        size if size < 1.0 / 64.0 => figure(value, 2),
        size if size < 0.5 => parts(value, 32),
        size if size < 3.0 => parts(value, 16),
        size if size < 12.0 => parts(value, 8),
        _ => figure(value, 0),
    }
}

/// A number in halves, quarters and so on, so many to one: the nearest, in its lowest terms.
fn parts(value: f64, to_one: u64) -> String {
    let all = (value.abs() * to_one as f64).round() as u64;
    let (whole, mut part, mut to_one) = (all / to_one, all % to_one, to_one);
    while part > 0 && part.is_multiple_of(2) {
        (part, to_one) = (part / 2, to_one / 2);
    }
    let sign = if value < 0.0 && all > 0 { "-" } else { "" };
    match (whole, part) {
        (_, 0) => format!("{sign}{whole}"),
        (0, _) => format!("{sign}{part}/{to_one}"),
        _ => format!("{sign}{whole} {part}/{to_one}"),
    }
}

/// A number with at most so many decimals, fewer from 10 up, and no zeros at its end.
fn figure(value: f64, decimals: usize) -> String {
    let decimals = if value.abs() >= 9.95 { decimals.saturating_sub(1) } else { decimals };
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".into() } else { text.into() }
}

/// A share in whole percent.
#[must_use]
pub fn degree(share: f64) -> String {
    format!("{} %", (share * 100.0).round())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_likely_does_not_look_like_one_of_its_bounds() {
        let basis = crate::quantity::Basis::MODEL;
        let all = |low, likely, high, units| {
            let [low, likely, high] = [low, likely, high].map(Mm::new);
            spread(Estimate { likely, low, high, basis }, units)
        };
        assert_eq!(all(97.0, 100.1, 102.0, Units::Metric), "10 cm (9.7 to 10.2)");
        assert_eq!(all(120.0, 132.0, 148.0, Units::Metric), "13 cm (12 to 15)");
        assert_eq!(all(302.0, 304.0, 310.0, Units::Inch), "12 in (11 7/8 to 12 1/4)");
    }

    #[test]
    fn a_ruler_has_millimetres_and_eighths_of_an_inch() {
        let basis = crate::quantity::Basis::MODEL;
        let all = |low, likely, high, units| {
            let [low, likely, high] = [low, likely, high].map(Mm::new);
            on_ruler(Estimate { likely, low, high, basis }, units)
        };
        assert_eq!(all(105.2, 108.0, 110.0, Units::Metric), "about 10.8 cm (10.5 to 11)");
        assert_eq!(all(6.0, 8.0, 9.0, Units::Metric), "about 0.8 cm (0.6 to 0.9)");
        assert_eq!(all(108.0, 108.02, 108.04, Units::Metric), "about 10.8 cm");
        // 25.4 mm to the inch, by definition (NIST Special Publication 811).
        assert_eq!(all(104.8, 107.95, 111.1, Units::Inch), "about 4 1/4 in (4 1/8 to 4 3/8)");
        assert_eq!(all(12.0, 12.7, 25.4, Units::Inch), "about 1/2 in (1/2 to 1)");
    }

    #[test]
    fn lengths_come_in_the_unit_that_suits_them() {
        let all = |mm, units| length(Mm::new(mm), units);
        assert_eq!(all(8.04, Units::Metric), "8 mm");
        assert_eq!(all(35.0, Units::Metric), "3.5 cm");
        assert_eq!(all(138.0, Units::Metric), "14 cm");
        assert_eq!(all(1240.0, Units::Metric), "1.2 m");
        assert_eq!(all(9000.0, Units::Metric), "9 m");
        assert_eq!(all(139.7, Units::Inch), "5 1/2 in");
        // A ruler's marks: thirty-seconds of what is short, sixteenths, eighths, whole inches of what is long.
        assert_eq!(all(0.9, Units::Inch), "1/32 in");
        assert_eq!(all(8.04, Units::Inch), "5/16 in");
        assert_eq!(all(35.0, Units::Inch), "1 3/8 in");
        assert_eq!(all(79.0, Units::Inch), "3 1/8 in");
        assert_eq!(all(253.9, Units::Inch), "10 in");
        assert_eq!(all(355.0, Units::Inch), "14 in");
        assert_eq!(all(-25.4, Units::Inch), "-1 in");
        assert_eq!(all(0.3, Units::Inch), "0.01 in");
        assert_eq!(all(9144.0, Units::Inch), "10 yd");
        assert_eq!(all(99.6, Units::Metric), "10 cm");
        assert_eq!(all(-0.01, Units::Metric), "0 mm");
    }
}
