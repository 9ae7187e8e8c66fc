//! Functions of electric heat and of the run capacitor.

use super::function::{ArgValue, Argument, Example, Function, Gives, How, Kind, number, once};
use crate::trade::capacitor::farads;
use crate::trade::dimension::Dimension;
use crate::trade::heat::element::{Element, three_phase_amps};
use crate::trade::heat::pulsed::Pulsed;
use crate::trade::range::RangeError;
use crate::trade::reading::Reading;

const ON_SUPPLY: &[Argument] =
    &[once("supply", Dimension::VOLTS), once("rated-watts", Dimension::WATTS), once("rated-volts", Dimension::VOLTS)];

const PULSED: &[Argument] =
    &[Argument { name: "reading", kind: Kind::Same, how: How::Once }, once("share-on", Dimension::NONE)];

pub(super) const WATTS_AT: Function = Function {
    name: "watts-at",
    arguments: ON_SUPPLY,
    gives: Gives::Of(Dimension::WATTS),
    line: "Watts of an element on this supply, from its rated watts and volts.",
    example: Example {
        call: "watts-at(208 V, 5500 W, 240 V)",
        answer: "4131 W",
        source: "a heater maker's note on applied volts",
    },
    form: "share = supply / rated-volts\n\
           rated-watts * share * share",
    compares_over_limit: false,
    body: |given| {
        let element = Element { watts: number(given, 1)?, volts: number(given, 2)? };
        Ok(Reading::Value(element.watts_at(number(given, 0)?)))
    },
};

pub(super) const AMPS_AT: Function = Function {
    name: "amps-at",
    arguments: ON_SUPPLY,
    gives: Gives::Of(Dimension::AMPS),
    line: "Amps of an element on this supply, from its rated watts and volts.",
    example: Example {
        call: "amps-at(208 V, 1000 W, 208 V)",
        answer: "4.81 A",
        source: "invented call S1: a 1000 W element at 208 V",
    },
    form: "rated-watts / rated-volts * (supply / rated-volts)",
    compares_over_limit: false,
    body: |given| {
        let element = Element { watts: number(given, 1)?, volts: number(given, 2)? };
        Ok(Reading::Value(element.amps_at(number(given, 0)?)))
    },
};

pub(super) const ELEMENT_OHMS: Function = Function {
    name: "element-ohms",
    arguments: &[once("rated-watts", Dimension::WATTS), once("rated-volts", Dimension::VOLTS)],
    gives: Gives::Of(Dimension::OHMS),
    line: "Ohms of an element, from its rated watts and volts.",
    example: Example {
        call: "element-ohms(15 kW, 480 V)",
        answer: "15.4 ohm",
        source: "a calculation page on 480 V heaters",
    },
    form: "rated-volts * rated-volts / rated-watts",
    compares_over_limit: false,
    body: |given| Ok(Reading::Value(Element { watts: number(given, 0)?, volts: number(given, 1)? }.ohms())),
};

pub(super) const LINE_AMPS: Function = Function {
    name: "line-amps",
    arguments: &[once("watts", Dimension::WATTS), once("supply", Dimension::VOLTS)],
    gives: Gives::Of(Dimension::AMPS),
    line: "Amps in each line of a good three-phase bank, delta or wye alike.",
    example: Example { call: "line-amps(4500 W, 230 V)", answer: "11.3 A", source: "a page on 4500 W delta heaters" },
    form: "watts / (sqrt(3) * supply)",
    compares_over_limit: false,
    body: |given| Ok(Reading::Value(three_phase_amps(number(given, 0)?, number(given, 1)?))),
};

pub(super) const PULSE_AVERAGE: Function = Function {
    name: "pulse-average",
    arguments: PULSED,
    gives: Gives::ShareOfSame,
    line: "What an averaging meter shows on pulsed heat: the reading while on, and the share of the time it is on.",
    example: Example { call: "pulse-average(18.75 A, 35 %)", answer: "6.56 A", source: "arithmetic: on × share" },
    form: "reading * share-on",
    compares_over_limit: false,
    body: |given| Ok(Reading::Value(pulsed(given)?.average())),
};

pub(super) const PULSE_RMS: Function = Function {
    name: "pulse-rms",
    arguments: PULSED,
    gives: Gives::ShareOfSame,
    line: "What a slow true-RMS meter shows on pulsed heat: the reading while on, and the share of the time it is on.",
    example: Example { call: "pulse-rms(18.75 A, 35 %)", answer: "11.09 A", source: "arithmetic: on × √share" },
    form: "reading * sqrt(share-on)",
    compares_over_limit: false,
    body: |given| Ok(Reading::Value(pulsed(given)?.true_rms())),
};

pub(super) const CAPACITOR: Function = Function {
    name: "capacitor",
    arguments: &[once("amps", Dimension::AMPS), once("volts", Dimension::VOLTS), once("hertz", Dimension::FREQUENCY)],
    gives: Gives::Of(Dimension::FARADS),
    line: "Microfarads of a run capacitor, from the amps in its lead, the volts across it and the hertz of the supply.",
    example: Example {
        call: "capacitor(3.2 A, 372 V, 60 Hz)",
        answer: "22.8 uF",
        source: "the trade's 2652 × amps ÷ volts at 60 Hz",
    },
    form: "amps / (2 * pi * hertz * volts)",
    compares_over_limit: false,
    body: |given| Ok(Reading::Value(farads(number(given, 0)?, number(given, 1)?, number(given, 2)?))),
};

fn pulsed(given: &[ArgValue<'_>]) -> Result<Pulsed, RangeError> {
    let (on, duty) = (number(given, 0)?, number(given, 1)?);
    if (0.0..=1.0).contains(&duty) {
        Ok(Pulsed { on, duty })
    } else {
        Err(RangeError::NoAnswer("the share of the time it is on runs from 0 to 100 %"))
    }
}
