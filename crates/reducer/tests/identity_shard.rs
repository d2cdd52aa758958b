//! Parts of a study: the order of their tasks, what is taken for a part, and what a study says of the lot.
#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not there")]

use curves::math::square;
use reducer::assembly::random::Sampling;
use reducer::assembly::shard::check;
use reducer::assembly::study::Request;
use reducer::assembly::summary::YieldResult;
use reducer::assembly::work::{Tallied, Work};
use reducer::assess::assess;
use reducer::finding::Standing;
use reducer::model::{Alike, DeviationKind, DistributionKind, Drive, ToleranceCallout};
use reducer::tolerance::callout::Mistake;
use reducer::tolerance::tolerances;
use std::path::Path;

fn table() -> Drive {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/sorting-table-index.toml");
    schema::read("sorting-table-index.toml", &std::fs::read(path).unwrap()).unwrap().drive
}

fn work(drive: &Drive, assembly_count: u64, loaded_count: u64) -> Work {
    let sampling = Sampling::Random;
    Work::new(drive, Request { assembly_count, loaded_count, seed: 3, sampling, crank_angle_count: 24 })
        .unwrap()
}

fn done(work: &Work, tasks: &[u64]) -> Tallied {
    let mut tallied = work.nothing();
    tasks.iter().for_each(|task| work.run(*task, &mut tallied));
    tallied
}

#[test]
fn identity_a_long_study_has_some_of_everything_early() {
    let work = work(&table(), 40_000_000, 0);
    let tasks = work.tasks(0, 1);
    let counts = work.counts_of(&tasks[..tasks.len() / 100]);
    assert!(counts.share_rows == 8192 && counts.graded == 8192, "{counts:?}");
    assert!(counts.unloaded > 200_000, "{counts:?}");
    // The first screenful already.
    let first = work.counts_of(&tasks[..20]);
    assert!(first.share_rows >= 512 && first.graded >= 512 && first.unloaded >= 8 * 1024, "{first:?}");
}

#[test]
fn identity_shards_have_every_task_once_and_their_part_of_every_kind() {
    let work = work(&table(), 3_000_000, 0);
    let whole = work.counts_of(&work.tasks(0, 1));
    let mut all: Vec<u64> = Vec::new();
    for shard in 0..4 {
        let tasks = work.tasks(shard, 4);
        let counts = work.counts_of(&tasks);
        assert!(counts.share_rows == whole.share_rows / 4 && counts.graded == whole.graded / 4, "{counts:?}");
        assert!(counts.unloaded.abs_diff(whole.unloaded / 4) <= 1024, "{counts:?}");
        all.extend(tasks);
    }
    all.sort_unstable();
    assert_eq!(all, (0..work.task_count()).collect::<Vec<_>>());
    assert_eq!((whole.unloaded, whole.tasks), (3_000_000, work.task_count()));
}

#[test]
fn identity_only_what_tasks_can_count_is_taken_for_a_shard() {
    let work = work(&table(), 4000, 40);
    let tasks = work.tasks(1, 2);
    let honest = done(&work, &tasks);
    assert_eq!(check(&work, &honest, 1, 2), Ok(true));
    // One that was interrupted is a part of a part.
    assert_eq!(check(&work, &done(&work, &tasks[..2]), 1, 2), Ok(false));
    assert_eq!(check(&work, &work.nothing(), 1, 2), Ok(false));
    let refused = |change: &dyn Fn(&mut serde_json::Value)| {
        let mut text = serde_json::to_value(&honest).unwrap();
        change(&mut text);
        check(&work, &serde_json::from_value(text).unwrap(), 1, 2).unwrap_err()
    };
    for (path, value, expected) in [
        ("/shares/moments", serde_json::json!([]), "does not fit"),
        ("/shares/sums", serde_json::json!([]), "does not fit"),
        ("/grades/changed", serde_json::json!([]), "does not fit"),
        ("/unloaded/tallies", serde_json::json!([]), "does not fit"),
        ("/unloaded/tallies/0/bins", serde_json::json!([1, 2]), "does not fit"),
        ("/unloaded/tallies/0/grid/width", serde_json::json!(7), "does not fit"),
        ("/loaded", serde_json::Value::Null, "does not fit"),
        ("/task_count", serde_json::json!(5000), "more than its tasks"),
        ("/unloaded/count", serde_json::json!(1), "less than its tasks"),
        ("/unloaded/meets_all", serde_json::json!(u64::MAX), "do not add up"),
        ("/unloaded/tallies/0/meets", serde_json::json!(1_000_000), "do not add up"),
        ("/unloaded/tallies/0/below", serde_json::json!(u64::MAX), "do not add up"),
        ("/unloaded/tallies/0/sum", serde_json::json!(i128::MAX.to_string()), "do not add up"),
        ("/shares/moments/1", serde_json::json!(i128::MIN.to_string()), "do not add up"),
        ("/grades/changed/0/0/lost", serde_json::json!(1_000_000), "do not add up"),
        ("/loaded/meets_all", serde_json::json!(41), "do not add up"),
    ] {
        let what = refused(&|text| *text.pointer_mut(path).unwrap() = value.clone());
        assert!(what.contains(expected), "{path}: {what}");
    }
}

#[test]
fn identity_the_study_judges_the_lot() {
    let mut drive = table();
    let mut findings = assess(&drive).unwrap().findings;
    let lot = |findings: &[reducer::finding::Finding]| {
        findings.iter().find(|finding| finding.id == "quantity").unwrap().clone()
    };
    let title = lot(&findings).title;
    assert_eq!(lot(&findings).standing, Standing::NotAssessed);
    let judged = |drive: &Drive, findings: &mut Vec<reducer::finding::Finding>| {
        let work = work(drive, 1024, 0);
        let tallied = done(&work, &work.tasks(0, 1));
        let result = YieldResult::new(&work, &tallied, drive.tolerances.wanted_yield);
        result.judge(findings);
        (result.required.map(|share| share.share), lot(findings))
    };
    let (share, finding) = judged(&drive, &mut findings);
    assert_eq!((finding.standing, finding.value, finding.title), (Standing::Holds, share, title));
    assert!(finding.place.contains("of seed 3, none of them loaded"), "{}", finding.place);
    drive.requirement.geometric_backlash_rad = Some(0.001);
    let (share, finding) = judged(&drive, &mut findings);
    assert!(share.unwrap() < 0.95 && finding.standing == Standing::Fails, "{share:?}");
    // Without a requirement of accuracy there is nothing to count.
    drive.requirement.geometric_backlash_rad = None;
    drive.requirement.transmission_error_rad = None;
    let mut open = assess(&drive).unwrap().findings;
    assert_eq!(judged(&drive, &mut open).1.standing, Standing::NotAssessed);
}

#[test]
fn identity_two_callouts_of_a_deviation_add_up_only_where_they_differ_in_what_is_alike() {
    let mut drive = table();
    let rollers = |alike, half_width_mm| ToleranceCallout {
        of: DeviationKind::RollerRadius,
        label: None,
        upper_mm: Some(half_width_mm),
        lower_mm: None,
        class: None,
        distribution: DistributionKind::Uniform,
        cp: 1.0,
        cpk: None,
        alike,
        class_count: 1,
        matched_to: None,
        cost_weight: 1.0,
    };
    let one_by_one = rollers(Alike::Nothing, 0.001);
    drive.tolerances.callout = vec![one_by_one.clone(), one_by_one.clone()];
    let error = tolerances(&drive).unwrap_err();
    assert_eq!((error.number, error.mistake), (2, Mistake::Twice { first: 1 }));
    drive.tolerances.callout = vec![rollers(Alike::Part, 0.004), one_by_one];
    let work = work(&drive, 256, 0);
    let slots = work.study.plan.slots;
    let (mut means, mut within) = (0.0, 0.0);
    for assembly in 0..256 {
        let made = slots.deviations(&work.study.deviations_mm(assembly), 1.0);
        let radii: Vec<f64> = made.rollers.iter().map(|roller| roller.radius_mm).collect();
        let mean = radii.iter().sum::<f64>() / radii.len() as f64;
        assert!(radii.iter().all(|radius| (radius - mean).abs() < 0.002));
        means += mean * mean / 256.0;
        within += radii.iter().map(|radius| square(radius - mean)).sum::<f64>() / radii.len() as f64 / 256.0;
    }
    // A uniform band of ±b has the variance b²/3: the batch's is that of the means, the single rollers' is within.
    assert!((means / (square(0.004) / 3.0) - 1.0).abs() < 0.15, "{means}");
    assert!((within / (square(0.001) / 3.0) - 1.0).abs() < 0.1, "{within}");
}
