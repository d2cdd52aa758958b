//! Ring pins that bend between their supports under the rollers of all discs.

use super::pin_checks::PinChecks;
use crate::contact::build::ContactMaterials;
use crate::finding::Finding;
use crate::model::Drive;
use crate::pin::{Pin, PinSafety};
use crate::results::{LoadCase, Pose};
use crate::units::degrees;

/// Fatigue of ring pins under the rated torque, yield under peak and emergency; nothing for rollers in seats.
#[must_use]
pub fn ring_pin_safety(drive: &Drive, materials: &ContactMaterials, case: &LoadCase) -> Option<Finding> {
    let pin = Pin::ring(&drive.geometry, &materials.ring_pin)?;
    let (safety, place) = worst(&pin, materials, case)?;
    Some(RING_PINS.finding(drive, case, safety, place))
}

/// Checks of the ring pins.
const RING_PINS: PinChecks = PinChecks {
    ids: ["ring-pin-fatigue-rated", "ring-pin-yield-peak", "ring-pin-yield-emergency"],
    titles: [
        "ring pins against fatigue, rated torque",
        "ring pins against yield, peak torque",
        "ring pins against yield, emergency torque",
    ],
    hint: "enlarge roller_pin_radius, or shorten roller_pin_span",
    key: "geometry.roller_pin_radius",
};

/// Forces of all discs on one ring pin.
fn forces_n(pose: &Pose, roller: usize) -> Vec<[f64; 2]> {
    pose.discs
        .iter()
        .map(|disc| disc.ring_roller_normal[roller].map(|part| -part * disc.ring_roller_force_n[roller]))
        .collect()
}

/// The pin that bends most. The stress is a norm of the forces, so the sum of what each force does alone bounds it;
/// only pins whose bound beats the worst so far are worked out.
fn worst(pin: &Pin, materials: &ContactMaterials, case: &LoadCase) -> Option<(PinSafety, String)> {
    let discs = case.poses.first()?.discs.len();
    let alone_mpa_per_n: Vec<f64> = (0..discs)
        .map(|disc| {
            let mut forces = vec![[0.0; 2]; discs];
            forces[disc] = [1.0, 0.0];
            pin.stress(&forces).bending_mpa
        })
        .collect();
    let (mut greatest_mpa, mut place) = (0.0, None);
    for pose in &case.poses {
        for roller in 0..pose.discs[0].ring_roller_force_n.len() {
            let bound_mpa: f64 = pose
                .discs
                .iter()
                .zip(&alone_mpa_per_n)
                .map(|(disc, alone)| alone * disc.ring_roller_force_n[roller])
                .sum();
            if bound_mpa <= greatest_mpa {
                continue;
            }
            let bending_mpa = pin.stress(&forces_n(pose, roller)).bending_mpa;
            if bending_mpa > greatest_mpa {
                (greatest_mpa, place) = (bending_mpa, Some((pose, roller)));
            }
        }
    }
    let (pose, roller) = place?;
    let words = format!("ring pin {} at a crank angle of {:.1}°", roller + 1, degrees(pose.crank_angle_rad));
    Some((pin.safety(&forces_n(pose, roller), &materials.ring_pin), words))
}
