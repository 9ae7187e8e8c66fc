//! Printing: the shop's units, the step of a meter, never false digits.
//!
//! Two kinds of number are printed. A *reading* ends at the step of the meter that showed it: 208.0 V on a meter
//! that shows tenths, 208 V on one that does not ([`at_step`]). A *computed* value has no step of its own; three
//! digits are as many as the trade's meters carry (four where the first is a 1, which keeps the rounding under
//! half a percent and under the usual one percent of the meter), and [`told`] prints no more.

use super::dimension::Dimension;
use super::quantity::{computed, from_base, plain};
use super::unit::Unit;

/// The degrees a shop works in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Degrees {
    /// °F, pressures in psi.
    #[default]
    Fahrenheit,
    /// °C, pressures in kPa.
    Celsius,
}

/// `value`, in base units, as a sentence prints it: in the unit a shop would use for a value of that size,
/// three digits (four behind a leading 1); temperatures to the tenth of a degree.
#[must_use]
pub fn told(value: f64, dimension: Dimension, degrees: Degrees) -> String {
    worded(value, unit_for(value, dimension, degrees), dimension, three_digits)
}

/// The same with five digits: for what was given, where rounding could put it on the other side of a limit.
#[must_use]
pub fn told_closely(value: f64, dimension: Dimension, degrees: Degrees) -> String {
    worded(value, unit_for(value, dimension, degrees), dimension, five_digits)
}

/// The two ends of a range, rounded inwards to three digits (temperatures to a tenth), so that nothing printed as
/// inside is outside. Pressures both in the unit of the larger.
#[must_use]
pub fn told_range(low: f64, high: f64, dimension: Dimension, degrees: Degrees) -> [String; 2] {
    let size = low.abs().max(high.abs());
    let unit = |end: f64| unit_for(if dimension == Dimension::PRESSURE { size } else { end }, dimension, degrees);
    [
        worded(low, unit(low), dimension, |low| up_to_step(low, third_digit(low))),
        worded(high, unit(high), dimension, |high| down_to_step(high, third_digit(high))),
    ]
}

/// The step of the third digit of `value`.
fn third_digit(value: f64) -> f64 {
    let text = format!("{value:.2e}");
    let power = text.split_once('e').and_then(|(_, power)| power.parse::<i32>().ok()).unwrap_or(0);
    format!("1e{}", power - 2).parse().unwrap_or(1.0)
}

fn worded(value: f64, unit: Option<Unit>, dimension: Dimension, cut: fn(f64) -> f64) -> String {
    let Some(unit) = unit else { return plain(cut(value)) };
    let shown = from_base(value, unit, dimension == Dimension::TEMPERATURE_DIFFERENCE);
    let tenths = dimension.like(Dimension::TEMPERATURE);
    let shown = if tenths { at_step(shown, 0.1) } else { plain(cut(shown)) };
    format!("{} {unit}", trimmed(&shown))
}

fn five_digits(value: f64) -> f64 {
    format!("{value:.4e}").parse().unwrap_or(value)
}

/// The unit a shop says a value of this size in: 0.0000023 A is 2.3 uA, 12,000 W is 12 kW.
/// `None` for a plain number and for products nobody reads off a meter.
#[must_use]
pub fn unit_for(value: f64, dimension: Dimension, degrees: Degrees) -> Option<Unit> {
    let size = value.abs();
    let celsius = degrees == Degrees::Celsius;
    let by_size = |steps: &[(f64, &'static str)], least: &'static str| {
        steps.iter().find(|(from, _)| size >= *from).map_or(least, |(_, symbol)| *symbol)
    };
    let symbol = match dimension {
        Dimension::VOLTS => by_size(&[(1.0, "V"), (f64::MIN_POSITIVE, "mV")], "V"),
        Dimension::AMPS => by_size(&[(0.1, "A"), (0.001, "mA"), (f64::MIN_POSITIVE, "uA")], "A"),
        Dimension::OHMS => by_size(&[(1e6, "Mohm"), (1e4, "kohm")], "ohm"),
        Dimension::WATTS => by_size(&[(1e4, "kW")], "W"),
        Dimension::FARADS => "uF",
        Dimension::ENERGY => "Btu",
        Dimension::TIME => by_size(&[(7200.0, "h"), (120.0, "min")], "s"),
        Dimension::FREQUENCY => "Hz",
        Dimension::TEMPERATURE | Dimension::TEMPERATURE_DIFFERENCE => {
            if celsius {
                "°C"
            } else {
                "°F"
            }
        }
        Dimension::PRESSURE if celsius => "kPa",
        Dimension::PRESSURE => by_size(&[(6.0, "psi"), (f64::MIN_POSITIVE, "inWC")], "psi"),
        Dimension::VOLUME => "gal",
        Dimension::FLOW => "gpm",
        Dimension::LENGTH => by_size(&[(3048.0, "ft")], "in"),
        Dimension::COUNT => "times",
        _ => return None,
    };
    Unit::of(symbol)
}

/// `value` rounded to the step of the meter and printed with that step's decimals, zeros included:
/// 208.0 at 0.1, 12.80 at 0.01, 205 at 5.
#[must_use]
pub fn at_step(value: f64, step: f64) -> String {
    let text = format!("{:.*}", decimals(step), to_step(value, step, f64::round));
    match text.strip_prefix('-') {
        Some(zero) if zero.bytes().all(|b| matches!(b, b'0' | b'.')) => zero.to_owned(),
        _ => text,
    }
}

/// The last step of the meter at or below `value`: a computed lower limit, rounded outwards.
#[must_use]
pub fn down_to_step(value: f64, step: f64) -> f64 {
    to_step(value, step, f64::floor)
}

/// The first step of the meter at or above `value`: a computed upper limit, rounded outwards.
#[must_use]
pub fn up_to_step(value: f64, step: f64) -> f64 {
    to_step(value, step, f64::ceil)
}

/// Three digits, four where the first is a 1: as many as a sum of meter readings is worth.
#[must_use]
pub fn three_digits(value: f64) -> f64 {
    let text = format!("{value:.2e}");
    let digits = if text.trim_start_matches('-').starts_with('1') { 3 } else { 2 };
    format!("{value:.digits$e}").parse().unwrap_or(value)
}

/// How many decimals a step has: 0.1 has one, 0.05 two, 5 none.
fn decimals(step: f64) -> usize {
    plain(step).split_once('.').map_or(0, |(_, fraction)| fraction.len())
}

/// Counts the steps in `value` after the ninth digit has been rounded off, so that 0.3 is three steps of 0.1 and not
/// 2.9999999999999996; then writes the count back as a decimal, so that it compares equal to the same number typed.
fn to_step(value: f64, step: f64, round: fn(f64) -> f64) -> f64 {
    if step <= 0.0 || !value.is_finite() {
        return value;
    }
    let near = round(computed(value / step)) * step;
    let near = format!("{near:.*}", decimals(step)).parse().unwrap_or(near);
    if near == 0.0 { 0.0 } else { near }
}

/// "180.0" said as "180".
fn trimmed(text: &str) -> &str {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_ends_at_the_step_of_its_meter() {
        for (value, step, want) in [
            (208.0, 0.1, "208.0"),
            (12.8, 0.01, "12.80"),
            (204.0, 5.0, "205"),
            (0.04, 0.1, "0.0"),
            (-0.04, 0.1, "0.0"),
            (-7.27, 0.1, "-7.3"),
            (2.345, 0.05, "2.35"),
        ] {
            assert_eq!(at_step(value, step), want, "{value} at {step}");
        }
    }

    #[test]
    fn limits_round_outwards_and_a_step_stays_where_it_is() {
        for (value, step, down, up) in [
            (29.34, 0.1, 29.3, 29.4),
            (0.3, 0.1, 0.3, 0.3),
            (0.1 + 0.2, 0.1, 0.3, 0.3),
            (-0.05, 0.1, -0.1, 0.0),
            (35.8, 0.1, 35.8, 35.8),
            (1207.0, 5.0, 1205.0, 1210.0),
        ] {
            assert_eq!((down_to_step(value, step), up_to_step(value, step)), (down, up), "{value} at {step}");
        }
    }

    #[test]
    fn computed_values_carry_no_false_digits() {
        use Dimension as D;
        for (value, dimension, want) in [
            (4131.111, D::WATTS, "4130 W"),
            (12_000.0, D::WATTS, "12 kW"),
            (0.0000023, D::AMPS, "2.3 uA"),
            (2.2875, D::AMPS, "2.29 A"),
            (18.75, D::AMPS, "18.75 A"),
            (1079.35, D::OHMS, "1079 ohm"),
            (28_704.3, D::OHMS, "28.7 kohm"),
            (0.0196078, D::NONE, "0.01961"),
            (7.1699, D::TEMPERATURE_DIFFERENCE, "12.9 °F"),
            (-6.1699, D::TEMPERATURE, "20.9 °F"),
            (100.0, D::TEMPERATURE, "212 °F"),
            (0.871_811, D::PRESSURE, "3.5 inWC"),
            (310.264, D::PRESSURE, "45 psi"),
            (0.006_34, D::VOLTS, "6.34 mV"),
            (0.0, D::VOLTS, "0 V"),
            (22.818e-6, D::FARADS, "22.8 uF"),
        ] {
            assert_eq!(told(value, dimension, Degrees::Fahrenheit), want);
        }
        assert_eq!(told(7.1699, D::TEMPERATURE_DIFFERENCE, Degrees::Celsius), "7.2 °C");
    }
}
