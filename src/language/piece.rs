//! A piece of a line that knows where it stands. Between its words stand blanks alone (`plain_blanks`).

use super::grammar::Rule;
use super::syntax::Word;
use crate::text::source::Span;
use pest::iterators::Pair;
use std::borrow::Cow;

/// A piece of the text and the byte it starts at.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece<'s> {
    /// The text.
    pub text: &'s str,
    /// Where it starts in the file.
    pub start: usize,
}

/// Blanks, tabs and the blank that web pages put in to hold words together: what may stand between words in a file.
pub(super) fn is_blank(c: char) -> bool {
    matches!(c, ' ' | '\t' | '\u{a0}')
}

/// The text with blanks for tabs and for those of web pages, byte for byte, so that all places stay as they are.
pub(super) fn plain_blanks(text: &str) -> Cow<'_, str> {
    if text.contains('\t') || text.contains('\u{a0}') {
        Cow::Owned(text.replace('\t', " ").replace('\u{a0}', "  "))
    } else {
        Cow::Borrowed(text)
    }
}

impl<'s> Piece<'s> {
    /// The piece of `line` that was read as `pair`.
    pub fn read(line: Self, pair: &Pair<'s, Rule>) -> Self {
        Self { text: pair.as_str(), start: line.start + pair.as_span().start() }
    }

    /// Where it stands.
    pub fn span(self) -> Span {
        Span::new(self.start, self.start + self.text.len())
    }

    /// As a word of the tree.
    pub fn word(self) -> Word {
        Word { text: self.text.into(), span: self.span() }
    }

    /// The part from byte `from` to byte `to`, both counted from its own start.
    pub fn part(self, from: usize, to: usize) -> Self {
        Self { text: self.text.get(from..to).unwrap_or(""), start: self.start + from }
    }

    /// What is left from byte `from` on.
    pub fn rest(self, from: usize) -> Self {
        self.part(from, self.text.len())
    }

    /// Without outer blanks.
    pub fn trim(self) -> Self {
        let front = self.text.trim_start_matches(' ');
        let start = self.start + (self.text.len() - front.len());
        Self { text: front.trim_end_matches(' '), start }
    }

    /// Whether nothing is in it.
    pub fn is_empty(self) -> bool {
        self.text.is_empty()
    }

    /// The words between the blanks.
    pub fn words(self) -> Vec<Self> {
        let mut found = Vec::new();
        let mut left = self.trim();
        while !left.is_empty() {
            let (word, rest) = left.first_word();
            found.push(word);
            left = rest;
        }
        found
    }

    /// The first word and, without the blanks between, the rest.
    pub fn first_word(self) -> (Self, Self) {
        let piece = self.trim();
        let end = piece.text.find(' ').unwrap_or(piece.text.len());
        (piece.part(0, end), piece.rest(end).trim())
    }

    /// The entries between the commas, without outer blanks.
    pub fn entries(self) -> Vec<Self> {
        let mut found = Vec::new();
        let mut from = 0;
        for (at, _) in self.text.match_indices(',') {
            found.push(self.part(from, at).trim());
            from = at + 1;
        }
        found.push(self.rest(from).trim());
        found
    }

    /// What stands before and behind the byte `at`; the `width` bytes there are left out.
    pub fn split(self, at: usize, width: usize) -> (Self, Self) {
        (self.part(0, at).trim(), self.rest(at + width).trim())
    }

    /// From the start of this piece to the end of the other, taken from the line both are of.
    pub fn to(self, other: Self, line: Self) -> Self {
        let from = self.start.saturating_sub(line.start);
        line.part(from, (other.start + other.text.len()).saturating_sub(line.start))
    }
}
