//! `ruleout shakedown`: does a playbook find the faults of its unit.
//!
//! 1. Every playbook of the folder is put on its units; one with errors is told and not walked.
//! 2. Each that was asked for is walked, or what came of it is taken from the cache; what changed since the last run is told.
//! 3. A broken promise ends in exit code 3.

use super::bench::{Kept, benches};
use super::check::Asked;
use super::exit::{Exit, look, say, stop};
use super::folder::{self, shown};
use super::library::survey;
use crate::shakedown::printed::{csv, words};
use crate::shakedown::report::Report;
use crate::shakedown::runs::Depth;
use crate::shakedown::since::since;
use crate::text::english::nearest;
use crate::text::printer;
use crate::text::problem::{Problem, tidy};
use clap::ValueEnum;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Options of `shakedown`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Playbooks by name or file, or folders of playbooks
    #[arg(default_value = "playbooks")]
    playbooks: Vec<String>,
    /// The folder of playbooks a name is looked up in
    #[arg(long, value_name = "FOLDER", default_value = "playbooks")]
    from: PathBuf,
    /// Only on this unit
    #[arg(long, value_name = "UNIT")]
    unit: Option<String>,
    /// Only the good unit and single faults: quick, while you write
    #[arg(long)]
    singles: bool,
    /// End with 3 for whatever is not right, not for broken promises alone
    #[arg(long)]
    strict: bool,
    /// Tell every walk that is not right
    #[arg(long)]
    all: bool,
    /// How to tell it: words for people; json for other programs; csv, fault by test, for a spreadsheet
    #[arg(long, value_enum, default_value_t = Format::Words, value_name = "HOW")]
    tell: Format,
    /// Keep what came of it in this folder
    #[arg(long, value_name = "FOLDER")]
    cache: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Words,
    Json,
    Csv,
}

pub(super) fn run(args: &Args) -> Exit {
    match shakedown(args) {
        Ok(exit) => exit,
        Err(reason) => stop(reason),
    }
}

fn shakedown(args: &Args) -> Result<Exit, String> {
    let depth = if args.singles { Depth { pairs: false, roads: false, ..Depth::FULL } } else { Depth::FULL };
    let kept = Kept::in_folder(args.cache.as_deref());
    let mut exit = Exit::Clean;
    let mut told: Vec<Report> = Vec::new();
    for (folder, only) in asked(args)? {
        let survey = survey(&folder, Some(&BTreeSet::new()));
        let mut benches = benches(&folder, &survey);
        let is_asked = |path: &str| only.as_ref().is_none_or(|only| only.iter().any(|asked| shown(asked) == path));
        let mut problems: Vec<Problem> = survey.problems.clone();
        let wrong = benches.problems.iter_mut().filter(|(path, _)| is_asked(path));
        problems.extend(wrong.flat_map(|(_, told)| std::mem::take(told)).filter(Problem::is_error));
        // Each unit of a playbook told it.
        tidy(&mut problems);
        if problems.iter().any(Problem::is_error) {
            say(&printer::told(&problems, benches.problems.len(), look()));
            exit = exit.max(Exit::PlaybookErrors);
        }
        for (name, on) in &benches.units {
            if args.unit.as_ref().is_some_and(|unit| unit != name) {
                continue;
            }
            for (id, book) in on.ground.library.books().filter(|(_, book)| is_asked(book.source.path())) {
                let report =
                    kept.report(on, id, depth).map_err(|gap| format!("`{}` can't be walked: {gap}.", book.name))?;
                let last = kept.told_last(on, id, depth, &report);
                if report.broken || (args.strict && report.strictly_broken) {
                    exit = exit.max(Exit::BrokenPromise);
                }
                if args.tell == Format::Words {
                    let changed = last.map(|last| since(&last, &report)).unwrap_or_default();
                    let gap = if told.is_empty() { "" } else { "\n" };
                    say(&format!("{gap}{}", words(&report, &changed, args.all)));
                }
                told.push(report);
            }
        }
    }
    match args.tell {
        Format::Words if told.is_empty() && exit == Exit::Clean => {
            return Err(
                "None of these playbooks names a unit that has a sheet, so there is nothing to break.".to_owned()
            );
        }
        Format::Words => {}
        Format::Json => {
            let json = serde_json::to_string_pretty(&told).map_err(|error| error.to_string())?;
            say(&format!("{json}\n"));
        }
        Format::Csv => told.iter().for_each(|report| say(&csv(report))),
    }
    Ok(exit)
}

/// The folders behind what was asked for. Sheets stand in the folder of the shop sheet, which may be further up.
fn asked(args: &Args) -> Result<Vec<Asked>, String> {
    let mut found: Vec<Asked> = Vec::new();
    for words in &args.playbooks {
        let path = Path::new(words);
        if path.is_dir() {
            found.push(super::check::whole(path)?);
        } else if path.exists() {
            found.extend(super::check::folders(&[path.to_owned()])?);
        } else {
            found.push(named(words, &args.from)?);
        }
    }
    Ok(found)
}

/// A playbook by its name.
fn named(name: &str, from: &Path) -> Result<Asked, String> {
    let folder = folder::look(from)?;
    let survey = survey(&folder, Some(&BTreeSet::new()));
    let Some(outline) = survey.outlines.get(name) else {
        let near = nearest(name, survey.outlines.iter().map(|outline| outline.name.as_str()));
        let hint = near.map(|near| format!(" Did you mean `{near}`?")).unwrap_or_default();
        return Err(format!("There is no file, folder or playbook `{name}`.{hint}"));
    };
    let only = folder.playbooks.iter().filter(|path| shown(path) == outline.path).cloned().collect();
    Ok((folder, Some(only)))
}
