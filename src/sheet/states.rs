//! The operating states of a unit: what can stand one way or another, and what has to hold to change it.
//!
//! From three places, the later wins by name: built in, the shop sheet, the unit sheet. The order is the sheet order:
//! built in first, then as declared.

use crate::text::source::Place;

/// Index of a state in [`States`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StateId(pub u16);

/// Index of a value in its state; 0 is home.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ValueId(pub u16);

impl ValueId {
    /// The value a walk starts with and a call closes with.
    pub const HOME: Self = Self(0);
}

/// `STATE VALUE`, resolved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stand {
    /// The state.
    pub state: StateId,
    /// Its value.
    pub value: ValueId,
}

/// One state.
#[derive(Debug, Clone)]
pub struct State {
    /// Its name.
    pub name: String,
    /// Its values, home first. At least two.
    pub values: Vec<Value>,
    /// What must hold as long as it is not home.
    pub only_while: Vec<Stand>,
    /// What must hold to change it.
    pub change_while: Vec<Stand>,
    /// `power` only: everything that disconnects the unit (plug and gas cock).
    pub disconnects: Vec<String>,
    /// `power` only: stored energy, hot oil: what more to do when locking out.
    pub lock_out_also: Vec<String>,
    /// Where it is declared; `None` for a built-in state and for one a playbook names without a sheet.
    pub place: Option<Place>,
}

/// One value of a state.
#[derive(Debug, Clone)]
pub struct Value {
    /// Its name.
    pub name: String,
    /// The sentence that gets there ("Put the covers back, all screws."). Without one: "Set STATE to VALUE."
    pub to: Option<String>,
}

/// All states of a unit, in sheet order.
#[derive(Debug, Clone, Default)]
pub struct States {
    states: Vec<State>,
}

impl States {
    /// States in sheet order. Ids are places in it.
    #[must_use]
    pub fn new(states: Vec<State>) -> Self {
        Self { states }
    }

    /// The states with their ids, in sheet order.
    pub fn iter(&self) -> impl Iterator<Item = (StateId, &State)> {
        self.states.iter().enumerate().map(|(at, state)| (StateId(u16::try_from(at).unwrap_or(u16::MAX)), state))
    }

    /// The state of this id.
    #[must_use]
    pub fn get(&self, id: StateId) -> Option<&State> {
        self.states.get(usize::from(id.0))
    }

    /// The value a stand names.
    #[must_use]
    pub fn value(&self, stand: Stand) -> Option<&Value> {
        self.get(stand.state)?.values.get(usize::from(stand.value.0))
    }

    /// The state of this name.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<(StateId, &State)> {
        self.iter().find(|(_, state)| state.name == name)
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.states.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.states.is_empty()
    }
}
