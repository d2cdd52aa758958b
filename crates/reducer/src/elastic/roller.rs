//! How a ring roller gives between its contact and the seat that holds its back.
//!
//! The roller is a disc bonded to a rigid seat over the wrap angle; the contact's own approach down to the
//! roller's axis is left to the contact law. Boundary elements with points crowded at the ends of
//! the seat, where tractions run off. Source: Derivation 7, §6.

use super::boundary::{Boundary, BoundaryPoint};
use super::dense::{Lu, SingularMatrix, product};
use super::kernel::{Kernel, logarithm_weights};
use super::plane::PlaneMaterial;
use super::point_load::PointLoad;
use curves::math;
use curves::point::{Vector, cross, unit};
use nalgebra::{DMatrix, Matrix2};
use std::f64::consts::{PI, TAU};

/// Compliance of a seated roller per unit of its length (mm²/N), beyond the approach down to its axis.
#[derive(Clone, Debug)]
pub struct RollerSeat {
    /// Largest angle of the table.
    most_angle_rad: f64,
    /// Compliance at even steps of the angle between force and seat.
    table_mm2_per_n: Vec<f64>,
}

/// Points round the roller, half of them on the seat.
const POINTS: usize = 96;
/// Angles of the table; the compliance is even in the angle.
const ANGLES: usize = 10;
/// Power by which points crowd at the ends of the seat.
const CROWDING: f64 = 4.0;
/// Free angle that is left between a contact and the seat's end.
const CLEAR_OF_SEAT_RAD: f64 = 0.12;
/// Largest angle of interest: no contact normal leaves the radial further.
const MOST_ANGLE_RAD: f64 = 1.45;
/// Neighbouring points that the displacement at the contact is interpolated from.
const NEIGHBOURS: usize = 6;

impl RollerSeat {
    /// Solves for the compliance of a roller whose seat wraps it by `half_wrap_rad` to both sides.
    ///
    /// **Valid for** wraps from a few degrees to nearly three quarters of the roller.
    ///
    /// # Errors
    /// [`SingularMatrix`] for a seat that wraps nothing or all.
    pub fn of(material: &PlaneMaterial, half_wrap_rad: f64) -> Result<Self, SingularMatrix> {
        let half_wrap_rad = half_wrap_rad.clamp(0.05, PI - 0.3);
        let most_angle_rad = (PI - half_wrap_rad - CLEAR_OF_SEAT_RAD).clamp(0.05, MOST_ANGLE_RAD);
        let roller = SeatedRoller::new(material, half_wrap_rad)?;
        let table_mm2_per_n = (0..ANGLES)
            .map(|index| roller.compliance(most_angle_rad * index as f64 / (ANGLES - 1) as f64))
            .collect();
        Ok(Self { most_angle_rad, table_mm2_per_n })
    }

    /// Compliance for a force at this angle from the middle of the seat.
    ///
    /// Contacts closer to the seat's end than the table reaches take its last value.
    #[must_use]
    pub fn compliance_mm2_per_n(&self, angle_rad: f64) -> f64 {
        let place = angle_rad.abs().min(self.most_angle_rad) / self.most_angle_rad * (ANGLES - 1) as f64;
        let first = (place.floor() as i64 - 1).min(ANGLES as i64 - 4);
        let weights = super::lagrange_weights::<4>(place - first as f64);
        (0_i64..4)
            .zip(weights)
            .map(|(step, weight)| weight * self.table_mm2_per_n[(first + step).unsigned_abs() as usize])
            .sum()
    }
}

/// A roller of unit radius in its seat, ready for forces at any angle.
struct SeatedRoller<'a> {
    material: &'a PlaneMaterial,
    boundary: Boundary,
    influence: [DMatrix<f64>; 2],
    factors: Lu,
}

impl<'a> SeatedRoller<'a> {
    fn new(material: &'a PlaneMaterial, half_wrap_rad: f64) -> Result<Self, SingularMatrix> {
        let boundary = crowded_circle(half_wrap_rad);
        let kernel = Kernel::new(material, 4.0);
        let weights = logarithm_weights(POINTS);
        let mut of_displacement = DMatrix::zeros(2 * POINTS, 2 * POINTS);
        let mut of_traction = of_displacement.clone();
        let mut unknowns = of_displacement.clone();
        for source in 0..POINTS {
            for field in 0..POINTS {
                let mut influence = kernel.within(&boundary, &weights, source, field);
                if source == field {
                    influence.of_displacement += Matrix2::identity() * 0.5;
                }
                let place = (2 * source, 2 * field);
                let unknown = if is_seated(field) {
                    // Forces, not tractions: these run off where their weight goes to nothing.
                    influence.of_traction * (-material.shear_modulus_mpa / boundary.points[field].weight_mm)
                } else {
                    influence.of_displacement
                };
                of_displacement
                    .fixed_view_mut::<2, 2>(place.0, place.1)
                    .copy_from(&influence.of_displacement);
                of_traction.fixed_view_mut::<2, 2>(place.0, place.1).copy_from(&influence.of_traction);
                unknowns.fixed_view_mut::<2, 2>(place.0, place.1).copy_from(&unknown);
            }
        }
        Ok(Self { material, boundary, influence: [of_displacement, of_traction], factors: Lu::of(unknowns)? })
    }

    /// Displacement along a unit force at this angle from the seat's middle, less the approach to the axis.
    fn compliance(&self, angle_rad: f64) -> f64 {
        let place = unit(PI + angle_rad);
        let load = PointLoad::new(place, place, 1.0, self.material);
        let mut known = [DMatrix::zeros(2 * POINTS, 1), DMatrix::zeros(2 * POINTS, 1)];
        for (index, point) in self.boundary.points.iter().enumerate() {
            let field = load.at(nudged(point.place_mm, place));
            let (side, value) =
                if is_seated(index) { (0, -field.displacement) } else { (1, -field.traction(point.normal)) };
            known[side][(2 * index, 0)] = value.x;
            known[side][(2 * index + 1, 0)] = value.y;
        }
        let [of_displacement, of_traction] = &self.influence;
        let mut answer = product(of_traction, &known[1]) - product(of_displacement, &known[0]);
        self.factors.solve(&mut answer);
        let displacement = self.at_contact(place, &answer) + load.at_load().displacement;
        let half_plane = 0.5 * self.material.surface_compliance_mm2_per_n() * (1.0 + self.material.lateral());
        half_plane - 1.0 / (4.0 * PI * self.material.shear_modulus_mpa) - displacement.dot(&place)
    }

    /// Smooth displacement at a place between the points.
    fn at_contact(&self, place: Vector, answer: &DMatrix<f64>) -> Vector {
        let angle = |index: usize| {
            let point = self.boundary.points[index].place_mm;
            math::atan2(cross(place, point), place.dot(&point))
        };
        let mut near: Vec<usize> = (0..POINTS).filter(|&index| !is_seated(index)).collect();
        near.sort_by(|&a, &b| angle(a).abs().total_cmp(&angle(b).abs()).then(a.cmp(&b)));
        let near = &near[..NEIGHBOURS];
        near.iter()
            .map(|&index| {
                let weight: f64 = near
                    .iter()
                    .filter(|&&other| other != index)
                    .map(|&other| angle(other) / (angle(other) - angle(index)))
                    .product();
                Vector::new(answer[(2 * index, 0)], answer[(2 * index + 1, 0)]) * weight
            })
            .sum()
    }
}

fn is_seated(index: usize) -> bool {
    index < POINTS / 2
}

/// A boundary point is never exactly the loaded one: there the smooth tractions are continuous.
fn nudged(point: Vector, load: Vector) -> Vector {
    let tangent = Vector::new(-load.y, load.x);
    if (point - load).norm() < NUDGE { load + tangent * NUDGE } else { point }
}

const NUDGE: f64 = 1e-6;

/// A unit circle, seat round the x axis first, with points that crowd at both ends of the seat.
fn crowded_circle(half_wrap_rad: f64) -> Boundary {
    let step = TAU / POINTS as f64;
    let points = (0..POINTS)
        .map(|index| {
            let (start, span) = if is_seated(index) {
                (-half_wrap_rad, 2.0 * half_wrap_rad)
            } else {
                (half_wrap_rad, TAU - 2.0 * half_wrap_rad)
            };
            let share = ((index % (POINTS / 2)) as f64 + 0.5) / (POINTS / 2) as f64;
            let (value, slope) = crowding(share);
            let normal = unit(start + span * value);
            let weight_mm = span * slope / PI * step;
            BoundaryPoint { place_mm: normal, normal, curvature_per_mm: 1.0, weight_mm }
        })
        .collect();
    Boundary { points }
}

/// A smooth map of (0, 1) onto itself that is flat at both ends, and its slope.
fn crowding(share: f64) -> (f64, f64) {
    let (low, high) = (math::pow(share, CROWDING), math::pow(1.0 - share, CROWDING));
    let sum = low + high;
    let slope = CROWDING * (low / share * high + low * high / (1.0 - share)) / (sum * sum);
    (low / sum, slope)
}
