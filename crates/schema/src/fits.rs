//! The JSON of limits of size and fits: what callouts of a drawing allow.

use crate::envelope::{RESULTS_FORMAT, text_of};
use reducer::iso286::Fit;
use reducer::iso286::callout::{Callout, Toleranced};
use schemars::JsonSchema;
use serde::Serialize;

/// Limits of the parts of callouts, and what each pair makes of each other.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FitsDocument {
    /// Number of the results format.
    pub format: u32,
    /// What the document is: always `fits`.
    pub kind: &'static str,
    /// The callouts in the order in which they were asked.
    pub fits: Vec<CalloutLimits>,
}

/// What one callout allows.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CalloutLimits {
    /// The callout with its size.
    pub callout: String,
    /// Nominal size.
    pub nominal_size_mm: f64,
    /// Its parts, the hole first.
    pub parts: Vec<PartLimits>,
    /// What the two parts make of each other, where there are two.
    pub fit: Option<Play>,
}

/// Limits of one part.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PartLimits {
    /// `hole` or `shaft`.
    pub part: &'static str,
    /// Tolerance class, or `bearing`.
    pub class: String,
    /// ES or es.
    pub upper_deviation_mm: f64,
    /// EI or ei.
    pub lower_deviation_mm: f64,
    /// Upper limit of size.
    pub largest_size_mm: f64,
    /// Lower limit of size.
    pub smallest_size_mm: f64,
    /// How far the limits were read in tables.
    pub limits_are: &'static str,
}

/// Clearance of a hole and a shaft; interference is negative.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Play {
    /// Clearance, transition or interference.
    pub kind: &'static str,
    /// Clearance of the largest hole and the smallest shaft.
    pub greatest_clearance_mm: f64,
    /// Clearance of the smallest hole and the largest shaft.
    pub least_clearance_mm: f64,
}

impl FitsDocument {
    /// The document of some callouts.
    #[must_use]
    pub fn new(callouts: &[Callout]) -> Self {
        Self { format: RESULTS_FORMAT, kind: "fits", fits: callouts.iter().map(CalloutLimits::of).collect() }
    }

    /// The document as indented text, numbers rounded as those of results.
    ///
    /// # Errors
    /// Only if a value cannot be JSON at all, which is a defect.
    pub fn to_json(&self) -> Result<String, serde_json::Error> {
        text_of(self)
    }
}

impl CalloutLimits {
    fn of(callout: &Callout) -> Self {
        Self {
            callout: callout.to_string(),
            nominal_size_mm: callout.size_mm,
            parts: callout.parts().map(|part| PartLimits::of(callout.size_mm, part)).collect(),
            fit: callout.fit().map(|fit| Play::of(&fit)),
        }
    }
}

impl PartLimits {
    fn of(size_mm: f64, part: Toleranced) -> Self {
        Self {
            part: part.part.words(),
            class: part.tolerance.to_string(),
            upper_deviation_mm: part.limits.upper_mm,
            lower_deviation_mm: part.limits.lower_mm,
            largest_size_mm: size_mm + part.limits.upper_mm,
            smallest_size_mm: size_mm + part.limits.lower_mm,
            limits_are: part.basis.words(),
        }
    }
}

impl Play {
    fn of(fit: &Fit) -> Self {
        Self {
            kind: fit.kind().words(),
            greatest_clearance_mm: fit.greatest_clearance_mm(),
            least_clearance_mm: fit.least_clearance_mm(),
        }
    }
}
