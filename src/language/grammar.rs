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

#[cfg(test)]
mod tests {
    use super::super::first_word::FIRST_WORDS;
    use super::super::headings::name_and_title;
    use super::super::phrases::run_of_words;
    use super::super::piece::Piece;
    use super::*;
    use pest::Parser;

    /// What a line may have behind its first word, outer blanks taken off.
    const BEHIND: [&str; 18] = [
        "x",
        " x",
        "    Switch it on,  and look.",
        "5 minutes",
        "lamp and fan  go to spot-1",
        "go to a go to b",
        " go to a",
        "a: b",
        "a : b: c",
        "a:b",
        "a:",
        ": b",
        ":",
        ": : b",
        "180 °F × 2 – “so”",
        "<b>&\"'",
        "do",
        "",
    ];

    fn read(rule: Rule, line: &str) -> Option<Vec<String>> {
        let pair = Grammar::parse(rule, line).ok()?.next().filter(|pair| pair.as_str() == line)?;
        Some(pair.into_inner().map(|part| part.as_str().trim().to_owned()).collect())
    }

    /// Lines that are one run of words and headings are cut by hand: as the grammar reads them.
    #[test]
    fn what_is_cut_by_hand_is_what_the_grammar_reads() {
        let mut by_hand = 0;
        for row in FIRST_WORDS {
            for behind in BEHIND {
                let line = format!("{} {behind}", row.word).trim_end().to_owned();
                let piece = Piece { text: &line, start: 0 };
                if row.key.heads().is_some() {
                    let cut = name_and_title(piece.first_word().1);
                    let cut = cut.map(|(name, title)| vec![name.text.to_owned(), title.text.to_owned()]);
                    let read = read(Rule::heading, &line).filter(|parts| parts.iter().all(|part| !part.is_empty()));
                    assert_eq!(cut, read, "{line}");
                    by_hand += 1;
                }
                for answers in [false, true] {
                    let rule = rule_for(row.key, answers);
                    match run_of_words(piece, row, answers) {
                        Some(cut) => {
                            assert_eq!(Some(vec![cut.text.to_owned()]), read(rule, &line), "{line}");
                            by_hand += 1;
                        }
                        None if behind.trim().is_empty() => {
                            assert_eq!(read(rule, &line), None, "{line}");
                        }
                        None => {}
                    }
                }
            }
        }
        assert!(by_hand > 600, "{by_hand}");
    }
}
