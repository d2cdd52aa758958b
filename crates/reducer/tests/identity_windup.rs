//! The wind-up and its sources: shares add up, gaps that close are counted, parts around the mesh give what statics says.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on must stop")]

mod random_drives;

use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use random_drives::drives;
use reducer::assess::model_of;
use reducer::contact::solve::Unloaded;
use reducer::contact::support::{BearingLaw, CentreSupport, RollerBearing};
use reducer::contact::windup::mesh_shares;
use reducer::contact::{ContactModel, LoadedPosition, Position};
use reducer::line_contact::LineContact;
use reducer::loads::pose_at;
use reducer::model::{BearingModel, Drive, HeldMember};
use reducer::results::{Pose, WindupSplit};

const TORQUE_N_MM: f64 = 3e5;

fn shares(model: &ContactModel, position: Position) -> (WindupSplit, LoadedPosition, Position, Unloaded) {
    let (position, free) = model.at_rest(position, TORQUE_N_MM, None).unwrap();
    let loaded = model.solve(&position, TORQUE_N_MM, None).unwrap();
    let windup = loaded.displacements.plate_rad - free.plate_rad;
    (mesh_shares(&position, &loaded, &free, TORQUE_N_MM, windup), loaded, position, free)
}

fn with_random_support(model: ContactModel, index: usize) -> ContactModel {
    let law = LineContact::palmgren(12.0);
    let play_mm = 0.001 * (index % 17) as f64;
    let bearing = match index % 4 {
        0 => BearingLaw::Rigid,
        1 => BearingLaw::Spring { stiffness_n_per_mm: 2e5, play_mm },
        _ => BearingLaw::Rollers(RollerBearing {
            element_count: 9 + index % 8,
            row_count: 1,
            contact: law.between_races(1),
            race_depth_mm: 3.0,
            play_mm,
            diameter_ratio: 0.15,
            cage_phase_rad: 0.1,
        }),
    };
    let crank_compliance_mm_per_n = if index.is_multiple_of(3) { 2e-6 } else { 0.0 };
    ContactModel { support: CentreSupport { bearing, crank_compliance_mm_per_n }, ..model }
}

/// With linear gaps, what closing gaps add is Σ F s/T, with s the free distance of each contact in the unloaded position.
#[test]
fn identity_gaps_that_close_are_what_the_other_sources_leave() {
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[5; 32]);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    for index in 0..400 {
        let model = with_random_support(drives().new_tree(&mut runner).unwrap().current(), index);
        let position = model.position(0.3 * index as f64, 1.0);
        let (split, loaded, position, free) = shares(&model, position);
        let windup = loaded.displacements.plate_rad - free.plate_rad;
        assert!((split.total_rad() - windup).abs() <= 1e-12 * windup.abs());
        for (source, share) in split.shares_rad() {
            assert!(share >= -1e-6 * windup, "drive {index}: {source} {share} of {windup}");
        }
        if position.is_preloaded {
            continue;
        }
        let work = work_of_closing(&model, &position, &loaded, &free);
        let miss = (work / TORQUE_N_MM - split.closing_gaps_rad).abs();
        // A vanishing torque of a millionth stands for none.
        assert!(miss < 1e-5 * windup, "drive {index}: {miss:e} of {windup:e}, {split:?}");
    }
}

/// Σ F s over all contacts and bearings, s the distance that each had to go without load.
fn work_of_closing(
    model: &ContactModel,
    position: &Position,
    loaded: &LoadedPosition,
    free: &Unloaded,
) -> f64 {
    let mut work = 0.0;
    for (disc, contacts) in position.contacts.iter().enumerate() {
        let place = free.at.as_ref().map_or_else(
            || nalgebra::Vector3::new(0.0, 0.0, position.touch.disc_rad[disc]),
            |at| at.displacements.discs[disc],
        );
        let forces = &loaded.forces[disc];
        let all = forces.roller_n.iter().chain(&forces.pin_n);
        for (contact, force) in contacts.contacts.iter().zip(all) {
            work -= force * contact.approach_mm(&place, free.plate_rad).min(0.0);
        }
        let inside = contacts.centre.in_bearing_mm(place.xy());
        match model.support.bearing {
            BearingLaw::Rigid => {}
            BearingLaw::Spring { play_mm, .. } => {
                work += forces.bearing_n.norm() * play_mm + forces.bearing_n.dot(&inside);
            }
            BearingLaw::Rollers(rollers) => {
                for (direction, force) in contacts.centre.directions.iter().zip(&forces.bore_n) {
                    work += force * (rollers.play_mm + direction.dot(&inside)).max(0.0);
                }
            }
        }
    }
    work
}

fn shoulder() -> Drive {
    let path = format!("{}/../../examples/orchard-arm-shoulder.toml", env!("CARGO_MANIFEST_DIR"));
    schema::read("orchard-arm-shoulder", &std::fs::read(path).unwrap()).unwrap().drive
}

fn pose(drive: &Drive) -> Pose {
    let (model, materials) = model_of(drive).unwrap();
    pose_at(drive, &model, &materials, drive.requirement.rated_torque_n_mm, 0.4).unwrap()
}

/// Ring held: carrier T/c, ring (T z_r/z_l)²/(c T), crank (T/z_l)²/(c T) to within what gaps make of the lever arms.
#[test]
fn identity_parts_around_the_mesh_give_what_statics_says() {
    let mut drive = shoulder();
    let mesh = pose(&drive);
    assert_eq!(mesh.windup_split.outside_rad(), 0.0);
    drive.stiffness.carrier_n_mm_per_rad = Some(5e8);
    drive.stiffness.ring_n_mm_per_rad = Some(9e8);
    drive.stiffness.crank_torsion_n_mm_per_rad = Some(4e6);
    let torque = drive.requirement.rated_torque_n_mm;
    let (rollers, lobes) = (40.0, 39.0);
    let split = pose(&drive).windup_split;
    let holding = pose(&drive).holding_torque_n_mm;
    assert!((split.carrier_rad - torque / 5e8).abs() < 1e-12);
    let on_ring = torque + holding;
    assert!((split.ring_and_housing_rad - on_ring * on_ring / torque / 9e8).abs() < 1e-12);
    assert!((on_ring / (torque * rollers / lobes) - 1.0).abs() < 0.01, "{on_ring}");
    assert!((split.crank_torsion_rad / (torque / lobes / lobes / 4e6) - 1.0).abs() < 0.1);
    let whole = pose(&drive);
    let windup = |pose: &Pose| pose.plate_rotation_rad - pose.unloaded_plate_rotation_rad;
    assert!((windup(&whole) - windup(&mesh) - split.outside_rad()).abs() < 1e-15);
    assert!((windup(&whole) - split.total_rad()).abs() < 1e-15);

    drive.geometry.held_member = HeldMember::Plate;
    let split = pose(&drive).windup_split;
    let on_plate = torque * lobes / rollers;
    assert!((split.carrier_rad - on_plate * on_plate / torque / 5e8).abs() < 1e-12);
    assert!((split.ring_and_housing_rad / (torque / 9e8) - 1.0).abs() < 0.01);
}

/// A crank that yields radially is a spring behind a rigid bearing, wherever it is stated.
#[test]
fn identity_crank_behind_a_rigid_bearing_is_a_spring() {
    let mut drive = shoulder();
    // In the bore of an elastic disc a bearing's stiffness is spread over pads that only push.
    drive.model.disc = reducer::model::DiscModel::Rigid;
    drive.stiffness.crank_support_n_per_mm = Some(2e5);
    drive.model.eccentric_bearing = BearingModel::Rigid;
    let by_crank = pose(&drive);
    drive.stiffness.crank_support_n_per_mm = None;
    drive.model.eccentric_bearing = BearingModel::Stiffness;
    drive.bearings.eccentric.stiffness_n_per_mm = Some(2e5);
    drive.bearings.eccentric.radial_clearance_mm = 0.0;
    let by_bearing = pose(&drive);
    assert!((by_crank.plate_rotation_rad / by_bearing.plate_rotation_rad - 1.0).abs() < 1e-10);
    let (crank, bearing) =
        (by_crank.windup_split.crank_support_rad, by_bearing.windup_split.eccentric_bearings_rad);
    assert!(crank > 0.0 && (crank / bearing - 1.0).abs() < 1e-9, "{crank} {bearing}");
}

/// Elastic discs: shares add up there too, bodies and bearing among them.
#[test]
fn identity_shares_of_elastic_discs_add_up() {
    let mut drive = shoulder();
    drive.model.disc = reducer::model::DiscModel::Elastic;
    for (bearing, crank) in
        [(BearingModel::Rigid, None), (BearingModel::Rollers, None), (BearingModel::Rollers, Some(3e5))]
    {
        drive.model.eccentric_bearing = bearing;
        drive.stiffness.crank_support_n_per_mm = crank;
        let pose = pose(&drive);
        let split = pose.windup_split;
        let windup = pose.plate_rotation_rad - pose.unloaded_plate_rotation_rad;
        println!("{bearing:?} {crank:?} {windup:e} {split:?}");
        assert!((split.total_rad() / windup - 1.0).abs() < 1e-12);
        assert!(split.bodies_rad > 0.05 * windup);
        assert!(split.shares_rad().iter().all(|(_, share)| *share >= -1e-3 * windup), "{split:?}");
        assert_eq!(split.eccentric_bearings_rad > 0.0, bearing == BearingModel::Rollers);
        assert_eq!(split.crank_support_rad > 0.0, crank.is_some());
    }
}
