//! Free play and lost motion of the output: where it stands under next to no torque and under a few hundredths, either way.

use super::Analysis;
use crate::contact::ContactModel;
use crate::contact::build::ContactMaterials;
use crate::contact::equilibrium::EquilibriumError;
pub use crate::contact::flank::LOST_MOTION_SHARE;
use crate::model::Drive;
use crate::results::{Extreme, PlayResult};
use crate::shape::crank_angles;

/// Crank angles over the period of pins and bearings at which the play is taken.
const PLAY_ANGLES: usize = 12;

/// Play and lost motion of the output with the crank held, nominal parts at their temperatures in operation.
///
/// Bearings that give in the load model bring their clearance, mesh and pins theirs, and everything that gives its twist. Friction is
/// left out here, and counted in [`crate::accuracy::hysteresis`]; tolerances are left out.
///
/// **Source** the trade's definition at ±3 % of the rated torque, `[common-practice]`; Derivation 4, §9.
///
/// # Errors
/// [`EquilibriumError`] where no equilibrium was found.
pub fn play(
    drive: &Drive,
    model: &ContactModel,
    materials: &ContactMaterials,
) -> Result<PlayResult, EquilibriumError> {
    let analysis = Analysis::of(drive, model, materials);
    let torque = LOST_MOTION_SHARE * analysis.rated_torque_n_mm;
    let none = Extreme { value: 0.0, disc: 0, contact: 0, crank_angle_rad: 0.0 };
    let mut result = PlayResult { free_play: none, lost_motion: none, has_linear_gaps: false };
    for crank_angle_rad in crank_angles(drive, PLAY_ANGLES) {
        let stand = |sense: f64| {
            let (position, unloaded) = analysis.at_rest(crank_angle_rad, sense, None)?;
            analysis.pose(&position, &unloaded, sense * torque, None).map(|(pose, _)| pose)
        };
        let (ahead, behind) = (stand(1.0)?, stand(-1.0)?);
        let free = ahead.unloaded_plate_rotation_rad - behind.unloaded_plate_rotation_rad;
        let loaded = ahead.plate_rotation_rad - behind.plate_rotation_rad;
        result.has_linear_gaps |= ahead.unloaded_has_linear_gaps || behind.unloaded_has_linear_gaps;
        for (most, value) in [(&mut result.free_play, free), (&mut result.lost_motion, loaded)] {
            if value > most.value {
                *most = Extreme { value, crank_angle_rad, ..none };
            }
        }
    }
    Ok(result)
}
