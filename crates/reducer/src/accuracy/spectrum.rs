//! Orders of an error over whole output turns, and what in the drive each of them comes from.

use super::fourier::transform;
use curves::math;
use schemars::JsonSchema;
use serde::Serialize;

/// One order of an error.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Order {
    /// Periods in an output turn.
    pub order: usize,
    /// Amplitude: half of peak to peak of this order alone.
    pub amplitude_rad: f64,
    /// What in the drive repeats so often, where something does.
    pub name: Option<String>,
}

/// Amplitudes of the orders from one up to the highest that a record of one whole turn can tell, half its length.
///
/// ```text
/// A_k = 2/N |Σ_j x_j exp(−2πi k j/N)|,   half of that at the highest order of an even N
/// ```
///
/// **Valid for** equal steps over whole turns, where neighbouring orders do not leak into each other.
/// **Source** definition of the discrete Fourier transform; **Checked by** an independent program on the same signal.
#[must_use]
pub fn amplitudes(signal: &[f64]) -> Vec<f64> {
    let count = signal.len();
    if count < 2 {
        return Vec::new();
    }
    // Without the mean the rounding is that of the error alone.
    let mean = signal.iter().sum::<f64>() / count as f64;
    let about_mean: Vec<f64> = signal.iter().map(|value| value - mean).collect();
    let sums = transform(&about_mean);
    let amplitude = |order: usize| {
        let is_highest = 2 * order == count;
        math::hypot(sums[order].re, sums[order].im) * if is_highest { 1.0 } else { 2.0 } / count as f64
    };
    (1..=count / 2).map(amplitude).collect()
}

/// Teeth and pins, whose numbers make the orders of a drive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Counts {
    /// z_l.
    pub lobe_count: usize,
    /// z_r.
    pub roller_count: usize,
    /// w.
    pub pin_count: usize,
}

impl Counts {
    /// What in the drive repeats so often in an output turn; the first that fits.
    ///
    /// With the ring held the crank turns z_l times in an output turn against the ring and z_r times against the discs; a lobe meets a roller
    /// z_l z_r times. With the plate held it is the ring that turns, and the numbers change places.
    ///
    /// **Source** counting; Derivation 5.
    #[must_use]
    pub fn name(&self, order: usize) -> Option<String> {
        let mesh = self.lobe_count * self.roller_count;
        let multiple = |of: usize| (of > 0 && order > 0 && order.is_multiple_of(of)).then(|| order / of);
        let times = |count: usize| if count == 1 { String::new() } else { format!("{count} × ") };
        let named = [
            (mesh, "mesh, z_l z_r: form common to all lobes"),
            (self.pin_count * self.roller_count, "w z_r: pins that pass the crank"),
            (self.lobe_count, "z_l: crank against ring, its rollers and run-out"),
            (self.roller_count, "z_r: crank against disc, its holes, lobe pitch and run-out"),
            (self.pin_count, "w: output pins and holes"),
        ];
        if let Some((count, words)) = named.into_iter().find_map(|(of, words)| Some((multiple(of)?, words))) {
            return Some(format!("{}{words}", times(count)));
        }
        (order <= LOW_ORDERS).then(|| format!("{}output turn: plate and pin circle", times(order)))
    }
}

/// Lowest orders, which belong to what turns with the output.
const LOW_ORDERS: usize = 3;

/// The orders that are worth telling: the strongest ones, and the first of each count whatever its amplitude; by order.
#[must_use]
pub fn leading_orders(amplitudes_rad: &[f64], counts: &Counts, strongest_count: usize) -> Vec<Order> {
    let mut ranked: Vec<usize> = (1..=amplitudes_rad.len()).collect();
    ranked.sort_by(|a, b| amplitudes_rad[b - 1].total_cmp(&amplitudes_rad[a - 1]).then(a.cmp(b)));
    ranked.truncate(strongest_count);
    let mesh = counts.lobe_count * counts.roller_count;
    ranked.extend([1, counts.pin_count, counts.lobe_count, counts.roller_count, mesh]);
    ranked.sort_unstable();
    ranked.dedup();
    ranked
        .into_iter()
        .filter(|order| (1..=amplitudes_rad.len()).contains(order))
        .map(|order| Order { order, amplitude_rad: amplitudes_rad[order - 1], name: counts.name(order) })
        .collect()
}

/// The orders that are worth telling of either flank, each with its amplitude on both; by order.
#[must_use]
pub fn leading_orders_of_both(
    amplitudes_rad: [&[f64]; 2],
    counts: &Counts,
    strongest_count: usize,
) -> [Vec<Order>; 2] {
    let leading = amplitudes_rad.map(|own_rad| leading_orders(own_rad, counts, strongest_count));
    let mut orders: Vec<usize> = leading.iter().flatten().map(|order| order.order).collect();
    orders.sort_unstable();
    orders.dedup();
    amplitudes_rad.map(|own_rad| {
        let of = |&order: &usize| {
            let amplitude_rad = *own_rad.get(order - 1)?;
            Some(Order { order, amplitude_rad, name: counts.name(order) })
        };
        orders.iter().filter_map(of).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    #[test]
    fn identity_a_sum_of_waves_is_taken_apart() {
        let count = 390;
        let signal: Vec<f64> = (0..count)
            .map(|step| {
                let angle = TAU * f64::from(step) / f64::from(count);
                0.5 + 3.0 * math::sin(39.0 * angle + 0.4) + 0.25 * math::cos(40.0 * angle)
            })
            .collect();
        let found = amplitudes(&signal);
        assert_eq!(found.len(), 195);
        for (index, amplitude) in found.iter().enumerate() {
            let expected = match index + 1 {
                39 => 3.0,
                40 => 0.25,
                _ => 0.0,
            };
            assert!((amplitude - expected).abs() < 1e-12, "{}: {amplitude}", index + 1);
        }
    }

    #[test]
    fn identity_the_highest_order_is_counted_once() {
        let signal = [1.0, -1.0, 1.0, -1.0];
        assert!((amplitudes(&signal)[1] - 1.0).abs() < 1e-15);
        assert!(amplitudes(&[]).is_empty() && amplitudes(&[1.0]).is_empty());
    }

    #[test]
    fn identity_orders_are_named_after_what_repeats() {
        let counts = Counts { lobe_count: 39, roller_count: 40, pin_count: 8 };
        assert!(counts.name(39).unwrap().starts_with("z_l"));
        assert!(counts.name(78).unwrap().starts_with("2 × z_l"));
        // 80 is twice the rollers before it is ten times the pins.
        assert!(counts.name(80).unwrap().starts_with("2 × z_r"));
        assert!(counts.name(1560).unwrap().starts_with("mesh"));
        assert!(counts.name(8).unwrap().starts_with("w:"));
        assert!(counts.name(11 * 39).unwrap().starts_with("11 × z_l"));
        assert!(counts.name(17 * 40).unwrap().starts_with("17 × z_r"));
        assert!(counts.name(13 * 8).unwrap().starts_with("13 × w"));
        assert!(counts.name(9 * 1560).unwrap().starts_with("9 × mesh"));
        assert_eq!(counts.name(37), None);
    }

    #[test]
    fn identity_an_order_that_leads_on_one_flank_is_told_on_both() {
        let counts = Counts { lobe_count: 11, roller_count: 12, pin_count: 6 };
        let mut ahead = vec![0.1; 200];
        let mut behind = vec![0.2; 200];
        (ahead[28], behind[46]) = (5.0, 7.0);
        let [one, other] = leading_orders_of_both([&ahead, &behind], &counts, 1);
        let amplitude = |orders: &[Order], order: usize| {
            orders.iter().find(|each| each.order == order).map(|each| each.amplitude_rad)
        };
        assert_eq!((amplitude(&one, 29), amplitude(&other, 29)), (Some(5.0), Some(0.2)));
        assert_eq!((amplitude(&one, 47), amplitude(&other, 47)), (Some(0.1), Some(7.0)));
        assert!(one.is_sorted_by(|a, b| a.order < b.order) && one.len() == other.len());
    }
}
