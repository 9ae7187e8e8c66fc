//! The roads through a playbook: where a walk can begin, what leads on, and how it came to a place.

use crate::language::syntax::{BlockKind, OutcomeKind};
use crate::playbook::model::{EndId, Playbook, Target, Test, TestId};
use crate::text::source::Span;
use std::collections::{BTreeMap, VecDeque};

/// Where a walk can begin, or go on with nothing read and no member picked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Entry {
    /// The first test: the complaint.
    First,
    /// A test that proves this repair or adjust.
    Verify(EndId),
    /// A test owed at the end of every call that changed something.
    Finish,
}

/// Every entry with its test: the first test, then those of `verify` lines, then `finish`.
pub(super) fn entries(playbook: &Playbook) -> Vec<(TestId, Entry)> {
    let verify = playbook.ends().flat_map(|(id, end)| end.verify.iter().map(move |test| (*test, Entry::Verify(id))));
    let finish = playbook.finish.iter().map(|test| (*test, Entry::Finish));
    std::iter::once((TestId(0), Entry::First)).chain(verify).chain(finish).collect()
}

/// One way out of a test.
#[derive(Debug, Clone, Copy)]
pub(super) struct Exit<'a> {
    /// `good`, `if` or `all`; `None` for `cannot`.
    pub kind: Option<OutcomeKind>,
    /// The limit or answer; "cannot" for `cannot`.
    pub words: &'a str,
    /// Where it leads.
    pub to: &'a Target,
    /// The line.
    pub span: Span,
}

/// Every way out of a test, in order of lines, `cannot` last.
pub(super) fn exits(test: &Test) -> impl Iterator<Item = Exit<'_>> {
    let lines = test.branches.iter().map(|branch| Exit {
        kind: Some(branch.kind),
        words: &branch.words,
        to: &branch.to,
        span: branch.span,
    });
    lines.chain(test.cannot.iter().map(|(to, span)| Exit { kind: None, words: "cannot", to, span: *span }))
}

/// Whether this repair or adjust changes the machine, so that it has to be proved.
pub(super) fn changes_something(kind: BlockKind) -> bool {
    matches!(kind, BlockKind::Repair | BlockKind::Adjust)
}

/// Everything that can be reached, each with the place before it on a shortest road.
#[derive(Debug)]
pub(super) struct Reached<S> {
    came: BTreeMap<S, Option<S>>,
}

impl<S: Copy + Ord> Reached<S> {
    /// Follows `next` from the starts, nearest first.
    pub(super) fn from<N: IntoIterator<Item = S>>(
        starts: impl IntoIterator<Item = S>,
        mut next: impl FnMut(S) -> N,
    ) -> Self {
        let mut came = BTreeMap::new();
        let mut queue = VecDeque::new();
        for start in starts {
            if came.insert(start, None).is_none() {
                queue.push_back(start);
            }
        }
        while let Some(here) = queue.pop_front() {
            for there in next(here) {
                came.entry(there).or_insert_with(|| {
                    queue.push_back(there);
                    Some(here)
                });
            }
        }
        Self { came }
    }

    /// Whether a road leads there.
    pub(super) fn has(&self, place: &S) -> bool {
        self.came.contains_key(place)
    }

    /// Everything reached, in order.
    pub(super) fn iter(&self) -> impl Iterator<Item = &S> {
        self.came.keys()
    }

    /// The shortest road there, the start first. Empty where none leads there.
    pub(super) fn road(&self, place: S) -> Vec<S> {
        let mut road = Vec::new();
        let mut at = self.has(&place).then_some(place);
        while let Some(here) = at {
            road.push(here);
            at = self.came.get(&here).copied().flatten();
        }
        road.reverse();
        road
    }
}

/// "`one-try`, `flame-look` and `set-rod`": the tests of a road by name.
pub(super) fn told(playbook: &Playbook, road: &[TestId]) -> String {
    let names: Vec<String> = road.iter().map(|id| format!("`{}`", playbook.test(*id).name)).collect();
    names.join(", ")
}
