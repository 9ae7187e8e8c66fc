//! Modified nodal analysis of one circuit with all contacts standing still.
//!
//! Unknown are the volts of every point and the amps out of every supply terminal. A terminal's row is
//! `volts(point) − volts(reference) + ohms × amps = E`, or `amps = 0` when its leg is lost. Points that no path
//! ties to ground form an *island*; its lowest point is tied to ground by one large resistor, which carries no
//! current, so that point is taken as 0 V and left out of the matrix: never singular, nothing rounded away.
//! The resistor counts when a probe bridges two islands (see [`Solved::impedance`]).
//!
//! A change of one conductance needs no new factorization (Sherman & Morrison 1950; the form is from memory):
//! with `z = A⁻¹u`, the solution of `A + d·u·uᵀ` is `x − z · d·(uᵀx) / (1 + d·uᵀz)`. Two or three changes are done one
//! after another. Where a change makes or breaks an island, or so nearly that digits would be lost, the matrix is
//! factored afresh.

#![expect(
    clippy::indexing_slicing,
    reason = "points, poles and terminals are numbered by the network itself, which hands out no other numbers"
)]

use super::change::{PoleNow, TerminalNow};
use super::complex::Complex;
use super::lu::{Field, Lu};
use super::network::{CONTACT_OHMS, Current, Leak, Make, Network, PointId, PoleId, TerminalId};
use std::sync::Arc;

/// Ohms of a supply's leg where none are given: nothing a meter can see even in a dead short, but two supplies on one
/// point don't clash.
const LEG_OHMS: f64 = 1e-9;

/// Which of the circuits laid over each other is solved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum System {
    /// Alternating.
    Ac,
    /// Direct.
    Dc,
    /// As an ohmmeter sees it: sources out, everything cold.
    Ohms,
}

/// What one pole adds to the equations.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Stamp {
    from: usize,
    to: usize,
    /// Between its two ends.
    through: Complex,
    /// From each end to ground.
    from_ground: Complex,
    to_ground: Complex,
    /// Amps its own source drives out of the first end when the ends are held together.
    drive: Complex,
    /// The other winding's pole and what its volts add.
    twin: Option<(usize, Complex)>,
}

impl Stamp {
    fn conducts(&self) -> bool {
        self.through != Complex::ZERO
    }

    fn is_real(&self) -> bool {
        let twin = self.twin.map_or(0.0, |(_, y)| y.im);
        self.through.im == 0.0 && self.from_ground.im == 0.0 && self.to_ground.im == 0.0 && twin == 0.0
    }
}

/// What a pole is, seen by one system.
pub(super) fn stamp(net: &Network, system: System, at: usize, closed: bool, all: &dyn Fn(usize) -> PoleNow) -> Stamp {
    let pole = &net.poles[at];
    let now = all(at);
    let mut stamp = Stamp { from: pole.from.0, to: pole.to.0, ..Stamp::default() };
    let turn = 2.0 * std::f64::consts::PI * net.settings.hertz;
    let shorted = Complex::from(CONTACT_OHMS);
    let scaled = |ohms: f64| Complex::from(now.ohms.unwrap_or(ohms) * now.times * now.tolerance);
    // `None` is an open pole.
    let ohms: Option<Complex> = match pole.make {
        Make::Conductor { ohms } => (!now.opens).then(|| scaled(ohms)),
        Make::Contact { ohms, leak, .. } => {
            if closed && !now.opens {
                Some(scaled(ohms))
            } else {
                match leak {
                    Leak::None => None,
                    Leak::Ohms(ohms) => Some(Complex::from(ohms)),
                    Leak::Snubber { ohms, farads } if system == System::Ac => {
                        Some(Complex::new(ohms, -1.0 / (turn * farads)))
                    }
                    Leak::Snubber { .. } => None,
                }
            }
        }
        Make::Load { cold, hot } => {
            let as_made = match system {
                System::Ac => hot,
                System::Dc => Complex::from(hot.re),
                System::Ohms => Complex::from(cold),
            };
            let so_much = match now.ohms {
                Some(ohms) => Complex::from(ohms),
                None => as_made,
            };
            match (now.opens, now.closes) {
                (true, _) => None,
                (_, true) => Some(shorted),
                _ => Some(so_much * (now.times * now.tolerance)),
            }
        }
        Make::Capacitor { farads } => match (now.opens, now.closes) {
            (true, _) => None,
            (_, true) => Some(shorted),
            _ => (system == System::Ac).then(|| Complex::new(0.0, -1.0 / (turn * farads * now.times * now.tolerance))),
        },
        Make::Output { ohms, current, volts, .. } => {
            let runs = closed && (current == Current::Ac) == (system == System::Ac) && system != System::Ohms;
            if runs && !now.opens {
                let volts = now.volts.unwrap_or(volts) * now.times * now.tolerance;
                stamp.drive = Complex::from(volts / ohms);
            }
            (!now.opens).then(|| Complex::from(ohms))
        }
        Make::Winding { twin, ohms, volts, core } => {
            return winding(net, system, stamp, (twin, ohms, volts, core), &all(twin.0), &now);
        }
    };
    let Some(ohms) = ohms else { return stamp };
    match now.grounded {
        // A path to ground part of the way along, as three conductances between the ends and ground (star to delta).
        Some((along, path)) => {
            let (near, far) = (ohms * along, ohms * (1.0 - along));
            let path = Complex::from(path.max(1e-6));
            let whole = near * far + far * path + near * path;
            stamp.through = path / whole;
            stamp.from_ground = far / whole;
            stamp.to_ground = near / whole;
        }
        None => stamp.through = ohms.inverse(),
    }
    stamp
}

/// One winding: the T-circuit of a transformer (winding ohms, iron between, ideal ratio) as a two-port, so that it
/// needs no unknowns of its own. Direct current and the ohmmeter see the wire alone.
fn winding(
    net: &Network,
    system: System,
    mut stamp: Stamp,
    (twin, ohms, volts, core): (PoleId, f64, f64, f64),
    other: &PoleNow,
    now: &PoleNow,
) -> Stamp {
    let own = now.ohms.unwrap_or(ohms) * now.times * now.tolerance;
    if now.opens {
        return stamp;
    }
    if now.closes {
        stamp.through = Complex::from(1.0 / CONTACT_OHMS);
        return stamp;
    }
    if system != System::Ac {
        stamp.through = Complex::from(1.0 / own);
        return stamp;
    }
    let Make::Winding { ohms: other_ohms, volts: other_volts, .. } = net.poles[twin.0].make else { return stamp };
    if other.opens {
        stamp.through = Complex::from(1.0 / (own + core));
        return stamp;
    }
    // A winding shorted in itself takes all the flux: its twin is left with the ohms of its own wire.
    if other.closes {
        stamp.through = Complex::from(1.0 / own);
        return stamp;
    }
    let ratio = volts / other_volts;
    let (other_core, mutual) = (core / (ratio * ratio), core / ratio);
    let theirs = other.ohms.unwrap_or(other_ohms) * other.times * other.tolerance;
    let whole = own * theirs + own * other_core + core * theirs;
    stamp.through = Complex::from((theirs + other_core) / whole);
    stamp.twin = Some((twin.0, Complex::from(-mutual / whole)));
    stamp
}

/// Which points hang together: for every point the lowest point of its island; ground's island is 0.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Islands(pub Vec<usize>);

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
    lost: Vec<bool>,
    pub islands: Islands,
    /// Row of each point; `None` for ground and for the tied point of each island.
    row: Vec<Option<usize>>,
    first_terminal: usize,
    matrix: Matrix,
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
    pub fn new(net: &Network, stamps: Vec<Stamp>, lost: Vec<bool>) -> Option<Self> {
        let islands = Islands::new(net, &stamps, &lost);
        Self::with_islands(net, stamps, lost, islands)
    }

    fn with_islands(net: &Network, stamps: Vec<Stamp>, lost: Vec<bool>, islands: Islands) -> Option<Self> {
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
        Some(Self { stamps, lost, islands, row, first_terminal: rows, matrix })
    }

    /// Right-hand side: the supplies at their volts, the outputs driving.
    fn rhs(&self, net: &Network, system: System, stamps: &[Stamp], terminals: &[TerminalNow]) -> Vec<Complex> {
        let mut rhs = vec![Complex::ZERO; self.first_terminal + net.terminals.len()];
        for stamp in stamps {
            if stamp.drive != Complex::ZERO {
                if let Some(row) = self.row[stamp.from] {
                    rhs[row] += stamp.drive;
                }
                if let Some(row) = self.row[stamp.to] {
                    rhs[row] -= stamp.drive;
                }
            }
        }
        for (i, (terminal, now)) in net.terminals.iter().zip(terminals).enumerate() {
            let runs = match net.supplies[terminal.supply.0].current {
                Current::Ac => system == System::Ac,
                Current::Dc => system == System::Dc,
            };
            if runs && !self.lost[i] {
                rhs[self.first_terminal + i] = terminal.volts * now.times;
            }
        }
        rhs
    }

    /// One ampere in at one point and out at the other.
    fn ampere(&self, from: usize, to: usize) -> Vec<Complex> {
        let mut rhs = vec![Complex::ZERO; self.matrix_rows()];
        if let Some(row) = self.row[from] {
            rhs[row] += Complex::from(1.0);
        }
        if let Some(row) = self.row[to] {
            rhs[row] -= Complex::from(1.0);
        }
        rhs
    }

    fn matrix_rows(&self) -> usize {
        match &self.matrix {
            Matrix::Real(lu) => lu.rows(),
            Matrix::Complex(lu) => lu.rows(),
        }
    }

    fn volts(&self, x: &[Complex], point: usize) -> Complex {
        self.row[point].map_or(Complex::ZERO, |row| x[row])
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

/// One conductance more or less between two points, worked into a factored circuit.
#[derive(Clone, Debug)]
struct Rank {
    from: usize,
    to: usize,
    /// `A⁻¹u` of the matrix as it was before this one.
    spread: Vec<Complex>,
    /// `d / (1 + d·uᵀz)`.
    share: Complex,
}

impl Rank {
    fn work_into(&self, base: &Base, x: &mut [Complex]) {
        let across = base.volts(x, self.from) - base.volts(x, self.to);
        let by = across * self.share;
        for (x, &z) in x.iter_mut().zip(&self.spread) {
            *x -= z * by;
        }
    }
}

/// A solved circuit.
#[derive(Clone, Debug)]
pub(super) struct Solved {
    pub base: Arc<Base>,
    /// Of the circuit as it is, changes and all.
    pub stamps: Vec<Stamp>,
    ranks: Vec<Rank>,
    x: Vec<Complex>,
}

impl Solved {
    /// Solves `net` with `stamps`, from the factored `base` where the two differ by no more than three conductances
    /// and no island is made or broken.
    pub fn new(
        net: &Network,
        system: System,
        base: &Arc<Base>,
        stamps: Vec<Stamp>,
        changed: &[usize],
        terminals: &[TerminalNow],
    ) -> Option<Self> {
        let (base, ranks) = match Self::ranks(net, base, &stamps, changed) {
            Some(ranks) => (Arc::clone(base), ranks),
            None => (Arc::new(Base::new(net, stamps.clone(), base.lost.clone())?), Vec::new()),
        };
        let mut x = base.matrix.solve(&base.rhs(net, system, &stamps, terminals));
        for rank in &ranks {
            rank.work_into(&base, &mut x);
        }
        Some(Self { base, stamps, ranks, x })
    }

    fn ranks(net: &Network, base: &Base, stamps: &[Stamp], changed: &[usize]) -> Option<Vec<Rank>> {
        let mut more: Vec<(usize, usize, Complex)> = Vec::new();
        let mut same_islands = true;
        for &at in changed {
            let (old, new) = (&base.stamps[at], &stamps[at]);
            if old.twin != new.twin {
                return None;
            }
            for (from, to, old, new) in [
                (new.from, new.to, old.through, new.through),
                (new.from, 0, old.from_ground, new.from_ground),
                (new.to, 0, old.to_ground, new.to_ground),
            ] {
                if old != new {
                    same_islands &= (old == Complex::ZERO) == (new == Complex::ZERO);
                    more.push((from, to, new - old));
                }
            }
        }
        if more.len() > 3 || (!same_islands && Islands::new(net, stamps, &base.lost) != base.islands) {
            return None;
        }
        let mut ranks: Vec<Rank> = Vec::with_capacity(more.len());
        for (from, to, more) in more {
            let mut spread = base.matrix.solve(&base.ampere(from, to));
            for rank in &ranks {
                rank.work_into(base, &mut spread);
            }
            let gain = more * (base.volts(&spread, from) - base.volts(&spread, to));
            let bottom = Complex::from(1.0) + gain;
            // Where the two nearly cancel, digits are lost: factor afresh instead.
            if bottom.abs() < 1e-5 * (1.0 + gain.abs()) {
                return None;
            }
            ranks.push(Rank { from, to, spread, share: more / bottom });
        }
        Some(ranks)
    }

    /// Volts of a point; in an island, against the island's tied point.
    pub fn volts(&self, point: PointId) -> Complex {
        self.base.volts(&self.x, point.0)
    }

    /// Amps out of a supply terminal.
    pub fn terminal_amps(&self, terminal: TerminalId) -> Complex {
        self.x[self.base.first_terminal + terminal.0]
    }

    /// Amps into a pole at its first end.
    pub fn amps(&self, pole: PoleId) -> Complex {
        let stamp = &self.stamps[pole.0];
        let at = |point: usize| self.base.volts(&self.x, point);
        let mut amps =
            stamp.through * (at(stamp.from) - at(stamp.to)) + stamp.from_ground * at(stamp.from) - stamp.drive;
        if let Some((twin, mutual)) = stamp.twin {
            let twin = &self.stamps[twin];
            amps += mutual * (at(twin.from) - at(twin.to));
        }
        amps
    }

    /// The lowest point of the island a point is on; 0 is ground's.
    pub fn island(&self, point: PointId) -> usize {
        self.base.islands.0[point.0]
    }

    /// Ohms between two points as a source there would see them; with the large resistors where they bridge islands.
    pub fn impedance(&self, net: &Network, from: PointId, to: PointId) -> Complex {
        if from == to {
            return Complex::ZERO;
        }
        let mut z = self.base.matrix.solve(&self.base.ampere(from.0, to.0));
        for rank in &self.ranks {
            rank.work_into(&self.base, &mut z);
        }
        let mut ohms = self.base.volts(&z, from.0) - self.base.volts(&z, to.0);
        let (one, two) = (self.island(from), self.island(to));
        if one != two {
            for island in [one, two] {
                if island != 0 {
                    ohms += Complex::from(net.settings.island_ohms);
                }
            }
        }
        ohms
    }

    /// Ohms of a pole by itself, end to end; infinite if it is open.
    pub fn own_ohms(&self, pole: PoleId) -> f64 {
        let stamp = &self.stamps[pole.0];
        let mut through = stamp.through;
        let (one, two) = (stamp.from_ground, stamp.to_ground);
        if one != Complex::ZERO && two != Complex::ZERO {
            // The path to ground is not there when nothing else is tied to it: back from delta to star.
            through += one * two / (one + two);
        }
        if through == Complex::ZERO { f64::INFINITY } else { 1.0 / through.abs() }
    }

    /// What is left over in Kirchhoff's sum at each point: amps in less amps out, as `|Σ|`.
    pub fn left_over(&self, net: &Network) -> Vec<f64> {
        let mut sums = vec![Complex::ZERO; net.points.len()];
        for (i, stamp) in self.stamps.iter().enumerate() {
            let amps = self.amps(PoleId(i));
            let to_ground = stamp.from_ground * self.base.volts(&self.x, stamp.from)
                + stamp.to_ground * self.base.volts(&self.x, stamp.to);
            sums[stamp.from] -= amps;
            sums[stamp.to] += amps - to_ground;
            sums[0] += to_ground;
        }
        for (i, terminal) in net.terminals.iter().enumerate() {
            let amps = self.terminal_amps(TerminalId(i));
            sums[terminal.point.0] += amps;
            sums[net.supplies[terminal.supply.0].reference.0] -= amps;
        }
        sums.into_iter().map(Complex::abs).collect()
    }

    /// Ohms of the easiest way from a point to any of `ends`, through one pole after another; infinite if there is none.
    pub fn path_ohms(&self, net: &Network, from: PointId, ends: &[bool]) -> f64 {
        let mut best = vec![f64::INFINITY; net.points.len()];
        let mut done = vec![false; net.points.len()];
        best[from.0] = 0.0;
        loop {
            let next = (0..best.len())
                .filter(|&p| !done[p] && best[p].is_finite())
                .min_by(|&a, &b| best[a].total_cmp(&best[b]));
            let Some(at) = next else { return f64::INFINITY };
            if ends[at] {
                return best[at];
            }
            done[at] = true;
            for stamp in &self.stamps {
                let ways = [
                    (stamp.from, stamp.to, stamp.through),
                    (stamp.from, 0, stamp.from_ground),
                    (stamp.to, 0, stamp.to_ground),
                ];
                for (one, two, y) in ways {
                    if y == Complex::ZERO || (one != at && two != at) {
                        continue;
                    }
                    let other = if one == at { two } else { one };
                    best[other] = best[other].min(best[at] + 1.0 / y.abs());
                }
            }
        }
    }
}
