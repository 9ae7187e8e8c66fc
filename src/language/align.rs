//! Lays a playbook out: one form for every line, words in columns, blocks apart; comments and the author's groups of lines stay.
//!
//! 1. The playbook is read; one with errors is left as it is.
//! 2. Every line is printed in its one form (`print`), comments as they are.
//! 3. Lines of the head start at the margin, lines of a block two blanks in; their words stand in one column, and the `go to` of
//!    the outcome lines of a block in another. Between blocks stands one blank line, within a block at most one.
//! 4. The result is read again. Where it does not say the same, or would be laid out in another way again, nothing is handed out.

use super::blocks::parse;
use super::print::{self, Printed};
use super::same::first_difference;
use super::syntax::{BlockKind, Playbook};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::{Place, Source, Span};
use std::collections::BTreeMap;
use std::sync::Arc;
use unicode_width::UnicodeWidthStr;

/// A layout that would change what a line says.
pub static LAYOUT_CHANGES: Rule = Rule {
    code: "layout-changes",
    level: Level::Error,
    says: "Laying a playbook out never changes what it says.",
    why: "What was laid out is read again and compared, line for line. A line that would come out different stops it, and the file stays as it was.",
    wrong: "(a fault of the program: no line is known that does it)",
    mended: "do Open the front panel.",
};

/// Column of the words in the head: the longest first word and two blanks.
const HEAD_COLUMN: usize = 9;
/// Width of the first words in a block: the longest and two blanks.
const BLOCK_COLUMN: usize = 11;

/// The playbook laid out, with line ends as on all machines but Windows.
///
/// # Errors
/// What is wrong with the playbook, where it has errors; then it is better left as it is.
pub fn align(source: &Arc<Source>) -> Result<String, Vec<Problem>> {
    let (playbook, problems) = parse(source);
    let playbook = match playbook {
        Some(playbook) if problems.is_empty() => playbook,
        _ => return Err(problems),
    };
    let text = lay_out(&playbook);
    let again = Source::new(source.path(), text.as_str());
    let (read, slips) = parse(&again);
    let changed = match (&read, slips.first()) {
        (Some(read), None) => first_difference(&playbook, read),
        _ => Some(Span::default()),
    };
    let settled = read.as_ref().is_some_and(|read| lay_out(read) == text);
    if changed.is_some() || !settled {
        let place = Place::new(source, changed.unwrap_or_default());
        let message = "This line would say something else once it is laid out, so the playbook is left as it is.";
        return Err(vec![Problem::new(&LAYOUT_CHANGES, place, message)]);
    }
    Ok(text)
}

/// One line of the file.
enum Element<'p> {
    Blank,
    Comment(&'p str),
    Heading(String),
    /// With the number of its block; the head is 0.
    Line(usize, Printed),
}

fn lay_out(playbook: &Playbook) -> String {
    let elements = elements(playbook);
    let columns = go_to_columns(&elements);
    let mut text = String::with_capacity(playbook.source.text().len() + 256);
    let mut block = 0;
    let mut at = 0;
    while let Some(element) = elements.get(at) {
        let before = at.checked_sub(1).and_then(|at| elements.get(at));
        match element {
            Element::Heading(heading) => {
                if matches!(before, Some(Element::Heading(_) | Element::Line(..))) {
                    text.push('\n');
                }
                text.push_str(heading);
                text.push('\n');
                at += 1;
            }
            Element::Line(of, line) => {
                block = *of;
                put_line(&mut text, *of, line, columns.get(of).copied().unwrap_or(0));
                at += 1;
            }
            Element::Blank | Element::Comment(_) => {
                let says = |at: &usize| matches!(elements.get(*at), Some(Element::Heading(_) | Element::Line(..)));
                let end = (at..elements.len()).find(says).unwrap_or(elements.len());
                put_run(&mut text, elements.get(at..end).unwrap_or_default(), before, elements.get(end), block);
                at = end;
            }
        }
    }
    text
}

/// The lines of the file in order, each as what it is.
fn elements(playbook: &Playbook) -> Vec<Element<'_>> {
    let source = &playbook.source;
    let mut said = BTreeMap::new();
    for (number, block) in std::iter::once(&playbook.head).chain(&playbook.blocks).enumerate() {
        let heading = format!("{} {}: {}", block.kind.keyword(), block.name.text, block.title.text);
        said.insert(block.span.start, Element::Heading(heading));
        let number = if block.kind == BlockKind::Head { 0 } else { number };
        for line in &block.lines {
            said.insert(line.span.start, Element::Line(number, print::line(source, &line.says)));
        }
    }
    let mut elements = Vec::with_capacity(source.line_count());
    for number in 1..=source.line_count() {
        let span = source.line_span(number);
        let raw = source.slice(span);
        let line = raw.trim_matches(super::piece::is_blank);
        if line.is_empty() {
            elements.push(Element::Blank);
        } else if line.starts_with('#') {
            elements.push(Element::Comment(line));
        } else {
            let indent = raw.len() - raw.trim_start_matches(super::piece::is_blank).len();
            let start = span.start + u32::try_from(indent).unwrap_or(u32::MAX);
            elements.extend(said.remove(&start));
        }
    }
    elements
}

/// For each block the column its `go to` stand in: behind the longest limit or answer, and two blanks.
fn go_to_columns(elements: &[Element<'_>]) -> BTreeMap<usize, usize> {
    let mut columns = BTreeMap::new();
    for element in elements {
        if let Element::Line(block, Printed { body, goes: Some(_), .. }) = element {
            let column = columns.entry(*block).or_insert(0);
            *column = (*column).max(body.width() + 2);
        }
    }
    columns
}

fn put_line(text: &mut String, block: usize, line: &Printed, go_to: usize) {
    let (indent, column) = if block == 0 { ("", HEAD_COLUMN) } else { ("  ", BLOCK_COLUMN) };
    text.push_str(indent);
    text.push_str(line.keyword);
    put_blanks(text, column.saturating_sub(line.keyword.len()).max(1));
    text.push_str(&line.body);
    if let Some(goes) = &line.goes {
        put_blanks(text, go_to.saturating_sub(line.body.width()).max(1));
        text.push_str(goes);
    }
    text.push('\n');
}

fn put_blanks(text: &mut String, count: usize) {
    text.extend(std::iter::repeat_n(' ', count));
}

/// Comments and blank lines between `before` and `next`; `block` is the number of the block `before` is of.
fn put_run(
    text: &mut String,
    run: &[Element<'_>],
    before: Option<&Element<'_>>,
    next: Option<&Element<'_>>,
    block: usize,
) {
    let within = matches!(next, Some(Element::Line(..)));
    // Before a heading, a comment behind a blank line belongs to the heading; where there is no blank line, all of them do.
    let first_blank = run.iter().position(|element| matches!(element, Element::Blank));
    let own = match (within, first_blank, next) {
        (true, ..) | (false, None, None) => run.len(),
        (false, Some(at), _) => at,
        (false, None, Some(_)) => 0,
    };
    let number = if let Some(Element::Line(of, _)) = next { *of } else { block };
    let indent = if number == 0 { "" } else { "  " };
    let mut blank = false;
    let mut put = false;
    for (at, element) in run.iter().enumerate() {
        blank |= at == own && before.is_some();
        match element {
            Element::Comment(comment) => {
                if std::mem::take(&mut blank) {
                    text.push('\n');
                }
                put = true;
                text.push_str(if at < own { indent } else { "" });
                text.push_str(comment);
                text.push('\n');
            }
            // No blank line at the start of the file, and none between a heading and its block.
            _ => blank |= put || matches!(before, Some(Element::Line(..))),
        }
    }
    blank |= own == run.len() && before.is_some() && matches!(next, Some(Element::Heading(_)));
    if blank && next.is_some() {
        text.push('\n');
    }
}
