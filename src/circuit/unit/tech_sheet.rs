//! What the meter should read on a unit: rating plate, ladder, every named place in every standing.
//!
//! 1. Standings: at home, calling, and each other value of a state with what it needs; two in which everything reads
//!    the same are one.
//! 2. Live, each part has its volts and amps and each point its volts to ground; dead, each part its ohms by itself.
//! 3. Readings outside the circuit stand beside them. With faults named, all of it is read with these in.

use super::bench::{Bench, Corner};
use super::outside::Shown;
use super::stood::{Probe, Stood};
use super::wired::Wired;
use crate::circuit::{Current, Make, Reading as Volts, Unsolved, Value};
use crate::sheet::standing::Standing;
use crate::sheet::states::{Stand, StateId, ValueId};
use crate::sheet::unit::group::Group;
use crate::sheet::unit::model::{
    ComesAndGoes, Fault, FaultId, Given, PartId, PointId, Reading, ReadingId, RungItem, Scale, Struck, Unit,
};
use crate::trade::printing::three_digits;
use crate::trade::quantity::plain;
use crate::trade::reading::Reading as Number;
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

/// A place and what it reads.
#[derive(Debug, Clone, Serialize, PartialEq)]
pub struct Line {
    /// The place.
    pub name: String,
    /// What it reads.
    pub reads: Vec<String>,
}

impl TechSheet {
    /// Reads a unit in every standing, with these faults in.
    ///
    /// # Errors
    /// [`Unsolved`] where the circuit comes to no steady state.
    pub fn of(wired: &Arc<Wired>, faults: &[FaultId], input: Input) -> Result<Self, Unsolved> {
        let unit = &wired.unit;
        let bench = |free: f64, faults: f64| Bench::new(wired, Corner { free, faults, ..Corner::nominal() });
        let mut benches = [bench(0.5, 0.5), bench(0.0, 0.0), bench(1.0, 1.0)];
        let mut standings: Vec<Told> = Vec::new();
        for standing in standings_of(unit) {
            let name = unit.states.told_standing(&standing);
            let [middle, low, high] = &mut benches;
            let ends = [low.stand(&standing, faults)?, high.stand(&standing, faults)?];
            let stood = middle.stand(&standing, faults)?;
            let told = told(unit, wired, middle, &standing, &stood, &ends, input)?;
            match standings.iter_mut().find(|other| other.same(&told)) {
                Some(other) => other.standings.push(name),
                None => standings.push(Told { standings: vec![name], ..told }),
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
    fn same(&self, other: &Self) -> bool {
        self.live == other.live
            && self.parts == other.parts
            && self.points == other.points
            && self.readings == other.readings
            && self.chatters == other.chatters
    }
}

/// Home, calling, and every other value with what it needs.
fn standings_of(unit: &Unit) -> Vec<Standing> {
    let home = Standing::home(&unit.states);
    let with = |stands: &[Stand]| {
        let mut standing = home.clone();
        for stand in unit.states.with_needs(stands) {
            standing.set(stand);
        }
        standing
    };
    let mut all = vec![home.clone(), with(&unit.calling)];
    for (id, state) in unit.states.iter() {
        for at in 1..state.values.len() {
            let value = ValueId(u16::try_from(at).unwrap_or(u16::MAX));
            let stand = Stand { state: id, value };
            // What changes a circuit is looked at while the unit calls, if the two go together.
            let mut calling = unit.calling.clone();
            calling.retain(|other| other.state != id);
            calling.push(stand);
            let both = with(&calling);
            let clash = unit.states.with_needs(&calling).iter().any(|need| !both.holds(*need));
            all.push(if clash || id == StateId::POWER { with(&[stand]) } else { both });
        }
    }
    let mut seen: Vec<Standing> = Vec::new();
    all.retain(|standing| {
        let new = !seen.contains(standing);
        seen.push(standing.clone());
        new
    });
    all
}

fn told(
    unit: &Unit,
    wired: &Wired,
    bench: &mut Bench,
    standing: &Standing,
    stood: &Stood,
    ends: &[Stood; 2],
    input: Input,
) -> Result<Told, Unsolved> {
    let dead = standing.holds(Stand::LOCKED_OUT);
    let mut parts = Vec::new();
    for (id, part) in unit.parts() {
        for at in 0..part.poles.len() {
            let reads = if dead { dead_part(bench, stood, id, at)? } else { live_part(wired, stood, id, at, input) };
            parts.push(Line { name: unit.pole_name(id, at), reads });
        }
    }
    let named = || {
        (1..unit.points.len())
            .map(|at| PointId(u16::try_from(at).unwrap_or(u16::MAX)))
            .filter(|point| !unit.point_name(*point).is_empty())
    };
    let live = named().filter(|point| stood.is_live(*point)).map(|point| unit.point_name(point).to_owned()).collect();
    let mut points = Vec::new();
    // Locked out, only what is still live is worth a probe.
    for point in named().filter(|point| !dead || stood.is_live(*point)) {
        let probe = Probe::Between(point, PointId::GROUND);
        let reads = currents(wired)
            .filter_map(|current| {
                let reading = stood.volts(current, probe, input.ohms, false);
                let zero = reading.phases.iter().all(|volts| volts.abs() < 0.05) && current == Current::Dc;
                (!zero).then(|| volts_told(&reading, current))
            })
            .collect();
        points.push(Line { name: unit.point_name(point).to_owned(), reads });
    }
    let readings = unit
        .readings
        .iter()
        .enumerate()
        .filter(|(_, reading)| !reading.hidden)
        .map(|(at, reading)| {
            let id = ReadingId(u16::try_from(at).unwrap_or(u16::MAX));
            Line { name: reading.name.clone(), reads: reading_told(reading, stood, ends, id) }
        })
        .collect();
    let chatters = stood.settled().chatters();
    Ok(Told { standings: Vec::new(), live, parts, points, readings, chatters })
}

/// The kinds of current the unit has.
fn currents(wired: &Wired) -> impl Iterator<Item = Current> + '_ {
    [Current::Ac, Current::Dc].into_iter().filter(|current| wired.net.has(*current))
}

fn live_part(wired: &Wired, stood: &Stood, part: PartId, pole: usize, input: Input) -> Vec<String> {
    let mut reads = Vec::new();
    let id = wired.pole(part, pole);
    let own = id.and_then(|id| match wired.net.pole_at(id).make {
        Make::Output { current, .. } => Some(current),
        _ => wired.net.pole_at(id).rated.map(|rated| rated.current),
    });
    for current in currents(wired).filter(|current| own.is_none_or(|own| own == *current)) {
        let reading = stood.volts(current, Probe::Across(part, pole), input.ohms, false);
        let amps = stood.amps(current, part, pole);
        let quiet = reading.phases.iter().chain(&amps).all(|value| value.abs() < 0.0005);
        if quiet && current == Current::Dc && own.is_none() {
            continue;
        }
        reads.push(volts_told(&reading, current));
        reads.push(phases(&amps, |amps| format!("{} A", plain(three_digits(clamped(amps))))));
    }
    reads
}

fn dead_part(bench: &mut Bench, stood: &Stood, part: PartId, pole: usize) -> Result<Vec<String>, Unsolved> {
    let farads = bench
        .wired
        .pole(part, pole)
        .is_some_and(|id| matches!(bench.wired.net.pole_at(id).make, Make::Capacitor { .. }));
    Ok(match stood.alone(bench, part, pole)? {
        Some(Value::Number(farad)) if farads => vec![format!("{} uF", plain(three_digits(farad * 1e6)))],
        Some(Value::Number(ohms)) => vec![ohms_told(ohms)],
        Some(Value::Ol) => vec!["OL".to_owned()],
        None => Vec::new(),
    })
}

fn ohms_told(ohms: f64) -> String {
    match ohms {
        mega if mega >= 1e6 => format!("{} Mohm", plain(three_digits(mega / 1e6))),
        small if small < 0.1 => "0 ohm".to_owned(),
        ohms => format!("{} ohm", plain(three_digits(ohms))),
    }
}

/// Under an amp, thousandths are all a clamp shows.
fn clamped(value: f64) -> f64 {
    let thousandths = (value * 1000.0).round() / 1000.0;
    if thousandths == 0.0 {
        0.0
    } else if value.abs() < 1.0 {
        thousandths
    } else {
        value
    }
}

fn volts_told(reading: &Volts, current: Current) -> String {
    let word = match current {
        Current::Ac => "V AC",
        Current::Dc => "V DC",
    };
    let told = phases(&reading.phases, |volts| {
        let volts = (volts * 10.0).round() / 10.0;
        format!("{} {word}", plain(if volts == 0.0 { 0.0 } else { volts }))
    });
    match reading.ghost {
        Some(ghost) => format!("{told} ({GHOST} up to {} V)", plain(three_digits(ghost))),
        None => told,
    }
}

/// The word for it beside a reading.
const GHOST: &str = "ghost";
/// What it is, once a sheet.
const GHOST_TOLD: &str = "Ghost: a probe is on a wire that hangs in the air just then, and picks up volts from the wires beside it. \
     Read it again with the low-impedance meter (`loaded`): what is left is real.";

fn phases(values: &[f64], word: impl Fn(f64) -> String) -> String {
    let mut told: Vec<String> = Vec::new();
    for value in values {
        let one = word(*value);
        if !told.contains(&one) {
            told.push(one);
        }
    }
    told.join(" / ")
}

fn reading_told(reading: &Reading, stood: &Stood, ends: &[Stood; 2], id: ReadingId) -> Vec<String> {
    match &reading.scale {
        Scale::Words(words) => stood
            .reading(id)
            .into_iter()
            .filter_map(|shown| match shown {
                Shown::Word(at) => words.get(at).cloned(),
                Shown::Number(_) => None,
            })
            .collect(),
        Scale::Numbers(unit) => {
            let mut numbers: Vec<f64> = Vec::new();
            let mut over = false;
            for shown in ends.iter().flat_map(|stood| stood.reading(id)) {
                match shown {
                    Shown::Number(Number::Value(value)) => {
                        numbers.push(three_digits(reading.said(value)));
                    }
                    Shown::Number(Number::OverLimit) => over = true,
                    Shown::Word(_) => {}
                }
            }
            let low = numbers.iter().copied().reduce(f64::min);
            let high = numbers.iter().copied().reduce(f64::max);
            let mut told: Vec<String> = match (low, high) {
                (Some(low), Some(high)) if low < high => vec![format!("{} to {} {unit}", plain(low), plain(high))],
                (Some(one), _) => vec![format!("{} {unit}", plain(one))],
                _ => Vec::new(),
            };
            if over {
                told.push("OL".to_owned());
            }
            told
        }
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
