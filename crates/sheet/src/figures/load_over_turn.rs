//! Force and pressure at one ring roller and one output pin over a turn of the crank.

use super::contact_load::{ContactLoad, Moment, Turn};
use super::scale::degree_axis;
use crate::figure::{Body, Chart, Figure, KeyNumber, Panel, SeriesStyle};
use crate::markup::Markup;
use reducer::finding::Finding;
use reducer::model::Drive;
use reducer::results::{Extreme, LoadCase};
use reducer::units::degrees;

/// Loads over one turn of the crank: at the roller and the pin that are loaded most, and at any of them.
#[must_use]
pub fn load_over_turn(drive: &Drive, case: &LoadCase, findings: &[Finding]) -> Figure {
    let (roller, pin) = (case.extremes.ring_roller_force, case.extremes.output_pin_force);
    // The limit of these peaks with real gaps is the one that was set for this load case.
    let limit = |stem: &str| {
        let id = format!("{stem}-{}", case.id);
        findings.iter().find(|finding| finding.id == id).and_then(|finding| finding.limit)
    };
    let turn = Turn::of(drive, case);
    let panels = vec![
        panel(&turn, ContactLoad::RollerForce, roller, None),
        panel(&turn, ContactLoad::RollerPressure, roller, limit("roller-pressure")),
        panel(&turn, ContactLoad::PinForce, pin, None),
        panel(&turn, ContactLoad::PinPressure, pin, limit("pin-pressure")),
    ];
    let extremes = &case.extremes;
    Figure {
        id: format!("load-over-turn-{}", case.id),
        title: format!("Loads over a turn of the crank, {}", case.title),
        caption: Markup::words(format!(
            "Loads over one turn of the crank, {}: at ring roller {} on disc {} and output pin {} on disc {}, \
             where the greatest forces act, and the greatest at any roller or pin of any disc.",
            case.title,
            roller.contact + 1,
            roller.disc + 1,
            pin.contact + 1,
            pin.disc + 1,
        )),
        description: format!(
            "A ring roller carries over about half a turn, up to {}; an output pin up to {}.",
            reducer::registry::display("ring_roller_force_n", roller.value),
            reducer::registry::display("output_pin_force_n", pin.value),
        ),
        key_numbers: vec![
            KeyNumber::new("ring_roller_force_n", "greatest force at a ring roller", roller.value),
            KeyNumber::new(
                "ring_roller_pressure_mpa",
                "greatest pressure there",
                extremes.ring_roller_pressure.value,
            ),
            KeyNumber::new("output_pin_force_n", "greatest force at an output pin", pin.value),
            KeyNumber::new(
                "output_pin_pressure_mpa",
                "greatest pressure there",
                extremes.output_pin_pressure.value,
            ),
        ],
        body: Body::Chart(Chart { x: degree_axis("crank_angle_rad", "crank angle", (0.0, END_DEG)), panels }),
    }
}

/// The end of the turn in degrees.
const END_DEG: f64 = 360.0;

/// A curve over the turn to its very end, which lies on the line to the point that follows.
fn within_turn(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    if let [.., [x0, y0], [x1, y1]] = points[..]
        && x1 > END_DEG * (1.0 + 1e-9)
    {
        points.pop();
        points.push([END_DEG, y0 + (y1 - y0) * (END_DEG - x0) / (x1 - x0)]);
    }
    points
}

/// A load at one contact and the greatest at any, over a turn of the crank.
fn panel(turn: &Turn<'_>, load: ContactLoad, at: Extreme, limit: Option<f64>) -> Panel {
    let moments = || turn.moments.iter().chain(&turn.following);
    let place = |moment: &Moment<'_>, value: f64| [degrees(moment.crank_angle_rad), load.shown(value)];
    let one = moments()
        .filter_map(|moment| turn.value(moment, load, at.disc, at.contact).map(|value| place(moment, value)));
    let any = moments().map(|moment| {
        let all = moment.pose.discs.iter().flat_map(|disc| load.values(disc).iter().copied());
        place(moment, all.fold(0.0, f64::max))
    });
    let (noun, number) = (load.noun(), at.contact + 1);
    let curves = vec![
        ("one", format!("{noun} {number}"), SeriesStyle::First, within_turn(one.collect())),
        ("any", format!("greatest at any {noun}"), SeriesStyle::Second, within_turn(any.collect())),
    ];
    load.panel(31.0, curves, limit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_a_curve_goes_to_the_end_of_the_turn() {
        assert_eq!(
            within_turn(vec![[0.0, 1.0], [350.0, 2.0], [370.0, 4.0]]),
            [[0.0, 1.0], [350.0, 2.0], [360.0, 3.0]]
        );
        assert_eq!(within_turn(vec![[0.0, 1.0], [360.0, 2.0]]), [[0.0, 1.0], [360.0, 2.0]]);
        assert_eq!(within_turn(vec![[0.0, 1.0]]), [[0.0, 1.0]]);
    }
}
