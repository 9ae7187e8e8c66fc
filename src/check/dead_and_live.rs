//! The meter's function against the solved circuit: ohms only where it is dead, volts where something can bring them.

use super::Subject;
use super::machine::displayed;
use super::power::OHMS_ON_LIVE;
use crate::corners::{Desk, Spot, Tap, Unread, Width};
use crate::language::syntax::Block;
use crate::playbook::model::Test;
use crate::playbook::takings::Takings;
use crate::sheet::standing::Standing;
use crate::sheet::states::Stand;
use crate::sheet::unit::model::{FaultId, PointId};
use crate::text::english::{list, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::trade::dimension::Dimension;
use crate::trade::quantity::plain;
use crate::trade::reading::Reading;

/// Volts where none can be.
pub static VOLTS_ON_DEAD: Rule = Rule {
    code: "volts-on-dead",
    level: Level::Warning,
    says: "Volts are measured where the machine as it stands, good or with a fault of its sheet, brings some.",
    why: "On a dead machine the meter reads zero whatever is wrong: the step tells nothing, and its bad line is never met.",
    wrong: "with     power locked-out, covers off\nmeasure  V AC across contactor.coil",
    mended: "with     power live, covers off, rinse running\ndanger   Live parts behind this panel: keep hands out, touch only with the probes.\nmeasure  V AC across contactor.coil",
};

/// Anything under this many volts is none.
const NONE: f64 = 1.0;

/// The rules of this file.
pub static RULES: [&Rule; 1] = [&VOLTS_ON_DEAD];

pub(super) fn check(subject: Subject<'_>, problems: &mut Vec<Problem>) {
    let Some(desks) = subject.desks else { return };
    desks.at_one(|desk| {
        for ((block, test), (id, _)) in subject.tests().zip(subject.playbook.tests()) {
            let standing = desk.standing(&test.with);
            let Some(takings) = Takings::of(subject.playbook, desk.wired(), id, None) else { continue };
            if standing.holds(Stand::LOCKED_OUT) {
                problems.extend(ohms(subject, desk, test, &standing, &takings));
            }
            problems.extend(volts(subject, desk, (block, test), &standing, &takings));
        }
    });
}

/// Ohms where the machine is locked out and the place is live all the same: a receptacle with the plug out.
fn ohms(
    subject: Subject<'_>,
    desk: &mut Desk,
    test: &Test,
    standing: &Standing,
    takings: &[Takings<'_>],
) -> Option<Problem> {
    let corner = *desk.corners(Width::Three, &[]).first()?;
    let taps = takings.first()?.taps();
    for (measure, tap) in test.measures().iter().zip(&taps) {
        if desk.read(corner, standing, &[], std::slice::from_ref(tap)) != Err(Unread::Live) {
            continue;
        }
        let stood = desk.stood(corner, standing, &[]).ok()?;
        let live: Vec<PointId> = ends(desk, tap).into_iter().filter(|point| stood.is_live(*point)).collect();
        let volts = live.iter().map(|point| stood.volts_at(*point)).fold(0.0, f64::max);
        let names: Vec<String> = live.iter().map(|point| desk.wired().unit.point_name(*point).to_owned()).collect();
        let are = if names.len() == 1 { "is" } else { "are" };
        let message = format!(
            "{} {are} live with the machine locked out, {} V: no ohms `{}`.",
            list(&ticked(&names), "and"),
            plain(volts.round()),
            measure.at
        );
        let instead = subject.playbook.source.slice(measure.span).replacen(measure.unit.symbol(), "V AC", 1);
        return Some(Problem::new(&OHMS_ON_LIVE, subject.playbook.place(measure.span), message).instead(instead));
    }
    None
}

fn ends(desk: &Desk, tap: &Tap) -> Vec<PointId> {
    match tap.spot {
        Spot::Across(part, pole) | Spot::Of(part, pole) | Spot::Through(part, pole) => {
            let poles = &desk.wired().unit.part_of(part).poles;
            poles.get(pole).map(|pole| vec![pole.from, pole.to]).unwrap_or_default()
        }
        Spot::Between(red, black) => vec![red, black],
        Spot::Terminal(_) | Spot::At(_) => Vec::new(),
    }
}

fn volts(
    subject: Subject<'_>,
    desk: &mut Desk,
    (block, test): (&Block, &Test),
    standing: &Standing,
    takings: &[Takings<'_>],
) -> Option<Problem> {
    let measures = test.measures();
    let in_circuit = |tap: &Tap| !matches!(tap.spot, Spot::At(_)) && tap.unit.dimension() == Dimension::VOLTS;
    // With the low-impedance meter: a ghost is no volts.
    let loaded = |tap: Tap| Tap { loaded: true, ..tap };
    let all: Vec<Vec<Tap>> = takings.iter().map(|takings| takings.taps().into_iter().map(loaded).collect()).collect();
    if measures.is_empty() || !all.iter().all(|taps| taps.iter().take(measures.len()).all(in_circuit)) {
        return None;
    }
    let corner = *desk.corners(Width::Three, &[]).first()?;
    let faults: Vec<Vec<FaultId>> =
        std::iter::once(Vec::new()).chain(desk.wired().unit.faults().map(|(id, _)| vec![id])).collect();
    for fault in &faults {
        for taps in &all {
            let taps = taps.get(..measures.len())?;
            let Ok(sets) = desk.read(corner, standing, fault, taps) else { return None };
            let some = |reading: &Reading| matches!(reading, Reading::Value(volts) if volts.abs() >= NONE);
            if sets.iter().flatten().any(some) {
                return None;
            }
        }
    }
    let first = measures.first()?;
    let message = format!(
        "With the unit {} no fault of its sheet brings volts `{}`: the meter reads {} whatever is wrong.",
        subject.playbook.states.told_standing(standing),
        first.at,
        displayed(desk, Reading::Value(0.0), first.unit, |_| true)
    );
    let problem = Problem::new(&VOLTS_ON_DEAD, subject.playbook.place(first.span), message);
    // Most likely meant: while it calls for heat or cold.
    let calls = desk.wired().unit.calling.iter().find(|stand| !standing.holds(**stand));
    Some(match calls {
        Some(calls) => problem.instead(subject.with_line(block, &subject.playbook.states.told(*calls))),
        None => problem,
    })
}
