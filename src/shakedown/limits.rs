//! How far the limits of each test lie from what a good unit reads, and from what a broken one does.

use super::runs::Shakedown;
use super::told::{faults, reading, unit_of};
use crate::engine::InBook;
use crate::language::syntax::OutcomeKind;
use crate::playbook::model::{Edge, Takes, Test, TestId};
use crate::sheet::unit::model::FaultId;
use crate::trade::printing::three_digits;
use crate::trade::reading::Reading;
use serde::{Deserialize, Serialize};
use std::cmp::Ordering;

/// One limit: an end of what the `good` line takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Limit {
    /// The test.
    pub test: String,
    /// What the `good` line says.
    pub good: String,
    /// Whether it is the upper end.
    pub upper: bool,
    /// Where the limit stands.
    pub at: String,
    /// The nearest a good unit comes to it, the meter as far off as it may be.
    pub nearest_good: String,
    /// The nearest reading that is not good, and the fault.
    pub nearest_bad: Option<(String, String)>,
    /// A number between, where there is one.
    pub between: Option<String>,
    /// Whether a good unit is called bad, or a fault passed as good.
    pub wrong: bool,
    /// Whether a good unit is called bad.
    pub good_is_out: bool,
}

/// The limits of a playbook, in order of its tests.
#[must_use]
pub fn limits(shakedown: &Shakedown) -> Vec<Limit> {
    let ground = &shakedown.ground;
    let book = ground.library.book(shakedown.book);
    let mut found = Vec::new();
    for (id, test) in book.tests() {
        let at = InBook { book: shakedown.book, id };
        for upper in [false, true] {
            found.extend(limit(shakedown, at, test, upper));
        }
    }
    found
}

fn limit(shakedown: &Shakedown, at: InBook<TestId>, test: &Test, upper: bool) -> Option<Limit> {
    let ground = &shakedown.ground;
    // Limits that go by the supply stand at no one number.
    let unit = unit_of(test).filter(|_| test.moving.is_none())?;
    let good = test.branches.iter().find(|branch| branch.kind == OutcomeKind::Good)?;
    let Takes::Numbers { stretches, .. } = &good.takes else { return None };
    let edge: Edge = if upper { stretches.last()?.high } else { stretches.first()?.low };
    if !edge.at.is_finite() || (!upper && edge.at == 0.0) {
        return None;
    }
    let asks: Vec<_> = shakedown.table.asks.iter().filter(|ask| ground.ask(**ask).at == at).copied().collect();
    let spans = asks.iter().filter_map(|ask| shakedown.table.cell(None, *ask)?.span);
    let further = |a: Reading, b: Reading| if (a.order(b) == Ordering::Greater) == upper { a } else { b };
    let nearest_good = spans.map(|(low, high)| if upper { high } else { low }).reduce(further)?;
    let beyond = |value: &Reading| value.order(nearest_good) == if upper { Ordering::Greater } else { Ordering::Less };
    let mut nearest_bad: Option<(Reading, FaultId)> = None;
    for (fault, _) in ground.wired.unit.faults() {
        for ask in &asks {
            let Some(cell) = shakedown.table.cell(Some(fault), *ask) else { continue };
            let near =
                if upper { cell.results.iter().find(|r| beyond(r)) } else { cell.results.iter().rfind(|r| beyond(r)) };
            let Some(near) = near else { continue };
            // INVARIANT: both lie beyond the good end, so the nearer one is the less far one.
            if nearest_bad.is_none_or(|(known, _)| known != *near && further(known, *near) == known) {
                nearest_bad = Some((*near, fault));
            }
        }
    }
    let numbers = match (nearest_good, nearest_bad) {
        (Reading::Value(good), Some((Reading::Value(bad), _))) => Some((good, bad)),
        _ => None,
    };
    let between = numbers.and_then(|(good, bad)| {
        let middle = three_digits(good.midpoint(bad));
        let inside = middle > good.min(bad) && middle < good.max(bad);
        inside.then(|| reading(ground, Reading::Value(middle), unit))
    });
    let taken = |value: Reading| match value {
        Reading::Value(value) => stretches.iter().any(|stretch| stretch.has(value)),
        Reading::OverLimit => matches!(&good.takes, Takes::Numbers { over_limit: true, .. }),
    };
    let good_is_out = !taken(nearest_good);
    let wrong = good_is_out || nearest_bad.is_some_and(|(bad, _)| taken(bad));
    let show = |value: Reading| reading(ground, value, unit);
    Some(Limit {
        test: test.name.clone(),
        good: good.words.clone(),
        upper,
        at: show(Reading::Value(edge.at)),
        nearest_good: show(nearest_good),
        nearest_bad: nearest_bad.map(|(bad, fault)| (show(bad), faults(ground, &[fault]))),
        between,
        wrong,
        good_is_out,
    })
}

impl Limit {
    /// One line of the report.
    #[must_use]
    pub fn words(&self) -> String {
        let (end, most) = if self.upper { ("up to", "at most") } else { ("from", "at least") };
        let bad = match &self.nearest_bad {
            Some((bad, fault)) => format!("the nearest not good is {bad} ({fault})"),
            None => "no fault reads beyond it".to_owned(),
        };
        let between = match (&self.between, self.wrong) {
            (Some(between), true) => format!(" Put it between them: {between}."),
            (Some(between), false) => format!(" Halfway is {between}."),
            (None, true) if self.good_is_out => " No number tells them apart: read something else.".to_owned(),
            (None, true) => " A fault so slight does not show here.".to_owned(),
            (None, false) => String::new(),
        };
        format!(
            "`{}`, good {} {}: a good unit reads {most} {}, {bad}.{between}",
            self.test, end, self.at, self.nearest_good
        )
    }
}
