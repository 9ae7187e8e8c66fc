//! A part read by itself is freed for it first: a fuse is pulled, any other part has one wire taken off.

use super::model::{BankId, Measure, Members, Playbook};
use crate::circuit::unit::Wired;
use crate::corners::{Spot, tap};
use crate::language::syntax::Probes;
use crate::sheet::unit::group::Group;

/// A part that is freed to be read by itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Freed {
    /// The part.
    pub part: String,
    /// A fuse, which is pulled.
    pub pulled: bool,
}

impl Freed {
    /// What a measure frees; `None` for a reading in place.
    #[must_use]
    pub fn by(measure: &Measure) -> Option<Self> {
        let Probes::Of(part) = &measure.probes else { return None };
        Some(Self { part: part.as_str().to_owned(), pulled: measure.pulled })
    }

    /// What is done before the reading.
    #[must_use]
    pub fn before(&self) -> String {
        let part = &self.part;
        if self.pulled {
            format!("Pull {part}, so that it is read by itself.")
        } else {
            format!("Take one wire off {part}, so that it is read by itself.")
        }
    }

    /// What is done after it.
    #[must_use]
    pub fn after(&self) -> String {
        let part = &self.part;
        if self.pulled { format!("Put {part} back in.") } else { format!("Put the wire back on {part}.") }
    }
}

/// Notes which measures are of a fuse, by the sheet of the unit.
pub(super) fn settle(playbook: &mut Playbook, wired: &Wired) {
    let Playbook { tests, banks, .. } = playbook;
    let first =
        |id: BankId| banks.get(usize::from(id.0)).and_then(|bank| Some((bank.name.as_str(), *bank.members.first()?)));
    for test in tests {
        let member = match test.members {
            Members::One => None,
            Members::Each(id) | Members::That(id) => first(id),
        };
        for measure in test.measures_mut() {
            let tap = tap(wired, measure.unit, &measure.probes, None, false, member);
            measure.pulled = matches!(tap.map(|tap| tap.spot), Some(Spot::Of(part, _)) if wired.unit.part_of(part).group == Group::Fuses);
        }
    }
}
