//! `VALIDATION.md`: what each part of the program was compared with, and how well it agreed.
//!
//! Deviations are rounded to one digit and have a floor, so that another processor writes the same page.

use super::case::Kind;
use super::models::{MODELS, Model};
use super::{CaseResult, Comparison};
use reducer::registry;
use std::fmt::Write as _;

/// Deviations below this share are not told apart.
const FLOOR: f64 = 1e-6;
/// Shares from here on are printed in whole per cent.
const WHOLE_PER_CENT: f64 = 0.095;

/// The whole page, with the sections that modules of their own write.
#[must_use]
pub fn page(results: &[CaseResult], sections: &[String]) -> String {
    let mut text = String::from(HEAD);
    for model in MODELS {
        let cases: Vec<_> = results.iter().filter(|result| result.case.model == model.name).collect();
        text.push_str(&summary_line(model, &cases));
    }
    text.push_str(MIDDLE);
    for result in results {
        text.push_str(&case_line(result));
    }
    text.push_str("\n## Stated tolerances and known differences\n\n");
    for result in results {
        text.push_str(&notes(result));
    }
    text.extend(sections.iter().map(String::as_str));
    text
}

const HEAD: &str = "\
# Validation

Written by `cargo xtask validate` from the files in `validation/`; do not edit by hand.
A deviation is the program's value against the printed one, as a share of the printed one, rounded to one digit,
from a tenth on to whole per cent; it holds the rounding of the print and, where a table's inputs are rounded, theirs too.

- **checked**: at least one number that was printed and read, in its source or in worked solutions to it, or given by a program that shares no code with this one, agrees.
- **self-consistent only**: agrees with numbers worked out from the stated formula elsewhere, or quoted from memory; that tests the arithmetic, not the model.
- **no public data found**: nothing to compare with was found; tests of laws and limits may still hold.

| model | what it computes | read | independent program | from memory | computed | numbers | median | greatest | state |
|---|---|---|---|---|---|---|---|---|---|
";

const MIDDLE: &str = "
## Cases

| case | about | source and place | kind | numbers | greatest | agrees |
|---|---|---|---|---|---|---|
";

fn summary_line(model: &Model, cases: &[&CaseResult]) -> String {
    let count = |kind: Kind| cases.iter().filter(|result| result.case.kind == kind).count();
    let comparisons: Vec<&Comparison> = cases.iter().flat_map(|result| &result.comparisons).collect();
    let mut relative: Vec<f64> = comparisons.iter().filter_map(|comparison| comparison.relative).collect();
    relative.sort_by(f64::total_cmp);
    let median = relative.get(relative.len() / 2).copied();
    let state = if count(Kind::PublishedRead) + count(Kind::IndependentProgram) > 0 {
        "checked"
    } else if comparisons.is_empty() {
        "no public data found"
    } else {
        "self-consistent only"
    };
    format!(
        "| {} | {} | {} | {} | {} | {} | {} | {} | {} | {state} |\n",
        model.name,
        model.title,
        count(Kind::PublishedRead),
        count(Kind::IndependentProgram),
        count(Kind::PublishedFromMemory),
        count(Kind::Computed),
        comparisons.len(),
        share(median),
        share(relative.last().copied()),
    )
}

fn case_line(result: &CaseResult) -> String {
    let case = &result.case;
    let greatest = result.comparisons.iter().filter_map(|comparison| comparison.relative).fold(0.0, f64::max);
    let title = registry::source(&case.source).map_or(case.source.as_str(), |source| source.title.as_str());
    format!(
        "| {} | {} | {title}: {} | {} | {} | {} | {} |\n",
        case.path,
        case.title,
        case.place,
        case.kind.words(),
        result.comparisons.len(),
        share(Some(greatest)),
        if result.passes() { "yes" } else { "**no**" },
    )
}

fn notes(result: &CaseResult) -> String {
    let mut text = String::new();
    for (name, value, reason) in result.case.tolerance_reasons() {
        // Writing to a string never fails.
        let _ = writeln!(text, "- `{}`, {name}: {value}, because {reason}", result.case.path);
    }
    if let Some(difference) = &result.case.difference {
        let _ = writeln!(text, "- `{}`: {difference}", result.case.path);
    }
    text
}

/// A difference in per cent with its sign and one digit.
pub fn signed_share(relative: f64) -> String {
    let sign = if relative.abs() < FLOOR {
        ""
    } else if relative < 0.0 {
        "−"
    } else {
        "+"
    };
    format!("{sign}{}", share(Some(relative.abs())))
}

/// A share in per cent with one digit, at least the floor; in whole per cent from about a tenth on.
pub fn share(relative: Option<f64>) -> String {
    match relative {
        None => "–".to_owned(),
        Some(value) if value < FLOOR => "< 0.0001 %".to_owned(),
        // One digit of a share this large would say little: −14 % and −5 % are not "−10 %".
        Some(value) if value >= WHOLE_PER_CENT => format!("{:.0} %", value * 100.0),
        Some(value) => {
            // `{:e}` with no decimals rounds to one digit; read back it is printed without an exponent.
            let one_digit: f64 = format!("{:.0e}", value * 100.0).parse().unwrap_or(f64::NAN);
            format!("{one_digit} %")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_shares_have_one_digit_and_a_floor() {
        assert_eq!(share(Some(3e-9)), "< 0.0001 %");
        assert_eq!(share(Some(0.001_38)), "0.1 %");
        assert_eq!(share(Some(0.0236)), "2 %");
        assert_eq!(share(Some(2.4e-6)), "0.0002 %");
        assert_eq!(share(Some(0.143)), "14 %");
        assert_eq!(signed_share(-0.0236), "−2 %");
        assert_eq!(share(None), "–");
    }
}
