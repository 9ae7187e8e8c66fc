//! The echo of an answer: the arithmetic, the line it fell on, what good is, and what that means for the walk.

use super::card::Card;
use super::heard::for_member;
use super::items::bank_of;
use super::limits;
use super::record::What;
use crate::engine::step::OwedTold;
use crate::engine::{Library, State, Told, reading_before};
use crate::language::syntax::OutcomeKind;
use crate::playbook::model::{Bank, Branch, Measure, Members, Playbook, Question, Scale, SlotId, Test};
use crate::playbook::told::judged;
use crate::trade::quantity::plain;
use crate::trade::reading::Reading;

/// An answer just taken.
pub struct Echo<'a> {
    /// The playbooks.
    pub library: &'a Library,
    /// Where the walk was asked.
    pub before: &'a State,
    /// The playbook the test stands in.
    pub book: &'a Playbook,
    /// The test.
    pub test: &'a Test,
    /// The title of the step, with the member.
    pub step: &'a str,
    /// The readings, in order of the measures.
    pub read: &'a [Reading],
    /// How it was taken.
    pub told: &'a Told,
    /// What follows.
    pub next: &'a State,
    /// The volts of the supply the limits go by, where they go by one.
    pub volts: Option<f64>,
}

impl Echo<'_> {
    /// The event for the record; `None` where no line was met.
    pub fn event(&self) -> Option<What> {
        let branch = self.fell()?;
        Some(What::Found {
            test: self.test.name.clone(),
            step: self.step.to_owned(),
            result: self.result().unwrap_or_default(),
            sum: judged(self.book, self.test).unwrap_or_default(),
            line: limits::words(self.test, branch, self.volts),
            good: limits::good_words(self.test, self.volts),
            is_good: branch.kind == OutcomeKind::Good,
            by: if self.is_judged() { "judged by the technician".to_owned() } else { String::new() },
            owed: match self.told.owed {
                OwedTold::Outside => String::new(),
                OwedTold::Struck => "good: struck".to_owned(),
                OwedTold::Stays => "not good: still owed".to_owned(),
            },
        })
    }

    /// The echo on the screen.
    pub fn text(&self, card: &mut Card) {
        let what = judged(self.book, self.test);
        if let (Question::Sum { words, .. }, Some(result)) = (&self.test.question, self.result()) {
            if what.is_some() {
                card.line("Read", &self.named_readings(words).join(", "));
            } else {
                let numbers = self.with_numbers(words);
                // A sum that is one reading is not said twice.
                let middle = if numbers == result { String::new() } else { format!(" = {numbers}") };
                card.line("Sum", &format!("{words}{middle} = {result}"));
            }
        }
        let Some(branch) = self.fell() else { return };
        let by = if self.is_judged() { ", judged by you" } else { "" };
        let good = limits::good_words(self.test, self.volts);
        let is_good = branch.kind == OutcomeKind::Good;
        let what = what.map(|what| format!(", {what}")).unwrap_or_default();
        let found = match (self.result(), is_good) {
            (Some(result), true) => {
                format!("{result}{what}: good ({}{by}).", limits::words(self.test, branch, self.volts))
            }
            // An OL on an OL line is said once.
            (Some(result), false) if result == branch.words => format!("{result}{what}. Good is {good}."),
            // Where normal lies is said once, with what is good.
            (Some(result), false) => format!("{result}{what}: {}{by}. Good is {good}.", branch.words),
            (None, true) => format!("{}: good.", branch.words),
            (None, false) => format!("{}. Good is: {good}.", branch.words),
        };
        card.line("Found", &found);
        if let (Some(moving), Some(volts)) = (&self.test.moving, self.volts)
            && moving.is_outside(volts)
        {
            let (low, high) = moving.plate();
            let (low, high) = (plain(to_tenth(low)), plain(to_tenth(high)));
            let outside = format!(
                "{} {} is outside the nameplate, {low} to {high} {}. Put the supply right before you trust what hangs on it.",
                plain(volts),
                moving.unit,
                moving.unit
            );
            card.line("", &outside);
        }
        self.bank(card);
        match self.told.owed {
            OwedTold::Struck if self.next.owed.is_empty() => card.line("", "Struck off. No test is owed any more."),
            OwedTold::Struck => {
                card.line("", &format!("Struck off. {}", super::screen::owed_count(self.next.owed.len())))
            }
            OwedTold::Stays => card.line("", "It stays owed: this is the trail of a second fault."),
            OwedTold::Outside => {}
        }
    }

    /// In a bank, what came out over all members.
    fn bank(&self, card: &mut Card) {
        let (Members::Each(_), Some(bank)) = (self.test.members, bank_of(self.book, self.test.members)) else { return };
        let Some(line) = self.told.line.and_then(|at| self.test.branches.get(at)) else { return };
        let words = match (self.told.picked, line.kind) {
            (Some((_, member)), _) => {
                format!("{}-{member} is the first with \"{}\": it is next.", bank.name, line.words)
            }
            (None, OutcomeKind::All) => format!("All of them: {}.", line.words),
            (None, _) => format!("Every {} is good.", bank.name),
        };
        card.line("", &words);
    }

    fn fell(&self) -> Option<&Branch> {
        self.told.fell.and_then(|at| self.test.branches.get(at))
    }

    fn is_judged(&self) -> bool {
        matches!(self.test.scale, Scale::Judged(_))
            && self.told.result.is_some_and(|result| crate::engine::needs_judging(self.test, result))
    }

    fn result(&self) -> Option<String> {
        self.told.result.zip(limits::unit(self.test)).map(|(result, unit)| result.told(unit))
    }

    /// "f12 = 208 V AC": every reading the sum is made of, those of this test first.
    fn named_readings(&self, words: &str) -> Vec<String> {
        let own = named(self.book, self.test, self.read);
        let earlier = names_in(words).filter_map(|name| {
            let is_own = |measure: &Measure| self.book.slot(measure.slot).name.as_deref() == Some(name);
            if self.test.measures().iter().any(is_own) {
                return None;
            }
            self.read_before(name).map(|reading| format!("{name} = {reading}"))
        });
        own.into_iter().chain(earlier).collect()
    }

    /// The sum as the author wrote it, with the readings in the place of their names.
    fn with_numbers(&self, words: &str) -> String {
        let value = |name: &str| -> Option<String> {
            let here = self.test.measures().iter().zip(self.read);
            let named = |slot: &crate::playbook::model::Slot| slot.name.as_deref() == Some(name);
            here.into_iter()
                .find(|(measure, _)| named(self.book.slot(measure.slot)))
                .map(|(measure, reading)| reading.told(measure.unit))
                .or_else(|| self.read_before(name))
        };
        let mut told = String::new();
        let mut name = String::new();
        for c in words.chars().chain([' ']) {
            if c.is_alphanumeric() || c == '-' && !name.is_empty() || c == '_' {
                name.push(c);
                continue;
            }
            told.push_str(&value(&name).unwrap_or_else(|| name.clone()));
            name.clear();
            told.push(c);
        }
        told.trim_end().to_owned()
    }

    /// A reading of an earlier test.
    fn read_before(&self, name: &str) -> Option<String> {
        let named = self.book.slots.iter().zip(0..).filter(|(slot, _)| slot.name.as_deref() == Some(name));
        named
            .into_iter()
            .find_map(|(slot, at)| Some(reading_before(self.library, self.before, SlotId(at))?.told(slot.unit)))
    }
}

/// "f12 = 208 V AC", for each reading of a test so far; without a name, where it was taken.
pub fn named(book: &Playbook, test: &Test, read: &[Reading]) -> Vec<String> {
    let one = |(measure, reading): (&Measure, &Reading)| match &book.slot(measure.slot).name {
        Some(name) => format!("{name} = {}", reading.told(measure.unit)),
        None => format!("{} {}", reading.told(measure.unit), measure.at),
    };
    test.measures().iter().zip(read).map(one).collect()
}

/// What may be names in a sum, in order.
fn names_in(words: &str) -> impl Iterator<Item = &str> {
    words.split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).filter(|name| !name.is_empty())
}

/// Volts as a meter's display shows them.
fn to_tenth(volts: f64) -> f64 {
    (volts * 10.0).round() / 10.0
}

/// The words of a place for a member: "from zone-3.Z to L1".
pub fn place(words: &str, member: Option<(&Bank, u16)>) -> String {
    member.map_or_else(|| words.to_owned(), |(bank, number)| for_member(words, &bank.name, number))
}
