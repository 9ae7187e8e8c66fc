//! Functions of refrigerant pressures: gauge readings, at sea level unless an altitude is given.

use super::function::{ArgValue, Argument, Example, Function, Gives, How, Kind, Words, number, once, word};
use crate::trade::dimension::Dimension;
use crate::trade::range::RangeError;
use crate::trade::reading::Reading;
use crate::trade::refrigerants::{Refrigerant, Side, Site};

/// The refrigerants there are tables for.
pub(super) static REFRIGERANTS: Words = Words { called: "refrigerant", list: &Refrigerant::NAMES };

const REFRIGERANT: Argument = Argument { name: "refrigerant", kind: Kind::Word(&REFRIGERANTS), how: How::Once };
const ALTITUDE: Argument = Argument { name: "altitude", kind: Kind::Of(Dimension::LENGTH), how: How::Optional };
const SUCTION: Argument = once("suction", Dimension::PRESSURE);
const LIQUID: Argument = once("liquid", Dimension::PRESSURE);
const LINE: Argument = once("line", Dimension::TEMPERATURE);
const TEMPERATURE: Argument = once("temperature", Dimension::TEMPERATURE);

pub(super) const EVAPORATING: Function = Function {
    name: "evaporating",
    arguments: &[SUCTION, REFRIGERANT, ALTITUDE],
    gives: Gives::Of(Dimension::TEMPERATURE),
    line: "The evaporating temperature at this suction pressure (dew).",
    example: Example { call: "evaporating(45 psi, R448A)", answer: "20.89 °F", source: "CoolProp 8.0.0" },
    form: "dew-celsius(refrigerant, suction + air(altitude))",
    compares_over_limit: false,
    body: |given| saturated(given, Side::Dew),
};

pub(super) const CONDENSING: Function = Function {
    name: "condensing",
    arguments: &[LIQUID, REFRIGERANT, ALTITUDE],
    gives: Gives::Of(Dimension::TEMPERATURE),
    line: "The condensing temperature at this liquid pressure (bubble).",
    example: Example { call: "condensing(250 psi, R404A)", answer: "103.8 °F", source: "CoolProp 8.0.0" },
    form: "bubble-celsius(refrigerant, liquid + air(altitude))",
    compares_over_limit: false,
    body: |given| saturated(given, Side::Bubble),
};

pub(super) const DEW_PRESSURE: Function = Function {
    name: "dew-pressure",
    arguments: &[TEMPERATURE, REFRIGERANT, ALTITUDE],
    gives: Gives::Of(Dimension::PRESSURE),
    line: "The gauge pressure at which the refrigerant evaporates at this temperature (dew).",
    example: Example {
        call: "dew-pressure(85 °F, R404A)",
        answer: "187.5 psi",
        source: "printed chart of R404A, vapor column",
    },
    form: "dew-pressure-of(refrigerant, temperature) - air(altitude)",
    compares_over_limit: false,
    body: |given| pressure(given, Side::Dew),
};

pub(super) const BUBBLE_PRESSURE: Function = Function {
    name: "bubble-pressure",
    arguments: &[TEMPERATURE, REFRIGERANT, ALTITUDE],
    gives: Gives::Of(Dimension::PRESSURE),
    line: "The gauge pressure at which the refrigerant condenses at this temperature (bubble).",
    example: Example {
        call: "bubble-pressure(85 °F, R404A)",
        answer: "189.5 psi",
        source: "printed chart of R404A, liquid column",
    },
    form: "bubble-pressure-of(refrigerant, temperature) - air(altitude)",
    compares_over_limit: false,
    body: |given| pressure(given, Side::Bubble),
};

pub(super) const SUPERHEAT: Function = Function {
    name: "superheat",
    arguments: &[SUCTION, LINE, REFRIGERANT, ALTITUDE],
    gives: Gives::Of(Dimension::TEMPERATURE_DIFFERENCE),
    line: "Superheat: the suction line's temperature less the dew temperature at the suction pressure.",
    example: Example { call: "superheat(45 psi, 33.8 °F, R448A)", answer: "12.9 °F", source: "CoolProp 8.0.0" },
    form: "line - dew-celsius(refrigerant, suction + air(altitude))",
    compares_over_limit: false,
    body: |given| {
        let (suction, line) = (number(given, 0)?, number(given, 1)?);
        refrigerant(given, 2)?.superheat(suction, line, site(given, 3)?).map(Reading::Value)
    },
};

pub(super) const SUBCOOLING: Function = Function {
    name: "subcooling",
    arguments: &[LIQUID, LINE, REFRIGERANT, ALTITUDE],
    gives: Gives::Of(Dimension::TEMPERATURE_DIFFERENCE),
    line: "Subcooling: the bubble temperature at the liquid pressure less the liquid line's temperature.",
    example: Example { call: "subcooling(250 psi, 96.8 °F, R404A)", answer: "7.0 °F", source: "CoolProp 8.0.0" },
    form: "bubble-celsius(refrigerant, liquid + air(altitude)) - line",
    compares_over_limit: false,
    body: |given| {
        let (liquid, line) = (number(given, 0)?, number(given, 1)?);
        refrigerant(given, 2)?.subcooling(liquid, line, site(given, 3)?).map(Reading::Value)
    },
};

fn saturated(given: &[ArgValue<'_>], side: Side) -> Result<Reading, RangeError> {
    refrigerant(given, 1)?.temperature(side, number(given, 0)?, site(given, 2)?).map(Reading::Value)
}

fn pressure(given: &[ArgValue<'_>], side: Side) -> Result<Reading, RangeError> {
    refrigerant(given, 1)?.pressure(side, number(given, 0)?, site(given, 2)?).map(Reading::Value)
}

fn refrigerant(given: &[ArgValue<'_>], at: usize) -> Result<Refrigerant, RangeError> {
    Refrigerant::named(word(given, at)?).ok_or(RangeError::NoAnswer("there is no table for this refrigerant"))
}

/// Sea level, or the altitude in place `at`, which is in millimeters as every length is.
fn site(given: &[ArgValue<'_>], at: usize) -> Result<Site, RangeError> {
    if given.len() <= at { Ok(Site::SEA_LEVEL) } else { Site::at(number(given, at)? / 1000.0) }
}
