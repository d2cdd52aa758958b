//! What the page draws: scene, motion, solids and the scales of sliders, as plain data from the core.

mod clearances;
mod motion;
mod scale;
mod scene;
mod solids;

pub use clearances::clearances;
pub use motion::motion;
pub use scale::{scale, scale_text};
pub use scene::scene;
pub use solids::solids;

use curves::math;
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
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let decimals = 4 - math::log10(value.abs()).floor() as i32;
    let scale = math::power(10.0, decimals.unsigned_abs());
    // Powers of ten up to 22 are exact, so that the quotient is the number that has these digits.
    if decimals >= 0 { (value * scale).round() / scale } else { (value / scale).round() * scale }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_numbers_keep_five_digits() {
        for (value, text) in
            [(1234.5678, "1234.6"), (-0.012345678, "-0.012346"), (99999.9, "100000"), (4.0, "4"), (0.0, "0")]
        {
            assert_eq!(shortened(value).to_string(), text);
        }
        assert_eq!(shortened(1.234567e-9), 1.2346e-9);
        assert_eq!(shortened(123_456_789.0), 123_460_000.0);
    }
}
