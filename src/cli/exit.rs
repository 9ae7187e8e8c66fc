//! How a command ends, and how it talks.

#![expect(clippy::disallowed_methods, reason = "this is where the terminal is looked at")]

use crate::text::printer::Look;
use std::fmt::Display;
use std::io::Write;
use std::process::ExitCode;

/// How a command ends: the exit codes, part of what scripts may lean on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// 0: nothing wrong.
    Clean,
    /// 1: could not run: no such file, wrong words on the command line, a full disk.
    CouldNotRun,
    /// 2: a playbook or sheet has errors.
    PlaybookErrors,
    /// 3: the shakedown found a broken promise.
    BrokenPromise,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(match exit {
            Exit::Clean => 0,
            Exit::CouldNotRun => 1,
            Exit::PlaybookErrors => 2,
            Exit::BrokenPromise => 3,
        })
    }
}

/// What the terminal can do: its width where somebody watches, underlining where it is understood and wanted.
pub(super) fn look() -> Look {
    use std::io::IsTerminal;
    if !std::io::stdout().is_terminal() {
        return Look::PLAIN;
    }
    let underline = anstream::AutoStream::choice(&std::io::stdout()) != anstream::ColorChoice::Never;
    Look { width: Some(textwrap::termwidth()), underline }
}

/// Prints to the terminal. A reader that has gone away (`| head`) is no error of ours.
pub(super) fn say(text: &str) {
    let mut out = anstream::stdout().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

/// Prints what stopped the command, and ends it.
pub(super) fn stop(reason: impl Display) -> Exit {
    let mut out = anstream::stderr().lock();
    let _ = writeln!(out, "{reason}");
    Exit::CouldNotRun
}
