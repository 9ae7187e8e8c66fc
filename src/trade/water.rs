//! Water on the way to the rinse: how far a heater warms a flow, and where water boils.
//!
//! Base units: watts, liters a second, °C, mm of altitude, kPa.

use super::dimension::Dimension;
use super::range::RangeError;

/// Millimeters in a foot.
pub const FOOT: f64 = 304.8;

/// What a liter of water takes for a degree, joules: 0.983 kg × 4184 J, as near 60 °C. Within 0.5 % from 20 to 90 °C.
/// Source: water's density at 60 °C, 0.983 kg/L, and specific heat, from memory; held to a booster worked at 1.15 gpm.
pub const HEAT_OF_A_LITER: f64 = 0.983 * 4184.0;

/// Degrees C by which `watts` warm a flow of `liters_a_second`. 12 kW warms 1.15 gpm by 72.4 °F.
#[must_use]
pub fn rise(watts: f64, liters_a_second: f64) -> f64 {
    watts / (liters_a_second * HEAT_OF_A_LITER)
}

/// Watts that warm a flow of `liters_a_second` by `degrees` C, the inverse of [`rise`].
/// The trade's rule is kW = gph × °F ÷ 410, which is 2 % more.
#[must_use]
pub fn watts_for(liters_a_second: f64, degrees: f64) -> f64 {
    liters_a_second * HEAT_OF_A_LITER * degrees
}

/// °C at which water boils at each thousand feet from sea level up.
/// Source: CoolProp 8.0.0 at the pressure of the standard atmosphere (PsychroLib 2.5.0).
pub const BOILS: [f64; 9] = [99.97, 98.96, 97.95, 96.93, 95.92, 94.90, 93.89, 92.87, 91.85];

/// °C at which water boils at an altitude in feet: what a probe has to read in a pot of it. A straight line between
/// the thousands, within 0.02 °C; the weather moves it by half a degree.
///
/// # Errors
/// [`RangeError::Outside`] below sea level or above 8000 ft.
pub fn boils_at(feet: f64) -> Result<f64, RangeError> {
    RangeError::check("the table of boiling points", feet * FOOT, 0.0, 8000.0 * FOOT, Dimension::LENGTH)?;
    let thousands = feet / 1000.0;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked: 0 to 8")]
    let row = (thousands as usize).min(BOILS.len() - 2);
    let (Some(low), Some(high)) = (BOILS.get(row), BOILS.get(row + 1)) else {
        return Err(RangeError::NoAnswer("the table of boiling points ends at 8000 ft"));
    };
    #[expect(clippy::cast_precision_loss, reason = "0 to 7")]
    let share = thousands - row as f64;
    Ok(low + share * (high - low))
}
