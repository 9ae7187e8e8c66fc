//! Numbers, times and places in the words of a page.

use crate::language::syntax::OverKind;
use crate::playbook::model::{Branch, Measure, Stretch};
use crate::playbook::told;
use crate::text::english::count;
use crate::trade::quantity::plain;
use crate::trade::unit::Unit;
use std::borrow::Cow;

/// A stretch of numbers, with its unit kept on the line: "below 3 A", "3 to under 5 A".
#[must_use]
pub fn stretch(stretch: Stretch, unit: Unit) -> String {
    kept_together(&told::stretch(stretch, unit), unit)
}

/// Words in which a number and its unit do not part at the end of a line: "3 V AC".
fn kept_together(words: &str, unit: Unit) -> String {
    let mut words = words.to_owned();
    // A large limit of a test in ohms is told in kohm.
    for unit in [unit.to_string().as_str(), "kohm", "Mohm"] {
        let unit = format!(" {unit}");
        words = words.replace(&unit, &unit.replace(' ', "\u{a0}"));
    }
    words
}

/// What an outcome line takes, as the pages print it: the resulting band, or the words of the answer.
#[must_use]
pub fn taken(branch: &Branch, unit: Option<Unit>) -> Cow<'_, str> {
    let bands = unit.and_then(|unit| Some(kept_together(&told::bands(&branch.takes, unit)?, unit)));
    bands.map_or(Cow::Borrowed(&branch.words), |bands| Cow::Owned(normal_in_numbers(&branch.words, bands)))
}

/// `normal` with its numbers, where a sheet gave them; below and above it the numbers say the side themselves.
#[must_use]
pub fn normal_in_numbers(words: &str, band: String) -> String {
    let side = ["below", "above"].iter().any(|side| band.starts_with(side) && words == format!("{side} normal"));
    if words.contains("normal") && !side { format!("{words}: {band}") } else { band }
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

#[cfg(test)]
mod tests {
    use super::*;

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
