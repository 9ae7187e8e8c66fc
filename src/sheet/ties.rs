//! Which states hang on which, laid out for the planner: one bit for each value of a state that is tied to another.
//!
//! A state is *tied* if it has an `only while` or `change while`, or stands in one; all others are *loose* and change as they like.
//! With a bit a value, a standing is one number and "does all this hold?" is one comparison.

use super::standing::Standing;
use super::states::{Stand, State, StateId, ValueId};

/// One bit for each value of a tied state.
pub type Bits = u128;

/// Most values of tied states a unit may have, all together. A limit of ours: one bit each.
pub const MOST_TIED_VALUES: usize = 128;

/// What the planner has to know of one value of a tied state.
#[derive(Debug, Clone)]
pub struct Fact {
    /// Which value of which state.
    pub stand: Stand,
    /// The bit of its state's home value.
    pub home: Bits,
    /// All bits of its state.
    pub state: Bits,
    /// What must hold as long as it stands: the `only while`, unless it is home.
    pub only: Bits,
    /// What must hold to arrive there: the `change while`, and the `only while` unless it is home.
    pub arrive: Bits,
    /// The home values that must hold to leave it: of the states whose `only while` names it.
    pub leave: Bits,
}

/// The tied states of a unit.
#[derive(Debug, Clone, Default)]
pub struct Ties {
    facts: Vec<Fact>,
    /// For each state the number of its first bit; `None` for a loose one.
    first: Vec<Option<u8>>,
    too_many: bool,
}

impl Ties {
    pub(super) fn of(states: &[State]) -> Self {
        let mut tied = vec![false; states.len()];
        for (at, state) in states.iter().enumerate() {
            let conditions = || state.only_while.iter().chain(&state.change_while);
            for at in conditions().map(|stand| usize::from(stand.state.0)).chain(conditions().next().map(|_| at)) {
                if let Some(tied) = tied.get_mut(at) {
                    *tied = true;
                }
            }
        }
        let values = || states.iter().zip(&tied).filter(|(_, tied)| **tied).map(|(state, _)| state.values.len());
        if values().sum::<usize>() > MOST_TIED_VALUES {
            return Self { facts: Vec::new(), first: vec![None; states.len()], too_many: true };
        }
        let mut next = 0;
        let first = states
            .iter()
            .zip(&tied)
            .map(|(state, tied)| {
                let first = tied.then(|| u8::try_from(next).unwrap_or(u8::MAX));
                next += if *tied { state.values.len() } else { 0 };
                first
            })
            .collect();
        let mut ties = Self { facts: Vec::with_capacity(next), first, too_many: false };
        ties.facts = states.iter().enumerate().flat_map(|(at, state)| ties.facts_of(at, state, states)).collect();
        ties
    }

    fn facts_of(&self, at: usize, state: &State, states: &[State]) -> Vec<Fact> {
        let id = StateId(u16::try_from(at).unwrap_or(u16::MAX));
        if self.first.get(at).copied().flatten().is_none() {
            return Vec::new();
        }
        let stands: Vec<Stand> = (0..state.values.len())
            .map(|value| Stand { state: id, value: ValueId(u16::try_from(value).unwrap_or(u16::MAX)) })
            .collect();
        let all = self.bits(&stands);
        stands
            .iter()
            .map(|stand| {
                let only = if stand.is_home() { 0 } else { self.bits(&state.only_while) };
                let dependents: Vec<Stand> = states
                    .iter()
                    .enumerate()
                    .filter(|(_, other)| other.only_while.contains(stand))
                    .map(|(at, _)| Stand::home(StateId(u16::try_from(at).unwrap_or(u16::MAX))))
                    .collect();
                Fact {
                    stand: *stand,
                    home: self.bits(&[Stand::home(id)]),
                    state: all,
                    only,
                    arrive: only | self.bits(&state.change_while),
                    leave: self.bits(&dependents),
                }
            })
            .collect()
    }

    /// Whether there are more tied values than can be planned for.
    #[must_use]
    pub fn too_many(&self) -> bool {
        self.too_many
    }

    /// The bit of a value; `None` for a loose state.
    #[must_use]
    pub fn bit(&self, stand: Stand) -> Option<Bits> {
        let first = self.first.get(usize::from(stand.state.0)).copied().flatten()?;
        1u128.checked_shl(u32::from(first) + u32::from(stand.value.0))
    }

    /// The bits of these values; loose states have none.
    #[must_use]
    pub fn bits(&self, stands: &[Stand]) -> Bits {
        stands.iter().filter_map(|stand| self.bit(*stand)).fold(0, |all, bit| all | bit)
    }

    /// The bits of a standing: one for each tied state.
    #[must_use]
    pub fn of_standing(&self, standing: &Standing) -> Bits {
        standing.iter().filter_map(|stand| self.bit(stand)).fold(0, |all, bit| all | bit)
    }

    /// What there is to know of the lowest bit of `bits`.
    #[must_use]
    pub fn lowest(&self, bits: Bits) -> Option<&Fact> {
        self.facts.get(usize::try_from(bits.trailing_zeros()).unwrap_or(usize::MAX))
    }

    /// The facts of all bits, in sheet order.
    pub fn facts(&self, mut bits: Bits) -> impl Iterator<Item = (Bits, &Fact)> {
        std::iter::from_fn(move || {
            let fact = self.lowest(bits)?;
            let bit = bits & bits.wrapping_neg();
            bits ^= bit;
            Some((bit, fact))
        })
    }
}
