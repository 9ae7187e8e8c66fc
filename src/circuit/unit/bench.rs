//! A unit at one corner, made ready to be brought up.

use super::outside::{Outside, Shown};
use super::stood::{Stood, Up};
use super::wired::Wired;
use crate::circuit::{At, Change, Effect, Glance, Level, Make, PoleId, Positions, Solver, Unsolved};
use crate::sheet::standing::Standing;
use crate::sheet::states::{Stand, States};
use crate::sheet::unit::amount::Spread;
use crate::sheet::unit::group::Group;
use crate::sheet::unit::model::{Does, Effect as SheetEffect, FaultId, Given, Owner, Part, PartId};
use crate::trade::reading::Reading as Number;
use crate::trade::sensors::platinum::Platinum;
use std::sync::Arc;

/// An end of a spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Lowest.
    Low,
    /// As on the plate.
    Nominal,
    /// Highest.
    High,
}

/// One corner: every number that may vary, set.
#[derive(Debug, Clone, PartialEq)]
pub struct Corner {
    /// Supplies and the rest of the rating plate.
    pub supply: End,
    /// Whether the three lines follow each other the other way round: nobody in a kitchen knows which, and where a motor hangs
    /// on two of them it moves the amps of each.
    pub turned: bool,
    /// Supplies that stand at volts of their own: which, as a share of the volts on the plate.
    pub volts: Vec<(usize, f64)>,
    /// The ohms (of a capacitor, the size) of all parts with a tolerance.
    pub parts: End,
    /// Parts that stand at another end than the others.
    pub apart: Vec<(PartId, End)>,
    /// Free readings: 0 at their low end, 1 at their high.
    pub free: f64,
    /// What faults show and do: 0 at the low end, 1 at the high.
    pub faults: f64,
}

impl Corner {
    /// Everything in the middle.
    #[must_use]
    pub fn nominal() -> Self {
        Self {
            supply: End::Nominal,
            turned: false,
            volts: Vec::new(),
            parts: End::Nominal,
            apart: Vec::new(),
            free: 0.5,
            faults: 0.5,
        }
    }

    /// A number of the rating plate here.
    #[must_use]
    pub fn of(&self, spread: &Spread) -> f64 {
        match self.supply {
            End::Low => spread.low,
            End::Nominal => spread.nominal,
            End::High => spread.high,
        }
    }

    /// How far a part is off its nominal ohms (a capacitor: size), as a factor.
    fn factor(&self, id: PartId, part: &Part) -> f64 {
        let end = self.apart.iter().find(|(of, _)| *of == id).map_or(self.parts, |(_, end)| *end);
        let (watts, minus, plus) = match part.given.get("tolerance") {
            Some(Given::Tolerance { watts, minus, plus }) => (*watts, *minus, *plus),
            // Catalogue figure for sheathed elements: watts +5 -10 % (trade facts, section 4).
            _ if part.group == Group::Elements => (true, 0.10, 0.05),
            _ => return 1.0,
        };
        let (low, high) = if watts { (1.0 / (1.0 + plus), 1.0 / (1.0 - minus)) } else { (1.0 - minus, 1.0 + plus) };
        match end {
            End::Low => low,
            End::Nominal => 1.0,
            End::High => high,
        }
    }
}

/// A unit at one corner.
#[derive(Debug, Clone)]
pub struct Bench {
    pub(super) wired: Arc<Wired>,
    pub(super) corner: Arc<Corner>,
    pub(super) solver: Solver,
    /// Probes that sit at a reading.
    has_sensors: bool,
}

impl Bench {
    /// A unit made ready at one corner.
    #[must_use]
    pub fn new(wired: &Arc<Wired>, corner: impl Into<Arc<Corner>>) -> Self {
        let corner = corner.into();
        let mut standing = Vec::new();
        for (at, supply) in wired.unit.supplies.iter().enumerate() {
            if let Some(id) = wired.supply(at) {
                let own = corner.volts.iter().find(|(of, _)| *of == at).map(|(_, share)| *share);
                let share = own.unwrap_or_else(|| corner.of(&supply.volts) / supply.volts.nominal);
                standing.push(Change { at: At::Supply(id), effect: Effect::Tolerance(share) });
                if corner.turned {
                    standing.push(Change { at: At::Supply(id), effect: Effect::Turned });
                }
            }
        }
        for (id, part) in wired.unit.parts() {
            let factor = corner.factor(id, part);
            for at in 0..part.poles.len() {
                if let Some(pole) = wired.pole(id, at).filter(|_| factor != 1.0) {
                    standing.push(Change::pole(pole, Effect::Tolerance(factor)));
                }
            }
        }
        let has_sensors = wired.unit.parts.iter().any(|part| part.given.contains_key("at"));
        let solver = Solver::new(Arc::clone(&wired.net), &standing);
        Self { wired: Arc::clone(wired), corner, solver, has_sensors }
    }

    /// The corner.
    #[must_use]
    pub fn corner(&self) -> &Corner {
        &self.corner
    }

    /// Brings the unit up into a standing with faults in it, state after state in sheet order.
    ///
    /// # Errors
    /// [`Unsolved`] where the circuit comes to no steady state.
    pub fn stand(&mut self, standing: &Standing, faults: &[FaultId]) -> Result<Stood, Unsolved> {
        let up = Arc::new(self.up(standing, faults)?);
        Ok(Stood::new(&self.wired, &self.corner, standing, faults, up))
    }

    /// The circuit alone.
    ///
    /// # Errors
    /// [`Unsolved`] where it comes to no steady state.
    pub fn up(&mut self, standing: &Standing, faults: &[FaultId]) -> Result<Up, Unsolved> {
        let mut changes = self.changes(faults);
        let settled = self.bring_up(standing, faults, &changes)?;
        if !self.has_sensors {
            return Ok(Up::new(settled, changes));
        }
        let up = Arc::new(Up::new(settled, Vec::new()));
        let stood = Stood::new(&self.wired, &self.corner, standing, faults, Arc::clone(&up));
        let sensors = self.sensors(&stood);
        // A probe that carries nothing moves nothing; only the ohmmeter feels it then.
        let felt = sensors.iter().any(|(pole, _)| up.settled.carries(*pole));
        changes.splice(0..0, sensors.into_iter().map(|(pole, ohms)| Change::pole(pole, Effect::Ohms(ohms))));
        let settled = if felt { self.bring_up(standing, faults, &changes)? } else { up.settled.clone() };
        Ok(Up::new(settled, changes))
    }

    /// How often it was solved: one kind of current in one pattern of contacts, or at rest for the ohmmeter.
    #[must_use]
    pub fn solves(&self) -> usize {
        self.solver.solves()
    }

    /// A good unit again with every load off and every contact where it is: its supplies and branches unloaded. A sensor is no
    /// load: it is what is measured. `None` where contacts chatter.
    ///
    /// # Errors
    /// [`Unsolved`] where the circuit comes to no steady state.
    pub fn unloaded(&mut self, standing: &Standing, stood: &Stood) -> Result<Option<Stood>, Unsolved> {
        let settled = stood.settled();
        let Some(positions) = settled.positions() else { return Ok(None) };
        let wired = Arc::clone(&self.wired);
        let poles = wired.unit.parts().filter(|(_, part)| part.group != Group::Sensors).flat_map(|(id, part)| {
            let wired = &wired;
            (0..part.poles.len()).filter_map(move |at| wired.pole(id, at))
        });
        let load = |pole: &PoleId| matches!(wired.net.pole_at(*pole).make, Make::Load { .. } | Make::Capacitor { .. });
        let mut changes: Vec<Change> =
            poles.filter(load).map(|pole| Change::pole(pole, Effect::Opens)).chain(settled.holding()).collect();
        changes.extend(stood.changes().iter().copied());
        let still = |_: &Glance<'_>| positions.to_vec();
        let settled = self.solver.bring_up(&[&still], &changes)?;
        Ok(Some(Stood::new(&self.wired, &self.corner, standing, &[], Arc::new(Up::new(settled, changes)))))
    }

    fn bring_up(
        &mut self,
        standing: &Standing,
        faults: &[FaultId],
        changes: &[Change],
    ) -> Result<crate::circuit::Settled, Unsolved> {
        let (wired, corner) = (Arc::clone(&self.wired), Arc::clone(&self.corner));
        let steps = steps_to(standing, &wired.unit.states);
        let deciding: Vec<_> = steps
            .iter()
            .map(|step| {
                let (wired, corner) = (&wired, &corner);
                move |glance: &Glance<'_>| {
                    let does = |part: PartId, pole: usize| does(wired, part, pole, |pole| glance.level(pole));
                    let outside =
                        Outside { unit: &wired.unit, standing: step, faults, corner, free: corner.free, does: &does };
                    wired.positions.iter().map(|when| outside.holds(when)).collect()
                }
            })
            .collect();
        let steps: Vec<Positions<'_>> = deciding.iter().map(|step| step as Positions<'_>).collect();
        self.solver.bring_up(&steps, changes)
    }

    /// What the faults do to the network.
    fn changes(&self, faults: &[FaultId]) -> Vec<Change> {
        let unit = &self.wired.unit;
        let mut changes = Vec::new();
        for fault in faults {
            let fault = unit.fault_of(*fault);
            let pick = |stretch: &crate::sheet::unit::amount::Stretch| {
                stretch.low + (stretch.high - stretch.low) * self.corner.faults
            };
            for effect in &fault.effects {
                let at = match (effect, fault.owner) {
                    (SheetEffect::Lost(leg), Owner::Supply(supply)) => {
                        self.wired.leg(supply, *leg).map(|leg| (At::Terminal(leg), Effect::Opens))
                    }
                    (SheetEffect::Volts(volts), Owner::Supply(supply)) => {
                        self.wired.supply(supply).map(|id| (At::Supply(id), Effect::Volts(pick(volts))))
                    }
                    (SheetEffect::Held(acts), Owner::Part(part)) => self
                        .wired
                        .decider(part)
                        .map(|decider| (At::Decider(decider), if *acts { Effect::Closes } else { Effect::Opens })),
                    (effect, Owner::Part(part)) => {
                        let (pole, effect) = match effect {
                            SheetEffect::Opens(pole) => (*pole, Effect::Opens),
                            SheetEffect::Closes(pole) => (*pole, Effect::Closes),
                            SheetEffect::Ohms(pole, ohms) => (*pole, Effect::Ohms(pick(ohms))),
                            SheetEffect::Times(pole, times) => (*pole, Effect::Times(pick(times))),
                            SheetEffect::Grounded(pole, along, ohms) => {
                                (*pole, Effect::Grounded { along: pick(along), ohms: pick(ohms) })
                            }
                            SheetEffect::Volts(volts) => (0, Effect::Volts(pick(volts))),
                            SheetEffect::Held(_) | SheetEffect::Lost(_) => continue,
                        };
                        self.wired.pole(part, pole).map(|pole| (At::Pole(pole), effect))
                    }
                    _ => None,
                };
                changes.extend(at.map(|(at, effect)| Change { at, effect }));
            }
        }
        changes
    }

    /// Probes at the temperature of the reading they are tied to.
    fn sensors(&self, stood: &Stood) -> Vec<(PoleId, f64)> {
        let mut sensors = Vec::new();
        for (id, part) in self.wired.unit.parts().filter(|(_, part)| part.group == Group::Sensors) {
            let (Some(Given::Word(kind)), Some(Given::Reading(at))) = (part.given.get("kind"), part.given.get("at"))
            else {
                continue;
            };
            let celsius = match stood.reading(*at).first() {
                Some(Shown::Number(Number::Value(celsius))) => *celsius,
                _ => continue,
            };
            let ohms = Platinum::named(kind).and_then(|probe| probe.ohms(celsius).ok());
            if let (Some(ohms), Some(pole)) = (ohms, self.wired.pole(id, 0)) {
                sensors.push((pole, ohms));
            }
        }
        sensors
    }
}

/// What a part does, in the words of the sheet.
pub(super) fn does(wired: &Wired, part: PartId, pole: usize, level: impl Fn(PoleId) -> Level) -> Does {
    match wired.pole(part, pole).map(level) {
        Some(Level::On) => Does::On,
        Some(Level::Weak) => Does::Weak,
        _ => Does::Off,
    }
}

/// From home to a standing, one state after another in sheet order; power first.
fn steps_to(standing: &Standing, states: &States) -> Vec<Standing> {
    let mut now = Standing::home(states);
    let power = Stand {
        state: crate::sheet::states::StateId::POWER,
        value: standing.get(crate::sheet::states::StateId::POWER),
    };
    now.set(power);
    let mut steps = vec![now.clone()];
    for stand in standing.iter() {
        if !now.holds(stand) {
            now.set(stand);
            steps.push(now.clone());
        }
    }
    steps
}
