//! Loaded contact beside the drives that an independent program solved, `validation/independent_program`.

// The same comparison is a test of the core; it stands there.
#[allow(dead_code, clippy::expect_used, reason = "shared with the tests of the core")]
#[path = "../../../crates/reducer/tests/independent_cases/mod.rs"]
mod cases;

use super::page::share;
use cases::{CASES, Case, Deviations, Gaps};
use std::fmt::Write as _;
use std::path::Path;

const HEAD: &str = "
## Loaded contact beside an independent program

`validation/independent_program` holds four invented drives that a separate numerical program solved from first principles, rigid bodies, gaps re-evaluated
at the solved position. Each is taken with one and two discs, Palmgren's law and constant stiffness, rigid and sprung bearing, at twelve crank angles over a roller pitch, two
of them with the force of every contact, and at six torques with the wind-up. Deviations are the greatest over all of them: of the largest roller force as a share of itself, of any other force
or component as a share of the largest of its kind on the disc, of a disc's torque as a share of the whole, of wind-up and crank torque as a share of themselves.

| drive | rollers | pins | gaps | positions | forces | largest roller force | any roller | any pin | bearing | torque of a disc | wind-up | crank torque |
|---|---|---|---|---|---|---|---|---|---|---|---|---|
";

const REASONS: &str = "
- With gaps taken as linear in the displacements the directions of the contacts stay those of the unloaded drive; that is the whole difference, and results say which of the two they are.
";

/// The section of the page: for each drive how far it is off, with both kinds of gap.
pub fn section(root: &Path) -> String {
    let mut text = String::from(HEAD);
    let (mut position_count, mut torque_count) = (0, 0);
    for name in CASES {
        let case = Case::read(root, name);
        for (gaps, words) in [(Gaps::ReEvaluated, "re-evaluated"), (Gaps::Linear, "linear")] {
            let worst = case.deviations(gaps);
            text.push_str(&line(&case, words, &worst));
            if gaps == Gaps::ReEvaluated {
                position_count += worst.position_count;
                torque_count += worst.torque_count;
            }
        }
    }
    let _ = write!(
        text,
        "
In all {position_count} positions under the full torque and {torque_count} under others, with each kind of gap.
{REASONS}"
    );
    text
}

fn line(case: &Case, gaps: &str, worst: &Deviations) -> String {
    let shares = worst.shares();
    let shares: Vec<String> = shares.into_iter().map(|deviation| share(Some(deviation))).collect();
    format!(
        "| {} | {} | {} | {gaps} | {} | {} | {} |\n",
        case.name,
        case.count("n_rollers"),
        case.count("n_pins"),
        worst.position_count,
        worst.force_count,
        shares.join(" | "),
    )
}
