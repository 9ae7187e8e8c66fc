//! The head says what the caller says, when the playbook was last looked over, and what is tested before a call is closed.

use super::Subject;
use crate::language::fill_in;
use crate::language::syntax::Says;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};

/// No `finish` line.
pub static NO_FINISH: Rule = Rule {
    code: "no-finish",
    level: Level::Error,
    says: "The head has a `finish` line with the tests owed at the end of every call that changed something.",
    why: "A second fault hides behind the first. Without `finish` a call is closed on the repair alone, and the kitchen calls again.",
    wrong: "playbook rinse-cold: Final rinse is cold\nsymptom  Rinse is cold",
    mended: "playbook rinse-cold: Final rinse is cold\nsymptom  Rinse is cold\nfinish   line-current, runs-to-set-point",
};

/// No `symptom` line.
pub static NO_SYMPTOM: Rule = Rule {
    code: "no-symptom",
    level: Level::Error,
    says: "The head has at least one `symptom` line, in the words callers use.",
    why: "The new hire looks for what the kitchen said, not for the name of the playbook.",
    wrong: "playbook rinse-cold: Final rinse is cold\nfinish   line-current",
    mended: "playbook rinse-cold: Final rinse is cold\nsymptom  Rinse water never gets hot\nfinish   line-current",
};

/// No `revised` line.
pub static NO_REVISED: Rule = Rule {
    code: "no-revised",
    level: Level::Error,
    says: "The head has a `revised` line with the date it was last looked over.",
    why: "A printed page outlives its playbook. The date says which of two pages is the later one.",
    wrong: "playbook rinse-cold: Final rinse is cold\nsymptom  Rinse is cold",
    mended: "playbook rinse-cold: Final rinse is cold\nsymptom  Rinse is cold\nrevised  2026-10-05",
};

/// A `was` that is the name of a playbook there is.
pub static WAS_IN_USE: Rule = Rule {
    code: "was-in-use",
    level: Level::Error,
    says: "`was` names an address no playbook has today, and only one playbook names it.",
    why: "The old address can lead on to one place only.",
    wrong: "playbook rinse-cold: Final rinse is cold\nwas      no-heat        (and another playbook is named `no-heat`)",
    mended: "playbook rinse-cold: Final rinse is cold\nwas      rinse-trouble",
};

/// The rules of this file.
pub static RULES: [&Rule; 4] = [&NO_FINISH, &NO_SYMPTOM, &NO_REVISED, &WAS_IN_USE];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let head = &subject.tree.head;
    let has = |wanted: fn(&Says) -> bool| head.lines.iter().any(|line| wanted(&line.says));
    let missing = |rule, message: &str, line: String| {
        Problem::new(rule, subject.tree.place(head.name.span), message).and_below(&line)
    };
    if !has(|says| matches!(says, Says::Finish(_))) {
        // The complaint itself has to be gone; what else is to be tried only the author knows.
        let first = subject.playbook.tests.first().map_or("", |test| test.name.as_str());
        let message = "The head does not say what is tested before a call is closed: the complaint again, and all that may be wrong beside it.";
        problems.push(missing(&NO_FINISH, message, format!("finish  {first}")));
    }
    if !has(|says| matches!(says, Says::Symptom(_))) {
        let message = "The head does not say what the caller says.";
        problems.push(missing(&NO_SYMPTOM, message, format!("symptom  {}", head.title.as_str())));
    }
    if !has(|says| matches!(says, Says::Revised(_))) {
        let message = "The head does not say when this playbook was last looked over.";
        problems.push(missing(&NO_REVISED, message, format!("revised  {}", fill_in::DATE)));
    }
    was(subject, problems);
}

fn was(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    for line in &subject.tree.head.lines {
        let Says::Was(old) = &line.says else { continue };
        let mut tell = |message| problems.push(Problem::new(&WAS_IN_USE, subject.tree.place(old.span), message));
        let name = old.as_str();
        if name == subject.playbook.name {
            tell(format!("`{name}` is what this playbook is called now."));
        } else if let Some(living) = subject.others.get(name) {
            tell(format!("`{name}` is the name of another playbook: {}.", living.path));
        } else if let Some(other) = subject
            .others
            .iter()
            .find(|other| other.path != subject.tree.source.path() && other.was.iter().any(|was| was == name))
        {
            tell(format!("`{name}` was the name of `{}` too: {}.", other.name, other.path));
        }
    }
}
