//! `that zone` is a zone somebody has picked.

use super::Subject;
use super::roads::{Entry, Reached, entries, exits};
use crate::language::fill_in::BANK;
use crate::language::syntax::{Block, For, OutcomeKind, Says};
use crate::playbook::model::{BankId, EndId, Members, Playbook, Target, TestId};
use crate::text::english::{list, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;

/// An `all` line where there is one unit only.
pub static ALL_WITHOUT_EACH: Rule = Rule {
    code: "all-without-each",
    level: Level::Error,
    says: "`all` lines stand in a test that has a `for each` line.",
    why: "`all` is taken when every member of a bank reads so; a test of one thing has no members.",
    wrong: "test zone-amps: Amps of the zones\n  measure  A through zone.element\n  all      below 1 A  go to line-volts",
    mended: "test zone-amps: Amps of the zones\n  for      each zone\n  measure  A through zone.element\n  all      below 1 A  go to line-volts",
};

/// A `for that` block on a road that picked nobody.
pub static NO_MEMBER_PICKED: Rule = Rule {
    code: "no-member-picked",
    level: Level::Error,
    says: "On every road to a `for that` block an `if` line of a `for each` test has picked the member.",
    why: "After `good`, `all` or `cannot` no zone is the bad one, and \"replace the relay of that zone\" would be any zone's.",
    wrong: "test zone-amps: …\n  for  each zone\n  all  below 1 A  go to zone-ohms\ntest zone-ohms: …\n  for  that zone",
    mended: "test zone-amps: …\n  for  each zone\n  if   below 1 A  go to zone-ohms\ntest zone-ohms: …\n  for  that zone",
};

/// A `for that` test in `finish`.
pub static THAT_IN_FINISH: Rule = Rule {
    code: "that-in-finish",
    level: Level::Error,
    says: "A `for that` test does not stand in `finish`.",
    why: "`finish` starts afresh: no member is picked, and a second fault may sit in any of them.",
    wrong: "finish  zone-ohms\ntest zone-ohms: …\n  for  that zone",
    mended: "finish  zone-amps\ntest zone-amps: …\n  for  each zone",
};

/// The rules of this file.
pub static RULES: [&Rule; 3] = [&ALL_WITHOUT_EACH, &NO_MEMBER_PICKED, &THAT_IN_FINISH];

/// A block, and the banks of which a member is picked there, a bit each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Here {
    at: At,
    picked: u64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum At {
    Test(TestId),
    End(EndId),
}

/// Fills the bank into what is to be written instead, where the unit has just one.
pub(super) fn name(playbook: &Playbook, problems: &mut [Problem]) {
    let [bank] = playbook.banks.as_slice() else { return };
    for problem in problems {
        if let Some(instead) = &mut problem.instead
            && instead.contains(BANK)
        {
            *instead = instead.replace(BANK, &bank.name);
        }
    }
}

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    for (block, test) in subject.tests() {
        if for_line(block, |entry| matches!(entry, For::Each(_))).is_some() {
            continue;
        }
        for branch in test.branches.iter().filter(|branch| branch.kind == OutcomeKind::All) {
            let message = format!("`all` asks every member of a bank, and `{}` is asked of one thing only.", test.name);
            let line = format!("if  {}  go to {}", branch.words, target_words(subject, branch.span));
            problems.push(Problem::new(&ALL_WITHOUT_EACH, playbook.place(branch.span), message).instead(line));
        }
    }
    if !uses_that(subject) {
        return;
    }
    for line in &subject.tree.head.lines {
        let Says::Finish(names) = &line.says else { continue };
        for name in names {
            let that = subject.tests().find(|(block, _)| block.name.text == name.text);
            if let Some((_, test)) = that
                && let Members::That(bank) = test.members
            {
                let bank = &playbook.bank(bank).name;
                let message = format!("`{}` is for that {bank}, and in `finish` no {bank} is picked.", test.name);
                problems.push(Problem::new(&THAT_IN_FINISH, playbook.place(name.span), message));
            }
        }
    }
    not_picked(subject, problems);
}

fn uses_that(subject: Subject<'_>) -> bool {
    let tests = subject.playbook.tests.iter().map(|test| test.members);
    tests.chain(subject.playbook.ends.iter().map(|end| end.members)).any(|members| matches!(members, Members::That(_)))
}

fn not_picked(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    let starts = entries(playbook).into_iter().filter(|(_, entry)| *entry != Entry::Finish).map(|(test, entry)| {
        let picked = match entry {
            Entry::Verify(end) => match playbook.end(end).members {
                Members::That(bank) => bit(bank),
                _ => 0,
            },
            Entry::First | Entry::Finish => 0,
        };
        Here { at: At::Test(test), picked }
    });
    let reached = Reached::from(starts, |here| {
        let At::Test(id) = here.at else { return Vec::new() };
        let test = playbook.test(id);
        exits(test)
            .filter_map(|exit| {
                let picked = match (test.members, exit.kind) {
                    (Members::Each(bank), Some(OutcomeKind::If)) => here.picked | bit(bank),
                    (Members::Each(bank), _) => here.picked & !bit(bank),
                    _ => here.picked,
                };
                match exit.to {
                    Target::Test(to) => Some(Here { at: At::Test(*to), picked }),
                    Target::End(to) => Some(Here { at: At::End(*to), picked }),
                    Target::Playbook(_) | Target::Nowhere => None,
                }
            })
            .collect()
    });
    let mut told: Vec<At> = Vec::new();
    for here in reached.iter() {
        let (members, name, span) = match here.at {
            At::Test(id) => (playbook.test(id).members, &playbook.test(id).name, playbook.test(id).span),
            At::End(id) => (playbook.end(id).members, &playbook.end(id).name, playbook.end(id).span),
        };
        let Members::That(bank) = members else { continue };
        // Behind a block that was told, every other one would be told again.
        let road = reached.road(*here);
        if here.picked & bit(bank) != 0 || road.iter().any(|at| told.contains(&at.at)) {
            continue;
        }
        told.push(here.at);
        let Some(block) = subject.written(span) else { continue };
        let place = for_line(block, |entry| matches!(entry, For::That { .. })).unwrap_or(block.name.span);
        let bank = &playbook.bank(bank).name;
        let names: Vec<&str> = road
            .iter()
            .filter_map(|here| match here.at {
                At::Test(id) => Some(playbook.test(id).name.as_str()),
                At::End(_) => None,
            })
            .filter(|on_road| on_road != name)
            .collect();
        let coming = match names.as_slice() {
            [] => "where it is reached first".to_owned(),
            names => format!("on the road over {}", list(&ticked(names), "and")),
        };
        let message = format!("`{name}` is for that {bank}, and {coming} no {bank} is picked.");
        problems.push(Problem::new(&NO_MEMBER_PICKED, playbook.place(place), message));
    }
}

fn bit(bank: BankId) -> u64 {
    1_u64.checked_shl(u32::from(bank.0)).unwrap_or(0)
}

/// The `for` line that holds such an entry.
fn for_line(block: &Block, wanted: impl Fn(&For) -> bool) -> Option<Span> {
    block.lines.iter().find_map(|line| match &line.says {
        Says::For(entries) if entries.iter().any(&wanted) => Some(line.span),
        _ => None,
    })
}

/// The name behind `go to` on a line.
fn target_words(subject: Subject<'_>, line: Span) -> String {
    let lines = subject.tree.blocks.iter().flat_map(|block| &block.lines);
    let target = lines.filter(|l| l.span == line).find_map(|line| match &line.says {
        Says::Outcome { to, .. } => Some(to),
        _ => None,
    });
    target.map_or_else(String::new, |to| {
        let playbook = if to.playbook { "playbook " } else { "" };
        format!("{playbook}{}", to.name.as_str())
    })
}
