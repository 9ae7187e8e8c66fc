//! What could not be read is not told as missing too.
//!
//! A line that breaks the grammar is told and left out of the tree. What only seems to be missing because of it would be
//! a second message for one mistake: it is held back until the line can be read.

use super::{banks, coverage, escalations, graph, head, live_work, outcomes, power, readings, repairs};
use crate::language::syntax::Playbook;
use crate::text::problem::Problem;
use crate::text::rule::Rule;
use std::collections::BTreeSet;

/// Rules about a line a block should have: held back where a line of that block could not be read.
static OF_A_BLOCK: [&Rule; 15] = [
    &coverage::GAP,
    &escalations::NO_REASON,
    &escalations::TO_NOBODY,
    &head::NO_FINISH,
    &head::NO_REVISED,
    &head::NO_SYMPTOM,
    &live_work::LIVE_WITHOUT_WARNING,
    &outcomes::NO_GOOD_LINE,
    &outcomes::ONE_ANSWER,
    &power::POWER_NOT_NAMED,
    &power::PROBES_BEHIND_COVERS,
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

/// What the compiler tells of a block is held back like [`OF_A_BLOCK`], of the roads like [`OF_THE_ROADS`].
static OF_A_BLOCK_COMPILED: [&str; 1] = ["no-question"];
static OF_THE_ROADS_COMPILED: [&str; 1] = ["no-such-reading"];

/// Takes out what only follows from a line that could not be read, told by the reader among the first `told` problems.
pub(super) fn hold_back(tree: &Playbook, problems: Vec<Problem>, told: usize) -> Vec<Problem> {
    let Some(unread) = Unread::of(tree, problems.get(..told).unwrap_or(&problems)) else { return problems };
    let mut at = 0;
    problems
        .into_iter()
        .filter(|problem| {
            at += 1;
            !(if at <= told { unread.compiled(problem) } else { unread.found(problem) })
        })
        .collect()
}

/// What could not be read, by block and line.
struct Unread {
    /// Where each block starts, in order of lines.
    blocks: Vec<u32>,
    /// Blocks with a line that could not be read, by their start.
    hurt: BTreeSet<u32>,
    /// Lines on which an error was told.
    lines: BTreeSet<usize>,
    /// Whether a road may be missing.
    roads_open: bool,
    /// Whether some line could not be read.
    any: bool,
    /// Whether a bank is missing.
    no_bank: bool,
}

impl Unread {
    /// `None` where no error was told.
    fn of(tree: &Playbook, told: &[Problem]) -> Option<Self> {
        let all = || std::iter::once(&tree.head).chain(&tree.blocks);
        let mut errors = told
            .iter()
            .filter(|problem| problem.is_error() && problem.place.source.path() == tree.source.path())
            .peekable();
        errors.peek()?;
        let read: BTreeSet<usize> = all()
            .flat_map(|block| block.lines.iter().map(|line| line.span).chain([block.span]))
            .map(|span| tree.source.line_of(span.start))
            .collect();
        let mut blocks: Vec<u32> = all().map(|block| block.span.start).collect();
        blocks.sort_unstable();
        let mut unread = Self {
            blocks,
            hurt: BTreeSet::new(),
            lines: BTreeSet::new(),
            roads_open: false,
            any: false,
            no_bank: false,
        };
        for problem in errors {
            let line = problem.place.line();
            unread.lines.insert(line);
            if !read.contains(&line) {
                unread.any = true;
                unread.hurt.insert(unread.block(problem));
            }
            unread.roads_open |= matches!(problem.rule.code, "no-such-block" | "same-name");
            unread.no_bank |= problem.rule.code == "no-such-bank";
        }
        unread.roads_open |= unread.any;
        Some(unread)
    }

    /// Start of the block a problem is in.
    fn block(&self, problem: &Problem) -> u32 {
        let at = self.blocks.partition_point(|start| *start <= problem.place.span.start);
        at.checked_sub(1).and_then(|at| self.blocks.get(at)).copied().unwrap_or(0)
    }

    /// Whether what the compiler told only follows.
    fn compiled(&self, problem: &Problem) -> bool {
        let code = &problem.rule.code;
        (OF_A_BLOCK_COMPILED.contains(code) && self.hurt.contains(&self.block(problem)))
            || (self.any && OF_THE_ROADS_COMPILED.contains(code))
    }

    /// Whether what a check found only follows.
    fn found(&self, problem: &Problem) -> bool {
        (OF_A_BLOCK.contains(&problem.rule) && self.hurt.contains(&self.block(problem)))
            || (OF_THE_LINE.contains(&problem.rule) && self.lines.contains(&problem.place.line()))
            || (self.roads_open && OF_THE_ROADS.contains(&problem.rule))
            || (self.no_bank && banks::RULES.contains(&problem.rule))
    }
}
