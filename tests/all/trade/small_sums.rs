//! Meters, gas, water and capacitors.

use super::table::each_row;
use ruleout::trade::capacitor::{farads, most_bleed_ohms, seconds_to_bleed, volts_left};
use ruleout::trade::gas::{CUBIC_FOOT, air_free, clocked, input_at};
use ruleout::trade::meter::accuracy::Accuracy;
use ruleout::trade::meter::loading::{DIGITAL, LOW_IMPEDANCE, lost, shown};
use ruleout::trade::quantity::{convert, from_base, to_base};
use ruleout::trade::unit::Unit;
use ruleout::trade::water::{boils_at, rise, watts_for};

fn near(value: f64, want: f64, within: f64) {
    assert!((value - want).abs() <= within, "{value}, not {want}");
}

fn unit(symbol: &str) -> Unit {
    Unit::parse(symbol).unwrap()
}

/// Source: ±(percent + counts), the way makers state it; 0.7 % + 2 counts of 0.1 at 120 V is 118.96 to 121.04 (S50).
#[test]
fn meter_windows() {
    each_row(include_str!("../../cases/trade/meter_windows.csv"), |row| {
        let meter = Accuracy {
            share: row.number("meter_percent") / 100.0,
            counts: row.number("counts"),
            step: row.number("resolution"),
        };
        row.holds("err", meter.off(row.number("true")));
        let (low, high) = meter.window(row.number("true"));
        row.holds("low", low);
        row.holds("high", high);
    });
    let (low, high) = Accuracy { share: 0.007, counts: 2.0, step: 0.1 }.window(120.0);
    near(low, 118.96, 1e-9);
    near(high, 121.04, 1e-9);
    // Below zero the window is as wide.
    let (low, high) = Accuracy { share: 0.01, counts: 1.0, step: 0.1 }.window(-10.0);
    near(low, -10.2, 1e-12);
    near(high, -9.8, 1e-12);
}

/// Sources: S82 (100 kohm into 10 Mohm: 0.99 %), S81 (30 V, two 400 kohm, a 400 kohm meter: 10 V), US Army SS0602
/// (40 V; the circuit is inferred). The 100 kohm of an idle solid-state relay with its load open: ladder B, ngspice:
/// 237.62 V on 10 Mohm, 6.99 V on 3 kohm.
#[test]
fn a_meter_loads_what_it_measures() {
    near(100.0 * lost(100e3, DIGITAL), 0.990099, 5e-7);
    near(shown(15.0, 200e3, 400e3), 10.0, 1e-12);
    near(shown(60.0, 2e3, 4e3), 40.0, 1e-12);
    near(shown(240.0, 100e3, DIGITAL), 237.6237, 1e-4);
    near(shown(240.0, 100e3, LOW_IMPEDANCE), 6.9903, 5e-5);
    // Common practice, no source: a closed contact reads 0 V across, an open one the full supply.
    near(shown(0.0, 0.01, DIGITAL), 0.0, 0.0);
    near(shown(120.0, 12.0, DIGITAL), 120.0, 0.001);
}

/// Source: shared reference data (trade_arithmetic) and invented call S4 (90,000 Btu/h at 4.0 inWC).
#[test]
fn gas() {
    let shop = |cubic_feet: f64, seconds: f64, btu: f64| {
        from_base(clocked(cubic_feet * CUBIC_FOOT, seconds, to_base(btu, unit("Btu"), false)), unit("Btu/h"), false)
    };
    near(shop(1.0, 36.0, 1025.0), 102_500.0, 1e-3);
    near(shop(2.0, 82.0, 1025.0), 90_000.0, 1e-3);
    near(input_at(3.0, 3.5, 1.0).unwrap(), 0.92582, 5e-6);
    near(input_at(4.2, 3.5, 1.0).unwrap(), 1.09545, 5e-6);
    near(input_at(2.6, 4.0, 90_000.0).unwrap(), 72560.3197, 5e-5);
    near(shop(2.0, 101.7085, 1025.0), 72_560.3, 0.1);
    assert!(input_at(3.5, 0.0, 1.0).is_err() && input_at(-0.1, 3.5, 1.0).is_err());
    // From memory: CO × 20.9 ÷ (20.9 − O₂): 50 ppm at 9 % oxygen is 88 ppm air-free.
    near(air_free(50e-6, 0.09).unwrap() * 1e6, 87.8, 0.05);
    assert!(air_free(50e-6, 0.209).is_err() && air_free(50e-6, -0.01).is_err());
}

/// Source: gas appliance manuals (S56), printed in kPa. Negative: the same manual's 4.0 = 0.871 and 5.0 = 1.120.
#[test]
fn inches_of_water() {
    let kpa = |inches| convert(inches, unit("inWC"), unit("kPa"), false).unwrap();
    for (inches, printed) in [(3.5, 0.871), (10.0, 2.49), (10.5, 2.615), (11.0, 2.739), (13.0, 3.237)] {
        near(kpa(inches), printed, 0.002);
    }
    assert!((kpa(4.0) - 0.871).abs() > 0.1 && (kpa(5.0) - 1.120).abs() > 0.1);
    near(convert(27.7, unit("inWC"), unit("psi"), false).unwrap(), 1.0, 0.001);
}

/// Source: invented call S2, a booster: 12 kW at 1.15 gpm is 72.385 °F of rise, 8 kW 48.257, 6 kW 36.193.
/// The trade's rule kW = gph × °F ÷ 410 gives 11.7 kW for 120 gph and 40 °F, exact 11.5.
#[test]
fn water() {
    let gpm = to_base(1.15, unit("gpm"), false);
    for (watts, want) in [(12_000.0, 72.385), (8_000.0, 48.257), (6_000.0, 36.193)] {
        near(rise(watts, gpm) * 1.8, want, 0.05);
    }
    near(watts_for(to_base(120.0, unit("gph"), false), 40.0 / 1.8) / 1000.0, 11.486, 0.06);
    near(rise(watts_for(gpm, 12.0), gpm), 12.0, 1e-12);
    // Source: CoolProp and the standard atmosphere: 94.90 °C at 5000 ft; a straight line between 5000 and 6000.
    near(boils_at(5500.0).unwrap(), (94.90 + 93.89) / 2.0, 1e-9);
    assert!(boils_at(12_000.0).is_err());
}

/// Sources: shared reference data (trade_arithmetic); call S6; NEC 460.6 (50 V in 60 s) and NFPA 79 (60 V in 5 s), W32.
#[test]
fn capacitors() {
    near(farads(3.2, 372.0, 60.0) * 1e6, 22.818, 5e-4);
    near(farads(2.0, 400.0, 50.0) * 1e6, 15.915, 5e-4);
    near(farads(0.68, 371.0, 60.0) * 1e6, 4.8619, 5e-5);
    near(farads(0.42, 362.0, 60.0) * 1e6, 3.0776, 5e-5);
    // The trade's 2652.
    near(farads(3.2, 372.0, 60.0) * 1e6, 2652.0 * 3.2 / 372.0, 0.006);
    near(seconds_to_bleed(15e3, 45e-6, 537.0, 50.0).unwrap(), 1.602, 5e-4);
    near(seconds_to_bleed(10e6, 45e-6, 523.0, 50.0).unwrap(), 1056.4, 0.05);
    near(most_bleed_ohms(45e-6, 523.0, 50.0, 60.0).unwrap(), 567_966.0, 0.5);
    near(most_bleed_ohms(45e-6, 523.0, 60.0, 5.0).unwrap(), 51_315.9, 0.05);
    near(volts_left(15e3, 45e-6, 537.0, 1.602), 50.0, 0.05);
    assert!(seconds_to_bleed(1.0, 1.0, 50.0, 60.0).is_err());
}
