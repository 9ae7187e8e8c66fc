//! The promises, one file each.
//!
//! 1. A check is a function over a [`Subject`]: the playbook as written and as compiled, and what the shop's other playbooks are.
//! 2. It tells problems; each carries a rule declared beside it.
//! 3. [`CHECKS`] is the one list. Adding a check is adding a file and a row.
//! 4. [`check`] runs them all, holds back what only follows from a line that could not be read, and then `accept` lines
//!    silence what they name.

mod accept;
mod banks;
mod blind;
pub mod contacts;
mod coverage;
mod dead_and_live;
mod escalations;
mod follow_on;
mod good_unit;
mod graph;
mod hazards_said;
mod head;
mod joined;
mod live_work;
mod machine;
mod needless;
mod no_normal;
mod outcomes;
pub mod pictures;
pub mod places;
mod power;
mod readings;
mod repairs;
mod roads;
pub mod shaken;
mod standings;
pub mod units;
mod unread;
mod unsaid_state;
mod ways;
mod writing;

use crate::corners::Desks;
use crate::language::syntax::{self, Block, BlockKind, Says};
use crate::playbook::model::{End, Playbook, Test};
use crate::playbook::outline::Outlines;
use crate::sheet::states::Stand;
use crate::text::problem::Problem;
use crate::text::rule::Rule;
use crate::text::source::Span;
use std::sync::LazyLock;

/// What a check looks at.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// The playbook as written.
    pub tree: &'a syntax::Playbook,
    /// The playbook as compiled.
    pub playbook: &'a Playbook,
    /// Every playbook of the folder, in brief.
    pub others: &'a Outlines,
    /// The unit it was compiled for with the shop's meter, where it has a sheet.
    pub desks: Option<&'a Desks>,
}

impl<'a> Subject<'a> {
    /// Every test as written and as compiled.
    fn tests(self) -> impl Iterator<Item = (&'a Block, &'a Test)> {
        self.tree.blocks.iter().filter(|block| block.kind == BlockKind::Test).zip(&self.playbook.tests)
    }

    /// Every repair, adjust and escalation as written and as compiled.
    fn ends(self) -> impl Iterator<Item = (&'a Block, &'a End)> {
        self.tree.blocks.iter().filter(|block| block.kind != BlockKind::Test).zip(&self.playbook.ends)
    }

    /// The block with this heading.
    fn written(self, heading: Span) -> Option<&'a Block> {
        self.tree.blocks.iter().find(|block| block.span == heading)
    }

    /// The `with` line of a block with one setting in place of what it says of that state, or at its place in the row.
    /// What cannot be had together with it is left out.
    fn with_line(self, block: &Block, setting: &str) -> String {
        let states = &self.playbook.states;
        let stand_of = |words: &str| words.split_once(' ').and_then(|(state, value)| states.stand(state, value));
        let wanted = stand_of(setting);
        let written = block.lines.iter().find_map(|line| match &line.says {
            Says::With(settings) => Some(settings.as_slice()),
            _ => None,
        });
        let mut words: Vec<String> = Vec::new();
        for written in written.unwrap_or_default() {
            let said = format!("{} {}", written.state.as_str(), written.value.as_str());
            let stand = stand_of(&said);
            let same_state = |a: Stand| wanted.is_some_and(|b| a.state == b.state);
            let needs = stand.map(|stand| states.with_needs(&[stand])).unwrap_or_default();
            let clashes = needs.iter().any(|need| same_state(*need) && Some(*need) != wanted);
            match stand {
                Some(stand) if same_state(stand) => words.push(setting.to_owned()),
                _ if clashes => {}
                _ => words.push(said),
            }
        }
        if !words.iter().any(|word| word == setting) {
            // Power first, covers behind it, others last.
            let power = usize::from(words.first().is_some_and(|first| first.starts_with("power ")));
            let at = match setting.split_once(' ') {
                Some(("power", _)) => 0,
                Some(("covers", _)) => power,
                _ => words.len(),
            };
            words.insert(at, setting.to_owned());
        }
        format!("with  {}", words.join(", "))
    }

    /// The problem with that line to write instead: below the heading, where the block has no `with` line.
    fn with_instead(self, problem: Problem, block: &Block, setting: &str) -> Problem {
        let line = self.with_line(block, setting);
        if block.lines.iter().any(|line| matches!(line.says, Says::With(_))) {
            problem.instead(line)
        } else {
            problem.and_below(&line)
        }
    }
}

/// One promise.
struct Check {
    rules: &'static [&'static Rule],
    run: fn(Subject<'_>, &mut Vec<Problem>),
}

/// Every check, in alphabetical order.
static CHECKS: &[Check] = &[
    Check { rules: &banks::RULES, run: banks::check },
    Check { rules: &blind::RULES, run: blind::check },
    Check { rules: &coverage::RULES, run: coverage::check },
    Check { rules: &dead_and_live::RULES, run: dead_and_live::check },
    Check { rules: &escalations::RULES, run: escalations::check },
    Check { rules: &good_unit::RULES, run: good_unit::check },
    Check { rules: &graph::RULES, run: graph::check },
    Check { rules: &hazards_said::RULES, run: hazards_said::check },
    Check { rules: &head::RULES, run: head::check },
    Check { rules: &joined::RULES, run: joined::check },
    Check { rules: &live_work::RULES, run: live_work::check },
    Check { rules: &needless::RULES, run: needless::check },
    Check { rules: &no_normal::RULES, run: no_normal::check },
    Check { rules: &outcomes::RULES, run: outcomes::check },
    Check { rules: &pictures::RULES, run: pictures::check },
    Check { rules: &power::RULES, run: power::check },
    Check { rules: &readings::RULES, run: readings::check },
    Check { rules: &repairs::RULES, run: repairs::check },
    Check { rules: &unsaid_state::RULES, run: unsaid_state::check },
    Check { rules: &ways::RULES, run: ways::check },
    Check { rules: &writing::RULES, run: writing::check },
];

/// Runs every check on a playbook. `told` are the problems of reading and compiling it; `accept` lines work on them too.
#[must_use]
pub fn check(subject: Subject<'_>, told: Vec<Problem>) -> Vec<Problem> {
    let mut problems = told;
    let told = problems.len();
    for check in CHECKS {
        (check.run)(subject, &mut problems);
    }
    let problems = unread::hold_back(subject.tree, problems, told);
    let mut problems = follow_on::told_once(subject.tree, problems);
    banks::name(subject.playbook, &mut problems);
    accept::silence(subject.tree, problems)
}

/// What the shakedown told of a playbook that was checked before, with what its `accept` lines silence taken out, and `accept` lines
/// for it that silence nothing.
#[must_use]
pub fn accepted(tree: &syntax::Playbook, shaken: Vec<Problem>) -> Vec<Problem> {
    accept::silence_shaken(tree, shaken)
}

/// The rules this room tells.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    let beside = accept::RULES
        .iter()
        .chain(&contacts::RULES)
        .chain(&pictures::FILE_RULES)
        .chain(&places::RULES)
        .chain(&shaken::RULES)
        .chain(&units::RULES);
    CHECKS.iter().flat_map(|check| check.rules).chain(beside).copied().collect()
}

/// Every rule there is, sorted by code: what `ruleout rule` lists.
#[must_use]
pub fn all_rules() -> &'static [&'static Rule] {
    static ALL: LazyLock<Vec<&'static Rule>> = LazyLock::new(|| {
        let mut rules = [rules(), crate::playbook::rules(), crate::language::rules(), crate::sheet::rules()].concat();
        rules.extend(crate::circuit::unit::RULES);
        rules.sort_by_key(|rule| rule.code);
        rules
    });
    &ALL
}
