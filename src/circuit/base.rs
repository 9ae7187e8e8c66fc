//! A factored circuit: the equations of one pattern of contacts, ready to be solved again and again.
//!
//! It keeps what it has been asked: its own solution with the supplies as they stand, and for each pole what one ampere
//! through it spreads. So a fault of one conductance costs no back-substitution once its pole was met.

#![expect(
    clippy::indexing_slicing,
    reason = "points, poles and terminals are numbered by the network itself, which hands out no other numbers"
)]

use super::change::TerminalNow;
use super::complex::Complex;
use super::lu::{Field, Lu};
use super::network::{Current, Network};
use super::stamp::{Stamp, System};
use std::sync::OnceLock;

/// Ohms of a supply's leg where none are given: nothing a meter can see even in a dead short, but two supplies on one
/// point don't clash.
const LEG_OHMS: f64 = 1e-9;

/// Which points hang together: for every point the lowest point of its island; ground's island is 0.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Islands(Vec<usize>);

impl Islands {
    fn new(net: &Network, stamps: &[Stamp], lost: &[bool]) -> Self {
        let mut root: Vec<usize> = (0..net.points.len()).collect();
        fn find(root: &mut [usize], mut point: usize) -> usize {
            while root[point] != point {
                root[point] = root[root[point]];
                point = root[point];
            }
            point
        }
        let mut join = |a: usize, b: usize| {
            let (a, b) = (find(&mut root, a), find(&mut root, b));
            if a < b {
                root[b] = a;
            } else {
                root[a] = b;
            }
        };
        for stamp in stamps {
            if stamp.conducts() {
                join(stamp.from, stamp.to);
            }
            if stamp.from_ground != Complex::ZERO {
                join(stamp.from, 0);
            }
            if stamp.to_ground != Complex::ZERO {
                join(stamp.to, 0);
            }
        }
        for (terminal, &lost) in net.terminals.iter().zip(lost) {
            if !lost {
                join(terminal.point.0, net.supplies[terminal.supply.0].reference.0);
            }
        }
        for point in 0..root.len() {
            root[point] = find(&mut root, point);
        }
        Self(root)
    }
}

/// A factored circuit.
#[derive(Debug)]
pub(super) struct Base {
    pub stamps: Vec<Stamp>,
    pub lost: Vec<bool>,
    islands: Islands,
    /// Row of each point; `None` for ground and for the tied point of each island.
    row: Vec<Option<usize>>,
    first_terminal: usize,
    matrix: Matrix,
    /// Its own solution, the supplies as they stand.
    own: OnceLock<Vec<Complex>>,
    /// What one ampere spreads along each path of each pole, three a pole.
    spreads: Vec<OnceLock<Vec<Complex>>>,
}

#[derive(Debug)]
enum Matrix {
    Real(Lu<f64>),
    Complex(Lu<Complex>),
}

impl Matrix {
    fn solve(&self, rhs: &[Complex]) -> Vec<Complex> {
        match self {
            Self::Real(lu) => lu.solve(rhs),
            Self::Complex(lu) => lu.solve(rhs),
        }
    }
}

impl Base {
    /// Factors a circuit; `None` if it has no answer.
    pub fn new(net: &Network, stamps: Vec<Stamp>, lost: Vec<bool>) -> Option<Self> {
        let islands = Islands::new(net, &stamps, &lost);
        let mut row = Vec::with_capacity(net.points.len());
        let mut rows = 0;
        for (point, &island) in islands.0.iter().enumerate() {
            if point == island {
                row.push(None);
            } else {
                row.push(Some(rows));
                rows += 1;
            }
        }
        let n = rows + net.terminals.len();
        let matrix = if stamps.iter().all(Stamp::is_real) {
            Matrix::Real(Lu::factor(n, assemble(net, &stamps, &lost, &row, rows, |y| y.re))?)
        } else {
            Matrix::Complex(Lu::factor(n, assemble(net, &stamps, &lost, &row, rows, |y| y))?)
        };
        let spreads = (0..3 * stamps.len()).map(|_| OnceLock::new()).collect();
        Some(Self { stamps, lost, islands, row, first_terminal: rows, matrix, own: OnceLock::new(), spreads })
    }

    /// The solution as it stands, the supplies as `terminals` say: those of the solver the base was made for.
    pub fn own(&self, net: &Network, system: System, terminals: &[TerminalNow]) -> &[Complex] {
        self.own.get_or_init(|| self.driven(net, system, &[], terminals))
    }

    /// The solution with other sources: of the poles named, those of the stamps beside them.
    pub fn driven(
        &self,
        net: &Network,
        system: System,
        changed: &[(usize, Stamp)],
        terminals: &[TerminalNow],
    ) -> Vec<Complex> {
        let mut rhs = vec![Complex::ZERO; self.row_count()];
        let mut drive = |stamp: &Stamp, amps: Complex| {
            if let Some(row) = self.row[stamp.from] {
                rhs[row] += amps;
            }
            if let Some(row) = self.row[stamp.to] {
                rhs[row] -= amps;
            }
        };
        for stamp in self.stamps.iter().filter(|stamp| stamp.drive != Complex::ZERO) {
            drive(stamp, stamp.drive);
        }
        for (at, stamp) in changed {
            let more = stamp.drive - self.stamps[*at].drive;
            if more != Complex::ZERO {
                drive(stamp, more);
            }
        }
        for (i, (terminal, now)) in net.terminals.iter().zip(terminals).enumerate() {
            let runs = match net.supplies[terminal.supply.0].current {
                Current::Ac => system == System::Ac,
                Current::Dc => system == System::Dc,
            };
            if runs && !self.lost[i] {
                rhs[self.first_terminal + i] = now.volts(terminal.volts);
            }
        }
        self.matrix.solve(&rhs)
    }

    /// The volts everywhere for one ampere in at one point and out at the other.
    pub fn ampere(&self, from: usize, to: usize) -> Vec<Complex> {
        let mut rhs = vec![Complex::ZERO; self.row_count()];
        if let Some(row) = self.row[from] {
            rhs[row] += Complex::from(1.0);
        }
        if let Some(row) = self.row[to] {
            rhs[row] -= Complex::from(1.0);
        }
        self.matrix.solve(&rhs)
    }

    /// The same along a path of a pole (see [`Stamp::paths`]), kept.
    pub fn spread(&self, pole: usize, path: usize) -> &[Complex] {
        self.spreads[3 * pole + path].get_or_init(|| {
            let (from, to, _) = self.stamps[pole].paths()[path];
            self.ampere(from, to)
        })
    }

    fn row_count(&self) -> usize {
        self.first_terminal + self.lost.len()
    }

    /// Of a solution, the volts of a point; in an island, against its tied point.
    pub fn volts(&self, x: &[Complex], point: usize) -> Complex {
        self.row[point].map_or(Complex::ZERO, |row| x[row])
    }

    /// Of a solution, the amps out of a supply terminal.
    pub fn amps(&self, x: &[Complex], terminal: usize) -> Complex {
        x[self.first_terminal + terminal]
    }

    /// The lowest point of the island a point is on; 0 is ground's.
    pub fn island(&self, point: usize) -> usize {
        self.islands.0[point]
    }
}

fn assemble<S: Field>(
    net: &Network,
    stamps: &[Stamp],
    lost: &[bool],
    row: &[Option<usize>],
    first_terminal: usize,
    read: impl Fn(Complex) -> S,
) -> Vec<S> {
    let n = first_terminal + net.terminals.len();
    let mut cells = vec![S::ZERO; n * n];
    let mut add = |at: Option<usize>, of: Option<usize>, y: Complex| {
        if let (Some(at), Some(of)) = (at, of) {
            cells[at * n + of] += read(y);
        }
    };
    for stamp in stamps {
        let (from, to) = (row[stamp.from], row[stamp.to]);
        if stamp.conducts() {
            add(from, from, stamp.through);
            add(to, to, stamp.through);
            add(from, to, -stamp.through);
            add(to, from, -stamp.through);
        }
        if stamp.from_ground != Complex::ZERO {
            add(from, from, stamp.from_ground);
        }
        if stamp.to_ground != Complex::ZERO {
            add(to, to, stamp.to_ground);
        }
        if let Some((twin, mutual)) = stamp.twin {
            let (one, two) = (row[stamps[twin].from], row[stamps[twin].to]);
            add(from, one, mutual);
            add(to, two, mutual);
            add(from, two, -mutual);
            add(to, one, -mutual);
        }
    }
    let one = Complex::from(1.0);
    for (i, (terminal, &lost)) in net.terminals.iter().zip(lost).enumerate() {
        let amps = Some(first_terminal + i);
        if lost {
            add(amps, amps, one);
            continue;
        }
        let point = row[terminal.point.0];
        let reference = row[net.supplies[terminal.supply.0].reference.0];
        add(point, amps, -one);
        add(reference, amps, one);
        add(amps, point, one);
        add(amps, reference, -one);
        add(amps, amps, Complex::from(if terminal.ohms > 0.0 { terminal.ohms } else { LEG_OHMS }));
    }
    cells
}
