//! `calculate`: a sum over readings, and the unit it is told in.

use super::amounts;
use super::first_word::FirstWord;
use super::grammar::Rule as Kind;
use super::piece::Piece;
use super::reader::{Reader, mend, word};
use super::syntax::{Amount, Op, Says, Sum};
use crate::text::rule::{Level, Rule};
use pest::iterators::Pair;

/// A sum that cannot be read.
pub static SUM_FORM: Rule = Rule {
    code: "sum-form",
    level: Level::Error,
    says: "`calculate` takes a sum of readings with `+ - × ÷`, parentheses and the trade's functions.",
    why: "A hyphen inside a name has no blank round it and a minus has one on both sides, so that `i1-i2` is never taken for the other.",
    wrong: "measure A through L1, call it i1\nmeasure A through L2, call it i2\ncalculate i1 -i2",
    mended: "measure A through L1, call it i1\nmeasure A through L2, call it i2\ncalculate i1 - i2",
};

/// How deep parentheses may stand in each other. The number is ours; nobody works out more at a machine.
const DEEPEST: usize = 12;

/// Whether the parentheses of a line stand too deep in each other to be read safely; tells it.
pub(super) fn too_deep(reader: &mut Reader<'_>, line: Piece<'_>) -> bool {
    let mut deep = 0_usize;
    for (at, byte) in line.text.bytes().enumerate() {
        match byte {
            b'(' => deep += 1,
            b')' => deep = deep.saturating_sub(1),
            _ => {}
        }
        if deep > DEEPEST {
            let message = format!("More than {DEEPEST} parentheses stand in each other here.");
            reader.refuse(&SUM_FORM, line.part(at, at + 1).span(), message, None);
            return true;
        }
    }
    false
}

/// `calculate SUM [in UNIT]`
pub(super) fn read<'s>(reader: &mut Reader<'s>, line: Piece<'s>, pair: Pair<'s, Kind>) -> Option<Says> {
    let mut parts = pair.into_inner();
    let sum = sum(reader, line, parts.next()?);
    let unit = match parts.next() {
        Some(unit) => Some(reader.unit(line, Piece::read(line, &unit))?),
        None => None,
    };
    Some(Says::Calculate { sum: sum?, unit })
}

/// Operands with signs between: `×` and `÷` bind before `+` and `-`, all else goes from left to right.
fn sum<'s>(reader: &mut Reader<'s>, line: Piece<'s>, pair: Pair<'s, Kind>) -> Option<Sum> {
    let pairs = |op, left, right| Sum::Pair { op, left: Box::new(left), right: Box::new(right) };
    let mut parts = pair.into_inner();
    let mut before: Option<(Sum, Op)> = None;
    let mut product = operand(reader, line, parts.next()?)?;
    while let (Some(sign), Some(right)) = (parts.next(), parts.next()) {
        let op = op(reader, line, Piece::read(line, &sign))?;
        let right = operand(reader, line, right)?;
        product = match op {
            Op::Multiply | Op::Divide => pairs(op, product, right),
            Op::Add | Op::Subtract => {
                let left = match before.take() {
                    Some((left, earlier)) => pairs(earlier, left, product),
                    None => product,
                };
                before = Some((left, op));
                right
            }
        };
    }
    Some(match before {
        Some((left, op)) => pairs(op, left, product),
        None => product,
    })
}

fn op<'s>(reader: &mut Reader<'s>, line: Piece<'s>, piece: Piece<'s>) -> Option<Op> {
    match piece.trim().text {
        "+" => Some(Op::Add),
        "×" | "*" | "x" => Some(Op::Multiply),
        "/" | "÷" => Some(Op::Divide),
        _ if piece.text.starts_with(' ') && piece.text.ends_with(' ') => Some(Op::Subtract),
        _ => {
            let message = "A minus needs a blank on both sides; without them it may be part of a name.";
            reader.refuse(&SUM_FORM, piece.trim().span(), message, mend(line, piece.span(), " - "));
            None
        }
    }
}

fn operand<'s>(reader: &mut Reader<'s>, line: Piece<'s>, pair: Pair<'s, Kind>) -> Option<Sum> {
    let span = Piece::read(line, &pair).span();
    let rule = pair.as_rule();
    let mut parts = pair.into_inner();
    let first = parts.next()?;
    Some(match rule {
        Kind::named => match parts.next() {
            Some(arguments) => {
                let arguments =
                    arguments.into_inner().map(|part| sum(reader, line, part)).collect::<Option<Vec<_>>>()?;
                Sum::Call { name: word(line, &first), arguments, span }
            }
            None => Sum::Name(word(line, &first)),
        },
        Kind::group => sum(reader, line, first)?,
        Kind::negative => Sum::Minus(Box::new(operand(reader, line, first)?), span),
        _ => {
            let value = amounts::number(reader, line, Piece::read(line, &first));
            let unit = match parts.next() {
                Some(unit) => Some(reader.unit(line, Piece::read(line, &unit))?),
                None => None,
            };
            Sum::Number(Amount { value: value?, unit, span })
        }
    })
}

/// What is wrong with a sum that could not be read.
pub(super) fn refused<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord) {
    let (_, rest) = line.first_word();
    let opened = rest.text.matches('(').count();
    let closed = rest.text.matches(')').count();
    if opened != closed {
        let (more, less) = if opened > closed { ("opened", "closed") } else { ("closed", "opened") };
        let message = format!("A parenthesis is {more} and never {less}.");
        let at = if opened > closed { rest.text.rfind('(') } else { rest.text.rfind(')') }.unwrap_or(0);
        return reader.refuse(&SUM_FORM, rest.part(at, at + 1).span(), message, None);
    }
    let words = rest.words();
    for (at, word) in words.iter().enumerate() {
        // "i1 -i2", "i1- i2"
        let bare = word.text.trim_matches(['-', '−', '–']);
        if at > 0 && word.text.starts_with(['-', '−', '–']) && !bare.is_empty() {
            let message = format!("In `{}` the minus needs a blank on both sides.", word.text);
            return reader.refuse(&SUM_FORM, word.span(), message, mend(line, word.span(), &format!("- {bare}")));
        }
        if word.text.ends_with(['-', '−', '–']) && !bare.is_empty() {
            let message = format!("In `{}` the minus needs a blank on both sides.", word.text);
            return reader.refuse(&SUM_FORM, word.span(), message, mend(line, word.span(), &format!("{bare} -")));
        }
        if bare.split_once('-').is_some_and(|(a, b)| a.parse::<f64>().is_ok() && !b.is_empty()) {
            let message =
                format!("In `{bare}` it is not clear whether the dash is a minus: a minus has a blank on both sides.");
            let better = bare.replacen('-', " - ", 1);
            return reader.refuse(&SUM_FORM, word.span(), message, mend(line, word.span(), &better));
        }
    }
    if let Some((at, sign)) = rest.text.char_indices().find(|(_, c)| !is_known(*c)) {
        let message = format!("`{sign}` has no meaning in a sum.");
        return reader.refuse_like(&SUM_FORM, rest.part(at, at + sign.len_utf8()).span(), message, row);
    }
    let is_op = |text: &str| matches!(text, "+" | "-" | "−" | "–" | "×" | "*" | "/" | "÷" | "x");
    if let Some(last) = words.last().filter(|word| is_op(word.text)) {
        let message = format!("Behind `{}` something is missing.", last.text);
        return reader.refuse(&SUM_FORM, last.span(), message, None);
    }
    if let Some(first) = words.first().filter(|word| is_op(word.text) && word.text != "-") {
        let message = format!("In front of `{}` something is missing.", first.text);
        return reader.refuse(&SUM_FORM, first.span(), message, None);
    }
    if let Some([_, second]) = words.windows(2).find(|pair| matches!(pair, [a, b] if is_op(a.text) && is_op(b.text))) {
        let message = format!("`{}` stands behind another sign, with nothing between.", second.text);
        return reader.refuse(&SUM_FORM, second.span(), message, None);
    }
    let names_meet = |pair: &&[Piece<'_>]| matches!(pair, [a, b] if is_name_end(a.text) && is_name_start(b.text));
    if let Some([one, other]) = words.windows(2).find(names_meet) {
        let message = format!("Between `{}` and `{}` stands no `+ - × ÷` and no comma.", one.text, other.text);
        return reader.refuse(&SUM_FORM, one.to(*other, line).span(), message, None);
    }
    if let Some(at) = rest.text.find(",,").or_else(|| rest.text.find(", )")).or_else(|| rest.text.find(",)")) {
        return reader.refuse(&SUM_FORM, rest.part(at, at + 2).span(), "Behind the comma something is missing.", None);
    }
    let message = format!("`{}` is not a sum that can be worked out.", rest.text);
    reader.refuse_like(&SUM_FORM, rest.span(), message, row);
}

fn is_known(c: char) -> bool {
    c.is_ascii_alphanumeric() || " +-−–×*/÷().,°ºµμΩΩ%\"³_".contains(c)
}

fn is_name_end(text: &str) -> bool {
    text.ends_with(|c: char| c.is_ascii_alphanumeric() || c == ')') && !is_link(text)
}

fn is_name_start(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_alphanumeric() || c == '(') && !is_link(text)
}

fn is_link(text: &str) -> bool {
    matches!(text, "x" | "in")
}
