//! Profile modifications side by side: the present one, and those proposed for a wanted backlash.

use super::{Extreme, GapPoint};
use schemars::JsonSchema;
use serde::Serialize;

/// The present modification of the lobe profile and what each family of modifications could do for a wanted backlash.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ModificationResult {
    /// Backlash of the output that the proposals are made for: nominal parts as drawn, greatest over the period.
    pub wanted_backlash_rad: f64,
    /// Where that backlash comes from.
    pub backlash_reason: BacklashReason,
    /// Share of the required backlash that it is; absent where it is none.
    pub wanted_backlash_share: Option<f64>,
    /// Least clearance at tip and root that the proposals keep, as drawn and in operation.
    pub wanted_clearance_mm: f64,
    /// Where that clearance comes from.
    pub clearance_reason: ClearanceReason,
    /// Play that the output holes alone make, which no profile can take.
    pub hole_play_rad: f64,
    /// The modification that the file states.
    pub present: ModificationState,
    /// One entry a family, in the order of what they cost to make.
    pub proposals: Vec<ModificationProposal>,
    /// Modifications that leave the profile no play at all.
    pub without_play: Vec<PlayFreeModification>,
    /// What the wanted backlash costs along the families that have a shift; empty unless figures are asked for.
    pub curves: Vec<ModificationCurve>,
    /// Modifications whose loads were computed on the way.
    pub evaluation_count: usize,
    /// What is assumed and left out.
    pub assumptions: Vec<String>,
}

impl ModificationResult {
    /// Whether at least one family can do what is wanted.
    #[must_use]
    pub fn is_possible(&self) -> bool {
        self.proposals.iter().any(|proposal| proposal.state.is_some())
    }
}

/// Where a wanted backlash comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BacklashReason {
    /// It was asked for.
    Asked,
    /// A share of what the requirement allows.
    Requirement,
    /// What the drive has at present.
    Present,
}

/// Where a wanted clearance comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ClearanceReason {
    /// It was asked for.
    Asked,
    /// What lubricant and process usually ask for.
    Process,
    /// What leaves tips and roots free in 99 % of the assemblies within the tolerances.
    Tolerances,
}

/// A modification without play of the profile, its output holes apart.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PlayFreeModification {
    /// δR.
    pub ring_radius_shift_mm: f64,
    /// δα.
    pub flank_rotation_rad: f64,
    /// δr by the closed form.
    pub equidistant_offset_mm: f64,
    /// δr on exact gaps.
    pub exact_offset_mm: f64,
    /// Smaller gap at tip and root that it leaves, on exact gaps as drawn.
    pub play_free_clearance_mm: f64,
}

/// Modifications of a family that hold the wanted backlash, by their shift.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ModificationCurve {
    /// The family.
    pub family: ModificationFamily,
    /// From the most inward shift on.
    pub points: Vec<ModificationPoint>,
}

/// One of them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ModificationPoint {
    /// δr.
    pub equidistant_offset_mm: f64,
    /// δR.
    pub ring_radius_shift_mm: f64,
    /// δα.
    pub flank_rotation_rad: f64,
    /// Smaller gap at tip and root, as drawn and in operation.
    pub operating_clearance_mm: f64,
    /// Greatest force at a ring roller under the rated torque, at the crank angles of the search.
    pub ring_roller_force_n: f64,
}

/// What becomes of a modification in the assemblies within the tolerances.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct AssemblyShares {
    /// Share whose tips and roots stay free.
    pub tips_free_share: f64,
    /// Share whose backlash is within what is required; absent where nothing is.
    pub within_backlash_share: Option<f64>,
}

/// Which corrections a modification is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ModificationFamily {
    /// Equidistant offset and shift of the ring radius: one cut.
    OffsetAndShift,
    /// Equidistant offset and rotation of the flanks: two cuts.
    OffsetAndRotation,
    /// All three: two cuts.
    All,
}

impl ModificationFamily {
    /// The family in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::OffsetAndShift => "offset and shift, one cut",
            Self::OffsetAndRotation => "offset and rotation, two cuts",
            Self::All => "all three, two cuts",
        }
    }
}

/// The best modification of a family, or why there is none.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ModificationProposal {
    /// The family.
    pub family: ModificationFamily,
    /// The modification, rounded to what is written on a drawing, and what it does; absent where the family has none.
    pub state: Option<ModificationState>,
    /// Why there is none, and what would be possible; empty otherwise.
    pub obstacle: String,
}

/// A modification and what it does.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ModificationState {
    /// δr.
    pub equidistant_offset_mm: f64,
    /// δR.
    pub ring_radius_shift_mm: f64,
    /// δα.
    pub flank_rotation_rad: f64,
    /// Backlash of the output as drawn, greatest over the period, output holes included.
    pub geometric_backlash_rad: f64,
    /// Gap of a roller over the tip of a lobe, as drawn.
    pub tip_gap_mm: f64,
    /// Gap of a roller in a valley, as drawn.
    pub root_clearance_mm: f64,
    /// Smaller one of the gaps at tip and root in operation.
    pub operating_clearance_mm: f64,
    /// Smallest gap anywhere, as drawn; negative is interference.
    pub least_gap_mm: f64,
    /// Smallest gap anywhere in operation; negative is interference.
    pub operating_gap_mm: f64,
    /// Greatest force at a ring roller under the rated torque.
    pub ring_roller_force: Extreme,
    /// That force over the one of the present modification.
    pub force_ratio: f64,
    /// Fewest and most ring rollers of one disc that carry the rated torque.
    pub carrying_roller_count: (usize, usize),
    /// Kinematic error of the unloaded disc that errs most, peak to peak: parts as drawn, of the profile alone.
    pub profile_kinematic_error_rad: f64,
    /// Kinematic error of the unloaded output, peak to peak: parts as drawn, with what the output holes make.
    pub kinematic_error_rad: f64,
    /// Greatest elastic wind-up under the rated torque, free play taken off.
    pub windup_rad: f64,
    /// Assemblies that it serves; absent without tolerances.
    pub assemblies: Option<AssemblyShares>,
    /// Gap of a roller against its angle from the crank, as drawn.
    pub gap_curve: Vec<GapPoint>,
}
