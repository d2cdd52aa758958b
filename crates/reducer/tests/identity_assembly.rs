//! Assemblies: linear gaps against exact ones, moments against closed forms, and answers that depend on nothing but the seed.
#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not there")]

mod one_by_one;

use curves::math;
use one_by_one::PlainDrive;
use reducer::accuracy::turn::turn;
use reducer::assembly::angles::usual_crank_angle_count;
use reducer::assembly::draw::DrawPlan;
use reducer::assembly::linear::{Growth, LANES, Lane, LinearDrive, Outcome, Places};
use reducer::assembly::proposal::propose;
use reducer::assembly::random::{Sampling, Source};
use reducer::assembly::study::{Request, Study};
use reducer::assembly::summary::{YieldResult, angle_check};
use reducer::assembly::work::{Tallied, Work};
use reducer::contact::ContactModel;
use reducer::contact::build::{ContactMaterials, contact_model};
use reducer::deviation::{Deviations, RoundFeature};
use reducer::model::{
    Alike, DeviationKind, DiscModel, DistributionKind, Drive, ToleranceCallout, Tolerances,
};
use reducer::thermal::Expansion;
use reducer::tolerance::callout::Mistake;
use reducer::tolerance::tolerances;
use reducer::watch::to_the_end;
use std::path::Path;
use std::sync::Arc;

fn example(name: &str) -> Drive {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive
}

fn drawn_model(drive: &Drive) -> ContactModel {
    contact_model(drive, &ContactMaterials::of(drive).unwrap(), Expansion::NONE)
}

/// A drive whose tips and roots have room for all its tolerances.
fn shoulder() -> Drive {
    let mut drive = example("orchard-arm-shoulder.toml");
    drive.geometry.modification.equidistant_offset_mm = 0.012;
    drive.geometry.hole_clearance_mm = 0.03;
    drive
}

fn block(plan: &DrawPlan, source: &Source) -> Vec<Lane> {
    let mut deviations = vec![[0.0; LANES]; plan.slots.count()];
    let mut numbers = vec![0.0; plan.number_count];
    let flat = deviations.as_flattened_mut();
    for lane in 0..LANES {
        source.fill(lane as u64, &mut numbers);
        plan.add(&numbers, flat, LANES, lane);
    }
    deviations
}

/// Rotation of the plate of parts as made, gaps exact.
fn exact_rad(model: &ContactModel, angle_rad: f64, sense: f64) -> f64 {
    let discs = (0..model.disc_count).map(|disc| model.flank_touch(angle_rad, disc, sense));
    sense * discs.map(|touch| sense * touch.plate_rad).fold(f64::INFINITY, f64::min)
}

#[test]
fn identity_linear_rotations_are_those_of_exact_gaps_to_a_hundredth() {
    let drive = shoulder();
    let plan = DrawPlan::new(&drive, &tolerances(&drive).unwrap());
    let model = drawn_model(&drive);
    let largest = vec![0.1; plan.slots.count()];
    let linear = LinearDrive::new(&model, Growth::default(), plan.slots, (24, Places::Close), &largest);
    let angles = linear.crank_angles_rad();
    let deviations = block(&plan, &Source { seed: 3, sampling: Sampling::Random, sample: 0 });
    for lane in [0, 7] {
        let values: Vec<f64> = deviations.iter().map(|slot| f64::from(slot[lane])).collect();
        let made = plan.slots.deviations(&values, drive.geometry.eccentricity_mm);
        let made = ContactModel { deviations: Some(Arc::new(made)), ..model.clone() };
        let (mut most, mut worst) = (0.0_f64, 0.0_f64);
        for (angle, fast) in angles.iter().zip(linear.rotations_rad(&deviations, lane)) {
            for (sense, fast) in [1.0, -1.0].into_iter().zip(fast) {
                let exact = exact_rad(&made, *angle, sense);
                let nominal = exact_rad(&model, *angle, sense);
                most = most.max((exact - nominal).abs());
                worst = worst.max((exact - f64::from(fast)).abs());
            }
        }
        println!("{lane}: {most:e} {worst:e}");
        assert!(worst < 0.01 * most, "{worst:e} of {most:e}");
    }
}

#[test]
fn identity_many_at_once_are_the_same_as_one_by_one() {
    for name in ["orchard-arm-shoulder.toml", "sluice-gate-lift.toml", "wrist-printed.toml"] {
        let drive = example(name);
        let plan = DrawPlan::new(&drive, &tolerances(&drive).unwrap());
        let model = drawn_model(&drive);
        let linear =
            LinearDrive::new(&model, Growth::default(), plan.slots, (48, Places::Close), &plan.largest_mm());
        let everything = LinearDrive::new(
            &model,
            Growth::default(),
            plan.slots,
            (48, Places::Close),
            &vec![1.0; plan.slots.count()],
        );
        let angles = linear.crank_angles_rad();
        assert!(linear.row_count() <= everything.row_count());
        let plain = PlainDrive::new(&model, &angles);
        let deviations = block(&plan, &Source { seed: 5, sampling: Sampling::Random, sample: 0 });
        let outcome = linear.scan(&deviations);
        for lane in 0..LANES {
            let values: Vec<f64> = deviations.iter().map(|slot| f64::from(slot[lane])).collect();
            let made = plan.slots.deviations(&values, drive.geometry.eccentricity_mm);
            let one = plain.outcome(&made);
            let close = |fast: f32, slow: f64| (f64::from(fast) - slow).abs() < 3e-5 * slow.abs().max(1e-4);
            assert!(
                close(outcome.greatest_backlash_rad[lane], one.greatest_backlash_rad),
                "{name} {lane}: {} {}",
                outcome.greatest_backlash_rad[lane],
                one.greatest_backlash_rad
            );
            assert!(
                close(outcome.transmission_error_rad(lane), one.transmission_error_rad),
                "{name} {lane}: {} {}",
                outcome.transmission_error_rad(lane),
                one.transmission_error_rad
            );
        }
    }
}

fn request(assembly_count: u64, loaded_count: u64, sampling: Sampling) -> Request {
    Request { assembly_count, loaded_count, seed: 7, sampling, crank_angle_count: 48 }
}

fn all_of(work: &Work, tasks: &[u64]) -> Tallied {
    let mut tallied = work.nothing();
    tasks.iter().for_each(|task| work.run(*task, &mut tallied));
    tallied
}

#[test]
fn identity_shards_and_orders_of_tasks_give_the_same_bits() {
    let mut drive = example("sorting-table-index.toml");
    drive.model.disc = DiscModel::Rigid;
    let work = Work::new(&drive, request(3_000, 64, Sampling::Random)).unwrap();
    let whole = all_of(&work, &work.tasks(0, 1));
    assert_eq!(whole.task_count, work.task_count());
    assert_eq!(whole.unloaded.count, 3_000);
    assert_eq!(whole.loaded.as_ref().unwrap().tallies[0].count, 64);
    for shard_count in [2, 5] {
        let mut merged = work.nothing();
        for shard in (0..shard_count).rev() {
            let mut tasks = work.tasks(shard, shard_count);
            tasks.reverse();
            merged.merge(&all_of(&work, &tasks));
        }
        assert_eq!(merged, whole);
    }
    let again = YieldResult::new(&work, &whole, 0.95);
    assert!(!again.is_partial);
    assert!(YieldResult::new(&work, &work.nothing(), 0.95).is_partial);
}

/// Only what adds to the play in a straight line deviates: lobes in size, both discs alike, and all pins alike. Mean and variance of the
/// backlash then follow from those of the deviations.
#[test]
fn identity_moments_are_those_of_linear_propagation_where_it_is_exact() {
    let mut drive = shoulder();
    drive.tolerances = Tolerances {
        callout: vec![
            callout(DeviationKind::ProfileSize, 0.003, DistributionKind::TruncatedNormal),
            callout(DeviationKind::PinRadius, 0.002, DistributionKind::Uniform),
        ],
        ..empty_tolerances()
    };
    let request = Request { seed: 5, ..request(20_000, 0, Sampling::Random) };
    let study = Study::new(&drive, request).unwrap();
    let mut counted = study.nothing();
    (0..study.task_count()).for_each(|task| study.run(task, &mut counted));
    let backlash = &counted.tallies[0];
    let model = drawn_model(&drive);
    let on_lobes = 2.0 / model.lever_scale_mm();
    // A pin that is larger by δ stops the plate 2 δ/l earlier; l is the lever where the greatest play is, found by asking for it.
    let play = |pin_mm: f64| {
        let made = Deviations {
            pins: vec![RoundFeature { radius_mm: pin_mm, ..Default::default() }; drive.geometry.pin_count],
            ..Deviations::none(40, drive.geometry.pin_count, 2)
        };
        let plain = PlainDrive::new(&model, &study.drawn.densely(4_000).crank_angles_rad());
        plain.outcome(&made).greatest_backlash_rad
    };
    let on_pins = (play(-0.001) - play(0.001)) / 0.002;
    let spread = |index: usize| study.plan.groups[index].spread().moments_mm().1;
    let expected = math::square(on_lobes) * spread(0) + math::square(on_pins) * spread(1);
    let error = backlash.mean_bound();
    assert!((backlash.mean() - play(0.0)).abs() < 1.5 * error, "{} {}", backlash.mean(), play(0.0));
    let ratio = math::square(backlash.deviation()) / expected;
    // The variance of 20,000 draws is known to two hundredths.
    assert!((ratio - 1.0).abs() < 0.03, "{ratio}");
}

/// The error of the mean falls with the root of the number for random points, and nearly with the number for Sobol points.
#[test]
fn identity_quasi_random_means_settle_sooner() {
    let mut drive = shoulder();
    drive.tolerances = Tolerances {
        callout: vec![
            callout(DeviationKind::ProfileSize, 0.003, DistributionKind::TruncatedNormal),
            callout(DeviationKind::PinRadius, 0.002, DistributionKind::TruncatedNormal),
            callout(DeviationKind::RingRadius, 0.003, DistributionKind::TruncatedNormal),
        ],
        ..empty_tolerances()
    };
    let mean = |count: u64, seed: u64, sampling: Sampling| {
        let study = Study::new(&drive, Request { seed, ..request(count, 0, sampling) }).unwrap();
        let mut counted = study.nothing();
        (0..study.task_count()).for_each(|task| study.run(task, &mut counted));
        counted.tallies[0].mean()
    };
    let settled = mean(1 << 16, 99, Sampling::Quasi);
    let error = |count: u64, sampling: Sampling| {
        let squares: f64 = (0..8).map(|seed| math::square(mean(count, seed, sampling) - settled)).sum();
        (squares / 8.0).sqrt()
    };
    let random = error(64, Sampling::Random) / error(4_096, Sampling::Random);
    let quasi = error(64, Sampling::Quasi) / error(4_096, Sampling::Quasi);
    println!("64 to 4096 points: random errors fall {random:.1} times, quasi-random ones {quasi:.1} times");
    assert!(random > 4.0 && random < 16.0, "{random}");
    assert!(quasi > 24.0, "{quasi}");
    assert!(error(4_096, Sampling::Quasi) < 0.1 * error(4_096, Sampling::Random));
}

#[test]
fn identity_parts_that_are_alike_deviate_alike_and_sorted_ones_stay_in_a_class() {
    // Either may decide, whichever the program draws first.
    let sorted = [DeviationKind::HoleRadius, DeviationKind::PinRadius];
    for (decides, follows) in [(sorted[0], sorted[1]), (sorted[1], sorted[0])] {
        let mut drive = example("sorting-table-index.toml");
        let of_four = |of, matched_to| ToleranceCallout {
            class_count: 4,
            matched_to,
            alike: Alike::Nothing,
            ..callout(of, 0.008, DistributionKind::TruncatedNormal)
        };
        let rollers = callout(DeviationKind::RollerRadius, 0.001, DistributionKind::Normal);
        let callouts = vec![of_four(decides, None), of_four(follows, Some(decides)), rollers];
        drive.tolerances = Tolerances { callout: callouts, ..empty_tolerances() };
        let plan = DrawPlan::new(&drive, &tolerances(&drive).unwrap());
        for assembly in 0..200 {
            let source = Source { seed: 2, sampling: Sampling::Random, sample: 0 };
            let made = plan.slots.deviations(&plan.deviations_mm(&source, assembly), 1.0);
            let radii: Vec<f64> = made.rollers.iter().map(|roller| roller.radius_mm).collect();
            assert!(radii.iter().all(|radius| *radius == radii[0]));
            for (pin, hole) in made.pins.iter().zip(&made.discs[0].holes) {
                // Of one class of four, 4 µm wide.
                assert!((pin.radius_mm - hole.radius_mm).abs() <= 0.004 + 1e-9, "{follows:?}");
            }
        }
    }
}

#[test]
fn identity_callouts_that_follow_each_other_or_say_two_things_are_refused() {
    let mut drive = example("sorting-table-index.toml");
    let of_four = |of, to| ToleranceCallout {
        class_count: 4,
        matched_to: Some(to),
        ..callout(of, 0.008, DistributionKind::Uniform)
    };
    let (hole, pin) = (DeviationKind::HoleRadius, DeviationKind::PinRadius);
    drive.tolerances.callout = vec![of_four(hole, pin), of_four(pin, hole)];
    assert!(matches!(tolerances(&drive).unwrap_err().mistake, Mistake::Unmatched { .. }));
    let both =
        ToleranceCallout { class: Some("H6".to_owned()), ..callout(hole, 0.008, DistributionKind::Uniform) };
    drive.tolerances.callout = vec![both];
    assert!(matches!(tolerances(&drive).unwrap_err().mistake, Mistake::LimitsAndClass));
}

fn asked(drive: &Drive) -> Request {
    Request { crank_angle_count: usual_crank_angle_count(drive), ..request(64, 0, Sampling::Random) }
}

/// What the usual crank angles miss: a few hundredths of the transmission error, a tenth of that of a requirement in the backlash.
#[test]
fn identity_the_usual_crank_angles_suffice() {
    let arcmin = std::f64::consts::PI / 10_800.0;
    for (name, most_backlash_rad) in [
        ("orchard-arm-shoulder.toml", 0.05 * arcmin),
        ("sorting-table-index.toml", 0.1 * arcmin),
        ("wrist-printed.toml", 0.5 * arcmin),
    ] {
        let drive = example(name);
        let check = angle_check(&Study::new(&drive, asked(&drive)).unwrap());
        println!("{name}: {check:?}");
        assert!(check.dense_angle_count > 10 * check.angle_count, "{name}");
        assert!((0.0..0.03).contains(&check.error_shortfall_share), "{name}: {check:?}");
        assert!(check.largest_error_shortfall_share >= check.error_shortfall_share);
        assert!(check.mean_backlash_shortfall_rad >= 0.0, "{name}: {check:?}");
        assert!(check.mean_backlash_shortfall_rad < most_backlash_rad, "{name}: {check:?}");
    }
}

/// The check itself looks at places closely enough: places between them change nothing, exact gaps of the very same assemblies next to nothing.
#[test]
fn identity_extremes_of_assemblies_are_those_of_exact_gaps_all_round() {
    for (name, within) in [("orchard-arm-shoulder.toml", 0.015), ("sorting-table-index.toml", 0.005)] {
        let drive = example(name);
        let study = Study::new(&drive, asked(&drive)).unwrap();
        let all = study.drawn.densely(usize::MAX).scan(&block(&study.plan, &study.source()));
        for assembly in 0..3 {
            let values = study.deviations_mm(assembly as u64);
            let made = study.plan.slots.deviations(&values, drive.geometry.eccentricity_mm);
            let made = ContactModel { deviations: Some(Arc::new(made)), ..study.model.clone() };
            let exact = turn(&drive, &made);
            let error_rad = exact.transmission_error_rad();
            let pairs = [
                (all.transmission_error_rad(assembly), error_rad),
                (all.greatest_backlash_rad[assembly], exact.greatest_backlash.backlash_rad),
                (all.least_backlash_rad[assembly], exact.least_backlash.backlash_rad),
            ];
            for (linear, exact) in pairs {
                let off = (f64::from(linear) - exact).abs() / error_rad;
                println!("{name} {assembly}: {linear:e} {exact:e} {off:.4}");
                assert!(off < within, "{name} {assembly}: {linear:e} {exact:e}");
            }
        }
    }
}

/// More crank angles miss less, and so many that hardly anything is missed are there to be asked for.
#[test]
fn identity_more_crank_angles_miss_less() {
    let drive = example("wrist-printed.toml");
    let missed = [24, 1536].map(|crank_angle_count| {
        let study = Study::new(&drive, Request { crank_angle_count, ..request(64, 0, Sampling::Random) });
        angle_check(&study.unwrap()).error_shortfall_share
    });
    assert!(missed[1] < 0.5 * missed[0] && missed[1] < 0.002, "{missed:?}");
}

/// Following the extremes only ever finds more than the scan, for a block as for one assembly alone, and never more than there is.
#[test]
fn identity_followed_extremes_lie_between_those_of_the_scan_and_of_all_places() {
    let drive = example("sorting-table-index.toml");
    let study = Study::new(&drive, asked(&drive)).unwrap();
    let deviations = block(&study.plan, &study.source());
    let (scan, followed) = (study.drawn.scan(&deviations), study.drawn.outcome(&deviations));
    let all = study.drawn.densely(usize::MAX).scan(&deviations);
    for lane in 0..LANES {
        let error = |outcome: &Outcome| outcome.transmission_error_rad(lane);
        assert!(error(&scan) <= error(&followed) && error(&followed) <= error(&all));
        assert!(scan.greatest_backlash_rad[lane] <= followed.greatest_backlash_rad[lane]);
        assert!(followed.least_backlash_rad[lane] <= scan.least_backlash_rad[lane]);
        assert!(all.least_backlash_rad[lane] <= followed.least_backlash_rad[lane]);
        let alone: Vec<Lane<1>> = deviations.iter().map(|slot| [slot[lane]]).collect();
        let alone = study.drawn.outcome(&alone);
        assert_eq!(alone.error_rad[0][0].to_bits(), followed.error_rad[0][lane].to_bits());
        assert_eq!(alone.least_backlash_rad[0].to_bits(), followed.least_backlash_rad[lane].to_bits());
    }
}

/// The scan by the widest instructions of the machine has the bits of one place after the other by the common ones.
#[test]
fn identity_wide_instructions_give_the_same_bits() {
    let drive = example("orchard-arm-shoulder.toml");
    let study = Study::new(&drive, asked(&drive)).unwrap();
    let deviations = block(&study.plan, &study.source());
    let scan = study.drawn.scan(&deviations);
    for lane in [0, 5, 31] {
        let rotations = study.drawn.rotations_rad(&deviations, lane);
        let plays = || rotations.iter().map(|[ahead, behind]| ahead - behind);
        let greatest = plays().fold(f32::NEG_INFINITY, f32::max);
        let least = plays().fold(f32::INFINITY, f32::min);
        assert_eq!(scan.greatest_backlash_rad[lane].to_bits(), greatest.to_bits());
        assert_eq!(scan.least_backlash_rad[lane].to_bits(), least.to_bits());
    }
}

/// A drive that parts press across at every angle has no play to meet a requirement with.
#[test]
fn identity_an_assembly_that_presses_all_round_meets_nothing() {
    let drive = example("sorting-table-index.toml");
    let study = Study::new(&drive, asked(&drive)).unwrap();
    let mut values = study.deviations_mm(1);
    assert!(study.verdict(&values));
    values[study.plan.slots.disc(0).surplus] = 0.03;
    assert!(!study.verdict(&values));
}

#[test]
fn identity_a_proposal_reaches_what_is_wanted_and_lets_no_more_parts_press() {
    let mut drive = example("sorting-table-index.toml");
    // More than its tolerances reach, so that some have to be tighter.
    drive.tolerances.wanted_yield = 0.99;
    let study = Study::new(&drive, request(64, 0, Sampling::Random)).unwrap();
    let proposal = propose(&drive, &study, None, &to_the_end).unwrap().unwrap();
    assert!(proposal.is_reached);
    // The search saw other assemblies than the check.
    assert!(proposal.proposed_yield.upper > 0.98, "{:?}", proposal.proposed_yield);
    assert!(proposal.free_shares[1] > proposal.free_shares[0] - 0.03);
    assert!(proposal.tolerances.iter().any(|tolerance| tolerance.grades_looser < 0));
    drive.requirement.geometric_backlash_rad = None;
    drive.requirement.transmission_error_rad = None;
    assert!(propose(&drive, &study, None, &to_the_end).unwrap().is_none());
}

fn callout(of: DeviationKind, half_width_mm: f64, distribution: DistributionKind) -> ToleranceCallout {
    ToleranceCallout {
        of,
        label: None,
        upper_mm: Some(half_width_mm),
        lower_mm: None,
        class: None,
        distribution,
        cp: 1.0,
        cpk: None,
        alike: Alike::Discs,
        class_count: 1,
        matched_to: None,
        cost_weight: 1.0,
    }
}

fn empty_tolerances() -> Tolerances {
    let mut tolerances = example("sorting-table-index.toml").tolerances;
    for key in [
        &mut tolerances.profile_mm,
        &mut tolerances.ring_radius_mm,
        &mut tolerances.roller_position_mm,
        &mut tolerances.roller_radius_mm,
        &mut tolerances.eccentricity_mm,
        &mut tolerances.hole_position_mm,
        &mut tolerances.hole_radius_mm,
        &mut tolerances.pin_position_mm,
        &mut tolerances.pin_radius_mm,
    ] {
        *key = None;
    }
    tolerances
}
