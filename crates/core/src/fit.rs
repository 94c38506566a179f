//! Numbers of ends and rows with which a piece comes near a finished size.
//!
//! Every choice is simulated: its edits are made on a copy of the plan, the copy is studied, and what the study says
//! is what the choice says. Choices that come about as near as may be are ranked by what weighs most: nothing to mend,
//! edges that hold, repeats that come out across the ends, whole repeats of rows, nothing else to look at, what is woven several
//! times changed rather than a band, the body of the piece rather than its hems, and then how near they come.

mod search;

use crate::plan::{Edit, Plan, Wanted};
use crate::quantity::Mm;
use crate::sound::{Finding, Kind, Severity, to_mend};
use crate::study::{Study, study};
use search::Search;

/// How many choices are offered.
const OFFERED: usize = 5;

/// Sizes that differ by less than this part of what is wanted are about the same: they are foreseen no better.
const ABOUT: f64 = 0.05;

/// Edits that bring a piece near a finished size, and what comes of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// What to change, in this order; nothing where the plan is as near as it gets.
    pub edits: Vec<Edit>,
    /// The plan with the edits made.
    pub plan: Plan,
    /// That plan, studied.
    pub study: Study,
    /// How much wider it is likely to be than what is wanted; `None` where no width is.
    pub wider: Option<Mm>,
    /// How much longer; `None` where no length is wanted.
    pub longer: Option<Mm>,
    /// How much more warp it takes than the plan does now, ties and all.
    pub more_warp: Mm,
    /// How much more weft.
    pub more_weft: Mm,
    /// Whether the bands that it changes are whole repeats of rows.
    pub whole_repeats: bool,
    /// What it has to mend or to look at that the plan does not have now.
    pub new: Vec<Finding>,
    /// How many things to mend or to look at it has that the plan has now.
    pub kept: usize,
    /// Which of what can make it longer or shorter is changed: 0 for what its weaver would change first, or for none.
    rank: usize,
}

impl Choice {
    /// Whether it is about as large as is wanted.
    #[must_use]
    pub fn comes_near(&self, wanted: Wanted) -> bool {
        self.off(wanted) <= ABOUT
    }

    /// The same as one edit; `None` where there is nothing to change.
    #[must_use]
    pub fn edit(&self) -> Option<Edit> {
        match self.edits.as_slice() {
            [] => None,
            [only] => Some(only.clone()),
            several => Some(Edit::Together(several.to_vec())),
        }
    }

    /// How far it is off, as a part of what is wanted or of what it comes to, whichever is less: so of sizes that no frame
    /// reaches the nearest is nearest. Width and length count as the two sides of a right angle.
    #[must_use]
    pub fn off(&self, wanted: Wanted) -> f64 {
        let part = |off: Option<Mm>, wanted: Option<Mm>| match (off, wanted) {
            (Some(off), Some(wanted)) if wanted > Mm::ZERO => {
                let comes_to = wanted + off;
                off / if comes_to > Mm::ZERO { wanted.min(comes_to) } else { wanted }
            }
            _ => 0.0,
        };
        let (across, along) = (part(self.wider, wanted.width), part(self.longer, wanted.length));
        (across * across + along * along).sqrt()
    }

    /// Whether another with as many ends is better in something and in nothing worse: nobody would take this one.
    fn is_worse_than(&self, other: &Choice, wanted: Wanted) -> bool {
        let (mine, its) = (self.flaws(), other.flaws());
        // Which band is changed is a matter of taste, and so is whether a piece is rather too long or too short.
        let flaws = mine.iter().zip(&its).take(its.len() - 1);
        let shorter = |choice: &Choice| choice.longer.is_some_and(|longer| longer < Mm::ZERO);
        let beside = self.rank == other.rank && shorter(self) == shorter(other);
        self.study.piece.end_count() == other.study.piece.end_count()
            && other.off(wanted) <= self.off(wanted)
            && flaws.clone().all(|(mine, its)| its <= mine)
            && (flaws.clone().any(|(mine, its)| its < mine) || beside && other.off(wanted) < self.off(wanted))
    }

    fn errors(&self) -> usize {
        to_mend(&self.study.findings).count()
    }

    /// What weighs more than how near it comes, among those that come near; less is better.
    fn flaws(&self) -> [usize; 6] {
        let count = |is: fn(&Kind) -> bool| self.study.findings.iter().filter(|f| is(&f.kind)).count();
        [
            self.errors(),
            count(|kind| {
                matches!(
                    kind,
                    Kind::LooseTurns { .. }
                        | Kind::UnwrappedEdge { .. }
                        | Kind::HeldByTail { .. }
                        | Kind::FallsApart { .. }
                )
            }),
            // What disappoints, and then what doesn't come out: that is told in `new` too.
            self.new.iter().filter(|finding| finding.severity != Severity::Note).count() + self.kept,
            count(|kind| matches!(kind, Kind::RepeatsUneven { .. })),
            usize::from(!self.whole_repeats),
            self.rank,
        ]
    }
}

/// The choices that come about as near as may be, the best first. Those that have more to mend than the fewest are left
/// out, and so are those that are further off than the nearest by more than [`ABOUT`].
fn ranked(mut choices: Vec<Choice>, wanted: Wanted) -> Vec<Choice> {
    let errors = choices.iter().map(Choice::errors).min().unwrap_or(0);
    choices.retain(|choice| choice.errors() == errors);
    let nearest = choices.iter().map(|choice| choice.off(wanted)).fold(f64::INFINITY, f64::min);
    choices.retain(|choice| choice.off(wanted) <= nearest + ABOUT);
    // What was found first changes less, and stays first among equals.
    choices.sort_by(|a, b| a.flaws().cmp(&b.flaws()).then(a.off(wanted).total_cmp(&b.off(wanted))));
    choices
}

/// Choices of ends and rows with which the finished piece comes near to what is wanted, the best first: at most five,
/// the nearest of all among them. None if the plan makes no piece, or if nothing is wanted.
#[must_use]
pub fn fit(plan: &Plan, wanted: Wanted) -> Vec<Choice> {
    let Ok(now) = study(plan) else { return Vec::new() };
    if now.piece.rows.is_empty() || (wanted.width.is_none() && wanted.length.is_none()) {
        return Vec::new();
    }
    let all = ranked(Search::new(plan, &now, wanted).choices(), wanted);
    let worse = |choice: &Choice| all.iter().any(|other| choice.is_worse_than(other, wanted));
    let mut found: Vec<Choice> = Vec::new();
    for choice in all.iter().filter(|choice| !worse(choice)) {
        let woven = |choice: &Choice| (choice.study.piece.end_count(), choice.study.piece.rows.clone());
        // A band that fills may come to the very rows that are asked for.
        if found.iter().all(|known| woven(known) != woven(choice)) {
            found.push(choice.clone());
        }
    }
    let nearest = (0..found.len()).min_by(|&a, &b| found[a].off(wanted).total_cmp(&found[b].off(wanted)));
    let mut offered: Vec<Choice> = Vec::new();
    for (at, choice) in found.into_iter().enumerate() {
        let kept_for_nearest = usize::from(nearest.is_some_and(|nearest| nearest > at));
        if offered.len() + kept_for_nearest < OFFERED || nearest == Some(at) {
            offered.push(choice);
        }
    }
    offered
}

/// What a study has to mend or to look at, and where its repeats don't come out: numbers of ends are chosen here. That it is another size than the plan asks for is told by
/// [`Choice::wider`] and [`Choice::longer`].
fn flawed(study: &Study) -> impl Iterator<Item = &Finding> {
    let told = |f: &&Finding| match f.kind {
        Kind::OtherSize { .. } => false,
        Kind::RepeatsUneven { .. } => true,
        _ => f.severity != Severity::Note,
    };
    study.findings.iter().filter(told)
}

/// The metres that a study's piece takes, warp and weft.
fn takes(study: &Study) -> [Mm; 2] {
    let yarns = &study.need.yarns;
    [yarns.iter().map(|yarn| yarn.warp.likely).sum(), yarns.iter().map(|yarn| yarn.weft.likely).sum()]
}
