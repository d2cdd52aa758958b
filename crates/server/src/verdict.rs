//! The verdict as the page shows it: every check with its bar, its question and what still computes.

use crate::api::{FindingRow, Question, VerdictLine, VerdictPage};
use crate::compute::Computed;
use reducer::finding::{Finding, Sense, Standing, Subject};
use schema::Verdict;

/// The page of what was computed from a text.
#[must_use]
pub fn verdict_page(computed: &Computed, generation: u64) -> VerdictPage {
    let (findings, model, cautions, problem) = match &computed.outcome {
        Ok(assessment) => {
            let used = &assessment.model;
            let mut model = vec![
                format!("Ring rollers: {}.", used.roller_contact_law),
                format!("Output pins: {}.", used.pin_contact_law),
                format!("Gaps: {}.", used.gaps),
                format!("What gives way: {}.", used.compliance),
            ];
            model.extend(used.assumptions.iter().cloned());
            (assessment.findings.as_slice(), model, assessment.cautions.clone(), String::new())
        }
        Err(problem) => (&[][..], Vec::new(), Vec::new(), problem.clone()),
    };
    VerdictPage {
        generation,
        stage: computed.stage,
        counts: Verdict::of_findings(findings),
        words: sheet::verdict_line(findings).plain(),
        findings: findings
            .iter()
            .map(|finding| finding_row(finding, computed.is_computing(finding.id)))
            .collect(),
        model,
        cautions,
        problem,
    }
}

/// The verdict in one line; nothing where none could be computed.
#[must_use]
pub fn verdict_line(computed: &Computed) -> Option<VerdictLine> {
    let findings = &computed.outcome.as_ref().ok()?.findings;
    // Findings come sorted: what fails or is doubtful first, then the smallest margin.
    let worst = findings.first()?;
    Some(VerdictLine {
        stage: computed.stage,
        counts: Verdict::of_findings(findings),
        words: sheet::verdict_line(findings).plain(),
        worst_title: worst.title.clone(),
        worst_margin_display: margin_display(worst),
        worst_bar: bar(worst),
        worst_standing: worst.standing,
    })
}

/// A check as the page shows it.
#[must_use]
pub fn finding_row(finding: &Finding, is_computing: bool) -> FindingRow {
    FindingRow {
        margin_display: margin_display(finding),
        bar: bar(finding),
        sign: match finding.sense {
            Sense::AtMost => "≤",
            Sense::AtLeast => "≥",
            Sense::Equals => "=",
        },
        is_computing,
        question: question(finding),
        finding: finding.clone(),
    }
}

fn margin_display(finding: &Finding) -> String {
    finding.margin.and_then(sheet::margin_with_unit).unwrap_or_default()
}

/// Length of the bar: the margin, cut off at one; of a check without more or less nothing, or all of it where it fails.
fn bar(finding: &Finding) -> f64 {
    match finding.margin {
        Some(margin) if !margin.is_nan() => margin.clamp(-1.0, 1.0),
        _ if finding.standing == Standing::Fails => -1.0,
        _ => 0.0,
    }
}

/// Which question a check answers; a line of the requirement belongs where the checks are that decide it.
pub(crate) fn question(finding: &Finding) -> Question {
    match finding.subject {
        Subject::Geometry => Question::Mesh,
        Subject::Strength => Question::Carry,
        Subject::Life => Question::Last,
        Subject::Accuracy => Question::Exact,
        Subject::Practice | Subject::Requirement => match finding.id {
            "geometric-backlash"
            | "lost-motion"
            | "transmission-error"
            | "torsional-stiffness"
            | "torsional-frequency"
            | "balance"
            | "shaking-force" => Question::Exact,
            "production" | "quantity" | "one-part-number" => Question::Shop,
            "ratio"
            | "outside-diameter"
            | "length"
            | "mass"
            | "temperatures"
            | "usual-shortening-least"
            | "usual-shortening-most" => Question::Mesh,
            id if LASTING.iter().any(|head| id.starts_with(head)) => Question::Last,
            _ => Question::Carry,
        },
    }
}

/// How the names of checks begin that tell whether the drive lasts.
const LASTING: [&str; 6] =
    ["life", "efficiency", "steady-temperature", "thermal-torque", "oscillation-angle", "film"];
