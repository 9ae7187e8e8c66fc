//! The page of one playbook on one unit.

use super::card::Cards;
use super::html::Html;
use super::index::Sheet;
use super::instruments::{Instrument, instruments};
use super::lines::{Line, Lines, Part, steps_told};
use super::output::coverage_of;
use super::roads::Roads;
use crate::language::syntax::Signal;
use crate::playbook::model::{Playbook, Step};
use crate::sheet::shop::{Contact, Shop};
use crate::sheet::standing::Standing;
use crate::sheet::states::StateId;
use crate::text::english::list;
use minijinja::Value;
use serde::Serialize;

/// A page as the template lays it out.
///
/// A [`Value`] is markup made by [`Html`]; everything else is text, which the template escapes.
#[derive(Debug, Serialize)]
pub struct PlaybookPage<'a> {
    name: &'a str,
    title: &'a str,
    /// Empty where none is named.
    unit: &'a str,
    /// The unit's tech sheet, where it has one.
    sheet: Option<Sheet>,
    revised: &'a str,
    /// What the shakedown found; empty where the unit has no sheet.
    coverage: &'a str,
    /// Where all of it is told, from here.
    coverage_page: String,
    shop: &'a str,
    local_codes: &'a str,
    symptoms: &'a [String],
    /// Dangers in one box and warnings in another, each text once, with the lines it stands on.
    dangers: Value,
    /// What every reading is taken with.
    instruments: Vec<Instrument>,
    /// Tools beyond a meter, with the lines that want them.
    tools: Value,
    /// Parts a repair may want, with its line.
    parts: Value,
    chart: Value,
    /// The card of the complaint, which every call starts with.
    start: Value,
    /// The other tests; empty where there are none.
    tests: Value,
    ends: Value,
    /// The tests owed at the end of every call that changed something.
    finish: Value,
    /// How the unit stands when the call is closed.
    closes: String,
    closing: &'a [String],
    hand_over: &'a [String],
    lock_out: &'a [String],
    /// What disconnects this unit: "plug and gas-cock".
    disconnects: String,
    lock_out_also: &'a [String],
    re_energize: &'a [String],
    call: Vec<Call<'a>>,
}

#[derive(Debug, Serialize)]
struct Call<'a> {
    name: &'a str,
    who: &'a str,
}

impl PlaybookPage<'_> {
    /// About how many bytes it takes: its long runs of markup, and what stands around them.
    #[must_use]
    pub fn room(&self) -> usize {
        let runs = [&self.chart, &self.start, &self.tests, &self.ends];
        runs.iter().filter_map(|run| run.as_str()).map(str::len).sum::<usize>() + AROUND
    }
}

/// Bytes of a page around its chart and cards; our own have six to ten thousand.
const AROUND: usize = 10_000;

/// Lays out the page. `sheet` is the unit's tech sheet, `joined` says where the page of another playbook is, from this page.
#[must_use]
pub fn playbook_page<'a>(
    playbook: &'a Playbook,
    unit: Option<&'a str>,
    shop: &'a Shop,
    sheet: Option<Sheet>,
    joined: &dyn Fn(&str) -> String,
) -> PlaybookPage<'a> {
    let lines = Lines::of(playbook, joined);
    let roads = Roads::of(playbook);
    let cards = Cards { lines: &lines, roads: &roads, shop };
    let power = playbook.states.get(StateId::POWER);
    let mut chart = Html::with_room(400 * (playbook.tests.len() + playbook.ends.len()));
    chart.chart(&lines);
    let mut finish = Html::default();
    finish.owed(playbook.finish.iter().map(|id| lines.test(*id)));
    PlaybookPage {
        name: &playbook.name,
        title: &playbook.title,
        unit: unit.unwrap_or_default(),
        sheet,
        revised: &playbook.revised,
        coverage: "",
        coverage_page: String::new(),
        shop: &shop.name,
        local_codes: &shop.local_codes,
        symptoms: &playbook.symptoms,
        dangers: dangers(&lines),
        instruments: instruments(playbook),
        tools: tools(&lines),
        parts: parts(&lines),
        chart: markup(chart),
        start: Value::from_safe_string(cards.start()),
        tests: Value::from_safe_string(cards.tests()),
        ends: Value::from_safe_string(cards.ends()),
        finish: markup(finish),
        closes: closes(playbook, shop),
        closing: &shop.closing,
        hand_over: &shop.hand_over,
        lock_out: &shop.lock_out,
        disconnects: power.map(|state| list(&state.disconnects, "and")).unwrap_or_default(),
        lock_out_also: power.map(|state| state.lock_out_also.as_slice()).unwrap_or_default(),
        re_energize: &shop.re_energize,
        call: shop.call.iter().map(|Contact { name, who }| Call { name, who }).collect(),
    }
}

impl<'a> PlaybookPage<'a> {
    /// With the coverage line, which leads to the coverage page.
    #[must_use]
    pub fn with_coverage(self, coverage: &'a str) -> Self {
        Self { coverage, coverage_page: format!("../{}", coverage_of(self.name, self.unit)), ..self }
    }
}

fn markup(html: Html) -> Value {
    Value::from_safe_string(html.into_string())
}

/// How the unit stands when a call is closed: all at home but what the closing list leaves.
fn closes(playbook: &Playbook, shop: &Shop) -> String {
    let mut standing = Standing::home(&playbook.states);
    for stand in shop.left_on(&playbook.states) {
        standing.set(stand);
    }
    playbook.states.told_standing(&standing)
}

/// Every line with its steps and tools, in order.
fn blocks<'a>(lines: &'a Lines<'a>) -> impl Iterator<Item = (&'a Line<'a>, &'a [Step], &'a [String])> {
    let playbook = lines.playbook;
    let tests = playbook.tests().map(|(id, test)| (lines.test(id), test.steps.as_slice(), test.tools.as_slice()));
    let ends = playbook.ends().map(|(id, end)| (lines.end(id), end.steps.as_slice(), end.tools.as_slice()));
    tests.chain(ends)
}

/// Something and the lines it stands on, each thing once, in order of lines.
struct Noted<'a, T>(Vec<(T, Vec<&'a Line<'a>>)>);

impl<'a, T: PartialEq> Noted<'a, T> {
    fn of(found: impl Iterator<Item = (T, &'a Line<'a>)>) -> Self {
        let mut noted: Vec<(T, Vec<&Line<'_>>)> = Vec::new();
        for (what, line) in found {
            match noted.iter_mut().find(|(known, _)| *known == what) {
                Some((_, lines)) => lines.push(line),
                None => noted.push((what, vec![line])),
            }
        }
        Self(noted)
    }
}

/// A list of things with their lines, each with a capital; nothing where there is none.
fn listed(noted: Noted<'_, String>) -> Value {
    let mut html = Html::default();
    for (what, lines) in noted.0 {
        html.raw("<li>").text(&what).raw(" <small>").line_links(lines, Part::Card).raw("</small></li>\n");
    }
    markup(html)
}

fn tools<'a>(lines: &'a Lines<'a>) -> Value {
    listed(Noted::of(blocks(lines).flat_map(|(line, _, tools)| tools.iter().map(move |tool| (capital(tool), line)))))
}

fn parts<'a>(lines: &'a Lines<'a>) -> Value {
    let ends = lines.playbook.ends();
    listed(Noted::of(ends.flat_map(|(id, end)| end.parts.iter().map(move |part| (capital(part), lines.end(id))))))
}

/// "soap" behind a comma and "Soap" in front are one thing.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn dangers<'a>(lines: &'a Lines<'a>) -> Value {
    let found = blocks(lines).flat_map(|(line, steps, _)| {
        steps.iter().filter_map(move |step| match step {
            Step::Signal(word @ (Signal::Danger | Signal::Warning), text, _) => Some(((*word, text), line)),
            _ => None,
        })
    });
    let mut noted = Noted::of(found);
    noted.0.sort_by_key(|((word, _), _)| *word);
    let mut html = Html::default();
    let mut boxed = None;
    for ((signal, text), lines) in noted.0 {
        if boxed != Some(signal) {
            if boxed.is_some() {
                html.raw("</ul></div>\n");
            }
            boxed = Some(signal);
            let word = signal.word();
            html.raw("<div class=\"signal ").raw(word).raw("\"><strong>").raw(word).raw("</strong> <ul>\n");
        }
        // Every card says its own again; the numbers say where to look out.
        let at = steps_told(lines.iter().map(|line| line.number), "and");
        html.raw("<li>").text(text).raw(" <small>").text(&at).raw("</small></li>\n");
    }
    if boxed.is_some() {
        html.raw("</ul></div>\n");
    }
    markup(html)
}
