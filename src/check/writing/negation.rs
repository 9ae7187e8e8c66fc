//! Say what is.

use super::prose::{Finding, Mark, Prose};
use crate::text::rule::{Level, Rule};

/// Two negations in one breath. Source: public procedure-writing guides.
pub static TWO: Rule = Rule {
    code: "two-negations",
    level: Level::Warning,
    says: "One negation a thought is the most.",
    why: "Two have to be turned round in the head, and under pressure one gets lost.",
    wrong: "do  Do not open the cock unless the pilot is not lit.",
    mended: "do  Open the cock only if the pilot is out.",
};

/// "Is not closed" for "is open". Source: public procedure-writing guides.
pub static OPPOSITE: Rule = Rule {
    code: "say-what-is",
    level: Level::Warning,
    says: "Say what is, where there is a word for it: \"is open\", not \"is not closed\".",
    why: "\"Not\" is easily read over, and then the sentence says the opposite.",
    wrong: "wait  5 minutes or until the damper is not closed",
    mended: "wait  5 minutes or until the damper is open",
};

pub(super) fn check(prose: &Prose<'_>, found: &mut Vec<Finding>) {
    let mut before: Option<usize> = None;
    for at in 0..prose.len() {
        let word = prose.word(at);
        if at > 0 && ends_thought(prose, at, before) {
            before = None;
        }
        if !is_negation(word) {
            continue;
        }
        if let Some(words) = opposite(prose, at) {
            found.push(words);
        }
        match before {
            Some(first) => {
                let words = prose.slice(first..at + 1);
                let message = format!(
                    "Two negations in one thought: `{words}`. Say what has to be{}.",
                    if prose.word(first) == "without" || word == "without" {
                        ": `only with …`"
                    } else {
                        ": `only if …`, `only when …`"
                    }
                );
                found.push(Finding { rule: &TWO, at: prose.bytes(first..at + 1), message, instead: None });
                before = None;
            }
            None => before = Some(at),
        }
    }
}

fn is_negation(word: &str) -> bool {
    matches!(
        word,
        "not"
            | "no"
            | "never"
            | "none"
            | "nothing"
            | "nobody"
            | "nowhere"
            | "neither"
            | "cannot"
            | "without"
            | "unless"
    ) || word.ends_with("n't")
        || word.ends_with("n’t")
}

/// Whether a new thought starts at this word: behind a mark, or side by side with the one before ("no display and no fan").
fn ends_thought(prose: &Prose<'_>, at: usize, before: Option<usize>) -> bool {
    // "Do not light it if the fan is not running": the condition belongs to the order.
    let condition =
        matches!(prose.word(at), "if" | "unless" | "when" | "while" | "until" | "that" | "which" | "without");
    (prose.mark(at - 1) != Mark::None && !condition)
        || (matches!(prose.word(at), "and" | "or" | "but" | "nor" | "so" | "because") && before.is_some())
}

/// "is not closed": "is open".
fn opposite(prose: &Prose<'_>, at: usize) -> Option<Finding> {
    let contracted = prose.word(at) != "not";
    let be = if contracted { at } else { at.checked_sub(1)? };
    let (verb, how) = match prose.word(be) {
        "is" | "isn't" | "isn’t" => ("is", prose.word(at + 1)),
        "are" | "aren't" | "aren’t" => ("are", prose.word(at + 1)),
        "was" | "wasn't" | "wasn’t" => ("was", prose.word(at + 1)),
        _ => return None,
    };
    if contracted && !prose.word(be).contains("n") {
        return None;
    }
    let ends = prose.mark(at + 1) != Mark::None
        || matches!(prose.word(at + 2), "" | "and" | "or" | "when" | "while" | "before" | "at" | "in");
    let instead = match how {
        "open" if ends => "closed",
        "closed" | "shut" => "open",
        "on" if ends => "off",
        "off" if ends => "on",
        "locked" => "unlocked",
        "unlocked" => "locked",
        "plugged" if prose.word(at + 2) == "in" => "unplugged",
        "connected" => "disconnected",
        "disconnected" => "connected",
        "wet" | "damp" => "dry",
        "loose" if ends => "tight",
        "live" if ends => "dead",
        "lit" if ends => "out",
        "empty" => return None,
        _ => return None,
    };
    let end = if instead == "unplugged" { at + 3 } else { at + 2 };
    let words = prose.slice(be..end);
    let bytes = prose.bytes(be..end);
    let (head, tail) = (prose.text.get(..bytes.start).unwrap_or(""), prose.text.get(bytes.end..).unwrap_or(""));
    Some(Finding {
        rule: &OPPOSITE,
        at: bytes,
        message: format!("`{words}` takes a turn in the head. Write `{verb} {instead}`."),
        instead: Some(prose.line.with(&format!("{head}{verb} {instead}{tail}"))),
    })
}

#[cfg(test)]
mod tests {
    use super::super::prose::Line;
    use super::super::prose::tests::{instead, table};
    use super::*;

    const DO: Line<'_> = Line::Do { in_test: true };

    static PLAIN: &[&str] = &[
        "Do not force the latch.",
        "This playbook is for a cabinet with no display and no fan.",
        "60 minutes were not enough and no reading says why.",
        "Shut the cock, tag it, do not leave it running.",
        "A live coil burns out off its stem: do not power it before it is seated.",
        "Never light a vat by hand.",
        "Damp elements dry out on low heat, a grounded one does not.",
        "The receptacle is dead, low or high. The cabinet is not at fault.",
        "Use neither oil nor grease.",
        "No flame, no spark, no code: pull the module plug.",
        "Run it without the filter.",
        "Do not touch the clips during the try. Do not lean on the hood.",
        "If the light is not on the list, call.",
        "If it does not latch, move the strike.",
        "A part that is not on the truck is ordered.",
        "The fan does not turn, and nobody reset it.",
        "Wait until no air comes.",
        "If there is nothing on the tag, write the date.",
    ];

    #[test]
    fn one_negation_a_thought() {
        table(
            check,
            DO,
            "two-negations",
            &[
                "Do not open the cock unless the pilot is out.",
                "Never light a vat that is not filled to the line.",
                "Do not run the pump without water.",
                "Do not close it if the light is not out.",
                "Never reach in unless it is locked out.",
                "Nobody lights it without the fan.",
                "Don't start it without the guard.",
                "Do not leave when the flame is not steady.",
                "Never leave a hose that isn't capped.",
                "It cannot run without water.",
                "No unit runs without a drain.",
                "Do not power it until no drops fall.",
                "It never starts unless the door is shut.",
                "Do not go on, unless the fan runs.",
                "The fan won't start unless the door is shut.",
                "Do not use a probe that has no tag.",
            ],
            PLAIN,
        );
    }

    #[test]
    fn what_is_and_not_what_is_not() {
        table(
            check,
            DO,
            "say-what-is",
            &[
                "If the damper is not closed, push it.",
                "If the door is not open, open it.",
                "When the heat is not on, read it.",
                "If the fan isn't off, pull the plug.",
                "If the pads are not wet, wet them.",
                "If the lead is not connected, push it on.",
                "If the cover is not locked, stop.",
                "If the line is not live, go on.",
                "If the cock was not closed, call.",
                "If the unit is not plugged in, plug it in.",
                "If the pilot is not lit, stop.",
                "Look whether the nut is not loose.",
                "If the bin is not shut, shut it.",
                "If the plug is not disconnected, pull it.",
                "If the vents are not open, open them.",
                "If the pan isn't damp, go on.",
            ],
            PLAIN,
        );
        assert_eq!(instead(check, DO, "If the damper is not closed, push it."), "do  If the damper is open, push it.");
        assert_eq!(
            instead(check, Line::Wait { time: "5 minutes" }, "the damper isn't closed"),
            "wait  5 minutes or until the damper is open"
        );
    }
}
