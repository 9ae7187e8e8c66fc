//! Banks: every member asked before a line is chosen, the lowest on an `if` line picked.

use super::{give, owed, told, walk};
use ruleout::playbook::model::BankId;

const ASKED: &str = "test zone-temps";

#[test]
fn the_line_of_a_bank() {
    // Each zone's temperature, and where it leads.
    let cases = [
        (["420", "430", "410"], "escalate even", None),
        (["120", "130", "110"], "escalate supply", None),
        // Not all of them: the first `if` line any zone falls on, with the lowest such zone.
        (["420", "130", "110"], "test zone-ohms", Some(2)),
        (["420", "430", "390"], "test zone-ohms", Some(3)),
        // The order of lines decides before the order of zones.
        (["460", "430", "390"], "test zone-ohms", Some(3)),
        (["420", "470", "460"], "escalate stuck", Some(2)),
    ];
    for (heat, place, picked) in cases {
        let [one, two, three] = heat;
        let (_, trail) = walk(&["zone-cold"], &[(one, ASKED), (two, ASKED), (three, place)]);
        assert_eq!(trail.now().that.get(&BankId(0)).copied(), picked, "{heat:?}");
        assert_eq!(trail.now().readings.len(), 3, "one reading a member");
    }
}

#[test]
fn verify_asks_the_member_repaired_and_finish_everyone_again() {
    let road = [
        ("420", ASKED),
        ("300", ASKED),
        ("430", "test zone-ohms"),
        ("OL", "repair element 2"),
        ("done", "owed zone-ohms"),
    ];
    let (library, mut trail) = walk(&["zone-cold"], &road);
    assert_eq!(owed(&library, trail.now()), ["zone-ohms", "zone-temps"]);
    assert_eq!(trail.now().that.get(&BankId(0)), Some(&2));
    give(&library, &mut trail, "20");
    assert_eq!(told(&library, trail.now()), "owed zone-temps");
    assert!(trail.now().that.is_empty(), "finish starts with no member");
    for word in ["420", "425", "430"] {
        give(&library, &mut trail, word);
    }
    assert_eq!(told(&library, trail.now()), "closing");
}

/// The same repair on another member is another repair; on the same one it did not hold.
#[test]
fn did_not_hold_is_by_member() {
    let road = [
        ("420", ASKED),
        ("300", ASKED),
        ("300", "test zone-ohms"),
        ("OL", "repair element 2"),
        ("done", "owed zone-ohms"),
        ("20", "owed zone-temps"),
        ("420", "owed zone-temps"),
        ("425", "owed zone-temps"),
        ("300", "test zone-ohms"),
        ("OL", "repair element 3"),
        ("done", "owed zone-ohms"),
        ("OL", "leaving: did not hold: element"),
    ];
    walk(&["zone-cold"], &road);
}

/// A sum in a step for the member picked takes that member's reading of the bank.
#[test]
fn a_reading_of_a_bank_is_one_a_member() {
    let road = [("420", ASKED), ("300", ASKED), ("390", "test zone-ohms"), ("20", "test warm-sum")];
    // zone 2 was picked, at 300 °F: 425 less 300 is 125.
    let (library, mut trail) = walk(&["zone-cold"], &road);
    give(&library, &mut trail, "425");
    assert_eq!(told(&library, trail.now()), "repair relay 2");
    // zone 3 at 390 °F: 35 below.
    let road = [
        ("420", ASKED),
        ("410", ASKED),
        ("390", "test zone-ohms"),
        ("20", "test warm-sum"),
        ("425", "repair element 3"),
    ];
    walk(&["zone-cold"], &road);
}

/// A bank left by `cannot` sets nothing, though some members were asked.
#[test]
fn left_half_asked_it_sets_nothing() {
    let (library, mut trail) = walk(&["zone-cold"], &[("420", ASKED), ("300", ASKED)]);
    assert_eq!(trail.now().readings.len(), 2);
    give(&library, &mut trail, "can't");
    assert_eq!(told(&library, trail.now()), "escalate stuck");
    assert!(trail.now().readings.is_empty() && trail.now().that.is_empty());
}
