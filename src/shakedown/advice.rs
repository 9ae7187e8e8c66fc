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
            let closing = walk.iter().rposition(|step| matches!(step, Trod::Worked { .. })).map_or(0, |at| at + 1);
            let asked = asked(walk.get(closing..).unwrap_or_default());
            said.extend(left.iter().filter_map(|fault| left_in(shakedown, *fault, &asked)));
        }
        Some(Trod::Escalated(..)) if matches!(run.outcome, Outcome::Stumped | Outcome::Unclear) => {
            said.extend(stumped(shakedown, run, walk));
        }
        Some(Trod::Handed(_)) if run.outcome == Outcome::DidNotHold => {
            let felt: BTreeSet<InBook<TestId>> = run.faults.iter().flat_map(|fault| feels(shakedown, *fault)).collect();
            let felt = named(ground, &felt);
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

/// The tests a stretch of a walk asks.
fn asked(walk: &[Trod]) -> BTreeSet<InBook<TestId>> {
    let asked = walk.iter().filter_map(|step| match step {
        Trod::Asked { test, .. } => Some(*test),
        _ => None,
    });
    asked.collect()
}

/// The names of tests, each once, and not too many.
fn named<'a>(ground: &Ground, tests: impl IntoIterator<Item = &'a InBook<TestId>>) -> Vec<String> {
    let mut names: Vec<&str> = Vec::new();
    for test in tests {
        let name = ground.library.test(*test).name.as_str();
        if !names.contains(&name) && names.len() < MOST_NAMED {
            names.push(name);
        }
    }
    ticked(&names)
}

/// A fault that is left in when the call is closed; `asked` are the tests since the last repair.
fn left_in(shakedown: &Shakedown, fault: FaultId, asked: &BTreeSet<InBook<TestId>>) -> Option<String> {
    let ground = &shakedown.ground;
    let felt: BTreeSet<InBook<TestId>> = feels(shakedown, fault).into_iter().collect();
    let what = faults(ground, &[fault]);
    let more = named(ground, felt.difference(asked));
    if !more.is_empty() {
        let more = list(&more, "or");
        return Some(format!(
            "{more} reads {what} not good: ask it before the call closes, in `finish` or in the `verify` of the repair."
        ));
    }
    let asked = named(ground, felt.intersection(asked));
    (!asked.is_empty()).then(|| {
        let asked = list(&asked, "and");
        format!("{asked} was asked and read good: it feels {what} only now and then. Add a test that feels it always.")
    })
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
    let before = asked(walk.get(..upto).unwrap_or_default());
    let unasked = named(ground, apart.iter().filter(|test| !before.contains(*test)));
    if !unasked.is_empty() {
        said.push(format!("{} tells them apart: ask it before `{name}`.", list(&unasked, "or")));
    } else if apart.is_empty() {
        let other = work.cures.iter().next().map(|fault| faults(ground, &[*fault])).unwrap_or_default();
        said.push(format!(
            "No test of this playbook tells {} from {other}: add one, or hand it on.",
            faults(ground, &run.faults)
        ));
    } else {
        let asked = list(&named(ground, &apart), "and");
        said.push(format!(
            "{asked} tells them apart and was asked: lead on from its line by another road than to `{name}`."
        ));
    }
    said
}

fn stumped(shakedown: &Shakedown, run: &Run, walk: &[Trod]) -> Vec<String> {
    let ground = &shakedown.ground;
    let mut said = Vec::new();
    let felt: BTreeSet<InBook<TestId>> = run.faults.iter().flat_map(|fault| feels(shakedown, *fault)).collect();
    let unasked = named(ground, felt.difference(&asked(walk)));
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

/// Tests that fall on lines with one of the faults that none of the others falls on.
fn telling_apart(shakedown: &Shakedown, here: &[FaultId], there: &BTreeSet<FaultId>) -> Vec<InBook<TestId>> {
    let ground = &shakedown.ground;
    let mut tests: Vec<InBook<TestId>> = Vec::new();
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
        if apart && !tests.contains(&at) {
            tests.push(at);
        }
    }
    tests
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
