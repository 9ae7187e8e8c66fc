//! The thinnest main: hands the command line to [`ruleout::cli`].

use mimalloc::MiMalloc;
use std::process::ExitCode;

/// A playbook is thousands of short words, read and let go again by every thread: with the system's own allocator a fifth of
/// the time of `publish` went into that (measured).
#[global_allocator]
static WORDS: MiMalloc = MiMalloc;

fn main() -> ExitCode {
    ruleout::cli::run()
}
