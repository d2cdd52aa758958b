//! Which tolerance makes the spread: its share of the variance of backlash and of transmission error, the largest first.

use super::scale::axis_over;
use crate::figure::{Axis, BarColumn, Body, Figure, KeyNumber, PairedBars, PairedRow, PartBar};
use crate::markup::{Markup, Tag};
use crate::tables::limits_in_words;
use reducer::assembly::draw::Acts;
use reducer::assembly::shares::VarianceShare;
use reducer::assembly::summary::{ToleranceEffect, YieldResult};
use reducer::registry::format_number;

const SHARE: &str = "variance_share";
/// Standard errors in half a confidence interval of 95 %.
const Z_95: f64 = 1.96;
/// Rows at most.
const MOST_ROWS: usize = 16;
/// Tolerances whose shares all lie below this are left out.
const LEAST_SHARE: f64 = 0.005;

/// Shares of variance of every tolerance that weighs in a study, backlash beside transmission error; absent where none does, or where too few rows were computed.
#[must_use]
pub fn tolerance_pareto(result: &YieldResult) -> Option<Figure> {
    if result.has_shares() { of_tolerances(&result.tolerances) } else { None }
}

fn of_tolerances(tolerances: &[ToleranceEffect]) -> Option<Figure> {
    let rank = |effect: &ToleranceEffect| effect.of_backlash.total.max(effect.of_transmission_error.total);
    let mut sorted: Vec<&ToleranceEffect> = tolerances
        .iter()
        .filter(|effect| effect.acts == Acts::WithoutLoad && rank(effect) >= LEAST_SHARE)
        .collect();
    sorted.sort_by(|a, b| rank(b).total_cmp(&rank(a)));
    sorted.truncate(MOST_ROWS);
    let largest = |of: fn(&ToleranceEffect) -> &VarianceShare| {
        let by_total = |a: &&&ToleranceEffect, b: &&&ToleranceEffect| of(a).total.total_cmp(&of(b).total);
        sorted.iter().max_by(by_total).map(|effect| (effect.name.as_str(), of(effect).total))
    };
    let (of_backlash, of_error) = (largest(backlash)?, largest(transmission_error)?);
    let elsewhere: Vec<String> = tolerances
        .iter()
        .filter_map(|effect| Some(format!("{} {}", effect.name, effect.acts.words()?)))
        .collect();
    let mut left_out = match tolerances.len() - sorted.len() - elsewhere.len() {
        0 => String::new(),
        1 => " One that weighs less is left out.".to_owned(),
        count => format!(" {count} that weigh less are left out."),
    };
    if !elsewhere.is_empty() {
        left_out.push_str(&format!(" Not among them: {}.", elsewhere.join("; ")));
    }
    let column = |title: &str, greatest: f64| BarColumn {
        title: Markup::words(title),
        axis: Axis {
            // Both kinds of share lie along it, so it has no symbol.
            label: Markup::tagged(Tag::Quantity, "share of the variance").and(Tag::Unit, ", %"),
            ..axis_over(SHARE, "", (0.0, 100.0 * greatest), 4)
        },
    };
    Some(Figure {
        id: "tolerance-pareto".to_owned(),
        title: "Which tolerance makes the spread".to_owned(),
        caption: Markup::words(format!(
            "Share of the variance that each tolerance has in the greatest backlash and in the transmission error, by the larger of both. The dark bar is what it does \
             alone, the outlined one what it does in all, together with others; the line at its end is the confidence interval at 95 %.{left_out}"
        )),
        description: format!(
            "The largest share of the backlash's variance has {} with {} %, of the transmission error's {} with {} %.",
            of_backlash.0,
            percent(of_backlash.1),
            of_error.0,
            percent(of_error.1)
        ),
        key_numbers: vec![
            KeyNumber::new(SHARE, &format!("of the backlash: {}", of_backlash.0), of_backlash.1),
            KeyNumber::new(SHARE, &format!("of the transmission error: {}", of_error.0), of_error.1),
        ],
        body: Body::PairedBars(PairedBars {
            columns: vec![
                column("greatest backlash", greatest_end(&sorted, backlash)),
                column("transmission error", greatest_end(&sorted, transmission_error)),
            ],
            rows: sorted.iter().map(|effect| row(effect)).collect(),
            part_label: Markup::words("alone"),
            whole_label: Markup::words("in all"),
            bound_label: Markup::words("confidence interval, 95 %"),
        }),
    })
}

fn backlash(effect: &ToleranceEffect) -> &VarianceShare {
    &effect.of_backlash
}

fn transmission_error(effect: &ToleranceEffect) -> &VarianceShare {
    &effect.of_transmission_error
}

/// Where the longest bar ends with its confidence interval.
fn greatest_end(effects: &[&ToleranceEffect], of: fn(&ToleranceEffect) -> &VarianceShare) -> f64 {
    let ends = effects.iter().map(|effect| of(effect).total + Z_95 * of(effect).total_error);
    ends.fold(0.01, f64::max)
}

fn row(effect: &ToleranceEffect) -> PairedRow {
    PairedRow {
        label: format!("{}, {}", effect.name, limits_in_words(effect)),
        bars: vec![bar(&effect.of_backlash), bar(&effect.of_transmission_error)],
    }
}

/// An estimate may fall a little below nothing, which is drawn as nothing and said as it is.
fn bar(share: &VarianceShare) -> PartBar {
    PartBar {
        whole: 100.0 * share.total.max(0.0),
        whole_bound: 100.0 * Z_95 * share.total_error,
        part: 100.0 * share.first_order.max(0.0),
        text: Markup::tagged(Tag::Value, percent(share.total)).and(Tag::Unit, " %"),
    }
}

fn percent(share: f64) -> String {
    format_number(100.0 * share, 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use reducer::assembly::summary::YieldChange;

    fn effect(name: &str, backlash: f64, error: f64) -> ToleranceEffect {
        let share = |total: f64| VarianceShare {
            first_order: 0.9 * total - 0.001,
            first_order_error: 0.002,
            total,
            total_error: 0.01,
        };
        ToleranceEffect {
            name: name.to_owned(),
            lower_mm: -0.004,
            upper_mm: 0.004,
            standard_deviation_mm: 0.0013,
            acts: Acts::WithoutLoad,
            of_backlash: share(backlash),
            of_transmission_error: share(error),
            one_grade_tighter: YieldChange::default(),
            one_grade_looser: YieldChange::default(),
        }
    }

    #[test]
    fn identity_the_weightiest_comes_first_and_what_weighs_nothing_is_left_out() {
        let effects = [
            effect("pins", 0.1, 0.3),
            effect("ring", 0.7, 0.2),
            effect("holes", 0.0, 0.55),
            effect("bore", 0.001, 0.0),
        ];
        let figure = of_tolerances(&effects).expect("tolerances weigh");
        let Body::PairedBars(bars) = &figure.body else { panic!("no bars") };
        let names: Vec<&str> = bars.rows.iter().map(|row| row.label.as_str()).collect();
        assert_eq!(names, ["ring, ±4.0 µm", "holes, ±4.0 µm", "pins, ±4.0 µm"]);
        assert!((bars.rows[0].bars[0].whole - 70.0).abs() < 1e-9);
        // A first-order share below nothing is an estimate of nothing.
        assert_eq!(bars.rows[1].bars[0].part, 0.0);
        for row in &bars.rows {
            for (bar, column) in row.bars.iter().zip(&bars.columns) {
                assert!(bar.whole + bar.whole_bound <= column.axis.range[1] + 1e-9);
            }
        }
        assert!(figure.caption.plain().ends_with("One that weighs less is left out."));
        assert!(figure.description.contains("has ring with 70.0 %"), "{}", figure.description);
    }

    #[test]
    fn identity_without_tolerances_there_is_no_figure() {
        assert!(of_tolerances(&[]).is_none());
        assert!(of_tolerances(&[effect("bore", 0.0, 0.001)]).is_none());
    }

    #[test]
    fn identity_what_acts_elsewhere_is_named_as_such() {
        let warm = ToleranceEffect { acts: Acts::InOperation, ..effect("ring temperature", 0.0, 0.0) };
        let figure = of_tolerances(&[effect("ring", 0.7, 0.2), warm]).expect("one weighs");
        let caption = figure.caption.plain();
        assert!(
            caption.ends_with("95 %. Not among them: ring temperature acts in operation only."),
            "{caption}"
        );
    }
}
