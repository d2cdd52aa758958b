//! `accuracy`, `yield` and `merge`: what they print, the same bits whatever the threads and shards, and an early end.

use crate::run::{SHOULDER, program, root, run, run_with_input};
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
        (with(&["--shard", "1/2", "--out", "x.json", "--figures", "x"]), "--figures"),
        (with(&["--shard", "1/2", "--out", "x.json", "--propose"]), "--propose"),
        (vec!["deliver", TABLE, "--out", "x", "--loaded", "3"], "--assemblies"),
    ] {
        let refused = run(&arguments);
        assert_eq!(refused.code, Some(2), "{}", refused.talk);
        assert!(refused.talk.contains(expected), "{}", refused.talk);
    }
}

/// The text of the table drive with one line changed; the line must be there.
fn table_with(line: &str, changed: &str) -> String {
    let text = std::fs::read_to_string(root().join(TABLE)).unwrap();
    assert!(text.contains(line), "{TABLE} has no line {line}");
    text.replace(line, changed)
}

#[test]
fn identity_accuracy_judges_every_requirement() {
    let holds = run(&["accuracy", TABLE]);
    assert!(holds.code == Some(0) && !holds.data.contains("fails"), "{}", holds.whole());
    let line = "geometric_backlash = \"5 arcmin\"";
    for required in [
        "geometric_backlash = \"3 arcmin\"",
        "geometric_backlash = \"5 arcmin\"\ntransmission_error = \"0.1 arcmin\"",
        "geometric_backlash = \"5 arcmin\"\ntorsional_stiffness = \"40 N·m/arcmin\"",
    ] {
        let fails = run_with_input(&["accuracy", "-"], &table_with(line, required));
        assert!(fails.code == Some(1) && fails.data.contains("fails"), "{required}: {}", fails.whole());
    }
    let loose = table_with("lost_motion = \"7 arcmin\"", "lost_motion = \"4 arcmin\"");
    let fails = run_with_input(&["accuracy", "-", "--json"], &loose);
    assert_eq!(fails.code, Some(1));
    let requirements = fails.json()["result"]["requirements"].as_array().unwrap().clone();
    let lost_motion = requirements.iter().find(|each| each["id"] == "lost-motion").unwrap();
    assert_eq!(lost_motion["standing"], "fails");
}

#[test]
fn identity_wishes_that_can_not_be_are_refused() {
    let vain = table_with("geometric_backlash = \"5 arcmin\"", "");
    let refused = run_with_input(&["yield", "-", "--assemblies", "64", "--propose"], &vain);
    assert!(refused.code == Some(2) && refused.talk.contains("states neither"), "{}", refused.whole());
    for command in ["accuracy", "loads"] {
        let both = run(&[command, TABLE, "--json", "--csv", "-"]);
        assert_eq!(both.code, Some(2));
        assert!(both.json()["message"].as_str().unwrap().contains("both print"), "{}", both.data);
    }
}

#[test]
fn identity_a_study_too_small_for_shares_shows_none() {
    let directory = tempfile::tempdir().unwrap();
    let place = directory.path().to_str().unwrap();
    let warm =
        table_with("[tolerances]", "[tolerances]\nring_temperature = \"5 °C\"\nbearing_clearance = \"3 µm\"");
    let small =
        ["yield", "-", "--assemblies", "1", "--loaded", "0", "--crank-angles", "24", "--figures", place];
    let told = run_with_input(&small, &warm);
    assert!(told.data.contains("not computed from fewer than 200 rows"), "{}", told.data);
    assert!(!told.data.contains(" ±0.0"), "{}", told.data);
    let told_in_one_line = told.data.split_whitespace().collect::<Vec<_>>().join(" ");
    for acts in ["in operation only", "load only", "No assembly was loaded"] {
        assert!(told_in_one_line.contains(acts), "{acts}: {}", told.data);
    }
    assert!(!directory.path().join("tolerance-pareto.svg").exists());
    assert!(directory.path().join("yield-histogram-backlash.svg").exists());
}

#[test]
fn identity_a_shard_may_go_to_standard_output_and_is_looked_at_before_it_is_merged() {
    let directory = tempfile::tempdir().unwrap();
    let shard = run(&with(&["--shard", "1/1", "--out", "-"]));
    assert_eq!(shard.code, Some(0), "{}", shard.talk);
    let path = directory.path().join("shard.json");
    let merged = |text: &str| {
        std::fs::write(&path, text).unwrap();
        run(&["merge", TABLE, path.to_str().unwrap()])
    };
    assert_eq!(merged(&shard.data).data, run(&SMALL).data);
    let changed = |pointer: &str, value: serde_json::Value| {
        let mut document = shard.json();
        *document.pointer_mut(pointer).unwrap() = value;
        merged(&document.to_string())
    };
    for (pointer, value, expected) in [
        ("/shard_count", serde_json::json!(0), "no shard can be"),
        ("/request/assembly_count", serde_json::json!(0), "no shard can be"),
        ("/tallied/shares/moments", serde_json::json!([]), "does not fit"),
        ("/tallied/unloaded/count", serde_json::json!(4999), "less than its tasks"),
        ("/tallied/unloaded/blocked", serde_json::json!(9999), "do not add up"),
        ("/is_partial", serde_json::json!(true), "more or less than it says"),
    ] {
        let refused = changed(pointer, value);
        assert!(refused.code == Some(2) && refused.talk.contains(expected), "{pointer}: {}", refused.whole());
    }
}

#[test]
fn identity_a_delivery_with_a_study_judges_the_lot() {
    let directory = tempfile::tempdir().unwrap();
    let place = directory.path().to_str().unwrap();
    let study = ["deliver", TABLE, "--out", place, "--assemblies", "2000", "--loaded", "8", "--seed", "5"];
    let delivered = run(&study);
    assert_eq!(delivered.code, Some(0), "{}", delivered.whole());
    let words = delivered.data.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("of seed 5, 8 of them"), "{}", delivered.data);
    let text = std::fs::read_to_string(directory.path().join("yield.json")).unwrap();
    let document: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(document["result"]["seed"], 5);
    let results = std::fs::read_to_string(directory.path().join("results.json")).unwrap();
    assert!(results.contains("of seed 5, 8 of them loaded"));
}

#[test]
#[cfg(unix)]
fn identity_an_interrupted_shard_is_written_and_makes_the_study_partial() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("shard.json");
    let name = path.to_str().unwrap();
    let mut delay = Duration::from_millis(1000);
    while !path.exists() && delay < Duration::from_secs(60) {
        let arguments =
            ["yield", TABLE, "--assemblies", "10000000", "--loaded", "0", "--shard", "1/1", "--out", name];
        let child = program(&arguments).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        sleep(delay);
        assert!(Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap().success());
        assert_eq!(child.wait_with_output().unwrap().status.code(), Some(130));
        delay *= 2;
    }
    let merged = run(&["merge", TABLE, name]);
    assert!(merged.data.contains("Partial: interrupted after"), "{}", merged.whole());
    assert!(merged.talk.contains("was interrupted, so the study is partial"), "{}", merged.talk);
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
