//! 4–20 mA, and the sensor chart.

use ruleout::trade::printing::Degrees;
use ruleout::trade::sensors::chart::{Sensor, chart};
use ruleout::trade::sensors::current_loop::{milliamps, value};
use ruleout::trade::sensors::platinum::Platinum;
use ruleout::trade::sensors::thermocouple::Thermocouple;

/// Source: definition; the first two are worked in the shared reference data (trade_arithmetic).
#[test]
fn loops() {
    for (current, low, high, want) in
        [(12.8, 0.0, 300.0, 165.0), (9.6, 0.0, 500.0, 175.0), (4.0, -40.0, 140.0, -40.0), (20.0, -40.0, 140.0, 140.0)]
    {
        let got = value(current, low, high).unwrap();
        assert!((got - want).abs() < 1e-9, "{current} mA: {got}");
        assert!((milliamps(want, low, high).unwrap() - current).abs() < 1e-9);
    }
    assert_eq!(
        value(0.0, 0.0, 100.0).unwrap_err().to_string(),
        "0 A is outside what a sound 4-20 mA loop carries: it runs from 3.6 mA to 21 mA"
    );
    assert!(milliamps(1.0, 5.0, 5.0).is_err());
}

/// Source: printed IEC 60751 table: 100.00, 103.90, 107.79 ohm at 0, 10, 20 °C.
#[test]
fn a_chart_in_the_shops_degrees() {
    let lines = chart(Sensor::Platinum(Platinum::Pt100), 32.0, 70.0, 18.0, Degrees::Fahrenheit).unwrap();
    let told: Vec<String> =
        lines.iter().map(|l| format!("{} °F {:.1} °C {:.2} ohm", l.fahrenheit, l.celsius, l.reading)).collect();
    assert_eq!(told, ["32 °F 0.0 °C 100.00 ohm", "50 °F 10.0 °C 103.90 ohm", "68 °F 20.0 °C 107.79 ohm"]);
    // Source: NIST, type K: 4.096 mV at 100 °C, 1.000 at 25 °C.
    let lines = chart(Sensor::Thermocouple(Thermocouple::K, 25.0), 100.0, 100.0, 5.0, Degrees::Celsius).unwrap();
    assert_eq!(lines.len(), 1);
    assert!((lines[0].reading - 3.096).abs() < 0.0011, "{}", lines[0].reading);
    for (low, high, step) in [(0.0, 100.0, 0.0), (0.0, 100.0, -1.0), (0.0, 100.0, 0.01), (100.0, 0.0, 1.0)] {
        assert!(chart(Sensor::Platinum(Platinum::Pt100), low, high, step, Degrees::Celsius).is_err());
    }
    assert!(chart(Sensor::Platinum(Platinum::Pt100), 800.0, 900.0, 50.0, Degrees::Celsius).is_err());
}
