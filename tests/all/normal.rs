//! What a good unit reads: by hand, against a slow and obvious second way of working it out, and against the worked scenarios.

use crate::support::{desks, desks_of};
use ruleout::corners::{Desks, Width};
use ruleout::language::parse;
use ruleout::playbook::bounds::Good;
use ruleout::playbook::compile::{Ground, compile};
use ruleout::playbook::model::{Bank, Playbook, Scale, TestId};
use ruleout::playbook::takings::Takings;
use ruleout::sheet::shop::{self, Shop};
use ruleout::sheet::unit::model::{Effect, Fault};
use ruleout::text::source::Source;
use ruleout::trade::meter::accuracy::Accuracy;
use ruleout::trade::reading::Reading;
use std::fs;
use std::path::PathBuf;

fn here(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// The shop of this project: V AC 1 % + 3 counts of 0.1, A AC 2 % + 5 counts of 0.1, ohm 0.9 % + 2 counts of 0.1.
fn the_shop() -> Shop {
    shop::read(&Source::new("shop.yaml", fs::read_to_string(here("playbooks/shop.yaml")).unwrap())).0
}

/// A playbook of these tests, each with its lines, compiled on a unit.
fn compiled(desks: &Desks, tests: &[(&str, &str)]) -> Playbook {
    let mut text = String::from("playbook p: Tests\nunit u\nrevised 2026-11-25\nfinish t1\n");
    for ((with, lines), at) in tests.iter().zip(1..) {
        text.push_str(&format!("test t{at}: Test\n  with {with}\n"));
        lines.lines().for_each(|line| text.push_str(&format!("  {line}\n")));
    }
    text.push_str("escalate stop: Stop\n  to lead\n  because It stops.\n");
    let (tree, problems) = parse(&Source::new("p", text.as_str()));
    assert!(problems.is_empty(), "{text}\n{:?}", problems.iter().map(|p| &p.message).collect::<Vec<_>>());
    let states = &desks.wired().unit.states;
    let (playbook, problems) = compile(&tree.unwrap(), Ground { states, banks: &[], desks: Some(desks) });
    let errors: Vec<_> = problems.iter().filter(|p| p.is_error()).map(|p| &p.message).collect();
    assert!(errors.is_empty(), "{text}\n{errors:?}");
    playbook.unwrap()
}

const LINES: &str = "good normal go to stop\nif below normal go to stop\nif above normal go to stop";

fn good(playbook: &Playbook, at: usize) -> Good {
    let test = &playbook.tests[at];
    assert!(matches!(test.scale, Scale::Numbers(_)), "t{}: {:?}", at + 1, test.no_normal);
    test.good_reads.unwrap().good
}

const LIVE: &str = "power live, covers off, heat on";
const DEAD: &str = "power locked-out, covers off";
const KETTLE: &str = "\
unit: kettle-240
title: Kettle
nameplate:
  line: 240 V AC ±10 %
states:
  power:
    disconnects: [plug]
  heat:
    values: [off, on]
    only while: power live
    to on: Switch it on.
    to off: Switch it off.
calling: heat on
circuit:
  supplies:
    mains: { points: [L1, L2], volts: line, grounded: middle }
  rungs:
    - L1 plug.l1 A1 thermostat T1 heater A2 plug.l2 L2
parts:
  disconnects:
    plug: { poles: [l1, l2] }
  switches:
    thermostat: { closed when: heat on }
  elements:
    heater: { watts: 4000 W, volts: 240 V, tolerance: watts +5 -10 % }
readings:
  lamp-look: { words: [lit, dark] }
";

/// One load, by hand: 240 V and 4 kW are 14.4 ohm; 3 contacts of 10 mohm in the line.
#[test]
fn one_load_by_hand() {
    let desks = desks_of("kettle", KETTLE, &the_shop());
    let playbook = compiled(
        &desks,
        &[
            (LIVE, &format!("measure A through heater\n{LINES}")),
            (LIVE, &format!("measure V AC from L1 to L2\n{LINES}")),
            (DEAD, &format!("measure ohm of heater\n{LINES}")),
            (LIVE, &format!("measure V AC across thermostat\n{LINES}")),
            (DEAD, &format!("measure ohm from A1 to T1\n{LINES}")),
        ],
    );
    // Lowest: 216 V across 14.4 ÷ 0.9 = 16 ohm, 13.475 A with the contacts, less 2 % and 0.5 A: 12.705, rounded outwards 12.7.
    // Highest: 264 V across 14.4 ÷ 1.05 = 13.714 ohm, 19.208 A with them, and 2 % and 0.5 A: 20.09, outwards 20.1.
    assert_eq!(good(&playbook, 0), Good { low: 12.7, high: 20.1, over_limit: false });
    // 216 V less 1 % and 0.3 V is 213.54; 264 V and 1 % and 0.3 V is 266.94, outwards 267, and a step in hand.
    assert_eq!(good(&playbook, 1), Good { low: 213.5, high: 267.1, over_limit: false });
    // 13.714 ohm less 0.9 % and 0.2 is 13.39; 16 ohm and 0.9 % and 0.2 is 16.344.
    assert_eq!(good(&playbook, 2), Good { low: 13.3, high: 16.4, over_limit: false });
    // 10 mohm at 19.2 A is 0.19 V, and 0.3 V: it starts at zero, where no meter on AC goes below.
    assert_eq!(good(&playbook, 3), Good { low: 0.0, high: 0.5, over_limit: false });
    // The thermostat is at rest with the heat off: open.
    assert_eq!(good(&playbook, 4), Good { low: f64::INFINITY, high: f64::INFINITY, over_limit: true });
}

/// 9 °F of superheat are 5 °C, not −13: what is one temperature less another does not move with the zero of the scale, in the
/// unit of the measure, of the limit, of a sum, and of what somebody types.
#[test]
fn a_difference_is_one_in_every_unit() {
    let sheet = KETTLE.replace(
        "readings:\n",
        "readings:\n  split: { in: °F difference, good: 9 to 18 °F }\n  air: { in: °F, good: 50 to 59 °F }\n",
    );
    let desks = desks_of("kettle", &sheet, &Shop::built_in());
    let limits = "good 9 to 18 °F go to stop\nif below 9 °F go to stop\nif above 18 °F go to stop";
    let playbook = compiled(
        &desks,
        &[
            (LIVE, &format!("measure °C at split\n{LINES}")),
            (LIVE, &format!("measure °C at split\n{limits}")),
            (
                LIVE,
                &format!(
                    "measure °F at split, call it split\nmeasure °C at air, call it air\ncalculate air + split in °C\n{LINES}"
                ),
            ),
            (LIVE, &format!("measure °C at air, change over 5 minutes\n{limits}")),
            (LIVE, &format!("measure °C at air\n{limits}")),
        ],
    );
    assert_eq!(good(&playbook, 0), Good { low: 5.0, high: 10.0, over_limit: false });
    let takes = |at: usize| {
        let test = &playbook.tests[at];
        ruleout::playbook::told::bands(&test.branches[0].takes, test.bounds.as_ref().unwrap().unit()).unwrap()
    };
    assert_eq!(takes(1), "5 to 10 °C");
    assert_eq!(good(&playbook, 2), Good { low: 15.0, high: 25.0, over_limit: false });
    assert_eq!(takes(3), "5 to 10 °C", "a change over time");
    assert_eq!(takes(4), "-12.7777778 to -7.77777778 °C", "a point of the scale");
    let celsius = ruleout::trade::unit::Unit::of("°C").unwrap();
    assert_eq!(Reading::parse_as("18 °F", celsius, true), Ok(Reading::Value(10.0)));
}

// ---- the second way ---------------------------------------------------------------------------------------------------

type C = (f64, f64);

fn add(a: C, b: C) -> C {
    (a.0 + b.0, a.1 + b.1)
}
fn sub(a: C, b: C) -> C {
    (a.0 - b.0, a.1 - b.1)
}
fn mul(a: C, b: C) -> C {
    (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
}
fn div(a: C, b: C) -> C {
    let d = b.0 * b.0 + b.1 * b.1;
    ((a.0 * b.0 + a.1 * b.1) / d, (a.1 * b.0 - a.0 * b.1) / d)
}
fn len(a: C) -> f64 {
    a.0.hypot(a.1)
}

/// The bank of `bank-208.yaml` as a netlist, solved whole by elimination at one corner: the three line amps.
/// Points: 0 to 2 the lines (held by the supply), then D, F, T of each line, then C1.
fn line_amps(volts: f64, elements: [f64; 3]) -> [f64; 3] {
    let contact = (0.01, 0.0);
    let coil = 208.0 / 0.085;
    let coil = (180.0, f64::sqrt(coil * coil - 180.0 * 180.0));
    let mut branches: Vec<(usize, usize, C)> = Vec::new();
    for line in 0..3 {
        branches.push((line, 3 + line, contact));
        branches.push((3 + line, 6 + line, contact));
        branches.push((6 + line, 9 + line, contact));
    }
    branches.push((9, 10, (elements[0], 0.0)));
    branches.push((10, 11, (elements[1], 0.0)));
    branches.push((11, 9, (elements[2], 0.0)));
    branches.push((6, 12, contact));
    branches.push((12, 7, coil));
    let held: Vec<C> = (0..3)
        .map(|phase| {
            let angle = -f64::from(phase) * 2.0 * std::f64::consts::PI / 3.0;
            (volts / 3_f64.sqrt() * angle.cos(), volts / 3_f64.sqrt() * angle.sin())
        })
        .collect();
    let mut rows = vec![vec![(0.0, 0.0); 11]; 10];
    for (from, to, ohms) in &branches {
        let y = div((1.0, 0.0), *ohms);
        for (here, there) in [(*from, *to), (*to, *from)] {
            if here < 3 {
                continue;
            }
            rows[here - 3][here - 3] = add(rows[here - 3][here - 3], y);
            if there < 3 {
                rows[here - 3][10] = add(rows[here - 3][10], mul(y, held[there]));
            } else {
                rows[here - 3][there - 3] = sub(rows[here - 3][there - 3], y);
            }
        }
    }
    for pivot in 0..10 {
        let best = (pivot..10).max_by(|a, b| len(rows[*a][pivot]).total_cmp(&len(rows[*b][pivot]))).unwrap();
        rows.swap(pivot, best);
        for row in 0..10 {
            if row != pivot {
                let times = div(rows[row][pivot], rows[pivot][pivot]);
                let whole = rows[pivot].clone();
                for (cell, above) in rows[row].iter_mut().zip(whole) {
                    *cell = sub(*cell, mul(times, above));
                }
            }
        }
    }
    let at = |point: usize| if point < 3 { held[point] } else { div(rows[point - 3][10], rows[point - 3][point - 3]) };
    [0, 1, 2].map(|line| len(div(sub(at(6 + line), at(9 + line)), contact)))
}

const RATED: f64 = 208.0 * 208.0 / 4000.0;
/// Watts +5 −10 %, so ohms the other way round.
const LOW: f64 = RATED / 1.05;
const HIGH: f64 = RATED / 0.9;

/// How the elements stand: all as rated, all low, all high, each against the others.
fn element_corners() -> Vec<[f64; 3]> {
    let mut all = vec![[RATED; 3], [LOW; 3], [HIGH; 3]];
    for apart in 0..3 {
        for (one, others) in [(LOW, HIGH), (HIGH, LOW)] {
            let mut corner = [others; 3];
            corner[apart] = one;
            all.push(corner);
        }
    }
    all
}

const AMPS: Accuracy = Accuracy { share: 0.02, counts: 5.0, step: 0.1 };
const VOLTS: Accuracy = Accuracy { share: 0.01, counts: 3.0, step: 0.1 };

/// The amps as they are, and every way three readings may be off.
fn off(amps: [f64; 3]) -> Vec<[f64; 3]> {
    let mut all = vec![amps];
    for pattern in 0..8 {
        let mut set = amps;
        for (at, value) in set.iter_mut().enumerate() {
            let (low, high) = AMPS.window(*value);
            *value = if pattern & (1 << at) == 0 { low } else { high };
        }
        all.push(set);
    }
    all
}

/// Largest step from the mean, in percent of it. Source: NEMA MG 1, 12.45.
fn unbalance(amps: [f64; 3]) -> f64 {
    let mean = amps.iter().sum::<f64>() / 3.0;
    amps.iter().map(|a| (a - mean).abs()).fold(0.0, f64::max) / mean * 100.0
}

fn lowest(amps: [f64; 3]) -> f64 {
    amps.into_iter().fold(f64::INFINITY, f64::min)
}

fn highest(amps: [f64; 3]) -> f64 {
    amps.into_iter().fold(0.0, f64::max)
}

fn measures(sum: &str) -> String {
    format!(
        "measure A through contactor.pole-1, call it i1\nmeasure A through contactor.pole-2, call it i2\nmeasure A through contactor.pole-3, call it i3\ncalculate {sum}\n{LINES}"
    )
}

/// Every corner solved whole, nothing kept, against the compiled limits; sums of readings taken together.
#[test]
fn sums_against_a_dense_solve_of_every_corner() {
    let desks = desks("tests/cases/normal/bank-208.yaml", &the_shop());
    type Judged = fn([f64; 3]) -> f64;
    let sums: [(&str, Judged); 5] = [
        ("lowest(i1, i2, i3)", lowest),
        ("highest(i1, i2, i3)", highest),
        ("unbalance(i1, i2, i3)", unbalance),
        ("spread(i1, i2, i3)", |a| highest(a) - lowest(a)),
        ("average(i1, i2, i3)", |a| a.iter().sum::<f64>() / 3.0),
    ];
    // A name stands for one reading of one test.
    let own = |text: String, at: usize| {
        [1, 2, 3].iter().fold(text, |t, n| t.replace(&format!("i{n}"), &format!("i{n}-{at}")))
    };
    let texts: Vec<String> = sums.iter().enumerate().map(|(at, (sum, _))| own(measures(sum), at)).collect();
    let tests: Vec<(&str, &str)> = texts.iter().map(|text| (LIVE, text.as_str())).collect();
    let playbook = compiled(&desks, &tests);
    for (at, (sum, judged)) in sums.iter().enumerate() {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for share in [0.9, 1.0, 1.1] {
            for elements in element_corners() {
                for set in off(line_amps(208.0 * share, elements)) {
                    low = low.min(judged(set));
                    high = high.max(judged(set));
                }
            }
        }
        let want = Good { low: (low * 10.0).floor() / 10.0, high: (high * 10.0).ceil() / 10.0, over_limit: false };
        let got = good(&playbook, at);
        assert!(
            (got.low - want.low).abs() < 1e-6 && (got.high - want.high).abs() < 1e-6,
            "{sum}: compiled {got:?}, solved one by one {want:?}"
        );
    }
}

/// A load that is open leaves its supply good, and higher than under load: the volts with nothing drawn are those of the supply,
/// here 228.8 V at the highest, less nothing in wires, fuses and contacts. By hand: a delta of equal elements is a star of a third
/// of their ohms behind 30 mohm of disconnect, fuse and pole in each line.
#[test]
fn normal_volts_reach_from_loaded_to_unloaded() {
    let desks = desks("tests/cases/normal/bank-208.yaml", &the_shop());
    let one = format!("measure V AC from T1 to T2, loaded\n{LINES}");
    let three = format!(
        "measure V AC from T1 to T2, call it t12\nmeasure V AC from T2 to T3, call it t23\nmeasure V AC from T3 to T1, call it t31\ncalculate lowest(t12, t23, t31)\n{LINES}"
    );
    let through = format!("measure V AC across contactor.pole-1, loaded\n{LINES}");
    let playbook = compiled(&desks, &[(LIVE, &one), (LIVE, &three), (LIVE, &through)]);
    // Rounded outwards, and a step of the meter in hand.
    let highest = (VOLTS.window(208.0 * 1.1).1 * 10.0).ceil() / 10.0 + 0.1;
    let loaded = 208.0 * 0.9 * (LOW / 3.0) / (LOW / 3.0 + 0.030);
    for at in [0, 1] {
        let good = good(&playbook, at);
        assert!((good.high - highest).abs() < 1e-9, "t{}: {good:?}, unloaded {highest}", at + 1);
        assert!((good.low - VOLTS.window(loaded).0).abs() < 0.5, "t{}: {good:?}, loaded {loaded}", at + 1);
        let told = playbook.tests[at].reckoned.as_ref().unwrap().told();
        assert!(told.contains("with everything off up to 228.8 V"), "{told}");
    }
    // Across a closed contact there is next to nothing, loaded or not: no other supply is met there.
    assert!(good(&playbook, 2).high < 1.0, "{:?}", good(&playbook, 2));
}

/// Whatever load of our own units is open, by itself: what `normal` of volts judges never reads above it, in any corner, with the
/// meter as far off as it may be.
#[test]
fn an_open_load_reads_above_normal_nowhere() {
    let shop = the_shop();
    let mut judged = 0;
    for (unit, book) in [
        ("booster-208", "booster/booster-cold"),
        ("booster-240", "booster/booster-cold"),
        ("gas-fryer-120", "gas-fryer/fryer-no-light"),
        ("holding-cabinet-208", "holding-cabinet/food-cold"),
        ("hot-wells-208", "hot-wells/well-cold"),
        ("ice-machine-208", "ice-machine/high-pressure"),
        ("walk-in-cooler-208", "walk-in-cooler/box-warm"),
    ] {
        let desks = desks(&format!("playbooks/units/{unit}.yaml"), &shop);
        let text = fs::read_to_string(here(&format!("playbooks/{book}.playbook"))).unwrap();
        let (tree, _) = parse(&Source::new("p", text));
        let banks: Vec<Bank> = desks
            .wired()
            .unit
            .banks
            .iter()
            .map(|b| Bank { name: b.name.clone(), members: b.members.clone() })
            .collect();
        let states = &desks.wired().unit.states;
        let playbook = compile(&tree.unwrap(), Ground { states, banks: &banks, desks: Some(&desks) }).0.unwrap();
        desks.at_one(|desk| {
            let unit = std::sync::Arc::clone(&desk.wired().unit);
            let opens = |fault: &Fault| {
                !fault.effects.is_empty() && fault.effects.iter().all(|e| matches!(e, Effect::Opens(_)))
            };
            for (id, test) in playbook.tests() {
                let by_normal = test.branches.iter().any(|branch| branch.words == "normal");
                let volts = matches!(test.scale, Scale::Numbers(unit) if unit.symbol() == "V");
                let Some(normal) = test.good_reads.filter(|_| by_normal && volts) else { continue };
                for takings in Takings::of(&playbook, desk.wired(), id, None).unwrap() {
                    for (fault, _) in unit.faults().filter(|(_, fault)| opens(fault)) {
                        for corner in desk.corners(Width::Three, &[]) {
                            for set in takings.sets(desk, corner, None, &[fault]).unwrap() {
                                for end in std::iter::once(set.clone()).chain(desk.ends(&takings.taps(), &set)) {
                                    let Some(Reading::Value(reads)) = takings.result(&end).unwrap() else { continue };
                                    let name = unit.fault_name(fault);
                                    assert!(
                                        reads <= normal.good.high,
                                        "{book}, {}, {name}: {reads}, {normal:?}",
                                        test.name
                                    );
                                    judged += 1;
                                }
                            }
                        }
                    }
                }
            }
        });
    }
    assert!(judged > 1000, "{judged}");
}

/// A good delta bank with its elements at +5, +5, −10 % of their watts is normal: 4.9 % (trade facts, unbalance of a healthy
/// bank, here with a meter that is never off). All parts together would show none, and would call it bad; separate ranges of
/// the three amps would let twice as much pass.
#[test]
fn a_good_bank_is_a_little_unbalanced() {
    let meterless = Shop::built_in();
    let desks = desks("tests/cases/normal/bank-208.yaml", &meterless);
    let playbook = compiled(&desks, &[(LIVE, &measures("unbalance(i1, i2, i3)"))]);
    let normal = good(&playbook, 0);
    let told = unbalance(line_amps(208.0, [LOW, LOW, HIGH]));
    assert!((told - 4.9).abs() < 0.1, "{told}");
    // Two elements low and one high is a little worse still.
    let worst = unbalance(line_amps(208.0, [HIGH, HIGH, LOW]));
    assert!(
        worst > told && normal.low == 0.0 && normal.high >= worst && normal.high < worst + 0.1,
        "{normal:?}, {worst}"
    );
    // Separate ranges: one line at its lowest of all corners, the others at their highest.
    let corners: Vec<[f64; 3]> = [0.9, 1.0, 1.1]
        .iter()
        .flat_map(|v| element_corners().into_iter().map(move |e| line_amps(208.0 * v, e)))
        .collect();
    let least = corners.iter().map(|amps| lowest(*amps)).fold(f64::INFINITY, f64::min);
    let most = corners.iter().map(|amps| highest(*amps)).fold(0.0, f64::max);
    assert!(unbalance([least, most, most]) > 2.0 * normal.high, "{least} {most}");
    // An open element stands far outside: two lines at 58 %.
    assert!(unbalance(line_amps(208.0, [1e9, RATED, RATED])) > 15.0);
}

/// `normal at`: whatever a good bank and the meter may show together is good, and little else.
#[test]
fn normal_at_the_supply_against_a_dense_solve() {
    let desks = desks("tests/cases/normal/bank-208.yaml", &the_shop());
    let text = measures("lowest(i1, i2, i3)").replace("normal go", "normal at supply go");
    let text = format!("measure V AC from L1 to L2, call it supply\n{text}");
    let playbook = compiled(&desks, &[(LIVE, &text)]);
    let moving = playbook.tests[0].moving.as_ref().expect("limits that go with the supply");
    assert!(matches!(playbook.tests[0].scale, Scale::Numbers(_)));
    // What is shown together: volts and the lowest amps, each as far off as it may be.
    let mut shown: Vec<(f64, f64)> = Vec::new();
    for step in 0..=40 {
        let volts = 208.0 * (0.9 + 0.005 * f64::from(step));
        let (low, high) = VOLTS.window(volts);
        for elements in element_corners() {
            for set in off(line_amps(volts, elements)) {
                shown.extend([volts, low, high].map(|volts| (volts, lowest(set))));
            }
        }
    }
    for (volts, amps) in &shown {
        let good = moving.good(*volts);
        assert!(good.low <= *amps && *amps <= good.high, "{volts} V, {amps} A: {good:?}");
    }
    // Little else: at any volts the limits are those of what may stand behind them, to the meter's step and one more.
    for volts in [190.0, 203.0, 208.0, 215.0, 226.0] {
        let near: Vec<f64> = shown.iter().filter(|(v, _)| (v - volts).abs() < 1.2).map(|(_, amps)| *amps).collect();
        let (low, high) =
            (near.iter().copied().fold(f64::INFINITY, f64::min), near.iter().copied().fold(0.0, f64::max));
        let good = moving.good(volts);
        assert!(good.low > low - 0.5 && good.high < high + 0.5, "{volts} V: {good:?}, shown {low} to {high}");
    }
    // Outside the nameplate the last piece goes on.
    assert!(moving.is_outside(180.0) && moving.is_outside(230.0) && !moving.is_outside(208.0));
    let beyond = moving.good(170.0);
    assert!(beyond.low < moving.good(187.2).low && beyond.low > 20.0, "{beyond:?}");
}

/// A reading that does not go with one supply is no supply; without a sheet everything is judged by the technician.
#[test]
fn what_is_no_supply() {
    let desks = desks("tests/cases/normal/bank-208.yaml", &the_shop());
    let lines = LINES.replace("normal go", "normal at volts go");
    for (place, is_supply) in
        [("from T1 to T2", true), ("from L1 to Ground", true), ("across fuse-1", false), ("from D1 to L1", false)]
    {
        let text = format!(
            "measure V AC {place}, call it volts\nmeasure A through contactor.pole-3, call it i\ncalculate lowest(i)\n{lines}"
        );
        let playbook = compiled(&desks, &[(LIVE, &text)]);
        assert_eq!(playbook.tests[0].moving.is_some(), is_supply, "{place}: {:?}", playbook.tests[0].no_normal);
    }
    // With the heat off the load side is dead: nothing to go by.
    let text = format!(
        "measure V AC from T1 to T2, loaded, call it volts\nmeasure A through contactor.pole-3, call it i\ncalculate lowest(i)\n{lines}"
    );
    let playbook = compiled(&desks, &[("power live, covers off, heat off", &text)]);
    assert!(playbook.tests[0].moving.is_none() && matches!(playbook.tests[0].scale, Scale::Judged(_)));
}

/// The rows of the worked scenarios.
#[test]
fn the_worked_scenarios() {
    let shop = the_shop();
    let text = fs::read_to_string(here("tests/cases/normal/scenarios.csv")).unwrap();
    let mut rows = 0;
    for line in text.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let cells = cells(line);
        let [unit, with, measure, faults, value, within, is_good, ..] = cells.as_slice() else { panic!("{line}") };
        let desks = desks(&format!("playbooks/units/{unit}.yaml"), &shop);
        let playbook = compiled(&desks, &[(with, &format!("measure {measure}\n{LINES}"))]);
        let normal = good(&playbook, 0);
        let value: f64 = value.parse().unwrap();
        let within: f64 = within.parse().unwrap();
        let shown = desks.at_one(|desk| {
            let faults: Vec<_> = faults
                .split(" + ")
                .filter(|name| !name.is_empty())
                .map(|name| {
                    let (owner, fault) = name.split_once(' ').unwrap();
                    desk.wired().unit.fault(owner, fault).unwrap_or_else(|| panic!("{line}"))
                })
                .collect();
            let takings = Takings::of(&playbook, desk.wired(), TestId(0), None).unwrap();
            let corner = desk.corners(Width::Three, &[])[0];
            takings[0].sets(desk, corner, None, &faults).unwrap()[0][0]
        });
        let Reading::Value(shown) = shown else { panic!("{line}: OL") };
        let off = if value == 0.0 { shown.abs() * 100.0 } else { (shown / value - 1.0).abs() * 100.0 };
        assert!(within == 0.0 || off <= within, "{line}: our unit shows {shown}");
        let lies = normal.low <= value && value <= normal.high;
        assert_eq!(lies, is_good == "yes", "{line}: normal is {normal:?}");
        rows += 1;
    }
    assert!(rows >= 20);
}

/// The superheat and subcooling of scenario S5, in the tests of the walk-in cooler's own playbook. Source: shared reference
/// data, scenario_expected.csv: 7.17 K and 5.48 K healthy, 22.98 K and 0.18 K short of refrigerant; times 1.8 in °F.
#[test]
fn superheat_of_the_worked_scenario() {
    let desks = desks("playbooks/units/walk-in-cooler-208.yaml", &the_shop());
    let text = fs::read_to_string(here("playbooks/walk-in-cooler/box-warm.playbook")).unwrap();
    let (tree, _) = parse(&Source::new("p", text));
    let ground = Ground { states: &desks.wired().unit.states, banks: &[], desks: Some(&desks) };
    let playbook = compile(&tree.unwrap(), ground).0.unwrap();
    for (name, healthy, short) in [("superheat", 7.1699, 22.9758), ("subcooling", 5.4754, 0.1837)] {
        let test = playbook.tests.iter().find(|test| test.name == name).unwrap_or_else(|| panic!("no test {name}"));
        let normal = test.good_reads.unwrap().good;
        let inside = |kelvin: f64| normal.low <= 1.8 * kelvin && 1.8 * kelvin <= normal.high;
        assert!(inside(healthy) && !inside(short), "{name}: {normal:?}");
    }
}

fn cells(line: &str) -> Vec<String> {
    let (mut cells, mut cell, mut quoted) = (Vec::new(), String::new(), false);
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(std::mem::take(&mut cell)),
            c => cell.push(c),
        }
    }
    cells.push(cell);
    cells
}

/// A point that stays live in a locked-out machine prints its own danger, in front of everything, where its author has none.
#[test]
fn what_stays_live_says_so() {
    let desks = desks("playbooks/units/holding-cabinet-208.yaml", &the_shop());
    let receptacle = format!("measure V AC from X to Y, loaded\n{LINES}");
    let said = format!("danger The receptacle is live.\n{receptacle}");
    let inside = format!("measure ohm of element-1\n{LINES}");
    let playbook = compiled(&desks, &[("power locked-out", &receptacle), ("power locked-out", &said), (DEAD, &inside)]);
    let dangers: Vec<Vec<&str>> = playbook
        .tests
        .iter()
        .map(|test| {
            let dangers = test.steps.iter().filter_map(|step| match step {
                ruleout::playbook::model::Step::Signal(_, text, _) => Some(text.as_str()),
                _ => None,
            });
            dangers.collect()
        })
        .collect();
    let [alone, with_word, dead] = dangers.as_slice() else { panic!("{dangers:?}") };
    assert!(
        matches!(alone.as_slice(), [one] if one.starts_with("X and Y stay live with this machine locked out, 120 V to ground")),
        "{alone:?}"
    );
    assert_eq!(with_word.as_slice(), ["The receptacle is live."]);
    assert!(dead.is_empty(), "{dead:?}");
}
