//! Step numbers: every test, repair, adjust and escalation is one numbered line of the troubleshooting chart. On a page it is called a
//! step: beside L1, L2 and L3 an electrician reads "line 2" as a wire.
//!
//! Tests come first, then repairs, adjusts and escalations, each in the order the author wrote them, counted from 1.

use super::html::Html;
use super::output::address;
use super::words::taken;
use crate::language::syntax::OutcomeKind;
use crate::playbook::model::{Branch, EndId, Members, Playbook, Scale, Target, Test, TestId};
use crate::text::english::list;
use std::borrow::Cow;
use std::collections::BTreeSet;

/// The lines of one page, and the addresses they are reached at.
pub struct Lines<'a> {
    /// The playbook the page is of.
    pub playbook: &'a Playbook,
    joined: &'a dyn Fn(&str) -> String,
    lines: Vec<Line<'a>>,
    /// What the outcomes of each test take, in words.
    words: Vec<Vec<Cow<'a, str>>>,
}

/// One line.
#[derive(Debug)]
pub struct Line<'a> {
    /// Its number.
    pub number: usize,
    /// Its name as part of an address.
    pub id: String,
    /// Its title.
    pub title: &'a str,
}

/// A reference: to a line of this page, or to another playbook.
#[derive(Debug, Clone)]
pub enum Go<'a> {
    /// A line of this page.
    Line(&'a Line<'a>),
    /// Another playbook: its name, and where its page is.
    Playbook(&'a str, String),
}

/// One way out of a test.
#[derive(Debug, Clone)]
pub struct Exit<'a> {
    /// Which kind; `None` for "can't get in there".
    pub kind: Option<OutcomeKind>,
    /// What has to be read or seen.
    pub words: Cow<'a, str>,
    /// Where to.
    pub go: Go<'a>,
}

impl<'a> Lines<'a> {
    /// Numbers the lines of a playbook. `joined` says where the page of another playbook is, from this page.
    #[must_use]
    pub fn of(playbook: &'a Playbook, joined: &'a dyn Fn(&str) -> String) -> Self {
        let tests = playbook.tests.iter().map(|test| (&test.name, &test.title));
        let ends = playbook.ends.iter().map(|end| (&end.name, &end.title));
        let lines = tests
            .chain(ends)
            .enumerate()
            .map(|(at, (name, title))| Line { number: at + 1, id: address(name), title })
            .collect();
        let words = playbook.tests.iter().map(|test| words(playbook, test)).collect();
        Self { playbook, joined, lines, words }
    }

    /// The line of a test.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "one line a test, one an end, made from the same playbook")]
    pub fn test(&self, id: TestId) -> &Line<'a> {
        &self.lines[usize::from(id.0)]
    }

    /// The line of a repair, adjust or escalation.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "one line a test, one an end, made from the same playbook")]
    pub fn end(&self, id: EndId) -> &Line<'a> {
        &self.lines[self.playbook.tests.len() + usize::from(id.0)]
    }

    /// A reference to where an outcome leads. `None` for a line with an error, whose playbook gets no page.
    #[must_use]
    pub fn to(&'a self, target: &'a Target) -> Option<Go<'a>> {
        match target {
            Target::Test(id) => Some(Go::Line(self.test(*id))),
            Target::End(id) => Some(Go::Line(self.end(*id))),
            Target::Playbook(name) => Some(Go::Playbook(name, (self.joined)(name))),
            Target::Nowhere => None,
        }
    }

    /// The outcomes of a test, in order of lines, each with where it leads; `cannot` last.
    #[must_use]
    pub fn exits(&'a self, id: TestId) -> Vec<Exit<'a>> {
        let test = self.playbook.test(id);
        let words = self.words.get(usize::from(id.0)).into_iter().flatten();
        let outcomes = test.branches.iter().zip(words).filter_map(|(branch, words)| {
            let words = Cow::Borrowed(&**words);
            Some(Exit { kind: Some(branch.kind), words, go: self.to(&branch.to)? })
        });
        let cannot = test.cannot.iter().filter_map(|(target, _)| {
            Some(Exit { kind: None, words: Cow::Borrowed("can't get in there"), go: self.to(target)? })
        });
        outcomes.chain(cannot).collect()
    }
}

/// What the outcomes of a test take, in words.
fn words<'a>(playbook: &'a Playbook, test: &'a Test) -> Vec<Cow<'a, str>> {
    let unit = match test.scale {
        Scale::Numbers(unit) | Scale::Judged(unit) => Some(unit),
        Scale::Answers => None,
    };
    let bank = match test.members {
        Members::Each(bank) => Some(playbook.bank(bank).name.as_str()),
        Members::One | Members::That(_) => None,
    };
    let of_branch = |branch: &'a Branch| match (branch.kind, bank) {
        (OutcomeKind::All, Some(bank)) => Cow::Owned(format!("every {bank} {}", taken(branch, unit))),
        (OutcomeKind::If, Some(bank)) => Cow::Owned(format!("any {bank} {}", taken(branch, unit))),
        _ => taken(branch, unit),
    };
    test.branches.iter().map(of_branch).collect()
}

/// Steps by their numbers, each once, runs drawn together: "step 4", "steps 2, 3 and 5 to 11".
#[must_use]
pub fn steps_told(numbers: impl IntoIterator<Item = usize>, and: &str) -> String {
    let numbers: BTreeSet<usize> = numbers.into_iter().collect();
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for number in &numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *number => *last = *number,
            _ => runs.push((*number, *number)),
        }
    }
    let words: Vec<String> = runs
        .into_iter()
        .flat_map(|(first, last)| match last - first {
            0 => vec![first.to_string()],
            1 => vec![first.to_string(), last.to_string()],
            _ => vec![format!("{first} to {last}")],
        })
        .collect();
    format!("{} {}", if numbers.len() == 1 { "step" } else { "steps" }, list(&words, and))
}

/// Where a reference leads on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// To the line of the chart.
    Chart,
    /// To its card.
    Card,
}

impl Html {
    /// The beginning of a link to a line or another playbook, up to its words.
    pub fn open_link(&mut self, go: &Go<'_>, part: Part) -> &mut Self {
        match (go, part) {
            (Go::Line(line), Part::Chart) => self.raw("<a href=\"#line-").text(&line.id),
            (Go::Line(line), Part::Card) => self.raw("<a href=\"#step-").text(&line.id),
            (Go::Playbook(_, href), _) => self.raw("<a href=\"").text(href),
        };
        self.raw("\">")
    }

    /// "step 14", "playbook box-warm".
    pub fn line_words(&mut self, go: &Go<'_>) -> &mut Self {
        match go {
            Go::Line(line) => self.raw("step ").number(line.number),
            Go::Playbook(name, _) => self.raw("playbook ").text(name),
        }
    }

    /// "step 14", as a link.
    pub fn line_link(&mut self, go: &Go<'_>, part: Part) -> &mut Self {
        self.open_link(go, part).line_words(go).raw("</a>")
    }

    /// "step 3, step 7", each a link.
    pub fn line_links<'l>(&mut self, lines: impl IntoIterator<Item = &'l Line<'l>>, part: Part) -> &mut Self {
        for (nth, line) in lines.into_iter().enumerate() {
            if nth > 0 {
                self.raw(", ");
            }
            self.line_link(&Go::Line(line), part);
        }
        self
    }

    /// What a line is called, or nothing for another playbook.
    pub fn title(&mut self, go: &Go<'_>) -> &mut Self {
        match go {
            Go::Line(line) => self.text(line.title),
            Go::Playbook(..) => self,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_drawn_together() {
        for (numbers, want) in [
            (&[4][..], "step 4"),
            (&[3, 2, 3], "steps 2 and 3"),
            (&[2, 3, 5, 6, 7, 8, 11], "steps 2, 3, 5 to 8 and 11"),
        ] {
            assert_eq!(steps_told(numbers.iter().copied(), "and"), want);
        }
    }
}
