//! The units a meter, gauge or watch reads in: what people write for each, and the one form we write.
//!
//! `V AC`, `VAC`, `volts AC` are one unit; °, µ and Ω are never needed. A unit may be a power of ten of another
//! (`mA` of `A`): such a change moves the decimal point and is exact.

use super::dimension::Dimension;
use std::fmt;

/// Alternating or direct, where a unit of volts or amps says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Current {
    /// Alternating.
    Ac,
    /// Direct.
    Dc,
}

/// One row of the table of units.
#[derive(Debug)]
pub struct Row {
    /// The one form we write.
    pub symbol: &'static str,
    /// What else is read, compared without regard to capitals where [`Row::exact`] is false.
    pub spellings: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    /// How many base units one of it is, less the power of ten. Base units: V, A, s, °C (K), kPa, liter, mm.
    pub factor: f64,
    /// The power of ten on top of `factor`.
    pub power: i8,
    /// What stands at the base scale's zero, in this unit: 32 for °F.
    pub zero: f64,
    /// Whether capitals matter (`mA` is not `MA`).
    pub exact: bool,
    /// Whether `AC` or `DC` may follow.
    pub current: bool,
    /// Whether a reading in it may be below zero (for volts and amps, DC only).
    pub signed: bool,
}

/// A unit as written: a row of the table and, for volts and amps, AC or DC.
#[derive(Debug, Clone, Copy)]
pub struct Unit {
    row: &'static Row,
    current: Option<Current>,
}

const fn row(
    symbol: &'static str,
    spellings: &'static [&'static str],
    dimension: Dimension,
    factor: f64,
    power: i8,
) -> Row {
    Row { symbol, spellings, dimension, factor, power, zero: 0.0, exact: false, current: false, signed: false }
}

const fn electric(symbol: &'static str, spellings: &'static [&'static str], dimension: Dimension, power: i8) -> Row {
    Row { exact: true, current: true, ..row(symbol, spellings, dimension, 1.0, power) }
}

const fn signed(plain: Row) -> Row {
    Row { signed: true, ..plain }
}

const fn exact(plain: Row) -> Row {
    Row { exact: true, ..plain }
}

/// Every unit read. Factors: the inch, pound, US gallon and Btu (IT) as defined in NIST SP 811;
/// 1 inWC = 0.249 088 9 kPa (water at 4 °C, conventional) after NIST SP 811, B.8.
pub static UNITS: &[Row] = &[
    electric("V", &["volt", "volts", "Volts"], Dimension::VOLTS, 0),
    electric("mV", &["millivolt", "millivolts"], Dimension::VOLTS, -3),
    electric("kV", &["kilovolts"], Dimension::VOLTS, 3),
    electric("A", &["amp", "amps", "Amps", "ampere", "amperes"], Dimension::AMPS, 0),
    electric("mA", &["milliamp", "milliamps"], Dimension::AMPS, -3),
    electric("uA", &["µA", "μA", "microamp", "microamps"], Dimension::AMPS, -6),
    exact(row("ohm", &["ohms", "Ohm", "Ohms", "Ω", "Ω"], Dimension::OHMS, 1.0, 0)),
    exact(row("mohm", &["milliohm", "milliohms", "mΩ"], Dimension::OHMS, 1.0, -3)),
    exact(row("kohm", &["kilohm", "kilohms", "kohms", "kΩ", "Kohm"], Dimension::OHMS, 1.0, 3)),
    exact(row("Mohm", &["megohm", "megohms", "Mohms", "MΩ", "meg"], Dimension::OHMS, 1.0, 6)),
    exact(row("W", &["watt", "watts", "Watts"], Dimension::WATTS, 1.0, 0)),
    exact(row("kW", &["kilowatt", "kilowatts", "KW"], Dimension::WATTS, 1.0, 3)),
    exact(row("VA", &["volt-amps"], Dimension::WATTS, 1.0, 0)),
    exact(row("kVA", &["KVA"], Dimension::WATTS, 1.0, 3)),
    row("Btu/h", &["btuh", "btu/hr", "btu per hour"], Dimension::WATTS, 0.293_071_070_172_222_2, 0),
    row("Btu", &["btus"], Dimension::ENERGY, 1_055.055_852_62, 0),
    exact(row("uF", &["µF", "μF", "mfd", "MFD", "microfarad", "microfarads"], Dimension::FARADS, 1.0, -6)),
    row("Hz", &["hertz"], Dimension::FREQUENCY, 1.0, 0),
    row("rpm", &["r/min"], Dimension::FREQUENCY, 1.0 / 60.0, 0),
    row("%", &["percent", "pct"], Dimension::NONE, 1.0, -2),
    row("ppm", &[], Dimension::NONE, 1.0, -6),
    row("times", &["time", "tries", "starts"], Dimension::COUNT, 1.0, 0),
    signed(Row {
        zero: 32.0,
        ..row("°F", &["F", "deg F", "degF", "degrees F", "ºF"], Dimension::TEMPERATURE, 5.0 / 9.0, 0)
    }),
    signed(row("°C", &["C", "deg C", "degC", "degrees C", "ºC"], Dimension::TEMPERATURE, 1.0, 0)),
    signed(row("psi", &["psig", "lb/in2"], Dimension::PRESSURE, 6.894_757_293_168_361, 0)),
    signed(row(
        "inWC",
        &["in wc", "in w.c.", "in. w.c.", "\"wc", "\" wc", "\"w.c.", "in h2o", "inches wc", "inches of water"],
        Dimension::PRESSURE,
        0.249_088_9,
        0,
    )),
    signed(row("kPa", &[], Dimension::PRESSURE, 1.0, 0)),
    signed(row("mbar", &["mb"], Dimension::PRESSURE, 1.0, -1)),
    row("h", &["hr", "hrs", "hour", "hours"], Dimension::TIME, 3600.0, 0),
    row("min", &["minute", "minutes", "mins"], Dimension::TIME, 60.0, 0),
    row("s", &["sec", "secs", "second", "seconds"], Dimension::TIME, 1.0, 0),
    row("ms", &["millisecond", "milliseconds"], Dimension::TIME, 1.0, -3),
    row("gal", &["gallon", "gallons"], Dimension::VOLUME, 3.785_411_784, 0),
    row("L", &["liter", "liters"], Dimension::VOLUME, 1.0, 0),
    row("ft3", &["cubic feet", "cu ft", "ft³"], Dimension::VOLUME, 28.316_846_592, 0),
    row("gpm", &["gal/min", "gallons per minute"], Dimension::FLOW, 3.785_411_784 / 60.0, 0),
    row("gph", &["gal/h", "gallons per hour"], Dimension::FLOW, 3.785_411_784 / 3600.0, 0),
    row("in", &["inch", "inches"], Dimension::LENGTH, 25.4, 0),
    row("mm", &["millimeter", "millimeters"], Dimension::LENGTH, 1.0, 0),
    row("ft", &["foot", "feet"], Dimension::LENGTH, 304.8, 0),
];

impl Unit {
    /// The unit a person wrote: `V AC`, `VAC`, `microamps DC`, `deg F`. Blanks are folded.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let folded = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if let Some(row) = UNITS.iter().find(|row| row.is_written(&folded)) {
            return Some(Self { row, current: None });
        }
        let (name, current) = split_current(&folded)?;
        let row = UNITS.iter().find(|row| row.current && row.is_written(name))?;
        Some(Self { row, current: Some(current) })
    }

    /// The unit of this symbol, for the program's own use.
    #[must_use]
    pub fn of(symbol: &str) -> Option<Self> {
        UNITS.iter().find(|row| row.symbol == symbol).map(|row| Self { row, current: None })
    }

    /// The one form of the name, without AC or DC.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        self.row.symbol
    }

    /// AC or DC, where it was written.
    #[must_use]
    pub fn current(self) -> Option<Current> {
        self.current
    }

    /// The same unit with AC or DC put to it, or taken away.
    #[must_use]
    pub fn with_current(self, current: Option<Current>) -> Self {
        Self { row: self.row, current: current.filter(|_| self.row.current) }
    }

    /// Whether AC or DC may follow it: volts and amps.
    #[must_use]
    pub fn takes_current(self) -> bool {
        self.row.current
    }

    /// What it measures.
    #[must_use]
    pub fn dimension(self) -> Dimension {
        self.row.dimension
    }

    /// Whether a reading in it may be below zero: DC, temperatures, pressures.
    #[must_use]
    pub fn is_signed(self) -> bool {
        self.row.signed || self.current == Some(Current::Dc)
    }

    /// Whether a meter shows `OL` in it: ohms, and no other.
    #[must_use]
    pub fn shows_over_limit(self) -> bool {
        self.row.dimension == Dimension::OHMS
    }

    /// The table row, for conversion.
    #[must_use]
    pub(super) fn row(self) -> &'static Row {
        self.row
    }

    /// What people call it in a sentence: "amps", "ohms".
    #[must_use]
    pub fn spoken(self) -> &'static str {
        match self.row.symbol {
            "V" => "volts",
            "mV" => "millivolts",
            "kV" => "kilovolts",
            "A" => "amps",
            "mA" => "milliamps",
            "uA" => "microamps",
            "ohm" => "ohms",
            "kohm" => "kilohms",
            "Mohm" => "megohms",
            "W" => "watts",
            "kW" => "kilowatts",
            "uF" => "microfarads",
            "%" => "percent",
            "h" => "hours",
            "min" => "minutes",
            "s" => "seconds",
            "psi" => "psi",
            other => other,
        }
    }
}

impl PartialEq for Unit {
    fn eq(&self, other: &Self) -> bool {
        self.row.symbol == other.row.symbol && self.current == other.current
    }
}

impl Eq for Unit {}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.row.symbol)?;
        match self.current {
            Some(Current::Ac) => f.write_str(" AC"),
            Some(Current::Dc) => f.write_str(" DC"),
            None => Ok(()),
        }
    }
}

impl Row {
    fn is_written(&self, text: &str) -> bool {
        let same = |name: &str| if self.exact { name == text } else { name.eq_ignore_ascii_case(text) };
        same(self.symbol) || self.spellings.iter().any(|name| same(name))
    }
}

/// "V AC", "VAC", "volts ac": the name before, and which of the two.
fn split_current(text: &str) -> Option<(&str, Current)> {
    let at = text.len().checked_sub(2)?;
    let (name, tail) = (text.get(..at)?, text.get(at..)?);
    let current = match tail {
        "AC" | "ac" => Current::Ac,
        "DC" | "dc" => Current::Dc,
        _ => return None,
    };
    let name = name.trim_end();
    (!name.is_empty()).then_some((name, current))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_people_write_and_the_one_form() {
        let cases = [
            ("V AC", Some("V AC")),
            ("VAC", Some("V AC")),
            ("VDC", Some("V DC")),
            ("volts  DC", Some("V DC")),
            ("uA DC", Some("uA DC")),
            ("microamps", Some("uA")),
            ("µA", Some("uA")),
            ("ohms", Some("ohm")),
            ("Ω", Some("ohm")),
            ("megohms", Some("Mohm")),
            ("F", Some("°F")),
            ("deg F", Some("°F")),
            ("psig", Some("psi")),
            ("in wc", Some("inWC")),
            ("\"wc", Some("inWC")),
            ("inwc", Some("inWC")),
            ("MFD", Some("uF")),
            ("minutes", Some("min")),
            ("furlongs", None),
            ("ohm DC", None),
            ("MA", None),
            ("AC", None),
            ("", None),
        ];
        for (text, want) in cases {
            assert_eq!(Unit::parse(text).map(|u| u.to_string()).as_deref(), want, "{text:?}");
        }
    }

    #[test]
    fn every_spelling_is_one_unit_only() {
        for row in UNITS {
            for name in std::iter::once(&row.symbol).chain(row.spellings) {
                assert_eq!(Unit::parse(name).map(Unit::symbol), Some(row.symbol), "{name}");
            }
        }
    }
}
