//! What a message leaves for the author to fill in, in capitals, and the rule that it is filled in.
//!
//! No word of these reads as part of a playbook, so a line that was copied from a message as it stood is told.

use crate::text::rule::{Level, Rule};

/// A suggestion copied as it stood.
pub static NOT_FILLED_IN: Rule = Rule {
    code: "not-filled-in",
    level: Level::Error,
    says: "The words in capitals that a message leaves open are filled in.",
    why: "Only the author knows what goes there. Left in, it would stand on the card of whoever is in front of the machine.",
    wrong: "ask Is the light on?\ngood yes go to NAME-OF-NEXT-STEP",
    mended: "ask Is the light on?\ngood yes go to fuses",
};

/// Behind `go to`.
pub const NEXT_STEP: &str = "NAME-OF-NEXT-STEP";
/// The answer of a `good` line.
pub const GOOD_ANSWER: &str = "THE-GOOD-ANSWER";
/// The answer of an `if` line.
pub const OTHER_ANSWER: &str = "THE-OTHER-ANSWER";
/// The limit of a line.
pub const LIMIT: &str = "THE-LIMIT";
/// A title.
pub const TITLE: &str = "WHAT-THE-CARD-IS-HEADED";
/// What hurts.
pub const HAZARD: &str = "WHAT-CAN-HURT";
/// How not to get hurt.
pub const KEEP_CLEAR: &str = "HOW-TO-KEEP-CLEAR";
/// Behind `part`.
pub const PART: &str = "THE-PART-TO-BRING";
/// Behind `because`.
pub const REASON: &str = "THE-REASON";
/// Behind `because` of an escalation.
pub const FOUND: &str = "WHAT-WAS-FOUND";
/// Behind the file of a `picture`.
pub const SHOWS: &str = "WHAT-IT-SHOWS";
/// Behind `revised`.
pub const DATE: &str = "YEAR-MONTH-DAY";
/// Behind a state.
pub const VALUE: &str = "ITS-VALUE";
/// Behind `call it`.
pub const READING: &str = "NAME-OF-READING";
/// Behind `in` of a `calculate`.
pub const UNIT: &str = "UNIT-OF-THE-ANSWER";
/// Behind `wait`.
pub const TIME: &str = "HOW-LONG";
/// Behind `for each` and `for that`.
pub const BANK: &str = "NAME-OF-BANK";

/// Each with what to write in its place.
static OPEN: [(&str, &str); 17] = [
    (NEXT_STEP, "the name of the test, repair, adjust or escalation that comes next"),
    (GOOD_ANSWER, "the answer a good unit gives"),
    (OTHER_ANSWER, "the other answer"),
    (LIMIT, "what the meter shows there, such as `187 to 229 V AC`"),
    (TITLE, "a few words for the head of the card"),
    (HAZARD, "what can hurt here, and what it does"),
    (KEEP_CLEAR, "how to keep clear of it"),
    (PART, "the part to bring, as one asks for it at the counter"),
    (REASON, "the reason"),
    (FOUND, "what was found, for whoever is called"),
    (SHOWS, "what the picture shows"),
    (DATE, "the day it was last looked over, such as `2026-10-05`"),
    (VALUE, "how the state should stand"),
    (READING, "a name for the reading, such as `supply`"),
    (UNIT, "the unit of the answer, such as `ohm`"),
    (TIME, "the longest anybody should wait here, such as `5 minutes`"),
    (BANK, "the name of the bank, as the unit's sheet has it under `banks`"),
];

/// The first such word of a line: where it starts, the word, and what to write in its place.
pub(super) fn find(line: &str) -> Option<(usize, &'static str, &'static str)> {
    let bytes = line.as_bytes();
    let capital = |at: Option<usize>| at.and_then(|at| bytes.get(at)).is_some_and(u8::is_ascii_uppercase);
    if !line.match_indices('-').any(|(at, _)| capital(at.checked_sub(1)) && capital(Some(at + 1))) {
        return None;
    }
    let of_a_word = |at: Option<usize>| {
        at.and_then(|at| bytes.get(at)).is_some_and(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_'))
    };
    OPEN.iter()
        .filter_map(|(word, what)| {
            let (at, _) = line
                .match_indices(word)
                .find(|(at, _)| !of_a_word(at.checked_sub(1)) && !of_a_word(Some(at + word.len())))?;
            Some((at, *word, *what))
        })
        .min()
}
