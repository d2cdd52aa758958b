//! The part of a study that is loaded: lost motion, sharing and pressure of some assemblies, by the drive's own load model.

use super::angles::crank_angles_rad;
use super::study::{Study, StudyError};
use super::tally::{Grid, Limit, ShareWithBounds, Tally};
use crate::contact::ContactModel;
use crate::contact::build::{ContactMaterials, contact_model, expansion_in_operation, with_elastic_bodies};
use crate::contact::equilibrium::Displacements;
use crate::loads::sample::{Sampled, sample};
use crate::model::Drive;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Assemblies of one loaded task.
pub const LOADED_TASK_ASSEMBLIES: u64 = 32;
/// Assemblies that set the histograms' range.
const PILOT_ASSEMBLIES: u64 = 24;
/// Crank angles at which assemblies are loaded, at least.
pub const LOADED_ANGLES: usize = 6;

/// Assemblies that are looked at at more crank angles, and how many times as many.
const CHECKED_ASSEMBLIES: u64 = 4;
const DENSE_RATIO: usize = 6;

/// How far the crank angles at which assemblies are loaded see less than many more would.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LoadedAngleCheck {
    /// Crank angles at which every loaded assembly is looked at.
    pub loaded_angle_count: usize,
    /// Crank angles of the check.
    pub dense_angle_count: usize,
    /// Assemblies that were looked at twice.
    pub assembly_count: usize,
    /// Mean shortfall of the lost motion.
    pub mean_lost_motion_shortfall_rad: f64,
    /// Mean shortfall of the lost motion over its mean at the crank angles of the check.
    pub lost_motion_shortfall_share: f64,
}

/// What is counted for a loaded assembly.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum LoadedMeasure {
    /// Lost motion at ±3 % of the rated torque.
    LostMotion,
    /// Greatest roller force over that of parts as drawn.
    RollerForceRatio,
    /// Greatest pressure at a ring roller.
    RollerPressure,
    /// Greatest share of a disc over an even one.
    DiscShareRatio,
}

impl LoadedMeasure {
    /// All of them, in order.
    pub const ALL: [Self; 4] =
        [Self::LostMotion, Self::RollerForceRatio, Self::RollerPressure, Self::DiscShareRatio];

    fn quantum(self) -> f64 {
        match self {
            Self::LostMotion => 1e-12,
            Self::RollerForceRatio | Self::DiscShareRatio => 1e-9,
            Self::RollerPressure => 1e-6,
        }
    }

    fn of(self, sampled: &Sampled, nominal: &Sampled) -> f64 {
        match self {
            Self::LostMotion => sampled.lost_motion_rad,
            Self::RollerForceRatio => sampled.roller_force_n / nominal.roller_force_n,
            Self::RollerPressure => sampled.roller_pressure_mpa,
            Self::DiscShareRatio => sampled.disc_share_ratio,
        }
    }
}

/// A study's drive ready to be loaded.
#[derive(Clone, Debug)]
pub struct LoadedStudy {
    drive: Drive,
    model: ContactModel,
    materials: ContactMaterials,
    angles_rad: Vec<f64>,
    /// Parts as drawn at the same crank angles.
    pub nominal: Sampled,
    grids: Vec<Grid>,
    limits: Vec<Option<Limit>>,
}

/// What loaded tasks have counted so far.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LoadedCounted {
    /// One tally for each measure.
    pub tallies: Vec<Tally>,
    /// Assemblies without an equilibrium.
    pub unsolved: u64,
    /// Assemblies that meet every requirement, with load and without.
    pub meets_all: u64,
}

impl LoadedCounted {
    /// Assemblies seen.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.unsolved + self.tallies.first().map_or(0, |tally| tally.count)
    }

    /// Adds what other tasks have counted.
    pub fn merge(&mut self, other: &Self) {
        for (tally, more) in self.tallies.iter_mut().zip(&other.tallies) {
            tally.merge(more);
        }
        self.unsolved += other.unsolved;
        self.meets_all += other.meets_all;
    }
}

impl LoadedStudy {
    /// The load model of a study's drive, elastic where the drive asks for it.
    ///
    /// # Errors
    /// [`StudyError`] where a material is unknown or parts as drawn have no equilibrium.
    pub fn new(drive: &Drive, study: &Study) -> Result<Self, StudyError> {
        let materials = ContactMaterials::of(drive)?;
        let model = contact_model(drive, &materials, expansion_in_operation(drive, &materials));
        let model = with_elastic_bodies(model, drive, &materials);
        let angles_rad = crank_angles_rad(model.lobe_count(), LOADED_ANGLES);
        let nominal = sample(drive, &model, &materials, &angles_rad, &mut Vec::new())
            .map_err(|error| StudyError::NoEquilibrium(error.to_string()))?;
        let at_most = |value: f64| Limit { value, at_most: true };
        let limits = vec![drive.requirement.lost_motion_rad.map(at_most), None, None, None];
        let drive = drive.clone();
        let mut loaded = Self { drive, model, materials, angles_rad, nominal, grids: Vec::new(), limits };
        loaded.grids = loaded.pilot(study);
        Ok(loaded)
    }

    /// Whether a requirement of lost motion is stated.
    #[must_use]
    pub fn is_lost_motion_required(&self) -> bool {
        self.limits.iter().any(Option::is_some)
    }

    /// Crank angles at which assemblies are loaded.
    #[must_use]
    pub fn crank_angles_rad(&self) -> &[f64] {
        &self.angles_rad
    }

    /// Nothing counted yet.
    #[must_use]
    pub fn nothing(&self) -> LoadedCounted {
        let tally = |(grid, limit): (&Grid, &Option<Limit>)| Tally::new(*grid, *limit);
        LoadedCounted {
            tallies: self.grids.iter().zip(&self.limits).map(tally).collect(),
            unsolved: 0,
            meets_all: 0,
        }
    }

    /// Loads the assemblies of one task.
    pub fn run(&self, study: &Study, task: u64, counted: &mut LoadedCounted) {
        let first = task * LOADED_TASK_ASSEMBLIES;
        let last = (first + LOADED_TASK_ASSEMBLIES).min(study.request.loaded_count);
        // Each task starts afresh, so that its bits do not depend on what was solved before.
        let mut starts = Vec::new();
        for assembly in first..last {
            let values = study.deviations_mm(assembly);
            match self.load(study, &values, &mut starts) {
                None => counted.unsolved += 1,
                Some(sampled) => {
                    for (measure, tally) in LoadedMeasure::ALL.iter().zip(&mut counted.tallies) {
                        tally.add(measure.of(&sampled, &self.nominal));
                    }
                    counted.meets_all += u64::from(self.holds(&sampled) && study.verdict(&values));
                }
            }
        }
    }

    fn holds(&self, sampled: &Sampled) -> bool {
        self.limits
            .iter()
            .zip(LoadedMeasure::ALL)
            .all(|(limit, measure)| limit.is_none_or(|limit| limit.holds(measure.of(sampled, &self.nominal))))
    }

    /// Share of a study's first assemblies that meet every requirement, with load and without; those without an equilibrium do not.
    #[must_use]
    pub fn share_that_meets_all(&self, study: &Study, assembly_count: u64) -> ShareWithBounds {
        let mut starts = Vec::new();
        let meets = (0..assembly_count).filter(|assembly| {
            let values = study.deviations_mm(*assembly);
            let sampled = self.load(study, &values, &mut starts);
            sampled.is_some_and(|sampled| self.holds(&sampled)) && study.verdict(&values)
        });
        ShareWithBounds::of(meets.count() as u64, assembly_count)
    }

    /// Looks at some of the loaded assemblies at many more crank angles than the study does.
    ///
    /// Assemblies without an equilibrium at any of them are left out. **Source** Derivation 14, §4.
    #[must_use]
    pub fn angle_check(&self, study: &Study) -> LoadedAngleCheck {
        let dense = Self {
            angles_rad: crank_angles_rad(self.model.lobe_count(), DENSE_RATIO * self.angles_rad.len()),
            ..self.clone()
        };
        let pairs: Vec<[f64; 2]> = (0..study.request.loaded_count.min(CHECKED_ASSEMBLIES))
            .filter_map(|assembly| {
                let values = study.deviations_mm(assembly);
                let lost_motion = |loaded: &Self| {
                    loaded.load(study, &values, &mut Vec::new()).map(|sampled| sampled.lost_motion_rad)
                };
                Some([lost_motion(self)?, lost_motion(&dense)?])
            })
            .collect();
        let mean =
            |of: &dyn Fn(&[f64; 2]) -> f64| pairs.iter().map(of).sum::<f64>() / pairs.len().max(1) as f64;
        let whole_rad = mean(&|[_, all]| *all);
        let missed_rad = mean(&|[seen, all]| all - seen);
        LoadedAngleCheck {
            loaded_angle_count: self.angles_rad.len(),
            dense_angle_count: dense.angles_rad.len(),
            assembly_count: pairs.len(),
            mean_lost_motion_shortfall_rad: missed_rad,
            lost_motion_shortfall_share: if whole_rad > 0.0 { missed_rad / whole_rad } else { 0.0 },
        }
    }

    fn load(
        &self,
        study: &Study,
        values: &[f64],
        starts: &mut Vec<Option<Displacements>>,
    ) -> Option<Sampled> {
        let made = study.plan.slots.deviations(values, self.drive.geometry.eccentricity_mm);
        let model = ContactModel { deviations: Some(Arc::new(made)), ..self.model.clone() };
        let sampled = sample(&self.drive, &model, &self.materials, &self.angles_rad, starts).ok();
        if sampled.is_none() {
            starts.clear();
        }
        sampled
    }

    fn pilot(&self, study: &Study) -> Vec<Grid> {
        let mut starts = Vec::new();
        let sampled: Vec<Sampled> = (0..PILOT_ASSEMBLIES)
            .filter_map(|assembly| self.load(study, &study.deviations_mm(assembly), &mut starts))
            .collect();
        LoadedMeasure::ALL
            .iter()
            .zip(&self.limits)
            .map(|(measure, limit)| {
                let values: Vec<f64> =
                    sampled.iter().map(|sampled| measure.of(sampled, &self.nominal)).collect();
                Grid::around(&values, measure.quantum()).with_edge_at(*limit)
            })
            .collect()
    }
}
