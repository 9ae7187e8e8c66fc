//! Outcome lines to branches: limits in the unit of the test, bands laid out, answers as words.

use super::bands::{Domain, Layout, Spec, lay_out};
use super::model::{Coverage, Scale, Takes};
use crate::language::syntax::{Amount, Limit, LimitKind, OutcomeKind, Playbook, Side};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::trade::dimension::Dimension;
use crate::trade::quantity::{convert, plain};
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
    says: "`OL` is a reading of the ohms function.",
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
}

impl Judged {
    fn domain(self) -> Domain {
        Domain { signed: self.sum || self.unit.is_signed(), over_limit: self.unit.shows_over_limit() }
    }
}

/// What the outcome lines of a measuring test take, in their order, and how a reading picks one.
pub(super) fn lay(
    tree: &Playbook,
    lines: &[(OutcomeKind, &Limit)],
    judged: Judged,
    problems: &mut Vec<Problem>,
) -> (Vec<Takes>, Scale, Coverage) {
    let specs: Vec<Option<Spec>> = lines.iter().map(|(_, limit)| spec(tree, limit, judged, problems)).collect();
    let by_technician = lines.iter().any(|(_, limit)| matches!(limit.kind, LimitKind::Normal { .. }));
    let of_kind = |all: bool| -> (Vec<usize>, Layout) {
        let which: Vec<usize> = lines
            .iter()
            .enumerate()
            .filter(|(at, (kind, _))| (*kind == OutcomeKind::All) == all && specs.get(*at).is_some_and(Option::is_some))
            .map(|(at, _)| at)
            .collect();
        let mine: Vec<Spec> = which.iter().filter_map(|at| specs.get(*at).copied().flatten()).collect();
        let layout = lay_out(&mine, judged.domain());
        (which, layout)
    };

    let mut takes: Vec<Takes> = lines
        .iter()
        .map(|(_, limit)| match limit.kind {
            LimitKind::Normal { side, .. } => Takes::Judged(side),
            _ => Takes::Numbers { stretches: Vec::new(), over_limit: false },
        })
        .collect();
    let (which, layout) = of_kind(false);
    let (which_all, layout_all) = of_kind(true);
    for (which, layout) in [(&which, &layout), (&which_all, &layout_all)] {
        for (nth, at) in which.iter().enumerate() {
            if let (Some(slot), Some(stretches)) = (takes.get_mut(*at), layout.stretches.get(nth)) {
                *slot = Takes::Numbers { stretches: stretches.clone(), over_limit: layout.over_limit == Some(nth) };
            }
        }
    }

    let any_slip =
        specs.iter().zip(lines).any(|(spec, (_, l))| spec.is_none() && !matches!(l.kind, LimitKind::Normal { .. }));
    let coverage = if by_technician {
        Coverage { sides: sides_missing(lines), ..Coverage::default() }
    } else if any_slip || which.is_empty() {
        // A line that could not be read would leave a false gap.
        Coverage::default()
    } else {
        let original = |nth: usize| which.get(nth).copied().unwrap_or(nth);
        Coverage {
            gaps: layout.gaps,
            over_limit_gap: layout.over_limit_gap,
            sides: Vec::new(),
            overlaps: layout.overlaps.iter().map(|(a, b, s)| (original(*a), original(*b), *s)).collect(),
        }
    };
    let scale = if by_technician { Scale::Judged(judged.unit) } else { Scale::Numbers(judged.unit) };
    (takes, scale, coverage)
}

/// Without a sheet `normal` is a stretch at an unknown place: its three sides cover everything; numbers mixed with it
/// can be checked only once there is a sheet.
fn sides_missing(lines: &[(OutcomeKind, &Limit)]) -> Vec<Side> {
    let outcomes = || lines.iter().filter(|(kind, _)| *kind != OutcomeKind::All);
    if outcomes().any(|(_, limit)| !matches!(limit.kind, LimitKind::Normal { .. } | LimitKind::OverLimit)) {
        return Vec::new();
    }
    [Side::Below, Side::Within, Side::Above]
        .into_iter()
        .filter(|side| {
            !outcomes().any(|(_, limit)| matches!(limit.kind, LimitKind::Normal { side: s, .. } if s == *side))
        })
        .collect()
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
            if !judged.unit.shows_over_limit() {
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
            let message = if unlike_current {
                format!("The reading is in {}, and this limit is in {unit}.", judged.unit)
            } else {
                format!("The reading is in {}, and this limit is in {}.", judged.unit.spoken(), unit.spoken())
            };
            let place = tree.place(amount.span);
            let better = format!("{} {}", plain(amount.value), judged.unit);
            problems.push(Problem::new(&LIMIT_UNIT, place, message).mended(&better));
            None
        }
    }
}
