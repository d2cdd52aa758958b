//! Walls of the disc between its holes, lobes and bore: fatigue under the rated torque, yield under peak and emergency.

use super::stress_in_words;
use crate::contact::build::ContactMaterials;
use crate::finding::{Check, Finding, Sense, Standing, Subject};
use crate::kinematics;
use crate::materials::Material;
use crate::model::Drive;
use crate::part::hole_radius_mm;
use crate::profile::LobeProfile;
use crate::results::{DiscState, LoadCase, Pose};
use crate::units::degrees;
use crate::web::{DiscWebs, NeckKind, PlacedForce, Section, WebShape};
use curves::point::{Vector, rotated, unit};
use std::f64::consts::TAU;

/// Fatigue strength in tension and compression over that in bending.
///
/// **Source** `[din743-3]`, from memory: 0.4 and 0.5 of the tensile strength.
const TENSION_OVER_BENDING: f64 = 0.8;

/// The disc's walls, ready to be loaded; `None` where holes, bore and lobe roots leave none.
#[must_use]
pub fn disc_webs(drive: &Drive, materials: &ContactMaterials) -> Option<DiscWebs> {
    let geometry = &drive.geometry;
    DiscWebs::of(WebShape {
        hole_count: geometry.pin_count,
        hole_circle_radius_mm: geometry.pin_circle_radius_mm,
        hole_radius_mm: hole_radius_mm(drive),
        bore_radius_mm: geometry.bore_radius_mm,
        root_radius_mm: LobeProfile::of(geometry).tip_and_root_radius_mm().1,
        poisson_ratio: materials.disc.poisson_ratio,
    })
}

/// Safety of the walls of all discs under a load case, the whole local stress counted as reversed for fatigue.
#[must_use]
pub fn disc_web_safety(
    drive: &Drive,
    materials: &ContactMaterials,
    webs: Option<&DiscWebs>,
    case: &LoadCase,
) -> Option<Finding> {
    let (id, title) = match case.id.as_str() {
        "rated" => ("disc-wall-fatigue-rated", "walls of the disc against fatigue, rated torque"),
        "peak" => ("disc-wall-yield-peak", "walls of the disc against yield, peak torque"),
        _ => ("disc-wall-yield-emergency", "walls of the disc against yield, emergency torque"),
    };
    let limit = if case.id == "emergency" { 1.0 } else { drive.model.least_pin_safety };
    let is_fatigue = case.id == "rated";
    let quantity = if is_fatigue { "disc_fatigue_safety" } else { "disc_yield_safety" };
    let key = "geometry.pin_circle_radius";
    let Some(webs) = webs else {
        let reason =
            "holes, bore and lobe roots leave no wall between them; mend the geometry findings first";
        return Some(Finding::not_assessed(
            id,
            Subject::Strength,
            title,
            Some((quantity, limit)),
            key,
            reason,
        ));
    };
    let worst = worst(drive, &materials.disc, webs, case, is_fatigue)?;
    Some(
        Check {
            id,
            subject: Subject::Strength,
            title,
            quantity,
            value: worst.safety,
            limit,
            sense: Sense::AtLeast,
            scale: limit,
            when_broken: Standing::Fails,
            place: worst.place,
            formula: if is_fatigue { "disc-wall-fatigue-safety" } else { "disc-wall-yield-safety" },
            hint: "leave more wall: fewer or smaller holes (pin_count, pin_radius, sleeve_radius), or wider discs"
                .to_owned(),
            key,
        }
        .finding(),
    )
}

struct Worst {
    safety: f64,
    place: String,
}

/// The least safe cut of all walls, discs and crank angles; `None` where nothing is loaded.
fn worst(
    drive: &Drive,
    material: &Material,
    webs: &DiscWebs,
    case: &LoadCase,
    is_fatigue: bool,
) -> Option<Worst> {
    let hole_mm = hole_radius_mm(drive);
    let width_mm = drive.geometry.disc_width_mm;
    let safety = |section: &Section| {
        let local_mpa = section.notch_factor(hole_mm) * section.edge_stress_mpa(width_mm);
        if is_fatigue {
            TENSION_OVER_BENDING * material.bending_fatigue_strength_mpa / local_mpa
        } else {
            material.yield_strength_mpa / local_mpa.max(section.middle_stress_mpa(width_mm))
        }
    };
    let mut worst: Option<(f64, Section, usize, f64)> = None;
    for pose in &case.poses {
        for disc in 0..pose.discs.len() {
            let (forces, bearing_n) = placed_forces(drive, pose, disc);
            for section in webs.sections(&forces, bearing_n) {
                let value = safety(&section);
                if worst.as_ref().is_none_or(|(least, ..)| value < *least) {
                    worst = Some((value, section, disc, pose.crank_angle_rad));
                }
            }
        }
    }
    let (safety, section, disc, crank_angle_rad) = worst?;
    let place = format!(
        "{} of disc {} at a crank angle of {:.1}°, {} at the edge of the hole",
        wall_in_words(&section, drive.geometry.pin_count),
        disc + 1,
        degrees(crank_angle_rad),
        stress_in_words(section.notch_factor(hole_mm) * section.edge_stress_mpa(width_mm)),
    );
    safety.is_finite().then_some(Worst { safety, place })
}

/// A wall in the words of the trade; people count from one.
fn wall_in_words(section: &Section, hole_count: usize) -> String {
    let hole = section.hole + 1;
    match section.kind {
        NeckKind::Lobe => format!("wall between hole {hole} and the lobes"),
        NeckKind::Bore => format!("wall between hole {hole} and the bore"),
        NeckKind::Web => format!("web between holes {hole} and {}", (section.hole + 1) % hole_count + 1),
    }
}

/// Forces on one disc, seen from its centre with its first hole on the x axis; those of rollers and pins, and that of the bearing.
///
/// **Source** geometry of the ideal position, Derivation 4.
#[must_use]
pub fn placed_forces(drive: &Drive, pose: &Pose, disc: usize) -> (Vec<PlacedForce>, Vector) {
    let geometry = &drive.geometry;
    let state: &DiscState = &pose.discs[disc];
    let crank_rad = pose.crank_angle_rad + TAU * disc as f64 / geometry.disc_count as f64;
    let centre_mm = unit(crank_rad) * geometry.eccentricity_mm;
    let first_hole_rad =
        geometry.hole_phase_rad - pose.crank_angle_rad / kinematics::lobe_count(geometry) as f64;
    let seen = |vector: Vector| rotated(vector, -first_hole_rad);
    let vector = |pair: [f64; 2]| Vector::new(pair[0], pair[1]);
    let rollers = (0..state.ring_roller_force_n.len()).map(|roller| PlacedForce {
        place_mm: seen(vector(state.ring_roller_contact_mm[roller]) - centre_mm),
        force_n: seen(vector(state.ring_roller_normal[roller]) * state.ring_roller_force_n[roller]),
    });
    let hole_mm = hole_radius_mm(drive);
    let pins = (0..state.output_pin_force_n.len()).map(|pin| {
        let push = seen(vector(state.output_pin_direction[pin]));
        let hole = unit(TAU * pin as f64 / geometry.pin_count as f64) * geometry.pin_circle_radius_mm;
        PlacedForce { place_mm: hole + push * hole_mm, force_n: push * state.output_pin_force_n[pin] }
    });
    let forces: Vec<PlacedForce> =
        rollers.chain(pins).filter(|force| force.force_n != Vector::zeros()).collect();
    (forces, seen(vector(state.bearing_force_n)))
}
