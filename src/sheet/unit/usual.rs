//! The usual faults of each group: every part has them unless the sheet replaces or strikes them.
//!
//! A sheet may keep silent about one; it is there all the same. But a lead technician knows more: how often it is seen here, or
//! why it can't be. So what nobody spoke of is told once a group, as advice, with the lines to write; and only when the
//! sheet has no errors, for until then there is more urgent work.

use super::amount::Stretch;
use super::group::{Group, UsualDoes};
use super::model::{Effect, Fault, Given, Owner, Part, Unit};
use crate::text::english::count;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Place;
use std::fmt::Write as _;

/// Usual faults nobody spoke of.
pub static USUAL_FAULTS: Rule = Rule {
    code: "usual-faults",
    level: Level::Warning,
    says: "A sheet says of each usual fault how often it is seen (`open: { seen: 4 }`), or strikes it (`open: none, REASON`).",
    why: "A usual fault is tried against the playbooks even where the sheet is silent. How often it is seen decides what is looked for first, and one the unit can't have is looked for in vain.",
    wrong: "parts:\n  fuses:\n    fuse-1: { amps: 20 A }        (and nothing under faults)",
    mended: "faults:\n  fuse-1:\n    open: { seen: 4 }",
};

/// The usual faults of every part, in order of parts.
pub(super) fn usual(unit: &mut Unit) {
    let mut faults = Vec::new();
    for (id, part) in unit.parts() {
        for usual in part.group.usual() {
            for (name, effect) in usual_of(part, usual.name, usual.does) {
                faults.push(Fault {
                    owner: Owner::Part(id),
                    name,
                    seen: None,
                    effects: vec![effect],
                    shows: Vec::new(),
                    comes_and_goes: None,
                    usual: true,
                    place: part.place.clone(),
                });
            }
        }
    }
    unit.faults = faults;
}

fn usual_of(part: &Part, name: &str, does: UsualDoes) -> Vec<(String, Effect)> {
    let driver = part.group.driver().and_then(|driver| part.poles.iter().position(|pole| pole.name == driver));
    let others: Vec<usize> = (0..part.poles.len()).filter(|at| Some(*at) != driver).collect();
    let each = |effect: fn(usize) -> Effect| -> Vec<(String, Effect)> {
        others
            .iter()
            .map(|&at| match part.poles.get(at) {
                Some(pole) if others.len() > 1 => (format!("{}-{name}", pole.name), effect(at)),
                _ => (name.to_owned(), effect(at)),
            })
            .collect()
    };
    match does {
        UsualDoes::OpensEach => each(Effect::Opens),
        // A switch that is always closed can't stick closed.
        UsualDoes::ClosesEach if always_closed(part) => Vec::new(),
        UsualDoes::ClosesEach => each(Effect::Closes),
        UsualDoes::Shorts => each(Effect::Closes),
        UsualDoes::OpensDriver => driver.map(|at| (name.to_owned(), Effect::Opens(at))).into_iter().collect(),
        UsualDoes::Dead => vec![(name.to_owned(), Effect::Held(false))],
        UsualDoes::Grounded => {
            vec![(name.to_owned(), Effect::Grounded(0, Stretch::one(0.5), Stretch::one(1.0)))]
        }
        UsualDoes::Times(share) => vec![(name.to_owned(), Effect::Times(0, Stretch::one(share)))],
    }
}

fn always_closed(part: &Part) -> bool {
    let by_line = match part.given.get("closed when") {
        Some(Given::When(all)) => all.iter().all(|(_, when)| when.always),
        _ => false,
    };
    part.group == Group::Switches && by_line
}

/// One advice a group: which usual faults the sheet leaves out, with the lines to write. `faults` is that line of the
/// sheet, if it is there; else the advice stands at the first part.
pub(super) fn left_out(unit: &Unit, faults: Option<Place>) -> Vec<Problem> {
    Group::ALL.into_iter().filter_map(|group| left_out_of(unit, group, faults.as_ref())).collect()
}

fn left_out_of(unit: &Unit, group: Group, heading: Option<&Place>) -> Option<Problem> {
    let (mut lines, mut number, mut place) = (String::new(), 0_usize, heading);
    for (id, part) in unit.parts().filter(|(_, part)| part.group == group) {
        // A bank is written once, so its first member speaks for all.
        let bank = part.member.and_then(|(bank, member)| Some((unit.banks.get(bank)?, member)));
        if bank.is_some_and(|(bank, member)| bank.members.first() != Some(&member)) {
            continue;
        }
        let mut faults = unit.faults.iter().filter(|fault| fault.usual && fault.owner == Owner::Part(id)).peekable();
        if faults.peek().is_none() {
            continue;
        }
        place.get_or_insert(&part.place);
        let written = bank.and_then(|(bank, member)| {
            let rest = part.name.strip_prefix(&format!("{}-{member}.", bank.name))?;
            Some(format!("{}.{rest}", bank.name))
        });
        let has_lines = unit.faults.iter().any(|fault| !fault.usual && fault.owner == Owner::Part(id))
            || unit.struck.iter().any(|struck| struck.part == id);
        let add = if has_lines { "    # it has lines: add to them" } else { "" };
        let _ = writeln!(lines, "  {}:{add}", written.as_deref().unwrap_or(&part.name));
        for fault in faults {
            number += 1;
            let _ = writeln!(lines, "    {}: {{ seen: 1 }}", fault.name);
        }
    }
    if number == 0 {
        return None;
    }
    let fact = format!(
        "Of its {} this sheet leaves out {}. Under `faults` say how often each is seen, or strike it: `NAME: none, REASON`.",
        group.word(),
        count(number, "usual fault")
    );
    let place = place?.clone();
    Some(Problem::new(&USUAL_FAULTS, place, fact).instead(format!("faults:\n{}", lines.trim_end())))
}
