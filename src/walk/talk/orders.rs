//! Words to the walk itself, each obeyed at any step.

use super::{Draft, Stage, Walk};
use crate::engine::Answer;
use crate::engine::view::Place;
use crate::walk::card::Card;
use crate::walk::heard::{self, Order};
use crate::walk::items::{Thing, items, title};
use crate::walk::record::What;
use crate::walk::screen::owed_count;
use crate::walk::writeup::found_line;

impl Walk {
    pub(super) fn obey(&mut self, order: Order, at: &str, card: &mut Card) {
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

    pub(super) fn no_part(&mut self, at: &str, card: &mut Card) {
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

    pub(super) fn back(&mut self, at: &str, card: &mut Card) {
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

    pub(super) fn left_off(&mut self, by: &str, at: &str, card: &mut Card) {
        self.put_back_wire(card);
        let standing = self.told_standing();
        self.note(at, What::LeftOff { by: by.to_owned(), standing });
        self.stage = Stage::Over;
        card.say("Left off here. Do not leave the machine open or live without somebody at it.");
        card.say(&format!("Unit now: {}", self.told_standing()));
    }

    pub(super) fn so_far(&self, card: &mut Card) {
        let found: Vec<String> = self.events.iter().filter_map(found_line).collect();
        if found.is_empty() {
            card.say("Nothing has been found yet.");
        }
        card.choices(&found);
    }
}
