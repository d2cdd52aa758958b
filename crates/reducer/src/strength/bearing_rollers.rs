//! Pressure of the eccentric bearing's most loaded roller against what the static rating stands for.

use crate::bearing::Internals;
use crate::contact::centre::inner_race;
use crate::contact::support::LARGEST_SHARE;
use crate::finding::{Check, Finding, Sense, Standing, Subject};
use crate::model::{BearingKind, Drive};
use crate::results::{Extreme, LoadCase};
use crate::units::degrees;

/// Pressure at the most loaded roller that the static rating of roller bearings stands for.
///
/// **Source** `[iso76-2006]`, from memory.
pub const STATIC_PRESSURE_MPA: f64 = 4_000.0;

/// The most loaded roller over all load cases; none where the bearing has no rollers, or what is inside it is not known.
///
/// Where the load model has the rollers, their own forces count; otherwise 5 F/Z, which covers usual clearances.
///
/// **Source** `[iso76-2006]`, `[harris2001]`, from memory.
#[must_use]
pub fn roller_pressure(drive: &Drive, load_cases: &[LoadCase]) -> Option<Finding> {
    let bearing = &drive.bearings.eccentric;
    let kinds = [BearingKind::CylindricalRoller, BearingKind::Needle, BearingKind::DrawnCupNeedle];
    let internals = Internals::of(bearing).ok().filter(|_| kinds.contains(&bearing.kind))?;
    let rollers = load_cases
        .iter()
        .filter_map(|case| Some((case.extremes.bearing_element_pressure.as_ref()?, case)))
        .max_by(|a, b| a.0.value.total_cmp(&b.0.value));
    let (pressure_mpa, place) = match rollers {
        Some((extreme, case)) => (extreme.value, of_roller(extreme, case)),
        None => {
            let force_n = load_cases.iter().map(|case| case.extremes.bearing_force.value).fold(0.0, f64::max);
            let count = (internals.element_count * internals.row_count) as f64;
            let pressure = inner_race(&internals).pressure_mpa(LARGEST_SHARE * force_n / count);
            (
                pressure,
                "5 F/Z from the greatest force of all load cases; the rollers are not in the load model"
                    .to_owned(),
            )
        }
    };
    Some(
        Check {
            id: "bearing-roller-pressure",
            subject: Subject::Strength,
            title: "greatest pressure at a roller of the eccentric bearing",
            quantity: "bearing_element_pressure_mpa",
            value: pressure_mpa,
            limit: STATIC_PRESSURE_MPA,
            sense: Sense::AtMost,
            scale: STATIC_PRESSURE_MPA,
            when_broken: Standing::Fails,
            place,
            formula: "bearing-roller-load",
            hint: "take a bearing with more or longer rollers or less clearance, or enlarge eccentricity to lower its force".to_owned(),
            key: "bearings.eccentric",
        }
        .finding(),
    )
}

/// Roller, disc and crank angle in words; people count from one.
fn of_roller(extreme: &Extreme, case: &LoadCase) -> String {
    format!(
        "{}: roller {} of disc {} at a crank angle of {:.1}°, inner race",
        case.title,
        extreme.contact + 1,
        extreme.disc + 1,
        degrees(extreme.crank_angle_rad)
    )
}
