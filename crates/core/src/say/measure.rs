//! Numbers with the accuracy that is real.

use crate::quantity::{Estimate, Gram, Mm, Typed};

/// How a reader measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Millimetres, centimetres, metres, grams.
    #[default]
    Metric,
    /// Inches, yards, ounces.
    Inch,
}

/// A length as it is measured: to the millimetre below a metre, to the centimetre below ten; in inches as rulers have
/// them: "8 mm", "3.5 cm", "13.8 cm", "1.24 m", "12.4 m"; "5/16 in", "5 1/2 in", "14 1/4 in", "9.8 yd".
#[must_use]
pub fn length(length: Mm, units: Units) -> String {
    told(length, units, finest(length, units))
}

/// A length as it was typed, where the reader measures so; else as they do.
#[must_use]
pub fn as_typed(length: &Typed<Mm>, units: Units) -> String {
    let unit = length.typed.trim_start_matches(|c: char| !c.is_alphabetic() && !"\"″'′".contains(c));
    let inches = unit.starts_with(['"', '″', '\'', '′'])
        || ["in", "ft", "foot", "feet", "yd", "yard"].iter().any(|of| unit.to_lowercase().starts_with(of));
    if inches == (units == Units::Inch) { length.typed.clone() } else { self::length(length.value, units) }
}

/// A length to be cut, which is rather too long than too short: "35 cm", "1.15 m", "11.3 m"; "13 1/2 in", "1.3 yd".
#[must_use]
pub fn cut(length: Mm, units: Units) -> String {
    let mm = length.mm().max(0.0);
    let step = match units {
        Units::Metric if mm < 1000.0 => 10.0,
        Units::Metric if mm < 10_000.0 => 50.0,
        Units::Metric => 100.0,
        Units::Inch if mm < 36.0 * INCH => INCH / 2.0,
        Units::Inch if mm < YARDS * INCH => INCH,
        Units::Inch => 3.6 * INCH,
    };
    // A length that is a step's end already stays, though it was reckoned.
    let up = Mm::new(((mm / step) - 1e-6).ceil().max(0.0) * step);
    told(up, units, step)
}

/// How many rows lie in a length, told by how far apart they lie: "5 to the centimetre", "4.5 to the centimetre"; "12 to the
/// inch".
#[must_use]
pub fn rows_in(apart: Mm, units: Units) -> String {
    let (one, unit) = match units {
        Units::Metric => (10.0, "centimetre"),
        Units::Inch => (INCH, "inch"),
    };
    format!("{} to the {unit}", fewer(one / apart.mm(), 1))
}

/// Millimetres in an inch, by definition.
const INCH: f64 = 25.4;
/// From so many inches on lengths are told in yards.
const YARDS: f64 = 71.5;

/// To how many mm a length is measured.
fn finest(length: Mm, units: Units) -> f64 {
    let size = length.mm().abs();
    match units {
        Units::Metric if size < 9.95 => 0.1,
        Units::Metric if size < 995.0 => 1.0,
        Units::Metric if size < 9_995.0 => 10.0,
        Units::Metric => 100.0,
        Units::Inch if size < INCH / 4.0 => INCH / 32.0,
        Units::Inch if size < 3.0 * INCH => INCH / 16.0,
        Units::Inch if size < 12.0 * INCH => INCH / 8.0,
        Units::Inch if size < YARDS * INCH => INCH / 4.0,
        Units::Inch => 3.6 * INCH,
    }
}

/// To how many mm an estimate is told: what is uncertain is told more roughly, but so that its limits show.
fn rough(estimate: Estimate<Mm>, units: Units) -> f64 {
    let finest = match units {
        Units::Metric => finest(estimate.likely, units),
        // What a range is told of is read off a ruler, to sixteenths if need be.
        Units::Inch if estimate.likely.mm().abs() < YARDS * INCH => {
            finest(estimate.likely, units).min(INCH / 16.0)
        }
        Units::Inch => finest(estimate.likely, units),
    };
    let quarter = (estimate.high.mm() - estimate.low.mm()) / 4.0;
    let ladder: &[f64] = match units {
        Units::Metric => &[0.1, 1.0, 10.0, 100.0, 1000.0],
        Units::Inch => {
            &[INCH / 32.0, INCH / 16.0, INCH / 8.0, INCH / 4.0, INCH / 2.0, INCH, 3.6 * INCH, 36.0 * INCH]
        }
    };
    ladder.iter().copied().filter(|&step| step <= quarter).fold(finest, f64::max)
}

/// A length in the unit that suits it, to so many mm.
fn told(length: Mm, units: Units, step: f64) -> String {
    let (mm, inches) = (length.mm(), length.inches());
    let within = |one: f64| if step < one * 0.099 { 2 } else { usize::from(step < one * 0.99) };
    match units {
        Units::Metric if mm.abs() < 9.95 => format!("{} mm", figure(mm, within(1.0))),
        Units::Metric if mm.abs() < 995.0 => format!("{} cm", figure(mm / 10.0, within(10.0).min(1))),
        Units::Metric => format!("{} m", figure(mm / 1000.0, within(1000.0))),
        // Nothing, and less than half of a mark.
        Units::Inch if inches.abs() < 1.0 / 64.0 => format!("{} in", figure(inches, 2)),
        Units::Inch if inches.abs() < YARDS => {
            let to_one = (INCH / step).round().max(1.0) as u64;
            format!("{} in", parts(inches, to_one))
        }
        Units::Inch => format!("{} yd", figure(inches / 36.0, usize::from(step < 30.0 * INCH))),
    }
}

/// A mass: "0.8 g", "12 g", "1.2 kg"; "0.4 oz".
#[must_use]
pub fn mass(mass: Gram, units: Units) -> String {
    let grams = mass.grams();
    match units {
        Units::Metric if grams.abs() < 995.0 => format!("{} g", fewer(grams, 1)),
        Units::Metric => format!("{} kg", fewer(grams / 1000.0, 1)),
        Units::Inch => format!("{} oz", fewer(grams / 28.349_523_125, 2)),
    }
}

/// An estimated length: "about 9.2 m (8.1 to 11.3)". The spread is left out where it doesn't show.
#[must_use]
pub fn about(estimate: Estimate<Mm>, units: Units) -> String {
    let step = rough(estimate, units);
    let likely = told(estimate.likely, units, step);
    let (low, high) = (told(estimate.low, units, step), told(estimate.high, units, step));
    // The unit is said once where both have it.
    let short = match (low.rsplit_once(' '), high.rsplit_once(' ')) {
        (Some((number, unit)), Some((_, other))) if unit == other => number,
        _ => &low,
    };
    if low == high { format!("about {likely}") } else { format!("about {likely} ({short} to {high})") }
}

/// The likely one of an estimate, as exactly as it is known.
#[must_use]
pub fn likely(estimate: Estimate<Mm>, units: Units) -> String {
    told(estimate.likely, units, rough(estimate, units))
}

/// An estimated length as short as may be: "13.6 cm (12.8 to 14.1)". The spread is left out where it doesn't show, and
/// its unit where all three have the same.
#[must_use]
pub fn spread(estimate: Estimate<Mm>, units: Units) -> String {
    let step = rough(estimate, units);
    let all = [estimate.likely, estimate.low, estimate.high].map(|value| told(value, units, step));
    let [likely, low, high] = &all;
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

/// An estimated length as it is read off a ruler, to the millimetre or to a sixteenth of an inch: "about 10.8 cm (10.5
/// to 11)", "about 4 1/4 in (4 1/8 to 4 3/8)".
#[must_use]
pub fn on_ruler(estimate: Estimate<Mm>, units: Units) -> String {
    let read = |length: Mm| match units {
        Units::Metric => {
            let text = format!("{:.1}", length.mm() / 10.0);
            text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
        }
        Units::Inch => parts(length.inches(), 16),
    };
    let unit = match units {
        Units::Metric => "cm",
        Units::Inch => "in",
    };
    let [likely, low, high] = [estimate.likely, estimate.low, estimate.high].map(read);
    if low == high {
        format!("about {likely} {unit}")
    } else {
        format!("about {likely} {unit} ({low} to {high})")
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
fn fewer(value: f64, decimals: usize) -> String {
    figure(value, if value.abs() >= 9.95 { decimals.saturating_sub(1) } else { decimals })
}

/// A number with at most so many decimals, and no zeros at its end.
fn figure(value: f64, decimals: usize) -> String {
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

    fn estimate(low: f64, likely: f64, high: f64) -> Estimate<Mm> {
        let [low, likely, high] = [low, likely, high].map(Mm::new);
        Estimate { likely, low, high, basis: crate::quantity::Basis::MODEL }
    }

    #[test]
    fn a_ruler_has_millimetres_and_sixteenths_of_an_inch() {
        let all = |low, likely, high, units| on_ruler(estimate(low, likely, high), units);
        assert_eq!(all(105.2, 108.0, 110.0, Units::Metric), "about 10.8 cm (10.5 to 11)");
        assert_eq!(all(6.0, 8.0, 9.0, Units::Metric), "about 0.8 cm (0.6 to 0.9)");
        assert_eq!(all(108.0, 108.02, 108.04, Units::Metric), "about 10.8 cm");
        // 25.4 mm to the inch, by definition (NIST Special Publication 811).
        assert_eq!(all(104.8, 107.95, 111.1, Units::Inch), "about 4 1/4 in (4 1/8 to 4 3/8)");
        assert_eq!(all(12.0, 12.7, 25.4, Units::Inch), "about 1/2 in (1/2 to 1)");
        assert_eq!(all(79.0, 81.5, 84.1, Units::Inch), "about 3 3/16 in (3 1/8 to 3 5/16)");
    }

    #[test]
    fn the_limits_of_an_estimate_show() {
        let all = |low, likely, high, units| spread(estimate(low, likely, high), units);
        assert_eq!(all(128.2, 135.5, 141.0, Units::Metric), "13.6 cm (12.8 to 14.1)");
        assert_eq!(all(120.0, 135.5, 171.0, Units::Metric), "14 cm (12 to 17)");
        assert_eq!(all(10_700.0, 11_120.0, 11_400.0, Units::Metric), "11.1 m (10.7 to 11.4)");
        assert_eq!(all(8_100.0, 9_370.0, 11_300.0, Units::Metric), "9.4 m (8.1 to 11.3)");
        assert_eq!(all(79.0, 81.5, 84.1, Units::Inch), "3 3/16 in (3 1/8 to 3 5/16)");
        assert_eq!(all(128.2, 135.5, 141.0, Units::Inch), "5 3/8 in (5 to 5 1/2)");
        assert_eq!(all(8_100.0, 9_370.0, 11_300.0, Units::Inch), "10.2 yd (8.9 to 12.4)");
        assert_eq!(about(estimate(5.0, 5.0, 5.0), Units::Metric), "about 5 mm");
    }

    #[test]
    fn what_is_cut_is_never_too_short() {
        let all = |mm, units| cut(Mm::new(mm), units);
        assert_eq!(all(342.0, Units::Metric), "35 cm");
        assert_eq!(all(350.0, Units::Metric), "35 cm");
        assert_eq!(all(992.0, Units::Metric), "1 m");
        assert_eq!(all(1142.0, Units::Metric), "1.15 m");
        assert_eq!(all(4646.0, Units::Metric), "4.65 m");
        assert_eq!(all(11_240.0, Units::Metric), "11.3 m");
        assert_eq!(all(342.0, Units::Inch), "13 1/2 in");
        assert_eq!(all(1142.0, Units::Inch), "45 in");
        assert_eq!(all(11_240.0, Units::Inch), "12.3 yd");
        for k in 1..4000_u32 {
            let long = f64::from(k) * 3.7;
            let said = |text: &str| {
                let (number, unit) = text.rsplit_once(' ').unwrap();
                let whole: f64 = number
                    .split(' ')
                    .map(|part| match part.split_once('/') {
                        Some((a, b)) => a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap(),
                        None => part.parse().unwrap(),
                    })
                    .sum();
                whole
                    * match unit {
                        "cm" => 10.0,
                        "m" => 1000.0,
                        "in" => 25.4,
                        "yd" => 914.4,
                        _ => 1.0,
                    }
            };
            for units in [Units::Metric, Units::Inch] {
                let cut = cut(Mm::new(long), units);
                assert!(said(&cut) > long - 0.01, "{long} mm as {cut}");
            }
        }
    }

    #[test]
    fn lengths_come_in_the_unit_that_suits_them() {
        let all = |mm, units| length(Mm::new(mm), units);
        assert_eq!(all(8.04, Units::Metric), "8 mm");
        assert_eq!(all(35.0, Units::Metric), "3.5 cm");
        assert_eq!(all(138.0, Units::Metric), "13.8 cm");
        assert_eq!(all(1240.0, Units::Metric), "1.24 m");
        assert_eq!(all(9000.0, Units::Metric), "9 m");
        assert_eq!(all(12_440.0, Units::Metric), "12.4 m");
        assert_eq!(all(139.7, Units::Inch), "5 1/2 in");
        // A ruler's marks: thirty-seconds of what is thin, then sixteenths, eighths, quarters.
        assert_eq!(all(0.9, Units::Inch), "1/32 in");
        assert_eq!(all(8.04, Units::Inch), "5/16 in");
        assert_eq!(all(10.0, Units::Inch), "3/8 in");
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
