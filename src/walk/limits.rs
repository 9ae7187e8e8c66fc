//! What counts as good at a test, in words: the playbook's own limits, with the numbers `normal` stands for.

use crate::playbook::model::{Branch, Playbook, Question, Scale, Test};
use crate::playbook::told::{bands, compared, good, judged};
use crate::trade::quantity::plain;
use crate::trade::unit::Unit;

/// The unit a test judges in; `None` where it judges words.
pub fn unit(test: &Test) -> Option<Unit> {
    match test.scale {
        Scale::Answers => None,
        Scale::Numbers(unit) | Scale::Judged(unit) => Some(unit),
    }
}

/// The limit of a line, `normal` with its numbers where the sheet gives them: "normal at supply: 27.6 to 35.5 A at 203 V AC".
/// `volts`: what the supply reads that the limits go by.
pub fn words(test: &Test, branch: &Branch, volts: Option<f64>) -> String {
    let Some(unit) = unit(test).filter(|_| branch.words.contains("normal")) else { return branch.words.clone() };
    let at = test.branches.iter().position(|other| other.span == branch.span);
    let moved = test.moving.as_ref().zip(volts).zip(at);
    let moved = moved.and_then(|((moving, volts), at)| Some((moving, volts, moving.takes(volts).into_iter().nth(at)?)));
    match &moved {
        Some((moving, volts, takes)) => match bands(takes, unit) {
            Some(bands) => format!("{}: {bands} at {} {}", branch.words, plain(*volts), moving.unit),
            None => branch.words.clone(),
        },
        None => match bands(&branch.takes, unit) {
            // Below and above it the numbers say the side themselves.
            Some(bands) if branch.words != "normal" => bands,
            Some(bands) => format!("{}: {bands}", branch.words),
            None => branch.words.clone(),
        },
    }
}

/// What good is: "185 to 231.4 V".
pub fn good_words(test: &Test, volts: Option<f64>) -> String {
    let good = test.good().map(|good| words(test, good, volts)).unwrap_or_default();
    good.strip_prefix("normal: ").map_or(good.clone(), str::to_owned)
}

/// Above the question for the reading of this number: what good is, then what a good unit reads there by its sheet, where that is
/// not the same. Nothing for a reading that is only written down, or part of a sum that is not taken yet.
pub fn lines(playbook: &Playbook, test: &Test, number: usize, volts: Option<f64>) -> Vec<String> {
    let slot = test.measures().get(number).map(|measure| measure.slot);
    let is_judged = match (&test.question, compared(test)) {
        (Question::Ask { .. }, _) => false,
        (Question::Measure(_), _) => true,
        (Question::Sum { .. }, Some(slots)) => slot.is_some_and(|slot| slots.contains(&slot)),
        (Question::Sum { measures, .. }, None) => number + 1 == measures.len(),
    };
    if !is_judged {
        return Vec::new();
    }
    let mut lines = Vec::new();
    let limits = good_words(test, volts);
    // Limits that go by volts not read yet are no limits yet.
    let known = test.moving.is_none() || volts.is_some();
    let is_normal = test.good().is_some_and(|good| good.words.contains("normal"));
    if known && !limits.is_empty() {
        let of = judged(playbook, test).map(|what| format!(" for {what}")).unwrap_or_default();
        let by = match test.scale {
            Scale::Judged(_) if is_normal => ", by the rating plate and the drawing",
            _ => "",
        };
        lines.push(format!("{limits}{of}{by}."));
    }
    if let (Some(unit), Some(normal), false) = (unit(test), test.good_reads, is_normal) {
        let reads = good(normal.good, unit);
        // "208 V" is "208 V AC" where nothing else is meant.
        let bare = |words: &str| words.replace(" AC", "").replace(" DC", "");
        if bare(&reads) != bare(&limits) {
            lines.push(format!("A good unit reads {reads} here."));
        }
    }
    lines
}
