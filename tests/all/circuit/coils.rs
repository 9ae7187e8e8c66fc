//! Coils from rest: what pulls in, what holds, what chatters. The numbers 85 %, 50 % and 10 % are the model's
//! (pull-in by 80 to 85 % and drop-out at 20 to 60 % of rated: IEC 60947-4-1, from memory).

use ruleout::circuit::{
    Change, Current, DeciderId, Drive, Effect, Grounding, LET_GO, Level, Network, PULL_IN, Place, PointId, PoleId,
    Rated, Reading, Solver, Way,
};
use std::sync::Arc;

const LINE: f64 = 120.0;

struct Panel {
    net: Network,
    hot: PointId,
    neutral: PointId,
}

fn panel() -> Panel {
    let mut net = Network::new();
    let [hot, neutral] = ["HOT", "NEUTRAL"].map(|name| net.point(name));
    net.supply("mains", Current::Ac, &[hot, neutral], LINE, Grounding::Point(1)).unwrap();
    Panel { net, hot, neutral }
}

impl Panel {
    fn coil(&mut self, name: &str, from: PointId, ohms: f64) -> (PoleId, DeciderId) {
        let pole = self.net.resistance(format!("{name}.coil"), from, self.neutral, ohms);
        self.net.rate(pole, Rated { volts: LINE, current: Current::Ac, works_from: PULL_IN * LINE });
        (pole, self.net.decider(name, pole, PULL_IN * LINE, LET_GO * LINE))
    }
}

/// A resistor of `series` ohm in front of a 1000 ohm coil, with a switch past it.
#[test]
fn pulls_in_at_85_percent_holds_down_to_50() {
    // (ohms in series once the switch is open, pulls in from rest with them, holds once it was in)
    let cases = [(150.0, true, true), (200.0, false, true), (900.0, false, true), (1100.0, false, false)];
    for (series, from_rest, holds) in cases {
        let mut panel = panel();
        let mid = panel.net.point("MID");
        panel.net.resistance("series", panel.hot, mid, series);
        let past = panel.net.position();
        panel.net.contact("past", panel.hot, mid, Drive { position: Some(past), ..Drive::default() });
        let (pole, k1) = panel.coil("k1", mid, 1000.0);
        let mut solver = Solver::new(Arc::new(panel.net), &[]);
        let rest = solver.bring_up(&[&|_| vec![false]], &[]).unwrap();
        assert_eq!(rest.acting(k1), [from_rest], "{series} ohm from rest");
        let after = solver.bring_up(&[&|_| vec![true], &|_| vec![false]], &[]).unwrap();
        assert_eq!(after.acting(k1), [holds], "{series} ohm after it was in");
        let expected = if series < 176.0 { Level::On } else { Level::Weak };
        assert_eq!(after.level(pole), expected, "on is from 85 % only, held in or not");
    }
}

/// A start button and a contact of the coil's own past it: in from the button on, until the stop button opens.
#[test]
fn a_coil_that_seals_itself_in() {
    let mut panel = panel();
    let [stopped, mid] = ["STOP", "MID"].map(|name| panel.net.point(name));
    let (stop, start) = (panel.net.position(), panel.net.position());
    panel.net.contact("stop", panel.hot, stopped, Drive { position: Some(stop), ..Drive::default() });
    panel.net.contact("start", stopped, mid, Drive { position: Some(start), ..Drive::default() });
    let (_, k1) = panel.coil("k1", mid, 1000.0);
    panel.net.contact("k1.a", stopped, mid, Drive { decider: Some(k1), ..Drive::default() });
    let mut solver = Solver::new(Arc::new(panel.net), &[]);
    let mut after = |steps: &[[bool; 2]]| {
        let steps: Vec<_> = steps.iter().map(|step| move |_: &ruleout::circuit::Glance<'_>| step.to_vec()).collect();
        let steps: Vec<ruleout::circuit::Positions<'_>> = steps.iter().map(|s| s as _).collect();
        solver.bring_up(&steps, &[]).unwrap().acting(k1)
    };
    assert_eq!(after(&[[true, false]]), [false]);
    assert_eq!(after(&[[true, true]]), [true]);
    assert_eq!(after(&[[true, true], [true, false]]), [true], "sealed in");
    assert_eq!(after(&[[true, true], [true, false], [false, false]]), [false]);
    assert_eq!(after(&[[true, true], [false, false], [true, false]]), [false], "and stays out");
}

/// A coil fed through its own closed contact is a buzzer.
#[test]
fn a_coil_that_chatters_has_phases() {
    let mut panel = panel();
    let mid = panel.net.point("MID");
    let (pole, k1) = panel.coil("k1", mid, 1000.0);
    panel.net.contact("k1.b", panel.hot, mid, Drive { decider: Some(k1), rest_closed: true, ..Drive::default() });
    let mut solver = Solver::new(Arc::new(panel.net), &[]);
    let settled = solver.bring_up(&[&|_| Vec::new()], &[]).unwrap();
    assert!(settled.chatters());
    assert_eq!(settled.acting(k1), [false, true]);
    assert_eq!(settled.level(pole), Level::Weak, "chattering is weak");
    let volts = settled.volts(Current::Ac, Place::Across(pole), 10e6);
    let reading = Reading { phases: volts, ghost: None };
    let near = |found: Vec<f64>, expected: &[f64]| {
        assert_eq!(found.len(), expected.len());
        for (found, expected) in found.iter().zip(expected) {
            assert!((found - expected).abs() < 0.01, "{found} for {expected}");
        }
    };
    near(reading.values(None), &[120.0, 0.0]);
    near(reading.values(Some(Way::Highest)), &[120.0]);
    near(reading.values(Some(Way::Lowest)), &[0.0]);
    near(reading.values(Some(Way::Average)), &[60.0]);
    // With the coil open it never starts.
    let quiet = solver.bring_up(&[&|_| Vec::new()], &[Change::pole(pole, Effect::Opens)]).unwrap();
    assert!(!quiet.chatters());
    assert_eq!(quiet.level(pole), Level::Off);
}

/// An open coil has full volts across it and does nothing.
#[test]
fn an_open_coil_is_off_with_full_volts_on_it() {
    let mut panel = panel();
    let (pole, k1) = panel.coil("k1", panel.hot, 1000.0);
    let mut solver = Solver::new(Arc::new(panel.net), &[]);
    let settled = solver.bring_up(&[&|_| Vec::new()], &[Change::pole(pole, Effect::Opens)]).unwrap();
    assert_eq!(settled.acting(k1), [false]);
    assert_eq!(settled.level(pole), Level::Off);
    assert!((settled.volts(Current::Ac, Place::Across(pole), 10e6)[0] - 120.0).abs() < 1e-3);
    // Jammed in or out, the coil has nothing to say.
    for (effect, acts) in [(Effect::Opens, false), (Effect::Closes, true)] {
        let jammed = Change { at: ruleout::circuit::At::Decider(k1), effect };
        assert_eq!(solver.bring_up(&[&|_| Vec::new()], &[jammed]).unwrap().acting(k1), [acts]);
    }
}

/// A control has no memory: at 102 V or above it works, below it does not, whatever it did before.
#[test]
fn a_control_has_no_memory() {
    let mut panel = panel();
    let mid = panel.net.point("MID");
    let out = panel.net.point("OUT");
    let past = panel.net.position();
    panel.net.contact("past", panel.hot, mid, Drive { position: Some(past), ..Drive::default() });
    panel.net.resistance("series", panel.hot, mid, 600.0);
    // 6 VA at 120 V is 2400 ohm; behind 600 ohm it gets 96 V.
    let supply = panel.net.resistance("module.supply", mid, panel.neutral, 2400.0);
    panel.net.rate(supply, Rated { volts: LINE, current: Current::Ac, works_from: 102.0 });
    let module = panel.net.decider("module", supply, 102.0, 102.0);
    panel.net.contact("module.out", mid, out, Drive { decider: Some(module), ..Drive::default() });
    let mut solver = Solver::new(Arc::new(panel.net), &[]);
    let settled = solver.bring_up(&[&|_| vec![true], &|_| vec![false]], &[]).unwrap();
    assert_eq!(settled.acting(module), [false]);
    assert_eq!(settled.level(supply), Level::Weak);
    // A supply that is low is low everywhere: 90 V by the fault, 12 V less than it works from.
    let low = Change { at: ruleout::circuit::At::Supply(panel_supply()), effect: Effect::Volts(90.0) };
    let settled = solver.bring_up(&[&|_| vec![true]], &[low]).unwrap();
    assert!((settled.volts(Current::Ac, Place::Across(supply), 10e6)[0] - 90.0).abs() < 0.01);
    assert_eq!(settled.acting(module), [false]);
}

/// The first supply of any panel.
fn panel_supply() -> ruleout::circuit::SupplyId {
    let mut net = Network::new();
    let [hot, neutral] = ["HOT", "NEUTRAL"].map(|name| net.point(name));
    net.supply("mains", Current::Ac, &[hot, neutral], LINE, Grounding::Point(1)).unwrap()
}

/// Levels at their edges: off under 10 %, on from 85 %.
#[test]
fn off_weak_on() {
    for (share, level) in
        [(0.099, Level::Off), (0.10, Level::Weak), (0.849, Level::Weak), (0.85, Level::On), (1.1, Level::On)]
    {
        let mut panel = panel();
        let (pole, _) = panel.coil("k1", panel.hot, 1000.0);
        let low = Change { at: ruleout::circuit::At::Supply(panel_supply()), effect: Effect::Times(share) };
        let mut solver = Solver::new(Arc::new(panel.net), &[low]);
        assert_eq!(solver.bring_up(&[&|_| Vec::new()], &[]).unwrap().level(pole), level, "{share}");
    }
}

/// Positions may hang on what a part does: a flame switch that is made while the valve is on.
#[test]
fn positions_are_decided_together_with_the_coils() {
    let mut panel = panel();
    let lit = panel.net.point("LIT");
    let (valve, _) = panel.coil("valve", panel.hot, 1000.0);
    let proved = panel.net.position();
    panel.net.contact("flame-switch", panel.hot, lit, Drive { position: Some(proved), ..Drive::default() });
    let (lamp, _) = panel.coil("lamp", lit, 500.0);
    let mut solver = Solver::new(Arc::new(panel.net), &[]);
    let step = |glance: &ruleout::circuit::Glance<'_>| vec![glance.level(valve) == Level::On];
    assert_eq!(solver.bring_up(&[&step], &[]).unwrap().level(lamp), Level::On);
    let open = Change::pole(valve, Effect::Opens);
    assert_eq!(solver.bring_up(&[&step], &[open]).unwrap().level(lamp), Level::Off);
}
