//! Problems for other programs: a list of objects, one a line, with keys of our own that stay.
//!
//! | key | is |
//! |---|---|
//! | `code` `kind` | the rule; `error` or `warning` |
//! | `file` `line` `column` `end-line` `end-column` | where, counted from 1 in characters; the end is one past the last |
//! | `says` | the fact |
//! | `found` `instead` | the line as found; what to write instead, or null |
//! | `such-as` | a right line of some other playbook, or null |
//! | `also` | other places that belong to it, each with `what` it is |

use super::problem::Problem;
use super::source::{Place, Span};
use serde::Serialize;

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct Told<'a> {
    code: &'a str,
    kind: &'a str,
    #[serde(flatten)]
    at: At<'a>,
    says: &'a str,
    found: &'a str,
    instead: Option<&'a str>,
    such_as: Option<&'a str>,
    also: Vec<Also<'a>>,
}

#[derive(Serialize)]
struct Also<'a> {
    what: &'a str,
    #[serde(flatten)]
    at: At<'a>,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct At<'a> {
    file: &'a str,
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
}

impl<'a> At<'a> {
    fn of(place: &'a Place) -> Self {
        let (source, Span { start, end }) = (&place.source, place.span);
        let (line, column) = (source.line_of(start), source.column_of(start));
        let (end_line, end_column) = (source.line_of(end), source.column_of(end));
        Self { file: source.path(), line, column, end_line, end_column }
    }
}

/// The problems as JSON.
#[must_use]
pub fn told(problems: &[Problem]) -> String {
    let rows: Vec<String> = problems
        .iter()
        .filter_map(|problem| {
            let place = &problem.place;
            let row = Told {
                code: problem.rule.code,
                kind: if problem.is_error() { "error" } else { "warning" },
                at: At::of(place),
                says: &problem.message,
                found: place.source.slice(place.source.line_span(place.line())),
                instead: problem.instead.as_deref(),
                such_as: problem.like,
                also: problem.also.iter().map(|(place, what)| Also { what, at: At::of(place) }).collect(),
            };
            // Text and numbers only: there is nothing in it that JSON could not say.
            serde_json::to_string(&row).ok()
        })
        .collect();
    if rows.is_empty() { "[]\n".to_owned() } else { format!("[\n{}\n]\n", rows.join(",\n")) }
}
