//! What the checks that know the machine share: where a unit falls at a test, and the words for a corner.

use super::Subject;
use crate::corners::{CornerId, Desk, End};
use crate::language::syntax::{Block, OutcomeKind, Says};
use crate::playbook::model::{Branch, Question, Test, TestId};
use crate::playbook::takings::Takings;
use crate::sheet::standing::Standing;
use crate::sheet::unit::model::{FaultId, ReadingId, Scale};
use crate::text::english::list;
use crate::text::source::Span;
use crate::trade::quantity::{computed, from_base};
use crate::trade::reading::Reading;
use crate::trade::unit::Unit;

/// A test as it is looked at on a unit.
pub(super) enum Looked<'a> {
    /// By the meter: once for each member.
    Read(Vec<Takings<'a>>),
    /// By a worded reading of the sheet.
    Said(&'a Test, ReadingId, Vec<String>),
}

/// A test on the unit; `None` where the sheet does not know what it reads.
pub(super) fn looked<'a>(subject: Subject<'a>, desk: &Desk, id: TestId) -> Option<Looked<'a>> {
    let test = subject.playbook.test(id);
    match &test.question {
        Question::Ask { answers, .. } => {
            // In a bank the first member speaks for all.
            let name = answers.as_deref()?;
            let unit = &desk.wired().unit;
            let member = name.split_once('.').and_then(|(bank, rest)| {
                let (_, bank) = unit.bank(bank)?;
                Some(format!("{}-{}.{rest}", bank.name, bank.members.first()?))
            });
            let (reading, sheet) = unit.reading(member.as_deref().unwrap_or(name))?;
            let Scale::Words(words) = &sheet.scale else { return None };
            Some(Looked::Said(test, reading, words.clone()))
        }
        _ => Takings::of(subject.playbook, desk.wired(), id, None).map(Looked::Read),
    }
}

impl Looked<'_> {
    /// The lines a unit may fall on, each once, in order; `None` stands for no line. An error: not to be worked out there.
    pub(super) fn lines(
        &self,
        desk: &mut Desk,
        corner: CornerId,
        standing: &Standing,
        faults: &[FaultId],
    ) -> Option<Vec<Option<usize>>> {
        let mut lines: Vec<Option<usize>> = Vec::new();
        match self {
            Self::Read(takings) => {
                for takings in takings {
                    for set in takings.sets(desk, corner, Some(standing), faults).ok()? {
                        lines.push(takings.line(&set).ok()?);
                    }
                }
            }
            Self::Said(test, reading, words) => {
                for word in desk.words(corner, standing, faults, *reading).ok()? {
                    let said = words.get(word);
                    lines.push(test.branches.iter().position(|branch| Some(&branch.words) == said));
                }
            }
        }
        lines.sort_unstable();
        lines.dedup();
        Some(lines)
    }
}

/// Where the limit or answer of an outcome line stands.
pub(super) fn limit_span(block: &Block, branch: &Branch) -> Span {
    let line = block.lines.iter().find(|line| line.span == branch.span);
    match line.map(|line| &line.says) {
        Some(Says::Outcome { when, .. }) => when.span(),
        _ => branch.span,
    }
}

/// Whether a line is the good one.
pub(super) fn is_good(test: &Test, line: Option<usize>) -> bool {
    line.and_then(|line| test.branches.get(line)).is_some_and(|branch| branch.kind == OutcomeKind::Good)
}

/// A corner in words: "As on the rating plate", "At low supply, 187.2 V", "With heater-1 at its low end and the other parts high".
pub(super) fn corner_words(desk: &Desk, id: CornerId) -> String {
    let (unit, corner) = (&desk.wired().unit, desk.corner(id));
    let end = |end: End| match end {
        End::Low => "low",
        End::Nominal => "rated",
        End::High => "high",
    };
    let mut words = Vec::new();
    if corner.supply != End::Nominal {
        let volts: Vec<String> = unit
            .supplies
            .iter()
            .filter(|supply| supply.volts.low < supply.volts.high)
            .map(|supply| {
                let volts = from_base(corner.of(&supply.volts), supply.volts.unit, false);
                let volts = (volts * 10.0).round() / 10.0;
                Reading::Value(volts).told(supply.volts.unit.with_current(None))
            })
            .collect();
        words.push(format!("at {} supply, {}", end(corner.supply), list(&volts, "and")));
    }
    match (corner.apart.as_slice(), corner.parts) {
        ([], End::Nominal) => {}
        ([], all) => words.push(format!("with every part at its {} end", end(all))),
        (apart, all) => {
            let apart: Vec<String> = apart
                .iter()
                .map(|(part, to)| format!("`{}` at its {} end", unit.part_of(*part).name, end(*to)))
                .collect();
            words.push(format!("with {} and the other parts at their {} end", list(&apart, "and"), end(all)));
        }
    }
    if words.is_empty() { "as on the rating plate".to_owned() } else { words.join(", ") }
}

/// A reading as a display shows it: to the step of the shop's meter, else four digits; finer where that would fall elsewhere.
pub(super) fn displayed(desk: &Desk, reading: Reading, unit: Unit, same: impl Fn(Reading) -> bool) -> String {
    let Reading::Value(value) = reading else { return "OL".to_owned() };
    let step = desk.meter().accuracy(unit).map(|accuracy| accuracy.step).filter(|step| *step > 0.0);
    let step = step.unwrap_or_else(|| if value == 0.0 { 1.0 } else { 10_f64.powf(value.abs().log10().floor() - 3.0) });
    let rounded = |step: f64| Reading::Value(computed((value / step).round() * step));
    let shown = [step, step / 10.0, step / 100.0].into_iter().map(rounded).find(|shown| same(*shown));
    shown.unwrap_or(reading).told(unit)
}

/// The first letter large.
pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|first| first.to_uppercase().chain(chars).collect()).unwrap_or_default()
}
