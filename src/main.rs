//! The thinnest main: hands the command line to [`ruleout::cli`].

use std::process::ExitCode;

fn main() -> ExitCode {
    ruleout::cli::run()
}
