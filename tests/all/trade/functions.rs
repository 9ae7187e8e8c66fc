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
    for (text, want) in [("unbalance(-1 V DC, 1 V DC)", "an unbalance needs readings whose average is above zero")] {
        match call(text) {
            Outcome::OutOfRange(error) => assert_eq!(error.to_string(), want, "{text}"),
            other => panic!("{text}: {other:?}"),
        }
    }
    assert_answer("unbalance(0 A, 0 A, 0 A)", "0 %");
}
