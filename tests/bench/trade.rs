//! Nanoseconds for a calculation and for turning a sensor's reading into degrees.
//! `cargo bench --bench trade`; prints the best of seven rounds, and fails if a calculation takes over a microsecond.
//!
//! The calls are those of `tests/cases/trade/same_digits.csv`, with their words looked up as a playbook's are. What a
//! call hands in and gets back is copied, never owned (the table takes a slice and answers with a number or a
//! [`RangeError`], which holds no text), so nothing is allocated on the way.

#![expect(clippy::disallowed_methods, reason = "a benchmark times")]
#![expect(clippy::print_stdout, clippy::unwrap_used, clippy::expect_used, reason = "a benchmark prints and stops")]

use ruleout::trade::functions::{ArgValue, Function, all, find};
use ruleout::trade::range::RangeError;
use ruleout::trade::reading::Reading;
use ruleout::trade::refrigerants::{Refrigerant, Side, Site};
use ruleout::trade::sensors::platinum::Platinum;
use ruleout::trade::sensors::thermistor::{Table, Thermistor};
use ruleout::trade::sensors::thermocouple::Thermocouple;
use ruleout::trade::three_phase::{Bank, Connection};
use std::hint::black_box;
use std::time::Instant;

const CASES: &str = include_str!("../cases/trade/same_digits.csv");
const ROUNDS: u32 = 7;
const TIMES: u32 = 20_000;

/// Holds only where neither an answer nor an error owns anything.
const fn owns_nothing<T: Copy>() {}
const _: () = {
    owns_nothing::<Reading>();
    owns_nothing::<RangeError>();
    owns_nothing::<ArgValue<'_>>();
};

/// The best of the rounds, in nanoseconds a call, over all inputs in turn.
fn nanoseconds<T: Copy>(inputs: &[T], mut run: impl FnMut(T)) -> f64 {
    let mut best = f64::INFINITY;
    for _ in 0..ROUNDS {
        let start = Instant::now();
        for input in inputs.iter().cycle().take(TIMES as usize) {
            run(black_box(*input));
        }
        best = best.min(start.elapsed().as_secs_f64() * 1e9 / f64::from(TIMES));
    }
    best
}

/// The calls of the table that belong to `function`.
fn calls(function: &Function) -> Vec<Vec<ArgValue<'static>>> {
    CASES
        .lines()
        .filter_map(|line| line.split_once(',').filter(|(name, _)| *name == function.name))
        .map(|(_, rest)| {
            let arguments = rest.split(',').next().expect("arguments");
            arguments.split(' ').map(|word| word.parse().map_or(ArgValue::Word(word), ArgValue::Number)).collect()
        })
        .collect()
}

fn main() {
    let mut slowest = 0.0_f64;
    println!("{:<28}ns", "calculation");
    for function in all() {
        let calls = calls(function);
        let inputs: Vec<&[ArgValue<'_>]> = calls.iter().map(Vec::as_slice).collect();
        let time = nanoseconds(&inputs, |given| {
            black_box(function.value(given).expect("within range"));
        });
        println!("{:<28}{time:.1}", function.name);
        slowest = slowest.max(time);
    }
    println!(
        "{:<28}{:.1}",
        "finding one by its name",
        nanoseconds(&["superheat"], |name| {
            black_box(find(name));
        })
    );

    println!("\n{:<28}ns", "reading to degrees");
    let table = Table::new(&[(-40.0, 336_103.2), (-20.0, 97_006.9), (0.0, 32_650.9), (25.0, 10_000.0)]).unwrap();
    let parts = [
        ("thermistor, beta", Thermistor::Beta { ohms_at_25: 10_000.0, beta: 3435.0 }),
        (
            "thermistor, coefficients",
            Thermistor::through([(-20.0, 97_006.9), (0.0, 32_650.9), (25.0, 10_000.0)]).unwrap(),
        ),
        ("thermistor, table", Thermistor::Table(table)),
    ];
    let ohms: Vec<f64> = (0..64).map(|i| 80.0 + 4.3 * f64::from(i)).collect();
    let mut told = vec![(
        "platinum",
        nanoseconds(&ohms, |ohms| {
            black_box(Platinum::Pt100.celsius(ohms)).ok();
        }),
    )];
    for (name, kind) in
        [("thermocouple J", Thermocouple::J), ("thermocouple K", Thermocouple::K), ("thermocouple T", Thermocouple::T)]
    {
        let millivolts: Vec<f64> = (0..64).map(|i| -4.0 + 0.37 * f64::from(i)).collect();
        told.push((
            name,
            nanoseconds(&millivolts, |millivolts| {
                black_box(kind.celsius(millivolts)).ok();
            }),
        ));
    }
    for (name, part) in &parts {
        let ohms: Vec<f64> = (0..64).map(|i| 11_000.0 + 4000.0 * f64::from(i)).collect();
        told.push((
            name,
            nanoseconds(&ohms, |ohms| {
                black_box(part.celsius(ohms)).ok();
            }),
        ));
    }
    let gauge: Vec<f64> = (0..64).map(|i| 10.0 + 22.0 * f64::from(i)).collect();
    told.push((
        "refrigerant, dew",
        nanoseconds(&gauge, |gauge| {
            black_box(Refrigerant::R448A.temperature(Side::Dew, gauge, Site::SEA_LEVEL)).ok();
        }),
    ));
    let bank = Bank::rated(Connection::Delta, 12_000.0, 208.0).with_element_open(0);
    told.push((
        "bank of three elements",
        nanoseconds(&[198.0, 208.0, 218.0], |volts| {
            black_box(bank.load(volts));
        }),
    ));
    for (name, time) in told {
        println!("{name:<28}{time:.1}");
        slowest = slowest.max(time);
    }
    assert!(slowest < 1000.0, "a calculation takes {slowest:.0} ns");
}
