//! Where the record of a walk is kept, and what it says of the walk: in the folder asked for, else in the user's own for the data of
//! programs; where there is none, the walk says so and everything is printed at its end.

use super::{Stopped, could_not};
use crate::cli::folder::{self, shown};
use crate::cli::user_folder;
use crate::walk::keep::{self, Keep};
use crate::walk::{Event, What};
use std::path::Path;

/// The record of a walk.
pub(super) enum Kept {
    /// In a file.
    In(Keep),
    /// Nowhere; why, and what that means.
    Nowhere(String),
}

impl Kept {
    /// The file, where there is one.
    pub(super) fn file(&mut self) -> Option<&mut Keep> {
        match self {
            Self::In(keep) => Some(keep),
            Self::Nowhere(_) => None,
        }
    }
}

/// What the start of a record says.
#[derive(Clone, Copy)]
pub(super) struct Recorded<'a> {
    /// The playbook's name.
    pub playbook: &'a str,
    /// The unit; may be empty.
    pub unit: &'a str,
    /// The folder of playbooks; may be empty.
    pub from: &'a str,
}

/// What the start of a record says; `None` where it does not begin with one.
pub(super) fn recorded(events: &[Event]) -> Option<Recorded<'_>> {
    match events.first().map(|event| &event.what) {
        Some(What::Started { playbook, unit, from, .. }) => Some(Recorded { playbook, unit, from }),
        _ => None,
    }
}

/// The events of a record.
pub(super) fn read_record(path: &Path) -> Result<Vec<Event>, Stopped> {
    let source = folder::read(path).map_err(|problem| could_not(problem.message))?;
    keep::read(source.text())
        .map_err(|line| could_not(format!("{} is no record: line {line} is no event.", shown(path))))
}

/// The record to write: the one gone on with, else a new one in the folder asked for, else in the user's own.
pub(super) fn open_record(
    resume: Option<&Path>,
    records: Option<&Path>,
    playbook: &str,
    now: &str,
) -> Result<Kept, Stopped> {
    let (opened, path) = match (resume, records) {
        (Some(record), _) => (Keep::go_on(record), record),
        (None, Some(folder)) => (Keep::new_in(folder, now, playbook), folder),
        (None, None) => return Ok(in_own_folder(playbook, now)),
    };
    let told =
        |error| could_not(format!("No record can be kept in {}: {}.", shown(path), folder::reason(Some(&error))));
    opened.map(Kept::In).map_err(told)
}

fn in_own_folder(playbook: &str, now: &str) -> Kept {
    let means = "This call can't be gone on with another day; all of it is printed at the end.";
    let Some(folder) = user_folder::data().map(|folder| folder.join("calls")) else {
        return Kept::Nowhere(format!("There is no folder to keep a record in. {means} --records FOLDER keeps one.\n"));
    };
    match Keep::new_in(&folder, now, playbook) {
        Ok(keep) => Kept::In(keep),
        Err(error) => {
            let why = folder::reason(Some(&error));
            Kept::Nowhere(format!("No record can be kept in {}: {why}. {means}\n", shown(&folder)))
        }
    }
}

/// The words that go on with a record: with the folder of its playbooks, so that they hold wherever they are typed.
pub(super) fn go_on_with(record: &Path, root: &Path) -> String {
    let quoted = |path: &Path| {
        let path = shown(path);
        if path.contains(|c: char| !(c.is_alphanumeric() || matches!(c, '/' | '.' | '-' | '_' | '\\' | ':'))) {
            format!("\"{path}\"")
        } else {
            path
        }
    };
    let from = if root == Path::new(super::FROM) { String::new() } else { format!(" --from {}", quoted(root)) };
    format!("ruleout walk --resume {}{from}", quoted(record))
}
