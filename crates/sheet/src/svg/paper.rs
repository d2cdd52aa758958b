//! The sheet that figures are written on: numbers, paths, text and arrowheads as SVG text.

use super::{Theme, WIDTH_PAPER_MM, colour_scale};
use crate::figure::{Anchor, Body, Figure};
use crate::markup::{Markup, Tag, escape, split_symbol};
use crate::metrics;
use curves::math;
use std::fmt::Write as _;

/// Size of ordinary text in figures.
pub const TEXT_MM: f64 = 3.0;
/// Size of notes, tick labels and legends.
pub const SMALL_MM: f64 = 2.6;
/// Size of a subscript over that of its letter.
const SUBSCRIPT_RATIO: f64 = 0.7;
/// How far a subscript hangs below the line, over the size of its letter.
const SUBSCRIPT_DROP: f64 = 0.18;

/// Size of text and its class.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Type {
    /// Dimensions, names of axes.
    Text,
    /// Notes, ticks, legends.
    Small,
    /// Names of bars: small, in full ink.
    Label,
    /// Names of limits.
    Limit,
}

impl Type {
    /// Type size.
    pub fn size_mm(self) -> f64 {
        if self == Self::Text { TEXT_MM } else { SMALL_MM }
    }

    fn class(self) -> &'static str {
        match self {
            Self::Text => "f-text",
            Self::Small => "f-small",
            Self::Label => "f-label",
            Self::Limit => "f-limit-text",
        }
    }
}

/// An SVG in the making; y downwards, millimetres on paper.
pub struct Paper {
    id: String,
    body: String,
    /// Height of what was drawn so far; the figure ends there.
    pub height_mm: f64,
}

/// A number with at most three decimals, no trailing zeros, no −0.
pub fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    let trimmed = text.trim_end_matches('0').trim_end_matches('.');
    if trimmed == "-0" { "0".to_owned() } else { trimmed.to_owned() }
}

/// A point as `x y`.
pub fn pair(point: [f64; 2]) -> String {
    format!("{} {}", number(point[0]), number(point[1]))
}

/// Width of text on paper.
pub fn width_mm(text: &Markup, size_mm: f64) -> f64 {
    let piece_width = |tag: Tag, text: &str| {
        if tag == Tag::Symbol {
            let (letter, subscript) = split_symbol(text);
            metrics::width_ratio(letter) + SUBSCRIPT_RATIO * metrics::width_ratio(subscript)
        } else {
            metrics::width_ratio(text)
        }
    };
    size_mm * text.pieces.iter().map(|piece| piece_width(piece.tag, &piece.text)).sum::<f64>()
}

impl Paper {
    /// An empty sheet for the figure of an id.
    pub fn new(id: &str) -> Self {
        Self { id: id.to_owned(), body: String::new(), height_mm: 0.0 }
    }

    /// An id or pattern of this figure.
    pub fn id(&self, name: &str) -> String {
        format!("{}-{name}", self.id)
    }

    /// Opens a group of a name.
    pub fn open_group(&mut self, name: &str) {
        let _ = writeln!(self.body, "<g id=\"{}\">", escape(&self.id(name)));
    }

    /// Closes the last group.
    pub fn close_group(&mut self) {
        self.body.push_str("</g>\n");
    }

    /// A path of a class.
    pub fn path(&mut self, class: &str, data: &str) {
        let _ = writeln!(self.body, "<path class=\"{class}\" d=\"{data}\"/>");
    }

    /// A path filled with a hatching; even-odd, so that inner contours are holes.
    pub fn hatched_path(&mut self, hatch: &str, data: &str) {
        let pattern = escape(&self.id(hatch));
        let _ = writeln!(self.body, "<path fill=\"url(#{pattern})\" fill-rule=\"evenodd\" d=\"{data}\"/>");
    }

    /// A path of a class, filled by the even-odd rule.
    pub fn even_odd_path(&mut self, class: &str, data: &str) {
        let _ = writeln!(self.body, "<path class=\"{class}\" fill-rule=\"evenodd\" d=\"{data}\"/>");
    }

    /// A circle of a class.
    pub fn circle(&mut self, class: &str, centre: [f64; 2], radius: f64) {
        let (x, y, r) = (number(centre[0]), number(centre[1]), number(radius));
        let _ = writeln!(self.body, "<circle class=\"{class}\" cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>");
    }

    /// A straight line of a class.
    pub fn line(&mut self, class: &str, from: [f64; 2], to: [f64; 2]) {
        self.path(class, &format!("M{}L{}", pair(from), pair(to)));
    }

    /// Straight lines from point to point.
    pub fn polyline(&mut self, class: &str, points: &[[f64; 2]]) {
        let joined: Vec<String> = points.iter().map(|&point| pair(point)).collect();
        self.path(class, &format!("M{}", joined.join("L")));
    }

    /// A rectangle of a class from its upper left corner.
    pub fn rectangle(&mut self, class: &str, corner: [f64; 2], width: f64, height: f64) {
        let (x, y) = (number(corner[0]), number(corner[1]));
        let (width, height) = (number(width), number(height));
        let _ = writeln!(
            self.body,
            "<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"/>"
        );
    }

    /// A filled arrowhead with its point at a place, pointing along a direction of any length.
    pub fn arrowhead(&mut self, class: &str, tip: [f64; 2], direction: [f64; 2], length_mm: f64) {
        let norm = math::hypot(direction[0], direction[1]);
        if norm == 0.0 {
            return;
        }
        let along = [direction[0] / norm * length_mm, direction[1] / norm * length_mm];
        let base = [tip[0] - along[0], tip[1] - along[1]];
        let half = [-along[1] * 0.19, along[0] * 0.19];
        let left = [base[0] + half[0], base[1] + half[1]];
        let right = [base[0] - half[0], base[1] - half[1]];
        self.path(class, &format!("M{}L{}L{}Z", pair(tip), pair(left), pair(right)));
    }

    /// One line of text on its base line.
    pub fn text(&mut self, kind: Type, at: [f64; 2], anchor: Anchor, text: &Markup) {
        self.turned_text(kind, at, anchor, text, 0.0);
    }

    /// One line of small text in the looks of a class.
    pub fn classed_text(&mut self, class: &str, at: [f64; 2], anchor: Anchor, text: &Markup) {
        self.text_element(class, SMALL_MM, at, anchor, text, 0.0);
    }

    /// One line of text, turned clockwise about its place by an angle in degrees.
    pub fn turned_text(&mut self, kind: Type, at: [f64; 2], anchor: Anchor, text: &Markup, turn_deg: f64) {
        self.text_element(kind.class(), kind.size_mm(), at, anchor, text, turn_deg);
    }

    fn text_element(
        &mut self,
        class: &str,
        size_mm: f64,
        at: [f64; 2],
        anchor: Anchor,
        text: &Markup,
        turn_deg: f64,
    ) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let turn = if turn_deg == 0.0 {
            String::new()
        } else {
            format!(" transform=\"rotate({} {})\"", number(turn_deg), pair(at))
        };
        let (x, y) = (number(at[0]), number(at[1]));
        let spans = spans(text, size_mm);
        let _ = writeln!(
            self.body,
            "<text class=\"{class}\" x=\"{x}\" y=\"{y}\" text-anchor=\"{anchor}\"{turn}>{spans}</text>"
        );
    }

    /// One line of text on a patch of the sheet's colour, so that lines behind do not cross it.
    pub fn text_on_patch(&mut self, kind: Type, at: [f64; 2], anchor: Anchor, text: &Markup) {
        let size = kind.size_mm();
        let width = width_mm(text, size);
        let left = match anchor {
            Anchor::Start => at[0],
            Anchor::Middle => at[0] - 0.5 * width,
            Anchor::End => at[0] - width,
        };
        self.rectangle("f-fill-sheet", [left - 0.5, at[1] - 0.8 * size], width + 1.0, 1.1 * size);
        self.text(kind, at, anchor, text);
    }

    /// The whole SVG.
    pub fn finish(self, figure: &Figure, theme: Theme) -> String {
        let id = escape(&self.id);
        let (width, height) = (number(WIDTH_PAPER_MM), number(self.height_mm));
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
             viewBox=\"0 0 {width} {height}\" role=\"img\" aria-labelledby=\"{id}-title {id}-desc\">\n"
        );
        let _ = writeln!(out, "<title id=\"{id}-title\">{}</title>", escape(&figure.title));
        let _ = writeln!(out, "<desc id=\"{id}-desc\">{}</desc>", escape(&figure.description));
        let levels =
            if matches!(figure.body, Body::Map(_)) { colour_scale::style(theme) } else { String::new() };
        let _ = writeln!(out, "<style>\n{}\n{levels}</style>", theme.style());
        if theme != Theme::Print {
            let _ = writeln!(out, "<rect class=\"f-fill-sheet\" width=\"{width}\" height=\"{height}\"/>");
        }
        if self.body.contains("url(#") {
            out.push_str(&hatchings(&id));
        }
        out.push_str(&self.body);
        out.push_str("</svg>\n");
        out
    }
}

/// The two hatchings of cut material: 45° to the right, and closer to the left.
fn hatchings(id: &str) -> String {
    let pattern = |name: &str, angle: i32, step: &str| {
        format!(
            "<pattern id=\"{id}-{name}\" width=\"{step}\" height=\"{step}\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate({angle})\"><path class=\"f-hatch\" d=\"M0 0L0 {step}\"/></pattern>\n"
        )
    };
    format!("<defs>\n{}{}</defs>\n", pattern("hatch-right", 45, "2.4"), pattern("hatch-left", -45, "1.6"))
}

/// Pieces as text spans; symbols in italics with their subscript lowered.
fn spans(text: &Markup, size_mm: f64) -> String {
    let mut out = String::new();
    let mut raise = 0.0;
    for piece in &text.pieces {
        let shift = if raise == 0.0 { String::new() } else { format!(" dy=\"{}\"", number(-raise)) };
        raise = 0.0;
        if piece.tag != Tag::Symbol {
            let plain = shift.is_empty();
            let words = escape(&piece.text);
            out.push_str(&if plain { words } else { format!("<tspan{shift}>{words}</tspan>") });
            continue;
        }
        let (letter, subscript) = split_symbol(&piece.text);
        let _ = write!(out, "<tspan class=\"f-symbol\"{shift}>{}</tspan>", escape(letter));
        if !subscript.is_empty() {
            raise = SUBSCRIPT_DROP * size_mm;
            let size = number(SUBSCRIPT_RATIO * size_mm);
            let drop = number(raise);
            let _ = write!(out, "<tspan dy=\"{drop}\" font-size=\"{size}\">{}</tspan>", escape(subscript));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_numbers_are_short_and_never_minus_zero() {
        assert_eq!(number(-0.000_1), "0");
        assert_eq!(number(12.0), "12");
        assert_eq!(number(0.125_49), "0.125");
        assert_eq!(number(-3.10), "-3.1");
    }

    #[test]
    fn locked_symbols_are_set_with_their_subscript() {
        let text = Markup::tagged(Tag::Symbol, "z_l").and(Tag::Words, " lobes");
        assert_eq!(
            spans(&text, 3.0),
            "<tspan class=\"f-symbol\">z</tspan><tspan dy=\"0.54\" font-size=\"2.1\">l</tspan>\
             <tspan dy=\"-0.54\"> lobes</tspan>"
        );
    }
}
