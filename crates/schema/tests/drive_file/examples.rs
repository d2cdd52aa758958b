//! The example drives read without a word, keep to the JSON Schema, and survive edits.

use crate::common::{drive_files, file_name};
use schema::{Colour, DocumentKind, DriveFile, json_schema, read, template};
use serde_json::Value;

/// An example drive, read.
pub fn example(name: &str) -> DriveFile {
    let path = drive_files("examples").into_iter().find(|path| file_name(path) == name).unwrap();
    read(name, &std::fs::read(path).unwrap()).unwrap_or_else(|wrong| panic!("\n{wrong}"))
}

/// TOML text as JSON, by the parser alone, without this crate's reader.
fn as_json(text: &str) -> Value {
    serde_json::to_value(text.parse::<toml::Table>().unwrap()).unwrap()
}

#[test]
fn identity_every_example_reads_without_error_or_caution() {
    for path in drive_files("examples") {
        let name = file_name(&path);
        let file = example(&name);
        assert!(file.cautions.is_empty(), "\n{}", file.cautions.render(Colour::Plain));
        assert_eq!(name, format!("{}.toml", file.drive.identity.name));
    }
}

#[test]
fn independent_examples_and_starter_file_keep_to_the_json_schema() {
    let schema = json_schema();
    assert!(jsonschema::meta::is_valid(&schema));
    let validator = jsonschema::validator_for(&schema).unwrap();
    let texts = drive_files("examples").into_iter().map(|path| std::fs::read_to_string(path).unwrap());
    for text in texts.chain([template("starter")]) {
        let errors: Vec<String> =
            validator.iter_errors(&as_json(&text)).map(|error| error.to_string()).collect();
        assert!(errors.is_empty(), "{errors:?}");
    }
}

/// What is wrong with one key alone is wrong for the JSON Schema too; only rules across keys, limits
/// of quantities and the calendar are left to the reader.
#[test]
fn independent_json_schema_refuses_what_the_reader_refuses() {
    let validator = jsonschema::validator_for(&json_schema()).unwrap();
    let refused = [
        "bare-number",
        "bare-number-in-text",
        "bearing-double-brackets",
        "count-with-decimals",
        "decimal-comma",
        "duty-empty",
        "duty-single-brackets",
        "key-in-wrong-table",
        "key-missing",
        "key-misspelt",
        "key-with-unit",
        "no-number",
        "table-missing",
        "unit-misspelt",
        "unit-not-known",
        "unit-of-another-kind",
        "word-not-known",
    ];
    let paths = drive_files("examples/errors");
    for name in refused {
        let path = paths.iter().find(|path| file_name(path) == format!("{name}.toml")).unwrap();
        let text = std::fs::read_to_string(path).unwrap();
        assert!(!validator.is_valid(&as_json(&text)), "{name}");
    }
}

#[test]
fn identity_schema_of_every_document_is_a_schema() {
    for kind in DocumentKind::ALL {
        let schema = kind.schema();
        assert!(jsonschema::meta::is_valid(&schema), "{kind:?}");
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        assert_eq!(schema["properties"]["kind"]["const"], kind.word());
    }
}

#[test]
fn identity_content_hash_is_that_of_the_bytes() {
    // SHA-256 of the empty text and of "abc" as the standard prints them (FIPS 180-4, from memory) are
    // the library's own tests; here only that a changed byte changes the hash and the same bytes do not.
    let file = example("wrist-printed.toml");
    assert_eq!(file.sha256.len(), 64);
    assert_eq!(read("other-name.toml", file.text.as_bytes()).unwrap().sha256, file.sha256);
    assert_ne!(read("x.toml", format!("{}\n", file.text).as_bytes()).unwrap().sha256, file.sha256);
}

#[test]
fn identity_an_edit_changes_its_value_and_nothing_else() {
    let file = example("orchard-arm-shoulder.toml");
    let edited = file.with_value("geometry.eccentricity", "1.3 mm").unwrap();
    assert_eq!(edited.drive.geometry.eccentricity_mm, 1.3);
    assert_eq!(edited.text, file.text.replace("\"1.25 mm\"", "\"1.3 mm\""));
    let back = edited.with_value("geometry.eccentricity", "1.25 mm").unwrap();
    assert_eq!((back.text, back.sha256), (file.text.clone(), file.sha256.clone()));

    let edited = file.with_value("requirement.duty[1].torque", "200 Nm").unwrap();
    assert_eq!(edited.drive.requirement.duty[1].torque_n_mm, 200_000.0);
    assert_eq!(edited.text.lines().count(), file.text.lines().count());
    let counted = file.with_value("geometry.pin_count", "10").unwrap();
    assert_eq!(counted.drive.geometry.pin_count, 10);
    let added = file.with_value("model.least_wall", "2 mm").unwrap();
    assert_eq!(added.drive.model.least_wall_mm, 2.0);
    assert_eq!(added.without("model.least_wall").unwrap().drive, file.drive);
}

#[test]
fn identity_a_bad_edit_is_told_like_a_bad_file() {
    let file = example("orchard-arm-shoulder.toml");
    let told = |path: &str, text: &str| file.with_value(path, text).unwrap_err().items()[0].message.clone();
    assert_eq!(told("geometry.eccentricity", "1.3"), "`eccentricity` has no unit: 1.3");
    assert_eq!(told("geometry.pin_count", "eight"), "`pin_count` is text");
    assert_eq!(told("geometry.excentricity", "1 mm"), "the drive file has no key `geometry.excentricity`");
    assert_eq!(told("geometry", "1 mm"), "`geometry` is a table, not a value");
    assert_eq!(told("requirement.duty[7].torque", "1 Nm"), "the file has no table [requirement.duty[7]]");
}
