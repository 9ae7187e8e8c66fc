//! Slips an author makes, put into the booster's own playbook: each is told, and says what to write instead.

use crate::support::desks;
use ruleout::check::{Subject, check, places};
use ruleout::language::parse;
use ruleout::playbook::compile::{Ground, compile};
use ruleout::playbook::outline::Outlines;
use ruleout::sheet::shop;
use ruleout::text::problem::{Problem, tidy};
use ruleout::text::source::Source;
use std::fmt::Write as _;
use std::fs;
use std::path::PathBuf;

struct Slip {
    what: &'static str,
    /// What stands in the playbook, and what the author writes there, within the test that starts with the first words.
    test: &'static str,
    change: &'static [(&'static str, &'static str)],
    code: &'static str,
    /// Words of the message.
    says: &'static str,
    /// Words of what to write instead.
    instead: &'static str,
}

const SLIPS: [Slip; 12] = [
    Slip {
        what: "a limit blind to low line",
        test: "test supply-balance:",
        change: &[
            ("good       normal ", "good       197 to 219 V AC "),
            ("below normal", "below 197 V AC"),
            ("above normal", "above 219 V AC"),
        ],
        code: "good-unit-fails",
        says: "At low supply, 187.2 V a good unit reads 187.2 V",
        instead: "below normal",
    },
    Slip {
        what: "the wrong function of the meter",
        test: "test coil-volts:",
        change: &[
            ("V AC from C4", "V DC from C4"),
            ("above 100 V AC", "above 100 V DC"),
            ("below 100 V AC", "below 100 V DC"),
        ],
        code: "meter-function",
        says: "Measure V AC",
        instead: "",
    },
    Slip {
        what: "ohms with the disconnect in",
        test: "test heater-1-ohms:",
        change: &[("power locked-out", "power live")],
        code: "ohms-on-live",
        says: "with the power live",
        instead: "with  power locked-out, covers off",
    },
    Slip {
        what: "a forgotten state",
        test: "test coil-volts:",
        change: &[(", rinse running", "")],
        code: "depends-on-unsaid-state",
        says: "`rinse",
        instead: "with  power live, covers off, rinse running",
    },
    Slip {
        what: "the amps of the 240 V unit",
        test: "test line-amps:",
        change: &[
            ("good       normal at supply", "good       26 to 31.8 A"),
            ("below normal at supply", "below 26 A"),
            ("above normal at supply", "above 31.8 A"),
        ],
        code: "good-unit-fails",
        says: "As on the rating plate a good unit reads 33 A",
        instead: "above normal",
    },
    Slip {
        what: "limits by a reading that is no supply",
        test: "test line-amps:",
        change: &[("V AC from L1 to L2, call it supply", "V AC across contactor.pole-1, call it supply")],
        code: "not-a-supply",
        says: "does not go in proportion with one supply",
        instead: "",
    },
    Slip {
        what: "volts on a machine that is locked out",
        test: "test transformer-out:",
        change: &[("power live, covers off, rinse running", "power locked-out, covers off")],
        code: "volts-on-dead",
        says: "whatever is wrong",
        instead: "rinse running",
    },
    Slip {
        what: "ohms on the line side of the disconnect",
        test: "test heater-2-ohms:",
        change: &[("ohm of heater-2", "ohm from L1 to L2")],
        code: "ohms-on-live",
        says: "`L1` and `L2` are live with the machine locked out, 120 V",
        instead: "measure    V AC from L1 to L2",
    },
    Slip {
        what: "a break looked for across the part",
        test: "test low-water-out:",
        change: &[
            ("V AC from C2 to X2, loaded", "V AC across low-water"),
            ("above 100 V AC", "below 20 V AC"),
            ("if         below 100 V AC", "if         above 20 V AC"),
        ],
        code: "blind-to-second-break",
        says: "`low-water open` is looked for across the part alone",
        instead: "from C2 to X2",
    },
    Slip {
        what: "no room for the error of the meter",
        test: "test supply-balance:",
        change: &[
            ("good       normal ", "good       187.2 to 228.8 V AC "),
            ("below normal", "below 187.2 V AC"),
            ("above normal", "above 228.8 V AC"),
        ],
        code: "good-unit-close",
        says: "the shop's meter may show",
        instead: "normal",
    },
    Slip {
        what: "a part that has no such thing",
        test: "test heater-3-ohms:",
        change: &[("ohm of heater-3", "uF of heater-3")],
        code: "normal-not-known",
        says: "`normal` has no numbers there",
        instead: "THE-LIMIT",
    },
    Slip {
        what: "good and bad the wrong way round",
        test: "test element-leak:",
        change: &[
            ("good       above 1 Mohm", "good       below 1 Mohm"),
            ("if         below 1 Mohm", "if         above 1 Mohm"),
        ],
        code: "good-unit-fails",
        says: "a good unit reads OL",
        instead: "normal",
    },
];

/// Slips from which more would follow: the test, the words put in place of others, and all that is told.
const TOLD_ONCE: [(&str, &str, &str, &str, &str); 3] = [
    ("the wrong function alone", "test coil-volts:", "V AC from C4", "V DC from C4", "meter-function"),
    ("a misspelled state", "test coil-volts:", "rinse running", "rinsing running", "state-not-declared"),
    ("a point of another wire", "test coil-volts:", "from C4", "from C9", "no-such-place"),
];

fn here(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(path)
}

#[test]
fn each_slip_says_what_to_write_instead() {
    let right = fs::read_to_string(here("playbooks/booster/booster-cold.playbook")).unwrap();
    let shop = shop::read(&Source::new("shop.yaml", fs::read_to_string(here("playbooks/shop.yaml")).unwrap())).0;
    let desks = desks("playbooks/units/booster-208.yaml", &shop);
    let problems = |text: &str| -> Vec<Problem> {
        let (tree, slips) = parse(&Source::new("booster-cold.playbook", text));
        let tree = tree.unwrap();
        let ground = Ground { states: &desks.wired().unit.states, banks: &[], desks: Some(&desks) };
        let (playbook, told) = compile(&tree, ground);
        let playbook = playbook.unwrap();
        let mut all: Vec<Problem> = slips.into_iter().chain(told).collect();
        all.extend(places::against(&playbook, desks.wired()));
        let others = Outlines::default();
        let mut all = check(Subject { tree: &tree, playbook: &playbook, others: &others, desks: Some(&desks) }, all);
        tidy(&mut all);
        all
    };
    assert!(problems(&right).is_empty(), "the playbook itself: {:#?}", problems(&right));
    let mut wrong = String::new();
    for (what, test, from, to, code) in TOLD_ONCE {
        let start = right.find(test).unwrap();
        let slipped = right[start..].replacen(from, to, 1);
        assert_ne!(slipped, right[start..], "{what}");
        let told: Vec<&str> =
            problems(&format!("{}{slipped}", &right[..start])).iter().map(|problem| problem.rule.code).collect();
        if told != [code] {
            writeln!(wrong, "{what}: told {told:?}").unwrap();
        }
    }
    for slip in SLIPS {
        let start = right.find(slip.test).unwrap_or_else(|| panic!("{}: no {}", slip.what, slip.test));
        let end = right[start + 4..].find("\ntest ").map_or(right.len(), |at| start + 4 + at);
        let mut block = right[start..end].to_owned();
        for (from, to) in slip.change {
            assert!(block.contains(from), "{}: no {from} in {block}", slip.what);
            block = block.replace(from, to);
        }
        let told = problems(&format!("{}{block}{}", &right[..start], &right[end..]));
        let one = told.iter().find(|problem| problem.rule.code == slip.code);
        let Some(problem) = one else {
            writeln!(
                wrong,
                "{}: `{}` is not told, but {:?}",
                slip.what,
                slip.code,
                told.iter().map(|p| p.rule.code).collect::<Vec<_>>()
            )
            .unwrap();
            continue;
        };
        if !problem.message.contains(slip.says) {
            writeln!(wrong, "{}: {}", slip.what, problem.message).unwrap();
        }
        let instead = problem.instead.as_deref().unwrap_or_default();
        if !instead.contains(slip.instead)
            || slip.instead.is_empty() && instead.is_empty() && !problem.message.contains(slip.says)
        {
            writeln!(wrong, "{}: write instead: {instead}", slip.what).unwrap();
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}
