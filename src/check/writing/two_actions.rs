//! One action a `do`.

use super::endless;
use super::prose::{Desk, Finding, Line, Mark, Prose};
use super::words::{capital, is_order, is_verb, opens_condition, small};
use crate::text::english::{list, ticked};
use crate::text::rule::{Level, Rule};
use std::ops::Range;

/// Two orders on one line. Sources: MIL-STD-2106A; ASD-STE100, rule 5.2.
pub static RULE: Rule = Rule {
    code: "two-actions",
    level: Level::Warning,
    says: "One `do` is one action.",
    why: "The second action on a line is the one that is forgotten (MIL-STD-2106A; ASD-STE100, rule 5.2). Two things done at the same time, as in \"press and hold\", are one.",
    wrong: "do  Pull the plug apart, look at the seal and then push it home.",
    mended: "do  Pull the plug apart.\ndo  Look at the seal.\ndo  Push it home.",
};

pub(super) fn check(prose: &Prose<'_>, found: &mut Vec<Finding>) {
    if !matches!(prose.line, Line::Do { .. }) {
        return;
    }
    let mut actions: Vec<Action> = Vec::new();
    let mut rest = false;
    for (nth, sentence) in prose.sentences().enumerate() {
        let main = main_of(prose, &sentence);
        let mut from = past_link(prose, main);
        if nth > 0 && !is_order(prose, from) {
            // It adds to the action before: "Never a drill.", "The oil is hot."
            rest = true;
            continue;
        }
        let condition = sentence.start..main;
        let first = actions.len();
        for at in main + 1..sentence.end {
            if at > from
                && let Some(order) = second_order(prose, main, at)
            {
                actions.push(Action { words: from..at, condition: condition.clone(), object: 0..0 });
                from = order;
            }
        }
        actions.push(Action { words: from..sentence.end, condition, object: 0..0 });
        if let [one, two, ..] = actions.get_mut(first..).unwrap_or_default()
            && one.words.len() == 1
        {
            one.object = two.words.start + 1..two.words.end;
        }
    }
    if let [first, .., last] = actions.as_slice() {
        let at = prose.bytes(first.words.start..last.words.end);
        let sentences: Vec<String> = actions.iter().map(|action| action.sentence(prose)).collect();
        // A line that still holds two would be told again: then the author knows better where to cut.
        let cut = !rest && !is_unfinished(prose) && !sentences.iter().any(|sentence| is_told(prose.line, sentence));
        let lines = || sentences.iter().map(|sentence| prose.line.with(sentence)).collect::<Vec<_>>().join("\n");
        let instead = cut.then(lines);
        found.push(Finding { rule: &RULE, at, message: message(prose, &actions), instead });
    }
}

/// One action, in words of the line.
struct Action {
    /// The order itself.
    words: Range<usize>,
    /// The condition in front of it; empty where there is none.
    condition: Range<usize>,
    /// Its object, where that stands behind another order: "*rinse* and dry *the coil*". Else empty.
    object: Range<usize>,
}

impl Action {
    /// The action in a sentence of its own.
    fn sentence(&self, prose: &Prose<'_>) -> String {
        let mut order = prose.slice(self.words.clone()).to_owned();
        if !self.object.is_empty() {
            order = format!("{order} {}", prose.slice(self.object.clone()));
        }
        if self.condition.is_empty() {
            format!("{}.", capital(&order))
        } else {
            format!("{}, {}.", capital(prose.slice(self.condition.clone())), small(&order))
        }
    }
}

/// Whether a sentence would be told again: it still holds two actions, or a wait.
fn is_told(line: Line<'_>, sentence: &str) -> bool {
    let mut found = Vec::new();
    let mut desk = Desk::default();
    let prose = desk.read(line, sentence);
    check(&prose, &mut found);
    endless::check(&prose, &mut found);
    !found.is_empty()
}

/// Whether the line stops in the middle of its sentence, which goes on below.
fn is_unfinished(prose: &Prose<'_>) -> bool {
    let last = prose.len().checked_sub(1).map_or("", |last| prose.word(last));
    matches!(last, "and" | "or" | "then" | "the" | "a" | "an" | "of" | "to" | "with" | "from" | "until" | "if")
}

fn message(prose: &Prose<'_>, actions: &[Action]) -> String {
    let told: Vec<String> = actions.iter().map(|action| small(prose.slice(action.words.clone()))).collect();
    let many = match actions.len() {
        2 => "two".to_owned(),
        3 => "three".to_owned(),
        n => n.to_string(),
    };
    format!("One `do` holds {many} actions: {}.", list(&ticked(&told), "and"))
}

/// The first word of the order of a sentence: behind the comma of "If it is hot, …".
fn main_of(prose: &Prose<'_>, sentence: &Range<usize>) -> usize {
    if !opens_condition(prose.word(sentence.start)) {
        return sentence.start;
    }
    let comma = sentence.clone().find(|&at| prose.mark(at) == Mark::Comma);
    comma.map_or(sentence.end, |comma| comma + 1)
}

/// Past "and", "then", "next".
fn past_link(prose: &Prose<'_>, mut at: usize) -> usize {
    while matches!(prose.word(at), "and" | "then" | "next" | "now" | "afterward" | "afterwards" | "finally") {
        at += 1;
    }
    at
}

/// The first word of a second order that starts behind word `at - 1`, if one does.
fn second_order(prose: &Prose<'_>, main: usize, at: usize) -> Option<usize> {
    let order = past_link(prose, at);
    let linked = order > at;
    let marked = prose.mark(at - 1) != Mark::None;
    if !linked && !marked {
        return None;
    }
    // "Turn it off, then on" has one verb; "until it lights and goes out" none that is an order.
    let plainly = linked && (order > at + 1 || prose.word(at) == "then");
    let is_second = if plainly { is_verb(prose.word(order)) } else { is_order(prose, order) };
    if !is_second || under_another(prose, main, at) || is_one_action(prose, main, order) {
        return None;
    }
    Some(order)
}

/// Words between the order and here that make what follows part of it: "to catch and hold it", "where you can see and reach it".
fn under_another(prose: &Prose<'_>, main: usize, at: usize) -> bool {
    if matches!(prose.word(main), "let" | "help" | "do" | "never" | "make" | "keep") && prose.word(at) != "then" {
        return true;
    }
    let clause = (main..at).rev().take_while(|&word| word + 1 == at || prose.mark(word) == Mark::None);
    let mut behind = clause.peekable();
    behind.any(|word| {
        matches!(
            prose.word(word),
            "can"
                | "will"
                | "may"
                | "must"
                | "should"
                | "could"
                | "would"
                | "you"
                | "they"
                | "we"
                | "who"
                | "does"
                | "did"
        ) || (prose.word(word) == "to" && is_infinitive(prose, word + 1))
    })
}

/// Whether a verb follows "to", and no place or number.
fn is_infinitive(prose: &Prose<'_>, at: usize) -> bool {
    let place = matches!(
        prose.word(at),
        "the" | "a" | "an" | "each" | "every" | "its" | "your" | "one" | "full" | "zero" | "off" | "on"
    );
    !place && !prose.is_number(at) && prose.word(at) == prose.raw(at)
}

/// Pairs that are done at the same time, or that the trade takes for one.
fn is_one_action(prose: &Prose<'_>, main: usize, order: usize) -> bool {
    let pair = (prose.word(main), prose.word(order));
    let near = order <= main + 2 || prose.word(order) == "hold";
    near && matches!(
        pair,
        (
            "press" | "push" | "pull" | "turn" | "squeeze" | "lift" | "grip",
            "hold" | "turn" | "twist" | "release" | "lift"
        ) | ("open", "close")
            | ("close", "open")
            | ("start", "stop")
            | ("stop", "start" | "look" | "listen")
            | ("raise", "lower")
            | ("look" | "watch" | "wait" | "stand", "listen" | "look" | "watch" | "feel")
            | ("listen", "look" | "watch" | "feel")
            | ("lock", "tag")
    )
}

#[cfg(test)]
mod tests {
    use super::super::prose::tests::{instead, table};
    use super::*;

    const DO: Line<'_> = Line::Do { in_test: true };

    #[test]
    fn one_action_a_line() {
        table(
            check,
            DO,
            "two-actions",
            &[
                "Pull it apart, look at the seal, push it until it clicks.",
                "Take the cover off and then pull the plug.",
                "Close the cock; then tag it.",
                "Brush the ports. Clear the orifice with a wood pick, never a drill.",
                "Rinse and dry the coil.",
                "Remove the four screws and lift the panel off.",
                "If the pan is wet, wipe it and turn the fan off.",
                "Unplug the fan and measure its winding.",
                "Set the thermostat to 200 °F, then wait for the light.",
                "Drain the vat, wipe the rod, and replace the plug.",
                "Press the reset. Watch the flame.",
                "Loosen the strike and move it in.",
                "With the burner lit, turn the screw in and read the manometer.",
                "Tape each lead off. Then tag it with its number.",
                "Open the bypass and look at the gauge.",
                "Disconnect and cap the leads.",
                "Cap off. Turn the screw out and put the cap on.",
                "Shut the water off then disconnect the hose.",
            ],
            &[
                "Press and hold the reset.",
                "Press the igniter and hold it for 5 s.",
                "Clamp L1, L2 and L3 in turn while the rinse runs.",
                "Hold the stud with a second wrench as you tighten the nut.",
                "Clip the probe in its holder, tip in the air stream.",
                "Hang the thermometer in the middle of the box, out of the fan stream.",
                "Turn the knob until it stops and clicks.",
                "Turn the switch off and on.",
                "Use a rag to catch and wipe the oil.",
                "Hold the lamp where you can see and reach the rod.",
                "Put the cover and plug back in the box.",
                "Bend the bracket, never the rod.",
                "Set the new timer to the time of day.",
                "Open and close the door.",
                "Shut the strip in the door at each place in the picture.",
                "If the cabinet is empty, use a covered cup of water that stood in it for 1 hour.",
                "Look and listen at the burner for one try.",
                "Run it until the burner lights and then goes out.",
                "Take the hose and clamp off the inlet.",
                "Press the button when the light blinks and the fan stops.",
                "Brush the dirt off the face of the coil. The fins are sharp.",
                "Copy the set point, the offset and the time from the tag.",
                "Stop and listen at the valve.",
                "Let the deck cool and dry.",
                "Turn the dial clockwise to the time of day.",
                "Wipe the rod, the holder and the clip with a dry rag.",
            ],
        );
    }

    #[test]
    fn the_lines_are_written_out() {
        let cases = [
            (
                "Pull it apart, look at the seal, push it until it clicks.",
                "do  Pull it apart.\ndo  Look at the seal.\ndo  Push it until it clicks.",
            ),
            ("Take the cover off and then pull the plug.", "do  Take the cover off.\ndo  Pull the plug."),
            ("Rinse and dry the coil.", "do  Rinse the coil.\ndo  Dry the coil."),
            (
                "If the pan is wet, wipe it and turn the fan off.",
                "do  If the pan is wet, wipe it.\ndo  If the pan is wet, turn the fan off.",
            ),
            (
                "Tape each lead off. Then tag it with its number.",
                "do  Tape each lead off.\ndo  Tag it with its number.",
            ),
            // What is added to an action is left for the author to place.
            ("Brush the coil and rinse it. Never a wire brush.", ""),
        ];
        for (text, want) in cases {
            assert_eq!(instead(check, DO, text), want, "{text}");
        }
    }
}
