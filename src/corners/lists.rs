//! Which corners are looked at.
//!
//! Supplies all as on the plate, low or high × where a motor or a capacitor hangs on a three-phase supply: its lines following each
//! other either way × parts × free readings all low or all high × what faults do at its low or high.
//! Parts: all as on the plate, all low, all high; and each part with a tolerance low with the others high, and the reverse. All
//! together alone would not do: a good delta bank shows no unbalance then, a real one at +5, +5, −10 % shows 4.9 %.

use crate::circuit::unit::{Corner, End};
use crate::sheet::unit::amount::Stretch;
use crate::sheet::unit::group::Group;
use crate::sheet::unit::model::{Effect, Fault, Given, Part, PartId, Shows, Unit};
use crate::trade::unit::Current;
use std::sync::Arc;

/// Index of a corner of a [`super::Desk`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CornerId(pub u16);

/// How many corners of the parts are looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Width {
    /// All parts together: as on the plate, low, high.
    Three,
    /// And each part with a tolerance against all others.
    All,
}

/// A corner, and when it has to be looked at.
#[derive(Debug, Clone)]
pub(super) struct Listed {
    pub corner: Arc<Corner>,
    /// Whether it is one of [`Width::Three`].
    pub three: bool,
    /// Whether it differs from the one before it in what faults do, and in nothing else.
    pub faults_high: bool,
}

/// Every corner of a unit in a fixed order, the one as on the plate first. What does not vary on a unit is not varied.
pub(super) fn list(unit: &Unit) -> Vec<Listed> {
    let supplies = if unit.supplies.iter().map(|s| s.volts).chain(unit.nameplate.iter().map(|p| p.value)).any(varies) {
        vec![End::Nominal, End::Low, End::High]
    } else {
        vec![End::Nominal]
    };
    let free: &[f64] = if unit.readings.iter().any(|r| moves(&r.good) || r.instead.iter().any(|(_, s)| moves(s))) {
        &[0.0, 1.0]
    } else {
        &[0.5]
    };
    let faults: &[f64] = if unit.faults.iter().any(fault_varies) { &[0.0, 1.0] } else { &[0.5] };
    let parts = parts(unit);
    let ways: &[bool] = if turning_matters(unit) { &[false, true] } else { &[false] };
    let mut listed = Vec::new();
    let rows = supplies.iter().flat_map(|supply| ways.iter().map(move |turned| (*supply, *turned)));
    for (supply, turned) in rows {
        for (three, all, apart) in &parts {
            for free in free {
                for (at, share) in faults.iter().enumerate() {
                    let corner = Corner {
                        supply,
                        turned,
                        volts: Vec::new(),
                        parts: *all,
                        apart: apart.clone(),
                        free: *free,
                        faults: *share,
                    };
                    listed.push(Listed { corner: Arc::new(corner), three: *three, faults_high: at > 0 });
                }
            }
        }
    }
    listed
}

/// Whether it shows which way the lines of a supply follow each other: a circuit of resistances alone reads the same both ways, and
/// so does a three-phase motor.
fn turning_matters(unit: &Unit) -> bool {
    let three_phase =
        unit.supplies.iter().any(|supply| supply.points.len() > 2 && supply.volts.unit.current() == Some(Current::Ac));
    let between_two = |part: &Part| matches!(part.group, Group::Motors | Group::Capacitors) && part.poles.len() < 3;
    three_phase && unit.parts().any(|(_, part)| between_two(part))
}

/// What of a corner counts for a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Counts {
    /// Supplies and parts.
    pub plate: bool,
    /// Free readings.
    pub free: bool,
    /// The end faults are at.
    pub faults: bool,
}

impl Counts {
    /// Everything that may count, and not.
    pub const ALL: [Self; 8] = {
        const fn of(plate: bool, free: bool, faults: bool) -> Counts {
            Counts { plate, free, faults }
        }
        [
            of(false, false, false),
            of(false, false, true),
            of(false, true, false),
            of(false, true, true),
            of(true, false, false),
            of(true, false, true),
            of(true, true, false),
            of(true, true, true),
        ]
    };
}

/// The first listed corner that is the same in what counts: what does not, as in the first of all.
pub(super) fn same(listed: &[Listed], at: usize, counts: Counts) -> usize {
    let (Some(here), Some(first)) = (listed.get(at), listed.first()) else { return at };
    let (here, first) = (&here.corner, &first.corner);
    let plate = if counts.plate { here } else { first };
    let free = if counts.free { here.free } else { first.free };
    let faults = if counts.faults { here.faults } else { first.faults };
    let like = |other: &Listed| {
        let other = &other.corner;
        other.supply == plate.supply
            && other.parts == plate.parts
            && other.free.total_cmp(&free).is_eq()
            && other.faults.total_cmp(&faults).is_eq()
            && other.apart == plate.apart
            && other.turned == plate.turned
    };
    listed.iter().take(at).position(like).unwrap_or(at)
}

fn varies(spread: crate::sheet::unit::amount::Spread) -> bool {
    spread.low < spread.high
}

fn moves(shows: &Shows) -> bool {
    matches!(shows, Shows::Stretch(Stretch { low, high }) if low < high)
}

/// Whether it matters at which end a fault is looked at.
#[must_use]
pub fn fault_varies(fault: &Fault) -> bool {
    let wide = |stretch: &Stretch| stretch.low < stretch.high;
    fault.shows.iter().any(|(_, shows)| moves(shows))
        || fault.effects.iter().any(|effect| match effect {
            Effect::Ohms(_, stretch) | Effect::Times(_, stretch) | Effect::Volts(stretch) => wide(stretch),
            Effect::Grounded(_, along, ohms) => wide(along) || wide(ohms),
            Effect::Opens(_) | Effect::Closes(_) | Effect::Held(_) | Effect::Lost(_) => false,
        })
}

/// Whether it is one of three, how the parts stand, and which stand at another end.
type Parts = (bool, End, Vec<(PartId, End)>);

fn parts(unit: &Unit) -> Vec<Parts> {
    // Elements have a tolerance of the trade where the sheet gives none.
    let toleranced: Vec<PartId> = unit
        .parts()
        .filter(|(_, part)| !part.poles.is_empty())
        .filter(|(_, part)| match part.given.get("tolerance") {
            Some(Given::Tolerance { minus, plus, .. }) => *minus > 0.0 || *plus > 0.0,
            _ => part.group == Group::Elements,
        })
        .map(|(id, _)| id)
        .collect();
    let mut all = vec![(true, End::Nominal, Vec::new())];
    if toleranced.is_empty() {
        return all;
    }
    all.push((true, End::Low, Vec::new()));
    all.push((true, End::High, Vec::new()));
    if toleranced.len() > 1 {
        for part in toleranced {
            all.push((false, End::High, vec![(part, End::Low)]));
            all.push((false, End::Low, vec![(part, End::High)]));
        }
    }
    all
}
