//! Repairs name their part, are done locked out, and are checked.

use super::Subject;
use super::roads::{changes_something, exits};
use crate::language::fill_in;
use crate::language::syntax::{Block, BlockKind, OutcomeKind, Says};
use crate::playbook::model::{End, EndId, Playbook, Target, TestId};
use crate::sheet::states::{Stand, StateId};
use crate::text::english::{list, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use std::collections::VecDeque;

/// A repair without a part.
pub static NO_PART: Rule = Rule {
    code: "no-part",
    level: Level::Error,
    says: "A `repair` has a `part` line with the part to bring; what changes no part is an `adjust`.",
    why: "A technician who walks back to the truck has to know what to bring.",
    wrong: "repair tighten-lug: Tighten the lug\n  do      Tighten the lug.\n  verify  line-volts",
    mended: "adjust tighten-lug: Tighten the lug\n  do      Tighten the lug.\n  verify  line-volts",
};

/// A part changed on a machine that may be live.
pub static REPAIR_NOT_LOCKED_OUT: Rule = Rule {
    code: "repair-not-locked-out",
    level: Level::Error,
    says: "A part is changed with the machine locked out.",
    why: "Hands and tools go where the current was. Lock-out is law in most places (29 CFR 1910.147 and 1910.333).",
    wrong: "repair replace-relay: Replace the relay\n  with  power live, covers off",
    mended: "repair replace-relay: Replace the relay\n  with  power locked-out, covers off",
};

/// A repair nobody checks.
pub static NO_VERIFY: Rule = Rule {
    code: "no-verify",
    level: Level::Error,
    says: "Every repair and every adjust has a `verify` line with the tests that prove it.",
    why: "A new part can be bad, or the wrong one. The test that showed the fault shows whether it is gone.",
    wrong: "repair replace-relay: Replace the relay\n  part  Relay, 24 V coil",
    mended: "repair replace-relay: Replace the relay\n  part    Relay, 24 V coil\n  verify  relay-volts",
};

/// A `verify` that looks elsewhere.
pub static VERIFY_ELSEWHERE: Rule = Rule {
    code: "verify-elsewhere",
    level: Level::Warning,
    says: "`verify` names a test that showed the fault: one whose bad line is on the road to the repair.",
    why: "Only the test that read bad before can show that it reads good now.",
    wrong: "test coil-ohms: …\n  if  OL  go to replace-coil\nrepair replace-coil: Replace the coil\n  verify  door-look",
    mended: "test coil-ohms: …\n  if  OL  go to replace-coil\nrepair replace-coil: Replace the coil\n  verify  coil-ohms",
};

/// The rules of this file.
pub static RULES: [&Rule; 4] = [&NO_PART, &REPAIR_NOT_LOCKED_OUT, &NO_VERIFY, &VERIFY_ELSEWHERE];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    let into = Into::of(playbook);
    for ((block, end), (id, _)) in subject.ends().zip(playbook.ends()) {
        if !changes_something(end.kind) {
            continue;
        }
        if end.kind == BlockKind::Repair {
            if end.parts.is_empty() {
                let message = format!(
                    "The repair `{}` does not say which part it changes. Where it changes none, it is an `adjust`.",
                    end.name
                );
                let problem = Problem::new(&NO_PART, playbook.place(block.name.span), message);
                problems.push(problem.and_below(&format!("part  {}", fill_in::PART)));
            }
            locked_out(subject, block, end, problems);
        }
        let showed = into.showed(playbook, id);
        let names: Vec<&str> = showed.iter().map(|test| playbook.test(*test).name.as_str()).collect();
        if !block.lines.iter().any(|line| matches!(line.says, Says::Verify(_))) {
            let message = format!("Nothing proves the {} `{}`.", end.kind.keyword(), end.name);
            let problem = Problem::new(&NO_VERIFY, playbook.place(block.name.span), message);
            problems.push(match names.last() {
                Some(test) => problem.and_below(&format!("verify  {test}")),
                None => problem,
            });
        }
        // A reading that led here by its bad line showed the fault.
        if !end.verify.is_empty() && !showed.is_empty() && !end.verify.iter().any(|test| showed.contains(test)) {
            elsewhere(subject, block, &names, problems);
        }
    }
}

fn locked_out(subject: Subject<'_>, block: &Block, end: &End, problems: &mut Vec<Problem>) {
    let needs = subject.playbook.states.with_needs(&end.with);
    if needs.contains(&Stand::LOCKED_OUT) {
        return;
    }
    let message = match needs.iter().find(|stand| stand.state == StateId::POWER) {
        Some(_) => format!("The repair `{}` changes a part with the power live.", end.name),
        None => format!("The repair `{}` does not say that the machine is locked out.", end.name),
    };
    let problem = Problem::new(&REPAIR_NOT_LOCKED_OUT, subject.playbook.place(end.with_span), message);
    problems.push(subject.with_instead(problem, block, "power locked-out"));
}

fn elsewhere(subject: Subject<'_>, block: &Block, showed: &[&str], problems: &mut Vec<Problem>) {
    let Some((line, tests)) = block.lines.iter().find_map(|line| match &line.says {
        Says::Verify(tests) => Some((line.span, tests)),
        _ => None,
    }) else {
        return;
    };
    // The nearest two are enough to choose from.
    let near = showed.get(showed.len().saturating_sub(2)..).unwrap_or(showed);
    let message = format!(
        "`{}` does not go back to a test that showed the fault: {} did.",
        block.name.as_str(),
        list(&ticked(near), "and")
    );
    let problem = Problem::new(&VERIFY_ELSEWHERE, subject.playbook.place(line), message);
    let names: Vec<&str> = near.last().copied().into_iter().chain(tests.iter().map(|test| test.as_str())).collect();
    problems.push(problem.instead(format!("verify  {}", names.join(", "))));
}

/// The tests that lead to each block, with whether a bad line does.
struct Into {
    tests: Vec<Vec<(TestId, bool)>>,
    ends: Vec<Vec<(TestId, bool)>>,
}

impl Into {
    fn of(playbook: &Playbook) -> Self {
        let mut into =
            Self { tests: vec![Vec::new(); playbook.tests.len()], ends: vec![Vec::new(); playbook.ends.len()] };
        for (id, test) in playbook.tests() {
            for exit in exits(test) {
                let list = match exit.to {
                    Target::Test(to) => into.tests.get_mut(usize::from(to.0)),
                    Target::End(to) => into.ends.get_mut(usize::from(to.0)),
                    Target::Playbook(_) | Target::Nowhere => None,
                };
                let bad = matches!(exit.kind, Some(OutcomeKind::If | OutcomeKind::All));
                if let Some(list) = list {
                    list.push((id, bad));
                }
            }
        }
        into
    }

    /// The tests whose bad line is on a road to this repair, the nearest last.
    fn showed(&self, playbook: &Playbook, end: EndId) -> Vec<TestId> {
        // By number: whether a test was shown, and whether it was met.
        let mut told = vec![(false, false); playbook.tests.len()];
        let mut showed = Vec::new();
        let mut queue = VecDeque::new();
        let mut take = |from: &[(TestId, bool)], queue: &mut VecDeque<TestId>| {
            for (id, bad) in from {
                let Some((shown, met)) = told.get_mut(usize::from(id.0)) else { continue };
                if *bad && !std::mem::replace(shown, true) {
                    showed.push(*id);
                }
                if !std::mem::replace(met, true) {
                    queue.push_back(*id);
                }
            }
        };
        take(self.ends.get(usize::from(end.0)).map_or(&[], Vec::as_slice), &mut queue);
        while let Some(id) = queue.pop_front() {
            take(self.tests.get(usize::from(id.0)).map_or(&[], Vec::as_slice), &mut queue);
        }
        showed.reverse();
        showed
    }
}
