//! Published and computed cases against the program: reads `validation/`, runs every case, writes `VALIDATION.md`.

pub mod case;
pub mod finite_element;
mod independent_program;
pub mod models;
pub mod page;
pub mod walls;

use crate::repository::root;
use case::{CaseFile, LoadError, Printed};
use models::{Inputs, MODELS, Model, Outputs};
use reducer::registry;
use std::fs;
use std::path::Path;

/// Name of the page at the root of the repository.
const PAGE: &str = "VALIDATION.md";
/// Folder of the cases.
const FOLDER: &str = "validation";

/// One printed number against the program's.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// Name of the quantity in the case file.
    pub name: String,
    /// Number of the row, from one, where the case has several.
    pub row: Option<usize>,
    /// The printed text.
    pub printed: String,
    /// The program's value in the printed unit.
    pub computed: f64,
    /// |computed − printed| in the printed unit.
    pub deviation: f64,
    /// The same as a share of the printed number; absent where that is nothing.
    pub relative: Option<f64>,
    /// Greatest deviation that passes, in the printed unit.
    pub tolerance: f64,
}

impl Comparison {
    /// Whether the program's value lies within the tolerance; a value that is not a number does not.
    #[must_use]
    pub fn passes(&self) -> bool {
        self.deviation <= self.tolerance
    }
}

/// A case with its comparisons.
#[derive(Debug)]
pub struct CaseResult {
    /// The file.
    pub case: CaseFile,
    /// One entry a printed number.
    pub comparisons: Vec<Comparison>,
}

impl CaseResult {
    /// Whether all numbers agree.
    #[must_use]
    pub fn passes(&self) -> bool {
        self.comparisons.iter().all(Comparison::passes)
    }
}

/// Why a case could not be run; none of these says that the program is wrong.
#[derive(Debug, thiserror::Error)]
pub enum ValidateError {
    /// A file could not be read or understood.
    #[error(transparent)]
    Load(#[from] LoadError),
    /// A case names a model that does not exist.
    #[error("{path}: no model is called `{model}`")]
    UnknownModel {
        /// The case file.
        path: String,
        /// The name it gives.
        model: String,
    },
    /// A case names a source that is not in sources.toml.
    #[error("{path}: no source has the key `{key}`")]
    UnknownSource {
        /// The case file.
        path: String,
        /// The key it gives.
        key: String,
    },
    /// The model refused the inputs.
    #[error("{path}: {message}")]
    Refused {
        /// The case file.
        path: String,
        /// What the model said.
        message: String,
    },
    /// A case expects an output that its model does not have.
    #[error("{path}: model `{model}` has no output `{name}`; it has {known}")]
    UnknownOutput {
        /// The case file.
        path: String,
        /// The model.
        model: String,
        /// The expected name.
        name: String,
        /// What the model gives.
        known: String,
    },
    /// The expected text is not a number with the right unit.
    #[error("{path}: expected `{name}`: {message}")]
    BadExpectation {
        /// The case file.
        path: String,
        /// The expected name.
        name: String,
        /// What is wrong.
        message: String,
    },
}

/// Runs every case, prints one line for each, and writes the page or only compares it.
///
/// # Errors
/// What could not be run or written, that a case differs, or that the page is out of date.
pub fn run(check_only: bool) -> Result<(), String> {
    let results = all(&root()).map_err(|error| error.to_string())?;
    for result in &results {
        print(result);
    }
    let sections =
        [independent_program::section(&root()), finite_element::section(&root())?, walls::section(&root())?];
    let page = page::page(&results, &sections);
    let path = root().join(PAGE);
    if check_only {
        if fs::read_to_string(&path).ok().as_ref() != Some(&page) {
            return Err(format!("{PAGE} is out of date\n\nhint: run `cargo xtask validate` and commit"));
        }
    } else {
        fs::write(&path, page).map_err(|error| format!("{PAGE}: {error}"))?;
    }
    let differing = results.iter().filter(|result| !result.passes()).count();
    println!("{} cases, {differing} of them differ", results.len());
    if differing == 0 { Ok(()) } else { Err(format!("{differing} cases differ")) }
}

/// One line for a case, and one for each number that is out of its tolerance.
fn print(result: &CaseResult) {
    let verdict = if result.passes() { "agrees" } else { "DIFFERS" };
    println!("{verdict}  {} ({}, {})", result.case.path, result.case.source, result.case.place);
    for comparison in result.comparisons.iter().filter(|comparison| !comparison.passes()) {
        let row = comparison.row.map_or_else(String::new, |row| format!(" row {row}"));
        println!(
            "         {}{row}: printed {}, computed {}, off by {:.3e}, allowed {:.3e}",
            comparison.name,
            comparison.printed,
            comparison.computed,
            comparison.deviation,
            comparison.tolerance
        );
    }
}

/// Every case of the repository with its comparisons, in the order of the file names.
///
/// # Errors
/// [`ValidateError`] on the first case that can not be run.
pub fn all(root: &Path) -> Result<Vec<CaseResult>, ValidateError> {
    case::load_all(&root.join(FOLDER))?.into_iter().map(compare).collect()
}

/// Runs one case.
fn compare(case: CaseFile) -> Result<CaseResult, ValidateError> {
    let model = find_model(&case)?;
    if registry::source(&case.source).is_none() {
        return Err(ValidateError::UnknownSource { path: case.path.clone(), key: case.source.clone() });
    }
    let mut comparisons = Vec::new();
    for (index, row) in case.rows().iter().enumerate() {
        let inputs = Inputs::new(&row.inputs);
        let refused = |message: String| ValidateError::Refused { path: case.path.clone(), message };
        let outputs = (model.run)(&inputs).map_err(|error| refused(error.to_string()))?;
        inputs.all_used().map_err(|error| refused(error.to_string()))?;
        let number = case.has_rows().then_some(index + 1);
        for (name, text) in &row.expected {
            comparisons.push(compare_one(&case, &outputs, name, text, number)?);
        }
    }
    Ok(CaseResult { case, comparisons })
}

fn find_model(case: &CaseFile) -> Result<&'static Model, ValidateError> {
    let unknown = || ValidateError::UnknownModel { path: case.path.clone(), model: case.model.clone() };
    MODELS.iter().find(|model| model.name == case.model).ok_or_else(unknown)
}

fn compare_one(
    case: &CaseFile,
    outputs: &Outputs,
    name: &str,
    text: &str,
    row: Option<usize>,
) -> Result<Comparison, ValidateError> {
    let bad = |message: String| ValidateError::BadExpectation {
        path: case.path.clone(),
        name: name.to_owned(),
        message,
    };
    let Some((value, dimension)) = outputs.get(name) else {
        return Err(ValidateError::UnknownOutput {
            path: case.path.clone(),
            model: case.model.clone(),
            name: name.to_owned(),
            known: outputs.names(),
        });
    };
    let printed = Printed::parse(text, dimension).map_err(|error| bad(error.to_string()))?;
    let computed = printed.in_printed_unit(value);
    let deviation = (computed - printed.value).abs();
    let tolerance = match case.tolerance_of(name) {
        Some(stated) => stated.in_printed_unit(&printed).map_err(|error| bad(error.to_string()))?,
        None => printed.half_last_digit,
    };
    Ok(Comparison {
        name: name.to_owned(),
        row,
        printed: text.to_owned(),
        computed,
        deviation,
        relative: (printed.value != 0.0).then(|| deviation / printed.value.abs()),
        // A printed number that lies exactly half a digit off was rounded the other way.
        tolerance: tolerance * (1.0 + 1e-9),
    })
}

#[cfg(test)]
mod tests {
    use super::case::Kind;
    use super::*;
    use std::collections::BTreeSet;
    use std::sync::LazyLock;

    /// Every case, run once for all tests.
    static RESULTS: LazyLock<Vec<CaseResult>> = LazyLock::new(|| all(&root()).unwrap());

    fn assert_all_hold(wanted: &[Kind]) {
        let chosen: Vec<_> = RESULTS.iter().filter(|result| wanted.contains(&result.case.kind)).collect();
        assert!(!chosen.is_empty());
        for result in chosen {
            for comparison in &result.comparisons {
                assert!(
                    comparison.passes(),
                    "{} ({}, {}): {} printed {}, computed {}",
                    result.case.path,
                    result.case.source,
                    result.case.place,
                    comparison.name,
                    comparison.printed,
                    comparison.computed
                );
            }
        }
    }

    #[test]
    fn published_cases_hold_within_their_printed_digits() {
        assert_all_hold(&[Kind::PublishedRead, Kind::PublishedFromMemory]);
    }

    #[test]
    fn independent_cases_hold_within_their_printed_digits() {
        assert_all_hold(&[Kind::Computed, Kind::IndependentProgram]);
    }

    #[test]
    fn identity_every_case_has_a_model_and_every_expectation_a_tolerance() {
        for result in RESULTS.iter() {
            assert!(!result.comparisons.is_empty(), "{}", result.case.path);
            assert!(
                result.comparisons.iter().all(|comparison| comparison.tolerance > 0.0),
                "{}",
                result.case.path
            );
        }
    }

    #[test]
    fn identity_model_names_are_unique() {
        let names: BTreeSet<_> = MODELS.iter().map(|model| model.name).collect();
        assert_eq!(names.len(), MODELS.len());
    }

    #[test]
    fn identity_the_page_is_what_the_cases_give() {
        let sections = [
            independent_program::section(&root()),
            finite_element::section(&root()).unwrap(),
            walls::section(&root()).unwrap(),
        ];
        let page = page::page(&RESULTS, &sections);
        let written = fs::read_to_string(root().join(PAGE)).unwrap();
        assert!(page == written, "VALIDATION.md is out of date: run `cargo xtask validate`");
    }
}
