//! A shaft on two bearings under forces across it: what each bearing carries.

/// Two bearings by their places along the shaft.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoBearings {
    /// Place of the first bearing.
    pub first_mm: f64,
    /// Place of the second bearing.
    pub second_mm: f64,
}

impl TwoBearings {
    /// Forces that the shaft puts on the first and the second bearing under forces at places along it.
    ///
    /// ```text
    /// R₁ = Σ F (z₂ − z)/(z₂ − z₁),   R₂ = Σ F (z − z₁)/(z₂ − z₁)
    /// ```
    /// **Valid for** two bearings at different places that take no moment, whatever the order; a stiff shaft is not needed.
    /// **Source** statics, `docs/derivations/06-bearings.md`. **Checked by** `validation/computed/shaft-reactions.toml`.
    #[must_use]
    pub fn reactions_n(&self, forces: &[(f64, [f64; 2])]) -> [[f64; 2]; 2] {
        let span_mm = self.second_mm - self.first_mm;
        let mut reactions = [[0.0; 2]; 2];
        for &(place_mm, force_n) in forces {
            let second = (place_mm - self.first_mm) / span_mm;
            for axis in 0..2 {
                reactions[0][axis] += force_n[axis] * (1.0 - second);
                reactions[1][axis] += force_n[axis] * second;
            }
        }
        reactions
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_reactions_balance_forces_and_moments() {
        let shaft = TwoBearings { first_mm: -8.0, second_mm: 34.0 };
        let forces = [(6.0, [1200.0, -300.0]), (19.0, [-1100.0, 400.0]), (50.0, [80.0, 10.0])];
        let [first, second] = shaft.reactions_n(&forces);
        for axis in 0..2 {
            let sum: f64 = forces.iter().map(|(_, force)| force[axis]).sum();
            assert!((first[axis] + second[axis] - sum).abs() < 1e-9);
            let moment: f64 = forces.iter().map(|(place, force)| place * force[axis]).sum();
            assert!((-8.0 * first[axis] + 34.0 * second[axis] - moment).abs() < 1e-9);
        }
    }

    #[test]
    fn identity_opposite_forces_leave_a_couple() {
        let shaft = TwoBearings { first_mm: 0.0, second_mm: 40.0 };
        let [first, second] = shaft.reactions_n(&[(14.0, [1000.0, 0.0]), (26.0, [-1000.0, 0.0])]);
        assert!((first[0] - 300.0).abs() < 1e-9 && (second[0] + 300.0).abs() < 1e-9);
    }
}
