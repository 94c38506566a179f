//! `new`: a plan to start from.

use crate::args::{Hand, New};
use anyhow::{Result, anyhow};
use fellmark_core::say::Units;
use fellmark_core::side::Side;
use fellmark_note::start::{Start, StartError, usual};
use fellmark_note::{examples_in, units_of};

pub(crate) fn text(new: &New) -> Result<String> {
    let units = units_of(&new.pitch);
    let start = Start {
        pattern: new.start.0,
        name: new.name.clone(),
        purpose: new.purpose.clone(),
        notches: new.notches,
        pitch: new.pitch.clone(),
        turn_to_turn: new.turn_to_turn.clone(),
        clear_height: new.clear_height.clone(),
        ends: new.ends.unwrap_or(usual::ends(new.start.0)),
        width: new.width.clone(),
        warp: yarn(&new.warp, units)?,
        wefts: new.weft.iter().map(|text| yarn(text, units)).collect::<Result<_>>()?,
        from: if new.hand == Hand::Left { Side::Right } else { Side::Left },
    };
    fellmark_note::start::plan(&start).map_err(|error| match error {
        StartError::Wefts { wanted, given } => {
            let was = if given == 1 { "was" } else { "were" };
            anyhow!("This start weaves with {wanted} wefts, and {given} {was} given. Name {wanted}, or none.")
        }
        StartError::Problem(problem) => anyhow!("{} {}", problem.message, problem.help),
    })
}

/// NAME=SIZE.
fn yarn(text: &str, units: Units) -> Result<(String, String)> {
    let parts = text.split_once('=').map(|(name, size)| (name.trim(), size.trim()));
    match parts {
        Some((name, size)) if !name.is_empty() && !size.is_empty() => Ok((name.into(), size.into())),
        _ => {
            let help = examples_in(units, "write NAME=SIZE, such as \"foam=7 wraps per cm\".");
            Err(anyhow!("\"{text}\" is no yarn: {help}"))
        }
    }
}
