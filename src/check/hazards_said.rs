//! What a block works on can hurt by itself, live or not: a charged capacitor, gas, refrigerant. A signal word speaks of it.
//!
//! Only what the playbook or the sheet says for sure is asked for: the capacitor that is measured or changed, the part that carries
//! gas, the gauges that go on. What else can hurt only its author knows.

use super::Subject;
use super::live_work::hazards::{CHARGE, GAS, REFRIGERANT};
use crate::language::syntax::{BlockKind, Probes};
use crate::playbook::hazard::Hazard;
use crate::playbook::model::{Cures, End, Measure, Step, Test};
use crate::sheet::states::Stand;
use crate::sheet::unit::group::Group;
use crate::sheet::unit::model::Part;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;
use crate::trade::dimension::Dimension;

/// A hazard no signal word speaks of.
pub static HAZARD_NOT_SAID: Rule = Rule {
    code: "hazard-not-said",
    level: Level::Warning,
    says: "A block that works on a capacitor, on a part that carries gas or with the gauges on speaks of it in a `danger`, `warning` or `caution` above its first step.",
    why: "A word about the live parts is read as all there is to look out for.",
    wrong: "with     power locked-out, covers off\nmeasure  uF of run-capacitor",
    mended: "with     power locked-out, covers off\ndanger   A charged capacitor can kill with the power off: keep fingers off its terminals.\ndo       Discharge the capacitor through the resistor.\nmeasure  uF of run-capacitor",
};

/// The rules of this file.
pub static RULES: [&Rule; 1] = [&HAZARD_NOT_SAID];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    for test in &subject.playbook.tests {
        problems.extend(tell(subject, &test.name, of_test(subject, test), (&test.steps, test.with_span)));
    }
    for end in subject.playbook.ends.iter().filter(|end| end.kind != BlockKind::Escalate) {
        problems.extend(tell(subject, &end.name, of_end(subject, end), (&end.steps, end.with_span)));
    }
}

/// What can hurt, and in which words it is told that it does.
type Met = Option<(Hazard, String)>;

fn of_test(subject: Subject<'_>, test: &Test) -> [Met; 3] {
    let capacitor = |measure: &&Measure| {
        let at = match &measure.probes {
            Probes::Of(part) | Probes::Across(part) => part.as_str(),
            Probes::Through(_) | Probes::Between(..) | Probes::At(_) => return false,
        };
        measure.unit.dimension() == Dimension::FARADS
            || parts(subject).any(|part| part.group == Group::Capacitors && part.name == at)
    };
    let gas = |measure: &&Measure| matches!(measure.unit.symbol(), "inWC" | "mbar");
    let at = |measure: &Measure| format!("measures `{} {}`", measure.unit.symbol(), measure.at);
    [
        test.measures().iter().find(capacitor).map(|measure| (Hazard::StoredCharge, at(measure))),
        test.measures().iter().find(gas).map(|measure| (Hazard::Gas, at(measure))),
        gauges(subject, &test.with),
    ]
}

fn of_end(subject: Subject<'_>, end: &End) -> [Met; 3] {
    let cured = |wanted: &dyn Fn(&Part) -> bool| {
        let names = end.cures.iter().filter_map(|cures| match cures {
            Cures::Part { part, .. } => Some(part.as_str()),
            Cures::AnythingElse => None,
        });
        let found = names.filter(|name| parts(subject).any(|part| part.name == *name && wanted(part)));
        found.map(|name| format!("works on `{name}`")).next()
    };
    [
        cured(&|part| part.group == Group::Capacitors).map(|what| (Hazard::StoredCharge, what)),
        cured(&|part| part.carries_gas).map(|what| (Hazard::Gas, what)),
        gauges(subject, &end.with),
    ]
}

fn parts(subject: Subject<'_>) -> impl Iterator<Item = &Part> {
    subject.desks.into_iter().flat_map(|desks| &desks.wired().unit.parts)
}

/// Gauges on: refrigerant at the hoses.
fn gauges(subject: Subject<'_>, with: &[Stand]) -> Met {
    let states = &subject.playbook.states;
    let needs = states.with_needs(with);
    let on = needs
        .iter()
        .filter(|stand| !stand.is_home())
        .find(|stand| states.get(stand.state).is_some_and(|state| state.name == "gauges"))?;
    Some((Hazard::Refrigerant, format!("has {}", states.told(*on))))
}

fn tell(subject: Subject<'_>, name: &str, met: [Met; 3], (steps, with): (&[Step], Span)) -> Option<Problem> {
    let is_action = |step: &Step| !matches!(step, Step::Signal(..) | Step::Picture { .. });
    let above: Vec<&str> = steps
        .iter()
        .take_while(|step| !is_action(step))
        .filter_map(|step| match step {
            Step::Signal(signal, text, _) if signal.word() != "notice" => Some(text.as_str()),
            _ => None,
        })
        .collect();
    let (hazard, does) =
        met.into_iter().flatten().find(|(hazard, _)| !above.iter().any(|text| hazard.is_spoken_of(text)))?;
    let (what, line) = match hazard {
        Hazard::StoredCharge => ("the charge it may hold", CHARGE),
        Hazard::Gas => ("the gas", GAS),
        Hazard::Refrigerant => ("the refrigerant", REFRIGERANT),
        Hazard::LiveParts => return None,
    };
    let message = format!("`{name}` {does}, and no signal word above its first step speaks of {what}.");
    Some(Problem::new(&HAZARD_NOT_SAID, subject.playbook.place(with), message).and_below(line))
}
