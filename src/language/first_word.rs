//! The first words: where each belongs, whether it may be repeated, and a right line to show.

use super::syntax::{BlockKind, OutcomeKind, Signal};

/// A first word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Key {
    Playbook,
    Test,
    Repair,
    Adjust,
    Escalate,
    Unit,
    Symptom,
    Revised,
    Finish,
    Was,
    Accept,
    For,
    With,
    Tools,
    Danger,
    Warning,
    Caution,
    Notice,
    Do,
    Wait,
    Picture,
    Why,
    Ask,
    Answers,
    Measure,
    Calculate,
    Good,
    If,
    All,
    Cannot,
    Takes,
    Part,
    Verify,
    Leave,
    To,
    Because,
}

/// One row of the table.
#[derive(Debug)]
pub(super) struct FirstWord {
    /// Which.
    pub key: Key,
    /// The word.
    pub word: &'static str,
    /// The blocks it belongs in; empty for headings.
    pub places: &'static [BlockKind],
    /// Whether it may stand more than once in a block.
    pub many: bool,
    /// A whole right line.
    pub like: &'static str,
}

const HEAD: &[BlockKind] = &[BlockKind::Head];
const TEST: &[BlockKind] = &[BlockKind::Test];
const REPAIRS: &[BlockKind] = &[BlockKind::Repair, BlockKind::Adjust];
const WORK: &[BlockKind] = &[BlockKind::Test, BlockKind::Repair, BlockKind::Adjust];
const BLOCKS: &[BlockKind] = &[BlockKind::Test, BlockKind::Repair, BlockKind::Adjust, BlockKind::Escalate];
const ESCALATION: &[BlockKind] = &[BlockKind::Escalate];
const ENDS: &[BlockKind] = &[BlockKind::Repair, BlockKind::Adjust, BlockKind::Escalate];
const ANY: &[BlockKind] =
    &[BlockKind::Head, BlockKind::Test, BlockKind::Repair, BlockKind::Adjust, BlockKind::Escalate];

const fn once(key: Key, word: &'static str, places: &'static [BlockKind], like: &'static str) -> FirstWord {
    FirstWord { key, word, places, many: false, like }
}

const fn many(key: Key, word: &'static str, places: &'static [BlockKind], like: &'static str) -> FirstWord {
    FirstWord { key, word, places, many: true, like }
}

/// The table, in the order of the language's own.
pub(super) static FIRST_WORDS: &[FirstWord] = &[
    once(Key::Playbook, "playbook", &[], "playbook rinse-cold: Final rinse is cold"),
    many(Key::Test, "test", &[], "test line-volts: Volts at the disconnect"),
    many(Key::Repair, "repair", &[], "repair replace-relay: Replace the heater relay"),
    many(Key::Adjust, "adjust", &[], "adjust reset-limit: Reset the high limit"),
    many(Key::Escalate, "escalate", &[], "escalate bad-supply: The supply is wrong"),
    once(Key::Unit, "unit", HEAD, "unit booster-208, booster-240"),
    many(Key::Symptom, "symptom", HEAD, "symptom Rinse water never gets hot"),
    once(Key::Revised, "revised", HEAD, "revised 2026-10-05"),
    once(Key::Finish, "finish", HEAD, "finish run-to-set-point, goes-off"),
    many(Key::Was, "was", HEAD, "was rinse-trouble"),
    many(Key::Accept, "accept", ANY, "accept long-sentence: The nameplate words are quoted whole."),
    once(Key::For, "for", BLOCKS, "for heater-relay coil open"),
    once(Key::With, "with", WORK, "with power live, covers off"),
    many(Key::Tools, "tools", WORK, "tools clamp meter, insulated gloves"),
    many(Key::Danger, "danger", WORK, "danger Live parts behind this panel: keep hands out."),
    many(Key::Warning, "warning", WORK, "warning Scalding water: keep your face away from the vent."),
    many(Key::Caution, "caution", WORK, "caution Sharp edges: wear gloves."),
    many(Key::Notice, "notice", WORK, "notice Never run the pump dry."),
    many(Key::Do, "do", BLOCKS, "do Open the front panel."),
    many(Key::Wait, "wait", WORK, "wait 10 minutes or until the light goes out"),
    many(Key::Picture, "picture", WORK, "picture rod.png: The rod in the flame, seen from the left"),
    many(Key::Why, "why", TEST, "why No volts here clears everything downstream."),
    once(Key::Ask, "ask", TEST, "ask Is the rinse light on?"),
    once(Key::Answers, "answers", TEST, "answers rinse-light"),
    many(Key::Measure, "measure", TEST, "measure V AC from L1 to L2, call it supply"),
    once(Key::Calculate, "calculate", TEST, "calculate lowest(i1, i2, i3)"),
    once(Key::Good, "good", TEST, "good 200 V to 216 V go to fuses"),
    many(Key::If, "if", TEST, "if below 200 V go to bad-supply"),
    many(Key::All, "all", TEST, "all below 1 A go to line-volts"),
    once(Key::Cannot, "cannot", TEST, "cannot go to coil-lamp"),
    once(Key::Takes, "takes", WORK, "takes 4 minutes"),
    many(Key::Part, "part", REPAIRS, "part Heater relay, 24 V coil"),
    once(Key::Verify, "verify", REPAIRS, "verify line-current, flow"),
    once(Key::Leave, "leave", ENDS, "leave power live, because the freezer is full"),
    once(Key::To, "to", ESCALATION, "to electrician"),
    many(Key::Because, "because", ESCALATION, "because The supply is low. The machine is not at fault."),
];

/// The row of a word.
pub(super) fn find(word: &str) -> Option<&'static FirstWord> {
    let first = word.bytes().next()?;
    FIRST_WORDS.iter().find(|row| row.word.as_bytes().first() == Some(&first) && row.word == word)
}

impl Key {
    /// The block a heading opens.
    pub fn heads(self) -> Option<BlockKind> {
        match self {
            Self::Playbook => Some(BlockKind::Head),
            Self::Test => Some(BlockKind::Test),
            Self::Repair => Some(BlockKind::Repair),
            Self::Adjust => Some(BlockKind::Adjust),
            Self::Escalate => Some(BlockKind::Escalate),
            _ => None,
        }
    }

    /// Whether the line is a sentence, which a pasted second line may go on with.
    pub fn is_prose(self) -> bool {
        matches!(
            self,
            Self::Symptom
                | Self::Danger
                | Self::Warning
                | Self::Caution
                | Self::Notice
                | Self::Do
                | Self::Wait
                | Self::Picture
                | Self::Why
                | Self::Ask
                | Self::Part
                | Self::Leave
                | Self::To
                | Self::Because
                | Self::Accept
        )
    }

    /// Whether the line is a whole sentence, so that two of them make one.
    pub fn is_sentence(self) -> bool {
        matches!(
            self,
            Self::Symptom
                | Self::Danger
                | Self::Warning
                | Self::Caution
                | Self::Notice
                | Self::Do
                | Self::Wait
                | Self::Why
                | Self::Ask
                | Self::Because
        )
    }

    /// Whether the line is a list, so that two of them can be put in one.
    pub fn is_list(self) -> bool {
        matches!(self, Self::Unit | Self::Finish | Self::For | Self::With | Self::Verify)
    }

    /// The outcome word.
    pub fn outcome(self) -> Option<OutcomeKind> {
        match self {
            Self::Good => Some(OutcomeKind::Good),
            Self::If => Some(OutcomeKind::If),
            Self::All => Some(OutcomeKind::All),
            _ => None,
        }
    }

    /// The signal word.
    pub fn signal(self) -> Option<Signal> {
        match self {
            Self::Danger => Some(Signal::Danger),
            Self::Warning => Some(Signal::Warning),
            Self::Caution => Some(Signal::Caution),
            Self::Notice => Some(Signal::Notice),
            _ => None,
        }
    }
}
