//! The lobe profile of a disc: the inward parallel of a contracted trochoid, with its modifications.
//!
//! Frame: disc centre at the origin, the valley of a lobe on the x axis, anticlockwise. The curve on
//! which the centres of the (ideal) rollers lie is the trochoid
//! `C(ψ) = R (cos ψ, sin ψ) − e (cos z_r ψ, sin z_r ψ)`; the profile lies a roller radius inside it.
//! The derivation of all formulas here is in `docs/derivations/01-profile.md`.

use crate::model::Geometry;
use curves::math::{self, square};
use curves::point::{Point, Vector, rotated, turned_right};
use curves::{ClosedCurve, CurvePoint};
use std::f64::consts::{PI, TAU};

/// The trochoid on which roller centres lie in the frame of the disc, for a tooth difference of one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trochoid {
    /// Ring rollers, one more than the lobes.
    pub ring_roller_count: usize,
    /// R: radius of the circle of roller centres that the curve is generated with.
    pub ring_radius_mm: f64,
    /// e: eccentricity.
    pub eccentricity_mm: f64,
}

impl Trochoid {
    /// z_l: number of lobes.
    #[must_use]
    pub fn lobe_count(&self) -> usize {
        self.ring_roller_count - 1
    }

    /// K1: shortening coefficient, `e z_r / R`; the curve has loops from one upwards.
    ///
    /// Source: `[kudryavtsev1966]`, from memory.
    #[must_use]
    pub fn shortening(&self) -> f64 {
        self.eccentricity_mm * self.ring_roller_count as f64 / self.ring_radius_mm
    }

    /// Place and its first two derivatives by the parameter ψ.
    #[must_use]
    pub fn derivatives(&self, parameter: f64) -> [Vector; 3] {
        let rollers = self.ring_roller_count as f64;
        let (sine, cosine) = math::sin_cos(parameter);
        let (fast_sine, fast_cosine) = math::sin_cos(rollers * parameter);
        let (radius, throw) = (self.ring_radius_mm, self.eccentricity_mm);
        [
            Vector::new(radius * cosine - throw * fast_cosine, radius * sine - throw * fast_sine),
            Vector::new(
                -radius * sine + throw * rollers * fast_sine,
                radius * cosine - throw * rollers * fast_cosine,
            ),
            Vector::new(
                -radius * cosine + throw * rollers * rollers * fast_cosine,
                -radius * sine + throw * rollers * rollers * fast_sine,
            ),
        ]
    }

    /// κ0: curvature at the angle θ = z_l ψ from a valley, positive where convex.
    ///
    /// ```text
    /// κ0 = (1 + z_r K1² − (z_r + 1) K1 cos θ) / (R (1 + K1² − 2 K1 cos θ)^1.5)
    /// ```
    ///
    /// Source: Derivation 1, §3; the reciprocal of the radius given in `[kudryavtsev1966]`, from memory.
    #[must_use]
    pub fn curvature_per_mm(&self, lobe_angle_rad: f64) -> f64 {
        let shortening = self.shortening();
        self.curvature_by_spread(1.0 + square(shortening) - 2.0 * shortening * math::cos(lobe_angle_rad))
    }

    /// κ0 where the curve has a length per radian of its parameter: that is `R sqrt(1 + K1² − 2 K1 cos θ)`, so the angle
    /// itself is not needed. Source: as [`Self::curvature_per_mm`].
    fn curvature_at_speed_per_mm(&self, speed_mm: f64) -> f64 {
        self.curvature_by_spread(square(speed_mm / self.ring_radius_mm))
    }

    fn curvature_by_spread(&self, spread: f64) -> f64 {
        let (rollers, shortening) = (self.ring_roller_count as f64, self.shortening());
        // 2 K1 cos θ from the spread.
        let lean = 1.0 + square(shortening) - spread;
        (1.0 + rollers * square(shortening) - 0.5 * (rollers + 1.0) * lean)
            / (self.ring_radius_mm * spread * spread.sqrt())
    }

    /// Smallest convex radius of curvature and the angle θ = z_l ψ where it is: the undercut limit of the
    /// generating-roller radius.
    ///
    /// ```text
    /// K1 > (z_r − 2)/(2 z_r − 1):  ρ = R sqrt(27 (z_r − 1)(1 − K1²)/(z_r + 1)³)
    ///                              at cos θ = (K1² (2 z_r − 1) − (z_r − 2)) / (K1 (z_r + 1))
    /// otherwise:                   ρ = R (1 + K1)²/(1 + z_r K1)   at the lobe tip
    /// ```
    ///
    /// **Valid for** 0 < K1 < 1. **Source**: `[kudryavtsev1966]`, from memory; Derivation 1, §4.
    #[must_use]
    pub fn undercut_limit(&self) -> (f64, f64) {
        let (rollers, shortening) = (self.ring_roller_count as f64, self.shortening());
        if shortening > (rollers - 2.0) / (2.0 * rollers - 1.0) {
            let radius = self.ring_radius_mm
                * (27.0 * (rollers - 1.0) * (1.0 - square(shortening)).max(0.0)
                    / math::power(rollers + 1.0, 3))
                .sqrt();
            let cosine = (square(shortening) * (2.0 * rollers - 1.0) - (rollers - 2.0))
                / (shortening * (rollers + 1.0));
            (radius, math::acos(cosine.clamp(-1.0, 1.0)))
        } else {
            (self.ring_radius_mm * square(1.0 + shortening) / (1.0 + rollers * shortening), PI)
        }
    }

    /// Area inside the curve, `π (R² + z_r e²)`. Source: Derivation 1, §5.
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        PI * (square(self.ring_radius_mm) + self.ring_roller_count as f64 * square(self.eccentricity_mm))
    }

    /// Length of the curve, `4 R (1 + K1) E(m)` with `m = 4 K1/(1 + K1)²`. Source: Derivation 1, §5.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        let shortening = self.shortening();
        let (_, second) = curves::quadrature::complete_elliptic(4.0 * shortening / square(1.0 + shortening));
        4.0 * self.ring_radius_mm * (1.0 + shortening) * second
    }

    /// Foot of the normal from a point near the curve, by Newton steps from a nearby parameter.
    ///
    /// Returns parameter and signed distance, positive where the point lies outside. The curve has no
    /// loops and the start lies within a small part of a roller pitch, so a handful of steps is enough;
    /// steps are bounded so that a point far off ends at some foot and not outside the lobe.
    #[must_use]
    pub fn foot_of_normal(&self, point: Point, start_parameter: f64) -> Foot {
        let mut parameter = start_parameter;
        let longest_step = 0.25 * PI / self.lobe_count() as f64;
        for _ in 0..MAX_FOOT_STEPS {
            let [place, first, second] = self.derivatives(parameter);
            let offset = place - point.coords;
            let slope = first.norm_squared() + offset.dot(&second);
            let value = offset.dot(&first);
            let step = if slope > 0.0 { value / slope } else { value / first.norm_squared() };
            parameter -= step.clamp(-longest_step, longest_step);
            if step.abs() <= SETTLED_PARAMETER_STEP * longest_step {
                // So small a step is taken along the tangent.
                return Foot::at(parameter, point, place - first * step, first - second * step);
            }
        }
        let [place, first, _] = self.derivatives(parameter);
        Foot::at(parameter, point, place, first)
    }
}

/// Share of the longest step after which Newton's next one, its square, is below rounding, and so is what bends on the way.
const SETTLED_PARAMETER_STEP: f64 = 1e-7;
const MAX_FOOT_STEPS: usize = 40;

/// Foot of a normal on the trochoid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Foot {
    /// Parameter ψ of the foot.
    pub parameter: f64,
    /// Outward unit normal there.
    pub normal: Vector,
    /// Length of the curve per radian of the parameter there.
    pub speed_mm: f64,
    /// Signed distance of the point, positive outside.
    pub distance_mm: f64,
}

impl Foot {
    fn at(parameter: f64, point: Point, place: Vector, tangent: Vector) -> Self {
        let speed_mm = tangent.norm();
        let normal = turned_right(tangent / speed_mm);
        Self { parameter, normal, speed_mm, distance_mm: (point.coords - place).dot(&normal) }
    }
}

/// Where a circle comes nearest to a lobe profile, in the frame of the disc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CircleContact {
    /// Free distance along the common normal; negative is interference.
    pub gap_mm: f64,
    /// Outward unit normal of the disc at the contact.
    pub normal: Vector,
    /// Place on the profile.
    pub place_mm: Point,
    /// Curvature of the profile there, positive where convex.
    pub curvature_per_mm: f64,
    /// Parameter ψ of the trochoid, a start for the next search.
    pub parameter: f64,
}

/// Any lobe profile that rollers can touch: nominal, modified, with errors, or measured.
pub trait LobeOutline: ClosedCurve {
    /// Nearest approach of a circle to the profile; `start_parameter` is a guess from a near position.
    fn contact_with_circle(&self, centre_mm: Point, radius_mm: f64, start_parameter: f64) -> CircleContact;
}

/// The lobe profile as it is to be cut: trochoid, generating-roller radius, and relief of the flanks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LobeProfile {
    /// Curve of the generating roller's centre.
    pub trochoid: Trochoid,
    /// r_r + δr: radius of the generating roller.
    pub generating_radius_mm: f64,
    /// δα/2: rotation of the two cuts that relieve the flanks.
    pub half_rotation_rad: f64,
    /// Parameter at which the relieved flank starts at the valley and ends at the tip, within half a lobe.
    flank_range: (f64, f64),
}

impl LobeProfile {
    /// The profile of a drive's discs with its modifications.
    #[must_use]
    pub fn of(geometry: &Geometry) -> Self {
        let modification = &geometry.modification;
        Self::new(
            Trochoid {
                ring_roller_count: geometry.ring_roller_count,
                ring_radius_mm: geometry.ring_radius_mm + modification.ring_radius_shift_mm,
                eccentricity_mm: geometry.eccentricity_mm,
            },
            geometry.roller_radius_mm + modification.equidistant_offset_mm,
            0.5 * modification.flank_rotation_rad,
        )
    }

    /// A profile from its generating motion.
    #[must_use]
    pub fn new(trochoid: Trochoid, generating_radius_mm: f64, half_rotation_rad: f64) -> Self {
        let half_lobe = PI / trochoid.lobe_count() as f64;
        let mut profile =
            Self { trochoid, generating_radius_mm, half_rotation_rad, flank_range: (0.0, half_lobe) };
        if half_rotation_rad > 0.0 {
            let turned = |target: f64| profile.parameter_at_polar_angle(target - half_rotation_rad);
            profile.flank_range = (turned(0.0), turned(half_lobe));
        }
        profile
    }

    /// Angle between neighbouring lobes.
    #[must_use]
    pub fn lobe_pitch_rad(&self) -> f64 {
        TAU / self.trochoid.lobe_count() as f64
    }

    /// Smallest convex radius of the profile; negative where it is undercut.
    #[must_use]
    pub fn least_convex_radius_mm(&self) -> f64 {
        self.trochoid.undercut_limit().0 - self.generating_radius_mm
    }

    /// Area inside the profile, `A0 − ρ L0 + π ρ²`, without the second-order part of a flank relief.
    ///
    /// **Valid for** profiles without undercut. **Source**: Derivation 1, §5.
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        let radius = self.generating_radius_mm;
        let area = self.trochoid.area_mm2() - radius * self.trochoid.length_mm() + PI * square(radius);
        area - self.relief_area_mm2()
    }

    /// Length of the profile, `L0 − 2π ρ`. **Valid for** profiles without undercut. **Source**: Derivation 1, §5.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.trochoid.length_mm() - TAU * self.generating_radius_mm
    }

    /// Radii at the tip and at the root of a lobe.
    #[must_use]
    pub fn tip_and_root_radius_mm(&self) -> (f64, f64) {
        let base = self.trochoid.ring_radius_mm - self.generating_radius_mm;
        (base + self.trochoid.eccentricity_mm, base - self.trochoid.eccentricity_mm)
    }

    /// Area that the flank relief takes off: each flank is turned by δα/2, which sweeps the area between
    /// the circles through tip and root, `½ (r_t² − r_r²) δα/2` a flank.
    fn relief_area_mm2(&self) -> f64 {
        let (tip, root) = self.tip_and_root_radius_mm();
        let flank_count = 2.0 * self.trochoid.lobe_count() as f64;
        flank_count * 0.5 * (square(tip) - square(root)) * self.half_rotation_rad
    }

    /// Local geometry before the relief, at a parameter ψ of the trochoid.
    fn unrelieved(&self, parameter: f64) -> CurvePoint {
        let [place, first, _] = self.trochoid.derivatives(parameter);
        let speed = first.norm();
        let tangent = first / speed;
        let curvature = self.trochoid.curvature_per_mm(self.trochoid.lobe_count() as f64 * parameter);
        let shrink = 1.0 - self.generating_radius_mm * curvature;
        CurvePoint {
            position_mm: Point::from(place - turned_right(tangent) * self.generating_radius_mm),
            tangent,
            speed_mm: speed * shrink.abs(),
            curvature_per_mm: curvature / shrink,
        }
    }

    /// Parameter ψ of the unrelieved profile at a polar angle within half a lobe of the origin's.
    fn parameter_at_polar_angle(&self, angle_rad: f64) -> f64 {
        let half_lobe = PI / self.trochoid.lobe_count() as f64;
        let difference = |parameter: f64| {
            let place = self.unrelieved(parameter).position_mm;
            math::atan2(place.y, place.x) - angle_rad
        };
        curves::root::brent(difference, -0.5 * half_lobe, 1.5 * half_lobe, 1e-15).unwrap_or(angle_rad)
    }

    fn contact_with_turned_cut(
        &self,
        centre_mm: Point,
        radius_mm: f64,
        start: f64,
        turn_rad: f64,
    ) -> CircleContact {
        let in_cut =
            if turn_rad == 0.0 { centre_mm } else { Point::from(rotated(centre_mm.coords, -turn_rad)) };
        let foot = self.trochoid.foot_of_normal(in_cut, start);
        let curvature = self.trochoid.curvature_at_speed_per_mm(foot.speed_mm);
        let normal = if turn_rad == 0.0 { foot.normal } else { rotated(foot.normal, turn_rad) };
        CircleContact {
            gap_mm: foot.distance_mm + self.generating_radius_mm - radius_mm,
            normal,
            place_mm: centre_mm - normal * (foot.distance_mm + self.generating_radius_mm),
            curvature_per_mm: curvature / (1.0 - self.generating_radius_mm * curvature),
            parameter: foot.parameter,
        }
    }
}

impl LobeOutline for LobeProfile {
    /// The material is what both cuts leave, so the free distance is the larger of the two.
    fn contact_with_circle(&self, centre_mm: Point, radius_mm: f64, start_parameter: f64) -> CircleContact {
        let turn = self.half_rotation_rad;
        let ahead = self.contact_with_turned_cut(centre_mm, radius_mm, start_parameter, turn);
        if turn == 0.0 {
            return ahead;
        }
        let behind = self.contact_with_turned_cut(centre_mm, radius_mm, start_parameter, -turn);
        if ahead.gap_mm >= behind.gap_mm { ahead } else { behind }
    }
}

impl ClosedCurve for LobeProfile {
    fn period(&self) -> f64 {
        TAU
    }

    /// With a flank relief the parameter runs evenly over each relieved flank, tip and root staying in place.
    fn at(&self, parameter: f64) -> CurvePoint {
        if self.half_rotation_rad == 0.0 {
            return self.unrelieved(parameter);
        }
        let pitch = self.lobe_pitch_rad();
        let valley = (parameter / pitch).round() * pitch;
        let local = parameter - valley;
        let side = if local < 0.0 { -1.0 } else { 1.0 };
        let (start, end) = self.flank_range;
        let rate = (end - start) / (0.5 * pitch);
        let point = self.unrelieved(valley + side * (start + rate * local.abs()));
        let turn = side * self.half_rotation_rad;
        CurvePoint {
            position_mm: Point::from(rotated(point.position_mm.coords, turn)),
            tangent: rotated(point.tangent, turn),
            speed_mm: point.speed_mm * rate,
            curvature_per_mm: point.curvature_per_mm,
        }
    }

    fn natural_breaks(&self) -> Vec<f64> {
        let half_pitch = 0.5 * self.lobe_pitch_rad();
        (0..2 * self.trochoid.lobe_count()).map(|index| index as f64 * half_pitch).collect()
    }
}
