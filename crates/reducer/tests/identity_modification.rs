//! Modified profiles: closed forms against exact gaps, the combination without play, and what the search proposes.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on must stop")]

mod random_drives;

use proptest::prelude::*;
use random_drives::drives;
use reducer::accuracy::modification::closed_form::ClosedForm;
use reducer::accuracy::modification::exact::{Clearances, kinematic_error, play_over, without_play};
use reducer::contact::ContactModel;
use reducer::model::Modification;
use reducer::profile::{LobeProfile, Trochoid};
use reducer::shape::gap_at;
use std::f64::consts::{PI, TAU};

/// A drive of one disc with a profile modified so.
fn modified(drive: &ContactModel, made: &Modification) -> ContactModel {
    let nominal = Trochoid { ring_radius_mm: drive.ring_radius_mm, ..drive.profile.trochoid };
    let cut = Trochoid { ring_radius_mm: drive.ring_radius_mm + made.ring_radius_shift_mm, ..nominal };
    let radius_mm = drive.roller_radius_mm + made.equidistant_offset_mm;
    ContactModel {
        profile: LobeProfile::new(cut, radius_mm, 0.5 * made.flank_rotation_rad),
        pin_play_radius_mm: drive.eccentricity_mm,
        disc_count: 1,
        ..drive.clone()
    }
}

fn closed_form(drive: &ContactModel) -> ClosedForm {
    ClosedForm::of(&Trochoid { ring_radius_mm: drive.ring_radius_mm, ..drive.profile.trochoid })
}

fn modification(offset_mm: f64, shift_mm: f64, rotation_rad: f64) -> Modification {
    Modification {
        equidistant_offset_mm: offset_mm,
        ring_radius_shift_mm: shift_mm,
        flank_rotation_rad: rotation_rad,
    }
}

/// Greatest difference of closed form and exact gap round the ring.
fn gap_error_mm(drive: &ContactModel, made: &Modification) -> f64 {
    let (model, form) = (modified(drive, made), closed_form(drive));
    (1..72)
        .map(|step| PI * f64::from(step) / 72.0)
        .map(|angle| (gap_at(&model, angle).gap_mm - form.gap_mm(made, angle)).abs())
        .fold(0.0, f64::max)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, ..ProptestConfig::default() })]

    /// The closed form of the gap is of first order: a tenth of the modification leaves a hundredth of the error.
    #[test]
    fn identity_gaps_are_of_first_order(drive in drives(), offset in -1.0..1.0_f64, shift in -1.0..1.0_f64, rotation in 0.0..1.0_f64) {
        // Away from the undercut limit, where curvature and with it the second order grow without bounds.
        let size = 1e-4 * drive.roller_radius_mm;
        let scale = closed_form(&drive).longest_lever_mm;
        let made = |factor: f64| {
            let size = factor * size;
            modification(size * offset, size * shift, size * rotation / scale)
        };
        let (whole, tenth) = (gap_error_mm(&drive, &made(1.0)), gap_error_mm(&drive, &made(0.1)));
        prop_assert!(whole < 0.3 * size, "{whole} {size}");
        prop_assert!(tenth < 0.02 * whole + 1e-12 * drive.ring_radius_mm, "{tenth} {whole}");
    }

    /// The smallest gap moves with the offset exactly, and the offset without play leaves a contact and no interference.
    #[test]
    fn identity_offset_without_play_on_exact_gaps(drive in drives(), shift_ratio in 0.1..1.0_f64) {
        let shift = -1e-3 * shift_ratio * drive.roller_radius_mm;
        let found = without_play(&modified(&drive, &modification(0.0, shift, 0.0)));
        let made = modification(found.equidistant_offset_mm, shift, 0.0);
        let model = modified(&drive, &made);
        let left = Clearances::of(&model);
        prop_assert!(left.least.gap_mm.abs() < 1e-10 * drive.ring_radius_mm, "{:?}", left);
        prop_assert!((left.tip_mm.min(left.root_mm) - found.clearance_mm).abs() < 1e-10 * drive.ring_radius_mm);
        let form = closed_form(&drive);
        let first_order = form.offset_without_play_mm(shift);
        prop_assert!((found.equidistant_offset_mm - first_order).abs() < 0.05 * shift.abs(), "{found:?} {first_order}");
        // Rollers that stand elsewhere than at the touching place leave the little play of the kinematic error.
        let pitch = TAU / drive.ring_roller_count as f64;
        let touching = [found.touching_angle_rad, -found.touching_angle_rad];
        let play = play_over(&model, &touching.map(|angle| -angle));
        prop_assert!(play.greatest_rad * form.longest_lever_mm < shift.abs() * 2.0 * pitch.min(0.5), "{play:?}");
    }

    /// Play by the closed form against play by turning the disc on exact gaps until it touches, each flank at its best.
    #[test]
    fn identity_play_is_of_first_order(drive in drives(), offset in 0.0..1.0_f64, shift in 0.0..1.0_f64, rotation in 0.0..1.0_f64) {
        let size = 1e-4 * drive.roller_radius_mm;
        let form = closed_form(&drive);
        let made = modification(size * offset, -size * shift, size * rotation / form.longest_lever_mm);
        let model = modified(&drive, &made);
        let steps = 40;
        let pitch = TAU / drive.ring_roller_count as f64;
        let angles: Vec<f64> = (0..steps).map(|step| pitch * f64::from(step) / f64::from(steps)).collect();
        let least = |sense: f64| {
            angles.iter().map(|&angle| sense * model.touch(angle, sense).disc_rad[0]).fold(f64::INFINITY, f64::min)
        };
        let exact = least(1.0) + least(-1.0);
        prop_assert!((exact - form.play_rad(&made)).abs() * form.longest_lever_mm < 0.05 * size, "{exact} {}", form.play_rad(&made));
    }

    /// Turned flanks alone leave hardly any kinematic error: every roller touches at once.
    #[test]
    fn identity_turned_flanks_leave_no_kinematic_error(drive in drives()) {
        let form = closed_form(&drive);
        let size = 1e-4 * drive.roller_radius_mm;
        let pitch = TAU / drive.ring_roller_count as f64;
        let angles: Vec<f64> = (0..24).map(|step| pitch * f64::from(step) / 24.0).collect();
        let error_of = |made: &Modification| kinematic_error(&modified(&drive, made), &angles).disc_rad;
        let rotation = 2.0 * size / form.longest_lever_mm;
        // The two cuts leave ridges at tip and root, of second order, which rollers must clear.
        let clear = without_play(&modified(&drive, &modification(0.0, 0.0, rotation))).equidistant_offset_mm;
        let offset = clear + 0.01 * size;
        let turned = error_of(&modification(offset, 0.0, rotation));
        prop_assert!(turned * form.longest_lever_mm < 2.0 * offset, "{turned} {offset}");
        // A ring radius shifted for the same play leaves far more where rollers stand far apart.
        let shift = -size / form.flank_share();
        let shifted = error_of(&modification(0.0, shift, 0.0));
        prop_assert!(shifted > turned || offset > 0.05 * size || drive.ring_roller_count > 20, "{shifted} {turned}");
    }
}

/// Clearance of the output holes alone is a play of 2 c/R_w at a pin that stands square to the crank.
#[test]
fn identity_play_of_holes_alone() {
    use proptest::strategy::ValueTree;
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let drive = drives().new_tree(&mut runner).unwrap().current();
    let mut model = modified(&drive, &modification(0.0, 0.0, 0.0));
    let radial_mm = 0.004;
    model.pin_play_radius_mm += radial_mm;
    let crank = (0..2000).map(|step| TAU * f64::from(step) / 2000.0).collect::<Vec<_>>();
    let most = play_over(&model, &crank).greatest_rad;
    let least = 2.0 * radial_mm / model.pin_circle_radius_mm;
    assert!(most >= least * 0.999 && most < 1.5 * least, "{most} {least}");
}
