//! One row of the table of functions.

use super::likely;
use super::misuse::Misuse;
use crate::trade::dimension::Dimension;
use crate::trade::range::RangeError;
use crate::trade::reading::Reading;

/// A function that a `calculate` line may call.
#[derive(Debug)]
pub struct Function {
    /// Its name: hyphenated trade words.
    pub name: &'static str,
    /// What stands between the brackets, in turn. Only the last may be optional or repeated.
    pub arguments: &'static [Argument],
    /// What kind of thing the answer is.
    pub gives: Gives,
    /// What it is for, in one line.
    pub line: &'static str,
    /// A call and its answer, run by a test.
    pub example: Example,
    /// The sum in `+ - * / sqrt` and tables, one step a line, in the order a page's script must take them.
    pub form: &'static str,
    /// Whether an `OL` among the arguments is compared instead of making the answer `OL`.
    pub(super) compares_over_limit: bool,
    /// The sum, on base units. INVARIANT: the arguments passed [`Function::result`]; anything else is refused, not trusted.
    pub(super) body: fn(&[ArgValue<'_>]) -> Result<Reading, RangeError>,
}

/// A worked example of a function: the call as a playbook would have it with its numbers in, and the answer.
#[derive(Debug, Clone, Copy)]
pub struct Example {
    /// `unbalance(460 V, 467 V, 450 V)`
    pub call: &'static str,
    /// `1.96 %`
    pub answer: &'static str,
    /// Where the figures come from.
    pub source: &'static str,
}

/// One place between the brackets.
#[derive(Debug, Clone, Copy)]
pub struct Argument {
    /// What it is called: "suction", "line".
    pub name: &'static str,
    /// What may stand there.
    pub kind: Kind,
    /// How often it stands there.
    pub how: How,
}

/// What may stand in an argument's place.
#[derive(Debug, Clone, Copy)]
pub enum Kind {
    /// A number of this dimension.
    Of(Dimension),
    /// A number of any dimension; all places marked so take the same one.
    Same,
    /// One word of a fixed list.
    Word(&'static Words),
}

/// A fixed list of words that may be an argument: the refrigerants, the probes.
#[derive(Debug)]
pub struct Words {
    /// What one of them is: "refrigerant".
    pub called: &'static str,
    /// The words, as they are written.
    pub list: &'static [&'static str],
}

/// How often an argument stands between the brackets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// Once.
    Once,
    /// Once or not at all; only the last.
    Optional,
    /// This often or more; only the last.
    AtLeast(usize),
}

/// What kind of thing the answer is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gives {
    /// Always this.
    Of(Dimension),
    /// What the arguments marked [`Kind::Same`] are.
    Same,
    /// A difference of what the arguments marked [`Kind::Same`] are: of temperatures, degrees of difference.
    DifferenceOfSame,
    /// A ratio of what the arguments marked [`Kind::Same`] are; a temperature on the scale has none.
    RatioOfSame,
    /// A share of what the arguments marked [`Kind::Same`] are; a temperature on the scale has none.
    ShareOfSame,
}

/// What is known of an argument before there are numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Arg<'a> {
    /// A number of this dimension.
    Number(Dimension),
    /// A name that is no reading: a word of a list, perhaps.
    Word(&'a str),
}

/// An argument with its number, in base units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ArgValue<'a> {
    /// A number in base units. Never NaN.
    Number(f64),
    /// `OL`.
    OverLimit,
    /// A word of the list.
    Word(&'a str),
}

impl From<Reading> for ArgValue<'_> {
    fn from(reading: Reading) -> Self {
        match reading {
            Reading::Value(value) => Self::Number(value),
            Reading::OverLimit => Self::OverLimit,
        }
    }
}

impl Words {
    /// Whether the list has this word, written exactly so.
    #[must_use]
    pub fn has(&self, word: &str) -> bool {
        self.list.contains(&word)
    }

    /// The words that may have been meant, likeliest first.
    #[must_use]
    pub fn nearest(&self, word: &str) -> Vec<&'static str> {
        likely(word, self.list.iter().copied())
    }
}

impl Function {
    /// The dimension of the answer for these arguments.
    ///
    /// # Errors
    /// [`Misuse`]: too few or too many, one of the wrong kind, two that should be alike, a word that is not on the list.
    pub fn result(&self, given: &[Arg<'_>]) -> Result<Dimension, Misuse> {
        let (least, most) = self.counts();
        if given.len() < least {
            return Err(Misuse::TooFew { given: given.len(), least });
        }
        if let Some(most) = most.filter(|most| given.len() > *most) {
            return Err(Misuse::TooMany { given: given.len(), most });
        }
        let mut same = None;
        for (at, arg) in given.iter().enumerate() {
            let Some(place) = self.arguments.get(at).or(self.arguments.last()) else { continue };
            match (place.kind, *arg) {
                (Kind::Word(words), Arg::Word(word)) if words.has(word) => {}
                (Kind::Word(words), Arg::Word(_)) => return Err(Misuse::NoSuchWord { at, words }),
                (Kind::Word(words), Arg::Number(_)) => return Err(Misuse::WantsWord { at, words }),
                (_, Arg::Word(_)) => return Err(Misuse::WantsNumber { at, name: place.name }),
                (Kind::Of(wanted), Arg::Number(given)) if wanted == given => {}
                (Kind::Of(wanted), Arg::Number(given)) => {
                    return Err(Misuse::Unlike { at, name: place.name, wanted, given });
                }
                (Kind::Same, Arg::Number(given)) => match same {
                    None => same = Some(given),
                    Some(first) if first == given => {}
                    Some(first) => return Err(Misuse::NotTheSame { at, first, given }),
                },
            }
        }
        let same = same.unwrap_or(Dimension::NONE);
        match self.gives {
            Gives::Of(dimension) => Ok(dimension),
            Gives::Same => Ok(same),
            Gives::DifferenceOfSame => Ok(Dimension { point: false, ..same }),
            Gives::RatioOfSame | Gives::ShareOfSame if same.point => Err(Misuse::NoRatioOfTemperatures),
            Gives::ShareOfSame => Ok(same),
            Gives::RatioOfSame => Ok(Dimension::NONE),
        }
    }

    /// The answer, in base units, unrounded (a page and a walk round it to nine significant digits before comparing).
    /// `OL` where an argument is, but for the functions that compare.
    ///
    /// # Errors
    /// [`RangeError`] where the numbers lie outside a table, with the range; where the sum has no meaning, with the reason.
    pub fn value(&self, given: &[ArgValue<'_>]) -> Result<Reading, RangeError> {
        if !self.compares_over_limit && given.contains(&ArgValue::OverLimit) {
            return Ok(Reading::OverLimit);
        }
        match (self.body)(given)? {
            Reading::Value(value) if !value.is_finite() => Err(RangeError::NoAnswer(
                "these numbers give no answer: one is zero that should not be, or far too large",
            )),
            answer => Ok(answer),
        }
    }

    /// How the call is written: `superheat(suction, line, refrigerant, [altitude])`.
    #[must_use]
    pub fn usage(&self) -> String {
        let places: Vec<String> = self
            .arguments
            .iter()
            .map(|place| match place.how {
                How::Once => place.name.to_owned(),
                How::Optional => format!("[{}]", place.name),
                How::AtLeast(_) => format!("{}, …", place.name),
            })
            .collect();
        format!("{}({})", self.name, places.join(", "))
    }

    /// How many arguments at least, and at most where there is a most.
    fn counts(&self) -> (usize, Option<usize>) {
        let once = self.arguments.iter().filter(|place| place.how == How::Once).count();
        match self.arguments.last().map(|place| place.how) {
            Some(How::AtLeast(least)) => (once + least, None),
            Some(How::Optional) => (once, Some(once + 1)),
            Some(How::Once) | None => (once, Some(once)),
        }
    }
}
/// The number in place `at`.
///
/// # Errors
/// Only where the caller skipped [`Function::result`].
pub(super) fn number(given: &[ArgValue<'_>], at: usize) -> Result<f64, RangeError> {
    match given.get(at) {
        Some(ArgValue::Number(value)) => Ok(*value),
        _ => Err(RangeError::NoAnswer("a number is missing between the brackets")),
    }
}

/// The word in place `at`.
///
/// # Errors
/// Only where the caller skipped [`Function::result`].
pub(super) fn word<'a>(given: &[ArgValue<'a>], at: usize) -> Result<&'a str, RangeError> {
    match given.get(at) {
        Some(ArgValue::Word(word)) => Ok(word),
        _ => Err(RangeError::NoAnswer("a word is missing between the brackets")),
    }
}

/// A number of this dimension, once.
pub(super) const fn once(name: &'static str, dimension: Dimension) -> Argument {
    Argument { name, kind: Kind::Of(dimension), how: How::Once }
}
