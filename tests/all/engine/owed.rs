//! After a repair: what is owed, what is struck, the second fault behind the first.

use super::{give, owed, told, walk};
use ruleout::engine::{Answer, BookId, Refused, Trail, step};

const TO_HEATER: [(&str, &str); 4] =
    [("120", "test heater-amps"), ("0", "test heater-ohms"), ("OL", "repair heater"), ("done", "owed heater-ohms")];

#[test]
fn verify_then_finish_then_closed() {
    let (library, mut trail) = walk(&["tank-cold"], &TO_HEATER);
    assert_eq!(owed(&library, trail.now()), ["heater-ohms", "tank-temp", "shuts-off"]);
    assert!(trail.now().readings.is_empty(), "a repair voids all readings");
    for (word, place) in [("10", "owed tank-temp"), ("165", "owed shuts-off"), ("yes", "closing")] {
        give(&library, &mut trail, word);
        assert_eq!(told(&library, trail.now()), place);
    }
    give(&library, &mut trail, "done");
    assert_eq!(told(&library, trail.now()), "closed");
    assert!(trail.now().standing.is_home());
}

/// A call closes only with every state at home or where the closing list says: the list is not taken before.
#[test]
fn no_closing_with_the_unit_open() {
    let library = super::library(&["tank-cold"]);
    let covers_off = library.states().stand("covers", "off").unwrap();
    for (closing, want) in [(vec![], "live, covers on"), (vec![covers_off], "live, covers off")] {
        let library = library.clone().with_closing(closing);
        let mut trail = Trail::start(&library, BookId(0)).unwrap();
        for word in ["120", "0", "10", "done", "22", "yes", "160"] {
            give(&library, &mut trail, word);
        }
        assert_eq!(told(&library, trail.now()), "closing");
        // Another look inside, before the list is through.
        let mut open = trail.now().clone();
        open.standing.set(library.states().stand("power", "locked-out").unwrap());
        assert_eq!(step(&library, &open, &Answer::Done), Err(Refused::OnTheWay));
        give(&library, &mut trail, "done");
        assert_eq!(told(&library, trail.now()), "closed");
        assert_eq!(library.states().told_standing(&trail.now().standing), want);
    }
}

#[test]
fn a_second_fault_behind_the_first() {
    let (library, mut trail) = walk(&["tank-cold"], &TO_HEATER);
    give(&library, &mut trail, "10");
    // Still cold: it stays owed, the walk follows its line.
    give(&library, &mut trail, "110");
    assert_eq!(told(&library, trail.now()), "test heater-amps");
    assert_eq!(owed(&library, trail.now()), ["tank-temp", "shuts-off"]);
    // A test met outside the list strikes nothing, good or not; heater-ohms is not owed any more.
    give(&library, &mut trail, "0");
    give(&library, &mut trail, "10");
    assert_eq!(told(&library, trail.now()), "repair relay");
    give(&library, &mut trail, "done");
    // verify of the relay, then what was still owed, then finish: each once.
    assert_eq!(owed(&library, trail.now()), ["heater-amps", "shuts-off", "tank-temp"]);
    for word in ["22", "yes", "160", "done"] {
        give(&library, &mut trail, word);
    }
    assert_eq!(told(&library, trail.now()), "closed");
    assert_eq!(trail.now().done.len(), 2);
}

#[test]
fn the_same_repair_again_did_not_hold() {
    let (library, mut trail) = walk(&["tank-cold"], &TO_HEATER);
    give(&library, &mut trail, "OL");
    assert_eq!(told(&library, trail.now()), "leaving: did not hold: heater");
    give(&library, &mut trail, "done");
    assert_eq!(told(&library, trail.now()), "handed over: did not hold: heater");
    assert_eq!(library.states().told_standing(&trail.now().standing), "locked out, covers on");
}

/// Good at the complaint after another repair does not end the list: the rest is asked.
#[test]
fn an_owed_test_met_on_the_way_stays_owed() {
    let road = [
        ("120", "test heater-amps"),
        ("0", "test heater-ohms"),
        ("10", "repair relay"),
        ("done", "owed heater-amps"),
        // Not good: heater-amps stays owed; on its line, heater-ohms finds the heater.
        ("30", "test heater-ohms"),
        ("5", "repair heater"),
        ("done", "owed heater-ohms"),
    ];
    let (library, trail) = walk(&["tank-cold"], &road);
    assert_eq!(owed(&library, trail.now()), ["heater-ohms", "heater-amps", "shuts-off", "tank-temp"]);
}
