//! How much yarn a piece takes, and how the needles are loaded (the cloth model, sections 4 and 5).
//!
//! A weft's take-up belongs to its changes of face, not to its width. Every figure is an estimate: the same
//! sum is done again with each habit at either end of its spread, and the differences, taken to be
//! independent, give the spread of the whole. Only how the rows lie is not worked out again: what yarn courses
//! is a small part of it, and its own spread is left out.

mod needleful;
mod row;
mod weight;

pub use needleful::{Join, Needleful, holds};
pub use row::{RowLength, row_lengths};
pub use weight::{Weight, weight};

use row::Course;

use crate::cloth::{self, Cloth};
use crate::habits::{Habit, Habits};
use crate::piece::Piece;
use crate::plan::{WeftId, YarnId};
use crate::quantity::{Basis, Estimate, Gram, Mm};
use crate::walk::{self, Step, Walk};
use crate::warp;
use crate::yarn::Stock;

/// What a piece takes of every yarn.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// One for each yarn that is used, in the order of the plan.
    pub yarns: Vec<YarnNeed>,
}

/// What a piece takes of one yarn.
#[derive(Debug, Clone, PartialEq)]
pub struct YarnNeed {
    /// The yarn.
    pub yarn: YarnId,
    /// For the warp, ties and all.
    pub warp: Estimate<Mm>,
    /// For the weft, all parts together.
    pub weft: Estimate<Mm>,
    /// The weft's parts.
    pub parts: Parts<Estimate<Mm>>,
    /// For the header, which comes out again.
    pub header: Estimate<Mm>,
    /// Warp, weft and header together.
    pub total: Estimate<Mm>,
    /// The same by mass.
    pub mass: Estimate<Gram>,
    /// How the needles are loaded, weft by weft, in the order of weaving.
    pub needlefuls: Vec<Needleful>,
    /// How much there is of it by length, where the plan says so.
    pub have: Option<Estimate<Mm>>,
    /// What it costs, in the plan's currency, where the plan gives a price.
    pub cost: Option<Estimate<f64>>,
}

/// What a weft's yarn goes into.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Parts<Q> {
    /// The rows themselves: straight over floats, bent where they change face.
    pub rows: Q,
    /// More in the rows, where they are not level.
    pub rises: Q,
    /// Round the edge end at every turn.
    pub turns: Q,
    /// Up the edge to the needle's next row.
    pub carries: Q,
    /// Tails where yarn begins and ends.
    pub tails: Q,
    /// Where two needlefuls overlap.
    pub joins: Q,
    /// What a needle can't weave of each needleful.
    pub rests: Q,
    /// Laid in as a hill before combing.
    pub slack: Q,
}

impl<Q: Copy> Parts<Q> {
    fn zip<R>(self, other: Parts<Q>, f: impl Fn(Q, Q) -> R) -> Parts<R> {
        Parts {
            rows: f(self.rows, other.rows),
            rises: f(self.rises, other.rises),
            turns: f(self.turns, other.turns),
            carries: f(self.carries, other.carries),
            tails: f(self.tails, other.tails),
            joins: f(self.joins, other.joins),
            rests: f(self.rests, other.rests),
            slack: f(self.slack, other.slack),
        }
    }
}

impl Parts<Mm> {
    fn sum(self) -> Mm {
        self.rows + self.rises + self.turns + self.carries + self.tails + self.joins + self.rests + self.slack
    }
}

/// What the sum gives for one yarn with one set of habits taken for certain.
#[derive(Debug, Clone, Copy, Default)]
struct Figures {
    warp: Mm,
    header: Mm,
    parts: Parts<Mm>,
}

impl Figures {
    fn sum(&self) -> Mm {
        self.warp + self.parts.sum() + self.header
    }
}

/// What the sum is made from, whatever the habits that are tried out on it.
struct Laid<'a> {
    piece: &'a Piece,
    walk: &'a Walk,
    courses: &'a [Course],
    needlefuls: &'a [Needleful],
    header: Option<&'a Below<'a>>,
}

/// A header that is woven.
struct Below<'a> {
    rows: &'a Piece,
    yarn: YarnId,
    walk: Walk,
    courses: Vec<Course>,
}

impl<'a> Below<'a> {
    fn of(rows: &'a Piece, habits: &Habits) -> Below<'a> {
        let walk = walk::walk(rows, habits);
        let courses = row::courses(rows, &walk, &cloth::lay(rows, habits), habits);
        Below { rows, yarn: rows.wefts[0].yarn, walk, courses }
    }

    /// Its rows with their turns, and a tail at either end: it is woven with whatever lengths there are.
    fn length(&self, habits: &Habits) -> Mm {
        let rows: Mm =
            row::lengths(self.rows, &self.walk, &self.courses, habits).into_iter().map(RowLength::sum).sum();
        rows + habits.length(Habit::Tail) * 2.0
    }
}

/// Works out what a piece takes.
#[must_use]
pub fn need(piece: &Piece, walk: &Walk, cloth: &Cloth, habits: &Habits) -> Need {
    let courses = row::courses(piece, walk, cloth, habits);
    let header = piece.header.as_ref().and_then(|header| header.rows()).map(|rows| Below::of(rows, habits));
    let lengths = row::lengths(piece, walk, &courses, habits);
    let needlefuls = needleful::load(piece, walk, &lengths, habits);
    let rows = Laid { piece, walk, courses: &courses, needlefuls: &needlefuls, header: header.as_ref() };
    let likely = figures(&rows, habits);
    let varied: Vec<[Vec<Figures>; 2]> = Habit::ALL
        .into_iter()
        .filter(|&habit| {
            let spread = habits.spread(habit);
            spread.low < spread.high && !habit.is_off_the_loom()
        })
        .map(|habit| {
            let spread = habits.spread(habit);
            [spread.low, spread.high].map(|value| figures(&rows, &habits.with(habit, value)))
        })
        .collect();
    let yarns = (0..piece.yarns.len()).map(YarnId).filter_map(|yarn| {
        let figures = likely[yarn.0];
        // Over a single end the rows themselves have no length, but their tails have.
        let used = figures.sum() > Mm::ZERO;
        used.then(|| {
            let spread = |basis, get: &dyn Fn(&Figures) -> Mm| {
                let pairs = varied.iter().map(|both| [get(&both[0][yarn.0]), get(&both[1][yarn.0])]);
                Estimate::varied(get(&figures), pairs, basis)
            };
            of_yarn(piece, yarn, figures, &spread, &needlefuls, habits)
        })
    });
    Need { yarns: yarns.collect() }
}

/// Says at which rows the needles are loaded, and with how much: where a yarn begins, and where another length joins it.
pub fn cut(walk: &mut Walk, need: &Need) {
    for needleful in need.yarns.iter().flat_map(|yarn| &yarn.needlefuls) {
        let Some(row) = walk.rows.get_mut(needleful.from_row as usize) else { continue };
        match needleful.join {
            Some(Join { ends, .. }) => {
                // It comes in the row itself, after all that is done before it.
                row.before.push(Step::Join { weft: needleful.weft, cut: needleful.length, ends });
            }
            None => {
                for step in &mut row.before {
                    if let Step::Begin { cut, .. } = step {
                        *cut = Some(needleful.length);
                    }
                }
            }
        }
    }
}

/// Likely value and spread of one of the figures.
type Spreading<'a> = dyn Fn(Basis, &dyn Fn(&Figures) -> Mm) -> Estimate<Mm> + 'a;

fn of_yarn(
    piece: &Piece,
    yarn: YarnId,
    figures: Figures,
    spread: &Spreading<'_>,
    needlefuls: &[Needleful],
    habits: &Habits,
) -> YarnNeed {
    let both = Basis::MODEL.and(Basis::HABIT);
    let known = &piece.yarns[yarn.0];
    let parts = Parts {
        rows: spread(Basis::MODEL, &|f| f.parts.rows),
        rises: spread(Basis::MODEL, &|f| f.parts.rises),
        turns: spread(Basis::MODEL, &|f| f.parts.turns),
        carries: spread(Basis::MODEL, &|f| f.parts.carries),
        tails: spread(Basis::HABIT, &|f| f.parts.tails),
        joins: spread(Basis::HABIT, &|f| f.parts.joins),
        rests: spread(Basis::HABIT, &|f| f.parts.rests),
        slack: spread(Basis::HABIT, &|f| f.parts.slack),
    };
    let total = spread(both, &|f| f.sum());
    // Whether it is heavier than was guessed and whether it takes more have nothing to do with each other, but who buys by
    // weight is to have enough.
    let tex = habits.tex_between(known);
    let mass = Estimate {
        likely: tex.likely.mass_of(total.likely),
        low: tex.low.mass_of(total.low),
        high: tex.high.mass_of(total.high),
        basis: total.basis.and(tex.basis),
    };
    let cost = known.price.as_ref().map(|price| {
        let price = &price.value;
        match price.per {
            Stock::Length(per) => total.map(|length| price.amount * (length / per)),
            Stock::Mass(per) => mass.map(|mass| price.amount * (mass / per)),
        }
    });
    debug_assert_eq!(figures.parts.sum(), spread(both, &|f| f.parts.sum()).likely);
    YarnNeed {
        yarn,
        warp: spread(both, &|f| f.warp),
        weft: spread(both, &|f| f.parts.sum()),
        parts,
        header: spread(both, &|f| f.header),
        total,
        mass,
        needlefuls: needlefuls.iter().filter(|n| piece.wefts[n.weft.0].yarn == yarn).cloned().collect(),
        have: known.have.as_ref().map(|have| match have.value {
            Stock::Length(length) => {
                Estimate { likely: length, low: length, high: length, basis: Basis::default() }
            }
            // The heavier it is the less there is of it.
            Stock::Mass(mass) => Estimate {
                likely: tex.likely.length_of(mass),
                low: tex.high.length_of(mass),
                high: tex.low.length_of(mass),
                basis: tex.basis,
            },
        }),
        cost,
    }
}

/// The sum, for each yarn of the plan, with these habits.
fn figures(laid: &Laid<'_>, habits: &Habits) -> Vec<Figures> {
    let &Laid { piece, walk, courses, needlefuls, header } = laid;
    let mut all = vec![Figures::default(); piece.yarns.len()];
    for block in warp::wind(piece, habits).blocks {
        all[block.yarn.0].warp += block.takes();
    }
    let mut add = |weft: WeftId, parts: Parts<Mm>| {
        let needle = &piece.wefts[weft.0];
        let strands = f64::from(needle.strands);
        let known = &mut all[needle.yarn.0].parts;
        *known = known.zip(parts, |known, more| known + more * strands);
    };
    for (row, length) in piece.rows.iter().zip(row::lengths(piece, walk, courses, habits)) {
        let RowLength { path, rise, turn, carry, slack } = length;
        add(
            row.weft,
            Parts { rows: path, rises: rise, turns: turn, carries: carry, slack, ..Parts::default() },
        );
    }
    let tail = habits.length(Habit::Tail);
    for stretch in &walk.stretches {
        add(stretch.weft, Parts { tails: tail * 2.0, ..Parts::default() });
    }
    let overlap = needleful::overlap(piece, habits);
    let rest = habits.length(Habit::NeedleRest);
    for needleful in needlefuls {
        let joins = if needleful.join.is_some() { overlap } else { Mm::ZERO };
        // The rest of the last needleful of a stretch is its ending tail as far as that reaches.
        let rests = if needleful.is_last { (rest - tail).max(Mm::ZERO) } else { rest };
        add(needleful.weft, Parts { joins, rests, ..Parts::default() });
    }
    if let Some(header) = header {
        all[header.yarn.0].header += header.length(habits);
    }
    all
}
