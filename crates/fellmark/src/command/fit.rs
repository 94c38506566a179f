//! `fit`: what to change for a finished size.

use crate::layout::{paragraph, strong};
use crate::run::Opened;
use anyhow::{Result, anyhow};
use fellmark_core::plan::Wanted;
use fellmark_core::quantity::Mm;
use fellmark_core::say::Units;
use fellmark_note::{examples_in, units_of};
use fellmark_report::Fit;

/// The size that is wanted: what is typed, and else what the plan says.
pub(crate) fn wanted(
    opened: &Opened,
    width: Option<&str>,
    length: Option<&str>,
    units: Units,
) -> Result<Wanted> {
    // Who asks for inches is told in inches, and so is who writes a plan in them.
    let units = if units == Units::Inch { units } else { units_of(&opened.text) };
    let plan = opened.plan.finished.as_ref().map_or_else(Wanted::default, |typed| typed.value);
    let side = |option: &str, typed: Option<&str>, plan: Option<Mm>| {
        let Some(typed) = typed else { return Ok(plan) };
        Mm::parse(typed).ok().filter(|&side| side > Mm::ZERO).map(Some).ok_or_else(|| {
            let help = examples_in(units, "Write it with its unit, such as \"11 cm\".");
            anyhow!("--{option}: \"{typed}\" is no {option}. {help}")
        })
    };
    let wanted =
        Wanted { width: side("width", width, plan.width)?, length: side("length", length, plan.length)? };
    if wanted == Wanted::default() {
        let help =
            "give --width or --length, or write finished = \"11 cm x 14 cm\" in it, or \"11 cm wide\".";
        return Err(anyhow!("{} asks for no finished size: {}", opened.name, examples_in(units, help)));
    }
    Ok(wanted)
}

pub(crate) fn text(fit: &Fit) -> String {
    let mut text = format!("{}\n", strong("Fit"));
    for said in &fit.said {
        text.push_str(&paragraph("", said));
    }
    for choice in &fit.choices {
        text.push('\n');
        text.push_str(&paragraph(&format!("{:>3}  ", choice.number), &format!("{}.", choice.words)));
        text.push_str(&paragraph("     ", &choice.comes_of));
        for finding in &choice.new_findings {
            let lead = if finding.severity == "error" { "     mend  " } else { "     look  " };
            text.push_str(&paragraph(lead, &finding.words));
        }
        if let Some(keeps) = &choice.keeps {
            text.push_str(&paragraph("     ", keeps));
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
