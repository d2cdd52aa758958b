//! Random drives that mesh, for tests of laws.

#![allow(dead_code, reason = "each test takes what it needs")]

use proptest::prelude::*;
use reducer::contact::flank::LightGive;
use reducer::contact::support::CentreSupport;
use reducer::contact::{ContactModel, RollerLaw};
use reducer::line_contact::LineContact;
use reducer::profile::{LobeProfile, Trochoid};

/// A random drive that meshes: any count, shortening and roller radius within the undercut limit.
pub fn drives() -> impl Strategy<Value = ContactModel> {
    let shape = (6_usize..90, 20.0..200.0_f64, 0.15..0.92_f64, 0.2..0.9_f64, 1_usize..4);
    let pins = (4_usize..13, 0.4..0.7_f64, 0.0..std::f64::consts::TAU);
    let laws = (any::<bool>(), 5.0..40.0_f64, 0.0..0.03_f64, 0.0..0.02_f64, 0.0..0.03_f64);
    (shape, pins, laws).prop_map(|(shape, pins, laws)| {
        let (ring_roller_count, ring_radius_mm, shortening, fullness, disc_count) = shape;
        let eccentricity_mm = shortening * ring_radius_mm / ring_roller_count as f64;
        let trochoid = Trochoid { ring_roller_count, ring_radius_mm, eccentricity_mm };
        let half_chord = ring_radius_mm * curves::math::sin(std::f64::consts::PI / ring_roller_count as f64);
        let roller_radius_mm = fullness * trochoid.undercut_limit().0.min(half_chord);
        let (is_linear, length_mm, offset_mm, shift_mm, clearance_mm) = laws;
        let generating = Trochoid { ring_radius_mm: ring_radius_mm - shift_mm, ..trochoid };
        let law = if is_linear { LineContact::linear(2e5) } else { LineContact::palmgren(length_mm) };
        ContactModel {
            profile: LobeProfile::new(generating, roller_radius_mm + offset_mm, 0.0),
            ring_roller_count,
            ring_radius_mm,
            roller_radius_mm,
            eccentricity_mm,
            disc_count,
            pin_count: pins.0,
            pin_circle_radius_mm: pins.1 * ring_radius_mm,
            pin_phase_rad: pins.2,
            pin_play_radius_mm: eccentricity_mm + 0.5 * clearance_mm,
            roller_law: RollerLaw::Uniform(law),
            roller_compliance_mm_per_n: vec![0.0; disc_count],
            pin_laws: vec![law; disc_count],
            support: CentreSupport::default(),
            re_evaluates_gaps: false,
            compliance: None,
            deviations: None,
            light_give: LightGive::default(),
        }
    })
}

/// The same drive with the nominal profile and pins that just fill their holes' play.
pub fn without_gaps(model: ContactModel) -> ContactModel {
    let trochoid = Trochoid { ring_radius_mm: model.ring_radius_mm, ..model.profile.trochoid };
    ContactModel {
        profile: LobeProfile::new(trochoid, model.roller_radius_mm, 0.0),
        pin_play_radius_mm: model.eccentricity_mm,
        ..model
    }
}
