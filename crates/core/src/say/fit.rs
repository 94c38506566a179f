//! Choices that bring a piece near a finished size, in words.

use super::{Units, counted, length, on_ruler, sentence};
use crate::cloth::size::Size;
use crate::fit::{Choice, Limit, limits};
use crate::plan::{Finish, Plan, Wanted};
use crate::quantity::Mm;

/// What is wanted and what it is now; then, where no choice comes near, that none does. Nothing where nothing is
/// wanted.
#[must_use]
pub fn fitted(finish: Finish, wanted: Wanted, now: &Size, choices: &[Choice], units: Units) -> Vec<String> {
    if wanted == Wanted::default() {
        return Vec::new();
    }
    let mut said = vec![format!(
        "Wanted, finished ({}): {}. As the plan is, about {}.",
        super::finish(finish),
        super::wanted(wanted, units),
        super::likely_sides(now.finished, units)
    )];
    if choices.is_empty() {
        said.push("Nothing is woven, so nothing can be made to fit.".to_owned());
    } else if !choices.iter().any(|choice| choice.comes_near(wanted)) {
        said.push("These come as near as anything that was tried on this frame.".to_owned());
        said.extend(limits(choices, wanted).into_iter().map(|limit| match limit {
            Limit::Reach(reach) => format!(
                "No more than {} can be woven on it: a frame with a greater clear height takes a longer piece.",
                length(reach, units)
            ),
            Limit::Notches(most) => format!(
                "It has notches for {}: a wider frame, or one with notches farther apart, takes a wider piece.",
                counted(most, "end", "ends")
            ),
        }));
    }
    said
}

/// That a choice has things to mend or to look at which the plan has now; `None` where it has none.
#[must_use]
pub fn keeps(choice: &Choice) -> Option<String> {
    let things = counted(choice.kept as u32, "thing", "things");
    (choice.kept > 0).then(|| format!("It keeps {things} to look at that the plan has now."))
}

/// What to change for a choice: "Take 30 ends, and weave 24 rows of pools".
#[must_use]
pub fn choice(choice: &Choice, plan: &Plan) -> String {
    match choice.edit() {
        Some(edit) => sentence(&super::edit(&edit, plan)),
        None => "Leave it as it is".to_owned(),
    }
}

/// What comes of a choice: its finished size, its ends and rows, and the yarn that it takes beside the plan as it is.
#[must_use]
pub fn comes_of(choice: &Choice, units: Units) -> String {
    let finished = choice.study.size.finished;
    let piece = &choice.study.piece;
    format!(
        "Finished {} wide and {} long: {} and {}. {}.",
        on_ruler(finished.width, units),
        on_ruler(finished.length, units),
        counted(piece.end_count(), "end", "ends"),
        counted(piece.row_count(), "row", "rows"),
        sentence(&costs(choice, units)),
    )
}

/// The difference in yarn: "1.8 m more weft, 0.9 m less warp".
fn costs(choice: &Choice, units: Units) -> String {
    // Less than 5 cm of a warp or weft is no difference.
    let least = Mm::new(50.0);
    let said = [(choice.more_weft, "weft"), (choice.more_warp, "warp")]
        .into_iter()
        .filter(|(more, _)| more.abs() >= least)
        .map(|(more, what)| {
            let side = if more > Mm::ZERO { "more" } else { "less" };
            format!("{} {side} {what}", length(more.abs(), units))
        });
    let said: Vec<String> = said.collect();
    if said.is_empty() { "as much yarn as now".to_owned() } else { said.join(", ") }
}
