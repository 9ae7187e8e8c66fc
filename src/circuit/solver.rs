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

use super::base::Base;
use super::change::{At, Change, Effect, PoleNow, Scenario, TerminalNow};
use super::complex::Complex;
use super::network::{Current, DeciderId, Drive, GROUND, Make, Network, PoleId};
use super::nodal::{MOST_WORKED_IN, Solved};
use super::stamp::{Stamp, System, stamp};
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
    pub fn acting(&self, decider: DeciderId) -> Vec<bool> {
        self.phases.iter().map(|phase| phase.acting.get(decider.0).copied().unwrap_or(false)).collect()
    }

    /// How the contacts stand that the caller decides; `None` while they go in and out.
    pub fn positions(&self) -> Option<&[bool]> {
        match self.phases.as_slice() {
            [phase] => Some(&phase.positions),
            _ => None,
        }
    }

    /// What holds every decider as it is now.
    pub fn holding(&self) -> Vec<Change> {
        let acting = self.phases.first().map(|phase| phase.acting.as_slice()).unwrap_or_default();
        let hold = |(at, acts): (usize, &bool)| Change {
            at: At::Decider(DeciderId(at)),
            effect: if *acts { Effect::Closes } else { Effect::Opens },
        };
        acting.iter().enumerate().map(hold).collect()
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

    /// Whether anything at all flows through a pole in some phase.
    pub fn carries(&self, pole: PoleId) -> bool {
        let solved = self.phases.iter().flat_map(|phase| [&phase.ac, &phase.dc]).flatten();
        solved.into_iter().any(|solved| solved.amps(pole) != Complex::ZERO)
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
    /// The circuits factored so far, in order of their patterns.
    bases: Vec<Factored>,
    /// Room for the pattern looked for.
    pattern: Pattern,
    /// How often it was solved.
    solves: usize,
}

/// What a factored circuit is known by.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Pattern {
    system: System,
    made: Vec<bool>,
    lost: Vec<bool>,
}

/// One pattern of contacts, factored; and the same with one change built in that can't be worked in.
#[derive(Clone, Debug)]
struct Factored {
    pattern: Pattern,
    base: Arc<Base>,
    changed: Vec<(Changed, Arc<Base>)>,
}

/// Poles with the stamps they have instead.
type Changed = Vec<(usize, Stamp)>;

/// So many circuits with a change built in are kept a pattern: a unit has fewer faults. A number of ours.
const MOST_KEPT: usize = 64;

impl Solver {
    /// A solver for the network with changes that stand for all its scenarios: tolerances, the supply of one corner.
    pub fn new(net: Arc<Network>, standing: &[Change]) -> Self {
        let poles = vec![PoleNow::AS_MADE; net.poles.len()];
        let supply = vec![TerminalNow::AS_MADE; net.terminals.len()];
        let scenario = Scenario::new(&net, &poles, &supply, standing);
        let mut poles = poles;
        for &(at, now) in &scenario.poles {
            if let Some(pole) = poles.get_mut(at) {
                *pole = now;
            }
        }
        Self {
            net,
            standing: poles.into(),
            supply: scenario.terminals,
            bases: Vec::new(),
            pattern: Pattern { system: System::Ac, made: Vec::new(), lost: Vec::new() },
            solves: 0,
        }
    }

    /// The network.
    pub fn network(&self) -> &Network {
        &self.net
    }

    /// How often it was solved: one system in one pattern of contacts, with its changes.
    pub fn solves(&self) -> usize {
        self.solves
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
            // What stands still and is moved by nothing needs no solving again.
            if let [still] = phases.as_slice()
                && still.positions == positions
            {
                continue;
            }
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
        self.solves += 1;
        let net = Arc::clone(&self.net);
        let standing = Arc::clone(&self.standing);
        let at = self.factored(system, acting, positions, scenario)?;
        let Some(factored) = self.bases.get_mut(at) else { return Err(Unsolved) };
        let of = |at: usize| now(&standing, scenario, at);
        let mut changed = Changed::new();
        let mut change = |at: usize| {
            if changed.iter().any(|(other, _)| *other == at) {
                return;
            }
            let made = factored.pattern.made.get(at).copied().unwrap_or(false) || of(at).closes;
            let new = stamp(&net, system, at, made, &of);
            if factored.base.stamps.get(at) != Some(&new) {
                changed.push((at, new));
            }
        };
        for &(at, _) in &scenario.poles {
            change(at);
            if let Some(Make::Winding { twin, .. }) = net.poles.get(at).map(|pole| pole.make) {
                change(twin.0);
            }
        }
        let circuit = Circuit { net: &net, system, scenario, as_stands: scenario.terminals == self.supply };
        factored.solve(circuit, changed).map(Some)
    }

    /// The circuit of this pattern, factored: its place in the list.
    fn factored(
        &mut self,
        system: System,
        acting: &[bool],
        positions: &[bool],
        scenario: &Scenario,
    ) -> Result<usize, Unsolved> {
        let net = &self.net;
        let pattern = &mut self.pattern;
        pattern.system = system;
        pattern.made.clear();
        pattern.made.extend(net.poles.iter().map(|pole| closed(&pole.make, acting, positions)));
        pattern.lost.clear();
        pattern.lost.extend(net.terminals.iter().zip(&scenario.terminals).map(|(terminal, now)| {
            let floats = net.supplies.get(terminal.supply.0).is_none_or(|supply| supply.reference != GROUND);
            // For the ohmmeter the legs are out; a bonded neutral stays bonded.
            now.lost || (system == System::Ohms && (floats || terminal.volts != Complex::ZERO))
        }));
        match self.bases.binary_search_by(|factored| factored.pattern.cmp(pattern)) {
            Ok(at) => Ok(at),
            Err(at) => {
                let of = |at: usize| self.standing.get(at).copied().unwrap_or(PoleNow::AS_MADE);
                let stamps = pattern
                    .made
                    .iter()
                    .enumerate()
                    .map(|(at, &closed)| stamp(net, system, at, closed || of(at).closes, &of))
                    .collect();
                let base = Arc::new(Base::new(net, stamps, pattern.lost.clone()).ok_or(Unsolved)?);
                self.bases.insert(at, Factored { pattern: pattern.clone(), base, changed: Vec::new() });
                Ok(at)
            }
        }
    }
}

/// What is to be solved.
#[derive(Clone, Copy)]
struct Circuit<'a> {
    net: &'a Network,
    system: System,
    scenario: &'a Scenario,
    /// The supplies stand as they do without the scenario.
    as_stands: bool,
}

impl Circuit<'_> {
    fn worked_in(self, base: &Arc<Base>, changed: Changed) -> Option<Solved> {
        Solved::worked_in(self.net, self.system, base, changed, &self.scenario.terminals, self.as_stands)
    }

    /// A base with changes built in.
    fn built_in(self, base: &Base, changes: &[(usize, Stamp)]) -> Result<Arc<Base>, Unsolved> {
        let mut stamps = base.stamps.clone();
        for (at, new) in changes {
            if let Some(place) = stamps.get_mut(*at) {
                *place = *new;
            }
        }
        Base::new(self.net, stamps, base.lost.clone()).map(Arc::new).ok_or(Unsolved)
    }

    /// The changes taken out that have to be built in first: one that can't be worked in, with its twin.
    fn stubborn(self, base: &Base, changed: &mut Changed) -> Changed {
        let at = changed.iter().position(|change| !Solved::works_in(base, change)).unwrap_or(0);
        if changed.is_empty() {
            return Vec::new();
        }
        let first = changed.remove(at);
        let twin = match self.net.poles.get(first.0).map(|pole| pole.make) {
            Some(Make::Winding { twin, .. }) => changed.iter().position(|(at, _)| *at == twin.0),
            _ => None,
        };
        let twin = twin.map(|at| changed.remove(at));
        [first].into_iter().chain(twin).collect()
    }
}

impl Factored {
    /// Works the changes in; what can't be worked in is built into a circuit of its own, which is kept, and the rest worked
    /// into that.
    fn solve(&mut self, circuit: Circuit<'_>, changed: Changed) -> Result<Solved, Unsolved> {
        if let Some(solved) = circuit.worked_in(&self.base, changed.clone()) {
            return Ok(solved);
        }
        if Solved::paths(&self.base, &changed) > MOST_WORKED_IN {
            let base = circuit.built_in(&self.base, &changed)?;
            return circuit.worked_in(&base, Vec::new()).ok_or(Unsolved);
        }
        let mut rest = changed;
        let first = circuit.stubborn(&self.base, &mut rest);
        let mut base = match self.changed.iter().find(|(changes, _)| *changes == first) {
            Some((_, base)) => Arc::clone(base),
            None => {
                let base = circuit.built_in(&self.base, &first)?;
                if self.changed.len() < MOST_KEPT {
                    self.changed.push((first, Arc::clone(&base)));
                }
                base
            }
        };
        loop {
            if let Some(solved) = circuit.worked_in(&base, rest.clone()) {
                return Ok(solved);
            }
            if rest.is_empty() {
                return Err(Unsolved);
            }
            let more = circuit.stubborn(&base, &mut rest);
            base = circuit.built_in(&base, &more)?;
        }
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
