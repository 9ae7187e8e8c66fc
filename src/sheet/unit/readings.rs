//! `readings:`: what is read outside the circuit, in numbers or in words.

use super::amount::{self, Stretch};
use super::condition;
use super::model::{Reading, ReadingId, Scale, Shows, Unit, When};
use super::nameplate::plate;
use super::parts::names_of;
use super::sum::{self, SHEET_SUM};
use crate::text::english::{known, list, nearest, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::yaml::reader::Reader;
use crate::text::yaml::tree::{Entry, Kind, Text};
use crate::trade::reading::Reading as Shown;
use crate::trade::unit::Unit as Measured;

/// A reading that does not say what it reads.
pub static SHEET_READING: Rule = Rule {
    code: "sheet-reading",
    level: Level::Error,
    says: "A reading has `in` (a unit) with `good` or `is`, or `words` with the good one first.",
    why: "Every fault is felt through what readings show, so each must say what a good unit shows.",
    wrong: "readings:\n  manifold: { where: at the manifold tap }",
    mended: "readings:\n  manifold:\n    in: inWC\n    where: at the manifold tap\n    good: 3.8 to 4.1 inWC",
};

/// A reading that leans on itself.
pub static READING_RING: Rule = Rule {
    code: "reading-ring",
    level: Level::Error,
    says: "Readings lean on each other in one direction.",
    why: "A reading that leans on itself, over others or straight, has no first value to start from.",
    wrong: "a: { in: psi, is: b + 1 psi }\nb: { in: psi, is: a - 1 psi }",
    mended: "a: { in: psi, good: 5 psi }\nb: { in: psi, is: a - 1 psi }",
};

/// A reading as written, and those it stands for.
pub(super) struct Written<'n> {
    entry: &'n Entry,
    ids: Vec<ReadingId>,
}

const LINES: [&str; 7] = ["in", "words", "where", "good", "is", "hidden", "instead"];

/// Names, units, words; what a good unit shows.
pub(super) fn read<'n>(reader: &mut Reader, entry: &'n Entry, unit: &mut Unit) -> Vec<Written<'n>> {
    let mut written = Vec::new();
    for line in reader.entries(entry) {
        let Some(names) = names_of(reader, &line.key, unit) else {
            unit.holes.name(&line.key.text);
            continue;
        };
        // Until it is whole; what leans on it is not told before.
        let refused = |unit: &mut Unit| names.iter().for_each(|(name, _)| unit.holes.name(name));
        let fields = reader.fields(line, &LINES, &[]);
        let mut difference = false;
        let scale = match (fields.get("in"), fields.get("words")) {
            (Some(line), None) => reader.words(line).and_then(|text| {
                let (text, of_two) = amount::without_difference(reader, &text);
                difference = of_two;
                unit_of(reader, &text).map(Scale::Numbers)
            }),
            (None, Some(line)) => Some(Scale::Words(words_of(reader, line))),
            (Some(_), Some(words)) => {
                reader.say(&SHEET_READING, words.key.span, format!("`{}` has both `in` and `words`.", line.key.text));
                None
            }
            (None, None) => {
                let fact = format!(
                    "`{}` has neither `in` nor `words`. In numbers it is `in: °F` with `good: 35 to 39 °F`, in words `words: [lit, dark]`, the good one first.",
                    line.key.text
                );
                reader.say(&SHEET_READING, line.key.span, fact);
                None
            }
        };
        let at = fields.get("where").and_then(|line| reader.sentence(line)).map(|text| text.text);
        let hidden =
            fields.get("hidden").is_some_and(|line| match reader.words(line).map(|text| (text.text, text.span)) {
                Some((word, _)) if word == "yes" => true,
                Some((_, span)) => {
                    reader.say_instead(&SHEET_READING, span, "`hidden` is `yes`, or left out.", "yes");
                    false
                }
                None => false,
            });
        let Some(scale) = scale else {
            refused(unit);
            continue;
        };
        let good = fields.get("good").and_then(|line| reader.words(line));
        let good = match (good, &scale) {
            (Some(text), _) => shows(reader, &text, &scale, difference, &line.key.text),
            (None, Scale::Words(_)) => Some(Shows::Word(0)),
            // Filled in when all names are known.
            (None, Scale::Numbers(_)) if fields.get("is").is_some() => Some(Shows::OverLimit),
            (None, Scale::Numbers(_)) => {
                let fact = format!(
                    "`{}` says neither what a good unit shows (`good: 35 to 39 °F`) nor how it is worked out (`is: display - 2 °F`).",
                    line.key.text
                );
                reader.say(&SHEET_READING, line.key.span, fact);
                None
            }
        };
        if let (Some(good), Some(is)) = (fields.get("good"), fields.get("is")) {
            let fact = format!("`{}` has both `good` and `is`.", line.key.text);
            let place = reader.place(good.key.span);
            reader.note(Problem::new(&SHEET_READING, reader.place(is.key.span), fact).also(place, "the other one"));
        }
        let Some(good) = good else {
            refused(unit);
            continue;
        };
        let mut ids = Vec::new();
        for (name, member) in names {
            if unit.reading(&name).is_some() {
                let first = unit.reading(&name).map(|(_, reading)| reading.place.clone());
                let fact = format!("There are two readings named `{}`.", line.key.text);
                let problem = Problem::new(&SHEET_READING, reader.place(line.key.span), fact);
                reader.note(match first {
                    Some(first) => problem.also(first, "the first one"),
                    None => problem,
                });
                break;
            }
            ids.push(ReadingId(u16::try_from(unit.readings.len()).unwrap_or(u16::MAX)));
            unit.readings.push(Reading {
                name,
                member,
                scale: scale.clone(),
                difference,
                at: at.clone(),
                hidden,
                good: good.clone(),
                instead: Vec::new(),
                place: reader.place(line.key.span),
            });
        }
        written.push(Written { entry: line, ids });
    }
    written
}

fn unit_of(reader: &mut Reader, text: &Text) -> Option<Measured> {
    let found = Measured::parse(&text.text);
    if found.is_none() {
        let near = nearest(&text.text, crate::trade::unit::UNITS.iter().map(|row| row.symbol));
        let fact = format!("`{}` is no unit Ruleout knows.", text.text);
        match near {
            Some(near) => reader.say_instead(&SHEET_READING, text.span, fact, near),
            None => reader.say(&SHEET_READING, text.span, fact),
        }
    }
    found
}

fn words_of(reader: &mut Reader, line: &Entry) -> Vec<String> {
    let texts = reader.names(line);
    let mut words: Vec<String> = Vec::new();
    for text in texts {
        if words.contains(&text.text) {
            reader.say(&SHEET_READING, text.span, format!("`{}` stands here twice.", text.text));
        } else {
            words.push(text.text);
        }
    }
    if words.len() == 1 {
        reader.say(
            &SHEET_READING,
            line.value.span,
            "With one word there is nothing to tell apart. The first is the good one.",
        );
    }
    words
}

/// What a reading shows: a stretch in its unit, `OL`, or one of its words.
pub(super) fn shows(reader: &mut Reader, text: &Text, scale: &Scale, difference: bool, name: &str) -> Option<Shows> {
    match scale {
        Scale::Words(words) => {
            if let Some(at) = words.iter().position(|word| *word == text.text) {
                return Some(Shows::Word(at));
            }
            let fact = format!("`{name}` never says `{}`. It says {}.", text.text, list(&ticked(words), "or"));
            match nearest(&text.text, words.iter().map(String::as_str)) {
                Some(near) => reader.say_instead(&SHEET_READING, text.span, fact, near),
                None => reader.say(&SHEET_READING, text.span, fact),
            }
            None
        }
        Scale::Numbers(unit) => {
            if amount::is_ol(text) {
                if unit.shows_over_limit() {
                    return Some(Shows::OverLimit);
                }
                reader.say(
                    &SHEET_READING,
                    text.span,
                    format!("A meter shows `OL` in ohms, and `{name}` is in {unit}."),
                );
                return None;
            }
            let (stretch, written) = amount::stretch(reader, text, difference)?;
            let clash = written.current().zip(unit.current()).is_some_and(|(a, b)| a != b);
            if clash || !amount::of_kind(reader, text, written, &[unit.dimension()]) {
                if clash {
                    reader.say(&SHEET_READING, text.span, format!("`{name}` is in {unit}, not in {written}."));
                }
                return None;
            }
            Some(Shows::Stretch(stretch))
        }
    }
}

/// Sums and conditions, now that every name is known; then rings and tables.
pub(super) fn ties(reader: &mut Reader, written: &[Written<'_>], unit: &mut Unit) {
    for reading in written {
        let Kind::Map(entries) = &reading.entry.value.kind else { continue };
        for line in entries {
            match line.key.text.as_str() {
                "is" => tie_sum(reader, line, reading, unit),
                "instead" => tie_instead(reader, line, reading, unit),
                _ => {}
            }
        }
    }
    if !rings(reader, unit) {
        tables(reader, unit);
    }
}

fn tie_sum(reader: &mut Reader, line: &Entry, reading: &Written<'_>, unit: &mut Unit) {
    let Some(text) = reader.words(line) else { return };
    for (turn, id) in reading.ids.iter().enumerate() {
        let member = unit.reading_of(*id).member;
        let look = |name: &str| {
            plate(unit, name).or_else(|| {
                let (id, reading) = unit.reading(&condition::with_member(name, unit, member))?;
                Some((sum::Sum::Reading(id), reading.dimension()?))
            })
        };
        let own = unit.reading_of(*id);
        let found = sum::parse(&text.text, &look).and_then(|(sum, dimension)| match (&own.scale, own.dimension()) {
            (_, Some(wanted)) if wanted == dimension => Ok(sum),
            (Scale::Numbers(unit), Some(wanted)) if wanted.like(dimension) => Err(if dimension.point {
                format!("A temperature comes out here, not a difference: `{}` is `in: {unit}`.", own.name)
            } else {
                format!(
                    "One temperature less another comes out here. Then `{}` is `in: {unit} difference`.",
                    reading.entry.key.text
                )
            }),
            (Scale::Numbers(unit), _) => {
                Err(format!("{dimension} comes out here, and `{}` is in {unit}.", reading.entry.key.text))
            }
            (Scale::Words(_), _) => Err("A reading in words can't be worked out.".to_owned()),
        });
        match found {
            Ok(sum) => {
                if let Some(reading) = unit.readings.get_mut(usize::from(id.0)) {
                    reading.good = Shows::Sum(sum);
                }
            }
            Err(_) if unit.holes.behind(&condition::with_member(&text.text, unit, member)) => {}
            Err(fact) if turn == 0 => {
                let names =
                    unit.nameplate.iter().map(|p| p.name.as_str()).chain(unit.readings.iter().map(|r| r.name.as_str()));
                let near = fact
                    .split('`')
                    .nth(1)
                    .and_then(|name| nearest(name, names).filter(|near| *near != name))
                    .map(str::to_owned);
                match (fact.split('`').nth(1), near) {
                    (Some(name), Some(near)) if fact.contains("neither") => {
                        let better = text.text.replacen(name, &near, 1);
                        reader.say_instead(&SHEET_SUM, text.span, fact.clone(), &better);
                    }
                    (Some(_), None) if fact.contains("neither") => {
                        let plates = unit.nameplate.iter().map(|plate| plate.name.clone());
                        let others = unit.readings.iter().filter(|reading| reading.dimension().is_some());
                        let names: Vec<String> =
                            plates.chain(others.map(|reading| unit.as_written(&reading.name))).collect();
                        reader.say(&SHEET_SUM, text.span, format!("{fact}{}", known("names", &names)));
                    }
                    _ => reader.say(&SHEET_SUM, text.span, fact),
                }
            }
            Err(_) => {}
        }
    }
}

fn tie_instead(reader: &mut Reader, line: &Entry, reading: &Written<'_>, unit: &mut Unit) {
    for entry in reader.entries(line) {
        let Some(first) = reading.ids.first() else { return };
        let (scale, difference) = (unit.reading_of(*first).scale.clone(), unit.reading_of(*first).difference);
        let shown = reader.words(entry);
        let Some(value) = shown.and_then(|text| shows(reader, &text, &scale, difference, &reading.entry.key.text))
        else {
            continue;
        };
        for (turn, id) in reading.ids.iter().enumerate() {
            let member = unit.reading_of(*id).member;
            let place = reader.place(entry.key.span);
            match condition::read(&entry.key.text, &place, unit, member) {
                Ok(when) => {
                    if let Some(reading) = unit.readings.get_mut(usize::from(id.0)) {
                        reading.instead.push((when, value.clone()));
                    }
                }
                Err(_) if unit.in_a_hole(&condition::with_member(&entry.key.text, unit, member)) => {}
                Err(problem) if turn == 0 => {
                    let problem = match problem.instead.clone() {
                        Some(better) => problem.instead(reader.place(entry.key.span).line_with(&better)),
                        None => problem,
                    };
                    reader.note(problem);
                }
                Err(_) => {}
            }
        }
    }
}

impl Reading {
    /// The readings it leans on.
    #[must_use]
    pub fn leans_on(&self) -> Vec<ReadingId> {
        let sum = match &self.good {
            Shows::Sum(sum) => sum.readings(),
            _ => Vec::new(),
        };
        sum.into_iter().chain(self.instead.iter().flat_map(|(when, _)| when.readings())).collect()
    }
}

/// Tells every ring once; true if there is one.
fn rings(reader: &mut Reader, unit: &Unit) -> bool {
    // 0 not seen, 1 on the way, 2 done.
    fn visit(unit: &Unit, at: usize, marks: &mut [u8], path: &mut Vec<usize>) -> Option<Vec<usize>> {
        match marks.get(at) {
            Some(1) => {
                let from = path.iter().position(|step| *step == at).unwrap_or(0);
                return Some(path.get(from..).unwrap_or(&[]).to_vec());
            }
            Some(0) => {}
            _ => return None,
        }
        if let Some(mark) = marks.get_mut(at) {
            *mark = 1;
        }
        path.push(at);
        let next = unit.readings.get(at).map(Reading::leans_on).unwrap_or_default();
        let found = next.into_iter().find_map(|id| visit(unit, usize::from(id.0), marks, path));
        path.pop();
        if let Some(mark) = marks.get_mut(at) {
            *mark = 2;
        }
        found
    }
    let mut marks = vec![0_u8; unit.readings.len()];
    let mut any = false;
    for at in 0..unit.readings.len() {
        if let Some(ring) = visit(unit, at, &mut marks, &mut Vec::new()) {
            any = true;
            let mut names: Vec<String> = ring
                .iter()
                .filter_map(|at| unit.readings.get(*at))
                .map(|r| format!("`{}`", unit.as_written(&r.name)))
                .collect();
            names.dedup();
            let speaks = ring.iter().filter_map(|at| unit.readings.get(*at)).any(|r| unit.speaks(r.member));
            if !speaks {
                continue;
            }
            let fact = match names.as_slice() {
                [one] => format!("{one} leans on itself."),
                _ => format!("{} lean on each other in a ring.", list(&names, "and")),
            };
            if let Some(first) = ring.first().and_then(|at| unit.readings.get(*at)) {
                reader.note(Problem::new(&READING_RING, first.place.clone(), fact));
            }
        }
    }
    any
}

/// Every sum has an answer at the low and the high ends of what it leans on.
fn tables(reader: &mut Reader, unit: &Unit) {
    for reading in unit.readings.iter().filter(|reading| unit.speaks(reading.member)) {
        let Shows::Sum(_) = reading.good else { continue };
        for (share, what) in [(0.0, "at the low end"), (0.5, "in the middle"), (1.0, "at the high end")] {
            if let Err(error) = good_value(unit, reading, share) {
                let name = unit.as_written(&reading.name);
                let fact = format!("`{name}` has no answer {what} of what it leans on: {error}.");
                reader.note(Problem::new(&SHEET_SUM, reading.place.clone(), fact));
                break;
            }
        }
    }
}

/// What a good unit shows, with every free reading at the same share of its stretch.
///
/// # Errors
/// Where a function's table does not reach.
fn good_value(unit: &Unit, reading: &Reading, share: f64) -> Result<Option<Shown>, crate::trade::range::RangeError> {
    match &reading.good {
        Shows::Stretch(Stretch { low, high }) => Ok(Some(Shown::Value(low + (high - low) * share))),
        Shows::OverLimit => Ok(Some(Shown::OverLimit)),
        Shows::Word(_) => Ok(None),
        Shows::Sum(sum) => {
            let plate = |at: usize| unit.nameplate.get(at).map(|p| p.value.low + (p.value.high - p.value.low) * share);
            let look = |id: ReadingId| good_value(unit, unit.reading_of(id), share).ok().flatten();
            sum.value(&plate, &look)
        }
    }
}

impl When {
    /// Whether it is never told apart from always.
    #[must_use]
    pub fn is_always(&self) -> bool {
        self.always
    }
}
