//! One slip is told once.
//!
//! A wrong meter function puts every limit of the test in the wrong unit, and a good unit off all of them; a misspelled state leaves
//! the unit standing otherwise than was meant. What only follows from such a slip is held back until it is mended: its "write
//! instead" would mend the wrong line.

use super::{dead_and_live, good_unit, places, unsaid_state};
use crate::language::syntax::{Block, Playbook};
use crate::text::problem::Problem;
use std::collections::BTreeSet;

/// Takes out what only follows.
pub(super) fn told_once(tree: &Playbook, problems: Vec<Problem>) -> Vec<Problem> {
    let of_block = |problem: &Problem| block(tree, problem).map(|block| block.span.start);
    let mut wrong_meter = BTreeSet::new();
    let mut wrong = BTreeSet::new();
    let mut state_meant = false;
    for problem in &problems {
        if problem.rule.code == "state-not-declared" {
            state_meant |= problem.instead.is_some();
            wrong.extend(of_block(problem));
        }
        if problem.rule == &places::METER_FUNCTION {
            wrong_meter.extend(of_block(problem));
        }
        if problem.is_error() && !by_the_machine(problem) {
            wrong.extend(of_block(problem));
        }
    }
    let mut told_unit = BTreeSet::new();
    let mut follows = |problem: &Problem| {
        let Some(at) = of_block(problem) else { return false };
        if problem.rule.code == "limit-unit" {
            return wrong_meter.contains(&at) || !told_unit.insert((at, problem.message.clone()));
        }
        if problem.rule == &dead_and_live::VOLTS_ON_DEAD {
            return wrong_meter.contains(&at);
        }
        by_the_machine(problem) && (state_meant || wrong.contains(&at))
    };
    problems.into_iter().filter(|problem| !follows(problem)).collect()
}

/// What is told of a good unit at a test, given that all else of the test is as was meant.
fn by_the_machine(problem: &Problem) -> bool {
    [&good_unit::GOOD_UNIT_FAILS, &good_unit::GOOD_UNIT_CLOSE, &unsaid_state::UNSAID_STATE].contains(&problem.rule)
}

/// The block a problem is in.
fn block<'a>(tree: &'a Playbook, problem: &Problem) -> Option<&'a Block> {
    if problem.place.source.path() != tree.source.path() {
        return None;
    }
    tree.blocks.iter().rev().find(|block| block.span.start <= problem.place.span.start)
}
