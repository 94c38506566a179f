//! The ruler beside the cloth: its 0 is the foot of row 1.

use crate::ink;
use crate::path::{Paper, Path};
use crate::svg::Svg;
use crate::type_size::{Held, SMALL};
use fellmark_core::quantity::Mm;
use fellmark_core::say::{self, Units};

/// How long a mark with a number is, and one without.
const LONG: f64 = 2.6;
const SHORT: f64 = 1.3;
/// How a ruler is divided, in the units of the ruler.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Division {
    /// From number to number.
    number: f64,
    /// From mark to mark.
    mark: f64,
    /// The longest ruler that is divided so.
    longest: f64,
}

const fn division(number: f64, mark: f64, longest: f64) -> Division {
    Division { number, mark, longest }
}

/// In millimetres, the finest first.
const METRIC: [Division; 8] = [
    division(5.0, 1.0, 25.0),
    division(10.0, 1.0, 60.0),
    division(10.0, 5.0, 120.0),
    division(50.0, 10.0, 600.0),
    division(100.0, 50.0, 1200.0),
    division(500.0, 100.0, 6000.0),
    division(1000.0, 500.0, 12_000.0),
    division(50_000.0, 10_000.0, f64::INFINITY),
];

/// In inches.
const INCHES: [Division; 8] = [
    division(0.25, 0.0625, 1.0),
    division(0.5, 0.125, 3.0),
    division(1.0, 0.25, 12.0),
    division(2.0, 1.0, 24.0),
    division(6.0, 1.0, 72.0),
    division(36.0, 12.0, 432.0),
    division(180.0, 36.0, 2160.0),
    division(1800.0, 360.0, f64::INFINITY),
];

/// How a ruler of this length in mm is divided, in mm.
fn divided(length: f64, units: Units) -> Division {
    let (all, unit): (&[Division], f64) = match units {
        Units::Metric => (&METRIC, 1.0),
        Units::Inch => (&INCHES, 1.0 / Mm::new(1.0).inches()),
    };
    let fits = all.iter().find(|division| length <= division.longest * unit);
    let found = fits.or(all.last()).copied().unwrap_or(METRIC[0]);
    division(found.number * unit, found.mark * unit, found.longest * unit)
}

/// How wide it is with its numbers.
pub(crate) fn width(high: f64, units: Units) -> f64 {
    let widest = SMALL.width(&say::length(Mm::new(high), units)).max(SMALL.width("100 cm"));
    LONG + 1.0 + widest
}

/// The numbers along a ruler from `low` to `high` in mm, 0 at the foot of row 1: where each stands, and its words.
#[must_use]
pub fn numbers((low, high): (f64, f64), units: Units) -> Vec<(Mm, String)> {
    let step = divided(high - low, units).number;
    let all = (low / step).ceil() as i64..=(high / step).floor() as i64;
    let words = |at: f64| if at == 0.0 { "0".to_owned() } else { say::length(Mm::new(at), units) };
    all.map(|k| k as f64 * step).map(|at| (Mm::new(at), words(at))).collect()
}

/// Draws it along `x` from `low` to `high`; its marks and numbers lie to the left.
pub(crate) fn draw(svg: &mut Svg, paper: &Paper, x: f64, (low, high): (f64, f64), units: Units) {
    let Division { number, mark, .. } = divided(high - low, units);
    svg.element("g").set("class", "ruler").open();
    let page = paper.unturned();
    let mut path = Path::new(&page);
    path.move_to(x, low).line_to(x, high);
    let marks = (number / mark).round().max(1.0) as i64;
    for k in (low / mark).ceil() as i64..=(high / mark).floor() as i64 {
        let at = k as f64 * mark;
        let long = k % marks == 0;
        path.move_to(x, at).line_to(x - if long { LONG } else { SHORT }, at);
    }
    svg.element("path")
        .set("fill", "none")
        .set("stroke", ink::FAINT)
        .length("stroke-width", 0.18)
        .set("d", path.data())
        .end();
    for (at, text) in numbers((low, high), units) {
        let place = (x - LONG - 1.0, paper.down(at.mm()) + SMALL.drop());
        SMALL.write(svg, "measure", place, Held::AtEnd, &text);
    }
    svg.close();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_at_whole_centimetres_and_whole_inches() {
        let all = |length, units| (divided(length, units).number, divided(length, units).mark);
        assert_eq!(all(220.0, Units::Metric), (50.0, 10.0));
        assert_eq!(all(90.0, Units::Metric), (10.0, 5.0));
        assert_eq!(all(20.0, Units::Metric), (5.0, 1.0));
        assert_eq!(all(1e9, Units::Metric), (50_000.0, 10_000.0));
        // An inch is 25.4 mm exactly.
        let near = |(a, b): (f64, f64), c: f64, d: f64| (a - c).abs() < 1e-9 && (b - d).abs() < 1e-9;
        assert!(near(all(220.0, Units::Inch), 25.4, 6.35));
        assert!(near(all(400.0, Units::Inch), 50.8, 25.4));
    }

    #[test]
    fn a_short_ruler_has_a_number_besides_its_0_too() {
        // From rows of two or three millimetres in all there is no whole centimetre and no half inch to say.
        for (length, units) in
            [(20.0, Units::Inch), (40.0, Units::Inch), (8.0, Units::Inch), (8.0, Units::Metric)]
        {
            let numbers = numbers((0.0, length), units);
            assert!(numbers.len() >= 2, "{length} mm: {numbers:?}");
        }
        let words: Vec<String> =
            numbers((0.0, 20.0), Units::Inch).into_iter().map(|(_, words)| words).collect();
        assert_eq!(words, ["0", "1/4 in", "1/2 in", "3/4 in"]);
    }
}
