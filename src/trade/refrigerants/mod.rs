//! Refrigerants: boiling and condensing temperature against gauge pressure, superheat, subcooling.
//!
//! 1. [`tables`]: bubble and dew pressure at every whole °C, made by `tests/tools/refrigerants.py` with CoolProp 8.0.0.
//! 2. [`Refrigerant`] lays a cubic through the four rows round a temperature. Error bound against CoolProp: 5e-8 of
//!    the pressure, R744 2e-6, which is under 0.0001 °C; the table itself is what CoolProp is worth (printed charts
//!    agree within 0.1 psi).
//! 3. [`Site`]: gauge pressure stands on the air outside, which is thinner on a mountain.
//! 4. [`Refrigerant::superheat`] takes the dew column, [`Refrigerant::subcooling`] the bubble column: on a blend with
//!    glide the wrong column is off by 6 °C.
//!
//! Pressures are kPa, gauge where a [`Site`] is asked for and absolute where not; temperatures °C.
//! Range: −50 to 60 °C; R744 to 30 °C, just under its critical point. Outside is an error that says the range.

mod site;
mod tables;

pub use site::Site;

use super::dimension::Dimension;
use super::range::RangeError;

/// Lowest temperature of every table, °C. The first row stands one degree below it.
pub const LOWEST: f64 = -50.0;
const FIRST_ROW: f64 = LOWEST - 1.0;

/// Steps of Newton's rule in the inverse: a straight line between rows is at most 0.01 row off, three steps leave
/// less than the last digit.
const STEPS: u8 = 3;

/// A refrigerant with a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names are the trade's own")]
pub enum Refrigerant {
    R134a,
    R290,
    R404A,
    R448A,
    R449A,
    R744,
}

/// The two sides of a table: a boiling liquid's last bubble, a vapor's first dew.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Liquid about to boil; condensing, subcooling.
    Bubble,
    /// Vapor about to condense; evaporating, superheat.
    Dew,
}

/// One refrigerant's rows and the highest temperature they serve, °C.
struct Curves {
    high: f64,
    saturation: Saturation,
}

/// Rows of pressure, kPa absolute.
enum Saturation {
    /// Bubble and dew are one.
    Single(&'static [f64]),
    /// A blend, whose temperature glides while it boils.
    Blend { bubble: &'static [f64], dew: &'static [f64] },
}

impl Refrigerant {
    /// Every refrigerant with a table.
    pub const ALL: [Self; 6] = [Self::R134a, Self::R290, Self::R404A, Self::R448A, Self::R449A, Self::R744];

    /// Their names, as they are written.
    pub const NAMES: [&'static str; 6] = ["R134a", "R290", "R404A", "R448A", "R449A", "R744"];

    /// The refrigerant of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().zip(Self::NAMES).find(|(_, own)| *own == name).map(|(refrigerant, _)| refrigerant)
    }

    /// The temperature, °C, at which it boils or condenses under `gauge` kPa at `site`.
    ///
    /// # Errors
    /// [`RangeError::Outside`] with the pressures the table runs between, as a gauge at the site shows them.
    pub fn temperature(self, side: Side, gauge: f64, site: Site) -> Result<f64, RangeError> {
        let rows = self.rows(side);
        let high = self.curves().high;
        let (least, most) = (at(rows, LOWEST), at(rows, high));
        let (low, top) = (least - site.kpa(), most - site.kpa());
        RangeError::check(self.table(), gauge, low, top, Dimension::PRESSURE)?;
        let pressure = gauge + site.kpa();
        let after = rows.partition_point(|row| *row < pressure);
        let (from, [c0, c1, c2, c3]) = cubic(rows, after.saturating_sub(1));
        let span = c1 + c2 + c3;
        let mut s = (pressure - c0) / span;
        for _ in 0..STEPS {
            s -= (c0 + s * (c1 + s * (c2 + s * c3)) - pressure) / (c1 + s * (2.0 * c2 + s * (3.0 * c3)));
        }
        Ok((FIRST_ROW + from + s).clamp(LOWEST, high))
    }

    /// The gauge pressure, kPa, at `site` at which it boils or condenses at `celsius`.
    ///
    /// # Errors
    /// [`RangeError::Outside`] with the temperatures the table runs between.
    pub fn pressure(self, side: Side, celsius: f64, site: Site) -> Result<f64, RangeError> {
        let t = RangeError::check(self.table(), celsius, LOWEST, self.curves().high, Dimension::TEMPERATURE)?;
        Ok(at(self.rows(side), t) - site.kpa())
    }

    /// Superheat, °C of difference: the suction line's temperature less the dew temperature at the suction pressure.
    /// R448A at 45 psi with the line at 33.8 °F: 12.9 °F; with the bubble column it would be 24.0.
    ///
    /// # Errors
    /// As for [`Refrigerant::temperature`].
    pub fn superheat(self, suction: f64, line_celsius: f64, site: Site) -> Result<f64, RangeError> {
        Ok(line_celsius - self.temperature(Side::Dew, suction, site)?)
    }

    /// Subcooling, °C of difference: the bubble temperature at the liquid pressure less the liquid line's temperature.
    ///
    /// # Errors
    /// As for [`Refrigerant::temperature`].
    pub fn subcooling(self, liquid: f64, line_celsius: f64, site: Site) -> Result<f64, RangeError> {
        Ok(self.temperature(Side::Bubble, liquid, site)? - line_celsius)
    }

    /// The rows of one side, kPa absolute, at every whole °C from −51: what a page's script needs.
    #[must_use]
    pub fn rows(self, side: Side) -> &'static [f64] {
        match (&self.curves().saturation, side) {
            (Saturation::Single(rows), _)
            | (Saturation::Blend { bubble: rows, .. }, Side::Bubble)
            | (Saturation::Blend { dew: rows, .. }, Side::Dew) => rows,
        }
    }

    fn curves(self) -> &'static Curves {
        match self {
            Self::R134a => &tables::R134A,
            Self::R290 => &tables::R290,
            Self::R404A => &tables::R404A,
            Self::R448A => &tables::R448A,
            Self::R449A => &tables::R449A,
            Self::R744 => &tables::R744,
        }
    }

    fn table(self) -> &'static str {
        match self {
            Self::R134a => "the R134a table",
            Self::R290 => "the R290 table",
            Self::R404A => "the R404A table",
            Self::R448A => "the R448A table",
            Self::R449A => "the R449A table",
            Self::R744 => "the R744 table",
        }
    }
}

/// The pressure at `celsius`, kPa absolute.
fn at(rows: &[f64], celsius: f64) -> f64 {
    let above = celsius - FIRST_ROW;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked to lie within the table")]
    let row = above as usize;
    let (from, [c0, c1, c2, c3]) = cubic(rows, row);
    let s = above - from;
    c0 + s * (c1 + s * (c2 + s * c3))
}

/// The cubic from row `row` to the next, through the rows before and after them too, as powers of the share of the
/// step; with the row it starts from, which at the ends is the nearest that has rows on both sides.
fn cubic(rows: &[f64], row: usize) -> (f64, [f64; 4]) {
    let row = row.clamp(1, rows.len().saturating_sub(3));
    let Some([a, b, c, d]) = rows.get(row - 1..row + 3).and_then(|four| <&[f64; 4]>::try_from(four).ok()) else {
        return (0.0, [f64::NAN; 4]);
    };
    #[expect(clippy::cast_precision_loss, reason = "a row of about a hundred")]
    let from = row as f64;
    (from, [*b, (6.0 * c - 2.0 * a - 3.0 * b - d) / 6.0, (a - 2.0 * b + c) / 2.0, (3.0 * b - a - 3.0 * c + d) / 6.0])
}
