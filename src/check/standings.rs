//! How the unit can stand while each block is worked on, over every road.
//!
//! A block that names power and covers stands as it says. Only for one that does not, the roads are followed: from home
//! (and, where other playbooks lead here or from here, from any power and covers), over every line, and after a repair
//! over what is then owed.

use super::Subject;
use super::roads::{Reached, changes_something, exits};
use crate::playbook::model::{EndId, Playbook, Target, TestId};
use crate::playbook::ways::way;
use crate::sheet::standing::Standing;
use crate::sheet::states::{Stand, States};
use std::collections::{BTreeMap, BTreeSet};

/// A block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum At {
    Test(TestId),
    End(EndId),
}

/// A block and how the unit stands while it is worked on, by number.
type Here = (At, usize);

/// The roads, followed on the first question.
pub(super) struct Standings<'a> {
    subject: Subject<'a>,
    followed: Option<(Vec<Standing>, Reached<Here>)>,
}

impl<'a> Standings<'a> {
    pub(super) fn of(subject: Subject<'a>) -> Self {
        Self { subject, followed: None }
    }

    /// A road on which the unit stands so at this test: the name of the block before, if there is one.
    pub(super) fn comes_to_test(
        &mut self,
        id: TestId,
        so: impl Fn(&States, &Standing) -> bool,
    ) -> Option<Option<String>> {
        self.comes_to(At::Test(id), so)
    }

    /// The same for a repair or adjust.
    pub(super) fn comes_to_end(
        &mut self,
        id: EndId,
        so: impl Fn(&States, &Standing) -> bool,
    ) -> Option<Option<String>> {
        self.comes_to(At::End(id), so)
    }

    /// Every way the unit can stand at this test, in the order they are met.
    pub(super) fn at_test(&mut self, id: TestId) -> Vec<Standing> {
        let (standings, reached) = self.followed.get_or_insert_with(|| follow(self.subject));
        let here = reached.iter().filter(|(block, _)| *block == At::Test(id));
        here.filter_map(|(_, number)| standings.get(*number).cloned()).collect()
    }

    fn comes_to(&mut self, at: At, so: impl Fn(&States, &Standing) -> bool) -> Option<Option<String>> {
        let playbook = self.subject.playbook;
        let (standings, reached) = self.followed.get_or_insert_with(|| follow(self.subject));
        let here = reached
            .iter()
            .filter(|(block, _)| *block == at)
            .find(|(_, number)| standings.get(*number).is_some_and(|standing| so(&playbook.states, standing)))?;
        let road = reached.road(*here);
        let before = road.len().checked_sub(2).and_then(|before| road.get(before));
        Some(before.map(|(block, _)| match block {
            At::Test(id) => playbook.test(*id).name.clone(),
            At::End(id) => playbook.end(*id).name.clone(),
        }))
    }
}

/// Standings by number, and the ways taken between them so far.
struct Ground<'a> {
    playbook: &'a Playbook,
    standings: Vec<Standing>,
    numbers: BTreeMap<Standing, usize>,
    ways: BTreeMap<(usize, At), Option<usize>>,
}

impl Ground<'_> {
    fn number(&mut self, standing: Standing) -> usize {
        if let Some(number) = self.numbers.get(&standing) {
            return *number;
        }
        let number = self.standings.len();
        self.standings.push(standing.clone());
        self.numbers.insert(standing, number);
        number
    }

    /// How the unit stands at a block when it is reached standing so. `None` where there is no way: told by its own check.
    fn at(&mut self, from: usize, block: At) -> Option<Here> {
        if let Some(known) = self.ways.get(&(from, block)) {
            return known.map(|number| (block, number));
        }
        let with = match block {
            At::Test(id) => &self.playbook.test(id).with,
            At::End(id) => &self.playbook.end(id).with,
        };
        let mut standing = self.standings.get(from)?.clone();
        let changes = way(&self.playbook.states, &standing, with).ok();
        let number = changes.map(|changes| {
            changes.into_iter().for_each(|change| standing.set(change.stand()));
            self.number(standing)
        });
        self.ways.insert((from, block), number);
        number.map(|number| (block, number))
    }
}

fn follow(subject: Subject<'_>) -> (Vec<Standing>, Reached<Here>) {
    let playbook = subject.playbook;
    let owed = Owed::of(playbook);
    let mut ground = Ground { playbook, standings: Vec::new(), numbers: BTreeMap::new(), ways: BTreeMap::new() };
    let home = ground.number(Standing::home(&playbook.states));
    let mut starts: Vec<Here> = ground.at(home, At::Test(TestId(0))).into_iter().collect();
    // What other playbooks leave behind is not known here.
    let led_to = subject.others.lead_to(&playbook.name);
    let leads_on = playbook.tests.iter().flat_map(exits).any(|exit| matches!(exit.to, Target::Playbook(_)));
    for number in any_power_and_covers(&playbook.states).map(|standing| ground.number(standing)).collect::<Vec<_>>() {
        let first = led_to.then_some(TestId(0));
        let finish = playbook.finish.iter().copied().filter(|_| leads_on);
        starts.extend(first.into_iter().chain(finish).filter_map(|test| ground.at(number, At::Test(test))));
    }
    let reached = Reached::from(starts, |(block, number)| {
        let next: Vec<At> = match block {
            At::Test(id) => exits(playbook.test(id))
                .filter_map(|exit| match exit.to {
                    Target::Test(to) => Some(At::Test(*to)),
                    Target::End(to) => Some(At::End(*to)),
                    Target::Playbook(_) | Target::Nowhere => None,
                })
                .chain(owed.after_test(id).map(At::Test))
                .collect(),
            At::End(id) => owed.after_end(id).map(At::Test).collect(),
        };
        next.into_iter().filter_map(|to| ground.at(number, to)).collect::<Vec<_>>()
    });
    (ground.standings, reached)
}

fn any_power_and_covers(states: &States) -> impl Iterator<Item = Standing> {
    let covers_off = Stand { value: crate::sheet::states::ValueId(1), ..Stand::COVERS_ON };
    let both = move |power, covers| {
        let mut standing = Standing::home(states);
        standing.set(power);
        standing.set(covers);
        standing
    };
    [Stand::LIVE, Stand::LOCKED_OUT]
        .into_iter()
        .flat_map(move |power| [Stand::COVERS_ON, covers_off].map(|covers| both(power, covers)))
}

/// Which tests can be next when one was struck off, or a repair done.
struct Owed {
    after_test: BTreeMap<TestId, BTreeSet<TestId>>,
    after_end: BTreeMap<EndId, BTreeSet<TestId>>,
}

impl Owed {
    fn of(playbook: &Playbook) -> Self {
        let mut owed = Self { after_test: BTreeMap::new(), after_end: BTreeMap::new() };
        let finish = &playbook.finish;
        let leads = Leads::of(playbook);
        for first in finish {
            // What was owed before comes first, so any of them can follow any other.
            owed.after_test.entry(*first).or_default().extend(finish.iter().filter(|next| *next != first));
        }
        for (id, end) in playbook.ends().filter(|(_, end)| changes_something(end.kind)) {
            let mut last = finish.clone();
            last.extend(leads.still_owed(playbook, id));
            for (at, test) in end.verify.iter().enumerate() {
                let next = owed.after_test.entry(*test).or_default();
                match end.verify.get(at + 1) {
                    Some(following) => {
                        next.insert(*following);
                    }
                    None => next.extend(last.iter().copied()),
                }
            }
            let first = owed.after_end.entry(id).or_default();
            match end.verify.first() {
                Some(test) => {
                    first.insert(*test);
                }
                None => first.extend(last),
            }
        }
        owed
    }

    fn after_test(&self, id: TestId) -> impl Iterator<Item = TestId> {
        self.after_test.get(&id).into_iter().flatten().copied()
    }

    fn after_end(&self, id: EndId) -> impl Iterator<Item = TestId> {
        self.after_end.get(&id).into_iter().flatten().copied()
    }
}

/// What every repair and adjust can lead on to: the tests it is verified by, and the repairs and adjusts that these lead to.
struct Leads {
    by_end: Vec<(EndId, BTreeSet<EndId>)>,
}

impl Leads {
    /// One walk over the tests for each repair and adjust.
    fn of(playbook: &Playbook) -> Self {
        let changing = playbook.ends().filter(|(_, end)| changes_something(end.kind));
        let by_end = changing.map(|(id, end)| {
            let mut ends = BTreeSet::new();
            let mut met = vec![false; playbook.tests.len()];
            let mut open = end.verify.clone();
            while let Some(test) = open.pop() {
                if met.get_mut(usize::from(test.0)).is_none_or(|met| std::mem::replace(met, true)) {
                    continue;
                }
                for exit in exits(playbook.test(test)) {
                    match exit.to {
                        Target::Test(to) => open.push(*to),
                        Target::End(to) => {
                            ends.insert(*to);
                        }
                        Target::Playbook(_) | Target::Nowhere => {}
                    }
                }
            }
            (id, ends)
        });
        Self { by_end: by_end.collect() }
    }

    /// What an earlier repair can have left owed: its `verify` tests, where one of them leads to this repair.
    fn still_owed<'a>(&'a self, playbook: &'a Playbook, end: EndId) -> impl Iterator<Item = TestId> + 'a {
        let others = self.by_end.iter().filter(move |(id, ends)| *id != end && ends.contains(&end));
        others.flat_map(|(id, _)| playbook.end(*id).verify.iter().copied())
    }
}
