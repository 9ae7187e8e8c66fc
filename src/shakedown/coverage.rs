//! What a playbook finds on a unit, what it hands on and what it can't tell apart: for its pages.

use super::report::Report;
use super::result::{Outcome, Scope};
use crate::text::english::count;
use serde::{Deserialize, Serialize};

/// What a playbook finds, as the pages tell it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Coverage {
    /// The coverage line of every page of the playbook.
    pub line: String,
    /// Faults it finds and cures, and by what.
    pub finds: Vec<Found>,
    /// Faults it hands on by name, and by what.
    pub hands_on: Vec<Found>,
    /// Faults that end at one place, where they are of several parts.
    pub alike: Vec<Alike>,
    /// Faults of this complaint that are neither, and what came of them.
    pub missed: Vec<Missed>,
    /// Tests no model is there for, and why.
    pub not_on_sheet: Vec<Missed>,
    /// Faults that make another complaint.
    pub others: Vec<String>,
}

/// A fault and what found it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Found {
    /// The fault.
    pub fault: String,
    /// The title of the repair, adjust or escalation.
    pub by: String,
}

/// Faults that can't be told apart, or need not be.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Alike {
    /// The faults.
    pub faults: Vec<String>,
    /// Where they end.
    pub end: String,
    /// Why they are one: a sentence.
    pub why: String,
}

/// Something missed, and the word for it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Missed {
    /// What.
    pub what: String,
    /// Why.
    pub why: String,
}

impl Report {
    /// The same for the pages.
    #[must_use]
    pub fn coverage(&self) -> Coverage {
        let own = || self.singles.iter().filter(|single| single.scope == Scope::This);
        let found = |handed_on: bool| -> Vec<Found> {
            own()
                .filter(|single| single.outcome == Outcome::Right && single.handed_on == handed_on)
                .map(|single| Found {
                    fault: single.fault.clone(),
                    by: title(single.by.as_deref().unwrap_or_default()),
                })
                .collect()
        };
        let missed: Vec<Missed> = own()
            .filter(|single| !matches!(single.outcome, Outcome::Right | Outcome::OtherComplaint))
            .map(|single| Missed { what: single.fault.clone(), why: single.outcome.words().to_owned() })
            .collect();
        let alike = self.groups.iter().filter(|group| group.parts.len() > 1).map(|group| Alike {
            faults: group.faults.clone(),
            end: title(&group.end),
            why: match &group.told_apart_by {
                Some(test) => format!("They end at one place; the test {test} would tell one from the rest."),
                None => "No test of this playbook reads them differently.".to_owned(),
            },
        });
        let sent = own().filter(|single| single.outcome == Outcome::OtherComplaint).count();
        let others = self
            .singles
            .iter()
            .filter(|single| single.scope != Scope::This || single.outcome == Outcome::OtherComplaint);
        let not_on_sheet = self.not_on_sheet.iter().map(|(test, why)| Missed { what: test.clone(), why: why.clone() });
        let (finds, hands_on) = (found(false), found(true));
        Coverage {
            line: self.line(finds.len(), hands_on.len(), sent, missed.len()),
            finds,
            hands_on,
            alike: alike.collect(),
            missed,
            not_on_sheet: not_on_sheet.collect(),
            others: others.map(|single| single.fault.clone()).collect(),
        }
    }

    /// "Shaken down on booster-208: of 22 faults that make this complaint it finds 20 and hands 2 on."
    fn line(&self, finds: usize, hands_on: usize, sent: usize, missed: usize) -> String {
        let mut line = format!(
            "Shaken down on {}: of {} that make this complaint it finds {finds}",
            self.unit,
            count(finds + hands_on + sent + missed, "fault"),
        );
        if hands_on > 0 {
            line.push_str(&format!(" and hands {hands_on} on by name"));
        }
        line.push('.');
        if sent > 0 {
            line.push_str(&format!(" {sent} it sends on as another complaint."));
        }
        if missed > 0 {
            line.push_str(&format!(" {missed} it does not find for sure."));
        }
        line
    }
}

/// "Replace the fuse" of "Replace the fuse (`replace-fuse`)".
fn title(end: &str) -> String {
    end.rsplit_once(" (`").map_or(end, |(title, _)| title).to_owned()
}
