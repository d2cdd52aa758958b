//! Proposals of profile modifications keep what was wished for, and an impossible wish is told.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on must stop")]

use reducer::accuracy::modification::{ModificationError, Wish, propose, usual_clearance_mm};
use reducer::assess::model_of;
use reducer::model::{BearingModel, DiscModel, Drive, Modification, Production};
use reducer::results::{ClearanceReason, ModificationResult, ModificationState};

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

/// Steps of 0.1 µm and 0.01 arcmin in which proposals are written.
const STEP_MM: f64 = 1e-4;
const STEP_RAD: f64 = 0.01 * std::f64::consts::PI / 10_800.0;

#[test]
fn identity_proposals_keep_backlash_and_clearance() {
    for name in ["orchard-arm-shoulder", "sorting-table-index", "wrist-printed"] {
        let drive = example(name);
        let result = proposed(&drive, Wish::default()).unwrap();
        let lever = drive.geometry.eccentricity_mm * (drive.geometry.ring_roller_count as f64 - 1.0);
        assert!(!states(&result).is_empty(), "{name}");
        for state in states(&result) {
            // As rounded: never more backlash than wanted, and less only by what the steps leave; never less clearance.
            let left = result.wanted_backlash_rad - state.geometric_backlash_rad;
            assert!(left > -1e-11 && left < 8.0 * STEP_MM / lever + STEP_RAD, "{name}: {left}");
            let clearance = state.tip_gap_mm.min(state.root_clearance_mm);
            let clearance = clearance.min(state.operating_clearance_mm);
            assert!(clearance > result.wanted_clearance_mm - 2e-9, "{name}: {clearance}");
            assert!(state.least_gap_mm.min(state.operating_gap_mm) > -2e-8, "{name}");
            for (value, step) in [
                (state.equidistant_offset_mm, STEP_MM),
                (state.ring_radius_shift_mm, STEP_MM),
                (state.flank_rotation_rad, STEP_RAD),
            ] {
                assert!((value / step - (value / step).round()).abs() < 1e-6, "{name}: {value}");
            }
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
        ..Wish::default()
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
            Wish { backlash_rad: Some(value), ..Wish::default() },
            Wish { clearance_mm: Some(value), ..Wish::default() },
            Wish { backlash_share: Some(value), ..Wish::default() },
        ] {
            let error = proposed(&drive, wish).unwrap_err();
            assert!(matches!(error, ModificationError::WishOutOfRange { .. }), "{error}");
        }
    }
    let tight = proposed(&drive, Wish { backlash_rad: Some(1e-5), ..Wish::default() }).unwrap_err();
    assert!(matches!(tight, ModificationError::HolesPlayMore { .. }), "{tight}");
    assert!(tight.to_string().contains("arcmin") && !tight.hint().is_empty());
    // Two cuts can not leave 6 µm within 1.2 arcmin, and nothing leaves two millimetres.
    for clearance_mm in [0.006, 0.05, 2.0] {
        let wish = Wish { clearance_mm: Some(clearance_mm), ..Wish::default() };
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

/// The backlash aimed at is the share of the required one, and a drive without requirement has none to share.
#[test]
fn identity_a_share_is_of_the_required_backlash() {
    let mut drive = example("orchard-arm-shoulder");
    let required = drive.requirement.geometric_backlash_rad.unwrap();
    for share in [0.7, 1.0] {
        let wish = Wish { backlash_share: Some(share), clearance_mm: Some(0.003), ..Wish::default() };
        let result = proposed(&drive, wish).unwrap();
        assert!((result.wanted_backlash_rad - share * required).abs() < 1e-15);
        assert_eq!(result.wanted_backlash_share, Some(share));
    }
    drive.requirement.geometric_backlash_rad = None;
    let wish = Wish { backlash_share: Some(0.5), ..Wish::default() };
    assert_eq!(proposed(&drive, wish).unwrap_err(), ModificationError::NothingToShare);
    let result = proposed(&drive, Wish { clearance_mm: Some(0.001), ..Wish::default() }).unwrap();
    assert_eq!(result.wanted_backlash_rad, result.present.geometric_backlash_rad);
}

/// The same drive, exact in everything.
fn without_tolerances(drive: Drive) -> Drive {
    let path = format!("{}/../../examples/orchard-arm-shoulder.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).unwrap();
    let start = text.find("[tolerances]").unwrap();
    let end = text.find("[model]").unwrap();
    let exact = format!("{}{}", &text[..start], &text[end..]);
    let tolerances = schema::read("exact", exact.as_bytes()).unwrap().drive.tolerances;
    Drive { tolerances, ..drive }
}

/// By default tips are free in as many assemblies as is promised; without tolerances the process alone decides.
#[test]
fn identity_default_clearance_frees_tips_within_the_tolerances() {
    let drive = example("orchard-arm-shoulder");
    let result = proposed(&drive, Wish::default()).unwrap();
    assert_eq!(result.clearance_reason, ClearanceReason::Tolerances);
    for state in states(&result) {
        let free = state.assemblies.unwrap().tips_free_share;
        assert!((0.98..=1.0).contains(&free), "{free}");
    }
    let tolerated = result.wanted_clearance_mm;
    let without = proposed(&without_tolerances(drive), Wish::default()).unwrap();
    assert_eq!(without.clearance_reason, ClearanceReason::Process);
    assert_eq!(without.wanted_clearance_mm, usual_clearance_mm(Production::Ground));
    assert!(without.wanted_clearance_mm < tolerated);
    assert!(states(&without).iter().all(|state| state.assemblies.is_none()));
}

/// A drive with a combination of the table has no play but that of its output holes, and the clearance that the table says.
#[test]
fn identity_combinations_without_play_have_none() {
    let drive = example("orchard-arm-shoulder");
    let wish = Wish { clearance_mm: Some(0.008), ..Wish::default() };
    let result = proposed(&drive, wish).unwrap();
    assert_eq!(result.without_play.len(), 4);
    assert!(result.without_play[3].flank_rotation_rad > 1e-5);
    for made in &result.without_play {
        let mut free = drive.clone();
        free.geometry.modification = Modification {
            equidistant_offset_mm: made.exact_offset_mm,
            ring_radius_shift_mm: made.ring_radius_shift_mm,
            flank_rotation_rad: made.flank_rotation_rad,
        };
        let present = proposed(&free, wish).unwrap().present;
        // Rollers stand at steps of the pitch, the nearest one a little off the best place on the flank.
        let play = present.geometric_backlash_rad - result.hole_play_rad;
        assert!(play > -1e-9 && play < 0.03 * result.wanted_backlash_rad, "{play}");
        let clearance = present.tip_gap_mm.min(present.root_clearance_mm);
        assert!((clearance - made.play_free_clearance_mm).abs() < 1e-8);
        assert!((made.exact_offset_mm - made.equidistant_offset_mm).abs() < 1e-4);
    }
}

/// Each point of a figure's curves holds the wanted backlash.
#[test]
fn identity_curves_hold_the_backlash() {
    let drive = example("orchard-arm-shoulder");
    let wish = Wish { clearance_mm: Some(0.008), curves: true, ..Wish::default() };
    let result = proposed(&drive, wish).unwrap();
    assert!(result.curves.iter().all(|curve| curve.points.len() > 5));
    for point in result.curves.iter().flat_map(|curve| curve.points.iter().step_by(6)) {
        let mut made = drive.clone();
        made.geometry.modification = Modification {
            equidistant_offset_mm: point.equidistant_offset_mm,
            ring_radius_shift_mm: point.ring_radius_shift_mm,
            flank_rotation_rad: point.flank_rotation_rad,
        };
        let present = proposed(&made, wish).unwrap().present;
        assert!((present.geometric_backlash_rad - result.wanted_backlash_rad).abs() < 2e-7, "{point:?}");
        // The curves' forces are those of the search, at nine crank angles; peaks of a rigid drive are narrow.
        let ratio = point.ring_roller_force_n / present.ring_roller_force.value;
        assert!((0.85..1.15).contains(&ratio), "{ratio} {point:?}");
    }
}
