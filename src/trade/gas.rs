//! Gas and combustion: clocking the meter, input against manifold pressure, air-free carbon monoxide.
//!
//! Base units: liters, seconds, joules, watts, kPa, ratios. Pressure units are in [`unit`](super::unit).

use super::range::RangeError;

/// Liters in a cubic foot. Source: the inch is 25.4 mm (NIST SP 811).
pub const CUBIC_FOOT: f64 = 28.316_846_592;

/// Oxygen in dry air, as a ratio, in the trade's rule for air-free readings. From memory.
pub const OXYGEN_IN_AIR: f64 = 0.209;

/// Watts of gas burned when the meter's dial passes `liters` in `seconds` and a cubic foot holds `heat` joules.
/// In shop units: Btu/h = 3600 ÷ seconds × ft³ × Btu in a cubic foot; 2 ft³ in 82 s at 1025 Btu is 90,000 Btu/h.
#[must_use]
pub fn clocked(liters: f64, seconds: f64, heat: f64) -> f64 {
    liters / CUBIC_FOOT * heat / seconds
}

/// Input at a manifold pressure, from the rated input at the rated pressure: as the square root of the pressure.
/// 90,000 Btu/h at 4.0 inWC is 72,560 at 2.6.
///
/// # Errors
/// [`RangeError::NoAnswer`] where a pressure is below zero or the rated one is zero.
pub fn input_at(pressure: f64, rated_pressure: f64, rated_input: f64) -> Result<f64, RangeError> {
    if pressure >= 0.0 && rated_pressure > 0.0 {
        Ok(rated_input * (pressure / rated_pressure).sqrt())
    } else {
        Err(RangeError::NoAnswer("gas flows only where the manifold pressure is above zero"))
    }
}

/// Carbon monoxide with the extra air taken out: CO × 20.9 ÷ (20.9 − O₂). All ratios. From memory.
///
/// # Errors
/// [`RangeError::NoAnswer`] where the oxygen is below zero or over 20 %: the probe is not in the flue, and the answer
/// would be the analyzer's error.
pub fn air_free(carbon_monoxide: f64, oxygen: f64) -> Result<f64, RangeError> {
    if (0.0..=0.20).contains(&oxygen) {
        Ok(carbon_monoxide * OXYGEN_IN_AIR / (OXYGEN_IN_AIR - oxygen))
    } else {
        Err(RangeError::NoAnswer("oxygen in a flue is between 0 and 20 %: is the probe in the flue?"))
    }
}
