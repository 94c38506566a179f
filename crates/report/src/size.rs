//! How large the piece is, in its three states.

use crate::common::{EstimateJson, PlanJson, SCHEMA, rounded};
use fellmark_core::cloth::measures::{Measures, measures};
use fellmark_core::cloth::size::{self, Dimensions};
use fellmark_core::need;
use fellmark_core::plan::{Finish, Wanted};
use fellmark_core::quantity::{Estimate, Gram, Mm};
use fellmark_core::say::{self, Units};
use fellmark_core::study::Study;
use fellmark_core::warp;
use serde::Serialize;

/// What `size --json` prints.
#[derive(Debug, Clone, Serialize)]
pub struct Size {
    /// The version of this object.
    pub schema: u32,
    /// The plan.
    pub plan: PlanJson,
    /// What is done with it off the loom: `as_it_is`, `steamed`, `washed` or `pinned`.
    pub finish: &'static str,
    /// Under tension on the loom.
    pub on_loom: SidesJson,
    /// Off the loom.
    pub released: SidesJson,
    /// Finished.
    pub finished: SidesJson,
    /// The finished size that the plan asks for, if it does.
    pub wanted: Option<WantedJson>,
    /// How much of each end stays unwoven when it is woven, at the near bar and at the far one.
    pub unwoven: UnwovenJson,
    /// What makes the difference.
    pub course: CourseJson,
    /// What the finished cloth measures; null where nothing is woven.
    pub measures: Option<MeasuresJson>,
    /// What the cloth weighs, in grams, without tails and fringe; null where nothing is woven.
    pub grams: Option<EstimateJson>,
    /// What a square metre of it weighs when it is finished.
    pub grams_per_m2: Option<f64>,
    /// The same in words.
    pub words: Vec<String>,
}

/// Bare warp at the bars, with what turns round them or goes behind the frame.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct UnwovenJson {
    /// At the near bar, with what a header takes.
    pub near_mm: EstimateJson,
    /// At the far bar.
    pub far_mm: EstimateJson,
}

/// Width and length.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct SidesJson {
    /// Across the ends.
    pub width_mm: EstimateJson,
    /// Along the ends.
    pub length_mm: EstimateJson,
}

/// A size that is asked for; null is as it comes.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct WantedJson {
    /// Across the ends.
    pub width_mm: Option<f64>,
    /// Along the ends.
    pub length_mm: Option<f64>,
}

/// What the finished cloth measures, on average.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct MeasuresJson {
    /// From face to face, hairs left out.
    pub thickness_mm: f64,
    /// Ends per cm.
    pub ends_per_cm: f64,
    /// Rows per cm, along an end.
    pub rows_per_cm: f64,
    /// Cover factor of the warp: ends per cm times the root of their tex, over 10.
    pub warp_cover_factor: f64,
    /// The same of the weft.
    pub weft_cover_factor: f64,
}

/// What happens on the way, as parts of what was there before.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct CourseJson {
    /// How much shorter the warp becomes when its tension goes.
    pub spring_back: f64,
    /// How much of that is because rows on close ends stretched it.
    pub from_stretch: f64,
    /// Crimp of the warp where it changes face: on the loom, released.
    pub warp_crimp: [f64; 2],
    /// Crimp of the weft where it changes face: on the loom, released.
    pub weft_crimp: [f64; 2],
    /// What finishing takes of the width.
    pub shrink_across: f64,
    /// What finishing takes of the length.
    pub shrink_along: f64,
}

/// How large a study's piece is.
#[must_use]
pub fn size(study: &Study, units: Units) -> Size {
    let size::Size { stances: _, finish, on_loom, released, finished, course } = study.size;
    let weight = need::weight(&study.piece, &study.need, &study.size, &study.habits);
    let weighs = weight.map(|weight| say::weighs(&weight, units));
    let measured = measures(&study.piece, &study.cloth, &study.size, &study.habits);
    let lies = measured.map(|measured| say::measures(&measured, units));
    let open = warp::unwoven(&study.piece, &study.habits, study.size.on_loom.length);
    let [near_mm, far_mm] = open.map(EstimateJson::mm);
    let states = say::states(&study.size).into_iter();
    let states = states.map(|(name, sides)| format!("{}: {}.", name, say::state(sides, units)));
    Size {
        schema: SCHEMA,
        plan: PlanJson::of(&study.piece),
        finish: match finish {
            Finish::AsItIs => "as_it_is",
            Finish::Steamed => "steamed",
            Finish::Washed => "washed",
            Finish::Pinned => "pinned",
        },
        on_loom: SidesJson::of(on_loom),
        released: SidesJson::of(released),
        finished: SidesJson::of(finished),
        wanted: study.piece.wanted.map(WantedJson::of),
        unwoven: UnwovenJson { near_mm, far_mm },
        course: CourseJson {
            spring_back: rounded(course.spring_back),
            from_stretch: rounded(course.from_stretch),
            warp_crimp: course.warp_crimp.map(rounded),
            weft_crimp: course.weft_crimp.map(rounded),
            shrink_across: rounded(course.shrink.width),
            shrink_along: rounded(course.shrink.length),
        },
        measures: measured.map(MeasuresJson::of),
        grams: weight
            .map(|weight| EstimateJson::of(weight.mass.map(Gram::grams), say::rests_on(&weight.mass))),
        grams_per_m2: weight.map(|weight| rounded(weight.per_area.grams_per_m2())),
        words: states
            .chain(say::past_reach(&study.size, &study.piece, units))
            .chain([say::unwoven(open, &study.piece, units)])
            .chain(say::course(&study.size))
            .chain(lies)
            .chain(weighs)
            .collect(),
    }
}

impl SidesJson {
    pub(crate) fn of(sides: Dimensions<Estimate<Mm>>) -> SidesJson {
        SidesJson { width_mm: EstimateJson::mm(sides.width), length_mm: EstimateJson::mm(sides.length) }
    }
}

impl MeasuresJson {
    fn of(measures: Measures) -> MeasuresJson {
        let Measures { ends_per_cm, rows_per_cm, thickness, cover_factor: [warp, weft] } = measures;
        MeasuresJson {
            thickness_mm: rounded(thickness.mm()),
            ends_per_cm: rounded(ends_per_cm),
            rows_per_cm: rounded(rows_per_cm),
            warp_cover_factor: rounded(warp),
            weft_cover_factor: rounded(weft),
        }
    }
}

impl WantedJson {
    pub(crate) fn of(wanted: Wanted) -> WantedJson {
        let mm = |side: Option<Mm>| side.map(|side| rounded(side.mm()));
        WantedJson { width_mm: mm(wanted.width), length_mm: mm(wanted.length) }
    }
}
