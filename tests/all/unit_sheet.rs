//! Unit sheets: slips with what is wrong written into them (as in `sheet`), and good ones held to what a meter reads.

use super::support::Kitchen;
use ruleout::circuit::unit::{Bench, Corner, End, Probe, Shown, Stood, Wired, wire};
use ruleout::circuit::{Current, Value};
use ruleout::corners::{Desks, Width};
use ruleout::sheet::shop::{self, Shop};
use ruleout::sheet::standing::Standing;
use ruleout::sheet::unit;
use ruleout::text::problem::{Problem, tidy};
use ruleout::text::source::Source;
use ruleout::trade::quantity::from_base;
use ruleout::trade::reading::Reading;
use ruleout::trade::unit::Unit as Measured;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

mod scenarios;

fn here(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn the_shop() -> Shop {
    let text = fs::read_to_string(here("playbooks/shop.yaml")).unwrap();
    shop::read(&Source::new("playbooks/shop.yaml", text)).0
}

/// The sheet wired, and everything wrong with it.
fn read(path: &str, shop: &Shop) -> (Arc<Wired>, Vec<Problem>) {
    let source = Source::new(path, fs::read_to_string(here(path)).unwrap());
    let (unit, mut problems) = unit::read(&source, shop);
    let (wired, more) = wire(&Arc::new(unit));
    problems.extend(more);
    tidy(&mut problems);
    (Arc::new(wired), problems)
}

fn told(problem: &Problem) -> String {
    let words = problem.place.text().lines().next().unwrap_or("");
    format!("{} {} \"{}\"", problem.rule.code, problem.place.line(), words)
}

#[test]
fn every_case_tells_what_it_announces() {
    let mut wrong = String::new();
    let mut cases = 0;
    for entry in fs::read_dir(here("tests/cases/unit")).unwrap().map(Result::unwrap) {
        let name = format!("tests/cases/unit/{}", entry.file_name().to_string_lossy());
        let text = fs::read_to_string(entry.path()).unwrap();
        let mut announced: Vec<String> =
            text.lines().filter_map(|line| line.strip_prefix("#! ")).map(|line| line.trim().to_owned()).collect();
        for problem in &read(&name, &the_shop()).1 {
            let told = told(problem);
            match announced.iter().position(|line| *line == told) {
                Some(at) => drop(announced.remove(at)),
                None => {
                    let instead = problem.instead.as_deref().unwrap_or("-");
                    writeln!(wrong, "{name}: not announced: {told}\n    {}\n    {instead}", problem.message).unwrap();
                }
            }
        }
        for line in announced {
            writeln!(wrong, "{name}: not told: {line}").unwrap();
        }
        cases += 1;
    }
    assert!(cases >= 2, "cases are missing");
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn every_sheet_of_this_repository_is_good() {
    let mut sheets = 0;
    for entry in fs::read_dir(here("playbooks/units")).unwrap().map(Result::unwrap) {
        let name = format!("playbooks/units/{}", entry.file_name().to_string_lossy());
        let (wired, problems) = read(&name, &the_shop());
        let told: Vec<String> =
            problems.iter().map(|problem| format!("{}: {}", told(problem), problem.message)).collect();
        assert!(told.is_empty(), "{name}: {told:#?}");
        assert_eq!(entry.path().file_stem().unwrap().to_string_lossy(), wired.unit.name);
        sheets += 1;
    }
    assert!(sheets >= 4, "sheets are missing");
}

/// A unit on the bench at one corner, asked by the names of its sheet.
struct Asked {
    wired: Arc<Wired>,
    bench: Bench,
    stood: Stood,
}

fn ask(wired: &Arc<Wired>, corner: Corner, standing: &[(&str, &str)], faults: &[&str]) -> Asked {
    let unit = &wired.unit;
    let mut standing_now = Standing::home(&unit.states);
    for (state, value) in standing {
        standing_now.set(unit.states.stand(state, value).unwrap());
    }
    let faults: Vec<_> = faults
        .iter()
        .map(|fault| {
            let (part, name) = fault.split_once(' ').unwrap();
            unit.fault(part, name).unwrap_or_else(|| panic!("no fault `{fault}`"))
        })
        .collect();
    let mut bench = Bench::new(wired, corner);
    let stood = bench.stand(&standing_now, &faults).unwrap();
    Asked { wired: Arc::clone(wired), bench, stood }
}

impl Asked {
    fn volts(&self, from: &str, to: &str) -> f64 {
        let point = |name| self.wired.unit.point(name).unwrap();
        self.stood.volts(Current::Ac, Probe::Between(point(from), point(to)), 10e6, false).phases[0]
    }

    fn across(&self, pole: &str) -> f64 {
        let (part, pole) = self.wired.unit.pole(pole).unwrap();
        self.stood.volts(Current::Ac, Probe::Across(part, pole), 10e6, false).phases[0]
    }

    fn amps(&self, pole: &str) -> f64 {
        let (part, pole) = self.wired.unit.pole(pole).unwrap();
        self.stood.amps(Current::Ac, part, pole)[0]
    }

    fn ohms(&mut self, from: &str, to: &str) -> Value {
        let point = |name: &str| self.wired.unit.point(name).unwrap();
        let probe = Probe::Between(point(from), point(to));
        self.stood.ohms(&mut self.bench, probe).unwrap()
    }

    fn shows(&self, reading: &str) -> Vec<Shown> {
        self.stood.reading(self.wired.unit.reading(reading).unwrap().0)
    }

    fn number(&self, reading: &str, unit: &str) -> f64 {
        let difference = self.wired.unit.reading(reading).unwrap().1.difference;
        match self.shows(reading)[0] {
            Shown::Number(Reading::Value(value)) => from_base(value, Measured::parse(unit).unwrap(), difference),
            other => panic!("{reading} shows {other:?}"),
        }
    }

    fn word(&self, reading: &str) -> String {
        let unit::model::Scale::Words(words) = &self.wired.unit.reading(reading).unwrap().1.scale else {
            panic!("{reading} has no words");
        };
        match self.shows(reading)[0] {
            Shown::Word(at) => words[at].clone(),
            other => panic!("{reading} shows {other:?}"),
        }
    }
}

fn near(found: f64, expected: f64, share: f64, what: &str) {
    assert!((found - expected).abs() <= share * expected.abs().max(0.05), "{what}: {found} for {expected}");
}

const RINSING: [(&str, &str); 1] = [("rinse", "running")];

/// Source: reference scenario S2 (12 kW delta on 208 V: phasor sums). Its contacts have no ohms; here each line has
/// three of 10 mohm, which takes half a percent.
#[test]
fn booster_in_delta_good_and_broken() {
    let (wired, _) = read("playbooks/units/booster-208.yaml", &the_shop());
    let cases: [(&[&str], [f64; 3], f64); 4] = [
        (&[], [33.3, 33.3, 33.3], 185.0),
        (&["heater-1 open"], [19.2, 19.2, 33.3], 166.3),
        (&["fuse-3 open"], [28.8, 28.8, 0.0], 154.2),
        (&["fuse-3 open", "heater-1 open"], [9.6, 9.6, 0.0], f64::NAN),
    ];
    for (faults, amps, gauge) in cases {
        let asked = ask(&wired, Corner::nominal(), &RINSING, faults);
        for (pole, expected) in ["contactor.pole-1", "contactor.pole-2", "contactor.pole-3"].iter().zip(amps) {
            near(asked.amps(pole), expected, 0.01, pole);
        }
        if gauge.is_finite() {
            near(asked.number("rinse-gauge", "°F"), gauge, 0.02, "gauge");
        }
    }
    let lost = ask(&wired, Corner::nominal(), &RINSING, &["fuse-3 open"]);
    near(lost.across("fuse-3"), 180.0, 0.01, "across the open fuse");
    near(lost.volts("T2", "T3"), 104.0, 0.01, "T2 to T3");
    near(lost.volts("T1", "T2"), 208.0, 0.01, "T1 to T2");
    let mut cold = ask(&wired, Corner::nominal(), &[("power", "locked-out")], &["heater-1 open"]);
    for (from, to, expected) in [("T1", "T2", 21.63), ("T2", "T3", 10.82), ("T3", "T1", 10.82)] {
        let Value::Number(ohms) = cold.ohms(from, to) else { panic!("open") };
        near(ohms, expected, 0.01, from);
    }
}

/// The same heater on 240 V with a high leg draws 28.9 A (12 kW ÷ (√3 × 240 V)); L2 is the leg with 208 V to ground.
#[test]
fn booster_on_a_high_leg() {
    let (wired, _) = read("playbooks/units/booster-240.yaml", &the_shop());
    let asked = ask(&wired, Corner::nominal(), &RINSING, &[]);
    near(asked.amps("contactor.pole-1"), 28.9, 0.01, "line");
    near(asked.volts("L2", "Ground"), 207.8, 0.001, "high leg");
    near(asked.volts("L1", "Ground"), 120.0, 0.001, "leg");
}

/// A low supply and parts at their ends: amps move with both. By hand: 187.2 V on 10.816 ohm × 1.111 (watts −10 %) in
/// delta is 26.98 A a line, 228.8 V on 10.816 ÷ 1.05 is 38.47 A; less half a percent for the contacts.
#[test]
fn corners_of_supply_and_tolerance() {
    let (wired, _) = read("playbooks/units/booster-208.yaml", &the_shop());
    for (supply, parts, expected) in [(End::Low, End::High, 26.98), (End::High, End::Low, 38.47)] {
        let corner = Corner { supply, parts, ..Corner::nominal() };
        near(ask(&wired, corner, &RINSING, &[]).amps("contactor.pole-1"), expected, 0.01, "line");
    }
    // One element apart from the others unbalances the lines; all together never do.
    let (heater, _) = wired.unit.part("heater-1").unwrap();
    let corner = Corner { apart: vec![(heater, End::High)], ..Corner::nominal() };
    let apart = ask(&wired, corner, &RINSING, &[]);
    assert!(apart.amps("contactor.pole-3") - apart.amps("contactor.pole-1") > 1.0);
}

/// A running motor has a power factor, and where it shares a line with an element the amps of that line hang on which way the lines
/// follow each other. By hand, at 208 V with 10 A of element and 4 A of fan at 0.8 (36.87 degrees): the two are 23.13 degrees apart
/// one way and 96.87 the other, so the line draws √(10² + 4² + 2 × 10 × 4 × cos 23.13°) = 13.77 A or 10.32 A.
#[test]
fn a_motor_on_two_of_three_lines() {
    let (wired, _) = read("tests/cases/unit/fan-on-two-lines-208.yaml", &the_shop());
    for (turned, expected) in [(false, 13.77), (true, 10.32)] {
        let asked = ask(&wired, Corner { turned, ..Corner::nominal() }, &[("heat", "on")], &[]);
        near(asked.amps("switch"), expected, 0.01, "line 1");
        near(asked.amps("fan"), 4.0, 0.01, "fan");
    }
    // Both ways are looked at, and only where it shows.
    let ways = |wired: &Arc<Wired>| {
        let desks = Desks::new(wired, &the_shop().meter);
        desks.at_one(|desk| desk.corners(Width::All, &[]).iter().filter(|id| desk.corner(**id).turned).count())
    };
    assert!(ways(&wired) > 0);
    assert_eq!(ways(&read("playbooks/units/booster-208.yaml", &the_shop()).0), 0);
}

/// The fixed point of coils and readings: a string that loses volts starves the module, the valve and the flame.
#[test]
fn readings_hang_on_the_circuit() {
    let (wired, _) = read("tests/cases/unit/gas-fryer-120.yaml", &Shop::built_in());
    let calling: [(&str, &str); 1] = [("heat", "on")];
    let good = ask(&wired, Corner::nominal(), &calling, &[]);
    assert_eq!(good.word("burner-try"), "stays lit");
    near(good.volts("HOT", "GROUND"), 120.0, 0.001, "receptacle");
    // inlet-burning is inlet-resting less inlet-loss: 7.25 less 0.5.
    near(good.number("inlet-burning", "inWC"), 6.75, 1e-6, "inlet");
    let cases: [(&[&str], &str); 6] = [
        (&["high-limit high"], "lights then drops out"),
        (&["high-limit open"], "no flame"),
        (&["module dead"], "no flame"),
        (&["rod coated"], "lights then drops out"),
        (&["mains low"], "lights then drops out"),
        (&["valve open"], "no flame"),
    ];
    for (faults, expected) in cases {
        assert_eq!(ask(&wired, Corner::nominal(), &calling, faults).word("burner-try"), expected, "{faults:?}");
    }
    // Two faults on one reading: the further of two on one side counts; a condition beats both.
    let low = Corner { faults: 0.0, ..Corner::nominal() };
    let both = ask(&wired, low.clone(), &calling, &["rod coated", "rod bent"]);
    near(both.number("flame-signal", "uA"), 0.1, 1e-6, "the further");
    let none = ask(&wired, low.clone(), &calling, &["rod coated", "valve open"]);
    near(none.number("flame-signal", "uA"), 0.0, 1e-9, "no flame, no signal");
    // Opposite sides are both shown, different words too.
    let clash = ask(&wired, low, &calling, &["regulator low", "regulator high"]);
    assert_eq!(clash.shows("manifold").len(), 2);
    assert_eq!(clash.shows("flame-shape").len(), 2);
    // With the plug out the receptacle is still live, and the box is not.
    let out = ask(&wired, Corner::nominal(), &[("power", "locked-out")], &[]);
    let live: Vec<&str> = wired
        .unit
        .points
        .iter()
        .map(|point| point.name.as_str())
        .filter(|name| wired.unit.point(name).is_some_and(|point| out.stood.is_live(point)))
        .collect();
    assert_eq!(live, ["HOT"]);
}

/// A probe tied to a temperature has the ohms of that temperature.
/// Source: IEC 60751: 1000 ohm at 0 °C; scenario S1: 1253.9 ohm at 65.6 °C (150 °F).
#[test]
fn a_probe_follows_its_reading() {
    let (wired, _) = read("playbooks/units/holding-cabinet-208.yaml", &the_shop());
    let out = [("power", "locked-out"), ("covers", "off"), ("probe", "in-ice"), ("probe-plug", "pulled")];
    let mut ice = ask(&wired, Corner::nominal(), &out, &[]);
    let Value::Number(ohms) = ice.ohms("P1", "P2") else { panic!("open") };
    near(ohms, 1000.0, 1e-4, "in ice");
    let mut splice = ask(&wired, Corner::nominal(), &out, &["probe-splice high"]);
    let Value::Number(ohms) = splice.ohms("P1", "P2") else { panic!("open") };
    near(ohms, 1050.0, 1e-4, "through a bad splice");
    let mut hot = ask(&wired, Corner::nominal(), &[("heat", "on")], &[]);
    let Value::Number(ohms) = hot.ohms("P1", "P2") else { panic!("open") };
    near(ohms, 1253.9, 1e-3, "at 150 °F");
}

/// The low-pressure switch waits for the suction pressure, the pressure for the solenoid: one fixed point.
#[test]
fn a_switch_that_waits_for_a_reading() {
    let (wired, _) = read("playbooks/units/walk-in-cooler-208.yaml", &the_shop());
    let calling = [("thermostat", "calling")];
    let good = ask(&wired, Corner::nominal(), &calling, &[]);
    assert_eq!(good.word("what-runs"), "compressor and fan");
    let pumped = ask(&wired, Corner::nominal(), &calling, &["solenoid open"]);
    assert_eq!(pumped.word("what-runs"), "nothing");
    near(pumped.volts("LP1", "L2"), 0.0, 1.0, "after the low-pressure switch");
    let lost = ask(&wired, Corner::nominal(), &calling, &["mains third-line-lost"]);
    assert_eq!(lost.word("what-runs"), "fan only");
}

/// A difference of temperatures is not moved with the zero of the scale: 18 °F less is 18 °F less, and 22 °F of dew with
/// 10 °F of superheat is a line at 32 °F.
#[test]
fn a_difference_of_temperatures() {
    let (wired, _) = read("tests/cases/unit/cold-shelf-120.yaml", &Shop::built_in());
    let calling = [("cold", "on")];
    for (corner, expected) in [(0.0, 8.0), (0.5, 10.0), (1.0, 12.0)] {
        let asked = ask(&wired, Corner { free: corner, ..Corner::nominal() }, &calling, &[]);
        near(asked.number("superheat", "°F"), expected, 1e-9, "superheat");
        near(asked.number("superheat-worked", "°F"), expected, 1e-9, "superheat worked out");
        near(asked.number("line-worked", "°F"), 22.0 + expected, 1e-9, "the line");
    }
    let iced = ask(&wired, Corner::nominal(), &calling, &["coil iced"]);
    near(iced.number("superheat", "°F"), 1.0, 1e-9, "iced");
    let starved = ask(&wired, Corner::nominal(), &calling, &["coil starved"]);
    near(starved.number("superheat", "°F"), 23.4, 1e-9, "13 °C of superheat");
    near(starved.number("box-air", "°F"), 42.0, 1e-9, "a limit on a difference");
    for (at, expected) in [(1, 18.0), (3, 162.0), (4, 18.0)] {
        let plate = &wired.unit.nameplate[at].value;
        near(plate.said(plate.nominal), expected, 1e-9, &wired.unit.nameplate[at].name);
    }
    // The capacitor's fault is meant, not what a capacitor does; and an answer with `and` in it is one answer.
    let weak = ask(&wired, Corner::nominal(), &calling, &["run-capacitor weak"]);
    near(weak.number("box-air", "°F"), 40.0, 1e-9, "with a weak capacitor");
    let good = ask(&wired, Corner::nominal(), &calling, &[]);
    assert_eq!(good.word("what-runs"), "compressor and fan");
    near(good.number("box-air", "°F"), 37.0, 1e-9, "good");
    let no_fan = ask(&wired, Corner::nominal(), &calling, &["fan open"]);
    near(no_fan.number("box-air", "°F"), 50.0, 1e-9, "compressor alone");
}

/// Usual faults nobody spoke of: one advice a group, with lines that silence it.
#[test]
fn usual_faults_left_out() {
    let text = fs::read_to_string(here("playbooks/units/booster-208.yaml")).unwrap();
    let faults = text.find("\nfaults:").unwrap();
    let read = |text: &str| unit::read(&Source::new("booster-208.yaml", text), &the_shop()).1;
    let silent = format!("{}\nfaults:\n  mains:\n    low: {{ volts: 170 V }}\n", &text[..faults]);
    let told: Vec<Problem> = read(&silent);
    let facts: Vec<(&str, &str)> = told.iter().map(|p| (p.rule.code, p.message.split('.').next().unwrap())).collect();
    assert_eq!(
        facts,
        [
            ("usual-faults", "Of its disconnects this sheet leaves out 3 usual faults"),
            ("usual-faults", "Of its fuses this sheet leaves out 4 usual faults"),
            ("usual-faults", "Of its switches this sheet leaves out 4 usual faults"),
            ("usual-faults", "Of its contactors this sheet leaves out 7 usual faults"),
            ("usual-faults", "Of its elements this sheet leaves out 6 usual faults"),
            ("usual-faults", "Of its transformers this sheet leaves out 2 usual faults"),
            ("usual-faults", "Of its joints this sheet leaves out 2 usual faults"),
        ]
    );
    let elements = told[4].instead.as_deref().unwrap();
    assert!(
        elements.starts_with("faults:\n  heater-1:\n    open: { seen: 1 }\n    grounded: { seen: 1 }\n"),
        "{elements}"
    );
    // The lines told are the lines to write.
    let mended = told
        .iter()
        .fold(silent, |text, problem| text + &problem.instead.as_deref().unwrap()["faults:\n".len()..] + "\n");
    assert_eq!(read(&mended).len(), 0, "{mended}");
    // As long as there are errors there is more urgent work.
    let slip = format!("{}\nfaults:\n  mains:\n    low: {{ volts: 170 W }}\n", &text[..faults]);
    assert!(read(&slip).iter().all(Problem::is_error));
}

#[test]
fn the_command_tells_what_the_meter_should_read() {
    let kitchen = Kitchen::new().with_folder("playbooks", "playbooks");
    kitchen
        .run(&["sheet", "booster-208"])
        .ends(0)
        .says("L1 ──┤ disconnect.l1 ├── D1 ──[ fuse-1 ]── F1")
        .says("Live: L1, L2, L3")
        .says("10.82 ohm")
        .says("heater-1 open                       12")
        .says("disconnect l1-open                  the blades are seen to close");
    kitchen
        .run(&["sheet", "booster-208", "--with", "fuse-3 open"])
        .ends(0)
        .says("WITH fuse-3 open")
        .says("fuse-3            0.3 V AC, 33 A                      180.1 V AC\n")
        .says("    fuse-3  0 ohm      OL\n")
        .says("No longer live: F3")
        .never_says("Rating plate");
    let all = kitchen.run(&["sheet", "booster-208", "--with", "fuse-3 open", "--all"]).ends(0);
    all.says("Rating plate").says("180.1 V AC           fuse-3\n");
    // One member of a bank broken: of the others nothing is told.
    kitchen
        .run(&["sheet", "hot-wells-208", "--with", "well-2.element open"])
        .ends(0)
        .says("WITH well-2.element open")
        .says("well-2.element       207 V AC, 5.74 A  207.3 V AC\n")
        .says("well-2.element  36.1 ohm   OL\n")
        .says("well-2.pan           160 to 175 °F     70 to 90 °F")
        .never_says("well-1");
    // A grounded element is found by ohms to ground with the power locked out.
    kitchen
        .run(&["sheet", "booster-208", "--with", "heater-1 grounded"])
        .ends(0)
        .says("to ground, everything in place\n    T1  OL");
    kitchen.run(&["sheet", "booster-208", "--json"]).ends(0).says("\"standings\"");
    kitchen.run(&["sheet", "boster-208"]).ends(1).says("Did you mean `booster-208`?");
    kitchen.run(&["sheet", "booster-208", "--with", "fuse-3 opn"]).ends(1).says("Did you mean `fuse-3 open`?");
    let text = kitchen.read("playbooks/units/booster-208.yaml").replace("watts: 4000 W", "wats: 4000 W");
    kitchen.write("playbooks/units/slip.yaml", text);
    kitchen.run(&["sheet", "slip"]).ends(2).says("wats").says("Write instead").never_says("panicked");
}

/// A draft reads without a problem, of one part and of every group, and its faults are there.
#[test]
fn a_draft_is_a_good_sheet() {
    let kitchen = Kitchen::new();
    let text = kitchen.run(&["draft", "--unit", "new-one"]).ends(0).out;
    for fault in ["heater-1 grounded", "contactor welded", "ssr shorted", "control dead", "run-capacitor weak"] {
        kitchen.write("playbooks/units/new-one.yaml", &text);
        kitchen.run(&["sheet", "new-one", "--with", fault]).ends(0).says(fault);
    }
    let struck = text.replace(
        "    grounded: { seen: 1, where: 50 %, ohms: 1 ohm }\n    # grounded: none, REASON",
        "    grounded: none, new style element",
    );
    assert_ne!(struck, text);
    kitchen.write("playbooks/units/new-one.yaml", struck);
    kitchen.run(&["sheet", "new-one", "--with", "heater-1 grounded"]).ends(1).says("There is no fault");
    let words = ["draft", "--unit", "two", "--part", "elements:left", "--part", "fuses:fuse-1"];
    let text = kitchen.run(&words).ends(0).says("left:").out;
    kitchen.write("playbooks/units/two.yaml", text);
    kitchen.run(&["sheet", "two"]).ends(0).says("43.3 ohm");
    let words = ["draft", "--unit", "decks", "--part", "elements:deck.element", "--part", "fuses:fuse-1"];
    let text = kitchen.run(&words).ends(0).says("banks: { deck: 1 to 2 }").out;
    kitchen.write("playbooks/units/decks.yaml", text);
    kitchen.run(&["sheet", "decks", "--with", "deck-2.element open", "--all"]).ends(0).says("deck-1.element");
    kitchen.run(&["sheet", "decks", "--with", "deck-2.element"]).ends(1).says("There is `deck-2.element open` and");
    kitchen.run(&["draft", "--unit", "two", "--part", "elemnts:left"]).ends(1).says("Did you mean `elements:left`?");
    kitchen.run(&["draft", "--unit", "Two 2"]).ends(1).says("not one word");
}

/// The sheet of the guide, with the slip the guide says it has, and good without it; the guide's table of groups is ours.
#[test]
fn the_sheet_of_the_guide() {
    let guide = fs::read_to_string(here("grammar/guide.md")).unwrap();
    let start = guide.find("```yaml\nunit: kettle-208").expect("the sheet is there") + "```yaml\n".len();
    let sheet = &guide[start..start + guide[start..].find("```").unwrap()];
    let kitchen = Kitchen::new().with("playbooks/units/kettle-208.yaml", sheet);
    kitchen.run(&["sheet", "kettle-208"]).ends(2).says("`welded-both` is no usual fault of `contactor`");
    let good = sheet.replace("  contactor:\n    welded-both: none, one pole goes first\n", "");
    assert_ne!(good, sheet);
    kitchen.write("playbooks/units/kettle-208.yaml", good);
    kitchen.run(&["sheet", "kettle-208"]).ends(0).says("7.21 ohm");
    kitchen.run(&["sheet", "kettle-208", "--with", "fuse-1 open"]).ends(0).says("not at all");
    for group in unit::group::Group::ALL {
        let row = guide.lines().find(|line| {
            line.starts_with("| ")
                && line.split(" | ").next().is_some_and(|c| c.contains(&format!("`{}`", group.word())))
        });
        let row = row.unwrap_or_else(|| panic!("no row for {}", group.word()));
        for key in group.keys() {
            assert!(row.contains(&format!("`{}`", key.name)), "{}: `{}` is not in the guide", group.word(), key.name);
        }
        for usual in group.usual() {
            assert!(row.contains(usual.name), "{}: {} is not in the guide", group.word(), usual.name);
        }
    }
}

/// The playbook compiled on the states and banks of a unit.
fn compiled(path: &str, text: &str, wired: &Wired) -> ruleout::playbook::model::Playbook {
    let (tree, _) = ruleout::language::parse(&Source::new(path, text));
    let banks: Vec<_> = wired
        .unit
        .banks
        .iter()
        .map(|bank| ruleout::playbook::model::Bank { name: bank.name.clone(), members: bank.members.clone() })
        .collect();
    let ground = ruleout::playbook::compile::Ground { states: &wired.unit.states, banks: &banks, desks: None };
    ruleout::playbook::compile::compile(&tree.unwrap(), ground).0.unwrap()
}

/// Every playbook of this repository names only what the sheets of its units have.
#[test]
fn playbooks_and_sheets_go_together() {
    let shop = the_shop();
    let mut pairs = 0;
    for entry in walkdir::WalkDir::new(here("playbooks")).sort_by_file_name().into_iter().map(Result::unwrap) {
        if entry.path().extension().is_none_or(|ending| ending != "playbook") {
            continue;
        }
        let text = fs::read_to_string(entry.path()).unwrap();
        let outline = ruleout::language::parse(&Source::new("p", text.as_str())).0.unwrap();
        for name in ruleout::playbook::outline::Outline::of(&outline).units {
            let sheet = format!("playbooks/units/{name}.yaml");
            if !here(&sheet).is_file() {
                continue;
            }
            let (wired, _) = read(&sheet, &shop);
            let playbook = compiled(&entry.path().to_string_lossy(), &text, &wired);
            // Advice may be accepted; that all of it is, `check` is asked below.
            let told: Vec<String> = ruleout::check::places::against(&playbook, &wired)
                .iter()
                .filter(|problem| problem.is_error())
                .map(|problem| format!("line {}: {}", problem.place.line(), problem.message))
                .collect();
            assert!(told.is_empty(), "{} on {name}: {told:#?}", entry.path().display());
            pairs += 1;
        }
    }
    assert!(pairs >= 5, "{pairs} pairs");
}

/// Each slip of a name, on the booster; the line as it stands and what is said.
#[test]
fn names_a_sheet_does_not_have() {
    let (wired, _) = read("playbooks/units/booster-208.yaml", &the_shop());
    let text = fs::read_to_string(here("playbooks/booster/booster-cold.playbook")).unwrap();
    let cases = [
        ("V AC from C1 to X2", "V AC from C9 to X2", "no-such-place", "has no point `C9`"),
        ("V AC from C4 to X2", "V AC across contactor.coli", "no-such-place", "has no part `contactor.coli`"),
        ("V AC from C4 to X2", "V AC across contactor", "no-such-place", "has several poles"),
        ("V AC from C4 to X2", "V AC across tank", "no-such-place", "is in no rung"),
        ("V AC from C4 to X2", "V DC across contactor.coil", "meter-function", "is a part of the AC circuit"),
        ("A through contactor.pole-1", "A through T1", "no-such-place", "is no supply terminal"),
        ("gpm at rinse-flow", "gpm at rinse-flo", "no-such-place", "has no reading `rinse-flo`"),
        ("gpm at rinse-flow", "psi at rinse-flow", "meter-function", "is read in gpm"),
        ("answers    tank-inside", "answers    tank-insides", "sheet-answers", "Did you mean `tank-inside`?"),
        ("  answers    tank-inside\n", "", "ask-without-answers", "is tied to no reading of `booster-208`"),
        ("if         scaled over", "if         scaled", "sheet-answers", "never says `scaled`"),
        ("for        high-limit tripped", "for        high-limit triped", "no-such-fault", "Did you mean `tripped`?"),
        ("for        rinse-jets", "for        rinse-jet", "no-such-fault", "Did you mean `rinse-jets`?"),
    ];
    for (good, slip, code, words) in cases {
        assert!(text.contains(good), "{good}");
        let playbook = compiled("booster-cold.playbook", &text.replacen(good, slip, 1), &wired);
        let problems = ruleout::check::places::against(&playbook, &wired);
        assert!(
            problems.iter().any(|p| p.rule.code == code && p.message.contains(words)),
            "{slip}: {:?}",
            problems.iter().map(|p| (p.rule.code, &p.message)).collect::<Vec<_>>()
        );
    }
}

/// A question the shakedown cannot answer is told with the reading that has its words; with a reason it may stand. A unit
/// without a sheet has nothing to tie it to.
#[test]
fn a_question_is_tied_or_has_its_reason() {
    let kitchen = Kitchen::new().with_folder("playbooks", "playbooks");
    let path = "playbooks/booster/booster-cold.playbook";
    let text = kitchen.read(path);
    let tie = "  answers    tank-inside\n";
    assert!(text.contains(tie));
    kitchen.write(path, text.replace(tie, ""));
    let told = kitchen.run(&["check"]).ends(0);
    told.says("ask-without-answers").says("               answers  tank-inside\n").says("cannot answer it.");
    kitchen.write(path, text.replace(tie, "  accept     ask-without-answers: The inside is judged by eye.\n"));
    kitchen.run(&["check"]).ends(0).never_says("ask-without-answers").never_says("accepts-nothing");
    for unit in ["booster-208", "booster-240"] {
        fs::remove_file(kitchen.path().join(format!("playbooks/units/{unit}.yaml"))).unwrap();
    }
    kitchen.write(path, text.replace(tie, ""));
    kitchen.run(&["check"]).never_says("ask-without-answers");
}

/// `check` reads the sheets: their slips are told, and a playbook is held to the sheet of each of its units.
#[test]
fn check_holds_playbooks_to_their_sheets() {
    let kitchen = Kitchen::new().with_folder("playbooks", "playbooks");
    kitchen.run(&["check"]).ends(0).never_says("ask-without-answers").never_says("No sheet declares the state `rinse`");
    let text = kitchen.read("playbooks/booster/booster-cold.playbook");
    kitchen.write("playbooks/booster/booster-cold.playbook", text.replace("from C1 to X2", "from C1 to X9"));
    kitchen.run(&["check"]).ends(2).says("`booster-208` has no point `X9`").says("`booster-240` has no point `X9`");
    kitchen.write("playbooks/booster/booster-cold.playbook", text);
    let sheet = kitchen.read("playbooks/units/booster-208.yaml");
    kitchen.write("playbooks/units/booster-208.yaml", sheet.replace("T1 heater-1 T2", "T1 heatr-1 T2"));
    kitchen.run(&["check"]).ends(2).says("There is no part `heatr-1`.");
}
