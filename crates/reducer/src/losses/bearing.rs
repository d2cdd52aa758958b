//! Friction torque of rolling bearings after Palmgren, and the usual factors of each kind.

use crate::model::{Bearing, BearingKind};
use crate::units::rpm;
use curves::math::{pow, power};

/// Factors and size that the friction of a bearing follows from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BearingFriction {
    /// f0: factor of the torque without load.
    pub free_factor: f64,
    /// f1: factor of the torque under load.
    pub load_factor: f64,
    /// d_m: mean diameter.
    pub mean_diameter_mm: f64,
}

/// Product of viscosity (mm²/s) and speed (rpm) below which the torque without load is constant.
const SLOW_LIMIT: f64 = 2_000.0;

impl BearingFriction {
    /// M0: torque without load, from lubricant and speed; nothing without lubricant.
    ///
    /// ```text
    /// M0 = 1e-7 f0 (ν n)^(2/3) d_m³      ν n ≥ 2000
    /// M0 = 160e-7 f0 d_m³                ν n < 2000      (N·mm; mm²/s, rpm, mm)
    /// ```
    /// **Valid for** moderate loads, lubricant well distributed. **Source** `[palmgren1959]`, from memory.
    /// **Checked by** `validation/computed/losses/palmgren-friction.toml`.
    #[must_use]
    pub fn free_torque_n_mm(&self, viscosity_mm2_per_s: f64, speed_rad_per_s: f64) -> f64 {
        if viscosity_mm2_per_s <= 0.0 {
            return 0.0;
        }
        let product = viscosity_mm2_per_s * rpm(speed_rad_per_s.abs());
        let factor = if product < SLOW_LIMIT { 160.0 } else { pow(product, 2.0 / 3.0) };
        1e-7 * self.free_factor * factor * power(self.mean_diameter_mm, 3)
    }

    /// M1: torque under load, `f1 P1 d_m`; f1 is half the coefficient of friction at the mean radius.
    ///
    /// **Source** `[palmgren1959]`, from memory.
    #[must_use]
    pub fn load_torque_n_mm(&self, load_n: f64) -> f64 {
        self.load_factor * load_n * self.mean_diameter_mm
    }

    /// Friction of a bearing of the drive file, factors given or those of its kind; `None` without a mean diameter.
    #[must_use]
    pub fn of(bearing: &Bearing, free_factor: Option<f64>, load_factor: Option<f64>) -> Option<Self> {
        let (free, load) = usual_factors(bearing.kind);
        Some(Self {
            free_factor: free_factor.unwrap_or(free),
            load_factor: load_factor.unwrap_or(load),
            mean_diameter_mm: mean_diameter_mm(bearing)?,
        })
    }
}

/// f0 and f1 of a kind of bearing: oil bath, or grease that is run in and still full.
///
/// Middle of the usual ranges: ball 1.5 to 2 and 0.0004 to 0.0006; cylindrical with cage 2 to 3 and 0.0002 to 0.0004;
/// needle 6 to 12 and about 0.001; angular contact 2 to 3 and 0.0009, tapered 3 to 4 and 0.0004, a pair twice the f0 and
/// crossed rollers as a tapered pair. The factor (P/C0)^0.55 that lowers f1 of balls is left out, on the safe side.
///
/// **Source** `[palmgren1959]` and makers' tables, from memory; `[common-practice]`.
#[must_use]
pub fn usual_factors(kind: BearingKind) -> (f64, f64) {
    match kind {
        BearingKind::CylindricalRoller => (2.5, 0.0003),
        BearingKind::Needle | BearingKind::DrawnCupNeedle => (9.0, 0.001),
        BearingKind::DeepGrooveBall => (1.75, 0.0005),
        BearingKind::AngularContactPair => (5.0, 0.0009),
        BearingKind::TaperedRollerPair | BearingKind::CrossedRoller => (7.0, 0.0004),
    }
}

/// d_m: pitch diameter, or the mean of bore and outside.
///
/// **Source** definition.
#[must_use]
pub fn mean_diameter_mm(bearing: &Bearing) -> Option<f64> {
    let of_rings = || Some(0.5 * (bearing.bore_diameter_mm? + bearing.outside_diameter_mm?));
    bearing.pitch_diameter_mm.or_else(of_rings)
}
