//! Friction forces on discs and plate that go with given normal forces and given senses of sliding.

use super::Friction;
use crate::contact::{ContactModel, DiscGeometry};
use crate::profile::LobeOutline;
use curves::point::{Point, Vector, cross, polar, unit};
use nalgebra::Vector3;
use std::f64::consts::TAU;

/// Coefficients that friction forces follow from, each over the normal force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coefficients {
    /// At ring rollers, at the surface of the lobe.
    pub roller: f64,
    /// At output pins, at the wall of the hole.
    pub pin: f64,
    /// Friction torque of the eccentric bearing over its force.
    pub bearing_mm: f64,
    /// r_w: outside radius of a pin or sleeve.
    pub pin_outside_radius_mm: f64,
}

impl Coefficients {
    /// Those of a drive's friction under load.
    #[must_use]
    pub fn of(friction: &Friction, pin_outside_radius_mm: f64) -> Self {
        Self {
            roller: friction.roller,
            pin: friction.pin,
            bearing_mm: friction.eccentric_load_mm(),
            pin_outside_radius_mm,
        }
    }

    /// All friction times a ratio, such as that of friction at the first movement.
    #[must_use]
    pub fn times(self, ratio: f64) -> Self {
        Self {
            roller: ratio * self.roller,
            pin: ratio * self.pin,
            bearing_mm: ratio * self.bearing_mm,
            ..self
        }
    }
}

/// Ways in which friction acts on one disc.
#[derive(Clone, Debug, PartialEq)]
pub struct Rubbing {
    /// Unit vector at each ring roller, or none where nothing slides.
    pub roller: Vec<Vector>,
    /// Unit vector at each output pin, or none where nothing slides.
    pub pin: Vec<Vector>,
    /// Sense of the friction torque of the eccentric bearing.
    pub bearing: f64,
}

/// Normal forces of one disc and the friction that goes with them.
#[derive(Clone, Debug, PartialEq)]
pub struct DiscLoads {
    /// Q_i.
    pub roller_n: Vec<f64>,
    /// P_j.
    pub pin_n: Vec<f64>,
    /// Force of the eccentric bearing on the disc, friction at the contacts counted.
    pub bearing_n: Vector,
    /// Friction torque of the eccentric bearing on the disc.
    pub bearing_n_mm: f64,
    /// Friction on the disc: force and torque about its centre, bearing included.
    pub wrench: Vector3<f64>,
    /// Friction torque on the plate about its axis.
    pub plate_n_mm: f64,
    /// Friction torque of the rollers on the disc, about the centre of the ring.
    pub ring_n_mm: f64,
}

/// A drive whose contacts rub, at one crank angle.
#[derive(Clone, Copy, Debug)]
pub struct RubbingDrive<'a, P> {
    /// The drive.
    pub model: &'a ContactModel<P>,
    /// Its coefficients of friction.
    pub coefficients: &'a Coefficients,
    /// φ.
    pub crank_angle_rad: f64,
}

impl<P: LobeOutline> RubbingDrive<'_, P> {
    /// Friction on one disc under normal forces of its ring rollers and its pins.
    ///
    /// **Source** Coulomb's law; Derivation 8, §5.
    #[must_use]
    pub fn disc_loads(
        &self,
        geometry: &DiscGeometry,
        rubbing: &Rubbing,
        (roller_n, pin_n): (&[f64], &[f64]),
    ) -> DiscLoads {
        let coefficients = self.coefficients;
        let centre = self.disc_centre_mm(geometry);
        let (mut force, mut torque) = (Vector::zeros(), 0.0);
        let (mut plate_n_mm, mut ring_n_mm) = (0.0, 0.0);
        for ((contact, normal_n), way) in geometry.rollers.iter().zip(roller_n).zip(&rubbing.roller) {
            let friction = way * (coefficients.roller * normal_n);
            force += friction;
            torque += cross(contact.place_mm - centre, friction);
            ring_n_mm += cross(contact.place_mm.coords, friction);
        }
        for (pin, (normal_n, way)) in pin_n.iter().zip(&rubbing.pin).enumerate() {
            let friction = way * (coefficients.pin * normal_n);
            let place = self.pin_contact_mm(geometry, pin);
            force += friction;
            torque += cross(place - centre, friction);
            plate_n_mm -= cross(place.coords, friction);
        }
        let normal: Vector =
            geometry.rollers.iter().zip(roller_n).map(|(contact, n)| -contact.normal * *n).sum();
        let pushed: Vector =
            geometry.pin_direction.iter().zip(pin_n).map(|(direction, n)| direction * *n).sum();
        let bearing_n = -(normal + pushed + force);
        let bearing_n_mm = rubbing.bearing * coefficients.bearing_mm * bearing_n.norm();
        DiscLoads {
            roller_n: roller_n.to_vec(),
            pin_n: pin_n.to_vec(),
            bearing_n,
            bearing_n_mm,
            wrench: Vector3::new(force.x, force.y, torque + bearing_n_mm),
            plate_n_mm,
            ring_n_mm,
        }
    }

    /// Where the crank holds the centre of a disc.
    pub(crate) fn disc_centre_mm(&self, geometry: &DiscGeometry) -> Point {
        Point::from(unit(geometry.crank_angle_rad) * self.model.eccentricity_mm)
    }

    /// Where an output pin touches its hole.
    pub(crate) fn pin_contact_mm(&self, geometry: &DiscGeometry, pin: usize) -> Point {
        let model = self.model;
        let angle = model.pin_phase_rad - self.crank_angle_rad / model.lobe_count() as f64
            + TAU * pin as f64 / model.pin_count as f64;
        polar(model.pin_circle_radius_mm, angle)
            + geometry.pin_direction[pin] * self.coefficients.pin_outside_radius_mm
    }
}
