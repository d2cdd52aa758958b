//! Efficiency over torque, one curve a speed, and where the losses arise.

use super::scale::{axis_label, axis_over, shown};
use crate::figure::{
    Axis, Bar, Bars, Body, Chart, Figure, KeyNumber, Map, MapPanel, Panel, Series, SeriesStyle, Tick,
};
use crate::markup::Markup;
use reducer::finding::Standing;
use reducer::model::{Drive, LubricantKind};
use reducer::registry;
use reducer::results::{EfficiencyMap, LossResult};

/// Efficiency over the torque on the output at the least, the middle and the greatest speed of the map.
#[must_use]
pub fn efficiency(drive: &Drive, losses: &LossResult) -> Figure {
    let map = &losses.efficiency_map;
    let last = map.input_speed_rad_per_s.len().saturating_sub(1);
    let chosen = [(0, SeriesStyle::First), (last / 2, SeriesStyle::Second), (last, SeriesStyle::Third)];
    let torque = |index: usize| shown("output_torque_n_mm", map.output_torque_n_mm[index]);
    let value = |row: usize, column: usize| shown("efficiency", map.efficiency[row][column]);
    let rows = 0..map.output_torque_n_mm.len();
    let series: Vec<Series> = chosen
        .into_iter()
        .filter_map(|(column, style)| Some((column, style, *map.input_speed_rad_per_s.get(column)?)))
        .map(|(column, style, speed)| Series {
            name: format!("speed-{}", column + 1),
            label: Markup::words(format!("crank at {}", registry::display("input_speed_rad_per_s", speed))),
            style,
            pieces: vec![rows.clone().map(|row| [torque(row), value(row, column)]).collect()],
        })
        .collect();
    let values = || series.iter().flat_map(|series| &series.pieces).flatten().map(|point| point[1]);
    let range = (values().fold(100.0, f64::min), values().fold(0.0, f64::max));
    let greatest = rows.clone().map(torque).fold(0.0, f64::max);
    let lubricant = lubricant_in_words(drive, map);
    Figure {
        id: "efficiency".to_owned(),
        title: "Efficiency".to_owned(),
        caption: Markup::words(format!(
            "Efficiency over the torque on the output at three speeds of the crank{lubricant}. What turns \
             without load weighs most at small torque and high speed."
        )),
        description: "Efficiency against output torque, one curve for each of three crank speeds.".to_owned(),
        key_numbers: losses
            .points
            .first()
            .map(|point| KeyNumber::new("efficiency", "rated torque at the mean speed", point.efficiency))
            .into_iter()
            .collect(),
        body: Body::Chart(Chart {
            x: axis_over("output_torque_n_mm", "torque on the output", (0.0, greatest), 6),
            panels: vec![Panel {
                height_paper_mm: 60.0,
                y: axis_over("efficiency", "efficiency", range, 5),
                series,
                rules: Vec::new(),
                spans: Vec::new(),
                detail_x: None,
            }],
        }),
    }
}

/// Efficiency over torque and speed as colours, with the numbers in the cells.
#[must_use]
pub fn efficiency_map(drive: &Drive, losses: &LossResult) -> Figure {
    let map = &losses.efficiency_map;
    let torques: Vec<f64> =
        map.output_torque_n_mm.iter().map(|&torque| shown("output_torque_n_mm", torque)).collect();
    let speeds: Vec<f64> =
        map.input_speed_rad_per_s.iter().map(|&speed| shown("input_speed_rad_per_s", speed)).collect();
    // One cell a computed point, all of the same size: the points lie closer at small torques.
    let cells: Vec<Vec<Option<f64>>> = (0..speeds.len())
        .map(|speed| map.efficiency.iter().map(|row| Some(shown("efficiency", row[speed]))).collect())
        .collect();
    let label = |cell: &Option<f64>| cell.map_or_else(String::new, |value| registry::format_number(value, 1));
    let values = || cells.iter().flatten().flatten().copied();
    let range = (values().fold(100.0, f64::min), values().fold(0.0, f64::max));
    let lubricant = lubricant_in_words(drive, map);
    let places = |quantity: &str, words: &str, values: &[f64]| Axis {
        quantity: quantity.to_owned(),
        label: axis_label(quantity, words),
        range: [0.0, values.len() as f64],
        ticks: values
            .iter()
            .enumerate()
            .map(|(place, &value)| Tick { value: place as f64 + 0.5, label: short(value) })
            .collect(),
    };
    let edges = |values: &[f64]| (0..=values.len()).map(|edge| edge as f64).collect();
    Figure {
        id: "efficiency-map".to_owned(),
        title: "Efficiency over torque and speed".to_owned(),
        caption: Markup::words(format!(
            "Efficiency in per cent over the torque on the output and the speed of the crank{lubricant}; one cell for each computed point, not to scale."
        )),
        description: format!(
            "Efficiency rises with torque and falls with speed, from {} % to {} %.",
            registry::format_number(range.0, 1),
            registry::format_number(range.1, 1)
        ),
        key_numbers: Vec::new(),
        body: Body::Map(Map {
            x: places("output_torque_n_mm", "torque on the output", &torques),
            panels: vec![MapPanel {
                name: "efficiency".to_owned(),
                height_paper_mm: 9.0 * speeds.len() as f64,
                y: places("input_speed_rad_per_s", "speed of the crank", &speeds),
                scale: axis_over("efficiency", "efficiency", range, 4),
                x_edges: edges(&torques),
                y_edges: edges(&speeds),
                cell_labels: cells.iter().map(|row| row.iter().map(label).collect()).collect(),
                cells,
                guides: Vec::new(),
                columns: torques,
                rows: speeds,
            }],
        }),
    }
}

/// At which temperature of the lubricant a map holds; nothing of a drive that runs dry.
fn lubricant_in_words(drive: &Drive, map: &EfficiencyMap) -> String {
    if drive.lubrication.kind == LubricantKind::Dry {
        return String::new();
    }
    format!(", lubricant at {}", registry::display("lubricant_temperature_k", map.lubricant_temperature_k))
}

/// A number with three digits or all those before its point.
fn short(value: f64) -> String {
    let digits = if value.abs() >= 99.95 { 0 } else { usize::from(value.abs() < 9.995) + 1 };
    let text = registry::format_number(value, digits);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Power lost at each kind of contact under the rated torque at the mean speed, greatest first.
#[must_use]
pub fn loss_sources(losses: &LossResult) -> Option<Figure> {
    let point = losses.points.first()?;
    let mut sources: Vec<_> = point.sources.iter().filter(|source| source.loss_power_w > 0.0).collect();
    sources.sort_by(|a, b| b.loss_power_w.total_cmp(&a.loss_power_w));
    let greatest = shown("loss_power_w", sources.first()?.loss_power_w);
    let share = |power: f64| registry::format_number(100.0 * power / point.loss_power_w, 0);
    let rows = sources
        .iter()
        .map(|source| Bar {
            label: source.title.clone(),
            value: shown("loss_power_w", source.loss_power_w),
            text: Markup::words(format!(
                "{}, {} %",
                registry::display("loss_power_w", source.loss_power_w),
                share(source.loss_power_w)
            )),
            standing: Standing::Holds,
        })
        .collect();
    Some(Figure {
        id: "loss-sources".to_owned(),
        title: "Where the power is lost".to_owned(),
        caption: Markup::words(
            "Power lost at each kind of contact under the rated torque at the mean speed.",
        ),
        description: "Bars of the power lost at each kind of contact, greatest first.".to_owned(),
        key_numbers: vec![KeyNumber::new("loss_power_w", "lost in all", point.loss_power_w)],
        body: Body::Bars(Bars { axis: axis_over("loss_power_w", "power lost", (0.0, greatest), 5), rows }),
    })
}
