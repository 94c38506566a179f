//! Crossings touched by hand. What a touch changes is measured against what the weave says: a touch that says no
//! more than that goes, neighbours become one line, and a row that is written out is changed itself.

use super::EditError;
use crate::habits::Habits;
use crate::piece::{self, Untouched};
use crate::plan::{Band, BandId, Change, Edges, Plan, Reading, Source, Touch, WrittenRow};
use crate::side::{Pass, Span};
use crate::weave::{Run, Runs};

/// The changes that a touch comes to.
pub(super) fn changes(plan: &Plan, band: BandId, touch: Touch) -> Result<Vec<Change>, EditError> {
    let here = plan.bands.get(band.0).ok_or(EditError::NotThere)?;
    let piece = piece::make(plan, &Habits::of(plan))?;
    let woven = Untouched::new(plan, &piece, band);
    let (rows, ends) = woven.extent().ok_or_else(|| EditError::NotInPiece(here.name.clone()))?;
    let within = touch.ends.first() >= ends.first() && touch.ends.last() <= ends.last();
    if touch.at.first() >= rows || !within {
        return Err(EditError::OutsideBand { band: here.name.clone(), rows, ends });
    }
    if let Some(changes) = in_written_rows(plan, band, touch, rows, ends) {
        return Ok(changes);
    }
    let field = Field::new(&woven, touch, rows);
    let touched = field.after(&here.touched, touch);
    Ok(if touched == here.touched { Vec::new() } else { vec![Change::Touched(band, touched)] })
}

/// The rows and ends that a touch is about, with what the weave says there.
struct Field {
    rows: Vec<u32>,
    woven: Vec<Vec<Option<bool>>>,
}

impl Field {
    fn new(woven: &Untouched<'_>, touch: Touch, count: u32) -> Field {
        let rows: Vec<u32> = (0..count).filter(|&row| touch.at.contains(row)).collect();
        let woven = rows.iter().map(|&row| woven.row(row)).collect();
        Field { rows, woven }
    }

    /// What is seen at an end in each of the rows, with these touches.
    fn seen<'a>(&'a self, touched: &'a [Touch], end: u32) -> impl Iterator<Item = Option<bool>> + 'a {
        self.rows.iter().zip(&self.woven).map(move |(&row, woven)| {
            let last = touched.iter().rev().find(|t| t.ends.contains(end) && t.at.contains(row));
            last.map_or(woven.get(end as usize).copied().flatten(), |touch| Some(touch.pass.is_over()))
        })
    }

    /// Whether everything in a range is seen in the same way with one list of touches as with another.
    fn same(&self, one: &[Touch], other: &[Touch], ends: Span) -> bool {
        ends.ends().all(|end| self.seen(one, end).eq(self.seen(other, end)))
    }

    /// The list of touches after one more.
    fn after(&self, old: &[Touch], touch: Touch) -> Vec<Touch> {
        let mut wanted = old.to_vec();
        wanted.push(touch);
        let cut: Vec<Touch> = old
            .iter()
            .flat_map(|&t| if t.at == touch.at { without(t, touch.ends) } else { vec![t] })
            .collect();
        // What the touch must still say once the others in the same rows no longer speak of its ends.
        let needed: Vec<u32> = touch
            .ends
            .ends()
            .filter(|&end| self.seen(&cut, end).any(|over| over != Some(touch.pass.is_over())))
            .collect();
        let rest = needed.first().zip(needed.last()).and_then(|(&first, &last)| Span::new(first, last));
        let mut all = cut;
        // A line that the cut has touched keeps only what it changes.
        let mut at = 0;
        while let Some(&here) = all.get(at) {
            if here.at != touch.at || old.contains(&here) {
                at += 1;
                continue;
            }
            let without_it: Vec<Touch> =
                all.iter().enumerate().filter(|(k, _)| *k != at).map(|(_, t)| *t).collect();
            let changed: Vec<u32> = here
                .ends
                .ends()
                .filter(|&end| !self.seen(&all, end).eq(self.seen(&without_it, end)))
                .collect();
            match changed.first().zip(changed.last()).and_then(|(&first, &last)| Span::new(first, last)) {
                Some(ends) => {
                    all[at].ends = ends;
                    at += 1;
                }
                None => all = without_it,
            }
        }
        if let Some(ends) = rest {
            all = self.joined(all, Touch { ends, ..touch });
        }
        all
    }

    /// The list with one more at its end, joined with its neighbours where that leaves everything as it is seen.
    fn joined(&self, mut all: Vec<Touch>, touch: Touch) -> Vec<Touch> {
        let beside = |t: &Touch| t.at == touch.at && t.joined_by(touch).is_some_and(|j| j.ends != touch.ends);
        let Some(at) = all.iter().rposition(beside) else {
            all.push(touch);
            return all;
        };
        let Some(joined) = all.get(at).and_then(|there| there.joined_by(touch)) else { return all };
        let mut plain = all.clone();
        plain.push(touch);
        let hull = joined.ends;
        let mut in_place = all.clone();
        in_place[at] = joined;
        if self.same(&in_place, &plain, hull) {
            // The other neighbour may touch it now as well.
            let next = in_place.iter().enumerate().position(|(k, t)| {
                k != at && t.at == joined.at && t.pass == joined.pass && t.joined_by(joined).is_some()
            });
            if let Some(next) = next {
                let mut both = in_place.clone();
                if let Some(wide) = in_place[next].joined_by(joined) {
                    both[at.min(next)] = wide;
                    both.remove(at.max(next));
                    if self.same(&both, &plain, wide.ends) {
                        return both;
                    }
                }
            }
            return in_place;
        }
        plain
    }
}

/// What is left of a touch outside a range of ends.
fn without(touch: Touch, ends: Span) -> Vec<Touch> {
    if touch.ends.common(ends).is_none() {
        return vec![touch];
    }
    let left = ends.first().checked_sub(1).and_then(|last| Span::new(touch.ends.first(), last));
    let right = Span::new(ends.last() + 1, touch.ends.last());
    [left, right].into_iter().flatten().map(|ends| Touch { ends, ..touch }).collect()
}

/// The changes of written rows, where the touch can be written into them: its rows stand in the band's own list,
/// nothing else changes those ends afterwards, and no row that is not touched is woven from the same element.
fn in_written_rows(plan: &Plan, band: BandId, touch: Touch, rows: u32, ends: Span) -> Option<Vec<Change>> {
    let here = &plan.bands[band.0];
    let Source::Written(written) = &here.source else { return None };
    let plain = here.read == Reading::FromTheLeft
        && plan.edges_of(band).unwrap_or(plan.edges) == Edges::Crossed
        && here.touched.iter().all(|t| t.ends.common(touch.ends).is_none());
    if !plain {
        return None;
    }
    let skip = here.start.map_or(0, |start| start.get() - 1);
    let element = |row: u32| (u64::from(row) + u64::from(skip)) as usize % written.len();
    let touched: Vec<usize> = (0..rows).filter(|&row| touch.at.contains(row)).map(element).collect();
    if (0..rows).any(|row| !touch.at.contains(row) && touched.contains(&element(row))) {
        return None;
    }
    let mut elements = touched;
    elements.sort_unstable();
    elements.dedup();
    let mut changes = Vec::new();
    for at in elements {
        let runs = touched_row(here, &written[at], touch, ends)?;
        if runs != written[at].runs {
            changes.push(Change::WrittenRow(band, at, runs));
        }
    }
    Some(changes)
}

/// A written row with a touch in it; `None` if the touch goes beyond it.
fn touched_row(band: &Band, row: &WrittenRow, touch: Touch, within: Span) -> Option<Runs> {
    let mirrored = |span: Span| {
        let (first, last) = (within.first(), within.last());
        Span::new(first + (last - span.last()), first + (last - span.first()))
    };
    let asked = if band.mirrored { mirrored(touch.ends)? } else { touch.ends };
    let span = match row.ends {
        Some(ends) => ends.common(within)?,
        None => within,
    };
    if asked.first() < span.first() || asked.last() > span.last() {
        return None;
    }
    let pass = if band.over_for_under { touch.pass.opposite() } else { touch.pass };
    let over = |end: u32| {
        if asked.contains(end) {
            pass.is_over()
        } else {
            row.runs.over((end - span.first()) % row.runs.period())
        }
    };
    let unchanged =
        asked.ends().all(|end| row.runs.over((end - span.first()) % row.runs.period()) == pass.is_over());
    if unchanged { Some(row.runs.clone()) } else { shortest(span.ends().map(over)) }
}

/// A row's runs, no further than until they begin again.
pub(super) fn shortest(row: impl Iterator<Item = bool>) -> Option<Runs> {
    let row: Vec<bool> = row.collect();
    let period = super::write_out::period(&row);
    Runs::new(row.get(..period)?.iter().map(|&over| Run { pass: Pass::from_bit(over), ends: 1 })).ok()
}
