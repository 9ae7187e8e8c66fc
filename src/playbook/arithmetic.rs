//! The arithmetic of a `calculate` line.
//!
//! Computed in base units and rounded to nine significant digits; a sum with an `OL` in it is `OL`, except that
//! `lowest` and `highest` compare.

use super::model::{Playbook, Question, SlotId, Sum, Test};
use crate::language::syntax::Op;
use crate::trade::functions::{ArgValue, Function};
use crate::trade::quantity::{from_base, to_base};
use crate::trade::range::RangeError;
use crate::trade::reading::Reading;

/// Why a sum gives nothing.
#[derive(Debug, Clone, PartialEq)]
pub enum NoSum {
    /// It has no answer for these readings.
    NoAnswer(RangeError),
    /// A reading it needs is missing; its name.
    NotTaken(String),
}

/// What a test judges, from the readings it takes and those taken before: `None` where it judges words.
///
/// # Errors
/// [`NoSum`] where the sum has no answer or a reading is missing.
pub fn result(
    book: &Playbook,
    test: &Test,
    read: &[Reading],
    before: &dyn Fn(SlotId) -> Option<Reading>,
) -> Result<Option<Reading>, NoSum> {
    match &test.question {
        Question::Ask { .. } => Ok(None),
        Question::Measure(_) => Ok(read.first().copied()),
        Question::Sum { measures, sum, unit, difference, .. } => {
            let taken = |slot: SlotId| {
                let here = measures.iter().position(|measure| measure.slot == slot);
                here.and_then(|at| read.get(at).copied()).or_else(|| before(slot))
            };
            Ok(Some(match (Desk { book, taken: &taken }).value(sum)? {
                Reading::Value(base) => Reading::Value(from_base(base, *unit, *difference)),
                Reading::OverLimit => Reading::OverLimit,
            }))
        }
    }
}

/// Where the numbers of a sum come from.
struct Desk<'a> {
    book: &'a Playbook,
    taken: &'a dyn Fn(SlotId) -> Option<Reading>,
}

impl Desk<'_> {
    /// The sum in base units.
    fn value(&self, sum: &Sum) -> Result<Reading, NoSum> {
        let value = match sum {
            Sum::Number(base) => Reading::Value(*base),
            Sum::Slot(slot) => self.slot(*slot)?,
            Sum::Word(word) => return Err(NoSum::NotTaken(word.clone())),
            Sum::Call(function, arguments) => self.call(function, arguments)?,
            Sum::Minus(inner) => match self.value(inner)? {
                Reading::Value(value) => Reading::Value(-value),
                Reading::OverLimit => Reading::OverLimit,
            },
            Sum::Pair(op, left, right) => match (self.value(left)?, self.value(right)?) {
                (Reading::Value(a), Reading::Value(b)) => Reading::Value(match op {
                    Op::Add => a + b,
                    Op::Subtract => a - b,
                    Op::Multiply => a * b,
                    Op::Divide => a / b,
                }),
                _ => Reading::OverLimit,
            },
        };
        match value {
            Reading::Value(number) if !number.is_finite() => {
                Err(NoSum::NoAnswer(RangeError::NoAnswer("something is divided by zero, or a number is far too large")))
            }
            fine => Ok(fine),
        }
    }

    fn call(&self, function: &Function, arguments: &[Sum]) -> Result<Reading, NoSum> {
        let given: Vec<ArgValue<'_>> = arguments
            .iter()
            .map(|argument| match argument {
                Sum::Word(word) => Ok(ArgValue::Word(word)),
                other => self.value(other).map(ArgValue::from),
            })
            .collect::<Result<_, _>>()?;
        function.value(&given).map_err(NoSum::NoAnswer)
    }

    fn slot(&self, id: SlotId) -> Result<Reading, NoSum> {
        let slot = self.book.slot(id);
        let Some(reading) = (self.taken)(id) else {
            return Err(NoSum::NotTaken(slot.name.clone().unwrap_or_default()));
        };
        Ok(match reading {
            Reading::Value(value) => Reading::Value(to_base(value, slot.unit, slot.difference)),
            Reading::OverLimit => Reading::OverLimit,
        })
    }
}
