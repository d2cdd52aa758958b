//! Force and pressure at one ring roller and one output pin over a turn of the crank.

use super::curvature::bounds;
use super::scale::{axis_over, degree_axis, shown};
use crate::figure::{Body, Chart, Figure, KeyNumber, Panel, Rule, Series, SeriesStyle};
use crate::markup::Markup;
use reducer::finding::Finding;
use reducer::kinematics;
use reducer::model::Drive;
use reducer::results::{DiscState, LoadCase, Pose};
use reducer::units::degrees;
use std::f64::consts::TAU;

/// Loads over one turn of the crank: at the roller and the pin that are loaded most, and at any of them.
#[must_use]
pub fn load_over_turn(drive: &Drive, case: &LoadCase, findings: &[Finding]) -> Figure {
    let (roller, pin) = (case.extremes.ring_roller_force, case.extremes.output_pin_force);
    let rollers = Kind { drive, case, disc: roller.disc, contact: roller.contact, is_pin: false };
    let pins = Kind { drive, case, disc: pin.disc, contact: pin.contact, is_pin: true };
    // The limit of these peaks with real gaps is the one that was set for this load case.
    let limit = |stem: &str| {
        let id = format!("{stem}-{}", case.id);
        findings.iter().find(|finding| finding.id == id).and_then(|finding| finding.limit)
    };
    let panels = vec![
        rollers.panel("ring_roller_force_n", "force at a ring roller", force_at_roller, None),
        rollers.panel(
            "ring_roller_pressure_mpa",
            "pressure at a ring roller",
            |disc| &disc.ring_roller_pressure_mpa,
            limit("roller-pressure"),
        ),
        pins.panel("output_pin_force_n", "force at an output pin", |disc| &disc.output_pin_force_n, None),
        pins.panel(
            "output_pin_pressure_mpa",
            "pressure at an output pin",
            |disc| &disc.output_pin_pressure_mpa,
            limit("pin-pressure"),
        ),
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
        body: Body::Chart(Chart { x: degree_axis("crank_angle_rad", "crank angle", (0.0, 360.0)), panels }),
    }
}

fn force_at_roller(disc: &DiscState) -> &Vec<f64> {
    &disc.ring_roller_force_n
}

/// One kind of contact of a load case, and the one of them that is shown by itself.
struct Kind<'a> {
    drive: &'a Drive,
    case: &'a LoadCase,
    disc: usize,
    contact: usize,
    is_pin: bool,
}

impl Kind<'_> {
    fn panel(
        &self,
        quantity: &str,
        words: &str,
        values: fn(&DiscState) -> &Vec<f64>,
        limit: Option<f64>,
    ) -> Panel {
        let to_shown = |angle: f64, value: f64| [degrees(angle), shown(quantity, value)];
        let turn = self.over_a_turn();
        let one: Vec<[f64; 2]> = turn
            .iter()
            .filter_map(|&(angle, pose, contact)| {
                let disc = pose.discs.get(self.disc)?;
                Some(to_shown(angle, *values(disc).get(contact)?))
            })
            .collect();
        let any: Vec<[f64; 2]> = turn
            .iter()
            .map(|&(angle, pose, _)| {
                let all = pose.discs.iter().flat_map(|disc| values(disc).iter().copied());
                to_shown(angle, all.fold(0.0, f64::max))
            })
            .collect();
        // A limit far above everything would press the curves flat; the table of checks has it.
        let peak = bounds(any.iter().map(|point| point[1])).1.max(1e-9);
        let limit_shown = limit.map(|limit| shown(quantity, limit)).filter(|&limit| limit < 2.0 * peak);
        let high = limit_shown.map_or(peak, |limit| limit.max(peak));
        let (noun, number) = (if self.is_pin { "pin" } else { "roller" }, self.contact + 1);
        let series = |name: &str, label: String, style: SeriesStyle, points: Vec<[f64; 2]>| Series {
            name: format!("{quantity}-{name}"),
            label: Markup::words(label),
            style,
            pieces: vec![points],
        };
        Panel {
            height_paper_mm: 31.0,
            y: axis_over(quantity, words, (0.0, high), 4),
            series: vec![
                series("one", format!("{noun} {number}"), SeriesStyle::First, one),
                series("any", format!("greatest at any {noun}"), SeriesStyle::Second, any),
            ],
            rules: limit_shown
                .map(|value| Rule { is_level: true, value, label: Markup::words("limit"), is_limit: true })
                .into_iter()
                .collect(),
        }
    }

    /// Crank angles from 0 to 2π with the pose that holds there and the number that the contact has in it.
    ///
    /// Poses cover the pin period only. One period later all contacts stand as before but turned by the
    /// period: rollers by `m` places, where the period has m roller pitches, and pins by `m w/z_l` places.
    fn over_a_turn(&self) -> Vec<(f64, &Pose, usize)> {
        let geometry = &self.drive.geometry;
        let pitches = kinematics::roller_periods_in_pin_period(geometry);
        let period = kinematics::roller_period_rad(geometry) * pitches as f64;
        let (count, shift) = if self.is_pin {
            (geometry.pin_count, pitches * geometry.pin_count / kinematics::lobe_count(geometry))
        } else {
            (geometry.ring_roller_count, pitches)
        };
        let mut turn = Vec::new();
        let period_count = (TAU / period).ceil() as usize + 1;
        for passed in 0..period_count {
            let back = (shift * passed) % count;
            let contact = (self.contact + count - back) % count;
            for pose in &self.case.poses {
                let angle = pose.crank_angle_rad + passed as f64 * period;
                if angle <= TAU * (1.0 + 1e-12) {
                    turn.push((angle, pose, contact));
                }
            }
        }
        turn
    }
}
