//! A file as it was read, and places in it.

use std::fmt;
use std::sync::{Arc, OnceLock};

/// A stretch of a source, in bytes; always on character borders.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// The stretch from `start` to `end`.
    #[must_use]
    pub fn new(start: usize, end: usize) -> Self {
        let clip = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        Self { start: clip(start), end: clip(end.max(start)) }
    }

    /// From the start of this one to the end of the other.
    #[must_use]
    pub fn to(self, other: Self) -> Self {
        Self { start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// The bytes as a range.
    #[must_use]
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }
}

/// A file as it was read: its path as the user knows it, its text, and where its lines start (looked up when first asked for: a
/// file with nothing wrong in it is never asked).
#[derive(Debug)]
pub struct Source {
    path: String,
    text: String,
    line_starts: OnceLock<Vec<u32>>,
}

impl Source {
    /// Takes a text. A byte-order mark is left out; lines may end in `\n` or `\r\n`.
    #[must_use]
    pub fn new(path: impl Into<String>, text: impl Into<String>) -> Arc<Self> {
        let mut text = text.into();
        if text.starts_with('\u{feff}') {
            text.drain(..'\u{feff}'.len_utf8());
        }
        Arc::new(Self { path: path.into(), text, line_starts: OnceLock::new() })
    }

    fn line_starts(&self) -> &[u32] {
        self.line_starts.get_or_init(|| {
            let ends = self.text.match_indices('\n');
            std::iter::once(0).chain(ends.map(|(at, _)| u32::try_from(at + 1).unwrap_or(u32::MAX))).collect()
        })
    }

    /// The path as the user knows it, with forward slashes.
    #[must_use]
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The whole text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The text of a span; empty where the span is not of this source.
    #[must_use]
    pub fn slice(&self, span: Span) -> &str {
        self.text.get(span.range()).unwrap_or("")
    }

    /// The line a byte is on, counted from 1.
    #[must_use]
    pub fn line_of(&self, at: u32) -> usize {
        self.line_starts().partition_point(|start| *start <= at).max(1)
    }

    /// The column of a byte on its line, in characters, counted from 1.
    #[must_use]
    pub fn column_of(&self, at: u32) -> usize {
        let line = self.line_span(self.line_of(at));
        self.slice(Span { start: line.start, end: at.clamp(line.start, line.end) }).chars().count() + 1
    }

    /// The span of a line (counted from 1), without its line end.
    #[must_use]
    pub fn line_span(&self, line: usize) -> Span {
        let start = self.line_starts().get(line.saturating_sub(1)).copied().unwrap_or(0);
        let end = self.line_starts().get(line).copied().map_or(self.text.len(), |next| next as usize - 1);
        let text = self.text.get(start as usize..end).unwrap_or("");
        Span::new(start as usize, start as usize + text.trim_end_matches('\r').len())
    }

    /// How many lines there are.
    #[must_use]
    pub fn line_count(&self) -> usize {
        self.line_starts().len()
    }
}

/// A place: a stretch of one source.
#[derive(Debug, Clone)]
pub struct Place {
    /// The file.
    pub source: Arc<Source>,
    /// The stretch of it.
    pub span: Span,
}

impl Place {
    /// The stretch `span` of `source`.
    #[must_use]
    pub fn new(source: &Arc<Source>, span: Span) -> Self {
        Self { source: Arc::clone(source), span }
    }

    /// The line, counted from 1.
    #[must_use]
    pub fn line(&self) -> usize {
        self.source.line_of(self.span.start)
    }

    /// The text at the place.
    #[must_use]
    pub fn text(&self) -> &str {
        self.source.slice(self.span)
    }

    /// The line it stands on, with other words in the place.
    #[must_use]
    pub fn line_with(&self, words: &str) -> String {
        let line = self.source.line_span(self.line());
        let before = self.source.slice(Span { start: line.start, end: self.span.start });
        let after = self.source.slice(Span { start: self.span.end.clamp(line.start, line.end), end: line.end });
        format!("{before}{words}{after}")
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, line {}", self.source.path(), self.line())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_columns() {
        let source = Source::new("a", "\u{feff}one\r\ntw°o\n\nlast");
        assert_eq!(source.line_count(), 4);
        assert_eq!(source.slice(source.line_span(1)), "one");
        assert_eq!(source.slice(source.line_span(2)), "tw°o");
        assert_eq!(source.slice(source.line_span(3)), "");
        assert_eq!(source.slice(source.line_span(4)), "last");
        let o = u32::try_from(source.text().rfind('o').unwrap()).unwrap();
        assert_eq!((source.line_of(o), source.column_of(o)), (2, 4));
    }
}
