//! One answer, and every state that may follow.

use super::after::{first_owed, repaired};
use super::alike::{alike, same_line};
use super::answer::{Answer, Refused};
use super::fall::{Way, supply_read, ways};
use super::goal::changes;
use super::library::{BookId, InBook, Library};
use super::state::{At, Done, Kept, Reason, State, Visit};
use crate::language::syntax::{BlockKind, OutcomeKind};
use crate::playbook::arithmetic;
use crate::playbook::model::{BankId, Branch, EndId, Member, Members, Playbook, SlotId, Target, Test, TestId};
use crate::sheet::standing::Standing;
use crate::trade::reading::Reading;
use std::sync::Arc;

/// A state that follows, and how it came to that.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// The state.
    pub state: State,
    /// How.
    pub told: Told,
}

/// How an answer was taken.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Told {
    /// What was judged.
    pub result: Option<Reading>,
    /// The outcome line this asking fell on, by its index; in a bank, that of the member just asked.
    pub fell: Option<usize>,
    /// The outcome line the walk follows; `None` while members are still to be asked, and where no line is involved.
    pub line: Option<usize>,
    /// The member picked by an `if` line of a bank.
    pub picked: Option<(BankId, Member)>,
    /// What became of an owed test.
    pub owed: OwedTold,
}

/// What an answer made of the list of owed tests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum OwedTold {
    /// It was no owed test, or is not through yet.
    #[default]
    Outside,
    /// Good: struck.
    Struck,
    /// Not good: it stays owed.
    Stays,
}

/// The state a walk of this playbook starts with: every state at home, at the first test.
///
/// # Errors
/// [`Refused::NoMember`] where the first test is for one of several alike.
pub fn start(library: &Library, book: BookId) -> Result<State, Refused> {
    let state = State {
        at: At::Closing,
        standing: Standing::home(library.states()),
        chain: Arc::from([book]),
        readings: std::collections::BTreeMap::new(),
        that: std::collections::BTreeMap::new(),
        owed: Vec::new(),
        done: Vec::new(),
    };
    enter_test(library, state, TestId(0))
}

/// Every state that may follow an answer; one for a plain answer. Never empty.
///
/// # Errors
/// [`Refused`] where the answer is not taken; the walk stays where it is.
pub fn step(library: &Library, state: &State, answer: &Answer) -> Result<Vec<Next>, Refused> {
    if state.is_over() {
        return Err(Refused::NotHere);
    }
    match answer {
        Answer::Changed => changed(library, state).map(plain),
        Answer::Stop => Ok(plain(match &state.at {
            // Not even the power can be locked out safely: it is left as it stands.
            At::Leaving(Reason::NotSafe) => at(state, At::HandedOver(Reason::NotSafe)),
            _ => at(state, At::Leaving(Reason::NotSafe)),
        })),
        Answer::Cannot => cannot(library, state).map(plain),
        Answer::NoPart => match &state.at {
            At::Work(end, member) if library.book(state.book()).end(*end).kind != BlockKind::Escalate => {
                let done = done(state, *end, *member);
                Ok(plain(at(state, At::Leaving(Reason::NoPart(done)))))
            }
            _ => Err(Refused::NotHere),
        },
        Answer::Done => {
            there(library, state)?;
            finished(library, state).map(plain)
        }
        Answer::Read(_) | Answer::Judged(..) | Answer::Said(..) => {
            let At::Test(visit) = &state.at else { return Err(Refused::NotHere) };
            there(library, state)?;
            asked(library, state, visit, answer)
        }
    }
}

/// The result a test would judge with these readings, for the echo before a line is judged: `None` where it judges words.
///
/// # Errors
/// As [`step`].
pub fn judged_result(library: &Library, state: &State, read: &[Reading]) -> Result<Option<Reading>, Refused> {
    let At::Test(visit) = &state.at else { return Err(Refused::NotHere) };
    let book = library.book(state.book());
    let test = book.test(visit.test);
    let member = member_of(state, visit, book, test)?;
    Ok(arithmetic::result(book, test, read, &|slot| kept(state, book, test, member, slot))?)
}

/// The reading of the supply the limits of the test waited at go by, where they go by one and it has been read: from the
/// readings of the step so far, else from before.
#[must_use]
pub fn supply_at_hand(library: &Library, state: &State, read: &[Reading]) -> Option<f64> {
    let At::Test(visit) = &state.at else { return None };
    let book = library.book(state.book());
    let test = book.test(visit.test);
    let member = member_of(state, visit, book, test).ok()?;
    supply_read(test, read, &|slot| kept(state, book, test, member, slot)).ok().flatten()
}

/// A reading taken before that the test waited at can use: of the member it is asked for, or of the one picked.
#[must_use]
pub fn reading_before(library: &Library, state: &State, slot: SlotId) -> Option<Reading> {
    let At::Test(visit) = &state.at else { return None };
    let book = library.book(state.book());
    let test = book.test(visit.test);
    let member = member_of(state, visit, book, test).ok()?;
    kept(state, book, test, member, slot)
}

/// At most so many answers (state changes not counted) end any walk that starts in this playbook:
/// (repairs × members + 1) × (tests + owed tests), a bank's test counting once for each member, and the works themselves.
#[must_use]
pub fn most_answers(library: &Library) -> usize {
    let books = || library.books().map(|(_, book)| book);
    let members = |book: &Playbook, who: Members| match who {
        Members::One => 1,
        Members::Each(bank) | Members::That(bank) => book.bank(bank).members.len(),
    };
    let tests: usize = books().flat_map(|book| book.tests().map(move |(_, test)| members(book, test.members))).sum();
    let works: usize = books()
        .flat_map(|book| book.ends().map(move |(_, end)| (book, end)))
        .filter(|(_, end)| end.kind != BlockKind::Escalate)
        .map(|(book, end)| members(book, end.members))
        .sum();
    // Behind each repair: the owed tests (at most all), then a way of tests, then its work; at the end a last list.
    (works + 1) * (tests + tests + 1) + 2
}

fn plain(state: State) -> Vec<Next> {
    vec![Next { state, told: Told::default() }]
}

fn at(state: &State, at: At) -> State {
    State { at, ..state.clone() }
}

fn done(state: &State, end: EndId, member: Option<Member>) -> Done {
    Done { end: InBook { book: state.book(), id: end }, member }
}

/// Refuses an answer as long as the unit does not stand as the step needs it.
fn there(library: &Library, state: &State) -> Result<(), Refused> {
    if changes(library, state)?.is_empty() { Ok(()) } else { Err(Refused::OnTheWay) }
}

fn changed(library: &Library, state: &State) -> Result<State, Refused> {
    let way = changes(library, state)?;
    let first = way.first().ok_or(Refused::NotHere)?;
    let mut next = state.clone();
    next.standing.set(first.stand());
    Ok(next)
}

fn cannot(library: &Library, state: &State) -> Result<State, Refused> {
    let book = state.book();
    match &state.at {
        At::Test(visit) => {
            let test = InBook { book, id: visit.test };
            if visit.owed {
                return Ok(at(state, At::Leaving(Reason::NotChecked(test))));
            }
            match &library.test(test).cannot {
                Some((target, _)) => {
                    // Members asked before this one have left readings, and a test left so sets nothing.
                    let mut next = state.clone();
                    let slots: Vec<SlotId> = library.test(test).measures().iter().map(|measure| measure.slot).collect();
                    next.readings.retain(|(slot, _), _| !slots.contains(slot));
                    follow(library, next, target)
                }
                None => Ok(at(state, At::Leaving(Reason::CannotTest(test)))),
            }
        }
        At::Work(end, member) => {
            let work = done(state, *end, *member);
            let reason = match library.end(work.end).kind {
                BlockKind::Escalate => Reason::Escalated(work.end),
                _ => Reason::CannotWork(work),
            };
            Ok(at(state, At::Leaving(reason)))
        }
        At::Closing => Ok(at(state, At::Leaving(Reason::NotPutBack))),
        // It stays as it stands.
        At::Leaving(reason) => Ok(at(state, At::HandedOver(*reason))),
        At::Closed | At::HandedOver(_) => Err(Refused::NotHere),
    }
}

fn finished(library: &Library, state: &State) -> Result<State, Refused> {
    match &state.at {
        At::Work(end, member) => match library.book(state.book()).end(*end).kind {
            BlockKind::Escalate => {
                let reason = Reason::Escalated(InBook { book: state.book(), id: *end });
                Ok(at(state, At::Leaving(reason)))
            }
            _ => repaired(library, state, *end, *member),
        },
        At::Closing => Ok(at(state, At::Closed)),
        At::Leaving(reason) => Ok(at(state, At::HandedOver(*reason))),
        At::Test(_) | At::Closed | At::HandedOver(_) => Err(Refused::NotHere),
    }
}

fn asked(library: &Library, state: &State, visit: &Visit, answer: &Answer) -> Result<Vec<Next>, Refused> {
    let book = library.book(state.book());
    let test = book.test(visit.test);
    let member = member_of(state, visit, book, test)?;
    let before = |slot| kept(state, book, test, member, slot);
    ways(book, test, answer, &before)?
        .into_iter()
        .map(|way| taken(library, state, visit, (book, test, member), way))
        .collect()
}

/// One way of taking the answer, to the state that follows.
fn taken(
    library: &Library,
    state: &State,
    visit: &Visit,
    (book, test, member): (&Playbook, &Test, Option<Member>),
    way: Way,
) -> Result<Next, Refused> {
    let mut next = state.clone();
    for (measure, reading) in test.measures().iter().zip(&way.read) {
        next.readings.insert((measure.slot, member), Kept(*reading));
    }
    let fell = way.fell.line.or(way.fell.alls.first().copied()).map(usize::from);
    let mut told = Told { result: way.result, fell, ..Told::default() };
    let line = match (test.members, member) {
        (Members::Each(bank), Some(member)) => {
            let mut visit = visit.clone();
            visit.asked.push((member, way.fell));
            if visit.asked.len() < book.bank(bank).members.len() {
                next.at = At::Test(visit);
                return Ok(Next { state: next, told });
            }
            let (line, picked) = choose(test, &visit).ok_or(Refused::NoLine(way.result))?;
            next.that.remove(&bank);
            if let Some(member) = picked {
                next.that.insert(bank, member);
                told.picked = Some((bank, member));
            }
            line
        }
        _ => way.fell.line.map(usize::from).ok_or(Refused::NoLine(way.result))?,
    };
    let branch: &Branch = test.branches.get(line).ok_or(Refused::NotHere)?;
    told.line = Some(line);
    let state = if visit.owed && branch.kind == OutcomeKind::Good {
        told.owed = OwedTold::Struck;
        next.owed.remove(0);
        first_owed(library, next)?
    } else {
        told.owed = if visit.owed { OwedTold::Stays } else { OwedTold::Outside };
        follow_answered(library, next, InBook { book: state.book(), id: visit.test }, branch)?
    };
    Ok(Next { state, told })
}

/// The line of a bank, all members asked: the first `all` line every member is in; else the first `if` line any member
/// falls on, with the lowest such; else `good`.
fn choose(test: &Test, visit: &Visit) -> Option<(usize, Option<Member>)> {
    let of = |kind: OutcomeKind| {
        test.branches.iter().zip(0_u16..).filter(move |(branch, _)| branch.kind == kind).map(|(_, at)| at)
    };
    if let Some(line) = of(OutcomeKind::All).find(|at| visit.asked.iter().all(|(_, fell)| fell.alls.contains(at))) {
        return Some((usize::from(line), None));
    }
    // INVARIANT: members are asked lowest first.
    let on = |line: u16| visit.asked.iter().find(|(_, fell)| fell.line == Some(line)).map(|(member, _)| *member);
    if let Some((line, member)) = of(OutcomeKind::If).find_map(|line| Some((line, on(line)?))) {
        return Some((usize::from(line), Some(member)));
    }
    let good = of(OutcomeKind::Good).next()?;
    visit.asked.iter().all(|(_, fell)| fell.line == Some(good)).then_some((usize::from(good), None))
}

/// The member a test is asked for now.
///
/// # Errors
/// [`Refused::NoMember`] where it is for the member picked and none was.
pub(super) fn member_of(state: &State, visit: &Visit, book: &Playbook, test: &Test) -> Result<Option<Member>, Refused> {
    let none = || Refused::NoMember(InBook { book: state.book(), id: visit.test });
    match test.members {
        Members::One => Ok(None),
        Members::Each(bank) => book.bank(bank).members.get(visit.asked.len()).copied().map(Some).ok_or_else(none),
        Members::That(bank) => state.that.get(&bank).copied().map(Some).ok_or_else(none),
    }
}

/// A reading kept from before: that of the member now asked, or of the member picked.
fn kept(state: &State, book: &Playbook, now: &Test, member: Option<Member>, slot: SlotId) -> Option<Reading> {
    let bank = |members: Members| match members {
        Members::One => None,
        Members::Each(bank) | Members::That(bank) => Some(bank),
    };
    let whose = bank(book.test(book.slot(slot).test).members)
        .and_then(|of| if bank(now.members) == Some(of) { member } else { state.that.get(&of).copied() });
    state.readings.get(&(slot, whose)).map(|kept| kept.0)
}

/// Goes where a line leads.
fn follow(library: &Library, state: State, target: &Target) -> Result<State, Refused> {
    match target {
        Target::Test(test) => enter_test(library, state, *test),
        Target::End(end) => enter_end(library, state, *end),
        Target::Playbook(name) => {
            let nowhere = || Refused::Nowhere(name.clone());
            let book = library.find(name).filter(|book| !state.chain.contains(book)).ok_or_else(nowhere)?;
            let chain = state.chain.iter().copied().chain([book]).collect();
            // Names, readings and members do not cross.
            let state = State {
                chain,
                readings: std::collections::BTreeMap::new(),
                that: std::collections::BTreeMap::new(),
                ..state
            };
            enter_test(library, state, TestId(0))
        }
        Target::Nowhere => Err(Refused::Nowhere(String::new())),
    }
}

/// Goes where the line of a test leads. Where that is a playbook whose first test asks what was just answered, the answer holds
/// there too and is not asked again.
fn follow_answered(library: &Library, state: State, asked: InBook<TestId>, branch: &Branch) -> Result<State, Refused> {
    let next = follow(library, state, &branch.to)?;
    let (Target::Playbook(_), At::Test(visit)) = (&branch.to, &next.at) else { return Ok(next) };
    let first = InBook { book: next.book(), id: visit.test };
    let line = if alike(library, asked, first) { same_line(library.test(first), branch) } else { None };
    match line {
        Some(line) => follow_answered(library, next.clone(), first, line),
        None => Ok(next),
    }
}

fn enter_test(library: &Library, mut state: State, test: TestId) -> Result<State, Refused> {
    let book = library.book(state.book());
    let visit = Visit { test, owed: false, asked: Vec::new() };
    if usize::from(test.0) >= book.tests.len() {
        return Err(Refused::Nowhere(book.name.clone()));
    }
    member_of(&state, &visit, book, book.test(test))?;
    if let Members::Each(bank) = book.test(test).members {
        // It holds until the next asking of all.
        state.that.remove(&bank);
    }
    state.at = At::Test(visit);
    Ok(state)
}

fn enter_end(library: &Library, mut state: State, end: EndId) -> Result<State, Refused> {
    let block = library.book(state.book()).end(end);
    let member = match block.members {
        Members::That(bank) => state.that.get(&bank).copied(),
        Members::One | Members::Each(_) => None,
    };
    let work = done(&state, end, member);
    state.at = if block.kind != BlockKind::Escalate && state.done.contains(&work) {
        At::Leaving(Reason::DidNotHold(work))
    } else {
        At::Work(end, member)
    };
    Ok(state)
}
