//! From load cases to bearings: eccentric, input and output bearing with their forces, lives and safeties.

use crate::bearing::life::{self, DutyLoad, LifeExponent};
use crate::bearing::modified::{self, Surroundings};
use crate::bearing::pair::{self, OutsideLoad, PairFactors};
use crate::bearing::shaft::TwoBearings;
use crate::bearing::spectrum::spectrum;
use crate::bearing::{self, BearingDuty, CROSSED_ROLLER_ANGLE_RAD, Internals};
use crate::dynamics::bearing_force_with_inertia_n;
use crate::kinematics;
use crate::model::{Bearing, BearingKind, Drive, HeldMember};
use crate::results::{BearingResult, BearingSpectrum, LoadCase, OutputBearingResult, Pose};
use crate::units::rotating_force_n;
use curves::math;
use std::f64::consts::TAU;

/// Least C0 over P0 of every bearing: for shocks and quiet running, common practice.
pub const LEAST_STATIC_SAFETY: f64 = 1.5;

/// All bearings of a drive; where one can not be assessed, why, as the end of a sentence.
#[derive(Clone, Debug)]
pub struct BearingResults {
    /// The eccentric bearing that has the shortest life.
    pub eccentric: Result<BearingResult, String>,
    /// Spectrum of each disc under the rated torque.
    pub spectrum: Vec<BearingSpectrum>,
    /// Both input bearings.
    pub input: Result<Vec<BearingResult>, String>,
    /// The output bearing.
    pub output: Result<OutputBearingResult, String>,
}

/// Rates all bearings of a drive.
///
/// `carried_kg` is what one eccentric bearing swings round, `steady_k` the temperature that the losses lead to.
///
/// **Source** `[iso281-2007]`, `[iso76-2006]`; see the modules of [`bearing`].
#[must_use]
pub fn bearings(
    drive: &Drive,
    load_cases: &[LoadCase],
    carried_kg: f64,
    steady_k: Option<f64>,
) -> BearingResults {
    let surroundings = Surroundings::of(drive, steady_k);
    if load_cases.is_empty() {
        let reason = "the geometry does not mesh, so there are no loads".to_owned();
        return BearingResults {
            eccentric: Err(reason.clone()),
            spectrum: Vec::new(),
            input: Err(reason.clone()),
            output: Err(reason),
        };
    }
    BearingResults {
        eccentric: eccentric(drive, load_cases, carried_kg, &surroundings),
        spectrum: load_cases.first().map_or_else(Vec::new, |rated| spectra(drive, rated)),
        input: input(drive, load_cases, &surroundings),
        output: Output::of(drive, load_cases, &surroundings).and_then(|output| output.result()),
    }
}

/// Direction of the eccentricity of a disc.
fn eccentric_rad(drive: &Drive, disc: usize, pose: &Pose) -> f64 {
    pose.crank_angle_rad + TAU * disc as f64 / drive.geometry.disc_count as f64
}

fn spectra(drive: &Drive, case: &LoadCase) -> Vec<BearingSpectrum> {
    (0..drive.geometry.disc_count)
        .map(|disc| {
            let forces: Vec<_> = case
                .poses
                .iter()
                .map(|pose| (pose.discs[disc].bearing_force_n, eccentric_rad(drive, disc, pose)))
                .collect();
            spectrum(disc, &forces)
        })
        .collect()
}

/// Duty of a bearing whose force at each crank angle is known: the steps of the duty cycle, each by its mean over the turn.
fn duty(
    load_cases: &[LoadCase],
    exponent: LifeExponent,
    speed_rad_per_s: impl Fn(&LoadCase) -> f64,
    force_n: impl Fn(&LoadCase, &Pose) -> f64,
) -> BearingDuty {
    let steps = load_cases
        .iter()
        .filter_map(|case| case.time_share.map(|share| (case, share)))
        .map(|(case, time_share)| DutyLoad {
            load_n: life::mean_over_turn_n(case.poses.iter().map(|pose| force_n(case, pose)), exponent),
            speed_rad_per_s: speed_rad_per_s(case),
            time_share,
        })
        .collect();
    let greatest_load_n = load_cases
        .iter()
        .flat_map(|case| case.poses.iter().map(|pose| force_n(case, pose)))
        .fold(0.0, f64::max);
    BearingDuty { steps, greatest_load_n }
}

/// The duty without motion or load has no life.
const IDLE: &str = "nothing in the duty cycle turns and loads the bearing";

/// The eccentric bearing of the disc that wears it most; its force holds the centrifugal force of disc and outer ring.
fn eccentric(
    drive: &Drive,
    load_cases: &[LoadCase],
    carried_kg: f64,
    surroundings: &Result<Surroundings, String>,
) -> Result<BearingResult, String> {
    let bearing = &drive.bearings.eccentric;
    if carries_moment(bearing.kind) {
        return Err(format!("a {} is no eccentric bearing of this calculation", bearing.kind.word()));
    }
    let exponent = bearing::life_exponent(bearing.kind);
    let speed = |case: &LoadCase| {
        kinematics::eccentric_bearing_speed_rad_per_s(&drive.geometry, case.input_speed_rad_per_s)
    };
    let inertia_n = |speed: f64| rotating_force_n(carried_kg, drive.geometry.eccentricity_mm, speed);
    // At the greatest load the crank may turn at its greatest speed; both at once bound the force.
    let greatest_load_n = load_cases.iter().map(|case| case.extremes.bearing_force.value).fold(0.0, f64::max)
        + inertia_n(drive.requirement.max_input_speed_rad_per_s);
    (0..drive.geometry.disc_count)
        .map(|disc| {
            let force = |case: &LoadCase, pose: &Pose| {
                bearing_force_with_inertia_n(pose, disc, inertia_n(case.input_speed_rad_per_s))
            };
            let duty = BearingDuty { greatest_load_n, ..duty(load_cases, exponent, speed, force) };
            bearing::assess(bearing, &duty, surroundings)
        })
        .collect::<Result<Vec<_>, _>>()
        .map_err(|error| error.to_string())?
        .into_iter()
        .flatten()
        .min_by(|a, b| a.life_s.total_cmp(&b.life_s))
        .ok_or_else(|| IDLE.to_owned())
}

/// Middle of a disc from the middle of all discs.
fn disc_middle_mm(drive: &Drive, disc: usize) -> f64 {
    let geometry = &drive.geometry;
    let from_middle = disc as f64 - 0.5 * (geometry.disc_count as f64 - 1.0);
    from_middle * (geometry.disc_width_mm + geometry.disc_gap_mm)
}

/// Both input bearings under what the discs put on the crank; outside forces on the input and weights and what is left of the unbalance
/// are left out.
///
/// **Source** statics of a shaft on two bearings, `docs/derivations/06-bearings.md`.
fn input(
    drive: &Drive,
    load_cases: &[LoadCase],
    surroundings: &Result<Surroundings, String>,
) -> Result<Vec<BearingResult>, String> {
    let bearing = drive.bearings.input.as_ref().ok_or("[bearings.input] is not given")?;
    let (Some(first_mm), Some(second_mm)) =
        (drive.dynamics.input_bearing_plane_1_mm, drive.dynamics.input_bearing_plane_2_mm)
    else {
        return Err("give input_bearing_plane_1 and input_bearing_plane_2 in [dynamics]".to_owned());
    };
    if (second_mm - first_mm).abs() < MIN_SPAN_MM {
        return Err("input_bearing_plane_1 and input_bearing_plane_2 are the same place".to_owned());
    }
    if carries_moment(bearing.kind) {
        return Err(format!("a {} is no input bearing of this calculation", bearing.kind.word()));
    }
    let shaft = TwoBearings { first_mm, second_mm };
    let exponent = bearing::life_exponent(bearing.kind);
    // Whether the bearing sits in the housing or in the output plate, its rings move no faster than this.
    let speed = |case: &LoadCase| {
        let speeds = kinematics::speeds(&drive.geometry, case.input_speed_rad_per_s);
        speeds.input_rad_per_s.abs().max((speeds.input_rad_per_s - speeds.output_rad_per_s).abs())
    };
    (0..2)
        .map(|end| {
            let force = |_: &LoadCase, pose: &Pose| {
                let on_crank: Vec<_> = pose
                    .discs
                    .iter()
                    .enumerate()
                    .map(|(disc, state)| {
                        (disc_middle_mm(drive, disc), state.bearing_force_n.map(|part| -part))
                    })
                    .collect();
                length(shaft.reactions_n(&on_crank)[end])
            };
            let duty = duty(load_cases, exponent, speed, force);
            bearing::assess(bearing, &duty, surroundings)
                .map_err(|error| error.to_string())?
                .ok_or_else(|| IDLE.to_owned())
        })
        .collect()
}

/// Two bearings nearer than this are one.
const MIN_SPAN_MM: f64 = 0.01;

/// Whether a kind of bearing takes tilting moment alone.
#[must_use]
pub fn carries_moment(kind: BearingKind) -> bool {
    matches!(
        kind,
        BearingKind::AngularContactPair | BearingKind::TaperedRollerPair | BearingKind::CrossedRoller
    )
}

/// What the output bearing carries in one load case: outside loads and what the discs put on the output member.
#[derive(Clone, Copy, Debug)]
struct OutputStep {
    inside: OutsideLoad,
    speed_rad_per_s: f64,
    time_share: Option<f64>,
}

/// The output bearing and all that is needed to rate it under other outside loads too.
struct Output<'a> {
    bearing: &'a Bearing,
    factors: PairFactors,
    spread_mm: f64,
    steps: Vec<OutputStep>,
    required: OutsideLoad,
    life_s: Option<f64>,
    surroundings: &'a Result<Surroundings, String>,
}

impl<'a> Output<'a> {
    fn of(
        drive: &'a Drive,
        load_cases: &[LoadCase],
        surroundings: &'a Result<Surroundings, String>,
    ) -> Result<Self, String> {
        let bearing = drive.bearings.output.as_ref().ok_or("[bearings.output] is not given")?;
        if !carries_moment(bearing.kind) {
            return Err(format!(
                "a {} takes no tilting moment alone: give a pair or a crossed-roller",
                bearing.kind.word()
            ));
        }
        let pitch_diameter_mm =
            modified::pitch_diameter_mm(bearing).ok_or("give pitch_diameter in [bearings.output]")?;
        let contact_angle_rad = match bearing.kind {
            BearingKind::CrossedRoller => bearing.contact_angle_rad.unwrap_or(CROSSED_ROLLER_ANGLE_RAD),
            _ => bearing.contact_angle_rad.ok_or("give contact_angle in [bearings.output]")?,
        };
        let requirement = &drive.requirement;
        let radial_n = requirement.output_radial_force_n.unwrap_or(0.0);
        let steps = load_cases
            .iter()
            .map(|case| OutputStep {
                inside: inside_load(drive, case),
                speed_rad_per_s: kinematics::speeds(&drive.geometry, case.input_speed_rad_per_s)
                    .output_rad_per_s
                    .abs(),
                time_share: case.time_share,
            })
            .collect();
        Ok(Self {
            bearing,
            factors: PairFactors::iso281_2007(bearing::life_exponent(bearing.kind), contact_angle_rad),
            spread_mm: pair::effective_spread_mm(
                bearing.row_distance_mm,
                pitch_diameter_mm,
                contact_angle_rad,
            ),
            steps,
            required: OutsideLoad {
                radial_n,
                axial_n: requirement.output_axial_force_n.unwrap_or(0.0),
                moment_n_mm: requirement.output_tilting_moment_n_mm.unwrap_or(0.0)
                    + radial_n * requirement.output_force_distance_mm,
            },
            life_s: requirement.life_s,
            surroundings,
        })
    }

    /// Duty under outside loads; what the discs add counts in the worst direction.
    fn duty(&self, outside: &OutsideLoad) -> BearingDuty {
        let radial = |step: &OutputStep| {
            let load = OutsideLoad {
                radial_n: outside.radial_n + step.inside.radial_n,
                axial_n: outside.axial_n,
                moment_n_mm: outside.moment_n_mm + step.inside.moment_n_mm,
            };
            pair::effective_radial_n(&load, self.spread_mm)
        };
        let steps = self
            .steps
            .iter()
            .filter_map(|step| {
                Some(DutyLoad {
                    load_n: self.factors.equivalent_load_n(radial(step), outside.axial_n),
                    speed_rad_per_s: step.speed_rad_per_s,
                    time_share: step.time_share?,
                })
            })
            .collect();
        let greatest_load_n = self
            .steps
            .iter()
            .map(|step| self.factors.static_equivalent_load_n(radial(step), outside.axial_n))
            .fold(0.0, f64::max);
        BearingDuty { steps, greatest_load_n }
    }

    fn rate(&self, outside: &OutsideLoad) -> Result<BearingResult, String> {
        bearing::assess(self.bearing, &self.duty(outside), self.surroundings)
            .map_err(|error| error.to_string())?
            .ok_or_else(|| IDLE.to_owned())
    }

    /// Whether life and static safety hold under outside loads; what is not known does not count.
    fn carries(&self, outside: &OutsideLoad) -> bool {
        self.rate(outside).is_ok_and(|rating| {
            let lasts = self.life_s.is_none_or(|wanted_s| rated_life_s(&rating) >= wanted_s);
            lasts && rating.static_safety.is_none_or(|safety| safety >= LEAST_STATIC_SAFETY)
        })
    }

    /// The greatest value of one outside load that is carried with the others as required; nothing if none is.
    fn greatest(&self, with: impl Fn(f64) -> OutsideLoad) -> f64 {
        if !self.carries(&with(0.0)) {
            return 0.0;
        }
        let (mut low, mut high) = (0.0, 1.0);
        while self.carries(&with(high)) {
            if high > UNBOUNDED {
                return high;
            }
            (low, high) = (high, 2.0 * high);
        }
        for _ in 0..BISECTIONS {
            let middle = 0.5 * (low + high);
            if self.carries(&with(middle)) { low = middle } else { high = middle }
        }
        low
    }

    fn result(&self) -> Result<OutputBearingResult, String> {
        let rating = self.rate(&self.required)?;
        let required = self.required;
        Ok(OutputBearingResult {
            output_tilting_moment_n_mm: required.moment_n_mm,
            effective_spread_mm: self.spread_mm,
            effective_radial_force_n: pair::effective_radial_n(&required, self.spread_mm),
            output_axial_force_n: required.axial_n,
            rating,
            carried_radial_force_n: self.greatest(|radial_n| OutsideLoad { radial_n, ..required }),
            carried_axial_force_n: self.greatest(|axial_n| OutsideLoad { axial_n, ..required }),
            carried_tilting_moment_n_mm: self.greatest(|moment_n_mm| OutsideLoad { moment_n_mm, ..required }),
        })
    }
}

/// Loads above this are not bounded by the bearing.
const UNBOUNDED: f64 = 1e12;
/// Halvings of the interval in which a greatest load lies: to a millionth of it.
const BISECTIONS: usize = 24;

/// The life that counts: modified where it is known, basic otherwise.
#[must_use]
pub fn rated_life_s(bearing: &BearingResult) -> f64 {
    bearing.modified.as_ref().map_or(bearing.life_s, |modified| modified.life_s)
}

/// What the discs put on the output member: net force and couple about the middle of the discs, mean over the turn.
///
/// With several discs spread evenly the forces cancel, or nearly so, and a couple is left that goes round with the crank.
fn inside_load(drive: &Drive, case: &LoadCase) -> OutsideLoad {
    let (mut forces, mut moments) = (Vec::new(), Vec::new());
    for pose in &case.poses {
        let (mut force, mut moment) = ([0.0; 2], [0.0; 2]);
        for (disc, state) in pose.discs.iter().enumerate() {
            let (values, directions) = match drive.geometry.held_member {
                HeldMember::Ring => (&state.output_pin_force_n, &state.output_pin_direction),
                HeldMember::Plate => (&state.ring_roller_force_n, &state.ring_roller_normal),
            };
            let arm_mm = disc_middle_mm(drive, disc);
            for (value, direction) in values.iter().zip(directions) {
                for axis in 0..2 {
                    force[axis] -= value * direction[axis];
                    moment[axis] -= value * direction[axis] * arm_mm;
                }
            }
        }
        forces.push(length(force));
        moments.push(length(moment));
    }
    OutsideLoad {
        radial_n: life::mean_over_turn_n(forces, LifeExponent::Roller),
        axial_n: 0.0,
        moment_n_mm: life::mean_over_turn_n(moments, LifeExponent::Roller),
    }
}

/// Swing between the rings of a bearing from which a life from whole turns holds; absent without its inside.
#[must_use]
pub fn overlap_swing_rad(bearing: &Bearing) -> Option<f64> {
    let internals = Internals::of(bearing).ok()?;
    Some(pair::overlap_swing_rad(bearing.element_count?, internals.diameter_ratio()))
}

fn length(vector: [f64; 2]) -> f64 {
    math::hypot(vector[0], vector[1])
}
