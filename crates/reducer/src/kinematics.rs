//! Ratios, speeds and periods of an ideal drive, for either held member.
//!
//! In the frame of the ring the crank turns by φ, the disc and the output plate by −φ Δ/z_l. The other
//! held member is the same motion seen from the plate. Source: Derivation 5,
//! and the rolling of the two pitch circles of radii e z_l/Δ and e z_r/Δ.

use crate::model::{Drive, Geometry, HeldMember};
use crate::phase::greatest_common_divisor;
use crate::results::KinematicsResult;
use curves::point::{Point, polar};
use std::f64::consts::TAU;

/// Speeds at a crank speed, in the frame of the housing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Speeds {
    /// Crank.
    pub input_rad_per_s: f64,
    /// Output member: plate or ring.
    pub output_rad_per_s: f64,
    /// Disc about its own centre.
    pub disc_rad_per_s: f64,
    /// Ring.
    pub ring_rad_per_s: f64,
}

/// Number of lobes of a disc, z_l = z_r − Δ.
#[must_use]
pub fn lobe_count(geometry: &Geometry) -> usize {
    geometry.ring_roller_count - geometry.tooth_difference
}

/// Turns of the crank for one turn of the output; negative where they turn against each other.
///
/// ```text
/// ring held, plate out:  −z_l/Δ
/// plate held, ring out:  +z_r/Δ
/// ```
///
/// **Source** common practice (20 rollers and 19 lobes give 19:1); follows from the rolling of the pitch circles.
#[must_use]
pub fn ratio(geometry: &Geometry) -> f64 {
    let difference = geometry.tooth_difference as f64;
    match geometry.held_member {
        HeldMember::Ring => -(lobe_count(geometry) as f64) / difference,
        HeldMember::Plate => geometry.ring_roller_count as f64 / difference,
    }
}

/// Rotation of the output member for one of the plate in the frame of the ring, the crank held.
///
/// ```text
/// ring held:   1
/// plate held:  −z_l/z_r
/// ```
///
/// **Source** Derivation 5: a plate that is held turns back in the frame of the ring, and the crank with it.
#[must_use]
pub fn plate_to_output(geometry: &Geometry) -> f64 {
    match geometry.held_member {
        HeldMember::Ring => 1.0,
        HeldMember::Plate => -(lobe_count(geometry) as f64) / geometry.ring_roller_count as f64,
    }
}

/// Speeds of all members at a crank speed in the frame of the housing.
#[must_use]
pub fn speeds(geometry: &Geometry, input_rad_per_s: f64) -> Speeds {
    let output_rad_per_s = input_rad_per_s / ratio(geometry);
    match geometry.held_member {
        HeldMember::Ring => Speeds {
            input_rad_per_s,
            output_rad_per_s,
            disc_rad_per_s: output_rad_per_s,
            ring_rad_per_s: 0.0,
        },
        HeldMember::Plate => Speeds {
            input_rad_per_s,
            output_rad_per_s,
            disc_rad_per_s: 0.0,
            ring_rad_per_s: output_rad_per_s,
        },
    }
}

/// Speed between the rings of the eccentric bearing, |ω_crank − ω_disc|.
///
/// It is `n (1 + Δ/z_l)` with the ring held and `n` with the plate held.
#[must_use]
pub fn eccentric_bearing_speed_rad_per_s(geometry: &Geometry, input_rad_per_s: f64) -> f64 {
    let speeds = speeds(geometry, input_rad_per_s);
    (speeds.input_rad_per_s - speeds.disc_rad_per_s).abs()
}

/// Place of the instant centre between disc and ring, in the frame of the ring: all normals pass through it.
///
/// It lies `e z_r/Δ` from the ring's centre along the crank.
#[must_use]
pub fn pitch_point(geometry: &Geometry, crank_angle_rad: f64) -> Point {
    let radius =
        geometry.eccentricity_mm * geometry.ring_roller_count as f64 / geometry.tooth_difference as f64;
    polar(radius, crank_angle_rad)
}

/// Crank angle after which roller forces repeat: one roller pitch of the ring.
#[must_use]
pub fn roller_period_rad(geometry: &Geometry) -> f64 {
    TAU / geometry.ring_roller_count as f64
}

/// Roller pitches after which pin and bearing forces repeat, `z_l/gcd(z_l, w)` for a tooth difference of one.
#[must_use]
pub fn roller_periods_in_pin_period(geometry: &Geometry) -> usize {
    let lobes = lobe_count(geometry);
    lobes / greatest_common_divisor(lobes, geometry.pin_count)
}

/// Speeds and periods of a drive at its greatest and mean crank speeds.
#[must_use]
pub fn kinematics(drive: &Drive) -> KinematicsResult {
    let geometry = &drive.geometry;
    let fastest = drive.requirement.max_input_speed_rad_per_s;
    let speeds = speeds(geometry, fastest);
    let relative_to_crank = (speeds.disc_rad_per_s - speeds.input_rad_per_s).abs();
    let disc_in_ring = (speeds.disc_rad_per_s - speeds.ring_rad_per_s).abs();
    let lobes = lobe_count(geometry) as f64;
    let pitch_radius = geometry.eccentricity_mm * (lobes + geometry.tooth_difference as f64)
        / geometry.tooth_difference as f64;
    KinematicsResult {
        ratio: ratio(geometry),
        max_input_speed_rad_per_s: fastest,
        max_output_speed_rad_per_s: speeds.output_rad_per_s,
        max_disc_speed_rad_per_s: speeds.disc_rad_per_s,
        max_eccentric_bearing_speed_rad_per_s: relative_to_crank,
        mean_eccentric_bearing_speed_rad_per_s: eccentric_bearing_speed_rad_per_s(
            geometry,
            drive.requirement.mean_input_speed_rad_per_s,
        ),
        max_roller_sliding_speed_mm_per_s: disc_in_ring
            * (geometry.ring_radius_mm + pitch_radius - geometry.roller_radius_mm),
        max_pin_sliding_speed_mm_per_s: relative_to_crank * geometry.eccentricity_mm,
        roller_period_rad: roller_period_rad(geometry),
        pin_period_rad: roller_period_rad(geometry) * roller_periods_in_pin_period(geometry) as f64,
    }
}
