//! A folder of playbooks, checked one by one.
//!
//! 1. The shop sheet is read, and the unit sheets in `units/`.
//! 2. Every playbook is met: parsed once, then compiled and checked for each of its units that has a sheet ([`checked`]); of
//!    each only its brief and its problems are kept.
//! 3. Those that go on to others, or share a name or an old address with another, are met again with all briefs known.
//!
//! So ten thousand playbooks need the memory of a few. What a command does with a playbook while it is at hand it hands in:
//! [`survey_with`].

use super::folder::{self, Folder};
use super::pictures;
use crate::check::{self, Subject};
use crate::circuit::unit::wire;
use crate::corners::Desks;
use crate::language::{self, syntax};
use crate::playbook::compile::{Ground, compile};
use crate::playbook::model::{Bank, Playbook};
use crate::playbook::outline::{Outline, Outlines};
use crate::sheet::shop::{self, Shop};
use crate::sheet::unit;
use crate::text::problem::{Problem, tidy};
use crate::text::source::Source;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What was found in a folder.
#[derive(Debug)]
pub struct Survey {
    /// The shop sheet, or what goes without one.
    pub shop: Shop,
    /// The units that have a sheet.
    pub units: Units,
    /// Every playbook in brief.
    pub outlines: Outlines,
    /// What is wrong, sorted by place.
    pub problems: Vec<Problem>,
    /// How many files were checked.
    pub checked: usize,
}

impl Survey {
    /// Whether anything refuses a playbook or the shop sheet.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.problems.iter().any(Problem::is_error)
    }
}

/// Checks the playbooks of a folder; where `only` is given, those alone, the others being read for their briefs.
#[must_use]
pub fn survey(folder: &Folder, only: Option<&BTreeSet<PathBuf>>) -> Survey {
    survey_with(folder, only, &|source, known| {
        let checked = checked(source, known);
        (checked.outline, checked.problems)
    })
}

/// What is done with a playbook that is met: its brief and its problems, as far as they can be told with what is known.
pub type Met<'a> = dyn Fn(&Arc<Source>, Known<'_>) -> (Option<Outline>, Vec<Problem>) + Sync + 'a;

/// The same, with `met` called for each playbook while it is at hand, for some of them a second time.
#[must_use]
pub fn survey_with(folder: &Folder, only: Option<&BTreeSet<PathBuf>>, met: &Met<'_>) -> Survey {
    let (shop, mut problems) = read_shop(folder);
    let (units, told) = read_units(folder, &shop);
    problems.extend(told);
    let wanted = |path: &Path| only.is_none_or(|only| only.contains(path));
    let nobody = Outlines::default();
    let alone = Known { shop: &shop, units: &units, others: &nobody, all: false };
    let first: Vec<(Option<Outline>, Vec<Problem>)> = folder
        .playbooks
        .par_iter()
        .map(|path| match folder::read(path) {
            Ok(source) if wanted(path) => met(&source, alone),
            Ok(source) => (brief(&source), Vec::new()),
            Err(problem) if wanted(path) => (None, vec![problem]),
            Err(_) => (None, Vec::new()),
        })
        .collect();
    let shows = |outline: &Option<Outline>| outline.as_ref().is_some_and(|outline| outline.has_pictures);
    let looked_at: Vec<Vec<Problem>> = folder
        .playbooks
        .par_iter()
        .zip(&first)
        .filter(|(path, (outline, _))| wanted(path) && shows(outline))
        // One that can't be read any longer was told as such.
        .filter_map(|(path, _)| folder::read(path).ok())
        .map(|source| pictures::problems(&source))
        .collect();
    problems.extend(looked_at.into_iter().flatten());
    let mut outlines = Outlines::default();
    for (outline, _) in &first {
        outlines.extend(outline.clone());
    }
    let again = |outline: &Outline| outlines.concern(outline);
    let together = Known { others: &outlines, all: true, ..alone };
    let second: Vec<Vec<Problem>> = folder
        .playbooks
        .par_iter()
        .zip(first)
        .map(|(path, (outline, problems))| match outline {
            Some(outline) if wanted(path) && again(&outline) => match folder::read(path) {
                Ok(source) => met(&source, together).1,
                Err(problem) => vec![problem],
            },
            _ => problems,
        })
        .collect();
    problems.extend(second.into_iter().flatten());
    problems.extend(folder.problems.iter().cloned());
    tidy(&mut problems);
    let checked = folder.playbooks.iter().filter(|path| wanted(path)).count();
    Survey { shop, units, outlines, problems, checked }
}

/// A playbook in brief, for the others' sake; what its own check needs of its tests is left out.
fn brief(source: &Arc<Source>) -> Option<Outline> {
    of_head(source).or_else(|| language::parse(source).0.map(|tree| Outline::of(&tree)))
}

/// A playbook in brief, only its head being read; `None` where the head cannot tell: it shows pictures or names another playbook.
#[must_use]
pub fn of_head(source: &Source) -> Option<Outline> {
    let text = source.text();
    if text.contains("picture") || text.matches("playbook").nth(1).is_some() {
        return None;
    }
    let block = |line: &str| matches!(line.split_whitespace().next(), Some("test" | "repair" | "adjust" | "escalate"));
    let end: usize = text.split_inclusive('\n').take_while(|line| !block(line)).map(str::len).sum();
    let (tree, _) = language::parse(&Source::new(source.path(), text.get(..end)?));
    tree.map(|tree| Outline::of(&tree))
}

/// The units of a folder that have a sheet, by name.
pub type Units = BTreeMap<String, Arc<Desks>>;

/// What is known when a playbook is checked.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// The shop sheet.
    pub shop: &'a Shop,
    /// The units that have a sheet.
    pub units: &'a Units,
    /// The other playbooks in brief; nobody yet while each is met for the first time.
    pub others: &'a Outlines,
    /// Whether those are all there are.
    pub all: bool,
}

/// One playbook, read, compiled and checked.
#[derive(Debug, Default)]
pub struct Checked {
    /// Its brief.
    pub outline: Option<Outline>,
    /// It compiled without a unit sheet.
    pub plain: Option<Playbook>,
    /// It compiled for each of its units that has a sheet.
    pub on_sheet: BTreeMap<String, Playbook>,
    /// What is wrong with it.
    pub problems: Vec<Problem>,
}

impl Checked {
    /// It compiled for a unit.
    #[must_use]
    pub fn for_unit(&self, unit: Option<&str>) -> Option<&Playbook> {
        unit.and_then(|unit| self.on_sheet.get(unit)).or(self.plain.as_ref())
    }
}

/// Parses a playbook once, then compiles and checks it: for each of its units that has a sheet, or without one where none has.
#[must_use]
pub fn checked(source: &Arc<Source>, known: Known<'_>) -> Checked {
    let (tree, slips) = language::parse(source);
    let Some(tree) = tree else { return Checked { problems: slips, ..Checked::default() } };
    let outline = Outline::of(&tree);
    let read = Read { tree: &tree, slips: &slips };
    let (plain, told) = compile(&tree, Ground { states: &known.shop.table, banks: &[], desks: None });
    let mut on_sheet = BTreeMap::new();
    let mut problems = Vec::new();
    let sheets: Vec<&Arc<Desks>> = outline.units.iter().filter_map(|name| known.units.get(name)).collect();
    for desks in &sheets {
        let (playbook, told) = on_unit(read, desks, known);
        problems.extend(told);
        on_sheet.extend(playbook.map(|playbook| (desks.wired().unit.name.clone(), playbook)));
    }
    if sheets.is_empty() {
        // What is wrong is told with the sheets known, where there are any.
        problems = read.checked(plain.as_ref(), told, known, None);
    }
    Checked { outline: Some(outline), plain, on_sheet, problems }
}

/// One playbook compiled for a unit with a sheet, and what is wrong with it there: the one place where a playbook and a unit
/// meet, once each time the playbook is met. What is costly here is best kept by the content of both.
fn on_unit(read: Read<'_>, desks: &Desks, known: Known<'_>) -> (Option<Playbook>, Vec<Problem>) {
    let wired = desks.wired();
    let banks: Vec<Bank> =
        wired.unit.banks.iter().map(|bank| Bank { name: bank.name.clone(), members: bank.members.clone() }).collect();
    let (playbook, mut told) =
        compile(read.tree, Ground { states: &wired.unit.states, banks: &banks, desks: Some(desks) });
    told.extend(playbook.iter().flat_map(|playbook| check::places::against(playbook, wired)));
    let problems = read.checked(playbook.as_ref(), told, known, Some(desks));
    (playbook, problems)
}

/// A playbook as read, and what could not be read of it.
#[derive(Clone, Copy)]
struct Read<'a> {
    tree: &'a syntax::Playbook,
    slips: &'a [Problem],
}

impl Read<'_> {
    /// What is wrong with it as compiled, where it was; `told` is what compiling told.
    fn checked(
        self,
        playbook: Option<&Playbook>,
        told: Vec<Problem>,
        known: Known<'_>,
        desks: Option<&Desks>,
    ) -> Vec<Problem> {
        let mut problems: Vec<Problem> = self.slips.iter().cloned().chain(told).collect();
        match playbook {
            Some(playbook) => {
                problems.extend(check::contacts::against(self.tree, known.shop));
                problems.extend(check::units::against(self.tree, known.units.keys().map(String::as_str)));
                check::check(Subject { tree: self.tree, playbook, others: known.others, desks }, problems)
            }
            None => problems,
        }
    }
}

/// The shop sheet of a folder; without one, what goes for any shop.
#[must_use]
pub fn read_shop(folder: &Folder) -> (Shop, Vec<Problem>) {
    match &folder.shop {
        None => (Shop::built_in(), Vec::new()),
        Some(path) => match folder::read(path) {
            Ok(source) => shop::read(&source),
            Err(problem) => (Shop::built_in(), vec![problem]),
        },
    }
}

/// The files of unit sheets of a folder, in the order of their names.
pub fn sheets(folder: &Folder) -> impl Iterator<Item = walkdir::DirEntry> {
    let files = walkdir::WalkDir::new(folder.root.join(folder::UNIT_SHEETS))
        .sort_by_file_name()
        .into_iter()
        .filter_map(Result::ok);
    files.filter(|entry| entry.path().extension().is_some_and(|ending| ending == "yaml"))
}

/// The unit sheets of a folder, and everything wrong with them. A sheet with errors is told and left out.
#[must_use]
pub fn read_units(folder: &Folder, shop: &Shop) -> (Units, Vec<Problem>) {
    let mut units = Units::new();
    let mut problems = Vec::new();
    for entry in sheets(folder) {
        let source = match folder::read(entry.path()) {
            Ok(source) => source,
            Err(problem) => {
                problems.push(problem);
                continue;
            }
        };
        let (unit, mut told) = unit::read(&source, shop);
        let (wired, more) = wire(&Arc::new(unit));
        told.extend(more);
        if told.iter().any(Problem::is_error) {
            // Until it can be read there is more urgent work than advice.
            told.retain(Problem::is_error);
        } else {
            let desks = Desks::new(&Arc::new(wired), &shop.meter);
            units.insert(desks.wired().unit.name.clone(), Arc::new(desks));
        }
        problems.extend(told);
    }
    (units, problems)
}
