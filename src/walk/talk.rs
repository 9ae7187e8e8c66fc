//! The conversation: a typed line in, the next screen and the events out.
//!
//! 1. [`Walk::start`] and [`Walk::take_up`] begin it: what the caller said, whether the unit stands as a walk starts.
//! 2. A line that is a word to the walk itself is obeyed in `orders`; any other is an answer and goes to `answers`.
//! 3. What an answer leads to is shown by [`super::screen`] and noted as events.

mod answers;
mod orders;
mod take_up;

pub use take_up::TakeUp;

use super::card::Card;
use super::heard::order;
use super::items::{Item, Thing, items};
use super::record::{Event, What, plain_record};
use super::screen::{Desk, Shown, prompt};
use super::writeup::WriteUp;
use crate::engine::{BookId, Library, Refused, Trail, supply_at_hand};
use crate::language::syntax::Side;
use crate::sheet::shop::Shop;
use crate::sheet::standing::Standing;
use crate::sheet::states::Stand;
use crate::trade::reading::Reading;
use std::sync::Arc;

/// A walk as a conversation.
#[derive(Debug, Clone)]
pub struct Walk {
    library: Arc<Library>,
    shop: Arc<Shop>,
    book: BookId,
    trail: Trail,
    stage: Stage,
    draft: Draft,
    events: Vec<Event>,
    /// The line being heard, until an event takes it.
    typed: Option<String>,
}

/// How far the conversation is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    /// What the caller said.
    Complaint,
    /// Whether the unit stands as a walk starts.
    Standing,
    /// Step after step.
    Steps,
    /// Nothing more to say.
    Over,
}

/// What of the present step has been done.
#[derive(Debug, Clone, Default)]
struct Draft {
    item: usize,
    read: Vec<Reading>,
    said: Option<usize>,
    side: Option<Side>,
    head_shown: bool,
    changed: bool,
    list_owed: bool,
    /// A part with one wire off.
    wire_off: Option<String>,
}

/// What a line led to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Reply {
    /// The text to show.
    pub text: String,
    /// The events to write before the next question.
    pub events: Vec<Event>,
}

impl Walk {
    /// Starts a walk: the first screen and the first event. `at` is the time.
    ///
    /// # Errors
    /// [`Refused`] where the playbook cannot be started.
    pub fn start(library: Arc<Library>, book: BookId, shop: Arc<Shop>, at: &str) -> Result<(Self, Reply), Refused> {
        let trail = Trail::start(&library, book)?;
        let (stage, draft) = (Stage::Complaint, Draft::default());
        let mut walk = Self { library, shop, book, trail, stage, draft, events: Vec::new(), typed: None };
        let playbook = walk.library.book(book);
        let started = What::Started {
            playbook: playbook.name.clone(),
            title: playbook.title.clone(),
            revised: playbook.revised.clone(),
            unit: only(&playbook.units),
            print: take_up::print(&walk.library, book),
        };
        let mut card = Card::default();
        walk.note(at, started);
        walk.opening(&mut card);
        Ok((walk.clone(), Reply { text: card.text(), events: walk.events }))
    }

    /// Whether there is nothing more to say.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.stage == Stage::Over
    }

    /// Every event so far.
    #[must_use]
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// The question mark.
    #[must_use]
    pub fn prompt(&self) -> String {
        match self.stage {
            Stage::Complaint => "complaint: ".to_owned(),
            Stage::Standing => "does it stand so? ".to_owned(),
            Stage::Over => String::new(),
            Stage::Steps => {
                let (view, items) = items(&self.library, self.trail.now());
                items.get(self.draft.item).map_or_else(String::new, |item| prompt(&self.library, view.as_ref(), item))
            }
        }
    }

    /// How long the walk asks to wait here, in seconds; `None` where it waits for an answer only.
    #[must_use]
    pub fn timer(&self) -> Option<f64> {
        let (_, items) = items(&self.library, self.trail.now());
        match items.get(self.draft.item).filter(|_| self.stage == Stage::Steps) {
            Some(Item { what: Thing::Wait { seconds, .. }, .. }) => Some(*seconds),
            _ => None,
        }
    }

    /// The record in plain text: for a walk whose record is kept in no file.
    #[must_use]
    pub fn record_text(&self) -> String {
        let mut card = Card::default();
        card.title("Record");
        card.ready(&plain_record(&self.events));
        card.text()
    }

    /// The write-up so far.
    #[must_use]
    pub fn write_up(&self) -> WriteUp {
        WriteUp::of(&self.events)
    }

    /// Takes a typed line.
    pub fn hear(&mut self, line: &str, at: &str) -> Reply {
        let before = self.events.len();
        self.typed = Some(line.trim_end_matches(['\r', '\n']).to_owned());
        let mut card = Card::default();
        if self.stage != Stage::Over {
            match order(line) {
                Some(order) => self.obey(order, at, &mut card),
                None => self.answer(line, at, &mut card),
            }
        }
        self.typed = None;
        Reply { text: card.text(), events: self.events.get(before..).unwrap_or_default().to_vec() }
    }

    /// Leaves the walk off: the input ended, or somebody interrupted it. The record is kept.
    pub fn leave_off(&mut self, by: &str, at: &str) -> Reply {
        let before = self.events.len();
        let mut card = Card::default();
        if self.stage != Stage::Over {
            self.typed = None;
            self.left_off(by, at, &mut card);
        }
        Reply { text: card.text(), events: self.events.get(before..).unwrap_or_default().to_vec() }
    }

    // ---- the start -------------------------------------------------------------------------------

    fn opening(&self, card: &mut Card) {
        let book = self.library.book(self.book);
        card.title(&book.title);
        card.lines("For", &book.units);
        if !book.revised.is_empty() {
            card.line("Revised", &book.revised);
        }
        card.line("Before", "This work can burn, cut, shock and kill. Do only what you are trained and licensed for.");
        card.line("", &self.shop.local_codes);
        card.line("", "Any time it does not look safe, type stop. Press Enter when a thing is done. Type ? for what else you can say.");
        card.lines("Symptoms", &book.symptoms);
        card.say("What did the caller say? Enter alone takes the first of these.");
    }

    /// A walk starts with every state at home, and says so: power, covers, and every other state the playbook uses.
    fn standing_question(&self, card: &mut Card) {
        card.title(&self.library.book(self.book).title);
        card.line("Start", "The walk takes it that nothing has been taken off, opened, set or fitted yet.");
        self.home_line(card);
    }

    fn home_line(&self, card: &mut Card) {
        let states = self.library.states();
        let book = self.library.book(self.book);
        let with = book.tests.iter().flat_map(|test| &test.with).chain(book.ends.iter().flat_map(|end| &end.with));
        let named = self.library.stands(self.book, &with.copied().collect::<Vec<_>>());
        let mut homes: Vec<Stand> = named.iter().map(|stand| Stand::home(stand.state)).collect();
        homes.retain(|home| !states.is_named_only(home.state) && *home != Stand::LIVE && *home != Stand::COVERS_ON);
        homes.sort_unstable();
        homes.dedup();
        let mut told = vec![states.told_standing(&Standing::home(states))];
        told.extend(homes.iter().map(|home| states.told(*home)));
        card.say(&format!("Unit now: {}", told.join(", ")));
    }

    // ---- screens ---------------------------------------------------------------------------------

    fn desk(&self) -> Desk<'_> {
        Desk { library: &self.library, shop: &self.shop, state: self.trail.now(), read: &[], volts: None }
    }

    fn screen(&mut self, card: &mut Card) {
        match self.stage {
            Stage::Complaint => return self.opening(card),
            Stage::Standing => return self.standing_question(card),
            Stage::Over => return,
            Stage::Steps => {}
        }
        let library = Arc::clone(&self.library);
        let (view, items) = items(&library, self.trail.now());
        let shown = match (self.draft.head_shown, self.draft.changed) {
            (false, _) => Shown::Nothing,
            (true, true) => Shown::Changed,
            (true, false) => Shown::Head,
        };
        if let Some(item) = items.get(self.draft.item) {
            let read = if item.what == Thing::Side { self.read_so_far() } else { Vec::new() };
            let volts = supply_at_hand(&library, self.trail.now(), &self.draft.read);
            let desk = Desk { read: &read, volts, ..self.desk() };
            desk.item(card, view.as_ref(), item, shown, self.draft.list_owed);
            self.draft.head_shown = true;
            // What can kill has been said again once the way is made.
            self.draft.changed &= matches!(item.what, Thing::Change(_));
        }
    }

    /// The question once more, under a list that needs the room of the card.
    fn same_question(&mut self, card: &mut Card) {
        match self.stage {
            Stage::Steps => {
                card.say("Type again to see the step again.");
                self.desk().unit_now(card);
            }
            Stage::Standing => self.home_line(card),
            Stage::Complaint | Stage::Over => {}
        }
    }

    fn put_back_wire(&mut self, card: &mut Card) {
        if let Some(part) = self.draft.wire_off.take() {
            card.line("NOTICE", &format!("The wire you took off {part} is still off: put it back first."));
        }
    }

    fn told_standing(&self) -> String {
        self.library.states().told_standing(&self.trail.now().standing)
    }

    fn note(&mut self, at: &str, what: What) {
        let typed = self.typed.take();
        self.events.push(Event { at: at.to_owned(), typed, what });
    }
}

/// The unit walked, where it is settled which.
fn only(units: &[String]) -> String {
    match units {
        [unit] => unit.clone(),
        _ => String::new(),
    }
}
