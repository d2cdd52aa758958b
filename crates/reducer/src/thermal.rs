//! Thermal expansion: every part grows from the drawing's 20 °C to its temperature in operation.
//!
//! Ring and rollers have the temperature of the ring, discs and crank that of the discs, and the output
//! plate goes with the discs. A part that grows evenly keeps its shape, so a hot disc is the same
//! profile with all lengths scaled.

use crate::materials::Material;
use crate::model::Requirement;
use crate::units::CELSIUS_20_K;

/// Factors on all lengths of the parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expansion {
    /// Ring, and so the circle of roller centres.
    pub ring: f64,
    /// Ring rollers.
    pub roller: f64,
    /// Discs, and the output plate with its pins.
    pub disc: f64,
    /// Crank, taken as steel.
    pub crank: f64,
}

/// Thermal expansion of steel for the crank, whose material the drive file does not name: common practice.
pub const STEEL_PER_K: f64 = 11.5e-6;

impl Expansion {
    /// Parts as drawn, at 20 °C.
    pub const NONE: Self = Self { ring: 1.0, roller: 1.0, disc: 1.0, crank: 1.0 };

    /// Parts at their temperatures in operation: `1 + α (ϑ − 20 °C)`.
    ///
    /// **Source** definition of the coefficient; which part has which temperature is our convention.
    #[must_use]
    pub fn in_operation(
        requirement: &Requirement,
        ring: &Material,
        roller: &Material,
        disc: &Material,
    ) -> Self {
        let ring_rise = requirement.ring_temperature_k - CELSIUS_20_K;
        let disc_rise = requirement.disc_temperature_k - CELSIUS_20_K;
        Self {
            ring: 1.0 + ring.thermal_expansion_per_k * ring_rise,
            roller: 1.0 + roller.thermal_expansion_per_k * ring_rise,
            disc: 1.0 + disc.thermal_expansion_per_k * disc_rise,
            crank: 1.0 + STEEL_PER_K * disc_rise,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A steel disc 15 K hotter than its steel ring of 62 mm grows about 11 µm into it: common practice.
    #[test]
    fn identity_hot_disc_in_a_cold_ring() {
        let grown_mm = 62.0 * STEEL_PER_K * 15.0;
        assert!((grown_mm - 0.011).abs() < 0.0005);
        assert_eq!(Expansion::NONE.disc * 62.0, 62.0);
    }
}
