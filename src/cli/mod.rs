//! The command line: one file a command, files read at the edge.
//!
//! 1. [`run`] reads the command line and hands it to the command's own `run`.
//! 2. [`folder`] finds the shop sheet and the playbooks and reads them as text; whatever can't be read is told like any other problem.
//! 3. [`library`] checks them one by one.
//! 4. Every command ends in an [`Exit`].

mod align;
mod bench;
mod cache;
mod check;
mod draft;
mod exit;
mod folder;
mod library;
mod pictures;
mod publish;
mod rule;
mod shakedown;
mod sheet;
mod user_folder;
mod walk;

pub use exit::Exit;

use clap::{Parser, Subcommand};
use std::process::ExitCode;

/// What the command line may hold.
#[derive(Debug, Parser)]
#[command(
    name = "ruleout",
    version,
    about = "Playbooks for commercial-kitchen service: write them, check them, publish them, follow them at the unit.",
    after_help = "The work can hurt people. Local codes, the maker's instructions and your shop's rules come first; licensed work is for licensed people.",
    disable_help_subcommand = true
)]
struct CommandLine {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Say what is wrong with playbooks and the shop sheet
    Check(check::Args),
    /// Lay playbooks out: columns, units in one form, comments kept
    Align(align::Args),
    /// Write the pages for the phone and the wiki
    Publish(publish::Args),
    /// Break the unit on paper in every way and see whether a playbook finds it
    Shakedown(shakedown::Args),
    /// Explain the code a message ends with, or list them all
    Rule(rule::Args),
    /// Say what the meter should read on a unit, good or with a fault in it
    Sheet(sheet::Args),
    /// Print a unit sheet to start from
    Draft(draft::Args),
    /// Follow a playbook at the unit, one step at a time
    Walk(walk::Args),
}

/// Reads the command line and runs the command.
#[must_use]
pub fn run() -> ExitCode {
    let parsed = match CommandLine::try_parse() {
        Ok(parsed) => parsed,
        Err(usage) => {
            let asked_for_help = !usage.use_stderr();
            // Where even this cannot be written there is nobody left to tell.
            let _ = usage.print();
            return if asked_for_help { Exit::Clean } else { Exit::CouldNotRun }.into();
        }
    };
    let exit = match parsed.command {
        Command::Check(args) => check::run(&args),
        Command::Align(args) => align::run(&args),
        Command::Publish(args) => publish::run(&args),
        Command::Rule(args) => rule::run(&args),
        Command::Shakedown(args) => shakedown::run(&args),
        Command::Sheet(args) => sheet::run(&args),
        Command::Draft(args) => draft::run(&args),
        Command::Walk(args) => walk::run(&args),
    };
    exit.into()
}
