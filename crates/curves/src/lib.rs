//! Plane curves for machine parts: evaluation, closest points, fitting, roots, integrals.
//!
//! Lengths are millimetres and angles radians. Closed curves run anticlockwise, so the
//! outward normal is the tangent turned by −90° and curvature is positive where the
//! outline is convex. The crate knows nothing of speed reducers.

pub mod arcs;
pub mod curve;
pub mod fit;
pub mod math;
pub mod outline;
pub mod plate;
pub mod point;
pub mod quadrature;
pub mod root;
pub mod sampling;
pub mod spline;
#[cfg(test)]
mod testing;

pub use curve::{ClosedCurve, CurvePoint};
pub use point::{Point, Vector};
