//! Lost motion, load sharing and pressure of one drive as made, at a few crank angles: what a study asks of thousands.

use super::Analysis;
use super::play::LOST_MOTION_SHARE;
use crate::contact::ContactModel;
use crate::contact::build::ContactMaterials;
use crate::contact::equilibrium::{Displacements, EquilibriumError};
use crate::contact::solve::Unloaded;
use crate::model::Drive;

/// Greatest values of a drive over the crank angles looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sampled {
    /// Lost motion at ±3 % of the rated torque, friction left out.
    pub lost_motion_rad: f64,
    /// Force of the ring roller that carries most under the rated torque.
    pub roller_force_n: f64,
    /// Hertz pressure between ring roller and lobe under the rated torque.
    pub roller_pressure_mpa: f64,
    /// Share of the disc that carries most, over an even share.
    pub disc_share_ratio: f64,
}

/// Loads a drive at crank angles, gaps linear from where nominal or made parts touch.
///
/// `starts` keeps the displacements of the last drive at each angle and torque, which are near those of the next.
///
/// # Errors
/// [`EquilibriumError`] where no equilibrium was found.
pub fn sample(
    drive: &Drive,
    model: &ContactModel,
    materials: &ContactMaterials,
    crank_angles_rad: &[f64],
    starts: &mut Vec<Option<Displacements>>,
) -> Result<Sampled, EquilibriumError> {
    let analysis = Analysis::of(drive, model, materials);
    let rated = analysis.rated_torque_n_mm;
    starts.resize(TORQUES * crank_angles_rad.len(), None);
    let mut worst = Sampled::default();
    for (index, angle) in crank_angles_rad.iter().enumerate() {
        let ahead = model.position(*angle, analysis.plate_torque_ratio);
        let behind = model.position(*angle, -analysis.plate_torque_ratio);
        let small = LOST_MOTION_SHARE * rated;
        let mut stands = [0.0; TORQUES];
        let cases = [(&ahead, rated), (&ahead, small), (&behind, -small)];
        for (number, (position, torque)) in cases.into_iter().enumerate() {
            let start = &mut starts[TORQUES * index + number];
            let plate_rad = position.touch.plate_rad;
            let unloaded =
                Unloaded { plate_rad, at: None, under_torque: None, fell_back_to_linear_gaps: false };
            let (pose, displacements) = analysis.pose(position, &unloaded, torque, start.as_ref())?;
            *start = Some(displacements);
            stands[number] = pose.plate_rotation_rad;
            if number == 0 {
                for disc in &pose.discs {
                    let most = |values: &[f64]| values.iter().copied().fold(0.0, f64::max);
                    let share = disc.torque_n_mm / rated * model.disc_count as f64;
                    worst.roller_force_n = worst.roller_force_n.max(most(&disc.ring_roller_force_n));
                    worst.roller_pressure_mpa =
                        worst.roller_pressure_mpa.max(most(&disc.ring_roller_pressure_mpa));
                    worst.disc_share_ratio = worst.disc_share_ratio.max(share);
                }
            }
        }
        worst.lost_motion_rad = worst.lost_motion_rad.max(stands[1] - stands[2]);
    }
    Ok(worst)
}

/// Torques at each crank angle: rated, and a few hundredths of it either way.
const TORQUES: usize = 3;
