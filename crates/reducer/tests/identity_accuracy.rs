//! Accuracy over an output turn: against the play of the load model, closed forms of single deviations, and an independent spectrum.
#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not there")]

use reducer::accuracy::spectrum::amplitudes;
use reducer::accuracy::turn::turn;
use reducer::assembly::random::Sampling;
use reducer::assembly::study::{Request, Study};
use reducer::contact::build::{ContactMaterials, contact_model};
use reducer::contact::flank::{LOST_MOTION_SHARE, LightGive};
use reducer::contact::support::CentreSupport;
use reducer::contact::{ContactModel, RollerLaw};
use reducer::deviation::Deviations;
use reducer::line_contact::LineContact;
use reducer::model::{Drive, HeldMember};
use reducer::profile::{LobeProfile, Trochoid};
use reducer::thermal::Expansion;
use serde_json::Value;
use std::f64::consts::TAU;
use std::path::Path;
use std::sync::Arc;

fn example(name: &str) -> Drive {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive
}

fn drawn(drive: &Drive) -> ContactModel {
    contact_model(drive, &ContactMaterials::of(drive).unwrap(), Expansion::NONE)
}

/// A drive of one disc whose holes leave its pins so much room that every deviation of a pin or hole shows alone.
fn one_disc() -> Drive {
    let mut drive = example("sorting-table-index.toml");
    drive.geometry.modification.equidistant_offset_mm = 0.02;
    drive
}

fn with(drive: &Drive, model: &ContactModel, change: impl Fn(&mut Deviations)) -> ContactModel {
    let geometry = &drive.geometry;
    let mut made = Deviations::none(geometry.ring_roller_count, geometry.pin_count, geometry.disc_count);
    change(&mut made);
    ContactModel { deviations: Some(Arc::new(made)), ..model.clone() }
}

#[test]
fn identity_parts_without_deviations_are_parts_as_drawn() {
    let drive = one_disc();
    let model = drawn(&drive);
    let (nominal, made) = (turn(&drive, &model), turn(&drive, &with(&drive, &model, |_| {})));
    for (a, b) in nominal.ahead_rad.iter().zip(&made.ahead_rad) {
        assert!((a - b).abs() < 1e-11, "{a} {b}");
    }
    assert!((nominal.greatest_backlash.backlash_rad - made.greatest_backlash.backlash_rad).abs() < 1e-11);
}

#[test]
fn identity_play_is_that_of_the_load_model() {
    let drive = one_disc();
    let model = drawn(&drive);
    let result = turn(&drive, &model);
    let step = TAU * 19.0 / result.position_count as f64;
    for position in (0..result.position_count).step_by(97) {
        let angle = step * position as f64;
        let (ahead, behind) = (model.touch(angle, 1.0).plate_rad, model.touch(angle, -1.0).plate_rad);
        assert!((result.ahead_rad[position] - ahead).abs() < 1e-10);
        assert!((result.behind_rad[position] - behind).abs() < 1e-10);
    }
}

/// All holes of a disc further round by δ: the plate stands δ/R_w back, both ways, and no error comes of it.
#[test]
fn identity_holes_further_round_only_turn_the_output() {
    let drive = one_disc();
    let model = drawn(&drive);
    let delta_mm = 0.01;
    let made = with(&drive, &model, |made| {
        made.discs[0].holes.iter_mut().for_each(|hole| hole.tangential_mm = delta_mm);
    });
    let (nominal, made) = (turn(&drive, &model), turn(&drive, &made));
    let expected = delta_mm / drive.geometry.pin_circle_radius_mm;
    for (a, b) in nominal.ahead_rad.iter().zip(&made.ahead_rad) {
        assert!((b - a - expected).abs() < 2e-3 * expected, "{} {expected}", b - a);
    }
}

/// Rollers, lobes and pins larger and smaller by the same: closed forms of the play.
///
/// A surplus h all round takes 2 h/(e z_l), pins larger by δ take 2 δ/R_w of the play.
#[test]
fn identity_sizes_take_their_part_of_the_play() {
    let drive = one_disc();
    let model = drawn(&drive);
    let change = 0.003;
    let nominal = turn(&drive, &model).mean_backlash_rad;
    let of = |change: &dyn Fn(&mut Deviations)| {
        nominal - turn(&drive, &with(&drive, &model, change)).mean_backlash_rad
    };
    let lever = model.lever_scale_mm();
    let lobes = of(&|made| made.discs[0].surplus_mm = change);
    let rollers = of(&|made| made.rollers.iter_mut().for_each(|roller| roller.radius_mm = change));
    let pins = of(&|made| made.pins.iter_mut().for_each(|pin| pin.radius_mm = change));
    let on_flank = 2.0 * change / lever;
    assert!((lobes / on_flank - 1.0).abs() < 0.01, "{lobes} {on_flank}");
    assert!((rollers / on_flank - 1.0).abs() < 0.01, "{rollers} {on_flank}");
    let on_pins = 2.0 * change / model.pin_circle_radius_mm;
    // Between two pins the stop is a little further round than R_w.
    assert!((pins / on_pins - 1.0).abs() < 0.05, "{pins} {on_pins}");
}

/// A lobe that is off its place shows with the crank in the disc; a ring off the axis with the crank in the ring.
#[test]
fn identity_deviations_show_in_the_orders_that_are_named_after_them() {
    let drive = one_disc();
    let model = drawn(&drive);
    let greatest = |change: &dyn Fn(&mut Deviations)| {
        let found = amplitudes(&turn(&drive, &with(&drive, &model, change)).ahead_rad);
        1 + (0..found.len()).max_by(|a, b| found[*a].total_cmp(&found[*b])).unwrap()
    };
    assert_eq!(greatest(&|made| made.ring_shift_mm = [0.004, 0.0]), 19);
    assert_eq!(greatest(&|made| made.discs[0].lobe_shift_mm = [0.004, 0.0]), 20);
    assert_eq!(greatest(&|made| made.plate_shift_mm = [0.004, 0.0]), 20);
}

/// Where an assembled drive's output stands at 200 crank angles: at its forward and backward limits, and as the load model has it under the light torque itself:
/// all contacts that carry then, discs on bearings that give.
struct Stands {
    forward_rad: Vec<f64>,
    backward_rad: Vec<f64>,
    loaded_rad: Vec<f64>,
}

impl Stands {
    /// Assemblies of a shipped example, one after another.
    fn of_example(name: &str) -> impl Iterator<Item = Self> {
        let mut drive = example(name);
        drive.bearings.eccentric.radial_clearance_mm = 0.0;
        let torque_n_mm = LOST_MOTION_SHARE * drive.requirement.rated_torque_n_mm;
        let request = Request {
            assembly_count: 64,
            loaded_count: 0,
            seed: 7,
            sampling: Sampling::Random,
            crank_angle_count: 48,
        };
        let study = Study::new(&drive, request).unwrap();
        let turns = f64::from(u32::try_from(study.model.lobe_count()).unwrap());
        (0..64).map(move |assembly| {
            let made =
                study.plan.slots.deviations(&study.deviations_mm(assembly), drive.geometry.eccentricity_mm);
            let model = ContactModel { deviations: Some(Arc::new(made)), ..study.model.clone() };
            let angles: Vec<f64> = (0..200).map(|step| TAU * turns * f64::from(step) / 200.0).collect();
            let limits = |sense: f64| {
                angles.iter().map(|angle| model.flank_touch(*angle, 0, sense).plate_rad).collect()
            };
            let loaded = |angle: &f64| {
                model.solve(&model.position(*angle, 1.0), torque_n_mm, None).unwrap().displacements.plate_rad
            };
            Self {
                forward_rad: limits(1.0),
                backward_rad: limits(-1.0),
                loaded_rad: angles.iter().map(loaded).collect(),
            }
        })
    }

    fn least_play_rad(&self) -> f64 {
        let play =
            self.forward_rad.iter().zip(&self.backward_rad).map(|(forward, backward)| forward - backward);
        play.fold(f64::INFINITY, f64::min)
    }
}

/// Greatest less least value.
fn spread(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::NEG_INFINITY, f64::max)
        - values.iter().copied().fold(f64::INFINITY, f64::min)
}

/// What parts give is nearly the same all round, so the error under the light torque is that of the limits.
#[test]
fn identity_error_is_that_of_the_load_model_under_a_light_torque() {
    for (assembly, stands) in Stands::of_example("sorting-table-index.toml").take(3).enumerate() {
        let (limits, loaded) = (spread(&stands.forward_rad), spread(&stands.loaded_rad));
        let given: Vec<f64> =
            stands.loaded_rad.iter().zip(&stands.forward_rad).map(|(loaded, limit)| loaded - limit).collect();
        let mean = given.iter().sum::<f64>() / given.len() as f64;
        let apart = given.iter().map(|given| (given - mean).abs()).fold(0.0, f64::max);
        println!("{assembly}: {limits:e} {loaded:e}, at most {apart:e} apart, mean {mean:e}");
        assert!((loaded / limits - 1.0).abs() < 0.06, "{limits:e} {loaded:e}");
        assert!(apart < 0.1 * limits, "{apart:e} {limits:e}");
    }
}

/// Where parts press on each other, several share the light torque, which smooths the error: the limits are on the safe side.
#[test]
fn identity_error_of_parts_that_press_is_on_the_safe_side() {
    let pressing =
        Stands::of_example("orchard-arm-shoulder.toml").filter(|stands| stands.least_play_rad() < 0.0);
    let shares: Vec<f64> =
        pressing.take(6).map(|stands| spread(&stands.loaded_rad) / spread(&stands.forward_rad)).collect();
    println!("error under the light torque for one of the limits: {shares:.3?}");
    assert_eq!(shares.len(), 6);
    assert!(shares.iter().all(|share| (0.4..1.0).contains(share)), "{shares:?}");
}

/// A step of the lever makes no step of the limit: a roller out of place by 10 µm is followed all round.
#[test]
fn identity_limits_have_no_steps() {
    let drive = example("orchard-arm-shoulder.toml");
    let model = with(&drive, &drawn(&drive), |made| {
        made.rollers[0].radial_mm = -0.01;
        made.pins[0].radial_mm = 0.006;
    });
    let at = |angle: f64| [1.0, -1.0].map(|sense| model.flank_touch(angle, 0, sense).plate_rad);
    let steps = |count: u32| {
        // The roller passes the valley and its flank; the first pin passes across the way it is driven.
        let step = 0.3 * TAU / f64::from(count);
        let limits: Vec<_> = (0..count).map(|place| at(f64::from(place) * step - 0.05 * TAU)).collect();
        let largest = |sense: usize| {
            limits.windows(2).map(|pair| (pair[1][sense] - pair[0][sense]).abs()).fold(0.0, f64::max)
        };
        largest(0).max(largest(1))
    };
    let (coarse, fine) = (steps(2_500), steps(10_000));
    assert!(fine < 0.3 * coarse, "{coarse:e} {fine:e}");
}

/// With the plate held the ring is the output: it turns less by z_l/z_r, the other way.
#[test]
fn identity_a_held_plate_turns_the_ring_the_other_way() {
    let mut drive = one_disc();
    let model = drawn(&drive);
    let ring_held = turn(&drive, &model);
    drive.geometry.held_member = HeldMember::Plate;
    let plate_held = turn(&drive, &model);
    for (behind, ahead) in ring_held.behind_rad.iter().zip(&plate_held.ahead_rad) {
        assert!((ahead + behind * 19.0 / 20.0).abs() < 1e-12);
    }
}

/// Twelve rollers of 5 mm on 40 mm, eccentricity 2 mm, rigid and without load.
fn twelve_rollers() -> ContactModel {
    let law = LineContact::linear(1e5);
    ContactModel {
        profile: LobeProfile::new(
            Trochoid { ring_roller_count: 12, ring_radius_mm: 40.0, eccentricity_mm: 2.0 },
            5.0,
            0.0,
        ),
        ring_roller_count: 12,
        ring_radius_mm: 40.0,
        roller_radius_mm: 5.0,
        eccentricity_mm: 2.0,
        disc_count: 1,
        pin_count: 6,
        pin_circle_radius_mm: 20.0,
        pin_phase_rad: 0.0,
        pin_play_radius_mm: 2.0,
        roller_law: RollerLaw::Uniform(law),
        roller_compliance_mm_per_n: vec![0.0],
        pin_laws: vec![law],
        support: CentreSupport::default(),
        re_evaluates_gaps: false,
        compliance: None,
        deviations: None,
        light_give: LightGive::default(),
    }
}

/// Gap of the first roller at an angle from the eccentric, in µm, with a roller out by 10 µm, further round, or a throw longer by as much.
///
/// The values are true distances that another program computed, to three decimals; `validation/README.md` says how such values rank.
#[test]
fn independent_gaps_of_single_deviations() {
    let cases =
        [(60.0, [8.031, 5.962, 1.150]), (90.0, [8.576, 5.148, 5.148]), (120.0, [9.286, 3.715, 7.859])];
    for (angle_deg, expected_um) in cases {
        let crank_rad = -angle_deg / 360.0 * TAU;
        let gap_um = |change: &dyn Fn(&mut Deviations)| {
            let mut made = Deviations::none(12, 6, 1);
            change(&mut made);
            let model = ContactModel { deviations: Some(Arc::new(made)), ..twelve_rollers() };
            // Other rollers touch, so the disc stays in its ideal position.
            1e3 * model.position(crank_rad, 1.0).discs[0].rollers[0].gap_mm
        };
        let found = [
            gap_um(&|made| made.rollers[0].radial_mm = 0.01),
            gap_um(&|made| made.rollers[0].tangential_mm = 0.01),
            gap_um(&|made| made.discs[0].throw_mm = 0.01),
        ];
        for (found, expected) in found.into_iter().zip(expected_um) {
            assert!((found - expected).abs() <= 0.000_501, "{angle_deg}: {found} {expected}");
        }
    }
}

/// The same signal, taken apart by the fast Fourier transform of a general numerical library.
#[test]
fn independent_amplitudes_are_those_of_another_program() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../validation/independent/spectrum.json");
    let data: Value = serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
    let numbers = |key: &str| -> Vec<f64> {
        data[key].as_array().unwrap().iter().map(|number| number.as_f64().unwrap()).collect()
    };
    let (found, expected) = (amplitudes(&numbers("signal")), numbers("amplitudes"));
    assert_eq!(found.len(), expected.len());
    for (order, (a, b)) in found.iter().zip(&expected).enumerate() {
        assert!((a - b).abs() < 1e-13, "order {}: {a} {b}", order + 1);
    }
}
