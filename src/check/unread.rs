//! What could not be read is not told as missing too.
//!
//! A line that breaks the grammar is told and left out of the tree. What only seems to be missing because of it would be
//! a second message for one mistake: it is held back until the line can be read.

use super::{banks, coverage, escalations, graph, head, outcomes, readings, repairs};
use crate::language::syntax::{Block, Playbook};
use crate::text::problem::Problem;
use crate::text::rule::Rule;
use crate::text::source::Span;
use std::collections::BTreeSet;

/// Rules about a line a block should have: held back where a line of that block could not be read.
static OF_A_BLOCK: [&Rule; 12] = [
    &coverage::GAP,
    &escalations::NO_REASON,
    &escalations::TO_NOBODY,
    &head::NO_FINISH,
    &head::NO_REVISED,
    &head::NO_SYMPTOM,
    &outcomes::NO_GOOD_LINE,
    &outcomes::ONE_ANSWER,
    &repairs::NO_PART,
    &repairs::NO_VERIFY,
    &repairs::REPAIR_NOT_LOCKED_OUT,
    &repairs::VERIFY_ELSEWHERE,
];

/// Rules about roads: held back where a line of any block could not be read, or a `go to` lands nowhere.
static OF_THE_ROADS: [&Rule; 4] =
    [&graph::NOTHING_LEADS_HERE, &graph::ONLY_ESCALATIONS, &readings::NOT_READ, &readings::SUPPLY_NOT_JUDGED];

/// Rules about a line that was told as wrong already.
static OF_THE_LINE: [&Rule; 1] = [&coverage::DEAD_LINE];

/// Takes out of `found` what only follows from a line that `told` says could not be read.
pub(super) fn hold_back(tree: &Playbook, told: &[Problem], found: Vec<Problem>) -> Vec<Problem> {
    let read: BTreeSet<usize> = blocks(tree)
        .flat_map(|block| block.lines.iter().map(|line| line.span).chain([block.span]))
        .map(|span| tree.source.line_of(span.start))
        .collect();
    let here: Vec<&Problem> =
        told.iter().filter(|problem| problem.is_error() && problem.place.source.path() == tree.source.path()).collect();
    let (mut lost, mut roads_open) = (Vec::new(), false);
    for problem in &here {
        let unread = !read.contains(&problem.place.line());
        if unread {
            lost.push(problem.place.span);
        }
        roads_open |= unread || problem.rule.code == "no-such-block" || problem.rule.code == "same-name";
    }
    if here.is_empty() {
        return found;
    }
    let no_bank = here.iter().any(|problem| problem.rule.code == "no-such-bank");
    let same = |rules: &[&Rule], problem: &Problem| rules.contains(&problem.rule);
    found
        .into_iter()
        .filter(|problem| {
            let block = extent(tree, problem.place.span);
            let hurt = lost.iter().any(|span| block.start <= span.start && span.start < block.end);
            let told_here = here.iter().any(|told| told.place.line() == problem.place.line());
            !(hurt && same(&OF_A_BLOCK, problem)
                || told_here && same(&OF_THE_LINE, problem)
                || roads_open && same(&OF_THE_ROADS, problem)
                || no_bank && same(&banks::RULES, problem))
        })
        .collect()
}

fn blocks(tree: &Playbook) -> impl Iterator<Item = &Block> {
    std::iter::once(&tree.head).chain(&tree.blocks)
}

/// From the heading of the block a place is in to the next heading.
fn extent(tree: &Playbook, place: Span) -> Span {
    let mut extent = Span { start: 0, end: u32::MAX };
    for block in blocks(tree) {
        if block.span.start <= place.start {
            extent.start = block.span.start;
        } else {
            extent.end = block.span.start;
            break;
        }
    }
    extent
}
