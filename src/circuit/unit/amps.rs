//! Amps of a calling unit over its supply range: what a clamp shows at the lowest, the plate's and the highest volts.
//!
//! At each of the three, every part at the middle and both ends of what its maker lets it be. The meter's own error comes on top.

use super::bench::{Bench, Corner, End};
use super::wired::Wired;
use crate::circuit::{Current, Unsolved};
use crate::sheet::standing::Standing;
use crate::sheet::unit::group::Group;
use crate::trade::printing::three_digits;
use crate::trade::quantity::plain;
use serde::Serialize;
use std::sync::Arc;

/// Amps at three supplies.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Amps {
    /// How the unit stands: "live, covers on, heat on".
    pub standing: String,
    /// The supply at its lowest, as on the plate, at its highest: "187.2 V AC".
    pub supply: [String; 3],
    /// A part or supply wire, and what a clamp shows at each.
    pub lines: Vec<(String, [String; 3])>,
}

/// The least amps worth a clamp; ours.
const LEAST: f64 = 0.1;

/// The amps of a unit that calls; `None` where its supply has no range or nothing draws.
///
/// # Errors
/// [`Unsolved`] where the circuit comes to no steady state.
pub fn amps(wired: &Arc<Wired>) -> Result<Option<Amps>, Unsolved> {
    let unit = &wired.unit;
    let Some(supply) = unit.supplies.first().filter(|supply| supply.volts.low < supply.volts.high) else {
        return Ok(None);
    };
    let mut standing = Standing::home(&unit.states);
    for stand in unit.states.with_needs(&unit.calling) {
        standing.set(stand);
    }
    let poles: Vec<_> = unit
        .parts()
        .filter(|(_, part)| matches!(part.group, Group::Disconnects | Group::Elements | Group::Motors | Group::Lamps))
        .flat_map(|(id, part)| (0..part.poles.len()).map(move |pole| (id, pole)))
        .collect();
    let mut lines: Vec<(String, [String; 3])> =
        poles.iter().map(|(part, pole)| (unit.pole_name(*part, *pole), Default::default())).collect();
    let mut most = vec![0.0_f64; poles.len()];
    for (nth, end) in [End::Low, End::Nominal, End::High].into_iter().enumerate() {
        let mut spread = vec![(f64::INFINITY, 0.0_f64); poles.len()];
        let corners = [End::Low, End::Nominal, End::High].map(|parts| [false, true].map(|turned| (parts, turned)));
        for (parts, turned) in corners.into_iter().flatten() {
            let mut bench = Bench::new(wired, Corner { supply: end, turned, parts, ..Corner::nominal() });
            let stood = bench.stand(&standing, &[])?;
            for ((part, pole), (low, high)) in poles.iter().zip(&mut spread) {
                for amps in stood.amps(Current::Ac, *part, *pole) {
                    (*low, *high) = (low.min(amps), high.max(amps));
                }
            }
        }
        for (((_, at), (low, high)), most) in lines.iter_mut().zip(&spread).zip(&mut most) {
            *most = most.max(*high);
            let (low, high) = (plain(three_digits(low.min(*high))), plain(three_digits(*high)));
            if let Some(at) = at.get_mut(nth) {
                *at = if low == high { format!("{low} A") } else { format!("{low} to {high} A") };
            }
        }
    }
    let mut drawing = most.iter().map(|most| *most >= LEAST);
    lines.retain(|_| drawing.next().unwrap_or(false));
    let volts = |volts: f64| format!("{} {}", plain(three_digits(supply.volts.said(volts))), supply.volts.unit);
    let range = &supply.volts;
    Ok((!lines.is_empty()).then(|| Amps {
        standing: unit.states.told_standing(&standing),
        supply: [volts(range.low), volts(range.nominal), volts(range.high)],
        lines,
    }))
}
