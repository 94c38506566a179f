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

/// How much further off than the nearest a choice may be that is offered because its repeats come out: a fifth.
const EVEN_WITHIN: f64 = 0.2;

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
        let [across, along] = self.sides_off(wanted);
        (across * across + along * along).sqrt()
    }

    /// How far off it is across and along, each by itself.
    fn sides_off(&self, wanted: Wanted) -> [f64; 2] {
        let part = |off: Option<Mm>, wanted: Option<Mm>| match (off, wanted) {
            (Some(off), Some(wanted)) if wanted > Mm::ZERO => {
                let comes_to = wanted + off;
                off / if comes_to > Mm::ZERO { wanted.min(comes_to) } else { wanted }
            }
            _ => 0.0,
        };
        [part(self.wider, wanted.width), part(self.longer, wanted.length)].map(f64::abs)
    }

    /// Whether it is no further off than another by more than this, nor across nor along.
    fn is_as_near(&self, other: &Choice, wanted: Wanted, within: f64) -> bool {
        let near = |(mine, its): (f64, f64)| mine <= its + within;
        self.off(wanted) <= other.off(wanted) + within
            && self.sides_off(wanted).into_iter().zip(other.sides_off(wanted)).all(near)
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

    /// How many repeats don't come out across its ends.
    fn uneven(&self) -> usize {
        let is = |finding: &&Finding| matches!(finding.kind, Kind::RepeatsUneven { .. });
        self.study.findings.iter().filter(is).count()
    }

    /// What is to be mended of the cloth. Yarn that runs out is none of it: more can be had, and what a choice takes is told.
    fn errors(&self) -> usize {
        to_mend(&self.study.findings).filter(|finding| !matches!(finding.kind, Kind::RunsOut { .. })).count()
    }

    /// What weighs more than how near it comes, among those that come near; less is better.
    fn flaws(&self) -> [usize; 6] {
        // What only wants care, such as a tail that holds a turn, is no flaw.
        let flaws = || self.study.findings.iter().filter(|finding| finding.severity != Severity::Note);
        let count = |is: fn(&Kind) -> bool| flaws().filter(|f| is(&f.kind)).count();
        [
            self.errors(),
            count(|kind| {
                matches!(kind, Kind::LooseTurns { .. } | Kind::UnwrappedEdge { .. } | Kind::FallsApart { .. })
            }),
            // What disappoints, and then what doesn't come out: that is told in `new` too.
            self.new.iter().filter(|finding| finding.severity != Severity::Note).count() + self.kept,
            self.uneven(),
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
    let Some(nearest) = nearest(&choices, wanted).cloned() else { return choices };
    choices.retain(|choice| choice.is_as_near(&nearest, wanted, ABOUT));
    // What was found first changes less, and stays first among equals.
    choices.sort_by(|a, b| a.flaws().cmp(&b.flaws()).then(a.off(wanted).total_cmp(&b.off(wanted))));
    choices
}

fn nearest(choices: &[Choice], wanted: Wanted) -> Option<&Choice> {
    choices.iter().min_by(|a, b| a.off(wanted).total_cmp(&b.off(wanted)))
}

/// Of the choices with the fewest repeats that don't come out, and no more to mend than others, the one that comes nearest.
fn most_even(choices: &[Choice], wanted: Wanted) -> Option<&Choice> {
    let key = |choice: &Choice| (choice.errors(), choice.uneven());
    let least = choices.iter().map(key).min()?;
    choices
        .iter()
        .filter(|choice| key(choice) == least)
        .min_by(|a, b| a.off(wanted).total_cmp(&b.off(wanted)))
}

/// Choices of ends and rows with which the finished piece comes near to what is wanted, the best first: at most five,
/// the nearest of all among them, and last the nearest whose repeats come out where none of the others' do. None if the plan
/// makes no piece, or if nothing is wanted.
#[must_use]
pub fn fit(plan: &Plan, wanted: Wanted) -> Vec<Choice> {
    let Ok(now) = study(plan) else { return Vec::new() };
    if now.piece.rows.is_empty() || (wanted.width.is_none() && wanted.length.is_none()) {
        return Vec::new();
    }
    let tried = Search::new(plan, &now, wanted).choices();
    let even = most_even(&tried, wanted).cloned();
    let all = ranked(tried, wanted);
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
    if let (Some(even), Some(nearest)) = (even, self::nearest(&offered, wanted))
        && even.is_as_near(nearest, wanted, EVEN_WITHIN)
        && offered.iter().all(|other| other.uneven() > even.uneven())
    {
        offered.push(even);
    }
    offered
}

/// Why no choice comes near.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    /// No more than so much can be woven, and the choices have it.
    Reach(Mm),
    /// The frame has notches for no more than so many ends, and the choices have them.
    Notches(u32),
}

/// What of the frame keeps choices from being as large as is wanted.
#[must_use]
pub fn limits(choices: &[Choice], wanted: Wanted) -> Vec<Limit> {
    if choices.is_empty() || choices.iter().any(|choice| choice.comes_near(wanted)) {
        return Vec::new();
    }
    let smaller = |off: Option<Mm>, wanted: Option<Mm>| {
        off.zip(wanted).is_some_and(|(off, wanted)| off < wanted * -ABOUT)
    };
    let piece = &choices[0].study.piece;
    let most = piece.loom.most_ends();
    let narrow = choices.iter().all(|choice| smaller(choice.wider, wanted.width));
    let wide = choices.iter().any(|choice| choice.study.piece.end_count() == most);
    let short = choices.iter().all(|choice| smaller(choice.longer, wanted.length));
    let long = |choice: &Choice| {
        choice.study.size.on_loom.length.likely >= choice.study.piece.reach() * (1.0 - 2.0 * ABOUT)
    };
    let notches = (narrow && wide).then_some(Limit::Notches(most));
    let reach = (short && choices.iter().any(long)).then_some(Limit::Reach(piece.reach()));
    notches.into_iter().chain(reach).collect()
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
