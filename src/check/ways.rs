//! Every standing a block asks for can be reached.

use super::Subject;
use crate::playbook::ways::{NoWay, way, way_home};
use crate::sheet::standing::Standing;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use std::collections::BTreeMap;

/// States that cannot be had together.
pub static NO_WAY_THERE: Rule = Rule {
    code: "no-way-there",
    level: Level::Error,
    says: "What a block asks for in `with` or `leave` can be had together, and there is an order of steps that gets there.",
    why: "The technician would be asked for something the machine can't do.",
    wrong: "with  power locked-out, heat on        (`heat` is on only while the power is live)",
    mended: "with  power live, heat on",
};

/// The rules of this file.
pub static RULES: [&Rule; 1] = [&NO_WAY_THERE];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    let states = playbook.states.as_ref();
    let home = Standing::home(states);
    // Many blocks ask for the same. What can be reached at all can be reached from home.
    let mut known: BTreeMap<_, Option<NoWay>> = BTreeMap::new();
    let tests = playbook.tests.iter().map(|test| (&test.with, test.with_span));
    let ends = playbook.ends.iter().map(|end| (&end.with, end.with_span));
    for (with, span) in tests.chain(ends).filter(|(with, _)| !with.is_empty()) {
        let no_way = known.entry(with.clone()).or_insert_with(|| way(states, &home, with).err());
        if let Some(why) = no_way {
            problems.push(Problem::new(&NO_WAY_THERE, playbook.place(span), why.told(states)));
        }
    }
    for leave in playbook.ends.iter().filter_map(|end| end.leave.as_ref()) {
        if let Err(why) = way(states, &home, &leave.stands).and_then(|_| way_home(states, &home, &leave.stands)) {
            problems.push(Problem::new(&NO_WAY_THERE, playbook.place(leave.span), why.told(states)));
        }
    }
}
