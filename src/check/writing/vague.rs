//! No word that two people would take in two ways.

use super::prose::{Finding, Line, Prose};
use crate::text::rule::{Level, Rule};

/// "Adequate", "approximately", "securely". Source: public procedure-writing guides. The limit word `normal` is worked out and stays.
pub static RULE: Rule = Rule {
    code: "vague-words",
    level: Level::Warning,
    says: "A step says how much, how it looks when it is done, and when.",
    why: "A new hire cannot tell what is adequate, secure or about right; the lead who wrote it could.",
    wrong: "do  Push the plug in securely.\ndo  Fill it with approximately 2 gal.",
    mended: "do  Push the plug in until it clicks.\ndo  Fill it with 2 gal.",
};

/// What to write instead, by what the word leaves open.
const AMOUNT: &str = "Give the number and its unit, from one to another if it may vary";
const LOOK: &str = "Say how it looks, sounds or reads when it is right: `until it clicks`, `flush with the frame`, `to the torque on the part`";
const WHEN: &str = "Say when: `If the pan is wet, …`";
const LIST: &str = "Name them all";

pub(super) fn check(prose: &Prose<'_>, found: &mut Vec<Finding>) {
    for at in 0..prose.len() {
        if let Some((words, hint)) = vague(prose, at) {
            let message = format!("`{}` leaves it open. {hint}.", prose.slice(at..at + words));
            found.push(Finding { rule: &RULE, at: prose.bytes(at..at + words), message, instead: None });
        }
    }
}

/// How many words from here on are vague, and what to write instead.
fn vague(prose: &Prose<'_>, at: usize) -> Option<(usize, &'static str)> {
    let is = |phrase: &[&str]| prose.is(at, phrase);
    Some(match prose.word(at) {
        "adequate" | "adequately" | "sufficient" | "sufficiently" | "insufficient" | "insufficiently"
        | "reasonable" | "reasonably" | "minimal" | "excessive" | "excessively" => (1, AMOUNT),
        "approximately" | "approx" | "roughly" | "approximate" => (1, AMOUNT),
        "about" | "around" if prose.is_number(at + 1) || is_number_word(prose, at + 1) => (1, AMOUNT),
        "some" if some_amount(prose, at) => (1, AMOUNT),
        "a" if matches!(prose.word(at + 1), "little" | "bit" | "few" | "while" | "moment" | "lot")
            && !before_turns(prose, at) =>
        {
            (2, AMOUNT)
        }
        "a" if is(&["a", "short", "time"]) || is(&["a", "long", "time"]) => (3, AMOUNT),
        "several" | "various" => (1, AMOUNT),
        "slightly" | "briefly" | "periodically" | "regularly" | "occasionally" => (1, AMOUNT),
        "or" if is(&["or", "so"]) => (2, AMOUNT),
        "more" if is(&["more", "or", "less"]) => (3, AMOUNT),
        "securely" | "properly" | "correctly" | "appropriately" | "suitably" | "satisfactorily" | "acceptably"
        | "thoroughly" => (1, LOOK),
        "proper" | "appropriate" | "suitable" | "satisfactory" | "acceptable" => (1, LOOK),
        "as" if matches!(prose.word(at + 1), "needed" | "required" | "necessary" | "applicable" | "appropriate") => {
            (2, WHEN)
        }
        "if" if matches!(
            prose.word(at + 1),
            "needed" | "required" | "necessary" | "applicable" | "appropriate" | "possible"
        ) =>
        {
            (2, WHEN)
        }
        "when" | "where"
            if matches!(
                prose.word(at + 1),
                "needed" | "required" | "necessary" | "applicable" | "appropriate" | "possible"
            ) =>
        {
            (2, WHEN)
        }
        "as" if is(&["as", "soon", "as", "possible"])
            || is(&["as", "much", "as", "possible"])
            || is(&["as", "far", "as", "possible"]) =>
        {
            (4, WHEN)
        }
        "etc" => (1, LIST),
        "and" if is(&["and", "so", "on"]) || is(&["and", "the", "like"]) => (3, LIST),
        _ => return None,
    })
}

fn is_number_word(prose: &Prose<'_>, at: usize) -> bool {
    matches!(
        prose.word(at),
        "two"
            | "three"
            | "four"
            | "five"
            | "six"
            | "seven"
            | "eight"
            | "nine"
            | "ten"
            | "twelve"
            | "fifteen"
            | "twenty"
            | "thirty"
            | "half"
    ) || prose.is(at, &["one", "minute"])
        || prose.is(at, &["one", "inch"])
        || prose.is(at, &["a", "minute"])
        || prose.is(at, &["an", "inch"])
        || prose.is(at, &["an", "hour"])
        || prose.is(at, &["a", "dozen"])
}

/// "some oil", "some time"; not "some of them", "at some point".
fn some_amount(prose: &Prose<'_>, at: usize) -> bool {
    matches!(prose.line, Line::Do { .. } | Line::Wait { .. })
        && matches!(
            prose.word(at + 1),
            "oil"
                | "water"
                | "grease"
                | "time"
                | "distance"
                | "refrigerant"
                | "gas"
                | "air"
                | "minutes"
                | "seconds"
                | "turns"
                | "sealant"
                | "pressure"
                | "force"
                | "heat"
                | "steam"
                | "more"
                | "slack"
                | "solution"
                | "soap"
        )
}

/// "A few turns" is vague; "a bit" of a drill is a tool: "a bit of 1/4 inch".
fn before_turns(prose: &Prose<'_>, at: usize) -> bool {
    prose.word(at + 1) == "bit" && (prose.word(at + 2) == "of" || prose.is_number(at + 2))
}

#[cfg(test)]
mod tests {
    use super::super::prose::tests::table;
    use super::*;

    #[test]
    fn words_two_people_take_in_two_ways() {
        table(
            check,
            Line::Do { in_test: true },
            "vague-words",
            &[
                "Push the plug in securely.",
                "Fill it with approximately 2 gal.",
                "Make sure there is adequate air.",
                "Turn the screw about 3 turns.",
                "Wait about half an hour.",
                "Let some oil out.",
                "Turn it a little.",
                "Clean the ports as needed.",
                "If necessary, add water.",
                "Seat the gasket properly.",
                "Wait a few minutes.",
                "Read the fuses, switches, etc.",
                "Tape the ends, the lugs and so on.",
                "Put sufficient grease on the shaft.",
                "Use a suitable tool.",
                "Run it for 10 minutes or so.",
                "Rinse the coil thoroughly.",
                "Pull the lead around two inches out.",
                "Set it to the appropriate number.",
                "Turn the nut slightly.",
            ],
            &[
                "Push the plug in until it clicks.",
                "Fill it with 2 gal.",
                "Write the words about the noise on the tag.",
                "Turn the screw 3 turns.",
                "Wrap the tape around the joint.",
                "Pull some of the wires at a time.",
                "Look for a gap between several-pole blocks.",
                "Clean the ports when they are gray.",
                "If the pan is low, add 1 L of water.",
                "Tighten each terminal to the torque on the part.",
                "Wait until the light goes out.",
                "Note the volts in the normal run.",
                "Use a bit of 1/4 inch.",
                "Turn the fan around.",
                "Set the gap to 3 mm.",
                "Melt the ice with water at 100 °F or less.",
                "Look around the gasket for gray streaks.",
                "Route the bulb in the return air, clear of the coil.",
            ],
        );
    }

    #[test]
    fn the_hint_fits_the_word() {
        let told = |text: &str| {
            let mut found = Vec::new();
            let mut desk = super::super::prose::Desk::default();
            check(&desk.read(Line::Because, text), &mut found);
            found.into_iter().map(|f| f.message).collect::<Vec<_>>()
        };
        assert_eq!(told("Add oil as needed."), ["`as needed` leaves it open. Say when: `If the pan is wet, …`."]);
        assert_eq!(
            told("Adequate air, etc."),
            [
                "`Adequate` leaves it open. Give the number and its unit, from one to another if it may vary.",
                "`etc` leaves it open. Name them all."
            ]
        );
        assert!(told("The box cools some.").is_empty());
    }
}
