//! `edit`: a plan with something changed in it, notes kept.

use anyhow::{Context, Result, anyhow};
use fellmark_core::say;
use fellmark_note::ApplyError;
use std::fmt::Write;

/// A changed text, and what was done, one sentence for each edit.
pub(crate) struct Edited {
    pub text: String,
    pub done: String,
}

/// Makes edits, given as JSON, one after the other.
pub(crate) fn apply(
    text: &str,
    edits: &[String],
    shown: impl Fn(&fellmark_note::Problem) -> anyhow::Error,
) -> Result<Edited> {
    let mut plan = fellmark_note::read(text).map_err(|problem| shown(&problem))?.plan;
    let mut text = text.to_owned();
    let mut done = String::new();
    for (k, json) in edits.iter().enumerate() {
        let which = || {
            if edits.len() == 1 {
                "The edit was not made".to_owned()
            } else {
                format!("Edit {} was not made", k + 1)
            }
        };
        let edit = fellmark_report::read_edit(json, &plan)
            .map_err(|error| error.in_units(fellmark_note::units_of(&text)))
            .with_context(which)
            .map_err(flat)?;
        // No border is drawn here.
        let edit = fellmark_core::edit::said(&edit, &plan);
        text = fellmark_note::apply(&text, &edit)
            .map_err(|error| unfit(&error))
            .with_context(which)
            .map_err(flat)?;
        let _ = writeln!(done, "{}.", sentence(&say::done(&edit, &plan)));
        plan = fellmark_note::read(&text).map_err(|problem| shown(&problem))?.plan;
    }
    Ok(Edited { text, done })
}

/// Why an edit can't be made, in a sentence or two.
pub(crate) fn unfit(error: &ApplyError) -> anyhow::Error {
    let (message, help) = error.words();
    anyhow!("{message} {help}")
}

fn flat(error: anyhow::Error) -> anyhow::Error {
    anyhow!("{error:#}")
}

fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
