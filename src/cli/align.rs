//! `ruleout align`: lays playbooks out.

use super::check::folders;
use super::exit::{Exit, look, say, stop};
use super::folder::{self, reason, shown};
use crate::language::align;
use crate::text::printer;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Options of `align`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Playbooks or folders of playbooks
    #[arg(default_value = "playbooks")]
    paths: Vec<PathBuf>,
    /// Only say which playbooks are not laid out; write nothing
    #[arg(long)]
    check: bool,
}

pub(super) fn run(args: &Args) -> Exit {
    let folders = match folders(&args.paths) {
        Ok(folders) => folders,
        Err(reason) => return stop(reason),
    };
    let mut problems = Vec::new();
    let (mut laid_out, mut left, mut refused) = (0_usize, 0_usize, 0_usize);
    for (folder, only) in &folders {
        for path in folder.playbooks.iter().filter(|path| only.as_ref().is_none_or(|only| only.contains(*path))) {
            let source = match folder::read(path) {
                Ok(source) => source,
                Err(problem) => {
                    problems.push(problem);
                    refused += 1;
                    continue;
                }
            };
            match align::align(&source) {
                Ok(text) if text == source.text() => left += 1,
                Ok(text) => {
                    say(&format!("{}{}\n", shown(path), if args.check { " is not laid out" } else { "" }));
                    laid_out += 1;
                    if !args.check
                        && let Err(error) = write(path, &text)
                    {
                        return stop(format!(
                            "{} can't be written: {}. It is as it was.",
                            shown(path),
                            reason(Some(&error))
                        ));
                    }
                }
                Err(told) => {
                    problems.extend(told);
                    refused += 1;
                }
            }
        }
        problems.extend(folder.problems.iter().cloned());
    }
    if !problems.is_empty() {
        say(&printer::told(&problems, laid_out + left + refused, look()));
        say("A playbook with errors is not laid out: it was left as it is.\n");
        return Exit::PlaybookErrors;
    }
    let verb = if args.check { "to lay out" } else { "laid out" };
    say(&format!("{laid_out} {verb}, {left} as they should be.\n"));
    if args.check && laid_out > 0 { Exit::PlaybookErrors } else { Exit::Clean }
}

/// Writes beside the file first, so that a full disk leaves the old text whole.
#[expect(clippy::disallowed_methods, reason = "this is the edge where a playbook is written back")]
fn write(path: &Path, text: &str) -> std::io::Result<()> {
    // A link is kept: what it leads to is replaced, in its own folder.
    let target = std::fs::canonicalize(path)?;
    let folder = target.parent().unwrap_or(Path::new("."));
    let mut new = tempfile::NamedTempFile::new_in(folder)?;
    new.write_all(text.as_bytes())?;
    new.as_file().sync_all()?;
    new.as_file().set_permissions(std::fs::metadata(&target)?.permissions())?;
    new.persist(&target)?;
    Ok(())
}
