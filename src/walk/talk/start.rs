//! The start of a walk: what the caller said, and how the unit stands.
//!
//! A walk takes it that nothing has been taken off, opened, set or fitted. On most calls the machine is on: what stands
//! otherwise is said as it stands ("heat on"), and the way to the first test begins there.

use super::{Stage, Walk};
use crate::sheet::standing::Standing;
use crate::sheet::states::{Stand, StateId, States};
use crate::text::english::{list, nearest};
use crate::walk::card::Card;
use crate::walk::heard::{folded, is_no, is_reading, is_yes};
use crate::walk::record::What;

impl Walk {
    pub(super) fn opening(&self, card: &mut Card) {
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

    /// A line typed before the first step.
    pub(super) fn at_the_start(&mut self, line: &str, at: &str, card: &mut Card) {
        match self.stage {
            Stage::Complaint if is_reading(line) => {
                let typed = line.trim();
                card.say(&format!("{typed} is a reading, and no step has asked for one yet. Type the caller's words."));
                card.lines("Symptoms", &self.library.book(self.book).symptoms);
                card.say("What did the caller say? Enter alone takes the first of these.");
            }
            Stage::Complaint if is_yes(line) || is_no(line) => {
                card.say("Type what the caller said of the machine. Enter alone takes the first of these.");
                card.lines("Symptoms", &self.library.book(self.book).symptoms);
            }
            Stage::Complaint => self.complained(line, at, card),
            Stage::Standing if is_yes(line) => {
                let standing = self.told_as_found();
                self.note(at, What::FoundStanding { standing });
                self.stage = Stage::Steps;
                self.screen(card);
            }
            Stage::Standing if is_no(line) => {
                card.title(&self.library.book(self.book).title);
                card.line("Start", "Type what stands otherwise, as it stands now; with a comma between, several:");
                card.choices(&self.otherwise());
                card.line("", "The walk takes it from there. Type yes when all of it is right.");
                self.as_found(card);
            }
            Stage::Standing => {
                self.otherwise_found(line, at, card);
                self.standing_question(card);
            }
            Stage::Steps | Stage::Over => {}
        }
    }

    /// Takes the line for what the caller said; an empty one for the first symptom of the playbook.
    pub(super) fn complained(&mut self, line: &str, at: &str, card: &mut Card) {
        let book = self.library.book(self.book);
        let typed = line.trim();
        let words = if typed.is_empty() { book.symptoms.first().unwrap_or(&book.title) } else { typed };
        self.note(at, What::Complaint { words: words.to_owned() });
        self.stage = Stage::Standing;
        self.standing_question(card);
    }

    /// How a walk takes the unit to stand: power, covers, and every other state the playbook uses.
    pub(super) fn standing_question(&mut self, card: &mut Card) {
        card.title(&self.library.book(self.book).title);
        if self.trail.now().standing.is_home() {
            card.line("Start", "The walk takes it that nothing has been taken off, opened, set or fitted yet.");
            let as_in = self.example().map(|example| format!(", as in: {example}")).unwrap_or_default();
            let words = format!(
                "What stands otherwise you leave so, and type it as it stands{as_in}. Type no to see all that can be said."
            );
            card.line("", &words);
        } else {
            card.line("Start", "The walk takes it from here. Type yes if this is how it stands.");
        }
        if let Some(back) = self.refused.take() {
            card.line("Again", &back);
        }
        self.as_found(card);
    }

    /// What is likeliest to stand otherwise: the machine is on.
    fn example(&self) -> Option<String> {
        let others = self.otherwise();
        others.into_iter().find(|told| !told.starts_with("power ") && !told.starts_with("covers "))
    }

    /// "Unit now: live, covers on, heat off": right above the question.
    pub(super) fn as_found(&self, card: &mut Card) {
        card.say(&format!("Unit now: {}", self.told_as_found()));
    }

    /// How the unit stands, in each state the walk can ask about: at home too.
    fn told_as_found(&self) -> String {
        let states = self.library.states();
        let standing = &self.trail.now().standing;
        let mut told = vec![states.told_standing(standing)];
        let at_home = self.asked_about().into_iter().map(|state| Stand { state, value: standing.get(state) });
        told.extend(at_home.filter(|stand| stand.is_home()).map(|stand| states.told(stand)));
        told.join(", ")
    }

    /// Power, covers, and every other state the playbook uses that somebody knows the home of.
    fn asked_about(&self) -> Vec<StateId> {
        let states = self.library.states();
        let book = self.library.book(self.book);
        let with = book.tests.iter().flat_map(|test| &test.with).chain(book.ends.iter().flat_map(|end| &end.with));
        let named = self.library.stands(self.book, &with.copied().collect::<Vec<_>>());
        let mut used: Vec<StateId> = named.iter().map(|stand| stand.state).collect();
        used.retain(|state| !states.is_named_only(*state) && *state != StateId::POWER && *state != StateId::COVERS);
        used.sort_unstable();
        used.dedup();
        used
    }

    /// Everything that could stand otherwise, as it is typed: "heat on".
    fn otherwise(&self) -> Vec<String> {
        let states = self.library.states();
        let standing = &self.trail.now().standing;
        let asked = [StateId::POWER, StateId::COVERS].into_iter().chain(self.asked_about());
        let values = asked.flat_map(|id| {
            let count = states.get(id).map_or(0, |state| state.values.len());
            (0..count).filter_map(move |at| {
                let value = crate::sheet::states::ValueId(u16::try_from(at).ok()?);
                Some(Stand { state: id, value })
            })
        });
        values.filter(|stand| !standing.holds(*stand)).map(|stand| states.told(stand)).collect()
    }

    /// "heat on, covers off": taken one by one, each with an event of its own; none where one is not understood.
    fn otherwise_found(&mut self, line: &str, at: &str, card: &mut Card) {
        let library = std::sync::Arc::clone(&self.library);
        let states = library.states();
        let mut standing = self.trail.now().standing.clone();
        let mut found: Vec<Stand> = Vec::new();
        for words in line.split(',').filter(|words| !words.trim().is_empty()) {
            match understood(states, words) {
                Ok(stand) => {
                    standing.set(stand);
                    found.push(stand);
                }
                Err(back) => {
                    self.refused = Some(back);
                    return;
                }
            }
        }
        if found.is_empty() {
            self.refused = Some("Type yes when it stands so, or what stands otherwise.".to_owned());
            return;
        }
        if let Some(back) = impossible(states, &standing, &found) {
            self.refused = Some(back);
            return;
        }
        // What only stands while something holds that does not hold here goes home with it.
        let gone: Vec<Stand> = broken(states, &standing);
        for stand in &gone {
            standing.set(Stand::home(stand.state));
        }
        let told = states.told_standing(&standing);
        let state = found.iter().map(|stand| states.told(*stand)).collect::<Vec<_>>().join(", ");
        self.trail.stands(standing);
        self.note(at, What::FoundOtherwise { state: state.clone(), standing: told });
        card.say(&format!("Taken: {state}."));
    }
}

/// "heat on", "covers off", "locked out", and "heat" alone where it has but two values.
fn understood(states: &States, words: &str) -> Result<Stand, String> {
    let typed = folded(&words.replace('-', " "));
    let typed = ["the ", "unit ", "power is ", "it is "]
        .iter()
        .fold(typed, |typed, lead| typed.strip_prefix(lead).map_or(typed.clone(), str::to_owned));
    let plain = |name: &str| name.to_lowercase().replace('-', " ");
    let mut stands: Vec<(String, Stand)> = Vec::new();
    for (id, state) in states.iter() {
        for (at, value) in state.values.iter().enumerate() {
            let Ok(at) = u16::try_from(at) else { continue };
            let stand = Stand { state: id, value: crate::sheet::states::ValueId(at) };
            stands.push((format!("{} {}", plain(&state.name), plain(&value.name)), stand));
        }
    }
    if let Some((_, stand)) = stands.iter().find(|(name, _)| *name == typed || *name == typed.replace(" is ", " ")) {
        return Ok(*stand);
    }
    // "locked out" is said of nothing but the power.
    let alone: Vec<Stand> = stands
        .iter()
        .filter(|(name, _)| name.strip_suffix(&typed).is_some_and(|lead| lead.ends_with(' ')))
        .map(|(_, s)| *s)
        .collect();
    if let [stand] = alone.as_slice() {
        return Ok(*stand);
    }
    let of_state: Vec<&(String, Stand)> =
        stands.iter().filter(|(_, s)| states.get(s.state).is_some_and(|state| plain(&state.name) == typed)).collect();
    match of_state.as_slice() {
        [] => {
            let names: Vec<&str> = stands.iter().map(|(name, _)| name.as_str()).collect();
            let meant = nearest(&typed, names.iter().copied()).map(|name| format!(" Did you mean: {name}?"));
            let words = words.trim();
            Err(format!(
                "`{words}` is nothing that can be said here.{} Type no to see what can.",
                meant.unwrap_or_default()
            ))
        }
        [home, other] if home.1.is_home() => Ok(other.1),
        several => {
            let names: Vec<String> = several.iter().map(|(name, _)| format!("`{name}`")).collect();
            Err(format!("How does it stand? Type {}.", list(&names, "or")))
        }
    }
}

/// What was said to stand so, and can't while something else stands as it does.
fn impossible(states: &States, standing: &Standing, said: &[Stand]) -> Option<String> {
    let stand = broken(states, standing).into_iter().find(|stand| said.contains(stand))?;
    let needs: Vec<String> = states.get(stand.state)?.only_while.iter().map(|need| states.told(*need)).collect();
    let needs = list(&needs, "and");
    Some(format!(
        "{} goes only with {needs}. Say both, with a comma between, if that is how it stands.",
        states.told(stand)
    ))
}

/// The stands whose `only while` does not hold.
fn broken(states: &States, standing: &Standing) -> Vec<Stand> {
    let holds =
        |stand: &Stand| states.get(stand.state).is_none_or(|state| state.only_while.iter().all(|s| standing.holds(*s)));
    standing.iter().filter(|stand| !stand.is_home() && !holds(stand)).collect()
}
