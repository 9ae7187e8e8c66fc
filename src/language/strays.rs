//! Lines whose first word is none, is in capitals, or belongs elsewhere.

use super::first_word::{FIRST_WORDS, FirstWord, Key, find};
use super::grammar::{Grammar, rule_for};
use super::lines::{LONGEST_LINE, Row};
use super::piece::Piece;
use super::reader::{Reader, mend};
use super::syntax::{Block, BlockKind, Line};
use crate::text::english::{list, nearest};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::{Place, Span};
use pest::Parser;

/// A first word that is none.
pub static UNKNOWN_LINE: Rule = Rule {
    code: "unknown-line",
    level: Level::Error,
    says: "The first word of a line says what the line is.",
    why: "A sentence pasted over two lines would lose its second half. There are no continuation lines; `do` may be repeated.",
    wrong: "do Wait for the light.\nWhen the light goes out, press start.",
    mended: "do Wait for the light.\ndo When the light goes out, press start.",
};

/// A first word in capitals.
pub static CAPITAL_WORD: Rule = Rule {
    code: "capital-word",
    level: Level::Error,
    says: "First words are written in small letters.",
    why: "A line that starts with a capital is nearly always the rest of a pasted sentence, and is not guessed at.",
    wrong: "Ask Is the light on?\ngood yes go to fuses",
    mended: "ask Is the light on?\ngood yes go to fuses",
};

/// A word in a block it does not belong in.
pub static WRONG_PLACE: Rule = Rule {
    code: "wrong-place",
    level: Level::Error,
    says: "Every word has the blocks it belongs in: `part` in a repair, `measure` in a test, `symptom` in the head.",
    why: "A part changed in the middle of a test would never be checked by a `verify`.",
    wrong: "test line-volts: Volts at the disconnect\npart Fuse, 30 A",
    mended: "repair replace-fuse: Replace the fuse\npart Fuse, 30 A",
};

/// A word that stands once and is there twice.
pub static SAID_TWICE: Rule = Rule {
    code: "said-twice",
    level: Level::Error,
    says: "What can be true only once in a block is said once.",
    why: "Of two `with` lines nobody knows which of them holds.",
    wrong: "with power live\nwith covers off",
    mended: "with power live, covers off",
};

/// A file that does not start with `playbook`.
pub static NO_PLAYBOOK_LINE: Rule = Rule {
    code: "no-playbook-line",
    level: Level::Error,
    says: "A playbook starts with `playbook NAME: TITLE`, once.",
    why: "The name is the folder of its pages; one file is one playbook.",
    wrong: "test line-volts: Volts at the disconnect",
    mended: "playbook no-heat: It stays cold\ntest line-volts: Volts at the disconnect",
};

/// Whether `line`, with its first word put right, reads well.
fn reads(line: &str, row: &FirstWord, answers: bool) -> bool {
    Grammar::parse(rule_for(row.key, answers), line).is_ok()
}

/// Whether the rest of a line reads as that of a sentence.
fn is_sentence(rest: Piece<'_>) -> bool {
    rest.text.ends_with(['.', '!'])
}

/// A line with an unknown first word. `goes_on`: the sentence right above it, if this may be the rest of it.
pub(super) fn unknown<'s>(
    reader: &mut Reader<'s>,
    line: Piece<'s>,
    kind: BlockKind,
    answers: bool,
    goes_on: Option<&Row<'s>>,
) {
    let (first, rest) = line.first_word();
    let bare = first.text.trim_end_matches([':', '.', ',', ';']);
    if bare != first.text
        && let Some(row) = find(bare)
    {
        // "do: Open the panel."
        let message = format!("Behind the first word goes a blank, and no `{}`.", &first.text.replacen(bare, "", 1));
        return reader.refuse(&UNKNOWN_LINE, first.span(), message, mend(line, first.span(), row.word));
    }
    let lower = bare.to_lowercase();
    if matches!(lower.as_str(), "can't" | "can’t" | "cant" | "can" | "couldn't" | "unable")
        && let Some((before, road)) = line.text.split_once("go to")
        && kind == BlockKind::Test
    {
        let message =
            format!("Where a test can't be done, the line starts with `cannot`, not with `{}`.", before.trim());
        return reader.refuse(&UNKNOWN_LINE, first.span(), message, format!("cannot  go to{road}"));
    }
    if matches!(lower.as_str(), "else" | "otherwise" | "anything" | "others" | "default")
        && let Some(row) = find("if")
    {
        let message = format!(
            "There is no `{}`: each reading and each answer has a line of its own, so that none is sent on by mistake. \
             `check` tells which are left.",
            first.text
        );
        return reader.refuse_like(&UNKNOWN_LINE, first.span(), message, row);
    }
    if let Some(row) = find(&lower) {
        let better = mend(line, first.span(), row.word);
        let belongs = row.places.is_empty() || row.places.contains(&kind);
        if belongs
            && reads(&better, row, answers)
            && !(goes_on.is_some() && !row.places.is_empty() && is_sentence(rest))
        {
            let message = format!("`{}` is written in small letters: `{}`.", first.text, row.word);
            return reader.refuse(&CAPITAL_WORD, first.span(), message, better);
        }
    } else if let Some(row) = nearest(bare, FIRST_WORDS.iter().map(|row| row.word)).and_then(find) {
        let better = mend(line, first.span(), row.word);
        let prose = first.text.starts_with(|c: char| c.is_uppercase());
        let belongs = row.places.is_empty() || row.places.contains(&kind);
        if belongs && (reads(&better, row, answers) && !prose || rest.is_empty()) {
            let message = format!("No line starts with `{}`. Is it `{}`?", first.text, row.word);
            return reader.refuse(&UNKNOWN_LINE, first.span(), message, better);
        }
    }
    let small = line.text.starts_with(|c: char| c.is_ascii_lowercase());
    if let Some(above) = goes_on
        .filter(|above| small && above.first.is_some_and(|first| first.key.is_sentence()))
        .map(|above| above.piece)
        && above.text.len() + line.text.len() < LONGEST_LINE
    {
        let message = format!("No line starts with `{}`. Join it to the line above, or put `do` in front.", first.text);
        return reader.refuse(&UNKNOWN_LINE, first.span(), message, format!("{} {}", above.text, line.text));
    }
    let (message, instead) = match kind {
        BlockKind::Head => (
            format!(
                "No line starts with `{}`. Join it to the line above, or put one of the head's words in front: `symptom`, `finish`.",
                first.text
            ),
            format!("symptom {}", line.text),
        ),
        _ => (
            format!("No line starts with `{}`. Put `do` in front, or join it to the line above.", first.text),
            format!("do {}", line.text),
        ),
    };
    reader.refuse(&UNKNOWN_LINE, first.span(), message, instead);
}

/// A word in a block where it does not belong.
pub(super) fn wrong_place(reader: &mut Reader<'_>, line: Piece<'_>, row: &FirstWord, block: &Block) {
    let (first, rest) = line.first_word();
    let homes: Vec<String> = row.places.iter().map(|place| told(*place).to_owned()).collect();
    let here = match block.kind {
        BlockKind::Head => "this is the head".to_owned(),
        kind if block.name.text.is_empty() => format!("this is {}", told(kind)),
        kind => format!("this is the {} `{}`", noun(kind), block.name.text),
    };
    let mut message = format!("`{}` belongs in {}, and {here}.", row.word, list(&homes, "or"));
    // "to gas fitter", and not "to the left of the mark."
    let somebody = row.key == Key::To && rest.words().len() <= 3 && !is_sentence(rest);
    if somebody {
        message.push_str(" Where somebody else has to do it, go to an `escalate` that says who.");
    }
    let instead = match (row.key, block.kind) {
        _ if somebody => None,
        (Key::To, BlockKind::Test | BlockKind::Repair | BlockKind::Adjust) => Some(format!("do {}", line.text)),
        (Key::Because, BlockKind::Test) => Some(mend(line, first.span(), "why")),
        (Key::Why, BlockKind::Escalate) => Some(mend(line, first.span(), "because")),
        (Key::Danger | Key::Warning | Key::Caution | Key::Notice, BlockKind::Escalate) => {
            Some(mend(line, first.span(), "do"))
        }
        _ => None,
    };
    reader.refuse(&WRONG_PLACE, first.span(), message, instead);
}

/// A word said again that is said once; `before` is the line that said it first.
pub(super) fn twice(reader: &mut Reader<'_>, line: Piece<'_>, row: &FirstWord, block: BlockKind, before: Span) {
    let (first, rest) = line.first_word();
    let place = Place::new(reader.source, first.span());
    let earlier = Place::new(reader.source, before);
    let here = if block == BlockKind::Head { "the head".to_owned() } else { format!("this {}", noun(block)) };
    let message = format!("`{}` stands twice in {here}; the first is on line {}.", row.word, earlier.line());
    let mut problem = Problem::new(&SAID_TWICE, place, message);
    if row.key.is_list() && !rest.is_empty() {
        problem = problem.instead(format!("{}, {}", earlier.text(), rest.text));
    }
    reader.problems.push(problem.also(earlier, "the first one is here"));
}

/// A `playbook` line to show.
const HEAD: &str = "playbook rinse-cold: Final rinse is cold";

/// A file without its `playbook` line, or with two.
pub(super) fn no_playbook_line(reader: &mut Reader<'_>, span: Span) {
    let message = "A playbook starts with its `playbook` line, and this file starts with something else.";
    reader.problems.push(Problem::new(&NO_PLAYBOOK_LINE, Place::new(reader.source, span), message).like(HEAD));
}

/// A file with nothing in it.
pub(super) fn empty_file(reader: &mut Reader<'_>) {
    let message = "There is no playbook in this file: it has no lines but comments and blank ones.";
    let place = Place::new(reader.source, Span::default());
    reader.problems.push(Problem::new(&NO_PLAYBOOK_LINE, place, message).like(HEAD));
}

/// A second `playbook` line.
pub(super) fn second_playbook(reader: &mut Reader<'_>, line: Piece<'_>, first: Span) {
    let earlier = Place::new(reader.source, first);
    let message = format!(
        "One file is one playbook, and this one has its `playbook` line on line {}: put the second in a file of its own.",
        earlier.line()
    );
    let place = Place::new(reader.source, line.span());
    reader.problems.push(Problem::new(&NO_PLAYBOOK_LINE, place, message).also(earlier, "the first one is here"));
}

/// The span of the first line of `block` that starts with the word of `row`.
pub(super) fn said_before(lines: &[Line], reader: &Reader<'_>, row: &FirstWord) -> Option<Span> {
    lines
        .iter()
        .map(|line| line.span)
        .find(|span| Piece { text: reader.source.slice(*span), start: 0 }.first_word().0.text == row.word)
}

fn noun(kind: BlockKind) -> &'static str {
    match kind {
        BlockKind::Head => "head",
        BlockKind::Test => "test",
        BlockKind::Repair => "repair",
        BlockKind::Adjust => "adjust",
        BlockKind::Escalate => "escalation",
    }
}

/// "a test", "an escalation".
pub(super) fn article(kind: BlockKind) -> &'static str {
    match kind {
        BlockKind::Head => "a playbook",
        other => told(other),
    }
}

fn told(kind: BlockKind) -> &'static str {
    match kind {
        BlockKind::Head => "the head",
        BlockKind::Test => "a test",
        BlockKind::Repair => "a repair",
        BlockKind::Adjust => "an adjust",
        BlockKind::Escalate => "an escalation",
    }
}
