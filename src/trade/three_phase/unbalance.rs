//! Unbalance of three lines, as NEMA MG 1 (14.36, 20.24) defines it.

use crate::trade::range::RangeError;

/// The largest distance of a reading from the average of all, as a ratio of that average (0.0196 is 1.96 %).
///
/// `readings` are in any one unit. Exact to the last digit of the machine's numbers. All alike is no unbalance, zeros too.
/// Source: NEMA MG 1-14.36: 460, 467 and 450 V have the average 459, the furthest is 9 off, 1.96 %.
/// Not the spread over the average, and the average is not rounded first: both are common slips.
///
/// # Errors
/// [`RangeError::NoAnswer`] where there is nothing to average or the average is not above zero.
pub fn unbalance(readings: impl Iterator<Item = f64> + Clone) -> Result<f64, RangeError> {
    let (sum, count) = readings.clone().fold((0.0, 0.0), |(sum, count), reading| (sum + reading, count + 1.0));
    let average = sum / count;
    let furthest = readings.fold(0.0, |most: f64, reading| most.max((reading - average).abs()));
    if furthest == 0.0 && average.is_finite() {
        Ok(0.0)
    } else if average > 0.0 {
        Ok(furthest / average)
    } else {
        Err(RangeError::NoAnswer("an unbalance needs readings whose average is above zero"))
    }
}
