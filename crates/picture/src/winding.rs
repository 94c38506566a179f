//! How the warp is wound, drawn: both bars with their notches, every length of yarn between them, the loops round the bars, and
//! the knots. It shows what goes where, not how large it is: a frame of any size is as wide as the drawing.

use crate::ink;
use crate::path::{Paper, Path};
use crate::svg::{Hundredths, Svg};
use crate::type_size::{FAMILY, Held, Type};
use fellmark_core::say::{self, Units};
use fellmark_core::study::Study;
use fellmark_core::warp::{self, Bar, Block, Length, Task, Winding};
use fellmark_core::yarn::Srgb;

/// Its width and its height. One unit is read as a CSS pixel where nobody says otherwise; on a telephone it is a little more.
const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 192.0;
/// Free at either side.
const MARGIN: f64 = 10.0;
/// From the inner edge of one bar to that of the other.
const OPEN: f64 = 86.0;
/// How deep a bar is, and how far its notches go in.
const BAR: f64 = 11.0;
const NOTCH: f64 = 5.0;
/// Where the inner edge of the near bar lies, from the top.
const BASE: f64 = 140.0;
/// How far loops go round, beyond a bar.
const ROUND: f64 = 4.5;
/// The farthest that notches lie apart, and the nearest: nearer ones could not be told apart.
const FARTHEST: f64 = 17.0;
const NEAREST: f64 = 6.5;
/// What is left free where notches in the middle are left out.
const LEFT_OUT: f64 = 26.0;
/// Notches that are shown beside those with yarn.
const BESIDE: u32 = 2;

/// Numbers of ends and of notches.
const NUMBER: Type = Type { size: 13.0, bold: false, colour: ink::FAINT };
/// Where yarn is tied.
const TIED: Type = Type { size: 14.0, bold: true, colour: ink::INK };

/// Draws how the warp of a piece is wound, as an SVG document: all of it, or one of the tasks of [`Winding::tasks`], with what is
/// wound before it pale and what comes after it not there yet. `None`: there is no such task. The words for who does not see it
/// have these units.
///
/// Of a wide warp, or of a wide block of it, the middle is left out. Equal studies give equal bytes.
#[must_use]
pub fn winding(study: &Study, task: Option<usize>, units: Units) -> Option<String> {
    let winding = warp::wind(&study.piece, &study.habits);
    let tasks = winding.tasks();
    let shown = match task {
        None => Shown { before: Vec::new(), now: winding.blocks.iter().collect() },
        Some(task) => Shown::of(&tasks, task, &winding)?,
    };
    // The place is found on the whole frame; what is wound is looked at closely.
    let close = task.is_some() && !shown.now.is_empty();
    let notches = Notches::new(study, &winding, &shown.now, close);
    let mut svg = Svg::default();
    svg.element("svg")
        .set("xmlns", "http://www.w3.org/2000/svg")
        .length("width", WIDTH)
        .length("height", HEIGHT)
        .set("viewBox", format_args!("0 0 {} {}", Hundredths::of(WIDTH), Hundredths::of(HEIGHT)))
        .set("role", "img")
        .set("font-family", FAMILY)
        .open();
    svg.element("title").text(&study.piece.name);
    svg.element("desc").text(told(study, &winding, &tasks, task, units));
    svg.element("rect")
        .set("class", "ground")
        .length("width", WIDTH)
        .length("height", HEIGHT)
        .set("fill", ink::PAPER)
        .end();
    let sheet = Sheet { study, winding: &winding, notches, paper: paper() };
    sheet.draw(&mut svg, &shown);
    Some(svg.finish())
}

fn paper() -> Paper {
    Paper { left: 0.0, base: BASE, turned_at: None }
}

/// The drawing in words, for who does not see it.
fn told(study: &Study, winding: &Winding, tasks: &[Task<'_>], task: Option<usize>, units: Units) -> String {
    let tasks = match task.and_then(|task| tasks.get(task)) {
        Some(one) => std::slice::from_ref(one),
        None => tasks,
    };
    let said = tasks.iter().map(|task| say::wind(task, winding, &study.piece, units));
    said.flat_map(|step| std::iter::once(format!("{}.", step.words)).chain(step.more))
        .collect::<Vec<_>>()
        .join(" ")
}

/// Which blocks are drawn.
struct Shown<'a> {
    /// Those that are wound already.
    before: Vec<&'a Block>,
    /// Those that are wound now.
    now: Vec<&'a Block>,
}

impl<'a> Shown<'a> {
    fn of(tasks: &[Task<'a>], task: usize, winding: &'a Winding) -> Option<Shown<'a>> {
        let wound = |tasks: &[Task<'a>]| -> Vec<&'a Block> {
            let groups = tasks.iter().filter_map(|task| match task {
                Task::Wind(group) => Some(group.iter().copied()),
                Task::Place | Task::Count => None,
            });
            groups.flatten().collect()
        };
        Some(match tasks.get(task)? {
            Task::Place => Shown { before: Vec::new(), now: Vec::new() },
            Task::Wind(group) => Shown { before: wound(tasks.get(..task)?), now: group.clone() },
            Task::Count => Shown { before: Vec::new(), now: winding.blocks.iter().collect() },
        })
    }
}

/// Notches side by side, from the first to before the last.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    first: u32,
    end: u32,
}

impl Stretch {
    fn count(self) -> u32 {
        self.end - self.first
    }

    fn holds(self, notch: u32) -> bool {
        (self.first..self.end).contains(&notch)
    }
}

/// Which notches are shown, and where they lie across.
struct Notches {
    /// One stretch of them, or two with others left out between.
    shown: Vec<Stretch>,
    apart: f64,
    left: f64,
}

impl Notches {
    /// The whole frame, where it has the room and isn't looked at closely; else what is being wound, or its two sides.
    fn new(study: &Study, winding: &Winding, now: &[&Block], close: bool) -> Notches {
        let room = WIDTH - 2.0 * MARGIN;
        let most = (room / NEAREST) as u32;
        let notch =
            |end: u32| winding.first_notch + study.piece.ends.get(end as usize).map_or(0, |end| end.notch);
        let last = |block: &&Block| block.ends().last().unwrap_or(block.first);
        // What is wound alike is shown once where there is no room for all of it.
        let ends = match now {
            [] => (0, study.piece.end_count().saturating_sub(1)),
            [first, ..] => {
                let all = (first.first, now.iter().map(last).max().unwrap_or(0));
                let narrow = notch(all.1).saturating_sub(notch(all.0)) < most;
                if narrow { all } else { (first.first, last(first)) }
            }
        };
        let from = notch(ends.0).saturating_sub(BESIDE);
        let to = notch(ends.1).saturating_add(1 + BESIDE).min(winding.notches);
        let shown = if winding.notches <= most && !close {
            vec![Stretch { first: 0, end: winding.notches }]
        } else if to - from <= most {
            vec![Stretch { first: from, end: to }]
        } else {
            let each = (((room - LEFT_OUT) / NEAREST) as u32 / 2).max(1);
            vec![Stretch { first: from, end: from + each }, Stretch { first: to - each, end: to }]
        };
        let count: u32 = shown.iter().map(|stretch| stretch.count()).sum();
        let free = room - if shown.len() > 1 { LEFT_OUT } else { 0.0 };
        let apart = (free / f64::from(count.max(1))).min(FARTHEST);
        let wide = f64::from(count) * apart + (room - free);
        Notches { shown, apart, left: (WIDTH - wide) / 2.0 }
    }

    /// Where a stretch of the bars lies across.
    fn across(&self, nth: usize) -> (f64, f64) {
        let before: f64 = self.shown.iter().take(nth).map(|stretch| f64::from(stretch.count())).sum();
        let from = self.left + before * self.apart + nth as f64 * LEFT_OUT;
        let count = self.shown.get(nth).map_or(0, |stretch| stretch.count());
        (from, from + f64::from(count) * self.apart)
    }

    /// Where a notch lies across, and in which stretch, if it is shown.
    fn at(&self, notch: u32) -> Option<(usize, f64)> {
        let nth = self.shown.iter().position(|stretch| stretch.holds(notch))?;
        let first = self.shown.get(nth)?.first;
        Some((nth, self.across(nth).0 + (f64::from(notch - first) + 0.5) * self.apart))
    }
}

struct Sheet<'a> {
    study: &'a Study,
    winding: &'a Winding,
    notches: Notches,
    paper: Paper,
}

/// Where a strand lies in the drawing.
#[derive(Clone, Copy)]
struct Spot {
    stretch: usize,
    x: f64,
}

impl Sheet<'_> {
    fn draw(&self, svg: &mut Svg, shown: &Shown<'_>) {
        if shown.now.is_empty() {
            self.place(svg);
        }
        for block in &shown.now {
            self.behind(svg, block);
        }
        for nth in 0..self.notches.shown.len() {
            self.bars(svg, nth);
        }
        if let [(_, end), (start, _)] =
            *(0..self.notches.shown.len()).map(|nth| self.notches.across(nth)).collect::<Vec<_>>()
        {
            let dots = Type { size: 20.0, ..NUMBER };
            let x = (end + start - dots.width("…")) / 2.0;
            dots.write(svg, "left-out", (x, self.paper.down(OPEN / 2.0)), Held::AtStart, "…");
        }
        if !shown.before.is_empty() {
            svg.element("g").set("class", "before").set("opacity", "0.35").open();
            for block in &shown.before {
                self.block(svg, block);
            }
            svg.close();
        }
        for block in &shown.now {
            self.block(svg, block);
        }
        self.numbers(svg);
        if let [first, rest @ ..] = shown.now.as_slice() {
            self.turns(svg, first);
            // Of several only the first is told, where all are wound alike.
            if rest.iter().all(|block| block.is_like(first)) {
                self.ties(svg, first);
            }
        }
    }

    fn notch(&self, end: u32) -> u32 {
        self.winding.first_notch + self.study.piece.ends.get(end as usize).map_or(0, |end| end.notch)
    }

    /// Where a length lies: the strands of a notch lie side by side.
    fn spot(&self, length: Length) -> Option<Spot> {
        let ends = &self.study.piece.ends;
        let notch = ends.get(length.end as usize)?.notch;
        let first = ends.partition_point(|end| end.notch < notch) as u32;
        let strands = f64::from(self.winding.strands.max(1));
        let nth = f64::from((length.end - first) * self.winding.per_end + length.strand);
        let (stretch, middle) = self.notches.at(self.winding.first_notch + notch)?;
        Some(Spot { stretch, x: middle + (nth - (strands - 1.0) / 2.0) * self.thick() * 1.25 })
    }

    /// How thick a strand is drawn.
    fn thick(&self) -> f64 {
        let strands = f64::from(self.winding.strands.max(1));
        (self.notches.apart * 0.42).min(self.notches.apart * 0.72 / (1.25 * strands))
    }

    fn colour(&self, block: &Block) -> Srgb {
        self.study.piece.yarns[block.yarn.0].colour
    }

    /// The outer edge of a bar.
    fn outer(bar: Bar) -> f64 {
        match bar {
            Bar::Near => -BAR,
            Bar::Far => OPEN + BAR,
        }
    }

    /// The direction out of a bar.
    fn out(bar: Bar) -> f64 {
        match bar {
            Bar::Near => -1.0,
            Bar::Far => 1.0,
        }
    }

    /// The ground of a notch.
    fn floor(bar: Bar) -> f64 {
        Sheet::outer(bar) - Sheet::out(bar) * NOTCH
    }

    fn bars(&self, svg: &mut Svg, nth: usize) {
        let (left, right) = self.notches.across(nth);
        let half = self.notches.apart * 0.2;
        for bar in [Bar::Near, Bar::Far] {
            let (outer, floor) = (Sheet::outer(bar), Sheet::floor(bar));
            let inner = outer - Sheet::out(bar) * BAR;
            let mut path = Path::new(&self.paper);
            path.move_to(left, inner).line_to(left, outer);
            for k in 0..self.notches.shown.get(nth).map_or(0, |stretch| stretch.count()) {
                let x = left + (f64::from(k) + 0.5) * self.notches.apart;
                path.line_to(x - half, outer).line_to(x - half, floor);
                path.line_to(x + half, floor).line_to(x + half, outer);
            }
            path.line_to(right, outer).line_to(right, inner).close();
            svg.element("path")
                .set("class", "bar")
                .set("fill", ink::WOOD)
                .set("stroke", ink::GRAIN)
                .length("stroke-width", 0.8)
                .set("stroke-linejoin", "round")
                .set("d", path.data())
                .end();
        }
    }

    /// Where the warp will stand.
    fn place(&self, svg: &mut Svg) {
        let used = self.winding.first_notch..self.winding.first_notch + self.winding.used;
        for (nth, stretch) in self.notches.shown.iter().enumerate() {
            let (first, end) = (stretch.first.max(used.start), stretch.end.min(used.end));
            if first >= end {
                continue;
            }
            let from = self.notches.across(nth).0 + f64::from(first - stretch.first) * self.notches.apart;
            svg.element("rect")
                .set("class", "place")
                .length("x", from)
                .length("y", self.paper.down(OPEN))
                .length("width", f64::from(end - first) * self.notches.apart)
                .length("height", OPEN)
                .set("fill", ink::CARD)
                .set("opacity", "0.5")
                .end();
        }
    }

    /// One length of yarn with its loops and its knots, in front of the frame.
    fn block(&self, svg: &mut Svg, block: &Block) {
        // Of two yarns that alternate, the second goes round farther out, so that their loops are told apart.
        let round = if block.every > 1 && block.first % 2 == 1 { ROUND * 1.7 } else { ROUND };
        let mut path = Path::new(&self.paper);
        let mut last: Option<(Option<Spot>, Length)> = None;
        let mut ties = Vec::new();
        for length in self.winding.lengths(block) {
            let spot = self.spot(length);
            let from = length.from;
            match last {
                None => ties.extend(spot.map(|spot| (spot.x, from))),
                Some((before, _)) => {
                    if let (Some(a), Some(b)) = (before, spot)
                        && a.stretch == b.stretch
                        && (!length.behind && a.x < b.x)
                    {
                        Sheet::hop(&mut path, (a.x, b.x), from, round);
                    }
                }
            }
            if let Some(spot) = spot.filter(|_| !length.behind) {
                path.move_to(spot.x, Sheet::outer(from)).line_to(spot.x, Sheet::outer(from.other()));
            }
            last = Some((spot, length));
        }
        if let Some((Some(spot), length)) = last {
            ties.push((spot.x, length.from.other()));
        }
        self.lined(svg, &path, self.colour(block));
        for (x, bar) in ties {
            self.knot(svg, (x, bar), self.colour(block));
        }
    }

    /// From one notch to the next, round the wood between them.
    fn hop(path: &mut Path<'_>, (a, b): (f64, f64), bar: Bar, round: f64) {
        let (floor, out) = (Sheet::floor(bar), Sheet::outer(bar) + Sheet::out(bar) * round);
        let side = ((b - a) / 2.0).min(5.0);
        path.move_to(a, floor).line_to(a, Sheet::outer(bar));
        path.corner((a, Sheet::outer(bar)), (a, out), (a + side, out)).line_to(b - side, out);
        path.corner((b - side, out), (b, out), (b, Sheet::outer(bar))).line_to(b, floor);
    }

    /// What lies behind the frame.
    fn behind(&self, svg: &mut Svg, block: &Block) {
        let mut path = Path::new(&self.paper);
        for length in self.winding.lengths(block).filter(|length| length.behind) {
            let Some(spot) = self.spot(length) else { continue };
            // It leans toward the notch that it goes on to.
            let to = spot.x + self.notches.apart * 0.5;
            path.move_to(spot.x, Sheet::outer(length.from)).line_to(to, Sheet::outer(length.from.other()));
        }
        if path.is_empty() {
            return;
        }
        svg.element("path")
            .set("class", "behind")
            .set("fill", "none")
            .set("stroke", self.colour(block))
            .length("stroke-width", self.thick() * 0.6)
            .set("stroke-dasharray", "4 3")
            .set("d", path.data())
            .end();
    }

    fn lined(&self, svg: &mut Svg, path: &Path<'_>, colour: Srgb) {
        if path.is_empty() {
            return;
        }
        let line = (self.thick() * 0.3).min(1.0);
        for (class, stroke, width) in
            [("line", ink::outline(colour), self.thick() + line), ("yarn", colour, self.thick() - line)]
        {
            svg.element("path")
                .set("class", class)
                .set("fill", "none")
                .set("stroke", stroke)
                .length("stroke-width", width)
                .set("stroke-linejoin", "round")
                .set("d", path.data())
                .end();
        }
    }

    fn knot(&self, svg: &mut Svg, (x, bar): (f64, Bar), colour: Srgb) {
        let size = (self.thick() * 0.8).clamp(1.6, 4.0);
        let at = Sheet::outer(bar) + Sheet::out(bar) * size * 0.4;
        svg.element("circle")
            .set("class", "knot")
            .length("cx", self.paper.across(x))
            .length("cy", self.paper.down(at))
            .length("r", size)
            .set("fill", colour)
            .set("stroke", ink::outline(colour))
            .length("stroke-width", (size * 0.3).min(1.0))
            .end();
    }

    /// Which way the first lengths go: an arrow on each.
    fn turns(&self, svg: &mut Svg, block: &Block) {
        let size = (self.notches.apart * 0.5).clamp(3.0, 6.0);
        let first = self.winding.lengths(block).filter(|length| !length.behind).take(2);
        for (k, length) in first.enumerate() {
            let Some(spot) = self.spot(length) else { continue };
            let up = if length.from == Bar::Near { 1.0 } else { -1.0 };
            let middle = OPEN * if k == 0 { 0.36 } else { 0.64 };
            let mut path = Path::new(&self.paper);
            path.move_to(spot.x - size, middle - up * size * 0.8);
            path.line_to(spot.x, middle + up * size * 0.9);
            path.line_to(spot.x + size, middle - up * size * 0.8).close();
            svg.element("path")
                .set("class", "goes")
                .set("fill", ink::INK)
                .set("stroke", ink::PAPER)
                .length("stroke-width", 1.0)
                .set("d", path.data())
                .end();
        }
    }

    /// Where the yarn of a block is tied first and last.
    fn ties(&self, svg: &mut Svg, block: &Block) {
        let lengths: Vec<Length> = self.winding.lengths(block).collect();
        let (Some(first), Some(last)) = (lengths.first(), lengths.last()) else { return };
        let [start, finish] = say::TIED;
        let ends = [(self.spot(*first), first.from, start), (self.spot(*last), last.from.other(), finish)];
        let mut taken: Option<(Bar, f64)> = None;
        for (spot, bar, words) in ends {
            let Some(spot) = spot else { continue };
            let wide = TIED.width(words);
            let mut x = (spot.x - wide / 2.0).clamp(2.0, WIDTH - wide - 2.0);
            if let Some((_, end)) = taken.filter(|(at, end)| *at == bar && x < end + 6.0) {
                x = end + 6.0;
            }
            taken = Some((bar, x + wide));
            TIED.write(svg, "tied", (x, self.line_of_type(bar, 1)), Held::AtStart, words);
        }
    }

    /// Where a line of type stands beyond a bar: the first or the second from it.
    fn line_of_type(&self, bar: Bar, nth: u8) -> f64 {
        let away = ROUND * 1.7 + 5.0 + f64::from(nth) * 15.0;
        match bar {
            Bar::Near => self.paper.down(-BAR - away) + NUMBER.size * 0.75,
            Bar::Far => self.paper.down(OPEN + BAR + away),
        }
    }

    /// Numbers of ends beside the near bar, of the outer notches beside the far one.
    fn numbers(&self, svg: &mut Svg) {
        let count = self.study.piece.end_count();
        let mut until = f64::NEG_INFINITY;
        let told = |end: u32| end == 0 || (end + 1).is_multiple_of(5) || end + 1 == count;
        // The last is told whatever stands before it.
        let last = count.checked_sub(1).and_then(|end| Some((end, self.notches.at(self.notch(end))?.1)));
        for end in (0..count).filter(|&end| told(end)) {
            let Some((_, x)) = self.notches.at(self.notch(end)) else { continue };
            let text = (end + 1).to_string();
            let half = NUMBER.width(&text) / 2.0;
            let room_for_last =
                last.is_none_or(|(last, at)| end == last || x + half + 3.0 < at - NUMBER.width("000") / 2.0);
            if x - half < until + 3.0 || !room_for_last {
                continue;
            }
            until = x + half;
            NUMBER.write(svg, "end", (x - half, self.line_of_type(Bar::Near, 0)), Held::AtStart, &text);
        }
        let used = [self.winding.first_notch, self.winding.first_notch + self.winding.used.saturating_sub(1)];
        let mut until = f64::NEG_INFINITY;
        for notch in used {
            let Some((_, x)) = self.notches.at(notch) else { continue };
            let text = say::notch_told(notch + 1);
            let wide = NUMBER.width(&text);
            let x = (x - wide / 2.0).clamp(2.0, WIDTH - wide - 2.0);
            if x < until {
                continue;
            }
            until = x + wide + 4.0;
            NUMBER.write(svg, "notch", (x, self.line_of_type(Bar::Far, 0)), Held::AtStart, &text);
        }
    }
}
