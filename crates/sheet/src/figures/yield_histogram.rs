//! How a quantity is spread over the assemblies, with its limit, its percentiles, and the share that keeps to the limit.

use super::scale::{axis_over, shown};
use crate::figure::{Axis, Body, Figure, Flag, Histogram, HistogramLimit, KeyNumber};
use crate::markup::{Markup, Tag};
use crate::tables::share_in_words;
use reducer::assembly::summary::Distribution;
use reducer::registry::{self, format_number};

const SHARE: &str = "assembly_share";
/// Percentiles that are marked, by their place in the distribution.
const MARKED: [(usize, &str); 4] = [(1, "5 %"), (2, "median"), (3, "95 %"), (4, "99 %")];
/// A limit farther from the values than so many times their spread is told in words alone.
const FARTHEST_LIMIT: f64 = 1.0;

/// Histogram of one quantity over the assemblies.
#[must_use]
pub fn yield_histogram(distribution: &Distribution) -> Figure {
    let count = distribution.count.max(1) as f64;
    let shares: Vec<f64> = distribution.bins.iter().map(|bin| shown(SHARE, *bin as f64 / count)).collect();
    let value = |core: f64| shown(&distribution.quantity, core);
    let first = distribution.first_edge;
    let last = first + distribution.bin_width * shares.len() as f64;
    let limit = distribution.limit.filter(|limit| is_near(*limit, first, last));
    let low = value(limit.map_or(first, |limit| limit.min(first)));
    let high = value(limit.map_or(last, |limit| limit.max(last)));
    let greatest = shares.iter().copied().fold(1e-3, f64::max);
    Figure {
        id: format!("yield-histogram-{}", distribution.id),
        title: format!("Spread over the assemblies: {}", distribution.title),
        caption: caption(distribution),
        description: description(distribution),
        key_numbers: key_numbers(distribution),
        body: Body::Histogram(Histogram {
            x: axis_over(&distribution.quantity, axis_words(distribution), (low, high), 8),
            y: Axis {
                label: Markup::tagged(Tag::Quantity, "share of the assemblies in each bin")
                    .and(Tag::Unit, ", %"),
                ..axis_over(SHARE, "", (0.0, greatest), 5)
            },
            first_edge: value(first),
            bin_width: value(last) / shares.len().max(1) as f64 - value(first) / shares.len().max(1) as f64,
            flags: flags(distribution, limit),
            limit: limit
                .zip(distribution.limit_is_upper)
                .map(|(limit, is_upper)| HistogramLimit { value: value(limit), is_upper }),
            note: note(distribution),
            shares,
        }),
    }
}

/// The title up to what it explains.
fn axis_words(distribution: &Distribution) -> &str {
    distribution.title.split(';').next().unwrap_or(&distribution.title)
}

fn is_near(limit: f64, first: f64, last: f64) -> bool {
    let room = FARTHEST_LIMIT * (last - first);
    limit >= first - room && limit <= last + room
}

/// Lines at the percentiles and at the limit, from left to right.
fn flags(distribution: &Distribution, limit: Option<f64>) -> Vec<Flag> {
    let digits = registry::quantity(&distribution.quantity).map_or(3, |quantity| quantity.digits);
    let flag = |core: f64, name: &str, is_limit: bool| {
        let x = shown(&distribution.quantity, core);
        let number = Markup::tagged(Tag::Value, format_number(x, digits));
        Flag { x, label: vec![Markup::words(name), number], is_limit }
    };
    let mut flags: Vec<Flag> =
        MARKED.iter().map(|(place, name)| flag(distribution.percentiles[*place], name, false)).collect();
    flags.extend(limit.map(|limit| flag(limit, "limit", true)));
    flags.sort_by(|a, b| a.x.total_cmp(&b.x));
    flags
}

fn note(distribution: &Distribution) -> Markup {
    let Some(share) = &distribution.within else { return Markup::default() };
    Markup::tagged(Tag::Value, format!("{} %", format_number(100.0 * share.share, 2)))
        .and(Tag::Words, " within the limit")
}

fn caption(distribution: &Distribution) -> Markup {
    let show = |value: f64| registry::display(&distribution.quantity, value);
    let count = format_number(distribution.count as f64, 0);
    let verdict = match (&distribution.within, distribution.limit, distribution.limit_is_upper) {
        (Some(share), Some(limit), Some(is_upper)) => format!(
            " {} of them keep to the limit, {} {}; what does not is hatched.{}",
            share_in_words(share),
            if is_upper { "at most" } else { "at least" },
            show(limit),
            if distribution.is_required {
                ""
            } else {
                " The axis does not require it, and it does not count for the yield."
            },
        ),
        _ => " No limit is stated.".to_owned(),
    };
    let title = &distribution.title;
    Markup::words(format!("Spread over {count} assemblies: {title}.{verdict}"))
}

fn description(distribution: &Distribution) -> String {
    let show = |value: f64| registry::display(&distribution.quantity, value);
    let [_, low, median, high, _] = distribution.percentiles;
    format!(
        "Half of the assemblies lie below {}, nine of ten between {} and {}.",
        show(median),
        show(low),
        show(high)
    )
}

fn key_numbers(distribution: &Distribution) -> Vec<KeyNumber> {
    let number = |words: &str, value: f64| KeyNumber::new(&distribution.quantity, words, value);
    let mut numbers = vec![
        number("mean", distribution.mean),
        number("standard deviation", distribution.standard_deviation),
        number("95 of a hundred below", distribution.percentiles[3]),
    ];
    numbers.extend(distribution.within.map(|share| KeyNumber::new(SHARE, "within the limit", share.share)));
    numbers
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::{self, Theme};
    use reducer::assembly::tally::ShareWithBounds;

    fn distribution(limit: Option<f64>) -> Distribution {
        let bins = vec![1, 4, 10, 20, 30, 20, 10, 4, 1];
        Distribution {
            id: "backlash".to_owned(),
            title: "greatest backlash over the output turn".to_owned(),
            quantity: "geometric_backlash_rad".to_owned(),
            count: 100,
            mean: 2.45e-4,
            mean_bound: 1e-6,
            standard_deviation: 2e-5,
            least: 2e-4,
            greatest: 2.9e-4,
            percentiles: [2.05e-4, 2.1e-4, 2.45e-4, 2.8e-4, 2.85e-4],
            limit,
            limit_is_upper: limit.map(|_| true),
            within: limit.map(|_| ShareWithBounds::of(95, 100)),
            is_required: limit.is_some(),
            first_edge: 2e-4,
            bin_width: 1e-5,
            bins,
        }
    }

    fn histogram(figure: &Figure) -> &Histogram {
        let Body::Histogram(histogram) = &figure.body else { panic!("no histogram") };
        histogram
    }

    #[test]
    fn identity_bins_keep_their_place_and_their_share() {
        let figure = yield_histogram(&distribution(Some(2.8e-4)));
        let drawn = histogram(&figure);
        assert!((drawn.shares.iter().sum::<f64>() - 100.0).abs() < 1e-9);
        // 2e-4 rad are 0.687549 arcmin, 1e-5 rad 0.034377.
        assert!((drawn.first_edge - 0.687_549).abs() < 1e-6 && (drawn.bin_width - 0.034_377).abs() < 1e-6);
        let last = drawn.first_edge + drawn.bin_width * 9.0;
        assert!(drawn.x.range[0] <= drawn.first_edge && last <= drawn.x.range[1]);
        assert_eq!(drawn.flags.len(), 5);
        assert!(drawn.flags.is_sorted_by(|a, b| a.x <= b.x));
        assert_eq!(drawn.flags.iter().filter(|flag| flag.is_limit).count(), 1);
        assert_eq!(drawn.note.plain(), "95.00 % within the limit");
        assert!(figure.caption.plain().contains("at most 0.96 arcmin"), "{}", figure.caption.plain());
    }

    #[test]
    fn identity_bins_beyond_the_limit_are_hatched_and_no_others() {
        for (bins_below, is_upper) in [(8.0, true), (2.0, false), (9.0, true), (0.0, false)] {
            let limit = 2e-4 + bins_below * 1e-5;
            let mut distribution = distribution(Some(limit));
            distribution.limit_is_upper = Some(is_upper);
            let drawn = svg::render(&yield_histogram(&distribution), Theme::Print);
            let hatched = drawn.lines().find(|line| line.contains("url(#") && line.contains("d=\""));
            let count = hatched.map_or(0, |line| line.matches('M').count()) as f64;
            assert_eq!(count, if is_upper { 9.0 - bins_below } else { bins_below }, "{hatched:?}");
        }
    }

    #[test]
    fn identity_a_limit_out_of_sight_is_told_and_not_drawn() {
        let figure = yield_histogram(&distribution(Some(9e-4)));
        assert!(histogram(&figure).limit.is_none());
        assert!(histogram(&figure).flags.iter().all(|flag| !flag.is_limit));
        assert!(figure.caption.plain().contains("at most 3.09 arcmin"));
        let without = yield_histogram(&distribution(None));
        assert!(histogram(&without).note.is_empty());
        assert!(without.caption.plain().ends_with("No limit is stated."));
    }
}
