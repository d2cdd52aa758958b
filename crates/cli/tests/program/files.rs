//! Files that are written: whole, listed, the same on every run, and never over somebody else's.

use crate::run::{Run, SHOULDER, run};
use std::collections::BTreeMap;
use std::path::Path;

fn snapshot(directory: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = std::fs::read_dir(directory).unwrap().map(|entry| entry.unwrap());
    entries
        .map(|entry| (entry.file_name().into_string().unwrap(), std::fs::read(entry.path()).unwrap()))
        .collect()
}

fn deliver(out: &Path, more: &[&str]) -> Run {
    let mut arguments = vec!["deliver", SHOULDER, "--out", out.to_str().unwrap()];
    arguments.extend(more);
    run(&arguments)
}

#[cfg(feature = "pdf")]
#[test]
fn identity_deliver_writes_all_files_and_lists_them_with_their_hashes() {
    let directory = tempfile::tempdir().unwrap();
    let out = directory.path().join("out");
    let delivered = deliver(&out, &[]);
    assert_eq!(delivered.code, Some(0), "{}", delivered.whole());
    let files = snapshot(&out);
    let names: Vec<&str> = files.keys().map(String::as_str).collect();
    assert_eq!(
        names,
        ["disc.dxf", "disc.step", "loads.csv", "manifest.json", "profile.csv", "report.pdf", "results.json"]
    );
    assert!(files["report.pdf"].starts_with(b"%PDF"));
    assert!(files["disc.step"].starts_with(b"ISO-10303-21"));
    let manifest: serde_json::Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
    let results: serde_json::Value = serde_json::from_slice(&files["results.json"]).unwrap();
    for entry in manifest["files"].as_array().unwrap() {
        let bytes = &files[entry["name"].as_str().unwrap()];
        assert_eq!(entry["bytes"], bytes.len());
        assert_eq!(entry["drive_file_sha256"], results["drive"]["sha256"]);
    }
    assert_eq!(manifest["files"].as_array().unwrap().len(), files.len() - 1);
    assert_eq!(delivered.data, run(&["check", SHOULDER]).data);
}

/// The study stands beside the results, and is the one that `yield` does of as many drives without load.
#[test]
fn identity_deliver_adds_the_study_that_yield_does() {
    let directory = tempfile::tempdir().unwrap();
    let out = directory.path().join("out");
    assert_eq!(deliver(&out, &["--assemblies", "600"]).code, Some(0));
    let files = snapshot(&out);
    let alone = run(&["yield", SHOULDER, "--assemblies", "600", "--loaded", "0", "--json"]);
    assert_eq!(String::from_utf8_lossy(&files["yield.json"]), alone.data);
    let manifest = String::from_utf8_lossy(&files["manifest.json"]);
    assert!(manifest.contains("\"yield.json\""), "{manifest}");
    let refused = deliver(&out, &["--assemblies", "0"]);
    assert_eq!(refused.code, Some(2), "{}", refused.talk);
}

#[test]
fn identity_two_runs_give_the_same_bytes() {
    let directory = tempfile::tempdir().unwrap();
    let (first, second) = (directory.path().join("first"), directory.path().join("second"));
    deliver(&first, &[]);
    deliver(&second, &[]);
    assert_eq!(snapshot(&first), snapshot(&second));
    assert_eq!(deliver(&first, &[]).code, Some(0));
    assert_eq!(snapshot(&first), snapshot(&second));
}

#[test]
fn identity_a_changed_file_stops_the_run_before_anything_is_written() {
    let directory = tempfile::tempdir().unwrap();
    let out = directory.path().join("out");
    deliver(&out, &[]);
    std::fs::write(out.join("disc.dxf"), "edited by hand").unwrap();
    let before = snapshot(&out);
    let refused = deliver(&out, &["--tolerance", "5 µm"]);
    assert_eq!(refused.code, Some(3));
    assert!(refused.talk.contains("disc.dxf` was changed since it was written"), "{}", refused.talk);
    assert!(refused.talk.contains("--force"));
    assert_eq!(snapshot(&out), before);
    assert_eq!(deliver(&out, &["--tolerance", "5 µm", "--force"]).code, Some(0));
    assert_ne!(snapshot(&out), before);
}

#[test]
fn identity_new_never_overwrites_a_drive_file() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("gate.toml");
    std::fs::write(&path, "# months of work\n").unwrap();
    let refused = run(&["new", "gate", "--out", path.to_str().unwrap()]);
    assert_eq!(refused.code, Some(3));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "# months of work\n");
}

#[test]
fn identity_discs_that_differ_get_a_file_each() {
    let directory = tempfile::tempdir().unwrap();
    let out = directory.path().join("out");
    let made = run(&["make", "examples/sluice-gate-lift-ten-pins.toml", "--out", out.to_str().unwrap()]);
    assert!(matches!(made.code, Some(0 | 1)), "{}", made.whole());
    let names: Vec<String> = snapshot(&out).into_keys().collect();
    let expected = [
        "disc-1.dxf",
        "disc-1.step",
        "disc-2.dxf",
        "disc-2.step",
        "disc-3.dxf",
        "disc-3.step",
        "manifest.json",
        "profile.csv",
    ];
    assert_eq!(names, expected);
}

#[cfg(feature = "pdf")]
#[test]
fn identity_a_report_goes_on_the_manifest_of_its_directory() {
    let directory = tempfile::tempdir().unwrap();
    let out = directory.path().join("out");
    run(&["make", SHOULDER, "--out", out.to_str().unwrap()]);
    let path = out.join("shoulder.pdf");
    let reported = run(&["report", SHOULDER, "--out", path.to_str().unwrap()]);
    assert_eq!(reported.code, Some(0), "{}", reported.whole());
    let manifest = String::from_utf8(snapshot(&out).remove("manifest.json").unwrap()).unwrap();
    assert!(manifest.contains("shoulder.pdf") && manifest.contains("disc.dxf"));
}
