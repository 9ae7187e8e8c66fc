//! Every number the meter can show falls on one line.

use super::Subject;
use crate::language::fill_in::NEXT_STEP;
use crate::language::syntax::{OutcomeKind, Side};
use crate::playbook::model::{Branch, Playbook, Scale, Stretch, Takes, Test};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::trade::quantity::plain;
use crate::trade::unit::Unit;

/// Numbers no line takes.
pub static GAP: Rule = Rule {
    code: "gap-in-limits",
    level: Level::Error,
    says: "Every number the meter can show falls on one of the lines.",
    why: "A new hire whose reading is on no line has nowhere to go.",
    wrong: "good  5 A to 9 A  go to flow\nif    below 3 A   go to coil\nif    above 9 A   go to bank-ohms",
    mended: "good  5 A to 9 A  go to flow\nif    below 5 A   go to coil\nif    above 9 A   go to bank-ohms",
};

/// Numbers two lines claim.
pub static OVERLAP: Rule = Rule {
    code: "overlap-in-limits",
    level: Level::Error,
    says: "No number falls on two lines; two stretches may share an end.",
    why: "Two technicians would take two roads from the same reading.",
    wrong: "good  5 A to 9 A   go to flow\nif    8 A to 12 A  go to bank-ohms",
    mended: "good  5 A to 9 A   go to flow\nif    9 A to 12 A  go to bank-ohms",
};

/// A line that takes nothing.
pub static DEAD_LINE: Rule = Rule {
    code: "dead-line",
    level: Level::Error,
    says: "Every line takes some reading.",
    why: "A line no reading falls on hides a mistake in its number or in a line above it.",
    wrong: "if  below 5 A  go to coil\nif  below 3 A  go to pulled-in",
    mended: "if  below 3 A  go to pulled-in\nif  below 5 A  go to coil",
};

/// The rules of this file.
pub static RULES: [&Rule; 3] = [&GAP, &OVERLAP, &DEAD_LINE];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    for test in &subject.playbook.tests {
        let unit = match test.scale {
            Scale::Answers => continue,
            Scale::Numbers(unit) | Scale::Judged(unit) => unit,
        };
        gaps(subject.playbook, test, unit, problems);
        for (first, second, shared) in &test.coverage.overlaps {
            if let (Some(first), Some(second)) = (test.branches.get(*first), test.branches.get(*second)) {
                let message =
                    format!("Two lines take {}: `{}` and `{}`.", told(shared, unit), first.words, second.words);
                problems.push(
                    Problem::new(&OVERLAP, subject.playbook.place(second.span), message)
                        .also(subject.playbook.place(first.span), "the other line"),
                );
            }
        }
        dead(subject.playbook, test, problems);
    }
}

fn gaps(playbook: &Playbook, test: &Test, unit: Unit, problems: &mut Vec<Problem>) {
    let Some(last) = test.branches.iter().rfind(|branch| branch.kind != OutcomeKind::All) else { return };
    let mut tell = |message: String, instead: Option<String>| {
        let problem = Problem::new(&GAP, playbook.place(last.span), message);
        problems.push(match instead {
            Some(line) => problem.and_below(&line),
            None => problem,
        });
    };
    for gap in &test.coverage.gaps {
        let message = format!("No line of `{}` takes {}.", test.name, told(gap, unit));
        tell(message, Some(closing_line(gap, unit)));
    }
    if test.coverage.over_limit_gap {
        tell(format!("No line of `{}` takes `OL`.", test.name), Some(format!("if  OL  go to {NEXT_STEP}")));
    }
    for side in &test.coverage.sides {
        let words = match side {
            Side::Below => "below normal",
            Side::Within => "normal",
            Side::Above => "above normal",
        };
        tell(
            format!("No line of `{}` takes a reading that is {words}.", test.name),
            Some(format!("if  {words}  go to {NEXT_STEP}")),
        );
    }
}

fn dead(playbook: &Playbook, test: &Test, problems: &mut Vec<Problem>) {
    let takes_nothing = |branch: &&Branch| matches!(&branch.takes, Takes::Numbers { stretches, over_limit } if stretches.is_empty() && !over_limit);
    if matches!(test.scale, Scale::Numbers(_)) {
        for branch in test.branches.iter().filter(takes_nothing) {
            // A line that could not be read takes nothing either, and was told as such. Beyond a `normal` that starts at zero
            // or goes on to OL there is nothing, on this unit.
            let unread = branch.words.is_empty();
            let beyond = branch.words.starts_with("below normal") && test.good_reads.is_some_and(|n| n.good.low <= 0.0)
                || branch.words.starts_with("above normal") && test.good_reads.is_some_and(|n| n.good.over_limit);
            if !unread && !beyond {
                let message = format!("No reading falls on `{}`: the lines above it have them all.", branch.words);
                let problem = Problem::new(&DEAD_LINE, playbook.place(branch.span), message);
                // "below 5 A" ahead of "below 3 A": the narrower one goes first.
                let side = branch.words.split(' ').next();
                let living = |other: &&Branch| other.kind == branch.kind && !takes_nothing(other);
                let before = test.branches.iter().take_while(|other| other.span.start < branch.span.start);
                let earlier = before.filter(living).filter(|other| other.words.split(' ').next() == side).last();
                problems.push(match earlier.filter(|_| matches!(side, Some("below" | "above"))) {
                    Some(earlier) => {
                        let lines = [branch, earlier].map(|branch| playbook.source.slice(branch.span));
                        problem.instead(lines.join("\n"))
                    }
                    None => problem,
                });
            }
        }
    }
}

/// "a reading from 3 to 5 A", "a reading below 0.5 A".
fn told(stretch: &Stretch, unit: Unit) -> String {
    let (low, high) = (stretch.low.at, stretch.high.at);
    match (low.is_finite(), high.is_finite()) {
        (false, false) => "any number".to_owned(),
        (false, true) => format!("a reading below {} {unit}", plain(high)),
        (true, false) => format!("a reading above {} {unit}", plain(low)),
        (true, true) if low.total_cmp(&high).is_eq() => format!("{} {unit}", plain(low)),
        (true, true) => format!("a reading from {} to {} {unit}", plain(low), plain(high)),
    }
}

/// The line that would close the gap.
fn closing_line(gap: &Stretch, unit: Unit) -> String {
    let (low, high) = (gap.low.at, gap.high.at);
    match (low.is_finite() && low != 0.0, high.is_finite()) {
        (false, true) => format!("if  below {} {unit}  go to {NEXT_STEP}", plain(high)),
        (_, false) => format!("if  above {} {unit}  go to {NEXT_STEP}", plain(low)),
        (true, true) => format!("if  {} to {} {unit}  go to {NEXT_STEP}", plain(low), plain(high)),
    }
}
