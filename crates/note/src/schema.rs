//! The table of keys for others: a JSON Schema for editors, and the reference in the manual.

use crate::keys::{Key, Kind, Section};
use crate::weaves;
use fellmark_core::habits::HabitKind;
use fellmark_core::yarn::Fibre;
use serde_json::{Map, Value, json};
use toml::de::DeValue;

/// A JSON Schema (2020-12) of plan files, for editors that complete and check while one types.
#[must_use]
pub fn schema() -> String {
    let mut top = Map::new();
    top.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    top.insert("title".into(), json!("A Fellmark plan"));
    top.extend(table(Section::Plan));
    let below = Section::ALL.into_iter().filter(|section| *section != Section::Plan);
    let definitions: Map<String, Value> =
        below.map(|section| (definition(section).to_string(), Value::Object(table(section)))).collect();
    top.insert("$defs".into(), Value::Object(definitions));
    // A map of texts, numbers and maps can always be written.
    let mut text = serde_json::to_string_pretty(&top).unwrap_or_default();
    text.push('\n');
    text
}

fn definition(section: Section) -> &'static str {
    match section {
        Section::Plan => "plan",
        Section::Loom => "loom",
        Section::Yarn => "yarn",
        Section::Warp => "warp",
        Section::Header => "header",
        Section::Weft => "weft",
        Section::Band => "band",
        Section::Part => "part",
        Section::Row => "row",
        Section::Sequence => "sequence",
        Section::Piece => "piece",
        Section::Group => "group",
        Section::Habits => "habits",
    }
}

fn reference_to(section: Section) -> Value {
    json!({ "$ref": format!("#/$defs/{}", definition(section)) })
}

fn table(section: Section) -> Map<String, Value> {
    let keys = section.keys();
    let properties: Map<String, Value> =
        keys.iter().map(|key| (key.name.to_string(), Value::Object(property(key)))).collect();
    let required: Vec<&str> = keys.iter().filter(|key| key.required).map(|key| key.name).collect();
    let mut table = Map::new();
    table.insert("type".into(), json!("object"));
    table.insert("properties".into(), Value::Object(properties));
    if !required.is_empty() {
        table.insert("required".into(), json!(required));
    }
    table.insert("additionalProperties".into(), json!(false));
    table
}

fn property(key: &Key) -> Map<String, Value> {
    let mut property = Map::new();
    property.insert("description".into(), json!(key.meaning));
    if let Value::Object(kind) = kind(key.kind) {
        property.extend(kind);
    }
    if let Ok(example) = DeValue::parse(key.example) {
        property.entry("examples").or_insert_with(|| json!([as_json(example.get_ref())]));
    }
    property
}

fn kind(kind: Kind) -> Value {
    let list_of = |items: Value| json!({ "type": "array", "minItems": 1, "items": items });
    let text = json!({ "type": "string", "minLength": 1 });
    match kind {
        Kind::SchemaNumber => json!({ "const": 1 }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Count { most } => json!({ "type": "integer", "minimum": 1, "maximum": most }),
        Kind::Choice(words) => json!({ "enum": words }),
        Kind::Weave => json!({ "type": "string", "examples": weaves::NAMES }),
        Kind::Fibre => {
            let fibres: Vec<&str> = Fibre::ALL.iter().map(|fibre| fibre.name()).collect();
            json!({ "type": "string", "examples": fibres })
        }
        Kind::Order | Kind::Wefts => list_of(text),
        Kind::Touched => json!({ "type": "array", "items": text }),
        Kind::Rows => {
            let count = json!({ "type": "integer", "minimum": 1 });
            json!({ "oneOf": [count, list_of(json!({ "oneOf": [text, reference_to(Section::Row)] }))] })
        }
        Kind::Stack => list_of(json!({ "oneOf": [text, reference_to(Section::Group)] })),
        Kind::Habit(HabitKind::Count) => json!({ "type": "integer", "minimum": 1 }),
        Kind::Habit(HabitKind::Ratio) => json!({ "type": ["number", "string"] }),
        Kind::One(section) => reference_to(section),
        Kind::Named(section) => json!({ "type": "object", "additionalProperties": reference_to(section) }),
        Kind::Several(section) => list_of(reference_to(section)),
        Kind::Text
        | Kind::Length
        | Kind::Halo
        | Kind::FinishedSize
        | Kind::Colour
        | Kind::Size
        | Kind::Wraps
        | Kind::Hank
        | Kind::Price
        | Kind::Stock
        | Kind::YarnName
        | Kind::BandName
        | Kind::Opening
        | Kind::Step
        | Kind::TurnBack
        | Kind::TurnEnds
        | Kind::BandLength
        | Kind::Beat
        | Kind::Ends
        | Kind::Habit(HabitKind::Length) => text,
    }
}

fn as_json(value: &DeValue<'_>) -> Value {
    match value {
        DeValue::String(text) => json!(text),
        DeValue::Integer(number) => number.as_str().parse::<i64>().map_or(Value::Null, |n| json!(n)),
        DeValue::Float(number) => number.as_str().parse::<f64>().map_or(Value::Null, |n| json!(n)),
        DeValue::Boolean(flag) => json!(flag),
        DeValue::Datetime(time) => json!(time.to_string()),
        DeValue::Array(list) => list.iter().map(|element| as_json(element.get_ref())).collect(),
        DeValue::Table(table) => Value::Object(
            table.iter().map(|(k, v)| (k.get_ref().to_string(), as_json(v.get_ref()))).collect(),
        ),
    }
}

/// The reference of all keys, in Markdown: the part of the manual that is made from the table of keys.
#[must_use]
pub fn reference() -> String {
    let mut out = String::new();
    for section in Section::ALL {
        let heading = match section {
            Section::Plan => "At the top".to_string(),
            Section::Row => "A row written as a table".to_string(),
            Section::Group => "A group in a list of bands".to_string(),
            _ => format!("`{}`", section.heading()),
        };
        out.push_str(&format!("### {heading}\n\n| key | such as | |\n| --- | --- | --- |\n"));
        for key in section.keys() {
            let example = match key.kind {
                Kind::One(section) | Kind::Named(section) | Kind::Several(section) => section.heading(),
                _ => key.example,
            };
            let needed = if key.required { "**Needed.** " } else { "" };
            out.push_str(&format!("| `{}` | `{example}` | {needed}{} |\n", key.name, key.meaning));
        }
        out.push('\n');
    }
    out
}
