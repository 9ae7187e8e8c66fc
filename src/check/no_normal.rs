//! `normal` has numbers on the sheet of the unit.

use super::Subject;
use super::machine::limit_span;
use super::readings::NOT_A_SUPPLY;
use crate::corners::Unread;
use crate::language::fill_in::LIMIT;
use crate::language::syntax::Block;
use crate::playbook::arithmetic::NoSum;
use crate::playbook::model::{Measure, Test};
use crate::playbook::normal::NoNormal;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};

/// A `normal` without numbers.
pub static NORMAL_NOT_KNOWN: Rule = Rule {
    code: "normal-not-known",
    level: Level::Error,
    says: "Where `normal` stands, the sheet of the unit says what a good one reads there.",
    why: "A limit nobody can work out is judged by each technician another way.",
    wrong: "measure  A at tank-inside\ngood     normal  go to flow",
    mended: "measure  A through heater-1\ngood     normal  go to flow",
};

/// The rules of this file.
pub static RULES: [&Rule; 1] = [&NORMAL_NOT_KNOWN];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let Some(desks) = subject.desks else { return };
    let unit = &desks.wired().unit.name;
    for (block, test) in subject.tests() {
        let Some(bounds) = &test.bounds else { continue };
        let (Some(why), true) = (&test.no_normal, bounds.has_normal() || !bounds.at().is_empty()) else { continue };
        problems.extend(told(subject, unit, block, test, why));
    }
}

fn told(subject: Subject<'_>, unit: &str, block: &Block, test: &Test, why: &NoNormal) -> Option<Problem> {
    let branch = test.branches.iter().find(|branch| branch.words.contains("normal"))?;
    let place = subject.playbook.place(limit_span(block, branch));
    let at = || -> Vec<&str> { test.measures().iter().map(|measure: &Measure| measure.at.as_str()).collect() };
    let problem = |fact: String| Some(Problem::new(&NORMAL_NOT_KNOWN, place.clone(), fact).mended(LIMIT));
    match why {
        // Told where places and power are checked.
        NoNormal::NoPlace | NoNormal::Unread(Unread::Live) => None,
        NoNormal::Unread(Unread::NoModel) => problem(format!(
            "The sheet of `{unit}` does not say what a meter shows `{}`: `normal` has no numbers there.",
            at().join("` or `")
        )),
        NoNormal::Unread(why @ Unread::Unsolved) => {
            problem(format!("What a good `{unit}` reads here can't be worked out: {why}."))
        }
        NoNormal::NoSum(NoSum::NoAnswer(why)) => {
            problem(format!("The sum of `{}` has no answer for what a good `{unit}` reads: {why}.", test.name))
        }
        // Told where readings are checked.
        NoNormal::NoSum(NoSum::NotTaken(_)) => None,
        NoNormal::NotASupply(name) => {
            let fact = format!("On `{unit}` the reading `{name}` does not go in proportion with one supply.");
            Some(Problem::new(&NOT_A_SUPPLY, place, fact))
        }
        NoNormal::TwoSupplies(one, two) => {
            let fact =
                format!("The lines of `{}` go by two readings, `{one}` and `{two}`. Go by one of them.", test.name);
            Some(Problem::new(&NOT_A_SUPPLY, place, fact))
        }
    }
}
