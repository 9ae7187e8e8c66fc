//! Pt100 and Pt1000 against printed tables and independent arithmetic.

use super::table::each_row;
use ruleout::trade::sensors::platinum::{Class, HIGHEST, LOWEST, Platinum};

fn named(name: &str) -> Platinum {
    Platinum::named(name).expect("a platinum probe")
}

/// Source: printed IEC 60751 tables, 52 two-decimal values.
#[test]
fn printed_table_of_iec_60751() {
    let rows = each_row(include_str!("../../cases/trade/platinum_printed.csv"), |row| {
        row.holds("printed_ohm", named("Pt100").ohms(row.number("t_C")).unwrap());
    });
    assert_eq!(rows, 52);
}

/// Negative. Source: a public page's Pt100 table, not IEC 60751 (138.50 at 100 °C, 84.21 at −40 °C).
#[test]
fn the_superseded_table_is_not_agreed_with() {
    each_row(include_str!("../../cases/trade/platinum_superseded.csv"), |row| {
        let ohms = named("Pt100").ohms(row.number("t_C")).unwrap();
        assert_ne!(format!("{ohms:.2}"), row.text("printed_ohm"));
    });
}

/// Source: rtd-sensor 0.8.0 and caldus 1.3, which agree; classes after IEC 60751.
#[test]
fn whole_degrees_and_class_windows() {
    each_row(include_str!("../../cases/trade/platinum_curve.csv"), |row| {
        let t = row.number("t_C");
        row.holds("pt100_ohm", named("Pt100").ohms(t).unwrap());
        row.holds("pt1000_ohm", named("Pt1000").ohms(t).unwrap());
        row.holds("classA_tol_K", Class::A.degrees(t));
        row.holds("classB_tol_K", Class::B.degrees(t));
        let (low, high) = named("Pt100").window(t, Class::B).unwrap();
        row.holds("pt100_classB_lo_ohm", low);
        row.holds("pt100_classB_hi_ohm", high);
    });
}

/// Source: scipy brentq on the curve, a different way to the root.
#[test]
fn ohms_to_degrees() {
    each_row(include_str!("../../cases/trade/platinum_inverse.csv"), |row| {
        row.holds("t_C_brentq", named("Pt100").celsius(row.number("pt100_ohm")).unwrap());
        row.holds("t_C_brentq", named("Pt1000").celsius(row.number("pt100_ohm") * 10.0).unwrap());
    });
}

/// Source: rtd-sensor 0.8.0: one ohm in the leads is +2.6 °C on a Pt100, +0.26 °C on a Pt1000.
#[test]
fn ohms_in_the_leads_read_as_heat() {
    each_row(include_str!("../../cases/trade/platinum_leads.csv"), |row| {
        let shown = named(row.text("sensor")).shown_through_leads(row.number("true_t_C"), row.number("added_ohm"));
        row.holds("apparent_t_C", shown.unwrap());
    });
}

/// Common practice, no source: a 1,000 ohm platinum probe reads about 1.08 kohm at 70 °F.
#[test]
fn a_thousand_ohm_probe_at_room_temperature() {
    let ohms = named("Pt1000").ohms((70.0 - 32.0) / 1.8).unwrap();
    assert!((ohms - 1080.0).abs() < 5.0, "{ohms}");
}

#[test]
fn there_and_back_over_the_whole_table() {
    for probe in [Platinum::Pt100, Platinum::Pt1000] {
        let mut t = LOWEST;
        while t <= HIGHEST {
            let back = probe.celsius(probe.ohms(t).unwrap()).unwrap();
            assert!((back - t).abs() < 1e-9, "{t} comes back as {back}");
            t += 0.37;
        }
    }
}

#[test]
fn an_open_or_shorted_probe_is_outside_the_table() {
    for (ohms, want) in [
        (2_000_000.0, "2 Mohm is outside the Pt1000 table: it runs from 186 ohm to 3900 ohm"),
        (0.2, "0.2 ohm is outside the Pt1000 table: it runs from 186 ohm to 3900 ohm"),
    ] {
        assert_eq!(named("Pt1000").celsius(ohms).unwrap_err().to_string(), want);
    }
    assert_eq!(
        named("Pt100").ohms(900.0).unwrap_err().to_string(),
        "1652 °F is outside the Pt100 table: it runs from -328 °F to 1562 °F"
    );
    assert!(named("Pt100").ohms(f64::NAN).is_err());
}
