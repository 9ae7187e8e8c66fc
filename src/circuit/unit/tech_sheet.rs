//! What the meter should read on a unit: rating plate, ladder, every named place in every standing.
//!
//! Everything is read in every standing ([`super::tech_reads`]); two in which all reads the same are one, and one with its covers on is left
//! out where it reads as with them off. With faults named, all of it is read with these in.

use super::tech_lines::Line;
use super::tech_reads::{GHOST, GHOST_TOLD, Read, read};
use super::wired::Wired;
use crate::circuit::Unsolved;
use crate::sheet::unit::group::Group;
use crate::sheet::unit::model::{ComesAndGoes, Fault, FaultId, Given, RungItem, Struck, Unit};
use crate::trade::printing::three_digits;
use crate::trade::quantity::plain;
use serde::Serialize;
use std::sync::Arc;

/// The meter of a shop, as far as volts go.
#[derive(Debug, Clone, Copy)]
pub struct Input {
    /// Its input in ohms.
    pub ohms: f64,
}

/// A unit's tech sheet.
#[derive(Debug, Clone, Serialize)]
pub struct TechSheet {
    /// The unit's name.
    pub unit: String,
    /// Its title.
    pub title: String,
    /// What is wrong with it; empty for a good unit.
    pub with: Vec<String>,
    /// The rating plate: name and what it says.
    pub nameplate: Vec<(String, String)>,
    /// The ladder, a rung a line.
    pub ladder: Vec<String>,
    /// Standing by standing.
    pub standings: Vec<Told>,
    /// Every fault it may have, in order of parts.
    pub faults: Vec<FaultLine>,
    /// What has to be said of the readings.
    pub notes: Vec<&'static str>,
    /// Usual faults it never has: the fault and why.
    pub struck: Vec<(String, String)>,
}

/// One fault of a unit.
#[derive(Debug, Clone, Serialize, PartialEq)]
pub struct FaultLine {
    /// "heater-1 open"
    pub name: String,
    /// How often it was seen, where the sheet says so.
    pub seen: Option<f64>,
    /// Usual for its group, and the sheet says nothing of it.
    pub usual: bool,
    /// "now and then", "hot"
    pub comes_and_goes: Option<&'static str>,
}

/// One standing.
#[derive(Debug, Clone, Serialize, PartialEq)]
pub struct Told {
    /// "live, covers on, heat on"; several where all reads the same.
    pub standings: Vec<String>,
    /// Points that can bite.
    pub live: Vec<String>,
    /// Parts: name, what it reads.
    pub parts: Vec<Line>,
    /// Points against ground.
    pub points: Vec<Line>,
    /// Readings outside the circuit.
    pub readings: Vec<Line>,
    /// Contacts that go in and out without end.
    pub chatters: bool,
}

impl TechSheet {
    /// Reads a unit in every standing, with these faults in.
    ///
    /// # Errors
    /// [`Unsolved`] where the circuit comes to no steady state.
    pub fn of(wired: &Arc<Wired>, faults: &[FaultId], input: Input) -> Result<Self, Unsolved> {
        let unit = &wired.unit;
        let mut standings: Vec<Told> = Vec::new();
        let read = read(wired, faults, input)?;
        for Read { name, told, twin } in &read {
            if twin.and_then(|at| read.get(at)).is_some_and(|twin| twin.told.same(told)) {
                continue;
            }
            match standings.iter_mut().find(|other| other.same(told)) {
                Some(other) => other.standings.push(name.clone()),
                None => standings.push(Told { standings: vec![name.clone()], ..told.clone() }),
            }
        }
        let lines = standings.iter().flat_map(|told| told.parts.iter().chain(&told.points));
        let ghost = lines.flat_map(|line| &line.reads).any(|read| read.contains(GHOST));
        let notes = if ghost { vec![GHOST_TOLD] } else { Vec::new() };
        let nameplate = unit.nameplate.iter().map(|plate| (plate.name.clone(), spread(&plate.value))).collect();
        Ok(Self {
            unit: unit.name.clone(),
            title: unit.title.clone(),
            with: faults.iter().map(|fault| unit.fault_name(*fault)).collect(),
            nameplate,
            ladder: ladder(unit),
            standings,
            notes,
            faults: unit.faults().map(|(id, fault)| fault_line(unit, id, fault)).collect(),
            struck: unit.struck.iter().map(|struck| struck_told(unit, struck)).collect(),
        })
    }
}

impl Told {
    /// Whether all of it reads the same.
    pub(super) fn same(&self, other: &Self) -> bool {
        self.live == other.live
            && self.parts == other.parts
            && self.points == other.points
            && self.readings == other.readings
            && self.chatters == other.chatters
    }
}

fn fault_line(unit: &Unit, id: FaultId, fault: &Fault) -> FaultLine {
    FaultLine {
        name: unit.fault_name(id),
        seen: fault.seen,
        usual: fault.usual,
        comes_and_goes: fault.comes_and_goes.map(|goes| match goes {
            ComesAndGoes::NowAndThen => "now and then",
            ComesAndGoes::Hot => "hot",
        }),
    }
}

fn struck_told(unit: &Unit, struck: &Struck) -> (String, String) {
    (format!("{} {}", unit.part_of(struck.part).name, struck.name), struck.reason.clone())
}

fn spread(value: &crate::sheet::unit::amount::Spread) -> String {
    let said = |base: f64| plain(three_digits(value.said(base)));
    if value.low < value.high {
        format!("{} {} ({} to {})", said(value.nominal), value.unit, said(value.low), said(value.high))
    } else {
        format!("{} {}", said(value.nominal), value.unit)
    }
}

/// The ladder in characters: contacts between bars, loads in round brackets, fuses in square ones.
fn ladder(unit: &Unit) -> Vec<String> {
    unit.rungs
        .iter()
        .map(|rung| {
            let mut line = String::new();
            for item in &rung.items {
                match *item {
                    RungItem::Point(point) => {
                        let name = unit.point_name(point);
                        if name.is_empty() {
                            line.push('─');
                        } else {
                            let gap = if line.is_empty() { "" } else { " " };
                            line.push_str(&format!("{gap}{name} "));
                        }
                    }
                    RungItem::Pole(part, pole) => {
                        let name = unit.pole_name(part, pole);
                        let of = unit.part_of(part);
                        let own = of.poles.get(pole).map_or("", |pole| pole.name.as_str());
                        let at_rest = matches!(of.given.get("closed at rest"), Some(Given::Names(names)) if names.iter().any(|n| n == own));
                        line.push_str(&match of.group {
                            group if group.switches() && group.driver() != Some(own) => {
                                format!("──┤{} {name} ├──", if at_rest { "/" } else { "" })
                            }
                            Group::Fuses => format!("──[ {name} ]──"),
                            Group::Joints => format!("──• {name} •──"),
                            Group::Capacitors => format!("──┤( {name} ├──"),
                            _ => format!("──( {name} )──"),
                        });
                    }
                }
            }
            line.trim_end().to_owned()
        })
        .collect()
}
