//! A line of the tree in the one form it is written in: units, signs and blanks in one way, numbers with the author's own decimals.

use super::syntax::{
    Amount, For, Limit, LimitKind, Measure, Op, Probes, Says, Setting, Side, Sum, Target, When, Word, WrittenUnit,
};
use crate::text::source::Source;
use crate::trade::dimension::Dimension;

/// A line in its parts, to be padded.
#[derive(Debug)]
pub(super) struct Printed {
    /// The first word.
    pub keyword: &'static str,
    /// What stands behind it, or before `go to`.
    pub body: String,
    /// `go to X`, where the line has an outcome before it.
    pub goes: Option<String>,
}

/// The line in its one form.
pub(super) fn line(source: &Source, says: &Says) -> Printed {
    let plain = |keyword, body| Printed { keyword, body, goes: None };
    let text = |keyword, word: &Word| plain(keyword, word.text.to_string());
    match says {
        Says::Units(words) => plain("unit", list(words)),
        Says::Symptom(word) => text("symptom", word),
        Says::Revised(word) => text("revised", word),
        Says::Finish(words) => plain("finish", list(words)),
        Says::Was(word) => text("was", word),
        Says::Accept { code, reason } => plain("accept", format!("{}: {}", code.text, reason.text)),
        Says::For(entries) => plain("for", entries.iter().map(entry).collect::<Vec<_>>().join(", ")),
        Says::With(settings) => plain("with", pairs(settings)),
        Says::Tools(words) => plain("tools", list(words)),
        Says::Signal(signal, word) => text(signal.word(), word),
        Says::Do(word) => text("do", word),
        Says::Wait { time, until } => {
            let until = until.as_ref().map_or(String::new(), |until| format!(" or until {}", until.text));
            plain("wait", format!("{}{until}", amount(source, time)))
        }
        Says::Picture { file, shows } if shows.text.is_empty() => text("picture", file),
        Says::Picture { file, shows } => plain("picture", format!("{}: {}", file.text, shows.text)),
        Says::Why(word) => text("why", word),
        Says::Ask(word) => text("ask", word),
        Says::Answers(word) => text("answers", word),
        Says::Measure(measure) => plain("measure", measured(source, measure)),
        Says::Calculate { sum: of, unit } => {
            let told = unit.map_or(String::new(), |unit| format!(" in {}", unit.unit));
            plain("calculate", format!("{}{told}", sum(source, of)))
        }
        Says::Outcome { kind, when, to } => {
            let body = match when {
                When::Answer(word) => word.text.to_string(),
                When::Limit(one) => limit(source, one),
            };
            Printed { keyword: kind.word(), body, goes: Some(goes(to)) }
        }
        Says::Cannot(to) => plain("cannot", goes(to)),
        Says::Takes(time) => plain("takes", amount(source, time)),
        Says::Part(word) => text("part", word),
        Says::Verify(words) => plain("verify", list(words)),
        Says::Leave { settings, because } => {
            let because = because.as_ref().map_or(String::new(), |reason| format!(", because {}", reason.text));
            plain("leave", format!("{}{because}", pairs(settings)))
        }
        Says::To(word) => text("to", word),
        Says::Because(word) => text("because", word),
    }
}

fn list(words: &[Word]) -> String {
    words.iter().map(Word::as_str).collect::<Vec<_>>().join(", ")
}

fn pairs(settings: &[Setting]) -> String {
    let pair = |one: &Setting| format!("{} {}", one.state.text, one.value.text);
    settings.iter().map(pair).collect::<Vec<_>>().join(", ")
}

fn goes(to: &Target) -> String {
    if to.playbook { format!("go to playbook {}", to.name.text) } else { format!("go to {}", to.name.text) }
}

fn entry(entry: &For) -> String {
    let behind = |fault: &Option<Word>| fault.as_ref().map_or(String::new(), |fault| format!(" {}", fault.text));
    match entry {
        For::Each(bank) => format!("each {}", bank.text),
        For::That { bank, part, fault } => {
            let part = part.as_ref().map_or(String::new(), |part| format!(".{}", part.text));
            format!("that {}{part}{}", bank.text, behind(fault))
        }
        For::Part { part, fault } => format!("{}{}", part.text, behind(fault)),
        For::AnythingElse(_) => "anything else".to_owned(),
    }
}

/// The author's own digits, and the unit in its one form; minutes and hours are written out.
fn amount(source: &Source, amount: &Amount) -> String {
    let whole = source.slice(amount.span);
    let digits = match amount.unit {
        Some(unit) => whole.get(..(unit.span.start.saturating_sub(amount.span.start)) as usize).unwrap_or(whole),
        None => whole,
    };
    let mut digits = digits.trim_matches(super::piece::is_blank).replace('−', "-");
    if let Some(bare) = digits.strip_prefix('+') {
        digits = bare.to_owned();
    }
    if let Some(at) =
        digits.find('.').filter(|at| digits.get(..*at).is_some_and(|front| front.is_empty() || front == "-"))
    {
        digits.insert(at, '0');
    }
    let digits = digits.trim_end_matches('.');
    #[expect(clippy::float_cmp, reason = "one minute is the number 1, not a computed value")]
    match amount.unit {
        Some(unit) => format!("{digits} {}", unit_of(unit, amount.value == 1.0)),
        None => digits.to_owned(),
    }
}

fn unit_of(unit: WrittenUnit, one: bool) -> String {
    if unit.unit.dimension() == Dimension::TIME {
        let word = match unit.unit.symbol() {
            "min" => "minute",
            "h" => "hour",
            _ => return unit.unit.to_string(),
        };
        return if one { word.to_owned() } else { format!("{word}s") };
    }
    unit.unit.to_string()
}

fn limit(source: &Source, limit: &Limit) -> String {
    match &limit.kind {
        LimitKind::Below(x) => format!("below {}", amount(source, x)),
        LimitKind::Above(x) => format!("above {}", amount(source, x)),
        LimitKind::Between(a, b) => format!("{} to {}", amount(source, a), amount(source, b)),
        LimitKind::Normal { side, at } => {
            let side = match side {
                Side::Below => "below normal",
                Side::Within => "normal",
                Side::Above => "above normal",
            };
            at.as_ref().map_or_else(|| side.to_owned(), |at| format!("{side} at {}", at.text))
        }
        LimitKind::OverLimit => "OL".to_owned(),
    }
}

fn measured(source: &Source, measure: &Measure) -> String {
    let place = match &measure.at {
        Probes::Across(part) => format!("across {}", part.text),
        Probes::Through(part) => format!("through {}", part.text),
        Probes::Between(from, to) => format!("from {} to {}", from.text, to.text),
        Probes::Of(part) => format!("of {}", part.text),
        Probes::At(reading) => format!("at {}", reading.text),
    };
    let mut text = format!("{} {place}", measure.unit.unit);
    if let Some(over) = &measure.over {
        text.push_str(&format!(", {} over {}", over.kind.word(), amount(source, &over.time)));
    }
    if measure.loaded {
        text.push_str(", loaded");
    }
    if let Some(name) = &measure.name {
        text.push_str(&format!(", call it {}", name.text));
    }
    text
}

/// How strongly a sum holds together: what binds less than its place needs parentheses.
fn binds(sum: &Sum) -> u8 {
    match sum {
        Sum::Pair { op: Op::Add | Op::Subtract, .. } => 1,
        Sum::Pair { .. } => 2,
        Sum::Minus(..) => 3,
        _ => 4,
    }
}

fn sum(source: &Source, of: &Sum) -> String {
    let within = |part: &Sum, least: u8| {
        let text = sum(source, part);
        if binds(part) < least { format!("({text})") } else { text }
    };
    match of {
        Sum::Number(number) => amount(source, number),
        Sum::Name(name) => name.text.to_string(),
        Sum::Call { name, arguments, .. } => {
            let arguments: Vec<String> = arguments.iter().map(|one| sum(source, one)).collect();
            format!("{}({})", name.text, arguments.join(", "))
        }
        Sum::Pair { op, left, right } => {
            let sign = match op {
                Op::Add => '+',
                Op::Subtract => '-',
                Op::Multiply => '×',
                Op::Divide => '÷',
            };
            let least = binds(of);
            format!("{} {sign} {}", within(left, least), within(right, least + 1))
        }
        Sum::Minus(inner, _) => format!("-{}", within(inner, 4)),
    }
}
