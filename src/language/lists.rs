//! Lists with commas: names, tools, `for`, `with` and `leave`.

use super::fill_in;
use super::first_word::{FirstWord, Key};
use super::grammar::Rule as Kind;
use super::names::{self, ONE_NAME, Takes};
use super::piece::Piece;
use super::reader::{Reader, mend, word};
use super::syntax::{For, Says, Setting, Word};
use crate::text::rule::{Level, Rule};
use pest::iterators::Pair;

/// A comma with nothing on one side.
pub static STRAY_COMMA: Rule = Rule {
    code: "stray-comma",
    level: Level::Error,
    says: "Between two commas, and on both sides of one, something stands.",
    why: "A list with a hole in it is a list somebody meant to finish.",
    wrong: "tools clamp meter, , gloves",
    mended: "tools clamp meter, gloves",
};

/// A state without its value, or too many words.
pub static STATE_FORM: Rule = Rule {
    code: "state-form",
    level: Level::Error,
    says: "`with` and `leave` take pairs of a state and its value, with commas between.",
    why: "The way from one state to the next is worked out from these pairs: power, covers, leads, heat.",
    wrong: "with power live covers off",
    mended: "with power live, covers off",
};

/// A `for` line that cannot be read.
pub static FOR_FORM: Rule = Rule {
    code: "for-form",
    level: Level::Error,
    says: "`for` takes parts with their faults, `each BANK`, `that BANK`, or `anything else`.",
    why: "What a repair is for decides in the shakedown whether it was the right one.",
    wrong: "test zone-amps: Amps of each zone\nfor each\nmeasure A through zone.Z",
    mended: "test zone-amps: Amps of each zone\nfor each zone\nmeasure A through zone.Z",
};

/// `unit`, `finish`, `verify`, `tools`.
pub(super) fn read<'s>(
    reader: &mut Reader<'s>,
    line: Piece<'s>,
    row: &FirstWord,
    pair: Pair<'s, Kind>,
) -> Option<Says> {
    let mut words = Vec::new();
    for part in pair.into_inner() {
        let piece = Piece::read(line, &part).trim();
        if piece.is_empty() {
            stray_comma(reader, line);
            return None;
        }
        words.push(match row.key {
            Key::Tools => piece.word(),
            _ if piece.text.contains(' ') => {
                let names: Vec<&str> =
                    piece.words().iter().map(|word| word.text).filter(|text| *text != "and").collect();
                let message = format!("`{}` is more than one name: between names go commas.", piece.text);
                // "gas pressure" where there is a `test gas-pressure`, "booster 208" of a unit.
                let one = names.join("-");
                let is_one = reader.text.contains(&format!(" {one}:"))
                    || row.key == Key::Unit && one.ends_with(|c: char| c.is_ascii_digit());
                let (message, better) = if is_one {
                    (format!("A name is one word, and `{}` has more.", piece.text), one)
                } else {
                    (message, names.join(", "))
                };
                reader.refuse(&ONE_NAME, piece.span(), message, mend(line, piece.span(), &better));
                return None;
            }
            Key::Unit => names::declared(reader, line, piece, "a unit"),
            _ => piece.word(),
        });
    }
    Some(match row.key {
        Key::Tools => Says::Tools(words),
        Key::Unit => Says::Units(words),
        Key::Finish => Says::Finish(words),
        _ => Says::Verify(words),
    })
}

fn stray_comma<'s>(reader: &mut Reader<'s>, line: Piece<'s>) {
    let (first, rest) = line.first_word();
    let entries: Vec<&str> = rest.entries().iter().map(|entry| entry.text).filter(|text| !text.is_empty()).collect();
    // The first comma with nothing before or behind it.
    let at = line.text.match_indices(',').map(|(at, _)| at).find(|at| {
        let empty = |text: &str| text.trim_matches(' ').is_empty();
        let before = line.text.get(..*at).unwrap_or("");
        let behind = line.text.get(at + 1..).unwrap_or("");
        empty(behind)
            || behind.trim_start_matches(' ').starts_with(',')
            || empty(before)
            || before.trim_end_matches(' ').len() <= first.text.len()
    });
    let span = at.map_or(line.span(), |at| line.part(at, at + 1).span());
    let instead = format!("{} {}", first.text, entries.join(", "));
    reader.refuse(&STRAY_COMMA, span, "A comma here has nothing on one side.", instead);
}

/// `for …`
pub(super) fn read_for<'s>(
    reader: &mut Reader<'s>,
    line: Piece<'s>,
    row: &FirstWord,
    pair: Pair<'s, Kind>,
) -> Option<Says> {
    let mut entries = Vec::new();
    let mut sound = true;
    for part in pair.into_inner() {
        let whole = Piece::read(line, &part);
        let (mut bank_word, mut name, mut behind) = ("", whole, None);
        for word in part.into_inner() {
            match word.as_rule() {
                Kind::bank_word => bank_word = word.as_str().trim_end(),
                Kind::name => name = Piece::read(line, &word),
                _ => behind = Some(Piece::read(line, &word).trim()).filter(|piece| !piece.is_empty()),
            }
        }
        let entry = match (bank_word, name.text, behind) {
            ("", "anything", Some(Piece { text: "else", .. })) => Some(For::AnythingElse(whole.trim().span())),
            (_, "", _) | ("", "each" | "that", None) | ("each", _, Some(_)) | ("", "anything", Some(_)) => {
                refused_for(reader, line, row);
                return None;
            }
            ("each", ..) => plain_name(reader, name).then(|| For::Each(name.word())),
            ("that", ..) => names::thing(reader, line, name, Takes::Either).map(|_| {
                let (bank, part) = match name.text.find('.') {
                    Some(dot) => (name.part(0, dot), Some(name.rest(dot + 1).word())),
                    None => (name, None),
                };
                For::That { bank: bank.word(), part, fault: behind.map(Piece::word) }
            }),
            _ => names::thing(reader, line, name, Takes::Part)
                .map(|part| For::Part { part, fault: behind.map(Piece::word) }),
        };
        match entry {
            Some(entry) => entries.push(entry),
            None => sound = false,
        }
    }
    sound.then_some(Says::For(entries))
}

fn plain_name(reader: &mut Reader<'_>, piece: Piece<'_>) -> bool {
    let plain = names::is_plain(piece.text);
    if !plain {
        let message = format!("`{}` cannot be the name of a bank: names take letters, digits and hyphens.", piece.text);
        reader.refuse(&names::BAD_NAME, piece.span(), message, None);
    }
    plain
}

/// What is wrong with a `for` line that could not be read.
pub(super) fn refused_for<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord) {
    let (_, rest) = line.first_word();
    for entry in rest.entries() {
        let words = entry.words();
        let texts: Vec<&str> = words.iter().map(|word| word.text).collect();
        match texts.as_slice() {
            [] => return stray_comma(reader, line),
            ["each", bank, more @ ..] if !more.is_empty() => {
                let message =
                    format!("Behind `each` stands the name of one bank, and `{}` is too much.", more.join(" "));
                let better = mend(line, entry.span(), &format!("each {bank}"));
                return reader.refuse(&FOR_FORM, entry.span(), message, better);
            }
            ["anything", other, ..] if *other != "else" => {
                let message = format!("`{}` is not `anything else`.", entry.text);
                return reader.refuse(&FOR_FORM, entry.span(), message, mend(line, entry.span(), "anything else"));
            }
            ["anything", "else", more @ ..] if !more.is_empty() => {
                let message = format!("`anything else` stands alone, and `{}` is too much.", more.join(" "));
                return reader.refuse(&FOR_FORM, entry.span(), message, mend(line, entry.span(), "anything else"));
            }
            [word @ ("each" | "that")] => {
                let message = format!("Behind `{word}` the name of the bank is missing.");
                let better = mend(line, entry.span(), &format!("{word} {}", fill_in::BANK));
                return reader.refuse(&FOR_FORM, entry.span(), message, better);
            }
            _ => {}
        }
    }
    reader.refuse_like(&FOR_FORM, rest.span(), format!("`{}` cannot be read.", rest.text), row);
}

/// `with …`, `leave …`
pub(super) fn read_settings<'s>(
    reader: &mut Reader<'s>,
    line: Piece<'s>,
    row: &FirstWord,
    pair: Pair<'s, Kind>,
) -> Option<Says> {
    let mut settings = Vec::new();
    let mut because: Option<Word> = None;
    let mut parts = pair.into_inner();
    while let Some(part) = parts.next() {
        if part.as_rule() == Kind::text {
            because = Some(word(line, &part));
            continue;
        }
        let (state, value) = (Piece::read(line, &part), Piece::read(line, &parts.next()?));
        if state.is_empty() || value.is_empty() {
            refused_settings(reader, line, row);
            return None;
        }
        let state = names::state(reader, line, state);
        let value = names::state(reader, line, value);
        settings.push(Setting { state, value });
    }
    Some(match row.key {
        Key::With => Says::With(settings),
        _ => Says::Leave { settings, because },
    })
}

/// What is wrong with a `with` or `leave` line that could not be read.
pub(super) fn refused_settings<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord) {
    let (_, rest) = line.first_word();
    for entry in rest.entries() {
        let words = entry.words();
        let texts: Vec<&str> = words.iter().map(|word| word.text).collect();
        match texts.as_slice() {
            [] => return stray_comma(reader, line),
            ["because", ..] if row.key == Key::Leave => {
                if texts.len() == 1 {
                    let better = format!("{} {}", line.text, fill_in::REASON);
                    return reader.refuse(&STATE_FORM, entry.span(), "Behind `because` the reason is missing.", better);
                }
                return reader.refuse_like(&STATE_FORM, entry.span(), "`because` stands behind the states.", row);
            }
            [state] => {
                let message = format!("`{state}` stands alone: a state and its value make a pair, as in `power live`.");
                let better = match *state {
                    "live" | "locked-out" => format!("power {state}"),
                    _ => format!("{state} {}", fill_in::VALUE),
                };
                return reader.refuse(&STATE_FORM, entry.span(), message, mend(line, entry.span(), &better));
            }
            [_, _] => {}
            _ => {
                let because = words.iter().find(|word| word.text == "because" && row.key == Key::Leave);
                if let Some(because) = because {
                    let before = line.text.get(..because.start - line.start).unwrap_or("").trim_end();
                    let after = line.text.get(because.start - line.start..).unwrap_or("");
                    let message = "In front of `because` goes a comma.";
                    return reader.refuse(&STATE_FORM, because.span(), message, format!("{before}, {after}"));
                }
                let joined = entry.text.replace("locked out", "locked-out").replace("lock out", "locked-out");
                let kept: Vec<&str> = joined.split(' ').filter(|text| !text.is_empty() && *text != "and").collect();
                let even = kept.len().is_multiple_of(2);
                let pairs = kept.chunks(2).map(|pair| pair.join(" ")).collect::<Vec<_>>().join(", ");
                let message = if let [state, value] = kept.as_slice() {
                    format!("`{}` is written in two words: `{state} {value}`.", entry.text)
                } else {
                    format!("`{}` is more than a state and its value: between pairs goes a comma.", entry.text)
                };
                return reader.refuse(
                    &STATE_FORM,
                    entry.span(),
                    message,
                    even.then(|| mend(line, entry.span(), &pairs)),
                );
            }
        }
    }
    reader.refuse_like(&STATE_FORM, rest.span(), format!("`{}` cannot be read.", rest.text), row);
}
