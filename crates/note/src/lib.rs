//! The note: a plan as its weaver writes it. A text is read into a [`Plan`](fellmark_core::plan::Plan) that
//! knows where each key stands, and an edit of the plan changes the text's own bytes, comments kept.
//!
//! The text is read by hand over a tree with places, so that one table of keys says what may stand where: the
//! reader, its words about what doesn't fit, the schema for editors and the manual's reference come from it.

mod choice;
mod edit;
mod examples;
mod keys;
mod list;
mod near;
mod places;
mod problem;
mod read;
mod reader;
mod schema;
mod sheet;
pub mod start;
mod study;
mod syntax;
pub mod typed;
mod values;
mod weaves;
mod words;

pub use choice::Choice;
pub use edit::{ApplyError, apply};
pub use examples::{examples_in, units_of};
pub use places::Places;
pub use problem::Problem;
pub use read::{Note, read};
pub use schema::{reference, schema};
pub use study::study;
