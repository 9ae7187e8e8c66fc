//! Numbers of a sheet: `95 ohm`, `120 V AC ±10 %`, `2.5 to 6 uA`, `OL`, `85 %`.
//!
//! All are kept in base units; what does not read as a number tells how to write it.

use crate::text::english::nearest;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::yaml::reader::Reader;
use crate::text::yaml::tree::Text;
use crate::trade::dimension::Dimension;
use crate::trade::quantity::{NumberSlip, computed, from_base, parse_number, plain, to_base, without_comma};
use crate::trade::reading::is_over_limit;
use crate::trade::unit::{UNITS, Unit};

/// A number of the sheet that can't be read.
pub static SHEET_NUMBER: Rule = Rule {
    code: "sheet-number",
    level: Level::Error,
    says: "A number of a sheet carries its unit: `95 ohm`, `120 V AC ±10 %`, `2.5 to 6 uA`.",
    why: "Every reading of the unit is worked out from these numbers.",
    wrong: "valve: { ohms: 95 }",
    mended: "valve: { ohms: 95 ohm }",
};

/// One number with its unit, in base units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// The number in base units.
    pub value: f64,
    /// The unit as written.
    pub unit: Unit,
}

/// A stretch of numbers, in base units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Lower end.
    pub low: f64,
    /// Upper end; the same for one number.
    pub high: f64,
}

impl Stretch {
    /// One number.
    #[must_use]
    pub const fn one(value: f64) -> Self {
        Self { low: value, high: value }
    }

    /// The middle.
    #[must_use]
    pub fn middle(self) -> f64 {
        f64::midpoint(self.low, self.high)
    }
}

/// A number that has a lowest and a highest, with the one in the middle or on the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// As on the plate.
    pub nominal: f64,
    /// Lowest.
    pub low: f64,
    /// Highest.
    pub high: f64,
    /// The unit as written.
    pub unit: Unit,
    /// One temperature less another, not a point on the scale.
    pub difference: bool,
}

impl Spread {
    /// What kind of thing it is.
    #[must_use]
    pub fn dimension(&self) -> Dimension {
        dimension_of(self.unit, self.difference)
    }

    /// A number in base units, in the unit as written.
    #[must_use]
    pub fn said(&self, base: f64) -> f64 {
        from_base(base, self.unit, self.difference)
    }
}

/// What a unit measures; `°F` is a point on the scale unless a difference is meant.
#[must_use]
pub fn dimension_of(unit: Unit, difference: bool) -> Dimension {
    let whole = unit.dimension();
    Dimension { point: whole.point && !difference, ..whole }
}

/// `°F difference`: one temperature less another. The word taken off, and whether it was there; told where the unit has
/// no zero that moves.
pub(super) fn without_difference(reader: &mut Reader, text: &Text) -> (Text, bool) {
    let Some(bare) = text.text.strip_suffix(" difference") else {
        return (text.clone(), false);
    };
    let symbol = bare.trim_start_matches(|c: char| !c.is_alphabetic() && c != '°');
    let temperature = Unit::parse(symbol).is_none_or(|unit| unit.dimension().point);
    if !temperature {
        let fact = "Only of a temperature one says `difference`: other units start at their own zero.";
        reader.say_instead(&SHEET_NUMBER, text.span, fact, bare);
    }
    (Text { text: bare.to_owned(), span: text.span }, temperature)
}

/// The number and its unit.
pub(super) fn amount(reader: &mut Reader, text: &Text) -> Option<Amount> {
    one(reader, text, false)
}

fn one(reader: &mut Reader, text: &Text, difference: bool) -> Option<Amount> {
    let (number, rest) = split(&text.text);
    let value = number_of(reader, text, number)?;
    let unit = unit_of(reader, text, rest.trim())?;
    Some(Amount { value: to_base(value, unit, difference), unit })
}

/// `A to B UNIT`, or one number with its unit; temperatures as points on the scale, or as differences.
pub(super) fn stretch(reader: &mut Reader, text: &Text, difference: bool) -> Option<(Stretch, Unit)> {
    let Some((low, high)) = text.text.split_once(" to ") else {
        let one = one(reader, text, difference)?;
        return Some((Stretch::one(one.value), one.unit));
    };
    let (high_number, rest) = split(high.trim());
    let unit = unit_of(reader, text, rest.trim())?;
    let (low_number, low_unit) = split(low.trim());
    let low_unit = match low_unit.trim() {
        "" => unit,
        written => unit_of(reader, text, written)?,
    };
    let low = to_base(number_of(reader, text, low_number)?, low_unit, difference);
    let high = to_base(number_of(reader, text, high_number)?, unit, difference);
    if !low_unit.dimension().like(unit.dimension()) {
        let fact = format!("{low_unit} and {unit} are not of one kind. Write the unit once, behind: `180 to 195 °F`.");
        reader.say(&SHEET_NUMBER, text.span, fact);
        return None;
    }
    if low > high {
        let fact = "The smaller number stands first.";
        let instead = text.text.split_once(" to ").map(|_| format!("{} to {low_number} {unit}", high_number.trim()));
        say(reader, text, fact, instead.as_deref());
        return None;
    }
    Some((Stretch { low, high }, unit))
}

/// `120 V AC ±10 %`, `240 V +5 -10 %`, `70 °F difference`, or one number alone.
pub(super) fn spread(reader: &mut Reader, text: &Text) -> Option<Spread> {
    let (text, difference) = &without_difference(reader, text);
    let difference = *difference;
    let whole = text.text.as_str();
    if let Some((bare, percent)) = bare_percent(whole) {
        let fact = format!("`{percent}` does not say which way. It is `±{percent}` or `+5 -10 %`.");
        say(reader, text, &fact, Some(&format!("{bare} ±{percent}")));
        return None;
    }
    let at = whole.char_indices().skip(1).find(|&(i, c)| {
        matches!(c, '±' | '+' | '-' | '−') && whole.get(..i).is_some_and(|before| before.ends_with([' ', '\t']))
    });
    let Some((at, _)) = at else {
        let one = one(reader, text, difference)?;
        return Some(Spread { nominal: one.value, low: one.value, high: one.value, unit: one.unit, difference });
    };
    let head = Text { text: whole.get(..at).unwrap_or(whole).trim().to_owned(), span: text.span };
    let one = one(reader, &head, difference)?;
    let (minus, plus) = percents(reader, text, whole.get(at..).unwrap_or(""))?;
    let (low, high) = (one.value * (1.0 - minus), one.value * (1.0 + plus));
    Some(Spread { nominal: one.value, low, high, unit: one.unit, difference })
}

/// `240 V 10 %`: what stands in front, and the percent that does not say which way.
fn bare_percent(text: &str) -> Option<(&str, &str)> {
    let body = text.strip_suffix('%')?.trim_end();
    let (front, number) = body.rsplit_once(' ')?;
    let plain = number.chars().all(|c| c.is_ascii_digit() || c == '.') && !number.is_empty();
    let signed = front.contains(['±', '+', '−']) || front.contains(" -");
    (plain && !signed && front.contains(' ')).then(|| (front, text.get(front.len()..).unwrap_or("").trim()))
}

/// `±10 %`, `+5 -10 %`, `+5/-10 %`: how far below and above, as shares.
pub(super) fn percents(reader: &mut Reader, text: &Text, words: &str) -> Option<(f64, f64)> {
    let words = &words.replace("+/-", "±").replace("+-", "±");
    let body = words.trim().strip_suffix('%').map(str::trim);
    let share = |number: &str| parse_number(number.trim()).ok().filter(|n| *n >= 0.0 && *n < 100.0).map(|n| n / 100.0);
    let found = body.and_then(|body| {
        if let Some(both) = body.strip_prefix('±') {
            return share(both).map(|both| (both, both));
        }
        let mut signed = body.split(['/', ' ']).filter(|part| !part.is_empty());
        let (one, two) = (signed.next()?, signed.next()?);
        let read = |part: &str| part.chars().next().zip(share(part.get(1..).unwrap_or("")));
        match (read(one)?, read(two)?) {
            (('+', plus), ('-', minus)) | (('-', minus), ('+', plus)) if signed.next().is_none() => Some((minus, plus)),
            _ => None,
        }
    });
    if found.is_none() {
        let fact = format!("`{}` does not say how far off it may be. It is `±10 %` or `+5 -10 %`.", words.trim());
        reader.say(&SHEET_NUMBER, text.span, fact);
    }
    found
}

/// Whether it says `OL`.
pub(super) fn is_ol(text: &Text) -> bool {
    is_over_limit(text.text.trim())
}

/// Whether the unit measures one of these; told if not.
pub(super) fn of_kind(reader: &mut Reader, text: &Text, unit: Unit, wanted: &[Dimension]) -> bool {
    let fits = wanted.iter().any(|dimension| unit.dimension().like(*dimension));
    if !fits {
        let words: Vec<String> = wanted.iter().map(ToString::to_string).collect();
        let fact = format!(
            "`{}` is {}, and {} belongs here.",
            text.text,
            unit.dimension(),
            crate::text::english::list(&words, "or")
        );
        reader.say(&SHEET_NUMBER, text.span, fact);
    }
    fits
}

fn number_of(reader: &mut Reader, text: &Text, number: &str) -> Option<f64> {
    match parse_number(number) {
        Ok(value) => Some(value),
        Err(slip) => {
            let (fact, instead) = match slip {
                NumberSlip::Comma => (format!("`{number}` has a comma."), without_comma(number)),
                NumberSlip::Fraction => (format!("`{number}` is a fraction. Write it with a point."), decimal(number)),
                NumberSlip::Dash => {
                    (format!("`{number}` can be read two ways."), Some(number.replace(['-', '–'], " to ")))
                }
                NumberSlip::Exponent => (format!("`{number}` is written with a power. Write it out."), None),
                NumberSlip::TooLong => (format!("`{number}` has more digits than a meter shows."), None),
                NumberSlip::NotANumber => (format!("`{}` is no number with a unit, as `95 ohm` is.", text.text), None),
            };
            let instead = instead.map(|better| text.text.replacen(number, &better, 1));
            say(reader, text, &fact, instead.as_deref());
            None
        }
    }
}

/// `1/8` is 0.125.
fn decimal(fraction: &str) -> Option<String> {
    let (above, below) = fraction.split_once('/')?;
    let (above, below) = (parse_number(above).ok()?, parse_number(below).ok()?);
    (below > 0.0).then(|| plain(computed(above / below)))
}

fn unit_of(reader: &mut Reader, text: &Text, name: &str) -> Option<Unit> {
    if name.is_empty() {
        let fact = format!("`{}` has no unit: V AC, A, W, ohm, uF, °F, psi and so on.", text.text);
        reader.say(&SHEET_NUMBER, text.span, fact);
        return None;
    }
    let found = Unit::parse(name);
    if found.is_none() {
        let near = nearest(name, UNITS.iter().map(|row| row.symbol));
        let hint = if near.is_none() {
            " It knows V AC, V DC, A, W, ohm, uF, °F, psi, inWC and the others of the guide."
        } else {
            ""
        };
        let fact = format!("`{name}` is no unit Ruleout knows.{hint}");
        let instead = near.map(|near| text.text.replacen(name, near, 1));
        say(reader, text, &fact, instead.as_deref());
    }
    found
}

fn say(reader: &mut Reader, text: &Text, fact: &str, instead: Option<&str>) {
    let mut problem = Problem::new(&SHEET_NUMBER, reader.place(text.span), fact);
    problem.instead = instead.map(|instead| reader.place(text.span).line_with(instead));
    reader.note(problem);
}

/// The number in front and the rest behind it.
fn split(text: &str) -> (&str, &str) {
    let end = text
        .char_indices()
        .find(|&(at, c)| {
            !(c.is_ascii_digit()
                || matches!(c, '.' | ',' | '/')
                || (matches!(c, '-' | '−' | '+' | '–')
                    && (at == 0 || text.get(..at).is_some_and(|b| b.ends_with(|c: char| c.is_ascii_digit())))))
        })
        .map_or(text.len(), |(at, _)| at);
    text.split_at_checked(end).unwrap_or((text, ""))
}
