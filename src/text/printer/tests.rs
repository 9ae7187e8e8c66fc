//! What a person sees of a problem, and what other programs get of it.

use super::*;
use crate::text::rule::{Level, Rule};
use crate::text::source::Source;
use crate::text::{json, sarif};
use serde_json::Value;
use std::sync::Arc;

static GAP: Rule = Rule {
    code: "gap-in-limits",
    level: Level::Error,
    says: "Every number falls on one line.",
    why: "A reading no line takes leaves the technician standing.",
    wrong: "good above 5 A go to x\nif below 3 A go to y",
    mended: "good above 5 A go to x\nif below 5 A go to y",
};

static LONG: Rule = Rule {
    code: "long-sentence",
    level: Level::Warning,
    says: "A step has at most 20 words.",
    why: "Long ones are misread.",
    wrong: "do Open the lid and close the lid.",
    mended: "do Open the lid.",
};

const NARROW: Look = Look { width: Some(60), underline: true };

fn problem(source: &Arc<Source>, rule: &'static Rule, words: &str, message: &str) -> Problem {
    let at = source.text().find(words).unwrap();
    Problem::new(rule, Place::new(source, Span::new(at, at + words.len())), message)
}

fn sample() -> Vec<Problem> {
    let source = Source::new(
        "playbooks/fryer.playbook",
        "test amps: Amps\n  good  above 5 A  go to next\n  if    below 3 A  go to pump\n\tdo    Open the °lid.\n",
    );
    let first = Place::new(&source, Span::new(0, 9));
    vec![
        problem(
            &source,
            &GAP,
            "below 3 A",
            "Nothing takes readings from 3 A to 5 A, which is where a worn pump would lie on this unit.",
        )
        .instead("  if    below 5 A  go to pump")
        .also(first, "the test"),
        problem(&source, &LONG, "Open the °lid.", "`Open the °lid.` has too many words.")
            .instead("\tdo    Open the lid.\n\tdo    Look in."),
    ]
}

#[test]
fn as_a_person_reads_it() {
    insta::assert_snapshot!(told(&sample(), 4, Look::PLAIN));
}

#[test]
fn on_a_terminal_the_place_is_underlined_and_sentences_are_broken() {
    let told = told(&sample(), 4, NARROW).replace('\u{1b}', "ESC");
    insta::assert_snapshot!(told);
}

#[test]
fn counts() {
    let problems = sample();
    assert_eq!(counted(&problems, 4), "1 error and 1 piece of advice in 1 file.");
    assert_eq!(counted(&problems[..1], 4), "1 error in 1 file.");
    assert_eq!(counted(&problems[1..], 1), "1 piece of advice in 1 file.");
    assert_eq!(counted(&[], 12), "Nothing wrong in 12 files.");
}

#[test]
fn long_lines_are_cut_round_the_place() {
    let long = format!("do {} HERE {}", "before ".repeat(20_000), "°after漢 ".repeat(20_000));
    let source = Source::new("a.playbook", long.as_str());
    for width in [1, 40, 80, 200] {
        let look = Look { width: Some(width), underline: false };
        let told = told(&[problem(&source, &GAP, "HERE", "It is here.")], 1, look);
        let line = told.lines().find(|line| line.starts_with("As found:")).unwrap();
        assert!(line.contains("HERE"), "{line}");
        assert!(line.contains('…') && line.ends_with('…'));
        let most = FOUND.len() + width.saturating_sub(FOUND.len()).clamp(NARROWEST_LINE, WIDEST_LINE);
        assert!(unicode_width::UnicodeWidthStr::width(line) <= most, "{width}: {line}");
    }
    // A place longer than the room shows its start.
    let look = Look { width: Some(50), underline: false };
    let words = long.trim_end();
    let told = told(&[problem(&source, &GAP, words, "All of it.")], 1, look);
    assert!(told.contains("As found:      do before before") && told.contains('…'), "{told}");
}

#[test]
fn a_line_that_fits_is_not_cut() {
    for length in 1..40 {
        let text = "x".repeat(length);
        for start in 0..length {
            let cut = quoted_line::cut(&text, start..start + 1, 40);
            assert_eq!(format!("{}{}{}", cut.before, cut.place, cut.after), text);
        }
    }
}

#[test]
fn nothing_in_a_file_steers_the_terminal() {
    let source = Source::new("a\u{1b}[2J.playbook", "do \u{1b}]0;owned\u{7} \u{202e}back\u{9b}31m\tend");
    let mut problem = problem(&source, &GAP, "end", "`\u{1b}[31m` is no word.");
    problem.instead = Some("do \u{1b}c".to_owned());
    let also = problem.place.clone();
    let told = told(&[problem.also(also, "the \u{1b}c other")], 1, Look::PLAIN);
    assert!(told.chars().all(|sign| sign == '\n' || !sign.is_control()) && !told.contains('\u{202e}'), "{told:?}");
    assert!(told.contains("    end"), "a tab is shown as blanks: {told}");
}

#[test]
fn places_at_the_edges_of_a_file() {
    for text in ["", "\n", "one\n", "one\r\ntwo"] {
        let source = Source::new("a.playbook", text);
        for start in 0..=text.len() {
            for end in start..=text.len() {
                let problem = Problem::new(&GAP, Place::new(&source, Span::new(start, end)), "Here.");
                for look in [Look::PLAIN, NARROW] {
                    let told = told(std::slice::from_ref(&problem), 1, look);
                    assert!(told.starts_with("Here.\na.playbook, line "), "{told}");
                }
                serde_json::from_str::<Value>(&json::told(std::slice::from_ref(&problem))).unwrap();
                serde_json::from_str::<Value>(&sarif::told(&[problem])).unwrap();
            }
        }
    }
}

#[test]
fn a_rule_explained() {
    insta::assert_snapshot!(explain(&LONG, true));
}

#[test]
fn as_json() {
    insta::assert_snapshot!(json::told(&sample()));
    assert_eq!(json::told(&[]), "[]\n");
}

/// A shape, the properties it must have, and all it may have with the shape of each.
type Shape = (&'static str, &'static [&'static str], &'static [(&'static str, &'static str)]);

/// Source: the OASIS schema of SARIF 2.1.0. `run` requires `tool`, `result` requires `message`, `columnKind` and the names of their
/// properties were read there; the other rows are from memory of the same schema, which allows no other properties.
const SHAPES: &[Shape] = &[
    ("log", &["version", "runs"], &[("$schema", "text"), ("version", "text"), ("runs", "[run]")]),
    ("run", &["tool"], &[("tool", "tool"), ("results", "[result]"), ("columnKind", "text")]),
    ("tool", &["driver"], &[("driver", "component")]),
    ("component", &["name"], &[("name", "text"), ("version", "text"), ("rules", "[descriptor]")]),
    (
        "descriptor",
        &["id"],
        &[
            ("id", "text"),
            ("shortDescription", "words"),
            ("fullDescription", "words"),
            ("help", "words"),
            ("defaultConfiguration", "configuration"),
        ],
    ),
    ("configuration", &[], &[("level", "level")]),
    ("words", &["text"], &[("text", "text")]),
    (
        "result",
        &["message"],
        &[
            ("ruleId", "text"),
            ("ruleIndex", "count"),
            ("level", "level"),
            ("message", "words"),
            ("locations", "[location]"),
            ("relatedLocations", "[location]"),
        ],
    ),
    ("location", &[], &[("id", "count"), ("message", "words"), ("physicalLocation", "physical")]),
    ("physical", &["artifactLocation"], &[("artifactLocation", "artifact"), ("region", "region")]),
    ("artifact", &[], &[("uri", "text")]),
    (
        "region",
        &[],
        &[("startLine", "from-1"), ("startColumn", "from-1"), ("endLine", "from-1"), ("endColumn", "from-1")],
    ),
];

fn check_shape(value: &Value, shape: &str) {
    match shape {
        "text" => assert!(value.is_string(), "{value}"),
        "level" => assert!(["none", "note", "warning", "error"].contains(&value.as_str().unwrap()), "{value}"),
        "count" => assert!(value.is_u64(), "{value}"),
        "from-1" => assert!(value.as_u64().unwrap() >= 1, "{value}"),
        _ if shape.starts_with('[') => {
            let of = shape.trim_matches(['[', ']']);
            value.as_array().unwrap().iter().for_each(|item| check_shape(item, of));
        }
        _ => {
            let (_, required, known) = SHAPES.iter().find(|(name, ..)| *name == shape).unwrap();
            let object = value.as_object().unwrap();
            required.iter().for_each(|key| assert!(object.contains_key(*key), "{shape} without {key}"));
            for (key, value) in object {
                let (_, of) =
                    known.iter().find(|(name, _)| name == key).unwrap_or_else(|| panic!("{shape} with {key}"));
                check_shape(value, of);
            }
        }
    }
}

#[test]
fn as_sarif() {
    let log: Value = serde_json::from_str(&sarif::told(&sample())).unwrap();
    check_shape(&log, "log");
    assert_eq!(log["version"], "2.1.0");
    let run = &log["runs"][0];
    assert_eq!(run["columnKind"], "unicodeCodePoints");
    for result in run["results"].as_array().unwrap() {
        let index = usize::try_from(result["ruleIndex"].as_u64().unwrap()).unwrap();
        assert_eq!(run["tool"]["driver"]["rules"][index]["id"], result["ruleId"]);
    }
    let region = &run["results"][1]["locations"][0]["physicalLocation"]["region"];
    // Columns count characters; the end is one past the last.
    assert_eq!((region["startColumn"].as_u64(), region["endColumn"].as_u64()), (Some(8), Some(22)));
    let odd = Source::new("my plays/ovén#1.playbook", "x");
    let log = sarif::told(&[Problem::new(&GAP, Place::new(&odd, Span::new(0, 1)), "Here.")]);
    assert!(log.contains("\"uri\": \"my%20plays/ov%C3%A9n%231.playbook\""), "{log}");
}
