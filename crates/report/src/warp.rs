//! How the warp is wound.

use crate::common::{PlanJson, SCHEMA, letters_on, rounded};
use fellmark_core::piece::Piece;
use fellmark_core::plan::WarpPath;
use fellmark_core::say::{self, Units, WindingStep};
use fellmark_core::study::Study;
use fellmark_core::warp::{self, Bar, Task, Winding};
use serde::Serialize;

/// What `warp --json` prints.
#[derive(Debug, Clone, Serialize)]
pub struct Warp {
    /// The version of this object.
    pub schema: u32,
    /// The plan.
    pub plan: PlanJson,
    /// Number of ends.
    pub ends: u32,
    /// `zigzag` or `round`.
    pub path: &'static str,
    /// Number of notches of the frame.
    pub notches: u32,
    /// First and last notch used.
    pub used_notches: [u32; 2],
    /// Strands in each notch.
    pub strands: u32,
    /// Distance of the outermost ends.
    pub outer_width_mm: f64,
    /// The lengths of yarn it is wound from.
    pub blocks: Vec<BlockJson>,
    /// Loops at each bar.
    pub loops: LoopsJson,
    /// Where the yarns' ends are tied.
    pub tails: Vec<TailJson>,
    /// All yarn, ties included.
    pub length_mm: f64,
    /// What the ties take of it.
    pub ties_mm: f64,
    /// What is counted for the depth of a notch, at each bar.
    pub notch_depth_mm: f64,
    /// What is done, step by step.
    pub steps: Vec<WindingJson>,
    /// The same in words, from the first to the last.
    pub words: Vec<String>,
}

/// One thing to do when the warp is wound.
#[derive(Debug, Clone, Serialize)]
pub struct WindingJson {
    /// `wind`: as the steps of a row say what they are.
    #[serde(rename = "do")]
    pub what: &'static str,
    /// The yarn that is wound; null where none is.
    pub yarn: Option<String>,
    /// Its colour.
    pub colour: Option<String>,
    /// What letters on it are read best in: `ink` or `paper`.
    pub letters: Option<&'static str>,
    /// What is done, in words.
    pub words: String,
    /// What else there is to know, a sentence each.
    pub more: Vec<String>,
}

/// Ends wound with one length of yarn.
#[derive(Debug, Clone, Serialize)]
pub struct BlockJson {
    /// The yarn.
    pub yarn: String,
    /// First and last end.
    pub ends: [u32; 2],
    /// How many ends it makes.
    pub count: u32,
    /// From one of its ends to the next.
    pub every: u32,
    /// Length to cut, ties included.
    pub length_mm: f64,
    /// Loops at each bar.
    pub loops: LoopsJson,
}

/// Loops at the two bars.
#[derive(Debug, Clone, Copy, Default, Serialize)]
pub struct LoopsJson {
    /// At the bar before the weaver.
    pub near: u32,
    /// At the other.
    pub far: u32,
}

/// Where an end of yarn is tied.
#[derive(Debug, Clone, Serialize)]
pub struct TailJson {
    /// The yarn.
    pub yarn: String,
    /// `near` or `far`.
    pub bar: &'static str,
    /// The end that it belongs to.
    pub end: u32,
}

fn bar(bar: Bar) -> &'static str {
    match bar {
        Bar::Near => "near",
        Bar::Far => "far",
    }
}

/// How the warp of a study is wound, step by step.
#[must_use]
pub fn winding(study: &Study, units: Units) -> Vec<WindingJson> {
    steps(&warp::wind(&study.piece, &study.habits), &study.piece, units)
}

fn steps(winding: &Winding, piece: &Piece, units: Units) -> Vec<WindingJson> {
    let step = |task: Task<'_>| {
        let WindingStep { words, more } = say::wind(&task, winding, piece, units);
        let yarn = match &task {
            Task::Wind(group) => group.first().map(|block| &piece.yarns[block.yarn.0]),
            Task::Place | Task::Count => None,
        };
        WindingJson {
            what: "wind",
            yarn: yarn.map(|yarn| yarn.name.clone()),
            colour: yarn.map(|yarn| yarn.colour.to_string()),
            letters: yarn.map(|yarn| letters_on(yarn.colour)),
            words,
            more,
        }
    };
    winding.tasks().into_iter().map(step).collect()
}

/// How the warp of a study is wound.
#[must_use]
pub fn warp(study: &Study, units: Units) -> Warp {
    let piece = &study.piece;
    let winding = warp::wind(piece, &study.habits);
    let yarn = |block: &warp::Block| piece.yarns[block.yarn.0].name.clone();
    let last = |block: &warp::Block| block.ends().last().unwrap_or(block.first) + 1;
    let mut loops = LoopsJson::default();
    for block in &winding.blocks {
        loops.near += block.loops_near;
        loops.far += block.loops_far;
    }
    Warp {
        schema: SCHEMA,
        plan: PlanJson::of(piece),
        ends: piece.end_count(),
        path: match winding.path {
            WarpPath::Zigzag => "zigzag",
            WarpPath::Round => "round",
        },
        notches: winding.notches,
        used_notches: [winding.first_notch + 1, winding.first_notch + winding.used],
        strands: winding.strands,
        outer_width_mm: rounded(warp::outer_width(piece).mm()),
        blocks: winding
            .blocks
            .iter()
            .map(|block| BlockJson {
                yarn: yarn(block),
                ends: [block.first + 1, last(block)],
                count: block.ends,
                every: block.every,
                length_mm: rounded(block.cut().mm()),
                loops: LoopsJson { near: block.loops_near, far: block.loops_far },
            })
            .collect(),
        loops,
        tails: winding
            .blocks
            .iter()
            .flat_map(|block| {
                [(block.begins, block.first + 1), (block.finishes, last(block))].map(|(at, end)| TailJson {
                    yarn: yarn(block),
                    bar: bar(at),
                    end,
                })
            })
            .collect(),
        length_mm: rounded(winding.blocks.iter().map(|block| block.cut().mm()).sum()),
        ties_mm: rounded(winding.blocks.iter().map(|block| block.ties.mm()).sum()),
        notch_depth_mm: rounded(piece.loom.notch_depth.as_ref().map_or(0.0, |depth| depth.value.mm())),
        steps: steps(&winding, piece, units),
        words: say::winding(&winding, piece, units),
    }
}
