//! How a unit stands: the value of every state.

use super::states::{Stand, StateId, States, ValueId};

/// The value of every state, in sheet order. Ordered and hashed by these values, so it can be a key.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Standing(Vec<ValueId>);

impl Standing {
    /// Every state at home: how a walk starts.
    #[must_use]
    pub fn home(states: &States) -> Self {
        Self(vec![ValueId::HOME; states.len()])
    }

    /// The value of a state; home for a state it does not know.
    #[must_use]
    pub fn get(&self, state: StateId) -> ValueId {
        self.0.get(usize::from(state.0)).copied().unwrap_or(ValueId::HOME)
    }

    /// Sets a state, whatever it takes; the way there is the planner's business.
    pub fn set(&mut self, stand: Stand) {
        let at = usize::from(stand.state.0);
        if at >= self.0.len() {
            self.0.resize(at + 1, ValueId::HOME);
        }
        if let Some(value) = self.0.get_mut(at) {
            *value = stand.value;
        }
    }

    /// Whether it stands so.
    #[must_use]
    pub fn holds(&self, stand: Stand) -> bool {
        self.get(stand.state) == stand.value
    }

    /// Whether every state is at home.
    #[must_use]
    pub fn is_home(&self) -> bool {
        self.0.iter().all(|value| *value == ValueId::HOME)
    }

    /// Every state with its value, in sheet order.
    pub fn iter(&self) -> impl Iterator<Item = Stand> {
        self.0
            .iter()
            .enumerate()
            .map(|(at, value)| Stand { state: StateId(u16::try_from(at).unwrap_or(u16::MAX)), value: *value })
    }

    /// The same standing on another table of states, by name: for a playbook that goes on in another. What the other
    /// table does not know is the second part: it must go home before the walk goes on.
    #[must_use]
    pub fn carried(&self, from: &States, to: &States) -> (Self, Vec<Stand>) {
        let mut carried = Self::home(to);
        let mut left = Vec::new();
        for stand in self.iter().filter(|stand| !stand.is_home()) {
            let names = from.get(stand.state).zip(from.value(stand));
            match names.and_then(|(state, value)| to.stand(&state.name, &value.name)) {
                Some(there) => carried.set(there),
                None => left.push(stand),
            }
        }
        (carried, left)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn carried_by_name() {
        let mut from = States::built_in();
        let fan = from.with_named("fan", ["low"]);
        let jumper = from.with_named("jumper", ["in"]);
        let mut to = States::built_in();
        to.with_named("light", ["on"]);
        to.with_named("fan", ["high", "low"]);
        let mut standing = Standing::home(&from);
        let on = |state| Stand { state, value: ValueId(1) };
        standing.set(Stand::LOCKED_OUT);
        standing.set(on(fan));
        standing.set(on(jumper));
        let (there, left) = standing.carried(&from, &to);
        assert_eq!(to.told_standing(&there), "locked out, covers on, fan low");
        assert_eq!(left, [on(jumper)]);
    }
}
