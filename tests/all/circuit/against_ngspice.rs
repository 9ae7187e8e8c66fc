//! The solver against a live ngspice, an independent circuit simulator (Debian package `ngspice`), on 240 networks
//! made at random: 5 to 40 points, contacts open and closed, AC and DC, a meter of 10 Mohm or 3 kohm in.
//! The test fails where ngspice is missing; `tests/run` installs it.

use super::random::{Dice, Random, Told, network};
use super::table::agree;
use ruleout::circuit::{At, Change, Current, Effect, GROUND, Place, PointId, Solver};
use std::fmt::Write as _;
use std::process::Command;
use std::sync::Arc;

const NETWORKS: u64 = 120;
const HERTZ_TURN: f64 = 2.0 * std::f64::consts::PI * 60.0;

/// Points that some path ties to ground, found from the test's own list of parts, not by the solver.
fn grounded(random: &Random) -> Vec<bool> {
    let number = |point: PointId| random.points.iter().position(|&p| p == point);
    let count = random.points.len();
    let mut tied = vec![false; count];
    loop {
        let before = tied.clone();
        let mut join = |one: Option<usize>, two: Option<usize>| {
            let is = |p: Option<usize>, tied: &[bool]| p.is_none_or(|p| tied[p]);
            if is(one, &tied) || is(two, &tied) {
                for point in [one, two].into_iter().flatten() {
                    tied[point] = true;
                }
            }
        };
        for &(_, from, to, told) in &random.poles {
            match (told, random.current) {
                (Told::Open, _) | (Told::Farads(_) | Told::Snubber { .. }, Current::Dc) => {}
                _ => join(number(from), number(to)),
            }
        }
        for (i, &(point, floats, _, _)) in random.sources.iter().enumerate() {
            let lost = random.lost == Some(random.net.terminals_of(random.supply)[i]);
            if !lost && floats.is_none() {
                join(number(point), None);
            }
        }
        // The legs of a floating supply hang together.
        let held: Vec<_> = random
            .sources
            .iter()
            .enumerate()
            .filter(|&(i, s)| s.1.is_some() && random.lost != Some(random.net.terminals_of(random.supply)[i]))
            .collect();
        for pair in held.windows(2) {
            join(number(pair[0].1.0), number(pair[1].1.0));
        }
        if tied == before {
            return tied;
        }
    }
}

/// The network as a netlist, every node with the network's number in front.
fn netlist(deck: &mut String, k: u64, random: &Random, meter: Option<(PointId, PointId, f64)>) {
    let node = |point: PointId| match random.points.iter().position(|&p| p == point) {
        Some(i) => format!("k{k}p{i}"),
        None => "0".to_owned(),
    };
    for (i, &(point, floats, volts, angle)) in random.sources.iter().enumerate() {
        if random.lost == Some(random.net.terminals_of(random.supply)[i]) {
            continue;
        }
        let reference = if floats.is_some() { format!("k{k}ref") } else { "0".to_owned() };
        match random.current {
            Current::Ac => writeln!(deck, "V{k}x{i} {} {reference} DC 0 AC {volts} {angle}", node(point)),
            Current::Dc => {
                let signed = if angle == 180.0 { -volts } else { volts };
                writeln!(deck, "V{k}x{i} {} {reference} DC {signed}", node(point))
            }
        }
        .unwrap();
    }
    for (i, &(_, from, to, told)) in random.poles.iter().enumerate() {
        let (from, to) = (node(from), node(to));
        match told {
            Told::Ohms(ohms) => writeln!(deck, "R{k}x{i} {from} {to} {ohms:e}"),
            Told::Coil { ohms, reactance } => {
                writeln!(deck, "R{k}x{i} {from} k{k}m{i} {ohms:e}\nL{k}x{i} k{k}m{i} {to} {:e}", reactance / HERTZ_TURN)
            }
            Told::Farads(farads) => writeln!(deck, "C{k}x{i} {from} {to} {farads:e}"),
            Told::Snubber { ohms, farads } => {
                writeln!(
                    deck,
                    "R{k}x{i} {from} k{k}m{i} {ohms:e}\nC{k}x{i} k{k}m{i} {to} {farads:e}\nRG{k}x{i} k{k}m{i} 0 1e13"
                )
            }
            // A T-circuit with an ideal pair in the middle: volts by E, amps back by F.
            Told::Transformer { second, ratio, ohms, core } => {
                let (one, two) = (node(second.0), node(second.1));
                writeln!(
                    deck,
                    "R{k}x{i} {from} k{k}m{i} {:e}\nRC{k}x{i} k{k}m{i} {to} {core:e}\nRS{k}x{i} {one} k{k}s{i} {:e}\n\
                     VS{k}x{i} k{k}s{i} k{k}t{i} DC 0 AC 0\nE{k}x{i} k{k}t{i} {two} k{k}m{i} {to} {:e}\n\
                     F{k}x{i} k{k}m{i} {to} VS{k}x{i} {:e}",
                    ohms.0,
                    ohms.1,
                    1.0 / ratio,
                    -1.0 / ratio
                )
            }
            Told::Open | Told::Twin => Ok(()),
        }
        .unwrap();
    }
    for (i, _) in random.points.iter().enumerate() {
        writeln!(deck, "RG{k}p{i} k{k}p{i} 0 1e13").unwrap();
    }
    if let Some((red, black, ohms)) = meter {
        writeln!(deck, "RM{k} {} {} {ohms:e}", node(red), node(black)).unwrap();
    }
}

fn run(deck: &str, name: &str) -> Vec<f64> {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join(name);
    #[expect(clippy::disallowed_methods, reason = "the deck is handed to ngspice as a file")]
    std::fs::write(&file, deck).expect("written");
    let out = Command::new("ngspice").arg("-b").arg(&file).output().expect("ngspice is installed (see tests/run)");
    let text = String::from_utf8_lossy(&out.stdout);
    text.lines().filter_map(|line| line.strip_prefix("x = ")).map(|x| x.trim().parse().expect("a number")).collect()
}

fn compare(current: Current) -> usize {
    let mut checked = 0;
    // Forty networks to a deck: one process each would take most of the time.
    for first in (0..NETWORKS).step_by(40) {
        let (mut deck, mut prints) = ("* networks made at random\n".to_owned(), String::new());
        let mut expected: Vec<(u64, String, f64)> = Vec::new();
        for seed in first..first + 40 {
            let random = network(seed, current);
            let dice = &mut Dice::new(seed + 1000);
            let some = |dice: &mut Dice| random.points[dice.below(random.points.len())];
            let (red, black) = (some(dice), if dice.below(3) == 0 { GROUND } else { some(dice) });
            let ohms = if dice.below(2) == 0 { 10e6 } else { 3e3 };
            let meter = (red != black).then_some((red, black, ohms));
            netlist(&mut deck, seed, &random, meter);
            let changes: Vec<Change> =
                random.lost.map(|leg| Change { at: At::Terminal(leg), effect: Effect::Opens }).into_iter().collect();
            let mut solver = Solver::new(Arc::new(random.net.clone()), &[]);
            let settled = solver.bring_up(&[&|_| random.positions.clone()], &changes).unwrap();
            let node = |p: PointId| random.points.iter().position(|&q| q == p).map(|i| format!("v(k{seed}p{i})"));
            let tied = grounded(&random);
            if let Some((red, black, ohms)) = meter {
                let sum = match (node(red), node(black)) {
                    (Some(red), Some(black)) => format!("{red}-{black}"),
                    (Some(one), None) | (None, Some(one)) => one,
                    (None, None) => unreachable!("red is never ground"),
                };
                prints.push_str(&print(current, &sum));
                expected.push((
                    seed,
                    format!("meter {sum}"),
                    settled.volts(current, Place::Between(red, black), ohms)[0],
                ));
            }
            // Without a meter every point that hangs on ground has volts of its own.
            let copy = seed + 100_000;
            netlist(&mut deck, copy, &random, None);
            for (i, &point) in random.points.iter().enumerate().filter(|&(i, _)| tied[i]) {
                let sum = format!("v(k{copy}p{i})");
                prints.push_str(&print(current, &sum));
                expected.push((seed, sum, settled.volts(current, Place::Between(point, GROUND), 1e13)[0]));
            }
        }
        let analysis = if current == Current::Ac { "ac lin 1 60 60" } else { "op" };
        write!(
            deck,
            ".options gmin=1e-20 reltol=1e-12\n.control\nset noaskquit\nset numdgt=10\n{analysis}\n{prints}.endc\n.end\n"
        )
        .unwrap();
        let found = run(&deck, "random.cir");
        assert_eq!(found.len(), expected.len(), "ngspice answered every question");
        for ((seed, what, ours), theirs) in expected.into_iter().zip(found) {
            assert!(agree(ours, theirs), "network {seed} {current:?}, {what}: {ours} V, ngspice {theirs} V");
            checked += 1;
        }
    }
    checked
}

fn print(current: Current, sum: &str) -> String {
    match current {
        Current::Ac => format!("let x=mag({sum})\nprint x\n"),
        Current::Dc => format!("let x={sum}\nprint x\n"),
    }
}

#[test]
fn alternating_current() {
    let checked = compare(Current::Ac);
    assert!(checked > 1500, "{checked} readings");
}

#[test]
fn direct_current() {
    let checked = compare(Current::Dc);
    assert!(checked > 1500, "{checked} readings");
}
