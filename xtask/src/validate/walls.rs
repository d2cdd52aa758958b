//! Walls of the disc beside the finite-element solutions of `validation/finite_element_rerun/webs.py`.
//!
//! Both sides take the same classical loads, in proportion to levers, so that no load model enters.

use super::finite_element::FOLDER;
use super::page::share;
use curves::math::square;
use curves::point::{Vector, cross, rotated, unit};
use reducer::web::{DiscWebs, NeckKind, PlacedForce, Section, WebShape};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::f64::consts::TAU;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

#[derive(Debug, Deserialize)]
struct Results {
    case: Vec<Case>,
}

/// A loaded disc and what the finite elements found in it.
#[derive(Debug, Deserialize)]
struct Case {
    name: String,
    ring_roller_count: usize,
    ring_radius_mm: f64,
    roller_radius_mm: f64,
    eccentricity_mm: f64,
    hole_count: usize,
    hole_circle_radius_mm: f64,
    hole_radius_mm: f64,
    hole_phase_rad: f64,
    bore_radius_mm: f64,
    width_mm: f64,
    torque_n_mm: f64,
    crank_angle_rad: f64,
    node_count: usize,
    hole_edge_mpa: Vec<f64>,
    /// Normal force, shear and moment of each neck at three places, the middle one second; and what else the file holds.
    #[serde(flatten)]
    necks: BTreeMap<String, toml::Value>,
}

/// How far the program is from the finite elements, as shares of the largest value of the disc.
#[derive(Debug)]
pub struct Beside {
    /// Name of the case.
    pub name: String,
    /// Nodes of the finite-element mesh.
    pub node_count: usize,
    /// Worst normal force in the middle of a neck.
    pub normal: f64,
    /// Worst shear there, webs left out on which a pin presses: it jumps under the pin.
    pub shear: f64,
    /// Worst nominal stress there.
    pub nominal: f64,
    /// Greatest stress at the edge of any hole over that of the finite elements.
    pub greatest: f64,
    /// The least of the same at single holes, those that are stressed by more than 70 % of the greatest.
    pub least: f64,
}

impl Case {
    fn webs(&self) -> Result<DiscWebs, String> {
        let shape = WebShape {
            hole_count: self.hole_count,
            hole_circle_radius_mm: self.hole_circle_radius_mm,
            hole_radius_mm: self.hole_radius_mm,
            bore_radius_mm: self.bore_radius_mm,
            root_radius_mm: self.ring_radius_mm - self.eccentricity_mm - self.roller_radius_mm,
            poisson_ratio: 0.3,
        };
        DiscWebs::of(shape).ok_or_else(|| format!("{}: no walls", self.name))
    }

    /// Forces in proportion to levers, seen with the first hole on the x axis, and that of the bearing.
    fn loads(&self) -> (Vec<PlacedForce>, Vector) {
        let rollers = self.ring_roller_count as f64;
        let lobes = rollers - 1.0;
        let crank = unit(self.crank_angle_rad * rollers / lobes);
        let on_rollers = (0..self.ring_roller_count).map(|roller| {
            let angle = TAU * roller as f64 / rollers + self.crank_angle_rad / lobes;
            let centre = unit(angle) * self.ring_radius_mm - crank * self.eccentricity_mm;
            let inward = (crank * (self.eccentricity_mm * lobes) - centre).normalize();
            (centre + inward * self.roller_radius_mm, inward)
        });
        let on_pins = (0..self.hole_count).map(|pin| {
            let angle = TAU * pin as f64 / self.hole_count as f64 + self.hole_phase_rad;
            (unit(angle) * self.hole_circle_radius_mm - crank * self.hole_radius_mm, -crank)
        });
        let mut forces = self.shared(&on_rollers.collect::<Vec<_>>(), -1.0);
        forces.extend(self.shared(&on_pins.collect::<Vec<_>>(), 1.0));
        let bearing_n = -forces.iter().map(|force| force.force_n).sum::<Vector>();
        (forces, bearing_n)
    }

    /// The torque spread over places that push one way round.
    fn shared(&self, places: &[(Vector, Vector)], sense: f64) -> Vec<PlacedForce> {
        let lever = |(place, push): &(Vector, Vector)| (sense * cross(*place, *push)).max(0.0);
        let sum: f64 = places.iter().map(|place| square(lever(place))).sum();
        let seen = |vector: Vector| rotated(vector, -self.hole_phase_rad);
        places
            .iter()
            .map(|place| PlacedForce {
                place_mm: seen(place.0),
                force_n: seen(place.1 * (self.torque_n_mm * lever(place) / sum)),
            })
            .collect()
    }

    /// Normal force, shear and moment that the finite elements found in the middle of a neck.
    fn expected(&self, section: &Section) -> Result<Section, String> {
        let kind = match section.kind {
            NeckKind::Lobe => "lobe",
            NeckKind::Bore => "bore",
            NeckKind::Web => "web",
        };
        let name = format!("{kind}_{}", section.hole);
        let lacking = || format!("{}: `{name}` is not three numbers at three places", self.name);
        let value = self.necks.get(&name).ok_or_else(lacking)?;
        let rows: Vec<[f64; 3]> = value.clone().try_into().map_err(|_| lacking())?;
        let [normal_n, shear_n, moment_n_mm] = *rows.get(1).ok_or_else(lacking)?;
        Ok(Section { normal_n, shear_n, moment_n_mm, ..*section })
    }

    fn beside(&self) -> Result<Beside, String> {
        let (forces, bearing_n) = self.loads();
        let sections = self.webs()?.sections(&forces, bearing_n);
        let middles = sections.iter().filter(|section| section.station_mm == 0.0);
        let pairs: Vec<(Section, Section)> =
            middles.map(|own| Ok((*own, self.expected(own)?))).collect::<Result<_, String>>()?;
        let worst = |value: &dyn Fn(&Section) -> f64, takes: &dyn Fn(&Section) -> bool| {
            let largest = pairs.iter().map(|(_, expected)| value(expected).abs()).fold(0.0, f64::max);
            let taken = pairs.iter().filter(|(own, _)| takes(own));
            let off = taken.map(|(own, expected)| (value(own) - value(expected)).abs());
            off.fold(0.0, f64::max) / largest
        };
        let is_unpressed = |section: &Section| {
            let same = |other: &&Section| other.kind == section.kind && other.hole == section.hole;
            let along = sections.iter().filter(same).map(|other| other.shear_n);
            let (least, most) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), shear| {
                (low.min(shear), high.max(shear))
            });
            section.kind != NeckKind::Web || most - least < 1e-6 * (most.abs() + least.abs())
        };
        let edge = |hole: usize| {
            let touches = |section: &&Section| {
                let is_next = section.kind == NeckKind::Web && (section.hole + 1) % self.hole_count == hole;
                section.hole == hole || is_next
            };
            let local = |section: &Section| {
                section.notch_factor(self.hole_radius_mm) * section.edge_stress_mpa(self.width_mm)
            };
            sections.iter().filter(touches).map(local).fold(0.0, f64::max)
        };
        let largest = self.hole_edge_mpa.iter().map(|stress| stress.abs()).fold(0.0, f64::max);
        let holes = self.hole_edge_mpa.iter().enumerate();
        Ok(Beside {
            name: self.name.clone(),
            node_count: self.node_count,
            normal: worst(&|section| section.normal_n, &|_| true),
            shear: worst(&|section| section.shear_n, &is_unpressed),
            nominal: worst(&|section| section.edge_stress_mpa(self.width_mm), &|_| true),
            greatest: (0..self.hole_count).map(edge).fold(0.0, f64::max) / largest,
            least: holes
                .filter(|(_, stress)| stress.abs() > 0.7 * largest)
                .map(|(hole, stress)| edge(hole) / stress.abs())
                .fold(f64::INFINITY, f64::min),
        })
    }
}

/// Every case beside the program.
///
/// # Errors
/// If the file does not read or lacks a number.
pub fn all_beside(root: &Path) -> Result<Vec<Beside>, String> {
    let path = root.join("validation").join(FOLDER).join("webs.toml");
    let text = fs::read_to_string(&path).map_err(|error| format!("{}: {error}", path.display()))?;
    let results: Results = toml::from_str(&text).map_err(|error| format!("{}: {error}", path.display()))?;
    results.case.iter().map(Case::beside).collect()
}

/// The section of the page.
///
/// # Errors
/// As [`all_beside`].
pub fn section(root: &Path) -> Result<String, String> {
    let mut text = HEAD.to_owned();
    for beside in all_beside(root)? {
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | {} | {:.1} | {:.1} |",
            beside.name,
            beside.node_count,
            share(Some(beside.normal)),
            share(Some(beside.shear)),
            share(Some(beside.nominal)),
            beside.greatest,
            beside.least
        );
    }
    text.push_str(TAIL);
    Ok(text)
}

const HEAD: &str = "
## Finite elements beside the walls of the disc

`validation/finite_element_rerun/webs.py` loads four plane discs with forces in proportion to levers; the short beams of derivation 10 take the same. Worst
differences in the middle of a wall as shares of the largest value of the disc (shear where no pin presses on the web); the greatest stress at the edge of any hole over that of the
finite elements; and the least such ratio at a hole that bears at least 70 % of the greatest:

| case | nodes | normal force | shear | nominal stress | greatest stress over finite elements | least of it at a hole |
|---|---|---|---|---|---|---|
";

const TAIL: &str = "
- Thick walls are as deep as the holes are wide: the pieces between them, which the beams take as rigid, give too.
- In the third case a pin presses right on a thin web. The finite elements leave that side out of their greatest stress, the beams do not.
";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::repository::root;

    #[test]
    fn independent_section_forces_of_thin_walls_are_those_of_finite_elements() {
        for beside in all_beside(&root()).unwrap() {
            let most = if beside.name.starts_with("thin") { 0.12 } else { 0.3 };
            assert!(beside.normal < 0.2 && beside.shear < 0.25 && beside.nominal < most, "{beside:?}");
        }
    }

    /// The stress at the edges of the holes decides: it must not come out low.
    #[test]
    fn independent_greatest_stress_at_the_holes_is_on_the_safe_side_of_finite_elements() {
        for beside in all_beside(&root()).unwrap() {
            assert!(beside.greatest > 1.0 && beside.greatest < 2.0, "{beside:?}");
            assert!(beside.least > 0.85, "{beside:?}");
        }
    }
}
