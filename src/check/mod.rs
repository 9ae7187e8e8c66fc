//! The promises, one file each.
//!
//! 1. A check is a function over a [`Subject`]: the playbook as written and as compiled, and what the shop's other playbooks are.
//! 2. It tells problems; each carries a rule declared beside it.
//! 3. [`CHECKS`] is the one list. Adding a check is adding a file and a row.
//! 4. [`check`] runs them all, then `accept` lines silence what they name.

mod accept;
mod coverage;

use crate::language::syntax;
use crate::playbook::model::Playbook;
use crate::playbook::outline::Outlines;
use crate::text::problem::Problem;
use crate::text::rule::Rule;

/// What a check looks at.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// The playbook as written.
    pub tree: &'a syntax::Playbook,
    /// The playbook as compiled.
    pub playbook: &'a Playbook,
    /// Every playbook of the folder, in brief.
    pub others: &'a Outlines,
}

/// One promise.
struct Check {
    rules: &'static [&'static Rule],
    run: fn(Subject<'_>, &mut Vec<Problem>),
}

/// Every check, in alphabetical order.
static CHECKS: &[Check] = &[Check { rules: &coverage::RULES, run: coverage::check }];

/// Runs every check on a playbook. `told` are the problems of reading and compiling it; `accept` lines work on them too.
#[must_use]
pub fn check(subject: Subject<'_>, told: Vec<Problem>) -> Vec<Problem> {
    let mut problems = told;
    for check in CHECKS {
        (check.run)(subject, &mut problems);
    }
    accept::silence(subject.tree, problems)
}

/// The rules this room tells.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    CHECKS.iter().flat_map(|check| check.rules).chain(&accept::RULES).copied().collect()
}

/// Every rule there is, sorted by code: what `ruleout rule` lists.
#[must_use]
pub fn all_rules() -> Vec<&'static Rule> {
    let mut rules = [rules(), crate::playbook::rules(), crate::language::rules()].concat();
    rules.sort_by_key(|rule| rule.code);
    rules
}
