//! Findings of balance, speed limits and torsional vibration.

use crate::finding::{Check, Finding, Sense, Standing, Subject};
use crate::losses::check::told;
use crate::model::Drive;
use crate::registry;
use crate::results::{DynamicsResult, LoadCase, WindupSplit};
use crate::units::rpm;
use std::f64::consts::TAU;

/// Balance, shaking, speed of the crank's bearings and torsional frequency; lines that say why where there are none.
#[must_use]
pub fn dynamics_findings(
    drive: &Drive,
    dynamics: Option<&DynamicsResult>,
    rated: Option<&LoadCase>,
) -> Vec<Finding> {
    let mut findings: Vec<Finding> = input_bearing_speed(drive).into_iter().collect();
    findings.extend(torsional_stiffness(drive, dynamics, rated));
    match dynamics {
        Some(dynamics) => {
            findings.extend(balance(dynamics));
            findings.push(shaking(dynamics));
            findings.extend(torsional_frequency(drive, dynamics));
        }
        None => findings.extend(frequency_not_assessed(
            drive,
            "the geometry does not mesh; mend the geometry findings first",
        )),
    }
    findings
}

/// The plane where the residual is worst against its share.
fn balance(dynamics: &DynamicsResult) -> Option<Finding> {
    let worst = dynamics.balance_planes.iter().max_by(|a, b| {
        let used =
            |plane: &&crate::results::BalancePlane| plane.unbalance_kg_mm / plane.permissible_unbalance_kg_mm;
        used(a).total_cmp(&used(b))
    })?;
    let hint = if dynamics.counterweights.is_empty() {
        "put counterweights on the crank: give counterweight_plane_1 and counterweight_plane_2"
    } else if dynamics.counterweights.len() == 1 {
        "one counterweight leaves a couple: give counterweight_plane_2 as well"
    } else {
        "make the counterweights as computed: leave counterweight_1 and counterweight_2 out, or change them"
    };
    Some(
        Check {
            id: "balance",
            subject: Subject::Practice,
            title: "residual unbalance of crank and discs against the balance grade",
            quantity: "unbalance_kg_mm",
            value: worst.unbalance_kg_mm,
            limit: worst.permissible_unbalance_kg_mm,
            sense: Sense::AtMost,
            scale: worst.permissible_unbalance_kg_mm,
            when_broken: Standing::Doubtful,
            place: format!(
                "plane {} from the middle of the discs, at the greatest speed",
                registry::display("place_mm", worst.place_mm)
            ),
            formula: "permissible-unbalance",
            hint: hint.to_owned(),
            key: "dynamics.balance_grade",
        }
        .finding(),
    )
}

fn shaking(dynamics: &DynamicsResult) -> Finding {
    let place = format!(
        "with a couple of {}; without counterweights {} and {}",
        registry::display("shaking_couple_n_mm", dynamics.balanced.shaking_couple_n_mm),
        registry::display("shaking_force_n", dynamics.unbalanced.shaking_force_n),
        registry::display("shaking_couple_n_mm", dynamics.unbalanced.shaking_couple_n_mm),
    );
    told(
        "shaking-force",
        Subject::Practice,
        "turning force of the crank's unbalance at the greatest speed",
        ("shaking_force_n", dynamics.balanced.shaking_force_n),
        "shaking",
        "dynamics.counterweight_plane_1",
        place,
    )
}

fn input_bearing_speed(drive: &Drive) -> Option<Finding> {
    let limit = drive.bearings.input.as_ref()?.speed_limit_rad_per_s?;
    Some(
        Check {
            id: "input-bearing-speed",
            subject: Subject::Requirement,
            title: "speed of the crank in its bearings",
            quantity: "max_input_speed_rad_per_s",
            value: drive.requirement.max_input_speed_rad_per_s,
            limit,
            sense: Sense::AtMost,
            scale: limit,
            when_broken: Standing::Fails,
            place: "at the greatest input speed".to_owned(),
            formula: "",
            hint: "take faster input bearings, or lower max_input_speed".to_owned(),
            key: "bearings.input.speed_limit",
        }
        .finding(),
    )
}

/// The required stiffness against the slope of torque over wind-up, with the sources that give most.
fn torsional_stiffness(
    drive: &Drive,
    dynamics: Option<&DynamicsResult>,
    rated: Option<&LoadCase>,
) -> Option<Finding> {
    let limit = drive.requirement.torsional_stiffness_n_mm_per_rad?;
    let (id, title, quantity, key) = (
        "torsional-stiffness",
        "torsional stiffness between half and full rated torque",
        "torsional_stiffness_n_mm_per_rad",
        "requirement.torsional_stiffness",
    );
    let (Some(stiffness), Some(rated)) =
        (dynamics.and_then(|dynamics| dynamics.secant_stiffness_n_mm_per_rad), rated)
    else {
        let reason = "no loads from which the stiffness follows";
        let required = Some((quantity, limit));
        return Some(Finding::not_assessed(id, Subject::Requirement, title, required, key, reason));
    };
    Some(
        Check {
            id,
            subject: Subject::Requirement,
            title,
            quantity,
            value: stiffness,
            limit,
            sense: Sense::AtLeast,
            scale: limit,
            when_broken: Standing::Fails,
            place: format!(
                "slope of the mean wind-up without friction; {}",
                largest_sources(&rated.extremes.windup_split)
            ),
            formula: "windup-share",
            hint: "stiffen what gives most: `lobewright loads` lists the sources of the wind-up".to_owned(),
            key,
        }
        .finding(),
    )
}

/// The three sources of most wind-up, in words.
fn largest_sources(split: &WindupSplit) -> String {
    let mut shares = split.shares_rad().to_vec();
    shares.sort_by(|a, b| b.1.total_cmp(&a.1));
    let total = split.total_rad();
    let listed: Vec<String> = shares
        .iter()
        .take(3)
        .filter(|(_, share)| *share > 0.0)
        .map(|(quantity, share)| {
            let words = registry::quantity(quantity).map_or(*quantity, |entry| entry.words.as_str());
            let source = words.trim_start_matches("wind-up from ").trim_start_matches("the ");
            format!("{source} {:.0} %", 100.0 * share / total)
        })
        .collect();
    format!("most from {}", listed.join(", "))
}

/// Told, with the crank speeds that would excite it: no drive file says how strongly they do.
fn torsional_frequency(drive: &Drive, dynamics: &DynamicsResult) -> Option<Finding> {
    let Some(frequency) = dynamics.torsional_frequency_per_s else {
        return frequency_not_assessed(drive, "no loads from which the stiffness follows");
    };
    let once = rpm(frequency * TAU);
    let place = format!(
        "crank held; excited once a turn at {once:.0} rpm of the crank and twice a turn at {:.0} rpm; with the stiffness that the load model and [stiffness] count, so the real one is lower",
        0.5 * once
    );
    Some(told(
        "torsional-frequency",
        Subject::Requirement,
        "first torsional frequency with the load's inertia",
        ("torsional_frequency_per_s", frequency),
        "torsional-frequency",
        "requirement.load_inertia",
        place,
    ))
}

fn frequency_not_assessed(drive: &Drive, reason: &str) -> Option<Finding> {
    let inertia = drive.requirement.load_inertia_kg_mm2?;
    Some(Finding::not_assessed(
        "torsional-frequency",
        Subject::Requirement,
        "first torsional frequency with the load's inertia",
        Some(("load_inertia_kg_mm2", inertia)),
        "requirement.load_inertia",
        reason,
    ))
}
