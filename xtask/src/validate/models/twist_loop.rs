//! What is read off a torque–twist loop, on loops of springs in ranges behind a play.

use super::{Inputs, ModelError, Outputs};
use reducer::accuracy::hysteresis::reading::{Branches, loop_reading};
use reducer::results::LoopPoint;
use reducer::units::Dimension as D;

/// Twist of springs in up to three ranges of torque behind a play.
struct Ranges {
    play_rad: f64,
    /// Stiffness, and the torque up to which it holds.
    ranges: Vec<(f64, f64)>,
}

impl Ranges {
    fn of(inputs: &Inputs) -> Result<Self, ModelError> {
        let mut ranges = vec![(
            inputs.quantity("stiffness_1", D::TorsionalStiffness)?,
            inputs.optional("torque_1", D::Torque)?.unwrap_or(f64::INFINITY),
        )];
        if let Some(stiffness) = inputs.optional("stiffness_2", D::TorsionalStiffness)? {
            ranges.push((stiffness, inputs.optional("torque_2", D::Torque)?.unwrap_or(f64::INFINITY)));
        }
        if let Some(stiffness) = inputs.optional("stiffness_3", D::TorsionalStiffness)? {
            ranges.push((stiffness, f64::INFINITY));
        }
        Ok(Self { play_rad: inputs.optional("play", D::Angle)?.unwrap_or_default(), ranges })
    }

    /// Twist under a torque, half the play in it; a torque of nothing has the sign of its zero.
    fn twist_rad(&self, torque_n_mm: f64) -> f64 {
        let mut below = 0.0;
        let mut twist = 0.5 * self.play_rad;
        for (stiffness, limit) in &self.ranges {
            let part = (torque_n_mm.abs().min(*limit) - below).max(0.0);
            twist += part / stiffness;
            below = *limit;
        }
        twist.copysign(torque_n_mm)
    }

    /// The loop between plus and minus a torque, without friction: both branches are one, with a step at the play.
    fn twist_loop(&self, greatest_n_mm: f64) -> Vec<LoopPoint> {
        let mut torques = vec![0.0, 0.03 * greatest_n_mm, 0.5 * greatest_n_mm, greatest_n_mm];
        torques.extend(self.ranges.iter().map(|(_, limit)| *limit).filter(|limit| *limit < greatest_n_mm));
        torques.sort_by(f64::total_cmp);
        let rising: Vec<f64> = torques.iter().rev().map(|torque| -torque).chain(torques.clone()).collect();
        let falling = rising.iter().rev().copied();
        let path = torques.iter().copied().chain(falling).chain(rising.iter().copied());
        path.map(|torque| LoopPoint { output_torque_n_mm: torque, twist_rad: self.twist_rad(torque) })
            .collect()
    }
}

/// Twist on the mid-line at a torque, and with a rated torque the lost motion and the width.
///
/// # Errors
/// If inputs do not read.
pub fn reading(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let ranges = Ranges::of(inputs)?;
    let rated = inputs.quantity("rated_torque", D::Torque)?;
    let points = ranges.twist_loop(rated);
    let lost =
        |message: &str| ModelError::Bad { name: "rated_torque".to_owned(), message: message.to_owned() };
    let branches = Branches::of(&points).ok_or_else(|| lost("gives no loop"))?;
    let read = loop_reading(&points, rated).ok_or_else(|| lost("gives no reading"))?;
    let torque = inputs.optional("torque", D::Torque)?.unwrap_or(rated);
    let twist = branches.mid_line_rad(torque).ok_or_else(|| lost("is below the torque"))?;
    Ok(Outputs::default()
        .with("twist", twist, D::Angle)
        .with("lost_motion", read.lost_motion_rad, D::Angle)
        .with("width", read.hysteresis_width_rad, D::Angle))
}
