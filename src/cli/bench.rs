//! Playbooks and units put together to be shaken down, and what came of it kept by content: for `shakedown`, `check` and
//! `publish`.
//!
//! What is kept stands in the user's cache folder, a file for each playbook and unit, never in the tree. It is used only where
//! everything it was made from is the same: playbooks, sheets, shop and program.

use super::cache::{Cache, program, short};
use super::folder::{self, Folder, shown};
use super::library::{Known, Survey, checked, sheets, survey};
use crate::check::{self, shaken};
use crate::engine::{BookId, Library};
use crate::language;
use crate::playbook::model::Playbook;
use crate::shakedown::coverage::Coverage;
use crate::shakedown::ground::{Gap, Ground};
use crate::shakedown::problems::problems;
use crate::shakedown::report::{Report, report};
use crate::shakedown::runs::{Depth, shake};
use crate::site::manifest::Fingerprint;
use crate::text::problem::Problem;
use crate::text::source::Span;
use rayon::prelude::*;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The playbooks of a folder put on their units.
pub struct Benches {
    /// By unit.
    pub units: BTreeMap<String, OnUnit>,
    /// What is wrong with the playbooks, by file.
    pub problems: BTreeMap<String, Vec<Problem>>,
}

/// The playbooks of one unit that have no error.
pub struct OnUnit {
    /// Put together.
    pub ground: Arc<Ground>,
    /// Of shop and sheet.
    makings: Fingerprint,
}

/// Puts every playbook of a folder on its units. One that names no unit with a sheet is not even compiled.
pub fn benches(folder: &Folder, survey: &Survey) -> Benches {
    let known = Known { shop: &survey.shop, units: &survey.units, others: &survey.outlines, all: true };
    let on_a_sheet: BTreeSet<&str> = survey
        .outlines
        .iter()
        .filter(|outline| outline.units.iter().any(|unit| survey.units.contains_key(unit)))
        .map(|outline| outline.path.as_str())
        .collect();
    let read: Vec<_> = folder
        .playbooks
        .par_iter()
        .filter(|path| on_a_sheet.contains(shown(path).as_str()))
        .filter_map(|path| {
            let source = folder::read(path).ok()?;
            Some((source.path().to_owned(), checked(&source, known)))
        })
        .collect();
    let mut books: BTreeMap<String, Vec<Arc<Playbook>>> = BTreeMap::new();
    let mut problems = BTreeMap::new();
    for (path, checked) in read {
        let refused = checked.problems.iter().any(Problem::is_error);
        problems.insert(path, checked.problems);
        if !refused {
            for (unit, book) in checked.on_sheet {
                books.entry(unit).or_default().push(Arc::new(book));
            }
        }
    }
    let shop = folder.shop.as_deref().and_then(|path| folder::bytes_of(path).ok()).unwrap_or_default();
    let units = books.into_iter().filter_map(|(name, books)| {
        let desks = survey.units.get(&name)?;
        let library = Library::new(books);
        let closing = survey.shop.left_on(library.states());
        let library = Arc::new(library.with_closing(closing));
        let makings = Fingerprint::of_all([shop.as_slice(), desks.wired().unit.source.text().as_bytes()]);
        let ground = Ground::new(library, desks);
        Some((name, OnUnit { ground: Arc::new(ground), makings }))
    });
    Benches { units: units.collect(), problems }
}

/// What the cheap shakedown tells of the playbooks of a folder; where `only` is given, of those alone. Playbooks with errors are
/// left out.
pub fn shaken_problems(folder: &Folder, survey: &Survey, only: Option<&BTreeSet<PathBuf>>) -> Vec<Problem> {
    let kept = Kept::in_folder(None);
    let asked = |path: &str| only.is_none_or(|only| only.iter().any(|asked| shown(asked) == path));
    let benches = benches(folder, survey);
    let mut by_book: BTreeMap<&str, (&Playbook, Vec<Problem>)> = BTreeMap::new();
    for on in benches.units.values() {
        for (id, book) in on.ground.library.books().filter(|(_, book)| asked(book.source.path())) {
            // What can't be started is an error the checks have told.
            let told = kept.problems(on, id).unwrap_or_default();
            by_book.entry(book.source.path()).or_insert((book, Vec::new())).1.extend(told);
        }
    }
    let silenced = by_book.into_values().flat_map(|(book, told)| match language::parse(&book.source).0 {
        Some(tree) => check::accepted(&tree, told),
        None => told,
    });
    silenced.collect()
}

/// What each playbook finds on each of its units, by the names of both.
pub type Coverages = BTreeMap<String, BTreeMap<String, Coverage>>;

/// What the playbooks of a folder find on their units. Only what the playbooks and the sheets say goes into it, so it is the same
/// with what was kept and without.
pub fn coverages(folder: &Folder) -> Coverages {
    let mut coverages = Coverages::new();
    if sheets(folder).next().is_none() {
        return coverages;
    }
    let survey = survey(folder, Some(&BTreeSet::new()));
    let kept = Kept::in_folder(None);
    for (unit, on) in benches(folder, &survey).units {
        for (id, book) in on.ground.library.books() {
            // What can't be started is an error, and nothing is published.
            if let Ok(cheap) = kept.cheap(&on, id) {
                coverages.entry(book.name.clone()).or_default().insert(unit.clone(), cheap.coverage);
            }
        }
    }
    coverages
}

/// Where what came of shakedowns is kept.
pub struct Kept {
    cache: Cache,
}

/// What came of a cheap shakedown.
#[derive(Serialize, Deserialize)]
struct Cheap {
    found: Vec<Found>,
    coverage: Coverage,
}

/// A problem as it is kept; the place is in the playbook it was told of.
#[derive(Serialize, Deserialize)]
struct Found {
    code: String,
    start: usize,
    end: usize,
    message: String,
}

impl Kept {
    /// In this folder, else the user's cache folder; where there is none, nowhere.
    pub fn in_folder(folder: Option<&Path>) -> Self {
        Self { cache: Cache::new(folder, "shakedown") }
    }

    /// What came of a playbook on its unit: kept from before, where nothing it was made from has changed, else walked now.
    ///
    /// # Errors
    /// [`Gap`] where it cannot be started.
    pub fn report(&self, on: &OnUnit, book: BookId, depth: Depth) -> Result<Report, Gap> {
        let name = if depth == Depth::FULL { "full" } else { "short" };
        self.kept(on, book, depth, name, || Ok(report(&shake(&on.ground, book, depth)?)))
    }

    /// What came of the cheap shakedown of a playbook on its unit, kept likewise.
    fn cheap(&self, on: &OnUnit, book: BookId) -> Result<Cheap, Gap> {
        self.kept(on, book, Depth::CHEAP, "cheap", || {
            let shakedown = shake(&on.ground, book, Depth::CHEAP)?;
            let found = problems(&shakedown).into_iter().map(|problem| Found {
                code: problem.rule.code.to_owned(),
                start: problem.place.span.start as usize,
                end: problem.place.span.end as usize,
                message: problem.message,
            });
            Ok(Cheap { found: found.collect(), coverage: report(&shakedown).coverage() })
        })
    }

    /// What the cheap shakedown tells of a playbook on its unit.
    fn problems(&self, on: &OnUnit, book: BookId) -> Result<Vec<Problem>, Gap> {
        let found = self.cheap(on, book)?.found;
        let book = on.ground.library.book(book);
        let problem = |found: Found| {
            let rule = shaken::RULES.iter().find(|rule| rule.code == found.code)?;
            Some(Problem::new(rule, book.place(Span::new(found.start, found.end)), found.message))
        };
        Ok(found.into_iter().filter_map(problem).collect())
    }

    fn kept<T: Serialize + DeserializeOwned>(
        &self,
        on: &OnUnit,
        book: BookId,
        depth: Depth,
        name: &str,
        make: impl FnOnce() -> Result<T, Gap>,
    ) -> Result<T, Gap> {
        let inputs = on.inputs(book, depth);
        let name = format!("{}.{name}", short(inputs));
        if let Some((_, made)) = self.cache.read(&name).filter(|(made_from, _)| *made_from == inputs) {
            return Ok(made);
        }
        let made = make()?;
        self.cache.write(&name, inputs, &made);
        Ok(made)
    }

    /// What `shakedown` told last, and in its place what it tells now.
    pub fn told_last(&self, on: &OnUnit, book: BookId, depth: Depth, now: &Report) -> Option<Report> {
        // By where the playbook stands, so that an edited one is held against what it was.
        let path = folder::settled(Path::new(on.ground.library.book(book).source.path()));
        let unit = &on.ground.wired.unit.name;
        let name = short(Fingerprint::of_all([path.to_string_lossy().as_bytes(), unit.as_bytes()]));
        let name = format!("{name}.{}", if depth == Depth::FULL { "told" } else { "told-short" });
        let last = self.cache.read(&name).map(|(_, told)| told);
        self.cache.write(&name, on.inputs(book, depth), now);
        last
    }
}

impl OnUnit {
    /// Of everything that decides what comes of a playbook on this unit.
    pub fn inputs(&self, book: BookId, depth: Depth) -> Fingerprint {
        let library = &self.ground.library;
        let reached = self.ground.reached(book);
        let mut parts: Vec<Vec<u8>> = vec![program(), self.makings.bytes().to_vec(), format!("{depth:?}").into_bytes()];
        parts.extend(reached.iter().map(|id| library.book(*id).source.text().as_bytes().to_vec()));
        // Of the others only the first test counts: it says whose complaint a fault makes.
        let others = library.books().filter(|(id, _)| !reached.contains(id));
        parts.extend(others.map(|(_, other)| first_test(other).as_bytes().to_vec()));
        Fingerprint::of_all(parts)
    }
}

/// The first test as written.
fn first_test(book: &Playbook) -> &str {
    let Some(start) = book.tests.first().map(|test| test.span.start) else { return "" };
    let headings = book.tests.iter().map(|test| test.span.start).chain(book.ends.iter().map(|end| end.span.start));
    let end = headings.filter(|at| *at > start).min().map_or(book.source.text().len(), |end| end as usize);
    book.source.text().get(start as usize..end).unwrap_or_default()
}
