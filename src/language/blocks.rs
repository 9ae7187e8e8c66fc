//! Lines into blocks: the first word and the block decide how a line is read.

use super::first_word::{FirstWord, Key, find};
use super::grammar::{Grammar, Rule as Kind, rule_for};
use super::headings;
use super::lines::{self, Row};
use super::piece::{Piece, plain_blanks};
use super::reader::Reader;
use super::strays;
use super::syntax::{Block, Line, Playbook, Says};
use super::{lists, measures, outcomes, phrases, sums};
use crate::text::english::nearest;
use crate::text::problem::{Problem, tidy};
use crate::text::source::{Source, Span};
use pest::Parser;
use std::sync::Arc;

/// Reads a playbook. What could not be read is told and left out; `None` only where the file says nothing at all.
#[must_use]
pub fn parse(source: &Arc<Source>) -> (Option<Playbook>, Vec<Problem>) {
    let text = plain_blanks(source.text());
    let mut reader = Reader::new(source, &text);
    let rows = lines::split(&mut reader);
    let playbook = read(&mut reader, &rows);
    let mut problems = reader.problems;
    tidy(&mut problems);
    (playbook, problems)
}

fn read<'s>(reader: &mut Reader<'s>, rows: &[Row<'s>]) -> Option<Playbook> {
    let Some(first) = rows.first() else {
        strays::empty_file(reader);
        return None;
    };
    let mut head: Option<Block> = None;
    let mut blocks = Vec::new();
    let mut at = 0;
    while at < rows.len() {
        let start = at;
        let heading = rows.get(at).and_then(|row| heading(row, above(rows, at)));
        at += usize::from(heading.is_some());
        while rows.get(at).is_some_and(|row| self::heading(row, above(rows, at)).is_none()) {
            at += 1;
        }
        let all = rows.get(start..at).unwrap_or_default();
        let span = all.first().zip(all.last()).map_or(Span::default(), |(a, z)| a.piece.span().to(z.piece.span()));
        reader.block = span;
        let (mut block, inner) = match (heading, all.split_first()) {
            (Some((key, row)), Some((line, inner))) => {
                if key == Key::Playbook
                    && let Some(head) = head.as_ref().filter(|head| !is_headless(head))
                {
                    strays::second_playbook(reader, line.piece, head.span);
                }
                if head.is_none() && key != Key::Playbook {
                    strays::no_playbook_line(reader, first.piece.span());
                    head = Some(headings::headless());
                }
                (open(reader, *line, row, key), inner)
            }
            _ => {
                strays::no_playbook_line(reader, first.piece.span());
                (headings::headless(), all)
            }
        };
        fill(reader, &mut block, inner);
        match (block.kind, &mut head) {
            (super::syntax::BlockKind::Head, None) => head = Some(block),
            (super::syntax::BlockKind::Head, Some(head)) if is_headless(head) => {
                // Lines stood above the `playbook` line: they are the head's too.
                let mut lines = std::mem::take(&mut head.lines);
                lines.append(&mut block.lines);
                *head = Block { lines, ..block };
            }
            // The second playbook of a file is read for its slips alone.
            (super::syntax::BlockKind::Head, Some(_)) => {}
            _ => blocks.push(block),
        }
    }
    Some(Playbook { source: Arc::clone(reader.source), head: head.unwrap_or_else(headings::headless), blocks })
}

/// Whether no `playbook` line has been met yet.
fn is_headless(head: &Block) -> bool {
    head.span == Span::default()
}

fn above<'r, 's>(rows: &'r [Row<'s>], at: usize) -> Option<&'r Row<'s>> {
    rows.get(at.checked_sub(1)?)
}

/// Whether the line above is a sentence that this one may be the rest of.
fn goes_on(row: &Row<'_>, above: Option<&Row<'_>>) -> bool {
    row.adjoins
        && above.is_some_and(|above| {
            above.first.is_none_or(|first| first.key.is_prose()) && !above.piece.text.ends_with(['.', '?', '!'])
        })
}

/// The heading a line is, also where its word is in capitals or misspelled.
fn heading(row: &Row<'_>, above: Option<&Row<'_>>) -> Option<(Key, &'static FirstWord)> {
    let found = match row.first {
        Some(first) if first.places.is_empty() => first,
        Some(_) => return None,
        None => {
            let (word, rest) = row.piece.first_word();
            if !rest.text.contains(':') || row.refused && word.text.len() > 20 {
                return None;
            }
            let lower = word.text.to_lowercase();
            let known = ["playbook", "test", "repair", "adjust", "escalate"];
            let near = find(&lower).map(|row| row.word).or_else(|| nearest(&lower, known))?;
            find(near).filter(|row| row.places.is_empty())?
        }
    };
    headings::is_heading(row.piece, found, goes_on(row, above)).then_some((found.key, found))
}

fn open<'s>(reader: &mut Reader<'s>, line: Row<'s>, row: &'static FirstWord, key: Key) -> Block {
    let kind = key.heads().unwrap_or(super::syntax::BlockKind::Test);
    if line.refused || line.first.is_none() {
        // Already told, or told here; what stands behind the word is read quietly.
        let told = reader.problems.len();
        let mut block = headings::open(reader, line.piece, row, kind);
        reader.problems.truncate(told);
        if line.refused {
            // A title nobody can read is not carried about.
            block.title.text = "".into();
        } else {
            strays::unknown(reader, line.piece, kind, false, None);
        }
        return block;
    }
    headings::open(reader, line.piece, row, kind)
}

fn fill<'s>(reader: &mut Reader<'s>, block: &mut Block, rows: &[Row<'s>]) {
    block.lines.reserve_exact(rows.len());
    let answers = rows.iter().any(is_ask);
    let mut seen = 0;
    for (at, row) in rows.iter().enumerate() {
        let goes_on = above(rows, at).filter(|above| goes_on(row, Some(above)));
        let told = reader.problems.len();
        match line(reader, block, *row, answers, goes_on, &mut seen) {
            Some(says) => block.lines.push(Line { span: row.piece.span(), says }),
            None => {
                let (first, _) = row.piece.first_word();
                block.unread.push(first.word());
                ask_back(reader, told, row, goes_on.is_some());
            }
        }
    }
}

/// Whether a line asks, also where its word is in capitals or has a colon behind it.
fn is_ask(row: &Row<'_>) -> bool {
    match row.first {
        Some(first) => first.key == Key::Ask,
        None => row.piece.first_word().0.text.trim_end_matches(':').eq_ignore_ascii_case("ask"),
    }
}

fn line<'s>(
    reader: &mut Reader<'s>,
    block: &Block,
    row: Row<'s>,
    answers: bool,
    goes_on: Option<&Row<'s>>,
    seen: &mut u64,
) -> Option<Says> {
    if row.refused {
        return None;
    }
    let Some(first) = row.first else {
        strays::unknown(reader, row.piece, block.kind, answers, goes_on);
        return None;
    };
    if first.places.is_empty() {
        // A heading's word in the rest of a pasted sentence.
        strays::unknown(reader, row.piece, block.kind, answers, goes_on);
        return None;
    }
    if !first.places.contains(&block.kind) {
        strays::wrong_place(reader, row.piece, first, block);
        return None;
    }
    let bit = 1_u64 << (first.key as u8);
    if !first.many
        && *seen & bit != 0
        && let Some(before) = strays::said_before(&block.lines, reader, first)
    {
        strays::twice(reader, row.piece, first, block.kind, before);
    }
    *seen |= bit;
    says(reader, row.piece, first, answers)
}

fn says<'s>(reader: &mut Reader<'s>, piece: Piece<'s>, row: &'static FirstWord, answers: bool) -> Option<Says> {
    if row.key == Key::Calculate && sums::too_deep(reader, piece) {
        return None;
    }
    if let Some(text) = phrases::run_of_words(piece, row, answers) {
        return match row.key.outcome() {
            Some(_) => outcomes::read_answer(reader, piece, row, text),
            None => phrases::read(reader, piece, row, text),
        };
    }
    let Ok(mut pairs) = Grammar::parse(rule_for(row.key, answers), piece.text) else {
        refused(reader, piece, row, answers);
        return None;
    };
    let pair = pairs.next()?;
    // A line is read well where its rule takes all of it.
    if pair.as_str().len() < piece.text.len() {
        refused(reader, piece, row, answers);
        return None;
    }
    match pair.as_rule() {
        Kind::units_line | Kind::finish_line | Kind::verify_line | Kind::tools_line => {
            lists::read(reader, piece, row, pair)
        }
        Kind::for_line => lists::read_for(reader, piece, row, pair),
        Kind::with_line | Kind::leave_line => lists::read_settings(reader, piece, row, pair),
        Kind::accept_line => phrases::read_accept(reader, piece, row, pair),
        Kind::picture_line => phrases::read_picture(reader, piece, pair),
        Kind::wait_line => phrases::read_wait(reader, piece, row, pair),
        Kind::measure_line => measures::read(reader, piece, row, pair),
        Kind::calculate_line => sums::read(reader, piece, pair),
        Kind::limit_line | Kind::cannot_line => outcomes::read(reader, piece, row, pair),
        // The lines that are one run of words: `pair` is none of them any more, for with nothing behind the first word they are refused.
        _ => None,
    }
}

/// A line that starts with a known word and cannot be read.
fn refused<'s>(reader: &mut Reader<'s>, line: Piece<'s>, row: &'static FirstWord, answers: bool) {
    let (_, rest) = line.first_word();
    if rest.is_empty() {
        let message = format!("Behind `{}` the words are missing.", row.word);
        return reader.refuse_like(&phrases::UNFINISHED_LINE, line.span(), message, row);
    }
    match row.key {
        Key::For => lists::refused_for(reader, line, row),
        Key::With | Key::Leave => lists::refused_settings(reader, line, row),
        Key::Measure => measures::refused(reader, line, row),
        Key::Calculate => sums::refused(reader, line, row),
        Key::Good | Key::If | Key::All | Key::Cannot => outcomes::refused(reader, line, row, answers),
        _ => phrases::refused(reader, line, row),
    }
}

/// Adds the question whether the line is the rest of the one above, where that one is a sentence.
fn ask_back(reader: &mut Reader<'_>, told: usize, row: &Row<'_>, goes_on: bool) {
    // The rest of a sentence has a few words and no column after its first one.
    let (first, _) = row.piece.first_word();
    let column = row.piece.rest(first.text.len()).text.starts_with("  ");
    let prose = !column && row.piece.words().len() >= 3;
    // An order begins a line of its own; a small word may go on with a sentence.
    let small =
        |key| matches!(key, Key::With | Key::To | Key::For | Key::If | Key::All | Key::Because | Key::Was | Key::Part);
    let known = row.first.is_some_and(|first| small(first.key));
    if goes_on
        && prose
        && known
        && let Some(problem) = reader.problems.get_mut(told)
    {
        problem.message.push_str(" Or is this the rest of the line above?");
    }
}
