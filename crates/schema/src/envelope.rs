//! The JSON of results: which program, which file, which model, and the numbers.

use reducer::finding::{Finding, Standing};
use reducer::results::{Assessment, LoadCase};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;
use std::borrow::Cow;

use crate::DriveFile;

/// Number of the results format; additions keep it, anything else raises it.
pub(crate) const RESULTS_FORMAT: u32 = 1;
/// Digits of a number in JSON: far more than any input has, few enough to hide the last rounding.
const SIGNIFICANT_DIGITS: usize = 9;
/// Which computed crank angles go into the document.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Poses {
    /// All of the rated load case: enough to draw from.
    RatedCase,
    /// All of all load cases.
    All,
    /// One of one load case.
    One,
}

/// Results of one drive with all that is needed to know what they belong to.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ResultsDocument<'a> {
    /// Number of the results format.
    pub format: u32,
    /// What the document is: always `results`.
    pub kind: &'static str,
    /// The program that computed them.
    pub program: Program,
    /// The drive file that they belong to.
    pub drive: DriveStamp<'a>,
    /// How many checks stand how.
    pub verdict: Verdict,
    /// Names of the load cases, rated torque first.
    pub load_cases: Vec<&'a str>,
    /// Which crank angles the poses of the load cases cover.
    pub poses: &'static str,
    /// The results, in core units.
    pub assessment: Cow<'a, Assessment>,
}

/// The program that computed results.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Program {
    /// Its name.
    pub name: &'static str,
    /// Its version.
    pub version: &'static str,
}

/// The drive file that results belong to.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct DriveStamp<'a> {
    /// Name of the drive.
    pub name: &'a str,
    /// Revision of the file, if it states one.
    pub revision: Option<&'a str>,
    /// SHA-256 of the file's bytes.
    pub sha256: &'a str,
}

/// How many checks stand how.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Verdict {
    /// Checks whose limit is broken.
    pub fails: usize,
    /// Checks beyond good practice.
    pub doubtful: usize,
    /// Checks that this program does not compute yet.
    pub not_assessed: usize,
    /// Checks whose limit holds.
    pub holds: usize,
    /// Values that nothing limits, told among the checks.
    pub no_limit: usize,
}

impl<'a> ResultsDocument<'a> {
    /// The document of an assessment of a drive file.
    #[must_use]
    pub fn new(file: &'a DriveFile, assessment: &'a Assessment, poses: Poses) -> Self {
        Self {
            format: RESULTS_FORMAT,
            kind: "results",
            program: Program::this(),
            drive: DriveStamp::of(file),
            verdict: Verdict::of(assessment),
            load_cases: assessment.load_cases.iter().map(|case| case.id.as_str()).collect(),
            poses: match poses {
                Poses::RatedCase => "rated load case over its period",
                Poses::All => "every load case over its period",
                Poses::One => "one load case at one crank angle",
            },
            assessment: match poses {
                Poses::RatedCase => Cow::Owned(thinned(assessment)),
                Poses::All | Poses::One => Cow::Borrowed(assessment),
            },
        }
    }

    /// The document with numbers rounded to nine significant digits, no negative zero and `null` for
    /// what is not finite.
    ///
    /// # Errors
    /// Only if a value cannot be JSON at all, which is a defect.
    pub fn to_value(&self) -> Result<Value, serde_json::Error> {
        let mut value = serde_json::to_value(self)?;
        round(&mut value);
        Ok(value)
    }

    /// [`Self::to_value`] as indented text with a line break at its end.
    ///
    /// # Errors
    /// As [`Self::to_value`].
    pub fn to_json(&self) -> Result<String, serde_json::Error> {
        Ok(serde_json::to_string_pretty(&self.to_value()?)? + "\n")
    }
}

/// The result of one command with all that is needed to know what it belongs to.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ResultDocument<'a, T> {
    /// Number of the results format.
    pub format: u32,
    /// What the result is: `accuracy`, `modification` or `yield`.
    pub kind: &'static str,
    /// The program that computed it.
    pub program: Program,
    /// The drive file that it belongs to.
    pub drive: DriveStamp<'a>,
    /// The result, in core units.
    pub result: &'a T,
}

impl<'a, T: Serialize> ResultDocument<'a, T> {
    /// The document of a result of a drive file.
    #[must_use]
    pub fn new(file: &'a DriveFile, kind: &'static str, result: &'a T) -> Self {
        Self { format: RESULTS_FORMAT, kind, program: Program::this(), drive: DriveStamp::of(file), result }
    }

    /// The document as indented text, numbers rounded as those of results.
    ///
    /// # Errors
    /// Only if a value cannot be JSON at all, which is a defect.
    pub fn to_json(&self) -> Result<String, serde_json::Error> {
        text_of(self)
    }
}

/// A document as indented text with rounded numbers.
pub(crate) fn text_of(document: &impl Serialize) -> Result<String, serde_json::Error> {
    let mut value = serde_json::to_value(document)?;
    round(&mut value);
    Ok(serde_json::to_string_pretty(&value)? + "\n")
}

impl Program {
    /// The program that is running.
    fn this() -> Self {
        Self { name: "lobewright", version: env!("CARGO_PKG_VERSION") }
    }
}

impl<'a> DriveStamp<'a> {
    fn of(file: &'a DriveFile) -> Self {
        Self {
            name: &file.drive.identity.name,
            revision: file.drive.identity.revision.as_deref(),
            sha256: &file.sha256,
        }
    }
}

impl Verdict {
    /// The counts of an assessment.
    #[must_use]
    pub fn of(assessment: &Assessment) -> Self {
        Self::of_findings(&assessment.findings)
    }

    /// The counts of some findings.
    #[must_use]
    pub fn of_findings(findings: &[Finding]) -> Self {
        let count = |standing| findings.iter().filter(|finding| finding.standing == standing).count();
        Self {
            fails: count(Standing::Fails),
            doubtful: count(Standing::Doubtful),
            not_assessed: count(Standing::NotAssessed),
            holds: count(Standing::Holds),
            no_limit: count(Standing::NoLimit),
        }
    }
}

/// A copy of an assessment that keeps the poses of the rated load case only.
fn thinned(full: &Assessment) -> Assessment {
    Assessment {
        name: full.name.clone(),
        model: full.model.clone(),
        geometry: full.geometry.clone(),
        kinematics: full.kinematics.clone(),
        load_cases: full.load_cases.iter().map(thinned_case).collect(),
        play: full.play,
        torque_twist_loop: full.torque_twist_loop.clone(),
        contact_stresses: full.contact_stresses.clone(),
        eccentric_bearing: full.eccentric_bearing.clone(),
        dynamics: full.dynamics.clone(),
        losses: full.losses.clone(),
        eccentric_bearing_spectrum: full.eccentric_bearing_spectrum.clone(),
        output_bearing: full.output_bearing.clone(),
        input_bearings: full.input_bearings.clone(),
        cautions: full.cautions.clone(),
        findings: full.findings.clone(),
    }
}

fn thinned_case(full: &LoadCase) -> LoadCase {
    let poses = if full.id == "rated" { full.poses.clone() } else { Vec::new() };
    LoadCase {
        id: full.id.clone(),
        title: full.title.clone(),
        output_torque_n_mm: full.output_torque_n_mm,
        input_speed_rad_per_s: full.input_speed_rad_per_s,
        time_share: full.time_share,
        extremes: full.extremes.clone(),
        poses,
    }
}

/// Rounds every number with decimals in a tree of JSON.
fn round(value: &mut Value) {
    match value {
        Value::Number(number) if number.is_f64() => {
            *value = number.as_f64().map_or(Value::Null, |full| Value::from(rounded(full)));
        }
        Value::Array(items) => items.iter_mut().for_each(round),
        Value::Object(entries) => entries.values_mut().for_each(round),
        _ => {}
    }
}

/// A number with nine significant digits; −0 becomes 0. So many has every number of results, in JSON and elsewhere.
#[must_use]
pub fn rounded(full: f64) -> f64 {
    let digits = SIGNIFICANT_DIGITS - 1;
    // The decimal text is the rounding: it is exact and the same on every machine.
    let short: f64 = format!("{full:.digits$e}").parse().unwrap_or(full);
    if short == 0.0 { 0.0 } else { short }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_numbers_are_rounded_and_never_minus_zero_or_nan() {
        let mut value =
            serde_json::json!({ "a": [1.0 / 3.0, -0.0, 12_345_678.949_999], "b": f64::NAN, "c": 7 });
        round(&mut value);
        assert_eq!(value.to_string(), r#"{"a":[0.333333333,0.0,12345678.9],"b":null,"c":7}"#);
    }
}
