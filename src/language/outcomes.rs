//! `good`, `if`, `all` and `cannot`: what was found, and where to go.

use super::amounts::{self, Wants};
use super::fill_in::{GOOD_ANSWER, LIMIT, NEXT_STEP, OTHER_ANSWER};
use super::first_word::{FirstWord, Key};
use super::grammar::Rule as Kind;
use super::piece::Piece;
use super::reader::{Reader, mend, word};
use super::syntax::{Limit, LimitKind, Says, Side, Target, When};
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;
use crate::trade::quantity::convert;
use crate::trade::reading::is_over_limit;
use crate::trade::unit::Unit;
use pest::iterators::Pair;

/// No ` go to `, or nothing sensible behind it.
pub static NO_GO_TO: Rule = Rule {
    code: "no-go-to",
    level: Level::Error,
    says: "`good`, `if`, `all` and `cannot` lines end in `go to NAME` or `go to playbook NAME`.",
    why: "Every outcome leads somewhere, or the technician is left standing in front of an open machine.",
    wrong: "ask Is the light on?\ngood yes goto fuses",
    mended: "ask Is the light on?\ngood yes go to fuses",
};

/// A limit that cannot be read.
pub static LIMIT_FORM: Rule = Rule {
    code: "limit-form",
    level: Level::Error,
    says: "A limit is `below X`, `above X`, `A to B UNIT`, `normal`, `below normal`, `above normal` or `OL`.",
    why: "The limits of a test take every number the meter can show, once; for that each has to be a stretch of numbers.",
    wrong: "measure V AC from L1 to N\nif under 110 V go to fuses",
    mended: "measure V AC from L1 to N\nif below 110 V go to fuses",
};

/// `good LIMIT go to X`, `cannot go to X`.
pub(super) fn read<'s>(
    reader: &mut Reader<'s>,
    line: Piece<'s>,
    row: &FirstWord,
    pair: Pair<'s, Kind>,
) -> Option<Says> {
    let mut parts = pair.into_inner();
    let first = parts.next()?;
    match first.as_rule() {
        Kind::target => Some(Says::Cannot(target(Piece::read(line, &first)))),
        _ => {
            let to = target(Piece::read(line, &parts.next()?));
            let limit = limit(reader, line, row, first)?;
            Some(Says::Outcome { kind: row.key.outcome()?, when: When::Limit(limit), to })
        }
    }
}

/// `good ANSWER go to X`: `text` is what stands behind the first word.
pub(super) fn read_answer<'s>(
    reader: &mut Reader<'s>,
    line: Piece<'s>,
    row: &FirstWord,
    text: Piece<'s>,
) -> Option<Says> {
    let Some((when, to)) = split_answer(text) else {
        refused(reader, line, row, true);
        return None;
    };
    Some(Says::Outcome { kind: row.key.outcome()?, when: When::Answer(when.word()), to: target(to) })
}

/// The answer up to the last ` go to `, and the one name behind it (two words with `playbook`).
fn split_answer(text: Piece<'_>) -> Option<(Piece<'_>, Piece<'_>)> {
    let (when, to) = text.split(text.text.rfind(" go to ")?, " go to ".len());
    let one_name = to.text.strip_prefix("playbook ").map_or(to.text, str::trim_start);
    (!when.is_empty() && !one_name.is_empty() && !one_name.contains(' ')).then_some((when, to))
}

fn target(piece: Piece<'_>) -> Target {
    match piece.text.strip_prefix("playbook ") {
        Some(name) => Target { name: piece.rest(piece.text.len() - name.len()).trim().word(), playbook: true },
        None => Target { name: piece.word(), playbook: false },
    }
}

fn limit<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord, pair: Pair<'s, Kind>) -> Option<Limit> {
    let whole = Piece::read(line, &pair);
    let form = pair.into_inner().next()?;
    let rule = form.as_rule();
    let mut parts = form.clone().into_inner();
    let kind = match rule {
        Kind::over_limit => LimitKind::OverLimit,
        Kind::normal => normal(line, Side::Within, form),
        Kind::bound => {
            let side = if parts.next()?.as_str() == "below" { Side::Below } else { Side::Above };
            let bound = parts.next()?;
            if bound.as_rule() == Kind::normal {
                normal(line, side, bound)
            } else {
                let piece = number_piece(reader, line, row, &bound)?;
                let amount = amounts::amount(reader, line, piece, Wants::Unit)?;
                if side == Side::Below { LimitKind::Below(amount) } else { LimitKind::Above(amount) }
            }
        }
        _ => {
            let from = number_piece(reader, line, row, &parts.next()?)?;
            let to = number_piece(reader, line, row, &parts.next()?)?;
            stretch(reader, line, whole, from, to)?
        }
    };
    Some(Limit { kind, span: whole.span() })
}

fn normal<'s>(line: Piece<'s>, side: Side, pair: Pair<'s, Kind>) -> LimitKind {
    LimitKind::Normal { side, at: pair.into_inner().next().map(|at| word(line, &at)) }
}

/// The piece, if it starts as a number does; else the limit is told to be none.
fn number_piece<'s>(
    reader: &mut Reader<'s>,
    line: Piece<'s>,
    row: &FirstWord,
    pair: &Pair<'s, Kind>,
) -> Option<Piece<'s>> {
    let piece = Piece::read(line, pair);
    if amounts::starts_number(piece.text) {
        return Some(piece);
    }
    refused(reader, line, row, false);
    None
}

/// `A to B UNIT`
fn stretch<'s>(
    reader: &mut Reader<'s>,
    line: Piece<'s>,
    whole: Piece<'s>,
    from: Piece<'s>,
    to: Piece<'s>,
) -> Option<LimitKind> {
    let from = amounts::amount(reader, line, from, Wants::Either);
    let unit_in_front = from.as_ref().is_some_and(|from| from.unit.is_some());
    let to = amounts::amount(reader, line, to, if unit_in_front { Wants::Either } else { Wants::Unit });
    let (from, to) = (from?, to?);
    let text = |span: Span| line.part(span.start as usize - line.start, span.end as usize - line.start).text;
    let Some(last) = to.unit else {
        let better = format!("{} {}", whole.text, from.unit.map_or("", |unit| text(unit.span)));
        let message = format!("`{}` has no unit behind its last number.", whole.text);
        reader.refuse(&amounts::MISSING_UNIT, to.span, message, mend(line, whole.span(), &better));
        return None;
    };
    let lower = from.unit.map_or(Some(from.value), |unit| convert(from.value, unit.unit, last.unit, false));
    if lower.is_some_and(|lower| lower > to.value) {
        let mut first = text(from.span).to_owned();
        if from.unit.is_none() {
            first = format!("{first} {}", text(last.span));
        }
        let message = format!("`{}` runs backwards: the lower number stands first.", whole.text);
        let better = format!("{} to {first}", text(to.span));
        reader.refuse(&LIMIT_FORM, whole.span(), message, mend(line, whole.span(), &better));
        return None;
    }
    Some(LimitKind::Between(from, to))
}

/// What is wrong with an outcome line that could not be read.
pub(super) fn refused<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord, answers: bool) {
    let (_, rest) = line.first_word();
    let Some((when, go, target)) = last_go_to(rest) else {
        return without_go_to(reader, line, row, rest);
    };
    if go.text != "go to" {
        let message = "Between `go` and `to` stands one blank.";
        return reader.refuse(&NO_GO_TO, go.span(), message, mend(line, go.span(), "go to"));
    }
    let names = target.words();
    let name_is_one = match names.as_slice() {
        [one] => !one.is_empty(),
        [first, _] => first.text == "playbook",
        _ => false,
    };
    if target.is_empty() {
        let message = "Behind `go to` the name is missing.";
        return reader.refuse(&NO_GO_TO, go.span(), message, format!("{} {NEXT_STEP}", line.text));
    }
    if !name_is_one {
        let message = format!("Behind `go to` stands one name, and `{}` is several words.", target.text);
        let better = names.iter().map(|word| word.text).collect::<Vec<_>>().join("-");
        return reader.refuse(
            &NO_GO_TO,
            target.span(),
            message,
            mend(line, target.span(), &super::names::slug(&better)),
        );
    }
    if row.key == Key::Cannot {
        let message = format!("`cannot` takes no limit and no answer, and here stands `{}`.", when.text);
        return reader.refuse(&NO_GO_TO, when.span(), message, mend(line, when.to(go, line).span(), "go to"));
    }
    if when.is_empty() {
        let (what, example) = match (answers, row.key) {
            (true, Key::Good) => ("answer", GOOD_ANSWER),
            (true, _) => ("answer", OTHER_ANSWER),
            _ => ("limit", LIMIT),
        };
        let message = format!("Between `{}` and `go to` the {what} is missing.", row.word);
        return reader.refuse(&LIMIT_FORM, line.span(), message, mend(line, go.span(), &format!("{example} go to")));
    }
    odd_limit(reader, line, when);
}

/// The last `go to` with what stands before and behind it.
fn last_go_to(piece: Piece<'_>) -> Option<(Piece<'_>, Piece<'_>, Piece<'_>)> {
    let words = piece.words();
    let at = words.windows(2).rposition(|pair| matches!(pair, [go, to] if go.text == "go" && to.text == "to"))?;
    let (go, to) = (words.get(at)?, words.get(at + 1)?);
    let from = go.start - piece.start;
    let end = to.start + to.text.len() - piece.start;
    Some((piece.part(0, from).trim(), piece.part(from, end), piece.rest(end).trim()))
}

fn without_go_to<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &FirstWord, rest: Piece<'s>) {
    let words = rest.words();
    let near = words.iter().rev().find(|word| {
        let bare = word.text.trim_end_matches(':').to_ascii_lowercase();
        matches!(bare.as_str(), "goto" | "go-to" | "go_to" | "gto" | "got" | "->" | "=>" | "→" | ":" | "then")
    });
    if let Some(near) = near {
        let message = format!("`{}` is not `go to`.", near.text);
        return reader.refuse(&NO_GO_TO, near.span(), message, mend(line, near.span(), "go to"));
    }
    // "go flow", "to flow", "Go to flow".
    let half = words.iter().rev().find(|word| word.text.eq_ignore_ascii_case("go") || word.text == "to");
    let message = format!("This `{}` line does not say where to go.", row.word);
    if row.key == Key::Cannot && half.is_none() && words.len() > 1 {
        let message = format!("{message} Whom to call stands in an `escalate`; go there.");
        return reader.refuse(&NO_GO_TO, line.span(), message, format!("{} go to {NEXT_STEP}", row.word));
    }
    let instead = match (half, words.as_slice()) {
        (Some(half), [.., last])
            if last.start > half.start && words.iter().filter(|w| w.start > half.start).count() <= 2 =>
        {
            let first = words.iter().find(|word| word.text.eq_ignore_ascii_case("go")).unwrap_or(half);
            Some(mend(line, first.to(*last, line).span(), &format!("go to {}", last.text)))
        }
        (_, [.., _, last]) if may_be_target(last.text) && row.key != Key::Cannot => {
            Some(mend(line, last.span(), &format!("go to {}", last.text)))
        }
        (_, [last]) if row.key == Key::Cannot => Some(mend(line, last.span(), &format!("go to {}", last.text))),
        (_, []) => None,
        _ => Some(format!("{} go to {NEXT_STEP}", line.text)),
    };
    reader.refuse_or_like(&NO_GO_TO, line.span(), message, instead, row);
}

/// Whether the last word of a line without `go to` may be where it goes, and not the end of a limit.
fn may_be_target(word: &str) -> bool {
    super::names::is_plain(word)
        && Unit::parse(word).is_none()
        && !amounts::starts_number(word)
        && !matches!(word, "normal" | "OL")
}

/// A limit in words that are none of a limit's.
fn odd_limit<'s>(reader: &mut Reader<'s>, line: Piece<'s>, when: Piece<'s>) {
    let words = when.words();
    let texts: Vec<&str> = words.iter().map(|word| word.text).collect();
    let span = when.span();
    let forms = "`below X`, `above X`, `A to B UNIT`, `normal` or `OL`";
    if is_over_limit(when.text) {
        let message = format!("`{}` is written `OL`, as the meter shows it.", when.text);
        return reader.refuse(&LIMIT_FORM, span, message, mend(line, span, "OL"));
    }
    let lower: Vec<String> = texts.iter().map(|text| text.to_ascii_lowercase()).collect();
    let lower: Vec<&str> = lower.iter().map(String::as_str).collect();
    let (side, used) = match lower.as_slice() {
        ["below" | "under", ..] => ("below", 1),
        ["above" | "over", ..] => ("above", 1),
        ["less" | "lower", "than", ..] => ("below", 2),
        ["more" | "greater" | "higher", "than", ..] => ("above", 2),
        ["<" | "<=", ..] => ("below", 1),
        [">" | ">=", ..] => ("above", 1),
        _ => ("", 0),
    };
    let rest = words.get(used..).unwrap_or_default();
    let number_first = |word: Option<&Piece<'_>>| word.is_some_and(|word| amounts::starts_number(word.text));
    let said = words.get(..used).and_then(|said| Some(said.first()?.to(*said.last()?, line)));
    if let Some(said) = said.filter(|said| said.text != side) {
        let message = format!("A limit says `{side}`, not `{}`.", said.text);
        return reader.refuse(&LIMIT_FORM, said.span(), message, mend(line, said.span(), side));
    }
    if used > 0 {
        if let Some(at) = rest.iter().find(|word| word.text == "or" || word.text == "and") {
            let message = format!("One line takes one limit, and `{}` joins two: write a line for each.", at.text);
            return reader.refuse(&LIMIT_FORM, at.span(), message, None);
        }
        let Some(first) = rest.first() else {
            let message = format!("Behind `{side}` a number with its unit is missing, or `normal`.");
            return reader.refuse(&LIMIT_FORM, span, message, None);
        };
        if !number_first(Some(first)) {
            let message =
                format!("Behind `{side}` goes a number with its unit, or `normal`, and `{}` is neither.", first.text);
            return reader.refuse(&LIMIT_FORM, first.span(), message, None);
        }
        if let Some(at) = rest.iter().find(|word| word.text == "to") {
            let message = format!("A limit is either `{side} X` or `A to B`, not both.");
            return reader.refuse(&LIMIT_FORM, at.span(), message, None);
        }
        let message = format!("`{}` is not a limit.", when.text);
        return reader.refuse(&LIMIT_FORM, span, message, None);
    }
    match texts.as_slice() {
        ["between", from @ .., "and", to] | ["from", from @ .., "to", to] if !from.is_empty() => {
            let message = format!("A limit is written `A to B`, without `{}`.", texts.first().unwrap_or(&""));
            let better = format!("{} to {to}", from.join(" "));
            return reader.refuse(&LIMIT_FORM, span, message, mend(line, span, &better));
        }
        ["between" | "from", ..] => {
            let joined = texts.get(1..).unwrap_or_default().join(" ").replace(" and ", " to ");
            let message = format!("A limit is written `A to B UNIT`, without `{}`.", texts.first().unwrap_or(&""));
            return reader.refuse(&LIMIT_FORM, span, message, mend(line, span, &joined));
        }
        ["not", "normal"] => {
            let message = "`not normal` is two limits: write a line for `below normal` and one for `above normal`.";
            let both = ["below normal", "above normal"].map(|side| mend(line, span, side));
            return reader.refuse(&LIMIT_FORM, span, message, both.join("\n"));
        }
        [side @ ("high" | "low"), ..] => {
            let better = if *side == "low" { "below normal" } else { "above normal" };
            let message = format!("`{}` is not a limit: is it `{better}`?", when.text);
            return reader.refuse(&LIMIT_FORM, span, message, mend(line, span, better));
        }
        _ => {}
    }
    let joins = |word: &&Piece<'_>| matches!(word.text, "and" | "thru" | "through" | "-" | "–" | "..");
    if let Some(joiner) = words.iter().skip(1).find(joins)
        && number_first(words.first())
    {
        let message =
            format!("A limit is written `A to B UNIT`, and here stands `{}` between the numbers.", joiner.text);
        return reader.refuse(&LIMIT_FORM, joiner.span(), message, mend(line, joiner.span(), "to"));
    }
    if number_first(words.first()) && !texts.contains(&"to") {
        let digits = words.first().copied().unwrap_or(when);
        if digits.text.contains(['-', '–', ',', '/']) {
            let end = digits.text.find(|c: char| c.is_alphabetic()).unwrap_or(digits.text.len());
            if amounts::number(reader, line, digits.part(0, end)).is_none() {
                return;
            }
        }
        let nothing = amounts::is_zero(digits.text);
        let hint = if nothing { " For nothing at all write `below` and the least that counts." } else { "" };
        let message = format!("`{}` is a single number, and a limit is a stretch of them: {forms}.{hint}", when.text);
        return reader.refuse(&LIMIT_FORM, span, message, None);
    }
    let vague = |word: &&Piece<'_>| {
        matches!(
            word.text,
            "about" | "around" | "approximately" | "approx" | "approx." | "roughly" | "near" | "nearly" | "~"
        ) || word.text.starts_with('~')
    };
    if let Some(vague) = words.first().filter(vague) {
        let message = format!(
            "`{}` leaves open how far off is still good. Write the lowest and the highest number, as in `A to B UNIT`, or `normal`.",
            vague.text
        );
        return reader.refuse(&LIMIT_FORM, span, message, None);
    }
    let message = format!(
        "`{}` is not a limit. A limit is {forms}; for answers in words the test needs an `ask` line.",
        when.text
    );
    reader.refuse(&LIMIT_FORM, span, message, None);
}
