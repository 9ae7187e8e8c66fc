//! Headings: `test NAME: TITLE`. A broken one still opens its block, under what is legible of its name.

use super::fill_in;
use super::first_word::{FirstWord, Key};
use super::names;
use super::piece::Piece;
use super::reader::Reader;
use super::strays;
use super::syntax::{Block, BlockKind, Word};
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;

/// A heading without its name, its colon or its title.
pub static HEADING_FORM: Rule = Rule {
    code: "heading-form",
    level: Level::Error,
    says: "A heading is its word, a name, a colon and a title.",
    why: "The name is what other lines go to; the title is what the technician reads.",
    wrong: "test line-volts",
    mended: "test line-volts: Volts at the disconnect",
};

/// Opens the block of a heading line; a broken heading is told and opens it all the same.
pub(super) fn open<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord, kind: BlockKind) -> Block {
    let what = row.word;
    let block =
        |name: Word, title: Word| Block { kind, name, title, span: line.span(), lines: Vec::new(), unread: Vec::new() };
    let (first, rest) = line.first_word();
    if first.text == what
        && let Some((name, title)) = name_and_title(rest)
    {
        let name = names::declared(reader, line, name, strays::article(kind));
        return block(name, title.word());
    }
    let (name, title, colon) = match rest.text.find(':') {
        Some(at) => {
            let (name, title) = rest.split(at, 1);
            (name, title, true)
        }
        // "escalate The supply is wrong" is a title without its name.
        None if rest.text.starts_with(|c: char| c.is_uppercase()) && rest.text.contains(' ') => {
            (rest.part(0, 0), rest, false)
        }
        None => {
            let (name, title) = rest.first_word();
            (name, title, false)
        }
    };
    let (message, instead) = match (name.is_empty(), title.is_empty(), colon) {
        (true, true, _) => (format!("This `{what}` has no name and no title."), None),
        (true, false, _) => {
            let slug = names::slug(title.text);
            let small =
                |word: &&str| !matches!(*word, "the" | "a" | "an" | "is" | "are" | "of" | "at" | "in" | "on" | "to");
            let short: Vec<&str> = slug.split('-').filter(small).take(3).collect();
            (format!("This `{what}` has no name."), Some(format!("{what} {}: {}", short.join("-"), title.text)))
        }
        (false, true, _) => {
            let better = format!("{what} {}: {}", name.text, fill_in::TITLE);
            (format!("The {what} `{}` has no title.", name.text), Some(better))
        }
        (false, false, _) => (
            format!("Between the name `{}` and the title goes a colon.", name.text),
            Some(format!("{what} {}: {}", name.text, title.text)),
        ),
    };
    reader.refuse_or_like(&HEADING_FORM, line.span(), message, instead, row);
    let legible = names::slug(name.text);
    block(Word { text: legible.into(), span: name.span() }, title.word())
}

/// The name and the title, where both are there: what stands before and behind the first colon. Every fifth line of a playbook is a
/// heading, so it is cut here; the grammar reads it the same, and a test holds the two together.
pub(super) fn name_and_title(rest: Piece<'_>) -> Option<(Piece<'_>, Piece<'_>)> {
    let (name, title) = rest.split(rest.text.find(':')?, 1);
    (!name.is_empty() && !title.is_empty()).then_some((name, title))
}

/// The head of a file that has no `playbook` line.
pub(super) fn headless() -> Block {
    let nothing = || Word { text: "".into(), span: Span::default() };
    Block {
        kind: BlockKind::Head,
        name: nothing(),
        title: nothing(),
        span: Span::default(),
        lines: Vec::new(),
        unread: Vec::new(),
    }
}

/// Whether a line that starts with a heading's word is a heading at all, and not the second line of a pasted sentence:
/// "test the meter on a known source" under a `do` line.
pub(super) fn is_heading(line: Piece<'_>, row: &FirstWord, goes_on: bool) -> bool {
    if !goes_on || row.key == Key::Playbook || line.text.contains(':') {
        return true;
    }
    let words = line.words();
    words.len() < 4 || words.get(2).is_none_or(|word| word.text.starts_with(|c: char| c.is_uppercase()))
}
