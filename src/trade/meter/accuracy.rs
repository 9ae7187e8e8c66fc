//! A meter's accuracy, ±(percent of the reading + counts of the last digit).

use crate::trade::quantity::computed;

/// The accuracy of one function of a meter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accuracy {
    /// Share of the reading: 0.007 is 0.7 %.
    pub share: f64,
    /// Counts of the last digit.
    pub counts: f64,
    /// The last digit, in the reading's unit: 0.1 V.
    pub step: f64,
}

impl Accuracy {
    /// How far a reading of `value` may be off, either way, in the reading's unit.
    /// 0.7 % and 2 counts of 0.1 V at 120 V are 1.04 V.
    #[must_use]
    pub fn off(self, value: f64) -> f64 {
        self.share * value.abs() + self.counts * self.step
    }

    /// Lowest and highest the meter may show where `value` is true.
    #[must_use]
    pub fn window(self, value: f64) -> (f64, f64) {
        let off = self.off(value);
        (value - off, value + off)
    }

    /// Lowest and highest there may be where the meter shows `value`, for readings above zero: the reverse of
    /// [`Accuracy::window`].
    #[must_use]
    pub fn behind(self, value: f64) -> (f64, f64) {
        let counts = self.counts * self.step;
        ((value - counts) / (1.0 + self.share), (value + counts) / (1.0 - self.share).max(f64::MIN_POSITIVE))
    }
}

/// A stretch rounded outwards to whole steps: 29.31 to 35.76 in steps of 0.1 is 29.3 to 35.8. Where the step is zero it stays.
#[must_use]
pub fn outwards(low: f64, high: f64, step: f64) -> (f64, f64) {
    if step <= 0.0 {
        return (low, high);
    }
    // Rounded first, so that 30 worked out as 29.999999999 stays 30.
    let down = |value: f64| computed(computed(value / step).floor() * step);
    let up = |value: f64| computed(computed(value / step).ceil() * step);
    (if low.is_finite() { down(low) } else { low }, if high.is_finite() { up(high) } else { high })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_there_is_behind_what_is_shown() {
        let accuracy = Accuracy { share: 0.01, counts: 3.0, step: 0.1 };
        for volts in [0.4, 120.0, 208.0, 480.0] {
            let (low, high) = accuracy.behind(volts);
            assert!((accuracy.window(low).1 - volts).abs() < 1e-9, "{volts}");
            assert!((accuracy.window(high).0 - volts).abs() < 1e-9, "{volts}");
        }
    }

    #[test]
    fn outwards_to_the_step() {
        for (low, high, step, want) in [
            (29.31, 35.76, 0.1, (29.3, 35.8)),
            (29.999_999_999_9, 36.000_000_000_1, 0.1, (30.0, 36.0)),
            (-0.25, 0.25, 0.1, (-0.3, 0.3)),
            (10.83, 10.83, 0.1, (10.8, 10.9)),
            (41.2, 44.8, 1.0, (41.0, 45.0)),
            (1.0, f64::INFINITY, 0.1, (1.0, f64::INFINITY)),
            (1.234, 5.678, 0.0, (1.234, 5.678)),
        ] {
            assert_eq!(outwards(low, high, step), want, "{low} {high} {step}");
        }
    }
}
