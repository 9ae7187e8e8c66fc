//! The text of a step, laid out for a terminal of 80 columns: a word in the margin, the sentence beside it.

use crate::trade::unit::Unit;
use textwrap::{Options, WordSplitter, fill};

/// Columns used, so that nothing breaks at 80.
const WIDTH: usize = 78;
/// Columns of the margin.
pub const MARGIN: usize = 11;

/// A name with a hyphen, or "re-energize", stays on one line.
fn options<'a>() -> Options<'a> {
    Options::new(WIDTH).word_splitter(WordSplitter::NoHyphenation)
}

/// Text being laid out.
#[derive(Debug, Default)]
pub struct Card {
    text: String,
}

impl Card {
    /// A heading, with a line drawn to the right edge.
    pub fn title(&mut self, words: &str) {
        let words = fill(&clean(words), options());
        let last = words.lines().last().map_or(0, |line| line.chars().count());
        let rule = "-".repeat(WIDTH.saturating_sub(last + 1).max(3));
        self.text.push_str(&format!("\n{words} {rule}\n"));
    }

    /// A word in the margin and a sentence beside it.
    pub fn line(&mut self, margin: &str, words: &str) {
        let first = format!("{margin:<MARGIN$}");
        let rest = " ".repeat(MARGIN);
        let options = options().initial_indent(&first).subsequent_indent(&rest);
        self.text.push_str(&fill(&clean(words), options));
        self.text.push('\n');
    }

    /// Sentences one under the other, the margin word beside the first.
    pub fn lines<T: AsRef<str>>(&mut self, margin: &str, words: &[T]) {
        for (nth, words) in words.iter().enumerate() {
            self.line(if nth == 0 { margin } else { "" }, words.as_ref());
        }
    }

    /// Things to choose from, set in a little.
    pub fn choices<T: AsRef<str>>(&mut self, words: &[T]) {
        let first = " ".repeat(MARGIN + 2);
        let rest = " ".repeat(MARGIN + 4);
        for words in words {
            let options = options().initial_indent(&first).subsequent_indent(&rest);
            self.text.push_str(&fill(&clean(words.as_ref()), options));
            self.text.push('\n');
        }
    }

    /// Things one under the other, each with its number or name in front.
    pub fn listed<T: AsRef<str>>(&mut self, indent: usize, items: impl IntoIterator<Item = (String, T)>) {
        for (lead, words) in items {
            let first = format!("{}{lead}  ", " ".repeat(indent));
            let rest = " ".repeat(first.chars().count());
            let options = options().initial_indent(&first).subsequent_indent(&rest);
            self.text.push_str(&fill(&clean(words.as_ref()), options));
            self.text.push('\n');
        }
    }

    /// A sentence across the whole width.
    pub fn say(&mut self, words: &str) {
        self.text.push_str(&fill(&clean(words), options()));
        self.text.push('\n');
    }

    /// Text that is laid out already.
    pub fn ready(&mut self, text: &str) {
        self.text.push_str(text);
    }

    /// The text, each line ending in a line end.
    #[must_use]
    pub fn text(self) -> String {
        // A margin word with nothing beside it leaves blanks at the end of its line.
        let text = self.text.replace(TIE, " ");
        let mut text = text.lines().map(str::trim_end).collect::<Vec<_>>().join("\n");
        if !text.is_empty() {
            text.push('\n');
        }
        text
    }
}

/// The words without anything a terminal would obey, a number tied to its unit.
fn clean(words: &str) -> String {
    let words: String = words.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let mut tied = String::with_capacity(words.len());
    let mut rest = words.as_str();
    while let Some((word, behind)) = rest.split_once(' ') {
        let next = behind.split(' ').next().unwrap_or("");
        let unit = next.trim_end_matches([',', '.', ';', ':', ')', '?']);
        let measures = word.ends_with(|c: char| c.is_ascii_digit()) && Unit::of(unit).is_some();
        let current = matches!(unit, "AC" | "DC") && Unit::of(word).is_some();
        tied.push_str(word);
        tied.push(if measures || current { TIE } else { ' ' });
        rest = behind;
    }
    tied.push_str(rest);
    tied
}

/// A blank no line is broken at; it is a plain one again on the screen.
const TIE: char = '\u{a0}';

#[cfg(test)]
mod tests {
    use super::*;

    /// "208 V AC" and "low-impedance" are never torn apart, nor is anything a terminal obeys let through.
    #[test]
    fn what_stays_on_one_line() {
        for (words, want) in [
            ("read 208 V AC here", "read 208\u{a0}V\u{a0}AC here"),
            ("187 to 229 V, or 5 fuses", "187 to 229\u{a0}V, or 5 fuses"),
            ("at 60 °F. Then 3 A", "at 60\u{a0}°F. Then 3\u{a0}A"),
            ("bell \u{7} rings", "bell   rings"),
        ] {
            assert_eq!(clean(words), want);
        }
        let mut card = Card::default();
        card.line("Measure", &format!("{} re-energize 208 V AC", "x".repeat(45)));
        let text = card.text();
        assert!(text.contains("re-energize") && text.contains("208 V AC"), "{text}");
    }

    #[test]
    fn no_line_ends_inside_a_name() {
        for blanks in 40..80 {
            let mut card = Card::default();
            card.say(&format!("Unit now: {} locked-out, covers off, manometer on-manifold", "x".repeat(blanks)));
            let text = card.text();
            assert!(!text.lines().any(|line| line.ends_with('-')), "{text}");
        }
    }
}
