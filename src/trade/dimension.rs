//! What kind of thing a number is, carried through sums.
//!
//! Exponents over the quantities the trade reads directly. A temperature may be a point on the scale ("180 °F")
//! or a difference ("10 °F of superheat"); which of the two follows from the arithmetic, never from a word.

use std::fmt;

/// The exponents of a quantity over volts, amps, seconds, temperature, pressure, volume, length and counted things.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Dimension {
    /// Exponent of volts.
    pub volts: i8,
    /// Exponent of amps.
    pub amps: i8,
    /// Exponent of seconds.
    pub seconds: i8,
    /// Exponent of temperature.
    pub temperature: i8,
    /// Exponent of pressure.
    pub pressure: i8,
    /// Exponent of volume (gas and water are clocked by volume).
    pub volume: i8,
    /// Exponent of length.
    pub length: i8,
    /// Exponent of counted things ("3 times").
    pub count: i8,
    /// A point on the temperature scale, which moves with the zero of the scale; a difference does not.
    pub point: bool,
}

/// Why two quantities cannot be put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mismatch {
    /// Volts and amps, say, cannot be added or compared.
    Unlike(Dimension, Dimension),
    /// Two temperatures cannot be added; their difference or average is meant.
    TwoTemperatures,
    /// A temperature on the scale cannot be multiplied or divided; a difference can.
    ScaledTemperature,
}

impl Dimension {
    /// A plain number: a ratio, a percentage.
    pub const NONE: Self = Self {
        volts: 0,
        amps: 0,
        seconds: 0,
        temperature: 0,
        pressure: 0,
        volume: 0,
        length: 0,
        count: 0,
        point: false,
    };
    /// Volts.
    pub const VOLTS: Self = Self { volts: 1, ..Self::NONE };
    /// Amps.
    pub const AMPS: Self = Self { amps: 1, ..Self::NONE };
    /// Ohms: volts for each amp.
    pub const OHMS: Self = Self { volts: 1, amps: -1, ..Self::NONE };
    /// Watts and volt-amps.
    pub const WATTS: Self = Self { volts: 1, amps: 1, ..Self::NONE };
    /// Farads: amp-seconds for each volt.
    pub const FARADS: Self = Self { volts: -1, amps: 1, seconds: 1, ..Self::NONE };
    /// Watt-seconds; Btu.
    pub const ENERGY: Self = Self { volts: 1, amps: 1, seconds: 1, ..Self::NONE };
    /// A time.
    pub const TIME: Self = Self { seconds: 1, ..Self::NONE };
    /// How often in a time.
    pub const FREQUENCY: Self = Self { seconds: -1, ..Self::NONE };
    /// A temperature on the scale.
    pub const TEMPERATURE: Self = Self { temperature: 1, point: true, ..Self::NONE };
    /// A difference of temperatures.
    pub const TEMPERATURE_DIFFERENCE: Self = Self { temperature: 1, ..Self::NONE };
    /// A gauge pressure or a difference of pressures.
    pub const PRESSURE: Self = Self { pressure: 1, ..Self::NONE };
    /// A volume.
    pub const VOLUME: Self = Self { volume: 1, ..Self::NONE };
    /// A volume in a time.
    pub const FLOW: Self = Self { volume: 1, seconds: -1, ..Self::NONE };
    /// A length.
    pub const LENGTH: Self = Self { length: 1, ..Self::NONE };
    /// Counted things.
    pub const COUNT: Self = Self { count: 1, ..Self::NONE };

    /// The dimension of `self + other` (or of `self − other` where `minus`).
    ///
    /// # Errors
    /// [`Mismatch`] where the two are unlike, or two temperatures are added.
    pub fn sum(self, other: Self, minus: bool) -> Result<Self, Mismatch> {
        if !self.like(other) {
            return Err(Mismatch::Unlike(self, other));
        }
        let point = match (self.point, other.point, minus) {
            (true, true, true) | (false, false, _) => false,
            (true, true, false) => return Err(Mismatch::TwoTemperatures),
            (true, false, _) => true,
            (false, true, false) => true,
            (false, true, true) => return Err(Mismatch::ScaledTemperature),
        };
        Ok(Self { point, ..self })
    }

    /// The dimension of `self × other` (or of `self ÷ other` where `divide`).
    ///
    /// # Errors
    /// [`Mismatch::ScaledTemperature`] where one of the two is a temperature on the scale and the other is not a plain number one.
    pub fn product(self, other: Self, divide: bool) -> Result<Self, Mismatch> {
        if self.point || other.point {
            return Err(Mismatch::ScaledTemperature);
        }
        let put = |a: i8, b: i8| if divide { a.saturating_sub(b) } else { a.saturating_add(b) };
        Ok(Self {
            volts: put(self.volts, other.volts),
            amps: put(self.amps, other.amps),
            seconds: put(self.seconds, other.seconds),
            temperature: put(self.temperature, other.temperature),
            pressure: put(self.pressure, other.pressure),
            volume: put(self.volume, other.volume),
            length: put(self.length, other.length),
            count: put(self.count, other.count),
            point: false,
        })
    }

    /// Whether two quantities are of one kind, a temperature and a difference of temperatures taken as one.
    #[must_use]
    pub fn like(self, other: Self) -> bool {
        Self { point: false, ..self } == Self { point: false, ..other }
    }
}

impl fmt::Display for Dimension {
    /// The kind in the trade's words: "volts", "a temperature difference", "volts × seconds".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let named = [
            (Self::NONE, "a plain number"),
            (Self::VOLTS, "volts"),
            (Self::AMPS, "amps"),
            (Self::OHMS, "ohms"),
            (Self::WATTS, "watts"),
            (Self::FARADS, "microfarads"),
            (Self::ENERGY, "Btu or watt-hours"),
            (Self::TIME, "a time"),
            (Self::FREQUENCY, "hertz"),
            (Self::TEMPERATURE, "a temperature"),
            (Self::TEMPERATURE_DIFFERENCE, "a temperature difference"),
            (Self::PRESSURE, "a pressure"),
            (Self::VOLUME, "a volume"),
            (Self::FLOW, "a flow"),
            (Self::LENGTH, "a length"),
            (Self::COUNT, "a count"),
        ];
        if let Some((_, words)) = named.iter().find(|(d, _)| d == self) {
            return f.write_str(words);
        }
        let parts = [
            (self.volts, "volts"),
            (self.amps, "amps"),
            (self.seconds, "seconds"),
            (self.temperature, "degrees"),
            (self.pressure, "pressure"),
            (self.volume, "volume"),
            (self.length, "length"),
            (self.count, "times"),
        ];
        let mut first = true;
        for (exponent, word) in parts.iter().filter(|(e, _)| *e > 0) {
            for _ in 0..*exponent {
                write!(f, "{}{word}", if first { "" } else { " × " })?;
                first = false;
            }
        }
        if first {
            f.write_str("1")?;
        }
        for (exponent, word) in parts.iter().filter(|(e, _)| *e < 0) {
            for _ in 0..exponent.unsigned_abs() {
                write!(f, " ÷ {word}")?;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn temperatures_and_differences_follow_from_the_arithmetic() {
        let (t, d) = (Dimension::TEMPERATURE, Dimension::TEMPERATURE_DIFFERENCE);
        let cases = [
            (t, t, true, Ok(d)),
            (t, t, false, Err(Mismatch::TwoTemperatures)),
            (t, d, true, Ok(t)),
            (t, d, false, Ok(t)),
            (d, t, false, Ok(t)),
            (d, t, true, Err(Mismatch::ScaledTemperature)),
            (d, d, true, Ok(d)),
        ];
        for (a, b, minus, want) in cases {
            assert_eq!(a.sum(b, minus), want, "{a} {} {b}", if minus { "-" } else { "+" });
        }
        assert_eq!(t.product(Dimension::NONE, false), Err(Mismatch::ScaledTemperature));
    }

    #[test]
    fn ohms_law() {
        assert_eq!(Dimension::VOLTS.product(Dimension::AMPS, true), Ok(Dimension::OHMS));
        assert_eq!(Dimension::VOLTS.product(Dimension::AMPS, false), Ok(Dimension::WATTS));
        assert!(matches!(Dimension::VOLTS.sum(Dimension::AMPS, false), Err(Mismatch::Unlike(..))));
        let odd = Dimension::VOLTS.product(Dimension::TIME, false).map(|d| d.to_string());
        assert_eq!(odd.as_deref(), Ok("volts × seconds"));
    }
}
