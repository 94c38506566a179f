//! An edit as JSON: bands, wefts and yarns by name, rows, ends and lines of the stack from 1, and values as the
//! texts that a plan would hold.

mod form;
pub(crate) mod meaning;
mod unread;

pub use form::{EditJson, InsertedJson, LoomJson, NewBandJson, WeaveJson};

use fellmark_core::plan::{Edit, Plan};
use fellmark_core::say;
use fellmark_note::Problem;
use serde_json::Value;
use std::fmt;

/// Why a JSON is no edit of a plan: what is so, and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EditJsonError {
    /// What is so.
    pub message: String,
    /// What to do.
    pub help: String,
}

impl EditJsonError {
    fn new(message: impl Into<String>, help: impl Into<String>) -> EditJsonError {
        EditJsonError { message: message.into(), help: help.into() }
    }
}

impl fmt::Display for EditJsonError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.message, self.help)
    }
}

impl std::error::Error for EditJsonError {}

impl From<Problem> for EditJsonError {
    fn from(problem: Problem) -> EditJsonError {
        EditJsonError { message: problem.message, help: problem.help }
    }
}

/// The edit of a plan that a JSON text means; a list of edits is one change of several.
///
/// # Errors
/// If the text is no JSON of an edit, or if the edit names or says what the plan or the program doesn't know.
pub fn read_edit(json: &str, plan: &Plan) -> Result<Edit, EditJsonError> {
    let json = serde_json::from_str(json).map_err(|error| unread::no_json(&error))?;
    EditJson::from_json(&json)?.on(plan)
}

impl EditJson {
    /// The edit that a JSON is; a list of edits is one change of several.
    ///
    /// # Errors
    /// Which edit or which of its fields it is, and what to write there.
    pub fn from_json(json: &Value) -> Result<EditJson, EditJsonError> {
        unread::edit(json)
    }

    /// The edit that this means for a plan.
    ///
    /// # Errors
    /// What the plan or the program doesn't know, and what to do.
    pub fn on(&self, plan: &Plan) -> Result<Edit, EditJsonError> {
        if let EditJson::Together { edits } = self {
            // What one of them names may only be there after those before it.
            let mut plan = plan.clone();
            let mut all = Vec::with_capacity(edits.len());
            for (k, edit) in edits.iter().enumerate() {
                let edit = edit.on(&plan)?;
                if k + 1 < edits.len() {
                    plan = edit.apply(&plan).map_err(|error| {
                        let (message, help) = say::edit_error(&error);
                        EditJsonError { message, help }
                    })?;
                }
                all.push(edit);
            }
            return Ok(Edit::Together(all));
        }
        meaning::Names(plan).edit(self)
    }
}
