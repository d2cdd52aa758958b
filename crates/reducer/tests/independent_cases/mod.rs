//! The drives of `validation/independent_program`, and this program on the same task.
//!
//! They were solved from first principles by a separate numerical program with gaps re-evaluated at the
//! solved position; the drives are invented, and nothing there is published.

use reducer::contact::flank::LightGive;
use reducer::contact::support::CentreSupport;
use reducer::contact::{ContactModel, LoadedPosition, RollerLaw};
use reducer::line_contact::LineContact;
use reducer::profile::{LobeProfile, Trochoid};
use serde_json::Value;
use std::path::Path;

/// Names of the drives.
pub const CASES: [&str; 4] = ["A1", "A2", "A3", "A4"];

/// A drive with what the other program found.
pub struct Case {
    /// Its name.
    pub name: &'static str,
    /// Everything that is in its file.
    pub data: Value,
}

/// How gaps follow the displacements.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gaps {
    /// Taken anew at the solved position, as the other program does.
    ReEvaluated,
    /// Linear in the displacements.
    Linear,
}

/// Greatest deviations over all positions of a drive.
#[derive(Clone, Copy, Debug, Default)]
pub struct Deviations {
    /// Positions compared under the full torque.
    pub position_count: usize,
    /// Further torques compared, by their wind-up.
    pub torque_count: usize,
    /// Forces compared.
    pub force_count: usize,
    /// Of the largest force at a ring roller of a disc, over itself.
    pub largest_roller_force: f64,
    /// Of a force at a ring roller, over the largest on its disc.
    pub roller_force: f64,
    /// Of a force at an output pin, over the largest on its disc.
    pub pin_force: f64,
    /// Of a component of the bearing's force, over the force.
    pub bearing_force: f64,
    /// Of the torque that a disc passes on, over the whole.
    pub disc_torque: f64,
    /// Of the wind-up, over itself.
    pub windup: f64,
    /// Of the unloaded rotation of the plate.
    pub unloaded_rad: f64,
    /// Of the torque on the crank, over itself.
    pub holding_torque: f64,
}

impl Deviations {
    /// Those that are shares, in the order of the fields.
    pub fn shares(&self) -> [f64; 7] {
        [
            self.largest_roller_force,
            self.roller_force,
            self.pin_force,
            self.bearing_force,
            self.disc_torque,
            self.windup,
            self.holding_torque,
        ]
    }
}

/// Differences at one position are noted as they come.
fn note(greatest: &mut f64, actual: f64, expected: f64, scale: f64) {
    *greatest = greatest.max((actual - expected).abs() / scale);
}

pub fn number(value: &Value) -> f64 {
    value.as_f64().expect("the files hold numbers where they are asked for")
}

pub fn numbers(value: &Value) -> Vec<f64> {
    list(value).iter().map(number).collect()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().expect("the files hold lists where they are asked for")
}

fn greatest(values: &[f64]) -> f64 {
    values.iter().copied().fold(0.0, f64::max)
}

impl Case {
    /// Reads a drive from the folder of the repository.
    pub fn read(root: &Path, name: &'static str) -> Self {
        let path = root.join("validation/independent_program").join(format!("{name}.json"));
        let text = std::fs::read_to_string(&path).expect("the files of the repository are there");
        Self { name, data: serde_json::from_str(&text).expect("the files are JSON") }
    }

    /// An input of the drive.
    pub fn get(&self, key: &str) -> f64 {
        number(&self.data["inputs"][key])
    }

    /// A number of parts of the drive.
    pub fn count(&self, key: &str) -> usize {
        self.get(key) as usize
    }

    /// Torque on the output.
    pub fn torque_n_mm(&self) -> f64 {
        1e3 * self.get("T_out_Nm")
    }

    /// The profile as it is cut.
    pub fn profile(&self) -> LobeProfile {
        let trochoid = Trochoid {
            ring_roller_count: self.count("n_rollers"),
            ring_radius_mm: self.get("R_mm") + self.get("d_R_mm"),
            eccentricity_mm: self.get("e_mm"),
        };
        LobeProfile::new(trochoid, self.get("r_roller_mm") + self.get("d_rr_mm"), 0.0)
    }

    /// Names of the models that were solved, such as `2disc_palmgren_kb`.
    pub fn models(&self) -> Vec<&str> {
        let models = self.data["contact"].as_object().expect("each drive was solved with some models");
        models.keys().map(String::as_str).collect()
    }

    /// The model of a name.
    pub fn model(&self, name: &str, gaps: Gaps) -> ContactModel {
        let disc_count = if name.starts_with('2') { 2 } else { 1 };
        let length = self.get("palmgren_length_mm");
        let (roller, pin) = if name.contains("palmgren") {
            (LineContact::palmgren(length), LineContact::palmgren(length))
        } else {
            (
                LineContact::linear(self.get("k_roller_linear_N_per_mm")),
                LineContact::linear(self.get("k_pin_linear_N_per_mm")),
            )
        };
        ContactModel {
            profile: self.profile(),
            ring_roller_count: self.count("n_rollers"),
            ring_radius_mm: self.get("R_mm"),
            roller_radius_mm: self.get("r_roller_mm"),
            eccentricity_mm: self.get("e_mm"),
            disc_count,
            pin_count: self.count("n_pins"),
            pin_circle_radius_mm: self.get("R_pins_mm"),
            pin_phase_rad: 0.0,
            pin_play_radius_mm: self.get("e_mm") + 0.5 * self.get("pin_diametral_clearance_mm"),
            roller_law: RollerLaw::Uniform(roller),
            roller_compliance_mm_per_n: vec![0.0; disc_count],
            pin_laws: vec![pin; disc_count],
            support: if name.ends_with("kb") {
                CentreSupport::spring(self.get("k_bearing_N_per_mm"))
            } else {
                CentreSupport::default()
            },
            re_evaluates_gaps: gaps == Gaps::ReEvaluated,
            compliance: None,
            deviations: None,
            light_give: LightGive::default(),
        }
    }

    /// Greatest deviations over all models and positions.
    pub fn deviations(&self, gaps: Gaps) -> Deviations {
        let mut worst = Deviations::default();
        for name in self.models() {
            let model = self.model(name, gaps);
            let solved = &self.data["contact"][name];
            for pose in list(&solved["sweep"]) {
                self.compare_position(&model, pose, &mut worst);
            }
            for pose in list(&solved["full"]) {
                self.compare_every_force(&model, pose, &mut worst);
            }
            let unloaded = number(&solved["sweep"][0]["gamma0_unloaded_rad"]);
            for point in list(&solved["torque_curve_at_phi0"]) {
                let crank_angle = number(&solved["sweep"][0]["phi_rad"]);
                let loaded = solve(&model, crank_angle, 1e3 * number(&point["T_out_Nm"]));
                worst.torque_count += 1;
                let expected = number(&point["gamma_rad"]);
                note(&mut worst.windup, loaded.displacements.plate_rad, expected, expected - unloaded);
            }
        }
        worst
    }

    fn compare_position(&self, model: &ContactModel, pose: &Value, worst: &mut Deviations) {
        let crank_angle = number(&pose["phi_rad"]);
        let loaded = solve(model, crank_angle, self.torque_n_mm());
        worst.position_count += 1;
        let (rotation, unloaded) = (number(&pose["gamma_rad"]), number(&pose["gamma0_unloaded_rad"]));
        note(&mut worst.windup, loaded.displacements.plate_rad, rotation, rotation - unloaded);
        let touch = model.touch(crank_angle, 1.0).plate_rad;
        note(&mut worst.unloaded_rad, touch, unloaded, 1.0);
        let holding = 1e3 * number(&pose["T_hold_Nm"]);
        note(&mut worst.holding_torque, loaded.holding_torque_n_mm, holding, holding.abs());
        let largest = numbers(&pose["Qmax_roller_N"]).into_iter().zip(numbers(&pose["Qmax_pin_N"]));
        for (disc, (forces, (roller, pin))) in loaded.forces.iter().zip(largest).enumerate() {
            note(&mut worst.largest_roller_force, greatest(&forces.roller_n), roller, roller);
            note(&mut worst.pin_force, greatest(&forces.pin_n), pin, pin);
            let bearing = numbers(&pose["F_bearing_on_disc_N"][disc]);
            let size = number(&pose["F_bearing_abs_N"][disc]);
            note(&mut worst.bearing_force, forces.bearing_n.x, bearing[0], size);
            note(&mut worst.bearing_force, forces.bearing_n.y, bearing[1], size);
            let share = 1e3 * number(&pose["torque_share_Nm"][disc]);
            note(&mut worst.disc_torque, forces.torque_n_mm, share, self.torque_n_mm());
            worst.force_count += 4;
        }
    }

    fn compare_every_force(&self, model: &ContactModel, pose: &Value, worst: &mut Deviations) {
        let loaded = solve(model, number(&pose["phi_rad"]), self.torque_n_mm());
        for (forces, expected) in loaded.forces.iter().zip(list(&pose["discs"])) {
            let (rollers, pins) = (numbers(&expected["Q_roller_N"]), numbers(&expected["Q_pin_N"]));
            for (actual, expected) in forces.roller_n.iter().zip(&rollers) {
                note(&mut worst.roller_force, *actual, *expected, greatest(&rollers));
            }
            for (actual, expected) in forces.pin_n.iter().zip(&pins) {
                note(&mut worst.pin_force, *actual, *expected, greatest(&pins));
            }
            worst.force_count += rollers.len() + pins.len();
        }
    }
}

fn solve(model: &ContactModel, crank_angle_rad: f64, torque_n_mm: f64) -> LoadedPosition {
    let position = model.position(crank_angle_rad, 1.0);
    model.solve(&position, torque_n_mm, None).expect("what the other program solved has an equilibrium")
}
