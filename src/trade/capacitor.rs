//! Run capacitors: microfarads from amps and volts, and how long a charge stays.
//!
//! Farads, ohms, volts, amps, seconds, hertz.

use super::logs::{exp, ln};
use super::range::RangeError;

/// Farads from the amps through a capacitor and the volts across it, both RMS: I ÷ (2π f V).
/// At 60 Hz that is the trade's 2652 × amps ÷ volts in microfarads, at 50 Hz 3183.
#[must_use]
pub fn farads(amps: f64, volts: f64, hertz: f64) -> f64 {
    amps / (2.0 * std::f64::consts::PI * hertz * volts)
}

/// Seconds until a capacitor charged to `from` volts is down to `to` through `ohms`: R C ln(from ÷ to).
///
/// # Errors
/// [`RangeError::NoAnswer`] where `to` is not above zero or not below `from`: through a resistor it never gets there.
pub fn seconds_to_bleed(ohms: f64, farads: f64, from: f64, to: f64) -> Result<f64, RangeError> {
    if to > 0.0 && to <= from {
        Ok(ohms * farads * ln(from / to))
    } else {
        Err(RangeError::NoAnswer("a charge bleeds from higher volts to lower ones that are above zero"))
    }
}

/// Volts left on a capacitor after `seconds` of bleeding through `ohms`.
#[must_use]
pub fn volts_left(ohms: f64, farads: f64, from: f64, seconds: f64) -> f64 {
    from * exp(-seconds / (ohms * farads))
}

/// The most ohms that bleed `farads` from `from` to `to` volts within `seconds`.
///
/// # Errors
/// As for [`seconds_to_bleed`].
pub fn most_bleed_ohms(farads: f64, from: f64, to: f64, seconds: f64) -> Result<f64, RangeError> {
    seconds_to_bleed(1.0, farads, from, to).map(|per_ohm| seconds / per_ohm)
}
