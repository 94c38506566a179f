//! What tests of pictures share: plans, a piece pictured, and a reader of drawings that knows nothing of how they are made.

#![allow(dead_code, unused_imports, reason = "each test file takes what it needs")]

pub(crate) mod pictured;
pub(crate) mod plans;
pub(crate) mod reader;

pub(crate) use plans::{plan, studied};

/// Bands of every kind: plain, two wefts in opposite openings, and one over some of the ends.
pub(crate) const BANDS: &str = r#"
[weft.slate]
doubled = true
[band.hem]
wefts = ["reed"]
weave = "plain"
rows = 4
[band.pools]
wefts = ["slate", "foam"]
opening = "over 5, under 3"
opposite = true
rows = 8
[band.tongue]
wefts = ["samphire"]
weave = "twill 2/2"
ends = "3 to 8"
rows = 6
[piece]
bands = ["hem", "pools", "tongue", "hem"]
"#;
