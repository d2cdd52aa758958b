//! Twist of the output under a torque with friction at every contact, as the torque rises or falls.
//!
//! The crank is held; discs and plate move by what gives. Each contact rubs against the way in which it would slide without
//! friction as the torque changes; forces follow in rounds. Source: Derivation 13, §2.

use crate::contact::equilibrium::{Displacements, EquilibriumError, Problem, Workspace};
use crate::contact::solve::{Unloaded, VANISHING_LOAD};
use crate::contact::windup::OutsideLoads;
use crate::contact::{ContactModel, DiscGeometry, LoadedPosition, Position};
use crate::loads::Analysis;
use crate::losses::rubbing::{Coefficients, DiscLoads, Rubbing, RubbingDrive};
use curves::point::{Vector, turned_left, unit};
use nalgebra::Vector3;

/// A crank angle with the play used up in one sense of torque.
#[derive(Clone, Debug)]
pub(super) struct Rest {
    position: Position,
    unloaded: Unloaded,
    /// Sense of the torque on the output.
    sense: f64,
}

/// Motion of one disc, the plate and the crank in the frame of the ring, of any size.
#[derive(Clone, Copy, Debug)]
struct Motion {
    centre_mm: Vector,
    disc_rad: f64,
    plate_rad: f64,
    crank_rad: f64,
}

/// A drive whose contacts rub while its crank is held.
pub(super) struct Rubbed<'a> {
    pub(super) analysis: &'a Analysis<'a>,
    pub(super) model: &'a ContactModel,
    /// Coefficients at the first movement.
    pub(super) coefficients: Coefficients,
    /// Turn of the crank in the frame of the ring for one of the plate: none with the ring held; with the plate held both turn together.
    pub(super) crank_share: f64,
}

/// Why a twist with friction was not found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Stuck {
    /// Without friction there is no equilibrium either.
    Frictionless(EquilibriumError),
    /// Forces grow without end: friction locks the mesh.
    Locked,
    /// Forces neither settle nor grow without end.
    Unsettled,
}

/// Share of the rated torque below which friction in a mesh without preload counts for nothing: it fades with the forces, and next to no
/// torque on discs with play in their bearings is balanced to rounding only.
const FAINT_SHARE: f64 = 1e-3;
const MAX_ROUNDS: usize = 60;
/// Change of friction, as a share of it, at which rounds end.
const SETTLED: f64 = 1e-8;
/// The same where no better equilibrium is found.
const NEARLY_SETTLED: f64 = 1e-4;

/// Part of the way to what follows that a step goes where it is asked whether forces grow without end.
const GROWTH_STEP: f64 = 0.3;
/// Growth of what friction lacks from its own forces that stands for growth without end.
const GROWN: f64 = 100.0;
/// Growth that does so where the equilibrium gives out, or rounds do.
const GROWN_SO_FAR: f64 = 2.0;

/// Steps of a fixed-point search that take the last two rounds for a straight line.
///
/// **Source** `[anderson1965]`, with one round of memory.
#[derive(Debug, Default)]
struct Mixer {
    /// What followed in the last round, and how far that was from what was taken.
    last: Option<(Vec<f64>, Vec<f64>)>,
    is_nearly_settled: bool,
}

impl Mixer {
    fn is_settled(&mut self, taken: &[f64], follows: &[f64]) -> bool {
        let size = follows.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
        let misses = taken.iter().zip(follows).map(|(taken, follows)| (follows - taken).abs());
        let miss = misses.fold(0.0, f64::max);
        self.is_nearly_settled = miss <= NEARLY_SETTLED * size;
        miss <= SETTLED * size
    }

    fn next(&mut self, taken: &[f64], follows: Vec<f64>) -> Vec<f64> {
        let miss: Vec<f64> = follows.iter().zip(taken).map(|(follows, taken)| follows - taken).collect();
        let next = match &self.last {
            None => follows.clone(),
            Some((last_follows, last_miss)) => {
                let change = || miss.iter().zip(last_miss).map(|(miss, last)| miss - last);
                let size: f64 = change().map(|change| change * change).sum();
                let along: f64 = change().zip(&miss).map(|(change, miss)| change * miss).sum();
                let share = if size > 0.0 { along / size } else { 0.0 };
                let pairs = follows.iter().zip(last_follows);
                pairs.map(|(follows, last)| follows - share * (follows - last)).collect()
            }
        };
        self.last = Some((follows, miss));
        next
    }
}

impl Rubbed<'_> {
    /// A crank angle with the play used up by a torque of a sense on the output.
    pub(super) fn rest(&self, crank_angle_rad: f64, sense: f64) -> Result<Rest, EquilibriumError> {
        let (position, unloaded) = self.analysis.at_rest(crank_angle_rad, sense, None)?;
        Ok(Rest { position, unloaded, sense })
    }

    /// Where the output stands as the torque goes to nothing, friction left out.
    pub(super) fn at_rest_rad(&self, rest: &Rest) -> f64 {
        self.analysis.plate_torque_ratio * rest.unloaded.plate_rad
    }

    /// Twist of the output as the torque that reaches the mesh comes from below (`motion` +1) or above (−1) to a size.
    ///
    /// `start` is where the search for the frictionless equilibrium begins, and then holds that equilibrium.
    pub(super) fn twist_rad(
        &self,
        rest: &Rest,
        motion: f64,
        torque_n_mm: f64,
        start: &mut Option<Displacements>,
    ) -> Result<f64, Stuck> {
        let least = VANISHING_LOAD * self.analysis.rated_torque_n_mm;
        if torque_n_mm.abs() < least && !rest.position.is_preloaded {
            return Ok(self.at_rest_rad(rest));
        }
        let torque_n_mm = rest.sense * torque_n_mm.abs().max(least);
        let plate_n_mm = self.analysis.plate_torque_ratio * torque_n_mm;
        let loaded =
            self.model.solve(&rest.position, plate_n_mm, start.as_ref()).map_err(Stuck::Frictionless)?;
        *start = Some(loaded.displacements.clone());
        let is_faint = torque_n_mm.abs() < FAINT_SHARE * self.analysis.rated_torque_n_mm;
        let (loaded, loads) = if is_faint && !rest.position.is_preloaded {
            (loaded, Vec::new())
        } else {
            self.with_friction(rest, motion, plate_n_mm, &loaded)?
        };
        let outside = self.outside_loads(&loaded, &loads, torque_n_mm);
        Ok(self.analysis.plate_torque_ratio * loaded.displacements.plate_rad
            + self.analysis.outside_twist_rad(&outside))
    }

    /// Rounds of friction that follows from the forces of the last round, until it follows from its own.
    fn with_friction(
        &self,
        rest: &Rest,
        motion: f64,
        plate_n_mm: f64,
        frictionless: &LoadedPosition,
    ) -> Result<(LoadedPosition, Vec<DiscLoads>), Stuck> {
        let rubbing = self.rubbing(&rest.position, frictionless, motion);
        let mut position = rest.position.clone();
        let mut loaded = frictionless.clone();
        let mut loads = self.loads(&position, &loaded, &rubbing);
        let mut taken = self.given(&loaded, &loads);
        if taken.iter().all(|force| *force == 0.0) {
            return Ok((loaded, loads));
        }
        let mut mixer = Mixer::default();
        for _ in 0..MAX_ROUNDS {
            let Ok(next) = self.under_friction(&mut position, plate_n_mm, &taken, &loaded) else {
                // Next to no torque on discs with play in their bearings is balanced to rounding only: what is known serves.
                return if mixer.is_nearly_settled {
                    Ok((loaded, loads))
                } else {
                    Err(self.why_stuck(rest, plate_n_mm, frictionless, &rubbing))
                };
            };
            loaded = next;
            loads = self.loads(&position, &loaded, &rubbing);
            let follows = self.given(&loaded, &loads);
            if mixer.is_settled(&taken, &follows) {
                return Ok((loaded, loads));
            }
            taken = mixer.next(&taken, follows);
        }
        Err(self.why_stuck(rest, plate_n_mm, frictionless, &rubbing))
    }

    /// The equilibrium under friction that is given.
    fn under_friction(
        &self,
        position: &mut Position,
        plate_n_mm: f64,
        friction: &[f64],
        start: &LoadedPosition,
    ) -> Result<LoadedPosition, EquilibriumError> {
        for (contacts, wrench) in position.contacts.iter_mut().zip(friction.chunks_exact(3)) {
            contacts.given = Vector3::from_column_slice(wrench);
        }
        let torque_n_mm = plate_n_mm + friction[friction.len() - 1];
        self.model.solve(position, torque_n_mm, Some(&start.displacements))
    }

    /// Whether friction that is not found grows without end.
    ///
    /// Rounds that go only part of the way damp forces that swing to and fro, while those that feed themselves, by more than what they are,
    /// still grow: then what friction lacks from what its own forces give becomes larger and larger.
    ///
    /// **Source** Derivation 13, §2.
    fn why_stuck(
        &self,
        rest: &Rest,
        plate_n_mm: f64,
        frictionless: &LoadedPosition,
        rubbing: &[Rubbing],
    ) -> Stuck {
        let mut position = rest.position.clone();
        let mut loaded = frictionless.clone();
        let mut taken = self.given(&loaded, &self.loads(&position, &loaded, rubbing));
        let (mut first, mut grown) = (None, 1.0);
        for _ in 0..MAX_ROUNDS {
            let Ok(next) = self.under_friction(&mut position, plate_n_mm, &taken, &loaded) else { break };
            loaded = next;
            let follows = self.given(&loaded, &self.loads(&position, &loaded, rubbing));
            let lacks = taken.iter().zip(&follows).map(|(taken, follows)| (follows - taken).abs());
            let lacks = lacks.fold(0.0, f64::max);
            grown = lacks / *first.get_or_insert(lacks);
            if grown > GROWN {
                break;
            }
            for (taken, follows) in taken.iter_mut().zip(follows) {
                *taken += GROWTH_STEP * (follows - *taken);
            }
        }
        if grown > GROWN_SO_FAR { Stuck::Locked } else { Stuck::Unsettled }
    }

    /// Friction as the equilibrium takes it: force and torque on every disc, then torque on the plate; forces at the lever of the mesh.
    fn given(&self, loaded: &LoadedPosition, loads: &[DiscLoads]) -> Vec<f64> {
        let wrenches = loads.iter().flat_map(|loads| loads.wrench.iter().copied());
        let plate = self.on_plate_n_mm(loads) + self.along_crank_n_mm(loaded, loads);
        wrenches.chain([plate]).collect()
    }

    fn loads(&self, position: &Position, loaded: &LoadedPosition, rubbing: &[Rubbing]) -> Vec<DiscLoads> {
        let drive = self.drive(position);
        let discs = loaded.discs.iter().zip(&loaded.forces).zip(rubbing);
        discs
            .map(|((geometry, forces), rubbing)| {
                drive.disc_loads(geometry, rubbing, (&forces.roller_n, &forces.pin_n))
            })
            .collect()
    }

    fn drive<'b>(&'b self, position: &Position) -> RubbingDrive<'b, crate::profile::LobeProfile> {
        RubbingDrive {
            model: self.model,
            coefficients: &self.coefficients,
            crank_angle_rad: position.crank_angle_rad,
        }
    }

    fn on_plate_n_mm(&self, loads: &[DiscLoads]) -> f64 {
        loads.iter().map(|loads| loads.plate_n_mm).sum()
    }

    /// Torque on the plate that does the work of friction in the ideal motion of the mesh, where the plate turns the crank along.
    fn along_crank_n_mm(&self, loaded: &LoadedPosition, loads: &[DiscLoads]) -> f64 {
        if self.crank_share == 0.0 {
            return 0.0;
        }
        let ideal = Motion { centre_mm: Vector::zeros(), disc_rad: 0.0, plate_rad: 0.0, crank_rad: 1.0 };
        let work = |(geometry, loads): (&DiscGeometry, &DiscLoads)| {
            let motion = self.with_crank(&ideal, geometry);
            loads.wrench.xy().dot(&motion.centre_mm)
                + loads.wrench.z * motion.disc_rad
                + loads.plate_n_mm * motion.plate_rad
                - loads.bearing_n_mm * motion.crank_rad
        };
        self.crank_share * loaded.discs.iter().zip(loads).map(work).sum::<f64>()
    }

    /// Ways in which the contacts of every disc rub as the torque on the output rises or falls from an equilibrium.
    fn rubbing(&self, position: &Position, balanced: &LoadedPosition, motion: f64) -> Vec<Rubbing> {
        let problem = Problem {
            discs: &position.contacts,
            plate_torque_n_mm: 0.0,
            lever_scale_mm: self.model.lever_scale_mm(),
        };
        let sense = motion * self.analysis.plate_torque_ratio.signum();
        let response = problem.response(&balanced.displacements, &mut Workspace::default());
        let (discs, plate) =
            response.unwrap_or_else(|| (vec![Vector3::zeros(); position.contacts.len()], 0.0));
        let plate_rad = sense * plate;
        balanced
            .discs
            .iter()
            .zip(discs)
            .map(|(geometry, disc)| {
                let own = Motion {
                    centre_mm: disc.xy() * sense,
                    disc_rad: disc.z * sense,
                    plate_rad,
                    crank_rad: self.crank_share * plate_rad,
                };
                self.rubbing_of(position, geometry, &self.with_crank(&own, geometry))
            })
            .collect()
    }

    /// A motion with the ideal one added that the turn of its crank brings.
    fn with_crank(&self, own: &Motion, geometry: &DiscGeometry) -> Motion {
        let throw = unit(geometry.crank_angle_rad) * self.model.eccentricity_mm;
        let follows = -own.crank_rad / self.model.lobe_count() as f64;
        Motion {
            centre_mm: own.centre_mm + turned_left(throw) * own.crank_rad,
            disc_rad: own.disc_rad + follows,
            plate_rad: own.plate_rad + follows,
            crank_rad: own.crank_rad,
        }
    }

    fn rubbing_of(&self, position: &Position, geometry: &DiscGeometry, motion: &Motion) -> Rubbing {
        let drive = self.drive(position);
        let centre = drive.disc_centre_mm(geometry);
        let against = |velocity: Vector, normal: Vector| {
            let tangent = turned_left(normal);
            -tangent * sign(velocity.dot(&tangent))
        };
        let rollers = geometry.rollers.iter().map(|contact| {
            let velocity = motion.centre_mm + turned_left(contact.place_mm - centre) * motion.disc_rad;
            against(velocity, contact.normal)
        });
        let pins = geometry.pin_direction.iter().enumerate().map(|(pin, direction)| {
            let place = drive.pin_contact_mm(geometry, pin);
            let disc = motion.centre_mm + turned_left(place - centre) * motion.disc_rad;
            against(disc - turned_left(place.coords) * motion.plate_rad, *direction)
        });
        Rubbing {
            roller: rollers.collect(),
            pin: pins.collect(),
            bearing: -sign(motion.disc_rad - motion.crank_rad),
        }
    }

    /// What the torque puts on the parts around the mesh, friction counted.
    fn outside_loads(&self, loaded: &LoadedPosition, loads: &[DiscLoads], torque_n_mm: f64) -> OutsideLoads {
        let plain = self.analysis.outside_loads(loaded, torque_n_mm);
        let on_ring: f64 = loads.iter().map(|loads| loads.ring_n_mm).sum();
        OutsideLoads {
            plate_torque_n_mm: plain.plate_torque_n_mm + self.along_crank_n_mm(loaded, loads),
            holding_torque_n_mm: plain.holding_torque_n_mm + self.on_plate_n_mm(loads) - on_ring,
            ..plain
        }
    }
}

/// −1, 0 or 1.
fn sign(value: f64) -> f64 {
    if value == 0.0 { 0.0 } else { value.signum() }
}
