//! The support of the discs' centres as a drive file states it, and the words for it.

use super::ContactModel;
use super::support::{BearingLaw, CentreSupport, RollerBearing};
use crate::bearing::Internals;
use crate::hertz::{Elastic, LineGeometry, contact_modulus_mpa};
use crate::line_contact::LineContact;
use crate::model::{BearingKind, BearingModel, ContactLaw, Drive};
use crate::thermal::Expansion;

/// Rollers and races, whatever the disc is made of: bearing steel.
pub const BEARING_STEEL: Elastic = Elastic { elastic_modulus_mpa: 206_000.0, poisson_ratio: 0.3 };

/// What the eccentric bearing gives in the load model, `auto` resolved.
///
/// Rollers without what is inside the bearing count as rigid; the reader asks for it.
///
/// **Source** convention of the drive file.
#[must_use]
pub fn bearing_model(drive: &Drive) -> BearingModel {
    let bearing = &drive.bearings.eccentric;
    let has_stiffness = bearing.stiffness_n_per_mm.is_some();
    match drive.model.eccentric_bearing {
        BearingModel::Auto | BearingModel::Stiffness if has_stiffness => BearingModel::Stiffness,
        BearingModel::Auto | BearingModel::Rollers if has_rollers(drive) => BearingModel::Rollers,
        _ => BearingModel::Rigid,
    }
}

/// Whether what is inside the eccentric bearing is known, and is rollers.
fn has_rollers(drive: &Drive) -> bool {
    let bearing = &drive.bearings.eccentric;
    let kinds = [BearingKind::CylindricalRoller, BearingKind::Needle, BearingKind::DrawnCupNeedle];
    kinds.contains(&bearing.kind) && Internals::of(bearing).is_ok()
}

/// Half of what the bearing's diametral clearance has become in operation; negative where expansion preloads it.
///
/// ```text
/// ΔG = 2 r_bore (k_disc − k_crank)
/// ```
/// The bore goes with the disc; rollers, crank and rings between grow alike, as steel at the discs' temperature. A fit that a warm disc
/// loosens counts as play of the bearing.
///
/// **Source** Derivation 4, §9.
#[must_use]
pub fn operating_play_mm(drive: &Drive, expansion: Expansion) -> f64 {
    let grown_mm = 2.0 * drive.geometry.bore_radius_mm * (expansion.disc - expansion.crank);
    0.5 * (drive.bearings.eccentric.radial_clearance_mm + grown_mm)
}

/// The support of every disc's centre, its parts grown.
///
/// **Source** Derivation 4, §9.
#[must_use]
pub fn centre_support(drive: &Drive, is_elastic: bool, expansion: Expansion) -> CentreSupport {
    let play_mm = operating_play_mm(drive, expansion);
    let bearing = match bearing_model(drive) {
        BearingModel::Stiffness => match drive.bearings.eccentric.stiffness_n_per_mm {
            // How much force a preload makes is not known from a stiffness beyond the play.
            Some(stiffness_n_per_mm) => BearingLaw::Spring { stiffness_n_per_mm, play_mm: play_mm.max(0.0) },
            None => BearingLaw::Rigid,
        },
        BearingModel::Rollers => {
            roller_bearing(drive, is_elastic, play_mm).map_or(BearingLaw::Rigid, BearingLaw::Rollers)
        }
        BearingModel::Rigid | BearingModel::Auto => BearingLaw::Rigid,
    };
    CentreSupport {
        bearing,
        crank_compliance_mm_per_n: drive
            .stiffness
            .crank_support_n_per_mm
            .map_or(0.0, |stiffness| 1.0 / stiffness),
    }
}

fn roller_bearing(drive: &Drive, is_elastic: bool, play_mm: f64) -> Option<RollerBearing> {
    let internals = Internals::of(&drive.bearings.eccentric).ok()?;
    Some(RollerBearing {
        element_count: internals.element_count,
        row_count: internals.row_count,
        contact: roller_contact(drive.model.contact_law, is_elastic, &internals)
            .between_races(internals.row_count),
        race_depth_mm: 0.5 * internals.element_diameter_mm,
        play_mm,
        diameter_ratio: internals.diameter_ratio(),
        cage_phase_rad: drive.model.cage_phase_rad,
    })
}

/// Law of a roller against one race, the same choice as in the mesh; a constant stiffness is none of a roller's, so Palmgren's
/// law stands in.
///
/// The two-cylinder law counts to the roller's axis and as far below the race. Its logarithm makes two races that of the
/// geometric mean of their curvatures, twice.
fn roller_contact(stated: ContactLaw, is_elastic: bool, internals: &Internals) -> LineContact {
    let length_mm = internals.element_length_mm;
    let is_two_cylinders = match stated {
        ContactLaw::Auto => is_elastic,
        stated => stated == ContactLaw::TwoCylinders,
    };
    if is_two_cylinders {
        let depth_mm = 0.5 * internals.element_diameter_mm;
        let [inner, outer] = race_curvatures_per_mm(internals);
        let mean = (inner * outer).sqrt();
        return LineContact::two_cylinders(
            length_mm,
            &BEARING_STEEL,
            &BEARING_STEEL,
            mean,
            depth_mm,
            depth_mm,
        );
    }
    match stated {
        ContactLaw::Brandlein => LineContact::brandlein(length_mm),
        _ => LineContact::palmgren(length_mm),
    }
}

/// Curvature of a roller against inner and outer race: 2/D_w ± 2/(D_pw ∓ D_w).
///
/// **Source** geometry.
#[must_use]
pub fn race_curvatures_per_mm(internals: &Internals) -> [f64; 2] {
    let (element, pitch) = (internals.element_diameter_mm, internals.pitch_diameter_mm);
    [2.0 / element + 2.0 / (pitch - element), 2.0 / element - 2.0 / (pitch + element)]
}

/// The line contact of a roller with its inner race, where its pressure is greatest.
///
/// **Source** geometry.
#[must_use]
pub fn inner_race(internals: &Internals) -> LineGeometry {
    LineGeometry {
        length_mm: internals.element_length_mm,
        relative_curvature_per_mm: race_curvatures_per_mm(internals)[0],
        contact_modulus_mpa: contact_modulus_mpa(&BEARING_STEEL, &BEARING_STEEL),
    }
}

/// The support in words.
#[must_use]
pub fn in_words(drive: &Drive, support: &CentreSupport) -> String {
    let clearance = |play_mm: f64| {
        if play_mm >= 0.0 {
            format!("{:.1} µm clearance in operation", 2e3 * play_mm)
        } else {
            format!("{:.1} µm preload in operation", -2e3 * play_mm)
        }
    };
    let bearing = match support.bearing {
        BearingLaw::Rigid => "rigid eccentric bearings".to_owned(),
        BearingLaw::Spring { stiffness_n_per_mm, play_mm } => {
            format!("eccentric bearings of {stiffness_n_per_mm:.0} N/mm with {}", clearance(play_mm))
        }
        BearingLaw::Rollers(rollers) => format!(
            "eccentric bearings of {} rollers ({}) with {}",
            rollers.element_count * rollers.row_count,
            rollers.contact.words(),
            clearance(rollers.play_mm)
        ),
    };
    match drive.stiffness.crank_support_n_per_mm {
        Some(stiffness) => format!("{bearing} on a crank of {stiffness:.0} N/mm"),
        None => bearing,
    }
}

/// The parts around the mesh that have a stiffness, each with its words.
fn surroundings(drive: &Drive) -> [(bool, &'static str); 5] {
    let given = &drive.stiffness;
    [
        (given.crank_support_n_per_mm.is_some(), "crank with its bearings"),
        (given.crank_torsion_n_mm_per_rad.is_some(), "crank in torsion"),
        (given.carrier_n_mm_per_rad.is_some(), "plate of the output pins"),
        (given.ring_n_mm_per_rad.is_some(), "ring with its housing"),
        (given.output_bearing_n_per_mm.is_some(), "output bearing"),
    ]
}

/// What surrounds the mesh, in words.
#[must_use]
pub fn surroundings_in_words(drive: &Drive) -> String {
    let list = |is_given: bool| {
        let parts = surroundings(drive);
        parts
            .iter()
            .filter(|(given, _)| *given == is_given)
            .map(|(_, words)| *words)
            .collect::<Vec<_>>()
            .join(", ")
    };
    match (list(true), list(false)) {
        (given, rigid) if given.is_empty() => format!("taken as rigid: {rigid}"),
        (given, rigid) if rigid.is_empty() => format!("by stated stiffnesses: {given}"),
        (given, rigid) => format!("by stated stiffnesses: {given}; taken as rigid: {rigid}"),
    }
}

/// What the model of bearings and surroundings leaves out.
#[must_use]
pub fn assumptions(drive: &Drive, model: &ContactModel) -> Vec<String> {
    let mut all = Vec::new();
    match model.support.bearing {
        BearingLaw::Rigid => all.push("Eccentric bearings hold the discs' centres on the crank without clearance: what they give and their play make wind-up and lost motion larger; but discs then settle between their rollers, and the bearing force is smaller, by up to two fifths.".to_owned()),
        BearingLaw::Spring { .. } => {}
        BearingLaw::Rollers(_) => all.push("Rollers of the eccentric bearings and their races are of steel, straight and true, and carry evenly along their length; the cage rolls on from its stated place, so that the bearing repeats with no period of the drive.".to_owned()),
    }
    if model.support.play_mm() > 0.0 {
        all.push("Without load the discs stand where the torque, going to nothing, leaves them at the end of the bearings' play; the play in the bearings is no part of the wind-up.".to_owned());
    }
    if drive.stiffness.crank_support_n_per_mm.is_some() && drive.geometry.disc_count > 1 {
        all.push("The crank yields at each disc under that disc's force alone.".to_owned());
    }
    if drive.stiffness.output_bearing_n_per_mm.is_some() {
        all.push("What the output bearing yields changes no forces at the pins.".to_owned());
    }
    let rigid: Vec<&str> =
        surroundings(drive).iter().filter(|(given, _)| !given).map(|(_, words)| *words).collect();
    if !rigid.is_empty() {
        all.push(format!(
            "No stiffness is given, and nothing counted, for: {}. They often give as much as the mesh.",
            rigid.join(", ")
        ));
    }
    all
}
