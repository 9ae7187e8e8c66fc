//! What is read on a unit in every standing, place by place.
//!
//! 1. Standings, the most useful first: calling, locked out, at home, and each other value of a state with what it needs; covers off,
//!    as a meter gets in, then all of them with the covers on.
//! 2. Live, each part has its volts and amps and each point its volts to ground; dead, each part its ohms by itself and each point its
//!    ohms to ground. Readings outside the circuit stand beside them.

use super::bench::{Bench, Corner};
use super::outside::Shown;
use super::stood::{Probe, Stood};
use super::tech_lines::{Line, Says, steps};
use super::tech_sheet::{Input, Told};
use super::wired::Wired;
use crate::circuit::{Current, Make, Reading as Volts, Unsolved, Value};
use crate::sheet::standing::Standing;
use crate::sheet::states::{Stand, StateId, ValueId};
use crate::sheet::unit::model::{FaultId, PartId, PointId, Reading, ReadingId, Scale, Unit};
use crate::trade::printing::three_digits;
use crate::trade::quantity::plain;
use crate::trade::reading::Reading as Number;
use std::sync::Arc;

/// A standing and what is read in it.
pub(super) struct Read {
    /// "live, covers off, heat on".
    pub name: String,
    /// What is read.
    pub told: Told,
    /// With the covers on: where the same with the covers off stands.
    pub twin: Option<usize>,
}

/// Every standing of a unit with what is read in it.
///
/// # Errors
/// [`Unsolved`] where the circuit comes to no steady state.
pub(super) fn read(wired: &Arc<Wired>, faults: &[FaultId], input: Input) -> Result<Vec<Read>, Unsolved> {
    let unit = &wired.unit;
    let bench = |free: f64, faults: f64| Bench::new(wired, Corner { free, faults, ..Corner::nominal() });
    let mut benches = [bench(0.5, 0.5), bench(0.0, 0.0), bench(1.0, 1.0)];
    let mut all = Vec::new();
    for (standing, twin) in standings_of(unit) {
        let name = unit.states.told_standing(&standing);
        let [middle, low, high] = &mut benches;
        let ends = [low.stand(&standing, faults)?, high.stand(&standing, faults)?];
        let stood = middle.stand(&standing, faults)?;
        let told = told(unit, wired, middle, &standing, &stood, &ends, input)?;
        all.push(Read { name, told, twin });
    }
    Ok(all)
}

/// Calling, locked out, home, and every other value with what it needs, covers off; then all of them with the covers on, each with the
/// place of its twin.
fn standings_of(unit: &Unit) -> Vec<(Standing, Option<usize>)> {
    let home = Standing::home(&unit.states);
    let with = |stands: &[Stand]| {
        let mut standing = home.clone();
        for stand in unit.states.with_needs(stands) {
            standing.set(stand);
        }
        standing
    };
    let mut all = vec![with(&unit.calling), with(&[Stand::LOCKED_OUT]), home.clone()];
    for (id, state) in unit.states.iter().filter(|(id, _)| *id != StateId::COVERS && *id != StateId::POWER) {
        for at in 1..state.values.len() {
            let value = ValueId(u16::try_from(at).unwrap_or(u16::MAX));
            let stand = Stand { state: id, value };
            // What changes a circuit is looked at while the unit calls, if the two go together.
            let mut calling = unit.calling.clone();
            calling.retain(|other| other.state != id);
            calling.push(stand);
            let both = with(&calling);
            let clash = unit.states.with_needs(&calling).iter().any(|need| !both.holds(*need));
            all.push(if clash { with(&[stand]) } else { both });
        }
    }
    let mut seen: Vec<(Standing, Option<usize>)> = Vec::new();
    for standing in all.iter().map(|standing| covers_off(unit, standing)) {
        if !seen.iter().any(|(other, _)| *other == standing) {
            seen.push((standing, None));
        }
    }
    for standing in all {
        if !seen.iter().any(|(other, _)| *other == standing) {
            let off = covers_off(unit, &standing);
            let twin = seen.iter().position(|(other, _)| *other == off);
            seen.push((standing, twin));
        }
    }
    seen
}

/// The same with the covers off, where it does not want them on.
fn covers_off(unit: &Unit, standing: &Standing) -> Standing {
    let mut off = standing.clone();
    off.set(COVERS_OFF);
    let needed = standing.iter().filter(|stand| !stand.is_home() && stand.state != StateId::COVERS);
    let needs = unit.states.with_needs(&needed.collect::<Vec<_>>());
    if needs.contains(&Stand::COVERS_ON) { standing.clone() } else { off }
}

/// The first value of `covers` that is not home: off.
const COVERS_OFF: Stand = Stand { state: StateId::COVERS, value: ValueId(1) };

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
            let line = if dead { dead_part(bench, stood, id, at)? } else { live_part(wired, stood, id, at, input) };
            parts.push(Line { name: unit.pole_name(id, at), ..line });
        }
    }
    let named = || {
        (1..unit.points.len())
            .map(|at| PointId(u16::try_from(at).unwrap_or(u16::MAX)))
            .filter(|point| !unit.point_name(*point).is_empty())
    };
    let live = named().filter(|point| stood.is_live(*point)).map(|point| unit.point_name(point).to_owned()).collect();
    let mut points = Vec::new();
    for point in named() {
        let ohms = dead && !stood.is_live(point);
        let line = if ohms { dead_point(bench, stood, point)? } else { live_point(wired, stood, point, input) };
        points.push(Line { name: unit.point_name(point).to_owned(), ..line });
    }
    let readings = unit
        .readings
        .iter()
        .enumerate()
        .filter(|(_, reading)| !reading.hidden)
        .map(|(at, reading)| {
            let id = ReadingId(u16::try_from(at).unwrap_or(u16::MAX));
            Line::told(&reading.name, reading_told(reading, stood, ends, id))
        })
        .collect();
    let chatters = stood.settled().chatters();
    Ok(Told { standings: Vec::new(), live, parts, points, readings, chatters })
}

/// The kinds of current the unit has.
fn currents(wired: &Wired) -> impl Iterator<Item = Current> + '_ {
    [Current::Ac, Current::Dc].into_iter().filter(|current| wired.net.has(*current))
}

/// Volts across and amps through a pole.
fn live_part(wired: &Wired, stood: &Stood, part: PartId, pole: usize, input: Input) -> Line {
    let mut reads = Reads::default();
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
        reads.volts(&reading, current);
        reads.amps(&amps);
    }
    reads.line()
}

/// Volts from a point to ground.
fn live_point(wired: &Wired, stood: &Stood, point: PointId, input: Input) -> Line {
    let mut reads = Reads::default();
    for current in currents(wired) {
        let reading = stood.volts(current, Probe::Between(point, PointId::GROUND), input.ohms, false);
        let zero = reading.phases.iter().all(|volts| volts.abs() < 0.05) && current == Current::Dc;
        if !zero {
            reads.volts(&reading, current);
        }
    }
    reads.line()
}

/// What is read at one place, on its way to a line.
#[derive(Default)]
struct Reads {
    all: Vec<String>,
    telling: Vec<String>,
    numbers: Vec<Vec<f64>>,
    ghost: Option<f64>,
}

impl Reads {
    fn volts(&mut self, reading: &Volts, current: Current) {
        let told = volts_told(reading, current);
        let zero = reading.phases.iter().all(|volts| volts.abs() < 0.05);
        if !zero {
            self.telling.push(told.clone());
        }
        if let Some(ghost) = reading.ghost {
            self.ghost = Some(self.ghost.unwrap_or(0.0).max(ghost));
        }
        self.all.push(told);
        self.numbers.push(reading.phases.iter().map(|volts| volts.abs() / steps::VOLTS).collect());
    }

    fn amps(&mut self, amps: &[f64]) {
        let told = phases(amps, |amps| format!("{} A", plain(three_digits(clamped(amps)))));
        if amps.iter().any(|amps| clamped(*amps) != 0.0) {
            self.telling.push(told.clone());
        }
        self.all.push(told);
        self.numbers.push(amps.iter().map(|amps| amps.abs() / steps::AMPS).collect());
    }

    fn line(self) -> Line {
        let says = match (self.telling.is_empty(), self.ghost) {
            (false, _) => Says::Told(self.telling),
            (true, Some(ghost)) => Says::Air(ghost),
            (true, None) if self.all.is_empty() => Says::Nothing,
            (true, None) => Says::Zero,
        };
        Line { name: String::new(), reads: self.all, says, numbers: self.numbers }
    }
}

/// Ohms of a pole by itself; of a capacitor, its size.
fn dead_part(bench: &mut Bench, stood: &Stood, part: PartId, pole: usize) -> Result<Line, Unsolved> {
    let farads = bench
        .wired
        .pole(part, pole)
        .is_some_and(|id| matches!(bench.wired.net.pole_at(id).make, Make::Capacitor { .. }));
    Ok(match stood.alone(bench, part, pole)? {
        Some(Value::Number(farad)) if farads => {
            Line::told("", vec![format!("{} uF", plain(three_digits(farad * 1e6)))])
        }
        Some(value) => ohms_line(value),
        None => Line::told("", Vec::new()),
    })
}

/// Ohms from a point to ground, everything in place.
fn dead_point(bench: &mut Bench, stood: &Stood, point: PointId) -> Result<Line, Unsolved> {
    Ok(ohms_line(stood.ohms(bench, Probe::Between(point, PointId::GROUND))?))
}

fn ohms_line(value: Value) -> Line {
    let (told, number) = match value {
        Value::Number(ohms) => (ohms_told(ohms), ohms),
        Value::Ol => ("OL".to_owned(), f64::INFINITY),
    };
    Line { numbers: vec![vec![number / steps::OHMS]], ..Line::told("", vec![told]) }
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
pub(super) const GHOST: &str = "ghost";
/// What it is, once a sheet.
pub(super) const GHOST_TOLD: &str = "Ghost: a probe is on a wire that hangs in the air just then, and picks up volts from the wires beside it. \
     Read it again with the low-impedance meter: what is left is real.";

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
