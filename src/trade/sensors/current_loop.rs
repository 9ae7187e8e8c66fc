//! 4–20 mA transmitters: 4 mA is the low end of the span, 20 mA the high end, a straight line between.

use crate::trade::dimension::Dimension;
use crate::trade::range::RangeError;

/// Below this the loop is at fault, mA. Source: NAMUR NE 43, from memory.
pub const FAULT_BELOW: f64 = 3.6;
/// Above this the loop is at fault, mA. Source: NAMUR NE 43, from memory.
pub const FAULT_ABOVE: f64 = 21.0;

/// The value at `milliamps` of a loop whose span runs from `low` (4 mA) to `high` (20 mA), in the span's own unit.
/// Exact by definition: 12.8 mA on 0 to 300 °C is 165 °C.
///
/// # Errors
/// [`RangeError::Outside`] below 3.6 mA (broken wire, dead transmitter) or above 21 mA (shorted).
pub fn value(milliamps: f64, low: f64, high: f64) -> Result<f64, RangeError> {
    RangeError::check(
        "what a sound 4-20 mA loop carries",
        milliamps / 1000.0,
        FAULT_BELOW / 1000.0,
        FAULT_ABOVE / 1000.0,
        Dimension::AMPS,
    )?;
    Ok(low + (milliamps - 4.0) / 16.0 * (high - low))
}

/// The milliamps of a loop at `value`, the inverse of [`value`](fn@value).
///
/// # Errors
/// [`RangeError::NoAnswer`] where the span has no length; [`RangeError::Outside`] as for [`value`](fn@value).
pub fn milliamps(value_read: f64, low: f64, high: f64) -> Result<f64, RangeError> {
    if low >= high {
        return Err(RangeError::NoAnswer("the span of the loop runs from its low end up to its high end"));
    }
    let milliamps = 4.0 + 16.0 * (value_read - low) / (high - low);
    value(milliamps, low, high).map(|_| milliamps)
}
