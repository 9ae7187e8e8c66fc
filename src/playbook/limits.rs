//! Outcome lines to limits, in the unit of the test.

use super::bands::{Domain, Spec};
use super::bounds::{Bound, Bounds};
use crate::language::syntax::{Amount, Limit, LimitKind, OutcomeKind, Playbook};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::trade::dimension::Dimension;
use crate::trade::quantity::convert;
use crate::trade::unit::Unit;

/// A limit in a unit the reading does not have.
pub static LIMIT_UNIT: Rule = Rule {
    code: "limit-unit",
    level: Level::Error,
    says: "A limit is in the unit of its reading, or in one that measures the same thing.",
    why: "Amps cannot lie below 200 V, and an AC limit says nothing of a DC reading.",
    wrong: "measure  A through L1\nif       below 5 V  go to coil",
    mended: "measure  A through L1\nif       below 5 A  go to coil",
};

/// `OL` where no meter shows it.
pub static NO_OVER_LIMIT: Rule = Rule {
    code: "no-over-limit",
    level: Level::Error,
    says: "`OL` is a reading of the ohms function, or a sum with such a reading in it.",
    why: "On volts or amps no good meter shows it, so the line would never be taken.",
    wrong: "measure  V AC across fuse-1\nif       OL  go to replace-fuse",
    mended: "measure  ohm of fuse-1\nif       OL  go to replace-fuse",
};

/// The rules of this file.
pub static RULES: [&Rule; 2] = [&LIMIT_UNIT, &NO_OVER_LIMIT];

/// The reading the limits of a test judge.
#[derive(Debug, Clone, Copy)]
pub(super) struct Judged {
    /// Its unit.
    pub unit: Unit,
    /// Whether it is a difference of temperatures.
    pub difference: bool,
    /// Whether it is the answer of a sum, which may lie below zero in any unit.
    pub sum: bool,
    /// Whether it may be `OL`: the meter shows it, or a reading of the sum may be.
    pub over_limit: bool,
}

impl Judged {
    fn domain(self) -> Domain {
        Domain { signed: self.sum || self.unit.is_signed(), over_limit: self.over_limit }
    }
}

/// The limits of a measuring test, in the order of its lines; what can't be read is told.
pub(super) fn bounds(
    tree: &Playbook,
    lines: &[(OutcomeKind, &Limit)],
    judged: Judged,
    problems: &mut Vec<Problem>,
) -> Bounds {
    let mut at: Vec<String> = Vec::new();
    let lines = lines
        .iter()
        .map(|(kind, limit)| {
            let bound = match &limit.kind {
                LimitKind::Normal { side, at: None } => Some(Bound::Normal(*side)),
                LimitKind::Normal { side, at: Some(name) } => {
                    if !at.iter().any(|known| known == name.as_str()) {
                        at.push(name.as_str().to_owned());
                    }
                    Some(Bound::NormalAt(*side))
                }
                _ => spec(tree, limit, judged, problems).map(Bound::Fixed),
            };
            (*kind, bound)
        })
        .collect();
    Bounds { lines, at, unit: judged.unit, domain: judged.domain() }
}

fn spec(tree: &Playbook, limit: &Limit, judged: Judged, problems: &mut Vec<Problem>) -> Option<Spec> {
    match &limit.kind {
        LimitKind::Below(amount) => Some(Spec::Below(number(tree, amount, judged, problems)?)),
        LimitKind::Above(amount) => Some(Spec::Above(number(tree, amount, judged, problems)?)),
        LimitKind::Between(low, high) => {
            let lent = Amount { unit: low.unit.or(high.unit), ..low.clone() };
            let (a, b) = (number(tree, &lent, judged, problems), number(tree, high, judged, problems));
            // The reader has refused a larger number in front.
            let (a, b) = (a?, b?);
            Some(Spec::Between { low: a, high: b, over_limit: false })
        }
        LimitKind::OverLimit => {
            if !judged.over_limit {
                let message = format!("No meter shows `OL` in {}.", judged.unit.spoken());
                problems.push(Problem::new(&NO_OVER_LIMIT, tree.place(limit.span), message));
                return None;
            }
            Some(Spec::OverLimit)
        }
        LimitKind::Normal { .. } => None,
    }
}

fn number(tree: &Playbook, amount: &Amount, judged: Judged, problems: &mut Vec<Problem>) -> Option<f64> {
    let unit = amount.unit.map_or(judged.unit, |written| written.unit);
    let unlike_current = matches!((unit.current(), judged.unit.current()), (Some(a), Some(b)) if a != b);
    let difference = judged.difference && unit.dimension() == Dimension::TEMPERATURE;
    match convert(amount.value, unit, judged.unit, difference) {
        Some(value) if !unlike_current => Some(value),
        _ => {
            // The number is not carried over: what is right in one unit is wrong in the other.
            let message = if unlike_current {
                format!(
                    "The reading is in {}, and this limit is in {unit}. Look on the drawing which of the two this circuit is.",
                    judged.unit
                )
            } else {
                let (reading, limit) = (judged.unit.spoken(), unit.spoken());
                format!(
                    "The reading is in {reading}, and this limit is in {limit}. Look up what it should read in {reading}: on the rating plate, or in the maker's sheet."
                )
            };
            problems.push(Problem::new(&LIMIT_UNIT, tree.place(amount.span), message));
            None
        }
    }
}
