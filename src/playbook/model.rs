//! The compiled form of one playbook: what the checks, the engine, the pages and the walk read.
//!
//! Everything is an index into a table of the same playbook; a place leads back to the author's line.
//! INVARIANT: every id handed out by the compiler is within its table; the accessors lean on it.

use super::bounds::Bounds;
use super::moving::Moving;
use super::normal::{NoNormal, Normal};
use super::reckoned::Reckoned;
use crate::language::syntax::{BlockKind, OutcomeKind, OverKind, Probes, Side, Signal};
use crate::sheet::states::{Stand, States};
use crate::text::source::{Place, Source, Span};
use crate::trade::reading::Reading;
use crate::trade::unit::Unit;
use std::sync::Arc;

/// Index of a test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TestId(pub u16);
/// Index of a repair, adjust or escalation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EndId(pub u16);
/// Index of a bank of identical parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BankId(pub u16);
/// Index of a named or unnamed reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SlotId(pub u16);
/// Number of a member of a bank, as people count: from the bank's first number.
pub type Member = u16;

/// One playbook, compiled for one unit or for any.
#[derive(Debug, Clone)]
pub struct Playbook {
    /// The file.
    pub source: Arc<Source>,
    /// Its name: the folder of its pages, what `go to playbook` says.
    pub name: String,
    /// Its title.
    pub title: String,
    /// The units it is for; empty where none is named.
    pub units: Vec<String>,
    /// The words callers use.
    pub symptoms: Vec<String>,
    /// `YYYY-MM-DD`; empty where left out (an error of the checks).
    pub revised: String,
    /// Addresses that moved.
    pub was: Vec<String>,
    /// The states it can use, in sheet order, those named here without a sheet behind them.
    pub states: Arc<States>,
    /// Banks of identical parts, from the unit sheet.
    pub banks: Vec<Bank>,
    /// Every reading taken, named or not.
    pub slots: Vec<Slot>,
    /// The tests, in order of lines. The first is the complaint. Never empty.
    pub tests: Vec<Test>,
    /// Repairs, adjusts and escalations, in order of lines.
    pub ends: Vec<End>,
    /// Tests owed at the end of every call that changed something.
    pub finish: Vec<TestId>,
}

impl Playbook {
    /// The test of this id.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by the compiler, within the table")]
    pub fn test(&self, id: TestId) -> &Test {
        &self.tests[usize::from(id.0)]
    }

    /// The repair, adjust or escalation of this id.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by the compiler, within the table")]
    pub fn end(&self, id: EndId) -> &End {
        &self.ends[usize::from(id.0)]
    }

    /// The bank of this id.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by the compiler, within the table")]
    pub fn bank(&self, id: BankId) -> &Bank {
        &self.banks[usize::from(id.0)]
    }

    /// The reading of this id.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by the compiler, within the table")]
    pub fn slot(&self, id: SlotId) -> &Slot {
        &self.slots[usize::from(id.0)]
    }

    /// The tests with their ids.
    pub fn tests(&self) -> impl Iterator<Item = (TestId, &Test)> {
        self.tests.iter().enumerate().map(|(at, test)| (TestId(u16::try_from(at).unwrap_or(u16::MAX)), test))
    }

    /// The ends with their ids.
    pub fn ends(&self) -> impl Iterator<Item = (EndId, &End)> {
        self.ends.iter().enumerate().map(|(at, end)| (EndId(u16::try_from(at).unwrap_or(u16::MAX)), end))
    }

    /// A span of this playbook as a place.
    #[must_use]
    pub fn place(&self, span: Span) -> Place {
        Place::new(&self.source, span)
    }

    /// Every way out of a test, in order of lines, `cannot` last.
    pub fn ways_out<'a>(&'a self, test: &'a Test) -> impl Iterator<Item = (&'a Target, Span)> {
        test.branches.iter().map(|b| (&b.to, b.span)).chain(test.cannot.iter().map(|(target, span)| (target, *span)))
    }
}

/// A bank of identical parts: `zone`, 1 to 5.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bank {
    /// Its name.
    pub name: String,
    /// Its members' numbers, lowest first. Never empty.
    pub members: Vec<Member>,
}

/// One reading: `call it NAME`, or without a name the measure of a test.
#[derive(Debug, Clone, PartialEq)]
pub struct Slot {
    /// Its name, where it has one.
    pub name: Option<String>,
    /// The unit it is read in.
    pub unit: Unit,
    /// Whether it is one temperature less another: a change over time, or a reading that is one on the sheet, as superheat.
    pub difference: bool,
    /// The test that takes it.
    pub test: TestId,
}

/// Who a block is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Members {
    /// The unit as a whole.
    One,
    /// Every member of a bank, one after another.
    Each(BankId),
    /// The member an `if` line picked.
    That(BankId),
}

/// One test.
#[derive(Debug, Clone)]
pub struct Test {
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: String,
    /// The heading line.
    pub span: Span,
    /// The whole unit, each member of a bank, or that member.
    pub members: Members,
    /// The states it names.
    pub with: Vec<Stand>,
    /// The `with` line; the heading where there is none.
    pub with_span: Span,
    /// Tools beyond a meter.
    pub tools: Vec<String>,
    /// What is shown and done, in order of lines.
    pub steps: Vec<Step>,
    /// Why this test.
    pub why: Vec<String>,
    /// What is asked or measured.
    pub question: Question,
    /// The outcome lines, in order.
    pub branches: Vec<Branch>,
    /// How an answer picks a branch.
    pub scale: Scale,
    /// The limits as written; `None` where answers are words.
    pub bounds: Option<Bounds>,
    /// What a good unit reads, where a sheet says it: over every corner, in the states of the test.
    pub good_reads: Option<Normal>,
    /// How that comes about, in words.
    pub reckoned: Option<Reckoned>,
    /// Limits that go with a reading of the supply. What the branches take is then as on the nameplate.
    pub moving: Option<Arc<Moving>>,
    /// Why the sheet does not say what a good unit reads.
    pub no_normal: Option<NoNormal>,
    /// What no outcome line takes, and what two lines claim.
    pub coverage: Coverage,
    /// "Can't get in there": where to, and the line. `None`: the shop's hand-over.
    pub cannot: Option<(Target, Span)>,
    /// How long it takes, in seconds.
    pub takes: Option<f64>,
}

impl Test {
    /// The measures, in order of lines.
    #[must_use]
    pub fn measures(&self) -> &[Measure] {
        match &self.question {
            Question::Ask { measures, .. } | Question::Sum { measures, .. } => measures,
            Question::Measure(measure) => std::slice::from_ref(measure),
        }
    }

    /// The same, to be added to.
    pub(super) fn measures_mut(&mut self) -> &mut [Measure] {
        match &mut self.question {
            Question::Ask { measures, .. } | Question::Sum { measures, .. } => measures,
            Question::Measure(measure) => std::slice::from_mut(measure),
        }
    }

    /// The branch a good reading falls on, if there is one.
    #[must_use]
    pub fn good(&self) -> Option<&Branch> {
        self.branches.iter().find(|branch| branch.kind == OutcomeKind::Good)
    }
}

/// One line of what is shown and done.
#[derive(Debug, Clone, PartialEq)]
pub enum Step {
    /// A signal word and its text.
    Signal(Signal, String, Span),
    /// One thing to do.
    Do(String, Span),
    /// A timer.
    Wait {
        /// How long, in seconds.
        seconds: f64,
        /// As the author wrote the time: "25 minutes".
        time: String,
        /// What to watch for.
        until: Option<String>,
        /// The line.
        span: Span,
    },
    /// A picture, with its words.
    Picture {
        /// The file, relative to the playbook's folder.
        file: String,
        /// What it shows.
        shows: String,
        /// The line.
        span: Span,
    },
    /// The measure of this index is taken here.
    Measure(u16, Span),
    /// The question is asked here.
    Ask(Span),
}

impl Step {
    /// The line it stands on.
    #[must_use]
    pub fn span(&self) -> Span {
        match self {
            Self::Signal(_, _, span) | Self::Do(_, span) | Self::Measure(_, span) | Self::Ask(span) => *span,
            Self::Wait { span, .. } | Self::Picture { span, .. } => *span,
        }
    }
}

/// What a test asks or measures.
#[derive(Debug, Clone)]
pub enum Question {
    /// A question with worded answers; measures are only written down.
    Ask {
        /// The question.
        text: String,
        /// The worded reading of the sheet it is tied to.
        answers: Option<String>,
        /// Written down, not judged.
        measures: Vec<Measure>,
    },
    /// One measure, judged.
    Measure(Measure),
    /// Several measures and one sum, which is judged.
    Sum {
        /// Taken in this order.
        measures: Vec<Measure>,
        /// The sum, in base units.
        sum: Sum,
        /// The sum as the author wrote it.
        words: String,
        /// The unit the result is judged and told in.
        unit: Unit,
        /// Whether the result is a difference of temperatures.
        difference: bool,
        /// The `calculate` line.
        span: Span,
    },
}

/// One measure.
#[derive(Debug, Clone)]
pub struct Measure {
    /// The unit it is read in, with AC or DC where it takes one.
    pub unit: Unit,
    /// Where the probes go.
    pub probes: Probes,
    /// The same as written: "from L1 to L2".
    pub at: String,
    /// How it is watched: which reading counts, for how many seconds, the time as written.
    pub over: Option<(OverKind, f64, String)>,
    /// With the low-impedance meter.
    pub loaded: bool,
    /// Of a fuse by itself: it is pulled. Any other part read by itself has one wire taken off.
    pub pulled: bool,
    /// Where the reading is kept.
    pub slot: SlotId,
    /// The line.
    pub span: Span,
}

/// A sum over readings, resolved. Values are in base units.
#[derive(Debug, Clone)]
pub enum Sum {
    /// A number, in base units.
    Number(f64),
    /// A reading.
    Slot(SlotId),
    /// A word argument of a function: a refrigerant, a kind of sensor.
    Word(String),
    /// A function of the trade.
    Call(&'static crate::trade::functions::Function, Vec<Sum>),
    /// `+ − × ÷`
    Pair(crate::language::syntax::Op, Box<Sum>, Box<Sum>),
    /// A minus in front.
    Minus(Box<Sum>),
}

/// Where an outcome leads.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Target {
    /// Another test.
    Test(TestId),
    /// A repair, adjust or escalation.
    End(EndId),
    /// The first test of another playbook.
    Playbook(String),
    /// A name that is nowhere: the compiler has told it, and no walk gets here.
    Nowhere,
}

/// One outcome line.
#[derive(Debug, Clone)]
pub struct Branch {
    /// `good`, `if` or `all`.
    pub kind: OutcomeKind,
    /// The limit or answer as the pages print it: "below 3 A", "lifts off the burner".
    pub words: String,
    /// What it takes.
    pub takes: Takes,
    /// Where it leads.
    pub to: Target,
    /// The line.
    pub span: Span,
}

/// What an outcome line takes.
#[derive(Debug, Clone, PartialEq)]
pub enum Takes {
    /// An answer.
    Answer,
    /// Numbers, after the lines before it had theirs; and whether it takes `OL`. Empty and false: a dead line.
    Numbers {
        /// The stretches, lowest first.
        stretches: Vec<Stretch>,
        /// Whether `OL` falls here.
        over_limit: bool,
    },
    /// A side of `normal`, judged by the technician until a sheet gives numbers.
    Judged(Side),
}

impl Takes {
    /// Whether it takes a reading by its number.
    #[must_use]
    pub fn has(&self, reading: Reading) -> bool {
        match (self, reading) {
            (Self::Numbers { stretches, .. }, Reading::Value(value)) => stretches.iter().any(|s| s.has(value)),
            (Self::Numbers { over_limit, .. }, Reading::OverLimit) => *over_limit,
            _ => false,
        }
    }
}

/// A stretch of numbers, in the unit of the test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Lower end; −∞ where open.
    pub low: Edge,
    /// Upper end; +∞ where open.
    pub high: Edge,
}

/// One end of a stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// The number.
    pub at: f64,
    /// Whether the number itself belongs to the stretch.
    pub within: bool,
}

impl Stretch {
    /// Whether the number lies in it.
    #[must_use]
    pub fn has(&self, value: f64) -> bool {
        let above = value > self.low.at || (self.low.within && value >= self.low.at);
        let below = value < self.high.at || (self.high.within && value <= self.high.at);
        above && below
    }
}

/// What the outcome lines of a test leave open or claim twice.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Coverage {
    /// Numbers no line takes.
    pub gaps: Vec<Stretch>,
    /// `OL` can be shown, and no line takes it.
    pub over_limit_gap: bool,
    /// Sides of `normal` no line takes.
    pub sides: Vec<Side>,
    /// Two lines, by their index among the branches, and what both claim.
    pub overlaps: Vec<(usize, usize, Stretch)>,
}

/// How an answer picks a branch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    /// By its words.
    Answers,
    /// By its number, in this unit.
    Numbers(Unit),
    /// The technician judges by the rating plate and the drawing; the reading is in this unit.
    Judged(Unit),
}

/// A repair, adjust or escalation.
#[derive(Debug, Clone)]
pub struct End {
    /// Which of the three.
    pub kind: BlockKind,
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: String,
    /// The heading line.
    pub span: Span,
    /// The faults it is right for.
    pub cures: Vec<Cures>,
    /// For the member an `if` line picked.
    pub members: Members,
    /// The states it names.
    pub with: Vec<Stand>,
    /// The `with` line; the heading where there is none.
    pub with_span: Span,
    /// The parts to bring.
    pub parts: Vec<String>,
    /// Tools beyond a meter.
    pub tools: Vec<String>,
    /// What is shown and done, in order of lines.
    pub steps: Vec<Step>,
    /// The tests that prove it.
    pub verify: Vec<TestId>,
    /// How it is left; in a repair, how to park when the part is not on the truck.
    pub leave: Option<Leave>,
    /// Who to call.
    pub to: Option<String>,
    /// Why it is handed on.
    pub because: Vec<String>,
    /// How long it takes, in seconds.
    pub takes: Option<f64>,
}

/// `leave STATE VALUE, …[, because TEXT]`
#[derive(Debug, Clone)]
pub struct Leave {
    /// States not named go home.
    pub stands: Vec<Stand>,
    /// The reason.
    pub because: Option<String>,
    /// The line.
    pub span: Span,
}

/// What a repair, adjust or escalation is right for, by the names of the sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cures {
    /// All faults of a part, or one.
    Part {
        /// The part, `zone-3.relay` for a member's, `that zone.relay` for the member picked.
        part: String,
        /// The fault.
        fault: Option<String>,
    },
    /// `anything else`: another complaint.
    AnythingElse,
}
