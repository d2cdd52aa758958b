//! Statistics of a stream of values that do not depend on the order in which parts of the stream are added.
//!
//! Values are counted in whole quanta, and sums of whole numbers are exact: so threads, shards and machines give the same bits.

use serde::{Deserialize, Serialize};

/// Bins of a histogram.
pub const BIN_COUNT: usize = 800;
/// Bins of a histogram that are shown as one.
pub const SHOWN_BIN: usize = 16;
/// Standard deviations between the middle of the histogram and either end.
const REACH_IN_DEVIATIONS: f64 = 8.0;
/// z of a two-sided confidence of 95 %.
pub const Z_95: f64 = 1.959_963_984_540_054;

/// How values are counted: in quanta, and in bins of so many quanta.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Grid {
    /// Size of a quantum in the unit of the values.
    pub quantum: f64,
    /// Lower end of the first bin, in quanta.
    pub first: i64,
    /// Width of a bin in quanta.
    pub width: i64,
}

impl Grid {
    /// A grid for values like those of a pilot sample.
    #[must_use]
    pub fn around(pilot: &[f64], quantum: f64) -> Self {
        let count = pilot.len().max(1) as f64;
        let mean = pilot.iter().sum::<f64>() / count;
        let variance = pilot.iter().map(|value| (value - mean) * (value - mean)).sum::<f64>() / count;
        let reach = REACH_IN_DEVIATIONS * variance.sqrt();
        let width = (2.0 * reach / BIN_COUNT as f64 / quantum).ceil().max(1.0);
        let first = (mean / quantum - 0.5 * width * BIN_COUNT as f64).floor();
        Self { quantum, first: first as i64, width: width as i64 }
    }

    /// The grid moved by half a shown bin at most, so that an edge between shown bins parts what meets a limit from what does not.
    #[must_use]
    pub fn with_edge_at(self, limit: Option<Limit>) -> Self {
        let Some(limit) = limit else { return self };
        let edge = self.quanta(limit.value).saturating_add(i64::from(limit.at_most));
        let step = self.width * SHOWN_BIN as i64;
        let beyond = edge.saturating_sub(self.first).rem_euclid(step);
        let shift = if 2 * beyond > step { beyond - step } else { beyond };
        Self { first: self.first + shift, ..self }
    }

    /// Middle of the histogram.
    #[must_use]
    pub fn middle(&self) -> f64 {
        self.edge(BIN_COUNT / 2)
    }

    /// A value in whole quanta.
    #[must_use]
    pub fn quanta(&self, value: f64) -> i64 {
        (value / self.quantum).round() as i64
    }

    /// Lower end of a bin.
    #[must_use]
    pub fn edge(&self, bin: usize) -> f64 {
        (self.first + self.width * bin as i64) as f64 * self.quantum
    }
}

/// Count, moments, extremes and histogram of a stream.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tally {
    /// How values are counted.
    pub grid: Grid,
    /// Values seen.
    pub count: u64,
    #[serde(with = "as_text")]
    sum: i128,
    #[serde(with = "as_text")]
    squares: i128,
    least: i64,
    most: i64,
    /// Values below the first bin.
    pub below: u64,
    /// Values above the last bin.
    pub above: u64,
    /// Values in each bin.
    pub bins: Vec<u64>,
    /// Highest value that meets the requirement, in quanta, or lowest where it is a least one.
    limit: Option<Limit>,
    /// Values that meet it.
    pub meets: u64,
}

/// A requirement on a value.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Limit {
    /// Limit in the unit of the values.
    pub value: f64,
    /// Whether values must be at most the limit, not at least.
    pub at_most: bool,
}

impl Limit {
    /// Whether a value meets it.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        if self.at_most { value <= self.value } else { value >= self.value }
    }
}

impl Tally {
    /// No values yet.
    #[must_use]
    pub fn new(grid: Grid, limit: Option<Limit>) -> Self {
        Self {
            grid,
            count: 0,
            sum: 0,
            squares: 0,
            least: i64::MAX,
            most: i64::MIN,
            below: 0,
            above: 0,
            bins: vec![0; BIN_COUNT],
            limit,
            meets: 0,
        }
    }

    /// Adds a value; values that are no numbers count as far above everything.
    pub fn add(&mut self, value: f64) {
        let quanta = self.grid.quanta(if value.is_nan() { f64::INFINITY } else { value });
        self.count += 1;
        self.sum += i128::from(quanta);
        self.squares += i128::from(quanta) * i128::from(quanta);
        self.least = self.least.min(quanta);
        self.most = self.most.max(quanta);
        self.meets += u64::from(self.limit.is_some_and(|limit| limit.holds(value)));
        let bin = quanta.saturating_sub(self.grid.first).div_euclid(self.grid.width);
        match usize::try_from(bin) {
            Err(_) => self.below += 1,
            Ok(bin) if bin >= BIN_COUNT => self.above += 1,
            Ok(bin) => self.bins[bin] += 1,
        }
    }

    /// Adds the values of another tally on the same grid.
    pub fn merge(&mut self, other: &Self) {
        self.count += other.count;
        self.sum += other.sum;
        self.squares += other.squares;
        self.least = self.least.min(other.least);
        self.most = self.most.max(other.most);
        self.below += other.below;
        self.above += other.above;
        self.meets += other.meets;
        for (bin, more) in self.bins.iter_mut().zip(&other.bins) {
            *bin += more;
        }
    }

    /// The requirement on the values.
    #[must_use]
    pub fn limit(&self) -> Option<Limit> {
        self.limit
    }

    /// Mean; nothing without values.
    #[must_use]
    pub fn mean(&self) -> f64 {
        if self.count == 0 { 0.0 } else { self.sum as f64 / self.count as f64 * self.grid.quantum }
    }

    /// Standard deviation of the sample, with one less than the count. **Source** definition; `[johnson1994]`, from memory.
    #[must_use]
    pub fn deviation(&self) -> f64 {
        if self.count < 2 {
            return 0.0;
        }
        // About the whole number next below the mean, in whole numbers: nothing cancels, and nothing grows beyond 127 bits.
        let count = i128::from(self.count);
        let middle = self.sum.div_euclid(count);
        let rest = (self.sum - middle * count) as f64;
        let squares = self.squares - 2 * middle * self.sum + middle * middle * count;
        let variance = (squares as f64 - rest * rest / self.count as f64) / (self.count - 1) as f64;
        variance.max(0.0).sqrt() * self.grid.quantum
    }

    /// Least and greatest value; nothing without values. **Source** definition.
    #[must_use]
    pub fn extremes(&self) -> (f64, f64) {
        if self.count == 0 {
            return (0.0, 0.0);
        }
        (self.least as f64 * self.grid.quantum, self.most as f64 * self.grid.quantum)
    }

    /// Value below which a share of all lies, straight within its bin, whose width is the resolution. **Source** definition.
    #[must_use]
    pub fn quantile(&self, share: f64) -> f64 {
        let wanted = share * self.count as f64;
        let (least, most) = self.extremes();
        let mut seen = self.below as f64;
        if wanted <= seen {
            return least;
        }
        for (bin, &count) in self.bins.iter().enumerate() {
            let count = count as f64;
            if seen + count >= wanted && count > 0.0 {
                let within = (wanted - seen) / count;
                let (low, high) = (self.grid.edge(bin), self.grid.edge(bin + 1));
                return (low + within * (high - low)).clamp(least, most);
            }
            seen += count;
        }
        most
    }

    /// Whether another tally counts the same: quanta, bins and limit.
    #[must_use]
    pub fn is_like(&self, other: &Self) -> bool {
        // Text holds the last digit of a number or nearly so.
        let is_near = |a: f64, b: f64| (a - b).abs() <= 1e-12 * a.abs();
        let is_same_limit = match (self.limit, other.limit) {
            (Some(mine), Some(other)) => mine.at_most == other.at_most && is_near(mine.value, other.value),
            (None, None) => true,
            _ => false,
        };
        let counted = |tally: &Self| (tally.grid.first, tally.grid.width, tally.bins.len());
        counted(self) == counted(other) && is_near(self.grid.quantum, other.grid.quantum) && is_same_limit
    }

    /// Whether the counts agree with each other, and so many tallies like this have sums that can be held.
    #[must_use]
    pub fn adds_up(&self, tally_count: u64) -> bool {
        let ends = [self.below, self.above];
        let seen = ends.iter().chain(&self.bins).try_fold(0_u64, |sum, count| sum.checked_add(*count));
        let most = i128::MAX / i128::from(tally_count.max(1));
        let is_within = |sum: i128| (-most..=most).contains(&sum);
        // Of so many values, the square of the sum is at most that many times the sum of squares.
        let mean = self.sum as f64 / (self.count.max(1)) as f64;
        let spread = self.squares as f64 - mean * self.sum as f64;
        seen == Some(self.count)
            && self.meets <= self.count
            && (self.count == 0 || self.least <= self.most)
            && is_within(self.sum)
            && is_within(self.squares)
            && self.squares >= 0
            && spread >= -1e-9 * self.squares as f64
    }

    /// Share that meets the requirement, with its bounds at 95 % confidence.
    #[must_use]
    pub fn share(&self) -> Option<ShareWithBounds> {
        self.limit.map(|_| ShareWithBounds::of(self.meets, self.count))
    }

    /// Half width of the confidence interval of the mean at 95 %.
    #[must_use]
    pub fn mean_bound(&self) -> f64 {
        if self.count == 0 { 0.0 } else { Z_95 * self.deviation() / (self.count as f64).sqrt() }
    }
}

/// A share of assemblies with its confidence interval at 95 %.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
pub struct ShareWithBounds {
    /// The share seen.
    pub share: f64,
    /// Lower bound.
    pub lower: f64,
    /// Upper bound.
    pub upper: f64,
}

impl ShareWithBounds {
    /// The score interval, which holds near nothing and near all too.
    ///
    /// **Source** `[wilson1927]`, from memory.
    #[must_use]
    pub fn of(meets: u64, count: u64) -> Self {
        if count == 0 {
            return Self { share: 0.0, lower: 0.0, upper: 1.0 };
        }
        let (n, z2) = (count as f64, Z_95 * Z_95);
        let share = meets as f64 / n;
        let middle = (share + 0.5 * z2 / n) / (1.0 + z2 / n);
        let half = Z_95 / (1.0 + z2 / n) * (share * (1.0 - share) / n + 0.25 * z2 / (n * n)).sqrt();
        Self { share, lower: (middle - half).max(0.0), upper: (middle + half).min(1.0) }
    }
}

/// Whole numbers beyond 64 bits as text, which every reader of JSON keeps whole.
pub mod as_text {
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    /// Writes the digits.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn serialize<S: Serializer>(number: &i128, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&number.to_string())
    }

    /// Reads the digits.
    ///
    /// # Errors
    /// Text that is no whole number.
    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<i128, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(D::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_parts_in_any_order_give_the_same_tally() {
        let values: Vec<f64> = (0..1000_u32).map(|k| f64::from((k * 7919) % 1000) * 1e-6).collect();
        let grid = Grid::around(&values[..100], 1e-12);
        let limit = Some(Limit { value: 5e-4, at_most: true });
        let of = |values: &[f64]| {
            let mut tally = Tally::new(grid, limit);
            values.iter().for_each(|value| tally.add(*value));
            tally
        };
        let whole = of(&values);
        let mut merged = of(&values[600..]);
        merged.merge(&of(&values[..600]));
        assert_eq!(whole, merged);
        assert_eq!(whole.meets, 501);
        assert!((whole.mean() - 4.995e-4).abs() < 1e-12);
        assert!((whole.deviation() - 2.888_194e-4).abs() < 1e-9);
        assert!((whole.quantile(0.5) - 5e-4).abs() < 2e-6);
        let text = serde_json::to_string(&whole).unwrap();
        assert_eq!(serde_json::from_str::<Tally>(&text).unwrap(), whole);
    }

    /// As many assemblies as can be asked for, with the play of a printed drive.
    #[test]
    fn identity_the_largest_study_still_has_its_deviation() {
        let grid = Grid::around(&[0.02, 0.03], 1e-12);
        let mut tally = Tally::new(grid, None);
        (0..1000_u32).for_each(|k| tally.add(if k % 2 == 0 { 0.02 } else { 0.03 }));
        for _ in 0..30 {
            let half = tally.clone();
            tally.merge(&half);
        }
        assert_eq!(tally.count, 1000 << 30);
        assert!((tally.deviation() / 0.005 - 1.0).abs() < 1e-9, "{}", tally.deviation());
    }

    /// Also where values lie on the limit itself, and where the limit lies far off.
    #[test]
    fn identity_no_shown_bin_holds_values_on_both_sides_of_the_limit() {
        let values: Vec<f64> = (0..1000_u32).map(|k| f64::from((k * 7919) % 1000) * 1e-6).collect();
        for (value, at_most) in
            [(5e-4, true), (5e-4, false), (7.123_456e-4, true), (-0.3, false), (4.0, true)]
        {
            let limit = Limit { value, at_most };
            let pilot = Grid::around(&values[..100], 1e-12);
            let grid = pilot.with_edge_at(Some(limit));
            assert!((grid.first - pilot.first).abs() <= grid.width * SHOWN_BIN as i64 / 2);
            let mut tally = Tally::new(grid, Some(limit));
            values.iter().for_each(|value| tally.add(*value));
            let shown = tally.bins.chunks(SHOWN_BIN).map(|bins| bins.iter().sum::<u64>());
            let is_within = |bin: usize| limit.holds(grid.edge(bin * SHOWN_BIN + SHOWN_BIN / 2));
            let within: u64 =
                shown.enumerate().filter(|(bin, _)| is_within(*bin)).map(|(_, count)| count).sum();
            assert_eq!(within, tally.meets, "{limit:?}");
        }
    }

    /// A textbook-sized case worked by hand: 8 of 10, z² = 3.8415.
    #[test]
    fn identity_score_interval_by_hand() {
        let share = ShareWithBounds::of(8, 10);
        assert!((share.lower - 0.4902).abs() < 1e-4 && (share.upper - 0.9433).abs() < 1e-4);
    }
}
