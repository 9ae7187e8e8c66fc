//! Sheets with what is wrong with them written into them.
//!
//! A line `#! CODE LINE "WORDS"` in a case says that a problem of that code stands on that line of the file, at exactly those words
//! (the first line of them). Problems that are not announced fail the case, and so do announced ones that are not told.

use ruleout::sheet::{declared, lock_out, meter, shop, state_lines};
use ruleout::text::problem::{Problem, tidy};
use ruleout::text::rule::Rule;
use ruleout::text::source::Source;
use ruleout::text::yaml;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

fn here(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn cases() -> Vec<(String, String)> {
    let mut found: Vec<PathBuf> =
        fs::read_dir(here("tests/cases/sheet")).unwrap().map(|entry| entry.unwrap().path()).collect();
    found.retain(|path| path.extension().is_some_and(|end| end == "yaml"));
    found.sort();
    let name = |path: &PathBuf| path.file_name().unwrap().to_string_lossy().into_owned();
    found.iter().map(|path| (name(path), fs::read_to_string(path).unwrap())).collect()
}

fn told(problem: &Problem) -> String {
    let words = problem.place.text().lines().next().unwrap_or("");
    format!("{} {} \"{}\"", problem.rule.code, problem.place.line(), words)
}

#[test]
fn every_case_tells_what_it_announces() {
    let mut wrong = String::new();
    let cases = cases();
    assert!(cases.len() > 5, "cases are missing");
    for (name, text) in cases {
        let mut announced: Vec<String> =
            text.lines().filter_map(|line| line.strip_prefix("#! ")).map(|line| line.trim().to_owned()).collect();
        let (_, mut problems) = shop::read(&Source::new(name.as_str(), text.as_str()));
        tidy(&mut problems);
        for problem in &problems {
            let told = told(problem);
            match announced.iter().position(|line| *line == told) {
                Some(at) => drop(announced.remove(at)),
                None => {
                    let instead = problem.instead.as_deref().unwrap_or("-");
                    writeln!(wrong, "{name}: not announced: {told}\n    {}\n    {instead}", problem.message).unwrap();
                }
            }
        }
        for line in announced {
            writeln!(wrong, "{name}: not told: {line}").unwrap();
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn the_shop_sheet_of_this_repository_is_good() {
    let text = fs::read_to_string(here("playbooks/shop.yaml")).unwrap();
    let (shop, problems) = shop::read(&Source::new("playbooks/shop.yaml", text));
    let told: Vec<String> = problems.iter().map(|problem| format!("{}: {}", told(problem), problem.message)).collect();
    assert!(told.is_empty(), "{told:#?}");
    assert!(!shop.name.is_empty() && shop.lock_out.len() > 5 && shop.call.len() > 2 && shop.table.len() > 4);
}

#[test]
fn the_shop_sheet_of_the_guide_is_good() {
    let guide = fs::read_to_string(here("grammar/guide.md")).unwrap();
    let section = guide.split("## The shop sheet").nth(1).unwrap();
    let sheet = section.split("```yaml\n").nth(1).unwrap().split("```").next().unwrap();
    let (shop, problems) = shop::read(&Source::new("shop.yaml", sheet));
    assert_eq!(problems.iter().map(told).collect::<Vec<_>>(), Vec::<String>::new());
    // It shows every line there is.
    assert!(
        shop.left.len() == 1 && shop.meter.functions.len() == 1 && shop.declared.len() == 1 && shop.call.len() == 2
    );
}

/// The rules a shop sheet can break.
fn rules() -> Vec<&'static Rule> {
    [
        yaml::RULES.as_slice(),
        declared::RULES.as_slice(),
        state_lines::RULES.as_slice(),
        lock_out::RULES.as_slice(),
        meter::RULES.as_slice(),
        shop::RULES.as_slice(),
    ]
    .concat()
}

#[test]
fn the_examples_of_every_rule_are_as_it_says() {
    let codes = |text: &str| -> Vec<&str> {
        shop::read(&Source::new("shop.yaml", text)).1.iter().map(|problem| problem.rule.code).collect()
    };
    for rule in rules() {
        // Forty states would fill the screen; this rule has a case of its own.
        if rule.code != "too-many-states" {
            assert_eq!(codes(rule.wrong), [rule.code], "the bad example of {}", rule.code);
        }
        assert_eq!(codes(rule.mended), Vec::<&str>::new(), "the mended example of {}", rule.code);
    }
}

#[test]
fn every_rule_has_a_case() {
    let announced: String = cases().into_iter().map(|(_, text)| text).collect();
    for rule in rules() {
        assert!(announced.contains(&format!("#! {} ", rule.code)), "no case announces {}", rule.code);
    }
}

#[test]
fn a_very_long_sheet_is_read_to_its_end() {
    // Ten million characters, wrong in every line.
    let mut text = String::from("call:\n");
    let mut lines = 0;
    while text.len() < 10_000_000 {
        writeln!(text, "  who-{lines}: the °lead # and {}", "others ".repeat(100)).unwrap();
        lines += 1;
    }
    let (_, problems) = shop::read(&Source::new("shop.yaml", text));
    assert_eq!(problems.len(), lines);
}
