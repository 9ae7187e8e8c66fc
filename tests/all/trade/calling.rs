//! Calls a function of the table the way a `calculate` line would, from its text.

use ruleout::trade::functions::{Arg, ArgValue, Misuse, find};
use ruleout::trade::quantity::{from_base, to_base};
use ruleout::trade::range::RangeError;
use ruleout::trade::reading::{Reading, is_over_limit};
use ruleout::trade::{dimension::Dimension, quantity::parse_number, unit::Unit};

/// What became of a call.
#[derive(Debug)]
pub enum Outcome {
    Answer(Reading, Dimension),
    Misused(Misuse),
    OutOfRange(RangeError),
}

/// `unbalance(460 V, 467 V, 450 V)`, checked and worked out.
pub fn call(text: &str) -> Outcome {
    let (name, rest) = text.split_once('(').unwrap_or_else(|| panic!("no bracket in {text}"));
    let function = find(name).unwrap_or_else(|| panic!("no function {name}"));
    let inside = rest.strip_suffix(')').unwrap_or_else(|| panic!("no closing bracket in {text}"));
    let pieces: Vec<&str> = inside.split(',').map(str::trim).collect();
    let (kinds, values): (Vec<Arg<'_>>, Vec<ArgValue<'_>>) = pieces.iter().map(|piece| argument(piece)).unzip();
    match function.result(&kinds) {
        Err(misuse) => Outcome::Misused(misuse),
        Ok(dimension) => match function.value(&values) {
            Ok(answer) => Outcome::Answer(answer, dimension),
            Err(error) => Outcome::OutOfRange(error),
        },
    }
}

/// Works the call out and holds it to `want` ("1.96 %", "OL"), to the last digit `want` is printed with.
pub fn assert_answer(text: &str, want: &str) {
    let Outcome::Answer(answer, dimension) = call(text) else { panic!("{text}: {:?}", call(text)) };
    assert_eq!(shown(answer, dimension, want), want, "{text}");
}

/// The answer in the unit of `like`, with as many decimals.
fn shown(answer: Reading, dimension: Dimension, like: &str) -> String {
    let Reading::Value(value) = answer else { return "OL".to_owned() };
    let (number, unit) = like.split_once(' ').unwrap_or((like, ""));
    let decimals = number.split_once('.').map_or(0, |(_, fraction)| fraction.len());
    let value = match Unit::parse(unit) {
        Some(unit) => {
            assert!(dimension.like(unit.dimension()), "{like}: the answer is {dimension}");
            from_base(value, unit, dimension == Dimension::TEMPERATURE_DIFFERENCE)
        }
        None => value,
    };
    format!("{value:.decimals$} {unit}").trim_end().to_owned()
}

fn argument(text: &str) -> (Arg<'_>, ArgValue<'_>) {
    if is_over_limit(text) {
        return (Arg::Number(Dimension::OHMS), ArgValue::OverLimit);
    }
    let (number, unit) = text.split_once(' ').unwrap_or((text, ""));
    match (parse_number(number), Unit::parse(unit)) {
        (Ok(value), Some(unit)) => (Arg::Number(unit.dimension()), ArgValue::Number(to_base(value, unit, false))),
        (Ok(value), None) if unit.is_empty() => (Arg::Number(Dimension::NONE), ArgValue::Number(value)),
        _ => (Arg::Word(text), ArgValue::Word(text)),
    }
}
