//! The scale of a test: a number line with ticks at its limits, the good stretch solid, words on it.
//!
//! 1. Stretches of all lines, lowest first; every stretch takes the same room, so that a narrow good band can still be hit.
//! 2. A tick between two of them carries the limit. Without a unit sheet `normal` has no number, and its ticks carry none.
//! 3. `OL` stands behind a break of the line: it lies above all numbers.
//! 4. Up to four stretches lie side by side; more stand one above the other, the highest on top, as on an upright gauge.

use super::html::Html;
use super::lines::{Exit, Lines, Part};
use super::words::{normal_in_numbers, stretch as band};
use crate::language::syntax::{OutcomeKind, Side};
use crate::playbook::model::{Scale as Picks, Takes, TestId};
use crate::playbook::told;
use crate::trade::unit::Unit;
use std::borrow::Cow;

/// Most stretches that lie side by side on a phone.
const MOST_LYING: usize = 4;

/// How a scale is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drawn {
    /// A number line, lowest left.
    Lying,
    /// A number line, highest on top.
    Standing,
    /// The answers of a question.
    Answers,
}

/// A scale as it is drawn.
#[derive(Debug)]
pub struct ScaleView<'a> {
    /// How it is drawn.
    pub drawn: Drawn,
    /// Lowest first where it lies, highest first where it stands; answers in order of lines.
    pub stretches: Vec<StretchView<'a>>,
    /// Lines that hold for every member of a bank, looked at first.
    pub every: Vec<Exit<'a>>,
}

/// One stretch of a scale.
#[derive(Debug)]
pub struct StretchView<'a> {
    /// Whether a good reading falls on it.
    pub good: bool,
    /// Whether it is `OL`, which stands behind a break of the line.
    pub over_limit: bool,
    /// What is on it.
    pub words: Cow<'a, str>,
    /// The limit at its lower end; empty at the bottom and where there is no number.
    pub tick: String,
    /// Where it leads.
    pub exit: Exit<'a>,
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
struct Ranked<'a> {
    rank: Rank,
    low: Option<f64>,
    high: Option<f64>,
    view: StretchView<'a>,
}

/// The scale of a test.
#[must_use]
pub fn scale<'a>(lines: &'a Lines<'a>, id: TestId) -> ScaleView<'a> {
    let (test, exits) = (lines.playbook.test(id), lines.exits(id));
    let pairs = || test.branches.iter().zip(&exits);
    let every = pairs().filter(|(b, _)| b.kind == OutcomeKind::All).map(|(_, exit)| exit.clone()).collect();
    let (unit, judged) = match test.scale {
        Picks::Answers => {
            let stretches = pairs()
                .filter(|(branch, _)| branch.kind != OutcomeKind::All)
                .map(|(branch, exit)| stretch(branch.kind, exit.words.clone(), exit))
                .collect();
            return ScaleView { drawn: Drawn::Answers, stretches, every };
        }
        Picks::Numbers(unit) => (unit, false),
        Picks::Judged(unit) => (unit, true),
    };
    let mut ranked: Vec<Ranked<'_>> = Vec::new();
    for (branch, exit) in pairs().filter(|(branch, _)| branch.kind != OutcomeKind::All) {
        match &branch.takes {
            Takes::Answer => {}
            Takes::Judged(side) => ranked.push(Ranked {
                rank: Rank::Judged(*side),
                low: None,
                high: None,
                view: stretch(branch.kind, Cow::Borrowed(branch.words.as_str()), exit),
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
                        view: stretch(
                            branch.kind,
                            Cow::Owned(normal_in_numbers(&branch.words, band(*taken, unit))),
                            exit,
                        ),
                    });
                }
                if *over_limit {
                    let mut view = stretch(branch.kind, Cow::Borrowed("OL"), exit);
                    view.over_limit = true;
                    ranked.push(Ranked { rank: Rank::OverLimit, low: None, high: None, view });
                }
            }
        }
    }
    ranked.sort_by(|a, b| a.rank.partial_cmp(&b.rank).unwrap_or(std::cmp::Ordering::Equal));
    let mut stretches = ticked(ranked, unit);
    let standing = stretches.len() > MOST_LYING;
    if standing {
        stretches.reverse();
    }
    let drawn = if standing { Drawn::Standing } else { Drawn::Lying };
    ScaleView { drawn, stretches, every }
}

fn stretch<'a>(kind: OutcomeKind, words: Cow<'a, str>, exit: &Exit<'a>) -> StretchView<'a> {
    StretchView { good: kind == OutcomeKind::Good, over_limit: false, words, tick: String::new(), exit: exit.clone() }
}

/// The bottom of a unit that cannot go below zero has no tick: there is nothing on its other side.
fn is_bottom(low: f64, unit: Unit) -> bool {
    low == 0.0 && !unit.is_signed()
}

/// Puts the limit between two stretches on the upper one: its own lower end, else the upper end of the one below.
fn ticked(ranked: Vec<Ranked<'_>>, unit: Unit) -> Vec<StretchView<'_>> {
    let mut below = None;
    let mut stretches = Vec::with_capacity(ranked.len());
    for Ranked { low, high, mut view, .. } in ranked {
        if !view.over_limit {
            view.tick = low.or(below).map(|at| told::limit(at, unit)).unwrap_or_default();
        }
        below = high;
        stretches.push(view);
    }
    stretches
}

impl Html {
    /// Draws a scale; each stretch is a link to where it leads.
    pub fn scale(&mut self, scale: &ScaleView<'_>) -> &mut Self {
        if !scale.every.is_empty() {
            self.raw("<ul class=\"answers every\">\n");
            for exit in &scale.every {
                self.raw("<li>").stretch(&exit.words, false, exit);
            }
            self.raw("</ul>\n");
        }
        let (open, close) = match scale.drawn {
            Drawn::Lying => ("<ol class=\"lying\">\n", "</ol>\n"),
            Drawn::Standing => ("<ol class=\"standing\">\n", "</ol>\n"),
            Drawn::Answers => ("<ul class=\"answers\">\n", "</ul>\n"),
        };
        self.raw(open);
        for stretch in &scale.stretches {
            self.raw(match (stretch.good, stretch.over_limit) {
                (true, true) => "<li class=\"good ol\">",
                (true, false) => "<li class=\"good\">",
                (false, true) => "<li class=\"ol\">",
                (false, false) => "<li>",
            });
            if !stretch.tick.is_empty() {
                self.raw("<i class=\"tick\" aria-hidden=\"true\">").text(&stretch.tick).raw("</i>");
            }
            self.stretch(&stretch.words, stretch.good, &stretch.exit);
        }
        self.raw(close)
    }

    fn stretch(&mut self, words: &str, good: bool, exit: &Exit<'_>) -> &mut Self {
        self.open_link(&exit.go, Part::Card).raw("<b>").text(words).raw("</b>");
        if good {
            self.raw(" <em>good</em>");
        }
        self.raw(" <span>").line_words(&exit.go).raw(" <i>").title(&exit.go).raw("</i></span></a></li>\n")
    }
}
