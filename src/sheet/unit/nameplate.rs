//! `nameplate:`: what the rating plate says, and what follows from it.

use super::amount::{self, Spread};
use super::model::{Plate, Unit};
use super::sum::{self, SHEET_SUM, Sum};
use crate::text::english::{list, nearest, ticked};
use crate::text::yaml::reader::Reader;
use crate::text::yaml::tree::{Entry, Text};
use crate::trade::dimension::Dimension;
use crate::trade::printing::{Degrees, unit_for};
use crate::trade::quantity::computed;
use crate::trade::reading::Reading;
use crate::trade::unit::Unit as Measured;

/// Reads the lines in turn; a sum may name those above it.
pub(super) fn read(reader: &mut Reader, entry: &Entry, unit: &mut Unit) {
    for line in reader.entries(entry) {
        let Some(text) = reader.words(line) else { continue };
        let starts_with_number = text.text.starts_with(|c: char| c.is_ascii_digit() || c == '.');
        // The stroke in `90000 Btu/h` belongs to its unit.
        let one_number = text.text.split_once(' ').is_some_and(|(_, unit)| Measured::parse(unit.trim()).is_some());
        let is_sum = ["×", "÷", "*", "/", " + ", "("].iter().any(|sign| text.text.contains(sign))
            && !text.text.contains('%')
            && !one_number;
        let value = if starts_with_number && !is_sum {
            amount::spread(reader, &text)
        } else {
            computed_line(reader, &text, unit)
        };
        if value.is_none() {
            unit.holes.name(&line.key.text);
        }
        if let Some(value) = value {
            unit.nameplate.push(Plate { name: line.key.text.clone(), value, place: reader.place(line.key.span) });
        }
    }
}

fn computed_line(reader: &mut Reader, text: &Text, unit: &Unit) -> Option<Spread> {
    let look = |name: &str| plate(unit, name);
    match sum::parse(&text.text, &look) {
        Err(_) if unit.holes.of_plate(&text.text) => None,
        Err(fact) => {
            reader.say(&SHEET_SUM, text.span, fact);
            None
        }
        Ok((sum, dimension)) => {
            let at = |pick: fn(&Spread) -> f64| {
                let plate = |at: usize| unit.nameplate.get(at).map(|plate| pick(&plate.value));
                match sum.value(&plate, &|_| None) {
                    Ok(Some(Reading::Value(value))) => Ok(computed(value)),
                    Ok(_) => Err("This sum has no answer.".to_owned()),
                    Err(error) => Err(format!("This sum has no answer: {error}.")),
                }
            };
            match (at(|v| v.nominal), at(|v| v.low), at(|v| v.high), unit_of(dimension)) {
                (Ok(nominal), Ok(one), Ok(two), Some(unit)) => {
                    let (low, high) = (one.min(two).min(nominal), one.max(two).max(nominal));
                    let difference = dimension == Dimension::TEMPERATURE_DIFFERENCE;
                    Some(Spread { nominal, low, high, unit, difference })
                }
                (Err(fact), ..) | (_, Err(fact), ..) | (_, _, Err(fact), _) => {
                    reader.say(&SHEET_SUM, text.span, fact);
                    None
                }
                (.., None) => {
                    reader.say(
                        &SHEET_SUM,
                        text.span,
                        format!("What comes out here, {dimension}, is nothing a rating plate says."),
                    );
                    None
                }
            }
        }
    }
}

fn unit_of(dimension: Dimension) -> Option<crate::trade::unit::Unit> {
    unit_for(1.0, dimension, Degrees::Fahrenheit)
}

/// The line of the rating plate a name stands for.
pub(super) fn plate(unit: &Unit, name: &str) -> Option<(Sum, Dimension)> {
    let at = unit.nameplate.iter().position(|plate| plate.name == name)?;
    Some((Sum::Plate(at), unit.nameplate.get(at)?.value.dimension()))
}

/// The volts a supply names: a line of the rating plate, or a number.
pub(super) fn volts(reader: &mut Reader, text: &Text, unit: &Unit) -> Option<Spread> {
    let found = if text.text.starts_with(|c: char| c.is_ascii_digit()) {
        amount::spread(reader, text)?
    } else if let Some(plate) = unit.nameplate.iter().find(|plate| plate.name == text.text) {
        plate.value
    } else if unit.holes.of_plate(&text.text) {
        return None;
    } else {
        let lines: Vec<&str> = unit.nameplate.iter().map(|plate| plate.name.as_str()).collect();
        let known = if lines.is_empty() {
            " This sheet has no `nameplate`.".to_owned()
        } else {
            format!(" It has {}.", list(&ticked(&lines), "and"))
        };
        let fact = format!("`{}` is no line of the rating plate.{known}", text.text);
        match nearest(&text.text, unit.nameplate.iter().map(|plate| plate.name.as_str())) {
            Some(near) => reader.say_instead(&SHEET_SUM, text.span, fact, near),
            None => reader.say(&SHEET_SUM, text.span, fact),
        }
        return None;
    };
    amount::of_kind(reader, text, found.unit, &[Dimension::VOLTS]).then_some(found)
}
