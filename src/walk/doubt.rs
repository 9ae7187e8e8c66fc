//! Whether a reading may be a slip of the finger: ten times off, or far beyond what the place can show. It is asked back once;
//! said again, it is taken: a machine can be broken in ways no sheet knows.
//!
//! 1. With the unit's sheet a reading is held against all the place can show, good or with any one fault ([`Reach`]).
//! 2. Without one, against the other readings it is compared with, and against the limits of the test.
//! 3. At last against what a meter and a machine of this trade reach.
//!
//! The bounds are ours. A reading is asked back above one and a half times the most there can be (a temperature: 50 °F, or half
//! of what the place ranges over, beyond either end); where a tenth of it, or ten times it, is what is expected; without a sheet
//! above 5 times limits that close good from both sides and 20 times any others; above 1000 V, 1000 A, 100 Mohm, 2000 °F, 1000 psi.

use super::reach::Reach;
use crate::playbook::model::{Question, Stretch, Sum, Takes, Test};
use crate::playbook::told::compared;
use crate::trade::dimension::Dimension;
use crate::trade::printing::three_digits;
use crate::trade::quantity::{convert, plain};
use crate::trade::reading::Reading;
use crate::trade::unit::Unit;

/// A reading about to be taken.
pub struct Asked<'a> {
    /// The test.
    pub test: &'a Test,
    /// Which of its measures.
    pub number: usize,
    /// The readings of the same test before it.
    pub earlier: &'a [Reading],
    /// What the place can show, where a sheet says it.
    pub reach: Option<&'a Reach>,
}

/// So many times the most there can be is too much.
const BEYOND: f64 = 1.5;
/// Times limits that close good from both sides.
const PAST_CLOSED: f64 = 5.0;
/// Times limits that leave one side open.
const PAST_OPEN: f64 = 20.0;
/// About ten times.
const TENFOLD: std::ops::RangeInclusive<f64> = 8.0..=12.5;
/// Readings this near to one another are alike.
const ALIKE: f64 = 1.25;

impl Asked<'_> {
    /// Why the reading is asked back; `None` where it is taken as it is.
    pub fn doubt(&self, reading: Reading) -> Option<String> {
        let Reading::Value(value) = reading else { return None };
        let unit = self.unit()?;
        let why = match self.reach {
            Some(reach) => self.beyond(reach, value, unit),
            None => self.off_the_others(value).or_else(|| self.past_limits(value, unit)),
        };
        let why = why.or_else(|| past_everything(value, unit))?;
        Some(format!(
            "{}? {why} Type it again, or yes if that is what the meter shows.",
            Reading::Value(value).told(unit)
        ))
    }

    fn unit(&self) -> Option<Unit> {
        self.test.measures().get(self.number).map(|measure| measure.unit)
    }

    /// With a sheet: past what the place shows with any one fault, or the decimal point one place off.
    fn beyond(&self, reach: &Reach, value: f64, unit: Unit) -> Option<String> {
        let (low, high) = reach.ends();
        let most = self.limits().map_or(high, |limits| limits.largest.max(high));
        let (over, under) = match unit.dimension() {
            Dimension::TEMPERATURE => {
                let margin = temperature_margin(unit).max((high - low) / 2.0);
                (most + margin, low - margin)
            }
            _ => ((BEYOND * most).max(most + least(unit)), (BEYOND * low).min(low - most.abs() / 2.0)),
        };
        // A good unit that may read OL may read any number.
        let too_high = value > over && !reach.good_over_limit;
        if too_high || value < under && unit.is_signed() {
            return Some(self.off_the_others(value).unwrap_or_else(|| {
                format!("By its sheet this unit shows {} there, good or with any one fault.", span(low, high, unit))
            }));
        }
        let (good_low, good_high) = reach.good?;
        let tenth = unit.dimension() != Dimension::TEMPERATURE
            && value > 0.0
            && 10.0 * value > good_low / ALIKE
            && 10.0 * value < good_high * ALIKE
            // Some fault may well read so.
            && !reach.numbers.iter().any(|known| *known < value * ALIKE && *known > value / ALIKE);
        tenth.then(|| {
            let there = span(good_low, good_high, unit);
            format!("A good unit shows {there} there, ten times that. Look at the decimal point.")
        })
    }

    /// Against the readings it is compared with.
    fn off_the_others(&self, value: f64) -> Option<String> {
        let slots = compared(self.test)?;
        let measures = self.test.measures();
        let here = measures.get(self.number).filter(|here| slots.contains(&here.slot))?;
        let others: Vec<f64> = measures
            .iter()
            .zip(self.earlier)
            .filter(|(measure, _)| slots.contains(&measure.slot) && measure.unit == here.unit)
            .filter_map(|(_, reading)| if let Reading::Value(value) = reading { Some(*value) } else { None })
            .collect();
        let low = others.iter().copied().fold(f64::INFINITY, f64::min);
        let high = others.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if !(low > 0.0 && value > 0.0 && high <= ALIKE * low) {
            return None;
        }
        let whose = if let [only] = others.as_slice() {
            format!("the reading before it, {}", Reading::Value(*only).told(here.unit))
        } else {
            "the others".to_owned()
        };
        if TENFOLD.contains(&(value / low)) {
            Some(format!("That is ten times {whose}. Look at the decimal point."))
        } else if TENFOLD.contains(&(low / value)) {
            Some(format!("That is a tenth of {whose}. Look at the decimal point."))
        } else {
            None
        }
    }

    /// Against the limits of the test, where they are about this reading.
    fn past_limits(&self, value: f64, unit: Unit) -> Option<String> {
        let limits = self.limits()?;
        // A fuse that is good below 1 ohm may read any ohms when it is not.
        if !limits.closed && unit.dimension() == Dimension::OHMS {
            return None;
        }
        let times = if limits.closed { PAST_CLOSED } else { PAST_OPEN };
        let past = limits.largest > 0.0 && value.abs() > (times * limits.largest).max(limits.largest + least(unit));
        past.then(|| {
            self.off_the_others(value)
                .unwrap_or_else(|| format!("The limits of this step end at {} {unit}.", plain(limits.largest)))
        })
    }

    /// The limits of the test, where they judge this reading: it is the only one, or the lowest, highest or average of several.
    fn limits(&self) -> Option<Limits> {
        let here = self.test.measures().get(self.number)?;
        let unit = self.test.bounds.as_ref()?.unit();
        let judged = match &self.test.question {
            Question::Ask { .. } => false,
            Question::Measure(_) => true,
            Question::Sum { sum, .. } => {
                let judges = matches!(sum, Sum::Call(function, _)
                    if matches!(function.name, "lowest" | "highest" | "average"));
                judges && compared(self.test).is_some_and(|slots| slots.contains(&here.slot))
            }
        };
        if !judged || here.unit.symbol() != unit.symbol() {
            return None;
        }
        let stretches = |takes: &Takes| -> Vec<Stretch> {
            if let Takes::Numbers { stretches, .. } = takes { stretches.clone() } else { Vec::new() }
        };
        let ends = self.test.branches.iter().flat_map(|branch| stretches(&branch.takes));
        let largest = ends
            .flat_map(|stretch| [stretch.low.at.abs(), stretch.high.at.abs()])
            .filter(|end| end.is_finite())
            .fold(0.0, f64::max);
        let good = self.test.good().map(|good| stretches(&good.takes)).unwrap_or_default();
        let closed = !good.is_empty() && good.iter().all(|s| s.low.at > 0.0 && s.high.at.is_finite());
        Some(Limits { largest, closed })
    }
}

/// The limits of a test.
#[derive(Debug, Clone, Copy)]
struct Limits {
    /// The largest number in them.
    largest: f64,
    /// Whether good lies between two of them.
    closed: bool,
}

/// Past what a meter and a machine of this trade reach.
fn past_everything(value: f64, unit: Unit) -> Option<String> {
    let reach = [("V", 1000.0), ("A", 1000.0), ("Mohm", 100.0), ("°F", 2000.0), ("psi", 1000.0)];
    let (_, most) = reach.iter().find(|(symbol, most)| unit.symbol() == *symbol && value.abs() > *most)?;
    Some(format!("That is past {} {unit}.", plain(*most)))
}

/// So little is never too much, whatever is expected: leads and contacts have their ohms, a wire its stray volts.
fn least(unit: Unit) -> f64 {
    match unit.symbol() {
        "ohm" => 10.0,
        "V" => 5.0,
        "A" | "psi" | "inWC" => 1.0,
        _ => 0.0,
    }
}

/// 50 °F, in the unit asked for.
fn temperature_margin(unit: Unit) -> f64 {
    Unit::of("°F").and_then(|fahrenheit| convert(50.0, fahrenheit, unit, true)).unwrap_or(50.0)
}

/// "70 to 205 °F", "24 V AC".
fn span(low: f64, high: f64, unit: Unit) -> String {
    let [low, high] = [low, high].map(|end| plain(three_digits(end)));
    if low == high { format!("{low} {unit}") } else { format!("{low} to {high} {unit}") }
}
