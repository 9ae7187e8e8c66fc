//! A test says what it depends on: a good unit, and each single fault, falls on one line for every way a state it does not
//! name can stand there.

use super::Subject;
use super::machine::{Looked, is_good, looked};
use super::standings::Standings;
use crate::corners::{Desk, Width};
use crate::language::syntax::{Block, OutcomeKind};
use crate::playbook::model::{Test, TestId};
use crate::sheet::standing::Standing;
use crate::sheet::states::Stand;
use crate::sheet::unit::model::FaultId;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};

/// A test that comes out another way by a state it does not name.
pub static UNSAID_STATE: Rule = Rule {
    code: "depends-on-unsaid-state",
    level: Level::Error,
    says: "A test names every state its reading depends on.",
    why: "What it does not name stays as the step before left it: a leaking gas valve reads good with the cock shut.",
    wrong: "test coil-volts: Volts at the coil\n  with     power live, covers off\n  measure  V AC across contactor.coil        (zero on a good unit, unless the rinse runs)",
    mended: "test coil-volts: Volts at the coil\n  with     power live, covers off, rinse running\n  measure  V AC across contactor.coil",
};

/// The rules of this file.
pub static RULES: [&Rule; 1] = [&UNSAID_STATE];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let Some(desks) = subject.desks else { return };
    let mut standings = Standings::of(subject);
    desks.at_one(|desk| {
        for ((block, test), (id, _)) in subject.tests().zip(subject.playbook.tests()) {
            let said = desk.standing(&test.with);
            let others: Vec<Standing> = standings.at_test(id).into_iter().filter(|other| *other != said).collect();
            if others.is_empty() {
                continue;
            }
            let Some(looked) = looked(subject, desk, id) else { continue };
            problems.extend(test_of(subject, desk, (block, id, test), &looked, &said, &others));
        }
    });
}

fn test_of(
    subject: Subject<'_>,
    desk: &mut Desk,
    (block, _, test): (&Block, TestId, &Test),
    looked: &Looked<'_>,
    said: &Standing,
    others: &[Standing],
) -> Option<Problem> {
    let corner = *desk.corners(Width::Three, &[]).first()?;
    // One state at a time first: the message is to name the one that matters.
    let mut ways: Vec<Standing> = Vec::new();
    for other in others {
        for stand in other.iter().filter(|stand| !said.holds(*stand)) {
            let mut one = said.clone();
            one.set(stand);
            if others.contains(&one) && !ways.contains(&one) {
                ways.push(one);
            }
        }
    }
    let more: Vec<Standing> = others.iter().filter(|other| !ways.contains(other)).cloned().collect();
    ways.extend(more);
    let fixed = !test.branches.iter().any(|branch| branch.kind == OutcomeKind::Good && branch.words.contains("normal"));
    let faults: Vec<Vec<FaultId>> =
        std::iter::once(Vec::new()).chain(desk.wired().unit.faults().map(|(id, _)| vec![id])).collect();
    for fault in &faults {
        let Some(at_home) = looked.lines(desk, corner, said, fault) else { continue };
        for way in &ways {
            let Some(there) = looked.lines(desk, corner, way, fault) else { continue };
            if there != at_home {
                // A good unit passes where it was meant to stand (`normal` goes along with either way, and says nothing); of two such
                // ways the one that tells more faults from it.
                let mut tells = |standing: &Standing| {
                    let good = looked.lines(desk, corner, standing, &[]);
                    let passes =
                        fixed && good.as_ref().is_some_and(|lines| lines.iter().all(|line| is_good(test, *line)));
                    (passes, faults.iter().filter(|fault| looked.lines(desk, corner, standing, fault) != good).count())
                };
                let meant = if tells(way) > tells(said) { way } else { said };
                return Some(told(subject, desk, (block, test), fault, [(said, &at_home), (way, &there)], meant));
            }
        }
    }
    None
}

fn told(
    subject: Subject<'_>,
    desk: &Desk,
    (block, test): (&Block, &Test),
    fault: &[FaultId],
    [(said, at_home), (way, there)]: [(&Standing, &[Option<usize>]); 2],
    meant: &Standing,
) -> Problem {
    let states = &subject.playbook.states;
    let words = |lines: &[Option<usize>]| {
        let words = lines.iter().map(|line| match line.and_then(|line| test.branches.get(line)) {
            Some(branch) => format!("`{}`", branch.words),
            None => "no line".to_owned(),
        });
        words.collect::<Vec<_>>().join(" or ")
    };
    let differs: Vec<Stand> = way.iter().filter(|stand| !said.holds(*stand)).collect();
    let stand = differs.first().copied().unwrap_or(Stand::LIVE);
    let home = Stand { value: said.get(stand.state), ..stand };
    let unit = match fault.first() {
        None => "a good unit".to_owned(),
        Some(fault) => format!("a unit with `{}`", desk.wired().unit.fault_name(*fault)),
    };
    let message = format!(
        "With `{}`, as it may stand here, {unit} falls on {}; with `{}` on {}. Say which.",
        states.told(stand),
        words(there),
        states.told(home),
        words(at_home)
    );
    let problem = Problem::new(&UNSAID_STATE, subject.playbook.place(test.with_span), message);
    let meant = Stand { value: meant.get(stand.state), ..stand };
    subject.with_instead(problem, block, &states.told(meant))
}
