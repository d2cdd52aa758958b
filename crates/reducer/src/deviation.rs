//! How the parts of one assembled drive differ from the drawing.
//!
//! Frames: rollers stand in the ring, pins in the output plate, lobes and holes in their disc, whose x axis goes through
//! a lobe valley. Radial is outwards, tangential anticlockwise, both taken where the drawing puts the feature.

use crate::profile::CircleContact;
use curves::math;
use curves::point::{Vector, rotated, unit};
use std::f64::consts::TAU;

/// A round feature off its place on a circle, and larger or smaller than drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RoundFeature {
    /// Further out.
    pub radial_mm: f64,
    /// Further round, anticlockwise.
    pub tangential_mm: f64,
    /// Larger radius.
    pub radius_mm: f64,
}

impl RoundFeature {
    /// Vector from the centre of the circle to the feature, which the drawing puts at a radius and an angle.
    #[must_use]
    pub fn place_mm(&self, circle_radius_mm: f64, angle_rad: f64) -> Vector {
        rotated(Vector::new(circle_radius_mm + self.radial_mm, self.tangential_mm), angle_rad)
    }
}

/// A disc as made, and the eccentric that it runs on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DiscDeviation {
    /// Longer crank throw.
    pub throw_mm: f64,
    /// Eccentric further round on the crank.
    pub throw_angle_rad: f64,
    /// Centre of the lobes from the centre of the bore.
    pub lobe_shift_mm: [f64; 2],
    /// Material beyond the outline, the same all round.
    pub surplus_mm: f64,
    /// Cosine and sine amplitudes of surplus that every lobe has alike, by its order on a lobe, from one up.
    pub lobe_form_mm: Vec<[f64; 2]>,
    /// Each lobe further round, as a length at the ring radius; empty where all are in their places.
    pub lobe_pitch_mm: Vec<f64>,
    /// Output holes.
    pub holes: Vec<RoundFeature>,
}

/// All deviations of one assembled drive.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Deviations {
    /// Ring rollers.
    pub rollers: Vec<RoundFeature>,
    /// Centre of the ring from the axis of the crank.
    pub ring_shift_mm: [f64; 2],
    /// Centre of the circle of pins from the axis of the crank, in the plate.
    pub plate_shift_mm: [f64; 2],
    /// Output pins.
    pub pins: Vec<RoundFeature>,
    /// Discs with their eccentrics.
    pub discs: Vec<DiscDeviation>,
    /// Larger diametral clearance of the eccentric bearing of each disc.
    pub bearing_clearance_mm: Vec<f64>,
}

impl Deviations {
    /// A drive exactly as drawn.
    #[must_use]
    pub fn none(roller_count: usize, pin_count: usize, disc_count: usize) -> Self {
        let disc = DiscDeviation { holes: vec![RoundFeature::default(); pin_count], ..Default::default() };
        Self {
            rollers: vec![RoundFeature::default(); roller_count],
            ring_shift_mm: [0.0; 2],
            plate_shift_mm: [0.0; 2],
            pins: vec![RoundFeature::default(); pin_count],
            discs: vec![disc; disc_count],
            bearing_clearance_mm: vec![0.0; disc_count],
        }
    }
}

impl DiscDeviation {
    /// Centre of the disc's bore from the axis, at the crank angle of the disc.
    #[must_use]
    pub fn centre_mm(&self, eccentricity_mm: f64, disc_crank_angle_rad: f64) -> Vector {
        unit(disc_crank_angle_rad + self.throw_angle_rad) * (eccentricity_mm + self.throw_mm)
    }

    /// Lobe that the contact at a parameter of the trochoid belongs to; a lobe reaches from valley to valley.
    #[must_use]
    pub fn lobe_at(parameter: f64, lobe_count: usize) -> usize {
        let pitches = parameter * lobe_count as f64 / TAU;
        (pitches.floor().rem_euclid(lobe_count as f64)) as usize % lobe_count
    }

    /// Material beyond the drawn outline, along its normal, where a circle comes nearest to it.
    ///
    /// ```text
    /// h(ψ) = h_0 + Σ_q (a_q cos(q z_l ψ) + b_q sin(q z_l ψ)) + t_m l / R
    /// ```
    /// with t_m the pitch error of the lobe and l the lever of the normal about the lobes' centre. `contact` is in the frame of the lobes.
    ///
    /// **Valid for** deviations small beside the roller: slopes of h turn the normal in the second order only.
    /// **Source** Derivation 14, §2.
    #[must_use]
    pub fn surplus_at_mm(&self, contact: &CircleContact, lobe_count: usize, ring_radius_mm: f64) -> f64 {
        let mut surplus = self.surplus_mm;
        for (index, [cosine, sine]) in self.lobe_form_mm.iter().enumerate() {
            let order = (index + 1) * lobe_count;
            let (s, c) = math::sin_cos(order as f64 * contact.parameter);
            surplus += cosine * c + sine * s;
        }
        if let Some(pitch) = self.lobe_pitch_mm.get(Self::lobe_at(contact.parameter, lobe_count)) {
            let lever_mm = curves::point::cross(contact.place_mm.coords, contact.normal);
            surplus += pitch * lever_mm / ring_radius_mm;
        }
        surplus
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_lobes_are_counted_from_valley_to_valley_round_the_circle() {
        let pitch = TAU / 39.0;
        assert_eq!(DiscDeviation::lobe_at(0.5 * pitch, 39), 0);
        assert_eq!(DiscDeviation::lobe_at(-0.5 * pitch, 39), 38);
        assert_eq!(DiscDeviation::lobe_at(TAU + 1.5 * pitch, 39), 1);
        assert_eq!(DiscDeviation::lobe_at(-1e-18, 39), 38);
    }
}
