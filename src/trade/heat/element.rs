//! An element by its rating: P = V² ÷ R, and R does not change with the voltage.

/// A heating element by its nameplate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Element {
    /// Rated watts.
    pub watts: f64,
    /// Rated volts.
    pub volts: f64,
}

impl Element {
    /// Ohms, V² ÷ W. Source: Joule's and Ohm's laws; 4500 W at 240 V is 12.8 ohm.
    #[must_use]
    pub fn ohms(self) -> f64 {
        self.volts * self.volts / self.watts
    }

    /// Watts at `volts`, rated watts × (volts ÷ rated volts)². 5500 W at 240 V makes 4131 W on 208 V.
    #[must_use]
    pub fn watts_at(self, volts: f64) -> f64 {
        let share = volts / self.volts;
        self.watts * share * share
    }

    /// Amps at `volts`: rated watts × volts ÷ rated volts².
    #[must_use]
    pub fn amps_at(self, volts: f64) -> f64 {
        self.watts / self.volts * (volts / self.volts)
    }
}

/// Amps a balanced three-phase load of `watts` draws in each line at `volts` between lines: W ÷ (√3 V), whatever the
/// connection.
#[must_use]
pub fn three_phase_amps(watts: f64, volts: f64) -> f64 {
    watts / (3f64.sqrt() * volts)
}

/// Ohms in a row, added.
#[must_use]
pub fn in_series(ohms: &[f64]) -> f64 {
    ohms.iter().sum()
}

/// Ohms side by side: one over the sum of one over each. An open one (infinite) counts for nothing; all open is infinite.
#[must_use]
pub fn in_parallel(ohms: &[f64]) -> f64 {
    1.0 / ohms.iter().map(|ohms| 1.0 / ohms).sum::<f64>()
}
