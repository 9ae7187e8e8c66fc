//! Numbers, times and places in the words of a page.

use crate::language::syntax::{OverKind, Probes};
use crate::playbook::model::{Branch, Measure, Stretch, Takes};
use crate::text::english::{count, list};
use crate::trade::quantity::plain;
use crate::trade::unit::Unit;
use std::borrow::Cow;

/// A stretch of numbers: "below 3 A", "3 to 5 A", "3 to under 5 A". Zero is the bottom of a unit that cannot go below it.
#[must_use]
pub fn stretch(stretch: Stretch, unit: Unit) -> String {
    let (low, high) = (stretch.low, stretch.high);
    let bottom = low.at == f64::NEG_INFINITY || (low.at == 0.0 && low.within && !unit.is_signed());
    let top = high.at == f64::INFINITY;
    let (from, to) = (plain(low.at), plain(high.at));
    let unit = kept_together(unit);
    let one = low.at == high.at;
    match (bottom, top) {
        (true, true) => "any reading".to_owned(),
        (true, false) if high.within && one => format!("{to}\u{a0}{unit}"),
        (true, false) if high.within => format!("{to}\u{a0}{unit} or below"),
        (true, false) => format!("below {to}\u{a0}{unit}"),
        (false, true) if low.within => format!("{from}\u{a0}{unit} or above"),
        (false, true) => format!("above {from}\u{a0}{unit}"),
        (false, false) if one => format!("exactly {to}\u{a0}{unit}"),
        (false, false) => {
            let over = if low.within { "" } else { "over " };
            let under = if high.within { "" } else { "under " };
            format!("{over}{from} to {under}{to}\u{a0}{unit}")
        }
    }
}

/// A unit that does not break at the end of a line: "V AC".
fn kept_together(unit: Unit) -> String {
    unit.to_string().replace(' ', "\u{a0}")
}

/// What an outcome line takes, as the pages print it: the resulting band, or the words of the answer.
#[must_use]
pub fn taken(branch: &Branch, unit: Option<Unit>) -> Cow<'_, str> {
    let (Takes::Numbers { stretches, over_limit }, Some(unit)) = (&branch.takes, unit) else {
        return Cow::Borrowed(&branch.words);
    };
    let mut bands: Vec<String> = stretches.iter().map(|s| stretch(*s, unit)).collect();
    if *over_limit {
        bands.push("OL".to_owned());
    }
    let bands = list(&bands, "or");
    Cow::Owned(if branch.words.contains("normal") { format!("{}: {bands}", branch.words) } else { bands })
}

/// A time: "90 seconds" is "1 minute 30 seconds".
#[must_use]
pub fn time(seconds: f64) -> String {
    let whole = seconds.round();
    if !(1.0..=8.64e6).contains(&whole) {
        return format!("{} s", plain(seconds));
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 1 and a hundred days")]
    let whole = whole as usize;
    let (hours, minutes, seconds) = (whole / 3600, whole / 60 % 60, whole % 60);
    [(hours, "hour"), (minutes, "minute"), (seconds, "second")]
        .iter()
        .filter(|(n, _)| *n > 0)
        .map(|(n, word)| count(*n, word))
        .collect::<Vec<_>>()
        .join(" ")
}

/// How a measure is watched and kept: "watch it for 10 s, the highest counts".
#[must_use]
pub fn watched(measure: &Measure) -> Option<String> {
    let (kind, _, time) = measure.over.as_ref()?;
    Some(match kind {
        OverKind::Highest => format!("Watch it for {time}: the highest counts."),
        OverKind::Lowest => format!("Watch it for {time}: the lowest counts."),
        OverKind::Average => format!("Watch it for {time}: the average counts."),
        OverKind::Change => format!("Watch it for {time}: last reading less the first counts."),
    })
}

/// What a part by itself takes before and after the reading; `None` for a reading in place.
#[must_use]
pub fn one_wire_off(measure: &Measure) -> Option<(String, String)> {
    let Probes::Of(part) = &measure.probes else { return None };
    let part = part.as_str();
    Some((format!("Take one wire off {part}, so that it is read by itself."), format!("Put the wire back on {part}.")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::playbook::model::Edge;

    fn band(low: f64, low_in: bool, high: f64, high_in: bool) -> Stretch {
        Stretch { low: Edge { at: low, within: low_in }, high: Edge { at: high, within: high_in } }
    }

    #[test]
    fn bands_say_where_their_ends_belong() {
        let (amps, psi) = (Unit::parse("A").unwrap(), Unit::parse("psi").unwrap());
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
        ];
        for (stretch_, unit, want) in cases {
            assert_eq!(stretch(stretch_, unit).replace('\u{a0}', " "), want);
        }
    }

    #[test]
    fn times_as_they_are_said() {
        for (seconds, want) in [
            (60.0, "1 minute"),
            (90.0, "1 minute 30 seconds"),
            (3600.0, "1 hour"),
            (5400.0, "1 hour 30 minutes"),
            (0.4, "0.4 s"),
            (f64::INFINITY, "inf s"),
        ] {
            assert_eq!(time(seconds), want);
        }
    }
}
