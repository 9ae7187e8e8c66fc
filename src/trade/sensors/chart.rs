//! A sensor chart: what the meter reads at every few degrees, as data for a page.

use super::platinum::Platinum;
use super::thermistor::Thermistor;
use super::thermocouple::Thermocouple;
use crate::trade::printing::Degrees;
use crate::trade::range::RangeError;

/// A sensor a chart can be made for.
#[derive(Debug, Clone, Copy)]
pub enum Sensor<'a> {
    /// Ohms.
    Platinum(Platinum),
    /// Millivolts at the meter, with its terminals at this many °C.
    Thermocouple(Thermocouple, f64),
    /// Ohms.
    Thermistor(&'a Thermistor),
}

/// One line of a chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartLine {
    /// The temperature in °F.
    pub fahrenheit: f64,
    /// The temperature in °C.
    pub celsius: f64,
    /// Ohms, or millivolts for a thermocouple.
    pub reading: f64,
}

impl Sensor<'_> {
    /// What the meter reads at `celsius`: ohms, or millivolts for a thermocouple.
    ///
    /// # Errors
    /// [`RangeError::Outside`] beyond the sensor's range.
    pub fn reading(self, celsius: f64) -> Result<f64, RangeError> {
        match self {
            Self::Platinum(probe) => probe.ohms(celsius),
            Self::Thermocouple(kind, terminals) => kind.at_terminals(celsius, terminals),
            Self::Thermistor(part) => part.ohms(celsius),
        }
    }
}

/// The most lines a chart may have: what fits a page.
pub const MOST_LINES: u32 = 500;

/// The chart of `sensor` from `low` to `high` in steps of `step`, all three in `degrees`: round numbers in the shop's
/// own degrees, the other scale beside them. The last line is the last whole step at or below `high`.
///
/// # Errors
/// [`RangeError::Outside`] where the chart would leave the sensor's range; [`RangeError::NoAnswer`] where the step
/// is not above zero or the chart would run past 500 lines.
pub fn chart(
    sensor: Sensor<'_>,
    low: f64,
    high: f64,
    step: f64,
    degrees: Degrees,
) -> Result<Vec<ChartLine>, RangeError> {
    let steps = ((high - low) / step + 1e-9).floor();
    if !(step > 0.0 && steps >= 0.0 && steps < f64::from(MOST_LINES)) {
        return Err(RangeError::NoAnswer("a chart needs a step above zero and at most 500 lines"));
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole, and from 0 to 499")]
    let last = steps as u32;
    (0..=last)
        .map(|at| {
            let t = low + f64::from(at) * step;
            let (fahrenheit, celsius) = match degrees {
                Degrees::Fahrenheit => (t, (t - 32.0) * 5.0 / 9.0),
                Degrees::Celsius => (t * 9.0 / 5.0 + 32.0, t),
            };
            Ok(ChartLine { fahrenheit, celsius, reading: sensor.reading(celsius)? })
        })
        .collect()
}
