//! One walk, step by step: found again by following, fork by fork, what can end as wanted.

use super::ground::Gap;
use super::left::Left;
use super::places::{PlaceId, What};
use super::result::{Ends, Outcome};
use super::walker::{Fork, Walker};
use crate::corners::CornerId;
use crate::engine::{Answer, InBook, Reason};
use crate::playbook::model::{EndId, Member, TestId};
use crate::sheet::standing::Standing;
use crate::sheet::unit::model::FaultId;
use crate::trade::reading::Reading;

/// One step of a walk.
#[derive(Debug, Clone, PartialEq)]
pub enum Trod {
    /// A test was asked.
    Asked {
        /// Which.
        test: InBook<TestId>,
        /// For which member.
        member: Option<Member>,
        /// How the unit stood.
        standing: Standing,
        /// Faults that were away just then.
        away: Vec<FaultId>,
        /// The readings.
        read: Vec<Reading>,
        /// What was judged.
        result: Option<Reading>,
        /// The line it fell on.
        line: Option<usize>,
        /// The lines it may as well have fallen on.
        or: Vec<usize>,
    },
    /// A test could not be done.
    Cannot(InBook<TestId>),
    /// A repair or adjust was done.
    Worked {
        /// Which.
        end: InBook<EndId>,
        /// For which member.
        member: Option<Member>,
        /// The faults it took out.
        cured: Vec<FaultId>,
    },
    /// Handed on.
    Escalated(InBook<EndId>, Option<Member>),
    /// Closed, with these faults left.
    Closed(Vec<FaultId>),
    /// Handed over by the shop's rule.
    Handed(Reason),
    /// It does not go on.
    Stuck(Option<InBook<TestId>>, Gap),
}

/// What a walk is looked for by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Want {
    /// It ends so.
    Ends(Outcome),
    /// An adjust was needless on it.
    Needless,
}

/// The first walk, in the order of forks, that is as wanted.
pub fn trace(walker: &mut Walker, start: PlaceId, left: &Left, corner: CornerId, want: Want) -> Vec<Trod> {
    let mut steps = Vec::new();
    let (mut here, mut left, mut want) = (start, left.clone(), want);
    // Every walk ends (engine): the bound only keeps a slip in it from running on.
    let most = 2 * crate::engine::most_answers(&walker.bench.ground.library) + 2;
    for _ in 0..most {
        let ground = std::sync::Arc::clone(&walker.bench.ground);
        match walker.what(here).clone() {
            What::Test(ask) => {
                let test = ground.ask(ask).at;
                let (forks, gap) = walker.forks(here, &left, corner);
                let fits = |walker: &mut Walker, fork: &Fork| {
                    let ends = walker.ends(fork.to, &fork.left, corner);
                    match want {
                        Want::Ends(outcome) => ends.has(outcome),
                        Want::Needless => ends.has_needless(),
                    }
                };
                let Some(at) = (0..forks.len()).find(|at| forks.get(*at).is_some_and(|fork| fits(walker, fork))) else {
                    steps.extend(gap.map(|gap| Trod::Stuck(Some(test), gap)));
                    return steps;
                };
                let Some(fork) = forks.get(at) else { return steps };
                // Only a fork that ends otherwise is worth a word.
                let ends: Vec<Ends> = forks.iter().map(|fork| walker.ends(fork.to, &fork.left, corner)).collect();
                let other = |nth: usize| ends.get(nth) != ends.get(at);
                steps.push(told(walker, here, (&left, corner), &forks, at, &other));
                here = fork.to;
                left = fork.left.clone();
            }
            What::Work(end, member) => {
                let Some((next, after, is_repair)) = walker.worked(here, &left) else { return steps };
                let cured: Vec<FaultId> = left.faults.iter().filter(|f| !after.faults.contains(f)).copied().collect();
                let needless = cured.is_empty() && !is_repair;
                let wrong = cured.is_empty() && is_repair;
                steps.push(Trod::Worked { end, member, cured });
                let ends = walker.ends(next, &after, corner);
                want = match want {
                    Want::Ends(outcome) if wrong => {
                        let as_wanted = |sub: &Outcome| (*sub).min(Outcome::WrongPart) == outcome;
                        let sub = ends.outcomes().find(as_wanted);
                        Want::Ends(sub.unwrap_or(outcome))
                    }
                    Want::Needless if needless => ends.worst().map_or(want, Want::Ends),
                    other => other,
                };
                here = next;
                left = after;
            }
            What::Escalation(end, member) => {
                steps.push(Trod::Escalated(end, member));
                return steps;
            }
            What::Closed => {
                steps.push(Trod::Closed(left.faults));
                return steps;
            }
            What::Handed(reason) => {
                steps.push(Trod::Handed(reason));
                return steps;
            }
            What::Stuck(gap) => {
                steps.push(Trod::Stuck(None, gap));
                return steps;
            }
        }
    }
    steps
}

/// A test as it was answered on this fork.
fn told(
    walker: &mut Walker,
    here: PlaceId,
    (left, corner): (&Left, CornerId),
    forks: &[Fork],
    at: usize,
    differs: &dyn Fn(usize) -> bool,
) -> Trod {
    let ground = std::sync::Arc::clone(&walker.bench.ground);
    let (What::Test(id), Some(fork)) = (walker.what(here).clone(), forks.get(at)) else {
        return Trod::Stuck(None, Gap::NotTied);
    };
    let ask = ground.ask(id);
    let Some(taken) = fork.nth else { return Trod::Cannot(ask.at) };
    let standing = walker.standing(here);
    let mut way_of = |there: &[FaultId], (answer, way): (usize, usize)| {
        let asked = walker.bench.asked(id, there, &standing);
        let answers: Vec<Answer> = walker.bench.answers(&asked, corner, true).ok()?;
        let before = |slot| walker.before(here, slot);
        let all = walker.bench.fall(id, answers, &before).ok()?;
        all.into_iter().nth(answer)?.1.into_iter().nth(way)
    };
    let own = way_of(&fork.there, taken);
    let line_of = |way: &crate::engine::Way| way.fell.line.or(way.fell.alls.first().copied()).map(usize::from);
    let line = own.as_ref().and_then(line_of);
    let mut or: Vec<usize> = Vec::new();
    for (other, fork) in forks.iter().enumerate() {
        let other_line = fork.nth.filter(|_| other != at && differs(other)).and_then(|nth| way_of(&fork.there, nth));
        if let Some(other) = other_line.as_ref().and_then(line_of)
            && Some(other) != line
            && !or.contains(&other)
        {
            or.push(other);
        }
    }
    Trod::Asked {
        test: ask.at,
        member: ask.member,
        standing,
        away: left.faults.iter().filter(|fault| !fork.there.contains(fault)).copied().collect(),
        read: own.as_ref().map(|way| way.read.clone()).unwrap_or_default(),
        result: own.as_ref().and_then(|way| way.result),
        line,
        or,
    }
}
