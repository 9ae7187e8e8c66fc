//! The tech sheet of one unit: rating plate, ladder, what the meter should read at every named place in every standing, amps over the
//! supply range, sensor charts, usual faults.

use super::html::Html;
use crate::circuit::Unsolved;
use crate::circuit::unit::amps::{Amps, amps};
use crate::circuit::unit::tech_lines::{Line, gathered};
use crate::circuit::unit::tech_sheet::{FaultLine, Input, TechSheet, Told};
use crate::circuit::unit::wired::Wired;
use crate::sheet::shop::Shop;
use crate::sheet::unit::group::Group;
use crate::sheet::unit::model::{Given, Unit};
use crate::text::english::list;
use crate::trade::printing::{Degrees, three_digits};
use crate::trade::quantity::plain;
use crate::trade::sensors::chart::{Sensor, chart};
use crate::trade::sensors::platinum::Platinum;
use minijinja::Value;
use serde::Serialize;
use std::sync::Arc;

/// A tech sheet as the template lays it out.
#[derive(Debug, Serialize)]
pub struct UnitPage<'a> {
    unit: String,
    title: String,
    shop: &'a str,
    local_codes: &'a str,
    nameplate: Vec<(String, String)>,
    ladder: Value,
    standings: Vec<Standing>,
    /// Standings looked up now and then, folded away.
    more: Vec<Standing>,
    /// What "ghost" means, where it is on the sheet.
    notes: Vec<&'static str>,
    amps: Option<Amps>,
    charts: Vec<ChartView>,
    faults: Vec<(String, String)>,
    struck: Vec<(String, String)>,
    books: &'a [Book],
}

/// A playbook for the unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Book {
    /// Where its page is, from this one.
    pub href: String,
    /// Its title.
    pub title: String,
}

/// One standing and what reads in it.
#[derive(Debug, Serialize)]
struct Standing {
    id: String,
    title: String,
    /// What changes nothing of it: "covers off and heat on".
    same: String,
    live: String,
    /// Locked out, and some points are live all the same.
    bites: bool,
    chatters: bool,
    groups: Vec<Sort>,
}

/// Readings of one sort.
#[derive(Debug, Serialize)]
struct Sort {
    title: &'static str,
    lines: Vec<(String, String)>,
    /// Places that read 0, and of what.
    zero: String,
    none: &'static str,
    /// Places that hang in the air, and what a meter may show there.
    air: Option<(String, String)>,
}

/// What a sensor reads at every few degrees.
#[derive(Debug, Serialize)]
struct ChartView {
    sensor: String,
    kind: String,
    lines: Vec<(String, String)>,
}

/// Calling and locked out are what one measures; the others are folded away. A number of ours.
const OPEN: usize = 2;

/// Lays out the sheet of a unit. `books`: the playbooks that are for it.
///
/// # Errors
/// [`Unsolved`] where the circuit comes to no steady state.
pub fn unit_page<'a>(wired: &Arc<Wired>, shop: &'a Shop, books: &'a [Book]) -> Result<UnitPage<'a>, Unsolved> {
    let sheet = TechSheet::of(wired, &[], Input { ohms: shop.meter.input })?;
    let mut ladder = Html::default();
    if !wired.unit.rungs.is_empty() {
        ladder.ladder(&wired.unit);
    }
    let mut standings: Vec<Standing> = sheet.standings.iter().zip(1..).map(|(told, nth)| standing(told, nth)).collect();
    Ok(UnitPage {
        unit: sheet.unit,
        title: sheet.title,
        shop: &shop.name,
        local_codes: &shop.local_codes,
        nameplate: sheet.nameplate,
        ladder: Value::from_safe_string(ladder.into_string()),
        more: standings.split_off(standings.len().min(OPEN)),
        standings,
        notes: sheet.notes,
        amps: amps(wired)?,
        charts: charts(&wired.unit, shop),
        faults: sheet.faults.iter().map(|fault| (fault.name.clone(), often(fault))).collect(),
        struck: sheet.struck,
        books,
    })
}

fn standing(told: &Told, nth: usize) -> Standing {
    let (first, others) = told.standings.split_first().map_or(("", &[][..]), |(first, rest)| (first.as_str(), rest));
    let held: Vec<&str> = first.split(", ").collect();
    let mut same: Vec<&str> = Vec::new();
    for other in others.iter().flat_map(|other| other.split(", ")) {
        if !held.contains(&other) && !same.contains(&other) {
            same.push(other);
        }
    }
    let dead = first.starts_with("locked out");
    let parts = if dead { "By itself, one wire off" } else { "Across and through" };
    let points = if dead { "To ground, all in place" } else { TO_GROUND };
    let groups = [(parts, &told.parts), (points, &told.points), ("Gauges and looks", &told.readings)];
    Standing {
        id: format!("standing-{nth}"),
        title: capital(first),
        same: list(&same, "or"),
        live: told.live.join(", "),
        bites: dead && !told.live.is_empty(),
        chatters: told.chatters,
        groups: groups.into_iter().filter_map(|(title, lines)| group(title, lines)).collect(),
    }
}

const TO_GROUND: &str = "To ground";

fn group(title: &'static str, lines: &[Line]) -> Option<Sort> {
    let all = gathered(lines);
    let names = |names: &[String]| names.join(", ");
    let sort = Sort {
        title,
        lines: all.lines.iter().map(|(of, reads)| (names(of), kept_together(reads))).collect(),
        zero: names(&all.zero),
        none: if title == TO_GROUND { "0\u{a0}V" } else { "0\u{a0}V, 0\u{a0}A" },
        air: all.air.map(|(of, ghost)| (names(&of), kept_together(&ghost))),
    };
    (!sort.lines.is_empty() || !sort.zero.is_empty() || sort.air.is_some()).then_some(sort)
}

/// Numbers and their units do not part at the end of a line.
fn kept_together(reads: &str) -> String {
    ["V AC", "V DC", "V", "A", "ohm", "kohm", "Mohm", "uF", "°F", "°C", "psi", "inWC", "gpm"]
        .iter()
        .fold(reads.to_owned(), |told, unit| {
            told.replace(&format!(" {unit}"), &format!(" {unit}").replace(' ', "\u{a0}"))
        })
}

fn often(fault: &FaultLine) -> String {
    let mut words = match fault.seen {
        Some(seen) => format!("seen {}", plain(seen)),
        None => "usual".to_owned(),
    };
    if let Some(goes) = fault.comes_and_goes {
        words.push_str(&format!("; comes and goes: {goes}"));
    }
    words
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A chart for each platinum probe: in ice, then up to what a cooking machine reaches; the range and the step are ours.
fn charts(unit: &Unit, shop: &Shop) -> Vec<ChartView> {
    let celsius = shop.temperature.symbol() == "°C";
    let (degrees, ice, low, high, step) = if celsius {
        (Degrees::Celsius, 0.0, 10.0, 200.0, 10.0)
    } else {
        (Degrees::Fahrenheit, 32.0, 40.0, 400.0, 20.0)
    };
    let sensors = unit.parts().filter(|(_, part)| part.group == Group::Sensors);
    sensors
        .filter_map(|(_, part)| {
            let Some(Given::Word(kind)) = part.given.get("kind") else { return None };
            let probe = Sensor::Platinum(Platinum::named(kind)?);
            let mut lines = chart(probe, ice, ice, step, degrees).ok()?;
            lines.extend(chart(probe, low, high, step, degrees).ok()?);
            let told = lines.iter().map(|line| {
                let at = if celsius { line.celsius } else { line.fahrenheit };
                (
                    format!("{} {}", plain(three_digits(at)), shop.temperature),
                    format!("{} ohm", plain(line.reading.round())),
                )
            });
            Some(ChartView { sensor: part.name.clone(), kind: kind.clone(), lines: told.collect() })
        })
        .collect()
}
