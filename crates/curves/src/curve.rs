//! The one interface that every closed outline offers: place, direction and curvature at a parameter.

use crate::point::{Point, Vector, turned_right};

/// Local geometry of a curve at one parameter value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// Place on the curve (mm).
    pub position_mm: Point,
    /// Unit tangent in the direction of growing parameter.
    pub tangent: Vector,
    /// Arc length per unit of parameter (mm), never negative.
    pub speed_mm: f64,
    /// Signed curvature (1/mm), positive where an anticlockwise outline is convex.
    pub curvature_per_mm: f64,
}

impl CurvePoint {
    /// Unit normal that points out of the material of an anticlockwise outline.
    #[must_use]
    pub fn outward_normal(&self) -> Vector {
        turned_right(self.tangent)
    }

    /// Signed radius of curvature (mm), positive where convex, infinite on a straight.
    #[must_use]
    pub fn radius_of_curvature_mm(&self) -> f64 {
        1.0 / self.curvature_per_mm
    }
}

/// A smooth closed curve, run anticlockwise as its parameter grows by [`ClosedCurve::period`].
pub trait ClosedCurve {
    /// Growth of the parameter over one circuit.
    fn period(&self) -> f64;

    /// Local geometry at a parameter; any real value is accepted.
    fn at(&self, parameter: f64) -> CurvePoint;

    /// Parameters between which the curve is smooth to every order that a fit may use, in
    /// ascending order within one period. Exporters put face and span borders there.
    fn natural_breaks(&self) -> Vec<f64> {
        vec![0.0]
    }
}
