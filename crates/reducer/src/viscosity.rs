//! Kinematic viscosity of an oil between and beyond the two temperatures at which it is sold by.

use crate::model::Lubrication;
use curves::math;

/// 40 °C in K, the first temperature of the data sheet.
const FIRST_K: f64 = 313.15;
/// 100 °C in K, the second temperature of the data sheet.
const SECOND_K: f64 = 373.15;
/// What is added to the viscosity in mm²/s before the logarithms are taken.
///
/// **Source** `[astm-d341]`, from memory.
const OFFSET_MM2_PER_S: f64 = 0.7;
/// Viscosity below which the short form of the relation leaves out a correction, mm²/s.
///
/// **Source** `[astm-d341]`, from memory.
pub const LEAST_VISCOSITY_MM2_PER_S: f64 = 2.0;

/// Thinner than any oil; below it the second logarithm has no meaning, so thinner ones count as this.
const FLOOR_MM2_PER_S: f64 = 0.5;

/// An oil by its viscosities at 40 °C and 100 °C; for a grease those of its base oil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Oil {
    /// ν₄₀: kinematic viscosity at 40 °C.
    pub viscosity_40_mm2_per_s: f64,
    /// ν₁₀₀: kinematic viscosity at 100 °C.
    pub viscosity_100_mm2_per_s: f64,
}

impl Oil {
    /// The oil of a drive, where its file gives both viscosities and they fall with temperature.
    #[must_use]
    pub fn of(lubrication: &Lubrication) -> Option<Self> {
        let viscosity_40_mm2_per_s = lubrication.viscosity_40_mm2_per_s?;
        let viscosity_100_mm2_per_s = lubrication.viscosity_100_mm2_per_s?;
        (viscosity_40_mm2_per_s > viscosity_100_mm2_per_s)
            .then_some(Self { viscosity_40_mm2_per_s, viscosity_100_mm2_per_s })
    }

    /// ν: kinematic viscosity at a temperature, by Walther's relation in the form of ASTM D341.
    ///
    /// ```text
    /// lg lg(ν + 0.7) = A − B lg T,   ν in mm²/s, T in K
    /// ```
    /// A and B follow from the two stated viscosities, which it therefore gives back exactly.
    /// **Valid for** liquid hydrocarbons above 2 mm²/s, between pour point and start of boiling; beyond the two temperatures
    /// it extrapolates along a line that oils keep well. **Source** `[astm-d341]`, from memory.
    /// **Checked by** `validation/computed/viscosity.toml`.
    #[must_use]
    pub fn viscosity_astm_d341_mm2_per_s(&self, temperature_k: f64) -> f64 {
        let double_log =
            |viscosity: f64| math::log10(math::log10(viscosity.max(FLOOR_MM2_PER_S) + OFFSET_MM2_PER_S));
        let (first, second) =
            (double_log(self.viscosity_40_mm2_per_s), double_log(self.viscosity_100_mm2_per_s));
        let share = math::log10(temperature_k / FIRST_K) / math::log10(SECOND_K / FIRST_K);
        let at = first + (second - first) * share;
        math::pow(10.0, math::pow(10.0, at)) - OFFSET_MM2_PER_S
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const OIL: Oil = Oil { viscosity_40_mm2_per_s: 100.0, viscosity_100_mm2_per_s: 11.0 };

    #[test]
    fn identity_the_stated_viscosities_come_back() {
        assert!((OIL.viscosity_astm_d341_mm2_per_s(FIRST_K) - 100.0).abs() < 1e-9);
        assert!((OIL.viscosity_astm_d341_mm2_per_s(SECOND_K) - 11.0).abs() < 1e-10);
    }

    #[test]
    fn identity_viscosity_falls_with_temperature() {
        let at = |celsius: f64| OIL.viscosity_astm_d341_mm2_per_s(celsius + 273.15);
        for step in -2..14 {
            let celsius = 10.0 * f64::from(step);
            assert!(at(celsius) > at(celsius + 10.0), "{celsius} °C");
        }
        assert!(at(130.0) > LEAST_VISCOSITY_MM2_PER_S);
    }

    #[test]
    fn identity_oils_that_thicken_with_heat_are_refused() {
        let mut lubrication = Lubrication {
            kind: crate::model::LubricantKind::Oil,
            viscosity_40_mm2_per_s: Some(100.0),
            viscosity_100_mm2_per_s: Some(11.0),
            operating_temperature_k: None,
            cleanliness: None,
        };
        assert_eq!(Oil::of(&lubrication), Some(OIL));
        lubrication.viscosity_100_mm2_per_s = Some(100.0);
        assert_eq!(Oil::of(&lubrication), None);
        lubrication.viscosity_100_mm2_per_s = None;
        assert_eq!(Oil::of(&lubrication), None);
    }
}
