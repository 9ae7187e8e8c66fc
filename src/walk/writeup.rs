//! The write-up: complaint, cause, correction; what was read, what was tested after, how it was left. From the events alone.

use super::card::Card;
use super::record::{Event, What, still_counts};
use crate::text::english::count;

/// A write-up.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WriteUp {
    /// The playbook and its revision.
    pub playbook: String,
    /// The unit; empty where the record does not say.
    pub unit: String,
    /// When the call began and when the last thing was written down.
    pub times: String,
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

/// Rows the short write-up may take on a screen of 24, with what is said of the record below it.
const MOST_ROWS: usize = 19;

/// Behind a reading far off what the place can show.
const SURE: &str = " (asked back, and said again)";

impl WriteUp {
    /// The write-up of a record. An answer taken back is left out.
    #[must_use]
    pub fn of(events: &[Event]) -> Self {
        let mut up = Self::default();
        let mut found = Found::default();
        let mut since_repair = 0;
        if let (Some(first), Some(last)) = (events.first(), events.last()) {
            let one = first.at == last.at;
            up.times = if one { first.at.clone() } else { format!("{} to {}", first.at, last.at) };
        }
        for event in still_counts(events) {
            found.hear(event);
            match &event.what {
                What::Started { title, revised, unit, .. } => {
                    unit.clone_into(&mut up.unit);
                    up.playbook =
                        if revised.is_empty() { title.clone() } else { format!("{title}, revised {revised}") };
                }
                What::Complaint { words } => words.clone_into(&mut up.complaint),
                What::Repaired { step, parts, .. } => {
                    up.cause.extend(found.last_bad(since_repair));
                    up.correction.push(step.clone());
                    up.parts.extend(parts.iter().cloned());
                    since_repair = found.lines.len();
                }
                What::NoPart { step, parts } => {
                    up.cause.extend(found.last_bad(since_repair));
                    up.correction.push(format!("Not done, part to bring: {step}"));
                    up.left.extend(parts.iter().map(|part| format!("Bring: {part}")));
                }
                What::Escalated { step, call, because } => {
                    if up.cause.is_empty() || found.lines.len() > since_repair {
                        up.cause.extend(found.last_bad(since_repair));
                    }
                    up.left.push(format!("{step}. Called: {call}"));
                    up.left.extend(because.iter().cloned());
                }
                What::Cannot { step } => up.notes.push(format!("Could not be done: {step}")),
                What::Stopped { step } => up.notes.push(format!("Stopped, not safe: {step}")),
                What::Note { words } => up.notes.push(words.clone()),
                What::Closed { standing } => up.left.push(format!("Closed. Unit: {standing}")),
                What::LeftOff { standing, .. } => up.left.push(format!("Left off. Unit: {standing}")),
                // Gone on with: how it was left then is no longer how it is left.
                What::TakenUp => up.left.retain(|line| !line.starts_with("Left off. ")),
                What::HandedOver { because, call, standing, left_because } => {
                    up.left.push(format!("Handed over: {because}. To: {call}"));
                    let why = if left_because.is_empty() { String::new() } else { format!(", because {left_because}") };
                    up.left.push(format!("Unit: {standing}{why}"));
                }
                _ => {}
            }
        }
        if !up.correction.is_empty() && since_repair > 0 {
            up.tested_after = found.words(since_repair);
        }
        up.readings = found.words(0);
        up.readings.extend(found.unfinished());
        up
    }

    /// The write-up as text, in the order of a shop's: complaint, cause, correction, then what they go by.
    #[must_use]
    pub fn text(&self) -> String {
        let mut card = Card::default();
        self.head(&mut card);
        card.lines("Readings", &none(&self.readings, "None."));
        card.lines("Tested", &self.tested_after);
        self.foot(&mut card);
        card.text()
    }

    /// The same for a screen: where all of it would scroll complaint, cause and correction away, without the readings.
    /// `whole`: where all of it can be read.
    #[must_use]
    pub fn on_screen(&self, whole: &str) -> String {
        let text = self.text();
        if text.lines().count() <= MOST_ROWS {
            return text;
        }
        let mut card = Card::default();
        self.head(&mut card);
        let after = match self.tested_after.len() {
            0 => String::new(),
            tested => format!(", {tested} of them after the last repair"),
        };
        card.line("Readings", &format!("{}{after}: in {whole}", count(self.readings.len(), "test")));
        self.foot(&mut card);
        card.text()
    }

    fn head(&self, card: &mut Card) {
        card.title("Write-up");
        card.line("Playbook", &self.playbook);
        if !self.unit.is_empty() {
            card.line("Unit", &self.unit);
        }
        if !self.times.is_empty() {
            card.line("When", &self.times);
        }
        let complaint = if self.complaint.is_empty() { "Not taken down." } else { &self.complaint };
        card.line("Complaint", complaint);
        card.lines("Cause", &none(&self.cause, "Not found."));
        card.lines("Correction", &none(&self.correction, "Nothing was changed."));
        card.lines("Parts", &none(&self.parts, "None."));
    }

    fn foot(&self, card: &mut Card) {
        card.lines("Left", &self.left);
        card.lines("Notes", &self.notes);
    }
}

fn none(lines: &[String], words: &str) -> Vec<String> {
    if lines.is_empty() { vec![words.to_owned()] } else { lines.to_vec() }
}

/// What was found, each with the readings it was found from.
#[derive(Default)]
struct Found<'a> {
    lines: Vec<(&'a What, Vec<String>)>,
    /// The readings of the step that is not answered yet, and its title.
    step: &'a str,
    read: Vec<String>,
}

impl<'a> Found<'a> {
    fn hear(&mut self, event: &'a Event) {
        match &event.what {
            What::Read { step, place, reading, confirmed } => {
                if self.step != step {
                    self.step = step;
                    self.read.clear();
                }
                let sure = if *confirmed { SURE } else { "" };
                self.read.push(format!("{reading}{}{sure}", where_taken(place)));
            }
            What::Found { step, .. } => {
                let read = std::mem::take(&mut self.read);
                self.lines.push((&event.what, if self.step == step { read } else { Vec::new() }));
            }
            What::Cannot { .. } | What::Repaired { .. } => self.read.clear(),
            _ => {}
        }
    }

    fn words(&self, from: usize) -> Vec<String> {
        self.lines.iter().skip(from).filter_map(|(what, read)| line(what, read)).collect()
    }

    /// The last thing found not good.
    fn last_bad(&self, from: usize) -> Option<String> {
        let bad =
            self.lines.iter().skip(from).rev().find(|(what, _)| matches!(what, What::Found { is_good: false, .. }));
        bad.and_then(|(what, read)| line(what, read))
    }

    /// A test that was begun and not answered.
    fn unfinished(&self) -> Option<String> {
        let mark = if self.step.ends_with('?') { "" } else { "," };
        (!self.read.is_empty()).then(|| format!("{}{mark} begun: {}", self.step, self.read.join(", ")))
    }
}

/// " from L1 to L2": the place of a reading without its unit and without how the meter was set.
fn where_taken(place: &str) -> &str {
    let from = [" from ", " through ", " across ", " of ", " at "].iter().filter_map(|word| place.find(word)).min();
    let at = from.and_then(|from| place.get(from..)).unwrap_or("");
    at.split([',', ';']).next().unwrap_or(at)
}

/// Everything found that still counts, a line each.
#[must_use]
pub fn found_lines(events: &[Event]) -> Vec<String> {
    let mut found = Found::default();
    still_counts(events).into_iter().for_each(|event| found.hear(event));
    found.words(0)
}

/// A title may be a question.
fn titled(step: &str) -> String {
    format!("{step}{}", if step.ends_with('?') { "" } else { ":" })
}

/// "Amps in each element: 24.8 A through element-1, 0.2 A through element-2; the lower of the two 0.2 A, below 1 A (good: 19 to
/// 25 A)".
fn line(what: &What, read: &[String]) -> Option<String> {
    let What::Found { step, result, sum, line, good, is_good, by, .. } = what else { return None };
    let mut words = format!("{} ", titled(step));
    // A single reading is the result itself, unless it was asked back or only written down.
    let told = read.len() > 1 || result.is_empty() || read.iter().any(|read| read.ends_with(SURE));
    if told && !read.is_empty() {
        words.push_str(&format!("{}; ", read.join(", ")));
    }
    if !result.is_empty() && result != line {
        if !sum.is_empty() {
            words.push_str(&format!("{sum} "));
        }
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
