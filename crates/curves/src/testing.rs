//! Curves with known formulas for the tests of this crate.

use crate::curve::{ClosedCurve, CurvePoint};
use crate::math;
use crate::point::{Point, Vector, turned_left, unit};

/// A circle about the origin.
pub(crate) struct Circle {
    radius_mm: f64,
}

impl Circle {
    pub(crate) fn new(radius_mm: f64) -> Self {
        Self { radius_mm }
    }
}

impl ClosedCurve for Circle {
    fn period(&self) -> f64 {
        std::f64::consts::TAU
    }

    fn at(&self, parameter: f64) -> CurvePoint {
        let radial = unit(parameter);
        CurvePoint {
            position_mm: Point::from(radial * self.radius_mm),
            tangent: turned_left(radial),
            speed_mm: self.radius_mm,
            curvature_per_mm: 1.0 / self.radius_mm,
        }
    }
}

/// Inward parallel of a shortened trochoid: the profile of a disc that meshes with round rollers.
///
/// The formulas are those of the disc's nominal profile, written a second time here so that this
/// crate's tests stand on their own.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Trochoid {
    pub(crate) ring_radius_mm: f64,
    pub(crate) roller_radius_mm: f64,
    pub(crate) eccentricity_mm: f64,
    pub(crate) roller_count: u32,
}

impl Trochoid {
    pub(crate) const CASE_A: Self = Self::new(77.5, 4.0, 1.5, 40);
    pub(crate) const CASE_B: Self = Self::new(64.0, 3.0, 1.3, 40);
    pub(crate) const CASE_C: Self = Self::new(40.0, 5.0, 2.0, 12);
    pub(crate) const CASE_D: Self = Self::new(40.0, 5.0, 1.0, 12);
    pub(crate) const CASES: [Self; 4] = [Self::CASE_A, Self::CASE_B, Self::CASE_C, Self::CASE_D];

    pub(crate) const fn new(
        ring_radius_mm: f64,
        roller_radius_mm: f64,
        eccentricity_mm: f64,
        roller_count: u32,
    ) -> Self {
        Self { ring_radius_mm, roller_radius_mm, eccentricity_mm, roller_count }
    }

    pub(crate) fn lobe_count(&self) -> u32 {
        self.roller_count - 1
    }

    pub(crate) fn shortening(&self) -> f64 {
        self.eccentricity_mm * f64::from(self.roller_count) / self.ring_radius_mm
    }

    /// Area inside the profile from parallel-curve relations.
    pub(crate) fn area_mm2(&self) -> f64 {
        let k = self.shortening();
        let (_, second) = crate::quadrature::complete_elliptic(4.0 * k / math::square(1.0 + k));
        let length_mm = 4.0 * self.ring_radius_mm * (1.0 + k) * second;
        let turn = std::f64::consts::PI;
        turn * (math::square(self.ring_radius_mm)
            + f64::from(self.roller_count) * math::square(self.eccentricity_mm))
            - self.roller_radius_mm * length_mm
            + turn * math::square(self.roller_radius_mm)
    }
}

impl ClosedCurve for Trochoid {
    fn period(&self) -> f64 {
        std::f64::consts::TAU
    }

    fn at(&self, parameter: f64) -> CurvePoint {
        let count = f64::from(self.roller_count);
        let k = self.shortening();
        let (slow, fast) = (unit(parameter), unit(count * parameter));
        let cosine = math::cos(f64::from(self.lobe_count()) * parameter);
        let s_squared = 1.0 + k * k - 2.0 * k * cosine;
        let normal: Vector = (slow - fast * k) / s_squared.sqrt();
        let centre = slow * self.ring_radius_mm - fast * self.eccentricity_mm;
        let base_curvature = (1.0 + count * k * k - (count + 1.0) * k * cosine)
            / (self.ring_radius_mm * s_squared * s_squared.sqrt());
        let shrink = 1.0 - self.roller_radius_mm * base_curvature;
        CurvePoint {
            position_mm: Point::from(centre - normal * self.roller_radius_mm),
            tangent: turned_left(normal) * shrink.signum(),
            speed_mm: self.ring_radius_mm * s_squared.sqrt() * shrink.abs(),
            curvature_per_mm: base_curvature / shrink,
        }
    }

    fn natural_breaks(&self) -> Vec<f64> {
        let count = 2 * self.lobe_count();
        (0..count).map(|index| std::f64::consts::TAU * f64::from(index) / f64::from(count)).collect()
    }
}

/// Two circular arcs that meet at two corners, as a relieved profile does at its tips.
pub(crate) struct Lens {
    pub(crate) radius_mm: f64,
    /// Distance of both centres from the middle.
    pub(crate) shift_mm: f64,
}

impl ClosedCurve for Lens {
    fn period(&self) -> f64 {
        4.0
    }

    fn at(&self, parameter: f64) -> CurvePoint {
        let local = parameter - 4.0 * (parameter / 4.0).floor();
        let half_angle = math::acos(self.shift_mm / self.radius_mm);
        let side = if local < 2.0 { 1.0 } else { -1.0 };
        let along = if local < 2.0 { local - 1.0 } else { local - 3.0 };
        let radial = unit(half_angle * along) * side;
        CurvePoint {
            position_mm: Point::from(radial * self.radius_mm - Vector::x() * (side * self.shift_mm)),
            tangent: turned_left(radial),
            speed_mm: self.radius_mm * half_angle,
            curvature_per_mm: 1.0 / self.radius_mm,
        }
    }

    fn natural_breaks(&self) -> Vec<f64> {
        vec![0.0, 2.0]
    }
}
