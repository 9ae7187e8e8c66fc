//! The pure walk, over whole playbooks: each case is a walk told as answers and the places they lead to.

mod banks;
mod forks;
mod guard;
mod library;
mod owed;
mod roads;

use ruleout::engine::{Answer, At, BookId, InBook, Library, Reason, State, Taken, Trail};
use ruleout::language::parse;
use ruleout::language::syntax::Side;
use ruleout::playbook::compile::{Ground, compile};
use ruleout::playbook::model::{Bank, Playbook, Scale, Test};
use ruleout::sheet::states::States;
use ruleout::text::source::Source;
use ruleout::trade::reading::Reading;
use std::path::Path;
use std::sync::Arc;

/// A compiled playbook of this folder, with three zones where it asks for a bank.
fn playbook(name: &str) -> Arc<Playbook> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/cases/engine/{name}.playbook"));
    compiled(&std::fs::read_to_string(path).unwrap())
}

fn compiled(text: &str) -> Arc<Playbook> {
    let source = Source::new("case.playbook", text);
    let (tree, problems) = parse(&source);
    let told: Vec<&str> = problems.iter().map(|p| p.message.as_str()).collect();
    assert!(told.is_empty(), "{told:?}");
    let states = Arc::new(States::built_in());
    let banks = [Bank { name: "zone".to_owned(), members: vec![1, 2, 3] }];
    let (playbook, problems) = compile(&tree.unwrap(), Ground { states: &states, banks: &banks, desks: None });
    let errors: Vec<&str> = problems.iter().filter(|p| p.is_error()).map(|p| p.message.as_str()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    Arc::new(playbook.unwrap())
}

fn library(names: &[&str]) -> Library {
    Library::new(names.iter().map(|name| playbook(name)).collect())
}

/// The answer a word of a case stands for at this place: readings apart by commas, an answer's words, an order.
fn answer(library: &Library, state: &State, word: &str) -> Answer {
    match word {
        "done" => return Answer::Done,
        "can't" => return Answer::Cannot,
        "stop" => return Answer::Stop,
        "no part" => return Answer::NoPart,
        "change" => return Answer::Changed,
        _ => {}
    }
    let At::Test(visit) = &state.at else { panic!("{word:?} is no answer at {}", told(library, state)) };
    let test = library.book(state.book()).test(visit.test);
    if test.scale == Scale::Answers {
        let line = test.branches.iter().position(|branch| branch.words == word);
        return Answer::Said(Vec::new(), line.unwrap_or_else(|| panic!("no answer {word:?}")));
    }
    let (readings, side) = word.split_once(' ').unwrap_or((word, ""));
    let read = readings_of(test, readings);
    match (test.scale, side) {
        (Scale::Judged(_), "below") => Answer::Judged(read, Side::Below),
        (Scale::Judged(_), "above") => Answer::Judged(read, Side::Above),
        (Scale::Judged(_), _) => Answer::Judged(read, Side::Within),
        _ => Answer::Read(vec![Taken::sure(read)]),
    }
}

fn readings_of(test: &Test, words: &str) -> Vec<Reading> {
    let each = words.split(',').zip(test.measures());
    each.map(|(word, measure)| Reading::parse(word, measure.unit).unwrap()).collect()
}

/// Where a walk stands, in short: "test heater-ohms", "owed heater-ohms", "repair heater", "leaving: escalated ran-well".
fn told(library: &Library, state: &State) -> String {
    let book = library.book(state.book());
    let end = |at: &InBook<_>| library.end(*at).name.clone();
    let test = |at: &InBook<_>| library.test(*at).name.clone();
    let reason = |reason: &Reason| match reason {
        Reason::Escalated(at) => format!("escalated {}", end(at)),
        Reason::NoPart(done) => format!("no part for {}", end(&done.end)),
        Reason::DidNotHold(done) => format!("did not hold: {}", end(&done.end)),
        Reason::NotChecked(at) => format!("repaired, not checked: {}", test(at)),
        Reason::CannotTest(at) => format!("can't test {}", test(at)),
        Reason::CannotWork(done) => format!("can't do {}", end(&done.end)),
        Reason::NotPutBack => "not put back".to_owned(),
        Reason::NotSafe => "not safe".to_owned(),
    };
    match &state.at {
        At::Test(visit) => {
            let word = if visit.owed { "owed" } else { "test" };
            format!("{word} {}", book.test(visit.test).name)
        }
        At::Work(id, member) => {
            let block = book.end(*id);
            let member = member.map(|member| format!(" {member}")).unwrap_or_default();
            format!("{} {}{member}", block.kind.keyword(), block.name)
        }
        At::Closing => "closing".to_owned(),
        At::Closed => "closed".to_owned(),
        At::Leaving(why) => format!("leaving: {}", reason(why)),
        At::HandedOver(why) => format!("handed over: {}", reason(why)),
    }
}

/// The tests owed, next one first.
fn owed(library: &Library, state: &State) -> Vec<String> {
    let owed = state.owed.iter();
    owed.map(|owed| library.book(*owed.chain.last().unwrap()).test(owed.test).name.clone()).collect()
}

/// Brings the unit to stand as the step needs it, and gives the answer.
fn give(library: &Library, trail: &mut Trail, word: &str) {
    if !matches!(word, "can't" | "stop" | "no part" | "change") {
        while trail.answer(library, &Answer::Changed).is_ok() {}
    }
    let answer = answer(library, trail.now(), word);
    trail.answer(library, &answer).unwrap_or_else(|why| panic!("{word:?} at {}: {why}", told(library, trail.now())));
}

/// Walks a playbook: answers with the place each leads to.
fn walk(names: &[&str], steps: &[(&str, &str)]) -> (Library, Trail) {
    let library = library(names);
    let mut trail = Trail::start(&library, BookId(0)).unwrap();
    for (nth, (word, place)) in steps.iter().enumerate() {
        give(&library, &mut trail, word);
        assert_eq!(told(&library, trail.now()), *place, "after answer {}, {word:?}", nth + 1);
    }
    (library, trail)
}
