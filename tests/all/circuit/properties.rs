//! What must hold for every circuit.

use super::random::{Dice, Told, network};
use ruleout::circuit::{At, Change, Current, Effect, Place, Solver, Value};
use std::sync::Arc;

fn lost(random: &super::random::Random) -> Vec<Change> {
    random.lost.map(|leg| Change { at: At::Terminal(leg), effect: Effect::Opens }).into_iter().collect()
}

/// Kirchhoff: at every point what flows in flows out, to a billionth of an ampere.
#[test]
fn amps_in_are_amps_out() {
    for seed in 0..300 {
        for current in [Current::Ac, Current::Dc] {
            let random = network(seed, current);
            let mut solver = Solver::new(Arc::new(random.net.clone()), &[]);
            let settled = solver.bring_up(&[&|_| random.positions.clone()], &lost(&random)).unwrap();
            assert!(settled.left_over() < 1e-9, "seed {seed} {current:?}: {}", settled.left_over());
        }
    }
}

/// A fault worked into a factored circuit reads as the same fault built into the circuit from the start.
#[test]
fn a_fault_reads_the_same_worked_in_or_built_in() {
    let mut compared = 0;
    for seed in 0..120 {
        let random = network(seed, if seed % 2 == 0 { Current::Ac } else { Current::Dc });
        let dice = &mut Dice::new(seed + 7);
        let shared = Arc::new(random.net.clone());
        let mut solver = Solver::new(Arc::clone(&shared), &[]);
        for _ in 0..6 {
            let mut changes = lost(&random);
            for _ in 0..1 + dice.below(2) {
                let (pole, _, _, _) = random.poles[dice.below(random.poles.len())];
                let effect = [
                    Effect::Opens,
                    Effect::Closes,
                    Effect::Ohms(400.0),
                    Effect::Times(0.5),
                    Effect::Grounded { along: 0.3, ohms: 2.0 },
                ][dice.below(5)];
                changes.push(Change::pole(pole, effect));
            }
            let worked = solver.bring_up(&[&|_| random.positions.clone()], &changes).unwrap();
            let built =
                Solver::new(Arc::clone(&shared), &changes).bring_up(&[&|_| random.positions.clone()], &[]).unwrap();
            assert!(worked.left_over() < 1e-9, "seed {seed}: {}", worked.left_over());
            for &point in &random.points {
                let place = Place::Between(point, random.points[dice.below(random.points.len())]);
                for meter in [10e6, 3e3] {
                    let (one, two) =
                        (worked.volts(random.current, place, meter)[0], built.volts(random.current, place, meter)[0]);
                    assert!((one - two).abs() < 1e-6, "seed {seed} {changes:?}: {one} and {two}");
                    compared += 1;
                }
            }
        }
    }
    assert!(compared > 10_000, "{compared}");
}

/// An ohmmeter does not care which way round its leads are, and a wire in place never reads more than by itself.
#[test]
fn ohms_in_place() {
    for seed in 0..60 {
        let random = network(seed, Current::Dc);
        let mut solver = Solver::new(Arc::new(random.net.clone()), &[]);
        let rest = solver.at_rest(&|_| random.positions.clone(), &[]).unwrap();
        for &(pole, from, to, told) in &random.poles {
            let there = rest.ohms(Place::Between(from, to));
            match (there, rest.ohms(Place::Between(to, from))) {
                (Value::Number(one), Value::Number(two)) => assert!((one - two).abs() <= 1e-9 * one.max(1.0)),
                (one, two) => assert_eq!(one, two),
            }
            if let Told::Ohms(ohms) = told {
                let Value::Number(alone) = rest.ohms_alone(pole) else { panic!("seed {seed}: open by itself") };
                assert!((alone - ohms).abs() <= 1e-9 * ohms);
                let Value::Number(there) = there else { panic!("seed {seed}: open in place") };
                assert!(there <= ohms * (1.0 + 1e-7), "seed {seed}: {there} over {ohms}");
            }
        }
    }
}
