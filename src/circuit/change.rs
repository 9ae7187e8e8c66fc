//! What may be different about a circuit: a fault, a tolerance, a supply that is low.

use super::complex::Complex;
use super::network::{DeciderId, Network, PoleId, SupplyId, TerminalId};

/// Where a change is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum At {
    /// At a pole of a part.
    Pole(PoleId),
    /// At one terminal of a supply.
    Terminal(TerminalId),
    /// At all terminals of a supply.
    Supply(SupplyId),
    /// At what moves contacts.
    Decider(DeciderId),
}

/// What it does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Effect {
    /// Pole: nothing gets through (an off solid-state relay still leaks). Terminal: the leg is lost.
    /// Decider: it never acts.
    Opens,
    /// Pole: made, whatever should move it; a load: shorted. Decider: it always acts.
    Closes,
    /// The pole's ohms when it conducts are these instead.
    Ohms(f64),
    /// The pole's ohms (a capacitor's farads, a supply's or an output's volts) times this.
    Times(f64),
    /// As `Times`, but within the maker's tolerance: does not count when *on* and *weak* are told apart.
    Tolerance(f64),
    /// The supply's or the output's volts are these instead.
    Volts(f64),
    /// The supply's lines follow each other the other way round: L3 behind L1.
    Turned,
    /// A path of `ohms` to ground at the share `along` (0 to 1) of the pole, from its first end.
    Grounded {
        /// 0 at the first end, 1 at the second.
        along: f64,
        /// Ohms of the path.
        ohms: f64,
    },
}

/// One change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Where.
    pub at: At,
    /// What.
    pub effect: Effect,
}

impl Change {
    /// A change at a pole.
    pub const fn pole(pole: PoleId, effect: Effect) -> Self {
        Self { at: At::Pole(pole), effect }
    }
}

/// All changes at one pole together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PoleNow {
    pub opens: bool,
    pub closes: bool,
    pub ohms: Option<f64>,
    pub times: f64,
    pub tolerance: f64,
    pub volts: Option<f64>,
    pub grounded: Option<(f64, f64)>,
}

impl PoleNow {
    pub const AS_MADE: Self =
        Self { opens: false, closes: false, ohms: None, times: 1.0, tolerance: 1.0, volts: None, grounded: None };

    fn take(&mut self, effect: Effect) {
        match effect {
            Effect::Opens => self.opens = true,
            Effect::Closes => self.closes = true,
            Effect::Ohms(ohms) => self.ohms = Some(ohms),
            Effect::Times(times) => self.times *= times,
            Effect::Tolerance(times) => self.tolerance *= times,
            Effect::Volts(volts) => self.volts = Some(volts),
            Effect::Turned => {}
            Effect::Grounded { along, ohms } => self.grounded = Some((along, ohms)),
        }
    }
}

/// One supply terminal with its changes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct TerminalNow {
    pub lost: bool,
    pub times: f64,
    pub turned: bool,
}

impl TerminalNow {
    pub const AS_MADE: Self = Self { lost: false, times: 1.0, turned: false };

    /// Its volts, by those it is made for.
    pub fn volts(self, made: Complex) -> Complex {
        (if self.turned { made.conjugate() } else { made }) * self.times
    }
}

/// Changes sorted by where they are.
#[derive(Clone, Debug)]
pub(super) struct Scenario {
    /// Only the poles that are changed, in order.
    pub poles: Vec<(usize, PoleNow)>,
    pub terminals: Vec<TerminalNow>,
    /// Deciders that are held at rest (`false`) or acting (`true`).
    pub held: Vec<(usize, bool)>,
}

impl Scenario {
    /// The changes on top of `standing` ones, which have been built into the poles already.
    pub fn new(net: &Network, standing: &[PoleNow], supply: &[TerminalNow], changes: &[Change]) -> Self {
        let mut scenario = Self { poles: Vec::new(), terminals: supply.to_vec(), held: Vec::new() };
        for change in changes {
            scenario.take(net, standing, change);
        }
        scenario.poles.sort_by_key(|&(at, _)| at);
        scenario
    }

    fn take(&mut self, net: &Network, standing: &[PoleNow], change: &Change) {
        match change.at {
            At::Pole(PoleId(at)) => {
                if let Some((_, now)) = self.poles.iter_mut().find(|(pole, _)| *pole == at) {
                    now.take(change.effect);
                } else if let Some(&before) = standing.get(at) {
                    let mut now = before;
                    now.take(change.effect);
                    self.poles.push((at, now));
                }
            }
            At::Terminal(TerminalId(at)) => self.at_terminal(at, change.effect, None),
            At::Supply(SupplyId(at)) => {
                let Some(supply) = net.supplies.get(at) else { return };
                let nominal = net.volts_of(SupplyId(at));
                for &TerminalId(at) in &supply.terminals {
                    self.at_terminal(at, change.effect, Some(nominal));
                }
            }
            At::Decider(DeciderId(at)) => match change.effect {
                Effect::Opens => self.held.push((at, false)),
                Effect::Closes => self.held.push((at, true)),
                _ => {}
            },
        }
    }

    fn at_terminal(&mut self, at: usize, effect: Effect, nominal: Option<f64>) {
        let Some(terminal) = self.terminals.get_mut(at) else { return };
        match (effect, nominal) {
            (Effect::Opens, _) => terminal.lost = true,
            (Effect::Turned, _) => terminal.turned = !terminal.turned,
            (Effect::Times(times) | Effect::Tolerance(times), _) => terminal.times *= times,
            (Effect::Volts(volts), Some(nominal)) if nominal > 0.0 => terminal.times = volts / nominal,
            _ => {}
        }
    }
}

impl Network {
    /// Volts between the lines of a supply, or to ground if it has only one line.
    pub fn volts_of(&self, supply: SupplyId) -> f64 {
        let legs: Vec<_> =
            self.terminals_of(supply).iter().filter_map(|t| self.terminals.get(t.0)).map(|t| t.volts).collect();
        let mut most = 0.0_f64;
        for (i, &one) in legs.iter().enumerate() {
            if legs.len() == 1 {
                most = one.abs();
            }
            for &other in legs.iter().skip(i + 1) {
                most = most.max((one - other).abs());
            }
        }
        most
    }
}
