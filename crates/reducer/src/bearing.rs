//! Rolling bearings: ratings from what is inside, life and static safety under a duty cycle.
//!
//! [`rate`] picks the ratings: those of the bearing's maker where the drive file gives them, else those of
//! ISO 281 and ISO 76 from the internal geometry. [`assess`] puts them against the loads.

pub mod ball;
pub mod life;
pub mod modified;
pub mod pair;
pub mod roller;
pub mod shaft;
pub mod spectrum;

use crate::model::{Bearing, BearingKind};
use crate::results::BearingResult;
use curves::math;
use life::{DutyLoad, LifeExponent};
use modified::{NoModifiedLife, Surroundings};
use std::f64::consts::{FRAC_PI_4, PI};

/// Load ratings of a bearing and where they come from.
#[derive(Clone, Debug, PartialEq)]
pub struct Ratings {
    /// C: basic dynamic load rating.
    pub dynamic_rating_n: f64,
    /// C₀: basic static load rating; absent where it is neither given nor computable.
    pub static_rating_n: Option<f64>,
    /// Where the two come from, in words.
    pub origin: String,
    /// What to know about them, one sentence each.
    pub cautions: Vec<String>,
}

/// Why a bearing has no ratings.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BearingError {
    /// Neither a rating nor all of the internal geometry is given.
    #[error("bearing has neither a dynamic rating nor its internal geometry; missing: {}", missing.join(", "))]
    Incomplete {
        /// Keys of the drive file that would be needed.
        missing: Vec<&'static str>,
    },
    /// The rolling elements do not fit on their circle.
    #[error(
        "{element_count} elements of {element_diameter_mm} mm do not fit on a circle of {pitch_diameter_mm} mm"
    )]
    Crowded {
        /// Z: elements in one row.
        element_count: usize,
        /// D_w: diameter of an element.
        element_diameter_mm: f64,
        /// D_pw: diameter of the circle of their centres.
        pitch_diameter_mm: f64,
    },
    /// The ratio of element to pitch circle lies outside the tables of the standard.
    #[error("element diameter over pitch diameter is {ratio}, outside {least} to {most}")]
    OutsideTable {
        /// γ: the ratio.
        ratio: f64,
        /// Smallest ratio of the table.
        least: f64,
        /// Greatest ratio of the table.
        most: f64,
    },
}

/// What is inside a radial bearing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Internals {
    /// i: rows of rolling elements.
    pub row_count: usize,
    /// Z: elements in one row.
    pub element_count: usize,
    /// D_w or D_we: diameter of an element.
    pub element_diameter_mm: f64,
    /// L_we: effective length of a roller; not used for balls.
    pub element_length_mm: f64,
    /// D_pw: diameter of the circle of element centres.
    pub pitch_diameter_mm: f64,
    /// α: angle of the element's force to the plane of the bearing; zero for deep-groove and cylindrical bearings.
    pub contact_angle_rad: f64,
}

/// α of crossed rollers where the drive file gives none. Source: common practice.
pub const CROSSED_ROLLER_ANGLE_RAD: f64 = FRAC_PI_4;

impl Internals {
    /// γ = D_w cos α / D_pw.
    ///
    /// **Source** `[iso281-2007]`, from memory.
    #[must_use]
    pub fn diameter_ratio(&self) -> f64 {
        self.element_diameter_mm * math::cos(self.contact_angle_rad) / self.pitch_diameter_mm
    }

    /// What a drive file says of a bearing's inside.
    ///
    /// Pairs have two rows whatever `row_count` says. Crossed rollers count as two rows of half the rollers, since only
    /// every other one stands the way of the force.
    ///
    /// # Errors
    /// The keys that are missing, or elements that do not fit on their circle.
    pub fn of(bearing: &Bearing) -> Result<Self, BearingError> {
        let rollers = life_exponent(bearing.kind) == LifeExponent::Roller;
        let mut missing = Vec::new();
        let mut need = |key, value: Option<f64>| {
            if value.is_none() {
                missing.push(key);
            }
            value.unwrap_or_default()
        };
        let element_count = need("element_count", bearing.element_count.map(|count| count as f64)) as usize;
        let element_diameter_mm = need("element_diameter", bearing.element_diameter_mm);
        let pitch_diameter_mm = need("pitch_diameter", bearing.pitch_diameter_mm);
        let element_length_mm = if rollers { need("element_length", bearing.element_length_mm) } else { 0.0 };
        let contact_angle_rad = match bearing.kind {
            BearingKind::AngularContactPair | BearingKind::TaperedRollerPair => {
                need("contact_angle", bearing.contact_angle_rad)
            }
            BearingKind::CrossedRoller => bearing.contact_angle_rad.unwrap_or(CROSSED_ROLLER_ANGLE_RAD),
            _ => 0.0,
        };
        if !missing.is_empty() {
            return Err(BearingError::Incomplete { missing });
        }
        let chord_mm = pitch_diameter_mm * math::sin(PI / element_count as f64);
        if element_diameter_mm > chord_mm {
            return Err(BearingError::Crowded { element_count, element_diameter_mm, pitch_diameter_mm });
        }
        let (row_count, element_count) = match bearing.kind {
            BearingKind::AngularContactPair | BearingKind::TaperedRollerPair => (2, element_count),
            BearingKind::CrossedRoller => (2, element_count / 2),
            _ => (bearing.row_count, element_count),
        };
        Ok(Self {
            row_count,
            element_count,
            element_diameter_mm,
            element_length_mm,
            pitch_diameter_mm,
            contact_angle_rad,
        })
    }
}

/// The ratings of a bearing: given ones win, the rest is computed from the internal geometry.
///
/// # Errors
/// [`BearingError`] if there is no dynamic rating to be had. A static rating that can not be had is left out.
pub fn rate(bearing: &Bearing) -> Result<Ratings, BearingError> {
    let computed = Internals::of(bearing).and_then(|internals| compute(bearing.kind, &internals));
    let Some(dynamic_rating_n) = bearing.dynamic_rating_n else {
        let mut ratings = computed?;
        if let Some(given_n) = bearing.static_rating_n {
            ratings.static_rating_n = Some(given_n);
            ratings.origin = "C from the internal geometry by ISO 281, C0 as given".to_owned();
        }
        return Ok(ratings);
    };
    let (static_rating_n, origin) = match (bearing.static_rating_n, computed) {
        (Some(given_n), _) => (Some(given_n), "C and C0 as given"),
        (None, Ok(ratings)) => {
            (ratings.static_rating_n, "C as given, C0 from the internal geometry by ISO 76")
        }
        (None, Err(_)) => (None, "C as given; no C0"),
    };
    Ok(Ratings { dynamic_rating_n, static_rating_n, origin: origin.to_owned(), cautions: Vec::new() })
}

/// Ratings by the standards from what is inside.
fn compute(kind: BearingKind, internals: &Internals) -> Result<Ratings, BearingError> {
    let factor = match kind {
        BearingKind::CylindricalRoller
        | BearingKind::Needle
        | BearingKind::TaperedRollerPair
        | BearingKind::CrossedRoller => roller::MACHINED_RINGS_FACTOR,
        BearingKind::DrawnCupNeedle => roller::DRAWN_CUP_FACTOR,
        BearingKind::DeepGrooveBall | BearingKind::AngularContactPair => {
            return Ok(Ratings {
                dynamic_rating_n: ball::dynamic_rating_iso281_2007_n(internals)?,
                static_rating_n: Some(ball::static_rating_iso76_2006_n(internals)?),
                origin: "C and C0 from the internal geometry by ISO 281 and ISO 76".to_owned(),
                cautions: vec![
                    "the ratings hold for groove radii of at most 0.52 (inner) and 0.53 (outer) ball diameters"
                        .to_owned(),
                ],
            });
        }
    };
    Ok(Ratings {
        dynamic_rating_n: roller::dynamic_rating_iso281_2007_n(internals, factor)?,
        static_rating_n: Some(roller::static_rating_iso76_2006_n(internals)),
        origin: "C and C0 from the internal geometry by ISO 281 and ISO 76".to_owned(),
        cautions: vec![
            "the ratings hold for raceways of bearing quality: 58 HRC or more, ground, stiff enough not to go out of round"
                .to_owned(),
        ],
    })
}

/// The exponent of life over load that a kind of bearing has.
#[must_use]
pub fn life_exponent(kind: BearingKind) -> LifeExponent {
    match kind {
        BearingKind::DeepGrooveBall | BearingKind::AngularContactPair => LifeExponent::Ball,
        _ => LifeExponent::Roller,
    }
}

/// What a bearing has to carry.
#[derive(Clone, Debug, PartialEq)]
pub struct BearingDuty {
    /// Equivalent loads of the steps that turn and wear it.
    pub steps: Vec<DutyLoad>,
    /// P₀: greatest static equivalent load over all load cases, peak and emergency too.
    pub greatest_load_n: f64,
}

/// Life, basic and where possible modified, and static safety of a bearing under a duty cycle of equivalent loads.
///
/// `None` if nothing in the duty loads or turns it.
///
/// # Errors
/// [`BearingError`] if the bearing has no ratings.
pub fn assess(
    bearing: &Bearing,
    duty: &BearingDuty,
    surroundings: &Result<Surroundings, String>,
) -> Result<Option<BearingResult>, BearingError> {
    let ratings = rate(bearing)?;
    let exponent = life_exponent(bearing.kind);
    let Some(mean) = life::mean_load(&duty.steps, exponent) else { return Ok(None) };
    let life_million_turns =
        life::basic_rating_life_million_turns(ratings.dynamic_rating_n, mean.load_n, exponent);
    let modified = match surroundings {
        Ok(surroundings) => modified::modified_life(bearing, &ratings, &duty.steps, surroundings),
        Err(reason) => Err(NoModifiedLife::Lacking { what: reason.clone() }),
    };
    let film_too_thin = matches!(modified, Err(NoModifiedLife::ThinFilm { .. }));
    let (modified, why_not_modified) = match modified {
        Ok(life) => (Some(life), String::new()),
        Err(reason) => (None, reason.to_string()),
    };
    Ok(Some(BearingResult {
        dynamic_rating_n: ratings.dynamic_rating_n,
        static_rating_n: ratings.static_rating_n,
        rating_origin: ratings.origin,
        equivalent_load_n: mean.load_n,
        mean_speed_rad_per_s: mean.speed_rad_per_s,
        life_million_turns,
        life_s: life::life_s(life_million_turns, mean.speed_rad_per_s),
        modified,
        why_not_modified,
        film_too_thin,
        greatest_force_n: duty.greatest_load_n,
        static_safety: ratings.static_rating_n.map(|rating_n| rating_n / duty.greatest_load_n),
    }))
}

/// A value from a table of steps by straight lines between its entries, `None` outside.
///
/// **Source** `[iso281-2007]`: values between entries by linear interpolation.
fn interpolate(table: &[(f64, f64)], at: f64) -> Option<f64> {
    let upper = table.iter().position(|&(x, _)| x >= at)?;
    let (x1, y1) = table[upper];
    if upper == 0 {
        return (at == x1).then_some(y1);
    }
    let (x0, y0) = table[upper - 1];
    Some(y0 + (y1 - y0) * (at - x0) / (x1 - x0))
}

/// The same with an error that names the limits of the table.
fn look_up(table: &[(f64, f64)], ratio: f64) -> Result<f64, BearingError> {
    interpolate(table, ratio).ok_or(BearingError::OutsideTable {
        ratio,
        least: table[0].0,
        most: table[table.len() - 1].0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bearing(kind: BearingKind) -> Bearing {
        Bearing {
            kind,
            designation: None,
            dynamic_rating_n: None,
            static_rating_n: None,
            element_count: Some(14),
            row_count: 1,
            element_diameter_mm: Some(10.0),
            element_length_mm: Some(9.6),
            pitch_diameter_mm: Some(65.0),
            contact_angle_rad: None,
            row_distance_mm: 0.0,
            bore_diameter_mm: None,
            outside_diameter_mm: None,
            width_mm: None,
            radial_clearance_mm: 0.0,
            stiffness_n_per_mm: None,
            speed_limit_rad_per_s: None,
        }
    }

    #[test]
    fn identity_given_ratings_win_over_computed_ones() {
        let mut given = bearing(BearingKind::CylindricalRoller);
        let computed = rate(&given).unwrap();
        assert!(computed.origin.contains("ISO 281"));
        given.dynamic_rating_n = Some(30_000.0);
        let ratings = rate(&given).unwrap();
        assert_eq!(ratings.dynamic_rating_n, 30_000.0);
        assert_eq!(ratings.static_rating_n, computed.static_rating_n);
        given.element_count = None;
        assert_eq!(rate(&given).unwrap().static_rating_n, None);
    }

    #[test]
    fn identity_missing_and_impossible_internals_are_named() {
        let mut lacking = bearing(BearingKind::Needle);
        lacking.element_length_mm = None;
        lacking.pitch_diameter_mm = None;
        let missing = vec!["pitch_diameter", "element_length"];
        assert_eq!(rate(&lacking), Err(BearingError::Incomplete { missing }));
        let mut crowded = bearing(BearingKind::Needle);
        crowded.element_count = Some(21);
        assert!(matches!(rate(&crowded), Err(BearingError::Crowded { element_count: 21, .. })));
    }

    #[test]
    fn identity_contact_angle_lowers_the_radial_ratings_by_its_cosine() {
        let mut flat = bearing(BearingKind::TaperedRollerPair);
        flat.contact_angle_rad = Some(0.0);
        let mut steep = flat.clone();
        steep.contact_angle_rad = Some(FRAC_PI_4);
        let (flat, steep) = (rate(&flat).unwrap(), rate(&steep).unwrap());
        let ratio = 10.0 / 65.0;
        let cosine = math::cos(FRAC_PI_4);
        let expected = cosine * (1.0 - ratio * cosine) / (1.0 - ratio);
        let found = steep.static_rating_n.unwrap() / flat.static_rating_n.unwrap();
        assert!((found - expected).abs() < 1e-12);
        let mut crossed = bearing(BearingKind::CrossedRoller);
        crossed.element_count = Some(28);
        crossed.pitch_diameter_mm = Some(130.0);
        let mut pair = bearing(BearingKind::TaperedRollerPair);
        pair.contact_angle_rad = Some(FRAC_PI_4);
        pair.pitch_diameter_mm = Some(130.0);
        assert_eq!(rate(&crossed).unwrap().dynamic_rating_n, rate(&pair).unwrap().dynamic_rating_n);
    }

    #[test]
    fn identity_a_ball_needs_no_length() {
        let mut ball = bearing(BearingKind::DeepGrooveBall);
        ball.element_length_mm = None;
        assert!(rate(&ball).is_ok());
    }

    #[test]
    fn identity_more_rows_carry_by_the_standards_exponents() {
        let mut pair = bearing(BearingKind::CylindricalRoller);
        let single = rate(&pair).unwrap();
        pair.row_count = 2;
        let double = rate(&pair).unwrap();
        let expected = math::pow(2.0, 7.0 / 9.0);
        assert!((double.dynamic_rating_n / single.dynamic_rating_n - expected).abs() < 1e-12);
        assert!((double.static_rating_n.unwrap() / single.static_rating_n.unwrap() - 2.0).abs() < 1e-12);
    }
}
