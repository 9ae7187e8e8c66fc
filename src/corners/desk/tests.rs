//! The desk against sums by hand.

use super::*;
use crate::circuit::unit::{End, wire};
use crate::sheet::shop::Shop;
use crate::sheet::unit;
use crate::text::source::Source;
use crate::trade::meter::accuracy::Accuracy;
use crate::trade::unit::Unit;

const SHEET: &str = "\
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
    heater: { watts: 4000 W, volts: 240 V }
readings:
  water:
    in: °F
    where: in the kettle
    good: 200 to 210 °F
    instead:
      heater off: 70 to 80 °F
  lamp-look:
    words: [lit, dark]
    instead:
      heater off: dark
faults:
  heater:
    open: { opens: yes }
    scaled: { ohms: 15 to 30 ohm }
";

fn desk() -> Desk {
    let source = Source::new("kettle.yaml", SHEET);
    let (unit, problems) = unit::read(&source, &Shop::built_in());
    let errors: Vec<_> = problems.iter().filter(|p| p.is_error()).map(|p| &p.message).collect();
    assert!(errors.is_empty(), "{errors:?}");
    let (wired, problems) = wire(&Arc::new(unit));
    assert!(problems.iter().all(|p| !p.is_error()));
    Desk::new(&Arc::new(wired), &Meter::built_in())
}

fn amps(desk: &mut Desk, faults: &[FaultId]) -> Vec<(Corner, f64)> {
    let (part, _) = desk.wired().unit.part("heater").unwrap();
    let tap = Tap { unit: Unit::of("A").unwrap(), spot: Spot::Through(part, 0), over: None, loaded: false };
    let calling = desk.standing(&desk.wired().unit.calling.clone());
    desk.corners(Width::All, faults)
        .into_iter()
        .map(|corner| {
            let sets = desk.read(corner, &calling, faults, &[tap]).unwrap();
            let Some([Reading::Value(amps)]) = sets.first().map(Vec::as_slice) else { panic!("{sets:?}") };
            (desk.corner(corner).clone(), *amps)
        })
        .collect()
}

/// One load across one supply, by hand: 240 V and 4 kW are 14.4 ohm; 216 V across 14.4 ÷ 0.9 is 13.5 A, 264 V across
/// 14.4 ÷ 1.05 is 19.25 A. The contacts' 30 mohm take two thousandths off.
#[test]
fn corners_of_one_load() {
    let mut desk = desk();
    let amps = amps(&mut desk, &[]);
    assert_eq!(
        amps.len(),
        3 * 3 * 2,
        "supply, parts, free readings; no faults, and one part has nobody to differ from"
    );
    let near = |a: f64, b: f64| (a / b - 1.0).abs() < 0.003;
    let first = amps.first().unwrap();
    assert!(first.0.supply == End::Nominal && first.0.parts == End::Nominal && near(first.1, 16.6667), "{first:?}");
    let lowest = amps.iter().map(|(_, amps)| *amps).fold(f64::INFINITY, f64::min);
    let highest = amps.iter().map(|(_, amps)| *amps).fold(0.0, f64::max);
    assert!(near(lowest, 13.5) && near(highest, 19.25), "{lowest} {highest}");
}

#[test]
fn a_fault_is_looked_at_at_both_its_ends_only_where_it_has_two() {
    let mut desk = desk();
    let fault = |name: &str| desk.wired().unit.fault("heater", name).unwrap();
    let (open, scaled) = (fault("open"), fault("scaled"));
    assert!(amps(&mut desk, &[open]).iter().all(|(_, amps)| *amps < 1e-3));
    assert_eq!(amps(&mut desk, &[open]).len(), 18);
    let scaled = amps(&mut desk, &[scaled]);
    assert_eq!(scaled.len(), 36);
    // 216 V across 30 ohm ÷ 0.9 to 264 V across 15 ohm ÷ 1.05: the fault's ohms have the tolerance of the part.
    let lowest = scaled.iter().map(|(_, amps)| *amps).fold(f64::INFINITY, f64::min);
    assert!((lowest - 216.0 / (30.0 / 0.9)).abs() < 0.05, "{lowest}");
}

#[test]
fn readings_outside_follow_the_circuit_and_ohms_are_taken_dead() {
    let mut desk = desk();
    let unit = Arc::clone(&desk.wired().unit);
    let (water, _) = unit.reading("water").unwrap();
    let (look, _) = unit.reading("lamp-look").unwrap();
    let (heater, _) = unit.part("heater").unwrap();
    let calling = desk.standing(&unit.calling);
    let open = unit.fault("heater", "open").unwrap();
    let first = *desk.corners(Width::Three, &[]).first().unwrap();
    let water = Tap { unit: Unit::of("°F").unwrap(), spot: Spot::At(water), over: None, loaded: false };
    assert_eq!(desk.read(first, &calling, &[], &[water]), Ok(vec![vec![Reading::Value(200.0)]]));
    assert_eq!(desk.read(first, &calling, &[open], &[water]), Ok(vec![vec![Reading::Value(70.0)]]));
    assert_eq!(desk.words(first, &calling, &[open], look), Ok(vec![1]));
    let ohms = Tap { unit: Unit::of("ohm").unwrap(), spot: Spot::Of(heater, 0), over: None, loaded: false };
    assert_eq!(desk.read(first, &calling, &[], &[ohms]), Err(Unread::Live));
    let dead = desk.standing(&[Stand::LOCKED_OUT]);
    assert_eq!(desk.read(first, &dead, &[], &[ohms]), Ok(vec![vec![Reading::Value(14.4)]]));
    assert_eq!(desk.read(first, &dead, &[open], &[ohms]), Ok(vec![vec![Reading::OverLimit]]));
}

#[test]
fn a_set_at_both_ends_of_its_accuracy() {
    let mut desk = desk();
    let volts = Unit::parse("V AC").unwrap();
    let accuracy = Accuracy { share: 0.01, counts: 3.0, step: 0.1 };
    desk.meter.functions.push(crate::sheet::meter::Function { unit: volts, accuracy });
    let tap = |unit| Tap { unit, spot: Spot::Between(PointId(1), PointId(2)), over: None, loaded: false };
    let taps = [tap(volts), tap(Unit::parse("A").unwrap())];
    let set = [Reading::Value(200.0), Reading::Value(5.0)];
    // ±(1 % of 200 V + 3 counts of 0.1 V) is 2.3 V; of amps this meter says nothing.
    let want = vec![vec![Reading::Value(197.7), set[1]], vec![Reading::Value(202.3), set[1]]];
    assert_eq!(desk.ends(&taps, &set), want);
    assert_eq!(desk.ends(&taps, &[Reading::OverLimit, set[1]]), Vec::<Vec<Reading>>::new());
}
