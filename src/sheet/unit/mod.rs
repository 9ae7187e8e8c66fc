//! The unit sheet: what the unit is. [`read`] is the entry: a file in, a [`model::Unit`] and everything wrong with it out.
//!
//! 1. Name, title, rating plate ([`nameplate`]), banks, states (those of the shop with the unit's own).
//! 2. Parts by group ([`group`], `parts`), supplies and rungs (`wiring`), readings outside the circuit (`readings`).
//! 3. Usual faults of each group (`usual`), and the sheet's own (`faults`).
//! 4. What hangs on other names comes last, when all are known: `closed when`, `instead`, `is` ([`condition`], [`sum`]).
//! 5. [`draft`] writes a new sheet to start from.
//!
//! A bank is written once and repeated for each member: `zone.relay` is `zone-1.relay` and so on. What can't be used is
//! told and left out; the rest is read on, so that one run tells everything.

pub mod amount;
pub mod condition;
pub mod draft;
mod faults;
pub mod group;
pub mod holes;
pub mod model;
mod nameplate;
mod parts;
mod readings;
pub mod sum;
mod usual;
mod wiring;

use super::shop::Shop;
use super::state_lines;
use crate::text::english::{list, nearest, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Source;
use crate::text::yaml::reader::{Fields, Reader};
use crate::text::yaml::tree::{Entry, Text};
use holes::Holes;
use model::{Bank, Point, Unit};
use std::sync::Arc;

/// The head of a sheet.
pub static UNIT_HEAD: Rule = Rule {
    code: "unit-head",
    level: Level::Error,
    says: "A unit sheet starts with `unit: NAME` and `title`; `calling` names the state value that calls for heat or cold; `banks: { zone: 1 to 5 }` the parts that are there several times.",
    why: "Playbooks name the unit they are for, and the shakedown has to know when the unit is at work.",
    wrong: "unit: Booster 208\ncalling: heet on",
    mended: "unit: booster-208\ntitle: Booster heater, 208 V\ncalling: heat on",
};

/// The rules of this room.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    vec![
        &UNIT_HEAD,
        &amount::SHEET_NUMBER,
        &sum::SHEET_SUM,
        &condition::SHEET_CONDITION,
        &parts::PART_NAME,
        &parts::PART_LINE,
        &wiring::RUNG,
        &wiring::NOT_WIRED,
        &wiring::SUPPLY,
        &readings::SHEET_READING,
        &readings::READING_RING,
        &faults::SHEET_FAULT,
        &faults::FAULT_REACH,
        &usual::USUAL_FAULTS,
    ]
}

const LINES: [&str; 10] =
    ["unit", "title", "nameplate", "states", "calling", "banks", "circuit", "parts", "readings", "faults"];

/// Reads a unit sheet. The unit is as whole as the sheet lets it be; with a problem that is an error, use it only to
/// look for more.
#[must_use]
pub fn read(source: &Arc<Source>, shop: &Shop) -> (Unit, Vec<Problem>) {
    let (mut reader, root) = Reader::open(source);
    let fields = reader.sheet("a unit sheet", &root, &LINES, &[]);
    let mut unit = Unit {
        source: Arc::clone(source),
        name: String::new(),
        title: String::new(),
        nameplate: Vec::new(),
        states: Arc::clone(&shop.table),
        calling: Vec::new(),
        banks: Vec::new(),
        supplies: Vec::new(),
        points: vec![Point { name: "Ground".to_owned(), place: None }],
        parts: Vec::new(),
        rungs: Vec::new(),
        readings: Vec::new(),
        faults: Vec::new(),
        struck: Vec::new(),
        holes: Holes::default(),
    };
    let misspelled = reader.told(&crate::text::yaml::UNKNOWN_LINE);
    head(&mut reader, fields, &mut unit, root.span);
    match fields.get("nameplate") {
        Some(line) => nameplate::read(&mut reader, line, &mut unit),
        None if misspelled => unit.holes.no_plate(),
        None => {}
    }
    if let Some(line) = fields.get("banks") {
        banks(&mut reader, line, &mut unit);
    }
    let declared = fields.get("states").map(|line| state_lines::read(&mut reader, line)).unwrap_or_default();
    let (states, wrong) = shop.with_unit(&declared);
    wrong.into_iter().filter(|p| p.place.source.path() == source.path()).for_each(|problem| reader.note(problem));
    unit.states = Arc::new(states);
    for state in declared.iter().filter(|state| unit.states.find(&state.name).is_none()) {
        unit.holes.name(&state.name);
    }
    if let Some(line) = fields.get("calling") {
        calling(&mut reader, line, &mut unit);
    }
    let parts = fields.get("parts").map(|line| parts::read(&mut reader, line, &mut unit)).unwrap_or_default();
    match fields.get("circuit") {
        Some(line) => wiring::read(&mut reader, line, &mut unit),
        None => {
            unit.holes.no_rungs();
            unit.holes.supply();
            if let Some(line) = fields.get("parts").filter(|_| !misspelled) {
                let fact = "This sheet has no `circuit`: no supply, and no rung for its parts.";
                reader.say(&wiring::NOT_WIRED, line.key.span, fact);
            }
        }
    }
    let readings = fields.get("readings").map(|line| readings::read(&mut reader, line, &mut unit)).unwrap_or_default();
    usual::usual(&mut unit);
    if let Some(line) = fields.get("faults") {
        faults::read(&mut reader, line, &mut unit);
    }
    parts::ties(&mut reader, &parts, &mut unit);
    readings::ties(&mut reader, &readings, &mut unit);
    faults::silent(&mut reader, &unit);
    wiring::loose(&mut reader, &unit);
    let heading = fields.get("faults").map(|line| reader.place(line.key.span));
    let mut problems = reader.finish();
    unit.holes.hold_back(&mut problems);
    if !problems.iter().any(Problem::is_error) {
        problems.extend(usual::left_out(&unit, heading));
    }
    (unit, problems)
}

fn head(reader: &mut Reader, fields: Fields<'_>, unit: &mut Unit, whole: crate::text::source::Span) {
    let start = crate::text::source::Span { start: whole.start, end: whole.start };
    match fields.get("unit") {
        Some(line) => {
            if let Some(name) = reader.words(line) {
                let good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
                if name.text.chars().all(good) {
                    unit.name = name.text;
                } else {
                    let better = name.text.to_lowercase().replace([' ', '_'], "-");
                    let fact = format!("`{}` is not one word of small letters, digits and hyphens.", name.text);
                    reader.say_instead(&UNIT_HEAD, name.span, fact, &better);
                    unit.name = better;
                }
            }
        }
        None => reader.say(&UNIT_HEAD, start, "This sheet has no `unit: NAME`."),
    }
    match fields.get("title") {
        Some(line) => unit.title = reader.sentence(line).map(|title| title.text).unwrap_or_default(),
        None => reader.say(&UNIT_HEAD, start, "This sheet has no `title`."),
    }
}

fn banks(reader: &mut Reader, entry: &Entry, unit: &mut Unit) {
    for line in reader.entries(entry) {
        let Some(text) = reader.words(line) else { continue };
        let ends = text
            .text
            .split_once(" to ")
            .and_then(|(a, b)| Some((a.trim().parse::<u16>().ok()?, b.trim().parse::<u16>().ok()?)));
        match ends {
            // More than 99 of one part in one machine is a slip; the number is ours.
            Some((first, last)) if first < last && last - first < 99 => {
                unit.banks.push(Bank { name: line.key.text.clone(), members: (first..=last).collect() });
            }
            _ => {
                unit.holes.name(&line.key.text);
                let fact = format!("`{}` does not say which there are: `1 to 5`.", text.text);
                let count = text.text.parse::<u16>().ok().filter(|count| (2..=99).contains(count));
                let instead = format!("1 to {}", count.unwrap_or(5));
                reader.say_instead(&UNIT_HEAD, text.span, fact, &instead);
            }
        }
    }
}

fn calling(reader: &mut Reader, line: &Entry, unit: &mut Unit) {
    for text in reader.names(line) {
        let (state, value) = text.text.split_once(' ').unwrap_or((&text.text, ""));
        if let Some(stand) = unit.states.stand(state, value.trim()) {
            unit.calling.push(stand);
            continue;
        }
        if unit.holes.behind(&text.text) {
            continue;
        }
        let (fact, near) = unknown_stand(&text, state, value.trim(), unit);
        match near {
            Some(near) => reader.say_instead(&UNIT_HEAD, text.span, fact, &near),
            None => reader.say(&UNIT_HEAD, text.span, fact),
        }
    }
}

fn unknown_stand(text: &Text, state: &str, value: &str, unit: &Unit) -> (String, Option<String>) {
    match unit.states.find(state) {
        Some((_, found)) => {
            let names = found.names();
            let near = nearest(value, names.iter().copied()).map(|near| format!("{state} {near}"));
            (format!("`{state}` is {}, not `{value}`.", list(&ticked(&names), "or")), near)
        }
        None => {
            let near = nearest(state, unit.states.iter().map(|(_, state)| state.name.as_str()));
            let states: Vec<&str> = unit.states.iter().map(|(_, state)| state.name.as_str()).collect();
            let known = list(&ticked(&states), "and");
            (
                format!("`{}` names no state of this unit. Its states are {known}.", text.text),
                near.map(|near| format!("{near} {value}")),
            )
        }
    }
}
