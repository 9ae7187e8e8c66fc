//! What a playbook can't tell apart, and the testability figures.
//!
//! Terms: IEEE 1522 and MIL-HDBK-2165: fraction of faults detected, fraction of faults isolated, ambiguity group. A group is
//! what one repair, adjust or escalation stands for; its size is the number of parts in it.

use super::result::{Outcome, Scope};
use super::runs::{Run, Shakedown};
use super::told::end_name;
use super::trace::Trod;
use crate::engine::InBook;
use crate::playbook::model::{EndId, Member};
use crate::sheet::unit::model::{FaultId, Owner};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Faults that end in one repair, adjust or escalation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Group {
    /// Where they end: "Replace the blown fuse (`replace-fuse`)".
    pub end: String,
    /// Whether it only hands the unit on.
    pub hands_on: bool,
    /// The faults, in sheet order.
    pub faults: Vec<String>,
    /// The parts they are of.
    pub parts: Vec<String>,
    /// A test of the playbook that reads one of the parts unlike all others, where there is one: it only has to be asked.
    pub told_apart_by: Option<String>,
}

/// The figures, over the faults of this complaint.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Figures {
    /// Faults of this complaint.
    pub faults: usize,
    /// Those a walk ends in a repair, an adjust or an escalation that names a part.
    pub detected: usize,
    /// Those isolated to one part.
    pub isolated_to_one: usize,
    /// Those isolated to a group of at most two parts.
    pub isolated_to_two: usize,
    /// Those isolated to a group of at most three parts.
    pub isolated_to_three: usize,
    /// Parts in the largest group.
    pub largest_group: usize,
    /// Whether the good unit ends in a repair or adjust.
    pub false_alarm: bool,
}

/// The groups of faults that are found, in order of the playbook.
#[must_use]
pub fn groups(shakedown: &Shakedown) -> Vec<Group> {
    let ground = &shakedown.ground;
    let unit = &ground.wired.unit;
    by_end(shakedown)
        .into_iter()
        .map(|((end, member), faults)| {
            let owners: BTreeSet<Owner> = faults.iter().map(|fault| unit.fault_of(*fault).owner).collect();
            Group {
                end: end_name(ground, end, member),
                hands_on: ground.hands_on(end),
                faults: faults.iter().map(|fault| unit.fault_name(*fault)).collect(),
                parts: owners.iter().map(|owner| unit.owner_name(*owner).to_owned()).collect(),
                told_apart_by: apart(shakedown, &faults),
            }
        })
        .collect()
}

/// The figures.
#[must_use]
pub fn figures(shakedown: &Shakedown) -> Figures {
    let unit = &shakedown.ground.wired.unit;
    let own = || shakedown.singles.iter().filter(|run| run.scope == Scope::This);
    let detected = own().filter(|run| matches!(run.outcome, Outcome::Right | Outcome::WrongPart | Outcome::DidNotHold));
    let groups = by_end(shakedown);
    let sizes: Vec<(usize, usize)> = groups
        .values()
        .map(|faults| {
            let owners: BTreeSet<Owner> = faults.iter().map(|fault| unit.fault_of(*fault).owner).collect();
            (owners.len(), faults.len())
        })
        .collect();
    let within = |most: usize| sizes.iter().filter(|(size, _)| *size <= most).map(|(_, faults)| faults).sum();
    Figures {
        faults: own().count(),
        detected: detected.count(),
        isolated_to_one: within(1),
        isolated_to_two: within(2),
        isolated_to_three: within(3),
        largest_group: sizes.iter().map(|(size, _)| *size).max().unwrap_or(0),
        false_alarm: shakedown.good.ends.has(Outcome::WrongPart) || shakedown.good.ends.has_needless(),
    }
}

type At = (InBook<EndId>, Option<Member>);

/// The faults of this complaint that are found right, by where.
fn by_end(shakedown: &Shakedown) -> BTreeMap<At, Vec<FaultId>> {
    let mut groups: BTreeMap<At, Vec<FaultId>> = BTreeMap::new();
    for run in shakedown.singles.iter().filter(|run| run.scope == Scope::This && run.outcome == Outcome::Right) {
        if let (Some(end), [fault]) = (found_by(run), run.faults.as_slice()) {
            groups.entry(end).or_default().push(*fault);
        }
    }
    groups
}

/// The repair or adjust that cured it, or the escalation that named it.
#[must_use]
pub fn found_by(run: &Run) -> Option<At> {
    run.walk.iter().find_map(|step| match step {
        Trod::Worked { end, member, cured } if !cured.is_empty() => Some((*end, *member)),
        Trod::Escalated(end, member) => Some((*end, *member)),
        _ => None,
    })
}

/// A test that reads one of the faults on lines none of the others falls on.
fn apart(shakedown: &Shakedown, faults: &[FaultId]) -> Option<String> {
    let ground = &shakedown.ground;
    let owner = |fault: FaultId| ground.wired.unit.fault_of(fault).owner;
    let ask = shakedown.table.asks.iter().find(|ask| {
        let own = shakedown.books.contains(&ground.ask(**ask).at.book);
        own && faults.iter().any(|one| {
            let Some(here) = shakedown.table.cell(Some(*one), **ask).filter(|cell| cell.gap.is_none()) else {
                return false;
            };
            let others = faults.iter().filter(|other| owner(**other) != owner(*one));
            let mut cells = others.filter_map(|other| shakedown.table.cell(Some(*other), **ask)).peekable();
            cells.peek().is_some() && cells.all(|there| there.gap.is_none() && there.lines.is_disjoint(&here.lines))
        })
    })?;
    Some(ground.library.test(ground.ask(*ask).at).name.clone())
}
