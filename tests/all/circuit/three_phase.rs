//! Heater banks in delta and wye behind three fuses, healthy and faulted, and cold between their terminals.
//! Source: phasor sums (numpy) and ngspice 39.3, copied to `tests/cases/circuit`. E1 is A-B, E2 B-C, E3 C-A in delta;
//! in wye each goes from its line to the star.

use super::table::rows;
use ruleout::circuit::{
    Change, Clamp, Current, Effect, GROUND, Grounding, Network, Place, PointId, PoleId, Solver, TerminalId, Value,
};
use std::collections::BTreeMap;
use std::sync::Arc;

struct Bank {
    net: Network,
    line: [PointId; 3],
    load: [PointId; 3],
    elements: [PoleId; 3],
    feeds: [PoleId; 3],
    neutral: Option<PoleId>,
}

fn bank(kind: &str, volts: f64, ohms: f64) -> Bank {
    let mut net = Network::new();
    let line = ["A", "B", "C"].map(|name| net.point(name));
    let load = ["A1", "B1", "C1"].map(|name| net.point(name));
    net.supply("mains", Current::Ac, &line, volts, Grounding::Wye).unwrap();
    let feeds = [0, 1, 2].map(|i| net.conductor(format!("fuse-{}", i + 1), line[i], load[i], 1e-3));
    let mut neutral = None;
    let elements = if kind == "delta" {
        [0, 1, 2].map(|i| net.resistance(format!("e{}", i + 1), load[i], load[(i + 1) % 3], ohms))
    } else {
        let star = net.point("STAR");
        if kind == "wye+N" {
            neutral = Some(net.conductor("neutral", star, GROUND, 1e-3));
        }
        [0, 1, 2].map(|i| net.resistance(format!("e{}", i + 1), load[i], star, ohms))
    };
    Bank { net, line, load, elements, feeds, neutral }
}

impl Bank {
    fn changes(&self, faults: &str) -> Vec<Change> {
        let mut changes = Vec::new();
        for fault in faults.split("; ").flat_map(|f| f.split(" and ")).filter(|f| *f != "none") {
            let element = |name: &str| self.elements[name[1..].parse::<usize>().unwrap() - 1];
            let words: Vec<&str> = fault.split(' ').collect();
            changes.push(match words[..] {
                ["open", "line", line] => Change::pole(self.feeds["ABC".find(line).expect("a line")], Effect::Opens),
                ["open", "neutral"] => Change::pole(self.neutral.expect("a neutral"), Effect::Opens),
                ["open", name] | [name] => Change::pole(element(name), Effect::Opens),
                ["half", name] => Change::pole(element(name), Effect::Times(0.5)),
                [name, "+10", "%"] => Change::pole(element(name), Effect::Times(1.1)),
                _ => panic!("no fault `{fault}`"),
            });
        }
        changes
    }
}

/// All 64 cases: line amps and neutral, volts and amps of each element, kW, volts at the load side and across fuse A.
#[test]
fn sixty_four_cases() {
    let mut cases = 0;
    for row in rows("threephase_heater_faults.csv") {
        let of = |column: &str| -> f64 { row[column].parse().unwrap() };
        // The table prints the ohms to four places; the run used the exact ones.
        let per_element = of("V_LL") * of("V_LL") / (of("nameplate_kW") * 1000.0);
        let ohms = if row["kind"] == "delta" { 3.0 * per_element } else { per_element };
        assert!((ohms - of("R_ohm")).abs() < 5.1e-5);
        let bank = bank(&row["kind"], of("V_LL"), ohms);
        let mut solver = Solver::new(Arc::new(bank.net.clone()), &[]);
        let settled = solver.bring_up(&[&|_| Vec::new()], &bank.changes(&row["fault"])).unwrap();
        assert!(settled.left_over() < 1e-9);
        let volts = |red, black| settled.volts(Current::Ac, Place::Between(red, black), 1e13)[0];
        let amps = |clamp| settled.amps(Current::Ac, clamp)[0];
        let say = |column: &str, found: f64, step: f64| {
            let expected = of(column);
            assert!(
                (found - expected).abs() <= step,
                "{} {} V {} kW, {}: {column} {found} for {expected}",
                row["kind"],
                row["V_LL"],
                row["nameplate_kW"],
                row["fault"]
            );
        };
        let mut watts = 0.0;
        for (i, line) in ["A", "B", "C"].into_iter().enumerate() {
            let terminal: TerminalId = bank.net.terminal_at(bank.line[i]).unwrap();
            say(&format!("I_{line}"), amps(Clamp::Terminal(terminal)), 0.001);
            // ngspice's own column: an independent program.
            say(&format!("I{line}_ngspice"), amps(Clamp::Pole(bank.feeds[i])), 0.001);
            let across = volts(bank.net.pole_at(bank.elements[i]).from, bank.net.pole_at(bank.elements[i]).to);
            say(&format!("V_E{}", i + 1), across, 0.01);
            say(&format!("I_E{}", i + 1), amps(Clamp::Pole(bank.elements[i])), 0.001);
            watts += across * amps(Clamp::Pole(bank.elements[i]));
        }
        say("I_neutral", bank.neutral.map_or(0.0, |pole| amps(Clamp::Pole(pole))), 0.001);
        say("kW", watts / 1000.0, 0.0001);
        say("Vab_load", volts(bank.load[0], bank.load[1]), 0.01);
        say("Vbc_load", volts(bank.load[1], bank.load[2]), 0.01);
        say("Vca_load", volts(bank.load[2], bank.load[0]), 0.01);
        say("Va_across_fuse", volts(bank.line[0], bank.load[0]), 0.01);
        cases += 1;
    }
    assert_eq!(cases, 64);
}

/// Closed forms every bank must show, whatever the volts. Source: the reference's table of ratios (phasor algebra).
#[test]
fn one_element_open_in_delta_and_in_wye() {
    let root3 = 3f64.sqrt();
    let cases: [(&str, [f64; 3]); 2] =
        [("delta", [1.0 / root3, 1.0 / root3, 1.0]), ("wye", [0.0, root3 / 2.0, root3 / 2.0])];
    for (kind, expected) in cases {
        let bank = bank(kind, 208.0, 10.0);
        let mut solver = Solver::new(Arc::new(bank.net.clone()), &[]);
        let mut lines = |fault: &str| {
            let settled = solver.bring_up(&[&|_| Vec::new()], &bank.changes(fault)).unwrap();
            bank.feeds.map(|feed| settled.amps(Current::Ac, Clamp::Pole(feed))[0])
        };
        let (good, open) = (lines("none"), lines("open E1"));
        for i in 0..3 {
            // The feed of 1 mohm a line is in 10 ohm: four parts in ten thousand.
            assert!((open[i] / good[i] - expected[i]).abs() < 4e-4, "{kind} line {i}: {}", open[i] / good[i]);
        }
    }
}

/// Cold ohms between the terminals, supply off: in place, so the other elements read through. One wire off, an element
/// is itself and an open one reads OL.
#[test]
fn terminal_ohms() {
    for row in rows("threephase_ohmmeter.csv") {
        let ohms: f64 = row["R_ohm"].parse().unwrap();
        let bank = bank(&row["kind"], 208.0, ohms);
        let mut solver = Solver::new(Arc::new(bank.net.clone()), &[]);
        let mut changes = bank.changes(&row["fault"]);
        // "Line side disconnected": the fuses are out.
        changes.extend(bank.feeds.map(|feed| Change::pole(feed, Effect::Opens)));
        let rest = solver.at_rest(&|_| Vec::new(), &changes).unwrap();
        for (column, one, two) in [("AB_ohm", 0, 1), ("BC_ohm", 1, 2), ("CA_ohm", 2, 0)] {
            let found = rest.ohms(Place::Between(bank.load[one], bank.load[two]));
            match (row[column].parse::<f64>(), found) {
                (Ok(expected), Value::Number(found)) => {
                    assert!((found - expected).abs() < 6e-5, "{} {column}: {found} for {expected}", row["fault"]);
                }
                (Err(_), Value::Ol) => assert_eq!(row[column], "OL"),
                (_, found) => panic!("{} {} {column}: {found:?} for {}", row["kind"], row["fault"], row[column]),
            }
        }
        let share = match row["fault"].as_str() {
            "none" => 1.0,
            "half E1" => 0.5,
            "E1 +10 %" => 1.1,
            _ => f64::INFINITY,
        };
        match rest.ohms_alone(bank.elements[0]) {
            Value::Number(first) => assert!((first - ohms * share).abs() < 1e-9),
            Value::Ol => assert_eq!(share, f64::INFINITY),
        }
    }
}

/// Every table row keeps its columns apart.
#[test]
fn the_tables_are_whole() {
    let rows: Vec<BTreeMap<_, _>> = rows("threephase_ohmmeter.csv");
    assert_eq!(rows.len(), 25);
    assert!(rows.iter().all(|row| row.len() == 6));
}
