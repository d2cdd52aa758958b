//! What the page draws: scene, motion, solids and the scales of sliders, as plain data from the core.

mod motion;
mod scale;
mod scene;
mod solids;

pub use motion::motion;
pub use scale::{scale, scale_text};
pub use scene::{clearances, scene};
pub use solids::solids;

use curves::point::Point;

/// Decimals of a length on the wire: a hundredth of a micrometre.
const LENGTH_DECIMALS: f64 = 1e5;

/// A length rounded for the wire; −0 becomes 0.
fn rounded_mm(value_mm: f64) -> f64 {
    (value_mm * LENGTH_DECIMALS).round() / LENGTH_DECIMALS + 0.0
}

/// A point rounded for the wire.
fn rounded_point(point: Point) -> [f64; 2] {
    [rounded_mm(point.x), rounded_mm(point.y)]
}

/// A number with five significant digits, enough for an arrow or a colour and far shorter than the whole.
fn shortened(value: f64) -> f64 {
    format!("{value:.4e}").parse().unwrap_or(value)
}
