//! Conditions: `thermostat calling`, `valve.coil off`, `any zone.relay.out off`, `rod coated`, `manifold above 5 inWC`,
//! `burner-try not good`, joined with `and`.
//!
//! A condition is looked up in this order: state and value, part and what it does, part and fault, reading.

use super::amount::SHEET_NUMBER;
use super::model::{Condition, Does, FaultId, Owner, PartId, ReadingId, Scale, Unit, When};
use crate::text::english::{list, nearest, ticked};
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
    for piece in text.split(" and ") {
        let said = with_member(piece.trim(), unit, member);
        all.push(one(&said, place, unit).map_err(|problem| as_written(problem, text, piece.trim(), unit, member))?);
    }
    Ok(When { always: false, any: vec![all] })
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
    let said = words.iter().map(|word| match word.strip_prefix(&prefix) {
        Some(rest) if !any => format!("{}-{number}.{rest}", bank.name),
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
    if let Some(stand) = unit.states.stand(name, rest) {
        return Ok(Condition::State(stand));
    }
    if let Some(does) = does(rest)
        && let Some((part, pole)) = doer(name, unit)
    {
        return Ok(Condition::Does(part, pole, does));
    }
    if let Some(fault) = unit.fault(name, rest) {
        return Ok(Condition::Fault(fault));
    }
    if let Some((id, _)) = unit.reading(name) {
        return of_reading(id, rest, place, unit);
    }
    Err(unknown(name, rest, place, unit))
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
        Some(Condition::Any(poles?, does))
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
            let value = parse_number(digits).ok().zip(written).map(|(value, unit)| to_base(value, unit, false));
            value.map(|value| Condition::Beyond(id, above, value)).ok_or_else(|| {
                let fact = format!("`{number}` is no number in {unit}.");
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
            format!("`{name}` is never `{rest}`. It is {}.", list(&ticked(&words), "or"))
        };
        return tell(fact, near);
    }
    let states = unit.states.iter().map(|(_, state)| state.name.as_str());
    let names = states
        .chain(unit.parts.iter().map(|part| part.name.as_str()))
        .chain(unit.readings.iter().map(|reading| reading.name.as_str()));
    let near = nearest(name, names).map(|near| format!("{near} {rest}").trim().to_owned());
    tell(format!("`{name}` is no state, part or reading of this sheet."), near)
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
