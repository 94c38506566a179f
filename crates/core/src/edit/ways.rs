//! Where a line of the stack may go, one step at a time: up and down past its neighbours, into repeats and out of
//! them, so that every place can be reached.

use crate::plan::{Extent, Plan, StackEntry, StackList, StackPath};

/// The place that an entry goes to stand before when it is moved up by one step; `None`: there is none.
#[must_use]
pub fn raised(plan: &Plan, list: StackList, path: &[usize]) -> Option<StackPath> {
    let (entries, at) = held(plan, list, path)?;
    let entry = entries.get(at)?;
    match entries.get(at + 1) {
        Some(StackEntry::Group { .. }) if may_repeat(plan, entry) => Some(within(path, at + 1, Some(0))),
        Some(_) => Some(within(path, at + 2, None)),
        None => out(path, entries).map(|mut to| {
            if let Some(last) = to.last_mut() {
                *last += 1;
            }
            to
        }),
    }
}

/// The place that an entry goes to stand before when it is moved down by one step; `None`: there is none.
#[must_use]
pub fn lowered(plan: &Plan, list: StackList, path: &[usize]) -> Option<StackPath> {
    let (entries, at) = held(plan, list, path)?;
    let entry = entries.get(at)?;
    let Some(below) = at.checked_sub(1) else { return out(path, entries) };
    match &entries[below] {
        StackEntry::Group { entries, .. } if may_repeat(plan, entry) => {
            Some(within(path, below, Some(entries.len())))
        }
        _ => Some(within(path, below, None)),
    }
}

/// A path in the same list, or into a group of it.
fn within(path: &[usize], at: usize, into: Option<usize>) -> StackPath {
    let above = path.split_last().map_or(&[][..], |(_, above)| above);
    above.iter().copied().chain([at]).chain(into).collect()
}

/// The group that an entry may leave: one that would not be empty without it.
fn out(path: &[usize], entries: &[StackEntry]) -> Option<StackPath> {
    let (_, above) = path.split_last()?;
    (!above.is_empty() && entries.len() > 1).then(|| above.to_vec())
}

/// What fills the rest is woven once only.
pub(super) fn may_repeat(plan: &Plan, entry: &StackEntry) -> bool {
    match entry {
        StackEntry::Band(band) => {
            plan.bands.get(band.0).is_some() && plan.extent_of(*band) != Some(&Extent::Fill)
        }
        StackEntry::Sequence(id) => {
            plan.sequences.get(id.0).is_some_and(|held| held.entries.iter().all(|e| may_repeat(plan, e)))
        }
        StackEntry::Group { entries, .. } => entries.iter().all(|entry| may_repeat(plan, entry)),
    }
}

/// The list that a path leads into, and the place in it.
fn held<'a>(plan: &'a Plan, list: StackList, path: &[usize]) -> Option<(&'a [StackEntry], usize)> {
    let mut entries = match list {
        StackList::Piece => plan.stack.as_slice(),
        StackList::Sequence(id) => plan.sequences.get(id.0)?.entries.as_slice(),
    };
    let (at, above) = path.split_last()?;
    for step in above {
        let StackEntry::Group { entries: inner, .. } = entries.get(*step)? else { return None };
        entries = inner;
    }
    Some((entries, *at))
}
