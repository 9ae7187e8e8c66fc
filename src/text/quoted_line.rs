//! One line of a file as a terminal can show it: nothing in it steers the terminal, and it fits.

use std::ops::Range;
use unicode_width::UnicodeWidthChar;

/// A line cut round a place. The parts follow each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cut {
    pub(super) before: String,
    pub(super) place: String,
    pub(super) after: String,
}

const LEFT_OUT: char = '…';
/// Columns a tab is shown as.
const TAB: &str = "    ";

/// The text with every sign that could steer a terminal or turn the reading direction shown as `�`, tabs as blanks.
pub(super) fn safe(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    text.chars().for_each(|sign| push(&mut out, sign));
    out
}

fn push(out: &mut String, sign: char) {
    match sign {
        '\t' => out.push_str(TAB),
        // Direction marks and isolates, line and paragraph separators (Unicode, general categories Cf, Zl, Zp, from memory).
        '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{61c}' => out.push('�'),
        sign if sign.is_control() => out.push('�'),
        sign => out.push(sign),
    }
}

fn width(sign: char) -> usize {
    if sign == '\t' { TAB.len() } else { sign.width().unwrap_or(1) }
}

/// The line round `place` (bytes), at most `room` columns wide: the place first, then what stands before and behind it in turn.
pub(super) fn cut(line: &str, place: Range<usize>, room: usize) -> Cut {
    let before = line.get(..place.start).unwrap_or("");
    let inside = line.get(place.clone()).unwrap_or("");
    let after = line.get(place.end..).unwrap_or("");
    // Two columns are kept for the signs that say something is left out; a short line needs neither.
    let all = |text: &str, most: usize| {
        text.chars()
            .scan(0, |sum, c| {
                *sum += width(c);
                Some(*sum)
            })
            .take_while(|sum| *sum <= most)
            .last()
            .unwrap_or(0)
    };
    let whole = all(before, room + 1) + all(inside, room + 1) + all(after, room + 1);
    let room = if whole <= room { room } else { room.saturating_sub(2) };
    let (inside_shown, inside_left) = head(inside, room);
    let rest = room.saturating_sub(inside_shown.chars().map(width).sum());
    // What the other side does not need is this side's.
    let behind = all(after, rest);
    let before_room = rest.saturating_sub(behind.min(rest / 2));
    let (before_shown, before_left) = tail(before, before_room);
    let after_room = rest.saturating_sub(before_shown.chars().map(width).sum());
    let (after_shown, after_left) = if inside_left { ("", false) } else { head(after, after_room) };
    let mut cut = Cut { before: safe(before_shown), place: safe(inside_shown), after: safe(after_shown) };
    if before_left {
        cut.before.insert(0, LEFT_OUT);
    }
    if inside_left || after_left {
        cut.after.push(LEFT_OUT);
    }
    cut
}

/// As much of the start as fits, and whether something is left out.
fn head(text: &str, room: usize) -> (&str, bool) {
    let mut sum = 0;
    for (at, sign) in text.char_indices() {
        sum += width(sign);
        if sum > room {
            return (text.get(..at).unwrap_or(""), true);
        }
    }
    (text, false)
}

/// As much of the end as fits, and whether something is left out.
fn tail(text: &str, room: usize) -> (&str, bool) {
    let mut sum = 0;
    for (at, sign) in text.char_indices().rev() {
        sum += width(sign);
        if sum > room {
            return (text.get(at + sign.len_utf8()..).unwrap_or(""), true);
        }
    }
    (text, false)
}
