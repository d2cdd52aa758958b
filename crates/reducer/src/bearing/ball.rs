//! Deep-groove and angular-contact ball bearings: ratings of ISO 281 and ISO 76 from the internal geometry.

use super::{BearingError, Internals, look_up};
use curves::math;

/// b_m of radial ball bearings without filling slots.
///
/// **Source** `[iso281-2007]` table of b_m, from memory.
pub const QUALITY_FACTOR: f64 = 1.3;
/// Ball diameter above which the exponent changes.
///
/// **Source** `[iso281-2007]`, from memory.
const LARGE_BALL_MM: f64 = 25.4;

/// f_c of deep-groove ball bearings over γ, single row and double row.
///
/// **Source** `[iso281-2007]` table of f_c, from memory; every entry lies within 0.06 of the closed form behind it,
/// which a test checks. Groove radii at most 0.52 (inner) and 0.53 (outer) ball diameters.
pub const FACTOR_TABLE: [(f64, f64, f64); 21] = [
    (0.05, 46.7, 44.2),
    (0.06, 49.1, 46.5),
    (0.07, 51.1, 48.4),
    (0.08, 52.8, 50.0),
    (0.09, 54.3, 51.4),
    (0.10, 55.5, 52.6),
    (0.12, 57.5, 54.5),
    (0.14, 58.8, 55.7),
    (0.16, 59.6, 56.5),
    (0.18, 59.9, 56.8),
    (0.20, 59.9, 56.8),
    (0.22, 59.6, 56.5),
    (0.24, 59.0, 55.9),
    (0.26, 58.2, 55.1),
    (0.28, 57.1, 54.1),
    (0.30, 56.0, 53.0),
    (0.32, 54.6, 51.8),
    (0.34, 53.2, 50.4),
    (0.36, 51.7, 48.9),
    (0.38, 50.0, 47.4),
    (0.40, 48.4, 45.8),
];

/// f₀ of radial ball bearings over γ = 0.00, 0.01 … 0.40.
///
/// **Source** `[iso76-2006]` table of f₀, from memory; every entry lies within 0.06 of the smaller of the two loads that
/// give 4200 MPa on the inner and outer raceway, which a test checks by elliptic Hertz contact.
pub const STATIC_FACTORS: [f64; 41] = [
    14.7, 14.9, 15.1, 15.3, 15.5, 15.7, 15.9, 16.1, 16.3, 16.5, 16.4, 16.1, 15.9, 15.6, 15.4, 15.2, 14.9,
    14.7, 14.4, 14.2, 14.0, 13.7, 13.5, 13.2, 13.0, 12.8, 12.5, 12.3, 12.1, 11.8, 11.6, 11.4, 11.2, 10.9,
    10.7, 10.5, 10.3, 10.0, 9.8, 9.6, 9.4,
];

/// f_c between the entries of [`FACTOR_TABLE`], by straight lines; more than one row takes the second column.
///
/// **Source** `[iso281-2007]`, from memory. **Checked by** `validation/iso281-2007/ball-factors.toml`.
///
/// # Errors
/// [`BearingError::OutsideTable`] where γ has no f_c.
pub fn factor_iso281_2007(ratio: f64, row_count: usize) -> Result<f64, BearingError> {
    let table =
        FACTOR_TABLE.map(|(ratio, single, double)| (ratio, if row_count == 1 { single } else { double }));
    look_up(&table, ratio)
}

/// f₀ between the entries of [`STATIC_FACTORS`], by straight lines.
///
/// **Source** `[iso76-2006]`, from memory. **Checked by** `validation/iso76-2006/ball-factors.toml`.
///
/// # Errors
/// [`BearingError::OutsideTable`] where γ has no f₀.
pub fn static_factor_iso76_2006(ratio: f64) -> Result<f64, BearingError> {
    let mut table = [(0.0, 0.0); STATIC_FACTORS.len()];
    for (index, &factor) in STATIC_FACTORS.iter().enumerate() {
        table[index] = (index as f64 / 100.0, factor);
    }
    look_up(&table, ratio)
}

/// C_r: basic dynamic radial load rating.
///
/// ```text
/// C_r = b_m f_c (i cos α)^0.7 Z^(2/3) D_w^1.8            D_w ≤ 25.4 mm
/// C_r = 3.647 b_m f_c (i cos α)^0.7 Z^(2/3) D_w^1.4      above
/// ```
/// **Valid for** γ from 0.05 to 0.40. **Source** `[iso281-2007]` clause on radial ball bearings, from memory.
/// **Checked by** `validation/iso281-2007/deep-groove-ball.toml`.
///
/// # Errors
/// [`BearingError::OutsideTable`] where γ has no f_c.
pub fn dynamic_rating_iso281_2007_n(internals: &Internals) -> Result<f64, BearingError> {
    // The second column is for two rows of deep grooves only.
    let column = if internals.contact_angle_rad > 0.0 { 1 } else { internals.row_count };
    let factor = factor_iso281_2007(internals.diameter_ratio(), column)?;
    let diameter_mm = internals.element_diameter_mm;
    let size = if diameter_mm <= LARGE_BALL_MM {
        math::pow(diameter_mm, 1.8)
    } else {
        3.647 * math::pow(diameter_mm, 1.4)
    };
    let rows = math::pow(internals.row_count as f64 * math::cos(internals.contact_angle_rad), 0.7);
    Ok(QUALITY_FACTOR * factor * rows * math::pow(internals.element_count as f64, 2.0 / 3.0) * size)
}

/// C_0r: basic static radial load rating.
///
/// ```text
/// C_0r = f₀ i Z D_w² cos α
/// ```
/// **Valid for** γ up to 0.40. **Source** `[iso76-2006]` clause on radial ball bearings, from memory.
/// **Checked by** `validation/iso281-2007/deep-groove-ball.toml`.
///
/// # Errors
/// [`BearingError::OutsideTable`] where γ has no f₀.
pub fn static_rating_iso76_2006_n(internals: &Internals) -> Result<f64, BearingError> {
    let factor = static_factor_iso76_2006(internals.diameter_ratio())?;
    let ball_count = (internals.row_count * internals.element_count) as f64;
    Ok(factor
        * ball_count
        * math::square(internals.element_diameter_mm)
        * math::cos(internals.contact_angle_rad))
}

/// f_c in closed form for groove radii of 0.52 ball diameters, from which the table was made.
///
/// ```text
/// f_c = 40.207 λ (2f/(2f − 1))^0.41 γ^0.3 (1 − γ)^1.39 / (1 + γ)^(1/3) · { 1 + [1.04 ((1 − γ)/(1 + γ))^1.72]^(10/3) }^(−0.3)
/// ```
/// λ is 0.95 for one row and 0.90 for two. **Source** `[iso-tr1281-1]`, from memory. It serves to check the table.
#[must_use]
pub fn factor_closed_form(ratio: f64, reduction: f64) -> f64 {
    let groove = 0.52;
    let shape = (1.0 - ratio) / (1.0 + ratio);
    let races = math::pow(1.04 * math::pow(shape, 1.72), 10.0 / 3.0);
    40.207
        * reduction
        * math::pow(2.0 * groove / (2.0 * groove - 1.0), 0.41)
        * math::pow(ratio, 0.3)
        * math::pow(1.0 - ratio, 1.39)
        / math::cbrt(1.0 + ratio)
        * math::pow(1.0 + races, -0.3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn independent_dynamic_table_agrees_with_its_closed_form() {
        for (ratio, single, double) in FACTOR_TABLE {
            assert!((single - factor_closed_form(ratio, 0.95)).abs() < 0.06, "{ratio}");
            assert!((double - factor_closed_form(ratio, 0.90)).abs() < 0.06, "{ratio}");
        }
    }

    /// Complete elliptic integrals K(m) and E(m) by the arithmetic-geometric mean.
    fn elliptic(m: f64) -> (f64, f64) {
        let (mut a, mut g, mut c, mut weight, mut sum) = (1.0_f64, (1.0 - m).sqrt(), m.sqrt(), 0.5, 0.0);
        while c.abs() > 1e-16 {
            sum += weight * c * c;
            let next = (a + g) / 2.0;
            c = (a - g) / 2.0;
            g = (a * g).sqrt();
            a = next;
            weight *= 2.0;
        }
        let first = PI / (2.0 * a);
        (first, first * (1.0 - sum))
    }

    /// Force that presses a ball on a race with 4200 MPa; curvatures per mm along and across the rolling direction.
    fn force_at_limit(along: f64, across: f64) -> f64 {
        let (larger, smaller) = (along.max(across) / 2.0, along.min(across) / 2.0);
        let wanted = larger / smaller;
        let (mut low, mut high) = (1e-12_f64, 1.0 - 1e-12);
        for _ in 0..200 {
            let m = (low + high) / 2.0;
            let (k, e) = elliptic(m);
            if (e / (1.0 - m) - k) / (k - e) < wanted { low = m } else { high = m }
        }
        let m = (low + high) / 2.0;
        let (_, e) = elliptic(m);
        let modulus = 207_000.0 / (2.0 * (1.0 - 0.09));
        let narrow = (1.0 - m).sqrt();
        // p = 3F/(2π a b), b = a·narrow, a³ = 3FE/(2π narrow² E* (A + B)): solved for F.
        let scale = 3.0 * e / (2.0 * PI * narrow * narrow * modulus * (larger + smaller));
        math::power(2.0 * PI * narrow * 4200.0 / 3.0, 3) * scale * scale
    }

    #[test]
    fn independent_static_table_is_hertz_pressure_of_4200_mpa() {
        for (index, printed) in STATIC_FACTORS.into_iter().enumerate() {
            let ratio = index as f64 / 100.0;
            // A ball of 1 mm: inner race convex, outer race concave, grooves of 0.52 and 0.53 mm.
            let pitch = if index == 0 { 1e9 } else { 1.0 / ratio };
            let inner = force_at_limit(2.0 + 2.0 / (pitch - 1.0), 2.0 - 1.0 / 0.52);
            let outer = force_at_limit(2.0 - 2.0 / (pitch + 1.0), 2.0 - 1.0 / 0.53);
            let factor = inner.min(outer) / 5.0;
            assert!((factor - printed).abs() < 0.06, "{ratio}: {factor} against {printed}");
        }
    }

    #[test]
    fn identity_large_balls_join_small_ones() {
        let internals = |diameter| Internals {
            contact_angle_rad: 0.0,
            row_count: 1,
            element_count: 8,
            element_diameter_mm: diameter,
            element_length_mm: 0.0,
            pitch_diameter_mm: 150.0,
        };
        let below = dynamic_rating_iso281_2007_n(&internals(25.4)).unwrap();
        let above = dynamic_rating_iso281_2007_n(&internals(25.400_001)).unwrap();
        assert!((above / below - 1.0).abs() < 2e-4, "{}", above / below);
    }
}
