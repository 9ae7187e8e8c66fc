//! How far an element may be off its rating.
//!
//! "Watts +5/−10 %" and "ohms −5/+10 %" are not the same numbers, though catalogs print one for the other: watts
//! +5/−10 % is ohms −4.76/+11.1 %; ohms −5/+10 % is watts −9.09/+5.26 %. A nameplate has to say which is given.

use super::element::Element;
use crate::trade::meter::accuracy::Accuracy;

/// A tolerance, and what it is a tolerance of. Ratios of the rating: 0.05 is 5 %.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tolerance {
    /// Of the watts at rated volts.
    Watts {
        /// How far above the rating.
        above: f64,
        /// How far below.
        below: f64,
    },
    /// Of the ohms.
    Ohms {
        /// How far above the rating.
        above: f64,
        /// How far below.
        below: f64,
    },
}

impl Tolerance {
    /// Watts +5/−10 %, what the trade expects of a sheathed element.
    /// Source: a maker's catalog of tubular elements calls it the industry standard.
    pub const SHEATHED: Self = Self::Watts { above: 0.05, below: 0.10 };

    /// Lowest and highest ohms of an element within it.
    #[must_use]
    pub fn ohms(self, element: Element) -> (f64, f64) {
        let ohms = element.ohms();
        match self {
            Self::Watts { above, below } => (ohms / (1.0 + above), ohms / (1.0 - below)),
            Self::Ohms { above, below } => (ohms * (1.0 - below), ohms * (1.0 + above)),
        }
    }

    /// Lowest and highest watts at rated volts of an element within it.
    #[must_use]
    pub fn watts(self, element: Element) -> (f64, f64) {
        match self {
            Self::Watts { above, below } => (element.watts * (1.0 - below), element.watts * (1.0 + above)),
            Self::Ohms { above, below } => (element.watts / (1.0 + above), element.watts / (1.0 - below)),
        }
    }

    /// Lowest and highest ohms that a meter may show on an element within it: widened by the meter's own accuracy at
    /// each end. At a few ohms the meter's share is as large as the element's.
    #[must_use]
    pub fn ohms_shown(self, element: Element, meter: Accuracy) -> (f64, f64) {
        let (low, high) = self.ohms(element);
        (meter.window(low).0, meter.window(high).1)
    }
}
