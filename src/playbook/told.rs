//! Limits, good readings and what is judged, in words, for the terminal and the pages.

use super::bounds::Good;
use super::model::{Playbook, Question, SlotId, Stretch, Sum, Takes, Test};
use crate::text::english::list;
use crate::trade::functions::Function;
use crate::trade::quantity::{Plain, computed};
use crate::trade::unit::Unit;

/// From so many ohms on they are told in kohm or Mohm, as they are written and as a meter shows them. Numbers of ours.
const OHMS_TOLD: [(&str, f64, f64); 2] = [("Mohm", 1e6, 1e6), ("kohm", 1e4, 1e3)];

/// The unit these numbers are told in, and how many of the given one it is.
fn in_size(unit: Unit, ends: [f64; 2]) -> (Unit, f64) {
    let least = ends.into_iter().map(f64::abs).filter(|end| end.is_finite() && *end > 0.0).reduce(f64::min);
    let larger =
        OHMS_TOLD.iter().find(|(_, from, _)| unit.symbol() == "ohm" && least.is_some_and(|least| least >= *from));
    larger.and_then(|(symbol, _, size)| Some((Unit::of(symbol)?, *size))).unwrap_or((unit, 1.0))
}

fn sized(value: f64, size: f64) -> f64 {
    if size == 1.0 { value } else { computed(value / size) }
}

/// A limit by itself, as on a tick: "187", "100 kohm".
#[must_use]
pub fn limit(at: f64, unit: Unit) -> String {
    match in_size(unit, [at, at]) {
        (_, 1.0) => Plain(at).to_string(),
        (larger, size) => format!("{} {larger}", Plain(sized(at, size))),
    }
}

/// A stretch of numbers: "below 3 A", "3 to 5 A", "3 to under 5 A". Zero is the bottom of a unit that cannot go below it.
#[must_use]
pub fn stretch(stretch: Stretch, unit: Unit) -> String {
    let (low, high) = (stretch.low, stretch.high);
    let bottom = low.at == f64::NEG_INFINITY || (low.at == 0.0 && low.within && !unit.is_signed());
    let top = high.at == f64::INFINITY;
    let (unit, size) = in_size(unit, [low.at, high.at]);
    let (from, to) = (Plain(sized(low.at, size)), Plain(sized(high.at, size)));
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
    let (unit, size) = in_size(unit, [good.low, good.high]);
    let (low, high) = (Plain(sized(good.low, size)), Plain(sized(good.high, size)));
    match (good.has_numbers(), good.over_limit) {
        (false, _) => "OL".to_owned(),
        (true, true) => format!("{low} {unit} and more, or OL"),
        (true, false) if good.low >= good.high => format!("{high} {unit}"),
        (true, false) => format!("{low} to {high} {unit}"),
    }
}

/// What a `calculate` line judges, as a technician says it: "the lowest of the three", "the unbalance of v12, v23 and v31",
/// "the superheat". `None` where it is plain arithmetic, which is read as the author wrote it, and where nothing is calculated.
#[must_use]
pub fn judged(playbook: &Playbook, test: &Test) -> Option<String> {
    let Question::Sum { sum: Sum::Call(function, _), measures, .. } = &test.question else { return None };
    let Some(slots) = compared(test) else { return Some(format!("the {}", function_words(function))) };
    // Volts written down beside three amps do not make them four.
    let unit = slots.first().map(|slot| playbook.slot(*slot).unit);
    let own = measures.iter().filter(|measure| Some(measure.unit) == unit).map(|measure| measure.slot);
    let own: Vec<SlotId> = own.collect();
    let what = match (function.name, slots.len()) {
        ("lowest", 2) => "lower",
        ("highest", 2) => "higher",
        (name, _) => name,
    };
    let all = own.len() == slots.len() && own.iter().all(|slot| slots.contains(slot));
    let of = match number_word(slots.len()) {
        Some(number) if all && slots.len() > 1 => format!("the {number}"),
        _ => list(&slots.iter().map(|slot| playbook.slot(*slot).name.clone()).collect::<Option<Vec<_>>>()?, "and"),
    };
    Some(format!("the {what} of {of}"))
}

/// The readings a test compares with one another by `lowest`, `highest`, `average`, `spread` or `unbalance`, and by nothing
/// else: they are of one kind, and on a good unit much alike.
#[must_use]
pub fn compared(test: &Test) -> Option<Vec<SlotId>> {
    let Question::Sum { sum: Sum::Call(function, arguments), .. } = &test.question else { return None };
    let compares = matches!(function.name, "lowest" | "highest" | "average" | "spread" | "unbalance");
    let slot = |sum: &Sum| if let Sum::Slot(slot) = sum { Some(*slot) } else { None };
    arguments.iter().map(slot).collect::<Option<Vec<_>>>().filter(|_| compares)
}

/// "superheat", "burner input", "watts": the name of a function without the words that only lead to its arguments.
fn function_words(function: &Function) -> String {
    let name = function.name.strip_suffix("-at").unwrap_or(function.name);
    match name {
        "air-free" => "carbon monoxide, air free".to_owned(),
        _ => name.replace('-', " "),
    }
}

/// "three": as many readings as anybody counts at a glance.
fn number_word(count: usize) -> Option<&'static str> {
    ["one", "two", "three", "four", "five", "six"].get(count.checked_sub(1)?).copied()
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
            (band(100_000.0, true, all, false), ohms, "100 kohm or above"),
            (band(0.0, true, 100_000.0, false), ohms, "below 100 kohm"),
            (band(4_700.0, true, 22_000.0, true), ohms, "4700 to 22000 ohm"),
            (band(2_200_000.0, false, all, false), ohms, "above 2.2 Mohm"),
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

    /// What is judged is said, never shown as it was typed in the playbook.
    #[test]
    fn what_a_sum_judges() {
        let three =
            "measure A through L1, call it i1\nmeasure A through L2, call it i2\nmeasure A through L3, call it i3";
        let with_volts =
            "measure V AC from L1 to L2, call it v\nmeasure A through L1, call it i1\nmeasure A through L2, call it i2";
        let two = "measure °F at suction, call it t1\nmeasure °F at line, call it t2";
        for (measures, sum, limit, want) in [
            (three, "lowest(i1, i2, i3)", "1 A", Some("the lowest of the three")),
            (three, "unbalance(i1, i2, i3)", "2 %", Some("the unbalance of the three")),
            (three, "highest(i1, i3)", "1 A", Some("the higher of i1 and i3")),
            (three, "average(i1, i2, i3)", "1 A", Some("the average of the three")),
            (three, "lowest(i1, i2, 3 A)", "1 A", Some("the lowest")),
            (three, "i1 - i2", "1 A", None),
            (with_volts, "lowest(i1, i2)", "1 A", Some("the lower of the two")),
            (two, "lowest(t1, t2)", "1 °F", Some("the lower of the two")),
            (two, "spread(t1, t2)", "1 °F", Some("the spread of the two")),
        ] {
            let text = format!(
                "playbook a: A\n\ntest one: One\n{measures}\ncalculate {sum}\ngood below {limit} go to x\nif above {limit} go to x\n\nescalate x: X\n"
            );
            let (tree, _) = crate::language::parse(&crate::text::source::Source::new("a.playbook", text.clone()));
            let states = std::sync::Arc::new(crate::sheet::states::States::built_in());
            let ground = super::super::compile::Ground { states: &states, banks: &[], desks: None };
            let (playbook, problems) = super::super::compile::compile(&tree.unwrap(), ground);
            let playbook = playbook.unwrap_or_else(|| panic!("{text}: {problems:?}"));
            assert_eq!(judged(&playbook, &playbook.tests[0]).as_deref(), want, "{sum}");
        }
    }
}
