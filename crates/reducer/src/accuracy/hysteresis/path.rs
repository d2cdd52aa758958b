//! The way of the twist as the torque rises and falls between two curves: after a reversal it stays until the other curve is reached.

use super::reading::first_reached;
use crate::results::LoopPoint;

/// Twist over torque as the load is turned one way, sorted by torque.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Curve {
    /// Its points; two at one torque where play is crossed.
    pub points: Vec<LoopPoint>,
}

impl Curve {
    /// Its points in the order in which a torque of a sense passes them.
    fn in_sense(&self, sense: f64) -> Vec<LoopPoint> {
        let mut points = self.points.clone();
        if sense < 0.0 {
            points.reverse();
        }
        points
    }
}

/// The way `0 → +T → −T → +T` between the curve that a rising torque follows and that of a falling one.
///
/// The twist of the play operator: it stays while the torque lies between the two curves, and moves along the one that the
/// torque presses against. It starts midway between both at no torque.
///
/// **Source** Derivation 13, §3.
#[must_use]
pub fn loop_between(rising: &Curve, falling: &Curve, greatest_torque_n_mm: f64) -> Vec<LoopPoint> {
    let at_rest = |curve: &Curve, sense: f64| first_reached(&curve.in_sense(sense), 0.0, sense);
    let start =
        at_rest(rising, 1.0).zip(at_rest(falling, -1.0)).map_or(0.0, |(low, high)| 0.5 * (low + high));
    let mut path = vec![LoopPoint { output_torque_n_mm: 0.0, twist_rad: start }];
    for (sense, curve) in [(1.0, rising), (-1.0, falling), (1.0, rising)] {
        follow(&mut path, curve, sense, sense * greatest_torque_n_mm);
    }
    path
}

/// Goes on along a curve in its sense as far as a torque, from where the path stands.
fn follow(path: &mut Vec<LoopPoint>, curve: &Curve, sense: f64, end_torque_n_mm: f64) {
    let Some(&held) = path.last() else { return };
    let is_beyond = |a: f64, b: f64| sense * (a - b) > 0.0;
    let in_sense = curve.in_sense(sense);
    let moves = in_sense.iter().position(|point| is_beyond(point.twist_rad, held.twist_rad));
    if let Some(first) = moves {
        let corner = corner_n_mm(first.checked_sub(1).map(|before| in_sense[before]), in_sense[first], held);
        if is_beyond(corner, held.output_torque_n_mm) && !is_beyond(corner, end_torque_n_mm) {
            path.push(LoopPoint { output_torque_n_mm: corner, ..held });
        }
        let further = in_sense[first..].iter().filter(|point| {
            !is_beyond(held.output_torque_n_mm, point.output_torque_n_mm)
                && !is_beyond(point.output_torque_n_mm, end_torque_n_mm)
        });
        path.extend(further);
    }
    let last = path[path.len() - 1];
    if is_beyond(end_torque_n_mm, last.output_torque_n_mm) {
        path.push(LoopPoint { output_torque_n_mm: end_torque_n_mm, ..last });
    }
}

/// Torque at which a piece of a curve has the twist that is held.
fn corner_n_mm(before: Option<LoopPoint>, after: LoopPoint, held: LoopPoint) -> f64 {
    let Some(before) = before else { return after.output_torque_n_mm };
    let share = (held.twist_rad - before.twist_rad) / (after.twist_rad - before.twist_rad);
    before.output_torque_n_mm + share * (after.output_torque_n_mm - before.output_torque_n_mm)
}
