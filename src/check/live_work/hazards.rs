//! What can hurt in a block, from how the unit stands and what is measured there: the signal words to suggest.
//!
//! The wording is ours and general; common practice, no source. Where nothing tells what hurts, the author is asked.

use super::Work;
use crate::language::fill_in::{HAZARD, KEEP_CLEAR};
use crate::language::syntax::{BlockKind, Says};
use crate::playbook::hazard::burns;
use crate::playbook::model::{Playbook, Step};
use crate::sheet::states::{Stand, StateId, States};
use crate::trade::dimension::Dimension;
use crate::trade::unit::Unit;

/// With the probes.
pub(super) const LIVE: &str = "danger  Live parts will kill: keep hands out, touch only with the probes.";
const LIVE_NO_PROBES: &str = "danger  Live parts behind this cover will kill: keep hands and tools out of the wiring.";
/// With gas let through.
pub(in crate::check) const GAS: &str =
    "danger  Gas can burn or explode: keep flames and sparks away, keep soap at hand for every joint you open.";
const LIGHTING: &str = "danger  Gas that has not lit can flash: keep face and sleeves away from the burner.";
/// With gauges on.
pub(in crate::check) const REFRIGERANT: &str =
    "warning  Refrigerant under pressure freezes skin and eyes: wear gloves and goggles.";
/// At a capacitor.
pub(in crate::check) const CHARGE: &str =
    "danger  A charged capacitor can kill with the power off: keep fingers off its terminals.";
const HEAT: &str = "warning  Hot parts and steam can burn or scald: keep face and bare hands away.";

/// The danger of live parts alone, where another signal word stands already.
pub(super) fn live(playbook: &Playbook, work: &Work<'_>) -> &'static str {
    if measured(playbook, work).iter().any(|unit| !is_pressure(*unit)) { LIVE } else { LIVE_NO_PROBES }
}

/// The lines to put below the `with` of a live block that warns of nothing.
pub(super) fn warnings(playbook: &Playbook, work: &Work<'_>) -> Vec<String> {
    let words = said(work);
    let has = |wanted: &[&str]| words.iter().any(|word| wanted.contains(&word.as_str()));
    let needs = playbook.states.with_needs(work.with);
    let stands = |wanted: fn(&str) -> bool| stands(&playbook.states, &needs, wanted);
    let covers_off = needs.iter().any(|stand| stand.state == StateId::COVERS && !stand.is_home());
    let measured = measured(playbook, work);
    let electric = measured.iter().any(|unit| !is_pressure(*unit));
    let pressure = measured.iter().any(|unit| is_pressure(*unit));

    let refrigerant = stands(|state| state == "gauges")
        || pressure
            && has(&["refrigerant", "suction", "condenser", "condensing", "evaporator", "superheat", "subcooling"]);
    let other = has(&["water", "steam", "rinse", "oil", "air", "refrigerant"]) || refrigerant;
    let inches = measured.iter().any(|unit| matches!(unit.symbol(), "inWC" | "mbar"));
    let gas = inches
        || stands(|state| state == "manometer" || burns(state.split('-')))
        || burns(words.iter().map(String::as_str))
        || has(&["manifold", "manometer"])
        || pressure && !other;
    let lighting = has(&["light", "relight", "pilot"]) && (gas || has(&["burner", "pilot"]));

    let mut lines = Vec::new();
    if covers_off {
        lines.push(if electric { LIVE } else { LIVE_NO_PROBES });
    }
    if lighting {
        lines.push(LIGHTING);
    } else if gas {
        lines.push(GAS);
    }
    if refrigerant {
        lines.push(REFRIGERANT);
    }
    if lines.is_empty() && has(&["hot", "steam", "scald", "oil", "boil", "boils", "burner", "element"]) {
        lines.push(HEAT);
    }
    if lines.is_empty() {
        return vec![format!("warning  {HAZARD}: {KEEP_CLEAR}.")];
    }
    lines.into_iter().map(str::to_owned).collect()
}

/// The words of a block that tell what it is about: its title, what is done and looked at.
fn said(work: &Work<'_>) -> Vec<String> {
    let lines = work.block.lines.iter().filter_map(|line| match &line.says {
        Says::Do(words) | Says::Ask(words) | Says::Why(words) => Some(words.as_str()),
        Says::Wait { until: Some(words), .. } => Some(words.as_str()),
        _ => None,
    });
    std::iter::once(work.block.title.as_str())
        .chain(lines)
        .flat_map(|text| text.split(|c: char| !c.is_alphanumeric()))
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}

/// Whether a state of such a name is set to anything but home.
fn stands(states: &States, needs: &[Stand], wanted: fn(&str) -> bool) -> bool {
    needs.iter().filter(|stand| !stand.is_home()).any(|stand| states.get(stand.state).is_some_and(|s| wanted(&s.name)))
}

/// The units the block measures in.
fn measured(playbook: &Playbook, work: &Work<'_>) -> Vec<Unit> {
    if work.block.kind != BlockKind::Test || !work.steps.iter().any(|step| matches!(step, Step::Measure(..))) {
        return Vec::new();
    }
    let test = playbook.tests.iter().find(|test| test.span == work.block.span);
    test.into_iter().flat_map(|test| test.measures()).map(|measure| measure.unit).collect()
}

fn is_pressure(unit: Unit) -> bool {
    unit.dimension() == Dimension::PRESSURE
}
