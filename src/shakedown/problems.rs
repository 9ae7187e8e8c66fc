//! What the cheap shakedown tells while a playbook is being written: each missed fault at the line to be mended.

use super::advice::{advice, last_line, place_of};
use super::result::Outcome;
use super::runs::{Run, Shakedown};
use super::told::faults;
use super::trace::Trod;
use crate::check::shaken::{CALLBACK, DID_NOT_HOLD, GOOD_PART_CHANGED, STUMPED, WRONG_PART};
use crate::text::english::list;
use crate::text::problem::Problem;
use crate::text::rule::Rule;
use crate::text::source::Place;

/// One problem for the good unit, where something is done to it, and one for each line that sends single faults of this complaint
/// wrong: the first of them is told, the others are named.
#[must_use]
pub fn problems(shakedown: &Shakedown) -> Vec<Problem> {
    let mut told: Vec<Problem> = Vec::new();
    let mut more: Vec<Vec<String>> = Vec::new();
    for run in shakedown.broken().filter(|run| run.faults.len() < 2) {
        if run.faults.is_empty() {
            if let Some(problem) = on_a_good_unit(shakedown, run) {
                told.push(problem);
                more.push(Vec::new());
            }
            continue;
        }
        let rule = match run.outcome {
            Outcome::Callback => &CALLBACK,
            Outcome::WrongPart => &WRONG_PART,
            Outcome::Stumped => &STUMPED,
            Outcome::DidNotHold => &DID_NOT_HOLD,
            _ => continue,
        };
        let Some(problem) = missed(shakedown, run, &run.walk, rule) else { continue };
        let same = |known: &Problem| known.rule == problem.rule && known.place.span == problem.place.span;
        match told.iter().position(same).and_then(|at| more.get_mut(at)) {
            Some(more) => more.push(ticked(shakedown, run)),
            None => {
                told.push(problem);
                more.push(Vec::new());
            }
        }
    }
    for (problem, more) in told.iter_mut().zip(more).filter(|(_, more)| !more.is_empty()) {
        problem.message.push_str(&format!(" The same goes for {}.", list(&more, "and")));
    }
    told
}

fn on_a_good_unit(shakedown: &Shakedown, run: &Run) -> Option<Problem> {
    match &run.needless {
        _ if run.ends.has(Outcome::WrongPart) => missed(shakedown, run, &run.walk, &GOOD_PART_CHANGED),
        Some((_, walk)) => missed(shakedown, run, walk, &GOOD_PART_CHANGED),
        None => None,
    }
}

fn missed(shakedown: &Shakedown, run: &Run, walk: &[Trod], rule: &'static Rule) -> Option<Problem> {
    let ground = &shakedown.ground;
    let book = ground.library.book(shakedown.book);
    let unit = &ground.wired.unit.name;
    let what = if run.faults.is_empty() {
        format!("On a good `{unit}`")
    } else {
        format!("With {} in `{unit}`", ticked(shakedown, run))
    };
    let end = |id| &ground.library.end(id).name;
    let fact = match (rule.code, walk.last()) {
        ("callback", Some(Trod::Closed(left))) => {
            format!("{what} the call is closed, and {} is still there.", faults(ground, left))
        }
        ("stumped", Some(Trod::Escalated(id, _))) => {
            format!("{what} the walk ends at `{}`, which does not name it.", end(*id))
        }
        ("did-not-hold", _) => format!("{what} a repair comes up a second time: it did not hold."),
        _ => {
            let idle = walk.iter().find_map(|step| match step {
                Trod::Worked { end, cured, .. } if cured.is_empty() => Some(*end),
                _ => None,
            })?;
            format!("{what} this leads to `{}`, and nothing is wrong with what it changes.", end(idle))
        }
    };
    // The line in a joined playbook is told with that one; here stands the line that leads on to it.
    let place = place_of(ground, walk)
        .filter(|place| place.source.path() == book.source.path())
        .or_else(|| here(shakedown, walk))
        .or_else(|| book.tests.first().map(|test| book.place(test.span)))?;
    let change = advice(shakedown, run, walk);
    let of_use = |line: &&String| !line.starts_with("The line ");
    // Of a callback the test that is missing at the end says more than the repair that was for nothing.
    let hint = match rule.code {
        "callback" => change.iter().rev().find(of_use),
        _ => change.iter().find(of_use),
    };
    let hint = hint.map(|line| format!(" {line}")).unwrap_or_default();
    Some(Problem::new(rule, place, format!("{fact}{hint}")))
}

fn ticked(shakedown: &Shakedown, run: &Run) -> String {
    let unit = &shakedown.ground.wired.unit;
    let names: Vec<String> = run.faults.iter().map(|fault| format!("`{}`", unit.fault_name(*fault))).collect();
    list(&names, "and")
}

/// The last line of this playbook that was followed.
fn here(shakedown: &Shakedown, walk: &[Trod]) -> Option<Place> {
    let own: Vec<Trod> = walk
        .iter()
        .filter(|step| matches!(step, Trod::Asked { test, .. } if test.book == shakedown.book))
        .cloned()
        .collect();
    let (test, line) = last_line(&own)?;
    let book = shakedown.ground.library.book(test.book);
    book.test(test.id).branches.get(line).map(|branch| book.place(branch.span))
}
