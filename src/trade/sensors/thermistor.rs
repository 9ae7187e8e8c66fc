//! Thermistors (NTC): the maker's table, three coefficients, or beta, in that order of trust.
//!
//! "10k at 25 °C" is not one curve: at 0 °C such parts read 27.3, 28.7, 31.8 or 32.65 kohm. Beta is within 0.2 °C of
//! its own part between 0 and 80 °C at best and 4 to 5 °C off at −40 °C at worst; three coefficients fitted to three
//! points of a table are within 0.1 °C of most parts; a table in the sheet beats both.

use crate::trade::dimension::Dimension;
use crate::trade::logs::{exp, ln};
use crate::trade::range::RangeError;

/// 0 °C on the absolute scale.
const ZERO_CELSIUS: f64 = 273.15;
/// Lowest temperature a thermistor formula is used for, °C.
pub const LOWEST: f64 = -60.0;
/// Highest temperature a thermistor formula is used for, °C.
pub const HIGHEST: f64 = 250.0;

/// How a thermistor's ohms hang on its temperature.
#[derive(Debug, Clone, PartialEq)]
pub enum Thermistor {
    /// `R = R25 exp(beta (1/T − 1/298.15))`, T in kelvins.
    Beta {
        /// Ohms at 25 °C.
        ohms_at_25: f64,
        /// The part's beta, in kelvins.
        beta: f64,
    },
    /// Steinhart–Hart: `1/T = a + b ln R + c (ln R)³`.
    Coefficients {
        /// The constant.
        a: f64,
        /// Of ln R.
        b: f64,
        /// Of (ln R)³.
        c: f64,
    },
    /// The maker's own points.
    Table(Table),
}

/// Points of a maker's table: °C rising, ohms falling. Between two neighbors the part follows the beta of those two,
/// which over steps of 10 °C is within 0.01 °C of the maker's own curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    points: Vec<Point>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Point {
    celsius: f64,
    ohms: f64,
    /// One over the temperature in kelvins: falls as the temperature rises.
    per_kelvin: f64,
    /// The logarithm of the ohms, which over [`Point::per_kelvin`] is close to a straight line.
    log: f64,
}

/// What is wrong with a table of points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TableSlip {
    /// Fewer than two points.
    TooFew,
    /// A point without ohms above zero or without a temperature.
    NotANumber {
        /// Which, counted from 0.
        at: usize,
    },
    /// Temperatures have to rise from point to point.
    NotRising {
        /// Which, counted from 0.
        at: usize,
    },
    /// Ohms have to fall as the temperature rises.
    NotFalling {
        /// Which, counted from 0.
        at: usize,
    },
    /// A step out of line with its neighbors on both sides: most likely a misprint.
    OutOfLine {
        /// Which, counted from 0.
        at: usize,
        /// Ohms that would be in line.
        likely: f64,
    },
}

impl Thermistor {
    /// The coefficients through three points of a table, each °C and ohms.
    ///
    /// # Errors
    /// [`RangeError::NoAnswer`] where two of the points are one, or ohms are not above zero.
    pub fn through(points: [(f64, f64); 3]) -> Result<Self, RangeError> {
        let [(l1, y1), (l2, y2), (l3, y3)] = points.map(|(celsius, ohms)| (ln(ohms), 1.0 / (celsius + ZERO_CELSIUS)));
        let (g2, g3) = ((y2 - y1) / (l2 - l1), (y3 - y1) / (l3 - l1));
        let c = (g3 - g2) / (l3 - l2) / (l1 + l2 + l3);
        let b = g2 - c * (l1 * l1 + l1 * l2 + l2 * l2);
        let a = y1 - l1 * (b + c * l1 * l1);
        if [a, b, c].iter().all(|value| value.is_finite()) {
            Ok(Self::Coefficients { a, b, c })
        } else {
            Err(RangeError::NoAnswer("three different points are needed, each with ohms above zero"))
        }
    }

    /// Ohms at `celsius`. Error: the model's own; the arithmetic adds less than 1e-12 of the value.
    ///
    /// # Errors
    /// [`RangeError::Outside`] below −60 °C or above 250 °C, or beyond the points of the table.
    pub fn ohms(&self, celsius: f64) -> Result<f64, RangeError> {
        let (low, high) = self.span();
        let t = RangeError::check(self.table(), celsius, low, high, Dimension::TEMPERATURE)?;
        Ok(match self {
            Self::Beta { ohms_at_25, beta } => {
                ohms_at_25 * exp(beta * (1.0 / (t + ZERO_CELSIUS) - 1.0 / (25.0 + ZERO_CELSIUS)))
            }
            Self::Coefficients { a, b, c } => exp(log_ohms(*a, *b, *c, 1.0 / (t + ZERO_CELSIUS))),
            Self::Table(table) => exp(table.between(1.0 / (t + ZERO_CELSIUS), |point| (point.per_kelvin, point.log))),
        })
    }

    /// The temperature, °C, at which it has `ohms`. The inverse of [`Thermistor::ohms`] within 1e-9 °C.
    ///
    /// # Errors
    /// [`RangeError::Outside`] where no temperature of the span has that many ohms: the probe is open or shorted.
    pub fn celsius(&self, ohms: f64) -> Result<f64, RangeError> {
        let (cold, hot) = self.span();
        let (at_cold, at_hot) = match self {
            Self::Table(table) => table.ends(|point| point.ohms),
            _ => (self.ohms(cold)?, self.ohms(hot)?),
        };
        let ohms = RangeError::check(self.table(), ohms, at_hot, at_cold, Dimension::OHMS)?;
        let log = ln(ohms);
        let t = match self {
            Self::Beta { ohms_at_25, beta } => {
                1.0 / (1.0 / (25.0 + ZERO_CELSIUS) + ln(ohms / ohms_at_25) / beta) - ZERO_CELSIUS
            }
            Self::Coefficients { a, b, c } => 1.0 / (a + log * (b + c * log * log)) - ZERO_CELSIUS,
            Self::Table(table) => 1.0 / table.between(log, |point| (point.log, point.per_kelvin)) - ZERO_CELSIUS,
        };
        Ok(t.clamp(cold, hot))
    }

    /// The temperatures it is used between, °C.
    #[must_use]
    pub fn span(&self) -> (f64, f64) {
        match self {
            Self::Table(table) => table.ends(|point| point.celsius),
            _ => (LOWEST, HIGHEST),
        }
    }

    fn table(&self) -> &'static str {
        match self {
            Self::Table(_) => "the thermistor's table",
            _ => "what a thermistor formula is used for",
        }
    }
}

impl Table {
    /// The table of these points, each °C and ohms.
    ///
    /// # Errors
    /// [`TableSlip`], the first one met: too few, out of order, or most likely a misprint.
    pub fn new(points: &[(f64, f64)]) -> Result<Self, TableSlip> {
        if points.len() < 2 {
            return Err(TableSlip::TooFew);
        }
        if let Some(at) =
            points.iter().position(|(celsius, ohms)| !(celsius.is_finite() && *ohms > 0.0 && ohms.is_finite()))
        {
            return Err(TableSlip::NotANumber { at });
        }
        for (at, (before, after)) in points.iter().zip(points.iter().skip(1)).enumerate() {
            if after.0 <= before.0 {
                return Err(TableSlip::NotRising { at: at + 1 });
            }
            if after.1 >= before.1 {
                return Err(TableSlip::NotFalling { at: at + 1 });
            }
        }
        let table = Self {
            points: points
                .iter()
                .map(|&(celsius, ohms)| Point {
                    celsius,
                    ohms,
                    per_kelvin: 1.0 / (celsius + ZERO_CELSIUS),
                    log: ln(ohms),
                })
                .collect(),
        };
        table.out_of_line().map_or(Ok(table), Err)
    }

    /// A point that stands off the line between its neighbors by more than half a step of theirs.
    /// A misprint of one digit does; the bend of a true curve over points this close does not.
    fn out_of_line(&self) -> Option<TableSlip> {
        self.points.windows(3).enumerate().find_map(|(at, three)| {
            let [before, here, after] = three else { return None };
            let share = (here.per_kelvin - before.per_kelvin) / (after.per_kelvin - before.per_kelvin);
            let likely = before.log + share * (after.log - before.log);
            let step = (after.log - before.log).abs() * share.min(1.0 - share);
            ((here.log - likely).abs() > step / 2.0).then(|| TableSlip::OutOfLine { at: at + 1, likely: exp(likely) })
        })
    }

    /// One side of the first point and of the last.
    fn ends(&self, side: fn(&Point) -> f64) -> (f64, f64) {
        (self.points.first().map_or(0.0, side), self.points.last().map_or(0.0, side))
    }

    /// A straight line between the two points that `x` lies between. `sides` says which side of a point is looked up
    /// (both fall from point to point) and which is read off.
    fn between(&self, x: f64, sides: fn(&Point) -> (f64, f64)) -> f64 {
        let after = self.points.partition_point(|point| sides(point).0 > x);
        let at = after.clamp(1, self.points.len() - 1);
        let (Some((x0, y0)), Some((x1, y1))) = (self.points.get(at - 1).map(sides), self.points.get(at).map(sides))
        else {
            return f64::NAN;
        };
        y0 + (x - x0) / (x1 - x0) * (y1 - y0)
    }
}

/// ln R from 1/T: the root of `c L³ + b L + (a − 1/T) = 0`, by Newton's rule from the straight-line root.
/// Both b and c are above zero on every part (c may be a hair below), so the cubic rises throughout.
fn log_ohms(a: f64, b: f64, c: f64, per_kelvin: f64) -> f64 {
    let mut log = (per_kelvin - a) / b;
    // The straight line is up to a tenth off; six steps leave less than the last digit.
    for _ in 0..6 {
        log -= (a + log * (b + c * log * log) - per_kelvin) / (b + 3.0 * c * log * log);
    }
    log
}
