//! What a voltmeter reads in a contactor and in a solid-state-relay circuit, healthy and with each fault, with an
//! ideal, a 10 Mohm and a 3 kohm meter.
//! Source: ngspice 39.3 (Debian 39.3+ds-1), circuits A and B of the reference tables, copied to `tests/cases/circuit`.

use super::table::{agree, rows};
use ruleout::circuit::{
    Change, Clamp, Current, DeciderId, Drive, Effect, Grounding, Leak, Make, Network, Place, PointId, PoleId,
    PositionId, Rated, Settled, Solver, TerminalId,
};
use std::collections::BTreeMap;
use std::sync::Arc;

fn meter_ohms(name: &str) -> f64 {
    match name {
        "ideal" => 1e13,
        "10M" => 10e6,
        "LoZ3k" => 3e3,
        other => panic!("no meter `{other}`"),
    }
}

struct Ladder {
    net: Network,
    points: BTreeMap<&'static str, PointId>,
    poles: BTreeMap<&'static str, PoleId>,
}

impl Ladder {
    /// 120/240 V, the middle grounded, each leg behind its breaker pole.
    fn new(points: &[&'static str]) -> Self {
        let mut net = Network::new();
        let mut named: BTreeMap<_, _> =
            ["S1", "S2"].iter().chain(points).map(|&name| (name, net.point(name))).collect();
        named.insert("N", ruleout::circuit::GROUND);
        net.supply("mains", Current::Ac, &[named["S1"], named["S2"]], 240.0, Grounding::Middle).unwrap();
        let mut ladder = Self { net, points: named, poles: BTreeMap::new() };
        ladder.wire("BK1", "S1", "L1");
        ladder.wire("BK2", "S2", "L2");
        ladder
    }

    fn wire(&mut self, name: &'static str, from: &str, to: &str) {
        let pole = self.net.conductor(name, self.points[from], self.points[to], 0.01);
        self.poles.insert(name, pole);
    }

    fn switch(&mut self, name: &'static str, from: &str, to: &str) -> PositionId {
        let position = self.net.position();
        let drive = Drive { position: Some(position), ..Drive::default() };
        let pole = self.net.contact(name, self.points[from], self.points[to], drive);
        self.poles.insert(name, pole);
        position
    }

    fn driven(&mut self, name: &'static str, from: &str, to: &str, by: DeciderId) {
        let drive = Drive { decider: Some(by), ..Drive::default() };
        let pole = self.net.contact(name, self.points[from], self.points[to], drive);
        self.poles.insert(name, pole);
    }

    fn load(&mut self, name: &'static str, from: &str, to: &str, ohms: f64) -> PoleId {
        let pole = self.net.resistance(name, self.points[from], self.points[to], ohms);
        self.poles.insert(name, pole);
        pole
    }
}

/// Circuit A. Positions: door, high limit, relay contact.
fn contactor() -> Ladder {
    let mut a = Ladder::new(&["L1", "n1", "n2", "n3", "n4", "n5", "p1", "e1", "e2", "p2", "L2"]);
    a.wire("F1", "L1", "n1");
    a.switch("DOOR", "n1", "n2");
    a.switch("HILIM", "n2", "n3");
    a.switch("RLY", "n3", "n4");
    a.wire("WN", "n5", "N");
    let coil = a.load("COIL", "n4", "n5", 1440.0);
    a.net.rate(coil, Rated { volts: 120.0, current: Current::Ac, works_from: 90.0 });
    // The reference takes 75 % as pull-in; it is a number of that model.
    let m = a.net.decider("M", coil, 0.75 * 120.0, 0.5 * 120.0);
    a.driven("M1", "L1", "p1", m);
    a.wire("W1", "p1", "e1");
    a.load("E", "e1", "e2", 24.0);
    a.wire("W2", "e2", "p2");
    a.driven("M2", "p2", "L2", m);
    a
}

/// The reference's fault by name: what is closed (door, high limit, relay) and what is wrong.
fn fault_a(name: &str) -> ([bool; 3], Vec<(&'static str, Effect)>) {
    use Effect::{Closes, Grounded, Ohms, Opens};
    let (calling, not_calling) = ([true, true, true], [true, true, false]);
    let ground = Grounded { along: 0.5, ohms: 0.5 };
    match name {
        "healthy, calling" => (calling, vec![]),
        "healthy, not calling" => (not_calling, vec![]),
        "door open (by intent)" => ([false, true, true], vec![]),
        "fuse open" => (calling, vec![("F1", Opens)]),
        "door switch failed open" => (calling, vec![("DOOR", Opens)]),
        "hi-limit open" => ([true, false, true], vec![]),
        "relay contact failed open, calling" => (calling, vec![("RLY", Opens)]),
        "relay contact welded, not calling" => (not_calling, vec![("RLY", Closes)]),
        "coil open" => (calling, vec![("COIL", Opens)]),
        "coil return wire broken" => (calling, vec![("WN", Opens)]),
        "M1 fails to close" => (calling, vec![("M1", Opens)]),
        "M2 fails to close" => (calling, vec![("M2", Opens)]),
        "M1 welded, not calling" => (not_calling, vec![("M1", Closes)]),
        "M2 welded, not calling" => (not_calling, vec![("M2", Closes)]),
        "M1 and M2 welded, not calling" => (not_calling, vec![("M1", Closes), ("M2", Closes)]),
        "element open" => (calling, vec![("E", Opens)]),
        // The reference leaves 10 mohm in each half that is shorted.
        "element half shorted" => (calling, vec![("E", Ohms(12.01))]),
        "element dead short, breaker tripped (both poles)" => {
            (calling, vec![("E", Ohms(0.02)), ("BK1", Opens), ("BK2", Opens)])
        }
        "element dead short, first instant (0.1 ohm a leg source, contactor still in)" => {
            (calling, vec![("E", Ohms(0.02)), ("BK1", Ohms(0.1)), ("BK2", Ohms(0.1)), ("M1", Closes), ("M2", Closes)])
        }
        "wire broken before element" => (calling, vec![("W1", Opens)]),
        "wire broken after element" => (calling, vec![("W2", Opens)]),
        "element grounded at 50 %" => (calling, vec![("E", ground)]),
        "element grounded at 50 %, M1 welded, not calling" => (not_calling, vec![("E", ground), ("M1", Closes)]),
        "element grounded at 50 %, not calling" => (not_calling, vec![("E", ground)]),
        "L1 breaker pole open" => (calling, vec![("BK1", Opens)]),
        "L2 breaker pole open" => (calling, vec![("BK2", Opens)]),
        "L2 breaker pole open, not calling" => (not_calling, vec![("BK2", Opens)]),
        "hi-limit contact 50 ohm" => (calling, vec![("HILIM", Ohms(50.0))]),
        "hi-limit contact 600 ohm" => (calling, vec![("HILIM", Ohms(600.0))]),
        "loose terminal 1.5 ohm at W1" => (calling, vec![("W1", Ohms(1.5))]),
        "door open AND hi-limit open" => ([false, false, true], vec![]),
        "hi-limit open AND element open" => ([true, false, true], vec![("E", Opens)]),
        "coil open AND element open" => (calling, vec![("COIL", Opens), ("E", Opens)]),
        "fuse open AND M1 welded" => (calling, vec![("F1", Opens), ("M1", Closes)]),
        "relay open AND coil open" => (calling, vec![("RLY", Opens), ("COIL", Opens)]),
        other => panic!("no fault `{other}`"),
    }
}

fn settle(ladder: &Ladder, positions: &[bool], faults: &[(&'static str, Effect)]) -> Settled {
    let mut solver = Solver::new(Arc::new(ladder.net.clone()), &[]);
    let changes: Vec<Change> = faults.iter().map(|&(pole, effect)| Change::pole(ladder.poles[pole], effect)).collect();
    solver.bring_up(&[&|_| positions.to_vec()], &changes).unwrap()
}

/// Checks every reading of a table; returns how many there were.
fn check(
    file: &str,
    ladder: &Ladder,
    probes: &[(&str, &str, &str)],
    fault: impl Fn(&str) -> (Vec<bool>, Vec<(&'static str, Effect)>),
    amps: impl Fn(&Settled, &str) -> f64,
    amp_columns: &[&str],
) -> usize {
    let mut checked = 0;
    for row in rows(file) {
        let (positions, faults) = fault(&row["fault"]);
        let settled = settle(ladder, &positions, &faults);
        assert!(!settled.chatters(), "{}", row["fault"]);
        assert!(settled.left_over() < 1e-9, "{}: {}", row["fault"], settled.left_over());
        for &(column, red, black) in probes {
            let Ok(expected) = row[column].parse::<f64>() else {
                assert_eq!(row[column], "float");
                continue;
            };
            let place = Place::Between(ladder.points[red], ladder.points[black]);
            let found = settled.volts(Current::Ac, place, meter_ohms(&row["meter"]))[0];
            assert!(agree(found, expected), "{}, {}, {column}: {found} V for {expected}", row["fault"], row["meter"]);
            checked += 1;
        }
        for &column in amp_columns {
            let expected: f64 = row[column].parse().unwrap();
            let found = amps(&settled, column);
            assert!(agree(found, expected), "{}, {column}: {found} A for {expected}", row["fault"]);
            checked += 1;
        }
    }
    checked
}

#[test]
fn contactor_circuit_with_every_fault_and_all_three_meters() {
    let ladder = contactor();
    let probes = [
        ("L1-N", "L1", "N"),
        ("L2-N", "L2", "N"),
        ("L1-L2", "L1", "L2"),
        ("n1-N (after fuse)", "n1", "N"),
        ("n2-N (after door)", "n2", "N"),
        ("n3-N (after hi-limit)", "n3", "N"),
        ("n4-N (coil hot)", "n4", "N"),
        ("n5-N (coil return)", "n5", "N"),
        ("across fuse", "L1", "n1"),
        ("across door", "n1", "n2"),
        ("across hi-limit", "n2", "n3"),
        ("across relay", "n3", "n4"),
        ("across coil", "n4", "n5"),
        ("across M1", "L1", "p1"),
        ("across M2", "p2", "L2"),
        ("p1-p2 (contactor load side)", "p1", "p2"),
        ("across element", "e1", "e2"),
        ("p1-N", "p1", "N"),
        ("p2-N", "p2", "N"),
    ];
    let amps = |settled: &Settled, column: &str| {
        let pole = |name| settled.amps(Current::Ac, Clamp::Pole(ladder.poles[name]))[0];
        match column {
            "I_L1_power_A" => pole("M1"),
            "I_coil_A" => pole("COIL"),
            "I_element_A" => pole("E"),
            other => panic!("no column `{other}`"),
        }
    };
    let checked = check(
        "ladder_A_240V_contactor.csv",
        &ladder,
        &probes,
        |name| {
            let (positions, faults) = fault_a(name);
            (positions.to_vec(), faults)
        },
        amps,
        &["I_L1_power_A", "I_coil_A", "I_element_A"],
    );
    // 35 faults × 3 meters × (19 volts + 3 amps), less the 198 that float for an ideal meter.
    assert!(checked > 2000, "{checked} readings");
}

/// Circuit B with its two models of the leak. Positions: high limit, solid-state relay on.
#[test]
fn solid_state_relay_circuit_with_every_fault_and_all_three_meters() {
    let leaks = [
        ("ladder_B_SSR_100k.csv", Leak::Ohms(100e3)),
        ("ladder_B_SSR_RC.csv", Leak::Snubber { ohms: 47.0, farads: 22e-9 }),
    ];
    for (file, leak) in leaks {
        let mut b = Ladder::new(&["L1", "a", "b", "e1", "e2", "L2"]);
        b.switch("HILIM", "L1", "a");
        let on = b.net.position();
        let drive = Drive { position: Some(on), ..Drive::default() };
        let make = Make::Contact { ohms: 0.01, leak, drive };
        let output = b.net.pole("SSR", b.points["a"], b.points["b"], make);
        b.poles.insert("SSR", output);
        b.wire("W1", "b", "e1");
        b.load("E", "e1", "e2", 24.0);
        b.wire("W2", "e2", "L2");
        let probes = [
            ("L1-L2", "L1", "L2"),
            ("a-L2 (SSR line side)", "a", "L2"),
            ("b-L2 (SSR load side)", "b", "L2"),
            ("across hi-limit", "L1", "a"),
            ("across SSR", "a", "b"),
            ("across element", "e1", "e2"),
            ("b-N", "b", "N"),
            ("e2-N", "e2", "N"),
        ];
        let fault = |name: &str| {
            use Effect::{Closes, Opens};
            let (on, off) = (vec![true, true], vec![true, false]);
            match name {
                "SSR on, healthy" => (on, vec![]),
                "SSR off, healthy" => (off, vec![]),
                "SSR off, element open" => (off, vec![("E", Opens)]),
                "SSR off, wire broken after element" => (off, vec![("W2", Opens)]),
                "SSR shorted, not calling" => (off, vec![("SSR", Closes)]),
                "SSR failed open, calling" => (on, vec![("SSR", Opens)]),
                "element open, SSR on" => (on, vec![("E", Opens)]),
                "hi-limit open, SSR on" => (vec![false, true], vec![]),
                "hi-limit open, SSR off" => (vec![false, false], vec![]),
                "hi-limit open AND element open, SSR off" => (vec![false, false], vec![("E", Opens)]),
                "L2 lost, SSR off" => (off, vec![("BK2", Opens)]),
                "L2 lost, SSR on" => (on, vec![("BK2", Opens)]),
                "wire broken before element, SSR on" => (on, vec![("W1", Opens)]),
                "wire broken before element, SSR off" => (off, vec![("W1", Opens)]),
                other => panic!("no fault `{other}`"),
            }
        };
        let amps = |settled: &Settled, _: &str| settled.amps(Current::Ac, Clamp::Pole(b.poles["E"]))[0];
        let checked = check(file, &b, &probes, fault, amps, &["I_element_A"]);
        assert!(checked > 360, "{checked} readings");
    }
}

/// Two opens in series: across either the meter reads nothing, to the other leg it finds the first.
/// Source: circuit A, "door open AND hi-limit open".
#[test]
fn two_opens_in_series_hide_each_other() {
    let a = contactor();
    let settled = settle(&a, &[false, false, true], &[]);
    let volts =
        |red: &str, black: &str| settled.volts(Current::Ac, Place::Between(a.points[red], a.points[black]), 10e6)[0];
    assert!(volts("n1", "n2") < 0.01);
    assert!(volts("n2", "n3") < 0.01);
    assert!((volts("n1", "N") - 120.0).abs() < 0.01);
    assert!(volts("n2", "N") < 0.01);
    // Both probes of the first hang on the door's two sides: one of them in the air, so the meter may show a ghost.
    let reading = settled.read_volts(Current::Ac, Place::Between(a.points["n2"], a.points["N"]), 10e6, false);
    assert_eq!(reading.ghost, Some(0.85 * 240.0));
    let loaded = settled.read_volts(Current::Ac, Place::Between(a.points["n2"], a.points["N"]), 3e3, true);
    assert_eq!(loaded.ghost, None);
}

/// A lost leg, fed back through the element. Source: circuit A, "L2 breaker pole open".
#[test]
fn a_lost_leg_is_fed_back_through_the_element() {
    let a = contactor();
    let settled = settle(&a, &[true; 3], &[("BK2", Effect::Opens)]);
    let volts =
        |red: &str, black: &str| settled.volts(Current::Ac, Place::Between(a.points[red], a.points[black]), 10e6)[0];
    assert!((volts("L2", "N") - 120.0).abs() < 0.01, "to neutral it looks good");
    assert!(volts("L2", "L1") < 0.01, "to the other leg it does not");
    assert!(settled.is_live(a.points["L2"]), "and it bites");
    // The same with the leg lost in the supply itself.
    let mut solver = Solver::new(Arc::new(a.net.clone()), &[]);
    let lost: TerminalId = a.net.terminal_at(a.points["S2"]).unwrap();
    let change = Change { at: ruleout::circuit::At::Terminal(lost), effect: Effect::Opens };
    let settled = solver.bring_up(&[&|_| vec![true; 3]], &[change]).unwrap();
    let found = settled.volts(Current::Ac, Place::Between(a.points["S2"], a.points["N"]), 10e6)[0];
    assert!((found - 120.0).abs() < 0.01);
}

/// A contactor that is welded on one pole leaves the element live to ground with no call.
/// Source: circuit A, "M1 welded, not calling": 120 V to neutral at both ends of the element.
#[test]
fn what_is_live_comes_from_the_circuit() {
    let a = contactor();
    let off = settle(&a, &[true, true, false], &[]);
    assert!(!off.is_live(a.points["e1"]) && !off.is_live(a.points["n4"]) && !off.is_live(a.points["N"]));
    assert!(off.is_live(a.points["n3"]));
    let welded = settle(&a, &[true, true, false], &[("M1", Effect::Closes)]);
    assert!(welded.is_live(a.points["e1"]) && welded.is_live(a.points["e2"]));
}
