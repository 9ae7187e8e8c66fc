//! Thermistors against published tables; how far each model may be trusted.

use super::table::each_row;
use ruleout::trade::sensors::thermistor::{Table, TableSlip, Thermistor};
use std::collections::BTreeMap;

const PUBLISHED: &str = include_str!("../../cases/trade/thermistor_published.csv");

fn beta(beta: f64) -> Thermistor {
    Thermistor::Beta { ohms_at_25: 10_000.0, beta }
}

/// °C and ohms.
type Points = Vec<(f64, f64)>;

/// The published points of each curve, and those the coefficients are fitted through.
fn curves() -> BTreeMap<String, (Points, Points)> {
    let mut found = BTreeMap::<String, (Points, Points)>::new();
    each_row(PUBLISHED, |row| {
        let point = (row.number("t_C"), row.number("published_ohm"));
        let (all, fitted) = found.entry(row.text("curve").to_owned()).or_default();
        all.push(point);
        if row.text("fit_point") == "yes" {
            fitted.push(point);
        }
    });
    found
}

/// Source: the five published tables. A table in the sheet gives every one of its own points, both ways.
#[test]
fn a_table_gives_back_its_own_points() {
    for (name, (points, _)) in curves() {
        let part = Thermistor::Table(Table::new(&points).unwrap_or_else(|slip| panic!("{name}: {slip:?}")));
        for (celsius, ohms) in points {
            assert!((part.ohms(celsius).unwrap() / ohms - 1.0).abs() < 1e-12, "{name} at {celsius}");
            assert!((part.celsius(ohms).unwrap() - celsius).abs() < 1e-9, "{name} at {celsius}");
        }
    }
}

/// Source: the 10K3 table (steps of 1 to 5 °C). With every second point left out, the rest still give the others.
#[test]
fn between_its_points_a_table_is_within_two_hundredths_of_a_degree() {
    let (points, _) = curves().remove("10K3 (R0=10k, R(0)=32650)").unwrap();
    let kept: Vec<_> = points.iter().copied().step_by(2).collect();
    let part = Thermistor::Table(Table::new(&kept).unwrap());
    for (celsius, ohms) in points {
        assert!((part.celsius(ohms).unwrap() - celsius).abs() < 0.02, "{celsius}");
    }
}

/// Source: thermistor-utils 0.0.4, coefficients through the same three points.
#[test]
fn coefficients_through_three_points() {
    let curves = curves();
    each_row(include_str!("../../cases/trade/thermistor_coefficients.csv"), |row| {
        let (_, fitted) = &curves[row.text("curve")];
        let Thermistor::Coefficients { a, b, c } = Thermistor::through([fitted[0], fitted[1], fitted[2]]).unwrap()
        else {
            panic!("coefficients")
        };
        for (ours, column) in [(a, "A"), (b, "B"), (c, "C")] {
            let off = (ours - row.number(column)).abs();
            assert!(off < 1e-8 * a.abs().max(row.number("A")), "{}: {column} {ours}", row.text("curve"));
        }
    });
}

/// Source: the published tables; how far beta and coefficients are off is part of what is known.
#[test]
fn how_far_each_model_is_off() {
    let curves = curves();
    each_row(include_str!("../../cases/trade/thermistor_beta_error.csv"), |row| {
        let (t, ohms) = (row.number("t_C"), row.number("published_ohm"));
        let by_beta = beta(row.number("beta"));
        row.holds("beta_ohm", by_beta.ohms(t).unwrap());
        assert!((by_beta.celsius(ohms).unwrap() - t - row.number("beta_t_error_K")).abs() < 6e-4);
        let (_, fitted) = &curves[row.text("curve")];
        let by_three = Thermistor::through([fitted[0], fitted[1], fitted[2]]).unwrap();
        assert!((by_three.celsius(ohms).unwrap() - t - row.number("steinhart_t_error_K")).abs() < 6e-5);
    });
}

/// Source: thermistor-utils 0.0.4, beta both ways.
#[test]
fn beta_both_ways() {
    let parts = [("B3435", 3435.0), ("B3950", 3950.0), ("B3977", 3977.0)];
    each_row(include_str!("../../cases/trade/thermistor_beta.csv"), |row| {
        for (name, value) in parts {
            row.holds(&format!("{name}_ohm"), beta(value).ohms(row.number("t_C")).unwrap());
        }
    });
    each_row(include_str!("../../cases/trade/thermistor_beta_inverse.csv"), |row| {
        for (name, value) in parts {
            row.holds(&format!("t_C_{name}"), beta(value).celsius(row.number("ohm")).unwrap());
        }
    });
}

/// Source: an air conditioner's service manual: 15 kohm at 0 °C, beta 3480, points rounded to 0.1 kohm.
#[test]
fn a_service_manuals_rounded_points() {
    let at_25 = 15_000.0 / beta(3480.0).ohms(0.0).unwrap() * 10_000.0;
    let part = Thermistor::Beta { ohms_at_25: at_25, beta: 3480.0 };
    for (celsius, printed) in [(0.0, 15.0), (10.0, 9.6), (20.0, 6.3), (25.0, 5.2), (30.0, 4.3), (40.0, 3.0)] {
        let kohm = part.ohms(celsius).unwrap() / 1000.0;
        assert!((kohm - printed).abs() <= 0.06, "{celsius}: {kohm}");
    }
}

#[test]
fn coefficients_there_and_back() {
    // Source: coefficients widely printed for the 10K3 curve, from memory.
    let part = Thermistor::Coefficients { a: 1.129241e-3, b: 2.341077e-4, c: 8.775468e-8 };
    let mut t = -60.0;
    while t <= 250.0 {
        let back = part.celsius(part.ohms(t).unwrap()).unwrap();
        assert!((back - t).abs() < 1e-9, "{t} comes back as {back}");
        t += 0.83;
    }
    let (points, _) = curves().remove("10K3 (R0=10k, R(0)=32650)").unwrap();
    for (celsius, ohms) in points {
        assert!((part.celsius(ohms).unwrap() - celsius).abs() < 0.0024, "{celsius}");
    }
}

/// Negative. Source: a printed example interpolates ohms in a straight line over 5 °C and gets 10,996 at 23 °C;
/// the true curve has about 10,920.
#[test]
fn ohms_are_not_a_straight_line() {
    let part = Thermistor::Table(Table::new(&[(20.0, 12_490.0), (25.0, 10_000.0)]).unwrap());
    let ohms = part.ohms(23.0).unwrap();
    assert!((ohms - 10_920.0).abs() < 30.0, "{ohms}");
}

/// Negative. Source: a maker's chart in 1 °F steps prints 19.884k at 51 °F between 19.900k and 18.881k; about 19.38k is meant.
#[test]
fn a_misprint_in_a_table_is_found() {
    let celsius = |f: f64| (f - 32.0) / 1.8;
    let points = [(celsius(50.0), 19_900.0), (celsius(51.0), 19_884.0), (celsius(52.0), 18_881.0)];
    match Table::new(&points) {
        Err(TableSlip::OutOfLine { at: 1, likely }) => assert!((likely - 19_380.0).abs() < 10.0, "{likely}"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn tables_out_of_order_are_refused() {
    for (points, want) in [
        (vec![(0.0, 100.0)], TableSlip::TooFew),
        (vec![(0.0, 100.0), (0.0, 90.0)], TableSlip::NotRising { at: 1 }),
        (vec![(0.0, 100.0), (5.0, 110.0)], TableSlip::NotFalling { at: 1 }),
        (vec![(0.0, 100.0), (5.0, 0.0)], TableSlip::NotANumber { at: 1 }),
    ] {
        assert_eq!(Table::new(&points), Err(want));
    }
}

#[test]
fn an_open_thermistor_is_outside() {
    assert_eq!(
        beta(3435.0).celsius(50_000_000.0).unwrap_err().to_string(),
        "50 Mohm is outside what a thermistor formula is used for: it runs from 70.5 ohm to 989 kohm"
    );
}
