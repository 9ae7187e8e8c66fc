//! Readings outside the circuit: a condition beats a fault, a fault beats what a good unit shows.
//!
//! Two faults that show one reading: on one side of good the further counts; on opposite sides, and with different
//! words, both are shown, in sheet order.

use super::bench::Corner;
use crate::sheet::standing::Standing;
use crate::sheet::unit::amount::Stretch;
use crate::sheet::unit::model::{Condition, Does, FaultId, PartId, ReadingId, Shows, Unit, When};
use crate::trade::reading::Reading as Number;

/// What a reading shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// A number in base units, or `OL`.
    Number(Number),
    /// A word: its place in the list.
    Word(usize),
}

/// What the conditions are looked up in.
pub(super) struct Outside<'a> {
    pub unit: &'a Unit,
    pub standing: &'a Standing,
    pub faults: &'a [FaultId],
    pub corner: &'a Corner,
    /// Free readings: the corner's share.
    pub free: f64,
    pub does: &'a dyn Fn(PartId, usize) -> Does,
}

impl Outside<'_> {
    /// Whether a condition holds.
    pub fn holds(&self, when: &When) -> bool {
        when.always || when.any.iter().any(|all| all.iter().all(|condition| self.one(condition)))
    }

    fn one(&self, condition: &Condition) -> bool {
        match condition {
            Condition::State(stand) => self.standing.holds(*stand),
            Condition::Does(part, pole, does) => (self.does)(*part, *pole) == *does,
            Condition::Any(poles, does) => poles.iter().any(|&(part, pole)| (self.does)(part, pole) == *does),
            Condition::Fault(fault) => self.faults.contains(fault),
            Condition::Beyond(id, above, limit) => match self.first(*id) {
                Some(Shown::Number(Number::Value(value))) => {
                    if *above {
                        value > *limit
                    } else {
                        value < *limit
                    }
                }
                Some(Shown::Number(Number::OverLimit)) => *above,
                _ => false,
            },
            Condition::Says(id, word) => self.first(*id) == Some(Shown::Word(*word)),
            Condition::Good(id, good) => self.is_good(*id) == *good,
        }
    }

    fn first(&self, id: ReadingId) -> Option<Shown> {
        let reading = self.unit.reading_of(id);
        if let Some((_, shows)) = reading.instead.iter().find(|(when, _)| self.holds(when)) {
            return self.value(shows, self.free);
        }
        let mut by_faults = self.faults.iter().flat_map(|fault| &self.unit.fault_of(*fault).shows);
        if !by_faults.any(|(of, _)| *of == id) {
            return self.usual(id);
        }
        self.by_faults(id).into_iter().next()
    }

    /// Whether a reading shows what a good unit shows in some corner.
    fn is_good(&self, id: ReadingId) -> bool {
        match (self.first(id), self.good_stretch(id)) {
            (Some(Shown::Word(word)), _) => {
                matches!(self.unit.reading_of(id).good, Shows::Word(good) if good == word)
            }
            (Some(Shown::Number(Number::Value(value))), Some(good)) => {
                let slack = 1e-9 * (good.low.abs() + good.high.abs());
                value >= good.low - slack && value <= good.high + slack
            }
            (Some(Shown::Number(Number::OverLimit)), _) => self.unit.reading_of(id).good == Shows::OverLimit,
            _ => false,
        }
    }

    /// The stretch a good unit shows.
    fn good_stretch(&self, id: ReadingId) -> Option<Stretch> {
        match &self.unit.reading_of(id).good {
            Shows::Stretch(stretch) => Some(*stretch),
            Shows::Sum(_) => {
                let none: &dyn Fn(PartId, usize) -> Does = self.does;
                let mut ends = Vec::new();
                for free in [0.0, 0.5, 1.0] {
                    let good = Outside { faults: &[], free, does: none, ..*self };
                    if let Some(Shown::Number(Number::Value(value))) = good.usual(id) {
                        ends.push(value);
                    }
                }
                let low = ends.iter().copied().reduce(f64::min)?;
                let high = ends.iter().copied().reduce(f64::max)?;
                Some(Stretch { low, high })
            }
            _ => None,
        }
    }

    /// Everything a reading may show here: one thing, unless faults clash.
    pub fn shown(&self, id: ReadingId) -> Vec<Shown> {
        let reading = self.unit.reading_of(id);
        match reading.instead.iter().find(|(when, _)| self.holds(when)) {
            Some((_, shows)) => self.value(shows, self.free).into_iter().collect(),
            None => self.by_faults(id),
        }
    }

    /// What it shows with no condition: what the faults say, else what a good unit shows.
    fn by_faults(&self, id: ReadingId) -> Vec<Shown> {
        let mut by_faults: Vec<Shown> = Vec::new();
        for fault in self.faults {
            for (of, shows) in &self.unit.fault_of(*fault).shows {
                if *of == id
                    && let Some(shown) = self.value(shows, self.corner.faults)
                    && !by_faults.contains(&shown)
                {
                    by_faults.push(shown);
                }
            }
        }
        if by_faults.is_empty() {
            return self.usual(id).into_iter().collect();
        }
        self.further(id, by_faults)
    }

    /// What it shows with no condition and no fault of its own.
    fn usual(&self, id: ReadingId) -> Option<Shown> {
        self.value(&self.unit.reading_of(id).good, self.free)
    }

    fn value(&self, shows: &Shows, share: f64) -> Option<Shown> {
        match shows {
            Shows::Stretch(Stretch { low, high }) => Some(Shown::Number(Number::Value(low + (high - low) * share))),
            Shows::OverLimit => Some(Shown::Number(Number::OverLimit)),
            Shows::Word(word) => Some(Shown::Word(*word)),
            Shows::Sum(sum) => {
                let plate = |at: usize| self.unit.nameplate.get(at).map(|plate| self.corner.of(&plate.value));
                let reading = |id: ReadingId| match self.first(id) {
                    Some(Shown::Number(number)) => Some(number),
                    _ => None,
                };
                // The sheet was refused where a table does not reach at its ends; beyond them there is no answer.
                sum.value(&plate, &reading).ok().flatten().map(Shown::Number)
            }
        }
    }

    /// Of numbers on one side of good the furthest; whatever else clashes stays.
    fn further(&self, id: ReadingId, mut shown: Vec<Shown>) -> Vec<Shown> {
        let Some(good) = self.good_stretch(id) else { return shown };
        let as_number = |shown: &Shown| match shown {
            Shown::Number(Number::Value(value)) => *value,
            Shown::Number(Number::OverLimit) => f64::INFINITY,
            Shown::Word(_) => good.middle(),
        };
        let numbers: Vec<f64> = shown.iter().map(as_number).collect();
        let lowest = numbers.iter().copied().fold(f64::INFINITY, f64::min);
        let highest = numbers.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let (below, above) = (lowest < good.low, highest > good.high);
        shown.retain(|one| {
            let value = as_number(one);
            (below && value <= lowest) || (above && value >= highest) || (!below && !above)
        });
        shown
    }
}
