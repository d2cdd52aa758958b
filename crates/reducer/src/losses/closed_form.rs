//! Closed forms of the losses of an ideal drive: what the sums over real contacts must come near to.
//!
//! They take forces shared as the ideal profile and an even circle of pins share them, without gaps and
//! without the effect of friction on the forces. Losses are power lost over output power, ring held.
//! Source: Derivation 8, §2.

use std::f64::consts::PI;

/// Loss at ring rollers that do not turn.
///
/// ```text
/// V = 4 μ (R − r_r) / (π e z_l)
/// ```
/// A roller that turns on a pin loses `r_pin/r_r` of it, with the coefficient of friction of the pin.
///
/// **Valid for** a tooth difference of one, many rollers, ideal profile. **Source** Derivation 8, §2.
#[must_use]
pub fn roller_loss_ratio(
    friction: f64,
    ring_radius_mm: f64,
    roller_radius_mm: f64,
    pitch_radius_mm: f64,
) -> f64 {
    4.0 * friction * (ring_radius_mm - roller_radius_mm) / (PI * pitch_radius_mm)
}

/// Loss at bare output pins; `ring_pitch_radius_mm` is e z_r.
///
/// ```text
/// V = 4 μ e z_r / (π R_w)
/// ```
/// A sleeve loses `r_pin/r_sleeve` of it, with the coefficient of friction of sleeve on pin.
///
/// **Valid for** as [`roller_loss_ratio`], many pins. **Source** Derivation 8, §2.
#[must_use]
pub fn pin_loss_ratio(friction: f64, ring_pitch_radius_mm: f64, pin_circle_radius_mm: f64) -> f64 {
    4.0 * friction * ring_pitch_radius_mm / (PI * pin_circle_radius_mm)
}

/// Loss at the eccentric bearing from its friction torque, such as `μ F_b r_m`.
///
/// ```text
/// V = M z_r / T
/// ```
/// **Valid for** ring held. **Source** Derivation 8, §2.
#[must_use]
pub fn bearing_loss_ratio(friction_torque_n_mm: f64, ring_roller_count: usize, torque_n_mm: f64) -> f64 {
    friction_torque_n_mm * ring_roller_count as f64 / torque_n_mm
}

/// Efficiency of a sum of losses over output power, `1/(1 + ΣV)`.
///
/// **Source** definition.
#[must_use]
pub fn efficiency(loss_ratio: f64) -> f64 {
    1.0 / (1.0 + loss_ratio)
}

/// Sum over the carrying rollers of force times distance from the pitch point, many rollers.
///
/// ```text
/// Σ Q_i (R S_i − r_r) = Q_max z_r (R − r_r) / π,    Q_max = 4 T/(e z_l z_r)
/// ```
/// **Source** Derivation 8, §2.
#[must_use]
pub fn roller_force_distance_n_mm(
    disc_torque_n_mm: f64,
    ring_radius_mm: f64,
    roller_radius_mm: f64,
    pitch_radius_mm: f64,
) -> f64 {
    4.0 * disc_torque_n_mm / pitch_radius_mm * (ring_radius_mm - roller_radius_mm) / PI
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 39 lobes, R 77.5, r_r 4, e 1.5, R_w 50, r_m 30 mm; 400 N·m; worked out outside this program.
    #[test]
    fn independent_losses_of_a_whole_drive_by_hand() {
        let (pitch, ring_pitch) = (1.5 * 39.0, 1.5 * 40.0);
        let rollers = roller_loss_ratio(0.05, 77.5, 4.0, pitch);
        let pins = pin_loss_ratio(0.05, ring_pitch, 50.0);
        let bearing = bearing_loss_ratio(0.0015 * 10_195.1 * 30.0, 40, 400_000.0);
        assert!((rollers - 0.079_986).abs() < 5e-7, "{rollers}");
        assert!((pins - 0.076_394).abs() < 5e-7, "{pins}");
        assert!((bearing - 0.045_878).abs() < 5e-7, "{bearing}");
        assert!((efficiency(rollers + pins + bearing) - 0.831_77).abs() < 5e-6);
        assert!((efficiency(0.6 * (rollers + pins) + bearing) - 0.877_42).abs() < 5e-6);
    }

    #[test]
    fn identity_loss_of_the_mesh_hardly_depends_on_the_ratio() {
        let shortening = 0.774_194;
        let pitch_radius = |count: f64| 77.5 * shortening * (count - 1.0) / count;
        for count in [20.0, 40.0, 80.0, 120.0] {
            let loss = roller_loss_ratio(1.0, 77.5, 0.0, pitch_radius(count));
            assert!((loss / (4.0 / (PI * shortening)) - count / (count - 1.0)).abs() < 1e-12);
        }
    }
}
