//! The loads that losses follow from, over a range of torques: force times sliding distance, bearing forces, twist.
//!
//! Load cases that are solved already are taken over; a few smaller torques are solved at fewer crank
//! angles, because the sharing between contacts changes while gaps close. Source: Derivation 8, §1.

use crate::contact::ContactModel;
use crate::contact::build::ContactMaterials;
use crate::kinematics::pitch_point;
use crate::loads::{self, LoadError};
use crate::model::Drive;
use crate::results::{DiscState, LoadCase, Pose};
use crate::shape::crank_angles;
use crate::watch::{CalledOff, Watch, look};
use curves::point::{Point, Vector, unit};
use std::f64::consts::TAU;

/// Loads at one torque over a period of crank angles.
#[derive(Clone, Debug)]
pub struct TorqueLoads {
    /// Torque on the output.
    pub output_torque_n_mm: f64,
    /// Loads at each crank angle.
    pub poses: Vec<PoseLoads>,
    /// Mean elastic wind-up of the output over the period.
    pub mean_windup_rad: f64,
}

/// What friction acts on at one crank angle.
#[derive(Clone, Debug)]
pub struct PoseLoads {
    /// Σ Q_i d_i over all discs: force at each ring roller times its distance from the pitch point, which is the
    /// sliding per radian of the disc against the ring.
    pub roller_force_distance_n_mm: f64,
    /// Σ P_j over all discs.
    pub pin_force_n: f64,
    /// Static force of each disc on the eccentric.
    pub eccentric_force_n: Vec<Vector>,
    /// Direction of each eccentric.
    pub eccentric_direction: Vec<Vector>,
}

/// Shares of the rated torque that are solved beside the load cases.
const EXTRA_SHARES: [f64; 4] = [0.1, 0.25, 0.5, 0.75];
/// Share of the rated torque that stands for none where interference preloads the mesh.
const VANISHING_SHARE: f64 = 1e-6;
/// Crank angles at which they are solved.
const EXTRA_ANGLES: usize = 12;

/// Loads at rising torques: no torque, parts of the rated one, and every load case.
///
/// A part of the rated torque that finds no equilibrium within rounding, as with absurd stiffnesses, is left out.
///
/// # Errors
/// [`CalledOff`].
pub fn sweep(
    drive: &Drive,
    model: &ContactModel,
    materials: &ContactMaterials,
    load_cases: &[LoadCase],
    watch: Watch<'_>,
) -> Result<Vec<TorqueLoads>, CalledOff> {
    let rated = drive.requirement.rated_torque_n_mm;
    let solved = |shown: f64, torque: f64| {
        let angles = crank_angles(drive, EXTRA_ANGLES).into_iter();
        let poses = angles.map(|angle| loads::pose_at(drive, model, materials, torque, angle));
        let poses: Result<Vec<_>, LoadError> = poses.collect();
        poses.ok().map(|poses| TorqueLoads::of(drive, shown, &poses))
    };
    let preloaded = model.position(0.0, 1.0).is_preloaded.then(|| solved(0.0, VANISHING_SHARE * rated));
    let mut all = vec![preloaded.flatten().unwrap_or_else(|| unloaded(drive))];
    for share in EXTRA_SHARES {
        look(watch)?;
        all.extend(solved(share * rated, share * rated));
    }
    all.extend(load_cases.iter().map(|case| TorqueLoads::of(drive, case.output_torque_n_mm, &case.poses)));
    all.sort_by(|a, b| a.output_torque_n_mm.total_cmp(&b.output_torque_n_mm));
    all.dedup_by(|a, b| a.output_torque_n_mm == b.output_torque_n_mm);
    Ok(all)
}

/// No torque and play in the mesh: contacts free of force, eccentrics loaded by the inertia of the discs alone.
fn unloaded(drive: &Drive) -> TorqueLoads {
    let count = drive.geometry.disc_count;
    let pose = PoseLoads {
        roller_force_distance_n_mm: 0.0,
        pin_force_n: 0.0,
        eccentric_force_n: vec![Vector::zeros(); count],
        eccentric_direction: (0..count).map(|disc| unit(disc_phase_rad(0.0, disc, count))).collect(),
    };
    TorqueLoads { output_torque_n_mm: 0.0, poses: vec![pose], mean_windup_rad: 0.0 }
}

/// φ_k: where the eccentric of a disc stands.
fn disc_phase_rad(crank_angle_rad: f64, disc: usize, disc_count: usize) -> f64 {
    crank_angle_rad + TAU * disc as f64 / disc_count as f64
}

impl TorqueLoads {
    /// The loads of solved crank angles.
    #[must_use]
    pub fn of(drive: &Drive, output_torque_n_mm: f64, poses: &[Pose]) -> Self {
        let windup =
            poses.iter().map(|pose| (pose.plate_rotation_rad - pose.unloaded_plate_rotation_rad).abs());
        Self {
            output_torque_n_mm,
            mean_windup_rad: windup.sum::<f64>() / poses.len().max(1) as f64,
            poses: poses.iter().map(|pose| PoseLoads::of(drive, pose)).collect(),
        }
    }

    /// Mean over the crank angles of what a function takes from each.
    pub fn mean(&self, value: impl Fn(&PoseLoads) -> f64) -> f64 {
        self.poses.iter().map(value).sum::<f64>() / self.poses.len().max(1) as f64
    }
}

impl PoseLoads {
    fn of(drive: &Drive, pose: &Pose) -> Self {
        let count = pose.discs.len();
        let phase = |disc: usize| disc_phase_rad(pose.crank_angle_rad, disc, count);
        let distance = |(disc, state): (usize, &DiscState)| {
            roller_force_distance_n_mm(state, pitch_point(&drive.geometry, phase(disc)))
        };
        Self {
            roller_force_distance_n_mm: pose.discs.iter().enumerate().map(distance).sum(),
            pin_force_n: pose.discs.iter().flat_map(|disc| &disc.output_pin_force_n).sum(),
            eccentric_force_n: pose
                .discs
                .iter()
                .map(|disc| -Vector::new(disc.bearing_force_n[0], disc.bearing_force_n[1]))
                .collect(),
            eccentric_direction: (0..count).map(|disc| unit(phase(disc))).collect(),
        }
    }

    /// Force of each disc on the eccentric with the centrifugal force of what the bearing carries.
    pub fn eccentric_force_with_inertia_n(&self, inertia_force_n: f64) -> impl Iterator<Item = Vector> + '_ {
        self.eccentric_force_n
            .iter()
            .zip(&self.eccentric_direction)
            .map(move |(force, direction)| force + direction * inertia_force_n)
    }
}

/// Σ Q_i d_i of one disc: force times the distance of the contact from the pitch point.
///
/// The disc turns about the pitch point against the ring, so the sliding speed at a contact is that distance times the speed
/// of the disc against the ring.
///
/// **Source** Derivation 8, §1.
#[must_use]
pub fn roller_force_distance_n_mm(state: &DiscState, pitch_point_mm: Point) -> f64 {
    state
        .ring_roller_contact_mm
        .iter()
        .zip(&state.ring_roller_force_n)
        .filter(|(_, force)| **force > 0.0)
        .map(|([x, y], force)| force * (Point::new(*x, *y) - pitch_point_mm).norm())
        .sum()
}
