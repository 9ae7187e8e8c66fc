//! Problems in SARIF 2.1.0, the exchange form of OASIS for what checkers find.
//! Source: OASIS, "Static Analysis Results Interchange Format (SARIF) Version 2.1.0".

use super::problem::Problem;
use super::rule::{Level, Rule};
use super::source::Place;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// The problems as one run; its rules are those that were broken, by code.
#[must_use]
pub fn told(problems: &[Problem]) -> String {
    let rules: BTreeMap<&str, &Rule> = problems.iter().map(|problem| (problem.rule.code, problem.rule)).collect();
    let codes: Vec<&str> = rules.keys().copied().collect();
    let results: Vec<Value> = problems.iter().map(|problem| result(problem, &codes)).collect();
    let log = json!({
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": {
                "name": env!("CARGO_PKG_NAME"),
                "version": env!("CARGO_PKG_VERSION"),
                "rules": rules.values().map(|rule| descriptor(rule)).collect::<Vec<_>>(),
            }},
            "columnKind": "unicodeCodePoints",
            "results": results,
        }],
    });
    format!("{log:#}\n")
}

fn level(rule: &Rule) -> &'static str {
    match rule.level {
        Level::Error => "error",
        Level::Warning => "warning",
    }
}

fn descriptor(rule: &Rule) -> Value {
    json!({
        "id": rule.code,
        "shortDescription": { "text": rule.says },
        "fullDescription": { "text": rule.why },
        "help": { "text": format!("Not so:\n{}\n\nSo:\n{}", rule.wrong, rule.mended) },
        "defaultConfiguration": { "level": level(rule) },
    })
}

fn result(problem: &Problem, codes: &[&str]) -> Value {
    let text = match (&problem.instead, problem.like) {
        (Some(instead), _) => format!("{}\nWrite instead:\n{instead}", problem.message),
        (None, Some(like)) => format!("{}\nSuch as:\n{like}", problem.message),
        (None, None) => problem.message.clone(),
    };
    let also = problem.also.iter().enumerate().map(
        |(at, (place, what))| json!({ "id": at + 1, "message": { "text": what }, "physicalLocation": physical(place) }),
    );
    json!({
        "ruleId": problem.rule.code,
        "ruleIndex": codes.iter().position(|code| *code == problem.rule.code),
        "level": level(problem.rule),
        "message": { "text": text },
        "locations": [{ "physicalLocation": physical(&problem.place) }],
        "relatedLocations": also.collect::<Vec<_>>(),
    })
}

fn physical(place: &Place) -> Value {
    let (source, span) = (&place.source, place.span);
    json!({
        "artifactLocation": { "uri": uri(source.path()) },
        "region": {
            "startLine": source.line_of(span.start),
            "startColumn": source.column_of(span.start),
            "endLine": source.line_of(span.end),
            "endColumn": source.column_of(span.end),
        },
    })
}

/// A path as a relative or absolute reference: what is no letter, digit or one of `-._~/` is written in percent.
/// Source: RFC 3986, section 2.
fn uri(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}
