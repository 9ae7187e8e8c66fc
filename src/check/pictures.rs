//! A picture says in words what it shows, and lies beside the playbook. Files are looked at by whoever calls [`files`].

use super::Subject;
use crate::language::fill_in;
use crate::language::syntax::{Playbook, Says};
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

/// A picture that is not there.
pub static NO_SUCH_PICTURE: Rule = Rule {
    code: "no-such-picture",
    level: Level::Error,
    says: "The file of a `picture` lies in the playbook's folder, or in one below it.",
    why: "The page would show an empty frame to a technician who was told to compare.",
    wrong: "picture  flame.svg: A blue flame that wraps the rod        (the file is called `flames.svg`)",
    mended: "picture  flames.svg: A blue flame that wraps the rod",
};

/// A file that cannot go on a page.
pub static NOT_A_PICTURE: Rule = Rule {
    code: "not-a-picture",
    level: Level::Error,
    says: "The file of a `picture` is what its name says, a drawing or photograph that does nothing by itself.",
    why: "A file that is not what its name says stays blank on the phone, and a drawing with a script in it would run on the wiki.",
    wrong: "picture  rod.png: The rod in the flame        (the file is a web page)",
    mended: "picture  rod.png: The rod in the flame        (the photograph saved again as PNG)",
};

/// The rules of this file.
pub static RULES: [&Rule; 1] = [&PICTURE_WITHOUT_WORDS];

/// Those about the file itself.
pub static FILE_RULES: [&Rule; 2] = [&NO_SUCH_PICTURE, &NOT_A_PICTURE];

/// Why a file cannot be shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Slip {
    /// It is not there; the file that may have been meant.
    Missing {
        /// Its name as a `picture` line would have it.
        near: Option<String>,
    },
    /// It is there, and this is wrong with it, in a sentence.
    Refused(String),
}

/// What is wrong with the files of a playbook's pictures; `look` looks at one.
pub fn files(tree: &Playbook, look: &dyn Fn(&str) -> Option<Slip>) -> Vec<Problem> {
    let mut problems = Vec::new();
    for line in tree.blocks.iter().flat_map(|block| &block.lines) {
        let Says::Picture { file, .. } = &line.says else { continue };
        let name = file.as_str();
        let place = tree.place(file.span);
        problems.extend(look(name).map(|slip| match slip {
            Slip::Missing { near: Some(near) } => {
                let message = format!("There is no file `{name}` beside this playbook. Did you mean `{near}`?");
                Problem::new(&NO_SUCH_PICTURE, place, message).mended(&near)
            }
            Slip::Missing { near: None } => {
                let message = format!("There is no file `{name}` beside this playbook. Put it into the same folder.");
                Problem::new(&NO_SUCH_PICTURE, place, message)
            }
            Slip::Refused(why) => {
                Problem::new(&NOT_A_PICTURE, place, format!("The picture `{name}` can't be shown. {why}"))
            }
        }));
    }
    problems
}

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    for line in subject.tree.blocks.iter().flat_map(|block| &block.lines) {
        if let Says::Picture { file, shows } = &line.says
            && shows.as_str().is_empty()
        {
            let message = format!("Nothing says what the picture `{}` shows.", file.as_str());
            let problem = Problem::new(&PICTURE_WITHOUT_WORDS, subject.tree.place(line.span), message);
            problems.push(problem.instead(format!("picture  {}: {}", file.as_str(), fill_in::SHOWS)));
        }
    }
}
