//! The outline's own influence on itself, solved lobe harmonic by lobe harmonic.
//!
//! All lobes are alike, so in frames that turn with the lobes the influence of one lobe on another depends on
//! their distance alone: the matrix is block-circulant, and a discrete Fourier transform over the lobes
//! splits it into one small system per harmonic. A plate without holes can move rigidly, which leaves three zero
//! eigenvalues; they are shifted by one and the shift is undone by whoever uses the solution. Source: Derivation 7, §4.

use super::boundary::Boundary;
use super::dense::{Lu, SingularMatrix, product};
use super::kernel::{Kernel, logarithm_weights};
use curves::math;
use curves::point::{turned_left, unit};
use nalgebra::{DMatrix, Matrix2};
use std::f64::consts::TAU;

/// Outline of alike lobes: tractions to displacements.
pub struct OutlineOperator {
    lobe_count: usize,
    /// Rows of one lobe: two for each point.
    block: usize,
    /// Forward transform, cosines and sines of harmonic h in columns 2h and 2h + 1.
    forward: DMatrix<f64>,
    backward: DMatrix<f64>,
    /// Inverse of the shifted influence of displacements, as a real block per harmonic, factored.
    factors: Vec<Lu>,
    /// Influence of tractions, as a real block per harmonic.
    tractions: Vec<DMatrix<f64>>,
    /// Rigid motions of unit length in the frames of the lobes.
    pub rigid: DMatrix<f64>,
}

/// Rotation from the frame of a lobe to that of the disc.
#[must_use]
pub fn lobe_rotation(lobe: usize, lobe_count: usize) -> Matrix2<f64> {
    let direction = unit(TAU * lobe as f64 / lobe_count as f64);
    Matrix2::new(direction.x, -direction.y, direction.y, direction.x)
}

/// Matrix of a complex block in real numbers, real parts first.
fn real_block(real: &DMatrix<f64>, imaginary: &DMatrix<f64>) -> DMatrix<f64> {
    let size = real.nrows();
    DMatrix::from_fn(2 * size, 2 * size, |row, column| match (row < size, column < size) {
        (true, true) => real[(row, column)],
        (true, false) => -imaginary[(row, column - size)],
        (false, true) => imaginary[(row - size, column)],
        (false, false) => real[(row - size, column - size)],
    })
}

impl OutlineOperator {
    /// Influence of an outline of `lobe_count` alike lobes on itself.
    ///
    /// # Errors
    /// [`SingularMatrix`] where the points do not describe an outline.
    pub fn new(outline: &Boundary, lobe_count: usize, kernel: &Kernel) -> Result<Self, SingularMatrix> {
        let points = outline.points.len() / lobe_count;
        let block = 2 * points;
        let weights = logarithm_weights(outline.points.len());
        let [displacement, traction] = first_lobe(outline, lobe_count, kernel, &weights);
        let rigid = rigid_motions(outline, lobe_count);
        let harmonics = lobe_count / 2 + 1;
        let (forward, backward) = transforms(lobe_count, harmonics);
        let mut factors = Vec::with_capacity(harmonics);
        let mut tractions = Vec::with_capacity(harmonics);
        for harmonic in 0..harmonics {
            let mut real = harmonic_part(&displacement, lobe_count, harmonic, false);
            let mut imaginary = harmonic_part(&displacement, lobe_count, harmonic, true);
            for row in 0..block {
                real[(row, row)] += 0.5;
            }
            shift_rigid(&mut real, &mut imaginary, harmonic, &rigid, lobe_count);
            factors.push(Lu::of(real_block(&real, &imaginary))?);
            tractions.push(real_block(
                &harmonic_part(&traction, lobe_count, harmonic, false),
                &harmonic_part(&traction, lobe_count, harmonic, true),
            ));
        }
        Ok(Self { lobe_count, block, forward, backward, factors, tractions, rigid })
    }

    /// Rows of the outline: two for each point.
    #[must_use]
    pub fn size(&self) -> usize {
        self.block * self.lobe_count
    }

    /// ∫ U t along the outline for columns of tractions, in the frames of the lobes.
    #[must_use]
    pub fn influence_of_tractions(&self, columns: &DMatrix<f64>) -> DMatrix<f64> {
        self.by_harmonic(columns, |harmonic, part| *part = product(&self.tractions[harmonic], part))
    }

    /// Solution of (½ + ∫ T + shift) u = b for columns, in the frames of the lobes.
    #[must_use]
    pub fn solve(&self, columns: &DMatrix<f64>) -> DMatrix<f64> {
        self.by_harmonic(columns, |harmonic, part| self.factors[harmonic].solve(part))
    }

    /// Columns in the frames of the lobes, transformed over the lobes: real parts above imaginary ones, per harmonic.
    fn transformed(&self, columns: &DMatrix<f64>) -> Vec<DMatrix<f64>> {
        let (block, lobes, count) = (self.block, self.lobe_count, columns.ncols());
        let mut parts = vec![DMatrix::zeros(2 * block, count); self.factors.len()];
        for column in 0..count {
            let lobes_apart = DMatrix::from_column_slice(block, lobes, columns.column(column).as_slice());
            let transformed = product(&lobes_apart, &self.forward);
            for (harmonic, part) in parts.iter_mut().enumerate() {
                let mut target = part.column_mut(column);
                target.rows_mut(0, block).copy_from(&transformed.column(2 * harmonic));
                target.rows_mut(block, block).copy_from(&transformed.column(2 * harmonic + 1));
            }
        }
        parts
    }

    fn by_harmonic(&self, columns: &DMatrix<f64>, apply: impl Fn(usize, &mut DMatrix<f64>)) -> DMatrix<f64> {
        let (block, lobes, count) = (self.block, self.lobe_count, columns.ncols());
        let mut parts = self.transformed(columns);
        for (harmonic, part) in parts.iter_mut().enumerate() {
            apply(harmonic, part);
        }
        let mut result = DMatrix::zeros(block * lobes, count);
        let mut gathered = DMatrix::zeros(block, 2 * parts.len());
        for column in 0..count {
            for (harmonic, part) in parts.iter().enumerate() {
                let source = part.column(column);
                gathered.column_mut(2 * harmonic).copy_from(&source.rows(0, block));
                gathered.column_mut(2 * harmonic + 1).copy_from(&source.rows(block, block));
            }
            let back = product(&gathered, &self.backward);
            result.column_mut(column).copy_from_slice(back.as_slice());
        }
        result
    }

    /// `rows · column` for every column turned to every lobe, summed over the pairs given: `rows` are given as columns of
    /// the outline's size, `columns` belong to the first lobe. Result columns run over the columns within each lobe.
    #[must_use]
    pub fn products_with_turned(&self, pairs: [(&DMatrix<f64>, &DMatrix<f64>, f64); 2]) -> DMatrix<f64> {
        let (rows, columns) = (pairs[0].0.ncols(), pairs[0].1.ncols());
        let harmonics = self.factors.len();
        let mut sums = DMatrix::zeros(rows * columns, 2 * harmonics);
        for (left, right, sign) in pairs {
            let left = self.transformed(left);
            let right = self.transformed(right);
            for (harmonic, (left, right)) in left.iter().zip(&right).enumerate() {
                let (upper, lower) = (right.rows(0, self.block), right.rows(self.block, self.block));
                let mut swapped = right.clone();
                swapped.rows_mut(0, self.block).copy_from(&lower);
                swapped.rows_mut(self.block, self.block).copy_from(&-upper);
                let transposed = left.transpose();
                for (part, right) in [right, &swapped].into_iter().enumerate() {
                    let mut value = product(&transposed, right);
                    value *= sign;
                    let mut target = sums.column_mut(2 * harmonic + part);
                    for (target, value) in target.iter_mut().zip(value.as_slice()) {
                        *target += value;
                    }
                }
            }
        }
        let lobes = self.lobe_count;
        let back = DMatrix::from_fn(2 * harmonics, lobes, |row, lobe| {
            let sign = if row % 2 == 0 { 1.0 } else { -1.0 };
            sign * self.backward[(row, lobe)] * lobes as f64
        });
        let by_lobe = product(&sums, &back);
        DMatrix::from_column_slice(rows, columns * lobes, by_lobe.as_slice())
    }
}

/// Influence of displacements and of tractions on the points of the first lobe, columns in the frames of the lobes.
fn first_lobe(outline: &Boundary, lobe_count: usize, kernel: &Kernel, weights: &[f64]) -> [DMatrix<f64>; 2] {
    let count = outline.points.len();
    let points = count / lobe_count;
    let mut displacement = DMatrix::zeros(2 * points, 2 * count);
    let mut traction = displacement.clone();
    for field in 0..count {
        let turn = lobe_rotation(field / points, lobe_count);
        for source in 0..points {
            let influence = kernel.within(outline, weights, source, field);
            let place = (2 * source, 2 * field);
            displacement
                .fixed_view_mut::<2, 2>(place.0, place.1)
                .copy_from(&(influence.of_displacement * turn));
            traction.fixed_view_mut::<2, 2>(place.0, place.1).copy_from(&(influence.of_traction * turn));
        }
    }
    [displacement, traction]
}

/// Σ_d A_d cos(2π h d/z), or the sum of sines.
fn harmonic_part(blocks: &DMatrix<f64>, lobe_count: usize, harmonic: usize, imaginary: bool) -> DMatrix<f64> {
    let size = blocks.nrows();
    let mut sum = DMatrix::zeros(size, size);
    for lobe in 0..lobe_count {
        let (sine, cosine) = math::sin_cos(TAU * ((harmonic * lobe) % lobe_count) as f64 / lobe_count as f64);
        sum += blocks.columns(lobe * size, size) * if imaginary { sine } else { cosine };
    }
    sum
}

/// Translations and rotation of unit length in the frames of the lobes.
fn rigid_motions(outline: &Boundary, lobe_count: usize) -> DMatrix<f64> {
    let count = outline.points.len();
    let points = count / lobe_count;
    let arms: f64 = outline.points.iter().map(|point| point.place_mm.norm_squared()).sum();
    let (even, turn) = (1.0 / (count as f64).sqrt(), 1.0 / arms.sqrt());
    let mut motions = DMatrix::zeros(2 * count, 3);
    for (index, point) in outline.points.iter().enumerate() {
        let back = lobe_rotation(index / points, lobe_count).transpose();
        let local = back * turned_left(point.place_mm) * turn;
        for axis in 0..2 {
            motions[(2 * index + axis, 0)] = back[(axis, 0)] * even;
            motions[(2 * index + axis, 1)] = back[(axis, 1)] * even;
            motions[(2 * index + axis, 2)] = local[axis];
        }
    }
    motions
}

/// Adds the projection on the rigid motions: rotation is the same in every lobe, a translation is harmonic one.
fn shift_rigid(
    real: &mut DMatrix<f64>,
    imaginary: &mut DMatrix<f64>,
    harmonic: usize,
    rigid: &DMatrix<f64>,
    lobe_count: usize,
) {
    let size = real.nrows();
    if harmonic == 0 {
        let rotation = rigid.view((0, 2), (size, 1)).into_owned();
        *real += product(&rotation, &rotation.transpose()) * lobe_count as f64;
    } else if harmonic == 1 {
        let share = 1.0 / size as f64;
        for row in 0..size {
            for column in 0..size {
                match (row % 2, column % 2) {
                    (0, 0) | (1, 1) => real[(row, column)] += share,
                    (0, _) => imaginary[(row, column)] -= share,
                    _ => imaginary[(row, column)] += share,
                }
            }
        }
    }
}

/// Transform over the lobes and back, in real numbers.
fn transforms(lobe_count: usize, harmonics: usize) -> (DMatrix<f64>, DMatrix<f64>) {
    let angle = |harmonic: usize, lobe: usize| {
        math::sin_cos(TAU * ((harmonic * lobe) % lobe_count) as f64 / lobe_count as f64)
    };
    let share = 1.0 / lobe_count as f64;
    let forward = DMatrix::from_fn(lobe_count, 2 * harmonics, |lobe, column| {
        let (sine, cosine) = angle(column / 2, lobe);
        if column % 2 == 0 { cosine * share } else { -sine * share }
    });
    let backward = DMatrix::from_fn(2 * harmonics, lobe_count, |row, lobe| {
        let harmonic = row / 2;
        let pair = if harmonic == 0 || 2 * harmonic == lobe_count { 1.0 } else { 2.0 };
        let (sine, cosine) = angle(harmonic, lobe);
        if row % 2 == 0 { cosine * pair } else { -sine * pair }
    });
    (forward, backward)
}
