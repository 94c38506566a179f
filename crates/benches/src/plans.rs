//! Plans of any size: a diagonal in two wefts between hems, which uses most of what a plan can say.

/// The text of a plan of so many ends and rows (20 at least).
#[must_use]
pub fn diagonal(ends: u32, rows: u32) -> String {
    let body = rows.saturating_sub(8);
    // Every row is less than 4 mm high.
    let height = rows * 4 + 20;
    format!(
        "schema = 1
name = \"Bench\"
[loom]
notches = {ends}
pitch = \"4 mm\"
turn-to-turn = \"{} mm\"
clear-height = \"{height} mm\"
[yarn.reed]
colour = \"#a88b4c\"
size = \"275 m per 100 g\"
fibre = \"cotton\"
[yarn.slate]
colour = \"#2d6f73\"
size = \"132 m per 100 g\"
fibre = \"wool\"
[yarn.foam]
colour = \"#e3e9de\"
size = \"4.5 wraps per cm\"
fibre = \"wool\"
[warp]
ends = {ends}
order = [\"1 reed\"]
[band.hem]
wefts = [\"slate\"]
weave = \"plain\"
rows = 4
[band.tide]
wefts = [\"slate\", \"foam\"]
opening = \"over 5, under 3\"
opposite = true
step = \"1 right every pair\"
rows = {body}
touched = [\"row 3: under 2\"]
[piece]
bands = [\"hem\", \"tide\", \"hem\"]
",
        height + 20
    )
}
