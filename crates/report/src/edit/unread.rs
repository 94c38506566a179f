//! Why a JSON is no edit, in words: which edit, which of its fields, and what to write there.

use super::{EditJson, EditJsonError};
use serde::Deserialize;
use serde_json::{Map, Value};

const FORM: &str = "Every edit is an object with `edit`, such as {\"edit\": \"length\", \"band\": \"hem\", \
                    \"rows\": 8}; docs/json.md has an example of each.";

/// The edit that a JSON is; a list of edits is one change of several.
pub(super) fn edit(json: &Value) -> Result<EditJson, EditJsonError> {
    if let Value::Array(edits) = json {
        return edits.iter().map(edit).collect::<Result<_, _>>().map(|edits| EditJson::Together { edits });
    }
    let Value::Object(fields) = json else {
        return Err(EditJsonError::new(format!("{} is no edit.", short(json)), FORM));
    };
    let Some(name) = fields.get("edit").and_then(Value::as_str) else {
        return Err(EditJsonError::new("This doesn't say which edit it is.", FORM));
    };
    if name == "together"
        && let Some(Value::Array(edits)) = fields.get("edits")
    {
        // What is wrong with one of them is that one's.
        edits.iter().try_for_each(|one| edit(one).map(|_| ()))?;
    }
    form(json).map_err(|said| why(name, fields, &said))
}

/// What is so of a text that is no JSON.
pub(super) fn no_json(error: &serde_json::Error) -> EditJsonError {
    let place = match (error.is_eof(), error.line()) {
        (true, _) => "it breaks off".to_owned(),
        (false, 1) => format!("it can be read up to column {}", error.column()),
        (false, line) => format!("it can be read up to line {line}, column {}", error.column()),
    };
    EditJsonError::new(format!("This edit is no JSON: {place}."), FORM)
}

/// So many fields are asked whether they are meant.
const MOST_ASKED: usize = 32;

fn form(json: &Value) -> Result<EditJson, String> {
    EditJson::deserialize(json).map_err(|error| error.to_string())
}

/// What the reader says of it, in words.
fn why(name: &str, fields: &Map<String, Value>, said: &str) -> EditJsonError {
    if said.starts_with("unknown variant") && said.contains(&format!("`{name}`")) {
        return EditJsonError::new(format!("There is no edit “{name}”."), FORM);
    }
    let (place, value) = culprit(fields, said);
    if let Some(missing) = said.strip_prefix("missing field ") {
        return EditJsonError::new(
            format!("The edit “{name}” has no {missing}."),
            "Write it too; docs/json.md has an example of each edit.",
        );
    }
    if said.starts_with("unknown field") {
        let known =
            said.split_once(", expected ").map_or("", |(_, known)| known.trim_start_matches("one of "));
        let help = if known.is_empty() || known == "there are no fields" {
            FORM.to_owned()
        } else {
            format!("What it knows: {known}.")
        };
        return EditJsonError::new(format!("The edit “{name}” knows no `{place}`."), help);
    }
    match (value, said.split_once("expected ")) {
        (Some(value), Some((_, expected))) => EditJsonError::new(
            format!("`{place}` of the edit “{name}” can't be {}.", short(value)),
            format!("Write {}.", wanted(expected)),
        ),
        _ => EditJsonError::new(format!("The edit “{name}” can't be read: {said}."), FORM),
    }
}

/// The field that is meant, and what it holds: without it the reader says something else. (The reader itself doesn't say
/// where it stands.)
fn culprit<'a>(fields: &'a Map<String, Value>, said: &str) -> (String, Option<&'a Value>) {
    let says = |without: &str| {
        let mut rest = fields.clone();
        rest.shift_remove(without);
        form(&Value::Object(rest)).err()
    };
    // An edit has few fields; of one that has many it is not worth asking.
    let found = fields
        .keys()
        .take(MOST_ASKED)
        .find(|key| *key != "edit" && says(key).is_none_or(|other| other != said));
    let Some(key) = found else { return (String::new(), None) };
    let value = &fields[key];
    let Value::Object(within) = value else { return (key.clone(), Some(value)) };
    let deeper = within.keys().take(MOST_ASKED).find(|inner| {
        let mut rest = fields.clone();
        if let Some(Value::Object(object)) = rest.get_mut(key) {
            object.shift_remove(*inner);
        }
        form(&Value::Object(rest)).err().is_none_or(|other| other != said)
    });
    deeper.map_or((key.clone(), Some(value)), |inner| (format!("{key}.{inner}"), Some(&within[inner])))
}

/// What is to be written, as people say it.
fn wanted(expected: &str) -> &str {
    match expected {
        "u32" | "u64" => "a whole number, 0 or more",
        "a nonzero u32" => "a whole number, 1 or more",
        "i32" | "i64" => "a whole number",
        "a string" | "string" => "words in quotes",
        "a boolean" => "true or false",
        "a sequence" => "a list in [ ]",
        "an array of length 2" => "a list of two: the first and the last",
        other => other,
    }
}

/// A value, cut short where it is long.
fn short(value: &Value) -> String {
    let whole = value.to_string();
    let cut: String = whole.chars().take(40).collect();
    if cut.len() == whole.len() { cut } else { format!("{cut}…") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn says(json: &str, words: &str) {
        let said = match serde_json::from_str(json) {
            Ok(value) => edit(&value).expect_err(json),
            Err(error) => no_json(&error),
        };
        assert_eq!(said.to_string(), words, "{json}");
    }

    #[test]
    fn what_is_no_edit_is_told_by_its_field_and_what_to_write() {
        let number = "Write a whole number, 0 or more.";
        says(
            r#"{"edit": "warp_ends", "ends": -1}"#,
            &format!("`ends` of the edit “warp_ends” can't be -1. {number}"),
        );
        says(
            r#"{"edit": "warp_ends", "ends": 2.5}"#,
            &format!("`ends` of the edit “warp_ends” can't be 2.5. {number}"),
        );
        says(
            r#"{"edit": "length", "band": "hem", "rows": "8"}"#,
            &format!("`rows` of the edit “length” can't be \"8\". {number}"),
        );
        says(
            r#"{"edit": "length", "band": 3, "rows": 8}"#,
            "`band` of the edit “length” can't be 3. Write words in quotes.",
        );
        says(
            r#"{"edit": "band_start", "band": "hem", "start": 0}"#,
            "`start` of the edit “band_start” can't be 0. Write a whole number, 1 or more.",
        );
        says(
            r#"{"edit": "weft_doubled", "weft": "foam", "doubled": "yes"}"#,
            "`doubled` of the edit “weft_doubled” can't be \"yes\". Write true or false.",
        );
        says(
            r#"{"edit": "touch", "band": "hem", "row": 1, "ends": [1], "pass": "over"}"#,
            "`ends` of the edit “touch” can't be [1]. Write a list of two: the first and the last.",
        );
        says(
            r#"{"edit": "stack_insert", "at": [1], "what": {"new": {"wefts": "foam", "rows": 3}}}"#,
            "`what.new` of the edit “stack_insert” can't be {\"wefts\":\"foam\",\"rows\":3}. Write a list in [ ].",
        );
    }

    #[test]
    fn what_is_missing_and_what_is_not_known_is_named() {
        says(
            r#"{"edit": "length", "band": "hem"}"#,
            "The edit “length” has no `rows`. Write it too; docs/json.md has an example of each edit.",
        );
        says(
            r#"{"edit": "length", "band": "hem", "rows": 8, "row": 3}"#,
            "The edit “length” knows no `row`. What it knows: `band` or `rows`.",
        );
        says(r#"{"edit": "longer", "band": "hem"}"#, &format!("There is no edit “longer”. {FORM}"));
        says(r#"{"band": "hem"}"#, &format!("This doesn't say which edit it is. {FORM}"));
        says("8", &format!("8 is no edit. {FORM}"));
        says(r#"{"edit": "length""#, &format!("This edit is no JSON: it breaks off. {FORM}"));
        says(
            r#"{"edit": "together", "edits": [{"edit": "name", "name": "A"}, {"edit": "name"}]}"#,
            "The edit “name” has no `name`. Write it too; docs/json.md has an example of each edit.",
        );
    }
}
