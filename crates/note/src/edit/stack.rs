//! Lines of the stack: whole lines move, with the notes that stand by them.

use super::Steps;
use crate::list::List;
use crate::near::toml_text;
use crate::sheet::Sheet;
use fellmark_core::plan::{Plan, StackChange, StackEntry, StackList};

pub(super) fn change(
    sheet: &Sheet<'_>,
    plan: &Plan,
    list: StackList,
    change: &StackChange,
) -> Option<String> {
    let path = match list {
        StackList::Piece => vec!["piece", "bands"],
        StackList::Sequence(id) => vec!["sequence", plan.sequences.get(id.0)?.name.as_str(), "bands"],
    };
    let on =
        |at: &[usize], work: &mut dyn FnMut(&mut List, usize) -> Option<()>| on_list(sheet, &path, at, work);
    match change {
        StackChange::Put(at, entries) => on(at, &mut |list, place| put(list, place, entries, plan)),
        StackChange::Swap(at, entries) => on(at, &mut |list, place| {
            let (first, rest) = entries.split_first()?;
            list.replace(place, written(first, plan)?)?;
            put(list, place + 1, rest, plan)
        }),
        StackChange::Take(at) => on(at, &mut List::remove),
        StackChange::Move(from, to)
            if from.len() == to.len() && from.split_last()?.1 == to.split_last()?.1 =>
        {
            on(from, &mut |list, place| list.shift(place, *to.last()?))
        }
        StackChange::Move(from, to) => {
            let mut taken = None;
            let text = on(from, &mut |list, place| {
                taken = list.take(place);
                taken.as_ref().map(|_| ())
            })?;
            Steps(text)
                .then(|sheet| on_list(sheet, &path, to, &mut |list, place| list.put(place, taken.take()?)))
                .map(|steps| steps.0)
        }
        StackChange::Wrap(at, count, times) => on(at, &mut |list, place| list.wrap(place, *count, *times)),
        StackChange::Unwrap(at) => {
            let (_, inner) = sheet.list(&path, at)?;
            on(at, &mut |list, place| list.unwrap(place, inner.clone()))
        }
        StackChange::Times(at, times) => {
            let place = sheet.place_in_element(&path, at, "times")?;
            sheet.put(place, &times.to_string())
        }
    }
}

/// Works on the list that a path leads into.
fn on_list(
    sheet: &Sheet<'_>,
    path: &[&str],
    at: &[usize],
    work: &mut dyn FnMut(&mut List, usize) -> Option<()>,
) -> Option<String> {
    let (last, groups) = at.split_last()?;
    let (place, mut list) = sheet.list(path, groups)?;
    work(&mut list, *last)?;
    sheet.put(place, &list.text())
}

fn put(list: &mut List, at: usize, entries: &[StackEntry], plan: &Plan) -> Option<()> {
    for (k, entry) in entries.iter().enumerate() {
        list.insert(at + k, written(entry, plan)?)?;
    }
    Some(())
}

/// An entry as it is written.
fn written(entry: &StackEntry, plan: &Plan) -> Option<String> {
    Some(match entry {
        StackEntry::Band(id) => toml_text(&plan.bands.get(id.0)?.name),
        StackEntry::Sequence(id) => toml_text(&plan.sequences.get(id.0)?.name),
        StackEntry::Group { times, entries } => {
            let inner: Option<Vec<String>> = entries.iter().map(|entry| written(entry, plan)).collect();
            format!("{{ times = {times}, bands = [{}] }}", inner?.join(", "))
        }
    })
}
