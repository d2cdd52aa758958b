//! The torque–twist loop with friction: its limits, its growth with friction, and the work that it takes.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

use proptest::prelude::*;
use reducer::accuracy::hysteresis::reading::Branches;
use reducer::accuracy::hysteresis::{HysteresisError, hysteresis};
use reducer::assess::model_of;
use reducer::loads::play::play;
use reducer::loads::pose_at;
use reducer::mass::masses;
use reducer::model::{BearingModel, ContactLaw, DiscModel, Drive, GapModel, HeldMember};
use reducer::results::{HysteresisResult, LoopReading, Pose};
use reducer::watch::to_the_end;

const EXAMPLES: [&str; 4] =
    ["orchard-arm-shoulder", "sorting-table-index", "sluice-gate-lift", "wrist-printed"];

fn example(name: &str) -> Drive {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive
}

fn of(drive: &Drive) -> Result<HysteresisResult, HysteresisError> {
    let (model, materials) = model_of(drive).unwrap();
    hysteresis(drive, &model, &materials, &masses(drive, &materials), &to_the_end)
}

/// The drive without any friction; a held load needs none.
fn frictionless(mut drive: Drive) -> Drive {
    let losses = &mut drive.losses;
    for coefficient in [
        &mut losses.roller_friction,
        &mut losses.roller_support_friction,
        &mut losses.pin_friction,
        &mut losses.sleeve_friction,
        &mut losses.eccentric_f0,
        &mut losses.eccentric_f1,
        &mut losses.output_f0,
        &mut losses.output_f1,
    ] {
        *coefficient = Some(0.0);
    }
    losses.output_seal_torque_n_mm = 0.0;
    drive
}

/// A drive with springs of one stiffness for contacts, without gaps: its twist is proportional to the torque.
fn linear(held_member: HeldMember) -> Drive {
    let mut drive = frictionless(example("sorting-table-index"));
    drive.geometry.held_member = held_member;
    drive.model.contact_law = ContactLaw::Linear;
    drive.model.roller_stiffness_n_per_mm = Some(2e5);
    drive.model.pin_stiffness_n_per_mm = Some(3e5);
    drive.model.disc = DiscModel::Rigid;
    drive.model.eccentric_bearing = BearingModel::Rigid;
    drive.geometry.modification.equidistant_offset_mm = 0.0;
    drive.geometry.modification.ring_radius_shift_mm = 0.0;
    drive.geometry.modification.flank_rotation_rad = 0.0;
    drive.geometry.hole_clearance_mm = 0.0;
    let requirement = &mut drive.requirement;
    for temperature in [&mut requirement.ring_temperature_k, &mut requirement.disc_temperature_k] {
        *temperature = 293.15;
    }
    drive
}

fn readings(result: &HysteresisResult) -> impl Iterator<Item = LoopReading> + '_ {
    result.readings.iter().map(|at| at.reading)
}

/// Width of the loop that is shown, at a share of the rated torque.
fn width_rad(drive: &Drive, result: &HysteresisResult, share: f64) -> f64 {
    let branches = Branches::of(&result.shown.points).unwrap();
    let [falling, rising] = branches.twists_rad(share * drive.requirement.rated_torque_n_mm).unwrap();
    falling - rising
}

/// Without friction the loop closes to a line: its lost motion is that of the load model, its width the play, and it takes no work.
#[test]
fn identity_without_friction_the_loop_is_the_frictionless_line() {
    for name in EXAMPLES {
        for held_member in [HeldMember::Ring, HeldMember::Plate] {
            for gaps in [GapModel::Linear, GapModel::ReEvaluated] {
                let mut drive = frictionless(example(name));
                drive.geometry.held_member = held_member;
                drive.model.gaps = gaps;
                drive.model.disc = DiscModel::Rigid;
                let (model, materials) = model_of(&drive).unwrap();
                let plain = play(&drive, &model, &materials).unwrap();
                let result = of(&drive).unwrap();
                let error = result.lost_motion.value / plain.lost_motion.value - 1.0;
                assert!(error.abs() < 1e-9, "{name} {held_member:?} {gaps:?}: {error}");
                assert_eq!(result.output_friction_torque_n_mm, 0.0);
                for at in &result.readings {
                    let width = at.reading.hysteresis_width_rad - at.free_play_rad;
                    assert!(width.abs() < 1e-9 * plain.free_play.value, "{name}: {width}");
                    let work = at.reading.loop_loss_n_mm;
                    let scale = drive.requirement.rated_torque_n_mm * plain.lost_motion.value;
                    assert!(work.abs() < 1e-12 * scale, "{name}: {work}");
                }
            }
        }
    }
}

/// Friction at the output alone, on a linear drive: width 2 T_f/k, stiffness k on the loading branches, work 2 T_f times the travel.
#[test]
fn identity_friction_at_the_output_alone_is_the_play_operator() {
    for held_member in [HeldMember::Ring, HeldMember::Plate] {
        let mut drive = linear(held_member);
        let rated = drive.requirement.rated_torque_n_mm;
        let straight = of(&drive).unwrap();
        drive.losses.output_seal_torque_n_mm = 0.02 * rated;
        let result = of(&drive).unwrap();
        let friction = result.output_friction_torque_n_mm;
        assert!((friction / (0.02 * rated * drive.losses.static_friction_ratio) - 1.0).abs() < 1e-12);
        for (own, at) in readings(&straight).zip(readings(&result)) {
            let stiffness = own.mid_line_stiffness_n_mm_per_rad.unwrap();
            let loading = at.loading_stiffness_n_mm_per_rad.unwrap();
            assert!((loading / stiffness - 1.0).abs() < 1e-9, "{loading} {stiffness}");
            assert!((at.hysteresis_width_rad * stiffness / (2.0 * friction) - 1.0).abs() < 1e-9);
            assert!((at.lost_motion_rad / own.lost_motion_rad - 1.0).abs() < 1e-9);
            // The mid-line ends in the tip of the loop, which lags by T_f/k.
            let tip = 0.5 * rated / (0.5 * rated / stiffness - friction / stiffness);
            assert!((at.mid_line_stiffness_n_mm_per_rad.unwrap() / tip - 1.0).abs() < 1e-9);
            let travel = 2.0 * (rated - friction) / stiffness;
            assert!((at.loop_loss_n_mm / (2.0 * friction * travel) - 1.0).abs() < 1e-9);
        }
    }
}

/// Small friction of one kind opens the loop in proportion to its coefficient.
#[test]
fn identity_the_width_grows_with_the_coefficient() {
    let kinds: [fn(&mut Drive, f64); 3] = [
        |drive, value| drive.losses.roller_friction = Some(value),
        |drive, value| drive.losses.pin_friction = Some(value),
        |drive, value| drive.losses.eccentric_f1 = Some(0.02 * value),
    ];
    for held_member in [HeldMember::Ring, HeldMember::Plate] {
        for (index, kind) in kinds.iter().enumerate() {
            let width = |coefficient: f64| {
                let mut drive = frictionless(example("sorting-table-index"));
                drive.geometry.held_member = held_member;
                drive.losses.roller_support_friction = Some(1.0);
                drive.losses.static_friction_ratio = 1.0;
                drive.model.disc = DiscModel::Rigid;
                kind(&mut drive, coefficient);
                let result = of(&drive).unwrap();
                assert!(readings(&result).all(|reading| reading.loop_loss_n_mm > 0.0));
                width_rad(&drive, &result, 0.5)
            };
            let (small, double) = (width(1e-3), width(2e-3));
            assert!((double / small - 2.0).abs() < 0.02, "{held_member:?} {index}: {small} {double}");
        }
    }
}

/// With the ring held the disc turns about the crank by what the mesh gives, with the plate held by what the pins give: so does the
/// friction of the eccentric bearing, whose work stands as those shares of the wind-up, and as the square of the torque on the plate.
#[test]
fn identity_friction_of_the_eccentric_bearing_follows_what_turns_about_the_crank() {
    let loss = |held_member: HeldMember| {
        let mut drive = linear(held_member);
        drive.losses.eccentric_f1 = Some(1e-5);
        of(&drive).unwrap().readings[0].reading.loop_loss_n_mm
    };
    let drive = linear(HeldMember::Ring);
    let (model, materials) = model_of(&drive).unwrap();
    let pose = pose_at(&drive, &model, &materials, drive.requirement.rated_torque_n_mm, 0.0).unwrap();
    let split = pose.windup_split;
    let rollers = drive.geometry.ring_roller_count as f64;
    let plate_torque_ratio = (rollers - 1.0) / rollers;
    let expected = plate_torque_ratio * plate_torque_ratio * split.output_pin_contacts_rad
        / split.ring_roller_contacts_rad;
    let found = loss(HeldMember::Plate) / loss(HeldMember::Ring);
    assert!((found / expected - 1.0).abs() < 1e-3, "{found} {expected}");
}

/// Σ N |s| of a solved crank angle zero over rollers and over pins: normal force times the way that each contact slides, from the displacements.
fn sliding_work_n_mm(drive: &Drive, pose: &Pose) -> [f64; 2] {
    let geometry = &drive.geometry;
    let (rollers, lobes) = (geometry.ring_roller_count as f64, geometry.ring_roller_count as f64 - 1.0);
    let is_plate_held = geometry.held_member == HeldMember::Plate;
    let plate = pose.plate_rotation_rad * if is_plate_held { -rollers / lobes } else { 1.0 };
    // Seen from the ring, the crank turns along with a held plate, and the ideal mesh with it.
    let crank = if is_plate_held { plate * lobes / rollers } else { 0.0 };
    let disc = &pose.discs[0];
    let turn = disc.rotation_rad - crank / lobes;
    let [u, v] = disc.displacement_mm;
    let shift = [u, v + geometry.eccentricity_mm * crank];
    let centre = [geometry.eccentricity_mm, 0.0];
    let way = |place: [f64; 2], normal: [f64; 2], plate: f64| {
        let arm = [place[0] - centre[0], place[1] - centre[1]];
        let moved =
            [shift[0] - turn * arm[1] + plate * place[1], shift[1] + turn * arm[0] - plate * place[0]];
        (moved[1] * normal[0] - moved[0] * normal[1]).abs()
    };
    let places = disc.ring_roller_contact_mm.iter().zip(&disc.ring_roller_normal);
    let of_rollers = places
        .zip(&disc.ring_roller_force_n)
        .map(|((place, normal), force)| force * way(*place, *normal, 0.0))
        .sum();
    let of_pins = disc.output_pin_direction.iter().zip(&disc.output_pin_force_n).enumerate().map(
        |(pin, (direction, force))| {
            let angle =
                geometry.hole_phase_rad + std::f64::consts::TAU * pin as f64 / geometry.pin_count as f64;
            let (sine, cosine) = curves::math::sin_cos(angle);
            let radius = geometry.pin_circle_radius_mm;
            let outside = reducer::part::pin_outside_radius_mm(drive);
            let place = [radius * cosine + outside * direction[0], radius * sine + outside * direction[1]];
            force * way(place, *direction, plate - crank / lobes)
        },
    );
    [of_rollers, of_pins.sum()]
}

/// On a linear drive forces and ways grow with the torque, so a loop takes µ N s from each contact at the rated torque either way.
#[test]
fn identity_the_loop_takes_the_work_of_sliding() {
    for held_member in [HeldMember::Ring, HeldMember::Plate] {
        let drive = linear(held_member);
        let (model, materials) = model_of(&drive).unwrap();
        let rated = drive.requirement.rated_torque_n_mm;
        let poses = [rated, -rated].map(|torque| pose_at(&drive, &model, &materials, torque, 0.0).unwrap());
        for kind in 0..2 {
            let friction = 1e-5;
            let mut drive = drive.clone();
            drive.losses.static_friction_ratio = 1.0;
            drive.losses.roller_support_friction = Some(1.0);
            let coefficients = [&mut drive.losses.roller_friction, &mut drive.losses.pin_friction];
            *coefficients.into_iter().nth(kind).unwrap() = Some(friction);
            let expected: f64 =
                poses.iter().map(|pose| friction * sliding_work_n_mm(&drive, pose)[kind]).sum();
            let found = of(&drive).unwrap().readings[0].reading.loop_loss_n_mm;
            assert!((found / expected - 1.0).abs() < 1e-3, "{held_member:?} {kind}: {found} {expected}");
        }
    }
}

/// Examples: friction takes work at every crank angle, and the mid-line hardly moves while friction at the output is small.
#[test]
fn identity_friction_takes_work_and_leaves_the_mid_line() {
    for name in EXAMPLES {
        let drive = example(name);
        let (model, materials) = model_of(&drive).unwrap();
        let plain = play(&drive, &model, &materials).unwrap();
        let result = of(&drive).unwrap();
        let shift = result.lost_motion.value / plain.lost_motion.value - 1.0;
        println!(
            "{name}: T_f {:.1} N·mm, width {:.5e}, lost motion {:.5e} with, {:.5e} without friction, play {:.5e}",
            result.output_friction_torque_n_mm,
            result.hysteresis_width.value,
            result.lost_motion.value,
            plain.lost_motion.value,
            plain.free_play.value
        );
        assert!(shift.abs() < 0.01, "{name}: {shift}");
        assert!(readings(&result).all(|reading| reading.loop_loss_n_mm > 0.0));
        assert!(readings(&result).all(|reading| reading.hysteresis_width_rad > 0.0));
        assert!(result.readings.len() >= 12);
    }
}

/// A printed wrist whose eccentric bearing or pins rub far more than any should.
fn rough_wrist(pin_friction: f64, eccentric_f1: f64) -> Drive {
    let mut drive = example("wrist-printed");
    drive.model.disc = DiscModel::Rigid;
    drive.geometry.hole_clearance_mm = -0.02;
    drive.losses.roller_friction = Some(0.0);
    drive.losses.pin_friction = Some(pin_friction);
    drive.losses.eccentric_f1 = Some(eccentric_f1);
    drive.losses.static_friction_ratio = 3.0;
    drive
}

/// Locked is said only of friction that feeds itself: more and more of it first opens the loop, then locks the mesh, and stays so.
#[test]
fn identity_friction_that_feeds_itself_locks_the_mesh() {
    let mut last_loss = 0.0;
    let mut is_locked = false;
    for doubling in 0..12 {
        let eccentric_f1 = 1e-3 * curves::math::pow(2.0, f64::from(doubling));
        let mut drive = linear(HeldMember::Ring);
        drive.losses.eccentric_f1 = Some(eccentric_f1);
        match of(&drive) {
            Ok(result) => {
                assert!(!is_locked, "{eccentric_f1}");
                let loss = result.readings[0].reading.loop_loss_n_mm;
                assert!(loss > last_loss, "{eccentric_f1}: {loss}");
                last_loss = loss;
            }
            Err(HysteresisError::Locked { .. }) => is_locked = true,
            Err(other) => panic!("{eccentric_f1}: {other}"),
        }
    }
    assert!(is_locked && last_loss > 0.0);
    let words = of(&rough_wrist(0.0, 0.5)).unwrap_err().to_string();
    assert!(words.starts_with("friction locks the mesh at crank angle 0.0° under −0.5 N·m"), "{words}");
}

/// Forces of pins that press across each other swing without growing: nothing is known then, and the verdict says so.
#[test]
fn identity_a_search_that_does_not_settle_is_not_called_locked() {
    let mut drive = rough_wrist(0.5, 0.0);
    let error = of(&drive).unwrap_err();
    assert!(matches!(error, HysteresisError::Unsettled { .. }), "{error}");
    drive.requirement.lost_motion_rad = Some(0.01);
    let assessment = reducer::assess::assess(&drive).unwrap();
    assert!(assessment.torque_twist_loop.is_none());
    let is_told = |text: &String| text.contains("did not settle");
    assert!(assessment.model.assumptions.iter().any(is_told));
    let finding = assessment.findings.iter().find(|finding| finding.id == "lost-motion").unwrap();
    assert!(format!("{finding:?}").contains("did not settle"), "{finding:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// Whatever the friction, the answer is finite, or says that friction locks the mesh or that the search did not settle.
    #[test]
    fn identity_any_friction_has_an_answer(
        roller in 0.0..1.5_f64, support in 0.0..1.5_f64, pin in 0.0..1.5_f64, ratio in 1.0..10.0_f64, bearing in 0.0..1.0_f64,
        seal_decades in -3.0..9.0_f64, clearance_mm in -0.03..0.03_f64, is_plate_held in any::<bool>(),
    ) {
        let mut drive = example("wrist-printed");
        drive.model.disc = DiscModel::Rigid;
        if is_plate_held {
            drive.geometry.held_member = HeldMember::Plate;
        }
        drive.geometry.hole_clearance_mm = clearance_mm;
        drive.losses.roller_friction = Some(roller);
        drive.losses.roller_support_friction = Some(support);
        drive.losses.pin_friction = Some(pin);
        drive.losses.static_friction_ratio = ratio;
        drive.losses.eccentric_f1 = Some(bearing);
        drive.losses.output_seal_torque_n_mm = curves::math::pow(10.0, seal_decades);
        match of(&drive) {
            Ok(result) => {
                for reading in readings(&result) {
                    let numbers = [reading.hysteresis_width_rad, reading.lost_motion_rad, reading.loop_loss_n_mm];
                    prop_assert!(numbers.iter().all(|number| number.is_finite()), "{reading:?}");
                    prop_assert!(reading.loop_loss_n_mm >= -1e-9, "{reading:?}");
                }
            }
            Err(HysteresisError::Locked { .. } | HysteresisError::Unsettled { .. }) => {}
            Err(other) => prop_assert!(false, "{other}"),
        }
    }
}
