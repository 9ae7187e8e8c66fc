//! Playbooks with what is wrong with them written into them, one a code, and the same ones mended.
//!
//! `tests/cases/language/CODE.playbook` breaks the rule CODE; `CODE.ok.playbook` comes as near to it as a right one can and is told
//! nothing. A line `#! CODE line N "WORDS"` says which problem is told on which line at exactly which words. Problems that are not
//! announced fail the case, and so do announced ones that are not told.

#![expect(clippy::disallowed_methods, reason = "tests read their cases")]

use ruleout::language::align::LAYOUT_CHANGES;
use ruleout::language::{parse, rules};
use ruleout::text::printer::{self, Look};
use ruleout::text::source::Source;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/language")
}

/// The names and texts of the cases, by name.
fn cases() -> Vec<(String, String)> {
    let mut found: Vec<PathBuf> = fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path()).collect();
    found.retain(|path| path.extension().is_some_and(|end| end == "playbook"));
    found.sort();
    let name = |path: &Path| path.file_name().unwrap().to_string_lossy().into_owned();
    found.into_iter().map(|path| (name(&path), fs::read_to_string(path).unwrap())).collect()
}

#[test]
fn every_case_tells_what_it_announces() {
    let mut wrong = String::new();
    for (name, text) in cases() {
        let mut announced: Vec<&str> =
            text.lines().filter_map(|line| line.strip_prefix("#! ")).map(str::trim).collect();
        if name.ends_with(".ok.playbook") {
            assert!(announced.is_empty(), "{name} is not mended");
        }
        let (_, problems) = parse(&Source::new(name.as_str(), text.as_str()));
        for problem in &problems {
            let told = format!("{} line {} \"{}\"", problem.rule.code, problem.place.line(), problem.place.text());
            match announced.iter().position(|line| *line == told) {
                Some(at) => drop(announced.remove(at)),
                None => writeln!(wrong, "{name}: not announced: #! {told}\n    {}", problem.message).unwrap(),
            }
        }
        for line in announced {
            writeln!(wrong, "{name}: not told: {line}").unwrap();
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn every_code_has_a_case_and_a_near_miss() {
    let cases = cases();
    let mut codes = BTreeSet::new();
    for rule in rules() {
        assert!(codes.insert(rule.code), "two rules have the code {}", rule.code);
        if rule.code == LAYOUT_CHANGES.code {
            // No playbook is known that raises it: it stands between a fault of the program and the user's file.
            continue;
        }
        let announces = format!("#! {} line ", rule.code);
        let text =
            |end: &str| cases.iter().find(|(name, _)| *name == format!("{}{end}", rule.code)).map(|(_, text)| text);
        let case = text(".playbook").unwrap_or_else(|| panic!("there is no {}.playbook", rule.code));
        assert!(case.contains(&announces), "{}.playbook does not show its code", rule.code);
        assert!(text(".ok.playbook").is_some(), "there is no {}.ok.playbook", rule.code);
    }
}

/// How each message reads: `tests/cases/language/told/CODE.snap`, to be read before it is accepted.
#[test]
fn every_code_is_told_in_words() {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(folder().join("told"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    for (name, text) in cases() {
        let Some(code) = name.strip_suffix(".playbook").filter(|code| !code.ends_with(".ok")) else { continue };
        let (_, mut problems) = parse(&Source::new(name.as_str(), text.as_str()));
        problems.retain(|problem| problem.rule.code == code || code == "all-at-once");
        if !problems.is_empty() {
            settings.bind(|| insta::assert_snapshot!(code, printer::told(&problems, 1, Look::PLAIN)));
        }
    }
}

/// The example of a rule breaks it, and the mended one breaks none.
#[test]
fn the_examples_of_the_rules_hold() {
    for rule in rules() {
        if matches!(rule.code, "layout-changes" | "long-line") {
            // One cannot be shown, the other would be two thousand characters of it.
            continue;
        }
        let codes = |example: &str| -> Vec<&str> {
            let source = Source::new("example.playbook", whole(rule.code, example));
            parse(&source).1.iter().map(|problem| problem.rule.code).collect()
        };
        assert_eq!(codes(rule.wrong), [rule.code], "the example of {}", rule.code);
        assert!(codes(rule.mended).is_empty(), "the mended example of {}: {:?}", rule.code, codes(rule.mended));
    }
}

/// An example in a playbook: a few lines go in a test, a heading behind a head.
fn whole(code: &str, example: &str) -> String {
    let first = example.split(' ').next().unwrap();
    match first {
        "playbook" => example.to_owned(),
        _ if code == "no-playbook-line" => example.to_owned(),
        "test" | "repair" | "adjust" | "escalate" => format!("playbook p: P\n{example}"),
        _ => format!("playbook p: P\ntest t: T\n{example}"),
    }
}

#[test]
fn broken_headings_open_their_blocks_under_their_names() {
    let text = fs::read_to_string(folder().join("all-at-once.playbook")).unwrap();
    let playbook = parse(&Source::new("all.playbook", text)).0.unwrap();
    let names: Vec<&str> = playbook.blocks.iter().map(|block| block.name.as_str()).collect();
    assert_eq!(names, ["rinse-look", "rinse-volts", "change", "bad"]);
    assert_eq!(playbook.head.name.as_str(), "cold-rinse");
    let unread: Vec<&str> = playbook.blocks[1].unread.iter().map(|word| word.as_str()).collect();
    assert_eq!(unread, ["measure", "good", "if", "cannot"]);
}

#[test]
fn nothing_makes_it_fall_over() {
    let line = "x: y".repeat(25_000);
    let nested = format!("playbook p: P\ntest t: T\ncalculate {}a{}", "(".repeat(900), ")".repeat(900));
    let calls = format!("playbook p: P\ntest t: T\ncalculate {}a", "f(".repeat(900));
    let minus = format!("playbook p: P\ntest t: T\ncalculate {}a", "- ".repeat(900));
    let plus = format!("playbook p: P\ntest t: T\ncalculate a{}", " + a".repeat(480));
    for text in [
        "",
        "\n",
        "\u{feff}",
        "#",
        ":",
        "\0",
        "playbook",
        "test",
        ",",
        "playbook :",
        &line,
        &nested,
        &calls,
        &minus,
        &plus,
    ] {
        let source = Source::new("odd.playbook", text);
        let (_, problems) = parse(&source);
        for problem in problems {
            assert!(problem.message.len() < 2_500, "{}", problem.message.len());
        }
    }
    // Any byte cut out of a good playbook, any line doubled, any word swapped: told or read, never a fall.
    let good = fs::read_to_string(folder().join("fryer-drops-out.playbook")).unwrap();
    let chars: Vec<char> = good.chars().collect();
    for at in (0..chars.len()).step_by(7) {
        for with in [None, Some('('), Some(','), Some(':'), Some('\0'), Some('−')] {
            let start = at.saturating_sub(60);
            let piece: String =
                chars[start..at].iter().copied().chain(with).chain(chars[at + 1..].iter().copied().take(200)).collect();
            drop(parse(&Source::new("cut.playbook", piece)));
        }
    }
}
