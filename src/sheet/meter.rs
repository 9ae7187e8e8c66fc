//! The shop's meters: how far a reading may be off, and what a volt reading loads the circuit with.

use crate::text::rule::{Level, Rule};
use crate::text::yaml::reader::Reader;
use crate::text::yaml::tree::{Entry, Text};
use crate::trade::dimension::Dimension;
use crate::trade::meter::accuracy::Accuracy;
use crate::trade::quantity::{convert, parse_number};
use crate::trade::unit::Unit;

/// Meters as a shop has them.
#[derive(Debug, Clone, PartialEq)]
pub struct Meter {
    /// Input resistance reading volts, in ohms.
    pub input: f64,
    /// The same of the low-impedance function (`loaded`), in ohms.
    pub low_impedance: f64,
    /// How far off each function may be, in the order of the sheet.
    pub functions: Vec<Function>,
}

/// One function of a meter and how far it may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Function {
    /// The unit it reads in.
    pub unit: Unit,
    /// In that unit.
    pub accuracy: Accuracy,
}

impl Meter {
    /// The meter of a shop without a sheet: 10 Mohm, 3 kohm in its low-impedance function, accuracy not known.
    /// Source: trade facts, "Input 10 Mohm", "low-impedance mode about 3 kohm".
    #[must_use]
    pub fn built_in() -> Self {
        Self { input: 10_000_000.0, low_impedance: 3_000.0, functions: Vec::new() }
    }

    /// The accuracy of the function that reads this unit: of the very same unit, else without regard to AC and DC.
    #[must_use]
    pub fn accuracy(&self, unit: Unit) -> Option<Accuracy> {
        let alike = |row: &&Function| {
            let either = row.unit.current().is_none() || unit.current().is_none();
            row.unit.symbol() == unit.symbol() && either
        };
        let same = self.functions.iter().find(|row| row.unit == unit);
        same.or_else(|| self.functions.iter().find(alike)).map(|row| row.accuracy)
    }
}

/// The rules of this file.
pub static RULES: [&Rule; 2] = [&METER_ACCURACY, &METER_INPUT];

/// How accuracy is written.
pub static METER_ACCURACY: Rule = Rule {
    code: "meter-accuracy",
    level: Level::Error,
    says: "The accuracy of a function is written as on the meter's data sheet: `UNIT: 1.0 % + 3 counts of 0.1 UNIT`.",
    why: "`normal` is widened by it. An accuracy nobody can read would call good parts bad.",
    wrong: "meter:\n  accuracy:\n    V AC: 1 % + 3",
    mended: "meter:\n  accuracy:\n    V AC: 1 % + 3 counts of 0.1 V",
};

/// How the input resistance is written.
pub static METER_INPUT: Rule = Rule {
    code: "meter-input",
    level: Level::Error,
    says: "The input of a meter is in ohms: `10 Mohm`, `3 kohm`.",
    why: "The meter is part of the circuit it reads: what it loads the circuit with decides whether a ghost voltage shows.",
    wrong: "meter:\n  input: 10",
    mended: "meter:\n  input: 10 Mohm",
};

/// Reads `meter:`.
pub(super) fn read(reader: &mut Reader, entry: &Entry) -> Meter {
    let mut meter = Meter::built_in();
    let fields = reader.fields(entry, &["input", "low-impedance input", "accuracy"], &[]);
    let inputs = [("input", "10 Mohm", &mut meter.input), ("low-impedance input", "3 kohm", &mut meter.low_impedance)];
    for (name, usual, ohms) in inputs {
        if let Some(words) = fields.get(name).and_then(|line| reader.words(line)) {
            match ohms_of(&words.text) {
                Some(value) => *ohms = value,
                None => {
                    let fact = format!("`{}` is no resistance in ohms above zero.", words.text);
                    reader.say_instead(&METER_INPUT, words.span, fact, usual);
                }
            }
        }
    }
    if let Some(line) = fields.get("accuracy") {
        for row in reader.entries(line) {
            if let Some(row) = read_accuracy(reader, row) {
                meter.functions.push(row);
            }
        }
    }
    meter
}

fn ohms_of(text: &str) -> Option<f64> {
    let (value, unit) = amount(text)?;
    convert(value, unit, Unit::of("ohm")?, false).filter(|value| *value > 0.0)
}

fn read_accuracy(reader: &mut Reader, row: &Entry) -> Option<Function> {
    let words = reader.words(row)?;
    let Some(unit) = Unit::parse(&row.key.text) else {
        reader.say(&METER_ACCURACY, row.key.span, format!("`{}` is no unit a meter reads in.", row.key.text));
        return None;
    };
    match parse_accuracy(&words, unit) {
        Ok(accuracy) => Some(Function { unit, accuracy }),
        Err(fact) => {
            let example = format!("1.0 % + 3 counts of 0.1 {}", unit.symbol());
            reader.say_instead(&METER_ACCURACY, words.span, fact, &example);
            None
        }
    }
}

/// `[±]P % [+ N counts of X UNIT]`
fn parse_accuracy(words: &Text, unit: Unit) -> Result<Accuracy, String> {
    let text = words.text.trim_start_matches('±').trim();
    let (percent, counts) = match text.split_once('+') {
        Some((percent, counts)) => (percent.trim(), Some(counts.trim())),
        None => (text, None),
    };
    let number = |text: &str| parse_number(text.trim()).ok().filter(|value| *value >= 0.0);
    let share = percent
        .strip_suffix('%')
        .and_then(number)
        .ok_or_else(|| format!("`{percent}` is no percent of the reading."))?
        / 100.0;
    let Some(counts) = counts else { return Ok(Accuracy { share, counts: 0.0, step: 0.0 }) };
    let told =
        || format!("`{counts}` does not say how many counts of what: the last digit of the display is left out.");
    let (many, size) = counts.split_once(" of ").ok_or_else(told)?;
    let many = many.trim().trim_end_matches('s').strip_suffix("count").and_then(number).ok_or_else(told)?;
    let (size, size_unit) = amount(size).ok_or_else(told)?;
    let difference = unit.dimension() == Dimension::TEMPERATURE;
    let step = convert(size, size_unit, unit, difference)
        .filter(|step| *step > 0.0)
        .ok_or_else(|| format!("One count of {unit} can't be `{size} {size_unit}`."))?;
    Ok(Accuracy { share, counts: many, step })
}

fn amount(text: &str) -> Option<(f64, Unit)> {
    let text = text.trim();
    let at = text.find(|c: char| !(c.is_ascii_digit() || c == '.'))?;
    let (number, unit) = text.split_at_checked(at)?;
    Some((parse_number(number).ok()?, Unit::parse(unit)?))
}
