//! One question an `ask`.

use super::prose::{Finding, Line, Mark, Prose};
use super::words::{capital, is_order};
use crate::text::rule::{Level, Rule};

/// Two questions, and the answer to one of them. Common practice in asking, no source; the needless doubt is ours to take away.
pub static TWO: Rule = Rule {
    code: "two-questions",
    level: Level::Warning,
    says: "One `ask` is one question.",
    why: "With two questions in one, \"no\" does not say to which of them. The next step may hang on that.",
    wrong: "ask   Is the cock open and the hose seated?\ngood  yes  go to flame\nif    no   go to seat-hose",
    mended: "ask   What about the hose?\ngood  cock open, hose seated  go to flame\nif    cock shut               go to open-cock\nif    hose not seated         go to seat-hose",
};

/// An `ask` that is an order.
pub static NOT_ONE: Rule = Rule {
    code: "not-a-question",
    level: Level::Warning,
    says: "An `ask` is a question and ends with a question mark.",
    why: "The order goes unasked and the answers hang in the air: first a `do`, then the question.",
    wrong: "ask  Look into the ports.",
    mended: "do   Look into the ports.\nask  What do you see?",
};

pub(super) fn check(prose: &Prose<'_>, found: &mut Vec<Finding>) {
    let Line::Ask { yes_no } = prose.line else { return };
    let Some(last) = prose.len().checked_sub(1) else { return };
    if prose.mark(last) != Mark::Question {
        let text = prose.text.trim_end_matches(['.', ':', ' ']);
        let (message, instead) = if is_order(prose, 0) || prose.word(0) == "see" {
            (format!("`{text}` is work, not a question."), format!("do  {text}.\nask  What do you see?"))
        } else {
            (format!("`{text}` is no question yet."), format!("ask  {text}?"))
        };
        found.push(Finding { rule: &NOT_ONE, at: prose.bytes(0..prose.len()), message, instead: Some(instead) });
    }
    let questions: Vec<_> = prose.sentences().filter(|words| prose.mark(words.end - 1) == Mark::Question).collect();
    if let [first, second, ..] = questions.as_slice() {
        let (first, second) = (prose.slice(first.clone()), prose.slice(second.clone()));
        tell(prose, format!("Two questions on one line: `{first}?` and `{second}?`"), found);
        return;
    }
    for at in 1..prose.len() {
        let word = prose.word(at);
        let joins = word == "and" || (yes_no && prose.mark(at - 1) == Mark::Comma);
        if !joins {
            continue;
        }
        let next = if word == "and" { at + 1 } else { at };
        let asks_again = is_asking(prose.word(next));
        if asks_again || (yes_no && !is_pair(prose, at)) {
            let first = prose.slice(0..at);
            let second = prose.slice(next..prose.len());
            let message = if asks_again {
                format!("Two questions on one line: `{first}?` and `{}?`", capital(second))
            } else {
                format!("`no` to `{}?` does not say which: `{first}` or `{second}`.", prose.slice(0..prose.len()))
            };
            tell(prose, message, found);
            return;
        }
    }
}

fn tell(prose: &Prose<'_>, message: String, found: &mut Vec<Finding>) {
    let advice = "Ask one, and let the answers say it in words, or make a second test.";
    let dot = if message.ends_with('`') && !message.ends_with("?`") { ". " } else { " " };
    found.push(Finding {
        rule: &TWO,
        at: prose.bytes(0..prose.len()),
        message: format!("{message}{dot}{advice}"),
        instead: None,
    });
}

/// Words a question starts with.
fn is_asking(word: &str) -> bool {
    matches!(
        word,
        "is" | "are"
            | "was"
            | "were"
            | "does"
            | "do"
            | "did"
            | "has"
            | "have"
            | "can"
            | "will"
            | "what"
            | "where"
            | "which"
            | "who"
            | "how"
            | "why"
            | "when"
    )
}

/// Two words that are one thing: "up and down", "off and on again", "3 and 5", "salt and pepper".
fn is_pair(prose: &Prose<'_>, and: usize) -> bool {
    let (before, after) = (prose.word(and - 1), prose.word(and + 1));
    if prose.word(and) != "and" {
        // A comma in front of an aside: "by itself, without help".
        return matches!(
            prose.word(and),
            "or" | "without"
                | "with"
                | "when"
                | "while"
                | "if"
                | "once"
                | "after"
                | "before"
                | "but"
                | "at"
                | "as"
                | "for"
                | "in"
                | "on"
        );
    }
    (prose.is_number(and - 1) && (prose.is_number(and + 1)))
        || matches!(
            (before, after),
            ("up", "down")
                | ("down", "up")
                | ("in", "out")
                | ("on", "off")
                | ("off", "on")
                | ("out", "in")
                | ("back", "forth")
                | ("open", "close" | "shut")
                | ("again", "again")
                | ("more", "more")
                | ("start", "stop")
                | ("hot", "cold")
                | ("left", "right")
                | ("cord", "plug")
                | ("nuts", "bolts")
                | ("over", "over")
                | ("louder", "louder")
                | ("hotter", "hotter")
                | ("slower", "slower")
                | ("lock", "tag")
                | ("by", "by")
                | ("salt", "pepper")
        )
        || (0..and).any(|at| prose.word(at) == "between")
}

#[cfg(test)]
mod tests {
    use super::super::prose::tests::{instead, table};
    use super::*;

    #[test]
    fn one_question_a_line() {
        table(
            check,
            Line::Ask { yes_no: true },
            "two-questions",
            &[
                "Is the cock open and the hose seated?",
                "Does it spark and does it light?",
                "Is the fan running? Is it loud?",
                "Disconnect pushed fully home, hose not kinked, cock full open?",
                "Did it reach 350 °F, shut off by itself and light again by itself?",
                "Is the flame blue and steady?",
                "Did the red and the green light come on?",
                "Is the door shut and latched?",
                "Are the filters clean and in place?",
                "Is the lamp lit and what does it show?",
                "Does the drum turn and is the belt tight?",
                "Is the vent clear and the damper open?",
                "Do the pump and the fan run?",
                "Is the pan empty and dry?",
                "Is the tank full, the heater on?",
            ],
            &[
                "Did it stay lit?",
                "Is every burner out within two seconds?",
                "Did the heat light go out by itself at the set point?",
                "Does the arm move up and down?",
                "Does it switch off and on?",
                "Is the gap between the rod and the burner 3 mm?",
                "Does it get louder and louder?",
                "Is the igniter white or gray?",
                "Does it light, without a second try?",
                "Does the plunger move in and out?",
                "Is the flame on the rod?",
                "Does the motor turn by hand?",
                "Is there water in the pan?",
                "Does the reading swing between 3 and 5 A?",
                "Is the pilot lit?",
                "Does the light go out when the door shuts?",
            ],
        );
        // With answers in words, "and" is no trouble; a second question still is.
        let worded = |text: &str| {
            let mut found = Vec::new();
            let mut desk = super::super::prose::Desk::default();
            check(&desk.read(Line::Ask { yes_no: false }, text), &mut found);
            found.into_iter().map(|f| f.message).collect::<Vec<_>>()
        };
        assert!(worded("Did it reach 350 °F, shut off by itself and light again by itself?").is_empty());
        assert!(worded("Which of the fan and the pump runs?").is_empty());
        assert_eq!(
            worded("What does the display show and where is the probe?"),
            [
                "Two questions on one line: `What does the display show?` and `Where is the probe?` Ask one, and let the answers say it in words, or make a second test."
            ]
        );
    }

    #[test]
    fn a_question_asks() {
        table(
            check,
            Line::Ask { yes_no: false },
            "not-a-question",
            &[
                "Look into the ports and through the orifice.",
                "Read the display.",
                "Flame color",
                "State of the gasket.",
                "See whether the fan turns.",
                "The color of the igniter:",
                "Watch the flame for one try",
                "Press the key and listen",
                "What it shows",
                "Level in the sight glass",
                "Check the belt.",
                "Feel the pipe.",
                "Which light is on",
                "Frost on the coil.",
                "Count the flashes.",
            ],
            &[
                "What do you see?",
                "Does it light?",
                "Which light is on?",
                "How many of the four fans blow?",
                "The igniter: white or gray?",
                "What color is the flame?",
                "Where does the probe sit?",
                "Disconnect pushed home?",
                "What runs?",
                "Is it out?",
                "How does the strip come out?",
                "Lit?",
                "Which went first?",
                "What does \"E4\" stand beside?",
                "How full is the sight glass?",
                "Who set the timer?",
            ],
        );
        assert_eq!(
            instead(check, Line::Ask { yes_no: false }, "Look into the ports."),
            "do  Look into the ports.\nask  What do you see?"
        );
        assert_eq!(instead(check, Line::Ask { yes_no: false }, "Which light is on"), "ask  Which light is on?");
    }
}
