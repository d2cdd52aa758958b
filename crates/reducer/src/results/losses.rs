//! Results of friction, efficiency and heat.

use schemars::JsonSchema;
use serde::Serialize;

/// Friction, efficiency and heat.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct LossResult {
    /// Coefficients used and where each comes from.
    pub coefficients: Vec<LossCoefficient>,
    /// Rated torque at the mean and the greatest speed, then the steps of the duty cycle.
    pub points: Vec<OperatingPoint>,
    /// Efficiency over torque and speed.
    pub efficiency_map: EfficiencyMap,
    /// Torque on the crank that turns the drive at its mean speed without load.
    pub no_load_torque_n_mm: f64,
    /// Torque on the crank that starts the drive without load.
    pub starting_torque_n_mm: f64,
    /// Torque on the crank that starts the drive against the rated torque.
    pub loaded_starting_torque_n_mm: f64,
    /// Torque on the output that starts to turn the drive back, crank free; absent where friction holds it.
    pub back_driving_torque_n_mm: Option<f64>,
    /// Efficiency from output to crank under the rated torque at the mean speed; negative where friction holds it.
    pub back_driving_efficiency: f64,
    /// What friction in the equilibrium changes; absent where friction locks the drive.
    pub friction_feedback: Option<FrictionFeedback>,
    /// Heat balance over the duty cycle; absent where no cooling area is known.
    pub heat: Option<HeatResult>,
    /// What is assumed and left out.
    pub assumptions: Vec<String>,
}

/// Losses under load at contacts and eccentric bearings, rated torque: friction on the forces without it, and in the equilibrium.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FrictionFeedback {
    /// Efficiency from the forces without friction, these losses alone.
    pub efficiency_estimate: f64,
    /// Efficiency with friction in the equilibrium, these losses alone.
    pub efficiency_in_equilibrium: f64,
    /// Loss of the estimate over that in the equilibrium, less one.
    pub loss_error_ratio: f64,
    /// Work of the crank less useful work and friction, over the work of the crank: what gaps leave over within a period.
    pub work_balance_ratio: f64,
}

/// A coefficient that a loss was computed with.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LossCoefficient {
    /// What it belongs to, in words.
    pub title: String,
    /// Its value.
    pub coefficient: f64,
    /// Where it comes from: the drive file, or the trade's usual value.
    pub origin: String,
}

/// Losses at one torque and speed.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct OperatingPoint {
    /// Short name.
    pub id: String,
    /// Name for people.
    pub title: String,
    /// Torque on the output.
    pub output_torque_n_mm: f64,
    /// Speed of the crank.
    pub input_speed_rad_per_s: f64,
    /// Power that leaves through the output.
    pub output_power_w: f64,
    /// Power lost to friction.
    pub loss_power_w: f64,
    /// Torque on the crank with losses.
    pub input_torque_n_mm: f64,
    /// Output over input power.
    pub efficiency: f64,
    /// The loss by source, in a fixed order.
    pub sources: Vec<LossShare>,
}

/// The loss at one kind of contact.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LossShare {
    /// Where it arises, in words.
    pub title: String,
    /// Power lost there.
    pub loss_power_w: f64,
}

/// Efficiency over a grid of torque and speed.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct EfficiencyMap {
    /// Temperature of the lubricant for which it holds.
    pub lubricant_temperature_k: f64,
    /// Torques on the output.
    pub output_torque_n_mm: Vec<f64>,
    /// Speeds of the crank.
    pub input_speed_rad_per_s: Vec<f64>,
    /// Efficiency, one row a torque, one column a speed.
    pub efficiency: Vec<Vec<f64>>,
}

/// Heat balance of the housing over the duty cycle.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct HeatResult {
    /// Surface that gives off heat.
    pub cooling_area_mm2: f64,
    /// Heat given off per area and degree.
    pub heat_transfer_w_per_mm2_k: f64,
    /// Mean loss over running time and standstill at the steady temperature.
    pub mean_loss_power_w: f64,
    /// Temperature at which the housing gives off the mean loss.
    pub steady_temperature_k: f64,
    /// Viscosity of the lubricant at that temperature; absent without lubricant.
    pub viscosity_mm2_per_s: Option<f64>,
    /// Highest temperature allowed.
    pub temperature_limit_k: f64,
    /// Torque that the drive can carry at its mean speed over the running share without passing the limit;
    /// absent where heat limits no torque up to the greatest that was solved.
    pub thermal_torque_n_mm: Option<f64>,
    /// The same at the greatest speed.
    pub thermal_torque_at_max_speed_n_mm: Option<f64>,
    /// Greatest torque that was solved.
    pub greatest_torque_n_mm: f64,
}
