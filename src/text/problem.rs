//! One thing wrong at one place. Problems are values: collected, sorted by place, told all at once.

use super::rule::{Level, Rule};
use super::source::{Place, Span};

/// Longest line repeated in what to write instead, in bytes; a longer one is a slip of another kind. A number of ours.
const LONGEST_REPEATED: usize = 400;

/// One thing wrong: the fact first, then what to write instead.
#[derive(Debug, Clone)]
pub struct Problem {
    /// The rule it breaks.
    pub rule: &'static Rule,
    /// Where. The line it stands on is quoted as "As found".
    pub place: Place,
    /// The fact, one sentence, the user's words in backticks.
    pub message: String,
    /// The line or lines to write instead, as they would stand in the file.
    pub instead: Option<String>,
    /// A right line of some other playbook, where what to write is for the author alone to say.
    pub like: Option<&'static str>,
    /// Other places that belong to it, each with what it is: "the first one is here".
    pub also: Vec<(Place, String)>,
}

impl Problem {
    /// A problem with its fact.
    #[must_use]
    pub fn new(rule: &'static Rule, place: Place, message: impl Into<String>) -> Self {
        Self { rule, place, message: message.into(), instead: None, like: None, also: Vec::new() }
    }

    /// With what to write instead.
    #[must_use]
    pub fn instead(mut self, line: impl Into<String>) -> Self {
        self.instead = Some(line.into());
        self
    }

    /// With a right line of some other playbook.
    #[must_use]
    pub fn like(mut self, line: &'static str) -> Self {
        self.like = Some(line);
        self
    }

    /// With the whole line to write instead: as found, other words at the place. Of a line too long to be read, the words alone.
    #[must_use]
    pub fn mended(self, words: &str) -> Self {
        let line = self.place.source.line_span(self.place.line());
        if line.range().len() > LONGEST_REPEATED {
            return self.instead(words.to_owned());
        }
        let (start, end) = (self.place.span.start, self.place.span.end.min(line.end));
        let cut = |start, end| self.place.source.slice(Span { start, end });
        let whole = format!("{}{words}{}", cut(line.start, start), cut(end, line.end));
        self.instead(whole.trim().to_owned())
    }

    /// With the line at the place and one or more below it, set in under a heading. Of a line too long to be read, the other alone.
    #[must_use]
    pub fn and_below(self, line: &str) -> Self {
        let span = self.place.source.line_span(self.place.line());
        if span.range().len() > LONGEST_REPEATED {
            return self.instead(line.to_owned());
        }
        let found = self.place.source.slice(span);
        let margin = if found.starts_with([' ', '\t']) { "" } else { "  " };
        let below: String = line.lines().map(|line| format!("\n{margin}{line}")).collect();
        let both = format!("{}{below}", found.trim());
        self.instead(both)
    }

    /// With another place that belongs to it.
    #[must_use]
    pub fn also(mut self, place: Place, what: impl Into<String>) -> Self {
        self.also.push((place, what.into()));
        self
    }

    /// Whether it refuses the playbook.
    #[must_use]
    pub fn is_error(&self) -> bool {
        self.rule.level == Level::Error
    }
}

/// Sorts by file and place, then code and words, and drops repeats.
pub fn tidy(problems: &mut Vec<Problem>) {
    problems.sort_by(|a, b| {
        let key = |p: &Problem| (p.place.span.start, p.place.span.end, p.rule.code);
        a.place
            .source
            .path()
            .cmp(b.place.source.path())
            .then_with(|| key(a).cmp(&key(b)))
            .then_with(|| a.message.cmp(&b.message))
    });
    problems.dedup_by(|a, b| {
        a.rule.code == b.rule.code
            && a.place.span == b.place.span
            && a.message == b.message
            && a.place.source.path() == b.place.source.path()
    });
}
