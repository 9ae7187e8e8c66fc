//! The lock-out procedure and its legal order.
//!
//! Source: 29 CFR 1910.147(d) for the order (shut down, isolate, lock and tag, release stored energy, verify) and
//! 1910.333(b)(2)(iv) for the test with a meter. Proving the meter before *and* after is law above 600 V and common practice below.

use super::states::StateId;
use super::unit::model::Unit;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::yaml::reader::Reader;
use crate::text::yaml::tree::{Entry, Text};

/// The lock-out of a shop without a sheet.
pub(super) const BUILT_IN: [&str; 9] = [
    "Shut the machine down at its own switch.",
    "Open every disconnect of the machine: its switch, or its plug.",
    "Close the gas cock if the machine burns gas.",
    "Put your own lock and tag on each one, or keep the plug in your hand.",
    "Let stored energy off: capacitors, pressure, springs, hot oil and water.",
    "Prove the meter on a known live source.",
    "Test dead: every line to every other line and to ground.",
    "Prove the meter again on the same source.",
    "If anything still reads live, stop and find out why.",
];

/// The way back of a shop without a sheet.
pub(super) const BACK: [&str; 6] = [
    "Take tools, leads and rags out of the machine.",
    "Tell everybody near the machine that it comes back on.",
    "Check that the machine's own switch is off.",
    "Take off your own lock and tag.",
    "Open the gas cock if the machine burns gas.",
    "Close the disconnect, or put the plug in.",
];

/// The steps of a procedure at a unit: one that is only for machines that burn gas is left out where the sheet has no gas.
#[must_use]
pub fn at_unit<'a>(steps: &'a [String], unit: Option<&Unit>) -> Vec<&'a str> {
    let steps = steps.iter().map(String::as_str);
    match unit {
        Some(unit) if !burns_gas(unit) => steps.filter(|step| !only_with_gas(step)).collect(),
        _ => steps.collect(),
    }
}

/// Whether anything of the unit carries gas, or gas is shut off to lock it out.
fn burns_gas(unit: &Unit) -> bool {
    let power = unit.states.get(StateId::POWER);
    unit.parts().any(|(_, part)| part.carries_gas)
        || power.is_some_and(|power| power.disconnects.iter().any(|name| name.to_lowercase().contains("gas")))
}

/// Whether a step says of itself that it is for gas: "Close the gas cock if the machine burns gas."
fn only_with_gas(step: &str) -> bool {
    let step = step.to_lowercase();
    let condition = match step.strip_prefix("if ") {
        Some(rest) => rest.split(',').next(),
        None => step.split_once(" if ").map(|(_, rest)| rest),
    };
    condition.is_some_and(|words| words.contains("gas"))
}

/// The rules of this file.
pub static RULES: [&Rule; 1] = [&LOCK_OUT_ORDER];

/// A lock-out has all its steps, in order.
pub static LOCK_OUT_ORDER: Rule = Rule {
    code: "lock-out-order",
    level: Level::Warning,
    says: "A lock-out goes: shut down, isolate, lock and tag, release stored energy, prove the meter, test dead, prove the meter again.",
    why: "That is the order of 29 CFR 1910.147(d) and 1910.333(b). A meter that was not proved, or died in between, calls a live wire dead.",
    wrong: "lock out:\n  - Test dead.\n  - Open the disconnect.\n  - Put your lock and tag on.",
    mended: "lock out:\n  - Shut the machine down.\n  - Open the disconnect.\n  - Put your lock and tag on.\n  - Let stored energy off.\n  - Prove the meter on a known live source.\n  - Test dead.\n  - Prove the meter again.",
};

/// The stages in order: what each is called, and words that give it away.
const STAGES: [(&str, &[&str]); 7] = [
    (
        "shut the machine down",
        &["shut down", "shut the", "turn the machine off", "turn it off", "switch off", "turn off"],
    ),
    ("isolate it", &["disconnect", "breaker", "plug", "isolate"]),
    ("lock and tag", &["lock and tag", "lock", "tag"]),
    ("release stored energy", &["stored", "capacitor", "pressure", "spring", "discharge", "bleed"]),
    ("prove the meter", &["prove the meter", "prove your meter", "known live", "known source"]),
    ("test dead", &["test dead", "test that it is dead", "test for dead", "is dead", "no volts"]),
    ("prove the meter again", &["prove the meter", "prove your meter", "known live", "same source", "again"]),
];

/// Tells the first stage that is left out or stands too early.
pub(super) fn check(reader: &mut Reader, line: &Entry, steps: &[Text]) {
    if steps.is_empty() {
        return;
    }
    let lower: Vec<String> = steps.iter().map(|step| step.text.to_lowercase()).collect();
    let says =
        |at: usize, words: &[&str]| lower.get(at).is_some_and(|step| words.iter().any(|word| step.contains(word)));
    let mut from = 0;
    for (stage, words) in STAGES {
        if let Some(at) = (from..steps.len()).find(|at| says(*at, words)) {
            from = at + 1;
            continue;
        }
        match (0..from)
            .find(|at| says(*at, words))
            .and_then(|at| steps.get(at))
            .filter(|_| stage != "prove the meter again")
        {
            // One step may do two stages: "Pull the plug, lock it and tag it."
            Some(early) if from > 0 && steps.get(from - 1) == Some(early) => {}
            Some(early) => {
                // The stage before was found behind it.
                let late = from.checked_sub(1).and_then(|at| steps.get(at)).unwrap_or(early);
                let fact = format!("This step stands behind the one to {stage}; it comes before it.");
                let also = reader.place(early.span);
                let problem = Problem::new(&LOCK_OUT_ORDER, reader.place(late.span), fact);
                reader.note(problem.also(also, format!("the step to {stage}")));
                return;
            }
            None => {
                reader.say(&LOCK_OUT_ORDER, line.key.span, format!("The lock-out never says to {stage}."));
                return;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_that_are_for_gas_say_so_themselves() {
        for (step, want) in [
            ("Close the gas cock if the machine burns gas.", true),
            ("If it burns gas, close the cock.", true),
            ("Open every disconnect, and the gas cock.", false),
            ("If anything still reads live, stop and find out why.", false),
            ("Put your own lock and tag on each disconnect and cock.", false),
        ] {
            assert_eq!(only_with_gas(step), want, "{step}");
        }
    }
}
