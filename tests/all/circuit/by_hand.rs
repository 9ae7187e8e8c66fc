//! Circuits small enough to work out on paper.

use super::table::agree;
use ruleout::circuit::{
    Change, Clamp, Current, Drive, Effect, GROUND, Grounding, Make, Network, Place, PointId, PoleId, Solver, Value,
};
use std::sync::Arc;

struct DcLadder {
    net: Network,
    a: PointId,
    b: PointId,
    parts: [PoleId; 4],
}

/// 24 V, 100 ohm in series, 200 to ground, 150 in series, 300 to ground.
fn dc_ladder() -> DcLadder {
    let mut net = Network::new();
    let [plus, minus, a, b] = ["PLUS", "MINUS", "A", "B"].map(|name| net.point(name));
    net.supply("pack", Current::Dc, &[plus, minus], 24.0, Grounding::Point(1)).unwrap();
    let parts = [
        net.resistance("r1", plus, a, 100.0),
        net.resistance("r2", a, GROUND, 200.0),
        net.resistance("r3", a, b, 150.0),
        net.resistance("r4", b, GROUND, 300.0),
    ];
    DcLadder { net, a, b, parts }
}

/// By hand: right of A stand 150 + 300 = 450 ohm, with the 200 ohm 450 × 200 ÷ 650 = 138.46 ohm; A is
/// 24 × 138.46 ÷ 238.46 = 13.9355 V and B is A × 300 ÷ 450 = 9.2903 V. Each part open and shorted the same way.
#[test]
fn dc_ladder_good_and_with_each_part_open_and_shorted() {
    use Effect::{Closes, Opens};
    let ladder = dc_ladder();
    type Case = (Option<(usize, Effect)>, f64, f64);
    let cases: [Case; 9] = [
        (None, 13.9355, 9.2903),
        (Some((0, Opens)), 0.0, 0.0),
        (Some((0, Closes)), 24.0, 16.0),
        (Some((1, Opens)), 19.6364, 13.0909),
        (Some((1, Closes)), 0.0, 0.0),
        (Some((2, Opens)), 16.0, 0.0),
        (Some((2, Closes)), 13.0909, 13.0909),
        (Some((3, Opens)), 16.0, 16.0),
        (Some((3, Closes)), 11.0769, 0.0),
    ];
    let mut solver = Solver::new(Arc::new(ladder.net.clone()), &[]);
    for (fault, a, b) in cases {
        let changes: Vec<Change> =
            fault.map(|(part, effect)| Change::pole(ladder.parts[part], effect)).into_iter().collect();
        let settled = solver.bring_up(&[&|_| Vec::new()], &changes).unwrap();
        for (point, expected) in [(ladder.a, a), (ladder.b, b)] {
            let found = settled.volts(Current::Dc, Place::Between(point, GROUND), 1e13)[0];
            assert!(agree(found, expected), "{fault:?}: {found} for {expected}");
        }
        // There is no alternating current here at all.
        assert_eq!(settled.volts(Current::Ac, Place::Between(ladder.a, GROUND), 10e6), [0.0]);
    }
}

/// A DC reading has a sign: the leads the wrong way round read minus.
#[test]
fn direct_current_has_a_sign() {
    let ladder = dc_ladder();
    let mut solver = Solver::new(Arc::new(ladder.net.clone()), &[]);
    let settled = solver.bring_up(&[&|_| Vec::new()], &[]).unwrap();
    let volts = settled.volts(Current::Dc, Place::Between(GROUND, ladder.b), 1e13)[0];
    assert!((volts + 9.2903).abs() < 1e-4);
    let amps = settled.amps(Current::Dc, Clamp::Pole(ladder.parts[0]))[0];
    assert!((amps - (24.0 - 13.9355) / 100.0).abs() < 1e-6);
}

/// The meter in the circuit: 10 Mohm across 1 Mohm of two reads 24 × (1‖10) ÷ (1 + 1‖10) = 11.4286 V, not 12.
#[test]
fn the_meter_loads_what_it_measures() {
    let mut net = Network::new();
    let [plus, minus, mid] = ["PLUS", "MINUS", "MID"].map(|name| net.point(name));
    net.supply("pack", Current::Dc, &[plus, minus], 24.0, Grounding::Point(1)).unwrap();
    net.resistance("top", plus, mid, 1e6);
    let low = net.resistance("bottom", mid, minus, 1e6);
    let mut solver = Solver::new(Arc::new(net), &[]);
    let settled = solver.bring_up(&[&|_| Vec::new()], &[]).unwrap();
    assert!((settled.volts(Current::Dc, Place::Across(low), 10e6)[0] - 11.428_571).abs() < 1e-5);
    assert!((settled.volts(Current::Dc, Place::Across(low), 1e13)[0] - 12.0).abs() < 1e-5);
}

/// A control transformer, 240 to 24 V, 2 ohm and 0.05 ohm of wire, iron 5000 ohm, with 9.6 ohm on it.
/// By hand, seen from the primary (ratio 10): 5 ohm of wire and 960 ohm of load, 965 ohm beside the iron's 5000 is
/// 808.7175 ohm; behind 2 ohm that takes 240 × 808.7175 ÷ 810.7175 = 239.4079 V, the load 960 ÷ 965 of it:
/// 238.1675 V, and a tenth of that is 23.8167 V.
#[test]
fn a_transformer_under_load() {
    let mut net = Network::new();
    let [l1, l2, x1, x2] = ["L1", "L2", "X1", "X2"].map(|name| net.point(name));
    net.supply("mains", Current::Ac, &[l1, l2], 240.0, Grounding::Middle).unwrap();
    let (primary, secondary) = net.transformer("t1", (l1, l2), (x1, x2), (240.0, 24.0), (2.0, 0.05), 5000.0);
    let load = net.resistance("load", x1, x2, 9.6);
    let mut solver = Solver::new(Arc::new(net), &[]);
    let mut volts = |faults: &[Change], place| {
        let settled = solver.bring_up(&[&|_| Vec::new()], faults).unwrap();
        assert!(settled.left_over() < 1e-9);
        settled.volts(Current::Ac, place, 10e6)[0]
    };
    let across = Place::Across(load);
    assert!((volts(&[], across) - 23.8167).abs() < 1e-3);
    // Nothing on it: only the iron's current drops volts in the primary, 240 × 5000 ÷ 5002 ÷ 10.
    let open_load = volts(&[Change::pole(load, Effect::Opens)], across);
    assert!((open_load - 23.990_404).abs() < 1e-3, "{open_load}");
    assert!(volts(&[Change::pole(primary, Effect::Opens)], across) < 1e-6);
    assert!(volts(&[Change::pole(secondary, Effect::Opens)], across) < 1e-6);
    // The secondary floats: to ground it reads nothing, and yet X1 bites against X2.
    assert!(volts(&[], Place::Between(x1, GROUND)) < 0.01);
    let settled = solver.bring_up(&[&|_| Vec::new()], &[]).unwrap();
    assert!(settled.is_live(x1) && settled.is_live(x2));
    // Ohms are those of the wire; an open one is OL. The secondary in place has its load beside it.
    let rest = solver.at_rest(&|_| Vec::new(), &[]).unwrap();
    assert_eq!(rest.ohms_alone(primary), Value::Number(2.0));
    let Value::Number(ohms) = rest.ohms(Place::Across(secondary)) else { panic!("closed") };
    assert!((ohms - 0.05 * 9.6 / 9.65).abs() < 1e-9);
    let rest = solver.at_rest(&|_| Vec::new(), &[Change::pole(secondary, Effect::Opens)]).unwrap();
    assert_eq!(rest.ohms_alone(secondary), Value::Ol);
}

/// A gas valve of 95 ohm that draws 0.10 A at 120 V is 1200 ohm to alternating current and 95 to the ohmmeter.
#[test]
fn a_coil_is_more_than_its_ohms() {
    let mut net = Network::new();
    let [hot, neutral] = ["HOT", "NEUTRAL"].map(|name| net.point(name));
    net.supply("mains", Current::Ac, &[hot, neutral], 120.0, Grounding::Point(1)).unwrap();
    let reactance = (1200.0_f64.powi(2) - 95.0_f64.powi(2)).sqrt();
    let make = Make::Load { cold: 95.0, hot: ruleout::circuit::Complex::new(95.0, reactance) };
    let coil = net.pole("valve", hot, neutral, make);
    let mut solver = Solver::new(Arc::new(net), &[]);
    let settled = solver.bring_up(&[&|_| Vec::new()], &[]).unwrap();
    assert!((settled.amps(Current::Ac, Clamp::Pole(coil))[0] - 0.10).abs() < 1e-6);
    let rest = solver.at_rest(&|_| Vec::new(), &[]).unwrap();
    let Value::Number(ohms) = rest.ohms(Place::Across(coil)) else { panic!("closed") };
    assert!((ohms - 95.0).abs() < 1e-9);
}

/// A run capacitor: 5 µF at 60 Hz is 530.5 ohm, so 370 V drive 0.697 A (trade rule: µF = 2652 × A ÷ V).
#[test]
fn a_capacitor() {
    let mut net = Network::new();
    let [l1, l2] = ["L1", "L2"].map(|name| net.point(name));
    net.supply("mains", Current::Ac, &[l1, l2], 370.0, Grounding::None).unwrap();
    let run = net.pole("run", l1, l2, Make::Capacitor { farads: 5e-6 });
    let mut solver = Solver::new(Arc::new(net), &[]);
    let settled = solver.bring_up(&[&|_| Vec::new()], &[]).unwrap();
    let amps = settled.amps(Current::Ac, Clamp::Pole(run))[0];
    assert!((2652.6 * amps / 370.0 - 5.0).abs() < 1e-3, "{amps}");
    let rest = solver.at_rest(&|_| Vec::new(), &[]).unwrap();
    assert_eq!(rest.ohms_alone(run), Value::Ol, "it charges, then reads open");
    assert_eq!(rest.farads(run), Some(Value::Number(5e-6)));
    let weak = solver.at_rest(&|_| Vec::new(), &[Change::pole(run, Effect::Times(0.62))]).unwrap();
    assert_eq!(weak.farads(run), Some(Value::Number(5e-6 * 0.62)));
}

/// An ungrounded supply: line to line it reads full, to ground next to nothing, and still both lines bite.
#[test]
fn an_ungrounded_supply_and_an_island() {
    let mut net = Network::new();
    let [l1, l2, far, end] = ["L1", "L2", "FAR", "END"].map(|name| net.point(name));
    net.supply("mains", Current::Ac, &[l1, l2], 208.0, Grounding::None).unwrap();
    net.resistance("element", l1, l2, 20.0);
    // A piece of wire that hangs on nothing.
    let loose = net.resistance("loose", far, end, 50.0);
    let mut solver = Solver::new(Arc::new(net), &[]);
    let settled = solver.bring_up(&[&|_| Vec::new()], &[]).unwrap();
    let volts = |one, two| settled.volts(Current::Ac, Place::Between(one, two), 10e6)[0];
    assert!((volts(l1, l2) - 208.0).abs() < 1e-3);
    assert!(volts(l1, GROUND) < 0.01 && volts(l1, far) < 0.01 && volts(far, end) < 0.01);
    assert!(settled.is_live(l1) && settled.is_live(l2) && !settled.is_live(far));
    let names: Vec<&str> = settled.live_points().into_iter().map(|(_, name)| name).collect();
    assert_eq!(names, ["L1", "L2"]);
    let rest = solver.at_rest(&|_| Vec::new(), &[]).unwrap();
    assert_eq!(rest.ohms(Place::Between(l1, far)), Value::Ol);
    assert_eq!(rest.ohms(Place::Across(loose)), Value::Number(50.0));
    // Probes on the loose wire hang in the air together: no ghost between them, one to ground.
    assert_eq!(settled.read_volts(Current::Ac, Place::Across(loose), 10e6, false).ghost, None);
    let ghost = settled.read_volts(Current::Ac, Place::Between(far, GROUND), 10e6, false).ghost;
    assert!((ghost.unwrap() - 0.85 * 208.0).abs() < 1e-9);
}

/// Two supplies that share a neutral do not clash.
#[test]
fn two_supplies_on_one_neutral() {
    let mut net = Network::new();
    let [hot, other, neutral] = ["HOT", "OTHER", "NEUTRAL"].map(|name| net.point(name));
    net.supply("mains", Current::Ac, &[hot, neutral], 120.0, Grounding::Point(1)).unwrap();
    net.supply("lights", Current::Ac, &[other, neutral], 120.0, Grounding::Point(1)).unwrap();
    let lamp = net.resistance("lamp", other, neutral, 240.0);
    let mut solver = Solver::new(Arc::new(net), &[]);
    let settled = solver.bring_up(&[&|_| Vec::new()], &[]).unwrap();
    assert!((settled.amps(Current::Ac, Clamp::Pole(lamp))[0] - 0.5).abs() < 1e-6);
    assert!(settled.volts(Current::Ac, Place::Between(hot, other), 10e6)[0] < 1e-3);
}

/// A controller's pulse output: 12 V DC behind 200 ohm turns on a solid-state relay of 1 kohm, which takes 10 V.
#[test]
fn an_output_drives_a_solid_state_relay() {
    let mut net = Network::new();
    let [l1, l2, load, plus, minus] = ["L1", "L2", "T1", "PLUS", "MINUS"].map(|name| net.point(name));
    net.supply("mains", Current::Ac, &[l1, l2], 240.0, Grounding::Middle).unwrap();
    let calls = net.position();
    let drive = Drive { position: Some(calls), ..Drive::default() };
    net.pole("drive", plus, minus, Make::Output { current: Current::Dc, volts: 12.0, ohms: 200.0, drive });
    let input = net.resistance("ssr.in", plus, minus, 1000.0);
    let on = net.decider("ssr", input, 4.0, 4.0);
    net.contact("ssr.out", l1, load, Drive { decider: Some(on), ..Drive::default() });
    let element = net.resistance("element", load, l2, 24.0);
    let mut solver = Solver::new(Arc::new(net), &[]);
    let on = solver.bring_up(&[&|_| vec![true]], &[]).unwrap();
    assert!((on.volts(Current::Dc, Place::Across(input), 10e6)[0] - 10.0).abs() < 1e-3);
    assert!((on.amps(Current::Ac, Clamp::Pole(element))[0] - 240.0 / 24.01).abs() < 1e-3);
    assert!(on.left_over() < 1e-9);
    let off = solver.bring_up(&[&|_| vec![false]], &[]).unwrap();
    assert!(off.volts(Current::Dc, Place::Across(input), 10e6)[0].abs() < 1e-9);
    assert!(off.amps(Current::Ac, Clamp::Pole(element))[0] < 1e-9);
}
