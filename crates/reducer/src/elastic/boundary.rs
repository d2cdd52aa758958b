//! Closed boundaries of a plate as points at even steps of a periodic parameter.

use curves::ClosedCurve;
use curves::point::{Vector, turned_left, unit};
use std::f64::consts::TAU;

/// A point of a boundary and what integrals along it need.
#[derive(Clone, Copy, Debug)]
pub struct BoundaryPoint {
    /// Place, from the centre of the disc.
    pub place_mm: Vector,
    /// Unit normal out of the material.
    pub normal: Vector,
    /// Curvature, positive where the material is convex.
    pub curvature_per_mm: f64,
    /// Length of boundary that the point stands for: speed of the parametrisation times its step.
    pub weight_mm: f64,
}

impl BoundaryPoint {
    /// Unit tangent with the material on its left.
    #[must_use]
    pub fn tangent(&self) -> Vector {
        turned_left(self.normal)
    }
}

/// One closed boundary.
#[derive(Clone, Debug)]
pub struct Boundary {
    /// An even number of points.
    pub points: Vec<BoundaryPoint>,
}

impl Boundary {
    /// An outer boundary at even steps of a curve's parameter.
    #[must_use]
    pub fn outside(curve: &dyn ClosedCurve, point_count: usize) -> Self {
        let step = curve.period() / point_count as f64;
        let points = (0..point_count)
            .map(|index| {
                let point = curve.at(index as f64 * step);
                BoundaryPoint {
                    place_mm: point.position_mm.coords,
                    normal: point.outward_normal(),
                    curvature_per_mm: point.curvature_per_mm,
                    weight_mm: point.speed_mm * step,
                }
            })
            .collect();
        Self { points }
    }

    /// The wall of a round hole; points at even angles from the x axis turned by `phase_rad`.
    #[must_use]
    pub fn hole(centre_mm: Vector, radius_mm: f64, phase_rad: f64, point_count: usize) -> Self {
        let step = TAU / point_count as f64;
        let points = (0..point_count)
            .map(|index| {
                let outward = unit(phase_rad + index as f64 * step);
                BoundaryPoint {
                    place_mm: centre_mm + outward * radius_mm,
                    normal: -outward,
                    curvature_per_mm: -1.0 / radius_mm,
                    weight_mm: radius_mm * step,
                }
            })
            .collect();
        Self { points }
    }

    /// A round outer boundary.
    #[must_use]
    pub fn circle(radius_mm: f64, point_count: usize) -> Self {
        let mut circle = Self::hole(Vector::zeros(), radius_mm, 0.0, point_count);
        for point in &mut circle.points {
            point.normal = -point.normal;
            point.curvature_per_mm = 1.0 / radius_mm;
        }
        circle
    }
}
