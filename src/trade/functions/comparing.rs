//! Functions of any number of readings of one kind: lowest, highest, average, spread, unbalance.

use super::function::{ArgValue, Argument, Example, Function, Gives, How, Kind};
use crate::trade::range::RangeError;
use crate::trade::reading::Reading;
use crate::trade::three_phase::unbalance;
use std::cmp::Ordering;

const ONE_OR_MORE: &[Argument] = &[Argument { name: "reading", kind: Kind::Same, how: How::AtLeast(1) }];
const TWO_OR_MORE: &[Argument] = &[Argument { name: "reading", kind: Kind::Same, how: How::AtLeast(2) }];

pub(super) const LOWEST: Function = Function {
    name: "lowest",
    arguments: ONE_OR_MORE,
    gives: Gives::Same,
    line: "The lowest of the readings; OL counts as above all numbers.",
    example: Example { call: "lowest(19.2 A, 19.2 A, 33.3 A)", answer: "19.2 A", source: "definition" },
    form: "lowest(reading)",
    compares_over_limit: true,
    body: |given| extreme(given, Ordering::Less),
};

pub(super) const HIGHEST: Function = Function {
    name: "highest",
    arguments: ONE_OR_MORE,
    gives: Gives::Same,
    line: "The highest of the readings; OL counts as above all numbers.",
    example: Example { call: "highest(7.2 ohm, 21.6 ohm, OL)", answer: "OL", source: "definition" },
    form: "highest(reading)",
    compares_over_limit: true,
    body: |given| extreme(given, Ordering::Greater),
};

pub(super) const AVERAGE: Function = Function {
    name: "average",
    arguments: ONE_OR_MORE,
    gives: Gives::Same,
    line: "The readings added up, divided by how many there are.",
    example: Example { call: "average(460 V, 467 V, 450 V)", answer: "459 V", source: "NEMA MG 1 example" },
    form: "sum(reading) / count(reading)",
    compares_over_limit: false,
    body: |given| Ok(Reading::Value(numbers(given).sum::<f64>() / count(given))),
};

pub(super) const SPREAD: Function = Function {
    name: "spread",
    arguments: TWO_OR_MORE,
    gives: Gives::DifferenceOfSame,
    line: "The highest of the readings less the lowest.",
    example: Example { call: "spread(460 V, 467 V, 450 V)", answer: "17 V", source: "definition" },
    form: "highest(reading) - lowest(reading)",
    compares_over_limit: false,
    body: |given| {
        let low = numbers(given).fold(f64::INFINITY, f64::min);
        Ok(Reading::Value(numbers(given).fold(f64::NEG_INFINITY, f64::max) - low))
    },
};

pub(super) const UNBALANCE: Function = Function {
    name: "unbalance",
    arguments: TWO_OR_MORE,
    gives: Gives::RatioOfSame,
    line: "How far the reading furthest from the average is off it, in percent of the average (NEMA MG 1).",
    example: Example { call: "unbalance(460 V, 467 V, 450 V)", answer: "1.96 %", source: "NEMA MG 1 example" },
    form: "average = sum(reading) / count(reading)\n\
           furthest(reading, average) / average",
    compares_over_limit: false,
    body: |given| unbalance(numbers(given)).map(Reading::Value),
};

/// The lowest or the highest, `OL` above all numbers.
fn extreme(given: &[ArgValue<'_>], wanted: Ordering) -> Result<Reading, RangeError> {
    given
        .iter()
        .filter_map(|arg| match arg {
            ArgValue::Number(value) => Some(Reading::Value(*value)),
            ArgValue::OverLimit => Some(Reading::OverLimit),
            ArgValue::Word(_) => None,
        })
        .reduce(|best, next| if next.order(best) == wanted { next } else { best })
        .ok_or(RangeError::NoAnswer("there is no reading between the brackets"))
}

fn numbers<'a>(given: &'a [ArgValue<'_>]) -> impl Iterator<Item = f64> + Clone + 'a {
    given.iter().filter_map(|arg| match arg {
        ArgValue::Number(value) => Some(*value),
        ArgValue::OverLimit | ArgValue::Word(_) => None,
    })
}

#[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
fn count(given: &[ArgValue<'_>]) -> f64 {
    given.len() as f64
}
