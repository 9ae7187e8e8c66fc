//! A step as text.

use super::card::{Card, MARGIN};
use super::heard::{for_member, spoken};
use super::items::{Item, Thing, member, title};
use super::limits;
use super::told::place;
use crate::engine::view::Place;
use crate::engine::{InBook, Library, Reason, State, View};
use crate::language::syntax::{BlockKind, OverKind, Probes, Signal};
use crate::playbook::model::{End, Measure, Question, Step, Takes, Test};
use crate::sheet::lock_out;
use crate::sheet::shop::Shop;
use crate::sheet::states::{Stand, StateId};
use crate::sheet::unit::model::Unit as Sheet;
use crate::text::english::{count, list};

/// Where a screen comes from.
#[derive(Clone, Copy)]
pub struct Desk<'a> {
    /// The playbooks.
    pub library: &'a Library,
    /// The shop's own words.
    pub shop: &'a Shop,
    /// Where the walk stands.
    pub state: &'a State,
    /// The unit's sheet, where there is one.
    pub sheet: Option<&'a Sheet>,
    /// The readings of the step so far, where there are several; at the question for the side, then what is judged.
    pub read: &'a [String],
    /// The volts of the supply the limits of the step go by, where they have been read.
    pub volts: Option<f64>,
    /// Why what was typed was not taken.
    pub back: Option<&'a str>,
}

/// What of a step has been shown already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shown {
    /// Nothing: this is its first card.
    Nothing,
    /// A card or more, and a state has been changed since.
    Changed,
    /// A card or more, and nothing has been changed since.
    Head,
}

impl Desk<'_> {
    /// The item with what belongs above it.
    pub fn item(&self, card: &mut Card, view: Option<&View<'_>>, item: &Item, shown: Shown, list_owed: bool) {
        card.title(&title(self.library, self.state));
        if let Some(view) = view {
            let whole = shown == Shown::Nothing;
            // What can kill stands on every card of the step; what can hurt or breaks the machine, on its first.
            let grave = |step: &&Step| matches!(step, Step::Signal(Signal::Danger | Signal::Warning, ..));
            signals(card, view.place.ahead().iter().filter(|step| whole || grave(step)));
            self.head(card, view, whole, list_owed);
            // The why waits until the way is made: it belongs to the reading, and a lock-out needs the room.
            if let (Place::Test { test, .. }, true, false) =
                (&view.place, shown != Shown::Head, matches!(item.what, Thing::Change(_)))
            {
                card.lines("Why", &self.named(view, &test.why));
            }
        }
        signals(card, item.before.iter());
        match (view, &item.what) {
            (_, Thing::Stuck(why)) => {
                card.line("Stuck", &format!("The unit cannot be brought to stand as this step needs it. {why}"));
            }
            (Some(view), what) => self.thing(card, view, what, shown != Shown::Changed),
            (None, _) => {}
        }
        if let Some(back) = self.back {
            card.line("Again", back);
        }
        self.unit_now(card);
    }

    /// "Unit now: live, covers off": directly above each question.
    pub fn unit_now(&self, card: &mut Card) {
        card.say(&format!("Unit now: {}", self.library.states().told_standing(&self.state.standing)));
    }

    /// What stands on the first card of a step; of a stop, on every one.
    fn head(&self, card: &mut Card, view: &View<'_>, whole: bool, list_owed: bool) {
        match &view.place {
            Place::Leaving(reason @ Reason::NotSafe) => self.leaving(card, reason),
            _ if !whole => {}
            Place::Test { test, owed, .. } => {
                if *owed {
                    self.owed(card, view, list_owed);
                }
                tools(card, &test.tools);
            }
            Place::Work { end, .. } => {
                card.lines(if end.parts.len() == 1 { "Part" } else { "Parts" }, &end.parts);
                tools(card, &end.tools);
            }
            Place::Escalation(end) => {
                card.lines("Because", &end.because);
                tools(card, &end.tools);
            }
            Place::Closing => card.line("Good", "Every test owed is good. Nothing is left but to close."),
            Place::Leaving(reason) => self.leaving(card, reason),
            Place::Closed | Place::HandedOver(_) => {}
        }
    }

    fn owed(&self, card: &mut Card, view: &View<'_>, list_owed: bool) {
        let titles = self.owed_titles(view);
        if list_owed && titles.len() <= 4 {
            card.lines("Owed now", &titles);
        } else if list_owed {
            card.line("Owed now", &titles.join("; "));
        } else {
            let left = titles.len().saturating_sub(1);
            let words =
                if left == 0 { "This is the last test owed.".to_owned() } else { format!("This one and {left} more.") };
            card.line("Owed", &words);
        }
    }

    /// The tests owed, next one first.
    pub fn owed_titles(&self, view: &View<'_>) -> Vec<String> {
        let title = |(at, member): &(InBook<_>, Option<u16>)| {
            let test = self.library.test(*at);
            let bank = super::items::bank_of(self.library.book(at.book), test.members);
            match (bank, member) {
                (Some(bank), Some(member)) if matches!(test.members, crate::playbook::model::Members::That(_)) => {
                    format!("{}: {}-{member}", for_member(&test.title, &bank.name, *member), bank.name)
                }
                _ => test.title.clone(),
            }
        };
        view.owed.iter().map(title).collect()
    }

    fn leaving(&self, card: &mut Card, reason: &Reason) {
        let work = reason.work().map(|done| self.library.end(done.end).title.clone()).unwrap_or_default();
        let words = match reason {
            Reason::Escalated(end) => self.library.end(*end).title.clone(),
            Reason::NoPart(_) => format!("The part for this is not on the truck: {work}. Park the unit."),
            Reason::DidNotHold(_) => {
                format!("It did not hold: {work}. It was done once on this call, and the same fault is back.")
            }
            Reason::NotChecked(test) => {
                format!("Repaired, not checked: {} could not be done.", self.library.test(*test).title)
            }
            Reason::CannotTest(test) => {
                format!("{} could not be done, and there is no other way on.", self.library.test(*test).title)
            }
            Reason::CannotWork(_) => format!("This could not be done: {work}."),
            Reason::NotPutBack => "The unit could not be put back as the call needs it to close.".to_owned(),
            Reason::NotSafe => {
                card.line("STOP", "Take your hands out. Keep everybody away from the machine.");
                if !self.state.standing.holds(Stand::LOCKED_OUT) {
                    card.line("", "Lock it out only if that can't hurt you; if it could, type can't.");
                }
                return;
            }
        };
        card.line("Because", &words);
        if let Some(leave) = self.leave_of(reason).and_then(|end| end.leave.as_ref())
            && let Some(because) = &leave.because
        {
            card.line("Left so", because);
        }
    }

    /// The block whose `leave` line says how the unit is left.
    pub fn leave_of(&self, reason: &Reason) -> Option<&End> {
        match reason {
            Reason::Escalated(end) => Some(self.library.end(*end)),
            Reason::NoPart(done) => Some(self.library.end(done.end)).filter(|end| end.kind == BlockKind::Repair),
            _ => None,
        }
    }

    fn thing(&self, card: &mut Card, view: &View<'_>, thing: &Thing, first: bool) {
        match thing {
            Thing::Change(change) => {
                let margin = if first { "First" } else { "Then" };
                let sentence = self.library.states().sentence(change.state, change.to);
                if change.state == StateId::POWER {
                    self.power(card, margin, &sentence, change.stand());
                } else {
                    card.line(margin, &sentence);
                }
            }
            Thing::Do(words) => card.line("Do", words),
            Thing::Wait { time, until: None, .. } => card.line("Wait", time),
            Thing::Wait { time, until: Some(until), .. } => card.line("Wait", &format!("{time}, or until {until}")),
            Thing::WireOff(part) => {
                card.line("Do", &format!("Take one wire off {part}, so that it is read by itself."))
            }
            Thing::WireOn(part) => card.line("Do", &format!("Put the wire back on {part}.")),
            Thing::Read(at) => {
                if let Place::Test { test, .. } = &view.place
                    && let Some(measure) = test.measures().get(*at)
                {
                    let several = test.measures().len() > 1;
                    let mut words = self.named_one(view, &self.measured(view, measure));
                    if let (true, Some(name)) = (several, &view.book.slot(measure.slot).name) {
                        words.push_str(&format!("; call it {name}"));
                    }
                    card.line("Measure", &words);
                    if !self.read.is_empty() {
                        card.line("Read", &self.read.join(", "));
                    }
                    card.lines("Good", &limits::lines(view.book, test, *at, self.volts));
                    // What is no sum has been said with the sheet.
                    if at + 1 == test.measures().len()
                        && let Some(sum) = test.reckoned.as_ref().map(|r| &r.sum).filter(|sum| sum.contains('='))
                    {
                        card.line("", &format!("By the rating plate: {sum}."));
                    }
                }
            }
            Thing::Answer => {
                if let Place::Test { test, .. } = &view.place
                    && let Question::Ask { text, .. } = &test.question
                {
                    card.line("Ask", &self.named_one(view, text));
                    card.choices(&answers(test).iter().map(|(words, _)| shown_answer(words)).collect::<Vec<_>>());
                }
            }
            Thing::Side => {
                let (result, read) =
                    self.read.split_last().map_or(("it", &[][..]), |(last, read)| (last.as_str(), read));
                if !read.is_empty() {
                    card.line("Read", &read.join(", "));
                }
                card.line("Judge", &format!("By the rating plate and the drawing, where does {result} fall?"));
                if let Place::Test { test, .. } = &view.place {
                    card.choices(&sides(test).iter().map(|(words, _)| words).collect::<Vec<_>>());
                }
            }
            Thing::Finish => {
                if let Place::Work { end, .. } = &view.place {
                    card.line("Do", &format!("{}, then type done.", title(self.library, self.state)));
                    if end.kind == BlockKind::Repair {
                        card.line("", "If the part is not on the truck, type no part.");
                    }
                }
            }
            Thing::Call => {
                if let Place::Escalation(end) = &view.place {
                    card.line("Call", &self.who(&name_called(end)));
                }
            }
            Thing::List => self.last_list(card, view),
            Thing::Stuck(_) => {}
        }
    }

    fn power(&self, card: &mut Card, margin: &str, heading: &str, stand: Stand) {
        let locked = stand == Stand::LOCKED_OUT;
        let steps = if locked { &self.shop.lock_out } else { &self.shop.re_energize };
        let steps = lock_out::at_unit(steps, self.sheet);
        card.line(margin, heading);
        card.listed(MARGIN, steps.iter().zip(1..).map(|(step, n)| (format!("{n:>2}"), step)));
        let Some(power) = self.library.states().get(StateId::POWER).filter(|_| locked) else { return };
        if !power.disconnects.is_empty() {
            card.line("Here", &format!("This unit is disconnected at: {}.", list(&power.disconnects, "and")));
        }
        card.lines("Also", &power.lock_out_also);
    }

    fn last_list(&self, card: &mut Card, view: &View<'_>) {
        match &view.place {
            Place::Closing => card.lines("Closing", &self.shop.closing),
            Place::Leaving(reason) => {
                // An escalation has named who to call on its own card.
                if !matches!(reason, Reason::Escalated(_)) {
                    card.line("Call", &self.who(&self.called(reason)));
                }
                card.lines("Hand over", &self.shop.hand_over);
            }
            _ => {}
        }
    }

    /// The name of who is called for a reason; nobody named: the lead.
    pub fn called(&self, reason: &Reason) -> String {
        match reason {
            Reason::Escalated(end) => name_called(self.library.end(*end)),
            _ => LEAD.to_owned(),
        }
    }

    /// Who a name of the shop is, and how they are called.
    fn who(&self, name: &str) -> String {
        self.shop.contact(name).map_or_else(|| name.to_owned(), |contact| format!("{name}: {}", contact.who))
    }

    /// A measure as it is asked for: outside the circuit in the words the sheet has for the place, its name behind them.
    fn measured(&self, view: &View<'_>, measure: &Measure) -> String {
        let Probes::At(name) = &measure.probes else { return measured(measure) };
        let member = member(view);
        let place = self.sheet.and_then(|sheet| {
            let (_, reading) = sheet.reading(&place(name.as_str(), member))?;
            reading.at.as_deref()
        });
        place.map_or_else(|| measured(measure), |at| measured_at(measure, &format!("{at} ({})", name.as_str())))
    }

    fn named(&self, view: &View<'_>, words: &[String]) -> Vec<String> {
        words.iter().map(|words| self.named_one(view, words)).collect()
    }

    fn named_one(&self, view: &View<'_>, words: &str) -> String {
        member(view).map_or_else(|| words.to_owned(), |(bank, number)| for_member(words, &bank.name, number))
    }
}

/// Who is called where nobody is named.
const LEAD: &str = "lead";

/// The name an escalation calls.
pub fn name_called(end: &End) -> String {
    end.to.clone().unwrap_or_else(|| LEAD.to_owned())
}

fn tools(card: &mut Card, tools: &[String]) {
    if !tools.is_empty() {
        card.line("Tools", &tools.join(", "));
    }
}

fn signals<'a>(card: &mut Card, steps: impl Iterator<Item = &'a Step>) {
    for step in steps {
        match step {
            Step::Signal(signal, words, _) => card.line(&signal.word().to_uppercase(), words),
            Step::Picture { file, shows, .. } => card.line("Picture", &format!("{shows} ({file})")),
            _ => {}
        }
    }
}

/// "V AC from L1 to L2, with the low-impedance meter; the lowest over 10 s".
pub fn measured(measure: &Measure) -> String {
    measured_at(measure, &measure.at)
}

fn measured_at(measure: &Measure, at: &str) -> String {
    let mut words = format!("{} {at}", measure.unit);
    if measure.loaded {
        words.push_str(", with the low-impedance meter");
    }
    if let Some((kind, _, time)) = &measure.over {
        let which = match kind {
            OverKind::Change => "how far it changes".to_owned(),
            other => format!("the {}", other.word()),
        };
        words.push_str(&format!("; {which} over {time}"));
    }
    words
}

/// The answers of a test, each once, with the first line that has it.
pub fn answers(test: &Test) -> Vec<(&str, usize)> {
    let mut answers: Vec<(&str, usize)> = Vec::new();
    for (at, branch) in test.branches.iter().enumerate() {
        if branch.takes == Takes::Answer && !answers.iter().any(|(words, _)| *words == branch.words) {
            answers.push((&branch.words, at));
        }
    }
    answers
}

/// An answer as it is typed: in quotes where it reads like an order to the walk.
fn shown_answer(words: &str) -> String {
    if super::heard::order(words).is_some() { format!("\"{words}\"") } else { words.to_owned() }
}

/// The sides of normal a test tells apart, with the words of the first line of each.
pub fn sides(test: &Test) -> Vec<(String, crate::language::syntax::Side)> {
    let mut sides: Vec<(String, crate::language::syntax::Side)> = Vec::new();
    for branch in &test.branches {
        if let Takes::Judged(side) = branch.takes
            && !sides.iter().any(|(_, known)| *known == side)
        {
            sides.push((branch.words.clone(), side));
        }
    }
    sides
}

/// The question mark of an item.
/// `doubted`: a reading was asked back, and yes takes it.
pub fn prompt(library: &Library, view: Option<&View<'_>>, item: &Item, doubted: bool) -> String {
    match (&item.what, view.map(|view| &view.place)) {
        (Thing::Read(at), Some(Place::Test { test, .. })) => {
            let or = if doubted { ", or yes" } else { "" };
            test.measures().get(*at).map_or_else(String::new, |measure| format!("{}{or}: ", spoken(measure.unit)))
        }
        (Thing::Answer, _) => "answer: ".to_owned(),
        (Thing::Side, _) => "it is: ".to_owned(),
        (Thing::Change(change), _) if change.state == StateId::POWER => {
            format!("{}? ", power_word(library, change.stand()))
        }
        (Thing::Finish | Thing::List, _) => "all done? ".to_owned(),
        (Thing::Call, _) => "called? ".to_owned(),
        (Thing::Stuck(_), _) => "can't, or pause: ".to_owned(),
        _ => "done? ".to_owned(),
    }
}

/// "locked out", "live".
pub fn power_word(library: &Library, stand: Stand) -> String {
    library.states().value(stand).map(|value| value.name.replace('-', " ")).unwrap_or_default()
}

/// "3 tests are owed" or "No test is owed".
pub fn owed_count(n: usize) -> String {
    match n {
        0 => "No test is owed.".to_owned(),
        1 => "1 test is owed.".to_owned(),
        n => format!("{} are owed.", count(n, "test")),
    }
}
