//! A signal word stands before what it is about.

use crate::check::Subject;
use crate::language::syntax::{Line, Says};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};

/// A signal word behind the last action of its block. Sources: MIL-STD-2106A, Appendix B; DITA 1.3: the hazard before the command.
pub static RULE: Rule = Rule {
    code: "caution-after-action",
    level: Level::Warning,
    says: "A signal word stands before the action it is about.",
    why: "Read after the work it is too late (MIL-STD-2106A, Appendix B).",
    wrong: "do       Pull the rod out.\ncaution  The rod burns: wear gloves.",
    mended: "caution  The rod burns: wear gloves.\ndo       Pull the rod out.",
};

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let tree = subject.tree;
    for block in &tree.blocks {
        let Some((last, action)) = block.lines.iter().enumerate().rfind(|(_, line)| is_action(line)) else { continue };
        for line in block.lines.iter().skip(last + 1) {
            if let Says::Signal(signal, _) = &line.says {
                let caution = tree.source.slice(line.span);
                let action_text = tree.source.slice(action.span);
                let message = format!("`{}` stands behind the action it is about.", signal.word());
                problems.push(
                    Problem::new(&RULE, tree.place(line.span), message)
                        .instead(format!("{caution}\n{action_text}"))
                        .also(tree.place(action.span), "the last action here"),
                );
            }
        }
    }
}

fn is_action(line: &Line) -> bool {
    matches!(line.says, Says::Do(_) | Says::Wait { .. } | Says::Ask(_) | Says::Measure(_))
}
