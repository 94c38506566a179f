//! What a piece is made up of, on average: how many rows and ends, how often threads change face, of what yarn.

use crate::habits::{Habit, Habits};
use crate::pack::{Keeps, Packer};
use crate::piece::Piece;
use crate::plan::{WeftId, YarnId};
use crate::quantity::Mm;
use crate::side::{Side, Span};
use crate::thread::Thread;
use crate::yarn::{Kin, Yarn};

/// A piece, averaged over its crossings. Only what habits don't change stands here.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct MakeUp {
    /// The ends that are woven, from the first to the last.
    pub(super) ends: Span,
    /// How many rows cross the end that most of them cross: they are its height. Where rows stop short others have fewer.
    pub(super) rows: u32,
    /// The part of the rows next to each other on an end between which the end changes face.
    pub(super) warp_changes: f64,
    /// The part of the gaps between two ends in which a row changes face.
    pub(super) weft_changes: f64,
    /// Each yarn's part of the ends, by its place in the piece's yarns.
    pub(super) warp: Vec<f64>,
    /// Each weft's part of the crossings, by its place in the piece's wefts.
    pub(super) weft: Vec<f64>,
}

/// Counts through a piece; `None` if nothing is woven.
#[must_use]
pub(super) fn make_up(piece: &Piece) -> Option<MakeUp> {
    let mut ends: Option<Span> = None;
    let (mut crossings, mut gaps, mut changes) = (0_u64, 0_u64, 0_u64);
    let (mut pairs, mut warp_changes) = (0_u64, 0_u64);
    let mut last: Vec<Option<bool>> = vec![None; piece.ends.len()];
    let mut rows = vec![0_u32; piece.ends.len()];
    let mut weft = vec![0.0; piece.wefts.len()];
    for (number, row) in (0..).zip(&piece.rows) {
        let crossed = piece.crossings(number);
        let span = crossed.span();
        ends = Some(ends.map_or(span, |known| known.hull(span)));
        crossings += u64::from(span.len());
        gaps += u64::from(span.len() - 1);
        changes += crossed.runs(Side::Left).count().saturating_sub(1) as u64;
        weft[row.weft.0] += f64::from(span.len());
        for end in span.ends() {
            let over = crossed.over(end);
            if let (Some(known), Some(rows)) = (last.get_mut(end as usize), rows.get_mut(end as usize)) {
                *rows += 1;
                pairs += u64::from(known.is_some());
                warp_changes += u64::from(known.is_some() && *known != over);
                *known = over;
            }
        }
    }
    let ends = ends?;
    let part = |some: u64, all: u64| if all > 0 { some as f64 / all as f64 } else { 0.0 };
    let mut warp = vec![0.0; piece.yarns.len()];
    for end in ends.ends() {
        if let Some(end) = piece.ends.get(end as usize) {
            warp[end.yarn.0] += 1.0 / f64::from(ends.len());
        }
    }
    weft.iter_mut().for_each(|sum| *sum /= crossings.max(1) as f64);
    Some(MakeUp {
        ends,
        rows: rows.into_iter().max().unwrap_or_default(),
        warp_changes: part(warp_changes, pairs),
        weft_changes: part(changes, gaps),
        warp,
        weft,
    })
}

impl MakeUp {
    /// The mean of something over the ends, by their yarn.
    pub(super) fn over_ends(&self, piece: &Piece, of: impl Fn(&Yarn) -> f64) -> f64 {
        let parts = self.warp.iter().zip(&piece.yarns).filter(|&(part, _)| *part > 0.0);
        parts.map(|(part, yarn)| part * of(yarn)).sum()
    }

    /// The mean of something over the crossings, by their weft.
    pub(super) fn over_wefts(&self, of: impl Fn(WeftId) -> f64) -> f64 {
        let parts = (0..).map(WeftId).zip(&self.weft).filter(|&(_, part)| *part > 0.0);
        parts.map(|(weft, part)| part * of(weft)).sum()
    }

    /// The kinds of fibre in warp and weft.
    #[must_use]
    pub(super) fn kins(&self, piece: &Piece) -> [Vec<Kin>; 2] {
        let mut kins = [Vec::new(), Vec::new()];
        let mut add = |set: usize, yarn: YarnId| {
            let kin = piece.yarns[yarn.0].fibre.kin();
            if !kins[set].contains(&kin) {
                kins[set].push(kin);
            }
        };
        let used = |(_, part): &(usize, &f64)| **part > 0.0;
        for (yarn, _) in self.warp.iter().enumerate().filter(used) {
            add(0, YarnId(yarn));
        }
        for (weft, _) in self.weft.iter().enumerate().filter(used) {
            add(1, piece.wefts[weft].yarn);
        }
        kins
    }
}

/// What a piece is packed with: its strands, and how hard it is combed.
#[derive(Debug, Clone)]
pub(super) struct Strands {
    /// The warp.
    pub(super) warp: Thread,
    /// The wefts.
    pub(super) wefts: Vec<Thread>,
    /// How far apart they lie, of what the cloth model says.
    pub(super) comb: f64,
}

/// How many crossings are packed anew to learn what one habit changes.
const PACKED: u64 = 200_000;

impl Strands {
    /// Those of a piece with these habits.
    #[must_use]
    pub(super) fn of(piece: &Piece, habits: &Habits) -> Strands {
        Strands {
            warp: piece.warp_thread(habits),
            wefts: (0..piece.wefts.len()).map(|weft| piece.thread(WeftId(weft), habits)).collect(),
            comb: habits.ratio(Habit::Comb),
        }
    }

    fn packer(&self, piece: &Piece) -> Packer {
        Packer::new(piece.end_count(), piece.spacing(), self.warp, self.comb)
    }

    /// How far apart rows of a weft lie that touch ([`Thread::touch`]), combed as hard as they are.
    pub(super) fn touch(&self, weft: WeftId) -> Mm {
        self.wefts[weft.0].touch() * self.comb
    }

    /// All that the height of a piece has of these strands.
    fn bearing(&self, piece: &Piece) -> Bearing {
        let packer = self.packer(piece);
        self.wefts.iter().map(|&weft| (packer.keeps(weft), weft.along)).collect()
    }

    /// The height of a piece packed with these strands, as [`Piece::height`] has it. Of a very large piece it is
    /// that of its lower part: what habits change of it is much the same higher up.
    fn height(&self, piece: &Piece) -> Mm {
        let mut crossings = 0_u64;
        let mut packer = self.packer(piece);
        let mut highest = Mm::ZERO;
        for (number, row) in (0..).zip(&piece.rows) {
            let (crossed, weft) = (piece.crossings(number), self.wefts[row.weft.0]);
            crossings += u64::from(crossed.span().len());
            if number > 0 && crossings > PACKED {
                break;
            }
            let over = |end| crossed.over(end) == Some(true);
            let height = packer.lay_mean(crossed.span(), over, weft, row.apart);
            highest = highest.max(height + weft.along / 2.0);
        }
        highest
    }
}

/// What keeps the rows of each weft apart, and how thick it lies.
type Bearing = Vec<(Keeps, Mm)>;

/// The heights of a piece with strands of several kinds. Most that habits change of a strand has no bearing on how it
/// packs, such as the thickness of ends that stand wide apart: then nothing is packed anew.
pub(super) struct Heights<'a> {
    piece: &'a Piece,
    known: Vec<(Bearing, Mm)>,
}

impl<'a> Heights<'a> {
    pub(super) fn new(piece: &'a Piece) -> Heights<'a> {
        Heights { piece, known: Vec::new() }
    }

    /// The height with these strands.
    pub(super) fn of(&mut self, strands: &Strands) -> Mm {
        let bearing = strands.bearing(self.piece);
        if let Some((_, height)) = self.known.iter().find(|(known, _)| *known == bearing) {
            return *height;
        }
        let height = strands.height(self.piece);
        self.known.push((bearing, height));
        height
    }
}
