//! Conditions: `thermostat calling`, `valve.coil off`, `any zone.relay.out off`, `rod coated`, `manifold above 5 inWC`,
//! `burner-try not good`, joined with `and`.
//!
//! A condition is a state and value, a part and what it does, a part and fault, or a reading: one of them only, else told.
//! What a part does is asked of what works on volts (elements, motors, lamps, coils, what moves contacts), so a capacitor's
//! fault `weak` is that fault. An `and` inside a word of a reading is part of the word.

use super::amount::SHEET_NUMBER;
use super::group::Group;
use super::model::{Condition, Does, FaultId, Owner, Part, PartId, ReadingId, Scale, Unit, When};
use crate::text::english::{known, list, nearest, ticked};
use crate::text::problem::Problem;
use crate::text::rule::{Level, Rule};
use crate::text::source::Place;
use crate::trade::quantity::{parse_number, to_base};
use crate::trade::unit::Unit as Measured;

/// A condition that names nothing there is.
pub static SHEET_CONDITION: Rule = Rule {
    code: "sheet-condition",
    level: Level::Error,
    says: "A condition is `STATE VALUE`, `PART on`, `PART off`, `PART weak`, `any BANK.PART off`, `PART FAULT`, `READING above X`, `READING below X`, `READING WORD`, `READING good` or `READING not good`, joined with `and`.",
    why: "A condition that can't be looked up would never hold, and a fault behind it would not be felt.",
    wrong: "instead:\n  valve.coil of: no flame",
    mended: "instead:\n  valve.coil off: no flame",
};

/// The condition in `text`, for one member of a bank where it belongs to one.
pub(super) fn read(text: &str, place: &Place, unit: &Unit, member: Option<(usize, u16)>) -> Result<When, Problem> {
    if text == "always" {
        return Ok(When { always: true, any: Vec::new() });
    }
    let mut all = Vec::new();
    for piece in pieces(text, unit, member) {
        let said = with_member(piece.trim(), unit, member);
        all.push(one(&said, place, unit).map_err(|problem| as_written(problem, text, piece.trim(), unit, member))?);
    }
    Ok(When { always: false, any: vec![all] })
}

/// The conditions joined with `and`. A word of a reading may have an `and` of its own: the longest word goes first.
fn pieces<'t>(text: &'t str, unit: &Unit, member: Option<(usize, u16)>) -> Vec<&'t str> {
    let mut found = Vec::new();
    let mut rest = text;
    loop {
        let end = word_end(rest, unit, member).or_else(|| rest.find(AND)).unwrap_or(rest.len());
        let (piece, behind) = rest.split_at_checked(end).unwrap_or((rest, ""));
        found.push(piece);
        match behind.strip_prefix(AND) {
            Some(next) => rest = next,
            None => return found,
        }
    }
}

const AND: &str = " and ";

/// Where `READING WORD` at the start of a text ends.
fn word_end(text: &str, unit: &Unit, member: Option<(usize, u16)>) -> Option<usize> {
    let (name, rest) = text.split_once(' ')?;
    let (_, reading) = unit.reading(&with_member(name, unit, member))?;
    let Scale::Words(words) = &reading.scale else { return None };
    let ends = |word: &&String| {
        let behind = rest.strip_prefix(word.as_str());
        behind.is_some_and(|behind| behind.is_empty() || behind.starts_with(AND))
    };
    words.iter().filter(ends).map(|word| name.len() + 1 + word.len()).max()
}

/// What to write instead is the whole condition, with the bank's name as the sheet says it.
fn as_written(problem: Problem, text: &str, piece: &str, unit: &Unit, member: Option<(usize, u16)>) -> Problem {
    let Some(better) = problem.instead.clone() else { return problem };
    let bank = member.and_then(|(at, number)| Some((unit.banks.get(at)?, number)));
    let better = match bank {
        Some((bank, number)) => better.replace(&format!("{}-{number}.", bank.name), &format!("{}.", bank.name)),
        None => better,
    };
    problem.instead(text.replacen(piece, &better, 1))
}

/// `zone.relay` said for member 3: `zone-3.relay`.
pub(super) fn with_member(text: &str, unit: &Unit, member: Option<(usize, u16)>) -> String {
    let Some((bank, number)) = member else { return text.to_owned() };
    let Some(bank) = unit.banks.get(bank) else { return text.to_owned() };
    let prefix = format!("{}.", bank.name);
    let words: Vec<&str> = text.split(' ').collect();
    let any = words.first() == Some(&"any");
    // `deck on`: the state of that member, `deck-1`.
    let own = format!("{}-{number}", bank.name);
    let own_state = unit.states.find(&own).is_some() && unit.states.find(&bank.name).is_none();
    let said = words.iter().map(|word| match word.strip_prefix(&prefix) {
        Some(rest) if !any => format!("{own}.{rest}"),
        None if *word == bank.name && own_state => own.clone(),
        _ => (*word).to_owned(),
    });
    said.collect::<Vec<_>>().join(" ")
}

fn one(text: &str, place: &Place, unit: &Unit) -> Result<Condition, Problem> {
    if let Some(rest) = text.strip_prefix("any ") {
        return any(rest, place, unit);
    }
    let (name, rest) = text.split_once(' ').unwrap_or((text, ""));
    let rest = rest.trim();
    let state = unit.states.stand(name, rest).map(|stand| ("a state", Condition::State(stand)));
    let does = does(rest).and_then(|does| Some((does, doer(name, unit)?)));
    let works = does.filter(|(_, (part, pole))| works(unit.part_of(*part), *pole));
    let works = works.map(|(does, (part, pole))| ("what the part does", Condition::Does(part, pole, does)));
    let fault = unit.fault(name, rest).map(|id| ("a fault", Condition::Fault(id)));
    let reading = unit.reading(name).map(|(id, _)| of_reading(id, rest, place, unit));
    let read = reading.as_ref().and_then(|read| Some(("a reading", read.as_ref().ok()?.clone())));
    let mut meant = [state, works, fault, read].into_iter().flatten();
    match (meant.next(), meant.next()) {
        (Some((first, _)), Some((second, _))) => {
            let fact = format!("`{text}` says two things: {first} and {second}. Give one of them another name.");
            Err(Problem::new(&SHEET_CONDITION, place.clone(), fact))
        }
        (Some((_, condition)), None) => Ok(condition),
        (None, _) => match (reading, does) {
            (Some(read), _) => read,
            (None, Some((_, (part, pole)))) => Err(idle(part, pole, rest, place, unit)),
            (None, None) => Err(unknown(name, rest, place, unit)),
        },
    }
}

/// Whether a pole does work by the volts on it, so that it can be on, off or weak.
pub(super) fn works(part: &Part, pole: usize) -> bool {
    match part.group.driver() {
        Some(driver) => part.poles.get(pole).is_some_and(|pole| pole.name == driver),
        None => matches!(part.group, Group::Elements | Group::Motors | Group::Lamps | Group::Coils),
    }
}

/// Asked of a contact or a fuse, which is never on, off or weak: what can be asked instead.
fn idle(id: PartId, pole: usize, rest: &str, place: &Place, unit: &Unit) -> Problem {
    let part = unit.part_of(id);
    let name = unit.pole_name(id, pole);
    let fact = format!("`{}` does no work by the volts on it, so it is never `{rest}`.", unit.as_written(&name));
    let driver = part.group.driver().filter(|driver| part.poles.iter().any(|pole| pole.name == *driver));
    if let Some(driver) = driver {
        let better = format!("{}.{driver} {rest}", part.name);
        return Problem::new(&SHEET_CONDITION, place.clone(), fact).instead(better);
    }
    let own = unit.faults().filter(|(_, fault)| fault.owner == Owner::Part(id));
    let faults: Vec<String> = own.map(|(id, _)| unit.as_written(&unit.fault_name(id))).collect();
    let fact = if faults.is_empty() {
        fact
    } else {
        format!("{fact} It has faults: {}; else ask what hangs behind it.", list(&ticked(&faults), "or"))
    };
    let problem = Problem::new(&SHEET_CONDITION, place.clone(), fact);
    match faults.as_slice() {
        [only] if rest == "off" => problem.instead(only.clone()),
        _ => problem,
    }
}

fn does(word: &str) -> Option<Does> {
    match word {
        "on" => Some(Does::On),
        "off" => Some(Does::Off),
        "weak" => Some(Does::Weak),
        _ => None,
    }
}

/// The pole whose volts say what the part does: the one named, the only one, or the coil.
fn doer(name: &str, unit: &Unit) -> Option<(PartId, usize)> {
    if let Some(found) = unit.pole(name) {
        return Some(found);
    }
    let (id, part) = unit.part(name)?;
    let driver = part.group.driver()?;
    Some((id, part.poles.iter().position(|pole| pole.name == driver)?))
}

fn any(rest: &str, place: &Place, unit: &Unit) -> Result<Condition, Problem> {
    let (name, word) = rest.rsplit_once(' ').unwrap_or((rest, ""));
    let (bank, part) = name.split_once('.').unwrap_or((name, ""));
    let found = unit.bank(bank).zip(does(word)).and_then(|((_, bank), does)| {
        let poles: Option<Vec<_>> =
            bank.members.iter().map(|number| doer(&format!("{}-{number}.{part}", bank.name), unit)).collect();
        let poles = poles?;
        poles.iter().all(|(part, pole)| works(unit.part_of(*part), *pole)).then_some(Condition::Any(poles, does))
    });
    found.ok_or_else(|| {
        let banks: Vec<&str> = unit.banks.iter().map(|bank| bank.name.as_str()).collect();
        let fact = if banks.is_empty() {
            format!("`any {rest}` names a bank, and this sheet has none.")
        } else {
            format!(
                "`any {rest}` is not `any BANK.PART on`, `off` or `weak`. The banks are {}.",
                list(&ticked(&banks), "and")
            )
        };
        Problem::new(&SHEET_CONDITION, place.clone(), fact)
    })
}

fn of_reading(id: ReadingId, rest: &str, place: &Place, unit: &Unit) -> Result<Condition, Problem> {
    let reading = unit.reading_of(id);
    match rest {
        "good" => return Ok(Condition::Good(id, true)),
        "not good" => return Ok(Condition::Good(id, false)),
        _ => {}
    }
    match &reading.scale {
        Scale::Words(words) => {
            words.iter().position(|word| word == rest).map(|at| Condition::Says(id, at)).ok_or_else(|| {
                let fact = format!("`{}` never says `{rest}`. It says {}.", reading.name, list(&ticked(words), "or"));
                let problem = Problem::new(&SHEET_CONDITION, place.clone(), fact);
                match nearest(rest, words.iter().map(String::as_str)) {
                    Some(near) => problem.instead(format!("{} {near}", reading.name)),
                    None => problem,
                }
            })
        }
        Scale::Numbers(unit) => {
            let (word, number) = rest.split_once(' ').unwrap_or((rest, ""));
            let above = match word {
                "above" => true,
                "below" => false,
                _ => {
                    let fact = format!(
                        "Behind `{}` stands `above X`, `below X`, `good` or `not good`, not `{rest}`.",
                        reading.name
                    );
                    return Err(Problem::new(&SHEET_CONDITION, place.clone(), fact));
                }
            };
            let (digits, name) = number.split_once(' ').unwrap_or((number, ""));
            let written = Measured::parse(name).filter(|other| other.dimension().like(unit.dimension()));
            let value =
                parse_number(digits).ok().zip(written).map(|(value, unit)| to_base(value, unit, reading.difference));
            value.map(|value| Condition::Beyond(id, above, value)).ok_or_else(|| {
                let fact = format!("`{number}` is no number in {unit}, as in `{} {word} 5 {unit}`.", reading.name);
                Problem::new(&SHEET_NUMBER, place.clone(), fact)
            })
        }
    }
}

fn unknown(name: &str, rest: &str, place: &Place, unit: &Unit) -> Problem {
    let tell = |fact: String, near: Option<String>| {
        let problem = Problem::new(&SHEET_CONDITION, place.clone(), fact);
        match near {
            Some(line) => problem.instead(line),
            None => problem,
        }
    };
    if let Some((_, state)) = unit.states.find(name) {
        let names = state.names();
        let fact = format!("`{name}` is never `{rest}`. It is {}.", list(&ticked(&names), "or"));
        return tell(fact, nearest(rest, names).map(|near| format!("{name} {near}")));
    }
    let owner = unit.part(name).map(|(id, _)| Owner::Part(id));
    let owner = owner.or_else(|| unit.supplies.iter().position(|s| s.name == name).map(Owner::Supply));
    if owner.is_some() || unit.pole(name).is_some() {
        let faults = unit.faults.iter().filter(|fault| Some(fault.owner) == owner).map(|fault| fault.name.as_str());
        let wired = unit.pole(name).is_some() || unit.part(name).is_some_and(|(_, part)| !part.poles.is_empty());
        let levels: &[&str] = if wired { &["on", "off", "weak"] } else { &[] };
        let words: Vec<&str> = levels.iter().copied().chain(faults).collect();
        let near = nearest(rest, words.iter().copied()).map(|near| format!("{name} {near}"));
        let fact = if does(rest).is_some() && wired {
            format!("`{name}` has several poles. Say which: {}.", list(&poles_of(name, unit), "or"))
        } else {
            format!("`{}` is never `{rest}`. It is {}.", unit.as_written(name), list(&ticked(&words), "or"))
        };
        return tell(fact, near);
    }
    let states = unit.states.iter().map(|(_, state)| state.name.as_str());
    let names = states
        .chain(unit.parts.iter().map(|part| part.name.as_str()))
        .chain(unit.readings.iter().map(|reading| reading.name.as_str()));
    let near = nearest(name, names).map(|near| format!("{near} {rest}").trim().to_owned());
    let name_told = unit.as_written(name);
    if rest.is_empty() {
        let states = unit.states.iter().filter(|(_, state)| state.find(name).is_some());
        let states: Vec<String> = states.map(|(_, state)| format!("`{} {name}`", state.name)).collect();
        let hint = if name == "yes" {
            "A switch that is closed as long as nothing is wrong is `closed when: always`.".to_owned()
        } else if states.is_empty() {
            "A condition says of what and how: a state and its value, a part and `on` or `off`.".to_owned()
        } else {
            format!("A condition says of what: {}.", list(&states, "or"))
        };
        return tell(format!("`{name_told}` alone is no condition. {hint}"), None);
    }
    let hint = if near.is_none() {
        let states: Vec<&str> = unit.states.iter().map(|(_, state)| state.name.as_str()).collect();
        let parts: Vec<String> =
            unit.parts.iter().filter(|part| unit.speaks(part.member)).map(|part| unit.as_written(&part.name)).collect();
        format!("{}{}", known("states", &states), known("parts", &parts))
    } else {
        String::new()
    };
    tell(format!("`{name_told}` is no state, part or reading of this sheet.{hint}"), near)
}

fn poles_of(name: &str, unit: &Unit) -> Vec<String> {
    let Some((_, part)) = unit.part(name) else { return Vec::new() };
    part.poles.iter().map(|pole| format!("`{name}.{}`", pole.name)).collect()
}

impl When {
    /// Every reading it leans on.
    pub fn readings(&self) -> Vec<ReadingId> {
        let of = |condition: &Condition| match condition {
            Condition::Beyond(id, _, _) | Condition::Says(id, _) | Condition::Good(id, _) => Some(*id),
            _ => None,
        };
        self.any.iter().flatten().filter_map(of).collect()
    }

    /// Every fault it leans on.
    pub fn faults(&self) -> Vec<FaultId> {
        let of = |condition: &Condition| match condition {
            Condition::Fault(id) => Some(*id),
            _ => None,
        };
        self.any.iter().flatten().filter_map(of).collect()
    }
}
