//! The operating states of a unit: what can stand one way or another, and what has to hold to change it.
//!
//! From three places, the later wins by name: built in, the shop sheet, the unit sheet ([`super::declared`] merges them).
//! The order is the sheet order: built in first, then as declared.

use super::standing::Standing;
use super::ties::Ties;
use crate::text::source::Place;

/// Index of a state in [`States`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StateId(pub u16);

impl StateId {
    /// Power is always the first state.
    pub const POWER: Self = Self(0);
    /// Covers are always the second.
    pub const COVERS: Self = Self(1);
}

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

impl Stand {
    /// `power live`: always home.
    pub const LIVE: Self = Self { state: StateId::POWER, value: ValueId::HOME };
    /// `power locked-out`: always the second value of power.
    pub const LOCKED_OUT: Self = Self { state: StateId::POWER, value: ValueId(1) };
    /// `covers on`: always home. Every other value of covers counts as off.
    pub const COVERS_ON: Self = Self { state: StateId::COVERS, value: ValueId::HOME };

    /// The home value of a state.
    #[must_use]
    pub fn home(state: StateId) -> Self {
        Self { state, value: ValueId::HOME }
    }

    /// Whether it is the home value.
    #[must_use]
    pub fn is_home(self) -> bool {
        self.value == ValueId::HOME
    }
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

impl State {
    /// The value of this name.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<ValueId> {
        let at = self.values.iter().position(|value| value.name == name)?;
        Some(ValueId(u16::try_from(at).ok()?))
    }

    /// The names of its values, home first.
    #[must_use]
    pub fn names(&self) -> Vec<&str> {
        self.values.iter().map(|value| value.name.as_str()).collect()
    }
}

/// One value of a state.
#[derive(Debug, Clone)]
pub struct Value {
    /// Its name.
    pub name: String,
    /// The sentence that gets there ("Put the covers back, all screws."). Without one: "Set STATE to VALUE."
    pub to: Option<String>,
}

impl Value {
    fn new(name: &str, to: Option<&str>) -> Self {
        Self { name: name.to_owned(), to: to.map(str::to_owned) }
    }
}

/// The home value of a state no sheet declares: nobody says how it stands, so it goes back as it was.
pub const AS_FOUND: &str = "as found";

/// All states of a unit, in sheet order.
///
/// INVARIANT: made by [`States::built_in`] or [`States::merged`], power is the first state and covers the second.
#[derive(Debug, Clone, Default)]
pub struct States {
    states: Vec<State>,
    ties: Ties,
}

impl States {
    /// States in sheet order. Ids are places in it.
    #[must_use]
    pub fn new(states: Vec<State>) -> Self {
        let ties = Ties::of(&states);
        Self { states, ties }
    }

    /// What every unit has: power, and covers that come off and go on with the power locked out.
    #[must_use]
    pub fn built_in() -> Self {
        Self::new(built_in())
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

    /// The stand of these names.
    #[must_use]
    pub fn stand(&self, state: &str, value: &str) -> Option<Stand> {
        let (id, state) = self.find(state)?;
        Some(Stand { state: id, value: state.find(value)? })
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

    /// A state a playbook uses and no sheet declares: home is [`AS_FOUND`], then the values in the order they are met.
    /// Named again, it gets the values it has not yet. A state that a sheet declares stays as it is.
    ///
    /// Give the values in an order that does not depend on chance (the order of lines): it is the sheet order of this state.
    pub fn with_named<'a>(&mut self, name: &str, values: impl IntoIterator<Item = &'a str>) -> StateId {
        let id = self.find(name).map(|(id, _)| id).unwrap_or_else(|| {
            self.states.push(State {
                name: name.to_owned(),
                values: vec![Value::new(AS_FOUND, None)],
                only_while: Vec::new(),
                change_while: Vec::new(),
                disconnects: Vec::new(),
                lock_out_also: Vec::new(),
                place: None,
            });
            StateId(u16::try_from(self.states.len() - 1).unwrap_or(u16::MAX))
        });
        if let Some(state) = self.states.get_mut(usize::from(id.0))
            && state.values.first().is_some_and(|home| home.name == AS_FOUND)
        {
            for value in values {
                if state.find(value).is_none() {
                    state.values.push(Value::new(value, None));
                }
            }
        }
        self.ties = Ties::of(&self.states);
        id
    }

    /// Whether a state is named by a playbook only, no sheet declares it.
    #[must_use]
    pub fn is_named_only(&self, id: StateId) -> bool {
        self.get(id).and_then(|state| state.values.first()).is_some_and(|home| home.name == AS_FOUND)
    }

    /// The sentence that gets a state to a value. For power it is the heading of the shop's procedure.
    #[must_use]
    pub fn sentence(&self, state: StateId, value: ValueId) -> String {
        let Some((name, value)) = self.get(state).zip(self.value(Stand { state, value })) else {
            return String::new();
        };
        match &value.to {
            Some(sentence) => sentence.clone(),
            None if value.name == AS_FOUND => format!("Put {} back as found.", name.name),
            None => format!("Set {} to {}.", name.name, value.name),
        }
    }

    /// "power live".
    #[must_use]
    pub fn told(&self, stand: Stand) -> String {
        match (self.get(stand.state), self.value(stand)) {
            (Some(state), Some(value)) => format!("{} {}", state.name, value.name),
            _ => String::new(),
        }
    }

    /// These and everything their `only while` needs, in sheet order. With a clash in it, both sides are in it.
    #[must_use]
    pub fn with_needs(&self, stands: &[Stand]) -> Vec<Stand> {
        let mut all = stands.to_vec();
        let mut next = 0;
        while let Some(stand) = all.get(next).copied() {
            next += 1;
            let needs = self.get(stand.state).filter(|_| !stand.is_home()).map_or(&[][..], |s| &s.only_while);
            all.extend(needs.iter().filter(|need| !all.contains(need)).copied().collect::<Vec<_>>());
        }
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Whether work there is live work: power live and covers off.
    #[must_use]
    pub fn is_live_work(&self, standing: &Standing) -> bool {
        standing.holds(Stand::LIVE) && !standing.holds(Stand::COVERS_ON)
    }

    /// How a unit stands, in the words of a card: "live, covers off, meter in-lead". Power and covers are always said, and
    /// what else is not home. What does nothing just then because its `only while` no longer holds, after a stop, is said as
    /// what it is set to: "locked out, covers on; still set: heat on".
    #[must_use]
    pub fn told_standing(&self, standing: &Standing) -> String {
        let mut words = String::new();
        let mut set = Vec::new();
        for (id, state) in self.iter() {
            let value = standing.get(id);
            let Some(name) = state.values.get(usize::from(value.0)).map(|value| &value.name) else { continue };
            if id == StateId::POWER {
                words.push_str(&name.replace('-', " "));
            } else if value != ValueId::HOME && !state.only_while.iter().all(|needed| standing.holds(*needed)) {
                set.push(format!("{} {name}", state.name));
            } else if id == StateId::COVERS || value != ValueId::HOME {
                let comma = if words.is_empty() { "" } else { ", " };
                words.extend([comma, &state.name, " ", name]);
            }
        }
        if !set.is_empty() {
            words.push_str("; still set: ");
            words.push_str(&set.join(", "));
        }
        words
    }

    /// Which states hang on which.
    #[must_use]
    pub fn ties(&self) -> &Ties {
        &self.ties
    }
}

/// Power and covers. The sentences of power head the shop's procedures, which are lists.
pub(super) fn built_in() -> Vec<State> {
    let state = |name: &str, values: Vec<Value>, change_while: Vec<Stand>| State {
        name: name.to_owned(),
        values,
        only_while: Vec::new(),
        change_while,
        disconnects: Vec::new(),
        lock_out_also: Vec::new(),
        place: None,
    };
    vec![
        state(
            "power",
            vec![Value::new("live", Some("Re-energize.")), Value::new("locked-out", Some("Lock out."))],
            Vec::new(),
        ),
        state(
            "covers",
            vec![
                Value::new("on", Some("Put every cover back with all its screws.")),
                Value::new("off", Some("Take off the covers that are in the way.")),
            ],
            vec![Stand::LOCKED_OUT],
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn built_in_states_and_their_sentences() {
        let states = States::built_in();
        assert_eq!(states.stand("power", "live"), Some(Stand::LIVE));
        assert_eq!(states.stand("power", "locked-out"), Some(Stand::LOCKED_OUT));
        assert_eq!(states.stand("covers", "on"), Some(Stand::COVERS_ON));
        assert_eq!(states.stand("covers", "ajar"), None);
        assert_eq!(states.sentence(StateId::COVERS, ValueId(1)), "Take off the covers that are in the way.");
    }

    #[test]
    fn a_state_no_sheet_declares() {
        let mut states = States::built_in();
        let fan = states.with_named("fan", ["high", "low"]);
        assert_eq!(states.with_named("fan", ["low", "off"]), fan);
        assert_eq!(states.get(fan).unwrap().names(), ["as found", "high", "low", "off"]);
        assert_eq!(states.sentence(fan, ValueId(2)), "Set fan to low.");
        assert_eq!(states.sentence(fan, ValueId::HOME), "Put fan back as found.");
        assert!(states.is_named_only(fan));
        // What a sheet declares is not stretched by a playbook.
        let covers = states.with_named("covers", ["ajar"]);
        assert_eq!(states.get(covers).unwrap().names(), ["on", "off"]);
    }

    #[test]
    fn how_a_unit_stands_in_words() {
        let mut states = States::built_in();
        let fan = states.with_named("fan", ["low"]);
        let mut standing = Standing::home(&states);
        assert_eq!(states.told_standing(&standing), "live, covers on");
        standing.set(Stand::LOCKED_OUT);
        standing.set(Stand { state: fan, value: ValueId(1) });
        assert_eq!(states.told_standing(&standing), "locked out, covers on, fan low");
        // A call for heat means nothing with the power locked out; the setting stays.
        let mut heat = states.get(fan).unwrap().clone();
        heat.name = "heat".to_owned();
        heat.only_while = vec![Stand::LIVE];
        let states = States::new(states.states.iter().cloned().chain([heat]).collect());
        standing.set(Stand { state: StateId(3), value: ValueId(1) });
        assert_eq!(states.told_standing(&standing), "locked out, covers on, fan low; still set: heat low");
        standing.set(Stand::LIVE);
        assert_eq!(states.told_standing(&standing), "live, covers on, fan low, heat low");
    }
}
