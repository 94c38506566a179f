//! From a text to all that is known of its plan.

use crate::{Note, Problem, read};
use fellmark_core::say;
use fellmark_core::study::{self, Study};

/// Reads a plan's text and studies the plan.
///
/// # Errors
/// What keeps the text from being a plan or the plan from becoming a piece, with its place in the text.
pub fn study(text: &str) -> Result<(Note, Study), Problem> {
    let note = read(text)?;
    match study::study(&note.plan) {
        Ok(study) => Ok((note, study)),
        Err(error) => {
            let (message, help) = say::piece_error(&error);
            Err(Problem { message, help, at: note.places.of(&error.at) }.for_writer_of(text))
        }
    }
}
