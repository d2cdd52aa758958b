//! Named quantities, formulas, checks and sources as data: each once, read by report, page and command line alike.
//!
//! The four tables are TOML files at the root of the repository, built into the program.
//! A table that does not parse is a defect of the build, caught by the tests of this module.

use crate::units::{self, Unit};
use serde::Deserialize;
use std::sync::LazyLock;

/// A quantity that people are shown: how it is called, written and rounded.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Quantity {
    /// Name in code and JSON, stem and core unit.
    pub name: String,
    /// The trade's letter, with `_` before a subscript.
    pub symbol: String,
    /// Unit in which people are shown the value, empty for plain numbers.
    pub unit: String,
    /// Digits after the decimal point.
    pub digits: usize,
    /// What is greater is shown as greater than this, in the unit shown: more would promise what nobody can keep.
    #[serde(default)]
    pub most: Option<f64>,
    /// Name in words.
    pub words: String,
    /// What a positive value means, where that is not obvious.
    #[serde(default)]
    pub sign: Option<String>,
}

/// A formula: what it says, for what it is valid and where it comes from.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Formula {
    /// Short name with hyphens, as `explain` takes it.
    pub id: String,
    /// What it computes, in words.
    pub title: String,
    /// The formula in plain text.
    pub text: String,
    /// The formula in the report's mathematical markup.
    pub math: String,
    /// What each letter means: letter, then words and unit.
    pub symbols: Vec<(String, String)>,
    /// For what it is valid and what it assumes.
    pub valid_for: String,
    /// Keys of the table of sources.
    pub sources: Vec<String>,
    /// Place within the sources, or how the formula was obtained.
    pub place: String,
}

/// A check of the verdict: what it asks, and where its limit comes from.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CheckEntry {
    /// Short name with hyphens, as findings carry it.
    pub id: String,
    /// The question that it answers.
    pub asks: String,
    /// Where the limit comes from.
    pub limit: String,
    /// Id of the formula of the value, where it is always the same one.
    #[serde(default)]
    pub formula: Option<String>,
}

/// A book, paper or standard, and how much of it we hold.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Key by which formulas and tests name it.
    pub key: String,
    /// Authors or issuing body.
    pub author: String,
    /// Title.
    pub title: String,
    /// Year of the edition meant.
    pub year: i32,
    /// Edition, journal or number.
    #[serde(default)]
    pub edition: Option<String>,
    /// Digital object identifier.
    #[serde(default)]
    pub doi: Option<String>,
    /// How much of it was at hand: `read`, `abstract`, `from memory`, `own derivation`, `common practice`.
    pub held: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct QuantityTable {
    quantity: Vec<Quantity>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FormulaTable {
    formula: Vec<Formula>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CheckTable {
    check: Vec<CheckEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SourceTable {
    source: Vec<Source>,
}

static QUANTITIES: LazyLock<Vec<Quantity>> = LazyLock::new(|| {
    parse::<QuantityTable>("quantities.toml", include_str!("../../../quantities.toml")).quantity
});
static FORMULAS: LazyLock<Vec<Formula>> =
    LazyLock::new(|| parse::<FormulaTable>("formulas.toml", include_str!("../../../formulas.toml")).formula);
static CHECKS: LazyLock<Vec<CheckEntry>> =
    LazyLock::new(|| parse::<CheckTable>("checks.toml", include_str!("../../../checks.toml")).check);
static SOURCES: LazyLock<Vec<Source>> =
    LazyLock::new(|| parse::<SourceTable>("sources.toml", include_str!("../../../sources.toml")).source);

/// Reads a built-in table; these never change after the build, and a test reads each of them.
fn parse<T: for<'de> Deserialize<'de>>(name: &str, text: &str) -> T {
    toml::from_str(text).unwrap_or_else(|error| panic!("built-in table {name} does not parse: {error}"))
}

/// All quantities in the order of the table.
#[must_use]
pub fn quantities() -> &'static [Quantity] {
    &QUANTITIES
}

/// All formulas in the order of the table.
#[must_use]
pub fn formulas() -> &'static [Formula] {
    &FORMULAS
}

/// All checks of the verdict in the order of the table.
#[must_use]
pub fn checks() -> &'static [CheckEntry] {
    &CHECKS
}

/// All sources in the order of the table.
#[must_use]
pub fn sources() -> &'static [Source] {
    &SOURCES
}

/// The quantity of a name.
#[must_use]
pub fn quantity(name: &str) -> Option<&'static Quantity> {
    QUANTITIES.iter().find(|quantity| quantity.name == name)
}

/// The formula of an id.
#[must_use]
pub fn formula(id: &str) -> Option<&'static Formula> {
    FORMULAS.iter().find(|formula| formula.id == id)
}

/// The source of a key.
#[must_use]
pub fn source(key: &str) -> Option<&'static Source> {
    SOURCES.iter().find(|source| source.key == key)
}

impl Quantity {
    /// The unit people are shown, `None` for plain numbers.
    #[must_use]
    pub fn display_unit(&self) -> Option<&'static Unit> {
        units::UNITS.iter().find(|unit| {
            unit.spellings.contains(&self.unit.as_str()) && self.name.ends_with(unit.dimension.suffix())
        })
    }

    /// A core value as people read it, without its unit: `1234.5` → `1,234.5`.
    #[must_use]
    pub fn number(&self, core_value: f64) -> String {
        let value = self.display_unit().map_or(core_value, |unit| units::in_unit(core_value, unit));
        match self.most {
            Some(most) if value > most => format!("> {}", format_number(most, self.digits)),
            _ => format_number(value, self.digits),
        }
    }

    /// A core value as people read it, with its unit.
    #[must_use]
    pub fn display(&self, core_value: f64) -> String {
        self.number(core_value) + &self.unit_behind()
    }

    /// The unit as it stands behind a number: after a space, but for the sign of degrees (common practice; the SI brochure has it so, from memory).
    #[must_use]
    pub fn unit_behind(&self) -> String {
        let gap = if self.unit.is_empty() || self.unit == "°" { "" } else { " " };
        format!("{gap}{}", self.unit)
    }
}

/// A core value of a named quantity as people read it, with its unit.
///
/// A name that is not in the table is written with six significant digits and no unit; a test
/// makes sure that no name in use is missing.
#[must_use]
pub fn display(name: &str, core_value: f64) -> String {
    quantity(name).map_or_else(|| format!("{core_value:.6}"), |quantity| quantity.display(core_value))
}

/// A number with fixed decimals and thin grouping of thousands by commas; −0 is written as 0.
#[must_use]
pub fn format_number(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return if value.is_nan() {
            "–".to_owned()
        } else if value > 0.0 {
            "∞".to_owned()
        } else {
            "−∞".to_owned()
        };
    }
    let plain = format!("{:.digits$}", value.abs());
    let (whole, fraction) = plain.split_once('.').map_or((plain.as_str(), ""), |parts| parts);
    let mut grouped = String::new();
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index).is_multiple_of(3) && whole.len() > 4 {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    let zero = plain.chars().all(|character| matches!(character, '0' | '.'));
    let sign = if value < 0.0 && !zero { "−" } else { "" };
    if fraction.is_empty() { format!("{sign}{grouped}") } else { format!("{sign}{grouped}.{fraction}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn identity_tables_parse_and_have_unique_keys() {
        let unique = |keys: Vec<&str>| keys.iter().collect::<BTreeSet<_>>().len() == keys.len();
        assert!(unique(quantities().iter().map(|quantity| quantity.name.as_str()).collect()));
        assert!(unique(formulas().iter().map(|formula| formula.id.as_str()).collect()));
        assert!(unique(checks().iter().map(|check| check.id.as_str()).collect()));
        assert!(unique(sources().iter().map(|source| source.key.as_str()).collect()));
    }

    #[test]
    fn identity_more_than_anybody_can_promise_is_told_as_more() {
        let life = quantity("life_s").unwrap();
        assert_eq!(life.display(3600.0 * 999_999.0), "999,999 h");
        assert_eq!(life.display(3600.0 * 1.3e9), "> 1,000,000 h");
    }

    #[test]
    fn identity_every_unit_is_known_and_every_source_exists() {
        for quantity in quantities() {
            let plain = quantity.unit.is_empty();
            assert!(plain || quantity.display_unit().is_some(), "{}: unit {}", quantity.name, quantity.unit);
        }
        for id in checks().iter().filter_map(|check| check.formula.as_deref()) {
            assert!(formula(id).is_some(), "formula {id} of a check");
        }
        for formula in formulas() {
            for key in &formula.sources {
                assert!(source(key).is_some(), "{}: source {key}", formula.id);
            }
        }
    }

    #[test]
    fn identity_numbers_are_grouped_and_never_minus_zero() {
        assert_eq!(format_number(1234.0, 0), "1234");
        assert_eq!(format_number(12345.678, 1), "12,345.7");
        assert_eq!(format_number(-0.0001, 2), "0.00");
        assert_eq!(format_number(-2.5, 1), "−2.5");
    }
}
