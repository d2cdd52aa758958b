//! Equilibrium with friction: how far the usual estimate, friction on frictionless forces, is off.
//!
//! Friction forces follow from the contact forces of the last round and act on discs and plate as given
//! loads; rounds go on until the crank's torque stands still. Motion is the ideal one. Source: Derivation 8, §5.

use super::Friction;
pub use super::rubbing::Coefficients;
use super::rubbing::{DiscLoads, Rubbing, RubbingDrive};
use crate::contact::equilibrium::{DiscContacts, Displacements, EquilibriumError, Problem, Workspace};
use crate::contact::{ContactModel, DiscGeometry, Position};
use crate::kinematics;
use crate::model::Drive;
use crate::part::pin_outside_radius_mm;
use crate::profile::{CircleContact, LobeOutline};
use crate::results::FrictionFeedback;
use crate::shape::crank_angles;
use curves::point::{Point, Vector, cross, polar, turned_left, unit};

/// The drive in equilibrium with friction at one crank angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moving {
    /// Torque on the crank that keeps it turning.
    pub input_torque_n_mm: f64,
    /// Torque on the crank that holds the load without friction.
    pub frictionless_torque_n_mm: f64,
    /// Friction work per radian of the crank against the ring, from the forces with friction.
    pub loss_n_mm: f64,
    /// The same from the forces without friction: the usual estimate.
    pub estimated_loss_n_mm: f64,
    /// Rounds until the torque stood still.
    pub round_count: usize,
}

const MAX_ROUNDS: usize = 60;
/// Change of the crank's torque, as a share of it, at which rounds end.
const SETTLED: f64 = 1e-12;

/// Equilibrium with friction while the crank turns; `sense` is +1 anticlockwise and −1 clockwise.
///
/// A load whose torque on the plate is positive is driven by an anticlockwise crank, and drives back a clockwise one.
///
/// # Errors
/// [`EquilibriumError`] where the frictionless drive has no equilibrium, or friction locks it so that the rounds do not settle.
pub fn moving<P: LobeOutline>(
    model: &ContactModel<P>,
    coefficients: &Coefficients,
    crank_angle_rad: f64,
    plate_torque_n_mm: f64,
    sense: f64,
) -> Result<Moving, EquilibriumError> {
    let position = model.position(crank_angle_rad, plate_torque_n_mm);
    let rounds = Rounds { model, coefficients, position: &position, plate_torque_n_mm, sense };
    let mut workspace = Workspace::default();
    let mut displacements = rounds.problem(&position.contacts, 0.0).solve(None, &mut workspace)?;
    let mut loads = rounds.loads(&displacements);
    let frictionless = rounds.crank_torque_n_mm(&loads, false);
    let estimated_loss_n_mm = rounds.loss_n_mm(&loads);
    let mut torque = frictionless;
    for round_count in 1..=MAX_ROUNDS {
        let (contacts, plate_torque) = rounds.with_friction(&loads);
        displacements =
            rounds.problem(&contacts, plate_torque).solve(Some(&displacements), &mut workspace)?;
        loads = rounds.loads(&displacements);
        let next = rounds.crank_torque_n_mm(&loads, true);
        let change = (next - torque).abs();
        torque = next;
        if change <= SETTLED * torque.abs() {
            return Ok(Moving {
                input_torque_n_mm: torque,
                frictionless_torque_n_mm: frictionless,
                loss_n_mm: rounds.loss_n_mm(&loads),
                estimated_loss_n_mm,
                round_count,
            });
        }
    }
    Err(EquilibriumError::NotConverged { step_count: MAX_ROUNDS, residual_ratio: 1.0 })
}

/// Crank angles over which the mean is taken.
const MEAN_ANGLES: usize = 12;

/// Load-dependent losses at contacts and eccentric bearings under the rated torque, with friction in the equilibrium and
/// without; `None` where friction locks the drive.
///
/// **Source** Derivation 8, §5.
#[must_use]
pub fn feedback(drive: &Drive, model: &ContactModel, friction: &Friction) -> Option<FrictionFeedback> {
    let lobes = kinematics::lobe_count(&drive.geometry) as f64;
    // Rated torque on the plate in the frame of the ring; in that frame the crank does the same work.
    let useful = drive.requirement.rated_torque_n_mm / kinematics::ratio(&drive.geometry).abs();
    let coefficients = Coefficients::of(friction, pin_outside_radius_mm(drive));
    let angles = crank_angles(drive, MEAN_ANGLES);
    let count = angles.len() as f64;
    let mut sum = (0.0, 0.0, 0.0);
    for angle in angles {
        let moving = moving(model, &coefficients, angle, useful * lobes, 1.0).ok()?;
        sum.0 += moving.input_torque_n_mm / count;
        sum.1 += moving.loss_n_mm / count;
        sum.2 += moving.estimated_loss_n_mm / count;
    }
    let (input, loss, estimated) = sum;
    Some(FrictionFeedback {
        efficiency_estimate: useful / (useful + estimated),
        efficiency_in_equilibrium: useful / (useful + loss),
        loss_error_ratio: if loss > 0.0 { estimated / loss - 1.0 } else { 0.0 },
        work_balance_ratio: (input - useful - loss) / input,
    })
}

struct Rounds<'a, P> {
    model: &'a ContactModel<P>,
    coefficients: &'a Coefficients,
    position: &'a Position,
    plate_torque_n_mm: f64,
    sense: f64,
}

impl<P: LobeOutline> Rounds<'_, P> {
    fn problem<'b>(&self, discs: &'b [DiscContacts], friction_n_mm: f64) -> Problem<'b> {
        Problem {
            discs,
            plate_torque_n_mm: self.plate_torque_n_mm + friction_n_mm,
            lever_scale_mm: self.model.lever_scale_mm(),
        }
    }

    /// Speed of a member that turns with the disc, per radian of the crank: −1/z_l, or the other way round.
    fn disc_turn(&self) -> f64 {
        -self.sense / self.model.lobe_count() as f64
    }

    fn loads(&self, displacements: &Displacements) -> Vec<DiscLoads> {
        let drive = RubbingDrive {
            model: self.model,
            coefficients: self.coefficients,
            crank_angle_rad: self.position.crank_angle_rad,
        };
        let discs = self.position.discs.iter().zip(&self.position.contacts).enumerate();
        discs
            .map(|(disc, (geometry, contacts))| {
                let forces = displacements.forces_n(disc, contacts);
                let (roller_n, others) = forces.split_at(self.model.ring_roller_count);
                let pin_n = &others[..self.model.pin_count];
                drive.disc_loads(geometry, &self.rubbing(geometry), (roller_n, pin_n))
            })
            .collect()
    }

    /// Friction in the ideal motion: at a roller against the turning of the disc about the pitch point, at every pin against the circling
    /// of its hole, in the bearing with the crank.
    fn rubbing(&self, geometry: &DiscGeometry) -> Rubbing {
        let pitch_point = self.pitch_point_mm(geometry);
        let against = |contact: &CircleContact| {
            let arm = contact.place_mm - pitch_point;
            -turned_left(arm) / arm.norm() * self.disc_turn().signum()
        };
        // The hole circles about the pin: every point of the disc slides the same way against the plate.
        let sliding = turned_left(unit(geometry.crank_angle_rad)) * self.sense;
        Rubbing {
            roller: geometry.rollers.iter().map(against).collect(),
            pin: vec![-sliding; self.model.pin_count],
            // Against the crank the disc turns clockwise while the crank turns anticlockwise.
            bearing: self.sense,
        }
    }

    fn pitch_point_mm(&self, geometry: &DiscGeometry) -> Point {
        polar(self.model.eccentricity_mm * self.model.ring_roller_count as f64, geometry.crank_angle_rad)
    }

    /// Contacts with the friction on each disc, and the friction torque on the plate.
    fn with_friction(&self, loads: &[DiscLoads]) -> (Vec<DiscContacts>, f64) {
        let known = self.position.contacts.iter().zip(loads);
        let contacts = known.map(|(known, loads)| DiscContacts { given: loads.wrench, ..known.clone() });
        (contacts.collect(), loads.iter().map(|loads| loads.plate_n_mm).sum())
    }

    /// Torque on the crank: the bearing forces at their eccentrics, and the friction of the bearings.
    fn crank_torque_n_mm(&self, loads: &[DiscLoads], has_friction: bool) -> f64 {
        let parts = loads.iter().zip(&self.position.discs).map(|(loads, geometry)| {
            let throw = unit(geometry.crank_angle_rad) * self.model.eccentricity_mm;
            if has_friction {
                let rubbing = self.sense * self.coefficients.bearing_mm * loads.bearing_n.norm();
                cross(throw, loads.bearing_n) + rubbing
            } else {
                let friction = Vector::new(loads.wrench.x, loads.wrench.y);
                cross(throw, loads.bearing_n + friction)
            }
        });
        parts.sum()
    }

    /// Friction work per radian of the crank.
    fn loss_n_mm(&self, loads: &[DiscLoads]) -> f64 {
        let turn = self.disc_turn().abs();
        let parts = loads.iter().zip(&self.position.discs).map(|(loads, geometry)| {
            let pitch_point = self.pitch_point_mm(geometry);
            let distances = geometry.rollers.iter().map(|contact| (contact.place_mm - pitch_point).norm());
            let rollers: f64 = distances.zip(&loads.roller_n).map(|(distance, force)| distance * force).sum();
            let pins: f64 = loads.pin_n.iter().sum::<f64>() * self.model.eccentricity_mm;
            self.coefficients.roller * rollers * turn
                + self.coefficients.pin * pins * (1.0 + turn)
                + self.coefficients.bearing_mm * loads.bearing_n.norm() * (1.0 + turn)
        });
        parts.sum()
    }
}
