//! What the page draws against the core that it comes from.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not there")]

use curves::point::{Point, rotated};
use reducer::assess::{model_of, preview};
use reducer::finding::Standing;
use reducer::loads::pose_at;
use reducer::model::{BearingModel, DiscModel, Drive};
use reducer::units::radians;
use schema::DriveFile;
use server::api::{Motion, Stage};
use server::view;
use std::f64::consts::TAU;

const EXAMPLES: [&str; 4] =
    ["orchard-arm-shoulder", "sorting-table-index", "sluice-gate-lift", "wrist-printed"];

fn example(name: &str) -> DriveFile {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    schema::read(name, &std::fs::read(path).unwrap()).unwrap()
}

fn preview_motion(drive: &Drive) -> Motion {
    view::motion(drive, &preview(drive).unwrap().assessment, "rated", Stage::Preview, 1)
}

/// Place of a point of a disc in the frame of the ring, as the page works it out.
fn placed(motion: &Motion, disc: usize, crank_deg: f64, at: [f64; 2]) -> Point {
    let throw = (crank_deg + motion.throw_angle_deg[disc]).rem_euclid(360.0);
    let index = throw.round() as usize;
    let turn_deg = motion.disc_turn_start_deg[disc] + motion.disc_turn_ratio * crank_deg;
    Point::from(motion.throw_mm[index]) + rotated(Point::from(at).coords, radians(turn_deg))
}

#[test]
fn identity_every_hole_stands_round_its_pin_at_the_throw_from_it() {
    for name in EXAMPLES {
        let drive = example(name).drive;
        let (scene, motion) = (view::scene(&drive, 1), preview_motion(&drive));
        for crank_deg in [0.0, 37.0, 290.0, 4321.0] {
            for (disc, shape) in scene.discs.iter().enumerate() {
                for (hole, pin) in shape.hole_centres_mm.iter().zip(&scene.pin_centres_mm) {
                    let turn = radians(motion.disc_turn_ratio * crank_deg);
                    let pin = Point::from(rotated(Point::from(*pin).coords, turn));
                    let distance = (placed(&motion, disc, crank_deg, *hole) - pin).norm();
                    let off = (distance - drive.geometry.eccentricity_mm).abs();
                    assert!(off < 1e-4, "{name}, disc {disc}, {crank_deg}°: {off} mm");
                }
            }
        }
    }
}

#[test]
fn identity_forces_repeat_after_a_period_with_rollers_and_pins_counted_on() {
    for name in ["orchard-arm-shoulder", "sorting-table-index", "wrist-printed"] {
        let mut drive = example(name).drive;
        drive.model.disc = DiscModel::Rigid;
        // Its rollers go round with their cage and do not come back after the period.
        drive.model.eccentric_bearing = BearingModel::Rigid;
        let motion = preview_motion(&drive);
        let (model, materials) = model_of(&drive).unwrap();
        let torque = drive.requirement.rated_torque_n_mm;
        let at = |angle: f64| pose_at(&drive, &model, &materials, torque, angle).unwrap();
        let period = radians(motion.period_deg);
        let (first, later) = (at(0.3), at(0.3 + period));
        for (a, b) in first.discs.iter().zip(&later.discs) {
            let greatest = a.ring_roller_force_n.iter().copied().fold(0.0, f64::max);
            for (roller, force) in a.ring_roller_force_n.iter().enumerate() {
                let there = (roller + motion.roller_shift) % a.ring_roller_force_n.len();
                let off = (b.ring_roller_force_n[there] - force).abs();
                assert!(off < 1e-4 * greatest, "{name}: roller {roller} off by {off} N");
            }
            for (pin, force) in a.output_pin_force_n.iter().enumerate() {
                let there = (pin + motion.pin_shift) % a.output_pin_force_n.len();
                let off = (b.output_pin_force_n[there] - force).abs();
                assert!(off < 1e-3 * greatest, "{name}: pin {pin} off by {off} N");
            }
        }
    }
}

#[test]
fn identity_straight_steps_between_places_of_the_throw_stay_close_to_its_circle() {
    let drive = example("orchard-arm-shoulder").drive;
    let motion = preview_motion(&drive);
    let throw = drive.geometry.eccentricity_mm;
    for pair in motion.throw_mm.windows(2) {
        let middle = Point::from([0.5 * (pair[0][0] + pair[1][0]), 0.5 * (pair[0][1] + pair[1][1])]);
        assert!((middle.coords.norm() - throw).abs() < 5e-5 * throw);
    }
    assert_eq!(motion.throw_mm.first(), motion.throw_mm.last());
    assert!((motion.throw_mm.len() as f64 - 1.0) * (TAU / 360.0) >= TAU - 1e-9);
}

#[test]
fn identity_numbers_on_the_wire_are_finite_even_where_nothing_meshes() {
    let finite = |value: &serde_json::Value| !value.to_string().contains("null");
    for (path, text) in [
        ("geometry.eccentricity", "40 mm"),
        ("geometry.eccentricity", "1.55 mm"),
        ("geometry.roller_radius", "30 mm"),
    ] {
        let file = example("orchard-arm-shoulder").with_value(path, text).unwrap();
        let scene = view::scene(&file.drive, 1);
        let clear = view::clearances(&file.drive, 1);
        let openings = scene.discs.iter().map(|disc| &disc.opening_path).chain(&clear.opening_paths);
        for path in openings.chain([&scene.lobe_path, &scene.ring_path, &clear.lobe_path]) {
            assert!(!path.contains("NaN") && !path.contains("inf"), "{text}: {path}");
        }
        let solids = serde_json::to_value(view::solids(&file.drive, 1)).unwrap();
        assert!(finite(&solids), "{text}");
        assert!(preview_motion(&file.drive).poses.is_empty());
    }
}

#[test]
fn identity_a_slider_shows_where_the_profile_is_undercut() {
    let file = example("orchard-arm-shoulder");
    let scale = view::scale(&file, "geometry.eccentricity", 7).unwrap();
    assert_eq!(scale.generation, 7);
    assert!(scale.bands.iter().any(|band| band.standing == Standing::Fails), "{:?}", scale.bands);
    assert!(!scale.bands.iter().any(|band| (band.from..=band.to).contains(&scale.here)), "{:?}", scale.bands);
    // What the band says is what the checks of the changed file say.
    let band = scale.bands.iter().find(|band| band.standing == Standing::Fails).unwrap();
    let changed = file.with_value("geometry.eccentricity", &scale.stops[band.from]).unwrap();
    let quick = preview(&changed.drive).unwrap().assessment;
    assert!(quick.findings.iter().any(|each| each.title == band.title && each.standing == Standing::Fails));
    assert!(view::scale(&file, "drive.name", 7).is_none());
}

#[test]
fn identity_gaps_are_drawn_larger_only_as_far_as_there_is_room() {
    let factors = EXAMPLES.map(|name| view::scene(&example(name).drive, 1).exaggeration);
    // Printed parts with tenths of a millimetre of play have less room than ground ones with micrometres.
    assert!(factors[3] < factors[0], "{factors:?}");
    for (name, factor) in EXAMPLES.into_iter().zip(factors) {
        assert!([1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0].contains(&factor), "{name}: {factor}");
        let drive = example(name).drive;
        let clear = view::clearances(&drive, 1);
        assert_eq!(clear.opening_paths.len(), drive.geometry.disc_count);
        // The outline keeps its sense, which it would lose where it crosses itself, and goes round once.
        let knots = knots_of(&clear.lobe_path);
        let turns: Vec<f64> =
            knots.windows(2).map(|pair| pair[0][0] * pair[1][1] - pair[0][1] * pair[1][0]).collect();
        let ahead = turns.iter().filter(|turn| **turn > 0.0).count();
        assert_eq!(ahead, turns.len(), "{name}: the outline turns back");
    }
}

/// Ends of the cubics of a path.
fn knots_of(path: &str) -> Vec<[f64; 2]> {
    let pieces = path.trim_start_matches('M').trim_end_matches('Z').split('C');
    let numbers =
        pieces.map(|piece| piece.split(' ').map(|text| text.parse().unwrap()).collect::<Vec<f64>>());
    numbers.map(|all| [all[all.len() - 2], all[all.len() - 1]]).collect()
}

#[test]
fn identity_the_held_member_stands() {
    let held = |text: &str| {
        let file = example("orchard-arm-shoulder").with_value("geometry.held_member", text).unwrap();
        preview_motion(&file.drive)
    };
    assert_eq!(held("ring").frame_turn_ratio, 0.0);
    // The plate turns back in the frame of the ring by what the ring turns where the plate is held.
    let plate = held("plate");
    assert!((plate.frame_turn_ratio + plate.disc_turn_ratio).abs() < 1e-15);
}
