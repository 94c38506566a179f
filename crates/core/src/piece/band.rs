//! A band's rows, from its weave, its own changes and its start; never from its neighbours.

use crate::plan::{Band, BandId, Edges, Extent, Part, Plan, Reading, Source};
use crate::side::{Side, Span};
use crate::weave::{Weave, lcm};

/// What a band's rows depend on besides the plan.
#[derive(Debug, Clone, Copy)]
pub(super) struct Setting {
    /// The ends it lies within.
    pub span: Span,
    /// Rows of its weave that are left out at its bottom.
    pub skip: u32,
    /// The side from which the row's needle starts.
    pub from: Side,
    /// What happens at the edge ends.
    pub edges: Edges,
}

/// A finished row of a band: its span, and over or under for each end of that span.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Opening {
    pub span: Span,
    pub over: Vec<bool>,
}

impl Opening {
    pub(super) fn passes_over(&self, end: u32) -> bool {
        self.over[(end - self.span.first()) as usize]
    }
}

/// Row `row` (from 0) of a band.
pub(super) fn row(plan: &Plan, band: BandId, row: u32, setting: Setting) -> Opening {
    let here = &plan.bands[band.0];
    let own_skip = here.start.map_or(0, |start| start.get() - 1);
    let woven = row.saturating_add(setting.skip).saturating_add(own_skip);
    let mut opening = match &here.source {
        Source::Weave(weave) => {
            Opening { span: setting.span, over: pattern(weave, woven, setting.span.len()) }
        }
        Source::Written(rows) => {
            let written = &rows[woven as usize % rows.len()];
            let span = written.ends.and_then(|s| s.common(setting.span)).unwrap_or(setting.span);
            let period = written.runs.period();
            Opening { span, over: (0..span.len()).map(|j| written.runs.over(j % period)).collect() }
        }
        Source::Parts(parts) => Opening { span: setting.span, over: of_parts(parts, woven, setting.span) },
        // Its edge ends are taken there, beneath what was touched; again here only where this band asks for it
        // itself or moves them. Rows that are left out are left out of its weave, so that what was touched there
        // stays in its row.
        Source::Like(other) => self::row(plan, *other, row.saturating_add(own_skip), setting),
    };
    let backwards = here.read == Reading::AsWoven && setting.from == Side::Right;
    if backwards {
        opening.over.reverse();
    }
    if here.mirrored {
        mirror(&mut opening, setting.span);
    }
    if here.over_for_under {
        opening.over.iter_mut().for_each(|over| *over = !*over);
    }
    let taken_below = matches!(here.source, Source::Like(_)) && here.edges.is_none();
    let moved = backwards || here.mirrored || here.over_for_under;
    if setting.edges == Edges::Taken && (!taken_below || moved) && opening.over.len() > 1 {
        let last = opening.over.len() - 1;
        let (first_met, last_met) = if setting.from == Side::Left { (0, last) } else { (last, 0) };
        opening.over[first_met] = true;
        opening.over[last_met] = false;
    }
    for touch in here.touched.iter().filter(|touch| touch.at.contains(row)) {
        if let Some(touched) = touch.ends.common(opening.span) {
            for end in touched.ends() {
                opening.over[(end - opening.span.first()) as usize] = touch.pass.is_over();
            }
        }
    }
    opening
}

fn pattern(weave: &Weave, row: u32, ends: u32) -> Vec<bool> {
    let repeat = weave.repeat_ends();
    let mut over: Vec<bool> = (0..ends.min(repeat)).map(|end| weave.over(row, end)).collect();
    for end in repeat..ends {
        over.push(over[(end - repeat) as usize]);
    }
    over
}

fn of_parts(parts: &[Part], row: u32, span: Span) -> Vec<bool> {
    let mut over = vec![false; span.len() as usize];
    // The part without a range goes first, so that the others lie on it.
    let ordered = parts.iter().filter(|p| p.ends.is_none()).chain(parts.iter().filter(|p| p.ends.is_some()));
    for part in ordered {
        let range = part.ends.unwrap_or(span);
        let pattern = pattern(&part.weave, row, range.len());
        for end in range.common(span).into_iter().flat_map(Span::ends) {
            over[(end - span.first()) as usize] = pattern[(end - range.first()) as usize];
        }
    }
    over
}

fn mirror(opening: &mut Opening, within: Span) {
    opening.over.reverse();
    let first = within.first() + (within.last() - opening.span.last());
    let last = within.first() + (within.last() - opening.span.first());
    opening.span = Span::new(first, last).unwrap_or(opening.span);
}

/// Whether every written row of a band, or of the band it is like, has ends within the span.
pub(super) fn rows_meet(plan: &Plan, band: BandId, span: Span) -> bool {
    match &plan.bands[band.0].source {
        Source::Written(rows) => {
            rows.iter().all(|row| row.ends.is_none_or(|ends| ends.common(span).is_some()))
        }
        Source::Like(other) => rows_meet(plan, *other, span),
        Source::Weave(_) | Source::Parts(_) => true,
    }
}

/// The ends a band lies within.
pub(super) fn span(plan: &Plan, band: BandId, all: Span) -> Span {
    plan.ends_of(band).unwrap_or(all)
}

/// Ends and rows of one repeat of the band's weave, where there is one weave.
pub(super) fn repeat(plan: &Plan, band: BandId, ends: u32) -> Option<(u32, u32)> {
    match &plan.bands[band.0].source {
        Source::Weave(weave) => Some((weave.repeat_ends(), weave.repeat_rows())),
        Source::Written(rows) => {
            let longest = rows.iter().map(|row| row.runs.period()).fold(1, lcm);
            Some((longest.min(ends), rows.len() as u32))
        }
        Source::Parts(_) => None,
        Source::Like(other) => repeat(plan, *other, ends),
    }
}

/// After how many rows the band's openings come round again; `None` where a touch, the needle's side or
/// anything else but the row's number has a say.
pub(super) fn row_period(plan: &Plan, band: BandId, edges: Edges) -> Option<u32> {
    let here = &plan.bands[band.0];
    if !here.touched.is_empty() || here.read == Reading::AsWoven || edges == Edges::Taken {
        return None;
    }
    match &here.source {
        Source::Weave(weave) => Some(weave.repeat_rows()),
        Source::Written(rows) => Some(rows.len() as u32),
        Source::Parts(parts) => Some(parts.iter().map(|part| part.weave.repeat_rows()).fold(1, lcm)),
        Source::Like(other) => row_period(plan, *other, edges),
    }
}

/// Whether a band may begin on its next row by itself: its weave is plain, or an opening with its opposite,
/// and nobody has said on which row it starts.
pub(super) fn starts_freely(plan: &Plan, band: BandId) -> bool {
    let here = &plan.bands[band.0];
    here.start.is_none()
        && match &here.source {
            Source::Weave(weave) => weave.is_opening_and_opposite(),
            Source::Written(_) | Source::Parts(_) => false,
            Source::Like(other) => starts_freely(plan, *other),
        }
}

/// How many rows an extent comes to, where it doesn't depend on lengths.
pub(super) fn counted(plan: &Plan, band: BandId) -> Option<u32> {
    match plan.extent_of(band) {
        Some(Extent::Rows(rows)) => Some(*rows),
        Some(Extent::Length(_) | Extent::Fill) => None,
        None => written(plan, &plan.bands[band.0]),
    }
}

fn written(plan: &Plan, band: &Band) -> Option<u32> {
    match &band.source {
        Source::Written(rows) => Some(rows.len() as u32),
        Source::Like(other) => written(plan, &plan.bands[other.0]),
        Source::Weave(_) | Source::Parts(_) => None,
    }
}
