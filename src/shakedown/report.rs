//! What came of a shakedown as data, in the shop's words: for the terminal, for other programs, for the pages.

use super::advice::{advice, place_of};
use super::alike::{Figures, Group, figures, found_by, groups};
use super::limits::{Limit, limits};
use super::result::{Outcome, Scope};
use super::runs::{Run, Shakedown};
use super::told;
use super::trace::Trod;
use crate::engine::InBook;
use crate::playbook::model::TestId;
use crate::text::english::{count, list};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What came of one playbook on one unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Report {
    /// The playbook.
    pub playbook: String,
    /// Its title.
    pub title: String,
    /// The unit.
    pub unit: String,
    /// Whether a promise is broken.
    pub broken: bool,
    /// Whether anything at all is not right.
    pub strictly_broken: bool,
    /// Five lines.
    pub summary: Vec<String>,
    /// Every single fault.
    pub singles: Vec<Single>,
    /// Walks of pairs by what came of them; those of this complaint.
    pub pairs: BTreeMap<Outcome, usize>,
    /// Roads with a test that can't be done: how many were walked.
    pub roads: usize,
    /// What is not right, worst first.
    pub misses: Vec<Miss>,
    /// The limits of each test.
    pub limits: Vec<Limit>,
    /// Faults by where they end.
    pub groups: Vec<Group>,
    /// Tests that have no model, and why.
    pub not_on_sheet: Vec<(String, String)>,
    /// Faults that no playbook's first test feels.
    pub nobodys: Vec<String>,
    /// Faults that are left in a closed unit because no test of the playbook feels them.
    pub unseen: Vec<String>,
    /// Testability figures.
    pub testability: Figures,
    /// Fault × test: what each test comes out as.
    pub table: Table,
}

/// One fault, alone in the unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Single {
    /// The fault.
    pub fault: String,
    /// Whose complaint.
    pub scope: Scope,
    /// What came of it.
    pub outcome: Outcome,
    /// What found it: the title of the repair, adjust or escalation.
    pub by: Option<String>,
    /// Whether it was handed on.
    pub handed_on: bool,
    /// Whether an adjust was needless on the way.
    pub needless: bool,
}

/// Something that is not right.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Miss {
    /// The faults; none for the good unit.
    pub faults: Vec<String>,
    /// Whose complaint.
    pub scope: Scope,
    /// What came of it.
    pub outcome: Outcome,
    /// The test that could not be done, on such a road.
    pub cannot: Option<String>,
    /// The corner.
    pub corner: String,
    /// The walk, a sentence a step.
    pub walk: Vec<String>,
    /// What to change.
    pub change: Vec<String>,
    /// The line that led wrong: "fryer.playbook, line 34".
    pub line: Option<String>,
    /// Whether it breaks a promise.
    pub broken: bool,
    /// Only an adjust that was needless.
    pub needless: bool,
}

/// Fault × test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Table {
    /// The tests.
    pub tests: Vec<String>,
    /// The good unit first, then each fault: its name, and for each test the lines it comes out on.
    pub rows: Vec<(String, Vec<String>)>,
}

/// The report of a shakedown.
#[must_use]
pub fn report(shakedown: &Shakedown) -> Report {
    let ground = &shakedown.ground;
    let book = ground.library.book(shakedown.book);
    let singles: Vec<Single> = shakedown.singles.iter().map(|run| single(shakedown, run)).collect();
    let own_pairs = shakedown.pair_counts.iter().filter(|((scope, _), _)| *scope == Scope::This);
    let pairs = own_pairs.map(|((_, outcome), count)| (*outcome, *count)).collect();
    let named = |scope: Scope| {
        singles.iter().filter(move |single| single.scope == scope).map(|single| single.fault.clone()).collect()
    };
    let unit = &ground.wired.unit;
    let left_unseen = shakedown.singles.iter().filter(|run| run.ends.has_unseen());
    let unseen = left_unseen.flat_map(|run| &run.faults).map(|fault| unit.fault_name(*fault)).collect();
    let mut report = Report {
        playbook: book.name.clone(),
        title: book.title.clone(),
        unit: unit.name.clone(),
        broken: shakedown.is_broken(false),
        strictly_broken: shakedown.is_broken(true),
        summary: Vec::new(),
        pairs,
        roads: shakedown.road_count,
        misses: misses(shakedown),
        limits: limits(shakedown),
        groups: groups(shakedown),
        not_on_sheet: not_on_sheet(shakedown),
        nobodys: named(Scope::Nobody),
        unseen,
        testability: figures(shakedown),
        table: table(shakedown),
        singles,
    };
    report.summary = summary(shakedown, &report);
    report
}

fn single(shakedown: &Shakedown, run: &Run) -> Single {
    let ground = &shakedown.ground;
    let by = found_by(run).filter(|_| matches!(run.outcome, Outcome::Right | Outcome::OtherComplaint));
    Single {
        fault: told::faults(ground, &run.faults),
        scope: run.scope,
        outcome: run.outcome,
        by: by.map(|(end, member)| told::end_name(ground, end, member)),
        handed_on: by.is_some_and(|(end, _)| ground.hands_on(end)),
        needless: run.ends.has_needless(),
    }
}

fn summary(shakedown: &Shakedown, report: &Report) -> Vec<String> {
    let corners = count(shakedown.corners, "corner");
    let good =
        match (shakedown.good.outcome, shakedown.good.ends.has(Outcome::WrongPart), report.testability.false_alarm) {
            (_, true, _) => "a part is changed that is not bad".to_owned(),
            (_, false, true) => "something is set that was right".to_owned(),
            (Outcome::Right, ..) => "no part changed, nothing set".to_owned(),
            (other, ..) => format!("{}, no part changed", other.words()),
        };
    let by = |outcomes: BTreeMap<Outcome, usize>| {
        let words: Vec<String> = outcomes.iter().rev().map(|(outcome, n)| format!("{n} {}", outcome.words())).collect();
        if words.is_empty() { "none".to_owned() } else { list(&words, "and") }
    };
    let mut own = BTreeMap::new();
    for single in report.singles.iter().filter(|single| single.scope == Scope::This) {
        *own.entry(single.outcome).or_insert(0) += 1;
    }
    let total: usize = own.values().sum();
    let pairs: usize = report.pairs.values().sum();
    let pairs = match (shakedown.depth.pairs, pairs) {
        (false, _) => "Pairs: not walked.".to_owned(),
        (true, 0) => "Pairs: none of this complaint.".to_owned(),
        (true, n) => format!("Pairs: {n} with a fault of this complaint: {}.", by(report.pairs.clone())),
    };
    // What this complaint's first test does not feel is told, and not laid to its roads.
    let (mut off, mut unfelt) = (BTreeMap::new(), BTreeMap::new());
    for road in &shakedown.roads {
        let counts = if is_own(&road.run) { &mut off } else { &mut unfelt };
        *counts.entry(road.run.outcome).or_insert(0) += 1;
    }
    let walked = format!("Tests that can't be done: {} walked", count(report.roads, "road"));
    let unfelt = if unfelt.is_empty() {
        String::new()
    } else {
        format!(" Of faults that are not of this complaint: {}.", by(unfelt))
    };
    let roads = match (shakedown.depth.roads, off.is_empty()) {
        (false, _) => "Tests that can't be done: not walked.".to_owned(),
        (true, true) => format!("{walked}, all right.{unfelt}"),
        (true, false) => format!("{walked}: {}, the rest right.{unfelt}", by(off)),
    };
    let other = report.singles.iter().filter(|single| single.scope == Scope::Another).count();
    let gaps = match report.not_on_sheet.len() {
        0 => "Every test met is on the sheet.".to_owned(),
        n => format!("{} met, and not on the sheet.", count(n, "test")),
    };
    vec![
        format!("Good unit: {good}, in {corners}."),
        format!("Single faults: {total} of this complaint: {}.", by(own)),
        pairs,
        roads,
        format!("Not of this complaint: {other} of another playbook's, {} of nobody's. {gaps}", report.nobodys.len()),
    ]
}

fn misses(shakedown: &Shakedown) -> Vec<Miss> {
    let mut told: Vec<Miss> = Vec::new();
    let broken: Vec<*const Run> = shakedown.broken().map(std::ptr::from_ref).collect();
    let is_broken = |run: &Run| broken.contains(&std::ptr::from_ref(run));
    let runs = std::iter::once(&shakedown.good).chain(&shakedown.singles).chain(&shakedown.pairs);
    for run in runs.filter(|run| run.outcome != Outcome::Right) {
        // What another playbook is for is told with that one.
        if is_own(run) {
            told.push(miss(shakedown, run, None, is_broken(run)));
        }
    }
    for run in std::iter::once(&shakedown.good).chain(&shakedown.singles).filter(|run| run.scope == Scope::This) {
        if let Some((corner, walk)) = run.needless.as_ref().filter(|_| run.outcome == Outcome::Right) {
            let run = Run { corner: *corner, walk: walk.clone(), ..run.clone() };
            let broken = run.faults.is_empty();
            told.push(Miss { needless: true, ..miss(shakedown, &run, None, broken) });
        }
    }
    for road in shakedown.roads.iter().filter(|road| is_own(&road.run)) {
        told.push(miss(shakedown, &road.run, Some(road.test), is_broken(&road.run)));
    }
    told.sort_by_key(|miss| (!miss.broken, miss.cannot.is_some(), miss.outcome, miss.faults.len()));
    told
}

/// Of this complaint, or the good unit.
fn is_own(run: &Run) -> bool {
    run.scope == Scope::This || run.faults.is_empty()
}

fn miss(shakedown: &Shakedown, run: &Run, cannot: Option<InBook<TestId>>, broken: bool) -> Miss {
    let ground = &shakedown.ground;
    let unit = &ground.wired.unit;
    let corner = ground.desk.corner(run.corner).clone();
    Miss {
        faults: run.faults.iter().map(|fault| unit.fault_name(*fault)).collect(),
        scope: run.scope,
        outcome: run.outcome,
        cannot: cannot.map(|test| ground.library.test(test).name.clone()),
        corner: told::corner(ground, &corner, &run.faults),
        walk: told::walk(ground, &run.walk),
        change: advice(shakedown, run, &run.walk),
        line: place_of(ground, &run.walk).map(|place| format!("{}, line {}", place.source.path(), place.line())),
        broken,
        needless: false,
    }
}

fn not_on_sheet(shakedown: &Shakedown) -> Vec<(String, String)> {
    let ground = &shakedown.ground;
    let mut told: Vec<(String, String)> = shakedown
        .gaps
        .iter()
        .map(|(test, gap)| {
            let block = ground.library.test(*test);
            let book = ground.library.book(test.book);
            let name =
                if test.book == shakedown.book { block.name.clone() } else { format!("{}: {}", book.name, block.name) };
            (name, gap.to_string())
        })
        .collect();
    told.dedup();
    told
}

fn table(shakedown: &Shakedown) -> Table {
    let ground = &shakedown.ground;
    let own = |ask: &&crate::shakedown::ground::AskId| shakedown.books.contains(&ground.ask(**ask).at.book);
    let asks: Vec<_> = shakedown.table.asks.iter().filter(own).copied().collect();
    let tests = asks
        .iter()
        .map(|ask| {
            let ask = ground.ask(*ask);
            let name = &ground.library.test(ask.at).name;
            match ask.member {
                Some(member) => format!("{name} {member}"),
                None => name.clone(),
            }
        })
        .collect();
    let faults = std::iter::once(None).chain(ground.wired.unit.faults().map(|(id, _)| Some(id)));
    let rows = faults
        .map(|fault| {
            let name = fault.map_or_else(|| "good unit".to_owned(), |fault| ground.wired.unit.fault_name(fault));
            let cells = asks.iter().map(|ask| {
                let Some(cell) = shakedown.table.cell(fault, *ask) else { return String::new() };
                if cell.gap.is_some() {
                    return Outcome::NotOnSheet.words().to_owned();
                }
                let test = ground.library.test(ground.ask(*ask).at);
                let lines = cell.lines.iter().filter_map(|line| test.branches.get(usize::from(*line)));
                let words: Vec<&str> = lines.map(|branch| branch.words.as_str()).collect();
                words.join(" or ")
            });
            (name, cells.collect())
        })
        .collect();
    Table { tests, rows }
}

/// Whether a walk ends closed.
#[must_use]
pub fn is_closed(walk: &[Trod]) -> bool {
    matches!(walk.last(), Some(Trod::Closed(_)))
}
