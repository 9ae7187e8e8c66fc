//! What each kind of line takes and refuses, in tables: `tests/cases/grammar/*.txt`.
//!
//! A row is the block, what is told, and the line: `test | limit-form | if under 5 A go to x`. The block is `file` (the line is the
//! first of the file), `head`, `test`, `ask` (a test that asks), `repair`, `adjust` or `escalate`. What is told is `fine` or the code of
//! the one problem. `\0`, `\r`, `\\` and `\u{…}` stand for characters that would not be seen.

#![expect(clippy::disallowed_methods, reason = "tests read their cases")]

use ruleout::language::{fill_in, parse};
use ruleout::text::source::Source;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

struct Row {
    at: String,
    block: String,
    told: String,
    line: String,
}

fn rows() -> Vec<Row> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/grammar");
    let mut files: Vec<_> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    let mut rows = Vec::new();
    for file in files {
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        for (number, text) in fs::read_to_string(&file).unwrap().lines().enumerate() {
            if text.starts_with('#') || text.is_empty() {
                continue;
            }
            let mut cells = text.splitn(3, '|');
            let mut cell = || cells.next().unwrap_or_else(|| panic!("{name}: three columns: {text}")).to_owned();
            let at = format!("{name}, line {}", number + 1);
            let (block, told, line) = (cell(), cell(), cell());
            let line = unescaped(line.strip_prefix(' ').unwrap_or(&line));
            rows.push(Row { at, block: block.trim().to_owned(), told: told.trim().to_owned(), line });
        }
    }
    rows
}

fn unescaped(text: &str) -> String {
    let mut plain = text.replace("\\\\", "\u{1}").replace("\\0", "\0").replace("\\r", "\r");
    while let Some(from) = plain.find("\\u{") {
        let end = from + plain[from..].find('}').unwrap();
        let code = u32::from_str_radix(&plain[from + 3..end], 16).unwrap();
        plain.replace_range(from..=end, &char::from_u32(code).unwrap().to_string());
    }
    plain.replace('\u{1}', "\\")
}

fn whole(row: &Row) -> String {
    let head = "playbook no-heat: It stays cold\n";
    match row.block.as_str() {
        "file" => format!("{}\n", row.line),
        "head" => format!("{head}{}\n", row.line),
        "ask" => format!("{head}test a: A test\nask What is it?\n{}\n", row.line),
        block @ ("test" | "repair" | "adjust" | "escalate") => format!("{head}{block} a: A block\n{}\n", row.line),
        other => panic!("{}: no block `{other}`", row.at),
    }
}

#[test]
fn each_line_is_taken_or_refused_as_the_table_says() {
    let mut wrong = String::new();
    for row in rows() {
        let (playbook, problems) = parse(&Source::new("row.playbook", whole(&row)));
        let codes: Vec<&str> = problems.iter().map(|problem| problem.rule.code).collect();
        let told = if codes.is_empty() { "fine".to_owned() } else { codes.join(" ") };
        if told != row.told {
            let message = problems.first().map_or("", |problem| problem.message.as_str());
            writeln!(wrong, "{}: `{}` is told `{told}`, not `{}`. {message}", row.at, row.line, row.told).unwrap();
        }
        // What is fine is in the tree; what is refused has left its word behind.
        if row.told == "fine" && row.block != "file" && !is_heading(&row.line) {
            let playbook = playbook.unwrap();
            let lines: usize =
                std::iter::once(&playbook.head).chain(&playbook.blocks).map(|block| block.lines.len()).sum();
            assert_eq!(lines, if row.block == "ask" { 2 } else { 1 }, "{}: {}", row.at, row.line);
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

fn is_heading(line: &str) -> bool {
    ["playbook ", "test ", "repair ", "adjust ", "escalate "].iter().any(|word| line.starts_with(word))
}

#[test]
fn every_problem_of_a_line_is_told_well() {
    for row in rows().iter().filter(|row| row.told != "fine") {
        let source = Source::new("row.playbook", whole(row));
        for problem in parse(&source).1 {
            let (message, place) = (&problem.message, &problem.place);
            assert!(message.ends_with(['.', '?']), "{}: {message}", row.at);
            // Sentences a technician can read: nothing of how the program reads.
            for word in
                ["expected", "token", "parse", "syntax", "EOI", "_line", "Rule", "invalid", "identifier", "string"]
            {
                assert!(!message.contains(word) || row.line.contains(word), "{}: {message}", row.at);
            }
            assert_eq!(message.matches('`').count() % 2, 0, "{}: {message}", row.at);
            assert!(!place.text().is_empty() || row.line.is_empty(), "{}: nothing is underlined. {message}", row.at);
            assert!(!place.text().contains('\n'), "{}: more than the line is underlined", row.at);
            if let Some(instead) = &problem.instead {
                assert_ne!(instead.trim(), row.line.trim(), "{}: the same line is offered. {message}", row.at);
            }
        }
    }
}

/// A line as an author fills it in.
fn filled_in(line: &str) -> String {
    let words = [
        (fill_in::NEXT_STEP, "flow"),
        (fill_in::GOOD_ANSWER, "yes"),
        (fill_in::OTHER_ANSWER, "no"),
        (fill_in::LIMIT, "below 5 V"),
        (fill_in::TITLE, "Volts at the disconnect"),
        (fill_in::REASON, "the freezer is full"),
        (fill_in::VALUE, "off"),
        (fill_in::READING, "supply"),
        (fill_in::TIME, "10 minutes"),
        (fill_in::BANK, "zone"),
    ];
    words.iter().fold(line.to_owned(), |line, (open, word)| line.replace(open, word))
}

/// A line offered instead is one that is taken. Where something in it is left to fill in, it is taken filled in.
#[test]
fn what_to_write_instead_is_taken() {
    let mut wrong = String::new();
    let mut offered = 0;
    for row in rows().iter().filter(|row| row.told != "fine" && !row.told.contains(' ')) {
        for problem in parse(&Source::new("row.playbook", whole(row))).1 {
            let Some(instead) = problem.instead else { continue };
            let filled = filled_in(&instead);
            let mended = match row.told.as_str() {
                // These offer the line for another place.
                "wrong-place" | "no-playbook-line" => continue,
                // The line offered stands for both.
                "said-twice" => continue,
                _ => whole(&Row {
                    line: filled.clone(),
                    at: row.at.clone(),
                    block: row.block.clone(),
                    told: String::new(),
                }),
            };
            offered += 1;
            for problem in parse(&Source::new("row.playbook", mended)).1 {
                writeln!(wrong, "{}: `{}` is mended to `{filled}`: {}", row.at, row.line, problem.message).unwrap();
            }
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(offered > 100, "only {offered} lines are offered");
}

/// Every first word has a row that is taken and one that is refused, in the place it belongs.
#[test]
fn every_first_word_is_in_the_tables() {
    let mut seen: BTreeMap<String, BTreeSet<bool>> = BTreeMap::new();
    for row in rows() {
        if row.told != "wrong-place" {
            let first = row.line.split_whitespace().next().unwrap_or("").to_owned();
            seen.entry(first).or_default().insert(row.told == "fine");
        }
    }
    let words = "playbook unit symptom revised finish was test repair adjust escalate for with tools danger warning caution notice do wait \
                 picture why ask answers measure calculate good if all cannot takes part verify leave to because accept";
    for word in words.split_whitespace() {
        assert_eq!(
            seen.get(word).map(BTreeSet::len),
            Some(2),
            "`{word}` needs a row that is taken and one that is refused"
        );
    }
}
