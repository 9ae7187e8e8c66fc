//! The strict reader of sheets: YAML with places, and nothing lost in silence.
//!
//! 1. [`read`] hands the text to a YAML parser that marks places and builds a [`tree`] of text ([`build`]). A scalar keeps
//!    its text: `4.0` stays `4.0`, `on` stays `on`. Doubled names, marks (`&`, `*`, `!`) and a second document are refused.
//! 2. The parser stops at its first error. Then the text is cut at its own lines, `NAME:` by `NAME:`, each piece is read by
//!    itself, and the good ones are put together again ([`salvage`]): one slip hides nothing.
//! 3. What the parser says is told in words of the shop, with the line to write instead ([`slips`]).
//! 4. A [`reader::Reader`] takes the tree apart for a kind of sheet: fields, lists, names, sentences. Unknown names, empty
//!    values, the wrong shape, a sentence cut short by `{ , }` or ` #` become problems, all collected.

mod build;
mod quote;
pub mod reader;
mod salvage;
mod slips;
pub mod tree;

use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Source;
use std::sync::Arc;
use tree::Node;

/// Reads a sheet into a tree. What could not be read is a problem, and left out of the tree or in it as broken.
#[must_use]
pub fn read(source: &Arc<Source>) -> (Node, Vec<Problem>) {
    let whole = 0..source.text().len();
    let (node, mut problems) = match build::build(source, whole.clone()) {
        Ok(read) => read,
        Err(_) => salvage::salvage(source, whole),
    };
    // The parser lets some tabs through; then the next editor's tabs are as wide as it likes.
    if source.text().contains('\t') {
        problems.extend((1..=source.line_count()).filter_map(|line| slips::tab_in_front(source, line)));
    }
    (node, problems)
}

/// The rules of this room.
pub static RULES: [&Rule; 7] =
    [&SHEET_LINE, &DOUBLED_LINE, &UNKNOWN_LINE, &EMPTY_LINE, &WRONG_SHAPE, &CUT_SENTENCE, &YAML_MARK];

/// What a line of a sheet looks like.
pub static SHEET_LINE: Rule = Rule {
    code: "sheet-line",
    level: Level::Error,
    says: "A line of a sheet is `NAME: TEXT`, `NAME:` with lines under it, or `- TEXT`, indented with blanks.",
    why: "A line that stands askew belongs to nothing, or to the wrong thing.",
    wrong: "states:\n  covers:\n    to on: Turn the latch: closed.",
    mended: "states:\n  covers:\n    to on: \"Turn the latch: closed.\"",
};

/// One name, one line.
pub static DOUBLED_LINE: Rule = Rule {
    code: "doubled-line",
    level: Level::Error,
    says: "A name stands once under its heading.",
    why: "Of two lines with one name only one can count, and nobody could say which was meant.",
    wrong: "states:\n  covers:\n    to on: Cover on.\n    to on: Cover on, all screws.",
    mended: "states:\n  covers:\n    to on: Cover on, all screws.",
};

/// Only names the sheet knows.
pub static UNKNOWN_LINE: Rule = Rule {
    code: "unknown-sheet-line",
    level: Level::Error,
    says: "A sheet has only the lines the guide lists.",
    why: "A misspelled name would leave its line unread, and the machine without what it says.",
    wrong: "hand overs:\n  - Call the lead.",
    mended: "hand over:\n  - Call the lead.",
};

/// Every line says something.
pub static EMPTY_LINE: Rule = Rule {
    code: "empty-line",
    level: Level::Error,
    says: "Every line of a sheet says something behind its name.",
    why: "An empty line is a thing forgotten. What does not apply is left out.",
    wrong: "states:\n  covers:\n    to off: #3 screws stay in.",
    mended: "states:\n  covers:\n    to off: \"#3 screws stay in.\"",
};

/// Words, a list, or lines: each where it belongs.
pub static WRONG_SHAPE: Rule = Rule {
    code: "wrong-shape",
    level: Level::Error,
    says: "Each name takes what it takes: words, a list, or lines of its own.",
    why: "A list where a sentence is meant, or the other way round, can't be shown as one thing to do.",
    wrong: "call:\n  - the lead, by phone",
    mended: "call:\n  lead: the lead, by phone",
};

/// Sentences are read to their end.
pub static CUT_SENTENCE: Rule = Rule {
    code: "cut-sentence",
    level: Level::Error,
    says: "A sentence stands on a line of its own, not in braces; with ` #` in it, it stands in quotes.",
    why: "In braces YAML ends a sentence at its first comma, and at ` #` everywhere: half a safety instruction is lost without a word.",
    wrong: "hand over:\n  - Hang tag #3 on the handle.",
    mended: "hand over:\n  - \"Hang tag #3 on the handle.\"",
};

/// No marks, no second document.
pub static YAML_MARK: Rule = Rule {
    code: "yaml-mark",
    level: Level::Error,
    says: "A sheet has no `&`, `*` or `!` in front of a text, no `%` lines and no second part behind `---`.",
    why: "These make one line stand for another somewhere else, so that nobody can read the sheet as it stands.",
    wrong: "states:\n  covers:\n    to on: *usual",
    mended: "states:\n  covers:\n    to on: Put the covers back, all screws.",
};

#[cfg(test)]
mod tests;
