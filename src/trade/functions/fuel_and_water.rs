//! Functions of gas, combustion and water.

use super::function::{Example, Function, Gives, number, once};
use crate::trade::dimension::Dimension;
use crate::trade::gas::{air_free, clocked, input_at};
use crate::trade::reading::Reading;
use crate::trade::water::{FOOT, boils_at, rise};

pub(super) const BURNER_INPUT: Function = Function {
    name: "burner-input",
    arguments: &[
        once("gas", Dimension::VOLUME),
        once("time", Dimension::TIME),
        once("heat-in-a-cubic-foot", Dimension::ENERGY),
    ],
    gives: Gives::Of(Dimension::WATTS),
    line: "Input of the burner, from the gas the meter's dial passes, the time it takes and the Btu in a cubic foot.",
    example: Example {
        call: "burner-input(2 ft3, 82 s, 1025 Btu)",
        answer: "90000 Btu/h",
        source: "arithmetic: 3600 ÷ seconds × cubic feet × Btu",
    },
    form: "gas / 28.316846592 * heat-in-a-cubic-foot / time",
    compares_over_limit: false,
    body: |given| Ok(Reading::Value(clocked(number(given, 0)?, number(given, 1)?, number(given, 2)?))),
};

pub(super) const INPUT_AT: Function = Function {
    name: "input-at",
    arguments: &[
        once("manifold", Dimension::PRESSURE),
        once("rated-manifold", Dimension::PRESSURE),
        once("rated-input", Dimension::WATTS),
    ],
    gives: Gives::Of(Dimension::WATTS),
    line: "Input at this manifold pressure, from the rated input at the rated pressure.",
    example: Example {
        call: "input-at(2.6 inWC, 4.0 inWC, 90000 Btu/h)",
        answer: "72560 Btu/h",
        source: "invented call S4; orifice flow goes as the square root of the pressure",
    },
    form: "rated-input * sqrt(manifold / rated-manifold)",
    compares_over_limit: false,
    body: |given| input_at(number(given, 0)?, number(given, 1)?, number(given, 2)?).map(Reading::Value),
};

pub(super) const AIR_FREE: Function = Function {
    name: "air-free",
    arguments: &[once("carbon-monoxide", Dimension::NONE), once("oxygen", Dimension::NONE)],
    gives: Gives::Of(Dimension::NONE),
    line: "Carbon monoxide with the extra air taken out, from the ppm measured and the % of oxygen beside it.",
    example: Example {
        call: "air-free(50 ppm, 9 %)",
        answer: "88 ppm",
        source: "from memory: ppm × 20.9 ÷ (20.9 − oxygen)",
    },
    form: "carbon-monoxide * 0.209 / (0.209 - oxygen)",
    compares_over_limit: false,
    body: |given| air_free(number(given, 0)?, number(given, 1)?).map(Reading::Value),
};

pub(super) const RINSE_RISE: Function = Function {
    name: "rinse-rise",
    arguments: &[once("watts", Dimension::WATTS), once("flow", Dimension::FLOW)],
    gives: Gives::Of(Dimension::TEMPERATURE_DIFFERENCE),
    line: "How many degrees a booster of these watts warms this flow of water.",
    example: Example {
        call: "rinse-rise(12 kW, 1.15 gpm)",
        answer: "72.4 °F",
        source: "invented call S2: 12 kW on 1.15 gpm, water near 60 °C",
    },
    form: "watts / (flow * (0.983 * 4184))",
    compares_over_limit: false,
    body: |given| Ok(Reading::Value(rise(number(given, 0)?, number(given, 1)?))),
};

pub(super) const BOILING_POINT: Function = Function {
    name: "boiling-point",
    arguments: &[once("altitude", Dimension::LENGTH)],
    gives: Gives::Of(Dimension::TEMPERATURE),
    line: "The temperature at which water boils at this altitude: what a good probe reads in it.",
    example: Example {
        call: "boiling-point(5000 ft)",
        answer: "94.9 °C",
        source: "CoolProp 8.0.0 at the pressure of the standard atmosphere",
    },
    form: "boils(altitude / 304.8)",
    compares_over_limit: false,
    body: |given| boils_at(number(given, 0)? / FOOT).map(Reading::Value),
};
