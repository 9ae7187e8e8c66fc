//! A meter's accuracy, ±(percent of the reading + counts of the last digit).

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
}
