//! The shipped examples keep what they promise, and every finding leads somewhere.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

use reducer::assess::assess;
use reducer::finding::Standing;
use reducer::model::record::{Kind, Section, Tabled};
use reducer::model::{Drive, GapModel, Geometry, HeldMember};
use reducer::phase::{one_part, pin_counts_for_one_part};
use reducer::registry;
use reducer::results::OnePart;

fn examples() -> Vec<(String, Drive)> {
    let folder = format!("{}/../../examples", env!("CARGO_MANIFEST_DIR"));
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "toml"));
    paths.sort();
    let read = |path: std::path::PathBuf| {
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let file =
            schema::read(&name, &std::fs::read(&path).unwrap()).unwrap_or_else(|errors| panic!("{errors}"));
        (name, file.drive)
    };
    paths.into_iter().map(read).collect()
}

/// Whether a dotted key leads to a field or table of the drive file.
fn is_key(section: &Section, key: &str) -> bool {
    let (first, rest) = key.split_once('.').map_or((key, None), |(first, rest)| (first, Some(rest)));
    match (section.field(first).map(|field| field.kind), rest) {
        (Some(Kind::Section(inner) | Kind::List(inner)), Some(rest)) => is_key(inner, rest),
        (found, None) => found.is_some(),
        _ => false,
    }
}

#[test]
fn identity_examples_pass_their_own_requirements() {
    let names: Vec<_> = examples().into_iter().map(|(name, _)| name).collect();
    assert_eq!(names.len(), 5, "{names:?}");
    for (name, drive) in examples() {
        let assessment = assess(&drive).unwrap();
        let broken: Vec<_> = assessment
            .findings
            .iter()
            .filter(|finding| matches!(finding.standing, Standing::Fails | Standing::Doubtful))
            .map(|finding| finding.id)
            .collect();
        // The variant with ten pins is there to teach why the discs then differ.
        let taught: &[&str] = if name == "sluice-gate-lift-ten-pins" { &["one-part-number"] } else { &[] };
        assert_eq!(broken, taught, "{name}");
    }
}

/// Any other number of pins between those that are proposed leaves the discs different, and both make them one part.
#[test]
fn identity_the_nearest_pin_counts_for_one_part_are_proposed() {
    let (_, drive) = examples().into_iter().find(|(name, _)| name == "sluice-gate-lift-ten-pins").unwrap();
    let is_one = |pin_count: usize| {
        let geometry = Geometry { pin_count, ..drive.geometry.clone() };
        one_part(&geometry) == OnePart::SameWayUp
    };
    let counts = pin_counts_for_one_part(&drive.geometry);
    assert_eq!(counts, [9, 18]);
    assert!((9..=18).all(|count| is_one(count) == counts.contains(&count)));
    let findings = assess(&drive).unwrap().findings;
    let hint = &findings.iter().find(|finding| finding.id == "one-part-number").unwrap().hint;
    assert!(hint.starts_with("pin_count = 9, or 18, would make"), "{hint}");
}

#[test]
fn identity_findings_name_quantity_formula_and_key_that_exist() {
    for (name, drive) in examples() {
        for finding in assess(&drive).unwrap().findings {
            let place = format!("{name}: {}", finding.id);
            assert!(finding.quantity.is_empty() || registry::quantity(finding.quantity).is_some(), "{place}");
            assert!(finding.formula.is_empty() || registry::formula(finding.formula).is_some(), "{place}");
            assert!(is_key(&Drive::SECTION, finding.key), "{place}: key {}", finding.key);
            assert!(finding.value.is_none_or(f64::is_finite), "{place}");
            assert!(finding.margin.is_none_or(f64::is_finite), "{place}");
        }
    }
}

/// With the ring as output the same teeth give one more to the ratio, and the crank's torque follows.
#[test]
fn identity_ring_as_output() {
    let (_, mut drive) = examples().remove(0);
    // Only gaps at the displaced position do the work of the crank exactly; linear ones miss it by some thousandths.
    drive.model.gaps = GapModel::ReEvaluated;
    let turned_ring = {
        drive.geometry.held_member = HeldMember::Plate;
        drive.requirement.ratio += 1.0;
        assess(&drive).unwrap()
    };
    let rated = &turned_ring.load_cases[0];
    let expected = rated.output_torque_n_mm / turned_ring.kinematics.ratio;
    let actual = rated.extremes.mean_holding_torque_n_mm;
    assert!((actual.abs() / expected.abs() - 1.0).abs() < 1e-3, "{actual} {expected}");
    assert!(rated.poses.iter().all(|pose| pose.plate_rotation_rad > pose.unloaded_plate_rotation_rad));
}
