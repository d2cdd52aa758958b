//! The torque–twist loop with friction: both branches and their mid-line, and at a larger scale what the trade reads off near no torque.

use super::scale::{axis_over, shown};
use crate::figure::{Axis, Body, Chart, Figure, KeyNumber, Panel, Rule, Series, SeriesStyle, Span};
use crate::markup::{Markup, Tag};
use reducer::accuracy::hysteresis::reading::{Branches, LOST_MOTION_SHARE};
use reducer::model::Drive;
use reducer::registry;
use reducer::results::{HysteresisResult, LoopPoint, LoopReading};

/// Share of the rated torque that the detail shows, either way.
const DETAIL_SHARE: f64 = 0.12;
/// Places of the dimension lines in the detail, as shares of half its width.
const WIDTH_PLACE: f64 = -0.93;
const PLAY_PLACE: f64 = -0.58;
const LOST_MOTION_PLACE: f64 = 0.5;

/// Room in the detail for the names of upright lines, so that no curve runs through them.
const LABEL_SHARE: f64 = 0.12;

/// The loop at the crank angle of the greatest lost motion; `None` where there is no loop, as friction lets nothing move.
#[must_use]
pub fn torque_twist(drive: &Drive, result: &HysteresisResult) -> Option<Figure> {
    let at = result.readings.iter().find(|at| at.crank_angle_rad == result.shown.crank_angle_rad)?;
    let branches = Branches::of(&result.shown.points)?;
    let curves = Curves::of(&branches, drive.requirement.rated_torque_n_mm);
    let reading = &at.reading;
    let angle = registry::display("crank_angle_rad", at.crank_angle_rad);
    let width = registry::display("hysteresis_width_rad", reading.hysteresis_width_rad);
    let lost_motion = registry::display("lost_motion_rad", reading.lost_motion_rad);
    Some(Figure {
        id: "torque-twist".to_owned(),
        title: "Torque–twist loop".to_owned(),
        caption: Markup::words(format!(
            "Twist of the output as the torque on it goes slowly to the rated torque either way, crank held at {angle}, where the lost motion is greatest; \
             nominal parts with friction. After a reversal the twist stays until friction has turned round. Below, the loop near no torque: \
             its width there, the free play, and the lost motion between ±3 % of the rated torque on the mid-line.",
        )),
        description: format!(
            "A loop of twist over torque, {width} wide at no torque, with a lost motion of {lost_motion} and a friction torque of {} at the output.",
            registry::display("output_friction_torque_n_mm", result.output_friction_torque_n_mm),
        ),
        key_numbers: key_numbers(result, reading, at.free_play_rad),
        body: Body::Chart(Chart {
            x: axis_over("output_torque_n_mm", "torque on the output", (-curves.rated, curves.rated), 8),
            panels: vec![curves.whole(), curves.detail(&branches, reading)],
        }),
    })
}

fn key_numbers(result: &HysteresisResult, reading: &LoopReading, free_play_rad: f64) -> Vec<KeyNumber> {
    let stiffness = [
        (
            "mid_line_stiffness_n_mm_per_rad",
            "stiffness, half to full torque, mid-line",
            reading.mid_line_stiffness_n_mm_per_rad,
        ),
        (
            "loading_stiffness_n_mm_per_rad",
            "stiffness, half to full torque, load growing",
            reading.loading_stiffness_n_mm_per_rad,
        ),
    ];
    let friction = result.output_friction_torque_n_mm;
    let mut numbers = vec![
        KeyNumber::new("lost_motion_rad", "lost motion on the mid-line", reading.lost_motion_rad),
        KeyNumber::new("hysteresis_width_rad", "width at no torque", reading.hysteresis_width_rad),
        KeyNumber::new("free_play_rad", "free play", free_play_rad),
        KeyNumber::new("output_friction_torque_n_mm", "friction at the output", friction),
    ];
    numbers.extend(
        stiffness
            .into_iter()
            .filter_map(|(quantity, label, value)| Some(KeyNumber::new(quantity, label, value?))),
    );
    numbers.push(KeyNumber::new("loop_loss_n_mm", "work of friction in a loop", reading.loop_loss_n_mm));
    numbers
}

/// Torque and twist of the curves, in the units shown.
struct Curves {
    rated_n_mm: f64,
    rated: f64,
    falling: Vec<[f64; 2]>,
    rising: Vec<[f64; 2]>,
    mid_line: Vec<[f64; 2]>,
}

impl Curves {
    fn of(branches: &Branches<'_>, rated_n_mm: f64) -> Self {
        let curve = |points: &[LoopPoint]| points.iter().map(|point| on_paper(*point)).collect();
        Self {
            rated_n_mm,
            rated: shown("output_torque_n_mm", rated_n_mm),
            falling: curve(branches.falling),
            rising: curve(branches.rising),
            mid_line: mid_line(branches, rated_n_mm),
        }
    }

    /// The curves with a name and a label each, cut to a range of torque.
    fn series(&self, suffix: &str, range: [f64; 2]) -> Vec<Series> {
        let one = |name: &str, label: &str, style: SeriesStyle, points: &[[f64; 2]]| Series {
            name: format!("{name}{suffix}"),
            label: Markup::words(label),
            style,
            pieces: vec![within(points, range)],
        };
        vec![
            one("rising", "torque rises", SeriesStyle::First, &self.rising),
            one("falling", "torque falls", SeriesStyle::Second, &self.falling),
            one("mid-line", "mid-line", SeriesStyle::Third, &self.mid_line),
        ]
    }

    fn whole(&self) -> Panel {
        let series = self.series("", [-self.rated, self.rated]);
        Panel {
            height_paper_mm: 62.0,
            y: twist_axis("twist of the output", &series, &[], 0.0),
            series,
            rules: vec![level_zero()],
            spans: Vec::new(),
            detail_x: None,
        }
    }

    fn detail(&self, branches: &Branches<'_>, reading: &LoopReading) -> Panel {
        let half = DETAIL_SHARE * self.rated;
        let x = axis_over("output_torque_n_mm", "torque on the output", (-half, half), 8);
        let series = self.series("-near", x.range);
        let spans = self.spans(branches, reading, &x);
        Panel {
            height_paper_mm: 62.0,
            y: twist_axis("twist near no torque", &series, &spans, LABEL_SHARE),
            series,
            rules: [-1.0, 1.0]
                .map(|sense| Rule {
                    is_level: false,
                    value: sense * LOST_MOTION_SHARE * self.rated,
                    label: Markup::words(if sense < 0.0 { "−3 %" } else { "+3 %" }),
                    is_limit: false,
                })
                .to_vec(),
            spans,
            detail_x: Some(x),
        }
    }

    /// Width, free play where there is any, lost motion.
    fn spans(&self, branches: &Branches<'_>, reading: &LoopReading, x: &Axis) -> Vec<Span> {
        let half = x.range[1];
        let small_n_mm = [-LOST_MOTION_SHARE, LOST_MOTION_SHARE].map(|share| share * self.rated_n_mm);
        let mut spans = Vec::new();
        if let Some([falling, rising]) = branches.twists_rad(0.0) {
            spans.push(Span {
                x: WIDTH_PLACE * half,
                from: [0.0, twist(rising)],
                to: [0.0, twist(falling)],
                label: named("hysteresis_width_rad", reading.hysteresis_width_rad),
            });
        }
        if let Some([low, high]) = play_step(branches) {
            let [from, to] = [low, high].map(on_paper);
            let play = high.twist_rad - low.twist_rad;
            if from[0].abs() < half {
                spans.push(Span { x: PLAY_PLACE * half, from, to, label: named("free_play_rad", play) });
            }
        }
        let ends = small_n_mm.map(|torque| branches.mid_line_rad(torque).map(|middle| (torque, middle)));
        if let [Some(low), Some(high)] = ends {
            let [from, to] = [low, high]
                .map(|(output_torque_n_mm, twist_rad)| on_paper(LoopPoint { output_torque_n_mm, twist_rad }));
            let label = named("lost_motion_rad", reading.lost_motion_rad);
            spans.push(Span { x: LOST_MOTION_PLACE * half, from, to, label });
        }
        spans.retain(|span| span.to[1] > span.from[1]);
        spans
    }
}

/// Both ends of the step with which the falling branch crosses the play, the lower one first.
fn play_step(branches: &Branches<'_>) -> Option<[LoopPoint; 2]> {
    let steps = branches.falling.windows(2).filter(|pair| {
        pair[0].output_torque_n_mm == pair[1].output_torque_n_mm && pair[0].twist_rad > pair[1].twist_rad
    });
    let largest = steps.max_by(|a, b| {
        let height = |pair: &[LoopPoint]| pair[0].twist_rad - pair[1].twist_rad;
        height(a).total_cmp(&height(b))
    });
    largest.map(|pair| [pair[1], pair[0]])
}

/// The mid-line at every torque of both branches, a hair before it and a hair after it, as play makes steps.
fn mid_line(branches: &Branches<'_>, rated_n_mm: f64) -> Vec<[f64; 2]> {
    let hair = 1e-6 * rated_n_mm;
    let both = branches.falling.iter().chain(branches.rising);
    let mut torques: Vec<f64> = both
        .flat_map(|point| [point.output_torque_n_mm - hair, point.output_torque_n_mm + hair])
        .filter(|torque| torque.abs() < rated_n_mm)
        .chain([-rated_n_mm, rated_n_mm])
        .collect();
    torques.sort_by(f64::total_cmp);
    torques.dedup();
    let point = |output_torque_n_mm: f64| {
        let twist_rad = branches.mid_line_rad(output_torque_n_mm)?;
        Some(on_paper(LoopPoint { output_torque_n_mm, twist_rad }))
    };
    torques.into_iter().filter_map(point).collect()
}

fn twist(value_rad: f64) -> f64 {
    shown("twist_rad", value_rad)
}

fn on_paper(point: LoopPoint) -> [f64; 2] {
    [shown("output_torque_n_mm", point.output_torque_n_mm), twist(point.twist_rad)]
}

/// Symbol and value of a quantity.
fn named(quantity: &str, value: f64) -> Markup {
    let symbol = registry::quantity(quantity).map_or("", |entry| entry.symbol.as_str());
    Markup::tagged(Tag::Symbol, symbol)
        .and(Tag::Words, "\u{a0}= ")
        .and(Tag::Value, registry::display(quantity, value))
}

fn level_zero() -> Rule {
    Rule { is_level: true, value: 0.0, label: Markup::default(), is_limit: false }
}

/// An axis over all that a panel shows, with a share of that as room above it.
fn twist_axis(words: &str, series: &[Series], spans: &[Span], room_share: f64) -> Axis {
    let curves = series.iter().flat_map(|series| &series.pieces).flatten().map(|point| point[1]);
    let all = curves.chain(spans.iter().flat_map(|span| [span.from[1], span.to[1]]));
    let (low, high) = all.fold((0.0_f64, 0.0_f64), |(low, high), value| (low.min(value), high.max(value)));
    axis_over("twist_rad", words, (low, high + room_share * (high - low)), 6)
}

/// A curve, in either order, cut to a range of torque.
fn within(points: &[[f64; 2]], range: [f64; 2]) -> Vec<[f64; 2]> {
    let is_inside = |point: &[f64; 2]| point[0] >= range[0] && point[0] <= range[1];
    let mut kept = Vec::with_capacity(points.len());
    for (index, point) in points.iter().enumerate() {
        if let Some(before) = index.checked_sub(1).map(|before| points[before]) {
            let mut crossed: Vec<f64> =
                range.into_iter().filter(|edge| (before[0] - edge) * (point[0] - edge) < 0.0).collect();
            crossed.sort_by(|a, b| (a - before[0]).abs().total_cmp(&(b - before[0]).abs()));
            kept.extend(crossed.into_iter().map(|edge| {
                let share = (edge - before[0]) / (point[0] - before[0]);
                [edge, before[1] + share * (point[1] - before[1])]
            }));
        }
        if is_inside(point) {
            kept.push(*point);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_curves_are_cut_where_they_cross_the_edges_of_a_range() {
        let points = [[-4.0, -8.0], [4.0, 8.0]];
        assert_eq!(within(&points, [-1.0, 1.0]), [[-1.0, -2.0], [1.0, 2.0]]);
        let back: Vec<[f64; 2]> = points.iter().rev().copied().collect();
        assert_eq!(within(&back, [-1.0, 1.0]), [[1.0, 2.0], [-1.0, -2.0]]);
        assert_eq!(within(&[[0.0, 1.0], [2.0, 3.0]], [-1.0, 1.0]), [[0.0, 1.0], [1.0, 2.0]]);
    }
}
