//! The gate: every check of the repository, each announced, with the sum at the end.

use crate::repository::{cargo, printed, program};
use crate::{generate, page, python, validate};
use std::process::Command;

/// One kind of check: its name, whether `--quick` leaves it out, and how it is run.
struct Step {
    name: &'static str,
    is_slow: bool,
    run: fn() -> Result<usize, String>,
}

/// All checks, what fails fastest first. One cargo profile serves all of them, so that the
/// typesetter of the report is compiled once.
const STEPS: &[Step] = &[
    Step { name: "formatting", is_slow: false, run: formatting },
    Step { name: "spelling", is_slow: false, run: spelling },
    Step { name: "lints", is_slow: false, run: lints },
    Step { name: "tests", is_slow: false, run: tests },
    Step { name: "examples in the documentation", is_slow: true, run: documentation_examples },
    Step { name: "documentation", is_slow: true, run: documentation },
    Step { name: "published and computed cases", is_slow: false, run: cases },
    Step { name: "generated files", is_slow: false, run: generated_files },
    Step { name: "types and tests of the page", is_slow: true, run: page::units },
    Step { name: "the page in a browser", is_slow: true, run: page::in_a_browser },
    Step { name: "independent readers of the shop files", is_slow: true, run: independent_readers },
];

/// Runs the checks and prints how many passed.
///
/// # Errors
/// The names of the steps that failed.
pub fn run(quick: bool) -> Result<(), String> {
    let (mut passed, mut failed) = (0, Vec::new());
    for step in STEPS.iter().filter(|step| !(quick && step.is_slow)) {
        println!("== {}", step.name);
        match (step.run)() {
            Ok(count) => {
                println!("   {count} passed");
                passed += count;
            }
            Err(problem) => {
                println!("{problem}\n   FAILED");
                failed.push(step.name);
            }
        }
    }
    println!("\n{passed} passed, {} failed", failed.len());
    if failed.is_empty() { Ok(()) } else { Err(format!("failed: {}", failed.join(", "))) }
}

/// A check that either passes or fails as a whole.
fn whole(command: &mut Command) -> Result<usize, String> {
    printed(command).map(|_| 1)
}

fn formatting() -> Result<usize, String> {
    whole(&mut cargo(&["fmt", "--all", "--check"]))
}

fn spelling() -> Result<usize, String> {
    let environment = python::with_typos()?;
    whole(&mut program(environment.program("typos"), &["--format", "brief"]))
}

fn lints() -> Result<usize, String> {
    whole(&mut cargo(&[
        "clippy",
        "--quiet",
        "--release",
        "--workspace",
        "--all-targets",
        "--",
        "-D",
        "warnings",
    ]))
}

fn tests() -> Result<usize, String> {
    let has_runner = cargo(&["nextest", "--version"]).output().is_ok_and(|output| output.status.success());
    if has_runner {
        let mut runner = cargo(&["nextest", "run", "--release", "--workspace", "--no-fail-fast"]);
        runner.args(["--status-level", "fail", "--final-status-level", "fail", "--show-progress", "none"]);
        runner.args(["--cargo-quiet", "--color", "never"]);
        return count_in_runner_summary(&printed(&mut runner)?);
    }
    println!(
        "   cargo-nextest is not installed, so `cargo test` runs the tests, one program after the other"
    );
    let text =
        printed(&mut cargo(&["test", "--quiet", "--release", "--workspace", "--lib", "--bins", "--tests"]))?;
    Ok(count_in_test_results(&text))
}

fn documentation_examples() -> Result<usize, String> {
    let text = printed(&mut cargo(&["test", "--quiet", "--release", "--workspace", "--doc"]))?;
    Ok(count_in_test_results(&text))
}

fn documentation() -> Result<usize, String> {
    let mut command = cargo(&["doc", "--quiet", "--release", "--workspace", "--no-deps"]);
    whole(command.env("RUSTDOCFLAGS", "-D warnings"))
}

fn generated_files() -> Result<usize, String> {
    generate::check()
}

fn cases() -> Result<usize, String> {
    validate::run(true).map(|()| 1)
}

/// Writes sample parts and lets programs that are not ours read them.
fn independent_readers() -> Result<usize, String> {
    const SAMPLES: &str = "target/readback";
    let environment = python::with_readers()?;
    printed(&mut cargo(&[
        "run",
        "--quiet",
        "--release",
        "-p",
        "exchange",
        "--example",
        "write_samples",
        "--",
        SAMPLES,
    ]))?;
    let reader = ["validation/readback/run_all.py", SAMPLES];
    let text = printed(&mut program(environment.program("python"), &reader))?;
    let summary = text.lines().last().unwrap_or("");
    println!("   {summary}");
    count_before(summary, " files")
        .ok_or_else(|| format!("the readers did not say how many files they read:\n{text}"))
}

/// The number of tests that passed, from the line `Summary [ 1.2s] 12 tests run: 12 passed, 0 skipped`.
fn count_in_runner_summary(text: &str) -> Result<usize, String> {
    let summary = text.lines().rev().find(|line| line.contains("tests run:") || line.contains("test run:"));
    summary
        .and_then(|line| count_before(line, " passed"))
        .filter(|count| *count > 0)
        .ok_or_else(|| format!("the test runner did not say how many tests passed:\n{text}"))
}

/// The number of tests that passed, from all lines `test result: ok. 12 passed; 0 failed; …`.
fn count_in_test_results(text: &str) -> usize {
    let results = text.lines().filter(|line| line.starts_with("test result: ok."));
    results.filter_map(|line| count_before(line, " passed")).sum()
}

/// The whole number that stands before the first occurrence of some words.
fn count_before(text: &str, words: &str) -> Option<usize> {
    let before = &text[..text.find(words)?];
    let digits = before.len() - before.bytes().rev().take_while(u8::is_ascii_digit).count();
    before[digits..].parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_counts_are_read_from_what_runners_print() {
        let summary = "   Summary [   1.250s] 42 tests run: 42 passed, 3 skipped";
        assert_eq!(count_in_runner_summary(summary), Ok(42));
        assert!(count_in_runner_summary("nothing ran").is_err());
        let results = "test result: ok. 5 passed; 0 failed; 0 ignored\n\ntest result: ok. 7 passed; 0 failed";
        assert_eq!(count_in_test_results(results), 12);
    }
}
