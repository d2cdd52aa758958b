//! `--json` of every command keeps to its schema, with no field that the schema does not describe.

use crate::run::{SHOULDER, drive_files, run};
use jsonschema::Validator;
use serde_json::Value;

/// The drive whose study takes least time.
const TABLE: &str = "examples/sorting-table-index.toml";

/// The schema that the program prints for a kind of document, closed against fields that it does not describe.
fn validator(kind: &str) -> Validator {
    let mut schema = run(&["schema", "--results", kind]).json();
    close(&mut schema);
    jsonschema::validator_for(&schema).unwrap()
}

fn close(schema: &mut Value) {
    match schema {
        Value::Object(entries) => {
            entries.values_mut().for_each(close);
            if entries.get("properties").is_some_and(Value::is_object) {
                entries.insert("additionalProperties".to_owned(), false.into());
            }
        }
        Value::Array(items) => items.iter_mut().for_each(close),
        _ => {}
    }
}

fn assert_keeps_to(validator: &Validator, arguments: &[&str]) -> Value {
    let document = run(arguments).json();
    let errors: Vec<String> =
        validator.iter_errors(&document).map(|error| format!("{}: {error}", error.instance_path())).collect();
    assert!(errors.is_empty(), "{arguments:?}: {errors:?}");
    document
}

#[test]
fn independent_check_and_loads_keep_to_their_schema() {
    let results = validator("results");
    for file in drive_files("examples") {
        assert_keeps_to(&results, &["check", &file, "--json"]);
    }
    assert_keeps_to(&results, &["loads", SHOULDER, "--crank-angle", "0.5 rad", "--json"]);
}

#[test]
fn independent_accuracy_keeps_to_its_schema() {
    let accuracy = validator("accuracy");
    for file in drive_files("examples") {
        let document = assert_keeps_to(&accuracy, &["accuracy", &file, "--json"]);
        assert_eq!(document["kind"], "accuracy");
    }
    assert_keeps_to(&accuracy, &["accuracy", SHOULDER, "--assembly", "3", "--json"]);
}

#[test]
fn independent_yield_and_merge_keep_to_their_schema() {
    let study = validator("yield");
    let directory = tempfile::tempdir().unwrap();
    let shard = directory.path().join("shard.json");
    let shard = shard.to_str().unwrap();
    let few = ["yield", TABLE, "--assemblies", "512", "--loaded", "8", "--crank-angles", "24"];
    let with = |more: &[&'static str]| [&few[..], more].concat();
    let document = assert_keeps_to(&study, &with(&["--propose", "--json"]));
    assert_eq!(document["kind"], "yield");
    assert!(document["result"]["proposal"].is_object());
    let distributions = document["result"]["distributions"].as_array().unwrap();
    assert!(distributions.iter().any(|each| each["id"] == "lost-motion" && each["count"] == 8));
    assert_eq!(run(&[&few[..], &["--shard", "1/1", "--out", shard]].concat()).code, Some(0));
    assert_keeps_to(&study, &["merge", TABLE, shard, "--json"]);
    for file in drive_files("examples") {
        let unloaded = ["yield", &file, "--assemblies", "64", "--loaded", "0", "--crank-angles", "24"];
        assert_keeps_to(&study, &[&unloaded[..], &["--json"]].concat());
    }
}

#[test]
fn independent_modification_keeps_to_its_schema() {
    let modification = validator("modification");
    let document = assert_keeps_to(&modification, &["modification", SHOULDER, "--json"]);
    assert_eq!(document["kind"], "modification");
}

#[test]
fn independent_fits_keep_to_their_schema() {
    let fits = validator("fits");
    let document = assert_keeps_to(&fits, &["fit", "25k5", "8H7/m6", "62K7/bearing", "--json"]);
    assert_eq!(document["fits"][1]["parts"].as_array().unwrap().len(), 2);
}

/// A schema that lets everything through would make the tests above say nothing.
#[test]
fn identity_a_document_of_another_kind_or_with_a_field_amiss_is_refused() {
    let fits = validator("fits");
    let good = run(&["fit", "25k5", "--json"]).json();
    for (pointer, wrong) in [
        ("/kind", Value::from("yield")),
        ("/fits/0/nominal_size_mm", "25 mm".into()),
        ("/fits/0/parts", Value::Null),
    ] {
        let mut bad = good.clone();
        *bad.pointer_mut(pointer).unwrap() = wrong;
        assert!(!fits.is_valid(&bad), "{pointer}");
    }
    assert!(!validator("accuracy").is_valid(&good));
}
