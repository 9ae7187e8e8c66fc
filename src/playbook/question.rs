//! What a test asks or measures: its `ask`, its measures, its `calculate`.

use super::limits::Judged;
use super::model::{Measure, Question, Slot, SlotId, TestId};
use super::sums;
use super::takings;
use crate::language::fill_in;
use crate::language::syntax::{self, Block, LimitKind, OverKind, Playbook, Probes, Says, Sum, When, WrittenUnit};
use crate::sheet::unit::model::Unit as Sheet;
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Span;
use crate::trade::dimension::Dimension;
use crate::trade::quantity::to_base;
use crate::trade::unit::Unit;

/// A test with nothing to find out.
pub static NO_QUESTION: Rule = Rule {
    code: "no-question",
    level: Level::Error,
    says: "A test asks one question or takes one reading.",
    why: "Without either, no line below it can be chosen.",
    wrong: "test fuse-look: Look at the fuses\n  do    Look at all three fuses.",
    mended: "test fuse-look: Look at the fuses\n  ask   Is a fuse blown?",
};

/// Several measures and nothing that says what to judge.
pub static SEVERAL_MEASURES: Rule = Rule {
    code: "several-measures",
    level: Level::Error,
    says: "A test with several measures has one `calculate` that says what is judged.",
    why: "With three readings and one line of limits, each reader would judge another one.",
    wrong: "measure  A through L1, call it i1\nmeasure  A through L2, call it i2\ngood     above 5 A  go to flow",
    mended: "measure    A through L1, call it i1\nmeasure    A through L2, call it i2\ncalculate  lowest(i1, i2)\ngood       above 5 A  go to flow",
};

/// An `ask` and a `calculate` in one test.
pub static ASK_AND_CALCULATE: Rule = Rule {
    code: "ask-and-calculate",
    level: Level::Error,
    says: "A test has an `ask` or a `calculate`, not both.",
    why: "Its outcome lines hold answers or limits, and could not say which.",
    wrong: "ask        Does it hum?\ncalculate  lowest(i1, i2)",
    mended: "ask        Does it hum?",
};

/// Volts without AC or DC.
pub static AC_OR_DC: Rule = Rule {
    code: "ac-or-dc",
    level: Level::Error,
    says: "A measure of volts says AC or DC.",
    why: "On the wrong function a live 24 V DC line reads near zero, and looks dead.",
    wrong: "measure  V across k1.coil",
    mended: "measure  V AC across k1.coil",
};

/// A sum whose unit nothing says.
pub static SUM_UNIT: Rule = Rule {
    code: "sum-unit",
    level: Level::Error,
    says: "The answer of a `calculate` has a unit: from its limits, its readings, or `in UNIT`.",
    why: "A number without a unit can't be judged.",
    wrong: "calculate  supply / load\ngood       normal  go to flow",
    mended: "calculate  supply / load in ohm\ngood       normal  go to flow",
};

/// Two readings of one name in one test.
pub static READING_TWICE: Rule = Rule {
    code: "reading-twice",
    level: Level::Error,
    says: "A name stands for one reading of one test.",
    why: "A sum could not say which of the two it means.",
    wrong: "measure  A through L1, call it i1\nmeasure  A through L2, call it i1",
    mended: "measure  A through L1, call it i1\nmeasure  A through L2, call it i2",
};

/// The rules of this file.
pub static RULES: [&Rule; 6] =
    [&NO_QUESTION, &SEVERAL_MEASURES, &ASK_AND_CALCULATE, &AC_OR_DC, &SUM_UNIT, &READING_TWICE];

/// The readings a test takes, in order of lines, added to the table of all.
pub(super) fn measures(
    tree: &Playbook,
    block: &Block,
    test: TestId,
    slots: &mut Vec<Slot>,
    sheet: Option<&Sheet>,
    problems: &mut Vec<Problem>,
) -> Vec<Measure> {
    let mut measures = Vec::new();
    for line in &block.lines {
        let Says::Measure(measure) = &line.says else { continue };
        if measure.unit.unit.dimension() == Dimension::VOLTS && measure.unit.unit.current().is_none() {
            let unit = measure.unit.unit;
            let message =
                format!("`{unit}` of AC or of DC? Look on the drawing: on the wrong one a live part reads near zero.");
            problems.push(Problem::new(&AC_OR_DC, tree.place(measure.unit.span), message));
        }
        if let Some(name) = &measure.name
            && slots.iter().any(|slot| slot.name.as_deref() == Some(name.as_str()))
        {
            let message = format!("Two readings are called `{}`.", name.as_str());
            problems.push(Problem::new(&READING_TWICE, tree.place(name.span), message));
        }
        let slot = SlotId(u16::try_from(slots.len()).unwrap_or(u16::MAX));
        slots.push(Slot {
            name: measure.name.as_ref().map(|name| name.as_str().to_owned()),
            unit: measure.unit.unit,
            difference: is_difference(measure, sheet),
            test,
        });
        measures.push(Measure {
            unit: measure.unit.unit,
            probes: measure.at.clone(),
            at: tree.source.slice(measure.at_span).split_whitespace().collect::<Vec<_>>().join(" "),
            over: measure.over.as_ref().map(|over| {
                let time = tree.source.slice(over.time.span).to_owned();
                (over.kind, seconds(&over.time), time)
            }),
            loaded: measure.loaded,
            pulled: false,
            slot,
            span: line.span,
        });
    }
    measures
}

/// Whether a measure gives a difference of temperatures: a change over time, or what the sheet says is one.
fn is_difference(measure: &syntax::Measure, sheet: Option<&Sheet>) -> bool {
    let changes = measure.over.as_ref().is_some_and(|over| over.kind == OverKind::Change);
    let of_sheet = || {
        let (Probes::At(name), Some(sheet)) = (&measure.at, sheet) else { return false };
        // `zone.split`, in a test for each zone: all are alike, the first will do.
        let of_bank = name.as_str().split_once('.').and_then(|(bank, rest)| {
            let first = sheet.bank(bank)?.1.members.first()?;
            Some(format!("{bank}-{first}.{rest}"))
        });
        let name = of_bank.as_deref().unwrap_or(name.as_str());
        sheet.reading(name).is_some_and(|(_, reading)| reading.difference)
    };
    measure.unit.unit.dimension() == Dimension::TEMPERATURE && (changes || of_sheet())
}

/// A written time in seconds.
pub(super) fn seconds(amount: &syntax::Amount) -> f64 {
    amount.unit.map_or(amount.value, |written| to_base(amount.value, written.unit, false))
}

/// What the test asks, and the reading its limits judge (none for an `ask`). Needs every slot of the playbook.
pub(super) fn question(
    tree: &Playbook,
    block: &Block,
    measures: Vec<Measure>,
    slots: &[Slot],
    problems: &mut Vec<Problem>,
) -> Option<(Question, Option<Judged>)> {
    let ask = block.lines.iter().find_map(|line| match &line.says {
        Says::Ask(text) => Some(text),
        _ => None,
    });
    let calculate = block.lines.iter().find_map(|line| match &line.says {
        Says::Calculate { sum, unit } => Some((sum, *unit, line.span)),
        _ => None,
    });
    let answers = block.lines.iter().find_map(|line| match &line.says {
        Says::Answers(name) => Some(name.as_str().to_owned()),
        _ => None,
    });
    if let Some(text) = ask {
        if let Some((_, _, span)) = calculate {
            let message =
                "This test has an `ask`, so its lines below hold answers; a `calculate` would be judged by nobody.";
            problems.push(Problem::new(&ASK_AND_CALCULATE, tree.place(span), message));
        }
        return Some((Question::Ask { text: text.as_str().to_owned(), answers, measures }, None));
    }
    if let Some((sum, unit, span)) = calculate {
        return summed(tree, block, (sum, unit, span), measures, slots, problems);
    }
    match <[Measure; 1]>::try_from(measures) {
        Ok([measure]) => {
            let over_limit = measure.unit.shows_over_limit();
            let difference = slots.get(usize::from(measure.slot.0)).is_some_and(|slot| slot.difference);
            let judged = Judged { unit: measure.unit, difference, sum: false, over_limit };
            Some((Question::Measure(measure), Some(judged)))
        }
        Err(measures) if measures.is_empty() => {
            let message = format!("The test `{}` neither asks nor measures anything.", block.name.as_str());
            problems.push(Problem::new(&NO_QUESTION, tree.place(block.span), message));
            None
        }
        Err(measures) => {
            problems.push(several(tree, block, &measures, slots));
            None
        }
    }
}

fn several(tree: &Playbook, block: &Block, measures: &[Measure], slots: &[Slot]) -> Problem {
    let mut names = Vec::new();
    let mut lines = Vec::new();
    for (at, measure) in measures.iter().enumerate() {
        let words = tree.source.slice(measure.span);
        match slots.get(usize::from(measure.slot.0)).and_then(|slot| slot.name.clone()) {
            Some(name) => {
                lines.push(words.to_owned());
                names.push(name);
            }
            None => {
                let name = format!("reading-{}", at + 1);
                lines.push(format!("{words}, call it {name}"));
                names.push(name);
            }
        }
    }
    lines.push(format!("calculate  lowest({})", names.join(", ")));
    let last = measures.last().map_or(block.span, |m| m.span);
    let message = format!(
        "The test `{}` takes {} readings and does not say what is judged. Below it is the lowest; `highest`, `average`, `spread` and `unbalance` are written the same way.",
        block.name.as_str(),
        measures.len()
    );
    Problem::new(&SEVERAL_MEASURES, tree.place(last), message).instead(lines.join("\n"))
}

fn summed(
    tree: &Playbook,
    block: &Block,
    (sum, unit, span): (&Sum, Option<WrittenUnit>, Span),
    measures: Vec<Measure>,
    slots: &[Slot],
    problems: &mut Vec<Problem>,
) -> Option<(Question, Option<Judged>)> {
    if measures.is_empty() {
        let message = format!("The test `{}` calculates and measures nothing.", block.name.as_str());
        problems.push(Problem::new(&NO_QUESTION, tree.place(span), message));
        return None;
    }
    let (resolved, dimension) = sums::resolve(tree, sum, slots, problems)?;
    let words = tree.source.slice(sum.span()).split_whitespace().collect::<Vec<_>>().join(" ");
    let unit = match unit {
        Some(written) if written.unit.dimension().like(dimension) => written.unit,
        Some(written) => {
            let message = format!("This sum gives {dimension}, not {}.", written.unit.spoken());
            problems.push(Problem::new(&sums::UNLIKE_UNITS, tree.place(written.span), message));
            return None;
        }
        None => {
            let Some(unit) = unit_of(block, dimension, &measures) else {
                let message = format!("This sum gives {dimension}, and nothing says in which unit it is judged.");
                problems.push(
                    Problem::new(&SUM_UNIT, tree.place(span), message)
                        .instead(format!("calculate  {words} in {}", fill_in::UNIT)),
                );
                return None;
            };
            unit
        }
    };
    let difference = dimension == Dimension::TEMPERATURE_DIFFERENCE;
    let mut used = Vec::new();
    takings::used(&resolved, &mut used);
    let shows = |slot: &SlotId| slots.get(usize::from(slot.0)).is_some_and(|slot| slot.unit.shows_over_limit());
    let over_limit = used.iter().any(shows);
    let question = Question::Sum { measures, sum: resolved, words, unit, difference, span };
    Some((question, Some(Judged { unit, difference, sum: true, over_limit })))
}

/// The unit a sum is judged in where no `in UNIT` says: the first its limits are written in, else that of a reading.
fn unit_of(block: &Block, dimension: Dimension, measures: &[Measure]) -> Option<Unit> {
    let limits = block.lines.iter().filter_map(|line| match &line.says {
        Says::Outcome { when: When::Limit(limit), .. } => match &limit.kind {
            LimitKind::Below(a) | LimitKind::Above(a) => a.unit,
            LimitKind::Between(a, b) => a.unit.or(b.unit),
            LimitKind::Normal { .. } | LimitKind::OverLimit => None,
        },
        _ => None,
    });
    limits
        .map(|written| written.unit)
        .chain(measures.iter().map(|m| m.unit))
        .find(|unit| unit.dimension().like(dimension))
        .map(|unit| unit.with_current(None))
        .or_else(|| (dimension == Dimension::NONE).then(|| Unit::of("%")).flatten())
}
