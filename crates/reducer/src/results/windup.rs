//! The elastic wind-up by what gives, and the play of the output.

use super::Extreme;
use schemars::JsonSchema;
use serde::Serialize;

/// The elastic wind-up of the output, free play taken off, by what gives; the shares add up to the whole.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct WindupSplit {
    /// Contacts of the ring rollers.
    pub ring_roller_contacts_rad: f64,
    /// Pins that ring rollers turn on, bending.
    pub ring_pins_rad: f64,
    /// Contacts of the output pins.
    pub output_pin_contacts_rad: f64,
    /// Output pins, bending.
    pub output_pins_rad: f64,
    /// Bodies of discs and ring rollers.
    pub bodies_rad: f64,
    /// Eccentric bearings.
    pub eccentric_bearings_rad: f64,
    /// Crank with its bearings, radially.
    pub crank_support_rad: f64,
    /// Gaps that close only under load: of contacts that carry later, and play that the bearing takes up with them.
    pub closing_gaps_rad: f64,
    /// Crank, in torsion.
    pub crank_torsion_rad: f64,
    /// Plate of the output pins as far as its flange.
    pub carrier_rad: f64,
    /// Ring with its housing.
    pub ring_and_housing_rad: f64,
    /// Output bearing, radially.
    pub output_bearing_rad: f64,
}

impl WindupSplit {
    /// Every source: name of its quantity and share, in the order of the parts from crank to flange.
    #[must_use]
    pub fn shares_rad(&self) -> [(&'static str, f64); 12] {
        [
            ("crank_torsion_rad", self.crank_torsion_rad),
            ("crank_support_rad", self.crank_support_rad),
            ("eccentric_bearings_rad", self.eccentric_bearings_rad),
            ("ring_roller_contacts_rad", self.ring_roller_contacts_rad),
            ("ring_pins_rad", self.ring_pins_rad),
            ("bodies_rad", self.bodies_rad),
            ("output_pin_contacts_rad", self.output_pin_contacts_rad),
            ("output_pins_rad", self.output_pins_rad),
            ("closing_gaps_rad", self.closing_gaps_rad),
            ("carrier_rad", self.carrier_rad),
            ("ring_and_housing_rad", self.ring_and_housing_rad),
            ("output_bearing_rad", self.output_bearing_rad),
        ]
    }

    /// The whole wind-up.
    #[must_use]
    pub fn total_rad(&self) -> f64 {
        self.shares_rad().iter().map(|(_, share)| share).sum()
    }

    /// What stated stiffnesses around the mesh give.
    #[must_use]
    pub fn outside_rad(&self) -> f64 {
        self.crank_torsion_rad + self.carrier_rad + self.ring_and_housing_rad + self.output_bearing_rad
    }

    /// Sum of two splits, share by share, the second one times a factor.
    #[must_use]
    pub fn plus(&self, other: &Self, factor: f64) -> Self {
        Self {
            ring_roller_contacts_rad: self.ring_roller_contacts_rad + factor * other.ring_roller_contacts_rad,
            ring_pins_rad: self.ring_pins_rad + factor * other.ring_pins_rad,
            output_pin_contacts_rad: self.output_pin_contacts_rad + factor * other.output_pin_contacts_rad,
            output_pins_rad: self.output_pins_rad + factor * other.output_pins_rad,
            bodies_rad: self.bodies_rad + factor * other.bodies_rad,
            eccentric_bearings_rad: self.eccentric_bearings_rad + factor * other.eccentric_bearings_rad,
            crank_support_rad: self.crank_support_rad + factor * other.crank_support_rad,
            closing_gaps_rad: self.closing_gaps_rad + factor * other.closing_gaps_rad,
            crank_torsion_rad: self.crank_torsion_rad + factor * other.crank_torsion_rad,
            carrier_rad: self.carrier_rad + factor * other.carrier_rad,
            ring_and_housing_rad: self.ring_and_housing_rad + factor * other.ring_and_housing_rad,
            output_bearing_rad: self.output_bearing_rad + factor * other.output_bearing_rad,
        }
    }
}

/// How far the output stands between the ends of its motion with the crank held; nominal parts, friction left out.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PlayResult {
    /// Greatest free play over the period: mesh, pins and the clearance of bearings that give in the load model.
    pub free_play: Extreme,
    /// Greatest difference between the places under plus and minus 3 % of the rated torque.
    pub lost_motion: Extreme,
    /// Whether the search for a position without load never settled, at some crank angle, and ended with gaps that are linear in
    /// the displacements.
    pub has_linear_gaps: bool,
}
