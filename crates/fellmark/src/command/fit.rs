//! `fit`: what to change for a finished size.

use crate::layout::{paragraph, strong};
use crate::run::Opened;
use anyhow::{Result, anyhow};
use fellmark_core::plan::Wanted;
use fellmark_core::quantity::Mm;
use fellmark_core::say::{self, Units};
use fellmark_report::Fit;

/// The size that is wanted: what is typed, and else what the plan says.
pub(crate) fn wanted(opened: &Opened, width: Option<&str>, length: Option<&str>) -> Result<Wanted> {
    let plan = opened.plan.finished.as_ref().map_or_else(Wanted::default, |typed| typed.value);
    let side = |option: &str, typed: Option<&str>, plan: Option<Mm>| {
        let Some(typed) = typed else { return Ok(plan) };
        Mm::parse(typed).ok().filter(|&side| side > Mm::ZERO).map(Some).ok_or_else(|| {
            anyhow!("--{option}: \"{typed}\" is no {option}. Write it with its unit, such as \"11 cm\".")
        })
    };
    let wanted =
        Wanted { width: side("width", width, plan.width)?, length: side("length", length, plan.length)? };
    if wanted == Wanted::default() {
        return Err(anyhow!(
            "{} asks for no finished size: give --width or --length, or write finished = \"11 cm x 14 cm\" in it.",
            opened.name
        ));
    }
    Ok(wanted)
}

pub(crate) fn text(fit: &Fit, opened: &Opened, wanted: Wanted, units: Units) -> String {
    let now = say::likely_sides(opened.study.size.finished, units);
    let mut text = format!(
        "{}\n{}",
        strong("Fit"),
        paragraph(
            "",
            &format!(
                "Wanted, finished ({}): {}. As the plan is, about {now}.",
                say::finish(opened.plan.finish),
                say::wanted(wanted, units)
            )
        )
    );
    if fit.choices.is_empty() {
        text.push_str("\nNothing is woven, so nothing can be made to fit.\n");
    }
    if !fit.choices.is_empty() && fit.choices.iter().all(|choice| !choice.near) {
        text.push_str(&paragraph("", "These come as near as anything that was tried on this frame."));
    }
    for choice in &fit.choices {
        text.push('\n');
        text.push_str(&paragraph(&format!("{:>3}  ", choice.number), &format!("{}.", choice.words)));
        text.push_str(&paragraph("     ", &choice.comes_of));
        for finding in &choice.new_findings {
            let lead = if finding.severity == "error" { "     mend  " } else { "     look  " };
            text.push_str(&paragraph(lead, &finding.words));
        }
        if choice.kept_findings > 0 {
            let things = if choice.kept_findings == 1 {
                "1 thing"
            } else {
                &format!("{} things", choice.kept_findings)
            };
            text.push_str(&paragraph(
                "     ",
                &format!("It keeps {things} that fellmark check tells of the plan now."),
            ));
        }
    }
    text
}

/// The plan's text with one choice taken.
pub(crate) fn apply(opened: &Opened, fit: &Fit, number: u32) -> Result<String> {
    let choice = fit.choices.iter().find(|choice| choice.number == number).ok_or_else(|| {
        let count = fit.choices.len();
        anyhow!("There is no choice {number}: {} has choices 1 to {count}.", opened.name)
    })?;
    choice.edits.iter().try_fold(opened.text.clone(), |text, edit| {
        let edit = edit.on(&opened.plan)?;
        fellmark_note::apply(&text, &edit).map_err(|error| super::edit::unfit(&error))
    })
}
