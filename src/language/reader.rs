//! What is carried from line to line while a playbook is read: the source, the problems so far, the units met.

use super::first_word::FirstWord;
use super::grammar::Rule as Kind;
use super::piece::Piece;
use super::syntax::{Word, WrittenUnit};
use crate::text::english::nearest;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::{Place, Source, Span};
use crate::trade::unit::{UNITS, Unit};
use pest::iterators::Pair;
use std::sync::Arc;

/// A unit nobody knows.
pub static UNKNOWN_UNIT: Rule = Rule {
    code: "unknown-unit",
    level: Level::Error,
    says: "The words behind a number, and behind `measure`, are a unit the trade uses.",
    why: "A number in a unit nobody knows can be compared with nothing. `V AC`, `VAC` and `volts AC` are all read.",
    wrong: "measure vlots AC from L1 to L2",
    mended: "measure volts AC from L1 to L2",
};

/// Units are few in one file; past this many the list is not searched any longer.
const UNITS_KEPT: usize = 24;

/// What is carried from line to line.
pub(super) struct Reader<'s> {
    /// The file.
    pub source: &'s Arc<Source>,
    /// Its text, with blanks for tabs.
    pub text: &'s str,
    /// What is wrong so far.
    pub problems: Vec<Problem>,
    /// Where the block stands that is being read, heading included.
    pub block: Span,
    units: Vec<(&'s str, Unit)>,
}

impl<'s> Reader<'s> {
    /// Starts on a file.
    pub fn new(source: &'s Arc<Source>, text: &'s str) -> Self {
        Self { source, text, problems: Vec::new(), block: Span::default(), units: Vec::new() }
    }

    /// Puts down a problem.
    pub fn refuse(
        &mut self,
        rule: &'static Rule,
        span: Span,
        message: impl Into<String>,
        instead: impl Into<Option<String>>,
    ) {
        let mut problem = Problem::new(rule, Place::new(self.source, span), message);
        problem.instead = instead.into();
        self.problems.push(problem);
    }

    /// Puts down a problem with a right line to show, where only the author can say what to write.
    pub fn refuse_like(&mut self, rule: &'static Rule, span: Span, message: impl Into<String>, row: &FirstWord) {
        self.problems.push(Problem::new(rule, Place::new(self.source, span), message).like(row.like));
    }

    /// Puts down a problem with what to write instead; where nothing can be said, with a right line to show.
    pub fn refuse_or_like(
        &mut self,
        rule: &'static Rule,
        span: Span,
        message: impl Into<String>,
        instead: Option<String>,
        row: &FirstWord,
    ) {
        match instead {
            Some(instead) => self.refuse(rule, span, message, instead),
            None => self.refuse_like(rule, span, message, row),
        }
    }

    /// The unit written as `piece`, or a problem with the nearest one there is.
    pub fn unit(&mut self, line: Piece<'s>, piece: Piece<'s>) -> Option<WrittenUnit> {
        let span = piece.span();
        if let Some((_, unit)) = self.units.iter().find(|(text, _)| *text == piece.text) {
            return Some(WrittenUnit { unit: *unit, span });
        }
        if let Some(unit) = Unit::parse(piece.text) {
            if self.units.len() < UNITS_KEPT {
                self.units.push((piece.text, unit));
            }
            return Some(WrittenUnit { unit, span });
        }
        self.unknown_unit(line, piece);
        None
    }

    fn unknown_unit(&mut self, line: Piece<'s>, piece: Piece<'s>) {
        let span = piece.span();
        // "measure 120 VAC from L1 to L2"
        let digits = piece.text.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ' '));
        if digits.len() < piece.text.len() && Unit::parse(digits).is_some() {
            let number = piece.text.get(..piece.text.len() - digits.len()).unwrap_or("").trim();
            let message = format!(
                "`measure` says what the meter is set to. The `{number}` belongs in the limits, in the lines below."
            );
            return self.refuse(&UNKNOWN_UNIT, span, message, mend(line, span, digits));
        }
        if piece.text.eq_ignore_ascii_case("ac") || piece.text.eq_ignore_ascii_case("dc") {
            let volts = format!("V {}", piece.text.to_uppercase());
            let message = format!("`{}` alone does not say whether it is volts or amps.", piece.text);
            return self.refuse(&UNKNOWN_UNIT, span, message, mend(line, span, &volts));
        }
        let (name, current) = match piece.text.rsplit_once(super::piece::is_blank) {
            Some((name, tail)) if tail.eq_ignore_ascii_case("ac") || tail.eq_ignore_ascii_case("dc") => (name, tail),
            _ => (piece.text, ""),
        };
        let name = name.trim_end();
        // Of "minute" and "minutes" the one with the same end is meant; of "volts" and "Volts" the plain one is told.
        let names = |same_end: bool| {
            UNITS
                .iter()
                .filter(|row| current.is_empty() || row.current)
                .flat_map(|row| std::iter::once(&row.symbol).chain(row.spellings).map(move |name| (row, *name)))
                .filter(move |(row, near)| {
                    let small = near.to_lowercase();
                    (!same_end || name.chars().next_back() == near.chars().next_back())
                        && (small == **near || !row.spellings.contains(&small.as_str()))
                })
                .map(|(_, name)| name)
        };
        let near = nearest(name, names(true)).or_else(|| nearest(name, names(false))).map(|near| {
            let tail = if current.is_empty() { String::new() } else { format!(" {}", current.to_uppercase()) };
            format!("{near}{tail}")
        });
        match near {
            Some(near) => {
                let message = format!("There is no unit `{}`. Is it `{near}`?", piece.text);
                self.refuse(&UNKNOWN_UNIT, span, message, mend(line, span, &near));
            }
            None => self.refuse(&UNKNOWN_UNIT, span, format!("There is no unit `{}`.", piece.text), None),
        }
    }

    /// The unit the block measures in, as it is written there: a hint where a limit has none.
    pub fn measured_unit(&self) -> Option<Unit> {
        let mut found = None;
        for text in self.text.get(self.block.range()).unwrap_or("").lines() {
            let (first, rest) = Piece { text, start: 0 }.first_word();
            match first.text {
                "measure" if found.is_none() => {
                    let words = rest.words();
                    let place = |word: &Piece<'_>| matches!(word.text, "across" | "through" | "from" | "of" | "at");
                    let end = words.iter().position(place)?;
                    let name: Vec<_> = words.iter().take(end).map(|word| word.text).collect();
                    found = Unit::parse(&name.join(" "));
                }
                "calculate" => return None,
                _ => {}
            }
        }
        found
    }
}

/// The line with `with` put in place of `span`.
pub(super) fn mend(line: Piece<'_>, span: Span, with: &str) -> String {
    let at = |byte: u32| (byte as usize).saturating_sub(line.start);
    let before = line.text.get(..at(span.start)).unwrap_or("");
    let behind = line.text.get(at(span.end)..).unwrap_or("");
    format!("{before}{with}{behind}")
}

/// The word read as `pair`.
pub(super) fn word<'s>(line: Piece<'s>, pair: &Pair<'s, Kind>) -> Word {
    Piece::read(line, pair).word()
}
