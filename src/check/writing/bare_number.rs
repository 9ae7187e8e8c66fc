//! A number carries its unit.

use super::prose::{Finding, Mark, Prose};
use crate::text::rule::{Level, Rule};

/// A set point, reading or size without a unit. Source: public procedure-writing guides.
pub static RULE: Rule = Rule {
    code: "number-without-unit",
    level: Level::Warning,
    says: "A number that is read, set or reached carries its unit.",
    why: "\"Set it to 40\" is done in °F by one and in psi by the next. Counts, numbers on a dial and names need none.",
    wrong: "do  Set the thermostat to 40.",
    mended: "do  Set the thermostat to 40 °F.",
};

pub(super) fn check(prose: &Prose<'_>, found: &mut Vec<Finding>) {
    for at in 1..prose.len() {
        if !prose.is_number(at) || !is_compared(prose, at) || has_more(prose, at) {
            continue;
        }
        if (0..prose.len()).any(|word| names_a_scale(prose.word(word))) {
            return;
        }
        let number = prose.raw(at);
        let unit = unit_meant(prose);
        let message = match unit {
            Some(unit) => format!(
                "`{}` has no unit. Write `{number} {unit}`, if that is what you mean.",
                prose.slice(at - 1..at + 1)
            ),
            None => format!(
                "`{}` has no unit. Write what it is a number of, as `{number} °F` or `{number} psi`.",
                prose.slice(at - 1..at + 1)
            ),
        };
        found.push(Finding {
            rule: &RULE,
            at: prose.bytes(at..at + 1),
            message,
            instead: unit.map(|unit| with_unit(prose, at, unit)),
        });
        return;
    }
}

/// Whether the number is what something is set to, read as or held against.
fn is_compared(prose: &Prose<'_>, at: usize) -> bool {
    if at == 0 || prose.mark(at - 1) != Mark::None {
        return false;
    }
    match prose.word(at - 1) {
        "below" | "above" | "under" | "over" | "reaches" | "reads" | "exceeds" | "hits" | "than" => true,
        "to" => {
            (0..at - 1).any(|word| {
                matches!(
                    prose.word(word),
                    "set"
                        | "up"
                        | "down"
                        | "raise"
                        | "lower"
                        | "rises"
                        | "falls"
                        | "drops"
                        | "climbs"
                        | "adjust"
                        | "comes"
                        | "cools"
                        | "heats"
                        | "heat"
                        | "cool"
                        | "bring"
                )
            }) && !prose.is_number(at.wrapping_sub(2))
        }
        "at" => !matches!(
            prose.word(at.wrapping_sub(2)),
            "arrive" | "open" | "opens" | "close" | "closes" | "start" | "starts"
        ),
        _ => false,
    }
}

/// Whether something follows that says what is counted: a unit, "wires", "of the four", "to 14 inWC".
fn has_more(prose: &Prose<'_>, at: usize) -> bool {
    let next = prose.word(at + 1);
    let ends = prose.mark(at) != Mark::None || next.is_empty();
    if ends {
        return false;
    }
    match next {
        "and" | "or" | "when" | "while" | "before" | "after" | "with" | "then" | "until" | "for" | "on" | "if"
        | "as" | "again" => {
            // "over 3 and 4 wires" is let pass.
            matches!(next, "and" | "or" | "on") && (prose.is_number(at + 2) || next == "on")
        }
        _ => true,
    }
}

/// Words beside which a number is a mark on a scale, a place in a row, or a code.
fn names_a_scale(word: &str) -> bool {
    matches!(
        word,
        "dial"
            | "position"
            | "setting"
            | "speed"
            | "level"
            | "mark"
            | "notch"
            | "knob"
            | "step"
            | "number"
            | "zone"
            | "line"
            | "terminal"
            | "terminals"
            | "pin"
            | "pins"
            | "switch"
            | "parameter"
            | "menu"
            | "code"
            | "tap"
            | "stage"
            | "phase"
            | "key"
            | "channel"
            | "page"
            | "o'clock"
            | "row"
            | "slot"
            | "rack"
            | "racks"
            | "jet"
            | "group"
            | "selector"
            | "mode"
            | "program"
            | "cycle"
            | "wire"
            | "size"
            | "scale"
    )
}

/// The unit the sentence itself speaks of.
fn unit_meant(prose: &Prose<'_>) -> Option<&'static str> {
    (0..prose.len()).find_map(|at| {
        Some(match prose.word(at) {
            "temperature" | "thermometer" | "thermostat" | "oil" | "deck" | "box" | "set-point" => "°F",
            "volts" | "voltage" => "V",
            "amps" | "current" | "clamp" => "A",
            "ohms" | "resistance" => "ohm",
            "suction" | "gauges" | "head" => "psi",
            "manometer" | "manifold" => "inWC",
            _ => return None,
        })
    })
}

fn with_unit(prose: &Prose<'_>, at: usize, unit: &str) -> String {
    let end = prose.bytes(at..at + 1).end;
    let (head, tail) = (prose.text.get(..end).unwrap_or(""), prose.text.get(end..).unwrap_or(""));
    prose.line.with(&format!("{head} {unit}{tail}"))
}

#[cfg(test)]
mod tests {
    use super::super::prose::Line;
    use super::super::prose::tests::{instead, table};
    use super::*;

    const DO: Line<'_> = Line::Do { in_test: true };

    #[test]
    fn numbers_carry_units() {
        table(
            check,
            DO,
            "number-without-unit",
            &[
                "Set the thermostat to 40.",
                "Heat the oil to 350.",
                "Run it until the gauge reads 12.",
                "Wait until the oil is over 300.",
                "Stop when the manometer reads 4.0.",
                "If it is below 3.5, stop.",
                "If the reading exceeds 30, call.",
                "Bring the deck up to 400, then look.",
                "Watch until it reaches 165.",
                "Cool the tank to 120 before you drain it.",
                "If suction falls to 8, stop it.",
                "Raise it to 350 with the burner lit.",
                "Hold it at 180 for 10 minutes.",
                "If it reads more than 5, write it down.",
                "Lower the set point to 140 and watch.",
            ],
            &[
                "Set the thermostat to 40 °F.",
                "Set the dial to 3.",
                "Turn the knob to 4.",
                "Clamp L1, L2 and L3.",
                "Take out the 4 screws.",
                "If it is over 3 wires, call.",
                "Read it at 10 s and at 20 s.",
                "Pull wires 3 and 4.",
                "Turn the selector to 2.",
                "Melt the ice with water at 100 °F or less.",
                "Set the gap 1/8 inch.",
                "Hold it at 180 to 195 °F.",
                "Go to terminal 4 with the lead.",
                "If more than 2 of the 6 jets are plugged, stop.",
                "Stop at 4.0 in. w.c. on the tap.",
                "Look at 3 places along the seam.",
                "Bring it up to 208 V AC.",
                "Cut the lead to 24 inches.",
                "If error 12 shows, stop.",
            ],
        );
        assert_eq!(instead(check, DO, "Set the thermostat to 40."), "do  Set the thermostat to 40 °F.");
        assert_eq!(instead(check, DO, "If it is below 3.5, stop."), "");
    }
}
