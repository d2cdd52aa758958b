//! The field table in words: what `explain` and the key reference say of a key of the drive file.

use super::Drive;
use super::record::{Field, Kind, Presence, Section, Tabled};
use crate::units::{self, Dimension};

static DRIVE: &Section = &const { Drive::SECTION };

/// A key with its dotted path from the top of the file.
#[derive(Clone, Debug)]
pub struct KeyEntry {
    /// Dotted path, such as `geometry.roller_radius`; arrays of tables count as tables.
    pub path: String,
    /// Its entry in the field table.
    pub field: &'static Field,
}

/// All keys of the drive file in the order of the field table, a table before what is in it.
#[must_use]
pub fn keys() -> Vec<KeyEntry> {
    let mut entries = Vec::new();
    collect(DRIVE, "", &mut entries);
    entries
}

fn collect(section: &'static Section, prefix: &str, entries: &mut Vec<KeyEntry>) {
    for field in section.fields {
        let path = if prefix.is_empty() { field.key.to_owned() } else { format!("{prefix}.{}", field.key) };
        entries.push(KeyEntry { path: path.clone(), field });
        if let Kind::Section(inner) | Kind::List(inner) = field.kind {
            collect(inner, &path, entries);
        }
    }
}

impl Field {
    /// What holds where the key is left out, as it would be written; nothing where it has no default.
    #[must_use]
    pub fn default_text(&self) -> Option<&'static str> {
        match self.presence {
            Presence::Default(text) => Some(text),
            _ => None,
        }
    }

    /// What the value must be, in words: `a length with its unit, such as "3 mm"`.
    #[must_use]
    pub fn kind_words(&self) -> String {
        match self.kind {
            Kind::Quantity(Dimension::Plain) => "a plain number, or text with %".to_owned(),
            Kind::Quantity(dimension) => {
                let unit = dimension.units().next().map_or("", |unit| unit.spellings[0]);
                format!("{} with its unit as text, such as \"3 {unit}\"", dimension.words())
            }
            Kind::Count => "a whole number".to_owned(),
            Kind::Choice(choices) => {
                let words: Vec<String> =
                    choices.iter().map(|choice| format!("\"{}\"", choice.word)).collect();
                format!("one of {}", words.join(", "))
            }
            Kind::Text => "text".to_owned(),
            Kind::Flag => "true or false".to_owned(),
            Kind::Section(_) => "a table".to_owned(),
            Kind::List(_) => "an array of tables".to_owned(),
        }
    }

    /// The range in the usual unit of its dimension: `0.01 mm to 5000 mm`; `None` where there is no limit.
    #[must_use]
    pub fn range_words(&self) -> Option<String> {
        let (least, most) = self.range;
        let dimension = match self.kind {
            Kind::Quantity(dimension) => Some(dimension),
            Kind::Count => None,
            _ => return None,
        };
        // Each in the first unit that needs no power of ten: a life from a thousandth of a second to thousands of hours.
        let written = |core: f64| {
            let units = || dimension.into_iter().flat_map(Dimension::units);
            let best = units().find(|unit| is_plain(units::in_unit(core, unit))).or_else(|| units().next());
            let value = best.map_or(core, |unit| units::in_unit(core, unit));
            let name = best.map_or("", |unit| unit.spellings[0]);
            format!("{} {name}", four_digits(value)).trim_end().to_owned()
        };
        match (least.is_finite(), most.is_finite()) {
            (true, true) => Some(format!("{} to {}", written(least), written(most))),
            (true, false) => Some(format!("at least {}", written(least))),
            (false, true) => Some(format!("at most {}", written(most))),
            (false, false) => None,
        }
    }

    /// Whether the key may be left out, and what then holds.
    #[must_use]
    pub fn presence_words(&self) -> String {
        match self.presence {
            Presence::Required => "required".to_owned(),
            Presence::Optional => "may be left out".to_owned(),
            Presence::Default("") => "may be left out; its keys then have their defaults".to_owned(),
            Presence::Default(text) => format!("may be left out; then {text}"),
        }
    }
}

/// Whether a number of this size is written without a power of ten.
fn is_plain(value: f64) -> bool {
    value == 0.0 || (1e-3..1e6).contains(&value.abs())
}

/// A limit with four significant digits, as short as that allows, with a power of ten where it is far from one.
fn four_digits(value: f64) -> String {
    let rounded: f64 = format!("{value:.3e}").parse().unwrap_or(value);
    let text = if is_plain(rounded) { format!("{rounded}") } else { format!("{rounded:e}") };
    text.replace('-', "−").replace("e−", "e-")
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn identity_every_key_has_one_path_and_can_be_described() {
        let keys = keys();
        let paths: BTreeSet<&str> = keys.iter().map(|entry| entry.path.as_str()).collect();
        assert_eq!(paths.len(), keys.len());
        assert!(paths.contains("geometry.modification.flank_rotation"));
        for entry in keys {
            assert!(!entry.field.kind_words().is_empty(), "{}", entry.path);
            assert!(!entry.field.doc.is_empty(), "{}", entry.path);
        }
    }

    #[test]
    fn identity_limits_are_short() {
        assert_eq!(four_digits(5000.0), "5000");
        assert_eq!(four_digits(0.010_000_1), "0.01");
        assert_eq!(four_digits(1e8), "1e8");
        assert_eq!(four_digits(-80.149_999), "−80.15");
        assert_eq!(four_digits(1e-8), "1e-8");
    }
}
