//! Elastic data of a plate in plane stress or plane strain, in the form that plane elasticity wants them.

use crate::hertz::Elastic;
use curves::math;
use std::f64::consts::PI;

/// What holds along the axis of the drive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlaneState {
    /// Thick parts that cannot give along their length: contacts in service.
    Strain,
    /// Thin plates free to bulge, as plane finite elements often take them.
    Stress,
}

impl PlaneState {
    /// The material that in plane strain behaves as this one does in this state.
    ///
    /// ```text
    /// plane stress:  ν' = ν/(1 + ν),   E' = E (1 + 2ν)/(1 + ν)²
    /// ```
    /// **Source** `[timoshenko1970]`, from memory: the shear modulus is the same, and E'/(1 − ν'²) = E.
    #[must_use]
    pub fn plane_strain_equivalent(self, elastic: &Elastic) -> Elastic {
        let nu = elastic.poisson_ratio;
        match self {
            Self::Strain => *elastic,
            Self::Stress => Elastic {
                elastic_modulus_mpa: elastic.elastic_modulus_mpa * (1.0 + 2.0 * nu) / math::square(1.0 + nu),
                poisson_ratio: nu / (1.0 + nu),
            },
        }
    }
}

/// Shear modulus and Kolosov's constant: all that a plane problem knows of its material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaneMaterial {
    /// G = μ.
    pub shear_modulus_mpa: f64,
    /// κ: 3 − 4ν in plane strain, (3 − ν)/(1 + ν) in plane stress.
    pub kolosov: f64,
}

impl PlaneMaterial {
    /// Plane data of an isotropic material.
    ///
    /// **Source** `[muskhelishvili1963]`, from memory.
    #[must_use]
    pub fn of(elastic: &Elastic, state: PlaneState) -> Self {
        let nu = elastic.poisson_ratio;
        let kolosov = match state {
            PlaneState::Strain => 3.0 - 4.0 * nu,
            PlaneState::Stress => (3.0 - nu) / (1.0 + nu),
        };
        Self { shear_modulus_mpa: elastic.shear_modulus_mpa(), kolosov }
    }

    /// ν of the plane-strain body that behaves the same in its plane.
    #[must_use]
    pub fn poisson_ratio(&self) -> f64 {
        (3.0 - self.kolosov) / 4.0
    }

    /// ν/(1 − ν) of that body: how far pressure across the axis of a contact relieves it.
    #[must_use]
    pub fn lateral(&self) -> f64 {
        (3.0 - self.kolosov) / (1.0 + self.kolosov)
    }

    /// 2/(π E') per unit of length: displacement of a half-plane's surface for one unit of force and of the
    /// logarithm of distance, `(κ + 1)/(4 π μ)`.
    #[must_use]
    pub fn surface_compliance_mm2_per_n(&self) -> f64 {
        (self.kolosov + 1.0) / (4.0 * PI * self.shear_modulus_mpa)
    }
}
