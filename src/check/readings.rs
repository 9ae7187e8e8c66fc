//! What a sum or a limit leans on has been read on every road that leads there.

use super::Subject;
use super::roads::{Entry, Exit, Reached, entries, exits, told};
use crate::language::syntax::{self, Block, LimitKind, Says, When, Word};
use crate::playbook::model::{Measure, Members, Playbook, Question, SlotId, Target, Test, TestId};
use crate::text::english::nearest;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::trade::dimension::Dimension;
use std::collections::BTreeMap;

/// A reading nobody took on some road.
pub static NOT_READ: Rule = Rule {
    code: "reading-not-taken",
    level: Level::Error,
    says: "A reading that is used has been taken on every road to the test that uses it.",
    why: "After a repair all readings are void, and where a test can't be done it has read nothing. A sum with a number missing has no answer.",
    wrong: "test supply: …\n  measure    V AC from L1 to L2, call it v12\n  cannot     go to amps\ntest amps: …\n  calculate  lowest(v12, v23)",
    mended: "test supply: …\n  measure    V AC from L1 to L2, call it v12\n  cannot     go to no-access\ntest amps: …\n  calculate  lowest(v12, v23)",
};

/// A reading of a bank used where no member is meant.
pub static WHOSE_READING: Rule = Rule {
    code: "whose-reading",
    level: Level::Error,
    says: "A reading taken of the members of a bank is used in tests of that bank only.",
    why: "Five zones gave five readings of that name; outside the bank nobody can say which is meant.",
    wrong: "test zone-amps: …\n  for        each zone\n  measure    A through zone.element, call it amps\ntest balance: …\n  calculate  amps - i1",
    mended: "test zone-amps: …\n  for        each zone\n  measure    A through zone.element, call it amps\ntest balance: …\n  for        that zone\n  calculate  amps - i1",
};

/// `normal at` something that is no supply.
pub static NOT_A_SUPPLY: Rule = Rule {
    code: "not-a-supply",
    level: Level::Error,
    says: "Behind `normal at` stands the name of a volt reading of the supply.",
    why: "Amps and heat go with the volts that come in. With another reading there is nothing to work the good figure out from.",
    wrong: "measure  A through L1, call it i1\ngood     normal at i1  go to flow",
    mended: "measure  V AC from L1 to L2, call it supply\ngood     normal at supply  go to flow",
};

/// A supply nobody judges.
pub static SUPPLY_NOT_JUDGED: Rule = Rule {
    code: "supply-not-judged",
    level: Level::Warning,
    says: "The volts behind `normal at` are judged by a test of their own on the way.",
    why: "At 150 V a good bank draws what is normal at 150 V, and the low supply goes unseen.",
    wrong: "test amps: …\n  measure  V AC from L1 to L2, call it supply\n  measure  A through L1, call it i1\n  good     normal at supply  go to flow",
    mended: "test volts: …\n  measure  V AC from L1 to L2, call it supply\n  good     187 to 229 V AC  go to amps\ntest amps: …\n  measure  A through L1\n  good     normal at supply  go to flow",
};

/// The rules of this file.
pub static RULES: [&Rule; 4] = [&NOT_READ, &WHOSE_READING, &NOT_A_SUPPLY, &SUPPLY_NOT_JUDGED];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    let mut roads = Roads { playbook, without: BTreeMap::new() };
    for ((block, test), (id, _)) in subject.tests().zip(playbook.tests()) {
        let (mut met, mut judged): (Vec<SlotId>, Vec<SlotId>) = (Vec::new(), Vec::new());
        for (word, at_supply) in uses(block) {
            let Some(slot) = slot(playbook, word) else {
                if at_supply {
                    problems.push(no_such(subject, word));
                }
                continue;
            };
            if at_supply && !judged.contains(&slot) {
                judged.push(slot);
                supply(subject, id, word, slot, problems);
            }
            if !met.contains(&slot) {
                met.push(slot);
                problems.extend(roads.missing(id, word, slot));
                problems.extend(whose(subject, test, word, slot));
            }
        }
    }
}

/// The names a test leans on, in order of lines, and whether they stand behind `normal at`.
fn uses(block: &Block) -> Vec<(&Word, bool)> {
    let mut uses = Vec::new();
    for line in &block.lines {
        match &line.says {
            Says::Calculate { sum, .. } => names(sum, &mut uses),
            Says::Outcome { when: When::Limit(limit), .. } => {
                if let LimitKind::Normal { at: Some(name), .. } = &limit.kind {
                    uses.push((name, true));
                }
            }
            _ => {}
        }
    }
    uses
}

fn names<'a>(sum: &'a syntax::Sum, uses: &mut Vec<(&'a Word, bool)>) {
    match sum {
        syntax::Sum::Number(_) => {}
        syntax::Sum::Name(word) => uses.push((word, false)),
        syntax::Sum::Call { arguments, .. } => arguments.iter().for_each(|argument| names(argument, uses)),
        syntax::Sum::Pair { left, right, .. } => {
            names(left, uses);
            names(right, uses);
        }
        syntax::Sum::Minus(inner, _) => names(inner, uses),
    }
}

fn slot(playbook: &Playbook, word: &Word) -> Option<SlotId> {
    let at = playbook.slots.iter().position(|slot| slot.name.as_deref() == Some(word.as_str()))?;
    u16::try_from(at).ok().map(SlotId)
}

fn no_such(subject: Subject<'_>, word: &Word) -> Problem {
    let playbook = subject.playbook;
    let volts = playbook.slots.iter().filter(|slot| slot.unit.dimension() == Dimension::VOLTS);
    let near = nearest(word.as_str(), volts.filter_map(|slot| slot.name.as_deref()));
    let hint = match near {
        Some(near) => format!(" Did you mean `{near}`?"),
        None => format!(" Put `, call it {}` behind the measure of the supply.", word.as_str()),
    };
    let message = format!("No measure is called `{}`.{hint}", word.as_str());
    let problem = Problem::new(&NOT_A_SUPPLY, playbook.place(word.span), message);
    match near {
        Some(near) => problem.mended(near),
        None => problem,
    }
}

fn supply(subject: Subject<'_>, test: TestId, word: &Word, slot: SlotId, problems: &mut Vec<Problem>) {
    let playbook = subject.playbook;
    let unit = playbook.slot(slot).unit;
    if unit.dimension() != Dimension::VOLTS {
        let message = format!("`{}` is a reading in {}, and a supply is read in volts.", word.as_str(), unit.spoken());
        problems.push(Problem::new(&NOT_A_SUPPLY, playbook.place(word.span), message));
        return;
    }
    let judged = |id: TestId| judges(playbook, playbook.test(id), slot);
    if before(playbook, test).into_iter().any(judged) {
        return;
    }
    let message = format!(
        "No test on the way to `{}` judges `{}`: a supply that is low or high would pass unseen.",
        playbook.test(test).name,
        word.as_str()
    );
    problems.push(Problem::new(&SUPPLY_NOT_JUDGED, playbook.place(word.span), message));
}

/// Whether the lines of this test judge that reading: it is what the test measures, or the same place read again, alone or
/// among other volts whose lowest, highest or spread is judged.
fn judges(playbook: &Playbook, test: &Test, slot: SlotId) -> bool {
    let volts = |measure: &Measure| measure.unit.dimension() == Dimension::VOLTS;
    if matches!(test.question, Question::Ask { .. }) || !test.measures().iter().all(volts) {
        return false;
    }
    let taken = playbook.test(playbook.slot(slot).test).measures().iter().find(|m| m.slot == slot);
    test.measures().iter().any(|here| here.slot == slot || taken.is_some_and(|taken| taken.at == here.at))
}

/// The test itself and every test on a road to it.
fn before(playbook: &Playbook, test: TestId) -> Vec<TestId> {
    let mut into = vec![Vec::new(); playbook.tests.len()];
    for (from, here) in playbook.tests() {
        for exit in exits(here) {
            if let Target::Test(to) = exit.to
                && let Some(list) = into.get_mut(usize::from(to.0))
            {
                list.push(from);
            }
        }
    }
    let reached = Reached::from([test], |id| into.get(usize::from(id.0)).cloned().unwrap_or_default());
    reached.iter().copied().collect()
}

fn whose(subject: Subject<'_>, test: &Test, word: &Word, slot: SlotId) -> Option<Problem> {
    let playbook = subject.playbook;
    let taker = playbook.test(playbook.slot(slot).test);
    let (bank, asked) = match (taker.members, test.members) {
        (Members::One, _) => return None,
        (Members::Each(a), Members::Each(b) | Members::That(b)) | (Members::That(a), Members::That(b)) if a == b => {
            return None;
        }
        (Members::Each(bank), _) => (bank, "each"),
        (Members::That(bank), _) => (bank, "that"),
    };
    let bank = &playbook.bank(bank).name;
    let message = format!(
        "`{}` is read for {asked} {bank} in `{}`, and `{}` does not say whose reading is meant.",
        word.as_str(),
        taker.name,
        test.name
    );
    Some(Problem::new(&WHOSE_READING, playbook.place(word.span), message))
}

/// The roads on which a reading is not taken, worked out once a taking test.
struct Roads<'a> {
    playbook: &'a Playbook,
    without: BTreeMap<TestId, Reached<(TestId, bool)>>,
}

impl Roads<'_> {
    /// A road from some entry to `test` that does not read `slot`.
    fn missing(&mut self, test: TestId, word: &Word, slot: SlotId) -> Option<Problem> {
        let playbook = self.playbook;
        let taker = playbook.slot(slot).test;
        if taker == test {
            return None;
        }
        let reached = self.without.entry(taker).or_insert_with(|| without(playbook, taker));
        // A road that passes the taking test by its `cannot` says more than one that starts beside it.
        let road =
            [true, false].into_iter().map(|by_cannot| reached.road((test, by_cannot))).find(|r| !r.is_empty())?;
        let road: Vec<TestId> = road.into_iter().map(|(id, _)| id).collect();
        let message = told_missing(playbook, taker, &road, word.as_str());
        let problem = Problem::new(&NOT_READ, playbook.place(word.span), message);
        let taken = playbook.test(taker).measures().iter().find(|measure| measure.slot == slot);
        Some(match taken {
            Some(taken) => problem.also(playbook.place(taken.span), "where it is read"),
            None => problem,
        })
    }
}

/// Everything a walk reaches without a reading of `taker`; the flag says that `taker` was passed by its `cannot`.
fn without(playbook: &Playbook, taker: TestId) -> Reached<(TestId, bool)> {
    let starts = entries(playbook).into_iter().map(|(test, _)| (test, false));
    Reached::from(starts, |(id, by_cannot)| {
        let follow = |exit: &Exit<'_>| id != taker || exit.kind.is_none();
        exits(playbook.test(id))
            .filter(follow)
            .filter_map(|exit| match exit.to {
                Target::Test(to) => Some((*to, by_cannot || id == taker)),
                _ => None,
            })
            .collect::<Vec<_>>()
    })
}

fn told_missing(playbook: &Playbook, taker: TestId, road: &[TestId], name: &str) -> String {
    let start = road.first().copied().unwrap_or(TestId(0));
    let entry = entries(playbook).into_iter().find(|(test, _)| *test == start).map(|(_, entry)| entry);
    let names = told(playbook, road);
    if road.contains(&taker) {
        let taker = &playbook.test(taker).name;
        return format!("Where `{taker}` can't be done, nobody has read `{name}` on the road {names}.");
    }
    match entry {
        Some(Entry::Verify(end)) => {
            let end = &playbook.end(end).name;
            match road {
                [_] => format!("After `{end}` all readings are void, and {names} starts without `{name}`."),
                _ => {
                    format!("After `{end}` all readings are void, and on the road {names} nobody reads `{name}` again.")
                }
            }
        }
        Some(Entry::Finish) => match road {
            [_] => format!(
                "{names} stands in `finish`, where every test starts with no reading: nobody has read `{name}`."
            ),
            _ => format!("Tests in `finish` start with no reading, and on the road {names} nobody reads `{name}`."),
        },
        _ => match road {
            [_] => format!("A call starts at {names}: nobody has read `{name}`."),
            _ => format!("On the road {names} nobody has read `{name}`."),
        },
    }
}
