//! How large the cloth is, in three states that are never mixed: on the loom under tension, released, and
//! finished (the cloth model, sections 2, 6 and 8). Each is a prediction with its spread.
//!
//! *On the loom* the width is that of the outer ends, drawn in by the maker's habit, and one end and two wraps of
//! weft; the length is the height of the rows, kept level as they are planned. Rows that bend lie lower in places:
//! how low the packed cloth says, and the spread reaches down to it. *Released*, the warp springs back and shares its crimp with the weft
//! ([`cell`]): threads keep their length and fill out, a float lies as long as before, and what changes face lies closer or
//! wider.
//! *Finished*, each direction loses a part of what it was ([`shrink`]).
//!
//! A piece of several weaves and yarns is taken as one cloth of their mean.

pub mod cell;
mod make_up;
pub mod shrink;

use crate::habits::{Habit, Habits};
use crate::piece::Piece;
use crate::plan::{Finish, WeftId};
use crate::quantity::{Basis, Estimate, Mm};
use crate::racetrack::Crossed;
use crate::thread::{self, Thread};
use crate::yarn::{Hardness, Kin, Yarn};
use cell::Cell;
use make_up::{Heights, MakeUp, Strands};

/// Width and length of a cloth.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Dimensions<Q> {
    /// Across the ends.
    pub width: Q,
    /// Along the ends.
    pub length: Q,
}

/// One of the three states of a cloth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum State {
    /// On the loom, under tension.
    #[default]
    OnLoom,
    /// Off the loom.
    Released,
    /// Steamed, washed, pinned out or left as it is.
    Finished,
}

/// How the cloth lies in a state, at its likeliest: what makes its size, for whoever draws it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Stance {
    /// Distance between neighbouring ends.
    pub spacing: Mm,
    /// Heights of rows over those on the loom.
    pub along: f64,
    /// The warp's part of the contact of warp and weft: how far an end moves to and fro where it changes face. The
    /// rest is the weft's. On the loom that is the mean; what each weft does, [`crate::peirce::weft_rise`] says.
    pub warp_rise: f64,
}

/// How large a piece is in its three states.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// How it lies on the loom, released and finished.
    pub stances: [Stance; 3],
    /// What is done with it off the loom.
    pub finish: Finish,
    /// On the loom, under tension.
    pub on_loom: Dimensions<Estimate<Mm>>,
    /// Off the loom.
    pub released: Dimensions<Estimate<Mm>>,
    /// Steamed, washed, pinned out or left as it is.
    pub finished: Dimensions<Estimate<Mm>>,
    /// What makes the difference, at its likeliest.
    pub course: Course,
}

/// What happens to the cloth on its way, as parts of what was there before.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Course {
    /// How much shorter the warp becomes when its tension goes.
    pub spring_back: f64,
    /// How much of that is because rows on close ends stretched it further than it was wound.
    pub from_stretch: f64,
    /// Crimp of the warp where it changes face, on the loom and released.
    pub warp_crimp: [f64; 2],
    /// How much longer than the cloth an end is on the loom, for what it goes round the rows: a frame lets nothing off, so
    /// that the yarn stretches by it, over its whole length from turn to turn.
    pub warp_taken: Mm,
    /// Crimp of the weft where it changes face, on the loom and released.
    pub weft_crimp: [f64; 2],
    /// What finishing takes of length and width.
    pub shrink: Dimensions<f64>,
}

/// The states, with one set of habits taken for certain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Likely {
    /// How it lies on the loom, released and finished.
    pub stances: [Stance; 3],
    /// On the loom.
    pub on_loom: Dimensions<Mm>,
    /// Released.
    pub released: Dimensions<Mm>,
    /// Finished.
    pub finished: Dimensions<Mm>,
    /// What makes the difference.
    pub course: Course,
}

impl Size {
    /// How the cloth lies in a state.
    #[must_use]
    pub fn stance(&self, state: State) -> Stance {
        let [on_loom, released, finished] = self.stances;
        match state {
            State::OnLoom => on_loom,
            State::Released => released,
            State::Finished => finished,
        }
    }

    /// How large it is in a state.
    #[must_use]
    pub fn of(&self, state: State) -> Dimensions<Estimate<Mm>> {
        match state {
            State::OnLoom => self.on_loom,
            State::Released => self.released,
            State::Finished => self.finished,
        }
    }
}

/// How large a piece is, in each state.
#[must_use]
pub fn size(piece: &Piece, habits: &Habits) -> Size {
    let Some(made) = make_up::make_up(piece) else { return nothing(piece) };
    let strands = Strands::of(piece, habits);
    let length = woven_length(piece, habits);
    let mut heights = Heights::new(piece);
    let packed = heights.of(&strands);
    let base = of(piece, &made, &strands, length, habits, LIKELY);
    let varied = bearing(piece, &made)
        .into_iter()
        .map(|habit| (habit, habits.spread(habit)))
        .filter(|(_, spread)| spread.low < spread.high)
        .map(|(habit, spread)| {
            [spread.low, spread.high].map(|value| {
                let habits = habits.with(habit, value);
                let other = Strands::of(piece, &habits);
                let height = heights.of(&other);
                let taller = if height == packed { 1.0 } else { height / packed };
                of(piece, &made, &other, length * taller, &habits, LIKELY)
            })
        });
    let mut varied: Vec<[Likely; 2]> = varied.collect();
    if base.course.warp_taken > Mm::ZERO {
        varied.push([LOW, HIGH].map(|recovery| of(piece, &made, &strands, length, habits, recovery)));
    }
    let dimensions = |state: fn(&Likely) -> &Dimensions<Mm>| {
        let estimate = |side: fn(&Dimensions<Mm>) -> Mm| {
            let pairs = varied.iter().map(|[low, high]| [side(state(low)), side(state(high))]);
            Estimate::varied(side(state(&base)), pairs, Basis::MODEL.and(Basis::HABIT))
        };
        Dimensions { width: estimate(|d| d.width), length: estimate(|d| d.length) }
    };
    Size {
        stances: base.stances,
        finish: piece.finish,
        on_loom: dimensions(|likely| &likely.on_loom),
        released: dimensions(|likely| &likely.released),
        finished: dimensions(|likely| &likely.finished),
        course: base.course,
    }
}

/// The three states with the likely value of every habit; nothing if nothing is woven.
#[must_use]
pub fn likely(piece: &Piece, habits: &Habits) -> Likely {
    let Some(made) = make_up::make_up(piece) else {
        let none = Dimensions { width: Mm::ZERO, length: Mm::ZERO };
        let stances = unwoven(piece);
        return Likely { stances, on_loom: none, released: none, finished: none, course: Course::default() };
    };
    let strands = Strands::of(piece, habits);
    of(piece, &made, &strands, woven_length(piece, habits), habits, LIKELY)
}

/// Which of the values of [`Kin::takes_back`] is taken.
const LOW: usize = 0;
const LIKELY: usize = 1;
const HIGH: usize = 2;

/// The woven length on the loom: the one place from which sizes learn it.
fn woven_length(piece: &Piece, habits: &Habits) -> Mm {
    piece.height(habits)
}

fn nothing(piece: &Piece) -> Size {
    let none = Estimate { likely: Mm::ZERO, low: Mm::ZERO, high: Mm::ZERO, basis: Basis::MODEL };
    let none = Dimensions { width: none, length: none };
    Size {
        stances: unwoven(piece),
        finish: piece.finish,
        on_loom: none,
        released: none,
        finished: none,
        course: Course::default(),
    }
}

/// Ends on which nothing is woven stay where they are.
fn unwoven(piece: &Piece) -> [Stance; 3] {
    [Stance { spacing: piece.spacing(), along: 1.0, warp_rise: 0.0 }; 3]
}

/// The habits that a piece's size depends on.
fn bearing(piece: &Piece, made: &MakeUp) -> Vec<Habit> {
    let mut habits = vec![Habit::Comb, Habit::DrawIn, Habit::Stiffness, Habit::WarpStiffness];
    let used = |so: &dyn Fn(&Yarn) -> bool| {
        piece.ends.iter().any(|end| so(&piece.yarns[end.yarn.0]))
            || piece.wefts.iter().any(|weft| so(&piece.yarns[weft.yarn.0]))
    };
    for (hardness, both) in [
        (Hardness::Soft, [Habit::FlattenSoft, Habit::SqueezeSoft]),
        (Hardness::Medium, [Habit::FlattenMedium, Habit::SqueezeMedium]),
        (Hardness::Hard, [Habit::FlattenHard, Habit::SqueezeHard]),
    ] {
        if used(&|yarn| yarn.fibre.hardness() == hardness) {
            habits.extend(both);
        }
        let guessed = |yarn: &Yarn| yarn.thickness_is_guessed() || yarn.weight_is_guessed();
        if used(&|yarn| yarn.fibre.hardness() == hardness && guessed(yarn)) {
            habits.push(Habit::loft(hardness));
        }
    }
    let [warp, weft] = made.kins(piece);
    habits.extend(warp.iter().copied().map(Habit::spring_back));
    habits.extend(match piece.finish {
        Finish::Steamed => Some(Habit::Steamed),
        Finish::Pinned => Some(Habit::Pinned),
        Finish::AsItIs | Finish::Washed => None,
    });
    if piece.finish != Finish::AsItIs {
        habits.extend(warp.into_iter().map(Habit::shrink_along));
        habits.extend(weft.into_iter().map(Habit::shrink_across));
    }
    habits
}

fn of(
    piece: &Piece,
    made: &MakeUp,
    strands: &Strands,
    length: Mm,
    habits: &Habits,
    recovery: usize,
) -> Likely {
    let gaps = f64::from(made.ends.len() - 1);
    let spacing = piece.spacing() * (1.0 - habits.ratio(Habit::DrawIn));
    let mean_weft = Thread::by_parts(|of| Mm::new(made.over_wefts(|weft| of(&strands.wefts[weft.0]).mm())));
    // The weft that is thickest decides how far the edges stand out.
    let used = strands.wefts.iter().zip(&made.weft).filter(|&(_, part)| *part > 0.0);
    let edges = thread::edges(strands.warp.along, used.map(|(weft, _)| weft.thick).fold(Mm::ZERO, Mm::max));

    // From the middle of the first row, which the comb has pressed against the foot, to that of the last.
    let rows = match made.rows {
        0 | 1 => length,
        rows => (length - mean_weft.along * ((1.0 + strands.comb) / 2.0)) / f64::from(rows - 1),
    };
    // Strands side by side: the cell is that of round threads, each set as much closer as the other lies flat, and of a
    // row there is always something left over.
    let ends = Crossed::of(&strands.warp, spacing, &mean_weft);
    let over_rows = mean_weft.flat().min(rows * 0.999);
    let cell = Cell::on_loom(ends.round(), rows - over_rows, ends.contact);
    let crimp_on_loom = cell.map_or(0.0, |cell| crimp(cell.warp, over_rows));
    let warp_taken = length * made.warp_changes * crimp_on_loom;
    // The frame lets nothing off: what rows take of a close warp it stretches by, until it breaks. A part of that comes back
    // with what the warp was wound with.
    let stretch = warp_taken / piece.loom.turn_to_turn.value;
    let as_wound = |yarn: &Yarn| habits.ratio(Habit::spring_back(yarn.fibre.kin()));
    let from_stretch = made.over_ends(piece, |yarn| {
        let kin = yarn.fibre.kin();
        let stretched = stretch.min(kin.breaks_at());
        (1.0 - as_wound(yarn)) * kin.takes_back()[recovery] * stretched / (1.0 + stretched)
    });
    let spring_back = (made.over_ends(piece, as_wound) + from_stretch).clamp(0.0, 0.95);
    let [warp_rigidity, weft_rigidity] = rigidities(piece, made, habits);
    let touch = Mm::new(made.over_wefts(|weft| strands.touch(weft).mm())) - over_rows;
    let full = strands.warp.free + mean_weft.free;
    let free = cell
        .map(|cell| cell.released(spring_back, touch, warp_rigidity, weft_rigidity).filled_out(cell, full));
    // How much closer threads lie than on the loom: where they change face as the cell has it, and elsewhere as far
    // as the yarn itself is shorter.
    let closer = |changes: f64, side: fn(&Cell) -> cell::Side, flat: Mm, yarn: f64| {
        let at_change = cell
            .zip(free)
            .map_or(yarn, |(loom, free)| (side(&free).spacing + flat * yarn) / (side(&loom).spacing + flat));
        changes * at_change + (1.0 - changes) * yarn
    };
    let along = closer(made.warp_changes, |cell| cell.warp, over_rows, 1.0 - spring_back);
    let across = closer(made.weft_changes, |cell| cell.weft, ends.flat, 1.0);

    let shrink = Dimensions {
        length: made.over_ends(piece, |yarn| shrink::of_yarn(yarn.fibre.kin(), piece.finish, habits)[0]),
        width: made
            .over_wefts(|weft| shrink::of_yarn(piece.yarn_of(weft).fibre.kin(), piece.finish, habits)[1]),
    };
    let on_loom = Dimensions { width: spacing * gaps + edges, length };
    let released = Dimensions { width: spacing * gaps * across + edges, length: length * along };
    let finished = Dimensions {
        width: shrink::after(released.width, shrink.width),
        length: shrink::after(released.length, shrink.length),
    };
    let rise = |cell: Option<Cell>| cell.map_or(0.0, |cell| cell.warp.rise / cell.contact);
    let stances = [
        Stance { spacing, along: 1.0, warp_rise: rise(cell) },
        Stance { spacing: spacing * across, along, warp_rise: rise(free) },
        Stance {
            spacing: shrink::after(spacing * across, shrink.width),
            along: if length > Mm::ZERO {
                shrink::after(length * along, shrink.length) / length
            } else {
                along
            },
            warp_rise: rise(free),
        },
    ];
    let crimps = |side: fn(&Cell) -> cell::Side, flat: [Mm; 2]| {
        [(cell, flat[0]), (free, flat[1])]
            .map(|(cell, flat)| cell.map_or(0.0, |cell| crimp(side(&cell), flat)))
    };
    let course = Course {
        spring_back,
        from_stretch,
        warp_crimp: crimps(|cell| cell.warp, [over_rows, over_rows * (1.0 - spring_back)]),
        warp_taken,
        weft_crimp: crimps(|cell| cell.weft, [ends.flat; 2]),
        shrink,
    };
    Likely { stances, on_loom, released, finished, course }
}

/// Crimp of a thread that lies flat over others besides what bends.
fn crimp(side: cell::Side, flat: Mm) -> f64 {
    side.crimp().max(0.0) * (side.spacing / (side.spacing + flat))
}

/// How stiff warp and weft are to bend, in one unit. Fibres in a yarn slide past each other, so a yarn is about as
/// stiff as its fibres side by side: in proportion to its count.
fn rigidities(piece: &Piece, made: &MakeUp, habits: &Habits) -> [f64; 2] {
    let of =
        |yarn: &Yarn, strands: u32| habits.tex(yarn).tex() * f64::from(strands) * per_tex(yarn.fibre.kin());
    let warp = made.over_ends(piece, |yarn| of(yarn, piece.loom.strands_per_end()));
    let weft = made.over_wefts(|weft: WeftId| of(piece.yarn_of(weft), piece.wefts[weft.0].strands));
    [warp * habits.ratio(Habit::WarpStiffness), weft]
}

/// Rigidity of a yarn per tex, beside that of cotton. The rigidity of a fibre goes with the square of its fineness, so
/// coarse fibres make stiff yarn: flax about five times as stiff as cotton, and the others much alike (from memory, after
/// W. E. Morton & J. W. S. Hearle, *Physical Properties of Textile Fibres*, ch. 17: specific rigidities times usual
/// finenesses).
fn per_tex(kin: Kin) -> f64 {
    match kin {
        Kin::Linen => 5.0,
        Kin::Cotton | Kin::Silk | Kin::Wool | Kin::Made => 1.0,
    }
}
