//! Numbers with their units.

use super::piece::Piece;
use super::reader::{Reader, mend};
use super::syntax::Amount;
use crate::text::rule::{Level, Rule};
use crate::trade::dimension::Dimension;
use crate::trade::quantity::{MOST_DIGITS, NumberSlip, parse_number, plain, without_comma};

/// A number written so that it could be misread.
pub static NUMBER_FORM: Rule = Rule {
    code: "number-form",
    level: Level::Error,
    says: "A number is digits with at most one point.",
    why: "`5-10` may mean five to ten or five less ten, `1,200` may be one and a fifth, and a fraction is no meter reading.",
    wrong: "measure A through L1\nif 5-10 A go to fuses",
    mended: "measure A through L1\nif 5 to 10 A go to fuses",
};

/// A number without a unit.
pub static MISSING_UNIT: Rule = Rule {
    code: "missing-unit",
    level: Level::Error,
    says: "Numbers carry units.",
    why: "A bare number is read in whatever unit the meter is set to, and a thousandth or a thousand times is soon wrong.",
    wrong: "measure A through L1\nif below 5 go to fuses",
    mended: "measure A through L1\nif below 5 A go to fuses",
};

/// A time was asked for.
pub static NOT_A_TIME: Rule = Rule {
    code: "not-a-time",
    level: Level::Error,
    says: "`wait`, `takes` and `over` take a time: seconds, minutes or hours.",
    why: "The timer of the walk and the order advice count in time.",
    wrong: "wait 5 V or until the light goes out",
    mended: "wait 5 minutes or until the light goes out",
};

/// What a number has to have behind it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wants {
    /// A unit.
    Unit,
    /// A unit of time.
    Time,
    /// A unit or none.
    Either,
}

/// The amount written as `whole`.
pub(super) fn amount<'s>(reader: &mut Reader<'s>, line: Piece<'s>, whole: Piece<'s>, wants: Wants) -> Option<Amount> {
    let whole = whole.trim();
    let end = number_end(whole.text);
    let digits = whole.part(0, end);
    let unit_piece = Some(whole.rest(end).trim()).filter(|unit| !unit.is_empty());
    // "1 1/8 in", "5 - 10 A": the number goes on in what was read as the unit.
    if let Some(unit) = unit_piece.filter(|unit| goes_on(unit.text)) {
        let number = digits.to(unit, line);
        reader.refuse(&NUMBER_FORM, number.span(), two_numbers(number.text), two_mended(line, digits, unit));
        return None;
    }
    let value = number(reader, line, digits);
    let unit = match unit_piece {
        Some(piece) => Some(reader.unit(line, piece)?),
        None => None,
    };
    let value = value?;
    match (wants, unit) {
        (Wants::Unit | Wants::Time, None) => {
            let hint = if wants == Wants::Time { Some("minutes".to_owned()) } else { hint(reader) };
            let instead = hint.map(|unit| mend(line, whole.span(), &format!("{} {unit}", whole.text)));
            reader.refuse(&MISSING_UNIT, whole.span(), format!("`{}` has no unit.", whole.text), instead);
            return None;
        }
        (Wants::Time, Some(unit)) if unit.unit.dimension() != Dimension::TIME => {
            let message = format!("`{}` is not a time: a time is in seconds, minutes or hours.", whole.text);
            reader.refuse(&NOT_A_TIME, whole.span(), message, None);
            return None;
        }
        _ => {}
    }
    Some(Amount { value, unit, span: whole.span() })
}

/// Where the number ends that `text` starts with; where it starts with none, its first word.
fn number_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let sign = ["-", "−", "+"].iter().find(|sign| text.starts_with(**sign)).map_or(0, |sign| sign.len());
    let mut at = sign;
    while let Some(byte) = bytes.get(at) {
        let more = match byte {
            b'0'..=b'9' | b'.' => 1,
            // What has to be refused as one number: `1,200`, `1/8`, `5-10`, `1e3`.
            b',' | b'/' | b'-' if digit(at + 1) => 1,
            _ if at > sign && text.get(at..).is_some_and(|rest| rest.starts_with('–')) && digit(at + 3) => 3,
            b'e' | b'E'
                if at > sign && (digit(at + 1) || matches!(bytes.get(at + 1), Some(b'-' | b'+')) && digit(at + 2)) =>
            {
                2
            }
            _ => 0,
        };
        if more == 0 {
            break;
        }
        at += more;
    }
    if at == sign { text.find(' ').unwrap_or(text.len()) } else { at }
}

/// Whether `text` starts as a number does.
pub(super) fn starts_number(text: &str) -> bool {
    text.trim_start_matches(['-', '−', '+', '.']).starts_with(|c: char| c.is_ascii_digit())
}

/// Whether the number `text` starts with is nothing at all: `0`, `0.0 A`.
pub(super) fn is_zero(text: &str) -> bool {
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
    text.get(..end).is_some_and(|number| number.parse::<f64>().is_ok_and(|number| number == 0.0))
}

fn hint(reader: &Reader<'_>) -> Option<String> {
    reader.measured_unit().map(|unit| unit.with_current(None).to_string())
}

fn goes_on(unit: &str) -> bool {
    second(unit).starts_with(|c: char| c.is_ascii_digit())
}

/// What stands behind a dash or `to`.
fn second(unit: &str) -> &str {
    unit.strip_prefix("to ").unwrap_or(unit).trim_start_matches(['-', '–', '−']).trim_start()
}

fn two_numbers(text: &str) -> String {
    format!("`{text}` is more than one number.")
}

/// "5 - 10 A" as "5 to 10 A" where a limit goes, else as "10 A".
fn two_mended(line: Piece<'_>, digits: Piece<'_>, unit: Piece<'_>) -> Option<String> {
    let to = second(unit.text);
    let better = if takes_stretch(line) { format!("{} to {to}", digits.text) } else { to.to_owned() };
    (to.len() < unit.text.len()).then(|| mend(line, digits.to(unit, line).span(), &better))
}

/// The number written as `piece`, or a problem that says what to write instead.
pub(super) fn number<'s>(reader: &mut Reader<'s>, line: Piece<'s>, piece: Piece<'s>) -> Option<f64> {
    let slip = match parse_number(piece.text) {
        Ok(value) => return Some(value),
        Err(slip) => slip,
    };
    let text = piece.text;
    let (message, better) = match slip {
        NumberSlip::Comma => (format!("`{text}` has a comma in it."), without_comma(text)),
        NumberSlip::Fraction => (format!("`{text}` is a fraction; a meter shows decimals."), decimal(text)),
        NumberSlip::Dash => (
            format!("`{text}` can be read in two ways: from one number to the other, or one less the other."),
            stretch(line, text),
        ),
        NumberSlip::Exponent => (format!("`{text}` is not written out in digits."), text.parse().ok().map(plain)),
        NumberSlip::TooLong => {
            (format!("`{text}` has more digits than any meter shows; a number has at most {MOST_DIGITS}."), None)
        }
        NumberSlip::NotANumber => (format!("`{text}` is not a number."), None),
    };
    reader.refuse(&NUMBER_FORM, piece.span(), message, better.map(|better| mend(line, piece.span(), &better)));
    None
}

/// "1/8" as "0.125".
fn decimal(text: &str) -> Option<String> {
    let (over, under) = text.split_once('/')?;
    let value = parse_number(over).ok()? / parse_number(under).ok()?;
    value.is_finite().then(|| plain((value * 1000.0).round() / 1000.0))
}

/// "5-10" as "5 to 10" where a limit goes; elsewhere the greater one has to do.
fn stretch(line: Piece<'_>, text: &str) -> Option<String> {
    let (from, to) = text.split_once(['-', '–'])?;
    Some(if takes_stretch(line) { format!("{from} to {to}") } else { to.to_owned() })
}

/// Whether `A to B` may stand in the line.
fn takes_stretch(line: Piece<'_>) -> bool {
    let words = line.words();
    words.first().is_some_and(|first| matches!(first.text, "good" | "if" | "all"))
        && !words.iter().any(|word| matches!(word.text, "below" | "above"))
}
