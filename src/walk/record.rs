//! The record of a walk: a list of events, each with what happened.
//!
//! An event keeps the line that was typed. Typed again in the same order they lead to the same place: that is how a walk is
//! taken up again, and how a record can be held against its playbook.

use serde::{Deserialize, Serialize};

/// One event.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// When: date and time as the clock of the device told it.
    pub at: String,
    /// The line that was typed, where one led to it; of several events of one line, the first has it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub typed: Option<String>,
    /// What happened.
    #[serde(flatten)]
    pub what: What,
}

/// What happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "event", rename_all = "kebab-case", rename_all_fields = "kebab-case")]
pub enum What {
    /// The walk started.
    Started {
        /// The playbook's name.
        playbook: String,
        /// Its title.
        title: String,
        /// Its revision date.
        revised: String,
        /// The unit one stands at; empty where the playbook does not say which, and in records from before it was kept.
        #[serde(skip_serializing_if = "String::is_empty", default)]
        unit: String,
        /// A print of the texts walked, so that a record is never taken up against another text.
        print: String,
    },
    /// What the caller said.
    Complaint {
        /// The words.
        words: String,
    },
    /// How the unit stood at the start.
    FoundStanding {
        /// "live, covers on".
        standing: String,
    },
    /// A state was changed.
    Changed {
        /// The state and its value.
        state: String,
        /// How the unit stands then.
        standing: String,
    },
    /// Something was done.
    Did {
        /// The step it belongs to.
        step: String,
        /// What.
        words: String,
    },
    /// A reading was taken.
    Read {
        /// The step it belongs to.
        step: String,
        /// Where the probes were.
        place: String,
        /// The reading with its unit.
        reading: String,
    },
    /// A test was answered.
    Found {
        /// The test's name.
        test: String,
        /// Its title, with the member where it is one of several.
        step: String,
        /// What was judged: a reading, a sum; empty where words were.
        #[serde(skip_serializing_if = "String::is_empty", default)]
        result: String,
        /// The outcome line it fell on.
        line: String,
        /// What good is.
        #[serde(skip_serializing_if = "String::is_empty", default)]
        good: String,
        /// Whether it was good.
        is_good: bool,
        /// "judged by the technician", where it was.
        #[serde(skip_serializing_if = "String::is_empty", default)]
        by: String,
        /// What became of it on the list of tests owed.
        #[serde(skip_serializing_if = "String::is_empty", default)]
        owed: String,
    },
    /// A repair or adjust was done.
    Repaired {
        /// `repair` or `adjust`.
        kind: String,
        /// Its title, with the member where it is one of several.
        step: String,
        /// The parts used.
        #[serde(skip_serializing_if = "Vec::is_empty", default)]
        parts: Vec<String>,
        /// The tests owed then.
        owed: Vec<String>,
    },
    /// The walk came to an escalation.
    Escalated {
        /// Its title.
        step: String,
        /// Who to call.
        call: String,
        /// Why.
        because: Vec<String>,
    },
    /// "Can't do this one."
    Cannot {
        /// The step.
        step: String,
    },
    /// The part is not on the truck.
    NoPart {
        /// The step.
        step: String,
        /// The parts to bring.
        parts: Vec<String>,
    },
    /// Stop: not safe.
    Stopped {
        /// The step.
        step: String,
    },
    /// The last answer was taken back.
    TookBack {
        /// The step the walk is at again.
        step: String,
    },
    /// Words put in the record.
    Note {
        /// The words.
        words: String,
    },
    /// The walk was left off.
    LeftOff {
        /// How: the word, the end of the input, an interrupt.
        by: String,
        /// How the unit stands.
        standing: String,
    },
    /// The walk was taken up again.
    TakenUp,
    /// The call is closed.
    Closed {
        /// How the unit stands.
        standing: String,
    },
    /// The call is handed over.
    HandedOver {
        /// Why.
        because: String,
        /// To whom.
        call: String,
        /// How the unit stands.
        standing: String,
        /// Why it is left so, where it is not home and not locked out.
        #[serde(skip_serializing_if = "String::is_empty", default)]
        left_because: String,
    },
}

/// The record as text: YAML, an event an entry.
#[must_use]
pub fn plain_record(events: &[Event]) -> String {
    serde_yaml::to_string(events).unwrap_or_else(|problem| format!("The record cannot be written: {problem}\n"))
}
