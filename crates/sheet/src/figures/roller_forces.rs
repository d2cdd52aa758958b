//! The forces on the first disc at a crank angle, drawn to one scale, with the normals through the pitch point.

use super::outline::{self, DiscPose, place};
use super::section::body_marks;
use crate::figure::{Anchor, Body, Drawing, Figure, KeyNumber, LegendEntry, Mark, Pen};
use crate::markup::{Markup, Tag};
use curves::ClosedCurve;
use curves::math::{hypot, wrap_angle};
use curves::point::{Point, Vector, polar};
use reducer::kinematics;
use reducer::model::Drive;
use reducer::registry::{display, format_number};
use reducer::results::{DiscState, LoadCase, Pose};
use reducer::units::degrees;

/// Length of the longest arrow of the bearing or a pin over the ring radius.
const LONGEST_ARROW: f64 = 0.7;
/// Length of the longest arrow of a ring roller over the ring radius, at most.
const LONGEST_ROLLER_ARROW: f64 = 0.32;
/// How much larger than the others the arrows of the ring rollers may be drawn.
const ENLARGEMENTS: [f64; 5] = [1.0, 2.0, 5.0, 10.0, 20.0];
/// Contacts with less than this share of the largest force are drawn without arrow.
const SHOWN_SHARE: f64 = 0.01;

/// Forces on the first disc at the computed crank angle nearest to the one asked for.
#[must_use]
pub fn roller_forces(
    drive: &Drive,
    outline: &dyn ClosedCurve,
    case: &LoadCase,
    crank_angle_rad: f64,
) -> Figure {
    let geometry = &drive.geometry;
    let pose = nearest_pose(case, crank_angle_rad);
    let angle = pose.map_or(crank_angle_rad, |pose| pose.crank_angle_rad);
    let disc = pose.and_then(|pose| pose.discs.first());
    let mut marks = body_marks(drive, outline, angle, false);
    let largest = disc.map_or(0.0, largest_force);
    let mut numbers = Vec::new();
    let mut enlargement = 1.0;
    if let Some(disc) = disc {
        let bearing = hypot(disc.bearing_force_n[0], disc.bearing_force_n[1]);
        let scale = LONGEST_ARROW * geometry.ring_radius_mm / largest.max(bearing).max(1e-9);
        let longest =
            LONGEST_ROLLER_ARROW * geometry.ring_radius_mm / maximum(&disc.ring_roller_force_n).max(1e-9);
        enlargement = ENLARGEMENTS.into_iter().rev().find(|factor| factor * scale <= longest).unwrap_or(1.0);
        marks.extend(normals(drive, disc, angle));
        marks.extend(roller_arrows(disc, enlargement * scale));
        marks.extend(pin_arrows(drive, disc, angle, scale));
        marks.push(bearing_arrow(drive, disc, angle, scale));
        marks.extend(pitch_point(drive, angle));
        numbers.push(KeyNumber::new(
            "ring_roller_force_n",
            "largest force at a ring roller",
            maximum(&disc.ring_roller_force_n),
        ));
        numbers.push(KeyNumber::new(
            "output_pin_force_n",
            "largest force at an output pin",
            maximum(&disc.output_pin_force_n),
        ));
        numbers.push(KeyNumber::new("bearing_force_n", "force of the eccentric bearing", bearing));
    }
    let outside = outline::ring_outside_radius_mm(geometry);
    let reach = outside.max(geometry.ring_radius_mm * (1.02 + LONGEST_ROLLER_ARROW));
    let words = format!("{}°", format_number(degrees(angle), 1));
    Figure {
        id: format!("roller-forces-{}", case.id),
        title: format!("Forces on the first disc, {}", case.title),
        caption: Markup::words(format!(
            "Forces on the first disc at a crank angle of {words}, {}{}. ",
            case.title,
            if enlargement > 1.0 {
                format!(
                    "; arrows at the ring rollers are drawn {enlargement:.0} times larger than the others"
                )
            } else {
                ", drawn to one scale".to_owned()
            }
        ))
        .and(Tag::Words, "The normals of the ring rollers meet in the pitch point ")
        .and(Tag::Symbol, "P")
        .and(Tag::Words, "."),
        description: format!(
            "Arrows at the ring rollers and output pins that carry and at the eccentric bearing; the largest at \
             a roller or pin is {}.",
            display("ring_roller_force_n", largest)
        ),
        key_numbers: numbers,
        body: Body::Drawing(Drawing {
            min_mm: [-reach, -reach],
            max_mm: [reach, reach],
            margin_paper_mm: [26.0, 26.0, 1.0, 3.0],
            marks,
            callouts: Vec::new(),
            legend: vec![
                entry(Pen::RollerForce, "ring rollers", disc.map(|disc| maximum(&disc.ring_roller_force_n))),
                entry(Pen::PinForce, "output pins", disc.map(|disc| maximum(&disc.output_pin_force_n))),
                entry(
                    Pen::BearingForce,
                    "eccentric bearing",
                    disc.map(|disc| hypot(disc.bearing_force_n[0], disc.bearing_force_n[1])),
                ),
            ],
        }),
    }
}

/// The computed pose of a load case nearest to a crank angle.
#[must_use]
pub fn nearest_pose(case: &LoadCase, crank_angle_rad: f64) -> Option<&Pose> {
    let distance = |pose: &&Pose| wrap_angle(pose.crank_angle_rad - crank_angle_rad).abs();
    case.poses.iter().min_by(|a, b| distance(a).total_cmp(&distance(b)))
}

fn entry(pen: Pen, words: &str, largest_n: Option<f64>) -> LegendEntry {
    let value = largest_n.map_or_else(String::new, |force| display("ring_roller_force_n", force));
    let up_to = if pen == Pen::BearingForce { ", " } else { ", up to " };
    LegendEntry { pen, text: Markup::words(format!("{words}{up_to}{value}")) }
}

fn maximum(values: &[f64]) -> f64 {
    values.iter().copied().fold(0.0, f64::max)
}

fn largest_force(disc: &DiscState) -> f64 {
    maximum(&disc.ring_roller_force_n).max(maximum(&disc.output_pin_force_n))
}

fn vector(pair: [f64; 2]) -> Vector {
    Vector::new(pair[0], pair[1])
}

/// Lines along the normals of the rollers that carry, from the contact to the pitch point.
fn normals(drive: &Drive, disc: &DiscState, crank_angle_rad: f64) -> Vec<Mark> {
    let meeting = kinematics::pitch_point(&drive.geometry, crank_angle_rad);
    let carrying = disc.ring_roller_force_n.iter().zip(&disc.ring_roller_contact_mm);
    let least = SHOWN_SHARE * maximum(&disc.ring_roller_force_n);
    carrying
        .filter(|(force, _)| **force > least)
        .map(|(_, contact)| Mark::Polyline {
            pen: Pen::Construction,
            points_mm: vec![*contact, place(meeting)],
        })
        .collect()
}

/// Arrows whose points touch the disc where the rollers do.
fn roller_arrows(disc: &DiscState, scale: f64) -> Vec<Mark> {
    let contacts = disc.ring_roller_contact_mm.iter().zip(&disc.ring_roller_normal);
    let with_force = disc.ring_roller_force_n.iter().zip(contacts);
    let least = SHOWN_SHARE * maximum(&disc.ring_roller_force_n);
    with_force
        .filter(|(force, _)| **force > least)
        .map(|(force, (contact, normal))| {
            let tip = Point::from(vector(*contact));
            let tail = tip - vector(*normal) * (force * scale);
            Mark::Arrow { pen: Pen::RollerForce, tail_mm: place(tail), tip_mm: *contact }
        })
        .collect()
}

/// Arrows from the pins into the walls of their holes.
fn pin_arrows(drive: &Drive, disc: &DiscState, crank_angle_rad: f64, scale: f64) -> Vec<Mark> {
    let geometry = &drive.geometry;
    let reach = reducer::part::pin_outside_radius_mm(drive);
    let least = SHOWN_SHARE * maximum(&disc.output_pin_force_n);
    let forces = disc.output_pin_force_n.iter().zip(&disc.output_pin_direction).enumerate();
    forces
        .filter(|(_, (force, _))| **force > least)
        .map(|(pin, (force, direction))| {
            let towards = vector(*direction);
            let angle = outline::pin_angle_rad(geometry, pin, crank_angle_rad);
            let tail = polar(geometry.pin_circle_radius_mm, angle) + towards * reach;
            let tip = tail + towards * (force * scale);
            Mark::Arrow { pen: Pen::PinForce, tail_mm: place(tail), tip_mm: place(tip) }
        })
        .collect()
}

fn bearing_arrow(drive: &Drive, disc: &DiscState, crank_angle_rad: f64, scale: f64) -> Mark {
    let centre = DiscPose::at(&drive.geometry, 0, crank_angle_rad).centre_mm;
    let tip = centre + vector(disc.bearing_force_n) * scale;
    Mark::Arrow { pen: Pen::BearingForce, tail_mm: place(centre), tip_mm: place(tip) }
}

fn pitch_point(drive: &Drive, crank_angle_rad: f64) -> Vec<Mark> {
    let at_mm = place(kinematics::pitch_point(&drive.geometry, crank_angle_rad));
    let text = Markup::tagged(Tag::Symbol, "P");
    vec![
        Mark::Dot { pen: Pen::Edge, at_mm },
        Mark::Label { at_mm, offset_paper_mm: [1.6, 1.2], anchor: Anchor::Start, text },
    ]
}
