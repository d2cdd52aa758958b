//! Laws that profile and loaded contact must keep, over random valid drives.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on must stop")]

mod random_drives;

use curves::ClosedCurve;
use curves::point::{Point, Vector, cross, polar, unit};
use proptest::prelude::*;
use random_drives::{drives, without_gaps};
use reducer::contact::support::CentreSupport;
use reducer::contact::{ContactModel, LoadedPosition, RollerLaw};
use reducer::line_contact::LineContact;
use reducer::profile::Trochoid;

/// Force of the rollers on disc 0 along and across the crank, and torque about the disc's centre.
fn roller_resultant(model: &ContactModel, loaded: &LoadedPosition) -> (f64, f64, f64) {
    let geometry = &loaded.discs[0];
    let along = unit(geometry.crank_angle_rad);
    let centre = Point::from(along * model.eccentricity_mm);
    let (mut force, mut torque) = (Vector::zeros(), 0.0);
    for (contact, &magnitude) in geometry.rollers.iter().zip(&loaded.forces[0].roller_n) {
        let on_disc = -contact.normal * magnitude;
        force += on_disc;
        torque += cross(contact.place_mm - centre, on_disc);
    }
    (force.dot(&along), cross(along, force), torque)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    /// All normals of the ideal mesh pass through the pitch point, e z_r from the ring's centre along the crank.
    #[test]
    fn identity_normals_pass_through_the_pitch_point(drive in drives(), crank_angle in 0.0..7.0_f64) {
        let model = without_gaps(drive);
        let position = model.position(crank_angle, 1.0);
        for geometry in &position.discs {
            let radius = model.eccentricity_mm * model.ring_roller_count as f64;
            let pitch_point = polar(radius, geometry.crank_angle_rad);
            for contact in &geometry.rollers {
                let miss = cross(pitch_point - contact.place_mm, contact.normal).abs();
                prop_assert!(miss < 1e-9 * model.ring_radius_mm, "{miss}");
                prop_assert!(contact.gap_mm.abs() < 1e-10 * model.ring_radius_mm, "{}", contact.gap_mm);
            }
        }
    }

    /// Without gaps, with linear springs and a rigid bearing, forces follow the classical lever arms:
    /// Q_i = Q_max l_i/l_max and Σ Q_i l_i = T_disc.
    #[test]
    fn identity_classical_distribution_without_gaps(drive in drives(), crank_angle in 0.0..7.0_f64, torque in 1e3..1e7_f64) {
        let law = LineContact::linear(2e5);
        let model = ContactModel { roller_law: RollerLaw::Uniform(law), disc_count: 1, ..without_gaps(drive) };
        let model = ContactModel { pin_laws: vec![law], roller_compliance_mm_per_n: vec![0.0], ..model };
        let position = model.position(crank_angle, 1.0);
        let loaded = model.solve(&position, torque, None).unwrap();
        let levers = &loaded.discs[0].roller_lever_mm;
        let forces = &loaded.forces[0].roller_n;
        let sum: f64 = levers.iter().filter(|lever| **lever > 0.0).map(|lever| lever * lever).sum();
        for (force, lever) in forces.iter().zip(levers) {
            let classical = torque * lever.max(0.0) / sum;
            prop_assert!((force - classical).abs() <= 1e-9 * torque / model.lever_scale_mm(), "{force} {classical}");
        }
    }

    /// Forces balance whatever the gaps: the rollers' torque is the disc's share, and their pull across the crank is
    /// T/(e z_l) for the nominal profile; the crank's torque is T/z_l.
    #[test]
    fn identity_balance_of_forces(drive in drives(), crank_angle in 0.0..7.0_f64, torque in 1e3..1e7_f64) {
        let position = drive.position(crank_angle, 1.0);
        let loaded = drive.solve(&position, torque, None).unwrap();
        let (_, _, rollers) = roller_resultant(&drive, &loaded);
        prop_assert!((rollers + loaded.forces[0].torque_n_mm).abs() < 2e-3 * torque);
        let shared: f64 = loaded.forces.iter().map(|forces| forces.torque_n_mm).sum();
        prop_assert!((shared - torque).abs() < 1e-9 * torque);

        let model = without_gaps(drive);
        let position = model.position(crank_angle, 1.0);
        let loaded = model.solve(&position, torque, None).unwrap();
        let (_, across, rollers) = roller_resultant(&model, &loaded);
        let share = loaded.forces[0].torque_n_mm;
        prop_assert!((rollers + share).abs() < 1e-9 * torque);
        prop_assert!((across.abs() - share / model.lever_scale_mm()).abs() < 1e-9 * torque / model.lever_scale_mm());
        let lobes = model.lobe_count() as f64;
        prop_assert!((loaded.holding_torque_n_mm.abs() - torque / lobes).abs() < 1e-9 * torque);
    }

    /// Turning the crank by one roller pitch moves every roller force to the next roller.
    #[test]
    fn identity_roller_forces_repeat_after_a_roller_pitch(drive in drives(), crank_angle in 0.0..7.0_f64) {
        let pitch = std::f64::consts::TAU / drive.ring_roller_count as f64;
        // One disc with pins that act alike at every angle: the rollers then know nothing of the pins' places.
        let model = ContactModel { disc_count: 1, pin_play_radius_mm: drive.eccentricity_mm, ..drive };
        let solve = |angle: f64| {
            let position = model.position(angle, 1.0);
            model.solve(&position, 1e5, None).unwrap().forces.remove(0).roller_n
        };
        let (before, after) = (solve(crank_angle), solve(crank_angle + pitch));
        for (roller, force) in before.iter().enumerate() {
            let next = (roller + 1) % model.ring_roller_count;
            prop_assert!((force - after[next]).abs() < 1e-6 * 1e5 / model.lever_scale_mm());
        }
    }

    /// The closed forms of area and length agree with the sampled curve, and its curvature with finite turning.
    #[test]
    fn identity_area_and_length_of_the_profile(drive in drives()) {
        let profile = drive.profile;
        let count = 400 * profile.trochoid.lobe_count();
        let step = profile.period() / count as f64;
        let points: Vec<_> = (0..count).map(|index| profile.at(index as f64 * step)).collect();
        let area: f64 = points
            .iter()
            .map(|point| 0.5 * cross(point.position_mm.coords, point.tangent) * point.speed_mm * step)
            .sum();
        let length: f64 = points.iter().map(|point| point.speed_mm * step).sum();
        let turning: f64 = points.iter().map(|point| point.curvature_per_mm * point.speed_mm * step).sum();
        prop_assert!((area - profile.area_mm2()).abs() < 1e-9 * area, "{area} {}", profile.area_mm2());
        prop_assert!((length - profile.length_mm()).abs() < 1e-9 * length);
        prop_assert!((turning - std::f64::consts::TAU).abs() < 1e-9);
    }

    /// Curvature in closed form against the turning of the tangent.
    #[test]
    fn identity_curvature_is_the_turning_of_the_tangent(drive in drives(), parameter in 0.0..6.3_f64) {
        let profile = drive.profile;
        let small = 1e-6 / profile.trochoid.lobe_count() as f64;
        let (before, after) = (profile.at(parameter - small), profile.at(parameter + small));
        let here = profile.at(parameter);
        let turned = cross(before.tangent, after.tangent) / (2.0 * small * here.speed_mm);
        let scale = here.curvature_per_mm.abs() + 1.0 / profile.trochoid.ring_radius_mm;
        prop_assert!((turned - here.curvature_per_mm).abs() < 1e-5 * scale, "{turned} {}", here.curvature_per_mm);
    }

    /// The undercut limit in closed form is the smallest convex radius of a dense search, on both branches.
    #[test]
    fn identity_undercut_limit_is_the_numeric_minimum(roller_count in 4_usize..120, shortening in 0.02..0.99_f64) {
        let trochoid = Trochoid {
            ring_roller_count: roller_count,
            ring_radius_mm: 50.0,
            eccentricity_mm: shortening * 50.0 / roller_count as f64,
        };
        let (limit, _) = trochoid.undercut_limit();
        let sharpest = (0..=20_000)
            .map(|step| trochoid.curvature_per_mm(std::f64::consts::PI * f64::from(step) / 20_000.0))
            .fold(0.0, f64::max);
        prop_assert!((1.0 / sharpest - limit).abs() < 1e-6 * limit, "{} {limit}", 1.0 / sharpest);
    }
}

/// Thousands of random drives from a cold start, with clearance, sprung bearings, either sense.
#[test]
fn identity_cold_starts_always_converge() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let mut most_steps = 0;
    for index in 0..3000 {
        let mut model = drives().new_tree(&mut runner).unwrap().current();
        if index % 2 == 0 {
            model.support = CentreSupport::spring(3e5);
        }
        let torque = if index % 3 == 0 { -5e4 } else { 2e5 };
        let position = model.position(0.37 + f64::from(index), torque);
        let loaded =
            model.solve(&position, torque, None).unwrap_or_else(|error| panic!("drive {index}: {error}"));
        assert!(loaded.displacements.residual_ratio <= 1e-9);
        most_steps = most_steps.max(loaded.displacements.step_count);
    }
    assert!(most_steps < 100, "{most_steps}");
}
