//! Reading on past what the parser stops at: the text is cut at its own lines and each piece is read by itself.
//!
//! 1. A piece that can be read is kept.
//! 2. Else it is cut where its outermost lines start, and each part is read alone; the good parts are joined again.
//! 3. A part of one outermost line that says `NAME:` and no more: what stands under it is read the same way.
//! 4. What is left is a slip: told, and broken in the tree, so that nothing is said to be missing there.

use super::build::{build, without_doubles};
use super::slips;
use super::tree::{Entry, Kind, Node, Text};
use super::{SHEET_LINE, slips::bare_line};
use crate::text::problem::Problem;
use crate::text::source::{Place, Source, Span};
use std::ops::Range;
use std::sync::Arc;

/// How deep pieces are cut; sheets nest six deep.
const DEEPEST_CUT: usize = 8;

/// Reads what can be read of a stretch of whole lines.
pub(super) fn salvage(source: &Arc<Source>, range: Range<usize>) -> (Node, Vec<Problem>) {
    let mut work = Salvage { source, problems: Vec::new() };
    let node = work.read(range, 0);
    (node, work.problems)
}

struct Salvage<'s> {
    source: &'s Arc<Source>,
    problems: Vec<Problem>,
}

impl Salvage<'_> {
    fn read(&mut self, range: Range<usize>, depth: usize) -> Node {
        let span = Span::new(range.start, range.end);
        let stop = match build(self.source, range.clone()) {
            Ok((node, problems)) => {
                self.problems.extend(problems);
                return node;
            }
            Err(stop) => stop,
        };
        let starts = self.starts(&range);
        if depth >= DEEPEST_CUT || starts.is_empty() {
            self.problems.push(slips::told(self.source, &range, &stop));
            return Node::broken(span);
        }
        if let [start] = starts[..]
            && start == range.start
        {
            return self.one(range, depth, &stop);
        }
        let mut ends: Vec<usize> = starts.iter().copied().skip_while(|start| *start == range.start).collect();
        ends.push(range.end);
        let mut from = range.start;
        let mut parts = Vec::with_capacity(ends.len());
        for end in ends {
            parts.push(self.read(from..end, depth + 1));
            from = end;
        }
        self.joined(span, parts)
    }

    /// A part with one outermost line.
    fn one(&mut self, range: Range<usize>, depth: usize, stop: &super::build::Stop) -> Node {
        let span = Span::new(range.start, range.end);
        let line = self.source.line_span(self.source.line_of(span.start));
        let body = (line.end as usize + 1).min(range.end)..range.end;
        let under =
            self.source.text().get(body.clone()).is_some_and(|text| text.lines().any(|l| !bare_line(l).is_empty()));
        let name = bare_line(self.source.slice(line)).strip_suffix(':').map(str::trim_end);
        let Some(name) = name.filter(|name| !name.is_empty() && !name.starts_with("- ")) else {
            self.problems.push(slips::told(self.source, &range, stop));
            return self.broken_entry(line, span);
        };
        let indent = self.source.slice(line).len() - self.source.slice(line).trim_start().len();
        let at = line.start as usize + indent;
        let key = Text { text: name.to_owned(), span: Span::new(at, at + name.len()) };
        if !under {
            self.problems.push(slips::told(self.source, &range, stop));
        }
        let value = if under { self.read(body, depth + 1) } else { Node::broken(span) };
        Node { span, braced: false, kind: Kind::Map(vec![Entry { key, value }]) }
    }

    /// A part that is lost, with its name if one can be seen: then it is not missing.
    fn broken_entry(&self, line: Span, span: Span) -> Node {
        let text = bare_line(self.source.slice(line));
        let Some((name, _)) = text.split_once(": ").filter(|(name, _)| !name.starts_with('-')) else {
            return Node::broken(span);
        };
        let key = Text { text: name.trim_end().to_owned(), span: line };
        Node { span, braced: false, kind: Kind::Map(vec![Entry { key, value: Node::broken(span) }]) }
    }

    /// Where the outermost lines start. A list may stand as far out as the name above it, so `-` counts only among its like.
    fn starts(&self, range: &Range<usize>) -> Vec<usize> {
        let text = self.source.text().get(range.clone()).unwrap_or("");
        let mut at = range.start;
        let mut lines: Vec<(usize, usize, bool)> = Vec::new();
        for line in text.split_inclusive('\n') {
            let bare = bare_line(line);
            if !bare.is_empty() {
                let indent = line.len() - line.trim_start_matches([' ', '\t']).len();
                lines.push((at, indent, bare.starts_with("- ") || bare == "-"));
            }
            at += line.len();
        }
        let outermost = lines.iter().map(|(_, indent, _)| *indent).min().unwrap_or(0);
        lines.retain(|(_, indent, _)| *indent == outermost);
        if lines.iter().any(|(_, _, dash)| !dash) {
            lines.retain(|(_, _, dash)| !dash);
        }
        lines.into_iter().map(|(at, _, _)| at).collect()
    }

    /// The parts as one: lines with lines, list with list.
    fn joined(&mut self, span: Span, parts: Vec<Node>) -> Node {
        let (mut entries, mut items) = (Vec::new(), Vec::new());
        for part in parts {
            match part.kind {
                Kind::Map(more) => entries.extend(more),
                Kind::List(more) => items.extend(more),
                Kind::Nothing | Kind::Broken => {}
                Kind::Text(..) => {
                    let fact = "This line has no name in front and no `-`.";
                    let place = Place::new(self.source, part.span);
                    let mut problem = Problem::new(&SHEET_LINE, place, fact);
                    if !items.is_empty() {
                        let item = format!("- {}", problem.place.text());
                        problem.instead = Some(problem.place.line_with(&item));
                    }
                    self.problems.push(problem);
                }
            }
        }
        let kind = if entries.is_empty() && items.is_empty() {
            Kind::Broken
        } else if entries.is_empty() {
            Kind::List(items)
        } else {
            if let Some(item) = items.first() {
                let fact = "A list stands here among lines with names.";
                self.problems.push(Problem::new(&SHEET_LINE, Place::new(self.source, item.span), fact));
            }
            Kind::Map(without_doubles(self.source, entries, &mut self.problems))
        };
        Node { span, braced: false, kind }
    }
}
