//! Sums of a sheet: computed lines of the rating plate and `is:` of a reading.
//!
//! `+ - × ÷`, brackets, the trade's functions, numbers with units, names of the rating plate and of readings. As in a
//! playbook a hyphen inside a name has no blank round it and a minus has one on both sides. Values are in base units.

use super::model::ReadingId;
use crate::language::syntax::Op;
use crate::text::rule::{Level, Rule};
use crate::trade::dimension::{Dimension, Mismatch};
use crate::trade::functions::{self, Arg, ArgValue, Function, Kind};
use crate::trade::quantity::{parse_number, to_base};
use crate::trade::range::RangeError;
use crate::trade::reading::Reading;
use crate::trade::unit::Unit;

/// A sum of a sheet that can't be done.
pub static SHEET_SUM: Rule = Rule {
    code: "sheet-sum",
    level: Level::Error,
    says: "A sum of a sheet takes names of the rating plate and of readings, numbers with units, `+ - × ÷` and the trade's functions.",
    why: "What a unit should read is worked out from these lines, so each must have one meaning and an answer.",
    wrong: "inlet-burning: { in: inWC, is: inlet-resting -inlet-loss }",
    mended: "inlet-burning: { in: inWC, is: inlet-resting - inlet-loss }",
};

/// A sum, resolved.
#[derive(Debug, Clone, PartialEq)]
pub enum Sum {
    /// A number, in base units.
    Number(f64),
    /// A line of the rating plate: its place in the list.
    Plate(usize),
    /// A reading.
    Reading(ReadingId),
    /// A word argument of a function.
    Word(String),
    /// A function of the trade; by its name in the table.
    Call(&'static str, Vec<Sum>),
    /// Two with a sign between.
    Pair(Op, Box<Sum>, Box<Sum>),
    /// A minus in front.
    Minus(Box<Sum>),
}

/// What a name in a sum stands for.
pub(super) type Look<'a> = &'a dyn Fn(&str) -> Option<(Sum, Dimension)>;

/// Deepest nesting of brackets; a limit of ours.
const DEEPEST: usize = 12;

/// Reads a sum: what it is and what kind of thing comes out, or the fact that is wrong with it.
pub(super) fn parse(text: &str, look: Look<'_>) -> Result<(Sum, Dimension), String> {
    let tokens = tokens(text)?;
    let mut parser = Parser { tokens: &tokens, at: 0, look, depth: 0 };
    let found = parser.sum()?;
    match parser.peek() {
        None => Ok(found),
        Some(token) => Err(format!("`{}` does not fit in here.", token.told())),
    }
}

#[derive(Debug, Clone, PartialEq)]
enum Token<'t> {
    Number(f64, Option<Unit>, &'t str),
    Name(&'t str),
    Sign(char),
}

impl Token<'_> {
    fn told(&self) -> String {
        match self {
            Self::Number(_, _, text) | Self::Name(text) => (*text).to_owned(),
            Self::Sign(sign) => sign.to_string(),
        }
    }
}

fn tokens(text: &str) -> Result<Vec<Token<'_>>, String> {
    let mut found = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        let sign = match first {
            '(' | ')' | ',' | '+' => Some(first),
            '×' | '*' => Some('×'),
            '÷' | '/' => Some('÷'),
            '-' | '−' => Some('-'),
            _ => None,
        };
        if let Some(sign) = sign {
            rest = rest.get(first.len_utf8()..).unwrap_or("");
            if sign == '-'
                && !rest.starts_with(' ')
                && found.last().is_some_and(|t| !matches!(t, Token::Sign(s) if *s != ')'))
            {
                return Err("A minus has a blank on both sides.".to_owned());
            }
            found.push(Token::Sign(sign));
        } else if first == 'x' && rest.get(1..).is_some_and(|after| after.starts_with(' ')) {
            found.push(Token::Sign('×'));
            rest = rest.get(1..).unwrap_or("");
        } else {
            let digits = first.is_ascii_digit() || first == '.';
            let end = rest
                .char_indices()
                .find(|&(_, c)| if digits { !(c.is_ascii_digit() || matches!(c, '.' | ',')) } else { !is_name(c) })
                .map_or(rest.len(), |(at, _)| at);
            let (word, after) = rest.split_at_checked(end).unwrap_or((rest, ""));
            if word.is_empty() {
                return Err(format!("`{first}` has no meaning in a sum."));
            }
            if digits {
                let (word, after) = match word.strip_suffix(',') {
                    Some(bare) => (bare, rest.get(bare.len()..).unwrap_or("")),
                    None => (word, after),
                };
                let value = parse_number(word).map_err(|_| format!("`{word}` is no number."))?;
                let (unit, after) = unit_in_front(after);
                found.push(Token::Number(value, unit, word));
                rest = after;
            } else {
                found.push(Token::Name(word));
                rest = after;
            }
        }
        rest = rest.trim_start();
    }
    Ok(found)
}

fn is_name(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '-' | '.')
}

/// The longest unit, of up to three words, at the start of a text.
fn unit_in_front(text: &str) -> (Option<Unit>, &str) {
    let body = text.trim_start();
    let ends = body.char_indices().filter(|(_, c)| matches!(c, ' ' | ')' | ',')).map(|(at, _)| at);
    let ends: Vec<usize> = ends.chain([body.len()]).take(3).collect();
    for end in ends.into_iter().rev() {
        let name = body.get(..end).unwrap_or("").trim();
        if !name.is_empty()
            && let Some(unit) = Unit::parse(name)
        {
            return (Some(unit), body.get(end..).unwrap_or(""));
        }
    }
    (None, text)
}

struct Parser<'a> {
    tokens: &'a [Token<'a>],
    at: usize,
    look: Look<'a>,
    depth: usize,
}

type Typed = Result<(Sum, Dimension), String>;

impl Parser<'_> {
    fn peek(&self) -> Option<&Token<'_>> {
        self.tokens.get(self.at)
    }

    fn eat(&mut self, sign: char) -> bool {
        let found = self.peek() == Some(&Token::Sign(sign));
        self.at += usize::from(found);
        found
    }

    fn sum(&mut self) -> Typed {
        let mut left = self.product()?;
        loop {
            let op = if self.eat('+') {
                Op::Add
            } else if self.eat('-') {
                Op::Subtract
            } else {
                return Ok(left);
            };
            let right = self.product()?;
            left = pair(op, left, right)?;
        }
    }

    fn product(&mut self) -> Typed {
        let mut left = self.factor()?;
        loop {
            let op = if self.eat('×') {
                Op::Multiply
            } else if self.eat('÷') {
                Op::Divide
            } else {
                return Ok(left);
            };
            let right = self.factor()?;
            left = pair(op, left, right)?;
        }
    }

    fn factor(&mut self) -> Typed {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err("Brackets stand too deep in each other.".to_owned());
        }
        let found = self.factor_inside();
        self.depth -= 1;
        found
    }

    fn factor_inside(&mut self) -> Typed {
        let token = self.tokens.get(self.at).cloned();
        self.at += 1;
        match token {
            Some(Token::Number(value, Some(unit), _)) => {
                let dimension = Dimension { point: false, ..unit.dimension() };
                Ok((Sum::Number(to_base(value, unit, true)), dimension))
            }
            Some(Token::Number(value, None, _)) => Ok((Sum::Number(value), Dimension::NONE)),
            Some(Token::Sign('(')) => {
                let inner = self.sum()?;
                if self.eat(')') { Ok(inner) } else { Err("A bracket is opened and never closed.".to_owned()) }
            }
            Some(Token::Sign('-')) => {
                let (inner, dimension) = self.factor()?;
                if dimension.point {
                    return Err("A temperature has no minus; a difference of two has.".to_owned());
                }
                Ok((Sum::Minus(Box::new(inner)), dimension))
            }
            Some(Token::Name(name)) if self.peek() == Some(&Token::Sign('(')) => {
                self.at += 1;
                self.call(name)
            }
            Some(Token::Name(name)) => (self.look)(name)
                .ok_or_else(|| format!("`{name}` is neither on the rating plate nor a reading of this sheet.")),
            Some(token) => Err(format!("In front of `{}` something is missing.", token.told())),
            None => Err("Something is missing at the end.".to_owned()),
        }
    }

    fn call(&mut self, name: &str) -> Typed {
        let Some(function) = functions::find(name) else {
            let near = functions::nearest(name);
            let hint = near.first().map(|near| format!(" Did you mean `{near}`?")).unwrap_or_default();
            return Err(format!("There is no function `{name}`.{hint}"));
        };
        let mut given: Vec<(Sum, Option<Dimension>)> = Vec::new();
        while !self.eat(')') {
            if !given.is_empty() && !self.eat(',') {
                return Err(format!("A comma or a bracket is missing in `{name}(…)`."));
            }
            let place = function.arguments.get(given.len()).or(function.arguments.last());
            let takes_word = place.is_some_and(|place| matches!(place.kind, Kind::Word(_)));
            match self.peek() {
                Some(Token::Name(word)) if takes_word => {
                    given.push((Sum::Word((*word).to_owned()), None));
                    self.at += 1;
                }
                None => return Err(format!("The bracket of `{name}` is never closed.")),
                Some(_) => {
                    let (sum, dimension) = self.sum()?;
                    given.push((sum, Some(dimension)));
                }
            }
        }
        let arguments: Vec<Arg<'_>> = given
            .iter()
            .map(|(sum, dimension)| match (sum, dimension) {
                (Sum::Word(word), _) => Arg::Word(word),
                (_, dimension) => Arg::Number(dimension.unwrap_or(Dimension::NONE)),
            })
            .collect();
        let dimension = function
            .result(&arguments)
            .map_err(|misuse| format!("`{name}`: {misuse}. It is written `{}`.", function.usage()))?;
        Ok((Sum::Call(function.name, given.into_iter().map(|(sum, _)| sum).collect()), dimension))
    }
}

fn pair(op: Op, (left, x): (Sum, Dimension), (right, y): (Sum, Dimension)) -> Typed {
    let dimension = match op {
        Op::Add => x.sum(y, false),
        Op::Subtract => x.sum(y, true),
        Op::Multiply => x.product(y, false),
        Op::Divide => x.product(y, true),
    };
    let dimension = dimension.map_err(|mismatch| match mismatch {
        Mismatch::Unlike(a, b) => format!("This puts {a} and {b} together."),
        Mismatch::TwoTemperatures => "Two temperatures cannot be added.".to_owned(),
        Mismatch::ScaledTemperature => "A temperature cannot be multiplied or divided.".to_owned(),
    })?;
    Ok((Sum::Pair(op, Box::new(left), Box::new(right)), dimension))
}

impl Sum {
    /// The value in base units; `None` where a name in it has none yet.
    ///
    /// # Errors
    /// [`RangeError`] where a function's table does not reach.
    pub fn value(
        &self,
        plate: &dyn Fn(usize) -> Option<f64>,
        reading: &dyn Fn(ReadingId) -> Option<Reading>,
    ) -> Result<Option<Reading>, RangeError> {
        let of = |sum: &Self| sum.value(plate, reading);
        Ok(match self {
            Self::Number(value) => Some(Reading::Value(*value)),
            Self::Plate(at) => plate(*at).map(Reading::Value),
            Self::Reading(id) => reading(*id),
            Self::Word(_) => None,
            Self::Minus(inner) => match of(inner)? {
                Some(Reading::Value(value)) => Some(Reading::Value(-value)),
                other => other,
            },
            Self::Pair(op, left, right) => match (of(left)?, of(right)?) {
                (Some(Reading::Value(a)), Some(Reading::Value(b))) => {
                    let value = match op {
                        Op::Add => a + b,
                        Op::Subtract => a - b,
                        Op::Multiply => a * b,
                        Op::Divide => a / b,
                    };
                    if !value.is_finite() {
                        return Err(RangeError::NoAnswer("something is divided by zero, or a number is far too large"));
                    }
                    Some(Reading::Value(value))
                }
                (None, _) | (_, None) => None,
                _ => Some(Reading::OverLimit),
            },
            Self::Call(name, arguments) => {
                let mut given = Vec::with_capacity(arguments.len());
                for argument in arguments {
                    given.push(match argument {
                        Self::Word(word) => ArgValue::Word(word),
                        other => match of(other)? {
                            Some(value) => ArgValue::from(value),
                            None => return Ok(None),
                        },
                    });
                }
                let function: Option<&'static Function> = functions::find(name);
                match function {
                    Some(function) => Some(function.value(&given)?),
                    None => None,
                }
            }
        })
    }

    /// Every reading it leans on.
    pub fn readings(&self) -> Vec<ReadingId> {
        match self {
            Self::Reading(id) => vec![*id],
            Self::Minus(inner) => inner.readings(),
            Self::Pair(_, left, right) => [left.readings(), right.readings()].concat(),
            Self::Call(_, arguments) => arguments.iter().flat_map(Self::readings).collect(),
            Self::Number(_) | Self::Plate(_) | Self::Word(_) => Vec::new(),
        }
    }
}
