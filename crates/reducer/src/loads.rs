//! Loads over a period of crank angles for every load case: forces, pressures, bearing force, sharing.

pub mod play;
pub mod sample;

use crate::bearing::Internals;
use crate::contact::build::{ContactMaterials, pin_contact_length_mm, roller_contact_length_mm};
use crate::contact::equilibrium::{Displacements, EquilibriumError};
use crate::contact::solve::Unloaded;
use crate::contact::support::BearingLaw;
use crate::contact::windup::{self, OutsideLoads};
use crate::contact::{ContactModel, LoadedPosition, Position, centre};
use crate::hertz::{LineGeometry, contact_modulus_mpa};
use crate::kinematics;
use crate::model::{Drive, Surroundings};
use crate::part::{hole_radius_mm, pin_outside_radius_mm};
use crate::pin::Pin;
use crate::registry;
use crate::results::{DiscState, Extreme, LoadCase, LoadExtremes, PlayResult, Pose, WindupSplit};
use crate::shape::crank_angles;
use crate::watch::{CalledOff, Watch, look};
use curves::point::Vector;

/// A load case could not be solved.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("load case {case}, crank angle {crank_angle_rad:.6} rad: {source}")]
pub struct LoadError {
    /// Id of the load case.
    pub case: String,
    /// Where it failed.
    pub crank_angle_rad: f64,
    /// Why.
    pub source: EquilibriumError,
}

/// The load cases were not computed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LoadCasesError {
    /// One of them has no equilibrium.
    #[error(transparent)]
    Load(#[from] LoadError),
    /// Nobody wants them any more.
    #[error(transparent)]
    CalledOff(#[from] CalledOff),
}

/// Torque, speed and time share of a load case.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadStep {
    /// Short name.
    pub id: String,
    /// Name for people.
    pub title: String,
    /// Torque of the load on the output member.
    pub output_torque_n_mm: f64,
    /// Crank speed.
    pub input_speed_rad_per_s: f64,
    /// Share of the running time; absent for cases outside the duty cycle.
    pub time_share: Option<f64>,
}

/// The load cases of a requirement: rated, peak, emergency, and the steps of the duty cycle.
///
/// Without a duty cycle the rated torque at the mean speed takes all the time.
#[must_use]
pub fn load_steps(drive: &Drive) -> Vec<LoadStep> {
    let requirement = &drive.requirement;
    let mean = requirement.mean_input_speed_rad_per_s;
    let step = |id: &str, title: &str, torque: f64, time_share: Option<f64>| LoadStep {
        id: id.to_owned(),
        title: title.to_owned(),
        output_torque_n_mm: torque,
        input_speed_rad_per_s: mean,
        time_share,
    };
    let all_the_time = requirement.duty.is_empty().then_some(1.0);
    let mut steps = vec![step("rated", "rated torque", requirement.rated_torque_n_mm, all_the_time)];
    steps.extend(requirement.peak_torque_n_mm.map(|torque| step("peak", "peak torque", torque, None)));
    steps.extend(
        requirement.emergency_torque_n_mm.map(|torque| step("emergency", "emergency torque", torque, None)),
    );
    steps.extend(requirement.duty.iter().enumerate().map(|(index, duty)| LoadStep {
        id: format!("duty-{}", index + 1),
        title: format!("duty step {}", index + 1),
        output_torque_n_mm: duty.torque_n_mm,
        input_speed_rad_per_s: duty.input_speed_rad_per_s,
        time_share: Some(duty.time_share),
    }));
    steps
}

/// Every load case over the period of pins and bearings; cases of equal torque are solved once.
///
/// # Errors
/// [`LoadError`] names the case and the crank angle where no equilibrium was found; or the work was called off.
pub fn load_cases(
    drive: &Drive,
    model: &ContactModel,
    materials: &ContactMaterials,
    watch: Watch<'_>,
) -> Result<Vec<LoadCase>, LoadCasesError> {
    let steps = load_steps(drive);
    let analysis = Analysis::of(drive, model, materials);
    let mut torques: Vec<f64> = steps.iter().map(|step| step.output_torque_n_mm).collect();
    torques.sort_by(f64::total_cmp);
    torques.dedup();
    let solved =
        torques.iter().map(|_| (Vec::new(), None)).collect::<Vec<(Vec<Pose>, Option<Displacements>)>>();
    let mut solved: Vec<_> = torques.into_iter().zip(solved).collect();
    let mut free: Option<Displacements> = None;
    for crank_angle_rad in crank_angles(drive, drive.model.crank_angle_count) {
        look(watch)?;
        let at = |case: String| move |source| LoadError { case, crank_angle_rad, source };
        let (position, unloaded) = analysis
            .at_rest(crank_angle_rad, 1.0, free.as_ref())
            .map_err(at("of a vanishing torque".to_owned()))?;
        for (torque, (poses, start)) in &mut solved {
            let case = format!("of {}", registry::display("output_torque_n_mm", *torque));
            let (pose, displacements) =
                analysis.pose(&position, &unloaded, *torque, start.as_ref()).map_err(at(case))?;
            poses.push(pose);
            *start = Some(displacements);
        }
        free = unloaded.under_torque;
    }
    Ok(steps
        .into_iter()
        .map(|step| {
            let poses = solved.iter().find(|(torque, _)| *torque == step.output_torque_n_mm);
            analysis.load_case(step, poses.map_or_else(Vec::new, |(_, (poses, _))| poses.clone()))
        })
        .collect())
}

/// The assumption that results carry where the search for a position without load ended with linear gaps; none where it settled everywhere.
#[must_use]
pub fn linear_gaps_in_words(load_cases: &[LoadCase], play: Option<&PlayResult>) -> Option<String> {
    // All load cases start from the same unloaded positions.
    let poses = load_cases.first().map_or(&[][..], |case| &case.poses);
    let count = poses.iter().filter(|pose| pose.unloaded_has_linear_gaps).count();
    let places = match (count, play.is_some_and(|play| play.has_linear_gaps)) {
        (0, false) => return None,
        (0, true) => "For the lost motion".to_owned(),
        (count, _) => format!("At {count} of {} crank angles", poses.len()),
    };
    Some(format!(
        "{places} the discs without load swing between two places as gaps are taken anew: there the unloaded position follows from gaps that are linear from where the discs touch with their centres held."
    ))
}

/// One load case at crank angles of the caller's choice, each started from the one before.
///
/// # Errors
/// [`LoadError`] names the crank angle where no equilibrium was found.
pub fn case_at(
    drive: &Drive,
    model: &ContactModel,
    materials: &ContactMaterials,
    step: LoadStep,
    crank_angles_rad: &[f64],
) -> Result<LoadCase, LoadError> {
    let analysis = Analysis::of(drive, model, materials);
    let torque_n_mm = step.output_torque_n_mm;
    let (mut free, mut known): (Option<Displacements>, Option<Displacements>) = (None, None);
    let mut poses = Vec::with_capacity(crank_angles_rad.len());
    for &crank_angle_rad in crank_angles_rad {
        let at = |source| LoadError { case: step.id.clone(), crank_angle_rad, source };
        let sense = 1.0_f64.copysign(torque_n_mm);
        let (position, unloaded) = analysis.at_rest(crank_angle_rad, sense, free.as_ref()).map_err(at)?;
        let (pose, displacements) =
            analysis.pose(&position, &unloaded, torque_n_mm, known.as_ref()).map_err(at)?;
        poses.push(pose);
        known = Some(displacements);
        free = unloaded.under_torque;
    }
    Ok(analysis.load_case(step, poses))
}

/// One load case at one crank angle.
///
/// # Errors
/// [`LoadError`] where no equilibrium was found.
pub fn pose_at(
    drive: &Drive,
    model: &ContactModel,
    materials: &ContactMaterials,
    output_torque_n_mm: f64,
    crank_angle_rad: f64,
) -> Result<Pose, LoadError> {
    let analysis = Analysis::of(drive, model, materials);
    let solved = analysis
        .at_rest(crank_angle_rad, 1.0_f64.copysign(output_torque_n_mm), None)
        .and_then(|(position, unloaded)| analysis.pose(&position, &unloaded, output_torque_n_mm, None));
    solved.map(|(pose, _)| pose).map_err(|source| LoadError {
        case: "given torque".to_owned(),
        crank_angle_rad,
        source,
    })
}

/// What turns equilibria into results.
pub(crate) struct Analysis<'a> {
    model: &'a ContactModel,
    stiffness: &'a Surroundings,
    pub(crate) rated_torque_n_mm: f64,
    element_pressure: Option<LineGeometry>,
    element_rows: f64,
    pin: Pin,
    /// Torque on the plate, in the frame of the ring, for one unit of torque on the output member.
    pub(crate) plate_torque_ratio: f64,
    roller_modulus_mpa: f64,
    roller_length_mm: f64,
    pin_pressure: LineGeometry,
}

impl<'a> Analysis<'a> {
    pub(crate) fn of(drive: &'a Drive, model: &'a ContactModel, materials: &ContactMaterials) -> Self {
        let disc = materials.disc.elastic();
        let internals = Internals::of(&drive.bearings.eccentric);
        Self {
            model,
            stiffness: &drive.stiffness,
            rated_torque_n_mm: drive.requirement.rated_torque_n_mm,
            element_pressure: internals.as_ref().ok().map(centre::inner_race),
            element_rows: internals.map_or(1.0, |internals| internals.row_count as f64),
            pin: Pin::output(&drive.geometry, &materials.pin),
            plate_torque_ratio: plate_torque_ratio(drive),
            roller_modulus_mpa: contact_modulus_mpa(&materials.roller.elastic(), &disc),
            roller_length_mm: roller_contact_length_mm(drive),
            pin_pressure: LineGeometry {
                length_mm: pin_contact_length_mm(drive),
                relative_curvature_per_mm: 1.0 / pin_outside_radius_mm(drive) - 1.0 / hole_radius_mm(drive),
                contact_modulus_mpa: contact_modulus_mpa(&materials.pin_surface.elastic(), &disc),
            },
        }
    }

    fn pose(
        &self,
        position: &Position,
        unloaded: &Unloaded,
        output_torque_n_mm: f64,
        start: Option<&Displacements>,
    ) -> Result<(Pose, Displacements), EquilibriumError> {
        let loaded = self.model.solve(position, self.plate_torque_ratio * output_torque_n_mm, start)?;
        let discs = (0..self.model.disc_count).map(|disc| self.disc_state(&loaded, disc)).collect();
        let split = self.windup_split(position, &loaded, unloaded, output_torque_n_mm);
        let outside_rad = split.outside_rad().copysign(output_torque_n_mm);
        let pose = Pose {
            crank_angle_rad: position.crank_angle_rad,
            plate_rotation_rad: self.plate_torque_ratio * loaded.displacements.plate_rad + outside_rad,
            unloaded_plate_rotation_rad: self.plate_torque_ratio * unloaded.plate_rad,
            unloaded_has_linear_gaps: unloaded.fell_back_to_linear_gaps,
            windup_split: split,
            holding_torque_n_mm: loaded.holding_torque_n_mm,
            residual_ratio: loaded.displacements.residual_ratio,
            discs,
        };
        Ok((pose, loaded.displacements))
    }

    /// A crank angle with the play used up in the sense of a torque on the output, and the mesh there as the load goes to nothing.
    pub(crate) fn at_rest(
        &self,
        crank_angle_rad: f64,
        sense: f64,
        start: Option<&Displacements>,
    ) -> Result<(Position, Unloaded), EquilibriumError> {
        let position = self.model.position(crank_angle_rad, sense * self.plate_torque_ratio);
        let torque = sense * self.plate_torque_ratio * self.rated_torque_n_mm;
        self.model.at_rest(position, torque, start)
    }

    fn windup_split(
        &self,
        position: &Position,
        loaded: &LoadedPosition,
        unloaded: &Unloaded,
        output_torque_n_mm: f64,
    ) -> WindupSplit {
        let mesh_rad =
            (self.plate_torque_ratio * (loaded.displacements.plate_rad - unloaded.plate_rad)).abs();
        let mut split = windup::mesh_shares(position, loaded, unloaded, output_torque_n_mm, mesh_rad);
        windup::add_surroundings(&mut split, self.stiffness, &self.outside_loads(loaded, output_torque_n_mm));
        split
    }

    /// Torques and force that an equilibrium without friction puts on the parts around the mesh.
    pub(crate) fn outside_loads(&self, loaded: &LoadedPosition, output_torque_n_mm: f64) -> OutsideLoads {
        let pins = |disc: usize| {
            let directions = &loaded.discs[disc].pin_direction;
            directions.iter().zip(&loaded.forces[disc].pin_n).map(|(direction, force)| direction * *force)
        };
        OutsideLoads {
            output_torque_n_mm,
            plate_torque_n_mm: self.plate_torque_ratio * output_torque_n_mm,
            holding_torque_n_mm: loaded.holding_torque_n_mm,
            plate_force_n: (0..self.model.disc_count).flat_map(pins).sum(),
        }
    }

    /// What the parts around the mesh twist under these loads, in the sense of the torque on the output.
    pub(crate) fn outside_twist_rad(&self, loads: &OutsideLoads) -> f64 {
        let mut split = WindupSplit::default();
        windup::add_surroundings(&mut split, self.stiffness, loads);
        split.outside_rad().copysign(loads.output_torque_n_mm)
    }

    fn disc_state(&self, loaded: &LoadedPosition, disc: usize) -> DiscState {
        let (geometry, forces) = (&loaded.discs[disc], &loaded.forces[disc]);
        let displacement = &loaded.displacements.discs[disc];
        let pair = |vector: Vector| [vector.x, vector.y];
        let roller_pressure = |curvature_per_mm: f64, force_n: f64| {
            LineGeometry {
                length_mm: self.roller_length_mm,
                relative_curvature_per_mm: 1.0 / self.model.roller_radius_mm + curvature_per_mm,
                contact_modulus_mpa: self.roller_modulus_mpa,
            }
            .pressure_mpa(force_n)
        };
        let contacts = || geometry.rollers.iter();
        let elements: Vec<f64> = match self.model.support.bearing {
            BearingLaw::Rollers(_) => forces.bore_n.iter().map(|force| force / self.element_rows).collect(),
            BearingLaw::Rigid | BearingLaw::Spring { .. } => Vec::new(),
        };
        DiscState {
            ring_roller_force_n: forces.roller_n.clone(),
            ring_roller_pressure_mpa: contacts()
                .zip(&forces.roller_n)
                .map(|(contact, &force)| roller_pressure(contact.curvature_per_mm, force))
                .collect(),
            output_pin_force_n: forces.pin_n.clone(),
            output_pin_pressure_mpa: forces
                .pin_n
                .iter()
                .map(|&force| self.pin_pressure.pressure_mpa(force))
                .collect(),
            bearing_force_n: pair(forces.bearing_n),
            bearing_element_pressure_mpa: self.element_pressure.map_or_else(Vec::new, |race| {
                elements.iter().map(|&force| race.pressure_mpa(force)).collect()
            }),
            bearing_element_force_n: elements,
            displacement_mm: [displacement.x, displacement.y],
            rotation_rad: displacement.z,
            torque_n_mm: forces.torque_n_mm / self.plate_torque_ratio,
            ring_roller_contact_mm: contacts()
                .map(|contact| [contact.place_mm.x, contact.place_mm.y])
                .collect(),
            ring_roller_normal: contacts().map(|contact| pair(-contact.normal)).collect(),
            output_pin_direction: geometry.pin_direction.iter().map(|&direction| pair(direction)).collect(),
        }
    }

    fn load_case(&self, step: LoadStep, poses: Vec<Pose>) -> LoadCase {
        LoadCase {
            extremes: self.extremes(&poses, step.output_torque_n_mm),
            id: step.id,
            title: step.title,
            output_torque_n_mm: step.output_torque_n_mm,
            input_speed_rad_per_s: step.input_speed_rad_per_s,
            time_share: step.time_share,
            poses,
        }
    }

    fn extremes(&self, poses: &[Pose], output_torque_n_mm: f64) -> LoadExtremes {
        let windup =
            poses.iter().map(|pose| (pose.plate_rotation_rad - pose.unloaded_plate_rotation_rad).abs());
        let carrying = || {
            poses
                .iter()
                .flat_map(|pose| &pose.discs)
                .map(|disc| disc.ring_roller_force_n.iter().filter(|force| **force > 0.0).count())
        };
        let has_elements = matches!(self.model.support.bearing, BearingLaw::Rollers(_)) && !poses.is_empty();
        LoadExtremes {
            ring_roller_force: greatest(poses, |disc| disc.ring_roller_force_n.clone()),
            ring_roller_pressure: greatest(poses, |disc| disc.ring_roller_pressure_mpa.clone()),
            output_pin_force: greatest(poses, |disc| disc.output_pin_force_n.clone()),
            output_pin_pressure: greatest(poses, |disc| disc.output_pin_pressure_mpa.clone()),
            output_pin_bending: self.greatest_bending(poses),
            bearing_force: greatest(poses, |disc| vec![length(disc.bearing_force_n)]),
            carrying_roller_count: (carrying().min().unwrap_or(0), carrying().max().unwrap_or(0)),
            disc_share: greatest(poses, |disc| vec![disc.torque_n_mm / output_torque_n_mm]),
            bearing_element_force: has_elements
                .then(|| greatest(poses, |disc| disc.bearing_element_force_n.clone())),
            bearing_element_pressure: has_elements
                .then(|| greatest(poses, |disc| disc.bearing_element_pressure_mpa.clone())),
            windup_split: poses.iter().fold(WindupSplit::default(), |sum, pose| {
                sum.plus(&pose.windup_split, 1.0 / poses.len() as f64)
            }),
            windup_rad: windup
                .fold((f64::INFINITY, 0.0), |(low, high), twist| (low.min(twist), high.max(twist))),
            mean_holding_torque_n_mm: poses.iter().map(|pose| pose.holding_torque_n_mm).sum::<f64>()
                / poses.len().max(1) as f64,
            residual_ratio: poses.iter().map(|pose| pose.residual_ratio).fold(0.0, f64::max),
        }
    }

    /// Bending of the pins under the forces of all discs together, which act in different directions.
    ///
    /// The stress is a norm of the forces, so the sum of what each disc's force does alone bounds it;
    /// only pins whose bound beats the worst so far are worked out.
    fn greatest_bending(&self, poses: &[Pose]) -> Extreme {
        let discs = self.model.disc_count;
        let alone_mpa_per_n: Vec<f64> = (0..discs)
            .map(|disc| {
                let mut forces = vec![[0.0; 2]; discs];
                forces[disc] = [1.0, 0.0];
                self.pin.stress(&forces).bending_mpa
            })
            .collect();
        let mut worst = Extreme { value: 0.0, disc: 0, contact: 0, crank_angle_rad: 0.0 };
        for pose in poses {
            for pin in 0..self.model.pin_count {
                let bound: f64 = pose
                    .discs
                    .iter()
                    .zip(&alone_mpa_per_n)
                    .map(|(disc, alone)| alone * disc.output_pin_force_n[pin])
                    .sum();
                if bound <= worst.value {
                    continue;
                }
                let value = self.pin.stress(&pin_forces_n(pose, pin)).bending_mpa;
                if value > MORE_THAN_ROUNDING * worst.value {
                    worst = Extreme { value, disc: 0, contact: pin, crank_angle_rad: pose.crank_angle_rad };
                }
            }
        }
        worst
    }
}

/// Forces of all discs on one output pin, the way they push the disc.
#[must_use]
pub fn pin_forces_n(pose: &Pose, pin: usize) -> Vec<[f64; 2]> {
    pose.discs
        .iter()
        .map(|disc| disc.output_pin_direction[pin].map(|part| part * disc.output_pin_force_n[pin]))
        .collect()
}

/// Torque on the plate in the frame of the ring, for one unit of torque on the output member.
///
/// With the ring held the plate is the output. With the plate held, the ring carries the load T and the
/// plate answers with `−T z_l/z_r`; rotations follow the same ratio, by virtual work.
fn plate_torque_ratio(drive: &Drive) -> f64 {
    kinematics::plate_to_output(&drive.geometry)
}

fn length(vector: [f64; 2]) -> f64 {
    (vector[0] * vector[0] + vector[1] * vector[1]).sqrt()
}

/// Factor by which a value must exceed another to count as greater: what symmetry makes equal differs by rounding, and the
/// place of the greatest is then that of the first.
const MORE_THAN_ROUNDING: f64 = 1.0 + 1e-9;

/// Greatest of the values that a function takes from every disc at every crank angle.
fn greatest(poses: &[Pose], values: impl Fn(&DiscState) -> Vec<f64>) -> Extreme {
    let mut worst = Extreme { value: f64::NEG_INFINITY, disc: 0, contact: 0, crank_angle_rad: 0.0 };
    for pose in poses {
        for (disc, state) in pose.discs.iter().enumerate() {
            for (contact, value) in values(state).into_iter().enumerate() {
                if value > MORE_THAN_ROUNDING * worst.value {
                    worst = Extreme { value, disc, contact, crank_angle_rad: pose.crank_angle_rad };
                }
            }
        }
    }
    worst
}
