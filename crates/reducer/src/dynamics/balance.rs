//! Unbalance of a rigid rotor as vectors: discs at their places, counterweights, and the balance grade.
//!
//! Directions are counted from the eccentric of the first disc. Source: Derivation 9, §3 and §4.

use curves::point::{Vector, unit};
use std::f64::consts::TAU;

/// Static and couple unbalance about the middle of the discs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unbalance {
    /// Σ m r over the rotor.
    pub force_kg_mm: Vector,
    /// Σ m r z over the rotor.
    pub couple_kg_mm2: Vector,
}

impl Unbalance {
    /// Equal discs spread evenly round the crank, at their places along it.
    ///
    /// ```text
    /// U = Σ m e u(2πk/n_d),    C = Σ z_k m e u(2πk/n_d)
    /// ```
    /// One disc leaves m e, two the couple m e a, three √3 m e a. Sums of evenly spread directions that cancel are set to nothing.
    ///
    /// **Source** Derivation 9, §3. **Checked by** `validation/computed/dynamics/shaking.toml`.
    #[must_use]
    pub fn of_discs(places_mm: &[f64], disc_unbalance_kg_mm: f64) -> Self {
        let none = Self { force_kg_mm: Vector::zeros(), couple_kg_mm2: Vector::zeros() };
        let count = places_mm.len() as f64;
        let sum = places_mm.iter().enumerate().fold(none, |sum, (disc, place)| {
            sum.with(*place, disc_unbalance_kg_mm, TAU * disc as f64 / count)
        });
        // Even directions of more than one disc cancel; what remains of their sum is rounding.
        if places_mm.len() > 1 { Self { force_kg_mm: Vector::zeros(), ..sum } } else { sum }
    }

    /// With one more mass at a place and direction.
    ///
    /// **Source** Derivation 9, §3.
    #[must_use]
    pub fn with(self, place_mm: f64, unbalance_kg_mm: f64, angle_rad: f64) -> Self {
        let vector = unit(angle_rad) * unbalance_kg_mm;
        Self { force_kg_mm: self.force_kg_mm + vector, couple_kg_mm2: self.couple_kg_mm2 + vector * place_mm }
    }

    /// Counterweights that cancel it: both force and couple in two planes, the force alone in one.
    ///
    /// ```text
    /// two planes   W2 = (p1 U − C)/(p2 − p1),   W1 = −U − W2
    /// one plane    W = −U
    /// ```
    /// Planes that coincide count as one. **Source** Derivation 9, §4.
    #[must_use]
    pub fn counterweights_kg_mm(&self, places_mm: &[f64]) -> Vec<Vector> {
        match *places_mm {
            [] => Vec::new(),
            [first, second] if first != second => {
                let at_second = (self.force_kg_mm * first - self.couple_kg_mm2) / (second - first);
                vec![-self.force_kg_mm - at_second, at_second]
            }
            _ => {
                let mut weights = vec![Vector::zeros(); places_mm.len()];
                weights[0] = -self.force_kg_mm;
                weights
            }
        }
    }

    /// The two unbalances in given planes that act as it does.
    ///
    /// **Source** equilibrium of parallel vectors; Derivation 9, §4.
    #[must_use]
    pub fn in_planes_kg_mm(&self, (first_mm, second_mm): (f64, f64)) -> (Vector, Vector) {
        let at_second = (self.couple_kg_mm2 - self.force_kg_mm * first_mm) / (second_mm - first_mm);
        (self.force_kg_mm - at_second, at_second)
    }
}

/// U_per: permissible residual unbalance of a rotor.
///
/// ```text
/// U_per = G m / ω      (mm/s, kg, rad/s at the greatest speed in service)
/// ```
/// **Valid for** rigid rotors. **Source** `[iso21940-11]`, from memory.
/// **Checked by** `validation/computed/dynamics/balance-grade.toml`.
#[must_use]
pub fn permissible_unbalance_kg_mm(grade_mm_per_s: f64, rotor_mass_kg: f64, speed_rad_per_s: f64) -> f64 {
    grade_mm_per_s * rotor_mass_kg / speed_rad_per_s
}

/// Shares of the permissible unbalance in two bearing planes, from the place of the centre of mass.
///
/// Each is the distance of the other plane over that of both, within 0.3 and 0.7 where the centre of mass lies between
/// them and within 0.3 and 1.3 where it does not.
///
/// **Source** `[iso21940-11]`, from memory.
#[must_use]
pub fn plane_shares((first_mm, second_mm): (f64, f64), centre_mm: f64) -> (f64, f64) {
    let first = (second_mm - centre_mm) / (second_mm - first_mm);
    let between = (0.0..=1.0).contains(&first);
    let limited = |share: f64| share.clamp(0.3, if between { 0.7 } else { 1.3 });
    (limited(first), limited(1.0 - first))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_two_planes_cancel_any_disc_stack() {
        for count in 1..=6_u32 {
            let places: Vec<f64> = (0..count).map(|disc| f64::from(disc) * 13.0 - 20.0).collect();
            let discs = Unbalance::of_discs(&places, 0.9);
            let planes = [-37.0, 52.0];
            let weights = discs.counterweights_kg_mm(&planes);
            let left = weights.iter().zip(planes).fold(discs, |sum, (weight, place)| Unbalance {
                force_kg_mm: sum.force_kg_mm + weight,
                couple_kg_mm2: sum.couple_kg_mm2 + weight * place,
            });
            assert!(left.force_kg_mm.norm() < 1e-13 && left.couple_kg_mm2.norm() < 1e-12, "{count}");
        }
    }

    #[test]
    fn identity_one_plane_leaves_the_couple_of_its_distance() {
        let disc = Unbalance::of_discs(&[0.0], 0.85);
        let weight = disc.counterweights_kg_mm(&[15.0])[0];
        let left = disc.with(15.0, weight.norm(), std::f64::consts::PI);
        assert!(left.force_kg_mm.norm() < 1e-15);
        assert!((left.couple_kg_mm2.norm() - 0.85 * 15.0).abs() < 1e-13);
    }

    /// Discs on the crank at 0, 180, 180, 0 degrees with equal pitch balance themselves; so do 0, 180, 0 with a middle one of twice the mass.
    #[test]
    fn identity_symmetrical_stacks_need_no_counterweight() {
        let none = Unbalance { force_kg_mm: Vector::zeros(), couple_kg_mm2: Vector::zeros() };
        let half = std::f64::consts::PI;
        let four = [(-1.5, 1.0, 0.0), (-0.5, 1.0, half), (0.5, 1.0, half), (1.5, 1.0, 0.0)];
        let three = [(-1.0, 1.0, 0.0), (0.0, 2.0, half), (1.0, 1.0, 0.0)];
        for stack in [&four[..], &three[..]] {
            let sum = stack.iter().fold(none, |sum, (place, mass, angle)| sum.with(*place, *mass, *angle));
            assert!(sum.force_kg_mm.norm() < 1e-15 && sum.couple_kg_mm2.norm() < 1e-15);
        }
    }
}
