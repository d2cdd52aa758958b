//! The accuracy of one drive in tables: backlash and error over the output turn, and the orders of the error.

use super::{number_cell, quantity_column};
use crate::markup::{Markup, Tag};
use crate::table::{Align, Column, Table};
use reducer::accuracy::summary::{AccuracyResult, UnderTorque};
use reducer::accuracy::turn::AtAngle;
use reducer::registry::{self, format_number};
use reducer::units::degrees;

/// Backlash, transmission error, lost motion and play of one drive.
#[must_use]
pub fn accuracy_table(result: &AccuracyResult) -> Table {
    let turn = &result.turn;
    let backlash = |words: &str, at: &AtAngle| {
        row(words, "geometric_backlash_rad", at.backlash_rad, at_crank(at.crank_angle_rad))
    };
    let positions = if turn.computed_count < turn.position_count {
        let computed = format_number(turn.computed_count as f64, 0);
        format!("{computed} positions, after which all repeats")
    } else {
        format!("{} positions over an output turn", format_number(turn.position_count as f64, 0))
    };
    let mut rows = vec![
        backlash("greatest backlash", &turn.greatest_backlash),
        row("mean backlash", "geometric_backlash_rad", turn.mean_backlash_rad, positions.clone()),
        backlash("least backlash", &turn.least_backlash),
        row("error, load anticlockwise", "transmission_error_rad", turn.error_ahead_rad, positions),
        row("error, load clockwise", "transmission_error_rad", turn.error_behind_rad, String::new()),
    ];
    if turn.tip_gap_mm.is_finite() {
        let words = "rollers that press a disc aside rather than turn it";
        rows.push(row("least gap at tips and roots", "gap_mm", turn.tip_gap_mm, words.to_owned()));
    }
    let as_drawn = "parts as drawn, at their temperatures in operation";
    if let Some(error) = result.loaded_error_rad {
        rows.push(row("error under the rated torque", "transmission_error_rad", error, as_drawn.to_owned()));
    }
    rows.extend(under_torque_rows(&result.under_torque, as_drawn));
    let which = match result.which.assembly {
        None => "the drive as drawn".to_owned(),
        Some(assembly) => format!("assembly {assembly} of seed {}", result.which.seed),
    };
    Table {
        title: format!("Accuracy of {which}; without load where nothing else is said, bearing centres held"),
        columns: vec![
            Column::new("quantity", Align::Left),
            Column::new("value", Align::Right),
            Column::new("where", Align::Left),
        ],
        rows,
    }
}

fn row(words: &str, quantity: &str, value: f64, where_: String) -> Vec<Markup> {
    vec![Markup::words(words), Markup::display(&registry::display(quantity, value)), Markup::words(where_)]
}

/// Stiffness, lost motion, width and play with the crank held; each says whether friction is in it.
fn under_torque_rows(under: &UnderTorque, as_drawn: &str) -> Vec<Vec<Markup>> {
    let stiffness = [
        (
            "torsional stiffness, loop with friction",
            "loading_stiffness_n_mm_per_rad",
            under.loading_stiffness_n_mm_per_rad,
            "half to full rated torque on the loading branches, least of all crank angles",
        ),
        (
            "torsional stiffness, mid-line of that loop",
            "mid_line_stiffness_n_mm_per_rad",
            under.mid_line_stiffness_n_mm_per_rad,
            "half to full rated torque, where the tips of the loop make it seem stiffer",
        ),
        (
            "torsional stiffness, no friction",
            "secant_stiffness_n_mm_per_rad",
            under.secant_stiffness_n_mm_per_rad,
            "half to full rated torque of the mean wind-up",
        ),
    ];
    let angles = [
        ("lost motion at ±3 %, mid-line of that loop", "lost_motion_rad", under.lost_motion),
        ("lost motion at ±3 %, no friction", "lost_motion_rad", under.frictionless_lost_motion),
        ("width of that loop at no torque", "hysteresis_width_rad", under.hysteresis_width),
        ("free play with bearings, no friction", "free_play_rad", under.free_play),
    ];
    let stiffness = stiffness.into_iter().filter_map(|(words, quantity, value, place)| {
        Some(row(words, quantity, value?, format!("{as_drawn}; {place}")))
    });
    let angles = angles.into_iter().filter_map(|(words, quantity, extreme)| {
        let extreme = extreme?;
        let place = format!("{as_drawn}; {}", at_crank(extreme.crank_angle_rad));
        Some(row(words, quantity, extreme.value, place))
    });
    stiffness.chain(angles).collect()
}

fn at_crank(angle_rad: f64) -> String {
    format!("crank at {}°", format_number(degrees(angle_rad), 1))
}

/// The strongest orders of the error, both flanks.
#[must_use]
pub fn orders_table(result: &AccuracyResult) -> Table {
    let turn = &result.turn;
    let mut orders: Vec<usize> =
        turn.orders_ahead.iter().chain(&turn.orders_behind).map(|order| order.order).collect();
    orders.sort_unstable();
    orders.dedup();
    let rows = orders
        .into_iter()
        .map(|order| {
            let find = |all: &[reducer::accuracy::spectrum::Order]| {
                all.iter().find(|each| each.order == order).cloned()
            };
            let (ahead, behind) = (find(&turn.orders_ahead), find(&turn.orders_behind));
            let name = ahead.as_ref().or(behind.as_ref()).and_then(|each| each.name.clone());
            let cell = |each: Option<reducer::accuracy::spectrum::Order>| {
                each.map_or_else(
                    || Markup::words("–"),
                    |each| number_cell("error_amplitude_rad", each.amplitude_rad),
                )
            };
            vec![
                Markup::tagged(Tag::Value, format!("{order}")),
                cell(ahead),
                cell(behind),
                Markup::words(name.unwrap_or_default()),
            ]
        })
        .collect();
    Table {
        title: "Strongest orders of the error in an output turn".to_owned(),
        columns: vec![
            Column::new("order", Align::Right),
            quantity_column("error_amplitude_rad", "anticlockwise"),
            quantity_column("error_amplitude_rad", "clockwise"),
            Column::new("repeats with", Align::Left),
        ],
        rows,
    }
}
