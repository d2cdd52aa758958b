//! Exact gaps of a modified profile: what is left at tip, root and flanks, and the play that follows.

use crate::contact::ContactModel;
use crate::results::GapPoint;
use crate::shape::gap_at;
use std::f64::consts::PI;

/// Clearances of a profile with the disc in its ideal position, whatever roller stands there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clearances {
    /// Gap of a roller that stands over the tip of a lobe.
    pub tip_mm: f64,
    /// Gap of a roller that stands in a valley.
    pub root_mm: f64,
    /// Smallest gap anywhere.
    pub least: GapPoint,
}

/// Intervals of half a turn in which the smallest gap is looked for before it is found to the last digit.
const SCAN_STEPS: usize = 90;
/// Width of angle to which the place of the smallest gap is found; its value is then good to the square of that.
const PLACE_TOLERANCE_RAD: f64 = 1e-6;

impl Clearances {
    /// Gaps at tip and root, and the smallest one between them; both flanks are alike.
    ///
    /// **Source** Derivation 12, §5.
    #[must_use]
    pub fn of(model: &ContactModel) -> Self {
        let (root_mm, tip_mm) = tip_and_root_gap_mm(model);
        let step_rad = PI / SCAN_STEPS as f64;
        let scanned = (0..=SCAN_STEPS).map(|step| gap_at(model, step as f64 * step_rad));
        let first = gap_at(model, 0.0);
        let mut least =
            scanned.fold(first, |least, next| if next.gap_mm < least.gap_mm { next } else { least });
        let (low, high) = ((least.angle_rad - step_rad).max(0.0), (least.angle_rad + step_rad).min(PI));
        let gap = |angle: f64| gap_at(model, angle).gap_mm;
        let (place, value) = curves::root::golden_minimum(gap, low, high, PLACE_TOLERANCE_RAD);
        if value < least.gap_mm {
            least = gap_at(model, place);
        }
        Self { tip_mm, root_mm, least }
    }
}

/// Gaps of rollers in a valley and over a tip.
fn tip_and_root_gap_mm(model: &ContactModel) -> (f64, f64) {
    (gap_at(model, 0.0).gap_mm, gap_at(model, PI).gap_mm)
}

/// Smaller one of the gaps at tip and root.
///
/// **Source** Derivation 12, §5.
#[must_use]
pub fn clearance_mm(model: &ContactModel) -> f64 {
    let (root, tip) = tip_and_root_gap_mm(model);
    root.min(tip)
}

/// A profile whose flanks have no play although its ring radius is shifted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WithoutPlay {
    /// δr that takes the play.
    pub equidistant_offset_mm: f64,
    /// Where the flank touches; at tip or root the flanks keep play, and no offset takes it without interference.
    pub touching_angle_rad: f64,
    /// Gaps that are left at tip and root.
    pub clearance_mm: f64,
}

/// The offset with which some roller just touches and none interferes, on exact gaps; the rest of the model's modification is kept.
///
/// An offset moves every gap by itself, exactly: so it is the model's smallest gap, taken off.
///
/// **Valid for** profiles without undercut. **Source** Derivation 12, §5.
#[must_use]
pub fn without_play(model: &ContactModel) -> WithoutPlay {
    let found = Clearances::of(model);
    WithoutPlay {
        equidistant_offset_mm: model.profile.generating_radius_mm
            - model.roller_radius_mm
            - found.least.gap_mm,
        touching_angle_rad: found.least.angle_rad,
        clearance_mm: found.tip_mm.min(found.root_mm) - found.least.gap_mm,
    }
}

/// Play of the output over some crank angles, crank and bearing centres held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlayOverTurn {
    /// Greatest play of the output plate.
    pub greatest_rad: f64,
    /// Crank angle where it is.
    pub crank_angle_rad: f64,
}

/// Greatest play of the output plate at some crank angles: of profile and output holes together, on exact gaps.
///
/// **Source** Derivation 4, §5.
#[must_use]
pub fn play_over(model: &ContactModel, crank_angles_rad: &[f64]) -> PlayOverTurn {
    let none = PlayOverTurn { greatest_rad: 0.0, crank_angle_rad: 0.0 };
    crank_angles_rad.iter().fold(none, |greatest, &crank_angle_rad| {
        let [ahead, back] = model.touch_both_ways(crank_angle_rad);
        let play = ahead.plate_rad - back.plate_rad;
        if play > greatest.greatest_rad {
            PlayOverTurn { greatest_rad: play, crank_angle_rad }
        } else {
            greatest
        }
    })
}

/// Kinematic errors without load, peak to peak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KinematicError {
    /// Of the disc that errs most: what the profile makes.
    pub disc_rad: f64,
    /// Of the output plate, with what discs and output holes make of it.
    pub plate_rad: f64,
}

/// Kinematic error of the unloaded drive, peak to peak over some crank angles, flanks in touch one way.
///
/// One roller after another takes the contact over, each a little off the best place on its flank; errors of parts are not in it.
///
/// **Source** Derivation 12, §6.
#[must_use]
pub fn kinematic_error(model: &ContactModel, crank_angles_rad: &[f64]) -> KinematicError {
    let touches: Vec<_> = crank_angles_rad.iter().map(|&angle| model.touch(angle, 1.0)).collect();
    let discs = (0..model.disc_count).map(|disc| span(touches.iter().map(|touch| touch.disc_rad[disc])));
    KinematicError {
        disc_rad: discs.fold(0.0, f64::max),
        plate_rad: span(touches.iter().map(|touch| touch.plate_rad)),
    }
}

/// Difference of the greatest and the smallest value; nothing where there is none.
fn span(values: impl Iterator<Item = f64>) -> f64 {
    let (low, high) = values
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
    if high > low && (high - low).is_finite() { high - low } else { 0.0 }
}
