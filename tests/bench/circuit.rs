//! How long one solve takes at 20 and 40 points, and how a table of 451 scenarios compares with one ngspice process.
//! `cargo bench --bench circuit`; prints figures and ratios, and fails if the table is not 40 times faster or disagrees.
//!
//! ngspice is a general non-linear simulator: it sets up matrices, models and convergence checks this solver has no
//! use for. The ratio says what a circuit of resistances costs here and there, not which program is better.

#![expect(clippy::disallowed_methods, reason = "a benchmark times, and hands ngspice its deck as a file")]
#![expect(
    clippy::print_stdout,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "a benchmark prints what it measured and stops at the first thing that is wrong"
)]

use ruleout::circuit::unit::{Bench, Corner, Probe, Wired, wire};
use ruleout::circuit::{
    Change, Complex, Current, Effect, GROUND, Grounding, Make, Network, Place, PointId, PoleId, Solver,
};
use ruleout::sheet::shop;
use ruleout::sheet::standing::Standing;
use ruleout::sheet::unit;
use ruleout::sheet::unit::model::{FaultId, PointId as SheetPoint, ReadingId};
use ruleout::text::source::Source;
use std::fmt::Write as _;
use std::hint::black_box;
use std::process::Command;
use std::sync::Arc;
use std::time::Instant;

/// A string of parts from rung to rung: `points` points, wires of 10 mohm and loads of some ohms in turn.
struct Ladder {
    net: Network,
    points: Vec<PointId>,
    parts: Vec<(PoleId, String, f64)>,
    deck: String,
}

fn ladder(count: usize, current: Current, reactance: f64) -> Ladder {
    let mut net = Network::new();
    let points: Vec<PointId> = (0..count).map(|i| net.point(format!("p{i}"))).collect();
    let minus = net.point("MINUS");
    net.supply("mains", current, &[points[0], minus], 120.0, Grounding::Point(1)).unwrap();
    let mut deck = "* ladder\nV1 p0 0 DC 120\n".to_owned();
    let mut parts = Vec::new();
    for i in 1..count {
        let (ohms, load) = (0.01, 20.0 + 7.0 * i as f64);
        let name = format!("r{i}");
        let wire = net.conductor(&name, points[i - 1], points[i], ohms);
        writeln!(deck, "R{i} p{} p{i} {ohms}", i - 1).unwrap();
        parts.push((wire, name, ohms));
        let make = Make::Load { cold: load, hot: Complex::new(load, reactance) };
        net.pole(format!("load{i}"), points[i], GROUND, make);
        writeln!(deck, "RL{i} p{i} 0 {load}").unwrap();
    }
    Ladder { net, points, parts, deck }
}

fn micros(times: u32, mut run: impl FnMut()) -> f64 {
    let mut best = f64::INFINITY;
    for _ in 0..5 {
        let start = Instant::now();
        for _ in 0..times {
            run();
        }
        best = best.min(start.elapsed().as_secs_f64() * 1e6 / f64::from(times));
    }
    best
}

fn one_solve() {
    for count in [20, 40] {
        for (what, current, reactance) in
            [("DC", Current::Dc, 0.0), ("AC, resistances", Current::Ac, 0.0), ("AC, coils", Current::Ac, 5.0)]
        {
            let ladder = ladder(count, current, reactance);
            let net = Arc::new(ladder.net);
            let fresh = micros(200, || {
                let mut solver = Solver::new(Arc::clone(&net), &[]);
                black_box(solver.bring_up(&[&|_| Vec::new()], &[]).unwrap());
            });
            let mut solver = Solver::new(Arc::clone(&net), &[]);
            let fault = [Change::pole(ladder.parts[count / 2].0, Effect::Ohms(3.0))];
            let worked_in = micros(200, || {
                black_box(solver.bring_up(&[&|_| Vec::new()], &fault).unwrap());
            });
            let settled = solver.bring_up(&[&|_| Vec::new()], &fault).unwrap();
            let place = Place::Between(ladder.points[count / 2], GROUND);
            let reading = micros(2000, || {
                black_box(settled.volts(current, place, 10e6));
            });
            println!(
                "{count} points, {what}: factored afresh {fresh:.1} µs, a fault worked in {worked_in:.1} µs \
                 ({:.1} times faster), one more reading with the meter in {reading:.2} µs",
                fresh / worked_in
            );
        }
    }
}

/// 15 parts, each open or at 40 ohm: good, 30 singles, 420 pairs of two parts.
fn scenarios(ladder: &Ladder) -> Vec<Vec<(usize, bool)>> {
    let parts: Vec<usize> = (0..ladder.parts.len()).take(15).collect();
    let singles: Vec<(usize, bool)> = parts.iter().flat_map(|&part| [(part, true), (part, false)]).collect();
    let mut all = vec![Vec::new()];
    all.extend(singles.iter().map(|&one| vec![one]));
    for (i, &one) in singles.iter().enumerate() {
        all.extend(singles[i + 1..].iter().filter(|two| two.0 != one.0).map(|&two| vec![one, two]));
    }
    all
}

/// `cargo test` builds this unoptimized and asks only whether the two agree; `cargo bench` also asks how fast.
fn table(timed: bool) {
    let ladder = ladder(20, Current::Dc, 0.0);
    let scenarios = scenarios(&ladder);
    assert_eq!(scenarios.len(), 451);
    let net = Arc::new(ladder.net.clone());
    let run = || -> Vec<f64> {
        let mut solver = Solver::new(Arc::clone(&net), &[]);
        let mut volts = Vec::with_capacity(scenarios.len() * ladder.points.len());
        for faults in &scenarios {
            let changes: Vec<Change> = faults
                .iter()
                .map(|&(part, opens)| {
                    let effect = if opens { Effect::Opens } else { Effect::Ohms(40.0) };
                    Change::pole(ladder.parts[part].0, effect)
                })
                .collect();
            let settled = solver.bring_up(&[&|_| Vec::new()], &changes).unwrap();
            for &point in &ladder.points {
                volts.extend(settled.volts(Current::Dc, Place::Between(point, GROUND), f64::INFINITY));
            }
        }
        volts
    };
    let ours = run();
    let our_time = micros(3, || {
        black_box(run());
    });

    let mut deck = ladder.deck.clone();
    deck.push_str(".options gmin=1e-20 reltol=1e-12\n.control\nset noaskquit\nset numdgt=10\n");
    for faults in &scenarios {
        for &(part, opens) in faults {
            writeln!(deck, "alter {} = {}", ladder.parts[part].1, if opens { 1e12 } else { 40.0 }).unwrap();
        }
        deck.push_str("op\nprint");
        for i in 0..ladder.points.len() {
            write!(deck, " v(p{i})").unwrap();
        }
        deck.push('\n');
        for &(part, _) in faults {
            writeln!(deck, "alter {} = {}", ladder.parts[part].1, ladder.parts[part].2).unwrap();
        }
    }
    deck.push_str(".endc\n.end\n");
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("table.cir");
    std::fs::write(&file, deck).unwrap();
    let mut their_time = f64::INFINITY;
    let mut theirs = Vec::new();
    for _ in 0..3 {
        let start = Instant::now();
        let out = Command::new("ngspice").arg("-b").arg(&file).output().expect("ngspice is installed (see tests/run)");
        their_time = their_time.min(start.elapsed().as_secs_f64() * 1e6);
        let text = String::from_utf8_lossy(&out.stdout);
        theirs = text
            .lines()
            .filter_map(|line| line.strip_prefix("v(p"))
            .filter_map(|line| line.split(" = ").nth(1))
            .map(|x| x.trim().parse::<f64>().unwrap())
            .collect();
    }
    assert_eq!(ours.len(), theirs.len(), "every reading is answered");
    let apart = ours.iter().zip(&theirs).map(|(one, two)| (one - two).abs()).fold(0.0_f64, f64::max);
    let ratio = their_time / our_time;
    println!(
        "451 scenarios of 20 points: {:.2} ms, one ngspice process with alter and op {:.1} ms: {ratio:.0} times faster; \
         at most {:.3} mV apart (ngspice is a general non-linear simulator)",
        our_time / 1e3,
        their_time / 1e3,
        apart * 1e3
    );
    assert!(apart < 1e-3, "they agree within 1 mV");
    assert!(!timed || ratio >= 40.0, "at least 40 times faster");
}

/// A sheet of this repository, wired.
fn sheet(name: &str) -> Arc<Wired> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("playbooks");
    let text = |file: &str| std::fs::read_to_string(folder.join(file)).unwrap();
    let (shop, _) = shop::read(&Source::new("shop.yaml", text("shop.yaml")));
    let (unit, _) = unit::read(&Source::new(name, text(&format!("units/{name}.yaml"))), &shop);
    Arc::new(wire(&Arc::new(unit)).0)
}

/// The unit brought up with no, one and two faults, and four readings taken: what a shakedown does a million times.
fn stands() {
    for name in ["booster-208", "holding-cabinet-208", "walk-in-cooler-208"] {
        let wired = sheet(name);
        let unit = &wired.unit;
        let mut calling = Standing::home(&unit.states);
        for stand in unit.states.with_needs(&unit.calling) {
            calling.set(stand);
        }
        let singles: Vec<_> = unit.faults().map(|(id, _)| vec![id]).collect();
        let mut pairs = Vec::new();
        for (at, one) in singles.iter().enumerate() {
            pairs.extend(singles.iter().skip(at + 1).map(|two| vec![one[0], two[0]]));
        }
        let mut bench = Bench::new(&wired, Corner::nominal());
        let parts: Vec<_> = unit.parts().filter(|(_, part)| !part.poles.is_empty()).map(|(id, _)| id).collect();
        let point = |at: usize| SheetPoint(u16::try_from(at).unwrap());
        let mut run = |cases: &[Vec<FaultId>], readings: bool| {
            for (turn, faults) in cases.iter().enumerate() {
                let stood = bench.stand(&calling, faults).unwrap();
                if !readings {
                    black_box(&stood);
                    continue;
                }
                let part = parts[turn % parts.len()];
                let one = point(1 + turn % (unit.points.len() - 1));
                black_box(stood.volts(Current::Ac, Probe::Across(part, 0), 10e6, false));
                black_box(stood.volts(Current::Ac, Probe::Between(one, SheetPoint::GROUND), 10e6, false));
                black_box(stood.amps(Current::Ac, part, 0));
                let reading = ReadingId(u16::try_from(turn % unit.readings.len()).unwrap());
                black_box(stood.reading(reading));
            }
        };
        let good = vec![Vec::new(); 50];
        let shape = format!("{} points, {} poles", wired.net.points().count(), wired.net.poles().count());
        println!("{name} ({shape}), one stand in µs, alone and with four readings (aim: 10 or less):");
        for (what, cases) in [("good", &good), ("one fault", &singles), ("two faults", &pairs)] {
            #[expect(clippy::cast_precision_loss, reason = "a few thousand")]
            let count = cases.len() as f64;
            // In pieces short enough to be timed between two turns of a busy machine, the best of each.
            let mut each = |readings: bool| -> f64 {
                cases.chunks(20).map(|piece| micros(1, || run(piece, readings))).sum::<f64>() / count
            };
            let (alone, with) = (each(false), each(true));
            println!("  {what:10} {alone:6.1} {with:6.1}   ({} cases)", cases.len());
        }
    }
}

fn main() {
    let timed = std::env::args().any(|argument| argument == "--bench");
    if timed {
        stands();
    }
    if std::env::args().any(|argument| argument == "stands") {
        return;
    }
    if timed {
        one_solve();
    }
    table(timed);
}
