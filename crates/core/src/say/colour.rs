//! Colours in words.

use super::sentence;
use crate::colour::{Likeness, Vision};

/// Below this two colours are said to differ little in lightness, in steps of L*.
const LITTLE: f64 = 10.0;

/// What a weaver should know of two yarns that are hard to tell apart: `pair` names them, `bands` where they
/// meet.
pub(super) fn alike(pair: &str, bands: &str, likeness: &Likeness, lightness: f64) -> String {
    let name = sentence(pair);
    match likeness {
        Likeness::Same => {
            format!("{name} are nearly the same colour: what they draw in {bands} will hardly be seen.")
        }
        Likeness::ToAll => {
            format!("{name} are close in colour: what they draw in {bands} will be faint.")
        }
        Likeness::ToSome(visions) => {
            let why = if lightness < LITTLE { ": they differ little in lightness" } else { "" };
            format!("In {bands}, {pair} look nearly alike to {}{why}.", eyes(visions))
        }
        Likeness::InGrey => format!(
            "In {bands}, {pair} differ in hue but hardly in lightness: from afar and in dim light what they \
             draw fades."
        ),
    }
}

fn eyes(visions: &[Vision]) -> &'static str {
    let red_and_green = visions.iter().any(|vision| *vision != Vision::Tritan);
    let blue_and_green = visions.contains(&Vision::Tritan);
    match (red_and_green, blue_and_green) {
        (true, false) => "many who don't see red and green apart",
        (false, true) => "the few who don't see blue and green apart",
        _ => "many who don't see all colours apart",
    }
}
