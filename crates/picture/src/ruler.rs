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
/// The most numbers on a ruler that can take fewer.
const NUMBERS: f64 = 12.0;

/// From number to number and from mark to mark, in the units of the ruler, finest first.
const STEPS: [(f64, f64); 10] = [
    (1.0, 1.0),
    (2.0, 1.0),
    (5.0, 1.0),
    (10.0, 5.0),
    (50.0, 10.0),
    (100.0, 50.0),
    (500.0, 100.0),
    (1000.0, 500.0),
    (5000.0, 1000.0),
    (50_000.0, 10_000.0),
];

/// How a ruler of some length is divided.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Division {
    number: f64,
    mark: f64,
}

fn division(length: f64, units: Units) -> Division {
    // Millimetres, or quarters of an inch with a number at whole inches.
    let step = |(number, mark): (f64, f64)| match units {
        Units::Metric => Division { number, mark },
        Units::Inch => {
            let inch = Mm::new(1.0) / Mm::new(1.0).inches();
            let mark = if number > 1.0 { mark } else { 0.25 };
            Division { number: number * inch.mm(), mark: mark * inch.mm() }
        }
    };
    let [.., last] = STEPS;
    let readable = |d: &Division| d.number >= SMALL.size * 1.5 && d.number * NUMBERS >= length;
    STEPS.map(step).into_iter().find(readable).unwrap_or(step(last))
}

/// How wide it is with its numbers.
pub(crate) fn width(high: f64, units: Units) -> f64 {
    let widest = SMALL.width(&say::length(Mm::new(high), units)).max(SMALL.width("100 cm"));
    LONG + 1.0 + widest
}

/// Draws it along `x` from `low` to `high`; its marks and numbers lie to the left.
pub(crate) fn draw(svg: &mut Svg, paper: &Paper, x: f64, (low, high): (f64, f64), units: Units) {
    let Division { number, mark } = division(high - low, units);
    svg.element("g").set("class", "ruler").open();
    let page = paper.unturned();
    let mut path = Path::new(&page);
    path.move_to(x, low).line_to(x, high);
    let mut numbers = Vec::new();
    let marks = (number / mark).round().max(1.0) as i64;
    for k in (low / mark).ceil() as i64..=(high / mark).floor() as i64 {
        let at = k as f64 * mark;
        let long = k % marks == 0;
        path.move_to(x, at).line_to(x - if long { LONG } else { SHORT }, at);
        if long {
            numbers.push(at);
        }
    }
    svg.element("path")
        .set("fill", "none")
        .set("stroke", ink::FAINT)
        .length("stroke-width", 0.18)
        .set("d", path.data())
        .end();
    for at in numbers {
        let text = if at == 0.0 { "0".to_owned() } else { say::length(Mm::new(at), units) };
        let place = (x - LONG - 1.0, paper.down(at) + SMALL.drop());
        SMALL.write(svg, "measure", place, Held::AtEnd, &text);
    }
    svg.close();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_at_whole_centimetres_and_whole_inches() {
        assert_eq!(division(220.0, Units::Metric), Division { number: 50.0, mark: 10.0 });
        assert_eq!(division(90.0, Units::Metric), Division { number: 10.0, mark: 5.0 });
        // An inch is 25.4 mm exactly.
        let inches = division(220.0, Units::Inch);
        assert!((inches.number - 25.4).abs() < 1e-9 && (inches.mark - 6.35).abs() < 1e-9);
        let inches = division(400.0, Units::Inch);
        assert!((inches.number - 50.8).abs() < 1e-9 && (inches.mark - 25.4).abs() < 1e-9);
    }
}
