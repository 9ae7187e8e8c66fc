//! Numbers as people write them, exact in their decimals, and the change from one unit to another.
//!
//! A decimal of at most fifteen digits has one nearest machine number and comes back from it unchanged, so the
//! same decimals always compare equal. A change by a power of ten moves the decimal point in the text and is exact;
//! any other change is computed and rounded to nine significant digits, as every computed reading is.

use super::dimension::Dimension;
use super::unit::Unit;
use std::fmt;

/// Why a number cannot be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NumberSlip {
    /// `1,200`: a comma between the digits.
    Comma,
    /// `1/8`: a fraction.
    Fraction,
    /// `5-10`: two numbers with a dash.
    Dash,
    /// `1e3`: an exponent.
    Exponent,
    /// More than fifteen digits, which no meter shows.
    TooLong,
    /// No number at all.
    NotANumber,
}

/// Most digits a number may be written with; beyond it decimals would not come back unchanged.
pub const MOST_DIGITS: usize = 15;

/// The number written as `text`: digits with at most one point, a minus in front if below zero.
///
/// # Errors
/// [`NumberSlip`] says which common way of writing it was, so that the message can say what to write instead.
pub fn parse_number(text: &str) -> Result<f64, NumberSlip> {
    let bare = text.strip_prefix(['-', '−', '+']).unwrap_or(text);
    let minus = text.starts_with(['-', '−']);
    let plain = !bare.is_empty()
        && bare.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        && bare.bytes().filter(|b| *b == b'.').count() <= 1
        && bare.bytes().any(|b| b.is_ascii_digit());
    if !plain {
        return Err(slip_of(bare));
    }
    let significant = bare.bytes().filter(u8::is_ascii_digit).skip_while(|b| *b == b'0').count();
    if significant > MOST_DIGITS || bare.len() > 2 * MOST_DIGITS {
        return Err(NumberSlip::TooLong);
    }
    let value: f64 = bare.parse().map_err(|_| NumberSlip::NotANumber)?;
    Ok(if minus && value != 0.0 { -value } else { value })
}

fn slip_of(bare: &str) -> NumberSlip {
    let all = |extra: &[u8]| {
        bare.starts_with(|c: char| c.is_ascii_digit())
            && bare.bytes().any(|b| extra.contains(&b))
            && bare.bytes().all(|b| b.is_ascii_digit() || b == b'.' || extra.contains(&b))
    };
    if all(b",") {
        NumberSlip::Comma
    } else if all(b"/") {
        NumberSlip::Fraction
    } else if all("-–".as_bytes()) {
        NumberSlip::Dash
    } else if all(b"eE+-") {
        NumberSlip::Exponent
    } else {
        NumberSlip::NotANumber
    }
}

/// The number in plain decimals, never with an exponent, never "-0".
#[must_use]
pub fn plain(value: f64) -> String {
    Plain(value).to_string()
}

/// Prints a number as [`plain`] does.
#[derive(Debug, Clone, Copy)]
pub struct Plain(pub f64);

impl fmt::Display for Plain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        #[expect(clippy::cast_possible_truncation, reason = "a whole number far below the largest")]
        let whole =
            if self.0.abs() < 1e15 { Some(self.0 as i64).filter(|whole| *whole as f64 == self.0) } else { None };
        match whole {
            // Most numbers people write are whole, and those print several times as fast so.
            Some(whole) => write!(f, "{whole}"),
            None => write!(f, "{}", self.0),
        }
    }
}

/// A computed value as it is compared: rounded to nine significant digits, halves away from zero.
#[must_use]
pub fn computed(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { 0.0 } else { value };
    }
    if let Some(rounded) = rounded_fast(value) {
        return rounded;
    }
    let nine = format!("{value:.8e}");
    let rounded = nine.parse().unwrap_or(value);
    // The formatter takes an exact tie to the even digit; a tie is mended by the next digit of the exact decimals.
    let exact = format!("{value:.40e}");
    let tie = exact.split_once('e').is_some_and(|(digits, _)| {
        let rest = digits.trim_start_matches('-').get(10..).unwrap_or("");
        rest.starts_with('5') && rest.bytes().skip(1).all(|b| b == b'0')
    });
    if tie && f64::abs(rounded) < value.abs() { away(&nine).unwrap_or(rounded) } else { rounded }
}

/// The same by arithmetic, where it is sure to give the same: the digits are no near tie, and both the digits and the power of
/// ten are exact numbers of the machine, so that one division or multiplication rounds to the nearest.
fn rounded_fast(value: f64) -> Option<f64> {
    #[expect(clippy::cast_possible_truncation, reason = "the exponent of a finite number is small")]
    let power = 8 - value.abs().log10().floor() as i32;
    if !(-22..=22).contains(&power) {
        return None;
    }
    let ten = 10_f64.powi(power.abs());
    let scaled = if power >= 0 { value * ten } else { value / ten };
    let digits = scaled.round();
    let off = (scaled - digits).abs();
    // A tie has to be looked at digit by digit; at the ends of a decade the logarithm may be one off.
    if off > 0.499 || digits.abs() >= 999_999_999.0 || digits.abs() <= 100_000_000.0 {
        return None;
    }
    Some(if power >= 0 { digits / ten } else { digits * ten })
}

/// The nine digits of `text` (`1.28007812e2`) with the last one raised.
fn away(text: &str) -> Option<f64> {
    let (digits, exponent) = text.split_once('e')?;
    let minus = digits.starts_with('-');
    let whole: i64 = digits.replace(['.', '-'], "").parse().ok()?;
    let exponent: i32 = exponent.parse().ok()?;
    format!("{}{}e{}", if minus { "-" } else { "" }, whole + 1, exponent - 8).parse().ok()
}

/// `value` in `from`, said in `to`. `as_difference` where it is a difference of temperatures.
/// `None` where the two units measure different things.
///
/// Exact between powers of ten of one unit; else rounded to nine significant digits.
#[must_use]
pub fn convert(value: f64, from: Unit, to: Unit, as_difference: bool) -> Option<f64> {
    if !from.dimension().like(to.dimension()) {
        return None;
    }
    let (a, b) = (from.row(), to.row());
    if a.symbol == b.symbol {
        return Some(value);
    }
    #[expect(clippy::float_cmp, reason = "the same constant of the table, not a computed value")]
    if a.factor == b.factor && a.zero == b.zero {
        return Some(shift(value, a.power - b.power));
    }
    let zeros = from.dimension() == Dimension::TEMPERATURE && !as_difference;
    let (from_zero, to_zero) = if zeros { (a.zero, b.zero) } else { (0.0, 0.0) };
    let base = (value - from_zero) * a.factor;
    Some(computed(shift(base, a.power - b.power) / b.factor + to_zero))
}

/// `value` in the base units of its dimension (V, A, s, °C, kPa, liter, mm and their products): what functions and circuits compute in.
#[must_use]
pub fn to_base(value: f64, unit: Unit, as_difference: bool) -> f64 {
    let row = unit.row();
    let zero = if unit.dimension() == Dimension::TEMPERATURE && !as_difference { row.zero } else { 0.0 };
    shift((value - zero) * row.factor, row.power)
}

/// The inverse of [`to_base`], rounded to nine significant digits.
#[must_use]
pub fn from_base(value: f64, unit: Unit, as_difference: bool) -> f64 {
    let row = unit.row();
    let zero = if unit.dimension() == Dimension::TEMPERATURE && !as_difference { row.zero } else { 0.0 };
    computed(shift(value, -row.power) / row.factor + zero)
}

/// Moves the decimal point: exact, unlike a multiplication by 0.001.
fn shift(value: f64, power: i8) -> f64 {
    if power == 0 || value == 0.0 || !value.is_finite() {
        return value;
    }
    format!("{value:e}")
        .split_once('e')
        .and_then(|(digits, exponent)| {
            let exponent: i32 = exponent.parse().ok()?;
            format!("{digits}e{}", exponent + i32::from(power)).parse().ok()
        })
        .unwrap_or(value)
}

/// What was meant by a number with a comma in it: "1,200" is "1200", "2,5" is "2.5". `None` where it comes to no number.
#[must_use]
pub fn without_comma(text: &str) -> Option<String> {
    let thousands = text.split([',', '.']).skip(1).all(|group| group.len() == 3) && !text.starts_with('0');
    let better = if thousands { text.replace(',', "") } else { text.replacen(',', ".", 1) };
    parse_number(&better).is_ok().then_some(better)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(text: &str) -> Unit {
        Unit::parse(text).unwrap()
    }

    /// The short way gives the very number the long way of digits gives.
    #[test]
    fn rounding_by_arithmetic_is_rounding_by_digits() {
        let mut seed = 11_u64;
        for _ in 0..50_000 {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            #[expect(clippy::cast_precision_loss, reason = "any number will do")]
            let value = ((seed >> 11) as f64 / 1e15 - 4.0) * 10_f64.powi(i32::try_from(seed % 25).unwrap() - 12);
            if let Some(fast) = rounded_fast(value) {
                let slow: f64 = format!("{value:.8e}").parse().unwrap();
                assert_eq!(fast.to_bits(), slow.to_bits(), "{value:e}");
            }
        }
    }

    #[test]
    fn numbers_and_the_slips_people_make() {
        let cases = [
            ("5", Ok(5.0)),
            ("0.5", Ok(0.5)),
            (".5", Ok(0.5)),
            ("-3", Ok(-3.0)),
            ("−3", Ok(-3.0)),
            ("-0", Ok(0.0)),
            ("1,200", Err(NumberSlip::Comma)),
            ("1/8", Err(NumberSlip::Fraction)),
            ("5-10", Err(NumberSlip::Dash)),
            ("1e3", Err(NumberSlip::Exponent)),
            ("1.2.3", Err(NumberSlip::NotANumber)),
            ("ten", Err(NumberSlip::NotANumber)),
            ("", Err(NumberSlip::NotANumber)),
            ("1234567890123456", Err(NumberSlip::TooLong)),
        ];
        for (text, want) in cases {
            assert_eq!(parse_number(text), want, "{text:?}");
        }
    }

    #[test]
    fn a_power_of_ten_is_exact() {
        for (value, from, to, want) in [
            (2300.0, "mA", "A", 2.3),
            (0.0047, "A", "mA", 4.7),
            (2.2, "Mohm", "ohm", 2_200_000.0),
            (1.1, "uA", "A", 0.000_001_1),
        ] {
            assert_eq!(convert(value, unit(from), unit(to), false), Some(want), "{value} {from}");
        }
        assert_eq!(convert(1.0, unit("V"), unit("A"), false), None);
    }

    #[test]
    fn computed_values_round_ties_away_from_zero_as_a_page_script_does() {
        for (value, want) in [
            (128.007_812_5, 128.007_813),
            (-128.007_812_5, -128.007_813),
            (1.0 / 3.0, 0.333_333_333),
            (2.0 / 3.0, 0.666_666_667),
            (0.1 + 0.2, 0.3),
            (5.0, 5.0),
            (0.0, 0.0),
        ] {
            assert_eq!(computed(value), want, "{value}");
        }
    }

    #[test]
    fn temperatures_convert_with_their_zero_and_differences_without() {
        assert_eq!(convert(212.0, unit("F"), unit("C"), false), Some(100.0));
        assert_eq!(convert(10.0, unit("F"), unit("C"), true), Some(5.555_555_56));
        assert_eq!(convert(-40.0, unit("C"), unit("F"), false), Some(-40.0));
    }

    #[test]
    fn pressures() {
        // Source: shared reference data, conversions: 1 psi is 27.68 in. w.c. (27.7 in the trade).
        let inches = convert(1.0, unit("psi"), unit("inWC"), false).unwrap();
        assert!((inches - 27.68).abs() < 0.005, "{inches}");
    }

    #[test]
    fn base_units_and_back() {
        for (value, name) in
            [(4.7, "uF"), (350.0, "°F"), (3.5, "inWC"), (25.0, "min"), (12.0, "kW"), (1.15, "gpm"), (5.0, "%")]
        {
            let there = to_base(value, unit(name), false);
            assert_eq!(from_base(there, unit(name), false), value, "{value} {name}");
        }
    }
}
