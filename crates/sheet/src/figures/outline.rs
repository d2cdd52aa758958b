//! The parts of a drive as contours: lobed disc, ring with its seats, pins, in the frame of the ring.

use crate::figure::{Contour, Fill, Mark, Pen, Step};
use curves::ClosedCurve;
use curves::point::{Point, Vector, polar, rotated, unit};
use reducer::kinematics;
use reducer::model::{Drive, Geometry, RollerSupport};
use std::f64::consts::TAU;

/// A point as figures hold it.
pub fn place(point: Point) -> [f64; 2] {
    [point.x, point.y]
}

/// Where a disc is at a crank angle in the frame of the ring: its centre and its turn.
#[derive(Clone, Copy, Debug)]
pub struct DiscPose {
    /// Its centre.
    pub centre_mm: Point,
    /// Turn of its lobes.
    pub turn_rad: f64,
}

impl DiscPose {
    /// The ideal position of a disc.
    pub fn at(geometry: &Geometry, disc: usize, crank_angle_rad: f64) -> Self {
        let throw_angle_rad = crank_angle_rad + TAU * disc as f64 / geometry.disc_count as f64;
        let share = geometry.tooth_difference as f64 / kinematics::lobe_count(geometry) as f64;
        Self {
            centre_mm: polar(geometry.eccentricity_mm, throw_angle_rad),
            turn_rad: -throw_angle_rad * share,
        }
    }

    fn to_ring(self, point: Point) -> Point {
        self.centre_mm + rotated(point.coords, self.turn_rad)
    }
}

/// Angle of an output pin at a crank angle, in the frame of the ring.
pub fn pin_angle_rad(geometry: &Geometry, pin: usize, crank_angle_rad: f64) -> f64 {
    let share = geometry.tooth_difference as f64 / kinematics::lobe_count(geometry) as f64;
    geometry.hole_phase_rad - crank_angle_rad * share + TAU * pin as f64 / geometry.pin_count as f64
}

/// Angle of a ring roller.
pub fn roller_angle_rad(geometry: &Geometry, roller: usize) -> f64 {
    TAU * roller as f64 / geometry.ring_roller_count as f64
}

/// Cubic spans for one lobe; the chord error stays under a micrometre of the drawing for drives of usual size.
const SPANS_PER_LOBE: usize = 10;

/// The lobe outline of a disc in the frame of the ring, as cubic curves through the exact points and tangents.
pub fn lobe_contour(outline: &dyn ClosedCurve, lobe_count: usize, pose: DiscPose) -> Contour {
    let count = SPANS_PER_LOBE * lobe_count;
    let step = outline.period() / count as f64;
    let knot = |index: usize| outline.at(index as f64 * step);
    // Where the outline comes to a point it has no tangent, and the handle stands on it.
    let handle = |point: Point, tangent: Vector, speed: f64| {
        let away = tangent * (speed * step / 3.0);
        if away.x.is_finite() && away.y.is_finite() { point + away } else { point }
    };
    let mut before = knot(0);
    let start_mm = place(pose.to_ring(before.position_mm));
    let steps = (1..=count)
        .map(|index| {
            let here = knot(index);
            let first = handle(before.position_mm, before.tangent, before.speed_mm);
            let second = handle(here.position_mm, here.tangent, -here.speed_mm);
            before = here;
            Step::Cubic {
                first_mm: place(pose.to_ring(first)),
                second_mm: place(pose.to_ring(second)),
                to_mm: place(pose.to_ring(here.position_mm)),
            }
        })
        .collect();
    Contour { start_mm, steps, closed: true }
}

/// A full circle as a contour of two arcs.
pub fn circle_contour(centre_mm: Point, radius_mm: f64) -> Contour {
    let reach = Vector::new(radius_mm, 0.0);
    let arc = |to: Point| Step::Arc { to_mm: place(to), radius_mm, large: false, anticlockwise: true };
    Contour {
        start_mm: place(centre_mm + reach),
        steps: vec![arc(centre_mm - reach), arc(centre_mm + reach)],
        closed: true,
    }
}

/// Outside radius of the ring: as given, or far enough out to hold the rollers.
pub fn ring_outside_radius_mm(geometry: &Geometry) -> f64 {
    let rollers = geometry.ring_radius_mm + geometry.roller_radius_mm;
    geometry
        .housing_radius_mm
        .filter(|&radius| radius > rollers)
        .unwrap_or(rollers + geometry.roller_radius_mm)
}

/// The inside of the ring: wall and roller seats, or a plain circle clear of rollers that turn on pins.
pub fn ring_inside_contour(geometry: &Geometry) -> Contour {
    let (ring, roller) = (geometry.ring_radius_mm, geometry.roller_radius_mm);
    let wall = geometry.seat_wall_radius_mm.unwrap_or(ring);
    let cosine = (ring * ring + wall * wall - roller * roller) / (2.0 * ring * wall);
    let half_angle = if cosine < 1.0 { curves::math::acos(cosine.max(-1.0)) } else { 0.0 };
    let pitch = TAU / geometry.ring_roller_count as f64;
    if geometry.roller_support == RollerSupport::Pin || half_angle <= 0.0 || 2.0 * half_angle >= pitch {
        let clear = ring + roller + 0.3 * (ring_outside_radius_mm(geometry) - ring - roller);
        return circle_contour(Point::origin(), clear);
    }
    // Seen from the roller's centre, the seat is the part of its circle outside the wall.
    let edge = polar(wall, half_angle) - polar(ring, 0.0);
    let large = edge.x < 0.0;
    let mut steps = Vec::new();
    for index in 0..geometry.ring_roller_count {
        let angle = roller_angle_rad(geometry, index);
        let seat_end = polar(wall, angle + half_angle);
        let wall_end = polar(wall, angle + pitch - half_angle);
        steps.push(Step::Arc { to_mm: place(seat_end), radius_mm: roller, large, anticlockwise: true });
        steps.push(Step::Arc { to_mm: place(wall_end), radius_mm: wall, large: false, anticlockwise: true });
    }
    Contour { start_mm: place(polar(wall, -half_angle)), steps, closed: true }
}

/// All ring rollers, with the pins they turn on where there are any.
pub fn rollers(geometry: &Geometry, pen: Pen) -> Mark {
    let mut marks = Vec::new();
    for index in 0..geometry.ring_roller_count {
        let centre_mm = place(polar(geometry.ring_radius_mm, roller_angle_rad(geometry, index)));
        marks.push(Mark::Circle { centre_mm, radius_mm: geometry.roller_radius_mm, pen, fill: Fill::Tint });
        if let Some(radius_mm) = geometry.roller_pin_radius_mm {
            marks.push(Mark::Circle { centre_mm, radius_mm, pen: Pen::FineEdge, fill: Fill::DeepTint });
        }
    }
    Mark::Group { name: "rollers".to_owned(), marks }
}

/// All output pins, with their sleeves where there are any.
pub fn pins(geometry: &Geometry, crank_angle_rad: f64, pen: Pen) -> Mark {
    let mut marks = Vec::new();
    for pin in 0..geometry.pin_count {
        let angle = pin_angle_rad(geometry, pin, crank_angle_rad);
        let centre_mm = place(polar(geometry.pin_circle_radius_mm, angle));
        if let Some(radius_mm) = geometry.sleeve_radius_mm {
            marks.push(Mark::Circle { centre_mm, radius_mm, pen, fill: Fill::Tint });
        }
        let radius_mm = geometry.pin_radius_mm;
        marks.push(Mark::Circle { centre_mm, radius_mm, pen: Pen::FineEdge, fill: Fill::DeepTint });
    }
    Mark::Group { name: "pins".to_owned(), marks }
}

/// A disc as cut material: lobes, bore and output holes in one even-odd path.
pub fn disc(
    drive: &Drive,
    outline: &dyn ClosedCurve,
    index: usize,
    crank_angle_rad: f64,
    fill: Fill,
) -> Mark {
    let geometry = &drive.geometry;
    let pose = DiscPose::at(geometry, index, crank_angle_rad);
    let mut contours = vec![
        lobe_contour(outline, kinematics::lobe_count(geometry), pose),
        circle_contour(pose.centre_mm, geometry.bore_radius_mm),
    ];
    contours.extend((0..geometry.pin_count).map(|pin| {
        let offset = unit(pin_angle_rad(geometry, pin, crank_angle_rad)) * geometry.pin_circle_radius_mm;
        circle_contour(pose.centre_mm + offset, reducer::part::hole_radius_mm(drive))
    }));
    let path = Mark::Path { pen: Pen::Edge, fill, contours };
    Mark::Group { name: format!("disc-{}", index + 1), marks: vec![path] }
}

/// The outline of a disc behind the section, thin.
pub fn ghost_disc(drive: &Drive, outline: &dyn ClosedCurve, index: usize, crank_angle_rad: f64) -> Mark {
    let geometry = &drive.geometry;
    let pose = DiscPose::at(geometry, index, crank_angle_rad);
    let contours = vec![lobe_contour(outline, kinematics::lobe_count(geometry), pose)];
    let path = Mark::Path { pen: Pen::Ghost, fill: Fill::None, contours };
    Mark::Group { name: format!("disc-{}", index + 1), marks: vec![path] }
}
