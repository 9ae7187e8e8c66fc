//! What came of a walk, in the order of how bad it is (language §4), and sets of it.

use serde::{Deserialize, Serialize};

/// What came of a walk, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Closed while a fault is left that, alone in the unit, some test of the playbook reads not good.
    Callback,
    /// A repair none of whose `for` matches a fault that is there.
    WrongPart,
    /// Escalated by one that does not name the fault.
    Stumped,
    /// The same repair came up twice.
    DidNotHold,
    /// A test on the way has no model.
    NotOnSheet,
    /// One corner, and it can end one way or another.
    Unclear,
    /// Handed on as another complaint.
    OtherComplaint,
    /// A fault that comes and goes, handed on after a watch.
    Intermittent,
    /// Cured and closed, or handed to an escalation that names it.
    Right,
}

impl Outcome {
    /// All of them, worst first.
    pub const ALL: [Self; 9] = [
        Self::Callback,
        Self::WrongPart,
        Self::Stumped,
        Self::DidNotHold,
        Self::NotOnSheet,
        Self::Unclear,
        Self::OtherComplaint,
        Self::Intermittent,
        Self::Right,
    ];

    /// In the shop's words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Callback => "callback",
            Self::WrongPart => "wrong part",
            Self::Stumped => "stumped",
            Self::DidNotHold => "did not hold",
            Self::NotOnSheet => "not on the sheet",
            Self::Unclear => "unclear",
            Self::OtherComplaint => "other complaint",
            Self::Intermittent => "intermittent",
            Self::Right => "right",
        }
    }

    fn bit(self) -> u16 {
        1 << self as u16
    }
}

/// Every way walks can end from some place on: outcomes, and what else happened on one of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, PartialOrd, Ord)]
pub struct Ends(u16);

impl Ends {
    /// An adjust that set what was right already.
    const NEEDLESS: u16 = 1 << 9;
    /// Closed, and a fault is left that no test of the playbook feels.
    const UNSEEN: u16 = 1 << 10;
    const OUTCOMES: u16 = (1 << 9) - 1;

    /// No walk yet.
    pub const NONE: Self = Self(0);

    /// One outcome.
    #[must_use]
    pub fn one(outcome: Outcome) -> Self {
        Self(outcome.bit())
    }

    /// Right, with a fault left that no test feels.
    #[must_use]
    pub fn unseen() -> Self {
        Self(Outcome::Right.bit() | Self::UNSEEN)
    }

    /// These and those.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// With a needless adjust on the way.
    #[must_use]
    pub fn needless(self) -> Self {
        Self(self.0 | Self::NEEDLESS)
    }

    /// Each of them made at least as bad.
    #[must_use]
    pub fn at_least_as_bad_as(self, outcome: Outcome) -> Self {
        let worse = self.0 & (outcome.bit() - 1);
        let rest = self.0 & Self::OUTCOMES & !(outcome.bit() - 1);
        let flags = self.0 & !Self::OUTCOMES;
        Self(worse | flags | if rest == 0 { 0 } else { outcome.bit() })
    }

    /// Whether it is among them.
    #[must_use]
    pub fn has(self, outcome: Outcome) -> bool {
        self.0 & outcome.bit() != 0
    }

    /// Whether an adjust was needless on one of them.
    #[must_use]
    pub fn has_needless(self) -> bool {
        self.0 & Self::NEEDLESS != 0
    }

    /// Whether a fault was left unseen on one of them.
    #[must_use]
    pub fn has_unseen(self) -> bool {
        self.0 & Self::UNSEEN != 0
    }

    /// The outcomes among them, worst first.
    pub fn outcomes(self) -> impl Iterator<Item = Outcome> {
        Outcome::ALL.into_iter().filter(move |outcome| self.has(*outcome))
    }

    /// The worst of them.
    #[must_use]
    pub fn worst(self) -> Option<Outcome> {
        self.outcomes().next()
    }

    /// What one corner came to: all ends equal, that; different, unclear.
    #[must_use]
    pub fn of_corner(self) -> Option<Outcome> {
        let mut all = self.outcomes();
        let first = all.next()?;
        Some(if all.next().is_none() { first } else { Outcome::Unclear })
    }
}

/// Whose complaint a fault makes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scope {
    /// The first test of this playbook reads not good in some corner.
    This,
    /// Not of this one, but of another playbook for the unit.
    Another,
    /// No playbook's first test feels it.
    Nobody,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_corner_all_ends_equal_or_unclear() {
        let both = Ends::one(Outcome::Right).or(Ends::one(Outcome::WrongPart));
        assert_eq!(Ends::one(Outcome::Right).of_corner(), Some(Outcome::Right));
        assert_eq!(both.of_corner(), Some(Outcome::Unclear));
        assert_eq!(Ends::NONE.of_corner(), None);
        assert_eq!(Ends::unseen().needless().of_corner(), Some(Outcome::Right));
    }

    #[test]
    fn a_wrong_part_makes_every_end_as_bad_and_a_callback_stays_one() {
        let ends = Ends::one(Outcome::Right).or(Ends::one(Outcome::Callback)).needless();
        let worse = ends.at_least_as_bad_as(Outcome::WrongPart);
        assert_eq!(worse.outcomes().collect::<Vec<_>>(), [Outcome::Callback, Outcome::WrongPart]);
        assert!(worse.has_needless());
        assert_eq!(Ends::NONE.at_least_as_bad_as(Outcome::WrongPart), Ends::NONE);
    }

    #[test]
    fn the_order_is_that_of_the_page() {
        assert!(Outcome::Callback < Outcome::WrongPart && Outcome::Intermittent < Outcome::Right);
        assert!(Outcome::ALL.is_sorted());
    }
}
