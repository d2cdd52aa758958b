//! The one result model: what the core computes and report, page, command line and JSON show.
//!
//! Plain data in core units. Forces are those that act on the disc, in the frame of the ring: x and
//! y fixed, origin at the ring's centre, anticlockwise positive. Index `i` counts ring rollers from
//! the x axis, `j` output pins, `k` discs; all from zero in code and JSON, from one for people.

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
    /// Life and safety of the eccentric bearing; absent where there are no loads or no data.
    pub eccentric_bearing: Option<BearingResult>,
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
    /// Least and greatest elastic wind-up of the output over the period, free play taken off.
    pub windup_rad: (f64, f64),
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

/// The state of the loaded drive at one crank angle.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Pose {
    /// φ: crank angle.
    pub crank_angle_rad: f64,
    /// Rotation of the output member beyond the ideal one under load.
    pub plate_rotation_rad: f64,
    /// Rotation of the output member beyond the ideal one as the load goes to nothing.
    pub unloaded_plate_rotation_rad: f64,
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
#[derive(Clone, Debug, Serialize, JsonSchema)]
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
    /// Greatest force over all load cases.
    pub greatest_force_n: f64,
    /// Static safety C0 over the greatest force.
    pub static_safety: Option<f64>,
}
