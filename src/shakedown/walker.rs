//! Every walk a unit can lead a technician through, and how each ends.
//!
//! 1. From a place on ([`super::places`]), a unit with these faults left ([`super::left`]) can end in certain ways at each corner:
//!    worked out once, for all corners that come there together, and remembered.
//! 2. Faults are taken out by the repair or adjust whose `for` matches them, and by nothing else.
//! 3. Of units with one fault and none it is remembered for good: pairs come down to them once a fault is cured.

use super::asked::{Answered, Asked, Bench};
use super::ground::{AskId, Gap, Ground, Work};
use super::left::{Left, comes_and_goes};
use super::places::{PlaceId, Places, What};
use super::result::{Ends, Outcome};
use crate::corners::CornerId;
use crate::engine::{Answer, At, BookId, InBook, Reason};
use crate::language::syntax::BlockKind;
use crate::playbook::model::{EndId, Member, SlotId, TestId};
use crate::sheet::standing::Standing;
use crate::sheet::unit::model::{FaultId, Unit};
use crate::trade::reading::Reading;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Which answer and which of the lines it may fall on, and where that leads.
type Led = ((usize, usize), PlaceId);

/// How walks end from a place on, by corner.
type Row = Vec<Option<Ends>>;

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

/// Walks a playbook on a unit.
#[derive(Debug)]
pub struct Walker {
    /// The unit.
    pub bench: Bench,
    /// The places met.
    pub places: Places,
    /// Faults that make some test of these playbooks read not good, alone in the unit.
    felt: Arc<BTreeSet<FaultId>>,
    /// A test that is always answered "can't".
    cannot: Option<InBook<TestId>>,
    /// By the faults left, then by place.
    ends: BTreeMap<Left, Vec<Row>>,
    /// Tests asked, since it was last cleared.
    visited: BTreeSet<InBook<TestId>>,
    /// Tests met that have no model, and why.
    pub gaps: BTreeSet<(InBook<TestId>, Gap)>,
}

impl Walker {
    /// A walker that has walked nowhere yet.
    #[must_use]
    pub fn new(ground: &Arc<Ground>, felt: &Arc<BTreeSet<FaultId>>) -> Self {
        Self {
            bench: Bench::new(ground),
            places: Places::new(ground),
            felt: Arc::clone(felt),
            cannot: None,
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
        self.ends.retain(|left, _| left.faults.len() < 2);
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

    fn ground(&self) -> &Arc<Ground> {
        &self.bench.ground
    }

    fn unit(&self) -> &Unit {
        &self.bench.ground.wired.unit
    }

    /// Where walks of this playbook start.
    ///
    /// # Errors
    /// [`Gap`] where the playbook cannot be started.
    pub fn start(&mut self, book: BookId) -> Result<PlaceId, Gap> {
        self.places.start(book)
    }

    /// Every way the walks from here on end, with these faults left, in this corner.
    pub fn ends(&mut self, here: PlaceId, left: &Left, corner: CornerId) -> Ends {
        self.ends_at(here, left, &[corner]).into_iter().next().unwrap_or(Ends::NONE)
    }

    /// The same at several corners: an entry each, in their order.
    pub fn ends_at(&mut self, here: PlaceId, left: &Left, corners: &[CornerId]) -> Vec<Ends> {
        let row = self.ends.get(left).and_then(|rows| rows.get(here.nth()));
        let known = |corner: &CornerId| *row?.get(usize::from(corner.0))?;
        let found: Vec<Option<Ends>> = corners.iter().map(known).collect();
        let open: Vec<CornerId> =
            corners.iter().zip(&found).filter(|(_, known)| known.is_none()).map(|(corner, _)| *corner).collect();
        if open.is_empty() {
            return found.into_iter().flatten().collect();
        }
        let fresh = self.fresh(here, left, &open);
        self.remember(here, left, &open, &fresh);
        let mut fresh = fresh.into_iter();
        found.into_iter().filter_map(|known| known.or_else(|| fresh.next())).collect()
    }

    fn remember(&mut self, here: PlaceId, left: &Left, corners: &[CornerId], ends: &[Ends]) {
        if !self.ends.contains_key(left) {
            self.ends.insert(left.clone(), Vec::new());
        }
        let Some(rows) = self.ends.get_mut(left) else { return };
        if rows.len() <= here.nth() {
            rows.resize_with(here.nth() + 1, Vec::new);
        }
        let Some(row) = rows.get_mut(here.nth()) else { return };
        for (corner, ends) in corners.iter().zip(ends) {
            let at = usize::from(corner.0);
            if row.len() <= at {
                row.resize(at + 1, None);
            }
            if let Some(known) = row.get_mut(at) {
                *known = Some(*ends);
            }
        }
    }

    fn fresh(&mut self, here: PlaceId, left: &Left, corners: &[CornerId]) -> Vec<Ends> {
        let all = |ends: Ends| vec![ends; corners.len()];
        match self.places.what(here).clone() {
            What::Test(ask) => self.tested(here, ask, left, corners),
            What::Work(..) => {
                let Some((next, cured, is_repair)) = self.worked(here, left) else {
                    return all(Ends::one(Outcome::NotOnSheet));
                };
                let mut ends = self.ends_at(next, &cured, corners);
                if cured.faults.len() == left.faults.len() {
                    for ends in &mut ends {
                        *ends = if is_repair { ends.at_least_as_bad_as(Outcome::WrongPart) } else { ends.needless() };
                    }
                }
                ends
            }
            What::Escalation(end, member) => all(Ends::one(self.escalated(end, member, left))),
            What::Closed if left.faults.is_empty() => all(Ends::one(Outcome::Right)),
            What::Closed if left.faults.iter().any(|fault| self.felt.contains(fault)) => {
                all(Ends::one(Outcome::Callback))
            }
            What::Closed => all(Ends::unseen()),
            What::Handed(Reason::DidNotHold(_)) => all(Ends::one(Outcome::DidNotHold)),
            // Only on a road where something can't be done: the shop's own hand-over is the honest end of it.
            What::Handed(_) => all(Ends::one(Outcome::Right)),
            What::Stuck(gap) => {
                let state = self.places.state(here);
                if let At::Test(visit) = &state.at {
                    let test = InBook { book: state.book(), id: visit.test };
                    self.gaps.insert((test, gap));
                }
                all(Ends::one(Outcome::NotOnSheet))
            }
        }
    }

    /// From a test on: the corners that are led to the same place go on together.
    fn tested(&mut self, here: PlaceId, id: AskId, left: &Left, corners: &[CornerId]) -> Vec<Ends> {
        let ask = self.ground().ask(id);
        let (at, watches) = (ask.at, ask.watches);
        self.visited.insert(at);
        if self.cannot == Some(at) {
            return match self.places.plain(here, &Answer::Cannot) {
                Some(to) => self.ends_at(to, left, corners),
                None => {
                    self.gaps.insert((at, Gap::NotTied));
                    vec![Ends::one(Outcome::NotOnSheet); corners.len()]
                }
            };
        }
        let mut ends = vec![Ends::NONE; corners.len()];
        let mut gaps: Vec<Option<Gap>> = vec![None; corners.len()];
        let mut led = Vec::new();
        let standing = Arc::clone(self.places.state(here));
        for moment in left.moments(self.unit(), watches) {
            let asked = self.bench.asked(id, &moment.there(), &standing.standing);
            // Asked once where the answer is the same.
            let mut alike: BTreeMap<CornerId, Vec<usize>> = BTreeMap::new();
            for (nth, corner) in corners.iter().enumerate() {
                alike.entry(self.bench.alike(&asked, *corner)).or_default().push(nth);
            }
            let mut together: BTreeMap<PlaceId, BTreeSet<usize>> = BTreeMap::new();
            for (corner, with) in alike {
                led.clear();
                if let Err(why) = self.led(here, &asked, corner, &mut led) {
                    for nth in with {
                        if let Some(gap) = gaps.get_mut(nth) {
                            gap.get_or_insert_with(|| why.clone());
                        }
                    }
                    continue;
                }
                for (_, to) in &led {
                    together.entry(*to).or_default().extend(&with);
                }
            }
            for (to, with) in together {
                let there: Vec<CornerId> = with.iter().filter_map(|nth| corners.get(*nth)).copied().collect();
                for (nth, more) in with.iter().zip(self.ends_at(to, &moment, &there)) {
                    if let Some(ends) = ends.get_mut(*nth) {
                        *ends = ends.or(more);
                    }
                }
            }
        }
        for (ends, gap) in ends.iter_mut().zip(gaps) {
            if let Some(gap) = gap {
                self.gaps.insert((at, gap));
                *ends = ends.or(Ends::one(Outcome::NotOnSheet));
            }
        }
        ends
    }

    /// What a place is.
    #[must_use]
    pub fn what(&self, id: PlaceId) -> &What {
        self.places.what(id)
    }

    /// What an escalation makes of a unit with these faults left.
    fn escalated(&self, end: InBook<EndId>, member: Option<Member>, left: &Left) -> Outcome {
        let nothing = Work::default();
        let work = self.ground().work(end, member).unwrap_or(&nothing);
        let named = left.faults.iter().any(|fault| work.cures.contains(fault));
        let intermittent = left.watched && left.faults.iter().any(|fault| comes_and_goes(self.unit(), *fault));
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
        let What::Work(end, member) = *self.places.what(here) else { return None };
        let next = self.places.plain(here, &Answer::Done)?;
        let cures = self.ground().work(end, member).map(|work| &work.cures);
        let is_repair = self.ground().library.end(end).kind == BlockKind::Repair;
        Some((next, left.without(cures, self.unit()), is_repair))
    }

    /// Everything that may come of asking the test at a place, in a fixed order: with every fault there first. And why it has
    /// no model, where with some of them it has none.
    pub fn forks(&mut self, here: PlaceId, left: &Left, corner: CornerId) -> (Vec<Fork>, Option<Gap>) {
        let What::Test(id) = *self.places.what(here) else { return (Vec::new(), None) };
        let ask = self.ground().ask(id);
        let (at, watches) = (ask.at, ask.watches);
        if self.cannot == Some(at) {
            return match self.places.plain(here, &Answer::Cannot) {
                Some(to) => (vec![Fork { there: left.faults.clone(), nth: None, to, left: left.clone() }], None),
                None => (Vec::new(), Some(Gap::NotTied)),
            };
        }
        let standing = Arc::clone(self.places.state(here));
        let mut forks: Vec<Fork> = Vec::new();
        let mut gap = None;
        for left in left.moments(self.unit(), watches) {
            let there = left.there();
            let asked = self.bench.asked(id, &there, &standing.standing);
            let mut led = Vec::new();
            if let Err(why) = self.led(here, &asked, corner, &mut led) {
                gap = gap.or(Some(why));
                continue;
            }
            for (nth, to) in led {
                if !forks.iter().any(|known| known.to == to && known.left == left) {
                    forks.push(Fork { there: there.clone(), nth: Some(nth), to, left: left.clone() });
                }
            }
        }
        (forks, gap)
    }

    /// Which answer and which of its lines, and where it leads, one after another into `led`.
    fn led(&mut self, here: PlaceId, asked: &Asked, corner: CornerId, led: &mut Vec<Led>) -> Result<(), Gap> {
        if self.ground().ask(asked.id).alone {
            let ways = match self.bench.answered(asked, corner) {
                Answered::Ways(ways) => ways,
                Answered::Gap(gap) => return Err(gap),
            };
            for (answer, fells) in ways.iter().enumerate() {
                for (at, fell) in fells.iter().enumerate() {
                    let to = match self.places.next(here, fell) {
                        Some(to) => to,
                        None => {
                            let answers = self.bench.answers(asked, corner, true)?;
                            let answer = answers.get(answer).ok_or(Gap::NotTied)?;
                            self.places.led(here, answer, fell, at)?
                        }
                    };
                    led.push(((answer, at), to));
                }
            }
            return Ok(());
        }
        for (nth, answer) in self.bench.answers(asked, corner, true)?.iter().enumerate() {
            led.extend(self.places.after(here, answer)?.into_iter().enumerate().map(|(at, to)| ((nth, at), to)));
        }
        Ok(())
    }

    /// How the unit stands at a place.
    #[must_use]
    pub fn standing(&self, id: PlaceId) -> Standing {
        self.places.state(id).standing.clone()
    }

    /// What is read before a test at a place, for its sum.
    #[must_use]
    pub fn before(&self, id: PlaceId, slot: SlotId) -> Option<Reading> {
        crate::engine::reading_before(&self.ground().library, self.places.state(id), slot)
    }
}
