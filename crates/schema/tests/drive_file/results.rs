//! The JSON of results: keeps to its schema, names what it belongs to, and holds no number that is none.

use crate::examples::example;
use reducer::assess::assess;
use reducer::finding::Standing;
use schema::{DocumentKind, Poses, ResultsDocument, Verdict, read, template};
use serde_json::Value;

/// Every number of a tree of JSON.
fn numbers(value: &Value) -> Vec<f64> {
    match value {
        Value::Number(number) => vec![number.as_f64().unwrap()],
        Value::Array(items) => items.iter().flat_map(numbers).collect(),
        Value::Object(entries) => entries.values().flat_map(numbers).collect(),
        _ => Vec::new(),
    }
}

#[test]
fn independent_results_keep_to_their_schema_and_name_their_file() {
    let file = example("wrist-printed.toml");
    let assessment = assess(&file.drive).unwrap();
    let validator = jsonschema::validator_for(&DocumentKind::Results.schema()).unwrap();
    for poses in [Poses::RatedCase, Poses::All] {
        let value = ResultsDocument::new(&file, &assessment, poses).to_value().unwrap();
        let errors: Vec<String> = validator.iter_errors(&value).map(|error| error.to_string()).collect();
        assert!(errors.is_empty(), "{errors:?}");
        assert_eq!(value["drive"]["sha256"], file.sha256.as_str());
        assert_eq!(value["format"], 1);
        assert_eq!(value["load_cases"][0], "rated");
    }
}

#[test]
fn identity_results_are_thinned_to_the_rated_case_and_lose_nothing_else() {
    let file = example("wrist-printed.toml");
    let assessment = assess(&file.drive).unwrap();
    let thin = ResultsDocument::new(&file, &assessment, Poses::RatedCase).to_value().unwrap();
    let mut full = ResultsDocument::new(&file, &assessment, Poses::All).to_value().unwrap();
    let cases = full["assessment"]["load_cases"].as_array_mut().unwrap();
    assert!(cases.len() > 1);
    for case in cases.iter_mut() {
        assert!(!case["poses"].as_array().unwrap().is_empty());
        if case["id"] != "rated" {
            case["poses"] = Value::Array(Vec::new());
        }
    }
    full["poses"] = thin["poses"].clone();
    assert_eq!(thin, full);
}

#[test]
fn identity_numbers_of_results_have_nine_digits_and_no_negative_zero() {
    let file = example("wrist-printed.toml");
    let assessment = assess(&file.drive).unwrap();
    let document = ResultsDocument::new(&file, &assessment, Poses::RatedCase);
    for number in numbers(&document.to_value().unwrap()) {
        let rounded: f64 = format!("{number:.8e}").parse().unwrap();
        assert!(number == rounded && !(number == 0.0 && number.is_sign_negative()), "{number}");
    }
    let text = document.to_json().unwrap();
    assert!(text.ends_with("}\n") && !text.contains("NaN") && !text.contains("inf"));
}

#[test]
fn identity_verdict_counts_every_check_once() {
    let file = example("wrist-printed.toml");
    let assessment = assess(&file.drive).unwrap();
    let Verdict { fails, doubtful, not_assessed, holds, no_limit } = Verdict::of(&assessment);
    assert_eq!(fails + doubtful + not_assessed + holds + no_limit, assessment.findings.len());
    assert!(holds > 0 && not_assessed > 0);
}

#[test]
fn identity_what_nothing_limits_is_not_counted_as_holding() {
    for name in ["wrist-printed.toml", "sorting-table-index.toml"] {
        let findings = assess(&example(name).drive).unwrap().findings;
        let (told, limited): (Vec<_>, Vec<_>) = findings
            .iter()
            .filter(|finding| finding.value.is_some())
            .partition(|finding| finding.limit.is_none());
        assert!(told.iter().all(|finding| finding.standing == Standing::NoLimit && finding.margin.is_none()));
        assert!(limited.iter().all(|finding| finding.standing != Standing::NoLimit), "{name}");
        assert!(!told.is_empty(), "{name}");
    }
}

#[test]
fn identity_the_starter_drive_passes_its_own_requirement() {
    let file = read("my-drive.toml", template("my-drive").as_bytes()).unwrap();
    let Verdict { fails, doubtful, .. } = Verdict::of(&assess(&file.drive).unwrap());
    assert_eq!((fails, doubtful), (0, 0));
}
