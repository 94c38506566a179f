//! Plans to picture. The tests inside the crate share them.

use fellmark_core::study::{Study, study};

/// The frame and the yarns of a plan, and what else it says.
pub(crate) fn plan(ends: u32, more: &str) -> String {
    let notches = ends.max(1) + 4;
    let top: String =
        more.lines().take_while(|line| !line.starts_with('[')).map(|l| format!("{l}\n")).collect();
    let rest: String =
        more.lines().skip_while(|line| !line.starts_with('[')).map(|l| format!("{l}\n")).collect();
    let order = if rest.contains("[warp]") {
        String::new()
    } else {
        format!("[warp]\nends = {ends}\norder = [\"1 reed\"]\n")
    };
    format!(
        r##"schema = 1
name = "Marsh"
{top}
[loom]
notches = {notches}
pitch = "5 mm"
turn-to-turn = "22 cm"
clear-height = "20 cm"
[yarn.reed]
colour = "#a88b4c"
size = "8 wraps per cm"
fibre = "linen"
[yarn.foam]
colour = "#e3e9de"
size = "7 wraps per cm"
fibre = "wool"
[yarn.slate]
colour = "#2d6f73"
size = "6 wraps per cm"
fibre = "wool"
[yarn.samphire]
colour = "#7a9a4e"
size = "6 wraps per cm"
fibre = "wool"
{order}{rest}"##
    )
}

/// Studies a plan's text.
pub(crate) fn studied(text: &str) -> Study {
    let note =
        fellmark_note::read(text).unwrap_or_else(|problem| panic!("{}", problem.render(text, "plan", false)));
    study(&note.plan).unwrap_or_else(|error| panic!("{error:?}"))
}
