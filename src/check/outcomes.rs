//! Every outcome of a test is there, once.

use super::Subject;
use crate::language::fill_in;
use crate::language::syntax::OutcomeKind;
use crate::playbook::model::{Question, Test};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use std::collections::BTreeMap;

/// A test without a `good` line.
pub static NO_GOOD_LINE: Rule = Rule {
    code: "no-good-line",
    level: Level::Error,
    says: "Every test has a `good` line: where a good reading or answer leads.",
    why: "A new hire has to know what a good unit shows. After a repair the `good` line is what strikes the test off the list.",
    wrong: "ask  Is the trouble light on?\nif   yes  go to code-look\nif   no   go to supply",
    mended: "ask   Is the trouble light on?\ngood  no   go to supply\nif    yes  go to code-look",
};

/// A question that has one answer.
pub static ONE_ANSWER: Rule = Rule {
    code: "one-answer",
    level: Level::Error,
    says: "A question has at least two answers.",
    why: "With one answer there is nothing to find out: it is a `do`, or the other answer is missing.",
    wrong: "ask   Is the pilot lit?\ngood  yes  go to flame-look",
    mended: "ask   Is the pilot lit?\ngood  yes  go to flame-look\nif    no   go to light-pilot",
};

/// One answer on two lines.
pub static SAME_ANSWER: Rule = Rule {
    code: "same-answer",
    level: Level::Error,
    says: "An answer stands on one line only.",
    why: "Two technicians would take two roads from the same answer.",
    wrong: "good  clean   go to hose-look\nif    coated  go to clean-rod\nif    coated  go to replace-rod",
    mended: "good  clean    go to hose-look\nif    coated   go to clean-rod\nif    cracked  go to replace-rod",
};

/// The rules of this file.
pub static RULES: [&Rule; 3] = [&NO_GOOD_LINE, &ONE_ANSWER, &SAME_ANSWER];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let place = |span| subject.playbook.place(span);
    for (block, test) in subject.tests() {
        let asks = matches!(&test.question, Question::Ask { .. });
        // Two `good` lines are told by the reader.
        if test.good().is_none() {
            let message = format!("The test `{}` does not say what a good unit shows.", test.name);
            let good = if asks { fill_in::GOOD_ANSWER } else { fill_in::LIMIT };
            let line = format!("good  {good}  go to {}", fill_in::NEXT_STEP);
            problems.push(Problem::new(&NO_GOOD_LINE, place(block.name.span), message).and_below(&line));
        }
        if asks {
            answers(subject, test, problems);
        }
    }
}

fn answers(subject: Subject<'_>, test: &Test, problems: &mut Vec<Problem>) {
    let place = |span| subject.playbook.place(span);
    if let [only] = test.branches.as_slice() {
        let message = format!("The question of `{}` has one answer only: `{}`.", test.name, only.words);
        let other = match only.words.to_lowercase().as_str() {
            "yes" => "no",
            "no" => "yes",
            _ if only.kind == OutcomeKind::Good => fill_in::OTHER_ANSWER,
            _ => fill_in::GOOD_ANSWER,
        };
        let kind = if only.kind == OutcomeKind::Good { OutcomeKind::If } else { OutcomeKind::Good };
        let line = format!("{}  {other}  go to {}", kind.word(), fill_in::NEXT_STEP);
        problems.push(Problem::new(&ONE_ANSWER, place(only.span), message).and_below(&line));
    }
    let mut met = BTreeMap::new();
    for branch in test.branches.iter().filter(|branch| branch.kind != OutcomeKind::All) {
        match met.get(&branch.words.to_lowercase()) {
            None => {
                met.insert(branch.words.to_lowercase(), branch.span);
            }
            Some(first) => {
                let message = format!("The answer `{}` stands on two lines.", branch.words);
                let problem = Problem::new(&SAME_ANSWER, place(branch.span), message);
                problems.push(problem.also(place(*first), "the other line"));
            }
        }
    }
}
