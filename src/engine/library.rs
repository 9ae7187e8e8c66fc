//! The playbooks of one unit that can be walked together, and one table of states for all of them.
//!
//! A walk crosses from one playbook into another and the unit stays as it stands. With a unit sheet the states are the same
//! in all of them; without one, each playbook brings the states it names. So the library joins them by name, once.

use crate::playbook::model::{End, EndId, Playbook, Test, TestId};
use crate::sheet::states::{Stand, State, StateId, States, Value, ValueId};
use std::sync::Arc;

/// Index of a playbook in its library.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BookId(pub u16);

/// A block of a library: a test, repair, adjust or escalation with the playbook it stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct InBook<T> {
    /// The playbook.
    pub book: BookId,
    /// The block.
    pub id: T,
}

/// The playbooks of one unit.
#[derive(Debug, Clone)]
pub struct Library {
    books: Vec<Arc<Playbook>>,
    states: Arc<States>,
    /// For each playbook, its own stands in the common table; `None` where the tables are the same.
    maps: Vec<Option<StateMap>>,
    /// How states are left that do not go home when a call is closed.
    closing: Vec<Stand>,
}

/// For each state of a playbook, its place in the common table and the places of its values.
type StateMap = Vec<(StateId, Vec<ValueId>)>;

impl Library {
    /// Puts playbooks together. Of two with one name only the first can be joined.
    #[must_use]
    pub fn new(books: Vec<Arc<Playbook>>) -> Self {
        let one_table = match books.split_first() {
            None => Some(Arc::default()),
            Some((first, rest)) => {
                rest.iter().all(|book| Arc::ptr_eq(&book.states, &first.states)).then(|| Arc::clone(&first.states))
            }
        };
        if let Some(states) = one_table {
            let maps = vec![None; books.len()];
            return Self { books, states, maps, closing: Vec::new() };
        }
        let mut table: Vec<State> = Vec::new();
        for book in &books {
            for (_, state) in book.states.iter() {
                add(&mut table, state);
            }
        }
        let states = Arc::new(States::new(relink(table, &books)));
        let maps = books.iter().map(|book| Some(map_of(&book.states, &states))).collect();
        Self { books, states, maps, closing: Vec::new() }
    }

    /// With the states the shop's closing list leaves away from home, in the common table.
    #[must_use]
    pub fn with_closing(mut self, closing: Vec<Stand>) -> Self {
        self.closing = closing;
        self
    }

    /// The states the shop's closing list leaves away from home.
    #[must_use]
    pub fn closing(&self) -> &[Stand] {
        &self.closing
    }

    /// The playbook of this name.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<BookId> {
        let at = self.books.iter().position(|book| book.name == name)?;
        u16::try_from(at).ok().map(BookId)
    }

    /// The playbook of this id.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by `find`, within the table")]
    pub fn book(&self, id: BookId) -> &Playbook {
        &self.books[usize::from(id.0)]
    }

    /// The playbooks with their ids.
    pub fn books(&self) -> impl Iterator<Item = (BookId, &Playbook)> {
        self.books.iter().enumerate().map(|(at, book)| (BookId(u16::try_from(at).unwrap_or(u16::MAX)), &**book))
    }

    /// The test of this id.
    #[must_use]
    pub fn test(&self, at: InBook<TestId>) -> &Test {
        self.book(at.book).test(at.id)
    }

    /// The repair, adjust or escalation of this id.
    #[must_use]
    pub fn end(&self, at: InBook<EndId>) -> &End {
        self.book(at.book).end(at.id)
    }

    /// The states of all playbooks.
    #[must_use]
    pub fn states(&self) -> &States {
        &self.states
    }

    /// The stands a playbook names, in the common table.
    #[must_use]
    pub fn stands(&self, book: BookId, named: &[Stand]) -> Vec<Stand> {
        match self.maps.get(usize::from(book.0)) {
            Some(Some(map)) => named.iter().filter_map(|stand| mapped(map, *stand)).collect(),
            _ => named.to_vec(),
        }
    }
}

fn mapped(map: &StateMap, stand: Stand) -> Option<Stand> {
    let (state, values) = map.get(usize::from(stand.state.0))?;
    Some(Stand { state: *state, value: *values.get(usize::from(stand.value.0))? })
}

/// Adds a state, or the values it is still missing.
fn add(table: &mut Vec<State>, state: &State) {
    let Some(known) = table.iter_mut().find(|known| known.name == state.name) else {
        // Its conditions point into its own table; `relink` points them into the common one.
        table.push(State { only_while: Vec::new(), change_while: Vec::new(), ..state.clone() });
        return;
    };
    let missing = state.values.iter().filter(|value| !known.values.iter().any(|old| old.name == value.name));
    let missing: Vec<Value> = missing.cloned().collect();
    known.values.extend(missing);
}

/// Points the conditions of each state into the common table. The first playbook that gives a state conditions decides.
fn relink(mut table: Vec<State>, books: &[Arc<Playbook>]) -> Vec<State> {
    let common = States::new(table.clone());
    for state in &mut table {
        let Some((own, declared)) = books.iter().find_map(|book| {
            let (_, declared) = book.states.find(&state.name)?;
            (!declared.only_while.is_empty() || !declared.change_while.is_empty()).then_some((&book.states, declared))
        }) else {
            continue;
        };
        let map = map_of(own, &common);
        let point = |stands: &[Stand]| stands.iter().filter_map(|stand| mapped(&map, *stand)).collect();
        state.only_while = point(&declared.only_while);
        state.change_while = point(&declared.change_while);
    }
    table
}

/// Where the states and values of `own` are in `common`, by name. Every one of them is there.
fn map_of(own: &States, common: &States) -> StateMap {
    own.iter()
        .filter_map(|(_, state)| {
            let (id, there) = common.find(&state.name)?;
            let values = state.values.iter().map(|value| {
                let at = there.values.iter().position(|other| other.name == value.name).unwrap_or(0);
                ValueId(u16::try_from(at).unwrap_or(0))
            });
            Some((id, values.collect()))
        })
        .collect()
}
