//! Edits of a plan's text: the keys that an edit's changes name change, and nothing else does.

mod band;
mod keys;
mod names;
mod stack;

use crate::problem::Problem;
use crate::sheet::Sheet;
use crate::{read, syntax};
use fellmark_core::edit::EditError;
use fellmark_core::plan::{Change, Edit, Plan, Set};
use fellmark_core::say;

/// Why an edit can't be made on a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ApplyError {
    /// The text is no plan before the edit.
    Unread(Problem),
    /// The edit names a weft or a band that the plan doesn't have.
    NotThere,
    /// The edit does not fit the plan, or the plan would not hold after it. The problem has no place, since the
    /// text it is about was not kept.
    Unfit(Problem),
}

impl ApplyError {
    /// What is so, and what to do.
    #[must_use]
    pub fn words(&self) -> (String, String) {
        match self {
            ApplyError::Unread(problem) | ApplyError::Unfit(problem) => {
                (problem.message.clone(), problem.help.clone())
            }
            ApplyError::NotThere => say::edit_error(&EditError::NotThere),
        }
    }
}

impl From<EditError> for ApplyError {
    fn from(error: EditError) -> ApplyError {
        match error {
            EditError::NotThere => ApplyError::NotThere,
            error => {
                let (message, help) = say::edit_error(&error);
                ApplyError::Unfit(Problem { message, help, at: None })
            }
        }
    }
}

/// The text as it becomes. Every note stands where it stood, lines that don't hold the edited keys keep their
/// bytes, and so does the way lines end.
///
/// # Errors
/// If the text is no plan, or would be none after the edit, or if the edit does not fit the plan.
pub fn apply(text: &str, edit: &Edit) -> Result<String, ApplyError> {
    match edit {
        Edit::Together(edits) => edits.iter().try_fold(text.to_owned(), |text, edit| apply(&text, edit)),
        edit => applied(text, edit).map_err(|error| match error {
            ApplyError::Unfit(problem) => ApplyError::Unfit(problem.for_writer_of(text)),
            other => other,
        }),
    }
}

fn applied(text: &str, edit: &Edit) -> Result<String, ApplyError> {
    let mut plan = read(text).map_err(ApplyError::Unread)?.plan;
    let mut edited = text.to_owned();
    for change in edit.changes(&plan)? {
        // Between the changes of one edit the text may be no plan; the plan itself goes along with it.
        let tree = syntax::tree(&edited).map_err(|problem| ApplyError::Unfit(unplaced(problem)))?;
        let next = change_sheet(&Sheet::new(&edited, &tree), &plan, &change).ok_or(ApplyError::NotThere)?;
        change.apply(&mut plan).map_err(|_| ApplyError::NotThere)?;
        edited = next;
    }
    match read(&edited) {
        Ok(_) => Ok(edited),
        Err(problem) => Err(ApplyError::Unfit(unplaced(problem))),
    }
}

fn unplaced(problem: Problem) -> Problem {
    Problem { at: None, ..problem }
}

/// The text after one change; `plan` is what stands in it before.
fn change_sheet(sheet: &Sheet<'_>, plan: &Plan, change: &Change) -> Option<String> {
    match change {
        Change::Set(Set::BandWefts(..) | Set::BandWeave(..) | Set::BandFlag(..))
        | Change::BandEdges(..)
        | Change::BandBeat(..)
        | Change::BandStart(..)
        | Change::BandStep(..)
        | Change::BandExtent(..)
        | Change::BandEnds(..)
        | Change::Touched(..)
        | Change::WrittenRow(..)
        | Change::WrittenOut(..)
        | Change::NewBand(_) => band::change(sheet, plan, change),
        Change::YarnName(yarn, name) => names::rename_yarn(sheet, plan, *yarn, name),
        Change::BandName(band, name) => names::rename_band(sheet, plan, *band, name),
        Change::Stack(list, change) => stack::change(sheet, plan, *list, change),
        Change::Set(_)
        | Change::WarpEnds(_)
        | Change::WeftFrom(..)
        | Change::WeftDoubled(..)
        | Change::PieceEdges(_)
        | Change::NewYarn(_)
        | Change::NewWeft(..)
        | Change::RemoveYarn(_)
        | Change::RemoveWeft(_) => keys::change(sheet, plan, change),
    }
}

/// Changes applied to one text one after the other, each on the tree of the last.
struct Steps(String);

impl Steps {
    fn then(self, step: impl FnOnce(&Sheet<'_>) -> Option<String>) -> Option<Steps> {
        let tree = syntax::tree(&self.0).ok()?;
        step(&Sheet::new(&self.0, &tree)).map(Steps)
    }
}

/// The elements of a list that is there become others: those that are alike keep all that stands about them.
fn set_list<T: PartialEq>(
    sheet: &Sheet<'_>,
    path: &[&str],
    old: &[T],
    new: &[T],
    write: impl Fn(&T) -> String,
) -> Option<String> {
    let (place, mut list) = sheet.list(path, &[])?;
    if list.len() != old.len() {
        return None;
    }
    let mut at = 0;
    for (old_run, new_run, alike) in aligned(old, new) {
        let (old_run, new_run) = (old.get(old_run)?, new.get(new_run)?);
        for (k, item) in new_run.iter().enumerate() {
            if k < old_run.len() {
                list.replace(at, write(item))?;
            } else {
                list.insert(at, write(item))?;
            }
            at += 1;
        }
        for _ in new_run.len()..old_run.len() {
            list.remove(at)?;
        }
        at += alike;
    }
    sheet.put(place, &list.text())
}

/// Stretches that differ between two lists, each followed by so many elements that are alike.
fn aligned<T: PartialEq>(
    old: &[T],
    new: &[T],
) -> Vec<(std::ops::Range<usize>, std::ops::Range<usize>, usize)> {
    let start = old.iter().zip(new).take_while(|(a, b)| a == b).count();
    let rest = old.len().min(new.len()) - start;
    let end = old.iter().rev().zip(new.iter().rev()).take(rest).take_while(|(a, b)| a == b).count();
    let (a, b) = (start..old.len() - end, start..new.len() - end);
    let mut runs = vec![(0..0, 0..0, start)];
    let (wide, tall) = (a.len(), b.len());
    if wide * tall > 250_000 {
        runs.push((a, b, end));
        return runs;
    }
    // The longest common subsequence, from the end, so that it can be read from the start.
    let mut common = vec![vec![0_usize; tall + 1]; wide + 1];
    for i in (0..wide).rev() {
        for j in (0..tall).rev() {
            common[i][j] = if old[a.start + i] == new[b.start + j] {
                common[i + 1][j + 1] + 1
            } else {
                common[i + 1][j].max(common[i][j + 1])
            };
        }
    }
    let (mut i, mut j, mut from) = (0, 0, (0, 0));
    while i < wide && j < tall {
        if old[a.start + i] == new[b.start + j] {
            runs.push((a.start + from.0..a.start + i, b.start + from.1..b.start + j, 1));
            (i, j) = (i + 1, j + 1);
            from = (i, j);
        } else if common[i + 1][j] >= common[i][j + 1] {
            i += 1;
        } else {
            j += 1;
        }
    }
    runs.push((a.start + from.0..a.end, b.start + from.1..b.end, end));
    runs
}

#[cfg(test)]
mod tests {
    use super::aligned;

    #[test]
    fn what_is_alike_stays_in_its_place() {
        assert_eq!(aligned(&[1, 2, 3], &[1, 3]), [(0..0, 0..0, 1), (1..2, 1..1, 1)]);
        assert_eq!(aligned(&[1, 2, 3, 4], &[2, 5, 4]), [(0..0, 0..0, 0), (0..1, 0..0, 1), (2..3, 1..2, 1),]);
    }
}
