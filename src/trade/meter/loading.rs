//! What a meter's own resistance does to the volts it reads.

/// Input of a digital meter, ohms. Source: printed in most manuals; 10 Mohm with about 100 pF beside it.
pub const DIGITAL: f64 = 10e6;
/// Input of a meter switched to its low-impedance range, ohms. Source: makers' notes on ghost voltage, "about 3 kohm".
pub const LOW_IMPEDANCE: f64 = 3e3;

/// The volts a meter of `input` ohms shows where `volts` would stand without it, behind `source` ohms.
#[must_use]
pub fn shown(volts: f64, source: f64, input: f64) -> f64 {
    volts * input / (source + input)
}

/// How much of the volts the meter loses, as a ratio: source ÷ (source + input). 100 kohm into 10 Mohm is 0.99 %.
#[must_use]
pub fn lost(source: f64, input: f64) -> f64 {
    source / (source + input)
}
