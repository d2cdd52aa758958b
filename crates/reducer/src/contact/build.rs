//! The contact model of a drive as its file states it: profile, laws, compliances, and the words for them.

use super::centre::{self, centre_support};
use super::flank::{LOST_MOTION_SHARE, LightGive};
use super::{ContactModel, RollerLaw, TwoCylinderRollers};
use crate::elastic::crowded::crowding_of;
use crate::elastic::disc::{BoreSupport, DiscShape};
use crate::elastic::plane::PlaneState;
use crate::elastic::{ComplianceData, DiscCompliance};
use crate::kinematics;
use crate::line_contact::LineContact;
use crate::materials::{self, Material, MaterialError};
use crate::model::{ContactLaw, DiscModel, Drive, GapModel};
use crate::part::{hole_radius_mm, pin_outside_radius_mm};
use crate::pin::Pin;
use crate::profile::{LobeProfile, Trochoid};
use crate::results::ModelUsed;
use crate::thermal::Expansion;
use std::sync::Arc;

/// Materials of the parts that touch.
#[derive(Clone, Debug)]
pub struct ContactMaterials {
    /// Discs.
    pub disc: Material,
    /// Ring rollers.
    pub roller: Material,
    /// Ring; taken as the rollers' where the file does not name it.
    pub ring: Material,
    /// Pins that ring rollers turn on; taken as the rollers' where the file does not name them.
    pub ring_pin: Material,
    /// Output pins.
    pub pin: Material,
    /// What runs in the output holes: the sleeve where there is one, the pin otherwise.
    pub pin_surface: Material,
}

impl ContactMaterials {
    /// The materials that a drive names.
    ///
    /// # Errors
    /// [`MaterialError`] for a name that is neither built in nor stated in the file.
    pub fn of(drive: &Drive) -> Result<Self, MaterialError> {
        let named = |name: &str| materials::find(name, &drive.materials.custom);
        let pin = named(&drive.materials.output_pin)?;
        let roller = named(&drive.materials.ring_roller)?;
        let ring = drive.materials.ring.as_deref().map(named).transpose()?;
        let ring_pin = drive.materials.ring_pin.as_deref().map(named).transpose()?;
        let surface = drive.materials.sleeve.as_deref().map(named).transpose()?;
        Ok(Self {
            disc: named(&drive.materials.disc)?,
            ring: ring.unwrap_or_else(|| roller.clone()),
            ring_pin: ring_pin.unwrap_or_else(|| roller.clone()),
            roller,
            pin_surface: surface.unwrap_or_else(|| pin.clone()),
            pin,
        })
    }
}

/// Length of a roller contact: what chamfers leave of the disc's width.
#[must_use]
pub fn roller_contact_length_mm(drive: &Drive) -> f64 {
    drive.geometry.contact_length_mm.unwrap_or(drive.geometry.disc_width_mm)
}

/// Length of a pin contact: what chamfers leave of the disc's width.
#[must_use]
pub fn pin_contact_length_mm(drive: &Drive) -> f64 {
    drive.geometry.pin_contact_length_mm.unwrap_or(drive.geometry.disc_width_mm)
}

/// How the parts have grown at their temperatures in operation.
#[must_use]
pub fn expansion_in_operation(drive: &Drive, materials: &ContactMaterials) -> Expansion {
    Expansion::in_operation(&drive.requirement, &materials.ring, &materials.roller, &materials.disc)
}

/// The profile of a disc that has grown evenly: the same shape with all lengths scaled.
fn grown_profile(drive: &Drive, factor: f64) -> LobeProfile {
    let drawn = LobeProfile::of(&drive.geometry);
    let trochoid = Trochoid {
        ring_radius_mm: drawn.trochoid.ring_radius_mm * factor,
        eccentricity_mm: drawn.trochoid.eccentricity_mm * factor,
        ..drawn.trochoid
    };
    LobeProfile::new(trochoid, drawn.generating_radius_mm * factor, drawn.half_rotation_rad)
}

/// The contact model of a drive whose parts have grown.
///
/// The two-cylinder law counts the approach of a roller to its axis and that of the disc as far below
/// the surface; that of a pin to its axis and of the hole's wall as far below its surface.
#[must_use]
pub fn contact_model(drive: &Drive, materials: &ContactMaterials, expansion: Expansion) -> ContactModel {
    let geometry = &drive.geometry;
    let model = ContactModel {
        profile: grown_profile(drive, expansion.disc),
        ring_roller_count: geometry.ring_roller_count,
        ring_radius_mm: geometry.ring_radius_mm * expansion.ring,
        roller_radius_mm: geometry.roller_radius_mm * expansion.roller,
        eccentricity_mm: geometry.eccentricity_mm * expansion.crank,
        disc_count: geometry.disc_count,
        pin_count: geometry.pin_count,
        pin_circle_radius_mm: geometry.pin_circle_radius_mm * expansion.disc,
        pin_phase_rad: geometry.hole_phase_rad,
        pin_play_radius_mm: (hole_radius_mm(drive) - pin_outside_radius_mm(drive)) * expansion.disc,
        roller_law: roller_law(drive, materials),
        roller_compliance_mm_per_n: roller_compliances(drive, materials),
        pin_laws: pin_laws(drive, materials),
        support: centre_support(drive, is_elastic(drive), expansion),
        re_evaluates_gaps: drive.model.gaps == GapModel::ReEvaluated,
        compliance: None,
        deviations: None,
        light_give: LightGive::default(),
    };
    let light_n_mm =
        LOST_MOTION_SHARE * drive.requirement.rated_torque_n_mm * kinematics::plate_to_output(geometry);
    ContactModel { light_give: LightGive::of(&model, light_n_mm), ..model }
}

/// Whether the load model of a drive has elastic discs and rollers.
#[must_use]
pub fn is_elastic(drive: &Drive) -> bool {
    match drive.model.disc {
        DiscModel::Elastic => true,
        DiscModel::Rigid => false,
        DiscModel::Auto => {
            matches!(drive.model.contact_law, ContactLaw::Auto | ContactLaw::TwoCylinders)
        }
    }
}

/// The model with elastic bodies where the drive asks for them; about a second of work for each different disc.
///
/// A disc whose holes, bore and lobes cut each other has no body to compute, and one with walls or flanks too fine for the points no
/// sound coefficients: it stays rigid, which the model says in words.
#[must_use]
pub fn with_elastic_bodies(model: ContactModel, drive: &Drive, materials: &ContactMaterials) -> ContactModel {
    if !is_elastic(drive) {
        return model;
    }
    let drawn = LobeProfile::of(&drive.geometry);
    // A flank relief of micrometres changes no stiffness, but would put corners into the outline.
    let outline = LobeProfile::new(drawn.trochoid, drawn.generating_radius_mm, 0.0);
    let compliance = DiscCompliance::of(&outline, compliance_data(drive, materials)).ok();
    ContactModel { compliance: compliance.map(Arc::new), ..model }
}

/// Discs in service: bore on its bearing, contacts in plane strain, torque out through the pins.
fn compliance_data(drive: &Drive, materials: &ContactMaterials) -> ComplianceData {
    let geometry = &drive.geometry;
    let rollers = geometry.ring_roller_count as f64;
    let shape = DiscShape {
        lobe_count: geometry.ring_roller_count - 1,
        roller_radius_mm: geometry.roller_radius_mm,
        hole_count: geometry.pin_count,
        hole_circle_radius_mm: geometry.pin_circle_radius_mm,
        hole_radius_mm: hole_radius_mm(drive),
        hole_phase_rad: geometry.hole_phase_rad,
        bore_radius_mm: geometry.bore_radius_mm,
        valley_crowding: crowding_of(geometry.eccentricity_mm * rollers / geometry.ring_radius_mm),
        lobe_depth_mm: geometry.roller_radius_mm,
        hole_depth_mm: pin_outside_radius_mm(drive),
    };
    let on_pins = geometry.roller_pin_radius_mm.is_some();
    ComplianceData {
        shape,
        disc_count: geometry.disc_count,
        width_mm: geometry.disc_width_mm,
        roller_length_mm: roller_contact_length_mm(drive),
        disc: materials.disc.elastic(),
        roller: materials.roller.elastic(),
        seat_half_wrap_rad: (!on_pins).then_some(0.5 * geometry.seat_wrap_angle_rad),
        state: PlaneState::Strain,
        support: BoreSupport::Bearing,
    }
}

/// The law that `auto` stands for between two materials.
fn resolved_law(drive: &Drive, a: &Material, b: &Material) -> ContactLaw {
    match drive.model.contact_law {
        ContactLaw::Auto if is_elastic(drive) => ContactLaw::TwoCylinders,
        ContactLaw::Auto if a.is_steel && b.is_steel => ContactLaw::Palmgren,
        ContactLaw::Auto => ContactLaw::TwoCylinders,
        stated => stated,
    }
}

fn roller_law(drive: &Drive, materials: &ContactMaterials) -> RollerLaw {
    let length_mm = roller_contact_length_mm(drive);
    match resolved_law(drive, &materials.roller, &materials.disc) {
        ContactLaw::Linear => RollerLaw::Uniform(LineContact::linear(
            drive.model.roller_stiffness_n_per_mm.unwrap_or(DEFAULT_STIFFNESS),
        )),
        ContactLaw::Palmgren => RollerLaw::Uniform(LineContact::palmgren(length_mm)),
        ContactLaw::Brandlein => RollerLaw::Uniform(LineContact::brandlein(length_mm)),
        ContactLaw::TwoCylinders | ContactLaw::Auto => RollerLaw::TwoCylinders(TwoCylinderRollers {
            length_mm,
            roller: materials.roller.elastic(),
            disc: materials.disc.elastic(),
            roller_radius_mm: drive.geometry.roller_radius_mm,
            disc_depth_mm: drive.geometry.roller_radius_mm,
        }),
    }
}

/// The reader asks for both stiffnesses with the linear law; this stands in where the core is used without it.
const DEFAULT_STIFFNESS: f64 = 2e5;

fn pin_laws(drive: &Drive, materials: &ContactMaterials) -> Vec<LineContact> {
    let length_mm = pin_contact_length_mm(drive);
    let pin_radius = pin_outside_radius_mm(drive);
    let law = match resolved_law(drive, &materials.pin_surface, &materials.disc) {
        ContactLaw::Linear => {
            LineContact::linear(drive.model.pin_stiffness_n_per_mm.unwrap_or(DEFAULT_STIFFNESS))
        }
        ContactLaw::Palmgren => LineContact::palmgren(length_mm),
        ContactLaw::Brandlein => LineContact::brandlein(length_mm),
        ContactLaw::TwoCylinders | ContactLaw::Auto => LineContact::two_cylinders(
            length_mm,
            &materials.pin_surface.elastic(),
            &materials.disc.elastic(),
            1.0 / pin_radius - 1.0 / hole_radius_mm(drive),
            pin_radius,
            pin_radius,
        ),
    };
    let pin = Pin::output(&drive.geometry, &materials.pin);
    let bends = pins_bend(drive);
    (0..drive.geometry.disc_count)
        .map(|disc| if bends { law.with_series_compliance(pin.compliance_mm_per_n(disc)) } else { law })
        .collect()
}

/// The constant stiffness of the linear law is the whole contact's, pins included.
fn pins_bend(drive: &Drive) -> bool {
    drive.model.pin_bending && drive.model.contact_law != ContactLaw::Linear
}

/// What the pin of a ring roller gives in series with the roller's contact on each disc; nothing for seats.
fn roller_compliances(drive: &Drive, materials: &ContactMaterials) -> Vec<f64> {
    let pin = pins_bend(drive).then(|| Pin::ring(&drive.geometry, &materials.ring_pin)).flatten();
    (0..drive.geometry.disc_count)
        .map(|disc| pin.as_ref().map_or(0.0, |pin| pin.compliance_mm_per_n(disc)))
        .collect()
}

/// The model in words that every result carries.
#[must_use]
pub fn model_in_words(drive: &Drive, model: &ContactModel) -> ModelUsed {
    let roller_contact_law = match &model.roller_law {
        RollerLaw::Uniform(law) => law.words().to_owned(),
        RollerLaw::TwoCylinders(data) => format!(
            "two cylinders in plane strain, approach counted to {:.2} mm below the surface of both",
            data.roller_radius_mm
        ),
    };
    let gaps = match drive.model.gaps {
        GapModel::Linear => {
            "exact gaps where the discs touch without load, linear in the displacements from there"
        }
        GapModel::ReEvaluated => "exact gaps, taken anew at the loaded position until nothing moves",
    };
    let bearing = centre::in_words(drive, &model.support);
    let pins = if pins_bend(drive) { "bending pins" } else { "rigid pins" };
    ModelUsed {
        roller_contact_law,
        pin_contact_law: model.pin_laws.first().map_or_else(String::new, |law| law.words().to_owned()),
        gaps: gaps.to_owned(),
        compliance: format!(
            "{}, {bearing}, {pins}; {}",
            bodies_in_words(drive, model),
            centre::surroundings_in_words(drive)
        ),
        assumptions: assumptions(drive, model),
    }
}

/// Discs and rollers in words.
fn bodies_in_words(drive: &Drive, model: &ContactModel) -> String {
    let Some(compliance) = &model.compliance else { return "rigid discs".to_owned() };
    if compliance.data().seat_half_wrap_rad.is_some() {
        let wrap = crate::registry::display("seat_wrap_angle_rad", drive.geometry.seat_wrap_angle_rad);
        format!("elastic discs with their holes, elastic rollers in rigid seats of {wrap}")
    } else {
        "elastic discs with their holes, rollers rigid beyond their axis".to_owned()
    }
}

/// What the model of the bodies leaves out.
fn assumptions_of_bodies(drive: &Drive, model: &ContactModel) -> Vec<String> {
    let Some(compliance) = &model.compliance else {
        let mut rigid = vec![
            "Discs are rigid but for the contacts: lobes and the webs between holes also give, so the real wind-up is larger, up to about twice, and peak roller forces with clearance are smaller.".to_owned(),
        ];
        if is_elastic(drive) {
            rigid.push("Elastic discs belong to this model, but holes, bore and lobes cut each other or leave walls too thin to compute, so the discs are rigid here.".to_owned());
        }
        return rigid;
    };
    let mut assumptions = vec![
        "Discs give as plane bodies of the drawn outline with holes and bore; a round shaft that fits the bore exactly and only pushes stands for the eccentric bearing.".to_owned(),
    ];
    if compliance.data().seat_half_wrap_rad.is_some() {
        assumptions.push("Ring rollers are held by their seats over the whole wrap angle, as if bonded; the ring behind is rigid.".to_owned());
    }
    if compliance.asymmetry() > MOST_ASYMMETRY {
        assumptions.push(
            "Walls of the disc are so thin that its elastic coefficients are only good to some hundredths."
                .to_owned(),
        );
    }
    assumptions
}

/// Departure from reciprocity above which a result says so.
const MOST_ASYMMETRY: f64 = 0.02;

fn assumptions(drive: &Drive, model: &ContactModel) -> Vec<String> {
    let mut assumptions = assumptions_of_bodies(drive, model);
    assumptions.extend([
        "No friction: forces act along the contact normals, and the crank torque is that without losses.".to_owned(),
        "Parts as drawn: no errors of pitch, run-out, position or form.".to_owned(),
        "Loads with every part at its temperature in operation; ring and rollers at the ring's, discs, crank and output plate at the discs'.".to_owned(),
        "Contacts carry evenly along their length: no tilt and no edge load.".to_owned(),
    ]);
    assumptions.extend(centre::assumptions(drive, model));
    if drive.geometry.disc_count > 1 && pins_bend(drive) {
        assumptions.push(
            "Each disc meets an output pin that bends under its own force only; discs do not deflect each other's pins.".to_owned(),
        );
    }
    assumptions
}
