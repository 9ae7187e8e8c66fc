//! A unit as its sheet gives it: names resolved, banks repeated member by member, numbers in base units.

use super::amount::{Amount, Spread, Stretch, dimension_of};
use super::group::Group;
use super::holes::Holes;
use super::sum::Sum;
use crate::sheet::states::{Stand, States};
use crate::text::source::{Place, Source};
use crate::trade::dimension::Dimension;
use crate::trade::quantity::from_base;
use crate::trade::unit::Unit as Measured;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Index of a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PointId(pub u16);
/// Index of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartId(pub u16);
/// Index of a reading outside the circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ReadingId(pub u16);
/// Index of a fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FaultId(pub u16);

impl PointId {
    /// `Ground`, built in.
    pub const GROUND: Self = Self(0);
}

/// One unit.
#[derive(Debug, Clone)]
pub struct Unit {
    /// The file.
    pub source: Arc<Source>,
    /// Its name: what `unit` in a playbook says.
    pub name: String,
    /// Its title.
    pub title: String,
    /// The rating plate, in order of lines.
    pub nameplate: Vec<Plate>,
    /// Built-in states, the shop's and its own.
    pub states: Arc<States>,
    /// The state values that call for heat or cold.
    pub calling: Vec<Stand>,
    /// Banks of identical parts.
    pub banks: Vec<Bank>,
    /// Supplies.
    pub supplies: Vec<Supply>,
    /// Points; `Ground` first. Between two parts with none written stands one without a name.
    pub points: Vec<Point>,
    /// Parts, in order of lines, members of a bank in turn.
    pub parts: Vec<Part>,
    /// Rungs as written, banks repeated: what the ladder shows.
    pub rungs: Vec<Rung>,
    /// Readings outside the circuit.
    pub readings: Vec<Reading>,
    /// Faults: the usual ones of each group and the sheet's own, in order of parts.
    pub faults: Vec<Fault>,
    /// Usual faults the sheet strikes out.
    pub struck: Vec<Struck>,
    /// What could not be taken.
    pub holes: Holes,
}

/// A line of the rating plate.
#[derive(Debug, Clone)]
pub struct Plate {
    /// Its name.
    pub name: String,
    /// What it says.
    pub value: Spread,
    /// Where.
    pub place: Place,
}

/// A bank: `zone`, 1 to 5.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bank {
    /// Its name.
    pub name: String,
    /// Its members' numbers, lowest first.
    pub members: Vec<u16>,
}

/// What a supply's points are to the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grounded {
    /// This point of the list.
    Point(usize),
    /// `middle`
    Middle,
    /// `wye`
    Wye,
    /// `corner`
    Corner,
    /// `high-leg`
    HighLeg,
    /// `none`
    None,
}

/// One supply.
#[derive(Debug, Clone)]
pub struct Supply {
    /// Its name.
    pub name: String,
    /// Its points.
    pub points: Vec<PointId>,
    /// Its volts, line to line.
    pub volts: Spread,
    /// What is grounded.
    pub grounded: Grounded,
    /// Where.
    pub place: Place,
}

/// One point.
#[derive(Debug, Clone)]
pub struct Point {
    /// Its name; empty between two parts with no point written.
    pub name: String,
    /// Where it is met first; `None` for the ground.
    pub place: Option<Place>,
}

/// One part.
#[derive(Debug, Clone)]
pub struct Part {
    /// `high-limit`, `zone-3.relay`.
    pub name: String,
    /// Its group.
    pub group: Group,
    /// Bank and member, where it is one of a bank.
    pub member: Option<(usize, u16)>,
    /// Its poles, in the order of the sheet.
    pub poles: Vec<Pole>,
    /// What its lines give.
    pub given: BTreeMap<&'static str, Given>,
    /// Whether it carries gas.
    pub carries_gas: bool,
    /// Where its name stands.
    pub place: Place,
}

/// One pole: two ends of a part.
#[derive(Debug, Clone)]
pub struct Pole {
    /// Its name behind the part's; empty for a part with one pole.
    pub name: String,
    /// Its ends.
    pub from: PointId,
    /// The other.
    pub to: PointId,
}

/// What a line of a part gives.
#[derive(Debug, Clone)]
pub enum Given {
    /// A number.
    Amount(Amount),
    /// A stretch.
    Stretch(Stretch),
    /// How far off the maker lets it be, as shares below and above, of the watts (else of the ohms or the size).
    Tolerance {
        /// Of the watts, so the other way round in ohms.
        watts: bool,
        /// Share below.
        minus: f64,
        /// Share above.
        plus: f64,
    },
    /// When it is closed; the same for every pole, or by pole.
    When(Vec<(Option<String>, When)>),
    /// Names.
    Names(Vec<String>),
    /// A reading.
    Reading(ReadingId),
    /// A word.
    Word(String),
}

/// Any of these, each all of its conditions.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct When {
    /// Always.
    pub always: bool,
    /// The alternatives.
    pub any: Vec<Vec<Condition>>,
}

/// One condition.
#[derive(Debug, Clone, PartialEq)]
pub enum Condition {
    /// `STATE VALUE`
    State(Stand),
    /// `PART on|off|weak`: the part, its pole.
    Does(PartId, usize, Does),
    /// `any BANK.PART off`
    Any(Vec<(PartId, usize)>, Does),
    /// `PART FAULT`
    Fault(FaultId),
    /// `READING above X` (or below), in base units.
    Beyond(ReadingId, bool, f64),
    /// `READING WORD`: the word's place in the list.
    Says(ReadingId, usize),
    /// `READING good`, `READING not good`
    Good(ReadingId, bool),
}

/// What a part does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Does {
    /// Steady at its working level or above.
    On,
    /// Under 10 % of rated.
    Off,
    /// Between, or chattering.
    Weak,
}

/// One rung, as the ladder shows it.
#[derive(Debug, Clone)]
pub struct Rung {
    /// Points and poles in turn, a point at each end.
    pub items: Vec<RungItem>,
    /// Where.
    pub place: Place,
}

/// One thing on a rung.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RungItem {
    /// A point.
    Point(PointId),
    /// A pole, and whether it is drawn from its first end.
    Pole(PartId, usize),
}

/// A reading outside the circuit.
#[derive(Debug, Clone)]
pub struct Reading {
    /// Its name.
    pub name: String,
    /// Bank and member.
    pub member: Option<(usize, u16)>,
    /// What it reads in.
    pub scale: Scale,
    /// One temperature less another (superheat), so not moved with the zero of the scale.
    pub difference: bool,
    /// Where it is taken.
    pub at: Option<String>,
    /// Not to be measured; other readings lean on it.
    pub hidden: bool,
    /// What a good unit shows.
    pub good: Shows,
    /// Conditions, the first true one counts.
    pub instead: Vec<(When, Shows)>,
    /// Where.
    pub place: Place,
}

impl Reading {
    /// What kind of thing it reads; `None` for words.
    #[must_use]
    pub fn dimension(&self) -> Option<Dimension> {
        match &self.scale {
            Scale::Numbers(unit) => Some(dimension_of(*unit, self.difference)),
            Scale::Words(_) => None,
        }
    }

    /// A number in base units in the reading's own unit; of words, the number itself.
    #[must_use]
    pub fn said(&self, base: f64) -> f64 {
        match &self.scale {
            Scale::Numbers(unit) => from_base(base, *unit, self.difference),
            Scale::Words(_) => base,
        }
    }
}

/// Numbers or words.
#[derive(Debug, Clone, PartialEq)]
pub enum Scale {
    /// In a unit.
    Numbers(Measured),
    /// In words, the good one first.
    Words(Vec<String>),
}

/// What a reading shows.
#[derive(Debug, Clone, PartialEq)]
pub enum Shows {
    /// Somewhere in a stretch.
    Stretch(Stretch),
    /// `OL`
    OverLimit,
    /// This word of its list.
    Word(usize),
    /// A sum over other readings.
    Sum(Sum),
}

/// One fault.
#[derive(Debug, Clone)]
pub struct Fault {
    /// The part or supply.
    pub owner: Owner,
    /// Its name.
    pub name: String,
    /// How often, from the tally.
    pub seen: Option<f64>,
    /// What it does to the circuit.
    pub effects: Vec<Effect>,
    /// What readings show.
    pub shows: Vec<(ReadingId, Shows)>,
    /// Comes and goes: now and then, or when hot.
    pub comes_and_goes: Option<ComesAndGoes>,
    /// Whether the group brought it.
    pub usual: bool,
    /// Where: its own line, or the part's.
    pub place: Place,
}

/// Who has a fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Owner {
    /// A part.
    Part(PartId),
    /// A supply.
    Supply(usize),
}

/// What a fault does to the circuit.
#[derive(Debug, Clone, PartialEq)]
pub enum Effect {
    /// The pole is open.
    Opens(usize),
    /// The pole is closed, or shorted.
    Closes(usize),
    /// The pole's ohms.
    Ohms(usize, Stretch),
    /// The pole's ohms, or a capacitor's size, times this.
    Times(usize, Stretch),
    /// Grounded part of the way along the pole, through so many ohms.
    Grounded(usize, Stretch, Stretch),
    /// What moves the contacts never acts, or always does.
    Held(bool),
    /// The supply's or the output's volts.
    Volts(Stretch),
    /// A leg of the supply is lost: its place among the supply's points.
    Lost(usize),
}

/// When a fault is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ComesAndGoes {
    /// Now and then.
    NowAndThen,
    /// When the unit is hot.
    Hot,
}

/// A usual fault that is struck out.
#[derive(Debug, Clone)]
pub struct Struck {
    /// The part.
    pub part: PartId,
    /// The fault.
    pub name: String,
    /// Why.
    pub reason: String,
}

impl Unit {
    /// The point of this name.
    #[must_use]
    pub fn point(&self, name: &str) -> Option<PointId> {
        let at = self.points.iter().position(|point| point.name == name && !name.is_empty())?;
        Some(PointId(u16::try_from(at).ok()?))
    }

    /// The name of a point; `between …` for one without.
    #[must_use]
    pub fn point_name(&self, point: PointId) -> &str {
        self.points.get(usize::from(point.0)).map_or("", |point| &point.name)
    }

    /// The part of this name.
    #[must_use]
    pub fn part(&self, name: &str) -> Option<(PartId, &Part)> {
        let at = self.parts.iter().position(|part| part.name == name)?;
        Some((PartId(u16::try_from(at).ok()?), self.parts.get(at)?))
    }

    /// The pole of this name: `k1.a`, `heater-1`, and `valve` for `valve.coil` where there is only the one.
    #[must_use]
    pub fn pole(&self, name: &str) -> Option<(PartId, usize)> {
        if let Some((id, part)) = self.part(name) {
            return (part.poles.len() == 1).then_some((id, 0));
        }
        let (part, pole) = name.rsplit_once('.')?;
        let (id, part) = self.part(part)?;
        let at = part.poles.iter().position(|p| p.name == pole)?;
        Some((id, at))
    }

    /// The parts with their ids.
    pub fn parts(&self) -> impl Iterator<Item = (PartId, &Part)> {
        self.parts.iter().enumerate().map(|(at, part)| (PartId(u16::try_from(at).unwrap_or(u16::MAX)), part))
    }

    /// The part of this id.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by the reader of the sheet, within the table")]
    pub fn part_of(&self, id: PartId) -> &Part {
        &self.parts[usize::from(id.0)]
    }

    /// The name of a pole: the part's, and the pole's behind it where it has one.
    #[must_use]
    pub fn pole_name(&self, part: PartId, pole: usize) -> String {
        let part = self.part_of(part);
        match part.poles.get(pole) {
            Some(pole) if !pole.name.is_empty() => format!("{}.{}", part.name, pole.name),
            _ => part.name.clone(),
        }
    }

    /// The reading of this name.
    #[must_use]
    pub fn reading(&self, name: &str) -> Option<(ReadingId, &Reading)> {
        let at = self.readings.iter().position(|reading| reading.name == name)?;
        Some((ReadingId(u16::try_from(at).ok()?), self.readings.get(at)?))
    }

    /// The reading of this id.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by the reader of the sheet, within the table")]
    pub fn reading_of(&self, id: ReadingId) -> &Reading {
        &self.readings[usize::from(id.0)]
    }

    /// The fault of this id.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "ids are handed out by the reader of the sheet, within the table")]
    pub fn fault_of(&self, id: FaultId) -> &Fault {
        &self.faults[usize::from(id.0)]
    }

    /// The faults with their ids.
    pub fn faults(&self) -> impl Iterator<Item = (FaultId, &Fault)> {
        self.faults.iter().enumerate().map(|(at, fault)| (FaultId(u16::try_from(at).unwrap_or(u16::MAX)), fault))
    }

    /// The name of who has a fault.
    #[must_use]
    pub fn owner_name(&self, owner: Owner) -> &str {
        match owner {
            Owner::Part(id) => &self.part_of(id).name,
            Owner::Supply(at) => self.supplies.get(at).map_or("", |supply| &supply.name),
        }
    }

    /// The fault of these names: `heater-1 open`.
    #[must_use]
    pub fn fault(&self, owner: &str, name: &str) -> Option<FaultId> {
        self.faults().find(|(_, fault)| fault.name == name && self.owner_name(fault.owner) == owner).map(|(id, _)| id)
    }

    /// "heater-1 open"
    #[must_use]
    pub fn fault_name(&self, id: FaultId) -> String {
        let fault = self.fault_of(id);
        format!("{} {}", self.owner_name(fault.owner), fault.name)
    }

    /// The bank of this name.
    #[must_use]
    pub fn bank(&self, name: &str) -> Option<(usize, &Bank)> {
        self.banks.iter().enumerate().find(|(_, bank)| bank.name == name)
    }
}
