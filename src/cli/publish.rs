//! `ruleout publish`: checks everything, then writes the pages.
//!
//! 1. Every playbook is read, checked and, where it goes on to no other, laid out at once and handed to the publisher. One that
//!    had no problem the last time and has not changed since, nor what its pages are made from, is not even read in full.
//! 2. Those that go on to others are laid out when they are met again, all being known. Then the index and the guide.
//! 3. The publisher puts all of it in place; with an error anywhere, nothing.
//!
//! So ten thousand playbooks need the memory of a few, and most are read once.

mod coverage_pages;
mod unit_sheets;

use super::bench::{Coverages, coverages};
use super::cache::{Cache, program, short};
use super::exit::{Exit, look, say, stop};
use super::folder::{self, Folder, shown};
use super::library::{Checked, Known, Survey, checked, of_head, survey_with};
use super::pictures::picture;
use crate::playbook::model::{Playbook, Step};
use crate::playbook::outline::{Outline, Outlines};
use crate::sheet::shop::Shop;
use crate::site::card::picture_address;
use crate::site::guide::guide_page;
use crate::site::index::{Sheet, index};
use crate::site::manifest::{Fingerprint, Manifest};
use crate::site::output::{page_of, sheet_of, units};
use crate::site::page::playbook_page;
use crate::site::publisher::{Published, Publisher};
use crate::site::templates::{STYLE, Templates};
use crate::text::english::count;
use crate::text::printer;
use crate::text::problem::Problem;
use crate::text::source::Source;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// Options of `publish`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The folder of playbooks
    #[arg(default_value = "playbooks")]
    playbooks: PathBuf,
    /// The folder the pages go to
    #[arg(long, default_value = "site-out", value_name = "FOLDER")]
    to: PathBuf,
    /// Write over pages that were edited by hand
    #[arg(long)]
    overwrite: bool,
}

pub(super) fn run(args: &Args) -> Exit {
    let folder = match folder::look(&args.playbooks) {
        Ok(folder) => folder,
        Err(reason) => return stop(reason),
    };
    if folder.playbooks.is_empty() && folder.problems.is_empty() {
        return stop(folder::none_in(&args.playbooks));
    }
    let coverages = coverages(&folder);
    let press = match Press::open(&folder, args, coverages) {
        Ok(press) => press,
        Err(reason) => return stop(reason),
    };
    let survey = survey_with(&folder, None, &|source, known| press.met(source, known));
    if !survey.problems.is_empty() {
        say(&printer::told(&survey.problems, survey.checked, look()));
    }
    if survey.has_errors() {
        say("Nothing was published: the pages stand as they were.\n");
        return Exit::PlaybookErrors;
    }
    match press.finish(&survey) {
        Ok((published, pages)) => {
            say(&told(&folder, &survey, published, pages, args));
            Exit::Clean
        }
        Err(reason) => stop(reason),
    }
}

fn told(folder: &Folder, survey: &Survey, published: Published, pages: usize, args: &Args) -> String {
    let Published { written, unchanged, removed } = published;
    let mut text = format!(
        "{} of {} in {}: {written} new or changed, {unchanged} as they were, {removed} removed.\n",
        count(pages, "page"),
        count(survey.checked, "playbook"),
        shown(&args.to),
    );
    text.push_str(&format!(
        "Open {} in a browser, or copy the folder to the wiki.\n",
        shown(&args.to.join("index.html"))
    ));
    if let Some(first) = folder.playbooks.first() {
        let path = shown(first);
        let units = survey.outlines.iter().find(|outline| outline.path == path).map(|outline| outline.units.as_slice());
        let unit = match units {
            Some([unit, _, ..]) => format!(" --unit {unit}"),
            _ => String::new(),
        };
        text.push_str(&format!("Walk one in the terminal: ruleout walk {path}{unit}\n"));
    }
    text
}

/// Where it is kept what the pages of a site folder were made from, so that the next run makes only what has changed; the name is
/// the place of the folder.
fn kept(site: &Path) -> (Cache, String) {
    let place = folder::settled(site);
    (Cache::new(None, "publish"), short(Fingerprint::of(place.to_string_lossy().as_bytes())))
}

/// What the run before made the pages of a site folder from, if it was this very program with this very shop sheet.
fn made_before(site: &Path, ground: Fingerprint) -> Manifest {
    let (cache, name) = kept(site);
    cache.read(&name).filter(|(on, _)| *on == ground).map(|(_, made_from)| made_from).unwrap_or_default()
}

/// Lays pages out and hands them to the publisher.
struct Press<'a> {
    folder: &'a Folder,
    publisher: Publisher,
    templates: Templates,
    /// Of the program and the shop sheet.
    ground: Fingerprint,
    /// The site folder.
    site: &'a Path,
    /// What each playbook finds, on each unit that has a sheet.
    coverages: Coverages,
    /// Pages laid out so far.
    pages: AtomicUsize,
    /// Whether a playbook that needs no other has an error: nothing will be published, so nothing more is laid out.
    refused: AtomicBool,
    /// What went wrong, by playbook.
    failed: Mutex<BTreeMap<String, String>>,
}

impl<'a> Press<'a> {
    fn open(folder: &'a Folder, args: &'a Args, coverages: Coverages) -> Result<Self, String> {
        let shop = folder.shop.as_deref().map(read_bytes).transpose()?.unwrap_or_default();
        let ground = Fingerprint::of_all([program().as_slice(), shop.as_slice()]);
        let made_from = made_before(&args.to, ground);
        Ok(Self {
            folder,
            publisher: Publisher::begin(&args.to, args.overwrite, made_from).map_err(|error| error.to_string())?,
            templates: Templates::new().map_err(|error| error.to_string())?,
            ground,
            site: &args.to,
            coverages,
            pages: AtomicUsize::new(0),
            refused: AtomicBool::new(false),
            failed: Mutex::default(),
        })
    }

    /// A playbook that is met: its brief and its problems. It is laid out when all that goes into its pages is known: at once,
    /// or the second time where it goes on to others.
    fn met(&self, source: &Arc<Source>, known: Known<'_>) -> (Option<Outline>, Vec<Problem>) {
        if !known.all
            && let Some(outline) = self.stands(source, known)
        {
            self.note(source, self.moved(&outline));
            self.pages.fetch_add(units(&outline).count(), Ordering::Relaxed);
            return (Some(outline), Vec::new());
        }
        let checked = checked(source, known);
        if let Some(outline) = checked.outline.as_ref().filter(|outline| outline.goes_on_to.is_empty() != known.all) {
            if checked.problems.iter().any(Problem::is_error) {
                self.refused.store(true, Ordering::Relaxed);
            } else if !self.refused.load(Ordering::Relaxed) {
                self.note(source, self.playbook(source, outline, &checked, known));
            }
        }
        (checked.outline, checked.problems)
    }

    /// The brief of a playbook that had no problem when its pages were made, if it and what they are made from are the same
    /// still. Only its head is read. One that shows pictures or names another playbook is always read in full.
    fn stands(&self, source: &Source, known: Known<'_>) -> Option<Outline> {
        if self.publisher.starts_anew() {
            return None;
        }
        let outline = of_head(source)?;
        let inputs = self.inputs(source, &outline, known, true);
        let pages: Vec<String> = units(&outline).map(|unit| page_of(&outline.name, unit)).collect();
        let pages: Vec<&str> = pages.iter().map(String::as_str).collect();
        self.publisher.keep_all(&pages, inputs).then_some(outline)
    }

    /// The pages that are no playbook's, and all of it put in place.
    fn finish(self, survey: &Survey) -> Result<(Published, usize), String> {
        self.other_pages(survey)?;
        let failed = std::mem::take(&mut *self.failed.lock().unwrap_or_else(PoisonError::into_inner));
        if let Some((_, reason)) = failed.into_iter().next() {
            return Err(reason);
        }
        let pages = self.pages.load(Ordering::Relaxed) + 2;
        let (published, made_from) = self.publisher.finish().map_err(|error| error.to_string())?;
        let (cache, name) = kept(self.site);
        cache.write(&name, self.ground, &made_from);
        Ok((published, pages))
    }

    fn note(&self, source: &Source, result: Result<(), String>) {
        if let Err(reason) = result {
            let mut failed = self.failed.lock().unwrap_or_else(PoisonError::into_inner);
            failed.insert(source.path().to_owned(), reason);
        }
    }

    /// The fingerprint of all the pages of a playbook are made from; `clean` where it has no problem at all.
    fn inputs(&self, source: &Source, outline: &Outline, known: Known<'_>, clean: bool) -> Fingerprint {
        let sheets = outline.units.iter().filter_map(|name| known.units.get(name));
        let sheets = sheets.map(|desks| desks.wired().unit.source.text().as_bytes());
        let joined = joined(outline, known.others);
        let clean: &[u8] = if clean { b"clean" } else { b"warned" };
        let own = [self.ground.bytes(), clean, source.text().as_bytes(), joined.as_bytes()];
        let lines: Vec<&str> = units(outline).filter_map(|unit| self.coverage(&outline.name, unit)).collect();
        Fingerprint::of_all(own.into_iter().chain(sheets).chain(lines.iter().map(|line| line.as_bytes())))
    }

    /// The coverage line of a playbook on a unit.
    fn coverage(&self, name: &str, unit: Option<&str>) -> Option<&str> {
        let found = self.coverages.get(name)?.get(unit?)?;
        Some(&found.line)
    }

    /// The pages of one playbook: one a unit, what moved, its pictures.
    fn playbook(&self, source: &Source, outline: &Outline, checked: &Checked, known: Known<'_>) -> Result<(), String> {
        let inputs = self.inputs(source, outline, known, checked.problems.is_empty());
        for unit in units(outline) {
            let path = page_of(&outline.name, unit);
            if !self.publisher.keep(&path, inputs) {
                let changed = || format!("{} was changed while publishing. Publish again.", source.path());
                let playbook = checked.for_unit(unit).ok_or_else(changed)?;
                self.put(&path, &self.page(playbook, unit, known)?, inputs)?;
            }
            self.pages.fetch_add(1, Ordering::Relaxed);
        }
        if let Some(playbook) = checked.plain.as_ref().filter(|_| outline.has_pictures) {
            for (path, bytes) in pictures(outline, playbook)? {
                self.put(&path, &bytes, Fingerprint::of(&bytes))?;
            }
        }
        self.moved(outline)
    }

    /// The small pages that lead on from the addresses a playbook had before.
    fn moved(&self, outline: &Outline) -> Result<(), String> {
        for old in &outline.was {
            for unit in units(outline) {
                let href = format!("../{}", page_of(&outline.name, unit));
                let moved = Moved { href, title: outline.title.clone() };
                let html = self.fill("moved", &outline.title, "../", &moved)?;
                self.put(&page_of(old, unit), html.as_bytes(), Fingerprint::of(html.as_bytes()))?;
            }
        }
        Ok(())
    }

    fn page(&self, playbook: &Playbook, unit: Option<&str>, known: Known<'_>) -> Result<Vec<u8>, String> {
        let joined = |name: &str| format!("../{}", address_for(name, unit, known.others));
        let coverage = self.coverage(&playbook.name, unit).unwrap_or_default();
        let sheet = unit.and_then(|unit| Some((unit, known.units.get(unit)?))).map(|(unit, desks)| Sheet {
            href: format!("../{}", sheet_of(unit)),
            unit: unit.to_owned(),
            title: desks.wired().unit.title.clone(),
        });
        let page = playbook_page(playbook, unit, known.shop, sheet, &joined).with_coverage(coverage);
        let heading = format!("{}: {}", playbook.title, unit.unwrap_or("any unit"));
        let room = page.room();
        self.templates.fill_large("playbook", &heading, "../", &page, room).map_err(|error| error.to_string())
    }

    /// The index, the guide, the style sheet.
    fn other_pages(&self, survey: &Survey) -> Result<(), String> {
        let Shop { name, local_codes, .. } = &survey.shop;
        let root = shown(&self.folder.root);
        self.coverage_pages(survey)?;
        let sheets = self.unit_sheets(survey)?;
        let index = index(&self.templates, (name, local_codes), &root, &survey.outlines, &sheets);
        let index = index.map_err(|error| error.to_string())?;
        let guide = self.fill("guide", "Writing a playbook", "", &guide_page(name))?;
        for (path, text) in [("index.html", index.as_str()), ("guide.html", guide.as_str()), ("ruleout.css", STYLE)] {
            self.put(path, text.as_bytes(), Fingerprint::of(text.as_bytes()))?;
        }
        Ok(())
    }

    fn fill(&self, template: &str, heading: &str, root: &str, page: &impl Serialize) -> Result<String, String> {
        self.templates.fill(template, heading, root, page).map_err(|error| error.to_string())
    }

    fn put(&self, path: &str, bytes: &[u8], inputs: Fingerprint) -> Result<(), String> {
        self.publisher.put(path, bytes, inputs).map_err(|error| error.to_string())
    }
}

/// Where the page of another playbook is for this unit.
fn address_for(name: &str, unit: Option<&str>, others: &Outlines) -> String {
    let other = others.get(name);
    let has = |unit: &&str| other.is_some_and(|other| other.units.iter().any(|known| known == unit));
    page_of(name, unit.filter(has))
}

/// What of the other playbooks goes into the pages: where the joined ones are.
fn joined(outline: &Outline, others: &Outlines) -> String {
    let names: BTreeSet<&str> = outline.goes_on_to.iter().map(|(name, _)| name.as_str()).collect();
    let units = |name: &str| others.get(name).map(|other| other.units.join(",")).unwrap_or_default();
    names.into_iter().map(|name| format!("{name}:{};", units(name))).collect()
}

/// The pictures of a playbook, from beside it, by where they go.
fn pictures(outline: &Outline, playbook: &Playbook) -> Result<Vec<(String, Vec<u8>)>, String> {
    let path = Path::new(&outline.path);
    let ends = playbook.ends.iter().flat_map(|end| &end.steps);
    let steps = playbook.tests.iter().flat_map(|test| &test.steps).chain(ends);
    let files: BTreeSet<&str> = steps
        .filter_map(|step| match step {
            Step::Picture { file, .. } => Some(file.as_str()),
            _ => None,
        })
        .collect();
    let picture = |file| match picture(path, file) {
        Ok(bytes) => Ok((format!("{}/{}", outline.name, picture_address(file)), bytes)),
        // What is wrong with one is told with the playbook; this one went while the pages were made.
        Err(_) => Err(format!("{} changed while publishing. Publish again.", shown(&path.with_file_name(file)))),
    };
    files.into_iter().map(picture).collect()
}

#[derive(Debug, Serialize)]
struct Moved {
    href: String,
    title: String,
}

fn read_bytes(path: &Path) -> Result<Vec<u8>, String> {
    folder::bytes_of(path)
        .map_err(|error| format!("{} can't be opened: {}.", shown(path), folder::reason(Some(&error))))
}
