//! `ruleout sheet`: what the meter should read on a unit, good or with a fault.

use super::exit::{Exit, look, say, stop};
use super::folder;
use crate::circuit::unit::tech_changes::{Change, changes};
use crate::circuit::unit::tech_lines::{Gathered, gathered};
use crate::circuit::unit::tech_sheet::{Input, TechSheet, Told};
use crate::circuit::unit::wire;
use crate::sheet::shop::{self, Shop};
use crate::sheet::unit::{self, model::FaultId, model::Unit};
use crate::text::english::{list, nearest, ticked};
use crate::text::printer;
use crate::text::problem::{Problem, tidy};
use crate::trade::quantity::plain;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Options of `sheet`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit's name, or the file of its sheet
    unit: String,
    /// What is wrong with it: "heater-1 open"; may be given twice
    #[arg(long, value_name = "PART FAULT")]
    with: Vec<String>,
    /// With `--with`: all that is read, not only what reads otherwise than on a good unit
    #[arg(long)]
    all: bool,
    /// As data for other programs
    #[arg(long)]
    json: bool,
    /// The folder of the playbooks
    #[arg(long, default_value = "playbooks", value_name = "FOLDER")]
    folder: PathBuf,
}

pub(super) fn run(args: &Args) -> Exit {
    let path = match sheet_path(args) {
        Ok(path) => path,
        Err(reason) => return stop(reason),
    };
    let (unit, input, problems) = match read(&path) {
        Ok(read) => read,
        Err(problem) => return stop(problem.message),
    };
    let unit = Arc::new(unit);
    let (wired, more) = wire(&unit);
    let mut problems: Vec<Problem> = problems.into_iter().chain(more).collect();
    tidy(&mut problems);
    if problems.iter().any(Problem::is_error) {
        problems.retain(Problem::is_error);
        say(&printer::told(&problems, 1, look()));
        return Exit::PlaybookErrors;
    }
    let faults = match args.with.iter().map(|name| fault(&unit, name)).collect::<Result<Vec<_>, _>>() {
        Ok(faults) => faults,
        Err(reason) => return stop(reason),
    };
    let wired = Arc::new(wired);
    if !faults.is_empty() && !args.all && !args.json {
        return match changes(&wired, &faults, input) {
            Err(unsolved) => stop(format!("{}: {unsolved}.", unit.name)),
            Ok(changes) => {
                let names: Vec<String> = faults.iter().map(|fault| unit.fault_name(*fault)).collect();
                say(&otherwise(&unit, &names, &changes));
                Exit::Clean
            }
        };
    }
    match TechSheet::of(&wired, &faults, input) {
        Err(unsolved) => stop(format!("{}: {unsolved}.", unit.name)),
        Ok(sheet) if args.json => match serde_json::to_string_pretty(&sheet) {
            Ok(json) => {
                say(&format!("{json}\n"));
                Exit::Clean
            }
            Err(error) => stop(error),
        },
        Ok(sheet) => {
            say(&words(&sheet));
            Exit::Clean
        }
    }
}

/// The file named, or `units/NAME.yaml` in the folder.
fn sheet_path(args: &Args) -> Result<PathBuf, String> {
    let given = Path::new(&args.unit);
    if given.extension().is_some_and(|ending| ending == "yaml") {
        return Ok(given.to_owned());
    }
    let units = args.folder.join(folder::UNIT_SHEETS);
    let path = units.join(format!("{}.yaml", args.unit));
    if path.is_file() {
        return Ok(path);
    }
    let mut names: Vec<String> = walkdir::WalkDir::new(&units)
        .sort_by_file_name()
        .into_iter()
        .filter_map(Result::ok)
        .filter(|entry| entry.path().extension().is_some_and(|ending| ending == "yaml"))
        .filter_map(|entry| entry.path().file_stem().map(|stem| stem.to_string_lossy().into_owned()))
        .collect();
    names.sort();
    let hint = match nearest(&args.unit, names.iter().map(String::as_str)) {
        Some(near) => format!(" Did you mean `{near}`?"),
        None if names.is_empty() => format!(" There are no unit sheets in {}.", folder::shown(&units)),
        None => format!(" The units are {}.", list(&ticked(&names), "and")),
    };
    Err(format!("There is no sheet for a unit `{}`.{hint}", args.unit))
}

fn read(path: &Path) -> Result<(Unit, Input, Vec<Problem>), Problem> {
    let source = folder::read(path)?;
    let shop_path = folder::home_of(path).join(folder::SHOP_SHEET);
    let (shop, mut problems) =
        if shop_path.is_file() { shop::read(&folder::read(&shop_path)?) } else { (Shop::built_in(), Vec::new()) };
    let (unit, more) = unit::read(&source, &shop);
    problems.extend(more);
    Ok((unit, Input { ohms: shop.meter.input }, problems))
}

/// A longer list of faults helps nobody. A number of ours.
const MOST_LISTED: usize = 12;

/// `heater-1 open`
fn fault(unit: &Unit, name: &str) -> Result<FaultId, String> {
    let name = name.trim();
    if let Some((owner, fault)) = name.split_once(' ')
        && let Some(id) = unit.fault(owner, fault.trim())
    {
        return Ok(id);
    }
    let names: Vec<String> = unit.faults().map(|(id, _)| unit.fault_name(id)).collect();
    Err(match nearest(name, names.iter().map(String::as_str)) {
        Some(near) => format!("There is no fault `{name}` on this sheet. Did you mean `{near}`?"),
        None => {
            let part = name.split(' ').next().unwrap_or(name);
            let near: Vec<&String> = names.iter().filter(|fault| fault.contains(part) && !part.is_empty()).collect();
            let hint = if near.is_empty() || near.len() > MOST_LISTED {
                "Its faults are listed at the end of what this command prints without `--with`.".to_owned()
            } else {
                format!("There is {}.", list(&ticked(&near), "and"))
            };
            format!("There is no fault `{name}` on this sheet. {hint}")
        }
    })
}

fn words(sheet: &TechSheet) -> String {
    let mut text = format!("{}: {}\n", sheet.unit, sheet.title);
    if !sheet.with.is_empty() {
        text.push_str(&format!("WITH {}\n", sheet.with.join(" AND ")));
    }
    text.push_str("\nRating plate\n");
    for (name, says) in &sheet.nameplate {
        text.push_str(&format!("  {name}: {says}\n"));
    }
    if !sheet.ladder.is_empty() {
        text.push_str("\nLadder\n");
        for rung in &sheet.ladder {
            text.push_str(&format!("  {rung}\n"));
        }
    }
    for told in &sheet.standings {
        text.push_str(&standing(told));
    }
    text.push_str(&faults(sheet));
    for note in &sheet.notes {
        text.push('\n');
        text.push_str(&textwrap::fill(note, 100));
        text.push('\n');
    }
    text.push_str("\nWorked out from the sheet, as on the rating plate, steady state: no flame, refrigerant, heat, gas or time.\n");
    text
}

/// The faults with how often they are seen, and those struck out.
fn faults(sheet: &TechSheet) -> String {
    let mut text = String::new();
    let names = sheet.faults.iter().map(|fault| &fault.name).chain(sheet.struck.iter().map(|(name, _)| name));
    let width = names.map(|name| name.chars().count()).max().unwrap_or(0);
    if !sheet.faults.is_empty() {
        text.push_str("\nFaults, and how often they are seen\n");
    }
    for fault in &sheet.faults {
        let often = match fault.seen {
            Some(seen) => plain(seen),
            None if fault.usual => "usual; this sheet says nothing of it".to_owned(),
            None => "not said".to_owned(),
        };
        let goes = fault.comes_and_goes.map(|when| format!(", comes and goes: {when}")).unwrap_or_default();
        text.push_str(&format!("  {:width$}  {often}{goes}\n", fault.name));
    }
    if !sheet.struck.is_empty() {
        text.push_str("\nUsual faults it never has\n");
    }
    for (name, reason) in &sheet.struck {
        text.push_str(&format!("  {name:width$}  {reason}\n"));
    }
    text
}

/// States that change nothing on this unit are not all named. A number of ours.
const MOST_SAME: usize = 3;

/// The other standings in which all is the same.
fn also(others: &[String]) -> String {
    if others.is_empty() {
        return String::new();
    }
    let (named, more) = others.split_at(others.len().min(MOST_SAME));
    let more = if more.is_empty() { String::new() } else { format!("; and {} more ways it may stand", more.len()) };
    let also = format!("The same with {}{more}.", named.join("; "));
    format!("{}\n", textwrap::indent(&textwrap::fill(&also, 98), "  "))
}

fn standing(told: &Told) -> String {
    let (first, others) = told.standings.split_first().map_or(("", &[][..]), |(first, rest)| (first.as_str(), rest));
    let mut text = format!("\nUnit {first}\n");
    text.push_str(&also(others));
    if told.live.is_empty() {
        text.push_str("  No point of the circuit is live.\n");
    } else {
        text.push_str(&format!("  Live: {}\n", told.live.join(", ")));
    }
    if told.chatters {
        text.push_str("  Contacts chatter: each reading swings between the values shown.\n");
    }
    let sorts: Vec<(&str, Gathered)> = headings(first)
        .into_iter()
        .zip([&told.parts, &told.points, &told.readings])
        .map(|(heading, lines)| (heading, gathered(lines)))
        .collect();
    let read = sorts.iter().flat_map(|(_, sort)| &sort.lines).map(|(_, reads)| reads.chars().count());
    let width = read.filter(|width| *width <= WIDEST).max().unwrap_or(0).max(ZERO.len());
    for (heading, sort) in &sorts {
        if *sort != Gathered::default() {
            text.push_str(&format!("  {heading}\n"));
        }
        let zero = (!sort.zero.is_empty()).then(|| (&sort.zero, if *heading == TO_GROUND { "0 V" } else { ZERO }));
        let air = sort.air.as_ref().map(|(of, ghost)| (of, ghost.as_str()));
        for (of, reads) in sort.lines.iter().map(|(of, reads)| (of, reads.as_str())).chain(zero).chain(air) {
            let first = format!("    {reads:width$}  ");
            let rest = " ".repeat(width + 6);
            let options = textwrap::Options::new(98).initial_indent(&first).subsequent_indent(&rest);
            text.push_str(&textwrap::fill(&of.join(", "), options));
            text.push('\n');
        }
    }
    text
}

/// What is longer stands on its line by itself; a number of ours.
const WIDEST: usize = 32;
/// No volts across and no amps through.
const ZERO: &str = "0 V, 0 A";
const TO_GROUND: &str = "to ground";

/// What is read in a standing: across and through or by itself, to ground, readings.
fn headings(standing: &str) -> [&'static str; 3] {
    if standing.starts_with("locked out") {
        ["by itself, one wire off", "to ground, everything in place", "readings"]
    } else {
        ["across and through", TO_GROUND, "readings"]
    }
}

/// What reads otherwise than on a good unit.
fn otherwise(unit: &Unit, faults: &[String], changes: &[Change]) -> String {
    let mut text = format!("{}: {}\nWITH {}\n", unit.name, unit.title, faults.join(" AND "));
    if changes.is_empty() {
        text.push_str("\nNo reading of this sheet changes: a meter does not find it.\n");
    }
    for change in changes {
        let (first, others) =
            change.standings.split_first().map_or(("", &[][..]), |(first, rest)| (first.as_str(), rest));
        text.push_str(&format!("\nUnit {first}\n"));
        text.push_str(&also(others));
        if !change.live.is_empty() {
            text.push_str(&format!("  Live, and on a good unit dead: {}\n", change.live.join(", ")));
        }
        if !change.no_longer_live.is_empty() {
            text.push_str(&format!("  No longer live: {}\n", change.no_longer_live.join(", ")));
        }
        if change.chatters {
            text.push_str("  Contacts chatter: each reading swings between the values shown.\n");
        }
        let all = || change.sorts.iter().flatten();
        let width = all().map(|line| line.name.chars().count()).max().unwrap_or(0);
        let good = all().map(|line| line.good.chars().count()).chain(["good unit".len()]).max().unwrap_or(0);
        if all().next().is_some() {
            text.push_str(&format!("    {:width$}  {:good$}  now\n", "", "good unit"));
        }
        for (heading, lines) in headings(first).into_iter().zip(&change.sorts) {
            if !lines.is_empty() {
                text.push_str(&format!("  {heading}\n"));
            }
            for line in lines {
                text.push_str(&format!("    {:width$}  {:good$}  {}\n", line.name, line.good, line.now));
            }
        }
    }
    text.push_str("\nAll else reads as on a good unit; add --all to see it. Worked out from the sheet, as on the rating plate, steady state.\n");
    text
}
