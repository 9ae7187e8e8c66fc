//! Taking a walk up again from its record.

use super::{Job, Reply, Walk};
use crate::engine::{BookId, Library, Refused};
use crate::playbook::model::Target;
use crate::walk::card::Card;
use crate::walk::record::{Event, What};
use std::sync::Arc;

/// Why a record cannot be taken up again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TakeUp {
    /// The first event is no start of a walk.
    NoStart,
    /// The playbook, or one it goes on to, has been changed since.
    OtherText,
    /// The call was ended.
    Ended,
    /// The events do not follow from what was typed; the number of the first that does not.
    Parted(usize),
    /// The walk cannot start.
    Refused(String),
}

impl std::fmt::Display for TakeUp {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoStart => f.write_str("This is no record of a walk: its first event is not a start."),
            Self::OtherText => f.write_str(
                "The playbook has been changed since this record. Start a new walk; the record stays as it is.",
            ),
            Self::Ended => f.write_str("This call has ended. Start a new walk."),
            Self::Parted(number) => {
                write!(f, "Event {number} of the record does not follow from what was typed before it.")
            }
            Self::Refused(why) => f.write_str(why),
        }
    }
}

impl Walk {
    /// Takes up a walk from its record: what was typed is typed again, and must lead to the same events.
    ///
    /// # Errors
    /// [`TakeUp`] where it does not.
    pub fn take_up(
        library: Arc<Library>,
        book: BookId,
        job: Job,
        record: &[Event],
        at: &str,
    ) -> Result<(Self, Reply), TakeUp> {
        let Some(Event { at: then, what: What::Started { print: recorded, .. }, .. }) = record.first() else {
            return Err(TakeUp::NoStart);
        };
        if *recorded != print(&library, book) {
            return Err(TakeUp::OtherText);
        }
        let refused = |why: Refused| TakeUp::Refused(why.to_string());
        let (mut walk, _) = Self::start(library, book, job, then).map_err(refused)?;
        // Taken as it was then: what is asked back today may stand in an old record.
        walk.trusting = true;
        for event in record.iter().skip(1) {
            match (&event.what, &event.typed) {
                (What::LeftOff { .. } | What::TakenUp, _) => walk.events.push(event.clone()),
                (What::Complaint { .. }, Some(typed)) => {
                    walk.typed = Some(typed.clone());
                    walk.complained(typed, &event.at, &mut Card::default());
                }
                (what, Some(typed)) => {
                    walk.back_to = if let What::TookBack { to, .. } = what { Some(to.clone()) } else { None };
                    walk.hear(typed, &event.at);
                }
                _ => {}
            }
        }
        for (nth, event) in record.iter().enumerate() {
            if !walk.events.get(nth).is_some_and(|again| again.tells_the_same(event)) {
                return Err(TakeUp::Parted(nth + 1));
            }
        }
        // Worded as it was then.
        for (again, event) in walk.events.iter_mut().zip(record) {
            again.clone_from(event);
        }
        walk.trusting = false;
        walk.back_to = None;
        if walk.is_over() {
            return Err(TakeUp::Ended);
        }
        walk.draft.head_shown = false;
        let before = walk.events.len();
        walk.note(at, What::TakenUp);
        let mut card = Card::default();
        card.say("Taken up where it was left off. Look whether the unit still stands so.");
        walk.screen(&mut card);
        let events = walk.events.get(before..).unwrap_or_default().to_vec();
        Ok((walk, Reply { text: card.text(), events }))
    }
}

/// A print of the texts a walk can reach: this playbook and those it goes on to.
pub(super) fn print(library: &Library, book: BookId) -> String {
    let mut reached = vec![book];
    let mut next = 0;
    while let Some(book) = reached.get(next).copied() {
        next += 1;
        let book = library.book(book);
        for (target, _) in book.tests.iter().flat_map(|test| book.ways_out(test)) {
            if let Target::Playbook(name) = target
                && let Some(other) = library.find(name)
                && !reached.contains(&other)
            {
                reached.push(other);
            }
        }
    }
    let mut hash = blake3::Hasher::new();
    for book in reached {
        hash.update(library.book(book).source.text().as_bytes());
        hash.update(&[0]);
    }
    hash.finalize().to_hex().chars().take(16).collect()
}
