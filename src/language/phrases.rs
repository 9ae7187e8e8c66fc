//! Lines of plain words, and those with one small thing in them: a time, a file, a date, a code.

use super::amounts::{self, Wants};
use super::fill_in;
use super::first_word::{FirstWord, Key};
use super::grammar::Rule as Kind;
use super::names;
use super::piece::Piece;
use super::reader::{Reader, mend, word};
use super::syntax::{Amount, Says, Word};
use crate::text::rule::{Level, Rule};
use jiff::civil::Date;
use pest::iterators::Pair;

/// A line with something missing.
pub static UNFINISHED_LINE: Rule = Rule {
    code: "unfinished-line",
    level: Level::Error,
    says: "Every line says all of what its first word promises.",
    why: "A line that stops halfway leaves the technician to guess the rest.",
    wrong: "wait 10 minutes or",
    mended: "wait 10 minutes or until the light goes out",
};

/// A date that is none.
pub static DATE_FORM: Rule = Rule {
    code: "date-form",
    level: Level::Error,
    says: "`revised` takes a true date, year first: 2026-10-05.",
    why: "10/5 is read as the tenth of May or the fifth of October; with the year first it is read in one way.",
    wrong: "playbook no-heat: It stays cold\nrevised 10/5/2026",
    mended: "playbook no-heat: It stays cold\nrevised 2026-10-05",
};

/// A picture that is not a file beside the playbook.
pub static PICTURE_FILE: Rule = Rule {
    code: "picture-file",
    level: Level::Error,
    says: "`picture` takes a file in the playbook's own folder or below it.",
    why: "Pages are read where there is no signal: a picture from elsewhere would be missing when it is needed.",
    wrong: "picture ../rod.png: The rod in the flame",
    mended: "picture rod.png: The rod in the flame",
};

/// What stands behind the first word, where the line takes it as one run of words. Half the lines of a playbook are of this kind, so
/// they are cut here; the grammar reads them the same, and a test holds the two together.
pub(super) fn run_of_words<'s>(line: Piece<'s>, row: &FirstWord, answers: bool) -> Option<Piece<'s>> {
    let whole = match row.key {
        Key::Symptom | Key::Revised | Key::Was | Key::Danger | Key::Warning | Key::Caution | Key::Notice => true,
        Key::Do | Key::Why | Key::Ask | Key::Answers | Key::Takes | Key::Part | Key::To | Key::Because => true,
        Key::Good | Key::If | Key::All => answers,
        _ => false,
    };
    let behind = line.rest(row.word.len()).trim();
    (whole && !behind.is_empty()).then_some(behind)
}

/// A line of words.
pub(super) fn read<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord, piece: Piece<'s>) -> Option<Says> {
    Some(match row.key {
        Key::Symptom => Says::Symptom(piece.word()),
        Key::Do => Says::Do(piece.word()),
        Key::Why => Says::Why(piece.word()),
        Key::Ask => Says::Ask(piece.word()),
        Key::Part => Says::Part(piece.word()),
        Key::To => Says::To(piece.word()),
        Key::Because => Says::Because(piece.word()),
        Key::Answers => Says::Answers(names::single(reader, line, piece)?),
        Key::Was => {
            names::single(reader, line, piece)?;
            Says::Was(names::declared(reader, line, piece, "a playbook"))
        }
        Key::Revised => Says::Revised(date(reader, line, row, piece)?),
        Key::Takes => Says::Takes(time(reader, line, row, piece)?),
        _ => Says::Signal(row.key.signal()?, piece.word()),
    })
}

fn date<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord, piece: Piece<'s>) -> Option<Word> {
    let shape = |text: &str| {
        text.len() == 10
            && text.bytes().enumerate().all(|(at, b)| if matches!(at, 4 | 7) { b == b'-' } else { b.is_ascii_digit() })
    };
    if shape(piece.text) {
        if piece.text.parse::<Date>().is_ok() {
            return Some(piece.word());
        }
        let message = format!("`{}` is not a day of the calendar.", piece.text);
        reader.refuse(&DATE_FORM, piece.span(), message, None);
        return None;
    }
    let better = other_date(piece.text).map(|date| mend(line, piece.span(), &date));
    let message = format!("`{}` is not a date with the year first.", piece.text);
    reader.refuse_or_like(&DATE_FORM, piece.span(), message, better, row);
    None
}

/// The dates people write in the United States, with the year first: "10/5/2026", "10-5-26", "2026/10/5", "October 5, 2026".
fn other_date(text: &str) -> Option<String> {
    const MONTHS: &[&str] = &["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let parts: Vec<&str> = text.split(|c: char| !c.is_ascii_alphanumeric()).filter(|part| !part.is_empty()).collect();
    let [a, b, c] = parts.as_slice() else { return None };
    let (year, month, day) = if a.len() == 4 { (a, b, c) } else { (c, a, b) };
    let named = |word: &str| {
        let start = word.get(..3)?.to_ascii_lowercase();
        let at = MONTHS.iter().position(|month| *month == start)?;
        i8::try_from(at + 1).ok()
    };
    // "5 October 2026" has its month second.
    let (month, day) = match (named(month), named(day)) {
        (Some(month), None) => (month, day.parse().ok()?),
        (None, Some(named)) => (named, month.parse().ok()?),
        _ => (month.parse().ok()?, day.parse().ok()?),
    };
    let mut year: i16 = year.parse().ok()?;
    if (0..100).contains(&year) {
        year += 2000;
    }
    Date::new(year, month, day).ok().map(|date| date.to_string())
}

/// `accept CODE: REASON`
pub(super) fn read_accept<'s>(
    reader: &mut Reader<'s>,
    line: Piece<'s>,
    row: &FirstWord,
    pair: Pair<'s, Kind>,
) -> Option<Says> {
    let mut parts = pair.into_inner();
    let code = Piece::read(line, &parts.next()?).trim();
    let reason = word(line, &parts.next()?);
    if code.is_empty() || code.text.contains(' ') || reason.text.is_empty() {
        refused(reader, line, row);
        return None;
    }
    Some(Says::Accept { code: code.word(), reason })
}

/// `picture FILE: WHAT IT SHOWS`
pub(super) fn read_picture<'s>(reader: &mut Reader<'s>, line: Piece<'s>, pair: Pair<'s, Kind>) -> Option<Says> {
    let mut parts = pair.into_inner();
    let file = Piece::read(line, &parts.next()?);
    let file = file.part(0, file.text.strip_suffix(':').unwrap_or(file.text).len()).trim();
    let shows = parts.next().map(|part| word(line, &part));
    let elsewhere = file.text.contains(['\\', ':', '?', '*', '<', '>', '|', '"'])
        || file.text.split('/').any(|part| part.is_empty() || part == ".." || part == ".");
    if elsewhere {
        let name = file.text.rsplit(['/', '\\']).next().unwrap_or("");
        let message = format!("`{}` is not a file in the playbook's own folder or below it.", file.text);
        let plain = !name.is_empty() && !name.contains([':', '?', '*', '<', '>', '|', '"']);
        reader.refuse(&PICTURE_FILE, file.span(), message, plain.then(|| mend(line, file.span(), name)));
        return None;
    }
    let end = file.span().end;
    let empty = || Word { text: "".into(), span: crate::text::source::Span { start: end, end } };
    Some(Says::Picture { file: file.word(), shows: shows.unwrap_or_else(empty) })
}

/// `wait TIME [or until TEXT]`
pub(super) fn read_wait<'s>(
    reader: &mut Reader<'s>,
    line: Piece<'s>,
    row: &FirstWord,
    pair: Pair<'s, Kind>,
) -> Option<Says> {
    let mut parts = pair.into_inner();
    let time = time(reader, line, row, Piece::read(line, &parts.next()?))?;
    let until = parts.next().map(|part| word(line, &part));
    Some(Says::Wait { time, until })
}

fn time<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord, piece: Piece<'s>) -> Option<Amount> {
    if !amounts::starts_number(piece.text) || piece.text.ends_with(" or") {
        refused_time(reader, line, row);
        return None;
    }
    amounts::amount(reader, line, piece, Wants::Time)
}

/// What is wrong with such a line that could not be read.
pub(super) fn refused<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord) {
    let (_, rest) = line.first_word();
    let words = rest.words();
    let (span, message, instead) = match row.key {
        Key::Wait => return refused_time(reader, line, row),
        Key::Accept => {
            let message = "`accept` takes the code of a warning, a colon and the reason.";
            let instead = match words.as_slice() {
                [code, _, ..] if !rest.text.contains(':') => Some(mend(line, code.span(), &format!("{}:", code.text))),
                [code] => Some(format!("accept {}: {}", code.text.trim_end_matches(':'), fill_in::REASON)),
                _ => None,
            };
            (rest.span(), message.to_owned(), instead)
        }
        _ => (line.span(), format!("This `{}` line cannot be read.", row.word), None),
    };
    reader.refuse_or_like(&UNFINISHED_LINE, span, message, instead, row);
}

fn refused_time<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord) {
    let (_, rest) = line.first_word();
    let words = rest.words();
    if !amounts::starts_number(rest.text) {
        let first = words.first().copied().unwrap_or(rest);
        if first.text == "until" {
            let message = "`wait` needs its time before `or until`: nobody waits for ever.";
            let instead = mend(line, first.span(), &format!("{} or until", fill_in::TIME));
            return reader.refuse(&UNFINISHED_LINE, first.span(), message, instead);
        }
        let message = format!("Behind `{}` goes a time, and `{}` is not one.", row.word, first.text);
        return reader.refuse_like(&amounts::NOT_A_TIME, first.span(), message, row);
    }
    let or = words.iter().position(|word| word.text == "or" || word.text == "until");
    let (span, message, instead) = match or.and_then(|at| words.get(at..)) {
        Some([or]) => (or.span(), format!("Behind `{}` something is missing.", or.text), None),
        Some([or, until]) if or.text == "or" && until.text == "until" => {
            (or.to(*until, line).span(), "Behind `or until` something is missing.".to_owned(), None)
        }
        Some([until, ..]) if until.text == "until" => {
            (until.span(), "In front of `until` stands `or`.".to_owned(), Some(mend(line, until.span(), "or until")))
        }
        Some([or, next, ..]) => {
            let better = mend(line, next.span(), &format!("until {}", next.text));
            (or.span(), "A wait ends with its time `or until` something is seen.".to_owned(), Some(better))
        }
        _ => (rest.span(), format!("`{}` is not a time with `or until` behind it.", rest.text), None),
    };
    reader.refuse_or_like(&UNFINISHED_LINE, span, message, instead, row);
}
