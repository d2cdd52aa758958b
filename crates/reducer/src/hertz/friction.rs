//! Stresses in and below a line contact that slides: pressure with a friction force in proportion to it.

use curves::math::square;

/// Extremes of the stresses of a sliding line contact, as shares of the greatest pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlidingShares {
    /// Greatest tension, at the surface behind the contact.
    pub tension: f64,
    /// Largest compressive principal stress.
    pub compression: f64,
    /// Greatest shear, of all directions.
    pub shear: f64,
    /// Depth of the greatest shear over the half width; zero at the surface.
    pub shear_depth: f64,
    /// Octahedral shear at the place of the greatest shear.
    pub octahedral: f64,
}

/// Places across the contact and below it at which the stresses are taken.
const ACROSS: u32 = 240;
/// See [`ACROSS`].
const BELOW: u32 = 120;
/// How far they reach, in half widths.
const REACH: (f64, f64) = (1.5, 1.2);

/// Stresses σx, σz, τxz at a place for p₀ = 1 and b = 1, friction pushing the surface towards positive x.
///
/// ```text
/// m², n² = ½ (sqrt((1 − x² + z²)² + 4x²z²) ± (1 − x² + z²)),   sign of n that of x,   r = (z² + n²)/(m² + n²)
/// pressure   σx = −m (1 + r) + 2z,   σz = −m (1 − r),   τ = −n (m² − z²)/(m² + n²)
/// friction   σx = f (n (2 − (z² − m²)/(m² + n²)) − 2x),   σz = f τ_p,   τ = f σx_p
/// ```
/// **Source** `[johnson1985]` eq. 4.49 and §7.1 after McEwen, from memory; the sign of the first friction term is such that the surface
/// behind the contact is pulled.
#[must_use]
pub fn stresses(across: f64, below: f64, friction: f64) -> [f64; 3] {
    let middle = 1.0 - square(across) + square(below);
    let root = (square(middle) + 4.0 * square(across * below)).sqrt();
    let m = (0.5 * (root + middle)).max(0.0).sqrt();
    let n = (0.5 * (root - middle)).max(0.0).sqrt().copysign(across);
    let sum = (square(m) + square(n)).max(f64::MIN_POSITIVE);
    let ratio = (square(below) + square(n)) / sum;
    let pressed =
        [-m * (1.0 + ratio) + 2.0 * below, -m * (1.0 - ratio), -n * (square(m) - square(below)) / sum];
    let dragged = n * (2.0 - (square(below) - square(m)) / sum) - 2.0 * across;
    [pressed[0] + friction * dragged, pressed[1] + friction * pressed[2], pressed[2] + friction * pressed[0]]
}

/// Extremes of the stresses for a coefficient of friction, plane strain.
///
/// **Valid for** sliding all over the contact, elastic bodies alike (or without slip from unlike ones).
/// **Source** [`stresses`], searched over a grid. **Checked by** `validation/boresi-schmidt/17-3-friction.toml`.
#[must_use]
pub fn sliding_shares(friction: f64, poisson_ratio: f64) -> SlidingShares {
    let mut shares =
        SlidingShares { tension: 0.0, compression: 0.0, shear: 0.0, shear_depth: 0.0, octahedral: 0.0 };
    for row in 0..=BELOW {
        let below = REACH.1 * f64::from(row) / f64::from(BELOW);
        for column in 0..=ACROSS {
            let across = REACH.0 * (2.0 * f64::from(column) / f64::from(ACROSS) - 1.0);
            let [along, down, shear] = stresses(across, below, friction);
            let radius = (square(0.5 * (along - down)) + square(shear)).sqrt();
            let mean = 0.5 * (along + down);
            let principal = [mean + radius, mean - radius, poisson_ratio * (along + down)];
            let most = principal.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let least = principal.iter().copied().fold(f64::INFINITY, f64::min);
            let differences = square(principal[0] - principal[1])
                + square(principal[1] - principal[2])
                + square(principal[2] - principal[0]);
            shares.tension = shares.tension.max(most);
            shares.compression = shares.compression.max(-least);
            if 0.5 * (most - least) > shares.shear {
                (shares.shear, shares.shear_depth) = (0.5 * (most - least), below);
                shares.octahedral = differences.sqrt() / 3.0;
            }
        }
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_without_friction_it_is_the_plain_line_contact() {
        let shares = sliding_shares(0.0, 0.3);
        assert!((shares.shear - super::super::SHEAR_SHARE).abs() < 2e-4, "{}", shares.shear);
        assert!((shares.shear_depth - super::super::SHEAR_DEPTH_SHARE).abs() < 0.01);
        assert!((shares.compression - 1.0).abs() < 1e-12);
    }

    /// At the surface friction alone gives σx = −2 f x, and 2 f p₀ at the edge where it pulls.
    #[test]
    fn identity_friction_at_the_surface() {
        for across in [-0.9, -0.4, 0.3, 0.8] {
            let [along, down, shear] = stresses(across, 0.0, 0.2);
            let pressure = (1.0 - across * across).sqrt();
            assert!((along + pressure + 0.4 * across).abs() < 1e-12, "{along}");
            assert!((down + pressure).abs() < 1e-12 && (shear + 0.2 * pressure).abs() < 1e-12);
        }
        assert!((stresses(-1.0, 0.0, 0.2)[0] - 0.4).abs() < 1e-6);
    }

    /// Equilibrium of a small square: ∂σx/∂x + ∂τ/∂z = 0 and ∂τ/∂x + ∂σz/∂z = 0.
    #[test]
    fn identity_stresses_are_in_equilibrium() {
        let step = 1e-5;
        for (x, z) in [(0.3, 0.4), (-0.7, 0.2), (1.2, 0.3), (-1.1, 0.9)] {
            let difference = |index: usize, dx: f64, dz: f64| {
                (stresses(x + dx, z + dz, 0.3)[index] - stresses(x - dx, z - dz, 0.3)[index]) / (2.0 * step)
            };
            let across = difference(0, step, 0.0) + difference(2, 0.0, step);
            let down = difference(2, step, 0.0) + difference(1, 0.0, step);
            assert!(across.abs() < 1e-6 && down.abs() < 1e-6, "{x} {z}: {across} {down}");
        }
    }
}
