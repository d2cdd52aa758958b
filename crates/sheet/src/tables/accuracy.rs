//! The accuracy of one drive in tables: backlash and error over the output turn, and the orders of the error.

use super::{number_cell, quantity_column};
use crate::markup::{Markup, Tag};
use crate::table::{Align, Column, Table};
use reducer::accuracy::summary::AccuracyResult;
use reducer::accuracy::turn::AtAngle;
use reducer::registry::{self, format_number};
use reducer::results::Assessment;
use reducer::units::degrees;

/// Backlash, transmission error, lost motion and play of one drive.
#[must_use]
pub fn accuracy_table(result: &AccuracyResult, assessment: &Assessment) -> Table {
    let turn = &result.turn;
    let row = |words: &str, quantity: &str, value: f64, where_: String| {
        vec![
            Markup::words(words),
            Markup::display(&registry::display(quantity, value)),
            Markup::words(where_),
        ]
    };
    let backlash = |words: &str, at: &AtAngle| {
        row(words, "geometric_backlash_rad", at.backlash_rad, at_crank(at.crank_angle_rad))
    };
    let positions = format!("{} positions over an output turn", format_number(turn.position_count as f64, 0));
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
    if let Some(play) = &assessment.play {
        let (free, lost) = (&play.free_play, &play.lost_motion);
        let place = |angle: f64| format!("{as_drawn}; {}", at_crank(angle));
        rows.push(row("free play with bearings", "lost_motion_rad", free.value, place(free.crank_angle_rad)));
        rows.push(row("lost motion at ±3 %", "lost_motion_rad", lost.value, place(lost.crank_angle_rad)));
    }
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
