//! The warp on the notched frame: which notches, up and down, where loops, tails and knots come, and how much
//! yarn each block of colour takes (the cloth model, section 2).

use crate::habits::{Habit, Habits};
use crate::piece::Piece;
use crate::plan::{WarpPath, YarnId};
use crate::quantity::{Estimate, Mm};

/// One of the two notched bars.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bar {
    /// Before the weaver: row 1 lies next to it.
    Near,
    /// At the far end of the frame.
    Far,
}

impl Bar {
    /// The other one.
    #[must_use]
    pub fn other(self) -> Bar {
        match self {
            Bar::Near => Bar::Far,
            Bar::Far => Bar::Near,
        }
    }
}

/// Yarn from one bar to the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Length {
    /// The end that it makes, from 0 at the left, or that it comes back behind of.
    pub end: u32,
    /// Which of the strands of that end it is, from 0.
    pub strand: u32,
    /// The bar that it comes from.
    pub from: Bar,
    /// Whether it lies behind the frame, where nothing is woven.
    pub behind: bool,
}

/// How the warp is wound.
#[derive(Debug, Clone, PartialEq)]
pub struct Winding {
    /// Up and down, or round and round.
    pub path: WarpPath,
    /// How many notches the frame has.
    pub notches: u32,
    /// The first notch used, from 0 at the left: the warp stands in the middle of the frame.
    pub first_notch: u32,
    /// How many notches are used.
    pub used: u32,
    /// Strands in each notch.
    pub strands: u32,
    /// Strands that are one end together.
    pub per_end: u32,
    /// The lengths of yarn, each with its two ends tied: for each block of colour one, or as many as lie in each notch.
    pub blocks: Vec<Block>,
}

/// Ends wound with one length of yarn.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// The yarn.
    pub yarn: YarnId,
    /// Its first end, from 0 at the left.
    pub first: u32,
    /// How many ends it makes.
    pub ends: u32,
    /// From one of its ends to the next: 1, or 2 where two colours alternate and each skips a place; so much more where
    /// several ends lie in each notch.
    pub every: u32,
    /// Which of the strands of its ends it is, from 0.
    pub strand: u32,
    /// The bar at which it begins.
    pub begins: Bar,
    /// The bar at which it ends: where it began if it takes an even number of lengths.
    pub finishes: Bar,
    /// Loops round the near bar.
    pub loops_near: u32,
    /// Loops round the far bar.
    pub loops_far: u32,
    /// Yarn it takes, ties left out.
    pub length: Mm,
    /// Yarn in its two ties.
    pub ties: Mm,
    /// How much more they may take: a length that is cut too short is wound again from the start.
    pub spare: Mm,
}

/// One thing to do when the warp is wound.
#[derive(Debug, Clone, PartialEq)]
pub enum Task<'a> {
    /// Find where it stands on the frame, and how it goes.
    Place,
    /// Wind blocks that are wound alike.
    Wind(Vec<&'a Block>),
    /// Count it and measure it.
    Count,
}

impl Winding {
    /// What is done, in this order.
    #[must_use]
    pub fn tasks(&self) -> Vec<Task<'_>> {
        let wind = self.alike().into_iter().map(Task::Wind);
        std::iter::once(Task::Place).chain(wind).chain([Task::Count]).collect()
    }

    /// The blocks, those together that are wound alike but for their place, in the order in which the first of each
    /// comes.
    #[must_use]
    pub fn alike(&self) -> Vec<Vec<&Block>> {
        let mut groups: Vec<Vec<&Block>> = Vec::new();
        for block in &self.blocks {
            match groups.iter_mut().find(|group| group.first().is_some_and(|first| first.is_like(block))) {
                Some(group) => group.push(block),
                None => groups.push(vec![block]),
            }
        }
        groups
    }
}

impl Winding {
    /// Ends in each notch.
    #[must_use]
    pub fn ends_in_notch(&self) -> u32 {
        (self.strands / self.per_end.max(1)).max(1)
    }

    /// The way of a block's yarn from bar to bar: one after the other.
    pub fn lengths<'a>(&self, block: &'a Block) -> impl Iterator<Item = Length> + 'a {
        lengths(self.path, block.ends()).map(|length| Length { strand: block.strand, ..length })
    }
}

/// Where yarn goes that makes these ends, each in a notch of its own: it begins at the near bar. Up one and down the next, or up
/// in front and down behind. (Within one notch it can't turn: it goes round the wood between two.)
fn lengths(path: WarpPath, ends: impl Iterator<Item = u32>) -> impl Iterator<Item = Length> {
    let mut at = Bar::Near;
    ends.flat_map(move |end| {
        let from = at;
        let front = Length { end, strand: 0, from, behind: false };
        let behind =
            (path == WarpPath::Round).then_some(Length { from: from.other(), behind: true, ..front });
        if behind.is_none() {
            at = at.other();
        }
        std::iter::once(front).chain(behind)
    })
}

impl Block {
    /// Whether another is wound the same way with the same length of the same yarn, wherever it stands.
    #[must_use]
    pub fn is_like(&self, other: &Block) -> bool {
        *self == Block { first: self.first, strand: self.strand, ..other.clone() }
    }

    /// Its ends, from 0 at the left.
    pub fn ends(&self) -> impl Iterator<Item = u32> + '_ {
        (0..self.ends).map(|k| self.first + k * self.every)
    }

    /// What it is likely to take.
    #[must_use]
    pub fn takes(&self) -> Mm {
        self.length + self.ties
    }

    /// The length to cut: enough for ties that take more than is likely.
    #[must_use]
    pub fn cut(&self) -> Mm {
        self.takes() + self.spare
    }
}

/// Works out how the warp of a piece is wound.
#[must_use]
pub fn wind(piece: &Piece, habits: &Habits) -> Winding {
    let used = piece.ends.last().map_or(0, |end| end.notch + 1);
    let blocks = blocks(piece).into_iter().map(|ends| measure(piece, habits, &ends)).collect();
    Winding {
        path: piece.path,
        notches: piece.loom.notches,
        first_notch: piece.loom.notches.saturating_sub(used) / 2,
        used,
        strands: piece.loom.strands,
        per_end: piece.loom.strands_per_end(),
        blocks,
    }
}

/// A block before it is measured.
#[derive(Clone, Copy)]
struct Ends {
    yarn: YarnId,
    first: u32,
    ends: u32,
    every: u32,
    strand: u32,
}

/// Yarn goes from notch to notch. So where several ends lie in a notch, the first of each notch are wound by themselves, and so
/// are the second; and each strand of ends that are several strands.
fn blocks(piece: &Piece) -> Vec<Ends> {
    let mut within: Vec<Vec<u32>> = Vec::new();
    let mut before: Option<(u32, usize)> = None;
    for (end, notch) in (0..).zip(piece.ends.iter().map(|end| end.notch)) {
        let nth = before.map_or(0, |(last, nth)| if last == notch { nth + 1 } else { 0 });
        before = Some((notch, nth));
        if nth == within.len() {
            within.push(Vec::new());
        }
        within[nth].push(end);
    }
    let mut all: Vec<Ends> = within.iter().flat_map(|ends| runs(piece, ends)).collect();
    all.sort_by_key(|block| block.first);
    let strands = piece.loom.strands_per_end();
    all.iter().flat_map(|&block| (0..strands).map(move |strand| Ends { strand, ..block })).collect()
}

/// Of ends that lie in a notch each, neighbours of one yarn are one block. Where two yarns alternate end by end, each is one
/// block that skips the other's places.
fn runs(piece: &Piece, ends: &[u32]) -> Vec<Ends> {
    let yarn = |at: usize| ends.get(at).and_then(|&end| piece.ends.get(end as usize)).map(|end| end.yarn);
    let apart = ends.get(1).zip(ends.first()).map_or(1, |(second, first)| second - first);
    let mut blocks = Vec::new();
    let mut add = |at: usize, count: usize, every: u32| {
        if let (Some(yarn), Some(&first)) = (yarn(at), ends.get(at)) {
            blocks.push(Ends { yarn, first, ends: count as u32, every: every * apart, strand: 0 });
        }
    };
    let mut at = 0;
    while at < ends.len() {
        let mut alternating = 1;
        while at + alternating < ends.len()
            && yarn(at + alternating) != yarn(at + alternating - 1)
            && (alternating < 2 || yarn(at + alternating) == yarn(at + alternating - 2))
        {
            alternating += 1;
        }
        // The last of a stretch may be the first of a wider block; two ends of each make a stretch.
        if alternating < ends.len() - at && yarn(at + alternating) == yarn(at + alternating - 1) {
            alternating -= 1;
        }
        if alternating >= 4 {
            for k in 0..2 {
                add(at + k, (alternating - k).div_ceil(2), 2);
            }
            at += alternating;
        } else {
            let run = (at..ends.len()).take_while(|&other| yarn(other) == yarn(at)).count();
            add(at, run, 1);
            at += run;
        }
    }
    blocks
}

fn measure(piece: &Piece, habits: &Habits, block: &Ends) -> Block {
    let loom = &piece.loom;
    let ends = f64::from(block.ends);
    let hops = block.ends.saturating_sub(1);
    let hop = loom.end_spacing() * f64::from(block.every);
    let depth = loom.notch_depth.as_ref().map_or(Mm::ZERO, |depth| depth.value);
    let height = loom.turn_to_turn.value;
    let length = match piece.path {
        // Each end goes into a notch at both bars.
        WarpPath::Zigzag => height * ends + hop * f64::from(hops) + depth * (2.0 * ends),
        // Each front end has one behind it, and the way on to the next notch.
        WarpPath::Round => height * (2.0 * ends) + hop * f64::from(hops) + depth * (4.0 * ends),
    };
    let mut at = Bar::Near;
    let (mut near, mut far) = (0, 0);
    for (k, length) in lengths(piece.path, 0..block.ends).enumerate() {
        match length.from {
            Bar::Near if k > 0 => near += 1,
            Bar::Near => {}
            Bar::Far => far += 1,
        }
        at = length.from.other();
    }
    Block {
        yarn: block.yarn,
        first: block.first,
        ends: block.ends,
        every: block.every,
        strand: block.strand,
        begins: Bar::Near,
        finishes: at,
        loops_near: near,
        loops_far: far,
        length,
        ties: habits.length(Habit::Tie) * 2.0,
        spare: Mm::new((habits.spread(Habit::Tie).high - habits.spread(Habit::Tie).likely).max(0.0)) * 2.0,
    }
}

/// What the warp is like at one bar when all is woven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtBar {
    /// The bar.
    pub bar: Bar,
    /// The bare warp between the cloth and where it turns round the bar, or, where it goes on behind the frame, as far as it is
    /// cut there: halfway.
    pub open: Mm,
    /// Whether it is cut behind the frame: a warp wound round and round has no loops that hold a row.
    pub cut: bool,
    /// Loops round its notches.
    pub loops: u32,
    /// Knots at its notches.
    pub knots: u32,
}

/// What keeps the rows beside a bar when the warp there is let go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kept {
    /// Loops or knots right beside the row.
    AtTheBar,
    /// Nothing: there is bare warp, and too little of it to be knotted.
    TooShort,
    /// Knots of the bare warp, which is long enough.
    Knotted,
}

/// Loops of up to so much bare warp hold the row beside them, once the rows are eased out into them. Common practice, no source.
const AT_THE_BAR: Mm = Mm::new(15.0);
/// Bare warp that is shorter than this can't be knotted behind a row. Common practice, no source.
const KNOTTED: Mm = Mm::new(60.0);

impl AtBar {
    /// What keeps the rows there.
    #[must_use]
    pub fn kept(&self) -> Kept {
        match self.open {
            open if open <= AT_THE_BAR && !self.cut => Kept::AtTheBar,
            open if open < KNOTTED => Kept::TooShort,
            _ => Kept::Knotted,
        }
    }
}

/// What is found at the near bar and at the far one when the cloth, so tall, is woven.
#[must_use]
pub fn at_bars(piece: &Piece, winding: &Winding, woven: Mm) -> [AtBar; 2] {
    let below = piece.header.as_ref().map_or(Mm::ZERO, |header| header.length.value);
    let loom = &piece.loom;
    let clear = loom.clear_height.value;
    let cut = winding.path == WarpPath::Round;
    let half_behind = if cut { loom.turn_to_turn.value / 2.0 } else { Mm::ZERO };
    let round_the_bar = ((loom.turn_to_turn.value - clear) / 2.0).max(Mm::ZERO) + half_behind;
    let count = |of: &dyn Fn(&Block) -> u32| winding.blocks.iter().map(of).sum();
    let at = |bar: Bar, open: Mm, loops: u32| AtBar {
        bar,
        open: open.max(Mm::ZERO) + round_the_bar,
        cut,
        loops,
        knots: count(&|block| u32::from(block.begins == bar) + u32::from(block.finishes == bar)),
    };
    [
        at(Bar::Near, below, count(&|block| block.loops_near)),
        at(Bar::Far, clear - below - woven, count(&|block| block.loops_far)),
    ]
}

/// How much of each end stays unwoven at the near bar and at the far one, with what turns round them, or goes on behind the
/// frame as far as it is cut.
#[must_use]
pub fn unwoven(piece: &Piece, habits: &Habits, woven: Estimate<Mm>) -> [Estimate<Mm>; 2] {
    let winding = wind(piece, habits);
    let open = |woven: Mm| at_bars(piece, &winding, woven).map(|bar| bar.open);
    // The taller the cloth is the less stays above it.
    let [likely, low, high] = [woven.likely, woven.high, woven.low].map(open);
    [0, 1].map(|bar| Estimate { likely: likely[bar], low: low[bar], high: high[bar], basis: woven.basis })
}

/// Distance between the centres of the outermost ends.
#[must_use]
pub fn outer_width(piece: &Piece) -> Mm {
    piece.spacing() * f64::from(piece.end_count().saturating_sub(1))
}
