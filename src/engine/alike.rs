//! Tests of two joined playbooks that ask the same: asked once, listed once.
//!
//! Both playbooks begin with the complaint and end with a run to set point. Where the one that leads on has just been answered,
//! the other is not asked again, and what both owe at the end is owed once.

use super::library::{InBook, Library};
use crate::language::syntax::OutcomeKind;
use crate::playbook::model::{Branch, Members, Question, Step, Test, TestId};
use crate::sheet::states::Stand;

/// Whether two tests are one for whoever stands in front of the machine: the machine stands the same, the same is done and
/// asked, and the same is good. What they are called, and where the other answers lead, does not matter.
#[must_use]
pub fn alike(library: &Library, one: InBook<TestId>, other: InBook<TestId>) -> bool {
    let (a, b) = (library.test(one), library.test(other));
    let alone = |test: &Test| test.members == Members::One;
    let stands = |at: InBook<TestId>| {
        let mut stands: Vec<Stand> = library.stands(at.book, &library.test(at).with);
        stands.sort_unstable();
        stands
    };
    alone(a) && alone(b) && same_question(a, b) && same_work(a, b) && same_good(a, b) && stands(one) == stands(other)
}

/// The line of `test` that takes what `branch` of a test alike takes.
#[must_use]
pub fn same_line<'a>(test: &'a Test, branch: &Branch) -> Option<&'a Branch> {
    test.branches.iter().find(|line| line.words == branch.words && line.takes == branch.takes)
}

fn same_question(a: &Test, b: &Test) -> bool {
    let measures = || {
        let (a, b) = (a.measures(), b.measures());
        a.len() == b.len()
            && a.iter().zip(b).all(|(a, b)| {
                a.unit == b.unit
                    && a.at == b.at
                    && a.over.as_ref().map(|o| o.0) == b.over.as_ref().map(|o| o.0)
                    && a.loaded == b.loaded
            })
    };
    match (&a.question, &b.question) {
        (Question::Ask { text, answers, .. }, Question::Ask { text: asked, answers: tied, .. }) => {
            let tied_alike = answers.is_some() && answers == tied;
            (tied_alike || text == asked) && measures()
        }
        (Question::Measure(_), Question::Measure(_)) => measures(),
        // A sum goes by names, and names do not cross.
        _ => false,
    }
}

/// What is done and waited for, in order; the signal words may be worded otherwise.
fn same_work(a: &Test, b: &Test) -> bool {
    fn work(test: &Test) -> impl Iterator<Item = (&str, f64)> {
        test.steps.iter().filter_map(|step| match step {
            Step::Do(words, _) => Some((words.as_str(), 0.0)),
            Step::Wait { seconds, until, .. } => Some((until.as_deref().unwrap_or(""), *seconds)),
            _ => None,
        })
    }
    work(a).eq(work(b))
}

fn same_good(a: &Test, b: &Test) -> bool {
    fn good(test: &Test) -> Option<&Branch> {
        test.branches.iter().find(|branch| branch.kind == OutcomeKind::Good)
    }
    match (good(a), good(b)) {
        (Some(a), Some(b)) => a.words == b.words && a.takes == b.takes,
        _ => false,
    }
}
