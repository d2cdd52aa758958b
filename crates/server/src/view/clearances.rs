//! The discs with their clearances drawn larger, as far as the drive has room for it.

use super::scene::{hole_centres, opening_path};
use crate::api::Clearances;
use curves::math;
use curves::point::{Point, Vector, rotated, turned_right};
use reducer::kinematics;
use reducer::model::{Drive, Geometry, Modification};
use reducer::part::{hole_radius_mm, pin_outside_radius_mm};
use reducer::profile::{LobeOutline, LobeProfile};
use reducer::shape::meshes;
use sheet::figure::{Contour, Step};
use sheet::figures::outline::place;
use sheet::svg::contour_data_mm;
use std::f64::consts::{PI, TAU};

/// Most by which a clearance is drawn larger.
const MOST: f64 = 100.0;
/// Share of the room for it that the greatest clearance may fill.
const ROOM_SHARE: f64 = 0.5;
/// Points of a lobe.
const POINTS_PER_LOBE: usize = 48;

/// How much larger the clearances of a drive are drawn: the greatest round factor with which discs still look like discs.
///
/// One where nothing meshes and so no clearance has a meaning.
pub(super) fn exaggeration(drive: &Drive) -> f64 {
    if !meshes(drive) {
        return 1.0;
    }
    let geometry = &drive.geometry;
    let greatest_gap_mm = gaps_of_lobe(geometry).into_iter().map(f64::abs).fold(0.0, f64::max);
    let at_lobes = ROOM_SHARE * room_at_lobes_mm(geometry) / greatest_gap_mm;
    let at_holes = ROOM_SHARE * room_at_holes_mm(drive) / (0.5 * geometry.hole_clearance_mm);
    rounded_down(at_lobes.min(at_holes).min(MOST))
}

/// 1, 2 or 5 times a power of ten, at least one.
fn rounded_down(factor: f64) -> f64 {
    let steps = [100.0, 50.0, 20.0, 10.0, 5.0, 2.0];
    steps.into_iter().find(|step| *step <= factor).unwrap_or(1.0)
}

/// How far the profile can move without crossing itself or losing its lobes.
fn room_at_lobes_mm(geometry: &Geometry) -> f64 {
    let least_convex_mm = unmodified(geometry).least_convex_radius_mm();
    geometry.eccentricity_mm.min(geometry.roller_radius_mm).min(least_convex_mm)
}

/// How much a hole's radius can grow: by the least wall round it, half of it between two holes.
fn room_at_holes_mm(drive: &Drive) -> f64 {
    let geometry = &drive.geometry;
    let (circle_mm, hole_mm) = (geometry.pin_circle_radius_mm, hole_radius_mm(drive));
    let to_next = circle_mm * math::sin(PI / geometry.pin_count as f64) - hole_mm;
    let to_bore = circle_mm - hole_mm - geometry.bore_radius_mm;
    let to_lobes = LobeProfile::of(geometry).tip_and_root_radius_mm().1 - circle_mm - hole_mm;
    to_next.min(to_bore).min(to_lobes).min(pin_outside_radius_mm(drive)).max(0.0)
}

/// The discs of a drive with their clearances drawn larger; as they are where nothing meshes.
#[must_use]
pub fn clearances(drive: &Drive, generation: u64) -> Clearances {
    let geometry = &drive.geometry;
    let factor = exaggeration(drive);
    let wide_hole_mm = hole_radius_mm(drive) + 0.5 * (factor - 1.0) * geometry.hole_clearance_mm;
    let openings = |disc| opening_path(geometry, &hole_centres(geometry, disc), wide_hole_mm);
    let lobe_path = if factor > 1.0 {
        contour_data_mm(&lobes(geometry, factor))
    } else {
        super::scene::lobe_path(geometry)
    };
    let opening_paths = (0..geometry.disc_count).map(openings).collect();
    Clearances { generation, lobe_path, opening_paths }
}

/// The profile on which every roller would lie without clearance.
fn unmodified(geometry: &Geometry) -> LobeProfile {
    let modification =
        Modification { equidistant_offset_mm: 0.0, ring_radius_shift_mm: 0.0, flank_rotation_rad: 0.0 };
    LobeProfile::of(&Geometry { modification, ..geometry.clone() })
}

/// Parameters over one lobe, from a valley in equal steps.
fn parameters(geometry: &Geometry) -> impl Iterator<Item = f64> {
    let step = TAU / (kinematics::lobe_count(geometry) * POINTS_PER_LOBE) as f64;
    (0..POINTS_PER_LOBE).map(move |index| index as f64 * step)
}

/// Gaps of a roller that would lie on the profile without clearance, over one lobe.
fn gaps_of_lobe(geometry: &Geometry) -> Vec<f64> {
    let (ideal, cut) = (unmodified(geometry), LobeProfile::of(geometry));
    let gap = |parameter: f64| {
        let centre = Point::from(ideal.trochoid.derivatives(parameter)[0]);
        cut.contact_with_circle(centre, geometry.roller_radius_mm, parameter).gap_mm
    };
    parameters(geometry).map(gap).collect()
}

/// The lobes, away from the rollers by their gaps drawn larger.
fn lobes(geometry: &Geometry, factor: f64) -> Contour {
    let ideal = unmodified(geometry);
    let away = |(parameter, gap_mm): (f64, f64)| {
        let [centre, tangent, _] = ideal.trochoid.derivatives(parameter);
        centre - turned_right(tangent.normalize()) * (geometry.roller_radius_mm + factor * gap_mm)
    };
    let lobe: Vec<Vector> = parameters(geometry).zip(gaps_of_lobe(geometry)).map(away).collect();
    let pitch = ideal.lobe_pitch_rad();
    let turned = |index| lobe.iter().map(move |&point| rotated(point, index as f64 * pitch));
    smooth_through(&(0..kinematics::lobe_count(geometry)).flat_map(turned).collect::<Vec<_>>())
}

/// A closed curve through points: each piece a cubic whose ends point along the chord of the neighbours (Catmull and Rom, 1974).
fn smooth_through(points: &[Vector]) -> Contour {
    let at = |index: usize| points[index % points.len()];
    let handle = |index: usize| (at(index + 1) - at(index + points.len() - 1)) / 6.0;
    let piece = |index: usize| Step::Cubic {
        first_mm: place(Point::from(at(index) + handle(index))),
        second_mm: place(Point::from(at(index + 1) - handle(index + 1))),
        to_mm: place(Point::from(at(index + 1))),
    };
    let steps = (0..points.len()).map(piece).collect();
    Contour { start_mm: place(Point::from(points[0])), steps, closed: true }
}
