//! JSON Schema of the drive file, generated from the field table, for editors that complete and check.

use crate::DRIVE;
use crate::scalar::limits_in;
use reducer::model::record::{Choice, Field, Kind, Presence, Section};
use reducer::units::Dimension;
use serde_json::{Map, Value, json};

/// A decimal number as `parse_quantity` reads it, in the dialect of ECMA-262.
const NUMBER_PATTERN: &str = r"[+−-]?(\d+\.?\d*|\.\d+)([eE][+−-]?\d+)?";

/// JSON Schema (draft 2020-12) of the drive file.
///
/// It knows keys, types, units, words and the limits of counts; limits of quantities stand in the
/// descriptions, since they depend on the unit. What it lets through, [`crate::read`] still checks.
#[must_use]
pub fn json_schema() -> Value {
    let mut schema = section_schema(DRIVE);
    schema.insert("$schema".to_owned(), "https://json-schema.org/draft/2020-12/schema".into());
    schema.insert("title".to_owned(), "Drive file of lobewright".into());
    Value::Object(schema)
}

fn section_schema(section: &Section) -> Map<String, Value> {
    let required = section.fields.iter().filter(|field| field.presence == Presence::Required);
    let required: Vec<&str> = required.map(|field| field.key).collect();
    let properties: Map<String, Value> = section
        .fields
        .iter()
        .map(|field| (field.key.to_owned(), Value::Object(field_schema(field))))
        .collect();
    let mut schema = Map::new();
    schema.insert("type".to_owned(), "object".into());
    schema.insert("description".to_owned(), section.doc.trim().into());
    schema.insert("properties".to_owned(), Value::Object(properties));
    if !required.is_empty() {
        schema.insert("required".to_owned(), json!(required));
    }
    schema.insert("additionalProperties".to_owned(), false.into());
    schema
}

fn field_schema(field: &Field) -> Map<String, Value> {
    let mut schema = match field.kind {
        Kind::Quantity(Dimension::Plain) => object(json!({
            "anyOf": [
                { "type": "number", "minimum": field.range.0, "maximum": field.range.1 },
                { "type": "string", "pattern": format!(r"^\s*{NUMBER_PATTERN}\s*%?\s*$") },
            ],
        })),
        Kind::Quantity(dimension) => object(json!({
            "type": "string",
            "pattern": quantity_pattern(dimension),
            "examples": examples(dimension),
        })),
        Kind::Count => object(
            json!({ "type": "integer", "minimum": whole(field.range.0), "maximum": whole(field.range.1) }),
        ),
        Kind::Choice(choices) => object(json!({ "enum": words(choices) })),
        Kind::Text => object(json!({ "type": "string", "minLength": 1 })),
        Kind::Flag => object(json!({ "type": "boolean" })),
        Kind::Section(inner) => section_schema(inner),
        Kind::List(inner) => {
            object(json!({ "type": "array", "minItems": 1, "items": section_schema(inner) }))
        }
    };
    schema.insert("description".to_owned(), description(field).into());
    if let Some(default) = default(field) {
        schema.insert("default".to_owned(), default);
    }
    schema
}

/// What the key means, with its limits and words.
fn description(field: &Field) -> String {
    match field.kind {
        Kind::Quantity(dimension) => {
            let limits = limits_in(field, dimension.units().next().filter(|_| dimension != Dimension::Plain));
            format!("{} Limits: {limits}.", field.doc)
        }
        Kind::Choice(choices) => {
            let meanings: Vec<_> =
                choices.iter().map(|choice| format!("{}: {}", choice.word, choice.doc)).collect();
            format!("{} {}", field.doc, meanings.join(" "))
        }
        _ => field.doc.to_owned(),
    }
}

/// The default as a value of the type that the file holds.
fn default(field: &Field) -> Option<Value> {
    let text = field.default_text()?;
    Some(match field.kind {
        Kind::Count => text.parse::<u64>().map_or(Value::Null, Value::from),
        Kind::Flag => Value::from(text == "true"),
        Kind::Quantity(Dimension::Plain) => {
            text.parse::<f64>().map_or_else(|_| Value::from(text), |number| json!(number))
        }
        Kind::Section(_) | Kind::List(_) => json!({}),
        _ => Value::from(text),
    })
}

fn quantity_pattern(dimension: Dimension) -> String {
    let units: Vec<String> =
        dimension.units().flat_map(|unit| unit.spellings).map(|spelling| escape(spelling)).collect();
    format!(r"^\s*{NUMBER_PATTERN}\s*({})\s*$", units.join("|"))
}

/// A text in which no character has a meaning of its own in a pattern.
fn escape(text: &str) -> String {
    let escaped = |character: char| {
        let special = r"^$\.*+?()[]{}|".contains(character);
        [special.then_some('\\'), Some(character)].into_iter().flatten()
    };
    text.chars().flat_map(escaped).collect()
}

fn examples(dimension: Dimension) -> Vec<String> {
    dimension.units().map(|unit| format!("1.5 {}", unit.spellings[0])).collect()
}

fn words(choices: &[Choice]) -> Vec<&'static str> {
    choices.iter().map(|choice| choice.word).collect()
}

/// A limit of a count, which the field table holds as a number with decimals.
fn whole(limit: f64) -> u64 {
    // Limits of counts are small whole numbers; the conversion saturates and cannot wrap.
    limit as u64
}

fn object(value: Value) -> Map<String, Value> {
    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}
