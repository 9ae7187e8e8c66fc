//! No test that settles nothing: one whose lines all lead to one place, and one that reads again what is known.
//!
//! Source of both: US Army IT0338, introduction to logical troubleshooting (the premature and the redundant check).

use super::Subject;
use super::roads::{self, exits};
use crate::language::syntax::{LimitKind, Probes, Says, Sum, When};
use crate::playbook::model::{Measure, Playbook, Step, Target, Test, TestId};
use crate::sheet::states::Stand;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};

/// Every line of a test leads to the same place.
pub static SETTLES_NOTHING: Rule = Rule {
    code: "settles-nothing",
    level: Level::Warning,
    says: "The lines of a test lead to different places.",
    why: "Where every reading leads the same way it is not needed there: go there at once, or take it where it tells two things apart (US Army IT0338).",
    wrong: "good  normal        go to coil\nif    below normal  go to coil\nif    above normal  go to coil",
    mended: "good  normal        go to coil\nif    below normal  go to supply-wrong\nif    above normal  go to supply-wrong",
};

/// A reading that every road here has taken already.
pub static KNOWN_ALREADY: Rule = Rule {
    code: "known-already",
    level: Level::Warning,
    says: "A reading is taken once on a road, until something is done to the machine.",
    why: "Taken again it tells nothing new, and costs a trip into the panel (US Army IT0338). Give it a name with `call it`, and use the name.",
    wrong: "test line-volts: Supply\n  measure  V AC from L1 to L2\n  …\ntest again: Supply, at the same terminals in the same state\n  measure  V AC from L1 to L2",
    mended: "test line-volts: Supply\n  measure  V AC from L1 to L2, call it supply",
};

/// The rules of this file.
pub static RULES: [&Rule; 2] = [&SETTLES_NOTHING, &KNOWN_ALREADY];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    let entries: Vec<TestId> = roads::entries(playbook).into_iter().map(|(test, _)| test).collect();
    for (id, test) in playbook.tests() {
        // An owed test is struck or not: its lines tell good from not good even where they lead to one place.
        let owed = entries.iter().skip(1).any(|entry| *entry == id);
        if !owed
            && let Some(place) = only_place(test)
            && !is_used_elsewhere(subject, test)
        {
            let to = name(playbook, place);
            let message = format!("Every line of `{}` leads to `{to}`: what it reads settles nothing.", test.name);
            problems.push(Problem::new(&SETTLES_NOTHING, playbook.place(test.span), message));
        }
        if !entries.contains(&id)
            && let Some(before) = known_from(playbook, &entries, id, test)
        {
            let message =
                format!("Every road to `{}` has this reading from `{}`, in the same state.", test.name, before.name);
            problems.push(
                Problem::new(&KNOWN_ALREADY, playbook.place(test.span), message)
                    .also(playbook.place(before.span), "it was taken here"),
            );
        }
    }
}

/// The one place every line leads to, where there are two lines or more.
fn only_place(test: &Test) -> Option<&Target> {
    let (first, rest) = test.branches.split_first()?;
    let one = !rest.is_empty() && first.to != Target::Nowhere && rest.iter().all(|branch| branch.to == first.to);
    one.then_some(&first.to)
}

fn name<'a>(playbook: &'a Playbook, target: &'a Target) -> &'a str {
    match target {
        Target::Test(id) => &playbook.test(*id).name,
        Target::End(id) => &playbook.end(*id).name,
        Target::Playbook(name) => name,
        Target::Nowhere => "",
    }
}

/// Whether another block uses a reading this test names.
fn is_used_elsewhere(subject: Subject<'_>, test: &Test) -> bool {
    let named =
        |word: &str| test.measures().iter().any(|m| subject.playbook.slot(m.slot).name.as_deref() == Some(word));
    subject.tree.blocks.iter().filter(|block| block.span != test.span).flat_map(|block| &block.lines).any(|line| {
        match &line.says {
            Says::Calculate { sum, .. } => mentions(sum, &named),
            Says::Outcome { when: When::Limit(limit), .. } => {
                matches!(&limit.kind, LimitKind::Normal { at: Some(at), .. } if named(at.as_str()))
            }
            _ => false,
        }
    })
}

fn mentions(sum: &Sum, named: &impl Fn(&str) -> bool) -> bool {
    match sum {
        Sum::Number(_) => false,
        Sum::Name(word) => named(word.as_str()),
        Sum::Call { arguments, .. } => arguments.iter().any(|argument| mentions(argument, named)),
        Sum::Pair { left, right, .. } => mentions(left, named) || mentions(right, named),
        Sum::Minus(sum, _) => mentions(sum, named),
    }
}

/// The test that took the same single reading on every road to this one, with nothing done between.
fn known_from<'a>(playbook: &'a Playbook, entries: &[TestId], id: TestId, test: &Test) -> Option<&'a Test> {
    let reading = reading(test)?;
    let twins: Vec<TestId> = playbook
        .tests()
        .filter(|(other, twin)| {
            *other != id && same(test, twin) && self::reading(twin).is_some_and(|r| alike(reading, r))
        })
        .map(|(other, _)| other)
        .collect();
    let first = *twins.first()?;
    // Followed backward: every way in has to come from a twin, through tests in which nothing is done.
    let mut seen = vec![id];
    let mut open = vec![id];
    while let Some(here) = open.pop() {
        let mut led = false;
        for (from, before) in playbook.tests() {
            for exit in exits(before).filter(|exit| *exit.to == Target::Test(here)) {
                led = true;
                if twins.contains(&from) && exit.kind.is_some() {
                    continue;
                }
                if entries.contains(&from) || works(before) || !same(test, before) {
                    return None;
                }
                if !seen.contains(&from) {
                    seen.push(from);
                    open.push(from);
                }
            }
        }
        if !led {
            return None;
        }
    }
    Some(playbook.test(first))
}

/// The one measure of a test in which nothing is done before it.
fn reading(test: &Test) -> Option<&Measure> {
    match test.measures() {
        [one] if !works(test) => Some(one),
        _ => None,
    }
}

/// Whether hands are laid on the machine, or time goes by.
fn works(test: &Test) -> bool {
    test.steps.iter().any(|step| matches!(step, Step::Do(..) | Step::Wait { .. }))
}

/// Whether two tests stand in the same state, for the same members.
fn same(a: &Test, b: &Test) -> bool {
    let sorted = |test: &Test| {
        let mut with: Vec<Stand> = test.with.clone();
        with.sort_unstable();
        with
    };
    a.members == b.members && sorted(a) == sorted(b)
}

/// Whether two measures read the same thing the same way; AC and ohms read alike both ways round.
fn alike(a: &Measure, b: &Measure) -> bool {
    let turned = match (&a.probes, &b.probes) {
        (Probes::Between(a1, a2), Probes::Between(b1, b2)) => {
            !a.unit.is_signed() && a1.as_str() == b2.as_str() && a2.as_str() == b1.as_str()
        }
        _ => false,
    };
    let over = match (&a.over, &b.over) {
        (None, None) => true,
        (Some((a, s, _)), Some((b, t, _))) => a == b && s.total_cmp(t).is_eq(),
        _ => false,
    };
    a.unit == b.unit && a.loaded == b.loaded && over && (a.at == b.at || turned)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::playbook::compile::{Ground, compile};
    use crate::playbook::outline::Outlines;
    use crate::sheet::states::States;
    use crate::text::source::Source;
    use std::sync::Arc;

    /// A complaint, two volt tests one behind the other, and what the second is changed to.
    fn told(second: &str) -> Vec<&'static str> {
        let text = format!(
            "playbook p: Warmer is dead\nsymptom It is cold\nrevised 2026-09-14\nfinish comes-on\n\
             test comes-on: Switch it on\n with power live, covers on\n ask What comes on?\n good light go to e\n if nothing go to first\n\
             test first: Volts at the block\n with power live, covers off\n danger Live parts kill: keep hands out.\n measure V AC from L1 to L2, call it supply\n\
              good 187 to 229 V AC go to second\n if below 187 V AC go to second\n if above 229 V AC go to e\n{second}\n\
             repair r: Replace the switch\n with power locked-out, covers off\n for switch\n part Switch\n verify first\n\
             escalate e: The supply is wrong\n to lead\n because The supply is wrong.\n leave power locked-out\n"
        );
        let (tree, problems) = crate::language::parse(&Source::new("p", text));
        assert!(problems.is_empty(), "{problems:?}");
        let tree = tree.unwrap();
        let states = Arc::new(States::built_in());
        let (playbook, _) = compile(&tree, Ground { states: &states, banks: &[], desks: None });
        let playbook = playbook.unwrap();
        let mut found = Vec::new();
        check(Subject { tree: &tree, playbook: &playbook, others: &Outlines::default(), desks: None }, &mut found);
        found.into_iter().map(|problem| problem.rule.code).collect()
    }

    #[test]
    fn a_reading_is_taken_once_and_settles_something() {
        let test = |with: &str, lines: &str, out: &str| {
            format!("test second: More volts\n with {with}\n danger Live parts kill: keep hands out.\n{lines}\n {out}")
        };
        let live = "power live, covers off";
        let two = "good 187 to 229 V AC go to r\n if below 187 V AC go to e\n if above 229 V AC go to e";
        let one = "good 187 to 229 V AC go to e\n if below 187 V AC go to e\n if above 229 V AC go to e";
        let (known, nothing) = ("known-already", "settles-nothing");
        let cases: [(String, &[&str]); 7] = [
            (test(live, " measure V AC from L1 to L2", two), &[known]),
            // AC reads alike both ways round.
            (test(live, " measure V AC from L2 to L1", two), &[known]),
            (test(live, " measure V AC from L1 to L3", two), &[]),
            (test(live, " measure V AC from L1 to L2, loaded", two), &[]),
            (test("power live, covers on", " measure V AC from L1 to L2", two), &[]),
            (test(live, " do Press the reset once.\n measure V AC from L1 to L2", two), &[]),
            (test(live, " measure V AC from L1 to L3", one), &[nothing]),
        ];
        for (second, want) in cases {
            assert_eq!(told(&second), want, "{second}");
        }
    }
}
