//! Which yarn is which, where bands lie too close for each to say so.

use super::{LEADING, WIDEST, sample, sample_width};
use crate::cloth::Cloth;
use crate::path::Paper;
use crate::svg::Svg;
use crate::type_size::SMALL;

/// The wefts of the drawn rows, in lines below the piece's name.
pub(crate) struct Key {
    lines: Vec<Vec<(usize, String)>>,
}

impl Key {
    /// Lines that keep within a width.
    pub(crate) fn new(cloth: &Cloth, width: f64) -> Key {
        let mut met = Vec::new();
        let (mut lines, mut left) = (Vec::<Vec<(usize, String)>>::new(), 0.0);
        for weft in cloth.rows.clone().map(|row| cloth.study.piece.row(row).weft.0) {
            if met.contains(&weft) {
                continue;
            }
            met.push(weft);
            let name = SMALL.cut(&cloth.study.piece.wefts[weft].name, WIDEST / 2.0);
            let wide = sample_width(&name);
            if wide > left || lines.is_empty() {
                lines.push(Vec::new());
                left = width;
            }
            left -= wide;
            lines.last_mut().expect("there is a line").push((weft, name));
        }
        Key { lines }
    }

    /// How tall it is, with the room above it.
    pub(crate) fn tall(&self) -> f64 {
        self.lines.len() as f64 * LINE
    }

    /// Draws it below a height of the sheet, which counts from the top down.
    pub(crate) fn draw(&self, svg: &mut Svg, cloth: &Cloth, paper: &Paper, (x, top): (f64, f64)) {
        svg.element("g").set("class", "key").open();
        for (k, line) in self.lines.iter().enumerate() {
            let middle = top + (k as f64 + 0.5) * LINE;
            let mut x = x;
            for (weft, name) in line {
                x = sample(svg, cloth, paper, (*weft, name), (x, paper.up(middle)));
            }
        }
        svg.close();
    }
}

/// A line with the room to the next.
const LINE: f64 = SMALL.size * LEADING + 0.8;
