//! Time-proportioned heat: full on for a share of each period, off for the rest; and half-wave heat.

/// Heat that is pulsed: what flows while it is on, and the share of the time it is on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pulsed {
    /// Volts or amps while on, RMS.
    pub on: f64,
    /// Share of the time it is on, 0 to 1.
    pub duty: f64,
}

impl Pulsed {
    /// What a meter reads that is quicker than the pulse and holds the highest: the value while on.
    #[must_use]
    pub fn highest(self) -> f64 {
        self.on
    }

    /// What a meter reads that averages over the period: on × duty. 18.75 A at 35 % is 6.56 A.
    #[must_use]
    pub fn average(self) -> f64 {
        self.on * self.duty
    }

    /// What a true-RMS meter reads that squares and averages over the period: on × √duty. 18.75 A at 35 % is 11.09 A.
    #[must_use]
    pub fn true_rms(self) -> f64 {
        self.on * self.duty.sqrt()
    }

    /// Seconds on in a period of `period` seconds.
    #[must_use]
    pub fn seconds_on(self, period: f64) -> f64 {
        period * self.duty
    }
}

/// Watts on the average of a load that makes `watts` while on.
#[must_use]
pub fn average_watts(watts: f64, duty: f64) -> f64 {
    watts * duty
}

/// Days until a relay rated for `operations` is worn out, switching once every `period` seconds without a rest.
#[must_use]
pub fn days_of_switching(operations: f64, period: f64) -> f64 {
    operations * period / 86_400.0
}

/// What meters read on a supply of `volts` that reaches the load in one half of each wave only: one side of a
/// solid-state relay shorted, the other open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HalfWave {
    /// RMS volts of the supply.
    pub volts: f64,
}

impl HalfWave {
    /// A true-RMS meter: V ÷ √2. The load makes half its watts.
    #[must_use]
    pub fn true_rms(self) -> f64 {
        self.volts / 2f64.sqrt()
    }

    /// An average-responding meter: V ÷ 2.
    #[must_use]
    pub fn averaging(self) -> f64 {
        self.volts / 2.0
    }

    /// A meter on DC volts: √2 V ÷ π, 0.45 V.
    #[must_use]
    pub fn dc(self) -> f64 {
        2f64.sqrt() * self.volts / std::f64::consts::PI
    }
}
