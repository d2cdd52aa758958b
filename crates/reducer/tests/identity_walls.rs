//! Laws that the section forces of a disc must keep; finite elements stand beside them in `xtask`.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

use curves::point::{Vector, cross, rotated};
use reducer::strength::disc_webs::placed_forces;
use reducer::web::{DiscWebs, NeckKind, PlacedForce, WebShape};
use std::f64::consts::TAU;

const SHAPE: WebShape = WebShape {
    hole_count: 8,
    hole_circle_radius_mm: 38.0,
    hole_radius_mm: 9.0,
    bore_radius_mm: 25.0,
    root_radius_mm: 58.0,
    poisson_ratio: 0.3,
};

fn pull(sense: f64) -> PlacedForce {
    PlacedForce {
        place_mm: Vector::new(0.3, sense * SHAPE.root_radius_mm),
        force_n: Vector::new(0.0, sense * 1000.0),
    }
}

#[test]
fn identity_section_forces_turn_with_the_loads() {
    let webs = DiscWebs::of(SHAPE).unwrap();
    let pitch = TAU / 8.0;
    // One force on a rim piece, one on a neck, and the bearing that holds both.
    let forces = [
        pull(1.0),
        PlacedForce { place_mm: Vector::new(29.0, 0.0), force_n: Vector::new(-700.0, 0.0) },
        PlacedForce { place_mm: Vector::new(0.3, 40.0), force_n: Vector::new(0.0, -1000.0) },
    ];
    let bearing = -forces.iter().map(|force| force.force_n).sum::<Vector>();
    let turned = forces.map(|force| PlacedForce {
        place_mm: rotated(force.place_mm, pitch),
        force_n: rotated(force.force_n, pitch),
    });
    let (before, after) = (webs.sections(&forces, bearing), webs.sections(&turned, rotated(bearing, pitch)));
    let a_hole = before.len() / 8;
    for (index, section) in before.iter().enumerate() {
        let moved = &after[(index + a_hole) % after.len()];
        assert!((section.normal_n - moved.normal_n).abs() < 1e-6, "{section:?} {moved:?}");
        assert!((section.moment_n_mm - moved.moment_n_mm).abs() < 1e-5, "{section:?} {moved:?}");
    }
}

/// Two opposite pulls on the rim: a cut through two holes halves the disc, and its parts carry the whole pull.
#[test]
fn identity_cuts_through_two_holes_carry_what_pulls_the_halves_apart() {
    let webs = DiscWebs::of(SHAPE).unwrap();
    let sections = webs.sections(&[pull(1.0), pull(-1.0)], Vector::zeros());
    let across = |hole: usize| {
        sections
            .iter()
            .filter(|section| {
                section.hole == hole && section.kind != NeckKind::Web && section.station_mm == 0.0
            })
            .map(|section| section.normal_n)
            .sum::<f64>()
    };
    assert!((across(0) + across(4) - 1000.0).abs() < 1e-6, "{} {}", across(0), across(4));
}

#[test]
fn identity_forces_as_placed_balance_on_every_disc() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/orchard-arm-shoulder.toml");
    let drive = schema::read("shoulder", &std::fs::read(path).unwrap()).unwrap().drive;
    let (model, materials) = reducer::assess::model_of(&drive).unwrap();
    for crank_angle_rad in [0.0, 0.3, 2.9] {
        let torque = drive.requirement.rated_torque_n_mm;
        let pose = reducer::loads::pose_at(&drive, &model, &materials, torque, crank_angle_rad).unwrap();
        for disc in 0..2 {
            let (forces, bearing) = placed_forces(&drive, &pose, disc);
            let sum: Vector = forces.iter().map(|force| force.force_n).sum();
            let moment: f64 = forces.iter().map(|force| cross(force.place_mm, force.force_n)).sum();
            assert!((sum + bearing).norm() < 1e-6 * bearing.norm());
            // Places are those of warm parts under load, microns off the drawn ones.
            assert!(moment.abs() < 1e-3 * torque, "{moment}");
        }
    }
}
