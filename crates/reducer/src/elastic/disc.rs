//! Influence coefficients of one disc: how far each place of its lobes and holes gives under a force at each other.
//!
//! Prepared once per disc by boundary elements of the real outline with its holes and bore: the singular
//! part of every load is taken in closed form ([`PointLoad`]), the smooth rest is solved for. Source: Derivation 7.

use super::bore;
use super::boundary::{Boundary, BoundaryPoint};
use super::crowded::Crowded;
use super::dense::{Lu, add_product, product};
use super::kernel::{Influence, Kernel, logarithm_weights};
use super::outline::{OutlineOperator, lobe_rotation};
use super::plane::PlaneMaterial;
use super::point_load::PointLoad;
use super::resolution::{ComplianceError, Resolution, Walls};
use curves::ClosedCurve;
use curves::math;
use curves::point::{Vector, cross, turned_left, unit};
use nalgebra::{DMatrix, Matrix2, Vector3};
use std::f64::consts::{PI, TAU};
use std::ops::AddAssign;

/// How the disc is held at its bore.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoreSupport {
    /// The wall of the bore is bonded to a rigid shaft and can take torque.
    Clamped,
    /// A bearing presses on the wall and takes no torque; displacements are counted from the mean of the wall.
    Bearing,
}

/// Shape of a disc, in the frame of its lobes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DiscShape {
    /// z_l.
    pub lobe_count: usize,
    /// Radius of the rollers that touch the lobes.
    pub roller_radius_mm: f64,
    /// w; none for a disc without holes.
    pub hole_count: usize,
    /// Radius of the circle of hole centres.
    pub hole_circle_radius_mm: f64,
    /// r_h.
    pub hole_radius_mm: f64,
    /// Angle of the first hole from a lobe valley.
    pub hole_phase_rad: f64,
    /// Radius of the bore.
    pub bore_radius_mm: f64,
    /// How much closer points of a lobe stand in its valleys than if they were even, see [`super::crowded`].
    pub valley_crowding: f64,
    /// Depth below the lobe surface to which the contact law counts its approach.
    pub lobe_depth_mm: f64,
    /// Depth below the wall of a hole to which the contact law counts its approach.
    pub hole_depth_mm: f64,
}

/// Influence coefficients of one disc per unit of thickness (mm²/N), force and displacement along the inward normal.
#[derive(Clone, Debug)]
pub struct InfluenceTable {
    /// z_l.
    pub lobe_count: usize,
    /// Loaded places of a lobe, at even steps of its crowded parameter.
    pub lobe_nodes: usize,
    /// w.
    pub hole_count: usize,
    /// Loaded places of a hole, at even angles from the direction of its centre.
    pub hole_nodes: usize,
    /// Crowding of the lobes' nodes towards the valleys.
    pub valley_crowding: f64,
    /// Highest wave of pressure on the bore; none where it is clamped.
    pub highest_wave: usize,
    /// Lobe nodes first, then those of the holes, then the waves of bore pressure in the order of
    /// [`super::bore::wave_values`]; of waves on waves, what they give beyond a bore in an endless plate.
    pub coefficients: DMatrix<f64>,
    /// Largest difference between coefficients that must be equal, against the largest of all.
    pub asymmetry: f64,
}

/// Departure from reciprocity above which coefficients say nothing.
const MOST_ASYMMETRY: f64 = 0.1;

/// What all loads do to the boundaries before the smooth rest is solved for.
struct Loads {
    /// Tractions on the outline, in the frames of the lobes, that cancel those of the singular part of loads on the
    /// first lobe; all other lobes are turned copies.
    on_first_lobe: DMatrix<f64>,
    /// The same for loads on the holes, and none for the waves on the bore.
    on_holes: DMatrix<f64>,
    /// The same on the holes for all loads; on the bore tractions, or displacements where it is clamped.
    inner: DMatrix<f64>,
    /// Displacement of the singular part along the inward normal at every node.
    singular: DMatrix<f64>,
    /// Displacement of the singular part at the points of the bore.
    singular_bore: DMatrix<f64>,
}

struct Problem<'a> {
    shape: &'a DiscShape,
    material: &'a PlaneMaterial,
    support: BoreSupport,
    resolution: Resolution,
    wall_beside_bore_mm: f64,
    /// Pairs of rows for each point of the bore, columns as [`super::bore::wave_values`] has them: tractions of the waves.
    waves: DMatrix<f64>,
    /// The same of one unit of force along x, along y, and of moment, as a bearing would bring them.
    bearing: DMatrix<f64>,
    outline: Boundary,
    /// Holes, then the bore.
    inner: Vec<Boundary>,
    kernel: Kernel,
}

impl InfluenceTable {
    /// Solves for all coefficients of a disc.
    ///
    /// # Errors
    /// [`ComplianceError`] where the boundaries touch or cross, or need more points than there are.
    pub fn of(
        outline: &dyn ClosedCurve,
        shape: &DiscShape,
        material: &PlaneMaterial,
        support: BoreSupport,
        resolution: Resolution,
    ) -> Result<Self, ComplianceError> {
        let wall_mm = Walls::of(outline, shape).least_mm();
        if wall_mm.is_nan() || wall_mm <= 0.0 {
            return Err(ComplianceError::NoWall { wall_mm });
        }
        let table = Problem::new(outline, shape, material, support, resolution).table()?;
        if table.asymmetry.is_nan() || table.asymmetry > MOST_ASYMMETRY {
            return Err(ComplianceError::Unresolved { asymmetry: table.asymmetry });
        }
        Ok(table)
    }

    /// Index of a lobe node.
    #[must_use]
    pub fn lobe_node(&self, index: i64) -> usize {
        index.rem_euclid((self.lobe_count * self.lobe_nodes) as i64) as usize
    }

    /// Index of a node of a hole.
    #[must_use]
    pub fn hole_node(&self, hole: usize, index: i64) -> usize {
        let within = index.rem_euclid(self.hole_nodes as i64) as usize;
        self.lobe_count * self.lobe_nodes + hole * self.hole_nodes + within
    }

    /// Number of waves of bore pressure.
    #[must_use]
    pub fn wave_count(&self) -> usize {
        self.coefficients.ncols() - self.first_wave()
    }

    /// Index of the first wave of bore pressure.
    #[must_use]
    pub fn first_wave(&self) -> usize {
        self.lobe_count * self.lobe_nodes + self.hole_count * self.hole_nodes
    }
}

impl<'a> Problem<'a> {
    fn new(
        curve: &dyn ClosedCurve,
        shape: &'a DiscShape,
        material: &'a PlaneMaterial,
        support: BoreSupport,
        resolution: Resolution,
    ) -> Self {
        let crowded = Crowded { curve, lobe_count: shape.lobe_count, crowding: shape.valley_crowding };
        let outline = Boundary::outside(&crowded, shape.lobe_count * resolution.lobe_points);
        let mut inner: Vec<Boundary> = (0..shape.hole_count)
            .map(|hole| {
                let angle = shape.hole_phase_rad + TAU * hole as f64 / shape.hole_count as f64;
                Boundary::hole(
                    unit(angle) * shape.hole_circle_radius_mm,
                    shape.hole_radius_mm,
                    angle,
                    resolution.hole_points,
                )
            })
            .collect();
        let bore = Boundary::hole(Vector::zeros(), shape.bore_radius_mm, 0.0, resolution.bore_points);
        let highest = if support == BoreSupport::Bearing { resolution.highest_wave() } else { 0 };
        let (waves, bearing) = (bore::wave_tractions(&bore, highest), bore::bearing_tractions(&bore));
        inner.push(bore);
        let reach = outline.points.iter().map(|point| point.place_mm.norm()).fold(0.0, f64::max);
        let kernel = Kernel::new(material, 4.0 * reach);
        let wall_beside_bore_mm = Walls::of(curve, shape).beside_bore_mm;
        Self {
            shape,
            material,
            support,
            resolution,
            wall_beside_bore_mm,
            waves,
            bearing,
            outline,
            inner,
            kernel,
        }
    }

    fn bore(&self) -> &Boundary {
        &self.inner[self.shape.hole_count]
    }

    fn inner_points(&self) -> impl Iterator<Item = &BoundaryPoint> {
        self.inner.iter().flat_map(|boundary| &boundary.points)
    }

    fn inner_size(&self) -> usize {
        2 * self.inner.iter().map(|boundary| boundary.points.len()).sum::<usize>()
    }

    /// First row of the bore among the inner rows.
    fn bore_row(&self) -> usize {
        2 * self.shape.hole_count * self.resolution.hole_points
    }

    /// Loaded places: lobe nodes and hole points, with the place of each among its boundary's points.
    fn nodes(&self) -> Vec<(bool, usize)> {
        let stride = self.resolution.lobe_points / self.resolution.lobe_nodes;
        let lobes = (0..self.outline.points.len()).step_by(stride).map(|index| (true, index));
        let holes = (0..self.bore_row() / 2).map(|index| (false, index));
        lobes.chain(holes).collect()
    }

    /// Outline alone first, then what the inner boundaries change.
    fn table(&self) -> Result<InfluenceTable, ComplianceError> {
        let operator = OutlineOperator::new(&self.outline, self.shape.lobe_count, &self.kernel)?;
        let nodes = self.nodes();
        let loads = self.loads(&nodes);
        let size = self.inner_size();
        let (from_unknowns, from_data) = self.inner_on_outline(&operator);
        let (outline_u, outline_t) = self.outline_on_inner(&operator);
        let (mut unknowns, mut data) = self.inner_on_inner();

        let by_unknowns = operator.solve(&from_unknowns);
        let by_data = operator.solve(&from_data);
        add_product(&mut unknowns, -1.0, &outline_u, &by_unknowns);
        add_product(&mut data, -1.0, &outline_u, &by_data);
        let alone = |tractions: &DMatrix<f64>| operator.solve(&operator.influence_of_tractions(tractions));
        let first_lobe = alone(&loads.on_first_lobe);
        let holes = alone(&loads.on_holes);

        let mut inner = product(&data, &loads.inner);
        let (rows, lobe_nodes) = (size + 3, self.lobe_node_count());
        let turned = operator.products_with_turned([
            (&outline_t.transpose(), &loads.on_first_lobe, 1.0),
            (&outline_u.transpose(), &first_lobe, -1.0),
        ]);
        inner.view_mut((0, 0), (rows, lobe_nodes)).add_assign(&turned);
        let mut from_holes = product(&outline_t, &loads.on_holes);
        add_product(&mut from_holes, -1.0, &outline_u, &holes);
        inner.columns_mut(lobe_nodes, from_holes.ncols()).add_assign(&from_holes);
        Lu::of(unknowns)?.solve(&mut inner);

        let mut lobes =
            self.turned_copies(&self.along_lobes(&nodes, &first_lobe), &self.along_lobes(&nodes, &holes));
        add_product(&mut lobes, 1.0, &self.along_lobes(&nodes, &by_data), &loads.inner);
        add_product(&mut lobes, -1.0, &self.along_lobes(&nodes, &by_unknowns), &inner);
        let mut coefficients = self.rows(&nodes, &lobes, &inner);
        self.finish(&nodes, &loads, &inner, &mut coefficients);
        Ok(self.symmetric(coefficients))
    }

    fn lobe_node_count(&self) -> usize {
        self.shape.lobe_count * self.resolution.lobe_nodes
    }

    /// Displacements along the inward normals at lobe nodes, from those of the outline in the frames of the lobes.
    fn along_lobes(&self, nodes: &[(bool, usize)], outline: &DMatrix<f64>) -> DMatrix<f64> {
        let count = self.lobe_node_count();
        let mut picked = DMatrix::zeros(count, outline.ncols());
        for (row, &(_, index)) in nodes[..count].iter().enumerate() {
            let turn = lobe_rotation(index / self.resolution.lobe_points, self.shape.lobe_count);
            let inward = -(turn.transpose() * self.outline.points[index].normal);
            for column in 0..outline.ncols() {
                picked[(row, column)] =
                    inward.x * outline[(2 * index, column)] + inward.y * outline[(2 * index + 1, column)];
            }
        }
        picked
    }

    /// Rows of lobe nodes for loads on all lobes from those for loads on the first, and for the other loads as given.
    fn turned_copies(&self, first_lobe: &DMatrix<f64>, others: &DMatrix<f64>) -> DMatrix<f64> {
        let (lobes, nodes) = (self.shape.lobe_count, self.resolution.lobe_nodes);
        let count = lobes * nodes;
        let mut all = DMatrix::zeros(count, count + others.ncols());
        for column in 0..count {
            let (lobe, node) = (column / nodes, column % nodes);
            for row in 0..count {
                let back = (row + (lobes - lobe) * nodes) % count;
                all[(row, column)] = first_lobe[(back, node)];
            }
        }
        all.columns_mut(count, others.ncols()).copy_from(others);
        all
    }

    /// Smooth displacement along the inward normal at lobe nodes and holes, rows of waves left empty.
    fn rows(&self, nodes: &[(bool, usize)], lobes: &DMatrix<f64>, inner: &DMatrix<f64>) -> DMatrix<f64> {
        let count = nodes.len() + self.waves.ncols();
        let mut rows = DMatrix::zeros(count, count);
        rows.view_mut((0, 0), lobes.shape()).copy_from(lobes);
        let points: Vec<_> = self.inner_points().collect();
        for column in 0..count {
            for (row, &(_, index)) in nodes.iter().enumerate().skip(lobes.nrows()) {
                let inward = -points[index].normal;
                rows[(row, column)] =
                    inward.x * inner[(2 * index, column)] + inward.y * inner[(2 * index + 1, column)];
            }
        }
        rows
    }

    /// Adds the singular part, the depth that the contact law takes over, and the frame of the bore.
    fn finish(
        &self,
        nodes: &[(bool, usize)],
        loads: &Loads,
        inner: &DMatrix<f64>,
        coefficients: &mut DMatrix<f64>,
    ) {
        *coefficients += &loads.singular;
        for (place, &(is_lobe, _)) in nodes.iter().enumerate() {
            let depth = if is_lobe { self.shape.lobe_depth_mm } else { self.shape.hole_depth_mm };
            coefficients[(place, place)] += datum(self.material, depth);
        }
        if self.support == BoreSupport::Clamped {
            return;
        }
        let (count, first) = (coefficients.ncols(), nodes.len());
        let mut bore = inner.rows(self.bore_row(), 2 * self.resolution.bore_points).into_owned();
        bore += &loads.singular_bore;
        bore *= self.bore().points[0].weight_mm;
        let mean = product(&self.bearing.transpose(), &bore);
        let waves = product(&self.waves.transpose(), &bore);
        coefficients.view_mut((first, 0), (waves.nrows(), count)).copy_from(&waves);
        for (index, wave) in bore::wave_numbers(self.resolution.highest_wave()).enumerate() {
            coefficients[(first + index, first + index)] -= bore::endless_mm2_per_n(wave, self.material);
        }
        let twist = self.twist_of_frame();
        for (row, &node) in nodes.iter().enumerate() {
            let resultant = self.resultant(node);
            for column in 0..count {
                coefficients[(row, column)] -=
                    (0..3).map(|axis| resultant[axis] * mean[(axis, column)]).sum::<f64>();
            }
            for (column, &other) in nodes.iter().enumerate() {
                coefficients[(row, column)] -= twist * resultant.z * self.resultant(other).z;
            }
        }
    }

    /// Rotation per moment by which displacements are counted from a circle in the wall beside the bore, not from the bore.
    ///
    /// ```text
    /// (1/a² − 1/ρ²)/(4πμ)
    /// ```
    /// is the twist of an endless plate between radii a and ρ under a moment. All contacts together have no moment, so it drops
    /// out; but with a small bore it would leave differences of large numbers.
    fn twist_of_frame(&self) -> f64 {
        let bore = self.shape.bore_radius_mm;
        let beside = bore + 0.5 * self.wall_beside_bore_mm;
        let between = 1.0 / math::square(bore) - 1.0 / math::square(beside);
        between / (4.0 * PI * self.material.shear_modulus_mpa)
    }

    fn symmetric(&self, coefficients: DMatrix<f64>) -> InfluenceTable {
        let largest = coefficients.amax();
        let transposed = coefficients.transpose();
        let asymmetry = (&coefficients - &transposed).amax() / largest;
        InfluenceTable {
            lobe_count: self.shape.lobe_count,
            lobe_nodes: self.resolution.lobe_nodes,
            valley_crowding: self.shape.valley_crowding,
            hole_count: self.shape.hole_count,
            hole_nodes: self.resolution.hole_points,
            highest_wave: bore::highest_wave(self.waves.ncols()),
            coefficients: (coefficients + transposed) * 0.5,
            asymmetry,
        }
    }

    /// Force (x, y) and moment about the centre of a unit load at a node.
    fn resultant(&self, (is_lobe, index): (bool, usize)) -> Vector3<f64> {
        let point = self.point(is_lobe, index);
        let force = -point.normal;
        Vector3::new(force.x, force.y, cross(point.place_mm, force))
    }

    fn point(&self, is_lobe: bool, index: usize) -> &BoundaryPoint {
        if is_lobe {
            &self.outline.points[index]
        } else {
            let count = self.resolution.hole_points;
            &self.inner[index / count].points[index % count]
        }
    }

    fn loads(&self, nodes: &[(bool, usize)]) -> Loads {
        let (lobe_nodes, count) = (self.lobe_node_count(), nodes.len() + self.waves.ncols());
        let outline_size = 2 * self.outline.points.len();
        let mut loads = Loads {
            on_first_lobe: DMatrix::zeros(outline_size, self.resolution.lobe_nodes),
            on_holes: DMatrix::zeros(outline_size, count - lobe_nodes),
            inner: DMatrix::zeros(self.inner_size(), count),
            singular: DMatrix::zeros(count, count),
            singular_bore: DMatrix::zeros(2 * self.resolution.bore_points, count),
        };
        let mut lobes = DMatrix::zeros(lobe_nodes, self.resolution.lobe_nodes);
        let mut others = DMatrix::zeros(lobe_nodes, count - lobe_nodes);
        for (column, &node) in nodes.iter().enumerate() {
            let load = self.point_load(node);
            if column < self.resolution.lobe_nodes {
                self.load_on_outline(&load, Some(node.1), column, &mut loads.on_first_lobe, &mut lobes);
            } else if !node.0 {
                let column = column - lobe_nodes;
                self.load_on_outline(&load, None, column, &mut loads.on_holes, &mut others);
            }
            self.load_inside(&load, node, column, &mut loads);
        }
        let lobe_rows = self.turned_copies(&lobes, &others);
        loads.singular.view_mut((0, 0), lobe_rows.shape()).copy_from(&lobe_rows);
        loads.inner.view_mut((self.bore_row(), nodes.len()), self.waves.shape()).copy_from(&self.waves);
        loads
    }

    fn point_load(&self, (is_lobe, index): (bool, usize)) -> PointLoad {
        let point = self.point(is_lobe, index);
        let radius = if is_lobe { self.shape.roller_radius_mm } else { self.shape.hole_radius_mm };
        PointLoad::new(point.place_mm, point.normal, radius, self.material)
    }

    /// What a load does to the outline: tractions to cancel, and displacements at the lobe nodes.
    fn load_on_outline(
        &self,
        load: &PointLoad,
        own: Option<usize>,
        column: usize,
        tractions: &mut DMatrix<f64>,
        displacements: &mut DMatrix<f64>,
    ) {
        let stride = self.resolution.lobe_points / self.resolution.lobe_nodes;
        for (index, point) in self.outline.points.iter().enumerate() {
            let field = if own == Some(index) { load.at_load() } else { load.at(point.place_mm) };
            let turn = lobe_rotation(index / self.resolution.lobe_points, self.shape.lobe_count);
            set_pair(tractions, 2 * index, column, turn.transpose() * -field.traction(point.normal));
            if index % stride == 0 {
                displacements[(index / stride, column)] = -point.normal.dot(&field.displacement);
            }
        }
    }

    /// What a load does to the inner boundaries; the bearing answers its force and moment.
    fn load_inside(&self, load: &PointLoad, node: (bool, usize), column: usize, loads: &mut Loads) {
        let (lobe_nodes, hole_points) = (self.lobe_node_count(), self.bore_row() / 2);
        for (index, point) in self.inner_points().enumerate() {
            let field = if node == (false, index) { load.at_load() } else { load.at(point.place_mm) };
            let mut data = -field.traction(point.normal);
            if index < hole_points {
                loads.singular[(lobe_nodes + index, column)] = -point.normal.dot(&field.displacement);
            } else {
                set_pair(&mut loads.singular_bore, 2 * (index - hole_points), column, field.displacement);
                if self.support == BoreSupport::Clamped {
                    data = -field.displacement;
                }
            }
            set_pair(&mut loads.inner, 2 * index, column, data);
        }
        if self.support == BoreSupport::Bearing {
            let answer = &self.bearing * self.resultant(node);
            let mut rows = loads.inner.view_mut((self.bore_row(), column), (answer.nrows(), 1));
            rows -= answer;
        }
    }

    /// Columns of the inner unknowns, then of the rigid shift, and of the inner data, in the outline's rows.
    fn inner_on_outline(&self, operator: &OutlineOperator) -> (DMatrix<f64>, DMatrix<f64>) {
        let (rows, columns) = (operator.size(), self.inner_size());
        let mut unknowns = DMatrix::zeros(rows, columns + 3);
        let mut data = DMatrix::zeros(rows, columns);
        let mut first = 0;
        for (index, boundary) in self.inner.iter().enumerate() {
            let clamped = self.clamped(index);
            for field in 0..boundary.points.len() {
                for source in 0..self.outline.points.len() {
                    let turn = lobe_rotation(source / self.resolution.lobe_points, self.shape.lobe_count)
                        .transpose();
                    let influence = self.kernel.across(&self.outline, boundary, source, field);
                    let (unknown, known) = sides(&influence, clamped);
                    set_block(&mut unknowns, 2 * source, first + 2 * field, &(turn * unknown));
                    set_block(&mut data, 2 * source, first + 2 * field, &(turn * known));
                }
            }
            first += 2 * boundary.points.len();
        }
        unknowns.columns_mut(columns, 3).copy_from(&-&operator.rigid);
        if self.support == BoreSupport::Bearing {
            self.hold_bore(&operator.rigid, &mut unknowns);
        }
        (unknowns, data)
    }

    /// Columns of the outline's displacements and tractions, in the rows of the inner boundaries and of the rigid shift.
    fn outline_on_inner(&self, operator: &OutlineOperator) -> (DMatrix<f64>, DMatrix<f64>) {
        let (rows, columns) = (self.inner_size(), operator.size());
        let mut displacement = DMatrix::zeros(rows + 3, columns);
        let mut traction = DMatrix::zeros(rows + 3, columns);
        for field in 0..self.outline.points.len() {
            let turn = lobe_rotation(field / self.resolution.lobe_points, self.shape.lobe_count);
            let mut first = 0;
            for boundary in &self.inner {
                for source in 0..boundary.points.len() {
                    let influence = self.kernel.across(boundary, &self.outline, source, field);
                    let row = first + 2 * source;
                    set_block(&mut displacement, row, 2 * field, &(influence.of_displacement * turn));
                    set_block(&mut traction, row, 2 * field, &(influence.of_traction * turn));
                }
                first += 2 * boundary.points.len();
            }
        }
        displacement.rows_mut(rows, 3).copy_from(&operator.rigid.transpose());
        (displacement, traction)
    }

    /// Inner unknowns and data in the rows of the inner boundaries, and the rows of the rigid shift.
    fn inner_on_inner(&self) -> (DMatrix<f64>, DMatrix<f64>) {
        let size = self.inner_size();
        let mut unknowns = DMatrix::zeros(size + 3, size + 3);
        let mut data = DMatrix::zeros(size + 3, size);
        let mut row = 0;
        for (to, target) in self.inner.iter().enumerate() {
            let weights = logarithm_weights(target.points.len());
            let mut column = 0;
            for (from, boundary) in self.inner.iter().enumerate() {
                for source in 0..target.points.len() {
                    for field in 0..boundary.points.len() {
                        let mut influence = if from == to {
                            self.kernel.within(boundary, &weights, source, field)
                        } else {
                            self.kernel.across(target, boundary, source, field)
                        };
                        if from == to && source == field {
                            influence.of_displacement += Matrix2::identity() * 0.5;
                        }
                        let (unknown, known) = sides(&influence, self.clamped(from));
                        set_block(&mut unknowns, row + 2 * source, column + 2 * field, &unknown);
                        set_block(&mut data, row + 2 * source, column + 2 * field, &known);
                    }
                }
                column += 2 * boundary.points.len();
            }
            row += 2 * target.points.len();
        }
        for axis in 0..3 {
            unknowns[(size + axis, size + axis)] = -1.0;
        }
        (unknowns, data)
    }

    /// Shear modulus where an inner boundary is the clamped bore.
    fn clamped(&self, inner: usize) -> Option<f64> {
        let is_clamped = inner == self.shape.hole_count && self.support == BoreSupport::Clamped;
        is_clamped.then_some(self.material.shear_modulus_mpa)
    }

    /// Loads are balanced, so the body may be held anyhow: the mean motion of the bore is made to vanish nearly.
    ///
    /// The shift must stand in the rows of the outline: the equations of the inner boundaries are met by
    /// any rigid motion for any loads, balanced or not.
    fn hold_bore(&self, rigid: &DMatrix<f64>, unknowns: &mut DMatrix<f64>) {
        let even = 1.0 / (self.resolution.bore_points as f64).sqrt();
        let mut motions = DMatrix::zeros(3, 2 * self.resolution.bore_points);
        for (index, point) in self.bore().points.iter().enumerate() {
            let around = turned_left(-point.normal) * even;
            motions[(0, 2 * index)] = even;
            motions[(1, 2 * index + 1)] = even;
            motions[(2, 2 * index)] = around.x;
            motions[(2, 2 * index + 1)] = around.y;
        }
        let shift = product(rigid, &motions);
        let mut columns = unknowns.columns_mut(self.bore_row(), motions.ncols());
        columns += shift;
    }
}

/// Displacement at the reference depth below a unit load, counted as [`PointLoad`] counts it.
///
/// ```text
/// (κ + 1)/(4πμ) [(1 + k)/2 − ln d] − 1/(4πμ),   k = ν/(1 − ν)
/// ```
/// **Source** Derivation 7, §5.
fn datum(material: &PlaneMaterial, depth_mm: f64) -> f64 {
    material.surface_compliance_mm2_per_n() * (0.5 * (1.0 + material.lateral()) - math::ln(depth_mm))
        - 1.0 / (4.0 * PI * material.shear_modulus_mpa)
}

/// Influence of what is unknown on a boundary, and of what is known: tractions are known unless it is clamped.
///
/// Unknown tractions are counted in units of the shear modulus, for the sake of pivots.
fn sides(influence: &Influence, clamped_modulus_mpa: Option<f64>) -> (Matrix2<f64>, Matrix2<f64>) {
    match clamped_modulus_mpa {
        Some(modulus_mpa) => (-influence.of_traction * modulus_mpa, -influence.of_displacement),
        None => (influence.of_displacement, influence.of_traction),
    }
}

fn set_block(matrix: &mut DMatrix<f64>, row: usize, column: usize, block: &Matrix2<f64>) {
    matrix.fixed_view_mut::<2, 2>(row, column).copy_from(block);
}

fn set_pair(matrix: &mut DMatrix<f64>, row: usize, column: usize, pair: Vector) {
    matrix[(row, column)] = pair.x;
    matrix[(row + 1, column)] = pair.y;
}
