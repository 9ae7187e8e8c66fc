//! A report as it is printed, and as a table for a spreadsheet.

use super::report::{Miss, Report};
use super::result::{Outcome, Scope};
use crate::text::english::list;

/// Most walks told in full; the rest are named. A number of ours.
const MOST_WALKS: usize = 25;

/// Most others named behind a walk. A number of ours.
const MOST_NAMED: usize = 8;

/// The report in words.
#[must_use]
pub fn words(report: &Report, changed: &[String], all: bool) -> String {
    let mut text = format!("{} on {}: {}\n", report.playbook, report.unit, report.title);
    for line in &report.summary {
        text.push_str(&format!("  {line}\n"));
    }
    section(&mut text, "Changed since the last run", changed.to_vec());
    let groups = by_line(&report.misses, all);
    let most = if all { usize::MAX } else { MOST_WALKS };
    for group in groups.iter().take(most) {
        text.push_str(&walk(group));
    }
    if let Some(rest) = groups.get(most.min(groups.len())..).filter(|rest| !rest.is_empty()) {
        let named: Vec<String> = rest.iter().flatten().map(|miss| heading(miss)).collect();
        section(&mut text, "Not right either (--all tells each walk)", named);
    }
    section(&mut text, "Limits", report.limits.iter().map(super::limits::Limit::words).collect());
    section(&mut text, "Can't tell apart", alike(report));
    let other = |scope: Scope| -> Vec<String> {
        report
            .singles
            .iter()
            .filter(|s| s.scope == scope)
            .map(|s| format!("{}: {}", s.fault, s.outcome.words()))
            .collect()
    };
    section(&mut text, "Another playbook's complaint", other(Scope::Another));
    section(&mut text, "Nobody's complaint: no playbook's first test feels it", other(Scope::Nobody));
    let gaps = report.not_on_sheet.iter().map(|(test, why)| format!("`{test}`: {why}.")).collect();
    section(&mut text, "Not on the sheet", gaps);
    section(&mut text, "Left unseen: closed, and no test of this playbook feels it", report.unseen.clone());
    section(&mut text, "Testability (terms of IEEE 1522)", figures(report));
    text
}

fn section(text: &mut String, heading: &str, lines: Vec<String>) {
    if lines.is_empty() {
        return;
    }
    text.push_str(&format!("\n{heading}\n"));
    for line in lines {
        text.push_str(&format!("  {line}\n"));
    }
}

fn heading(miss: &Miss) -> String {
    let what = if miss.faults.is_empty() { "the good unit".to_owned() } else { list(&miss.faults, "and") };
    let outcome = if miss.needless { "a needless adjust" } else { miss.outcome.words() };
    match &miss.cannot {
        Some(test) => format!("{what}, `{test}` can't be done: {outcome}"),
        None => format!("{what}: {outcome}"),
    }
}

/// Misses that one line sends the same way wrong, together: they are mended together. With `all` each stands by itself.
fn by_line(misses: &[Miss], all: bool) -> Vec<Vec<&Miss>> {
    let mut groups: Vec<Vec<&Miss>> = Vec::new();
    for miss in misses {
        let same = |group: &&mut Vec<&Miss>| {
            group.first().is_some_and(|first| {
                (&first.line, first.outcome, first.needless, &first.cannot)
                    == (&miss.line, miss.outcome, miss.needless, &miss.cannot)
            })
        };
        match groups.iter_mut().find(same).filter(|_| !all && miss.line.is_some()) {
            Some(group) => group.push(miss),
            None => groups.push(vec![miss]),
        }
    }
    groups
}

/// The walk of the first of a group, and what the others are.
fn walk(group: &[&Miss]) -> String {
    let Some((miss, others)) = group.split_first() else { return String::new() };
    let mut text = format!("\n{}, {}\n", heading(miss), miss.corner);
    for (at, step) in miss.walk.iter().enumerate() {
        text.push_str(&format!("  {}. {step}\n", at + 1));
    }
    for line in &miss.change {
        text.push_str(&format!("  {line}\n"));
    }
    if let (Some(line), false) = (&miss.line, others.is_empty()) {
        let named: Vec<String> = others.iter().take(MOST_NAMED).map(|other| list(&other.faults, "and")).collect();
        let more = others.len().saturating_sub(MOST_NAMED);
        let more = if more == 0 { String::new() } else { format!("; and {more} more") };
        text.push_str(&format!(
            "  The same line ({line}) sends {} more the same way (--all tells each walk): {}{more}.\n",
            others.len(),
            named.join("; ")
        ));
    }
    text
}

fn alike(report: &Report) -> Vec<String> {
    let groups = report.groups.iter().filter(|group| group.parts.len() > 1);
    groups
        .map(|group| {
            let apart = match &group.told_apart_by {
                Some(test) => format!("`{test}` would tell one of them from the rest."),
                None => "no test of this playbook reads them differently.".to_owned(),
            };
            format!("{} all end at {}; {apart}", list(&group.faults, "and"), group.end)
        })
        .collect()
}

fn figures(report: &Report) -> Vec<String> {
    let figures = &report.testability;
    vec![
        format!("Fraction of faults detected: {} of {}.", figures.detected, figures.faults),
        format!(
            "Fraction of faults isolated: {} to one part, {} to two at most, {} to three at most, of {}.",
            figures.isolated_to_one, figures.isolated_to_two, figures.isolated_to_three, figures.faults
        ),
        format!("Largest ambiguity group: {}.", crate::text::english::count(figures.largest_group, "part")),
        format!(
            "False alarm: {}.",
            if figures.false_alarm { "the good unit ends in a repair or adjust" } else { "none" }
        ),
    ]
}

/// Fault × test for a spreadsheet (RFC 4180): the good unit first; for each test the lines it comes out on.
#[must_use]
pub fn csv(report: &Report) -> String {
    let head = ["fault", "complaint", "result"].map(str::to_owned);
    let mut text = row(head.into_iter().chain(report.table.tests.iter().cloned()));
    for (name, cells) in &report.table.rows {
        let single = report.singles.iter().find(|single| single.fault == *name);
        let scope = single.map_or("", |single| match single.scope {
            Scope::This => "this",
            Scope::Another => "another",
            Scope::Nobody => "nobody's",
        });
        let outcome = single.map_or(Outcome::Right.words(), |single| single.outcome.words());
        let outcome = match single {
            Some(_) => outcome,
            None => report
                .misses
                .iter()
                .find(|m| m.faults.is_empty() && m.cannot.is_none())
                .map_or("right", |m| m.outcome.words()),
        };
        text.push_str(&row([name.clone(), scope.to_owned(), outcome.to_owned()]
            .into_iter()
            .chain(cells.iter().cloned())));
    }
    text
}

fn row(cells: impl Iterator<Item = String>) -> String {
    let cells: Vec<String> =
        cells
            .map(|cell| {
                if cell.contains([',', '"', '\n', '\r']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell }
            })
            .collect();
    format!("{}\r\n", cells.join(","))
}
