//! The syntax tree of a playbook: blocks of lines, in the order written, each with its place.
//!
//! Nothing is resolved here: a name is a word with a place, a limit is as written. A line that could not be read is not in the tree;
//! it is a problem, and the rest of the file is read on.

use crate::text::source::{Place, Source, Span};
use crate::trade::unit::Unit;
use std::sync::Arc;

/// A word or a run of text, with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Word {
    /// As written, outer blanks taken off.
    pub text: Box<str>,
    /// Where.
    pub span: Span,
}

impl Word {
    /// The text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.text
    }
}

/// A whole playbook as written.
#[derive(Debug, Clone)]
pub struct Playbook {
    /// The file.
    pub source: Arc<Source>,
    /// `playbook NAME: TITLE` and the lines up to the first block.
    pub head: Block,
    /// Tests, repairs, adjusts and escalations, in the order written.
    pub blocks: Vec<Block>,
}

impl Playbook {
    /// A span of this playbook as a place.
    #[must_use]
    pub fn place(&self, span: Span) -> Place {
        Place::new(&self.source, span)
    }
}

/// What a block is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BlockKind {
    /// The head of the file.
    Head,
    /// A test.
    Test,
    /// A part is changed.
    Repair,
    /// Something is set or reset.
    Adjust,
    /// Handed to somebody else.
    Escalate,
}

impl BlockKind {
    /// The word that heads such a block.
    #[must_use]
    pub fn keyword(self) -> &'static str {
        match self {
            Self::Head => "playbook",
            Self::Test => "test",
            Self::Repair => "repair",
            Self::Adjust => "adjust",
            Self::Escalate => "escalate",
        }
    }
}

/// A heading and its lines.
#[derive(Debug, Clone)]
pub struct Block {
    /// What it is.
    pub kind: BlockKind,
    /// Its name. Empty only where none was legible.
    pub name: Word,
    /// Its title. Empty only where the heading was broken.
    pub title: Word,
    /// The heading line.
    pub span: Span,
    /// Its lines in the order written.
    pub lines: Vec<Line>,
    /// The first words of its lines that could not be read, each a problem already. What is missing from a block may stand in one
    /// of them, so a check for something missing keeps quiet where its word is here.
    pub unread: Vec<Word>,
}

/// One line of a block.
#[derive(Debug, Clone)]
pub struct Line {
    /// The whole line, without outer blanks.
    pub span: Span,
    /// What it says.
    pub says: Says,
}

/// What a line says, by its first word.
#[derive(Debug, Clone, PartialEq)]
pub enum Says {
    /// `unit NAME, …`
    Units(Vec<Word>),
    /// `symptom WORDS`
    Symptom(Word),
    /// `revised DATE`, a true calendar date `YYYY-MM-DD`.
    Revised(Word),
    /// `finish TEST, …`
    Finish(Vec<Word>),
    /// `was OLD-NAME`
    Was(Word),
    /// `accept CODE: REASON`
    Accept {
        /// The code silenced here.
        code: Word,
        /// Why.
        reason: Word,
    },
    /// `for …`
    For(Vec<For>),
    /// `with STATE VALUE, …`
    With(Vec<Setting>),
    /// `tools WORDS, …`
    Tools(Vec<Word>),
    /// `danger`, `warning`, `caution`, `notice`
    Signal(Signal, Word),
    /// `do SENTENCE`
    Do(Word),
    /// `wait TIME [or until TEXT]`
    Wait {
        /// How long.
        time: Amount,
        /// What to watch for.
        until: Option<Word>,
    },
    /// `picture FILE: WHAT IT SHOWS`
    Picture {
        /// The file, relative to the playbook.
        file: Word,
        /// What it shows; empty where left out, which is an error of the checks.
        shows: Word,
    },
    /// `why WORDS`
    Why(Word),
    /// `ask QUESTION`
    Ask(Word),
    /// `answers READING`
    Answers(Word),
    /// `measure …`
    Measure(Measure),
    /// `calculate SUM [in UNIT]`
    Calculate {
        /// The sum.
        sum: Sum,
        /// The unit asked for.
        unit: Option<WrittenUnit>,
    },
    /// `good`, `if`, `all`: what was found, and where to go.
    Outcome {
        /// Which of the three.
        kind: OutcomeKind,
        /// A limit or an answer.
        when: When,
        /// Where to.
        to: Target,
    },
    /// `cannot go to X`
    Cannot(Target),
    /// `takes TIME`
    Takes(Amount),
    /// `part WORDS`
    Part(Word),
    /// `verify TEST, …`
    Verify(Vec<Word>),
    /// `leave STATE VALUE, …[, because TEXT]`
    Leave {
        /// The states and their values.
        settings: Vec<Setting>,
        /// The reason.
        because: Option<Word>,
    },
    /// `to WHO`
    To(Word),
    /// `because WORDS`
    Because(Word),
}

/// The signal words of ANSI Z535.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Signal {
    /// Will kill or cripple.
    Danger,
    /// Can kill or cripple.
    Warning,
    /// Can hurt.
    Caution,
    /// Breaks the machine.
    Notice,
}

impl Signal {
    /// The word itself, in lower case.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Danger => "danger",
            Self::Warning => "warning",
            Self::Caution => "caution",
            Self::Notice => "notice",
        }
    }
}

/// One entry of a `for` line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum For {
    /// `for each BANK`
    Each(Word),
    /// `for that BANK` or, in a repair, `for that BANK.PART [FAULT]`
    That {
        /// The bank.
        bank: Word,
        /// The part of the member.
        part: Option<Word>,
        /// The fault of the part.
        fault: Option<Word>,
    },
    /// `for PART`, `for PART FAULT`
    Part {
        /// The part; may be a member's, `zone-3.relay`.
        part: Word,
        /// The fault; may be several words ("not-home").
        fault: Option<Word>,
    },
    /// `for anything else`
    AnythingElse(Span),
}

/// `STATE VALUE`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Setting {
    /// The state.
    pub state: Word,
    /// Its value.
    pub value: Word,
}

/// A unit with its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WrittenUnit {
    /// The unit.
    pub unit: Unit,
    /// Where.
    pub span: Span,
}

/// A number with its unit, as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Amount {
    /// The number.
    pub value: f64,
    /// Its unit, where written.
    pub unit: Option<WrittenUnit>,
    /// Number and unit.
    pub span: Span,
}

/// `measure UNIT PLACE[, highest|lowest|average|change over TIME][, loaded][, call it NAME]`
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// The unit.
    pub unit: WrittenUnit,
    /// Where the probes or the clamp go.
    pub at: Probes,
    /// Where the probes go, as written: `from L1 to L2`.
    pub at_span: Span,
    /// How it is watched over time.
    pub over: Option<Over>,
    /// With the low-impedance meter.
    pub loaded: bool,
    /// The name of the reading.
    pub name: Option<Word>,
}

/// Where the probes or the clamp go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Probes {
    /// `across PART`
    Across(Word),
    /// `through PART` or `through POINT` (a supply terminal).
    Through(Word),
    /// `from POINT to POINT`
    Between(Word, Word),
    /// `of PART`: by itself, one wire off.
    Of(Word),
    /// `at READING`: outside the circuit.
    At(Word),
}

/// `highest over 10 s`
#[derive(Debug, Clone, PartialEq)]
pub struct Over {
    /// Which of the readings counts.
    pub kind: OverKind,
    /// For how long it is watched.
    pub time: Amount,
}

/// Which reading of a watched stretch of time counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum OverKind {
    /// The highest.
    Highest,
    /// The lowest.
    Lowest,
    /// The average.
    Average,
    /// Last less first.
    Change,
}

impl OverKind {
    /// The word itself.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Highest => "highest",
            Self::Lowest => "lowest",
            Self::Average => "average",
            Self::Change => "change",
        }
    }
}

/// A sum over readings.
#[derive(Debug, Clone, PartialEq)]
pub enum Sum {
    /// A number, with a unit or without.
    Number(Amount),
    /// The name of a reading (or a word argument of a function, as `R404A`).
    Name(Word),
    /// A call of a function.
    Call {
        /// The function.
        name: Word,
        /// What it is given.
        arguments: Vec<Sum>,
        /// The whole call.
        span: Span,
    },
    /// `+ − × ÷`
    Pair {
        /// Which.
        op: Op,
        /// Left of it.
        left: Box<Sum>,
        /// Right of it.
        right: Box<Sum>,
    },
    /// A minus in front.
    Minus(Box<Sum>, Span),
}

impl Sum {
    /// Where it stands.
    #[must_use]
    pub fn span(&self) -> Span {
        match self {
            Self::Number(amount) => amount.span,
            Self::Name(word) => word.span,
            Self::Call { span, .. } | Self::Minus(_, span) => *span,
            Self::Pair { left, right, .. } => left.span().to(right.span()),
        }
    }
}

/// The four operations.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Op {
    /// `+`
    Add,
    /// `-` with a blank on both sides
    Subtract,
    /// `*`, `×` or `x`
    Multiply,
    /// `/` or `÷`
    Divide,
}

/// Which outcome line it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum OutcomeKind {
    /// What a good unit reads.
    Good,
    /// Anything else.
    If,
    /// Every member of a bank.
    All,
}

impl OutcomeKind {
    /// The word itself.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::If => "if",
            Self::All => "all",
        }
    }
}

/// What an outcome line takes: an answer in a block with `ask`, else a limit.
#[derive(Debug, Clone, PartialEq)]
pub enum When {
    /// The words of an answer.
    Answer(Word),
    /// A limit.
    Limit(Limit),
}

impl When {
    /// Where it stands.
    #[must_use]
    pub fn span(&self) -> Span {
        match self {
            Self::Answer(word) => word.span,
            Self::Limit(limit) => limit.span,
        }
    }
}

/// A limit as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Which.
    pub kind: LimitKind,
    /// Where.
    pub span: Span,
}

/// The forms a limit takes.
#[derive(Debug, Clone, PartialEq)]
pub enum LimitKind {
    /// `below X`
    Below(Amount),
    /// `above X`
    Above(Amount),
    /// `A to B UNIT`; a unit may stand once, behind B.
    Between(Amount, Amount),
    /// `normal`, `below normal`, `above normal`, each also `… at NAME`
    Normal {
        /// Below it, in it, above it.
        side: Side,
        /// The reading it goes with.
        at: Option<Word>,
    },
    /// `OL`
    OverLimit,
}

/// Where against a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Below it.
    Below,
    /// In it.
    Within,
    /// Above it.
    Above,
}

/// `go to X`, `go to playbook X`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Target {
    /// The test, repair, adjust, escalation or playbook.
    pub name: Word,
    /// Whether it is a playbook.
    pub playbook: bool,
}
