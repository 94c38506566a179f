//! The laws of the walk. Random plans are written as texts, and what Fellmark makes of them is held against
//! readers that know only the documents: whoever follows the printed words, or the JSON, with needles weaves
//! the planned cloth and ties the same links at its edges.

pub mod cloth;
pub mod compare;
pub mod edits;
pub mod json_reader;
pub mod knots;
pub mod once;
pub mod plans;
pub mod reader;
pub mod run;
pub mod written;
