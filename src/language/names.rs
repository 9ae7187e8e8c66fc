//! Names: of playbooks, tests and units, which become folders and addresses; of states; of parts and points.

use super::piece::Piece;
use super::reader::{Reader, mend};
use super::syntax::Word;
use crate::text::rule::{Level, Rule};

/// A name that could not be a folder or an address everywhere.
pub static BAD_NAME: Rule = Rule {
    code: "bad-name",
    level: Level::Error,
    says: "A name is made of small letters, digits and hyphens.",
    why: "Names become folders and addresses of pages, which have to work on every machine and in every link.",
    wrong: "test Line Volts: Volts at the disconnect",
    mended: "test line-volts: Volts at the disconnect",
};

/// Several words where one name goes.
pub static ONE_NAME: Rule = Rule {
    code: "one-name",
    level: Level::Error,
    says: "A name is one word, and names in a list have commas between them.",
    why: "With a blank in it, one name reads as two.",
    wrong: "playbook no-heat: It stays cold\nfinish line-volts goes-off",
    mended: "playbook no-heat: It stays cold\nfinish line-volts, goes-off",
};

/// A point where a part goes, or the reverse.
pub static POINT_OR_PART: Rule = Rule {
    code: "point-or-part",
    level: Level::Error,
    says: "`from` and `to` take points, which start with a capital letter (`L1`); `across`, `of` and `at` take parts and readings, which start with a small one.",
    why: "Probes go on points; a part is read across its two. The capital tells the two apart in every line.",
    wrong: "measure V AC from l1 to N",
    mended: "measure V AC from L1 to N",
};

/// Longest name; a folder in a folder has to fit in a path on every machine. The number is ours.
const LONGEST_NAME: usize = 60;

/// Names a Windows machine keeps for itself, in whatever folder they stand.
/// Source: Microsoft, "Naming Files, Paths, and Namespaces" (from memory).
const KEPT_BY_WINDOWS: &[&str] = &["con", "prn", "aux", "nul"];

/// Which kind of thing a place of a `measure` line takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Takes {
    /// A part or a reading: small letter.
    Part,
    /// A point: capital.
    Point,
    /// Either.
    Either,
}

/// A name that becomes a folder or an address; what was legible of it is returned, mended.
pub(super) fn declared<'s>(reader: &mut Reader<'s>, line: Piece<'s>, piece: Piece<'s>, what: &str) -> Word {
    let Some(trouble) = trouble_with(piece.text) else { return piece.word() };
    let better = slug(piece.text);
    let instead = (trouble_with(&better).is_none()).then(|| mend(line, piece.span(), &better));
    let message = match trouble {
        Trouble::Letters => {
            format!("`{}` cannot be the name of {what}: names take small letters, digits and hyphens.", piece.text)
        }
        Trouble::Kept => {
            format!("`{}` cannot be the name of {what}: Windows keeps that name for itself.", piece.text)
        }
        Trouble::Long => {
            format!("This name is too long: it may have {LONGEST_NAME} letters, digits and hyphens.")
        }
    };
    reader.refuse(&BAD_NAME, piece.span(), message, instead);
    let text = if better.is_empty() { piece.text.into() } else { better.into_boxed_str() };
    Word { text, span: piece.span() }
}

enum Trouble {
    Letters,
    Kept,
    Long,
}

fn trouble_with(name: &str) -> Option<Trouble> {
    let letters = name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
    if !letters || name.is_empty() || name.starts_with('-') || name.ends_with('-') {
        return Some(Trouble::Letters);
    }
    if name.len() > LONGEST_NAME {
        return Some(Trouble::Long);
    }
    let port = name.strip_prefix("com").or_else(|| name.strip_prefix("lpt"));
    let kept = KEPT_BY_WINDOWS.contains(&name)
        || port.is_some_and(|digit| digit.len() == 1 && digit.bytes().all(|b| b.is_ascii_digit()));
    kept.then_some(Trouble::Kept)
}

/// The nearest right name: small letters, hyphens for everything else.
pub(super) fn slug(text: &str) -> String {
    let mut name = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_ascii_alphanumeric() {
            name.push(c.to_ascii_lowercase());
        } else if !name.ends_with('-') && !name.is_empty() {
            name.push('-');
        }
    }
    name.trim_end_matches('-').to_owned()
}

/// One name out of `piece`; more than one word is refused.
pub(super) fn single<'s>(reader: &mut Reader<'s>, line: Piece<'s>, piece: Piece<'s>) -> Option<Word> {
    if piece.text.contains([',', ' ']) {
        let message = format!("One name goes here, and `{}` is more than one word.", piece.text);
        let one = piece.text.split(' ').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-");
        let instead = (!piece.text.contains(',')).then(|| mend(line, piece.span(), &one));
        reader.refuse(&ONE_NAME, piece.span(), message, instead);
        return None;
    }
    Some(piece.word())
}

/// The name of a state or of one of its values.
pub(super) fn state<'s>(reader: &mut Reader<'s>, line: Piece<'s>, piece: Piece<'s>) -> Word {
    if piece.text.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-') {
        return piece.word();
    }
    let better = slug(piece.text);
    let instead = (!better.is_empty()).then(|| mend(line, piece.span(), &better));
    let message =
        format!("`{}` cannot be a state or a value: they take small letters, digits and hyphens.", piece.text);
    reader.refuse(&BAD_NAME, piece.span(), message, instead);
    Word { text: better.into(), span: piece.span() }
}

/// A part, a point or a reading: `heater-relay`, `zone-3.relay`, `that zone.Z`, `module.supply`.
pub(super) fn thing<'s>(reader: &mut Reader<'s>, line: Piece<'s>, piece: Piece<'s>, takes: Takes) -> Option<Word> {
    let (that, name) = match piece.first_word() {
        (first, rest) if first.text == "that" && !rest.is_empty() => (true, rest),
        _ => (false, piece),
    };
    if !name.text.split('.').all(is_plain) || name.text.split('.').count() > 3 {
        let message = format!(
            "`{}` cannot be the name of a part or a point: names take letters, digits and hyphens, and a point behind a bank or a part.",
            name.text
        );
        reader.refuse(&BAD_NAME, name.span(), message, None);
        return None;
    }
    let from = name.text.rfind('.').map_or(0, |at| at + 1);
    let last = name.text.get(from..).unwrap_or("");
    let capital = last.starts_with(|c: char| c.is_ascii_uppercase());
    match takes {
        Takes::Point if !capital => {
            let upper = format!("{}{}", name.text.get(..from).unwrap_or(""), last.to_uppercase());
            let message =
                format!("Probes go on points, and `{}` has a part's name: a point starts with a capital.", name.text);
            let instead = last.len() <= 3 && last.starts_with(|c: char| c.is_ascii_lowercase());
            reader.refuse(&POINT_OR_PART, name.span(), message, instead.then(|| mend(line, name.span(), &upper)));
            return None;
        }
        Takes::Part if capital => {
            let message = format!(
                "`{}` is a point, for it starts with a capital, and here goes a part or a reading, which starts with a small letter.",
                name.text
            );
            reader.refuse(&POINT_OR_PART, name.span(), message, None);
            return None;
        }
        _ => {}
    }
    Some(if that { Word { text: format!("that {}", name.text).into(), span: piece.span() } } else { name.word() })
}

/// Letters, digits and hyphens, at least one.
pub(super) fn is_plain(name: &str) -> bool {
    !name.is_empty() && name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
}
