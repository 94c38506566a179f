//! Results as JSON objects, for programs and for the page. Every object has `schema` and `plan`; lengths are
//! numbers in fields that end in `_mm`, masses in `_g`, and predictions are `{likely, low, high, basis}`.
//! Rows and ends count from 1, rows from the bottom and ends from the left, seen from the front.
//! `docs/json.md` describes every field.

mod carry;
mod check;
mod choices;
mod cloth;
mod common;
mod edit;
mod fit;
mod panels;
mod rows;
mod size;
mod warp;
mod yarn;

pub use carry::{GapJson, LineJson, gaps, moved};
pub use check::{Check, FindingJson, RemedyJson, Told, check, remedies, told};
pub use choices::{Choices, choices};
pub use cloth::{ClothJson, CoverJson};
pub use common::{EstimateJson, PlaceJson, PlanJson, SCHEMA, letters_on};
pub use edit::{EditJson, EditJsonError, InsertedJson, LoomJson, NewBandJson, WeaveJson, read_edit};
pub use fit::{ChoiceJson, Fit, FoundJson, fit};
pub use panels::{BandJson, BorderJson, EntryJson, Panels, panels};
pub use rows::{RowJson, Rows, StepJson, row, rows, rows_csv};
pub use size::{CourseJson, SidesJson, Size, WantedJson, size};
pub use warp::{Warp, WindingJson, warp, winding};
pub use yarn::{Yarn, YarnJson, yarn};
