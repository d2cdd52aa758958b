//! Dimensions, units and the reading of quantities written as text; the only place that converts.
//!
//! Inside the core everything is mm, N, MPa, N·mm, rad, s, kg, K, W. A person writes
//! `"3.2 mm"`, `"180 N·m"` or `"1500 rpm"`; [`parse_quantity`] turns that into the core unit.

use curves::math;
use std::f64::consts::{PI, TAU};

/// What kind of quantity a number is, and so in which core unit it is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Dimension {
    /// Length in mm.
    Length,
    /// Plane angle in rad.
    Angle,
    /// Force in N.
    Force,
    /// Torque in N·mm.
    Torque,
    /// Stress or pressure in MPa.
    Stress,
    /// Pressure times speed in MPa·mm/s.
    PressureSpeed,
    /// Area in mm².
    Area,
    /// Curvature in 1/mm.
    Curvature,
    /// Speed in mm/s.
    Speed,
    /// Angular speed in rad/s.
    AngularSpeed,
    /// Time in s.
    Time,
    /// Events per second (1/s).
    Rate,
    /// Absolute temperature in K.
    Temperature,
    /// Difference of temperatures in K.
    TemperatureDifference,
    /// Mass in kg.
    Mass,
    /// Mass moment of inertia in kg·mm².
    Inertia,
    /// Density in kg/mm³.
    Density,
    /// Mass times radius of an unbalance in kg·mm.
    Unbalance,
    /// Kinematic viscosity in mm²/s.
    Viscosity,
    /// Power in W.
    Power,
    /// Heat given off per area and temperature difference in W/(mm²·K).
    HeatTransfer,
    /// Linear stiffness in N/mm.
    LinearStiffness,
    /// Torsional stiffness in N·mm/rad.
    TorsionalStiffness,
    /// Thermal expansion in 1/K.
    Expansion,
    /// A plain number or a share.
    Plain,
}

/// One way to write a quantity: its spellings and the way into the core unit.
#[derive(Clone, Copy, Debug)]
pub struct Unit {
    /// Accepted spellings; the first is the one we print.
    pub spellings: &'static [&'static str],
    /// The kind of quantity it measures.
    pub dimension: Dimension,
    /// Core units in one of these.
    pub factor: f64,
    /// Added after the factor; only temperatures have one.
    pub offset: f64,
}

const fn unit(spellings: &'static [&'static str], dimension: Dimension, factor: f64) -> Unit {
    Unit { spellings, dimension, factor, offset: 0.0 }
}

/// Reference temperature of drawings, 20 °C. Source: `[iso1-2022]`, from memory.
pub const CELSIUS_20_K: f64 = 293.15;

const INCH_MM: f64 = 25.4;
/// Pound-force in N: 0.45359237 kg × 9.80665 m/s², both exact by definition.
const POUND_FORCE_N: f64 = 4.448_221_615_260_5;

use Dimension as D;

/// Every unit that a drive file may use. The first unit of a dimension is the one suggested in messages.
///
/// Factors of inch, pound and degree are exact by definition (`[bipm-si-2019]`; inch and pound from memory).
pub const UNITS: &[Unit] = &[
    unit(&["mm"], D::Length, 1.0),
    unit(&["µm", "um", "μm"], D::Length, 1e-3),
    unit(&["cm"], D::Length, 10.0),
    unit(&["m"], D::Length, 1e3),
    unit(&["in", "inch"], D::Length, INCH_MM),
    unit(&["ft"], D::Length, 12.0 * INCH_MM),
    unit(&["mm²", "mm^2", "mm2"], D::Area, 1.0),
    unit(&["cm²", "cm^2", "cm2"], D::Area, 100.0),
    unit(&["m²", "m^2", "m2"], D::Area, 1e6),
    unit(&["1/mm", "/mm"], D::Curvature, 1.0),
    unit(&["mm/s"], D::Speed, 1.0),
    unit(&["m/s"], D::Speed, 1e3),
    unit(&["arcmin", "′"], D::Angle, PI / 10_800.0),
    unit(&["arcsec", "″"], D::Angle, PI / 648_000.0),
    unit(&["deg", "°"], D::Angle, PI / 180.0),
    unit(&["rad"], D::Angle, 1.0),
    unit(&["mrad"], D::Angle, 1e-3),
    unit(&["N"], D::Force, 1.0),
    unit(&["kN"], D::Force, 1e3),
    unit(&["lbf", "lb"], D::Force, POUND_FORCE_N),
    unit(&["N·m", "Nm", "N*m", "N.m", "N m"], D::Torque, 1e3),
    unit(&["N·mm", "Nmm", "N*mm"], D::Torque, 1.0),
    unit(&["kN·m", "kNm", "kN*m"], D::Torque, 1e6),
    unit(
        &["lbf·in", "lbf*in", "lbf in", "in·lbf", "in·lb", "in-lb", "lb·in"],
        D::Torque,
        POUND_FORCE_N * INCH_MM,
    ),
    unit(
        &["ft·lb", "ft*lb", "ft-lb", "ft lb", "ft·lbf", "lbf·ft", "lbf*ft", "lb·ft"],
        D::Torque,
        POUND_FORCE_N * 12.0 * INCH_MM,
    ),
    unit(&["MPa", "N/mm²", "N/mm^2", "N/mm2"], D::Stress, 1.0),
    unit(&["GPa"], D::Stress, 1e3),
    unit(&["psi"], D::Stress, POUND_FORCE_N / (INCH_MM * INCH_MM)),
    unit(&["MPa·m/s", "MPa*m/s", "N/mm²·m/s", "N/mm^2*m/s"], D::PressureSpeed, 1e3),
    unit(&["MPa·mm/s", "MPa*mm/s"], D::PressureSpeed, 1.0),
    unit(&["rpm", "r/min", "1/min", "min⁻¹"], D::AngularSpeed, TAU / 60.0),
    unit(&["rad/s"], D::AngularSpeed, 1.0),
    unit(&["deg/s", "°/s"], D::AngularSpeed, PI / 180.0),
    unit(&["h"], D::Time, 3600.0),
    unit(&["min"], D::Time, 60.0),
    unit(&["s"], D::Time, 1.0),
    unit(&["ms"], D::Time, 1e-3),
    unit(&["/min", "1/min"], D::Rate, 1.0 / 60.0),
    unit(&["/h", "1/h"], D::Rate, 1.0 / 3600.0),
    unit(&["/s", "1/s"], D::Rate, 1.0),
    unit(&["Hz"], D::Rate, 1.0),
    Unit { spellings: &["°C", "degC", "C"], dimension: D::Temperature, factor: 1.0, offset: 273.15 },
    unit(&["K"], D::Temperature, 1.0),
    unit(&["K"], D::TemperatureDifference, 1.0),
    unit(&["°C", "degC", "C"], D::TemperatureDifference, 1.0),
    unit(&["kg"], D::Mass, 1.0),
    unit(&["g"], D::Mass, 1e-3),
    unit(&["kg·m²", "kg*m^2", "kg·m2", "kgm²", "kg m²"], D::Inertia, 1e6),
    unit(&["kg·mm²", "kg*mm^2", "kg·mm2"], D::Inertia, 1.0),
    unit(&["g·mm²", "g*mm^2", "g·mm2"], D::Inertia, 1e-3),
    unit(&["kg·cm²", "kg*cm^2", "kg·cm2"], D::Inertia, 100.0),
    unit(&["g·mm", "g*mm"], D::Unbalance, 1e-3),
    unit(&["kg·mm", "kg*mm"], D::Unbalance, 1.0),
    unit(&["g/cm³", "g/cm^3", "g/cm3"], D::Density, 1e-6),
    unit(&["kg/m³", "kg/m^3", "kg/m3"], D::Density, 1e-9),
    unit(&["mm²/s", "mm^2/s", "mm2/s", "cSt"], D::Viscosity, 1.0),
    unit(&["W"], D::Power, 1.0),
    unit(&["kW"], D::Power, 1e3),
    unit(&["W/m²/K", "W/m^2/K", "W/(m²·K)", "W/(m^2*K)"], D::HeatTransfer, 1e-6),
    unit(&["N/mm"], D::LinearStiffness, 1.0),
    unit(&["N/µm", "N/um"], D::LinearStiffness, 1e3),
    unit(&["N·m/arcmin", "Nm/arcmin", "N*m/arcmin"], D::TorsionalStiffness, 1e3 * 10_800.0 / PI),
    unit(&["N·m/rad", "Nm/rad", "N*m/rad"], D::TorsionalStiffness, 1e3),
    unit(&["µm/m/K", "um/m/K", "1e-6/K"], D::Expansion, 1e-6),
    unit(&["1/K", "/K"], D::Expansion, 1.0),
    unit(&["%"], D::Plain, 0.01),
];

/// Why a text is not a quantity of the wanted dimension.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum QuantityError {
    /// The text does not begin with a number.
    #[error("`{text}` does not start with a number")]
    NoNumber {
        /// The text as written.
        text: String,
    },
    /// The number stands alone where a unit is due.
    #[error("`{text}` has no unit")]
    NoUnit {
        /// The text as written.
        text: String,
    },
    /// The unit is not known at all.
    #[error("`{unit}` is not a unit that this program reads")]
    UnknownUnit {
        /// The unit as written.
        unit: String,
    },
    /// The unit measures something else.
    #[error("`{unit}` does not measure {}", dimension.words())]
    WrongDimension {
        /// The unit as written.
        unit: String,
        /// What was wanted.
        dimension: Dimension,
    },
    /// The number is infinite, not a number, or too large to hold.
    #[error("`{text}` is not a finite number")]
    NotFinite {
        /// The text as written.
        text: String,
    },
}

impl Dimension {
    /// The dimension in words, as messages use it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            D::Length => "a length",
            D::Angle => "an angle",
            D::Force => "a force",
            D::Torque => "a torque",
            D::Stress => "a stress",
            D::PressureSpeed => "a pressure times speed",
            D::Area => "an area",
            D::Curvature => "a curvature",
            D::Speed => "a speed",
            D::AngularSpeed => "a speed of rotation",
            D::Time => "a time",
            D::Rate => "a rate",
            D::Temperature => "a temperature",
            D::TemperatureDifference => "a difference of temperatures",
            D::Mass => "a mass",
            D::Inertia => "a moment of inertia",
            D::Density => "a density",
            D::Unbalance => "an unbalance",
            D::Viscosity => "a kinematic viscosity",
            D::Power => "a power",
            D::HeatTransfer => "a heat transfer coefficient",
            D::LinearStiffness => "a stiffness",
            D::TorsionalStiffness => "a torsional stiffness",
            D::Expansion => "a thermal expansion",
            D::Plain => "a plain number",
        }
    }

    /// The units of this dimension, the usual one first.
    pub fn units(self) -> impl Iterator<Item = &'static Unit> {
        UNITS.iter().filter(move |unit| unit.dimension == self)
    }

    /// The core unit as a suffix of names in code and JSON, empty for plain numbers.
    #[must_use]
    pub fn suffix(self) -> &'static str {
        match self {
            D::Length => "_mm",
            D::Angle => "_rad",
            D::Force => "_n",
            D::Torque => "_n_mm",
            D::Stress => "_mpa",
            D::PressureSpeed => "_mpa_mm_per_s",
            D::Area => "_mm2",
            D::Curvature => "_per_mm",
            D::Speed => "_mm_per_s",
            D::AngularSpeed => "_rad_per_s",
            D::Time => "_s",
            D::Rate => "_per_s",
            D::Temperature | D::TemperatureDifference => "_k",
            D::Mass => "_kg",
            D::Inertia => "_kg_mm2",
            D::Density => "_kg_per_mm3",
            D::Unbalance => "_kg_mm",
            D::Viscosity => "_mm2_per_s",
            D::Power => "_w",
            D::HeatTransfer => "_w_per_mm2_k",
            D::LinearStiffness => "_n_per_mm",
            D::TorsionalStiffness => "_n_mm_per_rad",
            D::Expansion => "_per_k",
            D::Plain => "",
        }
    }
}

/// The unit of a dimension that is spelled so.
#[must_use]
pub fn find_unit(spelling: &str, dimension: Dimension) -> Option<&'static Unit> {
    dimension.units().find(|unit| unit.spellings.contains(&spelling))
}

/// A value in core units, read from text such as `"3.2 mm"`.
///
/// # Errors
/// [`QuantityError`] says what is wrong with the text; the caller knows where it stands.
pub fn parse_quantity(text: &str, dimension: Dimension) -> Result<f64, QuantityError> {
    let trimmed = text.trim();
    let (number, unit_text) = split_number(trimmed);
    let Ok(value) = number.replace('−', "-").parse::<f64>() else {
        return Err(QuantityError::NoNumber { text: text.to_owned() });
    };
    if !value.is_finite() {
        return Err(QuantityError::NotFinite { text: text.to_owned() });
    }
    if unit_text.is_empty() {
        return if dimension == Dimension::Plain {
            Ok(value)
        } else {
            Err(QuantityError::NoUnit { text: text.to_owned() })
        };
    }
    let Some(unit) = find_unit(unit_text, dimension) else {
        let known = UNITS.iter().any(|unit| unit.spellings.contains(&unit_text));
        let unit = unit_text.to_owned();
        return Err(if known {
            QuantityError::WrongDimension { unit, dimension }
        } else {
            QuantityError::UnknownUnit { unit }
        });
    };
    let core = value * unit.factor + unit.offset;
    if core.is_finite() { Ok(core) } else { Err(QuantityError::NotFinite { text: text.to_owned() }) }
}

/// Splits `"3.2 mm"` into `"3.2"` and `"mm"`; an exponent belongs to the number only if digits follow it.
fn split_number(text: &str) -> (&str, &str) {
    let mut end = 0;
    for (index, character) in text.char_indices() {
        let accepted = match character {
            '0'..='9' | '.' => true,
            '+' | '-' | '−' => index == 0 || text[..index].ends_with(['e', 'E']),
            'e' | 'E' => {
                let rest = text[index + 1..].trim_start_matches(['+', '-']);
                index > 0 && rest.starts_with(|next: char| next.is_ascii_digit())
            }
            _ => false,
        };
        if !accepted {
            break;
        }
        end = index + character.len_utf8();
    }
    (&text[..end], text[end..].trim_start())
}

/// A core value expressed in a unit.
#[must_use]
pub fn in_unit(core_value: f64, unit: &Unit) -> f64 {
    (core_value - unit.offset) / unit.factor
}

/// Angle in degrees.
#[must_use]
pub fn degrees(angle_rad: f64) -> f64 {
    angle_rad * 180.0 / PI
}

/// Angle in radians from degrees.
#[must_use]
pub fn radians(angle_deg: f64) -> f64 {
    angle_deg * PI / 180.0
}

/// Angle in minutes of arc.
#[must_use]
pub fn arcmin(angle_rad: f64) -> f64 {
    angle_rad * 10_800.0 / PI
}

/// Speed in revolutions per minute.
#[must_use]
pub fn rpm(speed_rad_per_s: f64) -> f64 {
    speed_rad_per_s * 60.0 / TAU
}

/// Speed in rad/s from revolutions per minute.
#[must_use]
pub fn rad_per_s(speed_rpm: f64) -> f64 {
    speed_rpm * TAU / 60.0
}

/// Power in W from torque in N·mm and speed in rad/s.
#[must_use]
pub fn power_w(torque_n_mm: f64, speed_rad_per_s: f64) -> f64 {
    torque_n_mm * speed_rad_per_s * 1e-3
}

/// Force in N of a mass in kg on a circle of a radius in mm at a speed in rad/s: kg·mm/s² is mN.
#[must_use]
pub fn rotating_force_n(mass_kg: f64, radius_mm: f64, speed_rad_per_s: f64) -> f64 {
    mass_kg * radius_mm * math::square(speed_rad_per_s) * 1e-3
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_every_spelling_reads_and_returns() {
        for unit in UNITS {
            for spelling in unit.spellings {
                let value = parse_quantity(&format!("2.5 {spelling}"), unit.dimension).unwrap();
                assert!((in_unit(value, unit) - 2.5).abs() < 1e-12, "{spelling}");
            }
        }
    }

    #[test]
    fn identity_same_torque_in_every_way_of_writing() {
        for text in ["180 N·m", "180 Nm", "180 N*m", "180N·m", "1.8e2 N·m", "0.18 kN·m", "180000 N·mm"] {
            assert_eq!(parse_quantity(text, Dimension::Torque).unwrap(), 180_000.0, "{text}");
        }
    }

    #[test]
    fn identity_a_difference_of_temperatures_has_no_zero_point() {
        let read = |text| parse_quantity(text, Dimension::TemperatureDifference).unwrap();
        assert_eq!((read("10 K"), read("10 °C")), (10.0, 10.0));
        assert_eq!(parse_quantity("10 °C", Dimension::Temperature).unwrap(), 283.15);
    }

    #[test]
    fn identity_mistakes_are_told_apart() {
        let read = |text| parse_quantity(text, Dimension::Length).unwrap_err();
        assert!(matches!(read("3.2"), QuantityError::NoUnit { .. }));
        assert!(matches!(read("mm"), QuantityError::NoNumber { .. }));
        assert!(matches!(read("3 parsec"), QuantityError::UnknownUnit { .. }));
        assert!(matches!(read("3 N"), QuantityError::WrongDimension { .. }));
        assert!(matches!(read("1e999 mm"), QuantityError::NotFinite { .. }));
        assert!(matches!(read("NaN mm"), QuantityError::NoNumber { .. }));
    }
}
