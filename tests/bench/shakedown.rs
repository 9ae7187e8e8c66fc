//! How fast a shakedown walks, and how it grows with the faults. `cargo bench --bench shakedown`; prints figures and ratios, and fails
//! if 60 faults take more than 10 s on two cores, or if the same circuits cost less in one ngspice process.
//!
//! ngspice is a general non-linear simulator; the ratio says what the steady state of a circuit of resistances costs here and there. It
//! is asked for the good unit's volts over and over, without relays, readings outside the circuit or the walk.

#![expect(clippy::disallowed_methods, reason = "a benchmark times, and hands ngspice its deck as a file")]
#![expect(
    clippy::print_stdout,
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a benchmark prints what it measured and stops at the first thing that is wrong"
)]

use ruleout::circuit::unit::wire;
use ruleout::corners::Desks;
use ruleout::engine::{BookId, Library};
use ruleout::language;
use ruleout::playbook::compile::{Ground as Compiled, compile};
use ruleout::shakedown::ground::Ground;
use ruleout::shakedown::runs::{Depth, Shakedown, shake};
use ruleout::sheet::shop::Shop;
use ruleout::sheet::unit;
use ruleout::text::source::Source;
use std::fmt::Write as _;
use std::process::Command;
use std::sync::Arc;
use std::time::Instant;

/// A control string of `switches` in front of a contactor with two elements: two faults a switch, and some.
fn unit_of(switches: usize) -> String {
    let mut rung = String::new();
    let mut parts = String::new();
    let mut faults = String::new();
    for at in 1..=switches {
        write!(rung, "switch-{at} C{at} ").unwrap();
        writeln!(parts, "    switch-{at}: {{ closed when: always }}").unwrap();
        writeln!(faults, "  switch-{at}:\n    burnt: {{ ohms: 40 to 4000 ohm }}").unwrap();
    }
    format!(
        "unit: long-string\ntitle: A long string\nnameplate: {{ line: 120 V AC ±10 % }}\ncalling: heat on\n\
         states:\n  heat:\n    values: [off, on]\n    only while: power live\n    to on: Call for heat.\n    to off: End the call.\n\
         circuit:\n  supplies:\n    mains: {{ points: [L, N], volts: line, grounded: N }}\n  rungs:\n    - L fuse C0 thermostat D\n    - D {rung}contactor.coil N\n    - L contactor.pole T\n    - T heater-1 N\n    - T heater-2 N\n\
         parts:\n  fuses:\n    fuse: {{ amps: 20 A }}\n  switches:\n    thermostat: {{ closed when: heat on }}\n{parts}  contactors:\n    contactor: {{ poles: [pole], ohms: 400 ohm }}\n  elements:\n    heater-1: {{ watts: 500 W, volts: 120 V }}\n    heater-2: {{ watts: 500 W, volts: 120 V }}\n\
         readings:\n  warm:\n    in: °F\n    where: inside\n    good: 150 to 160 °F\n    instead:\n      contactor.coil off: 70 to 80 °F\n      contactor.coil weak: 70 to 90 °F\n      heater-1 off: 100 to 120 °F\n      heater-2 off: 100 to 120 °F\n\
         faults:\n{faults}"
    )
}

/// Warm, then volts behind each switch in turn, then the elements.
fn playbook_of(switches: usize) -> String {
    let live = "  with power live, covers off, heat on\n  danger Live parts kill: keep hands out.\n";
    let mut text = "playbook cold: It is cold\nunit long-string\nsymptom Cold\nrevised 2026-11-03\nfinish warm\n\
                    test warm: Inside\n  with power live, covers on, heat on\n  measure °F at warm\n  good 145 to 165 °F go to in-order\n  if below 145 °F go to volts-0\n  if above 165 °F go to in-order\n"
        .to_owned();
    let mut ends = String::new();
    for at in 0..=switches {
        let next = if at == switches { "coil-ohms".to_owned() } else { format!("volts-{}", at + 1) };
        let (point, part) = if at == 0 {
            ("D".to_owned(), "fuse, thermostat".to_owned())
        } else {
            (format!("C{at}"), format!("switch-{at}"))
        };
        let point = if at == switches && at > 0 { format!("C{at}") } else { point };
        write!(text, "test volts-{at}: Volts behind it\n{live}  measure V AC from {point} to N, loaded\n  good above 100 V AC go to {next}\n  if below 100 V AC go to replace-{at}\n").unwrap();
        write!(ends, "repair replace-{at}: Replace it\n  with power locked-out, covers off\n  for {part}\n  part Part\n  verify volts-{at}\n").unwrap();
    }
    let ohms = |at: usize, next: &str| {
        format!(
            "test ohms-{at}: Element\n  with power locked-out, covers off\n  measure ohm of heater-{at}\n  good 25 to 35 ohm go to {next}\n  if below 25 ohm go to change-{at}\n  if above 35 ohm go to change-{at}\n  if OL go to change-{at}\n"
        )
    };
    text.push_str("test coil-ohms: Coil\n  with power locked-out, covers off\n  measure ohm of contactor.coil\n  good 300 to 500 ohm go to ohms-1\n  if below 300 ohm go to replace-contactor\n  if above 500 ohm go to replace-contactor\n  if OL go to replace-contactor\n");
    text.push_str(&ohms(1, "ohms-2"));
    text.push_str(&ohms(2, "replace-contactor"));
    for at in 1..=2 {
        write!(ends, "repair change-{at}: Element\n  with power locked-out, covers off\n  for heater-{at}\n  part Element\n  verify ohms-{at}\n").unwrap();
    }
    ends.push_str("repair replace-contactor: Contactor\n  with power locked-out, covers off\n  for contactor\n  part Contactor\n  verify coil-ohms\nescalate in-order: In order\n  to lead\n  because In order.\n");
    text + &ends
}

/// The long string shaken down whole: what came of it, and how long it took.
fn shaken(switches: usize) -> (Shakedown, f64) {
    let shop = Shop::built_in();
    let (unit, told) = unit::read(&Source::new("unit.yaml", unit_of(switches)), &shop);
    let (wired, more) = wire(&Arc::new(unit));
    assert!(!told.iter().chain(&more).any(|problem| problem.is_error()), "{told:#?}");
    let desks = Desks::new(&Arc::new(wired), &shop.meter);
    let (tree, _) = language::parse(&Source::new("cold.playbook", playbook_of(switches)));
    let states = &desks.wired().unit.states;
    let (book, told) = compile(&tree.unwrap(), Compiled { states, banks: &[], desks: Some(&desks) });
    assert!(!told.iter().any(|problem| problem.is_error()), "{told:#?}");
    let library = Arc::new(Library::new(vec![Arc::new(book.unwrap())]));
    let ground = Arc::new(Ground::new(library, desks.at_one(|desk| desk.clone())));
    let start = Instant::now();
    let shakedown = shake(&ground, BookId(0), Depth::FULL).unwrap();
    (shakedown, start.elapsed().as_secs_f64())
}

/// The most memory this process has had, in MB.
fn peak() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    Some(line.trim().trim_end_matches(" kB").trim().parse::<f64>().ok()? / 1024.0)
}

/// One steady state of a string as long, in one ngspice process, in seconds.
fn ngspice(switches: usize, solves: usize) -> f64 {
    let mut deck = "* string\nV1 L 0 DC 120\nR0 L p0 0.01\n".to_owned();
    for at in 1..=switches {
        writeln!(deck, "R{at} p{} p{at} 0.01", at - 1).unwrap();
    }
    writeln!(
        deck,
        "RC p{switches} 0 400\nRP L T 0.01\nRH1 T 0 28.8\nRH2 T 0 28.8\n.options reltol=1e-9\n.control\nset noaskquit"
    )
    .unwrap();
    for at in 0..solves {
        writeln!(deck, "alter R{} = {}\nop", 1 + at % switches, if at % 2 == 0 { 1e12 } else { 0.01 }).unwrap();
    }
    deck.push_str(".endc\n.end\n");
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("string.cir");
    std::fs::write(&file, deck).unwrap();
    let start = Instant::now();
    let out = Command::new("ngspice").arg("-b").arg(&file).output().expect("ngspice is installed (see tests/run)");
    assert!(out.status.success());
    start.elapsed().as_secs_f64() / solves as f64
}

fn main() {
    // `cargo test` builds this unoptimized and asks only whether it runs.
    if !std::env::args().any(|argument| argument == "--bench") {
        let (shakedown, _) = shaken(2);
        assert_eq!(shakedown.good.outcome.words(), "right");
        return;
    }
    let mut before: Option<(usize, f64)> = None;
    for switches in [8, 16, 25] {
        let (shakedown, seconds) = shaken(switches);
        let faults = shakedown.singles.len();
        let pairs = faults * (faults - 1) / 2;
        let walks = shakedown.walks;
        println!(
            "{faults} faults, {pairs} pairs, {walks} walks (a walk a set of faults and corner): {seconds:.2} s, {:.0} walks a second, {:.0} MB at most",
            walks as f64 / seconds,
            peak().unwrap_or(f64::NAN)
        );
        if let Some((fewer, quicker)) = before {
            let power = (seconds / quicker).ln() / (faults as f64 / fewer as f64).ln();
            println!("    grows with the faults to the power of {power:.1}; pairs alone make it 2");
        }
        before = Some((faults, seconds));
        if switches == 25 {
            let one = ngspice(switches, 2_000);
            println!(
                "    one steady state of the string in one ngspice process: {:.0} µs; a whole walk here: {:.0} µs, {:.2} of it",
                one * 1e6,
                seconds / walks as f64 * 1e6,
                seconds / walks as f64 / one
            );
            assert!(faults >= 60, "{faults} faults");
            assert!(seconds < 10.0, "60 faults under 10 s");
            assert!(peak().is_none_or(|most| most < 500.0), "under 500 MB");
        }
    }
}
