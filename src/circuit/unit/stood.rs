//! A unit that has been brought up: what everything on it reads.

use super::bench::{Bench, Corner, does};
use super::outside::{Outside, Shown};
use super::wired::Wired;
use crate::circuit::{Change, Glance, Reading};
use crate::circuit::{Clamp, Current, GROUND, Place, Settled, TerminalId, Unsolved, Value};
use crate::sheet::standing::Standing;
use crate::sheet::unit::model::{Does, FaultId, PartId, PointId, ReadingId};
use std::sync::Arc;

/// Where the meter goes, by the names of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Probe {
    /// Across a pole.
    Across(PartId, usize),
    /// Red on the first point, black on the second.
    Between(PointId, PointId),
}

/// A unit in one standing, with faults in it.
#[derive(Debug, Clone)]
pub struct Stood {
    wired: Arc<Wired>,
    corner: Arc<Corner>,
    standing: Standing,
    faults: Vec<FaultId>,
    settled: Settled,
    changes: Vec<Change>,
}

impl Stood {
    pub(super) fn new(
        bench: &Bench,
        standing: &Standing,
        faults: &[FaultId],
        settled: Settled,
        changes: Vec<Change>,
    ) -> Self {
        Self {
            wired: Arc::clone(&bench.wired),
            corner: Arc::clone(&bench.corner),
            standing: standing.clone(),
            faults: faults.to_vec(),
            settled,
            changes,
        }
    }

    pub(super) fn changes(&self) -> &[Change] {
        &self.changes
    }

    /// Whether a probe hangs in the air.
    #[must_use]
    pub fn floats(&self, current: Current, probe: Probe) -> bool {
        self.settled.floats(current, self.place(probe))
    }

    pub(super) fn into_settled(self) -> Settled {
        self.settled
    }

    /// The circuit as it stands.
    #[must_use]
    pub fn settled(&self) -> &Settled {
        &self.settled
    }

    /// What a part does.
    #[must_use]
    pub fn does(&self, part: PartId, pole: usize) -> Does {
        does(&self.wired, part, pole, |pole| self.settled.level(pole))
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
        self.settled.read_volts(current, self.place(probe), meter_ohms, loaded)
    }

    /// Amps through a pole, one value a phase.
    #[must_use]
    pub fn amps(&self, current: Current, part: PartId, pole: usize) -> Vec<f64> {
        self.wired.pole(part, pole).map(|pole| self.settled.amps(current, Clamp::Pole(pole))).unwrap_or_default()
    }

    /// Amps out of a supply terminal, one value a phase.
    #[must_use]
    pub fn amps_at(&self, current: Current, terminal: TerminalId) -> Vec<f64> {
        self.settled.amps(current, Clamp::Terminal(terminal))
    }

    /// Whether a point can bite.
    #[must_use]
    pub fn is_live(&self, point: PointId) -> bool {
        self.settled.is_live(self.wired.point(point))
    }

    /// The most volts from a point to ground.
    #[must_use]
    pub fn volts_at(&self, point: PointId) -> f64 {
        self.settled.volts_at(self.wired.point(point))
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

    fn at_rest(&self, bench: &mut Bench) -> Result<crate::circuit::AtRest, Unsolved> {
        let wired = Arc::clone(&self.wired);
        let decide = |_: &Glance<'_>| -> Vec<bool> {
            let off = |_: PartId, _: usize| Does::Off;
            let outside = Outside {
                unit: &wired.unit,
                standing: &self.standing,
                faults: &self.faults,
                corner: &self.corner,
                free: self.corner.free,
                does: &off,
            };
            wired.positions.iter().map(|when| outside.holds(when)).collect()
        };
        bench.solver.at_rest(&decide, &self.changes)
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
