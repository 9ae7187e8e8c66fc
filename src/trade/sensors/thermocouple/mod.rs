//! Thermocouples of types J, K and T: the reference functions of ITS-90.
//!
//! 1. [`Thermocouple::millivolts`]: what a junction at a temperature makes against one at 0 °C.
//! 2. [`Thermocouple::celsius`]: the inverse: the published approximation, then two steps of Newton's rule on the
//!    reference function itself, because the approximation alone is up to 0.06 °C off.
//! 3. [`Thermocouple::at_terminals`] and [`Thermocouple::through_terminals`]: what a meter shows when the terminals
//!    are at room temperature. The terminals' millivolts are added, never their degrees.
//!
//! Source: NIST Standard Reference Database 60 (NIST Monograph 175). Example: type K at 180 °C with terminals at
//! 25 °C puts 6.340 mV on the meter.

mod j;
mod k;
mod t;

use crate::trade::dimension::Dimension;
use crate::trade::logs::exp;
use crate::trade::range::RangeError;

/// A thermocouple type. In ANSI colors J is white and red, K yellow and red, T blue and red; red is the negative
/// leg (ASTM E230, from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Thermocouple {
    /// Iron and constantan, −210 to 1200 °C.
    J,
    /// Nickel-chromium and nickel-aluminum, −270 to 1372 °C.
    K,
    /// Copper and constantan, −270 to 400 °C.
    T,
}

/// The reference function of one type.
struct Reference {
    table: &'static str,
    /// Powers of t, a piece for each range of temperature, coldest first.
    pieces: &'static [Piece],
    /// Type K above 0 °C adds `a0 exp(a1 (t − a2)²)`.
    bump: Option<[f64; 3]>,
    /// Powers of the millivolts, a piece for each range, lowest first: within 0.06 °C of the inverse.
    inverse: &'static [Inverse],
    /// The coldest temperature the inverse is published for, °C.
    coldest: f64,
}

struct Piece {
    low: f64,
    high: f64,
    coefficients: &'static [f64],
}

struct Inverse {
    high: f64,
    coefficients: &'static [f64],
}

impl Thermocouple {
    /// The type of this letter.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "J" => Some(Self::J),
            "K" => Some(Self::K),
            "T" => Some(Self::T),
            _ => None,
        }
    }

    /// Millivolts of a junction at `celsius` against one at 0 °C. Exact to the reference function; NIST's printed
    /// tables are this rounded to 0.001 mV.
    ///
    /// # Errors
    /// [`RangeError::Outside`] beyond the type's range.
    pub fn millivolts(self, celsius: f64) -> Result<f64, RangeError> {
        let reference = self.reference();
        let low = reference.pieces.first().map_or(0.0, |piece| piece.low);
        let high = reference.pieces.last().map_or(0.0, |piece| piece.high);
        RangeError::check(reference.table, celsius, low, high, Dimension::TEMPERATURE)
            .map(|t| reference.millivolts_and_slope(t).0)
    }

    /// The temperature, °C, of a junction that makes `millivolts` against one at 0 °C. Within 1e-5 °C of the
    /// reference function, from −200 °C (J: −210 °C) to the end of the table.
    ///
    /// # Errors
    /// [`RangeError::Outside`] where no temperature makes that many.
    pub fn celsius(self, millivolts: f64) -> Result<f64, RangeError> {
        let reference = self.reference();
        let high = reference.pieces.last().map_or(0.0, |piece| piece.high);
        let (least, _) = reference.millivolts_and_slope(reference.coldest);
        let (most, _) = reference.millivolts_and_slope(high);
        let given =
            RangeError::check(reference.table, millivolts / 1000.0, least / 1000.0, most / 1000.0, Dimension::VOLTS);
        given?;
        let piece = reference.inverse.iter().find(|piece| millivolts <= piece.high).or(reference.inverse.last());
        let mut t = piece.map_or(0.0, |piece| powers(piece.coefficients, millivolts).0);
        for _ in 0..2 {
            let (here, slope) = reference.millivolts_and_slope(t);
            t -= (here - millivolts) / slope;
        }
        Ok(t.clamp(reference.coldest, high))
    }

    /// Millivolts a meter shows across the terminals: the junction at `celsius`, the terminals at `terminals_celsius`.
    ///
    /// # Errors
    /// [`RangeError::Outside`] where either is beyond the type's range.
    pub fn at_terminals(self, celsius: f64, terminals_celsius: f64) -> Result<f64, RangeError> {
        Ok(self.millivolts(celsius)? - self.millivolts(terminals_celsius)?)
    }

    /// The temperature, °C, of the junction when the meter shows `millivolts` and the terminals are at
    /// `terminals_celsius`: the terminals' millivolts are added, then the sum is turned into degrees.
    ///
    /// # Errors
    /// [`RangeError::Outside`] where the sum belongs to no temperature: reversed leads, or another type.
    pub fn through_terminals(self, millivolts: f64, terminals_celsius: f64) -> Result<f64, RangeError> {
        self.celsius(millivolts + self.millivolts(terminals_celsius)?)
    }

    fn reference(self) -> &'static Reference {
        match self {
            Self::J => &j::TYPE_J,
            Self::K => &k::TYPE_K,
            Self::T => &t::TYPE_T,
        }
    }
}

impl Reference {
    /// The function and its slope at `t` °C. A temperature outside takes the nearest piece.
    fn millivolts_and_slope(&self, t: f64) -> (f64, f64) {
        let piece = self.pieces.iter().find(|piece| t <= piece.high).or(self.pieces.last());
        let (mut value, mut slope) = piece.map_or((0.0, 1.0), |piece| powers(piece.coefficients, t));
        if let Some([a0, a1, a2]) = self.bump.filter(|_| t > 0.0) {
            let bump = a0 * exp(a1 * (t - a2) * (t - a2));
            value += bump;
            slope += 2.0 * a1 * (t - a2) * bump;
        }
        (value, slope)
    }
}

/// `c0 + c1 x + c2 x² + …` and its slope, highest power first (Horner).
fn powers(coefficients: &[f64], x: f64) -> (f64, f64) {
    coefficients.iter().rev().fold((0.0, 0.0), |(value, slope), c| (value * x + c, slope * x + value))
}
