//! The cloth as it is drawn: how wide each strand shows at each place, and which side is looked at.
//!
//! A strand is as wide as it lies free wherever its neighbours on the same face leave it the room. Over an end
//! that the next rows pass alike they press on it, down to the height that packing gives; in a gap where rows
//! change face they cross one another and each is squeezed. So a strand swells over an end and grows slender
//! where it dives, and strands that touch in the cloth touch in the drawing.

use crate::edge::beyond::Beyond;
use crate::ink;
use crate::way::Ways;
use fellmark_core::habits::Habit;
use fellmark_core::side::{Pass, Side, Surface};
use fellmark_core::study::Study;
use fellmark_core::thread::Thread;
use fellmark_core::walk::{Grip, Turn};
use fellmark_core::yarn::{Srgb, Yarn};
use std::ops::Range;
use std::sync::OnceLock;

/// A strand's look, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Strand {
    /// Its colour.
    pub(crate) colour: Srgb,
    /// The colour of the line round it.
    pub(crate) outline: Srgb,
    /// How wide it is where it lies free.
    pub(crate) free: f64,
    /// How wide it is where it is squeezed between others.
    pub(crate) squeezed: f64,
    /// How many strands of yarn lie side by side in it.
    pub(crate) strands: u32,
    /// The width of the line round it.
    pub(crate) line: f64,
}

impl Strand {
    fn of(yarn: &Yarn, thread: Thread, strands: u32, comb: f64) -> Strand {
        let free = thread.free.mm() * f64::from(strands);
        Strand {
            colour: yarn.colour,
            outline: ink::outline(yarn.colour),
            free,
            squeezed: (thread.squeezed.mm() * comb).min(free),
            strands,
            line: (free * 0.1).clamp(0.04, 0.11),
        }
    }

    /// The heights, from its middle, of the lines between the strands of yarn that lie side by side in it.
    pub(crate) fn seams(&self, width: f64) -> impl Iterator<Item = f64> {
        let each = width / f64::from(self.strands.max(1));
        (1..self.strands).map(move |k| f64::from(k) * each - width / 2.0)
    }
}

/// What is drawn, measured.
pub(crate) struct Cloth<'a> {
    pub(crate) study: &'a Study,
    pub(crate) surface: Surface,
    /// The rows that are drawn, counted from 0.
    pub(crate) rows: Range<u32>,
    /// Between neighbouring ends.
    pub(crate) spacing: f64,
    /// The wefts.
    pub(crate) wefts: Vec<Strand>,
    /// The yarns, as warp.
    pub(crate) warps: Vec<Strand>,
    /// How wide the broadest weft lies free.
    pub(crate) broadest: f64,
    /// How far the rows go beyond their edge ends, and what room there is.
    pub(crate) beyond: Beyond,
    /// Where each row begins among all crossings, and how many there are.
    begins: Vec<usize>,
    /// Where the rows' middles lie, and how wide the rows show: known once a row is drawn. The relief, which draws its rows
    /// itself, never asks.
    ways: OnceLock<Ways>,
    widths: OnceLock<Widths>,
}

/// How wide the rows show.
#[derive(Debug)]
struct Widths {
    /// Half the width of each row at each of its ends, in hundredths.
    halves: Vec<u16>,
    /// Half the width of each row where it changes face or turns.
    slender: Vec<f64>,
    /// Whether a row, seen where it lies behind an end, is covered there but for its middle by the rows that
    /// pass the end in front, next below and next above: they touch even where all are slender.
    covered: Vec<bool>,
}

/// The thinnest that half a strand is drawn, in hundredths.
const HAIR: u16 = 3;
/// Widths less apart than this many hundredths, by half, are not told apart.
const STEP: u16 = 4;

impl<'a> Cloth<'a> {
    pub(crate) fn new(study: &'a Study, surface: Surface, rows: Option<&Range<u32>>) -> Cloth<'a> {
        let (piece, habits) = (&study.piece, &study.habits);
        let count = piece.row_count();
        let rows = rows.map_or(0..count, |wanted| {
            let first = wanted.start.min(count);
            first..wanted.end.clamp(first, count)
        });
        let spacing = study.cloth.spacing().mm();
        let comb = habits.ratio(Habit::Comb).min(1.0);
        let strand =
            |yarn: &Yarn, strands| Strand::of(yarn, Thread::of(yarn, strands, habits), strands, comb);
        let wefts: Vec<Strand> =
            piece.wefts.iter().map(|needle| strand(&piece.yarns[needle.yarn.0], needle.strands)).collect();
        let warps: Vec<Strand> = piece
            .yarns
            .iter()
            .map(|yarn| {
                let strand = strand(yarn, piece.loom.strands_per_end());
                Strand { free: strand.free.min(spacing * 0.92), ..strand }
            })
            .collect();
        let thickest_end = piece.ends.iter().map(|end| warps[end.yarn.0].free).fold(0.0, f64::max);
        let used = piece.rows.iter().map(|row| study.cloth.weft(row.weft).side_by_side().mm());
        let mut begins = vec![0];
        let mut all = 0;
        begins.extend((0..count).map(|row| {
            all += piece.crossings(row).span().ends().len();
            all
        }));
        Cloth {
            study,
            surface,
            rows,
            spacing,
            wefts,
            warps,
            broadest: used.fold(0.0, f64::max),
            beyond: Beyond::new(study, thickest_end / 2.0),
            begins,
            ways: OnceLock::new(),
            widths: OnceLock::new(),
        }
    }

    /// Where the rows' middles lie.
    pub(crate) fn ways(&self) -> &Ways {
        self.ways.get_or_init(|| Ways::new(self.study))
    }

    fn widths(&self) -> &Widths {
        self.widths.get_or_init(|| {
            let halves = self.halves();
            let slender: Vec<f64> =
                (0..self.study.piece.row_count()).map(|row| self.narrowest(&halves, row)).collect();
            let covered = self.find_covered(&slender);
            Widths { halves, slender, covered }
        })
    }

    /// Works out how wide each row shows at each end: two rows that pass an end alike, one next above the
    /// other, share the room between them by their thickness.
    fn halves(&self) -> Vec<u16> {
        let piece = &self.study.piece;
        let mut halves = Vec::new();
        let mut latest: [Vec<Option<u32>>; 2] = [vec![None; piece.ends.len()], vec![None; piece.ends.len()]];
        for row in 0..piece.row_count() {
            let crossings = piece.crossings(row);
            let free = self.weft(row).free;
            let most = ((free * 50.0).round().min(f64::from(u16::MAX)) as u16).max(HAIR);
            halves.extend(crossings.span().ends().map(|_| most));
            for end in crossings.span().ends() {
                let face = usize::from(crossings.over(end) == Some(true));
                if let Some(below) = latest[face][end as usize].replace(row) {
                    let other = self.weft(below).free;
                    let room = (self.height_at(row, end) - self.height_at(below, end)).abs();
                    if room < (free + other) / 2.0 {
                        let share = room / (free + other).max(f64::MIN_POSITIVE);
                        press(&mut halves[self.at(row, end)], share * free);
                        press(&mut halves[self.at(below, end)], share * other);
                    }
                }
            }
        }
        halves
    }

    /// The number of a crossing among all.
    fn at(&self, row: u32, end: u32) -> usize {
        self.begins[row as usize] + (end - self.study.piece.crossings(row).span().first()) as usize
    }

    fn narrowest(&self, halves: &[u16], row: u32) -> f64 {
        let span = self.study.piece.crossings(row).span();
        let half = |end| f64::from(halves[self.at(row, end)]) / 100.0;
        let least = span.ends().map(half).fold(f64::INFINITY, f64::min);
        least.min(self.weft(row).squeezed / 2.0)
    }

    fn find_covered(&self, slender: &[f64]) -> Vec<bool> {
        let slender = |row: u32| slender[row as usize];
        let piece = &self.study.piece;
        let mut covered = vec![true; self.begins.last().copied().unwrap_or(0)];
        let mut sweep = |rows: &mut dyn Iterator<Item = u32>, up: f64| {
            let mut latest: [Vec<Option<u32>>; 2] =
                [vec![None; piece.ends.len()], vec![None; piece.ends.len()]];
            for row in rows {
                let crossings = piece.crossings(row);
                for end in crossings.span().ends() {
                    let edge = self.height_at(row, end) * up - slender(row) - 0.02;
                    let face = usize::from(crossings.over(end) == Some(true));
                    latest[face][end as usize] = Some(row);
                    let covers = |other: u32| self.height_at(other, end) * up + slender(other) >= edge;
                    covered[self.at(row, end)] &= latest[1 - face][end as usize].is_some_and(covers);
                }
            }
        };
        sweep(&mut (0..piece.row_count()), 1.0);
        sweep(&mut (0..piece.row_count()).rev(), -1.0);
        covered
    }

    /// Half the width of a row at an end that it passes.
    pub(crate) fn half(&self, row: u32, end: u32) -> f64 {
        f64::from(self.widths().halves[self.at(row, end)]) / 100.0
    }

    /// Half the width that a row needs to be drawn with where it lies behind an end: no more than its middle
    /// where others cover the rest.
    pub(crate) fn half_behind(&self, row: u32, end: u32) -> f64 {
        if self.widths().covered[self.at(row, end)] { self.slender(row) } else { self.half(row, end) }
    }

    /// Half the width of a row where it changes face or turns.
    pub(crate) fn slender(&self, row: u32) -> f64 {
        self.widths().slender[row as usize]
    }

    /// The weft of a row.
    pub(crate) fn weft(&self, row: u32) -> &Strand {
        &self.wefts[self.study.piece.row(row).weft.0]
    }

    /// How far from the left an end stands.
    pub(crate) fn end_at(&self, end: u32) -> f64 {
        f64::from(end) * self.spacing
    }

    /// The mean height of a row's middle.
    pub(crate) fn mean_height(&self, row: u32) -> f64 {
        self.study.piece.row(row).height.mm()
    }

    /// How far from the left a row ends at one side, where its turn or its tail begins.
    pub(crate) fn comes_out(&self, row: u32, side: Side) -> f64 {
        let edge = self.study.piece.crossings(row).span().edge(side);
        self.end_at(edge) + outward(side) * self.beyond.stub(row, side)
    }

    /// Over as it is seen from the side that is looked at.
    pub(crate) fn seen(&self, pass: Pass) -> Pass {
        match self.surface {
            Surface::Front => pass,
            Surface::Back => pass.opposite(),
        }
    }

    /// The widest that any weft is where it is squeezed.
    pub(crate) fn widest(&self) -> f64 {
        let drawn = self.rows.clone().map(|row| self.weft(row).squeezed);
        drawn.fold(0.0, f64::max)
    }

    /// How high the drawn rows reach, from below the lowest to above the highest; `None` if there is none.
    pub(crate) fn extent(&self) -> Option<(f64, f64)> {
        let edges = self.rows.clone().map(|row| {
            let half = self.weft(row).free / 2.0;
            let (low, high) = self.bounds(row);
            (low - half, high + half)
        });
        edges.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    }

    /// Whether a turn's yarn passes in front of another that comes out in row `other` while it waits, as far
    /// as the front is looked at.
    ///
    /// What holds it passes as the walk says. Otherwise the yarn stays on the face where it lies, so that
    /// nothing is drawn linked that is not.
    pub(crate) fn in_front_of(&self, turn: &Turn, other: u32) -> bool {
        match turn.held {
            Some(hold) if hold.made_here && hold.row == other => hold.pass == Pass::Under,
            _ => self.lies(turn) == Pass::Over,
        }
    }

    /// The face on which a turn's yarn goes up the edge: that of its first row; a row that stopped short of
    /// this end left it where yarn is led.
    fn lies(&self, turn: &Turn) -> Pass {
        let piece = &self.study.piece;
        piece.crossings(turn.since).pass(turn.end).unwrap_or(piece.leads)
    }
}

/// Narrows half of a width, in steps: what is narrower by less is drawn as wide.
fn press(known: &mut u16, half: f64) {
    let half = ((half * 100.0).floor().max(0.0) as u16 / STEP * STEP).max(HAIR);
    *known = half.min(*known);
}

/// The direction out of the cloth: -1 at the left, 1 at the right.
pub(crate) fn outward(side: Side) -> f64 {
    match side {
        Side::Left => -1.0,
        Side::Right => 1.0,
    }
}

/// Whether only a tail holds.
pub(crate) fn is_tail(grip: Grip) -> bool {
    matches!(grip, Grip::StartingTail | Grip::EndingTail)
}
