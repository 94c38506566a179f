//! Numbers of rows at the left, names of bands at the right.

mod key;
mod spread;

pub(crate) use key::Key;

use crate::cloth::Cloth;
use crate::ink;
use crate::path::{Paper, Path};
use crate::svg::Svg;
use crate::type_size::{Held, NAME, SMALL, Type};
use fellmark_core::piece::Place;
use fellmark_core::side::{Side, Surface};
use std::ops::Range;

/// A line of type and the room below it.
const LEADING: f64 = 1.35;
/// How wide a bracket is.
const BRACKET: f64 = 1.6;
/// The way from it to the names: longer where names have to move far, so that no leader is too steep.
const LEADER: f64 = 6.0;
const LONGEST_LEADER: f64 = 16.0;
/// The piece of yarn shown before a weft's name.
const SAMPLE: f64 = 4.0;
/// The widest that a band's words may be.
const WIDEST: f64 = 75.0;

/// How wide the numbers are, with the room to the cloth.
pub(crate) fn numbers_width(cloth: &Cloth) -> f64 {
    SMALL.width(&cloth.rows.end.to_string()) + 2.5
}

/// The height of a row where it comes out at the side of the numbers: the left of the sheet.
fn beside(cloth: &Cloth, row: u32) -> f64 {
    cloth.out_height(
        row,
        match cloth.surface {
            Surface::Front => Side::Left,
            Surface::Back => Side::Right,
        },
    )
}

/// The rows whose number is written, counted from 0: all where they fit, else every second, fifth, tenth ...,
/// and row 1 always.
fn numbered(cloth: &Cloth) -> Vec<u32> {
    let room = SMALL.size * 1.15;
    let apart = |step: u32| {
        let rows = cloth.rows.clone().filter(|row| (row + 1) % step == 0);
        let heights: Vec<f64> = rows.map(|row| beside(cloth, row)).collect();
        // Rows woven side by side over different ends may lie lower than the row before.
        heights.windows(2).filter(|pair| pair[1] > pair[0]).all(|pair| pair[1] - pair[0] >= room)
    };
    let steps = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000];
    let step = steps.into_iter().find(|&step| apart(step)).unwrap_or(20_000);
    let mut top = f64::NEG_INFINITY;
    let wanted = cloth.rows.clone().filter(|row| *row == cloth.rows.start || (row + 1) % step == 0);
    wanted
        .filter(|&row| {
            let fits = beside(cloth, row) - top >= room;
            top = if fits { beside(cloth, row) } else { top };
            fits
        })
        .collect()
}

/// Writes the numbers of rows, held at `x`; a fine line leads on to the cloth.
pub(crate) fn draw_numbers(svg: &mut Svg, cloth: &Cloth, paper: &Paper, x: f64) {
    svg.element("g").set("class", "row-numbers").open();
    let page = paper.unturned();
    let mut ticks = Path::new(&page);
    for row in numbered(cloth) {
        let y = beside(cloth, row);
        SMALL.write(
            svg,
            "row-number",
            (x, paper.down(y) + SMALL.drop()),
            Held::AtEnd,
            &(row + 1).to_string(),
        );
        ticks.move_to(x + 0.7, y).line_to(x + 2.0, y);
    }
    if !ticks.is_empty() {
        svg.element("path")
            .set("fill", "none")
            .set("stroke", ink::FAINT)
            .length("stroke-width", 0.12)
            .set("d", ticks.data())
            .end();
    }
    svg.close();
}

/// What is written beside a band.
struct Label<'a> {
    place: &'a Place,
    rows: Range<u32>,
    /// The heights between which the band lies.
    low: f64,
    high: f64,
    name: String,
    numbers: String,
}

/// The names of bands, laid out.
pub(crate) struct Bands<'a> {
    labels: Vec<Label<'a>>,
    /// The height of the middle of each label.
    middles: Vec<f64>,
    /// How tall each is.
    tall: f64,
    /// Whether the wefts stand below the name.
    pub(crate) with_wefts: bool,
    name: Type,
    /// The way from the brackets to the names.
    leader: f64,
    /// How wide they are in all.
    pub(crate) width: f64,
}

impl<'a> Bands<'a> {
    /// The bands of the drawn rows. `room` is the height that they should keep within.
    pub(crate) fn new(cloth: &Cloth<'a>, room: f64) -> Bands<'a> {
        let labels: Vec<Label> = cloth.study.piece.places.iter().filter_map(|p| label(cloth, p)).collect();
        let count = labels.len() as f64;
        let tall = |name: Type, with_wefts: bool| {
            (name.size + if with_wefts { SMALL.size } else { 0.0 }) * LEADING + 0.6
        };
        let small = Type { size: SMALL.size, ..NAME };
        let looks = [(NAME, true), (NAME, false), (small, false)];
        let fits = |&(name, wefts): &(Type, bool)| tall(name, wefts) * count <= room;
        let (name, with_wefts) = looks.into_iter().find(fits).unwrap_or((small, false));
        let tall = tall(name, with_wefts);
        let wanted: Vec<f64> = labels.iter().map(|label| f64::midpoint(label.low, label.high)).collect();
        let widths = labels.iter().map(|label| {
            let first = name.width(&label.name) + 1.5 + SMALL.width(&label.numbers);
            if with_wefts { first.max(wefts_width(cloth, label.place)) } else { first }
        });
        let words = widths.fold(0.0, f64::max).min(WIDEST + 20.0);
        let middles = spread::spread(&wanted, tall);
        let moved = wanted.iter().zip(&middles).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        let leader = (LEADER + moved * 0.3).min(LONGEST_LEADER);
        let width = if labels.is_empty() { 0.0 } else { BRACKET + leader + words };
        Bands { middles, labels, tall, with_wefts, name, leader, width }
    }

    /// The lowest and the highest that they reach.
    pub(crate) fn extent(&self) -> Option<(f64, f64)> {
        let (first, last) = (self.middles.first()?, self.middles.last()?);
        Some((first - self.tall / 2.0, last + self.tall / 2.0))
    }

    /// Draws them, the brackets along `x`.
    pub(crate) fn draw(&self, svg: &mut Svg, cloth: &Cloth, paper: &Paper, x: f64) {
        svg.element("g").set("class", "bands").open();
        let page = paper.unturned();
        for (label, &middle) in self.labels.iter().zip(&self.middles) {
            svg.element("g")
                .set("class", "band")
                .set("data-rows", format_args!("{}-{}", label.rows.start + 1, label.rows.end))
                .open();
            svg.element("title").text(&label.place.name);
            let mut path = Path::new(&page);
            let out = x + BRACKET;
            path.move_to(x, label.low)
                .line_to(out, label.low)
                .line_to(out, label.high)
                .line_to(x, label.high);
            let from = f64::midpoint(label.low, label.high);
            path.move_to(out, from);
            if (middle - from).abs() < 0.3 {
                path.line_to(out + self.leader - 2.0, middle);
            } else {
                path.line_to(out + 0.8, from)
                    .line_to(out + self.leader - 2.0, middle)
                    .line_to(out + self.leader - 1.2, middle);
            }
            svg.element("path")
                .set("fill", "none")
                .set("stroke", ink::INK)
                .length("stroke-width", 0.18)
                .set("stroke-linejoin", "round")
                .set("d", path.data())
                .end();
            self.write(svg, cloth, paper, label, (out + self.leader, middle));
            svg.close();
        }
        svg.close();
    }

    fn write(&self, svg: &mut Svg, cloth: &Cloth, paper: &Paper, label: &Label, (x, middle): (f64, f64)) {
        let below = if self.with_wefts { SMALL.size * LEADING / 2.0 } else { 0.0 };
        let foot = paper.down(middle + below) + self.name.drop();
        self.name.write_two(svg, (x, foot), ("band-name", &label.name), (SMALL, "band-rows", &label.numbers));
        if !self.with_wefts {
            return;
        }
        let line = middle + below - self.name.size * LEADING / 2.0 - SMALL.size * LEADING / 2.0;
        let mut x = x;
        for (weft, name) in wefts(cloth, label.place) {
            x = sample(svg, cloth, paper, (weft, &name), (x, line));
        }
    }
}

/// A piece of a weft's yarn and its name, from `x` on with their middle at a height; the answer is where the next
/// may begin.
fn sample(
    svg: &mut Svg,
    cloth: &Cloth,
    paper: &Paper,
    (weft, name): (usize, &str),
    (x, line): (f64, f64),
) -> f64 {
    let page = paper.unturned();
    let strand = &cloth.wefts[weft];
    let mut path = Path::new(&page);
    let width = strand.squeezed.clamp(0.5, 1.6);
    path.move_to(x + width / 2.0, line).line_to(x + SAMPLE - width / 2.0, line);
    for (colour, width) in [(strand.outline, width + strand.line), (strand.colour, width - strand.line)] {
        svg.element("path")
            .set("stroke", colour)
            .length("stroke-width", width)
            .set("stroke-linecap", "round")
            .set("d", path.data())
            .end();
    }
    let place = (x + SAMPLE + 1.6, paper.down(line) + SMALL.drop());
    SMALL.write(svg, "weft", place, Held::AtStart, name);
    x + sample_width(name)
}

/// How wide a piece of yarn and its name are, with the room to the next.
fn sample_width(name: &str) -> f64 {
    SAMPLE + 4.6 + SMALL.width(name)
}

/// The wefts of a band, each once, with what is written of their names.
fn wefts(cloth: &Cloth, place: &Place) -> Vec<(usize, String)> {
    let mut met: Vec<(usize, String)> = Vec::new();
    let mut left = WIDEST;
    for weft in &place.wefts {
        if met.iter().any(|(known, _)| *known == weft.0) {
            continue;
        }
        let name = SMALL.cut(&cloth.study.piece.wefts[weft.0].name, WIDEST / 2.0);
        left -= sample_width(&name);
        if left < 0.0 && !met.is_empty() {
            break;
        }
        met.push((weft.0, name));
    }
    met
}

fn wefts_width(cloth: &Cloth, place: &Place) -> f64 {
    wefts(cloth, place).iter().map(|(_, name)| sample_width(name)).sum()
}

fn label<'a>(cloth: &Cloth, place: &'a Place) -> Option<Label<'a>> {
    let all = place.row_range();
    let rows = all.start.max(cloth.rows.start)..all.end.min(cloth.rows.end);
    if rows.is_empty() {
        return None;
    }
    let heights = || rows.clone().map(|row| (cloth.mean_height(row), cloth.weft(row).squeezed / 2.0));
    let low = heights().map(|(y, half)| y - half).fold(f64::INFINITY, f64::min);
    let high = heights().map(|(y, half)| y + half).fold(f64::NEG_INFINITY, f64::max);
    // The brackets of neighbours keep a hair apart.
    let hair = ((high - low) * 0.1).min(0.25);
    let numbers = match (all.start + 1, all.end) {
        (first, last) if first == last => first.to_string(),
        (first, last) => format!("{first}–{last}"),
    };
    Some(Label {
        place,
        rows,
        low: low + hair,
        high: high - hair,
        name: NAME.cut(&place.name, WIDEST),
        numbers,
    })
}
