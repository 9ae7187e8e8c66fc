//! What the parser stopped at, told in words of the shop: the likely slip, and the line to write instead.

use super::build::Stop;
use super::quote::{line_with_quotes, quoted};
use super::{CUT_SENTENCE, SHEET_LINE, YAML_MARK};
use crate::text::problem::Problem;
use crate::text::source::{Place, Source, Span};
use std::ops::Range;
use std::sync::Arc;

/// A line without its outer blanks and without a comment.
pub(super) fn bare_line(line: &str) -> &str {
    let line = line.trim();
    if line.starts_with('#') {
        return "";
    }
    line.find(" #").map_or(line, |at| line.get(..at).unwrap_or(line)).trim_end()
}

/// The slip behind a stop in a stretch of lines.
pub(super) fn told(source: &Arc<Source>, range: &Range<usize>, stop: &Stop) -> Problem {
    let last = range.end.saturating_sub(1).max(range.start);
    let at = stop.at.clamp(range.start, last);
    let here = source.line_of(u32::try_from(at).unwrap_or(u32::MAX));
    let first = source.line_of(u32::try_from(range.start).unwrap_or(u32::MAX));
    let end = source.line_of(u32::try_from(last).unwrap_or(u32::MAX));
    let slip = Slip { source, first, here, end, info: &stop.info };
    slip.tab()
        .or_else(|| slip.comment())
        .or_else(|| slip.quote())
        .or_else(|| slip.mark())
        .or_else(|| slip.bracket())
        .or_else(|| slip.colon())
        .or_else(|| slip.start())
        .unwrap_or_else(|| slip.askew())
}

struct Slip<'a> {
    source: &'a Arc<Source>,
    first: usize,
    here: usize,
    end: usize,
    info: &'a str,
}

impl Slip<'_> {
    fn line(&self, number: usize) -> (Span, &str) {
        let span = self.source.line_span(number);
        (span, self.source.slice(span))
    }

    /// The line's own text, without its indentation.
    fn body(&self, number: usize) -> Span {
        let (span, line) = self.line(number);
        let indent = line.len() - line.trim_start().len();
        let start = span.start as usize + indent;
        Span::new(start, start + line.trim().len())
    }

    fn problem(&self, span: Span, fact: impl Into<String>) -> Problem {
        Problem::new(&SHEET_LINE, Place::new(self.source, span), fact)
    }

    fn tab(&self) -> Option<Problem> {
        // The parser may stop a line or two behind the tab.
        (self.first..=self.here).rev().find_map(|number| tab_in_front(self.source, number))
    }

    /// A text over several lines, with a comment in between: the rest hangs in the air.
    fn comment(&self) -> Option<Problem> {
        if !self.info.contains("comment intercepting") {
            return None;
        }
        let (number, at) = (self.first..=self.here).rev().find_map(|n| Some((n, self.line(n).1.find(" #")?)))?;
        let (span, line) = self.line(number);
        let rest = if number < self.end { self.line(number + 1).1.trim() } else { "" };
        let fact = "At ` #` YAML ends the sentence; the rest is lost as a comment. Put the sentence in quotes.";
        let place = Span::new(span.start as usize + at + 1, span.end as usize);
        let mut problem = Problem::new(&CUT_SENTENCE, Place::new(self.source, place), fact);
        problem.instead = line_with_quotes(format!("{} {rest}", line.trim_end()).trim_end());
        Some(problem)
    }

    fn quote(&self) -> Option<Problem> {
        if !self.info.contains("quoted") {
            return None;
        }
        if self.info.contains("escape") || self.info.contains("hexadecimal") {
            let (_, line) = self.line(self.here);
            let problem = self.problem(
                self.body(self.here),
                "`\\` in double quotes has a meaning of its own in YAML. Use single quotes.",
            );
            let name = line.split_once('"').map(|(head, rest)| (head, rest.trim_end().trim_end_matches('"')));
            return Some(match name {
                Some((head, rest)) => problem.instead(format!("{head}'{}'", rest.replace('\'', "''"))),
                None => problem,
            });
        }
        // The line on which the quote opens.
        let (number, at) =
            (self.first..=self.end).find_map(|number| Some((number, opening_quote(self.line(number).1)?)))?;
        let (span, line) = self.line(number);
        let start = span.start as usize + at;
        let (head, text) = line.split_at_checked(at)?;
        let fact = if self.info.contains("trailing content") {
            "Words stand behind the closing quote. Put quotes round the whole text."
        } else {
            "A quote opens here and is never closed."
        };
        let bare = text.trim_end().trim_start_matches(['"', '\'']);
        let bare = if self.info.contains("trailing content") { text.trim_end() } else { bare };
        Some(self.problem(Span::new(start, span.end as usize), fact).instead(format!("{head}{}", quoted(bare))))
    }

    fn mark(&self) -> Option<Problem> {
        let marks = ["anchor", "alias", "tag", "TAG", "directive", "handle", "document start", "document end"];
        if !marks.iter().any(|word| self.info.contains(word)) {
            return None;
        }
        let fact =
            "`&`, `*`, `!` and `%` in front of a text have a meaning of their own in YAML. Put the text in quotes.";
        let problem = Problem::new(&YAML_MARK, Place::new(self.source, self.body(self.here)), fact);
        Some(match line_with_quotes(self.line(self.here).1) {
            Some(line) => problem.instead(line),
            None => problem,
        })
    }

    fn bracket(&self) -> Option<Problem> {
        let flow = ["flow", "bracket", "'}'", "']'"];
        if !flow.iter().any(|word| self.info.contains(word)) && !self.info.contains("eof") {
            return None;
        }
        let (number, at) = (self.first..=self.end).find_map(|number| {
            let line = self.line(number).1;
            let rest = line.find([':', '-']).map_or(0, |at| at + 1);
            let at = rest + line.get(rest..)?.find(['[', '{', ']', '}'])?;
            Some((number, at))
        })?;
        let (span, line) = self.line(number);
        let text = line.get(at..)?;
        let (open, close) = if text.starts_with(['{', '}']) { ('{', '}') } else { ('[', ']') };
        let place = Span::new(span.start as usize + at, span.end as usize);
        let opened = text.matches(open).count();
        let closed = text.matches(close).count();
        let fact = if opened > closed {
            format!("`{open}` opens here and is never closed by `{close}`.")
        } else if closed > opened {
            format!("`{close}` closes what was never opened. If it belongs to the text, put the text in quotes.")
        } else {
            format!(
                "What stands in `{open} {close}` can't be read: things in it are parted by commas, and nothing stands behind it."
            )
        };
        let problem = self.problem(place, fact);
        Some(if opened > closed { problem.instead(format!("{}{close}", line.trim_end())) } else { problem })
    }

    fn colon(&self) -> Option<Problem> {
        if !self.info.contains("mapping values") && !self.info.contains("':'") {
            return None;
        }
        let (_, line) = self.line(self.here);
        let (name, rest) = line.split_once(": ")?;
        if rest.contains(": ") || rest.trim_end().ends_with(':') || name.trim_start().starts_with("- ") {
            let problem = self.problem(
                self.body(self.here),
                "A second colon with a blank behind it stands in this text. Put the text in quotes.",
            );
            return Some(match line_with_quotes(line) {
                Some(line) => problem.instead(line),
                None => problem,
            });
        }
        if self.here > self.first {
            let fact = "This line is indented under a line that has its text already. Move it out, or take the text above away.";
            let above = self.line(self.here - 1).1;
            let indent = above.get(..above.len() - above.trim_start().len()).unwrap_or("");
            return Some(self.problem(self.body(self.here), fact).instead(format!("{indent}{}", line.trim())));
        }
        None
    }

    fn start(&self) -> Option<Problem> {
        if !self.info.contains("unexpected character") && !self.info.contains("plain scalar") {
            return None;
        }
        let (_, line) = self.line(self.here);
        let fact = "In YAML a text can't start with this sign. Put the text in quotes.";
        let problem = self.problem(self.body(self.here), fact);
        Some(match line_with_quotes(line) {
            Some(line) => problem.instead(line),
            None => problem,
        })
    }

    fn askew(&self) -> Problem {
        let fact = "This line does not fit in here. It is `NAME: TEXT`, `NAME:` with lines under it or `- TEXT`, indented like the lines it belongs with.";
        self.problem(self.body(self.here), fact)
    }
}

/// A line that is indented with a tab.
pub(super) fn tab_in_front(source: &Arc<Source>, number: usize) -> Option<Problem> {
    let span = source.line_span(number);
    let line = source.slice(span);
    let body = line.trim_start_matches([' ', '\t']);
    let indent = line.get(..line.len() - body.len())?;
    let tab = indent.find('\t').filter(|_| !body.is_empty() && !body.starts_with('#'))?;
    let start = span.start as usize;
    let place = Place::new(source, Span::new(start + tab, start + indent.len()));
    let problem = Problem::new(&SHEET_LINE, place, "A tab stands in front of this line. Use blanks.");
    Some(problem.instead(format!("{}{body}", indent.replace('\t', "  "))))
}

/// Where a quoted text starts on a line: behind the name or the dash.
fn opening_quote(line: &str) -> Option<usize> {
    let body = line.trim_start();
    let indent = line.len() - body.len();
    let head = if body.starts_with("- ") { 2 } else { body.find(": ").map_or(0, |at| at + 2) };
    let rest = body.get(head..)?;
    let at = head + rest.len() - rest.trim_start().len();
    body.get(at..)?.starts_with(['"', '\'']).then_some(indent + at)
}
