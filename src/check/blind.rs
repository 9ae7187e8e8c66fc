//! Readings that pass a broken part because a second break, or a leak, hides it.
//!
//! 1. Volts across a part that should be closed: zero is good. With a second break in the same line both read zero.
//! 2. Volts on the load side of an off solid-state relay: with the load open its leak brings full line there.

use super::Subject;
use super::machine::{Looked, is_good, looked};
use crate::corners::{Desk, Spot, Tap, Width};
use crate::language::fill_in::NEXT_STEP;
use crate::playbook::model::{Measure, Question, Test, TestId};
use crate::playbook::takings::Takings;
use crate::sheet::standing::Standing;
use crate::sheet::unit::group::Group;
use crate::sheet::unit::model::{Effect, Fault, FaultId, Owner, PartId, PointId, Rung, RungItem};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::trade::dimension::Dimension;
use crate::trade::reading::Reading;

/// A break looked for across the part only.
pub static BLIND_TO_SECOND_BREAK: Rule = Rule {
    code: "blind-to-second-break",
    level: Level::Warning,
    says: "A break is looked for from the load side of the part to the other leg, not across the part alone.",
    why: "Across an open part stands the supply only as long as all else in the line is whole. With two breaks both parts read zero, and both pass.",
    wrong: "measure  V AC across high-limit\ngood     below 5 V AC  go to thermostat",
    mended: "measure  V AC from C3 to X2\ngood     normal        go to thermostat",
};

/// Full line through an off relay.
pub static BLIND_TO_LEAK: Rule = Rule {
    code: "blind-to-leak",
    level: Level::Warning,
    says: "Volts on the load side of a solid-state relay are read with the low-impedance meter.",
    why: "An off solid-state relay leaks a little. With the load open that little reads full line, and the dead relay passes.",
    wrong: "measure  V AC from T1 to T2",
    mended: "measure  V AC from T1 to T2, loaded",
};

/// The rules of this file.
pub static RULES: [&Rule; 2] = [&BLIND_TO_SECOND_BREAK, &BLIND_TO_LEAK];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let Some(desks) = subject.desks else { return };
    desks.at_one(|desk| {
        let breaks: Vec<(FaultId, PartId)> =
            desk.wired().unit.faults().filter_map(|(id, fault)| Some((id, breaks(fault)?))).collect();
        for (id, test) in subject.playbook.tests() {
            let Question::Measure(measure) = &test.question else { continue };
            if measure.unit.dimension() != Dimension::VOLTS {
                continue;
            }
            let Some(looked) = looked(subject, desk, id) else { continue };
            let asked = Asked { subject, test, id, measure, looked: &looked, breaks: &breaks };
            problems.extend(asked.second_break(desk).or_else(|| asked.leak(desk)));
        }
    });
}

/// Whether a part is on a rung.
fn has(rung: &Rung, part: PartId) -> bool {
    rung.items.iter().any(|item| matches!(item, RungItem::Pole(of, _) if *of == part))
}

/// The part a fault opens.
fn breaks(fault: &Fault) -> Option<PartId> {
    let Owner::Part(part) = fault.owner else { return None };
    let opens = |effect: &Effect| matches!(effect, Effect::Opens(_) | Effect::Held(false));
    fault.effects.iter().any(opens).then_some(part)
}

struct Asked<'a> {
    subject: Subject<'a>,
    test: &'a Test,
    id: TestId,
    measure: &'a Measure,
    looked: &'a Looked<'a>,
    breaks: &'a [(FaultId, PartId)],
}

impl Asked<'_> {
    /// Whether the unit may read good here with these faults.
    fn passes(&self, desk: &mut Desk, standing: &Standing, faults: &[FaultId]) -> Option<bool> {
        let corner = *desk.corners(Width::Three, &[]).first()?;
        let lines = self.looked.lines(desk, corner, standing, faults)?;
        Some(lines.iter().any(|line| is_good(self.test, *line)))
    }

    fn tap(&self) -> Option<Tap> {
        let Looked::Read(takings) = self.looked else { return None };
        takings.first()?.taps().first().copied()
    }

    fn second_break(&self, desk: &mut Desk) -> Option<Problem> {
        let Spot::Across(part, pole) = self.tap()?.spot else { return None };
        let standing = desk.standing(&self.test.with);
        let corner = *desk.corners(Width::Three, &[]).first()?;
        let good = desk.read(corner, &standing, &[], &[self.tap()?]).ok()?;
        if !good.iter().flatten().all(|reading| matches!(reading, Reading::Value(volts) if volts.abs() < 2.0)) {
            return None;
        }
        let own = self.breaks.iter().filter(|(fault, of)| {
            let opens = &desk.wired().unit.fault_of(*fault).effects;
            *of == part && opens.iter().any(|effect| matches!(effect, Effect::Opens(at) if *at == pole))
        });
        let own: Vec<FaultId> = own.map(|(fault, _)| *fault).collect();
        for fault in own {
            if self.passes(desk, &standing, &[fault])? {
                continue;
            }
            // A break in the same rung first: that is the one a technician sees on the ladder.
            let near = |of: PartId| !desk.wired().unit.rungs.iter().any(|rung| has(rung, part) && has(rung, of));
            let mut others: Vec<(bool, FaultId)> =
                self.breaks.iter().filter(|(_, of)| *of != part).map(|(fault, of)| (near(*of), *fault)).collect();
            others.sort_unstable();
            for (_, second) in &others {
                let both = if fault < *second { [fault, *second] } else { [*second, fault] };
                if self.passes(desk, &standing, &both) == Some(true) && !self.felt_elsewhere(desk, (part, pole), &both)
                {
                    return Some(self.told_break(desk, (part, pole), (fault, *second)));
                }
            }
        }
        None
    }

    /// Whether another test with a probe at an end of this part does not pass the two.
    fn felt_elsewhere(&self, desk: &mut Desk, (part, pole): (PartId, usize), both: &[FaultId]) -> bool {
        let poles = &desk.wired().unit.part_of(part).poles;
        let Some(ends) = poles.get(pole).map(|pole| [pole.from, pole.to]) else { return false };
        let playbook = self.subject.playbook;
        playbook.tests().filter(|(id, _)| *id != self.id).any(|(id, test)| {
            let Some(takings) = Takings::of(playbook, desk.wired(), id, None) else { return false };
            let touches = |tap: &Tap| match tap.spot {
                Spot::Between(red, black) => ends.contains(&red) || ends.contains(&black),
                Spot::Of(of, at) => (of, at) == (part, pole),
                _ => false,
            };
            if !takings.iter().any(|takings| takings.taps().iter().any(touches)) {
                return false;
            }
            let standing = desk.standing(&test.with);
            let Some(corner) = desk.corners(Width::Three, &[]).first().copied() else { return false };
            let lines = Looked::Read(takings).lines(desk, corner, &standing, both);
            lines.is_some_and(|lines| !lines.iter().any(|line| is_good(test, *line)))
        })
    }

    fn told_break(
        &self,
        desk: &mut Desk,
        (part, pole): (PartId, usize),
        (fault, second): (FaultId, FaultId),
    ) -> Problem {
        let unit = std::sync::Arc::clone(&desk.wired().unit);
        let message = format!(
            "`{}` is looked for across the part alone: with `{}` as well it reads good.",
            unit.fault_name(fault),
            unit.fault_name(second)
        );
        let problem = Problem::new(&BLIND_TO_SECOND_BREAK, self.subject.playbook.place(self.measure.span), message);
        match self.other_leg(desk, (part, pole), fault) {
            Some((from, to)) => {
                let unit_words = self.measure.unit;
                problem.instead(format!(
                    "measure  {unit_words} from {} to {}\ngood     normal  go to {NEXT_STEP}",
                    unit.point_name(from),
                    unit.point_name(to)
                ))
            }
            None => problem,
        }
    }

    /// The load side of the part and the point that reads full volts to it on a good unit, and none with the break.
    fn other_leg(&self, desk: &mut Desk, (part, pole): (PartId, usize), fault: FaultId) -> Option<(PointId, PointId)> {
        let unit = std::sync::Arc::clone(&desk.wired().unit);
        let ends = unit.part_of(part).poles.get(pole).map(|pole| [pole.to, pole.from])?;
        // The far end of its own rung, where it has one; else whatever point reads most.
        let rung = unit.rungs.iter().find(|rung| has(rung, part));
        let far = rung.and_then(|rung| {
            let mut points = rung.items.iter().rev().filter_map(|item| match item {
                RungItem::Point(point) => Some(*point),
                RungItem::Pole(..) => None,
            });
            points.next().filter(|point| !ends.contains(point))
        });
        let standing = desk.standing(&self.test.with);
        let corner = *desk.corners(Width::Three, &[]).first()?;
        let mut best: Option<(f64, PointId, PointId)> = None;
        for from in ends.into_iter().filter(|point| !unit.point_name(*point).is_empty()) {
            for to in (0..unit.points.len()).filter_map(|at| u16::try_from(at).ok()).map(PointId) {
                if ends.contains(&to) || unit.point_name(to).is_empty() || far.is_some_and(|far| far != to) {
                    continue;
                }
                let tap = Tap { unit: self.measure.unit, spot: Spot::Between(from, to), over: None, loaded: true };
                let volts = |desk: &mut Desk, faults: &[FaultId]| -> Option<f64> {
                    match desk.read(corner, &standing, faults, &[tap]).ok()?.first()?.first()? {
                        Reading::Value(volts) => Some(volts.abs()),
                        Reading::OverLimit => None,
                    }
                };
                let (good, broken) = (volts(desk, &[])?, volts(desk, &[fault])?);
                let better = best.is_none_or(|(most, ..)| good > most * 1.01);
                if good > 2.0 && broken < 0.1 * good && better {
                    best = Some((good, from, to));
                }
            }
        }
        best.map(|(_, from, to)| (from, to))
    }

    fn leak(&self, desk: &mut Desk) -> Option<Problem> {
        if self.measure.loaded {
            return None;
        }
        let unit = std::sync::Arc::clone(&desk.wired().unit);
        let standing = desk.standing(&self.test.with);
        let group = |part: PartId| unit.part_of(part).group;
        let relays = self.breaks.iter().filter(|(_, part)| group(*part) == Group::SolidStateRelays);
        for (relay, of) in relays {
            if self.passes(desk, &standing, &[*relay])? {
                continue;
            }
            let loads = self.breaks.iter().filter(|(_, part)| {
                matches!(group(*part), Group::Elements | Group::Motors | Group::Lamps | Group::Coils)
            });
            for (load, _) in loads {
                let both = if relay < load { [*relay, *load] } else { [*load, *relay] };
                let tap = Tap { loaded: true, ..self.tap()? };
                let takes_loaded = self.with_loaded(desk, &standing, &both, tap);
                if self.passes(desk, &standing, &both) == Some(true) && takes_loaded == Some(false) {
                    let message = format!(
                        "With `{}` the off relay `{}` leaks full line to where this reads: it passes, and `{}` is cleared.",
                        unit.fault_name(*load),
                        unit.part_of(*of).name,
                        unit.fault_name(*relay)
                    );
                    let words = self.subject.playbook.source.slice(self.measure.span);
                    let problem = Problem::new(&BLIND_TO_LEAK, self.subject.playbook.place(self.measure.span), message);
                    return Some(problem.instead(format!("{words}, loaded")));
                }
            }
        }
        None
    }

    /// Whether it would pass with the low-impedance meter.
    fn with_loaded(&self, desk: &mut Desk, standing: &Standing, faults: &[FaultId], tap: Tap) -> Option<bool> {
        let corner = *desk.corners(Width::Three, &[]).first()?;
        let sets = desk.read(corner, standing, faults, &[tap]).ok()?;
        let good = |reading: &Reading| self.test.good().is_some_and(|branch| branch.takes.has(*reading));
        Some(sets.iter().flatten().all(good))
    }
}
