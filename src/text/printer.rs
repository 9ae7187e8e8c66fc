//! Problems as a person reads them.
//!
//! 1. The fact, in a sentence.
//! 2. Where: file and line.
//! 3. The line as found, the place in it underlined where the terminal can; then the line to write instead, or one such as it.
//! 4. What else belongs to it, and the words that explain the rule.
//!
//! At the end of all one line counts them. Text from files is made safe first: a sign that could steer a terminal is shown as `�`.

use super::english::count;
use super::problem::Problem;
use super::quoted_line;
use super::source::{Place, Span};
use anstyle::Style;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// What the terminal can do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Columns; `None` where nobody watches (a file, a pipe): then sentences are not broken.
    pub width: Option<usize>,
    /// Whether the place is underlined.
    pub underline: bool,
}

impl Look {
    /// For files and pipes.
    pub const PLAIN: Self = Self { width: None, underline: false };
}

/// Room for a quoted line where nobody watches, and the least of it anywhere. Numbers of ours.
const WIDEST_LINE: usize = 160;
const NARROWEST_LINE: usize = 20;
/// No line of a playbook is longer, in characters.
const LONGEST_LINE: usize = 2_000;

const FOUND: &str = "As found:      ";
const INSTEAD: &str = "Write instead: ";
const LIKE: &str = "Such as:       ";

/// All problems, each with a blank line behind it, and the count.
#[must_use]
pub fn told(problems: &[Problem], files: usize, look: Look) -> String {
    let mut out = String::new();
    for problem in problems {
        one(&mut out, problem, look);
        out.push('\n');
    }
    out.push_str(&counted(problems, files));
    out.push('\n');
    out
}

/// What is no error is advice: a warning is what a card says of a hazard.
fn advice(pieces: usize) -> String {
    format!("{} of advice", count(pieces, "piece"))
}

/// "2 errors and 1 piece of advice in 3 files."; of nothing wrong: "Nothing wrong in 12 files."
///
/// `files` is how many were looked at; counted are those with something wrong.
#[must_use]
pub fn counted(problems: &[Problem], files: usize) -> String {
    let errors = problems.iter().filter(|problem| problem.is_error()).count();
    let advised = problems.len() - errors;
    let what = match (errors, advised) {
        (0, 0) => return format!("Nothing wrong in {}.", count(files, "file")),
        (_, 0) => count(errors, "error"),
        (0, _) => advice(advised),
        _ => format!("{} and {}", count(errors, "error"), advice(advised)),
    };
    let bad: BTreeSet<&str> = problems.iter().map(|problem| problem.place.source.path()).collect();
    format!("{what} in {}.", count(bad.len(), "file"))
}

fn one(out: &mut String, problem: &Problem, look: Look) {
    sentence(out, &problem.message, look);
    let place = &problem.place;
    line(out, &quoted_line::safe(&place.to_string()));
    let room = look.width.unwrap_or(WIDEST_LINE).saturating_sub(FOUND.len()).clamp(NARROWEST_LINE, WIDEST_LINE);
    let found = place.source.slice(place.source.line_span(place.line()));
    let indent = shared_indent(found, problem.instead.as_deref());
    if !found.trim().is_empty() {
        line(out, &format!("{FOUND}{}", quoted(place, indent, room, look)));
    }
    for (at, text) in problem.instead.iter().flat_map(|instead| instead.lines()).enumerate() {
        let label = if at == 0 { INSTEAD.to_owned() } else { " ".repeat(INSTEAD.len()) };
        let text = text.get(indent..).unwrap_or(text);
        // What is to be typed is never cut, unless it is longer than any line may be.
        let whole = text.len() <= LONGEST_LINE;
        let text = if whole { text.to_owned() } else { text.chars().take(WIDEST_LINE).chain(['…']).collect() };
        line(out, &format!("{label}{}", quoted_line::safe(&text)));
    }
    if let Some(like) = problem.like {
        line(out, &format!("{LIKE}{like}"));
    }
    for (also, what) in &problem.also {
        let here = also.source.path() == place.source.path();
        let at = if here { format!("line {}", also.line()) } else { also.to_string() };
        let label = quoted_line::safe(&format!("{} ({at}): ", capital(what)));
        let found = also.source.slice(also.source.line_span(also.line()));
        let room = room.saturating_add(FOUND.len()).saturating_sub(label.chars().count()).max(NARROWEST_LINE);
        line(out, &format!("{label}{}", quoted(also, shared_indent(found, None), room, look)));
    }
    let why = if problem.is_error() { "Why" } else { "Advice; why" };
    line(out, &format!("{why}: ruleout rule {}", problem.rule.code));
}

fn line(out: &mut String, text: &str) {
    out.push_str(text.trim_end());
    out.push('\n');
}

fn sentence(out: &mut String, text: &str, look: Look) {
    let text = quoted_line::safe(text);
    match look.width {
        None => line(out, &text),
        Some(width) => {
            let options = textwrap::Options::new(width.max(NARROWEST_LINE))
                .word_splitter(textwrap::WordSplitter::NoHyphenation)
                .word_separator(textwrap::WordSeparator::AsciiSpace)
                .break_words(false);
            textwrap::wrap(&text, options).iter().for_each(|part| line(out, part));
        }
    }
}

/// The line of a place, without `indent` bytes in front, cut to `room` columns, the place underlined.
fn quoted(place: &Place, indent: usize, room: usize, look: Look) -> String {
    let span = place.source.line_span(place.line());
    let start = span.start as usize + indent;
    let text = place.source.slice(Span::new(start, span.end as usize));
    let end = (place.span.end.min(span.end) as usize).saturating_sub(start).min(text.len());
    let from = (place.span.start as usize).saturating_sub(start).min(end);
    let cut = quoted_line::cut(text, from..end, room);
    if !look.underline || cut.place.is_empty() {
        return format!("{}{}{}", cut.before, cut.place, cut.after);
    }
    let style = Style::new().underline();
    format!("{}{style}{}{style:#}{}", cut.before, cut.place, cut.after)
}

/// How many blanks both the line as found and the lines to write start with.
fn shared_indent(found: &str, instead: Option<&str>) -> usize {
    let blanks = |line: &str| line.len() - line.trim_start_matches(' ').len();
    let lines = instead.into_iter().flat_map(str::lines).filter(|line| !line.trim().is_empty());
    let found = Some(found).filter(|line| !line.trim().is_empty());
    found.into_iter().chain(lines).map(blanks).min().unwrap_or(0)
}

fn capital(text: &str) -> String {
    let mut signs = text.chars();
    signs.next().map_or(String::new(), |first| first.to_uppercase().chain(signs).collect())
}

/// What `ruleout rule CODE` prints: the rule, why, a bad and a mended example; of advice, how to turn it down where a playbook can.
#[must_use]
pub fn explain(rule: &super::rule::Rule, in_a_playbook: bool) -> String {
    let indented = |text: &str| text.lines().map(|line| format!("  {line}\n")).collect::<String>();
    let mut out = format!(
        "{}\n\n{}\n\n{}\n\nNot so:\n{}\nSo:\n{}",
        rule.code,
        rule.says,
        rule.why,
        indented(rule.wrong),
        indented(rule.mended)
    );
    if rule.level == super::rule::Level::Warning && !in_a_playbook {
        out.push_str("\nThis is advice on a sheet or a folder, which has no `accept` line: it goes once it is done.\n");
    } else if rule.level == super::rule::Level::Warning {
        let _ = write!(
            out,
            "\nThis is advice. Where it does not fit a playbook, write into the block it is about:\n  accept {}: why it does not fit\n",
            rule.code
        );
    }
    out
}

#[cfg(test)]
mod tests;
