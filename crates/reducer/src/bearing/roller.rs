//! Radial roller bearings: ratings of ISO 281 and ISO 76 from the internal geometry, contact angle zero.

use super::{BearingError, Internals, look_up};
use curves::math;

/// b_m of cylindrical and needle rollers between machined rings.
///
/// **Source** `[iso281-2007]` table of b_m, from memory.
pub const MACHINED_RINGS_FACTOR: f64 = 1.1;
/// b_m of needle rollers in a drawn cup.
///
/// **Source** `[iso281-2007]` table of b_m, from memory.
pub const DRAWN_CUP_FACTOR: f64 = 1.0;

/// f_c of radial roller bearings over γ = D_we cos α / D_pw.
///
/// **Source** `[iso281-2007]` table of f_c, from memory; every entry lies 0.01 to 0.10 (rounded) above the closed
/// form of `[iso-tr1281-1]`, which a test checks.
pub const FACTOR_TABLE: [(f64, f64); 30] = [
    (0.01, 52.1),
    (0.02, 60.8),
    (0.03, 66.5),
    (0.04, 70.7),
    (0.05, 74.1),
    (0.06, 76.9),
    (0.07, 79.2),
    (0.08, 81.2),
    (0.09, 82.8),
    (0.10, 84.2),
    (0.11, 85.4),
    (0.12, 86.4),
    (0.13, 87.1),
    (0.14, 87.7),
    (0.15, 88.2),
    (0.16, 88.5),
    (0.17, 88.7),
    (0.18, 88.8),
    (0.19, 88.8),
    (0.20, 88.7),
    (0.21, 88.5),
    (0.22, 88.2),
    (0.23, 87.9),
    (0.24, 87.5),
    (0.25, 87.0),
    (0.26, 86.4),
    (0.27, 85.8),
    (0.28, 85.2),
    (0.29, 84.5),
    (0.30, 83.8),
];

/// f_c between the entries of [`FACTOR_TABLE`], by straight lines.
///
/// **Source** `[iso281-2007]`, from memory. **Checked by** `validation/iso281-2007/roller-factors.toml`.
///
/// # Errors
/// [`BearingError::OutsideTable`] where γ has no f_c.
pub fn factor_iso281_2007(ratio: f64) -> Result<f64, BearingError> {
    look_up(&FACTOR_TABLE, ratio)
}

/// C_r: basic dynamic radial load rating.
///
/// ```text
/// C_r = b_m f_c (i L_we cos α)^(7/9) Z^(3/4) D_we^(29/27)
/// ```
/// **Valid for** γ from 0.01 to 0.30, raceways of bearing quality.
/// **Source** `[iso281-2007]` clause on radial roller bearings, from memory.
/// **Checked by** `validation/iso281-2007/*.toml`.
///
/// # Errors
/// [`BearingError::OutsideTable`] where γ has no f_c.
pub fn dynamic_rating_iso281_2007_n(internals: &Internals, quality_factor: f64) -> Result<f64, BearingError> {
    let factor = factor_iso281_2007(internals.diameter_ratio())?;
    let rows_length_mm =
        internals.row_count as f64 * internals.element_length_mm * math::cos(internals.contact_angle_rad);
    Ok(quality_factor
        * factor
        * math::pow(rows_length_mm, 7.0 / 9.0)
        * math::pow(internals.element_count as f64, 0.75)
        * math::pow(internals.element_diameter_mm, 29.0 / 27.0))
}

/// C_0r: basic static radial load rating.
///
/// ```text
/// C_0r = 44 (1 − γ) i Z L_we D_we cos α
/// ```
/// The 44 makes the pressure of the most loaded roller on the inner raceway 4000 MPa whatever the geometry, if it
/// carries 5/Z of the load; a test checks that.
/// **Source** `[iso76-2006]` clause on radial roller bearings, from memory.
/// **Checked by** `validation/iso281-2007/cylindrical-roller.toml`.
#[must_use]
pub fn static_rating_iso76_2006_n(internals: &Internals) -> f64 {
    44.0 * (1.0 - internals.diameter_ratio())
        * (internals.row_count * internals.element_count) as f64
        * internals.element_length_mm
        * internals.element_diameter_mm
        * math::cos(internals.contact_angle_rad)
}

/// f_c in closed form, from which the table was made.
///
/// ```text
/// f_c = 0.377 · 0.83 · 551.13373 γ^(2/9) (1 − γ)^(29/27) / (1 + γ)^(1/4) · { 1 + [1.04 ((1 − γ)/(1 + γ))^(143/108)]^(9/2) }^(−2/9)
/// ```
/// **Source** `[iso-tr1281-1]`, from memory. It serves to check the table, not to rate bearings.
#[must_use]
pub fn factor_closed_form(ratio: f64) -> f64 {
    let shape = (1.0 - ratio) / (1.0 + ratio);
    let races = math::pow(1.04 * math::pow(shape, 143.0 / 108.0), 4.5);
    0.377 * 0.83 * 551.133_73 * math::pow(ratio, 2.0 / 9.0) * math::pow(1.0 - ratio, 29.0 / 27.0)
        / math::pow(1.0 + ratio, 0.25)
        * math::pow(1.0 + races, -2.0 / 9.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hertz::{Elastic, LineGeometry, contact_modulus_mpa, relative_curvature_per_mm};

    #[test]
    fn independent_table_lies_just_above_its_closed_form() {
        for (ratio, printed) in FACTOR_TABLE {
            let above = printed - factor_closed_form(ratio);
            assert!((0.005..=0.105).contains(&above), "{ratio}: {above}");
        }
    }

    #[test]
    fn identity_static_rating_is_one_pressure_for_every_geometry() {
        let steel = Elastic { elastic_modulus_mpa: 206_000.0, poisson_ratio: 0.3 };
        for (count, diameter, length, pitch) in
            [(14, 10.0, 9.6, 65.0), (22, 3.0, 8.0, 33.0), (30, 2.5, 20.0, 80.0)]
        {
            let internals = Internals {
                contact_angle_rad: 0.0,
                row_count: 1,
                element_count: count,
                element_diameter_mm: diameter,
                element_length_mm: length,
                pitch_diameter_mm: pitch,
            };
            let inner_race_mm = (pitch - diameter) / 2.0;
            let contact = LineGeometry {
                length_mm: length,
                relative_curvature_per_mm: relative_curvature_per_mm(diameter / 2.0, inner_race_mm),
                contact_modulus_mpa: contact_modulus_mpa(&steel, &steel),
            };
            let most_loaded_n = 5.0 * static_rating_iso76_2006_n(&internals) / count as f64;
            assert!((contact.pressure_mpa(most_loaded_n) - 3981.5).abs() < 0.1);
        }
    }
}
