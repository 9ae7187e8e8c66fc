//! Answers: a line at a confirmation, a reading, a question, and what the engine makes of a step that is through.

use super::{Draft, Stage, Walk};
use crate::engine::view::Place;
use crate::engine::{Answer, At, Library, Reason, State, Taken, judged_result, needs_judging, supply_at_hand};
use crate::language::syntax::{BlockKind, Side};
use crate::playbook::model::{End, Question, Scale, Test};
use crate::sheet::states::{Stand, StateId};
use crate::walk::card::Card;
use crate::walk::heard::{Picked, folded, is_yes, one_of, pick, yes_or_no};
use crate::walk::items::{Item, Thing, items, kind_word, title};
use crate::walk::record::What;
use crate::walk::screen::{answers, name_called, power_word, sides};
use crate::walk::told::Echo;
use std::sync::Arc;

impl Walk {
    pub(super) fn answer(&mut self, line: &str, at: &str, card: &mut Card) {
        match self.stage {
            Stage::Complaint | Stage::Standing => self.at_the_start(line, at, card),
            Stage::Steps => self.item(line, at, card),
            Stage::Over => {}
        }
    }

    pub(super) fn item(&mut self, line: &str, at: &str, card: &mut Card) {
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
                let said = is_yes(line) || folded(line) == word;
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
            Thing::Wait { time, .. } => self.did(line, at, format!("waited {time}")),
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
            Thing::Answer => test.map_or(Ok(()), |test| self.said(line, test, card)),
            Thing::Side => test.map_or(Ok(()), |test| self.judged(line, test)),
            Thing::Call if line.trim().is_empty() || is_yes(line) => Ok(()),
            Thing::Call => Err("Press Enter when they are called.".to_owned()),
            Thing::Finish | Thing::List if is_yes(line) => Ok(()),
            Thing::Finish | Thing::List => Err("Type done when all of it is done.".to_owned()),
            Thing::Stuck(_) => Err("There is no way on from here. Type can't to hand it over.".to_owned()),
        };
        if let Err(back) = taken {
            self.refused = Some(back);
            self.draft.was_refused = true;
            self.screen(card);
            return;
        }
        self.draft.was_refused = false;
        self.draft.item += 1;
        self.skip_judging(test, &items);
        if self.draft.item < items.len() {
            self.screen(card);
        } else {
            self.submit(test, at, card);
        }
    }

    /// No question for the side where the reading decides by itself.
    pub(super) fn skip_judging(&mut self, test: Option<&Test>, items: &[Item]) {
        let next = items.get(self.draft.item).map(|item| &item.what);
        if let (Some(test), Some(Thing::Side)) = (test, next)
            && let Ok(Some(result)) = judged_result(&self.library, self.trail.now(), &self.draft.read)
            && !needs_judging(test, result)
        {
            self.draft.item += 1;
        }
    }

    pub(super) fn did(&mut self, line: &str, at: &str, words: String) -> Result<(), String> {
        if !(line.trim().is_empty() || is_yes(line)) {
            return Err("Press Enter when it is done, or type ? for what else you can say.".to_owned());
        }
        let step = title(&self.library, self.trail.now());
        self.note(at, What::Did { step, words });
        Ok(())
    }

    pub(super) fn said(&mut self, line: &str, test: &Test, card: &mut Card) -> Result<(), String> {
        let answers = answers(test);
        let words: Vec<&str> = answers.iter().map(|(words, _)| *words).collect();
        let picked = match (pick(line, &words), &test.question) {
            (Picked::None, Question::Ask { text, .. }) => match yes_or_no(line, text, &words) {
                Some(at) => {
                    let answer = words.get(at).copied().unwrap_or_default();
                    card.say(&format!("`{}` to \"{text}\" is taken as: {answer}.", line.trim()));
                    Picked::One(at)
                }
                None => Picked::None,
            },
            (picked, _) => picked,
        };
        match picked {
            Picked::One(at) => {
                self.draft.said = answers.get(at).map(|(_, line)| *line);
                Ok(())
            }
            picked => Err(which(&picked, &words)),
        }
    }

    pub(super) fn judged(&mut self, line: &str, test: &Test) -> Result<(), String> {
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
    pub(super) fn submit(&mut self, test: Option<&Test>, at: &str, card: &mut Card) {
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

    pub(super) fn changed(&mut self, stand: Stand, at: &str, card: &mut Card) {
        let library = Arc::clone(&self.library);
        if let Err(refused) = self.trail.answer(&library, &Answer::Changed) {
            self.refused = Some(refused.to_string());
            self.screen(card);
            return;
        }
        self.draft.was_refused = false;
        let what = What::Changed { state: library.states().told(stand), standing: self.told_standing() };
        self.note(at, what);
        self.draft.changed = true;
        self.screen(card);
    }

    /// Gives an answer to the engine and shows what follows.
    pub(super) fn go(&mut self, answer: &Answer, at: &str, card: &mut Card) {
        let library = Arc::clone(&self.library);
        let before = self.trail.now().clone();
        let depth = self.trail.depth();
        let step = title(&library, &before);
        let next = match self.trail.answer(&library, answer) {
            Ok(next) => next,
            Err(refused) => {
                self.refused = Some(refused.to_string());
                self.draft = Draft { head_shown: true, was_refused: true, ..Draft::default() };
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
                    volts: supply_at_hand(&library, &before, read),
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
        let done = std::mem::replace(&mut self.draft, Draft { list_owed, ..Draft::default() });
        self.drafts.truncate(depth.min(self.trail.depth()));
        if self.trail.depth() > depth {
            self.drafts.push(done);
        }
        if next.state.is_over() {
            self.over(&next.state, at, card);
        } else {
            self.screen(card);
        }
    }

    pub(super) fn worked(&mut self, end: &End, step: &str, answer: &Answer, next: &State, at: &str) {
        if end.kind == BlockKind::Escalate {
            let call = name_called(end);
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

    pub(super) fn over(&mut self, state: &State, at: &str, card: &mut Card) {
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
