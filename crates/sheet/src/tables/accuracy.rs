//! The accuracy of one drive in tables: backlash and error over the output turn, parts under torque, and the orders of the error.

use super::{limit_words, number_cell, quantity_column};
use crate::markup::{Markup, Tag};
use crate::table::{Align, Column, Table};
use reducer::accuracy::summary::AccuracyResult;
use reducer::accuracy::turn::AtAngle;
use reducer::finding::Finding;
use reducer::registry::{self, format_number};
use reducer::results::Extreme;
use reducer::units::degrees;

/// Backlash and transmission error of one drive without load, beside what is required of them.
#[must_use]
pub fn accuracy_table(result: &AccuracyResult) -> Table {
    let turn = &result.turn;
    let backlash = |words: &str, at: &AtAngle, required: Option<&Finding>| {
        row(words, "geometric_backlash_rad", at.backlash_rad, required, at_crank(at.crank_angle_rad))
    };
    let positions = if turn.computed_count < turn.position_count {
        let computed = format_number(turn.computed_count as f64, 0);
        format!("{computed} positions, after which all repeats")
    } else {
        format!("{} positions over an output turn", format_number(turn.position_count as f64, 0))
    };
    // The requirement is that of the worse flank.
    let error = |words: &str, value: f64, place: String| {
        let finding = required(result, "transmission-error");
        let finding = finding.filter(|finding| finding.value == Some(value));
        row(words, "transmission_error_rad", value, finding, place)
    };
    let mut rows = vec![
        backlash("greatest backlash", &turn.greatest_backlash, required(result, "geometric-backlash")),
        row("mean backlash", "geometric_backlash_rad", turn.mean_backlash_rad, None, positions.clone()),
        backlash("least backlash", &turn.least_backlash, None),
        error("error, load anticlockwise", turn.error_ahead_rad, positions),
        error("error, load clockwise", turn.error_behind_rad, String::new()),
    ];
    if turn.tip_gap_mm.is_finite() {
        let words = "rollers that press a disc aside rather than turn it";
        rows.push(row("least gap at tips and roots", "gap_mm", turn.tip_gap_mm, None, words.to_owned()));
    }
    let which = match result.which.assembly {
        None => "the drive as drawn".to_owned(),
        Some(assembly) => format!("assembly {assembly} of seed {}", result.which.seed),
    };
    table(format!("Accuracy of {which} without load, bearing centres held"), rows)
}

/// Error, stiffness, lost motion and play of parts as drawn under torque; no rows without loads and requirements.
#[must_use]
pub fn under_torque_table(result: &AccuracyResult) -> Table {
    let mut rows = Vec::new();
    if let Some(error) = result.loaded_error_rad {
        let place = "rated torque, peak to peak over the crank angles of the load case".to_owned();
        rows.push(row("error under the rated torque", "transmission_error_rad", error, None, place));
    }
    rows.extend(stiffness_rows(result));
    rows.extend(twist_rows(result));
    let not_assessed = result.requirements.iter().filter(|finding| finding.value.is_none());
    rows.extend(not_assessed.map(|finding| {
        vec![
            Markup::words(finding.title.as_str()),
            Markup::words("–"),
            limit_words(finding),
            Markup::standing(finding.standing),
            Markup::with_symbols(&finding.hint),
        ]
    }));
    let whose = if result.which.assembly.is_some() { ", not of that assembly" } else { "" };
    table(
        format!("Under torque: parts as drawn{whose}, at their temperatures in operation, crank held"),
        rows,
    )
}

fn table(title: String, rows: Vec<Vec<Markup>>) -> Table {
    Table {
        title,
        columns: vec![
            Column::new("quantity", Align::Left),
            Column::new("value", Align::Right),
            Column::new("limit", Align::Right),
            Column::new("standing", Align::Left),
            Column::new("where", Align::Left),
        ],
        rows,
    }
}

/// The requirement of an id, where the drive file states it.
fn required<'a>(result: &'a AccuracyResult, id: &str) -> Option<&'a Finding> {
    result.requirements.iter().find(|finding| finding.id == id)
}

fn row(words: &str, quantity: &str, value: f64, required: Option<&Finding>, place: String) -> Vec<Markup> {
    let dash = || Markup::words("–");
    let value_cell = Markup::display(&registry::display(quantity, value));
    let (limit, standing) = required.map_or_else(
        || (dash(), dash()),
        |finding| (limit_words(finding), Markup::standing(finding.standing)),
    );
    vec![Markup::words(words), value_cell, limit, standing, Markup::words(place)]
}

/// Torsional stiffness, with friction and without; the requirement is that of the mean wind-up.
fn stiffness_rows(result: &AccuracyResult) -> impl Iterator<Item = Vec<Markup>> {
    let under = &result.under_torque;
    [
        (
            "torsional stiffness, loop with friction",
            "loading_stiffness_n_mm_per_rad",
            under.loading_stiffness_n_mm_per_rad,
            None,
            "half to full rated torque on the loading branches, least of all crank angles",
        ),
        (
            "torsional stiffness, mid-line of that loop",
            "mid_line_stiffness_n_mm_per_rad",
            under.mid_line_stiffness_n_mm_per_rad,
            None,
            "half to full rated torque, where the tips of the loop make it seem stiffer",
        ),
        (
            "torsional stiffness, no friction",
            "secant_stiffness_n_mm_per_rad",
            under.secant_stiffness_n_mm_per_rad,
            required(result, "torsional-stiffness"),
            "half to full rated torque of the mean wind-up",
        ),
    ]
    .into_iter()
    .filter_map(|(words, quantity, value, required, place)| {
        Some(row(words, quantity, value?, required, place.to_owned()))
    })
}

/// Lost motion, width and play; the requirement is that of the lost motion that the check takes.
fn twist_rows(result: &AccuracyResult) -> impl Iterator<Item = Vec<Markup>> {
    let under = &result.under_torque;
    let lost_motion = required(result, "lost-motion").filter(|finding| finding.value.is_some());
    let counts = |extreme: Option<Extreme>| {
        lost_motion.filter(|finding| finding.value == extreme.map(|extreme| extreme.value))
    };
    let on_mid_line = counts(under.lost_motion);
    let without_friction = if on_mid_line.is_some() { None } else { counts(under.frictionless_lost_motion) };
    [
        ("lost motion at ±3 %, mid-line of that loop", "lost_motion_rad", under.lost_motion, on_mid_line),
        (
            "lost motion at ±3 %, no friction",
            "lost_motion_rad",
            under.frictionless_lost_motion,
            without_friction,
        ),
        ("width of that loop at no torque", "hysteresis_width_rad", under.hysteresis_width, None),
        ("free play with bearings, no friction", "free_play_rad", under.free_play, None),
    ]
    .into_iter()
    .filter_map(|(words, quantity, extreme, required)| {
        let extreme = extreme?;
        Some(row(words, quantity, extreme.value, required, at_crank(extreme.crank_angle_rad)))
    })
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
                name.as_deref().map(Markup::with_counts).unwrap_or_default(),
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
