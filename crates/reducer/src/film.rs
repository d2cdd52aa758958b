//! Thickness of the lubricant film in a line contact of hard bodies, and what it is against their roughness.

use crate::hertz::LineGeometry;
use curves::math::{pow, square};

/// Density of lubricating oils. **Source** common practice: 0.85 to 0.95 g/cm³.
const OIL_DENSITY_KG_PER_MM3: f64 = 0.9e-6;
/// α: growth of an oil's viscosity with pressure. **Source** common practice: mineral oils 0.015 to 0.025 mm²/N, many synthetic ones less.
pub const PRESSURE_VISCOSITY_MM2_PER_N: f64 = 0.02;
/// Root mean square over the mean of the roughness. **Source** common practice: about 1.25 for ground surfaces.
const RMS_OVER_MEAN: f64 = 1.25;

/// A line contact with a lubricant drawn in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilmContact {
    /// Length, curvature and modulus.
    pub geometry: LineGeometry,
    /// F.
    pub force_n: f64,
    /// u: mean of the speeds at which the contact moves over the two surfaces.
    pub entrainment_mm_per_s: f64,
    /// ν: kinematic viscosity where the lubricant enters.
    pub viscosity_mm2_per_s: f64,
}

impl FilmContact {
    /// Least thickness of the film after Dowson and Higginson.
    ///
    /// ```text
    /// h_min = 2.65 R G^0.54 U^0.7 / W^0.13,   G = α E',  U = η u/(E' R),  W = F/(L E' R),  E' = 2 E*
    /// ```
    /// **Valid for** hard bodies, in which pressure thickens the oil, well supplied, without heating in the inlet; with grease it is
    /// the film of the base oil, and starvation makes it thinner. Zero where the bodies wrap each other or nothing moves.
    /// **Source** `[dowson-higginson1966]`, from memory. **Checked by** Pan's and Hamrock's fit within a fifth.
    #[must_use]
    pub fn least_film_dowson_higginson_mm(&self) -> f64 {
        let Some(numbers) = self.numbers() else { return 0.0 };
        2.65 * pow(numbers.material, 0.54) * pow(numbers.speed, 0.7) / pow(numbers.load, 0.13)
            * numbers.radius_mm
    }

    fn numbers(&self) -> Option<Numbers> {
        let is_loaded = self.force_n > 0.0 && self.entrainment_mm_per_s > 0.0;
        if !is_loaded || self.geometry.relative_curvature_per_mm <= 0.0 {
            return None;
        }
        let modulus_mpa = 2.0 * self.geometry.contact_modulus_mpa;
        let radius_mm = 1.0 / self.geometry.relative_curvature_per_mm;
        // kg/mm³ times mm²/s is kg/(mm·s), which is 1e-3 N·s/mm².
        let viscosity_mpa_s = 1e-3 * OIL_DENSITY_KG_PER_MM3 * self.viscosity_mm2_per_s;
        Some(Numbers {
            radius_mm,
            material: PRESSURE_VISCOSITY_MM2_PER_N * modulus_mpa,
            speed: viscosity_mpa_s * self.entrainment_mm_per_s / (modulus_mpa * radius_mm),
            load: self.force_n / (self.geometry.length_mm * modulus_mpa * radius_mm),
        })
    }
}

/// The numbers of likeness on which films depend.
struct Numbers {
    radius_mm: f64,
    material: f64,
    speed: f64,
    load: f64,
}

/// λ: film over the roughness of both surfaces together, from their mean roughnesses Ra.
///
/// ```text
/// λ = h_min / (1.25 sqrt(Ra₁² + Ra₂²))
/// ```
/// **Source** `[dowson-higginson1966]` for the ratio; 1.25 common practice.
#[must_use]
pub fn film_ratio(film_mm: f64, roughness_a_mm: f64, roughness_b_mm: f64) -> f64 {
    film_mm / (RMS_OVER_MEAN * (square(roughness_a_mm) + square(roughness_b_mm)).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn contact(speed: f64, force_n: f64) -> FilmContact {
        FilmContact {
            geometry: LineGeometry {
                length_mm: 10.0,
                relative_curvature_per_mm: 0.1,
                contact_modulus_mpa: 113_187.0,
            },
            force_n,
            entrainment_mm_per_s: speed,
            viscosity_mm2_per_s: 100.0,
        }
    }

    /// Pan and Hamrock, from memory: 1.714 R U^0.694 G^0.568 / W^0.128.
    fn pan_hamrock_mm(contact: &FilmContact) -> f64 {
        let numbers = contact.numbers().unwrap();
        1.714 * pow(numbers.speed, 0.694) * pow(numbers.material, 0.568) / pow(numbers.load, 0.128)
            * numbers.radius_mm
    }

    #[test]
    fn independent_film_agrees_with_another_fit_within_a_fifth() {
        for speed in [30.0, 300.0, 3000.0] {
            for force in [200.0, 2000.0] {
                let contact = contact(speed, force);
                let ratio = contact.least_film_dowson_higginson_mm() / pan_hamrock_mm(&contact);
                assert!((ratio - 1.0).abs() < 0.2, "{ratio}");
            }
        }
    }

    /// A steel roller of 10 mm radius at 1 m/s in oil of 0.09 Pa·s: by hand about half a micron.
    #[test]
    fn locked_film_of_a_roller_on_a_flat() {
        let film = contact(1000.0, 1000.0).least_film_dowson_higginson_mm();
        let numbers = contact(1000.0, 1000.0).numbers().unwrap();
        assert!((numbers.speed - 0.09 * 1.0 / (226.374e9 * 0.01)).abs() < 1e-16, "{}", numbers.speed);
        assert!((numbers.load - 1000.0 / (0.01 * 226.374e9 * 0.01)).abs() < 1e-10);
        assert!((film * 1000.0 - 0.482).abs() < 1e-3, "{film}");
    }

    #[test]
    fn identity_nothing_moving_or_pressing_has_no_film() {
        assert_eq!(contact(0.0, 100.0).least_film_dowson_higginson_mm(), 0.0);
        assert_eq!(contact(100.0, 0.0).least_film_dowson_higginson_mm(), 0.0);
    }

    #[test]
    fn identity_equal_roughness_counts_root_two() {
        assert!((film_ratio(0.5, 0.2, 0.2) - 0.5 / (1.25 * 0.2 * 2.0_f64.sqrt())).abs() < 1e-15);
    }
}
