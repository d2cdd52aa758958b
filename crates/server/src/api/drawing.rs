//! What the page draws: the parts, where they are over the motion, the forces on them, and the assembly in space.

use super::Stage;
use schemars::JsonSchema;
use serde::Serialize;

/// The parts of a drive as they are drawn, each in its own frame; the motion places them.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Scene {
    /// Generation of the text that it belongs to.
    pub generation: u64,
    /// Radius within which everything lies.
    pub outside_radius_mm: f64,
    /// Outside of the ring and its inside with seats, as the data of an SVG path, y upwards.
    pub ring_path: String,
    /// Centres of the ring rollers.
    pub roller_centres_mm: Vec<[f64; 2]>,
    /// Their radius.
    pub roller_radius_mm: f64,
    /// Radius of the pins on which they turn; absent where they sit in the ring.
    pub roller_pin_radius_mm: Option<f64>,
    /// Lobes of a disc in its own frame, the same for all, as the data of an SVG path.
    pub lobe_path: String,
    /// The discs.
    pub discs: Vec<SceneDisc>,
    /// Places of the output pins in the frame of the plate.
    pub pin_centres_mm: Vec<[f64; 2]>,
    /// Radius of a pin.
    pub pin_radius_mm: f64,
    /// Radius of its sleeve.
    pub sleeve_radius_mm: Option<f64>,
    /// Radius of the eccentric; absent where it is not known.
    pub eccentric_radius_mm: Option<f64>,
    /// Circle of the eccentric bearing's rollers, their radius and number; absent where they are not known.
    pub bearing_rollers: Option<BearingRollers>,
    /// Radius of the pitch circle of the ring, on which all normals meet.
    pub ring_pitch_radius_mm: f64,
    /// Radius of the pitch circle of the disc.
    pub disc_pitch_radius_mm: f64,
    /// Radius of the circle of ring rollers.
    pub ring_radius_mm: f64,
    /// Radius of the circle of output pins.
    pub pin_circle_radius_mm: f64,
    /// Crank throw.
    pub eccentricity_mm: f64,
    /// How much larger clearances are drawn in [`Clearances`].
    pub exaggeration: f64,
    /// The whole in words, for those who cannot see it.
    pub description: String,
}

/// A disc in its own frame.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SceneDisc {
    /// Bore and holes as the data of an SVG path: with the lobes, even-odd, the disc.
    pub opening_path: String,
    /// Radius of its bore.
    pub bore_radius_mm: f64,
    /// Centres of its holes.
    pub hole_centres_mm: Vec<[f64; 2]>,
    /// Radius of its holes.
    pub hole_radius_mm: f64,
}

/// Outlines of the discs with the clearances at rollers and pins drawn larger, each in the disc's own frame.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Clearances {
    /// Generation of the text that they belong to.
    pub generation: u64,
    /// Lobes, the same for all discs, as the data of an SVG path.
    pub lobe_path: String,
    /// Bore and holes, disc by disc.
    pub opening_paths: Vec<String>,
}

/// Rollers of an eccentric bearing.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct BearingRollers {
    /// Radius of the circle of their centres.
    pub pitch_radius_mm: f64,
    /// Their radius.
    pub radius_mm: f64,
    /// Their number.
    pub count: usize,
}

/// Where everything is over the motion, and the forces over their period.
///
/// All angles in degrees, as SVG takes them, anticlockwise positive in a drawing with y upwards. The
/// disc k turns by `disc_turn_ratio` times the crank angle and its centre is that of the tables.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Motion {
    /// Generation of the text that it belongs to.
    pub generation: u64,
    /// How far the computation got.
    pub stage: Stage,
    /// Which load case.
    pub load_case: String,
    /// Names and titles of all load cases.
    pub load_cases: Vec<(String, String)>,
    /// Turn of everything for one degree of crank, so that the held member stands: nothing where that is the ring. The crank's
    /// angle is counted from the ring.
    pub frame_turn_ratio: f64,
    /// Turn of discs and plate for one degree of crank, frame of the ring.
    pub disc_turn_ratio: f64,
    /// Turn of each disc at crank angle zero, in degrees.
    pub disc_turn_start_deg: Vec<f64>,
    /// Angle of the eccentric of each disc from the crank.
    pub throw_angle_deg: Vec<f64>,
    /// Turn of the cage of an eccentric bearing for one degree of crank, frame of the ring.
    pub cage_turn_ratio: f64,
    /// Where the first roller of each cage stands at crank angle zero, in degrees.
    pub cage_turn_start_deg: Vec<f64>,
    /// Centre of an eccentric over one turn, from angle 0 in equal steps, first and last alike.
    pub throw_mm: Vec<[f64; 2]>,
    /// Pitch point over one turn, likewise.
    pub pitch_point_mm: Vec<[f64; 2]>,
    /// Crank angle after which the force tables repeat, counts shifted.
    pub period_deg: f64,
    /// How many places further the tables of rollers stand after one period; their directions turn by the period itself.
    pub roller_shift: usize,
    /// How many places further the tables of pins stand after one period.
    pub pin_shift: usize,
    /// Forces at crank angles in equal steps from 0, the last one step before the period.
    pub poses: Vec<ForcePose>,
    /// Greatest force at a roller, a pin, a bearing in any pose, for the scale of arrows.
    pub greatest_force_n: [f64; 3],
    /// The scale of pressure: colours from zero to the greatest, with labels.
    pub pressure_scale: ColourScale,
}

/// Forces at one crank angle, disc by disc.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ForcePose {
    /// One entry a disc.
    pub discs: Vec<DiscForces>,
}

/// Forces on a disc: of ring rollers, output pins and eccentric bearing.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct DiscForces {
    /// Force of each roller.
    pub roller_force_n: Vec<f64>,
    /// Direction of the force of each roller on the disc.
    pub roller_direction_deg: Vec<f64>,
    /// Pressure at each roller.
    pub roller_pressure_mpa: Vec<f64>,
    /// Gap of each roller without load, disc in its ideal position.
    pub roller_gap_mm: Vec<f64>,
    /// Force of each pin.
    pub pin_force_n: Vec<f64>,
    /// Direction of the force of each pin on the disc.
    pub pin_direction_deg: Vec<f64>,
    /// Pressure at each pin.
    pub pin_pressure_mpa: Vec<f64>,
    /// Force of the bearing on the disc.
    pub bearing_force_n: f64,
    /// Its direction.
    pub bearing_direction_deg: f64,
}

/// Colours for values from zero to a greatest one.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ColourScale {
    /// The greatest value.
    pub greatest: f64,
    /// Colours in equal steps from zero to the greatest value, for light and for dark.
    pub light: Vec<String>,
    /// The same for a dark page.
    pub dark: Vec<String>,
    /// Values with their labels.
    pub labels: Vec<(f64, String)>,
    /// What the values are, with the unit.
    pub title: String,
}

/// The assembly as prisms, for a view in space.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Solids {
    /// Generation of the text that it belongs to.
    pub generation: u64,
    /// The parts.
    pub parts: Vec<Prism>,
    /// Length along the axis.
    pub length_mm: f64,
}

/// A part with one outline over its length.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Prism {
    /// What it is, for people.
    pub name: String,
    /// Kind of part: `ring`, `roller`, `disc`, `pin`, `sleeve`, `crank`, `bearing`, `plate`.
    pub kind: String,
    /// Outline in its own frame, anticlockwise.
    pub outline_mm: Vec<[f64; 2]>,
    /// Holes in it.
    pub holes_mm: Vec<Vec<[f64; 2]>>,
    /// Where it begins along the axis.
    pub from_mm: f64,
    /// Where it ends.
    pub to_mm: f64,
    /// Where its frame stands at crank angle zero; several places for parts that are alike.
    pub places_mm: Vec<[f64; 2]>,
    /// What it moves with: `ring`, `disc-1`, `plate`, `throw-1` for what turns with the crank on the eccentric of the first disc, or `cage-1` for the rollers round it.
    pub moves_with: String,
    /// Place in the order in which the parts are drawn apart.
    pub explode_order: i32,
}
