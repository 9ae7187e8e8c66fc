//! A set of faults on its way through a playbook, and how those that come and go may be as a test is asked.
//!
//! A fault that comes and goes is there or away when the walk starts. One that is there may go away for good at any test; one
//! that is away comes back only where something is watched over time. All of these are walked with single faults; in a pair it
//! stays: one that is away as the call is closed can be found by nobody.

use crate::sheet::unit::model::{FaultId, Unit};
use std::collections::BTreeSet;

/// The faults left in a unit.
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

    /// The faults that are there just now.
    #[must_use]
    pub fn there(&self) -> Vec<FaultId> {
        self.faults.iter().filter(|fault| !self.away.contains(fault)).copied().collect()
    }

    /// With the faults taken out that a repair or adjust cures.
    #[must_use]
    pub fn without(&self, cures: Option<&BTreeSet<FaultId>>, unit: &Unit) -> Self {
        let stays = |fault: &&FaultId| !cures.is_some_and(|cures| cures.contains(fault));
        let faults: Vec<FaultId> = self.faults.iter().filter(stays).copied().collect();
        let away = self.away.iter().filter(|fault| faults.contains(fault)).copied().collect();
        let watched = self.watched && faults.iter().any(|fault| comes_and_goes(unit, *fault));
        Self { faults, away, watched, steady: self.steady }
    }

    /// How the faults left may be as a test is asked, all there first. `watches` says whether time goes by in it.
    #[must_use]
    pub fn moments(&self, unit: &Unit, watches: bool) -> Vec<Self> {
        let moves = |fault: &&FaultId| !self.steady && comes_and_goes(unit, **fault);
        let moving: Vec<FaultId> = self.faults.iter().filter(moves).copied().collect();
        let watched = self.faults.iter().any(|fault| comes_and_goes(unit, *fault)) && (self.watched || watches);
        let mut moments = vec![Self { away: Vec::new(), watched, ..self.clone() }];
        for fault in moving {
            let gone: Vec<Self> = moments
                .iter()
                .map(|moment| Self { away: moment.away.iter().copied().chain([fault]).collect(), ..moment.clone() })
                .collect();
            // One that is away stays away, but where something is watched.
            if self.away.contains(&fault) && !watches {
                moments = gone;
            } else {
                moments.extend(gone);
            }
        }
        moments
    }
}

/// Whether a fault comes and goes.
#[must_use]
pub fn comes_and_goes(unit: &Unit, fault: FaultId) -> bool {
    unit.fault_of(fault).comes_and_goes.is_some()
}
