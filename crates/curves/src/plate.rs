//! A flat part: one closed outline, round holes, a thickness. What exporters take and mass follows from.

use crate::curve::ClosedCurve;
use crate::point::Point;

/// A round hole through a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct RoundHole {
    /// What the hole is, such as `bore` or `output hole 3`.
    pub name: String,
    /// Centre in the frame of the plate.
    pub centre_mm: Point,
    /// Radius.
    pub radius_mm: f64,
}

/// A flat part between two parallel planes.
pub struct Plate {
    /// Name for files, layers and bodies.
    pub name: String,
    /// Outer outline, anticlockwise, in the frame of the plate.
    pub outline: Box<dyn ClosedCurve + Send + Sync>,
    /// Round through holes.
    pub holes: Vec<RoundHole>,
    /// Thickness.
    pub thickness_mm: f64,
}
