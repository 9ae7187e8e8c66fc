//! A line of prose cut into words and sentences, once, for every rule that looks at it.
//!
//! A word knows what mark stands behind it. A full stop ends a sentence unless it belongs to an abbreviation: "in. w.c.", "approx. 3",
//! "No. 4"; a decimal point has no blank behind it and is never in question.

use crate::language::syntax::Signal;
use crate::text::rule::Rule;
use std::ops::Range;

/// Which line the words stand on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Line<'a> {
    /// `do`; whether it stands in a test, where a `why` may follow.
    Do { in_test: bool },
    /// `ask`; whether its answers are a bare yes and no.
    Ask { yes_no: bool },
    /// What follows `wait TIME or until`.
    Wait { time: &'a str },
    /// `because`
    Because,
    /// `danger`, `warning`, `caution`, `notice`
    Signal(Signal),
}

impl Line<'_> {
    /// Its first word.
    pub(super) fn keyword(self) -> &'static str {
        match self {
            Self::Do { .. } => "do",
            Self::Ask { .. } => "ask",
            Self::Wait { .. } => "wait",
            Self::Because => "because",
            Self::Signal(signal) => signal.word(),
        }
    }

    /// The line with other words on it.
    pub(super) fn with(self, text: &str) -> String {
        match self {
            Self::Wait { time } => format!("wait  {time} or until {text}"),
            _ => format!("{}  {text}", self.keyword()),
        }
    }
}

/// What stands behind a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mark {
    /// Nothing but a blank.
    None,
    /// A comma.
    Comma,
    /// A colon, semicolon, dash or bracket.
    Colon,
    /// The end of the sentence.
    Stop,
    /// The end of a question.
    Question,
}

impl Mark {
    fn ends_sentence(self) -> bool {
        matches!(self, Self::Stop | Self::Question)
    }
}

/// One word, by its bytes in the text, outer marks left off.
#[derive(Debug, Clone, Copy)]
pub(super) struct Word {
    start: usize,
    end: usize,
    /// What stands behind it.
    pub(super) mark: Mark,
}

/// What a rule found.
#[derive(Debug)]
pub(super) struct Finding {
    /// The rule broken.
    pub(super) rule: &'static Rule,
    /// The words it is about, by their bytes in the text.
    pub(super) at: Range<usize>,
    /// The fact.
    pub(super) message: String,
    /// The lines to write instead.
    pub(super) instead: Option<String>,
}

/// Room for the words of a line, used again for the next.
#[derive(Debug, Default)]
pub(super) struct Desk {
    lower: String,
    words: Vec<Word>,
}

/// A line of prose.
#[derive(Debug, Clone, Copy)]
pub(super) struct Prose<'a> {
    /// Which line.
    pub(super) line: Line<'a>,
    /// As written.
    pub(super) text: &'a str,
    /// The same in small letters, byte for byte.
    lower: &'a str,
    words: &'a [Word],
}

impl Desk {
    /// Cuts a text into words.
    pub(super) fn read<'a>(&'a mut self, line: Line<'a>, text: &'a str) -> Prose<'a> {
        self.lower.clear();
        self.lower.push_str(text);
        self.lower.make_ascii_lowercase();
        self.words.clear();
        cut(text, &self.lower, &mut self.words);
        Prose { line, text, lower: &self.lower, words: &self.words }
    }
}

impl<'a> Prose<'a> {
    /// How many words.
    pub(super) fn len(&self) -> usize {
        self.words.len()
    }

    /// Word `at` in small letters; empty beyond the end.
    pub(super) fn word(&self, at: usize) -> &'a str {
        self.words.get(at).and_then(|word| self.lower.get(word.start..word.end)).unwrap_or("")
    }

    /// Word `at` as written; empty beyond the end.
    pub(super) fn raw(&self, at: usize) -> &'a str {
        self.words.get(at).and_then(|word| self.text.get(word.start..word.end)).unwrap_or("")
    }

    /// What stands behind word `at`; the end of a sentence beyond the end.
    pub(super) fn mark(&self, at: usize) -> Mark {
        self.words.get(at).map_or(Mark::Stop, |word| word.mark)
    }

    /// Whether words `at`, `at + 1`, … are these, with no mark between.
    pub(super) fn is(&self, at: usize, phrase: &[&str]) -> bool {
        phrase.iter().enumerate().all(|(offset, word)| {
            self.word(at + offset) == *word && (offset + 1 == phrase.len() || self.mark(at + offset) == Mark::None)
        })
    }

    /// The bytes from the first of these words to the last.
    pub(super) fn bytes(&self, words: Range<usize>) -> Range<usize> {
        let start = self.words.get(words.start).map_or(self.text.len(), |word| word.start);
        let end = words.end.checked_sub(1).and_then(|last| self.words.get(last)).map_or(start, |word| word.end);
        start..end.max(start)
    }

    /// These words as written, outer marks left off.
    pub(super) fn slice(&self, words: Range<usize>) -> &'a str {
        self.text.get(self.bytes(words)).unwrap_or("")
    }

    /// The sentences, each as a range of words.
    pub(super) fn sentences(&self) -> impl Iterator<Item = Range<usize>> + 'a {
        let words = self.words;
        let mut next = 0;
        std::iter::from_fn(move || {
            let start = next;
            let rest = words.get(start..).filter(|rest| !rest.is_empty())?;
            let length = rest.iter().position(|word| word.mark.ends_sentence()).map_or(rest.len(), |last| last + 1);
            next = start + length;
            Some(start..next)
        })
    }

    /// Whether word `at` starts a sentence or stands behind a mark.
    pub(super) fn starts_clause(&self, at: usize) -> bool {
        at.checked_sub(1).is_none_or(|before| self.mark(before) != Mark::None)
    }

    /// Whether word `at` is a number: `4.0`, `350`, `-6`, not `L1`, `1/8` or `2-pole`.
    pub(super) fn is_number(&self, at: usize) -> bool {
        let word = self.word(at).trim_start_matches(['-', '+', '−']);
        word.starts_with(|c: char| c.is_ascii_digit()) && word.bytes().all(|b| b.is_ascii_digit() || b == b'.')
    }

    /// How many words from `at` on are a unit: "V AC" two, "in. w.c." two, "°F" one, "wires" none.
    pub(super) fn unit_words(&self, at: usize) -> usize {
        match self.word(at) {
            "v" | "mv" | "kv" | "volt" | "volts" | "a" | "ma" | "ua" | "µa" | "amp" | "amps"
                if matches!(self.word(at + 1), "ac" | "dc") =>
            {
                2
            }
            "in" | "inch" | "inches" if matches!(self.word(at + 1), "w.c" | "wc" | "h2o" | "hg") => 2,
            "inches" if self.is(at + 1, &["of", "water"]) => 3,
            "deg" | "degrees" | "degree" if matches!(self.word(at + 1), "f" | "c") => 2,
            "in" if matches!(self.word(at + 1), "the" | "a" | "each" | "one" | "its" | "ice") => 0,
            "v" | "mv" | "kv" | "vac" | "vdc" | "volt" | "volts" | "a" | "ma" | "ua" | "µa" | "amp" | "amps"
            | "milliamps" | "microamps" | "ohm" | "ohms" | "mohm" | "mohms" | "kohm" | "kohms" | "megohm"
            | "megohms" | "kilohms" | "\u{3a9}" | "\u{2126}" | "kΩ" | "mΩ" | "w" | "kw" | "watt" | "watts" | "va"
            | "kva" | "btu/h" | "btuh" | "btu" | "btus" | "uf" | "µf" | "μf" | "mfd" | "microfarads" | "hz"
            | "hertz" | "rpm" | "%" | "percent" | "ppm" | "times" | "time" | "tries" | "°f" | "°c" | "ºf" | "ºc"
            | "f" | "c" | "degrees" | "degree" | "psi" | "psig" | "inwc" | "kpa" | "mbar" | "h" | "hr" | "hrs"
            | "hour" | "hours" | "min" | "mins" | "minute" | "minutes" | "s" | "sec" | "secs" | "second"
            | "seconds" | "ms" | "gal" | "gallon" | "gallons" | "l" | "liter" | "liters" | "qt" | "quarts" | "gpm"
            | "gph" | "in" | "inch" | "inches" | "mm" | "cm" | "ft" | "feet" | "foot" | "lb" | "lbs" | "pound"
            | "pounds" | "oz" | "ounces" | "ft-lb" | "in-lb" => 1,
            _ => 0,
        }
    }
}

fn cut(text: &str, lower: &str, words: &mut Vec<Word>) {
    let mut chunks = chunks(text).peekable();
    while let Some(chunk) = chunks.next() {
        let raw = text.get(chunk.clone()).unwrap_or("");
        let bare = raw.trim_start_matches(['(', '[', '"', '\'', '“', '‘', '„']);
        let start = chunk.end - bare.len();
        let bare = bare.trim_end_matches(|c: char| {
            matches!(c, '.' | ',' | ':' | ';' | '?' | '!' | ')' | ']' | '"' | '\'' | '”' | '’')
        });
        if bare.is_empty() || matches!(bare, "-" | "–" | "—") {
            if let Some(last) = words.last_mut()
                && last.mark == Mark::None
            {
                last.mark = Mark::Colon;
            }
            continue;
        }
        let end = start + bare.len();
        let behind = text.get(end..chunk.end).unwrap_or("");
        let next = chunks.peek().and_then(|next| text.get(next.clone()));
        let mark = mark_of(lower.get(start..end).unwrap_or(""), behind, next);
        words.push(Word { start, end, mark });
    }
}

/// The stretches between blanks.
fn chunks(text: &str) -> impl Iterator<Item = Range<usize>> {
    let bytes = text.as_bytes();
    let mut at = 0;
    std::iter::from_fn(move || {
        let blank = |b: &u8| b.is_ascii_whitespace();
        let start = at + bytes.get(at..)?.iter().position(|b| !blank(b))?;
        let rest = bytes.get(start..)?;
        at = start + rest.iter().position(blank).unwrap_or(rest.len());
        Some(start..at)
    })
}

fn mark_of(word: &str, behind: &str, next: Option<&str>) -> Mark {
    if behind.is_empty() {
        return Mark::None;
    }
    if behind.contains('?') {
        return Mark::Question;
    }
    if behind.contains('!') || (behind.contains('.') && is_full_stop(word, next)) {
        return Mark::Stop;
    }
    if behind.contains([':', ';', ')', ']']) {
        Mark::Colon
    } else if behind.contains(',') {
        Mark::Comma
    } else {
        Mark::None
    }
}

/// Whether the dot behind a word ends the sentence.
fn is_full_stop(word: &str, next: Option<&str>) -> bool {
    let Some(next) = next else { return true };
    let next = next.trim_start_matches(['(', '[', '"', '\'', '“']);
    let first = next.chars().next().unwrap_or(' ');
    if first.is_lowercase() {
        return false;
    }
    match word {
        "e.g" | "i.e" | "vs" | "approx" | "fig" | "figs" | "ref" | "dia" | "nom" | "mr" | "mrs" | "dr" => false,
        "no" | "nos" | "max" | "min" | "abt" | "ca" | "pos" => !first.is_ascii_digit(),
        "in" | "ft" | "lb" | "lbs" | "oz" | "deg" => {
            !next.starts_with("W.C") && !next.starts_with("WC") && !next.starts_with("H2O")
        }
        _ => true,
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// A line rule over a table of sentences: what it must tell, and what it must not.
    pub(in crate::check::writing) fn table(
        run: fn(&Prose<'_>, &mut Vec<Finding>),
        line: Line<'_>,
        code: &str,
        fires: &[&str],
        quiet: &[&str],
    ) {
        assert!(fires.len() >= 15 && quiet.len() >= 15, "at least 15 each way: {} and {}", fires.len(), quiet.len());
        let told = |text: &str| {
            let mut found = Vec::new();
            run(&Desk::default().read(line, text), &mut found);
            found.retain(|finding| finding.rule.code == code);
            found
        };
        let silent: Vec<_> = fires.iter().filter(|text| told(text).is_empty()).collect();
        let loud: Vec<_> = quiet.iter().filter_map(|text| told(text).pop().map(|f| (text, f.message))).collect();
        assert!(silent.is_empty() && loud.is_empty(), "should be told: {silent:#?}\nshould not: {loud:#?}");
    }

    /// What a line rule says to write instead.
    pub(in crate::check::writing) fn instead(
        run: fn(&Prose<'_>, &mut Vec<Finding>),
        line: Line<'_>,
        text: &str,
    ) -> String {
        let mut found = Vec::new();
        run(&Desk::default().read(line, text), &mut found);
        found.into_iter().find_map(|finding| finding.instead).unwrap_or_default()
    }

    #[test]
    fn sentences_end_where_a_reader_ends_them() {
        let cases: [(&str, &[&str]); 12] = [
            (
                "Cap off. Turn the screw to 4.0 in. w.c. Cap on.",
                &["Cap off", "Turn the screw to 4.0 in. w.c", "Cap on"],
            ),
            ("Set it to 3.5 in. W.C. and lock it.", &["Set it to 3.5 in. W.C. and lock it"]),
            ("Read approx. 3 turns, e.g. L1 to L2.", &["Read approx. 3 turns, e.g. L1 to L2"]),
            ("Pull wire No. 4 off. Tape it.", &["Pull wire No. 4 off", "Tape it"]),
            ("Is it lit? Watch it!  Then go.", &["Is it lit", "Watch it", "Then go"]),
            ("It reads 120.5 V.", &["It reads 120.5 V"]),
            ("Drill 2 in. deep.", &["Drill 2 in. deep"]),
            ("Drill it 2 in. Blow it out.", &["Drill it 2 in", "Blow it out"]),
            ("Run it 5 min. Then look.", &["Run it 5 min", "Then look"]),
            ("Load it to max. 40 lb and run it.", &["Load it to max. 40 lb and run it"]),
            ("No stop at the end", &["No stop at the end"]),
            ("", &[]),
        ];
        for (text, want) in cases {
            let mut desk = Desk::default();
            let prose = desk.read(Line::Because, text);
            let found: Vec<_> = prose.sentences().map(|words| prose.slice(words)).collect();
            assert_eq!(found, want, "{text:?}");
        }
    }

    #[test]
    fn marks_and_bare_words() {
        let mut desk = Desk::default();
        let prose = desk.read(Line::Because, "Hot \"oil\" (350 °F) burns - keep back: now, please");
        let words: Vec<_> = (0..prose.len()).map(|at| (prose.raw(at), prose.mark(at))).collect();
        let (none, colon) = (Mark::None, Mark::Colon);
        assert_eq!(
            words,
            [
                ("Hot", none),
                ("oil", none),
                ("350", none),
                ("°F", colon),
                ("burns", colon),
                ("keep", none),
                ("back", colon),
                ("now", Mark::Comma),
                ("please", none)
            ]
        );
        assert!(prose.is_number(2) && !prose.is_number(3));
        assert_eq!(prose.unit_words(3), 1);
    }
}
