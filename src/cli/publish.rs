//! `ruleout publish`: checks everything, then writes the pages.
//!
//! Two passes, so that ten thousand playbooks need the memory of a few: the survey checks all of them; then each is read again,
//! laid out and written. A page whose sources have not changed is not made again.

use super::exit::{Exit, look, say, stop};
use super::folder::{self, Folder, shown};
use super::library::{self, Survey, survey};
use crate::playbook::model::{Playbook, Step};
use crate::playbook::outline::Outline;
use crate::sheet::shop::Shop;
use crate::site::card::picture_address;
use crate::site::guide::guide_page;
use crate::site::index::index;
use crate::site::manifest::Fingerprint;
use crate::site::output::{page_of, path_slip, units};
use crate::site::page::playbook_page;
use crate::site::picture::picture_slip;
use crate::site::publisher::{Published, Publisher};
use crate::site::templates::{MAKINGS, STYLE, Templates};
use crate::text::english::count;
use crate::text::printer;
use crate::text::source::Source;
use rayon::prelude::*;
use serde::Serialize;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

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
    let survey = survey(&folder, None);
    if !survey.problems.is_empty() {
        say(&printer::told(&survey.problems, survey.checked, look()));
    }
    if survey.has_errors() {
        say("Nothing was published: the pages stand as they were.\n");
        return Exit::PlaybookErrors;
    }
    match write(&folder, &survey, args) {
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
        text.push_str(&format!("Walk one in the terminal: ruleout walk {}\n", shown(first)));
    }
    text
}

/// A playbook's page as it will be, with the fingerprint of all it is made from.
struct Sheet<'a> {
    path: &'a Path,
    outline: &'a Outline,
}

fn write(folder: &Folder, survey: &Survey, args: &Args) -> Result<(Published, usize), String> {
    let publisher = Publisher::begin(&args.to, args.overwrite).map_err(|error| error.to_string())?;
    let templates = Templates::new().map_err(|error| error.to_string())?;
    let shop_text = folder.shop.as_deref().map(read_bytes).transpose()?.unwrap_or_default();
    let ground = Fingerprint::of_all(MAKINGS.iter().map(|part| part.as_bytes()).chain([shop_text.as_slice()]));
    let by_path: std::collections::BTreeMap<&str, &Outline> =
        survey.outlines.iter().map(|outline| (outline.path.as_str(), outline)).collect();
    let sheets: Vec<Sheet<'_>> = folder
        .playbooks
        .iter()
        .filter_map(|path| Some(Sheet { path, outline: by_path.get(shown(path).as_str())? }))
        .collect();

    let site = Site { folder, survey, publisher: &publisher, templates: &templates, ground };
    let pages: usize = sheets.par_iter().map(|sheet| site.playbook(sheet)).sum::<Result<usize, String>>()?;
    site.other_pages()?;
    let pages = pages + 2;
    let published = publisher.finish().map_err(|error| error.to_string())?;
    Ok((published, pages))
}

struct Site<'a> {
    folder: &'a Folder,
    survey: &'a Survey,
    publisher: &'a Publisher,
    templates: &'a Templates,
    ground: Fingerprint,
}

impl Site<'_> {
    /// The pages of one playbook: one a unit, what moved, its pictures. How many have the playbook on them.
    fn playbook(&self, sheet: &Sheet<'_>) -> Result<usize, String> {
        let outline = sheet.outline;
        let text = read_bytes(sheet.path)?;
        let joined = self.joined(outline);
        let sheets = outline.units.iter().filter_map(|name| self.survey.units.get(name));
        let sheets: Vec<&[u8]> = sheets.map(|wired| wired.unit.source.text().as_bytes()).collect();
        let own = [self.ground.bytes(), &text, joined.as_bytes()];
        let inputs = Fingerprint::of_all(own.into_iter().chain(sheets));
        let pages: Vec<(Option<&str>, String)> =
            units(outline).map(|unit| (unit, page_of(&outline.name, unit))).collect();
        let pictures = self.pictures(sheet)?;
        let new: Vec<_> = pages.iter().filter(|(_, path)| !self.publisher.keep(path, inputs)).collect();
        if !new.is_empty() {
            let source = source_of(sheet)?;
            for (unit, path) in new {
                let html = self.page(&self.compiled(&source, *unit)?, *unit)?;
                self.put(path, html.as_bytes(), inputs)?;
            }
        }
        for (path, bytes) in &pictures {
            self.put(path, bytes, Fingerprint::of(bytes))?;
        }
        for old in &outline.was {
            for (unit, path) in &pages {
                let moved = Moved { href: format!("../{path}"), title: outline.title.clone() };
                let html = self.fill("moved", &outline.title, "../", &moved)?;
                self.put(&page_of(old, *unit), html.as_bytes(), inputs)?;
            }
        }
        Ok(pages.len())
    }

    fn compiled(&self, source: &Arc<Source>, unit: Option<&str>) -> Result<Playbook, String> {
        let changed = || format!("{} was changed while publishing. Publish again.", source.path());
        library::load_for(source, unit, self.survey).ok_or_else(changed)
    }

    fn page(&self, playbook: &Playbook, unit: Option<&str>) -> Result<String, String> {
        let joined = |name: &str| format!("../{}", self.address_for(name, unit));
        let page = playbook_page(playbook, unit, &self.survey.shop, &joined);
        let heading = format!("{}: {}", playbook.title, unit.unwrap_or("any unit"));
        self.fill("playbook", &heading, "../", &page)
    }

    /// Where the page of another playbook is for this unit.
    fn address_for(&self, name: &str, unit: Option<&str>) -> String {
        let other = self.survey.outlines.get(name);
        let has = |unit: &&str| other.is_some_and(|other| other.units.iter().any(|known| known == unit));
        page_of(name, unit.filter(has))
    }

    /// What of the other playbooks goes into the pages: where the joined ones are.
    fn joined(&self, outline: &Outline) -> String {
        let names: BTreeSet<&str> = outline.goes_on_to.iter().map(|(name, _)| name.as_str()).collect();
        let units = |name: &str| self.survey.outlines.get(name).map(|other| other.units.join(",")).unwrap_or_default();
        names.into_iter().map(|name| format!("{name}:{};", units(name))).collect()
    }

    /// The pictures of a playbook, from beside it.
    fn pictures(&self, sheet: &Sheet<'_>) -> Result<Vec<(String, Vec<u8>)>, String> {
        if !sheet.outline.has_pictures {
            return Ok(Vec::new());
        }
        let playbook = self.compiled(&source_of(sheet)?, None)?;
        let steps =
            playbook.tests.iter().flat_map(|test| &test.steps).chain(playbook.ends.iter().flat_map(|end| &end.steps));
        let files: BTreeSet<&str> = steps
            .filter_map(|step| match step {
                Step::Picture { file, .. } => Some(file.as_str()),
                _ => None,
            })
            .collect();
        let beside = sheet.path.parent().unwrap_or(Path::new("."));
        files
            .into_iter()
            .map(|file| {
                let told = |why| format!("{}: the picture `{file}`: {why}", shown(sheet.path));
                if let Some(slip) = path_slip(file) {
                    return Err(told(format!("name a file in the playbook's own folder; {slip}.")));
                }
                let bytes = read_bytes(&beside.join(file))?;
                if let Some(slip) = picture_slip(file, &bytes) {
                    return Err(told(slip));
                }
                Ok((format!("{}/{}", sheet.outline.name, picture_address(file)), bytes))
            })
            .collect()
    }

    /// The index, the guide, the style sheet.
    fn other_pages(&self) -> Result<(), String> {
        let Shop { name, local_codes, .. } = &self.survey.shop;
        let root = shown(&self.folder.root);
        let index = index(self.templates, name, local_codes, &root, &self.survey.outlines);
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

#[derive(Debug, Serialize)]
struct Moved {
    href: String,
    title: String,
}

fn source_of(sheet: &Sheet<'_>) -> Result<Arc<Source>, String> {
    folder::read(sheet.path).map_err(|problem| problem.message)
}

fn read_bytes(path: &Path) -> Result<Vec<u8>, String> {
    folder::bytes_of(path)
        .map_err(|error| format!("{} can't be opened: {}.", shown(path), folder::reason(Some(&error))))
}
