//! Roads through a playbook that changed nothing yet: lines, `cannot`, joined playbooks, judged readings, stop, back.

use super::{answer, give, library, told, walk};
use ruleout::engine::{Answer, BookId, Refused, Taken, Trail};
use ruleout::trade::reading::Reading;

#[test]
fn a_walk_that_changed_nothing_ends_in_an_escalation() {
    let (library, trail) = walk(
        &["tank-cold"],
        &[
            ("160", "escalate ran-well"),
            ("done", "leaving: escalated ran-well"),
            ("done", "handed over: escalated ran-well"),
        ],
    );
    // `leave power live`: everything home.
    assert!(trail.now().standing.is_home(), "{}", library.states().told_standing(&trail.now().standing));
}

#[test]
fn an_escalation_without_a_leave_line_is_left_locked_out() {
    let (library, trail) = walk(
        &["tank-cold"],
        &[
            ("200", "escalate ran-hot"),
            ("done", "leaving: escalated ran-hot"),
            ("done", "handed over: escalated ran-hot"),
        ],
    );
    assert_eq!(library.states().told_standing(&trail.now().standing), "locked out, covers on");
}

#[test]
fn can_not_do_this_one() {
    let cases: &[&[(&str, &str)]] = &[
        // A test that names another way.
        &[("120", "test heater-amps"), ("can't", "test heater-ohms")],
        // A test that names none: the shop's hand-over.
        &[("can't", "leaving: can't test tank-temp"), ("done", "handed over: can't test tank-temp")],
        // A repair.
        &[
            ("120", "test heater-amps"),
            ("1", "test heater-ohms"),
            ("OL", "repair heater"),
            ("can't", "leaving: can't do heater"),
        ],
        // An owed test.
        &[
            ("120", "test heater-amps"),
            ("1", "test heater-ohms"),
            ("OL", "repair heater"),
            ("done", "owed heater-ohms"),
            ("can't", "leaving: repaired, not checked: heater-ohms"),
            ("done", "handed over: repaired, not checked: heater-ohms"),
        ],
        // Not even the hand-over can be stood as it should: it is left as it stands.
        &[("can't", "leaving: can't test tank-temp"), ("can't", "handed over: can't test tank-temp")],
    ];
    for case in cases {
        walk(&["tank-cold"], case);
    }
}

#[test]
fn a_part_that_is_not_on_the_truck_parks_the_unit() {
    let road = &[("120", "test heater-amps"), ("1", "test heater-ohms"), ("OL", "repair heater")];
    let (library, mut trail) = walk(&["tank-cold"], road);
    give(&library, &mut trail, "no part");
    assert_eq!(told(&library, trail.now()), "leaving: no part for heater");
    give(&library, &mut trail, "done");
    assert_eq!(library.states().told_standing(&trail.now().standing), "locked out, covers on");
    // Nothing to bring at a test.
    let trail = Trail::start(&library, BookId(0)).unwrap();
    assert_eq!(ruleout::engine::step(&library, trail.now(), &Answer::NoPart), Err(Refused::NotHere));
}

#[test]
fn stop_locks_out_and_nothing_else() {
    let (library, mut trail) = walk(&["tank-cold"], &[("120", "test heater-amps")]);
    while trail.answer(&library, &Answer::Changed).is_ok() {}
    assert_eq!(library.states().told_standing(&trail.now().standing), "live, covers off");
    give(&library, &mut trail, "stop");
    assert_eq!(told(&library, trail.now()), "leaving: not safe");
    give(&library, &mut trail, "done");
    assert_eq!(told(&library, trail.now()), "handed over: not safe");
    assert_eq!(library.states().told_standing(&trail.now().standing), "locked out, covers off");
    // Where not even that is safe, it is left as it stands.
    let (library, mut trail) = walk(&["tank-cold"], &[("120", "test heater-amps")]);
    while trail.answer(&library, &Answer::Changed).is_ok() {}
    give(&library, &mut trail, "stop");
    give(&library, &mut trail, "can't");
    assert_eq!(told(&library, trail.now()), "handed over: not safe");
    assert_eq!(library.states().told_standing(&trail.now().standing), "live, covers off");
}

#[test]
fn back_takes_back_answers_and_never_a_state_or_a_repair() {
    let road = &[("120", "test heater-amps"), ("1", "test heater-ohms")];
    let (library, mut trail) = walk(&["tank-cold"], road);
    while trail.answer(&library, &Answer::Changed).is_ok() {}
    let standing = trail.now().standing.clone();
    assert!(trail.back());
    assert_eq!(told(&library, trail.now()), "test heater-amps");
    assert_eq!(trail.now().standing, standing, "the unit stays as it stands");
    assert!(trail.back());
    assert_eq!(told(&library, trail.now()), "test tank-temp");
    assert!(trail.now().readings.is_empty());
    assert!(!trail.back(), "nothing is left to take back");
    // Forward again, to a repair done.
    for word in ["120", "1", "OL", "done"] {
        give(&library, &mut trail, word);
    }
    assert_eq!(told(&library, trail.now()), "owed heater-ohms");
    assert!(!trail.can_go_back());
    assert!(!trail.back(), "a repair done stays done");
    // An answer after it can be taken back again: the test is owed again.
    let owed = trail.now().owed.clone();
    give(&library, &mut trail, "10");
    assert!(trail.back());
    assert_eq!(trail.now().owed, owed);
}

#[test]
fn joined_playbooks_start_with_no_readings_and_owe_both_finish_lists() {
    let names = &["tank-cold", "breaker-trips"];
    let road = &[
        ("120", "test heater-amps"),
        ("1", "test heater-ohms"),
        ("10", "repair relay"),
        ("done", "owed heater-amps"),
        ("22", "owed shuts-off"),
        ("the breaker trips", "test leak"),
    ];
    let (library, mut trail) = walk(names, road);
    assert_eq!(library.book(trail.now().book()).name, "breaker-trips");
    assert!(trail.now().readings.is_empty());
    for (word, place) in [("0.2", "adjust wet-heater"), ("done", "owed leak")] {
        give(&library, &mut trail, word);
        assert_eq!(told(&library, trail.now()), place);
    }
    // Its verify, what was still owed (shuts-off stays owed), then its own finish and those that led here.
    assert_eq!(super::owed(&library, trail.now()), ["leak", "shuts-off", "tank-temp", "holds"]);
    for (word, place) in [("5", "owed shuts-off"), ("yes", "owed tank-temp"), ("160", "owed holds"), ("yes", "closing")]
    {
        give(&library, &mut trail, word);
        assert_eq!(told(&library, trail.now()), place);
    }
}

#[test]
fn a_playbook_that_is_not_there_is_said() {
    let (library, mut trail) = walk(
        &["tank-cold"],
        &[
            ("120", "test heater-amps"),
            ("1", "test heater-ohms"),
            ("10", "repair relay"),
            ("done", "owed heater-amps"),
            ("22", "owed shuts-off"),
        ],
    );
    while trail.answer(&library, &Answer::Changed).is_ok() {}
    let words = answer(&library, trail.now(), "the breaker trips");
    let why = trail.answer(&library, &words).unwrap_err();
    assert_eq!(why, Refused::Nowhere("breaker-trips".to_owned()));
}

#[test]
fn judged_readings() {
    // V, A and the side of normal: the line in force.
    let cases = [
        ("120,6 normal", "escalate pumps"),
        ("120,3 below", "escalate pumps"),
        // `below 1 A` stands before `below normal`: what is under 1 A is its.
        ("120,0.4 below", "test winding"),
        // A small pump: 0.4 A is normal for it, and normal goes first.
        ("120,0.4 normal", "escalate pumps"),
        ("120,14 above", "adjust jammed"),
    ];
    for (word, place) in cases {
        walk(&["motor-hums"], &[(word, place)]);
    }
    // An OL line has it, whatever is normal.
    walk(&["motor-hums"], &[("120,0 below", "test winding"), ("OL normal", "repair pump")]);
    walk(&["motor-hums"], &[("120,0 below", "test winding"), ("12 normal", "escalate pumps")]);
}

#[test]
fn answers_that_are_not_taken_leave_the_walk_where_it_is() {
    let library = library(&["tank-cold"]);
    let mut trail = Trail::start(&library, BookId(0)).unwrap();
    give(&library, &mut trail, "120");
    // The covers are still on.
    let amps = Answer::Read(vec![Taken::sure(vec![Reading::Value(22.0)])]);
    assert_eq!(trail.answer(&library, &amps).unwrap_err(), Refused::OnTheWay);
    while trail.answer(&library, &Answer::Changed).is_ok() {}
    let two = Answer::Read(vec![Taken::sure(vec![Reading::Value(22.0), Reading::Value(1.0)])]);
    assert_eq!(trail.answer(&library, &two).unwrap_err(), Refused::Count { takes: 1 });
    for wrong in [Answer::Done, Answer::Changed, Answer::Said(vec![], 0), Answer::NoPart, Answer::Read(vec![])] {
        assert_eq!(trail.answer(&library, &wrong).unwrap_err(), Refused::NotHere, "{wrong:?}");
    }
    assert_eq!(told(&library, trail.now()), "test heater-amps");
}
