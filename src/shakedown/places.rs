//! The places walks come to: the states of the walk, kept once each, with what follows on each line.
//!
//! They are found by the engine the terminal uses, and remembered, so that a fork costs no repeated walk.

use super::ground::{AskId, Gap, Ground};
use crate::engine::state::{Fell, Kept};
use crate::engine::{Answer, At, BookId, InBook, Next, OwedTold, Reason, State, start, step};
use crate::playbook::model::{EndId, Member, Members, TestId};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Index of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct PlaceId(u32);

impl PlaceId {
    /// Its place in the order met.
    #[must_use]
    pub fn nth(self) -> usize {
        self.0 as usize
    }
}

/// A place a walk can be at, the unit standing as it needs it.
#[derive(Debug, Clone)]
struct Place {
    state: Arc<State>,
    what: What,
    /// What follows on each line.
    next: BTreeMap<Fell, PlaceId>,
    /// What follows when the work is done, or on "can't".
    plain: Option<PlaceId>,
}

/// What a place is.
#[derive(Debug, Clone)]
pub enum What {
    /// A test is asked.
    Test(AskId),
    /// A repair or adjust.
    Work(InBook<EndId>, Option<Member>),
    /// An escalation.
    Escalation(InBook<EndId>, Option<Member>),
    /// Closed.
    Closed,
    /// Handed over by the shop's own rule.
    Handed(Reason),
    /// The walk does not go on.
    Stuck(Gap),
}

/// The places met so far.
#[derive(Debug, Clone)]
pub struct Places {
    ground: Arc<Ground>,
    places: Vec<Place>,
    known: BTreeMap<Arc<State>, PlaceId>,
    /// The lines some walk follows, by their index; an owed test that is struck leads nowhere.
    pub followed: BTreeSet<(InBook<TestId>, usize)>,
}

impl Places {
    /// Nothing met yet.
    #[must_use]
    pub fn new(ground: &Arc<Ground>) -> Self {
        Self { ground: Arc::clone(ground), places: Vec::new(), known: BTreeMap::new(), followed: BTreeSet::new() }
    }

    /// Where walks of this playbook start.
    ///
    /// # Errors
    /// [`Gap`] where the playbook cannot be started.
    pub fn start(&mut self, book: BookId) -> Result<PlaceId, Gap> {
        let state = start(&self.ground.library, book)?;
        Ok(self.place(state))
    }

    /// What a place is.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by `place`, within the table")]
    pub fn what(&self, id: PlaceId) -> &What {
        &self.places[id.nth()].what
    }

    /// The state of the walk at a place.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by `place`, within the table")]
    pub fn state(&self, id: PlaceId) -> &Arc<State> {
        &self.places[id.nth()].state
    }

    /// What follows on a line, where it was met before.
    #[must_use]
    pub fn next(&self, here: PlaceId, fell: &Fell) -> Option<PlaceId> {
        self.places.get(here.nth())?.next.get(fell).copied()
    }

    /// What follows on each way an answer may be taken.
    ///
    /// # Errors
    /// [`Gap`] where the walk does not take it.
    pub fn after(&mut self, here: PlaceId, answer: &Answer) -> Result<Vec<PlaceId>, Gap> {
        let nexts = step(&self.ground.library, self.state(here), answer)?;
        Ok(nexts.into_iter().map(|next| self.come_to(here, next)).collect())
    }

    /// What follows on the line an answer falls on as the `nth` of its ways; it is kept.
    ///
    /// # Errors
    /// [`Gap`] where the walk does not take it.
    pub fn led(&mut self, here: PlaceId, answer: &Answer, fell: &Fell, nth: usize) -> Result<PlaceId, Gap> {
        let nexts = step(&self.ground.library, self.state(here), answer)?;
        let next = nexts.into_iter().nth(nth).ok_or(Gap::NotTied)?;
        let to = self.come_to(here, next);
        if let Some(place) = self.places.get_mut(here.nth()) {
            place.next.insert(fell.clone(), to);
        }
        Ok(to)
    }

    /// What follows on the one answer of a place that is no reading: done with the work, or "can't".
    pub fn plain(&mut self, here: PlaceId, answer: &Answer) -> Option<PlaceId> {
        if let Some(known) = self.places.get(here.nth()).and_then(|place| place.plain) {
            return Some(known);
        }
        let to = self.after(here, answer).ok()?.first().copied()?;
        if let Some(place) = self.places.get_mut(here.nth()) {
            place.plain = Some(to);
        }
        Some(to)
    }

    fn come_to(&mut self, here: PlaceId, next: Next) -> PlaceId {
        let state = self.state(here);
        let line = next.told.line.filter(|_| next.told.owed != OwedTold::Struck);
        if let (At::Test(visit), Some(line)) = (&state.at, line) {
            let test = InBook { book: state.book(), id: visit.test };
            self.followed.insert((test, line));
        }
        self.place(next.state)
    }

    /// The place of a state, once the unit stands as it needs it. Readings nobody uses any more are left out, so that two
    /// ways to the same place are one.
    fn place(&mut self, state: State) -> PlaceId {
        let (state, stuck) = self.arrived(state);
        if let Some(known) = self.known.get(&state) {
            return *known;
        }
        let what = stuck.map_or_else(|| self.what_of(&state), What::Stuck);
        let id = PlaceId(u32::try_from(self.places.len()).unwrap_or(u32::MAX));
        let state = Arc::new(state);
        self.places.push(Place { state: Arc::clone(&state), what, next: BTreeMap::new(), plain: None });
        self.known.insert(state, id);
        id
    }

    /// Every change of state on the way made, and what a shop does by itself: closing, leaving.
    fn arrived(&self, mut state: State) -> (State, Option<Gap>) {
        let library = &self.ground.library;
        loop {
            let answer = match crate::engine::goal::changes(library, &state) {
                Err(why) => return (state, Some(Gap::from(why))),
                Ok(way) if !way.is_empty() => Answer::Changed,
                Ok(_) if matches!(state.at, At::Closing | At::Leaving(_)) => Answer::Done,
                Ok(_) => break,
            };
            match step(library, &state, &answer).map(|nexts| nexts.into_iter().next()) {
                Ok(Some(next)) => state = next.state,
                Ok(None) => break,
                Err(why) => return (state, Some(Gap::from(why))),
            }
        }
        let book = state.book();
        state.readings.retain(|(slot, _), _: &mut Kept| self.ground.is_kept(book, *slot));
        (state, None)
    }

    fn what_of(&self, state: &State) -> What {
        let ground = &self.ground;
        let book = state.book();
        match &state.at {
            At::Test(visit) => {
                let at = InBook { book, id: visit.test };
                let member = match ground.library.test(at).members {
                    Members::One => None,
                    Members::Each(bank) => ground.library.book(book).bank(bank).members.get(visit.asked.len()).copied(),
                    Members::That(bank) => state.that.get(&bank).copied(),
                };
                ground.find(at, member).map_or(What::Stuck(Gap::NotTied), What::Test)
            }
            At::Work(end, member) => {
                let at = InBook { book, id: *end };
                if ground.hands_on(at) { What::Escalation(at, *member) } else { What::Work(at, *member) }
            }
            At::HandedOver(reason) | At::Leaving(reason) => What::Handed(*reason),
            At::Closed | At::Closing => What::Closed,
        }
    }
}
