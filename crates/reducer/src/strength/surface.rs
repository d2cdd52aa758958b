//! Below and at the surface: depth of the hard case, hardness of the disc's bore as a raceway.

use crate::contact::build::{ContactMaterials, roller_contact_length_mm};
use crate::finding::{Check, Finding, Sense, Standing, Subject, YES_OR_NO};
use crate::hertz;
use crate::materials::Material;
use crate::model::{BearingKind, Drive};
use crate::results::LoadCase;
use std::f64::consts::PI;

/// Vickers hardness that the bearing ratings suppose of a raceway, 58 HRC.
///
/// **Source** common practice; `[iso281-2007]` supposes raceways of bearing quality.
pub const LEAST_RACEWAY_HARDNESS: f64 = 653.0;
/// Case depth over the depth of the greatest shear. Source: common practice.
const CASE_OVER_SHEAR_DEPTH: f64 = 2.0;
/// Diameters nearer than this are the same raceway; clearance and grinding stay below it.
const SAME_MM: f64 = 0.2;

/// A part that may have a hard case.
struct Cased<'a> {
    id: &'static str,
    title: &'static str,
    quantity: &'static str,
    material: &'a Material,
    depth_mm: Option<f64>,
    key: &'static str,
}

/// Case depths of discs and rollers, where their material has a case, and the bore as a raceway.
#[must_use]
pub fn surface_checks(drive: &Drive, materials: &ContactMaterials, load_cases: &[LoadCase]) -> Vec<Finding> {
    let pressure = |case: &LoadCase| case.extremes.ring_roller_pressure.value;
    let worst = load_cases.iter().max_by(|a, b| pressure(a).total_cmp(&pressure(b)));
    let parts = [
        Cased {
            id: "case-depth-disc",
            title: "depth of the hard case of the discs",
            quantity: "disc_case_depth_mm",
            material: &materials.disc,
            depth_mm: drive.materials.disc_case_depth_mm,
            key: "materials.disc_case_depth",
        },
        Cased {
            id: "case-depth-roller",
            title: "depth of the hard case of the ring rollers",
            quantity: "roller_case_depth_mm",
            material: &materials.roller,
            depth_mm: drive.materials.roller_case_depth_mm,
            key: "materials.roller_case_depth",
        },
    ];
    let mut findings: Vec<Finding> = parts
        .iter()
        .filter(|part| part.material.is_case_hardened || part.depth_mm.is_some())
        .filter_map(|part| case_depth(drive, part, worst?))
        .collect();
    findings.extend(raceway(drive, materials));
    findings
}

fn case_depth(drive: &Drive, part: &Cased, case: &LoadCase) -> Option<Finding> {
    let needed_mm = needed_case_depth_mm(drive, part.material, case)?;
    let Some(value) = part.depth_mm else {
        let reason = "state the depth of the case after grinding";
        let limit = Some((part.quantity, needed_mm));
        return Some(Finding::not_assessed(part.id, Subject::Strength, part.title, limit, part.key, reason));
    };
    Some(
        Check {
            id: part.id,
            subject: Subject::Strength,
            title: part.title,
            quantity: part.quantity,
            value,
            limit: needed_mm,
            sense: Sense::AtLeast,
            scale: needed_mm,
            when_broken: Standing::Fails,
            place: format!(
                "twice the depth of the greatest shear, and to where the core bears the shear, {}",
                case.title
            ),
            formula: "case-depth",
            hint: "harden deeper, grind off less, or lower the pressure".to_owned(),
            key: part.key,
        }
        .finding(),
    )
}

/// Depth that a case needs under the greatest pressure of a load case; absent where nothing presses.
///
/// ```text
/// depth ≥ max(2 z_τ, z where τ(z) = R_e/√3 of the core),   b = 2 F/(π L p₀)
/// ```
/// **Source** common practice for the first; [`hertz::shear_share`] against the core's yield in shear for the second.
fn needed_case_depth_mm(drive: &Drive, material: &Material, case: &LoadCase) -> Option<f64> {
    let extreme = &case.extremes.ring_roller_pressure;
    let pose = case.poses.iter().find(|pose| pose.crank_angle_rad == extreme.crank_angle_rad)?;
    let force_n = pose.discs[extreme.disc].ring_roller_force_n[extreme.contact];
    if extreme.value <= 0.0 {
        return None;
    }
    let half_width_mm = 2.0 * force_n / (PI * roller_contact_length_mm(drive) * extreme.value);
    let core = hertz::depth_of_shear_share(material.shear_yield_strength_mpa() / extreme.value);
    Some(half_width_mm * core.max(CASE_OVER_SHEAR_DEPTH * hertz::SHEAR_DEPTH_SHARE))
}

/// Rollers that run straight in the disc's bore need a disc as hard as a bearing ring.
fn raceway(drive: &Drive, materials: &ContactMaterials) -> Option<Finding> {
    let bearing = &drive.bearings.eccentric;
    let has_rollers = matches!(bearing.kind, BearingKind::CylindricalRoller | BearingKind::Needle);
    let outer_raceway_mm = bearing.pitch_diameter_mm? + bearing.element_diameter_mm?;
    let runs_in_bore = (outer_raceway_mm - 2.0 * drive.geometry.bore_radius_mm).abs() < SAME_MM;
    if !has_rollers || !runs_in_bore {
        return None;
    }
    let (id, title, key) =
        ("bore-hardness", "Vickers hardness of the disc's bore as a raceway", "materials.disc");
    let Some(value) = materials.disc.surface_hardness else {
        let reason = "rollers run in the bore, and the hardness of the disc's material is not known: state surface_hardness, or give the bearing an outer ring";
        let limit = Some(("surface_hardness", LEAST_RACEWAY_HARDNESS));
        return Some(Finding::not_assessed(id, Subject::Strength, title, limit, key, reason));
    };
    Some(
        Check {
            id,
            subject: Subject::Strength,
            title,
            quantity: "surface_hardness",
            value,
            limit: LEAST_RACEWAY_HARDNESS,
            sense: Sense::AtLeast,
            scale: YES_OR_NO,
            when_broken: Standing::Fails,
            place: "58 HRC; on softer raceways the computed ratings of the bearing do not hold".to_owned(),
            formula: "",
            hint: "harden the disc, or give the bearing an outer ring".to_owned(),
            key,
        }
        .finding(),
    )
}
