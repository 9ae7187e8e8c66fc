//! Words to the walk itself, each obeyed at any step.

use super::{Stage, Walk};
use crate::engine::Answer;
use crate::engine::view::Place;
use crate::text::english::count;
use crate::walk::card::Card;
use crate::walk::heard::{self, Order};
use crate::walk::items::{items, title};
use crate::walk::record::What;
use crate::walk::screen::owed_count;
use crate::walk::writeup::found_lines;

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

    pub(super) fn left_off(&mut self, by: &str, at: &str, card: &mut Card) {
        self.put_back_wire(card);
        let standing = self.told_standing();
        self.note(at, What::LeftOff { by: by.to_owned(), standing });
        self.stage = Stage::Over;
        card.say("Left off here. Do not leave the machine open or live without somebody at it.");
        card.say(&format!("Unit now: {}", self.told_standing()));
    }

    /// What was found and still counts, then what has been read of the step one is at: as much of it as fits a screen.
    pub(super) fn so_far(&self, card: &mut Card) {
        let mut found = found_lines(&self.events);
        let reading = self.read_so_far();
        if !reading.is_empty() {
            found.push(format!("{} so far: {}", title(&self.library, self.trail.now()), reading.join(", ")));
        }
        if found.is_empty() {
            card.say("Nothing has been found yet.");
        }
        let (mut first, mut rows) = (found.len(), 0);
        while let Some(words) = first.checked_sub(1).and_then(|at| found.get(at)) {
            rows += words.chars().count() / LINE + 1;
            if rows > MOST_ROWS {
                break;
            }
            first -= 1;
        }
        if first > 0 {
            card.say(&format!("{} before these; all of it is in the record and the write-up.", count(first, "line")));
        }
        card.choices(found.get(first..).unwrap_or_default());
    }
}

/// Rows of a list that leave room for the question on a screen of 24.
const MOST_ROWS: usize = 18;
/// Letters on a row of it.
const LINE: usize = 62;
