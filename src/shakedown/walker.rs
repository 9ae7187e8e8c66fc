//! Every walk a unit can lead a technician through, and how each ends.
//!
//! 1. Places: the states of the walk, kept once each, with what follows on each line. They are found by the same engine that
//!    the terminal uses, and remembered, so that a fork costs no repeated walk.
//! 2. From a place on, a unit with these faults in this corner can end in certain ways: worked out once, and remembered.
//! 3. Faults are taken out by the repair or adjust whose `for` matches them, and by nothing else.
//!
//! A fault that comes and goes is there or away when the walk starts. One that is there may go away for good at any test; one
//! that is away comes back only where something is watched over time. All of these are walked with single faults; in a pair it
//! stays: one that is away as the call is closed can be found by nobody.

use super::asked::{Answered, Bench};
use super::ground::{AskId, Gap, Ground, Work};
use super::result::{Ends, Outcome};
use crate::corners::CornerId;
use crate::engine::state::{Done, Fell, Kept};
use crate::engine::{Answer, At, InBook, Next, Reason, State, start, step};
use crate::language::syntax::BlockKind;
use crate::playbook::model::{EndId, Member, SlotId, TestId};
use crate::sheet::standing::Standing;
use crate::sheet::unit::model::FaultId;
use crate::trade::reading::Reading;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Index of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct PlaceId(u32);

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

/// Which answer and which of the lines it may fall on, and where that leads.
type Led = ((usize, usize), PlaceId);

/// One thing that may come of a place, and where it leads.
#[derive(Debug, Clone)]
pub struct Fork {
    /// The faults that are there as the test is asked: those left, without one that comes and goes just now.
    pub there: Vec<FaultId>,
    /// Which of the answers, and which of the lines it may fall on; `None` for "can't".
    pub nth: Option<(usize, usize)>,
    /// Where it leads.
    pub to: PlaceId,
    /// Those left, as they are from there on.
    pub left: Left,
}

/// A fault set on its way through a playbook.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Left {
    /// Faults still in the unit, in sheet order.
    pub faults: Vec<FaultId>,
    /// Those of them that are away for now.
    pub away: Vec<FaultId>,
    /// Whether those that come and go stay all the same.
    pub steady: bool,
    /// Whether something has been watched over time; kept only where a fault comes and goes.
    pub watched: bool,
}

impl Left {
    /// A unit with these faults at the start of a walk; of several none goes away.
    #[must_use]
    pub fn all(faults: &[FaultId]) -> Self {
        Self { faults: faults.to_vec(), away: Vec::new(), steady: faults.len() > 1, watched: false }
    }
}

/// Walks a playbook on a unit.
#[derive(Debug, Clone)]
pub struct Walker {
    /// The unit.
    pub bench: Bench,
    /// Faults that make some test of these playbooks read not good, alone in the unit.
    felt: Arc<BTreeSet<FaultId>>,
    /// A test that is always answered "can't".
    cannot: Option<InBook<TestId>>,
    places: Vec<Place>,
    known: BTreeMap<Arc<State>, PlaceId>,
    ends: BTreeMap<(PlaceId, Left, CornerId), Ends>,
    /// Tests asked, since it was last cleared.
    visited: BTreeSet<InBook<TestId>>,
    /// Tests met that have no model, and why.
    gaps: BTreeSet<(InBook<TestId>, Gap)>,
}

impl Walker {
    /// A walker that has walked nowhere yet.
    #[must_use]
    pub fn new(ground: &Arc<Ground>, felt: &Arc<BTreeSet<FaultId>>) -> Self {
        Self {
            bench: Bench::new(ground),
            felt: Arc::clone(felt),
            cannot: None,
            places: Vec::new(),
            known: BTreeMap::new(),
            ends: BTreeMap::new(),
            visited: BTreeSet::new(),
            gaps: BTreeSet::new(),
        }
    }

    /// From now on this test is always answered "can't".
    pub fn cannot(&mut self, test: Option<InBook<TestId>>) {
        if self.cannot != test {
            self.cannot = test;
            self.ends.clear();
        }
    }

    /// Forgets what came of units with more than one fault.
    pub fn forget_pairs(&mut self) {
        self.bench.forget_pairs();
        self.ends.retain(|(_, left, _), _| left.faults.len() < 2);
    }

    /// Forgets how walks end, so that every test on the way is met again; and the tests met.
    pub fn forget_ends(&mut self) {
        self.ends.clear();
        self.visited.clear();
    }

    /// The tests asked since they were forgotten.
    #[must_use]
    pub fn visited(&self) -> &BTreeSet<InBook<TestId>> {
        &self.visited
    }

    /// The tests met that have no model, and why.
    #[must_use]
    pub fn gaps(&self) -> &BTreeSet<(InBook<TestId>, Gap)> {
        &self.gaps
    }

    fn ground(&self) -> &Arc<Ground> {
        &self.bench.ground
    }

    /// Where walks of this playbook start.
    ///
    /// # Errors
    /// [`Gap`] where the playbook cannot be started.
    pub fn start(&mut self, book: crate::engine::BookId) -> Result<PlaceId, Gap> {
        let state = start(&self.ground().library, book)?;
        Ok(self.place(state))
    }

    /// Every way the walks from here on end, with these faults left, in this corner.
    pub fn ends(&mut self, here: PlaceId, left: &Left, corner: CornerId) -> Ends {
        let key = (here, left.clone(), corner);
        if let Some(known) = self.ends.get(&key) {
            return *known;
        }
        let ends = self.fresh(here, left, corner);
        self.ends.insert(key, ends);
        ends
    }

    fn fresh(&mut self, here: PlaceId, left: &Left, corner: CornerId) -> Ends {
        match self.what(here) {
            What::Test(ask) => {
                let (forks, gap) = self.forks(here, left, corner);
                let ends = forks.iter().fold(Ends::NONE, |ends, fork| ends.or(self.ends(fork.to, &fork.left, corner)));
                match gap {
                    None => ends,
                    Some(gap) => {
                        self.gaps.insert((self.ground().ask(ask).at, gap));
                        ends.or(Ends::one(Outcome::NotOnSheet))
                    }
                }
            }
            What::Work(..) => {
                let Some((next, cured, is_repair)) = self.worked(here, left) else {
                    return Ends::one(Outcome::NotOnSheet);
                };
                let ends = self.ends(next, &cured, corner);
                match (cured.faults.len() < left.faults.len(), is_repair) {
                    (true, _) => ends,
                    (false, true) => ends.at_least_as_bad_as(Outcome::WrongPart),
                    (false, false) => ends.needless(),
                }
            }
            What::Escalation(end, member) => Ends::one(self.escalated(end, member, left)),
            What::Closed if left.faults.is_empty() => Ends::one(Outcome::Right),
            What::Closed if left.faults.iter().any(|fault| self.felt.contains(fault)) => Ends::one(Outcome::Callback),
            What::Closed => Ends::unseen(),
            What::Handed(Reason::DidNotHold(_)) => Ends::one(Outcome::DidNotHold),
            // Only on a road where something can't be done: the shop's own hand-over is the honest end of it.
            What::Handed(_) => Ends::one(Outcome::Right),
            What::Stuck(gap) => {
                if let At::Test(visit) = &self.state(here).at {
                    let test = InBook { book: self.state(here).book(), id: visit.test };
                    self.gaps.insert((test, gap));
                }
                Ends::one(Outcome::NotOnSheet)
            }
        }
    }

    /// What a place is.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by `place`, within the table")]
    pub fn what(&self, id: PlaceId) -> What {
        self.places[id.0 as usize].what.clone()
    }

    /// The state of the walk at a place.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by `place`, within the table")]
    pub fn state(&self, id: PlaceId) -> Arc<State> {
        Arc::clone(&self.places[id.0 as usize].state)
    }

    fn comes_and_goes(&self, fault: FaultId) -> bool {
        self.ground().wired.unit.fault_of(fault).comes_and_goes.is_some()
    }

    /// What an escalation makes of a unit with these faults left.
    fn escalated(&self, end: InBook<EndId>, member: Option<Member>, left: &Left) -> Outcome {
        let nothing = Work::default();
        let work = self.ground().work(end, member).unwrap_or(&nothing);
        let named = left.faults.iter().any(|fault| work.cures.contains(fault));
        let intermittent = left.watched && left.faults.iter().any(|fault| self.comes_and_goes(*fault));
        match (left.faults.is_empty(), named) {
            (_, true) => Outcome::Right,
            // Nothing is wrong: right is whoever blames nothing.
            (true, _) if !work.names && !work.anything_else => Outcome::Right,
            _ if intermittent => Outcome::Intermittent,
            _ if work.anything_else => Outcome::OtherComplaint,
            _ => Outcome::Stumped,
        }
    }

    /// Past a repair or adjust: where it leads, the faults then left, and whether it is a repair.
    pub fn worked(&mut self, here: PlaceId, left: &Left) -> Option<(PlaceId, Left, bool)> {
        let What::Work(end, member) = self.what(here) else { return None };
        let next = self.plain(here, &Answer::Done)?;
        let cures = self.ground().work(end, member).map(|work| &work.cures);
        let stays = |fault: &&FaultId| !cures.is_some_and(|cures| cures.contains(fault));
        let faults: Vec<FaultId> = left.faults.iter().filter(stays).copied().collect();
        let is_repair = self.ground().library.end(end).kind == BlockKind::Repair;
        let away = left.away.iter().filter(|fault| faults.contains(fault)).copied().collect();
        let watched = left.watched && faults.iter().any(|fault| self.comes_and_goes(*fault));
        Some((next, Left { faults, away, watched, steady: left.steady }, is_repair))
    }

    /// Everything that may come of asking the test at a place, in a fixed order: with every fault there first. And why it has
    /// no model, where with some of them it has none.
    pub fn forks(&mut self, here: PlaceId, left: &Left, corner: CornerId) -> (Vec<Fork>, Option<Gap>) {
        let What::Test(id) = self.what(here) else { return (Vec::new(), None) };
        let ask = self.ground().ask(id);
        let (at, watches) = (ask.at, ask.watches);
        self.visited.insert(at);
        if self.cannot == Some(at) {
            return match self.plain(here, &Answer::Cannot) {
                Some(to) => (vec![Fork { there: left.faults.clone(), nth: None, to, left: left.clone() }], None),
                None => (Vec::new(), Some(Gap::NotTied)),
            };
        }
        let mut forks: Vec<Fork> = Vec::new();
        let mut gap = None;
        for left in self.moments(left, watches) {
            let there: Vec<FaultId> = left.faults.iter().filter(|fault| !left.away.contains(fault)).copied().collect();
            let asked = match self.asked(here, id, &there, corner) {
                Ok(asked) => asked,
                Err(why) => {
                    gap = gap.or(Some(why));
                    continue;
                }
            };
            for (nth, to) in asked {
                if !forks.iter().any(|known| known.to == to && known.left == left) {
                    forks.push(Fork { there: there.clone(), nth: Some(nth), to, left: left.clone() });
                }
            }
        }
        (forks, gap)
    }

    /// How the faults left may be as a test is asked, all there first.
    fn moments(&self, left: &Left, watches: bool) -> Vec<Left> {
        let moves = |fault: &&FaultId| !left.steady && self.comes_and_goes(**fault);
        let moving: Vec<FaultId> = left.faults.iter().filter(moves).copied().collect();
        let watched = left.faults.iter().any(|fault| self.comes_and_goes(*fault)) && (left.watched || watches);
        let mut moments = vec![Left { away: Vec::new(), watched, ..left.clone() }];
        for fault in moving {
            let gone: Vec<Left> = moments
                .iter()
                .map(|moment| Left { away: moment.away.iter().copied().chain([fault]).collect(), ..moment.clone() })
                .collect();
            // One that is away stays away, but where something is watched.
            if left.away.contains(&fault) && !watches {
                moments = gone;
            } else {
                moments.extend(gone);
            }
        }
        moments
    }

    /// Which answer and which of its lines, and where it leads.
    fn asked(&mut self, here: PlaceId, id: AskId, there: &[FaultId], corner: CornerId) -> Result<Vec<Led>, Gap> {
        let state = self.state(here);
        let ground = Arc::clone(self.ground());
        let ask = ground.ask(id);
        let test = ground.library.test(ask.at);
        let leaves = test.measures().iter().any(|measure| ground.is_kept(ask.at.book, measure.slot));
        let mut forks = Vec::new();
        if ask.before.is_empty() && !leaves {
            let ways = match self.bench.answered(id, there, corner, &state.standing) {
                Answered::Ways(ways) => ways,
                Answered::Gap(gap) => return Err(gap),
            };
            for (answer, fells) in ways.iter().enumerate() {
                for (at, fell) in fells.iter().enumerate() {
                    let to = match self.next(here, fell) {
                        Some(to) => to,
                        None => {
                            let answers = self.bench.answers(id, there, corner, &state.standing, true)?;
                            let answer = answers.get(answer).ok_or(Gap::NotTied)?;
                            self.led(here, answer, fell, at)?
                        }
                    };
                    forks.push(((answer, at), to));
                }
            }
            return Ok(forks);
        }
        let answers = self.bench.answers(id, there, corner, &state.standing, true)?;
        for (nth, answer) in answers.iter().enumerate() {
            for (at, next) in step(&ground.library, &state, answer)?.into_iter().enumerate() {
                let to = self.place(next.state);
                forks.push(((nth, at), to));
            }
        }
        Ok(forks)
    }

    fn next(&self, here: PlaceId, fell: &Fell) -> Option<PlaceId> {
        self.places.get(here.0 as usize)?.next.get(fell).copied()
    }

    /// What follows on the line an answer falls on as the `nth` of its ways, by the engine.
    fn led(&mut self, here: PlaceId, answer: &Answer, fell: &Fell, nth: usize) -> Result<PlaceId, Gap> {
        let state = self.state(here);
        let nexts: Vec<Next> = step(&self.ground().library, &state, answer)?;
        let next = nexts.into_iter().nth(nth).ok_or(Gap::NotTied)?;
        let to = self.place(next.state);
        if let Some(place) = self.places.get_mut(here.0 as usize) {
            place.next.insert(fell.clone(), to);
        }
        Ok(to)
    }

    fn plain(&mut self, here: PlaceId, answer: &Answer) -> Option<PlaceId> {
        if let Some(known) = self.places.get(here.0 as usize).and_then(|place| place.plain) {
            return Some(known);
        }
        let state = self.state(here);
        let next = step(&self.ground().library, &state, answer).ok()?.into_iter().next()?;
        let to = self.place(next.state);
        if let Some(place) = self.places.get_mut(here.0 as usize) {
            place.plain = Some(to);
        }
        Some(to)
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
        let ground = self.ground();
        let library = &ground.library;
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
        state.readings.retain(|(slot, _), _: &mut Kept| ground.is_kept(book, *slot));
        (state, None)
    }

    fn what_of(&self, state: &State) -> What {
        let ground = self.ground();
        let book = state.book();
        match &state.at {
            At::Test(visit) => {
                let at = InBook { book, id: visit.test };
                let member = match ground.library.test(at).members {
                    crate::playbook::model::Members::One => None,
                    crate::playbook::model::Members::Each(bank) => {
                        ground.library.book(book).bank(bank).members.get(visit.asked.len()).copied()
                    }
                    crate::playbook::model::Members::That(bank) => state.that.get(&bank).copied(),
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

    /// How the unit stands at a place.
    #[must_use]
    pub fn standing(&self, id: PlaceId) -> Standing {
        self.state(id).standing.clone()
    }

    /// What is read before a test at a place, for its sum.
    #[must_use]
    pub fn before(&self, id: PlaceId, slot: SlotId) -> Option<Reading> {
        crate::engine::reading_before(&self.ground().library, &self.state(id), slot)
    }

    /// The repair or adjust that did not hold.
    #[must_use]
    pub fn did_not_hold(&self, id: PlaceId) -> Option<Done> {
        match self.what(id) {
            What::Handed(Reason::DidNotHold(done)) => Some(done),
            _ => None,
        }
    }
}
