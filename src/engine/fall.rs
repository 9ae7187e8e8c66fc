//! Which outcome line an answer falls on: one, or several where the reading leaves it open.

use super::answer::{Answer, Refused, Taken};
use super::state::Fell;
use crate::language::syntax::{OutcomeKind, Side};
use crate::playbook::arithmetic;
use crate::playbook::model::{Branch, Playbook, Scale, SlotId, Stretch, Takes, Test};
use crate::trade::reading::Reading;
use std::borrow::Cow;
use std::cmp::Ordering;

/// One way an answer can be taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// The readings, in order of the measures.
    pub read: Vec<Reading>,
    /// What was judged.
    pub result: Option<Reading>,
    /// The lines.
    pub fell: Fell,
}

/// Every way the answer can be taken; one where it leaves nothing open. Never empty.
///
/// # Errors
/// [`Refused`] where the answer does not fit the test or no line takes it.
pub fn ways(
    book: &Playbook,
    test: &Test,
    answer: &Answer,
    before: &dyn Fn(SlotId) -> Option<Reading>,
) -> Result<Vec<Way>, Refused> {
    let takes = test.measures().len();
    let counted = |read: &[Reading]| if read.len() == takes { Ok(()) } else { Err(Refused::Count { takes }) };
    match (answer, test.scale) {
        (Answer::Said(read, line), Scale::Answers) => {
            counted(read)?;
            let said = test.branches.get(*line).ok_or(Refused::NotHere)?;
            let fell = fell(test, None, |_, branch| branch.takes == Takes::Answer && branch.words == said.words)?;
            Ok(vec![Way { read: read.clone(), result: None, fell }])
        }
        (Answer::Judged(read, side), Scale::Judged(_)) => {
            counted(read)?;
            let result = arithmetic::result(book, test, read, before)?;
            let fell = judged(test, result, *side)?;
            Ok(vec![Way { read: read.clone(), result, fell }])
        }
        (Answer::Read(sets), Scale::Numbers(_)) if !sets.is_empty() => {
            let asked = Asked { book, test, before };
            let mut ways: Vec<Way> = Vec::new();
            for set in sets {
                counted(&set.read)?;
                for way in asked.read(set)? {
                    if !ways.iter().any(|known| known.fell == way.fell) {
                        ways.push(way);
                    }
                }
            }
            Ok(ways)
        }
        _ => Err(Refused::NotHere),
    }
}

/// The reading of the supply the limits of a test go by, where they go by one: from the readings just taken, else from before.
///
/// # Errors
/// [`Refused::NotTaken`] where it has not been read.
pub fn supply_read(
    test: &Test,
    read: &[Reading],
    before: &dyn Fn(SlotId) -> Option<Reading>,
) -> Result<Option<f64>, Refused> {
    let Some(moving) = &test.moving else { return Ok(None) };
    let here = test.measures().iter().position(|measure| measure.slot == moving.at);
    match here.and_then(|at| read.get(at).copied()).or_else(|| before(moving.at)) {
        Some(Reading::Value(volts)) => Ok(Some(volts)),
        _ => Err(Refused::NotTaken(moving.name.clone())),
    }
}

/// A test that is asked, and what was read before it.
struct Asked<'a> {
    book: &'a Playbook,
    test: &'a Test,
    before: &'a dyn Fn(SlotId) -> Option<Reading>,
}

impl<'a> Asked<'a> {
    /// What each line takes: where the limits go by the supply, with the volts of this set.
    fn takes(&self, read: &[Reading]) -> Result<Vec<Cow<'a, Takes>>, Refused> {
        let volts = supply_read(self.test, read, self.before)?;
        Ok(match (&self.test.moving, volts) {
            (Some(moving), Some(volts)) => moving.takes(volts).into_iter().map(Cow::Owned).collect(),
            _ => self.test.branches.iter().map(|branch| Cow::Borrowed(&branch.takes)).collect(),
        })
    }

    /// The ways of one set of readings: that of the readings as they are first, then the others from the lowest result up.
    fn read(&self, set: &Taken) -> Result<Vec<Way>, Refused> {
        let judge =
            |read: &[Reading]| arithmetic::result(self.book, self.test, read, self.before)?.ok_or(Refused::NotHere);
        let shown = judge(&set.read)?;
        let takes = self.takes(&set.read)?;
        let fell = numbered(self.test, &takes, shown)?;
        let mut ways = vec![Way { read: set.read.clone(), result: Some(shown), fell }];
        // Sets with the same volts of the supply are judged by the same limits.
        let mut groups: Vec<Reached<'_>> = vec![Reached { takes, results: vec![(shown, &set.read)] }];
        for could in &set.could {
            if could.len() != set.read.len() {
                return Err(Refused::Count { takes: set.read.len() });
            }
            let result = judge(could)?;
            let takes = if self.test.moving.is_some() { Some(self.takes(could)?) } else { None };
            match groups.iter_mut().find(|group| takes.as_ref().is_none_or(|takes| *takes == group.takes)) {
                Some(group) => group.results.push((result, could)),
                None => groups.extend(takes.map(|takes| Reached { takes, results: vec![(result, could)] })),
            }
        }
        for mut group in groups {
            group.results.sort_by(|(a, _), (b, _)| a.order(*b));
            for result in group.between() {
                let fell = numbered(self.test, &group.takes, result)?;
                if !ways.iter().any(|way| way.fell == fell) {
                    // The set that reads nearest below stands for all that fall on this line.
                    let nearest =
                        group.results.iter().rev().find(|(reach, _)| reach.order(result) != Ordering::Greater);
                    let read = nearest.map_or(&set.read, |(_, read)| read).clone();
                    ways.push(Way { read, result: Some(result), fell });
                }
            }
        }
        Ok(ways)
    }
}

/// Results that may be read under the same limits, with their sets.
struct Reached<'a> {
    takes: Vec<Cow<'a, Takes>>,
    results: Vec<(Reading, &'a Vec<Reading>)>,
}

impl Reached<'_> {
    /// Results that between them meet every line between the lowest and the highest: both, every limit between, and a number
    /// between each two of these.
    fn between(&self) -> Vec<Reading> {
        let (Some((low, _)), Some((high, _))) = (self.results.first(), self.results.last()) else { return Vec::new() };
        if low.order(*high) == Ordering::Equal {
            return vec![*low];
        }
        let within = |at: f64| {
            if !at.is_finite() {
                return false;
            }
            let at = Reading::Value(at);
            at.order(*low) == Ordering::Greater && at.order(*high) == Ordering::Less
        };
        let mut marks: Vec<f64> =
            self.stretches().flat_map(|s| [s.low.at, s.high.at]).filter(|at| within(*at)).collect();
        if let Reading::Value(low) = low {
            marks.push(*low);
        }
        if let Reading::Value(high) = high {
            marks.push(*high);
        }
        marks.sort_by(f64::total_cmp);
        marks.dedup();
        let mut results: Vec<Reading> = marks.first().map(|first| Reading::Value(*first)).into_iter().collect();
        for (a, b) in marks.iter().zip(marks.iter().skip(1)) {
            results.extend([Reading::Value(a.midpoint(*b)), Reading::Value(*b)]);
        }
        if *high == Reading::OverLimit {
            // Numbers past the last limit, then OL itself.
            results.extend(marks.last().map(|last| Reading::Value(last.abs().mul_add(2.0, 1.0))));
            results.push(Reading::OverLimit);
        }
        results
    }

    fn stretches(&self) -> impl Iterator<Item = &Stretch> {
        self.takes.iter().flat_map(|takes| match takes.as_ref() {
            Takes::Numbers { stretches, .. } => stretches.as_slice(),
            _ => &[],
        })
    }
}

/// The lines of a number.
fn numbered(test: &Test, takes: &[Cow<'_, Takes>], result: Reading) -> Result<Fell, Refused> {
    fell(test, Some(result), |at, _| takes.get(at).is_some_and(|takes| takes.has(result)))
}

/// Whether the technician has to say on which side of `normal` it falls: not where an `A to B` has it, or an `OL` line.
#[must_use]
pub fn needs_judging(test: &Test, result: Reading) -> bool {
    matches!(test.scale, Scale::Judged(_)) && !test.branches.iter().any(|branch| is_sure(branch, result))
}

/// Whether a line has it whatever is normal.
fn is_sure(branch: &Branch, result: Reading) -> bool {
    let Takes::Numbers { stretches, over_limit } = &branch.takes else { return false };
    let bounded = |s: &Stretch| s.low.at.is_finite() && s.high.at.is_finite();
    match result {
        Reading::OverLimit => *over_limit && stretches.is_empty(),
        // `below 3` on a meter without a minus is "0 up to 3": it starts at zero and leaves its end out.
        Reading::Value(value) => {
            stretches.iter().any(|s| s.has(value) && bounded(s) && (s.low.at != 0.0 || s.high.within))
        }
    }
}

/// The lines of a reading judged by the technician: the `A to B` or `OL` it is; `normal` where it is normal; else, in order
/// of lines, the first on its side.
fn judged(test: &Test, result: Option<Reading>, side: Side) -> Result<Fell, Refused> {
    let result = result.ok_or(Refused::NotHere)?;
    let sure = !needs_judging(test, result);
    fell(test, Some(result), |_, branch| match &branch.takes {
        _ if sure => is_sure(branch, result),
        Takes::Judged(of) => *of == side,
        Takes::Numbers { .. } => side != Side::Within && branch.takes.has(result),
        Takes::Answer => false,
    })
}

/// The first `good` or `if` line that takes it, and every `all` line that does.
fn fell(test: &Test, result: Option<Reading>, takes: impl Fn(usize, &Branch) -> bool) -> Result<Fell, Refused> {
    let numbered = || test.branches.iter().zip(0_u16..).filter(|(branch, at)| takes(usize::from(*at), branch));
    let line = numbered().find(|(branch, _)| branch.kind != OutcomeKind::All).map(|(_, at)| at);
    let alls: Vec<u16> = numbered().filter(|(branch, _)| branch.kind == OutcomeKind::All).map(|(_, at)| at).collect();
    if line.is_none() && alls.is_empty() {
        return Err(Refused::NoLine(result));
    }
    Ok(Fell { line, alls })
}
