//! What is done over and over, and what is waited for, has an end.

use super::prose::{Finding, Line, Prose};
use super::words::capital;
use crate::text::rule::{Level, Rule};
use std::ops::Range;

/// "Repeat until it lights." Source: DOE-STD-1029-92.
pub static TRIES: Rule = Rule {
    code: "no-limit-of-tries",
    level: Level::Warning,
    says: "What is repeated says how many times at most.",
    why: "Without a limit a new hire tries until something floods, trips or burns out (DOE-STD-1029-92).",
    wrong: "do  Repeat until the burner lights.",
    mended: "do  Repeat until the burner lights, three times at most.",
};

/// "Wait until it is cool." Source: DOE-STD-1029-92.
pub static WAIT: Rule = Rule {
    code: "no-end-of-waiting",
    level: Level::Warning,
    says: "Waiting has a `wait` line: how long at most, and what to watch for.",
    why: "Somebody who waits for a thing that never comes has to know when to stop (DOE-STD-1029-92); a `wait` line runs the clock.",
    wrong: "do  Wait until the fan stops.",
    mended: "wait  5 minutes or until the fan stops",
};

pub(super) fn check(prose: &Prose<'_>, found: &mut Vec<Finding>) {
    if !matches!(prose.line, Line::Do { .. }) {
        return;
    }
    for sentence in prose.sentences() {
        if let Some(words) = sentence.clone().find_map(|at| repeats(prose, at))
            && !has_limit(prose, sentence.clone())
        {
            let told = prose.slice(words.clone());
            let text = prose.text.trim_end_matches('.');
            let message = format!("`{told}` does not say how many times at most.");
            found.push(Finding {
                rule: &TRIES,
                at: prose.bytes(words),
                message,
                instead: Some(prose.line.with(&format!("{text}, three times at most."))),
            });
        } else if let Some(until) = waits(prose, &sentence) {
            let what = prose.slice(until..sentence.end);
            let words = prose.slice(sentence.clone());
            let has_time = sentence.clone().any(|at| is_time(prose, at));
            if sentence.len() > 1 && !has_time {
                let message = format!("`{words}` does not say how long at most.");
                let order = if prose.word(sentence.start) == "wait" {
                    String::new()
                } else {
                    format!("{}\n", prose.line.with(&format!("{}.", capital(prose.slice(sentence.start..until - 1)))))
                };
                let instead = Some(format!("{order}wait  … minutes or until {what}"));
                found.push(Finding { rule: &WAIT, at: prose.bytes(sentence), message, instead });
            }
        } else if prose.word(sentence.start) == "wait"
            && let Some(at) = sentence.clone().find(|&at| is_time(prose, at))
        {
            let time = prose.slice(at..at + 2);
            let message = format!("`{}` is a `wait` line: it runs the clock.", prose.slice(sentence.clone()));
            found.push(Finding {
                rule: &WAIT,
                at: prose.bytes(sentence),
                message,
                instead: Some(format!("wait  {time}")),
            });
        }
    }
}

/// Words that start something over and over.
fn repeats(prose: &Prose<'_>, at: usize) -> Option<Range<usize>> {
    match prose.word(at) {
        // "Repeat for L2", "repeat on each side" end by themselves.
        "repeat"
            if !matches!(
                prose.word(at + 1),
                "for" | "on" | "at" | "with" | "from" | "in" | "once" | "twice" | "each"
            ) =>
        {
            let counted = (at + 1..at + 4).any(|next| matches!(prose.word(next), "for" | "on" | "with" | "at"));
            (!counted || prose.word(at + 1) == "until").then_some(at..at + 1)
        }
        "keep"
            if matches!(
                prose.word(at + 1),
                "trying" | "pressing" | "pushing" | "cranking" | "resetting" | "repeating" | "cycling"
            ) =>
        {
            Some(at..at + 2)
        }
        "over" if prose.is(at, &["over", "and", "over"]) => Some(at..at + 3),
        "again" if prose.is(at, &["again", "and", "again"]) => Some(at..at + 3),
        "as" if prose.is(at, &["as", "often", "as"]) || prose.is(at, &["as", "many", "times"]) => Some(at..at + 3),
        _ => None,
    }
}

fn has_limit(prose: &Prose<'_>, mut sentence: Range<usize>) -> bool {
    sentence.any(|at| {
        matches!(prose.word(at), "once" | "twice" | "most")
            || prose.is(at, &["no", "more", "than"])
            || prose.is(at, &["not", "more", "than"])
            || prose.is(at, &["up", "to"])
            || (matches!(prose.word(at + 1), "times" | "tries" | "more" | "turns") && prose.word(at) != "many")
            || is_time(prose, at)
    })
}

/// Where the word behind "until" of a sentence that only waits stands: "wait until …", "let it run until …".
fn waits(prose: &Prose<'_>, sentence: &Range<usize>) -> Option<usize> {
    let first = prose.word(sentence.start);
    let until = sentence.clone().find(|&at| prose.word(at) == "until")?;
    let waiting = first == "wait"
        || (first == "let"
            && matches!(
                prose.word(until - 1),
                "run" | "cool" | "drain" | "stand" | "sit" | "drip" | "warm" | "heat" | "soak" | "dry"
            ))
        || (matches!(first, "run" | "leave" | "watch")
            && until - sentence.start <= 4
            && prose.word(sentence.start + 1) != "water");
    (waiting && until + 1 < sentence.end).then_some(until + 1)
}

/// "5 minutes".
fn is_time(prose: &Prose<'_>, at: usize) -> bool {
    (prose.is_number(at) || matches!(prose.word(at), "one" | "two" | "three" | "five" | "ten" | "a" | "an"))
        && matches!(
            prose.word(at + 1),
            "s" | "sec"
                | "secs"
                | "second"
                | "seconds"
                | "min"
                | "mins"
                | "minute"
                | "minutes"
                | "h"
                | "hour"
                | "hours"
        )
}

#[cfg(test)]
mod tests {
    use super::super::prose::tests::{instead, table};
    use super::*;

    const DO: Line<'_> = Line::Do { in_test: true };

    #[test]
    fn tries_have_a_limit() {
        table(
            check,
            DO,
            "no-limit-of-tries",
            &[
                "Repeat until the burner lights.",
                "Repeat.",
                "Keep trying until it starts.",
                "Keep pressing the reset until it holds.",
                "Press the reset over and over.",
                "Repeat as many times as it takes.",
                "Bleed the line as often as it takes.",
                "Press it again and again.",
                "If it fails, repeat the try.",
                "Purge the line. Repeat until no air comes.",
                "Repeat these steps until it is dry.",
                "Keep cycling the switch.",
                "Keep resetting the limit until it holds.",
                "Repeat this until the pilot stays lit.",
                "Fill it, drain it, and repeat.",
            ],
            &[
                "Repeat until the burner lights, three times at most.",
                "Repeat for L2 and L3.",
                "Repeat on each side.",
                "Repeat once.",
                "Repeat the measure with the other lead.",
                "Keep trying for 2 minutes.",
                "Press the reset once.",
                "Turn the screw until the manometer shows 4.0 inWC.",
                "Keep the door shut.",
                "Keep pressing the valve for 30 s.",
                "Repeat twice.",
                "Press it no more than two times, over and over is too many times.",
                "Repeat it three times.",
                "Press the button again.",
                "Pump the handle up to ten times over and over.",
                "Keep pushing until it clicks, 3 times at most.",
            ],
        );
        assert_eq!(
            instead(check, DO, "Repeat until the burner lights."),
            "do  Repeat until the burner lights, three times at most."
        );
    }

    #[test]
    fn waiting_has_an_end() {
        table(
            check,
            DO,
            "no-end-of-waiting",
            &[
                "Wait until the fan stops.",
                "Wait until it is cool.",
                "Let it run until the light goes out.",
                "Let the deck cool until it is safe to touch.",
                "Run it until the light goes out.",
                "Wait 5 minutes.",
                "Leave it until the frost is gone.",
                "Watch it until the flame dies.",
                "Let the tank drain until it is empty.",
                "Wait 30 s for the purge.",
                "Close the door. Wait until the latch clicks.",
                "Let it stand until the bubbles are gone.",
                "Run the fan until the coil is dry.",
                "Let the parts soak until the scale is loose.",
                "Wait until the second try is over.",
            ],
            &[
                "Turn the screw until the manometer says 4.0 inWC.",
                "Warm the new gasket until it lies flat.",
                "Let it run 10 minutes or until the light goes out.",
                "Press the new coil down until it clicks on the stem.",
                "Run it 5 minutes.",
                "Set the closer until the door shuts by itself.",
                "Let it cool.",
                "Push until it clicks.",
                "Watch the flame for one try.",
                "Run water through the line until it is clear of scale.",
                "Leave the cover on the bench.",
                "Move the strike in until the door latches.",
                "Let go of the door.",
                "Pull until the boot is off.",
                "Watch the display.",
                "Keep the door shut.",
            ],
        );
        assert_eq!(instead(check, DO, "Wait until the fan stops."), "wait  … minutes or until the fan stops");
        assert_eq!(
            instead(check, DO, "Let it run until the light goes out."),
            "do  Let it run.\nwait  … minutes or until the light goes out"
        );
        assert_eq!(instead(check, DO, "Wait 5 minutes."), "wait  5 minutes");
    }
}
