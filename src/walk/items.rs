//! A step as a list of things to confirm, to read and to answer, one after another.

use super::heard::for_member;
use crate::engine::view::Place;
use crate::engine::{At, Library, Refused, State, View, view};
use crate::language::syntax::{BlockKind, Probes};
use crate::playbook::model::{Bank, Member, Members, Playbook, Scale, Step};
use crate::playbook::ways::Change;

/// One thing, and the signal words and pictures that stand right before it.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Signal words and pictures.
    pub before: Vec<Step>,
    /// The thing.
    pub what: Thing,
}

/// One thing to confirm, read or answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Thing {
    /// A change of state on the way.
    Change(Change),
    /// One thing to do.
    Do(String),
    /// A timer.
    Wait {
        /// How long, in seconds.
        seconds: f64,
        /// The same as the author wrote it.
        time: String,
        /// What to watch for.
        until: Option<String>,
    },
    /// One wire off, so that a part is read by itself.
    WireOff(String),
    /// The measure of this number.
    Read(usize),
    /// The wire back on.
    WireOn(String),
    /// The question.
    Answer,
    /// On which side of normal.
    Side,
    /// The work is done.
    Finish,
    /// Somebody is called.
    Call,
    /// The closing or the hand-over list.
    List,
    /// There is no way to stand so; why.
    Stuck(String),
}

/// What the walk waits at, and its items. While a change of state is still to make it is the only one.
pub fn items<'a>(library: &'a Library, state: &State) -> (Option<View<'a>>, Vec<Item>) {
    match view(library, state) {
        Ok(view) => {
            let items = match view.way.first() {
                Some(change) => vec![bare(Thing::Change(*change))],
                None => of_block(&view, is_again(state)),
            };
            (Some(view), items)
        }
        Err(refused) => (None, vec![bare(Thing::Stuck(stuck(&refused)))]),
    }
}

fn stuck(refused: &Refused) -> String {
    match refused {
        Refused::NoWay(why) => why.clone(),
        other => other.to_string(),
    }
}

fn bare(what: Thing) -> Item {
    Item { before: Vec::new(), what }
}

/// Whether the test is asked for another member after the first: what is done for all of them has been done.
fn is_again(state: &State) -> bool {
    matches!(&state.at, At::Test(visit) if !visit.asked.is_empty())
}

fn of_block(view: &View<'_>, again: bool) -> Vec<Item> {
    let mut items = Vec::new();
    let mut before: Vec<Step> = Vec::new();
    let member = member(view);
    let named = |words: &str| member.map_or_else(|| words.to_owned(), |(bank, m)| for_member(words, &bank.name, m));
    let ahead = view.place.ahead().len();
    for (nth, step) in view.place.steps().iter().enumerate() {
        let mut push = |what: Thing, before: &mut Vec<Step>| items.push(Item { before: std::mem::take(before), what });
        match step {
            // Those ahead of everything are in the head of the card.
            Step::Signal(..) | Step::Picture { .. } => {
                if nth >= ahead {
                    before.push(step.clone());
                }
            }
            // Once a round, where it is not about the member.
            Step::Do(words, _) if again && named(words) == *words => {}
            Step::Wait { until, .. } if again && until.as_deref().is_none_or(|until| named(until) == until) => {}
            Step::Do(words, _) => push(Thing::Do(named(words)), &mut before),
            Step::Wait { seconds, time, until, .. } => {
                let until = until.as_deref().map(named);
                push(Thing::Wait { seconds: *seconds, time: time.clone(), until }, &mut before);
            }
            Step::Measure(at, _) => {
                let part = match &view.place {
                    Place::Test { test, .. } => test.measures().get(usize::from(*at)).and_then(|measure| {
                        if let Probes::Of(part) = &measure.probes { Some(named(part.as_str())) } else { None }
                    }),
                    _ => None,
                };
                if let Some(part) = &part {
                    push(Thing::WireOff(part.clone()), &mut before);
                }
                push(Thing::Read(usize::from(*at)), &mut before);
                if let Some(part) = part {
                    push(Thing::WireOn(part), &mut before);
                }
            }
            Step::Ask(_) => push(Thing::Answer, &mut before),
        }
    }
    let last = match &view.place {
        Place::Test { test, .. } => matches!(test.scale, Scale::Judged(_)).then_some(Thing::Side),
        Place::Work { .. } => Some(Thing::Finish),
        Place::Escalation(_) => Some(Thing::Call),
        Place::Closing | Place::Leaving(_) => Some(Thing::List),
        Place::Closed | Place::HandedOver(_) => None,
    };
    if let Some(what) = last {
        items.push(Item { before, what });
    }
    items
}

/// The bank and the member the block is for now.
pub fn member<'a>(view: &View<'a>) -> Option<(&'a Bank, Member)> {
    let (who, member) = match &view.place {
        Place::Test { test, member, .. } => (test.members, *member),
        Place::Work { end, member } => (end.members, *member),
        _ => return None,
    };
    bank_of(view.book, who).zip(member)
}

/// The bank a block is for.
pub fn bank_of(book: &Playbook, who: Members) -> Option<&Bank> {
    match who {
        Members::One => None,
        Members::Each(bank) | Members::That(bank) => Some(book.bank(bank)),
    }
}

/// The title of the step a state waits at, with the member where it is for one of several alike.
pub fn title(library: &Library, state: &State) -> String {
    let Ok(view) = view(library, state) else { return bare_title(library, state) };
    let member = member(&view);
    let of = |title: &str| match member {
        None => title.to_owned(),
        Some((bank, number)) => {
            let told = for_member(title, &bank.name, number);
            let name = format!("{}-{number}", bank.name);
            match told {
                told if told.contains(&name) => told,
                asked if asked.ends_with('?') => format!("{asked} {name}"),
                told => format!("{told}: {name}"),
            }
        }
    };
    match &view.place {
        Place::Test { test, .. } => of(&test.title),
        Place::Work { end, .. } => of(&end.title),
        Place::Escalation(end) => end.title.clone(),
        Place::Closing => "Close the call".to_owned(),
        Place::Closed => "Closed".to_owned(),
        Place::Leaving(_) => "Hand over".to_owned(),
        Place::HandedOver(_) => "Handed over".to_owned(),
    }
}

fn bare_title(library: &Library, state: &State) -> String {
    let book = library.book(state.book());
    match &state.at {
        At::Test(visit) => book.test(visit.test).title.clone(),
        At::Work(end, _) => book.end(*end).title.clone(),
        _ => "Hand over".to_owned(),
    }
}

/// "Replaced" says it for a repair, "Done" for an adjust.
pub fn kind_word(kind: BlockKind) -> &'static str {
    match kind {
        BlockKind::Repair => "repair",
        BlockKind::Adjust => "adjust",
        other => other.keyword(),
    }
}
