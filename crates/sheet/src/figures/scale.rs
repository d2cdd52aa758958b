//! Ticks at round values and axes labelled from the table of quantities.

use crate::figure::{Axis, Tick};
use crate::markup::{Markup, Tag};
use reducer::registry::{self, format_number};
use reducer::units;

/// The name of an axis: words, symbol, unit.
#[must_use]
pub fn axis_label(quantity: &str, words: &str) -> Markup {
    let entry = registry::quantity(quantity);
    let mut label = Markup::tagged(Tag::Quantity, words);
    if let Some(entry) = entry {
        if !entry.symbol.is_empty() {
            label = label.and(Tag::Words, " ").and(Tag::Symbol, entry.symbol.as_str());
        }
        if !entry.unit.is_empty() {
            label = label.and(Tag::Unit, format!(", {}", entry.unit));
        }
    }
    label
}

/// A core value in the unit in which people are shown the quantity.
#[must_use]
pub fn shown(quantity: &str, core_value: f64) -> f64 {
    let unit = registry::quantity(quantity).and_then(registry::Quantity::display_unit);
    unit.map_or(core_value, |unit| units::in_unit(core_value, unit))
}

/// An axis over values in the unit shown, from and to round numbers, with about so many intervals.
#[must_use]
pub fn axis_over(quantity: &str, words: &str, (low, high): (f64, f64), interval_count: usize) -> Axis {
    let step = round_step((high - low).max(1e-12) / interval_count as f64);
    let first = (low / step + 1e-9).floor() as i64;
    let last = (high / step - 1e-9).ceil() as i64;
    let digits = decimals_of(step);
    let tick = |index: i64| {
        let value = index as f64 * step;
        Tick { value, label: format_number(value, digits) }
    };
    Axis {
        quantity: quantity.to_owned(),
        label: axis_label(quantity, words),
        range: [first as f64 * step, last as f64 * step],
        ticks: (first..=last).map(tick).collect(),
    }
}

/// An axis over exactly a range of degrees, with ticks that divide a circle well.
#[must_use]
pub fn degree_axis(quantity: &str, words: &str, (low, high): (f64, f64)) -> Axis {
    let steps =
        [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 45.0, 60.0, 90.0, 180.0, 360.0, 720.0, 1440.0];
    let wanted = (high - low) / 9.0;
    let step = steps.into_iter().find(|&step| step >= wanted).unwrap_or_else(|| round_step(wanted));
    let digits = decimals_of(step);
    let first = (low / step - 1e-9).ceil() as i64;
    let last = (high / step + 1e-9).floor() as i64;
    let ticks = (first..=last)
        .map(|index| index as f64 * step)
        .map(|value| Tick { value, label: format_number(value, digits) })
        .collect();
    Axis { quantity: quantity.to_owned(), label: axis_label(quantity, words), range: [low, high], ticks }
}

/// The smallest of 1, 2, 5 times a power of ten that is at least a value.
pub fn round_step(value: f64) -> f64 {
    let power = curves::math::pow(10.0, curves::math::log10(value).floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|&step| step >= value * 0.999_999)
        .unwrap_or(value)
}

/// Decimals that show a round step.
pub fn decimals_of(step: f64) -> usize {
    (0..9)
        .find(|&digits| {
            let scaled = step * curves::math::power(10.0, digits);
            (scaled - scaled.round()).abs() < 1e-6 * scaled
        })
        .map_or(9, |digits| digits as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_axes_end_on_round_ticks_that_hold_all_values() {
        for (low, high) in [(0.0, 1.0), (-3.2, 17.9), (0.0, 0.0123), (0.0, 48_211.0), (-1e-6, 1e-6)] {
            let axis = axis_over("ring_roller_force_n", "force", (low, high), 5);
            assert!(axis.range[0] <= low + 1e-9 * high && axis.range[1] >= high - 1e-9 * high.abs());
            assert!((3..=9).contains(&axis.ticks.len()), "{low} {high} {}", axis.ticks.len());
            let labels: std::collections::BTreeSet<_> = axis.ticks.iter().map(|tick| &tick.label).collect();
            assert_eq!(labels.len(), axis.ticks.len());
        }
    }
}
