//! Energy balance of the drive with friction in its equilibrium, and what the usual estimate misses.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on must stop")]

use proptest::prelude::*;
use reducer::contact::flank::LightGive;
use reducer::contact::support::CentreSupport;
use reducer::contact::{ContactModel, RollerLaw};
use reducer::line_contact::LineContact;
use reducer::losses::equilibrium::{Coefficients, Moving, moving};
use reducer::profile::{LobeProfile, Trochoid};
use std::f64::consts::TAU;

const TORQUE_N_MM: f64 = 3e5;

fn model(ring_roller_count: usize, shortening: f64, disc_count: usize, pin_count: usize) -> ContactModel {
    let ring_radius_mm = 70.0;
    let eccentricity_mm = shortening * ring_radius_mm / ring_roller_count as f64;
    let trochoid = Trochoid { ring_roller_count, ring_radius_mm, eccentricity_mm };
    let half_chord = ring_radius_mm * curves::math::sin(std::f64::consts::PI / ring_roller_count as f64);
    let roller_radius_mm = 0.6 * trochoid.undercut_limit().0.min(half_chord);
    let law = LineContact::linear(2e5);
    ContactModel {
        profile: LobeProfile::new(trochoid, roller_radius_mm, 0.0),
        ring_roller_count,
        ring_radius_mm,
        roller_radius_mm,
        eccentricity_mm,
        disc_count,
        pin_count,
        pin_circle_radius_mm: 42.0,
        pin_phase_rad: 0.1,
        pin_play_radius_mm: eccentricity_mm,
        roller_law: RollerLaw::Uniform(law),
        roller_compliance_mm_per_n: vec![0.0; disc_count],
        pin_laws: vec![law; disc_count],
        support: CentreSupport::default(),
        re_evaluates_gaps: false,
        compliance: None,
        deviations: None,
        light_give: LightGive::default(),
    }
}

fn coefficients(roller: f64, pin: f64, bearing: f64) -> Coefficients {
    Coefficients { roller, pin, bearing_mm: bearing * 28.0, pin_outside_radius_mm: 6.0 }
}

fn solved(model: &ContactModel, friction: &Coefficients, crank_rad: f64, sense: f64) -> Moving {
    moving(model, friction, crank_rad, TORQUE_N_MM, sense).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Work of the crank less work on the load is the work of friction, forwards and driven back.
    #[test]
    fn identity_work_in_less_work_out_is_the_work_of_friction(
        rollers in 8_usize..60, shortening in 0.3..0.85_f64, discs in 1_usize..4, pins in 4_usize..11,
        roller in 0.0..0.06_f64, pin in 0.0..0.06_f64, bearing in 0.0..0.002_f64, angle in 0.0..TAU, forwards in any::<bool>(),
    ) {
        let model = model(rollers, shortening, discs, pins);
        let sense = if forwards { 1.0 } else { -1.0 };
        let moving = solved(&model, &coefficients(roller, pin, bearing), angle, sense);
        let out = TORQUE_N_MM / model.lobe_count() as f64;
        let balance = sense * (moving.input_torque_n_mm - out) - moving.loss_n_mm;
        prop_assert!(balance.abs() < 1e-8 * out, "{balance} of {out} after {} rounds", moving.round_count);
    }
}

#[test]
fn identity_without_friction_the_crank_holds_the_load() {
    let model = model(40, 0.77, 2, 8);
    let moving = solved(&model, &coefficients(0.0, 0.0, 0.0), 0.3, 1.0);
    assert_eq!(moving.loss_n_mm, 0.0);
    assert!((moving.input_torque_n_mm / (TORQUE_N_MM / 39.0) - 1.0).abs() < 1e-9);
    assert!((moving.frictionless_torque_n_mm / moving.input_torque_n_mm - 1.0).abs() < 1e-12);
}

/// Mean over a roller pitch: the loss from frictionless forces against that from the forces with friction.
fn mean_losses(model: &ContactModel, friction: &Coefficients, sense: f64) -> (f64, f64) {
    let count = 12;
    let sums = (0..count).fold((0.0, 0.0), |sum, step| {
        let crank = TAU / model.ring_roller_count as f64 * f64::from(step) / f64::from(count);
        let moving = solved(model, friction, crank, sense);
        (sum.0 + moving.estimated_loss_n_mm, sum.1 + moving.loss_n_mm)
    });
    (sums.0 / f64::from(count), sums.1 / f64::from(count))
}

#[test]
fn identity_the_usual_estimate_is_right_for_little_friction() {
    let model = model(40, 0.77, 2, 8);
    let error = |friction: f64| {
        let (estimated, real) = mean_losses(&model, &coefficients(friction, friction, 0.0), 1.0);
        real / estimated - 1.0
    };
    let (small, large) = (error(0.005), error(0.05));
    // The error is of the order of the loss itself, so it shrinks with the coefficient.
    assert!((large / small - 10.0).abs() < 2.0, "{small} {large}");
}

/// With μ = 0.05 the usual estimate is 2.6 % of the loss too low forwards and 2.2 % too high when driven back.
#[test]
fn locked_error_of_the_usual_estimate() {
    let model = model(40, 0.77, 2, 8);
    let friction = coefficients(0.05, 0.05, 0.0015);
    for (sense, expected) in [(1.0, 0.0265), (-1.0, -0.0215)] {
        let (estimated, real) = mean_losses(&model, &friction, sense);
        assert!((real / estimated - 1.0 - expected).abs() < 5e-5, "{sense} {}", real / estimated - 1.0);
    }
}
