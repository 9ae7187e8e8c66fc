//! Platinum probes: the curve of IEC 60751 (also ASTM E1137), 0.385 % per degree.
//!
//! `R = R0 (1 + A t + B t²)`, below 0 °C with `C (t − 100) t³` added to the sum in the bracket.
//! Source: IEC 60751:2008 and :2022. Example: Pt100 at 100 °C is 138.51 ohm (138.5055).

use crate::trade::dimension::Dimension;
use crate::trade::range::RangeError;

const A: f64 = 3.9083e-3;
const B: f64 = -5.775e-7;
const C: f64 = -4.183e-12;

/// Lowest temperature of the table, °C.
pub const LOWEST: f64 = -200.0;
/// Highest temperature of the table, °C.
pub const HIGHEST: f64 = 850.0;

/// Steps of Newton's rule below 0 °C: from at most 2.4 °C off, four leave less than 1e-12 °C.
const STEPS: u8 = 4;

/// A platinum probe, named for its ohms at 0 °C.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Platinum {
    /// 100 ohm at 0 °C.
    Pt100,
    /// 1000 ohm at 0 °C.
    Pt1000,
}

/// A tolerance class of IEC 60751.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Class {
    /// ±(0.15 + 0.002 |t|) °C.
    A,
    /// ±(0.30 + 0.005 |t|) °C.
    B,
}

impl Platinum {
    /// The probe of this name, as a sheet or playbook writes it.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "Pt100" => Some(Self::Pt100),
            "Pt1000" => Some(Self::Pt1000),
            _ => None,
        }
    }

    /// Ohms at 0 °C.
    #[must_use]
    pub fn ohms_at_zero(self) -> f64 {
        match self {
            Self::Pt100 => 100.0,
            Self::Pt1000 => 1000.0,
        }
    }

    /// Ohms at `celsius`. Exact to the curve, within 1e-11 of its value.
    ///
    /// # Errors
    /// [`RangeError::Outside`] below −200 °C or above 850 °C.
    pub fn ohms(self, celsius: f64) -> Result<f64, RangeError> {
        let t = RangeError::check(self.table(), celsius, LOWEST, HIGHEST, Dimension::TEMPERATURE)?;
        Ok(self.ohms_at_zero() * ratio(t))
    }

    /// The temperature, °C, at which the probe has `ohms`. Within 1e-9 °C of the curve.
    ///
    /// # Errors
    /// [`RangeError::Outside`] where no temperature of the table has that many ohms: the probe is open or shorted.
    pub fn celsius(self, ohms: f64) -> Result<f64, RangeError> {
        let r0 = self.ohms_at_zero();
        let (low, high) = (r0 * ratio(LOWEST), r0 * ratio(HIGHEST));
        let above = RangeError::check(self.table(), ohms, low, high, Dimension::OHMS)? / r0 - 1.0;
        // The root of the square, written so that nothing cancels near 0 °C.
        let mut t = 2.0 * above / (A + (A * A + 4.0 * B * above).sqrt());
        if above < 0.0 {
            for _ in 0..STEPS {
                let slope = A + 2.0 * B * t + C * (4.0 * t - 300.0) * t * t;
                t -= (ratio(t) - 1.0 - above) / slope;
            }
            // The last step may land a hair outside the table.
            t = t.max(LOWEST);
        }
        Ok(t.min(HIGHEST))
    }

    /// The temperature a two-wire probe at `celsius` shows with `lead_ohms` in its leads and joints, °C.
    /// One ohm is about +2.6 °C on a Pt100 and +0.26 °C on a Pt1000.
    ///
    /// # Errors
    /// [`RangeError::Outside`] where the two together leave the table.
    pub fn shown_through_leads(self, celsius: f64, lead_ohms: f64) -> Result<f64, RangeError> {
        self.celsius(self.ohms(celsius)? + lead_ohms)
    }

    /// Lowest and highest ohms that a probe of this class may have at `celsius`.
    ///
    /// # Errors
    /// [`RangeError::Outside`] near the ends of the table.
    pub fn window(self, celsius: f64, class: Class) -> Result<(f64, f64), RangeError> {
        let off = class.degrees(celsius);
        Ok((self.ohms(celsius - off)?, self.ohms(celsius + off)?))
    }

    fn table(self) -> &'static str {
        match self {
            Self::Pt100 => "the Pt100 table",
            Self::Pt1000 => "the Pt1000 table",
        }
    }
}

impl Class {
    /// How far off a probe of this class may be at `celsius`, °C either way.
    /// Source: IEC 60751, table of tolerance classes.
    #[must_use]
    pub fn degrees(self, celsius: f64) -> f64 {
        match self {
            Self::A => 0.15 + 0.002 * celsius.abs(),
            Self::B => 0.30 + 0.005 * celsius.abs(),
        }
    }
}

/// R ÷ R0 at `t` °C.
fn ratio(t: f64) -> f64 {
    let cold = if t < 0.0 { C * (t - 100.0) * t * t * t } else { 0.0 };
    1.0 + A * t + B * t * t + cold
}
