//! The page of one playbook on one unit.

use super::card::{CallView, Cards, EndCard, SignalView, TestCard, signal};
use super::lines::{Exit, Go, Lines, kind_word};
use super::output::address;
use super::roads::Roads;
use crate::language::syntax::Signal;
use crate::playbook::model::{Members, Playbook, Step};
use crate::sheet::shop::Shop;
use crate::sheet::states::StateId;
use crate::text::english::list;
use serde::Serialize;

/// A page as the template lays it out.
#[derive(Debug, Serialize)]
pub struct PlaybookPage {
    /// The playbook's name.
    pub name: String,
    /// Its title.
    pub title: String,
    /// The unit; empty where none is named.
    pub unit: String,
    /// `YYYY-MM-DD`.
    pub revised: String,
    /// The shop.
    pub shop: String,
    /// The local-codes notice.
    pub local_codes: String,
    /// The words callers use.
    pub symptoms: Vec<String>,
    /// What the meter has to read: "V AC, ohm".
    pub meter: String,
    /// Tools beyond a meter, with the lines that want them.
    pub tools: Vec<Noted>,
    /// Parts a repair may want, with its line.
    pub parts: Vec<Noted>,
    /// Dangers and warnings, with the lines they stand on.
    pub dangers: Vec<NotedSignal>,
    /// The chart.
    pub chart: Vec<Rung>,
    /// One card a test.
    pub tests: Vec<TestCard>,
    /// One card a repair, adjust or escalation.
    pub ends: Vec<EndCard>,
    /// The tests owed at the end of every call that changed something.
    pub finish: Vec<Go>,
    /// The closing list.
    pub closing: Vec<String>,
    /// What to do when a test cannot be done and no line says where to go.
    pub hand_over: Vec<String>,
    /// Lock-out.
    pub lock_out: Vec<String>,
    /// What disconnects this unit: "plug and gas-cock".
    pub disconnects: String,
    /// What more to do on this unit when locking out.
    pub lock_out_also: Vec<String>,
    /// Re-energize.
    pub re_energize: Vec<String>,
    /// Who can be called, and how.
    pub call: Vec<CallView>,
}

/// Something wanted, with the lines that want it.
#[derive(Debug, Serialize)]
pub struct Noted {
    /// What.
    pub text: String,
    /// "line 3, line 7".
    pub lines: Vec<Go>,
}

/// A danger or warning, with the lines it stands on.
#[derive(Debug, Serialize)]
pub struct NotedSignal {
    /// The word and its sentence.
    pub signal: SignalView,
    /// Where it stands.
    pub lines: Vec<Go>,
}

/// One line of the chart.
#[derive(Debug, Serialize)]
pub struct Rung {
    /// Its number.
    pub number: usize,
    /// Its name as part of an address.
    pub id: String,
    /// "Repair", "Adjust", "Hand over"; empty for a test.
    pub kind: &'static str,
    /// Its title.
    pub title: String,
    /// The ways out of a test.
    pub exits: Vec<Exit>,
    /// The tests that prove a repair or adjust.
    pub proof: Vec<Go>,
    /// Who to call.
    pub to: Option<String>,
}

/// Lays out the page.
#[must_use]
pub fn playbook_page(
    playbook: &Playbook,
    unit: Option<&str>,
    shop: &Shop,
    joined: &dyn Fn(&str) -> String,
) -> PlaybookPage {
    let lines = Lines { playbook, joined };
    let roads = Roads::of(playbook);
    let cards = Cards { lines: &lines, roads: &roads, call: &shop.call };
    let power = playbook.states.get(StateId::POWER);
    PlaybookPage {
        name: playbook.name.clone(),
        title: playbook.title.clone(),
        unit: unit.unwrap_or_default().to_owned(),
        revised: playbook.revised.clone(),
        shop: shop.name.clone(),
        local_codes: shop.local_codes.clone(),
        symptoms: playbook.symptoms.clone(),
        meter: meter(playbook),
        tools: tools(&lines),
        parts: parts(&lines),
        dangers: dangers(&lines),
        chart: chart(&lines),
        tests: playbook.tests().map(|(id, test)| cards.test(id, test)).collect(),
        ends: playbook.ends().map(|(id, end)| cards.end(id, end)).collect(),
        finish: playbook.finish.iter().map(|id| lines.to_test(*id)).collect(),
        closing: shop.closing.clone(),
        hand_over: shop.hand_over.clone(),
        lock_out: shop.lock_out.clone(),
        disconnects: power.map(|state| list(&state.disconnects, "and")).unwrap_or_default(),
        lock_out_also: power.map(|state| state.lock_out_also.clone()).unwrap_or_default(),
        re_energize: shop.re_energize.clone(),
        call: shop.call.iter().map(CallView::of).collect(),
    }
}

/// Every line with its steps and tools, in order.
fn blocks<'a>(lines: &Lines<'a>) -> impl Iterator<Item = (Go, &'a [Step], &'a [String])> {
    let playbook = lines.playbook;
    let tests: Vec<_> =
        playbook.tests().map(|(id, test)| (lines.to_test(id), test.steps.as_slice(), test.tools.as_slice())).collect();
    let ends: Vec<_> = playbook
        .ends()
        .map(|(id, end)| {
            let go = lines.to(&crate::playbook::model::Target::End(id));
            (go, end.steps.as_slice(), end.tools.as_slice())
        })
        .collect();
    tests.into_iter().chain(ends)
}

fn chart(lines: &Lines<'_>) -> Vec<Rung> {
    let playbook = lines.playbook;
    let tests = playbook.tests().map(|(id, test)| Rung {
        number: lines.test(id),
        id: address(&test.name),
        kind: "",
        title: test.title.clone(),
        exits: lines.exits(test),
        proof: Vec::new(),
        to: None,
    });
    let ends = playbook.ends().map(|(id, end)| Rung {
        number: lines.end(id),
        id: address(&end.name),
        kind: kind_word(end.kind),
        title: match end.members {
            Members::That(bank) => format!("{} (the {} found)", end.title, playbook.bank(bank).name),
            Members::One | Members::Each(_) => end.title.clone(),
        },
        exits: Vec::new(),
        proof: end.verify.iter().map(|id| lines.to_test(*id)).collect(),
        to: end.to.clone(),
    });
    tests.chain(ends).collect()
}

fn note(noted: &mut Vec<Noted>, text: &str, line: Go) {
    match noted.iter_mut().find(|known| known.text == text) {
        Some(known) => known.lines.push(line),
        None => noted.push(Noted { text: text.to_owned(), lines: vec![line] }),
    }
}

fn tools(lines: &Lines<'_>) -> Vec<Noted> {
    let mut noted = Vec::new();
    for (line, _, tools) in blocks(lines) {
        for tool in tools {
            note(&mut noted, tool, line.clone());
        }
    }
    noted
}

fn parts(lines: &Lines<'_>) -> Vec<Noted> {
    let mut noted = Vec::new();
    for (id, end) in lines.playbook.ends() {
        for part in &end.parts {
            note(&mut noted, part, lines.to(&crate::playbook::model::Target::End(id)));
        }
    }
    noted
}

fn dangers(lines: &Lines<'_>) -> Vec<NotedSignal> {
    let mut noted: Vec<NotedSignal> = Vec::new();
    for (line, steps, _) in blocks(lines) {
        for step in steps {
            let Step::Signal(word @ (Signal::Danger | Signal::Warning), text, _) = step else { continue };
            let view = signal(*word, text);
            match noted.iter_mut().find(|known| known.signal == view) {
                Some(known) => known.lines.push(line.clone()),
                None => noted.push(NotedSignal { signal: view, lines: vec![line.clone()] }),
            }
        }
    }
    noted.sort_by_key(|known| known.signal.word != "danger");
    noted
}

/// What the meter has to read, each unit once, in order of lines.
fn meter(playbook: &Playbook) -> String {
    let mut units: Vec<String> = Vec::new();
    let mut loaded = false;
    for measure in playbook.tests.iter().flat_map(|test| test.measures()) {
        let unit = measure.unit.to_string();
        if !units.contains(&unit) {
            units.push(unit);
        }
        loaded |= measure.loaded;
    }
    let loaded = if loaded { "; low-impedance input for the volts that say so" } else { "" };
    if units.is_empty() { String::new() } else { format!("{}{loaded}", list(&units, "and")) }
}
