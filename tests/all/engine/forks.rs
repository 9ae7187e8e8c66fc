//! Where a reading leaves open which line it falls on, every line is walked.

use super::{library, told};
use ruleout::engine::{Answer, BookId, State, Taken, start, step};
use ruleout::trade::reading::Reading::{self, OverLimit, Value};

fn places(name: &str, before: &[f64], sets: Vec<Taken>) -> Vec<String> {
    let library = library(&[name]);
    let mut state = start(&library, BookId(0)).unwrap();
    let settle = |mut state: State| {
        while let Ok(next) = step(&library, &state, &Answer::Changed) {
            state = next.into_iter().next().unwrap().state;
        }
        state
    };
    for value in before {
        let answer = Answer::Read(vec![Taken::sure(vec![Value(*value)])]);
        state = step(&library, &settle(state), &answer).unwrap().remove(0).state;
    }
    let next = step(&library, &settle(state), &Answer::Read(sets)).unwrap();
    next.iter().map(|next| told(&library, &next.state)).collect()
}

fn spread(low: Reading, shown: Reading, high: Reading) -> Taken {
    Taken { read: vec![shown], could: vec![vec![low], vec![high]] }
}

#[test]
fn by_the_accuracy_of_the_meter() {
    let v = Value;
    // What the meter could show, what it shows, and every place the walk may go to; that of what it shows comes first.
    let cases: &[(Reading, Reading, Reading, &[&str])] = &[
        (v(151.0), v(153.0), v(155.0), &["escalate ran-well"]),
        (v(149.0), v(151.0), v(153.0), &["escalate ran-well", "test heater-amps"]),
        (v(140.0), v(149.9), v(150.0), &["test heater-amps", "escalate ran-well"]),
        (v(100.0), v(165.0), v(190.0), &["escalate ran-well", "test heater-amps", "escalate ran-hot"]),
        // Both ends on one side and the good stretch between: a spread over everything meets everything.
        (v(149.0), v(185.0), v(185.0), &["escalate ran-hot", "test heater-amps", "escalate ran-well"]),
    ];
    for (low, shown, high, want) in cases {
        assert_eq!(places("tank-cold", &[], vec![spread(*low, *shown, *high)]), *want, "{low:?} to {high:?}");
    }
}

#[test]
fn by_a_ghost_or_a_chattering_relay() {
    // One or the other, nothing between: a cold tank or a hot one, never the good one.
    let one = |value| Taken::sure(vec![Value(value)]);
    assert_eq!(places("tank-cold", &[], vec![one(100.0), one(200.0)]), ["test heater-amps", "escalate ran-hot"]);
    assert_eq!(places("tank-cold", &[], vec![one(100.0), one(120.0)]), ["test heater-amps"]);
}

#[test]
fn up_to_ol() {
    // 9 to 11 ohm is good; above and OL both lead to the heater, which is one place by two lines.
    let got = places("tank-cold", &[100.0, 0.0], vec![spread(Value(10.9), Value(11.0), OverLimit)]);
    assert_eq!(got, ["repair relay", "repair heater", "repair heater"]);
}

/// Two ways to the same place are one: states compare by what they hold.
#[test]
fn states_compare() {
    let library = library(&["tank-cold"]);
    let from = start(&library, BookId(0)).unwrap();
    let read = |value| {
        let answer = Answer::Read(vec![Taken::sure(vec![Value(value)])]);
        step(&library, &from, &answer).unwrap().remove(0).state
    };
    assert_eq!(read(-0.0), read(0.0));
    assert_ne!(read(120.0), read(121.0));
    assert!(read(-5.0).readings < read(5.0).readings && read(5.0).readings < read(6.0).readings);
    let all: std::collections::BTreeSet<State> = [120.0, 121.0, 120.0].map(read).into();
    assert_eq!(all.len(), 2);
}
