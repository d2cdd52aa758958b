//! The preview against the whole assessment, and work that is called off.
#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

use reducer::assess::{AssessError, assess, assess_watched, preview};
use reducer::model::Drive;
use std::cell::Cell;

fn example(name: &str) -> Drive {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive
}

#[test]
fn identity_settled_findings_of_the_preview_are_those_of_the_whole() {
    for name in ["orchard-arm-shoulder", "sorting-table-index", "wrist-printed"] {
        let drive = example(name);
        let (quick, whole) = (preview(&drive).unwrap(), assess(&drive).unwrap());
        assert!(quick.settled.len() > 20, "{name}: only {} settled", quick.settled.len());
        for finding in quick.assessment.findings.iter().filter(|each| quick.settled.contains(&each.id)) {
            let same =
                whole.findings.iter().find(|each| each.id == finding.id && each.place == finding.place);
            assert_eq!(same, Some(finding), "{name}: {}", finding.id);
        }
        assert_eq!(quick.assessment.load_cases.len(), whole.load_cases.len(), "{name}");
    }
}

#[test]
fn identity_a_geometry_that_cannot_mesh_has_a_preview_without_loads() {
    let mut drive = example("orchard-arm-shoulder");
    drive.geometry.eccentricity_mm *= 3.0;
    let quick = preview(&drive).unwrap();
    assert!(quick.assessment.load_cases.is_empty());
    assert!(quick.assessment.findings.iter().any(|finding| finding.value.is_some()));
}

#[test]
fn identity_work_that_is_called_off_ends_wherever_it_is() {
    let drive = example("wrist-printed");
    let asked = Cell::new(0_u32);
    let count = || {
        asked.set(asked.get() + 1);
        false
    };
    assess_watched(&drive, &count).unwrap();
    let whole = asked.get();
    assert!(whole > 100, "asked {whole} times");
    for stop_at in [1, whole / 2, whole] {
        asked.set(0);
        let stop = || {
            asked.set(asked.get() + 1);
            asked.get() >= stop_at
        };
        assert!(matches!(assess_watched(&drive, &stop), Err(AssessError::CalledOff(_))), "at {stop_at}");
        assert_eq!(asked.get(), stop_at, "work went on after it was called off");
    }
}
