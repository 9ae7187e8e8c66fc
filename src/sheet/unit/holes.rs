//! What a sheet says and the reader could not take. It is told once, where it stands; what only leans on it is not told again.

use super::group::Group;
use super::model::Unit;
use crate::text::problem::Problem;

/// What could not be taken.
#[derive(Debug, Clone, Default)]
pub struct Holes {
    /// Names that were refused where they are declared: of banks, states, parts, readings, lines of the rating plate.
    names: Vec<String>,
    /// Parts with a refused line.
    lines: Vec<String>,
    /// Words of refused rungs, and what was meant by them.
    rungs: Vec<String>,
    /// The rungs could not be looked at all.
    no_rungs: bool,
    /// The rating plate could not be looked at.
    no_plate: bool,
    /// A supply was refused.
    supplies: bool,
    /// The lines of the sheet don't stand where they belong.
    loose_lines: bool,
}

/// Told of names and wiring, which are not to be trusted while lines of the sheet don't stand where they belong.
const OF_NAMES: [&str; 9] = [
    "not-wired",
    "part-unknown",
    "rung",
    "sheet-condition",
    "sheet-fault",
    "sheet-sum",
    "supply",
    "unit-head",
    "part-name",
];

impl Holes {
    /// Notes a name that was refused.
    pub(super) fn name(&mut self, name: &str) {
        self.names.push(name.to_owned());
    }

    /// Notes a part with a refused line.
    pub(super) fn line(&mut self, part: &str) {
        self.lines.push(part.to_owned());
    }

    /// Notes a refused rung.
    pub(super) fn rung(&mut self, words: impl IntoIterator<Item = String>) {
        self.rungs.extend(words);
    }

    /// Notes that no rung could be read.
    pub(super) fn no_rungs(&mut self) {
        self.no_rungs = true;
    }

    /// Notes that the rating plate could not be read.
    pub(super) fn no_plate(&mut self) {
        self.no_plate = true;
    }

    /// Whether a line of the rating plate is missing, for one that names it.
    pub(super) fn of_plate(&self, text: &str) -> bool {
        self.no_plate || self.behind(text)
    }

    /// Notes a refused supply.
    pub(super) fn supply(&mut self) {
        self.supplies = true;
    }

    /// Whether some word of a text leans on a name that was refused.
    pub(super) fn behind(&self, text: &str) -> bool {
        let of = |word: &str| self.names.iter().any(|name| starts_with_name(word, name));
        !self.names.is_empty() && text.split([' ', ',', '(', ')']).any(of)
    }

    /// Whether a pole may be missing from the rungs because of a rung that was refused.
    pub(super) fn unwired(&self, pole: &str) -> bool {
        let of = |word: &String| starts_with_name(word, pole) || starts_with_name(pole, word);
        self.no_rungs || self.rungs.iter().any(of)
    }

    /// Whether a rung is missing.
    pub(super) fn any_rung(&self) -> bool {
        self.no_rungs || !self.rungs.is_empty()
    }

    /// Whether nothing can be said of a part's numbers: one of its own lines was refused.
    #[must_use]
    pub fn of_part(&self, part: &str) -> bool {
        self.loose_lines || self.lines.iter().any(|name| name == part)
    }

    /// Whether a part may lack a pole or a line because of what was refused, so that its faults are not to be judged.
    pub(super) fn around(&self, part: &str) -> bool {
        self.of_part(part) || self.unwired(part) || self.behind(part)
    }

    /// Whether nothing can be said of the volts a part hangs on: a supply, a rung or a part between is missing.
    #[must_use]
    pub fn of_feed(&self) -> bool {
        self.supplies || self.any_rung() || !self.names.is_empty()
    }

    /// Holds back what may only follow from lines that don't stand where they belong.
    pub(super) fn hold_back(&mut self, problems: &mut Vec<Problem>) {
        self.loose_lines = problems.iter().any(|problem| problem.rule.code == "sheet-line");
        // Behind a tab whole headings may have moved.
        let moved = problems.iter().any(|problem| problem.place.text().starts_with('\t'));
        let held = |code: &str| OF_NAMES.contains(&code) || (moved && code == "unknown-sheet-line");
        if self.loose_lines {
            problems.retain(|problem| !held(problem.rule.code));
        }
    }
}

/// `deck-1.relay.a` starts with the names `deck-1` and `deck-1.relay`.
fn starts_with_name(word: &str, name: &str) -> bool {
    word.strip_prefix(name).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}

impl Unit {
    /// A name as the sheet writes it: `deck-1.relay` stands there as `deck.relay`.
    #[must_use]
    pub fn as_written(&self, name: &str) -> String {
        let found = self.banks.iter().find_map(|bank| {
            let rest = name.strip_prefix(&format!("{}-", bank.name))?;
            let (number, rest) = rest.split_once('.')?;
            let member = number.parse::<u16>().ok()?;
            bank.members.contains(&member).then(|| format!("{}.{rest}", bank.name))
        });
        found.unwrap_or_else(|| name.to_owned())
    }

    /// Whether a text leans on a name that was refused, or on a part that is wired nowhere, which is told already.
    pub(super) fn in_a_hole(&self, text: &str) -> bool {
        let unwired = |word: &str| {
            let part = self.part(word).or_else(|| self.part(word.rsplit_once('.')?.0));
            part.is_some_and(|(_, part)| part.poles.is_empty() && part.group != Group::Outside)
        };
        self.holes.behind(text) || text.split(' ').any(unwired)
    }

    /// Whether a part or reading is the one that speaks for its bank; true for one that is in none.
    #[must_use]
    pub fn speaks(&self, member: Option<(usize, u16)>) -> bool {
        member.is_none_or(|(bank, number)| {
            self.banks.get(bank).and_then(|bank| bank.members.first()).is_none_or(|first| *first == number)
        })
    }
}
