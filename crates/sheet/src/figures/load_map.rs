//! Force and pressure of every ring roller and output pin over a turn of the crank, as colours.

use super::contact_load::{ContactLoad, Moment, Turn};
use super::outline;
use super::scale::{axis_over, degree_axis};
use crate::figure::{Axis, Body, Figure, KeyNumber, Map, MapPanel, Series, SeriesStyle, Tick};
use crate::markup::{Markup, Tag};
use reducer::model::Drive;
use reducer::results::LoadCase;
use reducer::units::degrees;
use std::f64::consts::TAU;

/// Heights of a panel: for each contact, and at least and at most.
const ROW_PAPER_MM: f64 = 2.6;
const LEAST_PAPER_MM: f64 = 24.0;
const MOST_PAPER_MM: f64 = 76.0;
/// Points of the line that shows where the crank points.
const GUIDE_POINTS: usize = 720;

/// Forces at every ring roller and output pin of the disc with the greatest roller force.
#[must_use]
pub fn force_map(drive: &Drive, case: &LoadCase) -> Figure {
    map(drive, case, "force", [ContactLoad::RollerForce, ContactLoad::PinForce])
}

/// Hertz pressures at every ring roller and output pin of the disc with the greatest roller pressure.
#[must_use]
pub fn pressure_map(drive: &Drive, case: &LoadCase) -> Figure {
    map(drive, case, "pressure", [ContactLoad::RollerPressure, ContactLoad::PinPressure])
}

fn map(drive: &Drive, case: &LoadCase, what: &str, loads: [ContactLoad; 2]) -> Figure {
    let turn = Turn::of(drive, case);
    let [at_roller, at_pin] = loads.map(|load| load.extreme(&case.extremes));
    let disc = at_roller.disc;
    let of_which =
        if drive.geometry.disc_count > 1 { format!(" of disc {}", disc + 1) } else { String::new() };
    let display = |load: ContactLoad, value: f64| reducer::registry::display(load.quantity(), value);
    let capital = format!("{}{}", what[..1].to_uppercase(), &what[1..]);
    Figure {
        id: format!("{what}-map-{}", case.id),
        title: format!("{capital} at every contact over a turn, {}", case.title),
        caption: Markup::words(format!(
            "{capital} at every ring roller and output pin{of_which} over one turn of the crank, {}; blank where nothing \
             touches. The dashed line is the direction of the crank: the rollers on one side of it carry.",
            case.title,
        )),
        description: format!(
            "Coloured bands that run with the crank from contact to contact; the greatest {what} is {} at a ring roller and {} \
             at an output pin.",
            display(loads[0], at_roller.value),
            display(loads[1], at_pin.value),
        ),
        key_numbers: loads
            .iter()
            .zip([at_roller, at_pin])
            .map(|(load, extreme)| {
                KeyNumber::new(load.quantity(), &format!("greatest {}", load.words()), extreme.value)
            })
            .collect(),
        body: Body::Map(Map {
            x: degree_axis("crank_angle_rad", "crank angle", (0.0, 360.0)),
            panels: loads.iter().map(|&load| panel(drive, &turn, load, disc)).collect(),
        }),
    }
}

fn panel(drive: &Drive, turn: &Turn<'_>, load: ContactLoad, disc: usize) -> MapPanel {
    let count = turn.contact_count(load);
    let value = |moment: &Moment<'_>, contact: usize| {
        turn.value(moment, load, disc, contact).filter(|value| *value > 0.0).map(|value| load.shown(value))
    };
    let row = |contact: usize| turn.moments.iter().map(|moment| value(moment, contact)).collect();
    let cells: Vec<Vec<Option<f64>>> = (0..count).map(row).collect();
    let greatest = cells.iter().flatten().flatten().copied().fold(1e-9, f64::max);
    MapPanel {
        name: load.quantity().to_owned(),
        height_paper_mm: (ROW_PAPER_MM * count as f64).clamp(LEAST_PAPER_MM, MOST_PAPER_MM),
        y: number_axis(load, count),
        scale: axis_over(load.quantity(), load.words(), (0.0, greatest), 5),
        columns: turn.moments.iter().map(|moment| degrees(moment.crank_angle_rad)).collect(),
        rows: (1..=count).map(|number| number as f64).collect(),
        x_edges: middles(turn),
        y_edges: (0..=count).map(|edge| edge as f64 + 0.5).collect(),
        cells,
        cell_labels: Vec::new(),
        guides: vec![crank_direction(drive, load, disc, count)],
    }
}

/// Contacts by their number, from one; a tick at the first and at every fifth or tenth.
fn number_axis(load: ContactLoad, count: usize) -> Axis {
    let words = if load.is_of_pins() { "output pin" } else { "ring roller" };
    let step = [1, 2, 5, 10, 20].into_iter().find(|step| count <= 10 * step).unwrap_or(50);
    // The first is left out where it would crowd the second.
    let numbers = (1..=count).filter(|number| number % step == 0 || (*number == 1 && step > 2));
    Axis {
        quantity: if load.is_of_pins() { "pin_count" } else { "ring_roller_count" }.to_owned(),
        label: Markup::tagged(Tag::Quantity, words),
        range: [0.5, count as f64 + 0.5],
        ticks: numbers.map(|number| Tick { value: number as f64, label: number.to_string() }).collect(),
    }
}

/// Edges of columns half way between the moments, from 0° to 360°.
fn middles(turn: &Turn<'_>) -> Vec<f64> {
    let angles: Vec<f64> = turn.moments.iter().map(|moment| degrees(moment.crank_angle_rad)).collect();
    let inner = angles.windows(2).map(|pair| 0.5 * (pair[0] + pair[1]));
    [0.0].into_iter().chain(inner).chain([360.0]).collect()
}

/// The place among the contacts at which the crank points, over a turn.
fn crank_direction(drive: &Drive, load: ContactLoad, disc: usize, count: usize) -> Series {
    let geometry = &drive.geometry;
    let mut pieces: Vec<Vec<[f64; 2]>> = vec![Vec::new()];
    let mut last = f64::NEG_INFINITY;
    for point in 0..=GUIDE_POINTS {
        let crank_angle = TAU * point as f64 / GUIDE_POINTS as f64;
        let throw = crank_angle + TAU * disc as f64 / geometry.disc_count as f64;
        let first = if load.is_of_pins() {
            outline::pin_angle_rad(geometry, 0, crank_angle)
        } else {
            outline::roller_angle_rad(geometry, 0)
        };
        // Half a place on, so that what leaves the field above comes in below.
        let place = ((throw - first) / TAU * count as f64 + 0.5).rem_euclid(count as f64);
        if place < last {
            pieces.push(Vec::new());
        }
        last = place;
        if let Some(piece) = pieces.last_mut() {
            piece.push([degrees(crank_angle), place + 0.5]);
        }
    }
    Series {
        name: format!("{}-crank", load.quantity()),
        label: Markup::words("direction of the crank"),
        style: SeriesStyle::Quiet,
        pieces,
    }
}
