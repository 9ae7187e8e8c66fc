//! A picture says in words what it shows.

use super::Subject;
use crate::language::syntax::Says;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};

/// A picture without words.
pub static PICTURE_WITHOUT_WORDS: Rule = Rule {
    code: "picture-without-words",
    level: Level::Error,
    says: "Behind the file of a `picture` stands a colon and what it shows.",
    why: "The words are for the phone that can't load it, the printout that can't show it and the reader who can't see it.",
    wrong: "picture  flame.svg",
    mended: "picture  flame.svg: A blue flame that wraps the tip of the rod",
};

/// The rules of this file.
pub static RULES: [&Rule; 1] = [&PICTURE_WITHOUT_WORDS];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    for line in subject.tree.blocks.iter().flat_map(|block| &block.lines) {
        if let Says::Picture { file, shows } = &line.says
            && shows.as_str().is_empty()
        {
            let message = format!("Nothing says what the picture `{}` shows.", file.as_str());
            let problem = Problem::new(&PICTURE_WITHOUT_WORDS, subject.tree.place(line.span), message);
            problems.push(problem.instead(format!("picture  {}: WHAT IT SHOWS", file.as_str())));
        }
    }
}
