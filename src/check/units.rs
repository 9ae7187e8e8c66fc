//! The units of a playbook against the sheets there are. This runs with the names of the sheets ([`against`]).

use crate::language::syntax::{Playbook, Says};
use crate::text::english::nearest;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};

/// A unit that is nearly one with a sheet.
pub static UNIT_NEAR_A_SHEET: Rule = Rule {
    code: "unit-near-a-sheet",
    level: Level::Warning,
    says: "A unit is called as its sheet is called.",
    why: "Under another name it has no sheet: none of its places, limits and faults is looked at, and nothing says so.",
    wrong: "unit  boster-208        (the sheet is `booster-208`)",
    mended: "unit  booster-208",
};

/// The rules of this file.
pub static RULES: [&Rule; 1] = [&UNIT_NEAR_A_SHEET];

/// The units a playbook names that have no sheet, where one of nearly that name has.
pub fn against<'a>(tree: &Playbook, sheets: impl Iterator<Item = &'a str> + Clone) -> Vec<Problem> {
    let mut problems = Vec::new();
    for line in &tree.head.lines {
        let Says::Units(units) = &line.says else { continue };
        for unit in units {
            let name = unit.as_str();
            if sheets.clone().any(|sheet| sheet == name) {
                continue;
            }
            // "ice-machine" for "ice-machine-208"; two sizes of one machine are two units, and neither is a slip of the other.
            let begins = |sheet: &&str| sheet.strip_prefix(name).is_some_and(|rest| rest.starts_with('-'));
            let size =
                |name: &str| name.rsplit('-').next().filter(|last| last.parse::<u32>().is_ok()).map(str::to_owned);
            let alike = |sheet: &&str| size(sheet) == size(name);
            let near = sheets.clone().find(begins).or_else(|| nearest(name, sheets.clone().filter(alike)));
            let Some(near) = near else { continue };
            let message = format!("No sheet is called `{name}`. Did you mean `{near}`?");
            problems.push(Problem::new(&UNIT_NEAR_A_SHEET, tree.place(unit.span), message).mended(near));
        }
    }
    problems
}
