//! `parts:`: the parts of each group, and what their lines give.

use super::amount::{self, Amount, SHEET_NUMBER};
use super::condition;
use super::group::{Group, Key, Takes};
use super::model::{Given, Part, PartId, Unit, When};
use crate::text::english::{known, list, nearest, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::yaml::UNKNOWN_LINE;
use crate::text::yaml::reader::Reader;
use crate::text::yaml::tree::{Entry, Kind, Text};
use crate::trade::dimension::Dimension;
use crate::trade::quantity::parse_number;
use crate::trade::unit::Unit as Measured;
use std::collections::BTreeMap;

/// Names of parts.
pub static PART_NAME: Rule = Rule {
    code: "part-name",
    level: Level::Error,
    says: "A part has a name of its own: one word of small letters, digits and hyphens; a member of a bank is `BANK.PART`.",
    why: "Playbooks say where the probes go by these names. Points start with a capital, parts with a small letter.",
    wrong: "fuses:\n  Fuse 1: {}",
    mended: "fuses:\n  fuse-1: {}",
};

/// A line of a part that does not say what it should.
pub static PART_LINE: Rule = Rule {
    code: "part-line",
    level: Level::Error,
    says: "Each line of a part takes what the guide lists for its group.",
    why: "What the meter reads at the part is worked out from its lines.",
    wrong: "sensors:\n  probe: { kind: Pt500 }",
    mended: "sensors:\n  probe: { kind: Pt1000 }",
};

/// A part as written, and the parts it stands for.
pub(super) struct Written<'n> {
    pub entry: &'n Entry,
    pub group: Group,
    pub ids: Vec<PartId>,
}

/// Reads names and numbers; what hangs on other names waits for [`ties`].
pub(super) fn read<'n>(reader: &mut Reader, entry: &'n Entry, unit: &mut Unit) -> Vec<Written<'n>> {
    let mut written = Vec::new();
    for heading in reader.entries(entry) {
        let Some(group) = Group::find(&heading.key.text) else {
            let words = Group::ALL.map(Group::word);
            let fact = format!("`{}` is no group of parts.", heading.key.text);
            if let Kind::Map(parts) = &heading.value.kind {
                parts.iter().for_each(|part| refused(&part.key.text, unit));
            }
            refused(&heading.key.text, unit);
            match nearest(&heading.key.text, words) {
                Some(near) => reader.say_instead(&UNKNOWN_LINE, heading.key.span, fact, near),
                None => reader.say(
                    &UNKNOWN_LINE,
                    heading.key.span,
                    format!("{fact} The groups are {}.", list(&ticked(&words), "and")),
                ),
            }
            continue;
        };
        for part in reader.entries(heading) {
            if let Some(ids) = read_part(reader, part, group, unit) {
                written.push(Written { entry: part, group, ids });
            }
        }
    }
    written
}

fn read_part(reader: &mut Reader, entry: &Entry, group: Group, unit: &mut Unit) -> Option<Vec<PartId>> {
    let Some(names) = names_of(reader, &entry.key, unit) else {
        refused(&entry.key.text, unit);
        return None;
    };
    if let Some((_, first)) = names.first().and_then(|(name, _)| unit.part(name)) {
        let place = first.place.clone();
        let fact = format!("There are two parts named `{}`.", entry.key.text);
        reader.note(Problem::new(&PART_NAME, reader.place(entry.key.span), fact).also(place, "the first one"));
        return None;
    }
    let keys: Vec<&str> = group.keys().iter().map(|key| key.name).collect();
    // `{}`: a part with nothing more to say.
    let bare = matches!(&entry.value.kind, Kind::Map(lines) if lines.is_empty());
    let what = format!("`{}`, which stands under `{}`", entry.key.text, group.word());
    let fields = if bare { None } else { Some(reader.fields_of(&what, entry, &keys)) };
    let mut given = BTreeMap::new();
    let mut whole =
        !matches!(&entry.value.kind, Kind::Map(lines) if lines.iter().any(|l| !keys.contains(&l.key.text.as_str())));
    for key in group.keys() {
        let line = fields.and_then(|fields| fields.get(key.name));
        if let Some(line) = line {
            let waits = matches!(key.takes, Takes::When | Takes::Reading | Takes::Part);
            match read_given(reader, line, key) {
                Some(value) => drop(given.insert(key.name, value)),
                None => whole &= waits,
            }
        }
        // The rest of `closed when` waits until all names are known; this decides which faults are usual.
        let always = match line.map(|line| &line.value.kind) {
            Some(Kind::Text(text, _)) => text == "always",
            Some(_) => false,
            None => group == Group::Switches,
        };
        if matches!(key.takes, Takes::When) && always {
            given.insert(key.name, Given::When(vec![(None, When { always: true, any: Vec::new() })]));
        }
    }
    let carries_gas = matches!(given.get("carries"), Some(Given::Word(word)) if word == "gas");
    let mut ids = Vec::new();
    for (name, member) in names {
        if !whole {
            unit.holes.line(&name);
        }
        ids.push(PartId(u16::try_from(unit.parts.len()).unwrap_or(u16::MAX)));
        unit.parts.push(Part {
            name,
            group,
            member,
            poles: Vec::new(),
            given: given.clone(),
            carries_gas,
            place: reader.place(entry.key.span),
        });
    }
    Some(ids)
}

/// Notes a part that was not taken, as it may be spoken of elsewhere: as written, as a member of its bank, with the bank
/// that was meant.
fn refused(name: &str, unit: &mut Unit) {
    unit.holes.name(name);
    let Some((bank, rest)) = name.split_once('.') else { return };
    let near = nearest(bank, unit.banks.iter().map(|bank| bank.name.as_str()));
    let found = unit.banks.iter().find(|other| Some(other.name.as_str()) == near).cloned();
    for (bank, number) in found.iter().flat_map(|bank| bank.members.iter().map(move |number| (bank, number))) {
        unit.holes.name(&format!("{}-{number}.{rest}", bank.name));
        unit.holes.name(&format!("{}.{rest}", bank.name));
    }
}

/// A name, and the bank and member it is for.
pub(super) type Named = (String, Option<(usize, u16)>);

/// The name, or that of each member: `zone.relay` is `zone-1.relay` and so on.
pub(super) fn names_of(reader: &mut Reader, key: &Text, unit: &Unit) -> Option<Vec<Named>> {
    let (bank, bare) = match key.text.split_once('.') {
        Some((bank, bare)) => (Some(bank), bare),
        None => (None, key.text.as_str()),
    };
    let good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    let starts = bare.starts_with(|c: char| c.is_ascii_lowercase()) && !bare.ends_with('-');
    if !starts || !bare.chars().all(good) {
        let joined = bare.to_lowercase().replace([' ', '_'], "-");
        let fact = format!("`{}` is not one word of small letters, digits and hyphens.", key.text);
        if joined.chars().all(good) && joined.starts_with(|c: char| c.is_ascii_lowercase()) {
            let whole = bank.map_or(joined.clone(), |bank| format!("{bank}.{joined}"));
            reader.say_instead(&PART_NAME, key.span, fact, &whole);
        } else {
            reader.say(&PART_NAME, key.span, fact);
        }
        return None;
    }
    let Some(bank) = bank else { return Some(vec![(bare.to_owned(), None)]) };
    let Some((at, found)) = unit.bank(bank) else {
        if unit.holes.behind(bank) {
            return None;
        }
        let fact = format!("`{bank}` is no bank of this sheet.");
        match nearest(bank, unit.banks.iter().map(|bank| bank.name.as_str())) {
            Some(near) => reader.say_instead(&PART_NAME, key.span, fact, &format!("{near}.{bare}")),
            None => {
                let banks: Vec<&str> = unit.banks.iter().map(|bank| bank.name.as_str()).collect();
                let hint = if banks.is_empty() {
                    format!(" Say how many there are: `banks: {{ {bank}: 1 to 2 }}`.")
                } else {
                    known("banks", &banks)
                };
                reader.say(&PART_NAME, key.span, format!("{fact}{hint}"));
            }
        }
        return None;
    };
    Some(found.members.iter().map(|n| (format!("{bank}-{n}.{bare}"), Some((at, *n)))).collect())
}

fn read_given(reader: &mut Reader, line: &Entry, key: &Key) -> Option<Given> {
    match key.takes {
        Takes::Amount(wanted) => {
            let text = reader.words(line)?;
            if let Some(unit) = wanted.first().and_then(|wanted| usual_unit(*wanted))
                && parse_number(&text.text).is_ok()
            {
                let fact = format!("`{}` has no unit.", text.text);
                reader.say_instead(&SHEET_NUMBER, text.span, fact, &format!("{} {unit}", text.text));
                return None;
            }
            let found = amount::amount(reader, &text)?;
            if !amount::of_kind(reader, &text, found.unit, wanted) {
                return None;
            }
            if found.value <= 0.0 {
                let fact = format!("`{}` is nothing, or less. `{}` takes a number over 0.", text.text, key.name);
                reader.say(&PART_LINE, text.span, fact);
                return None;
            }
            Some(Given::Amount(found))
        }
        Takes::Share => {
            let text = reader.words(line)?;
            let share = match (parse_number(&text.text), Measured::parse("%")) {
                (Ok(value), Some(unit)) => Amount { value, unit },
                _ => amount::amount(reader, &text)?,
            };
            if !amount::of_kind(reader, &text, share.unit, &[Dimension::NONE]) {
                return None;
            }
            if share.value <= 0.0 || share.value > 1.0 {
                let fact =
                    format!("`{}` is out of place: `{}` lies between 0 and 1, as 0.8 does.", text.text, key.name);
                reader.say(&PART_LINE, text.span, fact);
                return None;
            }
            Some(Given::Amount(share))
        }
        Takes::Poles => {
            let names = reader.names(line);
            let mut seen: Vec<String> = Vec::new();
            for name in names {
                let good = name.text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
                if !good {
                    reader.say(
                        &PART_NAME,
                        name.span,
                        format!(
                            "`{}` is not one word of small letters, digits and hyphens. Several stand in brackets: `[a, b]`.",
                            name.text
                        ),
                    );
                } else if seen.contains(&name.text) {
                    reader.say(&PART_NAME, name.span, format!("`{}` stands here twice.", name.text));
                } else {
                    seen.push(name.text);
                }
            }
            Some(Given::Names(seen))
        }
        Takes::Tolerance => {
            let text = reader.words(line)?;
            let (word, rest) = text.text.split_once(' ').unwrap_or(("", &text.text));
            let (watts, rest) = match word {
                "watts" => (true, rest),
                "ohms" => (false, rest),
                _ => (false, text.text.as_str()),
            };
            let (minus, plus) = amount::percents(reader, &text, rest)?;
            Some(Given::Tolerance { watts, minus, plus })
        }
        Takes::Word(words) => {
            let text = reader.words(line)?;
            if words.contains(&text.text.as_str()) {
                return Some(Given::Word(text.text));
            }
            let fact = format!("`{}` is not {}.", text.text, list(&ticked(words), "or"));
            match nearest(&text.text, words.iter().copied()) {
                Some(near) => reader.say_instead(&PART_LINE, text.span, fact, near),
                None => reader.say(&PART_LINE, text.span, fact),
            }
            None
        }
        Takes::When | Takes::Reading | Takes::Part => None,
    }
}

/// The unit a line of a part mostly has.
fn usual_unit(dimension: Dimension) -> Option<&'static str> {
    let units = [
        (Dimension::VOLTS, "V"),
        (Dimension::AMPS, "A"),
        (Dimension::WATTS, "W"),
        (Dimension::OHMS, "ohm"),
        (Dimension::FARADS, "uF"),
    ];
    units.into_iter().find(|(of, _)| *of == dimension).map(|(_, unit)| unit)
}

/// The lines that hang on other names: `closed when`, `at`, `of`.
pub(super) fn ties(reader: &mut Reader, written: &[Written<'_>], unit: &mut Unit) {
    for part in written {
        let keys: Vec<&Key> = part.group.keys().iter().collect();
        let Kind::Map(entries) = &part.entry.value.kind else { continue };
        for key in keys {
            let Some(line) = entries.iter().find(|line| line.key.text == key.name) else { continue };
            match key.takes {
                Takes::When => closed_when(reader, line, part, unit),
                Takes::Reading => tie_reading(reader, line, part, unit),
                Takes::Part => tie_part(reader, line, part, unit),
                _ => {}
            }
        }
    }
}

fn closed_when(reader: &mut Reader, line: &Entry, part: &Written<'_>, unit: &mut Unit) {
    let by_pole: Vec<(Option<Text>, &Entry)> = match &line.value.kind {
        Kind::Map(lines) => lines.iter().map(|pole| (Some(pole.key.clone()), pole)).collect(),
        _ => vec![(None, line)],
    };
    for (turn, id) in part.ids.iter().enumerate() {
        let member = unit.part_of(*id).member;
        let mut all = Vec::new();
        for (pole, line) in &by_pole {
            if let Some(pole) = pole
                && !unit.part_of(*id).poles.iter().any(|p| p.name == pole.text)
            {
                if turn == 0 {
                    let names: Vec<&str> = unit.part_of(*id).poles.iter().map(|p| p.name.as_str()).collect();
                    let fact = format!(
                        "`{}` is no pole of `{}`. It has {}.",
                        pole.text,
                        part.entry.key.text,
                        list(&ticked(&names), "and")
                    );
                    match nearest(&pole.text, names) {
                        Some(near) => reader.say_instead(&PART_LINE, pole.span, fact, near),
                        None => reader.say(&PART_LINE, pole.span, fact),
                    }
                }
                continue;
            }
            if let Some(when) = whens(reader, line, unit, member, turn == 0) {
                all.push((pole.as_ref().map(|pole| pole.text.clone()), when));
            }
        }
        if let Some(part) = unit.parts.get_mut(usize::from(id.0)) {
            part.given.insert("closed when", Given::When(all));
        }
    }
}

/// One condition, or a list of which any will do.
pub(super) fn whens(
    reader: &mut Reader,
    line: &Entry,
    unit: &Unit,
    member: Option<(usize, u16)>,
    tell: bool,
) -> Option<When> {
    let texts: Vec<Text> = match &line.value.kind {
        Kind::List(_) => reader.names(line),
        _ => reader.words(line).into_iter().collect(),
    };
    let mut whole = When::default();
    for text in texts {
        match condition::read(&text.text, &reader.place(text.span), unit, member) {
            Ok(when) => {
                whole.always |= when.always;
                whole.any.extend(when.any);
            }
            Err(_) if unit.in_a_hole(&condition::with_member(&text.text, unit, member)) => {}
            Err(problem) if tell => {
                let problem = match problem.instead.clone() {
                    Some(better) => problem.instead(reader.place(text.span).line_with(&better)),
                    None => problem,
                };
                reader.note(problem);
            }
            Err(_) => {}
        }
    }
    (whole.always || !whole.any.is_empty()).then_some(whole)
}

fn tie_reading(reader: &mut Reader, line: &Entry, part: &Written<'_>, unit: &mut Unit) {
    let Some(text) = reader.words(line) else { return };
    for (turn, id) in part.ids.iter().enumerate() {
        let member = unit.part_of(*id).member;
        let name = condition::with_member(&text.text, unit, member);
        match unit.reading(&name) {
            Some((_, tied)) if tied.dimension() != Some(Dimension::TEMPERATURE) => {
                let fact = format!("A probe sits at a temperature, and `{}` is none.", text.text);
                reader.say(&PART_LINE, text.span, fact);
                return;
            }
            Some((reading, _)) => {
                if let Some(part) = unit.parts.get_mut(usize::from(id.0)) {
                    part.given.insert("at", Given::Reading(reading));
                }
            }
            None if turn == 0 => {
                let readings =
                    unit.readings.iter().filter(|reading| reading.dimension() == Some(Dimension::TEMPERATURE));
                let names: Vec<&str> = readings.map(|reading| reading.name.as_str()).collect();
                let fact = format!("`{}` is no reading of this sheet.{}", text.text, known("temperatures", &names));
                match nearest(&text.text, unit.readings.iter().map(|reading| reading.name.as_str())) {
                    Some(near) => reader.say_instead(&PART_LINE, text.span, fact, near),
                    None => reader.say(&PART_LINE, text.span, fact),
                }
            }
            None => {}
        }
    }
}

fn tie_part(reader: &mut Reader, line: &Entry, part: &Written<'_>, unit: &mut Unit) {
    let Some(text) = reader.words(line) else { return };
    for (turn, id) in part.ids.iter().enumerate() {
        let name = condition::with_member(&text.text, unit, unit.part_of(*id).member);
        let found = unit.part(&name).filter(|(_, part)| part.group.driver().is_some());
        match found.map(|(_, part)| part.name.clone()) {
            Some(name) => {
                if let Some(part) = unit.parts.get_mut(usize::from(id.0)) {
                    part.given.insert("of", Given::Word(name));
                }
            }
            None if turn == 0 => {
                let controls = unit.parts.iter().filter(|part| part.group == Group::Controls);
                let controls: Vec<&str> = controls.map(|part| part.name.as_str()).collect();
                let fact = format!("`{}` is no control of this sheet.{}", text.text, known("controls", &controls));
                let names = unit.parts.iter().filter(|p| p.group == Group::Controls).map(|p| p.name.as_str());
                match nearest(&text.text, names) {
                    Some(near) => reader.say_instead(&PART_LINE, text.span, fact, near),
                    None => reader.say(&PART_LINE, text.span, fact),
                }
            }
            None => {}
        }
    }
}
