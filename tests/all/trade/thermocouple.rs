//! Types J, K and T against NIST's printed tables.

use super::table::each_row;
use ruleout::trade::sensors::thermocouple::Thermocouple;

const NIST: [(Thermocouple, &str); 3] = [
    (Thermocouple::J, include_str!("../../cases/trade/nist_type_j.csv")),
    (Thermocouple::K, include_str!("../../cases/trade/nist_type_k.csv")),
    (Thermocouple::T, include_str!("../../cases/trade/nist_type_t.csv")),
];

/// Source: NIST Standard Reference Database 60, every printed point (3,725; among them the 1,553 of −50 to 500 °C, T to 400 °C).
#[test]
fn every_printed_point_of_nist() {
    let (mut all, mut kitchen) = (0, 0);
    for (kind, table) in NIST {
        all += each_row(table, |row| {
            let t = row.number("celsius");
            row.holds("millivolts", kind.millivolts(t).unwrap());
            let top = if kind == Thermocouple::T { 400.0 } else { 500.0 };
            kitchen += usize::from((-50.0..=top).contains(&t));
        });
    }
    assert_eq!((all, kitchen), (3725, 1553));
}

/// The same points the other way: what NIST prints for a temperature reads back as that temperature, as closely as a
/// table of 0.001 mV can tell (from −200 °C, where the inverse begins).
#[test]
fn every_printed_point_backwards() {
    for (kind, table) in NIST {
        each_row(table, |row| {
            let t = row.number("celsius");
            if t > -200.0 {
                let slope = (kind.millivolts(t).unwrap() - kind.millivolts(t - 0.5).unwrap()) / 0.5;
                let back = kind.celsius(row.number("millivolts")).unwrap_or(t);
                assert!((back - t).abs() <= 0.00052 / slope, "type {kind:?} at {t} °C reads back as {back}");
            }
        });
    }
}

/// Source: thermocouple-its90 1.0.2, Newton on the reference function.
#[test]
fn millivolts_to_degrees() {
    for (kind, table) in [
        (Thermocouple::J, include_str!("../../cases/trade/thermocouple_inverse_j.csv")),
        (Thermocouple::K, include_str!("../../cases/trade/thermocouple_inverse_k.csv")),
        (Thermocouple::T, include_str!("../../cases/trade/thermocouple_inverse_t.csv")),
    ] {
        each_row(table, |row| row.holds("t_C", kind.celsius(row.number("emf_mV")).unwrap()));
    }
}

#[test]
fn there_and_back() {
    for (kind, low, high) in
        [(Thermocouple::J, -210.0, 1200.0), (Thermocouple::K, -200.0, 1372.0), (Thermocouple::T, -200.0, 400.0)]
    {
        let mut t = low;
        while t <= high {
            let back = kind.celsius(kind.millivolts(t).unwrap()).unwrap();
            assert!((back - t).abs() < 1e-5, "type {kind:?}: {t} comes back as {back}");
            t += 0.173;
        }
    }
}

/// Source: thermocouple-its90 1.0.2. Negative: adding the degrees of the terminals instead of their millivolts.
#[test]
fn the_terminals_are_added_in_millivolts() {
    let mut caught = 0;
    each_row(include_str!("../../cases/trade/thermocouple_terminals.csv"), |row| {
        let kind = Thermocouple::named(row.text("type")).unwrap();
        let (hot, terminals) = (row.number("t_hot_C"), row.number("t_terminals_C"));
        let meter = kind.at_terminals(hot, terminals).unwrap();
        row.holds("meter_mV", meter);
        let shown = kind.through_terminals(meter, terminals).unwrap();
        row.holds("compensated_t_C", shown);
        caught += usize::from((row.number("WRONG_sum_C") - shown).abs() > 1.0);
    });
    assert!(caught >= 60, "only {caught} lines tell the wrong sum apart");
}

/// Source: thermocouple-its90 1.0.2: shorted, reversed, copper lead wire, the wrong type.
#[test]
fn wiring_faults() {
    each_row(include_str!("../../cases/trade/thermocouple_wiring.csv"), |row| {
        let input = row.text("fault").strip_prefix("wrong type").map_or(row.text("type"), |_| row.text("type"));
        let input = input.split(" on ").nth(1).map_or(input, |rest| rest.split(' ').next().unwrap());
        let kind = Thermocouple::named(input).unwrap();
        let shown = kind.through_terminals(row.number("meter_mV"), row.number("t_controller_C"));
        match row.text("shown_C") {
            "out of range" => assert!(shown.is_err()),
            // The millivolts are printed to 0.0001, which is up to 0.003 °C.
            _ => assert!((shown.unwrap() - row.number("shown_C")).abs() < 0.009, "{}", row.text("fault")),
        }
    });
}

/// Source: homeworksource 969839 prints 4.5912 mV for type K at 112 °C; NIST's function gives 4.5914.
#[test]
fn type_k_at_112() {
    let millivolts = Thermocouple::K.millivolts(112.0).unwrap();
    assert!((millivolts - 4.5912).abs() < 0.0005, "{millivolts}");
}

#[test]
fn outside_the_table_is_told_with_its_range() {
    assert_eq!(
        Thermocouple::K.celsius(60.0).unwrap_err().to_string(),
        "60 mV is outside the type K table: it runs from -5.89 mV to 54.8 mV"
    );
    assert_eq!(
        Thermocouple::T.millivolts(500.0).unwrap_err().to_string(),
        "932 °F is outside the type T table: it runs from -454 °F to 752 °F"
    );
}
