//! Drawings as SVG: geometry to one scale, dimension lines and callouts around it.

use super::WIDTH_PAPER_MM;
use super::paper::{Paper, SMALL_MM, TEXT_MM, Type, pair, width_mm};
use crate::figure::{
    Anchor, Callout, Contour, Dimension, Drawing, Fill, LeaderEnd, LegendEntry, Mark, Pen, Side, Step,
};
use crate::markup::Markup;
use crate::metrics;
use curves::math;
use curves::point::unit;

/// Length of the arrowheads of dimension lines.
const DIMENSION_HEAD_MM: f64 = 2.4;
/// Length of the heads of force arrows.
const FORCE_HEAD_MM: f64 = 2.2;
/// Gap between a point and its extension line.
const EXTENSION_GAP_MM: f64 = 0.8;
/// How far an extension line runs beyond the dimension line.
const EXTENSION_OVERRUN_MM: f64 = 1.4;
/// Distance of callouts in a column, from line to line.
const CALLOUT_PITCH_MM: f64 = 9.5;
/// Gap between a leader and the column of callouts.
const CALLOUT_INSET_MM: f64 = 1.0;

/// The map from millimetres of the part to millimetres on paper.
struct Scale {
    paper_per_mm: f64,
    left_mm: f64,
    top_mm: f64,
    origin_paper_mm: [f64; 2],
}

impl Scale {
    fn of(drawing: &Drawing) -> Self {
        let [left, right, top, _] = drawing.margin_paper_mm;
        let width_mm = drawing.max_mm[0] - drawing.min_mm[0];
        Self {
            paper_per_mm: (WIDTH_PAPER_MM - left - right) / width_mm,
            left_mm: drawing.min_mm[0],
            top_mm: drawing.max_mm[1],
            origin_paper_mm: [left, top],
        }
    }

    fn point(&self, point_mm: [f64; 2]) -> [f64; 2] {
        [
            self.origin_paper_mm[0] + (point_mm[0] - self.left_mm) * self.paper_per_mm,
            self.origin_paper_mm[1] + (self.top_mm - point_mm[1]) * self.paper_per_mm,
        ]
    }

    fn length(&self, length_mm: f64) -> f64 {
        length_mm * self.paper_per_mm
    }
}

/// Draws a drawing with its callouts and legend.
pub fn draw(paper: &mut Paper, drawing: &Drawing) {
    let scale = Scale::of(drawing);
    let [_, _, top, bottom] = drawing.margin_paper_mm;
    let height = scale.length(drawing.max_mm[1] - drawing.min_mm[1]);
    paper.height_mm = top + height + bottom;
    for mark in &drawing.marks {
        draw_mark(paper, &scale, mark);
    }
    for side in [Side::Left, Side::Right] {
        draw_callouts(paper, &scale, drawing, side);
    }
    draw_legend(paper, &drawing.legend);
}

fn draw_mark(paper: &mut Paper, scale: &Scale, mark: &Mark) {
    match mark {
        Mark::Group { name, marks } => {
            paper.open_group(name);
            for mark in marks {
                draw_mark(paper, scale, mark);
            }
            paper.close_group();
        }
        Mark::Path { pen, fill, contours } => {
            let data: String = contours.iter().map(|contour| contour_data(scale, contour)).collect();
            fill_path(paper, *fill, &data);
            stroke_path(paper, *pen, &data);
        }
        Mark::Circle { centre_mm, radius_mm, pen, fill } => {
            draw_circle(paper, scale, (*centre_mm, *radius_mm), *pen, *fill);
        }
        Mark::Polyline { pen, points_mm } => {
            let points: Vec<[f64; 2]> = points_mm.iter().map(|&point| scale.point(point)).collect();
            paper.polyline(pen_class(*pen), &points);
        }
        Mark::Arrow { pen, tail_mm, tip_mm } => {
            draw_arrow(paper, *pen, scale.point(*tail_mm), scale.point(*tip_mm));
        }
        Mark::TurnArrow { centre_mm, radius_mm, from_rad, to_rad } => {
            draw_turn_arrow(paper, scale, (*centre_mm, *radius_mm), (*from_rad, *to_rad));
        }
        Mark::Dot { pen, at_mm } => paper.circle(head_class(*pen), scale.point(*at_mm), 0.6),
        Mark::Label { at_mm, offset_paper_mm, anchor, text } => {
            let at = scale.point(*at_mm);
            let place = [at[0] + offset_paper_mm[0], at[1] - offset_paper_mm[1]];
            paper.text_on_patch(Type::Text, place, *anchor, text);
        }
        Mark::CentreLines { centre_mm, reach_mm, angle_rad } => {
            for angle in [*angle_rad, angle_rad + std::f64::consts::FRAC_PI_2] {
                let reach = unit(angle) * *reach_mm;
                let from = scale.point([centre_mm[0] - reach.x, centre_mm[1] - reach.y]);
                let to = scale.point([centre_mm[0] + reach.x, centre_mm[1] + reach.y]);
                paper.line("f-centre", from, to);
            }
        }
        Mark::Dimension(dimension) => draw_dimension(paper, scale, dimension),
    }
}

/// A contour in its own millimetres, y upwards, as the data of an SVG path; four decimals.
pub fn contour_data_mm(contour: &Contour) -> String {
    let pair = |[x, y]: [f64; 2]| format!("{} {}", short(x), short(y));
    let mut data = format!("M{}", pair(contour.start_mm));
    for step in &contour.steps {
        data.push_str(&match *step {
            Step::Line { to_mm } => format!("L{}", pair(to_mm)),
            Step::Arc { to_mm, radius_mm, large, anticlockwise } => {
                let (large, sweep) = (u8::from(large), u8::from(anticlockwise));
                format!("A{} 0 {large} {sweep} {}", pair([radius_mm, radius_mm]), pair(to_mm))
            }
            Step::Cubic { first_mm, second_mm, to_mm } => {
                format!("C{}", [first_mm, second_mm, to_mm].map(pair).join(" "))
            }
        });
    }
    if contour.closed {
        data.push('Z');
    }
    data
}

/// A number with at most four decimals, no trailing zeros, no −0.
fn short(value: f64) -> String {
    let text = format!("{value:.4}");
    let trimmed = text.trim_end_matches('0').trim_end_matches('.');
    if trimmed == "-0" { "0".to_owned() } else { trimmed.to_owned() }
}

fn contour_data(scale: &Scale, contour: &Contour) -> String {
    let mut data = format!("M{}", pair(scale.point(contour.start_mm)));
    for step in &contour.steps {
        data.push_str(&match *step {
            Step::Line { to_mm } => format!("L{}", pair(scale.point(to_mm))),
            Step::Arc { to_mm, radius_mm, large, anticlockwise } => {
                let radius = scale.length(radius_mm);
                // The y axis of SVG points down, so anticlockwise here is its negative sense.
                let (large, sweep) = (u8::from(large), u8::from(!anticlockwise));
                format!("A{} 0 {large} {sweep} {}", pair([radius, radius]), pair(scale.point(to_mm)))
            }
            Step::Cubic { first_mm, second_mm, to_mm } => {
                let points = [first_mm, second_mm, to_mm].map(|point| pair(scale.point(point)));
                format!("C{}", points.join(" "))
            }
        });
    }
    if contour.closed {
        data.push('Z');
    }
    data
}

fn fill_path(paper: &mut Paper, fill: Fill, data: &str) {
    match fill {
        Fill::None => {}
        Fill::Sheet => paper.even_odd_path("f-fill-sheet", data),
        Fill::Tint => paper.even_odd_path("f-fill-tint", data),
        Fill::DeepTint => paper.even_odd_path("f-fill-deep-tint", data),
        Fill::HatchRight => paper.hatched_path("hatch-right", data),
        Fill::HatchLeft => paper.hatched_path("hatch-left", data),
    }
}

fn stroke_path(paper: &mut Paper, pen: Pen, data: &str) {
    if pen != Pen::None {
        paper.path(pen_class(pen), data);
    }
}

fn draw_circle(
    paper: &mut Paper,
    scale: &Scale,
    (centre_mm, radius_mm): ([f64; 2], f64),
    pen: Pen,
    fill: Fill,
) {
    let (centre, radius) = (scale.point(centre_mm), scale.length(radius_mm));
    match fill {
        Fill::None => {}
        Fill::Sheet => paper.circle("f-fill-sheet", centre, radius),
        Fill::Tint => paper.circle("f-fill-tint", centre, radius),
        Fill::DeepTint => paper.circle("f-fill-deep-tint", centre, radius),
        Fill::HatchLeft | Fill::HatchRight => {
            let (left, right) = ([centre[0] - radius, centre[1]], [centre[0] + radius, centre[1]]);
            let arc = format!("A{} 0 1 0 ", pair([radius, radius]));
            fill_path(paper, fill, &format!("M{}{arc}{}{arc}{}Z", pair(left), pair(right), pair(left)));
        }
    }
    if pen != Pen::None {
        paper.circle(pen_class(pen), centre, radius);
    }
}

fn draw_arrow(paper: &mut Paper, pen: Pen, tail: [f64; 2], tip: [f64; 2]) {
    let along = [tip[0] - tail[0], tip[1] - tail[1]];
    let length = math::hypot(along[0], along[1]);
    if length < 0.2 {
        return;
    }
    let head = FORCE_HEAD_MM.min(length);
    let neck = 1.0 - 0.8 * head / length;
    let end = [tail[0] + along[0] * neck, tail[1] + along[1] * neck];
    paper.line(pen_class(pen), tail, end);
    paper.arrowhead(head_class(pen), tip, along, head);
}

fn draw_turn_arrow(
    paper: &mut Paper,
    scale: &Scale,
    (centre_mm, radius_mm): ([f64; 2], f64),
    (from_rad, to_rad): (f64, f64),
) {
    let at = |angle: f64| {
        let place = unit(angle) * radius_mm;
        scale.point([centre_mm[0] + place.x, centre_mm[1] + place.y])
    };
    let radius = scale.length(radius_mm);
    let sense = (to_rad - from_rad).signum();
    let head_angle = to_rad - sense * 0.8 * DIMENSION_HEAD_MM / radius;
    let large = u8::from((to_rad - from_rad).abs() > std::f64::consts::PI);
    let sweep = u8::from(sense < 0.0);
    let arc = format!("A{} 0 {large} {sweep} ", pair([radius, radius]));
    paper.path("f-fine-edge", &format!("M{}{arc}{}", pair(at(from_rad)), pair(at(head_angle))));
    let (tip, back) = (at(to_rad), at(to_rad - sense * DIMENSION_HEAD_MM / radius));
    paper.arrowhead("f-dimension-head", tip, [tip[0] - back[0], tip[1] - back[1]], DIMENSION_HEAD_MM);
}

fn draw_dimension(paper: &mut Paper, scale: &Scale, dimension: &Dimension) {
    // Unit vectors on paper: away from the part, and along the dimension line.
    let away = unit(dimension.away_rad);
    let away = [away.x, -away.y];
    let (from, to) = (scale.point(dimension.from_mm), scale.point(dimension.to_mm));
    let along_raw = [to[0] - from[0], to[1] - from[1]];
    let lift = along_raw[0] * away[0] + along_raw[1] * away[1];
    let distance = scale.length(dimension.reach_mm) + dimension.offset_paper_mm;
    let shifted = |point: [f64; 2], by: f64| [point[0] + away[0] * by, point[1] + away[1] * by];
    let (start, end) = (shifted(from, distance), shifted(to, distance - lift));
    for (point, by) in [(from, distance), (to, distance - lift)] {
        paper.line(
            "f-dimension",
            shifted(point, EXTENSION_GAP_MM),
            shifted(point, by + EXTENSION_OVERRUN_MM),
        );
    }
    dimension_line(paper, start, end, &dimension.text);
}

/// The dimension line with its heads inside where they and the text fit, outside otherwise.
fn dimension_line(paper: &mut Paper, start: [f64; 2], end: [f64; 2], text: &Markup) {
    let length = math::hypot(end[0] - start[0], end[1] - start[1]);
    let along = [(end[0] - start[0]) / length, (end[1] - start[1]) / length];
    let text_width = width_mm(text, TEXT_MM);
    let at = |distance: f64| [start[0] + along[0] * distance, start[1] + along[1] * distance];
    let back = [-along[0], -along[1]];
    let is_wide = length > text_width + 2.0 * DIMENSION_HEAD_MM + 2.0;
    let middle = if is_wide {
        paper.line("f-dimension", start, end);
        paper.arrowhead("f-dimension-head", start, back, DIMENSION_HEAD_MM);
        paper.arrowhead("f-dimension-head", end, along, DIMENSION_HEAD_MM);
        0.5 * length
    } else {
        let tail = DIMENSION_HEAD_MM + 2.0;
        paper.line("f-dimension", at(-tail - text_width - 1.0), at(length + tail));
        paper.arrowhead("f-dimension-head", start, along, DIMENSION_HEAD_MM);
        paper.arrowhead("f-dimension-head", end, back, DIMENSION_HEAD_MM);
        -tail - 0.5 * text_width - 0.5
    };
    // Text reads from below or from the right: its direction never points left, and upwards when upright.
    let flip = along[0] < -1e-9 || (along[0].abs() <= 1e-9 && along[1] > 0.0);
    let reading = if flip { back } else { along };
    let up = [reading[1] * 0.9, -reading[0] * 0.9];
    let place = [at(middle)[0] + up[0], at(middle)[1] + up[1]];
    let turn_deg = reducer::units::degrees(math::atan2(reading[1], reading[0]));
    paper.turned_text(Type::Text, place, Anchor::Middle, text, turn_deg);
}

fn draw_callouts(paper: &mut Paper, scale: &Scale, drawing: &Drawing, side: Side) {
    let middle = scale.point([
        0.5 * (drawing.min_mm[0] + drawing.max_mm[0]),
        0.5 * (drawing.min_mm[1] + drawing.max_mm[1]),
    ]);
    let half_height = 0.5 * scale.length(drawing.max_mm[1] - drawing.min_mm[1]);
    // Where a ray from the middle through the target would leave the geometry, so that leaders fan out.
    let wish = |callout: &Callout| {
        let target = scale.point(callout.target_mm);
        let (x, y) = ((target[0] - middle[0]).abs(), target[1] - middle[1]);
        middle[1] + half_height * y / math::hypot(x, y).max(1e-9)
    };
    let mut placed: Vec<(f64, &Callout)> = drawing
        .callouts
        .iter()
        .filter(|callout| callout.side == side)
        .map(|callout| (wish(callout), callout))
        .collect();
    placed.sort_by(|a, b| a.0.total_cmp(&b.0));
    spread(&mut placed, 6.0, middle[1] + half_height - 2.0);
    for (height, callout) in placed {
        draw_callout(paper, scale, callout, height);
    }
}

/// Moves heights apart to the pitch of callouts, keeping their order, between two bounds.
fn spread(placed: &mut [(f64, &Callout)], least: f64, most: f64) {
    let mut floor = least;
    for (height, _) in placed.iter_mut() {
        *height = height.max(floor);
        floor = *height + CALLOUT_PITCH_MM;
    }
    let mut ceiling = most;
    for (height, _) in placed.iter_mut().rev() {
        *height = height.min(ceiling);
        ceiling = *height - CALLOUT_PITCH_MM;
    }
}

fn draw_callout(paper: &mut Paper, scale: &Scale, callout: &Callout, height: f64) {
    let text_width = width_mm(&callout.text, TEXT_MM);
    let note_width = SMALL_MM * metrics::width_ratio(&callout.note);
    let width = text_width.max(note_width);
    let (outer, inner, anchor) = match callout.side {
        Side::Left => (CALLOUT_INSET_MM, CALLOUT_INSET_MM + width + 1.0, Anchor::Start),
        Side::Right => {
            let outer = WIDTH_PAPER_MM - CALLOUT_INSET_MM;
            (outer, outer - width - 1.0, Anchor::End)
        }
    };
    let target = scale.point(callout.target_mm);
    paper.polyline("f-dimension", &[[outer, height], [inner, height], target]);
    match callout.end {
        LeaderEnd::Arrow => {
            let direction = [target[0] - inner, target[1] - height];
            paper.arrowhead("f-dimension-head", target, direction, DIMENSION_HEAD_MM);
        }
        LeaderEnd::Dot => paper.circle("f-dimension-head", target, 0.5),
    }
    paper.text(Type::Text, [outer, height - 0.9], anchor, &callout.text);
    paper.text(Type::Small, [outer, height + 2.9], anchor, &Markup::words(callout.note.as_str()));
}

fn draw_legend(paper: &mut Paper, legend: &[LegendEntry]) {
    if legend.is_empty() {
        return;
    }
    let gap = 7.0;
    let sample = 8.0;
    let widths: Vec<f64> =
        legend.iter().map(|entry| sample + 1.5 + width_mm(&entry.text, SMALL_MM)).collect();
    let total = widths.iter().sum::<f64>() + gap * (legend.len() - 1) as f64;
    let mut x = 0.5 * (WIDTH_PAPER_MM - total);
    let y = paper.height_mm + 2.0;
    for (entry, width) in legend.iter().zip(widths) {
        let tail = [x, y];
        let tip = [x + sample, y];
        if matches!(entry.pen, Pen::RollerForce | Pen::PinForce | Pen::BearingForce) {
            draw_arrow(paper, entry.pen, tail, tip);
        } else {
            paper.line(pen_class(entry.pen), tail, tip);
        }
        paper.text(Type::Small, [x + sample + 1.5, y + 0.9], Anchor::Start, &entry.text);
        x += width + gap;
    }
    paper.height_mm += 5.0;
}

fn pen_class(pen: Pen) -> &'static str {
    match pen {
        Pen::None => "f-none",
        Pen::Edge => "f-edge",
        Pen::FineEdge => "f-fine-edge",
        Pen::Ghost => "f-ghost",
        Pen::Centre => "f-centre",
        Pen::Construction => "f-construction",
        Pen::RollerForce => "f-roller-force",
        Pen::PinForce => "f-pin-force",
        Pen::BearingForce => "f-bearing-force",
    }
}

fn head_class(pen: Pen) -> &'static str {
    match pen {
        Pen::RollerForce => "f-roller-force-head",
        Pen::PinForce => "f-pin-force-head",
        Pen::BearingForce => "f-bearing-force-head",
        _ => "f-dimension-head",
    }
}
