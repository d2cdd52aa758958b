//! Heat balance of the housing, and viscosity over temperature.

use crate::model::{Drive, LubricantKind, Lubrication};
use crate::viscosity::Oil;
use curves::math::square;
use curves::root::brent;
use std::f64::consts::PI;

/// Temperatures between which the viscosity formula is used: −40 °C and 200 °C.
const VISCOSITY_RANGE_K: (f64, f64) = (233.15, 473.15);

/// Kinematic viscosity at a temperature from those at 40 and 100 °C.
///
/// With only one of the two stated it is taken as constant; zero without lubricant. Temperatures beyond −40 and 200 °C count as those.
///
/// **Valid for** mineral and most synthetic oils above about 2 mm²/s. **Source** `[astm-d341]`, from memory.
#[must_use]
pub fn viscosity_mm2_per_s(lubrication: &Lubrication, temperature_k: f64) -> f64 {
    if lubrication.kind == LubricantKind::Dry {
        return 0.0;
    }
    let (warm, hot) = (lubrication.viscosity_40_mm2_per_s, lubrication.viscosity_100_mm2_per_s);
    match Oil::of(lubrication) {
        Some(oil) => {
            oil.viscosity_astm_d341_mm2_per_s(temperature_k.clamp(VISCOSITY_RANGE_K.0, VISCOSITY_RANGE_K.1))
        }
        None => warm.or(hot).unwrap_or_default(),
    }
}

/// Surface of the housing that gives off heat: as given, or that of a cylinder with both its ends.
///
/// **Source** geometry of a cylinder; flange faces that touch the machine count too, as heat leaves there as well.
#[must_use]
pub fn cooling_area_mm2(drive: &Drive) -> Option<f64> {
    drive.losses.cooling_area_mm2.or_else(|| {
        let (radius, length) = (drive.geometry.housing_radius_mm?, drive.geometry.housing_length_mm?);
        Some(2.0 * PI * (square(radius) + radius * length))
    })
}

/// Temperature at which the housing gives off what is lost inside.
///
/// ```text
/// k A (ϑ − ϑ_a) = P(ϑ)
/// ```
/// `loss_w` is the loss at a temperature; it falls as the lubricant thins, so there is one answer.
/// Losses that no temperature up to 3000 K above the surroundings gives off return that end of the search.
///
/// **Source** ISO/TR 14179 in its simplest form, `[iso-tr14179-2]`, from memory.
#[must_use]
pub fn steady_temperature_k(conductance_w_per_k: f64, ambient_k: f64, loss_w: impl Fn(f64) -> f64) -> f64 {
    let surplus = |temperature: f64| conductance_w_per_k * (temperature - ambient_k) - loss_w(temperature);
    let hottest = ambient_k + 3_000.0;
    if surplus(ambient_k) >= 0.0 {
        return ambient_k;
    }
    brent(surplus, ambient_k, hottest, 1e-9).unwrap_or(hottest)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn oil(at_40: Option<f64>, at_100: Option<f64>) -> Lubrication {
        Lubrication {
            kind: LubricantKind::Oil,
            viscosity_40_mm2_per_s: at_40,
            viscosity_100_mm2_per_s: at_100,
            operating_temperature_k: None,
            cleanliness: None,
        }
    }

    #[test]
    fn identity_viscosity_passes_through_both_stated_values_and_falls() {
        let oil = oil(Some(100.0), Some(11.0));
        assert!((viscosity_mm2_per_s(&oil, 313.15) - 100.0).abs() < 1e-10);
        assert!((viscosity_mm2_per_s(&oil, 373.15) - 11.0).abs() < 1e-11);
        let falling: Vec<f64> =
            (0..30).map(|step| viscosity_mm2_per_s(&oil, 253.15 + 6.0 * f64::from(step))).collect();
        assert!(falling.windows(2).all(|pair| pair[1] < pair[0]));
    }

    #[test]
    fn identity_one_stated_viscosity_is_kept_and_none_is_none() {
        assert_eq!(viscosity_mm2_per_s(&oil(Some(68.0), None), 350.0), 68.0);
        assert_eq!(viscosity_mm2_per_s(&oil(None, None), 350.0), 0.0);
        let dry = Lubrication { kind: LubricantKind::Dry, ..oil(Some(68.0), Some(9.0)) };
        assert_eq!(viscosity_mm2_per_s(&dry, 350.0), 0.0);
    }

    #[test]
    fn identity_steady_temperature_balances_a_loss_that_falls_with_it() {
        let loss = |temperature: f64| 200.0 * math_exp(-(temperature - 293.15) / 60.0);
        let steady = steady_temperature_k(1.8, 293.15, loss);
        assert!((1.8 * (steady - 293.15) - loss(steady)).abs() < 1e-6);
        assert_eq!(steady_temperature_k(1.8, 293.15, |_| 0.0), 293.15);
    }

    fn math_exp(value: f64) -> f64 {
        curves::math::exp(value)
    }
}
