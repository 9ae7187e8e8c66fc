//! A sheet's parts and rungs as a network.
//!
//! Figures a sheet leaves out, ours where no source stands: a solid-state relay works from 4 V (catalogue figure, from
//! memory); a lamp's cold wire has a thirteenth of its hot ohms (trade facts: 1/12 to 1/15); a transformer of 40 VA
//! has 2 % of its load's ohms in each winding and 5 % of its size in the iron; an output has 100 ohm in series.

use super::depends::Depends;
use super::ratings::Ratings;
use crate::circuit::{
    CONTACT_OHMS, Complex, Current, DeciderId, Drive, GROUND, Grounding, LET_GO, Leak, Make, Network, PULL_IN, PointId,
    PoleId, PositionId, Rated, SupplyId, TerminalId,
};
use crate::sheet::states::Stand;
use crate::sheet::unit::group::Group;
use crate::sheet::unit::model::{Condition, Given, Grounded, Part, PartId, Unit, When};
use crate::sheet::unit::model::{PointId as SheetPoint, Pole as SheetPole};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::trade::dimension::Dimension;
use crate::trade::unit::Current as Written;
use std::sync::Arc;

/// The power factor of a running motor whose plate gives none. Common practice, no source: small motors at load have 0.6 to 0.9.
const POWER_FACTOR: f64 = 0.8;

/// A part that does not say enough.
pub static PART_UNKNOWN: Rule = Rule {
    code: "part-unknown",
    level: Level::Error,
    says: "A part says enough to be worked out: an element its watts or ohms, a coil its ohms or amps, a transformer its volts; and its `volts` where it hangs on no single supply.",
    why: "A meter reading at a part nobody knows the ohms of would be made up.",
    wrong: "elements:\n  heater-1: {}",
    mended: "elements:\n  heater-1: { watts: 4000 W }",
};

/// A unit with its network, and where each thing of the sheet is in it.
#[derive(Debug, Clone)]
pub struct Wired {
    /// The sheet.
    pub unit: Arc<Unit>,
    /// Its network.
    pub net: Arc<Network>,
    points: Vec<PointId>,
    poles: Vec<Vec<PoleId>>,
    supplies: Vec<SupplyId>,
    deciders: Vec<Option<DeciderId>>,
    /// What each position of the network waits for.
    pub(super) positions: Vec<When>,
    /// What decides how it stands.
    moves: Depends,
}

impl Wired {
    /// The network's point.
    #[must_use]
    pub fn point(&self, point: SheetPoint) -> PointId {
        self.points.get(usize::from(point.0)).copied().unwrap_or(GROUND)
    }

    /// The network's pole.
    #[must_use]
    pub fn pole(&self, part: PartId, pole: usize) -> Option<PoleId> {
        self.poles.get(usize::from(part.0))?.get(pole).copied()
    }

    /// The network's supply.
    #[must_use]
    pub fn supply(&self, at: usize) -> Option<SupplyId> {
        self.supplies.get(at).copied()
    }

    /// A leg of a supply.
    #[must_use]
    pub fn leg(&self, supply: usize, leg: usize) -> Option<TerminalId> {
        self.net.terminals_of(self.supply(supply)?).get(leg).copied()
    }

    /// What moves a part's contacts.
    #[must_use]
    pub fn decider(&self, part: PartId) -> Option<DeciderId> {
        self.deciders.get(usize::from(part.0)).copied().flatten()
    }

    /// What decides how the contacts stand, and every volt, amp and ohm.
    #[must_use]
    pub fn moves(&self) -> &Depends {
        &self.moves
    }

    /// The supply terminal at a point, if there is one.
    #[must_use]
    pub fn terminal(&self, point: SheetPoint) -> Option<TerminalId> {
        self.net.terminal_at(self.point(point))
    }
}

/// Wires a unit. With a problem that is an error the network is not to be leaned on.
#[must_use]
pub fn wire(unit: &Arc<Unit>) -> (Wired, Vec<Problem>) {
    let mut net = Network::new();
    let mut points = vec![GROUND];
    for (at, point) in unit.points.iter().enumerate().skip(1) {
        let name = if point.name.is_empty() { format!("between {at}") } else { point.name.clone() };
        points.push(net.point(name));
    }
    let mut wired = Wired {
        unit: Arc::clone(unit),
        net: Arc::new(Network::new()),
        points,
        poles: Vec::new(),
        supplies: Vec::new(),
        deciders: vec![None; unit.parts.len()],
        positions: Vec::new(),
        moves: Depends::default(),
    };
    for supply in &unit.supplies {
        let at: Vec<PointId> = supply.points.iter().map(|point| wired.point(*point)).collect();
        let current = current_of(supply.volts.unit.current());
        let grounding = grounding_of(supply.grounded);
        // The sheet refuses what does not fit, so there is one.
        if let Some(id) = net.supply(&supply.name, current, &at, supply.volts.nominal, grounding) {
            wired.supplies.push(id);
        }
    }
    let mut builder = Builder { unit, ratings: Ratings::of(unit), net, wired, problems: Vec::new() };
    for (id, part) in unit.parts() {
        builder.part(id, part);
    }
    for (id, part) in unit.parts() {
        builder.drives(id, part);
    }
    builder.wired.net = Arc::new(builder.net);
    builder.wired.moves = Depends::of_circuit(unit, &builder.wired.positions);
    (builder.wired, builder.problems)
}

/// The circuit's word for what a sheet writes; where it writes neither, AC.
pub(super) fn current_of(written: Option<Written>) -> Current {
    match written {
        Some(Written::Dc) => Current::Dc,
        _ => Current::Ac,
    }
}

/// The circuit's word for what a sheet says is grounded.
pub(super) fn grounding_of(grounded: Grounded) -> Grounding {
    match grounded {
        Grounded::Point(at) => Grounding::Point(at),
        Grounded::Middle => Grounding::Middle,
        Grounded::Wye => Grounding::Wye,
        Grounded::Corner => Grounding::Corner,
        Grounded::HighLeg => Grounding::HighLeg,
        Grounded::None => Grounding::None,
    }
}

struct Builder<'a> {
    unit: &'a Unit,
    ratings: Ratings,
    net: Network,
    wired: Wired,
    problems: Vec<Problem>,
}

impl Builder<'_> {
    fn part(&mut self, id: PartId, part: &Part) {
        let mut ids = Vec::with_capacity(part.poles.len());
        let first = self.net.poles().count();
        for (at, pole) in part.poles.iter().enumerate() {
            let (from, to) = (self.wired.point(pole.from), self.wired.point(pole.to));
            let name = self.unit.pole_name(id, at);
            let (make, rated) = self.make(part, pole, first).unwrap_or((Make::Conductor { ohms: CONTACT_OHMS }, None));
            let new = self.net.pole(name, from, to, make);
            if let Some(rated) = rated {
                self.net.rate(new, rated);
            }
            ids.push(new);
        }
        self.wired.poles.push(ids);
    }

    fn amount(part: &Part, key: &str) -> Option<f64> {
        match part.given.get(key) {
            Some(Given::Amount(amount)) => Some(amount.value),
            _ => None,
        }
    }

    fn tell(&mut self, part: &Part, fact: String) {
        // A line of its own that could not be read is told already.
        if self.unit.speaks(part.member) && !self.unit.holes.of_part(&part.name) {
            self.problems.push(Problem::new(&PART_UNKNOWN, part.place.clone(), fact));
        }
    }

    /// What stands between the two ends, and what it is rated for.
    fn make(&mut self, part: &Part, pole: &SheetPole, first: usize) -> Option<(Make, Option<Rated>)> {
        let ohms = Self::amount(part, "ohms");
        let conductor = ohms.unwrap_or(CONTACT_OHMS);
        let contact = |ohms: f64, leak: Leak| Make::Contact { ohms, leak, drive: Drive::default() };
        let is_driver = part.group.driver() == Some(pole.name.as_str());
        match part.group {
            Group::Fuses | Group::Joints => Some((Make::Conductor { ohms: conductor }, None)),
            Group::Disconnects | Group::Switches => Some((contact(conductor, Leak::None), None)),
            Group::Contactors | Group::Relays if is_driver => self.load(part, pole),
            Group::Contactors | Group::Relays | Group::Controls if !is_driver => {
                Some((contact(CONTACT_OHMS, Leak::None), None))
            }
            Group::SolidStateRelays if !is_driver => {
                let leak = match part.given.get("leak") {
                    Some(Given::Amount(leak)) if leak.unit.dimension() == Dimension::FARADS => {
                        Leak::Snubber { ohms: 47.0, farads: leak.value }
                    }
                    Some(Given::Amount(leak)) => Leak::Ohms(leak.value),
                    _ => Leak::Ohms(100e3),
                };
                Some((contact(CONTACT_OHMS, leak), None))
            }
            Group::Elements
            | Group::Motors
            | Group::Lamps
            | Group::Coils
            | Group::Controls
            | Group::SolidStateRelays => self.load(part, pole),
            Group::Transformers => self.winding(part, pole, first),
            Group::Outputs => {
                let Some(Given::Amount(volts)) = part.given.get("volts") else {
                    self.tell(part, format!("`{}` does not say its `volts`.", self.unit.as_written(&part.name)));
                    return None;
                };
                let current = current_of(volts.unit.current().or(Some(Written::Dc)));
                let make =
                    Make::Output { current, volts: volts.value, ohms: ohms.unwrap_or(100.0), drive: Drive::default() };
                Some((make, None))
            }
            Group::Sensors => {
                let tied = part.given.contains_key("kind") && part.given.contains_key("at");
                if ohms.is_none() && !tied {
                    self.tell(
                        part,
                        format!(
                            "`{}` says neither its `ohms` nor its `kind` and the reading it is `at`.",
                            self.unit.as_written(&part.name)
                        ),
                    );
                }
                let ohms = ohms.unwrap_or(1000.0);
                Some((Make::Load { cold: ohms, hot: Complex::from(ohms) }, None))
            }
            Group::Capacitors => {
                let Some(farads) = Self::amount(part, "size") else {
                    self.tell(part, format!("`{}` does not say its `size`.", self.unit.as_written(&part.name)));
                    return None;
                };
                Some((Make::Capacitor { farads }, None))
            }
            Group::Outside | Group::Contactors | Group::Relays => None,
        }
    }

    /// Anything that takes power: its ohms from watts, amps or ohms, its rating from its own volts or those it hangs on.
    fn load(&mut self, part: &Part, pole: &SheetPole) -> Option<(Make, Option<Rated>)> {
        let own = match part.given.get("volts") {
            Some(Given::Amount(volts)) => Some((volts.value, volts.unit.current().map(|c| current_of(Some(c))))),
            _ => None,
        };
        let hangs = self.ratings.volts_across(pole.from, pole.to);
        let volts = own.map(|(volts, _)| volts).or(hangs.map(|(volts, _)| volts));
        let current = own.and_then(|(_, current)| current).or(hangs.map(|(_, current)| current)).unwrap_or(Current::Ac);
        let (watts, amps, ohms) = (Self::amount(part, "watts"), Self::amount(part, "amps"), Self::amount(part, "ohms"));
        let supply = match part.given.get("supply") {
            Some(Given::Amount(supply)) if supply.unit.dimension() == Dimension::AMPS => (None, Some(supply.value)),
            Some(Given::Amount(supply)) => (Some(supply.value), None),
            _ => (None, None),
        };
        let (watts, amps) = (watts.or(supply.0), amps.or(supply.1));
        let Some(volts) = volts else {
            if ohms.is_none() || part.group.driver().is_some() {
                if !self.unit.holes.of_feed() {
                    let name = self.unit.as_written(&part.name);
                    self.tell(part, format!("`{name}` hangs on no single supply. Say its `volts`: `volts: 24 V AC`."));
                }
                return None;
            }
            let ohms = ohms?;
            return Some((Make::Load { cold: ohms, hot: Complex::from(ohms) }, None));
        };
        let impedance = watts.map(|watts| volts * volts / watts).or(amps.map(|amps| volts / amps));
        let (cold, hot) = match (impedance, ohms) {
            (Some(impedance), ohms) if current == Current::Ac && part.group == Group::Motors => {
                (ohms.unwrap_or(impedance), Self::running(part, impedance, ohms.unwrap_or(0.0)))
            }
            (Some(impedance), Some(ohms))
                if current == Current::Ac && impedance > ohms && part.group != Group::Lamps =>
            {
                (ohms, Complex::new(ohms, (impedance * impedance - ohms * ohms).sqrt()))
            }
            (Some(impedance), Some(ohms)) => (ohms, Complex::from(impedance)),
            (Some(impedance), None) if part.group == Group::Lamps => (impedance / 13.0, Complex::from(impedance)),
            (Some(impedance), None) => (impedance, Complex::from(impedance)),
            (None, Some(ohms)) => (ohms, Complex::from(ohms)),
            (None, None) => {
                let wants = match part.group {
                    Group::Elements | Group::Lamps => "its `watts` nor its `ohms`",
                    Group::Controls => "what its `supply` takes",
                    Group::SolidStateRelays => "its input's `ohms`",
                    _ => "its `ohms` nor its `amps`",
                };
                let word = if wants.contains("nor") { "says neither" } else { "does not say" };
                self.tell(part, format!("`{}` {word} {wants}.", self.unit.as_written(&part.name)));
                return None;
            }
        };
        let works_from = match part.given.get("works from") {
            Some(Given::Amount(from)) if from.unit.dimension() == Dimension::VOLTS => from.value,
            Some(Given::Amount(from)) => from.value * volts,
            _ if part.group == Group::SolidStateRelays => 4.0,
            _ => PULL_IN * volts,
        };
        Some((Make::Load { cold, hot }, Some(Rated { volts, current, works_from })))
    }

    /// What a running motor is to the circuit: the ohms its amps come to, at its power factor. Its winding ohms alone would make it a
    /// coil: they say nothing of the power that leaves by the shaft.
    fn running(part: &Part, impedance: f64, winding: f64) -> Complex {
        let factor = Self::amount(part, "power factor").unwrap_or(POWER_FACTOR).max((winding / impedance).min(1.0));
        Complex::new(impedance * factor, impedance * (1.0 - factor * factor).sqrt())
    }

    fn winding(&mut self, part: &Part, pole: &SheetPole, first: usize) -> Option<(Make, Option<Rated>)> {
        let (Some(primary), Some(secondary)) = (Self::amount(part, "primary"), Self::amount(part, "secondary")) else {
            if pole.name == "primary" {
                self.tell(
                    part,
                    format!("`{}` does not say its `primary` and `secondary` volts.", self.unit.as_written(&part.name)),
                );
            }
            return None;
        };
        let size = Self::amount(part, "size").unwrap_or(40.0);
        let is_primary = pole.name == "primary";
        let volts = if is_primary { primary } else { secondary };
        let load = volts * volts / size;
        let key = if is_primary { "primary ohms" } else { "secondary ohms" };
        let ohms = Self::amount(part, key).unwrap_or(0.02 * load);
        let twin = part.poles.iter().position(|other| other.name != pole.name)?;
        Some((Make::Winding { twin: PoleId::of(first + twin), ohms, volts, core: 20.0 * load }, None))
    }

    /// What moves its contacts, now that all poles are there.
    fn drives(&mut self, id: PartId, part: &Part) {
        let driver = part.group.driver().and_then(|name| part.poles.iter().position(|pole| pole.name == name));
        if let Some(at) = driver
            && let Some(pole) = self.wired.pole(id, at)
            && let Some(rated) = self.net.pole_at(pole).rated
        {
            let pull_in = rated.works_from;
            let let_go = match (part.given.get("lets go under"), part.group) {
                (Some(Given::Amount(under)), _) if under.unit.dimension() == Dimension::VOLTS => under.value,
                (Some(Given::Amount(under)), _) => under.value * rated.volts,
                (_, Group::Contactors | Group::Relays) => LET_GO * rated.volts,
                _ => pull_in,
            };
            let decider = self.net.decider(&part.name, pole, pull_in, let_go.min(pull_in));
            if let Some(place) = self.wired.deciders.get_mut(usize::from(id.0)) {
                *place = Some(decider);
            }
        }
        let decider = match part.given.get("of") {
            Some(Given::Word(name)) => self.unit.part(name).and_then(|(of, _)| self.wired.decider(of)),
            _ => self.wired.decider(id),
        };
        let at_rest = match part.given.get("closed at rest") {
            Some(Given::Names(names)) => names.as_slice(),
            _ => &[],
        };
        for (at, pole) in part.poles.iter().enumerate() {
            if Some(at) == driver || !(part.group.switches() || part.group == Group::Outputs) {
                continue;
            }
            let Some(id) = self.wired.pole(id, at) else { continue };
            let when = match part.group {
                Group::Disconnects => Some(When { always: false, any: vec![vec![Condition::State(Stand::LIVE)]] }),
                _ => when_of(part, &pole.name),
            };
            let position = when.filter(|when| !when.always).map(|when| self.position(when));
            let rest_closed = at_rest.contains(&pole.name);
            self.net.set_drive(id, Drive { decider, position, rest_closed });
        }
    }

    fn position(&mut self, when: When) -> PositionId {
        self.wired.positions.push(when);
        self.net.position()
    }
}

/// What a pole waits for: its own line, else the line for all.
fn when_of(part: &Part, pole: &str) -> Option<When> {
    let Some(Given::When(all)) = part.given.get("closed when") else { return None };
    let own = all.iter().find(|(name, _)| name.as_deref() == Some(pole));
    own.or_else(|| all.iter().find(|(name, _)| name.is_none())).map(|(_, when)| when.clone())
}
