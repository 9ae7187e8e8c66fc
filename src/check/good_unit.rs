//! A good unit passes: what it reads, in every corner, lies on the good line.

use super::Subject;
use super::machine::{Looked, capital, corner_words, displayed, is_good, limit_span, looked};
use crate::corners::{CornerId, Desk, Width};
use crate::language::syntax::{Block, Limit, LimitKind, OutcomeKind, Says, When};
use crate::playbook::model::{Scale, Test, TestId};
use crate::playbook::told;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::trade::quantity::{computed, plain};
use crate::trade::reading::Reading;
use crate::trade::unit::Unit;

/// A good unit that falls on another line.
pub static GOOD_UNIT_FAILS: Rule = Rule {
    code: "good-unit-fails",
    level: Level::Error,
    says: "What a good unit reads lies on the `good` line, at low, rated and high supply and with every part at the ends of its tolerance.",
    why: "A good unit that fails a test gets good parts changed: at low line a good heater draws less, and a limit blind to that calls it bad.",
    wrong: "good  27 to 40 A  go to flow        (at low supply, 187.2 V, a good unit reads 26.9 A)",
    mended: "good  normal at supply  go to flow",
};

/// A good unit the meter's own error throws out.
pub static GOOD_UNIT_CLOSE: Rule = Rule {
    code: "good-unit-close",
    level: Level::Warning,
    says: "The `good` line leaves room for the error of the shop's meter.",
    why: "A meter that shows half a volt less than there is would fail a good unit now and then, and nobody could say why.",
    wrong: "good  187 to 229 V AC  go to amps",
    mended: "good  normal  go to amps",
};

/// The rules of this file.
pub static RULES: [&Rule; 2] = [&GOOD_UNIT_FAILS, &GOOD_UNIT_CLOSE];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let Some(desks) = subject.desks else { return };
    desks.at_one(|desk| {
        for ((block, test), (id, _)) in subject.tests().zip(subject.playbook.tests()) {
            problems.extend(test_of(subject, desk, block, (id, test)));
        }
    });
}

fn test_of(subject: Subject<'_>, desk: &mut Desk, block: &Block, (id, test): (TestId, &Test)) -> Option<Problem> {
    let good = test.good()?;
    let place = subject.playbook.place(limit_span(block, good));
    match looked(subject, desk, id)? {
        Looked::Said(..) => {
            let standing = desk.standing(&test.with);
            let looked = looked(subject, desk, id)?;
            let corners = desk.corners(Width::All, &[]);
            let (corner, line) = corners.into_iter().find_map(|corner| {
                let lines = looked.lines(desk, corner, &standing, &[])?;
                lines.into_iter().find(|line| !is_good(test, *line)).map(|line| (corner, line))
            })?;
            let said = test.branches.get(line?)?;
            let message = format!(
                "{} a good unit gives the answer `{}` here, and the good line is `{}`.",
                capital(&corner_words(desk, corner)),
                said.words,
                good.words
            );
            Some(Problem::new(&GOOD_UNIT_FAILS, place, format!("{message} Look at `with` first, then at the sheet.")))
        }
        Looked::Read(takings) => {
            let Scale::Numbers(unit) = test.scale else { return None };
            // Where the limits go with the supply, any number of digits may do.
            let falls_off = |shown: Reading| test.moving.is_some() || !good.takes.has(shown);
            let mut close: Option<(CornerId, Reading)> = None;
            for corner in desk.corners(Width::All, &[]) {
                for takings in &takings {
                    for set in takings.sets(desk, corner, None, &[]).ok()? {
                        let line = takings.line(&set).ok()?;
                        let result = takings.result(&set).ok()??;
                        if !is_good(test, line) {
                            let message = format!(
                                "{} a good unit reads {}: {}.",
                                capital(&corner_words(desk, corner)),
                                displayed(desk, result, unit, falls_off),
                                beside(test, line, result)
                            );
                            let problem = Problem::new(&GOOD_UNIT_FAILS, place, message);
                            return Some(with_normal(problem, subject, block, test, unit));
                        }
                        if close.is_none() {
                            let taps = takings.taps();
                            let off = desk
                                .ends(&taps, &set)
                                .into_iter()
                                .find(|end| takings.line(end).is_ok_and(|line| !is_good(test, line)));
                            let off = off.and_then(|end| takings.result(&end).ok().flatten());
                            close = off.map(|shown| (corner, shown));
                        }
                    }
                }
            }
            let (corner, shown) = close?;
            let message = format!(
                "{} the shop's meter may show {} on a good unit: that is off the good line, `{}`.",
                capital(&corner_words(desk, corner)),
                displayed(desk, shown, unit, falls_off),
                good.words
            );
            Some(with_normal(Problem::new(&GOOD_UNIT_CLOSE, place, message), subject, block, test, unit))
        }
    }
}

/// "below 27 A", "it falls on `below 27 A`".
fn beside(test: &Test, line: Option<usize>, result: Reading) -> String {
    if let Some(branch) = line.and_then(|line| test.branches.get(line)) {
        return format!("it falls on `{}`, not on the good line", branch.words);
    }
    match result {
        Reading::Value(_) => "no line takes it".to_owned(),
        Reading::OverLimit => "no line takes OL".to_owned(),
    }
}

/// What to write instead, line by line: `normal` for a good stretch and for the limits at its ends; where good has one end
/// only, the number a good unit reads there.
fn with_normal(problem: Problem, subject: Subject<'_>, block: &Block, test: &Test, unit: Unit) -> Problem {
    let Some(normal) = test.good_reads.map(|normal| normal.good) else { return problem };
    let limits: Vec<(OutcomeKind, &Limit)> = block
        .lines
        .iter()
        .filter_map(|line| match &line.says {
            Says::Outcome { kind, when: When::Limit(limit), .. } => Some((*kind, limit)),
            _ => None,
        })
        .collect();
    let good = limits.iter().find(|(kind, _)| *kind == OutcomeKind::Good).map(|(_, limit)| &limit.kind);
    let number = |value: f64| format!("{} {unit}", plain(value));
    let words = |limit: &Limit| -> Option<String> {
        let same = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(b.abs());
        Some(match (good?, &limit.kind) {
            (LimitKind::Between(..), LimitKind::Between(..)) if std::ptr::eq(good?, &limit.kind) => "normal".to_owned(),
            (LimitKind::Between(low, _), LimitKind::Below(x)) if same(low.value, x.value) => "below normal".to_owned(),
            (LimitKind::Between(_, high), LimitKind::Above(x)) if same(high.value, x.value) => {
                "above normal".to_owned()
            }
            (LimitKind::Below(x), LimitKind::Below(y)) if same(x.value, y.value) && !normal.over_limit => {
                format!("below {}", number(past(normal.high)))
            }
            (LimitKind::Below(x), LimitKind::Above(y)) if same(x.value, y.value) && !normal.over_limit => {
                format!("above {}", number(past(normal.high)))
            }
            (LimitKind::Above(x), LimitKind::Above(y)) if same(x.value, y.value) && normal.has_numbers() => {
                format!("above {}", number(normal.low))
            }
            (LimitKind::Above(x), LimitKind::Below(y)) if same(x.value, y.value) && normal.has_numbers() => {
                format!("below {}", number(normal.low))
            }
            _ => return None,
        })
    };
    let lines: Vec<String> = limits
        .iter()
        .filter_map(|(_, limit)| {
            let words = words(limit)?;
            let told = Problem::new(&GOOD_UNIT_FAILS, subject.playbook.place(limit.span), "").mended(&words);
            told.instead
        })
        .collect();
    let numbers = told::good(normal, unit);
    let problem = Problem { message: format!("{} A good unit reads {numbers} here.", problem.message), ..problem };
    // Where no line by line will do, `normal` says what is good.
    if lines.is_empty() { problem.mended("normal") } else { problem.instead(lines.join("\n")) }
}

/// A round number a good unit stays under: `below` leaves its own end out.
fn past(high: f64) -> f64 {
    if high == 0.0 {
        return 1.0;
    }
    let step = 10_f64.powf(high.abs().log10().floor() - 1.0);
    computed(((high / step).floor() + 1.0) * step)
}
