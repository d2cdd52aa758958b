//! The torque–twist loop with friction: hysteresis width, lost motion on the mid-line, torsional stiffness, play.

pub mod path;
pub mod reading;
mod rubbing;

use crate::contact::ContactModel;
use crate::contact::build::ContactMaterials;
use crate::contact::equilibrium::EquilibriumError;
use crate::kinematics;
use crate::loads::Analysis;
use crate::losses::Friction;
use crate::losses::heat::viscosity_mm2_per_s;
use crate::losses::rubbing::Coefficients;
use crate::model::{Drive, HeldMember};
use crate::part::pin_outside_radius_mm;
use crate::registry;
use crate::results::{Extreme, HysteresisResult, LoopAtAngle, LoopPoint, LoopReading, MassResult, TwistLoop};
use crate::shape::crank_angles;
use crate::units::degrees;
use crate::watch::{CalledOff, Watch, look};
use path::{Curve, loop_between};
use reading::{LOST_MOTION_SHARE, loop_reading};
use rubbing::{Rest, Rubbed, Stuck};

/// No torque–twist loop was found.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum HysteresisError {
    /// The drive has no equilibrium without friction.
    #[error("crank angle {:.1}°: {source}", degrees(*.crank_angle_rad))]
    Equilibrium {
        /// φ.
        crank_angle_rad: f64,
        /// Why.
        source: EquilibriumError,
    },
    /// Forces that friction feeds grow without end: it holds the mesh whatever the torque.
    #[error(
        "friction locks the mesh at crank angle {:.1}° under {}: it feeds the forces that it comes from",
        degrees(*.crank_angle_rad),
        registry::display("output_torque_n_mm", *.torque_n_mm)
    )]
    Locked {
        /// φ.
        crank_angle_rad: f64,
        /// Torque that reaches the mesh.
        torque_n_mm: f64,
    },
    /// Forces and their friction came to no end, without growing.
    #[error(
        "forces and their friction did not settle at crank angle {:.1}° under {}, which says nothing about the drive",
        degrees(*.crank_angle_rad),
        registry::display("output_torque_n_mm", *.torque_n_mm)
    )]
    Unsettled {
        /// φ.
        crank_angle_rad: f64,
        /// Torque that reaches the mesh.
        torque_n_mm: f64,
    },
    /// Nobody wants it any more.
    #[error(transparent)]
    CalledOff(#[from] CalledOff),
}

/// Crank angles over the period of pins and bearings at which loops are taken.
const LOOP_ANGLES: usize = 12;
/// Shares of the rated torque at which the branches are computed, either way.
const TORQUE_SHARES: [f64; 7] = [LOST_MOTION_SHARE, 0.08, 0.16, 0.3, 0.5, 0.75, 1.0];
/// Share of the rated torque beyond the friction of the output at which the steep beginning is computed.
const BEGINNING_SHARE: f64 = 0.01;

/// Loops at rated torque over the period of pins and bearings: readings at every crank angle, and the loop with the greatest lost motion.
///
/// Nominal parts at their temperatures in operation, crank held; friction that of the first movement.
///
/// **Valid for** slow torque, friction that does not lock the mesh. **Source** Derivation 13.
///
/// # Errors
/// [`HysteresisError`] where a crank angle has no equilibrium, friction locks it, forces and friction do not settle, or the work
/// was called off.
pub fn hysteresis(
    drive: &Drive,
    model: &ContactModel,
    materials: &ContactMaterials,
    mass: &MassResult,
    watch: Watch<'_>,
) -> Result<HysteresisResult, HysteresisError> {
    let analysis = Analysis::of(drive, model, materials);
    let study = Study::of(drive, &analysis, model, &Friction::of(drive, mass));
    let none = Extreme { value: 0.0, disc: 0, contact: 0, crank_angle_rad: 0.0 };
    let mut result = HysteresisResult {
        output_friction_torque_n_mm: study.output_friction_n_mm,
        lost_motion: none,
        hysteresis_width: none,
        readings: Vec::new(),
        shown: TwistLoop { crank_angle_rad: 0.0, points: Vec::new() },
        assumptions: assumptions(drive, study.output_friction_n_mm),
    };
    for crank_angle_rad in crank_angles(drive, LOOP_ANGLES) {
        look(watch)?;
        let (points, free_play_rad) = study.twist_loop(crank_angle_rad)?;
        let reading = loop_reading(&points, study.rated_n_mm).unwrap_or(NOTHING_MOVES);
        let is_first = result.readings.is_empty();
        if is_first || reading.lost_motion_rad > result.lost_motion.value {
            result.lost_motion = Extreme { value: reading.lost_motion_rad, crank_angle_rad, ..none };
            result.shown = TwistLoop { crank_angle_rad, points };
        }
        if is_first || reading.hysteresis_width_rad > result.hysteresis_width.value {
            result.hysteresis_width =
                Extreme { value: reading.hysteresis_width_rad, crank_angle_rad, ..none };
        }
        result.readings.push(LoopAtAngle { crank_angle_rad, free_play_rad, reading });
    }
    Ok(result)
}

/// What is read off a loop that friction at the output keeps from opening.
const NOTHING_MOVES: LoopReading = LoopReading {
    hysteresis_width_rad: 0.0,
    lost_motion_rad: 0.0,
    mid_line_stiffness_n_mm_per_rad: None,
    loading_stiffness_n_mm_per_rad: None,
    loop_loss_n_mm: 0.0,
};

/// A drive with its friction, ready for loops.
struct Study<'a> {
    rubbed: Rubbed<'a>,
    rated_n_mm: f64,
    /// T_f.
    output_friction_n_mm: f64,
}

impl<'a> Study<'a> {
    fn of(drive: &Drive, analysis: &'a Analysis<'a>, model: &'a ContactModel, friction: &Friction) -> Self {
        let is_ring_held = drive.geometry.held_member == HeldMember::Ring;
        let viscosity = viscosity_mm2_per_s(&drive.lubrication, drive.requirement.housing_temperature_k);
        let lobes = kinematics::lobe_count(&drive.geometry) as f64;
        Self {
            rated_n_mm: drive.requirement.rated_torque_n_mm,
            output_friction_n_mm: friction.output_starting_torque_n_mm(viscosity),
            rubbed: Rubbed {
                analysis,
                model,
                coefficients: Coefficients::of(friction, pin_outside_radius_mm(drive))
                    .times(friction.static_ratio()),
                crank_share: if is_ring_held { 0.0 } else { lobes / drive.geometry.ring_roller_count as f64 },
            },
        }
    }

    /// The loop at one crank angle, and the free play there.
    fn twist_loop(&self, crank_angle_rad: f64) -> Result<(Vec<LoopPoint>, f64), HysteresisError> {
        let rest = |sense: f64| {
            self.rubbed
                .rest(crank_angle_rad, sense)
                .map_err(|source| HysteresisError::Equilibrium { crank_angle_rad, source })
        };
        let rests = [rest(-1.0)?, rest(1.0)?];
        let rising = self.curve(&rests, 1.0, crank_angle_rad)?;
        let falling = self.curve(&rests, -1.0, crank_angle_rad)?;
        let [behind, ahead] = rests.each_ref().map(|rest| self.rubbed.at_rest_rad(rest));
        Ok((loop_between(&rising, &falling, self.rated_n_mm), ahead - behind))
    }

    /// Twist over the torque on the output that rises or falls; the mesh gets that torque less, or more, the friction of the output.
    fn curve(&self, rests: &[Rest; 2], motion: f64, crank_angle_rad: f64) -> Result<Curve, HysteresisError> {
        let mut points = Vec::new();
        for (rest, sense) in rests.iter().zip([-1.0, 1.0]) {
            let mut start = None;
            for torque_n_mm in self.torques_n_mm(motion, sense) {
                let in_mesh = torque_n_mm - motion * self.output_friction_n_mm;
                let twist_rad = self
                    .rubbed
                    .twist_rad(rest, motion, in_mesh, &mut start)
                    .map_err(|stuck| failure(stuck, crank_angle_rad, in_mesh))?;
                points.push(LoopPoint { output_torque_n_mm: torque_n_mm, twist_rad });
            }
        }
        // Both ends of the play lie at one torque: the sort keeps them in the order of their senses.
        points.sort_by(|a, b| a.output_torque_n_mm.total_cmp(&b.output_torque_n_mm));
        Ok(Curve { points })
    }

    /// Torques on the output at which the mesh is pressed in a sense, the greatest first, the end of the play last.
    fn torques_n_mm(&self, motion: f64, sense: f64) -> Vec<f64> {
        let rated = self.rated_n_mm;
        let friction = motion * self.output_friction_n_mm;
        let ladder = TORQUE_SHARES.iter().flat_map(|share| [share * rated, -share * rated]);
        let beginning = friction + sense * BEGINNING_SHARE * rated;
        let least = 1e-6 * rated;
        let mut torques: Vec<f64> = ladder
            .chain([0.0, beginning])
            .filter(|torque| sense * (torque - friction) > least)
            .chain([friction + 0.0])
            .filter(|torque| torque.abs() <= rated)
            .collect();
        torques.sort_by(|a, b| (sense * b).total_cmp(&(sense * a)));
        torques
    }
}

fn failure(stuck: Stuck, crank_angle_rad: f64, torque_n_mm: f64) -> HysteresisError {
    match stuck {
        Stuck::Frictionless(source) => HysteresisError::Equilibrium { crank_angle_rad, source },
        Stuck::Locked => HysteresisError::Locked { crank_angle_rad, torque_n_mm },
        Stuck::Unsettled => HysteresisError::Unsettled { crank_angle_rad, torque_n_mm },
    }
}

fn assumptions(drive: &Drive, output_friction_n_mm: f64) -> Vec<String> {
    let mut all = vec![
        "The torque changes slowly and friction is Coulomb's, with the coefficients of the first movement (static_friction_ratio).".to_owned(),
        "After a reversal the output stays until the other branch is reached: all contacts turn their friction at once, and what stuck contacts give sideways is left out.".to_owned(),
        "Each contact rubs against the way in which it would slide without friction; where that way changes along a branch, friction changes at once.".to_owned(),
        "Rolling bearings resist with their whole friction torque at once; over such small angles real ones first give like springs, so the loop is rather too wide.".to_owned(),
        "Output bearings carry the load that the drive file states, on the test as in service.".to_owned(),
        "The crank is held at its end; bearings and seals on it do not turn.".to_owned(),
        "Parts as drawn, at their temperatures in operation; tolerances are left out.".to_owned(),
    ];
    if output_friction_n_mm >= LOST_MOTION_SHARE * drive.requirement.rated_torque_n_mm {
        all.push("Friction at the output exceeds 3 % of the rated torque: it holds the play, and the mid-line does not show it.".to_owned());
    }
    all
}
