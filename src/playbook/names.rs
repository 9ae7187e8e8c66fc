//! The names a playbook declares, and the lines that use them.

use super::model::{EndId, Target, TestId};
use crate::language::syntax::{self, BlockKind, Word};
use crate::text::english::nearest;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use std::collections::BTreeMap;

/// A `go to` that lands nowhere.
pub static NO_SUCH_BLOCK: Rule = Rule {
    code: "no-such-block",
    level: Level::Error,
    says: "Every `go to` lands on a test, a repair, an adjust or an escalation of this playbook.",
    why: "A new hire who is sent to a step that isn't there is left alone at a live machine.",
    wrong: "if  below 1 A  go to pulled-inn",
    mended: "if  below 1 A  go to pulled-in",
};

/// Two blocks with one name.
pub static SAME_NAME: Rule = Rule {
    code: "same-name",
    level: Level::Error,
    says: "A name stands for one block only.",
    why: "`go to NAME` must lead to one place.",
    wrong: "test volts: …\nrepair volts: …",
    mended: "test volts: …\nrepair replace-fuse: …",
};

/// A repair where a test belongs.
pub static NOT_A_TEST: Rule = Rule {
    code: "not-a-test",
    level: Level::Error,
    says: "`verify` and `finish` name tests.",
    why: "A repair is proved by testing again, not by another repair.",
    wrong: "verify  replace-fuse",
    mended: "verify  line-volts",
};

/// The rules of this file.
pub static RULES: [&Rule; 3] = [&NO_SUCH_BLOCK, &SAME_NAME, &NOT_A_TEST];

/// Most problems before the search for near names is given up. A number of ours.
const MOST_HINTS: usize = 100;

/// A block by its number among its kind.
#[derive(Debug, Clone, Copy)]
enum Named {
    Test(TestId),
    End(EndId),
}

/// Every name of one playbook.
#[derive(Debug)]
pub(super) struct Names<'a> {
    tree: &'a syntax::Playbook,
    by_name: BTreeMap<&'a str, (Named, &'a Word)>,
}

impl<'a> Names<'a> {
    /// Reads the headings; two with one name are told, and the first keeps it.
    pub(super) fn read(tree: &'a syntax::Playbook, problems: &mut Vec<Problem>) -> Self {
        let mut names = Self { tree, by_name: BTreeMap::new() };
        let (mut tests, mut ends) = (0_u16, 0_u16);
        for block in &tree.blocks {
            let named = if block.kind == BlockKind::Test {
                tests = tests.saturating_add(1);
                Named::Test(TestId(tests - 1))
            } else {
                ends = ends.saturating_add(1);
                Named::End(EndId(ends - 1))
            };
            let name = block.name.as_str();
            if name.is_empty() {
                continue;
            }
            if let Some((_, first)) = names.by_name.get(name) {
                let message = format!("Two blocks are named `{name}`.");
                let problem = Problem::new(&SAME_NAME, tree.place(block.name.span), message)
                    .also(tree.place(first.span), "the first one")
                    .instead(format!("{} {name}-2: {}", block.kind.keyword(), block.title.as_str()));
                problems.push(problem);
            } else {
                names.by_name.insert(name, (named, &block.name));
            }
        }
        names
    }

    /// Where a `go to` leads; a name that is nowhere is told.
    pub(super) fn target(&self, target: &syntax::Target, problems: &mut Vec<Problem>) -> Target {
        if target.playbook {
            return Target::Playbook(target.name.as_str().to_owned());
        }
        match self.by_name.get(target.name.as_str()) {
            Some((Named::Test(id), _)) => Target::Test(*id),
            Some((Named::End(id), _)) => Target::End(*id),
            None => {
                problems.push(self.unknown(&target.name, "test, repair, adjust or escalation", None, problems.len()));
                Target::Nowhere
            }
        }
    }

    /// The test a `verify` or `finish` names.
    pub(super) fn test(&self, name: &Word, problems: &mut Vec<Problem>) -> Option<TestId> {
        match self.by_name.get(name.as_str()) {
            Some((Named::Test(id), _)) => Some(*id),
            Some((Named::End(_), _)) => {
                let block = self.tree.blocks.iter().find(|b| b.name.text == name.text);
                let kind = match block.map_or(BlockKind::Repair, |block| block.kind) {
                    BlockKind::Escalate => "escalation",
                    other => other.keyword(),
                };
                let message = format!("`{}` is {} {kind}, and a test belongs here.", name.as_str(), article(kind));
                problems.push(Problem::new(&NOT_A_TEST, self.tree.place(name.span), message));
                None
            }
            None => {
                problems.push(self.unknown(name, "test", Some(BlockKind::Test), problems.len()));
                None
            }
        }
    }

    /// `told` is how much is wrong already: of very many wrong names only the first are searched for a near one.
    fn unknown(&self, name: &Word, what: &str, only: Option<BlockKind>, told: usize) -> Problem {
        let candidates =
            self.tree.blocks.iter().filter(|b| only.is_none_or(|kind| b.kind == kind)).map(|b| b.name.as_str());
        let near = (told < MOST_HINTS).then(|| nearest(name.as_str(), candidates.filter(|n| !n.is_empty()))).flatten();
        let hint = near.map(|near| format!(" Did you mean `{near}`?")).unwrap_or_default();
        let message = format!("There is no {what} named `{}` in this playbook.{hint}", name.as_str());
        let problem = Problem::new(&NO_SUCH_BLOCK, self.tree.place(name.span), message);
        match near {
            Some(near) => problem.mended(near),
            None => problem,
        }
    }
}

fn article(word: &str) -> &'static str {
    if word.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" }
}
