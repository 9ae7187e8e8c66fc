//! The conversation: a typed line in, the next screen and the events out.
//!
//! 1. [`Walk::start`] and [`Walk::take_up`] begin it; `start` asks what the caller said and how the unit stands.
//! 2. A line that is a word to the walk itself is obeyed in `orders`, `back` in `backward`; any other is an answer and goes to
//!    `answers`, a reading from there to `readings`.
//! 3. What an answer leads to is shown by [`super::screen`] and noted as events.

mod answers;
mod backward;
mod orders;
mod readings;
mod start;
mod take_up;

pub use take_up::TakeUp;

use super::card::Card;
use super::heard::{Order, order};
use super::items::{Item, Thing, items};
use super::reach::Reaches;
use super::record::{Event, What, plain_record};
use super::screen::{Desk, Shown, prompt};
use super::writeup::WriteUp;
use crate::corners::Desks;
use crate::engine::{BookId, Library, Refused, Trail, supply_at_hand};
use crate::language::syntax::Side;
use crate::sheet::shop::Shop;
use crate::trade::reading::Reading;
use std::sync::Arc;

/// What a walk goes by beside its playbooks.
#[derive(Debug, Clone)]
pub struct Job {
    /// The shop's own words.
    pub shop: Arc<Shop>,
    /// The unit one stands at with the shop's meter, where it has a sheet.
    pub unit: Option<Arc<Desks>>,
    /// The folder of playbooks, for the record; may be empty.
    pub from: String,
}

impl Job {
    /// At a unit without a sheet.
    #[must_use]
    pub fn without_sheet(shop: Shop) -> Self {
        Self { shop: Arc::new(shop), unit: None, from: String::new() }
    }

    /// At a unit with a sheet.
    #[must_use]
    pub fn at(shop: Shop, unit: Arc<Desks>) -> Self {
        Self { unit: Some(unit), ..Self::without_sheet(shop) }
    }
}

/// A walk as a conversation.
#[derive(Debug, Clone)]
pub struct Walk {
    library: Arc<Library>,
    shop: Arc<Shop>,
    /// What the places of the unit can show, where it has a sheet.
    reaches: Option<Reaches>,
    book: BookId,
    trail: Trail,
    /// What had been done of each step whose answer can be taken back.
    drafts: Vec<Draft>,
    stage: Stage,
    draft: Draft,
    events: Vec<Event>,
    /// The line being heard, until an event takes it.
    typed: Option<String>,
    /// A record is being followed: what was taken then is taken, and nothing is asked back.
    trusting: bool,
    /// Of an answer taken back in it, what was asked again.
    back_to: Option<String>,
    /// Why the line heard was not taken.
    refused: Option<String>,
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
    /// A reading asked back for its size, and how it was typed.
    doubted: Option<(Reading, String)>,
    /// The last line was not taken.
    was_refused: bool,
    /// Going back to the step before was offered, and not yet agreed to.
    back_offered: bool,
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
    pub fn start(library: Arc<Library>, book: BookId, job: Job, at: &str) -> Result<(Self, Reply), Refused> {
        let trail = Trail::start(&library, book)?;
        let mut walk = Self {
            library,
            shop: job.shop,
            reaches: job.unit.map(Reaches::new),
            book,
            trail,
            drafts: Vec::new(),
            stage: Stage::Complaint,
            draft: Draft::default(),
            events: Vec::new(),
            typed: None,
            trusting: false,
            back_to: None,
            refused: None,
        };
        let playbook = walk.library.book(book);
        let started = What::Started {
            playbook: playbook.name.clone(),
            title: playbook.title.clone(),
            revised: playbook.revised.clone(),
            unit: only(&playbook.units),
            from: job.from,
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
                let doubted = self.draft.doubted.is_some();
                let item = items.get(self.draft.item);
                item.map_or_else(String::new, |item| prompt(&self.library, view.as_ref(), item, doubted))
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
                Some(order) => {
                    self.draft.back_offered &= order == Order::Back;
                    self.draft.was_refused &= order == Order::Back;
                    self.obey(order, at, &mut card);
                }
                None => {
                    self.draft.back_offered = false;
                    self.answer(line, at, &mut card);
                }
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

    // ---- screens ---------------------------------------------------------------------------------

    fn desk(&self) -> Desk<'_> {
        let sheet = self.reaches.as_ref().map(|reaches| &*reaches.desks().wired().unit);
        Desk {
            library: &self.library,
            shop: &self.shop,
            state: self.trail.now(),
            sheet,
            read: &[],
            volts: None,
            back: None,
        }
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
            let read = match item.what {
                Thing::Side => self.read_and_judged(),
                Thing::Read(_) => self.read_so_far(),
                _ => Vec::new(),
            };
            let volts = supply_at_hand(&library, self.trail.now(), &self.draft.read);
            let back = self.refused.take();
            let desk = Desk { read: &read, volts, back: back.as_deref(), ..self.desk() };
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
            Stage::Standing => self.as_found(card),
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
