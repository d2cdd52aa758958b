//! Each command: what it prints, and that its JSON can be read.

use crate::run::{SHOULDER, drive_files, root, run, run_with_input};
use std::path::Path;

#[test]
fn locked_check_of_every_example() {
    for path in drive_files("examples") {
        let stem = Path::new(&path).file_stem().unwrap().to_string_lossy().into_owned();
        insta::assert_snapshot!(format!("check_{stem}"), run(&["check", &path]).whole());
    }
}

#[test]
fn locked_loads_at_a_crank_angle() {
    let loads = run(&["loads", SHOULDER, "--load-case", "peak", "--crank-angle", "30 deg"]);
    insta::assert_snapshot!(loads.whole());
}

#[test]
fn identity_loads_take_radians_and_the_same_angle_in_degrees() {
    let degrees = run(&["loads", SHOULDER, "--crank-angle", "45 deg"]);
    let radians = run(&["loads", SHOULDER, "--crank-angle", "0.785398163397448 rad"]);
    assert_eq!(degrees.code, Some(0));
    assert_eq!(degrees.data, radians.data);
}

#[test]
fn identity_standard_input_reads_like_the_file() {
    let text = std::fs::read_to_string(root().join(SHOULDER)).unwrap();
    let from_file = run(&["check", SHOULDER]);
    let from_input = run_with_input(&["check", "-"], &text);
    assert_eq!(from_file.data, from_input.data);
    assert_eq!(from_file.code, from_input.code);
}

#[test]
fn identity_results_state_format_drive_and_verdict() {
    let document = run(&["check", SHOULDER, "--json"]).json();
    assert_eq!(document["format"], 1);
    assert_eq!(document["kind"], "results");
    let findings = document["assessment"]["findings"].as_array().unwrap();
    let holds = findings.iter().filter(|finding| finding["standing"] == "holds").count();
    assert_eq!(document["verdict"]["holds"], holds);
    let sha256 = document["drive"]["sha256"].as_str().unwrap();
    assert_eq!(sha256.len(), 64);
}

#[test]
fn identity_loads_in_json_hold_every_pose_of_every_case() {
    let check = run(&["check", SHOULDER, "--json"]).json();
    let loads = run(&["loads", SHOULDER, "--json"]).json();
    let pose_counts = |document: &serde_json::Value| -> Vec<usize> {
        let cases = document["assessment"]["load_cases"].as_array().unwrap();
        cases.iter().map(|case| case["poses"].as_array().unwrap().len()).collect()
    };
    assert!(pose_counts(&loads).iter().all(|count| *count > 0));
    assert_eq!(pose_counts(&check)[0], pose_counts(&loads)[0]);
    let one = run(&["loads", SHOULDER, "--crank-angle", "0.5 rad", "--json"]).json();
    assert_eq!(pose_counts(&one).iter().sum::<usize>(), 1);
    assert_eq!(one["assessment"]["load_cases"][0]["poses"][0]["crank_angle_rad"], 0.5);
}

#[test]
fn identity_a_new_drive_file_can_be_used_at_once() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("gate.toml");
    let path = path.to_str().unwrap();
    assert_eq!(run(&["new", "gate", "--out", path]).code, Some(0));
    assert_eq!(std::fs::read_to_string(path).unwrap(), run(&["new", "gate", "--out", "-"]).data);
    let check = run(&["check", path]);
    assert_eq!(check.code, Some(0), "{}", check.whole());
}

#[test]
fn identity_every_name_that_explain_lists_is_explained() {
    let document = run(&["explain", "--json"]).json();
    let entries = document["entries"].as_array().unwrap();
    assert!(entries.len() > 200, "{}", entries.len());
    // Every seventh keeps the test short; the list has no pattern of seven.
    for entry in entries.iter().step_by(7) {
        let name = entry["name"].as_str().unwrap();
        let explained = run(&["explain", name]);
        assert_eq!(explained.code, Some(0), "{name}");
        assert!(explained.data.contains(name), "{name}");
    }
}

#[test]
fn identity_every_finding_of_every_example_can_be_explained_by_its_formula() {
    for path in drive_files("examples") {
        let document = run(&["check", &path, "--json"]).json();
        for finding in document["assessment"]["findings"].as_array().unwrap() {
            let id = finding["id"].as_str().unwrap();
            let check = reducer::registry::checks().iter().find(|check| check.id == id);
            let check = check.unwrap_or_else(|| panic!("{path}: {id} is not in checks.toml"));
            let formula = finding["formula"].as_str().unwrap();
            if let Some(stated) = &check.formula {
                assert!(formula == stated || formula.is_empty(), "{path}: {id} uses {formula}");
            }
            let known = formula.is_empty() || reducer::registry::formula(formula).is_some();
            assert!(known, "{path}: formula {formula} of {id} is not in formulas.toml");
            let key = finding["key"].as_str().unwrap();
            let keys = reducer::model::describe::keys();
            assert!(keys.iter().any(|entry| entry.path == key), "{path}: {id} hangs on {key}");
            let quantity = finding["quantity"].as_str().unwrap();
            let known = quantity.is_empty() || reducer::registry::quantity(quantity).is_some();
            assert!(known, "{path}: quantity {quantity} of {id} is not in quantities.toml");
        }
    }
}

#[test]
fn locked_explanations() {
    let explained = ["undercut", "eccentricity", "ring_roller_force", "johnson1985"];
    let texts: Vec<String> = explained.iter().map(|name| run(&["explain", name]).whole()).collect();
    insta::assert_snapshot!(texts.join("\n"));
}

#[test]
fn identity_a_slip_in_a_name_is_answered_with_the_nearest() {
    let missed = run(&["explain", "excentricity"]);
    assert_eq!(missed.code, Some(2));
    assert!(missed.talk.contains("eccentricity"), "{}", missed.talk);
    let stranger = run(&["explain", "xyzzy"]);
    assert!(!stranger.talk.contains("did you mean"), "{}", stranger.talk);
}

#[test]
fn identity_every_figure_is_svg() {
    let missed = run(&["figure", SHOULDER, "--name", "nothing", "--out", "-"]);
    assert_eq!(missed.code, Some(2));
    let names = missed.talk.split("this drive has ").nth(1).unwrap().trim().to_owned();
    for name in names.split(", ") {
        let figure = run(&["figure", SHOULDER, "--name", name, "--out", "-"]);
        assert_eq!(figure.code, Some(0), "{name}");
        assert!(figure.data.starts_with("<svg") && figure.data.trim_end().ends_with("</svg>"), "{name}");
    }
}

#[test]
fn identity_schemas_are_the_ones_in_the_repository() {
    for (flags, path) in [
        (&["schema"][..], "schemas/drive-file.schema.json"),
        (&["schema", "--results"], "schemas/results.schema.json"),
    ] {
        let printed = run(flags);
        assert_eq!(printed.data, std::fs::read_to_string(root().join(path)).unwrap(), "{path}");
        assert!(printed.json()["$schema"].is_string());
    }
}

#[test]
fn locked_help() {
    let mut texts = vec![run(&["--help"]).data];
    for verb in ["new", "check", "loads", "make", "report", "deliver", "figure", "schema", "explain"] {
        texts.push(run(&[verb, "--help"]).data);
    }
    insta::assert_snapshot!(texts.join("\n=====\n"));
}

#[test]
fn identity_version_is_that_of_the_package() {
    assert_eq!(run(&["--version"]).data.trim(), format!("lobewright {}", env!("CARGO_PKG_VERSION")));
}
