//! How finely the boundaries of a disc are sampled, from its thinnest walls and its sharpest flanks.

use super::boundary::Boundary;
use super::crowded::Crowded;
use super::dense::SingularMatrix;
use super::disc::DiscShape;
use super::plane::PlaneMaterial;
use curves::ClosedCurve;
use curves::math;
use std::f64::consts::{PI, TAU};

/// Number of points along the boundaries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Resolution {
    /// Points of a lobe, even.
    pub lobe_points: usize,
    /// Of them, points that are loaded and tabulated.
    pub lobe_nodes: usize,
    /// Points of a hole, even, all of them loaded and tabulated.
    pub hole_points: usize,
    /// Points of the bore, even.
    pub bore_points: usize,
}

impl Resolution {
    /// Highest wave of bore pressure that the points of the bore resolve and anyone needs.
    ///
    /// Neighbouring boundaries feel a wave less the higher it is; above, a bore in an endless plate stands for it.
    #[must_use]
    pub fn highest_wave(&self) -> usize {
        (self.bore_points / 2 - 1).min(HIGHEST_WAVE)
    }

    /// Points enough for coefficients right to a few thousandths; the asymmetry of the table tells.
    ///
    /// Steps along holes and bore are no longer than the thinnest wall beside them, and lobes get as many points
    /// as it takes for a rigid motion to leave no more than 0.006 of itself.
    #[must_use]
    pub fn of(outline: &dyn ClosedCurve, shape: &DiscShape, material: &PlaneMaterial) -> Self {
        let walls = Walls::of(outline, shape);
        let outline =
            Crowded { curve: outline, lobe_count: shape.lobe_count, crowding: shape.valley_crowding };
        let even = |count: f64, least: usize, most: usize| {
            (2 * (0.5 * count).ceil().min(most as f64) as usize).clamp(least, most)
        };
        let hole_points = even(TAU * shape.hole_radius_mm / walls.beside_hole_mm, 20, 72);
        let bore_points = even(TAU * shape.bore_radius_mm / walls.beside_bore_mm, 40, 144);
        let enough = |&&factor: &&usize| {
            let boundary = Boundary::outside(&outline, shape.lobe_count * LOBE_NODES * factor);
            boundary.rigid_error(LOBE_NODES * factor, material) <= RIGID_ERROR
        };
        let factor = [1, 2, 3, 4].iter().find(enough).copied().unwrap_or(6);
        Self { lobe_points: LOBE_NODES * factor, lobe_nodes: LOBE_NODES, hole_points, bore_points }
    }
}

const HIGHEST_WAVE: usize = 32;
/// Loaded places of a lobe: six-point interpolation between them is good to a thousandth.
const LOBE_NODES: usize = 12;
/// What a rigid motion may leave of itself where it should leave nothing.
const RIGID_ERROR: f64 = 6e-3;

/// Thinnest walls of a disc.
pub(super) struct Walls {
    beside_hole_mm: f64,
    pub(super) beside_bore_mm: f64,
}

/// The body of a disc cannot be computed.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ComplianceError {
    /// Boundaries touch or cross.
    #[error("holes, bore and lobes leave a wall of {wall_mm} mm")]
    NoWall {
        /// Thinnest wall, negative where boundaries cross.
        wall_mm: f64,
    },
    /// Coefficients that must be equal are not: walls too thin or flanks too sharp for the points.
    #[error("coefficients that must be equal differ by {asymmetry} of the largest")]
    Unresolved {
        /// Largest difference between coefficients that must be equal, against the largest of all.
        asymmetry: f64,
    },
    /// The equations have no solution.
    #[error(transparent)]
    Singular(#[from] SingularMatrix),
}

impl Walls {
    pub(super) fn least_mm(&self) -> f64 {
        self.beside_hole_mm.min(self.beside_bore_mm)
    }

    pub(super) fn of(outline: &dyn ClosedCurve, shape: &DiscShape) -> Self {
        let root = (0..shape.lobe_count * LOBE_NODES)
            .map(|index| {
                let parameter = index as f64 * outline.period() / (shape.lobe_count * LOBE_NODES) as f64;
                outline.at(parameter).position_mm.coords.norm()
            })
            .fold(f64::INFINITY, f64::min);
        if shape.hole_count == 0 {
            return Self { beside_hole_mm: f64::INFINITY, beside_bore_mm: root - shape.bore_radius_mm };
        }
        let (centre, radius) = (shape.hole_circle_radius_mm, shape.hole_radius_mm);
        let inside = centre - radius - shape.bore_radius_mm;
        let between = 2.0 * centre * math::sin(PI / shape.hole_count as f64) - 2.0 * radius;
        let beside_hole_mm = inside.min(root - centre - radius).min(between);
        Self { beside_hole_mm, beside_bore_mm: inside }
    }
}
