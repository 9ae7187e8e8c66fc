//! One slip at a time on a good sheet, as a lead technician makes them: each is told once, at its place, with what to write.

use ruleout::circuit::unit::wire;
use ruleout::sheet::shop::Shop;
use ruleout::sheet::unit;
use ruleout::text::problem::{Problem, tidy};
use ruleout::text::source::Source;
use std::fmt::Write as _;
use std::sync::Arc;

const OVEN: &str = include_str!("../cases/unit/deck-oven-240.yaml");

fn told(text: &str) -> Vec<Problem> {
    let (unit, mut problems) = unit::read(&Source::new("deck-oven-240.yaml", text), &Shop::built_in());
    problems.extend(wire(&Arc::new(unit)).1);
    tidy(&mut problems);
    problems
}

/// What stands in the sheet, what stands there instead, which rules are told, and words of what is said (`Write: ` and the line).
type Row = (&'static str, &'static str, &'static [&'static str], &'static str);

#[test]
fn each_slip_is_told_once() {
    assert!(told(OVEN).is_empty(), "{:#?}", told(OVEN));
    let rows: &[Row] = &[
        ("fuses:\n", "\tfuses:\n", &["sheet-line"], "A tab stands"),
        ("  lamps:\n", "  lights:\n", &["unknown-sheet-line"], "is no group of parts"),
        ("control-fuse C1\n", "contrl-fuse C1\n", &["rung"], "Write: X1 control-fuse C1"),
        ("deck.high-limit deck.D2", "deck.hi-limit deck.D2", &["rung"], "There is no part `deck.hi-limit`."),
        (
            "    control-fuse: { amps: 3 A }",
            "    control-fuse: { amps: 3 A }\n    control-fuse: { amps: 3 A }",
            &["doubled-line"],
            "stands here twice",
        ),
        ("volts: line, grounded", "grounded", &["supply"], "Say `volts: line`"),
        (
            "primary: 240 V, secondary",
            "secondary",
            &["part-unknown"],
            "does not say its `primary` and `secondary` volts",
        ),
        ("watts: 4500 W", "watts: 4500", &["sheet-number"], "Write: deck.element: { watts: 4500 W }"),
        ("watts: 4500 W", "watts: -4500 W", &["part-line"], "is nothing, or less"),
        ("watts: 4500 W", "wats: 4500 W", &["unknown-sheet-line"], "Write: deck.element: { watts: 4500 W }"),
        ("watts: 4500 W", "watts: 4500 furlongs", &["sheet-number"], "is no unit Ruleout knows"),
        ("490 to 510 °F", "490-510 °F", &["sheet-number"], "Write: good: 490 to 510 °F"),
        ("490 to 510 °F", "490 to 510 V", &["sheet-number"], "a temperature belongs here"),
        ("ohms: 8 ohm", "ohms: 8-9 ohm", &["sheet-number"], "can be read two ways"),
        (
            "    open: { seen: 3 }\n  main",
            "    welded: { seen: 1, closes: yes }\n  main",
            &["fault-reach"],
            "Among fuses a fault can have `opens` and `ohms`",
        ),
        ("deck.element weak: 300", "deck.air below 300 °F: 300", &["reading-ring"], "`deck.air` leans on itself."),
        (
            "Turn the main switch off.",
            "Turn switch #2 off.",
            &["cut-sentence"],
            "Write: to off: \"Turn switch #2 off.\"",
        ),
        ("Turn the main switch off.", "Main switch: turn it off.", &["sheet-line"], "Put the text in quotes."),
        (
            "    to off: Turn the main switch off.\n    to on: Turn the main switch on.\n",
            "    to off: { Turn it off, wait }\n",
            &["wrong-shape"],
            "words on its own line",
        ),
        ("- L1 disconnect.l1 A1", "- l1 disconnect.l1 A1", &["rung"], "Write: L1 disconnect.l1 A1"),
        ("- L1 disconnect.l1 A1", "- L1, disconnect.l1, A1", &["rung"], "Write: L1 disconnect.l1 A1"),
        ("- L1 disconnect.l1 A1", "- L1 -- disconnect.l1 -- A1", &["rung"], "Write: L1 disconnect.l1 A1"),
        ("- L1 disconnect.l1 A1", "- [L1, disconnect.l1, A1]", &["wrong-shape"], "Write: L1 disconnect.l1 A1"),
        ("deck.thermostat deck.D1", "deck.Thermostat deck.D1", &["rung"], "parts with a small letter"),
        ("C1 deck.thermostat", "C1 C2 deck.thermostat", &["rung"], "no part between"),
        ("- B1 transformer.primary B2", "- B1 transformer.primary", &["rung"], "starts and ends on a point"),
        (
            "- X1 transformer.secondary X2",
            "- X1 transformer X2",
            &["rung"],
            "`transformer.primary` or `transformer.secondary`",
        ),
        ("deck.contactor.coil X2", "deck.contactor.col X2", &["rung"], "deck.contactor.coil X2"),
        (
            "- X1 control-fuse C1",
            "- X1 control-fuse C1\n    - C1 control-fuse C9",
            &["not-wired"],
            "stands in a rung already",
        ),
        ("grounded: middle", "grounded: center", &["supply"], "none of `middle`, `wye`"),
        ("points: [L1, L2]", "points: [L1, L2, NEUTRAL]", &["not-wired"], "take `NEUTRAL` out of its `points`"),
        ("volts: line, grounded", "volts: lines, grounded", &["sheet-sum"], "It has `line` and `heat`."),
        ("[deck-1 on, deck-2 on]", "[deck-1 hot]", &["unit-head"], "`deck-1` is `off` or `on`"),
        ("{ deck: 1 to 2 }", "{ deck: 2 }", &["unit-head"], "Write: banks: { deck: 1 to 2 }"),
        ("deck.element: { watts", "dek.element: { watts", &["part-name"], "Write: deck.element"),
        ("closed when: doors open", "closed when: door open", &["sheet-condition"], "closed when: doors open"),
        (
            "closed when: doors open",
            "closed when: open",
            &["sheet-condition"],
            "A condition says of what: `doors open`.",
        ),
        ("closed when: always", "closed when: yes", &["sheet-condition"], "`closed when: always`"),
        ("deck.element off: 70", "deck.element of: 70", &["sheet-condition"], "deck.element off: 70 to 80 °F"),
        ("deck.element off: 70", "control-fuse off: 70", &["sheet-condition"], "Write: control-fuse open: 70"),
        ("deck.lamp off: dark", "deck.lamp off: drak", &["sheet-reading"], "It says `lit` or `dark`."),
        ("    in: °F\n", "", &["sheet-reading"], "neither `in` nor `words`"),
        ("    good: 490 to 510 °F\n", "", &["sheet-reading"], "`good: 35 to 39 °F`"),
        ("    open: { seen: 9 }", "    open: { seen: often }", &["sheet-fault"], "`seen: 12`"),
        ("    open: { seen: 9 }", "    open: none", &["sheet-fault"], "`none, REASON`"),
        ("    open: { seen: 9 }", "    burnt out: { seen: 9, opens: yes }", &["sheet-fault"], "Write: burnt-out"),
        ("    open: { seen: 9 }", "    scaled: { seen: 9 }", &["sheet-fault"], "Nothing shows `deck.element scaled`"),
        (
            "    open: { seen: 9 }",
            "    scaled: { shows: { deck.heat: 300 °F } }",
            &["sheet-fault"],
            "There is no reading `deck.heat`",
        ),
        ("  deck.element:\n    open", "  deck.elment:\n    open", &["sheet-fault"], "Write: deck.element:"),
        ("nameplate:", "namplate:", &["unknown-sheet-line"], "Write: nameplate:"),
        ("circuit:", "circut:", &["unknown-sheet-line"], "Write: circuit:"),
        ("title: Two-deck electric oven, 240 V single phase", "title:", &["empty-line"], "says nothing"),
        ("unit: deck", "unit: Deck ", &["unit-head"], "Write: unit: deck--oven-240"),
        ("ohms: 8 ohm, amps: 0.4 A", "works from: 20 V", &["part-unknown"], "neither its `ohms` nor its `amps`"),
        ("{ poles: [l1, l2] }", "{ poles: l1 l2 }", &["part-name"], "`[a, b]`"),
        ("240 V AC ±10 %", "240 V AC 10 %", &["sheet-number"], "Write: line: 240 V AC ±10 %"),
        ("closed when: always }", "closed when: always", &["sheet-line"], "is never closed by `}`"),
        ("  heat: 9 kW", "  heat 9 kW", &["sheet-line"], "no name in front"),
        ("490 to 510 °F", "490 °F to 510 psi", &["sheet-number"], "Write the unit once, behind"),
        ("amps: 3 A", "amps: 1/2 A", &["sheet-number"], "Write: control-fuse: { amps: 0.5 A }"),
        (
            "closed when: doors open",
            "closed when: xyzzy open",
            &["sheet-condition"],
            "The states are `power`, `covers`, `main`",
        ),
        (
            "  deck.element:\n    open",
            "  xyzzy:\n    open",
            &["sheet-fault"],
            "The parts are `disconnect`, `control-fuse`",
        ),
        (
            "deck.door-switch: { closed",
            "qq.door-switch: { closed",
            &["rung", "part-name", "sheet-fault"],
            "The only bank is `deck`.",
        ),
        ("grounded: middle", "grounded: high-leg", &["supply"], "but as `middle`, `wye`"),
        ("fuse C1\n", "qqqqq C1\n", &["rung", "not-wired"], "The parts are"),
    ];
    let mut wrong = String::new();
    for (from, to, codes, words) in rows {
        assert!(OVEN.contains(from), "{from}");
        let problems = told(&OVEN.replacen(from, to, 1));
        let found: Vec<&str> = problems.iter().map(|problem| problem.rule.code).collect();
        let said: String = problems.iter().fold(String::new(), |said, problem| {
            let instead = problem.instead.as_deref().unwrap_or("").trim().trim_start_matches("- ").to_owned();
            format!("{said}{}\nWrite: {instead}\n", problem.message)
        });
        if found != *codes || !said.contains(words) {
            writeln!(wrong, "{to:?}: {found:?}\n{said}").unwrap();
        }
    }
    assert!(rows.len() >= 50);
    assert!(wrong.is_empty(), "\n{wrong}");
}
