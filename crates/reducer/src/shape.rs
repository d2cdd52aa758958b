//! What follows from the shape of a drive alone: profile data, play, phases, area and mass of a disc.

use crate::contact::ContactModel;
use crate::kinematics;
use crate::model::Drive;
use crate::part::{hole_radius_mm, pin_outside_radius_mm};
use crate::phase;
use crate::profile::{LobeOutline, LobeProfile};
use crate::results::{GapPoint, GeometryResult};
use curves::math::{self, square};
use curves::point::{Point, cross, polar, rotated, unit};
use std::f64::consts::{PI, TAU};

/// Geometry of a drive as one result.
///
/// `models` are the drive's contact models as drawn and in operation where the profile can mesh, and
/// `density_kg_per_mm3` that of the disc. Areas, gaps and play are absent or empty where the profile has loops or is undercut.
#[must_use]
pub fn shape(
    drive: &Drive,
    models: Option<(&ContactModel, &ContactModel)>,
    density_kg_per_mm3: f64,
) -> GeometryResult {
    let play = ShapePlay::of(drive, models);
    play.put_into(shape_without_play(drive, models, density_kg_per_mm3))
}

/// What turns freely with the bearing centre held; it takes most of the time of the shape.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct ShapePlay {
    profile_rad: f64,
    geometric_rad: f64,
    operating_rad: f64,
}

impl ShapePlay {
    /// Play with the models as [`shape`] takes them; nothing without them.
    pub(crate) fn of(drive: &Drive, models: Option<(&ContactModel, &ContactModel)>) -> Self {
        let Some((drawn, hot)) = models else { return Self::default() };
        let (profile_rad, geometric_rad) = greatest_play_rad(drawn, drive);
        let is_alike = drawn_alike(drawn, hot);
        let operating_rad = if is_alike { geometric_rad } else { greatest_play_rad(hot, drive).1 };
        Self { profile_rad, geometric_rad, operating_rad }
    }

    /// The geometry with this play.
    pub(crate) fn put_into(self, geometry: GeometryResult) -> GeometryResult {
        GeometryResult {
            profile_backlash_rad: self.profile_rad,
            geometric_backlash_rad: self.geometric_rad,
            operating_backlash_rad: self.operating_rad,
            ..geometry
        }
    }
}

/// [`shape`] with the play left at nothing: for the checks of geometry, which do not look at it.
pub(crate) fn shape_without_play(
    drive: &Drive,
    models: Option<(&ContactModel, &ContactModel)>,
    density_kg_per_mm3: f64,
) -> GeometryResult {
    let geometry = &drive.geometry;
    let profile = LobeProfile::of(geometry);
    let trochoid = &profile.trochoid;
    let rollers = geometry.ring_roller_count as f64;
    let shortening = geometry.eccentricity_mm * rollers / geometry.ring_radius_mm;
    let (undercut_limit_mm, least_convex_angle_rad) = trochoid.undercut_limit();
    let (tip_radius_mm, root_radius_mm) = profile.tip_and_root_radius_mm();
    let valley_curvature = trochoid.curvature_per_mm(0.0);
    let meshes = models.is_some();
    let disc_area_mm2 = meshes.then(|| disc_area_mm2(drive, &profile));
    GeometryResult {
        lobe_count: kinematics::lobe_count(geometry),
        shortening,
        rolling_circle_diameter_mm: 2.0 * geometry.ring_radius_mm / rollers,
        base_circle_diameter_mm: 2.0 * geometry.ring_radius_mm * (rollers - 1.0) / rollers,
        ring_pitch_radius_mm: geometry.eccentricity_mm * rollers,
        disc_pitch_radius_mm: geometry.eccentricity_mm * (rollers - 1.0),
        tip_radius_mm,
        root_radius_mm,
        lobe_height_mm: 2.0 * geometry.eccentricity_mm,
        profile_area_mm2: meshes.then(|| profile.area_mm2()),
        profile_length_mm: meshes.then(|| profile.length_mm()),
        undercut_limit_mm,
        least_convex_radius_mm: profile.least_convex_radius_mm(),
        least_convex_angle_rad,
        valley_radius_mm: 1.0 / valley_curvature - profile.generating_radius_mm,
        largest_lever_mm: geometry.eccentricity_mm * (rollers - 1.0),
        largest_normal_angle_rad: math::asin(shortening.min(1.0)),
        carrying_roller_count: ((geometry.ring_roller_count - 1) / 2, geometry.ring_roller_count.div_ceil(2)),
        spacing_ratio: geometry.ring_radius_mm * math::sin(PI / rollers) / geometry.roller_radius_mm,
        pin_outside_radius_mm: pin_outside_radius_mm(drive),
        hole_radius_mm: hole_radius_mm(drive),
        profile_backlash_rad: 0.0,
        geometric_backlash_rad: 0.0,
        operating_backlash_rad: 0.0,
        operating_gap_mm: models.map(|(_, hot)| least_gap_mm(&gap_curve(hot))),
        gap_curve: models.map_or_else(Vec::new, |(drawn, _)| gap_curve(drawn)),
        disc_phases: phase::disc_phases(geometry),
        one_part: phase::one_part(geometry),
        disc_area_mm2,
        disc_mass_kg: disc_area_mm2.map(|area| area * geometry.disc_width_mm * density_kg_per_mm3),
    }
}

/// Whether the trochoid has no loops, the profile no undercut, and no part occupies another's place, so that
/// gaps and loads have a meaning.
#[must_use]
pub fn meshes(drive: &Drive) -> bool {
    let profile = LobeProfile::of(&drive.geometry);
    let geometry = &drive.geometry;
    let chord = 2.0 * geometry.ring_radius_mm * math::sin(PI / geometry.ring_roller_count as f64);
    profile.trochoid.shortening() < 1.0 - 1e-9
        && geometry.eccentricity_mm * (geometry.ring_roller_count as f64) < geometry.ring_radius_mm
        && profile.least_convex_radius_mm() > 0.0
        && profile.generating_radius_mm > 0.0
        && profile.tip_and_root_radius_mm().1 > 0.0
        && chord > 2.0 * geometry.roller_radius_mm
        && hole_radius_mm(drive) > pin_outside_radius_mm(drive)
        // Pins that stand in the bore have no disc to press on.
        && geometry.pin_circle_radius_mm > geometry.bore_radius_mm
}

/// Angles in the gap curve, one every two degrees.
const GAP_CURVE_STEPS: usize = 180;

/// Gap of a roller against its angle from the crank, disc in its ideal position.
///
/// The ring is turned under a fixed roller, which shows one roller every angle.
#[must_use]
pub fn gap_curve(model: &ContactModel) -> Vec<GapPoint> {
    (0..=GAP_CURVE_STEPS).map(|step| gap_at(model, TAU * step as f64 / GAP_CURVE_STEPS as f64)).collect()
}

/// Gap of a roller at an angle from the crank and the lever of its normal, disc in its ideal position; exact for any outline.
///
/// **Source** Derivation 1, §7.
#[must_use]
pub fn gap_at(model: &ContactModel, angle_rad: f64) -> GapPoint {
    let centre = unit(-angle_rad) * model.eccentricity_mm;
    let turn = angle_rad / model.lobe_count() as f64;
    let in_disc = rotated(polar(model.ring_radius_mm, 0.0).coords - centre, -turn);
    let contact = model.profile.contact_with_circle(Point::from(in_disc), model.roller_radius_mm, -turn);
    GapPoint { angle_rad, gap_mm: contact.gap_mm, lever_mm: cross(contact.place_mm.coords, contact.normal) }
}

/// Whether the parts have not grown, so that nothing needs to be computed twice.
fn drawn_alike(drawn: &ContactModel, hot: &ContactModel) -> bool {
    drawn.profile == hot.profile
        && drawn.ring_radius_mm == hot.ring_radius_mm
        && drawn.roller_radius_mm == hot.roller_radius_mm
}

fn least_gap_mm(curve: &[GapPoint]) -> f64 {
    curve.iter().map(|point| point.gap_mm).fold(f64::INFINITY, f64::min)
}

/// Crank angles at which play is taken; odd, so that they fall at as many places within a roller pitch.
pub const PLAY_SAMPLES: usize = 25;

/// Greatest play over the period of the pins, bearing centre held: of the disc alone, and of the output.
///
/// A profile that interferes has no play.
fn greatest_play_rad(model: &ContactModel, drive: &Drive) -> (f64, f64) {
    let angles = crank_angles(drive, PLAY_SAMPLES);
    angles.into_iter().fold((0.0, 0.0), |(disc, plate), angle| {
        let [ahead, back] = model.touch_both_ways(angle);
        let of_discs = ahead.disc_rad.iter().zip(&back.disc_rad).map(|(a, b)| a - b).fold(disc, f64::max);
        let of_output =
            kinematics::plate_to_output(&drive.geometry).abs() * (ahead.plate_rad - back.plate_rad);
        (of_discs, of_output.max(plate))
    })
}

/// Crank angles spread evenly over the period of pins and bearings, at least `least_count` of them.
///
/// Their number has no divisor in common with the roller pitches of the period, so that they fall at
/// as many different places within a roller pitch as there are angles, and both periods are resolved.
///
/// **Source** arithmetic of coprime numbers; no physics in it.
#[must_use]
pub fn crank_angles(drive: &Drive, least_count: usize) -> Vec<f64> {
    let pitches = kinematics::roller_periods_in_pin_period(&drive.geometry);
    let count = (least_count.max(1)..)
        .find(|&count| phase::greatest_common_divisor(count, pitches) == 1)
        .unwrap_or(least_count);
    let period = kinematics::roller_period_rad(&drive.geometry) * pitches as f64;
    (0..count).map(|index| period * index as f64 / count as f64).collect()
}

fn disc_area_mm2(drive: &Drive, profile: &LobeProfile) -> f64 {
    let holes = drive.geometry.pin_count as f64 * PI * square(hole_radius_mm(drive));
    profile.area_mm2() - holes - PI * square(drive.geometry.bore_radius_mm)
}
