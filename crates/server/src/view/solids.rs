//! The assembly as prisms, for a view in space: the same outlines as in the section, over their lengths.

use super::scene::{bearing_rollers, hole_centres};
use super::{rounded_mm, rounded_point};
use crate::api::{Prism, Solids};
use curves::ClosedCurve;
use curves::math::hypot;
use curves::point::{Point, polar, unit};
use curves::sampling::by_chord_tolerance;
use reducer::model::{Drive, Geometry};
use reducer::part::hole_radius_mm;
use reducer::profile::LobeProfile;
use sheet::figures::outline::{ring_inside_contour, ring_outside_radius_mm, roller_angle_rad};
use std::f64::consts::TAU;

/// How far chords may stand off an outline.
const CHORD_TOLERANCE_MM: f64 = 0.01;
/// Chords of a full circle.
const CIRCLE_CHORDS: usize = 48;
/// Thickness of the plate that carries the pins where the drive file does not tell it, over the width of a disc.
const PLATE_SHARE: f64 = 0.6;

/// The solids of a drive, discs from the origin of the axis on; absent parts are those that the drive file does not describe.
#[must_use]
pub fn solids(drive: &Drive, generation: u64) -> Solids {
    let geometry = &drive.geometry;
    let pitch = geometry.disc_width_mm + geometry.disc_gap_mm;
    let pack = pitch * geometry.disc_count as f64 - geometry.disc_gap_mm;
    let plate = PLATE_SHARE * geometry.disc_width_mm;
    let plate_from = pack + geometry.pin_free_length_mm;
    let mut parts = vec![ring(geometry, pack)];
    parts.extend(rollers(geometry, pack));
    for disc in 0..geometry.disc_count {
        let from = pitch * disc as f64;
        parts.extend(disc_parts(drive, disc, (from, from + geometry.disc_width_mm)));
    }
    parts.extend(pins(geometry, (0.0, plate_from + plate)));
    parts.push(carrier(geometry, (plate_from, plate_from + plate)));
    parts.retain(|part| is_sound(&part.outline_mm));
    Solids { generation, parts, length_mm: rounded_mm(plate_from + plate) }
}

fn circle(radius_mm: f64, centre: Point) -> Vec<[f64; 2]> {
    (0..CIRCLE_CHORDS)
        .map(|chord| rounded_point(centre + unit(TAU * chord as f64 / CIRCLE_CHORDS as f64) * radius_mm))
        .collect()
}

/// A part round its own axis.
fn round(name: &str, kind: &str, radius_mm: f64, (from_mm, to_mm): (f64, f64)) -> Prism {
    Prism {
        name: name.to_owned(),
        kind: kind.to_owned(),
        outline_mm: circle(radius_mm, Point::origin()),
        holes_mm: Vec::new(),
        from_mm: rounded_mm(from_mm),
        to_mm: rounded_mm(to_mm),
        places_mm: vec![[0.0, 0.0]],
        moves_with: "ring".to_owned(),
        explode_order: 0,
    }
}

fn ring(geometry: &Geometry, length_mm: f64) -> Prism {
    let ring = round("ring", "ring", ring_outside_radius_mm(geometry), (0.0, length_mm));
    let inside = ring_inside_contour(geometry).points_mm(CHORD_TOLERANCE_MM);
    Prism {
        holes_mm: vec![inside.into_iter().map(|[x, y]| rounded_point(Point::new(x, y))).collect()],
        ..ring
    }
}

fn rollers(geometry: &Geometry, length_mm: f64) -> Vec<Prism> {
    let places: Vec<[f64; 2]> = (0..geometry.ring_roller_count)
        .map(|roller| rounded_point(polar(geometry.ring_radius_mm, roller_angle_rad(geometry, roller))))
        .collect();
    let roller = round("ring rollers", "roller", geometry.roller_radius_mm, (0.0, length_mm));
    let mut parts = Vec::new();
    if let Some(radius) = geometry.roller_pin_radius_mm {
        let pin = round("pins of the ring rollers", "pin", radius, (-0.1 * length_mm, 1.1 * length_mm));
        parts.push(Prism { places_mm: places.clone(), explode_order: 0, ..pin });
    }
    let holes_mm = geometry.roller_pin_radius_mm.map(|radius| circle(radius, Point::origin()));
    parts.push(Prism {
        places_mm: places,
        holes_mm: holes_mm.into_iter().collect(),
        explode_order: 1,
        ..roller
    });
    parts
}

/// A disc, the eccentric in its bore and the rollers between them.
fn disc_parts(drive: &Drive, disc: usize, along: (f64, f64)) -> Vec<Prism> {
    let geometry = &drive.geometry;
    let profile = LobeProfile::of(geometry);
    let moves_with = format!("disc-{}", disc + 1);
    let order = 2 + disc as i32;
    let parameters = by_chord_tolerance(&profile, CHORD_TOLERANCE_MM).unwrap_or_default();
    let mut holes_mm = vec![circle(geometry.bore_radius_mm, Point::origin())];
    holes_mm
        .extend(hole_centres(geometry, disc).into_iter().map(|centre| circle(hole_radius_mm(drive), centre)));
    let lobed = Prism {
        outline_mm: parameters.iter().map(|&at| rounded_point(profile.at(at).position_mm)).collect(),
        holes_mm,
        moves_with: moves_with.clone(),
        explode_order: order,
        ..round(&format!("disc {}", disc + 1), "disc", 1.0, along)
    };
    let mut parts = vec![lobed];
    if let Some(rollers) = bearing_rollers(drive) {
        let places = (0..rollers.count).map(|roller| {
            let angle = TAU * roller as f64 / rollers.count as f64;
            rounded_point(polar(rollers.pitch_radius_mm, angle))
        });
        parts.push(Prism {
            places_mm: places.collect(),
            moves_with: format!("cage-{}", disc + 1),
            explode_order: order,
            ..round("rollers of the eccentric bearing", "bearing", rollers.radius_mm, along)
        });
    }
    let bearing = &drive.bearings.eccentric;
    let eccentric = geometry.crank_radius_mm.or(bearing.bore_diameter_mm.map(|bore| 0.5 * bore));
    if let Some(radius) = eccentric.filter(|&radius| radius < geometry.bore_radius_mm) {
        parts.push(Prism {
            moves_with: format!("throw-{}", disc + 1),
            explode_order: order,
            ..round(&format!("eccentric {}", disc + 1), "crank", radius, along)
        });
    }
    parts
}

fn pins(geometry: &Geometry, along: (f64, f64)) -> Vec<Prism> {
    let places: Vec<[f64; 2]> = pin_centres(geometry).into_iter().map(rounded_point).collect();
    let with_plate = |part: Prism| Prism {
        places_mm: places.clone(),
        moves_with: "plate".to_owned(),
        explode_order: 2 + geometry.disc_count as i32,
        ..part
    };
    let mut parts = vec![with_plate(round("output pins", "pin", geometry.pin_radius_mm, along))];
    if let Some(radius) = geometry.sleeve_radius_mm {
        let pack = (geometry.disc_width_mm + geometry.disc_gap_mm) * geometry.disc_count as f64;
        let sleeve =
            round("sleeves of the output pins", "sleeve", radius, (0.0, pack - geometry.disc_gap_mm));
        let inside = circle(geometry.pin_radius_mm, Point::origin());
        parts.push(with_plate(Prism { holes_mm: vec![inside], ..sleeve }));
    }
    parts
}

fn pin_centres(geometry: &Geometry) -> Vec<Point> {
    (0..geometry.pin_count)
        .map(|pin| {
            let angle = geometry.hole_phase_rad + TAU * pin as f64 / geometry.pin_count as f64;
            polar(geometry.pin_circle_radius_mm, angle)
        })
        .collect()
}

/// The plate that carries the output pins, as far as the drive file tells of it: its size only stands for it.
fn carrier(geometry: &Geometry, along: (f64, f64)) -> Prism {
    let radius = geometry.pin_circle_radius_mm
        + geometry.pin_radius_mm
        + 0.4 * (geometry.ring_radius_mm - geometry.pin_circle_radius_mm - geometry.pin_radius_mm).max(0.0);
    let holes = pin_centres(geometry).into_iter().map(|centre| circle(geometry.pin_radius_mm, centre));
    Prism {
        holes_mm: holes.collect(),
        moves_with: "plate".to_owned(),
        explode_order: 3 + geometry.disc_count as i32,
        ..round("output plate, its shape only indicated", "plate", radius, along)
    }
}

/// Whether every point of an outline is a number; what is not is not drawn.
fn is_sound(outline_mm: &[[f64; 2]]) -> bool {
    outline_mm.len() >= 3 && outline_mm.iter().all(|[x, y]| hypot(*x, *y).is_finite())
}
