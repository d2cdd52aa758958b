//! The lines of the requirement that bearings answer: life, outside loads on the output, swings.

use super::line;
use crate::bearing_loads::{self, BearingResults, rated_life_s};
use crate::finding::{Check, Finding, Sense, Standing, Subject};
use crate::kinematics;
use crate::model::{Drive, Requirement};
use crate::registry;
use crate::results::BearingResult;

/// Life of every bearing that is described, the eccentric one always.
pub(super) fn lives(requirement: &Requirement, bearings: &BearingResults) -> Vec<Finding> {
    let (id, title, key) = ("life", "life of the eccentric bearing", "requirement.life");
    let Some(wanted) = requirement.life_s else {
        let reason = "no life is required in the drive file";
        return vec![Finding::not_assessed(id, Subject::Requirement, title, None, key, reason)];
    };
    let mut lines = vec![match &bearings.eccentric {
        Ok(result) => life(
            (id, title),
            result,
            wanted,
            "take a bearing with a higher rating, or enlarge eccentricity to lower its force",
        ),
        Err(reason) => {
            Finding::not_assessed(id, Subject::Requirement, title, Some(("life_s", wanted)), key, reason)
        }
    }];
    lines.extend(bearings.output.as_ref().ok().map(|output| {
        let hint = "take a larger bearing, a greater row_distance, or bring the load nearer";
        life(("life-output-bearing", "life of the output bearing"), &output.rating, wanted, hint)
    }));
    let shortest = bearings.input.iter().flatten().min_by(|a, b| rated_life_s(a).total_cmp(&rated_life_s(b)));
    lines.extend(shortest.map(|result| {
        let hint = "take larger bearings, or set them nearer to the discs and further apart";
        life(("life-input-bearings", "life of the more loaded input bearing"), result, wanted, hint)
    }));
    lines
}

/// a_ISO where the method ends, at κ = 0.1: what is left of the basic life whatever the load.
const SHARE_AT_THINNEST_FILM: f64 = 0.1;

/// The modified life where its data suffice, the basic one otherwise; the place says which and why.
fn life(
    (id, title): (&'static str, &'static str),
    result: &BearingResult,
    wanted_s: f64,
    hint: &str,
) -> Finding {
    let (place, formula) = match &result.modified {
        Some(modified) => (
            format!(
                "modified life, reliability {}: κ {:.2} at {}, e_C {:.2}, a1 {:.2}, a_ISO {:.2}; basic life {}",
                registry::display("reliability", modified.reliability),
                modified.viscosity_ratio,
                registry::display("operating_temperature_k", modified.operating_temperature_k),
                modified.contamination_factor,
                modified.reliability_factor,
                modified.life_factor,
                registry::display("life_s", result.life_s),
            ),
            "modified-life",
        ),
        None => (format!("basic life, 90 %; no modified life: {}", result.why_not_modified), "rating-life"),
    };
    let check =
        line(id, title, "life_s", (rated_life_s(result), Sense::AtLeast, wanted_s), "requirement.life", hint);
    let finding = Check { place, formula, ..check }.finding();
    let would_do = result.life_s * SHARE_AT_THINNEST_FILM >= wanted_s;
    if finding.standing != Standing::Holds || !result.film_too_thin || would_do {
        return finding;
    }
    let hint = "where metal touches metal a tenth of the basic life may be all there is: take a larger bearing, or a thicker oil with additives against wear, and test".to_owned();
    Finding { standing: Standing::Doubtful, hint, ..finding }
}

/// Radial force, axial force and tilting moment on the output, each with the others as required.
pub(super) fn output_loads(requirement: &Requirement, bearings: &BearingResults) -> Vec<Finding> {
    let carried = |pick: fn(&crate::results::OutputBearingResult) -> f64| {
        bearings.output.as_ref().map(pick).map_err(String::as_str)
    };
    let lines = [
        (
            "output-radial-force",
            "radial force on the output",
            "output_radial_force_n",
            requirement.output_radial_force_n,
            carried(|output| output.carried_radial_force_n),
            "requirement.output_radial_force",
        ),
        (
            "output-axial-force",
            "axial force on the output",
            "output_axial_force_n",
            requirement.output_axial_force_n,
            carried(|output| output.carried_axial_force_n),
            "requirement.output_axial_force",
        ),
        (
            "output-tilting-moment",
            "tilting moment on the output, with that of the radial force",
            "output_tilting_moment_n_mm",
            requirement.output_tilting_moment_n_mm.map(|moment| {
                let radial_n = requirement.output_radial_force_n.unwrap_or(0.0);
                moment + radial_n * requirement.output_force_distance_mm
            }),
            carried(|output| output.carried_tilting_moment_n_mm),
            "requirement.output_tilting_moment",
        ),
    ];
    lines
        .into_iter()
        .filter_map(|(id, title, quantity, wanted, carried, key)| {
            let wanted = wanted?;
            Some(match carried {
                Ok(carried) => {
                    let hint = "take a larger output bearing, or a greater row_distance";
                    let check = line(id, title, quantity, (carried, Sense::AtLeast, wanted), key, hint);
                    let place = match requirement.life_s {
                        Some(_) => "what the output bearing carries for the required life and with static safety 1.5, the other loads as required",
                        None => "what the output bearing carries with static safety 1.5, the other loads as required",
                    };
                    Check { place: place.to_owned(), formula: "output-bearing-load", ..check }.finding()
                }
                Err(reason) => {
                    Finding::not_assessed(id, Subject::Requirement, title, Some((quantity, wanted)), key, reason)
                }
            })
        })
        .collect()
}

/// Swings against the least one for which a life from whole turns holds, at eccentric and output bearing.
pub(super) fn swings(drive: &Drive) -> Vec<Finding> {
    let Some(swing) = drive.requirement.oscillation_angle_rad else { return Vec::new() };
    let key = "requirement.oscillation_angle";
    let geometry = &drive.geometry;
    let ratio = kinematics::ratio(geometry).abs();
    let between_rings = kinematics::eccentric_bearing_speed_rad_per_s(geometry, 1.0) * ratio * swing;
    let mut bearings = vec![(
        "oscillation-angle",
        "swing between the rings of the eccentric bearing",
        Some(&drive.bearings.eccentric),
        between_rings,
    )];
    bearings.push((
        "oscillation-angle-output",
        "swing between the rings of the output bearing",
        drive.bearings.output.as_ref(),
        swing,
    ));
    bearings
        .into_iter()
        .filter_map(|(id, title, bearing, swing)| {
            let bearing = bearing?;
            let Some(least) = bearing_loads::overlap_swing_rad(bearing) else {
                let reason = "give what is inside the bearing: element_count, element_diameter, pitch_diameter";
                let limit = Some(("oscillation_angle_rad", swing));
                return Some(Finding::not_assessed(id, Subject::Requirement, title, limit, key, reason));
            };
            let hint = "below it each rolling element wears its own stretch of raceway: rate by standstill, and turn the axis fully now and then to spread the lubricant";
            let check =
                line(id, title, "oscillation_angle_rad", (swing, Sense::AtLeast, least), key, hint);
            let place = "least swing at which the paths of neighbouring elements overlap";
            Some(
                Check {
                    when_broken: Standing::Doubtful,
                    place: place.to_owned(),
                    formula: "overlap-swing",
                    ..check
                }
                .finding(),
            )
        })
        .collect()
}
