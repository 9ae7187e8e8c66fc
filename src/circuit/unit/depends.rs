//! What decides a reading, and what moves the circuit: which states, which faults, and what of a corner.
//!
//! Followed through the sheet: conditions of switches and readings, what faults show, sums. What is not named here can't change
//! the answer, so an answer found once holds for every unit that differs in nothing else.

use super::wired::Wired;
use crate::sheet::standing::Standing;
use crate::sheet::states::{StateId, States};
use crate::sheet::unit::model::{Condition, FaultId, Given, ReadingId, Shows, Unit, When};
use std::collections::BTreeSet;

/// What decides a reading.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Depends {
    /// Supplies, the rest of the rating plate, and the tolerance of parts.
    pub plate: bool,
    /// At which end free readings are.
    pub free: bool,
    /// States.
    pub states: BTreeSet<StateId>,
    /// Faults.
    pub faults: BTreeSet<FaultId>,
}

impl Depends {
    /// What decides how the contacts of a unit stand, and every volt, amp and ohm on it.
    #[must_use]
    pub fn of_circuit(unit: &Unit, positions: &[When]) -> Self {
        let mut found = Search::new(unit);
        positions.iter().for_each(|when| found.when(when));
        // A probe has the ohms of the temperature it sits at.
        for part in &unit.parts {
            if let Some(Given::Reading(at)) = part.given.get("at") {
                found.reading(*at);
            }
        }
        let acting = unit.faults().filter(|(_, fault)| !fault.effects.is_empty());
        found.depends.faults.extend(acting.map(|(id, _)| id));
        found.depends.plate = true;
        found.depends
    }

    /// What decides a reading outside the circuit.
    #[must_use]
    pub fn of_reading(wired: &Wired, id: ReadingId) -> Self {
        let mut found = Search::new(&wired.unit);
        found.reading(id);
        if found.circuit { found.depends.with(wired.moves()) } else { found.depends }
    }

    /// Together with another.
    #[must_use]
    pub fn with(mut self, other: &Self) -> Self {
        self.plate |= other.plate;
        self.free |= other.free;
        self.states.extend(&other.states);
        self.faults.extend(&other.faults);
        self
    }

    /// The faults that count, in their order.
    #[must_use]
    pub fn of_faults(&self, faults: &[FaultId]) -> Vec<FaultId> {
        faults.iter().filter(|fault| self.faults.contains(fault)).copied().collect()
    }

    /// The states that count as they stand, all others at home.
    #[must_use]
    pub fn of_standing(&self, standing: &Standing, states: &States) -> Standing {
        let mut counts = Standing::home(states);
        standing.iter().filter(|stand| self.states.contains(&stand.state)).for_each(|stand| counts.set(stand));
        counts
    }
}

struct Search<'a> {
    unit: &'a Unit,
    depends: Depends,
    /// Whether it matters what a part does.
    circuit: bool,
    seen: BTreeSet<ReadingId>,
}

impl<'a> Search<'a> {
    fn new(unit: &'a Unit) -> Self {
        Self { unit, depends: Depends::default(), circuit: false, seen: BTreeSet::new() }
    }

    fn when(&mut self, when: &When) {
        for condition in when.any.iter().flatten() {
            match condition {
                Condition::State(stand) => {
                    self.depends.states.insert(stand.state);
                }
                Condition::Does(..) | Condition::Any(..) => self.circuit = true,
                Condition::Fault(fault) => {
                    self.depends.faults.insert(*fault);
                }
                Condition::Beyond(id, ..) | Condition::Says(id, _) | Condition::Good(id, _) => self.reading(*id),
            }
        }
    }

    fn reading(&mut self, id: ReadingId) {
        if !self.seen.insert(id) {
            return;
        }
        let reading = self.unit.reading_of(id);
        for (when, shows) in &reading.instead {
            self.when(when);
            self.shows(shows, true);
        }
        self.shows(&reading.good, true);
        for (fault, known) in self.unit.faults() {
            for (_, shows) in known.shows.iter().filter(|(of, _)| *of == id) {
                self.depends.faults.insert(fault);
                self.shows(shows, false);
            }
        }
    }

    /// What a fault shows is at its own end, not at that of free readings.
    fn shows(&mut self, shows: &Shows, free: bool) {
        match shows {
            Shows::Stretch(stretch) => self.depends.free |= free && stretch.low < stretch.high,
            Shows::OverLimit | Shows::Word(_) => {}
            Shows::Sum(sum) => {
                self.depends.plate = true;
                sum.readings().into_iter().for_each(|id| self.reading(id));
            }
        }
    }
}
