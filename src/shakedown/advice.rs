//! What to change in a playbook that misses something: from the walk and the outcome table.

use super::ground::Ground;
use super::result::Outcome;
use super::runs::{Run, Shakedown};
use super::told::faults;
use super::trace::Trod;
use crate::engine::InBook;
use crate::playbook::model::{EndId, Member, TestId};
use crate::sheet::unit::model::FaultId;
use crate::text::english::{list, ticked};
use crate::text::source::Place;
use std::collections::BTreeSet;

/// Most tests named in one sentence.
const MOST_NAMED: usize = 3;

/// Sentences that say what to change, for the walk of a run.
#[must_use]
pub fn advice(shakedown: &Shakedown, run: &Run, walk: &[Trod]) -> Vec<String> {
    let ground = &shakedown.ground;
    let mut said = Vec::new();
    if let Some(Trod::Worked { end, member, .. }) = walk.iter().find(|step| is_idle(step)) {
        said.extend(idle(shakedown, run, walk, *end, *member));
    }
    match walk.last() {
        Some(Trod::Closed(left)) if !left.is_empty() && run.outcome == Outcome::Callback => {
            for fault in left {
                let felt = felt_by(shakedown, *fault);
                if !felt.is_empty() {
                    said.push(format!(
                        "{} reads {} not good: ask it before the call closes, in `finish` or in the `verify` of the repair.",
                        list(&felt, "or"),
                        faults(ground, &[*fault])
                    ));
                }
            }
        }
        Some(Trod::Escalated(..)) if matches!(run.outcome, Outcome::Stumped | Outcome::Unclear) => {
            said.extend(stumped(shakedown, run, walk));
        }
        Some(Trod::Handed(_)) if run.outcome == Outcome::DidNotHold => {
            let felt: Vec<String> = run.faults.iter().flat_map(|fault| felt_by(shakedown, *fault)).collect();
            let hint = if felt.is_empty() { String::new() } else { format!(" {} feels it.", list(&felt, "or")) };
            said.push(format!(
                "The line that leads back to the repair takes what {} reads too: lead on from there to another test.{hint}",
                faults(ground, &run.faults)
            ));
        }
        Some(Trod::Stuck(Some(test), gap)) => {
            said.push(format!("`{}`: {gap}.", ground.library.test(*test).name));
        }
        _ => {}
    }
    if run.outcome == Outcome::Unclear {
        said.extend(unclear(ground, walk));
    }
    said
}

fn is_idle(step: &Trod) -> bool {
    matches!(step, Trod::Worked { cured, .. } if cured.is_empty())
}

/// A repair or adjust that cures nothing: what led there, and what would tell the two apart.
fn idle(shakedown: &Shakedown, run: &Run, walk: &[Trod], end: InBook<EndId>, member: Option<Member>) -> Vec<String> {
    let ground = &shakedown.ground;
    let name = &ground.library.end(end).name;
    let mut said = Vec::new();
    let upto = walk.iter().position(is_idle).unwrap_or(walk.len());
    if let Some((test, line)) = last_line(walk.get(..upto).unwrap_or_default()) {
        let block = ground.library.test(test);
        let words = block.branches.get(line).map(|branch| branch.words.as_str()).unwrap_or_default();
        said.push(format!("The line `{words}` of `{}` leads to `{name}`.", block.name));
    }
    let Some(work) = ground.work(end, member) else { return said };
    if work.cures.is_empty() {
        said.push(format!("`{name}` is `for` nothing on the sheet: name the part it changes."));
        return said;
    }
    let apart = telling_apart(shakedown, &run.faults, &work.cures);
    if apart.is_empty() {
        let other = work.cures.iter().next().map(|fault| faults(ground, &[*fault])).unwrap_or_default();
        said.push(format!(
            "No test of this playbook tells {} from {other}: add one, or hand it on.",
            faults(ground, &run.faults)
        ));
    } else {
        said.push(format!("{} tells them apart: ask it before `{name}`.", list(&apart, "or")));
    }
    said
}

fn stumped(shakedown: &Shakedown, run: &Run, walk: &[Trod]) -> Vec<String> {
    let ground = &shakedown.ground;
    let asked: BTreeSet<InBook<TestId>> = walk
        .iter()
        .filter_map(|step| match step {
            Trod::Asked { test, .. } => Some(*test),
            _ => None,
        })
        .collect();
    let names = |test: &InBook<TestId>| format!("`{}`", ground.library.test(*test).name);
    let mut said = Vec::new();
    let felt: BTreeSet<InBook<TestId>> = run.faults.iter().flat_map(|fault| feels(shakedown, *fault)).collect();
    let unasked: Vec<String> = felt.difference(&asked).map(names).take(MOST_NAMED).collect();
    let what = faults(ground, &run.faults);
    if !unasked.is_empty() {
        said.push(format!("{} would feel {what}, and this walk never asks it.", list(&unasked, "or")));
    }
    let names: Vec<String> = run.faults.iter().map(|fault| ground.wired.unit.fault_name(*fault)).collect();
    said.push(format!("Lead to a repair instead, or to an escalation with `for {}`.", names.join(", ")));
    said
}

fn unclear(ground: &Ground, walk: &[Trod]) -> Option<String> {
    let mut names: Vec<&str> = Vec::new();
    for step in walk {
        if let Trod::Asked { test, or, .. } = step
            && !or.is_empty()
        {
            let name = ground.library.test(*test).name.as_str();
            if !names.contains(&name) {
                names.push(name);
            }
        }
    }
    let names = ticked(&names);
    let stand = if names.len() == 1 { "stands" } else { "stand" };
    (!names.is_empty()).then(|| {
        format!("{} {stand} on a limit: move the limit away, or read something that is clearer.", list(&names, "and"))
    })
}

/// The last outcome line followed, with its test.
#[must_use]
pub fn last_line(walk: &[Trod]) -> Option<(InBook<TestId>, usize)> {
    walk.iter().rev().find_map(|step| match step {
        Trod::Asked { test, line: Some(line), .. } => Some((*test, *line)),
        _ => None,
    })
}

/// The tests of these playbooks that read a fault not good in some corner.
fn feels(shakedown: &Shakedown, fault: FaultId) -> Vec<InBook<TestId>> {
    let ground = &shakedown.ground;
    let mut found = Vec::new();
    for ask in &shakedown.table.asks {
        let at = ground.ask(*ask).at;
        if shakedown.books.contains(&at.book)
            && !found.contains(&at)
            && shakedown.table.cell(Some(fault), *ask).is_some_and(|cell| cell.some_bad)
        {
            found.push(at);
        }
    }
    found
}

fn felt_by(shakedown: &Shakedown, fault: FaultId) -> Vec<String> {
    let tests = feels(shakedown, fault);
    let names: Vec<&str> =
        tests.iter().map(|at| shakedown.ground.library.test(*at).name.as_str()).take(MOST_NAMED).collect();
    ticked(&names)
}

/// Tests that fall on lines with one of the faults that none of the others falls on.
fn telling_apart(shakedown: &Shakedown, here: &[FaultId], there: &BTreeSet<FaultId>) -> Vec<String> {
    let ground = &shakedown.ground;
    let mut names: Vec<&str> = Vec::new();
    for ask in &shakedown.table.asks {
        let at = ground.ask(*ask).at;
        if !shakedown.books.contains(&at.book) {
            continue;
        }
        let cell = |fault: Option<FaultId>| shakedown.table.cell(fault, *ask).filter(|cell| cell.gap.is_none());
        let own: Vec<_> =
            if here.is_empty() { vec![cell(None)] } else { here.iter().map(|fault| cell(Some(*fault))).collect() };
        let apart = !there.is_empty()
            && there.iter().all(|other| {
                let Some(other) = cell(Some(*other)) else { return false };
                own.iter().all(|own| own.is_some_and(|own| own.lines.is_disjoint(&other.lines)))
            });
        let name = ground.library.test(at).name.as_str();
        if apart && !names.contains(&name) && names.len() < MOST_NAMED {
            names.push(name);
        }
    }
    ticked(&names)
}

/// Where a miss is to be mended: the line that led to a repair which cures nothing, or to an escalation that does not name the
/// fault; else the heading of what was done last.
#[must_use]
pub fn place_of(ground: &Ground, walk: &[Trod]) -> Option<Place> {
    let upto = walk.iter().position(is_idle).unwrap_or(walk.len());
    if let Some((test, line)) = last_line(walk.get(..upto).unwrap_or_default()) {
        let book = ground.library.book(test.book);
        return book.test(test.id).branches.get(line).map(|branch| book.place(branch.span));
    }
    None
}
