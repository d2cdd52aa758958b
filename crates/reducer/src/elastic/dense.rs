//! Products and LU factors of dense matrices whose bits do not depend on the machine or on the thread count.
//!
//! General-purpose libraries pick instructions by what the processor offers, and so round differently on
//! each. Here every entry is one sum in a fixed order; threads share out columns.

use nalgebra::DMatrix;

/// Columns of a panel.
const PANEL: usize = 48;
/// Rows treated together, so that four columns of them stay in the nearest cache.
const ROW_BLOCK: usize = 256;
/// Multiplications below which a second thread costs more than it brings.
const SMALL_WORK: usize = 1 << 20;

/// C + sign · A B, in place.
pub fn add_product(c: &mut DMatrix<f64>, sign: f64, a: &DMatrix<f64>, b: &DMatrix<f64>) {
    assert_eq!((a.nrows(), b.ncols(), a.ncols()), (c.nrows(), c.ncols(), b.nrows()), "shapes must fit");
    let shape = Shape { rows: a.nrows(), inner: a.ncols(), a_stride: a.nrows(), b_stride: b.nrows() };
    let rows = a.nrows();
    share_columns(c.as_mut_slice(), rows, b.ncols(), shape.inner, |columns, first| {
        shape.add(columns, rows, 0, sign, a.as_slice(), &b.as_slice()[first * shape.b_stride..]);
    });
}

/// A B.
#[must_use]
pub fn product(a: &DMatrix<f64>, b: &DMatrix<f64>) -> DMatrix<f64> {
    let mut c = DMatrix::zeros(a.nrows(), b.ncols());
    add_product(&mut c, 1.0, a, b);
    c
}

/// Hands the columns of a matrix to two threads where the work is worth it.
fn share_columns(
    values: &mut [f64],
    stride: usize,
    column_count: usize,
    work_per_entry: usize,
    task: impl Fn(&mut [f64], usize) + Sync,
) {
    if values.is_empty() {
        return;
    }
    let half = column_count / 2;
    if half == 0 || values.len() * work_per_entry < SMALL_WORK {
        task(values, 0);
        return;
    }
    let (left, right) = values.split_at_mut(half * stride);
    std::thread::scope(|scope| {
        scope.spawn(|| task(right, half));
        task(left, 0);
    });
}

/// What a product needs to know of the operands' layout, columns one after the other.
#[derive(Clone, Copy)]
struct Shape {
    rows: usize,
    inner: usize,
    a_stride: usize,
    b_stride: usize,
}

impl Shape {
    /// Adds sign · A B to the rows of C from `first_row` on.
    fn add(&self, c: &mut [f64], c_stride: usize, first_row: usize, sign: f64, a: &[f64], b: &[f64]) {
        for from in (0..self.rows).step_by(ROW_BLOCK) {
            let to = (from + ROW_BLOCK).min(self.rows);
            for (index, columns) in c.chunks_mut(4 * c_stride).enumerate() {
                let b = &b[4 * index * self.b_stride..];
                if columns.len() >= 3 * c_stride + first_row + self.rows {
                    let (c0, rest) = columns.split_at_mut(c_stride);
                    let (c1, rest) = rest.split_at_mut(c_stride);
                    let (c2, c3) = rest.split_at_mut(c_stride);
                    let range = first_row + from..first_row + to;
                    let four = [
                        &mut c0[range.clone()],
                        &mut c1[range.clone()],
                        &mut c2[range.clone()],
                        &mut c3[range],
                    ];
                    self.four_columns(four, sign, &a[from..], b);
                } else {
                    for (place, column) in columns.chunks_mut(c_stride).enumerate() {
                        let b = &b[place * self.b_stride..];
                        let column = &mut column[first_row + from..first_row + to];
                        for k in 0..self.inner {
                            let factor = sign * b[k];
                            let a = &a[k * self.a_stride + from..];
                            for (c, a) in column.iter_mut().zip(a) {
                                *c += factor * a;
                            }
                        }
                    }
                }
            }
        }
    }

    /// Four columns at once, two steps of the inner sum at a time: each entry is still summed in order.
    fn four_columns(&self, c: [&mut [f64]; 4], sign: f64, a: &[f64], b: &[f64]) {
        let [c0, c1, c2, c3] = c;
        let count = c0.len();
        let mut k = 0;
        while k < self.inner {
            let pair = k + 1 < self.inner;
            let factor = |column: usize, k: usize| sign * b[column * self.b_stride + k];
            let x = &a[k * self.a_stride..][..count];
            let f = [factor(0, k), factor(1, k), factor(2, k), factor(3, k)];
            if pair {
                let y = &a[(k + 1) * self.a_stride..][..count];
                let g = [factor(0, k + 1), factor(1, k + 1), factor(2, k + 1), factor(3, k + 1)];
                let (c1, c2, c3) = (&mut c1[..count], &mut c2[..count], &mut c3[..count]);
                for i in 0..count {
                    c0[i] = c0[i] + f[0] * x[i] + g[0] * y[i];
                    c1[i] = c1[i] + f[1] * x[i] + g[1] * y[i];
                    c2[i] = c2[i] + f[2] * x[i] + g[2] * y[i];
                    c3[i] = c3[i] + f[3] * x[i] + g[3] * y[i];
                }
            } else {
                let (c1, c2, c3) = (&mut c1[..count], &mut c2[..count], &mut c3[..count]);
                for i in 0..count {
                    c0[i] += f[0] * x[i];
                    c1[i] += f[1] * x[i];
                    c2[i] += f[2] * x[i];
                    c3[i] += f[3] * x[i];
                }
            }
            k += 2;
        }
    }
}

/// LU factors with row exchanges of a square matrix.
#[derive(Clone, Debug)]
pub struct Lu {
    factors: DMatrix<f64>,
    /// Row that each step exchanged with its own.
    exchanges: Vec<usize>,
}

/// A matrix has no inverse.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("matrix of influence coefficients has no inverse: pivot {pivot} of {size} is zero")]
pub struct SingularMatrix {
    /// Step at which no pivot was left.
    pub pivot: usize,
    /// Rows of the matrix.
    pub size: usize,
}

impl Lu {
    /// Factors a matrix.
    ///
    /// # Errors
    /// [`SingularMatrix`] where a column has no pivot.
    pub fn of(mut matrix: DMatrix<f64>) -> Result<Self, SingularMatrix> {
        let size = matrix.nrows();
        let mut exchanges = vec![0; size];
        for start in (0..size).step_by(PANEL) {
            let end = (start + PANEL).min(size);
            factor_panel(&mut matrix, start, end, &mut exchanges)?;
            let (left, right) = matrix.as_mut_slice().split_at_mut(end * size);
            let panel = &left[start * size..];
            share_columns(right, size, size - end, size * PANEL / 2, |columns, _| {
                eliminate(columns, size, panel, start, end);
            });
        }
        Ok(Self { factors: matrix, exchanges })
    }

    /// Replaces each column of B by the solution of A x = b.
    pub fn solve(&self, b: &mut DMatrix<f64>) {
        let size = self.factors.nrows();
        let columns = b.ncols();
        share_columns(b.as_mut_slice(), size, columns, size, |part, _| {
            for column in part.chunks_mut(size) {
                for (row, &other) in self.exchanges.iter().enumerate() {
                    column.swap(row, other);
                }
            }
            for start in (0..size).step_by(PANEL) {
                let end = (start + PANEL).min(size);
                eliminate(part, size, &self.factors.as_slice()[start * size..], start, end);
            }
            for start in (0..size).step_by(PANEL).rev() {
                let end = (start + PANEL).min(size);
                self.back_substitute(part, start, end);
            }
        });
    }

    fn back_substitute(&self, part: &mut [f64], start: usize, end: usize) {
        let size = self.factors.nrows();
        let factors = self.factors.as_slice();
        let width = end - start;
        let mut solved = Vec::with_capacity(width * part.len() / size);
        for column in part.chunks_mut(size) {
            for row in (start..end).rev() {
                let value = column[row] / factors[row * size + row];
                column[row] = value;
                for above in start..row {
                    column[above] -= value * factors[row * size + above];
                }
            }
            solved.extend_from_slice(&column[start..end]);
        }
        let shape = Shape { rows: start, inner: width, a_stride: size, b_stride: width };
        if start > 0 {
            shape.add(part, size, 0, -1.0, &factors[start * size..], &solved);
        }
    }
}

/// Gaussian elimination within columns `start..end`, exchanging whole rows.
fn factor_panel(
    matrix: &mut DMatrix<f64>,
    start: usize,
    end: usize,
    exchanges: &mut [usize],
) -> Result<(), SingularMatrix> {
    let size = matrix.nrows();
    for step in start..end {
        let column = &matrix.as_slice()[step * size..(step + 1) * size];
        let mut pivot = step;
        for row in step + 1..size {
            if column[row].abs() > column[pivot].abs() {
                pivot = row;
            }
        }
        if column[pivot] == 0.0 || !column[pivot].is_finite() {
            return Err(SingularMatrix { pivot: step, size });
        }
        exchanges[step] = pivot;
        if pivot != step {
            matrix.swap_rows(step, pivot);
        }
        let (left, right) = matrix.as_mut_slice().split_at_mut((step + 1) * size);
        let own = &mut left[step * size..];
        let inverse = 1.0 / own[step];
        for value in &mut own[step + 1..] {
            *value *= inverse;
        }
        for column in right.chunks_mut(size).take(end - step - 1) {
            let factor = column[step];
            for (value, own) in column[step + 1..].iter_mut().zip(&own[step + 1..]) {
                *value -= factor * own;
            }
        }
    }
    Ok(())
}

/// Applies a panel of L, stored from its first column on, to columns: rows `start..end` are solved, those below reduced.
fn eliminate(columns: &mut [f64], size: usize, panel: &[f64], start: usize, end: usize) {
    let width = end - start;
    let mut solved = Vec::with_capacity(width * columns.len() / size);
    for column in columns.chunks_mut(size) {
        for row in start..end {
            let value = column[row];
            for below in row + 1..end {
                column[below] -= value * panel[(row - start) * size + below];
            }
        }
        solved.extend_from_slice(&column[start..end]);
    }
    if end < size {
        let shape = Shape { rows: size - end, inner: width, a_stride: size, b_stride: width };
        shape.add(columns, size, end, -1.0, &panel[end..], &solved);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(rows: usize, columns: usize, seed: u64) -> DMatrix<f64> {
        let mut state = seed;
        DMatrix::from_fn(rows, columns, |_, _| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
        })
    }

    #[test]
    fn independent_product_agrees_with_plain_sums() {
        for (rows, inner, columns) in [(1, 1, 1), (5, 7, 3), (300, 51, 22), (257, 130, 66)] {
            let (a, b) = (sample(rows, inner, 1), sample(inner, columns, 2));
            let c = product(&a, &b);
            let plain = DMatrix::from_fn(rows, columns, |i, j| {
                (0..inner).map(|k| a[(i, k)] * b[(k, j)]).sum::<f64>()
            });
            assert!((c - plain).amax() < 1e-13 * inner as f64);
        }
    }

    #[test]
    fn identity_factors_solve_their_own_system() {
        for size in [1, 2, 47, 48, 49, 200, 331] {
            let matrix = sample(size, size, 3);
            let expected = sample(size, 37, 4);
            let mut answer = product(&matrix, &expected);
            Lu::of(matrix).unwrap().solve(&mut answer);
            assert!((answer - expected).amax() < 1e-9, "{size}");
        }
    }

    #[test]
    fn identity_singular_matrix_is_refused() {
        let matrix = DMatrix::from_row_slice(2, 2, &[1.0, 2.0, 0.0, 0.0]);
        assert_eq!(Lu::of(matrix).unwrap_err(), SingularMatrix { pivot: 1, size: 2 });
    }
}
