//! Static equilibrium of discs on a common output plate, with contacts that push and never pull.
//!
//! Unknowns are the displacement (u, v) and extra rotation β of every disc and the rotation γ of the
//! plate. Each contact gives a force that grows with its approach, so with gaps linear in the unknowns
//! the stored energy is convex and a damped semismooth Newton method finds its minimum from anywhere.
//! The Hessian is an arrow: a 3×3 block a disc, bordered by the plate; it is solved disc by disc.
//! Source: Derivation 4.

use crate::line_contact::LineContact;
use nalgebra::{Matrix3, Vector3};

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
    /// Ring rollers first, then output pins.
    pub contacts: Vec<Contact>,
    /// Radial stiffness of the eccentric bearing; rigid where absent.
    pub bearing_stiffness_n_per_mm: Option<f64>,
}

/// Displacements that solve a [`Problem`].
#[derive(Clone, Debug, PartialEq)]
pub struct Displacements {
    /// u, v (mm) and β (rad) of each disc.
    pub discs: Vec<Vector3<f64>>,
    /// γ: rotation of the plate.
    pub plate_rad: f64,
    /// Largest unbalanced force or torque as a share of the load.
    pub residual_ratio: f64,
    /// Newton steps taken.
    pub step_count: usize,
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

/// Gradient and Hessian of the stored energy.
struct Slopes {
    disc_gradients: Vec<Vector3<f64>>,
    disc_blocks: Vec<Matrix3<f64>>,
    borders: Vec<Vector3<f64>>,
    plate_gradient: f64,
    plate_curvature: f64,
    largest_force_n: f64,
}

impl Problem<'_> {
    /// Displacements at which all forces balance.
    ///
    /// A start saves steps where it is near; where it leads nowhere the solution is sought again without it.
    ///
    /// # Errors
    /// [`EquilibriumError`] with the numbers reached.
    pub fn solve(&self, start: Option<&Displacements>) -> Result<Displacements, EquilibriumError> {
        let warm = start.and_then(|known| self.descend(known.discs.clone(), known.plate_rad).ok());
        warm.map_or_else(
            || {
                let (discs, plate) = self.start()?;
                self.descend(discs, plate)
            },
            Ok,
        )
    }

    /// Newton steps from given displacements.
    fn descend(
        &self,
        mut discs: Vec<Vector3<f64>>,
        mut plate: f64,
    ) -> Result<Displacements, EquilibriumError> {
        let mut slopes = self.empty_slopes();
        let mut trial = discs.clone();
        let mut best = f64::INFINITY;
        let mut stalled = 0;
        for step_count in 0..MAX_STEPS {
            self.fill_slopes(&discs, plate, &mut slopes);
            let residual_ratio = self.residual_ratio(&slopes);
            stalled = if residual_ratio < 0.5 * best { 0 } else { stalled + 1 };
            best = best.min(residual_ratio);
            let settled =
                residual_ratio <= TARGET_RESIDUAL || (stalled > 4 && residual_ratio <= ACCEPTED_RESIDUAL);
            if settled {
                return Ok(Displacements { discs, plate_rad: plate, residual_ratio, step_count });
            }
            let Some((disc_steps, plate_step)) = self.newton_step(&slopes) else { break };
            let length = self.step_length(&discs, plate, &disc_steps, plate_step, &slopes, &mut trial);
            for (disc, step) in discs.iter_mut().zip(&disc_steps) {
                *disc += step * length;
            }
            plate += plate_step * length;
        }
        if best <= ACCEPTED_RESIDUAL {
            self.fill_slopes(&discs, plate, &mut slopes);
            let residual_ratio = self.residual_ratio(&slopes);
            if residual_ratio <= ACCEPTED_RESIDUAL {
                return Ok(Displacements { discs, plate_rad: plate, residual_ratio, step_count: MAX_STEPS });
            }
        }
        Err(EquilibriumError::NotConverged { step_count: MAX_STEPS, residual_ratio: best })
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
    fn start(&self) -> Result<(Vec<Vector3<f64>>, f64), EquilibriumError> {
        let torque = self.plate_torque_n_mm;
        let (rotations, plate) = self.first_touch();
        if !plate.is_finite() {
            return Err(EquilibriumError::NothingCarries { torque_n_mm: torque });
        }
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
                .flat_map(|(disc, position)| disc.contacts.iter().map(move |contact| (contact, position)))
                .map(|(contact, position)| contact.plate_row_mm * contact.force_n(position, pressed))
                .sum();
            if sense * carried >= torque.abs() {
                return Ok((discs, pressed));
            }
            depth_rad *= 2.0;
        }
        Err(EquilibriumError::NothingCarries { torque_n_mm: torque })
    }

    fn empty_slopes(&self) -> Slopes {
        let count = self.discs.len();
        Slopes {
            disc_gradients: vec![Vector3::zeros(); count],
            disc_blocks: vec![Matrix3::zeros(); count],
            borders: vec![Vector3::zeros(); count],
            plate_gradient: 0.0,
            plate_curvature: 0.0,
            largest_force_n: 0.0,
        }
    }

    fn fill_slopes(&self, discs: &[Vector3<f64>], plate: f64, slopes: &mut Slopes) {
        slopes.plate_gradient = -self.plate_torque_n_mm;
        slopes.plate_curvature = 0.0;
        slopes.largest_force_n = 0.0;
        for (index, (disc, position)) in self.discs.iter().zip(discs).enumerate() {
            let (mut gradient, mut block, mut border) =
                (Vector3::zeros(), Matrix3::zeros(), Vector3::zeros());
            for contact in &disc.contacts {
                let (force, stiffness) =
                    contact.law.force_and_stiffness(contact.approach_mm(position, plate));
                if force <= 0.0 && stiffness <= 0.0 {
                    continue;
                }
                slopes.largest_force_n = slopes.largest_force_n.max(force);
                let scaled = contact.disc_row * stiffness;
                gradient += contact.disc_row * force;
                block += scaled * contact.disc_row.transpose();
                border += scaled * contact.plate_row_mm;
                slopes.plate_gradient += contact.plate_row_mm * force;
                slopes.plate_curvature += contact.plate_row_mm * contact.plate_row_mm * stiffness;
            }
            match disc.bearing_stiffness_n_per_mm {
                Some(stiffness) => {
                    for axis in 0..2 {
                        gradient[axis] += stiffness * position[axis];
                        block[(axis, axis)] += stiffness;
                    }
                }
                None => lock_centre(&mut gradient, &mut block, &mut border),
            }
            slopes.disc_gradients[index] = gradient;
            slopes.disc_blocks[index] = block;
            slopes.borders[index] = border;
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

    /// Newton step of the damped arrow system; none if even damping leaves it singular.
    fn newton_step(&self, slopes: &Slopes) -> Option<(Vec<Vector3<f64>>, f64)> {
        let lever_squared = self.lever_scale_mm * self.lever_scale_mm;
        let largest = slopes
            .disc_blocks
            .iter()
            .map(|block| (block[(2, 2)] / lever_squared).max(block[(0, 0)]))
            .fold(slopes.plate_curvature / lever_squared, f64::max)
            .max(1.0);
        let damping = LEAST_DAMPING * largest;
        let damped = Matrix3::from_diagonal(&Vector3::new(damping, damping, damping * lever_squared));
        let mut pivot = slopes.plate_curvature + damping * lever_squared;
        let mut right = -slopes.plate_gradient;
        let mut parts = Vec::with_capacity(self.discs.len());
        for ((block, border), gradient) in
            slopes.disc_blocks.iter().zip(&slopes.borders).zip(&slopes.disc_gradients)
        {
            let factor = (block + damped).cholesky()?;
            let along_border = factor.solve(border);
            let along_gradient = factor.solve(gradient);
            pivot -= border.dot(&along_border);
            right += border.dot(&along_gradient);
            parts.push((along_gradient, along_border));
        }
        let plate_step = right / pivot.max(damping * lever_squared);
        let disc_steps = parts.iter().map(|(gradient, border)| -gradient - border * plate_step).collect();
        Some((disc_steps, plate_step))
    }

    /// Share of the Newton step after which the energy still falls: the slope of a convex energy along the
    /// step only grows, so an overshoot is seen by its sign and halved away.
    fn step_length(
        &self,
        discs: &[Vector3<f64>],
        plate: f64,
        disc_steps: &[Vector3<f64>],
        plate_step: f64,
        slopes: &Slopes,
        trial: &mut [Vector3<f64>],
    ) -> f64 {
        let slope_at_start = slopes.disc_gradients.iter().zip(disc_steps).map(|(g, s)| g.dot(s)).sum::<f64>()
            + slopes.plate_gradient * plate_step;
        let mut length = 1.0;
        for _ in 0..MAX_HALVINGS {
            for ((place, disc), step) in trial.iter_mut().zip(discs).zip(disc_steps) {
                *place = disc + step * length;
            }
            let slope = self.slope_along(trial, plate + length * plate_step, disc_steps, plate_step);
            if slope <= OVERSHOOT * slope_at_start.abs() {
                return length;
            }
            length *= (slope_at_start.abs() / (slope_at_start.abs() + slope)).clamp(0.1, 0.7);
        }
        length
    }

    fn slope_along(
        &self,
        discs: &[Vector3<f64>],
        plate: f64,
        disc_steps: &[Vector3<f64>],
        plate_step: f64,
    ) -> f64 {
        let mut slope = -self.plate_torque_n_mm * plate_step;
        for ((disc, position), step) in self.discs.iter().zip(discs).zip(disc_steps) {
            for contact in &disc.contacts {
                let force = contact.force_n(position, plate);
                if force > 0.0 {
                    slope += force * (contact.disc_row.dot(step) + contact.plate_row_mm * plate_step);
                }
            }
            if let Some(stiffness) = disc.bearing_stiffness_n_per_mm {
                slope += stiffness * (position.x * step.x + position.y * step.y);
            }
        }
        slope
    }
}

/// Levers shorter than this carry no torque worth the name.
const LEAST_LEVER_MM: f64 = 1e-9;
/// First guess of how far the contacts are pressed in.
const START_DEPTH_MM: f64 = 1e-4;
const MAX_DOUBLINGS: usize = 60;
const MAX_HALVINGS: usize = 40;
/// Share of the first slope by which a step may overshoot the minimum along it.
const OVERSHOOT: f64 = 0.5;
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
