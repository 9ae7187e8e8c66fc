//! `back`: the last answer, or the last thing read or done in a step, is taken back. The unit stays as it stands.
//!
//! 1. Right after a line that was not taken there is nothing to take back but that line.
//! 2. In a step, the last thing read or done in it.
//! 3. Else the answer of the step before: where the unit still stands as it stood there, only the last thing asked in it is asked
//!    again; where it does not, all of the step, and as that means work on the unit, it is offered first.

use super::{Draft, Stage, Walk};
use crate::engine::view::Place;
use crate::engine::{At, State, view};
use crate::playbook::model::Step;
use crate::text::english::list;
use crate::walk::card::Card;
use crate::walk::items::{Item, Thing, items, title};
use crate::walk::record::What;

impl Walk {
    pub(super) fn back(&mut self, at: &str, card: &mut Card) {
        if self.stage == Stage::Standing {
            self.stage = Stage::Complaint;
            self.note(at, What::TookBack { step: "What the caller said".to_owned(), to: String::new() });
            self.opening(card);
            return;
        }
        let refused = self.draft.was_refused || self.draft.doubted.is_some();
        if self.stage == Stage::Steps && refused && !self.trusting {
            self.draft.was_refused = false;
            self.draft.doubted = None;
            self.refused = Some(
                "That was not taken, so there is nothing of it to take back. Type back again to go further back."
                    .to_owned(),
            );
            self.screen(card);
            return;
        }
        self.draft.doubted = None;
        let mut to = String::new();
        if self.stage == Stage::Steps && self.draft.item > 0 {
            self.back_in_step();
        } else if let Some((before, left)) = self.trail.before().filter(|_| self.stage == Stage::Steps) {
            let words = self.what_back_takes(&before, left);
            let offered = std::mem::replace(&mut self.draft.back_offered, true);
            if let (false, false, Some(words)) = (offered, self.trusting, words) {
                self.refused = Some(words);
                self.screen(card);
                return;
            }
            self.trail.back();
            let draft = self.drafts.pop().unwrap_or_default();
            to = self.back_over_an_answer(draft);
        } else {
            card.say("There is no answer to take back. What was changed on the unit, and a repair done, stay.");
            self.screen(card);
            return;
        }
        self.note(at, What::TookBack { step: title(&self.library, self.trail.now()), to });
        card.say("Taken back. The unit stays as it stands.");
        self.screen(card);
    }

    fn back_in_step(&mut self) {
        let (_, items) = items(&self.library, self.trail.now());
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
    }

    /// Back at a step that had been answered, with what had been done of it: what of it is asked again, for the record.
    fn back_over_an_answer(&mut self, draft: Draft) -> String {
        self.draft = Draft::default();
        let (view, items) = items(&self.library, self.trail.now());
        let moved = view.is_none_or(|view| !view.way.is_empty());
        // A record from before only the last thing was asked again.
        let whole = self.back_to.as_deref() == Some("");
        if moved || whole || !matches!(self.trail.now().at, At::Test(_)) {
            return String::new();
        }
        let asks = |item: &&Item| matches!(item.what, Thing::Read(_) | Thing::Answer | Thing::Side);
        // Left by "can't" or "stop" half way through, it goes on there.
        let half_way = draft.item < items.len();
        let skipped = |item: &&Item| item.what == Thing::Side && draft.side.is_none();
        let last = items.iter().rposition(|item| asks(&item) && !skipped(&item));
        if half_way {
            self.draft = Draft { head_shown: false, doubted: None, was_refused: false, back_offered: false, ..draft };
            return "question".to_owned();
        }
        let Some(last) = last else { return String::new() };
        let what = items.get(last).map(|item| &item.what);
        let is_reading = matches!(what, Some(Thing::Read(_)));
        let wire_off =
            last.checked_sub(1).filter(|at| matches!(items.get(*at).map(|i| &i.what), Some(Thing::WireOff(_))));
        let mut read = draft.read;
        if is_reading {
            read.pop();
        }
        let said = draft.said.filter(|_| !matches!(what, Some(Thing::Answer)));
        self.draft = Draft { item: wire_off.unwrap_or(last), read, said, ..Draft::default() };
        if is_reading { "reading".to_owned() } else { "question".to_owned() }
    }

    /// Where going back to a step means work on the unit: that, with the waits there, in words.
    /// Nothing where it is no more than there was to do when the step was left.
    fn what_back_takes(&self, before: &State, left: &State) -> Option<String> {
        let there = view(&self.library, before).ok()?;
        let when_left = view(&self.library, left).map_or(0, |view| view.way.len());
        if there.way.len() <= when_left {
            return None;
        }
        let mut takes: Vec<String> = Vec::new();
        for change in &there.way {
            let sentence = self.library.states().sentence(change.state, change.to);
            takes.push(small_first(sentence.trim_end_matches('.')));
        }
        takes.extend(there.place.steps().iter().filter_map(|step| match step {
            Step::Wait { time, .. } if matches!(there.place, Place::Test { .. }) => Some(format!("wait {time}")),
            _ => None,
        }));
        let title = title(&self.library, before);
        let takes = list(&takes, "and");
        (!takes.is_empty()).then(|| {
            format!("Back goes to \"{title}\". To answer that again you have to {takes}. Type back again to go there, or go on here.")
        })
    }
}

/// "put every cover back": a sentence as it stands inside another.
fn small_first(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}
