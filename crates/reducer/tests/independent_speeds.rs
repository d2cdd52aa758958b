//! Speeds of the ring-roller contacts over lobe and roller beside the curvature of the profile.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

use reducer::kinematics;
use reducer::loads::pose_at;
use reducer::model::HeldMember;
use reducer::strength::sliding::RollerContact;
use std::f64::consts::TAU;

fn shoulder() -> reducer::model::Drive {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/orchard-arm-shoulder.toml");
    let mut drive = schema::read("shoulder", &std::fs::read(path).unwrap()).unwrap().drive;
    drive.geometry.modification.equidistant_offset_mm = 0.0;
    drive.geometry.modification.ring_radius_shift_mm = 0.0;
    drive.geometry.modification.flank_rotation_rad = 0.0;
    drive.geometry.hole_clearance_mm = 1e-6;
    drive.requirement.ring_temperature_k = 293.15;
    drive.requirement.disc_temperature_k = 293.15;
    drive
}

/// A contact runs over a lobe of radius ρ at −ρ(β' − ω_d); its radius comes from the profile, its turning from a difference.
#[test]
fn independent_speed_over_the_lobe_is_that_of_its_curvature() {
    for held in [HeldMember::Ring, HeldMember::Plate] {
        let mut drive = shoulder();
        drive.geometry.held_member = held;
        let (model, materials) = reducer::assess::model_of(&drive).unwrap();
        let speeds = kinematics::speeds(&drive.geometry, 62.8);
        let crank = speeds.input_rad_per_s - speeds.ring_rad_per_s;
        let crank_angle_rad = 0.17;
        let torque = drive.requirement.rated_torque_n_mm;
        let pose = pose_at(&drive, &model, &materials, torque, crank_angle_rad).unwrap();
        let trochoid = model.profile.trochoid;
        let mut compared = 0;
        for roller in 0..drive.geometry.ring_roller_count {
            let state = &pose.discs[1];
            let contact = RollerContact {
                drive: &drive,
                disc: 1,
                crank_angle_rad,
                place_mm: state.ring_roller_contact_mm[roller].into(),
                into_disc: state.ring_roller_normal[roller].into(),
            };
            let (over_roller, over_lobe) = contact.surface_speeds_mm_per_s(&speeds);
            let phase = crank_angle_rad + TAU / 2.0;
            let normal_rad = |crank_rad: f64| {
                let pitch = kinematics::pitch_point(&drive.geometry, crank_rad);
                let centre = curves::point::polar(62.0, TAU * roller as f64 / 40.0);
                curves::point::angle_of(pitch - centre)
            };
            let step = 1e-5;
            let change = curves::math::wrap_angle(normal_rad(phase + step) - normal_rad(phase - step));
            let turning = change / (2.0 * step) * crank;
            assert!((over_roller - 2.75 * turning).abs() < 1e-3 * over_roller.abs().max(1.0));
            let base = trochoid.curvature_per_mm(TAU * roller as f64 / 40.0 - phase);
            let radius = 1.0 / base - model.profile.generating_radius_mm;
            let disc = speeds.disc_rad_per_s - speeds.ring_rad_per_s;
            if radius.abs() < 50.0 {
                let expected = -radius * (turning - disc);
                assert!(
                    (over_lobe - expected).abs() < 2e-3 * expected.abs().max(1.0),
                    "{roller}: {over_lobe} {expected}"
                );
                compared += 1;
            }
        }
        assert!(compared > 20);
    }
}
