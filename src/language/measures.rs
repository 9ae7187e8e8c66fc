//! `measure`: the unit, where the probes or the clamp go, how it is watched.

use super::amounts::{self, Wants};
use super::fill_in;
use super::first_word::FirstWord;
use super::grammar::Rule as Kind;
use super::names::{self, Takes};
use super::piece::Piece;
use super::reader::{Reader, mend};
use super::syntax::{Measure, Over, OverKind, Probes, Says, Word};
use crate::text::rule::{Level, Rule};
use crate::trade::unit::Unit;
use pest::iterators::Pair;

/// A `measure` line that cannot be read.
pub static MEASURE_FORM: Rule = Rule {
    code: "measure-form",
    level: Level::Error,
    says: "`measure` says the unit, then the place, then with commas how it is watched and what it is called.",
    why: "The technician has to know what to set the meter to and where its leads go before touching anything.",
    wrong: "measure V AC L1 to L2",
    mended: "measure V AC from L1 to L2",
};

/// `measure …`
pub(super) fn read<'s>(
    reader: &mut Reader<'s>,
    line: Piece<'s>,
    row: &FirstWord,
    pair: Pair<'s, Kind>,
) -> Option<Says> {
    let mut parts = pair.into_inner();
    let unit = Piece::read(line, &parts.next()?);
    let place_word = Piece::read(line, &parts.next()?);
    let mut things = Vec::with_capacity(2);
    let (mut over, mut loaded, mut name) = (None, None, None);
    while let Some(part) = parts.next() {
        let piece = Piece::read(line, &part);
        let (slot, value) = match part.as_rule() {
            Kind::thing => {
                things.push(piece);
                continue;
            }
            Kind::over_kind => (&mut over, (piece, Piece::read(line, &parts.next()?).trim())),
            Kind::loaded => (&mut loaded, (piece, piece)),
            _ => (&mut name, (piece, piece)),
        };
        if slot.replace(value).is_some() {
            let message = format!("`{}` says again what stands before it in the line.", piece.text);
            reader.refuse(&MEASURE_FORM, piece.span(), message, None);
            return None;
        }
    }
    let wanted = if place_word.text == "from" { 2 } else { 1 };
    let no_word = |piece: &Piece<'_>| piece.is_empty() || piece.text == "that";
    if things.len() != wanted || unit.is_empty() || things.iter().chain(name.iter().map(|(name, _)| name)).any(no_word)
    {
        refused(reader, line, row);
        return None;
    }
    // Every part is looked at, so that all that is wrong in the line is told.
    let unit = reader.unit(line, unit);
    let at_span = things.iter().fold(place_word.span(), |span, thing| span.to(thing.span()));
    let at = place(reader, line, place_word.text, &things);
    let watched = over.map(|(kind, time)| watched(reader, line, kind, time));
    let name = name.map(|(name, _)| reading_name(reader, line, name));
    let over = match watched {
        Some(watched) => Some(watched?),
        None => None,
    };
    Some(Says::Measure(Measure { unit: unit?, at: at?, at_span, over, loaded: loaded.is_some(), name }))
}

fn reading_name<'s>(reader: &mut Reader<'s>, line: Piece<'s>, piece: Piece<'s>) -> Word {
    if piece.text.starts_with(|c: char| c.is_ascii_digit()) {
        let message = format!("`{}` cannot be the name of a reading: in a sum it would be a number.", piece.text);
        reader.refuse(&names::BAD_NAME, piece.span(), message, mend(line, piece.span(), &format!("i{}", piece.text)));
        return piece.word();
    }
    names::declared(reader, line, piece, "a reading")
}

fn place<'s>(reader: &mut Reader<'s>, line: Piece<'s>, place_word: &str, things: &[Piece<'s>]) -> Option<Probes> {
    let mut thing = |at: usize, takes| names::thing(reader, line, *things.get(at)?, takes);
    Some(match place_word {
        "across" => Probes::Across(thing(0, Takes::Part)?),
        "through" => Probes::Through(thing(0, Takes::Either)?),
        "of" => Probes::Of(thing(0, Takes::Part)?),
        "at" => Probes::At(thing(0, Takes::Part)?),
        _ => {
            let from = thing(0, Takes::Point);
            let to = thing(1, Takes::Point);
            Probes::Between(from?, to?)
        }
    })
}

fn watched<'s>(reader: &mut Reader<'s>, line: Piece<'s>, kind: Piece<'s>, time: Piece<'s>) -> Option<Over> {
    let kind = match kind.text {
        "highest" => OverKind::Highest,
        "lowest" => OverKind::Lowest,
        "average" => OverKind::Average,
        _ => OverKind::Change,
    };
    Some(Over { kind, time: amounts::amount(reader, line, time, Wants::Time)? })
}

/// What is wrong with a `measure` line that could not be read.
pub(super) fn refused<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord) {
    let (_, rest) = line.first_word();
    let entries = rest.entries();
    let Some((first, more)) = entries.split_first() else { return };
    let words = first.words();
    let is_place = |word: &Piece<'_>| matches!(word.text, "across" | "through" | "from" | "of" | "at");
    let Some(at) = words.iter().position(is_place) else {
        return no_place(reader, line, row, *first, &words);
    };
    if at == 0 {
        let message = "Between `measure` and the place the unit is missing.";
        let place = words.first().copied().unwrap_or(*first);
        // A clamp reads amps; anywhere else it may be volts or ohms, live or dead.
        let better = (place.text == "through").then(|| mend(line, place.span(), "A through"));
        return reader.refuse_or_like(&MEASURE_FORM, place.span(), message, better, row);
    }
    if let Some(place) = words.get(at..).and_then(<[_]>::split_first) {
        let (word, behind) = place;
        let names: Vec<&Piece<'_>> = behind.iter().filter(|word| word.text != "that").collect();
        let ends = behind.iter().position(|word| word.text == "to");
        match (word.text, ends) {
            ("from", None) => {
                let message = "`from` needs its other end: `from POINT to POINT`.";
                let better = match names.as_slice() {
                    [from, link, to] if matches!(link.text, "and" | "-") => {
                        Some(mend(line, word.to(**to, line).span(), &format!("from {} to {}", from.text, to.text)))
                    }
                    _ => None,
                };
                let place = first.rest(word.start - first.start).span();
                return reader.refuse_or_like(&MEASURE_FORM, place, message, better, row);
            }
            (_, None) if names.is_empty() => {
                let message = format!("Behind `{}` the place is missing.", word.text);
                return reader.refuse_like(&MEASURE_FORM, word.span(), message, row);
            }
            (other, Some(_)) if other != "from" => {
                let message = format!("Two points are joined by `from` and `to`, not by `{other}` and `to`.");
                return reader.refuse(&MEASURE_FORM, word.span(), message, mend(line, word.span(), "from"));
            }
            _ => {}
        }
        // "across relay highest over 10 s": the comma is missing.
        let begins = |word: &&Piece<'_>| {
            matches!(word.text, "highest" | "lowest" | "average" | "change" | "loaded" | "call" | "while" | "over")
        };
        if let Some(option) = behind.iter().skip(1).find(begins) {
            let message = format!("In front of `{}` goes a comma.", option.text);
            let before = line.text.get(..option.start - line.start).unwrap_or("").trim_end();
            let after = line.text.get(option.start - line.start..).unwrap_or("");
            return reader.refuse(&MEASURE_FORM, option.span(), message, format!("{before}, {after}"));
        }
        let wrong = more.iter().find(|entry| !is_option(entry));
        if let Some(wrong) = wrong {
            return odd_option(reader, line, row, *wrong);
        }
        if let Some(extra) = behind.last() {
            let joined = |names: &[&Piece<'_>]| names.iter().map(|name| name.text).collect::<Vec<_>>().join("-");
            let link = names.iter().position(|name| name.text == "to").filter(|_| word.text == "from");
            let (said, better) = match (names.as_slice(), link.and_then(|at| names.split_at_checked(at))) {
                (_, Some((from @ [start, ..], [_, to @ ..]))) if !to.is_empty() => {
                    let end = start.to(*extra, line);
                    (end, Some(mend(line, end.span(), &format!("{} to {}", joined(from), joined(to)))))
                }
                ([first, ..], None) if word.text != "from" => {
                    let whole = first.to(*extra, line);
                    (whole, Some(mend(line, whole.span(), &joined(&names))))
                }
                _ => (*extra, None),
            };
            let message = format!("A name is one word, and `{}` has more.", said.text);
            return reader.refuse_or_like(&MEASURE_FORM, said.span(), message, better, row);
        }
    }
    reader.refuse_like(&MEASURE_FORM, line.span(), "This `measure` line cannot be read.", row);
}

fn no_place<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord, first: Piece<'s>, words: &[Piece<'s>]) {
    let texts: Vec<&str> = words.iter().map(|word| word.text).collect();
    // "V AC L1 to L2", "V AC L1 and L2", "V AC between L1 and L2".
    let between = texts.iter().position(|text| *text == "between").unwrap_or(texts.len());
    let link = texts.iter().rposition(|text| matches!(*text, "to" | "and"));
    if let Some(at) = link.filter(|at| *at > 0 && at + 2 == texts.len()) {
        // "ohms on T1 to ground"
        let wrong_word = at >= 2 && matches!(texts.get(at - 2), Some(&("on" | "for" | "with")));
        let from = if between < at { between } else { at - 1 - usize::from(wrong_word) };
        if let (Some(start), Some(one), Some(other)) = (words.get(from), words.get(at - 1), words.get(at + 1)) {
            let message = "A reading between two points is written `from POINT to POINT`.";
            let better = format!("from {} to {}", one.text, other.text);
            return reader.refuse(
                &MEASURE_FORM,
                start.to(*other, line).span(),
                message,
                mend(line, start.to(*other, line).span(), &better),
            );
        }
    }
    let unit_known = Unit::parse(first.text).is_some();
    let span = if first.is_empty() { line.span() } else { first.span() };
    let message = if unit_known {
        format!(
            "Behind `{}` the place is missing: `across PART`, `through PART`, `from POINT to POINT`, `of PART` or `at READING`.",
            first.text
        )
    } else {
        "This line names no place: `across PART`, `through PART`, `from POINT to POINT`, `of PART` or `at READING`."
            .to_owned()
    };
    reader.refuse_like(&MEASURE_FORM, span, message, row);
}

fn is_option(entry: &Piece<'_>) -> bool {
    let texts: Vec<&str> = entry.words().iter().map(|word| word.text).collect();
    matches!(
        texts.as_slice(),
        ["highest" | "lowest" | "average" | "change", "over", _, ..] | ["loaded"] | ["call", "it", _]
    )
}

fn odd_option<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord, entry: Piece<'s>) {
    let span = if entry.is_empty() { line.span() } else { entry.span() };
    let words = entry.words();
    let texts: Vec<&str> = words.iter().map(|word| word.text).collect();
    let forms =
        "`highest over TIME`, `lowest over TIME`, `average over TIME`, `change over TIME`, `loaded` or `call it NAME`";
    let (message, better) = match texts.as_slice() {
        [] => ("Between two commas nothing stands.".to_owned(), None),
        ["call", "it"] => {
            ("Behind `call it` the name is missing.".to_owned(), Some(format!("{} {}", line.text, fill_in::READING)))
        }
        ["call", name] => {
            ("A reading gets its name with `call it`.".to_owned(), Some(mend(line, span, &format!("call it {name}"))))
        }
        ["call", "it", ..] => {
            let name = names::slug(&texts.get(2..).unwrap_or_default().join(" "));
            ("A name is one word.".to_owned(), Some(mend(line, span, &format!("call it {name}"))))
        }
        ["max" | "maximum" | "peak", "over", time @ ..] => (
            format!("`{}` is not one of the words here: it is `highest over`.", entry.text),
            Some(mend(line, span, &format!("highest over {}", time.join(" ")))),
        ),
        ["min" | "minimum", "over", time @ ..] => (
            format!("`{}` is not one of the words here: it is `lowest over`.", entry.text),
            Some(mend(line, span, &format!("lowest over {}", time.join(" ")))),
        ),
        ["highest" | "lowest" | "average" | "change", ..] => (
            format!("`{}` needs its time: `{} over 10 s`.", entry.text, texts.first().unwrap_or(&"")),
            Some(mend(line, span, &format!("{} over 10 s", texts.first().unwrap_or(&"")))),
        ),
        _ => {
            let before = line.text.get(..entry.start - line.start).unwrap_or("").trim_end().trim_end_matches(',');
            let behind = line.text.get(entry.start + entry.text.len() - line.start..).unwrap_or("");
            let message = format!("`{}` does not belong behind the place. There go {forms}.", entry.text);
            (message, Some(format!("{before}{behind}")))
        }
    };
    reader.refuse_or_like(&MEASURE_FORM, span, message, better, row);
}
