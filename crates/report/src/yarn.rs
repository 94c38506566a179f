//! How much yarn, and how the needles are loaded.

use crate::common::{EstimateJson, PlanJson, SCHEMA, rounded};
use fellmark_core::need::{Needleful, Parts, YarnNeed};
use fellmark_core::quantity::{Estimate, Gram, Mm, Tex};
use fellmark_core::say::{self, Units};
use fellmark_core::study::Study;
use serde::Serialize;

/// What `yarn --json` prints.
#[derive(Debug, Clone, Serialize)]
pub struct Yarn {
    /// The version of this object.
    pub schema: u32,
    /// The plan.
    pub plan: PlanJson,
    /// One for each yarn that is used.
    pub yarns: Vec<YarnJson>,
}

/// What the piece takes of one yarn.
#[derive(Debug, Clone, Serialize)]
pub struct YarnJson {
    /// The yarn.
    pub yarn: String,
    /// Its linear density in tex.
    pub tex: EstimateJson,
    /// Its diameter lying free.
    pub diameter_mm: EstimateJson,
    /// For the warp.
    pub warp_mm: EstimateJson,
    /// For the weft, all parts together.
    pub weft_mm: EstimateJson,
    /// The weft's parts.
    pub parts: PartsJson,
    /// For the header, which comes out again.
    pub header_mm: EstimateJson,
    /// Warp, weft and header.
    pub total_mm: EstimateJson,
    /// All of it by mass.
    pub grams: EstimateJson,
    /// How much there is, if the plan says so.
    pub have_mm: Option<f64>,
    /// That there is too little of it, or may be, in a sentence.
    pub runs_out: Option<String>,
    /// What it costs, if the plan has a price.
    pub cost: Option<CostJson>,
    /// The lengths to cut.
    pub needlefuls: Vec<NeedlefulJson>,
    /// In a sentence.
    pub words: String,
}

/// The weft's parts, each a length in mm.
#[derive(Debug, Clone, Serialize)]
pub struct PartsJson {
    /// The rows themselves.
    pub rows: EstimateJson,
    /// More in the rows, where they are not level.
    pub rises: EstimateJson,
    /// Round the edge.
    pub turns: EstimateJson,
    /// Up the edge.
    pub carries: EstimateJson,
    /// Where yarn begins and ends.
    pub tails: EstimateJson,
    /// Overlaps.
    pub joins: EstimateJson,
    /// What a needle can't weave.
    pub rests: EstimateJson,
    /// Laid in as a hill.
    pub slack: EstimateJson,
}

/// A cost.
#[derive(Debug, Clone, Serialize)]
pub struct CostJson {
    /// How much.
    pub amount: EstimateJson,
    /// In the plan's currency.
    pub currency: String,
}

/// One length of yarn.
#[derive(Debug, Clone, Serialize)]
pub struct NeedlefulJson {
    /// The weft.
    pub weft: String,
    /// Length to cut; for a doubled weft, of the doubled yarn.
    pub length_mm: f64,
    /// First row.
    pub from_row: u32,
    /// Last row that it weaves whole.
    pub to_row: u32,
    /// Where it joins the one before.
    pub join: Option<JoinJson>,
}

/// A join.
#[derive(Debug, Clone, Serialize)]
pub struct JoinJson {
    /// The row.
    pub row: u32,
    /// First and last end of the overlap.
    pub ends: [u32; 2],
}

/// What a study's piece takes of every yarn.
#[must_use]
pub fn yarn(study: &Study, units: Units) -> Yarn {
    Yarn {
        schema: SCHEMA,
        plan: PlanJson::of(&study.piece),
        yarns: study.need.yarns.iter().map(|need| of_yarn(study, need, units)).collect(),
    }
}

fn of_yarn(study: &Study, need: &YarnNeed, units: Units) -> YarnJson {
    let known = &study.piece.yarns[need.yarn.0];
    let basis = say::rests_on(&need.total);
    let tex = study.habits.tex_between(known);
    YarnJson {
        yarn: known.name.clone(),
        tex: EstimateJson::of(tex.map(Tex::tex), say::rests_on(&tex)),
        diameter_mm: EstimateJson::mm(study.habits.diameter_between(known)),
        warp_mm: EstimateJson::mm(need.warp),
        weft_mm: EstimateJson::mm(need.weft),
        parts: of_parts(&need.parts),
        header_mm: EstimateJson::mm(need.header),
        total_mm: EstimateJson::mm(need.total),
        grams: EstimateJson::of(need.mass.map(Gram::grams), basis),
        have_mm: need.have.map(|have| rounded(have.likely.mm())),
        runs_out: study.runs_out(need.yarn).map(|found| say::finding(found, &study.piece, units).to_string()),
        cost: need.cost.zip(known.price.as_ref()).map(|(amount, price)| CostJson {
            amount: EstimateJson::of(amount, basis),
            currency: price.value.currency.clone(),
        }),
        needlefuls: need.needlefuls.iter().map(|needleful| of_needleful(study, needleful)).collect(),
        words: say::takes(need, &study.piece, units),
    }
}

fn of_parts(parts: &Parts<Estimate<Mm>>) -> PartsJson {
    PartsJson {
        rows: EstimateJson::mm(parts.rows),
        rises: EstimateJson::mm(parts.rises),
        turns: EstimateJson::mm(parts.turns),
        carries: EstimateJson::mm(parts.carries),
        tails: EstimateJson::mm(parts.tails),
        joins: EstimateJson::mm(parts.joins),
        rests: EstimateJson::mm(parts.rests),
        slack: EstimateJson::mm(parts.slack),
    }
}

fn of_needleful(study: &Study, needleful: &Needleful) -> NeedlefulJson {
    NeedlefulJson {
        weft: study.piece.wefts[needleful.weft.0].name.clone(),
        length_mm: rounded(needleful.length.mm()),
        from_row: needleful.from_row + 1,
        to_row: needleful.to_row + 1,
        join: needleful
            .join
            .map(|join| JoinJson { row: join.row + 1, ends: [join.ends.first() + 1, join.ends.last() + 1] }),
    }
}
