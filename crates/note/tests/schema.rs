//! The schema for editors says what the reader says, and the manual names every key.

use fellmark_note::{reference, schema};
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Compares a file with what it is made from. With `BLESS=1` in the environment the file is written anew.
fn keep(path: &str, made: &str) {
    let path = root().join(path);
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&path, made).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
    assert!(kept == made, "{} is out of date: run the tests once with BLESS=1", path.display());
}

#[test]
fn the_schema_that_is_kept_is_the_one_that_is_made() {
    keep("docs/plan.schema.json", &schema());
}

#[test]
fn the_manual_holds_the_reference_of_keys() {
    let manual = std::fs::read_to_string(root().join("docs/plan-file.md")).unwrap().replace("\r\n", "\n");
    let (begin, end) = ("<!-- keys -->\n", "<!-- end of keys -->\n");
    let start = manual.find(begin).expect("the reference has a place") + begin.len();
    let stop = manual.find(end).expect("the reference has an end");
    keep("docs/plan-file.md", &format!("{}\n{}{}", &manual[..start], reference(), &manual[stop..]));
}

fn json(plan: &str) -> serde_json::Value {
    serde_json::to_value(plan.parse::<toml::Table>().unwrap()).unwrap()
}

/// An implementation of JSON Schema 2020-12 from outside the project accepts the model plan and refuses plans
/// that the reader refuses for their keys and types.
#[test]
fn a_validator_of_json_schema_agrees_with_the_reader() {
    let schema: serde_json::Value = serde_json::from_str(&schema()).unwrap();
    jsonschema::meta::validate(&schema).expect("it is a schema");
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let every_key = std::fs::read_to_string(root().join("crates/note/tests/data/every-key.toml")).unwrap();
    assert!(validator.is_valid(&json(&every_key)));
    let model = include_str!("data/model.toml").to_owned();
    let instance = json(&model);
    let told = validator.iter_errors(&instance).map(|error| format!("{error} at {}", error.instance_path()));
    assert_eq!(told.collect::<Vec<_>>(), Vec::<String>::new());
    for (right, wrong) in [
        ("notches = 40", "notchs = 40"),
        ("notches = 40", "notches = \"40\""),
        ("ends = 24", "ends = 0"),
        ("schema = 1", "schema = 2"),
        ("use   = \"coaster\"", "use = \"boat\""),
        ("opposite = true", "opposite = \"true\""),
        ("times = 2, ", ""),
        ("wefts = [\"reed\"]", "wefts = []"),
    ] {
        assert!(model.contains(right), "{right}");
        let plan = model.replacen(right, wrong, 1);
        assert!(!validator.is_valid(&json(&plan)), "{wrong}");
        assert!(fellmark_note::read(&plan).is_err(), "{wrong}");
    }
}
