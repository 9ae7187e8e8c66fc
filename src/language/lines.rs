//! A file cut into the lines that say something, each with its first word.

use super::fill_in;
use super::first_word::{FirstWord, find};
use super::piece::Piece;
use super::reader::Reader;
use crate::text::rule::{Level, Rule};

/// A line nobody can read on a card.
pub static LONG_LINE: Rule = Rule {
    code: "long-line",
    level: Level::Error,
    says: "A line has at most 2,000 characters.",
    why: "A line is one thought on one card; a longer one is nearly always a file that was never a playbook.",
    wrong: "do (two thousand and more characters)",
    mended: "do Open the front panel.",
};

/// A character that cannot be seen.
pub static HIDDEN_CHARACTER: Rule = Rule {
    code: "hidden-character",
    level: Level::Error,
    says: "A line has no characters that cannot be seen.",
    why: "They come from damaged files and from copying, and can make a line read other than it looks.",
    wrong: "do Open the\u{200b} front panel.",
    mended: "do Open the front panel.",
};

/// Most characters in a line.
pub(super) const LONGEST_LINE: usize = 2_000;

/// A line that says something.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row<'s> {
    /// The line without outer blanks.
    pub piece: Piece<'s>,
    /// What its first word is; `None` where it is none.
    pub first: Option<&'static FirstWord>,
    /// Whether it was refused before its words were looked at.
    pub refused: bool,
    /// Whether the line above it says something too: no blank line and no comment between.
    pub adjoins: bool,
}

/// The lines that say something, in order; comments and blank lines are left out.
pub(super) fn split<'s>(reader: &mut Reader<'s>) -> Vec<Row<'s>> {
    let text = reader.text;
    let mut rows: Vec<Row<'s>> = Vec::with_capacity(text.len() / 48 + 1);
    let mut start = 0;
    let mut adjoins = false;
    let plain = is_plain(text);
    for raw in text.split('\n') {
        let piece = Piece { text: raw.strip_suffix('\r').unwrap_or(raw), start }.trim();
        start += raw.len() + 1;
        if piece.is_empty() || piece.text.starts_with('#') {
            adjoins = false;
            continue;
        }
        let refused = is_long_or_open(reader, piece) || !plain && has_hidden(reader, piece);
        let end = piece.text.find(' ').unwrap_or(piece.text.len());
        let first = piece.text.get(..end).and_then(find);
        rows.push(Row { piece, first, refused, adjoins });
        adjoins = true;
    }
    rows
}

/// Whether every character is one of ASCII that can be seen, or ends a line: most files, looked at many bytes at a time.
fn is_plain(text: &str) -> bool {
    let seen = |byte: &u8| matches!(byte, b' '..=b'~' | b'\n');
    text.as_bytes().chunks(64).all(|bytes| bytes.iter().fold(true, |plain, byte| plain & seen(byte)))
}

fn is_long_or_open(reader: &mut Reader<'_>, piece: Piece<'_>) -> bool {
    if piece.text.len() > LONGEST_LINE {
        let count = piece.text.chars().count();
        if count > LONGEST_LINE {
            let end = piece.text.char_indices().nth(60).map_or(piece.text.len(), |(at, _)| at);
            let message = format!("This line has {count} characters; a line has at most {LONGEST_LINE}.");
            reader.refuse(&LONG_LINE, piece.part(0, end).span(), message, None);
            return true;
        }
    }
    if let Some((at, word, what)) = fill_in::find(piece.text) {
        let message = format!("`{word}` was left in. Write {what}.");
        reader.refuse(&fill_in::NOT_FILLED_IN, piece.part(at, at + word.len()).span(), message, None);
        return true;
    }
    false
}

fn has_hidden(reader: &mut Reader<'_>, piece: Piece<'_>) -> bool {
    if is_plain(piece.text) {
        return false;
    }
    let Some((at, c)) = piece.text.char_indices().find(|(_, c)| is_hidden(*c)) else { return false };
    let message = format!("Here stands a character that cannot be seen (U+{:04X}).", u32::from(c));
    let better: String = piece.text.chars().filter(|c| !is_hidden(*c)).collect();
    let instead = piece.text.chars().filter(|c| is_hidden(*c)).count() < 10;
    reader.refuse(&HIDDEN_CHARACTER, piece.part(at, at + c.len_utf8()).span(), message, instead.then_some(better));
    true
}

/// Control characters, marks of no width, and marks that turn the direction of writing.
fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}' | '\u{ad}')
}
