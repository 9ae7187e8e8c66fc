//! Playbooks that go on to others: there is such a one, it is for the same units, and no road comes back.

use super::Subject;
use super::roads::Reached;
use crate::language::syntax::{Says, Word};
use crate::text::english::{list, nearest, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};

/// A playbook there is none of.
pub static NO_SUCH_PLAYBOOK: Rule = Rule {
    code: "no-such-playbook",
    level: Level::Error,
    says: "`go to playbook NAME` names a playbook of this folder.",
    why: "The page would end in a dead link, and the new hire in front of an open machine.",
    wrong: "if  nothing  go to playbook cabinet-ded",
    mended: "if  nothing  go to playbook cabinet-dead",
};

/// A playbook for other units.
pub static OTHER_UNITS: Rule = Rule {
    code: "other-units",
    level: Level::Error,
    says: "A playbook goes on only to one that is for every unit it is for itself.",
    why: "On a unit the other playbook does not know, its places and limits are somebody else's.",
    wrong: "unit  cabinet-208, cabinet-240\nif    nothing  go to playbook cabinet-dead        (that one is for cabinet-208 only)",
    mended: "unit  cabinet-208\nif    nothing  go to playbook cabinet-dead",
};

/// Playbooks that lead back to one another.
pub static PLAYBOOK_RING: Rule = Rule {
    code: "playbooks-in-a-ring",
    level: Level::Error,
    says: "No playbook leads back to itself, not over others either.",
    why: "A call would go round without end.",
    wrong: "(cabinet-cold)  if  nothing  go to playbook cabinet-dead\n(cabinet-dead)  if  no heat  go to playbook cabinet-cold",
    mended: "(cabinet-cold)  if  nothing  go to playbook cabinet-dead\n(cabinet-dead)  if  no heat  go to other-complaint",
};

/// Two playbooks of one name.
pub static SAME_PLAYBOOK: Rule = Rule {
    code: "same-playbook",
    level: Level::Error,
    says: "A name stands for one playbook only.",
    why: "Both would be published at one address, and one of the two would be lost.",
    wrong: "(ovens/no-heat.playbook)   playbook no-heat: Oven stays cold\n(fryers/no-heat.playbook)  playbook no-heat: Fryer stays cold",
    mended: "(ovens/no-heat.playbook)   playbook oven-no-heat: Oven stays cold\n(fryers/no-heat.playbook)  playbook fryer-no-heat: Fryer stays cold",
};

/// The rules of this file.
pub static RULES: [&Rule; 4] = [&NO_SUCH_PLAYBOOK, &OTHER_UNITS, &PLAYBOOK_RING, &SAME_PLAYBOOK];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    same_name(subject, problems);
    let lines = subject.tree.blocks.iter().flat_map(|block| &block.lines);
    let names = lines.filter_map(|line| match &line.says {
        Says::Outcome { to, .. } | Says::Cannot(to) if to.playbook => Some(&to.name),
        _ => None,
    });
    for name in names {
        goes_on(subject, name, problems);
    }
    meant_a_playbook(subject, problems);
}

/// The first by path keeps the name.
fn same_name(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let here = subject.tree.source.path();
    let name = &subject.playbook.name;
    let Some(first) = subject.others.named(name).first().filter(|first| first.path != here) else { return };
    let message = format!("Two playbooks are named `{name}`: this one and {}.", first.path);
    let problem = Problem::new(&SAME_PLAYBOOK, subject.tree.place(subject.tree.head.name.span), message);
    problems.push(problem.instead(format!("playbook {name}-2: {}", subject.playbook.title)));
}

fn goes_on(subject: Subject<'_>, name: &Word, problems: &mut Vec<Problem>) {
    let place = subject.tree.place(name.span);
    let Some(other) = subject.others.get(name.as_str()) else {
        let near = nearest(name.as_str(), subject.others.iter().map(|other| other.name.as_str()));
        let hint = near.map_or_else(
            || " Write it, or hand the call on with an `escalate`.".to_owned(),
            |near| format!(" Did you mean `{near}`?"),
        );
        let message = format!("There is no playbook named `{}`.{hint}", name.as_str());
        let problem = Problem::new(&NO_SUCH_PLAYBOOK, place.clone(), message);
        problems.push(match near {
            Some(near) => problem.mended(near),
            None => problem,
        });
        return;
    };
    let mine = &subject.playbook.units;
    let missing: Vec<&str> =
        mine.iter().map(String::as_str).filter(|unit| !other.units.iter().any(|u| u == unit)).collect();
    if !other.units.is_empty() && (mine.is_empty() || !missing.is_empty()) {
        let message = if mine.is_empty() {
            let theirs = list(&ticked(&other.units), "and");
            format!("`{}` is for any unit, and `{}` is for {theirs} only.", subject.playbook.name, other.name)
        } else {
            let missing = list(&ticked(&missing), "or");
            format!("`{}` is not for {missing}, and `{}` is.", other.name, subject.playbook.name)
        };
        problems.push(Problem::new(&OTHER_UNITS, place.clone(), message));
    }
    ring(subject, name, problems);
}

/// Told in every playbook of the ring, at the line that goes on.
fn ring(subject: Subject<'_>, name: &Word, problems: &mut Vec<Problem>) {
    let own = subject.playbook.name.as_str();
    let reached = Reached::from([name.as_str()], |at| {
        let on = subject.others.get(at).map_or(&[][..], |other| &other.goes_on_to);
        on.iter().map(|(to, _)| to.as_str()).collect::<Vec<_>>()
    });
    let road = reached.road(own);
    let message = match road.as_slice() {
        [] => return,
        [_] => format!("`{own}` goes on to itself."),
        road => {
            let over: Vec<&str> = road.iter().copied().filter(|name| *name != own).collect();
            format!("`{own}` goes on to {}, which leads back here.", list(&ticked(&over), "then"))
        }
    };
    problems.push(Problem::new(&PLAYBOOK_RING, subject.tree.place(name.span), message));
}

/// A `go to` that lands nowhere, where a playbook has that name: the word `playbook` was left out.
fn meant_a_playbook(subject: Subject<'_>, problems: &mut [Problem]) {
    for problem in problems.iter_mut().filter(|problem| problem.rule.code == "no-such-block") {
        let name = problem.place.text().to_owned();
        if subject.others.get(&name).is_some() {
            problem.message = format!("`{name}` is a playbook, not a block of this one.");
            problem.instead = problem.clone().mended(&format!("playbook {name}")).instead;
        }
    }
}
