//! The angle error of a drive over an output turn: round the circle, and by its orders.

use super::scale::{axis_over, shown};
use crate::figure::{Axis, Bar, Bars, Body, Figure, KeyNumber, Polar, PolarPanel, Series, SeriesStyle, Tick};
use crate::markup::Markup;
use curves::math::sin_cos;
use reducer::accuracy::spectrum::Order;
use reducer::accuracy::summary::AccuracyResult;
use reducer::finding::Standing;
use reducer::registry;
use std::f64::consts::TAU;

const QUANTITY: &str = "transmission_error_rad";
/// Stretches of an output turn whose least and greatest error are drawn: what a millimetre of paper can show.
const STRETCHES: usize = 360;
/// Radius of the least error over the range of errors, so that the inner circle stays open.
const OPEN_CENTRE: f64 = 0.6;
/// Orders in the figure of orders.
const MOST_ORDERS: usize = 14;

/// Error of the output over one turn as a polar plot, load either way; outwards is ahead.
#[must_use]
pub fn angle_error_polar(result: &AccuracyResult) -> Figure {
    let turn = &result.turn;
    let sides =
        [("ahead", "load anticlockwise", &turn.ahead_rad), ("behind", "load clockwise", &turn.behind_rad)];
    let panel = |(name, title, errors): (&str, &str, &Vec<f64>)| {
        let mean = errors.iter().sum::<f64>() / errors.len().max(1) as f64;
        let about: Vec<f64> = errors.iter().map(|error| shown(QUANTITY, error - mean)).collect();
        let (least, most) = about
            .iter()
            .fold((0.0_f64, 0.0_f64), |(least, most), value| (least.min(*value), most.max(*value)));
        let range = (most - least).max(1e-6);
        let shift = OPEN_CENTRE * range - least;
        PolarPanel {
            name: name.to_owned(),
            title: Markup::words(format!(
                "{title}: {} peak to peak",
                registry::display(QUANTITY, spread(errors))
            )),
            radius: shifted_axis((least, most), shift),
            series: vec![Series {
                name: format!("error-{name}"),
                label: Markup::words("error from its mean"),
                style: SeriesStyle::First,
                pieces: vec![path(&about, shift)],
            }],
            arrows: Vec::new(),
            detail: None,
        }
    };
    let panels = sides.map(panel).to_vec();
    Figure {
        id: "angle-error-polar".to_owned(),
        title: "Transmission error over an output turn".to_owned(),
        caption: Markup::words(format!(
            "Error of the output angle over one output turn of {}, without load, play used up either way; distance from the mean in \
             arcmin, outwards ahead of it. Each stretch of a degree shows its least and its greatest error.",
            which(result)
        )),
        description: format!(
            "Transmission error against output angle: {} peak to peak anticlockwise, {} clockwise.",
            registry::display(QUANTITY, turn.error_ahead_rad),
            registry::display(QUANTITY, turn.error_behind_rad)
        ),
        key_numbers: vec![
            KeyNumber::new(QUANTITY, "error, load anticlockwise", turn.error_ahead_rad),
            KeyNumber::new(QUANTITY, "error, load clockwise", turn.error_behind_rad),
        ],
        body: Body::Polar(Polar { panels }),
    }
}

fn which(result: &AccuracyResult) -> String {
    match result.which.assembly {
        None => "the drive as drawn".to_owned(),
        Some(assembly) => format!("assembly {assembly} of seed {}", result.which.seed),
    }
}

fn spread(errors: &[f64]) -> f64 {
    let (least, most) = errors.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), value| {
        (least.min(*value), most.max(*value))
    });
    most - least
}

/// Radii that stand for errors from the mean.
fn shifted_axis((least, most): (f64, f64), shift: f64) -> Axis {
    let axis = axis_over(QUANTITY, "error", (least, most), 4);
    let ticks = axis.ticks.iter().map(|tick| Tick { value: tick.value + shift, label: tick.label.clone() });
    let ticks: Vec<Tick> = ticks.filter(|tick| tick.value > 0.0).collect();
    Axis { range: [0.0, axis.range[1] + shift], ticks, ..axis }
}

/// The path of the error round the circle: least and greatest of each stretch.
fn path(errors: &[f64], shift: f64) -> Vec<[f64; 2]> {
    let length = errors.len().div_ceil(STRETCHES).max(1);
    let mut points = Vec::new();
    for (stretch, values) in errors.chunks(length).enumerate() {
        let place = |index: usize| TAU * (stretch * length + index) as f64 / errors.len() as f64;
        let extreme = |sign: f64| {
            (0..values.len()).max_by(|a, b| (sign * values[*a]).total_cmp(&(sign * values[*b]))).unwrap_or(0)
        };
        let mut ends = [extreme(-1.0), extreme(1.0)];
        ends.sort_unstable();
        for index in ends {
            let (sine, cosine) = sin_cos(place(index));
            let radius = values[index] + shift;
            points.push([radius * cosine, radius * sine]);
        }
    }
    if let Some(first) = points.first().copied() {
        points.push(first);
    }
    points
}

/// The strongest orders of the error with what repeats so often; the flank with the larger error.
#[must_use]
pub fn angle_error_orders(result: &AccuracyResult) -> Figure {
    let turn = &result.turn;
    let is_ahead = turn.error_ahead_rad >= turn.error_behind_rad;
    let (orders, side) =
        if is_ahead { (&turn.orders_ahead, "anticlockwise") } else { (&turn.orders_behind, "clockwise") };
    let mut strongest: Vec<&Order> = orders.iter().collect();
    strongest.sort_by(|a, b| b.amplitude_rad.total_cmp(&a.amplitude_rad));
    strongest.truncate(MOST_ORDERS);
    strongest.sort_by_key(|order| order.order);
    let quantity = "error_amplitude_rad";
    let greatest =
        strongest.iter().map(|order| shown(quantity, order.amplitude_rad)).fold(0.0, f64::max).max(1e-3);
    let row = |order: &&Order| {
        // What follows the colon is told in the table.
        let name = order.name.as_deref().and_then(|name| name.split(':').next()).unwrap_or_default();
        let name = name.split(',').next().unwrap_or_default();
        let name = name
            .replace("w z_r", "pins pass crank")
            .replace("z_l", "crank in ring")
            .replace("z_r", "crank in disc");
        let name = if name.ends_with('w') { name.replace('w', "pins") } else { name };
        Bar {
            label: if name.is_empty() { order.order.to_string() } else { format!("{}, {name}", order.order) },
            value: shown(quantity, order.amplitude_rad),
            text: Markup::words(registry::display(quantity, order.amplitude_rad)),
            standing: Standing::Holds,
        }
    };
    Figure {
        id: "angle-error-orders".to_owned(),
        title: "Orders of the transmission error".to_owned(),
        caption: Markup::words(format!(
            "Amplitudes of the strongest orders of the error in an output turn, load {side}, of {}: orders of the crank in the ring come from ring and rollers, of the \
             crank in the disc from holes, lobe pitch and run-outs of discs and plate, of the mesh from the form of the lobes.",
            which(result)
        )),
        description: "Bars of the amplitudes of the strongest orders, by order.".to_owned(),
        key_numbers: Vec::new(),
        body: Body::Bars(Bars {
            axis: axis_over(quantity, "amplitude", (0.0, greatest), 5),
            rows: strongest.iter().map(row).collect(),
        }),
    }
}
