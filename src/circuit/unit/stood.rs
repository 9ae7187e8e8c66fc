//! A unit that has been brought up: what everything on it reads.

use super::bench::{Bench, Corner, does};
use super::outside::{Outside, Shown};
use super::wired::Wired;
use crate::circuit::{AtRest, Change, Glance, Reading};
use crate::circuit::{Clamp, Current, GROUND, Place, Settled, TerminalId, Unsolved, Value};
use crate::sheet::standing::Standing;
use crate::sheet::unit::model::{Does, FaultId, PartId, PointId, ReadingId};
use std::sync::{Arc, OnceLock};

/// Where the meter goes, by the names of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Probe {
    /// Across a pole.
    Across(PartId, usize),
    /// Red on the first point, black on the second.
    Between(PointId, PointId),
}

/// A circuit brought up: where it stands, with the changes it was solved with.
#[derive(Debug)]
pub struct Up {
    pub(super) settled: Settled,
    pub(super) changes: Vec<Change>,
    /// As an ohmmeter finds it, once it was asked.
    rest: OnceLock<Result<AtRest, Unsolved>>,
}

impl Up {
    pub(super) fn new(settled: Settled, changes: Vec<Change>) -> Self {
        Self { settled, changes, rest: OnceLock::new() }
    }
}

/// A unit in one standing, with faults in it.
#[derive(Debug, Clone)]
pub struct Stood {
    wired: Arc<Wired>,
    corner: Arc<Corner>,
    standing: Standing,
    faults: Vec<FaultId>,
    up: Arc<Up>,
}

impl Stood {
    /// A unit as its circuit stands, at a corner that differs from the circuit's in nothing that moves it; likewise the standing
    /// and the faults ([`Wired::moves`]).
    #[must_use]
    pub fn new(wired: &Arc<Wired>, corner: &Arc<Corner>, standing: &Standing, faults: &[FaultId], up: Arc<Up>) -> Self {
        Self {
            wired: Arc::clone(wired),
            corner: Arc::clone(corner),
            standing: standing.clone(),
            faults: faults.to_vec(),
            up,
        }
    }

    pub(super) fn changes(&self) -> &[Change] {
        &self.up.changes
    }

    /// Whether a probe hangs in the air.
    #[must_use]
    pub fn floats(&self, current: Current, probe: Probe) -> bool {
        self.up.settled.floats(current, self.place(probe))
    }

    /// The circuit as it stands.
    #[must_use]
    pub fn settled(&self) -> &Settled {
        &self.up.settled
    }

    /// What a part does.
    #[must_use]
    pub fn does(&self, part: PartId, pole: usize) -> Does {
        does(&self.wired, part, pole, |pole| self.up.settled.level(pole))
    }

    /// What a reading outside the circuit may show; more than one thing where faults clash.
    #[must_use]
    pub fn reading(&self, id: ReadingId) -> Vec<Shown> {
        let does = |part, pole| self.does(part, pole);
        let outside = Outside {
            unit: &self.wired.unit,
            standing: &self.standing,
            faults: &self.faults,
            corner: &self.corner,
            free: self.corner.free,
            does: &does,
        };
        outside.shown(id)
    }

    /// Volts with a meter of so many ohms in.
    #[must_use]
    pub fn volts(&self, current: Current, probe: Probe, meter_ohms: f64, loaded: bool) -> Reading {
        self.up.settled.read_volts(current, self.place(probe), meter_ohms, loaded)
    }

    /// Amps through a pole, one value a phase.
    #[must_use]
    pub fn amps(&self, current: Current, part: PartId, pole: usize) -> Vec<f64> {
        self.wired.pole(part, pole).map(|pole| self.up.settled.amps(current, Clamp::Pole(pole))).unwrap_or_default()
    }

    /// Amps out of a supply terminal, one value a phase.
    #[must_use]
    pub fn amps_at(&self, current: Current, terminal: TerminalId) -> Vec<f64> {
        self.up.settled.amps(current, Clamp::Terminal(terminal))
    }

    /// Whether a point can bite.
    #[must_use]
    pub fn is_live(&self, point: PointId) -> bool {
        self.up.settled.is_live(self.wired.point(point))
    }

    /// The most volts from a point to ground.
    #[must_use]
    pub fn volts_at(&self, point: PointId) -> f64 {
        self.up.settled.volts_at(self.wired.point(point))
    }

    /// Ohms in place.
    ///
    /// # Errors
    /// [`Unsolved`] where the circuit has no solution.
    pub fn ohms(&self, bench: &mut Bench, probe: Probe) -> Result<Value, Unsolved> {
        let place = self.place(probe);
        Ok(self.at_rest(bench)?.ohms(place))
    }

    /// Ohms of a pole by itself, one wire off; of a capacitor, its size.
    ///
    /// # Errors
    /// [`Unsolved`] where the circuit has no solution.
    pub fn alone(&self, bench: &mut Bench, part: PartId, pole: usize) -> Result<Option<Value>, Unsolved> {
        let Some(pole) = self.wired.pole(part, pole) else { return Ok(None) };
        let rest = self.at_rest(bench)?;
        Ok(Some(rest.farads(pole).unwrap_or_else(|| rest.ohms_alone(pole))))
    }

    fn at_rest(&self, bench: &mut Bench) -> Result<&AtRest, Unsolved> {
        let decide = |_: &Glance<'_>| -> Vec<bool> {
            let off = |_: PartId, _: usize| Does::Off;
            let outside = Outside {
                unit: &self.wired.unit,
                standing: &self.standing,
                faults: &self.faults,
                corner: &self.corner,
                free: self.corner.free,
                does: &off,
            };
            self.wired.positions.iter().map(|when| outside.holds(when)).collect()
        };
        let rest = self.up.rest.get_or_init(|| bench.solver.at_rest(&decide, &self.up.changes));
        rest.as_ref().map_err(|why| *why)
    }

    fn place(&self, probe: Probe) -> Place {
        match probe {
            Probe::Between(red, black) => Place::Between(self.wired.point(red), self.wired.point(black)),
            Probe::Across(part, pole) => match self.wired.pole(part, pole) {
                Some(pole) => Place::Across(pole),
                None => Place::Between(GROUND, GROUND),
            },
        }
    }
}
