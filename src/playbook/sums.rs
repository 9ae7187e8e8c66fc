//! `calculate`: names and functions resolved, what kind of thing comes out.

use super::model::{Slot, SlotId, Sum};
use crate::language::syntax::{self, Op, Playbook, Word};
use crate::text::english::nearest;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;
use crate::trade::dimension::{Dimension, Mismatch};
use crate::trade::functions::{self, Arg, Kind};
use crate::trade::quantity::to_base;

/// A name in a sum that no measure has.
pub static NO_SUCH_READING: Rule = Rule {
    code: "no-such-reading",
    level: Level::Error,
    says: "A name in `calculate` is one a measure was given with `call it`.",
    why: "A sum over a reading nobody took has no answer.",
    wrong: "measure    A through L1, call it i1\ncalculate  lowest(i1, i2)",
    mended: "measure    A through L1, call it i1\nmeasure    A through L2, call it i2\ncalculate  lowest(i1, i2)",
};

/// A function there is none of.
pub static NO_SUCH_FUNCTION: Rule = Rule {
    code: "no-such-function",
    level: Level::Error,
    says: "A word with brackets behind it is one of the functions of the guide.",
    why: "The tool can only do sums whose arithmetic it holds to printed tables.",
    wrong: "calculate  lowst(i1, i2, i3)",
    mended: "calculate  lowest(i1, i2, i3)",
};

/// A function given what it doesn't take.
pub static WRONG_ARGUMENT: Rule = Rule {
    code: "wrong-argument",
    level: Level::Error,
    says: "A function is given what it takes, in its order.",
    why: "The unbalance of volts and amps together is no number anyone can use.",
    wrong: "calculate  lowest(supply, i1)        (volts and amps)",
    mended: "calculate  lowest(i1, i2, i3)",
};

/// Unlike things put together.
pub static UNLIKE_UNITS: Rule = Rule {
    code: "unlike-units",
    level: Level::Error,
    says: "Only like things are added, subtracted and compared.",
    why: "Volts less amps is no reading.",
    wrong: "calculate  supply - i1",
    mended: "calculate  supply - load",
};

/// The rules of this file.
pub static RULES: [&Rule; 4] = [&NO_SUCH_READING, &NO_SUCH_FUNCTION, &WRONG_ARGUMENT, &UNLIKE_UNITS];

/// The sum with its names resolved and the kind of thing it gives; `None` where it was told wrong.
pub(super) fn resolve(
    tree: &Playbook,
    sum: &syntax::Sum,
    slots: &[Slot],
    problems: &mut Vec<Problem>,
) -> Option<(Sum, Dimension)> {
    Reader { tree, slots, problems }.read(sum)
}

struct Reader<'a> {
    tree: &'a Playbook,
    slots: &'a [Slot],
    problems: &'a mut Vec<Problem>,
}

impl Reader<'_> {
    fn tell(&mut self, rule: &'static Rule, span: Span, message: String) {
        self.problems.push(Problem::new(rule, self.tree.place(span), message));
    }

    fn read(&mut self, sum: &syntax::Sum) -> Option<(Sum, Dimension)> {
        match sum {
            syntax::Sum::Number(amount) => Some(match amount.unit {
                // A number of degrees in a sum is a difference: "line - 10 °F".
                Some(written) => {
                    let dimension = Dimension { point: false, ..written.unit.dimension() };
                    (Sum::Number(to_base(amount.value, written.unit, true)), dimension)
                }
                None => (Sum::Number(amount.value), Dimension::NONE),
            }),
            syntax::Sum::Name(word) => self.name(word),
            syntax::Sum::Call { name, arguments, span } => self.call(name, arguments, *span),
            syntax::Sum::Minus(inner, span) => {
                let (inner, dimension) = self.read(inner)?;
                if dimension.point {
                    self.tell(&UNLIKE_UNITS, *span, "A temperature has no minus; a difference of two has.".to_owned());
                    return None;
                }
                Some((Sum::Minus(Box::new(inner)), dimension))
            }
            syntax::Sum::Pair { op, left, right } => self.pair(*op, left, right, sum.span()),
        }
    }

    fn name(&mut self, word: &Word) -> Option<(Sum, Dimension)> {
        let found = self.slots.iter().position(|slot| slot.name.as_deref() == Some(word.as_str()));
        if let Some(at) = found {
            let slot = self.slots.get(at)?;
            let whole = slot.unit.dimension();
            let dimension = Dimension { point: whole.point && !slot.difference, ..whole };
            return Some((Sum::Slot(SlotId(u16::try_from(at).unwrap_or(u16::MAX))), dimension));
        }
        let named = self.slots.iter().filter_map(|slot| slot.name.as_deref());
        let near = nearest(word.as_str(), named);
        let hint = match near {
            Some(near) => format!(" Did you mean `{near}`?"),
            None => format!(" Put `, call it {}` behind the measure that takes it.", word.as_str()),
        };
        let message = format!("No measure is called `{}`.{hint}", word.as_str());
        let problem = Problem::new(&NO_SUCH_READING, self.tree.place(word.span), message);
        self.problems.push(match near {
            Some(near) => problem.mended(near),
            None => problem,
        });
        None
    }

    fn pair(&mut self, op: Op, left: &syntax::Sum, right: &syntax::Sum, span: Span) -> Option<(Sum, Dimension)> {
        let (a, b) = (self.read(left), self.read(right));
        let ((a, x), (b, y)) = (a?, b?);
        let dimension = match op {
            Op::Add => x.sum(y, false),
            Op::Subtract => x.sum(y, true),
            Op::Multiply => x.product(y, false),
            Op::Divide => x.product(y, true),
        };
        match dimension {
            Ok(dimension) => Some((Sum::Pair(op, Box::new(a), Box::new(b)), dimension)),
            Err(mismatch) => {
                self.tell(&UNLIKE_UNITS, span, mismatch_words(mismatch, op == Op::Subtract));
                None
            }
        }
    }

    fn call(&mut self, name: &Word, arguments: &[syntax::Sum], span: Span) -> Option<(Sum, Dimension)> {
        let Some(function) = functions::find(name.as_str()) else {
            let near = functions::nearest(name.as_str());
            let hint = match near.first() {
                Some(near) => format!(" Did you mean `{near}`?"),
                None => {
                    let names: Vec<&str> = functions::all().iter().map(|f| f.name).collect();
                    format!(" The functions are {}.", names.join(", "))
                }
            };
            let message = format!("There is no function `{}`.{hint}", name.as_str());
            let problem = Problem::new(&NO_SUCH_FUNCTION, self.tree.place(name.span), message);
            self.problems.push(match near.first() {
                Some(near) => problem.mended(near),
                None => problem,
            });
            return None;
        };
        let takes_word = |at: usize| {
            let place = function.arguments.get(at).or(function.arguments.last());
            place.is_some_and(|place| matches!(place.kind, Kind::Word(_)))
        };
        let wants_temperature = |at: usize| {
            let place = function.arguments.get(at).or(function.arguments.last());
            place.is_some_and(|place| match place.kind {
                Kind::Of(dimension) => dimension == Dimension::TEMPERATURE,
                Kind::Same => true,
                Kind::Word(_) => false,
            })
        };
        let mut resolved = Vec::with_capacity(arguments.len());
        for (at, argument) in arguments.iter().enumerate() {
            resolved.push(match argument {
                syntax::Sum::Name(word) if takes_word(at) => Some((Sum::Word(word.as_str().to_owned()), None)),
                // A number of degrees on its own is a temperature on the scale: "75 °F" is where the terminals are.
                syntax::Sum::Number(amount) if wants_temperature(at) => {
                    let unit =
                        amount.unit.map(|written| written.unit).filter(|u| u.dimension() == Dimension::TEMPERATURE);
                    match unit {
                        Some(unit) => {
                            Some((Sum::Number(to_base(amount.value, unit, false)), Some(Dimension::TEMPERATURE)))
                        }
                        None => self.read(argument).map(|(sum, dimension)| (sum, Some(dimension))),
                    }
                }
                other => self.read(other).map(|(sum, dimension)| (sum, Some(dimension))),
            });
        }
        let resolved: Vec<(Sum, Option<Dimension>)> = resolved.into_iter().collect::<Option<_>>()?;
        let given: Vec<Arg<'_>> = resolved
            .iter()
            .map(|(sum, dimension)| match (sum, dimension) {
                (Sum::Word(word), _) => Arg::Word(word),
                (_, dimension) => Arg::Number(dimension.unwrap_or(Dimension::NONE)),
            })
            .collect();
        match function.result(&given) {
            Ok(dimension) => Some((Sum::Call(function, resolved.into_iter().map(|(sum, _)| sum).collect()), dimension)),
            Err(misuse) => {
                let at = misuse.at().and_then(|at| arguments.get(at)).map_or(span, syntax::Sum::span);
                let what = misuse.to_string();
                let start = if what.starts_with("takes") { "" } else { "In " };
                let message = format!("{start}`{}` {what}. It is written `{}`.", name.as_str(), function.usage());
                self.tell(&WRONG_ARGUMENT, at, message);
                None
            }
        }
    }
}

fn mismatch_words(mismatch: Mismatch, minus: bool) -> String {
    match mismatch {
        Mismatch::Unlike(a, b) if minus => format!("{} less {b} is no reading.", capital(&a.to_string())),
        Mismatch::Unlike(a, b) => format!("{} and {b} cannot be put together.", capital(&a.to_string())),
        Mismatch::TwoTemperatures => {
            "Two temperatures cannot be added; their difference or `average` can be taken.".to_owned()
        }
        Mismatch::ScaledTemperature => {
            "A temperature cannot be multiplied or divided; a difference of two can.".to_owned()
        }
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|first| first.to_uppercase().chain(chars).collect()).unwrap_or_default()
}
