//! Friction power at every contact, efficiency, starting and back-driving torque, and the heat that follows.
//!
//! Forces are those of the equilibrium without friction; each contact's friction power is its force times
//! coefficient and sliding speed. Rolling bearings follow Palmgren. Every loss is held as the torque that it
//! costs on the crank. Source: Derivation 8.

pub mod bearing;
pub mod check;
pub mod closed_form;
pub mod equilibrium;
pub mod heat;
pub mod rubbing;
pub mod sweep;

use crate::contact::ContactModel;
use crate::contact::build::ContactMaterials;
use crate::kinematics::{self, Speeds};
use crate::loads::load_steps;
use crate::model::{BearingKind, Drive, LubricantKind, RollerSupport, RollerTurning};
use crate::registry;
use crate::results::{
    EfficiencyMap, HeatResult, LossCoefficient, LossResult, LossShare, MassResult, OperatingPoint,
};
use crate::units::{power_w, rotating_force_n};
use bearing::BearingFriction;
use curves::math;
use curves::root::brent;
use sweep::TorqueLoads;

/// Sliding friction of hardened, ground and lubricated parts, mixed lubrication. **Source** `[common-practice]`: 0.04 to 0.08.
const LUBRICATED_FRICTION: f64 = 0.05;
/// Sliding friction without lubricant, plastic on steel. **Source** `[common-practice]`: 0.15 to 0.3.
const DRY_FRICTION: f64 = 0.2;

/// Losses, efficiency and heat of a drive from its loads at rising torques.
#[must_use]
pub fn losses(
    drive: &Drive,
    model: &ContactModel,
    materials: &ContactMaterials,
    mass: &MassResult,
    loads: &[TorqueLoads],
) -> LossResult {
    let friction = Friction::of(drive, mass);
    let study = Study { drive, friction: &friction, loads };
    let heat = study.heat(materials);
    let warm = lubricant_temperature_k(drive, heat.as_ref());
    let viscosity = heat::viscosity_mm2_per_s(&drive.lubrication, warm);
    let requirement = &drive.requirement;
    let (rated, mean) = (requirement.rated_torque_n_mm, requirement.mean_input_speed_rad_per_s);
    let running = study.at(rated, mean, viscosity);
    let start = |torque: f64| friction.static_ratio * study.at(torque, 0.0, viscosity).total_n_mm();
    let ratio = kinematics::ratio(&drive.geometry).abs();
    let starting = start(0.0);
    // Part of the breakaway friction that grows with the torque, over the torque that the load gives on the crank.
    let holding_share = (start(rated) - starting) * ratio / rated;
    let back_driving = ratio * starting / (1.0 - holding_share);
    LossResult {
        coefficients: friction.coefficients.clone(),
        points: study.points(viscosity),
        efficiency_map: study.map(warm, viscosity),
        no_load_torque_n_mm: study.at(0.0, mean, viscosity).total_n_mm(),
        starting_torque_n_mm: starting,
        loaded_starting_torque_n_mm: rated / ratio + start(rated),
        back_driving_torque_n_mm: (holding_share < 1.0).then_some(back_driving),
        back_driving_efficiency: 1.0 - running.total_n_mm() * ratio / rated,
        friction_feedback: equilibrium::feedback(drive, model, &friction),
        assumptions: assumptions(drive, &friction, heat.as_ref()),
        heat,
    }
}

/// Losses as torques on the crank, by source.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LossTorques {
    /// Ring rollers.
    pub ring_rollers_n_mm: f64,
    /// Output pins.
    pub output_pins_n_mm: f64,
    /// Eccentric bearings under load.
    pub eccentric_load_n_mm: f64,
    /// Eccentric bearings without load.
    pub eccentric_free_n_mm: f64,
    /// Bearings of the crank.
    pub input_bearings_n_mm: f64,
    /// Bearings of the output.
    pub output_bearings_n_mm: f64,
    /// Seals of crank and output.
    pub seals_n_mm: f64,
    /// Lubricant.
    pub lubricant_n_mm: f64,
}

impl LossTorques {
    fn parts(&self) -> [(&'static str, f64); 8] {
        [
            ("ring rollers", self.ring_rollers_n_mm),
            ("output pins", self.output_pins_n_mm),
            ("eccentric bearings under load", self.eccentric_load_n_mm),
            ("eccentric bearings without load", self.eccentric_free_n_mm),
            ("input bearings", self.input_bearings_n_mm),
            ("output bearings", self.output_bearings_n_mm),
            ("seals", self.seals_n_mm),
            ("lubricant drag", self.lubricant_n_mm),
        ]
    }

    /// Sum of all.
    ///
    /// **Source** sum of the parts.
    #[must_use]
    pub fn total_n_mm(&self) -> f64 {
        self.parts().iter().map(|(_, torque)| torque).sum()
    }

    /// `share` of the way from this to another.
    fn towards(&self, other: &Self, share: f64) -> Self {
        let mix = |a: f64, b: f64| a + (b - a) * share;
        Self {
            ring_rollers_n_mm: mix(self.ring_rollers_n_mm, other.ring_rollers_n_mm),
            output_pins_n_mm: mix(self.output_pins_n_mm, other.output_pins_n_mm),
            eccentric_load_n_mm: mix(self.eccentric_load_n_mm, other.eccentric_load_n_mm),
            eccentric_free_n_mm: mix(self.eccentric_free_n_mm, other.eccentric_free_n_mm),
            input_bearings_n_mm: mix(self.input_bearings_n_mm, other.input_bearings_n_mm),
            output_bearings_n_mm: mix(self.output_bearings_n_mm, other.output_bearings_n_mm),
            seals_n_mm: mix(self.seals_n_mm, other.seals_n_mm),
            lubricant_n_mm: mix(self.lubricant_n_mm, other.lubricant_n_mm),
        }
    }
}

/// All that turns forces into friction torques on the crank.
#[derive(Clone, Debug)]
pub struct Friction {
    /// Friction at a ring roller over its normal force and its sliding speed.
    pub roller: f64,
    /// Friction at an output pin over its normal force and the speed of its hole's wall.
    pub pin: f64,
    eccentric: Option<BearingFriction>,
    input: Option<BearingFriction>,
    output: Option<BearingFriction>,
    input_planes_mm: Option<(f64, f64)>,
    disc_places_mm: Vec<f64>,
    input_count: f64,
    output_count: f64,
    output_load_n: f64,
    input_seal_n_mm: f64,
    output_seal_n_mm: f64,
    lubricant_n_mm: f64,
    static_ratio: f64,
    carried_mass_kg: f64,
    eccentricity_mm: f64,
    /// Speeds of all members for a crank speed of one.
    unit_speeds: Speeds,
    coefficients: Vec<LossCoefficient>,
}

impl Friction {
    /// The friction of a drive: what its file states, and the trade's usual values for the rest.
    #[must_use]
    pub fn of(drive: &Drive, mass: &MassResult) -> Self {
        let (geometry, losses) = (&drive.geometry, &drive.losses);
        let mut table =
            Coefficients { is_dry: drive.lubrication.kind == LubricantKind::Dry, list: Vec::new() };
        let roller = roller_friction(drive, &mut table);
        let pin = pin_friction(drive, &mut table);
        let eccentric = table.bearing(
            "eccentric bearing",
            &drive.bearings.eccentric,
            losses.eccentric_f0,
            losses.eccentric_f1,
        );
        let input =
            drive.bearings.input.as_ref().and_then(|bearing| {
                table.bearing("input bearings", bearing, losses.input_f0, losses.input_f1)
            });
        let output = drive.bearings.output.as_ref().and_then(|bearing| {
            table.bearing("output bearings", bearing, losses.output_f0, losses.output_f1)
        });
        let dynamics = &drive.dynamics;
        Self {
            roller,
            pin,
            eccentric,
            input,
            output,
            input_planes_mm: dynamics.input_bearing_plane_1_mm.zip(dynamics.input_bearing_plane_2_mm),
            disc_places_mm: disc_places_mm(drive),
            input_count: losses.input_bearing_count as f64,
            output_count: output_bearing_count(drive),
            output_load_n: output_load_n(drive),
            input_seal_n_mm: losses.input_seal_torque_n_mm,
            output_seal_n_mm: losses.output_seal_torque_n_mm,
            lubricant_n_mm: losses.lubricant_drag_torque_n_mm,
            static_ratio: losses.static_friction_ratio,
            carried_mass_kg: mass.carried_mass_kg,
            eccentricity_mm: geometry.eccentricity_mm,
            unit_speeds: kinematics::speeds(geometry, 1.0),
            coefficients: table.list,
        }
    }

    /// Losses at one torque, speed and viscosity, each as a torque on the crank.
    ///
    /// **Source** Derivation 8, §1 and §3.
    #[must_use]
    pub fn torques(
        &self,
        loads: &TorqueLoads,
        input_speed_rad_per_s: f64,
        viscosity_mm2_per_s: f64,
    ) -> LossTorques {
        let unit = &self.unit_speeds;
        let disc_in_ring = (unit.disc_rad_per_s - unit.ring_rad_per_s).abs();
        let in_bearing = (unit.input_rad_per_s - unit.disc_rad_per_s).abs();
        let at_output = unit.output_rad_per_s.abs();
        let inertia_n = rotating_force_n(self.carried_mass_kg, self.eccentricity_mm, input_speed_rad_per_s);
        let free = |bearing: &Option<BearingFriction>, ratio: f64| {
            bearing.as_ref().map_or(0.0, |bearing| {
                bearing.free_torque_n_mm(viscosity_mm2_per_s, ratio * input_speed_rad_per_s) * ratio
            })
        };
        let loaded = |bearing: &Option<BearingFriction>, load_n: f64, ratio: f64| {
            bearing.as_ref().map_or(0.0, |bearing| bearing.load_torque_n_mm(load_n) * ratio)
        };
        let eccentric_n =
            loads.mean(|pose| pose.eccentric_force_with_inertia_n(inertia_n).map(|force| force.norm()).sum());
        let input_n = loads.mean(|pose| self.input_bearing_load_n(pose));
        let disc_count = self.disc_places_mm.len() as f64;
        LossTorques {
            ring_rollers_n_mm: self.roller
                * loads.mean(|pose| pose.roller_force_distance_n_mm)
                * disc_in_ring,
            output_pins_n_mm: self.pin
                * loads.mean(|pose| pose.pin_force_n)
                * self.eccentricity_mm
                * in_bearing,
            eccentric_load_n_mm: loaded(&self.eccentric, eccentric_n, in_bearing),
            eccentric_free_n_mm: disc_count * free(&self.eccentric, in_bearing),
            input_bearings_n_mm: loaded(&self.input, input_n, 1.0)
                + self.input_count * free(&self.input, 1.0),
            output_bearings_n_mm: loaded(&self.output, self.output_load_n, at_output)
                + self.output_count * free(&self.output, at_output),
            seals_n_mm: self.input_seal_n_mm + self.output_seal_n_mm * at_output,
            lubricant_n_mm: self.lubricant_n_mm,
        }
    }

    /// Friction torque of an eccentric bearing over its force, f1 d_m.
    ///
    /// **Source** `[palmgren1959]`, from memory.
    #[must_use]
    pub fn eccentric_load_mm(&self) -> f64 {
        self.eccentric.as_ref().map_or(0.0, |bearing| bearing.load_torque_n_mm(1.0))
    }

    /// Friction torque at the output as it starts to turn with the crank held, whatever its load: seals, output bearings, and eccentric
    /// bearings without load.
    ///
    /// ```text
    /// T_f = c_s (M_seal + n M0 + f1 P d_m + n_d M0,ecc)
    /// ```
    /// A disc turns about the held crank by no more than the output turns, so that the last part is counted in full.
    ///
    /// **Source** as [`Self::torques`] at standstill; Derivation 13, §2.
    #[must_use]
    pub fn output_starting_torque_n_mm(&self, viscosity_mm2_per_s: f64) -> f64 {
        let free = |bearing: &Option<BearingFriction>| {
            bearing.as_ref().map_or(0.0, |bearing| bearing.free_torque_n_mm(viscosity_mm2_per_s, 0.0))
        };
        let loaded = self.output.as_ref().map_or(0.0, |output| output.load_torque_n_mm(self.output_load_n));
        let discs = self.disc_places_mm.len() as f64;
        let bearings = self.output_count * free(&self.output) + loaded + discs * free(&self.eccentric);
        self.static_ratio * (self.output_seal_n_mm + bearings)
    }

    /// Friction at the first movement over friction in motion.
    ///
    /// **Source** the drive file.
    #[must_use]
    pub fn static_ratio(&self) -> f64 {
        self.static_ratio
    }

    /// Sum of the radial forces on the bearings of the crank; rotating parts count as balanced.
    ///
    /// With their places known both reactions count; otherwise only the resultant, and the couple of the discs is left out.
    fn input_bearing_load_n(&self, pose: &sweep::PoseLoads) -> f64 {
        let forces = &pose.eccentric_force_n;
        let Some((first, second)) = self.input_planes_mm.filter(|(first, second)| first != second) else {
            return forces.iter().sum::<curves::point::Vector>().norm();
        };
        let share = |place: f64| (place - first) / (second - first);
        let at_second: curves::point::Vector =
            forces.iter().zip(&self.disc_places_mm).map(|(force, place)| force * share(*place)).sum();
        let at_first: curves::point::Vector = forces.iter().sum::<curves::point::Vector>() - at_second;
        at_first.norm() + at_second.norm()
    }
}

/// Bearings that carry the output: as given, else one pair or ring, whose factors count both rows, or two of any other kind.
fn output_bearing_count(drive: &Drive) -> f64 {
    let kind = drive.bearings.output.as_ref().map(|bearing| bearing.kind);
    let is_whole = matches!(
        kind,
        Some(BearingKind::AngularContactPair | BearingKind::TaperedRollerPair | BearingKind::CrossedRoller)
    );
    drive.losses.output_bearing_count.unwrap_or(if is_whole { 1 } else { 2 }) as f64
}

/// Places of the discs' middles along the axis, from the middle of them all.
///
/// **Source** geometry.
#[must_use]
pub fn disc_places_mm(drive: &Drive) -> Vec<f64> {
    let pitch = drive.geometry.disc_width_mm + drive.geometry.disc_gap_mm;
    let middle = 0.5 * (drive.geometry.disc_count as f64 - 1.0);
    (0..drive.geometry.disc_count).map(|disc| (disc as f64 - middle) * pitch).collect()
}

/// Radial force, axial force and the pair of forces that a tilting moment makes over the mean diameter, all added: on the safe side.
fn output_load_n(drive: &Drive) -> f64 {
    let requirement = &drive.requirement;
    let diameter = drive.bearings.output.as_ref().and_then(bearing::mean_diameter_mm);
    let tilting =
        requirement.output_tilting_moment_n_mm.zip(diameter).map_or(0.0, |(moment, mm)| 2.0 * moment / mm);
    requirement.output_radial_force_n.unwrap_or_default()
        + requirement.output_axial_force_n.unwrap_or_default()
        + tilting
}

/// Sliding friction where the drive file gives none.
fn usual_sliding_friction(is_dry: bool) -> f64 {
    if is_dry { DRY_FRICTION } else { LUBRICATED_FRICTION }
}

/// Coefficient of friction of a sliding contact: as given, or usual for the lubrication of the drive.
///
/// **Source** `[common-practice]`.
#[must_use]
pub fn sliding_friction(drive: &Drive, given: Option<f64>) -> f64 {
    given.unwrap_or_else(|| usual_sliding_friction(drive.lubrication.kind == LubricantKind::Dry))
}

/// Gathers coefficients with their origin.
struct Coefficients {
    is_dry: bool,
    list: Vec<LossCoefficient>,
}

impl Coefficients {
    fn sliding(&mut self, title: &str, given: Option<f64>) -> f64 {
        let usual = usual_sliding_friction(self.is_dry);
        let condition = if self.is_dry { "without lubricant" } else { "lubricated" };
        let origin = given.map_or(format!("usual value, {condition}"), |_| "drive file".to_owned());
        let coefficient = given.unwrap_or(usual);
        self.list.push(LossCoefficient { title: title.to_owned(), coefficient, origin });
        coefficient
    }

    fn bearing(
        &mut self,
        title: &str,
        bearing: &crate::model::Bearing,
        free: Option<f64>,
        load: Option<f64>,
    ) -> Option<BearingFriction> {
        let friction = BearingFriction::of(bearing, free, load)?;
        let origin = |given: Option<f64>| {
            given.map_or_else(|| format!("usual value, {}", bearing.kind.word()), |_| "drive file".to_owned())
        };
        self.list.push(LossCoefficient {
            title: format!("{title}, f0"),
            coefficient: friction.free_factor,
            origin: origin(free),
        });
        self.list.push(LossCoefficient {
            title: format!("{title}, f1"),
            coefficient: friction.load_factor,
            origin: origin(load),
        });
        Some(friction)
    }
}

/// What a ring roller does when a lobe slides past it.
///
/// **Source** as stated, or what its support lets it do.
#[must_use]
pub fn turning(drive: &Drive) -> RollerTurning {
    let geometry = &drive.geometry;
    match geometry.roller_turning {
        RollerTurning::Auto => match (geometry.roller_support, geometry.roller_pin_radius_mm) {
            (RollerSupport::Seat, _) => RollerTurning::InSeat,
            (RollerSupport::Pin, Some(_)) => RollerTurning::OnPin,
            (RollerSupport::Pin, None) => RollerTurning::Fixed,
        },
        stated => stated,
    }
}

/// Friction at a ring roller over its normal force: a roller turns only where that resists less than sliding.
///
/// ```text
/// fixed    μ
/// on pin   min(μ, μ_s r_pin/r_r)
/// in seat  min(μ, μ_s 2 sin α/(α + sin α cos α)),  2α the angle over which the seat wraps the roller
/// ```
/// **Source** Derivation 8, §1.
fn roller_friction(drive: &Drive, table: &mut Coefficients) -> f64 {
    let (geometry, losses) = (&drive.geometry, &drive.losses);
    let sliding = table.sliding("lobe on ring roller", losses.roller_friction);
    match turning(drive) {
        RollerTurning::Fixed | RollerTurning::Auto => sliding,
        RollerTurning::OnPin => {
            let pin = geometry.roller_pin_radius_mm.unwrap_or(geometry.roller_radius_mm);
            let support = table.sliding("ring roller on its pin", losses.roller_support_friction);
            sliding.min(support * pin / geometry.roller_radius_mm)
        }
        RollerTurning::InSeat => {
            let support = table.sliding("ring roller in its seat", losses.roller_support_friction);
            sliding.min(support * wrap_factor(geometry.seat_wrap_angle_rad))
        }
    }
}

/// Friction torque in a seat that fits all round over that of the same force at one line: 4/π for half a turn.
fn wrap_factor(wrap_angle_rad: f64) -> f64 {
    let half = (0.5 * wrap_angle_rad).min(std::f64::consts::FRAC_PI_2);
    if half < 1e-6 {
        return 1.0;
    }
    let (sine, cosine) = math::sin_cos(half);
    2.0 * sine / (half + sine * cosine)
}

/// Friction at an output pin over its normal force, at the speed of the hole's wall.
///
/// ```text
/// bare  μ        sleeve  min(μ, μ_s r_pin/r_sleeve)
/// ```
fn pin_friction(drive: &Drive, table: &mut Coefficients) -> f64 {
    let sliding = table.sliding("output hole on pin or sleeve", drive.losses.pin_friction);
    let Some(sleeve) = drive.geometry.sleeve_radius_mm else { return sliding };
    let support = table.sliding("sleeve on output pin", drive.losses.sleeve_friction);
    sliding.min(support * drive.geometry.pin_radius_mm / sleeve)
}

/// A drive with its friction and its loads at rising torques.
struct Study<'a> {
    drive: &'a Drive,
    friction: &'a Friction,
    loads: &'a [TorqueLoads],
}

/// Shares of the rated torque in the efficiency map.
const MAP_TORQUES: [f64; 11] = [0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.25];
/// Shares of the greatest speed in the efficiency map.
const MAP_SPEEDS: [f64; 5] = [0.1, 0.25, 0.5, 0.75, 1.0];

impl Study<'_> {
    /// Losses at any torque: between solved ones by straight lines, beyond the greatest in proportion.
    fn at(
        &self,
        output_torque_n_mm: f64,
        input_speed_rad_per_s: f64,
        viscosity_mm2_per_s: f64,
    ) -> LossTorques {
        let torques = |loads| self.friction.torques(loads, input_speed_rad_per_s, viscosity_mm2_per_s);
        let upper = self.loads.partition_point(|loads| loads.output_torque_n_mm < output_torque_n_mm);
        let upper = upper.clamp(1, (self.loads.len() - 1).max(1));
        let (Some(below), Some(above)) = (self.loads.get(upper - 1), self.loads.get(upper)) else {
            return self.loads.first().map_or_else(LossTorques::default, torques);
        };
        let span = above.output_torque_n_mm - below.output_torque_n_mm;
        torques(below).towards(&torques(above), (output_torque_n_mm - below.output_torque_n_mm) / span)
    }

    fn point(&self, id: &str, title: &str, torque: f64, speed: f64, viscosity: f64) -> OperatingPoint {
        let torques = self.at(torque, speed, viscosity);
        let ratio = kinematics::ratio(&self.drive.geometry).abs();
        let useful = torque / ratio;
        OperatingPoint {
            id: id.to_owned(),
            title: title.to_owned(),
            output_torque_n_mm: torque,
            input_speed_rad_per_s: speed,
            output_power_w: power_w(useful, speed),
            loss_power_w: power_w(torques.total_n_mm(), speed),
            input_torque_n_mm: useful + torques.total_n_mm(),
            efficiency: useful / (useful + torques.total_n_mm()),
            sources: torques
                .parts()
                .into_iter()
                .map(|(title, torque)| LossShare {
                    title: title.to_owned(),
                    loss_power_w: power_w(torque, speed),
                })
                .collect(),
        }
    }

    fn points(&self, viscosity: f64) -> Vec<OperatingPoint> {
        let requirement = &self.drive.requirement;
        let rated = requirement.rated_torque_n_mm;
        let mean = requirement.mean_input_speed_rad_per_s;
        let fastest = requirement.max_input_speed_rad_per_s;
        let mut points = vec![
            self.point("rated", "rated torque at the mean speed", rated, mean, viscosity),
            self.point("rated-fast", "rated torque at the greatest speed", rated, fastest, viscosity),
        ];
        points.extend(load_steps(self.drive).iter().filter(|step| step.id.starts_with("duty")).map(|step| {
            let (torque, speed) = (step.output_torque_n_mm, step.input_speed_rad_per_s);
            self.point(&step.id, &step.title, torque, speed, viscosity)
        }));
        points
    }

    fn map(&self, lubricant_temperature_k: f64, viscosity: f64) -> EfficiencyMap {
        let requirement = &self.drive.requirement;
        let torques = MAP_TORQUES.map(|share| share * requirement.rated_torque_n_mm);
        let speeds = MAP_SPEEDS.map(|share| share * requirement.max_input_speed_rad_per_s);
        let ratio = kinematics::ratio(&self.drive.geometry).abs();
        let efficiency = |torque: f64, speed: f64| {
            let useful = torque / ratio;
            useful / (useful + self.at(torque, speed, viscosity).total_n_mm())
        };
        EfficiencyMap {
            lubricant_temperature_k,
            efficiency: torques.map(|torque| speeds.map(|speed| efficiency(torque, speed)).to_vec()).to_vec(),
            output_torque_n_mm: torques.to_vec(),
            input_speed_rad_per_s: speeds.to_vec(),
        }
    }

    /// Loss over the duty cycle, running time and standstill together.
    fn mean_loss_w(&self, viscosity: f64) -> f64 {
        let steps = load_steps(self.drive);
        let in_duty = || steps.iter().filter_map(|step| Some((step, step.time_share?)));
        let time: f64 = in_duty().map(|(_, share)| share).sum();
        let energy: f64 = in_duty()
            .map(|(step, share)| {
                let speed = step.input_speed_rad_per_s;
                share * power_w(self.at(step.output_torque_n_mm, speed, viscosity).total_n_mm(), speed)
            })
            .sum();
        self.drive.requirement.running_share * energy / time
    }

    fn heat(&self, materials: &ContactMaterials) -> Option<HeatResult> {
        let requirement = &self.drive.requirement;
        let cooling_area_mm2 = heat::cooling_area_mm2(self.drive)?;
        let heat_transfer_w_per_mm2_k = self.drive.losses.heat_transfer_w_per_mm2_k;
        let conductance = heat_transfer_w_per_mm2_k * cooling_area_mm2;
        let viscosity = |temperature: f64| heat::viscosity_mm2_per_s(&self.drive.lubrication, temperature);
        let loss = |temperature: f64| self.mean_loss_w(viscosity(temperature));
        let steady = heat::steady_temperature_k(conductance, requirement.ambient_temperature_k, loss);
        let limit = temperature_limit_k(self.drive, materials);
        let allowed_w = conductance * (limit - requirement.ambient_temperature_k) / requirement.running_share;
        let thermal = |speed: f64| self.torque_of_loss_n_mm(allowed_w, speed, viscosity(limit));
        Some(HeatResult {
            cooling_area_mm2,
            heat_transfer_w_per_mm2_k,
            mean_loss_power_w: loss(steady),
            steady_temperature_k: steady,
            viscosity_mm2_per_s: (self.drive.lubrication.kind != LubricantKind::Dry)
                .then(|| viscosity(steady)),
            temperature_limit_k: limit,
            thermal_torque_n_mm: thermal(requirement.mean_input_speed_rad_per_s),
            thermal_torque_at_max_speed_n_mm: thermal(requirement.max_input_speed_rad_per_s),
            greatest_torque_n_mm: self.loads.last()?.output_torque_n_mm,
        })
    }

    /// Torque at which a loss arises at a speed: nothing where the drive loses more than that without load, `None`
    /// where it loses less up to the greatest solved torque.
    fn torque_of_loss_n_mm(&self, loss_w: f64, speed: f64, viscosity: f64) -> Option<f64> {
        let surplus = |torque: f64| power_w(self.at(torque, speed, viscosity).total_n_mm(), speed) - loss_w;
        let greatest = self.loads.last()?.output_torque_n_mm;
        match (surplus(0.0) >= 0.0, surplus(greatest) >= 0.0) {
            (true, _) => Some(0.0),
            (false, false) => None,
            (false, true) => brent(surplus, 0.0, greatest, 1e-9 * greatest).ok(),
        }
    }
}

/// Highest temperature in service: as given, or that of the material that bears least of those that carry load.
fn temperature_limit_k(drive: &Drive, materials: &ContactMaterials) -> f64 {
    let parts = [&materials.disc, &materials.roller, &materials.ring, &materials.pin, &materials.pin_surface];
    let least = parts.iter().map(|material| material.temperature_limit_k).fold(f64::INFINITY, f64::min);
    drive.losses.temperature_limit_k.unwrap_or(least)
}

/// The temperature at which heat comes to rest, or that of the housing where no heat was computed.
fn lubricant_temperature_k(drive: &Drive, heat: Option<&HeatResult>) -> f64 {
    heat.map_or(drive.requirement.housing_temperature_k, |heat| heat.steady_temperature_k)
}

/// At which temperature of the lubricant losses are taken, and at which other things are where the file states another one;
/// nothing of a drive that runs dry.
fn temperature_in_words(drive: &Drive, heat: Option<&HeatResult>) -> Option<String> {
    if drive.lubrication.kind == LubricantKind::Dry {
        return None;
    }
    let shown = |kelvin: f64| registry::display("lubricant_temperature_k", kelvin);
    let warm = shown(lubricant_temperature_k(drive, heat));
    let place = if heat.is_some() { "where heat comes to rest" } else { "that of the housing" };
    let other = drive.lubrication.operating_temperature_k.map(shown).filter(|stated| *stated != warm);
    let films = other.map_or_else(String::new, |stated| {
        format!("; films and modified lives take the stated operating_temperature, {stated}")
    });
    Some(format!("Losses are those with the lubricant at {warm}, {place}{films}."))
}

fn assumptions(drive: &Drive, friction: &Friction, heat: Option<&HeatResult>) -> Vec<String> {
    let mut all = vec![
        "Friction acts on the forces of the equilibrium without friction; what it changes in them is stated beside (friction_feedback).".to_owned(),
        "Coefficients of friction are constant over load and speed; rolling friction of rollers and sleeves is left out.".to_owned(),
        "Between solved torques losses follow straight lines, beyond the greatest they grow in proportion.".to_owned(),
        "Preload between rollers and discs counts as the load model has it; preload of bearings is left out and adds to no-load, starting and back-driving torque.".to_owned(),
        "Seals and lubricant drag are as given in the drive file.".to_owned(),
        "Starting: all friction times static_friction_ratio, bearings at standstill. Driving back: the share of friction that grows with torque acts against the load.".to_owned(),
        "Heat leaves through the housing alone; nothing comes in from the motor.".to_owned(),
    ];
    all.extend(temperature_in_words(drive, heat));
    match turning(drive) {
        RollerTurning::InSeat => all.push("Rollers turn in their seats only where that resists less than sliding on the lobes; the seat fits all round.".to_owned()),
        RollerTurning::OnPin => all.push("Rollers turn on their pins where that resists less than sliding on the lobes.".to_owned()),
        _ => all.push("Ring rollers do not turn.".to_owned()),
    }
    if friction.input.is_none() {
        all.push("Input bearings are left out: the drive file does not describe them.".to_owned());
    } else if friction.input_planes_mm.is_none() {
        all.push("Input bearings carry the resultant of all discs; their couple is left out, as the places of the bearings are not given.".to_owned());
    }
    if friction.output.is_none() {
        all.push("Output bearings are left out: the drive file does not describe them.".to_owned());
    }
    if friction.eccentric.is_none() {
        all.push("Friction of the eccentric bearing is left out: its mean diameter is not given.".to_owned());
    }
    all
}
