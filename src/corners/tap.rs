//! Where the meter goes on a unit, by the names of its sheet.

use crate::circuit::TerminalId;
use crate::circuit::unit::Wired;
use crate::language::syntax::{OverKind, Probes};
use crate::sheet::unit::model::{PartId, PointId, ReadingId};
use crate::trade::unit::Unit;

/// A place on a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Spot {
    /// Across a pole of a part.
    Across(PartId, usize),
    /// The clamp round a pole of a part.
    Through(PartId, usize),
    /// The clamp round a wire of the supply.
    Terminal(TerminalId),
    /// Red on the first point, black on the second.
    Between(PointId, PointId),
    /// A pole by itself, one wire off.
    Of(PartId, usize),
    /// Outside the circuit.
    At(ReadingId),
}

/// What the meter is set to, and where it goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tap {
    /// The unit it is read in.
    pub unit: Unit,
    /// Where.
    pub spot: Spot,
    /// Which reading counts, where it is watched for a while.
    pub over: Option<OverKind>,
    /// With the low-impedance meter.
    pub loaded: bool,
}

/// The tap of a measure; `zone.` in front of a name stands for the member given. `None` where the sheet has no such place.
#[must_use]
pub fn tap(
    wired: &Wired,
    unit: Unit,
    probes: &Probes,
    over: Option<OverKind>,
    loaded: bool,
    member: Option<(&str, u16)>,
) -> Option<Tap> {
    let sheet = &wired.unit;
    let named = |name: &str| match member {
        Some((bank, number)) => match name.split_once('.') {
            Some((of, rest)) if of == bank => format!("{bank}-{number}.{rest}"),
            _ => name.to_owned(),
        },
        None => name.to_owned(),
    };
    let pole = |name: &str| sheet.pole(&named(name));
    let point = |name: &str| sheet.point(&named(name));
    let spot = match probes {
        Probes::Across(part) => pole(part.as_str()).map(|(part, at)| Spot::Across(part, at)),
        Probes::Of(part) => pole(part.as_str()).map(|(part, at)| Spot::Of(part, at)),
        Probes::Through(place) => match point(place.as_str()).and_then(|point| wired.terminal(point)) {
            Some(terminal) => Some(Spot::Terminal(terminal)),
            None => pole(place.as_str()).map(|(part, at)| Spot::Through(part, at)),
        },
        Probes::Between(red, black) => {
            point(red.as_str()).zip(point(black.as_str())).map(|(red, black)| Spot::Between(red, black))
        }
        Probes::At(reading) => sheet.reading(&named(reading.as_str())).map(|(id, _)| Spot::At(id)),
    }?;
    Some(Tap { unit, spot, over, loaded })
}
