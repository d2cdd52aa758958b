//! Every figure of a drive, one function each: from the drive and its results to a [`Figure`].
//!
//! [`Figure`]: crate::figure::Figure

mod bearing_force;
mod contact_load;
mod curvature;
mod efficiency;
mod gap_curve;
mod load_map;
mod load_over_turn;
mod margins;
mod modification;
pub mod outline;
mod pressure_by_angle;
mod roller_forces;
pub mod scale;
mod section;
mod tolerance_pareto;
mod torque_twist;
mod transmission_error_polar;
mod transmission_error_spectrum;
mod yield_histogram;

pub use bearing_force::bearing_force;
pub use curvature::curvature;
pub use efficiency::{efficiency, efficiency_map, loss_sources};
pub use gap_curve::gap_curve;
pub use load_map::{force_map, pressure_map};
pub use load_over_turn::load_over_turn;
pub use margins::{margins, smallest_margins};
pub use modification::modification;
pub use pressure_by_angle::pressure_by_angle;
pub use roller_forces::{nearest_pose, roller_forces};
pub use section::section;
pub use tolerance_pareto::tolerance_pareto;
pub use torque_twist::torque_twist;
pub use transmission_error_polar::{FlankError, angles_over_turn, transmission_error_polar};
pub use transmission_error_spectrum::transmission_error_spectrum;
pub use yield_histogram::yield_histogram;

use crate::figure::Figure;
use curves::ClosedCurve;
use reducer::accuracy::summary::AccuracyResult;
use reducer::assembly::summary::YieldResult;
use reducer::model::Drive;
use reducer::results::{Assessment, LoadCase};

/// All figures of a drive that its results allow, in the order of the report.
#[must_use]
pub fn all(drive: &Drive, outline: &dyn ClosedCurve, assessment: &Assessment) -> Vec<Figure> {
    let mut figures = vec![
        margins(assessment),
        section(drive, outline, SECTION_CRANK_ANGLE_RAD),
        curvature(drive, outline, &assessment.geometry),
        gap_curve(drive, &assessment.geometry),
    ];
    figures.extend(
        assessment.load_cases.first().into_iter().flat_map(|case| of_case(drive, outline, assessment, case)),
    );
    if let Some(twist_loop) = &assessment.torque_twist_loop {
        figures.extend(torque_twist(drive, twist_loop));
    }
    if let Some(losses) = &assessment.losses {
        figures.push(efficiency(drive, losses));
        figures.push(efficiency_map(drive, losses));
        figures.extend(loss_sources(losses));
    }
    figures
}

/// Figures of one load case; the id of each ends with that of the case.
#[must_use]
pub fn of_case(
    drive: &Drive,
    outline: &dyn ClosedCurve,
    assessment: &Assessment,
    case: &LoadCase,
) -> Vec<Figure> {
    let angle = case.extremes.ring_roller_force.crank_angle_rad;
    vec![
        roller_forces(drive, outline, case, angle),
        load_over_turn(drive, case, &assessment.findings),
        pressure_by_angle(drive, case),
        force_map(drive, case),
        pressure_map(drive, case),
        bearing_force(drive, case),
    ]
}

/// Figures of the accuracy of one drive over an output turn.
#[must_use]
pub fn of_accuracy(result: &AccuracyResult) -> Vec<Figure> {
    let turn = &result.turn;
    let drive = match result.which.assembly {
        None => "the drive as drawn".to_owned(),
        Some(assembly) => format!("assembly {assembly} of seed {}", result.which.seed),
    };
    let angles = angles_over_turn(turn.position_count);
    let flank = |error_rad| FlankError { output_angle_rad: &angles, error_rad };
    vec![
        transmission_error_polar(&drive, flank(&turn.ahead_rad), flank(&turn.behind_rad)),
        transmission_error_spectrum(&drive, &turn.orders_ahead, &turn.orders_behind),
    ]
}

/// Figures of a study of assemblies: the spread of every quantity, and which tolerance makes it.
#[must_use]
pub fn of_study(result: &YieldResult) -> Vec<Figure> {
    let seen = result.distributions.iter().filter(|each| each.count > 0);
    seen.map(yield_histogram).chain(tolerance_pareto(result)).collect()
}

/// Crank angle of the dimensioned section: crank upwards, so that its dimensions stand clear of each other.
pub const SECTION_CRANK_ANGLE_RAD: f64 = std::f64::consts::FRAC_PI_2;
