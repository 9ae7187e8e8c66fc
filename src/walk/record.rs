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
        /// The folder of playbooks it was walked from; empty in records from before it was kept.
        #[serde(skip_serializing_if = "String::is_empty", default)]
        from: String,
        /// A print of the texts walked, so that a record is never taken up against another text.
        print: String,
    },
    /// What the caller said.
    Complaint {
        /// The words.
        words: String,
    },
    /// How something stood at the start, otherwise than the walk took it.
    FoundOtherwise {
        /// The state and its value.
        state: String,
        /// How the unit stands.
        standing: String,
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
        /// It was far off what the place can show, was asked back, and said again.
        #[serde(skip_serializing_if = "is_false", default)]
        confirmed: bool,
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
        /// What was judged of several readings: "the lowest of the three".
        #[serde(skip_serializing_if = "String::is_empty", default)]
        sum: String,
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
        /// What of an answered step is asked again: its last `reading`, its `question`; empty, all of the step, and where the step
        /// was not answered yet.
        #[serde(skip_serializing_if = "String::is_empty", default)]
        to: String,
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

impl Event {
    /// Whether it tells the same as another, however either is worded and whatever more a newer record keeps.
    #[must_use]
    pub fn tells_the_same(&self, other: &Self) -> bool {
        use What::{Changed, FoundOtherwise, FoundStanding, Read, Started};
        self.typed == other.typed
            && match (&self.what, &other.what) {
                (Started { playbook: a, print: b, .. }, Started { playbook: c, print: d, .. }) => (a, b) == (c, d),
                (FoundStanding { .. }, FoundStanding { .. }) => true,
                (FoundOtherwise { state: a, .. }, FoundOtherwise { state: b, .. })
                | (Changed { state: a, .. }, Changed { state: b, .. }) => a == b,
                (Read { step: a, reading: b, .. }, Read { step: c, reading: d, .. }) => (a, b) == (c, d),
                (
                    What::Found { test: a, step: b, result: c, is_good: d, .. },
                    What::Found { test: e, step: f, result: g, is_good: h, .. },
                ) => (a, b, c, d) == (e, f, g, h),
                (one, other) => one == other,
            }
    }

    /// The step an answer was given at, if it is one that can be taken back.
    fn answered(&self) -> Option<&str> {
        match &self.what {
            What::Found { step, .. }
            | What::Cannot { step }
            | What::Stopped { step }
            | What::NoPart { step, .. }
            | What::Escalated { step, .. } => Some(step),
            _ => None,
        }
    }

    /// The step something was read or done at.
    fn on_the_way(&self) -> Option<&str> {
        match &self.what {
            What::Read { step, .. } | What::Did { step, .. } => Some(step),
            _ => None,
        }
    }
}

/// What still counts: the events without those taken back. A state that was changed stays changed, a note stays.
#[must_use]
pub fn still_counts(events: &[Event]) -> Vec<&Event> {
    let mut left: Vec<&Event> = Vec::new();
    for event in events {
        match &event.what {
            What::TookBack { step, to } => take_back(&mut left, step, to),
            _ => left.push(event),
        }
    }
    left
}

/// Takes the last thing off that leads back to `step`, and to what of it.
fn take_back(left: &mut Vec<&Event>, step: &str, to: &str) {
    let last = left.iter().rposition(|event| event.answered().or(event.on_the_way()).is_some());
    // Back within a step: what was last read or done in it.
    if let (Some(at), "") = (last, to)
        && left.get(at).is_some_and(|event| event.on_the_way() == Some(step))
    {
        left.remove(at);
        return;
    }
    // Back over the answer of a step: with it go its readings, and what was begun behind it.
    let Some(answer) = left.iter().rposition(|event| event.answered().is_some()) else { return };
    if left.get(answer).and_then(|event| event.answered()) != Some(step) {
        return;
    }
    let last_reading = |event: &&Event| matches!(&event.what, What::Read { step: there, .. } if there == step);
    let first = match to {
        "" => left
            .iter()
            .take(answer)
            .rposition(|event| match event.on_the_way() {
                Some(there) => there != step,
                None => event.answered().is_some(),
            })
            .map_or(0, |before| before + 1),
        "reading" => left.iter().take(answer).rposition(last_reading).unwrap_or(answer),
        _ => answer,
    };
    let mut at = 0;
    left.retain(|event| {
        let goes = at == answer
            || at >= first && (to.is_empty() || at == first || at > answer) && event.on_the_way().is_some();
        at += 1;
        !goes
    });
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference to it")]
fn is_false(value: &bool) -> bool {
    !*value
}

/// The record as text: YAML, an event an entry.
#[must_use]
pub fn plain_record(events: &[Event]) -> String {
    serde_yaml::to_string(events).unwrap_or_else(|problem| format!("The record cannot be written: {problem}\n"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What was taken back no longer counts, with all that was read on the way to it; what was changed and noted stays.
    #[test]
    fn what_was_taken_back_does_not_count() {
        let read = |step: &str, reading: &str| What::Read {
            step: step.into(),
            place: "V AC from L1 to L2".into(),
            reading: reading.into(),
            confirmed: false,
        };
        let cannot = |step: &str| What::Cannot { step: step.into() };
        let back = |step: &str| What::TookBack { step: step.into(), to: String::new() };
        let back_to = |step: &str, to: &str| What::TookBack { step: step.into(), to: to.into() };
        let note = || What::Note { words: "hot".into() };
        for (events, want) in [
            // Back in a step takes the last reading.
            (vec![read("A", "1 V"), read("A", "2 V"), back("A")], vec![read("A", "1 V")]),
            // Back over an answer takes it with its readings, and what was begun behind it.
            (vec![read("A", "1 V"), cannot("A"), note(), read("B", "2 V"), back("B"), back("A")], vec![note()]),
            (vec![read("A", "1 V"), cannot("A"), read("B", "2 V"), back("A")], vec![]),
            // Only that one.
            (
                vec![read("A", "1 V"), cannot("A"), read("B", "2 V"), cannot("B"), back("B")],
                vec![read("A", "1 V"), cannot("A")],
            ),
            (vec![cannot("A"), back("A"), read("A", "3 V"), cannot("A")], vec![read("A", "3 V"), cannot("A")]),
            // Only its last reading, or its question, is asked again.
            (
                vec![read("A", "1 V"), read("A", "2 V"), cannot("A"), read("B", "3 V"), back_to("A", "reading")],
                vec![read("A", "1 V")],
            ),
            (vec![read("A", "1 V"), cannot("A"), back_to("A", "question")], vec![read("A", "1 V")]),
            // What the caller said is no answer of a step.
            (vec![cannot("A"), back("What the caller said")], vec![cannot("A")]),
        ] {
            let events: Vec<Event> =
                events.into_iter().map(|what| Event { at: String::new(), typed: None, what }).collect();
            let left: Vec<&What> = still_counts(&events).into_iter().map(|event| &event.what).collect();
            assert_eq!(left, want.iter().collect::<Vec<_>>(), "{events:?}");
        }
    }
}
