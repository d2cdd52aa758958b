//! Forces of all contacts of one elastic disc at given displacements, and how they grow.
//!
//! Every force moves every contact: approach = law(F) + C F where the contact presses, with C the compliance of the
//! bodies. The stored energy is convex in the forces, so they are found by Newton steps on those that press,
//! with single contacts solved for where a step would make them pull. Source: Derivation 7, §7.

use super::equilibrium::{Contact, DiscContacts};
use nalgebra::{Matrix3, Vector3};

/// Forces of one disc and the memory to find them, kept so that none is asked for inside.
#[derive(Clone, Debug, Default)]
pub(super) struct ElasticForces {
    pub(super) force_n: Vec<f64>,
    approach_mm: Vec<f64>,
    /// What the bodies give at every contact under all forces.
    bulk_mm: Vec<f64>,
    pressing: Vec<usize>,
    /// Lower triangle of the tangent compliance of the pressing contacts, then its factor.
    factor: Vec<f64>,
    step_n: Vec<f64>,
    shift_n: Vec<f64>,
    /// Rows of the pressing contacts times the inverse of the factor: displacements of the disc, rotation of the plate.
    reduced: Vec<(Vector3<f64>, f64)>,
    joint: JointStep,
}

/// How the last step of forces and displacements together went.
#[derive(Clone, Copy, Debug, Default)]
struct JointStep {
    /// Hessian that belongs to the factor.
    slopes: DiscSlopes,
    /// Whether the factor is that of an earlier step.
    has_old_tangent: bool,
    /// Whether a contact opened or closed.
    has_changed: bool,
    /// Largest change of a force against the largest force; none before the first step.
    step_ratio: Option<f64>,
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

impl DiscSlopes {
    fn add_force(&mut self, contact: &Contact, force_n: f64) {
        self.gradient += contact.disc_row * force_n;
        self.plate_gradient += contact.plate_row_mm * force_n;
        self.largest_force_n = self.largest_force_n.max(force_n);
    }
}

const MAX_ROUNDS: usize = 60;
/// Rounds after which single contacts are solved for in turn, which always descends.
const ROUNDS_BEFORE_SWEEPS: usize = 25;
const SWEEPS: usize = 20;
/// Relative step after which the next one, its square, is below rounding.
const SETTLED: f64 = 1e-6;
/// Relative step below which the tangent of the last round still serves.
const TANGENT_SERVES: f64 = 1e-3;
/// The same where displacements are stepped too, and the tangent stays only a step or two.
const TANGENT_SERVES_JOINTLY: f64 = 0.1;
/// Relative step with an earlier tangent after which the next one is below rounding.
const SETTLED_BY_OLD_TANGENT: f64 = 1e-9;
/// Open contacts count as touching where they overlap by this share of the largest approach.
const LEAST_OVERLAP: f64 = 1e-14;

impl ElasticForces {
    /// Finds the forces at displacements; the last ones are where it starts.
    pub(super) fn settle(&mut self, disc: &DiscContacts, place: &Vector3<f64>, plate_rad: f64) {
        let count = disc.contacts.len();
        let deepest = self.take_approaches(disc, place, plate_rad);
        let mut last_step = f64::INFINITY;
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

    /// Forgets earlier steps, keeping forces to start from.
    pub(super) fn begin(&mut self) {
        self.joint = JointStep::default();
    }

    /// Slopes of the energy at displacements with the forces one Newton step from the present ones.
    ///
    /// Displacements and forces are then stepped together, which saves settling the forces at each displacement. None
    /// where the tangent is not positive definite.
    pub(super) fn linearise(
        &mut self,
        disc: &DiscContacts,
        place: &Vector3<f64>,
        plate_rad: f64,
    ) -> Option<DiscSlopes> {
        let deepest = self.take_approaches(disc, place, plate_rad);
        let changed = self.find_pressing(disc, LEAST_OVERLAP * deepest);
        let joint = &mut self.joint;
        joint.has_old_tangent = !changed
            && !joint.has_changed
            && joint.step_ratio.is_some_and(|step_ratio| step_ratio <= TANGENT_SERVES_JOINTLY);
        joint.has_changed = changed;
        let is_old = joint.has_old_tangent;
        if !self.newton_step(disc, is_old) {
            return None;
        }
        if !is_old {
            self.joint.slopes = self.hessian(disc);
        }
        let mut slopes = self.joint.slopes;
        for (&index, step) in self.pressing.iter().zip(&self.step_n) {
            slopes.add_force(&disc.contacts[index], self.force_n[index] + step);
        }
        Some(slopes)
    }

    /// Follows a step of the displacements from where [`Self::linearise`] was called.
    pub(super) fn follow(&mut self, place: &Vector3<f64>, plate_rad: f64) {
        let size = self.pressing.len();
        self.shift_n.clear();
        self.shift_n.extend(self.reduced.iter().map(|row| row.0.dot(place) + row.1 * plate_rad));
        solve_transposed(&self.factor, size, &mut self.shift_n);
        let (mut largest, mut most) = (0.0_f64, 0.0_f64);
        for ((&index, own), shift) in self.pressing.iter().zip(&self.step_n).zip(&self.shift_n) {
            let step = own + shift;
            let force = &mut self.force_n[index];
            let next = *force + step;
            self.joint.has_changed |= next <= 0.0;
            *force = next.max(0.0);
            largest = largest.max(*force);
            most = most.max(step.abs());
        }
        self.joint.step_ratio = Some(most / largest.max(f64::MIN_POSITIVE));
    }

    /// Whether the last step was so small that the next one is below rounding.
    pub(super) fn is_settled(&self) -> bool {
        let enough = if self.joint.has_old_tangent { SETTLED_BY_OLD_TANGENT } else { SETTLED };
        !self.joint.has_changed && self.joint.step_ratio.is_some_and(|step_ratio| step_ratio <= enough)
    }

    /// Approaches at displacements, and the largest of them; makes room for as many contacts as there are.
    fn take_approaches(&mut self, disc: &DiscContacts, place: &Vector3<f64>, plate_rad: f64) -> f64 {
        let count = disc.contacts.len();
        self.force_n.resize(count, 0.0);
        self.pressing.reserve(count.saturating_sub(self.pressing.len()));
        self.reduced.reserve(count.saturating_sub(self.reduced.len()));
        self.step_n.reserve(count.saturating_sub(self.step_n.len()));
        self.shift_n.reserve(count.saturating_sub(self.shift_n.len()));
        self.factor.reserve((count * count).saturating_sub(self.factor.len()));
        self.approach_mm.clear();
        self.approach_mm.extend(disc.contacts.iter().map(|contact| contact.approach_mm(place, plate_rad)));
        self.approach_mm.iter().fold(0.0_f64, |most, approach| most.max(approach.abs()))
    }

    /// Slopes of the energy at the settled forces.
    pub(super) fn slopes(&mut self, disc: &DiscContacts) -> DiscSlopes {
        let hessian = self.hessian(disc);
        DiscSlopes {
            block: hessian.block,
            border: hessian.border,
            plate_curvature: hessian.plate_curvature,
            ..self.balance(disc)
        }
    }

    /// Gradient of the present forces alone.
    pub(super) fn balance(&self, disc: &DiscContacts) -> DiscSlopes {
        let mut slopes = DiscSlopes::default();
        for (contact, &force) in disc.contacts.iter().zip(&self.force_n) {
            slopes.add_force(contact, force);
        }
        slopes
    }

    /// Rows J of the pressing contacts: the Hessian is Jᵀ (L Lᵀ)⁻¹ J, summed over the rows of L⁻¹ J.
    fn hessian(&mut self, disc: &DiscContacts) -> DiscSlopes {
        let mut slopes = DiscSlopes::default();
        let size = self.pressing.len();
        self.reduced.clear();
        for row in 0..size {
            let contact = &disc.contacts[self.pressing[row]];
            let (mut disc_part, mut plate_part) = (contact.disc_row, contact.plate_row_mm);
            let factors = &self.factor[row * size..row * size + row];
            for (factor, done) in factors.iter().zip(&self.reduced) {
                disc_part -= done.0 * *factor;
                plate_part -= done.1 * factor;
            }
            let pivot = self.factor[row * size + row];
            let (disc_part, plate_part) = (disc_part / pivot, plate_part / pivot);
            self.reduced.push((disc_part, plate_part));
            slopes.block += disc_part * disc_part.transpose();
            slopes.border += disc_part * plate_part;
            slopes.plate_curvature += plate_part * plate_part;
        }
        slopes
    }

    /// Lists the contacts that press or begin to; says whether any begins.
    fn find_pressing(&mut self, disc: &DiscContacts, least_overlap_mm: f64) -> bool {
        self.list_pressing();
        self.bulk_mm.clear();
        self.bulk_mm.resize(disc.contacts.len(), 0.0);
        for place in 0..self.pressing.len() {
            self.add_bulk(disc, self.pressing[place]);
        }
        let mut changed = false;
        for index in 0..disc.contacts.len() {
            if self.force_n[index] > 0.0 {
                continue;
            }
            let left = self.approach_mm[index] - self.bulk_mm[index];
            if left > least_overlap_mm {
                let own = disc.bulk_mm_per_n(index, index);
                let law = disc.contacts[index].law.with_series_compliance(own);
                self.force_n[index] = law.force_and_stiffness(left).0;
                if self.force_n[index] > 0.0 {
                    changed = true;
                    self.add_bulk(disc, index);
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

    /// Adds what the bodies give under the force of one contact; rows of the symmetric matrix are its columns.
    fn add_bulk(&mut self, disc: &DiscContacts, index: usize) {
        let force = self.force_n[index];
        for (bulk, compliance) in self.bulk_mm.iter_mut().zip(disc.bulk_row(index)) {
            *bulk += compliance * force;
        }
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
            self.step_n.push(self.approach_mm[index] - law_mm - self.bulk_mm[index]);
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

/// Columns of the factor that are computed together, so that a row is read once for all.
const COLUMNS: usize = 4;

/// Sums of products of one row with several, in two running sums each.
fn dots(own: &[f64], rows: [&[f64]; COLUMNS]) -> [f64; COLUMNS] {
    let length = own.len();
    let rows = rows.map(|row| &row[..length]);
    let mut sums = [[0.0; 2]; COLUMNS];
    let even = length - length % 2;
    for place in (0..even).step_by(2) {
        for (sum, row) in sums.iter_mut().zip(rows) {
            sum[0] += own[place] * row[place];
            sum[1] += own[place + 1] * row[place + 1];
        }
    }
    if even < length {
        for (sum, row) in sums.iter_mut().zip(rows) {
            sum[0] += own[even] * row[even];
        }
    }
    sums.map(|[even, odd]| even + odd)
}

/// Cholesky factor of a symmetric matrix given by its lower triangle, row by row.
fn factor_in_place(matrix: &mut [f64], size: usize) -> bool {
    for row in 0..size {
        let (above, own) = matrix.split_at_mut(row * size);
        let own = &mut own[..=row];
        let blocks = row - row % COLUMNS;
        for first in (0..blocks).step_by(COLUMNS) {
            let rows: [&[f64]; COLUMNS] = std::array::from_fn(|step| {
                let start = (first + step) * size;
                &above[start..=start + first + step]
            });
            let sums = dots(&own[..first], rows);
            for (step, (other, sum)) in rows.iter().zip(sums).enumerate() {
                let within = dot(&own[first..first + step], &other[first..first + step]);
                own[first + step] = (own[first + step] - sum - within) / other[first + step];
            }
        }
        for column in blocks..row {
            let other = &above[column * size..=column * size + column];
            let sum = dot(&own[..column], &other[..column]);
            own[column] = (own[column] - sum) / other[column];
        }
        let pivot = own[row] - dot(&own[..row], &own[..row]);
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
    solve_transposed(factor, size, right);
}

/// The second half of [`solve_factored`].
fn solve_transposed(factor: &[f64], size: usize, right: &mut [f64]) {
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
