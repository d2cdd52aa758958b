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

/// Every load of every contact, bearing and disc at the asked crank angle, with the model that it came from.
#[test]
fn identity_loads_in_json_carry_every_contact() {
    let document = run(&["loads", SHOULDER, "--crank-angle", "0.013 rad", "--json"]).json();
    assert_eq!(document["poses"], "one load case at one crank angle");
    let schema: serde_json::Value = run(&["schema", "--results"]).json();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let errors: Vec<String> = validator.iter_errors(&document).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    let assessment = &document["assessment"];
    for words in ["roller_contact_law", "pin_contact_law", "gaps", "compliance"] {
        assert!(!assessment["model"][words].as_str().unwrap().is_empty());
    }
    let pose = &assessment["load_cases"][0]["poses"][0];
    let number = |value: &serde_json::Value| value.as_f64().unwrap();
    let list =
        |value: &serde_json::Value| -> Vec<f64> { value.as_array().unwrap().iter().map(number).collect() };
    assert_eq!(number(&pose["crank_angle_rad"]), 0.013);
    assert!(number(&pose["plate_rotation_rad"]) > number(&pose["unloaded_plate_rotation_rad"]));
    assert!(number(&pose["holding_torque_n_mm"]) > 0.0 && number(&pose["residual_ratio"]) < 1e-9);
    let discs = pose["discs"].as_array().unwrap();
    assert_eq!(discs.len(), 2);
    for disc in discs {
        for (force, pressure, count) in [
            ("ring_roller_force_n", "ring_roller_pressure_mpa", 40),
            ("output_pin_force_n", "output_pin_pressure_mpa", 8),
        ] {
            let (forces, pressures) = (list(&disc[force]), list(&disc[pressure]));
            assert_eq!((forces.len(), pressures.len()), (count, count));
            assert!(
                forces.iter().zip(&pressures).all(|(force, pressure)| (*force > 0.0) == (*pressure > 0.0))
            );
            assert!(forces.iter().any(|force| *force > 0.0));
        }
        assert_eq!(list(&disc["bearing_force_n"]).len(), 2);
        assert_eq!(list(&disc["displacement_mm"]).len(), 2);
        assert!(number(&disc["rotation_rad"]).is_finite() && number(&disc["torque_n_mm"]) > 0.0);
    }
}

/// The table holds the numbers of the JSON, contact by contact, under their names.
#[test]
fn identity_loads_as_csv_are_the_loads_of_the_json() {
    let table = run(&["loads", SHOULDER, "--load-case", "peak", "--csv", "-"]);
    assert_eq!(table.code, Some(0));
    let document = run(&["loads", SHOULDER, "--json"]).json();
    let cases = document["assessment"]["load_cases"].as_array().unwrap();
    let peak = cases.iter().find(|case| case["id"] == "peak").unwrap();
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(table.data.as_bytes());
    let names = reader.headers().unwrap().clone();
    let rows: Vec<_> = reader.records().map(Result::unwrap).collect();
    let poses = peak["poses"].as_array().unwrap();
    assert_eq!(rows.len(), 2 * poses.len());
    for (index, row) in rows.iter().enumerate() {
        let (pose, disc) = (&poses[index / 2], &poses[index / 2]["discs"][index % 2]);
        for (name, text) in names.iter().zip(row) {
            let value: f64 = text.parse().unwrap();
            let (stem, last) = name.rsplit_once('_').unwrap_or((name, ""));
            let expected = match (name, last) {
                ("disc", _) => serde_json::json!(index % 2 + 1),
                (_, "x") => disc[stem][0].clone(),
                (_, "y") => disc[stem][1].clone(),
                _ if last.parse::<usize>().is_ok() => disc[stem][last.parse::<usize>().unwrap() - 1].clone(),
                _ if pose[name].is_number() => pose[name].clone(),
                _ => disc[name].clone(),
            };
            // The reader of JSON is right to the last digit but one.
            let expected = expected.as_f64().unwrap();
            assert!((value - expected).abs() <= 1e-15 * expected.abs(), "row {index} {name}");
        }
    }
}

/// Dowels and bearings as drawings call them out: clearance, transition and interference fits.
#[test]
fn locked_fits_and_limits() {
    let callouts = [
        "fit",
        "25k5",
        "8H7/m6",
        "8N7/m6",
        "25bearing/k5",
        "25bearing/h5",
        "62K7/bearing",
        "62H7/bearing",
        "200js4",
    ];
    insta::assert_snapshot!(run(&callouts).whole());
    insta::assert_snapshot!("help_of_fit", run(&["fit", "--help"]).whole());
}

#[test]
fn locked_words_of_wrong_callouts() {
    let wrong = [
        "25q5",
        "25k9",
        "25",
        "H7",
        "8 H7",
        "25H7/",
        "8m6/H7",
        "8H7/M6",
        "200k6/bearing",
        "62bearing/K7",
        "25,5H7",
        "ø25H7",
        "Ø8 H7/m6",
        "25bearing",
        "400H7",
        "2.5K6",
        "300bearing/k5",
    ];
    let words: Vec<String> = wrong
        .iter()
        .map(|callout| {
            let refused = run(&["fit", callout]);
            assert_eq!(refused.code, Some(2), "{callout}");
            format!("{callout}\n{}", refused.talk)
        })
        .collect();
    insta::assert_snapshot!(words.join("\n"));
}

#[test]
fn identity_fits_in_json_are_those_of_the_table() {
    let document = run(&["fit", "8H7/m6", "25k5", "--json"]).json();
    assert_eq!((&document["format"], &document["kind"]), (&serde_json::json!(1), &serde_json::json!("fits")));
    let fit = &document["fits"][0];
    assert_eq!(fit["fit"]["greatest_clearance_mm"], 0.009);
    assert_eq!(fit["fit"]["least_clearance_mm"], -0.015);
    assert_eq!(fit["fit"]["kind"], "transition");
    assert_eq!(fit["parts"][1]["largest_size_mm"], 8.015);
    assert!(document["fits"][1]["fit"].is_null());
    assert_eq!(document["fits"][1]["parts"][0]["lower_deviation_mm"], 0.002);
}

#[test]
fn identity_a_figure_gives_its_numbers_as_csv() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("numbers.csv");
    let path = path.to_str().unwrap();
    for (name, columns) in
        [("force-map-rated", 4), ("bearing-force-rated", 4), ("torque-twist", 4), ("loss-sources", 2)]
    {
        assert_eq!(
            run(&["figure", SHOULDER, "--name", name, "--out", path, "--force"]).code,
            Some(0),
            "{name}"
        );
        let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
        assert_eq!(reader.headers().unwrap().len(), columns, "{name}");
        assert!(reader.records().map(Result::unwrap).count() > 4, "{name}");
    }
    let drawing = run(&["figure", SHOULDER, "--name", "section", "--out", path, "--force"]);
    assert_eq!(drawing.code, Some(2));
    assert!(drawing.talk.contains("has no table of numbers"), "{}", drawing.talk);
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
        (&["schema", "--results", "accuracy"], "schemas/accuracy.schema.json"),
        (&["schema", "--results", "modification"], "schemas/modification.schema.json"),
        (&["schema", "--results", "yield"], "schemas/yield.schema.json"),
        (&["schema", "--results", "fits"], "schemas/fits.schema.json"),
    ] {
        let printed = run(flags);
        assert_eq!(printed.data, std::fs::read_to_string(root().join(path)).unwrap(), "{path}");
        assert!(printed.json()["$schema"].is_string());
    }
}

#[test]
fn locked_help() {
    let mut texts = vec![run(&["--help"]).data];
    for verb in
        ["new", "check", "loads", "accuracy", "make", "report", "deliver", "figure", "schema", "explain"]
    {
        texts.push(run(&[verb, "--help"]).data);
    }
    insta::assert_snapshot!(texts.join("\n=====\n"));
}

#[test]
fn identity_version_is_that_of_the_package() {
    assert_eq!(run(&["--version"]).data.trim(), format!("lobewright {}", env!("CARGO_PKG_VERSION")));
}
