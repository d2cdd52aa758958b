//! Load models of the program beside the finite-element solutions of `validation/finite_element_rerun`.
//!
//! The solutions are data, written by the programs there; the other side is computed when the page is written. Only one
//! disc is compared, at 20 °C, all bodies as wide as the disc, without the bending of pins, as a plane model has none.

use super::page::{share, signed_share};
use reducer::contact::ContactModel;
use reducer::contact::build::{ContactMaterials, contact_model, with_elastic_bodies};
use reducer::loads::pose_at;
use reducer::model::{BearingModel, DiscModel, Drive, Surroundings};
use reducer::part::{hole_radius_mm, pin_outside_radius_mm};
use reducer::profile::LobeProfile;
use reducer::results::Pose;
use reducer::thermal::Expansion;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

/// Folder of the solutions, below that of the cases; what it holds are no cases.
pub const FOLDER: &str = "finite_element_rerun";
/// Difference above which an input of a solution is not the drive's.
const SAME_INPUT: f64 = 1e-9;
const RAD_PER_MICRORADIAN: f64 = 1e-6;
const ELASTIC: &str = "elastic disc and rollers";

/// All solutions.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Results {
    reproduction: Vec<Reproduction>,
    service: Vec<Service>,
}

/// What every solution has.
#[derive(Debug, Deserialize)]
struct Solution {
    name: String,
    windup_urad: f64,
    roller_force_n: BTreeMap<String, f64>,
    peak_pressure_mpa: f64,
    peak_pressure_roller: usize,
    mesh_change_of_windup: f64,
    mesh_change_of_force: f64,
}

/// A drive that another finite-element program had solved, again.
#[derive(Debug, Deserialize)]
struct Reproduction {
    #[serde(flatten)]
    solution: Solution,
    deviation_of_windup: f64,
    deviation_of_force: f64,
    deviation_of_pressure: f64,
}

/// A drive in service.
#[derive(Debug, Deserialize)]
struct Service {
    #[serde(flatten)]
    solution: Solution,
    drive_file: String,
    crank_angle_rad: f64,
    disc_torque_n_mm: f64,
    pin_force_n: BTreeMap<String, f64>,
    bore_held_all_round_windup_change: f64,
    bore_held_all_round_force_change: f64,
    inputs: BTreeMap<String, f64>,
}

/// A load model of the program beside a solution.
#[derive(Debug)]
pub struct Beside {
    /// Name of the solution.
    pub case: String,
    /// Name of the model.
    pub model: &'static str,
    /// Wind-up against the solution's, less one.
    pub windup: f64,
    /// Largest roller force against the solution's, less one.
    pub largest_force: f64,
    /// Worst difference of a roller force, as a share of the solution's largest.
    pub roller_sharing: f64,
    /// Worst difference of a pin force, as a share of the solution's largest.
    pub pin_sharing: f64,
    /// Greatest Hertz pressure against the solution's fitted peak, less one.
    pub peak_pressure: f64,
    /// The same with the solution's force at the roller of its peak, so that only the contact itself is compared.
    pub pressure_of_same_force: f64,
}

/// Every model beside every solution in service.
///
/// # Errors
/// What could not be read or computed, or which input of a solution is no longer the drive's.
pub fn all_beside(root: &Path) -> Result<Vec<Beside>, String> {
    let mut rows = Vec::new();
    for service in &read(root)?.service {
        let (drive, materials) = service.drive(root)?;
        service.check_inputs(&drive, &materials)?;
        for (name, model) in models(&drive, &materials) {
            let pose = pose_at(&drive, &model, &materials, service.disc_torque_n_mm, service.crank_angle_rad)
                .map_err(|error| error.to_string())?;
            rows.push(service.beside(name, &pose));
        }
    }
    Ok(rows)
}

/// The section of the page.
///
/// # Errors
/// As [`all_beside`].
pub fn section(root: &Path) -> Result<String, String> {
    let results = read(root)?;
    let mut text = String::from(HEAD);
    for case in &results.reproduction {
        // Writing to a string never fails.
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | {} | {} |",
            case.solution.name,
            share(Some(case.deviation_of_windup)),
            share(Some(case.deviation_of_force)),
            share(Some(case.deviation_of_pressure)),
            share(Some(case.solution.mesh_change_of_windup)),
            share(Some(case.solution.mesh_change_of_force)),
        );
    }
    text.push_str(SERVICE_HEAD);
    for service in &results.service {
        text.push_str(&service.line());
    }
    text.push_str(BESIDE_HEAD);
    for row in all_beside(root)? {
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | {} | {} | {} | {} |",
            row.case,
            row.model,
            signed_share(row.windup),
            signed_share(row.largest_force),
            share(Some(row.roller_sharing)),
            share(Some(row.pin_sharing)),
            signed_share(row.peak_pressure),
            signed_share(row.pressure_of_same_force),
        );
    }
    text.push_str(REASONS);
    Ok(text)
}

const HEAD: &str = "
## Finite elements beside the load models

`validation/finite_element_rerun` solves plane finite-element models of one disc, its ring rollers and output pins with unilateral
contact and exact gaps; it shares no code with the program, and anyone can run it again. It first repeats two drives that another finite-element program had
solved (plane stress, torque through a clamped bore):

| drive | off in wind-up | off in a force, of the largest | off in peak pressure | wind-up, coarse to fine mesh | force, coarse to fine mesh |
|---|---|---|---|---|---|
";

const SERVICE_HEAD: &str = "
Then two drives of the orchard in service: plane strain, one disc with its share of the rated torque, which leaves through the output pins, the
bore on a rigid shaft that only presses, parts as drawn at 20 °C, everything as wide as the disc:

| case | drive file | crank angle | wind-up | rollers that press | largest roller force | pins that press | peak pressure | wind-up, coarse to fine mesh | force, coarse to fine mesh | wind-up if the shaft also pulls | forces if the shaft also pulls |
|---|---|---|---|---|---|---|---|---|---|---|---|
";

const BESIDE_HEAD: &str = "
The program's models on the same task, against the finite elements. Sharing is the worst difference of a force as a share of the largest;
the last column is the Hertz pressure of the finite elements' own force against the peak fitted to their pressure.

| case | model | wind-up | largest roller force | roller sharing | pin sharing | peak pressure | pressure of the same force |
|---|---|---|---|---|---|---|---|
";

const REASONS: &str = "
- A disc that is rigid but for its contacts has no lobes that bend, no webs that stretch and no rim that gives: that is the missing wind-up. Where a thin rim
  runs round the bore, as in the shoulder, the crank pushes the lobes aside and loads rollers that a rigid disc leaves open.
- The elastic disc takes its coefficients from boundary elements and is carried in the bore by pads that only push, as the shaft of the finite elements does.
- Contact stress needs no finite elements, force does: the last column is the scatter of the fit over a few elements.
- How the shaft carries the bore matters: one that also pulls (last columns of the table before) shifts forces by more than any model here is off.
- Left out on both sides: bending of pins, the second disc, contacts shorter than the disc, warmth. In the soft drive these are not small.
";

fn read(root: &Path) -> Result<Results, String> {
    let path = root.join("validation").join(FOLDER).join("results.toml");
    let text = fs::read_to_string(&path).map_err(|error| format!("{}: {error}", path.display()))?;
    toml::from_str(&text).map_err(|error| format!("{}: {error}", path.display()))
}

/// The load models that are compared.
fn models(drive: &Drive, materials: &ContactMaterials) -> Vec<(&'static str, ContactModel)> {
    let of = |disc: DiscModel| {
        let mut drive = drive.clone();
        drive.model.disc = disc;
        with_elastic_bodies(contact_model(&drive, materials, Expansion::NONE), &drive, materials)
    };
    vec![("rigid disc", of(DiscModel::Rigid)), (ELASTIC, of(DiscModel::Elastic))]
}

impl Service {
    /// The drive as the plane model has it.
    fn drive(&self, root: &Path) -> Result<(Drive, ContactMaterials), String> {
        let path = root.join(&self.drive_file);
        let bytes = fs::read(&path).map_err(|error| format!("{}: {error}", path.display()))?;
        let mut drive = schema::read(&self.drive_file, &bytes).map_err(|wrong| wrong.to_string())?.drive;
        let share = drive.requirement.rated_torque_n_mm / drive.geometry.disc_count as f64;
        if share != self.disc_torque_n_mm {
            return Err(stale(&self.solution.name, "disc_torque_n_mm", self.disc_torque_n_mm, share));
        }
        drive.geometry.disc_count = 1;
        drive.geometry.contact_length_mm = None;
        drive.geometry.pin_contact_length_mm = None;
        drive.model.eccentric_bearing = BearingModel::Rigid;
        drive.stiffness = Surroundings {
            crank_support_n_per_mm: None,
            crank_torsion_n_mm_per_rad: None,
            carrier_n_mm_per_rad: None,
            ring_n_mm_per_rad: None,
            output_bearing_n_per_mm: None,
        };
        drive.model.pin_bending = false;
        let materials = ContactMaterials::of(&drive).map_err(|error| error.to_string())?;
        Ok((drive, materials))
    }

    fn check_inputs(&self, drive: &Drive, materials: &ContactMaterials) -> Result<(), String> {
        let known = known_inputs(drive, materials);
        for (name, &solved) in &self.inputs {
            let now = known.get(name.as_str()).copied().unwrap_or(f64::NAN);
            let same = (now - solved).abs() <= SAME_INPUT * solved.abs().max(1.0);
            if !same {
                return Err(stale(&self.solution.name, name, solved, now));
            }
        }
        Ok(())
    }

    fn beside(&self, model: &'static str, pose: &Pose) -> Beside {
        let (solution, disc) = (&self.solution, &pose.discs[0]);
        let windup_rad = pose.plate_rotation_rad - pose.unloaded_plate_rotation_rad;
        let roller = solution.peak_pressure_roller;
        let solved_force = force_at(&solution.roller_force_n, roller);
        let same_force =
            disc.ring_roller_pressure_mpa[roller] * (solved_force / disc.ring_roller_force_n[roller]).sqrt();
        Beside {
            case: solution.name.clone(),
            model,
            windup: windup_rad / (solution.windup_urad * RAD_PER_MICRORADIAN) - 1.0,
            largest_force: largest(&disc.ring_roller_force_n) / largest_of(&solution.roller_force_n) - 1.0,
            roller_sharing: worst_difference(&disc.ring_roller_force_n, &solution.roller_force_n),
            pin_sharing: worst_difference(&disc.output_pin_force_n, &self.pin_force_n),
            peak_pressure: largest(&disc.ring_roller_pressure_mpa) / solution.peak_pressure_mpa - 1.0,
            pressure_of_same_force: same_force / solution.peak_pressure_mpa - 1.0,
        }
    }

    fn line(&self) -> String {
        let solution = &self.solution;
        format!(
            "| {} | `{}` | {} rad | {} µrad | {} | {} N | {} | {} MPa | {} | {} | {} | {} |\n",
            solution.name,
            self.drive_file,
            self.crank_angle_rad,
            solution.windup_urad,
            solution.roller_force_n.len(),
            largest_of(&solution.roller_force_n),
            self.pin_force_n.len(),
            solution.peak_pressure_mpa,
            share(Some(solution.mesh_change_of_windup)),
            share(Some(solution.mesh_change_of_force)),
            signed_share(self.bore_held_all_round_windup_change),
            share(Some(self.bore_held_all_round_force_change)),
        )
    }
}

/// What a solution was computed from, as the drive has it now.
fn known_inputs(drive: &Drive, materials: &ContactMaterials) -> BTreeMap<&'static str, f64> {
    let geometry = &drive.geometry;
    let profile = LobeProfile::of(geometry);
    BTreeMap::from([
        ("ring_roller_count", geometry.ring_roller_count as f64),
        ("ring_radius_mm", geometry.ring_radius_mm),
        ("roller_radius_mm", geometry.roller_radius_mm),
        ("eccentricity_mm", geometry.eccentricity_mm),
        ("pin_count", geometry.pin_count as f64),
        ("pin_circle_radius_mm", geometry.pin_circle_radius_mm),
        ("pin_radius_mm", pin_outside_radius_mm(drive)),
        ("hole_radius_mm", hole_radius_mm(drive)),
        ("hole_phase_rad", geometry.hole_phase_rad),
        ("bore_radius_mm", geometry.bore_radius_mm),
        ("disc_width_mm", geometry.disc_width_mm),
        ("generating_ring_radius_mm", profile.trochoid.ring_radius_mm),
        ("generating_roller_radius_mm", profile.generating_radius_mm),
        ("half_rotation_rad", profile.half_rotation_rad),
        ("disc_modulus_mpa", materials.disc.elastic_modulus_mpa),
        ("disc_poisson_ratio", materials.disc.poisson_ratio),
        ("roller_modulus_mpa", materials.roller.elastic_modulus_mpa),
        ("pin_modulus_mpa", materials.pin_surface.elastic_modulus_mpa),
        ("seat_half_wrap_rad", 0.5 * geometry.seat_wrap_angle_rad),
    ])
}

fn stale(case: &str, name: &str, solved: f64, now: f64) -> String {
    format!(
        "finite-element case {case}: solved with {name} = {solved}, the drive file has {now}\n\nhint: run validation/{FOLDER}/run.py again"
    )
}

fn force_at(forces: &BTreeMap<String, f64>, index: usize) -> f64 {
    forces.get(&index.to_string()).copied().unwrap_or_default()
}

fn largest(values: &[f64]) -> f64 {
    values.iter().copied().fold(0.0, f64::max)
}

fn largest_of(forces: &BTreeMap<String, f64>) -> f64 {
    forces.values().copied().fold(0.0, f64::max)
}

fn worst_difference(computed: &[f64], solved: &BTreeMap<String, f64>) -> f64 {
    let differences =
        computed.iter().enumerate().map(|(index, force)| (force - force_at(solved, index)).abs());
    differences.fold(0.0, f64::max) / largest_of(solved)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::repository::root;

    /// The program that solves the service cases gives what an earlier one gave.
    #[test]
    fn independent_two_finite_element_programs_agree_within_one_per_cent() {
        let results = read(&root()).unwrap();
        assert_eq!(results.reproduction.len(), 2);
        for case in results.reproduction {
            assert!(case.deviation_of_windup < 0.01, "{}", case.solution.name);
            assert!(case.deviation_of_force < 0.01, "{}", case.solution.name);
            assert!(case.deviation_of_pressure < 0.02, "{}", case.solution.name);
        }
    }

    /// Every roller and pin within 2 % of the largest force, wind-up within 1 %.
    #[test]
    fn independent_elastic_discs_in_service_agree_with_finite_elements() {
        let rows = all_beside(&root()).unwrap();
        let elastic: Vec<_> = rows.iter().filter(|row| row.model == ELASTIC).collect();
        assert_eq!(elastic.len(), 3);
        for row in elastic {
            assert!(row.windup.abs() < 0.01, "{row:?}");
            assert!(row.roller_sharing < 0.02 && row.pin_sharing < 0.02, "{row:?}");
        }
    }

    #[test]
    fn independent_pressure_of_the_same_force_is_that_of_the_finite_elements() {
        for row in all_beside(&root()).unwrap() {
            assert!(row.pressure_of_same_force.abs() < 0.05, "{}: {row:?}", row.case);
        }
    }
}
