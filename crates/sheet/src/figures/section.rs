//! The drive cut across its axis through the first disc, with the dimensions that make it.

use super::outline::{self, DiscPose, place};
use crate::figure::{Body, Callout, Dimension, Drawing, Figure, Fill, KeyNumber, LeaderEnd, Mark, Pen, Side};
use crate::markup::{Markup, Tag};
use curves::ClosedCurve;
use curves::math::wrap_angle;
use curves::point::{Point, polar, unit};
use reducer::model::Drive;
use reducer::part;
use reducer::registry::format_number;
use reducer::units::degrees;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Section of a drive at a crank angle, seen from the output, in the frame of the ring.
///
/// The disc's outline is that of the profile as it is to be cut; everything else is drawn at nominal
/// size in its ideal position.
#[must_use]
pub fn section(drive: &Drive, outline: &dyn ClosedCurve, crank_angle_rad: f64) -> Figure {
    let geometry = &drive.geometry;
    let outside = outline::ring_outside_radius_mm(geometry);
    let mut marks = body_marks(drive, outline, crank_angle_rad, true);
    marks.push(outside_dimension(outside, geometry.housing_radius_mm.is_some()));
    marks.push(throw_dimension(geometry.eccentricity_mm, crank_angle_rad, outside));
    let throw = number_mm(geometry.eccentricity_mm);
    let disc_words = match geometry.disc_count {
        1 => String::new(),
        2 => "; the second disc is drawn behind it in dash-and-dots".to_owned(),
        count => format!("; the other {} discs are drawn behind it in dash-and-dots", count - 1),
    };
    let angle = format_number(degrees(crank_angle_rad), 0);
    Figure {
        id: "section".to_owned(),
        title: "Section through the first disc".to_owned(),
        caption: Markup::words(format!("Section through the first disc at a crank angle of {angle}°"))
            .and(Tag::Words, disc_words)
            .and(Tag::Words, ". Nominal dimensions in mm."),
        description: format!(
            "{} ring rollers on a circle of {} mm diameter around a disc with {} lobes, whose centre stands \
             {throw} mm off the centre of the ring; {} output pins stand in its holes.",
            geometry.ring_roller_count,
            number_mm(2.0 * geometry.ring_radius_mm),
            reducer::kinematics::lobe_count(geometry),
            geometry.pin_count,
        ),
        key_numbers: vec![
            KeyNumber::new("eccentricity_mm", "eccentricity", geometry.eccentricity_mm),
            KeyNumber::new("ring_radius_mm", "ring radius", geometry.ring_radius_mm),
            KeyNumber::new("roller_radius_mm", "roller radius", geometry.roller_radius_mm),
        ],
        body: Body::Drawing(Drawing {
            min_mm: [-outside, -outside],
            max_mm: [outside, outside],
            margin_paper_mm: [34.0, 34.0, 5.0, 15.0],
            marks,
            callouts: callouts(drive, crank_angle_rad),
            legend: Vec::new(),
        }),
    }
}

/// Ring, rollers, discs, pins and crank, back to front; hatched as cut, or plain as a ground for forces.
pub(super) fn body_marks(
    drive: &Drive,
    outline: &dyn ClosedCurve,
    crank_angle_rad: f64,
    is_hatched: bool,
) -> Vec<Mark> {
    let geometry = &drive.geometry;
    let (ring_fill, disc_fill) =
        if is_hatched { (Fill::HatchRight, Fill::HatchLeft) } else { (Fill::None, Fill::Tint) };
    let edge = if is_hatched { Pen::Edge } else { Pen::FineEdge };
    let origin = Point::origin();
    let outside = outline::ring_outside_radius_mm(geometry);
    let ring = Mark::Path {
        pen: edge,
        fill: ring_fill,
        contours: vec![outline::circle_contour(origin, outside), outline::ring_inside_contour(geometry)],
    };
    let mut marks = vec![Mark::Group { name: "ring".to_owned(), marks: vec![ring] }];
    marks.push(outline::rollers(geometry, Pen::FineEdge));
    if is_hatched {
        let others = 1..geometry.disc_count;
        marks.extend(others.map(|disc| outline::ghost_disc(drive, outline, disc, crank_angle_rad)));
    }
    let sheet = outline::disc(drive, outline, 0, crank_angle_rad, Fill::Sheet);
    if let Mark::Group { marks: inner, .. } = sheet {
        marks.extend(inner);
    }
    marks.push(outline::disc(drive, outline, 0, crank_angle_rad, disc_fill));
    marks.push(outline::pins(geometry, crank_angle_rad, Pen::FineEdge));
    marks.push(crank(drive, crank_angle_rad));
    let pitch_circle = |radius_mm: f64| Mark::Circle {
        centre_mm: [0.0, 0.0],
        radius_mm,
        pen: Pen::Centre,
        fill: Fill::None,
    };
    if is_hatched {
        marks.push(pitch_circle(geometry.ring_radius_mm));
        marks.push(pitch_circle(geometry.pin_circle_radius_mm));
    }
    marks.extend(centre_lines(drive, crank_angle_rad, outside, is_hatched));
    marks
}

/// The eccentric of the first disc with its bearing, and the sense in which the crank turns.
fn crank(drive: &Drive, crank_angle_rad: f64) -> Mark {
    let geometry = &drive.geometry;
    let bearing = &drive.bearings.eccentric;
    let pose = DiscPose::at(geometry, 0, crank_angle_rad);
    let centre_mm = place(pose.centre_mm);
    let circle = |radius_mm: f64, fill: Fill| Mark::Circle { centre_mm, radius_mm, pen: Pen::FineEdge, fill };
    let mut marks = Vec::new();
    if let (Some(count), Some(diameter), Some(pitch)) =
        (bearing.element_count, bearing.element_diameter_mm, bearing.pitch_diameter_mm)
    {
        for raceway in [0.5 * (pitch + diameter), 0.5 * (pitch - diameter)] {
            if raceway > 0.0 && raceway < geometry.bore_radius_mm - 0.01 {
                marks.push(circle(raceway, Fill::None));
            }
        }
        for element in 0..count {
            let angle = crank_angle_rad + TAU * element as f64 / count as f64;
            let at = place(pose.centre_mm + unit(angle) * (0.5 * pitch));
            marks.push(Mark::Circle {
                centre_mm: at,
                radius_mm: 0.5 * diameter,
                pen: Pen::FineEdge,
                fill: Fill::Tint,
            });
        }
    }
    if let Some(radius) = eccentric_radius_mm(drive) {
        marks.push(circle(radius, Fill::DeepTint));
        let turn_radius = 0.62 * radius;
        marks.push(Mark::TurnArrow {
            centre_mm: [0.0, 0.0],
            radius_mm: turn_radius,
            from_rad: crank_angle_rad + 0.6 * PI,
            to_rad: crank_angle_rad + 1.1 * PI,
        });
    }
    Mark::Group { name: "crank".to_owned(), marks }
}

/// Outside radius of the eccentric: as given, else the bore of its bearing.
fn eccentric_radius_mm(drive: &Drive) -> Option<f64> {
    let bearing = &drive.bearings.eccentric;
    let radius = drive.geometry.crank_radius_mm.or(bearing.bore_diameter_mm.map(|bore| 0.5 * bore));
    radius.filter(|&radius| radius < drive.geometry.bore_radius_mm)
}

fn centre_lines(drive: &Drive, crank_angle_rad: f64, outside: f64, is_long: bool) -> Vec<Mark> {
    let geometry = &drive.geometry;
    let disc = DiscPose::at(geometry, 0, crank_angle_rad);
    let along = |centre_mm: Point, reach_mm: f64, angle: f64| {
        let reach = unit(angle) * reach_mm;
        Mark::Polyline {
            pen: Pen::Centre,
            points_mm: vec![place(centre_mm - reach), place(centre_mm + reach)],
        }
    };
    let reach = if is_long { 1.03 * outside } else { 0.6 * geometry.bore_radius_mm };
    vec![
        Mark::CentreLines { centre_mm: [0.0, 0.0], reach_mm: reach, angle_rad: crank_angle_rad },
        along(disc.centre_mm, 1.15 * geometry.bore_radius_mm, crank_angle_rad + FRAC_PI_2),
    ]
}

fn outside_dimension(outside: f64, is_given: bool) -> Mark {
    let value = number_mm(2.0 * outside);
    // An outside that the drive file does not give is only drawn; brackets say so, as for any auxiliary dimension.
    let text = if is_given { format!("Ø {value}") } else { format!("(Ø {value})") };
    Mark::Dimension(Dimension {
        from_mm: [-outside, 0.0],
        to_mm: [outside, 0.0],
        away_rad: -FRAC_PI_2,
        reach_mm: outside,
        offset_paper_mm: 8.0,
        text: Markup::words(text),
    })
}

fn throw_dimension(eccentricity_mm: f64, crank_angle_rad: f64, outside: f64) -> Mark {
    Mark::Dimension(Dimension {
        from_mm: [0.0, 0.0],
        to_mm: place(polar(eccentricity_mm, crank_angle_rad)),
        away_rad: crank_angle_rad + FRAC_PI_2,
        reach_mm: outside,
        offset_paper_mm: 6.0,
        text: Markup::tagged(Tag::Symbol, "e").and(Tag::Words, format!(" {}", number_mm(eccentricity_mm))),
    })
}

/// A nominal dimension as drawings write it: no more decimals than it needs.
pub(super) fn number_mm(value_mm: f64) -> String {
    let text = format_number(value_mm, 4);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

fn callouts(drive: &Drive, crank_angle_rad: f64) -> Vec<Callout> {
    let geometry = &drive.geometry;
    let disc = DiscPose::at(geometry, 0, crank_angle_rad);
    let diameter = |radius: f64| format!("Ø {}", number_mm(2.0 * radius));
    let times = |count: usize, radius: f64| format!("{count} × {}", diameter(radius));
    let roller = |wish: f64| {
        let step = TAU / geometry.ring_roller_count as f64;
        (wish / step).round() * step
    };
    let pin = |wish: f64| nearest_pin_angle(drive, crank_angle_rad, wish);
    let hole_offset = |angle: f64| unit(angle) * geometry.pin_circle_radius_mm;
    let hole_radius = part::hole_radius_mm(drive);
    let right = |target: Point, end: LeaderEnd, text: String, note: &str| Callout {
        target_mm: place(target),
        side: Side::Right,
        end,
        text: Markup::words(text),
        note: note.to_owned(),
    };
    let left = |target: Point, end: LeaderEnd, text: String, note: &str| Callout {
        side: Side::Left,
        ..right(target, end, text, note)
    };
    let half_pitch = PI / geometry.ring_roller_count as f64;
    let (roller_at, hole_at, pin_at) = (roller(0.8), pin(0.15), pin(-0.75));
    let roller_edge =
        polar(geometry.ring_radius_mm, roller_at) + unit(roller_at + 0.3) * geometry.roller_radius_mm;
    let mut list = vec![
        right(
            roller_edge,
            LeaderEnd::Arrow,
            times(geometry.ring_roller_count, geometry.roller_radius_mm),
            "ring rollers",
        ),
        right(
            polar(geometry.ring_radius_mm, roller(0.42) + half_pitch),
            LeaderEnd::Arrow,
            diameter(geometry.ring_radius_mm),
            "circle of rollers",
        ),
        right(
            disc.centre_mm + hole_offset(hole_at) + unit(0.1) * hole_radius,
            LeaderEnd::Arrow,
            times(geometry.pin_count, hole_radius),
            "output holes",
        ),
        right(
            polar(geometry.pin_circle_radius_mm, pin_at),
            LeaderEnd::Dot,
            times(geometry.pin_count, geometry.pin_radius_mm),
            "output pins",
        ),
        left(
            polar(geometry.pin_circle_radius_mm, pin(3.7) + PI / geometry.pin_count as f64),
            LeaderEnd::Arrow,
            diameter(geometry.pin_circle_radius_mm),
            "circle of pins",
        ),
        left(
            disc.centre_mm + unit(2.5) * geometry.bore_radius_mm,
            LeaderEnd::Arrow,
            diameter(geometry.bore_radius_mm),
            "bore of the disc",
        ),
    ];
    if let Some(radius) = geometry.sleeve_radius_mm {
        let sleeve_edge = polar(geometry.pin_circle_radius_mm, pin_at) + unit(-0.6) * radius;
        list.push(right(sleeve_edge, LeaderEnd::Arrow, times(geometry.pin_count, radius), "pin sleeves"));
    }
    if let Some(radius) = eccentric_radius_mm(drive) {
        list.push(left(
            disc.centre_mm + unit(2.75) * radius,
            LeaderEnd::Arrow,
            diameter(radius),
            "eccentric",
        ));
    }
    let tip_lobe = nearest_tip_angle(drive, disc, 2.2);
    let tip_radius = geometry.ring_radius_mm - geometry.roller_radius_mm
        + geometry.eccentricity_mm
        + geometry.modification.ring_radius_shift_mm
        - geometry.modification.equidistant_offset_mm;
    list.push(left(
        disc.centre_mm + unit(tip_lobe) * tip_radius,
        LeaderEnd::Arrow,
        diameter(tip_radius),
        "disc over its lobes",
    ));
    list
}

/// Angle of the output pin that stands nearest to a wished angle.
fn nearest_pin_angle(drive: &Drive, crank_angle_rad: f64, wish: f64) -> f64 {
    let angles = (0..drive.geometry.pin_count)
        .map(|pin| outline::pin_angle_rad(&drive.geometry, pin, crank_angle_rad));
    let distance = |angle: f64| wrap_angle(angle - wish).abs();
    angles.min_by(|a, b| distance(*a).total_cmp(&distance(*b))).unwrap_or(wish)
}

/// Direction of the lobe tip of a disc that stands nearest to a wished direction.
fn nearest_tip_angle(drive: &Drive, disc: DiscPose, wish: f64) -> f64 {
    let pitch = TAU / reducer::kinematics::lobe_count(&drive.geometry) as f64;
    let first = disc.turn_rad + 0.5 * pitch;
    first + ((wish - first) / pitch).round() * pitch
}
