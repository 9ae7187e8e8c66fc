//! What reads otherwise on a unit with faults than on a good one, standing by standing.

use super::tech_lines::Line;
use super::tech_reads::read;
use super::tech_sheet::{Input, Told};
use super::wired::Wired;
use crate::circuit::Unsolved;
use crate::sheet::unit::model::FaultId;
use std::sync::Arc;

/// What is otherwise in a standing.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// "live, covers off, heat on"; several where the same is otherwise.
    pub standings: Vec<String>,
    /// Points that can bite, and on a good unit cannot.
    pub live: Vec<String>,
    /// Points that bite on a good unit only.
    pub no_longer_live: Vec<String>,
    /// Places, by sort: across and through, to ground, gauges and looks.
    pub sorts: [Vec<Changed>; 3],
    /// Contacts that go in and out without end.
    pub chatters: bool,
}

/// A place that reads otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Changed {
    /// The place.
    pub name: String,
    /// What it reads on a good unit.
    pub good: String,
    /// What it reads with the faults in.
    pub now: String,
}

impl Change {
    fn is_none(&self) -> bool {
        self.live.is_empty() && self.no_longer_live.is_empty() && self.sorts.iter().all(Vec::is_empty) && !self.chatters
    }

    fn same(&self, other: &Self) -> bool {
        self.live == other.live
            && self.no_longer_live == other.no_longer_live
            && self.sorts == other.sorts
            && self.chatters == other.chatters
    }
}

/// What these faults change, in the standings where they change something.
///
/// # Errors
/// [`Unsolved`] where the circuit comes to no steady state.
pub fn changes(wired: &Arc<Wired>, faults: &[FaultId], input: Input) -> Result<Vec<Change>, Unsolved> {
    let (good, now) = (read(wired, &[], input)?, read(wired, faults, input)?);
    let all: Vec<Change> =
        good.iter().zip(&now).map(|(good, now)| change(now.name.clone(), &good.told, &now.told)).collect();
    let mut changes: Vec<Change> = Vec::new();
    for (change, read) in all.iter().zip(&now) {
        if change.is_none() || read.twin.and_then(|at| all.get(at)).is_some_and(|twin| twin.same(change)) {
            continue;
        }
        match changes.iter_mut().find(|other| other.same(change)) {
            Some(other) => other.standings.extend(change.standings.iter().cloned()),
            None => changes.push(change.clone()),
        }
    }
    Ok(changes)
}

fn change(name: String, good: &Told, now: &Told) -> Change {
    let apart = |these: &[String], those: &[String]| -> Vec<String> {
        these.iter().filter(|point| !those.contains(point)).cloned().collect()
    };
    Change {
        standings: vec![name],
        live: apart(&now.live, &good.live),
        no_longer_live: apart(&good.live, &now.live),
        sorts: [
            changed(&good.parts, &now.parts),
            changed(&good.points, &now.points),
            changed(&good.readings, &now.readings),
        ],
        chatters: now.chatters && !good.chatters,
    }
}

/// Lines that differ. A place may be read on one of the two only.
fn changed(good: &[Line], now: &[Line]) -> Vec<Changed> {
    let find = |lines: &[Line], name: &str| lines.iter().find(|line| line.name == name).cloned();
    let told = |line: Option<Line>| line.map_or_else(|| "nothing".to_owned(), |line| line.short());
    let mut changed = Vec::new();
    for line in now {
        let was = find(good, &line.name);
        if was.as_ref().is_none_or(|was| was.differs(line)) {
            changed.push(Changed { name: line.name.clone(), good: told(was), now: line.short() });
        }
    }
    for line in good.iter().filter(|line| find(now, &line.name).is_none()) {
        changed.push(Changed { name: line.name.clone(), good: line.short(), now: told(None) });
    }
    changed
}
