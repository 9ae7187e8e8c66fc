//! Every road through the tests ends, and every block is on one.

use super::Subject;
use super::roads::{Exit, Reached, changes_something, exits};
use crate::language::syntax::BlockKind;
use crate::playbook::model::{EndId, Playbook, Target, TestId};
use crate::text::english::{list, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;
use std::collections::BTreeSet;

/// Tests that lead back to themselves.
pub static RING: Rule = Rule {
    code: "tests-in-a-ring",
    level: Level::Error,
    says: "No road through the tests comes back to a test it has passed.",
    why: "A new hire would go round without end. \"Reset it and try once more\" is an `adjust`: it is done once, and its `verify` tests again.",
    wrong: "test limit: …\n  if  open  go to reset\ntest reset: Press the reset\n  good  clicks  go to limit",
    mended: "test limit: …\n  if  open  go to reset\nadjust reset: Press the reset\n  verify  limit",
};

/// A block no road leads to.
pub static NOTHING_LEADS_HERE: Rule = Rule {
    code: "nothing-leads-here",
    level: Level::Error,
    says: "Some `go to`, `verify` or `finish` leads to every block but the first test.",
    why: "A block nobody gets to is a test that was meant to be made, or a repair nobody will find.",
    wrong: "test fuses: …\n  if  blown  go to no-supply\nrepair replace-fuse: Replace the fuse        (no line says `go to replace-fuse`)",
    mended: "test fuses: …\n  if  blown  go to replace-fuse\nrepair replace-fuse: Replace the fuse",
};

/// A playbook that repairs nothing.
pub static ONLY_ESCALATIONS: Rule = Rule {
    code: "only-escalations",
    level: Level::Warning,
    says: "A playbook has at least one repair or adjust, or goes on to another playbook.",
    why: "Where every road hands the call on, a line on the phone list does the same and is read sooner.",
    wrong: "escalate call-lead: Not a job for this page        (and no repair, no adjust)",
    mended: "repair replace-relay: Replace the relay\nescalate call-lead: Not a job for this page",
};

/// Rings told at once; where there are more, mending these changes the rest. A number of ours.
const MOST_RINGS: usize = 20;

/// The rules of this file.
pub static RULES: [&Rule; 3] = [&RING, &NOTHING_LEADS_HERE, &ONLY_ESCALATIONS];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    rings(subject, problems);
    unreached(subject, problems);
    let playbook = subject.playbook;
    let mends = playbook.ends.iter().any(|end| changes_something(end.kind));
    let goes_on = playbook.tests.iter().flat_map(exits).any(|exit| matches!(exit.to, Target::Playbook(_)));
    if !mends && !goes_on && !playbook.ends.is_empty() {
        let message = format!("Every road of `{}` ends in an escalation: nothing is repaired or set.", playbook.name);
        problems.push(Problem::new(&ONLY_ESCALATIONS, playbook.place(subject.tree.head.name.span), message));
    }
}

fn next_tests(playbook: &Playbook, from: TestId) -> impl Iterator<Item = (TestId, Exit<'_>)> {
    exits(playbook.test(from)).filter_map(|exit| match exit.to {
        Target::Test(to) => Some((*to, exit)),
        _ => None,
    })
}

/// One message a ring: what cannot be peeled off from either side lies on one or between two.
fn rings(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    let mut left = unpeeled(playbook);
    let most = problems.len() + MOST_RINGS;
    while let Some(start) = left.pop_first().filter(|_| problems.len() < most) {
        // Within what is left, back to the start.
        let within = |id: TestId| next_tests(playbook, id).map(|(to, _)| to).collect::<Vec<_>>();
        let firsts: Vec<TestId> = within(start);
        let found = if firsts.contains(&start) {
            vec![start]
        } else {
            let inside = |to: &TestId| left.contains(to) || *to == start;
            let reached = Reached::from(firsts.into_iter().filter(inside), |id| {
                within(id).into_iter().filter(|to| left.contains(to) || *to == start).collect::<Vec<_>>()
            });
            let mut road = reached.road(start);
            let last = road.pop();
            last.into_iter().chain(road).collect()
        };
        if found.is_empty() {
            continue;
        }
        for id in &found {
            left.remove(id);
        }
        problems.push(ring(playbook, &found));
    }
}

fn ring(playbook: &Playbook, ring: &[TestId]) -> Problem {
    let mut closing = Span::default();
    let mut steps = Vec::new();
    for (at, id) in ring.iter().enumerate() {
        let next = ring.get(at + 1).or(ring.first()).copied().unwrap_or(*id);
        let Some((_, exit)) = next_tests(playbook, *id).find(|(to, _)| *to == next) else { continue };
        closing = exit.span;
        let (from, to) = (&playbook.test(*id).name, &playbook.test(next).name);
        steps.push(match exit.kind {
            Some(_) => format!("`{from}` leads to `{to}` by `{}`", exit.words),
            None => format!("`{from}` leads to `{to}` where it can't be done"),
        });
    }
    let message = if ring.len() == 1 {
        format!("This test leads to itself: {}.", steps.join(""))
    } else {
        format!("These tests lead round in a ring: {}.", list(&steps, "and"))
    };
    Problem::new(&RING, playbook.place(closing), message)
}

/// The tests left when those nothing leads to, and those that lead to no test, have been taken away again and again.
fn unpeeled(playbook: &Playbook) -> BTreeSet<TestId> {
    let mut left: BTreeSet<TestId> = playbook.tests().map(|(id, _)| id).collect();
    let forward = |id: TestId| next_tests(playbook, id).map(|(to, _)| to).collect::<Vec<_>>();
    let mut backward = vec![Vec::new(); playbook.tests.len()];
    for (id, _) in playbook.tests() {
        for to in forward(id) {
            if let Some(from) = backward.get_mut(usize::from(to.0)) {
                from.push(id);
            }
        }
    }
    let back = |id: TestId| backward.get(usize::from(id.0)).cloned().unwrap_or_default();
    peel(&mut left, forward, back);
    peel(&mut left, back, forward);
    left
}

/// Takes away whatever has no `ahead` left, and then what that leaves without one.
fn peel(left: &mut BTreeSet<TestId>, ahead: impl Fn(TestId) -> Vec<TestId>, behind: impl Fn(TestId) -> Vec<TestId>) {
    let mut open: Vec<TestId> = left.iter().copied().collect();
    while let Some(id) = open.pop() {
        if left.contains(&id) && !ahead(id).iter().any(|next| left.contains(next)) {
            left.remove(&id);
            open.extend(behind(id));
        }
    }
}

/// A test, repair, adjust or escalation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Block {
    Test(TestId),
    End(EndId),
}

fn leads_to(playbook: &Playbook, block: Block) -> Vec<Block> {
    match block {
        Block::Test(id) => exits(playbook.test(id))
            .filter_map(|exit| match exit.to {
                Target::Test(to) => Some(Block::Test(*to)),
                Target::End(to) => Some(Block::End(*to)),
                Target::Playbook(_) | Target::Nowhere => None,
            })
            .collect(),
        Block::End(id) => playbook.end(id).verify.iter().map(|test| Block::Test(*test)).collect(),
    }
}

/// One message for each block nothing leads to; what only follows from it is named in the same sentence.
fn unreached(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    let starts = std::iter::once(TestId(0)).chain(playbook.finish.iter().copied()).map(Block::Test);
    let reached = Reached::from(starts, |block| leads_to(playbook, block));
    let all = playbook.tests().map(|(id, _)| Block::Test(id)).chain(playbook.ends().map(|(id, _)| Block::End(id)));
    let mut lost: BTreeSet<Block> = all.filter(|block| !reached.has(block)).collect();
    let led_to: BTreeSet<Block> = lost.iter().flat_map(|block| leads_to(playbook, *block)).collect();
    // First those nothing at all leads to; a ring that hangs free has none, and its first block stands for it.
    let mut heads: Vec<Block> = lost.difference(&led_to).copied().collect();
    while let Some(head) = heads.pop().or_else(|| lost.first().copied()) {
        if !lost.contains(&head) {
            continue;
        }
        let behind = Reached::from([head], |block| leads_to(playbook, block));
        let mut follow = Vec::new();
        for block in behind.iter().filter(|block| !reached.has(block)) {
            if lost.remove(block) && *block != head {
                follow.push(*block);
            }
        }
        follow.sort_by_key(|block| span_of(playbook, *block).start);
        problems.extend(unreached_problem(subject, head, &follow));
    }
}

fn unreached_problem(subject: Subject<'_>, head: Block, follow: &[Block]) -> Option<Problem> {
    let playbook = subject.playbook;
    let written = subject.written(span_of(playbook, head))?;
    let name = written.name.as_str();
    // Of two blocks with one name the second was told as such.
    if name.is_empty()
        || subject.tree.blocks.iter().any(|b| b.name.text == written.name.text && b.span.start < written.span.start)
    {
        return None;
    }
    let names: Vec<&str> = follow.iter().map(|block| name_of(playbook, *block)).collect();
    let so = match names.as_slice() {
        [] => String::new(),
        names => format!(", and so nothing leads to {}", list(&ticked(names), "or")),
    };
    let message = format!("Nothing leads to the {} `{name}`{so}.", kind_word(written.kind));
    Some(Problem::new(&NOTHING_LEADS_HERE, playbook.place(written.name.span), message))
}

fn span_of(playbook: &Playbook, block: Block) -> Span {
    match block {
        Block::Test(id) => playbook.test(id).span,
        Block::End(id) => playbook.end(id).span,
    }
}

fn name_of(playbook: &Playbook, block: Block) -> &str {
    match block {
        Block::Test(id) => &playbook.test(id).name,
        Block::End(id) => &playbook.end(id).name,
    }
}

fn kind_word(kind: BlockKind) -> &'static str {
    match kind {
        BlockKind::Escalate => "escalation",
        other => other.keyword(),
    }
}
