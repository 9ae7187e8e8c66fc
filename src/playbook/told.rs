//! Limits and good readings in words, for the terminal and the pages.

use super::bounds::Good;
use super::model::{Stretch, Takes};
use crate::text::english::list;
use crate::trade::quantity::Plain;
use crate::trade::unit::Unit;

/// A stretch of numbers: "below 3 A", "3 to 5 A", "3 to under 5 A". Zero is the bottom of a unit that cannot go below it.
#[must_use]
pub fn stretch(stretch: Stretch, unit: Unit) -> String {
    let (low, high) = (stretch.low, stretch.high);
    let bottom = low.at == f64::NEG_INFINITY || (low.at == 0.0 && low.within && !unit.is_signed());
    let top = high.at == f64::INFINITY;
    let (from, to) = (Plain(low.at), Plain(high.at));
    let one = low.at == high.at;
    match (bottom, top) {
        (true, true) if unit.shows_over_limit() => "any number".to_owned(),
        (true, true) => "any reading".to_owned(),
        (true, false) if high.within && one => format!("{to} {unit}"),
        (true, false) if high.within => format!("{to} {unit} or below"),
        (true, false) => format!("below {to} {unit}"),
        (false, true) if low.within => format!("{from} {unit} or above"),
        (false, true) => format!("above {from} {unit}"),
        (false, false) if one => format!("exactly {to} {unit}"),
        (false, false) => {
            let over = if low.within { "" } else { "over " };
            let under = if high.within { "" } else { "under " };
            format!("{over}{from} to {under}{to} {unit}")
        }
    }
}

/// What an outcome line takes: "below 3 A or OL". `None` where it takes no numbers of its own.
#[must_use]
pub fn bands(takes: &Takes, unit: Unit) -> Option<String> {
    let Takes::Numbers { stretches, over_limit } = takes else { return None };
    let mut bands: Vec<String> = stretches.iter().map(|s| stretch(*s, unit)).collect();
    if *over_limit {
        bands.push("OL".to_owned());
    }
    (!bands.is_empty()).then(|| list(&bands, "or"))
}

/// What a good unit reads: "30 to 36.7 A", "OL", "12 Mohm and more, or OL".
#[must_use]
pub fn good(good: Good, unit: Unit) -> String {
    let (low, high) = (Plain(good.low), Plain(good.high));
    match (good.has_numbers(), good.over_limit) {
        (false, _) => "OL".to_owned(),
        (true, true) => format!("{low} {unit} and more, or OL"),
        (true, false) if good.low >= good.high => format!("{high} {unit}"),
        (true, false) => format!("{low} to {high} {unit}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::playbook::model::Edge;

    #[test]
    fn bands_say_where_their_ends_belong() {
        let band = |low: f64, low_in: bool, high: f64, high_in: bool| Stretch {
            low: Edge { at: low, within: low_in },
            high: Edge { at: high, within: high_in },
        };
        let (amps, psi, ohms) = (Unit::of("A").unwrap(), Unit::of("psi").unwrap(), Unit::of("ohm").unwrap());
        let all = f64::INFINITY;
        let cases = [
            (band(0.0, true, 3.0, false), amps, "below 3 A"),
            (band(0.0, true, 3.0, true), amps, "3 A or below"),
            (band(0.0, true, 0.0, true), amps, "0 A"),
            (band(3.0, true, 5.0, true), amps, "3 to 5 A"),
            (band(3.0, true, 5.0, false), amps, "3 to under 5 A"),
            (band(3.0, false, 5.0, true), amps, "over 3 to 5 A"),
            (band(5.0, false, all, false), amps, "above 5 A"),
            (band(5.0, true, all, false), amps, "5 A or above"),
            (band(0.0, true, 3.0, false), psi, "0 to under 3 psi"),
            (band(-all, false, -2.5, false), psi, "below -2.5 psi"),
            (band(4.0, true, 4.0, true), psi, "exactly 4 psi"),
            (band(-all, false, all, false), psi, "any reading"),
            (band(0.0, true, all, false), ohms, "any number"),
        ];
        for (stretch_, unit, want) in cases {
            assert_eq!(stretch(stretch_, unit), want);
        }
    }

    #[test]
    fn what_a_good_unit_reads() {
        let ohms = Unit::of("ohm").unwrap();
        for (low, high, over_limit, want) in [
            (30.0, 36.7, false, "30 to 36.7 ohm"),
            (0.0, 0.0, false, "0 ohm"),
            (f64::INFINITY, f64::INFINITY, true, "OL"),
            (500.0, f64::INFINITY, true, "500 ohm and more, or OL"),
        ] {
            assert_eq!(good(Good { low, high, over_limit }, ohms), want);
        }
    }
}
