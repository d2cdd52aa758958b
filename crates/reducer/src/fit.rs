//! Does it mesh and go together: every fit check of the geometry, with its margin.
//!
//! Hard limits (loops, undercut, parts that would occupy one place) fail; limits of good practice
//! (thin walls, unusual proportions) are doubtful. Every limit that the shop may set stands in the drive file.

use crate::finding::{Check, Finding, Sense, Standing, Subject, YES_OR_NO};
use crate::kinematics;
use crate::model::{Drive, RollerSupport};
use crate::part::pin_outside_radius_mm;
use crate::phase;
use crate::profile::LobeProfile;
use crate::results::{GeometryResult, OnePart};
use crate::units::degrees;
use curves::ClosedCurve;
use curves::math;
use curves::point::{Point, polar};
use std::f64::consts::{PI, TAU};

/// Every fit check of a drive.
///
/// `geometry` must be the result for the same drive. Checks that need a value which the drive file
/// does not give are left out, never passed.
#[must_use]
pub fn fit_checks(drive: &Drive, geometry: &GeometryResult) -> Vec<Finding> {
    let mut checks = vec![contracted(drive, geometry), undercut(drive, geometry)];
    checks.push(rollers_apart(drive));
    checks.extend(seat_wall(drive));
    checks.extend(lobe_tip_clears_wall(drive, geometry));
    checks.extend(seat_wrap(drive, geometry));
    checks.push(hole_web(drive, geometry));
    checks.push(hole_to_bore(drive, geometry));
    checks.extend(hole_to_lobe(drive, geometry));
    checks.push(pin_fits_hole(drive, geometry));
    checks.push(pin_clears_eccentric(drive));
    checks.extend(ring_wall(drive));
    checks.extend(bearing_fits_bore(drive));
    checks.extend(bearing_elements_fit(drive));
    checks.extend(bearing_width(drive));
    checks.push(interference(geometry));
    let mut findings: Vec<_> = checks.into_iter().map(Check::finding).collect();
    findings.push(one_part(drive, geometry));
    findings.extend(proportions(drive, geometry).into_iter().map(Check::finding));
    findings
}

/// A geometry check whose margin is measured against its limit and whose breach fails.
fn hard(
    id: &'static str,
    title: &'static str,
    quantity: &'static str,
    (value, sense, limit): (f64, Sense, f64),
    scale: f64,
    key: &'static str,
    hint: &str,
) -> Check {
    Check {
        id,
        subject: Subject::Geometry,
        title,
        quantity,
        value,
        limit,
        sense,
        scale,
        when_broken: Standing::Fails,
        place: String::new(),
        formula: "",
        hint: hint.to_owned(),
        key,
    }
}

/// A wall between two cavities: below nothing it fails, below the least wall it is doubtful.
fn wall(
    drive: &Drive,
    id: &'static str,
    title: &'static str,
    value_mm: f64,
    key: &'static str,
    hint: &str,
) -> Check {
    let least = drive.model.least_wall_mm;
    let check =
        hard(id, title, "wall_thickness_mm", (value_mm, Sense::AtLeast, least), least.max(1e-3), key, hint);
    let when_broken = if value_mm > 0.0 { Standing::Doubtful } else { Standing::Fails };
    Check { when_broken, formula: "wall-between-circles", ..check }
}

fn contracted(drive: &Drive, geometry: &GeometryResult) -> Check {
    let check = hard(
        "contracted-trochoid",
        "trochoid is contracted, without loops",
        "shortening",
        (geometry.shortening, Sense::AtMost, LARGEST_SHORTENING),
        1.0,
        "geometry.eccentricity",
        &format!(
            "reduce eccentricity below {:.3} mm, or enlarge ring_radius",
            drive.geometry.ring_radius_mm / drive.geometry.ring_roller_count as f64
        ),
    );
    Check { formula: "shortening", ..check }
}

/// At one the trochoid has cusps; this close below, the calculation has no digits left.
const LARGEST_SHORTENING: f64 = 1.0 - 1e-9;

fn undercut(drive: &Drive, geometry: &GeometryResult) -> Check {
    let generating = drive.geometry.roller_radius_mm + drive.geometry.modification.equidistant_offset_mm;
    let check = hard(
        "undercut",
        "generating roller smaller than the smallest convex radius of the trochoid",
        "generating_radius_mm",
        (generating, Sense::AtMost, geometry.undercut_limit_mm),
        geometry.undercut_limit_mm.max(1e-9),
        "geometry.roller_radius",
        "reduce roller_radius or eccentricity, or enlarge ring_radius",
    );
    let place = format!("lobe flank at z_l ψ = {:.1}°", degrees(geometry.least_convex_angle_rad));
    Check { formula: "undercut-limit", place, ..check }
}

fn rollers_apart(drive: &Drive) -> Check {
    let geometry = &drive.geometry;
    let chord = 2.0 * geometry.ring_radius_mm * math::sin(PI / geometry.ring_roller_count as f64);
    let check = hard(
        "rollers-apart",
        "neighbouring ring rollers do not touch",
        "roller_gap_mm",
        (chord - 2.0 * geometry.roller_radius_mm, Sense::AtLeast, 0.0),
        geometry.roller_radius_mm,
        "geometry.roller_radius",
        "reduce roller_radius or ring_roller_count, or enlarge ring_radius",
    );
    Check { formula: "roller-chord", ..check }
}

/// The land of the ring between two seats, at the radius of its wall; rollers on pins have no seats.
fn seat_wall(drive: &Drive) -> Option<Check> {
    let geometry = &drive.geometry;
    if geometry.roller_support == RollerSupport::Pin {
        return None;
    }
    let pitch = TAU / geometry.ring_roller_count as f64;
    let (radius, roller) = (geometry.ring_radius_mm, geometry.roller_radius_mm);
    let wall_radius = geometry.seat_wall_radius_mm.unwrap_or(radius);
    // Where the circle of the wall cuts the circle of a roller, seen from the ring's centre.
    let cosine = (math::square(wall_radius) + math::square(radius) - math::square(roller))
        / (2.0 * wall_radius * radius);
    let half_mouth = math::acos(cosine.clamp(-1.0, 1.0));
    let land = 2.0 * wall_radius * math::sin(0.5 * pitch - half_mouth);
    let check = wall(
        drive,
        "seat-land",
        "land of the ring between two roller seats",
        land,
        "geometry.roller_radius",
        "reduce roller_radius or ring_roller_count, or enlarge ring_radius",
    );
    Some(Check { formula: "seat-land", ..check })
}

/// A ring of rollers on pins has a wall between them only where the file says so.
fn lobe_tip_clears_wall(drive: &Drive, geometry: &GeometryResult) -> Option<Check> {
    let between_seats =
        (drive.geometry.roller_support == RollerSupport::Seat).then_some(drive.geometry.ring_radius_mm);
    let wall_radius = drive.geometry.seat_wall_radius_mm.or(between_seats)?;
    let reach = drive.geometry.eccentricity_mm + geometry.tip_radius_mm;
    let check = hard(
        "lobe-tip-clears-wall",
        "lobe tips clear the wall of the ring between the seats",
        "tip_clearance_mm",
        (wall_radius - reach, Sense::AtLeast, 0.0),
        drive.geometry.roller_radius_mm,
        "geometry.seat_wall_radius",
        "with the wall at the ring radius, 2e must stay below roller_radius: reduce eccentricity, or set the wall back with seat_wall_radius",
    );
    Some(Check { formula: "tip-clears-wall", place: "on the crank's side".to_owned(), ..check })
}

/// Angle by which a seat must wrap beyond the steepest normal: 5°, common practice.
const WRAP_RESERVE_RAD: f64 = 5.0 * PI / 180.0;

fn seat_wrap(drive: &Drive, geometry: &GeometryResult) -> Option<Check> {
    if drive.geometry.roller_support == RollerSupport::Pin {
        return None;
    }
    let held = 0.5 * drive.geometry.seat_wrap_angle_rad;
    let needed = geometry.largest_normal_angle_rad + WRAP_RESERVE_RAD;
    let check = hard(
        "seat-wrap",
        "seat wraps the roller beyond the steepest contact normal",
        "seat_half_wrap_rad",
        (held, Sense::AtLeast, needed),
        needed,
        "geometry.seat_wrap_angle",
        "wrap the rollers further, or reduce eccentricity",
    );
    Some(Check { formula: "normal-angle", ..check })
}

fn hole_web(drive: &Drive, geometry: &GeometryResult) -> Check {
    let pitch = TAU / drive.geometry.pin_count as f64;
    let chord = 2.0 * drive.geometry.pin_circle_radius_mm * math::sin(0.5 * pitch);
    wall(
        drive,
        "hole-web",
        "web between neighbouring output holes",
        chord - 2.0 * geometry.hole_radius_mm,
        "geometry.pin_count",
        "reduce pin_count, pin_radius or sleeve_radius, or enlarge pin_circle_radius",
    )
}

fn hole_to_bore(drive: &Drive, geometry: &GeometryResult) -> Check {
    let inner = drive.geometry.pin_circle_radius_mm - geometry.hole_radius_mm;
    wall(
        drive,
        "hole-to-bore",
        "wall between output holes and the disc's bore",
        inner - drive.geometry.bore_radius_mm,
        "geometry.bore_radius",
        "reduce bore_radius or the pins, or enlarge pin_circle_radius",
    )
}

/// Wall between an output hole and the lobes, by the true distance to the profile; absent where the
/// profile does not exist.
fn hole_to_lobe(drive: &Drive, geometry: &GeometryResult) -> Option<Check> {
    geometry.profile_area_mm2?;
    let profile = LobeProfile::of(&drive.geometry);
    let distance = (0..drive.geometry.disc_count)
        .flat_map(|disc| {
            let phase = phase::hole_phase_rad(&drive.geometry, disc);
            let count = drive.geometry.pin_count;
            (0..count).map(move |pin| phase + TAU * pin as f64 / count as f64)
        })
        .map(|angle| inner_distance_mm(&profile, polar(drive.geometry.pin_circle_radius_mm, angle), angle))
        .fold(f64::INFINITY, f64::min);
    Some(wall(
        drive,
        "hole-to-lobe",
        "wall between output holes and the lobes",
        distance - geometry.hole_radius_mm,
        "geometry.pin_circle_radius",
        "reduce pin_circle_radius or the pins, or enlarge ring_radius",
    ))
}

/// Distance of a point inside the disc from its outline near a polar angle; negative outside.
fn inner_distance_mm(profile: &LobeProfile, place: Point, angle_rad: f64) -> f64 {
    let pitch = profile.lobe_pitch_rad();
    let (tip, _) = profile.tip_and_root_radius_mm();
    if place.coords.norm() >= tip {
        return tip - place.coords.norm();
    }
    let distance = |parameter: f64| (profile.at(parameter).position_mm - place).norm();
    let steps_per_lobe = 24.0;
    // The nearest outline lies within two lobes either way unless the hole is far inside, where it does not govern.
    let nearest = (-48..=48)
        .map(|step| angle_rad + f64::from(step) * pitch / steps_per_lobe)
        .min_by(|a, b| distance(*a).total_cmp(&distance(*b)))
        .unwrap_or(angle_rad);
    let reach = pitch / steps_per_lobe;
    curves::root::golden_minimum(distance, nearest - reach, nearest + reach, 1e-9).1
}

fn pin_fits_hole(drive: &Drive, geometry: &GeometryResult) -> Check {
    let play = geometry.hole_radius_mm - geometry.pin_outside_radius_mm - drive.geometry.eccentricity_mm;
    let check = hard(
        "pin-fits-hole",
        "output holes clear their pins through the whole turn",
        "hole_play_mm",
        (play, Sense::AtLeast, -LARGEST_ROUNDING_MM),
        drive.geometry.eccentricity_mm,
        "geometry.hole_clearance",
        "a hole needs the pin's diameter plus twice the eccentricity: raise hole_clearance to nothing or more",
    );
    Check { formula: "output-hole", scale: YES_OR_NO, ..check }
}

/// Differences of lengths below this are rounding.
const LARGEST_ROUNDING_MM: f64 = 1e-12;

/// The pins run on the plate's circle while the eccentric swings e about the ring's centre inside it.
fn pin_clears_eccentric(drive: &Drive) -> Check {
    let geometry = &drive.geometry;
    let eccentric = geometry.crank_radius_mm.or(drive.bearings.eccentric.bore_diameter_mm.map(|d| 0.5 * d));
    let reach = eccentric.unwrap_or(geometry.bore_radius_mm) + geometry.eccentricity_mm;
    let free = geometry.pin_circle_radius_mm - pin_outside_radius_mm(drive) - reach;
    let check = hard(
        "pin-clears-eccentric",
        "output pins clear the eccentric",
        "free_distance_mm",
        (free, Sense::AtLeast, 0.0),
        geometry.eccentricity_mm,
        "geometry.pin_circle_radius",
        "enlarge pin_circle_radius, or reduce the eccentric or the pins",
    );
    Check { formula: "wall-between-circles", ..check }
}

fn ring_wall(drive: &Drive) -> Option<Check> {
    let outside = drive.geometry.housing_radius_mm?;
    let seat_bottom = drive.geometry.ring_radius_mm + drive.geometry.roller_radius_mm;
    Some(wall(
        drive,
        "ring-wall",
        "wall of the ring outside the roller seats",
        outside - seat_bottom,
        "geometry.housing_radius",
        "enlarge housing_radius, or reduce ring_radius or roller_radius",
    ))
}

fn bearing_fits_bore(drive: &Drive) -> Option<Check> {
    let outside = drive.bearings.eccentric.outside_diameter_mm?;
    let bore = 2.0 * drive.geometry.bore_radius_mm;
    let check = hard(
        "bearing-fits-bore",
        "outside of the eccentric bearing is the bore of the disc",
        "diameter_difference_mm",
        ((outside - bore).abs(), Sense::AtMost, LARGEST_FIT_DIFFERENCE_MM),
        YES_OR_NO,
        "geometry.bore_radius",
        "make bore_radius half of the bearing's outside_diameter; the fit itself is a tolerance",
    );
    Some(check)
}

/// A nominal difference above this is no fit but a different size.
const LARGEST_FIT_DIFFERENCE_MM: f64 = 0.1;

/// Rolling elements must stand next to each other on their pitch circle.
fn bearing_elements_fit(drive: &Drive) -> Option<Check> {
    let bearing = &drive.bearings.eccentric;
    let (count, diameter) = (bearing.element_count?, bearing.element_diameter_mm?);
    let chord = bearing.pitch_diameter_mm? * math::sin(PI / count as f64);
    let check = hard(
        "bearing-elements-fit",
        "rolling elements of the eccentric bearing find room on their circle",
        "free_distance_mm",
        (chord - diameter, Sense::AtLeast, 0.0),
        diameter,
        "bearings.eccentric.element_count",
        "reduce element_count or element_diameter, or enlarge pitch_diameter",
    );
    Some(Check { formula: "roller-chord", ..check })
}

/// Rollers must lie under the disc: what stands out carries nothing.
fn bearing_width(drive: &Drive) -> Option<Check> {
    let length = drive.bearings.eccentric.element_length_mm?;
    let width = drive.geometry.disc_width_mm + drive.geometry.disc_gap_mm;
    let check = hard(
        "bearing-under-disc",
        "rollers of the eccentric bearing lie within disc and gap",
        "roller_length_mm",
        (length, Sense::AtMost, width),
        width,
        "bearings.eccentric.element_length",
        "take shorter rollers, or widen the discs or the gap between them",
    );
    Some(Check { when_broken: Standing::Doubtful, ..check })
}

/// A profile with negative gaps does not go into its ring without force.
fn interference(geometry: &GeometryResult) -> Check {
    // The curve ends where it begins, a whole turn on: the end is the same place and is not asked.
    let once = geometry.gap_curve.split_last().map_or(&[][..], |(_, once)| once);
    let tightest = once.iter().min_by(|a, b| a.gap_mm.total_cmp(&b.gap_mm));
    let (gap, place) = tightest.map_or((0.0, String::new()), |point| {
        (point.gap_mm, format!("roller {:.1}° from the crank", degrees(point.angle_rad)))
    });
    let check = hard(
        "profile-interference",
        "lobe profile leaves every roller free or just touching",
        "roller_gap_mm",
        (gap, Sense::AtLeast, -LARGEST_INTERFERENCE_MM),
        LARGEST_INTERFERENCE_MM,
        "geometry.modification",
        "raise equidistant_offset, or bring ring_radius_shift nearer to nothing",
    );
    Check { formula: "roller-gap", place, scale: YES_OR_NO, ..check }
}

/// Overlap that is rounding or well below what can be measured: a hundredth of a micrometre.
const LARGEST_INTERFERENCE_MM: f64 = 1e-5;

/// Whether one part number serves all discs; a matter of cost and of mix-ups, so doubtful at most.
fn one_part(drive: &Drive, geometry: &GeometryResult) -> Finding {
    let part_numbers = distinct_discs(geometry);
    let hint = match (
        phase::turning_over_phase_rad(&drive.geometry),
        phase::pin_counts_for_one_part(&drive.geometry).as_slice(),
    ) {
        (Some(phase_rad), _) => format!(
            "cut the holes {:.4}° off the lobe valley with hole_phase and turn one disc over, or mark the discs",
            degrees(phase_rad)
        ),
        (None, [nearest, others @ ..]) => {
            let others: String = others.iter().map(|count| format!(", or {count},")).collect();
            format!(
                "pin_count = {nearest}{others} would make all discs one part; otherwise give each disc its own number and mark"
            )
        }
        (None, []) => "give each disc its own number and mark".to_owned(),
    };
    let place = match geometry.one_part {
        OnePart::SameWayUp => "all discs the same way up",
        OnePart::TurnedOver => "some discs turned over",
        OnePart::Different => "discs differ by the phase between lobes and holes",
    };
    Check {
        id: "one-part-number",
        subject: Subject::Geometry,
        title: "one part number serves all discs",
        quantity: "part_number_count",
        value: part_numbers as f64,
        limit: 1.0,
        sense: Sense::AtMost,
        scale: YES_OR_NO,
        when_broken: Standing::Doubtful,
        place: place.to_owned(),
        formula: "disc-phase",
        hint,
        key: "geometry.pin_count",
    }
    .finding()
}

/// Number of different parts among the discs.
fn distinct_discs(geometry: &GeometryResult) -> usize {
    if geometry.one_part != OnePart::Different {
        return 1;
    }
    let mut phases: Vec<f64> = geometry.disc_phases.iter().map(|phase| phase.hole_phase_rad).collect();
    phases.sort_by(f64::total_cmp);
    phases.dedup_by(|a, b| (*a - *b).abs() < 1e-8);
    phases.len()
}

/// Proportions that the trade is used to; outside them the design is doubtful, not wrong.
fn proportions(drive: &Drive, geometry: &GeometryResult) -> Vec<Check> {
    let (low, high) = usual_shortening(kinematics::lobe_count(&drive.geometry));
    let practice = |id, title, quantity, comparison, key, hint: &str| Check {
        subject: Subject::Practice,
        when_broken: Standing::Doubtful,
        formula: id,
        ..hard(id, title, quantity, comparison, comparison.2, key, hint)
    };
    vec![
        practice(
            "usual-shortening-most",
            "shortening coefficient not above the usual range",
            "shortening",
            (geometry.shortening, Sense::AtMost, high),
            "geometry.eccentricity",
            "reduce eccentricity, or enlarge ring_radius",
        ),
        practice(
            "usual-shortening-least",
            "shortening coefficient not below the usual range",
            "shortening",
            (geometry.shortening, Sense::AtLeast, low),
            "geometry.eccentricity",
            "raise eccentricity, or reduce ring_radius",
        ),
    ]
}

/// Usual range of the shortening coefficient by number of lobes.
///
/// **Source** `[kudryavtsev1966]` and later handbooks, from memory; steps between the printed ranges are
/// taken at the next lower one.
fn usual_shortening(lobe_count: usize) -> (f64, f64) {
    match lobe_count {
        0..=12 => (0.42, 0.55),
        13..=24 => (0.48, 0.74),
        25..=60 => (0.65, 0.90),
        _ => (0.75, 0.90),
    }
}
