//! A case file: source, place, inputs and expected values as printed, tolerance and its reason.
//!
//! ```toml
//! source = "key in sources.toml"
//! place = "example, table, equation or page"
//! title = "what it is about"
//! model = "which part of the program computes it"
//! kind = "published-read"          # published-from-memory, computed, independent-program
//! transcribed = "how it was copied and read a second time"
//! difference = "known difference and why, where there is one"
//!
//! [inputs]
//! force = "24.1 kN"
//!
//! [expected]
//! pressure = "1445 MPa"
//!
//! [tolerance.pressure]             # half of the last printed digit unless stated; `tolerance.all` for every output
//! value = "0.2 %"
//! reason = "…"
//!
//! [[row]]                          # a table: rows take over the inputs above
//! inputs = { angle = "60 deg" }
//! expected = { x = "73.980080 mm" }
//! ```

use reducer::units::{self, Dimension, QuantityError};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// How far the expected numbers can be called published.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Printed in the source, and read there.
    PublishedRead,
    /// Printed in the source, but quoted from memory.
    PublishedFromMemory,
    /// Given by another program that shares no code with this one.
    IndependentProgram,
    /// Evaluated from a stated formula outside this program; not published.
    Computed,
}

impl Kind {
    /// The kind in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::PublishedRead => "published, read",
            Self::PublishedFromMemory => "published, from memory",
            Self::IndependentProgram => "independent program",
            Self::Computed => "computed from the stated formula",
        }
    }
}

/// A case as its file states it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CaseFile {
    /// Path below the folder of cases, with `/`.
    #[serde(skip)]
    pub path: String,
    /// Key in sources.toml.
    pub source: String,
    /// Place within the source.
    pub place: String,
    /// What the case is about.
    pub title: String,
    /// Name of the model that computes it.
    pub model: String,
    /// How far its numbers can be called published.
    pub kind: Kind,
    /// How it was copied and read a second time.
    pub transcribed: String,
    /// Known difference between the print and the program, and why.
    #[serde(default)]
    pub difference: Option<String>,
    /// Inputs of every row.
    #[serde(default)]
    inputs: BTreeMap<String, toml::Value>,
    /// Expected values, where there is only one row.
    #[serde(default)]
    expected: BTreeMap<String, String>,
    /// Tolerances that are not half of the last printed digit.
    #[serde(default)]
    tolerance: BTreeMap<String, Tolerance>,
    /// Rows of a table.
    #[serde(default)]
    row: Vec<Row>,
}

/// One row of a case.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// What the model takes.
    pub inputs: BTreeMap<String, toml::Value>,
    /// What the source prints.
    pub expected: BTreeMap<String, String>,
}

/// A tolerance that is stated, and why.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tolerance {
    /// A share such as `0.2 %`, or a quantity in the unit of the printed one.
    value: String,
    /// Why half of the last printed digit does not do.
    reason: String,
}

/// Why a case file can not be used.
#[derive(Debug, thiserror::Error)]
pub enum LoadError {
    /// The file or folder can not be read.
    #[error("{}: {error}", path.display())]
    Read {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        error: std::io::Error,
    },
    /// The file is not a case.
    #[error("{path}: {error}")]
    Parse {
        /// The file.
        path: String,
        /// What is wrong with it.
        error: Box<toml::de::Error>,
    },
    /// The file says too little.
    #[error("{path}: {what}")]
    Incomplete {
        /// The file.
        path: String,
        /// What is missing.
        what: &'static str,
    },
}

impl CaseFile {
    /// The rows of the case, each with the inputs that all have in common.
    #[must_use]
    pub fn rows(&self) -> Vec<Row> {
        if self.row.is_empty() {
            return vec![Row { inputs: self.inputs.clone(), expected: self.expected.clone() }];
        }
        let complete = |row: &Row| {
            let mut inputs = self.inputs.clone();
            inputs.extend(row.inputs.clone());
            Row { inputs, expected: row.expected.clone() }
        };
        self.row.iter().map(complete).collect()
    }

    /// Whether the case is a table.
    #[must_use]
    pub fn has_rows(&self) -> bool {
        !self.row.is_empty()
    }

    /// The stated tolerance of an output.
    #[must_use]
    pub fn tolerance_of(&self, name: &str) -> Option<&Tolerance> {
        self.tolerance.get(name).or_else(|| self.tolerance.get("all"))
    }

    /// The reasons of all stated tolerances.
    pub fn tolerance_reasons(&self) -> impl Iterator<Item = (&str, &str, &str)> {
        self.tolerance
            .iter()
            .map(|(name, stated)| (name.as_str(), stated.value.as_str(), stated.reason.as_str()))
    }

    fn check(self) -> Result<Self, LoadError> {
        let path = self.path.clone();
        let incomplete = |what| Err(LoadError::Incomplete { path, what });
        if self.transcribed.trim().is_empty() || self.place.trim().is_empty() {
            return incomplete("place and transcribed must say something");
        }
        if self.tolerance.values().any(|stated| stated.reason.trim().is_empty()) {
            return incomplete("a stated tolerance needs a reason");
        }
        if self.row.is_empty() == self.expected.is_empty() {
            return incomplete("give either [expected] or [[row]]");
        }
        Ok(self)
    }
}

/// Every case file below a folder, in the order of their paths; `independent_program` holds data in another form.
///
/// # Errors
/// The first file that can not be used.
pub fn load_all(folder: &Path) -> Result<Vec<CaseFile>, LoadError> {
    let mut paths = Vec::new();
    collect(folder, &mut paths)?;
    let mut named: Vec<(String, PathBuf)> = paths
        .into_iter()
        .map(|path| {
            let relative = path.strip_prefix(folder).unwrap_or(&path).to_string_lossy().replace('\\', "/");
            (relative, path)
        })
        .collect();
    named.sort();
    named.into_iter().map(|(name, path)| load(name, path)).collect()
}

fn load(name: String, path: PathBuf) -> Result<CaseFile, LoadError> {
    let text = std::fs::read_to_string(&path).map_err(|error| LoadError::Read { path, error })?;
    let parsed: Result<CaseFile, _> = toml::from_str(&text);
    match parsed {
        Ok(case) => CaseFile { path: name, ..case }.check(),
        Err(error) => Err(LoadError::Parse { path: name, error: Box::new(error) }),
    }
}

fn collect(folder: &Path, paths: &mut Vec<PathBuf>) -> Result<(), LoadError> {
    let failed = |error| LoadError::Read { path: folder.to_path_buf(), error };
    for entry in std::fs::read_dir(folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        if path.is_dir() {
            if path.ends_with(super::finite_element::FOLDER) {
                continue;
            }
            collect(&path, paths)?;
        } else if path.extension().is_some_and(|extension| extension == "toml") {
            paths.push(path);
        }
    }
    Ok(())
}

/// A number as a source prints it.
#[derive(Clone, Debug, PartialEq)]
pub struct Printed {
    /// The number in the printed unit.
    pub value: f64,
    /// Half a unit of its last printed digit.
    pub half_last_digit: f64,
    /// The printed unit, empty for plain numbers.
    unit: String,
    /// Core units in one printed unit.
    factor: f64,
    /// Core value of nothing in the printed unit; only temperatures have one.
    offset: f64,
}

impl Printed {
    /// Reads `1 447.0 MPa`, `6.913866e-4 rad`, `10 195.11 N`, `0.5`.
    ///
    /// # Errors
    /// As [`units::parse_quantity`].
    pub fn parse(text: &str, dimension: Dimension) -> Result<Self, QuantityError> {
        let is_number = |character: char| character.is_ascii_digit() || "+-−.eE \u{a0}".contains(character);
        let end = text
            .char_indices()
            .find(|&(_, character)| !is_number(character))
            .map_or(text.len(), |(at, _)| at);
        let (number, unit) = text.split_at(end);
        let digits: String = number.chars().filter(|character| !character.is_whitespace()).collect();
        let digits = digits.replace('−', "-");
        let core = |number: &str| units::parse_quantity(&format!("{number} {}", unit.trim()), dimension);
        let offset = core("0")?;
        let factor = core("1")? - offset;
        let value = digits.parse::<f64>().map_err(|_| QuantityError::NoNumber { text: text.to_owned() })?;
        Ok(Self {
            value,
            half_last_digit: half_last_digit(&digits),
            unit: unit.trim().to_owned(),
            factor,
            offset,
        })
    }

    /// A core value in the printed unit.
    #[must_use]
    pub fn in_printed_unit(&self, core: f64) -> f64 {
        (core - self.offset) / self.factor
    }
}

/// Half a unit of the last digit of `12.340e-4`.
fn half_last_digit(digits: &str) -> f64 {
    let (mantissa, exponent) = digits.split_once(['e', 'E']).unwrap_or((digits, "0"));
    let decimals = mantissa.split_once('.').map_or(0, |(_, fraction)| fraction.len());
    // Through text, so that the power of ten is the nearest number to it.
    let power = exponent.parse::<i32>().unwrap_or(0) - i32::try_from(decimals).unwrap_or(0);
    format!("5e{}", power - 1).parse().unwrap_or(f64::NAN)
}

impl Tolerance {
    /// Greatest deviation in the unit of the printed number.
    ///
    /// # Errors
    /// If the stated text is neither a share nor a number in the very unit of the printed one.
    pub fn in_printed_unit(&self, printed: &Printed) -> Result<f64, QuantityError> {
        let not_a_number = |_| QuantityError::NoNumber { text: self.value.clone() };
        if let Some(percent) = self.value.strip_suffix('%') {
            let share: f64 = percent.trim().parse().map_err(not_a_number)?;
            return Ok(share / 100.0 * printed.value.abs());
        }
        let (number, unit) = self.value.split_once(' ').unwrap_or((&self.value, ""));
        if unit != printed.unit {
            return Err(QuantityError::UnknownUnit { unit: unit.to_owned() });
        }
        number.parse().map_err(not_a_number)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_printed_numbers_keep_their_last_digit() {
        let printed = Printed::parse("10 195.11 N", Dimension::Force).unwrap();
        assert_eq!((printed.value, printed.half_last_digit), (10_195.11, 0.005));
        let printed = Printed::parse("−6.913866e-4 rad", Dimension::Angle).unwrap();
        assert_eq!((printed.value, printed.half_last_digit), (-6.913866e-4, 5e-11));
        let printed = Printed::parse("1447.0 MPa", Dimension::Stress).unwrap();
        assert_eq!(printed.half_last_digit, 0.05);
        let printed = Printed::parse("648", Dimension::Plain).unwrap();
        assert_eq!((printed.value, printed.half_last_digit), (648.0, 0.5));
        assert_eq!(printed.in_printed_unit(650.0), 650.0);
    }

    #[test]
    fn identity_printed_units_are_kept() {
        let printed = Printed::parse("74.997 µm", Dimension::Length).unwrap();
        assert!((printed.in_printed_unit(0.075) - 75.0).abs() < 1e-12);
        assert!(Printed::parse("3 N", Dimension::Length).is_err());
    }
}
