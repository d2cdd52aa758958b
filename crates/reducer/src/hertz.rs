//! Hertz line contact of two parallel cylinders: pressure, width, and the shear beneath the surface.
//!
//! Curvature is positive where a body is convex, so that the sum of the two curvatures is the
//! relative one: a roller on a lobe adds, a roller in a valley or a pin in a hole takes off.

pub mod ellipse;
pub mod friction;

use curves::math;
use std::f64::consts::PI;

/// Greatest shear below a line contact as a share of the greatest pressure.
///
/// Found by maximising the stresses on the axis, `docs/derivations/02-line-contact.md`; the printed
/// value is 0.30. **Source** `[johnson1985]` §4.2, from memory.
pub const SHEAR_SHARE: f64 = 0.300_28;
/// Depth of the greatest shear as a share of the half width; the printed value is 0.78 or 0.786.
///
/// **Source** `[johnson1985]` §4.2, from memory; recomputed in `docs/derivations/02-line-contact.md`.
pub const SHEAR_DEPTH_SHARE: f64 = 0.786_15;

/// Greatest shear on the axis of a line contact at a depth, as a share of the greatest pressure.
///
/// ```text
/// τ/p₀ = ζ − ζ²/√(1 + ζ²),   ζ = z/b
/// ```
/// It is half the difference of the stresses across and down.
/// **Source** `[johnson1985]` §4.2, from memory; `docs/derivations/02-line-contact.md`.
#[must_use]
pub fn shear_share(depth_ratio: f64) -> f64 {
    depth_ratio - math::square(depth_ratio) / (1.0 + math::square(depth_ratio)).sqrt()
}

/// Depth over half width below which the shear stays under a share of the pressure; zero where it never passes it.
///
/// **Source** [`shear_share`] solved for the depth by halving, beyond the depth of the greatest shear.
#[must_use]
pub fn depth_of_shear_share(share: f64) -> f64 {
    if share >= SHEAR_SHARE {
        return 0.0;
    }
    let (mut low, mut high) = (SHEAR_DEPTH_SHARE, SHEAR_DEPTH_SHARE + 1.0 / share);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if shear_share(middle) > share { low = middle } else { high = middle }
    }
    high
}

/// How far a body gives way, isotropic and linear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Elastic {
    /// E: modulus of elasticity.
    pub elastic_modulus_mpa: f64,
    /// ν: Poisson's ratio.
    pub poisson_ratio: f64,
}

impl Elastic {
    /// E/(1 − ν²): what a body that cannot give along its length shows of its modulus.
    ///
    /// **Source** `[johnson1985]` §4.1.
    #[must_use]
    pub fn plane_strain_modulus_mpa(&self) -> f64 {
        self.elastic_modulus_mpa / (1.0 - math::square(self.poisson_ratio))
    }

    /// G = E/(2(1 + ν)): modulus of shear.
    ///
    /// **Source** elasticity of an isotropic body, `[timoshenko1970]`.
    #[must_use]
    pub fn shear_modulus_mpa(&self) -> f64 {
        self.elastic_modulus_mpa / (2.0 * (1.0 + self.poisson_ratio))
    }
}

/// E*: modulus of a contact of two bodies.
///
/// ```text
/// 1/E* = (1 − ν₁²)/E₁ + (1 − ν₂²)/E₂
/// ```
/// **Source** `[johnson1985]` eq. 4.22, from memory.
/// **Checked by** `validation/computed/contact-modulus-steel.toml`.
#[must_use]
pub fn contact_modulus_mpa(body_a: &Elastic, body_b: &Elastic) -> f64 {
    1.0 / (1.0 / body_a.plane_strain_modulus_mpa() + 1.0 / body_b.plane_strain_modulus_mpa())
}

/// Curvature of one body against the other from two signed radii, convex positive.
///
/// ```text
/// 1/R = 1/R₁ + 1/R₂
/// ```
/// A radius of zero stands for no body at all and gives no number that can be used; infinite radii are flat.
/// **Source** `[johnson1985]` §4.1.
#[must_use]
pub fn relative_curvature_per_mm(radius_a_mm: f64, radius_b_mm: f64) -> f64 {
    1.0 / radius_a_mm + 1.0 / radius_b_mm
}

/// What a line contact of given force looks like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinePressure {
    /// p₀: greatest pressure, on the middle line.
    pub pressure_mpa: f64,
    /// b: half the width of the band of contact.
    pub half_width_mm: f64,
    /// τ: greatest shear, below the surface.
    pub shear_mpa: f64,
    /// Depth of the greatest shear.
    pub shear_depth_mm: f64,
}

/// Two cylinders side by side, from which pressure follows for any force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineGeometry {
    /// L: length of the contact.
    pub length_mm: f64,
    /// 1/R: curvature of one body against the other.
    pub relative_curvature_per_mm: f64,
    /// E*: modulus of the contact.
    pub contact_modulus_mpa: f64,
}

impl LineGeometry {
    /// p₀: greatest pressure under a force; zero without one, and zero where the bodies wrap each other
    /// (relative curvature not positive), for which Hertz has no answer.
    ///
    /// ```text
    /// p₀ = sqrt(F E* / (π L R))
    /// ```
    /// **Valid for** long contacts, half width well below the smaller radius, no friction, elastic.
    /// **Source** `[johnson1985]` eq. 4.45, from memory.
    /// **Checked by** `validation/boresi-schmidt/17-3.toml`, `validation/computed/roller-on-flat.toml` and others.
    #[must_use]
    pub fn pressure_mpa(&self, force_n: f64) -> f64 {
        let load_n = force_n.max(0.0);
        let square =
            load_n * self.contact_modulus_mpa * self.relative_curvature_per_mm / (PI * self.length_mm);
        square.max(0.0).sqrt()
    }

    /// b: half the width of the band of contact; infinite where the bodies wrap each other.
    ///
    /// ```text
    /// b = sqrt(4 F R / (π L E*))
    /// ```
    /// **Source** `[johnson1985]` eq. 4.43, from memory.
    #[must_use]
    pub fn half_width_mm(&self, force_n: f64) -> f64 {
        if self.relative_curvature_per_mm <= 0.0 {
            return f64::INFINITY;
        }
        let square =
            4.0 * force_n / (PI * self.length_mm * self.contact_modulus_mpa * self.relative_curvature_per_mm);
        square.max(0.0).sqrt()
    }

    /// Pressure, width and shear under a force.
    ///
    /// **Source** `[johnson1985]` §4.2; the two shares are [`SHEAR_SHARE`] and [`SHEAR_DEPTH_SHARE`].
    #[must_use]
    pub fn under(&self, force_n: f64) -> LinePressure {
        let (pressure_mpa, half_width_mm) = (self.pressure_mpa(force_n), self.half_width_mm(force_n));
        LinePressure {
            pressure_mpa,
            half_width_mm,
            shear_mpa: SHEAR_SHARE * pressure_mpa,
            shear_depth_mm: SHEAR_DEPTH_SHARE * half_width_mm,
        }
    }

    /// F: force at which the pressure reaches a value.
    ///
    /// ```text
    /// F = π L R p₀² / E*
    /// ```
    /// **Source** [`LineGeometry::pressure_mpa`] solved for the force.
    #[must_use]
    pub fn force_at_pressure_n(&self, pressure_mpa: f64) -> f64 {
        PI * self.length_mm * math::square(pressure_mpa)
            / (self.contact_modulus_mpa * self.relative_curvature_per_mm)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEEL: Elastic = Elastic { elastic_modulus_mpa: 206_000.0, poisson_ratio: 0.3 };

    /// Greatest shear on the axis below a line contact, (σx − σz)/2 for p₀ = 1 and b = 1.
    fn shear_at(depth: f64) -> f64 {
        let root = (1.0 + depth * depth).sqrt();
        let across = -((1.0 + 2.0 * depth * depth) / root - 2.0 * depth);
        let down = -1.0 / root;
        (across - down) / 2.0
    }

    #[test]
    fn independent_shear_shares_come_from_the_stresses_on_the_axis() {
        let (mut low, mut high) = (0.3, 1.5);
        for _ in 0..80 {
            let (a, b) = (low + (high - low) * 0.382, low + (high - low) * 0.618);
            if shear_at(a) < shear_at(b) { low = a } else { high = b }
        }
        assert!((low - SHEAR_DEPTH_SHARE).abs() < 5e-6, "depth {low}");
        assert!((shear_at(low) - SHEAR_SHARE).abs() < 5e-6, "shear {}", shear_at(low));
    }

    #[test]
    fn identity_shear_falls_below_a_share_at_the_depth_found_for_it() {
        for share in [0.05, 0.15, 0.25, 0.29] {
            let depth = depth_of_shear_share(share);
            assert!((shear_share(depth) - share).abs() < 1e-12 && depth > SHEAR_DEPTH_SHARE);
            assert!((shear_share(depth) - shear_at(depth)).abs() < 1e-12);
        }
        assert_eq!(depth_of_shear_share(0.31), 0.0);
    }

    #[test]
    fn identity_pressure_over_the_band_carries_the_force() {
        let geometry = LineGeometry {
            length_mm: 14.0,
            relative_curvature_per_mm: relative_curvature_per_mm(4.0, -26.4),
            contact_modulus_mpa: contact_modulus_mpa(&STEEL, &STEEL),
        };
        let state = geometry.under(682.58);
        let carried = PI / 2.0 * state.pressure_mpa * state.half_width_mm * geometry.length_mm;
        assert!((carried - 682.58).abs() < 1e-9);
        assert!((geometry.force_at_pressure_n(state.pressure_mpa) - 682.58).abs() < 1e-9);
    }

    #[test]
    fn identity_bodies_that_wrap_each_other_have_no_pressure() {
        let geometry = LineGeometry {
            length_mm: 10.0,
            relative_curvature_per_mm: relative_curvature_per_mm(4.0, -3.0),
            contact_modulus_mpa: 1e5,
        };
        assert_eq!(geometry.pressure_mpa(100.0), 0.0);
        assert_eq!(geometry.half_width_mm(100.0), f64::INFINITY);
        assert_eq!(geometry.pressure_mpa(-1.0), 0.0);
    }
}
