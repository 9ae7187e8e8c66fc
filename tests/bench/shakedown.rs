//! How fast a shakedown walks, and how it grows with the faults. `cargo bench --bench shakedown`; prints figures and ratios, and fails
//! if 60 faults take more than 10 s on two cores, or if as many solves cost less in one ngspice process.
//!
//! 1. A unit that grows with its faults: more parts, more points, more tests. Its growth is that of pairs times that of the unit.
//! 2. A unit of one size with more and more of its faults declared: its growth is that of pairs, and of what every single fault takes.
//! 3. As many steady states in one ngspice process. That is a general non-linear simulator; the ratio says what the steady state of a
//!    circuit of resistances costs here and there. It solves a string as long over and over, without relays, readings outside the
//!    circuit, or the walk, all of which are in our time.
//!
//! Beside the time on the clock stands what all threads together took of the processors: on a machine with other work that is the
//! steadier figure.

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

/// A control string of `switches` in front of a contactor with two elements: two faults a switch, for the first `faulty` of them, and
/// some.
fn unit_of(switches: usize, faulty: usize) -> String {
    let mut rung = String::new();
    let mut parts = String::new();
    let mut faults = String::new();
    for at in 1..=switches {
        write!(rung, "switch-{at} C{at} ").unwrap();
        writeln!(parts, "    switch-{at}: {{ closed when: always }}").unwrap();
        if at <= faulty {
            writeln!(faults, "  switch-{at}:\n    burnt: {{ ohms: 40 to 4000 ohm }}").unwrap();
        } else {
            writeln!(faults, "  switch-{at}:\n    open: none, left out to see how it grows").unwrap();
        }
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

/// What a shakedown took, in seconds.
#[derive(Clone, Copy)]
struct Took {
    clock: f64,
    /// All threads together.
    processors: f64,
}

/// Seconds of the processors this process has taken so far; not a number where that can't be read.
fn processors() -> f64 {
    // proc(5): the 14th and 15th field are ticks of a hundredth of a second; the second may have blanks in it and ends with a bracket.
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let rest = stat.rsplit_once(')').map_or("", |(_, rest)| rest);
    let ticks = rest.split_whitespace().skip(11).take(2).map(|ticks| ticks.parse::<f64>());
    ticks.sum::<Result<f64, _>>().map_or(f64::NAN, |ticks| ticks / 100.0)
}

/// The long string shaken down whole: what came of it, and how long it took.
fn shaken(switches: usize, faulty: usize) -> (Shakedown, Took) {
    let shop = Shop::built_in();
    let (unit, told) = unit::read(&Source::new("unit.yaml", unit_of(switches, faulty)), &shop);
    let (wired, more) = wire(&Arc::new(unit));
    assert!(!told.iter().chain(&more).any(|problem| problem.is_error()), "{told:#?}");
    let desks = Desks::new(&Arc::new(wired), &shop.meter);
    let (tree, _) = language::parse(&Source::new("cold.playbook", playbook_of(switches)));
    let states = &desks.wired().unit.states;
    let (book, told) = compile(&tree.unwrap(), Compiled { states, banks: &[], desks: Some(&desks) });
    assert!(!told.iter().any(|problem| problem.is_error()), "{told:#?}");
    let library = Arc::new(Library::new(vec![Arc::new(book.unwrap())]));
    let ground = Arc::new(Ground::new(library, &desks));
    let (start, before) = (Instant::now(), processors());
    let shakedown = shake(&ground, BookId(0), Depth::FULL).unwrap();
    (shakedown, Took { clock: start.elapsed().as_secs_f64(), processors: processors() - before })
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
        // Without `destroy` it keeps every solution and grows slower with each.
        let ohms = if at % 2 == 0 { 1e12 } else { 0.01 };
        writeln!(deck, "alter R{} = {ohms}\nop\ndestroy all", 1 + at % switches).unwrap();
    }
    deck.push_str("quit 0\n.endc\n.end\n");
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("string.cir");
    std::fs::write(&file, deck).unwrap();
    let start = Instant::now();
    let out = Command::new("ngspice").arg("-b").arg(&file).output().expect("ngspice is installed (see tests/run)");
    let said = String::from_utf8_lossy(&out.stderr);
    assert!(out.status.success(), "{said}");
    let solved = String::from_utf8_lossy(&out.stdout).matches("No. of Data Rows").count();
    assert_eq!(solved, solves, "{said}");
    start.elapsed().as_secs_f64() / solves as f64
}

/// A size that was measured, to tell the growth from.
type Size = (usize, f64);

/// One line of figures, and how it grew since the last.
fn told(shakedown: &Shakedown, took: Took, before: &mut Option<Size>) {
    let faults = shakedown.singles.len();
    let (walks, solves) = (shakedown.walks as f64, shakedown.solves as f64);
    println!(
        "{faults} faults, {} pairs, {walks} walks (a walk a set of faults and corner), {solves} solves: {:.2} s, {:.2} s of the processors; \
         {:.0} walks and {:.0} solves a second; {:.0} MB at most",
        faults * (faults - 1) / 2,
        took.clock,
        took.processors,
        walks / took.clock,
        solves / took.clock,
        peak().unwrap_or(f64::NAN)
    );
    if let Some((fewer, quicker)) = *before {
        let power = (took.processors / quicker).ln() / (faults as f64 / fewer as f64).ln();
        println!("    grows with the faults to the power of {power:.1}; pairs alone make it 2");
    }
    *before = Some((faults, took.processors));
}

fn main() {
    // `cargo test` builds this unoptimized and asks only whether it runs.
    if !std::env::args().any(|argument| argument == "--bench") {
        let (shakedown, _) = shaken(2, 1);
        assert_eq!(shakedown.good.outcome.words(), "right");
        return;
    }
    println!("A unit that grows with its faults:");
    let mut before = None;
    for switches in [8, 16] {
        let (shakedown, took) = shaken(switches, switches);
        told(&shakedown, took, &mut before);
    }
    let (shakedown, took) = shaken(25, 25);
    told(&shakedown, took, &mut before);
    let one = ngspice(25, 500);
    let ratio = one * shakedown.solves as f64 / took.clock;
    println!(
        "    one steady state of the string in one ngspice process: {:.0} µs; here, walk and all: {:.1} µs; as many there would take {ratio:.0} times as long",
        one * 1e6,
        took.clock / shakedown.solves as f64 * 1e6,
    );
    assert!(shakedown.singles.len() >= 60, "{} faults", shakedown.singles.len());
    assert!(took.clock < 10.0, "60 faults under 10 s");
    assert!(peak().is_none_or(|most| most < 500.0), "under 500 MB");
    assert!(ratio > 1.0, "as many solves take longer in one ngspice process");
    println!("The unit with 25 switches, more and more of its faults declared:");
    let mut before = None;
    for faulty in [4, 12, 25] {
        let (shakedown, took) = shaken(25, faulty);
        told(&shakedown, took, &mut before);
    }
}
