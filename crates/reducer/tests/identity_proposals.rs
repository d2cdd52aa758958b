//! Proposals of profile modifications keep what was wished for, and an impossible wish is told.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on must stop")]

use reducer::accuracy::modification::{ModificationError, Wish, propose};
use reducer::assess::model_of;
use reducer::model::{BearingModel, DiscModel, Drive};
use reducer::results::{ModificationResult, ModificationState};

/// An example with rigid discs and bearings and few crank angles, which is quick.
fn example(name: &str) -> Drive {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let mut drive = schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive;
    drive.model.disc = DiscModel::Rigid;
    drive.model.eccentric_bearing = BearingModel::Rigid;
    drive.model.crank_angle_count = 24;
    drive
}

fn proposed(drive: &Drive, wish: Wish) -> Result<ModificationResult, ModificationError> {
    let (model, materials) = model_of(drive).unwrap();
    propose(drive, &model, &materials, wish)
}

fn states(result: &ModificationResult) -> Vec<&ModificationState> {
    result.proposals.iter().filter_map(|proposal| proposal.state.as_ref()).collect()
}

/// What rounding to steps of 0.1 µm and 0.01 arcmin may change.
const HALF_STEP_MM: f64 = 0.5e-4;

#[test]
fn identity_proposals_keep_backlash_and_clearance() {
    for name in ["orchard-arm-shoulder", "sorting-table-index", "wrist-printed"] {
        let drive = example(name);
        let result = proposed(&drive, Wish::default()).unwrap();
        let lever = drive.geometry.eccentricity_mm * (drive.geometry.ring_roller_count as f64 - 1.0);
        assert!(!states(&result).is_empty(), "{name}");
        for state in states(&result) {
            let off = (state.geometric_backlash_rad - result.wanted_backlash_rad).abs();
            assert!(off < 5.0 * HALF_STEP_MM / lever + 1.5e-6, "{name}: {off}");
            let clearance = state.tip_gap_mm.min(state.root_clearance_mm);
            let clearance = clearance.min(state.operating_clearance_mm);
            assert!(clearance > result.wanted_clearance_mm - 1.1 * HALF_STEP_MM, "{name}: {clearance}");
            assert!(state.least_gap_mm.min(state.operating_gap_mm) > -2.0 * HALF_STEP_MM, "{name}");
            assert!(state.ring_roller_force.value.is_finite() && state.force_ratio > 0.0);
        }
        let all = result.proposals[2].state.as_ref().unwrap().ring_roller_force.value;
        for state in states(&result) {
            assert!(all <= state.ring_roller_force.value, "{name}");
        }
    }
}

/// What the present file has, all three together can have with no more force.
#[test]
fn identity_the_present_wish_is_fulfilled_as_well() {
    let drive = example("orchard-arm-shoulder");
    let present = proposed(&drive, Wish::default()).unwrap().present;
    let wish = Wish {
        backlash_rad: Some(present.geometric_backlash_rad),
        clearance_mm: Some(present.tip_gap_mm.min(present.root_clearance_mm)),
    };
    let result = proposed(&drive, wish).unwrap();
    let best = result.proposals[2].state.as_ref().unwrap();
    assert!(best.force_ratio < 1.01, "{best:?}");
    assert_eq!(result, proposed(&drive, wish).unwrap());
}

#[test]
fn identity_a_wish_that_can_not_be_is_told() {
    let drive = example("orchard-arm-shoulder");
    for value in [f64::NAN, f64::INFINITY, -1e-3, 5.0] {
        for wish in [
            Wish { backlash_rad: Some(value), clearance_mm: None },
            Wish { backlash_rad: None, clearance_mm: Some(value) },
        ] {
            let error = proposed(&drive, wish).unwrap_err();
            assert!(matches!(error, ModificationError::WishOutOfRange { .. }), "{error}");
        }
    }
    let tight = proposed(&drive, Wish { backlash_rad: Some(1e-5), clearance_mm: None }).unwrap_err();
    assert!(matches!(tight, ModificationError::HolesPlayMore { .. }), "{tight}");
    assert!(tight.to_string().contains("arcmin") && !tight.hint().is_empty());
    // Two cuts can not leave 6 µm within 1.2 arcmin, and nothing leaves two millimetres.
    for clearance_mm in [0.006, 0.05, 2.0] {
        let wish = Wish { backlash_rad: None, clearance_mm: Some(clearance_mm) };
        let result = proposed(&drive, wish).unwrap();
        let turned = &result.proposals[1];
        assert!(turned.state.is_none() && !turned.obstacle.is_empty());
        let text = format!("{result:?}");
        assert!(!text.contains("NaN"), "{text}");
    }
}

#[test]
fn identity_a_drive_that_does_not_mesh_gets_no_proposal() {
    let mut drive = example("orchard-arm-shoulder");
    drive.geometry.eccentricity_mm = 5.0;
    assert_eq!(proposed(&drive, Wish::default()), Err(ModificationError::DoesNotMesh));
}
