//! What is owed after a repair or adjust, and which owed test is next.

use super::alike::alike;
use super::answer::Refused;
use super::library::{InBook, Library};
use super::state::{At, Done, Owed, State, Visit};
use crate::playbook::model::{BankId, EndId, Member, Members, TestId};
use std::sync::Arc;

/// The state after the work of `end` is done: readings void; owed are its `verify` tests, then what was still owed, then
/// `finish` of this playbook and of those that led here, each test and member once, and
/// what asks the same once.
///
/// # Errors
/// [`Refused::NoMember`] where a test is for the member repaired and none was.
pub fn repaired(library: &Library, state: &State, end: EndId, member: Option<Member>) -> Result<State, Refused> {
    let book = state.book();
    let block = library.book(book).end(end);
    let that = match block.members {
        Members::That(bank) => member.map(|member| (bank, member)),
        Members::One | Members::Each(_) => None,
    };
    let verify = block.verify.iter().map(|test| Owed { chain: Arc::clone(&state.chain), test: *test, that });
    let finish = (1..=state.chain.len()).rev().filter_map(|most| state.chain.get(..most)).flat_map(|chain| {
        let chain: Arc<[_]> = chain.into();
        let tests = chain.last().map(|book| library.book(*book).finish.as_slice()).unwrap_or_default();
        tests.iter().map(move |test| Owed { chain: Arc::clone(&chain), test: *test, that: None })
    });
    let mut owed: Vec<Owed> = Vec::new();
    for test in verify.chain(state.owed.iter().cloned()).chain(finish) {
        if !owed.iter().any(|known| is_one(library, known, &test)) {
            owed.push(test);
        }
    }
    let mut next = state.clone();
    next.done.push(Done { end: InBook { book, id: end }, member });
    next.owed = owed;
    first_owed(library, next)
}

/// Goes to the first owed test, or to the closing where none is left. An owed test starts with no reading, and with no
/// member but the one repaired.
///
/// # Errors
/// [`Refused::NoMember`] where the test is for the member repaired and none was.
pub fn first_owed(library: &Library, mut state: State) -> Result<State, Refused> {
    state.readings.clear();
    state.that.clear();
    let Some(owed) = state.owed.first() else {
        state.at = At::Closing;
        return Ok(state);
    };
    state.chain = Arc::clone(&owed.chain);
    state.that.extend(owed.that);
    let test = owed.test;
    state.at = At::Test(Visit { test, owed: true, asked: Vec::new() });
    let at = InBook { book: state.book(), id: test };
    match library.test(at).members {
        Members::That(bank) if !state.that.contains_key(&bank) => Err(Refused::NoMember(at)),
        _ => Ok(state),
    }
}

/// Whether two owed tests are asked as one: the same test, or one of a joined playbook that asks the same.
fn is_one(library: &Library, one: &Owed, other: &Owed) -> bool {
    let (a, b) = (key(library, one), key(library, other));
    let joined = || match (a, b) {
        ((Some(a), None), (Some(b), None)) => a.book != b.book && alike(library, a, b),
        _ => false,
    };
    a == b || joined()
}

/// What makes two owed tests one: the test, and the member where it is asked for one.
fn key(library: &Library, owed: &Owed) -> (Option<InBook<TestId>>, Option<(BankId, Member)>) {
    let at = owed.chain.last().map(|book| InBook { book: *book, id: owed.test });
    let asked_for_one = at.is_some_and(|at| matches!(library.test(at).members, Members::That(_)));
    (at, owed.that.filter(|_| asked_for_one))
}
