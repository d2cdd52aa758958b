//! Section forces in discs beside finite elements of the whole disc, which share nothing with them but statics.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

use curves::math::square;
use curves::point::{Vector, cross, rotated, unit};
use reducer::strength::disc_webs::placed_forces;
use reducer::web::{DiscWebs, NeckKind, PlacedForce, Section, WebShape};
use std::f64::consts::TAU;

struct Case {
    table: toml::Table,
}

impl Case {
    fn number(&self, name: &str) -> f64 {
        let value = &self.table[name];
        value.as_float().unwrap_or_else(|| value.as_integer().unwrap() as f64)
    }

    fn name(&self) -> &str {
        self.table["name"].as_str().unwrap()
    }

    fn count(&self, name: &str) -> usize {
        self.table[name].as_integer().unwrap().try_into().unwrap()
    }

    fn shape(&self) -> WebShape {
        WebShape {
            hole_count: self.count("hole_count"),
            hole_circle_radius_mm: self.number("hole_circle_radius_mm"),
            hole_radius_mm: self.number("hole_radius_mm"),
            bore_radius_mm: self.number("bore_radius_mm"),
            root_radius_mm: self.number("ring_radius_mm")
                - self.number("eccentricity_mm")
                - self.number("roller_radius_mm"),
            poisson_ratio: 0.3,
        }
    }

    /// Forces in proportion to levers, seen with the first hole on the x axis.
    fn loads(&self) -> (Vec<PlacedForce>, Vector) {
        let (rollers, lobes) = (self.number("ring_roller_count"), self.number("ring_roller_count") - 1.0);
        let (throw, torque) = (self.number("eccentricity_mm"), self.number("torque_n_mm"));
        let crank_angle = self.number("crank_angle_rad");
        let crank = unit(crank_angle * rollers / lobes);
        let on_rollers = (0..self.count("ring_roller_count")).map(|roller| {
            let centre = unit(TAU * roller as f64 / rollers + crank_angle / lobes)
                * self.number("ring_radius_mm")
                - crank * throw;
            let inward = (crank * (throw * lobes) - centre).normalize();
            (centre + inward * self.number("roller_radius_mm"), inward)
        });
        let on_pins = (0..self.count("hole_count")).map(|pin| {
            let angle = TAU * pin as f64 / self.number("hole_count") + self.number("hole_phase_rad");
            (
                unit(angle) * self.number("hole_circle_radius_mm") - crank * self.number("hole_radius_mm"),
                -crank,
            )
        });
        let shared = |places: Vec<(Vector, Vector)>, sense: f64| {
            let lever = |(place, push): &(Vector, Vector)| (sense * cross(*place, *push)).max(0.0);
            let sum: f64 = places.iter().map(|place| square(lever(place))).sum();
            places
                .iter()
                .map(|place| PlacedForce {
                    place_mm: rotated(place.0, -self.number("hole_phase_rad")),
                    force_n: rotated(place.1 * (torque * lever(place) / sum), -self.number("hole_phase_rad")),
                })
                .collect::<Vec<_>>()
        };
        let mut forces = shared(on_rollers.collect(), -1.0);
        forces.extend(shared(on_pins.collect(), 1.0));
        let bearing = -forces.iter().map(|force| force.force_n).sum::<Vector>();
        (forces, bearing)
    }

    /// Normal force, shear and moment of a neck at -0.5, 0 and 0.5 hole radii.
    fn expected(&self, kind: NeckKind, hole: usize) -> Vec<[f64; 3]> {
        let name = match kind {
            NeckKind::Lobe => "lobe",
            NeckKind::Bore => "bore",
            NeckKind::Web => "web",
        };
        let rows = self.table[&format!("{name}_{hole}")].as_array().unwrap();
        let number = |value: &toml::Value| value.as_float().unwrap();
        rows.iter()
            .map(|row| {
                let row = row.as_array().unwrap();
                [number(&row[0]), number(&row[1]), number(&row[2])]
            })
            .collect()
    }
}

fn cases() -> Vec<Case> {
    let path = format!("{}/../../validation/finite_element_rerun/webs.toml", env!("CARGO_MANIFEST_DIR"));
    let table: toml::Table = toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    table["case"]
        .as_array()
        .unwrap()
        .iter()
        .map(|case| Case { table: case.as_table().unwrap().clone() })
        .collect()
}

#[test]
fn independent_section_forces_beside_finite_elements() {
    for case in cases() {
        let (forces, bearing) = case.loads();
        let sections = DiscWebs::of(case.shape()).unwrap().sections(&forces, bearing);
        let of = |kind: NeckKind, hole: usize| {
            let own: Vec<&Section> =
                sections.iter().filter(|section| section.kind == kind && section.hole == hole).collect();
            *own[own.len() / 2]
        };
        let width_mm = case.number("width_mm");
        let mut pairs = Vec::new();
        for kind in [NeckKind::Lobe, NeckKind::Bore, NeckKind::Web] {
            for hole in 0..case.count("hole_count") {
                let own = of(kind, hole);
                let [normal_n, shear_n, moment_n_mm] = case.expected(kind, hole)[1];
                pairs.push((own, Section { normal_n, shear_n, moment_n_mm, ..own }));
            }
        }
        let furthest = |value: &dyn Fn(&Section) -> f64, takes: &dyn Fn(&Section) -> bool| {
            let taken = || pairs.iter().filter(|(own, _)| takes(own));
            let largest = taken().map(|(_, expected)| value(expected).abs()).fold(0.0, f64::max);
            let off = taken().map(|(own, expected)| (value(own) - value(expected)).abs()).fold(0.0, f64::max);
            off / largest
        };
        // A pin that presses on a web exactly at its middle is on either side of the cut.
        let is_pressed = |own: &Section| {
            let pressed = case.name() == "thin walls, crank on" && own.hole == 3;
            pressed && own.kind == NeckKind::Web
        };
        let normal = furthest(&|section| section.normal_n, &|_| true);
        let shear = furthest(&|section| section.shear_n, &|own| !is_pressed(own));
        let edge = furthest(&|section| section.edge_stress_mpa(width_mm), &|_| true);
        println!("{}: normal force {normal:.3}, shear {shear:.3}, edge stress {edge:.3}", case.name());
        // Where walls are as deep as the holes are wide the pieces between them give too.
        let most_edge = if case.name().starts_with("thin") { 0.12 } else { 0.3 };
        assert!(normal < 0.2 && shear < 0.25 && edge < most_edge, "{}", case.name());
    }
}

/// The stress at the edges of the holes decides: it must not come out low.
#[test]
fn independent_greatest_stress_at_the_holes_is_on_the_safe_side_of_finite_elements() {
    for case in cases() {
        let (forces, bearing) = case.loads();
        let sections = DiscWebs::of(case.shape()).unwrap().sections(&forces, bearing);
        let (width_mm, hole_mm, count) =
            (case.number("width_mm"), case.number("hole_radius_mm"), case.count("hole_count"));
        let touches = |section: &Section, hole: usize| {
            section.hole == hole || (section.kind == NeckKind::Web && (section.hole + 1) % count == hole)
        };
        let own = |hole: usize| {
            sections
                .iter()
                .filter(|section| touches(section, hole))
                .map(|section| section.notch_factor(hole_mm) * section.edge_stress_mpa(width_mm))
                .fold(0.0, f64::max)
        };
        let expected: Vec<f64> = case.table["hole_edge_mpa"]
            .as_array()
            .unwrap()
            .iter()
            .map(|value| value.as_float().unwrap().abs())
            .collect();
        let largest = expected.iter().copied().fold(0.0, f64::max);
        let greatest = (0..count).map(own).fold(0.0, f64::max);
        let ratios: Vec<f64> = (0..count)
            .filter(|&hole| expected[hole] > 0.7 * largest)
            .map(|hole| own(hole) / expected[hole])
            .collect();
        // The numbers leave out the side that a pin presses on, and in one case that side is the worst.
        println!("{}: greatest {:.2}, single holes {ratios:.2?}", case.name(), greatest / largest);
        assert!(greatest / largest > 1.0 && greatest / largest < 2.0, "{}", case.name());
        assert!(ratios.iter().all(|ratio| *ratio > 0.85), "{}", case.name());
    }
}

#[test]
fn identity_section_forces_turn_with_the_loads() {
    let case = cases().remove(1);
    let (forces, bearing) = case.loads();
    let webs = DiscWebs::of(case.shape()).unwrap();
    let pitch = TAU / 10.0;
    let turned: Vec<PlacedForce> = forces
        .iter()
        .map(|force| PlacedForce {
            place_mm: rotated(force.place_mm, pitch),
            force_n: rotated(force.force_n, pitch),
        })
        .collect();
    let (before, after) = (webs.sections(&forces, bearing), webs.sections(&turned, rotated(bearing, pitch)));
    let a_hole = before.len() / 10;
    for (index, section) in before.iter().enumerate() {
        let moved = &after[(index + a_hole) % after.len()];
        assert!((section.normal_n - moved.normal_n).abs() < 1e-6, "{section:?} {moved:?}");
        assert!((section.moment_n_mm - moved.moment_n_mm).abs() < 1e-5, "{section:?} {moved:?}");
    }
}

/// Two opposite pulls on the rim: a cut through two holes halves the disc, and its parts carry the whole pull.
#[test]
fn identity_cuts_through_two_holes_carry_what_pulls_the_halves_apart() {
    let shape = cases().remove(0).shape();
    let webs = DiscWebs::of(shape).unwrap();
    let pull = |sense: f64| PlacedForce {
        place_mm: Vector::new(0.3, sense * shape.root_radius_mm),
        force_n: Vector::new(0.0, sense * 1000.0),
    };
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
