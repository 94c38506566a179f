//! What is done to the lines of the stack: where one goes, and how often it is woven there.

use super::edit::{Clause, PUT, TAKE, WEAVE, band, clause, rows};
use super::list;
use crate::edit::stays;
use crate::plan::{Inserted, Plan, StackEdit, StackEntry, StackList};

/// The list that an edit is about.
struct Lines<'a> {
    plan: &'a Plan,
    /// The name of the sequence, if it is none of the piece's own.
    sequence: Option<&'a str>,
    entries: &'a [StackEntry],
}

pub(super) fn of_stack(at_list: StackList, edit: &StackEdit, plan: &Plan) -> Clause {
    let lines = match at_list {
        StackList::Piece => Lines { plan, sequence: None, entries: &plan.stack },
        StackList::Sequence(id) => match plan.sequences.get(id.0) {
            Some(held) => Lines { plan, sequence: Some(&held.name), entries: &held.entries },
            None => Lines { plan, sequence: None, entries: &[] },
        },
    };
    let at = |path: &[usize]| {
        entry(lines.entries, path).map_or_else(|| "the end".to_owned(), |entry| called(entry, plan))
    };
    match edit {
        StackEdit::Move { from, to } if stays(from, to) => {
            clause(("leave", "left"), format!("{} where it is", at(from)))
        }
        StackEdit::Move { from, to } => {
            clause(("move", "moved"), format!("{} {}", at(from), lines.place(Some(from), to)))
        }
        StackEdit::Insert { at: path, what } => {
            let what = match what {
                Inserted::Band(id) => band(plan, *id).to_owned(),
                Inserted::Sequence(id) => {
                    plan.sequences.get(id.0).map_or_else(String::new, |s| s.name.clone())
                }
                Inserted::Copy(from) => match entry(lines.entries, from) {
                    Some(group @ StackEntry::Group { .. }) => format!("{} once more", called(group, plan)),
                    _ => format!("another {}", at(from)),
                },
                Inserted::New(new) => match &new.name {
                    Some(name) => format!("a new band {name} of {}", rows(new.rows)),
                    None => format!("a new band of {}", rows(new.rows)),
                },
            };
            clause(PUT, format!("{what} {}", lines.place(None, path)))
        }
        StackEdit::Group { first, count, times } => {
            let (start, held) = lines.held(first);
            let end = start.saturating_add(*count).min(held.len());
            repeated(held.get(start..end).unwrap_or_default(), plan, *times)
        }
        StackEdit::Times { at, times } => match entry(lines.entries, at) {
            Some(StackEntry::Group { entries, .. }) => repeated(entries, plan, *times),
            _ => repeated(&[], plan, *times),
        },
        StackEdit::Ungroup { at } => match entry(lines.entries, at) {
            Some(StackEntry::Group { entries, .. }) => clause(WEAVE, format!("{} once", held(entries, plan))),
            _ => clause(WEAVE, "once"),
        },
        StackEdit::Remove { at: path } => clause(TAKE, format!("{} out of the stack", at(path))),
    }
}

/// A repeat of repeats is woven so often: what is repeated in it is not what this is about.
fn repeated(entries: &[StackEntry], plan: &Plan, times: u32) -> Clause {
    let nested = entries.iter().any(|entry| matches!(entry, StackEntry::Group { .. }));
    if !nested {
        return clause(("repeat", "repeated"), format!("{} {}", held(entries, plan), often(times)));
    }
    let names: Vec<String> = entries.iter().map(|entry| called(entry, plan)).collect();
    clause(WEAVE, format!("{}, all of it {}", names.join(" with "), often(times)))
}

impl<'a> Lines<'a> {
    /// The list that a path leads into, and the place in it.
    fn held(&self, path: &[usize]) -> (usize, &'a [StackEntry]) {
        let start = path.last().copied().unwrap_or(0);
        let held = match path.split_last() {
            Some((_, [])) | None => self.entries,
            Some((_, above)) => match entry(self.entries, above) {
                Some(StackEntry::Group { entries, .. }) => entries.as_slice(),
                _ => &[],
            },
        };
        (start, held)
    }

    /// How often a list within groups is woven, each time that the whole is.
    fn times(&self, above: &[usize]) -> u64 {
        (1..=above.len())
            .filter_map(|depth| match entry(self.entries, &above[..depth]) {
                Some(StackEntry::Group { times, .. }) => Some(u64::from(*times)),
                _ => None,
            })
            .fold(1, u64::saturating_mul)
    }

    /// Where a line goes: beside which others, into which repeat or out of which, and how often it is woven there. `from`
    /// where it stands now, if it does.
    fn place(&self, from: Option<&[usize]>, to: &[usize]) -> String {
        let (at, held) = self.held(to);
        let above = to.split_last().map_or(&[][..], |(_, above)| above);
        let beside = if above.is_empty() && (at == 0 || at >= held.len()) {
            self.end(at == 0 && !held.is_empty(), from.is_some())
        } else {
            self.beside(at, held)
        };
        let came = from.map(|from| from.split_last().map_or(&[][..], |(_, above)| above));
        let woven = || format!("it is woven {}", often_at_all(self.times(above)));
        let group = |path: &[usize]| {
            entry(self.entries, path).map_or_else(String::new, |entry| called(entry, self.plan))
        };
        match came {
            Some(came) if came == above => match above {
                [] => beside,
                _ => format!(
                    "{beside} in {}, which is woven {}",
                    group(above),
                    often_at_all(self.times(above))
                ),
            },
            Some(came) if came.starts_with(above) => {
                let left = &came[..=above.len()];
                let beside = match left.last() {
                    Some(&group) if group + 1 == at => "above it".to_owned(),
                    Some(&group) if group == at => "below it".to_owned(),
                    _ => beside,
                };
                format!("out of {}, {beside}: {}", group(left), woven())
            }
            _ if above.is_empty() => beside,
            Some(_) => format!("into {}, {beside}: {}", group(above), woven()),
            None => {
                format!("{beside} in {}, which is woven {}", group(above), often_at_all(self.times(above)))
            }
        }
    }

    /// The top or the bottom of the piece, or of a sequence of it.
    fn end(&self, bottom: bool, moved: bool) -> String {
        let whole = self.sequence.map_or_else(String::new, |name| format!(" of {name}"));
        let way = if moved { "to" } else { "at" };
        format!("{way} the {}{whole}", if bottom { "bottom" } else { "top" })
    }

    /// Between which lines a place lies. A repeat is named wherever it is one of them: within it would be another place.
    fn beside(&self, at: usize, held: &[StackEntry]) -> String {
        let called = |entry: &StackEntry| called(entry, self.plan);
        let group = |entry: &StackEntry| matches!(entry, StackEntry::Group { .. });
        let (under, over) = (at.checked_sub(1).and_then(|below| held.get(below)), held.get(at));
        match (under, over) {
            (Some(under), Some(over)) if group(under) && group(over) => {
                format!("between {} and {}", called(under), called(over))
            }
            (Some(under), Some(_)) if group(under) => format!("above {}", called(under)),
            (Some(under), None) => format!("above {}", called(under)),
            (_, Some(over)) => format!("below {}", called(over)),
            (None, None) => self.end(false, true),
        }
    }
}

pub(super) fn often(times: u32) -> String {
    often_at_all(u64::from(times))
}

fn often_at_all(times: u64) -> String {
    match times {
        1 => "once".into(),
        2 => "twice".into(),
        times => format!("{times} times"),
    }
}

fn entry<'a>(entries: &'a [StackEntry], path: &[usize]) -> Option<&'a StackEntry> {
    let (at, rest) = path.split_first()?;
    match (entries.get(*at)?, rest) {
        (entry, []) => Some(entry),
        (StackEntry::Group { entries, .. }, rest) => self::entry(entries, rest),
        _ => None,
    }
}

/// What a line of the stack is called: a band's name, or "the repeat of pools and shoals".
#[must_use]
pub fn called(entry: &StackEntry, plan: &Plan) -> String {
    match entry {
        StackEntry::Band(id) => band(plan, *id).to_owned(),
        StackEntry::Sequence(id) => plan.sequences.get(id.0).map_or_else(String::new, |s| s.name.clone()),
        StackEntry::Group { entries, .. } => format!("the repeat of {}", held(entries, plan)),
    }
}

fn held(entries: &[StackEntry], plan: &Plan) -> String {
    let names: Vec<String> = entries.iter().take(4).map(|entry| called(entry, plan)).collect();
    let mut names: Vec<&str> = names.iter().map(String::as_str).collect();
    if entries.len() > names.len() {
        names.push("more");
    }
    list(&names)
}
