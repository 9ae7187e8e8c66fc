//! Elements, tolerance, pulsed and half-wave heat.

use super::table::each_row;
use ruleout::trade::heat::element::{Element, in_parallel, in_series, three_phase_amps};
use ruleout::trade::heat::pulsed::{HalfWave, Pulsed, average_watts, days_of_switching};
use ruleout::trade::heat::tolerance::Tolerance;
use ruleout::trade::meter::accuracy::Accuracy;

fn near(value: f64, want: f64, within: f64) {
    assert!((value - want).abs() <= within, "{value}, not {want}");
}

/// Source: P = V² ÷ R with watts +5/−10 %, 108 lines of rating against supply.
#[test]
fn an_element_at_other_volts() {
    let rows = each_row(include_str!("../../cases/trade/element_against_volts.csv"), |row| {
        let element = Element { watts: row.number("W_rated"), volts: row.number("V_rated") };
        let volts = row.number("V_actual");
        row.holds("R_nominal_ohm", element.ohms());
        // The volts are printed to a tenth; where they had more digits the rest moves the watts twice as much.
        let cut = if volts.fract() == 0.0 { 0.0 } else { 0.05 / volts };
        near(element.watts_at(volts), row.number("W"), 0.0051 + row.number("W") * 2.0 * cut);
        near(element.amps_at(volts), row.number("A"), 0.000051 + row.number("A") * cut);
        let (low, high) = Tolerance::SHEATHED.ohms(element);
        row.holds("R_min_ohm(+5% W)", low);
        row.holds("R_max_ohm(-10% W)", high);
        near(volts / high, row.number("A_min(-10% W)"), 0.000051 + volts / high * cut);
        near(volts / low, row.number("A_max(+5% W)"), 0.000051 + volts / low * cut);
    });
    assert!(rows > 100, "{rows}");
}

/// Source: heater handbooks' percentages for off-voltage elements.
#[test]
fn an_element_on_the_wrong_supply() {
    each_row(include_str!("../../cases/trade/element_on_another_supply.csv"), |row| {
        let element = Element { watts: 100.0, volts: row.number("V_rated") };
        row.holds("exact_percent_W", element.watts_at(row.number("V_actual")));
        row.holds("exact_percent_A", 100.0 * element.amps_at(row.number("V_actual")) / element.amps_at(element.volts));
        let published: f64 = row.text("published").trim_end_matches([' ', '%']).parse().unwrap();
        near(element.watts_at(row.number("V_actual")), published, 0.5);
    });
}

/// Source: a heater maker's applied-voltage note (S31, S32 of the reference list) and a calculation blog (S33).
#[test]
fn published_watts_and_ohms() {
    for (watts, volts, supply, want, within) in [
        (5500.0, 240.0, 208.0, 4131.0, 0.5),
        (1000.0, 240.0, 208.0, 751.1, 0.05),
        (1000.0, 208.0, 240.0, 1331.4, 0.05),
        (1000.0, 240.0, 480.0, 4000.0, 0.0),
    ] {
        near(Element { watts, volts }.watts_at(supply), want, within);
    }
    near(Element { watts: 15_000.0, volts: 480.0 }.ohms(), 15.4, 0.05);
    near(Element { watts: 5_000.0, volts: 480.0 }.ohms(), 46.0, 0.1);
    // Common practice, no source: an element of 88 ohm on 208 V draws about 2.3 A.
    let ohms = 88.0;
    let element = Element { watts: 208.0 * 208.0 / ohms, volts: 208.0 };
    near(element.amps_at(208.0), 2.3, 0.1);
}

/// Source: a tubular-element catalog (S38): ohms +10/−5 % "translates to" watts +5/−10 %. It does not: −9.09/+5.26.
#[test]
fn tolerance_of_watts_and_of_ohms_are_two_things() {
    let element = Element { watts: 1000.0, volts: 100.0 };
    let by_ohms = Tolerance::Ohms { above: 0.10, below: 0.05 };
    let (low, high) = by_ohms.watts(element);
    near(low, 1000.0 - 90.9091, 1e-4);
    near(high, 1000.0 + 52.6316, 1e-4);
    let (low, high) = Tolerance::SHEATHED.ohms(element);
    near(low, 10.0 * (1.0 - 0.047_619), 1e-5);
    near(high, 10.0 * (1.0 + 0.111_111), 1e-5);
    assert_eq!(by_ohms.ohms(element), (9.5, 11.0));
    assert_eq!(Tolerance::SHEATHED.watts(element), (900.0, 1050.0));
}

/// Source: watts +5/−10 % widened by a meter of 0.9 % + 2 counts of 0.1 ohm.
#[test]
fn what_an_ohmmeter_may_show() {
    each_row(include_str!("../../cases/trade/element_ohms_shown.csv"), |row| {
        let element = Element { watts: row.number("W_rated"), volts: row.number("V_rated") };
        let meter = Accuracy { share: 0.009, counts: 2.0, step: 0.1 };
        let (low, high) = Tolerance::SHEATHED.ohms_shown(element, meter);
        row.holds("R_nominal", element.ohms());
        row.holds("accept_low", low);
        row.holds("accept_high", high);
    });
}

/// Source: shared reference data (trade_arithmetic): 35 % of 18.75 A; half-wave 240 V. Cycle times: W26, S53.
#[test]
fn pulsed_and_half_wave_heat_on_each_meter() {
    let pulsed = Pulsed { on: 18.75, duty: 0.35 };
    near(pulsed.highest(), 18.75, 0.0);
    near(pulsed.average(), 6.5625, 1e-12);
    near(pulsed.true_rms(), 11.0926, 5e-5);
    near(Pulsed { on: 1.0, duty: 0.6 }.seconds_on(10.0), 6.0, 1e-12);
    near(average_watts(4500.0, 0.35), 1575.0, 1e-9);
    let half = HalfWave { volts: 240.0 };
    near(half.true_rms(), 169.706, 5e-4);
    near(half.averaging(), 120.0, 0.0);
    near(half.dc(), 108.038, 5e-4);
    for (period, days) in [(20.0, 23.1481), (4.0, 4.62963), (1.0, 1.15741)] {
        near(days_of_switching(100_000.0, period), days, 5e-5);
    }
}

/// Sources: DOE-HDBK-1011/1 ES-02 p. 28, 32, 33, 39; US Army OD1633; FAA AMT Handbook General 10-87.
#[test]
fn worked_examples_of_resistances() {
    near(in_series(&[40.0, 60.0, 100.0]), 200.0, 0.0);
    near(120.0 / in_series(&[40.0, 60.0, 100.0]), 0.6, 1e-12);
    near(Element { watts: 120.0 * 26.0, volts: 120.0 }.ohms(), 4.62, 0.005);
    near(in_parallel(&[4.0, 8.0, 16.0]), 2.29, 0.005);
    near(24.0 * in_parallel(&[6.0, 8.0]) / 6.0, 13.71, 0.005);
    near(24.0 * in_parallel(&[6.0, 8.0]) / 8.0, 10.29, 0.005);
    near(20.0 / in_series(&[5.0, 5.0]), 2.0, 0.0);
    near(2.0 * in_series(&[20.0, 30.0, 50.0]), 200.0, 0.0);
    // Three branches of 30 ohm on 30 V: 3 A; one open: 2 A; the ohmmeter across the open one reads the other two.
    near(30.0 / in_parallel(&[30.0, 30.0, 30.0]), 3.0, 1e-12);
    near(30.0 / in_parallel(&[30.0, f64::INFINITY, 30.0]), 2.0, 1e-12);
    near(in_parallel(&[30.0, f64::INFINITY, 30.0]), 15.0, 1e-12);
    assert!(in_parallel(&[f64::INFINITY]).is_infinite());
}

/// Source: an industrial page (S37): 4500 W at 230 V draws 11.3 A on three lines, 19.6 A on two.
#[test]
fn three_phase_amps_of_a_nameplate() {
    near(three_phase_amps(4500.0, 230.0), 11.3, 0.05);
    near(Element { watts: 4500.0, volts: 230.0 }.amps_at(230.0), 19.6, 0.05);
}
