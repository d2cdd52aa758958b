//! Where the elastic wind-up comes from: contact by contact, part by part, and what surrounds the mesh.
//!
//! Virtual work: forces that balance a torque T, on the way from the unloaded to the loaded position, do the work
//! T Δγ. Each force has moved by what its law, its pin, the bodies and the bearing have given, and by the gap that was
//! there before; so the wind-up is the sum of these shares, Σ F δ/T. Source: Derivation 4, §10.

use super::equilibrium::DiscContacts;
use super::solve::Unloaded;
use super::support::{BearingLaw, DiscSupport};
use super::{DiscForces, LoadedPosition, Position};
use crate::model::Surroundings;
use crate::results::WindupSplit;
use curves::point::Vector;

/// Torques that a load puts on the parts around the mesh.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutsideLoads {
    /// Torque on the output member.
    pub output_torque_n_mm: f64,
    /// Torque on the plate of the output pins, in the frame of the ring.
    pub plate_torque_n_mm: f64,
    /// Torque that holds the crank.
    pub holding_torque_n_mm: f64,
    /// Force of all output pins on their plate.
    pub plate_force_n: Vector,
}

/// Shares of the mesh, eccentric bearings and crank in the wind-up of the output member.
///
/// ```text
/// share = Σ F (δ(F) − δ(F_0))/T
/// ```
/// over all contacts of a kind, with δ the part of the approach that the source gives and F_0 the force without load. What gaps that close
/// under load add is what the others leave of the whole.
///
/// **Source** Derivation 4, §10.
#[must_use]
pub fn mesh_shares(
    position: &Position,
    loaded: &LoadedPosition,
    unloaded: &Unloaded,
    output_torque_n_mm: f64,
    windup_rad: f64,
) -> WindupSplit {
    let mut split = WindupSplit::default();
    if output_torque_n_mm == 0.0 {
        return split;
    }
    for (disc, contacts) in position.contacts.iter().enumerate() {
        let before = unloaded.at.as_ref().map(|at| &at.forces[disc]);
        let work = disc_work(contacts, &loaded.forces[disc], before);
        split = split.plus(&work, 1.0 / output_torque_n_mm.abs());
    }
    split.closing_gaps_rad = windup_rad - split.total_rad();
    split
}

/// Σ F (δ(F) − δ(F_0)) of one disc by what gives, in N·mm where the split has angles.
fn disc_work(contacts: &DiscContacts, loaded: &DiscForces, before: Option<&DiscForces>) -> WindupSplit {
    let mut work = WindupSplit::default();
    let centre = &contacts.centre;
    let forces = all_forces_n(loaded, centre);
    let first = before.map_or_else(|| vec![0.0; forces.len()], |before| all_forces_n(before, centre));
    let (rollers, pins) = (loaded.roller_n.len(), loaded.pin_n.len());
    for (index, contact) in contacts.contacts.iter().enumerate() {
        let (force, first_n) = (forces[index], first[index]);
        if force <= 0.0 {
            continue;
        }
        let series = contact.law.series_compliance_mm_per_n() * (force - first_n);
        let own = contact.law.approach_mm(force) - contact.law.approach_mm(first_n) - series;
        if index < rollers {
            work.ring_roller_contacts_rad += force * own;
            work.ring_pins_rad += force * series;
        } else if index < rollers + pins {
            work.output_pin_contacts_rad += force * own;
            work.output_pins_rad += force * series;
        } else if centre.law.bearing != BearingLaw::Rigid {
            work.eccentric_bearings_rad += force * own;
        }
        if !contacts.bulk.is_empty() {
            let row = &contacts.bulk[index * forces.len()..(index + 1) * forces.len()];
            let grown = row.iter().zip(forces.iter().zip(&first));
            work.bodies_rad += force * grown.map(|(c, (f, f_0))| c * (f - f_0)).sum::<f64>();
        }
    }
    let (bearing, bearing_first) =
        (loaded.bearing_n, before.map_or_else(Vector::zeros, |before| before.bearing_n));
    work.crank_support_rad = centre.law.crank_compliance_mm_per_n * bearing.dot(&(bearing - bearing_first));
    if centre.is_in_bore {
        // The crank's give stands among the coefficients of the bodies.
        work.bodies_rad -= work.crank_support_rad;
    } else {
        work.eccentric_bearings_rad += bearing_work_n_mm(centre, loaded, before);
    }
    work
}

/// Forces in the order of the contacts.
fn all_forces_n(forces: &DiscForces, centre: &DiscSupport) -> Vec<f64> {
    let mut all = [&forces.roller_n[..], &forces.pin_n[..]].concat();
    if centre.is_in_bore {
        all.extend_from_slice(&forces.bore_n);
    }
    all
}

/// Σ F (δ(F) − δ(F_0)) of an eccentric bearing whose disc is rigid.
fn bearing_work_n_mm(centre: &DiscSupport, loaded: &DiscForces, before: Option<&DiscForces>) -> f64 {
    match centre.law.bearing {
        BearingLaw::Rigid => 0.0,
        BearingLaw::Spring { stiffness_n_per_mm, .. } => {
            let (force, first) =
                (loaded.bearing_n.norm(), before.map_or(0.0, |before| before.bearing_n.norm()));
            force * (force - first) / stiffness_n_per_mm
        }
        BearingLaw::Rollers(rollers) => {
            let pressed = loaded.bore_n.iter().enumerate().map(|(element, &force)| {
                let first = before.map_or(0.0, |before| before.bore_n[element]);
                force * (rollers.contact.approach_mm(force) - rollers.contact.approach_mm(first))
            });
            pressed.sum()
        }
    }
}

/// Adds what stated stiffnesses around the mesh give.
///
/// ```text
/// θ = T_part²/(c T),    F²/(c T) for the force on the output bearing
/// ```
/// Each part carries its torque as statics gives it, so the work of the output's torque on the share is that of the part's. The plate is
/// guided on the ring by the output bearing; that the pins' forces change as it gives is left out.
///
/// **Source** Derivation 4, §10.
pub fn add_surroundings(split: &mut WindupSplit, stiffness: &Surroundings, loads: &OutsideLoads) {
    let torque = loads.output_torque_n_mm.abs();
    if torque == 0.0 {
        return;
    }
    let share = |load: f64, stiffness: Option<f64>| stiffness.map_or(0.0, |c| load * load / (c * torque));
    let on_ring = loads.plate_torque_n_mm + loads.holding_torque_n_mm;
    split.crank_torsion_rad = share(loads.holding_torque_n_mm, stiffness.crank_torsion_n_mm_per_rad);
    split.carrier_rad = share(loads.plate_torque_n_mm, stiffness.carrier_n_mm_per_rad);
    split.ring_and_housing_rad = share(on_ring, stiffness.ring_n_mm_per_rad);
    split.output_bearing_rad = share(loads.plate_force_n.norm(), stiffness.output_bearing_n_per_mm);
}
