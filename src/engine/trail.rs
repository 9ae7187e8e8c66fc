//! One walk with the way back: a technician's, where every answer has one successor.

use super::answer::{Answer, Refused};
use super::library::{BookId, Library};
use super::state::{At, State};
use super::step::{Next, start, step};
use crate::sheet::standing::Standing;

/// Where a walk stands and the answers that can still be taken back.
#[derive(Debug, Clone)]
pub struct Trail {
    now: State,
    past: Vec<State>,
}

impl Trail {
    /// At the start of a playbook.
    ///
    /// # Errors
    /// As [`start`].
    pub fn start(library: &Library, book: BookId) -> Result<Self, Refused> {
        Ok(Self { now: start(library, book)?, past: Vec::new() })
    }

    /// Where the walk stands.
    #[must_use]
    pub fn now(&self) -> &State {
        &self.now
    }

    /// How the unit stands, where that is found otherwise before the first step: a walk starts with every state at home.
    ///
    /// INVARIANT: the standing obeys every `only while`; the caller sees to it.
    pub fn stands(&mut self, standing: Standing) {
        self.now.standing = standing;
    }

    /// Where taking the last answer back would lead, the unit as it stands, and how it was left with that answer; `None` where
    /// there is none to take back.
    #[must_use]
    pub fn before(&self) -> Option<(State, &State)> {
        let standing = self.now.standing.clone();
        self.past.last().map(|before| (State { standing, ..before.clone() }, before))
    }

    /// Takes an answer.
    ///
    /// # Errors
    /// As [`step`]; [`Refused::NotHere`] where the answer leaves open what follows.
    pub fn answer(&mut self, library: &Library, answer: &Answer) -> Result<Next, Refused> {
        let mut all = step(library, &self.now, answer)?;
        let next = all.pop().filter(|_| all.is_empty()).ok_or(Refused::NotHere)?;
        let before = std::mem::replace(&mut self.now, next.state.clone());
        if self.now.done.len() > before.done.len() || self.now.is_over() {
            // A repair done stays done, and what is over is over.
            self.past.clear();
        } else if *answer != Answer::Changed {
            self.past.push(before);
        }
        Ok(next)
    }

    /// Takes the last answer back. The unit stays as it stands: a state changed is never taken back.
    /// `false` where there is no answer to take back.
    pub fn back(&mut self) -> bool {
        let Some(before) = self.past.pop() else { return false };
        let standing = self.now.standing.clone();
        self.now = State { standing, ..before };
        true
    }

    /// How many answers can be taken back.
    #[must_use]
    pub fn depth(&self) -> usize {
        self.past.len()
    }

    /// Whether there is an answer to take back.
    #[must_use]
    pub fn can_go_back(&self) -> bool {
        !self.past.is_empty() && !matches!(self.now.at, At::Closed | At::HandedOver(_))
    }
}
