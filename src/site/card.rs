//! The card of one line: how the unit stands, what can hurt, what to do, what to read, where to go.

use super::lines::{Go, Lines, kind_word};
use super::output::address;
use super::roads::{Roads, WayView};
use super::scale::{ScaleView, scale};
use super::sums::sum_words;
use super::words::{one_wire_off, time, watched};
use crate::engine::view::ahead;
use crate::language::syntax::{BlockKind, Signal};
use crate::playbook::model::{BankId, End, EndId, Measure, Members, Playbook, Question, Step, Takes, Test, TestId};
use crate::sheet::shop::Contact;
use serde::Serialize;

/// A signal word with its sentence.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SignalView {
    /// `danger`, `warning`, `caution`, `notice`.
    pub word: &'static str,
    /// The sentence.
    pub text: String,
}

/// One line of what is done.
#[derive(Debug, Serialize)]
#[serde(tag = "is", rename_all = "lowercase")]
pub enum StepView {
    /// A signal word further down in the work.
    Signal(SignalView),
    /// One thing to do.
    Do {
        /// The sentence.
        text: String,
    },
    /// A timer.
    Wait {
        /// How long.
        time: String,
        /// What to watch for.
        until: Option<String>,
    },
    /// A picture.
    Picture {
        /// Where it is, from the page.
        src: String,
        /// What it shows.
        shows: String,
    },
    /// A reading.
    Measure(MeasureView),
    /// The question.
    Ask {
        /// The question.
        text: String,
    },
}

/// One reading: what the meter is set to and where the probes go.
#[derive(Debug, Serialize)]
pub struct MeasureView {
    /// "V AC".
    pub unit: String,
    /// "from L1 to L2".
    pub at: String,
    /// With the low-impedance meter.
    pub loaded: bool,
    /// How it is watched.
    pub watched: Option<String>,
    /// What it is called in the sum.
    pub name: Option<String>,
    /// To do before it, where a part is read by itself.
    pub off: Option<String>,
    /// To do after it.
    pub on: Option<String>,
}

/// The card of a test.
#[derive(Debug, Serialize)]
pub struct TestCard {
    /// Its line.
    pub number: usize,
    /// Its name as part of an address.
    pub id: String,
    /// Its title.
    pub title: String,
    /// How long it takes.
    pub takes: Option<String>,
    /// The lines that lead here.
    pub from: Vec<Go>,
    /// For a bank: whom it is done for.
    pub members: Option<String>,
    /// Before anything is changed.
    pub signals: Vec<SignalView>,
    /// How the unit stands, and what to change.
    pub way: WayView,
    /// In order of lines.
    pub steps: Vec<StepView>,
    /// The sum that is judged.
    pub sum: Option<String>,
    /// The answers.
    pub scale: ScaleView,
    /// What `normal` goes by, where no sheet gives its numbers.
    pub judged: Option<String>,
    /// "Can't get in there": where to; left out, the shop's hand-over.
    pub cannot: Option<Go>,
    /// Why this test.
    pub why: Vec<String>,
    /// Tools beyond a meter.
    pub tools: Vec<String>,
}

/// The card of a repair, adjust or escalation.
#[derive(Debug, Serialize)]
pub struct EndCard {
    /// Its line.
    pub number: usize,
    /// Its name as part of an address.
    pub id: String,
    /// "Repair", "Adjust", "Hand over".
    pub kind: &'static str,
    /// Its title.
    pub title: String,
    /// How long it takes.
    pub takes: Option<String>,
    /// The lines that lead here.
    pub from: Vec<Go>,
    /// For a bank: the member found.
    pub members: Option<String>,
    /// Before anything is changed.
    pub signals: Vec<SignalView>,
    /// How the unit stands, and what to change.
    pub way: WayView,
    /// In order of lines.
    pub steps: Vec<StepView>,
    /// The parts to bring.
    pub parts: Vec<String>,
    /// Tools beyond a meter.
    pub tools: Vec<String>,
    /// The tests owed after it, its own first.
    pub owed: Vec<Go>,
    /// Who to call, and how to reach them where the shop sheet says.
    pub to: Option<CallView>,
    /// Why it is handed on.
    pub because: Vec<String>,
    /// How it is left, and how to get there.
    pub leave: Option<LeaveView>,
}

/// Who to call.
#[derive(Debug, Serialize)]
pub struct CallView {
    /// Who.
    pub who: String,
    /// How, from the shop sheet.
    pub how: Option<String>,
}

impl CallView {
    /// As the shop sheet has it.
    #[must_use]
    pub fn of(contact: &Contact) -> Self {
        Self { who: contact.name.clone(), how: Some(contact.who.clone()) }
    }
}

/// How the unit is left.
#[derive(Debug, Serialize)]
pub struct LeaveView {
    /// "locked out, covers on".
    pub stands: String,
    /// What to change to get there.
    pub way: WayView,
    /// The reason, where it is not left safe.
    pub because: Option<String>,
}

/// Makes the cards of one page.
pub struct Cards<'a> {
    /// Line numbers and addresses.
    pub lines: &'a Lines<'a>,
    /// How the unit stands on the way.
    pub roads: &'a Roads<'a>,
    /// Who can be called, and how.
    pub call: &'a [Contact],
}

impl Cards<'_> {
    fn playbook(&self) -> &Playbook {
        self.lines.playbook
    }

    /// The card of a test.
    #[must_use]
    pub fn test(&self, id: TestId, test: &Test) -> TestCard {
        let (signals, steps) = self.steps(&test.steps, test);
        TestCard {
            number: self.lines.test(id),
            id: address(&test.name),
            title: test.title.clone(),
            takes: test.takes.map(time),
            from: self.roads.from_test(id).iter().map(|from| self.lines.to_test(*from)).collect(),
            members: self.members(test.members),
            signals,
            way: self.roads.to_test(id),
            steps,
            sum: match &test.question {
                Question::Sum { sum, words, unit, .. } => {
                    Some(format!("{}, in {unit}", sum_words(self.playbook(), sum).unwrap_or_else(|| words.clone())))
                }
                Question::Ask { .. } | Question::Measure(_) => None,
            },
            scale: scale(self.lines, test),
            judged: judged_by(test),
            cannot: test.cannot.as_ref().map(|(target, _)| self.lines.to(target)),
            why: test.why.clone(),
            tools: test.tools.clone(),
        }
    }

    /// The card of a repair, adjust or escalation.
    #[must_use]
    pub fn end(&self, id: EndId, end: &End) -> EndCard {
        let (signals, steps) = self.plain_steps(&end.steps);
        EndCard {
            number: self.lines.end(id),
            id: address(&end.name),
            kind: kind_word(end.kind),
            title: end.title.clone(),
            takes: end.takes.map(time),
            from: self.roads.from_end(id).iter().map(|from| self.lines.to_test(*from)).collect(),
            members: self.members(end.members),
            signals,
            way: self.roads.to_end(id),
            steps,
            parts: end.parts.clone(),
            tools: end.tools.clone(),
            owed: if end.kind == BlockKind::Escalate { Vec::new() } else { self.owed(end) },
            to: end.to.as_ref().map(|name| match self.call.iter().find(|contact| contact.name == *name) {
                Some(contact) => CallView::of(contact),
                None => CallView { who: name.clone(), how: None },
            }),
            because: end.because.clone(),
            leave: self.roads.leave(id),
        }
    }

    /// `verify` first, then `finish`, each once.
    fn owed(&self, end: &End) -> Vec<Go> {
        let mut owed: Vec<TestId> = Vec::new();
        for id in end.verify.iter().chain(&self.playbook().finish) {
            if !owed.contains(id) {
                owed.push(*id);
            }
        }
        owed.iter().map(|id| self.lines.to_test(*id)).collect()
    }

    fn members(&self, members: Members) -> Option<String> {
        let named = |bank: BankId| self.playbook().bank(bank);
        match members {
            Members::One => None,
            Members::Each(id) => {
                let bank = named(id);
                let (first, last) = (bank.members.first()?, bank.members.last()?);
                let name = &bank.name;
                Some(format!(
                    "Do it for every {name}, {name} {first} to {name} {last}, lowest number first. Take all of them before you choose a line."
                ))
            }
            Members::That(id) => Some(format!(
                "Do it for the {} the last line picked: the lowest number it was true of.",
                named(id).name
            )),
        }
    }

    /// The signal words that stand before all work, and the rest.
    fn steps(&self, steps: &[Step], test: &Test) -> (Vec<SignalView>, Vec<StepView>) {
        let measures = test.measures();
        let question = match &test.question {
            Question::Ask { text, .. } => text.as_str(),
            Question::Measure(_) | Question::Sum { .. } => "",
        };
        self.split(steps, measures, question)
    }

    fn plain_steps(&self, steps: &[Step]) -> (Vec<SignalView>, Vec<StepView>) {
        self.split(steps, &[], "")
    }

    fn split(&self, steps: &[Step], measures: &[Measure], question: &str) -> (Vec<SignalView>, Vec<StepView>) {
        let first = ahead(steps).len();
        let mut before = Vec::new();
        let mut after = Vec::new();
        for (at, step) in steps.iter().enumerate() {
            match step {
                Step::Signal(word, text, _) if at < first => before.push(signal(*word, text)),
                Step::Signal(word, text, _) => after.push(StepView::Signal(signal(*word, text))),
                Step::Do(text, _) => after.push(StepView::Do { text: text.clone() }),
                Step::Wait { time, until, .. } => {
                    after.push(StepView::Wait { time: time.clone(), until: until.clone() });
                }
                Step::Picture { file, shows, .. } => {
                    after.push(StepView::Picture { src: picture_address(file), shows: shows.clone() });
                }
                Step::Measure(nth, _) => {
                    let measure = measures.get(usize::from(*nth));
                    after.extend(measure.map(|measure| StepView::Measure(self.measure(measure))));
                }
                Step::Ask(_) => after.push(StepView::Ask { text: question.to_owned() }),
            }
        }
        (before, after)
    }

    fn measure(&self, measure: &Measure) -> MeasureView {
        let (off, on) = one_wire_off(measure).unzip();
        MeasureView {
            unit: measure.unit.to_string(),
            at: measure.at.clone(),
            loaded: measure.loaded,
            watched: watched(measure),
            name: self.playbook().slot(measure.slot).name.clone(),
            off,
            on,
        }
    }
}

/// A signal word as it is shown.
#[must_use]
pub fn signal(word: Signal, text: &str) -> SignalView {
    SignalView { word: word.word(), text: text.to_owned() }
}

/// The address of a picture from the page: its folders and name, each made safe.
#[must_use]
pub fn picture_address(file: &str) -> String {
    file.split('/').map(address).collect::<Vec<_>>().join("/")
}

/// What `normal` goes by, where no sheet gives its numbers.
fn judged_by(test: &Test) -> Option<String> {
    let judged: Vec<_> = test.branches.iter().filter(|branch| matches!(branch.takes, Takes::Judged(_))).collect();
    let at = judged.iter().filter_map(|branch| branch.words.split_once(" at ").map(|(_, name)| name));
    let mut at: Vec<&str> = at.collect();
    at.dedup();
    (!judged.is_empty()).then(|| match at.as_slice() {
        [] => "Normal is what the rating plate and the drawing say. You judge which it is.".to_owned(),
        names => format!(
            "Normal is what the rating plate and the drawing say, figured at the {} you wrote down. You judge which it is.",
            names.join(" and ")
        ),
    })
}
