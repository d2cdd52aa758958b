//! One value of the drive file, read and checked against its entry in the field table.

use crate::nearest::nearest;
use reducer::model::record::{Choice, Field, Kind, Presence, Value};
use reducer::units::{self, Dimension, QuantityError, Unit, parse_quantity};
use toml::de::DeValue;

/// What is wrong with a value, without its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Complaint {
    pub(crate) message: String,
    pub(crate) expected: String,
    pub(crate) hint: String,
}

impl Complaint {
    fn new(message: impl Into<String>, expected: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { message: message.into(), expected: expected.into(), hint: hint.into() }
    }
}

/// Most characters of a free text: it has to fit on a drawing and in a report.
const LONGEST_TEXT: usize = 2_000;

/// A value of the file as the field table wants it.
pub(crate) fn from_toml(field: &Field, value: &DeValue<'_>) -> Result<Value, Complaint> {
    match (field.kind, value) {
        (_, DeValue::String(text)) if text.trim().is_empty() => Err(empty(field)),
        (Kind::Quantity(dimension), DeValue::String(text)) => quantity(field, dimension, text),
        (Kind::Quantity(Dimension::Plain), DeValue::Integer(number)) => {
            plain_number(field, &integer_text(number).unwrap_or_else(|| number.to_string()))
        }
        (Kind::Quantity(Dimension::Plain), DeValue::Float(number)) => plain_number(field, number.as_str()),
        (Kind::Quantity(dimension), DeValue::Integer(_) | DeValue::Float(_)) => {
            Err(bare_number(field, dimension, &written(value)))
        }
        (Kind::Count, DeValue::Integer(number)) => {
            count(field, &integer_text(number).unwrap_or_else(|| number.to_string()))
        }
        (Kind::Choice(choices), DeValue::String(text)) => choice(field, choices, text),
        (Kind::Text, DeValue::String(text)) => free_text(field, text),
        (Kind::Flag, DeValue::Boolean(flag)) => Ok(Value::Flag(*flag)),
        _ => Err(wrong_type(field, value)),
    }
}

/// Text without a word in it says nothing, whatever the key wants.
fn empty(field: &Field) -> Complaint {
    let expected = match field.kind {
        Kind::Quantity(Dimension::Plain) | Kind::Count => format!("a number, {}", limits_in(field, None)),
        Kind::Quantity(dimension) => format!("{} in {}", dimension.words(), usual_units(dimension)),
        Kind::Choice(choices) => format!("one of {}", quoted_list(choices.iter().map(|choice| choice.word))),
        Kind::Flag => "true or false".to_owned(),
        _ => "some text".to_owned(),
    };
    if matches!(field.presence, Presence::Required) {
        return Complaint::new(format!("`{}` is empty: a value is required", field.key), expected, "");
    }
    Complaint::new(
        format!("`{}` is empty", field.key),
        expected,
        "leave the key out where nothing is known of it",
    )
}

/// A default of the field table, read by the same code as the file's own values.
pub(crate) fn from_default(field: &Field, text: &str) -> Result<Value, Complaint> {
    match field.kind {
        Kind::Quantity(dimension) => quantity(field, dimension, text),
        Kind::Count => count(field, text),
        Kind::Choice(choices) => choice(field, choices, text),
        Kind::Text => free_text(field, text),
        Kind::Flag => {
            text.parse().map(Value::Flag).map_err(|_| wrong_type(field, &DeValue::String(text.into())))
        }
        Kind::Section(_) | Kind::List(_) => Err(wrong_type(field, &DeValue::String(text.into()))),
    }
}

fn quantity(field: &Field, dimension: Dimension, text: &str) -> Result<Value, Complaint> {
    let core = parse_quantity(text, dimension)
        .map_err(|error| quantity_complaint(field, dimension, text, &error))?;
    check_range(field, dimension, text, core)?;
    Ok(Value::Number(core))
}

fn plain_number(field: &Field, text: &str) -> Result<Value, Complaint> {
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => {
            check_range(field, Dimension::Plain, text, number)?;
            Ok(Value::Number(number))
        }
        _ => {
            Err(Complaint::new(format!("`{}` is not a finite number", field.key), limits_in(field, None), ""))
        }
    }
}

fn count(field: &Field, text: &str) -> Result<Value, Complaint> {
    let (least, most) = field.range;
    let expected = format!("a whole number from {} to {}", short(least), short(most));
    let Ok(number) = text.parse::<i128>() else {
        return Err(Complaint::new(format!("`{}` is not a whole number: {text}", field.key), expected, ""));
    };
    match usize::try_from(number) {
        Ok(count) if (least..=most).contains(&(number as f64)) => Ok(Value::Count(count)),
        _ if (number as f64) < least => Err(Complaint::new(
            format!("`{}` is too small: {number} < {}", field.key, short(least)),
            expected,
            "",
        )),
        _ => Err(Complaint::new(
            format!("`{}` is too large: {number} > {}", field.key, short(most)),
            expected,
            "",
        )),
    }
}

fn choice(field: &Field, choices: &'static [Choice], text: &str) -> Result<Value, Complaint> {
    let words = || choices.iter().map(|choice| choice.word);
    if words().any(|word| word == text) {
        return Ok(Value::Text(text.to_owned()));
    }
    let hint = nearest(text, words()).map_or_else(String::new, |word| format!("write \"{word}\""));
    let message = format!("`{}` does not know the word \"{text}\"", field.key);
    Err(Complaint::new(message, format!("one of {}", quoted_list(words())), hint))
}

fn free_text(field: &Field, text: &str) -> Result<Value, Complaint> {
    let complaint = |what: String| Err(Complaint::new(format!("`{}` {what}", field.key), "some text", ""));
    if let Some(control) =
        text.chars().find(|character| character.is_control() && !"\n\r\t".contains(*character))
    {
        return complaint(format!("holds the control character {}", control.escape_unicode()));
    }
    match text.chars().count() {
        length if length > LONGEST_TEXT => {
            complaint(format!("is too long: {length} characters > {LONGEST_TEXT} characters"))
        }
        _ => Ok(Value::Text(text.to_owned())),
    }
}

/// Compares a value in core units with its limits, and tells them in the unit that was written.
fn check_range(field: &Field, dimension: Dimension, text: &str, core: f64) -> Result<(), Complaint> {
    let (least, most) = field.range;
    if (least..=most).contains(&core) {
        return Ok(());
    }
    let unit = written_unit(text, dimension);
    let (word, sign, limit) = if core < least { ("small", "<", least) } else { ("large", ">", most) };
    let message = format!("`{}` is too {word}: {} {sign} {}", field.key, text.trim(), in_words(limit, unit));
    Err(Complaint::new(message, limits_in(field, unit), ""))
}

/// The limits of a field in a unit, as words.
pub(crate) fn limits_in(field: &Field, unit: Option<&Unit>) -> String {
    match field.range {
        (least, most) if least.is_finite() && most.is_finite() => {
            format!("from {} to {}", in_words(least, unit), in_words(most, unit))
        }
        (least, _) if least.is_finite() => format!("at least {}", in_words(least, unit)),
        (_, most) if most.is_finite() => format!("at most {}", in_words(most, unit)),
        _ => "a finite number".to_owned(),
    }
}

/// A core value as text in a unit, with a few digits.
fn in_words(core: f64, unit: Option<&Unit>) -> String {
    match unit {
        Some(unit) => format!("{} {}", short(units::in_unit(core, unit)), unit.spellings[0]),
        None => short(core),
    }
}

/// A number with at most six significant digits and no needless zeros.
pub(crate) fn short(value: f64) -> String {
    let rounded: f64 = format!("{value:.5e}").parse().unwrap_or(value);
    match rounded.abs() {
        0.0 => "0".to_owned(),
        size if !(1e-4..1e7).contains(&size) => format!("{rounded:e}"),
        _ => format!("{rounded}"),
    }
}

/// The unit that a text ends in, if what stands before it is a number.
fn written_unit(text: &str, dimension: Dimension) -> Option<&'static Unit> {
    let is_number = |rest: &str| rest.trim().replace('−', "-").parse::<f64>().is_ok();
    dimension.units().find(|unit| {
        unit.spellings.iter().any(|spelling| text.trim().strip_suffix(spelling).is_some_and(is_number))
    })
}

fn quantity_complaint(field: &Field, dimension: Dimension, text: &str, error: &QuantityError) -> Complaint {
    let expected = format!("{} in {}", dimension.words(), usual_units(dimension));
    let wants_number = dimension == Dimension::Plain;
    let expected = if wants_number { "a number, or text with %".to_owned() } else { expected };
    let hint = match error {
        QuantityError::NoUnit { .. } => return bare_number(field, dimension, text.trim()),
        QuantityError::UnknownUnit { unit } if unit.starts_with(',') => {
            format!("the decimal sign is a point: write \"{}\"", text.trim().replacen(',', ".", 1))
        }
        QuantityError::UnknownUnit { unit } if wants_number && unit.trim() == ":1" => {
            format!("write {}", text.trim().trim_end_matches("1").trim_end_matches([':', ' ']))
        }
        QuantityError::UnknownUnit { unit } | QuantityError::WrongDimension { unit, .. } => {
            nearest_unit(unit, dimension).map_or_else(String::new, |near| {
                let number = text.trim().strip_suffix(unit.as_str()).unwrap_or_default().trim_end();
                format!("write \"{number} {near}\"")
            })
        }
        QuantityError::NoNumber { .. } if !wants_number => {
            format!("write the number first, such as {}", example(dimension))
        }
        QuantityError::NoNumber { .. } | QuantityError::NotFinite { .. } => String::new(),
    };
    Complaint::new(format!("`{}`: {error}", field.key), expected, hint)
}

/// A unit of the dimension that the writer most likely meant.
fn nearest_unit(unit: &str, dimension: Dimension) -> Option<&'static str> {
    let spellings = || dimension.units().flat_map(|known| known.spellings.iter().copied());
    let folded = unit.to_lowercase();
    spellings().find(|spelling| spelling.to_lowercase() == folded).or_else(|| nearest(unit, spellings()))
}

fn bare_number(field: &Field, dimension: Dimension, number: &str) -> Complaint {
    let unit = dimension.units().next().map_or("", |unit| unit.spellings[0]);
    Complaint::new(
        format!("`{}` has no unit: {number}", field.key),
        format!("{} as text, with its unit", dimension.words()),
        format!("write \"{number} {unit}\" if {unit} is meant; known are {}", usual_units(dimension)),
    )
}

/// What a field wants, in words.
pub(crate) fn wanted(field: &Field) -> String {
    match field.kind {
        Kind::Quantity(Dimension::Plain) => "a number, or text with %".to_owned(),
        Kind::Quantity(dimension) => format!("{} as text, such as {}", dimension.words(), example(dimension)),
        Kind::Count => format!("a whole number from {} to {}", short(field.range.0), short(field.range.1)),
        Kind::Choice(choices) => format!("one of {}", quoted_list(choices.iter().map(|choice| choice.word))),
        Kind::Text => "text in quotes".to_owned(),
        Kind::Flag => "true or false".to_owned(),
        Kind::Section(_) => "a table".to_owned(),
        Kind::List(_) => "a list of tables".to_owned(),
    }
}

pub(crate) fn wrong_type(field: &Field, value: &DeValue<'_>) -> Complaint {
    let found = match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number with decimals",
        DeValue::Boolean(true) => "`true`",
        DeValue::Boolean(false) => "`false`",
        DeValue::Datetime(_) => "a date without quotes",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    };
    let hint = match (field.kind, value) {
        (Kind::Count, DeValue::String(text)) if text.trim().parse::<usize>().is_ok() => {
            format!("write {} without quotes", text.trim())
        }
        (Kind::Flag, DeValue::String(text)) => format!("write {} without quotes", text.trim()),
        (Kind::Text, DeValue::Datetime(date)) => format!("write \"{date}\""),
        (Kind::Text, DeValue::Integer(_) | DeValue::Float(_) | DeValue::Boolean(_)) => {
            format!("write \"{}\"", written(value))
        }
        (Kind::Count, DeValue::Float(number)) => match number.as_str().parse::<f64>() {
            Ok(whole) if whole.fract() == 0.0 && whole.abs() < 1e9 => format!("write {whole}"),
            _ => String::new(),
        },
        _ => String::new(),
    };
    Complaint::new(format!("`{}` is {found}", field.key), wanted(field), hint)
}

/// The first spellings of a dimension's units, the usual one first.
pub(crate) fn usual_units(dimension: Dimension) -> String {
    dimension.units().map(|unit| unit.spellings[0]).collect::<Vec<_>>().join(", ")
}

/// A value with the usual unit, for messages that say what to write.
pub(crate) fn example(dimension: Dimension) -> String {
    match dimension.units().next() {
        Some(unit) if dimension != Dimension::Plain => format!("\"1.5 {}\"", unit.spellings[0]),
        _ => "0.4 or \"40 %\"".to_owned(),
    }
}

pub(crate) fn quoted_list<'a>(words: impl Iterator<Item = &'a str>) -> String {
    words.map(|word| format!("\"{word}\"")).collect::<Vec<_>>().join(", ")
}

/// A whole number as decimal digits, whatever the base it was written in.
fn integer_text(number: &toml::de::DeInteger<'_>) -> Option<String> {
    i128::from_str_radix(number.as_str(), number.radix()).ok().map(|value| value.to_string())
}

fn written(value: &DeValue<'_>) -> String {
    match value {
        DeValue::Integer(number) => number.to_string(),
        DeValue::Float(number) => number.to_string(),
        DeValue::Boolean(flag) => flag.to_string(),
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::DRIVE;
    use reducer::model::record::{Presence, Section};

    fn all_fields(section: &'static Section) -> Vec<&'static Field> {
        let inner = section.fields.iter().flat_map(|field| match field.kind {
            Kind::Section(inner) | Kind::List(inner) => all_fields(inner),
            _ => vec![field],
        });
        inner.collect()
    }

    #[test]
    fn identity_every_default_of_the_field_table_reads() {
        for field in all_fields(DRIVE) {
            if let Presence::Default(text) = field.presence {
                assert!(from_default(field, text).is_ok(), "{}: {text}", field.key);
            }
        }
    }

    #[test]
    fn identity_limits_are_told_in_the_unit_that_was_written() {
        let field = DRIVE.field("geometry").and_then(|field| match field.kind {
            Kind::Section(geometry) => geometry.field("ring_radius"),
            _ => None,
        });
        let complaint = |text: &str| from_toml(field.unwrap(), &DeValue::String(text.into())).unwrap_err();
        assert_eq!(complaint("300 in").message, "`ring_radius` is too large: 300 in > 196.85 in");
        assert_eq!(complaint("0.5 mm").message, "`ring_radius` is too small: 0.5 mm < 1 mm");
        assert_eq!(complaint("7e3 mm").expected, "from 1 mm to 5000 mm");
    }

    #[test]
    fn identity_short_numbers_keep_six_digits() {
        let told: Vec<String> = [0.1 + 0.2, 1e8, -0.0, 196.850_393_7, 2.5e-7].map(short).to_vec();
        assert_eq!(told, ["0.3", "1e8", "0", "196.85", "2.5e-7"]);
    }
}
