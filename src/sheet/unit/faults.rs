//! Faults: the usual ones of each group, those the sheet replaces, strikes out or adds.

use super::amount::{self, Stretch};
use super::condition;
use super::group::{Allowed, Group};
use super::model::{ComesAndGoes, Effect, Fault, Given, Owner, Part, PartId, ReadingId, Shows, Struck, Unit};
use super::parts::names_of;
use super::readings;
use crate::text::english::{known as known_names, list, nearest, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::yaml::reader::{Fields, Reader};
use crate::text::yaml::tree::{Entry, Text};
use crate::trade::dimension::Dimension;
use crate::trade::quantity::parse_number;

/// A fault of nothing, or that does nothing.
pub static SHEET_FAULT: Rule = Rule {
    code: "sheet-fault",
    level: Level::Error,
    says: "Under `faults` stands a part or supply, under it what is wrong with it: what it does to the circuit, what readings it shows, or `none, REASON` for a usual fault it never has.",
    why: "A fault that nothing shows can't be found by any test.",
    wrong: "faults:\n  rod:\n    coated: { seen: 30 }",
    mended: "faults:\n  rod:\n    coated: { seen: 30, shows: { flame-signal: 0.3 to 0.9 uA } }",
};

/// A fault that touches the circuit as its group can't.
pub static FAULT_REACH: Rule = Rule {
    code: "fault-reach",
    level: Level::Error,
    says: "A fault touches the circuit only as its group can: `opens`, `closes`, `ohms`, `times`, `volts`, `where`.",
    why: "A fuse does not weld and a part under `outside` is in no rung; such a fault would never be as the sheet says.",
    wrong: "fuse-1: { welded: { closes: yes } }",
    mended: "fuse-1: { open: { opens: yes } }",
};

const LINES: [&str; 10] =
    ["seen", "shows", "opens", "closes", "ohms", "times", "volts", "where", "pole", "comes and goes"];

const EFFECTS: [Allowed; 6] =
    [Allowed::Opens, Allowed::Closes, Allowed::Ohms, Allowed::Times, Allowed::Volts, Allowed::Where];

/// The sheet's own faults: names and what they do. Conditions of readings may name them afterwards.
pub(super) fn read(reader: &mut Reader, entry: &Entry, unit: &mut Unit) {
    for owner in reader.entries(entry) {
        let Some(owners) = owners(reader, &owner.key, unit) else { continue };
        for line in reader.entries(owner) {
            read_fault(reader, line, &owner.key, &owners, unit);
        }
    }
    // In order of parts, the usual ones of a part before its own.
    let order = |owner: Owner| match owner {
        Owner::Supply(at) => (0, at),
        Owner::Part(id) => (1, usize::from(id.0)),
    };
    unit.faults.sort_by_key(|fault| order(fault.owner));
}

fn owners(reader: &mut Reader, key: &Text, unit: &Unit) -> Option<Vec<Owner>> {
    if let Some(at) = unit.supplies.iter().position(|supply| supply.name == key.text) {
        return Some(vec![Owner::Supply(at)]);
    }
    if unit.holes.behind(&key.text) {
        return None;
    }
    let names = names_of(reader, key, unit)?;
    if names.iter().any(|(name, _)| unit.in_a_hole(name)) {
        return None;
    }
    let found: Vec<Owner> =
        names.iter().filter_map(|(name, _)| unit.part(name).map(|(id, _)| Owner::Part(id))).collect();
    if found.len() == names.len() {
        return Some(found);
    }
    let fact = format!("There is no part or supply `{}` in this sheet.", key.text);
    let known = unit.parts.iter().map(|part| part.name.as_str()).chain(unit.supplies.iter().map(|s| s.name.as_str()));
    match nearest(&key.text, known) {
        Some(near) => reader.say_instead(&SHEET_FAULT, key.span, fact, &unit.as_written(near)),
        None => {
            let parts = unit.parts.iter().filter(|part| unit.speaks(part.member));
            let parts: Vec<String> = parts.map(|part| unit.as_written(&part.name)).collect();
            let listed = known_names("parts", &parts);
            let fact = format!("{fact} A part that is in no rung stands under `outside`.{listed}");
            reader.say(&SHEET_FAULT, key.span, fact);
        }
    }
    None
}

fn read_fault(reader: &mut Reader, line: &Entry, owner: &Text, owners: &[Owner], unit: &mut Unit) {
    let name = &line.key;
    let good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if !name.text.starts_with(|c: char| c.is_ascii_lowercase()) || !name.text.chars().all(good) {
        let fact = format!("`{}` is not one word of small letters, digits and hyphens.", name.text);
        reader.say_instead(&SHEET_FAULT, name.span, fact, &name.text.to_lowercase().replace([' ', '_'], "-"));
        return;
    }
    if let Some(works) = owners.iter().find_map(|owner| works_by_itself(*owner, unit))
        && matches!(name.text.as_str(), "on" | "off" | "weak")
    {
        let fact = format!(
            "`{works} {}` already says what the part does by the volts on it. Give this fault a name of its own.",
            name.text
        );
        reader.say(&SHEET_FAULT, name.span, fact);
        return;
    }
    if matches!(line.value.kind, crate::text::yaml::tree::Kind::Text(..)) {
        strike(reader, line, owner, owners, unit);
        return;
    }
    let fields = reader.fields(line, &LINES, &[]);
    let seen = fields.get("seen").and_then(|line| reader.words(line)).and_then(|text| {
        let number = parse_number(&text.text).ok().filter(|n| *n >= 0.0);
        if number.is_none() {
            reader.say(
                &SHEET_FAULT,
                text.span,
                format!("`{}` does not say how often it was seen: `seen: 12`.", text.text),
            );
        }
        number
    });
    let comes_and_goes =
        fields.get("comes and goes").and_then(|line| reader.words(line)).and_then(|text| match text.text.as_str() {
            "now and then" => Some(ComesAndGoes::NowAndThen),
            "hot" => Some(ComesAndGoes::Hot),
            _ => {
                reader.say(&SHEET_FAULT, text.span, format!("`{}` is neither `now and then` nor `hot`.", text.text));
                None
            }
        });
    for (turn, owner) in owners.iter().enumerate() {
        let before = unit.faults.iter().position(|fault| fault.owner == *owner && fault.name == name.text);
        if before.and_then(|at| unit.faults.get(at)).is_some_and(|fault| !fault.usual) {
            continue;
        }
        let effects = match owner {
            Owner::Part(id) => part_effects(reader, fields, *id, unit, turn == 0),
            Owner::Supply(at) => supply_effects(reader, fields, *at, unit),
        };
        let shows = shows(reader, fields, *owner, unit, turn == 0);
        let touches = EFFECTS.iter().any(|word| fields.get(word.word()).is_some());
        let refused = effects.is_empty() && shows.is_empty() && (touches || fields.get("shows").is_some())
            || effects.is_empty() && touches;
        // A fault with only readings keeps what the usual one of its name does.
        let effects = match before.and_then(|at| unit.faults.get(at)) {
            Some(usual) if effects.is_empty() => usual.effects.clone(),
            _ => effects,
        };
        // What it does was written and refused: that is told, and the fault left out.
        if refused {
            continue;
        }
        let fault = Fault {
            owner: *owner,
            name: name.text.clone(),
            seen,
            effects,
            shows,
            comes_and_goes,
            usual: false,
            place: reader.place(name.span),
        };
        match before.and_then(|at| unit.faults.get_mut(at)) {
            Some(usual) => *usual = fault,
            None => unit.faults.push(fault),
        }
    }
}

/// The part, where its own name with `on`, `off` or `weak` behind it is a condition.
fn works_by_itself(owner: Owner, unit: &Unit) -> Option<&str> {
    let Owner::Part(id) = owner else { return None };
    let part = unit.part_of(id);
    let works = (0..part.poles.len()).any(|pole| condition::works(part, pole));
    works.then_some(part.name.as_str())
}

/// `NAME: none, REASON`
fn strike(reader: &mut Reader, line: &Entry, written: &Text, owners: &[Owner], unit: &mut Unit) {
    let Some(text) = reader.words(line) else { return };
    let Some(reason) = text.text.strip_prefix("none,").map(str::trim).filter(|reason| !reason.is_empty()) else {
        let fact =
            format!("`{}` is struck out with `none, REASON`, or says what it does: `{{ opens: yes }}`.", line.key.text);
        reader.say_instead(&SHEET_FAULT, text.span, fact, "none, REASON");
        return;
    };
    for (turn, owner) in owners.iter().enumerate() {
        let found =
            unit.faults.iter().position(|fault| fault.owner == *owner && fault.name == line.key.text && fault.usual);
        match (found, owner) {
            (Some(at), Owner::Part(part)) => {
                unit.faults.remove(at);
                unit.struck.push(Struck { part: *part, name: line.key.text.clone(), reason: reason.to_owned() });
            }
            (None, Owner::Part(part)) if unit.holes.around(&unit.part_of(*part).name) => {}
            _ if turn == 0 => {
                let usual: Vec<&str> =
                    unit.faults.iter().filter(|f| f.owner == *owner && f.usual).map(|f| f.name.as_str()).collect();
                let fact = format!("`{}` is no usual fault of `{}`.", line.key.text, written.text);
                match nearest(&line.key.text, usual.iter().copied()) {
                    Some(near) => reader.say_instead(&SHEET_FAULT, line.key.span, fact, near),
                    None if usual.is_empty() => {
                        let fact = format!("{fact} It has no usual fault left. Take this line out.");
                        reader.say(&SHEET_FAULT, line.key.span, fact);
                    }
                    None => {
                        let fact = format!("{fact} Its usual faults are {}.", list(&ticked(&usual), "and"));
                        reader.say(&SHEET_FAULT, line.key.span, fact);
                    }
                }
            }
            _ => {}
        }
    }
}

fn part_effects(reader: &mut Reader, fields: Fields<'_>, id: PartId, unit: &Unit, tell: bool) -> Vec<Effect> {
    let part = unit.part_of(id);
    let allows = part.group.allows();
    for word in EFFECTS {
        if let Some(line) = fields.get(word.word())
            && !allows.contains(&word)
            && tell
        {
            let words: Vec<&str> = allows.iter().map(|allowed| allowed.word()).collect();
            let fact = if words.is_empty() {
                format!("`{}` is in no rung, so a fault of it can't have `{}`.", part.name, word.word())
            } else {
                format!(
                    "Among {} a fault can have {}, not `{}`.",
                    part.group.word(),
                    list(&ticked(&words), "and"),
                    word.word()
                )
            };
            reader.note(Problem::new(&FAULT_REACH, reader.place(line.key.span), fact));
        }
    }
    let may = |word: Allowed| fields.get(word.word()).filter(|_| allows.contains(&word));
    let main = main_pole(reader, fields, part, tell);
    let mut effects = Vec::new();
    for (word, effect) in [(Allowed::Opens, Effect::Opens as fn(usize) -> Effect), (Allowed::Closes, Effect::Closes)] {
        let Some(line) = may(word) else { continue };
        for name in reader.names(line) {
            let poles: Vec<usize> = match name.text.as_str() {
                "yes" if part.poles.len() == 1 => vec![0],
                "yes" => match part.group {
                    // All contacts at once: it never pulls in, or never lets go.
                    Group::Contactors | Group::Relays | Group::SolidStateRelays | Group::Controls => {
                        effects.push(Effect::Held(word == Allowed::Closes));
                        continue;
                    }
                    _ => main.into_iter().collect(),
                },
                pole => match part.poles.iter().position(|p| p.name == pole) {
                    Some(at) => vec![at],
                    None => {
                        if tell {
                            no_pole(reader, &name, part);
                        }
                        continue;
                    }
                },
            };
            if poles.is_empty() && tell {
                several(reader, line, part);
            }
            effects.extend(poles.into_iter().map(effect));
        }
    }
    let stretch = |reader: &mut Reader, line: &Entry, wanted: &[Dimension]| -> Option<Stretch> {
        let text = reader.words(line)?;
        if wanted == [Dimension::NONE] {
            return share(reader, &text);
        }
        let (stretch, unit) = amount::stretch(reader, &text, false)?;
        amount::of_kind(reader, &text, unit, wanted).then_some(stretch)
    };
    let grounded = may(Allowed::Where);
    if let Some(line) = may(Allowed::Ohms).filter(|_| grounded.is_none())
        && let Some(ohms) = stretch(reader, line, &[Dimension::OHMS])
    {
        match main {
            Some(pole) => effects.push(Effect::Ohms(pole, ohms)),
            None if tell => several(reader, line, part),
            None => {}
        }
    }
    if let Some(line) = may(Allowed::Times)
        && let Some(times) = stretch(reader, line, &[Dimension::NONE])
    {
        match main {
            Some(pole) => effects.push(Effect::Times(pole, times)),
            None if tell => several(reader, line, part),
            None => {}
        }
    }
    if let Some(line) = may(Allowed::Volts)
        && let Some(volts) = stretch(reader, line, &[Dimension::VOLTS])
    {
        effects.push(Effect::Volts(volts));
    }
    if let Some(line) = grounded
        && let Some(text) = reader.words(line)
    {
        let along = share(reader, &text);
        let ohms = fields.get("ohms").and_then(|line| stretch(reader, line, &[Dimension::OHMS]));
        match (along, main) {
            (Some(along), Some(pole)) if along.low >= 0.0 && along.high <= 1.0 => {
                effects.push(Effect::Grounded(pole, along, ohms.unwrap_or(Stretch::one(1.0))));
            }
            (Some(_), Some(_)) if tell => {
                reader.say(&SHEET_FAULT, text.span, "`where` runs from 0 % at one end to 100 % at the other.")
            }
            (Some(_), None) if tell => several(reader, line, part),
            _ => {}
        }
    }
    effects
}

/// The pole a fault is at: the one named, the only one, or the only one beside the coil.
fn main_pole(reader: &mut Reader, fields: Fields<'_>, part: &Part, tell: bool) -> Option<usize> {
    if let Some(line) = fields.get("pole") {
        let name = reader.words(line)?;
        let found = part.poles.iter().position(|pole| pole.name == name.text);
        if found.is_none() && tell {
            no_pole(reader, &name, part);
        }
        return found;
    }
    let driver = part.group.driver();
    let mut others = part.poles.iter().enumerate().filter(|(_, pole)| Some(pole.name.as_str()) != driver);
    let first = others.next()?;
    others.next().is_none().then_some(first.0)
}

fn no_pole(reader: &mut Reader, name: &Text, part: &Part) {
    let names: Vec<&str> = part.poles.iter().map(|pole| pole.name.as_str()).filter(|name| !name.is_empty()).collect();
    let fact = if names.is_empty() {
        format!("`{}` has one pole: `yes`.", part.name)
    } else {
        format!("`{}` is no pole of `{}`. It has {}.", name.text, part.name, list(&ticked(&names), "and"))
    };
    match nearest(&name.text, names) {
        Some(near) => reader.say_instead(&SHEET_FAULT, name.span, fact, near),
        None => reader.say(&SHEET_FAULT, name.span, fact),
    }
}

fn several(reader: &mut Reader, line: &Entry, part: &Part) {
    let names: Vec<&str> = part.poles.iter().map(|pole| pole.name.as_str()).collect();
    let fact = format!("`{}` has several poles. Say which with `pole`: {}.", part.name, list(&ticked(&names), "or"));
    reader.say(&SHEET_FAULT, line.key.span, fact);
}

/// `50 %`, `0.5`, `40 to 60 %`
fn share(reader: &mut Reader, text: &Text) -> Option<Stretch> {
    if let Ok(number) = parse_number(&text.text) {
        return Some(Stretch::one(number));
    }
    if let Some((low, high)) = text.text.split_once(" to ")
        && let (Ok(low), Ok(high)) = (parse_number(low.trim()), parse_number(high.trim()))
        && low <= high
    {
        return Some(Stretch { low, high });
    }
    let (stretch, unit) = amount::stretch(reader, text, false)?;
    amount::of_kind(reader, text, unit, &[Dimension::NONE]).then_some(stretch)
}

fn supply_effects(reader: &mut Reader, fields: Fields<'_>, at: usize, unit: &Unit) -> Vec<Effect> {
    let mut effects = Vec::new();
    for word in [Allowed::Closes, Allowed::Ohms, Allowed::Times, Allowed::Where] {
        if let Some(line) = fields.get(word.word()) {
            let fact = format!("A fault of a supply can have `opens` and `volts`, not `{}`.", word.word());
            reader.note(Problem::new(&FAULT_REACH, reader.place(line.key.span), fact));
        }
    }
    let Some(supply) = unit.supplies.get(at) else { return effects };
    if let Some(line) = fields.get("opens") {
        for name in reader.names(line) {
            if name.text == "yes" {
                effects.extend((0..supply.points.len()).map(Effect::Lost));
                continue;
            }
            match supply.points.iter().position(|point| unit.point_name(*point) == name.text) {
                Some(leg) => effects.push(Effect::Lost(leg)),
                None => {
                    let names: Vec<&str> = supply.points.iter().map(|point| unit.point_name(*point)).collect();
                    let fact = format!(
                        "`{}` is no point of `{}`. It has {}.",
                        name.text,
                        supply.name,
                        list(&ticked(&names), "and")
                    );
                    match nearest(&name.text, names) {
                        Some(near) => reader.say_instead(&SHEET_FAULT, name.span, fact, near),
                        None => reader.say(&SHEET_FAULT, name.span, fact),
                    }
                }
            }
        }
    }
    if let Some(text) = fields.get("volts").and_then(|line| reader.words(line))
        && let Some((volts, unit)) = amount::stretch(reader, &text, false)
        && amount::of_kind(reader, &text, unit, &[Dimension::VOLTS])
    {
        effects.push(Effect::Volts(volts));
    }
    effects
}

fn shows(reader: &mut Reader, fields: Fields<'_>, owner: Owner, unit: &Unit, tell: bool) -> Vec<(ReadingId, Shows)> {
    let Some(line) = fields.get("shows") else { return Vec::new() };
    let member = match owner {
        Owner::Part(id) => unit.part_of(id).member,
        Owner::Supply(_) => None,
    };
    let mut all = Vec::new();
    for entry in reader.entries(line) {
        let name = condition::with_member(&entry.key.text, unit, member);
        let Some((id, reading)) = unit.reading(&name) else {
            if tell && !unit.holes.behind(&name) {
                let fact = format!("There is no reading `{}` in this sheet.", entry.key.text);
                match nearest(&name, unit.readings.iter().map(|reading| reading.name.as_str())) {
                    Some(near) => reader.say_instead(&SHEET_FAULT, entry.key.span, fact, &unit.as_written(near)),
                    None => {
                        let readings = unit.readings.iter().filter(|reading| unit.speaks(reading.member));
                        let names: Vec<String> = readings.map(|reading| unit.as_written(&reading.name)).collect();
                        let fact = format!("{fact}{}", known_names("readings", &names));
                        reader.say(&SHEET_FAULT, entry.key.span, fact);
                    }
                }
            }
            continue;
        };
        let (scale, difference) = (reading.scale.clone(), reading.difference);
        let text = reader.words(entry);
        if let Some(shows) = text.and_then(|text| readings::shows(reader, &text, &scale, difference, &entry.key.text)) {
            all.push((id, shows));
        }
    }
    all
}

/// A fault nothing shows, once all conditions are known.
pub(super) fn silent(reader: &mut Reader, unit: &Unit) {
    let felt: Vec<_> = unit
        .readings
        .iter()
        .flat_map(|reading| reading.instead.iter().flat_map(|(when, _)| when.faults()))
        .chain(unit.parts.iter().flat_map(|part| match part.given.get("closed when") {
            Some(Given::When(all)) => all.iter().flat_map(|(_, when)| when.faults()).collect::<Vec<_>>(),
            _ => Vec::new(),
        }))
        .collect();
    let speaks = |owner: Owner| match owner {
        Owner::Part(id) => {
            let part = unit.part_of(id);
            unit.speaks(part.member) && !unit.holes.around(&part.name)
        }
        Owner::Supply(_) => true,
    };
    for (id, fault) in unit.faults().filter(|(_, fault)| speaks(fault.owner)) {
        if fault.effects.is_empty() && fault.shows.is_empty() && !felt.contains(&id) {
            let fact = format!(
                "Nothing shows `{}`: no line here and no reading names it.",
                unit.as_written(&unit.fault_name(id))
            );
            reader.note(Problem::new(&SHEET_FAULT, fault.place.clone(), fact));
        }
    }
}
