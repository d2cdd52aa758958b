//! `accuracy`, `yield` and `merge`: what they print, the same bits whatever the threads and shards, and an early end.

use crate::run::{SHOULDER, program, run};
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::Duration;

/// The drive whose study takes least time.
const TABLE: &str = "examples/sorting-table-index.toml";
const SMALL: [&str; 8] = ["yield", TABLE, "--assemblies", "5000", "--loaded", "40", "--crank-angles", "40"];

fn with<'a>(more: &[&'a str]) -> Vec<&'a str> {
    SMALL.iter().copied().chain(more.iter().copied()).collect()
}

#[test]
fn locked_accuracy_of_the_drive_as_drawn_and_of_an_assembly() {
    insta::assert_snapshot!(run(&["accuracy", TABLE]).whole());
    insta::assert_snapshot!(run(&["accuracy", TABLE, "--assembly", "17", "--seed", "7"]).whole());
}

#[test]
fn locked_yield_of_the_table() {
    insta::assert_snapshot!(run(&SMALL).whole());
}

/// A study of one drive counts the drive that `accuracy` shows. It takes gaps as linear, which is good to a few percent of so
/// coarse parts; the drives of both samplings are a tenth apart.
#[test]
fn identity_accuracy_shows_the_assembly_that_yield_counted() {
    for sampling in [None, Some("--quasi-random")] {
        let seeded = ["--seed", "7", "--json"].into_iter().chain(sampling);
        let study = ["yield", TABLE, "--assemblies", "1", "--loaded", "0", "--crank-angles", "3040"];
        let counted = run(&study.into_iter().chain(seeded.clone()).collect::<Vec<_>>()).json();
        let one = ["accuracy", TABLE, "--assembly", "0"].into_iter().chain(seeded);
        let shown = run(&one.collect::<Vec<_>>()).json();
        let distributions = counted["result"]["distributions"].as_array().unwrap();
        let of = |id: &str| {
            let distribution = distributions.iter().find(|each| each["id"] == id).unwrap();
            assert_eq!(
                (&distribution["count"], &distribution["least"]),
                (&1.into(), &distribution["greatest"])
            );
            distribution["least"].as_f64().unwrap()
        };
        let turn = &shown["result"]["turn"];
        let error = |flank: &str| turn[flank].as_f64().unwrap();
        let pairs = [
            (of("backlash"), turn["greatest_backlash"]["backlash_rad"].as_f64().unwrap()),
            (of("transmission-error"), error("error_ahead_rad").max(error("error_behind_rad"))),
        ];
        for (counted, shown) in pairs {
            assert!((counted / shown - 1.0).abs() < 0.05, "{sampling:?}: {counted} {shown}");
        }
        let words = if sampling.is_none() { "random" } else { "quasi" };
        assert_eq!(shown["result"]["which"]["sampling"], words);
    }
    let shown = |sampling: &[&str]| run(&[&["accuracy", TABLE, "--assembly", "0"], sampling].concat()).data;
    assert_ne!(shown(&[]), shown(&["--quasi-random"]));
    assert_eq!(run(&["accuracy", TABLE, "--quasi-random"]).code, Some(2));
}

#[test]
fn identity_accuracy_as_csv_has_a_line_for_every_position() {
    let table = run(&["accuracy", TABLE, "--csv", "-"]);
    let document = run(&["accuracy", TABLE, "--json"]).json();
    let lines = table.data.lines().filter(|line| !line.starts_with('#')).count();
    let positions = document["result"]["turn"]["position_count"].as_u64().unwrap();
    assert_eq!(lines as u64, positions + 1);
    assert_eq!(document["kind"], "accuracy");
}

#[test]
fn identity_threads_do_not_change_a_bit() {
    let one = run(&with(&["--threads", "1", "--json"]));
    let three = run(&with(&["--threads", "3", "--json"]));
    assert_eq!(one.data, three.data);
    let other_seed = run(&with(&["--seed", "2", "--json"]));
    assert_ne!(one.data, other_seed.data);
}

#[test]
fn identity_merged_shards_are_the_study_of_one_machine() {
    let directory = tempfile::tempdir().unwrap();
    let path = |name: &str| directory.path().join(name).to_str().unwrap().to_owned();
    let (first, second, other) = (path("1.json"), path("2.json"), path("other.json"));
    assert_eq!(run(&with(&["--shard", "1/2", "--out", &first])).code, Some(0));
    assert_eq!(run(&with(&["--shard", "2/2", "--out", &second])).code, Some(0));
    let merged = run(&["merge", TABLE, &second, &first, "--json"]);
    assert_eq!(merged.data, run(&with(&["--json"])).data);
    let lacking = run(&["merge", TABLE, &first]);
    assert_eq!(lacking.code, Some(2));
    assert!(lacking.talk.contains("shards are missing: 2/2"), "{}", lacking.talk);
    let twice = run(&["merge", TABLE, &first, &first]);
    assert!(twice.code == Some(2) && twice.talk.contains("once more"), "{}", twice.talk);
    assert_eq!(run(&with(&["--seed", "9", "--shard", "2/2", "--out", &other])).code, Some(0));
    let mixed = run(&["merge", TABLE, &first, &other]);
    assert!(mixed.code == Some(2) && mixed.talk.contains("another study"), "{}", mixed.talk);
    let foreign = run(&["merge", SHOULDER, &first, &second]);
    assert!(foreign.code == Some(2) && foreign.talk.contains("another drive file"), "{}", foreign.talk);
    let no_shard = run(&["merge", TABLE, TABLE]);
    assert!(no_shard.code == Some(2) && no_shard.talk.contains("is no shard"), "{}", no_shard.talk);
}

#[test]
fn identity_wrong_shards_and_counts_are_refused() {
    for (arguments, expected) in [
        (with(&["--shard", "3/2", "--out", "x.json"]), "is not a part of a whole"),
        (with(&["--shard", "0/4", "--out", "x.json"]), "is not a part of a whole"),
        (with(&["--shard", "0/0", "--out", "x.json"]), "is not a part of a whole"),
        (with(&["--shard", "1/2"]), "--out"),
        (vec!["yield", TABLE, "--assemblies", "0"], "--assemblies"),
    ] {
        let refused = run(&arguments);
        assert_eq!(refused.code, Some(2), "{}", refused.talk);
        assert!(refused.talk.contains(expected), "{}", refused.talk);
    }
}

#[test]
#[cfg(unix)]
fn identity_an_interrupted_yield_shows_what_it_has() {
    let mut delay = Duration::from_millis(500);
    for _ in 0..7 {
        let arguments = ["yield", TABLE, "--assemblies", "1000000000", "--loaded", "0"];
        let mut command = program(&arguments);
        let child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        sleep(delay);
        let mut kill = Command::new("kill");
        assert!(kill.args(["-INT", &child.id().to_string()]).status().unwrap().success());
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(130));
        let text = String::from_utf8(output.stdout).unwrap();
        if text.contains("Partial: interrupted after") {
            assert!(text.contains("greatest backlash"), "{text}");
            return;
        }
        // The signal came before the study had begun.
        assert!(text.is_empty(), "{text}");
        delay *= 2;
    }
    panic!("no study had begun after {delay:?}");
}
