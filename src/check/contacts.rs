//! Whoever an escalation is handed to is on the shop's list of who to call. This runs with the shop sheet ([`against`]).

use crate::language::syntax::{Playbook, Says};
use crate::sheet::shop::Shop;
use crate::text::english::{list, nearest, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};

/// A `to` nobody answers.
pub static NOT_ON_CALL_LIST: Rule = Rule {
    code: "not-on-call-list",
    level: Level::Error,
    says: "`to` of an escalation is one of the names under `call` in the shop sheet.",
    why: "The shop sheet says who that is and how to reach them. A name that is not on it leaves the technician in front of an unsafe machine with nobody to call.",
    wrong: "to  gas man        (the shop sheet calls him `gas fitter`)",
    mended: "to  gas fitter",
};

/// The rules of this file.
pub static RULES: [&Rule; 1] = [&NOT_ON_CALL_LIST];

/// The names behind `to` that the shop sheet does not know. A shop that lists nobody calls whomever the playbook names.
#[must_use]
pub fn against(tree: &Playbook, shop: &Shop) -> Vec<Problem> {
    let mut problems = Vec::new();
    if !shop.lists_who_to_call {
        return problems;
    }
    let names: Vec<&str> = shop.call.iter().map(|contact| contact.name.as_str()).collect();
    for line in tree.blocks.iter().flat_map(|block| &block.lines) {
        let Says::To(who) = &line.says else { continue };
        let name = who.as_str();
        if shop.contact(name).is_some() {
            continue;
        }
        let near = nearest(name, names.iter().copied()).or_else(|| named_in(name, &names));
        let hint = near.map(|near| format!(" Did you mean `{near}`?")).unwrap_or_default();
        let message = format!("The shop sheet has no `{name}` to call. It has {}.{hint}", list(&ticked(&names), "and"));
        let problem = Problem::new(&NOT_ON_CALL_LIST, tree.place(who.span), message);
        problems.push(match near {
            Some(near) => problem.mended(near),
            None => problem,
        });
    }
    problems
}

/// The longest name all of whose words are said: "Lead tech" is the `lead`, "the licensed gas fitter" the `gas fitter`.
fn named_in<'a>(said: &str, names: &[&'a str]) -> Option<&'a str> {
    let said = said.to_lowercase();
    let words: Vec<&str> = said.split(|c: char| !c.is_alphanumeric()).collect();
    let all = |name: &&&str| name.split(' ').all(|word| words.contains(&word.to_lowercase().as_str()));
    names.iter().filter(all).max_by_key(|name| name.len()).copied()
}
