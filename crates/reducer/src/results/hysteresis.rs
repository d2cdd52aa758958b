//! The torque–twist loop with friction, and what the trade reads off it.

use super::Extreme;
use schemars::JsonSchema;
use serde::Serialize;

/// The loop that a torque on the output draws with the crank held, friction counted; nominal parts.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HysteresisResult {
    /// Friction torque at the output whatever the load: seals, output bearings, eccentric bearings without load.
    pub output_friction_torque_n_mm: f64,
    /// Greatest lost motion on the mid-line of the loop.
    pub lost_motion: Extreme,
    /// Greatest width of the loop at no torque.
    pub hysteresis_width: Extreme,
    /// What is read off the loop at every crank angle.
    pub readings: Vec<LoopAtAngle>,
    /// The loop at the crank angle of the greatest lost motion.
    pub shown: TwistLoop,
    /// What the model leaves out, one sentence each.
    pub assumptions: Vec<String>,
}

/// A torque–twist loop at one crank angle.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TwistLoop {
    /// φ.
    pub crank_angle_rad: f64,
    /// Torque and twist in the order of the test: from none to the rated torque, to its opposite, and back.
    pub points: Vec<LoopPoint>,
}

/// One point of a torque–twist record.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LoopPoint {
    /// Torque on the output member.
    pub output_torque_n_mm: f64,
    /// Twist of the output member, crank held.
    pub twist_rad: f64,
}

/// Loop, play and frictionless lost motion at one crank angle.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LoopAtAngle {
    /// φ.
    pub crank_angle_rad: f64,
    /// Free play, friction left out.
    pub free_play_rad: f64,
    /// What is read off the loop.
    pub reading: LoopReading,
}

/// What the trade reads off a torque–twist loop.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LoopReading {
    /// Width of the loop at no torque, after the full torque either way; the play is in it.
    pub hysteresis_width_rad: f64,
    /// Difference of the mid-line of both branches between plus and minus 3 % of the rated torque.
    pub lost_motion_rad: f64,
    /// Slope of torque over the mid-line between half and full rated torque, mean of both senses; absent where the record does not
    /// reach that far or does not twist.
    pub mid_line_stiffness_n_mm_per_rad: Option<f64>,
    /// The same slope of the branches as the load grows.
    pub loading_stiffness_n_mm_per_rad: Option<f64>,
    /// Work that friction takes in one loop.
    pub loop_loss_n_mm: f64,
}
