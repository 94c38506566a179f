//! The warp beyond the cloth: on the loom up to the bars, where it stands in its notches, wider than the drawn-in
//! cloth; off the loom the loops that went round the bars, and the knots, as long as they hang out.

use super::edges::Edging;
use super::noise::{hash2, signed};
use super::view::View;
use super::{OPEN, Picture};
use crate::frame::Frame;
use fellmark_core::cloth::size::State;
use fellmark_core::plan::WarpPath;
use fellmark_core::study::Study;
use fellmark_core::warp::{Bar, Block, Winding, wind};

/// How much of loose warp is shown at most, in mm: the rest lies beyond the picture.
const LOOSE: f64 = 30.0;
/// How much of it a finished piece keeps at most. Common practice, no source.
const FRINGE: f64 = 12.0;
/// Up to the next so many mm the warp goes straight on from the cloth, before it begins to spread.
const STRAIGHT: f64 = 10.0;
/// Over which length the warp spreads at least from the cloth to its notches.
const SPREAD: f64 = 10.0;
/// A loop's width at its turn, in diameters of its yarn.
const TURN: f64 = 2.4;
/// How far loose warp sways, in spacings.
const SWAY: f32 = 0.22;

/// What happens to a block's yarn beyond the cloth, end by end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Step {
    /// It is tied here.
    Tied(u32, Bar),
    /// It goes round the wood from one end to the next.
    Hop(u32, u32, Bar),
    /// It goes on over the bar to the other side of the frame.
    Over(u32, Bar),
}

/// Follows the yarn of a block.
pub(super) fn steps(path: WarpPath, block: &Block) -> Vec<Step> {
    let ends: Vec<u32> = block.ends().collect();
    let mut steps = Vec::new();
    let mut bar = block.begins;
    for (k, &end) in ends.iter().enumerate() {
        let next = ends.get(k + 1);
        match path {
            WarpPath::Zigzag => {
                if k == 0 {
                    steps.push(Step::Tied(end, bar));
                }
                bar = other(bar);
                steps.push(next.map_or(Step::Tied(end, bar), |&next| Step::Hop(end, next, bar)));
            }
            WarpPath::Round => {
                steps.extend([Step::Over(end, Bar::Near), Step::Over(end, Bar::Far)]);
                if k == 0 {
                    steps.push(Step::Tied(end, Bar::Near));
                }
                if next.is_none() {
                    steps.push(Step::Tied(end, block.finishes));
                }
            }
        }
    }
    steps
}

fn other(bar: Bar) -> Bar {
    match bar {
        Bar::Near => Bar::Far,
        Bar::Far => Bar::Near,
    }
}

/// Where an end goes at one side of the cloth, in mm: from a height to a height, there this far across.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Reach {
    from: f64,
    to: f64,
    x: f64,
    bow: f32,
}

/// The warp beyond the cloth.
pub(super) struct Warp {
    pub(super) winding: Winding,
    /// The frame, if it is shown.
    pub(super) frame: Option<Frame>,
    /// The ends' part of the contact of warp and weft, off the loom; `None`: they are under tension.
    pub(super) loose: Option<f64>,
    /// How much of the loose warp is shown at most.
    most: f64,
    /// Each end's reach at the near and at the far side.
    ends: Vec<[Reach; 2]>,
    spacing: f64,
}

impl Warp {
    /// The warp of a piece that is laid in its state, with this much room at the sides.
    pub(super) fn new(study: &Study, edging: &Edging<'_>, options: &Picture, room: (f64, f64)) -> Warp {
        let winding = wind(&study.piece, &study.habits);
        let (piece, cloth) = (&study.piece, &study.cloth);
        let spacing = cloth.spacing().mm();
        // The cloth lies in the middle between the notches.
        let shift = (piece.spacing().mm() - spacing) * f64::from(cloth.end_count().saturating_sub(1)) / 2.0;
        let frame = Frame::new(edging.drawn(), &winding, room).moved(-shift);
        let on_loom = options.state == State::OnLoom;
        let size = &study.size;
        let mut warp = Warp {
            loose: (!on_loom).then(|| size.stance(options.state).warp_rise),
            most: if options.state == State::Finished { FRINGE } else { LOOSE },
            ends: Vec::new(),
            spacing,
            winding,
            frame: None,
        };
        // In steps: an edit that lifts the cloth a little leaves the warp above it where it is.
        let top = (cloth.highest().mm() / STRAIGHT).ceil() * STRAIGHT;
        for end in 0..cloth.end_count() {
            let x = f64::from(end) * spacing;
            let clear = frame.inner(true);
            warp.ends.push(if on_loom {
                let share = ((clear - top) / SPREAD).clamp(0.0, 1.0);
                let notch = f64::from(end) * piece.spacing().mm() - shift;
                // A header keeps it as wide as it was wound; the cloth above it draws in.
                let foot = frame.inner(false);
                let near = if foot < 0.0 {
                    Reach { from: 0.0, to: foot, x: notch, bow: 0.0 }
                } else {
                    Reach { from: foot, to: foot, x, bow: 0.0 }
                };
                [near, Reach { from: top.min(clear), to: clear, x: x + (notch - x) * share, bow: 0.0 }]
            } else {
                // What lay between the cloth and the ground of the notches, sprung back.
                let keeps = 1.0 - size.course.spring_back;
                let along = size.stance(options.state).along;
                let fell = cloth.fell_at(end).mm();
                let woven = if along > 0.0 { fell / along } else { fell };
                let (near, far) = (-frame.turn(false) * keeps, (frame.turn(true) - woven).max(1.0) * keeps);
                [
                    Reach { from: 0.0, to: -near, x, bow: 0.0 },
                    Reach { from: fell, to: fell + far, x, bow: 0.0 },
                ]
            });
        }
        if on_loom {
            warp.frame = options.shows_frame().then_some(frame);
        } else {
            warp.loosen(study);
        }
        warp
    }

    /// Lets loops draw together and sway.
    fn loosen(&mut self, study: &Study) {
        let path = self.winding.path;
        for step in self.winding.blocks.iter().flat_map(|block| steps(path, block)).collect::<Vec<_>>() {
            match step {
                Step::Hop(a, b, bar) => {
                    let (Some(&one), Some(&two)) = (self.reach(a, bar), self.reach(b, bar)) else { continue };
                    let apart = (two.x - one.x).abs();
                    let thick =
                        study.cloth.end(a).side_by_side().mm().max(study.cloth.end(b).side_by_side().mm());
                    let half = (thick * TURN).min(apart) / 2.0;
                    let long = (one.to - one.from).abs().max((two.to - two.from).abs());
                    let to = match bar {
                        Bar::Near => one.to.min(two.to),
                        Bar::Far => one.to.max(two.to),
                    };
                    let seed = hash2(a, 0x100b + u32::from(bar == Bar::Far));
                    // Short loops stand, long ones sway.
                    let limp = self.spacing as f32 * SWAY * (long / LOOSE).clamp(0.15, 1.0) as f32;
                    let sway = f64::from(signed(seed) * limp);
                    let bow = signed(hash2(seed, 1)) * limp;
                    let middle = f64::midpoint(one.x, two.x) + sway;
                    let side = if two.x < one.x { -half } else { half };
                    for (end, side) in [(a, -side), (b, side)] {
                        if let Some(reach) = self.reach_mut(end, bar) {
                            *reach = Reach { to, x: middle + side, bow, ..*reach };
                        }
                    }
                }
                Step::Tied(end, bar) | Step::Over(end, bar) => {
                    let seed = hash2(end, 0x71ed + u32::from(bar == Bar::Far));
                    // No farther than it may without lying on the next.
                    let free = (self.spacing - study.cloth.end(end).side_by_side().mm()).max(0.0) / 2.2;
                    let limp = (self.spacing as f32 * SWAY).min(free as f32);
                    if let Some(reach) = self.reach_mut(end, bar) {
                        reach.x += f64::from(signed(seed) * limp);
                        reach.bow = signed(hash2(seed, 1)) * limp;
                    }
                }
            }
        }
    }

    fn reach(&self, end: u32, bar: Bar) -> Option<&Reach> {
        self.ends.get(end as usize).map(|[near, far]| if bar == Bar::Near { near } else { far })
    }

    fn reach_mut(&mut self, end: u32, bar: Bar) -> Option<&mut Reach> {
        self.ends.get_mut(end as usize).map(|[near, far]| if bar == Bar::Near { near } else { far })
    }

    /// How far below and above the cloth it is shown without a frame: heights in mm.
    pub(super) fn shown(&self, top: f64) -> (f64, f64) {
        if self.loose.is_none() {
            return (-OPEN, top + OPEN);
        }
        let low = self.ends.iter().map(|[near, _]| near.to).fold(0.0, f64::min);
        let high = self.ends.iter().map(|[_, far]| far.to).fold(top, f64::max);
        // Knots have two short ends.
        let room = |long: f64| if long <= self.most { long + 6.0 } else { self.most };
        // In steps, so that an edit seldom changes how much is shown.
        (-room(-low).ceil(), top + room(high - top).ceil())
    }

    /// The ways of the ends in px.
    pub(super) fn ways(&self, view: &View) -> Vec<Way> {
        let open = |reach: &Reach| Open {
            from: view.y(reach.from),
            to: view.y(reach.to),
            x: view.x(reach.x),
            bow: reach.bow * view.scale as f32,
            loose: self.loose.is_some(),
        };
        // Where neither bars nor loops are seen it goes on.
        let on = self.loose.is_none() && self.frame.is_none();
        (0_u32..)
            .zip(&self.ends)
            .map(|(end, [near, far])| {
                let (near, far) = (open(near), open(far));
                let limits = if on { (f32::MIN, f32::MAX) } else { (near.to, far.to) };
                Way { x: view.x(f64::from(end) * self.spacing), near, far, limits }
            })
            .collect()
    }
}

/// An end's way up the picture, in px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Way {
    x: f32,
    near: Open,
    far: Open,
    limits: (f32, f32),
}

/// Beyond the cloth.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Open {
    from: f32,
    to: f32,
    x: f32,
    bow: f32,
    loose: bool,
}

impl Open {
    fn x(&self, begins: f32, y: f32) -> f32 {
        let long = self.to - self.from;
        if long.abs() < 1e-3 {
            return begins;
        }
        let t = ((y - self.from) / long).clamp(0.0, 1.0);
        let share = if self.loose { t * t * (3.0 - 2.0 * t) } else { t };
        begins + (self.x - begins) * share + self.bow * 4.0 * t * (1.0 - t)
    }
}

impl Way {
    /// Its middle at a height.
    pub(super) fn x(&self, y: f32) -> f32 {
        if y < self.near.from {
            self.near.x(self.x, y)
        } else if y > self.far.from {
            self.far.x(self.x, y)
        } else {
            self.x
        }
    }

    /// From where to where it goes up the picture.
    pub(super) fn limits(&self) -> (f32, f32) {
        self.limits
    }

    /// Where it ends at a bar's side.
    pub(super) fn tip(&self, bar: Bar) -> (f32, f32) {
        let open = if bar == Bar::Near { &self.near } else { &self.far };
        (open.x(self.x, open.to), open.to)
    }

    /// How far to the left and to the right it goes.
    pub(super) fn bounds(&self) -> (f32, f32) {
        let bow = self.near.bow.abs().max(self.far.bow.abs());
        let all = [self.x, self.near.x, self.far.x];
        let least = all.into_iter().fold(f32::INFINITY, f32::min);
        let most = all.into_iter().fold(f32::NEG_INFINITY, f32::max);
        (least - bow, most + bow)
    }

    /// Whether it comes between two px across.
    pub(super) fn touches(&self, left: f32, right: f32) -> bool {
        let (least, most) = self.bounds();
        most >= left && least <= right
    }

    /// All that makes it what it is between two heights: cloth that grows beyond them doesn't change it there.
    pub(super) fn measures(&self, low: f32, high: f32) -> [f32; 13] {
        let Way { x, near, far, limits } = *self;
        let part = |open: Open, reached: bool| {
            let Open { from, to, x, bow, loose } = open;
            if reached { [from, to, x, bow, f32::from(u8::from(loose))] } else { [0.0; 5] }
        };
        let (a, b) = (part(near, low < near.from), part(far, high > far.from));
        let (foot, head) = (limits.0.max(low), limits.1.min(high));
        [x, a[0], a[1], a[2], a[3], a[4], b[0], b[1], b[2], b[3], b[4], foot, head]
    }
}
