//! The table of functions: examples, what is refused and how it is told, `OL`.

use super::calling::{Outcome, assert_answer, call};
use ruleout::trade::functions::all;

#[test]
fn the_example_of_every_function_comes_out() {
    for function in all() {
        assert!(function.example.call.starts_with(&format!("{}(", function.name)), "{}", function.name);
        assert!(!function.example.source.is_empty(), "{}: where is the example from?", function.name);
        assert_answer(function.example.call, function.example.answer);
    }
}

#[test]
fn over_limit_is_compared_by_lowest_and_highest_and_passed_on_by_the_rest() {
    for (text, want) in [
        ("lowest(7.2 ohm, OL)", "7.2 ohm"),
        ("lowest(OL, OL)", "OL"),
        ("highest(7.2 ohm, OL)", "OL"),
        ("average(7.2 ohm, OL)", "OL"),
        ("spread(7.2 ohm, OL)", "OL"),
        ("unbalance(7.2 ohm, OL)", "OL"),
        ("probe-temperature(OL, Pt1000)", "OL"),
    ] {
        assert_answer(text, want);
    }
}

#[test]
fn temperatures_give_temperatures_or_differences() {
    for (text, want) in [
        ("average(32 °F, 212 °F)", "122 °F"),
        ("spread(32 °F, 212 °F)", "180 °F"),
        ("spread(0 °C, 100 °C)", "100 °C"),
        ("lowest(-10 °F, 5 °F)", "-10 °F"),
    ] {
        assert_answer(text, want);
    }
}

#[test]
fn what_does_not_belong_between_the_brackets_is_told() {
    for (text, want) in [
        ("lowest(2 A, 208 V)", "takes readings of one kind, and volts stands among amps"),
        ("spread(2 A)", "takes 2 or more, and 1 stand between the brackets"),
        ("unbalance(70 °F, 75 °F)", "a percentage of temperatures means nothing: it changes with °F and °C"),
        ("superheat(45 psi, 33.8 °F, R22)", "the refrigerant is one of R134a, R290, R404A, R448A, R449A, R744"),
        ("superheat(45 psi, 33.8 °F, 22)", "the refrigerant is one of R134a, R290, R404A, R448A, R449A, R744"),
        ("superheat(45 V, 33.8 °F, R448A)", "the suction is a pressure, and volts stands there"),
        ("superheat(45 psi, R448A)", "takes 3 or more, and 2 stand between the brackets"),
        ("capacitor(3.2 A, 372 V, 60 Hz, 1)", "takes 3 at most, and 4 stand between the brackets"),
        ("pulse-average(70 °F, 35 %)", "a percentage of temperatures means nothing: it changes with °F and °C"),
        ("lowest(2 A, supply)", "the reading is a reading or a number, and a word stands there"),
    ] {
        match call(text) {
            Outcome::Misused(misuse) => assert_eq!(misuse.to_string(), want, "{text}"),
            other => panic!("{text}: {other:?}"),
        }
    }
}

#[test]
fn a_sum_without_meaning_says_why() {
    for (text, want) in [
        ("unbalance(-1 V DC, 1 V DC)", "an unbalance needs readings whose average is above zero"),
        (
            "amps-at(208 V, 5500 W, 0 V)",
            "these numbers give no answer: one is zero that should not be, or far too large",
        ),
        ("pulse-rms(10 A, 120 %)", "the share of the time it is on runs from 0 to 100 %"),
        ("air-free(50 ppm, 21 %)", "oxygen in a flue is between 0 and 20 %: is the probe in the flue?"),
        ("superheat(900 psi, 40 °F, R448A)", "900 psi is outside the R448A table: it runs from -6.07 psi to 376 psi"),
        (
            "evaporating(45 psi, R448A, 20000 ft)",
            "20000 ft is outside the altitudes people cook at: it runs from -1640 ft to 16400 ft",
        ),
        (
            "loop-value(2 mA, 0 psi, 100 psi)",
            "2 mA is outside what a sound 4-20 mA loop carries: it runs from 3.6 mA to 21 mA",
        ),
        ("thermistor-ohms(32 °F, 0 ohm, 3950)", "a thermistor's ohms at 25 °C and its beta are above zero"),
        (
            "thermocouple-temperature(-12.57 mV, 86 °F, J)",
            "-11.033 mV is outside the type J table: it runs from -8.09 mV to 69.5 mV",
        ),
    ] {
        match call(text) {
            Outcome::OutOfRange(error) => assert_eq!(error.to_string(), want, "{text}"),
            other => panic!("{text}: {other:?}"),
        }
    }
    assert_answer("unbalance(0 A, 0 A, 0 A)", "0 %");
}
