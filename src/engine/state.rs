//! Where a walk stands: everything that decides what comes next, and nothing else.
//!
//! States compare and hash by what they hold, so that two ways to the same place are one.

use super::library::{BookId, InBook};
use crate::playbook::model::{BankId, EndId, Member, SlotId, TestId};
use crate::sheet::standing::Standing;
use crate::trade::reading::Reading;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Where a walk stands.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct State {
    /// The block, or the end.
    pub at: At,
    /// How the unit stands.
    pub standing: Standing,
    /// The playbooks that led here; the last is the one being walked. Never empty.
    pub chain: Arc<[BookId]>,
    /// The readings taken since the last repair, by member where a bank has them.
    pub readings: BTreeMap<(SlotId, Option<Member>), Kept>,
    /// The member picked in each bank.
    pub that: BTreeMap<BankId, Member>,
    /// The tests owed, next one first.
    pub owed: Vec<Owed>,
    /// Repairs and adjusts done, in order.
    pub done: Vec<Done>,
}

/// What the walk waits at.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum At {
    /// A test.
    Test(Visit),
    /// The work of a repair, adjust or escalation, for the member picked.
    Work(EndId, Option<Member>),
    /// Nothing is owed any more: every state goes home, then the shop's closing list.
    Closing,
    /// Handed over, once the unit stands as it is left.
    Leaving(Reason),
    /// Over: closed.
    Closed,
    /// Over: handed over.
    HandedOver(Reason),
}

/// A test being asked.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Visit {
    /// Which.
    pub test: TestId,
    /// Whether it is asked because it is owed: the first of the owed list. Met in another way, it strikes nothing.
    pub owed: bool,
    /// The members of a bank already asked, lowest first, and the lines they fell on.
    pub asked: Vec<(Member, Fell)>,
}

/// The lines a reading or an answer falls on, by their index.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Fell {
    /// The `good` or `if` line; `None` where only `all` lines take it.
    pub line: Option<u16>,
    /// The `all` lines.
    pub alls: Vec<u16>,
}

/// A test owed after a repair.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Owed {
    /// The playbooks that led to it; the last is its own.
    pub chain: Arc<[BookId]>,
    /// Which test.
    pub test: TestId,
    /// The member repaired, in its bank.
    pub that: Option<(BankId, Member)>,
}

/// A repair or adjust that has been done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Done {
    /// Which.
    pub end: InBook<EndId>,
    /// For which member.
    pub member: Option<Member>,
}

/// Why a call is handed over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reason {
    /// An escalation.
    Escalated(InBook<EndId>),
    /// The part for this repair is not on the truck.
    NoPart(Done),
    /// The same repair or adjust came up again.
    DidNotHold(Done),
    /// "Can't do this one" in an owed test: repaired, not checked.
    NotChecked(InBook<TestId>),
    /// "Can't do this one" in a test that names no other way.
    CannotTest(InBook<TestId>),
    /// "Can't do this one" in a repair or adjust.
    CannotWork(Done),
    /// The unit could not be put back to close the call.
    NotPutBack,
    /// Stop, not safe.
    NotSafe,
}

/// A reading kept. It compares by its decimals.
#[derive(Debug, Clone, Copy)]
pub struct Kept(pub Reading);

impl Kept {
    /// Numbers in their order, then `OL`.
    fn key(self) -> (u8, u64) {
        match self.0 {
            // Flips the bits so that the order of the keys is the order of the numbers, below zero too.
            Reading::Value(value) => {
                let bits = (value + 0.0).to_bits();
                (0, if bits >> 63 == 1 { !bits } else { bits | 1 << 63 })
            }
            Reading::OverLimit => (1, 0),
        }
    }
}

impl PartialEq for Kept {
    fn eq(&self, other: &Self) -> bool {
        self.key() == other.key()
    }
}

impl Eq for Kept {}

impl PartialOrd for Kept {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Kept {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.key().cmp(&other.key())
    }
}

impl std::hash::Hash for Kept {
    fn hash<H: std::hash::Hasher>(&self, state: &mut H) {
        self.key().hash(state);
    }
}

impl State {
    /// The playbook being walked.
    #[must_use]
    pub fn book(&self) -> BookId {
        self.chain.last().copied().unwrap_or(BookId(0))
    }

    /// Whether the walk is over.
    #[must_use]
    pub fn is_over(&self) -> bool {
        matches!(self.at, At::Closed | At::HandedOver(_))
    }

    /// Whether a repair or adjust has been done.
    #[must_use]
    pub fn changed_something(&self) -> bool {
        !self.done.is_empty()
    }
}
