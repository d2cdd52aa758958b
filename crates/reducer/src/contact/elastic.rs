//! Forces of all contacts of one elastic disc at given displacements, and how they grow.
//!
//! Every force moves every contact: approach = law(F) + C F where the contact presses, with C the compliance of the
//! bodies. The stored energy is convex in the forces, so they are found by Newton steps on those that press,
//! with single contacts solved for where a step would make them pull. Source: Derivation 7, §7.

use super::equilibrium::DiscContacts;
use nalgebra::{Matrix3, Vector3};

/// Forces of one disc and the memory to find them, kept so that none is asked for inside.
#[derive(Clone, Debug, Default)]
pub(super) struct ElasticForces {
    pub(super) force_n: Vec<f64>,
    approach_mm: Vec<f64>,
    pressing: Vec<usize>,
    /// Lower triangle of the tangent compliance of the pressing contacts, then its factor.
    factor: Vec<f64>,
    step_n: Vec<f64>,
    /// Rows of the pressing contacts times the inverse of the factor: displacements of the disc, rotation of the plate.
    reduced: Vec<(Vector3<f64>, f64)>,
}

/// How gradient and Hessian of the energy grow by one disc.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct DiscSlopes {
    pub(super) gradient: Vector3<f64>,
    pub(super) block: Matrix3<f64>,
    pub(super) border: Vector3<f64>,
    pub(super) plate_gradient: f64,
    pub(super) plate_curvature: f64,
    pub(super) largest_force_n: f64,
}

const MAX_ROUNDS: usize = 60;
/// Rounds after which single contacts are solved for in turn, which always descends.
const ROUNDS_BEFORE_SWEEPS: usize = 25;
const SWEEPS: usize = 20;
/// Relative step after which the next one, its square, is below rounding.
const SETTLED: f64 = 1e-6;
/// Relative step below which the tangent of the last round still serves.
const TANGENT_SERVES: f64 = 1e-3;
/// Open contacts count as touching where they overlap by this share of the largest approach.
const LEAST_OVERLAP: f64 = 1e-14;

impl ElasticForces {
    /// Finds the forces at displacements; the last ones are where it starts.
    pub(super) fn settle(&mut self, disc: &DiscContacts, place: &Vector3<f64>, plate_rad: f64) {
        let count = disc.contacts.len();
        self.force_n.resize(count, 0.0);
        self.approach_mm.clear();
        self.approach_mm.extend(disc.contacts.iter().map(|contact| contact.approach_mm(place, plate_rad)));
        let mut last_step = f64::INFINITY;
        let deepest = self.approach_mm.iter().fold(0.0_f64, |most, approach| most.max(approach.abs()));
        for round in 0..MAX_ROUNDS {
            if round == ROUNDS_BEFORE_SWEEPS {
                for _ in 0..SWEEPS {
                    (0..count).for_each(|index| self.solve_alone(disc, index));
                }
            }
            let changed = self.find_pressing(disc, LEAST_OVERLAP * deepest);
            let serves = !changed && last_step <= TANGENT_SERVES;
            if !self.newton_step(disc, serves) {
                last_step = f64::INFINITY;
                (0..count).for_each(|index| self.solve_alone(disc, index));
                continue;
            }
            let largest = self.force_n.iter().copied().fold(0.0, f64::max);
            let step = self.step_n.iter().fold(0.0_f64, |most, step| most.max(step.abs()));
            let cut = self.apply_step(disc);
            last_step = if cut { f64::INFINITY } else { step / largest.max(f64::MIN_POSITIVE) };
            if !changed && !cut && step <= SETTLED * largest {
                break;
            }
            if self.pressing.is_empty() && !changed {
                break;
            }
        }
    }

    /// Slopes of the energy at the settled forces.
    pub(super) fn slopes(&mut self, disc: &DiscContacts) -> DiscSlopes {
        let mut slopes = DiscSlopes::default();
        for (contact, &force) in disc.contacts.iter().zip(&self.force_n) {
            slopes.gradient += contact.disc_row * force;
            slopes.plate_gradient += contact.plate_row_mm * force;
            slopes.largest_force_n = slopes.largest_force_n.max(force);
        }
        // Rows J of the pressing contacts: the Hessian is Jᵀ (L Lᵀ)⁻¹ J, summed over the rows of L⁻¹ J.
        let size = self.pressing.len();
        self.reduced.clear();
        self.reduced.resize(size, (Vector3::zeros(), 0.0));
        let reduced = &mut self.reduced[..];
        for row in 0..size {
            let contact = &disc.contacts[self.pressing[row]];
            let (mut disc_part, mut plate_part) = (contact.disc_row, contact.plate_row_mm);
            let factors = &self.factor[row * size..row * size + row];
            for (factor, done) in factors.iter().zip(reduced.iter()) {
                disc_part -= done.0 * *factor;
                plate_part -= done.1 * factor;
            }
            let pivot = self.factor[row * size + row];
            reduced[row] = (disc_part / pivot, plate_part / pivot);
            let (disc_part, plate_part) = reduced[row];
            slopes.block += disc_part * disc_part.transpose();
            slopes.border += disc_part * plate_part;
            slopes.plate_curvature += plate_part * plate_part;
        }
        slopes
    }

    /// Lists the contacts that press or begin to; says whether any begins.
    fn find_pressing(&mut self, disc: &DiscContacts, least_overlap_mm: f64) -> bool {
        self.list_pressing();
        let mut changed = false;
        for index in 0..disc.contacts.len() {
            if self.force_n[index] > 0.0 {
                continue;
            }
            let left = self.approach_mm[index] - self.bulk_mm(disc, index);
            if left > least_overlap_mm {
                let own = disc.bulk_mm_per_n(index, index);
                let law = disc.contacts[index].law.with_series_compliance(own);
                self.force_n[index] = law.force_and_stiffness(left).0;
                if self.force_n[index] > 0.0 {
                    changed = true;
                    self.pressing.push(index);
                }
            }
        }
        if changed {
            self.list_pressing();
        }
        changed
    }

    fn list_pressing(&mut self) {
        self.pressing.clear();
        self.pressing.extend((0..self.force_n.len()).filter(|&index| self.force_n[index] > 0.0));
    }

    /// What the bodies give at a contact under all forces.
    fn bulk_mm(&self, disc: &DiscContacts, index: usize) -> f64 {
        let row = disc.bulk_row(index);
        let mut sums = [0.0; 2];
        for pair in self.pressing.chunks(2) {
            for (sum, &other) in sums.iter_mut().zip(pair) {
                *sum += row[other] * self.force_n[other];
            }
        }
        sums[0] + sums[1]
    }

    /// Newton step of the pressing forces, with the last tangent where it serves; fails where the tangent is not
    /// positive definite.
    fn newton_step(&mut self, disc: &DiscContacts, tangent_serves: bool) -> bool {
        let size = self.pressing.len();
        self.factor.resize(size * size, 0.0);
        self.step_n.clear();
        for row in 0..size {
            let index = self.pressing[row];
            let (law_mm, compliance) = disc.contacts[index].law.approach_and_compliance(self.force_n[index]);
            if !tangent_serves {
                let bulk = disc.bulk_row(index);
                let own = &mut self.factor[row * size..=row * size + row];
                for (entry, &other) in own.iter_mut().zip(&self.pressing) {
                    *entry = bulk[other];
                }
                own[row] += compliance;
            }
            self.step_n.push(self.approach_mm[index] - law_mm - self.bulk_mm(disc, index));
        }
        if !tangent_serves && !factor_in_place(&mut self.factor, size) {
            return false;
        }
        solve_factored(&self.factor, size, &mut self.step_n);
        true
    }

    /// Applies the step; contacts that would pull are solved for alone. Says whether there were any.
    fn apply_step(&mut self, disc: &DiscContacts) -> bool {
        let mut cut = false;
        for (&index, step) in self.pressing.iter().zip(&self.step_n) {
            self.force_n[index] += step;
            cut |= self.force_n[index] <= 0.0;
        }
        if cut {
            for place in 0..self.pressing.len() {
                let index = self.pressing[place];
                if self.force_n[index] <= 0.0 {
                    self.force_n[index] = 0.0;
                    self.solve_alone(disc, index);
                }
            }
        }
        cut
    }

    /// Force of one contact with all others as they are.
    fn solve_alone(&mut self, disc: &DiscContacts, index: usize) {
        self.force_n[index] = 0.0;
        let row = disc.bulk_row(index);
        let others: f64 = row.iter().zip(&self.force_n).map(|(compliance, force)| compliance * force).sum();
        let left = self.approach_mm[index] - others;
        let own = disc.bulk_mm_per_n(index, index);
        self.force_n[index] =
            disc.contacts[index].law.with_series_compliance(own).force_and_stiffness(left).0;
    }
}

/// Sum of products in four running sums, so that additions need not wait for each other.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 4];
    let (a_fours, b_fours) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = a_fours.remainder().iter().zip(b_fours.remainder()).map(|(a, b)| a * b).sum();
    for (a, b) in a_fours.zip(b_fours) {
        for (sum, (a, b)) in sums.iter_mut().zip(a.iter().zip(b)) {
            *sum += a * b;
        }
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
}

/// Cholesky factor of a symmetric matrix given by its lower triangle, row by row.
fn factor_in_place(matrix: &mut [f64], size: usize) -> bool {
    for row in 0..size {
        let (above, own) = matrix.split_at_mut(row * size);
        let own = &mut own[..=row];
        for column in 0..row {
            let other = &above[column * size..column * size + column];
            let sum = dot(&own[..column], other);
            own[column] = (own[column] - sum) / above[column * size + column];
        }
        let square = dot(&own[..row], &own[..row]);
        let pivot = own[row] - square;
        if pivot.is_nan() || pivot <= 0.0 {
            return false;
        }
        own[row] = pivot.sqrt();
    }
    true
}

/// Replaces a right-hand side by the solution.
fn solve_factored(factor: &[f64], size: usize, right: &mut [f64]) {
    for row in 0..size {
        let (done, rest) = right.split_at_mut(row);
        let sum = dot(&factor[row * size..row * size + row], done);
        rest[0] = (rest[0] - sum) / factor[row * size + row];
    }
    for row in (0..size).rev() {
        right[row] /= factor[row * size + row];
        let value = right[row];
        for (target, factor) in right[..row].iter_mut().zip(&factor[row * size..row * size + row]) {
            *target -= factor * value;
        }
    }
}

impl DiscContacts {
    /// Forces of all contacts at displacements.
    #[must_use]
    pub fn forces_n(&self, place: &Vector3<f64>, plate_rad: f64) -> Vec<f64> {
        if self.bulk.is_empty() {
            return self.rigid_forces_n(place, plate_rad);
        }
        let mut forces = ElasticForces::default();
        forces.settle(self, place, plate_rad);
        forces.force_n
    }

    /// Forces of all contacts as if nothing else gave.
    pub(super) fn rigid_forces_n(&self, place: &Vector3<f64>, plate_rad: f64) -> Vec<f64> {
        self.contacts.iter().map(|contact| contact.force_n(place, plate_rad)).collect()
    }

    fn bulk_row(&self, index: usize) -> &[f64] {
        let count = self.contacts.len();
        &self.bulk[index * count..(index + 1) * count]
    }

    fn bulk_mm_per_n(&self, row: usize, column: usize) -> f64 {
        self.bulk[row * self.contacts.len() + column]
    }
}
