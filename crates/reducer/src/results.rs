//! The one result model: what the core computes and report, page, command line and JSON show.
//!
//! Plain data in core units. Forces are those that act on the disc, in the frame of the ring: x and
//! y fixed, origin at the ring's centre, anticlockwise positive. Index `i` counts ring rollers from
//! the x axis, `j` output pins, `k` discs; all from zero in code and JSON, from one for people.

mod hysteresis;
mod losses;
mod modification;
mod windup;

pub use hysteresis::{HysteresisResult, LoopAtAngle, LoopPoint, LoopReading, TwistLoop};
pub use losses::{
    EfficiencyMap, FrictionFeedback, HeatResult, LossCoefficient, LossResult, LossShare, OperatingPoint,
};
pub use modification::{
    AssemblyShares, BacklashReason, ClearanceReason, ModificationCurve, ModificationFamily,
    ModificationPoint, ModificationProposal, ModificationResult, ModificationState, PlayFreeModification,
};
pub use windup::{PlayResult, WindupSplit};

use crate::finding::Finding;
use schemars::JsonSchema;
use serde::Serialize;

/// Everything that is known of a drive after a full assessment.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Assessment {
    /// Name of the drive, from its file.
    pub name: String,
    /// How the loads were modelled, in words that every result carries.
    pub model: ModelUsed,
    /// What follows from the shape alone.
    pub geometry: GeometryResult,
    /// Ratios, speeds, periods.
    pub kinematics: KinematicsResult,
    /// One entry a load case, rated torque first; empty where the geometry cannot mesh.
    pub load_cases: Vec<LoadCase>,
    /// Free play and lost motion of the output; absent where there are no loads.
    pub play: Option<PlayResult>,
    /// The torque–twist loop with friction; absent where there are no loads, or no loop was found, which the assumptions then say.
    pub torque_twist_loop: Option<HysteresisResult>,
    /// Pressure and greatest shear where each kind of contact is pressed most, load case by load case.
    pub contact_stresses: Vec<ContactStress>,
    /// Life and safety of the eccentric bearing; absent where there are no loads or no data.
    pub eccentric_bearing: Option<BearingResult>,
    /// Masses, shaking, balance and torsional vibration; absent where the geometry cannot mesh.
    pub dynamics: Option<DynamicsResult>,
    /// Friction, efficiency and heat; absent where there are no loads.
    pub losses: Option<LossResult>,
    /// How the force on the eccentric bearing stands to the crank, rated torque, disc by disc.
    pub eccentric_bearing_spectrum: Vec<BearingSpectrum>,
    /// Life and safety of the output bearing; absent where it is not described or not loaded.
    pub output_bearing: Option<OutputBearingResult>,
    /// Life and safety of the two input bearings, the first one first; empty where they are not described.
    pub input_bearings: Vec<BearingResult>,
    /// The trade's cautions that apply to this drive, one sentence or two each.
    pub cautions: Vec<String>,
    /// Every check, sorted by margin.
    pub findings: Vec<Finding>,
}

/// Which model the loads came from.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ModelUsed {
    /// Law of the ring-roller contacts, in words.
    pub roller_contact_law: String,
    /// Law of the output-pin contacts, in words.
    pub pin_contact_law: String,
    /// How gaps follow the displacements, in words.
    pub gaps: String,
    /// What of the eccentric bearing, pins and discs gives way, in words.
    pub compliance: String,
    /// What is left out, one sentence each.
    pub assumptions: Vec<String>,
}

/// What follows from the shape alone.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct GeometryResult {
    /// z_l: lobes of the disc.
    pub lobe_count: usize,
    /// K1: shortening coefficient.
    pub shortening: f64,
    /// Diameter of the circle that rolls to draw the trochoid.
    pub rolling_circle_diameter_mm: f64,
    /// Diameter of the circle on which it rolls.
    pub base_circle_diameter_mm: f64,
    /// Radius of the pitch circle of the ring, e z_r.
    pub ring_pitch_radius_mm: f64,
    /// Radius of the pitch circle of the disc, e z_l.
    pub disc_pitch_radius_mm: f64,
    /// Radius of the disc at the tip of a lobe, after modification.
    pub tip_radius_mm: f64,
    /// Radius of the disc at the root of a lobe, after modification.
    pub root_radius_mm: f64,
    /// Height of a lobe, 2e.
    pub lobe_height_mm: f64,
    /// Area inside the lobe profile, holes and bore not taken off; absent where the profile is undercut.
    pub profile_area_mm2: Option<f64>,
    /// Length of the lobe profile; absent where the profile is undercut.
    pub profile_length_mm: Option<f64>,
    /// Roller radius at which undercut starts.
    pub undercut_limit_mm: f64,
    /// Smallest convex radius of curvature of the profile.
    pub least_convex_radius_mm: f64,
    /// Where it is: angle z_l ψ from the valley of the lobe.
    pub least_convex_angle_rad: f64,
    /// Radius of curvature at the bottom of the valley; negative where the valley is concave.
    pub valley_radius_mm: f64,
    /// Largest lever arm of a roller's normal force about the disc's centre.
    pub largest_lever_mm: f64,
    /// Largest angle between a contact normal and the radius to the roller.
    pub largest_normal_angle_rad: f64,
    /// Fewest and most rollers that can carry over a turn with the ideal profile.
    pub carrying_roller_count: (usize, usize),
    /// K2: half the chord between neighbouring rollers over the roller radius.
    pub spacing_ratio: f64,
    /// r_w: outside radius of an output pin or its sleeve.
    pub pin_outside_radius_mm: f64,
    /// r_h: radius of an output hole of the disc.
    pub hole_radius_mm: f64,
    /// Play of the output from the lobe profile alone, bearing centre held; least over a roller pitch.
    pub profile_backlash_rad: f64,
    /// Play of the output with the output holes' clearance added, parts as drawn.
    pub geometric_backlash_rad: f64,
    /// Play of the output at the temperatures in operation.
    pub operating_backlash_rad: f64,
    /// Smallest gap of any roller at the temperatures in operation; absent where the profile does not mesh.
    pub operating_gap_mm: Option<f64>,
    /// Gap of a roller against its angle from the crank, disc in its ideal position, parts as drawn.
    pub gap_curve: Vec<GapPoint>,
    /// How lobes and holes of each disc must stand to each other.
    pub disc_phases: Vec<DiscPhase>,
    /// Whether one part number serves all discs.
    pub one_part: OnePart,
    /// Area of one disc with bore and holes taken off.
    pub disc_area_mm2: Option<f64>,
    /// Mass of one disc.
    pub disc_mass_kg: Option<f64>,
}

/// Gap of a ring roller at an angle from the direction of the crank.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct GapPoint {
    /// θ: angle from the crank to the roller, in the ring's frame.
    pub angle_rad: f64,
    /// Gap along the contact normal; negative is interference.
    pub gap_mm: f64,
    /// Lever arm of the normal about the disc's centre; positive where the force turns the disc anticlockwise.
    pub lever_mm: f64,
}

/// How the lobes and holes of one disc stand to each other.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct DiscPhase {
    /// Disc, counted from zero.
    pub disc: usize,
    /// Angle from the valley of a lobe to the nearest output hole, within half a lobe pitch.
    pub hole_phase_rad: f64,
}

/// Whether one part number serves all discs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OnePart {
    /// All discs are the same part, laid the same way up.
    SameWayUp,
    /// All discs are the same part if some are turned over.
    TurnedOver,
    /// The discs differ by the phase between lobes and holes.
    Different,
}

/// Ratios, speeds and periods.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct KinematicsResult {
    /// Turns of the crank for one turn of the output; negative where they turn against each other.
    pub ratio: f64,
    /// Greatest crank speed.
    pub max_input_speed_rad_per_s: f64,
    /// Output speed at the greatest crank speed, with its sign against the crank.
    pub max_output_speed_rad_per_s: f64,
    /// Speed of the disc about its own centre at the greatest crank speed, in the frame of the housing.
    pub max_disc_speed_rad_per_s: f64,
    /// Speed between the rings of the eccentric bearing at the greatest crank speed.
    pub max_eccentric_bearing_speed_rad_per_s: f64,
    /// Speed between the rings of the eccentric bearing at the mean crank speed.
    pub mean_eccentric_bearing_speed_rad_per_s: f64,
    /// Greatest sliding speed at a ring roller that does not turn, at the greatest crank speed.
    pub max_roller_sliding_speed_mm_per_s: f64,
    /// Sliding speed at an output pin without a sleeve, at the greatest crank speed.
    pub max_pin_sliding_speed_mm_per_s: f64,
    /// Crank angle after which the forces at the rollers repeat.
    pub roller_period_rad: f64,
    /// Crank angle after which the forces at pins and bearings repeat.
    pub pin_period_rad: f64,
}

/// One load on the drive and what it does.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct LoadCase {
    /// Short name: `rated`, `peak`, `emergency`, `duty-1` …
    pub id: String,
    /// Name for people.
    pub title: String,
    /// Torque of the load on the output member, anticlockwise positive.
    pub output_torque_n_mm: f64,
    /// Speed of the crank.
    pub input_speed_rad_per_s: f64,
    /// Share of the running time; absent for peak and emergency.
    pub time_share: Option<f64>,
    /// Extremes over the period.
    pub extremes: LoadExtremes,
    /// Every computed crank angle over the pin period.
    pub poses: Vec<Pose>,
}

/// The greatest of each load, and where it is.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct LoadExtremes {
    /// Greatest force at a ring roller.
    pub ring_roller_force: Extreme,
    /// Greatest Hertz pressure at a ring roller.
    pub ring_roller_pressure: Extreme,
    /// Greatest force at an output pin.
    pub output_pin_force: Extreme,
    /// Greatest Hertz pressure at an output pin.
    pub output_pin_pressure: Extreme,
    /// Greatest bending stress in an output pin.
    pub output_pin_bending: Extreme,
    /// Greatest force on an eccentric bearing; `contact` is zero.
    pub bearing_force: Extreme,
    /// Fewest and most ring rollers of one disc that carry.
    pub carrying_roller_count: (usize, usize),
    /// Greatest share of the torque that one disc carries.
    pub disc_share: Extreme,
    /// Greatest force of a roller of an eccentric bearing; absent where the load model has no such rollers. `contact` is the roller.
    pub bearing_element_force: Option<Extreme>,
    /// Greatest Hertz pressure at a roller of an eccentric bearing; absent where the load model has no such rollers.
    pub bearing_element_pressure: Option<Extreme>,
    /// Least and greatest elastic wind-up of the output over the period, free play taken off.
    pub windup_rad: (f64, f64),
    /// Where the wind-up comes from, mean over the period.
    pub windup_split: WindupSplit,
    /// Mean torque on the crank that holds the load, friction left out.
    pub mean_holding_torque_n_mm: f64,
    /// Largest unbalanced force of the solution, as a share of the largest force.
    pub residual_ratio: f64,
}

/// A greatest value and where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Extreme {
    /// The value, in the core unit of its quantity.
    pub value: f64,
    /// Disc, counted from zero.
    pub disc: usize,
    /// Roller or pin, counted from zero.
    pub contact: usize,
    /// Crank angle.
    pub crank_angle_rad: f64,
}

/// Stresses where a kind of contact is pressed most in a load case.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ContactStress {
    /// Id of the load case.
    pub load_case: String,
    /// The two bodies, in words.
    pub contact: String,
    /// Disc, contact and crank angle; its value is the pressure, or the force of a bearing whose element is meant.
    pub place: Extreme,
    /// Force of the contact.
    pub contact_force_n: f64,
    /// p₀: greatest pressure.
    pub hertz_pressure_mpa: f64,
    /// b: half the (shorter) width of the contact.
    pub half_width_mm: f64,
    /// a: half the longer axis of an elliptic contact; absent for line contacts.
    pub half_length_mm: Option<f64>,
    /// τ: greatest shear, friction counted.
    pub greatest_shear_mpa: f64,
    /// Its depth below the surface; zero where friction brings it there.
    pub shear_depth_mm: f64,
    /// Coefficient of friction that was counted; zero for what rolls.
    pub friction: f64,
}

/// The state of the loaded drive at one crank angle.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Pose {
    /// φ: crank angle.
    pub crank_angle_rad: f64,
    /// Rotation of the output member beyond the ideal one under load.
    pub plate_rotation_rad: f64,
    /// Rotation of the output member beyond the ideal one as the load goes to nothing.
    pub unloaded_plate_rotation_rad: f64,
    /// Whether the search for that position never settled and ended with gaps that are linear in the displacements.
    pub unloaded_has_linear_gaps: bool,
    /// Where the rotation from the unloaded to the loaded position comes from.
    pub windup_split: WindupSplit,
    /// Torque on the crank that holds the load, friction left out.
    pub holding_torque_n_mm: f64,
    /// Largest unbalanced generalised force as a share of the load.
    pub residual_ratio: f64,
    /// State of each disc.
    pub discs: Vec<DiscState>,
}

/// Forces on one disc at one crank angle.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct DiscState {
    /// Normal force at each ring roller.
    pub ring_roller_force_n: Vec<f64>,
    /// Hertz pressure at each ring roller.
    pub ring_roller_pressure_mpa: Vec<f64>,
    /// Force at each output pin.
    pub output_pin_force_n: Vec<f64>,
    /// Hertz pressure at each output pin.
    pub output_pin_pressure_mpa: Vec<f64>,
    /// Force of the eccentric bearing on the disc.
    pub bearing_force_n: [f64; 2],
    /// Force of each roller of one row of the eccentric bearing, counted from the first one; empty where the load model has none.
    pub bearing_element_force_n: Vec<f64>,
    /// Hertz pressure of each at its inner race.
    pub bearing_element_pressure_mpa: Vec<f64>,
    /// Displacement of the disc's centre from the crank's ideal one.
    pub displacement_mm: [f64; 2],
    /// Rotation of the disc beyond the ideal one.
    pub rotation_rad: f64,
    /// Torque that the disc passes to the output member.
    pub torque_n_mm: f64,
    /// Where each ring roller touches, in the ring's frame.
    #[serde(skip)]
    pub ring_roller_contact_mm: Vec<[f64; 2]>,
    /// Unit normal at each ring roller, from the roller into the disc.
    #[serde(skip)]
    pub ring_roller_normal: Vec<[f64; 2]>,
    /// Unit vector of the force of each output pin on the disc.
    #[serde(skip)]
    pub output_pin_direction: Vec<[f64; 2]>,
}

/// Life and safety of a rolling bearing under the duty cycle.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BearingResult {
    /// C: basic dynamic load rating.
    pub dynamic_rating_n: f64,
    /// C0: basic static load rating; absent where it can not be had.
    pub static_rating_n: Option<f64>,
    /// Whether the ratings were computed from what is inside, or given.
    pub rating_origin: String,
    /// P_m: equivalent load over the duty cycle.
    pub equivalent_load_n: f64,
    /// n_m: mean speed between the rings.
    pub mean_speed_rad_per_s: f64,
    /// L10 in millions of turns.
    pub life_million_turns: f64,
    /// L10 in running time.
    pub life_s: f64,
    /// Life with reliability, lubricant and cleanliness; absent where the data do not suffice.
    pub modified: Option<ModifiedLife>,
    /// Why there is no modified life, as the end of a sentence; empty where there is one.
    pub why_not_modified: String,
    /// Whether the lubricant film is too thin for the modified life, so that the basic one promises too much.
    pub film_too_thin: bool,
    /// Greatest static equivalent load over all load cases; for a radial bearing its greatest force.
    pub greatest_force_n: f64,
    /// Static safety C0 over the greatest load.
    pub static_safety: Option<f64>,
}

/// Masses of the moving parts and their inertia on the crank.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MassResult {
    /// Mass of one disc.
    pub disc_mass_kg: f64,
    /// Moment of inertia of one disc about its own centre.
    pub disc_polar_inertia_kg_mm2: f64,
    /// Mass of one eccentric bearing, as far as its sizes are known.
    pub eccentric_bearing_mass_kg: f64,
    /// Mass that one eccentric bearing carries: disc and outer ring.
    pub carried_mass_kg: f64,
    /// Mass of one eccentric of the crank; zero where its radius is not known.
    pub eccentric_mass_kg: f64,
    /// Mass of all ring rollers.
    pub ring_roller_mass_kg: f64,
    /// Mass of all output pins with their sleeves.
    pub output_pin_mass_kg: f64,
    /// Mass of all parts listed in `included`, the load left out.
    pub known_mass_kg: f64,
    /// Mass that the balance grade is taken of: as given, or eccentrics, bearings and discs.
    pub rotor_mass_kg: f64,
    /// Unbalance of one disc with its bearing and eccentric: mass times eccentricity.
    pub disc_unbalance_kg_mm: f64,
    /// Inertia of all discs and their bearings on the crank.
    pub disc_inertia_kg_mm2: f64,
    /// Inertia of the eccentrics about the crank's axis.
    pub crank_inertia_kg_mm2: f64,
    /// Inertia of the known output parts about their own axis, load left out.
    pub output_inertia_kg_mm2: f64,
    /// Inertia of everything included, referred to the crank.
    pub input_inertia_kg_mm2: f64,
    /// What was counted.
    pub included: Vec<String>,
    /// What was not, because its shape is not in the drive file.
    pub left_out: Vec<String>,
}

/// Shaking, balance and torsional vibration.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct DynamicsResult {
    /// Masses and inertia.
    pub mass: MassResult,
    /// Centrifugal force of one disc on its eccentric bearing at the greatest crank speed.
    pub disc_inertia_force_n: f64,
    /// The same as a share of the greatest force on the bearing under rated torque; absent without loads.
    pub disc_inertia_share: Option<f64>,
    /// Shaking at the greatest crank speed without counterweights.
    pub unbalanced: Shaking,
    /// Shaking at the greatest crank speed with the counterweights.
    pub balanced: Shaking,
    /// Counterweights on the crank; none where the drive file names no plane for them.
    pub counterweights: Vec<Counterweight>,
    /// U_per: permissible residual unbalance of the whole rotor for the balance grade.
    pub permissible_unbalance_kg_mm: f64,
    /// Residual unbalance in two planes against its share of the permissible one.
    pub balance_planes: Vec<BalancePlane>,
    /// Elastic wind-up at rising torques, from no torque to the greatest of the load cases.
    pub torque_twist: Vec<TwistPoint>,
    /// Slope of torque over twist between half and full rated torque, from the loads; absent without loads.
    pub secant_stiffness_n_mm_per_rad: Option<f64>,
    /// First torsional frequency of the load on the drive, crank held; absent without a load inertia.
    pub torsional_frequency_per_s: Option<f64>,
    /// First torsional frequency with the crank free to turn; absent without a load inertia.
    pub free_torsional_frequency_per_s: Option<f64>,
    /// What is assumed and left out.
    pub assumptions: Vec<String>,
}

/// Wind-up of the output under a torque, crank held, play taken off.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TwistPoint {
    /// Torque on the output.
    pub output_torque_n_mm: f64,
    /// Mean over the crank angles of a period.
    pub windup_rad: f64,
}

/// Force and couple that the rotor puts on its bearings.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Shaking {
    /// Sum of mass times radius over all discs.
    pub unbalance_kg_mm: f64,
    /// Sum of mass times radius times place along the axis.
    pub couple_unbalance_kg_mm2: f64,
    /// Turning force.
    pub shaking_force_n: f64,
    /// Turning couple about the middle of the discs.
    pub shaking_couple_n_mm: f64,
}

/// A counterweight on the crank.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Counterweight {
    /// Place along the axis from the middle of the discs.
    pub place_mm: f64,
    /// Mass times radius that cancels the discs as far as the planes allow.
    pub unbalance_kg_mm: f64,
    /// Mass times radius as it is made.
    pub made_unbalance_kg_mm: f64,
    /// Angle from the eccentric of the first disc, anticlockwise.
    pub angle_rad: f64,
}

/// Residual unbalance in one plane.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BalancePlane {
    /// Place along the axis from the middle of the discs.
    pub place_mm: f64,
    /// What is left of the discs' unbalance.
    pub unbalance_kg_mm: f64,
    /// What the balance grade permits there.
    pub permissible_unbalance_kg_mm: f64,
}

/// Life of a bearing with reliability, lubricant and cleanliness.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ModifiedLife {
    /// S: share of bearings that reach it.
    pub reliability: f64,
    /// a1: share of the life that the reliability leaves.
    pub reliability_factor: f64,
    /// Temperature of the lubricant.
    pub operating_temperature_k: f64,
    /// ν: viscosity of the lubricant at that temperature.
    pub viscosity_mm2_per_s: f64,
    /// ν1: viscosity that just keeps the surfaces apart at the mean speed.
    pub reference_viscosity_mm2_per_s: f64,
    /// κ: ratio of the two.
    pub viscosity_ratio: f64,
    /// e_C: what dirt leaves of the fatigue limit, by the equations of the standard's annex.
    pub contamination_factor: f64,
    /// Least and greatest e_C that the standard's table gives for this cleanliness.
    pub contamination_table: (f64, f64),
    /// C_u: load below which the steel does not tire under ideal conditions.
    pub fatigue_load_limit_n: f64,
    /// a_ISO over the whole duty cycle: modified over basic life, reliability left out.
    pub life_factor: f64,
    /// L_nm in millions of turns.
    pub life_million_turns: f64,
    /// L_nm in running time.
    pub life_s: f64,
}

/// How the force on an eccentric bearing stands to the crank over the period.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BearingSpectrum {
    /// Disc, counted from zero.
    pub disc: usize,
    /// Mean of the force's magnitude.
    pub mean_force_n: f64,
    /// Least and greatest magnitude.
    pub force_range_n: (f64, f64),
    /// Direction of the mean force on the disc from the direction of the eccentricity, anticlockwise.
    pub mean_force_angle_rad: f64,
    /// Greatest departure of the direction from the mean one.
    pub force_angle_spread_rad: f64,
    /// Magnitude of the mean force over the mean magnitude: one where the force keeps still against the crank.
    pub direction_constancy: f64,
    /// Whether inner and outer ring see a load that stands still or one that goes round.
    pub ring_loads: String,
}

/// Life and safety of the bearing that carries the output, and what the outside forces do to it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct OutputBearingResult {
    /// M: whole tilting moment about the middle of the bearing.
    pub output_tilting_moment_n_mm: f64,
    /// l: distance between the points at which the two rows take the moment.
    pub effective_spread_mm: f64,
    /// F_r + 2M/l: radial force as though both rows carried what the more loaded one does.
    pub effective_radial_force_n: f64,
    /// Axial force.
    pub output_axial_force_n: f64,
    /// Life and safety.
    pub rating: BearingResult,
    /// Radial force that it would carry with the other loads as required.
    pub carried_radial_force_n: f64,
    /// Axial force that it would carry with the other loads as required.
    pub carried_axial_force_n: f64,
    /// Tilting moment that it would carry with the other loads as required.
    pub carried_tilting_moment_n_mm: f64,
}
