//! Refrigerants against printed charts and CoolProp.

use super::table::{Row, each_row};
use ruleout::trade::refrigerants::{LOWEST, Refrigerant, Side, Site};

const PSI: f64 = 6.894_757_293_168;

fn of(row: &Row<'_>) -> Refrigerant {
    Refrigerant::named(row.text("fluid")).unwrap_or_else(|| panic!("{}", row.text("fluid")))
}

fn side(row: &Row<'_>) -> Side {
    if row.text("point") == "bubble" { Side::Bubble } else { Side::Dew }
}

fn high(refrigerant: Refrigerant) -> f64 {
    if refrigerant == Refrigerant::R744 { 30.0 } else { 60.0 }
}

/// Source: printed charts (calcspec, learnmetrics) and values from memory, as marked in the table.
#[test]
fn printed_charts() {
    let rows = each_row(include_str!("../../cases/trade/refrigerant_printed.csv"), |row| {
        let celsius = (row.number("t_F") - 32.0) / 1.8;
        let celsius = if row.text("unit") == "kPa" { row.number("t_C") } else { celsius };
        let gauge = of(row).pressure(side(row), celsius, Site::SEA_LEVEL).unwrap();
        let (value, within) = match row.text("unit") {
            "psig" => (gauge / PSI, 0.11),
            _ => (gauge + Site::SEA_LEVEL.kpa(), 0.05),
        };
        let off = (value - row.number("printed")).abs();
        assert!(
            off <= within,
            "{} at {} °F: {value}, printed {}",
            row.text("fluid"),
            row.text("t_F"),
            row.text("printed")
        );
    });
    assert_eq!(rows, 42);
}

/// Negative. Source: hvactoolkit.org prints R449A about 60 % high.
#[test]
fn the_wrong_chart_is_not_agreed_with() {
    each_row(include_str!("../../cases/trade/refrigerant_wrong.csv"), |row| {
        let kpa = of(row).pressure(side(row), row.number("t_C"), Site::SEA_LEVEL).unwrap() + Site::SEA_LEVEL.kpa();
        assert!(row.number("printed") > 1.5 * kpa, "{kpa}");
    });
}

/// Source: CoolProp 8.0.0 at every second degree.
#[test]
fn pressures_by_temperature() {
    each_row(include_str!("../../cases/trade/refrigerant_by_temperature.csv"), |row| {
        for (side, kpa, psig) in
            [(Side::Bubble, "bubble_kPa_abs", "bubble_psig"), (Side::Dew, "dew_kPa_abs", "dew_psig")]
        {
            let gauge = of(row).pressure(side, row.number("t_C"), Site::SEA_LEVEL).unwrap();
            row.holds(kpa, gauge + 101.325);
            row.holds(psig, gauge / PSI);
        }
    });
}

/// Source: CoolProp 8.0.0 between the rows of the table: the error bound of the cubic (six digits are printed).
#[test]
fn between_the_rows() {
    each_row(include_str!("../../cases/trade/refrigerant_between.csv"), |row| {
        let refrigerant = Refrigerant::named(row.text("refrigerant")).unwrap();
        for (side, column) in [(Side::Bubble, "bubble_kpa"), (Side::Dew, "dew_kpa")] {
            let kpa = refrigerant.pressure(side, row.number("celsius"), Site::SEA_LEVEL).unwrap() + 101.325;
            let off = (kpa / row.number(column) - 1.0).abs();
            assert!(off < 6e-6, "{} {}: {off:e}", row.text("refrigerant"), row.text("celsius"));
        }
    });
}

/// Source: CoolProp 8.0.0 with scipy brentq.
#[test]
fn temperatures_by_gauge_pressure() {
    let mut rows = 0;
    each_row(include_str!("../../cases/trade/refrigerant_by_psig.csv"), |row| {
        for (side, column) in [(Side::Bubble, "bubble_C"), (Side::Dew, "dew_C")] {
            let range = LOWEST..=high(of(row));
            let found = of(row).temperature(side, row.number("psig") * PSI, Site::SEA_LEVEL);
            if range.contains(&row.number(column)) {
                row.holds(column, found.unwrap());
                rows += 1;
            } else {
                assert!(found.is_err());
            }
        }
    });
    assert!(rows > 300, "{rows}");
}

/// Source: CoolProp 8.0.0. Negative: the wrong column of a blend.
#[test]
fn superheat_by_dew_and_subcooling_by_bubble() {
    let mut told_apart = 0;
    each_row(include_str!("../../cases/trade/superheat.csv"), |row| {
        let (gauge, line) = (row.number("suction_psig") * PSI, row.number("line_C"));
        let superheat = of(row).superheat(gauge, line, Site::SEA_LEVEL).unwrap();
        row.holds("superheat_K", superheat);
        row.holds("dew_C", line - superheat);
        told_apart += usize::from((row.number("superheat_if_bubble_used_K") - superheat).abs() > 0.4);
    });
    each_row(include_str!("../../cases/trade/subcooling.csv"), |row| {
        let (gauge, line) = (row.number("liquid_psig") * PSI, row.number("line_C"));
        let subcooling = of(row).subcooling(gauge, line, Site::SEA_LEVEL).unwrap();
        row.holds("subcooling_K", subcooling);
        row.holds("bubble_C", line + subcooling);
        told_apart += usize::from((row.number("subcooling_if_dew_used_K") - subcooling).abs() > 0.2);
    });
    assert_eq!(told_apart, 11);
}

/// Source: PsychroLib 2.5.0 standard atmosphere with CoolProp 8.0.0.
#[test]
fn a_gauge_on_a_mountain() {
    each_row(include_str!("../../cases/trade/altitude.csv"), |row| {
        let site = Site::at(row.number("altitude_ft") * 0.3048).unwrap();
        // PsychroLib rounds sea level to 14.696 psi, 101.325 kPa is 14.69595.
        let near = |column: &str, value: f64, within: f64| {
            assert!((value - row.number(column)).abs() <= within, "{column}: {value}, not {}", row.text(column));
        };
        near("baro_psia", site.kpa() / PSI, 1.5e-4);
        let r134a = Refrigerant::R134a.pressure(Side::Dew, -5.0, site).unwrap();
        near("R134a_-5C_psig", r134a / PSI, 7e-4);
        near("R404A_-10C_dew_psig", Refrigerant::R404A.pressure(Side::Dew, -10.0, site).unwrap() / PSI, 7e-4);
        let misread = Refrigerant::R134a.temperature(Side::Dew, r134a, Site::SEA_LEVEL).unwrap();
        near("apparent_R134a_t_C_if_sea_level_assumed", misread, 0.006);
        let boils = ruleout::trade::water::boils_at(row.number("altitude_ft")).unwrap();
        row.holds("water_boils_C", boils);
    });
    assert!(Site::at(9000.0).is_err());
}

#[test]
fn there_and_back() {
    for refrigerant in Refrigerant::ALL {
        for side in [Side::Bubble, Side::Dew] {
            let mut t = LOWEST;
            while t <= high(refrigerant) {
                let gauge = refrigerant.pressure(side, t, Site::SEA_LEVEL).unwrap();
                let back = refrigerant.temperature(side, gauge, Site::SEA_LEVEL).unwrap();
                assert!((back - t).abs() < 1e-9, "{refrigerant:?} {side:?}: {t} comes back as {back}");
                t += 0.071;
            }
        }
    }
}

#[test]
fn pressure_rises_with_temperature_and_the_bubble_is_never_below_the_dew() {
    for refrigerant in Refrigerant::ALL {
        let (bubble, dew) = (refrigerant.rows(Side::Bubble), refrigerant.rows(Side::Dew));
        assert!(bubble.windows(2).all(|pair| pair[0] < pair[1]) && dew.windows(2).all(|pair| pair[0] < pair[1]));
        assert!(bubble.iter().zip(dew).all(|(bubble, dew)| bubble >= dew));
    }
}

#[test]
fn out_of_range_says_the_range() {
    assert_eq!(
        Refrigerant::R448A.temperature(Side::Dew, 900.0 * PSI, Site::SEA_LEVEL).unwrap_err().to_string(),
        "900 psi is outside the R448A table: it runs from -6.07 psi to 376 psi"
    );
    assert_eq!(
        Refrigerant::R744.pressure(Side::Dew, 35.0, Site::SEA_LEVEL).unwrap_err().to_string(),
        "95 °F is outside the R744 table: it runs from -58 °F to 86 °F"
    );
    assert!(Refrigerant::R290.pressure(Side::Dew, f64::NAN, Site::SEA_LEVEL).is_err());
    assert!(Refrigerant::named("R22").is_none());
}
