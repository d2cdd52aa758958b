//! Which tolerance makes the spread: first-order and total variance shares of every callout.
//!
//! Two independent samples A and B, and for each tolerance a third that is A with the numbers of that tolerance taken from B. All products are
//! sums of whole numbers, so that parts of a study add up to the same bits. Source: Derivation 14, §6.

use super::draw::DrawPlan;
use super::linear::{LANES, Lane, LinearDrive};
use super::random::Source;
use super::tally::as_text;
use serde::{Deserialize, Serialize};

/// Rows of the sample in one task.
pub const SHARES_TASK_ROWS: u64 = 256;
/// Outputs whose variance is shared out: backlash and transmission error.
pub const OUTPUT_COUNT: usize = 2;
/// Quantum of the outputs.
const QUANTUM_RAD: f64 = 1e-9;
/// Angle from the middle beyond which outputs count as this: no play of a drive is so large, and fourth powers of all rows stay inside 127 bits.
const MOST_RAD: f64 = 0.2;

/// Sums of one tolerance and one output.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
struct Sums {
    /// Σ f(B) (f(A_B) − f(A)), f counted from a fixed number near its mean.
    #[serde(with = "as_text")]
    first: i128,
    #[serde(with = "as_text")]
    first_squares: i128,
    /// Σ (f(A) − f(A_B))².
    #[serde(with = "as_text")]
    total: i128,
    #[serde(with = "as_text")]
    total_squares: i128,
}

/// What tasks have summed up so far.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SharesCounted {
    /// Rows of the sample seen.
    pub rows: u64,
    /// By tolerance, then output.
    sums: Vec<[Sums; OUTPUT_COUNT]>,
    /// Σ f and Σ f² over A and B.
    #[serde(with = "as_texts")]
    moments: Vec<i128>,
}

/// A variance share and its standard error.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, schemars::JsonSchema)]
pub struct VarianceShare {
    /// Share of the variance that goes when this tolerance alone is taken away: what it does by itself.
    pub first_order: f64,
    /// Standard error of that.
    pub first_order_error: f64,
    /// Share that stays when all other tolerances are taken away: with all that it does together with others.
    pub total: f64,
    /// Standard error of that.
    pub total_error: f64,
}

impl SharesCounted {
    /// Nothing summed yet.
    #[must_use]
    pub fn new(group_count: usize) -> Self {
        Self { rows: 0, sums: vec![Default::default(); group_count], moments: vec![0; 2 * OUTPUT_COUNT] }
    }

    /// Whether another sums up for as many tolerances and outputs.
    #[must_use]
    pub fn is_like(&self, other: &Self) -> bool {
        (self.sums.len(), self.moments.len()) == (other.sums.len(), other.moments.len())
    }

    /// Whether squares are squares, and so many like this have sums that can be held.
    #[must_use]
    pub fn adds_up(&self, part_count: u64) -> bool {
        let most = i128::MAX / i128::from(part_count.max(1));
        let sums = self.sums.iter().flatten();
        let squares = sums.clone().flat_map(|sums| [sums.first_squares, sums.total, sums.total_squares]);
        let mut squares = squares.chain(self.moments.iter().skip(1).step_by(2).copied());
        let mut either = sums.map(|sums| sums.first).chain(self.moments.iter().step_by(2).copied());
        squares.all(|sum| (0..=most).contains(&sum)) && either.all(|sum| (-most..=most).contains(&sum))
    }

    /// Adds what other tasks have summed.
    pub fn merge(&mut self, other: &Self) {
        self.rows += other.rows;
        for (mine, more) in self.sums.iter_mut().flatten().zip(other.sums.iter().flatten()) {
            mine.first += more.first;
            mine.first_squares += more.first_squares;
            mine.total += more.total;
            mine.total_squares += more.total_squares;
        }
        for (mine, more) in self.moments.iter_mut().zip(&other.moments) {
            *mine += more;
        }
    }

    /// Adds one row: f(A), f(B), and f(A_B) by tolerance, each in quanta from a fixed number.
    fn add(&mut self, a: [i64; OUTPUT_COUNT], b: [i64; OUTPUT_COUNT], mixed: &[[i64; OUTPUT_COUNT]]) {
        self.rows += 1;
        for output in 0..OUTPUT_COUNT {
            for value in [a[output], b[output]].map(i128::from) {
                self.moments[2 * output] += value;
                self.moments[2 * output + 1] += value * value;
            }
            for (sums, mixed) in self.sums.iter_mut().zip(mixed) {
                let change = i128::from(mixed[output] - a[output]);
                let first = i128::from(b[output]) * change;
                let sums = &mut sums[output];
                sums.first += first;
                sums.first_squares += first * first;
                sums.total += change * change;
                sums.total_squares += square_whole(change * change);
            }
        }
    }

    /// Shares of an output's variance, by tolerance.
    ///
    /// ```text
    /// S_i = Σ f(B) (f(A_B) − f(A)) / (N V),   T_i = Σ (f(A) − f(A_B))² / (2 N V)
    /// ```
    ///
    /// **Source** `[saltelli2010]`, table 2 (b) and (f), from memory: estimators of Saltelli and of Jansen.
    #[must_use]
    pub fn shares(&self, output: usize) -> Vec<VarianceShare> {
        let rows = self.rows.max(1) as f64;
        let mean = self.moments[2 * output] as f64 / (2.0 * rows);
        let variance = self.moments[2 * output + 1] as f64 / (2.0 * rows) - mean * mean;
        if variance <= 0.0 {
            return vec![VarianceShare::default(); self.sums.len()];
        }
        let of = |sum: i128, squares: i128| {
            let mean = sum as f64 / rows;
            let spread = (squares as f64 / rows - mean * mean).max(0.0);
            (mean / variance, (spread / rows).sqrt() / variance)
        };
        let share = |sums: &[Sums; OUTPUT_COUNT]| {
            let sums = &sums[output];
            let (first_order, first_order_error) = of(sums.first, sums.first_squares);
            let (total, total_error) = of(sums.total, sums.total_squares);
            VarianceShare {
                first_order,
                first_order_error,
                total: 0.5 * total,
                total_error: 0.5 * total_error,
            }
        };
        self.sums.iter().map(share).collect()
    }
}

fn square_whole(value: i128) -> i128 {
    value.saturating_mul(value)
}

/// What shares are worked out for: any function of uniform numbers, in blocks.
pub trait Function {
    /// Uniform numbers of one evaluation.
    fn number_count(&self) -> usize;
    /// Range of the numbers of each group.
    fn groups(&self) -> Vec<std::ops::Range<usize>>;
    /// Outputs of up to a block of evaluations, in radians.
    fn outputs(&self, numbers: &[Vec<f32>]) -> Vec<[f64; OUTPUT_COUNT]>;
}

/// Sums up the rows from one number on; `middle` is a number near the mean of each output.
pub fn add_rows<F: Function>(
    function: &F,
    seed: u64,
    rows: std::ops::Range<u64>,
    middle: [f64; OUTPUT_COUNT],
    counted: &mut SharesCounted,
) {
    let source = |sample: u32| Source { seed, sampling: super::random::Sampling::Random, sample };
    let groups = function.groups();
    let quanta = |outputs: [f64; OUTPUT_COUNT]| -> [i64; OUTPUT_COUNT] {
        std::array::from_fn(|output| {
            let off = (outputs[output] - middle[output]).clamp(-MOST_RAD, MOST_RAD);
            (off / QUANTUM_RAD).round() as i64
        })
    };
    for start in rows.clone().step_by(LANES) {
        let lanes = start..(start + LANES as u64).min(rows.end);
        let draw = |sample: u32| -> Vec<Vec<f32>> {
            lanes
                .clone()
                .map(|row| {
                    let mut numbers = vec![0.0; function.number_count()];
                    source(sample).fill(row, &mut numbers);
                    numbers
                })
                .collect()
        };
        let (first, second) = (draw(1), draw(2));
        let (a, b) = (function.outputs(&first), function.outputs(&second));
        let mixed: Vec<Vec<[f64; OUTPUT_COUNT]>> = groups
            .iter()
            .map(|range| {
                let mut numbers = first.clone();
                for (row, other) in numbers.iter_mut().zip(&second) {
                    row[range.clone()].copy_from_slice(&other[range.clone()]);
                }
                function.outputs(&numbers)
            })
            .collect();
        for lane in 0..a.len() {
            let row: Vec<_> = mixed.iter().map(|outputs| quanta(outputs[lane])).collect();
            counted.add(quanta(a[lane]), quanta(b[lane]), &row);
        }
    }
}

/// Backlash and transmission error of parts as drawn at the crank angles of the scan, from uniform numbers.
pub struct Accuracy<'a> {
    /// How numbers become deviations.
    pub plan: &'a DrawPlan,
    /// Rows of the nominal drive.
    pub drive: &'a LinearDrive,
}

impl Function for Accuracy<'_> {
    fn number_count(&self) -> usize {
        self.plan.number_count
    }

    fn groups(&self) -> Vec<std::ops::Range<usize>> {
        self.plan.groups.iter().map(|group| group.first..group.first + group.count).collect()
    }

    fn outputs(&self, numbers: &[Vec<f32>]) -> Vec<[f64; OUTPUT_COUNT]> {
        let mut deviations: Vec<Lane> = vec![[0.0; LANES]; self.plan.slots.count()];
        for (lane, numbers) in numbers.iter().enumerate() {
            self.plan.add(numbers, deviations.as_flattened_mut(), LANES, lane);
        }
        let outcome = self.drive.scan(&deviations);
        (0..numbers.len())
            .map(|lane| {
                let backlash = f64::from(outcome.greatest_backlash_rad[lane]);
                [backlash, f64::from(outcome.transmission_error_rad(lane))]
            })
            .collect()
    }
}

mod as_texts {
    use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error};

    pub fn serialize<S: Serializer>(numbers: &[i128], serializer: S) -> Result<S::Ok, S::Error> {
        numbers.iter().map(ToString::to_string).collect::<Vec<_>>().serialize(serializer)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<i128>, D::Error> {
        let texts = Vec::<String>::deserialize(deserializer)?;
        texts.iter().map(|text| text.parse().map_err(D::Error::custom)).collect()
    }
}
