//! Lines of the stack, and the one place of a band that goes its own way.

use super::{EditError, free_name, is_free, new_band};
use crate::plan::{
    BandId, Change, Inserted, NewTable, Plan, StackChange, StackEdit, StackEntry, StackList, bounds,
};
use std::num::NonZeroU32;

/// The changes that an edit of a list comes to.
pub(super) fn changes(plan: &Plan, list: StackList, edit: &StackEdit) -> Result<Vec<Change>, EditError> {
    let entries = match list {
        StackList::Piece => &plan.stack,
        StackList::Sequence(id) => &plan.sequences.get(id.0).ok_or(EditError::NotThere)?.entries,
    };
    let change = |change| Change::Stack(list, change);
    Ok(match edit {
        StackEdit::Move { from, to } => {
            let (held, _) = entry(entries, from)?;
            gap(entries, to)?;
            let Some(to) = place_after_taking(from, to)? else { return Ok(Vec::new()) };
            let same_list = to.len() == from.len() && to[..to.len() - 1] == from[..from.len() - 1];
            if held.len() == 1 && !same_list {
                return Err(EditError::WouldBeEmpty);
            }
            vec![change(StackChange::Move(from.clone(), to))]
        }
        StackEdit::Insert { at, what } => {
            gap(entries, at)?;
            let put = |entry| change(StackChange::Put(at.clone(), vec![entry]));
            match what {
                Inserted::Band(band) if band.0 < plan.bands.len() => vec![put(StackEntry::Band(*band))],
                Inserted::Sequence(id) if id.0 < plan.sequences.len() => {
                    vec![put(StackEntry::Sequence(*id))]
                }
                Inserted::Band(_) | Inserted::Sequence(_) => return Err(EditError::NotThere),
                Inserted::Copy(from) => {
                    let (held, at) = entry(entries, from)?;
                    vec![put(held[at].clone())]
                }
                Inserted::New(new) => {
                    vec![new_band(plan, new)?, put(StackEntry::Band(BandId(plan.bands.len())))]
                }
            }
        }
        StackEdit::Group { first, count, times } => {
            let (held, at) = entry(entries, first)?;
            times_fit(*times)?;
            if *count == 0 {
                return Err(EditError::WouldBeEmpty);
            }
            if *count > held.len() - at {
                let mut beyond = first.clone();
                if let Some(last) = beyond.last_mut() {
                    *last = held.len();
                }
                return Err(EditError::NoEntry(beyond));
            }
            vec![change(StackChange::Wrap(first.clone(), *count, *times))]
        }
        StackEdit::Times { at, times } => {
            times_fit(*times)?;
            group(entries, at)?;
            vec![change(StackChange::Times(at.clone(), *times))]
        }
        StackEdit::Ungroup { at } => {
            group(entries, at)?;
            vec![change(StackChange::Unwrap(at.clone()))]
        }
        StackEdit::Remove { at } => {
            if entry(entries, at)?.0.len() == 1 {
                return Err(EditError::WouldBeEmpty);
            }
            vec![change(StackChange::Take(at.clone()))]
        }
    })
}

fn times_fit(times: u32) -> Result<(), EditError> {
    if (1..=bounds::ROWS).contains(&times) { Ok(()) } else { Err(EditError::Times(times)) }
}

/// The list that a path leads into, and the place in it.
pub(super) fn list_at<'a>(entries: &'a [StackEntry], path: &[usize]) -> Option<(&'a [StackEntry], usize)> {
    match path {
        [] => None,
        [at] => Some((entries, *at)),
        [at, rest @ ..] => match entries.get(*at) {
            Some(StackEntry::Group { entries, .. }) => list_at(entries, rest),
            _ => None,
        },
    }
}

fn entry<'a>(entries: &'a [StackEntry], path: &[usize]) -> Result<(&'a [StackEntry], usize), EditError> {
    list_at(entries, path)
        .filter(|(list, at)| *at < list.len())
        .ok_or_else(|| EditError::NoEntry(path.to_vec()))
}

/// A place between entries.
fn gap(entries: &[StackEntry], path: &[usize]) -> Result<(), EditError> {
    list_at(entries, path)
        .filter(|(list, at)| *at <= list.len())
        .map(|_| ())
        .ok_or_else(|| EditError::NoEntry(path.to_vec()))
}

fn group(entries: &[StackEntry], path: &[usize]) -> Result<(), EditError> {
    let (list, at) = entry(entries, path)?;
    match list.get(at) {
        Some(StackEntry::Group { .. }) => Ok(()),
        _ => Err(EditError::NoGroup(path.to_vec())),
    }
}

/// Where a line stands once it has been moved.
#[must_use]
pub fn lands(from: &[usize], to: &[usize]) -> Vec<usize> {
    let there = if from.is_empty() { None } else { place_after_taking(from, to).ok().flatten() };
    there.unwrap_or_else(|| from.to_vec())
}

/// Whether a line that is moved so stays where it is.
pub(crate) fn stays(from: &[usize], to: &[usize]) -> bool {
    !from.is_empty() && place_after_taking(from, to) == Ok(None)
}

/// The place `to` as it counts once the entry at `from` is gone; `None` if the entry stays where it is.
fn place_after_taking(from: &[usize], to: &[usize]) -> Result<Option<Vec<usize>>, EditError> {
    let depth = from.len() - 1;
    let mut to = to.to_vec();
    if to.len() > depth && to[..depth] == from[..depth] {
        let (own, there) = (from[depth], to[depth]);
        let same_list = to.len() == from.len();
        if same_list && (there == own || there == own + 1) {
            return Ok(None);
        }
        if !same_list && there == own {
            return Err(EditError::IntoItself);
        }
        if there > own {
            to[depth] -= 1;
        }
    }
    Ok(Some(to))
}

/// One step down to a place: an entry's number in its list, and which turn if it is a group.
struct Step<'a> {
    at: usize,
    entry: &'a StackEntry,
    turn: u32,
}

/// The changes that give one place of a band a band of its own.
pub(super) fn part(plan: &Plan, band: BandId, nth: NonZeroU32) -> Result<Vec<Change>, EditError> {
    let name = &plan.bands.get(band.0).ok_or(EditError::NotThere)?.name;
    let places = places_of(plan, &plan.stack, band);
    if u64::from(nth.get()) > places {
        let places = u32::try_from(places).unwrap_or(u32::MAX);
        return Err(EditError::NoSuchPlace { band: name.clone(), nth: nth.get(), places });
    }
    if places == 1 {
        return Err(EditError::OnlyPlace(name.clone()));
    }
    let mut way = Vec::new();
    way_to(plan, &plan.stack, band, u64::from(nth.get() - 1), &mut way);
    let own = BandId(plan.bands.len());
    let mut changes = vec![Change::NewBand(NewTable::Like(own_name(plan, name), band))];
    changes.extend(unrolled(plan, &way, own).into_iter().map(|c| Change::Stack(StackList::Piece, c)));
    Ok(changes)
}

/// "pools-2"; beside "pools-2" it is "pools-3".
fn own_name(plan: &Plan, name: &str) -> String {
    let base = name.rsplit_once('-').filter(|(base, number)| {
        !number.is_empty() && number.chars().all(|c| c.is_ascii_digit()) && !is_free(plan, base)
    });
    free_name(plan, base.map_or(name, |(base, _)| base), 2)
}

pub(crate) fn places_of(plan: &Plan, entries: &[StackEntry], band: BandId) -> u64 {
    let of = |entry: &StackEntry| match entry {
        StackEntry::Band(here) => u64::from(*here == band),
        StackEntry::Sequence(id) => {
            plan.sequences.get(id.0).map_or(0, |sequence| places_of(plan, &sequence.entries, band))
        }
        StackEntry::Group { times, entries } => {
            places_of(plan, entries, band).saturating_mul(u64::from(*times))
        }
    };
    entries.iter().map(of).fold(0, u64::saturating_add)
}

/// The steps down to a band's place (from 0), through groups and sequences.
fn way_to<'a>(
    plan: &'a Plan,
    entries: &'a [StackEntry],
    band: BandId,
    mut nth: u64,
    way: &mut Vec<Step<'a>>,
) {
    for (at, entry) in entries.iter().enumerate() {
        let here = places_of(plan, std::slice::from_ref(entry), band);
        if nth >= here {
            nth -= here;
            continue;
        }
        match entry {
            StackEntry::Band(_) => way.push(Step { at, entry, turn: 0 }),
            StackEntry::Sequence(id) => {
                way.push(Step { at, entry, turn: 0 });
                if let Some(sequence) = plan.sequences.get(id.0) {
                    way_to(plan, &sequence.entries, band, nth, way);
                }
            }
            StackEntry::Group { entries, .. } => {
                let each = places_of(plan, entries, band).max(1);
                way.push(Step { at, entry, turn: u32::try_from(nth / each).unwrap_or(u32::MAX) });
                way_to(plan, entries, band, nth % each, way);
            }
        }
        return;
    }
}

/// The changes that unroll one turn of each group on the way, write out each sequence on it, and put a band in the
/// place at its end.
fn unrolled(plan: &Plan, way: &[Step<'_>], own: BandId) -> Vec<StackChange> {
    let mut changes = Vec::new();
    let mut above: Vec<usize> = Vec::new();
    // How far the list that a step counts in has been moved within the one it now stands in.
    let mut moved = 0;
    for step in way {
        let at = moved + step.at;
        let path = |at: usize| above.iter().copied().chain([at]).collect::<Vec<usize>>();
        match step.entry {
            StackEntry::Band(_) => changes.push(StackChange::Swap(path(at), vec![StackEntry::Band(own)])),
            StackEntry::Sequence(id) => {
                let entries = plan.sequences.get(id.0).map(|sequence| sequence.entries.clone());
                changes.push(StackChange::Swap(path(at), entries.unwrap_or_default()));
                moved = at;
            }
            StackEntry::Group { times: 1, .. } => {
                above.push(at);
                moved = 0;
            }
            StackEntry::Group { times, entries } => {
                let (before, after) = (step.turn, times - step.turn - 1);
                let several = |times: u32| match times {
                    1 => entries.clone(),
                    times => vec![StackEntry::Group { times, entries: entries.clone() }],
                };
                let fewer = |at: usize, times: u32| match times {
                    1 => StackChange::Unwrap(path(at)),
                    times => StackChange::Times(path(at), times),
                };
                // The group's own lines stay with the turns before, or else with those after.
                if before > 0 {
                    changes.push(fewer(at, before));
                    moved = at + if before == 1 { entries.len() } else { 1 };
                    let mut put = entries.clone();
                    if after > 0 {
                        put.extend(several(after));
                    }
                    changes.push(StackChange::Put(path(moved), put));
                } else {
                    changes.push(StackChange::Put(path(at), entries.clone()));
                    changes.push(fewer(at + entries.len(), after));
                    moved = at;
                }
            }
        }
    }
    changes
}
