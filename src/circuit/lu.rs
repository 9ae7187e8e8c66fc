//! Dense LU with partial pivoting, the textbook one (Golub & Van Loan, *Matrix Computations*, algorithm 3.4.1,
//! from memory), row by row in one flat vector.
//!
//! A kitchen machine has 10 to 60 points; at that size what a general library adds around the sum (blocking, dispatch,
//! a permutation object) costs as much as the sum. Measured on one machine in one run, factor and one solve of a random
//! grounded network, in µs real / complex:
//!
//! | points | by hand | nalgebra 0.34 | faer 0.24 |
//! |---|---|---|---|
//! | 10 | 0.33 / 0.80 | 0.55 / 1.3 | 1.5 / 1.4 |
//! | 20 | 1.2 / 2.9 | 1.4 / 4.7 | 3.5 / 5.3 |
//! | 40 | 5.4 / 15 | 6.3 / 30 | 8.3 / 22 |
//! | 60 | 21 / 76 | 31 / 149 | 17 / 45 |
//!
//! So it is by hand: quickest up to 40 points, where the units are, and no dependency; faer would win from 60 on.
//! Real ladders are mostly wire to wire: a row with nothing under the pivot is skipped, and once factored only what is
//! not zero is kept, so that solving again costs a tenth of the square. `tests/bench/circuit.rs` measures those.

#![expect(clippy::indexing_slicing, reason = "a square of n × n is built here and indexed by 0..n only")]

use super::complex::Complex;
use std::ops::{AddAssign, Div, Mul, Sub, SubAssign};

/// What a matrix may be made of: real when every part is a plain resistance, complex otherwise.
pub trait Field:
    Copy + AddAssign + SubAssign + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self> + PartialEq
{
    /// Nothing.
    const ZERO: Self;
    /// A size to choose the pivot by; needs only to order, so |re| + |im| will do.
    fn size(self) -> f64;
    /// This number times a phasor.
    fn times(self, phasor: Complex) -> Complex;
    /// A phasor divided by this number.
    fn into(self, phasor: Complex) -> Complex;
}

impl Field for f64 {
    const ZERO: Self = 0.0;
    fn size(self) -> f64 {
        self.abs()
    }
    fn times(self, phasor: Complex) -> Complex {
        phasor * self
    }
    fn into(self, phasor: Complex) -> Complex {
        Complex::new(phasor.re / self, phasor.im / self)
    }
}

impl Field for Complex {
    const ZERO: Self = Self::ZERO;
    fn size(self) -> f64 {
        self.re.abs() + self.im.abs()
    }
    fn times(self, phasor: Complex) -> Complex {
        self * phasor
    }
    fn into(self, phasor: Complex) -> Complex {
        phasor / self
    }
}

/// A factored matrix.
#[derive(Clone, Debug)]
pub struct Lu<S> {
    /// Left of the diagonal; the diagonal itself is all ones.
    lower: Rows<S>,
    pivots: Vec<S>,
    /// Right of the diagonal.
    upper: Rows<S>,
    /// Row `i` of the factored matrix is row `order[i]` of the given one.
    order: Vec<usize>,
}

/// Rows of a matrix of mostly nothing: the cells that are not, each with its column.
#[derive(Clone, Debug)]
struct Rows<S> {
    starts: Vec<usize>,
    cells: Vec<(usize, S)>,
}

impl<S: Field> Rows<S> {
    /// From a whole matrix, of each row the columns `part` gives.
    fn of(n: usize, cells: &[S], part: impl Fn(usize) -> std::ops::Range<usize>) -> Self {
        let mut rows = Self { starts: Vec::with_capacity(n + 1), cells: Vec::new() };
        for row in 0..n {
            rows.starts.push(rows.cells.len());
            let kept = part(row).map(|column| (column, cells[row * n + column]));
            rows.cells.extend(kept.filter(|(_, cell)| *cell != S::ZERO));
        }
        rows.starts.push(rows.cells.len());
        rows
    }

    fn row(&self, row: usize) -> &[(usize, S)] {
        &self.cells[self.starts[row]..self.starts[row + 1]]
    }
}

impl<S: Field> Lu<S> {
    /// Factors a square of `n` rows, given row by row; `None` if it is singular.
    pub fn factor(n: usize, mut cells: Vec<S>) -> Option<Self> {
        debug_assert_eq!(cells.len(), n * n);
        let mut order: Vec<usize> = (0..n).collect();
        for k in 0..n {
            let mut best = k;
            let mut size = cells[k * n + k].size();
            for row in k + 1..n {
                let here = cells[row * n + k].size();
                if here > size {
                    (best, size) = (row, here);
                }
            }
            if size == 0.0 || !size.is_finite() {
                return None;
            }
            if best != k {
                let (upper, lower) = cells.split_at_mut(best * n);
                upper[k * n..(k + 1) * n].swap_with_slice(&mut lower[..n]);
                order.swap(k, best);
            }
            let (upper, lower) = cells.split_at_mut((k + 1) * n);
            let pivot_row = &upper[k * n + k..];
            let pivot = pivot_row[0];
            for row in lower.chunks_exact_mut(n) {
                let row = &mut row[k..];
                // Circuits are sparse: most rows have nothing below this pivot.
                if row[0] == S::ZERO {
                    continue;
                }
                let share = row[0] / pivot;
                row[0] = share;
                for (cell, &above) in row[1..].iter_mut().zip(&pivot_row[1..]) {
                    *cell -= share * above;
                }
            }
        }
        Some(Self {
            lower: Rows::of(n, &cells, |row| 0..row),
            pivots: (0..n).map(|at| cells[at * n + at]).collect(),
            upper: Rows::of(n, &cells, |row| row + 1..n),
            order,
        })
    }

    /// Solves for one right-hand side of phasors.
    pub fn solve(&self, rhs: &[Complex]) -> Vec<Complex> {
        let mut x: Vec<Complex> = self.order.iter().map(|&i| rhs[i]).collect();
        for i in 1..x.len() {
            let mut sum = x[i];
            for &(column, cell) in self.lower.row(i) {
                sum -= cell.times(x[column]);
            }
            x[i] = sum;
        }
        for i in (0..x.len()).rev() {
            let mut sum = x[i];
            for &(column, cell) in self.upper.row(i) {
                sum -= cell.times(x[column]);
            }
            x[i] = self.pivots[i].into(sum);
        }
        x
    }
}

#[cfg(test)]
mod tests {
    use super::{Complex, Lu};

    #[test]
    fn a_pivot_of_zero_is_stepped_round() {
        // x + 2y = 5, with the first pivot zero: 0x + 1y = 2.
        let lu = Lu::factor(2, vec![0.0, 1.0, 1.0, 2.0]).unwrap();
        let x = lu.solve(&[Complex::from(2.0), Complex::from(5.0)]);
        assert_eq!(x, [Complex::from(1.0), Complex::from(2.0)]);
    }

    #[test]
    fn a_singular_square_is_refused() {
        assert!(Lu::factor(2, vec![1.0, 2.0, 2.0, 4.0]).is_none());
    }

    #[test]
    fn complex_rows() {
        let j = Complex::new(0.0, 1.0);
        let one = Complex::from(1.0);
        // (1 + j) x = 2j has x = 1 + j.
        let lu = Lu::factor(1, vec![one + j]).unwrap();
        let x = lu.solve(&[j + j])[0];
        assert!((x - one - j).abs() < 1e-15);
    }
}
