//! The meter in the circuit.
//!
//! 1. Volts are read with the meter's own ohms between the probes: `open volts × meter ÷ (meter + ohms seen there)`.
//!    The contacts stand where they stood without it.
//! 2. A *ghost* is a volt reading AC where a probe's point has no path under 1 Mohm to a supply, ground or the other
//!    probe: beside the reading stands what stray coupling may show, 85 % of the highest supply (both as settings).
//!    The `loaded` meter gives none.
//! 3. Amps go through a pole (into its first end) or out of a supply terminal.
//! 4. Ohms come from the circuit at rest; by itself, a part is what it is.
//!
//! Every reading of one state is one back-substitution in the same factorization.

use super::complex::Complex;
use super::network::{Current, Make, PointId, PoleId, TerminalId};
use super::nodal::Solved;
use super::solver::{AtRest, Settled, ends};

/// Where the meter goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Red probe, black probe.
    Between(PointId, PointId),
    /// Across a pole, red on its first end.
    Across(PoleId),
}

/// What a clamp goes round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clamp {
    /// One pole.
    Pole(PoleId),
    /// One supply terminal.
    Terminal(TerminalId),
}

/// A value on the meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// A number in volts, amps or ohms.
    Number(f64),
    /// Over the meter's range: open.
    Ol,
}

/// How a reading that moves is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// The most it shows.
    Highest,
    /// The least.
    Lowest,
    /// The mean of the phases.
    Average,
}

/// What the meter shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// One value, or one for each phase of a chatter.
    pub phases: Vec<f64>,
    /// What it may show instead where a probe's point hangs in the air.
    pub ghost: Option<f64>,
}

impl Reading {
    /// The values the meter may show: by the way it is taken, one; without, any phase. The ghost is not among them.
    pub fn values(&self, way: Option<Way>) -> Vec<f64> {
        let phases = self.phases.iter().copied();
        match way {
            None => self.phases.clone(),
            Some(Way::Highest) => phases.reduce(f64::max).into_iter().collect(),
            Some(Way::Lowest) => phases.reduce(f64::min).into_iter().collect(),
            Some(Way::Average) if self.phases.is_empty() => Vec::new(),
            Some(Way::Average) => vec![phases.sum::<f64>() / self.phases.len() as f64],
        }
    }
}

impl Settled {
    /// Volts, with a meter of so many ohms in (infinite: the volts with none). AC is the RMS length; DC has a sign, plus when the red probe is higher.
    pub fn volts(&self, current: Current, place: Place, meter_ohms: f64) -> Vec<f64> {
        let (red, black) = self.ends_of(place);
        self.phases
            .iter()
            .map(|phase| phase.of(current).map_or(0.0, |solved| self.volts_in(solved, current, red, black, meter_ohms)))
            .collect()
    }

    fn volts_in(&self, solved: &Solved, current: Current, red: PointId, black: PointId, meter_ohms: f64) -> f64 {
        let open = solved.volts(red) - solved.volts(black);
        let shown = if meter_ohms.is_infinite() || open == Complex::ZERO {
            open
        } else {
            let meter = Complex::from(meter_ohms);
            open * (meter / (meter + solved.impedance(&self.net, red, black)))
        };
        match current {
            Current::Ac => shown.abs(),
            Current::Dc => shown.re,
        }
    }

    /// Volts and the ghost beside them; no ghost with the low-impedance meter (`loaded`) or on DC.
    pub fn read_volts(&self, current: Current, place: Place, meter_ohms: f64, loaded: bool) -> Reading {
        let phases = self.volts(current, place, meter_ohms);
        let ghost = if loaded || current == Current::Dc { None } else { self.ghost(place) };
        Reading { phases, ghost }
    }

    fn ghost(&self, place: Place) -> Option<f64> {
        let settings = self.net.settings;
        self.floats(Current::Ac, place).then(|| settings.ghost_share * self.net.highest_volts())
    }

    /// Whether a probe hangs in the air: its point has no path under 1 Mohm to a supply, ground or the other probe.
    pub fn floats(&self, current: Current, place: Place) -> bool {
        let (red, black) = self.ends_of(place);
        let ends = ends(&self.net, &self.scenario);
        self.phases.iter().filter_map(|phase| phase.of(current)).any(|solved| {
            [(red, black), (black, red)].into_iter().any(|(probe, other)| {
                let mut ends = ends.clone();
                if let Some(end) = ends.get_mut(other.0) {
                    *end = true;
                }
                solved.path_ohms(&self.net, probe, &ends) > self.net.settings.ghost_ohms
            })
        })
    }

    /// Amps through a pole or a supply terminal. AC is the RMS length; DC has a sign.
    pub fn amps(&self, current: Current, clamp: Clamp) -> Vec<f64> {
        self.phases
            .iter()
            .map(|phase| {
                let amps = phase.of(current).map_or(Complex::ZERO, |solved| match clamp {
                    Clamp::Pole(pole) => solved.amps(pole),
                    Clamp::Terminal(terminal) => solved.terminal_amps(terminal),
                });
                match current {
                    Current::Ac => amps.abs(),
                    Current::Dc => amps.re,
                }
            })
            .collect()
    }

    /// Whether a point can bite in some phase: volts to ground, or on a floating supply to any point it hangs together
    /// with.
    pub fn is_live(&self, point: PointId) -> bool {
        self.volts_at(point) >= self.net.settings.live_volts
    }

    /// The most volts from a point to ground, or on a floating supply to any point it hangs together with.
    pub fn volts_at(&self, point: PointId) -> f64 {
        let mut most = 0.0_f64;
        for solved in self.phases.iter().flat_map(|phase| [&phase.ac, &phase.dc]).flatten() {
            let island = solved.island(point);
            let here = solved.volts(point);
            if island == 0 {
                most = most.max(here.abs());
                continue;
            }
            for (other, _) in self.net.points() {
                if solved.island(other) == island {
                    most = most.max((here - solved.volts(other)).abs());
                }
            }
        }
        most
    }

    /// The points that can bite, in the order of the network.
    pub fn live_points(&self) -> Vec<(PointId, &str)> {
        self.net.points().filter(|&(point, _)| self.is_live(point)).collect()
    }

    fn ends_of(&self, place: Place) -> (PointId, PointId) {
        match place {
            Place::Between(red, black) => (red, black),
            Place::Across(pole) => {
                let pole = self.net.pole_at(pole);
                (pole.from, pole.to)
            }
        }
    }
}

impl AtRest {
    /// Ohms with everything in place: other paths count.
    pub fn ohms(&self, place: Place) -> Value {
        let (red, black) = match place {
            Place::Between(red, black) => (red, black),
            Place::Across(pole) => {
                let pole = self.net.pole_at(pole);
                (pole.from, pole.to)
            }
        };
        if self.solved.island(red) != self.solved.island(black) {
            return Value::Ol;
        }
        self.shown(self.solved.impedance(&self.net, red, black).abs())
    }

    /// Ohms of a pole by itself, one wire off.
    pub fn ohms_alone(&self, pole: PoleId) -> Value {
        self.shown(self.solved.own_ohms(pole))
    }

    /// Farads of a capacitor by itself; `None` for any other part. An open one has none, a shorted one reads OL.
    pub fn farads(&self, pole: PoleId) -> Option<Value> {
        let Make::Capacitor { farads } = self.net.pole_at(pole).make else { return None };
        let now = self.now(pole);
        Some(match (now.opens, now.closes) {
            (true, _) => Value::Number(0.0),
            (_, true) => Value::Ol,
            _ => Value::Number(farads * now.times * now.tolerance),
        })
    }

    fn shown(&self, ohms: f64) -> Value {
        if ohms >= self.net.settings.ol_ohms { Value::Ol } else { Value::Number(ohms) }
    }
}
