//! Static equilibrium of discs on a common output plate, with contacts that push and never pull.
//!
//! Unknowns are the displacement (u, v) and extra rotation β of every disc and the rotation γ of the
//! plate. Each contact gives a force that grows with its approach, so with gaps linear in the unknowns
//! the stored energy is convex and a damped semismooth Newton method finds its minimum from anywhere.
//! The Hessian is an arrow: a 3×3 block a disc, bordered by the plate; it is solved disc by disc.
//! Source: Derivation 4.

use super::elastic::{DiscSlopes, ElasticForces};
use super::support::DiscSupport;
use crate::line_contact::LineContact;
use curves::point::Vector;
use nalgebra::{Matrix3, Vector3};
use std::sync::Arc;

/// One contact of a disc: how its approach grows with the unknowns, and its law.
#[derive(Clone, Copy, Debug)]
pub struct Contact {
    /// Growth of the approach with u, v (1) and β (mm).
    pub disc_row: Vector3<f64>,
    /// Growth of the approach with γ (mm); zero at ring rollers.
    pub plate_row_mm: f64,
    /// Approach at zero unknowns, with its sign turned: the free distance.
    pub gap_mm: f64,
    /// Law between approach and force.
    pub law: LineContact,
}

/// Contacts of one disc and what holds its centre.
#[derive(Clone, Debug, Default)]
pub struct DiscContacts {
    /// Ring rollers first, then output pins, then what presses in the bore, if anything.
    pub contacts: Vec<Contact>,
    /// What holds the disc's centre.
    pub centre: DiscSupport,
    /// Force (N) and torque about the centre (N·mm) on the disc that are given, such as friction.
    pub given: Vector3<f64>,
    /// Displacement of each contact (row) along its force under a unit force at each other (column), in mm/N, by the
    /// bodies of disc and rollers; empty where they are rigid.
    pub bulk: Arc<[f64]>,
}

/// Displacements that solve a [`Problem`].
#[derive(Clone, Debug, PartialEq)]
pub struct Displacements {
    /// u, v (mm) and β (rad) of each disc.
    pub discs: Vec<Vector3<f64>>,
    /// γ: rotation of the plate.
    pub plate_rad: f64,
    /// Forces of all contacts of each elastic disc, from which a near solution starts; empty for rigid ones.
    pub elastic_forces_n: Vec<Vec<f64>>,
    /// Largest unbalanced force or torque as a share of the load.
    pub residual_ratio: f64,
    /// Newton steps taken.
    pub step_count: usize,
}

impl Displacements {
    /// Moves half of the way to others.
    pub(super) fn go_half_back_to(&mut self, others: &Self) {
        for (own, other) in self.discs.iter_mut().zip(&others.discs) {
            *own = (*own + other) * 0.5;
        }
        self.plate_rad = 0.5 * (self.plate_rad + others.plate_rad);
    }

    /// Forces of all contacts of a disc.
    #[must_use]
    pub fn forces_n(&self, index: usize, disc: &DiscContacts) -> Vec<f64> {
        if disc.bulk.is_empty() {
            disc.rigid_forces_n(&self.discs[index], self.plate_rad)
        } else {
            self.elastic_forces_n[index].clone()
        }
    }
}

/// Why no equilibrium was found.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum EquilibriumError {
    /// No contact can carry torque in this direction.
    #[error("no contact can carry a torque of {torque_n_mm} N·mm")]
    NothingCarries {
        /// Torque on the plate.
        torque_n_mm: f64,
    },
    /// The iteration stopped short of the tolerance.
    #[error("load equilibrium not reached after {step_count} steps: residual {residual_ratio:e} of the load")]
    NotConverged {
        /// Newton steps taken.
        step_count: usize,
        /// Largest unbalanced force or torque as a share of the load.
        residual_ratio: f64,
    },
}

/// Discs on a common plate with a torque on it.
#[derive(Clone, Debug)]
pub struct Problem<'a> {
    /// Contacts of each disc.
    pub discs: &'a [DiscContacts],
    /// Torque on the plate, anticlockwise positive.
    pub plate_torque_n_mm: f64,
    /// A length that turns rotations into displacements of like size, such as e z_l.
    pub lever_scale_mm: f64,
}

/// Residual at which the solution is exact for all purposes.
const TARGET_RESIDUAL: f64 = 1e-12;
/// Residual that is still taken where rounding allows no better.
const ACCEPTED_RESIDUAL: f64 = 1e-9;
const MAX_STEPS: usize = 200;
/// Share of a displacement that sums of some dozen rounded terms lose.
const ROUNDING: f64 = 1e-14;
/// Smallest damping of the Hessian, as a share of its largest entry.
const LEAST_DAMPING: f64 = 1e-13;

impl Contact {
    /// Approach of the two bodies; negative is free distance.
    #[must_use]
    pub fn approach_mm(&self, disc: &Vector3<f64>, plate_rad: f64) -> f64 {
        self.disc_row.dot(disc) + self.plate_row_mm * plate_rad - self.gap_mm
    }

    /// Force at given displacements.
    #[must_use]
    pub fn force_n(&self, disc: &Vector3<f64>, plate_rad: f64) -> f64 {
        self.law.force_and_stiffness(self.approach_mm(disc, plate_rad)).0
    }
}

impl DiscContacts {
    /// Slopes of the energy where nothing but the contacts gives.
    fn rigid_slopes(&self, position: &Vector3<f64>, plate: f64) -> DiscSlopes {
        let mut slopes = DiscSlopes::default();
        for contact in &self.contacts {
            let (force, stiffness) = contact.law.force_and_stiffness(contact.approach_mm(position, plate));
            if force <= 0.0 && stiffness <= 0.0 {
                continue;
            }
            slopes.largest_force_n = slopes.largest_force_n.max(force);
            let scaled = contact.disc_row * stiffness;
            slopes.gradient += contact.disc_row * force;
            slopes.block += scaled * contact.disc_row.transpose();
            slopes.border += scaled * contact.plate_row_mm;
            slopes.plate_gradient += contact.plate_row_mm * force;
            slopes.plate_curvature += contact.plate_row_mm * contact.plate_row_mm * stiffness;
        }
        slopes
    }

    /// Torque that the disc's contacts pass to the plate.
    fn plate_torque_n_mm(&self, position: &Vector3<f64>, plate: f64, with_bodies: bool) -> f64 {
        let forces =
            if with_bodies { self.forces_n(position, plate) } else { self.rigid_forces_n(position, plate) };
        self.contacts.iter().zip(forces).map(|(contact, force)| contact.plate_row_mm * force).sum()
    }
}

/// Memory of the solver, kept from one solution to the next so that none is asked for inside.
#[derive(Clone, Debug, Default)]
pub struct Workspace {
    here: Slopes,
    there: Slopes,
    trial: Vec<Vector3<f64>>,
    disc_steps: Vec<Vector3<f64>>,
    along_borders: Vec<Vector3<f64>>,
    elastic: Vec<ElasticForces>,
}

/// Gradient and Hessian of the stored energy.
#[derive(Clone, Debug, Default)]
struct Slopes {
    disc_gradients: Vec<Vector3<f64>>,
    disc_blocks: Vec<Matrix3<f64>>,
    borders: Vec<Vector3<f64>>,
    plate_gradient: f64,
    plate_curvature: f64,
    largest_force_n: f64,
}

impl Slopes {
    fn resize(&mut self, disc_count: usize) {
        self.disc_gradients.resize(disc_count, Vector3::zeros());
        self.disc_blocks.resize(disc_count, Matrix3::zeros());
        self.borders.resize(disc_count, Vector3::zeros());
    }

    fn begin(&mut self, plate_torque_n_mm: f64) {
        self.plate_gradient = -plate_torque_n_mm;
        self.plate_curvature = 0.0;
        self.largest_force_n = 0.0;
    }

    /// Adds a disc and what holds its centre.
    fn add(&mut self, index: usize, mut own: DiscSlopes, disc: &DiscContacts, place: &Vector3<f64>) {
        own.gradient -= disc.given;
        self.plate_gradient += own.plate_gradient;
        self.plate_curvature += own.plate_curvature;
        self.largest_force_n = self.largest_force_n.max(own.largest_force_n);
        if disc.centre.is_rigid() {
            lock_centre(&mut own.gradient, &mut own.block, &mut own.border);
        } else {
            let held = disc.centre.slopes(Vector::new(place.x, place.y));
            for axis in 0..2 {
                own.gradient[axis] += held.gradient[axis];
                for other in 0..2 {
                    own.block[(axis, other)] += held.hessian[(axis, other)];
                }
            }
        }
        self.disc_gradients[index] = own.gradient;
        self.disc_blocks[index] = own.block;
        self.borders[index] = own.border;
    }

    /// Slope of the energy along a step.
    fn along(&self, disc_steps: &[Vector3<f64>], plate_step: f64) -> f64 {
        let discs = self.disc_gradients.iter().zip(disc_steps).map(|(gradient, step)| gradient.dot(step));
        discs.sum::<f64>() + self.plate_gradient * plate_step
    }
}

impl Workspace {
    fn resize(&mut self, disc_count: usize) {
        self.here.resize(disc_count);
        self.there.resize(disc_count);
        self.trial.resize(disc_count, Vector3::zeros());
        self.disc_steps.resize(disc_count, Vector3::zeros());
        self.along_borders.resize(disc_count, Vector3::zeros());
        self.elastic.resize(disc_count, ElasticForces::default());
    }
}

impl Problem<'_> {
    /// Displacements at which all forces balance.
    ///
    /// A start saves steps where it is near; where it leads nowhere the solution is sought again without it.
    ///
    /// # Errors
    /// [`EquilibriumError`] with the numbers reached.
    pub fn solve(
        &self,
        start: Option<&Displacements>,
        workspace: &mut Workspace,
    ) -> Result<Displacements, EquilibriumError> {
        if let Some(known) = start {
            let mut displacements = known.clone();
            if self.descend(&mut displacements, workspace).is_ok() {
                return Ok(displacements);
            }
        }
        let (discs, plate_rad) = self.start()?;
        let mut displacements = Displacements {
            discs,
            plate_rad,
            elastic_forces_n: vec![Vec::new(); self.discs.len()],
            residual_ratio: f64::INFINITY,
            step_count: 0,
        };
        self.descend(&mut displacements, workspace)?;
        Ok(displacements)
    }

    /// Newton steps from given displacements to those at which all forces balance; asks for no memory once the
    /// workspace has served a problem of this size.
    ///
    /// # Errors
    /// [`EquilibriumError::NotConverged`], with the displacements left where it stopped.
    pub fn descend(
        &self,
        displacements: &mut Displacements,
        workspace: &mut Workspace,
    ) -> Result<(), EquilibriumError> {
        workspace.resize(self.discs.len());
        start_forces(displacements, workspace);
        if self.starts_jointly(displacements) {
            let plate_rad = displacements.plate_rad;
            workspace.trial.copy_from_slice(&displacements.discs);
            if self.descend_jointly(displacements, workspace) {
                keep_forces(displacements, workspace);
                return Ok(());
            }
            displacements.discs.copy_from_slice(&workspace.trial);
            displacements.plate_rad = plate_rad;
            start_forces(displacements, workspace);
        }
        let Workspace { here, elastic, .. } = &mut *workspace;
        self.fill_slopes(&displacements.discs, displacements.plate_rad, elastic, here);
        let mut best = f64::INFINITY;
        let mut stalled = 0;
        for step_count in 0..MAX_STEPS {
            let residual_ratio = self.residual_ratio(&workspace.here);
            displacements.residual_ratio = residual_ratio;
            displacements.step_count = step_count;
            stalled = if residual_ratio < 0.5 * best { 0 } else { stalled + 1 };
            best = best.min(residual_ratio);
            if residual_ratio <= TARGET_RESIDUAL
                || (stalled > 4 && residual_ratio <= self.accepted_ratio(displacements, &workspace.here))
            {
                keep_forces(displacements, workspace);
                return Ok(());
            }
            let Some(plate_step) = self.newton_step(workspace) else { break };
            self.advance(displacements, plate_step, workspace);
        }
        if displacements.residual_ratio <= self.accepted_ratio(displacements, &workspace.here) {
            keep_forces(displacements, workspace);
            return Ok(());
        }
        Err(EquilibriumError::NotConverged {
            step_count: displacements.step_count,
            residual_ratio: displacements.residual_ratio,
        })
    }

    /// Motion per unit of torque on the plate from displacements at which all forces balance: (u, v, β) of every disc, and γ.
    ///
    /// None where nothing resists.
    #[must_use]
    pub fn response(
        &self,
        balanced: &Displacements,
        workspace: &mut Workspace,
    ) -> Option<(Vec<Vector3<f64>>, f64)> {
        workspace.resize(self.discs.len());
        start_forces(balanced, workspace);
        let Workspace { here, elastic, .. } = &mut *workspace;
        self.fill_slopes(&balanced.discs, balanced.plate_rad, elastic, here);
        here.disc_gradients.fill(Vector3::zeros());
        here.plate_gradient = -1.0;
        let plate = self.newton_step(workspace)?;
        Some((workspace.disc_steps.clone(), plate))
    }

    /// Whether all discs are elastic and have forces to start from.
    fn starts_jointly(&self, start: &Displacements) -> bool {
        let known = |(disc, forces): (&DiscContacts, &Vec<f64>)| {
            !disc.bulk.is_empty() && forces.len() == disc.contacts.len()
        };
        start.elastic_forces_n.len() == self.discs.len()
            && self.discs.iter().zip(&start.elastic_forces_n).all(known)
    }

    /// Newton steps of displacements and elastic forces together: quick from near, without a guard from afar.
    fn descend_jointly(&self, displacements: &mut Displacements, workspace: &mut Workspace) -> bool {
        workspace.elastic.iter_mut().for_each(ElasticForces::begin);
        for step_count in 1..=MAX_JOINT_STEPS {
            if !self.fill_linearised(displacements, workspace) {
                return false;
            }
            let Some(plate_step) = self.newton_step(workspace) else { return false };
            displacements.plate_rad += plate_step;
            let Workspace { disc_steps, elastic, .. } = &mut *workspace;
            for ((place, step), forces) in displacements.discs.iter_mut().zip(disc_steps).zip(elastic) {
                *place += *step;
                forces.follow(step, plate_step);
            }
            if workspace.elastic.iter().all(ElasticForces::is_settled) {
                self.fill_balance(displacements, workspace);
                displacements.residual_ratio = self.residual_ratio(&workspace.here);
                displacements.step_count = step_count;
                if displacements.residual_ratio <= TARGET_RESIDUAL {
                    return true;
                }
            }
        }
        false
    }

    fn fill_linearised(&self, displacements: &Displacements, workspace: &mut Workspace) -> bool {
        let Workspace { here, elastic, .. } = workspace;
        here.begin(self.plate_torque_n_mm);
        for (index, (disc, place)) in self.discs.iter().zip(&displacements.discs).enumerate() {
            let Some(own) = elastic[index].linearise(disc, place, displacements.plate_rad) else {
                return false;
            };
            here.add(index, own, disc, place);
        }
        true
    }

    fn fill_balance(&self, displacements: &Displacements, workspace: &mut Workspace) {
        let Workspace { here, elastic, .. } = workspace;
        here.begin(self.plate_torque_n_mm);
        for (index, (disc, place)) in self.discs.iter().zip(&displacements.discs).enumerate() {
            here.add(index, elastic[index].balance(disc), disc, place);
        }
    }

    /// Moves along the Newton step as far as the energy still falls.
    ///
    /// The slope of a convex energy along the step only grows, so an overshoot shows by its sign and the step is
    /// cut. A cut that falls far short, as before a contact that closes, is lengthened again: either the slope has
    /// lost its share, or the place just beyond the contact is taken, where the next step knows of it. The slopes at the accepted
    /// place are those of the next step.
    fn advance(&self, displacements: &mut Displacements, plate_step: f64, workspace: &mut Workspace) {
        let Workspace { here, there, trial, disc_steps, elastic, .. } = workspace;
        let mut search = LineSearch::of(here.along(disc_steps, plate_step).abs());
        let mut plate;
        loop {
            for ((place, disc), step) in trial.iter_mut().zip(&displacements.discs).zip(disc_steps.iter()) {
                *place = disc + step * search.length;
            }
            plate = displacements.plate_rad + search.length * plate_step;
            self.fill_slopes(trial, plate, elastic, there);
            if search.accepts(there.along(disc_steps, plate_step)) {
                break;
            }
        }
        displacements.discs.copy_from_slice(trial);
        displacements.plate_rad = plate;
        std::mem::swap(here, there);
    }

    /// Rotation of every disc and of the plate at which each disc just touches, bearing centres held; the
    /// plate's rotation is that of the disc that touches first.
    ///
    /// This is the unloaded position, the limit of a torque that goes to nothing. A disc without a contact
    /// that resists the torque has an infinite entry.
    #[must_use]
    pub fn first_touch(&self) -> (Vec<f64>, f64) {
        let sense = if self.plate_torque_n_mm < 0.0 { -1.0 } else { 1.0 };
        let mut rotations = Vec::with_capacity(self.discs.len());
        let mut plate = f64::INFINITY;
        for disc in self.discs {
            let mut ring = f64::INFINITY;
            let mut pins = f64::INFINITY;
            for contact in &disc.contacts {
                let (lever, reach) = if contact.plate_row_mm == 0.0 {
                    (sense * contact.disc_row.z, &mut ring)
                } else {
                    (sense * contact.plate_row_mm, &mut pins)
                };
                if lever > LEAST_LEVER_MM {
                    // An overlap that no rotation relieves counts as touching.
                    *reach = reach.min(contact.gap_mm.max(0.0) / lever);
                }
            }
            rotations.push(sense * ring);
            plate = plate.min(ring + pins);
        }
        (rotations, sense * plate)
    }

    /// A start with every disc pressed in far enough that the plate's torque is exceeded.
    ///
    /// Bodies that push some contacts apart as others press may never get there along this way; then the start is
    /// that of rigid bodies.
    fn start(&self) -> Result<(Vec<Vector3<f64>>, f64), EquilibriumError> {
        let torque = self.plate_torque_n_mm;
        let (rotations, plate) = self.first_touch();
        if !plate.is_finite() {
            return Err(EquilibriumError::NothingCarries { torque_n_mm: torque });
        }
        let pressed = |with_bodies: bool| self.pressed(&rotations, plate, with_bodies);
        pressed(true)
            .or_else(|| pressed(false))
            .ok_or(EquilibriumError::NothingCarries { torque_n_mm: torque })
    }

    /// Discs and plate turned on from where they touch until the contacts carry the torque.
    fn pressed(&self, rotations: &[f64], plate: f64, with_bodies: bool) -> Option<(Vec<Vector3<f64>>, f64)> {
        let torque = self.plate_torque_n_mm;
        let sense = if torque < 0.0 { -1.0 } else { 1.0 };
        let mut depth_rad = START_DEPTH_MM / self.lever_scale_mm;
        for _ in 0..MAX_DOUBLINGS {
            let discs: Vec<_> = rotations
                .iter()
                .map(|&rotation| {
                    let free = if rotation.is_finite() { rotation } else { plate };
                    Vector3::new(0.0, 0.0, free + sense * depth_rad)
                })
                .collect();
            let pressed = plate + sense * 2.0 * depth_rad;
            let carried: f64 = self
                .discs
                .iter()
                .zip(&discs)
                .map(|(disc, position)| disc.plate_torque_n_mm(position, pressed, with_bodies))
                .sum();
            if sense * carried >= torque.abs() {
                return Some((discs, pressed));
            }
            depth_rad *= 2.0;
        }
        None
    }

    fn fill_slopes(
        &self,
        discs: &[Vector3<f64>],
        plate: f64,
        elastic: &mut [ElasticForces],
        slopes: &mut Slopes,
    ) {
        slopes.begin(self.plate_torque_n_mm);
        for (index, (disc, position)) in self.discs.iter().zip(discs).enumerate() {
            let own = if disc.bulk.is_empty() {
                disc.rigid_slopes(position, plate)
            } else {
                elastic[index].settle(disc, position, plate);
                elastic[index].slopes(disc)
            };
            slopes.add(index, own, disc, position);
        }
    }

    /// Largest unbalanced force or torque as a share of the load or, with a preloaded mesh, of the largest force.
    fn residual_ratio(&self, slopes: &Slopes) -> f64 {
        let load_n = self.plate_torque_n_mm.abs().max(SMALLEST_TORQUE_N_MM) / self.lever_scale_mm;
        let force_scale = load_n.max(slopes.largest_force_n);
        let torque_scale = force_scale * self.lever_scale_mm;
        slopes.disc_gradients.iter().fold(slopes.plate_gradient.abs() / torque_scale, |worst, gradient| {
            worst
                .max(gradient.x.abs() / force_scale)
                .max(gradient.y.abs() / force_scale)
                .max(gradient.z.abs() / torque_scale)
        })
    }

    /// Residual that is still taken: a vanishing load needs no forces finer than displacements can be rounded.
    fn accepted_ratio(&self, displacements: &Displacements, slopes: &Slopes) -> f64 {
        let lever = self.lever_scale_mm;
        let farthest_mm =
            displacements.discs.iter().fold(displacements.plate_rad.abs() * lever, |most, disc| {
                most.max(disc.x.abs()).max(disc.y.abs()).max(disc.z.abs() * lever)
            });
        let stiffest = slopes
            .disc_blocks
            .iter()
            .map(|block| block[(0, 0)].max(block[(1, 1)]).max(block[(2, 2)] / (lever * lever)))
            .fold(0.0, f64::max);
        let load_n = self.plate_torque_n_mm.abs().max(SMALLEST_TORQUE_N_MM) / lever;
        let rounding_n = ROUNDING * stiffest * farthest_mm;
        ACCEPTED_RESIDUAL.max(rounding_n / load_n.max(slopes.largest_force_n))
    }

    /// Newton step of the damped arrow system, disc by disc; none if even damping leaves it singular.
    fn newton_step(&self, workspace: &mut Workspace) -> Option<f64> {
        let Workspace { here, disc_steps, along_borders, .. } = workspace;
        let lever_squared = self.lever_scale_mm * self.lever_scale_mm;
        let largest = here
            .disc_blocks
            .iter()
            .map(|block| (block[(2, 2)] / lever_squared).max(block[(0, 0)]))
            .fold(here.plate_curvature / lever_squared, f64::max)
            .max(1.0);
        let damping = LEAST_DAMPING * largest;
        let damped = Matrix3::from_diagonal(&Vector3::new(damping, damping, damping * lever_squared));
        let mut pivot = here.plate_curvature + damping * lever_squared;
        let mut right = -here.plate_gradient;
        for disc in 0..self.discs.len() {
            let border = here.borders[disc];
            // A disc within its bearing's play is held by next to nothing: the damping lets one step go about as far as the
            // force left over would press it, and fades with that force.
            let support = &self.discs[disc].centre.law;
            let mut damped = damped;
            if support.play_mm() > 0.0 {
                let force_n = here.disc_gradients[disc].xy().norm();
                let stiffness = force_n / support.reach_mm(force_n);
                damped[(0, 0)] += stiffness;
                damped[(1, 1)] += stiffness;
            }
            let factor = (here.disc_blocks[disc] + damped).cholesky()?;
            along_borders[disc] = factor.solve(&border);
            disc_steps[disc] = -factor.solve(&here.disc_gradients[disc]);
            pivot -= border.dot(&along_borders[disc]);
            right -= border.dot(&disc_steps[disc]);
        }
        let plate_step = right / pivot.max(damping * lever_squared);
        for (step, along_border) in disc_steps.iter_mut().zip(along_borders) {
            *step -= *along_border * plate_step;
        }
        Some(plate_step)
    }
}

/// Search for a length of a step at which a convex energy has fallen enough, by the slope along the step.
struct LineSearch {
    /// Length to try.
    length: f64,
    slope_at_start: f64,
    /// Longest length known to fall short, and the slope there, without its sign.
    short: (f64, f64),
    /// Shortest length known to overshoot, and the slope there.
    over: Option<(f64, f64)>,
    try_count: usize,
}

impl LineSearch {
    fn of(slope_at_start: f64) -> Self {
        Self { length: 1.0, slope_at_start, short: (0.0, slope_at_start), over: None, try_count: 0 }
    }

    /// Whether the length just tried does; otherwise the next one to try is set.
    fn accepts(&mut self, slope: f64) -> bool {
        self.try_count += 1;
        if self.try_count > MAX_CUTS {
            return true;
        }
        if slope > OVERSHOOT * self.slope_at_start {
            self.over = Some((self.length, slope));
        } else if self.over.is_none() || -slope <= SHORTFALL * self.slope_at_start {
            return true;
        } else {
            self.short = (self.length, -slope);
        }
        let Some((over, over_slope)) = self.over else { return true };
        let (short, short_slope) = self.short;
        let width = over - short;
        // Slopes only grow, so the energy falls by at least one product and rises by at most the other.
        if over_slope * width <= OVERSHOOT * short_slope * short {
            let is_there = self.length == over;
            self.length = over;
            self.try_count = if is_there { self.try_count } else { MAX_CUTS };
            return is_there;
        }
        self.length = short + width * (short_slope / (short_slope + over_slope)).clamp(0.1, 0.7);
        false
    }
}

/// Lets the forces start from those that are known with the displacements.
fn start_forces(displacements: &Displacements, workspace: &mut Workspace) {
    for (known, forces) in displacements.elastic_forces_n.iter().zip(&mut workspace.elastic) {
        forces.force_n.clone_from(known);
    }
}

/// Notes the forces with the displacements that they belong to.
fn keep_forces(displacements: &mut Displacements, workspace: &Workspace) {
    for (kept, forces) in displacements.elastic_forces_n.iter_mut().zip(&workspace.elastic) {
        kept.clone_from(&forces.force_n);
    }
}

/// Levers shorter than this carry no torque worth the name.
const LEAST_LEVER_MM: f64 = 1e-9;
/// First guess of how far the contacts are pressed in.
const START_DEPTH_MM: f64 = 1e-4;
const MAX_DOUBLINGS: usize = 60;
const MAX_CUTS: usize = 40;
/// Joint steps after which the guarded way is taken; from near it takes about five.
const MAX_JOINT_STEPS: usize = 15;
/// Share of the first slope by which a step may overshoot the minimum along it.
const OVERSHOOT: f64 = 0.5;
/// Share of the first slope that may be left after a step that was cut.
const SHORTFALL: f64 = 0.5;
/// Scale of the residual where the torque is nothing.
const SMALLEST_TORQUE_N_MM: f64 = 1e-3;

/// A rigid bearing holds the centre: its rows drop out of the system.
fn lock_centre(gradient: &mut Vector3<f64>, block: &mut Matrix3<f64>, border: &mut Vector3<f64>) {
    for axis in 0..2 {
        gradient[axis] = 0.0;
        border[axis] = 0.0;
        for other in 0..3 {
            block[(axis, other)] = 0.0;
            block[(other, axis)] = 0.0;
        }
        block[(axis, axis)] = 1.0;
    }
}
