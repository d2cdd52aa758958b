//! What a study of assemblies shows: histograms with their limits, and the tolerances by their weight.

use super::scale::{axis_over, shown};
use crate::figure::{Bar, Bars, Body, Chart, Figure, KeyNumber, Panel, Rule, Series, SeriesStyle};
use crate::markup::Markup;
use crate::tables::share_in_words;
use reducer::assembly::shares::VarianceShare;
use reducer::assembly::summary::{Distribution, ToleranceEffect, YieldResult};
use reducer::finding::Standing;
use reducer::registry::{self, format_number};

/// Share of assemblies on an axis.
const SHARE: &str = "assembly_share";

/// All figures of a study.
#[must_use]
pub fn of_study(result: &YieldResult) -> Vec<Figure> {
    let mut figures: Vec<Figure> =
        result.distributions.iter().filter(|each| each.count > 0).map(histogram).collect();
    figures.push(pareto(result, "backlash", "backlash", |effect| effect.of_backlash));
    let of_error = |effect: &ToleranceEffect| effect.of_transmission_error;
    figures.push(pareto(result, "transmission-error", "transmission error", of_error));
    figures
}

/// One quantity over all assemblies, with its limit and the values that most keep to.
#[must_use]
pub fn histogram(each: &Distribution) -> Figure {
    let quantity = each.quantity.as_str();
    let edge = |bin: usize| shown(quantity, each.first_edge + each.bin_width * bin as f64);
    let percent = |count: u64| 100.0 * count as f64 / each.count.max(1) as f64;
    let mut outline = vec![[edge(0), 0.0]];
    for (bin, &count) in each.bins.iter().enumerate() {
        outline.extend([[edge(bin), percent(count)], [edge(bin + 1), percent(count)]]);
    }
    outline.push([edge(each.bins.len()), 0.0]);
    let limit = each.limit.map(|limit| shown(quantity, limit));
    let ends = [edge(0), edge(each.bins.len())];
    let low = limit.map_or(ends[0], |limit| limit.min(ends[0]));
    let high = limit.map_or(ends[1], |limit| limit.max(ends[1]));
    let highest = each.bins.iter().map(|count| percent(*count)).fold(1e-3, f64::max);
    let rule = |value: f64, label: String, is_limit: bool| Rule {
        is_level: false,
        value,
        label: Markup::words(label),
        is_limit,
    };
    let [_, _, median, _, high_percentile] = each.percentiles;
    let mut rules = vec![
        rule(shown(quantity, median), "median".to_owned(), false),
        rule(shown(quantity, high_percentile), "99 %".to_owned(), false),
    ];
    rules.extend(limit.map(|value| rule(value, "limit".to_owned(), true)));
    let within = each
        .within
        .as_ref()
        .map_or_else(String::new, |share| format!(" {} of them keep to the limit.", share_in_words(share)));
    Figure {
        id: format!("yield-{}", each.id),
        title: capital(&each.title),
        caption: Markup::words(format!(
            "{} of {} assembled drives, in per cent of them for each bar of {}.{within}",
            capital(&each.title),
            format_number(each.count as f64, 0),
            registry::display(quantity, each.bin_width)
        )),
        description: format!(
            "Histogram with its median at {} and 99 % below {}.{within}",
            registry::display(quantity, median),
            registry::display(quantity, high_percentile)
        ),
        key_numbers: vec![
            KeyNumber::new(quantity, "mean", each.mean),
            KeyNumber::new(quantity, "standard deviation", each.standard_deviation),
        ],
        body: Body::Chart(Chart {
            x: axis_over(quantity, &each.title, (low, high), 8),
            panels: vec![Panel {
                height_paper_mm: 50.0,
                y: axis_over(SHARE, "share of assemblies", (0.0, highest), 4),
                series: vec![Series {
                    name: "share".to_owned(),
                    label: Markup::words("share of assemblies"),
                    style: SeriesStyle::First,
                    pieces: vec![outline],
                }],
                rules,
                spans: Vec::new(),
                detail_x: None,
            }],
        }),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn pareto(
    result: &YieldResult,
    id: &str,
    words: &str,
    share: impl Fn(&ToleranceEffect) -> VarianceShare,
) -> Figure {
    let mut effects: Vec<&ToleranceEffect> = result.tolerances.iter().collect();
    effects.sort_by(|a, b| share(b).total.total_cmp(&share(a).total));
    let percent = |value: f64| format_number(100.0 * value, 1);
    let row = |effect: &&ToleranceEffect| Bar {
        label: format!("{}, {}", effect.name, crate::tables::limits_in_words(effect)),
        value: 100.0 * share(effect).total.max(0.0),
        text: Markup::words(format!(
            "{} %, alone {} %",
            percent(share(effect).total),
            percent(share(effect).first_order.max(0.0))
        )),
        standing: Standing::Holds,
    };
    let greatest = effects.first().map_or(0.0, |effect| 100.0 * share(effect).total).max(1.0);
    Figure {
        id: format!("tolerances-{id}"),
        title: format!("Tolerances by their part in the {words}"),
        caption: Markup::words(format!(
            "Share of each tolerance in the variance of the {words}: in all, with what it does together with others, and alone. Shares in all \
             add up to more than 100 % where tolerances act together."
        )),
        description: "Bars of the variance shares, greatest first.".to_owned(),
        key_numbers: Vec::new(),
        body: Body::Bars(Bars {
            axis: axis_over("variance_share", "share of the variance", (0.0, greatest), 5),
            rows: effects.iter().map(row).collect(),
        }),
    }
}
