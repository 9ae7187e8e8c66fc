//! `ruleout walk`: follow a playbook at the unit. The terminal, the clock and the record file are touched here; the talk is
//! [`crate::walk`]'s.
//!
//! 1. The playbook is found by path or by name, with those it goes on to; one with errors is not walked.
//! 2. Lines come from a thread of their own, an interrupt from the signal; both are answers. A `wait` runs a timer meanwhile.
//! 3. The events of an answer are on the disk before the next question.

mod kept;
mod terminal;

use self::kept::{Kept, go_on_with, open_record, read_record, recorded};
use self::terminal::{CLEAR, Heard, listen, stdin_is_terminal, stdout_is_terminal, wait};
use super::exit::{Exit, say, stop};
use super::folder::{self, Folder, shown};
use super::library::{Known, Survey, checked, survey};
use crate::engine::{BookId, Library};
use crate::playbook::model::Playbook;
use crate::playbook::outline::Outlines;
use crate::text::english::{list, ticked};
use crate::text::problem::Problem;
use crate::walk::keep::Keep;
use crate::walk::{Event, Job, Reply, Walk, What};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Options of `walk`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The playbook: its name, or its file
    #[arg(required_unless_present = "resume")]
    playbook: Option<String>,
    /// The folder of playbooks a name is looked up in [default: playbooks; with --resume, the folder of the record]
    #[arg(long, value_name = "FOLDER")]
    from: Option<PathBuf>,
    /// The unit you stand at, where the playbook is for several
    #[arg(long, value_name = "UNIT")]
    unit: Option<String>,
    /// Keep the record and the write-up in this folder, not in yours for the data of programs
    #[arg(long, value_name = "FOLDER")]
    records: Option<PathBuf>,
    /// Go on with a walk that was left off, from its record
    #[arg(long, value_name = "RECORD", conflicts_with = "records")]
    resume: Option<PathBuf>,
}

pub(super) fn run(args: &Args) -> Exit {
    match walk(args) {
        Ok(()) => Exit::Clean,
        Err((exit, words)) => {
            stop(words);
            exit
        }
    }
}

/// Why a walk did not come about, and the exit code.
type Stopped = (Exit, String);

fn could_not(words: impl Into<String>) -> Stopped {
    (Exit::CouldNotRun, words.into())
}

fn walk(args: &Args) -> Result<(), Stopped> {
    let record = args.resume.as_deref().map(read_record).transpose()?;
    let recorded = record.as_deref().and_then(recorded);
    let named = match (&args.playbook, recorded, &record) {
        (Some(name), ..) => name.clone(),
        (None, Some(recorded), _) => recorded.playbook.to_owned(),
        (None, None, Some(_)) => return Err(could_not(crate::walk::TakeUp::NoStart.to_string())),
        (None, None, None) => return Err(could_not("Say which playbook to walk.")),
    };
    let unit = unit_stood_at(args, recorded.map(|recorded| recorded.unit).filter(|unit| !unit.is_empty()))?;
    // A record carried elsewhere may know a folder that is not there.
    let of_record = recorded.map(|recorded| PathBuf::from(recorded.from)).filter(|folder| folder.is_dir());
    let from = args.from.clone().or(of_record).unwrap_or_else(|| PathBuf::from(FROM));
    let Ground { library, book, job, root } = find(&named, &from, unit)?;
    let name = library.book(book).name.clone();
    let started = match &record {
        Some(events) => Walk::take_up(library, book, job, events, &now()).map_err(|why| why.to_string()),
        None => Walk::start(library, book, job, &now()).map_err(|why| why.to_string()),
    };
    let (mut walk, reply) = started.map_err(could_not)?;
    let mut kept = open_record(args.resume.as_deref(), args.records.as_deref(), &name, &now())?;
    if let Kept::Nowhere(why) = &kept {
        say(why);
    }
    talk(&mut walk, reply, kept.file())?;
    let Kept::In(keep) = kept else {
        say(&walk.record_text());
        say(&walk.write_up().text());
        say("\nNo record was kept: what is above is all of it.\n");
        return Ok(());
    };
    let text = walk.write_up();
    let text_path = shown(&keep.text_path());
    match keep.write_text(&text.text()) {
        Ok(()) => {
            say(&if stdout_is_terminal() { text.on_screen(&text_path) } else { text.text() });
            say(&format!(
                "\nThe record of this call:\n  {}\nThe write-up stands beside it, in a .txt.\n",
                shown(keep.path())
            ));
        }
        Err(error) => {
            say(&text.text());
            let why = folder::reason(Some(&error));
            say(&format!(
                "\nThe write-up can't be put in {text_path}: {why}. The record is in {}.\n",
                shown(keep.path())
            ));
        }
    }
    if matches!(walk.events().last(), Some(Event { what: What::LeftOff { .. }, .. })) {
        say(&format!("Go on with:\n  {}\n", go_on_with(keep.path(), &root)));
    }
    Ok(())
}

/// Where a name is looked up where nothing is said.
const FROM: &str = "playbooks";

/// The unit asked for, else the one of the record.
fn unit_stood_at<'a>(args: &'a Args, recorded: Option<&'a str>) -> Result<Option<&'a str>, Stopped> {
    match (args.unit.as_deref(), recorded) {
        (Some(asked), Some(recorded)) if asked != recorded => {
            Err(could_not(format!("This record is of `{recorded}`, not of `{asked}`. Start a new walk for that one.")))
        }
        (asked, recorded) => Ok(asked.or(recorded)),
    }
}

// ---- the playbook --------------------------------------------------------------------------------

/// What is walked.
struct Ground {
    library: Arc<Library>,
    book: BookId,
    job: Job,
    /// The folder of playbooks.
    root: PathBuf,
}

/// The playbook of this name or file with all it goes on to, compiled for the unit, with the shop's sheet and the unit's.
fn find(named: &str, from: &Path, unit: Option<&str>) -> Result<Ground, Stopped> {
    let file = Path::new(named);
    let by_file = file.is_file() || file.extension().is_some_and(|ending| ending == "playbook");
    let root = if by_file { folder::home_of(file) } else { from.to_owned() };
    if by_file && !file.is_file() {
        return Err(could_not(format!("There is no file {}.", shown(file))));
    }
    let folder = folder::look(&root).map_err(could_not)?;
    // As it is listed there, so that it is not met a second time under another spelling.
    let listed = if by_file { folder.listed(file).map_err(could_not)?.into_iter().next() } else { None };
    let file = listed.as_deref().unwrap_or(file);
    let nothing = BTreeSet::new();
    let survey = survey(&folder, Some(&nothing));
    let name = if by_file { None } else { Some(named) };
    let paths = reached(&folder, &survey.outlines, name, file)?;
    let unit = unit_of(&survey, paths.first(), unit)?;
    let known = Known { shop: &survey.shop, units: &survey.units, others: &survey.outlines, all: true };
    let mut books = Vec::new();
    let mut wrong = survey.problems;
    for path in &paths {
        match folder::read(path) {
            Ok(source) => {
                let checked = checked(&source, known);
                books.extend(checked.for_unit(unit.as_deref()).cloned().map(|book| narrowed(book, unit.as_deref())));
                wrong.extend(checked.problems);
            }
            Err(problem) => wrong.push(problem),
        }
    }
    refuse_errors(&wrong, &paths)?;
    let first = books.first().map(|book: &Playbook| book.name.clone());
    let library = Library::new(books.into_iter().map(Arc::new).collect());
    let closing = survey.shop.left_on(library.states());
    let library = library.with_closing(closing);
    let book = first.and_then(|name| library.find(&name)).ok_or_else(|| could_not("There is no playbook to walk."))?;
    let job = Job {
        unit: unit.and_then(|unit| survey.units.get(&unit).cloned()),
        shop: Arc::new(survey.shop),
        from: absolute(&root),
    };
    Ok(Ground { library: Arc::new(library), book, job, root })
}

/// The unit one stands at: the one asked for, or the only one the playbook is for. Its sheet says how states change there and
/// what stores energy, so of several none is guessed.
fn unit_of(survey: &Survey, path: Option<&PathBuf>, asked: Option<&str>) -> Result<Option<String>, Stopped> {
    let path = path.map(|path| shown(path));
    let outline = survey.outlines.iter().find(|outline| Some(&outline.path) == path.as_ref());
    let units = outline.map(|outline| outline.units.as_slice()).unwrap_or_default();
    match (asked, units) {
        (Some(asked), units) if units.is_empty() || units.iter().any(|unit| unit == asked) => {
            Ok(Some(asked.to_owned()))
        }
        (Some(asked), units) => {
            let names = list(&ticked(units), "and");
            Err(could_not(format!("This playbook is for {names}, not for `{asked}`.")))
        }
        (None, [only]) => Ok(Some(only.clone())),
        (None, units) if units.iter().any(|unit| survey.units.contains_key(unit)) => {
            let names = list(&ticked(units), "and");
            Err(could_not(format!("This playbook is for {names}. Read the rating plate and say which: --unit NAME")))
        }
        (None, _) => Ok(None),
    }
}

/// The playbook as it is for this unit alone, where it is for it at all.
fn narrowed(mut book: Playbook, unit: Option<&str>) -> Playbook {
    if let Some(unit) = unit.filter(|unit| book.units.iter().any(|known| known == unit)) {
        book.units = vec![unit.to_owned()];
    }
    book
}

/// A playbook with errors is not walked: a hole in it could lead a technician anywhere.
fn refuse_errors(problems: &[Problem], paths: &[PathBuf]) -> Result<(), Stopped> {
    let errors: Vec<&Problem> = problems.iter().filter(|problem| problem.is_error()).collect();
    let Some(first) = errors.first() else { return Ok(()) };
    let files: Vec<String> = paths.iter().map(|path| shown(path)).collect();
    let words = format!(
        "It can't be walked: {} in it or in what goes with it. The first, {}:\n  {}\nTo see all of it: ruleout check {}",
        crate::text::english::count(errors.len(), "error"),
        first.place,
        first.message,
        files.join(" ")
    );
    Err((Exit::PlaybookErrors, words))
}

/// The file of the playbook, then those of the playbooks it goes on to.
fn reached(folder: &Folder, outlines: &Outlines, name: Option<&str>, file: &Path) -> Result<Vec<PathBuf>, Stopped> {
    let by_path = |path: &str| folder.playbooks.iter().find(|known| shown(known) == path).cloned();
    let first = match name {
        None => file.to_owned(),
        Some(name) => {
            let found = outlines.get(name).and_then(|outline| by_path(&outline.path));
            found.ok_or_else(|| unknown(name, &shown(&folder.root), outlines))?
        }
    };
    let mut paths = vec![first];
    let mut next = 0;
    while let Some(path) = paths.get(next).map(|path| shown(path)) {
        next += 1;
        let on = outlines.iter().filter(|outline| outline.path == path).flat_map(|outline| &outline.goes_on_to);
        for (name, _) in on {
            if let Some(other) = outlines.get(name).and_then(|outline| by_path(&outline.path))
                && !paths.contains(&other)
            {
                paths.push(other);
            }
        }
    }
    Ok(paths)
}

fn unknown(name: &str, root: &str, outlines: &Outlines) -> Stopped {
    let names: Vec<&str> = outlines.iter().map(|outline| outline.name.as_str()).collect();
    let meant = crate::text::english::nearest(name, names.iter().copied());
    could_not(match meant {
        Some(meant) => format!("There is no playbook `{name}` in {root}. Did you mean `{meant}`?"),
        None if names.is_empty() => format!("There is no playbook in {root}."),
        None => format!(
            "There is no playbook `{name}` in {root}. There are: {}.",
            list(&names.iter().take(20).collect::<Vec<_>>(), "and")
        ),
    })
}

// ---- the terminal --------------------------------------------------------------------------------

fn talk(walk: &mut Walk, first: Reply, mut keep: Option<&mut Keep>) -> Result<(), Stopped> {
    let lines = listen();
    let echo = !stdin_is_terminal();
    let at_terminal = !echo && stdout_is_terminal();
    let mut reply = first;
    loop {
        if let Some(keep) = keep.as_deref_mut()
            && let Err(error) = keep.write(&reply.events)
        {
            return Err(lost(walk, keep, &error));
        }
        // One step at a time: each reply is whole, so the one before it can go. The end is kept on the screen, all of it.
        if at_terminal && !walk.is_over() {
            say(CLEAR);
            say(reply.text.trim_start_matches('\n'));
        } else {
            say(&reply.text);
        }
        if walk.is_over() {
            return Ok(());
        }
        say(&walk.prompt());
        let timer = if at_terminal { walk.timer() } else { None };
        reply = match timer.map_or_else(|| lines.recv().ok(), |seconds| wait(&lines, seconds, &walk.prompt())) {
            Some(Heard::Line(line)) => {
                if echo {
                    say(&format!("{line}\n"));
                }
                walk.hear(&line, &now())
            }
            Some(Heard::Interrupt) => {
                say("\n");
                walk.leave_off("interrupt", &now())
            }
            Some(Heard::End) | None => {
                say("\n");
                walk.leave_off("end of input", &now())
            }
        };
    }
}

/// The record can no longer be written: the walk stops, and everything is printed so that nothing is lost.
fn lost(walk: &mut Walk, keep: &Keep, error: &std::io::Error) -> Stopped {
    let reply = walk.leave_off("the record cannot be written", &now());
    say(&reply.text);
    say(&walk.record_text());
    say(&walk.write_up().text());
    could_not(format!(
        "The record {} can't be written any more: {}. The walk stops here; what is above is all of it.",
        shown(keep.path()),
        folder::reason(Some(error))
    ))
}

/// The folder as it is found from anywhere on this machine.
fn absolute(folder: &Path) -> String {
    shown(&std::path::absolute(folder).unwrap_or_else(|_| folder.to_owned()))
}

/// Date and time by the clock of the device: `2026-11-25 10:44`.
#[expect(clippy::disallowed_methods, reason = "the clock is read here and handed in")]
fn now() -> String {
    jiff::ZonedDateTime::now().strftime("%Y-%m-%d %H:%M").to_string()
}
