//! The data of a path, written relative and short, and the paper it lies on.

use crate::svg::Hundredths;
use std::fmt::Write;

/// Where the cloth lies on the paper. The cloth is measured from its first end to the right and from the foot
/// of row 1 upward; paper from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Paper {
    /// Where the cloth's 0 lies from the left.
    pub(crate) left: f64,
    /// Where the cloth's 0 lies from the top.
    pub(crate) base: f64,
    /// Seen from the back the cloth is turned like a page: its right end, which then lies at the left.
    pub(crate) turned_at: Option<f64>,
}

impl Paper {
    /// The same place for what is not turned with the cloth: measured across from the paper's left edge, but
    /// upward from the foot of row 1.
    pub(crate) fn unturned(self) -> Paper {
        Paper { left: 0.0, turned_at: None, ..self }
    }

    /// A place across the paper.
    pub(crate) fn across(&self, x: f64) -> f64 {
        self.left + self.turned_at.map_or(x, |right| right - x)
    }

    /// A place down the paper.
    pub(crate) fn down(&self, y: f64) -> f64 {
        self.base - y
    }

    /// What lies at a place down the paper.
    pub(crate) fn up(&self, down: f64) -> f64 {
        self.base - down
    }

    fn point(&self, x: f64, y: f64) -> (i64, i64) {
        (Hundredths::of(self.across(x)).0, Hundredths::of(self.down(y)).0)
    }
}

/// Path data in the making; points are given in the cloth's own measure.
#[derive(Debug)]
pub(crate) struct Path<'p> {
    paper: &'p Paper,
    data: String,
    pen: (i64, i64),
    start: (i64, i64),
    /// The second handle of the curve that was drawn last, if a curve was.
    handle: Option<(i64, i64)>,
    command: char,
}

impl<'p> Path<'p> {
    pub(crate) fn new(paper: &'p Paper) -> Path<'p> {
        Path { paper, data: String::new(), pen: (0, 0), start: (0, 0), handle: None, command: ' ' }
    }

    /// Whether nothing is drawn yet.
    pub(crate) fn is_empty(&self) -> bool {
        self.data.is_empty()
    }

    /// The path data.
    pub(crate) fn data(&self) -> &str {
        &self.data
    }

    pub(crate) fn move_to(&mut self, x: f64, y: f64) -> &mut Self {
        let to = self.paper.point(x, y);
        self.pen = if self.data.is_empty() {
            self.command('M', &[to.0, to.1]);
            to
        } else {
            self.command('m', &[to.0 - self.pen.0, to.1 - self.pen.1]);
            to
        };
        self.start = self.pen;
        self.handle = None;
        self
    }

    pub(crate) fn line_to(&mut self, x: f64, y: f64) -> &mut Self {
        let to = self.paper.point(x, y);
        let (dx, dy) = (to.0 - self.pen.0, to.1 - self.pen.1);
        match (dx, dy) {
            (0, 0) => {}
            (dx, 0) => self.command('h', &[dx]),
            (0, dy) => self.command('v', &[dy]),
            (dx, dy) => self.command('l', &[dx, dy]),
        }
        self.pen = to;
        self.handle = None;
        self
    }

    /// A cubic curve with two handles.
    pub(crate) fn curve_to(&mut self, a: (f64, f64), b: (f64, f64), to: (f64, f64)) -> &mut Self {
        let [a, b, to] = [a, b, to].map(|(x, y)| self.paper.point(x, y));
        let pen = self.pen;
        let from = |p: (i64, i64)| [p.0 - pen.0, p.1 - pen.1];
        let mirrored = self.handle.map(|h| (2 * pen.0 - h.0, 2 * pen.1 - h.1));
        let ([bx, by], [tx, ty]) = (from(b), from(to));
        if mirrored == Some(a) {
            self.command('s', &[bx, by, tx, ty]);
        } else {
            let [ax, ay] = from(a);
            self.command('c', &[ax, ay, bx, by, tx, ty]);
        }
        self.pen = to;
        self.handle = Some(b);
        self
    }

    /// A quarter of an ellipse that leaves along the line from the pen to the corner and arrives along the line
    /// from the corner on.
    pub(crate) fn corner(&mut self, from: (f64, f64), corner: (f64, f64), to: (f64, f64)) -> &mut Self {
        // The handles of a cubic that comes nearest to a quarter circle lie this far on the way to the corner.
        const ROUND: f64 = 0.5523;
        let toward = |p: (f64, f64)| (p.0 + (corner.0 - p.0) * ROUND, p.1 + (corner.1 - p.1) * ROUND);
        self.curve_to(toward(from), toward(to), to)
    }

    /// Back to where this part of the path began.
    pub(crate) fn close(&mut self) -> &mut Self {
        self.command('z', &[]);
        self.pen = self.start;
        self.handle = None;
        self
    }

    fn command(&mut self, command: char, numbers: &[i64]) {
        let again = self.command == command && !matches!(command, 'M' | 'm' | 'z');
        if !again {
            self.data.push(command);
        }
        self.command = command;
        for (k, &number) in numbers.iter().enumerate() {
            let needs_room = (k > 0 || again) && number >= 0;
            if needs_room {
                self.data.push(' ');
            }
            // Writing to a string never fails.
            let _ = write!(self.data, "{}", Hundredths(number));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAPER: Paper = Paper { left: 10.0, base: 100.0, turned_at: None };

    #[test]
    fn paths_are_relative_and_short() {
        let mut path = Path::new(&PAPER);
        path.move_to(0.0, 0.0).line_to(6.0, 0.0).line_to(8.0, 0.0).line_to(8.0, -1.5).move_to(20.0, 0.25);
        assert_eq!(path.data(), "M10 100h6 2v1.5m12-1.75");
    }

    #[test]
    fn a_curve_that_goes_on_as_the_last_one_ended_is_written_short() {
        let mut path = Path::new(&PAPER);
        path.move_to(0.0, 0.0).curve_to((1.0, 0.0), (1.0, 1.0), (2.0, 1.0)).curve_to(
            (3.0, 1.0),
            (3.0, 0.0),
            (4.0, 0.0),
        );
        assert_eq!(path.data(), "M10 100c1 0 1-1 2-1s1 1 2 1");
    }

    #[test]
    fn the_back_is_turned_like_a_page() {
        let paper = Paper { turned_at: Some(30.0), ..PAPER };
        assert_eq!(paper.across(0.0), 40.0);
        assert_eq!(paper.across(30.0), 10.0);
        assert_eq!(paper.unturned().across(3.0), 3.0);
    }
}
