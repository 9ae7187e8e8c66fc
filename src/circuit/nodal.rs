//! Modified nodal analysis of one circuit with all contacts standing still.
//!
//! Unknown are the volts of every point and the amps out of every supply terminal. A terminal's row is
//! `volts(point) − volts(reference) + ohms × amps = E`, or `amps = 0` when its leg is lost. Points that no path
//! ties to ground form an *island*; its lowest point is tied to ground by one large resistor, which carries no
//! current, so that point is taken as 0 V and left out of the matrix: never singular, nothing rounded away.
//! The resistor counts when a probe bridges two islands (see [`Solved::impedance`]).
//!
//! A change of one conductance needs no new factorization (Sherman & Morrison 1950; the form is from memory):
//! with `z = A⁻¹u`, the solution of `A + d·u·uᵀ` is `x − z · d·(uᵀx) / (1 + d·uᵀz)`. A few changes are done one after
//! another. Where a change makes or breaks an island, or so nearly that digits would be lost, there is no working in:
//! the solver factors afresh.

#![expect(
    clippy::indexing_slicing,
    reason = "points, poles and terminals are numbered by the network itself, which hands out no other numbers"
)]

use super::base::Base;
use super::change::TerminalNow;
use super::complex::Complex;
use super::network::{Network, PointId, PoleId, TerminalId};
use super::stamp::{Stamp, System};
use std::sync::Arc;

/// More conductances than this are not worked in: factoring afresh costs no more then.
pub(super) const MOST_WORKED_IN: usize = 3;

/// What one ampere spreads: kept by the base, or with other changes worked in.
#[derive(Clone, Debug)]
enum Spread {
    /// By pole and path.
    Kept(usize, usize),
    Own(Vec<Complex>),
}

/// One conductance more or less between two points, worked into a factored circuit.
#[derive(Clone, Debug)]
struct Rank {
    from: usize,
    to: usize,
    /// `A⁻¹u` of the matrix as it was before this one.
    spread: Spread,
    /// `d / (1 + d·uᵀz)`.
    share: Complex,
}

impl Rank {
    fn work_into(&self, base: &Base, x: &mut [Complex]) {
        let across = base.volts(x, self.from) - base.volts(x, self.to);
        if across == Complex::ZERO {
            return;
        }
        let by = across * self.share;
        let spread = match &self.spread {
            Spread::Kept(pole, path) => base.spread(*pole, *path),
            Spread::Own(spread) => spread,
        };
        for (x, &z) in x.iter_mut().zip(spread) {
            *x -= z * by;
        }
    }
}

/// A solved circuit.
#[derive(Clone, Debug)]
pub(super) struct Solved {
    base: Arc<Base>,
    /// The poles that are not as in the base.
    changed: Vec<(usize, Stamp)>,
    ranks: Vec<Rank>,
    x: Vec<Complex>,
}

impl Solved {
    /// Solves a base with other stamps at some poles worked in; `None` where that can't be done and the circuit is to be
    /// factored afresh. `as_stands` says that the terminals are as they stand for the solver of the base.
    pub fn worked_in(
        net: &Network,
        system: System,
        base: &Arc<Base>,
        changed: Vec<(usize, Stamp)>,
        terminals: &[TerminalNow],
        as_stands: bool,
    ) -> Option<Self> {
        let ranks = Self::ranks(base, &changed)?;
        let own = as_stands && changed.iter().all(|(at, stamp)| stamp.drive == base.stamps[*at].drive);
        let mut x =
            if own { base.own(net, system, terminals).to_vec() } else { base.driven(net, system, &changed, terminals) };
        for rank in &ranks {
            rank.work_into(base, &mut x);
        }
        Some(Self { base: Arc::clone(base), changed, ranks, x })
    }

    /// How many conductances are not as in the base.
    pub fn paths(base: &Base, changed: &[(usize, Stamp)]) -> usize {
        let apart = |(at, new): &(usize, Stamp)| {
            base.stamps[*at].paths().iter().zip(new.paths()).filter(|(old, new)| old.2 != new.2).count()
        };
        changed.iter().map(apart).sum()
    }

    /// Whether a change can be worked in by itself.
    pub fn works_in(base: &Base, changed: &(usize, Stamp)) -> bool {
        Self::ranks(base, std::slice::from_ref(changed)).is_some()
    }

    fn ranks(base: &Base, changed: &[(usize, Stamp)]) -> Option<Vec<Rank>> {
        let mut ranks: Vec<Rank> = Vec::new();
        for (at, new) in changed {
            let old = &base.stamps[*at];
            if old.twin != new.twin {
                return None;
            }
            for (path, (old, (from, to, new))) in old.paths().iter().zip(new.paths()).enumerate() {
                let old = old.2;
                if old == new {
                    continue;
                }
                // One more path between two islands makes them one. A path that was the only one is felt below.
                if ranks.len() >= MOST_WORKED_IN || (old == Complex::ZERO && base.island(from) != base.island(to)) {
                    return None;
                }
                let more = new - old;
                let mut own = None;
                if !ranks.is_empty() {
                    let mut spread = base.spread(*at, path).to_vec();
                    ranks.iter().for_each(|rank| rank.work_into(base, &mut spread));
                    own = Some(spread);
                }
                let spread = own.as_deref().unwrap_or_else(|| base.spread(*at, path));
                let gain = more * (base.volts(spread, from) - base.volts(spread, to));
                let bottom = Complex::from(1.0) + gain;
                // Where the two nearly cancel, digits are lost.
                if bottom.abs() < 1e-5 * (1.0 + gain.abs()) {
                    return None;
                }
                let spread = own.map_or(Spread::Kept(*at, path), Spread::Own);
                ranks.push(Rank { from, to, spread, share: more / bottom });
            }
        }
        Some(ranks)
    }

    fn stamp(&self, pole: usize) -> &Stamp {
        let changed = self.changed.iter().find(|(at, _)| *at == pole);
        changed.map_or_else(|| &self.base.stamps[pole], |(_, stamp)| stamp)
    }

    /// Volts of a point; in an island, against the island's tied point.
    pub fn volts(&self, point: PointId) -> Complex {
        self.base.volts(&self.x, point.0)
    }

    /// Amps out of a supply terminal.
    pub fn terminal_amps(&self, terminal: TerminalId) -> Complex {
        self.base.amps(&self.x, terminal.0)
    }

    /// Amps into a pole at its first end.
    pub fn amps(&self, pole: PoleId) -> Complex {
        let stamp = self.stamp(pole.0);
        let at = |point: usize| self.base.volts(&self.x, point);
        let mut amps =
            stamp.through * (at(stamp.from) - at(stamp.to)) + stamp.from_ground * at(stamp.from) - stamp.drive;
        if let Some((twin, mutual)) = stamp.twin {
            let twin = self.stamp(twin);
            amps += mutual * (at(twin.from) - at(twin.to));
        }
        amps
    }

    /// The lowest point of the island a point is on; 0 is ground's.
    pub fn island(&self, point: PointId) -> usize {
        self.base.island(point.0)
    }

    /// Ohms between two points as a source there would see them; with the large resistors where they bridge islands.
    pub fn impedance(&self, net: &Network, from: PointId, to: PointId) -> Complex {
        if from == to {
            return Complex::ZERO;
        }
        let mut z = self.base.ampere(from.0, to.0);
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
        let stamp = self.stamp(pole.0);
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
        for i in 0..self.base.stamps.len() {
            let (stamp, amps) = (self.stamp(i), self.amps(PoleId(i)));
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
            for stamp in (0..self.base.stamps.len()).map(|pole| self.stamp(pole)) {
                for (one, two, y) in stamp.paths() {
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
