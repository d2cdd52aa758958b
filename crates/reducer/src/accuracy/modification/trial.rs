//! A drive on which modifications are tried: gaps, play and loads of each.

use super::exact::{Clearances, WithoutPlay, clearance_mm, kinematic_error, play_over, without_play};
use crate::contact::ContactModel;
use crate::contact::build::{ContactMaterials, contact_model, expansion_in_operation};
use crate::elastic::DiscCompliance;
use crate::loads::{LoadError, LoadStep, case_at, load_steps};
use crate::model::{Drive, Modification};
use crate::profile::Trochoid;
use crate::results::{LoadExtremes, ModificationState};
use crate::shape::{self, PLAY_SAMPLES, crank_angles, gap_curve};
use crate::thermal::Expansion;
use std::sync::Arc;

/// Crank angles at which the loads of a modification are compared during the search.
const SEARCH_ANGLES: usize = 9;
/// Crank angles over the period at which the kinematic error is taken.
const ERROR_ANGLES: usize = 97;

/// A drive whose modification is changed from trial to trial.
pub(super) struct Trial<'a> {
    drive: Drive,
    materials: &'a ContactMaterials,
    expansion: Expansion,
    compliance: Option<Arc<DiscCompliance>>,
    step: LoadStep,
    search_angles_rad: Vec<f64>,
    all_angles_rad: Vec<f64>,
    play_angles_rad: Vec<f64>,
    /// Crank angle where the play was greatest last.
    widest_angle_rad: f64,
    /// Modifications whose loads were computed.
    pub(super) evaluation_count: usize,
}

impl<'a> Trial<'a> {
    pub(super) fn of(drive: &Drive, model: &ContactModel, materials: &'a ContactMaterials) -> Self {
        let step = load_steps(drive).swap_remove(0);
        Self {
            materials,
            expansion: expansion_in_operation(drive, materials),
            compliance: model.compliance.clone(),
            step,
            search_angles_rad: crank_angles(drive, SEARCH_ANGLES),
            all_angles_rad: crank_angles(drive, drive.model.crank_angle_count),
            play_angles_rad: crank_angles(drive, PLAY_SAMPLES),
            widest_angle_rad: 0.0,
            evaluation_count: 0,
            drive: drive.clone(),
        }
    }

    /// The trochoid without modification.
    pub(super) fn nominal(&self) -> Trochoid {
        let geometry = &self.drive.geometry;
        Trochoid {
            ring_roller_count: geometry.ring_roller_count,
            ring_radius_mm: geometry.ring_radius_mm,
            eccentricity_mm: geometry.eccentricity_mm,
        }
    }

    pub(super) fn roller_radius_mm(&self) -> f64 {
        self.drive.geometry.roller_radius_mm
    }

    /// Whether a profile so modified can be cut and meshes.
    pub(super) fn meshes(&mut self, made: &Modification) -> bool {
        self.drive.geometry.modification = made.clone();
        shape::meshes(&self.drive)
    }

    /// Parts as drawn.
    fn drawn(&mut self, made: &Modification) -> ContactModel {
        self.drive.geometry.modification = made.clone();
        contact_model(&self.drive, self.materials, Expansion::NONE)
    }

    /// Parts in operation, with elastic bodies.
    fn in_operation(&mut self, made: &Modification) -> ContactModel {
        self.drive.geometry.modification = made.clone();
        ContactModel {
            compliance: self.compliance.clone(),
            ..contact_model(&self.drive, self.materials, self.expansion)
        }
    }

    /// The offset that leaves the profile of a modification no play, on exact gaps as drawn.
    pub(super) fn without_play(&mut self, made: &Modification) -> WithoutPlay {
        without_play(&self.drawn(made))
    }

    /// Smaller one of the gaps at tip and root, as drawn and in operation.
    pub(super) fn clearance_mm(&mut self, made: &Modification) -> f64 {
        let drawn = clearance_mm(&self.drawn(made));
        if self.expansion == Expansion::NONE {
            drawn
        } else {
            drawn.min(clearance_mm(&self.in_operation(made)))
        }
    }

    /// Smallest gap anywhere, as drawn and in operation.
    pub(super) fn least_gap_mm(&mut self, made: &Modification) -> f64 {
        let drawn = Clearances::of(&self.drawn(made)).least.gap_mm;
        drawn.min(Clearances::of(&self.in_operation(made)).least.gap_mm)
    }

    /// Greatest play of the output over the period; remembers where it is.
    pub(super) fn play_rad(&mut self, made: &Modification) -> f64 {
        let play = play_over(&self.drawn(made), &self.play_angles_rad);
        self.widest_angle_rad = play.crank_angle_rad;
        play.greatest_rad
    }

    /// Play of the output where it was greatest last: what a search needs, at a fraction of the work.
    pub(super) fn quick_play_rad(&mut self, made: &Modification) -> f64 {
        play_over(&self.drawn(made), &[self.widest_angle_rad]).greatest_rad
    }

    /// Extremes of the loads at some crank angles.
    fn loads(&mut self, made: &Modification, angles_rad: &[f64]) -> Result<LoadExtremes, LoadError> {
        self.evaluation_count += 1;
        let model = self.in_operation(made);
        let case = case_at(&self.drive, &model, self.materials, self.step.clone(), angles_rad)?;
        Ok(case.extremes)
    }

    /// Greatest roller force at the crank angles of a search; infinite where there is no equilibrium.
    pub(super) fn greatest_force_n(&mut self, made: &Modification) -> f64 {
        let angles = self.search_angles_rad.clone();
        match self.loads(made, &angles) {
            Ok(extremes) if extremes.ring_roller_force.value.is_finite() => extremes.ring_roller_force.value,
            _ => f64::INFINITY,
        }
    }

    /// Everything that is told of a modification; its force is compared with that of the present one.
    pub(super) fn state(
        &mut self,
        made: &Modification,
        present_force_n: Option<f64>,
    ) -> Result<ModificationState, LoadError> {
        let angles = self.all_angles_rad.clone();
        let loads = self.loads(made, &angles)?;
        let geometric_backlash_rad = self.play_rad(made);
        let (drawn, hot) = (self.drawn(made), self.in_operation(made));
        let (cold, warm) = (Clearances::of(&drawn), Clearances::of(&hot));
        let error = kinematic_error(&drawn, &crank_angles(&self.drive, ERROR_ANGLES));
        let force_n = loads.ring_roller_force.value;
        Ok(ModificationState {
            equidistant_offset_mm: made.equidistant_offset_mm,
            ring_radius_shift_mm: made.ring_radius_shift_mm,
            flank_rotation_rad: made.flank_rotation_rad,
            geometric_backlash_rad,
            tip_gap_mm: cold.tip_mm,
            root_clearance_mm: cold.root_mm,
            operating_clearance_mm: warm.tip_mm.min(warm.root_mm),
            least_gap_mm: cold.least.gap_mm,
            operating_gap_mm: warm.least.gap_mm,
            ring_roller_force: loads.ring_roller_force,
            force_ratio: present_force_n.map_or(1.0, |present| force_n / present.max(f64::MIN_POSITIVE)),
            carrying_roller_count: loads.carrying_roller_count,
            profile_kinematic_error_rad: error.disc_rad,
            kinematic_error_rad: error.plate_rad,
            windup_rad: loads.windup_rad.1,
            assemblies: super::tips::shares(&self.drive, made),
            gap_curve: gap_curve(&drawn),
        })
    }
}
