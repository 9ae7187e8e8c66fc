//! What a test takes on a unit, and what it makes of it: every reading its sum needs, each in the states of the test that
//! takes it.

use super::arithmetic::{self, NoSum};
use super::model::{BankId, Branch, Member, Members, Playbook, Question, Scale, SlotId, Sum, Test, TestId};
use crate::circuit::unit::Wired;
use crate::corners::{CornerId, Desk, Tap, Unread, tap};
use crate::language::syntax::OutcomeKind;
use crate::sheet::standing::Standing;
use crate::sheet::unit::model::FaultId;
use crate::trade::reading::Reading;
use std::collections::BTreeMap;

/// The readings of one test, for the unit as a whole or for one member of a bank.
#[derive(Debug, Clone)]
pub struct Takings<'a> {
    book: &'a Playbook,
    id: TestId,
    /// The test's own readings first, in order of lines, then those of other tests.
    taken: Vec<Taken>,
    /// The member of each bank it is about.
    members: BTreeMap<BankId, Member>,
}

#[derive(Debug, Clone, Copy)]
struct Taken {
    slot: SlotId,
    by: TestId,
    tap: Tap,
}

impl<'a> Takings<'a> {
    /// The readings of a test, once for every member it may be about; with `extra`, a reading beside those its sum needs.
    /// `None` where the sheet has no such place.
    #[must_use]
    pub fn of(book: &'a Playbook, wired: &Wired, id: TestId, extra: Option<SlotId>) -> Option<Vec<Self>> {
        let test = book.test(id);
        let own = test.measures().iter().map(|measure| measure.slot);
        let mut slots: Vec<SlotId> = own.collect();
        if let Question::Sum { sum, .. } = &test.question {
            used(sum, &mut slots);
        }
        let supply = test.moving.as_ref().map(|moving| moving.at);
        for slot in extra.into_iter().chain(supply) {
            if !slots.contains(&slot) {
                slots.push(slot);
            }
        }
        let mut all = vec![BTreeMap::new()];
        for bank in banks(book, id, &slots) {
            let members = &book.bank(bank).members;
            all = all
                .into_iter()
                .flat_map(|known: BTreeMap<BankId, Member>| {
                    members.iter().map(move |member| {
                        let mut known = known.clone();
                        known.insert(bank, *member);
                        known
                    })
                })
                .collect();
        }
        all.into_iter().map(|members| Self::for_members(book, wired, id, &slots, members)).collect()
    }

    fn for_members(
        book: &'a Playbook,
        wired: &Wired,
        id: TestId,
        slots: &[SlotId],
        members: BTreeMap<BankId, Member>,
    ) -> Option<Self> {
        let taken = slots
            .iter()
            .map(|slot| {
                let by = book.slot(*slot).test;
                let test = book.test(by);
                let measure = test.measures().iter().find(|measure| measure.slot == *slot)?;
                let member =
                    bank_of(test.members).and_then(|bank| Some((book.bank(bank).name.as_str(), *members.get(&bank)?)));
                let over = measure.over.as_ref().map(|(kind, _, _)| *kind);
                let tap = tap(wired, measure.unit, &measure.probes, over, measure.loaded, member)?;
                Some(Taken { slot: *slot, by, tap })
            })
            .collect::<Option<Vec<_>>>()?;
        Some(Self { book, id, taken, members })
    }

    /// The test.
    #[must_use]
    pub fn test(&self) -> &'a Test {
        self.book.test(self.id)
    }

    /// The member it is about.
    #[must_use]
    pub fn member(&self) -> Option<Member> {
        bank_of(self.test().members).and_then(|bank| self.members.get(&bank).copied())
    }

    /// The taps, in the order of a set.
    #[must_use]
    pub fn taps(&self) -> Vec<Tap> {
        self.taken.iter().map(|taken| taken.tap).collect()
    }

    /// How the unit stands for the test: its states and what they need, all others at home.
    #[must_use]
    pub fn standing(&self, desk: &Desk) -> Standing {
        desk.standing(&self.test().with)
    }

    /// Every set of readings that may be taken together; with `standing`, the test's own are taken so instead of in its own
    /// states.
    ///
    /// # Errors
    /// [`Unread`] where one of them cannot be worked out.
    pub fn sets(
        &self,
        desk: &mut Desk,
        corner: CornerId,
        standing: Option<&Standing>,
        faults: &[FaultId],
    ) -> Result<Vec<Vec<Reading>>, Unread> {
        let mut sets: Vec<Vec<Reading>> = vec![Vec::with_capacity(self.taken.len())];
        let mut from = 0;
        while let Some(first) = self.taken.get(from) {
            // Readings of one test are taken together.
            let to = from + self.taken.iter().skip(from).take_while(|taken| taken.by == first.by).count();
            let taps: Vec<Tap> = self.taken.get(from..to).unwrap_or_default().iter().map(|taken| taken.tap).collect();
            let read = match standing.filter(|_| first.by == self.id) {
                Some(standing) => desk.read(corner, standing, faults, &taps)?,
                None => {
                    let standing = desk.standing(&self.book.test(first.by).with);
                    desk.read(corner, &standing, faults, &taps)?
                }
            };
            sets = sets
                .iter()
                .flat_map(|set| read.iter().map(move |more| set.iter().chain(more).copied().collect()))
                .collect();
            from = to;
        }
        Ok(sets)
    }

    /// The set on a good unit with every load off, where all of it is volts of the circuit that then still can be read.
    #[must_use]
    pub fn unloaded(&self, desk: &mut Desk, corner: CornerId) -> Option<Vec<Reading>> {
        let mut set = Vec::with_capacity(self.taken.len());
        for taken in self.taken.chunk_by(|one, next| one.by == next.by) {
            let by = taken.first()?.by;
            let standing = desk.standing(&self.book.test(by).with);
            let taps: Vec<Tap> = taken.iter().map(|taken| taken.tap).collect();
            set.extend(desk.unloaded(corner, &standing, &taps)?);
        }
        Some(set)
    }

    /// What the test judges from a set.
    ///
    /// # Errors
    /// [`NoSum`] where the sum has no answer for it.
    pub fn result(&self, set: &[Reading]) -> Result<Option<Reading>, NoSum> {
        let own = self.test().measures().len();
        let before = |slot: SlotId| self.reading(set, slot);
        arithmetic::result(self.book, self.test(), set.get(..own).unwrap_or(set), &before)
    }

    /// The `good` or `if` line a set falls on, by its index; `None` where no line takes it, or the technician has to judge.
    ///
    /// # Errors
    /// [`NoSum`] where the sum has no answer for it.
    pub fn line(&self, set: &[Reading]) -> Result<Option<usize>, NoSum> {
        let test = self.test();
        let (Scale::Numbers(_), Some(result)) = (test.scale, self.result(set)?) else { return Ok(None) };
        let moved = match &test.moving {
            None => None,
            Some(moving) => match self.reading(set, moving.at) {
                Some(Reading::Value(volts)) => Some(moving.takes(volts)),
                _ => return Ok(None),
            },
        };
        let mut lines = test.branches.iter().enumerate().filter(|(_, branch)| branch.kind != OutcomeKind::All);
        let takes = |at: usize, branch: &Branch| match &moved {
            Some(moved) => moved.get(at).is_some_and(|takes| takes.has(result)),
            None => branch.takes.has(result),
        };
        Ok(lines.find(|(at, branch)| takes(*at, branch)).map(|(at, _)| at))
    }

    /// The reading of a slot in a set.
    #[must_use]
    pub fn reading(&self, set: &[Reading], slot: SlotId) -> Option<Reading> {
        let at = self.taken.iter().position(|taken| taken.slot == slot)?;
        set.get(at).copied()
    }
}

/// The readings a sum needs, each once.
pub(super) fn used(sum: &Sum, slots: &mut Vec<SlotId>) {
    match sum {
        Sum::Slot(slot) if !slots.contains(slot) => slots.push(*slot),
        Sum::Slot(_) | Sum::Number(_) | Sum::Word(_) => {}
        Sum::Call(_, arguments) => arguments.iter().for_each(|argument| used(argument, slots)),
        Sum::Pair(_, left, right) => {
            used(left, slots);
            used(right, slots);
        }
        Sum::Minus(inner) => used(inner, slots),
    }
}

/// The banks a test and its readings are about, the test's own first.
fn banks(book: &Playbook, id: TestId, slots: &[SlotId]) -> Vec<BankId> {
    let mut banks: Vec<BankId> = Vec::new();
    let others = slots.iter().map(|slot| book.slot(*slot).test);
    for bank in std::iter::once(id).chain(others).filter_map(|test| bank_of(book.test(test).members)) {
        if !banks.contains(&bank) {
            banks.push(bank);
        }
    }
    banks
}

fn bank_of(members: Members) -> Option<BankId> {
    match members {
        Members::One => None,
        Members::Each(bank) | Members::That(bank) => Some(bank),
    }
}
