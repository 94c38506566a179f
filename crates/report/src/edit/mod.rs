//! An edit as JSON: bands, wefts and yarns by name, rows, ends and lines of the stack from 1, and values as the
//! texts that a plan would hold.

mod form;
pub(crate) mod meaning;
mod unread;

pub use form::{EditJson, InsertedJson, LoomJson, NewBandJson, WeaveJson};

use fellmark_core::plan::{Edit, Plan};
use fellmark_core::say::{self, Units};
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

impl EditJsonError {
    /// The same for who measures so: examples of lengths are in these units.
    #[must_use]
    pub fn in_units(self, units: Units) -> EditJsonError {
        EditJsonError { help: fellmark_note::examples_in(units, &self.help), ..self }
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

#[cfg(test)]
mod tests {
    use super::{EditJson, read_edit};
    use fellmark_core::plan::{BandId, Edit, Known, Set, YarnId};
    use fellmark_core::say::{self, Units};
    use fellmark_core::yarn::Fibre;

    fn plan() -> fellmark_core::plan::Plan {
        fellmark_note::read(include_str!("../../../../examples/tideline-mat.toml")).unwrap().plan
    }

    #[test]
    fn what_may_be_known_of_a_yarn_reads_as_the_example_says() {
        let plan = plan();
        let none = [
            Known::Have(None),
            Known::Price(None),
            Known::Wraps(None),
            Known::Measured(None),
            Known::Halo(None),
        ];
        for known in none {
            for units in [Units::Metric, Units::Inch] {
                let (key, example) = (known.key(), say::known(&known, Fibre::Wool, units).example);
                let json =
                    format!("{{\"edit\": \"yarn_{key}\", \"yarn\": \"reed\", \"{key}\": \"{example}\"}}");
                let Ok(Edit::Set(Set::YarnKnown(_, read))) = read_edit(&json, &plan) else {
                    panic!("{json} is not read");
                };
                assert_eq!((read.key(), read.typed()), (key, Some(example)));
            }
        }
        let no_wraps = "{\"edit\": \"yarn_wraps\", \"yarn\": \"reed\", \"wraps\": \"8/2 cotton\"}";
        assert_eq!(read_edit(no_wraps, &plan).unwrap_err().message, "\"8/2 cotton\" counts no wraps.");
    }

    #[test]
    fn what_is_given_up_is_null_and_what_is_left_out_is_missed() {
        let plan = plan();
        let hem = BandId(plan.bands.iter().position(|band| band.name == "hem").unwrap());
        let reed = YarnId(plan.yarns.iter().position(|yarn| yarn.name == "reed").unwrap());
        let known = |known| Edit::Set(Set::YarnKnown(reed, known));
        for (kind, field, means) in [
            (r#""edit": "band_edges", "band": "hem""#, "edges", Edit::BandEdges(hem, None)),
            (r#""edit": "band_beat", "band": "hem""#, "beat", Edit::BandBeat(hem, None)),
            (r#""edit": "band_start", "band": "hem""#, "start", Edit::BandStart(hem, None)),
            (r#""edit": "yarn_halo", "yarn": "reed""#, "halo", known(Known::Halo(None))),
            (r#""edit": "yarn_price", "yarn": "reed""#, "price", known(Known::Price(None))),
            (r#""edit": "finished""#, "size", Edit::Set(Set::Finished(None))),
            (r#""edit": "longest_float""#, "length", Edit::Set(Set::LongestFloat(None))),
            (r#""edit": "needleful""#, "length", Edit::Set(Set::Needleful(None))),
            (r#""edit": "header""#, "length", Edit::Set(Set::Header(None))),
        ] {
            let null = format!("{{{kind}, \"{field}\": null}}");
            assert_eq!(read_edit(&null, &plan), Ok(means.clone()), "{null}");
            let again = serde_json::to_string(&EditJson::of(&means, &plan)).unwrap();
            assert_eq!(read_edit(&again, &plan), Ok(means), "{again}");
            for left_out in [format!("{{{kind}}}"), format!("[{{{kind}}}]"), format!("{{\n{kind}\n}}")] {
                let error = read_edit(&left_out, &plan).unwrap_err();
                assert_eq!(
                    error.message,
                    format!("The edit “{}” has no `{field}`.", kind.split('"').nth(3).unwrap()),
                    "{left_out}"
                );
            }
        }
    }
}
