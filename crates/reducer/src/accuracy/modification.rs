//! Profile modification for a wanted backlash: closed forms, exact gaps, and what shares the load best.

pub mod closed_form;
mod curve;
pub mod exact;
mod rounding;
mod search;
pub mod tips;
mod trial;

use crate::assembly::study::StudyError;
use crate::contact::ContactModel;
use crate::contact::build::ContactMaterials;
use crate::loads::LoadError;
use crate::model::{Drive, Modification, Production};
use crate::registry;
use crate::results::{
    BacklashReason, ClearanceReason, ModificationFamily, ModificationProposal, ModificationResult,
    ModificationState, PlayFreeModification,
};
use crate::shape;
use closed_form::ClosedForm;
use rounding::LENGTH_STEP_MM;
use search::Search;
use trial::Trial;

/// What a modification is wanted for; what is left open gets a default.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wish {
    /// Backlash of the output, nominal parts, greatest over the period; by default a share of what the requirement allows,
    /// or the present one where it says nothing.
    pub backlash_rad: Option<f64>,
    /// That share; by default [`BACKLASH_SHARE`].
    pub backlash_share: Option<f64>,
    /// Least clearance at tip and root; by default [`usual_clearance_mm`] or what the tolerances ask for, whichever is more.
    pub clearance_mm: Option<f64>,
    /// Whether the curves of a figure are wanted.
    pub curves: bool,
}

/// Share of the required backlash that nominal parts take by default; the rest is for tolerances. Own choice.
pub const BACKLASH_SHARE: f64 = 0.8;
/// Half a step of a backlash as it is shown, so that what is shown suffices.
const SHOWN_STEP_RAD: f64 = 0.005 * std::f64::consts::PI / 10_800.0;
/// Largest backlash that may be wished for, the drive file's own limit of a flank rotation.
const MOST_BACKLASH_RAD: f64 = 0.1;
/// Largest clearance that may be wished for, the drive file's own limit of an offset.
const MOST_CLEARANCE_MM: f64 = 2.0;

/// Clearance at tip and root that the lubricant, and the scatter of the process, usually ask for.
///
/// A few micrometres where lobes are ground, more where the cut is rougher.
///
/// **Source** `[common-practice]`.
#[must_use]
pub fn usual_clearance_mm(production: Production) -> f64 {
    match production {
        Production::Ground => 0.003,
        Production::Milled => 0.005,
        Production::WireCut => 0.008,
        Production::Printed => 0.1,
    }
}

/// No modification could be proposed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ModificationError {
    /// The geometry does not mesh whatever its modification.
    #[error("the geometry does not mesh, so no modification helps")]
    DoesNotMesh,
    /// A wish that no drive can have.
    #[error("{what} of {} is outside {} … {}", registry::display(.quantity, *.value), registry::display(.quantity, 0.0), registry::display(.quantity, *.most))]
    WishOutOfRange {
        /// What was wished for.
        what: &'static str,
        /// Name of its quantity.
        quantity: &'static str,
        /// Its value.
        value: f64,
        /// The most that is taken.
        most: f64,
    },
    /// The output holes make more play than is wanted, or press without any.
    #[error(
        "the output holes alone make {} of backlash, and {} is wanted",
        registry::display("hole_play_rad", *.least_rad), registry::display("wanted_backlash_rad", *.wanted_rad)
    )]
    HolesPlayMore {
        /// Wanted.
        wanted_rad: f64,
        /// What the holes make.
        least_rad: f64,
    },
    /// The output holes press on their pins before anything turns.
    #[error("output pins do not fit their holes: {} of clearance", registry::display("hole_clearance_mm", *.clearance_mm))]
    PinsPress {
        /// Diametral clearance.
        clearance_mm: f64,
    },
    /// A share of a requirement that there is not.
    #[error("no backlash is required, so nothing can be a share of it")]
    NothingToShare,
    /// The tolerances make no sense.
    #[error("{}", .0.to_string().split("\n\nhint: ").next().unwrap_or_default())]
    Tolerances(#[from] StudyError),
    /// A modification that was to be shown has no equilibrium.
    #[error(transparent)]
    Load(#[from] LoadError),
}

impl ModificationError {
    /// The change likely to help, empty where there is none.
    #[must_use]
    pub fn hint(&self) -> &'static str {
        match self {
            Self::DoesNotMesh => "mend what the checks of the geometry say first",
            Self::WishOutOfRange { .. } | Self::Tolerances(_) | Self::Load(_) => "",
            Self::NothingToShare => "state geometric_backlash in [requirement], or use --backlash",
            Self::HolesPlayMore { .. } => "reduce hole_clearance, or allow more backlash",
            Self::PinsPress { .. } => "raise hole_clearance to nothing at least",
        }
    }
}

/// The present modification beside the best of every family for a wish.
///
/// Every family is searched for the modification that has exactly the wanted backlash, keeps the wanted clearance at tip and root as drawn and in operation, lets no
/// roller interfere, and makes the greatest roller force under the rated torque smallest, by the drive's own load model. `model` is the
/// drive's in operation, with elastic bodies where it has them; they are not computed anew, as micrometres change no compliance.
///
/// **Valid for** drives that mesh. **Source** Derivation 12, §7.
///
/// # Errors
/// [`ModificationError`]; a family that can not fulfil the wish is no error but says so in its entry.
pub fn propose(
    drive: &Drive,
    model: &ContactModel,
    materials: &ContactMaterials,
    wish: Wish,
) -> Result<ModificationResult, ModificationError> {
    if !shape::meshes(drive) {
        return Err(ModificationError::DoesNotMesh);
    }
    if drive.geometry.hole_clearance_mm < 0.0 {
        return Err(ModificationError::PinsPress { clearance_mm: drive.geometry.hole_clearance_mm });
    }
    let mut trial = Trial::of(drive, model, materials);
    let present = trial.state(&drive.geometry.modification, None)?;
    let hole_play_rad = trial.play_rad(&UNMODIFIED);
    let backlash = wanted_backlash(drive, wish, present.geometric_backlash_rad)?;
    let wanted_backlash_rad = backlash.value_rad;
    if wanted_backlash_rad < hole_play_rad {
        return Err(ModificationError::HolesPlayMore {
            wanted_rad: wanted_backlash_rad,
            least_rad: hole_play_rad,
        });
    }
    let form = ClosedForm::of(&trial.nominal());
    let profile_play_rad = wanted_backlash_rad - hole_play_rad;
    let (wanted_clearance_mm, clearance_reason) = wanted_clearance(drive, wish, &form, profile_play_rad)?;
    let mut search = Search {
        trial,
        form,
        backlash_rad: wanted_backlash_rad,
        profile_play_rad,
        clearance_mm: wanted_clearance_mm,
    };
    let proposals = proposals(&mut search, &present.ring_roller_force.value)?;
    let without_play = without_play(&mut search);
    let curves = if wish.curves { search.curves() } else { Vec::new() };
    Ok(ModificationResult {
        wanted_backlash_rad,
        backlash_reason: backlash.reason,
        wanted_backlash_share: backlash.share,
        wanted_clearance_mm,
        clearance_reason,
        without_play,
        curves,
        hole_play_rad,
        present,
        proposals,
        evaluation_count: search.trial.evaluation_count,
        assumptions: ASSUMPTIONS.map(str::to_owned).to_vec(),
    })
}

/// The backlash that is wanted, and why.
struct WantedBacklash {
    value_rad: f64,
    reason: BacklashReason,
    share: Option<f64>,
}

fn wanted_backlash(drive: &Drive, wish: Wish, present_rad: f64) -> Result<WantedBacklash, ModificationError> {
    let range = |value| in_range("a backlash", "wanted_backlash_rad", value, MOST_BACKLASH_RAD);
    if let Some(asked) = wish.backlash_rad {
        return Ok(WantedBacklash { value_rad: range(asked)?, reason: BacklashReason::Asked, share: None });
    }
    let Some(allowed_rad) = drive.requirement.geometric_backlash_rad else {
        if wish.backlash_share.is_some() {
            return Err(ModificationError::NothingToShare);
        }
        let reason = BacklashReason::Present;
        return Ok(WantedBacklash { value_rad: range(present_rad)?, reason, share: None });
    };
    let share = wish.backlash_share.unwrap_or(BACKLASH_SHARE);
    let share = in_range("a share of the backlash", "wanted_backlash_share", share, 1.0)?;
    let value_rad = range(share * allowed_rad)?;
    Ok(WantedBacklash { value_rad, reason: BacklashReason::Requirement, share: Some(share) })
}

/// The clearance that is wanted, and why.
fn wanted_clearance(
    drive: &Drive,
    wish: Wish,
    form: &ClosedForm,
    profile_play_rad: f64,
) -> Result<(f64, ClearanceReason), ModificationError> {
    let range = |value| in_range("a clearance", "wanted_clearance_mm", value, MOST_CLEARANCE_MM);
    if let Some(asked) = wish.clearance_mm {
        return Ok((range(asked)?, ClearanceReason::Asked));
    }
    let usual = usual_clearance_mm(drive.requirement.production);
    match tips::tolerated_clearance_mm(drive, form, profile_play_rad, usual)? {
        Some(tolerated) if tolerated > usual => Ok((range(tolerated)?, ClearanceReason::Tolerances)),
        _ => Ok((range(usual)?, ClearanceReason::Process)),
    }
}

/// Combinations that take all play from the profile: by a shift for half, once and twice the wanted clearance, and with a rotation for the wanted one.
///
/// ```text
/// δr = δR q − δα e z_l/2,   c = δr − δR
/// ```
///
/// **Source** Derivation 12, §4.
fn without_play(search: &mut Search) -> Vec<PlayFreeModification> {
    let (clearance, lever) = (search.clearance_mm, search.form.longest_lever_mm);
    let kinds = [(0.5, 0.0), (1.0, 0.0), (2.0, 0.0), (1.0, clearance / lever)];
    let row = |(share, rotation): (f64, f64)| {
        let shift = search.form.shift_for_mm(share * clearance, -rotation);
        let shift = (shift / LENGTH_STEP_MM).round() * LENGTH_STEP_MM;
        let made = Modification {
            equidistant_offset_mm: search.form.offset_without_play_mm(shift) - 0.5 * rotation * lever,
            ring_radius_shift_mm: shift,
            flank_rotation_rad: rotation,
        };
        if !shift.is_finite() || !search.trial.meshes(&made) {
            return None;
        }
        let exact = search.trial.without_play(&made);
        Some(PlayFreeModification {
            ring_radius_shift_mm: shift,
            flank_rotation_rad: rotation,
            equidistant_offset_mm: made.equidistant_offset_mm,
            exact_offset_mm: exact.equidistant_offset_mm,
            play_free_clearance_mm: exact.clearance_mm,
        })
    };
    kinds.into_iter().filter_map(row).collect()
}

/// A profile as it is generated.
const UNMODIFIED: Modification =
    Modification { equidistant_offset_mm: 0.0, ring_radius_shift_mm: 0.0, flank_rotation_rad: 0.0 };

const ASSUMPTIONS: [&str; 4] = [
    "Backlash, clearances and kinematic error are those of nominal parts as drawn, on exact gaps; tolerances come on top.",
    "Forces, carrying rollers and wind-up are those of the drive's own load model at its temperatures in operation, worst crank angle; the compliance of the bodies is that of the present profile.",
    "Wanted clearance and freedom from interference hold as drawn and in operation; under load rollers come closer than that.",
    "Proposals are rounded to 0.1 µm and 0.01 arcmin, to the side that keeps backlash and clearance; everything is stated of the rounded values.",
];

/// A wish within the range of what can be computed; not a number is outside.
fn in_range(
    what: &'static str,
    quantity: &'static str,
    value: f64,
    most: f64,
) -> Result<f64, ModificationError> {
    if (0.0..=most).contains(&value) {
        Ok(value)
    } else {
        Err(ModificationError::WishOutOfRange { what, quantity, value, most })
    }
}

/// All three hold the other families too: rounding must not make them worse than those.
fn least_forced(state: ModificationState, others: &[ModificationProposal]) -> ModificationState {
    others.iter().filter_map(|other| other.state.as_ref()).fold(state, |least, other| {
        if other.ring_roller_force.value < least.ring_roller_force.value { other.clone() } else { least }
    })
}

/// The best of every family; the last one starts from what the others found.
fn proposals(
    search: &mut Search,
    present_force_n: &f64,
) -> Result<Vec<ModificationProposal>, ModificationError> {
    let mut found = Vec::new();
    let mut proposals = Vec::new();
    for family in
        [ModificationFamily::OffsetAndShift, ModificationFamily::OffsetAndRotation, ModificationFamily::All]
    {
        let best = search.best_of(family, &found);
        let proposal = match best.map(|best| (search.rounded(family, &best.modification), best)) {
            Some((Ok(rounded), best)) => {
                found.push(best);
                let state = search.trial.state(&rounded, Some(*present_force_n))?;
                let state =
                    if family == ModificationFamily::All { least_forced(state, &proposals) } else { state };
                ModificationProposal { family, state: Some(state), obstacle: String::new() }
            }
            Some((Err(nearest_rad), _)) => {
                ModificationProposal { family, state: None, obstacle: rounding_obstacle(nearest_rad) }
            }
            None => ModificationProposal { family, state: None, obstacle: search.obstacle(family) },
        };
        proposals.push(proposal);
    }
    Ok(proposals)
}

/// Why an exact modification can not be written on a drawing.
fn rounding_obstacle(nearest_rad: Option<f64>) -> String {
    let words = "what is wanted lies between the steps of 0.1 µm that are written on a drawing";
    match nearest_rad {
        Some(nearest_rad) => {
            format!(
                "{words}: allow {} of backlash",
                registry::display("wanted_backlash_rad", nearest_rad + SHOWN_STEP_RAD)
            )
        }
        None => format!("{words}: allow a little more backlash, or less clearance"),
    }
}
