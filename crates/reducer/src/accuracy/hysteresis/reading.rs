//! What the trade reads off a torque–twist loop, computed or recorded on a test bench.

pub use crate::loads::play::LOST_MOTION_SHARE;
use crate::results::{LoopPoint, LoopReading};

/// The two branches of a loop, each from one reversal to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Branches<'a> {
    /// From the greatest torque to the least.
    pub falling: &'a [LoopPoint],
    /// From the least torque to the greatest.
    pub rising: &'a [LoopPoint],
}

impl<'a> Branches<'a> {
    /// The branches of a record that goes from no torque to a greatest, to a least and back to a greatest one.
    ///
    /// None where the record has no two reversals, or a number that is not finite.
    #[must_use]
    pub fn of(points: &'a [LoopPoint]) -> Option<Self> {
        let is_sound = |point: &LoopPoint| (point.output_torque_n_mm + point.twist_rad).is_finite();
        if !points.iter().all(is_sound) {
            return None;
        }
        let least = first_least(points, 1.0)?;
        let first = first_least(&points[..=least], -1.0)?;
        let last = least + first_least(&points[least..], -1.0)?;
        (first < least && least < last)
            .then(|| Self { falling: &points[first..=least], rising: &points[least..=last] })
    }

    /// Twist on the falling and on the rising branch where each first reaches a torque; none where one does not.
    #[must_use]
    pub fn twists_rad(&self, torque_n_mm: f64) -> Option<[f64; 2]> {
        Some([first_reached(self.falling, torque_n_mm, -1.0)?, first_reached(self.rising, torque_n_mm, 1.0)?])
    }

    /// Middle of both branches at a torque.
    ///
    /// **Source** the trade's centre line of the loop, `[common-practice]`.
    #[must_use]
    pub fn mid_line_rad(&self, torque_n_mm: f64) -> Option<f64> {
        self.twists_rad(torque_n_mm).map(|[falling, rising]| 0.5 * (falling + rising))
    }

    /// Work ∮ T dθ that friction takes, by straight lines between the points; the loop is closed from its end to its start.
    ///
    /// **Source** definition.
    #[must_use]
    pub fn loss_n_mm(&self) -> f64 {
        let around = self.falling.iter().chain(self.rising);
        let next = around.clone().cycle().skip(1);
        around
            .zip(next)
            .map(|(a, b)| 0.5 * (a.output_torque_n_mm + b.output_torque_n_mm) * (b.twist_rad - a.twist_rad))
            .sum()
    }

    /// Slope of torque over twist between half and full torque on what a function takes from the loop; mean of both senses.
    fn stiffness_n_mm_per_rad(
        &self,
        full_n_mm: f64,
        twist: impl Fn(&Self, f64) -> Option<f64>,
    ) -> Option<f64> {
        let [half, full] = [0.5 * full_n_mm, full_n_mm];
        let ahead = twist(self, full)? - twist(self, half)?;
        let behind = twist(self, -half)? - twist(self, -full)?;
        let mean = 0.5 * (ahead + behind);
        (mean > 0.0).then(|| half / mean)
    }

    /// The branch on which the load grows at a torque.
    fn loading_rad(&self, torque_n_mm: f64) -> Option<f64> {
        self.twists_rad(torque_n_mm).map(|[falling, rising]| if torque_n_mm > 0.0 { rising } else { falling })
    }
}

/// What the trade reads off a loop `0 → +T → −T → +T` of torque on the output and its twist, crank held.
///
/// ```text
/// width       θ_falling(0) − θ_rising(0)
/// lost motion m(+0.03 T) − m(−0.03 T),  m = (θ_falling + θ_rising)/2
/// stiffness   0.5 T/(m(T) − m(0.5 T)), mean of both senses
/// ```
/// A branch counts where it first reaches a torque, so that a step of free play at that very torque is still to come. At the
/// reversals both branches meet: the mid-line there is the tip of the loop, so friction makes its slope seem greater than that of the loading
/// branches, which stands beside it.
///
/// None where the record has no two reversals or does not reach 3 % of the torque either way.
///
/// **Source** the trade's definitions, `[common-practice]`; Derivation 13, §1.
/// **Checked by** the tests of this file, on a piecewise stiffness with a printed twist.
#[must_use]
pub fn loop_reading(points: &[LoopPoint], rated_torque_n_mm: f64) -> Option<LoopReading> {
    let branches = Branches::of(points)?;
    let small = LOST_MOTION_SHARE * rated_torque_n_mm;
    let [falling, rising] = branches.twists_rad(0.0)?;
    Some(LoopReading {
        hysteresis_width_rad: falling - rising,
        lost_motion_rad: branches.mid_line_rad(small)? - branches.mid_line_rad(-small)?,
        mid_line_stiffness_n_mm_per_rad: branches
            .stiffness_n_mm_per_rad(rated_torque_n_mm, Branches::mid_line_rad),
        loading_stiffness_n_mm_per_rad: branches
            .stiffness_n_mm_per_rad(rated_torque_n_mm, Branches::loading_rad),
        loop_loss_n_mm: branches.loss_n_mm(),
    })
}

/// Place of the first of the least values of sense times torque.
fn first_least(points: &[LoopPoint], sense: f64) -> Option<usize> {
    let torque = |point: &LoopPoint| sense * point.output_torque_n_mm;
    let pairs = points.iter().enumerate();
    pairs.min_by(|(_, a), (_, b)| torque(a).total_cmp(&torque(b))).map(|(index, _)| index)
}

/// Twist where a branch first reaches a torque, between its points by a straight line.
pub(super) fn first_reached(branch: &[LoopPoint], torque_n_mm: f64, sense: f64) -> Option<f64> {
    let after = branch.iter().position(|point| sense * (point.output_torque_n_mm - torque_n_mm) >= 0.0)?;
    let reached = branch[after];
    let Some(before) = after.checked_sub(1).map(|before| branch[before]) else {
        return (reached.output_torque_n_mm == torque_n_mm).then_some(reached.twist_rad);
    };
    let share =
        (torque_n_mm - before.output_torque_n_mm) / (reached.output_torque_n_mm - before.output_torque_n_mm);
    Some(before.twist_rad + share * (reached.twist_rad - before.twist_rad))
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATED_N_MM: f64 = 100.0;

    /// A parallelogram: slope 1/k, opened to ±half at every torque but the reversals.
    fn record(half: f64, stiffness: f64) -> Vec<LoopPoint> {
        let point = |output_torque_n_mm: f64, twist_rad: f64| LoopPoint { output_torque_n_mm, twist_rad };
        let tip = RATED_N_MM / stiffness - half;
        let corner = RATED_N_MM - 2.0 * half * stiffness;
        vec![
            point(0.0, 0.0),
            point(RATED_N_MM, tip),
            point(corner, tip),
            point(-RATED_N_MM, -tip),
            point(-corner, -tip),
            point(RATED_N_MM, tip),
        ]
    }

    #[test]
    fn identity_a_parallelogram_reads_as_drawn() {
        let (half, stiffness) = (1e-3, 1e4);
        let reading = loop_reading(&record(half, stiffness), RATED_N_MM).unwrap();
        assert!((reading.hysteresis_width_rad - 2.0 * half).abs() < 1e-15);
        assert!((reading.lost_motion_rad - 0.06 * RATED_N_MM / stiffness).abs() < 1e-15);
        assert!((reading.loading_stiffness_n_mm_per_rad.unwrap() / stiffness - 1.0).abs() < 1e-12);
        let friction = half * stiffness;
        let tip = stiffness / (1.0 - 2.0 * friction / RATED_N_MM);
        assert!((reading.mid_line_stiffness_n_mm_per_rad.unwrap() / tip - 1.0).abs() < 1e-12);
        let travel = 2.0 * (RATED_N_MM / stiffness - half);
        assert!((reading.loop_loss_n_mm / (2.0 * friction * travel) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn identity_records_without_two_reversals_or_with_gaps_have_no_reading() {
        let whole = record(1e-3, 1e4);
        assert!(loop_reading(&whole[..4], RATED_N_MM).is_none());
        assert!(loop_reading(&[], RATED_N_MM).is_none());
        let mut broken = whole.clone();
        broken[2].twist_rad = f64::NAN;
        assert!(loop_reading(&broken, RATED_N_MM).is_none());
        let beyond = loop_reading(&whole, 2.0 * RATED_N_MM).unwrap();
        assert_eq!(beyond.mid_line_stiffness_n_mm_per_rad, None);
    }

    /// A loop `0 → +T → −T → +T` of an odd twist over torque, its branches half a width to either side between the reversals.
    fn odd_record(rated_n_mm: f64, half_width_rad: f64, twist_rad: impl Fn(f64) -> f64) -> Vec<LoopPoint> {
        let steps = 2000;
        let branch = |sense: f64| {
            let twist_rad = &twist_rad;
            (0..=steps).map(move |step| {
                let share = f64::from(2 * step - steps) / f64::from(steps);
                let torque = sense * share * rated_n_mm;
                let is_tip = step == 0 || step == steps;
                let width = if is_tip { 0.0 } else { -sense * half_width_rad };
                LoopPoint {
                    output_torque_n_mm: torque,
                    twist_rad: twist_rad(torque.abs()).copysign(torque) + width,
                }
            })
        };
        let first = branch(1.0).filter(|point| point.output_torque_n_mm >= 0.0);
        first.chain(branch(-1.0)).chain(branch(1.0)).collect()
    }

    /// Worked example in a maker's manual of a strain-wave gear: 6.7e4 N·m/rad up to 29 N·m and 1.1e5 N·m/rad beyond; it prints 7.15e-4 rad at
    /// 60 N·m.
    #[test]
    fn published_piecewise_stiffness_gives_the_printed_twist_on_the_mid_line() {
        let pieces = |torque: f64| torque.min(29e3) / 6.7e7 + (torque - 29e3).max(0.0) / 1.1e8;
        let points = odd_record(100e3, 2e-5, pieces);
        let branches = Branches::of(&points).expect("two reversals");
        let twist = branches.mid_line_rad(60e3).expect("within the record");
        assert!((twist - 7.15e-4).abs() < 0.005e-4, "{twist}");
        let [falling, rising] = branches.twists_rad(60e3).expect("within the record");
        assert!((falling - rising - 4e-5).abs() < 1e-12);
    }

    /// Play and one stiffness: lost motion j + 2 · 0.03 T/k whatever the width, stiffness k on the loading branches.
    #[test]
    fn identity_lost_motion_is_play_and_twice_three_hundredths() {
        let (play, rated, stiffness) = (6e-5, 784e3, 3.4e8);
        for half_width in [0.0, 1e-6, 5e-5] {
            let points = odd_record(rated, half_width, |torque| 0.5 * play + torque / stiffness);
            let reading = loop_reading(&points, rated).expect("a loop");
            let expected = play + 2.0 * LOST_MOTION_SHARE * rated / stiffness;
            assert!((reading.lost_motion_rad - expected).abs() < 1e-12);
            let middle = reading.mid_line_stiffness_n_mm_per_rad.expect("reaches the rated torque");
            assert!((middle / stiffness - 1.0).abs() < 1e-9, "{middle}");
        }
    }
}
