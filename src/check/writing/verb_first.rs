//! A `do` starts with its verb, or with its condition.

use super::prose::{Finding, Line, Mark, Prose};
use super::words::{capital, is_verb, order_of};
use crate::text::rule::{Level, Rule};

/// A `do` that does not give an order, as far as its first words show. Sources: ASD-STE100, rules 5.3 and 5.4.
pub static RULE: Rule = Rule {
    code: "verb-first",
    level: Level::Warning,
    says: "A `do` starts with its verb, or with its condition: \"If …\", \"When …\", \"With …\".",
    why: "The first word tells what the hands do; a condition has to be read before they do it (ASD-STE100, rules 5.3 and 5.4).",
    wrong: "do  You should now close the gas cock.\ndo  The burner cover comes off.",
    mended: "do  Close the gas cock.\ndo  Take the burner cover off.",
};

/// Who does it instead of doing it. Sources: ASD-STE100, rule 3.6.
pub static PASSIVE: Rule = Rule {
    code: "passive-wording",
    level: Level::Warning,
    says: "A step says what to do, not what is to be done.",
    why: "\"Has to be removed\" leaves open who removes it and whether it happened already (ASD-STE100, rule 3.6).",
    wrong: "do  The probe must be pulled out of its clip.",
    mended: "do  Pull the probe out of its clip.",
};

pub(super) fn check(prose: &Prose<'_>, found: &mut Vec<Finding>) {
    match prose.line {
        Line::Do { .. } => {
            let before = found.len();
            passive(prose, found);
            if found.len() == before {
                first_word(prose, found);
            }
        }
        Line::Signal(_) => passive(prose, found),
        _ => {}
    }
}

fn first_word(prose: &Prose<'_>, found: &mut Vec<Finding>) {
    let last = prose.len().saturating_sub(1);
    let first = prose.word(0);
    let mut tell = |at: std::ops::Range<usize>, message: String, instead: Option<String>| {
        found.push(Finding { rule: &RULE, at: prose.bytes(at), message, instead });
    };
    if prose.mark(last) == Mark::Question && prose.len() > 0 {
        let message = format!("`{}?` is a question, and a `do` gives an order.", prose.slice(0..prose.len()));
        tell(0..prose.len(), message, Some(format!("ask  {}", prose.text)));
        return;
    }
    let lead = lead_in(prose);
    if lead > 0 {
        let rest = prose.text.get(prose.bytes(lead..prose.len()).start..).unwrap_or("");
        let verb = is_verb(prose.word(lead)) || prose.word(lead) == "keep";
        let message = format!("`{}` stands in front of the verb.", prose.slice(0..lead));
        tell(0..lead, message, verb.then(|| prose.line.with(&capital(rest))));
        return;
    }
    if matches!(
        first,
        "the"
            | "a"
            | "an"
            | "this"
            | "these"
            | "those"
            | "it"
            | "its"
            | "it's"
            | "they"
            | "there"
            | "he"
            | "she"
            | "we"
            | "i"
            | "you"
            | "technician"
            | "operator"
            | "somebody"
            | "someone"
            | "should"
            | "must"
            | "shall"
            | "is"
            | "are"
            | "was"
            | "were"
            | "your"
    ) {
        let words = prose.slice(0..prose.len().min(4));
        let message =
            format!("`{words} …` does not start with what to do. Start with the verb: `Open …`, `Turn …`, `Put …`.");
        tell(0..prose.len().min(4), message, None);
        return;
    }
    // "Removing the cover …": a form in -ing that is not a verb by itself.
    let order = first.strip_suffix("ing").and_then(of_ing);
    if let Some(order) = order
        && prose.mark(0) == Mark::None
    {
        let message = format!("`{}` does not give an order. Start with `{}`.", prose.raw(0), capital(order));
        let rest = prose.text.get(prose.bytes(0..1).end..).unwrap_or("");
        let plain = (0..prose.len()).all(|at| prose.mark(at) != Mark::Comma);
        tell(0..1, message, plain.then(|| prose.line.with(&format!("{}{rest}", capital(order)))));
    }
}

/// How many words stand in front of the verb that only fill: "Please", "Next,", "You should now", "Make sure to".
fn lead_in(prose: &Prose<'_>) -> usize {
    let mut at = 0;
    loop {
        let step = if matches!(
            prose.word(at),
            "please" | "next" | "then" | "now" | "first" | "finally" | "afterwards" | "also" | "secondly" | "lastly"
        ) {
            1
        } else if prose.is(at, &["go", "ahead", "and"])
            || prose.is(at, &["you", "need", "to"])
            || prose.is(at, &["you", "have", "to"])
            || prose.is(at, &["be", "sure", "to"])
            || prose.is(at, &["make", "sure", "to"])
            || prose.is(at, &["remember", "to", "then"])
        {
            3
        } else if (matches!(prose.word(at), "you" | "we")
            && matches!(prose.word(at + 1), "should" | "must" | "can" | "will" | "may" | "shall"))
            || prose.is(at, &["remember", "to"])
            || prose.is(at, &["try", "to"])
        {
            2
        } else {
            return if at < prose.len() { at } else { 0 };
        };
        at += step;
    }
}

/// The order of which this is the form in -ing, without the "ing".
fn of_ing(stem: &str) -> Option<&'static str> {
    Some(match stem {
        "remov" => "remove",
        "replac" => "replace",
        "check" => "check",
        "measur" => "measure",
        "us" => "use",
        "turn" => "turn",
        "open" => "open",
        "clos" => "close",
        "shutt" => "shut",
        "clean" => "clean",
        "hold" => "hold",
        "pull" => "pull",
        "push" => "push",
        "press" => "press",
        "tak" => "take",
        "putt" => "put",
        "sett" => "set",
        "test" => "test",
        "watch" => "watch",
        "look" => "look",
        "connect" => "connect",
        "disconnect" => "disconnect",
        "clamp" => "clamp",
        "plac" => "place",
        "tighten" => "tighten",
        "loosen" => "loosen",
        "start" => "start",
        "stopp" => "stop",
        "wait" => "wait",
        "install" => "install",
        _ => return None,
    })
}

fn passive(prose: &Prose<'_>, found: &mut Vec<Finding>) {
    for sentence in prose.sentences() {
        for at in sentence.clone() {
            // The words before "be": must, should, shall, has to, needs to, is to.
            let from = match prose.word(at) {
                "must" | "should" | "shall" if prose.word(at + 1) == "be" => at + 1,
                "has" | "have" | "need" | "needs" | "is" | "are" | "ought" if prose.is(at + 1, &["to", "be"]) => at + 2,
                _ => continue,
            };
            // "must then be removed" is let pass; "must be removed" is not.
            let participle = from + 1;
            let Some(order) = order_of(prose.word(participle)) else { continue };
            let words = prose.slice(at..participle + 1);
            let message = format!("`{words}` does not say who does it. Write `{}`.", capital(order));
            let simple = at > sentence.start
                && at - sentence.start <= 6
                && prose.sentences().count() == 1
                && (sentence.start..at)
                    .all(|word| prose.mark(word) == Mark::None && !super::words::opens_condition(prose.word(word)));
            let instead = (simple && matches!(prose.line, Line::Do { .. })).then(|| {
                let object = super::words::small(prose.slice(sentence.start..at));
                let rest = prose.text.get(prose.bytes(participle..participle + 1).end..).unwrap_or("");
                prose.line.with(&format!("{} {object}{rest}", capital(order)))
            });
            found.push(Finding { rule: &PASSIVE, at: prose.bytes(at..participle + 1), message, instead });
            break;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::prose::tests::{instead, table};
    use super::*;
    use crate::language::syntax::Signal;

    const DO: Line<'_> = Line::Do { in_test: true };

    static ORDERS: &[&str] = &[
        "Close the gas cock.",
        "If the pan is wet, wipe it dry.",
        "When the light goes out, read the display.",
        "With the fan running, hold the strip at the grille.",
        "On the control, press and hold the set key.",
        "At the terminal block, pull the two red wires.",
        "To clear the code, press the set key.",
        "Bring the deck to 300 °F.",
        "Swing the door shut by its own weight.",
        "String the leads clear of the blower.",
        "Soap test every joint you broke.",
        "Carefully lift the element out of its slot.",
        "Do not force the latch.",
        "Cap off.",
        "Spring the retainer out with a flat blade.",
        "Never run the pump dry.",
        "Before the next try, wait until the purge ends.",
        "Let the oil cool.",
        "Bleed the line until no air comes.",
        "Zero the manometer.",
        "Light the pilot.",
        "Only then open the cock.",
        "Have somebody watch the flame.",
        "Test the plunger by hand.",
        "Firmly seat the plug.",
    ];

    #[test]
    fn starts_with_the_verb() {
        table(
            check,
            DO,
            "verb-first",
            &[
                "You should now close the gas cock.",
                "The burner cover comes off.",
                "Please press the reset.",
                "Next, read the display.",
                "Then pull the plug.",
                "Now open the cock.",
                "Removing the cover needs two people.",
                "Using a flat blade, lift the retainer.",
                "It is time to read the gauge.",
                "This step checks the probe.",
                "There is a drain cock behind the panel.",
                "Technician opens the valve.",
                "Is the fan running?",
                "Make sure to cap the tap.",
                "Be sure to cap the tap.",
                "You need to drain the tank.",
                "A small screw holds the lid.",
                "Remember to cap the tap.",
            ],
            ORDERS,
        );
    }

    #[test]
    fn says_who_does_it() {
        table(
            check,
            DO,
            "passive-wording",
            &[
                "The cover must be removed.",
                "The probe must be pulled out of its clip.",
                "The vat has to be drained.",
                "The wires need to be taped.",
                "Each terminal should be tightened.",
                "The filter is to be washed.",
                "When the light goes out, the door must be opened.",
                "All leads are to be marked.",
                "The cock shall be closed.",
                "The strainer needs to be cleaned.",
                "The reading should be noted.",
                "The plug must be unplugged.",
                "If the gasket is torn, it must be replaced.",
                "The latch must be adjusted.",
                "The line should be purged.",
            ],
            &[
                ORDERS,
                &[
                    "If the gasket is torn, replace it.",
                    "Turn it until the cover can be removed.",
                    "The box must be dry.",
                ],
            ]
            .concat(),
        );
        let mut found = Vec::new();
        let mut desk = super::super::prose::Desk::default();
        check(&desk.read(Line::Signal(Signal::Warning), "Caustic burns: gloves must be worn."), &mut found);
        assert_eq!(
            found.first().map(|f| f.message.as_str()),
            Some("`must be worn` does not say who does it. Write `Wear`.")
        );
    }

    #[test]
    fn the_order_is_written_out() {
        let cases = [
            ("You should now close the gas cock.", "do  Close the gas cock."),
            ("Please press the reset.", "do  Press the reset."),
            ("Next, read the display.", "do  Read the display."),
            ("The probe must be pulled out of its clip.", "do  Pull the probe out of its clip."),
            ("Removing the cover.", "do  Remove the cover."),
            ("Is the fan running?", "ask  Is the fan running?"),
            ("The burner cover comes off.", ""),
        ];
        for (text, want) in cases {
            assert_eq!(instead(check, DO, text), want, "{text}");
        }
    }
}
