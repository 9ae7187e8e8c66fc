//! Who a call is handed to, why, and how the machine is left.

use super::Subject;
use crate::language::fill_in;
use crate::language::syntax::BlockKind;
use crate::sheet::standing::Standing;
use crate::sheet::states::Stand;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};

/// An escalation to nobody.
pub static TO_NOBODY: Rule = Rule {
    code: "escalates-to-nobody",
    level: Level::Error,
    says: "Every escalation has a `to` line: who to call.",
    why: "\"Call somebody\" at eight in the evening is no help.",
    wrong: "escalate gas-low: The gas supply is low\n  because  Inlet pressure is under 6 inWC.",
    mended: "escalate gas-low: The gas supply is low\n  to       gas fitter\n  because  Inlet pressure is under 6 inWC.",
};

/// An escalation without a reason.
pub static NO_REASON: Rule = Rule {
    code: "escalates-without-reason",
    level: Level::Error,
    says: "Every escalation has a `because` line: what to tell whoever is called.",
    why: "Whoever takes over starts from what was found, or starts again from nothing.",
    wrong: "escalate gas-low: The gas supply is low\n  to  gas fitter",
    mended: "escalate gas-low: The gas supply is low\n  to       gas fitter\n  because  Inlet pressure is under 6 inWC.",
};

/// A machine left in a way that needs a reason.
pub static LEFT_WITHOUT_REASON: Rule = Rule {
    code: "left-without-reason",
    level: Level::Error,
    says: "A machine is left locked out, or with everything home; any other way has its reason behind `because`.",
    why: "Whoever comes next finds a machine with a cover off or a call held in, and nobody there to ask.",
    wrong: "leave  covers off",
    mended: "leave  power locked-out",
};

/// The rules of this file.
pub static RULES: [&Rule; 3] = [&TO_NOBODY, &NO_REASON, &LEFT_WITHOUT_REASON];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    for (block, end) in subject.ends() {
        if end.kind == BlockKind::Escalate {
            let heading = playbook.place(block.name.span);
            if end.to.is_none() {
                let message = format!("The escalation `{}` does not say who to call.", end.name);
                problems.push(Problem::new(&TO_NOBODY, heading.clone(), message).and_below("to  lead"));
            }
            if end.because.is_empty() {
                let message = format!("The escalation `{}` does not say why the call is handed on.", end.name);
                problems.push(
                    Problem::new(&NO_REASON, heading, message).and_below(&format!("because  {}", fill_in::FOUND)),
                );
            }
        }
        let Some(leave) = &end.leave else { continue };
        let mut standing = Standing::home(&playbook.states);
        for stand in playbook.states.with_needs(&leave.stands) {
            standing.set(stand);
        }
        let safe = standing.holds(Stand::LOCKED_OUT) || standing.is_home();
        if !safe && leave.because.is_none() {
            let told = playbook.states.told_standing(&standing);
            let message = format!(
                "`{}` leaves the machine {told}, and does not say why. Leave it locked out, or give the reason: `because {}`.",
                end.name,
                fill_in::REASON
            );
            let problem = Problem::new(&LEFT_WITHOUT_REASON, playbook.place(leave.span), message);
            problems.push(problem.instead("leave  power locked-out"));
        }
    }
}
