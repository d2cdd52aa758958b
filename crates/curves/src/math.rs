//! Elementary functions whose bits do not depend on the machine's own maths library.
//!
//! Rust's `f64::sin` and friends call the platform; results may differ in the last bit from
//! one system to the next. Every output file of this workspace must be the same everywhere,
//! so all of them come from the `libm` crate, and clippy bans the others.

pub use libm::{
    acos, asin, atan, atan2, cbrt, cos, erfc, exp, hypot, log as ln, log10, pow, sin, sincos as sin_cos, tan,
};

/// Square of a number.
#[must_use]
pub fn square(value: f64) -> f64 {
    value * value
}

/// Whole-number power by repeated squaring; the order of the products is fixed.
#[must_use]
pub fn power(base: f64, exponent: u32) -> f64 {
    let (mut result, mut factor, mut rest) = (1.0, base, exponent);
    while rest > 0 {
        if rest & 1 == 1 {
            result *= factor;
        }
        factor *= factor;
        rest >>= 1;
    }
    result
}

/// An angle brought into (−π, π].
#[must_use]
pub fn wrap_angle(angle_rad: f64) -> f64 {
    let turn = std::f64::consts::TAU;
    let turns = libm::floor(angle_rad / turn + 0.5);
    let wrapped = angle_rad - turns * turn;
    if wrapped <= -std::f64::consts::PI { wrapped + turn } else { wrapped }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_power_matches_products() {
        assert_eq!(power(3.0, 0), 1.0);
        assert_eq!(power(3.0, 5), 243.0);
    }

    #[test]
    fn identity_wrapped_angles_stay_in_half_open_turn() {
        for k in -10..=10 {
            let wrapped = wrap_angle(0.3 + f64::from(k) * std::f64::consts::TAU);
            assert!((wrapped - 0.3).abs() < 1e-13);
        }
        assert!(wrap_angle(-std::f64::consts::PI) > 0.0);
    }
}
