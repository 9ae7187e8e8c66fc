//! What the readings of a playbook are taken with, so that it can be brought: a meter, a thermometer, gauges.

use crate::language::syntax::Probes;
use crate::playbook::model::{Measure, Playbook};
use crate::text::english::list;
use crate::trade::dimension::Dimension;
use crate::trade::unit::Unit;
use serde::Serialize;

/// An instrument and what it has to read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Instrument {
    /// What it is called: "Meter", "Thermometer".
    pub name: &'static str,
    /// "V AC and ohm"; "°F at box-air and coil-inlet".
    pub reads: String,
}

/// Kinds of instrument, in the order they are listed.
const KINDS: [&str; 11] = [
    METER,
    "Thermometer",
    "Manometer",
    "Gauges",
    "Flow meter",
    "Measuring can",
    "Watch",
    "Tachometer",
    "Gas analyzer",
    "Tape",
    READ_OFF,
];
const METER: &str = "Meter";
/// What shows its own reading: nothing to bring.
const READ_OFF: &str = "Read off";

/// Last words of places that show their own reading.
const SHOWS_ITSELF: [&str; 7] = ["display", "gauge", "dial", "chart", "screen", "readout", "thermometer"];

/// Every instrument once with what it reads, each unit once, in order of lines.
#[must_use]
pub fn instruments(playbook: &Playbook) -> Vec<Instrument> {
    let measures = || playbook.tests.iter().flat_map(|test| test.measures());
    let mut found = Vec::new();
    for kind in KINDS {
        let mine = || measures().filter(|measure| kind_of(measure) == kind);
        let mut reads: Vec<(String, Vec<&str>)> = Vec::new();
        for measure in mine() {
            let unit = measure.unit.to_string();
            // Where the meter goes is on each card; where a thermometer or gauge goes says which one to bring.
            let at = match &measure.probes {
                Probes::At(place) if kind != METER => Some(place.as_str()),
                _ => None,
            };
            let nth = reads.iter().position(|(known, _)| *known == unit).unwrap_or_else(|| {
                reads.push((unit, Vec::new()));
                reads.len() - 1
            });
            if let (Some((_, places)), Some(at)) = (reads.get_mut(nth), at)
                && !places.contains(&at)
            {
                places.push(at);
            }
        }
        if reads.is_empty() {
            continue;
        }
        let placed = reads.iter().any(|(_, places)| !places.is_empty());
        let told: Vec<String> = reads
            .into_iter()
            .map(|(unit, places)| if places.is_empty() { unit } else { format!("{unit} at {}", list(&places, "and")) })
            .collect();
        let mut reads = if placed { told.join("; ") } else { list(&told, "and") };
        if mine().any(|measure| measure.loaded) {
            reads.push_str("; low-impedance input for the volts that say so");
        }
        found.push(Instrument { name: kind, reads });
    }
    found
}

fn kind_of(measure: &Measure) -> &'static str {
    let Probes::At(place) = &measure.probes else { return METER };
    let last = place.as_str().rsplit(['-', '.']).next().unwrap_or_default();
    let pressure = measure.unit.dimension() == Dimension::PRESSURE;
    // A pressure gauge is brought and fitted; any other gauge is the machine's own.
    if SHOWS_ITSELF.contains(&last) && !pressure {
        return READ_OFF;
    }
    brought_for(measure.unit)
}

/// What reads this unit, where it is not read with probes.
fn brought_for(unit: Unit) -> &'static str {
    match unit.symbol() {
        "inWC" | "mbar" => return "Manometer",
        "rpm" => return "Tachometer",
        "ppm" | "%" => return "Gas analyzer",
        "ft3" => return READ_OFF,
        _ => {}
    }
    match unit.dimension() {
        Dimension::TEMPERATURE => "Thermometer",
        Dimension::PRESSURE => "Gauges",
        Dimension::FLOW => "Flow meter",
        Dimension::VOLUME => "Measuring can",
        Dimension::TIME => "Watch",
        Dimension::LENGTH => "Tape",
        Dimension::COUNT => READ_OFF,
        _ => METER,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::language::parse;
    use crate::playbook::compile::{Ground, compile};
    use crate::sheet::shop::Shop;
    use crate::text::source::Source;

    #[test]
    fn each_reading_is_listed_under_what_reads_it() {
        let cases: &[(&[&str], &[&str])] = &[
            (
                &["V AC from L1 to L2, loaded", "ohm of heater", "V AC from T1 to T2"],
                &["Meter: V AC and ohm; low-impedance input for the volts that say so"],
            ),
            (
                &["°F at box-air", "psi at suction-valve", "V AC across fan", "°F at coil-inlet"],
                &["Meter: V AC", "Thermometer: °F at box-air and coil-inlet", "Gauges: psi at suction-valve"],
            ),
            (
                &["inWC at manifold", "uA DC through rod", "ft3 at gas-meter"],
                &["Meter: uA DC", "Manometer: inWC at manifold", "Read off: ft3 at gas-meter"],
            ),
            (
                &["°F at display", "°F at rinse-gauge", "psi at suction-gauge", "gpm at rinse-flow"],
                &[
                    "Gauges: psi at suction-gauge",
                    "Flow meter: gpm at rinse-flow",
                    "Read off: °F at display and rinse-gauge",
                ],
            ),
        ];
        for (measures, want) in cases {
            let mut text = "playbook p: P\nfinish t1\n".to_owned();
            for (measure, nth) in measures.iter().zip(1..) {
                text.push_str(&format!("test t{nth}: T\nwith power live\nmeasure {measure}\ngood normal go to e\n"));
            }
            text.push_str("escalate e: E\nto lead\nbecause x\n");
            let shop = Shop::built_in();
            let (tree, _) = parse(&Source::new("one.playbook", text));
            let (playbook, _) = compile(&tree.unwrap(), Ground { states: &shop.table, banks: &[], desks: None });
            let found = instruments(&playbook.unwrap());
            let told: Vec<String> = found.iter().map(|i| format!("{}: {}", i.name, i.reads)).collect();
            assert_eq!(told, *want, "{measures:?}");
        }
    }
}
