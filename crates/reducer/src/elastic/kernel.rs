//! Somigliana's identity on boundaries sampled at even steps: the influence of displacements and tractions.
//!
//! ```text
//! ½ u(p) + ∫ T(p, q) u(q) ds = ∫ U(p, q) t(q) ds
//! ```
//! U and T are Kelvin's displacement and traction of a point force in the full plane. On a smooth closed
//! boundary with periodic parameter the trapezoidal rule converges faster than any power of the step; the
//! logarithm in U and the Cauchy part of T get rules of their own that keep this. Source: Derivation 7, §2.

use super::boundary::{Boundary, BoundaryPoint};
use super::plane::PlaneMaterial;
use curves::math;
use curves::point::{Vector, turned_left};
use nalgebra::Matrix2;
use std::f64::consts::{PI, TAU};

/// Weights of `∫ ln(4 sin²((t − τ)/2)) f(τ) dτ` over a period, by the distance of the points in steps.
///
/// **Source** `[kress1999]` §12.3, from memory; they integrate trigonometric polynomials exactly, which a test checks.
#[must_use]
pub fn logarithm_weights(point_count: usize) -> Vec<f64> {
    let half = point_count / 2;
    let cosines: Vec<f64> =
        (0..point_count).map(|index| math::cos(TAU * index as f64 / point_count as f64)).collect();
    (0..point_count)
        .map(|distance| {
            let sum: f64 =
                (1..half).map(|order| cosines[order * distance % point_count] / order as f64).sum();
            let last = if distance % 2 == 0 { 1.0 } else { -1.0 };
            -TAU / half as f64 * sum - PI * last / math::square(half as f64)
        })
        .collect()
}

/// Constants of Kelvin's solution.
#[derive(Clone, Copy, Debug)]
pub struct Kernel {
    logarithm_mm2_per_n: f64,
    direction_mm2_per_n: f64,
    traction: f64,
    shear_share: f64,
    /// Length that distances are compared with in the logarithm; larger than the body, so that no boundary has a
    /// capacity of one, at which U loses its inverse.
    scale_mm: f64,
}

/// Influence of one boundary point on another: displacement kernel and traction kernel, each with its weight.
#[derive(Clone, Copy, Debug)]
pub struct Influence {
    /// ∫ U ds.
    pub of_traction: Matrix2<f64>,
    /// ∫ T ds, without the free term.
    pub of_displacement: Matrix2<f64>,
}

impl Kernel {
    /// Kelvin's solution in a material, for a body well smaller than `scale_mm`.
    ///
    /// **Source** `[brebbia1984]`, from memory.
    #[must_use]
    pub fn new(material: &PlaneMaterial, scale_mm: f64) -> Self {
        let nu = material.poisson_ratio();
        let common = 1.0 / (8.0 * PI * material.shear_modulus_mpa * (1.0 - nu));
        Self {
            logarithm_mm2_per_n: common * (3.0 - 4.0 * nu),
            direction_mm2_per_n: common,
            traction: 1.0 / (4.0 * PI * (1.0 - nu)),
            shear_share: 1.0 - 2.0 * nu,
            scale_mm,
        }
    }

    /// Influence between points of two boundaries.
    #[must_use]
    pub fn across(&self, from: &Boundary, to: &Boundary, source: usize, field: usize) -> Influence {
        let (p, q) = (&from.points[source], &to.points[field]);
        let offset = q.place_mm - p.place_mm;
        let distance = offset.norm();
        let direction = offset / distance;
        let outer = direction * direction.transpose();
        let logarithm = math::ln(distance / self.scale_mm);
        let slope = direction.dot(&q.normal);
        let regular = (Matrix2::identity() * self.shear_share + outer * 2.0) * slope;
        let shear = antisymmetric(direction, q.normal) * self.shear_share;
        Influence {
            of_traction: (outer * self.direction_mm2_per_n
                - Matrix2::identity() * (self.logarithm_mm2_per_n * logarithm))
                * q.weight_mm,
            of_displacement: (shear - regular) * (self.traction / distance * q.weight_mm),
        }
    }

    /// Influence between points of one boundary, `weights` being its [`logarithm_weights`].
    #[must_use]
    pub fn within(&self, boundary: &Boundary, weights: &[f64], source: usize, field: usize) -> Influence {
        let count = boundary.points.len();
        let q = &boundary.points[field];
        let steps = (source + count - field) % count;
        let speed = q.weight_mm * count as f64 / TAU;
        let singular = 0.5 * weights[steps] * speed;
        if steps == 0 {
            let tangent = q.tangent();
            let outer = tangent * tangent.transpose();
            let logarithm = singular + q.weight_mm * math::ln(speed / self.scale_mm);
            let regular = (Matrix2::identity() * self.shear_share + outer * 2.0) * (0.5 * q.curvature_per_mm);
            return Influence {
                of_traction: outer * (self.direction_mm2_per_n * q.weight_mm)
                    - Matrix2::identity() * (self.logarithm_mm2_per_n * logarithm),
                of_displacement: regular * (-self.traction * q.weight_mm),
            };
        }
        let offset = q.place_mm - boundary.points[source].place_mm;
        let distance = offset.norm();
        let direction = offset / distance;
        let outer = direction * direction.transpose();
        let chord = 2.0 * math::sin(PI * steps as f64 / count as f64).abs();
        let logarithm = singular + q.weight_mm * math::ln(distance / (chord * self.scale_mm));
        let slope = direction.dot(&q.normal);
        let regular = (Matrix2::identity() * self.shear_share + outer * 2.0) * slope;
        // Every second point with twice the weight gives Cauchy's principal value.
        let twice = if steps % 2 == 1 { 2.0 } else { 0.0 };
        let shear = antisymmetric(direction, q.normal) * (twice * self.shear_share);
        Influence {
            of_traction: outer * (self.direction_mm2_per_n * q.weight_mm)
                - Matrix2::identity() * (self.logarithm_mm2_per_n * logarithm),
            of_displacement: (shear - regular) * (self.traction / distance * q.weight_mm),
        }
    }
}

/// r_i n_j − r_j n_i.
fn antisymmetric(direction: Vector, normal: Vector) -> Matrix2<f64> {
    let entry = direction.x * normal.y - direction.y * normal.x;
    Matrix2::new(0.0, entry, -entry, 0.0)
}

impl Boundary {
    /// What Somigliana's identity leaves of a rigid motion along the first `point_count` points of an outline, at most.
    ///
    /// It should be nothing; what is left measures how well the points describe the outline.
    #[must_use]
    pub fn rigid_error(&self, point_count: usize, material: &PlaneMaterial) -> f64 {
        let reach = self.points.iter().map(|point| point.place_mm.norm()).fold(0.0, f64::max);
        let kernel = Kernel::new(material, 4.0 * reach);
        // The kernel of displacements holds no logarithm, so its weights do not matter here.
        let weights = vec![0.0; self.points.len()];
        let motions = |point: &BoundaryPoint| {
            [Vector::new(1.0, 0.0), Vector::new(0.0, 1.0), turned_left(point.place_mm) / reach]
        };
        let left = |source: usize| {
            let mut sums = motions(&self.points[source]).map(|motion| motion * 0.5);
            for (field, point) in self.points.iter().enumerate() {
                let influence = kernel.within(self, &weights, source, field).of_displacement;
                for (sum, motion) in sums.iter_mut().zip(motions(point)) {
                    *sum += influence * motion;
                }
            }
            sums.iter().map(nalgebra::Matrix::amax).fold(0.0, f64::max)
        };
        (0..point_count).map(left).fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hertz::Elastic;
    use crate::profile::{LobeProfile, Trochoid};

    /// ∫ ln(4 sin²(τ/2)) cos mτ dτ = −2π/m over a period, and nothing for a constant.
    #[test]
    fn identity_weights_of_the_logarithm() {
        let count = 24;
        let weights = logarithm_weights(count);
        let integral = |order: usize| -> f64 {
            let wave = |index: usize| math::cos(TAU * ((order * index) % count) as f64 / count as f64);
            weights.iter().enumerate().map(|(index, weight)| weight * wave(index)).sum()
        };
        assert!(integral(0).abs() < 1e-13);
        for order in 1..count / 2 {
            assert!((integral(order) + TAU / order as f64).abs() < 1e-12, "{order}");
        }
    }

    /// Rigid motions leave nothing: at once on a circle, ever less on lobes as the points grow.
    #[test]
    fn identity_rigid_motions_leave_nothing() {
        let steel = Elastic { elastic_modulus_mpa: 206_000.0, poisson_ratio: 0.3 };
        let material = PlaneMaterial::of(&steel, crate::elastic::plane::PlaneState::Strain);
        assert!(Boundary::circle(20.0, 24).rigid_error(24, &material) < 1e-13);
        let trochoid = Trochoid { ring_roller_count: 12, ring_radius_mm: 35.0, eccentricity_mm: 1.75 };
        let profile = LobeProfile::new(trochoid, 3.5, 0.0);
        let errors = [12, 24, 48, 96]
            .map(|points| Boundary::outside(&profile, 11 * points).rigid_error(points, &material));
        assert!(errors.windows(2).all(|pair| pair[1] < 0.2 * pair[0]), "{errors:?}");
        assert!(errors[3] < 1e-7, "{errors:?}");
    }
}
