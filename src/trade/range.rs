//! Why a formula or a table of the trade has no answer for a number, said with the range it does cover.

use super::dimension::Dimension;
use super::printing::{Degrees, told_closely, told_range};
use std::fmt;

/// No answer: the number lies outside the table or formula, or the sum has no meaning for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RangeError {
    /// The number is outside what the table or formula covers.
    Outside {
        /// The table: "R448A dew pressures", "the Pt100 table".
        what: &'static str,
        /// What was given, in base units.
        given: f64,
        /// Lowest the table covers, in base units.
        low: f64,
        /// Highest the table covers, in base units.
        high: f64,
        /// What kind of thing the three numbers are.
        dimension: Dimension,
    },
    /// The sum has no meaning for these numbers; the words say why, ready to print.
    NoAnswer(&'static str),
}

impl RangeError {
    /// `given` if it lies within `low..=high`, else the error that says so.
    ///
    /// # Errors
    /// [`RangeError::Outside`].
    pub fn check(what: &'static str, given: f64, low: f64, high: f64, dimension: Dimension) -> Result<f64, Self> {
        if given >= low && given <= high { Ok(given) } else { Err(Self::Outside { what, given, low, high, dimension }) }
    }

    /// The sentence, in the shop's degrees.
    #[must_use]
    pub fn sentence(&self, degrees: Degrees) -> String {
        match *self {
            Self::Outside { what, given, low, high, dimension } => {
                let [low, high] = told_range(low, high, dimension, degrees);
                format!("{} is outside {what}: it runs from {low} to {high}", told_closely(given, dimension, degrees))
            }
            Self::NoAnswer(words) => words.to_owned(),
        }
    }
}

impl fmt::Display for RangeError {
    /// The sentence in °F and psi.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence(Degrees::Fahrenheit))
    }
}

impl std::error::Error for RangeError {}
