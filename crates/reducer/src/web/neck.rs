//! One neck of a disc: a short curved beam of changing depth between two stiff pieces.

use super::{NeckKind, PlacedForce, Section, WebShape, relative_rows};
use curves::math::square;
use curves::point::{Vector, cross, turned_left, unit};
use nalgebra::{Matrix3, Matrix3x6, Vector3};
use std::f64::consts::{PI, TAU};

/// Half length of a neck over the hole's radius: beyond it the disc is too deep to give.
const HALF_LENGTH_SHARE: f64 = 1.0;
/// Steps along a neck over which its compliance is added up.
const STEP_COUNT: usize = 48;
/// Cuts of a neck at which its forces are told.
const CUT_COUNT: usize = 9;
/// Furthest cut over the neck's half length.
const LAST_CUT_SHARE: f64 = 0.8;
/// Shear deflection of a rectangular section against that of evenly spread shear.
/// **Source** beam theory by stored energy, `[timoshenko1970]`.
const SHEAR_SHAPE: f64 = 1.2;

/// Depth and middle line of one kind of neck.
#[derive(Clone, Copy, Debug)]
pub(super) struct Profile {
    kind: NeckKind,
    hole_radius_mm: f64,
    hole_circle_radius_mm: f64,
    /// Radius of the lobe roots or of the bore; half the chord between holes for a web.
    limit_mm: f64,
    half_length_mm: f64,
}

impl Profile {
    pub(super) fn of(shape: &WebShape, kind: NeckKind) -> Self {
        let (half_sine, _) = curves::math::sin_cos(PI / shape.hole_count as f64);
        let limit_mm = match kind {
            NeckKind::Lobe => shape.root_radius_mm,
            NeckKind::Bore => shape.bore_radius_mm,
            NeckKind::Web => shape.hole_circle_radius_mm * half_sine,
        };
        let room_mm = match kind {
            NeckKind::Web => shape.hole_radius_mm,
            NeckKind::Lobe | NeckKind::Bore => shape.hole_radius_mm.min(limit_mm * half_sine),
        };
        Self {
            kind,
            hole_radius_mm: shape.hole_radius_mm,
            hole_circle_radius_mm: shape.hole_circle_radius_mm,
            limit_mm,
            half_length_mm: HALF_LENGTH_SHARE * room_mm,
        }
    }

    /// Whether the neck is there, over its whole length.
    pub(super) fn is_sound(&self) -> bool {
        self.hole_radius_mm > 0.0
            && (0..=STEP_COUNT).all(|step| {
                let share = 2.0 * step as f64 / STEP_COUNT as f64 - 1.0;
                self.depth_and_middle_mm(share * self.half_length_mm).0 > 0.0
            })
    }

    /// Depth at a station, and how far the middle line lies off that at the middle, left of the way along.
    fn depth_and_middle_mm(&self, station_mm: f64) -> (f64, f64) {
        let chord = |radius_mm: f64| (square(radius_mm) - square(station_mm)).max(0.0).sqrt();
        let hole = |station: f64| (square(self.hole_radius_mm) - square(station)).max(0.0).sqrt();
        let centre = self.hole_circle_radius_mm;
        let bow = hole(station_mm);
        // Along the rim, left is inwards.
        match self.kind {
            NeckKind::Lobe => {
                let (outer, inner) = (chord(self.limit_mm), centre + bow);
                let at_middle = self.limit_mm + centre + self.hole_radius_mm;
                (outer - inner, 0.5 * (at_middle - outer - inner))
            }
            NeckKind::Bore => {
                let (outer, inner) = (centre - bow, chord(self.limit_mm));
                let at_middle = centre - self.hole_radius_mm + self.limit_mm;
                (outer - inner, 0.5 * (at_middle - outer - inner))
            }
            NeckKind::Web => (2.0 * (self.limit_mm - bow), 0.0),
        }
    }
}

/// A neck in its place: its frame runs along it from its first piece to its second.
#[derive(Clone, Debug)]
pub(super) struct Neck {
    profile: Profile,
    hole: usize,
    /// Pieces at its start and its end.
    pieces: (usize, usize),
    middle_mm: Vector,
    along: Vector,
    /// Compliance from its start to each step, for a modulus and a width of one.
    compliance: Vec<Matrix3<f64>>,
}

impl Neck {
    pub(super) fn new(shape: &WebShape, profile: Profile, hole: usize) -> Self {
        let count = shape.hole_count;
        let before = (hole + count - 1) % count;
        let pitch = TAU / count as f64;
        let angle = pitch * hole as f64;
        let (pieces, radial, radius_mm) = match profile.kind {
            NeckKind::Lobe => {
                let edge = shape.hole_circle_radius_mm + shape.hole_radius_mm;
                ((before, hole), unit(angle), 0.5 * (edge + shape.root_radius_mm))
            }
            NeckKind::Bore => {
                let edge = shape.hole_circle_radius_mm - shape.hole_radius_mm;
                ((count + before, count + hole), unit(angle), 0.5 * (edge + shape.bore_radius_mm))
            }
            NeckKind::Web => (
                (count + hole, hole),
                unit(angle + 0.5 * pitch),
                shape.hole_circle_radius_mm * curves::math::cos(0.5 * pitch),
            ),
        };
        let along = if profile.kind == NeckKind::Web { radial } else { turned_left(radial) };
        Self {
            profile,
            hole,
            pieces,
            middle_mm: radial * radius_mm,
            along,
            compliance: compliance_by_station(&profile, shape.poisson_ratio),
        }
    }

    /// Rows of the motions of both pieces, in the order of the whole disc.
    pub(super) fn places(&self) -> [usize; 6] {
        let (first, second) = self.pieces;
        [3 * first, 3 * first + 1, 3 * first + 2, 3 * second, 3 * second + 1, 3 * second + 2]
    }

    /// Stretch, shear and turn of the neck from the motions of its pieces.
    pub(super) fn displacement_rows(&self) -> Matrix3x6<f64> {
        relative_rows(self.middle_mm, self.along)
    }

    pub(super) fn stiffness(&self) -> Matrix3<f64> {
        inverse(&self.compliance[STEP_COUNT])
    }

    /// Station of a force along the neck, and the force about the neck's middle: along, across, moment.
    pub(super) fn in_own_frame(&self, force: &PlacedForce) -> (f64, Vector3<f64>) {
        let arm_mm = force.place_mm - self.middle_mm;
        let across = turned_left(self.along);
        let local = Vector3::new(
            force.force_n.dot(&self.along),
            force.force_n.dot(&across),
            cross(arm_mm, force.force_n),
        );
        (arm_mm.dot(&self.along), local)
    }

    /// Whether a station lies on the neck.
    pub(super) fn holds(&self, station_mm: f64) -> bool {
        station_mm.abs() < self.profile.half_length_mm
    }

    /// What a force on the neck puts on its two pieces if they stand still; the sum is the force.
    ///
    /// Both stretches give way together at the force: `C_1 f_1 = −C_2 f_2`, `f_1 = p + f_2`.
    pub(super) fn held_at_ends(&self, station_mm: f64, force: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        let before = self.compliance_to(station_mm);
        let whole = self.compliance[STEP_COUNT];
        let beyond = -(inverse(&whole) * (before * force));
        (force + beyond, -beyond)
    }

    fn compliance_to(&self, station_mm: f64) -> Matrix3<f64> {
        let share = 0.5 * (station_mm / self.profile.half_length_mm + 1.0);
        let at = (share * STEP_COUNT as f64).clamp(0.0, STEP_COUNT as f64);
        let below = (at.floor() as usize).min(STEP_COUNT - 1);
        let part = at - below as f64;
        self.compliance[below] * (1.0 - part) + self.compliance[below + 1] * part
    }

    /// Forces at the cuts: what the motions of the pieces put into the neck, and what forces on it add between its ends.
    pub(super) fn sections(&self, carried: &Vector3<f64>, forces: &[(f64, Vector3<f64>)]) -> Vec<Section> {
        let ends: Vec<_> =
            forces.iter().map(|(station, force)| (*station, self.held_at_ends(*station, force))).collect();
        (0..CUT_COUNT)
            .map(|cut| {
                let share = 2.0 * cut as f64 / (CUT_COUNT - 1) as f64 - 1.0;
                let station_mm = LAST_CUT_SHARE * share * self.profile.half_length_mm;
                let mut local = *carried;
                for (at_mm, (to_first, to_second)) in &ends {
                    if station_mm < *at_mm {
                        local += to_first;
                    } else {
                        local -= to_second;
                    }
                }
                let (depth_mm, middle_mm) = self.profile.depth_and_middle_mm(station_mm);
                Section {
                    kind: self.profile.kind,
                    hole: self.hole,
                    station_mm,
                    depth_mm,
                    normal_n: local.x,
                    shear_n: local.y,
                    moment_n_mm: moment_row(station_mm, middle_mm).dot(&local),
                }
            })
            .collect()
    }
}

/// Moment at a point of the middle line from forces and moment at the neck's middle.
fn moment_row(station_mm: f64, middle_mm: f64) -> Vector3<f64> {
    Vector3::new(middle_mm, -station_mm, 1.0)
}

/// Compliance of a neck from its start to each step, modulus and width one.
fn compliance_by_station(profile: &Profile, poisson_ratio: f64) -> Vec<Matrix3<f64>> {
    let step_mm = 2.0 * profile.half_length_mm / STEP_COUNT as f64;
    let shear = SHEAR_SHAPE * 2.0 * (1.0 + poisson_ratio);
    let mut sum = Matrix3::zeros();
    let mut all = vec![sum];
    for step in 0..STEP_COUNT {
        let station_mm = (step as f64 + 0.5) * step_mm - profile.half_length_mm;
        let (depth_mm, middle_mm) = profile.depth_and_middle_mm(station_mm);
        let row = moment_row(station_mm, middle_mm);
        let bending = 12.0 * step_mm / curves::math::power(depth_mm, 3);
        sum += row * row.transpose() * bending;
        sum[(0, 0)] += step_mm / depth_mm;
        sum[(1, 1)] += shear * step_mm / depth_mm;
        all.push(sum);
    }
    all
}

/// Inverse of a compliance, which is positive definite wherever the neck has a length.
fn inverse(compliance: &Matrix3<f64>) -> Matrix3<f64> {
    compliance.try_inverse().unwrap_or_else(Matrix3::zeros)
}
