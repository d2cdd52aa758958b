//! How far the output twists under torque, play taken off, and the stiffness that the trade reads off.

use super::scale::{axis_over, shown};
use crate::figure::{Body, Chart, Figure, KeyNumber, Panel, Rule, Series, SeriesStyle};
use crate::markup::Markup;
use reducer::model::Drive;
use reducer::registry;
use reducer::results::DynamicsResult;

/// Elastic wind-up over torque, from no torque to the greatest that was solved.
#[must_use]
pub fn torque_twist(drive: &Drive, dynamics: &DynamicsResult) -> Option<Figure> {
    let points = &dynamics.torque_twist;
    let last = points.last()?;
    let rated = drive.requirement.rated_torque_n_mm;
    let torque = |value: f64| shown("output_torque_n_mm", value);
    let twist = |value: f64| shown("windup_rad", value);
    let curve: Vec<[f64; 2]> =
        points.iter().map(|point| [torque(point.output_torque_n_mm), twist(point.windup_rad)]).collect();
    let mut series = vec![one("windup", "wind-up, mean over the crank angles", SeriesStyle::First, curve)];
    let stiffness = dynamics.secant_stiffness_n_mm_per_rad;
    let at_rated =
        points.iter().find(|point| point.output_torque_n_mm == rated).map(|point| point.windup_rad);
    if let (Some(stiffness), Some(at_rated)) = (stiffness, at_rated) {
        let line = [0.0, 0.5, 1.0].map(|share| {
            let windup = at_rated - (1.0 - share) * rated / stiffness;
            [torque(share * rated), twist(windup)]
        });
        let label =
            format!("secant stiffness, {}", registry::display("secant_stiffness_n_mm_per_rad", stiffness));
        series.push(one("secant", &label, SeriesStyle::Second, line.to_vec()));
    }
    let lowest =
        series.iter().flat_map(|series| &series.pieces).flatten().map(|point| point[1]).fold(0.0, f64::min);
    let key = |quantity: &str, label: &str, value: Option<f64>| {
        value.map(|value| KeyNumber::new(quantity, label, value))
    };
    Some(Figure {
        id: "torque-twist".to_owned(),
        title: "Twist under torque".to_owned(),
        caption: Markup::words(
            "Elastic wind-up of the output over the torque on it, crank held, play taken off, mean over the crank angles of a period. The \
             curve is steep at first, while gaps close one after the other; the stiffness is read between half and full rated torque.",
        ),
        description: format!(
            "Wind-up rises with torque to {} at {}.",
            registry::display("windup_rad", last.windup_rad),
            registry::display("output_torque_n_mm", last.output_torque_n_mm),
        ),
        key_numbers: [
            key("windup_rad", "wind-up at rated torque", at_rated),
            key("secant_stiffness_n_mm_per_rad", "stiffness between half and full rated torque", stiffness),
        ]
        .into_iter()
        .flatten()
        .collect(),
        body: Body::Chart(Chart {
            x: axis_over(
                "output_torque_n_mm",
                "torque on the output",
                (0.0, torque(last.output_torque_n_mm)),
                6,
            ),
            panels: vec![Panel {
                height_paper_mm: 58.0,
                y: axis_over("windup_rad", "wind-up", (lowest, twist(last.windup_rad)), 5),
                series,
                rules: vec![Rule {
                    is_level: false,
                    value: torque(rated),
                    label: Markup::words("rated torque"),
                    is_limit: false,
                }],
            }],
        }),
    })
}

fn one(name: &str, label: &str, style: SeriesStyle, points: Vec<[f64; 2]>) -> Series {
    Series { name: name.to_owned(), label: Markup::words(label), style, pieces: vec![points] }
}
