//! It reads well: advice on the words of `do`, `ask`, `wait`, `because` and the signal words.
//!
//! 1. [`prose`] cuts a line into words and sentences, once.
//! 2. [`ADVICE`] is the list of rules over one line: a function from a line to what it finds; [`words`] holds the lists they lean on.
//! 3. `long_title` looks at headings.
//! 4. [`check`] runs them all.
//!
//! All of it is advice: an `accept` line with a reason silences it. A rule rather misses than cries wolf: what is on no list is let pass.
//! The rules have outside sources, named beside each; where a number is ours it says so.

mod bare_number;
mod endless;
mod long_sentence;
mod long_title;
mod negation;
mod prose;
mod questions;
mod signal_words;
mod two_actions;
mod vague;
mod verb_first;
mod words;

use super::Subject;
use crate::language::syntax::{Block, BlockKind, Says, When, Word};
use crate::text::problem::Problem;
use crate::text::rule::Rule;
use crate::text::source::Span;
use prose::{Desk, Finding, Line, Prose};

/// A rule over one line.
type Advice = fn(&Prose<'_>, &mut Vec<Finding>);

/// Every rule over one line, in alphabetical order of their files.
static ADVICE: [Advice; 9] = [
    bare_number::check,
    endless::check,
    long_sentence::check,
    negation::check,
    questions::check,
    signal_words::check,
    two_actions::check,
    vague::check,
    verb_first::check,
];

/// The rules of this room.
pub static RULES: [&Rule; 16] = [
    &bare_number::RULE,
    &endless::TRIES,
    &endless::WAIT,
    &long_sentence::RULE,
    &long_title::RULE,
    &negation::OPPOSITE,
    &negation::TWO,
    &questions::NOT_ONE,
    &questions::TWO,
    &signal_words::ACTION,
    &signal_words::NO_HAZARD,
    &signal_words::NO_WAY_OUT,
    &two_actions::RULE,
    &vague::RULE,
    &verb_first::PASSIVE,
    &verb_first::RULE,
];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    long_title::check(subject, problems);
    let mut desk = Desk::default();
    let mut found = Vec::new();
    for block in &subject.tree.blocks {
        for line in &block.lines {
            let Some((kind, words)) = prose_of(subject, block, &line.says) else { continue };
            let prose = desk.read(kind, words.as_str());
            for advice in ADVICE {
                advice(&prose, &mut found);
            }
            for finding in found.drain(..) {
                let start = words.span.start as usize;
                let span = Span::new(start + finding.at.start, start + finding.at.end);
                let problem = Problem::new(finding.rule, subject.tree.place(span), finding.message);
                problems.push(match finding.instead {
                    Some(lines) => problem.instead(lines),
                    None => problem,
                });
            }
        }
    }
}

/// The words of a line the advice is about, and which line they stand on.
fn prose_of<'a>(subject: Subject<'a>, block: &Block, says: &'a Says) -> Option<(Line<'a>, &'a Word)> {
    Some(match says {
        Says::Do(words) => (Line::Do { in_test: block.kind == BlockKind::Test }, words),
        Says::Ask(words) => (Line::Ask { yes_no: answers_yes_no(block) }, words),
        Says::Wait { time, until: Some(words) } => (Line::Wait { time: subject.tree.source.slice(time.span) }, words),
        Says::Because(words) => (Line::Because, words),
        Says::Signal(signal, words) => (Line::Signal(*signal), words),
        _ => return None,
    })
}

/// Whether every answer is a bare "yes" or "no".
fn answers_yes_no(block: &Block) -> bool {
    let mut answers = block.lines.iter().filter_map(|line| match &line.says {
        Says::Outcome { when: When::Answer(answer), .. } => Some(answer.as_str()),
        _ => None,
    });
    let mut any = false;
    answers.all(|answer| {
        any = true;
        answer.eq_ignore_ascii_case("yes") || answer.eq_ignore_ascii_case("no")
    }) && any
}
