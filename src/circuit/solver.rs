//! Brings a unit up from rest and finds where its contacts come to stand, or that they never do.
//!
//! 1. Everything is dropped out; the caller's states are brought up one step after another.
//! 2. In each step all coils, controls, solid-state relays and positions are decided together from one solution,
//!    then the circuit is solved again.
//! 3. A pattern that repeats at once is where the unit stands; a pattern seen before is *chatter*, and the patterns
//!    since are its phases.
//!
//! One factorization is kept for each pattern of contacts of the good circuit; a fault of one conductance is worked
//! into it instead of factoring again.

use super::change::{Change, PoleNow, Scenario, TerminalNow};
use super::complex::Complex;
use super::network::{Current, Drive, GROUND, Make, Network, PoleId};
use super::nodal::{Base, Solved, Stamp, System, stamp};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The equations had no answer: a capacitor and a coil in exact resonance. No sheet is known to do this.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unsolved;

impl std::fmt::Display for Unsolved {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("this circuit comes to no steady volts and amps: look for a coil and a capacitor that cancel out")
    }
}

impl std::error::Error for Unsolved {}

/// What a part does, from the volts on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Under 10 % of rated.
    Off,
    /// Between, or chattering.
    Weak,
    /// Steady, at its working level or above.
    On,
}

/// Where the contacts stand, and the volts and amps that go with it.
#[derive(Clone, Debug)]
pub struct Phase {
    pub(super) acting: Vec<bool>,
    pub(super) positions: Vec<bool>,
    pub(super) ac: Option<Solved>,
    pub(super) dc: Option<Solved>,
}

impl Phase {
    pub(super) fn of(&self, current: Current) -> Option<&Solved> {
        match current {
            Current::Ac => self.ac.as_ref(),
            Current::Dc => self.dc.as_ref(),
        }
    }
}

/// The circuit as it is at one moment, for the caller to decide positions by.
pub struct Glance<'a> {
    net: &'a Network,
    standing: &'a [PoleNow],
    scenario: &'a Scenario,
    phase: Option<&'a Phase>,
}

impl Glance<'_> {
    /// What the part does; a pole without a rating is never on.
    pub fn level(&self, pole: PoleId) -> Level {
        let Some(rated) = self.net.pole_at(pole).rated else { return Level::Off };
        let volts = self.working_volts(pole);
        if volts < self.net.settings.off_below * rated.volts * (1.0 - 1e-9) {
            Level::Off
        } else if volts >= rated.works_from * (1.0 - 1e-9) {
            Level::On
        } else {
            Level::Weak
        }
    }

    /// Volts across a pole as far as they do its work: none if it is open or shorted, less if a fault has raised its ohms.
    fn working_volts(&self, pole: PoleId) -> f64 {
        let part = self.net.pole_at(pole);
        let across = |solved: Option<&Solved>| {
            solved.map_or(0.0, |solved| (solved.volts(part.from) - solved.volts(part.to)).abs())
        };
        let phase = self.phase;
        let volts = match part.rated.map(|rated| rated.current) {
            Some(current) => across(phase.and_then(|phase| phase.of(current))),
            None => across(phase.and_then(|p| p.ac.as_ref())).max(across(phase.and_then(|p| p.dc.as_ref()))),
        };
        let now = now(self.standing, self.scenario, pole.0);
        if now.opens || now.closes {
            return 0.0;
        }
        let made = match part.make {
            Make::Load { hot, .. } => hot.abs(),
            _ => return volts,
        };
        let is = now.ohms.unwrap_or(made) * now.times;
        if is > made { volts * made / is } else { volts }
    }
}

/// Where a unit stands once it has been brought up.
#[derive(Clone, Debug)]
pub struct Settled {
    pub(super) net: Arc<Network>,
    standing: Arc<[PoleNow]>,
    pub(super) scenario: Scenario,
    /// One, or the phases of a chatter in order.
    pub(super) phases: Vec<Phase>,
}

impl Settled {
    /// Contacts that go in and out without end.
    pub fn chatters(&self) -> bool {
        self.phases.len() > 1
    }

    /// How many phases: one unless it chatters.
    pub fn phases(&self) -> usize {
        self.phases.len()
    }

    /// What a part does; weak if it does not do the same in every phase.
    pub fn level(&self, pole: PoleId) -> Level {
        let mut levels = self.phases.iter().map(|phase| self.glance(phase).level(pole));
        let Some(first) = levels.next() else { return Level::Off };
        if levels.all(|level| level == first) { first } else { Level::Weak }
    }

    /// Whether the contacts of a decider are pulled in, in each phase.
    pub fn acting(&self, decider: super::network::DeciderId) -> Vec<bool> {
        self.phases.iter().map(|phase| phase.acting.get(decider.0).copied().unwrap_or(false)).collect()
    }

    /// Whether a contact is made, in each phase, faults and all.
    pub fn made(&self, pole: PoleId) -> Vec<bool> {
        let now = now(&self.standing, &self.scenario, pole.0);
        self.phases
            .iter()
            .map(|phase| {
                !now.opens && (now.closes || closed(&self.net.pole_at(pole).make, &phase.acting, &phase.positions))
            })
            .collect()
    }

    /// The most that is left over in Kirchhoff's sums, in amps; a measure of how exact the solution is.
    pub fn left_over(&self) -> f64 {
        let mut most = 0.0_f64;
        for solved in self.phases.iter().flat_map(|phase| [&phase.ac, &phase.dc]).flatten() {
            for amps in solved.left_over(&self.net) {
                most = most.max(amps);
            }
        }
        most
    }

    /// The phases as glances, to ask levels of one by one.
    pub fn glances(&self) -> impl Iterator<Item = Glance<'_>> {
        self.phases.iter().map(|phase| self.glance(phase))
    }

    fn glance<'a>(&'a self, phase: &'a Phase) -> Glance<'a> {
        Glance { net: &self.net, standing: &self.standing, scenario: &self.scenario, phase: Some(phase) }
    }
}

/// The circuit as an ohmmeter finds it: sources out, relays at rest.
#[derive(Clone, Debug)]
pub struct AtRest {
    pub(super) net: Arc<Network>,
    standing: Arc<[PoleNow]>,
    scenario: Scenario,
    pub(super) solved: Solved,
}

impl AtRest {
    pub(super) fn now(&self, pole: PoleId) -> PoleNow {
        now(&self.standing, &self.scenario, pole.0)
    }
}

/// What the caller decides the positions by, from a glance at the circuit.
pub type Positions<'a> = &'a dyn Fn(&Glance<'_>) -> Vec<bool>;

/// A network made ready to be solved again and again.
#[derive(Clone, Debug)]
pub struct Solver {
    net: Arc<Network>,
    standing: Arc<[PoleNow]>,
    supply: Vec<TerminalNow>,
    /// By system, contacts made, legs lost.
    bases: BTreeMap<(System, Vec<bool>, Vec<bool>), Arc<Base>>,
}

impl Solver {
    /// A solver for the network with changes that stand for all its scenarios: tolerances, the supply of one corner.
    pub fn new(net: Arc<Network>, standing: &[Change]) -> Self {
        let poles = vec![PoleNow::AS_MADE; net.poles.len()];
        let supply = vec![TerminalNow { lost: false, times: 1.0 }; net.terminals.len()];
        let scenario = Scenario::new(&net, &poles, &supply, standing);
        let mut poles = poles;
        for &(at, now) in &scenario.poles {
            if let Some(pole) = poles.get_mut(at) {
                *pole = now;
            }
        }
        Self { net, standing: poles.into(), supply: scenario.terminals, bases: BTreeMap::new() }
    }

    /// The network.
    pub fn network(&self) -> &Network {
        &self.net
    }

    /// From rest, one step after another, with these changes.
    ///
    /// # Errors
    /// [`Unsolved`] if there is no steady state.
    pub fn bring_up(&mut self, steps: &[Positions<'_>], changes: &[Change]) -> Result<Settled, Unsolved> {
        let net = Arc::clone(&self.net);
        let standing = Arc::clone(&self.standing);
        let scenario = Scenario::new(&net, &standing, &self.supply, changes);
        let mut acting: Vec<bool> = (0..net.deciders.len()).map(|at| held(&scenario, at).unwrap_or(false)).collect();
        let mut phases: Vec<Phase> = Vec::new();
        for step in steps {
            let glance = Glance { net: &net, standing: &standing, scenario: &scenario, phase: phases.last() };
            let mut positions = step(&glance);
            let mut seen: Vec<Phase> = Vec::new();
            phases = loop {
                if let Some(first) = seen.iter().position(|p| p.acting == acting && p.positions == positions) {
                    break seen.split_off(first);
                }
                let ac = self.solve(System::Ac, &acting, &positions, &scenario)?;
                let dc = self.solve(System::Dc, &acting, &positions, &scenario)?;
                let phase = Phase { acting: acting.clone(), positions: positions.clone(), ac, dc };
                let glance = Glance { net: &net, standing: &standing, scenario: &scenario, phase: Some(&phase) };
                positions = step(&glance);
                for (at, decider) in net.deciders.iter().enumerate() {
                    let Some(acts) = acting.get_mut(at) else { continue };
                    let volts = glance.working_volts(decider.pole) * (1.0 + 1e-9);
                    let pulled = volts >= decider.pull_in || (*acts && volts >= decider.let_go);
                    *acts = held(&scenario, at).unwrap_or(pulled);
                }
                seen.push(phase);
            };
            // A chatter goes on from where it is met; the next step starts from its last phase.
            if let Some(last) = phases.last() {
                acting.clone_from(&last.acting);
            }
        }
        Ok(Settled { net, standing, scenario, phases })
    }

    /// As an ohmmeter finds it: sources out, coils dropped out, positions as given.
    ///
    /// # Errors
    /// [`Unsolved`] if there is no steady state.
    pub fn at_rest(&mut self, positions: Positions<'_>, changes: &[Change]) -> Result<AtRest, Unsolved> {
        let net = Arc::clone(&self.net);
        let standing = Arc::clone(&self.standing);
        let scenario = Scenario::new(&net, &standing, &self.supply, changes);
        let acting: Vec<bool> = (0..net.deciders.len()).map(|at| held(&scenario, at) == Some(true)).collect();
        let glance = Glance { net: &net, standing: &standing, scenario: &scenario, phase: None };
        let positions = positions(&glance);
        let solved = self.solve(System::Ohms, &acting, &positions, &scenario)?.ok_or(Unsolved)?;
        Ok(AtRest { net, standing, scenario, solved })
    }

    /// `None` if nothing in the unit makes this kind of current.
    fn solve(
        &mut self,
        system: System,
        acting: &[bool],
        positions: &[bool],
        scenario: &Scenario,
    ) -> Result<Option<Solved>, Unsolved> {
        let current = match system {
            System::Ohms => None,
            System::Ac => Some(Current::Ac),
            System::Dc => Some(Current::Dc),
        };
        if current.is_some_and(|current| !self.net.has(current)) {
            return Ok(None);
        }
        let net = &self.net;
        let lost: Vec<bool> = net
            .terminals
            .iter()
            .zip(&scenario.terminals)
            .map(|(terminal, now)| {
                let floats = net.supplies.get(terminal.supply.0).is_none_or(|supply| supply.reference != GROUND);
                // For the ohmmeter the legs are out; a bonded neutral stays bonded.
                now.lost || (system == System::Ohms && (floats || terminal.volts != Complex::ZERO))
            })
            .collect();
        let pattern: Vec<bool> = net.poles.iter().map(|pole| closed(&pole.make, acting, positions)).collect();
        let key = (system, pattern, lost);
        let base = match self.bases.get(&key) {
            Some(base) => Arc::clone(base),
            None => {
                let of = |at: usize| self.standing.get(at).copied().unwrap_or(PoleNow::AS_MADE);
                let stamps = key
                    .1
                    .iter()
                    .enumerate()
                    .map(|(at, &closed)| stamp(net, system, at, closed || of(at).closes, &of))
                    .collect();
                let base = Arc::new(Base::new(net, stamps, key.2.clone()).ok_or(Unsolved)?);
                self.bases.insert(key.clone(), Arc::clone(&base));
                base
            }
        };
        let of = |at: usize| now(&self.standing, scenario, at);
        let mut changed: Vec<usize> = Vec::with_capacity(scenario.poles.len());
        for &(at, _) in &scenario.poles {
            changed.push(at);
            if let Some(Make::Winding { twin, .. }) = net.poles.get(at).map(|pole| pole.make) {
                changed.push(twin.0);
            }
        }
        let mut stamps: Vec<Stamp> = base.stamps.clone();
        for &at in &changed {
            let made = key.1.get(at).copied().unwrap_or(false) || of(at).closes;
            if let Some(place) = stamps.get_mut(at) {
                *place = stamp(net, system, at, made, &of);
            }
        }
        Solved::new(net, system, &base, stamps, &changed, &scenario.terminals).map(Some).ok_or(Unsolved)
    }
}

fn held(scenario: &Scenario, decider: usize) -> Option<bool> {
    scenario.held.iter().find(|&&(at, _)| at == decider).map(|&(_, acts)| acts)
}

fn now(standing: &[PoleNow], scenario: &Scenario, pole: usize) -> PoleNow {
    scenario
        .poles
        .iter()
        .find(|&&(at, _)| at == pole)
        .map(|&(_, now)| now)
        .or_else(|| standing.get(pole).copied())
        .unwrap_or(PoleNow::AS_MADE)
}

/// Whether a contact is made, or an output on, by what drives it.
fn closed(make: &Make, acting: &[bool], positions: &[bool]) -> bool {
    let (Make::Contact { drive, .. } | Make::Output { drive, .. }) = make else { return true };
    let Drive { decider, position, rest_closed } = *drive;
    let by_decider = decider.is_none_or(|decider| acting.get(decider.0).copied().unwrap_or(false));
    let by_position = position.is_none_or(|position| positions.get(position.0).copied().unwrap_or(false));
    (by_decider && by_position) != rest_closed
}

/// Points that count as an end of a path for ghosts: ground and every leg that is not lost.
pub(super) fn ends(net: &Network, scenario: &Scenario) -> Vec<bool> {
    let mut ends = vec![false; net.points.len()];
    if let Some(ground) = ends.first_mut() {
        *ground = true;
    }
    for (terminal, now) in net.terminals.iter().zip(&scenario.terminals) {
        if !now.lost
            && let Some(end) = ends.get_mut(terminal.point.0)
        {
            *end = true;
        }
    }
    ends
}
