//! A point force on the edge of a half-plane, made single-valued in a body: displacement and stress anywhere.
//!
//! Flamant's solution, by complex potentials `φ = A ln w`, `ψ = B ln w` with `w` from the loaded point, has a
//! displacement that jumps along one ray. An edge dislocation of opposite jump outside the material,
//! inside the circle of the body that pushes, ends the jump there. What is left to the numerical solution is smooth
//! on the scale of that circle. Source: Derivation 7, §3; potentials from `[muskhelishvili1963]`, from memory.

use super::plane::PlaneMaterial;
use curves::math;
use curves::point::Vector;
use nalgebra::Complex;
use std::f64::consts::TAU;

type C = Complex<f64>;

/// A unit normal force (1 N per mm of thickness) on the boundary of a body.
#[derive(Clone, Copy, Debug)]
pub struct PointLoad {
    place: C,
    source: C,
    normal: C,
    /// A = n/2π for the force −n; B = −conj A.
    strength: C,
    /// A' of the dislocation; B' = conj A'.
    jump: C,
    kolosov: f64,
    shear_modulus_mpa: f64,
}

/// Displacement (mm² per N) and stresses (1/mm) of a unit load.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    /// Displacement.
    pub displacement: Vector,
    /// σ_x, σ_y, τ_xy.
    pub stress: [f64; 3],
}

impl Field {
    /// Traction on a surface with this outward normal.
    #[must_use]
    pub fn traction(&self, normal: Vector) -> Vector {
        let [x, y, xy] = self.stress;
        Vector::new(x * normal.x + xy * normal.y, xy * normal.x + y * normal.y)
    }
}

fn complex(vector: Vector) -> C {
    C::new(vector.x, vector.y)
}

fn vector(value: C) -> Vector {
    Vector::new(value.re, value.im)
}

impl PointLoad {
    /// A force against the outward normal at a place, the pushing circle having this radius.
    #[must_use]
    pub fn new(place_mm: Vector, normal: Vector, circle_radius_mm: f64, material: &PlaneMaterial) -> Self {
        let (place, normal) = (complex(place_mm), complex(normal));
        let kolosov = material.kolosov;
        let strength = normal / TAU;
        Self {
            place,
            source: place + normal * circle_radius_mm,
            normal,
            strength,
            jump: -strength * ((kolosov - 1.0) / (kolosov + 1.0)),
            kolosov,
            shear_modulus_mpa: material.shear_modulus_mpa,
        }
    }

    /// Field at a point other than the loaded one.
    #[must_use]
    pub fn at(&self, place_mm: Vector) -> Field {
        let w = complex(place_mm) - self.place;
        let (a, b) = (self.strength, -self.strength.conj());
        let logarithm = math::ln(w.norm_sqr()) * 0.5;
        let own = (a * self.kolosov - b.conj()) * logarithm - w * a.conj() / w.conj();
        let ratio = w / (complex(place_mm) - self.source);
        let turn = C::new(0.0, 1.0) * (a * self.kolosov + b.conj()) * math::atan2(ratio.im, ratio.re);
        let (dislocation, dislocation_stress) = self.dislocation(place_mm);
        let stress = stresses(a, b, w);
        Field {
            displacement: vector((own + turn) / (2.0 * self.shear_modulus_mpa)) + dislocation,
            stress: std::array::from_fn(|index| stress[index] + dislocation_stress[index]),
        }
    }

    /// Field on the boundary at the loaded point without the half-plane's own: what the dislocation adds.
    #[must_use]
    pub fn at_load(&self) -> Field {
        let place = vector(self.place);
        let (displacement, stress) = self.dislocation(place);
        Field { displacement, stress }
    }

    /// Dislocation without its angular part, which is joined to that of the load.
    fn dislocation(&self, place_mm: Vector) -> (Vector, [f64; 3]) {
        let w = complex(place_mm) - self.source;
        let (a, b) = (self.jump, self.jump.conj());
        let logarithm = math::ln(w.norm_sqr()) * 0.5;
        let value = (a * self.kolosov - b.conj()) * logarithm - w * a.conj() / w.conj();
        (vector(value / (2.0 * self.shear_modulus_mpa)), stresses(a, b, w))
    }

    /// Outward normal at the loaded point.
    #[must_use]
    pub fn normal(&self) -> Vector {
        vector(self.normal)
    }
}

/// Stresses of φ = A ln w, ψ = B ln w.
fn stresses(a: C, b: C, w: C) -> [f64; 3] {
    let sum = 4.0 * (a / w).re;
    // σ_y − σ_x + 2i τ = 2 (conj(w) φ'' + ψ')
    let difference = (-w.conj() * a / (w * w) + b / w) * 2.0;
    [0.5 * (sum - difference.re), 0.5 * (sum + difference.re), 0.5 * difference.im]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::elastic::plane::PlaneState;
    use crate::hertz::Elastic;
    use std::f64::consts::PI;

    const STEEL: Elastic = Elastic { elastic_modulus_mpa: 206_000.0, poisson_ratio: 0.3 };

    fn load() -> (PointLoad, PlaneMaterial) {
        let material = PlaneMaterial::of(&STEEL, PlaneState::Strain);
        (PointLoad::new(Vector::new(0.3, 0.0), Vector::new(0.0, 1.0), 3.0, &material), material)
    }

    /// Stress and displacement belong together by Hooke's law, with derivatives taken by differences.
    #[test]
    fn independent_stress_follows_from_the_displacement() {
        let (load, material) = load();
        let (step, mu) = (1e-4, material.shear_modulus_mpa);
        let lame = mu * (3.0 - material.kolosov) / (material.kolosov - 1.0);
        for place in
            [Vector::new(1.0, -0.7), Vector::new(-2.0, -3.0), Vector::new(4.0, 0.5), Vector::new(-3.0, 1.0)]
        {
            let slope = |offset: Vector| {
                (load.at(place + offset).displacement - load.at(place - offset).displacement) / (2.0 * step)
            };
            let (by_x, by_y) = (slope(Vector::new(step, 0.0)), slope(Vector::new(0.0, step)));
            let spread = lame * (by_x.x + by_y.y);
            let expected = [spread + 2.0 * mu * by_x.x, spread + 2.0 * mu * by_y.y, mu * (by_x.y + by_y.x)];
            for (found, expected) in load.at(place).stress.iter().zip(expected) {
                assert!((found - expected).abs() < 1e-6, "{found} {expected} at {place}");
            }
        }
    }

    /// Below the surface the tractions of a half circle carry the whole force, whatever its radius.
    #[test]
    fn identity_a_half_circle_carries_the_force() {
        let material = PlaneMaterial::of(&STEEL, PlaneState::Stress);
        // With the dislocation far off, the half-plane's own field is left.
        let load = PointLoad::new(Vector::zeros(), Vector::new(0.0, 1.0), 1e9, &material);
        for radius in [0.1, 5.0] {
            let count = 2000;
            let total: Vector = (0..count)
                .map(|index| {
                    let (sine, cosine) = math::sin_cos(-PI * (f64::from(index) + 0.5) / f64::from(count));
                    let outward = Vector::new(cosine, sine);
                    load.at(outward * radius).traction(outward) * (PI * radius / f64::from(count))
                })
                .sum();
            assert!((total - Vector::new(0.0, 1.0)).norm() < 1e-6, "{total}");
        }
    }

    /// On the surface nothing acts but the load, and the surface sinks with the logarithm of the distance.
    #[test]
    fn identity_surface_of_the_half_plane() {
        let material = PlaneMaterial::of(&STEEL, PlaneState::Strain);
        let up = Vector::new(0.0, 1.0);
        let load = PointLoad::new(Vector::zeros(), up, 1e9, &material);
        let at = |place: f64| load.at(Vector::new(place, 0.0));
        assert!(at(2.0).traction(up).norm() < 1e-9);
        let sunk = at(1.0).displacement.y - at(2.0).displacement.y;
        let expected = -material.surface_compliance_mm2_per_n() * math::ln(2.0);
        assert!((sunk / expected - 1.0).abs() < 1e-6, "{sunk} {expected}");
    }

    /// The displacement is one-valued all round the loaded point beyond the pushing circle's centre.
    #[test]
    fn identity_no_jump_beyond_the_centre() {
        let (load, _) = load();
        let above = |side: f64| load.at(Vector::new(0.3 + side * 1e-9, 3.5)).displacement;
        let between = |side: f64| load.at(Vector::new(0.3 + side * 1e-9, 2.5)).displacement;
        assert!((above(1.0) - above(-1.0)).norm() < 1e-12);
        assert!((between(1.0) - between(-1.0)).norm() > 1e-6);
    }
}
