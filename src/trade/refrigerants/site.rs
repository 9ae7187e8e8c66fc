//! The air a gauge stands on: 101.325 kPa at sea level, less on a mountain.

use crate::trade::dimension::Dimension;
use crate::trade::logs::{exp, ln};
use crate::trade::range::RangeError;

/// Where a pressure is read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Site {
    kpa: f64,
}

/// Highest altitude taken, m.
const HIGHEST: f64 = 5000.0;

impl Site {
    /// At sea level, 101.325 kPa (14.696 psi).
    pub const SEA_LEVEL: Self = Self { kpa: 101.325 };

    /// Where a gauge reads absolute pressure: nothing outside.
    pub const ABSOLUTE: Self = Self { kpa: 0.0 };

    /// At an altitude in meters, by the standard atmosphere: 101.325 (1 − 2.25577e-5 h)^5.2559 kPa.
    /// Source: ASHRAE Handbook of Fundamentals, as PsychroLib 2.5.0 has it; 5000 ft is 12.228 psi. Weather moves it by
    /// about 2 % either way.
    ///
    /// # Errors
    /// [`RangeError::Outside`] below −500 m or above 5000 m (16,400 ft).
    pub fn at(meters: f64) -> Result<Self, RangeError> {
        let range = (-500.0 * 1000.0, HIGHEST * 1000.0);
        RangeError::check("the altitudes people cook at", meters * 1000.0, range.0, range.1, Dimension::LENGTH)?;
        Ok(Self { kpa: 101.325 * exp(5.2559 * ln(1.0 - 2.25577e-5 * meters)) })
    }

    /// The pressure of the air, kPa.
    #[must_use]
    pub fn kpa(self) -> f64 {
        self.kpa
    }
}
