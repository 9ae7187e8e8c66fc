//! At most twenty words a sentence.

use super::prose::{Finding, Line, Mark, Prose};
use super::words::{capital, is_order, small};
use crate::text::rule::{Level, Rule};
use std::ops::Range;

/// A sentence of more than twenty words. Source: ASD-STE100, rule 5.1, for instructions; that the other lines are held to the
/// same number, and that a number and its unit count as one word, is ours.
pub static RULE: Rule = Rule {
    code: "long-sentence",
    level: Level::Warning,
    says: "A sentence has at most twenty words; a number and its unit count as one.",
    why: "A long sentence is read twice, or half. Twenty words is the limit of ASD-STE100, rule 5.1, for instructions.",
    wrong: "do  Hang the thermometer in the middle of the box, out of the fan stream, clear of the door, because the air by the walls is colder.",
    mended: "do   Hang the thermometer in the middle of the box, out of the fan stream, clear of the door.\nwhy  The air by the walls is colder.",
};

const MOST_WORDS: usize = 20;

pub(super) fn check(prose: &Prose<'_>, found: &mut Vec<Finding>) {
    if prose.len() <= MOST_WORDS {
        return;
    }
    for sentence in prose.sentences().filter(|sentence| sentence.len() > MOST_WORDS) {
        let words = count(prose, sentence.clone());
        if words <= MOST_WORDS {
            continue;
        }
        let (instead, hint) = split(prose, sentence.clone());
        let message =
            format!("The sentence `{}` has {words} words; {MOST_WORDS} is the most.{hint}", ends_of(prose, &sentence));
        found.push(Finding { rule: &RULE, at: prose.bytes(sentence), message, instead });
    }
}

/// Words, a number and its unit as one.
fn count(prose: &Prose<'_>, sentence: Range<usize>) -> usize {
    let mut words = 0;
    let mut at = sentence.start;
    while at < sentence.end {
        at += 1 + if prose.is_number(at) { prose.unit_words(at + 1) } else { 0 };
        words += 1;
    }
    words
}

/// "Hang the thermometer … walls is colder".
fn ends_of(prose: &Prose<'_>, sentence: &Range<usize>) -> String {
    let (head, tail) = (sentence.start..sentence.start + 4, sentence.end - 3..sentence.end);
    format!("{} … {}", prose.slice(head), prose.slice(tail))
}

/// The sentence in two, where it says itself where; else a hint where it could be broken.
fn split(prose: &Prose<'_>, sentence: Range<usize>) -> (Option<String>, String) {
    let whole = prose.sentences().count() == 1;
    let middle = sentence.start.midpoint(sentence.end);
    // A reason has a line of its own.
    let reason =
        (sentence.start + 3..sentence.end - 3).find(|&at| prose.word(at) == "because" || prose.is(at, &["so", "that"]));
    if let (Line::Do { in_test: true }, Some(at), true) = (prose.line, reason, whole) {
        let behind = at + if prose.word(at) == "because" { 1 } else { 2 };
        let order = prose.slice(sentence.start..at);
        let why = capital(prose.slice(behind..sentence.end));
        return (Some(format!("{}\nwhy  {why}.", prose.line.with(&format!("{order}.")))), String::new());
    }
    let breaks = |at: &usize| {
        prose.mark(*at) != Mark::None || matches!(prose.word(at + 1), "and" | "but" | "so" | "which" | "then")
    };
    let candidates = sentence.start + 4..sentence.end.saturating_sub(4);
    let good = |at: usize| match prose.line {
        Line::Do { .. } => is_order(prose, past_link(prose, at + 1)),
        _ => stands_alone(prose, past_link(prose, at + 1)),
    };
    let Some(at) = candidates.filter(breaks).min_by_key(|at| (!good(*at), at.abs_diff(middle))) else {
        return (None, " Leave out what the technician need not know there.".to_owned());
    };
    let next = past_link(prose, at + 1);
    let parts = (prose.slice(sentence.start..at + 1), prose.slice(next..sentence.end));
    let lines = match prose.line {
        Line::Do { .. } if is_order(prose, next) => Some(format!(
            "{}\n{}",
            prose.line.with(&format!("{}.", parts.0)),
            prose.line.with(&format!("{}.", capital(parts.1)))
        )),
        Line::Because | Line::Signal(_) if prose.mark(at) != Mark::Colon && stands_alone(prose, next) => {
            Some(prose.line.with(&format!("{}. {}.", parts.0, capital(parts.1))))
        }
        _ => None,
    };
    if whole && lines.is_some() {
        return (lines, String::new());
    }
    (
        None,
        format!(
            " Break it behind `{}`, or leave out what the technician need not know there.",
            small(last_words(parts.0))
        ),
    )
}

/// Past "and", "but", "so", "then".
fn past_link(prose: &Prose<'_>, mut at: usize) -> usize {
    while matches!(prose.word(at), "and" | "but" | "so" | "then") {
        at += 1;
    }
    at
}

/// Whether what starts here can be a sentence: it has its own subject, or is an order.
fn stands_alone(prose: &Prose<'_>, at: usize) -> bool {
    is_order(prose, at)
        || matches!(prose.word(at), "it" | "the" | "this" | "that" | "they" | "a" | "an" | "do" | "never" | "keep")
}

fn last_words(text: &str) -> &str {
    let at = text.char_indices().rev().filter(|(_, c)| *c == ' ').nth(2).map_or(0, |(at, _)| at + 1);
    text.get(at..).unwrap_or(text)
}

#[cfg(test)]
mod tests {
    use super::super::prose::tests::{instead, table};
    use super::*;
    use crate::language::syntax::Signal;

    #[test]
    fn twenty_words_and_no_more() {
        table(
            check,
            Line::Do { in_test: true },
            "long-sentence",
            &[
                "Hang the thermometer in the middle of the box, out of the fan stream, clear of the door and well off the floor.",
                "Turn the adjusting screw on the regulator a quarter turn at a time until the manometer on the burner tap shows the manifold pressure of the plate.",
                "Take the four screws out of the left side panel and set them in the lid so that none of them can roll under the fryer.",
                "With the unit calling and the door shut, clamp each of the three leads to the compressor in turn and write all three of the readings down on the tag.",
                "Pull the probe out of the clip and hang it in the cup of crushed ice so the tip does not touch the side or the bottom.",
                "If the igniter glows but the burner does not light, look through the sight glass at the tip of the igniter for a crack or a white spot.",
                "Run the rinse for one whole rack while you watch the gauge on the final rinse line and keep the drain pan under the test cock.",
                "Slide the old gasket out of the retainer on the hinge side first and then work around the door toward the latch, pulling straight out at each corner.",
                "Push the reset button in the middle of the high limit with the handle of a wooden spoon until you hear and feel it click.",
                "Hold the leads of the meter on the two outer terminals of the contactor, and look at the reading while the helper turns the thermostat up.",
                "Open the ball valve behind the steamer a quarter turn and let the water run into the bucket for one minute until it is clear of rust and scale.",
                "Brush the loose scale off the electrode and the porcelain with a dry brush so that the spark has one clean gap to jump across in the chamber.",
                "Write down the number of flashes of the red lamp on the control board between two long pauses before you turn the unit off at its switch.",
                "Lift the front edge of the oven deck with the pry bar just far enough to slide the two wooden blocks under the left and the right corner.",
                "Read the pressure on the suction gauge and the temperature on the clamp thermometer at the same moment because both of them swing with the valve.",
            ],
            &[
                "Hang the thermometer in the middle of the box, out of the fan stream.",
                "Put 350 °F, 208 V AC and 4.0 in. w.c. on the tag, with 5 min, 20 psi, 60 Hz, 5 uF and 12 ohm below.",
                "Cap off. Turn the screw until the manometer says 4.0 in. w.c. Cap on.",
                "Turn the screw a quarter turn. Look at the manometer. Turn it again if it is low. Stop at 4.0 in. w.c. on the tap.",
                "If the cabinet is empty, use a covered cup of water that stood in it for 1 hour.",
                "Set the closer until the door shuts by itself from a hand's width.",
                "Hold the stud with a second wrench as you tighten the nut.",
                "Press the new coil down until it clicks on the stem.",
                "Copy the set point from the tag to the new control.",
                "Turn the knob of the defrost timer until it clicks out of defrost.",
                "Read the bubble column of the chart at that pressure.",
                "Clip the resistor across the old capacitor for 5 s.",
                "Press it.",
                "Clamp the lead at 10 A. Write it down. Clamp the next lead. Write it down. Clamp the third. Write it down too.",
                "Read wire No. 4 and wire No. 5 of the harness at the plug with the fan on.",
                "Look at one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen.",
            ],
        );
    }

    #[test]
    fn the_two_lines_are_written_out() {
        let test = Line::Do { in_test: true };
        let lines = instead(
            check,
            test,
            "Read the pressure on the suction gauge and the temperature on the clamp thermometer at the same moment because both of them swing with the valve.",
        );
        assert_eq!(
            lines,
            "do  Read the pressure on the suction gauge and the temperature on the clamp thermometer at the same moment.\nwhy  Both of them swing with the valve."
        );
        let lines = instead(
            check,
            test,
            "Open the ball valve behind the steamer a quarter turn all the way to the stop, and tell the helper to hold the bucket under the drain.",
        );
        assert_eq!(
            lines,
            "do  Open the ball valve behind the steamer a quarter turn all the way to the stop.\ndo  Tell the helper to hold the bucket under the drain."
        );
        let lines = instead(
            check,
            Line::Signal(Signal::Danger),
            "The bus bars behind this panel stay live when the main switch is off and will kill, so do not reach in with a tool or a hand.",
        );
        assert_eq!(
            lines,
            "danger  The bus bars behind this panel stay live when the main switch is off and will kill. Do not reach in with a tool or a hand."
        );
    }
}
