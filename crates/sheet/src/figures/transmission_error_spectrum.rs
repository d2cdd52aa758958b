//! Orders of the transmission error in an output turn, the strongest named after what repeats so often.

use super::scale::{axis_over, shown};
use crate::figure::{Axis, Body, Figure, KeyNumber, Stem, StemPanel, Stems, Tick};
use crate::markup::{Markup, Tag};
use reducer::accuracy::spectrum::Order;
use reducer::registry::format_number;

const QUANTITY: &str = "error_amplitude_rad";
/// Orders that are named in a panel, if there is room.
const MOST_LABELS: usize = 12;
/// Share of the strongest order from which on an order is named.
const LEAST_LABELLED: f64 = 0.02;

/// Amplitudes over the order in an output turn of a drive, named in words, the load acting anticlockwise (ahead) and clockwise (behind).
#[must_use]
pub fn transmission_error_spectrum(drive: &str, ahead: &[Order], behind: &[Order]) -> Figure {
    let strongest = |orders: &[Order]| {
        let by_amplitude = |a: &&Order, b: &&Order| a.amplitude_rad.total_cmp(&b.amplitude_rad);
        orders.iter().max_by(by_amplitude).cloned()
    };
    let amplitude = |order: &Order| shown(QUANTITY, order.amplitude_rad);
    let greatest = ahead.iter().chain(behind).map(amplitude).fold(1e-6, f64::max);
    let y = axis_over(QUANTITY, "amplitude", (0.0, greatest), 4);
    let panel = |name: &str, title: &str, orders: &[Order]| StemPanel {
        name: name.to_owned(),
        title: Markup::words(title),
        height_paper_mm: 32.0,
        y: y.clone(),
        stems: stems(orders, LEAST_LABELLED * greatest),
    };
    let key = |words: &str, orders: &[Order]| {
        strongest(orders).map(|order| {
            let label = format!("strongest order {words}: {}", in_words(&order));
            KeyNumber::new(QUANTITY, &label, order.amplitude_rad)
        })
    };
    let key_numbers: Vec<KeyNumber> =
        [key("anticlockwise", ahead), key("clockwise", behind)].into_iter().flatten().collect();
    let highest = ahead.iter().chain(behind).map(|order| order.order).max().unwrap_or(1);
    Figure {
        id: "transmission-error-spectrum".to_owned(),
        title: "Orders of the transmission error".to_owned(),
        caption: Markup::words(format!(
            "Amplitudes of the strongest orders of the transmission error of {drive} in an output turn, without load. An order is the number of periods in one turn of \
             the output; under it stands what in the drive repeats so often."
        )),
        description: key_numbers
            .iter()
            .map(|number| format!("{}, {}.", number.label, number.display))
            .collect::<Vec<_>>()
            .join(" "),
        key_numbers,
        body: Body::Stems(Stems {
            x: order_axis(highest),
            panels: vec![
                panel("ahead", "load anticlockwise", ahead),
                panel("behind", "load clockwise", behind),
            ],
        }),
    }
}

fn stems(orders: &[Order], least_labelled: f64) -> Vec<Stem> {
    let mut by_amplitude: Vec<&Order> = orders.iter().collect();
    by_amplitude.sort_by(|a, b| b.amplitude_rad.total_cmp(&a.amplitude_rad).then(a.order.cmp(&b.order)));
    let labelled: Vec<usize> = by_amplitude
        .iter()
        .take(MOST_LABELS)
        .filter(|order| shown(QUANTITY, order.amplitude_rad) >= least_labelled)
        .map(|order| order.order)
        .collect();
    let mut stems: Vec<Stem> = orders
        .iter()
        .map(|order| Stem {
            x: order.order as f64,
            value: shown(QUANTITY, order.amplitude_rad),
            label: if labelled.contains(&order.order) { label(order) } else { Vec::new() },
        })
        .collect();
    stems.sort_by(|a, b| a.x.total_cmp(&b.x));
    stems
}

/// The order and under it the count that makes it, without what that is about.
fn label(order: &Order) -> Vec<Markup> {
    let number = Markup::tagged(Tag::Value, format_number(order.order as f64, 0));
    std::iter::once(number).chain(short_name(order).map(Markup::with_counts)).collect()
}

fn short_name(order: &Order) -> Option<&str> {
    order.name.as_deref().and_then(|name| name.split(':').next())
}

fn in_words(order: &Order) -> String {
    let name = order.name.as_ref().map_or_else(String::new, |name| format!(" ({name})"));
    format!("{}{name}", format_number(order.order as f64, 0))
}

/// A logarithmic axis from a little below one to a little above the highest order.
fn order_axis(highest: usize) -> Axis {
    let highest = (highest as f64).max(10.0);
    let range = [0.85, 1.15 * highest];
    let decades = (0..9).map(|power| curves::math::power(10.0, power));
    let ticks = decades
        .flat_map(|decade| [1.0, 2.0, 5.0].map(|digit| digit * decade))
        .take_while(|value| *value <= range[1])
        .map(|value| Tick { value, label: format_number(value, 0) })
        .collect();
    Axis {
        quantity: "order".to_owned(),
        label: Markup::tagged(Tag::Quantity, "order in an output turn"),
        range,
        ticks,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use reducer::accuracy::spectrum::{Counts, amplitudes, leading_orders};
    use std::f64::consts::TAU;

    #[test]
    fn identity_every_order_stands_where_and_as_high_as_it_is() {
        let counts = Counts { lobe_count: 11, roller_count: 12, pin_count: 6 };
        let signal: Vec<f64> = (0..528)
            .map(|step| {
                let angle = TAU * f64::from(step) / 528.0;
                1e-5 * curves::math::sin(11.0 * angle) + 4e-5 * curves::math::cos(132.0 * angle)
            })
            .collect();
        let orders = leading_orders(&amplitudes(&signal), &counts, 4);
        let figure = transmission_error_spectrum("the drive as drawn", &orders, &orders);
        let Body::Stems(stems) = &figure.body else { panic!("no stems") };
        let find =
            |x: f64| stems.panels[0].stems.iter().find(|stem| stem.x == x).expect("the order is there");
        // 4e-5 rad are 8.2506 arcsec.
        assert!((find(132.0).value - 8.2506).abs() < 1e-4);
        assert!((find(11.0).value - 2.0626).abs() < 1e-4);
        let words = |x: f64| find(x).label.iter().map(Markup::plain).collect::<Vec<_>>();
        assert_eq!(words(132.0)[0], "132");
        assert!(words(132.0)[1].starts_with("mesh"));
        assert!(words(11.0)[1].starts_with('z'));
        // Orders of nothing are drawn and not named.
        assert!(find(12.0).label.is_empty());
        assert!(stems.panels[0].stems.is_sorted_by(|a, b| a.x < b.x));
        assert!(figure.key_numbers[0].label.contains("132 (mesh"), "{}", figure.key_numbers[0].label);
    }

    #[test]
    fn identity_without_orders_there_are_still_axes() {
        let figure = transmission_error_spectrum("the drive as drawn", &[], &[]);
        let Body::Stems(stems) = &figure.body else { panic!("no stems") };
        assert!(stems.x.ticks.len() >= 4 && stems.panels[1].y.ticks.len() >= 2);
        assert!(figure.key_numbers.is_empty());
    }
}
