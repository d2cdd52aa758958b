//! What the tolerances of a drawing ask of the clearance at tip and root, and how many assemblies a modification serves.

use super::closed_form::ClosedForm;
use crate::assembly::random::Sampling;
use crate::assembly::study::{Counted, Measure, Request, Study, StudyError};
use crate::assembly::tally::Tally;
use crate::model::{Drive, Modification};
use crate::results::AssemblyShares;

/// Share of assemblies whose tips and roots the default clearance leaves free. Own choice.
pub const FREE_SHARE: f64 = 0.99;
/// Assemblies drawn: enough for a share of 1 % to within a few tenths of one.
const ASSEMBLIES: u64 = 2048;
const SEED: u64 = 1;
/// Crank angles of an output turn.
const CRANK_ANGLES: usize = 192;
/// Rounds of the search; each leaves at most a quarter of what was missing.
const MAX_ROUNDS: usize = 4;
/// Change of a clearance that is nothing, and the step to which it is rounded up.
const CLEARANCE_STEP_MM: f64 = 1e-4;

/// The clearance with which [`FREE_SHARE`] of the assemblies within the tolerances have free tips and roots, of a profile that has a
/// given play by one cut, or by turned flanks where that takes no inward shift; not less than `least_mm`, and none without tolerances.
///
/// ```text
/// c ← max(c_p, c − Q1(c))   until it stays;   Q1: gap that 99 % of the assemblies exceed
/// ```
///
/// **Valid for** deviations small against the curvature of the lobes. **Source** Derivation 12, §8; Derivation 14.
///
/// # Errors
/// [`StudyError`] where the tolerances make no sense.
pub fn tolerated_clearance_mm(
    drive: &Drive,
    form: &ClosedForm,
    profile_play_rad: f64,
    least_mm: f64,
) -> Result<Option<f64>, StudyError> {
    let mut clearance_mm = least_mm;
    for _ in 0..MAX_ROUNDS {
        let counted = match counted(drive, &typical(form, clearance_mm, profile_play_rad)) {
            Ok(counted) => counted,
            Err(StudyError::NoTolerances) => return Ok(None),
            // So much clearance leaves no tooth: what was found so far is told, and found out of reach.
            Err(StudyError::NoMesh) => break,
            Err(error) => return Err(error),
        };
        let missing_mm = -tally(&counted, Measure::TipGap).quantile(1.0 - FREE_SHARE);
        let next_mm = (clearance_mm + missing_mm).max(least_mm);
        let is_there = (next_mm - clearance_mm).abs() < CLEARANCE_STEP_MM;
        clearance_mm = next_mm;
        if is_there {
            break;
        }
    }
    Ok(Some((clearance_mm / CLEARANCE_STEP_MM - 1e-6).ceil() * CLEARANCE_STEP_MM))
}

/// A modification of a clearance and a play by the closed forms.
fn typical(form: &ClosedForm, clearance_mm: f64, play_rad: f64) -> Modification {
    let shift_mm = form.shift_for_mm(clearance_mm, play_rad).min(0.0);
    let by_gaps = Modification {
        equidistant_offset_mm: clearance_mm + shift_mm,
        ring_radius_shift_mm: shift_mm,
        flank_rotation_rad: 0.0,
    };
    let left_rad = play_rad - form.play_rad(&by_gaps);
    Modification { flank_rotation_rad: left_rad.max(0.0), ..by_gaps }
}

/// Shares of assemblies that a modification leaves free at tip and root and within the required backlash; none without tolerances.
///
/// **Source** Derivation 14.
#[must_use]
pub fn shares(drive: &Drive, made: &Modification) -> Option<AssemblyShares> {
    let counted = counted(drive, made).ok()?;
    let share = |measure| tally(&counted, measure).share().map(|share| share.share);
    Some(AssemblyShares {
        tips_free_share: share(Measure::TipGap)?,
        within_backlash_share: share(Measure::Backlash),
    })
}

fn counted(drive: &Drive, made: &Modification) -> Result<Counted, StudyError> {
    let mut drive = drive.clone();
    drive.geometry.modification = made.clone();
    let request = Request {
        assembly_count: ASSEMBLIES,
        loaded_count: 0,
        seed: SEED,
        sampling: Sampling::Random,
        crank_angle_count: CRANK_ANGLES,
    };
    let study = Study::rough(&drive, request)?;
    let mut counted = study.nothing();
    (0..study.task_count()).for_each(|task| study.run(task, &mut counted));
    Ok(counted)
}

/// The tally of a measure; there is one for each.
fn tally(counted: &Counted, measure: Measure) -> &Tally {
    let place = Measure::ALL.iter().position(|other| *other == measure);
    &counted.tallies[place.unwrap_or_default()]
}
