//! The conversation: a typed line in, the next screen and the events out.

use super::card::Card;
use super::heard::{self, Order, Picked, asked_back, is_no, is_yes, odd_size, one_of, order, pick};
use super::items::{Item, Thing, items, kind_word, member, title};
use super::record::{Event, What, plain_record};
use super::screen::{Desk, Shown, answers, measured, owed_count, power_word, prompt, sides};
use super::told::{Echo, place};
use super::writeup::WriteUp;
use crate::engine::view::Place;
use crate::engine::{
    Answer, At, BookId, Library, Reason, Refused, State, Taken, Trail, View, judged_result, needs_judging,
};
use crate::language::syntax::Side;
use crate::playbook::model::{Scale, Target, Test};
use crate::sheet::shop::Shop;
use crate::sheet::standing::Standing;
use crate::sheet::states::{Stand, StateId};
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

/// Why a record cannot be taken up again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TakeUp {
    /// The first event is no start of a walk.
    NoStart,
    /// The playbook, or one it goes on to, has been changed since.
    OtherText,
    /// The call was ended.
    Ended,
    /// The events do not follow from what was typed; the number of the first that does not.
    Parted(usize),
    /// The walk cannot start.
    Refused(String),
}

impl std::fmt::Display for TakeUp {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoStart => f.write_str("This is no record of a walk: its first event is not a start."),
            Self::OtherText => f.write_str(
                "The playbook has been changed since this record. Start a new walk; the record stays as it is.",
            ),
            Self::Ended => f.write_str("This call has ended. Start a new walk."),
            Self::Parted(number) => {
                write!(f, "Event {number} of the record does not follow from what was typed before it.")
            }
            Self::Refused(why) => f.write_str(why),
        }
    }
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
            print: print(&walk.library, book),
        };
        let mut card = Card::default();
        walk.note(at, started);
        walk.opening(&mut card);
        Ok((walk.clone(), Reply { text: card.text(), events: walk.events }))
    }

    /// Takes up a walk from its record: what was typed is typed again, and must lead to the same events.
    ///
    /// # Errors
    /// [`TakeUp`] where it does not.
    pub fn take_up(
        library: Arc<Library>,
        book: BookId,
        shop: Arc<Shop>,
        record: &[Event],
        at: &str,
    ) -> Result<(Self, Reply), TakeUp> {
        let Some(Event { at: then, what: What::Started { print: recorded, .. }, .. }) = record.first() else {
            return Err(TakeUp::NoStart);
        };
        if *recorded != print(&library, book) {
            return Err(TakeUp::OtherText);
        }
        let refused = |why: Refused| TakeUp::Refused(why.to_string());
        let (mut walk, _) = Self::start(library, book, shop, then).map_err(refused)?;
        for event in record.iter().skip(1) {
            match (&event.what, &event.typed) {
                (What::LeftOff { .. } | What::TakenUp, _) => walk.events.push(event.clone()),
                (_, Some(typed)) => {
                    walk.hear(typed, &event.at);
                }
                _ => {}
            }
        }
        for (nth, event) in record.iter().enumerate() {
            if walk.events.get(nth) != Some(event) {
                return Err(TakeUp::Parted(nth + 1));
            }
        }
        if walk.is_over() {
            return Err(TakeUp::Ended);
        }
        walk.draft.head_shown = false;
        let before = walk.events.len();
        walk.note(at, What::TakenUp);
        let mut card = Card::default();
        card.say("Taken up where it was left off. Look whether the unit still stands so.");
        walk.screen(&mut card);
        let events = walk.events.get(before..).unwrap_or_default().to_vec();
        Ok((walk, Reply { text: card.text(), events }))
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

    // ---- words to the walk itself -----------------------------------------------------------------

    fn obey(&mut self, order: Order, at: &str, card: &mut Card) {
        match order {
            Order::Help => {
                card.say("At any step you can type:");
                card.listed(2, heard::ORDERS.map(|(word, does)| (format!("{word:<10}"), does)));
                card.say("Enter alone, or done, says that a thing is done. An answer: its words, their beginning, or a word only it has.");
                card.say("A reading: as you say it. 2.3, 2.3 A and 2300 mA are one. OL where the meter shows it.");
                self.same_question(card);
            }
            Order::Note(words) if words.is_empty() => {
                card.say("Type note and the words behind it.");
                self.screen(card);
            }
            Order::Note(words) => {
                self.note(at, What::Note { words });
                card.say("Noted.");
                self.screen(card);
            }
            Order::Again => {
                self.draft.head_shown = false;
                self.screen(card);
            }
            Order::SoFar => {
                self.so_far(card);
                self.same_question(card);
            }
            Order::Owed => {
                let (view, _) = items(&self.library, self.trail.now());
                let titles = view.map(|view| self.desk().owed_titles(&view)).unwrap_or_default();
                card.say(&owed_count(titles.len()));
                card.choices(&titles);
                self.same_question(card);
            }
            Order::Pause => self.left_off("pause", at, card),
            Order::Back => self.back(at, card),
            Order::Stop => {
                let step = title(&self.library, self.trail.now());
                self.stage = Stage::Steps;
                self.note(at, What::Stopped { step });
                self.put_back_wire(card);
                self.go(&Answer::Stop, at, card);
            }
            Order::Cannot if self.stage == Stage::Steps => {
                let step = title(&self.library, self.trail.now());
                self.note(at, What::Cannot { step });
                self.put_back_wire(card);
                self.go(&Answer::Cannot, at, card);
            }
            Order::NoPart => self.no_part(at, card),
            Order::Cannot => {
                card.say("The walk has not started yet. Type pause to leave it.");
                self.screen(card);
            }
        }
    }

    fn no_part(&mut self, at: &str, card: &mut Card) {
        let (view, _) = items(&self.library, self.trail.now());
        match view.map(|view| view.place) {
            Some(Place::Work { end, .. }) if self.stage == Stage::Steps => {
                let what = What::NoPart { step: title(&self.library, self.trail.now()), parts: end.parts.clone() };
                self.note(at, what);
                self.go(&Answer::NoPart, at, card);
            }
            _ => {
                card.say("No part is asked for at this step.");
                self.screen(card);
            }
        }
    }

    fn back(&mut self, at: &str, card: &mut Card) {
        if self.stage == Stage::Standing {
            self.stage = Stage::Complaint;
            self.note(at, What::TookBack { step: "What the caller said".to_owned() });
            self.opening(card);
            return;
        }
        let (_, items) = items(&self.library, self.trail.now());
        let in_step = self.stage == Stage::Steps && self.draft.item > 0;
        if in_step {
            self.draft.item -= 1;
            match items.get(self.draft.item).map(|item| &item.what) {
                Some(Thing::Read(_)) => {
                    self.draft.read.pop();
                }
                Some(Thing::Answer) => self.draft.said = None,
                Some(Thing::WireOff(_)) => self.draft.wire_off = None,
                Some(Thing::WireOn(part)) => self.draft.wire_off = Some(part.clone()),
                _ => {}
            }
        } else if self.stage == Stage::Steps && self.trail.back() {
            self.draft = Draft::default();
        } else {
            card.say("There is no answer to take back. What was changed on the unit, and a repair done, stay.");
            self.screen(card);
            return;
        }
        self.note(at, What::TookBack { step: title(&self.library, self.trail.now()) });
        card.say("Taken back. The unit stays as it stands.");
        self.screen(card);
    }

    fn left_off(&mut self, by: &str, at: &str, card: &mut Card) {
        self.put_back_wire(card);
        let standing = self.told_standing();
        self.note(at, What::LeftOff { by: by.to_owned(), standing });
        self.stage = Stage::Over;
        card.say("Left off here. Do not leave the machine open or live without somebody at it.");
        card.say(&format!("Unit now: {}", self.told_standing()));
    }

    fn so_far(&self, card: &mut Card) {
        let found: Vec<String> = self.events.iter().filter_map(super::writeup::found_line).collect();
        if found.is_empty() {
            card.say("Nothing has been found yet.");
        }
        card.choices(&found);
    }

    // ---- answers ---------------------------------------------------------------------------------

    fn answer(&mut self, line: &str, at: &str, card: &mut Card) {
        match self.stage {
            Stage::Complaint => {
                let first = self.library.book(self.book).symptoms.first();
                let title = &self.library.book(self.book).title;
                let typed = line.trim();
                let words = if typed.is_empty() { first.unwrap_or(title).clone() } else { typed.to_owned() };
                self.note(at, What::Complaint { words });
                self.stage = Stage::Standing;
                self.standing_question(card);
            }
            Stage::Standing if is_yes(line) => {
                let standing = self.told_standing();
                self.note(at, What::FoundStanding { standing });
                self.stage = Stage::Steps;
                self.screen(card);
            }
            Stage::Standing => {
                if is_no(line) {
                    card.say("Bring it to stand so first. Then type yes.");
                } else {
                    card.say("Type yes when it stands so, no if it does not.");
                }
                self.screen(card);
            }
            Stage::Steps => self.item(line, at, card),
            Stage::Over => {}
        }
    }

    fn item(&mut self, line: &str, at: &str, card: &mut Card) {
        let library = Arc::clone(&self.library);
        let (view, items) = items(&library, self.trail.now());
        let Some(item) = items.get(self.draft.item) else { return };
        let test = match view.as_ref().map(|view| &view.place) {
            Some(Place::Test { test, .. }) => Some(*test),
            _ => None,
        };
        let taken = match &item.what {
            Thing::Change(change) => {
                let stand = change.stand();
                let power = change.state == StateId::POWER;
                let word = power_word(&library, stand);
                let said = is_yes(line) || heard::folded(line) == word;
                if !(said || !power && line.trim().is_empty()) {
                    Err(if power {
                        format!("Type yes when it is {word}.")
                    } else {
                        "Press Enter when it is done, or type ? for what else you can say.".to_owned()
                    })
                } else {
                    self.changed(stand, at, card);
                    return;
                }
            }
            Thing::Do(words) => self.did(line, at, words.clone()),
            Thing::Wait(time, _) => self.did(line, at, format!("waited {time}")),
            Thing::WireOff(part) => {
                let taken = self.did(line, at, format!("one wire off {part}"));
                if taken.is_ok() {
                    self.draft.wire_off = Some(part.clone());
                }
                taken
            }
            Thing::WireOn(part) => {
                let taken = self.did(line, at, format!("wire back on {part}"));
                if taken.is_ok() {
                    self.draft.wire_off = None;
                }
                taken
            }
            Thing::Read(number) => match (&view, test) {
                (Some(view), Some(test)) => self.read(line, at, view, test, *number),
                _ => Ok(()),
            },
            Thing::Answer => test.map_or(Ok(()), |test| self.said(line, test)),
            Thing::Side => test.map_or(Ok(()), |test| self.judged(line, test)),
            Thing::Call if line.trim().is_empty() || is_yes(line) => Ok(()),
            Thing::Call => Err("Press Enter when they are called.".to_owned()),
            Thing::Finish | Thing::List if is_yes(line) => Ok(()),
            Thing::Finish | Thing::List => Err("Type done when all of it is done.".to_owned()),
            Thing::Stuck(_) => Err("There is no way on from here. Type can't to hand it over.".to_owned()),
        };
        if let Err(back) = taken {
            card.say(&back);
            self.screen(card);
            return;
        }
        self.draft.item += 1;
        self.skip_judging(test, &items);
        if self.draft.item < items.len() {
            self.screen(card);
        } else {
            self.submit(test, at, card);
        }
    }

    /// No question for the side where the reading decides by itself.
    fn skip_judging(&mut self, test: Option<&Test>, items: &[Item]) {
        let next = items.get(self.draft.item).map(|item| &item.what);
        if let (Some(test), Some(Thing::Side)) = (test, next)
            && let Ok(Some(result)) = judged_result(&self.library, self.trail.now(), &self.draft.read)
            && !needs_judging(test, result)
        {
            self.draft.item += 1;
        }
    }

    fn did(&mut self, line: &str, at: &str, words: String) -> Result<(), String> {
        if !(line.trim().is_empty() || is_yes(line)) {
            return Err("Press Enter when it is done, or type ? for what else you can say.".to_owned());
        }
        let step = title(&self.library, self.trail.now());
        self.note(at, What::Did { step, words });
        Ok(())
    }

    fn read(&mut self, line: &str, at: &str, view: &View<'_>, test: &Test, number: usize) -> Result<(), String> {
        let Some(measure) = test.measures().get(number) else { return Ok(()) };
        let reading = Reading::parse(line, measure.unit).map_err(|slip| asked_back(&slip, measure.unit))?;
        // The limits are about this reading only where it is the one judged.
        let judged = (test.measures().len() == 1 && test.scale == Scale::Numbers(measure.unit)).then_some(test);
        if let Some(back) = odd_size(reading, line, measure.unit, judged) {
            return Err(back);
        }
        let event = What::Read {
            step: title(&self.library, self.trail.now()),
            place: place(&measured(measure), member(view)),
            reading: reading.told(measure.unit),
        };
        self.note(at, event);
        self.draft.read.push(reading);
        Ok(())
    }

    fn said(&mut self, line: &str, test: &Test) -> Result<(), String> {
        let answers = answers(test);
        let words: Vec<&str> = answers.iter().map(|(words, _)| *words).collect();
        match pick(line, &words) {
            Picked::One(at) => {
                self.draft.said = answers.get(at).map(|(_, line)| *line);
                Ok(())
            }
            picked => Err(which(&picked, &words)),
        }
    }

    fn judged(&mut self, line: &str, test: &Test) -> Result<(), String> {
        let sides = sides(test);
        let words: Vec<&str> = sides.iter().map(|(words, _)| words.as_str()).collect();
        match pick(line, &words) {
            Picked::One(at) => {
                self.draft.side = sides.get(at).map(|(_, side)| *side);
                Ok(())
            }
            // "normal" alone begins no line but its own; "below" and "above" say the side.
            picked => Err(which(&picked, &words)),
        }
    }

    /// The step is through: its answer goes to the engine.
    fn submit(&mut self, test: Option<&Test>, at: &str, card: &mut Card) {
        let read = self.draft.read.clone();
        let answer = match test.map(|test| test.scale) {
            Some(Scale::Answers) => match self.draft.said {
                Some(line) => Answer::Said(read.clone(), line),
                None => Answer::Cannot,
            },
            Some(Scale::Numbers(_)) => Answer::Read(vec![Taken::sure(read.clone())]),
            Some(Scale::Judged(_)) => Answer::Judged(read.clone(), self.draft.side.unwrap_or(Side::Within)),
            None => Answer::Done,
        };
        self.go(&answer, at, card);
    }

    fn changed(&mut self, stand: Stand, at: &str, card: &mut Card) {
        let library = Arc::clone(&self.library);
        if let Err(refused) = self.trail.answer(&library, &Answer::Changed) {
            card.say(&refused.to_string());
            self.screen(card);
            return;
        }
        let what = What::Changed { state: library.states().told(stand), standing: self.told_standing() };
        self.note(at, what);
        self.draft.changed = true;
        self.screen(card);
    }

    /// Gives an answer to the engine and shows what follows.
    fn go(&mut self, answer: &Answer, at: &str, card: &mut Card) {
        let library = Arc::clone(&self.library);
        let before = self.trail.now().clone();
        let step = title(&library, &before);
        let next = match self.trail.answer(&library, answer) {
            Ok(next) => next,
            Err(refused) => {
                card.say(&refused.to_string());
                self.draft = Draft { head_shown: true, ..Draft::default() };
                self.screen(card);
                return;
            }
        };
        let book = library.book(before.book());
        match &before.at {
            At::Test(visit) if next.told.fell.is_some() => {
                let test = book.test(visit.test);
                let read = &self.draft.read;
                let echo = Echo {
                    library: &library,
                    before: &before,
                    book,
                    test,
                    step: &step,
                    read,
                    told: &next.told,
                    next: &next.state,
                };
                let event = echo.event();
                echo.text(card);
                if let Some(event) = event {
                    self.note(at, event);
                }
            }
            At::Work(end, _) if *answer == Answer::Done || *answer == Answer::Cannot => {
                self.worked(book.end(*end), &step, answer, &next.state, at);
            }
            _ => {}
        }
        let list_owed = next.state.done.len() > before.done.len();
        self.draft = Draft { list_owed, ..Draft::default() };
        if next.state.is_over() {
            self.over(&next.state, at, card);
        } else {
            self.screen(card);
        }
    }

    fn worked(&mut self, end: &crate::playbook::model::End, step: &str, answer: &Answer, next: &State, at: &str) {
        use crate::language::syntax::BlockKind;
        if end.kind == BlockKind::Escalate {
            let call = self.desk().who(end.to.as_deref());
            self.note(at, What::Escalated { step: step.to_owned(), call, because: end.because.clone() });
        } else if *answer == Answer::Done {
            let owed = next.owed.iter().filter_map(|owed| {
                let book = self.library.book(*owed.chain.last()?);
                Some(book.test(owed.test).title.clone())
            });
            let what = What::Repaired {
                kind: kind_word(end.kind).to_owned(),
                step: step.to_owned(),
                parts: end.parts.clone(),
                owed: owed.collect(),
            };
            self.note(at, what);
        }
    }

    fn over(&mut self, state: &State, at: &str, card: &mut Card) {
        let standing = self.told_standing();
        match &state.at {
            At::HandedOver(reason) => {
                let desk = self.desk();
                let leave = desk.leave_of(reason).and_then(|end| end.leave.as_ref());
                let left_because = leave.and_then(|leave| leave.because.clone()).unwrap_or_default();
                let because = reason_words(&self.library, reason);
                let call = desk.called(reason);
                self.note(at, What::HandedOver { because, call, standing, left_because });
                card.say("Handed over.");
            }
            _ => {
                self.note(at, What::Closed { standing });
                card.say("Closed.");
            }
        }
        self.stage = Stage::Over;
    }

    // ---- screens ---------------------------------------------------------------------------------

    fn desk(&self) -> Desk<'_> {
        Desk { library: &self.library, shop: &self.shop, state: self.trail.now() }
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
            self.desk().item(card, view.as_ref(), item, shown, self.draft.list_owed);
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

fn which(picked: &Picked, words: &[&str]) -> String {
    match picked {
        Picked::Several(several) => {
            let meant: Vec<&str> = several.iter().filter_map(|at| words.get(*at).copied()).collect();
            format!("That could be {}. Type a little more of it.", one_of(&meant))
        }
        _ => format!("Type {}, or the beginning of it.", one_of(words)),
    }
}

/// Why a call is handed over, for the record.
fn reason_words(library: &Library, reason: &Reason) -> String {
    let work = reason.work().map(|done| library.end(done.end).title.clone()).unwrap_or_default();
    match reason {
        Reason::Escalated(end) => library.end(*end).title.clone(),
        Reason::NoPart(_) => format!("part not on the truck: {work}"),
        Reason::DidNotHold(_) => format!("did not hold: {work}"),
        Reason::NotChecked(test) => format!("repaired, not checked: {}", library.test(*test).title),
        Reason::CannotTest(test) => format!("could not be done: {}", library.test(*test).title),
        Reason::CannotWork(_) => format!("could not be done: {work}"),
        Reason::NotPutBack => "the unit could not be put back".to_owned(),
        Reason::NotSafe => "stopped: not safe".to_owned(),
    }
}

/// A print of the texts a walk can reach: this playbook and those it goes on to.
fn print(library: &Library, book: BookId) -> String {
    let mut reached = vec![book];
    let mut next = 0;
    while let Some(book) = reached.get(next).copied() {
        next += 1;
        let book = library.book(book);
        for (target, _) in book.tests.iter().flat_map(|test| book.ways_out(test)) {
            if let Target::Playbook(name) = target
                && let Some(other) = library.find(name)
                && !reached.contains(&other)
            {
                reached.push(other);
            }
        }
    }
    let mut hash = blake3::Hasher::new();
    for book in reached {
        hash.update(library.book(book).source.text().as_bytes());
        hash.update(&[0]);
    }
    hash.finalize().to_hex().chars().take(16).collect()
}
