//! How long it takes to check a playbook against the sheet of a unit: 20 tests, 40 points. `cargo bench --bench corners`.
//!
//! 1. One playbook on a unit nobody has read yet, then on one that has been read before, and where the time goes.
//! 2. 1,000 pairings of a playbook and a unit on the threads there are.

#![expect(clippy::disallowed_methods, reason = "a benchmark times")]
#![expect(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a benchmark prints what it measured and stops at the first thing that is wrong"
)]

use rayon::prelude::*;
use ruleout::check::{Subject, check};
use ruleout::circuit::unit::wire;
use ruleout::corners::{Desks, Width};
use ruleout::language::parse;
use ruleout::playbook::compile::{Ground, compile};
use ruleout::playbook::outline::Outlines;
use ruleout::sheet::shop;
use ruleout::sheet::unit;
use ruleout::text::source::Source;
use std::fmt::Write as _;
use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;

/// Loads side by side, each behind its fuse and switch: 4 points and 2 more a load.
const LOADS: usize = 18;

/// A unit of 40 points; `n` makes it one of several.
fn sheet(n: usize) -> String {
    let mut rungs = String::new();
    let (mut fuses, mut switches, mut elements) = (String::new(), String::new(), String::new());
    for at in 1..=LOADS {
        writeln!(rungs, "    - D1 fuse-{at} F{at} switch-{at} S{at} heater-{at} D2").unwrap();
        writeln!(fuses, "    fuse-{at}: {{ amps: 15 A }}").unwrap();
        writeln!(switches, "    switch-{at}: {{ closed when: heat on }}").unwrap();
        writeln!(
            elements,
            "    heater-{at}: {{ watts: {} W, volts: 208 V, tolerance: watts +5 -10 % }}",
            900 + 10 * at
        )
        .unwrap();
    }
    format!(
        "unit: bank-{n}\ntitle: Bank\nnameplate:\n  line: 208 V AC ±10 %\nstates:\n  power:\n    disconnects: [disconnect]\n  heat:\n    values: [off, on]\n    only while: power live\n    to on: Turn it on.\n    to off: Turn it off.\ncalling: heat on\ncircuit:\n  supplies:\n    mains: {{ points: [L1, L2], volts: line, grounded: wye }}\n  rungs:\n    - L1 disconnect.l1 D1\n    - L2 disconnect.l2 D2\n{rungs}parts:\n  disconnects:\n    disconnect: {{ poles: [l1, l2] }}\n  fuses:\n{fuses}  switches:\n{switches}  elements:\n{elements}readings:\n  shelf: {{ words: [hot, cold] }}\n"
    )
}

/// 20 tests that measure: amps by the supply, volts, ohms, a sum of three.
fn playbook(n: usize) -> String {
    let mut text =
        format!("playbook bank-{n}: Bank stays cold\nunit bank\nsymptom Cold\nrevised 2026-11-25\nfinish t1\n");
    let danger = "  danger 208 V live parts will kill: keep hands out, touch only with the probes.\n";
    let live = "  with power live, covers off, heat on\n";
    for at in 1..=20 {
        let load = 1 + (at + n) % LOADS;
        let next = if at == 20 { "end".to_owned() } else { format!("t{}", at + 1) };
        let lines = |good: &str| {
            format!("  good {good} go to {next}\n  if below {good} go to end\n  if above {good} go to end\n")
        };
        writeln!(text, "test t{at}: Test number {at}").unwrap();
        match at % 4 {
            _ if at == 1 => {
                write!(text, "{live}{danger}  measure V AC from D1 to D2, call it supply\n{}", lines("normal"))
            }
            0 => {
                write!(text, "  with power locked-out, covers off\n  measure ohm of heater-{load}\n{}", lines("normal"))
            }
            1 => write!(text, "{live}{danger}  measure A through heater-{load}\n{}", lines("normal at supply")),
            2 => write!(text, "{live}{danger}  measure V AC from S{load} to D2, loaded\n{}", lines("normal")),
            _ => {
                let calls: Vec<String> = (0..3).map(|of| format!("i{of}-{at}")).collect();
                let measures: String = calls
                    .iter()
                    .enumerate()
                    .map(|(of, call)| {
                        format!("  measure A through heater-{}, call it {call}\n", 1 + (load + of) % LOADS)
                    })
                    .collect();
                write!(text, "{live}{danger}{measures}  calculate lowest({})\n{}", calls.join(", "), lines("normal"))
            }
        }
        .unwrap();
    }
    text.push_str("escalate end: Hand it on\n  to lead\n  because Something is off.\n  leave power locked-out\n");
    text
}

fn desks(n: usize) -> Desks {
    let shop = shop::read(&Source::new("shop.yaml", std::fs::read_to_string("playbooks/shop.yaml").unwrap())).0;
    let text = sheet(n);
    let (unit, problems) = unit::read(&Source::new("bank.yaml", text.as_str()), &shop);
    let errors: Vec<_> = problems.iter().filter(|problem| problem.is_error()).map(|p| &p.message).collect();
    assert!(errors.is_empty(), "{errors:?}");
    let (wired, _) = wire(&Arc::new(unit));
    Desks::new(&Arc::new(wired), &shop.meter)
}

/// Reads, compiles and checks; how many problems it has.
fn whole(text: &str, desks: Option<&Desks>) -> usize {
    let (tree, slips) = parse(&Source::new("p.playbook", text));
    let tree = tree.unwrap();
    let built_in = Arc::new(ruleout::sheet::states::States::built_in());
    let states = desks.map_or(&built_in, |desks| &desks.wired().unit.states);
    let (playbook, told) = compile(&tree, Ground { states, banks: &[], desks });
    let playbook = playbook.unwrap();
    let others = Outlines::default();
    let problems = slips.into_iter().chain(told).collect();
    check(Subject { tree: &tree, playbook: &playbook, others: &others, desks }, problems).len()
}

fn millis(run: impl FnOnce()) -> f64 {
    let start = Instant::now();
    run();
    start.elapsed().as_secs_f64() * 1e3
}

fn main() {
    let timed = std::env::args().any(|word| word == "--bench");
    let text = playbook(0);
    let fresh = desks(0);
    let points = fresh.wired().unit.points.len() - 1;
    let corners = fresh.at_one(|desk| desk.corners(Width::All, &[]).len());
    let faults = fresh.wired().unit.faults.len();
    let fresh = desks(0);
    let timed_on = |desks: Option<&Desks>| {
        millis(|| {
            black_box(whole(&text, desks));
        })
    };
    let first = timed_on(Some(&fresh));
    let again = (0..5).map(|_| timed_on(Some(&fresh))).fold(f64::INFINITY, f64::min);
    let plain = (0..5).map(|_| timed_on(None)).fold(f64::INFINITY, f64::min);
    println!("20 tests on a unit of {points} points, {corners} corners of the good unit, {faults} faults");
    println!("  the first playbook of a unit  {first:7.1} ms");
    println!("  the next one                  {again:7.1} ms");
    println!("  without a sheet               {plain:7.1} ms");

    let compiling = {
        let (tree, _) = parse(&Source::new("p.playbook", text.as_str()));
        let tree = tree.unwrap();
        let states = &fresh.wired().unit.states;
        let run = || drop(black_box(compile(&tree, Ground { states, banks: &[], desks: Some(&fresh) })));
        (0..5).map(|_| millis(run)).fold(f64::INFINITY, f64::min)
    };
    println!(
        "  of the next one, what a good unit reads: {compiling:.1} ms; reading it and the checks: {:.1} ms",
        again - compiling
    );

    let (pairs, units) = if timed { (1_000, 10) } else { (20, 2) };
    let units: Vec<Desks> = (0..units).map(desks).collect();
    let texts: Vec<String> = (0..pairs).map(playbook).collect();
    let all = millis(|| {
        let told: usize = texts
            .par_iter()
            .enumerate()
            .map(|(at, text)| units.get(at % units.len()).map_or(0, |desks| whole(text, Some(desks))))
            .sum();
        black_box(told);
    });
    let threads = rayon::current_num_threads();
    println!(
        "{pairs} pairings with {} units on {threads} threads: {:.1} s, {:.2} ms each",
        units.len(),
        all / 1e3,
        all / f64::from(u32::try_from(pairs).unwrap())
    );
    assert!(!timed || first < 2_000.0, "the first playbook of a unit is checked within two seconds");
    assert!(!timed || again < 200.0, "the next one within a fifth of a second");
}
