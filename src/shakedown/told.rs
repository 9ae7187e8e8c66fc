//! A walk, a corner, a reading in the shop's words.

use super::ground::Ground;
use super::trace::Trod;
use crate::circuit::unit::{Corner, End};
use crate::engine::{InBook, Reason};
use crate::language::syntax::BlockKind;
use crate::playbook::model::{EndId, Member, Members, Question, Scale, Test, TestId};
use crate::sheet::unit::model::FaultId;
use crate::text::english::list;
use crate::trade::printing::{at_step, three_digits};
use crate::trade::quantity::plain;
use crate::trade::reading::Reading;
use crate::trade::unit::Unit;

/// A reading to the last digit of the shop's meter; where that is not known, to three digits.
#[must_use]
pub fn reading(ground: &Ground, reading: Reading, unit: Unit) -> String {
    match reading {
        Reading::OverLimit => "OL".to_owned(),
        Reading::Value(value) => {
            let step = ground.desk.meter().accuracy(unit).map_or(0.0, |accuracy| accuracy.step);
            let number = if step > 0.0 { at_step(value, step) } else { plain(three_digits(value)) };
            format!("{number} {unit}")
        }
    }
}

/// The unit a test is judged in; `None` where it judges words.
#[must_use]
pub fn unit_of(test: &Test) -> Option<Unit> {
    match test.scale {
        Scale::Answers => None,
        Scale::Numbers(unit) | Scale::Judged(unit) => Some(unit),
    }
}

/// "heater-1 open", "heater-1 open and fuse-3 open", "the good unit".
#[must_use]
pub fn faults(ground: &Ground, faults: &[FaultId]) -> String {
    if faults.is_empty() {
        return "the good unit".to_owned();
    }
    let names: Vec<String> = faults.iter().map(|fault| ground.wired.unit.fault_name(*fault)).collect();
    list(&names, "and")
}

/// "supply low, heater-1 low and the others high, the fault at its low end"; "as on the rating plate".
#[must_use]
pub fn corner(ground: &Ground, corner: &Corner, faults: &[FaultId]) -> String {
    let mut words = Vec::new();
    match corner.supply {
        End::Low => words.push("supply low".to_owned()),
        End::High => words.push("supply high".to_owned()),
        End::Nominal => {}
    }
    let end = |end: End| match end {
        End::Low => "low",
        End::Nominal => "as on the plate",
        End::High => "high",
    };
    match (corner.parts, corner.apart.as_slice()) {
        (End::Nominal, []) => {}
        (all, []) => words.push(format!("parts {} in ohms", end(all))),
        (all, apart) => {
            let apart: Vec<String> = apart
                .iter()
                .map(|(part, at)| format!("{} {}", ground.wired.unit.part_of(*part).name, end(*at)))
                .collect();
            words.push(format!("{} and the other parts {} in ohms", list(&apart, "and"), end(all)));
        }
    }
    if corner.free < 0.5 {
        words.push("readings at their low end".to_owned());
    } else if corner.free > 0.5 {
        words.push("readings at their high end".to_owned());
    }
    let varies = faults.iter().any(|fault| crate::corners::fault_varies(ground.wired.unit.fault_of(*fault)));
    if varies && corner.faults != 0.5 {
        let what = if faults.len() == 1 { "the fault" } else { "the faults" };
        let its = if faults.len() == 1 { "its" } else { "their" };
        let end = if corner.faults < 0.5 { "low" } else { "high" };
        words.push(format!("{what} at {its} {end} end"));
    }
    if words.is_empty() { "as on the rating plate".to_owned() } else { words.join(", ") }
}

/// The walk in sentences, one a step.
#[must_use]
pub fn walk(ground: &Ground, steps: &[Trod]) -> Vec<String> {
    steps.iter().map(|step| sentence(ground, step)).collect()
}

fn sentence(ground: &Ground, step: &Trod) -> String {
    match step {
        Trod::Asked { test, member, standing, away, read, result, line, or } => {
            let block = ground.library.test(*test);
            let stands = ground.library.states().told_standing(standing);
            let name = block_name(ground, *test, *member);
            let found = found(ground, *test, read, *result);
            let words = |at: usize| block.branches.get(at).map(|branch| branch.words.clone()).unwrap_or_default();
            let line = line.map(words).unwrap_or_default();
            let mut said = match (&block.question, found.is_empty()) {
                (Question::Ask { text, .. }, _) => format!("{name}, {stands}. {text} \"{line}\"."),
                (_, true) => format!("{name}, {stands}: {line}."),
                (_, false) => format!("{name}, {stands}: {found}. That is {line}."),
            };
            if !or.is_empty() {
                let or: Vec<String> = or.iter().map(|at| format!("\"{}\"", words(*at))).collect();
                said.push_str(&format!(" It may as well come out as {}.", list(&or, "or")));
            }
            if !away.is_empty() {
                said.push_str(&format!(" Just then {} was away.", faults(ground, away)));
            }
            said
        }
        Trod::Cannot(test) => format!("{}: can't be done.", block_name(ground, *test, None)),
        Trod::Worked { end, member, cured } => {
            let name = end_name(ground, *end, *member);
            let is_repair = ground.library.end(*end).kind == BlockKind::Repair;
            match (cured.is_empty(), is_repair) {
                (false, _) => format!("{name}. That cures {}.", faults(ground, cured)),
                (true, true) => format!("{name}. Nothing was wrong with it."),
                (true, false) => format!("{name}. It was right already."),
            }
        }
        Trod::Escalated(end, member) => format!("Handed on: {}.", end_name(ground, *end, *member)),
        Trod::Closed(left) if left.is_empty() => "Closed.".to_owned(),
        Trod::Closed(left) => format!("Closed, with {} still in it.", faults(ground, left)),
        Trod::Handed(reason) => handed(ground, *reason),
        Trod::Stuck(Some(test), gap) => format!("{}: {gap}.", block_name(ground, *test, None)),
        Trod::Stuck(None, gap) => format!("It does not go on: {gap}."),
    }
}

fn handed(ground: &Ground, reason: Reason) -> String {
    match reason {
        Reason::DidNotHold(done) => {
            format!("{} comes up again: it did not hold. Handed over.", end_name(ground, done.end, done.member))
        }
        Reason::NotChecked(_) => "Handed over: repaired, not checked.".to_owned(),
        Reason::CannotTest(_) => "Handed over: can't get in there.".to_owned(),
        Reason::CannotWork(done) | Reason::NoPart(done) => {
            format!("Handed over: {} can't be done.", end_name(ground, done.end, done.member))
        }
        Reason::Escalated(end) => format!("Handed on: {}.", end_name(ground, end, None)),
        Reason::NotPutBack => "Handed over: the unit could not be put back.".to_owned(),
        Reason::NotSafe => "Handed over: not safe.".to_owned(),
    }
}

/// "v12 208.1 V AC, v23 207.9 V AC: 207.9 V AC".
fn found(ground: &Ground, test: InBook<TestId>, read: &[Reading], result: Option<Reading>) -> String {
    let book = ground.library.book(test.book);
    let block = ground.library.test(test);
    let each: Vec<String> = block
        .measures()
        .iter()
        .zip(read)
        .map(|(measure, value)| {
            let shown = reading(ground, *value, measure.unit);
            match &book.slot(measure.slot).name {
                Some(name) if read.len() > 1 => format!("{name} {shown}"),
                _ => shown,
            }
        })
        .collect();
    let judged = result.zip(unit_of(block)).map(|(result, unit)| reading(ground, result, unit));
    match judged {
        Some(judged) if each.len() == 1 && each.first() == Some(&judged) => judged,
        Some(judged) if each.is_empty() => judged,
        // One reading, judged as far off as the meter may be.
        Some(judged) if each.len() == 1 && matches!(block.question, Question::Measure(_)) => {
            format!("{}, which the meter may show as {judged}", each.join(", "))
        }
        Some(judged) => format!("{}: {judged}", each.join(", ")),
        None => each.join(", "),
    }
}

/// "Volts from line to line (`supply-balance`)", with the member and, in a joined playbook, its name.
#[must_use]
pub fn block_name(ground: &Ground, test: InBook<TestId>, member: Option<Member>) -> String {
    let book = ground.library.book(test.book);
    let block = ground.library.test(test);
    format!("{}{} (`{}`)", block.title, of_member(book, block.members, member), block.name)
}

/// "Replace the blown fuse (`replace-fuse`)".
#[must_use]
pub fn end_name(ground: &Ground, end: InBook<EndId>, member: Option<Member>) -> String {
    let book = ground.library.book(end.book);
    let block = ground.library.end(end);
    format!("{}{} (`{}`)", block.title, of_member(book, block.members, member), block.name)
}

fn of_member(book: &crate::playbook::model::Playbook, members: Members, member: Option<Member>) -> String {
    match (members, member) {
        (Members::Each(bank) | Members::That(bank), Some(member)) => format!(", {}-{member}", book.bank(bank).name),
        _ => String::new(),
    }
}
