//! Pairs and crossed rollers under radial force, axial force and tilting moment.
//!
//! The two rows of a back-to-back pair take the moment as a couple at the points where the lines of force of the
//! elements meet the axis. The pair is rated as though both rows carried what the more loaded one does; for crossed
//! rollers at 45° this gives the trade's `F_r + 2M/d_p`.

use super::life::LifeExponent;
use crate::units::degrees;
use curves::math;

/// What acts on a bearing from outside.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OutsideLoad {
    /// F_r: across the axis.
    pub radial_n: f64,
    /// F_a: along the axis.
    pub axial_n: f64,
    /// M: tilting moment about the middle of the bearing.
    pub moment_n_mm: f64,
}

/// X and Y of a pair, below and above the limit of axial over radial force, and for standstill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PairFactors {
    /// e: limit of F_a/F_r.
    pub limit: f64,
    /// Y below the limit, where X is one.
    pub low_axial: f64,
    /// X above the limit.
    pub high_radial: f64,
    /// Y above the limit.
    pub high_axial: f64,
    /// Y₀; X₀ is one.
    pub static_axial: f64,
}

/// Double-row angular-contact balls: α in degrees, e, Y₁, X₂, Y₂, Y₀.
///
/// **Source** `[iso281-2007]` table of X and Y and `[iso76-2006]`, from memory.
const BALL_TABLE: [[f64; 6]; 6] = [
    [20.0, 0.57, 1.09, 0.70, 1.63, 0.84],
    [25.0, 0.68, 0.92, 0.67, 1.41, 0.76],
    [30.0, 0.80, 0.78, 0.63, 1.24, 0.66],
    [35.0, 0.95, 0.66, 0.60, 1.07, 0.58],
    [40.0, 1.14, 0.55, 0.57, 0.93, 0.52],
    [45.0, 1.34, 0.47, 0.54, 0.81, 0.44],
];

impl PairFactors {
    /// Factors of a pair.
    ///
    /// ```text
    /// rollers: e = 1.5 tan α,  Y₁ = 0.45 cot α,  X₂ = 0.67,  Y₂ = 0.67 cot α,  Y₀ = 0.44 cot α
    /// ```
    /// Balls have a table from 20° to 45°, straight lines between its entries, its ends beyond.
    /// **Source** `[iso281-2007]` double-row bearings, `[iso76-2006]`, from memory.
    /// **Checked by** `validation/computed/crossed-roller.toml`.
    #[must_use]
    pub fn iso281_2007(elements: LifeExponent, contact_angle_rad: f64) -> Self {
        if elements == LifeExponent::Roller {
            let tangent = math::tan(contact_angle_rad);
            return Self {
                limit: 1.5 * tangent,
                low_axial: 0.45 / tangent,
                high_radial: 0.67,
                high_axial: 0.67 / tangent,
                static_axial: 0.44 / tangent,
            };
        }
        let angle = degrees(contact_angle_rad).clamp(20.0, 45.0);
        let column = |index: usize| {
            let table = BALL_TABLE.map(|row| (row[0], row[index]));
            super::interpolate(&table, angle).unwrap_or(table[table.len() - 1].1)
        };
        Self {
            limit: column(1),
            low_axial: column(2),
            high_radial: column(3),
            high_axial: column(4),
            static_axial: column(5),
        }
    }

    /// P of a pair.
    ///
    /// ```text
    /// F_a/F_r ≤ e: P = F_r + Y₁ F_a,   else P = X₂ F_r + Y₂ F_a
    /// ```
    /// **Source** `[iso281-2007]`, from memory. **Checked by** `validation/computed/crossed-roller.toml`.
    #[must_use]
    pub fn equivalent_load_n(&self, radial_n: f64, axial_n: f64) -> f64 {
        let axial_n = axial_n.abs();
        if axial_n <= self.limit * radial_n {
            radial_n + self.low_axial * axial_n
        } else {
            self.high_radial * radial_n + self.high_axial * axial_n
        }
    }

    /// P₀ of a pair, `F_r + Y₀ F_a`.
    ///
    /// **Source** `[iso76-2006]`, from memory. **Checked by** `validation/computed/crossed-roller.toml`.
    #[must_use]
    pub fn static_equivalent_load_n(&self, radial_n: f64, axial_n: f64) -> f64 {
        radial_n + self.static_axial * axial_n.abs()
    }
}

/// l: distance between the points at which the two rows of a back-to-back pair take the moment.
///
/// ```text
/// l = s + D_pw tan α
/// ```
/// s is the distance between the rows, nothing for crossed rollers.
/// **Source** geometry of the lines of force, `docs/derivations/06-bearings.md`.
#[must_use]
pub fn effective_spread_mm(row_distance_mm: f64, pitch_diameter_mm: f64, contact_angle_rad: f64) -> f64 {
    row_distance_mm + pitch_diameter_mm * math::tan(contact_angle_rad)
}

/// F_r + 2M/l: twice what the more loaded row carries across the axis.
///
/// **Valid for** force and moment in one plane and adding up, the worst case. **Source** statics,
/// `docs/derivations/06-bearings.md`. **Checked by** `validation/computed/crossed-roller.toml`.
#[must_use]
pub fn effective_radial_n(load: &OutsideLoad, spread_mm: f64) -> f64 {
    load.radial_n.abs() + 2.0 * load.moment_n_mm.abs() / spread_mm
}

/// Swing between the rings from which on the paths of neighbouring elements overlap on both raceways.
///
/// ```text
/// θ = 4π / (Z (1 − γ))
/// ```
/// Below it each element wears its own stretch of raceway, and a life from whole turns does not hold. An element moves against
/// the outer raceway by half the swing times 1 − γ; θ lets it move by one spacing. **Source** rolling of the elements,
/// `docs/derivations/06-bearings.md`.
#[must_use]
pub fn overlap_swing_rad(element_count: usize, diameter_ratio: f64) -> f64 {
    4.0 * std::f64::consts::PI / (element_count as f64 * (1.0 - diameter_ratio))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_4;

    #[test]
    fn identity_crossed_rollers_have_the_trades_factors() {
        let factors = PairFactors::iso281_2007(LifeExponent::Roller, FRAC_PI_4);
        let expected = [1.5, 0.45, 0.67, 0.67, 0.44];
        let found =
            [factors.limit, factors.low_axial, factors.high_radial, factors.high_axial, factors.static_axial];
        for (found, expected) in found.into_iter().zip(expected) {
            assert!((found - expected).abs() < 1e-12);
        }
        assert!((effective_spread_mm(0.0, 100.0, FRAC_PI_4) - 100.0).abs() < 1e-12);
    }

    #[test]
    fn identity_more_loaded_row_carries_half_the_effective_force() {
        let load = OutsideLoad { radial_n: 1000.0, axial_n: 0.0, moment_n_mm: 90_000.0 };
        let spread = 60.0;
        let row_n = load.radial_n / 2.0 + load.moment_n_mm / spread;
        assert!((effective_radial_n(&load, spread) - 2.0 * row_n).abs() < 1e-12);
    }

    #[test]
    fn identity_the_two_branches_nearly_meet_at_the_limit() {
        for (elements, angles) in
            [(LifeExponent::Ball, [20.0, 32.0, 45.0]), (LifeExponent::Roller, [12.0, 30.0, 45.0])]
        {
            for angle in angles {
                let factors = PairFactors::iso281_2007(elements, crate::units::radians(angle));
                let below = factors.equivalent_load_n(1.0, factors.limit * 0.999_999);
                let above = factors.equivalent_load_n(1.0, factors.limit * 1.000_001);
                assert!((below / above - 1.0).abs() < 0.02, "{elements:?} {angle}: {below} {above}");
            }
        }
    }

    #[test]
    fn identity_elements_move_by_one_spacing_on_the_slower_raceway() {
        let (count, ratio) = (20, 0.2);
        let swing = overlap_swing_rad(count, ratio);
        let moved = swing * (1.0 - ratio) / 2.0;
        assert!((moved - std::f64::consts::TAU / 20.0).abs() < 1e-12);
    }
}
