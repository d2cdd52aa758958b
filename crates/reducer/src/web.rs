//! Section forces in a disc between its holes, lobes and bore, from the forces on it.
//!
//! Between holes the disc is thick and stiff, beside them it has three kinds of neck: hole to lobe root, hole to
//! bore, hole to hole. The thick pieces are taken as rigid, the necks as short curved beams of changing depth with
//! normal force, shear and moment; the equilibrium of all pieces gives what each neck carries. Source: Derivation 10.

mod neck;

use curves::math::{self, square};
use curves::point::{Vector, angle_of, cross, turned_left, unit};
use nalgebra::{Cholesky, DMatrix, DVector, Dyn, Matrix3, Matrix3x6, Vector3};
use neck::{Neck, Profile};
use std::f64::consts::{FRAC_PI_4, PI, TAU};

/// Shape of a disc as far as its necks need it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WebShape {
    /// w.
    pub hole_count: usize,
    /// Radius of the circle of hole centres.
    pub hole_circle_radius_mm: f64,
    /// r_h.
    pub hole_radius_mm: f64,
    /// Radius of the bore.
    pub bore_radius_mm: f64,
    /// Radius of the disc at the roots of its lobes; what stands beyond carries nothing along the rim.
    pub root_radius_mm: f64,
    /// Poisson's ratio, which decides how much shear gives against bending.
    pub poisson_ratio: f64,
}

/// Between what a neck lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NeckKind {
    /// Between a hole and the roots of the lobes.
    Lobe,
    /// Between a hole and the bore.
    Bore,
    /// Between a hole and the next one.
    Web,
}

/// A force on the disc: place and force seen from the disc's centre, the centre of the first hole on the x axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlacedForce {
    /// Where it acts.
    pub place_mm: Vector,
    /// The force.
    pub force_n: Vector,
}

/// What a cut across a neck carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Between what the neck lies.
    pub kind: NeckKind,
    /// Hole beside it, counted from zero; a web lies between this hole and the next.
    pub hole: usize,
    /// Distance of the cut from the middle of the neck, along the rim anticlockwise or along the web outwards.
    pub station_mm: f64,
    /// h: depth of the neck there.
    pub depth_mm: f64,
    /// N: normal force, tension positive.
    pub normal_n: f64,
    /// V: shear force.
    pub shear_n: f64,
    /// M: bending moment about the middle of the cut.
    pub moment_n_mm: f64,
}

/// Shear stress in the middle of a rectangular cut over the mean one.
/// **Source** beam theory, `[timoshenko1970]`.
const PEAK_SHEAR_RATIO: f64 = 1.5;

impl Section {
    /// Greatest stress at an edge of the cut by normal force and bending, as in a beam.
    ///
    /// ```text
    /// σ = |N|/(B h) + 6 |M|/(B h²)
    /// ```
    /// **Valid for** necks that are no deeper than long; the rise at the hole's edge is left out.
    /// **Source** beam theory, `[timoshenko1970]`.
    #[must_use]
    pub fn edge_stress_mpa(&self, width_mm: f64) -> f64 {
        let area_mm2 = width_mm * self.depth_mm;
        self.normal_n.abs() / area_mm2 + 6.0 * self.moment_n_mm.abs() / (area_mm2 * self.depth_mm)
    }

    /// Equivalent stress in the middle of the cut, where shear is greatest.
    ///
    /// ```text
    /// σ_v = sqrt((N/(B h))² + 3 (1.5 V/(B h))²)
    /// ```
    /// **Source** beam theory and von Mises' hypothesis, `[timoshenko1970]`.
    #[must_use]
    pub fn middle_stress_mpa(&self, width_mm: f64) -> f64 {
        let area_mm2 = width_mm * self.depth_mm;
        (square(self.normal_n / area_mm2) + 3.0 * square(PEAK_SHEAR_RATIO * self.shear_n / area_mm2)).sqrt()
    }

    /// Stress at the edge of the hole over that of the beam.
    ///
    /// ```text
    /// K_t = 1 + 2 h/(d + h)
    /// ```
    /// d is the hole's diameter: one for a thin neck, which is a beam, three for a hole in a wide plate.
    /// **Source** between the two limits our own, Derivation 10 §4; the upper one is Kirsch's, `[timoshenko1970]`.
    /// **Checked by** `validation/finite_element_rerun/webs.toml`.
    #[must_use]
    pub fn notch_factor(&self, hole_radius_mm: f64) -> f64 {
        1.0 + 2.0 * self.depth_mm / (2.0 * hole_radius_mm + self.depth_mm)
    }
}

/// A disc as stiff pieces and necks, ready to be loaded.
#[derive(Clone, Debug)]
pub struct DiscWebs {
    shape: WebShape,
    necks: Vec<Neck>,
    /// Factored stiffness of all pieces but the first, which is held.
    factor: Cholesky<f64, Dyn>,
}

/// Places at which the pressure of the bearing is taken over its half of the bore.
const BEARING_PLACES: usize = 36;

impl DiscWebs {
    /// Prepares a disc; `None` where holes run into each other, into the bore or out of the roots.
    ///
    /// **Source** Derivation 10.
    #[must_use]
    pub fn of(shape: WebShape) -> Option<Self> {
        let kinds = [NeckKind::Lobe, NeckKind::Bore, NeckKind::Web];
        let profiles = kinds.map(|kind| Profile::of(&shape, kind));
        if profiles.iter().any(|profile| !profile.is_sound()) {
            return None;
        }
        let necks: Vec<Neck> = (0..shape.hole_count)
            .flat_map(|hole| profiles.map(|profile| Neck::new(&shape, profile, hole)))
            .collect();
        let size = 6 * shape.hole_count;
        let mut stiffness = DMatrix::zeros(size, size);
        for neck in &necks {
            let rows = neck.displacement_rows();
            let spring = rows.transpose() * neck.stiffness() * rows;
            let places = neck.places();
            for (row, &to) in places.iter().enumerate() {
                for (column, &from) in places.iter().enumerate() {
                    stiffness[(to, from)] += spring[(row, column)];
                }
            }
        }
        let factor = Cholesky::new(stiffness.view((3, 3), (size - 3, size - 3)).into_owned())?;
        Some(Self { shape, necks, factor })
    }

    /// Section forces at several cuts of every neck under balanced forces; the bearing's force is spread over the
    /// half of the bore that it presses on, as the cosine of the angle from its direction.
    ///
    /// **Valid for** forces that balance; what is left over would be held by one piece of the rim.
    /// **Source** Derivation 10. **Checked by** `validation/finite_element_rerun/webs.toml`.
    #[must_use]
    pub fn sections(&self, forces: &[PlacedForce], bearing_n: Vector) -> Vec<Section> {
        let size = 6 * self.shape.hole_count;
        let mut load = DVector::<f64>::zeros(size);
        let mut within: Vec<Vec<(f64, Vector3<f64>)>> = vec![Vec::new(); self.necks.len()];
        for force in forces.iter().copied().chain(self.bearing_forces(bearing_n)) {
            if force.force_n == Vector::zeros() {
                continue;
            }
            match self.seat(&force) {
                Seat::Piece(piece) => add_to_piece(&mut load, piece, &force),
                Seat::Neck(index) => {
                    let neck = &self.necks[index];
                    let (station_mm, local) = neck.in_own_frame(&force);
                    let (to_first, to_second) = neck.held_at_ends(station_mm, &local);
                    let rows = neck.displacement_rows();
                    // The first piece feels what the neck puts on it; rows of the first are those of the second, turned round.
                    let first = -(rows.transpose() * to_first).fixed_rows::<3>(0).into_owned();
                    let second = (rows.transpose() * to_second).fixed_rows::<3>(3).into_owned();
                    for (place, value) in neck.places().into_iter().zip(first.iter().chain(second.iter())) {
                        load[place] += value;
                    }
                    within[index].push((station_mm, local));
                }
            }
        }
        let moved = self.factor.solve(&load.rows(3, size - 3).into_owned());
        let displacement = |place: usize| if place < 3 { 0.0 } else { moved[place - 3] };
        self.necks
            .iter()
            .zip(&within)
            .flat_map(|(neck, forces)| {
                let ends = nalgebra::Vector6::from_iterator(neck.places().into_iter().map(displacement));
                let carried = neck.stiffness() * (neck.displacement_rows() * ends);
                neck.sections(&carried, forces)
            })
            .collect()
    }

    fn bearing_forces(&self, bearing_n: Vector) -> impl Iterator<Item = PlacedForce> + '_ {
        let size_n = bearing_n.norm();
        let middle_rad = if size_n > 0.0 { angle_of(bearing_n) } else { 0.0 };
        (0..BEARING_PLACES).map(move |index| {
            let off_rad = PI * ((index as f64 + 0.5) / BEARING_PLACES as f64 - 0.5);
            let outward = unit(middle_rad + off_rad);
            // Midpoints of cos² over half a turn add up to half their number exactly.
            let share = math::cos(off_rad) * 2.0 / BEARING_PLACES as f64;
            PlacedForce { place_mm: outward * self.shape.bore_radius_mm, force_n: outward * (size_n * share) }
        })
    }

    /// Which piece or neck a force acts on.
    fn seat(&self, force: &PlacedForce) -> Seat {
        let shape = &self.shape;
        let pitch = TAU / shape.hole_count as f64;
        let angle = angle_of(force.place_mm).rem_euclid(TAU);
        let nearest = (angle / pitch).round() as usize % shape.hole_count;
        let radial = unit(pitch * nearest as f64);
        let from_hole = force.place_mm - radial * shape.hole_circle_radius_mm;
        let is_on_hole = from_hole.norm() < 1.1 * shape.hole_radius_mm;
        let around = angle_of(Vector::new(from_hole.dot(&radial), cross(radial, from_hole)));
        let is_outside = force.place_mm.norm() > shape.hole_circle_radius_mm;
        let kind = if is_on_hole && around.abs() > FRAC_PI_4 && around.abs() < PI - FRAC_PI_4 {
            NeckKind::Web
        } else if is_outside {
            NeckKind::Lobe
        } else {
            NeckKind::Bore
        };
        let beside = if kind == NeckKind::Web && around < 0.0 {
            (nearest + shape.hole_count - 1) % shape.hole_count
        } else {
            nearest
        };
        let index = 3 * beside + kind as usize;
        let neck = &self.necks[index];
        if neck.holds(neck.in_own_frame(force).0) {
            return Seat::Neck(index);
        }
        let after = (angle / pitch).floor() as usize % shape.hole_count;
        Seat::Piece(if is_outside { after } else { shape.hole_count + after })
    }
}

/// Where a force acts.
enum Seat {
    /// On a stiff piece: those of the rim first, then those round the bore, each after its hole.
    Piece(usize),
    /// Along a neck.
    Neck(usize),
}

fn add_to_piece(load: &mut DVector<f64>, piece: usize, force: &PlacedForce) {
    load[3 * piece] += force.force_n.x;
    load[3 * piece + 1] += force.force_n.y;
    load[3 * piece + 2] += cross(force.place_mm, force.force_n);
}

/// Relative displacement of two pieces at a point, along a neck, across it and turning, from the motions of both.
fn relative_rows(point_mm: Vector, along: Vector) -> Matrix3x6<f64> {
    let across = turned_left(along);
    let of_one = Matrix3::new(
        along.x,
        along.y,
        cross(point_mm, along),
        across.x,
        across.y,
        cross(point_mm, across),
        0.0,
        0.0,
        1.0,
    );
    let mut rows = Matrix3x6::zeros();
    rows.fixed_columns_mut::<3>(0).copy_from(&(-of_one));
    rows.fixed_columns_mut::<3>(3).copy_from(&of_one);
    rows
}
