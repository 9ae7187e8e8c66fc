//! Playbooks with what is wrong with them written into them.
//!
//! A line `#! CODE LINE "WORDS"` in a case says that a problem of that code stands on that line of the file, at exactly those words.
//! Problems that are not announced fail the case, and so do announced ones that are not told.

#![expect(clippy::disallowed_methods, reason = "tests read their cases")]

use ruleout::language::parse;
use ruleout::text::source::Source;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

#[test]
fn every_case_tells_what_it_announces() {
    let mut wrong = String::new();
    let mut count = 0;
    for path in cases() {
        let text = fs::read_to_string(&path).unwrap();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let mut announced: Vec<String> =
            text.lines().filter_map(|line| line.strip_prefix("#! ")).map(|line| line.trim().to_owned()).collect();
        let source = Source::new(name.as_str(), text.as_str());
        let (_, problems) = parse(&source);
        for problem in &problems {
            let told = format!("{} {} \"{}\"", problem.rule.code, problem.place.line(), problem.place.text());
            match announced.iter().position(|line| *line == told) {
                Some(at) => drop(announced.remove(at)),
                None => writeln!(wrong, "{name}: not announced: {told}\n    {}", problem.message).unwrap(),
            }
        }
        for line in announced {
            writeln!(wrong, "{name}: not told: {line}").unwrap();
        }
        count += 1;
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(count > 0, "no cases found");
}

fn cases() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/language");
    let mut found: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    found.retain(|path| path.extension().is_some_and(|end| end == "playbook"));
    found.sort();
    found
}
