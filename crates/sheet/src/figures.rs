//! Every figure of a drive, one function each: from the drive and its results to a [`Figure`].
//!
//! [`Figure`]: crate::figure::Figure

mod angle_error;
mod assemblies;
mod bearing_force;
mod contact_load;
mod curvature;
mod efficiency;
mod gap_curve;
mod load_map;
mod load_over_turn;
mod margins;
mod outline;
mod pressure_by_angle;
mod roller_forces;
mod scale;
mod section;
mod torque_twist;

pub use angle_error::{angle_error_orders, angle_error_polar};
pub use assemblies::{histogram, of_study};
pub use bearing_force::bearing_force;
pub use curvature::curvature;
pub use efficiency::{efficiency, efficiency_map, loss_sources};
pub use gap_curve::gap_curve;
pub use load_map::{force_map, pressure_map};
pub use load_over_turn::load_over_turn;
pub use margins::{margins, smallest_margins};
pub use pressure_by_angle::pressure_by_angle;
pub use roller_forces::{nearest_pose, roller_forces};
pub use section::section;
pub use torque_twist::torque_twist;

use crate::figure::Figure;
use curves::ClosedCurve;
use reducer::model::Drive;
use reducer::results::Assessment;

/// All figures of a drive that its results allow, in the order of the report.
#[must_use]
pub fn all(drive: &Drive, outline: &dyn ClosedCurve, assessment: &Assessment) -> Vec<Figure> {
    let mut figures = vec![
        margins(assessment),
        section(drive, outline, SECTION_CRANK_ANGLE_RAD),
        curvature(drive, outline, &assessment.geometry),
        gap_curve(drive, &assessment.geometry),
    ];
    if let Some(case) = assessment.load_cases.first() {
        let angle = case.extremes.ring_roller_force.crank_angle_rad;
        figures.push(roller_forces(drive, outline, case, angle));
        figures.push(load_over_turn(drive, case, &assessment.findings));
        figures.push(pressure_by_angle(drive, case));
        figures.push(force_map(drive, case));
        figures.push(pressure_map(drive, case));
        figures.push(bearing_force(drive, case));
    }
    if let Some(twist_loop) = &assessment.torque_twist_loop {
        figures.extend(torque_twist(drive, twist_loop));
    }
    if let Some(losses) = &assessment.losses {
        figures.push(efficiency(losses));
        figures.push(efficiency_map(losses));
        figures.extend(loss_sources(losses));
    }
    figures
}

/// Crank angle of the dimensioned section: crank upwards, so that its dimensions stand clear of each other.
pub const SECTION_CRANK_ANGLE_RAD: f64 = std::f64::consts::FRAC_PI_2;
