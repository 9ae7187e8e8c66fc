//! Points that stay live in a locked-out machine: a block that touches one tells its own danger.
//!
//! A receptacle with the plug out, the line side of a disconnect: the lock-out does not reach them. Where a block that stands
//! locked out puts probes or hands there, and no danger of its author in front speaks of live parts, the danger is put in.

use super::hazard::Hazard;
use super::model::{Cures, End, Playbook, Step, Test};
use super::takings::Takings;
use crate::corners::{Desk, Spot, Width};
use crate::language::syntax::Signal;
use crate::sheet::standing::Standing;
use crate::sheet::states::Stand;
use crate::sheet::unit::model::PointId;
use crate::text::english::list;
use crate::text::source::Span;

/// Puts the danger in front of every block that needs it.
pub(super) fn warn(playbook: &mut Playbook, desk: &mut Desk) {
    let tests: Vec<Option<Step>> = playbook
        .tests()
        .map(|(id, test)| {
            let touched = Takings::of(playbook, desk.wired(), id, None)?
                .iter()
                .flat_map(|takings| takings.taps().into_iter().take(test.measures().len()))
                .flat_map(|tap| ends(desk, tap.spot))
                .collect();
            danger(desk, &test.with, test.with_span, &test.steps, touched)
        })
        .collect();
    let repairs: Vec<Option<Step>> = playbook
        .ends
        .iter()
        .map(|end| danger(desk, &end.with, end.with_span, &end.steps, worked_on(desk, end)))
        .collect();
    let put = |steps: &mut Vec<Step>, step: Option<Step>| {
        if let Some(step) = step {
            steps.insert(0, step);
        }
    };
    playbook.tests.iter_mut().zip(tests).for_each(|(test, step): (&mut Test, _)| put(&mut test.steps, step));
    playbook.ends.iter_mut().zip(repairs).for_each(|(end, step): (&mut End, _)| put(&mut end.steps, step));
}

fn ends(desk: &Desk, spot: Spot) -> Vec<PointId> {
    match spot {
        Spot::Across(part, pole) | Spot::Of(part, pole) | Spot::Through(part, pole) => {
            let poles = &desk.wired().unit.part_of(part).poles;
            poles.get(pole).map(|pole| vec![pole.from, pole.to]).unwrap_or_default()
        }
        Spot::Between(red, black) => vec![red, black],
        Spot::Terminal(_) | Spot::At(_) => Vec::new(),
    }
}

/// The ends of the parts a repair is for; `zone.` stands for every member.
fn worked_on(desk: &Desk, end: &End) -> Vec<PointId> {
    let unit = &desk.wired().unit;
    let mut points = Vec::new();
    for cure in &end.cures {
        let Cures::Part { part, .. } = cure else { continue };
        let name = part.strip_prefix("that ").unwrap_or(part);
        let of_bank = |other: &str| {
            let (bank, rest) = name.split_once('.')?;
            let (_, bank) = unit.bank(bank)?;
            Some(bank.members.iter().any(|member| other == format!("{}-{member}.{rest}", bank.name)))
        };
        let parts = unit.parts().filter(|(_, part)| part.name == name || of_bank(&part.name) == Some(true));
        points.extend(parts.flat_map(|(_, part)| part.poles.iter().flat_map(|pole| [pole.from, pole.to])));
    }
    points
}

fn danger(desk: &mut Desk, with: &[Stand], span: Span, steps: &[Step], mut touched: Vec<PointId>) -> Option<Step> {
    let standing: Standing = desk.standing(with);
    let said = steps
        .iter()
        .take_while(|step| matches!(step, Step::Signal(..) | Step::Picture { .. }))
        .any(|step| matches!(step, Step::Signal(Signal::Danger, text, _) if Hazard::LiveParts.is_spoken_of(text)));
    if said || touched.is_empty() || !with.contains(&Stand::LOCKED_OUT) && !standing.holds(Stand::LOCKED_OUT) {
        return None;
    }
    touched.sort_unstable();
    touched.dedup();
    let corner = *desk.corners(Width::Three, &[]).first()?;
    let stood = desk.stood(corner, &standing, &[]).ok()?;
    touched.retain(|point| stood.is_live(*point));
    let names: Vec<&str> =
        touched.iter().map(|point| desk.wired().unit.point_name(*point)).filter(|n| !n.is_empty()).collect();
    if names.is_empty() {
        return None;
    }
    let volts = touched.iter().map(|point| stood.volts_at(*point)).fold(0.0, f64::max).round();
    let stay = if names.len() == 1 { "stays" } else { "stay" };
    let text = format!(
        "{} {stay} live with this machine locked out, {volts} V to ground: keep hands and tools off, or have it shut off ahead of the machine.",
        list(&names, "and")
    );
    Some(Step::Signal(Signal::Danger, text, span))
}
