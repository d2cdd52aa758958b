//! Where everything is over the motion of the crank, and the forces over their period.

use super::scene::bearing_rollers;
use super::{rounded_mm, rounded_point, shortened};
use crate::api::{ColourScale, DiscForces, ForcePose, Motion, Stage};
use curves::math::{atan2, hypot};
use curves::point::polar;
use reducer::kinematics;
use reducer::model::{Drive, HeldMember};
use reducer::results::{Assessment, DiscState, GapPoint, LoadCase, Pose};
use reducer::units::degrees;
use sheet::figures::outline::{DiscPose, roller_angle_rad};
use sheet::figures::scale::axis_over;
use sheet::svg::{Theme, level_colours};
use std::f64::consts::TAU;

/// Places of an eccentric over a turn; the page goes straight from one to the next, which is off by less than 5e-5 of the throw.
const THROW_STEPS: usize = 360;
/// Intervals of the scale of pressures, about.
const SCALE_INTERVALS: usize = 4;

/// The motion of a drive with the forces of a load case; that of the first one where the name is unknown.
///
/// Forces are absent where the geometry does not mesh. Their tables are carried on from period to period, which leaves
/// out that the rollers of the eccentric bearing stand elsewhere after one.
#[must_use]
pub fn motion(
    drive: &Drive,
    assessment: &Assessment,
    load_case: &str,
    stage: Stage,
    generation: u64,
) -> Motion {
    let geometry = &drive.geometry;
    let cases = &assessment.load_cases;
    let case = cases.iter().find(|case| case.id == load_case).or_else(|| cases.first());
    let share = geometry.tooth_difference as f64 / kinematics::lobe_count(geometry) as f64;
    let over_turn = || (0..=THROW_STEPS).map(|step| TAU * step as f64 / THROW_STEPS as f64);
    let discs = 0..geometry.disc_count;
    let throw_deg = |disc: usize| 360.0 * disc as f64 / geometry.disc_count as f64;
    let pitches = kinematics::roller_periods_in_pin_period(geometry);
    let gaps = &assessment.geometry.gap_curve;
    let poses = case.map_or(&[][..], |case| &case.poses);
    Motion {
        generation,
        stage,
        load_case: case.map_or_else(String::new, |case| case.id.clone()),
        load_cases: cases.iter().map(|case| (case.id.clone(), case.title.clone())).collect(),
        frame_turn_ratio: match geometry.held_member {
            HeldMember::Ring => 0.0,
            HeldMember::Plate => share,
        },
        disc_turn_ratio: -share,
        disc_turn_start_deg: discs
            .clone()
            .map(|disc| degrees(DiscPose::at(geometry, disc, 0.0).turn_rad) + 0.0)
            .collect(),
        cage_turn_ratio: cage_turn_ratio(drive, share),
        cage_turn_start_deg: discs
            .clone()
            .map(|disc| throw_deg(disc) + degrees(drive.model.cage_phase_rad))
            .collect(),
        throw_angle_deg: discs.map(throw_deg).collect(),
        throw_mm: over_turn().map(|angle| rounded_point(polar(geometry.eccentricity_mm, angle))).collect(),
        pitch_point_mm: over_turn()
            .map(|angle| rounded_point(kinematics::pitch_point(geometry, angle)))
            .collect(),
        period_deg: 360.0 * pitches as f64 / geometry.ring_roller_count as f64,
        roller_shift: pitches % geometry.ring_roller_count,
        pin_shift: pitches * geometry.pin_count / kinematics::lobe_count(geometry) % geometry.pin_count,
        poses: poses.iter().map(|pose| force_pose(drive, pose, gaps)).collect(),
        greatest_force_n: case.map_or([0.0; 3], |case| {
            let extremes = &case.extremes;
            [extremes.ring_roller_force, extremes.output_pin_force, extremes.bearing_force]
                .map(|extreme| shortened(extreme.value.max(0.0)))
        }),
        pressure_scale: pressure_scale(case),
    }
}

/// `½ (1 − γ) − ½ (1 + γ) Δ/z_l` with `γ = D_w/D_pw`: the cage follows the mean of both races' surfaces, as in the load model;
/// with the crank where the rollers are not known.
fn cage_turn_ratio(drive: &Drive, disc_share: f64) -> f64 {
    bearing_rollers(drive).map_or(1.0, |rollers| {
        let size = rollers.radius_mm / rollers.pitch_radius_mm;
        0.5 * (1.0 - size) - 0.5 * (1.0 + size) * disc_share
    })
}

fn force_pose(drive: &Drive, pose: &Pose, gaps: &[GapPoint]) -> ForcePose {
    let geometry = &drive.geometry;
    let disc = |(disc, state): (usize, &DiscState)| {
        let throw_rad = pose.crank_angle_rad + TAU * disc as f64 / geometry.disc_count as f64;
        let gap = |roller: usize| gap_mm(gaps, roller_angle_rad(geometry, roller) - throw_rad);
        disc_forces(state, (0..geometry.ring_roller_count).map(gap).collect())
    };
    ForcePose { discs: pose.discs.iter().enumerate().map(disc).collect() }
}

fn disc_forces(state: &DiscState, roller_gap_mm: Vec<f64>) -> DiscForces {
    let direction = |vector: &[f64; 2]| shortened(degrees(atan2(vector[1], vector[0])));
    let all = |values: &[f64]| values.iter().map(|&value| shortened(value)).collect();
    let bearing = state.bearing_force_n;
    DiscForces {
        roller_force_n: all(&state.ring_roller_force_n),
        roller_direction_deg: state.ring_roller_normal.iter().map(direction).collect(),
        roller_pressure_mpa: all(&state.ring_roller_pressure_mpa),
        roller_gap_mm,
        pin_force_n: all(&state.output_pin_force_n),
        pin_direction_deg: state.output_pin_direction.iter().map(direction).collect(),
        pin_pressure_mpa: all(&state.output_pin_pressure_mpa),
        bearing_force_n: shortened(hypot(bearing[0], bearing[1])),
        bearing_direction_deg: direction(&bearing),
    }
}

/// Gap at an angle from the crank, straight between the points of the gap curve.
fn gap_mm(gaps: &[GapPoint], angle_rad: f64) -> f64 {
    let Some(intervals) = gaps.len().checked_sub(1).filter(|&count| count > 0) else { return 0.0 };
    let place = angle_rad.rem_euclid(TAU) / TAU * intervals as f64;
    let before = (place.floor() as usize).min(intervals - 1);
    let share = place - before as f64;
    rounded_mm(gaps[before].gap_mm * (1.0 - share) + gaps[before + 1].gap_mm * share)
}

/// Colours from no pressure to a round value above the greatest one at rollers and pins.
fn pressure_scale(case: Option<&LoadCase>) -> ColourScale {
    let greatest = case.map_or(1.0, |case| {
        case.extremes.ring_roller_pressure.value.max(case.extremes.output_pin_pressure.value)
    });
    let axis =
        axis_over("hertz_pressure_mpa", "pressure at rollers and pins", (0.0, greatest), SCALE_INTERVALS);
    let colours = |theme: Theme| level_colours(theme).map(str::to_owned).to_vec();
    ColourScale {
        greatest: axis.range[1],
        light: colours(Theme::Light),
        dark: colours(Theme::Dark),
        labels: axis.ticks.into_iter().map(|tick| (tick.value, tick.label)).collect(),
        title: axis.label.plain(),
    }
}
