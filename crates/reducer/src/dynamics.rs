//! Shaking, counterweights, balance grade and the first torsional frequency.
//!
//! The rotor is rigid. Its unbalance is a sum of vectors over the discs at their real places along the
//! axis, so that it holds for any number of discs. A gyroscopic moment arises only where the whole axis
//! is slewed, which no drive file states, and is left out. Source: Derivation 9.

pub mod balance;
pub mod check;

use crate::kinematics;
use crate::losses::disc_places_mm;
use crate::losses::sweep::TorqueLoads;
use crate::mass::stack_length_mm;
use crate::model::Drive;
use crate::results::{
    BalancePlane, Counterweight, DynamicsResult, LoadCase, MassResult, Pose, Shaking, TwistPoint,
};
use crate::units::rotating_force_n;
use balance::Unbalance;
use curves::math::square;
use curves::point::{Vector, angle_of, unit};
use std::f64::consts::TAU;

/// Dynamics of a drive; `loads` are those at rising torques and `load_cases` the solved ones.
#[must_use]
pub fn dynamics(
    drive: &Drive,
    mass: MassResult,
    loads: &[TorqueLoads],
    load_cases: &[LoadCase],
) -> DynamicsResult {
    let fastest = drive.requirement.max_input_speed_rad_per_s;
    let unbalanced = Unbalance::of_discs(&disc_places_mm(drive), mass.disc_unbalance_kg_mm);
    let counterweights = counterweights(drive, &unbalanced);
    let residual = counterweights.iter().fold(unbalanced, |sum, weight| {
        sum.with(weight.place_mm, weight.made_unbalance_kg_mm, weight.angle_rad)
    });
    let permissible = balance::permissible_unbalance_kg_mm(
        drive.dynamics.balance_grade_mm_per_s,
        mass.rotor_mass_kg,
        fastest,
    );
    let inertia_n = rotating_force_n(mass.carried_mass_kg, drive.geometry.eccentricity_mm, fastest);
    let rated = load_cases.first().map(|case| case.extremes.bearing_force.value);
    let stiffness = secant_stiffness_n_mm_per_rad(drive, loads);
    let frequency = stiffness.and_then(|stiffness| torsional_frequencies_per_s(drive, &mass, stiffness));
    DynamicsResult {
        disc_inertia_force_n: inertia_n,
        disc_inertia_share: rated.map(|force| inertia_n / force),
        unbalanced: shaking(&unbalanced, fastest),
        balanced: shaking(&residual, fastest),
        counterweights,
        permissible_unbalance_kg_mm: permissible,
        balance_planes: balance_planes(drive, &residual, permissible),
        torque_twist: loads
            .iter()
            .map(|loads| TwistPoint {
                output_torque_n_mm: loads.output_torque_n_mm,
                windup_rad: loads.mean_windup_rad,
            })
            .collect(),
        secant_stiffness_n_mm_per_rad: stiffness,
        torsional_frequency_per_s: frequency.map(|(held, _)| held),
        free_torsional_frequency_per_s: frequency.map(|(_, free)| free),
        assumptions: assumptions(drive),
        mass,
    }
}

/// Force between a disc and its eccentric bearing at one crank angle, with the disc's centrifugal force.
///
/// ```text
/// F_b = F_b,static − m e ω² u(φ_k)      on the disc
/// ```
/// The disc's centre circles at e with the crank, so the bearing must also pull it inwards.
///
/// **Source** Derivation 9, §6.
#[must_use]
pub fn bearing_force_with_inertia_n(pose: &Pose, disc: usize, inertia_force_n: f64) -> f64 {
    let [x, y] = pose.discs[disc].bearing_force_n;
    let phase = pose.crank_angle_rad + TAU * disc as f64 / pose.discs.len() as f64;
    (Vector::new(x, y) - unit(phase) * inertia_force_n).norm()
}

fn shaking(unbalance: &Unbalance, speed_rad_per_s: f64) -> Shaking {
    Shaking {
        unbalance_kg_mm: unbalance.force_kg_mm.norm(),
        couple_unbalance_kg_mm2: unbalance.couple_kg_mm2.norm(),
        shaking_force_n: rotating_force_n(1.0, unbalance.force_kg_mm.norm(), speed_rad_per_s),
        shaking_couple_n_mm: rotating_force_n(1.0, unbalance.couple_kg_mm2.norm(), speed_rad_per_s),
    }
}

/// Counterweights in the planes that the drive file names, and as they are made where it says so.
fn counterweights(drive: &Drive, unbalance: &Unbalance) -> Vec<Counterweight> {
    let keys = &drive.dynamics;
    let planes = [
        (keys.counterweight_plane_1_mm, keys.counterweight_1_kg_mm),
        (keys.counterweight_plane_2_mm, keys.counterweight_2_kg_mm),
    ];
    let planes: Vec<(f64, Option<f64>)> =
        planes.into_iter().filter_map(|(place, made)| Some((place?, made))).collect();
    let places: Vec<f64> = planes.iter().map(|(place, _)| *place).collect();
    unbalance
        .counterweights_kg_mm(&places)
        .into_iter()
        .zip(planes)
        .map(|(vector, (place_mm, made))| Counterweight {
            place_mm,
            unbalance_kg_mm: vector.norm(),
            made_unbalance_kg_mm: made.unwrap_or_else(|| vector.norm()),
            angle_rad: if vector.norm() > 0.0 { angle_of(vector) } else { 0.0 },
        })
        .collect()
}

/// Planes in which the residual is judged: those of the crank's bearings, or the faces of the outer discs.
fn balance_planes(drive: &Drive, residual: &Unbalance, permissible: f64) -> Vec<BalancePlane> {
    let keys = &drive.dynamics;
    let half = 0.5 * stack_length_mm(drive);
    let planes = keys
        .input_bearing_plane_1_mm
        .zip(keys.input_bearing_plane_2_mm)
        .filter(|(first, second)| first != second)
        .unwrap_or((-half, half));
    let (first, second) = residual.in_planes_kg_mm(planes);
    let (first_share, second_share) = balance::plane_shares(planes, 0.0);
    [(planes.0, first, first_share), (planes.1, second, second_share)]
        .map(|(place_mm, vector, share)| BalancePlane {
            place_mm,
            unbalance_kg_mm: vector.norm(),
            permissible_unbalance_kg_mm: share * permissible,
        })
        .to_vec()
}

/// Slope of torque over mean elastic wind-up between half and full rated torque; `None` where either is not solved.
///
/// **Source** the trade's convention for torsional stiffness, `[common-practice]`.
#[must_use]
pub fn secant_stiffness_n_mm_per_rad(drive: &Drive, loads: &[TorqueLoads]) -> Option<f64> {
    let rated = drive.requirement.rated_torque_n_mm;
    let at = |torque: f64| loads.iter().find(|loads| loads.output_torque_n_mm == torque);
    let (half, full) = (at(0.5 * rated)?, at(rated)?);
    let twist = full.mean_windup_rad - half.mean_windup_rad;
    (twist > 0.0).then(|| 0.5 * rated / twist)
}

/// Frequencies of the load on the drive's stiffness, crank held and crank free.
///
/// ```text
/// held  f = sqrt(k/J)/2π        free  f = sqrt(k (1/J + 1/(J_1 i²)))/2π
/// ```
/// J holds the load and the known output parts, J_1 everything on the crank's side with the motor.
fn torsional_frequencies_per_s(drive: &Drive, mass: &MassResult, stiffness: f64) -> Option<(f64, f64)> {
    let load = drive.requirement.load_inertia_kg_mm2.filter(|load| *load > 0.0)? + mass.output_inertia_kg_mm2;
    let crank = mass.disc_inertia_kg_mm2 + mass.crank_inertia_kg_mm2 + drive.dynamics.motor_inertia_kg_mm2;
    let crank = crank * square(kinematics::ratio(&drive.geometry));
    let held = torsional_frequency_per_s(stiffness, load);
    Some((held, torsional_frequency_per_s(stiffness, load * crank / (load + crank))))
}

/// Frequency of an inertia on a torsion spring, `sqrt(k/J)/2π`; N·mm are 1000 kg·mm²/s².
///
/// **Source** the linear oscillator; Derivation 9, §5.
#[must_use]
pub fn torsional_frequency_per_s(stiffness_n_mm_per_rad: f64, inertia_kg_mm2: f64) -> f64 {
    (1e3 * stiffness_n_mm_per_rad / inertia_kg_mm2).sqrt() / TAU
}

fn assumptions(drive: &Drive) -> Vec<String> {
    let mut all = vec![
        "The rotor is rigid and turns at constant speed; weight is left out.".to_owned(),
        "Shaking counts discs, eccentric bearings and eccentrics as far as they are known; the rest of the crank is taken as true to its axis.".to_owned(),
        "Torsional stiffness is that of what the load model lets give way and of what [stiffness] states; the rest makes it lower.".to_owned(),
        "Gyroscopic moments arise only where the whole axis is slewed and are left out.".to_owned(),
    ];
    let keys = &drive.dynamics;
    if keys.counterweight_plane_1_mm.is_none() && keys.counterweight_plane_2_mm.is_none() {
        all.push("No counterweights: the drive file names no plane for them.".to_owned());
    }
    if keys.input_bearing_plane_1_mm.zip(keys.input_bearing_plane_2_mm).is_none() {
        all.push("The balance is judged at the faces of the outer discs, as the places of the crank's bearings are not given.".to_owned());
    }
    all
}
