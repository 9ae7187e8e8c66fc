//! Line numbers: every test, repair, adjust and escalation is one numbered line of the troubleshooting chart.
//!
//! Tests come first, then repairs, adjusts and escalations, each in the order the author wrote them, counted from 1.

use super::output::address;
use super::words::taken;
use crate::language::syntax::{BlockKind, OutcomeKind};
use crate::playbook::model::{EndId, Members, Playbook, Scale, Target, Test, TestId};
use serde::Serialize;

/// The lines of one page, and the addresses they are reached at.
pub struct Lines<'a> {
    /// The playbook the page is of.
    pub playbook: &'a Playbook,
    /// Where the page of a joined playbook is, from this page.
    pub joined: &'a dyn Fn(&str) -> String,
}

/// A reference to a line: "line 14", or to another playbook.
#[derive(Debug, Clone, Serialize)]
pub struct Go {
    /// "line 14", "playbook box-warm".
    pub line: String,
    /// Its name as part of an address, empty for another playbook.
    pub id: String,
    /// Where its card is.
    pub href: String,
    /// What it is called; empty for another playbook.
    pub title: String,
}

/// One way out of a test.
#[derive(Debug, Clone, Serialize)]
pub struct Exit {
    /// `good`, `if`, `all`, `cannot`.
    pub kind: &'static str,
    /// What has to be read or seen.
    pub words: String,
    /// Where to.
    pub go: Go,
}

impl<'a> Lines<'a> {
    /// The number of a test.
    #[must_use]
    pub fn test(&self, id: TestId) -> usize {
        usize::from(id.0) + 1
    }

    /// The number of a repair, adjust or escalation.
    #[must_use]
    pub fn end(&self, id: EndId) -> usize {
        self.playbook.tests.len() + usize::from(id.0) + 1
    }

    /// A reference to a test.
    #[must_use]
    pub fn to_test(&self, id: TestId) -> Go {
        let test = self.playbook.test(id);
        go(self.test(id), &test.name, &test.title)
    }

    /// A reference to where an outcome leads.
    #[must_use]
    pub fn to(&self, target: &Target) -> Go {
        match target {
            Target::Test(id) => self.to_test(*id),
            Target::End(id) => {
                let end = self.playbook.end(*id);
                go(self.end(*id), &end.name, &end.title)
            }
            // A line with an error; its playbook gets no page.
            Target::Nowhere => go(0, "", ""),
            Target::Playbook(name) => Go {
                line: format!("playbook {name}"),
                id: String::new(),
                href: (self.joined)(name),
                title: String::new(),
            },
        }
    }

    /// The ways out of a test, in order of lines, `cannot` last.
    #[must_use]
    pub fn exits(&self, test: &Test) -> Vec<Exit> {
        let unit = match test.scale {
            Scale::Numbers(unit) | Scale::Judged(unit) => Some(unit),
            Scale::Answers => None,
        };
        let bank = match test.members {
            Members::Each(bank) => Some(self.playbook.bank(bank).name.as_str()),
            Members::One | Members::That(_) => None,
        };
        let mut exits: Vec<Exit> = test
            .branches
            .iter()
            .map(|branch| {
                let words = taken(branch, unit);
                let words = match (branch.kind, bank) {
                    (OutcomeKind::All, Some(bank)) => format!("every {bank} {words}"),
                    (OutcomeKind::If, Some(bank)) => format!("any {bank} {words}"),
                    _ => words,
                };
                Exit { kind: branch.kind.word(), words, go: self.to(&branch.to) }
            })
            .collect();
        if let Some((target, _)) = &test.cannot {
            exits.push(Exit { kind: "cannot", words: "can't get in there".to_owned(), go: self.to(target) });
        }
        exits
    }
}

fn go(number: usize, name: &str, title: &str) -> Go {
    let id = address(name);
    Go { line: format!("line {number}"), href: format!("#step-{id}"), id, title: title.to_owned() }
}

/// What a block is called on a page.
#[must_use]
pub fn kind_word(kind: BlockKind) -> &'static str {
    match kind {
        BlockKind::Head => "Playbook",
        BlockKind::Test => "Test",
        BlockKind::Repair => "Repair",
        BlockKind::Adjust => "Adjust",
        BlockKind::Escalate => "Hand over",
    }
}
