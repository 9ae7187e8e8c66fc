//! A reading typed as it is said: "2.3", "2.3 A", "2300 mA", "OL".

use super::quantity::{NumberSlip, convert, parse_number, plain};
use super::unit::Unit;
use std::cmp::Ordering;

/// What the meter shows, in the unit that was asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// A number. Never NaN.
    Value(f64),
    /// `OL`: more than the meter can show. It lies above all numbers.
    OverLimit,
}

/// Why a typed reading is asked back.
#[derive(Debug, Clone, PartialEq)]
pub enum ReadingSlip {
    /// Nothing was typed.
    Empty,
    /// The number is written in a way that could be misread.
    Number(NumberSlip, String),
    /// The words behind the number are no unit we know.
    UnknownUnit(String),
    /// Volts where amps were asked for.
    WrongUnit(Unit),
    /// DC typed where AC was asked for, or the reverse.
    WrongCurrent(Unit),
    /// `OL` on a function that has no such reading.
    NoOverLimit,
    /// Below zero on a function that shows no minus.
    BelowZero,
}

impl Reading {
    /// The reading in `text`, said in `asked`.
    ///
    /// # Errors
    /// [`ReadingSlip`] for whatever has to be asked back; nothing is guessed.
    pub fn parse(text: &str, asked: Unit) -> Result<Self, ReadingSlip> {
        Self::parse_as(text, asked, false)
    }

    /// The same; `as_difference` where it is one temperature less another: 10 °F of superheat are 5.6 °C.
    ///
    /// # Errors
    /// As [`Self::parse`].
    pub fn parse_as(text: &str, asked: Unit, as_difference: bool) -> Result<Self, ReadingSlip> {
        let text = text.trim();
        if text.is_empty() {
            return Err(ReadingSlip::Empty);
        }
        if is_over_limit(text) {
            return if asked.shows_over_limit() { Ok(Self::OverLimit) } else { Err(ReadingSlip::NoOverLimit) };
        }
        let (number, name) = split(text);
        let value = parse_number(number).map_err(|slip| ReadingSlip::Number(slip, number.to_owned()))?;
        let value = if name.is_empty() {
            value
        } else {
            let unit = Unit::parse(name).ok_or_else(|| ReadingSlip::UnknownUnit(name.to_owned()))?;
            match (unit.current(), asked.current()) {
                (Some(a), Some(b)) if a != b => return Err(ReadingSlip::WrongCurrent(unit)),
                _ => {}
            }
            convert(value, unit, asked, as_difference).ok_or(ReadingSlip::WrongUnit(unit))?
        };
        if value < 0.0 && !asked.is_signed() {
            return Err(ReadingSlip::BelowZero);
        }
        Ok(Self::Value(value))
    }

    /// The reading with its unit: "2.3 A", "OL".
    #[must_use]
    pub fn told(self, unit: Unit) -> String {
        match self {
            Self::Value(value) => format!("{} {unit}", plain(value)),
            Self::OverLimit => "OL".to_owned(),
        }
    }

    /// Orders readings, `OL` above all numbers.
    #[must_use]
    pub fn order(self, other: Self) -> Ordering {
        match (self, other) {
            (Self::Value(a), Self::Value(b)) => a.total_cmp(&b),
            (Self::OverLimit, Self::OverLimit) => Ordering::Equal,
            (Self::OverLimit, Self::Value(_)) => Ordering::Greater,
            (Self::Value(_), Self::OverLimit) => Ordering::Less,
        }
    }
}

/// `OL`, and the zero many people type for the letter.
#[must_use]
pub fn is_over_limit(text: &str) -> bool {
    ["OL", "O.L", "O.L.", "0L", "open line", "over limit"].iter().any(|name| name.eq_ignore_ascii_case(text))
}

/// The number in front and the unit behind it.
fn split(text: &str) -> (&str, &str) {
    let end = text
        .char_indices()
        .find(|(at, c)| {
            !(c.is_ascii_digit() || matches!(c, '.' | ',' | '/') || (*at == 0 && matches!(c, '-' | '−' | '+')))
        })
        .map_or(text.len(), |(at, _)| at);
    let (number, rest) = text.split_at_checked(end).unwrap_or((text, ""));
    // "5-10" is one slip, not five of the unit "-10"; "2e3" likewise.
    if number.is_empty()
        || rest.starts_with(['-', '–', 'e', 'E']) && rest.chars().nth(1).is_some_and(|c| c.is_ascii_digit())
    {
        let whole = text.split_whitespace().next().unwrap_or(text);
        return (whole, text.get(whole.len()..).unwrap_or("").trim());
    }
    (number, rest.trim())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_people_say_it() {
        let amps = Unit::parse("A").unwrap();
        let ohms = Unit::parse("ohm").unwrap();
        let volts = Unit::parse("V AC").unwrap();
        let cases: &[(&str, Unit, Result<Reading, ReadingSlip>)] = &[
            ("2.3", amps, Ok(Reading::Value(2.3))),
            ("2.3 A", amps, Ok(Reading::Value(2.3))),
            ("2.3A", amps, Ok(Reading::Value(2.3))),
            ("2300 mA", amps, Ok(Reading::Value(2.3))),
            ("2.3 amps", amps, Ok(Reading::Value(2.3))),
            ("OL", ohms, Ok(Reading::OverLimit)),
            ("0L", ohms, Ok(Reading::OverLimit)),
            ("ol", ohms, Ok(Reading::OverLimit)),
            ("1.2 kohm", ohms, Ok(Reading::Value(1200.0))),
            ("OL", amps, Err(ReadingSlip::NoOverLimit)),
            ("24 VDC", volts, Err(ReadingSlip::WrongCurrent(Unit::parse("V DC").unwrap()))),
            ("24 V", volts, Ok(Reading::Value(24.0))),
            ("24 V", amps, Err(ReadingSlip::WrongUnit(Unit::parse("V").unwrap()))),
            ("24 zorks", amps, Err(ReadingSlip::UnknownUnit("zorks".into()))),
            ("1,200", ohms, Err(ReadingSlip::Number(NumberSlip::Comma, "1,200".into()))),
            ("5-10 A", amps, Err(ReadingSlip::Number(NumberSlip::Dash, "5-10".into()))),
            ("about 5", amps, Err(ReadingSlip::Number(NumberSlip::NotANumber, "about".into()))),
            ("-3", amps, Err(ReadingSlip::BelowZero)),
            ("  ", amps, Err(ReadingSlip::Empty)),
        ];
        for (text, unit, want) in cases {
            assert_eq!(&Reading::parse(text, *unit), want, "{text:?}");
        }
    }

    #[test]
    fn over_limit_lies_above_all_numbers() {
        assert_eq!(Reading::OverLimit.order(Reading::Value(f64::MAX)), Ordering::Greater);
        assert_eq!(Reading::Value(1.0).order(Reading::Value(2.0)), Ordering::Less);
    }
}
