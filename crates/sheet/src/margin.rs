//! How a margin is worded, in tables, figures, report and page alike.

use reducer::registry::format_number;

/// Margins beyond ten times the limit, either way, are no numbers that anybody compares.
const LARGEST_PERCENT: f64 = 999.0;
/// Below this per cent count to a tenth.
const FINE_PERCENT: f64 = 9.95;

/// A margin in per cent without the unit: `1.3`, `54`, and `> 999` from there on. NaN is no margin.
#[must_use]
pub fn margin_percent(margin: f64) -> Option<String> {
    if margin.is_nan() {
        return None;
    }
    let percent = 100.0 * margin;
    let limit = format_number(LARGEST_PERCENT, 0);
    Some(if percent > LARGEST_PERCENT {
        format!("> {limit}")
    } else if percent < -LARGEST_PERCENT {
        format!("< −{limit}")
    } else {
        format_number(percent, usize::from(percent.abs() < FINE_PERCENT))
    })
}

/// A margin with its unit, as it stands outside a column of margins: `54 %`.
#[must_use]
pub fn margin_with_unit(margin: f64) -> Option<String> {
    margin_percent(margin).map(|percent| format!("{percent} %"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_small_margins_count_to_a_tenth_and_huge_ones_not_at_all() {
        let cases = [
            (0.0, "0.0"),
            (0.012_6, "1.3"),
            (0.0994, "9.9"),
            (0.0996, "10"),
            (-0.05, "−5.0"),
            (0.539, "54"),
            (9.99, "999"),
            (9.996, "> 999"),
            (7997.33, "> 999"),
            (f64::INFINITY, "> 999"),
            (-9.99, "−999"),
            (-12.0, "< −999"),
            (f64::NEG_INFINITY, "< −999"),
        ];
        for (margin, words) in cases {
            assert_eq!(margin_percent(margin).as_deref(), Some(words), "{margin}");
            assert_eq!(margin_with_unit(margin), Some(format!("{words} %")));
        }
        assert_eq!(margin_percent(f64::NAN), None);
    }
}
