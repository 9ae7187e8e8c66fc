//! The card of one line: what can hurt, how the unit stands and the way there, what to do, what to read, where to go.

use super::chart::kind_word;
use super::html::Html;
use super::lines::{Go, Line, Lines, Part, steps_told};
use super::output::address;
use super::roads::{ChangeView, Roads, WayView};
use super::scale::scale;
use super::sums::sum_words;
use super::words::{time, watched};
use crate::engine::view::ahead;
use crate::language::syntax::{BlockKind, OutcomeKind};
use crate::playbook::bounds::Good;
use crate::playbook::freed::Freed;
use crate::playbook::model::{End, EndId, Measure, Members, Playbook, Question, Step, Takes, Test, TestId};
use crate::playbook::told;
use crate::sheet::shop::Shop;
use crate::trade::quantity::{computed, plain};
use crate::trade::reading::Reading;

/// Makes the cards of one page.
#[derive(Clone, Copy)]
pub struct Cards<'a> {
    /// Line numbers and addresses.
    pub lines: &'a Lines<'a>,
    /// How the unit stands on the way.
    pub roads: &'a Roads<'a>,
    /// Who can be called, and how.
    pub shop: &'a Shop,
}

impl Cards<'_> {
    fn playbook(&self) -> &Playbook {
        self.lines.playbook
    }

    /// The card of the first test: the complaint.
    #[must_use]
    pub fn start(&self) -> String {
        let mut html = Html::with_room(1700);
        for (id, test) in self.playbook().tests().take(1) {
            self.test(&mut html, id, test);
        }
        html.into_string()
    }

    /// One card a test, but for the first.
    #[must_use]
    pub fn tests(&self) -> String {
        let mut html = Html::with_room(1700 * self.playbook().tests.len());
        for (id, test) in self.playbook().tests().skip(1) {
            self.test(&mut html, id, test);
        }
        html.into_string()
    }

    /// One card a repair, adjust or escalation.
    #[must_use]
    pub fn ends(&self) -> String {
        let mut html = Html::with_room(1400 * self.playbook().ends.len());
        for (id, end) in self.playbook().ends() {
            self.end(&mut html, id, end);
        }
        html.into_string()
    }

    fn test(&self, html: &mut Html, id: TestId, test: &Test) {
        html.card(self.lines.test(id), "").signals(ahead(&test.steps));
        self.members(html, test.members);
        html.way(&self.roads.to_test(id));
        let question = match &test.question {
            Question::Ask { text, .. } => text.as_str(),
            Question::Measure(_) | Question::Sum { .. } => "",
        };
        self.work(html, &test.steps, test.measures(), question);
        if let Question::Sum { sum, words, unit, .. } = &test.question {
            html.raw("<p class=\"sum\"><span>Work out</span> ");
            let own = || sum_words(self.playbook(), sum).unwrap_or_else(|| words.clone());
            let compared = told::compared(test).and_then(|_| told::judged(self.playbook(), test));
            html.text(&compared.unwrap_or_else(own));
            html.raw(", in ").text(&unit.to_string()).raw("</p>\n");
        }
        if let Some(by) = moving_words(test) {
            html.raw("<p class=\"judged\">").text(&by).raw("</p>\n");
        }
        if let Some(by) = judged_by(test) {
            html.raw("<p class=\"judged\">").text(&by).raw("</p>\n");
        }
        html.scale(&scale(self.lines, id));
        if let Some(words) = usual_words(test) {
            html.raw("<p class=\"usual\">").text(&words).raw("</p>\n");
        }
        html.raw("</div>\n<div class=\"margin\">\n");
        for why in &test.why {
            html.raw("<p><span>Why</span> ").text(why).raw("</p>\n");
        }
        html.margin(&test.tools, test.takes).raw("<p><span>Can't do it</span> ");
        match test.cannot.as_ref().and_then(|(target, _)| self.lines.to(target)) {
            Some(go) => html.open_link(&go, Part::Card).line_words(&go).raw(" ").title(&go).raw("</a></p>\n"),
            None => html.raw("<a href=\"#hand-over\">hand the call over</a></p>\n"),
        };
        self.from(html, self.roads.from_test(id));
        html.raw("</div>\n</article>\n");
    }

    fn end(&self, html: &mut Html, id: EndId, end: &End) {
        html.card(self.lines.end(id), kind_word(end.kind)).signals(ahead(&end.steps));
        self.members(html, end.members);
        if let Some(name) = &end.to {
            html.raw("<p class=\"who\"><span>Call</span> <b>").text(name).raw("</b>");
            if let Some(contact) = self.shop.contact(name) {
                html.raw(": ").text(&contact.who);
            }
            html.raw("</p>\n");
        }
        for because in &end.because {
            html.raw("<p class=\"because\">").text(because).raw("</p>\n");
        }
        if !end.parts.is_empty() {
            html.raw("<p class=\"part\"><span>Part</span> ").joined(&end.parts, "; ").raw("</p>\n");
        }
        html.way(&self.roads.to_end(id));
        self.work(html, &end.steps, &[], "");
        if end.kind != BlockKind::Escalate {
            html.raw("<p class=\"owed-head\">Owed now, in this order, with what was still owed before:</p>\n");
            html.owed(self.owed(end));
        }
        if let Some(leave) = self.roads.leave(id) {
            html.raw("<div class=\"leave\"><p><span>");
            html.raw(if end.kind == BlockKind::Repair { "Part not on the truck: leave it" } else { "Leave it" });
            html.raw("</span> ").text(&leave.stands);
            if let Some(because) = &leave.because {
                html.raw(", because ").text(because);
            }
            html.raw("</p>\n").changes(&leave.changes).raw("</div>\n");
        }
        html.raw("</div>\n<div class=\"margin\">\n").margin(&end.tools, end.takes);
        self.from(html, self.roads.from_end(id));
        html.raw("</div>\n</article>\n");
    }

    /// `verify` first, then `finish`, each once.
    fn owed(&self, end: &End) -> impl Iterator<Item = &Line<'_>> {
        let mut owed: Vec<TestId> = Vec::new();
        for id in end.verify.iter().chain(&self.playbook().finish) {
            if !owed.contains(id) {
                owed.push(*id);
            }
        }
        owed.into_iter().map(|id| self.lines.test(id))
    }

    fn from(&self, html: &mut Html, from: &[TestId]) {
        if !from.is_empty() {
            html.raw("<p class=\"from\"><span>Comes from</span> ");
            html.line_links(from.iter().map(|id| self.lines.test(*id)), Part::Card).raw("</p>\n");
        }
    }

    fn members(&self, html: &mut Html, members: Members) {
        match members {
            Members::One => {}
            Members::Each(id) => {
                let bank = self.playbook().bank(id);
                let (Some(first), Some(last)) = (bank.members.first(), bank.members.last()) else { return };
                html.raw("<p class=\"members\">Do it for every ")
                    .text(&bank.name)
                    .raw(", ")
                    .number(usize::from(*first));
                html.raw(" to ").number(usize::from(*last));
                html.raw(", lowest number first. Take all of them before you choose where to go.</p>\n");
            }
            Members::That(id) => {
                html.raw("<p class=\"members\">Do it for the ").text(&self.playbook().bank(id).name);
                html.raw(" found just now: the lowest number the answer was true of.</p>\n");
            }
        }
    }

    /// What is done, in order of lines; the signal words that stand before all of it are on the card already.
    fn work(&self, html: &mut Html, steps: &[Step], measures: &[Measure], question: &str) {
        let before = ahead(steps).len();
        let mut steps =
            steps.iter().enumerate().filter(|(at, step)| *at >= before || !matches!(step, Step::Signal(..))).peekable();
        if steps.peek().is_none() {
            return;
        }
        html.raw("<ol class=\"work\">\n");
        for (_, step) in steps {
            match step {
                Step::Signal(..) => {
                    html.raw("<li class=\"caution-here\">").signals(std::slice::from_ref(step)).raw("</li>\n");
                }
                Step::Do(text, _) => {
                    html.raw("<li>").text(text).raw("</li>\n");
                }
                Step::Wait { time, until, .. } => {
                    html.raw("<li class=\"wait\">Wait ").text(time);
                    if let Some(until) = until {
                        html.raw(", or until ").text(until);
                    }
                    html.raw(".</li>\n");
                }
                Step::Picture { file, shows, .. } => {
                    html.raw("<li class=\"picture\"><img src=\"").text(&picture_address(file));
                    html.raw("\" alt=\"").text(shows).raw("\"></li>\n");
                }
                Step::Measure(nth, _) => {
                    if let Some(measure) = measures.get(usize::from(*nth)) {
                        html.measure(measure, self.playbook().slot(measure.slot).name.as_deref());
                    }
                }
                Step::Ask(_) => {
                    html.raw("<li class=\"ask\">").text(question).raw("</li>\n");
                }
            }
        }
        html.raw("</ol>\n");
    }
}

impl Html {
    fn card(&mut self, line: &Line<'_>, kind: &'static str) -> &mut Self {
        self.raw("<article class=\"card\" id=\"step-").text(&line.id).raw("\" aria-labelledby=\"t-").text(&line.id);
        self.raw("\">\n<h3 id=\"t-").text(&line.id).raw("\"><span class=\"no\">").number(line.number).raw("</span> ");
        if !kind.is_empty() {
            self.raw("<span class=\"kind\">").raw(kind).raw(":</span> ");
        }
        self.text(line.title).raw("</h3>\n<div class=\"body\">\n")
    }

    /// Signal words with their sentences; other steps are passed over.
    pub fn signals(&mut self, steps: &[Step]) -> &mut Self {
        for step in steps {
            if let Step::Signal(signal, text, _) = step {
                let word = signal.word();
                self.raw("<p class=\"signal ").raw(word).raw("\"><strong>").raw(word).raw("</strong> <span>");
                self.text(text).raw("</span></p>\n");
            }
        }
        self
    }

    /// Each road with what is to change on it, then how the unit stands: the line everything below goes by.
    fn way(&mut self, way: &WayView) -> &mut Self {
        let others = way.roads.len() > 1 || !way.holds.is_empty();
        for road in way.roads.iter().filter(|road| others || !road.changes.is_empty()) {
            self.raw("<p class=\"stand\"><span>");
            match (others, road.from.is_empty()) {
                (false, _) => self.raw("Unit before"),
                (true, true) => self.raw("At the start"),
                (true, false) => self.raw("Coming from ").text(&steps_told(road.from.iter().copied(), "or")),
            };
            self.raw("</span> ");
            match (road.changes.is_empty(), road.before.is_empty()) {
                (true, _) => self.raw("nothing to change</p>\n"),
                (false, true) => self.raw("change</p>\n"),
                (false, false) => self.text(&road.before).raw("</p>\n"),
            };
            self.changes(&road.changes);
        }
        if !way.holds.is_empty() {
            self.raw("<p class=\"holds\"><b>Coming from anywhere else</b>, check these one by one and set only what is set otherwise: ");
            self.joined(&way.holds, "; ").raw(". A cover comes off or goes on only with the unit locked out.</p>\n");
        }
        self.raw("<p class=\"stand now\"><span>Unit now</span> ").text(&way.after).raw("</p>\n")
    }

    fn changes(&mut self, changes: &[ChangeView]) -> &mut Self {
        if changes.is_empty() {
            return self;
        }
        self.raw("<ol class=\"changes\">\n");
        for change in changes {
            self.raw("<li>");
            match change.procedure {
                "" => self.text(&change.text),
                procedure => self.raw("<a href=\"#").raw(procedure).raw("\">").text(&change.text).raw("</a>"),
            };
            for more in &change.also {
                self.raw(" ").text(more);
            }
            self.raw("</li>\n");
        }
        self.raw("</ol>\n")
    }

    fn measure(&mut self, measure: &Measure, name: Option<&str>) -> &mut Self {
        let unit = measure.unit.to_string();
        let freed = Freed::by(measure);
        if let Some(freed) = &freed {
            self.raw("<li>").text(&freed.before()).raw("</li>\n");
        }
        self.raw("<li class=\"measure\"><b>").text(&unit).raw("</b> ").text(&measure.at);
        if measure.loaded {
            self.raw(", low-impedance input");
        }
        if let Some(name) = name {
            self.raw("<span class=\"as\">, write it down as</span> <i>").text(name).raw("</i>");
        }
        if let Some(watched) = watched(measure) {
            self.raw(". ").text(&watched);
        }
        self.raw(" <span class=\"blank\" aria-hidden=\"true\">").text(&unit).raw("</span></li>\n");
        if let Some(freed) = &freed {
            self.raw("<li>").text(&freed.after()).raw("</li>\n");
        }
        self
    }

    fn margin(&mut self, tools: &[String], takes: Option<f64>) -> &mut Self {
        if !tools.is_empty() {
            self.raw("<p><span>Tools</span> ").joined(tools, ", ").raw("</p>\n");
        }
        if let Some(takes) = takes {
            self.raw("<p><span>Takes</span> about ").text(&time(takes)).raw("</p>\n");
        }
        self
    }

    /// Tests owed, each with a square to tick.
    pub fn owed<'l>(&mut self, lines: impl IntoIterator<Item = &'l Line<'l>>) -> &mut Self {
        self.raw("<ol class=\"owed\">\n");
        for line in lines {
            let go = Go::Line(line);
            self.raw("<li>").open_link(&go, Part::Card).raw("<b>").line_words(&go).raw("</b> <span>").text(line.title);
            self.raw("</span></a></li>\n");
        }
        self.raw("</ol>\n")
    }
}

/// The address of a picture from the page: its folders and name, each made safe.
#[must_use]
pub fn picture_address(file: &str) -> String {
    file.split('/').map(address).collect::<Vec<_>>().join("/")
}

/// What the sheet says a unit in order reads, and how that comes about. The scale above it decides; where its good stretch is worked out
/// from the sheet too, the two are the same.
fn usual_words(test: &Test) -> Option<String> {
    let unit = test.bounds.as_ref()?.unit();
    let reads = told::good(test.good_reads?.good, unit);
    let reckoned = test.reckoned.as_ref().map(|reckoned| format!(": {}", reckoned.told())).unwrap_or_default();
    let normal = test.branches.iter().any(|branch| branch.kind == OutcomeKind::Good && branch.words.contains("normal"));
    Some(if normal {
        format!("Normal by the drawing is {reads}{reckoned}.")
    } else {
        format!("By the drawing expect {reads}{reckoned}. The scale decides, not this.")
    })
}

/// Limits that go with the volts just read: what a good unit reads at a few of them, and at which the scale below is drawn.
fn moving_words(test: &Test) -> Option<String> {
    let (moving, unit) = (test.moving.as_ref()?, test.bounds.as_ref()?.unit());
    let row = |(reads, good): (f64, Good)| {
        let reads = Reading::Value(computed((reads * 10.0).round() / 10.0)).told(moving.unit);
        format!("at {reads} {} to {} {unit}", plain(good.low), plain(good.high))
    };
    let rows: Vec<String> = moving.rows().step_by(2).map(row).collect();
    let plate = Reading::Value(computed((moving.reads_on_plate * 10.0).round() / 10.0)).told(moving.unit);
    Some(format!(
        "Normal goes with the {} you wrote down: {}. In between take what lies in between. The numbers below are those at {plate}.",
        moving.name,
        rows.join(", ")
    ))
}

/// What `normal` goes by, where no sheet gives its numbers.
fn judged_by(test: &Test) -> Option<String> {
    let judged = || test.branches.iter().filter(|branch| matches!(branch.takes, Takes::Judged(_)));
    judged().next()?;
    let mut at: Vec<&str> =
        judged().filter_map(|branch| branch.words.split_once(" at ")).map(|(_, name)| name).collect();
    at.dedup();
    Some(match at.as_slice() {
        [] => "Normal is what the rating plate and the drawing say. You judge which it is.".to_owned(),
        names => format!(
            "Normal is what the rating plate and the drawing say, figured at the {} you wrote down. You judge which it is.",
            names.join(" and ")
        ),
    })
}
