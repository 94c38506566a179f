//! `check`: the piece in two sentences, then what there is to find.

use crate::layout::{paragraph, quiet, strong};
use crate::run::Opened;
use anyhow::{Result, anyhow};
use fellmark_report::Check;

pub(crate) fn text(check: &Check, why: bool) -> String {
    let check = &check.told;
    let mut text = format!("{}\n\n", strong(&check.plan.name));
    text.push_str(&paragraph("", &check.asked));
    text.push_str(&paragraph("", &check.follows));
    for line in &check.resolved {
        text.push_str(&paragraph("", line));
    }
    if why {
        for (name, reasons) in
            [("Holds", &check.why.holds), ("Size", &check.why.size), ("Yarn", &check.why.need)]
        {
            text.push_str(&format!("\n{}\n", strong(name)));
            for reason in reasons {
                text.push_str(&paragraph("  ", reason));
            }
        }
    }
    if check.findings.is_empty() {
        text.push_str("\nNothing to mend.\n");
    }
    let mut told = 0;
    for finding in &check.findings {
        let lead = match finding.severity {
            "error" => strong("mend  "),
            "warning" => strong("look  "),
            _ => quiet("note  "),
        };
        text.push('\n');
        text.push_str(&paragraph(&lead, &finding.words));
        for remedy in finding.remedies.iter().flatten() {
            if remedy.number <= told {
                text.push_str(&paragraph(
                    "      ",
                    &quiet(&format!("remedy {} takes this away too.", remedy.number)),
                ));
                continue;
            }
            told = remedy.number;
            let lead = format!("      {} ", quiet(&format!("remedy {}:", remedy.number)));
            text.push_str(&paragraph(&lead, &format!("{}.", remedy.words)));
        }
    }
    if let Some(caution) = check.caution {
        text.push('\n');
        text.push_str(&paragraph("", &quiet(caution)));
    }
    text
}

/// The plan's text with one remedy taken.
pub(crate) fn apply(opened: &Opened, number: u32) -> Result<String> {
    let remedies = fellmark_report::remedies(&opened.plan, &opened.study).concat();
    let count = remedies.iter().map(|remedy| remedy.number).max().unwrap_or(0);
    let remedy = remedies.iter().find(|remedy| remedy.number == number).ok_or_else(|| match count {
        0 => anyhow!("{} has no remedies to take: see fellmark check.", opened.name),
        _ => anyhow!("There is no remedy {number}: {} has remedies 1 to {count}.", opened.name),
    })?;
    let edit = remedy.edit.on(&opened.plan)?;
    fellmark_note::apply(&opened.text, &edit).map_err(|error| super::edit::unfit(&error))
}
