//! Whether two playbooks say the same: trees compared without their places.

use super::syntax::{Amount, Block, For, LimitKind, Playbook, Probes, Says, Sum, When, Word, WrittenUnit};
use crate::text::source::Span;

/// The first line of `a` that `b` does not say, too; the heading where a block itself differs. `None` where both say the same.
pub(super) fn first_difference(a: &Playbook, b: &Playbook) -> Option<Span> {
    let blocks =
        |playbook: &Playbook| std::iter::once(&playbook.head).chain(&playbook.blocks).cloned().collect::<Vec<_>>();
    let (ours, theirs) = (blocks(a), blocks(b));
    for (one, other) in ours.iter().zip(&theirs) {
        if let Some(span) = block_difference(one, other) {
            return Some(span);
        }
    }
    if ours.len() == theirs.len() {
        return None;
    }
    Some(ours.get(theirs.len()).or(ours.last()).map_or(Span::default(), |block| block.span))
}

fn block_difference(a: &Block, b: &Block) -> Option<Span> {
    if a.kind != b.kind || a.name.text != b.name.text || a.title.text != b.title.text {
        return Some(a.span);
    }
    for (one, other) in a.lines.iter().zip(&b.lines) {
        if bare(&one.says) != bare(&other.says) {
            return Some(one.span);
        }
    }
    let (ours, theirs) = (a.lines.len(), b.lines.len());
    (ours != theirs).then(|| a.lines.get(theirs).map_or(a.span, |line| line.span))
}

/// What a line says, with all places taken out.
fn bare(says: &Says) -> Says {
    let mut says = says.clone();
    match &mut says {
        Says::Units(words) | Says::Finish(words) | Says::Tools(words) | Says::Verify(words) => {
            words.iter_mut().for_each(word);
        }
        Says::Symptom(one)
        | Says::Revised(one)
        | Says::Was(one)
        | Says::Signal(_, one)
        | Says::Do(one)
        | Says::Why(one)
        | Says::Ask(one)
        | Says::Answers(one)
        | Says::Part(one)
        | Says::To(one)
        | Says::Because(one) => word(one),
        Says::Accept { code: one, reason: other } | Says::Picture { file: one, shows: other } => {
            word(one);
            word(other);
        }
        Says::For(entries) => entries.iter_mut().for_each(entry),
        Says::With(settings) => settings.iter_mut().for_each(|one| {
            word(&mut one.state);
            word(&mut one.value);
        }),
        Says::Leave { settings, because } => {
            settings.iter_mut().for_each(|one| {
                word(&mut one.state);
                word(&mut one.value);
            });
            because.iter_mut().for_each(word);
        }
        Says::Wait { time, until } => {
            amount(time);
            until.iter_mut().for_each(word);
        }
        Says::Takes(time) => amount(time),
        Says::Measure(measure) => {
            measure.unit.span = Span::default();
            measure.at_span = Span::default();
            match &mut measure.at {
                Probes::Across(one) | Probes::Through(one) | Probes::Of(one) | Probes::At(one) => word(one),
                Probes::Between(one, other) => {
                    word(one);
                    word(other);
                }
            }
            measure.over.iter_mut().for_each(|over| amount(&mut over.time));
            measure.name.iter_mut().for_each(word);
        }
        Says::Calculate { sum: of, unit: told } => {
            sum(of);
            told.iter_mut().for_each(unit);
        }
        Says::Outcome { when, to, .. } => {
            match when {
                When::Answer(one) => word(one),
                When::Limit(limit) => {
                    limit.span = Span::default();
                    match &mut limit.kind {
                        LimitKind::Below(one) | LimitKind::Above(one) => amount(one),
                        LimitKind::Between(one, other) => {
                            amount(one);
                            amount(other);
                        }
                        LimitKind::Normal { at, .. } => at.iter_mut().for_each(word),
                        LimitKind::OverLimit => {}
                    }
                }
            }
            word(&mut to.name);
        }
        Says::Cannot(to) => word(&mut to.name),
    }
    says
}

fn word(one: &mut Word) {
    one.span = Span::default();
}

fn unit(one: &mut WrittenUnit) {
    one.span = Span::default();
}

fn amount(one: &mut Amount) {
    one.span = Span::default();
    one.unit.iter_mut().for_each(unit);
}

fn entry(one: &mut For) {
    match one {
        For::Each(bank) => word(bank),
        For::That { bank, part, fault } => {
            word(bank);
            part.iter_mut().chain(fault).for_each(word);
        }
        For::Part { part, fault } => {
            word(part);
            fault.iter_mut().for_each(word);
        }
        For::AnythingElse(span) => *span = Span::default(),
    }
}

fn sum(one: &mut Sum) {
    match one {
        Sum::Number(number) => amount(number),
        Sum::Name(name) => word(name),
        Sum::Call { name, arguments, span } => {
            word(name);
            *span = Span::default();
            arguments.iter_mut().for_each(sum);
        }
        Sum::Pair { left, right, .. } => {
            sum(left);
            sum(right);
        }
        Sum::Minus(inner, span) => {
            *span = Span::default();
            sum(inner);
        }
    }
}
