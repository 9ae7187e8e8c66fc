//! The scale of a test: a number line with ticks at its limits, the good stretch solid, words on it.
//!
//! 1. Stretches of all lines, lowest first; every stretch takes the same room, so that a narrow good band can still be hit.
//! 2. A tick between two of them carries the limit. Without a unit sheet `normal` has no number, and its ticks carry none.
//! 3. `OL` stands behind a break of the line: it lies above all numbers.
//! 4. Up to four stretches lie side by side; more stand one above the other, the highest on top, as on an upright gauge.

use super::lines::{Exit, Lines};
use super::words::stretch as band;
use crate::language::syntax::{OutcomeKind, Side};
use crate::playbook::model::{Scale as Picks, Takes, Test};
use crate::trade::quantity::plain;
use crate::trade::unit::Unit;
use serde::Serialize;

/// Most stretches that lie side by side on a phone.
const MOST_LYING: usize = 4;

/// A scale as the template draws it.
#[derive(Debug, Clone, Serialize)]
pub struct ScaleView {
    /// `lying`, `standing` or `answers`.
    pub drawn: &'static str,
    /// Lowest first where it lies, highest first where it stands; answers in order of lines.
    pub stretches: Vec<StretchView>,
    /// The unit the ticks are in; empty for answers.
    pub unit: String,
    /// Whether the technician says where the reading falls.
    pub judged: bool,
    /// Lines that hold for every member of a bank, looked at first.
    pub every: Vec<Exit>,
}

/// One stretch of a scale.
#[derive(Debug, Clone, Serialize)]
pub struct StretchView {
    /// Whether a good reading falls on it.
    pub good: bool,
    /// Whether it is `OL`, which stands behind a break of the line.
    pub over_limit: bool,
    /// What is on it.
    pub words: String,
    /// The limit at its lower end; empty at the bottom and where there is no number.
    pub tick: String,
    /// Where it leads.
    pub exit: Exit,
}

/// Where a stretch lies against the others.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
enum Rank {
    Number(f64),
    Judged(Side),
    NumberAbove(f64),
    OverLimit,
}

/// A stretch on its way to its place.
struct Ranked {
    rank: Rank,
    low: Option<f64>,
    high: Option<f64>,
    view: StretchView,
}

/// The scale of a test.
#[must_use]
pub fn scale(lines: &Lines<'_>, test: &Test) -> ScaleView {
    let exits = lines.exits(test);
    let pairs = || test.branches.iter().zip(&exits);
    let every = pairs().filter(|(b, _)| b.kind == OutcomeKind::All).map(|(_, exit)| exit.clone()).collect();
    let (unit, judged) = match test.scale {
        Picks::Answers => {
            let stretches = pairs()
                .filter(|(branch, _)| branch.kind != OutcomeKind::All)
                .map(|(branch, exit)| stretch(branch.kind, exit.words.clone(), exit))
                .collect();
            return ScaleView { drawn: "answers", stretches, unit: String::new(), judged: false, every };
        }
        Picks::Numbers(unit) => (unit, false),
        Picks::Judged(unit) => (unit, true),
    };
    let mut ranked: Vec<Ranked> = Vec::new();
    for (branch, exit) in pairs().filter(|(branch, _)| branch.kind != OutcomeKind::All) {
        match &branch.takes {
            Takes::Answer => {}
            Takes::Judged(side) => ranked.push(Ranked {
                rank: Rank::Judged(*side),
                low: None,
                high: None,
                view: stretch(branch.kind, branch.words.clone(), exit),
            }),
            Takes::Numbers { stretches, over_limit } => {
                for taken in stretches {
                    let (low, high) = (taken.low.at, taken.high.at);
                    // Beside stretches without numbers: what is open upwards lies above them, all else below.
                    let above = judged && high == f64::INFINITY;
                    ranked.push(Ranked {
                        rank: if above { Rank::NumberAbove(low) } else { Rank::Number(low) },
                        low: Some(low).filter(|low| low.is_finite() && !is_bottom(*low, unit)),
                        high: Some(high).filter(|high| high.is_finite()),
                        view: stretch(branch.kind, numbers(&branch.words, band(*taken, unit)), exit),
                    });
                }
                if *over_limit {
                    let mut view = stretch(branch.kind, "OL".to_owned(), exit);
                    view.over_limit = true;
                    ranked.push(Ranked { rank: Rank::OverLimit, low: None, high: None, view });
                }
            }
        }
    }
    ranked.sort_by(|a, b| a.rank.partial_cmp(&b.rank).unwrap_or(std::cmp::Ordering::Equal));
    let mut stretches = ticked(ranked);
    let standing = stretches.len() > MOST_LYING;
    if standing {
        stretches.reverse();
    }
    let drawn = if standing { "standing" } else { "lying" };
    ScaleView { drawn, stretches, unit: unit.to_string(), judged, every }
}

fn stretch(kind: OutcomeKind, words: String, exit: &Exit) -> StretchView {
    StretchView { good: kind == OutcomeKind::Good, over_limit: false, words, tick: String::new(), exit: exit.clone() }
}

/// The bottom of a unit that cannot go below zero has no tick: there is nothing on its other side.
fn is_bottom(low: f64, unit: Unit) -> bool {
    low == 0.0 && !unit.is_signed()
}

/// `normal` with its numbers, where a sheet gave them; else the numbers alone.
fn numbers(words: &str, band: String) -> String {
    if words.contains("normal") { format!("{words}: {band}") } else { band }
}

/// Puts the limit between two stretches on the upper one: its own lower end, else the upper end of the one below.
fn ticked(ranked: Vec<Ranked>) -> Vec<StretchView> {
    let mut below = None;
    let mut stretches = Vec::with_capacity(ranked.len());
    for Ranked { low, high, mut view, .. } in ranked {
        if !view.over_limit {
            view.tick = low.or(below).map(plain).unwrap_or_default();
        }
        below = high;
        stretches.push(view);
    }
    stretches
}
