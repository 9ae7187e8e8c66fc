//! `with STATE VALUE`: the operating states a block names.

use crate::language::syntax::{Playbook, Setting};
use crate::sheet::states::{Stand, State, StateId, States, ValueId};
use crate::text::english::{self, list, nearest, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A state no sheet declares.
pub static STATE_NOT_DECLARED: Rule = Rule {
    code: "state-not-declared",
    level: Level::Warning,
    says: "A state that is used is declared in the shop sheet or the unit sheet.",
    why: "Only the sheet can say how the state is reached, what must hold meanwhile, and how it is put back.",
    wrong: "with  vent open        (no sheet knows `vent`)",
    mended: "states:\n  vent:\n    values: [shut, open]\n    to open: Open the vent.\n    to shut: Shut the vent.",
};

/// A value its state does not have.
pub static NO_SUCH_VALUE: Rule = Rule {
    code: "no-such-value",
    level: Level::Error,
    says: "A state is set to one of its own values.",
    why: "A value nobody declared has no sentence that gets there.",
    wrong: "with  power of",
    mended: "with  power locked-out",
};

/// One state named twice on one line.
pub static STATE_TWICE: Rule = Rule {
    code: "state-twice",
    level: Level::Error,
    says: "A block names a state once.",
    why: "A machine cannot stand two ways at once.",
    wrong: "with  power live, power locked-out",
    mended: "with  power live",
};

/// The rules of this file.
pub static RULES: [&Rule; 3] = [&STATE_NOT_DECLARED, &NO_SUCH_VALUE, &STATE_TWICE];

/// Adds the states the playbook names and no sheet declares: home is `as found`, then its values in the order met.
pub(super) fn states_of(tree: &Playbook, declared: &Arc<States>) -> Arc<States> {
    let mut extra: Vec<(String, Vec<String>)> = Vec::new();
    let settings = tree.blocks.iter().flat_map(|block| &block.lines).flat_map(|line| match &line.says {
        crate::language::syntax::Says::With(settings) | crate::language::syntax::Says::Leave { settings, .. } => {
            settings.as_slice()
        }
        _ => &[],
    });
    for Setting { state, value } in settings {
        if declared.find(state.as_str()).is_some() {
            continue;
        }
        let name = state.as_str();
        let at = extra.iter().position(|(known, _)| known == name).unwrap_or_else(|| {
            extra.push((name.to_owned(), Vec::new()));
            extra.len() - 1
        });
        if let Some((_, values)) = extra.get_mut(at)
            && !values.iter().any(|known| known == value.as_str())
        {
            values.push(value.as_str().to_owned());
        }
    }
    if extra.is_empty() {
        return Arc::clone(declared);
    }
    let mut states = States::clone(declared);
    for (name, values) in &extra {
        states.with_named(name, values.iter().map(String::as_str));
    }
    Arc::new(states)
}

/// Resolves the settings of one line. A state no sheet declares is told once a playbook (`told` remembers).
pub(super) fn resolve<'a>(
    tree: &'a Playbook,
    settings: &'a [Setting],
    declared: &States,
    states: &States,
    told: &mut BTreeMap<&'a str, ()>,
    problems: &mut Vec<Problem>,
) -> Vec<Stand> {
    let mut stands: Vec<Stand> = Vec::with_capacity(settings.len());
    for Setting { state: name, value } in settings {
        let Some((id, state)) = states.find(name.as_str()) else { continue };
        if declared.find(name.as_str()).is_none() && told.insert(name.as_str(), ()).is_none() {
            problems.push(not_declared(tree, name, declared));
        }
        let Some(at) = state.values.iter().position(|known| known.name == value.as_str()) else {
            problems.push(no_such_value(tree, name, value, state));
            continue;
        };
        if stands.iter().any(|stand| stand.state == id) {
            let message = format!("`{}` stands twice on this line.", name.as_str());
            problems.push(Problem::new(&STATE_TWICE, tree.place(name.span.to(value.span)), message));
            continue;
        }
        stands.push(stand(id, at));
    }
    stands
}

fn stand(state: StateId, at: usize) -> Stand {
    Stand { state, value: ValueId(u16::try_from(at).unwrap_or(u16::MAX)) }
}

fn not_declared(tree: &Playbook, name: &crate::language::syntax::Word, declared: &States) -> Problem {
    let known = || declared.iter().map(|(_, state)| state.name.as_str());
    // "heating" is "heat", "rinsing" is "rinse".
    let alike = |known: &&str| {
        let same = known.chars().zip(name.as_str().chars()).take_while(|(a, b)| a == b).count();
        same >= 4 || same >= 3 && same == known.len()
    };
    let near = nearest(name.as_str(), known()).or_else(|| known().find(alike));
    let fact = format!("No sheet declares the state `{}`.", name.as_str());
    match near {
        Some(near) => {
            let message = format!("{fact} Did you mean `{near}`?");
            Problem::new(&STATE_NOT_DECLARED, tree.place(name.span), message).mended(near)
        }
        // Beside power and covers a sheet has states of its own; without a sheet there is nothing to list.
        None => {
            let names: Vec<&str> = known().collect();
            let listed = if names.len() > 2 { english::known("states", &names) } else { String::new() };
            let message = format!("{fact}{listed}");
            Problem::new(&STATE_NOT_DECLARED, tree.place(name.span), message)
        }
    }
}

fn no_such_value(
    tree: &Playbook,
    name: &crate::language::syntax::Word,
    value: &crate::language::syntax::Word,
    state: &State,
) -> Problem {
    let values: Vec<&str> = state.values.iter().map(|value| value.name.as_str()).collect();
    let message = format!("`{}` is {}, never `{}`.", name.as_str(), list(&ticked(&values), "or"), value.as_str());
    let problem = Problem::new(&NO_SUCH_VALUE, tree.place(value.span), message);
    let dead =
        ["off", "dead", "out", "down", "isolated", "unplugged", "disconnected", "locked", "lockout", "locked-off"];
    let meant = (name.as_str() == "power" && dead.contains(&value.as_str())).then_some("locked-out");
    match meant.or_else(|| nearest(value.as_str(), values.iter().copied())) {
        Some(near) => problem.mended(near),
        None => problem,
    }
}
