//! The write-up: complaint, cause, correction; what was read, what was tested after, how it was left. From the events alone.

use super::card::Card;
use super::record::{Event, What};

/// A write-up.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WriteUp {
    /// The playbook and its revision.
    pub playbook: String,
    /// The unit; empty where the record does not say.
    pub unit: String,
    /// What the caller said.
    pub complaint: String,
    /// What was found wrong before each repair, or before the hand-over.
    pub cause: Vec<String>,
    /// What was done about it.
    pub correction: Vec<String>,
    /// Parts used.
    pub parts: Vec<String>,
    /// Every test with what was found and what good is.
    pub readings: Vec<String>,
    /// What was tested after the last repair.
    pub tested_after: Vec<String>,
    /// How the call ended and how the unit stands.
    pub left: Vec<String>,
    /// Notes.
    pub notes: Vec<String>,
}

impl WriteUp {
    /// The write-up of a record. An answer taken back is left out.
    #[must_use]
    pub fn of(events: &[Event]) -> Self {
        let mut up = Self::default();
        let mut found: Vec<&What> = Vec::new();
        let mut since_repair = 0;
        for event in events {
            match &event.what {
                What::Started { title, revised, unit, .. } => {
                    unit.clone_into(&mut up.unit);
                    up.playbook =
                        if revised.is_empty() { title.clone() } else { format!("{title}, revised {revised}") };
                }
                What::Complaint { words } => words.clone_into(&mut up.complaint),
                What::Found { .. } => found.push(&event.what),
                What::TookBack { step } => {
                    // The walk is at that step again: what was found there is asked anew.
                    if matches!(found.last(), Some(What::Found { step: last, .. }) if last == step) {
                        found.pop();
                    }
                }
                What::Repaired { step, parts, .. } => {
                    up.cause.extend(last_bad(found.get(since_repair..).unwrap_or_default()));
                    up.correction.push(step.clone());
                    up.parts.extend(parts.iter().cloned());
                    since_repair = found.len();
                }
                What::NoPart { step, parts } => {
                    up.cause.extend(last_bad(found.get(since_repair..).unwrap_or_default()));
                    up.correction.push(format!("Not done, part to bring: {step}"));
                    up.left.extend(parts.iter().map(|part| format!("Bring: {part}")));
                }
                What::Escalated { step, call, because } => {
                    if up.cause.is_empty() || found.len() > since_repair {
                        up.cause.extend(last_bad(found.get(since_repair..).unwrap_or_default()));
                    }
                    up.left.push(format!("{step}. Called: {call}"));
                    up.left.extend(because.iter().cloned());
                }
                What::Cannot { step } => up.notes.push(format!("Could not be done: {step}")),
                What::Stopped { step } => up.notes.push(format!("Stopped, not safe: {step}")),
                What::Note { words } => up.notes.push(words.clone()),
                What::Closed { standing } => up.left.push(format!("Closed. Unit: {standing}")),
                What::LeftOff { standing, .. } => up.left.push(format!("Left off. Unit: {standing}")),
                What::HandedOver { because, call, standing, left_because } => {
                    up.left.push(format!("Handed over: {because}. To: {call}"));
                    let why = if left_because.is_empty() { String::new() } else { format!(", because {left_because}") };
                    up.left.push(format!("Unit: {standing}{why}"));
                }
                _ => {}
            }
        }
        up.readings = found.iter().filter_map(|what| line(what)).collect();
        if !up.correction.is_empty() && since_repair > 0 {
            up.tested_after = found.iter().skip(since_repair).filter_map(|what| line(what)).collect();
        }
        up
    }

    /// The write-up as text.
    #[must_use]
    pub fn text(&self) -> String {
        let mut card = Card::default();
        card.title("Write-up");
        card.line("Playbook", &self.playbook);
        if !self.unit.is_empty() {
            card.line("Unit", &self.unit);
        }
        card.line("Complaint", or(&self.complaint, "Not taken down."));
        let none =
            |lines: &[String], words: &str| if lines.is_empty() { vec![words.to_owned()] } else { lines.to_vec() };
        card.lines("Cause", &none(&self.cause, "Not found."));
        card.lines("Correction", &none(&self.correction, "Nothing was changed."));
        card.lines("Parts", &none(&self.parts, "None."));
        card.lines("Readings", &none(&self.readings, "None."));
        card.lines("Tested", &self.tested_after);
        card.lines("Left", &self.left);
        card.lines("Notes", &self.notes);
        card.text()
    }
}

fn or<'a>(words: &'a str, other: &'a str) -> &'a str {
    if words.is_empty() { other } else { words }
}

/// The last thing found not good.
fn last_bad(found: &[&What]) -> Option<String> {
    found.iter().rev().find(|what| matches!(what, What::Found { is_good: false, .. })).and_then(|what| line(what))
}

/// "Amps in each element: 0.2 A, below 1 A (good: 19 to 25 A)".
#[must_use]
pub fn found_line(event: &Event) -> Option<String> {
    line(&event.what)
}

fn line(what: &What) -> Option<String> {
    let What::Found { step, result, line, good, is_good, by, .. } = what else { return None };
    // A title may be a question.
    let mut words = format!("{step}{} ", if step.ends_with('?') { "" } else { ":" });
    if !result.is_empty() && result != line {
        words.push_str(&format!("{result}, "));
    }
    words.push_str(if *is_good { "good" } else { line });
    let by = if by.is_empty() { String::new() } else { format!("; {by}") };
    match (*is_good, good.is_empty()) {
        (true, _) => words.push_str(&format!(" ({line}{by})")),
        (false, false) => words.push_str(&format!(" (good: {good}{by})")),
        (false, true) => {}
    }
    Some(words)
}
