//! A title fits on one line of the page.

use crate::check::Subject;
use crate::language::syntax::Block;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};

/// A title of more than 60 letters. The limit is ours: two lines on a phone, one on paper.
pub static RULE: Rule = Rule {
    code: "long-title",
    level: Level::Warning,
    says: "A title has at most 60 letters.",
    why: "Titles stand in the chart beside a line and in the index on a phone; a longer one breaks there. The limit is ours.",
    wrong: "test supply: Volts at the terminal block of the cabinet while it calls for heat and the fan runs",
    mended: "test supply: Volts at the terminal block, under load",
};

const MOST_LETTERS: usize = 60;

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let tree = subject.tree;
    for block in std::iter::once(&tree.head).chain(&tree.blocks) {
        if let Some(message) = too_long(block) {
            problems.push(Problem::new(&RULE, tree.place(block.title.span), message));
        }
    }
}

fn too_long(block: &Block) -> Option<String> {
    let title = block.title.as_str();
    // Bytes first: letters are never more.
    let letters = if title.len() > MOST_LETTERS { title.chars().count() } else { 0 };
    (letters > MOST_LETTERS).then(|| {
        let head: String = title.chars().take(30).collect();
        format!("The title `{}…` has {letters} letters; {MOST_LETTERS} is the most. Leave the how to the `do` lines and the why to `why`.", head.trim_end())
    })
}
