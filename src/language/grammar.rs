//! The lines of `grammar/playbook.pest`, and which of them a first word is read with. The names of grammar rules stay in this room.

#![allow(missing_docs, reason = "the rules are generated; the grammar file says what each is")]

use super::first_word::Key;
use pest_derive::Parser;

/// The reader pest makes of the grammar.
#[derive(Parser)]
#[grammar = "grammar/playbook.pest"]
pub(super) struct Grammar;

/// The rule a line is read with. `answers` is whether its block asks a question.
pub(super) fn rule_for(key: Key, answers: bool) -> Rule {
    match key {
        Key::Playbook | Key::Test | Key::Repair | Key::Adjust | Key::Escalate => Rule::heading,
        Key::Unit => Rule::units_line,
        Key::Symptom => Rule::symptom_line,
        Key::Revised => Rule::revised_line,
        Key::Finish => Rule::finish_line,
        Key::Was => Rule::was_line,
        Key::Accept => Rule::accept_line,
        Key::For => Rule::for_line,
        Key::With => Rule::with_line,
        Key::Tools => Rule::tools_line,
        Key::Danger | Key::Warning | Key::Caution | Key::Notice => Rule::signal_line,
        Key::Do => Rule::do_line,
        Key::Wait => Rule::wait_line,
        Key::Picture => Rule::picture_line,
        Key::Why => Rule::why_line,
        Key::Ask => Rule::ask_line,
        Key::Answers => Rule::answers_line,
        Key::Measure => Rule::measure_line,
        Key::Calculate => Rule::calculate_line,
        Key::Good | Key::If | Key::All if answers => Rule::answer_line,
        Key::Good | Key::If | Key::All => Rule::limit_line,
        Key::Cannot => Rule::cannot_line,
        Key::Takes => Rule::takes_line,
        Key::Part => Rule::part_line,
        Key::Verify => Rule::verify_line,
        Key::Leave => Rule::leave_line,
        Key::To => Rule::to_line,
        Key::Because => Rule::because_line,
    }
}
