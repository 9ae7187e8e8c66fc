//! Each result word of the language's page, once on a warmer of a fuse, a switch, a heater, a lamp and a fan.
//!
//! What the page says is the source: the words "callback", "wrong part" and so on are defined in the guide.

use super::{compiled, ground_of, on_desks, the_shop};
use ruleout::shakedown::report::{Report, report};
use ruleout::shakedown::result::{Outcome, Scope};
use ruleout::shakedown::runs::{Depth, Shakedown, shake};

pub const WARMER: &str = include_str!("../../cases/shakedown/warmer.yaml");

/// A playbook that finds everything; each case changes a line of it.
pub const GOOD: &str = include_str!("../../cases/shakedown/plate-cold.playbook");

fn shaken(playbook: &str, depth: Depth) -> (Shakedown, Report) {
    let shop = the_shop();
    let desks = on_desks(WARMER, &shop);
    let (book, problems) = compiled(playbook, &desks);
    let errors: Vec<&str> = problems.iter().filter(|p| p.is_error()).map(|p| p.message.as_str()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    let ground = ground_of(vec![book.unwrap()], &desks, &shop);
    let shakedown = shake(&ground, ruleout::engine::BookId(0), depth).unwrap();
    let told = report(&shakedown);
    (shakedown, told)
}

fn changed(from: &str, to: &str) -> String {
    assert!(GOOD.contains(from), "{from}");
    GOOD.replacen(from, to, 1)
}

#[test]
fn a_good_playbook_finds_everything_and_breaks_no_promise() {
    let (shakedown, told) = shaken(GOOD, Depth::FULL);
    for single in &told.singles {
        let wanted = match single.fault.as_str() {
            "tag gone" => Outcome::OtherComplaint,
            "fan worn" | "lamp open" if single.scope == Scope::Nobody => continue,
            "fuse loose" => Outcome::Intermittent,
            "mains low" | "mains high" => continue,
            _ => Outcome::Right,
        };
        if single.scope == Scope::This {
            assert_eq!(single.outcome, wanted, "{}: {:#?}", single.fault, told.misses);
        }
    }
    assert_eq!(shakedown.good.outcome, Outcome::Right);
    assert!(!told.testability.false_alarm);
    assert!(told.not_on_sheet.is_empty());
}

/// A slip in the playbook, the fault it bites with, and the word for it.
#[test]
fn every_result_has_its_slip() {
    let verify_heater = "  part     Element, 500 W\n  verify   heater-ohms\n";
    let cases = [
        // The repair cures one fault, and the second stays: no test of the complaint behind it.
        ("finish plate-warm, lamp-lit", "finish lamp-lit", &["heater open", "door ajar"][..], Outcome::Callback),
        ("if       dark  go to switch-out", "if       dark  go to replace-fuse", &["lamp open"], Outcome::WrongPart),
        ("for      heater\n", "for      lamp\n", &["heater open"], Outcome::WrongPart),
        (
            "if       OL            go to replace-heater",
            "if       OL            go to in-order",
            &["heater open"],
            Outcome::Stumped,
        ),
        ("  answers  door-look\n", "", &["heater open"], Outcome::NotOnSheet),
        ("good     20 to 40 ohm", "good     20 to 28.8 ohm", &["lamp open", "fan worn"], Outcome::Right),
        (
            "if       above 185 °F   go to too-hot",
            "if       above 185 °F   go to in-order",
            &["tag gone"],
            Outcome::Stumped,
        ),
        (verify_heater, verify_heater, &["tag gone"], Outcome::OtherComplaint),
    ];
    for (from, to, faults, wanted) in cases {
        let (shakedown, told) = shaken(&changed(from, to), Depth::FULL);
        let names: Vec<String> = faults.iter().map(|name| (*name).to_owned()).collect();
        let missed = told.misses.iter().find(|miss| miss.faults == names && miss.cannot.is_none() && !miss.needless);
        let alone = told.singles.iter().find(|single| names == [single.fault.clone()]);
        let found = alone.map_or_else(|| missed.map_or(Outcome::Right, |miss| miss.outcome), |single| single.outcome);
        assert_eq!(found, wanted, "{to:?} with {faults:?}: {missed:#?}");
        assert_eq!(shakedown.is_broken(false), told.broken);
    }
}

/// A reading that is only written down beside a question is judged by nobody: the sheet need not know it. One that another test
/// goes by it must.
#[test]
fn a_reading_that_is_only_written_down_needs_no_model() {
    let ask = "  ask      What does the fan do?\n";
    let noted = "  measure  °F at plate, change over 5 minutes, call it rise\n  ask      What does the fan do?\n";
    let (_, told) = shaken(&changed(ask, noted), Depth::FULL);
    assert!(told.not_on_sheet.is_empty(), "{:?}", told.not_on_sheet);
    let stuck = told.singles.iter().find(|single| single.fault == "fan stuck").unwrap();
    assert_eq!(stuck.outcome, Outcome::Right);
}

#[test]
fn closed_with_a_fault_the_playbook_could_feel_is_a_callback() {
    // Behind the fan nobody looks at the plate again; the fuse is felt by `fuse-out`, and the call closes with it open.
    let text = GOOD
        .replace("finish plate-warm, lamp-lit", "finish door-look")
        .replace("  part     Fan\n  verify   fan-look\n", "  part     Fan\n  verify   door-look\n");
    let (shakedown, told) = shaken(&text, Depth::FULL);
    let pair = told.misses.iter().find(|miss| miss.faults == ["fuse open", "fan stuck"]).expect("it is told");
    assert_eq!(pair.outcome, Outcome::Callback, "{pair:#?}");
    assert!(pair.broken && shakedown.is_broken(false));
    assert!(pair.walk.last().unwrap().contains("Closed, with fuse open still in it"), "{pair:#?}");
    assert!(pair.change.iter().any(|line| line.contains("`finish`")), "{pair:#?}");
}

#[test]
fn the_same_repair_twice_did_not_hold() {
    // The switch is not what the line behind it names: after the repair the reading is as it was.
    let text =
        changed("  for      switch\n  part     Switch\n", "  for      switch stuck, heater\n  part     Switch\n");
    let text =
        text.replace("  if       below 90 V AC  go to replace-fuse", "  if       below 90 V AC  go to replace-switch");
    let (_, told) = shaken(&text, Depth::FULL);
    let fuse = told.singles.iter().find(|single| single.fault == "fuse open").unwrap();
    // A part that is not bad is changed first: that is the worse of the two.
    assert_eq!(fuse.outcome, Outcome::WrongPart, "{:#?}", told.misses);
    let pair = told.misses.iter().find(|miss| miss.faults == ["fuse open", "heater open"]).expect("it is told");
    assert_eq!(pair.outcome, Outcome::DidNotHold, "{pair:#?}");
}

#[test]
fn a_reading_on_a_limit_is_unclear() {
    // 500 W at 120 V is 28.8 ohm; open it reads OL, high by ten percent 32 ohm: the limit stands where the good one reads.
    let (_, told) = shaken(
        &changed(
            "good     above 90 V AC  go to heater-ohms\n  if       below 90 V AC",
            "good     above 119.9 V AC  go to heater-ohms\n  if       below 119.9 V AC",
        ),
        Depth::FULL,
    );
    let heater = told.singles.iter().find(|single| single.fault == "heater open").unwrap();
    assert!(matches!(heater.outcome, Outcome::Unclear | Outcome::WrongPart), "{heater:#?}");
    let limit = told.limits.iter().find(|limit| limit.test == "switch-out").unwrap();
    assert!(limit.wrong, "a good unit at low supply reads under it: {limit:#?}");
}

#[test]
fn a_needless_adjust_is_told() {
    let (shakedown, told) =
        shaken(&changed("if       stands   go to replace-fan", "if       stands   go to set-door"), Depth::FULL);
    let fan = told.singles.iter().find(|single| single.fault == "fan stuck").unwrap();
    assert!(fan.needless, "{fan:#?}");
    assert!(!shakedown.good.ends.has_needless());
    let good = changed("good     lit   go to in-order", "good     lit   go to set-door");
    let (shakedown, told) = shaken(&good, Depth::FULL);
    assert!(shakedown.is_broken(false), "the good unit is set");
    assert!(told.testability.false_alarm);
    assert!(
        told.misses.iter().any(|miss| miss.faults.is_empty() && miss.needless && miss.broken),
        "{:#?}",
        told.misses
    );
}

#[test]
fn roads_where_a_test_can_t_be_done() {
    let text =
        changed("  if       ajar  go to set-door\n", "  if       ajar  go to set-door\n  cannot   go to replace-fan\n");
    let (shakedown, told) = shaken(&text, Depth::FULL);
    let road =
        told.misses.iter().find(|miss| miss.cannot.as_deref() == Some("door-look") && miss.faults == ["fuse open"]);
    let road = road.expect("the road is told");
    assert_eq!(road.outcome, Outcome::WrongPart, "{road:#?}");
    assert!(road.broken && shakedown.is_broken(false));
    assert!(shakedown.road_count > 20);
}

#[test]
fn whose_complaint_it_is() {
    let (_, told) = shaken(GOOD, Depth::CHEAP);
    let scope = |name: &str| told.singles.iter().find(|single| single.fault == name).unwrap().scope;
    assert_eq!(scope("heater open"), Scope::This);
    assert_eq!(scope("door ajar"), Scope::This);
    // A worn fan rattles, and the plate is warm: nobody's first test feels it.
    assert_eq!(scope("fan worn"), Scope::Nobody);
    assert!(told.nobodys.contains(&"fan worn".to_owned()));
}
