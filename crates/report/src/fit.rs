//! Choices that bring the piece near a finished size.

use crate::check::severity;
use crate::common::{PlanJson, SCHEMA, rounded};
use crate::edit::EditJson;
use crate::size::{SidesJson, WantedJson};
use fellmark_core::fit::{self, Choice};
use fellmark_core::plan::{Plan, Wanted};
use fellmark_core::quantity::Mm;
use fellmark_core::say::{self, Units};
use fellmark_core::study::Study;
use serde::Serialize;

/// What `fit --json` prints.
#[derive(Debug, Clone, Serialize)]
pub struct Fit {
    /// The version of this object.
    pub schema: u32,
    /// The plan.
    pub plan: PlanJson,
    /// The finished size that is wanted.
    pub wanted: WantedJson,
    /// What it will be as the plan is.
    pub now: SidesJson,
    /// Both in words, and whether anything comes near: a sentence or two.
    pub said: Vec<String>,
    /// The choices, the best first.
    pub choices: Vec<ChoiceJson>,
}

/// A choice.
#[derive(Debug, Clone, Serialize)]
pub struct ChoiceJson {
    /// Its number for `fit --apply`.
    pub number: u32,
    /// What to change, in words.
    pub words: String,
    /// What comes of it, in words.
    pub comes_of: String,
    /// What to change, in this order.
    pub edits: Vec<EditJson>,
    /// How many ends it has.
    pub ends: u32,
    /// How many rows it has.
    pub rows: u32,
    /// The size that it will be finished.
    pub finished: SidesJson,
    /// How much wider than wanted it is likely to be.
    pub wider_mm: Option<f64>,
    /// How much longer.
    pub longer_mm: Option<f64>,
    /// How much more warp it takes than the plan as it is.
    pub more_warp_mm: f64,
    /// How much more weft.
    pub more_weft_mm: f64,
    /// Whether the bands that it changes are whole repeats of rows.
    pub whole_repeats: bool,
    /// Whether it is about as large as wanted, to a twentieth.
    pub near: bool,
    /// What there is to mend or to look at that the plan does not have as it is.
    pub new_findings: Vec<FoundJson>,
    /// How many things to mend or to look at it has that the plan has as it is.
    pub kept_findings: usize,
    /// The same in words; null: none.
    pub keeps: Option<String>,
}

/// A finding of a choice.
#[derive(Debug, Clone, Serialize)]
pub struct FoundJson {
    /// Its stable name, as in `check`.
    pub kind: &'static str,
    /// `error` or `warning`.
    pub severity: &'static str,
    /// What that means, in words.
    pub weight: &'static str,
    /// In words.
    pub words: String,
}

/// The choices that bring a plan near a finished size. `study` is the plan, studied.
#[must_use]
pub fn fit(plan: &Plan, study: &Study, wanted: Wanted, units: Units) -> Fit {
    let found = fit::fit(plan, wanted);
    let said = say::fitted(plan.finish, wanted, &study.size, &found, units);
    let choices = (1..).zip(found);
    Fit {
        schema: SCHEMA,
        plan: PlanJson::of(&study.piece),
        wanted: WantedJson::of(wanted),
        now: SidesJson::of(study.size.finished),
        said,
        choices: choices.map(|(number, choice)| of_choice(number, &choice, plan, wanted, units)).collect(),
    }
}

fn of_choice(number: u32, choice: &Choice, plan: &Plan, wanted: Wanted, units: Units) -> ChoiceJson {
    let piece = &choice.study.piece;
    let mm = |off: Option<Mm>| off.map(|off| rounded(off.mm()));
    let new = choice.new.iter().map(|finding| FoundJson {
        kind: finding.kind.name(),
        severity: severity(finding.severity),
        weight: say::severity(finding.severity),
        words: say::finding(finding, piece, units).to_string(),
    });
    ChoiceJson {
        number,
        words: say::choice(choice, plan),
        comes_of: say::comes_of(choice, units),
        edits: choice.edits.iter().map(|edit| EditJson::of(edit, plan)).collect(),
        ends: piece.end_count(),
        rows: piece.row_count(),
        finished: SidesJson::of(choice.study.size.finished),
        wider_mm: mm(choice.wider),
        longer_mm: mm(choice.longer),
        more_warp_mm: rounded(choice.more_warp.mm()),
        more_weft_mm: rounded(choice.more_weft.mm()),
        whole_repeats: choice.whole_repeats,
        near: choice.comes_near(wanted),
        new_findings: new.collect(),
        kept_findings: choice.kept,
        keeps: say::keeps(choice),
    }
}
