//! `ruleout check`: what is wrong with playbooks and the shop sheet.

use super::bench::shaken_problems;
use super::exit::{Exit, look, say, stop};
use super::folder::{self, Folder, shown};
use super::library::{Survey, survey};
use crate::text::english::list;
use crate::text::problem::tidy;
use crate::text::{json, printer, sarif};
use clap::ValueEnum;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Options of `check`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Playbooks or folders of playbooks
    #[arg(default_value = "playbooks")]
    paths: Vec<PathBuf>,
    /// How to tell it: words for people; json or sarif for other programs
    #[arg(long, value_enum, default_value_t = Format::Words, value_name = "HOW")]
    tell: Format,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Words,
    Json,
    Sarif,
}

pub(super) fn run(args: &Args) -> Exit {
    let folders = match folders(&args.paths) {
        Ok(folders) => folders,
        Err(reason) => return stop(reason),
    };
    let surveys: Vec<Survey> = folders.iter().map(|(folder, only)| shaken(folder, only.as_ref())).collect();
    let checked: usize = surveys.iter().map(|survey| survey.checked).sum();
    let failed = surveys.iter().any(Survey::has_errors);
    let without_sheet: String = folders
        .iter()
        .zip(&surveys)
        .filter_map(|((folder, only), survey)| without_sheet(folder, only.as_ref(), survey))
        .collect();
    let problems: Vec<_> = surveys.into_iter().flat_map(|survey| survey.problems).collect();
    say(&match args.tell {
        Format::Words => printer::told(&problems, checked, look()) + &without_sheet,
        Format::Json => json::told(&problems),
        Format::Sarif => sarif::told(&problems),
    });
    if failed { Exit::PlaybookErrors } else { Exit::Clean }
}

/// What is wrong in a folder; where no playbook is refused, with what the cheap shakedown tells.
fn shaken(folder: &Folder, only: Option<&BTreeSet<PathBuf>>) -> Survey {
    let mut survey = survey(folder, only);
    survey.problems.extend(shaken_problems(folder, &survey, only));
    tidy(&mut survey.problems);
    survey
}

/// What was not looked at: the units that have no sheet. Nobody is to take "nothing wrong" for more than it is.
fn without_sheet(folder: &Folder, only: Option<&BTreeSet<PathBuf>>, survey: &Survey) -> Option<String> {
    let asked = |path: &str| only.is_none_or(|only| only.iter().any(|asked| shown(asked) == path));
    let units: BTreeSet<String> = survey
        .outlines
        .iter()
        .filter(|outline| asked(&outline.path))
        .flat_map(|outline| outline.units.iter().filter(|unit| !survey.units.contains_key(*unit)))
        .map(|unit| format!("`{unit}`"))
        .collect();
    let sheets = shown(&folder.root.join(folder::UNIT_SHEETS));
    let units: Vec<String> = units.into_iter().collect();
    (!units.is_empty()).then(|| {
        format!(
            "No sheet in {sheets} for {}: places, meter functions, limits and faults were not looked at there.\n",
            list(&units, "and")
        )
    })
}

/// A folder, and the playbooks of it that were asked for where not all are.
pub(super) type Asked = (Folder, Option<BTreeSet<PathBuf>>);

/// A folder of playbooks. The shop sheet and the unit sheets it goes by may stand further up: then the playbooks of that
/// folder are known, and its own alone are asked for.
pub(super) fn whole(path: &Path) -> Result<Asked, String> {
    let home = folder::home_of(&path.join(folder::SHOP_SHEET));
    let own = folder::look(path)?;
    if own.playbooks.is_empty() {
        return Err(folder::none_in(path));
    }
    if home == path {
        return Ok((own, None));
    }
    let folder = folder::look(&home)?;
    let mut only = BTreeSet::new();
    for file in &own.playbooks {
        only.extend(folder.listed(file)?);
    }
    Ok((folder, Some(only)))
}

/// The folders behind the paths named, each with the playbooks asked for where not all are. A sheet stands for its whole
/// folder: what it says goes for every playbook there.
pub(super) fn folders(paths: &[PathBuf]) -> Result<Vec<Asked>, String> {
    let mut found: Vec<Asked> = Vec::new();
    for path in paths {
        if path.is_dir() {
            found.push(whole(path)?);
            continue;
        }
        if !path.exists() {
            return Err(missing(path));
        }
        let home = folder::home_of(path);
        if path.extension().is_some_and(|ending| ending == "yaml") {
            found.push((folder::look(&home)?, None));
            continue;
        }
        match found.iter_mut().find(|(folder, only)| folder.root == home && only.is_some()) {
            Some((folder, only)) => only.get_or_insert_default().extend(folder.listed(path)?),
            None => {
                let folder = folder::look(&home)?;
                let only = folder.listed(path)?;
                found.push((folder, Some(only)));
            }
        }
    }
    Ok(found)
}

fn missing(path: &Path) -> String {
    format!("There is no file or folder {}.", shown(path))
}
