//! Functions of temperature probes and of 4–20 mA.

use super::function::{ArgValue, Argument, Example, Function, Gives, How, Kind, Words, number, once, word};
use crate::trade::dimension::Dimension;
use crate::trade::range::RangeError;
use crate::trade::reading::Reading;
use crate::trade::sensors::current_loop;
use crate::trade::sensors::platinum::Platinum;
use crate::trade::sensors::thermistor::Thermistor;
use crate::trade::sensors::thermocouple::Thermocouple;

/// The platinum probes.
pub(super) static PROBES: Words = Words { called: "probe", list: &["Pt100", "Pt1000"] };

/// The thermocouple types.
pub(super) static THERMOCOUPLES: Words = Words { called: "thermocouple type", list: &["J", "K", "T"] };

const PROBE: Argument = Argument { name: "probe", kind: Kind::Word(&PROBES), how: How::Once };
const TYPE: Argument = Argument { name: "type", kind: Kind::Word(&THERMOCOUPLES), how: How::Once };
const AT_25: Argument = once("ohms-at-25", Dimension::OHMS);
const BETA: Argument = once("beta", Dimension::NONE);

pub(super) const PROBE_TEMPERATURE: Function = Function {
    name: "probe-temperature",
    arguments: &[once("ohms", Dimension::OHMS), PROBE],
    gives: Gives::Of(Dimension::TEMPERATURE),
    line: "The temperature at which a platinum probe reads these ohms (IEC 60751).",
    example: Example {
        call: "probe-temperature(138.51 ohm, Pt100)",
        answer: "100.0 °C",
        source: "printed IEC 60751 table: 138.51 ohm at 100 °C",
    },
    form: "platinum-celsius(probe, ohms)",
    compares_over_limit: false,
    body: |given| probe(given)?.celsius(number(given, 0)?).map(Reading::Value),
};

pub(super) const PROBE_OHMS: Function = Function {
    name: "probe-ohms",
    arguments: &[once("temperature", Dimension::TEMPERATURE), PROBE],
    gives: Gives::Of(Dimension::OHMS),
    line: "The ohms a platinum probe has at this temperature (IEC 60751).",
    example: Example {
        call: "probe-ohms(70 °F, Pt1000)",
        answer: "1082 ohm",
        source: "common practice, no source: about 1.08 kohm at 70 °F; the digits are the IEC 60751 curve's",
    },
    form: "platinum-ohms(probe, temperature)",
    compares_over_limit: false,
    body: |given| probe(given)?.ohms(number(given, 0)?).map(Reading::Value),
};

pub(super) const THERMOCOUPLE_TEMPERATURE: Function = Function {
    name: "thermocouple-temperature",
    arguments: &[once("reading", Dimension::VOLTS), once("terminals", Dimension::TEMPERATURE), TYPE],
    gives: Gives::Of(Dimension::TEMPERATURE),
    line: "The temperature at the tip, from the millivolts at the terminals and the temperature of the terminals.",
    example: Example {
        call: "thermocouple-temperature(6.340 mV, 25 °C, K)",
        answer: "180.0 °C",
        source: "NIST SRD 60, type K: 7.340 mV at 180 °C, 1.000 at 25 °C",
    },
    form: "junction-celsius(type, reading * 1000 + junction-millivolts(type, terminals))",
    compares_over_limit: false,
    body: |given| {
        thermocouple(given)?.through_terminals(number(given, 0)? * 1000.0, number(given, 1)?).map(Reading::Value)
    },
};

pub(super) const THERMOCOUPLE_VOLTS: Function = Function {
    name: "thermocouple-volts",
    arguments: &[once("temperature", Dimension::TEMPERATURE), once("terminals", Dimension::TEMPERATURE), TYPE],
    gives: Gives::Of(Dimension::VOLTS),
    line: "The millivolts at the terminals, from the temperature at the tip and the temperature of the terminals.",
    example: Example {
        call: "thermocouple-volts(260 °C, 30 °C, K)",
        answer: "9.358 mV",
        source: "NIST SRD 60, type K: 10.561 mV at 260 °C, 1.203 at 30 °C",
    },
    form: "(junction-millivolts(type, temperature) - junction-millivolts(type, terminals)) / 1000",
    compares_over_limit: false,
    body: |given| {
        let millivolts = thermocouple(given)?.at_terminals(number(given, 0)?, number(given, 1)?)?;
        Ok(Reading::Value(millivolts / 1000.0))
    },
};

pub(super) const THERMISTOR_TEMPERATURE: Function = Function {
    name: "thermistor-temperature",
    arguments: &[once("ohms", Dimension::OHMS), AT_25, BETA],
    gives: Gives::Of(Dimension::TEMPERATURE),
    line: "The temperature at which a thermistor reads these ohms, by beta: good near 25 °C, up to 5 °C off at −40 °C.",
    example: Example {
        call: "thermistor-temperature(5000 ohm, 10 kohm, 3435)",
        answer: "44.09 °C",
        source: "thermistor-utils 0.0.4 (PyPI), 10 kohm beta 3435",
    },
    form: "1 / (1 / (25 + 273.15) + ln(ohms / ohms-at-25) / beta) - 273.15",
    compares_over_limit: false,
    body: |given| by_beta(given)?.celsius(number(given, 0)?).map(Reading::Value),
};

pub(super) const THERMISTOR_OHMS: Function = Function {
    name: "thermistor-ohms",
    arguments: &[once("temperature", Dimension::TEMPERATURE), AT_25, BETA],
    gives: Gives::Of(Dimension::OHMS),
    line: "The ohms a thermistor has at this temperature, by beta: good near 25 °C, up to 5 °C off at −40 °C.",
    example: Example {
        call: "thermistor-ohms(0 °C, 10 kohm, 3950)",
        answer: "33.62 kohm",
        source: "thermistor-utils 0.0.4 (PyPI), 10 kohm beta 3950",
    },
    form: "ohms-at-25 * exp(beta * (1 / (temperature + 273.15) - 1 / (25 + 273.15)))",
    compares_over_limit: false,
    body: |given| by_beta(given)?.ohms(number(given, 0)?).map(Reading::Value),
};

pub(super) const LOOP_VALUE: Function = Function {
    name: "loop-value",
    arguments: &[
        once("amps", Dimension::AMPS),
        Argument { name: "at-4-mA", kind: Kind::Same, how: How::Once },
        Argument { name: "at-20-mA", kind: Kind::Same, how: How::Once },
    ],
    gives: Gives::Same,
    line: "What a 4-20 mA transmitter tells, from its current and the two ends of its span.",
    example: Example {
        call: "loop-value(9.6 mA, 0 psi, 500 psi)",
        answer: "175 psi",
        source: "definition of the 4-20 mA span",
    },
    form: "at-4-mA + (amps * 1000 - 4) / 16 * (at-20-mA - at-4-mA)",
    compares_over_limit: false,
    body: |given| {
        let milliamps = number(given, 0)? * 1000.0;
        current_loop::value(milliamps, number(given, 1)?, number(given, 2)?).map(Reading::Value)
    },
};

fn probe(given: &[ArgValue<'_>]) -> Result<Platinum, RangeError> {
    Platinum::named(word(given, 1)?).ok_or(RangeError::NoAnswer("the probe is Pt100 or Pt1000"))
}

fn thermocouple(given: &[ArgValue<'_>]) -> Result<Thermocouple, RangeError> {
    Thermocouple::named(word(given, 2)?).ok_or(RangeError::NoAnswer("the thermocouple type is J, K or T"))
}

fn by_beta(given: &[ArgValue<'_>]) -> Result<Thermistor, RangeError> {
    let (ohms_at_25, beta) = (number(given, 1)?, number(given, 2)?);
    if ohms_at_25 > 0.0 && beta > 0.0 {
        Ok(Thermistor::Beta { ohms_at_25, beta })
    } else {
        Err(RangeError::NoAnswer("a thermistor's ohms at 25 °C and its beta are above zero"))
    }
}
